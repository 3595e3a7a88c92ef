/* The topics of core/herd as the command line calls them: words in, working out. */
#include "src/reckon.h"

#include "core/base/file.h"
#include "core/base/source.h"
#include "core/base/text.h"
#include "tests/scratch.h"
#include "tests/support.h"

static struct working w;
static struct fail f;

/* Works out "topic key=value ..."; files are those of the test's own folder. Returns what reckon_run() does.
 */
static int run(const char *line)
{
    char copy[1200], file[1200], *words[32];
    const char *name;
    size_t n = 0;
    snprintf(copy, sizeof copy, "%s", line);
    for (char *rest = copy, *word; (word = strsep(&rest, " ")) != NULL && n < 32;) {
        words[n++] = word;
        if (text_starts(word, "file=", &name)) {
            snprintf(file, sizeof file, "file=%s", scratch_path(name));
            words[n - 1] = file;
        }
    }
    const struct reckon_topic *topic = reckon_find(words[0]);
    ck_assert_msg(topic != NULL, "no topic %s", words[0]);
    memset(&f, 0, sizeof f);
    return reckon_run(topic, words + 1, n - 1, UNITS_US, (struct instant){1777788000}, &w, &f);
}

static double number(const char *name)
{
    const struct figure *fig = working_find(&w, name, -1);
    ck_assert_msg(fig != NULL, "no result %s", name);
    ck_assert_msg(fig->kind == FIGURE_NUMBER || fig->kind == FIGURE_WHOLE, "%s is no number: %s", name,
                  w.why);
    return fig->number;
}

static const char *words(const char *name)
{
    const struct figure *fig = working_find(&w, name, -1);
    ck_assert_msg(fig != NULL, "no result %s", name);
    return fig->kind == FIGURE_NONE ? "none" : fig->text;
}

static void write_file(const char *name, const char *text)
{
    ck_assert_msg(file_replace(scratch_path(name), text, strlen(text), &f) == 0, "%s", f.text);
}

/* SUM1 and the fit of lactation 8202.3 (Friggens, Ridder & Lovendahl 2007), see wood_test.c. */
START_TEST(lactation_of_a_real_cow)
{
    size_t size;
    char *text = read_test_file("data/lactation_daily_4cows.csv", &size);
    char *file = calloc(1, size);
    size_t used = (size_t)snprintf(file, size, "day,kg\n");
    char *rest = text;
    for (char *line; (line = strsep(&rest, "\n")) != NULL;) {
        char *cell[8] = {0};
        for (int i = 0; i < 7; i++)
            cell[i] = strsep(&line, ",");
        if (cell[0] != NULL && strcmp(cell[0], "8202.3") == 0)
            used += (size_t)snprintf(file + used, size - used, "%s,%s\n", cell[3], cell[6]);
    }
    write_file("reckon_lactation.csv", file);
    free(file);
    free(text);
    ck_assert_msg(run("lactation file=reckon_lactation.csv") == 0, "%s", f.text);
    ck_within(number("a"), 24.982138, 1e-6);
    ck_within(number("b"), 0.038680, 1e-6);
    ck_within(number("c"), 0.001841, 1e-6);
    ck_within(number("r2"), 0.5417, 1e-4);
    ck_within(number("peak_day"), 21.02, 0.01);
    ck_within(number("peak_kg"), 27.039, 1e-3);
    ck_within(number("total_305_kg"), 6963.600, 0.002);
    ck_assert(number("sse") > 0 && number("persistency") > 6);
}
END_TEST

START_TEST(lactation_files_that_cannot_be_used_are_refused)
{
    ck_assert_int_eq(run("lactation file=no-such-file.csv"), -1);
    write_file("reckon_bad.csv", "day,kg\n5,20\n6,many\n");
    ck_assert_int_eq(run("lactation file=reckon_bad.csv"), -1);
    ck_assert_str_eq(f.text, "Row 3: \"6,many\" is not a day and its kg; write rows like 12,22.4.");
    write_file("reckon_bad.csv", "5,20\n6,21\n7,22\n");
    ck_assert_int_eq(run("lactation file=reckon_bad.csv"), -1);
    ck_assert_int_eq(f.code, FAIL_REFUSED);
    write_file("reckon_bad.csv", "5,20\n6,21\n5,22\n7,20\n9,22\n");
    ck_assert_int_eq(run("lactation file=reckon_bad.csv"), -1);
    ck_assert_str_eq(f.text, "Day 5 stands twice; add its milkings together first.");
    ck_assert_int_eq(run("lactation"), -1);
}
END_TEST

