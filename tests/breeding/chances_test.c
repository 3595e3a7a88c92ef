#include "core/breeding/chances.h"
#include "tests/breeding/day.h"

static struct day_chances spread(const char *first, int count, const double *chance)
{
    struct day_chances c = {.count = 0};
    for (int i = 0; i < count; i++)
        ck_assert(day_chances_add(&c, date_add(day(first), i), chance[i]));
    return c;
}

START_TEST(a_certain_day_is_all_there_is)
{
    struct day_chances c;
    day_chances_certain(&c, day("2026-05-03"));
    ck_assert(day_chances_total(&c) == 1 && c.count == 1);
    ck_day(day_chances_likeliest(&c), "2026-05-03");
    ck_day(day_chances_quantile(&c, 0.05), "2026-05-03");
    ck_day(day_chances_quantile(&c, 0.95), "2026-05-03");
    struct day_window w = day_chances_window(&c, 0.5);
    ck_day(w.from_on, "2026-05-03");
    ck_day(w.to_on, "2026-05-03");
    ck_assert(w.chance == 1);
}
END_TEST

START_TEST(nothing_has_no_days)
{
    struct day_chances c = {.count = 0};
    ck_assert(day_chances_total(&c) == 0);
    ck_assert(!date_known(day_chances_likeliest(&c)));
    ck_assert(!date_known(day_chances_quantile(&c, 0.5)));
    ck_assert(!date_known(day_chances_window(&c, 0.9).from_on));
    ck_assert(!day_chances_not_before(&c, day("2026-05-03")));
    ck_assert(isnan(day_chances_within(&c, day("2026-05-03"), 0, 7)));
}
END_TEST

START_TEST(chances_of_nothing_stay_nothing)
{
    struct day_chances c = spread("2026-05-01", 3, (const double[]){0, 0, 0});
    day_chances_scale(&c, 1);
    ck_assert(day_chances_total(&c) == 0);
}
END_TEST

START_TEST(days_beyond_the_spread_are_not_taken)
{
    struct day_chances c = {.count = 0};
    ck_assert(day_chances_add(&c, day("2026-05-03"), 0.5));
    ck_assert(!day_chances_add(&c, day("2026-05-02"), 0.5));
    ck_assert(day_chances_add(&c, date_add(day("2026-05-03"), DAY_CHANCES_MAX - 1), 0.5));
    ck_assert(!day_chances_add(&c, date_add(day("2026-05-03"), DAY_CHANCES_MAX), 0.5));
    ck_assert(day_chances_total(&c) == 1);
}
END_TEST

/* 0.1 0.2 0.4 0.2 0.1 from 1 May: sums by hand. */
START_TEST(windows_sums_and_quantiles_of_five_days)
{
    struct day_chances c = spread("2026-05-01", 5, (const double[]){0.1, 0.2, 0.4, 0.2, 0.1});
    ck_within(day_chances_between(&c, day("2026-05-02"), day("2026-05-03")), 0.6, 1e-12);
    ck_within(day_chances_between(&c, day("2026-04-01"), day("2026-05-01")), 0.1, 1e-12);
    ck_within(day_chances_between(&c, day("2026-05-05"), day("2027-05-01")), 0.1, 1e-12);
    ck_assert(day_chances_between(&c, day("2026-05-04"), day("2026-05-03")) == 0);
    ck_day(day_chances_quantile(&c, 0.5), "2026-05-03");
    ck_day(day_chances_quantile(&c, 0.75), "2026-05-04");
    struct day_window w = day_chances_window(&c, 0.8); /* three days hold exactly 0.8 */
    ck_day(w.from_on, "2026-05-02");
    ck_day(w.to_on, "2026-05-04");
    ck_within(w.chance, 0.8, 1e-12);
    w = day_chances_window(&c, 0.45); /* one day holds 0.4, two hold 0.6: one is nearer */
    ck_day(w.from_on, "2026-05-03");
    ck_day(w.to_on, "2026-05-03");
    w = day_chances_window(&c, 0.55); /* now two are */
    ck_assert_int_eq(date_diff(w.from_on, w.to_on), 1);
    ck_within(w.chance, 0.6, 1e-12);
}
END_TEST

