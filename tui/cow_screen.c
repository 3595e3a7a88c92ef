/* A cow's page: who she is and how she stands, her lactation against what was expected, her year, and what
 * happened to her. Drawn for somebody who stands two metres away. Arrows walk along the days, from one
 * lactation into the next; Tab goes from part to part; ? explains the figure under the cursor. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/cow_card.h"
#include "tui/cow_panes.h"
#include "tui/help.h"
#include "tui/kit/draw.h"

enum { WALK_DAYS = 1, WALK_FAR_DAYS = 30 };
enum {
    DO_WALK = 1,
    DO_PANE,
    DO_PANE_BACK,
    DO_OPEN,
    DO_LACTATION,
    DO_STALL,
    DO_MILK,
    DO_HOLD,
    DO_TREAT,
    DO_NOTE,
    DO_BODY,
    DO_CARD
};
enum { WHEN_ENTER = 1, WHEN_PAST = 2 };

static const struct keymap_row keys[] = {
    {PRESS_LEFT, 0, "←→", "walk", "walks along the days of the chart and the year", 0, DO_WALK, true},
    {PRESS_RIGHT, 0, NULL, NULL, NULL, 0, DO_WALK, false},
    {PRESS_ENTER, 0, NULL, "enter", "enters what the figure under the cursor is about", WHEN_ENTER, DO_OPEN,
     true},
    {PRESS_TAB, 0, NULL, "part", "goes on: chart, figures, events, milkings", 0, DO_PANE, true},
    {PRESS_BACK_TAB, 0, NULL, NULL, NULL, 0, DO_PANE_BACK, false},
    {'<', 0, "< >", "lactation", "the lactation before, or after", WHEN_PAST, DO_LACTATION, false},
    {'>', 0, NULL, NULL, NULL, WHEN_PAST, DO_LACTATION, false},
    {'m', 0, NULL, "milk", "enters her milk", 0, DO_MILK, false},
    {'h', 0, NULL, "hold", "her milk is not to be kept, or is free again", 0, DO_HOLD, false},
    {'t', 0, NULL, "treat", "records a treatment with all that its label says", 0, DO_TREAT, false},
    {'e', 0, NULL, "note", "keeps a note about her", 0, DO_NOTE, false},
    {'b', 0, NULL, "body", "weight and condition in the chart, or milk again", 0, DO_BODY, false},
    {'c', 0, NULL, "card", "all about her as a card of text", 0, DO_CARD, false},
    {'1', '9', "1-9", "cow", "the cow in that stall", 0, DO_STALL, false},
    {0},
};

static const struct keymap_row *cow_keys(const struct app *a, unsigned *now)
{
    *now = 0;
    if (a->cow != NULL && (a->cow->pane == COW_SIDE || a->cow->pane == COW_EVENTS))
        *now |= WHEN_ENTER;
    if (a->cow != NULL && a->cow->page.lactations > 1)
        *now |= WHEN_PAST;
    return keys;
}

const char *cow_screen_name(const struct app *a)
{
    return a->cow == NULL ? "" : a->cow->page.name;
}

/* ---- the snapshot ---- */

/* Figures under their headings; headings cannot be chosen. */
static void build_side(struct cow_state *c)
{
    int n = 0;
    const char *group = NULL;
    for (size_t i = 0; i < c->page.figures && n + 2 <= SIDE_LINES_MAX; i++) {
        if (c->page.figure[i].group != group)
            c->line[n++] = (struct side_line){.heading = c->page.figure[i].group};
        group = c->page.figure[i].group;
        c->line[n++] = (struct side_line){.figure = (int)i};
    }
    list_count(&c->side, n);
    if (c->side.count > 1 && c->line[c->side.selected].heading != NULL)
        list_select(&c->side, c->side.selected + 1);
}

static void cow_renew(struct app *a)
{
    struct fail f = {0};
    struct cow_state *c = a->cow;
    if (c == NULL)
        return;
    if (dairy_cow_page(a->dairy, a->cow_id, a->now, c->lactation, &c->page, &f) != 0)
        (void)app_fail(a, &f);
    list_count(&c->events, (int)c->page.events);
    list_count(&c->milkings, (int)c->page.milkings);
    build_side(c);
}

