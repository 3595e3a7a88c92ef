/* What the domains make of a cow's facts. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/breeding/calving.h"
#include "core/breeding/cycle.h"
#include "core/day/cow_record.h"
#include "core/day/yield_days.h"

/* ---- stage and pregnancy ---- */

void cow_record_gestation(const struct cow_record *r, struct gestation *out, struct working *w)
{
    struct gestation_case c;
    pregnancy_case(&r->breeding, &r->pregnancy, &r->gestation_breed, 0, &c);
    if (gestation_of(&c, out, w, NULL) != 0) /* a sire's effect beyond belief is left out */
        (void)gestation_of(&(struct gestation_case){.breed = r->gestation_breed}, out, w, NULL);
}

void cow_record_judge(struct cow_record *r)
{
    struct gestation g;
    const struct plan_days days = PLAN_DAYS_USUAL;
    pregnancy_judge(&r->breeding, r->today, &r->pregnancy, NULL);
    r->plan = (struct gestation_plan){.due_on = DATE_NONE, .dry_off_on = DATE_NONE, .close_up_on = DATE_NONE};
    if (r->pregnancy.chance <= 0)
        return;
    cow_record_gestation(r, &g, NULL);
    gestation_plan(&r->pregnancy.conception, &g, &days, &r->plan, NULL);
}

void cow_record_explain_plan(const struct cow_record *r, struct instant now, struct working *w)
{
    struct gestation g;
    struct pregnancy p;
    struct gestation_plan plan;
    struct calving_near near;
    const struct plan_days days = PLAN_DAYS_USUAL;
    if (r->pregnancy.chance > 0)
        gestation_plan_results(&r->plan, w);
    pregnancy_judge(&r->breeding, r->today, &p, w);
    if (p.chance <= 0)
        return;
    cow_record_gestation(r, &g, w);
    gestation_plan(&p.conception, &g, &days, &plan, w);
    gestation_near(&plan, now, &near, w);
    if (near.days_to_due <= CALVING_NEAR_DAYS)
        for (const char *const *line = calving_watch_before; *line != NULL; line++)
            working_caution(w, *line);
}

void cow_record_breeding_figures(const struct cow_record *r, struct breeding_figures *out, struct working *w)
{
    struct breeding_tally t = {0};
    struct gestation g;
    cow_record_gestation(r, &g, NULL);
    breeding_tally_add(&t, &r->breeding, &g, r->today);
    breeding_figures_of(&t, out, w);
}

static int work_out_course(struct cow_record *r, struct fail *f)
{
    if (!date_known(r->stage.calved_on))
        return 0;
    int today = date_diff(r->stage.calved_on, r->today);
    r->course = malloc(COURSE_DAYS_MAX * sizeof *r->course);
    if (r->course == NULL)
        return fail_memory(f);
    for (int day = 1; day <= COURSE_DAYS_MAX; day++)
        lactation_expect(day <= today ? &r->curve : &r->season, day, r->milkings, &r->course[day - 1], NULL);
    r->course_days = COURSE_DAYS_MAX;
    lactation_total(&r->season, r->yield, r->yield_count, r->milkings, &r->total, NULL);
    return 0;
}

int cow_record_figure(struct cow_record *r, struct fail *f)
{
    struct heat heats[CYCLE_HEATS_MAX];
    struct cycle cycle;
    if (r->figured)
        return 0;
    if (work_out_course(r, f) != 0)
        return -1;
    cow_record_breeding_figures(r, &r->figures, NULL);
    size_t n = cycle_heats(&r->breeding, heats, CYCLE_HEATS_MAX);
    cycle_learn(heats, n, breeding_heifer(&r->breeding), &cycle, NULL);
    r->silent_count = cycle_silent(heats, n, &cycle, r->silent, SILENT_HEATS_MAX);
    r->figured = true;
    return 0;
}

static void work_out_stage(struct cow_record *r)
{
    bool sure = r->pregnancy.state == PREGNANCY_IN_CALF;
    struct cow_facts facts = {
        .born_on = r->row.born_on,
        .calved_on = r->calved_on,
        .calving_count = r->breeding.calving_count,
        .calvings_before = r->breeding.calvings_before,
        .dried_on = r->dry_offs,
        .dry_count = r->breeding.dry_off_count,
        .served_on = r->served_on,
        .service_count = r->breeding.service_count,
        .carrying = sure                                   ? CARRYING_SURE
                    : r->pregnancy.state == PREGNANCY_OPEN ? CARRYING_OPEN
                                                           : CARRYING_UNCHECKED,
        .checked_on = r->today,
        .due_on = r->plan.due_on,
        .left_on = r->row.left_on,
        .close_up_days = PLAN_DAYS_USUAL.close_up,
        .male = r->breeding.male,
        .twin_of_bull = r->twin_of_bull,
    };
    cow_stage(&facts, r->today, &r->stage);
}

/* ---- milk ---- */

