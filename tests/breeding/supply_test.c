/* The year ahead, against the same thing added up day by day without any running sums, and against property
 * tests. A gallon of milk weighs 8.6 lb (US Department of Agriculture): 1.030507 kg/L. */
#include <gsl/gsl_randist.h>

#include "core/breeding/supply.h"
#include "core/breeding/supply_inside.h"
#include "tests/breeding/day.h"

static const double kg_per_l = 1.030507; /* VOL1: 8.6 * 0.45359237 / 3.785411784 */

/* 20 kg a day for ever; a curve after Wood with a = 14, b = 0.12, c = 0.0028. */
static double flat(const void *who, int ahead, int day_in_milk)
{
    (void)who;
    (void)ahead;
    (void)day_in_milk;
    return 20;
}

static double wood(const void *who, int ahead, int day_in_milk)
{
    double scale = who == NULL ? 1 : *(const double *)who;
    return scale * (ahead == 0 ? 14 : 15.5) * pow(day_in_milk, 0.12) * exp(-0.0028 * day_in_milk);
}

static const struct gestation holstein = {.days = 279, .mean_days = 279, .sd_days = 4.8};

/* A litre a day more with each calving ahead. */
static double by_calving(const void *who, int ahead, int day_in_milk)
{
    (void)who;
    (void)day_in_milk;
    return (20 + ahead) * kg_per_l;
}

static struct supply_cow cow_in_milk(supply_yield_fn yield, const char *calved)
{
    return (struct supply_cow){.yield_kg = yield,
                               .calved_on = day(calved),
                               .dry_on = DATE_NONE,
                               .dry_days = 60,
                               .kept_back_days = 5,
                               .last_day = 450};
}

static struct supply ahead(const struct supply_cow *cows, size_t count, double need_l, const char *from,
                           int weeks)
{
    struct supply_need need = {.household_l = need_l};
    struct supply s;
    struct fail f = {0};
    if (supply_ahead(cows, count, &need, day(from), weeks, &s, NULL, &f) != 0)
        ck_abort_msg("%s", f.text);
    return s;
}

START_TEST(a_steady_cow_gives_the_same_every_week)
{
    struct supply_cow cow = cow_in_milk(flat, "2026-01-01");
    struct supply s = ahead(&cow, 1, 100, "2026-03-01", 20);
    for (int i = 0; i < 20; i++) {
        const struct supply_week *w = &s.week[i];
        ck_near(w->expected_l, 140 / kg_per_l, 1e-6);
        ck_assert(w->low_l <= w->expected_l && w->expected_l <= w->high_l && w->high_l - w->low_l <= 1);
        ck_assert(w->chance_short == 0 && w->chance_none == 0 && !w->is_short && !w->is_over);
        ck_assert_int_eq(date_diff(day("2026-03-01"), w->from_on), 7 * i);
    }
    ck_assert_int_eq(s.short_weeks, 0);
}
END_TEST

START_TEST(colostrum_days_the_calfs_share_and_the_last_day_are_left_out)
{
    struct supply_cow cow = cow_in_milk(flat, "2026-01-01");
    cow.calf_share = 0.25;
    struct supply s = ahead(&cow, 1, 0, "2026-01-01", 70);
    /* 1 January is day 0; days 1 to 5 are kept back; day 6 is left in the first week */
    ck_near(s.week[0].expected_l, 20 * 0.75 / kg_per_l, 1e-6);
    ck_near(s.week[1].expected_l, 7 * 20 * 0.75 / kg_per_l, 1e-6);
    /* day 450 is 27 March 2027, a Saturday 450 days on: week 64 begins on day 448 */
    ck_near(s.week[64].expected_l, 3 * 20 * 0.75 / kg_per_l, 1e-6);
    ck_assert(s.week[65].expected_l == 0 && s.week[65].chance_none == 1);
}
END_TEST

