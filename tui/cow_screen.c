/* A cow's page: who she is and how she stands, her lactation against what was expected, and what happened to
 * her. Drawn for somebody who stands two metres away. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/cow_page.h"
#include "tui/app.h"
#include "tui/board_panes.h"
#include "tui/help.h"
#include "tui/kit/chart.h"
#include "tui/kit/draw.h"
#include "tui/kit/list.h"

enum cow_list { LIST_EVENTS, LIST_MILKINGS, LISTS };

struct cow_state {
    struct cow_page page;
    struct list list[LISTS];
    int shown; /* enum cow_list */
    int day;   /* index of page.day under the cursor; -1: the last */
};

enum { DO_MILK = 1, DO_HOLD, DO_NOTE, DO_LIST, DO_STALL };

static const struct keymap_row keys[] = {
    {PRESS_LEFT, 0, "←→", "walk", "walks along the days of the chart", 0, 20, true},
    {PRESS_TAB, 0, NULL, "list", "events or milkings", 0, DO_LIST, true},
    {'1', '9', "1-9", "cow", "the cow in that stall", 0, DO_STALL, false},
    {'m', 0, NULL, "milk", "enters her milk", 0, DO_MILK, false},
    {'h', 0, NULL, "hold", "her milk is not to be kept, or is free again", 0, DO_HOLD, false},
    {'e', 0, NULL, "note", "keeps a note about her", 0, DO_NOTE, false},
    {0},
};

static const struct keymap_row *cow_keys(const struct app *a, unsigned *now)
{
    (void)a;
    *now = 0;
    return keys;
}

static void cow_renew(struct app *a)
{
    struct fail f = {0};
    if (a->cow == NULL)
        return;
    if (dairy_cow_page(a->dairy, a->cow_id, a->now, &a->cow->page, &f) != 0)
        (void)app_fail(a, &f);
    list_count(&a->cow->list[LIST_EVENTS], (int)a->cow->page.events);
    list_count(&a->cow->list[LIST_MILKINGS], (int)a->cow->page.milkings);
    if (a->cow->day >= (int)a->cow->page.days)
        a->cow->day = -1;
}

static void cow_open(struct app *a)
{
    if (a->cow == NULL)
        a->cow = calloc(1, sizeof *a->cow);
    if (a->cow != NULL) {
        a->cow->day = -1;
        a->cow->shown = LIST_EVENTS;
        list_select(&a->cow->list[LIST_EVENTS], 0);
        list_select(&a->cow->list[LIST_MILKINGS], 0);
    }
    cow_renew(a);
}

static unsigned open_form(struct app *a, const char *act, const char *title, const char *first)
{
    (void)app_form(a, act, title);
    app_preset(a, "cow", a->cow->page.name);
    form_view_go(&a->form, first);
    return LOOP_DRAW;
}

static unsigned other_cow(struct app *a, int stall)
{
    if (stall < 1 || (size_t)stall > a->board->stalls || a->board->stall[stall - 1].empty)
        return LOOP_NOTHING;
    a->cow_id = a->board->stall[stall - 1].cow_id;
    cow_open(a);
    return LOOP_DRAW;
}

static unsigned walk(struct app *a, int by)
{
    struct cow_state *c = a->cow;
    int last = (int)c->page.days - 1, at = c->day < 0 ? last : c->day;
    at += by;
    if (at < 0 || last < 0)
        at = 0;
    c->day = at >= last ? -1 : at;
    return LOOP_DRAW;
}

static unsigned cow_press(struct app *a, int key)
{
    struct working w;
    struct fail f = {0};
    if (a->cow == NULL)
        return LOOP_NOTHING;
    if (list_press(&a->cow->list[a->cow->shown], key))
        return LOOP_DRAW;
    if (key >= '1' && key <= '9')
        return other_cow(a, key - '0');
    switch (key) {
    case PRESS_LEFT: return walk(a, -1);
    case PRESS_RIGHT: return walk(a, 1);
    case PRESS_TAB: a->cow->shown = (a->cow->shown + 1) % LISTS; return LOOP_DRAW;
    case 'm': return open_form(a, "milk", "Her milk", "mass");
    case 'h': return open_form(a, "hold", "Hold her milk", "hours");
    case 'e': return open_form(a, "note", "A note about her", "text");
    case '?':
        if (!a->cow->page.view.in_milk)
            return LOOP_NOTHING;
        return (a->cow->page.view.keep ? board_explain_cow(a->dairy, a->cow_id, a->now, &w, &f)
                                       : board_explain_hold(a->dairy, a->cow_id, a->now, &w, &f)) == 0
                   ? app_show_working(a, &w)
                   : app_fail(a, &f);
    default: return LOOP_NOTHING;
    }
}

/* ---- drawing ---- */

