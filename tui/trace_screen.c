/* Where milk went: jars that are to be called back, or a trace from a batch, a cow or a milking; who has each
 * jar and how they are reached; Enter settles the jars under the cursor. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/shelf_panes.h"

struct trace_state {
    bool recall; /* the jars to be called back; else what was asked */
    struct trace_ask ask;
    struct trace_view view;
    struct recall_view called;
    struct list lines, milks;
    bool below;  /* the list of milkings has the keys */
    bool asking; /* the form over it asks for another trace */
};

enum { WIDE_COLS = 100 };
enum { DO_SETTLE = 1, DO_BATCH, DO_ASK, DO_PANE, DO_SWAP };
enum { WHEN_LINE = 1, WHEN_TRACE = 2, WHEN_CALLED = 4 };

static const struct keymap_row keys[] = {
    {PRESS_ENTER, 0, NULL, "settle",
     "these jars go: thrown away, fed, brought back; one form for all of them", WHEN_LINE, DO_SETTLE, true},
    {'i', 0, NULL, "batch", "all about this batch", WHEN_LINE, DO_BATCH, true},
    {'/', 0, NULL, "ask", "asks from a batch, from a cow and a time, or from a milking", 0, DO_ASK, true},
    {'c', 0, NULL, "call back", "the jars to be called back", WHEN_CALLED, DO_SWAP, true},
    {PRESS_TAB, 0, NULL, "pane", "jars, or whose milk", WHEN_TRACE, DO_PANE, false},
    {PRESS_UP, 0, "↑↓", "row", "chooses jars", 0, 90, false},
    {PRESS_ESC, 0, NULL, "back", "goes back", 0, 91, true},
    {0},
};

static size_t lines_of(const struct trace_state *t, const struct trace_line **line)
{
    *line = t->recall ? t->called.line : t->view.line;
    return t->recall ? t->called.lines : t->view.lines;
}

static const struct trace_line *line_now(const struct app *a)
{
    const struct trace_line *line;
    return a->trace != NULL && lines_of(a->trace, &line) > 0 ? &line[a->trace->lines.selected] : NULL;
}

static const struct keymap_row *trace_keys(const struct app *a, unsigned *now)
{
    *now = 0;
    if (a->trace == NULL)
        return keys;
    *now |= line_now(a) != NULL ? WHEN_LINE : 0;
    *now |= a->trace->recall ? 0 : WHEN_TRACE;
    *now |= !a->trace->recall && a->trace->called.lines > 0 ? WHEN_CALLED : 0;
    return keys;
}

/* ---- the snapshot ---- */

static void trace_renew(struct app *a)
{
    struct fail f = {0};
    struct trace_state *t = a->trace;
    const struct trace_line *line;
    if (t == NULL)
        return;
    if (dairy_recall(a->dairy, a->now, &t->called, &f) != 0 ||
        (!t->recall && t->ask.id != 0 && dairy_trace(a->dairy, &t->ask, a->now, &t->view, &f) != 0))
        (void)app_fail(a, &f);
    list_count(&t->lines, (int)lines_of(t, &line));
    list_count(&t->milks, (int)t->view.milks);
}

static struct trace_state *state_of(struct app *a)
{
    if (a->trace == NULL)
        a->trace = calloc(1, sizeof *a->trace);
    return a->trace;
}

static unsigned ask_form(struct app *a)
{
    form_view_init(&a->form, "Where did it go? Say one: a batch, a cow, a milking, a sample", trace_fields,
                   trace_field_count, dairy_units(a->dairy), a->now);
    a->trace->asking = true;
    a->form_act = NULL;
    a->overlay = OVERLAY_FORM;
    return LOOP_DRAW;
}

unsigned open_recall(struct app *a)
{
    struct trace_state *t = state_of(a);
    if (t == NULL)
        return LOOP_NOTHING;
    t->recall = true;
    t->below = false;
    list_select(&t->lines, 0);
    return app_go(a, &trace_screen);
}

unsigned open_trace(struct app *a, int64_t batch_id)
{
    struct trace_state *t = state_of(a);
    if (t == NULL)
        return LOOP_NOTHING;
    t->recall = false;
    t->below = false;
    t->ask =
        (struct trace_ask){.from = ASK_BATCH, .id = batch_id, .since = INSTANT_NONE, .until = INSTANT_NONE};
    memset(&t->view, 0, sizeof t->view);
    list_select(&t->lines, 0);
    (void)app_go(a, &trace_screen);
    return batch_id == 0 ? ask_form(a) : LOOP_DRAW;
}