/* The same sum, one day and one case at a time. */
static double slow_week(const struct supply_cow *cow, struct date from_on)
{
    double in_calf = day_chances_total(&cow->calving), sum = 0;
    struct date due = day_chances_quantile(&cow->calving, 0.5);
    for (int c = -1; c < cow->calving.count; c++) {
        double chance = c < 0 ? 1 - in_calf : cow->calving.chance[c];
        struct date calves = c < 0 ? (struct date){1000000} : date_add(cow->calving.first_on, c);
        for (int i = 0; i < 7; i++) {
            struct date on = date_add(from_on, i);
            int old_day = date_known(cow->calved_on) ? date_diff(cow->calved_on, on) : 0;
            int new_day = date_diff(calves, on);
            bool dry = date_known(cow->dry_on) ? on.days >= cow->dry_on.days
                                               : c >= 0 && on.days >= due.days - cow->dry_days;
            double kg = 0;
            if (new_day > cow->kept_back_days && new_day <= cow->last_day)
                kg = cow->yield_kg(cow->who, 1, new_day);
            else if (new_day < 0 && !dry && old_day > cow->kept_back_days && old_day <= cow->last_day)
                kg = cow->yield_kg(cow->who, 0, old_day);
            sum += chance * kg * (1 - cow->calf_share) / (8.6 * 0.45359237 / 3.785411784);
        }
    }
    return sum;
}

static struct supply_cow random_cow(struct stream *s)
{
    struct supply_cow cow = cow_in_milk(wood, "2026-01-01");
    cow.calved_on.days -= stream_below(s, 300);
    cow.calf_share = stream_below(s, 3) * 0.2;
    cow.kept_back_days = stream_below(s, 8);
    int kind = stream_below(s, 4);
    if (kind > 0) {
        struct date served = date_add(cow.calved_on, 50 + stream_below(s, 200));
        supply_serve(&cow, served, &holstein);
        if (!day_chances_not_before(&cow.calving, day("2026-01-01")))
            cow.calving.count = 0;
        day_chances_scale(&cow.calving, kind == 1 ? 1 : stream_uniform(s, 0.2, 1));
    }
    if (stream_below(s, 5) == 0)
        cow.dry_on = date_add(day("2026-01-01"), stream_below(s, 200) - 60);
    if (stream_below(s, 8) == 0)
        cow.calved_on = DATE_NONE;
    return cow;
}

START_TEST(weeks_are_what_a_day_by_day_sum_gives)
{
    struct stream s = {5};
    for (int round = 0; round < 25; round++) {
        struct supply_cow cows[3] = {random_cow(&s), random_cow(&s), random_cow(&s)};
        struct supply got = ahead(cows, 3, 100, "2026-01-01", 60);
        for (int i = 0; i < 60; i += 7) {
            double slow = 0;
            for (int k = 0; k < 3; k++)
                slow += slow_week(&cows[k], date_add(day("2026-01-01"), 7 * i));
            if (fabs(got.week[i].expected_l - slow) > 1e-8 * (1 + slow))
                ck_abort_msg("round %d week %d: %.12g, day by day %.12g", round, i, got.week[i].expected_l,
                             slow);
        }
    }
}
END_TEST

static void add_chance(void *context, double litres, double chance)
{
    (void)litres;
    *(double *)context += chance;
}

START_TEST(chances_add_up_to_one_in_every_week)
{
    struct stream s = {6};
    for (int round = 0; round < 40; round++) {
        struct supply_cow cow = random_cow(&s);
        struct cow_sums sums;
        cow_sums_init(&sums, &cow, day("2026-01-01"));
        for (int i = 0; i < SUPPLY_WEEKS_MAX; i += 5) {
            double mass = 0;
            cow_sums_each(&sums, i * 7, add_chance, &mass);
            if (fabs(mass - 1) > 1e-9)
                ck_abort_msg("round %d week %d: %.12g", round, i, mass);
        }
        /* on the grid too: nothing brings less than nothing, everything less than everything */
        struct supply none = ahead(&cow, 1, 0, "2026-01-01", 60), all = ahead(&cow, 1, 1e6, "2026-01-01", 60);
        for (int i = 0; i < 60; i++)
            if (none.week[i].chance_short != 0 || fabs(all.week[i].chance_short - 1) > 1e-9)
                ck_abort_msg("week %d: %g and %g", i, none.week[i].chance_short, all.week[i].chance_short);
    }
}
END_TEST

/* supply.h: nine weeks in ten bring low_l or more, and nine in ten high_l or less. One cow who gives nothing with the
 * chance beside it, and 140 kg otherwise. */
