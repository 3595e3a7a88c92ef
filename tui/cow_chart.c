/* Her milk against what was expected, the lactation before faint behind it, events under the axis; or her
 * weight against what is usual for her age, and her condition. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "tui/cow_panes.h"
#include "tui/kit/chart.h"
#include "tui/kit/draw.h"

enum { Y_TICKS = 5 };

static double in_units(const struct cow_page *p, double kg)
{
    return p->units == UNITS_US ? kg / KG_PER_LB : kg;
}

const struct page_day *cow_day_now(const struct cow_state *c)
{
    const struct cow_page *p = &c->page;
    if (p->days == 0)
        return NULL;
    if (!date_known(c->on))
        return p->days_past > 0 ? &p->day[p->days_past - 1] : &p->day[0];
    for (size_t i = 0; i < p->days; i++)
        if (p->day[i].on.days == c->on.days)
            return &p->day[i];
    return NULL;
}

/* Round values for the axis, and their labels. */
struct y_axis {
    struct chart_tick tick[Y_TICKS];
    char label[Y_TICKS][16];
    size_t count;
};

static void make_y_axis(double low, double high, struct y_axis *axis)
{
    double round[Y_TICKS];
    axis->count = (size_t)chart_round_values(low, high, Y_TICKS, round);
    for (size_t i = 0; i < axis->count; i++) {
        (void)snprintf(axis->label[i], sizeof axis->label[i], "%g", round[i]);
        axis->tick[i] = (struct chart_tick){round[i], axis->label[i]};
    }
}

/* ---- milk ---- */

struct milk_chart {
    double x[PAGE_DAYS_MAX], kg[PAGE_DAYS_MAX], before[PAGE_DAYS_MAX], expected[PAGE_DAYS_MAX],
        low[PAGE_DAYS_MAX], high[PAGE_DAYS_MAX];
};

static void fill_milk(const struct cow_page *p, struct milk_chart *m)
{
    for (size_t i = 0; i < p->days; i++) {
        m->x[i] = p->day[i].day;
        m->kg[i] = in_units(p, p->day[i].kg);
        m->before[i] = in_units(p, p->day[i].before_kg);
        m->expected[i] = in_units(p, p->day[i].expected_kg);
        m->low[i] = in_units(p, p->day[i].low_kg);
        m->high[i] = in_units(p, p->day[i].high_kg);
    }
}

/* Signs of what happened, on a row of their own under the dots. */
static void draw_axis_events(const struct cow_page *p, struct rect plot, struct rect row, double x_low,
                             double x_high)
{
    if (row.rows == 0 || !(x_high > x_low))
        return;
    /* Oldest first, so that where two meet the newer one stands. */
    for (size_t i = p->events; i > 0; i--) {
        const struct page_event *e = &p->event[i - 1];
        double day = date_diff(p->day[0].on, e->on) + p->day[0].day;
        int col = (int)lround((day - x_low) / (x_high - x_low) * (plot.cols - 1));
        if (day < x_low || day > x_high || e->kind == EVENT_NOTE)
            continue;
        bool bad = e->kind == EVENT_TREATMENT || e->kind == EVENT_HOLD || e->kind == EVENT_UDDER;
        draw_text(rect_part(row, 0, plot.col - row.col, 1, plot.cols), 0, col, bad ? ROLE_WATCH : ROLE_CHALK,
                  cow_event_sign(e->kind));
    }
}

