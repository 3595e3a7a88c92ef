/* What-ifs: one cow's expectation is exchanged, the others' weeks stand as they are. */
#include <math.h>
#include <string.h>

#include "core/breeding/supply_inside.h"

/* Above this chance of being in calf there is nothing to try; below it she may well come back to heat. */
static const double in_calf_for_sure = 0.9;

/* A case with everything that does not depend on the day of service worked out once. */
struct trial {
    const struct supply_case *c;
    const struct supply_gap *gap;
    double others_l[SUPPLY_WEEKS_MAX];
    struct cow_sums her;
    struct supply_cow as_served;
};

void supply_serve(struct supply_cow *cow, struct date served_on, const struct gestation *g)
{
    struct day_chances conception;
    day_chances_certain(&conception, served_on);
    gestation_calving(g, &conception, &cow->calving);
    /* A drying-off day set for another pregnancy would be wrong; one that has passed stands. */
    if (date_known(cow->dry_on) && cow->dry_on.days > served_on.days)
        cow->dry_on = DATE_NONE;
}

static int trial_init(struct trial *t, const struct supply_case *c, const struct supply_gap *gap,
                      struct fail *f)
{
    if (supply_check(c->cows, c->count, &c->need, c->weeks, f) != 0)
        return -1;
    if (c->which >= c->count)
        return fail_input(f, "There is no such cow in the plan.");
    if (day_chances_total(&c->cows[c->which].calving) > in_calf_for_sure)
        return fail_refused(f, "She is in calf already: what a service would do is not a question now.");
    memset(t, 0, sizeof *t);
    t->c = c;
    t->gap = gap;
    for (size_t k = 0; k < c->count; k++) {
        cow_sums_init(&t->her, &c->cows[k], c->from_on);
        for (int i = 0; k != c->which && i < c->weeks; i++)
            t->others_l[i] += cow_sums_expected(&t->her, i * SUPPLY_WEEK);
    }
    cow_sums_init(&t->her, &c->cows[c->which], c->from_on);
    return 0;
}

/* Serves her on `on` and counts the weeks. Returns the litres still missing in the gap (or in all weeks when
 * there is no gap in question). */
static double trial_run(struct trial *t, struct date on, struct service_effect *out)
{
    double missing = 0;
    t->as_served = t->c->cows[t->c->which];
    supply_serve(&t->as_served, on, &t->c->gestation);
    cow_sums_expect(&t->her, &t->as_served);
    *out = (struct service_effect){.served_on = on, .due_on = date_add(on, t->c->gestation.days)};
    out->dry_off_on =
        date_known(t->as_served.dry_on) ? t->as_served.dry_on : date_add(out->due_on, -t->as_served.dry_days);
    for (int i = 0; i < t->c->weeks; i++) {
        double litres = t->others_l[i] + cow_sums_expected(&t->her, i * SUPPLY_WEEK);
        double short_l = fmax(0, supply_need_l(&t->c->need) - litres);
        out->short_weeks += short_l > 0;
        out->short_l += short_l;
        out->over_weeks += t->c->need.room_l > 0 && litres > t->c->need.room_l;
        if (t->gap == NULL || (i >= t->gap->first && i <= t->gap->last))
            missing += short_l;
    }
    out->closes = missing <= 0;
    return missing;
}

int supply_effect(const struct supply_case *c, const struct supply_gap *gap, struct date served_on,
                  struct service_effect *out, struct fail *f)
{
    struct trial t;
    if (trial_init(&t, c, gap, f) != 0)
        return -1;
    (void)trial_run(&t, served_on, out);
    return 0;
}

int supply_months(const struct supply_case *c, const struct supply_gap *gap, struct date earliest_on,
                  struct service_effect *out, int max, struct fail *f)
{
    struct trial t;
    struct civil month;
    if (trial_init(&t, c, gap, f) != 0)
        return -1;
    date_to_civil(earliest_on, &month);
    for (int i = 0; i < max; i++) {
        struct date on;
        if (!date_from_ymd(month.year, month.month, 15, &on))
            return i;
        (void)trial_run(&t, on.days < earliest_on.days ? earliest_on : on, &out[i]);
        month.year += month.month / 12;
        month.month = month.month % 12 + 1;
    }
    return max;
}

static void days_working(const struct supply_gap *gap, const struct service_days *days, struct date best_on,
                         double best_missing_l, struct working *w)
{
    char a[CIVIL_TEXT_MAX], b[CIVIL_TEXT_MAX];
    if (w == NULL)
        return;
    if (gap != NULL)
        working_step(w, "the gap: %s to %s, %.0f L short in all", date_iso(gap->from_on, a),
                     date_iso(gap->to_on, b), gap->short_l);
    working_step(w, "every day of service was tried, as if she held to it");
    working_result_date(w, "serve_from_on", days->from_on);
    working_result_date(w, "serve_to_on", days->to_on);
    if (!date_known(days->from_on))
        working_why(w, "No day of service closes it with her alone; the best, %s, leaves %.0f L missing.",
                    date_iso(best_on, a), best_missing_l);
    working_caution(w, "About every second service takes: a window shorter than two or three cycles may be "
                       "missed.");
}

int supply_service_days(const struct supply_case *c, const struct supply_gap *gap, struct date earliest_on,
                        struct date latest_on, struct service_days *out, struct working *w, struct fail *f)
{
    struct trial t;
    struct service_effect effect;
    struct date run_on = DATE_NONE, best_on = earliest_on;
    double best_missing_l = INFINITY;
    *out = (struct service_days){DATE_NONE, DATE_NONE};
    if (trial_init(&t, c, gap, f) != 0)
        return -1;
    for (struct date on = earliest_on; on.days <= latest_on.days; on = date_add(on, 1)) {
        double missing_l = trial_run(&t, on, &effect);
        if (missing_l < best_missing_l) {
            best_missing_l = missing_l;
            best_on = on;
        }
        if (!effect.closes) {
            run_on = DATE_NONE;
            continue;
        }
        if (!date_known(run_on))
            run_on = on;
        if (!date_known(out->from_on) || date_diff(run_on, on) > date_diff(out->from_on, out->to_on))
            *out = (struct service_days){run_on, on};
    }
    days_working(gap, out, best_on, best_missing_l, w);
    return 0;
}
