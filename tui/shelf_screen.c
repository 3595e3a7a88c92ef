/* The shelf: every jar at home, oldest first, and what is done with jars. The oldest jar that nothing is
 * against is under the cursor when the screen opens, so that handing it out is two keys: g, and the person's
 * number. */
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tui/help.h"
#include "tui/share_screen.h"
#include "tui/shelf_panes.h"

enum {
    DO_OPEN = 1,
    DO_GO,
    DO_BACK,
    DO_TASTE,
    DO_WHY_TASTE,
    DO_FIND,
    DO_TRACE,
    DO_RECALL,
    DO_SHARE,
    DO_LOSSES,
    DO_WASHED,
    DO_ADD,
    DO_EDIT,
    DO_PANE
};
enum { WHEN_JAR = 1, WHEN_JARS = 2, WHEN_PEOPLE = 4, WHEN_PERSON = 8, WHEN_RECALL = 16 };

static const struct keymap_row keys[] = {
    {'g', 0, NULL, "goes to",
     "the jar under the cursor goes to a person (type the number), the freezer, a calf ...", WHEN_JAR, DO_GO,
     true},
    {PRESS_ENTER, 0, NULL, "open", "all about the batch: whose milk, its chill, where its jars are",
     WHEN_JAR | WHEN_JARS, DO_OPEN, true},
    {PRESS_ENTER, 0, NULL, "open", "what they took, and how they are reached", WHEN_PERSON | WHEN_PEOPLE,
     DO_OPEN, true},
    {PRESS_TAB, 0, NULL, "pane", "jars, or people", 0, DO_PANE, true},
    {PRESS_BACK_TAB, 0, NULL, NULL, NULL, 0, DO_PANE, false},
    {'c', 0, NULL, "call back", "jars whose milk turned out not to be fit to keep, and who has them",
     WHEN_RECALL, DO_RECALL, true},
    {'b', 0, NULL, "jars back", "somebody brings empty jars back", 0, DO_BACK, false},
    {'t', 0, NULL, "taste", "a jar of this batch was tasted", WHEN_JAR, DO_TASTE, false},
    {'/', 0, NULL, "find", "finds a batch by its code or a part of it", 0, DO_FIND, true},
    {'x', 0, NULL, "trace", "where the milk of this batch is, and whose it is; or asked from a cow or a day",
     0, DO_TRACE, false},
    {'d', 0, NULL, "share", "shares a short day out among those who have milk due", 0, DO_SHARE, false},
    {'y', 0, NULL, "why so", "suspects for the last wrong taste of this batch", WHEN_JAR, DO_WHY_TASTE,
     false},
    {'m', 0, NULL, "losses", "what was lost, month by month, and why", 0, DO_LOSSES, false},
    {'h', 0, NULL, "washed", "empty jars were washed", 0, DO_WASHED, false},
    {'+', 0, NULL, "add", "somebody new takes milk", 0, DO_ADD, false},
    {'e', 0, NULL, "change", "changes what is written about this person", WHEN_PERSON | WHEN_PEOPLE, DO_EDIT,
     false},
    {PRESS_UP, 0, "↑↓", "row", "chooses a jar or a person", 0, 90, false},
    {0},
};

const struct shelf_row *shelf_row_now(const struct app *a)
{
    const struct shelf_look *s = a->shelf;
    return s != NULL && s->view.rows > 0 ? &s->view.row[s->jars.selected] : NULL;
}

const struct person_view *shelf_person_now(const struct app *a)
{
    const struct shelf_look *s = a->shelf;
    return s != NULL && s->view.people.people > 0 ? &s->view.people.person[s->people.selected] : NULL;
}

static const struct keymap_row *shelf_keys(const struct app *a, unsigned *now)
{
    const struct shelf_look *s = a->shelf;
    *now = 0;
    if (s == NULL)
        return keys;
    *now |= s->pane == PANE_JARS ? WHEN_JARS : WHEN_PEOPLE;
    *now |= shelf_row_now(a) != NULL ? WHEN_JAR : 0;
    *now |= shelf_person_now(a) != NULL ? WHEN_PERSON : 0;
    *now |= s->view.recall.lines > 0 ? WHEN_RECALL : 0;
    return keys;
}

/* ---- the snapshot ---- */

/* The cursor stays on the jars it was on, wherever they stand in the list now. */
static void find_again(struct shelf_look *s, int64_t batch_id, enum jar_place place)
{
    list_count(&s->jars, (int)s->view.rows);
    for (size_t i = 0; i < s->view.rows; i++)
        if (s->view.row[i].batch_id == batch_id && s->view.row[i].place == place)
            list_select(&s->jars, (int)i);
}

