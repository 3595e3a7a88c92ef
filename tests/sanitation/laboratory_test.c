/* Laboratory results against standards: EU 853/2004 Annex III IX I.III.3(a) (rolling geometric means), UK SI
 * 1995/1086, Utah R70-330 (2 of 4, or 2 in 30 days), California FAC 35781 and others; the US way of 3 of 5 is
 * from memory. And the order of milking. */
#include "core/sanitation/laboratory.h"

#include <gsl/gsl_statistics_double.h>

#include "core/base/source.h"
#include "core/sanitation/order.h"
#include "tests/support.h"

static struct lab_standards table;
static struct date today;

static void load_table(void)
{
    struct fail f = {0};
    ck_assert_msg(lab_standards_load(&table, &f) == 0, "%s", f.text);
    ck_assert(date_from_ymd(2026, 5, 31, &today));
}

static const struct lab_standard *standard(const char *set, enum lab_measure measure)
{
    const struct lab_standard *s = lab_standard_find(&table, set, measure);
    ck_assert_msg(s != NULL, "no %s of %s", lab_measure_word(measure), set);
    return s;
}

/* Results of the last `count` weeks, newest first in `values`, handed over in a shuffled order. */
static struct lab_answer judge(const struct lab_standard *s, const double *values, size_t count,
                               int every_days)
{
    struct lab_result results[16];
    struct lab_answer a;
    struct fail f = {0};
    for (size_t i = 0; i < count; i++) {
        size_t place = (i * 7 + 3) % count; /* 7 shares no factor with any count used here but 7 itself */
        if (count == 7)
            place = count - 1 - i;
        results[place] = (struct lab_result){date_add(today, -(int32_t)i * every_days), values[i]};
    }
    ck_assert_msg(lab_judge(s, results, count, today, &a, NULL, &f) == 0, "%s", f.text);
    return a;
}

START_TEST(limits_stand_as_the_laws_print_them)
{
    static const struct {
        const char *set;
        enum lab_measure measure;
        double limit;
        enum lab_rule rule;
    } rows[] = {
        {"pmo-raw", LAB_PLATE, 100000, LAB_LAST_OF},    {"pmo-raw", LAB_CELLS, 750000, LAB_LAST_OF},
        {"eu-raw", LAB_PLATE, 100000, LAB_GEOMETRIC},   {"eu-raw", LAB_CELLS, 400000, LAB_GEOMETRIC},
        {"england", LAB_PLATE, 20000, LAB_SINGLE},      {"england", LAB_COLIFORM, 100, LAB_SINGLE},
        {"california", LAB_PLATE, 15000, LAB_LAST_OF},  {"california", LAB_COLIFORM, 10, LAB_LAST_OF},
        {"california", LAB_CELLS, 600000, LAB_LAST_OF}, {"massachusetts", LAB_CELLS, 750000, LAB_LAST_OF},
        {"texas", LAB_PLATE, 20000, LAB_LAST_OF},       {"washington", LAB_COLIFORM, 10, LAB_LAST_OF},
        {"utah", LAB_CELLS, 400000, LAB_LAST_OF},       {"new-york", LAB_WATER, 1.1, LAB_SINGLE},
        {"voluntary", LAB_PLATE, 5000, LAB_SINGLE},
    };
    struct source source;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct lab_standard *s = standard(rows[i].set, rows[i].measure);
        ck_assert_msg(s->limit == rows[i].limit && s->rule == rows[i].rule, "%s", rows[i].set);
    }
    for (size_t i = 0; i < table.count; i++)
        ck_assert_msg(source_find(table.row[i].source, &source) == 0, "no source %s", table.row[i].source);
}
END_TEST

START_TEST(one_sample_is_judged_at_its_limit)
{
    static const struct {
        const char *set;
        enum lab_measure measure;
        double value;
        enum lab_verdict verdict;
    } rows[] = {
        {"england", LAB_PLATE, 20000, LAB_WITHIN}, /* "<= 20 000" */
        {"england", LAB_PLATE, 20001, LAB_BROKEN},  {"england", LAB_COLIFORM, 99, LAB_WITHIN}, /* "< 100" */
        {"england", LAB_COLIFORM, 100, LAB_BROKEN}, {"new-york", LAB_WATER, 0, LAB_WITHIN},    /* absent */
        {"new-york", LAB_WATER, 1.1, LAB_BROKEN}, /* "less than 1.1" */
        {"voluntary", LAB_COLIFORM, 9, LAB_WITHIN}, {"voluntary", LAB_COLIFORM, 10, LAB_BROKEN},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct lab_answer a = judge(standard(rows[i].set, rows[i].measure), &rows[i].value, 1, 7);
        ck_assert_msg(a.verdict == rows[i].verdict, "%s %g: %s", rows[i].set, rows[i].value, a.words);
    }
}
END_TEST