static void cow_open(struct app *a)
{
    if (a->cow == NULL)
        a->cow = calloc(1, sizeof *a->cow);
    if (a->cow == NULL)
        return;
    a->cow->on = DATE_NONE;
    a->cow->lactation = PAGE_NOW;
    a->cow->body = false;
    list_select(&a->cow->events, 0);
    list_select(&a->cow->milkings, 0);
    list_select(&a->cow->side, 0);
    cow_renew(a);
}

static unsigned other_cow(struct app *a, int stall)
{
    if (stall < 1 || (size_t)stall > a->board->stalls || a->board->stall[stall - 1].empty)
        return LOOP_NOTHING;
    a->cow_id = a->board->stall[stall - 1].cow_id;
    cow_open(a);
    return LOOP_DRAW;
}

/* ---- walking ---- */

/* Turns to the lactation of that number, 0 the oldest. */
static void turn_to(struct app *a, int lactation)
{
    struct cow_state *c = a->cow;
    bool last = lactation + 1 >= (int)c->page.lactations;
    c->lactation = last ? PAGE_NOW : lactation;
    cow_renew(a);
}

/* The first and last day that the cursor can stand on in the lactation shown. */
static struct date first_day(const struct cow_page *p)
{
    return p->days > 0 ? p->day[0].on : p->strip_from_on;
}

static struct date last_day(const struct cow_page *p)
{
    if (p->shown_now)
        return p->strip_to_on.days > p->today.days ? p->strip_to_on : p->today;
    return date_add(p->lactation[p->shown + 1].calved_on, -1);
}

static unsigned walk(struct app *a, int days)
{
    struct cow_state *c = a->cow;
    struct date on = date_add(date_known(c->on) ? c->on : c->page.today, days);
    if (on.days < first_day(&c->page).days && c->page.lactations > 0 && c->page.shown > 0) {
        turn_to(a, (int)c->page.shown - 1);
        on = last_day(&c->page).days < on.days ? last_day(&c->page) : on;
    } else if (on.days > last_day(&c->page).days && !c->page.shown_now) {
        turn_to(a, (int)c->page.shown + 1);
    }
    if (on.days < first_day(&c->page).days)
        on = first_day(&c->page);
    if (on.days > last_day(&c->page).days)
        on = last_day(&c->page);
    c->on = on.days == c->page.today.days ? DATE_NONE : on;
    return LOOP_DRAW;
}

static unsigned jump_lactation(struct app *a, int by)
{
    struct cow_state *c = a->cow;
    int to = (int)c->page.shown + by;
    if (to < 0 || to >= (int)c->page.lactations)
        return LOOP_NOTHING;
    turn_to(a, to);
    c->on = c->page.shown_now ? DATE_NONE : c->page.lactation[c->page.shown].calved_on;
    return LOOP_DRAW;
}

/* ---- entering ---- */

static unsigned open_form(struct app *a, const char *act, const char *title, const char *first)
{
    (void)app_form(a, act, title);
    app_preset(a, "cow", a->cow->page.name);
    form_view_go(&a->form, first);
    return LOOP_DRAW;
}

static unsigned open_milk(struct app *a)
{
    (void)open_form(a, "milk", "Her milk", "mass");
    app_preset(a, "strip", "clean");
    app_preset(a, "disc", "clean");
    return LOOP_DRAW;
}

/* What Enter on something that is due opens. */
static unsigned open_due(struct app *a, const struct cow_due *due)
{
    const struct due_act *act = due_act(due->kind);
    return act->act == NULL ? LOOP_NOTHING : open_form(a, act->act, act->title, act->first);
}