START_TEST(the_band_ends_at_one_in_ten)
{
    static const struct {
        double none;
        bool low, high; /* is that end of the band above nothing? */
    } rows[] = {{0.11, false, true}, {0.09, true, true}, {0.89, false, true}, {0.91, false, false}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct supply_cow cow = cow_in_milk(flat, "2026-01-01");
        cow.calved_on = DATE_NONE;
        cow.kept_back_days = 0;
        ck_assert(day_chances_add(&cow.calving, day("2026-02-22"), 1 - rows[i].none));
        ck_assert(day_chances_add(&cow.calving, day("2026-12-01"), rows[i].none));
        struct supply s = ahead(&cow, 1, 10, "2026-03-01", 1);
        ck_assert_msg((s.week[0].low_l > 0) == rows[i].low && (s.week[0].high_l > 0) == rows[i].high, "%g: %g to %g",
                      rows[i].none, s.week[0].low_l, s.week[0].high_l);
        ck_within(s.week[0].chance_short, rows[i].none, 1e-9);
    }
}
END_TEST

/* supply.h: ahead 0 is the lactation that runs, 1 the next one. Of the day of calving itself nothing is counted. */
START_TEST(the_next_lactation_is_one_ahead)
{
    struct supply_cow cow = cow_in_milk(by_calving, "2026-03-01");
    cow.kept_back_days = 0;
    struct supply s = ahead(&cow, 1, 0, "2026-03-01", 2);
    ck_near(s.week[0].expected_l, 6 * 20, 1e-6);
    ck_near(s.week[1].expected_l, 7 * 20, 1e-6);
    cow.calved_on = DATE_NONE;
    ck_assert(day_chances_add(&cow.calving, day("2026-03-01"), 1));
    s = ahead(&cow, 1, 0, "2026-03-01", 2);
    ck_near(s.week[0].expected_l, 6 * 21, 1e-6);
    ck_near(s.week[1].expected_l, 7 * 21, 1e-6);
    /* a chance that the spread does not count is none */
    cow.calving.chance[cow.calving.count] = 0.5;
    s = ahead(&cow, 1, 0, "2026-03-01", 2);
    ck_near(s.week[1].expected_l, 7 * 21, 1e-6);
}
END_TEST

/* One chance in ten exactly is still within the band. */
START_TEST(exactly_one_in_ten_ends_the_band)
{
    struct supply_cow cow = cow_in_milk(flat, "2026-01-01");
    cow.calved_on = DATE_NONE;
    cow.kept_back_days = 0;
    ck_assert(day_chances_add(&cow.calving, day("2026-02-22"), 0.9));
    ck_assert(day_chances_add(&cow.calving, day("2026-12-01"), 0.1));
    struct supply s = ahead(&cow, 1, 10, "2026-03-01", 1);
    ck_assert(s.week[0].low_l == 0 && s.week[0].high_l > 0);
    memset(&cow.calving, 0, sizeof cow.calving);
    ck_assert(day_chances_add(&cow.calving, day("2026-02-22"), 0.1));
    ck_assert(day_chances_add(&cow.calving, day("2026-12-01"), 0.9));
    s = ahead(&cow, 1, 10, "2026-03-01", 1);
    ck_assert(s.week[0].low_l == 0 && s.week[0].high_l == 0);
}
END_TEST

START_TEST(a_gap_may_last_to_the_end)
{
    struct supply_cow cow = cow_in_milk(flat, "2026-01-01");
    struct supply s = ahead(&cow, 1, 1000, "2026-01-01", SUPPLY_WEEKS_MAX);
    struct supply_gap gap;
    ck_assert_int_eq(s.weeks, SUPPLY_WEEKS_MAX);
    ck_assert(supply_gap(&s, 0, &gap));
    ck_assert(gap.first == 0 && gap.last == SUPPLY_WEEKS_MAX - 1);
    ck_assert_int_eq(date_diff(gap.from_on, gap.to_on), 7 * SUPPLY_WEEKS_MAX - 1);
    ck_within(gap.short_l, s.short_l, 1e-9);
}
END_TEST

