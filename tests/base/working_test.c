
#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/source.h"
#include "core/base/working.h"
#include "tests/support.h"

START_TEST(a_working_holds_inputs_steps_results_and_reasons)
{
    struct working w;
    char buf[80];
    working_init(&w, "time to cool");
    working_given(&w, "milk_c", 35, ORIGIN_MEASURED);
    working_given(&w, "milk_c", 34, ORIGIN_GIVEN); /* said again: the later value stands */
    working_given_text(&w, "stir", "still", ORIGIN_DEFAULT);
    working_given_whole(&w, "jars", 4, ORIGIN_RECORDED);
    working_step(&w, "t = ln(%d)", 2);
    working_result(&w, "time_min", 40.05);
    working_result(&w, "never_min", NAN);
    working_row(&w, "batches", 1);
    working_result(&w, "time_min", 12);
    working_result_yes(&w, "limit_ok", true);
    working_row(&w, NULL, -1);
    ck_assert_str_eq(w.rows, "batches"); /* the list keeps its name */
    working_result_whole(&w, "count", 3);
    working_source(&w, "practice");
    working_source(&w, "practice");
    working_caution(&w, "Hot.");
    working_why(&w, "the bath is warmer than %d F", 45);
    ck_assert_int_eq(w.given_count, 3);
    ck_assert(w.given[0].number == 34 && w.given[0].origin == ORIGIN_GIVEN);
    ck_assert(working_find(&w, "time_min", -1)->number == 40.05);
    ck_assert(working_find(&w, "time_min", 1)->number == 12);
    ck_assert_int_eq(working_find(&w, "never_min", -1)->kind, FIGURE_NONE);
    ck_assert(working_find(&w, "limit_ok", -1) == NULL);
    ck_assert_int_eq(w.source_count, 1);
    ck_assert_str_eq(figure_format(&w.given[0], UNITS_US, buf, sizeof buf), "93.2 °F");
    ck_assert_str_eq(figure_label(&w.given[0], buf, sizeof buf), "milk");
    ck_assert_str_eq(figure_format(working_find(&w, "time_min", -1), UNITS_US, buf, sizeof buf), "40.0 min");
    ck_assert_str_eq(figure_format(working_find(&w, "never_min", -1), UNITS_US, buf, sizeof buf), "none");
    ck_assert_str_eq(figure_format(working_find(&w, "limit_ok", 1), UNITS_US, buf, sizeof buf), "yes");
    working_result(&w, "to_45f_min", 18);
    working_result(&w, "in_hand_min", -145);
    working_result(&w, "late_min", -5);
    ck_assert_str_eq(figure_format(working_find(&w, "in_hand_min", -1), UNITS_US, buf, sizeof buf), "-2 h 25");
    ck_assert_str_eq(figure_format(working_find(&w, "late_min", -1), UNITS_US, buf, sizeof buf), "-5.0 min");
    working_result(&w, "over_8c_k", 1);
    working_result(&w, "k2f_x", 1);
    working_result(&w, "milk_45", 1);
    ck_assert_str_eq(figure_label(working_find(&w, "to_45f_min", -1), buf, sizeof buf), "to 45 °F");
    ck_assert_str_eq(figure_label(working_find(&w, "over_8c_k", -1), buf, sizeof buf), "over 8 °C");
    ck_assert_str_eq(figure_label(working_find(&w, "k2f_x", -1), buf, sizeof buf), "k2f x");
    ck_assert_str_eq(figure_label(working_find(&w, "milk_45", -1), buf, sizeof buf), "milk 45");
    ck_assert_str_eq(figure_label(working_find(&w, "to_45f_min", -1), buf, 6), "to 45");
    ck_assert_str_eq(w.why, "the bath is warmer than 45 F");
}
END_TEST

/* working.h: the end of the name is the unit, and what is left are words. */
START_TEST(figures_are_shown_by_the_end_of_their_name)
{
    static const struct {
        const char *name;
        double number;
        const char *label, *us, *metric;
    } rows[] = {
        {"in_hand_min", 119.9, "in hand", "119.9 min", "119.9 min"},
        {"in_hand_min", 120, "in hand", "2 h 00", "2 h 00"}, /* hours from two on */
        {"milk_c", 10, "milk", "50 °F", "10 °C"},
        {"shelf_h", 3, "shelf", "3 h 00", "3 h 00"},
        {"strength_pct", 8.25, "strength", "8.25%", "8.25%"},
        {"need_mcal", 19.5, "need", "19.5 Mcal", "19.5 Mcal"},
        {"biot", 0.125, "biot", "0.125", "0.125"},
        {"_min", 5, " min", "5", "5"}, /* an end with nothing before it is a name */
    };
    char buf[80];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct figure fig = {.kind = FIGURE_NUMBER, .number = rows[i].number};
        snprintf(fig.name, sizeof fig.name, "%s", rows[i].name);
        ck_assert_str_eq(figure_label(&fig, buf, sizeof buf), rows[i].label);
        ck_assert_str_eq(figure_format(&fig, UNITS_US, buf, sizeof buf), rows[i].us);
        ck_assert_str_eq(figure_format(&fig, UNITS_METRIC, buf, sizeof buf), rows[i].metric);
    }
    struct figure milk = {.name = "milk_c"};
    ck_assert_str_eq(figure_label(&milk, buf, 5), "milk");
    ck_assert_str_eq(figure_label(&milk, buf, 4), "mil");
}
END_TEST

