#include "core/feeding/stock.h"
#include "tests/support.h"

static struct date day(int month, int d)
{
    struct date on = DATE_NONE;
    ck_assert(date_from_ymd(2026, month, d, &on));
    return on;
}

/* 900 kg counted on 1 January, 18 kg eaten a day and a tenth wasted: 20 kg a day; by hand. */
START_TEST(how_long_the_hay_lasts)
{
    struct feed_stock hay = {900, day(1, 1), 18, 0.1, 0.25};
    struct stock_outlook o;
    char iso[CIVIL_TEXT_MAX];
    ck_assert_int_eq(feed_stock_outlook(&hay, day(1, 11), &o, NULL, NULL), 0);
    ck_within(o.left_kg, 700, 1e-9);
    ck_within(o.days_left, 35, 1e-9);
    ck_assert_str_eq(date_iso(o.gone_on, iso), "2026-02-15"); /* fed to 14 February */
    ck_within(o.cost_per_day, 5, 1e-9);
    ck_assert_int_eq(feed_stock_outlook(&hay, day(4, 1), &o, NULL, NULL), 0);
    ck_assert(o.left_kg == 0 && o.days_left == 0);
    ck_assert_int_eq(feed_stock_outlook(&hay, date_add(day(1, 1), -5), &o, NULL, NULL), 0);
    ck_within(o.left_kg, 900, 1e-9); /* not counted yet: as counted later */
}
END_TEST

START_TEST(what_is_not_fed_does_not_run_out)
{
    struct feed_stock oats = {100, day(1, 1), 0, 0, NAN};
    struct stock_outlook o;
    struct working w;
    working_init(&w, "stock");
    ck_assert_int_eq(feed_stock_outlook(&oats, day(2, 1), &o, &w, NULL), 0);
    ck_assert(isnan(o.days_left) && !date_known(o.gone_on) && isnan(o.cost_per_day));
    ck_assert(w.why[0] != '\0');
    oats.use_kg_per_day = 1e-6; /* a hundred thousand years: no such day is named */
    ck_assert_int_eq(feed_stock_outlook(&oats, day(2, 1), &o, NULL, NULL), 0);
    ck_assert(!date_known(o.gone_on));
}
END_TEST

/* Empty, nothing used and nine tenths wasted can be; a day a hundred years of 365 days away is not named. */
START_TEST(stock_at_its_limits)
{
    struct feed_stock stock = {0, day(1, 1), 0, 0.9, 1};
    struct stock_outlook o;
    ck_assert_int_eq(feed_stock_outlook(&stock, day(2, 1), &o, NULL, NULL), 0);
    stock.waste_share = nextafter(0.9, 1);
    ck_assert_int_eq(feed_stock_outlook(&stock, day(2, 1), &o, NULL, NULL), -1);
    stock = (struct feed_stock){36500, day(1, 1), 1, 0, 1};
    ck_assert_int_eq(feed_stock_outlook(&stock, day(1, 1), &o, NULL, NULL), 0);
    ck_assert(o.days_left == 36500 && !date_known(o.gone_on));
    stock.have_kg = 36499;
    ck_assert_int_eq(feed_stock_outlook(&stock, day(1, 1), &o, NULL, NULL), 0);
    ck_assert_int_eq(date_diff(day(1, 1), o.gone_on), 36499);
}
END_TEST

START_TEST(false_stock_is_refused)
{
    struct feed_stock rows[] = {{-1, day(1, 1), 1, 0, 1},
                                {10, day(1, 1), -1, 0, 1},
                                {10, day(1, 1), 1, 0.95, 1},
                                {NAN, day(1, 1), 1, 0, 1}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct stock_outlook o;
        struct fail f = {0};
        ck_assert_int_eq(feed_stock_outlook(&rows[i], day(2, 1), &o, NULL, &f), -1);
        ck_assert(f.text[0] != '\0');
    }
}
END_TEST

/* 8.6 lb of milk is a gallon: 6.00 a day over 21.5 lb is 6.00 over 2.5 gal, 2.40 a gallon. */
START_TEST(feed_cost_of_a_gallon)
{
    struct milk_cost c;
    struct working w;
    feed_cost_of_milk(6, 21.5 * 0.45359237, &c, NULL);
    ck_within(c.per_gal, 2.4, 1e-9);
    ck_within(c.per_l, 2.4 / 3.785411784, 1e-9);
    working_init(&w, "cost");
    feed_cost_of_milk(6, 0, &c, &w);
    ck_assert(isnan(c.per_l) && isnan(c.per_gal) && w.why[0] != '\0');
}
END_TEST

Suite *stock_suite(void)
{
    Suite *s = suite_create("stock");
    TCase *t = tcase_create("stock");
    tcase_add_test(t, how_long_the_hay_lasts);
    tcase_add_test(t, what_is_not_fed_does_not_run_out);
    tcase_add_test(t, stock_at_its_limits);
    tcase_add_test(t, false_stock_is_refused);
    tcase_add_test(t, feed_cost_of_a_gallon);
    suite_add_tcase(s, t);
    return s;
}
