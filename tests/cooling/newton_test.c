/* Newton's law of cooling against worked examples of textbooks. Printed answers often carry a rounded rate,
 * so the figures here are recomputed from the printed inputs to ten digits, and the printed answer stands
 * beside them with the slack that its own rounding needs. [C2] OpenStax, Calculus Volume 2, sect. 2.8 and 4.3
 * [CA] OpenStax, College Algebra 2e, sect. 6.7 [L]  J. Lebl, Notes on Diffy Qs, 6th ed., sect. 1.3       [Ce]
 * Cengel, Heat Transfer, ch. 4 */
#include "core/cooling/newton.h"

#include "core/cooling/law.h"
#include "tests/support.h"

/* One example: a start, surroundings, one reading, and the time to a target. */
static const struct example {
    const char *source;
    double start, around, reading, at, target;
    double k, time;                /* recomputed */
    double printed, printed_slack; /* 0 slack: nothing was printed, or it cannot be asserted */
} examples[] = {
    {"V01, V02 [L] coffee", 89, 22, 85, 1, 60, 0.0615578929994, 9.212570997, 9.21, 0.005},
    {"[C2] ex. 2.45, to 175", 200, 70, 180, 2, 175, 0.0835270423, 2.556945563, 2.56, 0.005},
    {"[C2] ex. 2.45, to 155", 200, 70, 180, 2, 155, 0.0835270423, 5.086774081, 5.09, 0.005},
    {"V04 [C2] ex. 4.13", 200, 75, 190, 1, 150, 0.0833816089, 6.126358441, 6.12, 0.01},
    /* The book prints 24 h 57 min, which follows only from k rounded to 0.118. */
    {"V06 [C2] sect. 4.3 no. 157", 210, 20, 170, 2, 30, 0.118194389, 24.91183383, 0, 0},
    {"V07 [CA] turkey", 165, 35, 150, 10, 70, 0.0122602322, 107.0278578, 107, 0.5},
    {"V08 [CA] try it: warming", 40, 70, 45, 1, 60, 0, 6.025685103, 6.026, 0.0005},
    {"V09 [C2] sect. 2.8 no. 367: warming", 1, 44, 12, 2, 33, 0, 9.228223138, 9 + 13.0 / 60, 1.0 / 60},
};

START_TEST(worked_examples_come_out_as_in_the_books)
{
    for (size_t i = 0; i < sizeof examples / sizeof examples[0]; i++) {
        const struct example *x = &examples[i];
        double k = newton_rate(x->start, x->around, x->at, x->reading);
        if (x->k != 0)
            ck_near(k, x->k, 1e-9);
        ck_near(newton_time(x->start, x->around, k, x->target), x->time, 1e-9);
        if (x->printed_slack != 0)
            ck_within(newton_time(x->start, x->around, k, x->target), x->printed, x->printed_slack);
    }
    /* V01 to the last digit that was worked out. */
    ck_near(newton_rate(89, 22, 1, 85), 0.0615578929994, 1e-11);
}
END_TEST

START_TEST(a_temperature_after_a_while_comes_out_as_in_the_books)
{
    /* V10 [C2] sect. 2.8 no. 366: 165 F in 70 F, 155 F after 10 min; after 20 min. */
    double k = newton_rate(165, 70, 10, 155);
    ck_near(k, 0.0111225635, 1e-8);
    ck_near(newton_temp(165, 70, k, 20), 146.0526316, 1e-9);
    /* diffeqinapplications.blogspot.com, September 2016: 120 in 30 with k 0.0366, after 60 min;
     * printed 40.0123. */
    ck_near(newton_temp(120, 30, 0.0366, 60), 40.01225327, 1e-9);
    ck_within(newton_temp(120, 30, 0.0366, 60), 40.0123, 0.00005);
}
END_TEST

