/* Ice and jars for tomorrow, and what a power cut does. */
#include "core/cooling/tonight.h"

#include "core/base/quantity.h"
#include "core/cooling/matter.h"
#include "core/cooling/outage.h"
#include "tests/support.h"

static struct jar_list jars;

static void load(void)
{
    struct fail f = {0};
    ck_assert_msg(jar_list_load(&jars, &f) == 0, "%s", f.text);
}

static struct ice_facts litre(void)
{
    return (struct ice_facts){.milk_l = 1, .from_c = 35, .to_c = temp_c_from_f(40), .fat_pct = 4};
}

START_TEST(a_litre_of_milk_needs_about_a_third_of_a_kilogram)
{
    /* 1.03 kg/L and 3.89 kJ/kgK, as the trade rounds them: 122.4269 kJ, 0.36704 kg; with 0.45 kg of glass
     * 0.40167 kg. */
    struct ice_facts x = litre();
    struct ice_need n;
    struct fail f = {0};
    ck_assert_msg(ice_needed(&x, &n, NULL, &f) == 0, "%s", f.text);
    ck_near(n.heat_kj, 122.4269, 0.005);
    ck_near(n.ice_kg, 0.36704, 0.005);
    x.glass_kg = 0.45;
    ck_assert(ice_needed(&x, &n, NULL, &f) == 0);
    ck_near(n.ice_kg, 0.40167, 0.005);
    ck_near(n.ice_kg - n.milk_kj / 333.55, 0.45 * 0.84 * (35 - 40 / 9.0) / 333.55, 1e-9);
}
END_TEST

START_TEST(tap_water_can_need_more_ice_than_the_milk)
{
    /* Ten litres at 15 C: 1.88248 kg. */
    struct ice_facts x = litre();
    struct ice_need n;
    struct working w;
    struct fail f = {0};
    x.water_l = 10;
    x.water_c = 15;
    working_init(&w, "ice");
    ck_assert(ice_needed(&x, &n, &w, &f) == 0);
    ck_near(n.water_ice_kg, 1.88248, 1e-5);
    ck_assert(n.water_ice_kg > n.milk_ice_kg);
    ck_near(n.ice_kg, n.water_ice_kg + n.milk_ice_kg, 1e-12);
    ck_assert_int_eq(w.caution_count, 2);
    ck_near(working_find(&w, "ice_lb", -1)->number, n.ice_kg / 0.45359237, 1e-12);
    ck_near(working_find(&w, "heat_kj", -1)->number, n.heat_kj, 1e-12);
}
END_TEST

START_TEST(ice_takes_up_what_the_books_say)
{
    /* V32: C 8 kJ/K from 35 C to 40 F with 333.55 kJ/kg: 0.7328569763 kg. OpenStax, University Physics 2,
     * ex. 1.10: a foam box of 0.950 m2, 2.50 cm, k 0.035, at 35 C for a day takes 4.02192e6 J, 12.04168 kg
     * with 334 kJ/kg. */
    ck_near(ice_for_heat(8 * (35 - temp_c_from_f(40)), 0), 0.7328569763, 1e-9);
    ck_near(ice_for_heat(4021.92, 0), 12.04168 * 334 / 333.55, 1e-6);
    ck_near(ice_for_heat(0.035 * 0.95 * 35 / 0.025 * 86400 / 1000, 0), 12.04168 * 334 / 333.55, 1e-6);
    /* Freezer ice counts its own warming: 2.09 kJ/kgK (OpenStax). */
    ck_near(ice_for_heat(333.55 + 2.09 * 18, -18), 1, 1e-12);
    /* From 100464 J for 0.800 kg of water by 30 K and 267200 J for its melting (334 kJ/kg), the same book. */
    ck_near(ice_for_heat(267.2, 0), 0.8 * 334 / 333.55, 1e-9);
}
END_TEST

