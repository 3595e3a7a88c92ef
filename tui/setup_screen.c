/* Set-up: the dairy, its cows and stalls, its jars, its routine. On a new file it asks for them one after
 * another, in forms that Esc ends; afterwards it is a list in which Enter changes the line under the cursor.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/setup_view.h"
#include "tui/app.h"
#include "tui/batch_parts.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/kit/list.h"
#include "tui/probe_desk.h"

enum line_kind {
    LINE_TITLE,
    LINE_DAIRY,
    LINE_COW,
    LINE_NEW_COW,
    LINE_WEIGHTS,
    LINE_JAR,
    LINE_NEW_JAR,
    LINE_PROBE,
    LINE_NEW_PROBE,
    LINE_TEMPLATE,
    LINE_STEP,
    LINE_BOARD,
};

struct line {
    enum line_kind kind;
    int index;         /* of the cow, jar or step */
    const char *title; /* LINE_TITLE */
};

/* The questions of a new file, in order. */
enum guide { GUIDE_OFF, GUIDE_DAIRY, GUIDE_COWS, GUIDE_JARS, GUIDE_ROUTINE };

struct setup_state {
    struct setup_view view;
    struct line line[256];
    struct list list;
    enum guide guide;
};

enum { DO_OPEN = 1, DO_ADD, DO_REMOVE, DO_UP, DO_DOWN };
enum { WHEN_STEP = 1 };

static const struct keymap_row keys[] = {
    {PRESS_ENTER, 0, NULL, "change", "changes the line under the cursor", 0, DO_OPEN, true},
    {'+', 0, NULL, "add", "adds a step behind this one", WHEN_STEP, DO_ADD, false},
    {'-', 0, NULL, "take out", "takes the step out of the routine; its ticks stay", WHEN_STEP, DO_REMOVE,
     false},
    {'<', 0, NULL, "up", "moves the step up", WHEN_STEP, DO_UP, false},
    {'>', 0, NULL, "down", "moves the step down", WHEN_STEP, DO_DOWN, false},
    {PRESS_ESC, 0, NULL, "board", "goes to the board", 0, 90, true},
    {0},
};

static const struct line *line_now(const struct setup_state *s)
{
    return s->list.count > 0 ? &s->line[s->list.selected] : NULL;
}

static const struct keymap_row *setup_keys(const struct app *a, unsigned *now)
{
    const struct line *line = a->setup != NULL ? line_now(a->setup) : NULL;
    *now = line != NULL && line->kind == LINE_STEP ? WHEN_STEP : 0;
    return keys;
}

/* ---- the list ---- */

static void add_line(struct setup_state *s, int *n, enum line_kind kind, int index, const char *title)
{
    if (*n < (int)(sizeof s->line / sizeof s->line[0]))
        s->line[(*n)++] = (struct line){kind, index, title};
}

static void build_lines(struct setup_state *s, size_t probes)
{
    int n = 0;
    add_line(s, &n, LINE_TITLE, 0, "THE DAIRY");
    add_line(s, &n, LINE_DAIRY, 0, NULL);
    add_line(s, &n, LINE_TITLE, 0, "COWS AND STALLS");
    for (size_t i = 0; i < s->view.cows; i++)
        add_line(s, &n, LINE_COW, (int)i, NULL);
    add_line(s, &n, LINE_NEW_COW, 0, NULL);
    if (s->view.cows > 0)
        add_line(s, &n, LINE_WEIGHTS, 0, NULL);
    add_line(s, &n, LINE_TITLE, 0, "JARS ON HAND");
    for (size_t i = 0; i < s->view.jars; i++)
        add_line(s, &n, LINE_JAR, (int)i, NULL);
    add_line(s, &n, LINE_NEW_JAR, 0, NULL);
    add_line(s, &n, LINE_TITLE, 0, "PROBES");
    for (size_t i = 0; i < probes; i++)
        add_line(s, &n, LINE_PROBE, (int)i, NULL);
    add_line(s, &n, LINE_NEW_PROBE, 0, NULL);
    add_line(s, &n, LINE_TITLE, 0, "THE ROUTINE");
    add_line(s, &n, LINE_TEMPLATE, 0, NULL);
    for (size_t i = 0; i < s->view.routine.count; i++)
        add_line(s, &n, LINE_STEP, (int)i, NULL);
    add_line(s, &n, LINE_BOARD, 0, NULL);
    list_count(&s->list, n);
    if (s->list.selected == 0)
        list_select(&s->list, 1);
}