/* ---- settling ---- */

/* Milk that is not to be kept is thrown away, unless the keeper says another place; other jars ask where. */
static unsigned open_settle(struct app *a)
{
    const struct trace_line *l = line_now(a);
    const struct trace_state *t = a->trace;
    char count[16], why[160];
    if (l->settled) {
        app_say(a, ROLE_WATCH, "Nothing is left to be done about these: %s.", jar_place_word(l->place));
        return LOOP_DRAW;
    }
    (void)snprintf(count, sizeof count, "%d", l->count);
    (void)snprintf(why, sizeof why, "held: %.140s", t->called.why);
    (void)app_form(a, "jar", "What becomes of these jars");
    app_preset(a, "batch", l->code);
    app_preset(a, "count", count);
    if (l->person[0] != '\0' || l->place == AT_CHEESE)
        app_preset(a, "from", l->person[0] != '\0' ? l->person : jar_place_word(l->place));
    if (t->recall) {
        app_preset(a, "to", "dump");
        app_preset(a, "why", why);
    }
    form_view_go(&a->form, "to");
    return LOOP_DRAW;
}

static int trace_submit(struct app *a, struct fail *f)
{
    struct trace_state *t = a->trace;
    struct trace_ask ask;
    if (trace_ask_read(a->dairy, &a->form.form, a->now, &ask, f) != 0)
        return -1;
    t->recall = false;
    t->ask = ask;
    t->asking = false;
    list_select(&t->lines, 0);
    trace_renew(a);
    return 0;
}

static void trace_closed(struct app *a, bool entered)
{
    if (a->trace == NULL || !a->trace->asking)
        return;
    a->trace->asking = false;
    if (!entered && !a->trace->recall && a->trace->ask.id == 0)
        (void)app_back(a);
}

static unsigned do_key(struct app *a, int id)
{
    struct trace_state *t = a->trace;
    switch (id) {
    case DO_SETTLE: return open_settle(a);
    case DO_BATCH: return show_batch_page(a, line_now(a)->batch_id);
    case DO_ASK: return ask_form(a);
    case DO_PANE: t->below = !t->below; return LOOP_DRAW;
    case DO_SWAP:
        t->recall = true;
        t->below = false;
        list_select(&t->lines, 0);
        trace_renew(a);
        return LOOP_DRAW;
    default: return LOOP_NOTHING;
    }
}

static unsigned trace_press(struct app *a, int key)
{
    unsigned now = 0;
    struct trace_state *t = a->trace;
    if (t == NULL)
        return LOOP_NOTHING;
    if (list_press(t->below ? &t->milks : &t->lines, key))
        return LOOP_DRAW;
    const struct keymap_row *table = trace_keys(a, &now), *row = keymap_find(table, key, now);
    return row == NULL ? LOOP_NOTHING : do_key(a, row->id);
}

/* ---- drawing ---- */

static const char *line_contact(const struct trace_line *l, char *buf, size_t size)
{
    (void)snprintf(buf, size, "%s%s%s",
                   l->contact[0] != '\0' || l->person[0] == '\0' ? l->contact
                                                                 : "no way to reach them is written down",
                   l->contact2[0] != '\0' ? ", or " : "", l->contact2);
    return buf;
}

static void draw_line(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct trace_line *line;
    char since[CIVIL_TEXT_MAX], contact[200];
    (void)lines_of(a->trace, &line);
    const struct trace_line *l = &line[row];
    enum role role = l->settled ? ROLE_FAINT : ROLE_CHALK;
    if (l->settled)
        draw_text(r, 0, 0, ROLE_CALM, GLYPH_TICK);
    else if (a->trace->recall)
        draw_text(r, 0, 0, ROLE_STOP, GLYPH_WARNING);
    draw_text(r, 0, 2, l->settled ? ROLE_FAINT : ROLE_STRONG, l->code);
    draw_textf(r, 0, 13, role, "%2d %s", l->count, l->kind);
    int col = draw_text(rect_part(r, 0, 0, 1, 46), 0, 28, l->settled ? ROLE_FAINT : ROLE_STRONG,
                        l->person[0] != '\0' ? l->person : jar_place_word(l->place));
    if (l->settled && l->person[0] != '\0')
        (void)draw_textf(r, 0, col, ROLE_FAINT, ", %s", jar_place_word(l->place));
    draw_text(r, 0, 47, ROLE_FAINT, instant_text_near(l->here_since, a->now, since));
    draw_text(rect_part(r, 0, 0, 1, 80), 0, 62, role, l->cows);
    if (r.cols >= WIDE_COLS)
        draw_text(r, 0, 82, role, line_contact(l, contact, sizeof contact));
}

