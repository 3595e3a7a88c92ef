/* The topics of core/milk as the command line asks them. */
#include "core/base/source.h"
#include "core/milk/keeping.h"
#include "src/reckon.h"
#include "tests/support.h"

enum { WORDS_MAX = 8 };

/* Reckons "topic key=value ...", words separated by blanks; @ stands for the folder of test data. */
static int reckon(const char *line, struct working *w, struct fail *f)
{
    char text[1024], *words[WORDS_MAX], *save = NULL;
    size_t n = 0, used = 0;
    for (const char *p = line; *p != '\0' && used < sizeof text - 600; p++)
        used += (size_t)(*p == '@' ? snprintf(text + used, 600, "%s/data/milk/", TESTS_DIR)
                                   : snprintf(text + used, 2, "%c", *p));
    text[used] = '\0';
    for (char *word = strtok_r(text, " ", &save); word != NULL && n < WORDS_MAX;
         word = strtok_r(NULL, " ", &save))
        words[n++] = word;
    const struct reckon_topic *topic = reckon_find(words[0]);
    if (topic == NULL)
        ck_abort_msg("there is no topic %s", words[0]);
    return reckon_run(topic, words + 1, n - 1, UNITS_US, (struct instant){1777800000}, w, f);
}

static double result(const struct working *w, const char *name)
{
    const struct figure *fig = working_find(w, name, -1);
    if (fig == NULL)
        ck_abort_msg("there is no result %s", name);
    return fig->kind == FIGURE_NONE ? NAN : fig->number;
}

/* V47 (by hand): 2 h at 15, 5 d at 3, 6 h at 12 °C; ten days at 4 °C. V49: 100 per mL at 2 °C. The rest
 * follows from V46, ((T + 7.85) / 11.85)^2. NaN: not looked at; -1: no such figure. */
START_TEST(keeping_answers_under_its_fixed_names)
{
    static const struct {
        const char *line;
        double left, total, count;
    } rows[] = {
        {"keeping history=@stays.csv shelf_days=10 at=4C", 4.796928318, 10, -1},
        {"keeping history=@times.csv shelf_days=10 at=4C", 4.796928318, 10, -1},
        {"keeping history=@stays.csv shelf_days=10 at=4C temp=2C", 6.942685116, 14.4732, -1},
        {"keeping history=@either.csv rows=stays shelf_days=10 at=4C", NAN, 10, -1},
        {"keeping temp=2C start=100", 5.280, 5.280, 100},
        {"keeping temp=2C start=100/mL age=126.7275h", 0, 5.280, 1e7},
        {"keeping temp=4C shelf_days=10 at=4C age=5d start=100", 5, 10, 31622.7766},
        {"keeping temp=7C shelf_days=10 at=4C", 10 / 1.570421, 10 / 1.570421, -1},
        {"keeping temp=4C", 8.338, 8.338, -1},
        {"keeping temp=0F", -1, -1, -1},
        {"keeping temp=4C start=20000000", 0, 0, 2e7},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct working w;
        struct fail f = {0};
        ck_assert_msg(reckon(rows[i].line, &w, &f) == 0, "%s: %s", rows[i].line, f.text);
        const double expected[] = {rows[i].left, rows[i].total, rows[i].count};
        static const char *const names[] = {"days_left", "days_total", "count_now_per_ml"};
        for (int k = 0; k < 3; k++) {
            double got = result(&w, names[k]);
            if (expected[k] == -1)
                ck_assert_msg(isnan(got) && w.why[0] != '\0', "%s: %s is %g", rows[i].line, names[k], got);
            else if (!isnan(expected[k]))
                ck_assert_msg(fabs(got - expected[k]) <= 2e-4 * expected[k] + 1e-4,
                              "%s: %s is %.9g, expected %.9g", rows[i].line, names[k], got, expected[k]);
        }
        ck_assert_str_eq(w.caution[0], keeping_caution);
    }
}
END_TEST

/* What is given is enough to work the figure out again. */
START_TEST(keeping_can_be_recomputed_from_what_is_given)
{
    struct working w;
    ck_assert_int_eq(reckon("keeping temp=38F age=3d shelf_days=10 at=40F start=50", &w, NULL), 0);
    double given[64] = {0};
    static const char *const names[] = {"storage_c",      "tmin_c",     "ref_c", "life_days", "start_per_ml",
                                        "spoiled_per_ml", "shelf_days", "at_c",  "age_h"};
    for (size_t k = 0; k < sizeof names / sizeof names[0]; k++) {
        bool found = false;
        for (size_t i = 0; i < w.given_count; i++)
            if (strcmp(w.given[i].name, names[k]) == 0) {
                given[k] = w.given[i].number;
                found = true;
            }
        ck_assert_msg(found, "%s is not given", names[k]);
    }
    double rate = pow((given[0] - given[1]) / (given[2] - given[1]), 2);
    double used = rate * given[8] / 24, left = (given[3] - used) / rate;
    ck_near(result(&w, "days_left"), left, 1e-9);
    ck_near(given[3], given[6] * pow((given[7] - given[1]) / (given[2] - given[1]), 2), 1e-9);
    ck_near(result(&w, "count_now_per_ml"), given[4] * pow(given[5] / given[4], used / given[3]), 1e-9);
}
END_TEST

/* By hand: 5.203071682 days used in 128 h; at 4 °C those hours are 5.333 days, so colder than 4 °C on the
 * whole. */
