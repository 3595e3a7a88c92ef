/* Ahead: everything that is due, by day, with the reason; Enter opens the act that settles it. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/ahead.h"
#include "tui/app.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/kit/list.h"

enum { LINES_MAX = 2 * AHEAD_MAX };

/* A day's heading, or a row under it. */
struct ahead_line {
    bool heading;
    int row; /* of the view; under a heading the first of its day */
};

struct ahead_state {
    struct ahead_view view;
    struct ahead_line line[LINES_MAX];
    struct list list;
};

enum { DO_SETTLE = 1, DO_REPEAT, DO_COW };
enum { WHEN_ROW = 1, WHEN_COW = 2 };

static const struct keymap_row keys[] = {
    {PRESS_ENTER, 0, NULL, "settle", "opens what settles it", WHEN_ROW, DO_SETTLE, true},
    {PRESS_UP, 0, "↑↓", "choose", "chooses what is due", 0, 90, false},
    {'+', 0, NULL, "repeat", "adds something that comes round again: a vaccination, a test", 0, DO_REPEAT, true},
    {'c', 0, NULL, "cow", "opens her page", WHEN_COW, DO_COW, false},
    {0},
};

static const struct ahead_row *row_now(const struct ahead_state *s)
{
    if (s == NULL || s->list.count == 0 || s->line[s->list.selected].heading)
        return NULL;
    return &s->view.row[s->line[s->list.selected].row];
}

static const struct keymap_row *ahead_keys(const struct app *a, unsigned *now)
{
    const struct ahead_row *row = row_now(a->ahead);
    *now = 0;
    if (row != NULL && row->act.act != NULL)
        *now |= WHEN_ROW;
    if (row != NULL && row->part == AHEAD_COW)
        *now |= WHEN_COW;
    return keys;
}

/* ---- the snapshot ---- */

/* What is overdue stands under one heading, not under each of its days. */
static bool same_day(const struct ahead_view *v, const struct ahead_row *a, const struct ahead_row *b)
{
    return a->on.days == b->on.days || (a->on.days < v->today.days && b->on.days < v->today.days);
}

static void build_lines(struct ahead_state *s)
{
    int n = 0;
    const struct ahead_view *v = &s->view;
    for (size_t i = 0; i < v->rows && n + 2 <= LINES_MAX; i++) {
        if (i == 0 || !same_day(v, &v->row[i - 1], &v->row[i]))
            s->line[n++] = (struct ahead_line){.heading = true, .row = (int)i};
        s->line[n++] = (struct ahead_line){.row = (int)i};
    }
    list_count(&s->list, n);
    if (s->list.count > 1 && s->line[s->list.selected].heading)
        list_select(&s->list, s->list.selected + 1);
}

static void ahead_renew(struct app *a)
{
    struct fail f = {0};
    if (a->ahead == NULL)
        return;
    if (dairy_ahead(a->dairy, a->now, &a->ahead->view, &f) != 0)
        (void)app_fail(a, &f);
    build_lines(a->ahead);
}

static void ahead_open(struct app *a)
{
    if (a->ahead == NULL)
        a->ahead = calloc(1, sizeof *a->ahead);
    if (a->ahead != NULL)
        list_select(&a->ahead->list, 0);
    ahead_renew(a);
}

/* ---- keys ---- */

static unsigned settle(struct app *a, const struct ahead_row *row)
{
    if (row->act.act == NULL)
        return LOOP_NOTHING;
    (void)app_form(a, row->act.act, row->act.title);
    for (int i = 0; i < AHEAD_PRESETS && row->preset[i].key[0] != '\0'; i++)
        app_preset(a, row->preset[i].key, row->preset[i].value);
    form_view_go(&a->form, row->act.first);
    return LOOP_DRAW;
}

static unsigned explain(struct app *a)
{
    struct working w;
    struct fail f = {0};
    const struct ahead_row *row = row_now(a->ahead);
    if (row == NULL)
        return help_show(a);
    if (ahead_explain(a->dairy, &a->ahead->view, (size_t)(row - a->ahead->view.row), &w, &f) != 0)
        return app_fail(a, &f);
    return app_show_working(a, &w);
}

/* Headings are stepped over. */
static unsigned move(struct ahead_state *s, int key)
{
    int before = s->list.selected;
    if (!list_press(&s->list, key))
        return LOOP_NOTHING;
    if (s->list.count > 0 && s->line[s->list.selected].heading)
        list_select(&s->list, s->list.selected + (s->list.selected < before && s->list.selected > 0 ? -1 : 1));
    return LOOP_DRAW;
}

