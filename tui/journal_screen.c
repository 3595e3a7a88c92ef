/* The journal: every act, newest first, with what it changed, and undo of any of them. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/journal_view.h"
#include "tui/app.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/kit/list.h"

struct journal_state {
    struct journal_view view;
    struct journal_detail detail;
    struct list list;
    int64_t detail_of; /* the entry that `detail` belongs to */
};

enum { DO_UNDO = 1, DO_OLDER };

static const struct keymap_row keys[] = {
    {PRESS_UP, PRESS_DOWN, "arrows", "entry", "chooses an entry", 0, 0, false},
    {'u', 0, NULL, "take back", "takes the entry under the cursor back, or puts it back", 0, DO_UNDO, true},
    {0},
};

static const struct keymap_row *journal_keys(const struct app *a, unsigned *now)
{
    (void)a;
    *now = 0;
    return &keys[1];
}

static void journal_renew(struct app *a)
{
    struct fail f = {0};
    struct journal_state *j = a->journal;
    if (j == NULL)
        return;
    if (dairy_journal(a->dairy, a->now, 0, &j->view, &f) != 0)
        (void)app_fail(a, &f);
    list_count(&j->list, (int)j->view.entries);
    j->detail_of = 0;
}

static void journal_open(struct app *a)
{
    if (a->journal == NULL)
        a->journal = calloc(1, sizeof *a->journal);
    journal_renew(a);
}

static const struct journal_entry *entry_now(const struct journal_state *j)
{
    return j->view.entries > 0 ? &j->view.entry[j->list.selected] : NULL;
}

static unsigned journal_press(struct app *a, int key)
{
    struct journal_state *j = a->journal;
    if (j == NULL)
        return LOOP_NOTHING;
    if (list_press(&j->list, key))
        return LOOP_DRAW;
    if (key == 'u' && entry_now(j) != NULL)
        return app_undo(a, entry_now(j)->id);
    return LOOP_NOTHING;
}

static void draw_entry_row(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct journal_entry *e = &a->journal->view.entry[row];
    char when[CIVIL_TEXT_MAX], entered[CIVIL_TEXT_MAX];
    enum role role = e->holds ? ROLE_CHALK : ROLE_FAINT;
    draw_textf(r, 0, 0, ROLE_FAINT, "%6lld", (long long)e->id);
    draw_text(r, 0, 8, role, instant_text_near(e->happened_at, a->now, when));
    int col = draw_textf(r, 0, 22, role, "%s%s", e->holds ? "" : "taken back: ", e->what);
    if (e->entered_at.s - e->happened_at.s > 90 && e->undoes == 0)
        draw_textf(r, 0, col, ROLE_FAINT, "  entered %s", instant_text_near(e->entered_at, a->now, entered));
}

static void draw_detail(struct app *a, struct rect r)
{
    struct journal_state *j = a->journal;
    const struct journal_entry *e = entry_now(j);
    struct fail f = {0};
    char when[CIVIL_TEXT_MAX];
    if (e == NULL)
        return;
    if (j->detail_of != e->id) {
        j->detail_of = e->id;
        if (dairy_journal_detail(a->dairy, e->id, &j->detail, &f) != 0)
            j->detail.lines = 0;
    }
    draw_textf(r, 0, 1, ROLE_STRONG, "%s by %s, happened %s", e->kind, e->who,
               instant_text(e->happened_at, when));
    for (size_t i = 0; i < j->detail.lines && (int)i + 1 < r.rows; i++)
        draw_text(r, (int)i + 1, 3, ROLE_CHALK, j->detail.line[i]);
}

static void journal_draw(struct app *a, struct rect r)
{
    struct journal_state *j = a->journal;
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    if (j == NULL)
        return;
    draw_rule(r, 0, ROLE_ACCENT, "JOURNAL", "what was entered, newest first");
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    struct rect detail = rect_take_bottom(&body, body.rows >= 16 ? 8 : body.rows / 3);
    draw_list(body, &j->list, true, draw_entry_row, a);
    draw_rule(detail, 0, ROLE_TITLE, "WHAT IT CHANGED", NULL);
    draw_detail(a, rect_part(detail, 1, 0, detail.rows - 1, detail.cols));
}

const struct screen journal_screen = {
    .letter = 'j',
    .name = "The journal",
    .does = "the journal: every act, and undo of any",
    .open = journal_open,
    .press = journal_press,
    .draw = journal_draw,
    .renew = journal_renew,
    .keys = journal_keys,
};
