/* How the shelf looks: jars with their days as a bar and a word, the safety sentence over them, people, and
 * empty jars. */
#include <math.h>
#include <stdio.h>

#include "core/base/text.h"
#include "core/milk/keeping.h"
#include "tui/board_panes.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/shelf_panes.h"

enum { WIDE_COLS = 110, NARROW_COLS = 76, BAR_COLS = 8 };

static enum role state_role(enum shelf_state state)
{
    static const enum role roles[SHELF_STATES] = {
        [SHELF_GOOD] = ROLE_CALM,  [SHELF_SOON] = ROLE_WATCH,   [SHELF_LAST_DAY] = ROLE_WATCH,
        [SHELF_PAST] = ROLE_WATCH, [SHELF_FROZEN] = ROLE_CHALK, [SHELF_HELD] = ROLE_STOP,
        [SHELF_AWAY] = ROLE_STOP,  [SHELF_CALL] = ROLE_STOP,
    };
    return roles[state];
}

static enum role title_role(const struct app *a, enum shelf_pane pane)
{
    return a->shelf->pane == (int)pane ? ROLE_ACCENT : ROLE_TITLE;
}

/* ---- jars ---- */

/* Milk that is not to be used has no days left, whatever its keeping. */
static bool has_days(const struct shelf_row *x)
{
    return date_known(x->use_by.on) && x->state < SHELF_HELD;
}

static const char *days_text(const struct shelf_row *x, char buf[16])
{
    if (!has_days(x))
        (void)snprintf(buf, 16, "%s", "");
    else if (x->left_days == 0)
        (void)snprintf(buf, 16, "today");
    else if (x->left_days < 0)
        (void)snprintf(buf, 16, "%d over", -x->left_days);
    else
        (void)snprintf(buf, 16, "%d day%s", x->left_days, x->left_days == 1 ? "" : "s");
    return buf;
}

static void draw_jar_narrow(struct rect r, const struct shelf_row *x)
{
    char days[16];
    int col = draw_text(r, 0, 0, ROLE_STRONG, x->code);
    draw_textf(r, 0, col, ROLE_CHALK, "%3d %s", x->count, x->kind);
    if (r.cols >= 48)
        draw_text(r, 0, 27, ROLE_STRONG, days_text(x, days));
    draw_right(r, 0, state_role(x->state), shelf_state_word(x->state));
}

static void draw_jar(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct shelf_view *v = &a->shelf->view;
    const struct shelf_row *x = &v->row[row];
    char days[16], on[CIVIL_TEXT_MAX];
    enum role role = state_role(x->state);
    if (r.cols < NARROW_COLS) {
        draw_jar_narrow(r, x);
        return;
    }
    if ((size_t)row == v->next)
        draw_text(r, 0, 0, ROLE_ACCENT, GLYPH_POINTER);
    draw_text(r, 0, 2, ROLE_STRONG, x->code);
    draw_textf(r, 0, 13, ROLE_CHALK, "%2d %s", x->count, x->kind);
    draw_text(r, 0, 28, ROLE_FAINT, jar_place_word(x->place));
    draw_bar(r, 0, 36, BAR_COLS, role, has_days(x) ? x->left_part : (double)NAN);
    draw_text(r, 0, 45, ROLE_STRONG, days_text(x, days));
    draw_text(r, 0, 55, role, shelf_state_word(x->state));
    if (has_days(x))
        draw_textf(r, 0, 68, ROLE_FAINT, "by %s", date_text(x->use_by.on, on));
    if (r.cols >= 90)
        draw_text(r, 0, 80, ROLE_FAINT, x->cows);
    if (r.cols >= WIDE_COLS && x->lost_days >= 0.05)
        draw_rightf(r, 0, ROLE_FAINT, " its chill cost %.1f days ", x->lost_days);
}

/* What the row under the cursor has to say beyond its line. */
static const char *detail_text(const struct app *a, char *buf, size_t size)
{
    const struct shelf_row *x = shelf_row_now(a);
    char when[CIVIL_TEXT_MAX];
    buf[0] = '\0';
    if (x == NULL)
        return buf;
    if (x->remark[0] != '\0')
        (void)text_append(buf, size, "%s: %s. ", shelf_state_word(x->state), x->remark);
    (void)text_append(buf, size, "Milk of %s, milked %s", x->cows,
                      instant_text_near(x->milked_at, a->now, when));
    if (isfinite(x->now_c))
        (void)text_append(buf, size, ", now %s", app_quantity(a, x->now_c, DIM_TEMPERATURE));
    (void)text_append(buf, size, ". ");
    if (isfinite(x->keeping.left_days))
        (void)text_append(buf, size, "Nine in ten such jars keep %.1f days more, half of them %.1f.",
                          x->keeping.low_days, x->keeping.left_days);
    if (x->lost_days >= 0.05)
        (void)text_append(buf, size, " Its chill cost %.1f days.", x->lost_days);
    return buf;
}