/* What Enter on a figure opens. */
static unsigned open_figure(struct app *a, const struct page_figure *figure)
{
    switch (figure->kind) {
    case FIGURE_DUE: return figure->index < 0 ? LOOP_NOTHING : open_due(a, &a->cow->page.due[figure->index]);
    case FIGURE_QUARTERS: return open_form(a, "quarter", "Paddle test, quarter by quarter", "LF");
    case FIGURE_HOLD:
    case FIGURE_MEAT: return open_form(a, "hold", "Her hold", "hours");
    case FIGURE_CELLS: return open_form(a, "cells", "A cell count", "count");
    case FIGURE_CULTURE: return open_form(a, "culture", "A culture", "found");
    case FIGURE_EXPECTED:
    case FIGURE_WATCH:
    case FIGURE_TO_DATE:
    case FIGURE_305:
    case FIGURE_PEAK:
    case FIGURE_PERSISTENCY: return open_milk(a);
    case FIGURE_CORRECTED: return open_form(a, "test", "A test of her milk", "fat");
    case FIGURE_WEIGHT: return open_form(a, "weigh", "Her weight", "girth");
    case FIGURE_CONDITION: return open_form(a, "condition", "Her condition", "score");
    case FIGURE_RATION: return open_form(a, "ration", "Her ration", "feed");
    case FIGURE_NOTE: return open_form(a, "note", "A note about her", "text");
    case FIGURE_CALVING: return open_form(a, "check", "A pregnancy check", "method");
    case FIGURE_CYCLE: return open_form(a, "heat", "She is in heat", "signs");
    case FIGURE_BREEDING: return open_form(a, "service", "She was served", "by");
    }
    return LOOP_NOTHING;
}

static unsigned open_event(struct app *a)
{
    const struct cow_state *c = a->cow;
    const struct page_event *e = &c->page.event[c->events.selected];
    char product[120], day[CIVIL_TEXT_MAX];
    struct fail f = {0};
    if (c->page.events == 0 || e->kind != EVENT_TREATMENT)
        return LOOP_NOTHING;
    if (dairy_treatment_product(a->dairy, e->id, product, sizeof product, &f) != 0)
        return app_fail(a, &f);
    (void)open_form(a, "label", "The record of her treatment", "active");
    app_preset(a, "product", product);
    app_preset(a, "begun", date_iso(instant_date(e->at), day));
    form_view_go(&a->form, "active");
    return LOOP_DRAW;
}

static const struct page_figure *figure_now(const struct cow_state *c)
{
    if (c->side.count == 0 || c->line[c->side.selected].heading != NULL)
        return NULL;
    return &c->page.figure[c->line[c->side.selected].figure];
}

static unsigned open_here(struct app *a)
{
    const struct page_figure *figure = figure_now(a->cow);
    if (a->cow->pane == COW_SIDE && figure != NULL)
        return open_figure(a, figure);
    return a->cow->pane == COW_EVENTS ? open_event(a) : LOOP_NOTHING;
}

static unsigned show_card(struct app *a)
{
    struct fail f = {0};
    struct cow_card *card = malloc(sizeof *card);
    if (card == NULL)
        return LOOP_NOTHING;
    unsigned answer = LOOP_DRAW;
    if (dairy_cow_card(a->dairy, a->cow_id, a->now, card, &f) != 0) {
        answer = app_fail(a, &f);
    } else {
        page_clear(&a->page);
        for (size_t i = 0; i < card->lines; i++)
            page_add(&a->page, card->heading[i] ? ROLE_TITLE : ROLE_CHALK, card->heading[i] ? 0 : 2, "%s",
                     card->line[i]);
        answer = app_show_page(a, "Her card");
    }
    free(card);
    return answer;
}

/* ---- keys ---- */

static unsigned explain(struct app *a)
{
    struct working w;
    struct fail f = {0};
    const struct cow_state *c = a->cow;
    const struct page_figure *figure = figure_now(c);
    const struct page_day *day = cow_day_now(c);
    int result;
    if (c->pane == COW_SIDE && figure != NULL)
        result = cow_page_explain(a->dairy, &c->page, figure, &w, &f);
    else if (c->pane == COW_CHART && day != NULL && !c->body)
        result = cow_page_explain_day(a->dairy, &c->page, day->on, &w, &f);
    else
        return help_show(a);
    return result == 0 ? app_show_working(a, &w) : app_fail(a, &f);
}