static void draw_who(struct app *a, struct rect r)
{
    const struct cow_page *p = &a->cow->page;
    char text[300] = "", born[CIVIL_TEXT_MAX];
    int col = draw_text(r, 0, 1, ROLE_STRONG, p->name);
    if (p->breed[0] != '\0')
        (void)text_append(text, sizeof text, " " GLYPH_DOT " %s", p->breed);
    if (p->tag[0] != '\0')
        (void)text_append(text, sizeof text, " " GLYPH_DOT " tag %s", p->tag);
    if (date_known(p->born_on))
        (void)text_append(text, sizeof text, " " GLYPH_DOT " born %s", date_year_text(p->born_on, born));
    if (p->dam[0] != '\0')
        (void)text_append(text, sizeof text, " of %s", p->dam);
    if (p->parity > 0)
        (void)text_append(text, sizeof text, " " GLYPH_DOT " %d calving%s", p->parity,
                          p->parity == 1 ? "" : "s");
    draw_text(r, 0, col, ROLE_FAINT, text);
    draw_textf(r, 1, 1, ROLE_CHALK, "%s%s%s", p->view.state,
               p->view.breeding[0] != '\0' ? " " GLYPH_DOT " " : "", p->view.breeding);
    if (!p->view.in_milk)
        return;
    col = draw_text(r, 2, 1, p->view.keep ? ROLE_CALM : ROLE_STOP, hold_verdict(&p->view.hold));
    draw_text(r, 2, col + 2, p->view.keep ? ROLE_FAINT : ROLE_WATCH,
              p->view.keep ? p->view.udder : p->view.hold.words);
}

static void draw_ahead(struct app *a, struct rect r)
{
    const struct cow_page *p = &a->cow->page;
    char day[CIVIL_TEXT_MAX], from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX];
    int row = 0;
    draw_text(r, row++, 0, ROLE_TITLE, "Next");
    if (date_known(p->dry_off_on) && p->view.in_milk)
        draw_textf(r, row++, 1, ROLE_CHALK, "dry off %s", date_year_text(p->dry_off_on, day));
    if (date_known(p->close_up_on))
        draw_textf(r, row++, 1, ROLE_CHALK, "close-up from %s", date_year_text(p->close_up_on, day));
    if (date_known(p->due_on))
        draw_textf(r, row++, 1, ROLE_STRONG, "due %s (%s to %s)", date_year_text(p->due_on, day),
                   date_text(p->due_from_on, from), date_text(p->due_to_on, to));
    if (row == 1)
        draw_text(r, row++, 1, ROLE_FAINT, "nothing is dated ahead");
    row++;
    draw_text(r, row++, 0, ROLE_TITLE, "This lactation");
    if (isfinite(p->to_date_kg) && p->days > 1)
        draw_textf(r, row++, 1, ROLE_CHALK, "%s so far", app_quantity(a, p->to_date_kg, DIM_MASS));
    if (isfinite(p->expected_305_kg) && p->days > 1)
        draw_textf(r, row++, 1, ROLE_CHALK, "%s expected in 305 days",
                   app_quantity(a, p->expected_305_kg, DIM_MASS));
    if (isfinite(p->peak_kg) && p->peak_day > 0)
        draw_textf(r, row++, 1, ROLE_CHALK, "peak %s about day %d", app_quantity(a, p->peak_kg, DIM_MASS),
                   p->peak_day);
    row++;
    draw_text(r, row++, 0, ROLE_TITLE, "In her manger");
    for (size_t i = 0; i < p->view.rations; i++)
        draw_textf(r, row++, 1, ROLE_CHALK, "%s %s", app_quantity(a, p->view.ration[i].mass_kg, DIM_MASS),
                   p->view.ration[i].feed);
    if (p->view.rations == 0)
        draw_text(r, row, 1, ROLE_FAINT, "nothing is noted");
}

/* ---- her milk as a chart ---- */

struct milk_chart {
    double x[PAGE_DAYS_MAX], kg[PAGE_DAYS_MAX], expected[PAGE_DAYS_MAX], low[PAGE_DAYS_MAX],
        high[PAGE_DAYS_MAX];
};

static double in_units(const struct app *a, double kg)
{
    return dairy_units(a->dairy) == UNITS_US ? kg / KG_PER_LB : kg;
}

static const struct page_day *day_now(const struct cow_state *c)
{
    if (c->page.days == 0)
        return NULL;
    return &c->page.day[c->day < 0 ? (int)c->page.days - 1 : c->day];
}

