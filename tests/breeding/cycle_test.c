/* Cycle 21 days (heifers 20), 18 to 24: Extension, Strategies for success in heat detection and artificial
 * insemination. */
#include "core/breeding/cycle.h"
#include "tests/breeding/day.h"

/* Heats on the given days after 1 January 2026, all seen standing. */
static size_t heats_on(struct heat *heats, const int *days, size_t count)
{
    for (size_t i = 0; i < count; i++)
        heats[i] = (struct heat){.at = date_start(date_add(day("2026-01-01"), days[i])),
                                 .signs = HEAT_STANDING,
                                 .origin = HEAT_SEEN};
    return count;
}

START_TEST(a_cow_without_a_history_has_the_published_window)
{
    struct cycle cow, heifer;
    struct heat_window w;
    cycle_learn(NULL, 0, false, &cow, NULL);
    cycle_learn(NULL, 0, true, &heifer, NULL);
    ck_within(cow.mean_days, 21, 1e-12);
    ck_within(heifer.mean_days, 20, 1e-12);
    cycle_window(&cow, day("2026-05-03"), 1, &w);
    ck_day(w.from_on, "2026-05-21"); /* day 18 */
    ck_day(w.likely_on, "2026-05-24");
    ck_day(w.to_on, "2026-05-27"); /* day 24 */
    cycle_window(&heifer, day("2026-05-03"), 1, &w);
    ck_day(w.from_on, "2026-05-20");
    ck_day(w.to_on, "2026-05-26");
}
END_TEST

/* One own cycle of 24 days, prior and cycle equally uncertain: half way; the mean's variance is halved. The
 * conjugate normal rule, as in Gelman et al., Bayesian Data Analysis, section 2.5 (from memory). */
START_TEST(one_own_cycle_pulls_half_way)
{
    struct heat heats[2];
    struct cycle c;
    double sd = 3 / 1.959964 / sqrt(2);
    cycle_learn(heats, heats_on(heats, (const int[]){0, 24}, 2), false, &c, NULL);
    ck_assert_int_eq(c.own, 1);
    ck_within(c.mean_days, 22.5, 1e-9);
    ck_within(c.mean_sd_days, sd / sqrt(2), 1e-6);
    ck_within(c.within_sd_days, sd, 1e-6);
}
END_TEST

/* The same posterior summed up on a fine grid of means instead of by the formula. */
START_TEST(the_mean_is_that_of_the_posterior_on_a_grid)
{
    static const int days[] = {0, 23, 45, 68, 90, 113};
    struct heat heats[6];
    struct cycle c;
    cycle_learn(heats, heats_on(heats, days, 6), false, &c, NULL);
    double between = 3 / 1.959964 / sqrt(2), sum = 0, mean = 0, square = 0;
    for (double m = 10; m < 32; m += 1e-3) {
        double z = (m - 21) / between, log_p = -z * z / 2;
        for (int i = 1; i < 6; i++) {
            double off = (days[i] - days[i - 1] - m) / c.within_sd_days;
            log_p -= off * off / 2;
        }
        sum += exp(log_p);
        mean += m * exp(log_p);
        square += m * m * exp(log_p);
    }
    mean /= sum;
    ck_within(c.mean_days, mean, 1e-6);
    ck_within(c.mean_sd_days, sqrt(square / sum - mean * mean), 1e-6);
}
END_TEST

/* Scaled chi-square by hand: the published within-cow variance, 2.343 / 2 = 1.1714, weighs four intervals. */
START_TEST(her_own_scatter_is_weighed_against_four_published_intervals)
{
    struct heat heats[3];
    struct cycle c;
    struct heat_window w;
    double published = 9 / (1.959964 * 1.959964) / 2;
    cycle_learn(heats, heats_on(heats, (const int[]){0, 20, 42}, 3), false, &c, NULL);
    ck_within(c.within_sd_days, sqrt((4 * published + 2) / 5), 1e-9); /* 20 and 22: squares 1 + 1 */
    /* 44 days are two cycles of 22: mean 65/3, squares 2 (1/3)^2 + (2/3)^2 = 2/3 */
    cycle_learn(heats, heats_on(heats, (const int[]){0, 44, 65}, 3), false, &c, NULL);
    ck_within(c.within_sd_days, sqrt((4 * published + 2.0 / 3) / 5), 1e-9);
    /* three cycles on: the mean's error counts three times, the scatter by the root of three */
    cycle_learn(NULL, 0, false, &c, NULL);
    cycle_window(&c, day("2026-01-01"), 3, &w);
    ck_day(w.likely_on, "2026-03-05");
    int half = (int)lround(1.959964 * sqrt(9 * published + 3 * published)); /* 7.35 */
    ck_assert_int_eq(half, 7);
    ck_assert_int_eq(date_diff(w.from_on, w.likely_on), half);
    ck_assert_int_eq(date_diff(w.likely_on, w.to_on), half);
}
END_TEST

