#include "tui/acts_list.h"

#include <string.h>

#include "tui/cow_panes.h"
#include "tui/kit/draw.h"

static int act_count(void)
{
    int n = 0;
    while (act_at((size_t)n) != NULL)
        n++;
    return n;
}

unsigned acts_list_open(struct app *a)
{
    a->overlay = OVERLAY_ACTS;
    a->act_top = 0;
    return LOOP_DRAW;
}

/* On her page what is entered is about her. */
static void preset_cow(struct app *a, const struct act_kind *k)
{
    for (size_t i = 0; i < k->field_count; i++)
        if (strcmp(k->fields[i].key, "cow") == 0) {
            app_preset(a, "cow", cow_screen_name(a));
            form_view_go(&a->form, k->fields[i == 0 && k->field_count > 1 ? 1 : 0].key);
        }
}

unsigned acts_list_press(struct app *a, int key)
{
    int last = act_count() - 1;
    switch (key) {
    case PRESS_UP: a->act_choice -= a->act_choice > 0; return LOOP_DRAW;
    case PRESS_DOWN: a->act_choice += a->act_choice < last; return LOOP_DRAW;
    case PRESS_HOME: a->act_choice = 0; return LOOP_DRAW;
    case PRESS_END: a->act_choice = last; return LOOP_DRAW;
    case PRESS_ENTER: {
        const struct act_kind *k = act_at((size_t)a->act_choice);
        (void)app_form(a, k->name, k->does);
        if (a->screen == &cow_screen)
            preset_cow(a, k);
        return LOOP_DRAW;
    }
    case PRESS_ESC: a->overlay = OVERLAY_NONE; return LOOP_DRAW;
    default: break;
    }
    /* A letter goes to the next act that begins with it. */
    for (int i = 1; i <= last + 1; i++) {
        int n = (a->act_choice + i) % (last + 1);
        if (act_at((size_t)n)->name[0] == key) {
            a->act_choice = n;
            return LOOP_DRAW;
        }
    }
    return LOOP_NOTHING;
}

void acts_list_draw(struct app *a, struct rect r)
{
    int count = act_count();
    draw_erase(r);
    draw_box(r, ROLE_ACCENT, "Enter what?");
    struct rect body = rect_inset(r, 1, 2);
    if (a->act_choice < a->act_top)
        a->act_top = a->act_choice;
    if (a->act_choice >= a->act_top + body.rows)
        a->act_top = a->act_choice - body.rows + 1;
    for (int i = 0; i < body.rows && a->act_top + i < count; i++) {
        const struct act_kind *k = act_at((size_t)a->act_top + (size_t)i);
        struct rect line = rect_part(body, i, 0, 1, body.cols);
        draw_text(line, 0, 1, ROLE_STRONG, k->name);
        draw_text(line, 0, 12, ROLE_CHALK, k->does);
        if (a->act_top + i == a->act_choice)
            draw_flip(line);
    }
}