START_TEST(the_narrowest_window_skips_to_the_denser_of_two_services)
{
    struct day_chances c = {.count = 0};
    ck_assert(day_chances_add(&c, day("2026-05-01"), 0.2));
    ck_assert(day_chances_add(&c, day("2026-05-22"), 0.8));
    struct day_window w = day_chances_window(&c, 0.75);
    ck_day(w.from_on, "2026-05-22");
    ck_day(w.to_on, "2026-05-22");
    w = day_chances_window(&c, 0.95);
    ck_day(w.from_on, "2026-05-01");
    ck_day(w.to_on, "2026-05-22");
}
END_TEST

/* chances.h: the earliest of equals; nearest to the share, and of two that are as near the one that holds it. By hand. */
START_TEST(equal_days_and_windows)
{
    struct day_chances c = spread("2026-05-01", 3, (const double[]){0.25, 0.5, 0.5});
    ck_day(day_chances_likeliest(&c), "2026-05-02");
    c = spread("2026-05-01", 3, (const double[]){0.375, 0.25, 0.375}); /* 0.375 and 0.625 are both 0.125 from a half */
    struct day_window w = day_chances_window(&c, 0.5);
    ck_day(w.from_on, "2026-05-01");
    ck_day(w.to_on, "2026-05-02");
    ck_assert(w.chance == 0.625);
    c = spread("2026-05-01", 2, (const double[]){0.125, 0.875}); /* a window has a day at least, much as that day holds */
    w = day_chances_window(&c, 0.25);
    ck_day(w.from_on, "2026-05-02");
    ck_day(w.to_on, "2026-05-02");
    ck_assert(w.chance == 0.875);
}
END_TEST

/* The shares are of the chance that it happens at all: half in calf, the median is the third of five equal days. */
START_TEST(a_quantile_is_of_what_may_happen)
{
    struct day_chances c = spread("2026-05-01", 5, (const double[]){0.1, 0.1, 0.1, 0.1, 0.1});
    ck_day(day_chances_quantile(&c, 0.5), "2026-05-03");
    ck_day(day_chances_quantile(&c, 0.7), "2026-05-04");
}
END_TEST

/* Whatever stands in memory behind the last day is no chance. */
START_TEST(days_behind_the_last_do_not_count)
{
    struct day_chances c = spread("2026-05-01", 2, (const double[]){0.25, 0.25});
    c.chance[2] = 0.5;
    ck_assert(day_chances_total(&c) == 0.5);
    ck_assert(day_chances_between(&c, day("2026-05-01"), day("2026-06-01")) == 0.5);
    ck_day(day_chances_likeliest(&c), "2026-05-01");
    ck_day(day_chances_quantile(&c, 1), "2026-05-02");
    ck_assert(day_chances_within(&c, day("2026-05-01"), 0, 1) == 0.5);
    ck_assert(day_chances_not_before(&c, day("2026-05-02")));
    ck_near(day_chances_total(&c), 0.25 / 0.75, 1e-12);
    day_chances_scale(&c, 1);
    ck_assert(c.chance[2] == 0.5);
}
END_TEST

/* Bayes by hand: 0.6 in calf; by 4 May 0.1 + 0.2 + 0.2 is over; left 0.1 of 0.5. */
START_TEST(what_has_not_happened_yet_shifts_the_rest)
{
    struct day_chances c = spread("2026-05-01", 4, (const double[]){0.1, 0.2, 0.2, 0.1});
    ck_assert(day_chances_not_before(&c, day("2026-05-04")));
    ck_within(day_chances_total(&c), 0.2, 1e-12);
    c = spread("2026-05-01", 4, (const double[]){0.25, 0.25, 0.25, 0.25});
    ck_assert(day_chances_not_before(&c, day("2026-05-03")));
    ck_within(day_chances_total(&c), 1, 1e-12);
    ck_within(day_chances_between(&c, day("2026-05-04"), day("2026-05-04")), 0.5, 1e-12);
    ck_assert(!day_chances_not_before(&c, day("2026-05-05")));
}
END_TEST

