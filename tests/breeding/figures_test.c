/* Definitions: Extension, Optimal calving interval, days open and services per pregnancy; Beef Improvement
 * Federation, Calving interval. */
#include "core/breeding/figures.h"
#include "tests/breeding/day.h"

static const struct gestation usual = {.days = 280, .mean_days = 280, .sd_days = 4.8};

/* INT2: open 85 or 115 days and 280 days of gestation make 365 or 395 days between calvings. */
START_TEST(days_open_and_the_calving_interval)
{
    static const struct {
        int open, interval;
    } rows[] = {{85, 365}, {115, 395}};
    for (size_t i = 0; i < 2; i++) {
        struct date first = day("2025-01-01");
        struct calving calvings[] = {{.on = first}, {.on = date_add(first, rows[i].interval)}};
        struct service service = {.on = date_add(first, rows[i].open), .to_on = DATE_NONE};
        struct breeding b = {
            .calvings = calvings, .calving_count = 2, .services = &service, .service_count = 1};
        struct breeding_tally t = {0};
        struct breeding_figures figures;
        breeding_tally_add(&t, &b, &usual, date_add(first, 500));
        breeding_figures_of(&t, &figures, NULL);
        ck_within(figures.days_open, rows[i].open, 1e-12);
        ck_within(figures.calving_interval_days, rows[i].interval, 1e-12);
        ck_within(figures.services_per_conception, 1, 1e-12);
    }
}
END_TEST

/* One cow, by hand: calved 1 Jan 2025; heats 20 Feb, 13 Mar, 3 Apr; served at the last two, the second held;
 * calved again 280 days after 3 Apr. The waiting period ends 20 Feb (day 50). */
START_TEST(a_herd_of_two_by_hand)
{
    struct calving calvings[] = {{.on = day("2025-01-01")}, {.on = day("2026-01-08")}};
    struct heat heats[] = {
        {date_start(day("2025-01-25")), HEAT_STANDING, HEAT_SEEN}, /* before the waiting period is over */
        {date_start(day("2025-03-14")), HEAT_MUCUS, HEAT_SEEN},    /* the same heat */
    };
    struct service services[] = {
        {.on = day("2025-03-13"), .to_on = DATE_NONE},
        {.on = day("2025-04-03"), .to_on = DATE_NONE},
        {.on = day("2025-08-01"), .to_on = DATE_NONE}, /* needless: she was in calf */
    };
    struct breeding a = {.calvings = calvings,
                         .calving_count = 2,
                         .heats = heats,
                         .heat_count = 2,
                         .services = services,
                         .service_count = 3};
    struct breeding heifer = {0};
    struct breeding_tally t = {0};
    struct breeding_figures f;
    struct date today = day("2026-01-10");
    breeding_tally_add(&t, &a, &usual, today);
    breeding_tally_add(&t, &heifer, &usual, today);
    breeding_figures_of(&t, &f, NULL);
    ck_within(f.days_open, 92, 1e-12);              /* 1 Jan to 3 Apr */
    ck_within(f.calving_interval_days, 372, 1e-12); /* 1 Jan 2025 to 8 Jan 2026 */
    ck_within(f.services_per_conception, 2, 1e-12);
    ck_assert_int_eq(t.watched_days, 42); /* 20 Feb to 3 Apr: two heats to be found */
    ck_within(f.heat_detection_pct, 100, 1e-9);
    ck_assert_int_eq(breeding_days_open(&a, today), 2);
    ck_assert_int_eq(breeding_days_open(&heifer, today), -1);
}
END_TEST

START_TEST(a_heat_that_nobody_found_counts_against_the_watch)
{
    struct calving calving = {.on = day("2025-01-01")};
    struct heat heat = {date_start(day("2025-04-03")), HEAT_STANDING, HEAT_SEEN};
    struct breeding b = {.calvings = &calving, .calving_count = 1, .heats = &heat, .heat_count = 1};
    struct breeding_tally t = {0};
    struct breeding_figures f;
    breeding_tally_add(&t, &b, &usual, day("2025-05-15")); /* 84 days after the waiting period: four heats */
    breeding_figures_of(&t, &f, NULL);
    ck_within(f.heat_detection_pct, 25, 1e-9);
    ck_assert(isnan(f.days_open) && isnan(f.calving_interval_days) && isnan(f.services_per_conception));
    ck_assert_int_eq(breeding_days_open(&b, day("2025-05-15")), 134);
}
END_TEST

