/* The feed room: what each cow gets against what she needs, how long each feed lasts, what the milk costs in feed. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/day/feed_view.h"
#include "tui/app.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/kit/list.h"

struct feed_state {
    struct feed_view view;
    struct list list; /* the cows, then the feeds in store */
};

enum { DO_OPEN = 1, DO_CAME, DO_COUNT, DO_FORAGE, DO_ANALYSIS };

static const struct keymap_row keys[] = {
    {PRESS_ENTER, 0, NULL, "change", "changes her ration, or counts the feed under the cursor", 0, DO_OPEN, true},
    {PRESS_UP, 0, "↑↓", "choose", "chooses a cow or a feed", 0, 90, false},
    {'+', 0, NULL, "came", "feed came into the store", 0, DO_CAME, true},
    {'g', 0, NULL, "forage", "says what forage stands before her", 0, DO_FORAGE, true},
    {'v', 0, NULL, "analysis", "enters what is in a feed of your own", 0, DO_ANALYSIS, false},
    {0},
};

static const struct keymap_row *feed_keys(const struct app *a, unsigned *now)
{
    (void)a;
    *now = 0;
    return keys;
}

static void feed_renew(struct app *a)
{
    struct fail f = {0};
    struct feed_state *s = a->feed;
    if (s == NULL)
        return;
    if (dairy_feed(a->dairy, a->now, &s->view, &f) != 0)
        (void)app_fail(a, &f);
    list_count(&s->list, (int)(s->view.cows + s->view.stocks));
}

static void feed_open(struct app *a)
{
    if (a->feed == NULL)
        a->feed = calloc(1, sizeof *a->feed);
    feed_renew(a);
}

static const struct feed_cow_view *cow_now(const struct feed_state *s)
{
    return s->list.selected < (int)s->view.cows ? &s->view.cow[s->list.selected] : NULL;
}

static const struct feed_stock_view *stock_now(const struct feed_state *s)
{
    int i = s->list.selected - (int)s->view.cows;
    return i >= 0 && i < (int)s->view.stocks ? &s->view.stock[i] : NULL;
}

/* ---- keys ---- */

static unsigned open_form(struct app *a, const char *act, const char *title, const char *key, const char *value,
                          const char *first)
{
    (void)app_form(a, act, title);
    if (value != NULL)
        app_preset(a, key, value);
    form_view_go(&a->form, value == NULL ? key : first);
    return LOOP_DRAW;
}

static unsigned open_here(struct app *a)
{
    const struct feed_cow_view *cow = cow_now(a->feed);
    const struct feed_stock_view *stock = stock_now(a->feed);
    if (cow != NULL)
        return open_form(a, "ration", "What goes into her manger", "cow", cow->name, "feed");
    if (stock == NULL)
        return LOOP_NOTHING;
    (void)open_form(a, "stock", "Feed counted in the store", "feed", stock->feed, "mass");
    app_preset(a, "how", "counted");
    form_view_go(&a->form, "mass");
    return LOOP_DRAW;
}

static unsigned explain(struct app *a)
{
    struct working w;
    struct fail f = {0};
    const struct feed_state *s = a->feed;
    int result;
    if (cow_now(s) != NULL)
        result = feed_explain_cow(a->dairy, &s->view, (size_t)s->list.selected, &w, &f);
    else if (stock_now(s) != NULL)
        result = feed_explain_stock(a->dairy, &s->view, (size_t)s->list.selected - s->view.cows, &w, &f);
    else
        return help_show(a);
    return result == 0 ? app_show_working(a, &w) : app_fail(a, &f);
}

static unsigned feed_press(struct app *a, int key)
{
    struct feed_state *s = a->feed;
    if (s == NULL)
        return LOOP_NOTHING;
    const struct feed_cow_view *cow = cow_now(s);
    const struct feed_stock_view *stock = stock_now(s);
    switch (key) {
    case PRESS_ENTER: return open_here(a);
    case '+': return open_form(a, "stock", "Feed that came", "feed", stock == NULL ? NULL : stock->feed, "mass");
    case 'g': return open_form(a, "forage", "Forage that stands before her", "cow", cow == NULL ? NULL : cow->name, "feed");
    case 'v': return open_form(a, "analysis", "What is in a feed", "feed", stock == NULL ? NULL : stock->feed, "kind");
    case '?': return explain(a);
    default: return list_press(&s->list, key) ? LOOP_DRAW : LOOP_NOTHING;
    }
}

/* ---- drawing ---- */

static enum role role_of(enum urgency urgency)
{
    return urgency == URGENCY_STOP ? ROLE_STOP : urgency == URGENCY_WATCH ? ROLE_WATCH : ROLE_CHALK;
}

enum { NAME_COL = 1, GETS_COL = 14, WIDE_COLS = 135, WORDS_COL = 82 };

/* Energy is the first thing to look at: have against need. */
static void draw_cow(const struct feed_cow_view *c, struct rect r)
{
    struct rect left = rect_part(r, 0, 0, 1, r.cols >= WIDE_COLS ? WORDS_COL - 1 : r.cols);
    int col = draw_text(left, 0, NAME_COL, ROLE_STRONG, c->name);
    col = col < GETS_COL ? GETS_COL : col + 1;
    if (c->balanced)
        col = draw_textf(left, 0, col, ROLE_CHALK, "%.0f of %.0f Mcal  ", c->have_mcal, c->need_mcal);
    if (r.cols >= WIDE_COLS) {
        draw_text(left, 0, col, ROLE_FAINT, c->gets[0] != '\0' ? c->gets : "-");
        draw_text(r, 0, WORDS_COL, role_of(c->urgency), c->words);
    } else {
        draw_text(left, 0, col, role_of(c->urgency), c->words);
    }
}

