#include "core/base/form.h"
#include "tests/support.h"

static const struct field fields[] = {
    {"cow",      FIELD_NAME,     0,           FIELD_REQUIRED,    NULL,               "cow",      "her name"        },
    {"mass",     FIELD_QUANTITY, DIM_MASS,    0,                 NULL,               "weight",   "as 48.5lb"       },
    {"strength", FIELD_QUANTITY, DIM_PERCENT, FIELD_UNIT_NEEDED, NULL,               "strength",
     "from the label, as 8.25%"                                                                                    },
    {"stir",     FIELD_CHOICE,   0,           0,                 "still|water|both", "stirring", "what moves"      },
    {"served",   FIELD_DATE,     0,           0,                 NULL,               "served",   "the day"         },
    {"at",       FIELD_MOMENT,   0,           0,                 NULL,               "time",     "when it happened"},
    {"tag",      FIELD_TEXT,     0,           FIELD_AGAIN,       NULL,               "tag",      "ear tag"         },
    {"file",     FIELD_FILE,     0,           0,                 NULL,               "file",     "a file"          },
};

static struct form form;

static void make_form(void)
{
    struct instant now;
    ck_assert_int_eq(instant_parse("2026-05-03T06:41", (struct instant){0}, &now, NULL), 0);
    form_init(&form, fields, sizeof fields / sizeof fields[0], UNITS_US, now);
}

START_TEST(values_are_read_by_their_kind)
{
    static const char *const pairs[] = {"cow=Maud",          "mass=48.5", "strength=8.25%", "stir=Water",
                                        "served=2026-02-28", "at=06:10",  "tag=",           "file=a\tb.csv"};
    char iso[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++)
        ck_assert_msg(form_set_pair(&form, pairs[i], NULL) == 0, "%s", pairs[i]);
    ck_assert_int_eq(form_check(&form, NULL), 0);
    ck_assert_str_eq(form_text(&form, "cow", ""), "Maud");
    ck_within(form_number(&form, "mass", 0), 21.999229945, 1e-12); /* a bare number is in lb on a US form */
    ck_within(form_number(&form, "strength", 0), 8.25, 1e-12);
    ck_assert_int_eq(form_choice(&form, "stir", -1), 1);
    ck_assert_str_eq(date_iso(form_date(&form, "served", DATE_NONE), iso), "2026-02-28");
    ck_assert_str_eq(instant_iso_local(form_moment(&form, "at", INSTANT_NONE), iso),
                     "2026-05-03T06:10:00-04:00");
    ck_assert(form_get(&form, "tag") != NULL);
    ck_assert_str_eq(form_text(&form, "tag", "kept"), "");
    ck_assert_str_eq(form_text(&form, "file", ""), "a\tb.csv");
}
END_TEST

START_TEST(what_was_not_given_falls_back)
{
    ck_assert(form_get(&form, "mass") == NULL);
    ck_assert(form_number(&form, "mass", 7) == 7);
    ck_assert_int_eq(form_choice(&form, "stir", 2), 2);
    ck_assert_str_eq(form_text(&form, "cow", "none"), "none");
    ck_assert(!date_known(form_date(&form, "served", DATE_NONE)));
    ck_assert(!instant_known(form_moment(&form, "at", INSTANT_NONE)));
}
END_TEST

START_TEST(slips_get_one_line_and_change_nothing)
{
    static const struct {
        const char *pair, *line;
    } slips[] = {
        {"mas=3lb",           "There is no \"mas\" here; did you mean mass=?"                                         },
        {"zebra=1",           "There is no \"zebra\" here; it takes cow, mass, strength, stir, served, at, tag, file."},
        {"mass",              "\"mass\" is not understood; write KEY=VALUE, as mass=48.5lb."                          },
        {"=3",                "\"=3\" is not understood; write KEY=VALUE, as mass=48.5lb."                            },
        {"cow=",              "cow: nothing was given; her name."                                                     },
        {"strength=6",        "\"6\" has no unit; write it as 8.25%."                                                 },
        {"stir=shaken",       "stir: \"shaken\" is not one of still, water, both."                                    },
        {"served=2026-02-30", "There is no day \"2026-02-30\" in the calendar."                                       },
    };
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++) {
        struct fail f = {0};
        ck_assert_msg(form_set_pair(&form, slips[i].pair, &f) == -1, "%s", slips[i].pair);
        ck_assert_str_eq(f.text, slips[i].line);
    }
    for (size_t i = 0; i < form.count; i++)
        ck_assert(!form.value[i].given);
    struct fail f = {0};
    ck_assert_int_eq(form_check(&form, &f), -1);
    ck_assert_str_eq(f.text, "cow= is missing: her name.");
}
END_TEST

/* form.h: values hold FORM_TEXT_MAX - 1 bytes; keys are short. */
START_TEST(what_is_too_long_is_refused_whole)
{
    char pair[2 * FORM_TEXT_MAX + 16];
    struct fail f = {0};
    for (int over = 0; over < 2; over++) {
        int n = snprintf(pair, sizeof pair, "file=");
        memset(pair + n, 'a', sizeof form.value[0].text - 1 + (size_t)over);
        pair[n + (int)sizeof form.value[0].text - 1 + over] = '\0';
        ck_assert_int_eq(form_set_pair(&form, pair, &f), over == 0 ? 0 : -1);
        memcpy(pair, "tag= ", 4);
        memmove(pair + 4, pair + 5, strlen(pair + 5) + 1);
        ck_assert_int_eq(form_set_pair(&form, pair, &f), over == 0 ? 0 : -1);
    }
    ck_assert_int_eq(form_set_pair(&form, "a-key-of-thirty-two-letters-this=1", &f), -1);
    ck_assert(strstr(f.text, "is not understood; write KEY=VALUE") != NULL);
    memset(pair, 'x', FORM_TEXT_MAX + 8);
    pair[FORM_TEXT_MAX + 8] = '\0';
    const char *list = pair;
    char item[2 * FORM_TEXT_MAX];
    ck_assert(list_next(&list, ',', item, sizeof item));
    ck_assert_uint_eq(strlen(item), FORM_TEXT_MAX - 1);
}
END_TEST

START_TEST(lists_are_taken_item_by_item)
{
    const char *list = "3xhalf-gallon, 2xquart ,,x";
    char item[16];
    ck_assert(list_next(&list, ',', item, sizeof item));
    ck_assert_str_eq(item, "3xhalf-gallon");
    ck_assert(list_next(&list, ',', item, sizeof item));
    ck_assert_str_eq(item, "2xquart");
    ck_assert(list_next(&list, ',', item, sizeof item));
    ck_assert_str_eq(item, "");
    ck_assert(list_next(&list, ',', item, sizeof item));
    ck_assert_str_eq(item, "x");
    ck_assert(!list_next(&list, ',', item, sizeof item));
}
END_TEST

Suite *form_suite(void)
{
    Suite *s = suite_create("form");
    TCase *t = tcase_create("form");
    tcase_add_checked_fixture(t, make_form, NULL);
    tcase_add_test(t, values_are_read_by_their_kind);
    tcase_add_test(t, what_was_not_given_falls_back);
    tcase_add_test(t, slips_get_one_line_and_change_nothing);
    tcase_add_test(t, what_is_too_long_is_refused_whole);
    tcase_add_test(t, lists_are_taken_item_by_item);
    suite_add_tcase(s, t);
    return s;
}