static void draw_milk(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct trace_milk *m = &a->trace->view.milk[row];
    char at[CIVIL_TEXT_MAX];
    draw_text(r, 0, 2, ROLE_STRONG, m->cow);
    draw_text(r, 0, 14, ROLE_CHALK, instant_text_near(m->at, a->now, at));
    if (isfinite(m->kg))
        draw_before(r, 0, 40, ROLE_CHALK, app_quantity(a, m->kg, DIM_MASS));
    if (m->held)
        draw_textf(r, 0, 43, ROLE_STOP, "NOT TO BE KEPT: %s", m->why);
}

/* Whoever stands under the cursor, and how they are reached: what is read out over the telephone. */
static void draw_detail(const struct app *a, struct rect r)
{
    const struct trace_line *l = line_now(a);
    char contact[200], here[CIVIL_TEXT_MAX], carries[CIVIL_TEXT_MAX];
    if (l == NULL)
        return;
    if (l->person[0] != '\0')
        draw_textf(r, 0, 1, ROLE_STRONG, "%s: %s", l->person, line_contact(l, contact, sizeof contact));
    draw_textf(r, l->person[0] != '\0' ? 1 : 0, 1, ROLE_CHALK, "%s there since %s; milk of %s in since %s.",
               l->count == 1 ? "It is" : "They are", instant_text_near(l->here_since, a->now, here), l->cows,
               instant_text_near(l->carries_since, a->now, carries));
}

static void draw_say(const struct app *a, struct rect *r)
{
    const struct trace_state *t = a->trace;
    char text[600];
    bool open = t->recall && t->called.say[0] != '\0';
    bool held = false;
    for (size_t i = 0; i < t->view.milks; i++)
        held = held || t->view.milk[i].held;
    /* Only milk that is not to be kept has people to be called. */
    if (!t->recall && !held)
        (void)snprintf(text, sizeof text, "%s: %d jars, %d at home, %d with %d %s, %d gone already.",
                       t->view.about, t->view.sum.jars, t->view.sum.at_home, t->view.sum.given,
                       t->view.sum.people, t->view.sum.people == 1 ? "person" : "people", t->view.sum.gone);
    else if (!t->recall)
        (void)snprintf(text, sizeof text, "%s: %s", t->view.about, t->view.say);
    else if (t->called.lines == 0)
        (void)snprintf(text, sizeof text, "No jar holds milk that turned out not to be fit to keep.");
    else
        (void)snprintf(text, sizeof text, "%s. Because: %s.",
                       open ? t->called.say : "All of them are settled", t->called.why);
    int rows = draw_wrapped(rect_part(*r, 0, 1, 3, r->cols - 2), 0, 0, open ? ROLE_STOP : ROLE_STRONG, text);
    (void)rect_take_top(r, rows > 3 ? 3 : rows);
}

static void trace_draw(struct app *a, struct rect r)
{
    struct trace_state *t = a->trace;
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    char remark[48] = "";
    draw_bottom(a, bottom);
    if (t == NULL)
        return;
    if (t->recall && t->called.lines > 0)
        (void)snprintf(remark, sizeof remark, "%d to settle, %d settled",
                       t->called.open_home + t->called.open_given + t->called.open_cheese, t->called.settled);
    draw_rule(r, 0, t->below ? ROLE_TITLE : ROLE_ACCENT, t->recall ? "CALL BACK" : "TRACE", remark);
    (void)rect_take_top(&r, 1);
    draw_say(a, &r);
    if (!t->recall && t->view.milks > 0 && r.rows >= 9) {
        struct rect milks = rect_take_bottom(&r, int_between(3, (int)t->view.milks + 1, r.rows / 2));
        draw_rule(milks, 0, t->below ? ROLE_ACCENT : ROLE_TITLE, "WHOSE MILK", NULL);
        draw_list(rect_part(milks, 1, 0, milks.rows - 1, milks.cols), &t->milks, t->below, draw_milk, a);
    }
    draw_detail(a, rect_take_bottom(&r, r.rows >= 6 ? 2 : 0));
    draw_list(r, &t->lines, !t->below, draw_line, a);
}

const struct screen trace_screen = {
    .letter = 0,
    .name = "Where it went",
    .does = "jars to call back, and traces",
    .open = trace_renew,
    .press = trace_press,
    .draw = trace_draw,
    .renew = trace_renew,
    .submit = trace_submit,
    .closed = trace_closed,
    .keys = trace_keys,
};
