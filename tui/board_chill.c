/* The chill pane: a strip for each batch. The one under the cursor is drawn tall, with its falling line
 * against the limit and the count-down in large figures. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "tui/board_panes.h"
#include "tui/kit/big.h"
#include "tui/kit/chart.h"
#include "tui/kit/draw.h"

enum { CHART_LEAST_ROWS = 3, CHART_LEAST_COLS = 24 };

const char *countdown_text(int64_t seconds, char buf[COUNTDOWN_MAX])
{
    const char *sign = seconds < 0 ? "-" : "";
    long long s = seconds < 0 ? -seconds : seconds;
    if (s >= 3600)
        (void)snprintf(buf, COUNTDOWN_MAX, "%s%lld:%02lld:%02lld", sign, s / 3600, s / 60 % 60, s % 60);
    else
        (void)snprintf(buf, COUNTDOWN_MAX, "%s%lld:%02lld", sign, s / 60, s % 60);
    return buf;
}

enum role verdict_role(enum verdict verdict)
{
    switch (verdict) {
    case VERDICT_WILL_NOT:
    case VERDICT_MISSED: return ROLE_STOP;
    case VERDICT_DOUBTFUL: return ROLE_WATCH;
    case VERDICT_NONE:
    case VERDICT_KEPT:
    case VERDICT_WILL:
    case VERDICT_LIKELY: break;
    }
    return ROLE_CALM;
}

static const char *clock_at(double at_s, char buf[CIVIL_TEXT_MAX])
{
    return clock_text((struct instant){(int64_t)floor(at_s)}, buf);
}

/* Seconds until the limit's temperature; NaN when it is past or does not come. */
static double to_limit_s(const struct app *a, const struct batch_forecast *f)
{
    double left = f->to_limit.at - (double)a->now.s;
    return isfinite(left) && left > 0 ? left : (double)NAN;
}

static void draw_head(struct app *a, struct rect r, const struct batch_view *v, bool selected)
{
    const struct batch_forecast *f = &v->forecast;
    char when[CIVIL_TEXT_MAX], head[8];
    bool falling = f->place != PLACE_GONE;
    (void)snprintf(head, sizeof head, " %c ", v->letter);
    int col = draw_text(r, 0, 0, selected ? ROLE_SELECTED : ROLE_STRONG, head);
    col = draw_textf(r, 0, col + 1, ROLE_CHALK, "%d %s " GLYPH_DOT " %s", v->count, v->kind, v->cows);
    if (r.cols >= 64)
        draw_textf(r, 0, col, ROLE_FAINT, " " GLYPH_DOT " poured %s", clock_text(v->poured_at, when));
    draw_rightf(r, 0, f->now_read ? ROLE_STRONG : ROLE_CHALK, " %s%s %s",
                app_quantity(a, f->now_c, DIM_TEMPERATURE), falling ? " " GLYPH_DOWN : "",
                f->now_read ? "read" : "forecast");
}

/* "45 °F in 22 min, safe out 06:52" */
static void when_text(const struct app *a, const struct batch_forecast *f, char *buf, size_t size)
{
    char at[CIVIL_TEXT_MAX];
    double left = to_limit_s(a, f);
    buf[0] = '\0';
    if (isfinite(left))
        (void)snprintf(buf, size, "%s in %s", app_quantity(a, f->limit_c, DIM_TEMPERATURE),
                       span_text((int64_t)left + 59, at));
    else if (isfinite(f->to_limit.at))
        (void)snprintf(buf, size, "%s since %s", app_quantity(a, f->limit_c, DIM_TEMPERATURE),
                       clock_at(f->to_limit.at, at));
    if (f->place == PLACE_TUB && isfinite(f->safe_pull_at)) {
        bool now = f->safe_pull_at <= (double)a->now.s;
        (void)text_append(buf, size, "%s%s%s", buf[0] == '\0' ? "" : ", ",
                          now ? "may come out now" : "safe out ", now ? "" : clock_at(f->safe_pull_at, at));
    } else if (f->place != PLACE_TUB) {
        (void)text_append(buf, size, "%sin the %s", buf[0] == '\0' ? "" : ", ", place_word(f->place));
    }
}

static void verdict_text(const struct app *a, const struct batch_forecast *f, char *buf, size_t size)
{
    char by[CIVIL_TEXT_MAX], hand[CIVIL_TEXT_MAX];
    if (f->verdict == VERDICT_NONE || !isfinite(f->deadline_at)) {
        (void)snprintf(buf, size, "no limit to judge by");
        return;
    }
    (void)snprintf(buf, size, "%s by %s: %s", app_quantity(a, f->limit_c, DIM_TEMPERATURE),
                   clock_at(f->deadline_at, by), verdict_word(f->verdict));
    if (isfinite(f->in_hand_s))
        (void)text_append(buf, size, ", %s %s", span_text((int64_t)fabs(f->in_hand_s), hand),
                          f->in_hand_s >= 0 ? "in hand" : "late");
}