static void draw_jars(struct app *a, struct rect r)
{
    struct shelf_look *s = a->shelf;
    const struct shelf_view *v = &s->view;
    char remark[48] = "", detail[600], caution[300];
    (void)snprintf(caution, sizeof caution, GLYPH_WARNING " %s Days: %s.", keeping_caution, v->scale_text);
    if (v->rows > 0)
        (void)snprintf(remark, sizeof remark, "%d jars at home%s", v->jars, v->more ? ", and more" : "");
    draw_rule(r, 0, title_role(a, PANE_JARS), "SHELF, OLDEST FIRST", remark);
    (void)rect_take_top(&r, 1);
    if (r.rows >= 4)
        (void)rect_take_top(&r,
                            draw_wrapped(rect_part(r, 0, 1, r.rows, r.cols - 2), 0, 2, ROLE_WATCH, caution));
    (void)detail_text(a, detail, sizeof detail);
    int rows = r.rows < 6 ? 0 : 2; /* always as many, so that nothing jumps under the cursor */
    struct rect about = rect_take_bottom(&r, rows);
    const struct shelf_row *x = shelf_row_now(a);
    draw_wrapped(rect_part(about, 0, 1, rows, r.cols - 2), 0, 0,
                 x != NULL && x->remark[0] != '\0' ? ROLE_WATCH : ROLE_CHALK, detail);
    if (v->rows == 0)
        draw_text(r, 0, 1, ROLE_FAINT, "No jars are at home, by these records.");
    draw_list(r, &s->jars, s->pane == PANE_JARS, draw_jar, a);
}

/* ---- people ---- */

static void draw_person(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct person_view *p = &a->shelf->view.people.person[row];
    char contact[200];
    if (row < 9)
        draw_textf(r, 0, 1, ROLE_KEY, "%d", row + 1);
    draw_text(rect_part(r, 0, 0, 1, 19), 0, 3, ROLE_STRONG, p->name);
    if (p->due > 0 || p->taken_today > 0)
        draw_textf(r, 0, 20, p->taken_today < p->due ? ROLE_WATCH : ROLE_CALM, "today %d of %d",
                   p->taken_today, p->due);
    int col = 34;
    if (p->out_all > 0)
        col = draw_textf(r, 0, col, ROLE_CHALK, "%d out", p->out_all);
    if (p->owed > 0)
        col = draw_textf(r, 0, col, ROLE_WATCH, "%s%d owed", col > 34 ? ", " : "", p->owed);
    if (r.cols < 70)
        return;
    (void)snprintf(contact, sizeof contact, "%s%s%s", p->contact, p->contact2[0] != '\0' ? ", or " : "",
                   p->contact2);
    draw_text(r, 0, col < 44 ? 44 : col + 2, ROLE_FAINT, contact);
}

static void draw_people(struct app *a, struct rect r)
{
    struct shelf_look *s = a->shelf;
    draw_rule(r, 0, title_role(a, PANE_PEOPLE), "PEOPLE",
              s->view.people.shared_today ? "today is shared out" : NULL);
    (void)rect_take_top(&r, 1);
    if (s->view.people.people == 0)
        draw_text(r, 0, 1, ROLE_FAINT, "Nobody takes milk yet; + enters somebody.");
    draw_list(r, &s->people, s->pane == PANE_PEOPLE, draw_person, a);
}

/* ---- empty jars ---- */

static void draw_kind(struct rect r, int row, const struct shelf_view *v, size_t kind)
{
    static const enum jars_state states[] = {JARS_CLEAN, JARS_DIRTY, JARS_OUT};
    draw_text(r, row, 1, ROLE_CHALK, v->kinds.kind[kind].name);
    for (int i = 0; i < 3; i++)
        draw_textf(r, row, 14 + 7 * i, i == 0 ? ROLE_STRONG : ROLE_CHALK, "%5d", v->pool.n[states[i]][kind]);
}

/* Kinds that were never counted and never used are no news. */
static bool kind_known(const struct shelf_view *v, size_t kind)
{
    return jars_owned(&v->pool, kind) > 0;
}

static void draw_pool(struct app *a, struct rect r)
{
    const struct shelf_view *v = &a->shelf->view;
    char say[240] = "Jars were never counted; count them with the act jars.";
    int row = v->counted ? 1 : 0;
    draw_rule(r, 0, ROLE_TITLE, "EMPTY JARS", NULL);
    (void)rect_take_top(&r, 1);
    if (v->counted && isfinite(v->tomorrow_l))
        (void)snprintf(say, sizeof say, "Next milking, up to %s: %s",
                       app_quantity(a, v->tomorrow_l, DIM_VOLUME), v->ready_say);
    else if (v->counted)
        say[0] = '\0';
    if (v->counted)
        draw_text(r, 0, 14, ROLE_FAINT, "clean   wash    out");
    for (size_t i = 0; v->counted && i < v->kinds.count && row < r.rows - 2; i++)
        if (kind_known(v, i))
            draw_kind(r, row++, v, i);
    draw_wrapped(rect_part(r, row, 1, r.rows - row, r.cols - 2), 0, 0,
                 v->ready.enough || !v->counted ? ROLE_CHALK : ROLE_WATCH, say);
}

