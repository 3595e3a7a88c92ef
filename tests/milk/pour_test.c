#include "core/milk/apportion.h"
#include "core/milk/pour.h"
#include "tests/support.h"

/* ---- largest remainders ---- */

/* The usual textbook example of Hamilton's method (from memory): votes 47000, 16000, 15900, 12000, 6000, 3100
 * for ten seats; quota 10000. */
START_TEST(largest_remainders_as_in_the_textbook)
{
    static const int64_t votes[] = {47000, 16000, 15900, 12000, 6000, 3100}, seats[] = {5, 2, 1, 1, 1, 0};
    int64_t part[6];
    ck_assert_int_eq(apportion(10, votes, NULL, 6, part), 10);
    for (int i = 0; i < 6; i++)
        ck_assert_int_eq(part[i], seats[i]);
}
END_TEST

/* The Alabama paradox, small (from memory): weights 6, 6, 2 share ten as 4, 4, 2 and eleven as 5, 5, 1. */
START_TEST(one_more_to_share_can_give_somebody_one_fewer)
{
    static const int64_t weight[] = {6, 6, 2};
    int64_t ten[3], eleven[3];
    (void)apportion(10, weight, NULL, 3, ten);
    (void)apportion(11, weight, NULL, 3, eleven);
    ck_assert(ten[0] == 4 && ten[1] == 4 && ten[2] == 2);
    ck_assert(eleven[0] == 5 && eleven[1] == 5 && eleven[2] == 1);
}
END_TEST

START_TEST(equal_remainders_go_to_the_larger_tie_and_then_to_the_earlier)
{
    static const int64_t weight[] = {1, 1, 1}, tie[] = {0, 0, 5};
    int64_t part[3];
    (void)apportion(1, weight, NULL, 3, part);
    ck_assert(part[0] == 1 && part[1] == 0 && part[2] == 0);
    (void)apportion(1, weight, tie, 3, part);
    ck_assert(part[0] == 0 && part[1] == 0 && part[2] == 1);
    (void)apportion(2, weight, tie, 3, part);
    ck_assert(part[0] == 1 && part[1] == 0 && part[2] == 1);
}
END_TEST

START_TEST(parts_add_up_and_stay_within_one_of_the_exact_part)
{
    struct stream s = {.state = 61};
    for (int i = 0; i < 20000; i++) {
        int64_t weight[12], part[12], sum = 0, given = 0;
        size_t n = 1 + (size_t)stream_below(&s, 12);
        int64_t total = stream_below(&s, 2000000);
        for (size_t k = 0; k < n; k++) {
            weight[k] = stream_below(&s, 4) == 0 ? 0 : stream_below(&s, 1000000);
            sum += weight[k];
        }
        int64_t shared = apportion(total, weight, NULL, n, part);
        if (shared != (sum == 0 ? 0 : total))
            ck_abort_msg("case %d", i);
        for (size_t k = 0; k < n; k++) {
            double exact = sum == 0 ? 0 : (double)total * (double)weight[k] / (double)sum;
            if (fabs((double)part[k] - exact) >= 1 || part[k] < 0)
                ck_abort_msg("case %d: part %zu is %lld, exactly %g", i, k, (long long)part[k], exact);
            given += part[k];
        }
        if (given != shared)
            ck_abort_msg("case %d: parts add up to %lld of %lld", i, (long long)given, (long long)shared);
    }
}
END_TEST

/* ---- pouring ---- */

