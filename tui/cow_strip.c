/* The year in one strip: what happened and what is planned, a column for some days. */
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "tui/cow_panes.h"
#include "tui/kit/draw.h"

enum { LABEL_COLS = 10 };

const char *cow_event_sign(enum event_kind kind)
{
    static const char *const signs[EVENT_KINDS] = {
        [EVENT_CALVING] = "C", [EVENT_HEAT] = "h",    [EVENT_SERVICE] = "s",   [EVENT_CHECK] = "k",
        [EVENT_LOSS] = "x",    [EVENT_DRY_OFF] = "d", [EVENT_TREATMENT] = "T", [EVENT_HOLD] = "H",
        [EVENT_UDDER] = "u",   [EVENT_TEST] = "t",    [EVENT_WEIGHT] = "w",    [EVENT_CONDITION] = "c",
        [EVENT_NOTE] = "n",    [EVENT_CAME] = ">",    [EVENT_LEFT] = "<",
    };
    return signs[kind];
}

#define KIND(k) (1u << EVENT_##k)

/* The rows of the strip: what each holds. `held`: the stretches of days on which her milk was not kept. */
struct strip_row {
    const char *label;
    unsigned kinds;
    bool held;
};

static const struct strip_row few_rows[] = {
    {"breeding", KIND(CALVING) | KIND(HEAT) | KIND(SERVICE) | KIND(CHECK) | KIND(LOSS) | KIND(DRY_OFF),
     false},
    {"health", KIND(TREATMENT) | KIND(HOLD) | KIND(UDDER) | KIND(TEST), true},
    {"body", KIND(WEIGHT) | KIND(CONDITION) | KIND(NOTE) | KIND(CAME) | KIND(LEFT), false},
};

static const struct strip_row all_rows[] = {
    {"calved", KIND(CALVING) | KIND(DRY_OFF) | KIND(LOSS), false},
    {"heat", KIND(HEAT), false},
    {"served", KIND(SERVICE), false},
    {"checked", KIND(CHECK), false},
    {"treated", KIND(TREATMENT), false},
    {"held", KIND(HOLD), true},
    {"udder", KIND(UDDER) | KIND(TEST), false},
    {"weighed", KIND(WEIGHT) | KIND(CONDITION), false},
    {"noted", KIND(NOTE) | KIND(CAME) | KIND(LEFT), false},
};

enum { FEW_ROWS = sizeof few_rows / sizeof few_rows[0], ALL_ROWS = sizeof all_rows / sizeof all_rows[0] };

int cow_strip_rows(int screen_rows)
{
    return 2 + (screen_rows >= COW_TALL_ROWS ? (int)ALL_ROWS : (int)FEW_ROWS); /* title and months as well */
}

/* The column of a day; -1 outside. */
static int col_of(const struct cow_page *p, int cols, struct date on)
{
    int days = date_diff(p->strip_from_on, p->strip_to_on) + 1, day = date_diff(p->strip_from_on, on);
    return day < 0 || day >= days ? -1 : day * cols / days;
}

static void put(const struct cow_page *p, struct rect r, struct date on, enum role role, const char *sign)
{
    int col = col_of(p, r.cols, on);
    if (col >= 0)
        draw_text(r, 0, col, role, sign);
}

static void draw_spans(const struct cow_page *p, struct rect r)
{
    for (size_t i = 0; i < p->spans; i++) {
        struct date from = p->span[i].from_on, to = p->span[i].to_on;
        if (from.days < p->strip_from_on.days)
            from = p->strip_from_on;
        if (to.days > p->strip_to_on.days)
            to = p->strip_to_on;
        for (struct date on = from; on.days <= to.days; on.days++)
            put(p, r, on, ROLE_WATCH, "=");
    }
}

static enum role sign_role(enum event_kind kind)
{
    switch (kind) {
    case EVENT_TREATMENT:
    case EVENT_HOLD:
    case EVENT_UDDER:
    case EVENT_LOSS: return ROLE_WATCH;
    case EVENT_CALVING: return ROLE_STRONG;
    case EVENT_HEAT:
    case EVENT_SERVICE:
    case EVENT_CHECK:
    case EVENT_DRY_OFF:
    case EVENT_TEST:
    case EVENT_WEIGHT:
    case EVENT_CONDITION:
    case EVENT_NOTE:
    case EVENT_CAME:
    case EVENT_LEFT:
    case EVENT_KINDS: break;
    }
    return ROLE_CHALK;
}