/* Two cows, each with 0.3 to have calved a week before and 0.7 long after: binomial, by GSL. */
START_TEST(independent_cows_join_as_the_binomial)
{
    struct supply_cow cow = cow_in_milk(flat, "2026-01-01");
    cow.calved_on = DATE_NONE;
    cow.kept_back_days = 0;
    ck_assert(day_chances_add(&cow.calving, day("2026-02-22"), 0.3));
    ck_assert(day_chances_add(&cow.calving, day("2026-12-01"), 0.7));
    struct supply_cow cows[4] = {cow, cow, cow, cow};
    struct supply s = ahead(cows, 4, 2.5 * 140 / kg_per_l, "2026-03-01", 1);
    double none = gsl_ran_binomial_pdf(0, 0.3, 4);
    double two_or_less = none + gsl_ran_binomial_pdf(1, 0.3, 4) + gsl_ran_binomial_pdf(2, 0.3, 4);
    ck_near(s.week[0].chance_none, none, 1e-9);
    ck_near(s.week[0].chance_short, two_or_less, 1e-9);
    ck_near(s.week[0].expected_l, 4 * 0.3 * 140 / kg_per_l, 1e-6);
    ck_within(s.week[0].low_l, 0, 1e-9);
    ck_within(s.week[0].high_l, 2 * 140 / kg_per_l, 2.001); /* P(two or less) = 0.9163 */
}
END_TEST

START_TEST(the_band_is_that_of_simulated_calvings)
{
    struct stream s = {8};
    struct supply_cow cow = cow_in_milk(wood, "2025-06-01");
    enum { TRIES = 20000, WEEK = 27 };
    supply_serve(&cow, day("2025-10-01"), &holstein); /* due 7 July 2026 */
    struct supply got = ahead(&cow, 1, 50, "2026-01-01", 40);
    int shorter = 0, below_low = 0, above_high = 0;
    struct date from = got.week[WEEK].from_on; /* 9 July */
    for (int i = 0; i < TRIES; i++) {
        double litres = 0;
        struct date calves = date_add(day("2025-10-01"), (int)lround(279 + 4.8 * stream_normal(&s)));
        for (int d = 0; d < 7; d++) {
            int in_milk = date_diff(calves, date_add(from, d));
            litres += in_milk > 5 ? wood(NULL, 1, in_milk) / kg_per_l : 0;
        }
        shorter += litres < 50;
        below_low += litres < got.week[WEEK].low_l - 1;
        above_high += litres > got.week[WEEK].high_l + 1;
    }
    ck_within(got.week[WEEK].chance_short, (double)shorter / TRIES, 0.02);
    ck_assert(below_low <= 0.11 * TRIES && above_high <= 0.11 * TRIES);
    ck_assert(got.week[WEEK].chance_none > 0.3); /* due two days before, five days kept back */
}
END_TEST

START_TEST(dry_time_is_a_gap_and_plenty_is_said)
{
    struct supply_cow cow = cow_in_milk(flat, "2025-06-01");
    struct supply_need need = {.household_l = 60, .shares_l = 20, .room_l = 120};
    struct supply s;
    struct supply_gap gap;
    supply_serve(&cow, day("2025-10-01"), &holstein); /* due 7 July, dry off 8 May */
    ck_assert_int_eq(supply_ahead(&cow, 1, &need, day("2026-01-01"), 52, &s, NULL, NULL), 0);
    ck_assert(s.week[0].need_l == 80 && s.week[0].is_over && !s.week[0].is_short);
    ck_assert(supply_gap(&s, 0, &gap));
    ck_day(gap.from_on, "2026-05-07"); /* one day of milk in the week of 7 May */
    ck_assert(gap.last - gap.first + 1 == s.short_weeks);
    ck_within(gap.short_l, s.short_l, 1e-9);
    ck_assert(s.week[gap.last + 1].expected_l >= 80 && !s.week[gap.first - 1].is_short);
    ck_assert(!supply_gap(&s, gap.last + 1, &gap));
    ck_assert(supply_gap(&s, gap.last, &gap) && gap.first < gap.last);
    ck_assert_int_gt(s.over_weeks, 30);
}
END_TEST

/* The first cow is dry from March to May 2027, the second, open, at the end of her lactation from February
 * on: who is served too late calves into the gap, who is served too early has passed her best before its end.
 */
static struct supply_case two_cows(struct supply_cow cows[2])
{
    cows[0] = cow_in_milk(wood, "2026-01-05");
    supply_serve(&cows[0], day("2026-08-15"), &holstein); /* due 21 May 2027, dry from 22 March */
    cows[1] = cow_in_milk(wood, "2025-11-15");
    return (struct supply_case){.cows = cows,
                                .count = 2,
                                .need = {.household_l = 90, .shares_l = 25},
                                .from_on = day("2026-01-15"),
                                .weeks = 75,
                                .which = 1,
                                .gestation = holstein};
}

