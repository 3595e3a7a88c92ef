/* The wash bench: today's mix, the sink's clock, parts, laboratory and water, and every caution of the
 * chemicals. One pane has the keys and the room it needs; the others say in short how they stand. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "tui/board_panes.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/wash_panes.h"

/* From this width on the panes stand in two columns. */
enum { TWO_COLUMNS_COLS = 112 };

struct wash_state {
    struct wash_view view;
    struct wash_lines lines[WASH_PANES];
    enum wash_pane pane;
    int chosen[WASH_PANES]; /* item of a pane */
};

enum {
    DO_OPEN = 1,
    DO_NEW,
    DO_STRIP,
    DO_NUMBER,
    DO_COUNT,
    DO_MACHINE,
    DO_RULES,
    DO_PANE,
    DO_PANE_BACK,
    DO_WHY
};

enum { WHEN_MIX = 1, WHEN_SINK = 2, WHEN_PARTS = 4, WHEN_LAB = 8, WHEN_FRESH = 16, WHEN_FILLED = 32, WHEN_EMPTY = 64 };

static const struct keymap_row keys[] = {
    {PRESS_ENTER, 0, NULL, "mix", "mixes a sanitiser; as last time, unless you say otherwise", WHEN_MIX, DO_OPEN, true},
    {PRESS_ENTER, 0, NULL, "reading", "enters how warm the sink is now", WHEN_SINK | WHEN_FILLED, DO_OPEN, true},
    {PRESS_ENTER, 0, NULL, "hot water", "fresh hot water goes into the sink", WHEN_SINK | WHEN_EMPTY, DO_OPEN, true},
    {PRESS_ENTER, 0, NULL, "fitted", "the part under the cursor was fitted, the job done, the stock counted", WHEN_PARTS,
     DO_OPEN, true},
    {PRESS_ENTER, 0, NULL, "figures", "the sample was sent, arrived, or its figures came", WHEN_LAB, DO_OPEN, true},
    {'0', '9', "0-9", "strip", "type a number: what the test strip shows", WHEN_MIX | WHEN_FRESH, DO_NUMBER, true},
    {'0', '9', "0-9", "reading", "type a number: how warm the sink is now", WHEN_SINK | WHEN_FILLED, DO_NUMBER, false},
    {'0', '9', "0-9", "hot water", "type a number: the temperature of hot water in the sink", WHEN_SINK | WHEN_EMPTY, DO_NUMBER,
     false},
    {PRESS_TAB, 0, NULL, "pane", "goes to the next pane", 0, DO_PANE, true},
    {PRESS_BACK_TAB, 0, NULL, NULL, NULL, 0, DO_PANE_BACK, false},
    {'+', 0, NULL, "hot water", "fresh hot water goes into the sink", WHEN_SINK | WHEN_FILLED, DO_NEW, false},
    {'+', 0, NULL, "part", "a part that is not in the list was fitted", WHEN_PARTS, DO_NEW, false},
    {'+', 0, NULL, "sample", "a sample is drawn, of milk or water", WHEN_LAB, DO_NEW, true},
    {'c', 0, NULL, "count", "counts how many are on the shelf", WHEN_PARTS, DO_COUNT, false},
    {'v', 0, NULL, "vacuum", "enters vacuum and pulsation as measured", WHEN_PARTS, DO_MACHINE, false},
    {'g', 0, NULL, "rules", "chooses the rules and standards that the bench goes by", 0, DO_RULES, false},
    {'?', 0, NULL, "why", "shows how the figure came about", 0, DO_WHY, false},
    {0},
};

static const struct keymap_row *wash_keys(const struct app *a, unsigned *now)
{
    static const unsigned panes[WASH_PANES] = {WHEN_MIX, WHEN_SINK, WHEN_PARTS, WHEN_LAB, 0};
    const struct wash_state *s = a->wash;
    *now = 0;
    if (s == NULL)
        return keys;
    *now = panes[s->pane] | (s->view.sink.filled ? WHEN_FILLED : WHEN_EMPTY);
    if (s->view.mix.fresh)
        *now |= WHEN_FRESH;
    return keys;
}

static void wash_renew(struct app *a)
{
    struct fail f = {0};
    struct wash_state *s = a->wash;
    if (s == NULL)
        return;
    if (dairy_wash(a->dairy, a->now, &s->view, &f) != 0)
        (void)app_fail(a, &f);
    for (int i = 0; i < WASH_PANES; i++) {
        wash_pane_lines(&s->view, (enum wash_pane)i, &s->lines[i]);
        if (s->chosen[i] >= s->lines[i].items)
            s->chosen[i] = s->lines[i].items > 0 ? s->lines[i].items - 1 : 0;
    }
}