START_TEST(a_source_outlives_the_table_row_it_was_read_from)
{
    struct working w;
    char id[] = "practice";
    working_init(&w, "x");
    working_source(&w, id);
    memset(id, '?', sizeof id - 1);
    ck_assert_str_eq(w.source[0], "practice");
}
END_TEST

START_TEST(nobody_has_to_want_the_working)
{
    working_init(NULL, "x");
    working_given(NULL, "a", 1, ORIGIN_GIVEN);
    working_result(NULL, "a", 1);
    working_result_yes(NULL, "a", true);
    working_result_date(NULL, "a", DATE_NONE);
    working_row(NULL, "rows", 1);
    working_step(NULL, "x");
    working_source(NULL, "x");
    working_caution(NULL, "x");
    working_why(NULL, "x");
}
END_TEST

START_TEST(a_full_working_takes_no_more_and_stays_whole)
{
    static struct working w;
    char name[32];
    working_init(&w, "full");
    for (int i = 0; i < 500; i++) {
        snprintf(name, sizeof name, "figure_%d", i);
        working_given(&w, name, i, ORIGIN_GIVEN);
        working_result(&w, name, i);
        working_step(&w, "step %d", i);
    }
    ck_assert_int_eq(w.given_count, WORKING_GIVEN_MAX);
    ck_assert_int_eq(w.result_count, WORKING_RESULT_MAX);
    ck_assert_int_eq(w.step_count, WORKING_STEPS_MAX);
    ck_assert(w.row_now == -1);
    static const char *const cautions[] = {"a", "b", "c", "d", "e", "f", "g", "h"};
    for (int i = 0; i < 20; i++) {
        snprintf(name, sizeof name, "source-%d", i);
        working_source(&w, name);
        working_caution(&w, cautions[i % 8]);
    }
    ck_assert_int_eq(w.source_count, WORKING_SOURCES_MAX);
    ck_assert_int_eq(w.caution_count, WORKING_CAUTIONS_MAX);
    ck_assert_str_eq(w.source[WORKING_SOURCES_MAX - 1], "source-9");
    ck_assert_str_eq(w.caution[WORKING_CAUTIONS_MAX - 1], "f");
}
END_TEST

static int check_source_row(void *context, const struct csv_row *row, struct fail *f)
{
    (void)f;
    int *rows = context;
    struct source s;
    if ((*rows)++ == 0)
        return 0; /* headings */
    ck_assert_int_eq(row->count, 5);
    ck_assert_int_eq(source_find(row->cell[0], &s), 0);
    ck_assert_str_eq(s.id, row->cell[0]);
    ck_assert_str_eq(s.title, row->cell[1]);
    ck_assert_str_eq(s.edition, row->cell[2]);
    ck_assert_str_eq(s.section, row->cell[3]);
    ck_assert_str_eq(s.mark, row->cell[4]);
    ck_assert_msg(strcmp(s.mark, "read") == 0 || strcmp(s.mark, "derived") == 0 ||
                      strcmp(s.mark, "memory") == 0,
                  "%s: mark is %s", s.id, s.mark);
    return 0;
}

START_TEST(a_source_may_come_from_a_table_that_is_gone_when_the_working_is_read)
{
    char id[32] = "units";
    struct working w;
    working_init(&w, "x");
    working_source(&w, id);
    strcpy(id, "practice");
    working_source(&w, id);
    working_source(&w, "");
    ck_assert_int_eq(w.source_count, 2);
    ck_assert_str_eq(w.source[0], "units");
    ck_assert_str_eq(w.source[1], "practice");
}
END_TEST

START_TEST(every_source_is_found_by_its_id)
{
    int rows = 0;
    struct fail f = {0};
    struct source s;
    const char *text = asset_text("sources.csv");
    ck_assert_msg(csv_read(text, strlen(text), check_source_row, &rows, &f) == 0, "%s", f.text);
    ck_assert_int_gt(rows, 2);
    ck_assert_int_eq(source_find("no-such-source", &s), -1);
    ck_assert_int_eq(source_find("newton", &s), -1); /* a prefix is not an id */
}
END_TEST

Suite *working_suite(void)
{
    Suite *s = suite_create("working");
    TCase *t = tcase_create("working");
    tcase_add_test(t, a_working_holds_inputs_steps_results_and_reasons);
    tcase_add_test(t, figures_are_shown_by_the_end_of_their_name);
    tcase_add_test(t, a_source_outlives_the_table_row_it_was_read_from);
    tcase_add_test(t, nobody_has_to_want_the_working);
    tcase_add_test(t, a_full_working_takes_no_more_and_stays_whole);
    tcase_add_test(t, a_source_may_come_from_a_table_that_is_gone_when_the_working_is_read);
    tcase_add_test(t, every_source_is_found_by_its_id);
    suite_add_tcase(s, t);
    return s;
}
