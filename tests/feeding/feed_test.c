#include "core/feeding/feed.h"

#include "core/base/source.h"
#include "tests/support.h"

START_TEST(every_row_is_a_feed_with_a_source)
{
    struct feed table[FEEDS_MAX];
    struct source source;
    struct fail f = {0};
    size_t count = feed_table(table, FEEDS_MAX);
    ck_assert_int_ge(count, 12);
    ck_assert_int_lt(count, FEEDS_MAX); /* none is left out */
    for (size_t i = 0; i < count; i++) {
        ck_assert_msg(feed_check(&table[i], &f) == 0, "%s", f.text);
        ck_assert_msg(source_find(table[i].source, &source) == 0, "%s has no source", table[i].name);
        ck_assert(table[i].name[0] != '\0');
    }
    ck_assert_int_eq(feed_table(table, 3), 3);
}
END_TEST

/* Values as printed: alfalfa pellets 22 % protein, 0.64 Mcal/lb (de Ondarza 2000); corn silage 0.71 Mcal/lb
 * (Stallings 2001); oats and corn from memory. */
START_TEST(values_that_are_printed_elsewhere)
{
    struct feed feed;
    ck_assert_int_eq(feed_find("Alfalfa-Pellets", &feed, NULL), 0);
    ck_within(feed.nel_mcal_per_kg * 0.45359237, 0.64, 0.002);
    ck_within(feed.cp_pct, 22, 1e-9);
    ck_assert_int_eq(feed.kind, FEED_FORAGE);
    ck_assert_int_eq(feed_find("corn silage", &feed, NULL), 0);
    ck_within(feed.nel_mcal_per_kg * 0.45359237, 0.71, 0.003);
    ck_assert_int_eq(feed_find("oats", &feed, NULL), 0);
    ck_within(feed.nel_mcal_per_kg, 1.78, 1e-9);
    ck_assert_int_eq(feed.kind, FEED_GRAIN);
}
END_TEST

START_TEST(unknown_feeds_and_false_analyses_are_refused)
{
    struct feed feed = {.name = "mix"};
    struct fail f = {0};
    ck_assert_int_eq(feed_find("moonbeams", &feed, &f), -1);
    ck_assert(strstr(f.text, "\"moonbeams\" is not in the table of feeds") != NULL &&
              strstr(f.text, "oats") != NULL);
    ck_assert_str_eq(feed.name, "mix");
    feed = (struct feed){"mix", FEED_GRAIN, 3, 10, 1.7, ""};
    ck_assert_int_eq(feed_check(&feed, &f), -1);
    feed = (struct feed){"mix", FEED_GRAIN, 90, NAN, 1.7, ""};
    ck_assert_int_eq(feed_check(&feed, &f), -1);
    feed = (struct feed){"mix", FEED_GRAIN, 90, 16, 17, ""};
    ck_assert_int_eq(feed_check(&feed, &f), -1);
    ck_assert_str_eq(f.text, "mix: energy is between 0.3 and 4 Mcal per kg of dry matter.");
}
END_TEST

/* feed.h: dry matter 5..100 %, protein 0..100 %, energy 0.3..4 Mcal/kg; the limits themselves can be. */
START_TEST(an_analysis_at_the_limit_can_be)
{
    static const double low[] = {5, 0, 0.3}, high[] = {100, 100, 4};
    for (int i = 0; i < 3; i++) {
        const double tried[] = {low[i], high[i], nextafter(low[i], -1), nextafter(high[i], INFINITY)};
        for (int k = 0; k < 4; k++) {
            double part[] = {90, 16, 1.7};
            part[i] = tried[k];
            struct feed feed = {"mix", FEED_GRAIN, part[0], part[1], part[2], ""};
            ck_assert_msg(feed_check(&feed, NULL) == (k < 2 ? 0 : -1), "part %d, %.17g", i, tried[k]);
        }
    }
}
END_TEST

Suite *feed_suite(void)
{
    Suite *s = suite_create("feed");
    TCase *t = tcase_create("feed");
    tcase_add_test(t, every_row_is_a_feed_with_a_source);
    tcase_add_test(t, values_that_are_printed_elsewhere);
    tcase_add_test(t, unknown_feeds_and_false_analyses_are_refused);
    tcase_add_test(t, an_analysis_at_the_limit_can_be);
    suite_add_tcase(s, t);
    return s;
}