static int work_out_yield(struct cow_record *r, struct fail *f)
{
    free(r->yield);
    r->yield_count = 0;
    r->yield = calloc(r->milk_count + 1, sizeof *r->yield);
    if (r->yield == NULL)
        return fail_memory(f);
    if (date_known(r->stage.calved_on))
        r->yield_count = yield_days(r->milk, r->milk_count, r->stage.calved_on, r->usual_milkings, r->yield);
    r->milkings = r->yield_count > 0 ? r->yield[r->yield_count - 1].milkings : r->usual_milkings;
    if (r->milkings < 1)
        r->milkings = 1;
    return 0;
}

static int work_out_curve(struct cow_record *r, struct fail *f)
{
    if (breed_or_cross(r->row.breed, &r->breed, f) != 0)
        return -1;
    lactation_prior_usual(&r->breed, r->stage.parity, &r->prior, NULL);
    if (!date_known(r->stage.calved_on))
        return 0;
    lactation_learn(&r->prior, r->yield, r->yield_count, LACTATION_CURVE, &r->curve, NULL);
    lactation_learn(&r->prior, r->yield, r->yield_count, LACTATION_SEASON, &r->season, NULL);
    /* What to expect today must not know today's milk. */
    size_t before = r->yield_count;
    if (before > 0 && r->yield[before - 1].day >= date_diff(r->stage.calved_on, r->today))
        before--;
    lactation_learn(&r->prior, r->yield, before, LACTATION_TOMORROW, &r->tomorrow, NULL);
    return 0;
}

/* ---- the yield watch, and what was recorded about that day ---- */

static int days_off(struct date a, struct date b)
{
    return abs(date_diff(a, b));
}

/* Seen within a day, or due by her cycle and nothing speaks for a calf. */
static bool heat_about(const struct cow_record *r, struct date day)
{
    struct heat heats[CYCLE_HEATS_MAX];
    struct heat_window window;
    struct cycle cycle;
    for (size_t i = 0; i < r->breeding.heat_count; i++)
        if (days_off(heat_on(&r->heats[i]), day) <= 1)
            return true;
    size_t n = cycle_heats(&r->breeding, heats, CYCLE_HEATS_MAX);
    if (n == 0 || r->pregnancy.state == PREGNANCY_IN_CALF)
        return false;
    cycle_learn(heats, n, breeding_heifer(&r->breeding), &cycle, NULL);
    return cycle_ahead(&cycle, heat_on(&heats[n - 1]), day, &window, 1) == 1 &&
           window.from_on.days <= day.days && window.cycle <= 2;
}

/* Was some milking of that day more than three hours early or late after the one before it? */
static bool off_routine(const struct cow_record *r, struct date day)
{
    double usual_s = 86400.0 / r->milkings;
    for (size_t i = 1; i < r->milk_count; i++)
        if (days_off(instant_date(r->milk[i].at), day) == 0 &&
            fabs((double)(r->milk[i].at.s - r->milk[i - 1].at.s) - usual_s) > 3 * 3600 &&
            r->milk[i].milkings == 1)
            return true;
    return false;
}

static bool treated_about(const struct cow_record *r, struct date day)
{
    for (size_t i = 0; i < r->holds.facts.hold_count; i++) {
        const struct hold *h = &r->holds.holds[i];
        if (h->kind == HOLD_TREATMENT && instant_known(h->last_dose_at) &&
            (h->doses_to_come || days_off(instant_date(h->last_dose_at), day) <= 5))
            return true;
    }
    return false;
}

static void work_out_watch(struct cow_record *r)
{
    if (r->yield_count == 0 || !r->stage.in_milk) {
        r->watch = (struct watch_result){.level = WATCH_SILENT};
        return;
    }
    struct date day = date_add(r->stage.calved_on, r->yield[r->yield_count - 1].day);
    for (int q = 0; q < QUARTERS; q++)
        r->context.udder = r->context.udder || r->quarters[q].state == QUARTER_NEW ||
                           r->quarters[q].state == QUARTER_CHRONIC;
    r->context.heat = heat_about(r, day);
    r->context.off_routine = off_routine(r, day);
    r->context.ill = treated_about(r, day);
    r->context.feed_changed = date_known(r->feed_changed_on) && days_off(r->feed_changed_on, day) <= 3;
    yield_watch(&r->prior, r->yield, r->yield_count, &r->context, &r->watch, NULL, NULL);
}

/* ---- quarters ---- */

static void strip_look(const struct milk_row *milk, enum quarter q, struct quarter_look *looks, size_t *n)
{
    struct strip strip;
    if (milk->strip[0] != '\0' && strip_parse(milk->strip, &strip, NULL) == 0)
        looks[(*n)++] = (struct quarter_look){milk->at, strip.quarter[q], -1, (double)NAN};
}