static void wash_open(struct app *a)
{
    if (a->wash == NULL)
        a->wash = calloc(1, sizeof *a->wash);
    if (a->wash == NULL)
        return;
    wash_renew(a);
}

/* ---- forms ---- */

static unsigned open_mix(struct app *a)
{
    const struct wash_mix_view *m = &a->wash->view.mix;
    char text[QUANTITY_TEXT_MAX];
    (void)app_form(a, "mix", "Mix: water first. Never near acid or vinegar");
    if (m->known) {
        app_preset(a, "target", quantity_format(m->target_ppm, DIM_CONCENTRATION, UNITS_US, text));
        app_preset(a, "volume", app_quantity(a, m->volume_l, DIM_VOLUME));
    }
    form_view_go(&a->form, m->known ? "strip" : "strength");
    return LOOP_DRAW;
}

static unsigned open_strip(struct app *a, const char *digit)
{
    (void)app_form(a, "strip", "The test strip shows");
    app_preset(a, "ppm", digit);
    form_view_go(&a->form, "ppm");
    return LOOP_DRAW;
}

static unsigned open_sink(struct app *a, const char *digit, bool fresh)
{
    (void)app_form(a, fresh ? "sink" : "reading",
                   fresh ? "Hot water into the sink: it scalds" : "The sink reads now");
    if (!fresh)
        app_preset(a, "at_place", "sink");
    app_preset(a, "temp", digit);
    form_view_go(&a->form, "temp");
    return LOOP_DRAW;
}

static const struct wash_part_view *part_now(const struct app *a)
{
    const struct wash_state *s = a->wash;
    int chosen = s->chosen[WASH_PARTS];
    return chosen < (int)s->view.parts ? &s->view.part[chosen] : NULL;
}

static unsigned open_part(struct app *a, bool count)
{
    const struct wash_part_view *p = part_now(a);
    bool stock = count || (p != NULL && p->kind == PART_STOCK);
    (void)app_form(a, "part",
                   stock ? "Counted on the shelf" : p != NULL && p->kind == PART_SERVICE ? "Done" : "Fitted");
    if (p != NULL)
        app_preset(a, "name", p->name);
    form_view_go(&a->form, stock ? "stock" : "fitted");
    return LOOP_DRAW;
}

static unsigned open_lab(struct app *a)
{
    const struct wash_sample_view *sample;
    const struct wash_measure_view *measure;
    if (!wash_lab_thing(&a->wash->view, &a->wash->lines[WASH_LAB], a->wash->chosen[WASH_LAB], &sample, &measure))
        return app_form(a, "sample", "A sample is drawn");
    (void)app_form(a, "lab", "Sent, arrived, or what the laboratory found");
    app_preset(a, "sample", sample != NULL ? sample->name : measure->sample);
    form_view_go(&a->form, sample != NULL ? "sent" : "plate");
    return LOOP_DRAW;
}

static unsigned open_rules(struct app *a)
{
    const struct wash_view *v = &a->wash->view;
    (void)app_form(a, "rules", "What the bench goes by: local law decides");
    app_preset(a, "contact", v->contact_set);
    app_preset(a, "standard", v->lab_set);
    app_preset(a, "water", v->water_set);
    form_view_go(&a->form, "contact");
    return LOOP_DRAW;
}

static unsigned open_now(struct app *a)
{
    switch (a->wash->pane) {
    case WASH_MIX: return open_mix(a);
    case WASH_SINK: return open_sink(a, "", !a->wash->view.sink.filled);
    case WASH_PARTS: return open_part(a, false);
    case WASH_LAB: return open_lab(a);
    case WASH_CAUTIONS:
    case WASH_PANES: break;
    }
    return LOOP_NOTHING;
}

static unsigned open_new(struct app *a)
{
    if (a->wash->pane == WASH_SINK)
        return open_sink(a, "", true);
    if (a->wash->pane == WASH_LAB)
        return app_form(a, "sample", "A sample is drawn");
    (void)app_form(a, "part", "A part is fitted");
    form_view_go(&a->form, "name");
    return LOOP_DRAW;
}

/* ---- keys ---- */