/* Wood (1967) from sparse weights without noise: the sum of the curve, and rows in any order. */
START_TEST(sparse_weights_are_summed_by_the_curve)
{
    char file[600] = "";
    for (int day = 305; day > 0; day -= 20)
        snprintf(file + strlen(file), sizeof file - strlen(file), "%d,%.9f\n", day,
                 20 * pow(day, 0.2) * exp(-0.004 * day));
    write_file("reckon_sparse.csv", file);
    ck_assert_msg(run("lactation file=reckon_sparse.csv") == 0, "%s", f.text);
    ck_within(number("total_305_kg"), 8696.064309, 1e-3);
    ck_within(number("peak_day"), 50, 1e-4);
    ck_within(number("peak_kg"), 35.806766, 1e-5);
    ck_within(number("persistency"), 6.625753, 1e-5);
}
END_TEST

/* TIM1: see yield_total_test.c. */
START_TEST(interval_of_icars_example)
{
    write_file("reckon_tests.csv",
               "date,kg,fat_pct\n2025-04-08,28.2,3.65\n2025-05-06,24.8,3.45\n2025-06-05,26.6,3.40\n2025-07-"
               "07,23.2,3.55\n"
               "2025-08-02,20.2,3.85\n2025-08-30,17.8,4.05\n2025-09-25,13.2,4.45\n2025-10-27,9.6,4.65\n"
               "2025-11-22,5.8,4.95\n2025-12-20,4.4,5.25\n");
    ck_assert_msg(run("interval file=reckon_tests.csv calved=2025-03-25 end=2026-01-03") == 0, "%s", f.text);
    ck_within(number("milk_kg"), 4973.2, 0.05);
    ck_within(number("fat_kg"), 190.216, 0.002);
    ck_assert(number("days") == 284);
    ck_assert_int_eq(run("interval file=reckon_tests.csv calved=2025-05-25 end=2026-01-03"), -1);
    write_file("reckon_tests.csv", "2025-04-08,28.2\n2025-05-06,24.8\n");
    ck_assert_msg(run("interval file=reckon_tests.csv calved=2025-03-25 end=2025-06-03") == 0, "%s", f.text);
    ck_assert_str_eq(words("fat_kg"), "none");
}
END_TEST

/* FCM1, ECM1: see yield_total_test.c. */
START_TEST(fcm_by_every_name)
{
    ck_assert_msg(run("fcm milk=80lb fat=3.5%") == 0, "%s", f.text);
    ck_within(number("fcm4_kg"), 74 * 0.45359237, 1e-9);
    ck_assert_str_eq(words("ecm_35_true_kg"), "none");
    ck_assert_msg(run("fcm milk=30kg fat=4.2 protein=3.4") == 0, "%s", f.text);
    ck_within(number("ecm_35_true_kg"), 33.930, 1e-9);
    ck_within(number("ecm_35_crude_kg"), 33.471, 1e-9);
    ck_within(number("ecm_40_33_kg"), 30.9712, 1e-4);
    ck_within(number("ecm_danish_kg"), 30.69, 0.005);
    ck_assert_int_eq(run("fcm milk=30kg"), -1);
    ck_assert_int_eq(run("fcm milk=30L fat=4"), -1);
}
END_TEST

START_TEST(scc_both_ways)
{
    ck_assert_int_eq(run("scc cells=200000"), 0);
    ck_assert(number("linear_score") == 4);
    ck_assert_int_eq(run("scc score=5"), 0);
    ck_assert(number("cells_per_ml") == 400000);
    ck_assert_int_eq(run("scc"), -1);
    ck_assert_int_eq(run("scc cells=200000 score=4"), -1);
    ck_assert_int_eq(run("scc cells=0"), -1);
    ck_assert_int_eq(run("scc score=500"), -1);
}
END_TEST

/* GIR1, GIR2: see body_test.c. */
START_TEST(weight_by_tape)
{
    ck_assert_int_eq(run("weight girth=60in length=53in"), 0);
    ck_within(number("weight_lb"), 636, 1e-9);
    ck_within(number("weight_kg"), 288.48, 0.01);
    ck_assert_int_eq(run("weight girth=175.26cm"), 0);
    ck_within(number("weight_kg"), 414.17, 0.01);
    ck_assert_int_eq(run("weight girth=69"), 0); /* a bare number is in the unit the field shows */
    ck_within(number("weight_kg"), 414.17, 0.01);
    ck_assert_int_eq(run("weight girth=5in"), -1);
}
END_TEST

