#include "core/day/cow_due.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/breeding/cycle.h"

struct due_list {
    struct cow_due *row;
    size_t count;
    struct date today;
};

static void add(struct due_list *l, enum due_kind kind, struct date on, enum urgency urgency,
                const char *format, ...) __attribute__((format(printf, 5, 6)));

static void add(struct due_list *l, enum due_kind kind, struct date on, enum urgency urgency,
                const char *format, ...)
{
    va_list args;
    if (l->count == DUE_MAX || !date_known(on))
        return;
    struct cow_due *due = &l->row[l->count++];
    due->kind = kind;
    due->on = on;
    due->urgency = on.days < l->today.days && urgency == URGENCY_CALM ? URGENCY_WATCH : urgency;
    va_start(args, format);
    (void)vsnprintf(due->words, sizeof due->words, format, args);
    va_end(args);
}

static int by_day(const void *a, const void *b)
{
    const struct cow_due *x = a, *y = b;
    if (x->on.days != y->on.days)
        return x->on.days < y->on.days ? -1 : 1;
    return (x->urgency < y->urgency) - (x->urgency > y->urgency);
}

/* ---- milk, meat and treatments ---- */

static void add_hold(struct due_list *l, const struct cow_record *r, struct instant now)
{
    struct hold_state state;
    char when[CIVIL_TEXT_MAX];
    hold_state(&r->holds.facts, now, &state, NULL);
    if (r->stage.in_milk && !state.keep && instant_known(state.clear_at))
        add(l, DUE_HOLD, instant_date(state.clear_at), URGENCY_STOP, "milk kept after %s",
            clock_text(state.clear_at, when));
    else if (r->stage.in_milk && !state.keep)
        add(l, DUE_HOLD, l->today, URGENCY_STOP, "milk held, no end known");
    if (date_known(state.meat_on))
        add(l, DUE_MEAT, state.meat_on, URGENCY_CALM, "meat free of withholding");
}

static void add_courses(struct due_list *l, const struct cow_record *r)
{
    for (size_t i = 0; i < r->holds.course_count; i++) {
        const struct course *c = &r->holds.courses[i];
        struct treatment record;
        course_record(c, &r->row, &record);
        const char *missing = treatment_missing(&record);
        if (record.doses_to_come)
            add(l, DUE_DOSE, l->today, URGENCY_WATCH, "next dose: %.60s", record.product);
        if (missing != NULL)
            add(l, DUE_RECORD, l->today, URGENCY_WATCH, "write down: %.40s, %s", record.product, missing);
    }
}

/* ---- breeding ---- */

static void add_heat(struct due_list *l, const struct cow_record *r)
{
    struct heat heats[CYCLE_HEATS_MAX];
    struct heat_window window;
    struct cycle cycle;
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX];
    size_t n = cycle_heats(&r->breeding, heats, CYCLE_HEATS_MAX);
    if (n == 0 || r->breeding.male || r->pregnancy.state == PREGNANCY_IN_CALF)
        return;
    cycle_learn(heats, n, breeding_heifer(&r->breeding), &cycle, NULL);
    if (cycle_ahead(&cycle, heat_on(&heats[n - 1]), r->today, &window, 1) == 0 || window.cycle > 3)
        return;
    struct date on = window.from_on.days > r->today.days ? window.from_on : r->today;
    add(l, DUE_HEAT, on, URGENCY_CALM, "watch for heat, %s to %s", date_text(window.from_on, from),
        date_text(window.to_on, to));
}

static void add_breeding(struct due_list *l, const struct cow_record *r)
{
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX];
    if (r->pregnancy.chance <= 0 || !date_known(r->plan.due_on))
        return;
    if (r->pregnancy.state == PREGNANCY_RETURN_DUE || r->pregnancy.state == PREGNANCY_UNPROVEN)
        add(l, DUE_CHECK, r->plan.check_from_on, URGENCY_CALM, "pregnancy check");
    if (r->pregnancy.check_stale)
        add(l, DUE_CHECK, r->today, URGENCY_CALM, "check again that she is in calf");
    if (r->stage.in_milk)
        add(l, DUE_DRY_OFF, r->plan.dry_off_on, URGENCY_CALM, "dry off");
    if (r->stage.stage != STAGE_CLOSE_UP)
        add(l, DUE_CLOSE_UP, r->plan.close_up_on, URGENCY_CALM, "close-up begins");
    add(l, DUE_CALVING, r->plan.due_on, r->stage.overdue ? URGENCY_WATCH : URGENCY_CALM,
        "%scalving, %s to %s", r->stage.overdue ? "overdue: " : "", date_text(r->plan.due.from_on, from),
        date_text(r->plan.due.to_on, to));
}

/* ---- animals that came ---- */

static void add_tests(struct due_list *l, const struct cow_record *r, const struct health_test_row *tests,
                      size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!instant_known(tests[i].at))
            add(l, DUE_TEST, tests[i].due_on, tests[i].holds_milk == 1 ? URGENCY_WATCH : URGENCY_CALM,
                "test: %.60s", tests[i].name);
    if (date_known(r->row.quarantine_on) && r->row.quarantine_on.days >= r->today.days)
        add(l, DUE_APART, r->row.quarantine_on, URGENCY_CALM, "last day apart");
}

size_t cow_due(const struct cow_record *r, const struct health_test_row *tests, size_t test_count,
               struct instant now, struct cow_due *out)
{
    struct due_list l = {.row = out, .today = r->today};
    if (r->stage.stage == STAGE_GONE)
        return 0;
    add_hold(&l, r, now);
    add_courses(&l, r);
    add_heat(&l, r);
    add_breeding(&l, r);
    add_tests(&l, r, tests, test_count);
    qsort(out, l.count, sizeof *out, by_day);
    return l.count;
}