START_TEST(uncertain_readings_give_a_range_of_times)
{
    /* V03 [L]: the coffee with every reading out by half a degree; printed "7.45 to 12.15". */
    double low, high;
    newton_time_range(89, 22, 1, 85, 60, 0.5, &low, &high);
    ck_near(low, 7.448307935, 1e-9);
    ck_near(high, 12.152055440, 1e-9);
    ck_within(low, 7.45, 0.005);
    ck_within(high, 12.15, 0.005);
    newton_time_range(89, 22, 1, 85, 22.2, 0.5, &low, &high); /* some corner never gets there */
    ck_assert(isnan(low) && isnan(high));
}
END_TEST

START_TEST(three_readings_give_surroundings_that_are_not_to_be_trusted)
{
    /* V12 [L]: 100, 70, 50 at equal steps of 10 min. */
    ck_near(newton_around(100, 70, 50), 10, 1e-12);
    ck_near(newton_rate(100, 10, 10, 70), 0.0405465108, 1e-8);
    /* V13: a published cooling log of jars in a tub of ice water (M. J. Toth, Goats Produce Too!, vol. II):
     * 48, 42, 40 F at 30, 60, 90 min. The formula says that the ice water stood at 39 F, and that the milk
     * was poured at 66 F. */
    double around = newton_around(48, 42, 40), k = newton_rate(48, around, 30, 42);
    ck_near(around, 39, 1e-9);
    ck_near(k, 0.0366204096, 1e-9);
    ck_within(newton_temp(48, around, k, -30), 66, 1e-9);
    ck_assert(isnan(newton_around(50, 45, 40)));
}
END_TEST

START_TEST(what_cannot_be_reached_is_no_number)
{
    /* V14. */
    ck_assert(isnan(newton_time(95, 40, 0.05, 40)));
    ck_assert(isnan(newton_time(95, 40, 0.05, 35)));
    ck_assert_int_eq(newton_reach(95, 40, 40), REACH_NEVER);
    ck_assert_int_eq(newton_reach(95, 40, 41), REACH_LATER);
    ck_assert_int_eq(newton_reach(95, 40, 95), REACH_ALREADY);
    ck_assert_int_eq(newton_reach(95, 40, 100), REACH_ALREADY);
    ck_assert_int_eq(newton_reach(34, 40, 30), REACH_ALREADY); /* colder already, and warming */
    ck_assert_int_eq(newton_reach(34, 40, 50), REACH_NEVER);
    ck_assert(isnan(newton_rate(95, 40, 10, 40)));
    ck_assert(isnan(newton_rate(95, 40, 10, 39)));
    ck_assert(isnan(newton_rate(95, 40, 10, 96)));
    ck_assert(isnan(newton_rate(95, 40, 0, 60)));
    ck_assert(newton_time(50, 40, 0.05, 60) == 0);
}
END_TEST

START_TEST(stages_follow_one_another)
{
    /* V38: bath 20 min (k 0.065, 1 C) from 35, room 5 min (0.004, 20 C), refrigerator (0.0045, 3.5 C). */
    static const struct newton_stage way[] = {{1, 0.065, 20}, {20, 0.004, 5}, {3.5, 0.0045, 1000}};
    double f45 = (45 - 32) / 1.8, f40 = (40 - 32) / 1.8;
    ck_near(stages_temp(way, 1, 35), 10.266081, 1e-7);
    ck_near(stages_temp(way, 2, 35), 10.458825, 1e-7);
    ck_near(stages_time(way, 3, 35, f45), 164.0421878, 1e-8);
    ck_near(stages_time(way, 3, 35, f40), 468.8153600, 1e-8);
    ck_assert(isnan(stages_time(way, 3, 35, 3.5)));
    /* Thirty minutes in the bath instead: below 45 F as it comes out, 40 F at 261.6 min. */
    static const struct newton_stage longer[] = {{1, 0.065, 30}, {20, 0.004, 5}, {3.5, 0.0045, 1000}};
    ck_within(stages_temp(longer, 1, 35), 5.837, 0.0005);
    ck_within(stages_time(longer, 3, 35, f40), 261.6, 0.05);
    ck_assert(stages_time(longer, 3, 35, f45) < 30);
    ck_assert(stages_time(way, 3, 35, 35) == 0);
    ck_assert(isnan(stages_time(way, 3, 35, 40)));
}
END_TEST