static void test_look(const struct udder_test_row *test, enum quarter q, struct quarter_look *looks,
                      size_t *n)
{
    enum quarter of;
    enum cmt cmt;
    if (!quarter_parse(test->quarter, &of) || of != q)
        return;
    struct quarter_look *look = &looks[*n];
    *look = (struct quarter_look){test->at, -1, -1, (double)NAN};
    if (cmt_parse(test->cmt, &cmt, NULL) == 0)
        look->cmt = (int)cmt;
    if (test->cells_per_ml != ROW_NONE)
        look->cells_per_ml = (double)test->cells_per_ml;
    *n += look->cmt >= 0 || isfinite(look->cells_per_ml);
}

int cow_record_looks(const struct cow_record *r, enum quarter q, struct quarter_look **out, size_t *count,
                     struct fail *f)
{
    size_t i = 0, k = 0;
    *count = 0;
    *out = calloc(r->milk_count + r->udder_test_count + 1, sizeof **out);
    if (*out == NULL)
        return fail_memory(f);
    while (i < r->milk_count || k < r->udder_test_count) {
        bool strip_first =
            k == r->udder_test_count || (i < r->milk_count && r->milk[i].at.s <= r->udder_tests[k].at.s);
        if (strip_first)
            strip_look(&r->milk[i++], q, *out, count);
        else
            test_look(&r->udder_tests[k++], q, *out, count);
    }
    return 0;
}

static int work_out_quarters(struct cow_record *r, struct fail *f)
{
    for (int q = 0; q < QUARTERS; q++) {
        struct quarter_look *looks;
        size_t count;
        if (cow_record_looks(r, (enum quarter)q, &looks, &count, f) != 0)
            return -1;
        quarter_trend(looks, count, &r->quarters[q]);
        free(looks);
    }
    return 0;
}

int cow_record_work_out(struct cow_record *r, struct fail *f)
{
    cow_record_judge(r);
    work_out_stage(r);
    return work_out_yield(r, f);
}

int cow_record_work_out_learned(struct cow_record *r, struct fail *f)
{
    if (work_out_yield(r, f) != 0 || work_out_curve(r, f) != 0 || work_out_quarters(r, f) != 0)
        return -1;
    work_out_watch(r);
    r->learned = true;
    return 0;
}

/* ---- questions ---- */

/* A milking so close before is this one, not the one before it; one so long before says nothing. */
enum { SAME_MILKING_S = 4 * 3600, LONG_AGO_S = 36 * 3600 };

/* Hours since her milking before `at`, or NaN. */
static double hours_before(const struct cow_record *r, struct instant at)
{
    for (size_t i = r->milk_count; i > 0; i--) {
        int64_t ago = at.s - r->milk[i - 1].at.s;
        if (ago > SAME_MILKING_S)
            return ago <= LONG_AGO_S ? (double)ago / 3600 : (double)NAN;
    }
    return (double)NAN;
}

/* One milking's share of the day. */
static double share_of(const struct cow_record *r, struct instant at)
{
    return milking_share(hours_before(r, at), r->milkings);
}

static int day_in_milk(const struct cow_record *r, struct instant at)
{
    return r->stage.in_milk ? date_diff(r->stage.calved_on, instant_date(at)) : 0;
}

void cow_record_expect(const struct cow_record *r, struct instant at, struct expectation *out)
{
    *out = (struct expectation){(double)NAN, (double)NAN, (double)NAN, (double)NAN};
    if (!r->learned || day_in_milk(r, at) < 1)
        return;
    double share = share_of(r, at);
    lactation_expect(&r->tomorrow, day_in_milk(r, at), r->milkings, out, NULL);
    out->kg *= share;
    out->low_kg *= share;
    out->high_kg *= share;
}

void cow_record_explain_yield(const struct cow_record *r, struct instant at, struct working *w)
{
    struct lactation_prior prior;
    struct lactation tomorrow;
    struct expectation e;
    struct watch_result watch;
    if (day_in_milk(r, at) < 1) {
        working_why(w, "she gives no milk, or has calved today");
        return;
    }
    size_t before = r->yield_count;
    while (before > 0 && r->yield[before - 1].day >= day_in_milk(r, at))
        before--;
    lactation_prior_usual(&r->breed, r->stage.parity, &prior, w);
    lactation_learn(&prior, r->yield, before, LACTATION_TOMORROW, &tomorrow, w);
    lactation_expect(&tomorrow, day_in_milk(r, at), r->milkings, &e, w);
    if (r->milkings > 1) {
        double share = share_of(r, at);
        working_step(w, "this milking brings %.0f %% of the day, by the hours since the one before: %.4g kg",
                     100 * share, share * e.kg);
    }
    if (r->yield_count > 0)
        yield_watch(&r->prior, r->yield, r->yield_count, &r->context, &watch, NULL, w);
}

void cow_record_recent(const struct cow_record *r, double *kg, size_t count)
{
    for (size_t i = 0; i < count; i++)
        kg[i] = (double)NAN;
    for (size_t i = 0; i < r->yield_count; i++) {
        int back = date_diff(date_add(r->stage.calved_on, r->yield[i].day), r->today);
        if (back >= 0 && (size_t)back < count)
            kg[count - 1 - (size_t)back] = r->yield[i].kg;
    }
}