START_TEST(so_many_of_the_last_so_many)
{
    /* Newest first. */
    static const struct {
        const char *set;
        double values[7];
        size_t count;
        int every_days;
        enum lab_verdict verdict;
        int over;
    } rows[] = {
        {"california", {9000, 16000, 9000, 16000, 9000}, 5, 30, LAB_WITHIN, 2},
        {"california", {16000, 9000, 9000, 16000, 9000}, 5, 30, LAB_OVER, 2},
        {"california", {16000, 9000, 16000, 9000, 16000}, 5, 30, LAB_BROKEN, 3},
        {"california", {9000, 9000, 16000, 16000, 16000}, 5, 30, LAB_BROKEN, 3}, /* the last are good; 3 of 5
are not */
        {"california", {9000, 9000, 9000, 16000, 16000, 16000}, 6, 30, LAB_WITHIN, 2}, /* the sixth is too old
                                                                                        */
        {"california", {16000}, 1, 30, LAB_OVER, 1},
        {"california", {16000, 16000, 16000}, 3, 30, LAB_BROKEN, 3},
        {"utah", {21000, 9000, 21000, 9000}, 4, 40, LAB_BROKEN, 2},
        {"utah", {21000, 9000, 9000, 9000, 21000}, 5, 40, LAB_OVER, 1},
        {"utah", {21000, 9000, 9000, 9000, 21000}, 5, 7, LAB_BROKEN, 1}, /* two within 30 days, the fifth
sample too */
        {"utah", {20000, 9000}, 2, 7, LAB_WITHIN, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct lab_answer a =
            judge(standard(rows[i].set, LAB_PLATE), rows[i].values, rows[i].count, rows[i].every_days);
        ck_assert_msg(a.verdict == rows[i].verdict && a.over_count == rows[i].over, "row %zu: %d, %s", i,
                      (int)a.verdict, a.words);
    }
}
END_TEST

START_TEST(the_eu_looks_at_a_rolling_geometric_mean)
{
    /* Two a month for two months; GSL's geometric mean as the check. */
    static const double high_once[] = {400000, 60000, 50000, 40000}, high[] = {400000, 160000, 50000, 40000};
    double logs[4];
    struct lab_answer a = judge(standard("eu-raw", LAB_PLATE), high_once, 4, 20);
    for (int i = 0; i < 4; i++)
        logs[i] = log(high_once[i]);
    ck_assert(a.verdict == LAB_WITHIN); /* four times the limit once, and yet within */
    ck_near(a.figure, exp(gsl_stats_mean(logs, 1, 4)), 1e-12);
    a = judge(standard("eu-raw", LAB_PLATE), high, 4, 20);
    ck_assert(a.verdict == LAB_BROKEN);
    ck_near(a.figure, 106366, 1e-5); /* (4e5 x 1.6e5 x 5e4 x 4e4)^(1/4) = (1.28e20)^(1/4) */
    ck_assert_int_eq(a.over_count, 2);
}
END_TEST

START_TEST(one_test_says_nothing_about_a_mean_over_months)
{
    static const double one[] = {400000}, bunched[] = {9000, 9000, 9000, 9000};
    struct lab_answer a = judge(standard("eu-raw", LAB_PLATE), one, 1, 7);
    ck_assert(a.verdict == LAB_TOO_FEW && isnan(a.figure));
    ck_assert_str_eq(a.words,
                     "Needs 2 a month over 2 months, and there are 1: one test says nothing about this "
                     "standard.");
    a = judge(standard("eu-raw", LAB_PLATE), bunched, 4, 7); /* four, but all in one month */
    ck_assert(a.verdict == LAB_TOO_FEW);
    /* What is older than the window does not count: samples at 0, 25, 50, 75 days. */
    a = judge(standard("eu-raw", LAB_PLATE), bunched, 4, 25);
    ck_assert_int_eq(a.counted, 3);
    /* 400 000 cells, three months, one a month. */
    static const double cells[] = {300000, 500000, 350000};
    a = judge(standard("eu-raw", LAB_CELLS), cells, 3, 31);
    ck_assert(a.verdict == LAB_WITHIN);
    ck_near(a.figure, 374444, 1e-5); /* (3 x 5 x 3.5)^(1/3) x 1e5 = 52.5^(1/3) x 1e5 */
}
END_TEST

START_TEST(a_count_of_nothing_enters_a_mean_as_one)
{
    static const double none[] = {0, 100, 0, 100};
    struct lab_answer a = judge(standard("eu-raw", LAB_PLATE), none, 4, 20);
    ck_near(a.figure, 10, 1e-12);
}
END_TEST

START_TEST(results_after_today_wait_and_no_result_is_refused)
{
    struct lab_answer a;
    struct fail f = {0};
    struct lab_result later = {date_add(today, 1), 5000}, bad = {today, -1};
    const struct lab_standard *s = standard("england", LAB_PLATE);
    ck_assert_int_eq(lab_judge(s, &later, 1, today, &a, NULL, &f), -1);
    ck_assert_str_eq(f.text, "There is no result for the plate count yet.");
    ck_assert_int_eq(lab_judge(s, &later, 0, today, &a, NULL, &f), -1);
    ck_assert_int_eq(lab_judge(s, &bad, 1, today, &a, NULL, &f), -1);
    ck_assert_str_eq(f.text, "A count cannot be less than nothing.");
}
END_TEST

/* Laboratory instructions give 30 h or 60 h from drawing; warm parcels are marked as such. */
START_TEST(a_sample_counts_in_time_and_cold)
{
    static const struct {
        double hours, temp_f;
        const char *line; /* NULL: it counts */
    } rows[] = {
        {29.9, 38, NULL},
        {30, 40, NULL},
        {29, NAN, NULL},
        {31, 38, "The sample is 31 h old; the laboratory allows 30 h. Draw a new one."},
        {20, 45,
         "The sample came at 45 °F: over 40 °F it grows on the way and reads high. Draw a new one, more "
         "ice."},
        {20, 30, "The sample came frozen: cells and counts of frozen milk tell nothing."},
        {-1, 38, "The sample cannot arrive before it is drawn."},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double left;
        struct fail f = {0};
        struct instant drawn = {1000000}, arrived = {1000000 + (int64_t)(rows[i].hours * 3600)};
        struct lab_sample sample = {drawn, arrived, temp_c_from_f(rows[i].temp_f), 30};
        int result = lab_sample_check(&sample, (struct instant){9000000}, &left, NULL, &f);
        ck_assert_int_eq(result, rows[i].line == NULL ? 0 : -1);
        if (rows[i].line != NULL)
            ck_assert_str_eq(f.text, rows[i].line);
    }
    double left;
    struct fail f = {0};
    struct lab_sample sample = {{1000000}, INSTANT_NONE, NAN, 60};
    ck_assert_int_eq(lab_sample_check(&sample, (struct instant){1000000 + 12 * 3600}, &left, NULL, &f), 0);
    ck_within(left, 48, 1e-9);
    sample.hours_allowed = 0;
    ck_assert_int_eq(lab_sample_check(&sample, (struct instant){1000000}, &left, NULL, &f), -1);
}
END_TEST

START_TEST(high_figures_bring_what_to_look_at)
{
    for (int m = 0; m < LAB_MEASURES; m++) {
        size_t n = 0;
        for (; lab_look_at((enum lab_measure)m, n) != NULL; n++)
            ck_assert(strlen(lab_look_at((enum lab_measure)m, n)) <= 90);
        ck_assert_uint_ge(n, 4);
        ck_assert_ptr_null(lab_look_at((enum lab_measure)m, 100));
    }
}
END_TEST

START_TEST(bad_tables_of_standards_are_refused_by_row_and_change_nothing)
{
#define HEAD "set,place,measure,limit,compare,rule,over,of,days,months,per_month,use,source\n"
    static const struct {
        const char *text, *line;
    } rows[] = {
        {HEAD "a,A,plate,1\n", "Row 2: 4 cells; 13 are needed."},
        {HEAD "a,A,germs,1,below,single,,,,,,drinking,s\n",
         "Row 2: \"germs\" is not one of plate, coliform, cells, water."},
        {HEAD "a,A,plate,1,below,often,,,,,,drinking,s\n",
         "Row 2: \"often\" is not one of single, last-of, geometric."},
        {HEAD "a,A,plate,1,about,single,,,,,,drinking,s\n", "Row 2: \"about\" is not at-most or below."},
        {HEAD "a,A,plate,0,below,single,,,,,,drinking,s\n", "Row 2: a limit above nothing is needed."},
        {HEAD "a,A,plate,x,below,single,,,,,,drinking,s\n", "Row 2: a limit above nothing is needed."},
        {HEAD "a,A,plate,1,below,last-of,5,3,,,,drinking,s\n",
         "Row 2: so many over of the last so many are needed, as 3 of 5."},
        {HEAD "a,A,plate,1,below,last-of,3,21,,,,drinking,s\n", /* nobody keeps to more than twenty */
         "Row 2: so many over of the last so many are needed, as 3 of 5."},
        {HEAD "a,A,plate,1,below,last-of,0,5,,,,drinking,s\n",
         "Row 2: so many over of the last so many are needed, as 3 of 5."},
        {HEAD "a,A,plate,1,below,geometric,,,,13,2,drinking,s\n",
         "Row 2: a mean needs months and samples a month, as 2 and 2."},
        {HEAD "a,A,plate,1,below,geometric,,,,2,,drinking,s\n",
         "Row 2: a mean needs months and samples a month, as 2 and 2."},
        {HEAD "a,A,plate,1,below,single,two,,,,,drinking,s\n",
         "Row 2: \"two\" is not a whole number; write it as 4."},
        {HEAD "a,A,plate,1,below,single,,,,,,drinking,\n",
         "Row 2: the names of set and source are missing or too long."},
        {HEAD "a,A,plate,1,below,single,,,,,,drinking,s\na,A,plate,2,below,single,,,,,,drinking,s\n",
         "Row 3: a has a plate count already."},
    };
    size_t count = table.count;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fail f = {0};
        ck_assert_int_eq(lab_standards_parse(rows[i].text, &table, &f), -1);
        ck_assert_str_eq(f.text, rows[i].line);
        ck_assert_uint_eq(table.count, count);
    }
}
END_TEST