START_TEST(a_service_that_closes_the_gap_closes_it_when_recorded)
{
    struct supply_cow cows[2];
    struct supply_case c = two_cows(cows);
    struct supply before;
    struct supply_gap gap;
    struct service_days days;
    struct working w;
    working_init(&w, "supply");
    ck_assert_int_eq(supply_ahead(cows, 2, &c.need, c.from_on, c.weeks, &before, NULL, NULL), 0);
    ck_assert(supply_gap(&before, 0, &gap));
    ck_assert_int_eq(supply_service_days(&c, &gap, c.from_on, day("2026-12-31"), &days, &w, NULL), 0);
    ck_assert(days.from_on.days > c.from_on.days && days.to_on.days < day("2026-12-31").days);
    int inside = 0, outside = 0;
    for (int d = -20; d <= date_diff(days.from_on, days.to_on) + 20; d++) {
        struct date on = date_add(days.from_on, d);
        if (on.days < c.from_on.days)
            continue;
        struct supply_cow recorded[2] = {cows[0], cows[1]};
        struct supply after;
        bool closed = true;
        supply_serve(&recorded[1], on, &holstein);
        ck_assert_int_eq(supply_ahead(recorded, 2, &c.need, c.from_on, c.weeks, &after, NULL, NULL), 0);
        for (int i = gap.first; i <= gap.last; i++)
            closed = closed && !after.week[i].is_short;
        bool in_days = on.days >= days.from_on.days && on.days <= days.to_on.days;
        inside += in_days && closed;
        outside += !in_days && !closed;
        if (in_days && !closed)
            ck_abort_msg("day %d of the window does not close the gap", d);
        if (d == -1 || on.days == days.to_on.days + 1)
            ck_assert(!closed); /* the window is not wider than it says */
        struct service_effect effect;
        ck_assert_int_eq(supply_effect(&c, &gap, on, &effect, NULL), 0);
        ck_assert(effect.closes == closed);
        ck_assert_int_eq(effect.short_weeks, after.short_weeks);
        ck_assert_int_eq(effect.over_weeks, after.over_weeks);
        ck_within(effect.short_l, after.short_l, 1e-6);
    }
    ck_assert(inside > 7 && outside > 7);
}
END_TEST

START_TEST(a_gap_that_no_day_closes_says_what_is_missing)
{
    struct supply_cow cows[2];
    struct supply_case c = two_cows(cows);
    struct supply before;
    struct supply_gap gap;
    struct service_days days;
    struct working w;
    working_init(&w, "supply");
    c.need.household_l = 400;
    ck_assert_int_eq(supply_ahead(cows, 2, &c.need, c.from_on, c.weeks, &before, NULL, NULL), 0);
    ck_assert(supply_gap(&before, 0, &gap));
    ck_assert_int_eq(supply_service_days(&c, &gap, c.from_on, day("2026-12-31"), &days, &w, NULL), 0);
    ck_assert(!date_known(days.from_on) && !date_known(days.to_on));
    ck_assert(strstr(w.why, "No day of service closes it") != NULL);
    ck_assert_int_eq(working_find(&w, "serve_from_on", -1)->kind, FIGURE_NONE);
}
END_TEST

START_TEST(a_service_sets_the_drying_off_anew)
{
    struct supply_cow cow = cow_in_milk(flat, "2026-01-01");
    cow.dry_on = day("2026-10-01");
    supply_serve(&cow, day("2026-04-01"), &holstein);
    ck_assert(!date_known(cow.dry_on)); /* 60 days before the new due day instead */
    cow.dry_on = day("2026-04-01"); /* dried off that very day: it stands */
    supply_serve(&cow, day("2026-04-01"), &holstein);
    ck_day(cow.dry_on, "2026-04-01");
    cow.dry_on = day("2026-03-01");
    supply_serve(&cow, day("2026-04-01"), &holstein);
    ck_day(cow.dry_on, "2026-03-01"); /* she is dry: no service changes that */
}
END_TEST

START_TEST(a_service_in_each_month)
{
    struct supply_cow cows[2];
    struct supply_case c = two_cows(cows);
    struct service_effect effect[12];
    ck_assert_int_eq(supply_months(&c, NULL, day("2026-03-20"), effect, 12, NULL), 12);
    ck_day(effect[0].served_on, "2026-03-20"); /* the 15th is over */
    ck_day(effect[1].served_on, "2026-04-15");
    ck_day(effect[11].served_on, "2027-02-15");
    ck_day(effect[0].due_on, "2026-12-24"); /* 279 days */
    ck_day(effect[0].dry_off_on, "2026-10-25");
    for (int i = 0; i < 12; i++) {
        struct service_effect one;
        ck_assert_int_eq(supply_effect(&c, NULL, effect[i].served_on, &one, NULL), 0);
        ck_assert_int_eq(one.short_weeks, effect[i].short_weeks);
        ck_assert_int_eq(effect[i].closes, effect[i].short_weeks == 0);
    }
}
END_TEST

