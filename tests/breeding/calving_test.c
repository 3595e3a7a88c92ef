#include "core/breeding/calving.h"
#include "tests/breeding/day.h"

/* COL1: 10 % of body weight at once, 4 L for a calf of 40 kg, 2 L more within 12 h; next to nothing is taken
 * up by 20 to 24 h (Feed and Additive 61, 2026). */
START_TEST(colostrum_for_a_calf)
{
    struct colostrum_plan plan;
    struct fail f = {0};
    struct instant born = moment("2026-05-03T06:00");
    ck_assert_int_eq(calving_colostrum(40, born, &plan, NULL, &f), 0);
    ck_within(plan.first_l, 4.0, 1e-9);
    ck_within(plan.second_l, 2.0, 1e-9);
    ck_assert_int_eq(plan.second_by.s - born.s, 12 * 3600);
    ck_assert_int_eq(plan.useless_at.s - born.s, 24 * 3600);
    ck_assert(plan.first_by.s > born.s && plan.first_by.s < plan.second_by.s);
    ck_assert_int_eq(calving_colostrum(4, born, &plan, NULL, &f), -1);
    ck_assert_str_eq(f.text, "A calf of 4 kg cannot be meant; 10 to 80 kg can.");
    ck_assert_int_eq(calving_colostrum(NAN, born, &plan, NULL, &f), -1);
}
END_TEST

/* The scales of US dairy records (NAAB, USDA): ease 1 to 5; 1 alive, 2 dead at birth, 3 died within 48 h. */
START_TEST(the_scales_of_the_dairy_records)
{
    ck_assert_str_eq(calving_ease_word(1), "no problem");
    ck_assert_str_eq(calving_ease_word(3), "needed assistance");
    ck_assert_str_eq(calving_ease_word(5), "extreme difficulty");
    ck_assert(calving_ease_word(0) == NULL && calving_ease_word(6) == NULL);
    ck_assert_str_eq(calf_fate_word(1), "alive");
    ck_assert_str_eq(calf_fate_word(2), "born dead");
    ck_assert_str_eq(calf_fate_word(3), "died within 48 h");
    ck_assert(calf_fate_word(4) == NULL);
}
END_TEST

START_TEST(calves_are_read_as_they_are_written_down)
{
    struct calving c = {.ease = 1};
    ck_assert_int_eq(calves_parse("heifer", &c, NULL), 0);
    ck_assert(c.calves == 1 && c.calf[0].sex == CALF_HEIFER && c.calf[0].fate == CALF_ALIVE);
    ck_assert(isnan(c.calf[0].weight_kg));
    ck_assert_int_eq(calves_parse("Bull died 70lb, heifer 30kg", &c, NULL), 0);
    ck_assert(c.calves == 2 && c.calf[0].sex == CALF_BULL && c.calf[0].fate == CALF_DIED_48H);
    ck_within(c.calf[0].weight_kg, 31.7514659, 1e-7); /* 70 international pounds */
    ck_within(c.calf[1].weight_kg, 30, 1e-12);
    ck_assert_int_eq(calves_parse("heifer dead", &c, NULL), 0);
    ck_assert_int_eq(c.calf[0].fate, CALF_BORN_DEAD);
}
END_TEST

START_TEST(slips_about_calves_change_nothing)
{
    static const char *const slips[] = {"",
                                        "cow",
                                        "35kg",
                                        "bull bull",
                                        "heifer 35",
                                        "dead",
                                        "heifer died dead",
                                        "bull 3kg 4kg",
                                        "heifer,,bull",
                                        "bull,bull,bull,bull"};
    struct calving c = {.ease = 2, .calves = 1, .calf[0] = {CALF_BULL, CALF_ALIVE, 31}};
    struct fail f;
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++) {
        f.text[0] = '\0';
        ck_assert_msg(calves_parse(slips[i], &c, &f) == -1, "%s", slips[i]);
        ck_assert(f.text[0] != '\0' && c.calves == 1 && c.calf[0].weight_kg == 31);
    }
}
END_TEST