static double width_after(int cycles, double scatter, uint64_t seed)
{
    struct stream s = {seed};
    struct heat heats[40];
    int days[40] = {0};
    struct cycle c;
    struct heat_window w;
    for (int i = 1; i <= cycles; i++)
        days[i] = days[i - 1] + (int)lround(21 + scatter * stream_normal(&s));
    cycle_learn(heats, heats_on(heats, days, (size_t)cycles + 1), false, &c, NULL);
    cycle_window(&c, day("2026-05-03"), 1, &w);
    return date_diff(w.from_on, w.to_on);
}

START_TEST(windows_narrow_for_a_regular_cow_and_widen_for_an_irregular_one)
{
    double regular = 0, irregular = 0;
    for (uint64_t seed = 1; seed <= 50; seed++) {
        regular += width_after(12, 0.3, seed) / 50;
        irregular += width_after(12, 1.9, seed) / 50;
    }
    ck_assert_msg(regular < 4.2, "%g", regular);
    ck_assert_msg(irregular > 6.2, "%g", irregular);
    ck_assert(width_after(0, 0, 1) == 6);
}
END_TEST

/* Cows drawn from the spreads that are assumed: the window of the next heat holds 95 %, and whole days add a
 * little (a day counts from its half before to its half after). */
START_TEST(the_next_heat_falls_in_its_window)
{
    struct stream s = {42};
    int inside = 0, cows = 4000;
    double sd = 3 / 1.959964 / sqrt(2);
    for (int k = 0; k < cows; k++) {
        double own = 21 + sd * stream_normal(&s), at = 0;
        int days[9] = {0};
        struct heat heats[9];
        struct cycle c;
        struct heat_window w;
        int cycles = stream_below(&s, 8);
        for (int i = 1; i <= cycles; i++) {
            at += own + sd * stream_normal(&s);
            days[i] = (int)lround(at);
        }
        cycle_learn(heats, heats_on(heats, days, (size_t)cycles + 1), false, &c, NULL);
        struct date last_on = heat_on(&heats[cycles]);
        cycle_window(&c, last_on, 1, &w);
        struct date next_on = date_add(day("2026-01-01"), (int)lround(at + own + sd * stream_normal(&s)));
        inside += next_on.days >= w.from_on.days && next_on.days <= w.to_on.days;
    }
    ck_assert_msg(inside > 0.945 * cows && inside < 0.985 * cows, "%d of %d", inside, cows);
}
END_TEST

START_TEST(heats_that_nobody_saw_are_inferred_and_marked)
{
    static const int days[] = {0, 42, 63, 126, 156, 456};
    struct heat heats[6], silent[8];
    struct cycle c;
    size_t count = heats_on(heats, days, 6);
    cycle_learn(heats, count, false, &c, NULL);
    ck_assert_int_eq(c.own, 2 + 1 + 3); /* 42, 21 and 63 days; 30 fits nothing, 300 is another story */
    ck_assert_int_eq(c.odd, 1);
    ck_assert_int_eq(cycle_silent(heats, count, &c, silent, 8), 3);
    ck_day(instant_date(silent[0].at), "2026-01-22"); /* day 21 */
    ck_day(instant_date(silent[1].at), "2026-03-26"); /* day 84 */
    ck_day(instant_date(silent[2].at), "2026-04-16"); /* day 105 */
    ck_assert_int_eq(silent[0].origin, HEAT_SILENT);
    ck_assert_int_eq(silent[0].signs, 0);
    ck_assert_int_eq(cycle_silent(heats, count, &c, silent, 1), 1);
}
END_TEST

/* Three published standard deviations (3 days / 1.959964 = 1.5306) times the root of the number of cycles: 4.6 days off
 * one cycle of 21, 6.5 off two, 7.95 off three; a day more or less fits none. */