/* One row for a batch that is not under the cursor. */
static void draw_short(struct app *a, struct rect r, const struct batch_view *v)
{
    char text[160];
    draw_head(a, r, v, false);
    if (r.rows < 2)
        return;
    when_text(a, &v->forecast, text, sizeof text);
    int col = draw_text(r, 1, 4, ROLE_CHALK, text);
    draw_textf(r, 1, col, verdict_role(v->forecast.verdict), " " GLYPH_DOT " %s",
               verdict_word(v->forecast.verdict));
}

/* ---- the chart ---- */

struct chill_chart {
    double x[CURVE_POINTS], y[CURVE_POINTS], low[CURVE_POINTS], high[CURVE_POINTS];
    double read_x[BOARD_READINGS_MAX + 1], read_y[BOARD_READINGS_MAX + 1];
    size_t reads;
};

static double shown_temp(const struct app *a, double temp_c)
{
    return dairy_units(a->dairy) == UNITS_US ? temp_f_from_c(temp_c) : temp_c;
}

static void fill_chart(const struct app *a, const struct batch_view *v, struct chill_chart *c)
{
    for (int i = 0; i < CURVE_POINTS; i++) {
        const struct curve_point *p = &v->forecast.curve[i];
        c->x[i] = p->at;
        c->y[i] = shown_temp(a, p->temp_c);
        c->low[i] = shown_temp(a, p->low_c);
        c->high[i] = shown_temp(a, p->high_c);
    }
    c->reads = 0;
    if (v->poured_read) {
        c->read_x[0] = (double)v->poured_at.s;
        c->read_y[c->reads++] = shown_temp(a, v->poured_c);
    }
    for (size_t i = 0; i < v->readings; i++) {
        c->read_x[c->reads] = v->reading[i].at;
        c->read_y[c->reads++] = shown_temp(a, v->reading[i].temp_c);
    }
}

static void draw_batch_chart(struct app *a, struct rect r, const struct batch_view *v)
{
    struct chill_chart c;
    const struct batch_forecast *f = &v->forecast;
    char from[CIVIL_TEXT_MAX], now[CIVIL_TEXT_MAX], by[CIVIL_TEXT_MAX], top[16], bottom[16];
    fill_chart(a, v, &c);
    double low = shown_temp(a, 0), high = shown_temp(a, fmax(v->poured_c, f->now_c));
    struct series series[] = {
        {.kind = SERIES_BAND,
         .role = ROLE_BAND,
         .x = c.x,
         .y = c.high,
         .y_low = c.low,
         .count = CURVE_POINTS,
         .shade = SHADE_QUARTER},
        {.kind = SERIES_LINE, .role = ROLE_CURVE, .x = c.x, .y = c.y, .count = CURVE_POINTS},
        {.kind = SERIES_MARKS, .role = ROLE_STRONG, .x = c.read_x, .y = c.read_y, .count = c.reads},
    };
    struct chart_limit limit = {shown_temp(a, f->limit_c), ROLE_WATCH, NULL};
    struct chart_event events[] = {{(double)a->now.s, ROLE_ACCENT, NULL}, {f->deadline_at, ROLE_WATCH, NULL}};
    struct chart_tick x_ticks[] = {
        {c.x[0], clock_at(c.x[0], from)},
        {(double)a->now.s, clock_text(a->now, now)},
        {f->deadline_at, isfinite(f->deadline_at) ? clock_at(f->deadline_at, by) : ""}};
    (void)snprintf(top, sizeof top, "%.0f", high);
    (void)snprintf(bottom, sizeof bottom, "%.0f", shown_temp(a, f->limit_c));
    struct chart_tick y_ticks[] = {{high, top}, {shown_temp(a, f->limit_c), bottom}};
    bool has_limit = isfinite(f->limit_c) && isfinite(f->deadline_at);
    struct chart chart = {.x_low = c.x[0],
                          .x_high = c.x[CURVE_POINTS - 1],
                          .y_low = low,
                          .y_high = high,
                          .series = series,
                          .series_count = 3,
                          .limits = &limit,
                          .limit_count = has_limit,
                          .events = events,
                          .event_count = has_limit ? 2 : 1,
                          .x_ticks = x_ticks,
                          .x_tick_count = has_limit ? 3 : 2,
                          .y_ticks = y_ticks,
                          .y_tick_count = has_limit ? 2 : 1};
    draw_chart(r, &chart);
}

