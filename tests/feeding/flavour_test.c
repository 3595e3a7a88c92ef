#include "core/feeding/flavour.h"

#include "core/base/source.h"
#include "tests/support.h"

START_TEST(every_row_has_hours_a_word_and_a_source)
{
    struct source source;
    int rows = 0;
    for (const struct flavour_feed *row = flavour_feeds; row->name != NULL; row++, rows++) {
        ck_assert(row->clear_h > 0 && row->clear_h <= 24 && row->taste[0] != '\0');
        ck_assert_msg(source_find(row->source, &source) == 0, "%s: %s", row->name, row->source);
        ck_assert(flavour_find(row->name) == row);
    }
    ck_assert_int_ge(rows, 14);
}
END_TEST

/* Serious and slight: Babcock 1928. Green alfalfa 3 h, clovery pasture 4 h, cabbage up to 12 h: newspaper
 * advice of 1924 to 1938. */
START_TEST(what_is_printed_about_them)
{
    /* clang-format off */
    static const struct {
        const char *name;
        bool serious;
        double hours; /* NaN: none printed */
    } rows[] = {
        {"corn silage",    true,  NAN},
        {"green alfalfa",  true,  3  },
        {"cabbage",        true,  12 },
        {"turnip",         true,  NAN},
        {"rape",           true,  NAN},
        {"kale",           true,  NAN},
        {"green rye",      false, NAN},
        {"cowpeas",        false, NAN},
        {"potatoes",       false, NAN},
        {"beet pulp",      false, NAN},
        {"carrots",        false, NAN},
        {"clover pasture", false, 4  },
    };
    /* clang-format on */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct flavour_feed *row = flavour_find(rows[i].name);
        ck_assert_msg(row != NULL && row->serious == rows[i].serious, "%s", rows[i].name);
        if (!isnan(rows[i].hours))
            ck_within(row->clear_h, rows[i].hours, 1e-12);
    }
    ck_assert_ptr_null(flavour_find("grass hay"));
}
END_TEST

START_TEST(the_milk_is_clean_after_the_hours)
{
    const struct flavour_feed *row = flavour_find("Green-Alfalfa");
    struct instant eaten = {1777777777};
    ck_assert_int_eq(flavour_clear_at(row, eaten).s - eaten.s, 3 * 3600);
}
END_TEST

Suite *flavour_suite(void)
{
    Suite *s = suite_create("flavour");
    TCase *t = tcase_create("flavour");
    tcase_add_test(t, every_row_has_hours_a_word_and_a_source);
    tcase_add_test(t, what_is_printed_about_them);
    tcase_add_test(t, the_milk_is_clean_after_the_hours);
    suite_add_tcase(s, t);
    return s;
}
