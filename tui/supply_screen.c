/* The year: milk a week of every cow stacked up against the line of what is needed, the weeks that are short, which service
 * closes a gap, and what serving the chosen cow in each month would do. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/supply_view.h"
#include "tui/app.h"
#include "tui/help.h"
#include "tui/kit/chart.h"
#include "tui/kit/draw.h"

struct supply_state {
    struct supply_view view;
    int cow;  /* chosen */
    int week; /* under the cursor */
    double drawn[SUPPLY_COWS_MAX][YEAR_WEEKS]; /* the cows' weeks in the units shown, for the chart */
};

enum { DO_WEEK = 1, DO_COW, DO_SERVE, DO_NEED, DO_CALF };

static const struct keymap_row keys[] = {
    {PRESS_LEFT, 0, "←→", "week", "goes along the weeks", 0, DO_WEEK, true},
    {PRESS_RIGHT, 0, NULL, NULL, NULL, 0, DO_WEEK, false},
    {PRESS_UP, 0, "↑↓", "cow", "chooses a cow: what serving her in each month would do", 0, DO_COW, true},
    {PRESS_DOWN, 0, NULL, NULL, NULL, 0, DO_COW, false},
    {PRESS_ENTER, 0, NULL, "served", "records that she was served", 0, DO_SERVE, false},
    {'+', 0, NULL, "need", "says how much milk is needed in a week", 0, DO_NEED, true},
    {'c', 0, NULL, "calf", "says what part of her milk a calf drinks", 0, DO_CALF, false},
    {0},
};

static const struct keymap_row *supply_keys(const struct app *a, unsigned *now)
{
    (void)a;
    *now = 0;
    return keys;
}

static void supply_renew(struct app *a)
{
    struct fail f = {0};
    struct supply_state *s = a->supply;
    if (s == NULL)
        return;
    if (dairy_supply(a->dairy, a->now, &s->view, &f) != 0)
        (void)app_fail(a, &f);
    if (s->cow >= (int)s->view.cows)
        s->cow = 0;
    if (s->week >= s->view.year.weeks)
        s->week = 0;
}

/* The cow that the sentence speaks of is chosen first. */
static void supply_open(struct app *a)
{
    if (a->supply == NULL)
        a->supply = calloc(1, sizeof *a->supply);
    if (a->supply == NULL)
        return;
    a->supply->cow = a->supply->week = 0;
    supply_renew(a);
    const struct supply_view *v = &a->supply->view;
    for (size_t i = v->gaps; i > 0; i--)
        if (v->gap[i - 1].cow >= 0) {
            a->supply->cow = v->gap[i - 1].cow;
            a->supply->week = v->gap[i - 1].gap.first;
        }
}

/* ---- keys ---- */

static unsigned open_form(struct app *a, const char *act, const char *title, const char *first)
{
    const struct supply_view *v = &a->supply->view;
    if (v->cows == 0)
        return LOOP_NOTHING;
    (void)app_form(a, act, title);
    app_preset(a, "cow", v->cow[a->supply->cow].name);
    form_view_go(&a->form, first);
    return LOOP_DRAW;
}

static unsigned explain(struct app *a)
{
    struct working w;
    struct fail f = {0};
    const struct supply_state *s = a->supply;
    int result = 1;
    for (size_t i = 0; i < s->view.gaps && result == 1; i++)
        if (s->week >= s->view.gap[i].gap.first && s->week <= s->view.gap[i].gap.last)
            result = supply_explain_gap(a->dairy, a->now, i, &w, &f);
    if (result == 1)
        result = supply_explain(a->dairy, a->now, &w, &f);
    return result == 0 ? app_show_working(a, &w) : app_fail(a, &f);
}

static unsigned supply_press(struct app *a, int key)
{
    struct supply_state *s = a->supply;
    if (s == NULL)
        return LOOP_NOTHING;
    switch (key) {
    case PRESS_LEFT: s->week -= s->week > 0; return LOOP_DRAW;
    case PRESS_RIGHT: s->week += s->week + 1 < s->view.year.weeks; return LOOP_DRAW;
    case PRESS_HOME: s->week = 0; return LOOP_DRAW;
    case PRESS_END: s->week = s->view.year.weeks > 0 ? s->view.year.weeks - 1 : 0; return LOOP_DRAW;
    case PRESS_UP: s->cow -= s->cow > 0; return LOOP_DRAW;
    case PRESS_DOWN: s->cow += s->cow + 1 < (int)s->view.cows; return LOOP_DRAW;
    case PRESS_ENTER: return open_form(a, "service", "She was served", "by");
    case 'c': return open_form(a, "calfmilk", "What her calf drinks", "share");
    case '+': return app_form(a, "need", "Milk needed in a week");
    case '?': return explain(a);
    default: return LOOP_NOTHING;
    }
}