/* Derived by hand: a heifer served on 1 July, again on 22 July and 12 August, the last held: 42 days watched, two
 * heats to be expected after the first service, two found. One service alone says nothing of the watch. */
START_TEST(a_heifers_first_service_is_no_heat_that_was_waited_for)
{
    struct calving calving = {.on = date_add(day("2025-08-12"), 280)};
    struct service services[] = {{.on = day("2025-07-01"), .to_on = DATE_NONE},
                                 {.on = day("2025-07-22"), .to_on = DATE_NONE},
                                 {.on = day("2025-08-12"), .to_on = DATE_NONE}};
    struct breeding b = {.calvings = &calving, .calving_count = 1, .services = services, .service_count = 3};
    struct breeding_tally t = {0}, once = {0};
    struct breeding_figures f;
    breeding_tally_add(&t, &b, &usual, calving.on);
    breeding_figures_of(&t, &f, NULL);
    ck_assert_int_eq(t.watched_days, 42);
    ck_within(f.heat_detection_pct, 100, 1e-9);
    b.services = &services[2];
    b.service_count = 1;
    breeding_tally_add(&once, &b, &usual, calving.on);
    breeding_figures_of(&once, &f, NULL);
    ck_assert_int_eq(once.heats_seen, 0);
    ck_assert(isnan(f.heat_detection_pct));
    ck_within(f.services_per_conception, 1, 1e-12);
}
END_TEST

/* A cow bought 60 days after the waiting period was over: the heats before she came were for others to see. */
START_TEST(nobody_here_could_see_her_heats_before_she_came)
{
    struct calving calving = {.on = day("2025-01-01")};
    struct heat heat = {date_start(day("2025-04-30")), HEAT_STANDING, HEAT_SEEN};
    struct breeding b = {.calvings = &calving,
                         .calving_count = 1,
                         .heats = &heat,
                         .heat_count = 1,
                         .newly_watched = true,
                         .watched_from_on = day("2025-04-21")};
    struct breeding_tally t = {0};
    struct breeding_figures f;
    breeding_tally_add(&t, &b, &usual, day("2025-06-02"));
    breeding_figures_of(&t, &f, NULL);
    ck_assert_int_eq(t.watched_days, 42);
    ck_within(f.heat_detection_pct, 50, 1e-9);
}
END_TEST

START_TEST(a_proven_calf_closes_the_days_open)
{
    struct calving calving = {.on = day("2025-01-01")};
    struct service service = {.on = day("2025-03-27"), .to_on = DATE_NONE};
    struct check check = {.on = day("2025-05-10"), .method = CHECK_ULTRASOUND, .result = CHECK_IN_CALF};
    struct breeding b = {.calvings = &calving,
                         .calving_count = 1,
                         .services = &service,
                         .service_count = 1,
                         .checks = &check,
                         .check_count = 1};
    struct breeding_tally t = {0};
    ck_assert_int_eq(breeding_days_open(&b, day("2025-05-09")), 128); /* not known yet */
    ck_assert_int_eq(breeding_days_open(&b, day("2025-05-10")), 85);
    breeding_tally_add(&t, &b, &usual, day("2025-06-01"));
    ck_assert_int_eq(t.spells_closed, 1);
    ck_assert_int_eq(t.open_days_closed, 85);
    ck_assert_int_eq(t.intervals, 0);
}
END_TEST

START_TEST(each_figure_says_what_it_counts)
{
    struct breeding_tally t = {0};
    struct breeding_figures f;
    struct working w;
    working_init(&w, "figures");
    breeding_figures_of(&t, &f, &w);
    ck_assert_int_eq(w.step_count, 4);
    ck_assert_int_eq(working_find(&w, "days_open_d", -1)->kind, FIGURE_NONE);
}
END_TEST

Suite *figures_suite(void)
{
    Suite *s = suite_create("figures");
    TCase *t = tcase_create("figures");
    tcase_add_test(t, days_open_and_the_calving_interval);
    tcase_add_test(t, a_herd_of_two_by_hand);
    tcase_add_test(t, a_heat_that_nobody_found_counts_against_the_watch);
    tcase_add_test(t, a_heifers_first_service_is_no_heat_that_was_waited_for);
    tcase_add_test(t, nobody_here_could_see_her_heats_before_she_came);
    tcase_add_test(t, a_proven_calf_closes_the_days_open);
    tcase_add_test(t, each_figure_says_what_it_counts);
    suite_add_tcase(s, t);
    return s;
}
