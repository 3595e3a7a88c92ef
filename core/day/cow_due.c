#include "core/day/cow_due.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/breeding/calving.h"
#include "core/breeding/cycle.h"
#include "core/breeding/figures.h"

struct due_list {
    struct cow_due *row;
    size_t count;
    struct date today;
    enum unit_system units;
    int64_t calvings; /* hers so far */
};

static struct cow_due *add(struct due_list *l, enum due_kind kind, struct date on, enum urgency urgency,
                           const char *format, ...) __attribute__((format(printf, 5, 6)));

/* The new row, or NULL when its day is not known or the list is full. */
static struct cow_due *add(struct due_list *l, enum due_kind kind, struct date on, enum urgency urgency,
                           const char *format, ...)
{
    va_list args;
    if (l->count == DUE_MAX || !date_known(on))
        return NULL;
    struct cow_due *due = &l->row[l->count++];
    *due = (struct cow_due){.kind = kind, .on = on, .to_on = DATE_NONE, .of = l->calvings};
    due->urgency = on.days < l->today.days && urgency == URGENCY_CALM ? URGENCY_WATCH : urgency;
    va_start(args, format);
    (void)vsnprintf(due->words, sizeof due->words, format, args);
    va_end(args);
    return due;
}

static void name(struct cow_due *due, int64_t of, const char *subject)
{
    if (due == NULL)
        return;
    due->of = of;
    (void)snprintf(due->subject, sizeof due->subject, "%.63s", subject);
}

static void until(struct cow_due *due, struct date to_on)
{
    if (due != NULL && to_on.days > due->on.days)
        due->to_on = to_on;
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
        (void)add(l, DUE_HOLD, instant_date(state.clear_at), URGENCY_STOP, "milk kept after %s",
            clock_text(state.clear_at, when));
    else if (r->stage.in_milk && !state.keep)
        (void)add(l, DUE_HOLD, l->today, URGENCY_STOP, "milk held, no end known");
    if (date_known(state.meat_on))
        (void)add(l, DUE_MEAT, state.meat_on, URGENCY_CALM, "meat free of withholding");
}

static void add_courses(struct due_list *l, const struct cow_record *r)
{
    for (size_t i = 0; i < r->holds.course_count; i++) {
        const struct course *c = &r->holds.courses[i];
        struct treatment record;
        course_record(c, &r->row, &record);
        const char *missing = treatment_missing(&record);
        if (record.doses_to_come)
            name(add(l, DUE_DOSE, l->today, URGENCY_WATCH, "next dose: %.60s", record.product), c->row.id, c->row.product);
        if (missing != NULL)
            name(add(l, DUE_RECORD, l->today, URGENCY_WATCH, "write down: %.40s, %s", record.product, missing), c->row.id,
                 c->row.product);
    }
}

/* ---- breeding ---- */

/* Nothing seen since she calved: nobody can say when, so it is every day. */
static void add_no_heat(struct due_list *l, const struct cow_record *r)
{
    struct date calved_on = breeding_calved_on(&r->breeding);
    if (date_known(calved_on) && r->pregnancy.state == PREGNANCY_NOT_SERVED)
        (void)add(l, DUE_HEAT, date_add(calved_on, WAITING_DAYS), URGENCY_CALM, "watch for heat daily: none seen since she calved");
}

static void add_heat(struct due_list *l, const struct cow_record *r)
{
    struct heat heats[CYCLE_HEATS_MAX];
    struct heat_window window;
    struct cycle cycle;
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX];
    if (r->breeding.male || r->pregnancy.state == PREGNANCY_IN_CALF)
        return;
    size_t n = cycle_heats(&r->breeding, heats, CYCLE_HEATS_MAX);
    cycle_learn(heats, n, breeding_heifer(&r->breeding), &cycle, NULL);
    if (n == 0 || cycle_ahead(&cycle, heat_on(&heats[n - 1]), r->today, &window, 1) == 0 || window.cycle > 3) {
        add_no_heat(l, r);
        return;
    }
    struct date on = window.from_on.days > r->today.days ? window.from_on : r->today;
    until(add(l, DUE_HEAT, on, URGENCY_CALM, "watch for heat, %s to %s", date_text(window.from_on, from),
              date_text(window.to_on, to)),
          window.to_on);
}

