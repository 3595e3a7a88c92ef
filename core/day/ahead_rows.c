/* The rows of what is due: cows, things that come round, chores by the week and month, jars. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/breeding/cycle.h"
#include "core/day/ahead_inside.h"
#include "core/day/facts.h"
#include "core/day/shelf.h"
#include "core/store/rows_year.h"

/* ---- cows ---- */

static void heat_reason(const struct cow_record *r, char *buf, size_t size)
{
    struct heat heats[CYCLE_HEATS_MAX];
    struct cycle cycle;
    char day[CIVIL_TEXT_MAX];
    size_t n = cycle_heats(&r->breeding, heats, CYCLE_HEATS_MAX);
    cycle_learn(heats, n, breeding_heifer(&r->breeding), &cycle, NULL);
    if (n > 0)
        (void)snprintf(buf, size, "last in heat %s; her cycle is %.1f days, by %d of her own",
                       date_text(heat_on(&heats[n - 1]), day), cycle.mean_days, cycle.own);
}

static void served_reason(const struct cow_record *r, char *buf, size_t size)
{
    char day[CIVIL_TEXT_MAX];
    const struct pregnancy *p = &r->pregnancy;
    if (date_known(p->conceived_on))
        (void)snprintf(buf, size, "served %s, in calf %.0f %% sure", date_text(p->conceived_on, day), 100 * p->chance);
}

static void reason_of(const struct cow_record *r, const struct cow_due *due, struct instant now, char *buf, size_t size)
{
    static const char *const before_calving[DUE_KINDS] = {[DUE_DRY_OFF] = "60 days before she is due",
                                                          [DUE_CLOSE_UP] = "the last 21 days before she is due"};
    struct hold_state state;
    char day[CIVIL_TEXT_MAX];
    if (due->kind == DUE_MEAT) {
        (void)snprintf(buf, size, "withheld by the label of what she was treated with");
    } else if (due->kind == DUE_HOLD) {
        hold_state(&r->holds.facts, now, &state, NULL);
        (void)snprintf(buf, size, "%.190s", state.reasons > 0 ? state.reason[0].words : "by the label");
    } else if (due->kind == DUE_HEAT) {
        heat_reason(r, buf, size);
    } else if (due->kind == DUE_CHECK) {
        served_reason(r, buf, size);
    } else if (due->kind == DUE_CALVING) {
        served_reason(r, buf, size);
        (void)text_append(buf, size, "; she carries about %d days", r->plan.days);
    } else if (before_calving[due->kind] != NULL) {
        (void)snprintf(buf, size, "%s, %s", before_calving[due->kind], date_text(r->plan.due_on, day));
    } else if (due->kind == DUE_SERVE) {
        (void)snprintf(buf, size, "in heat since %s", instant_text_near(r->heats[r->breeding.heat_count - 1].at, now, day));
    } else if (due->kind == DUE_FRESH || due->kind == DUE_COLOSTRUM) {
        (void)snprintf(buf, size, "calved %s", instant_text_near(r->fresh.at, now, day));
    }
}

static const char *const due_names[DUE_KINDS] = {
    [DUE_HOLD] = "hold",       [DUE_MEAT] = "meat",         [DUE_DOSE] = "dose",           [DUE_RECORD] = "record",
    [DUE_HEAT] = "heat",       [DUE_CHECK] = "check",       [DUE_DRY_OFF] = "dry-off",     [DUE_CLOSE_UP] = "close-up",
    [DUE_CALVING] = "calving", [DUE_TEST] = "test",         [DUE_APART] = "apart",         [DUE_COLOSTRUM] = "colostrum",
    [DUE_FRESH] = "fresh",     [DUE_SERVE] = "serve",
};

static void add_due(struct dairy *d, struct ahead_view *v, const struct cow_record *r, const struct cow_due *due)
{
    char kind[40];
    (void)snprintf(kind, sizeof kind, "%s-%lld", due_names[due->kind], (long long)r->row.id);
    struct ahead_row *row = ahead_add(v, d, AHEAD_COW, due->on, kind, due->of);
    if (row == NULL)
        return;
    row->to_on = due->to_on;
    row->urgency = due->urgency;
    row->cow_id = r->row.id;
    row->act = *due_act(due->kind);
    (void)snprintf(row->who, sizeof row->who, "%s", r->row.name);
    (void)snprintf(row->words, sizeof row->words, "%s", due->words);
    reason_of(r, due, v->now, row->reason, sizeof row->reason);
    ahead_preset(row, "cow", r->row.name);
    if (due->kind == DUE_TEST)
        ahead_preset(row, "test", due->subject);
    if (due->kind == DUE_DOSE || due->kind == DUE_RECORD)
        ahead_preset(row, "product", due->subject);
}

int ahead_add_cows(struct dairy *d, struct ahead_view *v, struct fail *f)
{
    struct cow_due due[DUE_MAX];
    for (size_t i = 0; i < d->facts->cows; i++) {
        const struct cow_record *r = &d->facts->cow[i];
        struct health_test_row *tests;
        size_t count;
        if (rows_load(d->store, &health_test_table, "WHERE cow_id = ?1 AND at IS NULL ORDER BY due_on, id",
                      (struct bind[]){BIND_ID(r->row.id)}, 1, (void **)&tests, &count, f) != 0)
            return -1;
        size_t n = cow_due(r, tests, count, v->now, dairy_units(d), due);
        for (size_t k = 0; k < n; k++)
            add_due(d, v, r, &due[k]);
        free(tests);
    }
    return 0;
}

/* ---- things that come round ---- */

