/* Wash water. Heat balance and Newton's law: OpenStax University Physics 2 (1.4), Calculus 1 (6.8: T = Ta +
 * (T0 - Ta) e^(-kt)); the rows with an id are worked by hand from those formulas. Floor of 120 °F: Ontario,
 * bucket milking machines (2010). */
#include "core/sanitation/washwater.h"

#include "core/cooling/newton.h"
#include "tests/support.h"

static double c(double temp_f)
{
    return temp_c_from_f(temp_f);
}

static struct wash_ask ask_of(double start_f, double room_f)
{
    return (struct wash_ask){.start_c = c(start_f),
                             .room_c = c(room_f),
                             .floor_c = c(WASH_FLOOR_F),
                             .k_per_min = NAN,
                             .last_min = NAN,
                             .heater_c = NAN};
}

START_TEST(hot_and_cold_make_what_a_heat_balance_says)
{
    struct temper t;
    struct fail f = {0};
    /* MX1: 2 gal at 140 and 1 at 55 °F make (280 + 55) / 3 = 111.667 °F. */
    ck_assert_int_eq(temper_reckon(c(140), c(55), c(335 / 3.0), 3, &t, NULL, &f), 0);
    ck_within(t.hot_l, 2, 1e-9);
    ck_within(t.cold_l, 1, 1e-9);
    ck_within(temp_f_from_c(water_with_steel_c(11.36, c(160), 3, c(60))), 156.9, 0.1); /* MT1 */
    /* Hot 180, cold 55, want 10 gal at 165 °F: 8.8 + 1.2 gal. */
    ck_assert_int_eq(temper_reckon(c(180), c(55), c(165), 10 * L_PER_GAL, &t, NULL, &f), 0);
    ck_within(t.hot_l / L_PER_GAL, 8.8, 1e-9);
    ck_within(t.cold_l / L_PER_GAL, 1.2, 1e-9);
}
END_TEST

START_TEST(what_cannot_be_mixed_is_said)
{
    static struct working w;
    struct temper t;
    struct fail f = {0};
    working_init(&w, "temper"); /* MX3: target 150, hot 140 °F */
    ck_assert_int_eq(temper_reckon(c(140), c(55), c(150), 10, &t, &w, &f), 0);
    ck_assert(isnan(t.hot_l) && isnan(t.cold_l));
    ck_assert_str_eq(w.why, "Water of 140 °F cannot make 150 °F.");
    ck_assert_int_eq(working_find(&w, "hot_l", -1)->kind, FIGURE_NONE);
    working_init(&w, "temper");
    ck_assert_int_eq(temper_reckon(c(140), c(55), c(50), 10, &t, &w, &f), 0);
    ck_assert_str_eq(w.why, "50 °F is colder than the cold water (55 °F).");
    t.hot_l = -1; /* MX4: hot = cold */
    ck_assert_int_eq(temper_reckon(c(140), c(140), c(140), 10, &t, NULL, &f), -1);
    ck_assert_str_eq(f.text,
                     "The hot water (140 °F) is no hotter than the cold (140 °F); nothing can be mixed from "
                     "them.");
    ck_assert_int_eq(temper_reckon(c(55), c(140), c(100), 10, &t, NULL, &f), -1);
    ck_assert_int_eq(temper_reckon(c(140), c(55), c(100), 0, &t, NULL, &f), -1);
    ck_assert_str_eq(f.text, "volume: there must be water, as 3gal or 10L.");
    ck_assert(t.hot_l == -1);
}
END_TEST

START_TEST(two_readings_tell_how_long_the_water_stays_hot)
{
    struct wash wash;
    struct fail f = {0};
    struct wash_reading readings[] = {{0, c(160)}, {5, c(150)}};
    struct wash_ask ask = ask_of(160, 60);
    ask.reading = readings;
    ask.reading_count = 2;
    ask.last_min = 10;
    ck_assert_msg(wash_reckon(&ask, &wash, NULL, &f) == 0, "%s", f.text);
    ck_within(wash.k_per_min, 0.021072, 1e-6);                                            /* NC1 */
    ck_within(wash.time_min, 24.24, 0.01);                                                /* NC1 */
    ck_within(temp_f_from_c(newton_temp(c(160), c(60), wash.k_per_min, 10)), 141.0, 0.1); /* NC2 */
    ck_within(temp_f_from_c(wash.start_needed_c), 134.07, 0.05);                          /* NC3 */
    ck_assert(wash.heater_enough);
}
END_TEST