START_TEST(an_interval_is_so_many_cycles_or_odd)
{
    static const struct {
        int days, own, odd;
    } rows[] = {{16, 0, 1}, {17, 1, 0}, {25, 1, 0}, {26, 0, 1}, {35, 0, 1}, {36, 2, 0},
                {48, 2, 0}, {49, 0, 1}, {55, 0, 1}, {56, 3, 0}, {70, 3, 0}, {71, 0, 1}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct heat heats[2];
        struct cycle c;
        struct working w;
        working_init(&w, "cycle");
        cycle_learn(heats, heats_on(heats, (const int[]){0, rows[i].days}, 2), false, &c, &w);
        ck_assert_msg(c.own == rows[i].own && c.odd == rows[i].odd, "%d days: %d cycles, %d odd", rows[i].days, c.own, c.odd);
        int said = 0;
        for (size_t k = 0; k < w.step_count; k++)
            said += strstr(w.step[k], "1 interval of hers fits no whole number of cycles") != NULL;
        ck_assert_int_eq(said, rows[i].odd);
    }
    /* days within one heat are one heat */
    for (int days = ONE_HEAT_DAYS; days <= ONE_HEAT_DAYS + 1; days++) {
        struct heat heats[2];
        struct cycle c;
        cycle_learn(heats, heats_on(heats, (const int[]){0, days}, 2), false, &c, NULL);
        ck_assert_int_eq(c.odd, days > ONE_HEAT_DAYS);
    }
}
END_TEST

START_TEST(what_was_inferred_or_seen_twice_teaches_nothing)
{
    struct heat heats[] = {
        {moment("2026-01-01T07:00"), HEAT_STANDING, HEAT_SEEN},
        {moment("2026-01-02T07:00"), HEAT_MUCUS, HEAT_SEEN},
        {moment("2026-01-12T00:00"), 0, HEAT_SILENT},
        {moment("2026-01-22T07:00"), 0, HEAT_SERVED},
    };
    struct cycle c;
    cycle_learn(heats, 4, false, &c, NULL);
    ck_assert_int_eq(c.own, 1);
    ck_assert_int_eq(c.odd, 0);
    ck_within(c.mean_days, 21, 1e-9);
}
END_TEST

START_TEST(services_stand_among_the_heats_in_order)
{
    struct heat seen[] = {{moment("2026-01-01T07:00"), HEAT_STANDING, HEAT_SEEN},
                          {moment("2026-02-12T07:00"), HEAT_MUCUS, HEAT_SEEN}};
    struct service services[] = {{.on = day("2026-01-22"), .to_on = DATE_NONE, .kind = SERVICE_AI},
                                 {.on = day("2026-02-01"), .to_on = DATE_NONE, .kind = SERVICE_FIELD},
                                 {.on = day("2026-03-05"), .to_on = DATE_NONE, .kind = SERVICE_BULL}};
    struct breeding b = {.heats = seen, .heat_count = 2, .services = services, .service_count = 3};
    static const char *const days[] = {"2026-01-01", "2026-01-22", "2026-02-12", "2026-03-05"};
    struct heat heats[8];
    ck_assert_int_eq(cycle_heats(&b, heats, 8), 4); /* a bull in the field tells no day of heat */
    for (int i = 0; i < 4; i++)
        ck_day(heat_on(&heats[i]), days[i]);
    ck_assert_int_eq(heats[1].origin, HEAT_SERVED);
    ck_assert_int_eq(cycle_heats(&b, heats, 2), 2); /* the last ones */
    ck_day(heat_on(&heats[0]), "2026-02-12");
    ck_assert_int_eq(cycle_heats(&(struct breeding){0}, heats, 8), 0);
}
END_TEST

START_TEST(windows_ahead_begin_with_the_one_that_is_not_over)
{
    struct cycle c;
    struct heat_window w[4];
    cycle_learn(NULL, 0, false, &c, NULL);
    ck_assert_int_eq(cycle_ahead(&c, day("2026-01-01"), day("2026-01-25"), w, 4), 4);
    ck_assert_int_eq(w[0].cycle, 1); /* day 24 is the last of the first window */
    ck_assert_int_eq(cycle_ahead(&c, day("2026-01-01"), day("2026-01-26"), w, 4), 4);
    ck_assert_int_eq(w[0].cycle, 2);
    ck_day(w[0].likely_on, "2026-02-12");
    for (int i = 1; i < 4; i++)
        ck_assert(date_diff(w[i].from_on, w[i].to_on) > date_diff(w[i - 1].from_on, w[i - 1].to_on));
}
END_TEST

/* AMPM1: Trimberger 1948 as given by Vishwanath 2004 (Proc. NZSAP 64:140). Best service 7 to 12 h after
 * onset: Hall, Branton & Stone. Ovulation from 24 h: De Rensis 2024 (Vet. Sci. 11:152). */