/* ---- the whole ---- */

static void draw_top(struct app *a, struct rect r)
{
    const struct shelf_view *v = &a->shelf->view;
    char now[CIVIL_TEXT_MAX];
    int col = draw_text(r, 0, 1, ROLE_STRONG, instant_text(a->now, now));
    draw_textf(r, 0, col, ROLE_FAINT, " " GLYPH_DOT " refrigerator %s%s",
               app_quantity(a, v->fridge_c, DIM_TEMPERATURE), v->fridge_read ? "" : " as usual");
}

const struct shelf_way shelf_ways[] = {
    {'f', "freezer", "freezer"}, {'r', "fridge", "refrigerator"}, {'c', "calf", "calf"},
    {'p', "pigs", "pigs"},       {'h', "cheese", "cheese"},       {'d', "drunk", "drunk"},
    {'x', "dump", "throw away"}, {'m', "", "more than one"},      {0},
};

/* One answer, on the next row when it does not fit on this one. */
static void draw_way(struct rect r, int *row, int *col, const char *key, const char *words)
{
    enum charset set = r.canvas->charset;
    if (*col + draw_width(set, key) + 1 + draw_width(set, words) > r.cols - 1) {
        ++*row;
        *col = 3;
    }
    *col = draw_text(r, *row, *col, ROLE_KEY, key);
    *col = draw_text(r, *row, *col + 1, ROLE_CHALK, words) + 2;
}

static void draw_go(const struct app *a, struct rect r)
{
    const struct shelf_row *x = shelf_row_now(a);
    size_t people = a->shelf->view.people.people;
    char numbers[8];
    int row = 0;
    if (x == NULL)
        return;
    int col = draw_textf(r, 0, 1, ROLE_STRONG, "%s to", x->code) + 2;
    (void)snprintf(numbers, sizeof numbers, people > 1 ? "1-%d" : "1", (int)(people < 9 ? people : 9));
    if (people > 0)
        draw_way(r, &row, &col, numbers, "a person");
    for (size_t i = 0; shelf_ways[i].key != 0; i++)
        draw_way(r, &row, &col, (char[]){(char)shelf_ways[i].key, '\0'}, shelf_ways[i].words);
}

static void draw_find(struct app *a, struct rect r)
{
    int col = draw_text(r, 0, 1, ROLE_STRONG, "Code, or a part of it: ");
    draw_entry(r, 0, col, 14, &a->shelf->find, true);
    if (r.rows > 1)
        draw_text(r, 1, 1, ROLE_FAINT,
                  "Enter opens it, also when it is not on the shelf any more; Esc leaves.");
}

static void draw_below(struct app *a, struct rect r)
{
    if (r.cols < NARROW_COLS) {
        draw_people(a, r);
        return;
    }
    struct rect people = rect_take_left(&r, r.cols - (r.cols >= WIDE_COLS ? 50 : 38));
    draw_people(a, people);
    draw_upright(rect_take_left(&r, 1), 0);
    draw_pool(a, r);
}

static int below_rows(const struct shelf_view *v, int rows)
{
    size_t kinds = 0;
    for (size_t i = 0; i < v->kinds.count; i++)
        kinds += kind_known(v, i);
    int want = (int)(v->people.people > kinds + 4 ? v->people.people : kinds + 4) + 1;
    return int_between(4, want, rows / 3);
}

void draw_shelf(struct app *a, struct rect r)
{
    struct shelf_look *s = a->shelf;
    const struct shelf_view *v = &s->view;
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    if (s->prompt == PROMPT_GO)
        draw_go(a, bottom);
    else if (s->prompt == PROMPT_FIND)
        draw_find(a, bottom);
    else
        draw_bottom(a, bottom);
    draw_top(a, rect_take_top(&r, 1));
    if (v->say[0] != '\0' && r.rows >= 8) {
        int rows = draw_wrapped(rect_part(r, 0, 3, 2, r.cols - 4), 0, 0, urgency_role(v->urgency), v->say);
        draw_text(r, 0, 1, urgency_role(v->urgency), GLYPH_MARK);
        (void)rect_take_top(&r, rows > 2 ? 2 : rows);
    }
    if (r.rows < 12) {
        if (s->pane == PANE_JARS)
            draw_jars(a, r);
        else
            draw_people(a, r);
        return;
    }
    draw_below(a, rect_take_bottom(&r, below_rows(v, r.rows)));
    draw_jars(a, r);
}