/* 0.5 and 0.5 on two days; at noon of the first (not happened) its half, 0.25 of 0.75, is left. */
START_TEST(the_coming_hours_count_by_the_share_of_the_day_that_is_left)
{
    struct day_chances c = spread("2026-05-01", 2, (const double[]){0.5, 0.5});
    ck_within(day_chances_within(&c, day("2026-05-01"), 0, 1), 0.5, 1e-12);
    ck_within(day_chances_within(&c, day("2026-05-01"), 0.5, 0.5), 0.25 / 0.75, 1e-12);
    ck_within(day_chances_within(&c, day("2026-05-01"), 0.5, 1), 0.5 / 0.75, 1e-12);
    ck_within(day_chances_within(&c, day("2026-05-01"), 0.5, 7), 1, 1e-12);
    ck_within(day_chances_within(&c, day("2026-04-20"), 0, 7), 0, 1e-12);
    ck_assert(isnan(day_chances_within(&c, day("2026-05-03"), 0, 7)));
}
END_TEST

START_TEST(mass_is_kept_whatever_is_done)
{
    struct stream s = {11};
    for (int round = 0; round < 2000; round++) {
        struct day_chances c = {.count = 0};
        double total = stream_uniform(&s, 0.05, 1), sum = 0;
        int days = 1 + stream_below(&s, 60);
        for (int i = 0; i < days; i++)
            (void)day_chances_add(&c, (struct date){20000 + i}, stream_uniform(&s, 0, 1));
        day_chances_scale(&c, total);
        struct day_window w = day_chances_window(&c, 0.9);
        struct date cut = {20000 + stream_below(&s, days)};
        double never = 1 - total, rest = 0;
        for (int i = 0; i < days; i++)
            rest += i >= cut.days - 20000 ? c.chance[i] : 0;
        if (fabs(day_chances_total(&c) - total) > 1e-9)
            ck_abort_msg("scaled to %g, not %g", day_chances_total(&c), total);
        double held = day_chances_between(&c, w.from_on, w.to_on) / total;
        if (fabs(held - w.chance) > 1e-9)
            ck_abort_msg("window says %g and holds %g", w.chance, held);
        (void)day_chances_not_before(&c, cut);
        for (int i = 0; i < c.count; i++)
            sum += c.chance[i];
        if (fabs(sum - rest / (rest + never)) > 1e-9)
            ck_abort_msg("after waiting %g, by Bayes %g", sum, rest / (rest + never));
    }
}
END_TEST

Suite *chances_suite(void)
{
    Suite *s = suite_create("chances");
    TCase *t = tcase_create("chances");
    tcase_add_test(t, a_certain_day_is_all_there_is);
    tcase_add_test(t, nothing_has_no_days);
    tcase_add_test(t, chances_of_nothing_stay_nothing);
    tcase_add_test(t, days_beyond_the_spread_are_not_taken);
    tcase_add_test(t, windows_sums_and_quantiles_of_five_days);
    tcase_add_test(t, the_narrowest_window_skips_to_the_denser_of_two_services);
    tcase_add_test(t, equal_days_and_windows);
    tcase_add_test(t, a_quantile_is_of_what_may_happen);
    tcase_add_test(t, days_behind_the_last_do_not_count);
    tcase_add_test(t, what_has_not_happened_yet_shifts_the_rest);
    tcase_add_test(t, the_coming_hours_count_by_the_share_of_the_day_that_is_left);
    tcase_add_test(t, mass_is_kept_whatever_is_done);
    suite_add_tcase(s, t);
    return s;
}
