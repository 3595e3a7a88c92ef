#include "core/herd/yield_total.h"

#include "core/herd/corrected.h"
#include "tests/herd/four_cows.h"
#include "tests/support.h"

static struct date day(const char *iso)
{
    struct date d = {0};
    struct fail f = {0};
    ck_assert_msg(date_parse(iso, &d, &f) == 0, "%s", f.text);
    return d;
}

/* TIM1: ICAR Guidelines, Section 2, Procedure 2, worked example of the test interval method: yields and fat
 * from memory, sums recomputed (published as about 4973 kg of milk and 190 kg of fat, 3.82 %, from memory).
 */
static const struct milk_test icar[] = {
    {{0}, 28.2, 3.65}, {{0}, 24.8, 3.45}, {{0}, 26.6, 3.40}, {{0}, 23.2, 3.55}, {{0}, 20.2, 3.85},
    {{0}, 17.8, 4.05}, {{0}, 13.2, 4.45}, {{0}, 9.6, 4.65},  {{0}, 5.8, 4.95},  {{0}, 4.4, 5.25},
};
static const char *const icar_days[] = {"2025-04-08", "2025-05-06", "2025-06-05", "2025-07-07", "2025-08-02",
                                        "2025-08-30", "2025-09-25", "2025-10-27", "2025-11-22", "2025-12-20"};

START_TEST(icars_worked_example_of_the_test_interval_method)
{
    struct milk_test tests[10];
    struct interval_total t;
    struct working w;
    for (int i = 0; i < 10; i++) {
        tests[i] = icar[i];
        tests[i].on = day(icar_days[i]);
    }
    working_init(&w, "interval");
    ck_assert_int_eq(interval_method(tests, 10, day("2025-03-25"), day("2026-01-03"), &t, &w, NULL), 0);
    ck_assert_int_eq(t.days, 284);
    ck_within(t.milk_kg, 4973.2, 0.05);
    ck_within(t.fat_kg, 190.216, 0.002);
    ck_within(t.fat_pct, 3.82, 0.005);
    ck_assert_str_eq(w.step[0], "14 days at 28.2 kg = 394.8 kg");
    ck_assert_str_eq(w.step[1], "28 days at the mean of 28.2 and 24.8 kg = 742 kg");
    ck_assert_int_eq(w.step_count, 11);
    tests[3].fat_pct = NAN;
    working_init(&w, "interval");
    ck_assert_int_eq(interval_method(tests, 10, day("2025-03-25"), day("2026-01-03"), &t, &w, NULL), 0);
    ck_assert(isnan(t.fat_kg));
    ck_assert_int_eq(working_find(&w, "fat_kg", -1)->kind, FIGURE_NONE);
    ck_assert_str_eq(w.why, "fat is left out: a test has no fat");
}
END_TEST

/* DLG-Information 1/2006, table 7, the level of 6500 kg: days and kg as printed, days 0 to 305 add up to 6625
 * kg. */
START_TEST(a_feeding_tables_lactation_by_intervals)
{
    static const double dlg[][2] = {{20, 29},  {40, 30},  {60, 28},  {100, 25},
                                    {150, 22}, {200, 19}, {250, 15}, {300, 13}};
    const struct date calved = day("2026-01-01");
    struct milk_test tests[8];
    struct interval_total t;
    for (int i = 0; i < 8; i++)
        tests[i] = (struct milk_test){date_add(calved, (int)dlg[i][0]), dlg[i][1], NAN};
    ck_assert_int_eq(interval_method(tests, 8, calved, date_add(calved, 305), &t, NULL, NULL), 0);
    ck_within(t.milk_kg, 6625, 0.5);
}
END_TEST