static unsigned explain(struct app *a)
{
    struct wash_state *s = a->wash;
    struct working w;
    struct fail f = {0};
    const struct wash_sample_view *sample;
    const struct wash_measure_view *measure;
    int result = -1;
    if (s->pane == WASH_MIX)
        result = wash_explain_mix(a->dairy, a->now, &w, &f);
    else if (s->pane == WASH_SINK)
        result = wash_explain_sink(a->dairy, a->now, &w, &f);
    else if (s->pane == WASH_PARTS && part_now(a) != NULL)
        result = wash_explain_part(a->dairy, a->now, part_now(a)->name, &w, &f);
    else if (s->pane == WASH_LAB && wash_lab_thing(&s->view, &s->lines[WASH_LAB], s->chosen[WASH_LAB], &sample, &measure) && measure != NULL)
        result = wash_explain_measure(a->dairy, a->now, measure->measure, &w, &f);
    return result == 0 ? app_show_working(a, &w) : help_show(a);
}

static unsigned press_arrow(struct app *a, int key)
{
    struct wash_state *s = a->wash;
    int by = key == PRESS_UP || key == PRESS_LEFT ? -1 : key == PRESS_DOWN || key == PRESS_RIGHT ? 1 : 0;
    if (key == PRESS_PAGE_UP || key == PRESS_PAGE_DOWN)
        by = key == PRESS_PAGE_UP ? -8 : 8;
    if (key == PRESS_HOME || key == PRESS_END)
        by = key == PRESS_HOME ? -1000 : 1000;
    if (by == 0)
        return LOOP_NOTHING;
    int most = s->lines[s->pane].items;
    int to = s->chosen[s->pane] + by;
    s->chosen[s->pane] = to >= most ? (most > 0 ? most - 1 : 0) : to < 0 ? 0 : to;
    return LOOP_DRAW;
}

static unsigned wash_press(struct app *a, int key)
{
    unsigned now;
    char digit[2] = {(char)key, '\0'};
    struct wash_state *s = a->wash;
    if (s == NULL)
        return LOOP_NOTHING;
    (void)wash_keys(a, &now);
    const struct keymap_row *row = keymap_find(keys, key, now);
    if (row == NULL)
        return press_arrow(a, key);
    switch (row->id) {
    case DO_OPEN: return open_now(a);
    case DO_NEW: return open_new(a);
    case DO_NUMBER: return s->pane == WASH_MIX ? open_strip(a, digit) : open_sink(a, digit, !s->view.sink.filled);
    case DO_COUNT: return open_part(a, true);
    case DO_MACHINE: return app_form(a, "machine", "Vacuum and pulsation");
    case DO_RULES: return open_rules(a);
    case DO_PANE: s->pane = (enum wash_pane)((s->pane + 1) % WASH_PANES); return LOOP_DRAW;
    case DO_PANE_BACK: s->pane = (enum wash_pane)((s->pane + WASH_PANES - 1) % WASH_PANES); return LOOP_DRAW;
    default: return explain(a);
    }
}

/* ---- drawing ---- */

/* "hot-wash 5:00 left · post-dip Tib 12 s late": what is late first, as the board has it. */
static void draw_clocks(struct app *a, struct rect r)
{
    const struct progress *p = &a->board->progress;
    char text[240] = "", state[PROGRESS_WHY_MAX + 32];
    bool late = false;
    for (size_t i = 0; i < p->timer_count && a->board->milking_open; i++) {
        const struct progress_row *row = &p->row[p->timer[i]];
        late = late || row->late_s > 0;
        (void)text_append(text, sizeof text, "%s%s%s%s %s", text[0] == '\0' ? "" : " " GLYPH_DOT " ", row->step->id,
                          row->cow >= 0 ? " " : "", row->cow >= 0 ? a->board->cow[row->cow].name : "",
                          progress_row_text(row, a->now, state, sizeof state));
    }
    if (text[0] != '\0')
        (void)draw_textf(r, 0, 1, late ? ROLE_WATCH : ROLE_CHALK, "Clocks: %s", text);
    else
        draw_text(r, 0, 1, ROLE_FAINT, "No clock runs.");
}

static void draw_order(const struct app *a, struct rect r)
{
    const struct wash_view *v = &a->wash->view;
    int col = draw_text(r, 0, 1, ROLE_FAINT, "Milk in this order: ");
    if (v->orders == 0)
        draw_text(r, 0, 1, ROLE_FAINT, "No cow is in milk.");
    for (size_t i = 0; i < v->orders; i++) {
        bool last = strncmp(v->order[i].why, "treated", 7) == 0, doubt = strncmp(v->order[i].why, "doubtful", 8) == 0;
        col = draw_text(r, 0, col, ROLE_STRONG, v->order[i].name);
        col = draw_text(r, 0, col + 1, last ? ROLE_STOP : doubt ? ROLE_WATCH : ROLE_FAINT,
                        last    ? "LAST: treated, milk apart"
                        : doubt ? "late: doubtful"
                                : v->order[i].why);
        col = draw_text(r, 0, col, ROLE_FAINT, i + 1 < v->orders ? ", " : "");
    }
}

