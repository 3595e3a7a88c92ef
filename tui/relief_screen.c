/* The relief view: the next milking for somebody who has never milked here. It only shows: page by page, what
 * to do before the cows, then each cow in the order of milking, then what comes after. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/relief_view.h"
#include "tui/app.h"
#include "tui/help.h"
#include "tui/kit/big.h"
#include "tui/kit/draw.h"

struct relief_state {
    struct relief_view view;
    int sheet; /* 0 before the cows, 1 .. milked a cow, then what comes after */
    struct page page;
    int built_for; /* the sheet that is in `page`; -1: none */
};

enum { DO_TURN = 1, DO_COW };

static const struct keymap_row keys[] = {
    {PRESS_RIGHT, 0, "←→", "next", "goes on to the next cow, or back", 0, DO_TURN, true},
    {PRESS_LEFT, 0, NULL, NULL, NULL, 0, DO_TURN, false},
    {' ', 0, NULL, NULL, NULL, 0, DO_TURN, false},
    {PRESS_TAB, 0, NULL, NULL, NULL, 0, DO_TURN, false},
    {PRESS_UP, 0, "↑↓", "scroll", "scrolls the steps", 0, 90, true},
    {'1', '9', "1-9", "cow", "the cow in that stall", 0, DO_COW, false},
    {0},
};

static const struct keymap_row *relief_keys(const struct app *a, unsigned *now)
{
    (void)a;
    *now = 0;
    return keys;
}

/* ---- sheets ---- */

static int last_sheet(const struct relief_view *v)
{
    return (int)v->milked + 1;
}

static void add_step(const struct relief_view *v, struct page *p, const struct routine_step *s, int *number)
{
    enum caution_id cautions[STEP_CARD_CAUTIONS_MAX];
    char extra[120] = "", text[QUANTITY_TEXT_MAX];
    if (s->kind == STEP_TIMED)
        (void)text_append(extra, sizeof extra, " (%s)",
                          quantity_format(s->contact_s, DIM_DURATION, v->units, text));
    if (s->kind == STEP_HOT)
        (void)text_append(extra, sizeof extra, " (from %s)",
                          quantity_format(s->start_c, DIM_TEMPERATURE, v->units, text));
    page_add(p, ROLE_STRONG, 2, "%d. %s%s", ++*number, s->words, extra);
    if (s->how[0] != '\0')
        page_add(p, ROLE_CHALK, 5, "%s", s->how);
    if (v->dose_step >= 0 && s == &v->routine.step[v->dose_step])
        page_add(p, ROLE_STRONG, 5, "%s", v->dose);
    size_t n = step_cautions(s, cautions);
    for (size_t i = 0; i < n; i++)
        page_add(p, ROLE_WATCH, 5, GLYPH_WARNING " %s", caution_text(cautions[i]));
}

/* The steps of some phases: those done for each cow, or those done once. */
static void add_steps(const struct relief_view *v, struct page *p, enum routine_phase from,
                      enum routine_phase to, bool per_cow, int *number)
{
    for (size_t i = 0; i < v->routine.count; i++) {
        const struct routine_step *s = &v->routine.step[i];
        if (s->phase >= from && s->phase <= to && s->per_cow == per_cow && s->every == EVERY_SESSION)
            add_step(v, p, s, number);
    }
}

static void add_summary(const struct relief_view *v, struct page *p)
{
    char when[CIVIL_TEXT_MAX];
    page_add(p, ROLE_TITLE, 0, "The milking of %s", instant_text(v->milking_at, when));
    for (size_t i = 0; i < v->cows; i++) {
        const struct relief_cow *c = &v->cow[i];
        enum role role = c->milk == RELIEF_KEEP        ? ROLE_CALM
                         : c->milk == RELIEF_POUR_AWAY ? ROLE_STOP
                                                       : ROLE_WATCH;
        char stall[24] = "";
        if (c->stall > 0)
            (void)snprintf(stall, sizeof stall, " (stall %d)", c->stall);
        page_add(p, role, 2, "%s%s: %s%s", c->name, stall, relief_verdict(c->milk),
                 instant_known(c->milked_at) ? ", milked already" : "");
    }
    page_add(p, ROLE_CHALK, 0,
             "Milk in this order. Who is not named is not milked. If anything is odd, keep none "
             "of that milk and call %s.",
             v->keeper[0] != '\0' ? v->keeper : "the keeper");
    if (v->tub[0] != '\0')
        page_add(p, ROLE_CHALK, 0, "%s", v->tub);
    page_add(p, ROLE_CHALK, 0, "Cooling: %s.", v->limit);
    for (size_t i = 0; i < v->notes; i++)
        page_add(p, ROLE_CHALK, 0, GLYPH_BULLET " %s", v->note[i]);
}