/* What is planned stands faint among what has happened. */
static void draw_plan(const struct cow_page *p, struct rect r, unsigned kinds)
{
    static const struct {
        enum due_kind due;
        enum event_kind kind;
    } plans[] = {{DUE_CALVING, EVENT_CALVING},
                 {DUE_DRY_OFF, EVENT_DRY_OFF},
                 {DUE_HEAT, EVENT_HEAT},
                 {DUE_CHECK, EVENT_CHECK},
                 {DUE_TEST, EVENT_TEST}};
    for (size_t i = 0; i < p->dues; i++)
        for (size_t k = 0; k < sizeof plans / sizeof plans[0]; k++)
            if (plans[k].due == p->due[i].kind && (kinds & (1u << plans[k].kind)) != 0 &&
                p->due[i].on.days > p->today.days)
                put(p, r, p->due[i].on, ROLE_FAINT, cow_event_sign(plans[k].kind));
}

/* What matters more is drawn later, over what matters less: several things may have happened in one column.
 */
static const enum event_kind weight_order[] = {
    EVENT_NOTE, EVENT_CONDITION, EVENT_WEIGHT, EVENT_TEST,    EVENT_CAME,
    EVENT_LEFT, EVENT_HEAT,      EVENT_CHECK,  EVENT_SERVICE, EVENT_UDDER,
    EVENT_HOLD, EVENT_TREATMENT, EVENT_LOSS,   EVENT_DRY_OFF, EVENT_CALVING,
};
_Static_assert(sizeof weight_order / sizeof weight_order[0] == EVENT_KINDS, "every kind has its place");

static void draw_row(const struct cow_page *p, struct rect r, const struct strip_row *row)
{
    draw_text(r, 0, 1, ROLE_FAINT, row->label);
    struct rect time = rect_part(r, 0, LABEL_COLS, 1, r.cols - LABEL_COLS - 1);
    if (row->held)
        draw_spans(p, time);
    draw_plan(p, time, row->kinds);
    for (size_t k = 0; k < EVENT_KINDS; k++)
        for (size_t i = 0; i < p->events && (row->kinds & (1u << weight_order[k])) != 0; i++)
            if (p->event[i].kind == weight_order[k])
                put(p, time, p->event[i].on, sign_role(weight_order[k]),
                    cow_event_sign(weight_order[k]));
}

static void draw_months(const struct cow_page *p, struct rect r)
{
    static const char *const names[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                        "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    struct rect time = rect_part(r, 0, LABEL_COLS, 1, r.cols - LABEL_COLS - 1);
    struct civil c;
    date_to_civil(date_add(p->strip_from_on, -1), &c);
    for (int year = c.year, month = c.month % 12 + 1;; month = month % 12 + 1) {
        struct date on;
        year += month == 1;
        if (!date_from_ymd(year, month, 1, &on) || on.days > p->strip_to_on.days)
            return;
        int col = col_of(p, time.cols, on);
        if (time.cols >= 60 && col + 4 <= time.cols)
            draw_text(time, 0, col, ROLE_FAINT, names[month - 1]);
        else
            draw_textf(time, 0, col, ROLE_FAINT, "%.1s", names[month - 1]);
    }
}

/* What happened on the day under the cursor. */
static void remark_of(const struct cow_state *c, char *buf, size_t size)
{
    const struct cow_page *p = &c->page;
    struct date on = date_known(c->on) ? c->on : p->today;
    char day[CIVIL_TEXT_MAX];
    int n = 0;
    (void)snprintf(buf, size, "%s", date_year_text(on, day));
    for (size_t i = 0; i < p->events; i++)
        if (p->event[i].on.days == on.days)
            (void)text_append(buf, size, "%s%s%s%.60s", n++ == 0 ? ": " : "; ", event_word(p->event[i].kind),
                              p->event[i].words[0] == '\0' ? "" : " ", p->event[i].words);
    for (size_t i = 0; i < p->dues; i++)
        if (p->due[i].on.days == on.days)
            (void)text_append(buf, size, "%s%.60s", n++ == 0 ? ": " : "; ", p->due[i].words);
}

void draw_cow_strip(struct app *a, struct rect r)
{
    const struct cow_page *p = &a->cow->page;
    char remark[200];
    bool all = r.rows >= 2 + (int)ALL_ROWS;
    const struct strip_row *rows = all ? all_rows : few_rows;
    int count = all ? (int)ALL_ROWS : (int)FEW_ROWS;
    remark_of(a->cow, remark, sizeof remark);
    draw_rule(r, 0, ROLE_TITLE, "YEAR", remark);
    for (int i = 0; i < count; i++)
        draw_row(p, rect_part(r, 1 + i, 0, 1, r.cols), &rows[i]);
    draw_months(p, rect_part(r, 1 + count, 0, 1, r.cols));
    struct rect time = rect_part(r, 1, LABEL_COLS, count + 1, r.cols - LABEL_COLS - 1);
    int col = col_of(p, time.cols, date_known(a->cow->on) ? a->cow->on : p->today);
    if (col >= 0)
        draw_flip(rect_part(time, 0, col, time.rows, 1));
}