static void shelf_renew(struct app *a)
{
    struct fail f = {0};
    struct shelf_look *s = a->shelf;
    if (s == NULL)
        return;
    const struct shelf_row *row = shelf_row_now(a);
    int64_t batch_id = row == NULL ? 0 : row->batch_id;
    enum jar_place place = row == NULL ? AT_FRIDGE : row->place;
    if (dairy_shelf(a->dairy, a->now, &s->view, &f) != 0)
        (void)app_fail(a, &f);
    find_again(s, batch_id, place);
    list_count(&s->people, (int)s->view.people.people);
}

static void shelf_open(struct app *a)
{
    if (a->shelf == NULL)
        a->shelf = calloc(1, sizeof *a->shelf);
    if (a->shelf == NULL)
        return;
    a->shelf->prompt = PROMPT_NONE;
    a->shelf->pane = PANE_JARS;
    shelf_renew(a);
    list_select(&a->shelf->jars, a->shelf->view.next < a->shelf->view.rows ? (int)a->shelf->view.next : 0);
}

/* ---- jars go ---- */

/* One jar at once: the two keys that are pressed most. */
static unsigned hand_out(struct app *a, const struct person_view *p)
{
    char batch[32], to[80];
    (void)snprintf(batch, sizeof batch, "batch=%s", shelf_row_now(a)->code);
    (void)snprintf(to, sizeof to, "to=%s", p->name);
    return app_act(a, "jar", (const char *const[]){batch, to, NULL});
}

static const char *why_thrown(enum shelf_state state)
{
    static const char *const reasons[SHELF_STATES] = {
        [SHELF_PAST] = "old", [SHELF_HELD] = "held", [SHELF_CALL] = "held", [SHELF_AWAY] = "warm"};
    return reasons[state] == NULL ? "" : reasons[state];
}

static unsigned open_move(struct app *a, const char *to)
{
    const struct shelf_row *x = shelf_row_now(a);
    bool dump = strcmp(to, "dump") == 0;
    char count[16];
    (void)snprintf(count, sizeof count, "%d", x->count);
    (void)app_form(a, "jar", "Jars go");
    app_preset(a, "batch", x->code);
    app_preset(a, "count", count);
    app_preset(a, "to", to);
    if (dump)
        app_preset(a, "why", why_thrown(x->state));
    form_view_go(&a->form, to[0] == '\0' ? "to" : dump && why_thrown(x->state)[0] == '\0' ? "why" : "count");
    return LOOP_DRAW;
}

static unsigned press_go(struct app *a, int key)
{
    struct shelf_look *s = a->shelf;
    s->prompt = PROMPT_NONE;
    if (shelf_row_now(a) == NULL)
        return LOOP_DRAW;
    if (key >= '1' && key <= '9' && (size_t)(key - '1') < s->view.people.people)
        return hand_out(a, &s->view.people.person[key - '1']);
    for (size_t i = 0; shelf_ways[i].key != 0; i++)
        if (shelf_ways[i].key == key)
            return open_move(a, shelf_ways[i].to);
    return LOOP_DRAW;
}

/* ---- finding ---- */

/* Only what a code is made of, so that blanks and hyphens do not matter. */
static void bare_code(const char *text, char *buf, size_t size)
{
    size_t n = 0;
    for (; *text != '\0' && n + 1 < size; text++)
        if (isalnum((unsigned char)*text))
            buf[n++] = (char)toupper((unsigned char)*text);
    buf[n] = '\0';
}

/* Goes to the first jar whose code has what was typed. */
static bool find_row(struct app *a)
{
    struct shelf_look *s = a->shelf;
    char want[32], code[32];
    bare_code(s->find.text, want, sizeof want);
    for (size_t i = 0; want[0] != '\0' && i < s->view.rows; i++) {
        bare_code(s->view.row[i].code, code, sizeof code);
        if (strstr(code, want) != NULL) {
            list_select(&s->jars, (int)i);
            return true;
        }
    }
    return false;
}

static unsigned press_find(struct app *a, int key)
{
    struct shelf_look *s = a->shelf;
    struct fail f = {0};
    int64_t batch_id;
    if (key == PRESS_ESC) {
        s->prompt = PROMPT_NONE;
        return LOOP_DRAW;
    }
    if (key != PRESS_ENTER) {
        if (entry_press(&s->find, key))
            (void)find_row(a);
        return LOOP_DRAW;
    }
    if (find_row(a)) {
        s->prompt = PROMPT_NONE;
        return show_batch_page(a, shelf_row_now(a)->batch_id);
    }
    s->prompt = PROMPT_NONE;
    if (dairy_find_batch(a->dairy, s->find.text, a->now, &batch_id, &f) != 0)
        return app_fail(a, &f);
    return show_batch_page(a, batch_id);
}

/* ---- forms ---- */

