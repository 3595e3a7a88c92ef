/* The evening's question: how much milk, so how many jars and how much ice, for the next milking. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/day/tonight_view.h"
#include "tui/app.h"
#include "tui/help.h"
#include "tui/kit/big.h"
#include "tui/kit/draw.h"

struct tonight_state {
    bool known;
    struct tonight_view view;
};

enum { SIDE_COLS = 34, SIDE_LEAST_COLS = 76, SIDE_WIDE_COLS = 48, WIDE_COLS = 120, LABEL_COLS = 14 };

enum { DO_JARS = 1, DO_TUB };

static const struct keymap_row keys[] = {
    {'c', 0, NULL, "count jars", "says how many jars of a kind there are", 0, DO_JARS, true},
    {'w', 0, NULL, "water", "changes what the tub is filled with: how much, how warm", 0, DO_TUB, true},
    {0},
};

static const struct keymap_row *tonight_keys(const struct app *a, unsigned *now)
{
    (void)a;
    *now = 0;
    return keys;
}

static void tonight_renew(struct app *a)
{
    struct fail f = {0};
    struct tonight_state *s = a->tonight;
    if (s == NULL)
        return;
    s->known = dairy_tonight(a->dairy, a->now, &s->view, NULL, &f) == 0;
    if (!s->known)
        (void)app_fail(a, &f);
}

static void tonight_open(struct app *a)
{
    if (a->tonight == NULL)
        a->tonight = calloc(1, sizeof *a->tonight);
    tonight_renew(a);
}

static unsigned explain(struct app *a)
{
    struct working w;
    struct fail f = {0};
    struct tonight_view *v = malloc(sizeof *v);
    if (v == NULL)
        return LOOP_NOTHING;
    working_init(&w, "tonight");
    unsigned answer = dairy_tonight(a->dairy, a->now, v, &w, &f) == 0 ? app_show_working(a, &w) : app_fail(a, &f);
    free(v);
    return answer;
}

/* Tub water is a usual value of the dairy's. */
static unsigned open_tub(struct app *a)
{
    const struct tonight_facts *facts = &a->tonight->view.facts;
    if (!a->tonight->known)
        return LOOP_NOTHING;
    (void)app_form(a, "dairy", "Water in the tub");
    app_preset(a, "tub", app_quantity(a, facts->water_l, DIM_VOLUME));
    app_preset(a, "tap", app_quantity(a, facts->water_c, DIM_TEMPERATURE));
    form_view_go(&a->form, "tub");
    return LOOP_DRAW;
}

static unsigned tonight_press(struct app *a, int key)
{
    const struct keymap_row *row = keymap_find(keys, key, 0);
    if (a->tonight == NULL)
        return LOOP_NOTHING;
    if (key == '?')
        return explain(a);
    if (key == 'g')
        return app_back(a);
    if (row == NULL)
        return LOOP_NOTHING;
    return row->id == DO_JARS ? app_form(a, "jars", "How many jars there are") : open_tub(a);
}

/* ---- drawing ---- */

static int draw_milk(struct app *a, struct rect r, const struct tonight_view *v)
{
    int row = 0;
    draw_rule(r, row++, ROLE_TITLE, "MILK", NULL);
    for (size_t i = 0; i < v->cows; i++) {
        const struct tonight_cow *c = &v->cow[i];
        draw_text(rect_part(r, row, 1, 1, LABEL_COLS - 2), 0, 0, ROLE_STRONG, c->name);
        if (!c->keep)
            row += draw_wrapped(rect_part(r, row, LABEL_COLS, 3, r.cols - LABEL_COLS), 0, 0, ROLE_STOP, c->why);
        else if (isfinite(c->expected.kg))
            draw_textf(r, row++, LABEL_COLS, ROLE_CHALK, "%s to %s", app_quantity(a, c->expected.low_kg, DIM_MASS),
                       app_quantity(a, c->expected.high_kg, DIM_MASS));
        else
            draw_text(r, row++, LABEL_COLS, ROLE_FAINT, "no weights to expect from");
    }
    draw_text(r, row, 1, ROLE_CHALK, "to jar");
    draw_textf(r, row++, LABEL_COLS, ROLE_STRONG, "%s, good day %s", app_quantity(a, v->milk_l, DIM_VOLUME),
               app_quantity(a, v->milk_high_l, DIM_VOLUME));
    return row;
}

static int draw_jars(struct app *a, struct rect r, const struct tonight_view *v)
{
    int row = 0;
    draw_rule(r, row++, ROLE_TITLE, "JARS", NULL);
    for (size_t i = 0; i < v->facts.jar_kinds; i++)
        if (v->plan.jars[i] > 0) {
            draw_before(r, row, 5, ROLE_STRONG, app_quantity(a, v->plan.jars[i], DIM_COUNT));
            draw_textf(r, row++, 6, ROLE_CHALK, "%s, of %d clean", v->facts.jars[i].kind->name, v->facts.jars[i].count);
        }
    if (!v->counted)
        draw_text(r, row++, 1, ROLE_WATCH, "No jars are counted yet: c counts them.");
    else if (v->jars_say[0] != '\0')
        row += draw_wrapped(rect_part(r, row, 1, 3, r.cols - 2), 0, 0, v->ready.enough ? ROLE_CALM : ROLE_WATCH,
                            v->jars_say);
    if (v->plan.jar_count > 0) {
        char text[120];
        (void)snprintf(text, sizeof text, "The slowest takes %.0f min in still ice water to %s.", v->plan.slowest_min,
                       app_quantity(a, v->facts.target_c, DIM_TEMPERATURE));
        row += draw_wrapped(rect_part(r, row, 1, 2, r.cols - 2), 0, 0, ROLE_FAINT, text);
    }
    return row;
}