/* The side column steps over its headings. */
static unsigned press_side(struct app *a, int key)
{
    struct cow_state *c = a->cow;
    int before = c->side.selected;
    if (!list_press(&c->side, key))
        return LOOP_NOTHING;
    if (c->line[c->side.selected].heading != NULL)
        list_select(&c->side,
                    c->side.selected + (c->side.selected < before && c->side.selected > 0 ? -1 : 1));
    return LOOP_DRAW;
}

static unsigned press_in_pane(struct app *a, int key)
{
    struct cow_state *c = a->cow;
    switch (c->pane) {
    case COW_SIDE: return press_side(a, key);
    case COW_EVENTS: return list_press(&c->events, key) ? LOOP_DRAW : LOOP_NOTHING;
    case COW_MILKINGS: return list_press(&c->milkings, key) ? LOOP_DRAW : LOOP_NOTHING;
    default: break;
    }
    switch (key) {
    case PRESS_UP:
    case PRESS_PAGE_UP: return walk(a, -WALK_FAR_DAYS);
    case PRESS_DOWN:
    case PRESS_PAGE_DOWN: return walk(a, WALK_FAR_DAYS);
    case PRESS_END:
        c->on = DATE_NONE;
        turn_to(a, (int)c->page.lactations);
        return LOOP_DRAW;
    case PRESS_HOME: return jump_lactation(a, -(int)c->page.shown);
    default: return LOOP_NOTHING;
    }
}

static unsigned do_key(struct app *a, int id, int key)
{
    struct cow_state *c = a->cow;
    switch (id) {
    case DO_WALK: return walk(a, key == PRESS_LEFT ? -WALK_DAYS : WALK_DAYS);
    case DO_PANE: c->pane = (c->pane + 1) % COW_PANES; return LOOP_DRAW;
    case DO_PANE_BACK: c->pane = (c->pane + COW_PANES - 1) % COW_PANES; return LOOP_DRAW;
    case DO_OPEN: return open_here(a);
    case DO_LACTATION: return jump_lactation(a, key == '<' ? -1 : 1);
    case DO_STALL: return other_cow(a, key - '0');
    case DO_MILK: return open_milk(a);
    case DO_HOLD: return open_form(a, "hold", "Hold her milk", "hours");
    case DO_TREAT: return open_form(a, "treat", "A treatment: what the label says", "product");
    case DO_NOTE: return open_form(a, "note", "A note about her", "text");
    case DO_BODY: c->body = !c->body; return LOOP_DRAW;
    case DO_CARD: return show_card(a);
    default: return LOOP_NOTHING;
    }
}

static unsigned cow_press(struct app *a, int key)
{
    unsigned now = 0;
    if (a->cow == NULL)
        return LOOP_NOTHING;
    const struct keymap_row *table = cow_keys(a, &now), *row = keymap_find(table, key, now);
    if (row != NULL)
        return do_key(a, row->id, key);
    if (key == '?')
        return explain(a);
    return press_in_pane(a, key);
}

/* ---- drawing ---- */

/* Where there is too little room for all, the part that has the keys is shown. */
static void draw_small(struct app *a, struct rect r)
{
    if (a->cow->pane == COW_SIDE)
        draw_cow_side(a, r);
    else if (a->cow->pane == COW_CHART)
        draw_cow_chart(a, r);
    else
        draw_cow_list(a, r);
}

static void cow_draw(struct app *a, struct rect r)
{
    int screen_rows = r.rows;
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    if (a->cow == NULL || a->cow->page.cow_id == 0)
        return;
    draw_cow_head(a, rect_take_top(&r, screen_rows >= COW_TALL_ROWS ? 6 : 3));
    if (r.rows < 16 || r.cols < 60) {
        draw_small(a, r);
        return;
    }
    struct rect list = rect_take_bottom(&r, r.rows >= 24 ? r.rows / 4 : 4);
    struct rect strip = rect_take_bottom(&r, cow_strip_rows(screen_rows));
    struct rect side = rect_take_right(&r, r.cols >= 110 ? 56 : r.cols * 42 / 100);
    draw_cow_chart(a, r);
    draw_cow_side(a, rect_part(side, 0, 1, side.rows, side.cols - 1));
    draw_cow_strip(a, strip);
    draw_cow_list(a, list);
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