START_TEST(the_power_law_cools_slower_at_the_end)
{
    /* V41: Bejan and Kraus, Heat Transfer Handbook 2003, eq. 3.285-3.286: theta = (1 + n k0 t)^(-1/n), with n
     * 0.25 and k0 0.06 per min, 35 C in 1 C; the exponential law with the same k0 beside it. */
    struct cooling_law power = {.k_per_s = 0.06 / 60, .span_k = 34, .exponent = 0.25, .around_c = 1};
    struct cooling_law plain = law_exponential(0.06 / 60);
    double f45 = (45 - 32) / 1.8;
    ck_near(law_temp(&power, 35, 1, 1800), 8.691426746, 1e-9);
    ck_near(law_temp(&power, 35, 1, 3600), 3.608942534, 1e-9);
    ck_near(law_time(&power, 35, 1, f45) / 60, 35.26100197, 1e-9);
    ck_near(law_temp(&plain, 35, 1, 1800), 6.620162200, 1e-9);
    ck_near(law_temp(&plain, 35, 1, 3600), 1.929006563, 1e-9);
    ck_near(law_time(&plain, 35, 1, f45) / 60, 28.30389019, 1e-9);
    ck_assert_str_eq(law_word(&power), "power");
    ck_assert_str_eq(law_word(&plain), "exponential");
}
END_TEST

START_TEST(a_law_warms_as_it_cools_and_time_undoes_temperature)
{
    struct stream s = {41};
    for (int i = 0; i < 20000; i++) {
        struct cooling_law law = {.k_per_s = stream_uniform(&s, 1e-5, 2e-3),
                                  .span_k = 20,
                                  .exponent = i % 2 == 0 ? 0 : stream_uniform(&s, 0.05, 0.4),
                                  .around_c = 1,
                                  .warm_per_k = stream_uniform(&s, 0, 0.03)};
        double start = stream_uniform(&s, -1, 40), around = stream_uniform(&s, -1, 40),
               t = stream_uniform(&s, 1, 20000);
        double there = law_temp(&law, start, around, t);
        if ((there - around) * (start - around) < 0 || fabs(there - around) > fabs(start - around))
            ck_abort_msg("case %d: %g in %g became %g", i, start, around, there);
        if (fabs(there - around) < 1e-4 * fabs(start - around))
            continue; /* too near the end for the time to be told from the temperature */
        double back = law_time(&law, start, around, there);
        if (start > around && fabs(back - t) > 1e-6 * t)
            ck_abort_msg("case %d: %g s became %g s", i, t, back);
        double half = law_temp(&law, law_temp(&law, start, around, t / 2), around, t / 2);
        if (fabs(half - there) > 1e-10 * (1 + fabs(there)))
            ck_abort_msg("case %d: two halves give %.15g, the whole %.15g", i, half, there);
    }
    struct cooling_law law = law_exponential(1e-3);
    ck_assert(isinf(law_time(&law, 35, 1, 1)));
    ck_assert(isinf(law_time(&law, 35, 1, 0)));
    ck_assert(law_time(&law, 35, 1, 35) == 0);
    ck_assert(law_time(&law, 5, 1, 7) == 0); /* at or below 7 already */
}
END_TEST

Suite *newton_suite(void)
{
    Suite *s = suite_create("newton");
    TCase *t = tcase_create("newton");
    tcase_add_test(t, worked_examples_come_out_as_in_the_books);
    tcase_add_test(t, a_temperature_after_a_while_comes_out_as_in_the_books);
    tcase_add_test(t, uncertain_readings_give_a_range_of_times);
    tcase_add_test(t, three_readings_give_surroundings_that_are_not_to_be_trusted);
    tcase_add_test(t, what_cannot_be_reached_is_no_number);
    tcase_add_test(t, stages_follow_one_another);
    tcase_add_test(t, the_power_law_cools_slower_at_the_end);
    tcase_add_test(t, a_law_warms_as_it_cools_and_time_undoes_temperature);
    suite_add_tcase(s, t);
    return s;
}