static void draw_milk_chart(struct app *a, struct rect r, const struct milk_chart *m)
{
    const struct cow_page *p = &a->cow->page;
    double low = (double)NAN, high = (double)NAN, round[4];
    char labels[4][16], first[24], last[24];
    struct chart_tick y_ticks[4];
    size_t n = p->days;
    chart_range(m->kg, n, &low, &high);
    chart_range(m->high, n, &low, &high);
    if (!isfinite(high))
        return;
    int count = chart_round_values(0, high, 4, round);
    for (int i = 0; i < count; i++) {
        (void)snprintf(labels[i], sizeof labels[i], "%.0f", round[i]);
        y_ticks[i] = (struct chart_tick){round[i], labels[i]};
    }
    struct series series[] = {
        {.kind = SERIES_BAND,
         .role = ROLE_BAND,
         .x = m->x,
         .y = m->high,
         .y_low = m->low,
         .count = n,
         .shade = SHADE_QUARTER},
        {.kind = SERIES_LINE, .role = ROLE_FAINT, .x = m->x, .y = m->expected, .count = n},
        {.kind = SERIES_LINE, .role = ROLE_CURVE, .x = m->x, .y = m->kg, .count = n},
    };
    const struct page_day *day = day_now(a->cow);
    struct chart_event cursor = {day->day, ROLE_ACCENT, NULL};
    (void)snprintf(first, sizeof first, "day %d", p->day[0].day);
    (void)snprintf(last, sizeof last, "day %d", p->day[n - 1].day);
    struct chart_tick x_ticks[] = {{m->x[0], first}, {m->x[n - 1], last}};
    struct chart chart = {.x_low = m->x[0],
                          .x_high = m->x[n - 1],
                          .y_low = 0,
                          .y_high = high,
                          .series = series,
                          .series_count = 3,
                          .events = &cursor,
                          .event_count = a->cow->day >= 0,
                          .x_ticks = x_ticks,
                          .x_tick_count = 2,
                          .y_ticks = y_ticks,
                          .y_tick_count = (size_t)count};
    draw_chart(r, &chart);
}

static void draw_milk(struct app *a, struct rect r)
{
    const struct cow_page *p = &a->cow->page;
    const struct page_day *day = day_now(a->cow);
    char remark[120] = "", on[CIVIL_TEXT_MAX];
    if (day != NULL) {
        (void)snprintf(remark, sizeof remark, "%s, day %d: %s", date_weekday_text(day->on, on), day->day,
                       isfinite(day->kg) ? app_quantity(a, day->kg, DIM_MASS) : "not weighed");
        if (isfinite(day->expected_kg))
            (void)text_append(remark, sizeof remark, ", curve %s",
                              app_quantity(a, day->expected_kg, DIM_MASS));
    }
    draw_rule(r, 0, ROLE_TITLE, dairy_units(a->dairy) == UNITS_US ? "MILK, lb a day" : "MILK, kg a day",
              remark);
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    struct milk_chart *m = p->days > 1 ? malloc(sizeof *m) : NULL;
    if (m == NULL) {
        draw_text(body, 1, 2, ROLE_FAINT, "There is no milk of this lactation to draw yet.");
        return;
    }
    for (size_t i = 0; i < p->days; i++) {
        m->x[i] = p->day[i].day;
        m->kg[i] = in_units(a, p->day[i].kg);
        m->expected[i] = in_units(a, p->day[i].expected_kg);
        m->low[i] = in_units(a, p->day[i].low_kg);
        m->high[i] = in_units(a, p->day[i].high_kg);
    }
    draw_milk_chart(a, body, m);
    free(m);
}

static void draw_event(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct page_event *e = &a->cow->page.event[row];
    char on[CIVIL_TEXT_MAX];
    draw_text(r, 0, 1, ROLE_FAINT, date_year_text(instant_date(e->at), on));
    draw_text(r, 0, 15, e->kind == EVENT_HOLD || e->kind == EVENT_UDDER ? ROLE_WATCH : ROLE_STRONG,
              event_word(e->kind));
    draw_text(r, 0, 26, ROLE_CHALK, e->words);
}

static void draw_milking(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct page_milking *m = &a->cow->page.milking[row];
    char at[CIVIL_TEXT_MAX];
    draw_text(r, 0, 1, ROLE_FAINT, instant_text(m->at, at));
    draw_before(r, 0, 30, ROLE_CHALK,
                isfinite(m->mass_kg) ? app_quantity(a, m->mass_kg, DIM_MASS) : GLYPH_DASH);
    draw_text(r, 0, 33, strcmp(m->strip, "clean") == 0 ? ROLE_FAINT : ROLE_WATCH, m->strip);
}

static void cow_draw(struct app *a, struct rect r)
{
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    if (a->cow == NULL || a->cow->page.cow_id == 0)
        return;
    draw_who(a, rect_take_top(&r, 3));
    struct rect upper = rect_take_top(&r, r.rows * 55 / 100);
    if (upper.cols >= 76) {
        struct rect side = rect_take_right(&upper, upper.cols >= 110 ? 46 : 34);
        draw_rule(side, 0, ROLE_TITLE, NULL, NULL);
        draw_ahead(a, rect_part(side, 1, 2, side.rows - 1, side.cols - 2));
    }
    draw_milk(a, upper);
    draw_rule(r, 0, ROLE_ACCENT, a->cow->shown == LIST_EVENTS ? "EVENTS" : "MILKINGS",
              a->cow->shown == LIST_EVENTS ? "Tab: milkings" : "Tab: events");
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    draw_list(body, &a->cow->list[a->cow->shown], true,
              a->cow->shown == LIST_EVENTS ? draw_event : draw_milking, a);
}

const struct screen cow_screen = {
    .letter = 0,
    .name = "Her page",
    .does = "a cow's page",
    .open = cow_open,
    .press = cow_press,
    .draw = cow_draw,
    .renew = cow_renew,
    .keys = cow_keys,
};