/* A heat that was seen within a day, and no service since. */
static void add_service(struct due_list *l, const struct cow_record *r, struct instant now)
{
    struct service_window when;
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX], last[CIVIL_TEXT_MAX];
    if (r->breeding.heat_count == 0 || r->breeding.male || r->pregnancy.state == PREGNANCY_IN_CALF)
        return;
    const struct heat *heat = &r->heats[r->breeding.heat_count - 1];
    size_t services = r->breeding.service_count;
    cycle_service_window(heat->at, &when, NULL);
    if (heat_strength(heat->signs) == HEAT_OVER || when.last_at.s < now.s ||
        (services > 0 && r->services[services - 1].on.days >= instant_date(heat->at).days))
        return;
    (void)add(l, DUE_SERVE, l->today, URGENCY_WATCH, "serve her %s to %s, at the latest %s",
              instant_text_near(when.from_at, now, from), instant_text_near(when.to_at, now, to),
              instant_text_near(when.last_at, now, last));
}

static void add_breeding(struct due_list *l, const struct cow_record *r)
{
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX];
    if (r->pregnancy.chance <= 0 || !date_known(r->plan.due_on))
        return;
    if (r->pregnancy.state == PREGNANCY_RETURN_DUE || r->pregnancy.state == PREGNANCY_UNPROVEN)
        (void)add(l, DUE_CHECK, r->plan.check_from_on, URGENCY_CALM, "pregnancy check");
    /* So near her time the udder will tell. */
    if (r->pregnancy.check_stale && date_diff(r->today, r->plan.due_on) > PLAN_DAYS_USUAL.dry)
        (void)add(l, DUE_CHECK, r->today, URGENCY_CALM, "check again that she is in calf");
    if (r->stage.in_milk)
        (void)add(l, DUE_DRY_OFF, r->plan.dry_off_on, URGENCY_CALM, "dry off");
    if (r->stage.stage != STAGE_CLOSE_UP)
        (void)add(l, DUE_CLOSE_UP, r->plan.close_up_on, URGENCY_CALM, "close-up begins");
    (void)add(l, DUE_CALVING, r->plan.due_on, r->stage.overdue ? URGENCY_WATCH : URGENCY_CALM,
        "%scalving, %s to %s", r->stage.overdue ? "overdue: " : "", date_text(r->plan.due.from_on, from),
        date_text(r->plan.due.to_on, to));
}

/* ---- animals that came ---- */

static void add_tests(struct due_list *l, const struct cow_record *r, const struct health_test_row *tests,
                      size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!instant_known(tests[i].at))
            name(add(l, DUE_TEST, tests[i].due_on, tests[i].holds_milk == 1 ? URGENCY_WATCH : URGENCY_CALM,
                     "test: %.60s", tests[i].name),
                 tests[i].id, tests[i].name);
    if (date_known(r->row.quarantine_on) && r->row.quarantine_on.days >= r->today.days)
        (void)add(l, DUE_APART, r->row.quarantine_on, URGENCY_CALM, "last day apart");
}

/* ---- the first days after calving ---- */

bool cow_milk_fever(const struct cow_record *r, struct instant now, struct milk_fever_watch *out, struct working *w)
{
    if (!instant_known(r->fresh.at))
        return false;
    double age = date_known(r->row.born_on) ? date_diff(r->row.born_on, r->today) / 365.25 : (double)NAN;
    int calvings = r->breeding.calvings_before + (int)r->breeding.calving_count;
    calving_milk_fever(r->fresh.at, now, calvings, age, strstr(r->row.breed, "Jersey") != NULL,
                       r->fresh.had_milk_fever, out, w);
    return out->phase != MILK_FEVER_OVER;
}

bool cow_colostrum(const struct cow_record *r, struct colostrum_plan *out, struct working *w)
{
    const struct fresh_calving *fresh = &r->fresh;
    if (!instant_known(fresh->at) || fresh->calves == 0)
        return false;
    double usual_kg = isfinite(r->gestation_breed.calf_kg) ? r->gestation_breed.calf_kg : 35;
    double kg = isfinite(fresh->calf[0].weight_kg) ? fresh->calf[0].weight_kg : usual_kg;
    return calving_colostrum(kg, fresh->at, out, w, NULL) == 0;
}