/* ---- drawing ---- */

static double in_units(const struct app *a, double litres)
{
    return dairy_units(a->dairy) == UNITS_US ? litres / L_PER_GAL : litres;
}

static const char *unit(const struct app *a)
{
    return dairy_units(a->dairy) == UNITS_US ? "gal" : "L";
}

/* Cows stand apart by how densely they are dotted, and by their colour. */
static enum shade shade_of(size_t i)
{
    return i % 2 == 0 ? SHADE_HALF : SHADE_QUARTER; /* never full: the line of the need goes through them */
}

static enum role role_of(size_t i)
{
    static const enum role roles[] = {ROLE_CURVE, ROLE_CALM, ROLE_ACCENT, ROLE_CHALK};
    return roles[i % 4];
}

enum { TICKS_MAX = 8 };

struct axis {
    struct chart_tick tick[TICKS_MAX];
    char label[TICKS_MAX][16];
    size_t count;
};

static void make_y(double high, struct axis *axis)
{
    double round[TICKS_MAX];
    axis->count = (size_t)chart_round_values(0, high, 5, round);
    for (size_t i = 0; i < axis->count; i++) {
        (void)snprintf(axis->label[i], sizeof axis->label[i], "%g", round[i]);
        axis->tick[i] = (struct chart_tick){round[i], axis->label[i]};
    }
}