/* What the ice goes for, as shares of one bar each. */
static void draw_share(struct app *a, struct rect r, int row, const char *name, double kj, double of_kj, enum role role)
{
    double kg = ice_for_heat(kj, 0);
    draw_text(r, row, 0, role, name);
    draw_before(r, row, 20, role, app_quantity(a, kg, DIM_MASS));
    draw_bar(r, row, 21, r.cols - 22, ROLE_CURVE, of_kj > 0 ? kj / of_kj : 0);
}

/* The figure to act on, large where there is room. */
static void draw_amount(struct app *a, struct rect *r, const struct tonight_view *v, bool large)
{
    char figure[32];
    double per_unit = v->units == UNITS_US ? KG_PER_LB : 1;
    const char *unit = v->units == UNITS_US ? "lb of ice" : "kg of ice";
    (void)snprintf(figure, sizeof figure, "%.0f", ceil(v->plan.ice_advised_kg / per_unit));
    struct rect big = rect_take_top(r, large ? 5 : 0);
    int scale = large ? big_scale(big, figure) : 0;
    if (scale > 0)
        draw_text(big, 1, draw_big(big, 0, 0, ROLE_STRONG, scale, figure) + 1, ROLE_STRONG, unit);
    struct rect line = rect_take_top(r, 1);
    int col = scale > 0 ? 0 : draw_textf(line, 0, 0, ROLE_STRONG, "%s %s", figure, unit);
    draw_textf(line, 0, col > 0 ? col + 2 : 0, ROLE_FAINT, "just enough: %s", app_quantity(a, v->plan.ice_kg, DIM_MASS));
}

static void draw_ice(struct app *a, struct rect r, const struct tonight_view *v, bool large)
{
    const struct tonight_plan *p = &v->plan;
    char saves[160];
    draw_rule(rect_take_top(&r, 1), 0, ROLE_TITLE, "ICE", NULL);
    draw_amount(a, &r, v, large);
    (void)rect_take_top(&r, large ? 1 : 0);
    double milk_kj = p->milk_kj + p->glass_kj;
    bool water_most = p->water_kj > milk_kj;
    draw_share(a, r, 0, "milk, glass", milk_kj, p->heat_kj, ROLE_CHALK);
    draw_share(a, r, 1, "tap water", p->water_kj, p->heat_kj, water_most ? ROLE_WATCH : ROLE_CHALK);
    draw_share(a, r, 2, "room", p->room_kj, p->heat_kj, ROLE_CHALK);
    draw_textf(r, 3, 0, ROLE_CHALK, "%s of water at %s", app_quantity(a, v->facts.water_l, DIM_VOLUME),
               app_quantity(a, v->facts.water_c, DIM_TEMPERATURE));
    (void)snprintf(saves, sizeof saves, "%sChilled in the refrigerator overnight, that water saves %s of ice.",
                   water_most ? "The tap water takes more ice than the milk. " : "",
                   app_quantity(a, p->ice_saved_kg, DIM_MASS));
    if (p->ice_saved_kg > 0.05)
        draw_wrapped(rect_part(r, 5, 0, r.rows - 5, r.cols - 1), 0, 0, water_most ? ROLE_WATCH : ROLE_CHALK, saves);
}

static void tonight_draw(struct app *a, struct rect r)
{
    char when[CIVIL_TEXT_MAX];
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    if (a->tonight == NULL || !a->tonight->known)
        return;
    const struct tonight_view *v = &a->tonight->view;
    int col = draw_text(r, 0, 1, ROLE_STRONG, "Tonight");
    draw_textf(r, 0, col, ROLE_CHALK, ", for the milking of %s", instant_text(v->milking_at, when));
    int top = r.rows >= 20 ? 2 : 1;
    struct rect body = rect_part(r, top, 0, r.rows - top, r.cols), side = body;
    bool beside = r.cols >= SIDE_LEAST_COLS;
    if (beside) {
        side = rect_take_right(&body, r.cols >= WIDE_COLS ? SIDE_WIDE_COLS : SIDE_COLS);
        (void)rect_take_right(&body, 1);
    }
    int gap = r.rows >= 20 ? 1 : 0;
    (void)rect_take_top(&body, draw_milk(a, body, v) + gap);
    (void)rect_take_top(&body, draw_jars(a, body, v) + gap);
    draw_ice(a, beside ? side : body, v, beside);
}

const struct screen tonight_screen = {
    .letter = 'g',
    .name = "Tonight",
    .does = "get ready tonight: ice and jars for the next milking",
    .open = tonight_open,
    .press = tonight_press,
    .draw = tonight_draw,
    .renew = tonight_renew,
    .keys = tonight_keys,
};