/* Two feeds within twelve hours; after a day it is too late to matter. */
static void add_colostrum(struct due_list *l, const struct cow_record *r, struct instant now)
{
    struct colostrum_plan plan;
    char by[CIVIL_TEXT_MAX], litres[QUANTITY_TEXT_MAX];
    if (!cow_colostrum(r, &plan, NULL) || now.s > plan.useless_at.s || r->fresh.day_only)
        return;
    for (int i = 0; i < r->fresh.calves; i++) {
        const struct fresh_calf *calf = &r->fresh.calf[i];
        const char *who = calf->sex == CALF_BULL ? "bull calf" : calf->sex == CALF_HEIFER ? "heifer calf" : "calf";
        if (calf->feeds == 0)
            name(add(l, DUE_COLOSTRUM, l->today, now.s > plan.first_by.s ? URGENCY_STOP : URGENCY_WATCH,
                     "%s: %s of colostrum by %s", who, quantity_format(plan.first_l, DIM_VOLUME, l->units, litres),
                     clock_text(plan.first_by, by)),
                 16 * l->calvings + i, who);
        else if (calf->feeds == 1 && (!calf->all_measured || calf->drunk_l < plan.first_l + plan.second_l))
            name(add(l, DUE_COLOSTRUM, l->today, now.s > plan.second_by.s ? URGENCY_STOP : URGENCY_WATCH,
                     "%s: %s more colostrum by %s", who, quantity_format(plan.second_l, DIM_VOLUME, l->units, litres),
                     clock_text(plan.second_by, by)),
                 16 * l->calvings + i, who);
    }
}

static void add_fresh(struct due_list *l, const struct cow_record *r, struct instant now)
{
    struct milk_fever_watch watch;
    char until[CIVIL_TEXT_MAX];
    add_colostrum(l, r, now);
    if (cow_milk_fever(r, now, &watch, NULL))
        (void)add(l, DUE_FRESH, l->today, watch.high_risk || watch.phase == MILK_FEVER_FIRST_DAY ? URGENCY_WATCH : URGENCY_CALM,
            "milk-fever watch until %s%s%s", instant_text_near(watch.until_at, now, until),
            watch.high_risk ? ": at risk, " : "", watch.why);
}

const struct due_act *due_act(enum due_kind kind)
{
    static const struct due_act acts[DUE_KINDS] = {
        [DUE_HOLD] = {"hold", "Her hold", "lift"},
        [DUE_MEAT] = {NULL, NULL, NULL},
        [DUE_DOSE] = {"dose", "Another dose", "more"},
        [DUE_RECORD] = {"label", "The record of her treatment", "active"},
        [DUE_HEAT] = {"heat", "She is in heat", "signs"},
        [DUE_CHECK] = {"check", "A pregnancy check", "method"},
        [DUE_DRY_OFF] = {"dry", "She is dried off", "at"},
        [DUE_CLOSE_UP] = {"ration", "Her ration", "feed"},
        [DUE_CALVING] = {"calving", "She has calved", "ease"},
        [DUE_TEST] = {"tested", "A test for a disease", "test"},
        [DUE_APART] = {NULL, NULL, NULL},
        [DUE_COLOSTRUM] = {"colostrum", "Her calf drank colostrum", "amount"},
        [DUE_SERVE] = {"service", "She was served", "by"},
        [DUE_FRESH] = {"note", "How she is", "text"},
    };
    return &acts[kind];
}

size_t cow_due(const struct cow_record *r, const struct health_test_row *tests, size_t test_count,
               struct instant now, enum unit_system units, struct cow_due *out)
{
    struct due_list l = {.row = out, .today = r->today, .units = units,
                         .calvings = r->breeding.calvings_before + (int64_t)r->breeding.calving_count};
    if (r->stage.stage == STAGE_GONE)
        return 0;
    add_fresh(&l, r, now);
    add_hold(&l, r, now);
    add_courses(&l, r);
    add_service(&l, r, now);
    add_heat(&l, r);
    add_breeding(&l, r);
    add_tests(&l, r, tests, test_count);
    qsort(out, l.count, sizeof *out, by_day);
    return l.count;
}