static void setup_renew(struct app *a)
{
    struct fail f = {0};
    if (a->setup == NULL)
        return;
    if (dairy_setup(a->dairy, &a->setup->view, &f) != 0)
        (void)app_fail(a, &f);
    build_lines(a->setup, probe_desk_count(a));
}

/* ---- forms ---- */

static void preset_quantity(struct app *a, const char *key, double si, enum dimension dim)
{
    app_preset(a, key, app_quantity(a, si, dim));
}

static void preset_number(struct app *a, const char *key, int number)
{
    char text[16];
    (void)snprintf(text, sizeof text, "%d", number);
    app_preset(a, key, text);
}

static unsigned open_dairy_form(struct app *a)
{
    const struct setup_view *v = &a->setup->view;
    (void)app_form(a, "dairy",
                   v->set_up ? "The dairy"
                             : "A new dairy: Enter takes it as it stands");
    if (!v->set_up) {
        app_preset(a, "units", "us");
        app_preset(a, "limit", "pmo");
        app_preset(a, "stalls", "4");
        return LOOP_DRAW;
    }
    app_preset(a, "name", v->name);
    app_preset(a, "keeper", v->keeper);
    app_preset(a, "units", v->units == UNITS_US ? "us" : "metric");
    app_preset(a, "limit", v->limit_set);
    app_preset(a, "own", v->own_limit);
    preset_number(a, "stalls", v->stalls);
    preset_quantity(a, "tub", v->tub_l, DIM_VOLUME);
    preset_quantity(a, "tap", v->tap_c, DIM_TEMPERATURE);
    preset_quantity(a, "room", v->room_c, DIM_TEMPERATURE);
    preset_quantity(a, "fridge", v->fridge_c, DIM_TEMPERATURE);
    app_preset(a, "stir", v->stir);
    preset_quantity(a, "table", v->table_s, DIM_DURATION);
    preset_quantity(a, "fresh", v->fresh_s, DIM_DURATION);
    preset_number(a, "freshmilkings", v->fresh_milkings);
    app_preset(a, "times", v->milking_time);
    form_view_go(&a->form, "name");
    return LOOP_DRAW;
}

static unsigned open_cow_form(struct app *a, const struct setup_cow *cow)
{
    char born[CIVIL_TEXT_MAX];
    (void)app_form(a, "cow",
                   cow != NULL                    ? "A cow"
                   : a->setup->guide != GUIDE_OFF ? "Your cows, one by one; Esc when all are in"
                                                  : "A new animal");
    if (cow != NULL) {
        app_preset(a, "name", cow->name);
        if (cow->tag[0] != '\0')
            app_preset(a, "tag", cow->tag);
        if (cow->breed[0] != '\0')
            app_preset(a, "breed", cow->breed);
        if (date_known(cow->born_on))
            app_preset(a, "born", date_iso(cow->born_on, born));
    }
    if (cow != NULL && cow->stall > 0)
        preset_number(a, "stall", cow->stall);
    if (cow == NULL && a->setup->view.free_stall > 0)
        preset_number(a, "stall", a->setup->view.free_stall);
    form_view_go(&a->form, "name");
    return LOOP_DRAW;
}

static unsigned open_jar_form(struct app *a, const struct setup_jar *jar)
{
    (void)app_form(a, "jars",
                   a->setup->guide != GUIDE_OFF
                       ? "Jars on hand, kind by kind; Esc ends it"
                       : "Jars on hand");
    app_preset(a, "kind", jar->kind);
    if (jar->on_hand >= 0)
        preset_number(a, "count", (int)jar->on_hand);
    form_view_go(&a->form, "count");
    return LOOP_DRAW;
}

