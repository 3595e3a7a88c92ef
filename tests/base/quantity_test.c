/* Quantities. Conversion factors: 1 lb = 0.45359237 kg and 1 in = 0.0254 m exactly (international yard and
 * pound agreement, 1959); 1 US gal = 231 in3; temperatures V51 of the cooling reference (45 F = 7.222222 C
 * and so on). */

#include "core/base/quantity.h"
#include "tests/support.h"

static double parsed(const char *text, enum dimension dim, const char *bare)
{
    double si = NAN;
    struct fail f = {0};
    ck_assert_msg(quantity_parse(text, dim, bare, &si, &f) == 0, "%s: %s", text, f.text);
    return si;
}

START_TEST(every_form_of_the_command_line_is_read)
{
    static const struct {
        const char *text;
        enum dimension dim;
        double si;
    } forms[] = {
        {"95F",       DIM_TEMPERATURE,   35                },
        {"95 °F",    DIM_TEMPERATURE,   35                },
        {"35C",       DIM_TEMPERATURE,   35                },
        {"-4F",       DIM_TEMPERATURE,   -20               },
        {"45F",       DIM_TEMPERATURE,   7.2222222222222222}, /* V51 */
        {"40F",       DIM_TEMPERATURE,   4.4444444444444444}, /* V51 */
        {"50F",       DIM_TEMPERATURE,   10                }, /* V51 */
        {"41F",       DIM_TEMPERATURE,   5                 }, /* V51 */
        {"2qt",       DIM_VOLUME,        2 * 0.946352946   },
        {"0.5gal",    DIM_VOLUME,        1.892705892       },
        {".5 gallon", DIM_VOLUME,        1.892705892       },
        {"1.9L",      DIM_VOLUME,        1.9               },
        {"1 tbsp",    DIM_VOLUME,        0.01478676478125  },
        {"4.5 fl oz", DIM_VOLUME,        0.13308088303125  },
        {"48.5lb",    DIM_MASS,          21.999229945      },
        {"22kg",      DIM_MASS,          22                },
        {"1e-3kg",    DIM_MASS,          0.001             },
        {"1e+2kg",    DIM_MASS,          100               },
        {"20min",     DIM_DURATION,      1200              },
        {"2h",        DIM_DURATION,      7200              },
        {"1h30",      DIM_DURATION,      5400              },
        {"1h30min",   DIM_DURATION,      5400              },
        {"1 h 30",    DIM_DURATION,      5400              },
        {"2d 4h",     DIM_DURATION,      187200            },
        {"5min30",    DIM_DURATION,      330               },
        {"36 hours",  DIM_DURATION,      129600            },
        {"100ppm",    DIM_CONCENTRATION, 100               },
        {"8.25%",     DIM_PERCENT,       8.25              },
        {"14inHg",    DIM_PRESSURE,      14 * 3.386389     },
        {"48kPa",     DIM_PRESSURE,      48                },
        {"70 in",     DIM_LENGTH,        1.778             },
        {"0.065/min", DIM_RATE,          0.065             },
        {"200000",    DIM_DENSITY_COUNT, 200000            },
        {"1e5/mL",    DIM_DENSITY_COUNT, 100000            },
        {"4",         DIM_COUNT,         4                 },
        {"-3.5",      DIM_NUMBER,        -3.5              },
        {"200kJ",       DIM_ENERGY,        200                },
        {"1 BTU",       DIM_ENERGY,        1.05505585262      }, /* International Table BTU, exact */
        {"0.5kWh",      DIM_ENERGY,        1800               },
    };
    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++)
        ck_within(parsed(forms[i].text, forms[i].dim, NULL), forms[i].si, 1e-9 * (1 + fabs(forms[i].si)));
}
END_TEST

START_TEST(a_bare_number_takes_the_unit_that_the_field_shows)
{
    ck_within(parsed("95", DIM_TEMPERATURE, "F"), 35, 1e-12);
    ck_within(parsed("35", DIM_TEMPERATURE, "C"), 35, 1e-12);
    ck_within(parsed("20", DIM_DURATION, "min"), 1200, 1e-12);
    double si = 7;
    struct fail f = {0};
    ck_assert_int_eq(quantity_parse("95", DIM_TEMPERATURE, NULL, &si, &f), -1);
    ck_assert_str_eq(f.text, "\"95\" has no unit; write it as 95F or 35C.");
    ck_assert(si == 7);
}
END_TEST