START_TEST(when_to_serve)
{
    struct service_window w;
    char text[CIVIL_TEXT_MAX];
    cycle_service_window(moment("2026-05-03T07:00"), &w, NULL);
    ck_assert_str_eq(w.guide, "that evening");
    ck_assert_str_eq(instant_iso_local(w.from_at, text), "2026-05-03T14:00:00-04:00");
    ck_assert_str_eq(instant_iso_local(w.to_at, text), "2026-05-03T19:00:00-04:00");
    ck_assert_str_eq(instant_iso_local(w.last_at, text), "2026-05-04T07:00:00-04:00");
    cycle_service_window(moment("2026-05-03T18:00"), &w, NULL);
    ck_assert_str_eq(w.guide, "the next morning");
    ck_assert_str_eq(instant_iso_local(w.from_at, text), "2026-05-04T01:00:00-04:00");
    ck_assert_str_eq(instant_iso_local(w.to_at, text), "2026-05-04T06:00:00-04:00");
    cycle_service_window(moment("2026-05-03T12:30"), &w, NULL);
    ck_assert_str_eq(w.guide, "the next morning");
    /* hours of the body, not of the clock: across the change of 1 November 2026 */
    cycle_service_window(moment("2026-10-31T20:00"), &w, NULL);
    ck_assert_str_eq(instant_iso_local(w.from_at, text), "2026-11-01T02:00:00-05:00");
}
END_TEST

START_TEST(signs_are_read_and_weighed)
{
    /* clang-format off */
    static const struct {
        const char *text;
        enum heat_strength strength;
    } rows[] = {
        {"standing",          HEAT_SURE    },
        {"Standing, mucus",   HEAT_SURE    },
        {"mounts",            HEAT_LIKELY  },
        {"bawling,less-milk", HEAT_LIKELY  },
        {"mucus",             HEAT_POSSIBLE},
        {"",                  HEAT_POSSIBLE},
        {"blood",             HEAT_OVER    },
        {"blood,restless",    HEAT_LIKELY  },
    };
    /* clang-format on */
    unsigned signs;
    char text[120];
    struct fail f = {0};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert_int_eq(heat_signs_parse(rows[i].text, &signs, NULL), 0);
        ck_assert_int_eq(heat_strength(signs), rows[i].strength);
    }
    for (unsigned i = 0; 1U << i < HEAT_SIGNS_ALL; i++) {
        ck_assert_int_eq(heat_signs_parse(heat_sign_word(1U << i), &signs, NULL), 0);
        ck_assert_uint_eq(signs, 1U << i);
    }
    ck_assert(heat_sign_word(3) == NULL);
    ck_assert(heat_sign_word(HEAT_SIGNS_ALL + 1) == NULL); /* one beyond the last */
    ck_assert_str_eq(heat_signs_text(HEAT_STANDING | HEAT_MUCUS, text, sizeof text), "standing, mucus");
    ck_assert_str_eq(heat_signs_text(0, text, sizeof text), "no sign noted");
    signs = 77;
    ck_assert_int_eq(heat_signs_parse("standing,dancing", &signs, &f), -1);
    ck_assert_uint_eq(signs, 77);
    ck_assert(strstr(f.text, "\"dancing\" is not a sign of heat") != NULL);
}
END_TEST

START_TEST(blood_means_two_days_ago)
{
    struct heat h = {moment("2026-05-03T07:00"), HEAT_BLOOD, HEAT_SEEN};
    ck_day(heat_on(&h), "2026-05-01");
    h.signs |= HEAT_STANDING;
    ck_day(heat_on(&h), "2026-05-03");
}
END_TEST

Suite *cycle_suite(void)
{
    Suite *s = suite_create("cycle");
    TCase *t = tcase_create("cycle");
    tcase_add_test(t, a_cow_without_a_history_has_the_published_window);
    tcase_add_test(t, one_own_cycle_pulls_half_way);
    tcase_add_test(t, the_mean_is_that_of_the_posterior_on_a_grid);
    tcase_add_test(t, her_own_scatter_is_weighed_against_four_published_intervals);
    tcase_add_test(t, windows_narrow_for_a_regular_cow_and_widen_for_an_irregular_one);
    tcase_add_test(t, the_next_heat_falls_in_its_window);
    tcase_add_test(t, heats_that_nobody_saw_are_inferred_and_marked);
    tcase_add_test(t, an_interval_is_so_many_cycles_or_odd);
    tcase_add_test(t, what_was_inferred_or_seen_twice_teaches_nothing);
    tcase_add_test(t, services_stand_among_the_heats_in_order);
    tcase_add_test(t, windows_ahead_begin_with_the_one_that_is_not_over);
    tcase_add_test(t, when_to_serve);
    tcase_add_test(t, signs_are_read_and_weighed);
    tcase_add_test(t, blood_means_two_days_ago);
    suite_add_tcase(s, t);
    return s;
}