static unsigned open_step_form(struct app *a, const struct routine_step *step)
{
    char waits[200], cautions[200];
    (void)app_form(a, "step", "A step of the routine");
    app_preset(a, "id", step->id);
    app_preset(a, "say", step->words);
    if (step->how[0] != '\0')
        app_preset(a, "how", step->how);
    if (step->contact_s > 0)
        preset_quantity(a, "time", step->contact_s, DIM_DURATION);
    if (step->kind == STEP_HOT) {
        preset_quantity(a, "start", step->start_c, DIM_TEMPERATURE);
        preset_quantity(a, "floor", step->floor_c, DIM_TEMPERATURE);
    }
    app_preset(a, "each", step->per_cow ? "cow" : "no");
    app_preset(a, "every", step->every == EVERY_WEEK ? "week" : step->every == EVERY_MONTH ? "month" : "session");
    app_preset(a, "chemical", chemical_word(step->chemical));
    if (step->gate_count > 0)
        app_preset(a, "waits", step_waits_text(step, waits, sizeof waits));
    app_preset(a, "makes", makes_word(step->makes));
    if (step->caution_count > 0)
        app_preset(a, "caution", step_cautions_text(step, cautions, sizeof cautions));
    form_view_go(&a->form, "say");
    return LOOP_DRAW;
}

static unsigned open_new_step(struct app *a, const struct routine_step *behind)
{
    (void)app_form(a, "step", "A new step");
    app_preset(a, "after", behind->id);
    form_view_go(&a->form, "id");
    return LOOP_DRAW;
}

static unsigned open_template(struct app *a)
{
    (void)app_form(a, "routine",
                   a->setup->guide != GUIDE_OFF
                       ? "How do you milk? Enter takes the routine; it can be changed later"
                       : "Take another routine");
    app_preset(a, "template", "one-bucket");
    form_view_go(&a->form, "template");
    return LOOP_DRAW;
}

/* ---- the guide for a new file ---- */

static const struct setup_jar *first_uncounted(const struct setup_view *v)
{
    for (size_t i = 0; i < v->jars; i++)
        if (v->jar[i].on_hand < 0)
            return &v->jar[i];
    return NULL;
}

static unsigned guide_step(struct app *a)
{
    struct setup_state *s = a->setup;
    const struct setup_jar *jar;
    switch (s->guide) {
    case GUIDE_OFF: break;
    case GUIDE_DAIRY: return open_dairy_form(a);
    case GUIDE_COWS: return open_cow_form(a, NULL);
    case GUIDE_JARS:
        jar = first_uncounted(&s->view);
        if (jar != NULL)
            return open_jar_form(a, jar);
        s->guide = GUIDE_ROUTINE;
        return open_template(a);
    case GUIDE_ROUTINE: return open_template(a);
    }
    return LOOP_NOTHING;
}

/* A form of the guide was closed: entered means "and another one", left means "that is all of these". */
static void setup_closed(struct app *a, bool entered)
{
    struct setup_state *s = a->setup;
    if (s->guide == GUIDE_OFF)
        return;
    if (s->guide == GUIDE_DAIRY && !entered) {
        s->guide = GUIDE_OFF; /* nothing goes on without a dairy; Enter on its line asks again */
        return;
    }
    if (s->guide == GUIDE_DAIRY)
        s->guide = GUIDE_COWS;
    else if (s->guide == GUIDE_COWS && (!entered || s->view.free_stall == 0))
        s->guide = GUIDE_JARS;
    else if (s->guide == GUIDE_JARS && !entered)
        s->guide = GUIDE_ROUTINE;
    else if (s->guide == GUIDE_ROUTINE) {
        s->guide = GUIDE_OFF;
        a->back_count = 0;
        a->screen = &board_screen;
        app_say(a, ROLE_CALM, "The board is ready. Tab goes from pane to pane, ? shows the keys.");
        return;
    }
    (void)guide_step(a);
}

static void setup_open(struct app *a)
{
    if (a->setup == NULL)
        a->setup = calloc(1, sizeof *a->setup);
    if (a->setup == NULL)
        return;
    setup_renew(a);
    a->setup->guide = a->setup->view.set_up ? GUIDE_OFF : GUIDE_DAIRY;
    (void)guide_step(a);
}

/* ---- keys ---- */

static unsigned to_board(struct app *a)
{
    if (!dairy_is_set_up(a->dairy)) {
        app_say(a, ROLE_WATCH, "First the dairy: Enter on its line.");
        return LOOP_DRAW;
    }
    a->back_count = 0;
    a->screen = &board_screen;
    return LOOP_DRAW;
}