START_TEST(what_cannot_be_meant_is_refused_and_changes_nothing)
{
    static const struct {
        const char *text;
        enum dimension dim;
    } bad[] = {
        {"",                                                                                 DIM_MASS       },
        {"lb",                                                                               DIM_MASS       },
        {"48.5lbx",                                                                          DIM_MASS       },
        {"48.5 lb 3",                                                                        DIM_MASS       },
        {"-3lb",                                                                             DIM_MASS       },
        {"1e999kg",                                                                          DIM_MASS       },
        {"9e300kg",                                                                          DIM_MASS       },
        {"nan",                                                                              DIM_MASS       },
        {"nan kg",                                                                           DIM_MASS       },
        {"inf kg",                                                                           DIM_MASS       },
        {"0x10kg",                                                                           DIM_MASS       },
        {"48,5lb",                                                                           DIM_MASS       },
        {"1..2kg",                                                                           DIM_MASS       },
        {"95F",                                                                              DIM_MASS       },
        {"5lb",                                                                              DIM_VOLUME     },
        {"999F",                                                                             DIM_TEMPERATURE},
        {"-500C",                                                                            DIM_TEMPERATURE},
        {"1h90",                                                                             DIM_DURATION   },
        {"30min1h",                                                                          DIM_DURATION   },
        {"1h0.5h",                                                                           DIM_DURATION   },
        {"1h60",                                                                             DIM_DURATION   },
        {"1e=5kg",                                                                           DIM_MASS       },
        {"1h30x",                                                                            DIM_DURATION   },
        {"1h30min5",                                                                         DIM_DURATION   },
        {"101%",                                                                             DIM_PERCENT    },
        {"2.5",                                                                              DIM_COUNT      },
        {"-1",                                                                               DIM_COUNT      },
        {"12345678901",                                                                      DIM_COUNT      },
        {"1 kg\x1b[2J",                                                                      DIM_MASS       },
        {"111111111111111111111111111111111111111111111111111111111111111111111111111111kg", DIM_MASS       },
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        double si = 7;
        struct fail f = {0};
        ck_assert_msg(quantity_parse(bad[i].text, bad[i].dim, "kg", &si, &f) == -1, "\"%s\" was taken",
                      bad[i].text);
        ck_assert(si == 7);
        ck_assert_int_eq(f.code, FAIL_INPUT);
        ck_assert_msg(strlen(f.text) > 10 && strpbrk(f.text, "\n\033") == NULL, "%s", f.text);
    }
}
END_TEST

START_TEST(the_refusal_names_the_other_dimension)
{
    double si;
    struct fail f = {0};
    (void)quantity_parse("5lb", DIM_VOLUME, NULL, &si, &f);
    ck_assert_str_eq(f.text, "\"5lb\" is a weight, but a volume is needed; write it as 0.5gal, 2qt or 1.9L.");
}
END_TEST

START_TEST(what_is_shown_reads_back_to_what_is_shown)
{
    static const struct {
        enum dimension dim;
        double low, high;
    } spans[] = {
        {DIM_TEMPERATURE,   -40, 120},
        {DIM_VOLUME,        0,   60 },
        {DIM_MASS,          0,   900},
        {DIM_DURATION,      0,   3e6},
        {DIM_PERCENT,       0,   100},
        {DIM_CONCENTRATION, 0,   999},
        {DIM_PRESSURE,      0,   60 },
        {DIM_LENGTH,        0,   3  },
        {DIM_RATE,          0,   1  },
        {DIM_CONDUCTANCE,   0,   99 },
    };
    struct stream s = {20260503};
    for (size_t i = 0; i < sizeof spans / sizeof spans[0]; i++)
        for (int n = 0; n < 4000; n++) {
            char once[QUANTITY_TEXT_MAX], twice[QUANTITY_TEXT_MAX];
            enum unit_system units = n % 2 == 0 ? UNITS_US : UNITS_METRIC;
            double si = stream_uniform(&s, spans[i].low, spans[i].high);
            if (spans[i].dim == DIM_DURATION && si >= 3600)
                si = floor(si / 60) * 60; /* shown to the minute from an hour up */
            quantity_format(si, spans[i].dim, units, once);
            quantity_format(parsed(once, spans[i].dim, NULL), spans[i].dim, units, twice);
            ck_assert_str_eq(once, twice);
        }
}
END_TEST