START_TEST(tests_out_of_order_or_outside_the_lactation_are_refused)
{
    const struct date calved = day("2025-03-25"), end = day("2026-01-03");
    struct milk_test t[] = {{day("2025-04-08"), 28, NAN}, {day("2025-05-06"), 24, NAN}};
    struct interval_total total;
    struct fail f = {0};
    ck_assert_int_eq(interval_method(t, 0, calved, end, &total, NULL, &f), -1);
    ck_assert_int_eq(interval_method(t, 2, end, calved, &total, NULL, &f), -1);
    ck_assert_str_eq(f.text, "The lactation must end after the calving.");
    ck_assert_int_eq(interval_method(t, 2, day("2025-04-09"), end, &total, NULL, &f), -1);
    ck_assert_str_eq(f.text, "The test of 2025-04-08 is before the calving.");
    ck_assert_int_eq(interval_method(t, 2, calved, day("2025-05-01"), &total, NULL, &f), -1);
    ck_assert_str_eq(f.text, "The test of 2025-05-06 is after the end.");
    t[1].on = t[0].on;
    ck_assert_int_eq(interval_method(t, 2, calved, end, &total, NULL, &f), -1);
    t[1] = (struct milk_test){day("2025-05-06"), NAN, NAN};
    ck_assert_int_eq(interval_method(t, 2, calved, end, &total, NULL, &f), -1);
    ck_assert_str_eq(f.text, "The test of 2025-05-06 has no milk weight.");
    t[1].milk_kg = -1;
    ck_assert_int_eq(interval_method(t, 2, calved, end, &total, NULL, &f), -1);
    t[1].milk_kg = INFINITY;
    ck_assert_int_eq(interval_method(t, 2, calved, end, &total, NULL, &f), -1);
    /* a day between two tests, or between calving and end, is enough; none is not */
    t[1] = (struct milk_test){date_add(t[0].on, 1), 0, NAN};
    ck_assert_int_eq(interval_method(t, 2, calved, end, &total, NULL, &f), 0);
    ck_assert_int_eq(interval_method(t, 1, t[0].on, date_add(t[0].on, 1), &total, NULL, &f), 0);
    ck_within(total.milk_kg, 28, 1e-12);
    ck_assert_int_eq(total.days, 1);
    ck_assert_int_eq(interval_method(t, 1, t[0].on, t[0].on, &total, NULL, &f), -1);
}
END_TEST

/* Friggens, Ridder & Lovendahl 2007, four daily lactations; sums, gap filling and test interval (days 15, 45
 * .. 285, ended on day 305) recomputed by an independent script. TIM2 and SUM1 are the first and third. */
static const struct {
    const char *id;
    int recorded;
    double sum, filled, interval;
} four_sums[] = {
    {"8202.3", 298, 6798.932, 6963.600, 6891.680},
    {"8213.1", 298, 4361.144, 4471.850, 4828.045},
    {"0331.2", 296, 9242.818, 9551.169, 9605.845},
    {"0341.2", 299, 6290.813, 6408.243, 6400.595},
};

static double interval_of(const struct real_cow *cow)
{
    struct milk_test tests[10];
    struct interval_total total;
    struct fail f = {0};
    const struct date calved = {20000};
    size_t n = 0;
    for (size_t i = 0; i < cow->n; i++)
        if (cow->row[i].day % 30 == 15 && n < 10)
            tests[n++] = (struct milk_test){date_add(calved, cow->row[i].day), cow->row[i].kg, NAN};
    ck_assert_uint_eq(n, 10);
    ck_assert_msg(interval_method(tests, n, calved, date_add(calved, 305), &total, NULL, &f) == 0, "%s",
                  f.text);
    return total.milk_kg;
}

