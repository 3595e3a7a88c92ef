/* The topics `ration` and `thi` as they are asked for on the command line. */
#include "src/reckon.h"
#include "tests/support.h"

static struct working w;

static int ask(const char *topic, const char *const words[], size_t count, struct fail *f)
{
    char copy[8][160], *list[8];
    for (size_t i = 0; i < count; i++) {
        (void)snprintf(copy[i], sizeof copy[i], "%s", words[i]);
        list[i] = copy[i];
    }
    return reckon_run(reckon_find(topic), list, count, UNITS_US, (struct instant){0}, &w, f);
}

#define ASK(topic, f, ...)                                                                                   \
    ask(topic, (const char *const[]){__VA_ARGS__},                                                           \
        sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *), f)

static double number(const char *name)
{
    const struct figure *figure = working_find(&w, name, -1);
    return figure == NULL || figure->kind != FIGURE_NUMBER ? NAN : figure->number;
}

/* 450 kg, 14 kg at 4.8 %: 19.3679 Mcal. 8 kg of grass hay and 3 of oats from the table, by hand: 6.72 kg dry
 * matter x 1.15 + 2.7 x 1.78 = 12.534 Mcal; protein (6.72 x 13.3 + 2.7 x 13.2) / 9.42 = 13.271 %. */
START_TEST(the_ration_with_the_names_that_are_promised)
{
    struct fail f = {0};
    ck_assert_msg(ASK("ration", &f, "weight=450kg", "milk=14kg", "fat=4.8%", "day=70",
                      "feed=grass hay:8kg,oats:3kg") == 0,
                  "%s", f.text);
    ck_within(number("need_mcal"), 19.3679, 1e-4);
    ck_within(number("have_mcal"), 12.534, 1e-9);
    ck_within(number("balance_mcal"), 12.534 - 19.3679, 1e-4);
    ck_within(number("cp_pct"), 13.2713, 1e-4);
    /* (0.372 x 1.12 x 14 + 0.0968 x 450^0.75)(1 - e^(-0.192 (10 + 3.67))): NRC 2001 */
    ck_within(number("intake_kg_dm"), (0.372 * 1.12 * 14 + 0.0968 * 97.7038) * (1 - 0.072473), 2e-3);
    ck_assert(w.caution_count > 0 && w.source_count > 0);
}
END_TEST

START_TEST(pounds_are_understood_and_the_calf_counts)
{
    struct fail f = {0};
    ck_assert_msg(ASK("ration", &f, "weight=1000lb", "milk=0", "in_calf=250", "feed=grass-hay:20lb") == 0,
                  "%s", f.text);
    /* 453.59237 kg: maintenance 7.8630 Mcal; calf of 6.275 %: 28.463 kg, 2.2045 Mcal */
    ck_within(number("need_mcal"), 7.8631 + 2.2045, 1e-3);
    ck_within(number("have_mcal"), 20 * 0.45359237 * 0.84 * 1.15, 1e-9);
}
END_TEST

/* THI1. */
START_TEST(the_index_with_the_names_that_are_promised)
{
    ck_assert_int_eq(ASK("thi", NULL, "temp=72F", "rh=100%"), 0);
    ck_within(number("thi"), 72, 0.01);
    ck_assert_str_eq(working_find(&w, "band", -1)->text, "moderate");
    ck_assert_int_eq(ASK("thi", NULL, "temp=32C", "rh=22"), 0);
    ck_within(number("thi_mader"), 75.872, 0.001); /* THI2 */
    ck_assert_int_eq(ASK("thi", NULL, "temp=50F", "rh=50%"), 0);
    ck_assert_str_eq(working_find(&w, "band", -1)->text, "none");
    ck_assert_int_eq(w.caution_count, 0);
}
END_TEST

START_TEST(slips_get_one_line)
{
    struct fail f = {0};
    ck_assert_int_eq(ASK("ration", &f, "weight=450kg", "milk=14kg"), -1);
    ck_assert(strstr(f.text, "feed= is missing") != NULL);
    ck_assert_int_eq(ASK("ration", &f, "weight=450kg", "milk=14kg", "feed=moonbeams:3kg"), -1);
    ck_assert_int_eq(f.code, FAIL_INPUT);
    ck_assert_int_eq(ASK("ration", &f, "weight=45kg", "milk=14kg", "feed=oats:3kg"), -1);
    ck_assert(strstr(f.text, "A cow of 45 kg cannot be meant") != NULL);
    ck_assert_int_eq(ASK("thi", &f, "temp=72F", "rh=130%"), -1);
    ck_assert_int_eq(f.code, FAIL_INPUT);
}
END_TEST

Suite *reckon_feeding_suite(void)
{
    Suite *s = suite_create("reckon_feeding");
    TCase *t = tcase_create("reckon_feeding");
    tcase_add_test(t, the_ration_with_the_names_that_are_promised);
    tcase_add_test(t, pounds_are_understood_and_the_calf_counts);
    tcase_add_test(t, the_index_with_the_names_that_are_promised);
    tcase_add_test(t, slips_get_one_line);
    suite_add_tcase(s, t);
    return s;
}