static void draw_one(struct app *a, struct rect r, enum wash_pane pane)
{
    struct wash_state *s = a->wash;
    char remark[60];
    const char *text = wash_pane_remark(&s->view, pane, remark, sizeof remark);
    if (r.rows <= 0)
        return;
    draw_rule(r, 0, s->pane == pane ? ROLE_ACCENT : ROLE_TITLE, wash_pane_title(pane), text[0] == '\0' ? NULL : text);
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    draw_wash_lines(body, &s->lines[pane], s->lines[pane].items > 0 ? s->chosen[pane] : -1,
                    s->pane == pane && pane != WASH_CAUTIONS);
}

static bool holds_pane(const enum wash_pane *panes, int count, enum wash_pane pane)
{
    for (int i = 0; i < count; i++)
        if (panes[i] == pane)
            return true;
    return false;
}

/* The least that a pane shows: its rule and a line; of the cautions the gravest, whole. */
static int least_rows(const struct app *a, const struct rect *r, enum wash_pane pane)
{
    struct wash_lines *lines = &a->wash->lines[pane];
    int count = lines->count;
    if (pane != WASH_CAUTIONS || count == 0)
        return 2;
    lines->count = 1;
    int rows = 1 + wash_lines_rows(r, lines);
    lines->count = count;
    return rows;
}

/* Shares the rows out: each pane its least, then the one that has the keys what it wants, then the
 * others from the top. */
static void draw_column(struct app *a, struct rect r, const enum wash_pane *panes, int count)
{
    struct wash_state *s = a->wash;
    int rows[WASH_PANES], wants[WASH_PANES], left = r.rows;
    if (r.rows < 2 * count + 4) { /* no room for all: the one that has the keys */
        for (int i = 0; i < count; i++)
            if (panes[i] == s->pane || (i == count - 1 && !holds_pane(panes, count, s->pane))) {
                draw_one(a, r, panes[i] == s->pane ? s->pane : panes[0]);
                return;
            }
    }
    for (int i = 0; i < count; i++) {
        wants[i] = 1 + wash_lines_rows(&r, &s->lines[panes[i]]);
        rows[i] = least_rows(a, &r, panes[i]);
        left -= rows[i];
    }
    for (int pass = 0; pass < 2; pass++)
        for (int i = 0; i < count; i++) {
            int more = wants[i] - rows[i];
            if (pass == 0 && panes[i] != s->pane)
                continue;
            if (more > left)
                more = left;
            if (more > 0) {
                rows[i] += more;
                left -= more;
            }
        }
    for (int i = 0; i < count; i++)
        draw_one(a, rect_take_top(&r, i == count - 1 ? r.rows : rows[i]), panes[i]);
}

static void wash_draw(struct app *a, struct rect r)
{
    static const enum wash_pane all[] = {WASH_MIX, WASH_SINK, WASH_PARTS, WASH_LAB, WASH_CAUTIONS},
                                left[] = {WASH_MIX, WASH_SINK, WASH_CAUTIONS}, right[] = {WASH_PARTS, WASH_LAB};
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    char now[CIVIL_TEXT_MAX];
    draw_bottom(a, bottom);
    if (a->wash == NULL)
        return;
    draw_textf(r, 0, 1, ROLE_STRONG, "%s " GLYPH_DOT " wash bench", instant_text(a->now, now));
    if (r.cols >= 60)
        draw_rightf(r, 0, ROLE_FAINT, "%s ", a->throw_away ? "invented dairy" : a->board->dairy);
    (void)rect_take_top(&r, 1);
    if (r.rows >= 14) {
        struct rect line = rect_take_top(&r, 1);
        draw_text(line, 0, 1, urgency_role(a->board->urgency), GLYPH_MARK);
        draw_text(line, 0, 3, urgency_role(a->board->urgency), a->board->sentence);
        draw_clocks(a, rect_take_top(&r, 1));
        draw_order(a, rect_take_top(&r, 1));
    }
    if (r.cols < TWO_COLUMNS_COLS) {
        draw_column(a, r, all, 5);
        return;
    }
    struct rect half = rect_take_left(&r, r.cols / 2), bar = rect_take_left(&r, 1);
    draw_column(a, half, left, 3);
    draw_column(a, r, right, 2);
    draw_upright(bar, 0);
}

const struct screen wash_screen = {
    .letter = 'w',
    .name = "Wash bench",
    .does = "the wash bench: sanitiser, sink, parts, laboratory and water, cautions",
    .open = wash_open,
    .press = wash_press,
    .draw = wash_draw,
    .renew = wash_renew,
    .keys = wash_keys,
};