START_TEST(what_cannot_be_planned_is_refused)
{
    struct supply_cow cows[2];
    struct supply_case c = two_cows(cows);
    struct service_effect effect;
    struct supply s;
    struct fail f = {0};
    c.which = 0;
    ck_assert_int_eq(supply_effect(&c, NULL, day("2026-06-01"), &effect, &f), -1);
    ck_assert_int_eq(f.code, FAIL_REFUSED);
    memset(&cows[0].calving, 0, sizeof cows[0].calving);
    ck_assert(day_chances_add(&cows[0].calving, day("2027-05-21"), 0.9)); /* nine in ten is not yet sure */
    ck_assert_int_eq(supply_effect(&c, NULL, day("2026-06-01"), &effect, &f), 0);
    c.which = 2;
    ck_assert_int_eq(supply_effect(&c, NULL, day("2026-06-01"), &effect, &f), -1);
    ck_assert_int_eq(supply_ahead(cows, 2, &c.need, c.from_on, SUPPLY_WEEKS_MAX + 1, &s, NULL, &f), -1);
    ck_assert_int_eq(supply_ahead(cows, 2, &c.need, c.from_on, 0, &s, NULL, &f), -1);
    cows[1].calf_share = 1.5;
    ck_assert_int_eq(supply_ahead(cows, 2, &c.need, c.from_on, 10, &s, NULL, &f), -1);
    ck_assert_str_eq(f.text, "The calf's part of the milk is between 0 and 1.");
    cows[1].calf_share = 0;
    c.need.household_l = NAN;
    ck_assert_int_eq(supply_ahead(cows, 2, &c.need, c.from_on, 10, &s, NULL, &f), -1);
    c.need.household_l = 0;
    cows[1].dry_days = cows[1].kept_back_days = 0; /* none at all is an answer; less is none */
    ck_assert_int_eq(supply_check(cows, 2, &c.need, 10, &f), 0);
    cows[1].dry_days = -1;
    ck_assert_int_eq(supply_check(cows, 2, &c.need, 10, &f), -1);
    cows[1].dry_days = 0;
    cows[1].kept_back_days = -1;
    ck_assert_int_eq(supply_check(cows, 2, &c.need, 10, &f), -1);
    cows[1].kept_back_days = 0;
    ck_assert_int_eq(supply_ahead(cows, 0, &c.need, c.from_on, 10, &s, NULL, &f), 0);
    ck_assert(s.week[9].chance_none == 1 && s.week[9].expected_l == 0);
}
END_TEST

Suite *supply_suite(void)
{
    Suite *s = suite_create("supply");
    TCase *t = tcase_create("supply");
    tcase_add_test(t, a_steady_cow_gives_the_same_every_week);
    tcase_add_test(t, colostrum_days_the_calfs_share_and_the_last_day_are_left_out);
    tcase_add_test(t, weeks_are_what_a_day_by_day_sum_gives);
    tcase_add_test(t, chances_add_up_to_one_in_every_week);
    tcase_add_test(t, the_band_ends_at_one_in_ten);
    tcase_add_test(t, the_next_lactation_is_one_ahead);
    tcase_add_test(t, exactly_one_in_ten_ends_the_band);
    tcase_add_test(t, a_gap_may_last_to_the_end);
    tcase_add_test(t, independent_cows_join_as_the_binomial);
    tcase_add_test(t, the_band_is_that_of_simulated_calvings);
    tcase_add_test(t, dry_time_is_a_gap_and_plenty_is_said);
    tcase_add_test(t, a_service_that_closes_the_gap_closes_it_when_recorded);
    tcase_add_test(t, a_gap_that_no_day_closes_says_what_is_missing);
    tcase_add_test(t, a_service_sets_the_drying_off_anew);
    tcase_add_test(t, a_service_in_each_month);
    tcase_add_test(t, what_cannot_be_planned_is_refused);
    suite_add_tcase(s, t);
    return s;
}