START_TEST(a_pooled_pail_is_shared_by_cow_and_by_jar)
{
    /* By hand: 12 kg of one cow and 6 kg of another, into jars of 2, 2 and 1 L. */
    struct pour_mix pail = {0}, jar[3];
    static const double volume_l[] = {2, 2, 1};
    double density;
    ck_assert_int_eq(pour_add(&pail, 1, 12000, NULL), 0);
    ck_assert_int_eq(pour_add(&pail, 2, 6000, NULL), 0);
    ck_assert_int_eq(pour_out(&pail, volume_l, 3, jar, &density, NULL, NULL), 0);
    ck_assert_int_eq(pour_mass_g(&jar[0]), 7200);
    ck_assert_int_eq(pour_mass_g(&jar[2]), 3600);
    ck_assert_int_eq(pour_lot_g(&jar[0], 1), 4800);
    ck_assert_int_eq(pour_lot_g(&jar[2], 2), 1200);
    ck_assert_int_eq(pour_lot_g(&jar[2], 3), 0);
    ck_assert_int_eq(pour_mass_g(&pail), 0);
    ck_near(density, 3.6, 1e-12); /* said as it is: such a figure tells that a weight or a jar is wrong */
}
END_TEST

/* Jars of a random dairy: every gram of every lot stays somewhere, through pours, takings, top-ups and
 * splits. */
enum { JARS = 12, LOTS = 10 };

static void check_conserved(const struct pour_mix jar[JARS], const int64_t poured[LOTS], int step)
{
    for (int lot = 0; lot < LOTS; lot++) {
        int64_t there = 0;
        for (int j = 0; j < JARS; j++)
            there += pour_lot_g(&jar[j], lot);
        if (there != poured[lot])
            ck_abort_msg("step %d: %lld g of lot %d, %lld g were poured", step, (long long)there, lot,
                         (long long)poured[lot]);
    }
}

START_TEST(no_gram_is_lost_or_made_by_random_pours_top_ups_and_splits)
{
    struct stream s = {.state = 62};
    static struct pour_mix jar[JARS];
    int64_t poured[LOTS] = {0};
    for (int step = 0; step < 20000; step++) {
        struct pour_mix *a = &jar[stream_below(&s, JARS)], *b = &jar[stream_below(&s, JARS)], some;
        int lot = stream_below(&s, LOTS);
        int64_t mass = stream_below(&s, 3000);
        switch (stream_below(&s, 3)) {
        case 0: /* fresh milk into a jar, now and then */
            if (pour_mass_g(a) < 20000 && pour_add(a, lot, mass, NULL) == 0)
                poured[lot] += mass;
            break;
        case 1: /* part of one jar onto another */
            if (a == b || pour_take(a, mass, &some, NULL) != 0)
                break;
            if (pour_mass_g(&some) != mass)
                ck_abort_msg("step %d: %lld g taken, not %lld", step, (long long)pour_mass_g(&some),
                             (long long)mass);
            if (pour_join(b, &some, NULL) != 0)
                ck_abort_msg("step %d: could not join", step);
            break;
        default: /* one jar shared out over three that are empty */
            if (pour_mass_g(a) > 0 && a == &jar[0]) {
                static const double volume_l[] = {1.9, 0.95, 0.47};
                struct pour_mix parts[3];
                if (pour_out(a, volume_l, 3, parts, NULL, NULL, NULL) != 0)
                    ck_abort_msg("step %d: could not pour out", step);
                for (int k = 0; k < 3; k++)
                    if (pour_join(&jar[1 + k], &parts[k], NULL) != 0)
                        ck_abort_msg("step %d: could not join part %d", step, k);
            }
        }
        check_conserved(jar, poured, step);
    }
}
END_TEST