/* A label for every other month, at the week in which it begins. */
static void make_x(const struct supply_view *v, struct axis *axis)
{
    static const char *const months[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    int before = 0;
    axis->count = 0;
    for (int i = 0; i < v->year.weeks && axis->count < TICKS_MAX; i++) {
        struct civil c;
        date_to_civil(v->year.week[i].from_on, &c);
        if (before != 0 && c.month != before && c.month % 2 == 1) {
            (void)snprintf(axis->label[axis->count], sizeof axis->label[0], "%s", months[c.month - 1]);
            axis->tick[axis->count] = (struct chart_tick){i, axis->label[axis->count]};
            axis->count++;
        }
        before = c.month;
    }
}

static void draw_year(struct app *a, struct rect r)
{
    struct supply_state *s = a->supply;
    const struct supply_view *v = &s->view;
    struct series series[SUPPLY_COWS_MAX];
    double need_l = v->need.household_l + v->need.shares_l, high = in_units(a, need_l) * 1.15;
    struct axis xs, ys;
    for (size_t i = 0; i < v->cows; i++) {
        for (int week = 0; week < v->year.weeks; week++)
            s->drawn[i][week] = in_units(a, v->cow[i].week_l[week]);
        series[i] = (struct series){.kind = SERIES_STACK,
                                    .role = role_of(i),
                                    .y = s->drawn[i],
                                    .count = (size_t)v->year.weeks,
                                    .shade = shade_of(i)};
    }
    for (int week = 0; week < v->year.weeks; week++)
        high = fmax(high, in_units(a, v->year.week[week].expected_l) * 1.05);
    make_y(high, &ys);
    make_x(v, &xs);
    const struct chart_limit need = {in_units(a, need_l), ROLE_WATCH, "need"};
    const struct chart_event cursor = {s->week, ROLE_STRONG, NULL};
    const struct chart chart = {.x_low = 0,
                                .x_high = v->year.weeks - 1,
                                .y_low = 0,
                                .y_high = high > 0 ? high : 1,
                                .series = series,
                                .series_count = v->cows,
                                .limits = &need,
                                .limit_count = v->need_set || v->need.shares_l > 0,
                                .events = &cursor,
                                .event_count = 1,
                                .x_ticks = xs.tick,
                                .x_tick_count = xs.count,
                                .y_ticks = ys.tick,
                                .y_tick_count = ys.count};
    draw_chart(r, &chart);
}

/* One week in a line: what is expected, from whom, against what is needed. */
static void draw_week(const struct app *a, struct rect r)
{
    const struct supply_state *s = a->supply;
    const struct supply_week *week = &s->view.year.week[s->week];
    char day[CIVIL_TEXT_MAX];
    int col = draw_textf(r, 0, 1, ROLE_STRONG, "week of %s", date_text(week->from_on, day));
    col = draw_textf(r, 0, col + 2, ROLE_CHALK, "%.0f %s of %.0f needed", in_units(a, week->expected_l), unit(a),
                     in_units(a, week->need_l));
    if (week->is_short)
        col = draw_textf(r, 0, col + 2, ROLE_STOP, "SHORT %.0f", in_units(a, week->need_l - week->expected_l));
    else if (week->is_over)
        col = draw_text(r, 0, col + 2, ROLE_WATCH, "more than can be used");
    (void)draw_textf(r, 0, col + 2, ROLE_FAINT, "8 in 10: %.0f to %.0f", in_units(a, week->low_l), in_units(a, week->high_l));
}

static const char *const fills[] = {"⢕", "⠅"};

static void draw_cows(const struct app *a, struct rect r)
{
    const struct supply_state *s = a->supply;
    const struct supply_view *v = &s->view;
    for (size_t i = 0; i < v->cows && (int)i < r.rows; i++) {
        const struct supply_cow_view *cow = &v->cow[i];
        struct rect line = rect_part(r, (int)i, 0, 1, r.cols);
        if (r.canvas->charset == CHARSET_FULL)
            draw_text(line, 0, 1, role_of(i), fills[i % 2]);
        draw_text(line, 0, 3, ROLE_STRONG, cow->name);
        draw_textf(line, 0, 15, ROLE_CHALK, "%4.0f %s", in_units(a, cow->week_l[s->week]), unit(a));
        draw_text(line, 0, 25, ROLE_FAINT, cow->state);
        if ((int)i == s->cow)
            draw_flip(line);
    }
}

static void draw_months(const struct app *a, struct rect r)
{
    const struct supply_view *v = &a->supply->view;
    if (v->cows == 0)
        return;
    const struct supply_cow_view *cow = &v->cow[a->supply->cow];
    char title[100], on[CIVIL_TEXT_MAX], due[CIVIL_TEXT_MAX];
    (void)snprintf(title, sizeof title, "IF %.40s IS SERVED", cow->name);
    draw_rule(r, 0, ROLE_TITLE, title, NULL);
    if (cow->months == 0)
        draw_text(r, 1, 1, ROLE_FAINT, !cow->servable ? "She is in calf: that is settled." : v->gaps == 0 ? "No week is short." : "It comes too late for the gap.");
    for (int m = 0; m < cow->months && m + 1 < r.rows; m++) {
        const struct service_effect *e = &cow->month[m];
        int col = draw_textf(r, m + 1, 1, ROLE_CHALK, "%-7s calves %-7s", date_text(e->served_on, on), date_text(e->due_on, due));
        if (e->short_weeks == 0)
            (void)draw_text(r, m + 1, col + 1, ROLE_CALM, "no week short");
        else
            (void)draw_textf(r, m + 1, col + 1, e->closes ? ROLE_WATCH : ROLE_CHALK, "%d week%s short, %.0f %s", e->short_weeks,
                             e->short_weeks == 1 ? "" : "s", ceil(in_units(a, e->short_l)), unit(a));
    }
}

static void supply_draw(struct app *a, struct rect r)
{
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    char title[60], remark[60];
    draw_bottom(a, bottom);
    if (a->supply == NULL)
        return;
    const struct supply_view *v = &a->supply->view;
    (void)snprintf(title, sizeof title, "THE YEAR AHEAD, %s a week", unit(a));
    (void)snprintf(remark, sizeof remark, "%d weeks short, %d over", v->year.short_weeks, v->year.over_weeks);
    draw_rule(r, 0, ROLE_ACCENT, title, v->need_set ? remark : NULL);
    int said = draw_wrapped(rect_part(r, 1, 1, 3, r.cols - 2), 0, 2, v->year.short_weeks > 0 ? ROLE_WATCH : ROLE_CALM, v->sentence);
    struct rect body = rect_part(r, 1 + said, 0, r.rows - 1 - said, r.cols);
    if (v->cows == 0 || body.rows < 4)
        return;
    bool wide = body.cols >= 110;
    struct rect months = wide ? rect_take_right(&body, 46) : body;
    int list = (int)v->cows + 1;
    if (!wide)
        months = rect_take_bottom(&body, body.rows >= 22 ? 8 : body.rows >= 16 ? 4 : 0);
    struct rect lines = rect_take_bottom(&body, body.rows > list + 5 ? list : body.rows / 2);
    draw_year(a, body);
    draw_week(a, lines);
    draw_cows(a, rect_part(lines, 1, 0, lines.rows - 1, lines.cols));
    if (months.rows > 1)
        draw_months(a, months);
}

const struct screen supply_screen = {
    .letter = 'y',
    .name = "The year",
    .does = "the year ahead: milk a week against the need, and which service closes a gap",
    .open = supply_open,
    .press = supply_press,
    .draw = supply_draw,
    .renew = supply_renew,
    .keys = supply_keys,
};