/* WH1 and the clock change of November 2025: see hold_test.c. */
START_TEST(hold_with_listed_milkings_and_by_habit)
{
    ck_assert_msg(run("hold last_dose=2026-05-01T06:00 hours=96 milked=2026-05-06T06:00,2026-05-02T06:00,"
                      "2026-05-03T06:00,2026-05-04T06:00,2026-05-05T06:00,2026-04-30T06:00") == 0,
                  "%s", f.text);
    ck_assert_str_eq(words("clear_at"), "2026-05-05T06:00:00-04:00");
    ck_assert_str_eq(words("first_kept"), "2026-05-06T06:00:00-04:00");
    ck_assert(number("discarded") == 4);
    ck_assert_uint_eq(w.caution_count, 1);
    ck_assert_int_eq(run("hold last_dose=2025-11-01T07:00 hours=72h habit=06:00"), 0);
    ck_assert_str_eq(words("clear_at"), "2025-11-04T06:00:00-05:00");
    ck_assert_str_eq(words("first_kept"), "2025-11-05T06:00:00-05:00");
    ck_assert(number("discarded") == 3);
    /* A list that ends too soon, and the habit goes on from it. */
    ck_assert_int_eq(run("hold last_dose=2026-05-01T06:00 hours=96 milked=2026-05-02T07:00"), 0);
    ck_assert_str_eq(words("first_kept"), "none");
    ck_assert_str_eq(w.why, "none of the listed milkings is after the moment at which it clears");
    ck_assert_int_eq(
        run("hold last_dose=2026-05-01T06:00 hours=96 milked=2026-05-02T07:00 habit=07:00,19:00"), 0);
    ck_assert_str_eq(words("first_kept"), "2026-05-05T07:00:00-04:00");
    ck_assert(number("discarded") == 6); /* 25, 37, 49, 61, 73 and 85 h after the dose */
    ck_assert_int_eq(run("hold last_dose=2026-05-01T06:00 hours=96"), 0);
    ck_assert_str_eq(words("first_kept"), "none");
}
END_TEST

START_TEST(hold_refuses_what_is_not_hours)
{
    ck_assert_int_eq(run("hold last_dose=2026-05-01T06:00 hours=8milkings"), -1);
    ck_assert(strstr(f.text, "never turned into hours") != NULL);
    ck_assert_int_eq(run("hold last_dose=2026-05-01T06:00"), -1);
    ck_assert_int_eq(run("hold last_dose=2026-05-01T06:00 hours=96 milked=soon"), -1);
    ck_assert_int_eq(run("hold last_dose=2026-05-01T06:00 hours=96 habit=2026-05-01"), -1);
    ck_assert_int_eq(run("hold last_dose=2026-05-01T06:00 hours=96 habit=06:00,07:00,08:00,09:00,10:00"), -1);
    ck_assert_int_eq(run("hold last_dose=2026-05-01T06:00 hours=96 habit=06:70"), -1);
}
END_TEST

START_TEST(every_topics_example_names_its_sources)
{
    static const char *const lines[] = {"fcm milk=30kg fat=4.2% protein=3.4%", "scc cells=200000",
                                        "weight girth=70in length=65in",
                                        "hold last_dose=2026-05-01T06:00 hours=96"};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct source s;
        ck_assert_msg(run(lines[i]) == 0, "%s", f.text);
        ck_assert_uint_gt(w.source_count, 0);
        ck_assert_uint_gt(w.step_count, 0);
        for (size_t k = 0; k < w.source_count; k++)
            ck_assert_msg(source_find(w.source[k], &s) == 0, "no source %s", w.source[k]);
    }
}
END_TEST

Suite *reckon_herd_suite(void)
{
    Suite *s = suite_create("reckon_herd");
    TCase *t = tcase_create("reckon_herd");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, lactation_of_a_real_cow);
    tcase_add_test(t, lactation_files_that_cannot_be_used_are_refused);
    tcase_add_test(t, sparse_weights_are_summed_by_the_curve);
    tcase_add_test(t, interval_of_icars_example);
    tcase_add_test(t, fcm_by_every_name);
    tcase_add_test(t, scc_both_ways);
    tcase_add_test(t, weight_by_tape);
    tcase_add_test(t, hold_with_listed_milkings_and_by_habit);
    tcase_add_test(t, hold_refuses_what_is_not_hours);
    tcase_add_test(t, every_topics_example_names_its_sources);
    suite_add_tcase(s, t);
    return s;
}