/* Over 90 % of heifers born twin to a bull are sterile (Extension; Canadian Cattlemen: 92 %). */
START_TEST(a_heifer_twin_to_a_bull_gets_the_remark)
{
    struct calving c = {0};
    ck_assert_int_eq(calves_parse("bull,heifer", &c, NULL), 0);
    ck_assert(strstr(calving_freemartin(&c), "freemartin") != NULL);
    ck_assert_int_eq(calves_parse("heifer,heifer", &c, NULL), 0);
    ck_assert(calving_freemartin(&c) == NULL);
    ck_assert_int_eq(calves_parse("bull", &c, NULL), 0);
    ck_assert(calving_freemartin(&c) == NULL);
}
END_TEST

/* A calf of 10 to 80 kg can be meant, the ends among it. */
START_TEST(calves_at_their_limits)
{
    static const double kg[] = {10, 80, 9.99, 80.01};
    for (int i = 0; i < 4; i++) {
        struct colostrum_plan plan;
        ck_assert_int_eq(calving_colostrum(kg[i], moment("2026-05-03T06:00"), &plan, NULL, NULL), i < 2 ? 0 : -1);
    }
}
END_TEST

/* About 80 % within a day, watch to 72 h; risk by age, third lactation, Jersey, earlier case (University of
 * Wisconsin and Maryland Extension). */
START_TEST(the_watch_for_milk_fever)
{
    struct milk_fever_watch w;
    struct instant calved = moment("2026-05-03T06:00");
    calving_milk_fever(calved, moment("2026-05-04T05:59"), 1, NAN, false, false, &w, NULL);
    ck_assert_int_eq(w.phase, MILK_FEVER_FIRST_DAY);
    ck_assert(!w.high_risk && w.why[0] == '\0');
    calving_milk_fever(calved, moment("2026-05-04T06:00"), 3, 4, true, false, &w, NULL);
    ck_assert_int_eq(w.phase, MILK_FEVER_WATCH);
    ck_assert(w.high_risk);
    ck_assert_str_eq(w.why, "third calf or later, Jersey");
    calving_milk_fever(calved, moment("2026-05-06T05:59"), 2, 5, false, true, &w, NULL);
    ck_assert_int_eq(w.phase, MILK_FEVER_WATCH);
    ck_assert_str_eq(w.why, "five years or older, had it before");
    calving_milk_fever(calved, moment("2026-05-06T06:00"), 2, 3, false, false, &w, NULL);
    ck_assert_int_eq(w.phase, MILK_FEVER_OVER);
    ck_assert_int_eq(w.until_at.s - calved.s, 72 * 3600);
}
END_TEST

START_TEST(the_lines_for_the_relief_sheet_call_for_the_veterinarian)
{
    int lines = 0;
    for (; calving_call_now[lines] != NULL; lines++)
        ck_assert(strlen(calving_call_now[lines]) > 20);
    ck_assert(lines >= 3 && strstr(calving_call_now[0], "veterinarian") != NULL);
    for (lines = 0; calving_watch_before[lines] != NULL; lines++)
        ck_assert(strlen(calving_watch_before[lines]) > 20);
    ck_assert_int_ge(lines, 3);
}
END_TEST

Suite *calving_suite(void)
{
    Suite *s = suite_create("calving");
    TCase *t = tcase_create("calving");
    tcase_add_test(t, colostrum_for_a_calf);
    tcase_add_test(t, the_scales_of_the_dairy_records);
    tcase_add_test(t, calves_are_read_as_they_are_written_down);
    tcase_add_test(t, slips_about_calves_change_nothing);
    tcase_add_test(t, a_heifer_twin_to_a_bull_gets_the_remark);
    tcase_add_test(t, calves_at_their_limits);
    tcase_add_test(t, the_watch_for_milk_fever);
    tcase_add_test(t, the_lines_for_the_relief_sheet_call_for_the_veterinarian);
    suite_add_tcase(s, t);
    return s;
}