START_TEST(each_jar_has_every_cow_in_proportion_within_its_rounding)
{
    struct stream s = {.state = 63};
    for (int i = 0; i < 3000; i++) {
        struct pour_mix pail = {0}, jar[10];
        double volume_l[10], sum_l = 0;
        size_t jars = 1 + (size_t)stream_below(&s, 10), cows = 1 + (size_t)stream_below(&s, 4);
        for (size_t c = 0; c < cows; c++)
            (void)pour_add(&pail, (int64_t)c, 1000 + stream_below(&s, 25000), NULL);
        for (size_t k = 0; k < jars; k++)
            sum_l += volume_l[k] = 0.25 * (1 + stream_below(&s, 8));
        struct pour_mix before = pail;
        if (pour_out(&pail, volume_l, jars, jar, NULL, NULL, NULL) != 0)
            ck_abort_msg("pail %d", i);
        for (size_t k = 0; k < jars; k++)
            for (size_t c = 0; c < cows; c++) {
                double exact = (double)pour_lot_g(&before, (int64_t)c) * volume_l[k] / sum_l;
                double off = (double)pour_lot_g(&jar[k], (int64_t)c) - exact;
                if (fabs(off) > (double)jars + 1) /* a gram for each jar poured before it */
                    ck_abort_msg("pail %d, jar %zu, cow %zu: %g g off", i, k, c, off);
            }
    }
}
END_TEST

START_TEST(pours_that_cannot_be_change_nothing)
{
    struct pour_mix mix = {0}, out;
    struct fail f = {0};
    static const double none[] = {0}, two[] = {1, 1};
    ck_assert_int_eq(pour_add(&mix, 1, 5000, NULL), 0);
    struct pour_mix before = mix;
    ck_assert_int_eq(pour_add(&mix, 1, -1, &f), -1);
    ck_assert_str_eq(f.text, "Less than no milk cannot be poured.");
    ck_assert_int_eq(pour_add(&mix, 2, POUR_MASS_MAX_G, &f), -1);
    ck_assert_int_eq(pour_take(&mix, 5001, &out, &f), -1);
    ck_assert_str_eq(f.text, "5.001 kg cannot be poured out of 5.000 kg.");
    ck_assert_int_eq(pour_take(&mix, -1, &out, &f), -1);
    ck_assert_int_eq(pour_out(&mix, none, 1, &out, NULL, NULL, &f), -1);
    ck_assert_str_eq(f.text, "Jar 1 holds no volume that a jar can have.");
    ck_assert_int_eq(pour_out(&mix, two, 0, &out, NULL, NULL, &f), -1);
    /* a jar of a millilitre to a cubic metre can be; many jars at once, as long as the list is */
    static const double small[] = {0.0009}, large[] = {1000.1}, ends[] = {0.001, 1000};
    static double many[APPORTION_MAX + 1];
    static struct pour_mix jars[APPORTION_MAX + 1];
    ck_assert_int_eq(pour_out(&mix, small, 1, &out, NULL, NULL, &f), -1);
    ck_assert_int_eq(pour_out(&mix, large, 1, &out, NULL, NULL, &f), -1);
    for (int i = 0; i <= APPORTION_MAX; i++)
        many[i] = 1;
    ck_assert_int_eq(pour_out(&mix, many, APPORTION_MAX + 1, jars, NULL, NULL, &f), -1);
    ck_assert(memcmp(&before, &mix, sizeof mix) == 0);
    ck_assert_int_eq(pour_out(&mix, many, APPORTION_MAX, jars, NULL, NULL, &f), 0);
    mix = before;
    struct pour_mix both[2];
    struct working w;
    working_init(&w, "pour");
    ck_assert_int_eq(pour_out(&mix, ends, 2, both, NULL, &w, &f), 0);
    ck_assert_str_eq(w.step[0], "5.000 kg in jars of 1000.001 L: 0.005 kg per L; each jar gets its part of the weight by its "
                                "volume");
    /* a tonne itself may be in one vessel, and one jar may hold a cubic metre */
    struct pour_mix tonne = {0};
    static const double cubic[] = {1000};
    ck_assert_int_eq(pour_add(&tonne, 1, POUR_MASS_MAX_G - 1, NULL), 0);
    ck_assert_int_eq(pour_add(&tonne, 2, 2, &f), -1);
    ck_assert_int_eq(pour_add(&tonne, 2, 1, &f), 0);
    ck_assert_int_eq(pour_out(&tonne, cubic, 1, &out, NULL, NULL, &f), 0);
    ck_assert(pour_mass_g(&out) == POUR_MASS_MAX_G);
    struct pour_mix full = {0};
    for (int i = 0; i < POUR_PARTS_MAX; i++)
        ck_assert_int_eq(pour_add(&full, i, 10, NULL), 0);
    ck_assert_int_eq(pour_add(&full, 999, 10, &f), -1);
    ck_assert_int_eq(pour_join(&full, &(struct pour_mix){{{5, 10}, {999, 10}}, 2}, &f), -1);
    ck_assert_int_eq(pour_lot_g(&full, 5), 10); /* nothing of it was poured */
}
END_TEST