static void add_cow(const struct app *a, const struct relief_cow *c, struct page *p)
{
    char when[CIVIL_TEXT_MAX];
    if (instant_known(c->milked_at))
        page_add(p, ROLE_STRONG, 0, "Milked already, at %s.", clock_text(c->milked_at, when));
    page_add(p, c->milk == RELIEF_KEEP ? ROLE_CHALK : ROLE_WATCH, 0, "%s", c->goes);
    if (c->hold.caution != NULL && c->milk != RELIEF_KEEP)
        page_add(p, ROLE_FAINT, 0, "%s", c->hold.caution);
    if (c->udder[0] != '\0')
        page_add(p, ROLE_WATCH, 0, "Udder: %s.", c->udder);
    if (isfinite(c->expected.low_kg))
        page_add(p, ROLE_CHALK, 0, "She gives about %s to %s.", app_quantity(a, c->expected.low_kg, DIM_MASS),
                 app_quantity(a, c->expected.high_kg, DIM_MASS));
    for (size_t i = 0; i < c->rations; i++)
        page_add(p, ROLE_CHALK, 0, "In her manger: %s %s.", app_quantity(a, c->ration[i].mass_kg, DIM_MASS),
                 c->ration[i].feed);
    for (size_t i = 0; i < c->notes; i++)
        page_add(p, ROLE_CHALK, 0, GLYPH_BULLET " %s", c->note[i]);
}

static void build(struct app *a)
{
    struct relief_state *s = a->relief;
    const struct relief_view *v = &s->view;
    int number = 0;
    page_clear(&s->page);
    s->built_for = s->sheet;
    if (s->sheet == 0) {
        add_summary(v, &s->page);
        page_add(&s->page, ROLE_TITLE, 0, "Before the cows");
        add_steps(v, &s->page, PHASE_READY, PHASE_FEED, false, &number);
    } else if (s->sheet <= (int)v->milked) {
        add_cow(a, &v->cow[s->sheet - 1], &s->page);
        page_add(&s->page, ROLE_TITLE, 0, "Step by step");
        add_steps(v, &s->page, PHASE_FEED, PHASE_CHILL, true, &number);
    } else {
        page_add(&s->page, ROLE_TITLE, 0, "When the last cow is done");
        add_steps(v, &s->page, PHASE_MILK, PHASE_FLOORS, false, &number);
    }
}

/* ---- keys ---- */

static void relief_renew(struct app *a)
{
    struct fail f = {0};
    struct relief_state *s = a->relief;
    if (s == NULL)
        return;
    int top = s->page.top;
    if (dairy_relief(a->dairy, a->now, &s->view, &f) != 0)
        (void)app_fail(a, &f);
    if (s->sheet > last_sheet(&s->view))
        s->sheet = last_sheet(&s->view);
    bool same = s->built_for == s->sheet;
    build(a);
    if (same)
        s->page.top = top;
}

static void relief_open(struct app *a)
{
    if (a->relief == NULL)
        a->relief = calloc(1, sizeof *a->relief);
    if (a->relief == NULL)
        return;
    a->relief->sheet = 0;
    a->relief->built_for = -1;
    relief_renew(a);
}

static unsigned turn(struct app *a, int by)
{
    struct relief_state *s = a->relief;
    int to = s->sheet + by;
    if (to < 0 || to > last_sheet(&s->view))
        return LOOP_NOTHING;
    s->sheet = to;
    build(a);
    return LOOP_DRAW;
}

static unsigned to_stall(struct app *a, int stall)
{
    struct relief_state *s = a->relief;
    for (size_t i = 0; i < s->view.milked; i++)
        if (s->view.cow[i].stall == stall) {
            s->sheet = (int)i + 1;
            build(a);
            return LOOP_DRAW;
        }
    return LOOP_NOTHING;
}