static unsigned open_old_probe(struct app *a, int index)
{
    if ((size_t)index >= probe_desk_count(a))
        return LOOP_NOTHING;
    const struct probe_use *use = &probe_desk_at(a, (size_t)index)->use;
    (void)app_form(a, "probe", "Where the probe hangs");
    app_preset(a, "path", use->path);
    form_view_go(&a->form, "at_place");
    return LOOP_DRAW;
}

static unsigned open_line(struct app *a)
{
    const struct setup_state *s = a->setup;
    const struct line *line = line_now(s);
    switch (line->kind) {
    case LINE_TITLE: break;
    case LINE_DAIRY: a->setup->guide = s->view.set_up ? GUIDE_OFF : GUIDE_DAIRY; return open_dairy_form(a);
    case LINE_COW: return open_cow_form(a, &s->view.cow[line->index]);
    case LINE_NEW_COW: return open_cow_form(a, NULL);
    case LINE_WEIGHTS: return app_go(a, &weights_screen);
    case LINE_JAR: return open_jar_form(a, &s->view.jar[line->index]);
    case LINE_NEW_JAR: return app_form(a, "jarkind", "A kind of jar of your own");
    case LINE_PROBE: return open_old_probe(a, line->index);
    case LINE_NEW_PROBE: return open_probe(a, "");
    case LINE_TEMPLATE: return open_template(a);
    case LINE_STEP: return open_step_form(a, &s->view.routine.step[line->index]);
    case LINE_BOARD: return to_board(a);
    }
    return LOOP_NOTHING;
}

static unsigned move_step(struct app *a, int index, int by)
{
    const struct routine *r = &a->setup->view.routine;
    /* Up: behind the one two before; down: behind the next. */
    int behind = by < 0 ? index - 2 : index + 1;
    char id[48], after[48];
    if (behind < 0 || behind >= (int)r->count)
        return LOOP_NOTHING;
    (void)snprintf(id, sizeof id, "id=%s", r->step[index].id);
    (void)snprintf(after, sizeof after, "after=%s", r->step[behind].id);
    unsigned answer = app_act(a, "step", (const char *[]){id, after, NULL});
    list_select(&a->setup->list, a->setup->list.selected + by);
    return answer;
}

static unsigned setup_press(struct app *a, int key)
{
    unsigned now;
    char id[48];
    if (a->setup == NULL)
        return LOOP_NOTHING;
    if (list_press(&a->setup->list, key))
        return LOOP_DRAW;
    (void)setup_keys(a, &now);
    const struct keymap_row *row = keymap_find(keys, key, now);
    const struct line *line = line_now(a->setup);
    if (row == NULL || line == NULL)
        return LOOP_NOTHING;
    const struct routine_step *step =
        line->kind == LINE_STEP ? &a->setup->view.routine.step[line->index] : NULL;
    switch (row->id) {
    case DO_OPEN: return open_line(a);
    case DO_ADD: return open_new_step(a, step);
    case DO_REMOVE:
        (void)snprintf(id, sizeof id, "id=%s", step->id);
        return app_act(a, "step", (const char *[]){id, "remove=yes", NULL});
    case DO_UP: return move_step(a, line->index, -1);
    case DO_DOWN: return move_step(a, line->index, 1);
    default: return to_board(a);
    }
}

/* ---- drawing ---- */

static void draw_step(struct rect r, const struct routine *routine, int index)
{
    const struct routine_step *s = &routine->step[index];
    char time[QUANTITY_TEXT_MAX] = "";
    if (index == 0 || routine->step[index - 1].phase != s->phase)
        draw_text(r, 0, 3, ROLE_TITLE, phase_word(s->phase));
    draw_text(r, 0, 12, ROLE_CHALK, s->words);
    if (s->contact_s > 0)
        (void)quantity_format(s->contact_s, DIM_DURATION, UNITS_US, time);
    static const char *const every[] = {"", "weekly", "monthly"};
    draw_rightf(r, 0, ROLE_FAINT, "%s %s %s ", time, s->per_cow ? "each cow" : "", every[s->every]);
}