static unsigned ahead_press(struct app *a, int key)
{
    const struct ahead_row *row = row_now(a->ahead);
    if (a->ahead == NULL)
        return LOOP_NOTHING;
    switch (key) {
    case PRESS_ENTER: return row == NULL ? LOOP_NOTHING : settle(a, row);
    case '+': return app_form(a, "repeat", "Something that comes round again");
    case 'c':
        if (row == NULL || row->part != AHEAD_COW)
            return LOOP_NOTHING;
        a->cow_id = row->cow_id;
        return app_go(a, &cow_screen);
    case '?': return explain(a);
    default: return move(a->ahead, key);
    }
}

/* ---- drawing ---- */

static void draw_day(const struct ahead_view *v, const struct ahead_row *row, struct rect r)
{
    char day[CIVIL_TEXT_MAX];
    int ahead = date_diff(v->today, row->on);
    if (ahead < 0)
        draw_text(r, 0, 1, ROLE_WATCH, "OVERDUE");
    else if (ahead == 0)
        draw_textf(r, 0, 1, ROLE_ACCENT, "TODAY, %s", date_weekday_text(row->on, day));
    else if (ahead < 400)
        draw_textf(r, 0, 1, ROLE_TITLE, "%s, in %d day%s", date_weekday_text(row->on, day), ahead, ahead == 1 ? "" : "s");
    else
        draw_text(r, 0, 1, ROLE_TITLE, date_year_text(row->on, day));
}

static enum role role_of(enum urgency urgency)
{
    return urgency == URGENCY_STOP ? ROLE_STOP : urgency == URGENCY_WATCH ? ROLE_WATCH : ROLE_CHALK;
}

enum { WHO_COL = 3, WORDS_COL = 17, REASON_COL = 74, WIDE_COLS = 120 };

static void draw_line(void *context, struct rect r, int index)
{
    const struct app *a = context;
    const struct ahead_view *v = &a->ahead->view;
    const struct ahead_line *line = &a->ahead->line[index];
    const struct ahead_row *row = &v->row[line->row];
    char day[CIVIL_TEXT_MAX];
    if (line->heading) {
        draw_day(v, row, r);
        return;
    }
    enum role role = role_of(row->urgency);
    struct rect left = rect_part(r, 0, 0, 1, r.cols >= WIDE_COLS ? REASON_COL - 1 : r.cols);
    int col = draw_text(left, 0, WHO_COL, ROLE_STRONG, row->who[0] != '\0' ? row->who : ahead_part_word(row->part));
    col = draw_textf(left, 0, col < WORDS_COL ? WORDS_COL : col + 1, role, "%s%s",
                     row->urgency == URGENCY_STOP ? "now: " : "", row->words);
    if (row->on.days < v->today.days)
        draw_textf(left, 0, col + 1, ROLE_FAINT, "(since %s)", date_text(row->on, day));
    if (r.cols >= WIDE_COLS)
        draw_text(r, 0, REASON_COL, ROLE_FAINT, row->reason);
}

static void draw_foot(const struct app *a, struct rect r)
{
    const struct ahead_row *row = row_now(a->ahead);
    draw_rule(r, 0, ROLE_TITLE, "WHY", NULL);
    if (row != NULL)
        (void)draw_wrapped(rect_part(r, 1, 1, r.rows - 1, r.cols - 2), 0, 2, ROLE_CHALK,
                           row->reason[0] != '\0' ? row->reason : "as it was recorded");
}

static void ahead_draw(struct app *a, struct rect r)
{
    char remark[40] = "";
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    if (a->ahead == NULL)
        return;
    const struct ahead_view *v = &a->ahead->view;
    (void)snprintf(remark, sizeof remark, "%zu due", v->rows);
    draw_rule(r, 0, ROLE_ACCENT, "AHEAD", remark);
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    if (body.rows >= 12 && body.cols < WIDE_COLS)
        draw_foot(a, rect_take_bottom(&body, 3));
    if (v->rows == 0)
        draw_text(body, 1, 2, ROLE_FAINT, "Nothing is due. + adds what comes round again.");
    draw_list(body, &a->ahead->list, true, draw_line, a);
}

const struct screen ahead_screen = {
    .letter = 'a',
    .name = "Ahead",
    .does = "ahead: everything that is due, by day, and what settles it",
    .open = ahead_open,
    .press = ahead_press,
    .draw = ahead_draw,
    .renew = ahead_renew,
    .keys = ahead_keys,
};