/* The count-down in figures as large as the room allows, under a line that says to what. */
static void draw_countdown(struct app *a, struct rect r, const struct batch_view *v)
{
    char text[COUNTDOWN_MAX], title[64];
    double left = to_limit_s(a, &v->forecast);
    if (!isfinite(left) || r.rows < 2)
        return;
    a->cadence = CADENCE_SECOND;
    (void)snprintf(title, sizeof title, "%s in", app_quantity(a, v->forecast.limit_c, DIM_TEMPERATURE));
    draw_right(r, 0, ROLE_FAINT, title);
    struct rect figures = rect_part(r, 1, 0, r.rows - 1, r.cols);
    countdown_text((int64_t)left, text);
    int scale = big_scale(figures, text);
    if (scale == 0)
        draw_right(figures, 0, ROLE_STRONG, text);
    else
        draw_big(figures, 0, figures.cols - big_cols(figures.canvas->charset, scale, text), ROLE_STRONG,
                 scale, text);
}

static void draw_tall(struct app *a, struct rect r, const struct batch_view *v)
{
    char text[160];
    draw_head(a, r, v, a->pane == PANE_CHILL);
    struct rect chart = rect_part(r, 1, 1, r.rows - 3, r.cols - 1);
    bool has_chart = chart.rows >= CHART_LEAST_ROWS && chart.cols >= CHART_LEAST_COLS;
    if (has_chart) {
        int big = chart.cols >= 52 ? 24 : 0;
        struct rect count = rect_take_right(&chart, big);
        draw_batch_chart(a, chart, v);
        draw_countdown(a, count, v);
    }
    int row = has_chart ? r.rows - 2 : 1;
    when_text(a, &v->forecast, text, sizeof text);
    int col = draw_text(r, row, 4, ROLE_STRONG, text);
    if (v->held_why[0] != '\0')
        draw_text(r, row, col + 2, ROLE_STOP, "HELD MILK");
    verdict_text(a, &v->forecast, text, sizeof text);
    draw_text(r, row + 1, 4, verdict_role(v->forecast.verdict), text);
    if (isfinite(to_limit_s(a, &v->forecast)))
        a->cadence = a->cadence == CADENCE_SECOND ? CADENCE_SECOND : CADENCE_MINUTE;
}

static void draw_tub(struct app *a, struct rect r)
{
    const struct tub_forecast *t = &a->board->tub;
    char gone[CIVIL_TEXT_MAX];
    static const char *const stirs[] = {"still", "water moved", "water moved, jars swirled"};
    int col = draw_text(r, 0, 1, ROLE_TITLE, "tub");
    col = draw_textf(r, 0, col + 2, ROLE_CHALK, "%s%s", app_quantity(a, t->temp_c, DIM_TEMPERATURE),
                     t->temp_read ? " read" : "");
    if (t->known && t->ice_kg > 0.005)
        col =
            draw_textf(r, 0, col, ROLE_CHALK, " " GLYPH_DOT " %s ice", app_quantity(a, t->ice_kg, DIM_MASS));
    else if (t->known)
        col = draw_text(r, 0, col, ROLE_WATCH, " " GLYPH_DOT " no ice left");
    if (isfinite(t->ice_gone_at) && t->ice_gone_at > (double)a->now.s)
        col = draw_textf(r, 0, col, ROLE_WATCH, ", gone %s", clock_at(t->ice_gone_at, gone));
    draw_textf(r, 0, col, ROLE_FAINT, " " GLYPH_DOT " %s", stirs[t->stir]);
}

static void draw_empty(struct app *a, struct rect r)
{
    draw_text(r, 0, 1, ROLE_FAINT, "No jars are cooling.");
    draw_text(r, 1, 1, ROLE_FAINT, "p pours milk into jars; i says how much ice went into the tub.");
    (void)a;
}

void draw_chill(struct app *a, struct rect r)
{
    const struct board *b = a->board;
    char remark[80] = "";
    if (b->limit.clause_count > 0)
        (void)snprintf(remark, sizeof remark, "%.70s", b->limit.name);
    draw_rule(r, 0, pane_role(a, PANE_CHILL), "CHILL", remark);
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    struct rect tub = rect_take_bottom(&body, body.rows > 3 ? 1 : 0);
    draw_tub(a, tub);
    if (b->batches == 0) {
        draw_empty(a, body);
        return;
    }
    /* The batch under the cursor takes what the others leave: two rows each, or one where there is little
     * room. */
    int others = (int)b->batches - 1;
    int each = body.rows - 2 * others >= 6 ? 2 : 1;
    int tall = body.rows - each * others;
    if (tall < 3)
        tall = body.rows < 3 ? body.rows : 3;
    for (int i = 0; i < (int)b->batches && body.rows > 0; i++) {
        struct rect strip = rect_take_top(&body, i == a->batch ? tall : each);
        if (i == a->batch)
            draw_tall(a, strip, &b->batch[i]);
        else
            draw_short(a, strip, &b->batch[i]);
    }
}
