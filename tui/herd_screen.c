/* Every animal, also the young and those that left; Enter opens its page. */
#include <stdio.h>
#include <stdlib.h>

#include "core/day/herd_view.h"
#include "tui/app.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/kit/list.h"

struct herd_state {
    struct herd_view view;
    struct list list;
};

enum { DO_OPEN = 1, DO_NEW, DO_CALF };

static const struct keymap_row keys[] = {
    {PRESS_ENTER, 0, NULL, "open", "opens the animal's page", 0, DO_OPEN, true},
    {PRESS_UP, 0, "↑↓", "animal", "chooses an animal", 0, 90, false},
    {'+', 0, NULL, "add", "adds an animal: bought, or here before", 0, DO_NEW, true},
    {'c', 0, NULL, "name a calf", "names a calf of a calving", 0, DO_CALF, false},
    {0},
};

static const struct keymap_row *herd_keys(const struct app *a, unsigned *now)
{
    (void)a;
    *now = 0;
    return keys;
}

static void herd_renew(struct app *a)
{
    struct fail f = {0};
    if (a->herd == NULL)
        return;
    if (dairy_herd(a->dairy, a->now, &a->herd->view, &f) != 0)
        (void)app_fail(a, &f);
    list_count(&a->herd->list, (int)a->herd->view.animals);
}

static void herd_open(struct app *a)
{
    if (a->herd == NULL)
        a->herd = calloc(1, sizeof *a->herd);
    herd_renew(a);
}

static unsigned explain(struct app *a)
{
    struct working w;
    struct fail f = {0};
    return dairy_herd_explain(a->dairy, a->now, &w, &f) == 0 ? app_show_working(a, &w) : app_fail(a, &f);
}

static unsigned herd_press(struct app *a, int key)
{
    struct herd_state *h = a->herd;
    if (h == NULL)
        return LOOP_NOTHING;
    if (list_press(&h->list, key))
        return LOOP_DRAW;
    switch (key) {
    case PRESS_ENTER:
        if (h->view.animals == 0)
            return LOOP_NOTHING;
        a->cow_id = h->view.animal[h->list.selected].cow_id;
        return app_go(a, &cow_screen);
    case '+': return app_form(a, "cow", "A new animal");
    case 'c': return app_form(a, "calf", "A calf gets its name");
    case '?': return explain(a);
    default: return LOOP_NOTHING;
    }
}

static void draw_animal(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct herd_animal *x = &a->herd->view.animal[row];
    enum role role = x->gone ? ROLE_FAINT : ROLE_CHALK;
    if (x->stall > 0)
        draw_textf(r, 0, 1, ROLE_FAINT, "stall %d", x->stall);
    int col = draw_text(r, 0, 10, x->gone ? ROLE_FAINT : ROLE_STRONG, x->name);
    draw_textf(r, 0, col < 27 ? 28 : col + 1, role, "%s", x->state);
    col = r.cols >= 100 ? 62 : r.cols;
    draw_textf(r, 0, col, ROLE_FAINT, "%s%s%s%s%s", x->breed, x->tag[0] != '\0' ? ", tag " : "", x->tag,
               x->dam[0] != '\0' ? ", of " : "", x->dam);
    if (x->in_milk)
        draw_right(r, 0, x->keep ? ROLE_CALM : ROLE_STOP, x->keep ? "KEEP " : "DO NOT KEEP ");
}

static void herd_draw(struct app *a, struct rect r)
{
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    char remark[60] = "";
    draw_bottom(a, bottom);
    if (a->herd == NULL)
        return;
    const struct herd_view *v = &a->herd->view;
    (void)snprintf(remark, sizeof remark, "%zu here, %zu left", v->here, v->animals - v->here);
    draw_rule(r, 0, ROLE_ACCENT, "ANIMALS", remark);
    if (v->figures_text[0] != '\0' && r.rows > 8) {
        int rows = draw_wrapped_rows(r.canvas->charset, r.cols - 12, 0, v->figures_text);
        struct rect foot = rect_take_bottom(&r, rows);
        int col = draw_text(foot, 0, 1, ROLE_TITLE, "BREEDING");
        (void)draw_wrapped(rect_part(foot, 0, col + 2, rows, r.cols - col - 3), 0, 0, ROLE_CHALK, v->figures_text);
    }
    draw_list(rect_part(r, 1, 0, r.rows - 1, r.cols), &a->herd->list, true, draw_animal, a);
}

const struct screen herd_screen = {
    .letter = 'l',
    .name = "Livestock",
    .does = "livestock: every animal, also the young and those that left",
    .open = herd_open,
    .press = herd_press,
    .draw = herd_draw,
    .renew = herd_renew,
    .keys = herd_keys,
};