static int add_repeat(struct dairy *d, struct ahead_view *v, const struct repeat_row *repeat, struct fail *f)
{
    struct repeat_done_row done;
    struct cow_row cow = {.id = 0};
    bool found;
    char day[CIVIL_TEXT_MAX];
    if (rows_first(d->store, &repeat_done_table, "WHERE repeat_id = ?1 ORDER BY at DESC LIMIT 1",
                   (struct bind[]){BIND_ID(repeat->id)}, 1, &done, &found, f) != 0)
        return -1;
    if (repeat->cow_id != ROW_NONE && row_load(d->store, &cow_table, repeat->cow_id, &cow, f) != 0)
        return -1;
    struct date on = found ? date_add(instant_date(done.at), (int32_t)repeat->every_days) : repeat->first_on;
    struct ahead_row *row =
        cow.left_how[0] != '\0' ? NULL : ahead_add(v, d, AHEAD_REPEAT, on, "repeat", repeat->id);
    if (row == NULL)
        return 0;
    row->urgency = on.days < v->today.days ? URGENCY_WATCH : URGENCY_CALM;
    row->cow_id = repeat->cow_id;
    row->act = (struct due_act){"did", "Done", "at"};
    (void)snprintf(row->who, sizeof row->who, "%s", cow.name);
    (void)snprintf(row->words, sizeof row->words, "%s", repeat->name);
    (void)snprintf(row->reason, sizeof row->reason, "every %lld days%s%s%s%s", (long long)repeat->every_days,
                   found ? ", last " : "", found ? date_year_text(instant_date(done.at), day) : "",
                   repeat->note[0] == '\0' ? "" : "; ", repeat->note);
    ahead_preset(row, "name", repeat->name);
    if (cow.id != 0)
        ahead_preset(row, "cow", cow.name);
    return 0;
}

int ahead_add_repeats(struct dairy *d, struct ahead_view *v, struct fail *f)
{
    struct repeat_row *rows;
    size_t count;
    int result = 0;
    if (rows_load(d->store, &repeat_table, "WHERE ended_on IS NULL ORDER BY id", NULL, 0, (void **)&rows, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count && result == 0; i++)
        result = add_repeat(d, v, &rows[i], f);
    free(rows);
    return result;
}

/* ---- chores by the week and by the month ---- */

static const struct step_last *last_done(const struct facts *facts, const char *step)
{
    for (size_t i = 0; i < facts->lasts; i++)
        if (strcmp(facts->last[i].step, step) == 0)
            return &facts->last[i];
    return NULL;
}

int ahead_add_chores(struct dairy *d, struct ahead_view *v, struct fail *f)
{
    (void)f;
    enum { WEEK_DAYS = 7, MONTH_DAYS = 30 };
    const struct facts *facts = d->facts;
    for (size_t i = 0; i < facts->routine.count; i++) {
        const struct routine_step *step = &facts->routine.step[i];
        const struct step_last *last = last_done(facts, step->id);
        char kind[STEP_ID_MAX + 8], day[CIVIL_TEXT_MAX];
        if (step->every == EVERY_SESSION || last == NULL)
            continue;
        (void)snprintf(kind, sizeof kind, "chore-%s", step->id);
        struct ahead_row *row =
            ahead_add(v, d, AHEAD_CHORE, date_add(last->on, step->every == EVERY_WEEK ? WEEK_DAYS : MONTH_DAYS), kind, 0);
        if (row == NULL)
            continue;
        row->urgency = row->on.days < v->today.days ? URGENCY_WATCH : URGENCY_CALM;
        row->act = (struct due_act){"tick", "A chore", "state"};
        (void)snprintf(row->words, sizeof row->words, "%.118s", step->words);
        (void)snprintf(row->reason, sizeof row->reason, "every %s, last %s", step->every == EVERY_WEEK ? "week" : "month",
                       date_text(last->on, day));
        ahead_preset(row, "step", step->id);
        ahead_preset(row, "state", "done");
    }
    return 0;
}

/* ---- jars ---- */

static void add_jars(struct dairy *d, struct ahead_view *v, const struct shelf_row *jar)
{
    char kind[24];
    if (jar->state == SHELF_FROZEN || !date_known(jar->use_by.on))
        return;
    (void)snprintf(kind, sizeof kind, "use-%s", jar_place_word(jar->place));
    struct ahead_row *row = ahead_add(v, d, AHEAD_SHELF, jar->use_by.on, kind, jar->batch_id);
    if (row == NULL)
        return;
    row->urgency = jar->state == SHELF_AWAY || jar->state == SHELF_CALL || jar->state == SHELF_PAST ? URGENCY_STOP
                   : jar->state == SHELF_GOOD                                                       ? URGENCY_CALM
                                                                                                    : URGENCY_WATCH;
    row->act = (struct due_act){"jar", "A jar leaves the shelf", "count"};
    (void)snprintf(row->who, sizeof row->who, "%s", jar->code);
    (void)snprintf(row->words, sizeof row->words, "use %d %s%s", jar->count, jar->kind, jar->count == 1 ? "" : "s");
    (void)snprintf(row->reason, sizeof row->reason, "milk of %s%s%s", jar->cows, jar->remark[0] == '\0' ? "" : "; ",
                   jar->remark);
    ahead_preset(row, "batch", jar->code);
}

int ahead_add_shelf(struct dairy *d, struct ahead_view *v, struct fail *f)
{
    struct shelf_view *shelf = malloc(sizeof *shelf);
    if (shelf == NULL)
        return fail_memory(f);
    int result = dairy_shelf(d, v->now, shelf, f);
    for (size_t i = 0; i < shelf->rows && result == 0; i++)
        add_jars(d, v, &shelf->row[i]);
    free(shelf);
    return result;
}