START_TEST(ice_that_cannot_be_is_refused)
{
    static const struct {
        double milk, from, to, glass, water, water_c, room, ice_c;
        const char *says;
    } bad[] = {
        {-1, 35, 4.4, 0, 0, 0, 0, 0, "less than nothing"},
        {1, 35, 4.4, -1, 0, 0, 0, 0, "less than nothing"},
        {1, 35, 4.4, 0, -5, 10, 0, 0, "less than nothing"},
        {1, 35, 4.4, 0, 5, 10, -1, 0, "less than nothing"},
        {1, 35, 4.4, 0, 0, 0, 0, 2, "Ice at 2.0"},
        {1, 4, 5, 0, 0, 0, 0, 0, "no warmer"},
        {1, 35, 0, 0, 0, 0, 0, 0, "near 0"},
        {1, 35, 4.4, 0, 5, -3, 0, 0, "ice already"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct ice_facts x = {bad[i].milk,  bad[i].from,    bad[i].to,   4,           bad[i].glass,
                              bad[i].water, bad[i].water_c, bad[i].room, bad[i].ice_c};
        struct ice_need n;
        struct fail f = {0};
        ck_assert_int_eq(ice_needed(&x, &n, NULL, &f), -1);
        ck_assert_msg(strstr(f.text, bad[i].says) != NULL, "%zu: %s", i, f.text);
    }
}
END_TEST

static struct tonight_facts evening(double milk_l)
{
    return (struct tonight_facts){.milk_l = milk_l,
                                  .milk_c = 35,
                                  .fat_pct = 4,
                                  .target_c = temp_c_from_f(40),
                                  .water_l = 20,
                                  .water_c = 14,
                                  .chilled_c = NAN,
                                  .ice_c = NAN,
                                  .room_c = 15,
                                  .room_w_per_k = NAN,
                                  .hours = 2};
}

static void hand(struct tonight_facts *x, const char *name, int count)
{
    x->jars[x->jar_kinds++] = (struct jars_on_hand){jar_find(&jars, name), count};
}

START_TEST(the_fewest_jars_hold_the_milk_and_no_larger_than_need_be)
{
    static const struct {
        double milk_l;
        int half, quart, gallon; /* on hand */
        int take_half, take_quart, take_gallon;
        double short_l;
    } rows[] = {
        {7.5, 10, 10, 0, 4, 0, 0, 0}, /* two gallons less a cup: four half gallons */
        {6.6, 10, 10, 0, 3, 1, 0, 0}, /* the last one is a quart */
        {1.0, 10, 10, 0, 1, 0, 0, 0}, /* a litre does not go into a quart */
        {0.9, 10, 10, 0, 0, 1, 0, 0},
        {7.5, 2, 10, 0, 2, 4, 0, 0}, /* 7.57 L in two half gallons and four quarts */
        {12.0, 2, 3, 0, 2, 3, 0, 12 - 2 * 1.892706 - 3 * 0.946353},
        {7.5, 10, 10, 2, 0, 0, 2, 0}, /* gallons chill within the two hours and are fewer */
        {0.0, 10, 10, 0, 0, 0, 0, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct tonight_facts x = evening(rows[i].milk_l);
        struct tonight_plan p;
        struct fail f = {0};
        hand(&x, "half-gallon", rows[i].half);
        hand(&x, "quart", rows[i].quart);
        hand(&x, "gallon", rows[i].gallon);
        ck_assert_msg(tonight_plan(&x, &p, NULL, &f) == 0, "%s", f.text);
        ck_assert_msg(p.jars[0] == rows[i].take_half && p.jars[1] == rows[i].take_quart &&
                          p.jars[2] == rows[i].take_gallon,
                      "row %zu: %d half gallons, %d quarts, %d gallons", i, p.jars[0], p.jars[1], p.jars[2]);
        ck_within(p.short_l, rows[i].short_l, 1e-6);
        ck_assert_int_eq(p.jar_count, p.jars[0] + p.jars[1] + p.jars[2]);
    }
}
END_TEST

START_TEST(jars_that_chill_too_slowly_come_last)
{
    struct tonight_facts x = evening(7.5);
    struct tonight_plan p;
    struct fail f = {0};
    x.hours = 1.05; /* still ice water needs longer than that for a gallon */
    hand(&x, "gallon", 2);
    hand(&x, "half-gallon", 3);
    ck_assert(tonight_plan(&x, &p, NULL, &f) == 0);
    ck_assert_int_eq(p.jars[1], 3);
    ck_assert_int_eq(p.jars[0], 1);
    ck_assert_msg(p.slowest_min > 63, "slowest %g", p.slowest_min);
}
END_TEST

START_TEST(the_plan_adds_up_and_shows_what_chilled_water_saves)
{
    struct tonight_facts x = evening(15);
    struct tonight_plan p, colder;
    struct working w;
    struct fail f = {0};
    hand(&x, "half-gallon", 12);
    working_init(&w, "tonight");
    ck_assert(tonight_plan(&x, &p, &w, &f) == 0);
    ck_assert_int_eq(p.jars[0], 8);
    ck_near(p.heat_kj, p.milk_kj + p.glass_kj + p.water_kj + p.room_kj, 1e-12);
    ck_near(p.water_kj, 20 * 4.186 * 14, 1e-9);
    ck_near(p.ice_kg, p.heat_kj / 333.55, 1e-9);
    ck_near(p.ice_saved_kg, 20 * 4.186 * (14 - 4) / 333.55, 1e-9);
    ck_near(p.ice_advised_kg, p.ice_kg * 7 / 6, 1e-12);
    ck_near(p.room_kj, tub_room_w_per_k(20) * 15 * 2 * 3.6, 1e-12);
    ck_near(p.glass_kj, 8 * 0.9 * 0.84 * (35 - 40 / 9.0), 1e-9);
    ck_assert(working_find(&w, "ice_saved_kg", -1) != NULL && working_find(&w, "take", 0) != NULL);
    /* About 3.3 lb of ice a gallon of milk for milk from 99 to 39 F (a keeper's own sum,
     * velociraptorranch.com, July 2021). */
    ck_near(ice_for_heat(3.785411784 * milk_j_per_l_k(4) * (99 - 39) / 1.8 / 1000, 0) / 0.45359237, 3.3,
            0.02);
    x.ice_c = -18;
    ck_assert(tonight_plan(&x, &colder, NULL, &f) == 0);
    ck_assert(colder.ice_kg < p.ice_kg * 0.92 && colder.ice_kg > p.ice_kg * 0.88);
    x.hours = -1;
    ck_assert_int_eq(tonight_plan(&x, &p, NULL, &f), -1);
    x.hours = 2;
    x.jars[0].count = -1;
    ck_assert_int_eq(tonight_plan(&x, &p, NULL, &f), -1);
}
END_TEST

/* --- the power was out --- */

static struct outage_facts cut(double minutes)
{
    return (struct outage_facts){.minutes = minutes,
                                 .start_c = 3,
                                 .room_c = 21,
                                 .contents_kg = NAN,
                                 .walls_w_per_k = NAN,
                                 .end_c = NAN,
                                 .recover_per_min = NAN};
}

START_TEST(two_hours_above_forty_degrees_are_too_long)
{
    /* Above 40 F for two hours: discard (Ohio Department of Natural Resources council, February 2021). */
    struct outage o;
    struct working w;
    struct fail f = {0};
    struct outage_facts x = cut(20);
    ck_assert_msg(outage_judge(&x, &o, NULL, &f) == 0, "%s", f.text);
    ck_assert_int_eq(o.verdict, OUTAGE_KEEP);
    ck_assert(isnan(o.warm_from_min) && o.warm_min == 0);
    x = cut(600);
    working_init(&w, "outage");
    ck_assert(outage_judge(&x, &o, &w, &f) == 0);
    ck_assert_int_eq(o.verdict, OUTAGE_DISCARD);
    ck_assert(o.warm_from_min > 30 && o.warm_from_min < 120 && o.warm_min > 480);
    ck_assert_str_eq(working_find(&w, "verdict", -1)->text, "discard");
    /* The longest cut that will do is the one that just makes two hours above 40 F, recovery included. */
    x = cut(o.safe_minutes - 0.01);
    ck_assert(outage_judge(&x, &o, NULL, &f) == 0);
    ck_assert_int_eq(o.verdict, OUTAGE_USE_NOW);
    ck_within(o.warm_min, 120, 0.1);
    x = cut(o.safe_minutes + 0.01);
    ck_assert(outage_judge(&x, &o, NULL, &f) == 0);
    ck_assert_int_eq(o.verdict, OUTAGE_DISCARD);
    /* A shut refrigerator keeps food safe for about four hours (the advice of US food agencies; from memory):
     * at 3 C to begin with, in a room of 21 C, ours passes 40 F earlier and has used up its two hours by
     * about then. */
    ck_assert_msg(o.safe_minutes > 90 && o.safe_minutes < 300, "safe for %g min", o.safe_minutes);
}
END_TEST

START_TEST(a_reading_at_the_end_sets_the_rate)
{
    struct outage o;
    struct fail f = {0};
    struct outage_facts x = cut(180);
    x.end_c = 6;
    ck_assert(outage_judge(&x, &o, NULL, &f) == 0);
    ck_near(o.end_c, 6, 1e-12);
    ck_near(o.rate_per_min, log(18.0 / 15) / 180, 1e-9); /* Newton's law, one reading */
    ck_near(outage_temp_c(&x, &o, 90), 21 - 18 * sqrt(15.0 / 18), 1e-9);
    x.end_c = 3.5;
    ck_assert(outage_judge(&x, &o, NULL, &f) == 0);
    ck_assert_int_eq(o.verdict, OUTAGE_KEEP);
    x.end_c = 2.8; /* within what a thermometer differs from itself: no warming seen */
    ck_assert(outage_judge(&x, &o, NULL, &f) == 0);
    ck_assert(o.rate_per_min == 0 && isinf(o.safe_minutes));
    x.end_c = 2.51; /* half a degree is allowed, and no more */
    ck_assert_int_eq(outage_judge(&x, &o, NULL, &f), 0);
    x.end_c = 2.49;
    ck_assert_int_eq(outage_judge(&x, &o, NULL, &f), -1);
}
END_TEST

START_TEST(a_cut_in_a_cold_room_does_no_harm_and_nonsense_is_refused)
{
    struct outage o;
    struct fail f = {0};
    struct outage_facts x = cut(3000);
    x.room_c = 4;
    ck_assert(outage_judge(&x, &o, NULL, &f) == 0);
    ck_assert_int_eq(o.verdict, OUTAGE_KEEP);
    ck_assert(isinf(o.safe_minutes));
    x = cut(-1);
    ck_assert_int_eq(outage_judge(&x, &o, NULL, &f), -1);
    x = cut(60);
    x.end_c = 25;
    ck_assert_int_eq(outage_judge(&x, &o, NULL, &f), -1);
    x.end_c = 1;
    ck_assert_int_eq(outage_judge(&x, &o, NULL, &f), -1);
    ck_assert_msg(strstr(f.text, "colder") != NULL, "%s", f.text);
    x = cut(60);
    x.room_c = NAN;
    ck_assert_int_eq(outage_judge(&x, &o, NULL, &f), -1);
    static const struct {
        double contents, walls, recover;
    } nonsense[] = {{0, NAN, NAN}, {-2, NAN, NAN}, {NAN, -1, NAN}, {NAN, NAN, 0}};
    for (size_t i = 0; i < sizeof nonsense / sizeof nonsense[0]; i++) {
        x = cut(60);
        x.contents_kg = nonsense[i].contents;
        x.walls_w_per_k = nonsense[i].walls;
        x.recover_per_min = nonsense[i].recover;
        ck_assert_int_eq(outage_judge(&x, &o, NULL, &f), -1);
        ck_assert_msg(strstr(f.text, "above zero") != NULL, "%s", f.text);
    }
    x = cut(0);
    x.start_c = 6; /* too warm to begin with: it counts from the start */
    ck_assert(outage_judge(&x, &o, NULL, &f) == 0);
    ck_assert(o.warm_from_min == 0 || o.warm_min == 0);
}
END_TEST

START_TEST(longer_cuts_are_never_safer)
{
    struct stream s = {404};
    for (int i = 0; i < 2000; i++) {
        struct outage_facts x = cut(stream_uniform(&s, 0, 1500));
        struct outage a, b;
        struct fail f = {0};
        x.start_c = stream_uniform(&s, 0.5, 6);
        x.room_c = stream_uniform(&s, 0, 35);
        x.contents_kg = stream_uniform(&s, 3, 60);
        if (outage_judge(&x, &a, NULL, &f) != 0)
            ck_abort_msg("%s", f.text);
        x.minutes += 10;
        if (outage_judge(&x, &b, NULL, &f) != 0)
            ck_abort_msg("%s", f.text);
        if (b.verdict < a.verdict || b.warm_min < a.warm_min - 1e-9)
            ck_abort_msg("case %d: %g min warm after %g, %g after ten more", i, a.warm_min, x.minutes - 10,
                         b.warm_min);
    }
}
END_TEST

Suite *tonight_suite(void)
{
    Suite *s = suite_create("tonight");
    TCase *t = tcase_create("tonight");
    tcase_add_checked_fixture(t, load, NULL);
    tcase_add_test(t, a_litre_of_milk_needs_about_a_third_of_a_kilogram);
    tcase_add_test(t, tap_water_can_need_more_ice_than_the_milk);
    tcase_add_test(t, ice_takes_up_what_the_books_say);
    tcase_add_test(t, ice_that_cannot_be_is_refused);
    tcase_add_test(t, the_fewest_jars_hold_the_milk_and_no_larger_than_need_be);
    tcase_add_test(t, jars_that_chill_too_slowly_come_last);
    tcase_add_test(t, the_plan_adds_up_and_shows_what_chilled_water_saves);
    tcase_add_test(t, two_hours_above_forty_degrees_are_too_long);
    tcase_add_test(t, a_reading_at_the_end_sets_the_rate);
    tcase_add_test(t, a_cut_in_a_cold_room_does_no_harm_and_nonsense_is_refused);
    tcase_add_test(t, longer_cuts_are_never_safer);
    suite_add_tcase(s, t);
    return s;
}