static void draw_line(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct setup_view *v = &a->setup->view;
    const struct line *line = &a->setup->line[row];
    switch (line->kind) {
    case LINE_TITLE: draw_rule(r, 0, ROLE_TITLE, line->title, NULL); break;
    case LINE_DAIRY:
        if (v->set_up)
            draw_textf(r, 0, 3, ROLE_CHALK,
                       "%s " GLYPH_DOT " %s units " GLYPH_DOT " %d stalls " GLYPH_DOT " rule: %s", v->name,
                       v->units == UNITS_US ? "US" : "metric", v->stalls, v->limit_title);
        else
            draw_text(r, 0, 3, ROLE_WATCH, "not set up yet: Enter");
        break;
    case LINE_COW: {
        const struct setup_cow *c = &v->cow[line->index];
        if (c->stall > 0)
            draw_textf(r, 0, 3, ROLE_FAINT, "stall %d", c->stall);
        draw_textf(r, 0, 12, ROLE_CHALK, "%s%s%s%s%s", c->name, c->breed[0] != '\0' ? " " GLYPH_DOT " " : "",
                   c->breed, c->tag[0] != '\0' ? " " GLYPH_DOT " tag " : "", c->tag);
        break;
    }
    case LINE_NEW_COW: draw_text(r, 0, 12, ROLE_FAINT, "add an animal"); break;
    case LINE_WEIGHTS: draw_text(r, 0, 12, ROLE_FAINT, "take weights in from a file"); break;
    case LINE_JAR: {
        const struct setup_jar *j = &v->jar[line->index];
        draw_before(r, 0, 9, j->on_hand > 0 ? ROLE_STRONG : ROLE_FAINT,
                    j->on_hand < 0 ? GLYPH_DASH : app_quantity(a, (double)j->on_hand, DIM_COUNT));
        /* Three places: a pint is an eighth of a gallon. */
        char volume[QUANTITY_TEXT_MAX];
        draw_textf(r, 0, 12, ROLE_CHALK, "%s, %s", j->kind,
                   quantity_format_in(j->volume_l, DIM_VOLUME, quantity_unit(DIM_VOLUME, dairy_units(a->dairy)), 3,
                                      volume));
        break;
    }
    case LINE_NEW_JAR: draw_text(r, 0, 12, ROLE_FAINT, "a kind of jar of your own"); break;
    case LINE_PROBE: {
        if ((size_t)line->index >= probe_desk_count(a))
            break;
        const struct probe_seat *seat = probe_desk_at(a, (size_t)line->index);
        char where[64], text[80];
        draw_textf(rect_part(r, 0, 12, 1, 44), 0, 0, ROLE_CHALK, "%s: %s", probe_use_text(&seat->use, where, sizeof where),
                   probe_seat_text(a, seat, text, sizeof text));
        draw_right(rect_part(r, 0, 58, 1, r.cols - 58), 0, ROLE_FAINT, seat->use.path);
        break;
    }
    case LINE_NEW_PROBE: draw_text(r, 0, 12, ROLE_FAINT, "point a probe at tub, refrigerator, room or a jar"); break;
    case LINE_TEMPLATE: draw_textf(r, 0, 3, ROLE_CHALK, "%s (Enter takes another)", v->routine.name); break;
    case LINE_STEP: draw_step(r, &v->routine, line->index); break;
    case LINE_BOARD: draw_text(r, 0, 3, ROLE_STRONG, "To the board"); break;
    }
}

static void setup_draw(struct app *a, struct rect r)
{
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    draw_text(r, 0, 1, ROLE_STRONG, "Our dairy");
    const char *slash = strrchr(dairy_path(a->dairy), '/');
    draw_rightf(r, 0, ROLE_FAINT, "records in %s ", slash == NULL ? dairy_path(a->dairy) : slash + 1);
    if (a->setup != NULL)
        draw_list(rect_part(r, 1, 0, r.rows - 1, r.cols), &a->setup->list, true, draw_line, a);
}

const struct screen setup_screen = {
    .letter = 'o',
    .name = "Our dairy",
    .does = "our dairy: settings, cows and stalls, jars, routine",
    .open = setup_open,
    .press = setup_press,
    .draw = setup_draw,
    .renew = setup_renew,
    .closed = setup_closed,
    .keys = setup_keys,
};