START_TEST(the_four_real_lactations_are_summed)
{
    static struct real_herd herd;
    size_t size;
    char *text = read_test_file("data/lactation_daily_4cows.csv", &size);
    ck_assert(read_herd(text, size, &herd));
    free(text);
    for (int i = 0; i < COWS; i++) {
        struct yield_point p[COW_DAYS];
        size_t n = cow_points(&herd.cow[i], p);
        struct yield_sum sum;
        double plain = 0;
        for (size_t k = 0; k < n; k++)
            plain += p[k].y;
        ck_assert_int_eq(yield_sum_days(p, n, 1, 305, NULL, &sum, NULL), 0);
        ck_assert_str_eq(herd.cow[i].id, four_sums[i].id);
        ck_assert_int_eq(sum.recorded_days, four_sums[i].recorded);
        ck_assert_int_eq(sum.linear_days, 305 - four_sums[i].recorded);
        ck_assert_int_eq(sum.curve_days, 0);
        ck_within(plain, four_sums[i].sum, 0.001);
        ck_within(sum.kg, four_sums[i].filled, 0.002);
        ck_within(interval_of(&herd.cow[i]), four_sums[i].interval, 0.002);
    }
}
END_TEST

START_TEST(short_gaps_are_straight_lines_long_ones_and_ends_follow_the_curve)
{
    const struct wood curve = {20, 0.2, 0.004};
    const struct yield_point p[] = {{11, 30}, {14, 36}, {34, 34}};
    struct yield_sum with, without;
    double by_hand = 30 + 32 + 34 + 36 + 34 + wood_sum(&curve, 1, 10) + wood_sum(&curve, 15, 33) +
                     wood_sum(&curve, 35, 40);
    ck_assert_int_eq(yield_sum_days(p, 3, 1, 40, &curve, &with, NULL), 0);
    ck_near(with.kg, by_hand, 1e-12);
    ck_assert_int_eq(with.recorded_days, 3);
    ck_assert_int_eq(with.linear_days, 2);
    ck_assert_int_eq(with.curve_days, 35);
    /* Without a curve: straight lines inside, the nearest weight at the ends. 19 days between 36 and 34
     * mean 35. */
    ck_assert_int_eq(yield_sum_days(p, 3, 1, 40, NULL, &without, NULL), 0);
    ck_near(without.kg, 10 * 30.0 + 30 + 32 + 34 + 36 + 19 * 35.0 + 34 + 6 * 34.0, 1e-12);
    ck_assert_int_eq(without.linear_days, 21);
    /* A gap of GAP_LINEAR_DAYS_MAX days is still a line, one more is not. */
    const struct yield_point edge[] = {{10, 30}, {25, 30}}, beyond[] = {{10, 30}, {26, 30}};
    ck_assert_int_eq(yield_sum_days(edge, 2, 10, 25, &curve, &with, NULL), 0);
    ck_assert_int_eq(with.linear_days, GAP_LINEAR_DAYS_MAX);
    ck_assert_int_eq(yield_sum_days(beyond, 2, 10, 26, &curve, &with, NULL), 0);
    ck_assert_int_eq(with.curve_days, GAP_LINEAR_DAYS_MAX + 1);
    /* A gap that reaches over the end of the span is still filled from the weight beyond it. */
    ck_assert_int_eq(yield_sum_days(p, 2, 11, 12, &curve, &with, NULL), 0);
    ck_near(with.kg, 62, 1e-12);
}
END_TEST

START_TEST(weights_that_cannot_be_summed_are_refused)
{
    const struct yield_point twice[] = {{5, 20}, {5, 21}}, back[] = {{6, 20}, {5, 21}}, half[] = {{5.5, 20}};
    const struct yield_point early[] = {{400, 20}};
    struct yield_sum sum;
    struct fail f = {0};
    ck_assert_int_eq(yield_sum_days(twice, 2, 1, 305, NULL, &sum, &f), -1);
    ck_assert_str_eq(f.text, "Day 5 stands twice; add its milkings together first.");
    ck_assert_int_eq(yield_sum_days(back, 2, 1, 305, NULL, &sum, &f), -1);
    ck_assert_str_eq(f.text, "Day 5 stands after day 6; the days must rise.");
    ck_assert_int_eq(yield_sum_days(half, 1, 1, 305, NULL, &sum, &f), -1);
    ck_assert_int_eq(yield_sum_days(early, 1, 1, 305, NULL, &sum, &f), -1);
    ck_assert_str_eq(f.text, "There is no weight from day 1 to day 305.");
    ck_assert_int_eq(yield_sum_days(NULL, 0, 1, 305, NULL, &sum, &f), -1);
    /* one weight on the first or on the last day of the span is in it */
    ck_assert_int_eq(yield_sum_days(early, 1, 400, 401, NULL, &sum, &f), 0);
    ck_within(sum.kg, 40, 1e-12);
    ck_assert_int_eq(yield_sum_days(early, 1, 399, 400, NULL, &sum, &f), 0);
}
END_TEST