START_TEST(several_readings_are_fitted_through_the_start)
{
    struct wash wash;
    struct wash_reading readings[6];
    struct wash_ask ask = ask_of(165, 52);
    /* Readings made from the law itself give its rate back... */
    for (int i = 0; i < 6; i++)
        readings[i] = (struct wash_reading){2 + 3 * i, newton_temp(c(165), c(52), 0.018, 2 + 3 * i)};
    ask.reading = readings;
    ask.reading_count = 6;
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, NULL), 0);
    ck_near(wash.k_per_min, 0.018, 1e-12);
    /* ...and a thermometer that reads in whole °F moves it little. */
    for (int i = 0; i < 6; i++)
        readings[i].temp_c = c(round(temp_f_from_c(readings[i].temp_c)));
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, NULL), 0);
    ck_near(wash.k_per_min, 0.018, 0.03);
}
END_TEST

START_TEST(slips_of_the_thermometer_are_refused)
{
    /* clang-format off */
    static const struct {
        double room_f;
        struct wash_reading first, second; /* temperatures in °F */
        enum fail_code code;
        const char *line;
    } rows[] = {
        /* NC5: the second reading higher than the first. */
        {60, {5, 150}, {10, 152}, FAIL_REFUSED,
         "read: 152 °F after 150 °F: water in a sink does not grow warmer, so one of them is wrong; read again."},
        {60, {5, 150}, {10, 150}, FAIL_REFUSED, /* it only cools: standing still is wrong too */
         "read: 150 °F after 150 °F: water in a sink does not grow warmer, so one of them is wrong; read again."},
        {60, {5, 150}, {10, 60}, FAIL_REFUSED,
         "read: 60 °F is not warmer than the room (60 °F); one of them is wrong."},
        {60, {5, 150}, {5, 149}, FAIL_INPUT,
         "read: give the readings in order, each later than the one before, as 5:150F,10:141F."},
        {60, {6, 150}, {5, 149}, FAIL_INPUT,
         "read: give the readings in order, each later than the one before, as 5:150F,10:141F."},
        {60, {0, 60}, {5, 55}, FAIL_REFUSED,
         "read: 60 °F is not warmer than the room (60 °F); one of them is wrong."},
    };
    /* clang-format on */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fail f = {0};
        struct wash wash = {.k_per_min = -1};
        struct wash_reading readings[] = {rows[i].first, rows[i].second};
        struct wash_ask ask = ask_of(160, rows[i].room_f);
        readings[0].temp_c = c(readings[0].temp_c);
        readings[1].temp_c = c(readings[1].temp_c);
        ask.reading = readings;
        ask.reading_count = 2;
        ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, &f), -1);
        ck_assert_str_eq(f.text, rows[i].line);
        ck_assert_int_eq(f.code, rows[i].code);
        ck_assert(wash.k_per_min == -1);
    }
    struct fail f = {0};
    struct wash wash;
    struct wash_ask ask = ask_of(160, 60);
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, &f), -1);
    ck_assert_str_eq(f.text,
                     "k: how fast does the sink cool? Give two readings (start= and read=5:150F) or k=.");
    struct wash_reading one = {0, c(160)};
    ask.reading = &one;
    ask.reading_count = 1;
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, &f), -1);
    ck_assert_str_eq(f.text, "read: one reading tells nothing; a second is needed some minutes later.");
    ask.reading_count = 0;
    ask.k_per_min = 0.02;
    ask.last_min = -1;
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, &f), -1);
    ck_assert_str_eq(f.text, "last: a wash lasts some minutes, as 10min.");
}
END_TEST

START_TEST(water_that_never_falls_or_is_there_already_is_said)
{
    static struct working w;
    struct wash wash;
    struct wash_ask ask = ask_of(160, 125); /* NC6: the room at or over the floor */
    ask.k_per_min = 0.02;
    working_init(&w, "washwater");
    ck_assert_int_eq(wash_reckon(&ask, &wash, &w, NULL), 0);
    ck_assert(isnan(wash.time_min));
    ck_assert_str_eq(w.why, "The room is as warm as the floor: the water never falls to 120 °F.");
    ask.last_min = 10; /* in such a room water poured at the floor is enough */
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, NULL), 0);
    ck_within(wash.start_needed_c, c(WASH_FLOOR_F), 1e-9);
    ask = ask_of(119, 60);
    ask.k_per_min = 0.02;
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, NULL), 0);
    ck_assert(wash.time_min == 0);
    ask.start_c = NAN; /* only the start needed was asked */
    ask.last_min = 10;
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, NULL), 0);
    ck_assert(isnan(wash.time_min) && wash.start_needed_c > c(WASH_FLOOR_F));
}
END_TEST