static void draw_stock(const struct app *a, const struct feed_stock_view *s, struct rect r)
{
    char day[CIVIL_TEXT_MAX];
    draw_text(rect_part(r, 0, 0, 1, 26), 0, NAME_COL, ROLE_STRONG, s->feed);
    if (!s->counted) {
        draw_textf(r, 0, 27, ROLE_FAINT, "%s a day is fed; what is in store was never counted",
                   app_quantity(a, s->use_kg_per_day, DIM_MASS));
        return;
    }
    int col = draw_textf(r, 0, 27, ROLE_CHALK, "%s left", app_quantity(a, s->left_kg, DIM_MASS));
    if (isfinite(s->days_left))
        col = draw_textf(r, 0, col + 2, role_of(s->urgency), "%.0f days, to %s", floor(s->days_left),
                         date_weekday_text(s->gone_on, day));
    else
        col = draw_text(r, 0, col + 2, ROLE_FAINT, "not fed now");
    if (isfinite(s->cost_per_day) && s->cost_per_day > 0)
        (void)draw_textf(r, 0, col + 2, ROLE_FAINT, "%.2f a day", s->cost_per_day);
}

static void draw_row(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct feed_view *v = &a->feed->view;
    if (row < (int)v->cows)
        draw_cow(&v->cow[row], r);
    else
        draw_stock(a, &v->stock[row - (int)v->cows], r);
}

/* More about what is under the cursor. */
static void draw_detail(const struct app *a, struct rect r)
{
    const struct feed_state *s = a->feed;
    const struct feed_cow_view *c = cow_now(s);
    const struct feed_stock_view *stock = stock_now(s);
    draw_rule(r, 0, ROLE_TITLE, c != NULL ? c->name : stock != NULL ? stock->feed : "", c != NULL ? c->state : NULL);
    struct rect body = rect_part(r, 1, 1, r.rows - 1, r.cols - 2);
    if (c != NULL) {
        int row = draw_wrapped(body, 0, 2, ROLE_CHALK, c->gets[0] != '\0' ? c->gets : "nothing is recorded that she gets");
        draw_textf(body, row++, 0, ROLE_FAINT, "%s%s, milk %s, water to have at hand %s",
                   app_quantity(a, c->weight_kg, DIM_MASS), c->weighed ? "" : " (usual for her breed)",
                   app_quantity(a, c->milk_kg, DIM_MASS), app_quantity(a, c->water_l, DIM_VOLUME));
        if (c->balanced)
            draw_textf(body, row, 0, ROLE_FAINT, "dry matter %s of %s, crude protein %.1f %%, forage %.0f %%",
                       app_quantity(a, c->dm_kg, DIM_MASS), app_quantity(a, c->intake_kg_dm, DIM_MASS), c->cp_pct, c->forage_pct);
    } else if (stock != NULL) {
        draw_textf(body, 0, 0, ROLE_CHALK, "%s a day is fed", app_quantity(a, stock->use_kg_per_day, DIM_MASS));
    }
}

static void draw_cost(const struct app *a, struct rect r)
{
    const struct feed_view *v = &a->feed->view;
    bool us = dairy_units(a->dairy) == UNITS_US;
    if (!isfinite(v->cost_per_day)) {
        draw_text(r, 0, 1, ROLE_FAINT, "No feed has a price yet: + with its cost.");
        return;
    }
    (void)draw_textf(r, 0, 1, ROLE_CHALK, "feed %.2f a day, %.2f a %s of milk%s", v->cost_per_day,
                     us ? v->cost.per_gal : v->cost.per_l, us ? "gallon" : "litre",
                     v->cost_whole ? "" : " and more: some feeds have no price");
}

static void feed_draw(struct app *a, struct rect r)
{
    char remark[60];
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    if (a->feed == NULL)
        return;
    const struct feed_view *v = &a->feed->view;
    (void)snprintf(remark, sizeof remark, "%zu cows, %zu feeds", v->cows, v->stocks);
    draw_rule(r, 0, ROLE_ACCENT, "FEED ROOM", remark);
    draw_text(r, 1, 1, v->stocks > 0 ? role_of(v->stock[0].urgency) : ROLE_CHALK, v->sentence);
    struct rect body = rect_part(r, 2, 0, r.rows - 2, r.cols);
    if (body.rows >= 12)
        draw_detail(a, rect_take_bottom(&body, 5));
    draw_cost(a, rect_take_bottom(&body, body.rows > 3 ? 1 : 0));
    draw_list(body, &a->feed->list, true, draw_row, a);
}

const struct screen feed_screen = {
    .letter = 'f',
    .name = "Feed room",
    .does = "the feed room: rations against need, how long each feed lasts, what the milk costs",
    .open = feed_open,
    .press = feed_press,
    .draw = feed_draw,
    .renew = feed_renew,
    .keys = feed_keys,
};