static unsigned open_back(struct app *a)
{
    const struct person_view *p = a->shelf->pane == PANE_PEOPLE ? shelf_person_now(a) : NULL;
    (void)app_form(a, "jarback", "Empty jars come back");
    if (p != NULL) {
        app_preset(a, "person", p->name);
        form_view_go(&a->form, "count");
    }
    return LOOP_DRAW;
}

static unsigned open_taste(struct app *a)
{
    (void)app_form(a, "taste", "A jar was tasted");
    app_preset(a, "batch", shelf_row_now(a)->code);
    form_view_go(&a->form, "flavour");
    a->shelf->tasting = true;
    return LOOP_DRAW;
}

static unsigned open_person(struct app *a, const struct person_view *p)
{
    char share[16] = "";
    (void)app_form(a, "person", p == NULL ? "Somebody takes milk" : "What is written about them");
    if (p == NULL)
        return LOOP_DRAW;
    (void)snprintf(share, sizeof share, "%d", p->share);
    app_preset(a, "name", p->name);
    app_preset(a, "contact", p->contact);
    app_preset(a, "contact2", p->contact2);
    app_preset(a, "share", share);
    app_preset(a, "kind", p->share_kind);
    app_preset(a, "days", p->share_days);
    app_preset(a, "note", p->note);
    form_view_go(&a->form, "contact");
    return LOOP_DRAW;
}

/* A tasting that found something wrong is followed by who may be to blame. */
static void shelf_closed(struct app *a, bool entered)
{
    struct fail f = {0};
    int64_t batch_id;
    bool tasted = entered && a->shelf != NULL && a->shelf->tasting;
    if (a->shelf != NULL)
        a->shelf->tasting = false;
    if (tasted && strcmp(form_text(&a->form.form, "flavour", "good"), "good") != 0 &&
        dairy_find_batch(a->dairy, form_text(&a->form.form, "batch", ""), a->now, &batch_id, &f) == 0)
        (void)show_taste_page(a, batch_id);
}

/* ---- keys ---- */

static unsigned do_key(struct app *a, int id)
{
    struct shelf_look *s = a->shelf;
    switch (id) {
    case DO_GO: s->prompt = PROMPT_GO; return LOOP_DRAW;
    case DO_OPEN:
        return s->pane == PANE_JARS ? show_batch_page(a, shelf_row_now(a)->batch_id)
                                    : show_person_page(a, shelf_person_now(a));
    case DO_PANE: s->pane = (s->pane + 1) % SHELF_PANES; return LOOP_DRAW;
    case DO_BACK: return open_back(a);
    case DO_TASTE: return open_taste(a);
    case DO_WHY_TASTE: return show_taste_page(a, shelf_row_now(a)->batch_id);
    case DO_FIND:
        s->prompt = PROMPT_FIND;
        entry_init(&s->find, "", 24);
        return LOOP_DRAW;
    case DO_TRACE: return open_trace(a, shelf_row_now(a) == NULL ? 0 : shelf_row_now(a)->batch_id);
    case DO_RECALL: return open_recall(a);
    case DO_SHARE: return open_share(a);
    case DO_LOSSES: return show_losses_page(a);
    case DO_WASHED: return app_form(a, "washed", "Empty jars were washed and are dry");
    case DO_ADD: return open_person(a, NULL);
    case DO_EDIT: return open_person(a, shelf_person_now(a));
    default: return LOOP_NOTHING;
    }
}

static unsigned explain(struct app *a)
{
    struct working w;
    struct fail f = {0};
    const struct shelf_look *s = a->shelf;
    if (s->pane != PANE_JARS || shelf_row_now(a) == NULL)
        return help_show(a);
    return shelf_explain(a->dairy, &s->view, (size_t)s->jars.selected, &w, &f) == 0 ? app_show_working(a, &w)
                                                                                    : app_fail(a, &f);
}

static unsigned shelf_press(struct app *a, int key)
{
    unsigned now = 0;
    struct shelf_look *s = a->shelf;
    if (s == NULL)
        return LOOP_NOTHING;
    if (s->prompt == PROMPT_GO)
        return press_go(a, key);
    if (s->prompt == PROMPT_FIND)
        return press_find(a, key);
    const struct keymap_row *table = shelf_keys(a, &now), *row = keymap_find(table, key, now);
    if (list_press(s->pane == PANE_JARS ? &s->jars : &s->people, key))
        return LOOP_DRAW;
    if (row != NULL)
        return do_key(a, row->id);
    return key == '?' ? explain(a) : LOOP_NOTHING;
}

static void shelf_draw(struct app *a, struct rect r)
{
    if (a->shelf != NULL)
        draw_shelf(a, r);
}

const struct screen shelf_screen = {
    .letter = 's',
    .name = "The shelf",
    .does = "the shelf: jars, who has them, what is to go",
    .open = shelf_open,
    .press = shelf_press,
    .draw = shelf_draw,
    .renew = shelf_renew,
    .closed = shelf_closed,
    .keys = shelf_keys,
};
