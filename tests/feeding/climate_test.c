#include "core/feeding/climate.h"

#include "core/base/quantity.h"
#include "tests/support.h"

/* Table of the °F form, worked out by hand to one place. */
START_TEST(the_table_of_the_first_form)
{
    static const double rh[] = {20, 40, 60, 80, 100};
    /* clang-format off */
    static const double rows[][6] = {
        {70,  64.7, 66.0, 67.4, 68.7, 70.0 },
        {75,  67.5, 69.4, 71.3, 73.1, 75.0 },
        {80,  70.3, 72.7, 75.2, 77.6, 80.0 },
        {85,  73.1, 76.1, 79.1, 82.0, 85.0 },
        {90,  75.9, 79.4, 83.0, 86.5, 90.0 },
        {95,  78.7, 82.8, 86.9, 90.9, 95.0 },
        {100, 81.5, 86.1, 90.8, 95.4, 100.0},
    };
    /* clang-format on */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        for (int k = 0; k < 5; k++)
            ck_within(thi_of(temp_c_from_f(rows[i][0]), rh[k]), rows[i][k + 1], 0.0501);
}
END_TEST

/* THI1: 72 at 72 °F/100 %, 77 °F/50 %, 82 °F/20 % (De Vries, Economics of heat stress). 78 at 31 °C/40 % and
 * 27 °C/80 %. */
START_TEST(published_points_of_the_first_form)
{
    ck_within(thi_of(temp_c_from_f(72), 100), 72, 0.6);
    ck_within(thi_of(temp_c_from_f(77), 50), 72, 0.6);
    ck_within(thi_of(temp_c_from_f(82), 20), 72, 0.6);
    ck_within(thi_of(31, 40), 78, 0.12);
    ck_within(thi_of(27, 80), 78, 0.12);
}
END_TEST

/* THI2: 32 °C, 22 %: 75.9 (What is the THI and how can you use it on your farm). */
START_TEST(published_point_of_the_second_form)
{
    ck_within(thi_mader(32, 22), 75.872, 0.001);
    ck_within(thi_mader(32, 22), 75.9, 0.05);
}
END_TEST

/* The Celsius form, (1.8T + 32) - (0.55 - 0.0055 RH)(1.8T - 26), is the same. */
START_TEST(both_scales_agree)
{
    for (int t = -10; t <= 45; t += 5)
        for (int rh = 0; rh <= 100; rh += 20)
            ck_within(thi_of(t, rh), (1.8 * t + 32) - (0.55 - 0.0055 * rh) * (1.8 * t - 26), 1e-9);
}
END_TEST

/* 68 to 71 mild, 72 to 79 moderate, 80 to 89 severe (same page); above from memory. */
START_TEST(bands)
{
    /* clang-format off */
    static const struct {
        double thi;
        enum thi_band band;
        const char *word;
    } rows[] = {
        {40,   THI_NONE,     "none"    },
        {67.9, THI_NONE,     "none"    },
        {68,   THI_MILD,     "mild"    },
        {71.9, THI_MILD,     "mild"    },
        {72,   THI_MODERATE, "moderate"},
        {79.9, THI_MODERATE, "moderate"},
        {80,   THI_SEVERE,   "severe"  },
        {89.9, THI_SEVERE,   "severe"  },
        {90,   THI_EXTREME,  "extreme" },
        {120,  THI_EXTREME,  "extreme" },
    };
    /* clang-format on */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert_int_eq(thi_band_of(rows[i].thi), rows[i].band);
        ck_assert_str_eq(thi_band_word(rows[i].band), rows[i].word);
    }
    ck_assert(strstr(thi_band_advice(THI_EXTREME), "veterinarian") != NULL);
}
END_TEST

START_TEST(weather_that_cannot_be_is_refused)
{
    struct heat_stress s;
    struct fail f = {0};
    ck_assert_int_eq(heat_stress_of(80, 50, &s, NULL, &f), -1);
    ck_assert_int_eq(heat_stress_of(30, 101, &s, NULL, &f), -1);
    ck_assert_str_eq(f.text, "Humidity is between 0 and 100 %.");
    ck_assert_int_eq(heat_stress_of(NAN, 50, &s, NULL, &f), -1);
    ck_assert_int_eq(heat_stress_of(31, 40, &s, NULL, &f), 0);
    ck_assert_int_eq(s.band, THI_MODERATE);
    /* -40 to 60 °C and 0 to 100 %, the limits themselves among them */
    static const double at[][2] = {{-40, 50}, {60, 50}, {20, 0}, {20, 100}};
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++)
        ck_assert_int_eq(heat_stress_of(at[i][0], at[i][1], &s, NULL, &f), 0);
    ck_assert_int_eq(heat_stress_of(nextafter(-40, -100), 50, &s, NULL, &f), -1);
    ck_assert_int_eq(heat_stress_of(nextafter(60, 100), 50, &s, NULL, &f), -1);
    ck_assert_int_eq(heat_stress_of(20, nextafter(0, -1), &s, NULL, &f), -1);
    ck_assert_int_eq(heat_stress_of(20, nextafter(100, 200), &s, NULL, &f), -1);
}
END_TEST

Suite *climate_suite(void)
{
    Suite *s = suite_create("climate");
    TCase *t = tcase_create("climate");
    tcase_add_test(t, the_table_of_the_first_form);
    tcase_add_test(t, published_points_of_the_first_form);
    tcase_add_test(t, published_point_of_the_second_form);
    tcase_add_test(t, both_scales_agree);
    tcase_add_test(t, bands);
    tcase_add_test(t, weather_that_cannot_be_is_refused);
    suite_add_tcase(s, t);
    return s;
}