/* Bucket milking practice: fresh cows first, treated last; Montana ARM 32.9.303: abnormal milk last or apart.
 */
START_TEST(clean_and_fresh_first_doubtful_and_treated_last)
{
    struct order_cow cows[] = {
        {1, 4, 200, false, true}, {2, 3, 20, true, false},  {3, 2, 245, false, false},
        {4, 5, 12, false, false}, {5, 1, 50, false, false}, {6, 6, -1, false, false},
        {7, 7, 9, true, true},
    };
    static const int64_t expected[] = {4, 5, 3, 6, 2, 1, 7};
    order_cows(cows, 7);
    for (int i = 0; i < 7; i++)
        ck_assert_int_eq(cows[i].id, expected[i]);
    ck_assert_str_eq(order_rank_text(order_rank(&cows[6])), "treated: last, milk apart");
    order_cows(cows, 0);
    /* fresh from the day of calving to the last of the fresh days */
    ck_assert_int_eq(order_rank(&(struct order_cow){1, 1, 0, false, false}), ORDER_FRESH);
    ck_assert_int_eq(order_rank(&(struct order_cow){1, 1, ORDER_FRESH_DAYS, false, false}), ORDER_FRESH);
    ck_assert_int_eq(order_rank(&(struct order_cow){1, 1, ORDER_FRESH_DAYS + 1, false, false}), ORDER_CLEAN);
    struct stream s = {9};
    for (int n = 0; n < 2000; n++) { /* whatever order they come in, they leave in the same one */
        struct order_cow a[6], b[6];
        for (int i = 0; i < 6; i++)
            a[i] = (struct order_cow){i, stream_below(&s, 3), stream_below(&s, 300) - 10,
                                      stream_below(&s, 2) == 0, stream_below(&s, 3) == 0};
        for (int i = 0; i < 6; i++)
            b[i] = a[(i * 5 + 2) % 6];
        order_cows(a, 6);
        order_cows(b, 6);
        for (int i = 0; i < 6; i++)
            if (a[i].id != b[i].id || (i > 0 && order_rank(&a[i]) < order_rank(&a[i - 1])))
                ck_abort_msg("order depends on how they came");
    }
}
END_TEST

Suite *laboratory_suite(void)
{
    Suite *s = suite_create("laboratory");
    TCase *t = tcase_create("laboratory");
    tcase_add_checked_fixture(t, load_table, NULL);
    tcase_add_test(t, limits_stand_as_the_laws_print_them);
    tcase_add_test(t, one_sample_is_judged_at_its_limit);
    tcase_add_test(t, so_many_of_the_last_so_many);
    tcase_add_test(t, the_eu_looks_at_a_rolling_geometric_mean);
    tcase_add_test(t, one_test_says_nothing_about_a_mean_over_months);
    tcase_add_test(t, a_count_of_nothing_enters_a_mean_as_one);
    tcase_add_test(t, results_after_today_wait_and_no_result_is_refused);
    tcase_add_test(t, a_sample_counts_in_time_and_cold);
    tcase_add_test(t, high_figures_bring_what_to_look_at);
    tcase_add_test(t, bad_tables_of_standards_are_refused_by_row_and_change_nothing);
    tcase_add_test(t, clean_and_fresh_first_doubtful_and_treated_last);
    suite_add_tcase(s, t);
    return s;
}
