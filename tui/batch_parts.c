/* What the chill pane and the batch page both show of a batch, and the entries that both open. */
#include "tui/batch_parts.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "tui/board_panes.h"
#include "tui/kit/big.h"
#include "tui/kit/chart.h"
#include "tui/kit/draw.h"
#include "tui/probe_desk.h"

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

const char *clock_at(double at_s, char buf[CIVIL_TEXT_MAX])
{
    return clock_text((struct instant){(int64_t)floor(at_s)}, buf);
}

double to_limit_s(const struct app *a, const struct batch_forecast *f)
{
    double left = f->to_limit.at - (double)a->now.s;
    return isfinite(left) && left > 0 ? left : (double)NAN;
}

void when_text(const struct app *a, const struct batch_forecast *f, bool brief, char *buf, size_t size)
{
    char at[CIVIL_TEXT_MAX];
    double left = to_limit_s(a, f);
    bool in_tub = f->place == PLACE_TUB && isfinite(f->safe_pull_at);
    buf[0] = '\0';
    if (brief && (in_tub || f->place != PLACE_TUB))
        ; /* when they may come out, or where they are, says more */
    else if (isfinite(left))
        (void)snprintf(buf, size, "%s in %s", app_quantity(a, f->limit_c, DIM_TEMPERATURE),
                       span_text((int64_t)left + 59, at));
    else if (isfinite(f->to_limit.at))
        (void)snprintf(buf, size, "%s since %s", app_quantity(a, f->limit_c, DIM_TEMPERATURE),
                       clock_at(f->to_limit.at, at));
    if (in_tub) {
        bool now = f->safe_pull_at <= (double)a->now.s;
        (void)text_append(buf, size, "%s%s%s", buf[0] == '\0' ? "" : ", ",
                          now ? "may come out now" : "safe out ", now ? "" : clock_at(f->safe_pull_at, at));
    } else if (f->place != PLACE_TUB) {
        (void)text_append(buf, size, "%sin the %s", buf[0] == '\0' ? "" : ", ", place_word(f->place));
    }
}

void verdict_text(const struct app *a, const struct batch_forecast *f, bool brief, char *buf, size_t size)
{
    char by[CIVIL_TEXT_MAX], hand[CIVIL_TEXT_MAX];
    buf[0] = '\0';
    if (f->verdict == VERDICT_NONE || !isfinite(f->deadline_at)) {
        (void)snprintf(buf, size, "no limit to judge by");
        return;
    }
    if (!brief)
        (void)snprintf(buf, size, "%s by %s: ", app_quantity(a, f->limit_c, DIM_TEMPERATURE),
                       clock_at(f->deadline_at, by));
    (void)text_append(buf, size, "%s", verdict_word(f->verdict));
    if (isfinite(f->in_hand_s) && f->in_hand_s >= 0)
        (void)text_append(buf, size, ", %s in hand", span_text((int64_t)f->in_hand_s, hand));
    else if (isfinite(f->in_hand_s)) /* a minute that has begun is late */
        (void)text_append(buf, size, ", %s late", span_text((int64_t)-f->in_hand_s + 59, hand));
}

/* ---- the chart ---- */

struct chill_chart {
    double x[CURVE_POINTS], y[CURVE_POINTS], low[CURVE_POINTS], high[CURVE_POINTS];
    double in_bath[CURVE_POINTS], in_air[CURVE_POINTS]; /* the line in its two stages; NaN in the other */
    double read_x[BOARD_READINGS_MAX + 1], read_y[BOARD_READINGS_MAX + 1];
    size_t reads;
};

static double shown_temp(const struct app *a, double temp_c)
{
    return dairy_units(a->dairy) == UNITS_US ? temp_f_from_c(temp_c) : temp_c;
}

/* Does the line run in the bath at a moment? Its jars went where the last move before it took them. */
static bool in_bath_at(const struct batch_view *v, double at)
{
    enum place place = v->first;
    for (size_t i = 0; i < v->moves && v->move[i].at <= at; i++)
        place = v->move[i].to;
    return place == PLACE_TUB;
}