static void draw_milk_chart(struct app *a, struct rect r, const struct milk_chart *m)
{
    const struct cow_page *p = &a->cow->page;
    const struct page_day *now = cow_day_now(a->cow);
    double low = (double)NAN, high = (double)NAN;
    char first[32], last[32], today[32];
    struct y_axis axis;
    size_t n = p->days;
    struct rect signs = rect_take_bottom(&r, r.rows >= 7 ? 1 : 0);
    chart_range(m->kg, n, &low, &high);
    chart_range(m->high, n, &low, &high);
    chart_range(m->before, n, &low, &high);
    if (!isfinite(high))
        return;
    make_y_axis(0, high, &axis);
    const struct series series[] = {
        {.kind = SERIES_BAND,
         .role = ROLE_BAND,
         .x = m->x,
         .y = m->high,
         .y_low = m->low,
         .count = n,
         .shade = SHADE_QUARTER},
        {.kind = SERIES_LINE, .role = ROLE_FAINT, .x = m->x, .y = m->before, .count = n},
        {.kind = SERIES_LINE, .role = ROLE_CURVE, .x = m->x, .y = m->kg, .count = n},
    };
    struct chart_event marks[2];
    size_t mark_count = 0;
    if (p->days_past < n && p->days_past > 0)
        marks[mark_count++] = (struct chart_event){m->x[p->days_past - 1], ROLE_RULE, NULL};
    if (date_known(a->cow->on) && now != NULL)
        marks[mark_count++] = (struct chart_event){now->day, ROLE_ACCENT, NULL};
    (void)snprintf(first, sizeof first, "day %d", p->day[0].day);
    (void)snprintf(last, sizeof last, "day %d", p->day[n - 1].day);
    (void)snprintf(today, sizeof today, "today");
    struct chart_tick x_ticks[3] = {{m->x[0], first}};
    size_t ticks = 1;
    if (p->days_past < n && p->days_past > 0)
        x_ticks[ticks++] = (struct chart_tick){m->x[p->days_past - 1], today};
    x_ticks[ticks++] = (struct chart_tick){m->x[n - 1], last};
    const struct chart chart = {.x_low = m->x[0],
                                .x_high = m->x[n - 1],
                                .y_low = 0,
                                .y_high = high,
                                .series = series,
                                .series_count = sizeof series / sizeof series[0],
                                .events = marks,
                                .event_count = mark_count,
                                .x_ticks = x_ticks,
                                .x_tick_count = ticks,
                                .y_ticks = axis.tick,
                                .y_tick_count = axis.count};
    draw_chart(r, &chart);
    draw_axis_events(p, chart_place(&chart, r).plot, signs, chart.x_low, chart.x_high);
}

/* The day under the cursor; `brief` where there is little room. */
static void milk_remark(const struct app *a, bool brief, char *buf, size_t size)
{
    const struct page_day *day = cow_day_now(a->cow);
    char on[CIVIL_TEXT_MAX];
    buf[0] = '\0';
    if (day == NULL)
        return;
    bool ahead = day->on.days > a->cow->page.today.days;
    if (!brief)
        (void)text_append(buf, size, "%s, ", date_weekday_text(day->on, on));
    (void)text_append(buf, size, "day %d: %s", day->day,
                      isfinite(day->kg) ? app_quantity(a, day->kg, DIM_MASS)
                      : ahead           ? "expected"
                                        : "not weighed");
    if (isfinite(day->expected_kg) && (!brief || ahead))
        (void)text_append(buf, size, "%s%s to %s", ahead ? " " : ", curve ",
                          app_quantity(a, day->low_kg, DIM_MASS), app_quantity(a, day->high_kg, DIM_MASS));
}

static bool both_fit(struct rect r, const char *title, const char *remark)
{
    return draw_width(r.canvas->charset, title) + draw_width(r.canvas->charset, remark) + 9 <= r.cols;
}

static void draw_milk(struct app *a, struct rect r)
{
    const struct cow_page *p = &a->cow->page;
    char remark[120], title[60], calved[CIVIL_TEXT_MAX];
    (void)snprintf(title, sizeof title, "MILK, %s a day", p->units == UNITS_US ? "lb" : "kg");
    if (p->lactations > 0 && !p->shown_now)
        (void)text_append(title, sizeof title, ", lactation %d of %s", p->lactation[p->shown].number,
                          date_year_text(p->lactation[p->shown].calved_on, calved));
    milk_remark(a, false, remark, sizeof remark);
    if (!both_fit(r, title, remark))
        milk_remark(a, true, remark, sizeof remark);
    if (!both_fit(r, title, remark))
        remark[0] = '\0';
    draw_rule(r, 0, cow_pane_role(a, COW_CHART), title, remark);
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    struct milk_chart *m = p->days > 1 ? malloc(sizeof *m) : NULL;
    if (m == NULL) {
        draw_text(body, 1, 2, ROLE_FAINT, "There is no milk of this lactation to draw yet.");
        return;
    }
    fill_milk(p, m);
    draw_milk_chart(a, body, m);
    free(m);
}