START_TEST(keeping_says_what_a_history_cost_and_where_the_curve_ends)
{
    struct working w;
    ck_assert_int_eq(reckon("keeping history=@stays.csv shelf_days=10 at=4C", &w, NULL), 0);
    ck_near(result(&w, "lost_days"), 5.203071682 - 128.0 / 24, 1e-7);
    ck_assert_int_eq((int)w.caution_count, 1);
    ck_assert_int_eq(reckon("keeping temp=30F", &w, NULL), 0);
    ck_assert(strstr(w.caution[1], "freezes near 31 °F") != NULL);
    ck_assert_int_eq(reckon("keeping temp=60F", &w, NULL), 0);
    ck_assert(strstr(w.caution[1], "fitted from 0 to 12 °C") != NULL);
}
END_TEST

START_TEST(slips_get_one_line)
{
    static const struct {
        const char *line;
        enum fail_code code;
        const char *says;
    } rows[] = {
        {"keeping", FAIL_INPUT, "temp= is missing: where it is kept, as 38F; or give history=."},
        {"keeping temp=38F at=4C", FAIL_INPUT, "at= goes with shelf_days="},
        {"keeping temp=38F shelf_days=0", FAIL_INPUT, "more than 0"},
        {"keeping temp=38F shelf_days=10 start=1e8", FAIL_REFUSED, "has turned already"},
        {"keeping temp=38F start=0", FAIL_INPUT, "1 per mL or more"},
        {"keeping temp=38F history=@stays.csv age=2d", FAIL_INPUT, "not both"},
        {"keeping history=@either.csv", FAIL_INPUT, "begins at hour 2, so its hours may be times or stays"},
        {"keeping history=@back.csv", FAIL_INPUT, "Reading 3 is at an earlier time"},
        {"keeping history=@cells.csv", FAIL_INPUT, "Row 2 of the history needs two cells"},
        {"keeping history=@empty.csv", FAIL_INPUT, "The history has no rows"},
        {"keeping history=@none.csv", FAIL_STORE, "none.csv"},
        {"code", FAIL_INPUT, "on= is missing"},
        {"code on=2026-05-03 batch=AB", FAIL_INPUT, "A batch letter is one of"},
        {"code on=2026-05-03 milking=12", FAIL_INPUT, "milkings 1 to 9"},
        {"code code=260503-1AK", FAIL_INPUT, "check does not fit"},
        {"share jars=3 due=1,x", FAIL_INPUT, "\"x\""},
        {"share jars=3 due=1,2 owed=1", FAIL_INPUT, "owed: 1 people, but due= has 2."},
        {"taste flavour=lovely", FAIL_INPUT, "not a flavour in the table"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct working w;
        struct fail f = {0};
        ck_assert_msg(reckon(rows[i].line, &w, &f) == -1, "%s", rows[i].line);
        ck_assert_msg(f.code == rows[i].code && strstr(f.text, rows[i].says) != NULL, "%s: %s", rows[i].line,
                      f.text);
    }
}
END_TEST

START_TEST(the_other_topics_answer)
{
    struct working w;
    struct fail f = {0};
    ck_assert_int_eq(reckon("code on=2026-05-03 batch=a", &w, &f), 0);
    ck_assert_str_eq(working_find(&w, "code", -1)->text, "260503-1AR");
    ck_assert_int_eq(reckon("code code=26o5o3lar", &w, &f), 0);
    ck_assert_str_eq(working_find(&w, "milked_on", -1)->text, "2026-05-03");
    ck_assert_str_eq(working_find(&w, "batch", -1)->text, "A");
    ck_assert_int_eq(reckon("share jars=6 due=4,3,2", &w, &f), 0);
    ck_assert(working_find(&w, "jars", 0)->number == 3 && working_find(&w, "jars", 2)->number == 1);
    ck_assert_int_eq(reckon("taste flavour=sour chill=3h fridge=38F wash_missed=no", &w, &f), 0);
    ck_assert_str_eq(working_find(&w, "suspect", 0)->text, "slow chill");
    ck_assert_str_eq(working_find(&w, "finding", 3)->text, "the wash before was done");
    ck_assert_int_eq(reckon("taste flavour=soapy milked=2026-08-10", &w, &f), 0);
}
END_TEST

START_TEST(the_example_of_every_topic_works_and_cites_what_is_there)
{
    for (const struct reckon_topic *t = reckon_milk; t->name != NULL; t++) {
        char line[300];
        struct working w;
        struct fail f = {0};
        struct source source;
        snprintf(line, sizeof line, "%s %s", t->name, t->example);
        ck_assert_msg(reckon(line, &w, &f) == 0, "%s: %s", line, f.text);
        ck_assert_int_gt((int)w.result_count, 0);
        ck_assert_int_gt((int)w.step_count, 0);
        for (size_t i = 0; i < w.source_count; i++)
            ck_assert_msg(source_find(w.source[i], &source) == 0, "%s cites %s", line, w.source[i]);
        for (size_t i = 0; i < w.step_count; i++)
            ck_assert_msg(strlen(w.step[i]) < WORKING_STEP_TEXT - 1, "%s: a step is cut: %s", line,
                          w.step[i]);
    }
}
END_TEST

Suite *topics_suite(void)
{
    Suite *s = suite_create("topics");
    TCase *t = tcase_create("topics");
    tcase_add_test(t, keeping_answers_under_its_fixed_names);
    tcase_add_test(t, keeping_can_be_recomputed_from_what_is_given);
    tcase_add_test(t, keeping_says_what_a_history_cost_and_where_the_curve_ends);
    tcase_add_test(t, slips_get_one_line);
    tcase_add_test(t, the_other_topics_answer);
    tcase_add_test(t, the_example_of_every_topic_works_and_cites_what_is_there);
    suite_add_tcase(s, t);
    return s;
}