START_TEST(what_the_store_keeps_shows_what_was_typed)
{
    /* Stored in thousandths of a degree, grams and millilitres: every tenth of a unit must survive. */
    for (int tenths = 320; tenths <= 2120; tenths++) {
        char typed[QUANTITY_TEXT_MAX], shown[QUANTITY_TEXT_MAX];
        quantity_format_in(temp_c_from_f(tenths / 10.0), DIM_TEMPERATURE, "F", 1, typed);
        int64_t stored = quantity_milli(parsed(typed, DIM_TEMPERATURE, NULL));
        quantity_format((double)stored / 1000, DIM_TEMPERATURE, UNITS_US, shown);
        ck_assert_str_eq(typed, shown);
        quantity_format_in(tenths / 10.0 * KG_PER_LB, DIM_MASS, "lb", 1, typed);
        stored = quantity_milli(parsed(typed, DIM_MASS, NULL));
        quantity_format((double)stored / 1000, DIM_MASS, UNITS_US, shown);
        ck_assert_str_eq(typed, shown);
    }
}
END_TEST

START_TEST(zero_is_never_minus_zero)
{
    char buf[QUANTITY_TEXT_MAX];
    ck_assert_str_eq(quantity_format(-0.001, DIM_TEMPERATURE, UNITS_METRIC, buf), "0 °C");
    /* found by fuzzing: a count of -0 was shown as -0/mL, and read back as 0/mL */
    ck_assert_str_eq(quantity_format(parsed("-0", DIM_DENSITY_COUNT, NULL), DIM_DENSITY_COUNT, UNITS_US, buf), "0/mL");
    ck_assert_str_eq(quantity_format(-0.4, DIM_COUNT, UNITS_US, buf), "0");
    ck_assert_str_eq(quantity_format(100, DIM_COUNT, UNITS_US, buf), "100");
    ck_assert_str_eq(quantity_format(NAN, DIM_MASS, UNITS_US, buf), "?");
    ck_assert_str_eq(quantity_format(5400, DIM_DURATION, UNITS_US, buf), "1 h 30");
    ck_assert_str_eq(quantity_format(259200, DIM_DURATION, UNITS_US, buf), "3 d");
    ck_assert_str_eq(quantity_format(172800, DIM_DURATION, UNITS_US, buf), "2 d"); /* days from two whole ones on */
    ck_assert_str_eq(quantity_format(172860, DIM_DURATION, UNITS_US, buf), "48 h 01");
    ck_assert_str_eq(quantity_format(86400, DIM_DURATION, UNITS_US, buf), "24 h 00");
    ck_assert_str_eq(quantity_format(3600, DIM_DURATION, UNITS_US, buf), "1 h 00");
    ck_assert_str_eq(quantity_format(60, DIM_DURATION, UNITS_US, buf), "1 min");
    ck_assert_str_eq(quantity_format(59, DIM_DURATION, UNITS_US, buf), "59 s");
    ck_assert_str_eq(quantity_format(90, DIM_DURATION, UNITS_US, buf), "1 min 30");
    /* a sign that belongs to the number stands at it, a unit after a blank */
    ck_assert_str_eq(quantity_format_in(8.25, DIM_PERCENT, "%", 2, buf), "8.25%");
    ck_assert_str_eq(quantity_format_in(0.065, DIM_RATE, "/min", 3, buf), "0.065/min");
    ck_assert_str_eq(quantity_format_in(22, DIM_MASS, "kg", 1, buf), "22 kg");
    ck_assert_str_eq(quantity_format_in(4, DIM_COUNT, "", 0, buf), "4");
    /* the fixed points of both scales, and the degree of each: 212 °F is 100 °C, 50 °F is 10 °C (V51) */
    ck_within(temp_c_from_f(212), 100, 1e-12);
    ck_within(temp_c_from_f(50), 10, 1e-12);
    ck_within(temp_f_from_c(100), 212, 1e-12);
    /* quantity.h: what does not fit is nothing */
    ck_assert_int_eq(quantity_milli(8.999e12), 8999000000000000);
    ck_assert_int_eq(quantity_milli(-8.999e12), -8999000000000000);
    ck_assert_int_eq(quantity_milli(9e12), 0);
    ck_assert_int_eq(quantity_milli(-9e12), 0);
    ck_assert_int_eq(quantity_milli(NAN), 0);
    ck_assert_int_eq(quantity_milli(1e300), 0);
}
END_TEST

Suite *quantity_suite(void)
{
    Suite *s = suite_create("quantity");
    TCase *t = tcase_create("quantity");
    tcase_add_test(t, every_form_of_the_command_line_is_read);
    tcase_add_test(t, a_bare_number_takes_the_unit_that_the_field_shows);
    tcase_add_test(t, what_cannot_be_meant_is_refused_and_changes_nothing);
    tcase_add_test(t, the_refusal_names_the_other_dimension);
    tcase_add_test(t, what_is_shown_reads_back_to_what_is_shown);
    tcase_add_test(t, what_the_store_keeps_shows_what_was_typed);
    tcase_add_test(t, zero_is_never_minus_zero);
    suite_add_tcase(s, t);
    return s;
}