/* ---- body ---- */

struct body_chart {
    double x[PAGE_BODY_MAX], kg[PAGE_BODY_MAX], usual[PAGE_BODY_MAX], score_x[PAGE_BODY_MAX],
        score[PAGE_BODY_MAX];
};

/* Condition runs from 1 to 5 and is drawn over the same height as the weights. */
static double score_height(double score, double low, double high)
{
    return low + (score - 1) / 4 * (high - low);
}

static void draw_body_chart(struct app *a, struct rect r, struct body_chart *m)
{
    const struct cow_page *p = &a->cow->page;
    double low = (double)NAN, high = (double)NAN;
    char first[CIVIL_TEXT_MAX], last[CIVIL_TEXT_MAX];
    struct y_axis axis;
    struct instant first_at = p->weights > 0 ? p->weight[0].at : p->score[0].at;
    if (p->scores > 0 && p->score[0].at.s < first_at.s)
        first_at = p->score[0].at;
    struct date from = instant_date(first_at);
    for (size_t i = 0; i < p->weights; i++) {
        m->x[i] = date_diff(from, instant_date(p->weight[i].at));
        m->kg[i] = in_units(p, p->weight[i].kg);
        m->usual[i] = in_units(p, p->weight[i].usual_kg);
    }
    chart_range(m->kg, p->weights, &low, &high);
    chart_range(m->usual, p->weights, &low, &high);
    if (!isfinite(high)) {
        low = 1;
        high = 5;
    } else {
        low = floor(low * 0.9);
        high = ceil(high * 1.05);
    }
    for (size_t i = 0; i < p->scores; i++) {
        m->score_x[i] = date_diff(from, instant_date(p->score[i].at));
        m->score[i] = score_height(p->score[i].score, low, high);
    }
    make_y_axis(low, high, &axis);
    const struct series series[] = {
        {.kind = SERIES_LINE, .role = ROLE_FAINT, .x = m->x, .y = m->usual, .count = p->weights},
        {.kind = SERIES_LINE, .role = ROLE_CURVE, .x = m->x, .y = m->kg, .count = p->weights},
        {.kind = SERIES_MARKS, .role = ROLE_STRONG, .x = m->x, .y = m->kg, .count = p->weights},
        {.kind = SERIES_MARKS,
         .role = ROLE_CALM,
         .x = m->score_x,
         .y = m->score,
         .count = p->scores,
         .mark = "c"},
    };
    double span = date_diff(from, p->today);
    const struct chart_tick x_ticks[] = {{0, date_year_text(from, first)},
                                         {span, date_year_text(p->today, last)}};
    const struct chart chart = {.x_low = 0,
                                .x_high = span,
                                .y_low = low,
                                .y_high = high,
                                .series = series,
                                .series_count = sizeof series / sizeof series[0],
                                .x_ticks = x_ticks,
                                .x_tick_count = 2,
                                .y_ticks = axis.tick,
                                .y_tick_count = axis.count};
    draw_chart(r, &chart);
}

static bool has_usual(const struct cow_page *p)
{
    for (size_t i = 0; i < p->weights; i++)
        if (isfinite(p->weight[i].usual_kg))
            return true;
    return false;
}

static void draw_body(struct app *a, struct rect r)
{
    const struct cow_page *p = &a->cow->page;
    draw_rule(r, 0, cow_pane_role(a, COW_CHART),
              p->units == UNITS_US ? "WEIGHT, lb" : "WEIGHT, kg",
              p->scores > 0  ? "c: condition, 1 at the foot to 5 at the top"
              : has_usual(p) ? "faint: usual for the breed"
                             : NULL);
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    struct body_chart *m = p->weights + p->scores > 0 ? malloc(sizeof *m) : NULL;
    if (m == NULL) {
        draw_text(body, 1, 2, ROLE_FAINT, "Neither weight nor condition is recorded yet: n, then weigh.");
        return;
    }
    draw_body_chart(a, body, m);
    free(m);
}

void draw_cow_chart(struct app *a, struct rect r)
{
    if (a->cow->body || a->cow->page.lactations == 0)
        draw_body(a, r);
    else
        draw_milk(a, r);
}
