/* A short day shared out: so many jars, who gets how many and why, before anything is written. */
#include "tui/share_screen.h"

#include <stdio.h>
#include <stdlib.h>

#include "core/day/people.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/shelf_panes.h"

struct share_state {
    int jars;
    enum share_method method;
    struct share_day day;
    struct fail fail; /* why there is nothing to share out */
};

enum { JARS_MOST = 999 };
enum { DO_TAKE = 1, DO_MORE, DO_METHOD };
enum { WHEN_SHARED = 1 };

static const struct keymap_row keys[] = {
    {PRESS_ENTER, 0, NULL, "write it", "keeps it so: the parts are due today, what is short is owed",
     WHEN_SHARED, DO_TAKE, true},
    {PRESS_UP, 0, "↑↓", "jars", "one jar more to share, or one less", WHEN_SHARED, DO_MORE, true},
    {PRESS_DOWN, 0, NULL, NULL, NULL, WHEN_SHARED, DO_MORE, false},
    {'+', 0, NULL, NULL, NULL, WHEN_SHARED, DO_MORE, false},
    {'-', 0, NULL, NULL, NULL, WHEN_SHARED, DO_MORE, false},
    {PRESS_TAB, 0, NULL, "method", "those who were short before first, or all short alike", WHEN_SHARED,
     DO_METHOD, true},
    {PRESS_ESC, 0, NULL, "back", "goes back; nothing is written", 0, 91, true},
    {0},
};

static const struct keymap_row *share_keys(const struct app *a, unsigned *now)
{
    *now = a->share != NULL && a->share->fail.code == FAIL_NONE ? WHEN_SHARED : 0;
    return keys;
}

/* Jars of the refrigerator that nothing is against. */
static int jars_to_share(const struct shelf_view *v)
{
    int jars = 0;
    for (size_t i = 0; i < v->rows; i++)
        if (v->row[i].place == AT_FRIDGE && v->row[i].state <= SHELF_LAST_DAY)
            jars += v->row[i].count;
    return jars > JARS_MOST ? JARS_MOST : jars;
}

static void share_renew(struct app *a)
{
    struct share_state *s = a->share;
    if (s == NULL)
        return;
    s->fail = (struct fail){0};
    if (share_day_load(a->dairy, a->now, &s->day, &s->fail) == 0)
        (void)share_day_split(&s->day, s->jars, s->method, NULL, &s->fail);
}

unsigned open_share(struct app *a)
{
    if (a->share == NULL)
        a->share = calloc(1, sizeof *a->share);
    if (a->share == NULL)
        return LOOP_NOTHING;
    a->share->jars = jars_to_share(&a->shelf->view);
    a->share->method = SHARE_OWED_FIRST;
    return app_go(a, &share_screen);
}

static unsigned write_it(struct app *a)
{
    char jars[24];
    const char *method = a->share->method == SHARE_OWED_FIRST ? "method=owed" : "method=proportion";
    (void)snprintf(jars, sizeof jars, "jars=%d", a->share->jars);
    unsigned answer = app_act(a, "share", (const char *const[]){jars, method, NULL});
    (void)app_back(a);
    return answer;
}

static unsigned share_press(struct app *a, int key)
{
    unsigned now = 0;
    struct share_state *s = a->share;
    if (s == NULL)
        return LOOP_NOTHING;
    const struct keymap_row *table = share_keys(a, &now), *row = keymap_find(table, key, now);
    switch (row == NULL ? 0 : row->id) {
    case DO_TAKE: return write_it(a);
    case DO_MORE:
        s->jars = int_between(0, s->jars + (key == PRESS_UP || key == '+' ? 1 : -1), JARS_MOST);
        share_renew(a);
        return LOOP_DRAW;
    case DO_METHOD:
        s->method = s->method == SHARE_OWED_FIRST ? SHARE_IN_PROPORTION : SHARE_OWED_FIRST;
        share_renew(a);
        return LOOP_DRAW;
    default: return LOOP_NOTHING;
    }
}

static void share_draw(struct app *a, struct rect r)
{
    const struct share_state *s = a->share;
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    if (s == NULL)
        return;
    draw_rule(r, 0, ROLE_ACCENT, "A SHORT DAY SHARED OUT", NULL);
    if (s->fail.code != FAIL_NONE) {
        draw_wrapped(rect_part(r, 1, 1, r.rows - 1, r.cols - 2), 0, 0, ROLE_WATCH, s->fail.text);
        return;
    }
    char rule[160];
    (void)snprintf(rule, sizeof rule, "When there are too few: %s.", share_method_words(s->method));
    int row = 1 + draw_wrapped(rect_part(r, 1, 1, r.rows - 1, r.cols - 2), 0, 0, ROLE_STRONG, s->day.say);
    if (s->day.split.owed_after == 0) /* else it stands in the sentence */
        row += draw_wrapped(rect_part(r, row, 1, r.rows - row, r.cols - 2), 0, 0, ROLE_FAINT, rule);
    for (size_t i = 0; i < s->day.people && row < r.rows; i++, row++) {
        const struct share_part *p = &s->day.part[i];
        draw_text(rect_part(r, 0, 0, r.rows, 23), row, 2, ROLE_STRONG, s->day.person[i].name);
        draw_textf(r, row, 23, p->given < s->day.person[i].due ? ROLE_WATCH : ROLE_CALM, "%3d", p->given);
        int col = draw_textf(r, row, 28, ROLE_CHALK, "%s", p->why);
        if (p->owed_after > 0)
            draw_textf(r, row, col, ROLE_WATCH, "; %d owed after", p->owed_after);
    }
}

const struct screen share_screen = {
    .letter = 0,
    .name = "A short day shared out",
    .does = "who gets how many jars today",
    .open = share_renew,
    .press = share_press,
    .draw = share_draw,
    .renew = share_renew,
    .keys = share_keys,
};