/* Splits the line where its stages change; a point at the change belongs to both, so that they join. */
static void split_stages(const struct batch_view *v, struct chill_chart *c)
{
    for (int i = 0; i < CURVE_POINTS; i++) {
        bool bath = in_bath_at(v, c->x[i]), next = i + 1 < CURVE_POINTS ? in_bath_at(v, c->x[i + 1]) : bath;
        bool before = i > 0 ? in_bath_at(v, c->x[i - 1]) : bath;
        c->in_bath[i] = bath ? c->y[i] : (double)NAN;
        c->in_air[i] = !bath || !next || !before ? c->y[i] : (double)NAN;
    }
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
    split_stages(v, c);
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

enum { EVENTS_MAX = 2 + BATCH_MOVES_MAX };

/* Now, the deadline, and (wide) where the jars went. */
static size_t fill_events(const struct app *a, const struct batch_view *v, bool wide, struct chart_event *events)
{
    size_t count = 0;
    double last = -INFINITY;
    events[count++] = (struct chart_event){(double)a->now.s, ROLE_ACCENT, NULL};
    if (isfinite(v->forecast.limit_c) && isfinite(v->forecast.deadline_at))
        events[count++] = (struct chart_event){v->forecast.deadline_at, ROLE_WATCH, NULL};
    for (size_t i = 0; wide && i < v->moves; i++) {
        if (v->move[i].at > last)
            events[count++] = (struct chart_event){v->move[i].at, ROLE_FAINT, place_word(v->move[i].to)};
        last = v->move[i].at;
    }
    return count;
}

void draw_batch_chart(struct app *a, struct rect r, const struct batch_view *v, bool wide)
{
    struct chill_chart c;
    const struct batch_forecast *f = &v->forecast;
    char from[CIVIL_TEXT_MAX], now[CIVIL_TEXT_MAX], by[CIVIL_TEXT_MAX], y_text[5][16];
    struct chart_event events[EVENTS_MAX];
    fill_chart(a, v, &c);
    double low = shown_temp(a, 0), high = shown_temp(a, fmax(v->poured_c, f->now_c)), round[4];
    struct series series[] = {
        {.kind = SERIES_BAND,
         .role = ROLE_BAND,
         .x = c.x,
         .y = c.high,
         .y_low = c.low,
         .count = CURVE_POINTS,
         .shade = SHADE_QUARTER},
        {.kind = SERIES_LINE, .role = ROLE_CURVE, .x = c.x, .y = c.in_bath, .count = CURVE_POINTS},
        {.kind = SERIES_LINE, .role = ROLE_CHALK, .x = c.x, .y = c.in_air, .count = CURVE_POINTS},
        {.kind = SERIES_MARKS, .role = ROLE_STRONG, .x = c.read_x, .y = c.read_y, .count = c.reads},
    };
    struct chart_limit limit = {shown_temp(a, f->limit_c), ROLE_WATCH, NULL};
    struct chart_tick x_ticks[] = {
        {c.x[0], clock_at(c.x[0], from)},
        {(double)a->now.s, clock_text(a->now, now)},
        {f->deadline_at, isfinite(f->deadline_at) ? clock_at(f->deadline_at, by) : ""}};
    bool has_limit = isfinite(f->limit_c) && isfinite(f->deadline_at);
    /* The limit's own label goes first: those that would touch it are left out. */
    struct chart_tick y_ticks[5];
    size_t y_count = 0;
    if (has_limit)
        y_ticks[y_count++] = (struct chart_tick){shown_temp(a, f->limit_c), y_text[4]};
    y_ticks[y_count++] = (struct chart_tick){high, y_text[3]};
    (void)snprintf(y_text[4], sizeof y_text[4], "%.0f", shown_temp(a, f->limit_c));
    (void)snprintf(y_text[3], sizeof y_text[3], "%.0f", high);
    int rounds = wide ? chart_round_values(low, high, 3, round) : 0;
    for (int i = 0; i < rounds; i++) {
        (void)snprintf(y_text[i], sizeof y_text[i], "%.0f", round[i]);
        y_ticks[y_count++] = (struct chart_tick){round[i], y_text[i]};
    }
    struct chart chart = {.x_low = c.x[0],
                          .x_high = c.x[CURVE_POINTS - 1],
                          .y_low = low,
                          .y_high = high,
                          .series = series,
                          .series_count = sizeof series / sizeof series[0],
                          .limits = &limit,
                          .limit_count = has_limit,
                          .events = events,
                          .event_count = fill_events(a, v, wide, events),
                          .x_ticks = x_ticks,
                          .x_tick_count = has_limit ? 3 : 2,
                          .y_ticks = y_ticks,
                          .y_tick_count = y_count};
    draw_chart(r, &chart);
}

void draw_countdown(struct app *a, struct rect r, const struct batch_view *v)
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

const char *stir_says(enum stir stir)
{
    static const char *const says[STIR_COUNT] = {"still", "water moved", "water moved, jars swirled"};
    return says[stir];
}

/* ---- entries ---- */

unsigned open_reading(struct app *a, const char *digit)
{
    const struct batch_view *v = &a->board->batch[a->batch];
    (void)app_form(a, "reading", "Temperature read");
    app_preset(a, "batch", v->code);
    app_preset(a, "temp", digit);
    form_view_go(&a->form, "temp");
    return LOOP_DRAW;
}

unsigned open_take_out(struct app *a)
{
    (void)app_form(a, "pull", "Jars out of the tub");
    app_preset(a, "batch", a->board->batch[a->batch].code);
    app_preset(a, "to", "fridge");
    form_view_go(&a->form, "to");
    return LOOP_DRAW;
}

unsigned open_tub_reading(struct app *a)
{
    (void)app_form(a, "reading", "The tub reads");
    app_preset(a, "at_place", "tub");
    form_view_go(&a->form, "temp");
    return LOOP_DRAW;
}

/* The first probe of this computer that hangs nowhere yet, else the first there is; "" none. */
static const char *probe_to_point(const struct app *a, const struct probes_found *found)
{
    for (size_t i = 0; i < found->count; i++) {
        bool used = false;
        for (size_t n = 0; n < probe_desk_count(a); n++)
            used = used || strcmp(probe_desk_at(a, n)->use.path, found->path[i]) == 0;
        if (!used)
            return found->path[i];
    }
    if (probe_desk_count(a) > 0)
        return probe_desk_at(a, 0)->use.path;
    return found->count > 0 ? found->path[0] : "";
}

unsigned open_probe(struct app *a, const char *batch)
{
    struct probes_found found;
    probe_files_find("", &found);
    (void)app_form(a, "probe", "A probe");
    app_preset(a, "path", probe_to_point(a, &found));
    app_preset(a, "batch", batch);
    form_view_go(&a->form, "path");
    return LOOP_DRAW;
}