static unsigned relief_press(struct app *a, int key)
{
    if (a->relief == NULL)
        return LOOP_NOTHING;
    if (key == PRESS_LEFT || key == PRESS_BACK_TAB)
        return turn(a, -1);
    if (key == PRESS_RIGHT || key == PRESS_TAB || key == ' ')
        return turn(a, 1);
    if (key >= '1' && key <= '9')
        return to_stall(a, key - '0');
    if (page_press(&a->relief->page, key))
        return LOOP_DRAW;
    if (key == 'u' || key == 'n') {
        app_say(a, ROLE_WATCH,
                "The relief view only shows. Esc goes to the board, where things are entered.");
        return LOOP_DRAW;
    }
    return LOOP_NOTHING;
}

/* ---- drawing ---- */

static void draw_title(struct app *a, struct rect r)
{
    const struct relief_state *s = a->relief;
    const struct relief_view *v = &s->view;
    char order[200] = "";
    for (size_t i = 0; i < v->milked; i++)
        (void)text_append(order, sizeof order, "%s%s", i == 0 ? "" : ", then ", v->cow[i].name);
    draw_textf(r, 0, 1, ROLE_STRONG, "%s " GLYPH_DOT " for who milks today", v->dairy);
    draw_rightf(r, 0, ROLE_FAINT, "%s ", order);
}

static enum role verdict_role_of(enum relief_milk milk)
{
    return milk == RELIEF_KEEP ? ROLE_CALM : ROLE_WATCH;
}

/* Her name, and KEEP or DO NOT KEEP as large as there is room for. */
static int draw_cow_title(struct app *a, struct rect r)
{
    const struct relief_state *s = a->relief;
    const struct relief_cow *c = &s->view.cow[s->sheet - 1];
    char when[CIVIL_TEXT_MAX], verdict[60];
    int col = draw_textf(r, 0, 1, ROLE_STRONG, "%d. %s", s->sheet, c->name);
    draw_textf(r, 0, col, ROLE_CHALK, "%s%s%s%s, %s", c->breed[0] != '\0' ? ", " : "", c->breed,
               c->tag[0] != '\0' ? ", tag " : "", c->tag, c->order);
    if (c->stall > 0)
        draw_rightf(r, 0, ROLE_STRONG, "stall %d ", c->stall);
    (void)snprintf(verdict, sizeof verdict, "%s", relief_verdict(c->milk));
    if (c->milk == RELIEF_KEEP_AFTER)
        (void)text_append(verdict, sizeof verdict, " %s",
                          instant_text_near(c->hold.clear_at, s->view.now, when));
    if (c->milk != RELIEF_KEEP_AFTER && r.rows >= 22) {
        draw_big(r, 2, 1, verdict_role_of(c->milk), 1, verdict);
        return 6;
    }
    draw_textf(r, 1, 1, c->milk == RELIEF_KEEP ? ROLE_CALM : ROLE_STOP, " %s ", verdict);
    return 3;
}

static void relief_draw(struct app *a, struct rect r)
{
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    if (a->relief == NULL)
        return;
    struct relief_state *s = a->relief;
    draw_title(a, rect_take_top(&r, 1));
    draw_rule(r, 0, ROLE_ACCENT,
              s->sheet == 0                     ? "BEFORE"
              : s->sheet <= (int)s->view.milked ? "COW BY COW"
                                                : "AFTER",
              s->sheet < last_sheet(&s->view) ? GLYPH_RIGHT " goes on" : NULL);
    (void)rect_take_top(&r, 1);
    if (s->sheet >= 1 && s->sheet <= (int)s->view.milked)
        (void)rect_take_top(&r, draw_cow_title(a, r));
    draw_page(rect_part(r, 0, 1, r.rows, r.cols - 2), &s->page);
}

const struct screen relief_screen = {
    .letter = 'r',
    .name = "Relief",
    .does = "relief: the next milking for somebody who has never milked here; it only shows",
    .open = relief_open,
    .press = relief_press,
    .draw = relief_draw,
    .renew = relief_renew,
    .keys = relief_keys,
};