/* ---- corrected milk ---- */

/* FCM1: 80 lb at 3.5 % is 32 + 42 = 74.0 lb (a published example of Gaines' formula); the others from it. */
START_TEST(fat_corrected_milk)
{
    ck_near(fcm4_kg(80, 3.5), 74.0, 1e-9);
    ck_near(fcm4_kg(30, 4.8), 33.6, 1e-9);
    ck_near(fcm4_kg(10, 5.0), 11.5, 1e-9);
    ck_near(fcm4_kg(25, 4.0), 25, 1e-12); /* milk of 4 % is itself */
}
END_TEST

/* ECM1: published example 30.97 (IFCN); ECM2: rows of the Danish data set (doBy milkman) that carry the
 * figure; ECM3: the two printed forms, DHI Glossary of May 2010 with 7.65, and the one with 7.2. */
static const struct {
    int variant;
    double milk, fat, protein, expected, tolerance;
} ecm_vectors[] = {
    {0, 20, 4.0, 3.5, 22.255, 1e-9},          {0, 30, 4.2, 3.4, 33.930, 1e-9},
    {1, 20, 4.0, 3.5, 21.940, 1e-9},          {1, 30, 4.2, 3.4, 33.471, 1e-9},
    {2, 30, 4.2, 3.4, 30.9712, 1e-4},         {3, 6.041, 4.96, 4.09, 7.0611594, 1e-6},
    {3, 10.018, 2.44, 4.40, 8.8698223, 1e-6},
};

START_TEST(energy_corrected_milk_by_each_variant)
{
    for (size_t i = 0; i < sizeof ecm_vectors / sizeof ecm_vectors[0]; i++)
        ck_within(ecm_kg(&ecm_variants[ecm_vectors[i].variant], ecm_vectors[i].milk, ecm_vectors[i].fat,
                         ecm_vectors[i].protein),
                  ecm_vectors[i].expected, ecm_vectors[i].tolerance);
    struct working w;
    working_init(&w, "fcm");
    corrected_reckon(30, 4.2, NAN, &w);
    ck_near(working_find(&w, "fcm4_kg", -1)->number, 30.9, 1e-12);
    for (int i = 0; i < ECM_VARIANTS; i++)
        ck_assert_int_eq(working_find(&w, ecm_variants[i].name, -1)->kind, FIGURE_NONE);
    ck_assert_str_eq(w.why, "energy-corrected milk needs the protein as well");
    ck_assert_uint_eq(w.caution_count, 0);
}
END_TEST

Suite *yield_total_suite(void)
{
    Suite *s = suite_create("yield_total");
    TCase *t = tcase_create("yield_total");
    tcase_add_test(t, icars_worked_example_of_the_test_interval_method);
    tcase_add_test(t, a_feeding_tables_lactation_by_intervals);
    tcase_add_test(t, tests_out_of_order_or_outside_the_lactation_are_refused);
    tcase_add_test(t, the_four_real_lactations_are_summed);
    tcase_add_test(t, short_gaps_are_straight_lines_long_ones_and_ends_follow_the_curve);
    tcase_add_test(t, weights_that_cannot_be_summed_are_refused);
    tcase_add_test(t, fat_corrected_milk);
    tcase_add_test(t, energy_corrected_milk_by_each_variant);
    suite_add_tcase(s, t);
    return s;
}