START_TEST(a_heater_that_cannot_do_it_is_said)
{
    static struct working w;
    struct wash wash;
    struct wash_ask ask = ask_of(120, 60);
    ask.k_per_min = 0.021072;
    ask.last_min = 10;
    ask.heater_c = c(120);
    working_init(&w, "washwater");
    ck_assert_int_eq(wash_reckon(&ask, &wash, &w, NULL), 0);
    ck_assert(!wash.heater_enough);
    ck_assert_str_eq(w.why,
                     "A heater at 120 °F cannot do it: a wash of 10 min that ends at 120 °F must start at "
                     "134.1 °F.");
    ck_assert_int_eq(working_find(&w, "heater_enough", -1)->kind, FIGURE_YES_NO);
    ck_assert(strstr(w.step[w.step_count - 1], "burns deep") != NULL); /* water of 134 °F scalds */
    ask.last_min = NAN; /* how long it must last is not said: no heater can be judged */
    working_init(&w, "washwater");
    ck_assert_int_eq(wash_reckon(&ask, &wash, &w, NULL), 0);
    ck_assert(working_find(&w, "heater_enough", -1) == NULL);
    ask.last_min = 10;
    ask.heater_c = c(135);
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, NULL), 0);
    ck_assert(wash.heater_enough);
    ask.last_min = 60; /* 60 + 60 e^(0.021072 x 60) = 272 °F */
    working_init(&w, "washwater");
    ck_assert_int_eq(wash_reckon(&ask, &wash, &w, NULL), 0);
    ck_assert(isnan(wash.start_needed_c) && !wash.heater_enough);
    ck_assert(strstr(w.why, "hotter than boiling") != NULL);
}
END_TEST

/* MT1 once more: 3 kg of steel at 60 °F cools 3 gal at 160 °F by 3.1 °F. */
START_TEST(cold_gear_takes_its_share_of_the_heat)
{
    struct wash bare, wash;
    struct fail f = {0};
    struct wash_ask ask = ask_of(160, 60);
    ask.k_per_min = 0.021072;
    ask.last_min = 10;
    ck_assert_int_eq(wash_reckon(&ask, &bare, NULL, NULL), 0);
    ask.steel_kg = 3;
    ask.steel_c = c(60);
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, &f), -1);
    ck_assert_str_eq(f.text, "volume: how much water does the gear go into? Write volume=3gal.");
    ask.water_l = 3 * L_PER_GAL;
    ck_assert_int_eq(wash_reckon(&ask, &wash, NULL, NULL), 0);
    ck_within(temp_f_from_c(wash.start_c), 156.9, 0.1);
    ck_assert(wash.time_min < bare.time_min);
    /* Poured at what is needed, the gear leaves it at what a bare sink needs. */
    ck_within(water_with_steel_c(ask.water_l, wash.start_needed_c, 3, c(60)), bare.start_needed_c, 1e-9);
}
END_TEST

START_TEST(time_and_start_needed_are_each_others_inverse)
{
    struct stream s = {31};
    for (int n = 0; n < 5000; n++) {
        struct wash there, back;
        struct wash_ask ask = ask_of(stream_uniform(&s, 125, 200), stream_uniform(&s, 20, 110));
        ask.k_per_min = stream_uniform(&s, 0.005, 0.05);
        if (wash_reckon(&ask, &there, NULL, NULL) != 0)
            ck_abort_msg("refused");
        ask.last_min = there.time_min;
        if (wash_reckon(&ask, &back, NULL, NULL) != 0 || fabs(back.start_needed_c - ask.start_c) > 1e-9)
            ck_abort_msg("start %.12f, needed %.12f", ask.start_c, back.start_needed_c);
    }
}
END_TEST

/* US Consumer Product Safety Commission: 150 °F 2 s, 140 °F 5 to 6 s, 130 °F 30 s, 120 °F 5 min. */
START_TEST(scald_times_are_never_longer_than_the_table_says)
{
    static const struct {
        double temp_f, seconds;
    } rows[] = {{120, 300}, {125, 30}, {130, 30}, {139, 5}, {140, 5}, {141, 2}, {150, 2}, {165, 2}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        ck_assert_msg(scald_seconds(c(rows[i].temp_f)) == rows[i].seconds, "%.0f °F: %.0f s", rows[i].temp_f,
                      scald_seconds(c(rows[i].temp_f)));
    ck_assert(isnan(scald_seconds(c(119))) && isnan(scald_seconds(NAN)));
}
END_TEST

Suite *washwater_suite(void)
{
    Suite *s = suite_create("washwater");
    TCase *t = tcase_create("washwater");
    tcase_add_test(t, hot_and_cold_make_what_a_heat_balance_says);
    tcase_add_test(t, what_cannot_be_mixed_is_said);
    tcase_add_test(t, two_readings_tell_how_long_the_water_stays_hot);
    tcase_add_test(t, several_readings_are_fitted_through_the_start);
    tcase_add_test(t, slips_of_the_thermometer_are_refused);
    tcase_add_test(t, water_that_never_falls_or_is_there_already_is_said);
    tcase_add_test(t, a_heater_that_cannot_do_it_is_said);
    tcase_add_test(t, cold_gear_takes_its_share_of_the_heat);
    tcase_add_test(t, time_and_start_needed_are_each_others_inverse);
    tcase_add_test(t, scald_times_are_never_longer_than_the_table_says);
    suite_add_tcase(s, t);
    return s;
}