/* V52: 10 gal at 38 °F and 3 gal at 95 °F make 51.15 °F, over the blend limit of 50 °F (Pasteurized Milk
 * Ordinance, as reprinted); at most 4 in 15 may be added. By hand. */
START_TEST(a_top_up_has_the_blend_temperature_and_a_most)
{
    struct pour_top_up t;
    struct working w;
    double cold = temp_c_from_f(38), warm = temp_c_from_f(95), limit = temp_c_from_f(50);
    working_init(&w, "top-up");
    ck_assert_int_eq(pour_top_up(10, cold, 3, warm, limit, &t, &w, NULL), 0);
    ck_within(temp_f_from_c(t.blend_c), 51.15384615, 1e-8);
    ck_near(t.most_kg, 10 * 0.2666666667, 1e-9);
    ck_assert(w.why[0] == '\0'); /* there is a most */
    ck_assert_int_eq(pour_top_up(10, cold, t.most_kg, warm, limit, &t, &w, NULL), 0);
    ck_near(t.blend_c, limit, 1e-12);
    ck_assert_int_eq(pour_top_up(10, cold, 3, cold, limit, &t, &w, NULL), 0);
    ck_assert(isinf(t.most_kg) && t.blend_c == cold && w.why[0] != '\0');
    ck_assert_int_eq(pour_top_up(10, limit + 1, 3, warm, limit, &t, NULL, NULL), 0);
    ck_assert(t.most_kg == 0);
    struct fail f = {0};
    ck_assert_int_eq(pour_top_up(0, cold, 0, warm, limit, &t, NULL, &f), -1);
    ck_assert_int_eq(pour_top_up(3, cold, -1, warm, limit, &t, NULL, &f), -1);
    ck_assert_int_eq(pour_top_up(0, cold, 3, warm, limit, &t, NULL, &f), 0); /* an empty jar, or nothing poured, is no slip */
    ck_assert_int_eq(pour_top_up(3, cold, 0, warm, limit, &t, NULL, &f), 0);
    ck_assert_int_eq(pour_top_up(-1, cold, 3, warm, limit, &t, NULL, &f), -1);
}
END_TEST

Suite *pour_suite(void)
{
    Suite *s = suite_create("pour");
    TCase *t = tcase_create("apportion");
    tcase_add_test(t, largest_remainders_as_in_the_textbook);
    tcase_add_test(t, one_more_to_share_can_give_somebody_one_fewer);
    tcase_add_test(t, equal_remainders_go_to_the_larger_tie_and_then_to_the_earlier);
    tcase_add_test(t, parts_add_up_and_stay_within_one_of_the_exact_part);
    suite_add_tcase(s, t);
    t = tcase_create("pour");
    tcase_add_test(t, a_pooled_pail_is_shared_by_cow_and_by_jar);
    tcase_add_test(t, no_gram_is_lost_or_made_by_random_pours_top_ups_and_splits);
    tcase_add_test(t, each_jar_has_every_cow_in_proportion_within_its_rounding);
    tcase_add_test(t, pours_that_cannot_be_change_nothing);
    tcase_add_test(t, a_top_up_has_the_blend_temperature_and_a_most);
    suite_add_tcase(s, t);
    return s;
}
