/* `springhouse reckon` topics of sanitation: their words, the names of their results, and what they refuse.
 * The figures have their sources in the suites beside this one. */
#include "src/reckon.h"

#include "core/base/source.h"
#include "tests/support.h"

static struct working w;
static struct fail f;

/* Runs "topic key=value ..." */
static int run(const char *line)
{
    char copy[512], *words[24], *rest = copy;
    size_t count = 0;
    snprintf(copy, sizeof copy, "%s", line);
    for (char *word; (word = strsep(&rest, " ")) != NULL;)
        words[count++] = word;
    const struct reckon_topic *topic = reckon_find(words[0]);
    ck_assert_msg(topic != NULL, "no topic %s", words[0]);
    f = (struct fail){0};
    return reckon_run(topic, words + 1, count - 1, UNITS_US, (struct instant){0}, &w, &f);
}

START_TEST(results_have_their_promised_names)
{
    static const struct {
        const char *line, *name;
        double value, within;
    } rows[] = {
        {"solution strength=6% target=100ppm volume=3gal", "dose_ml", 18.93, 0.05},               /* CL4 */
        {"solution strength=6% target=100ppm volume=3gal counted=water", "dose_ml", 18.96, 0.05}, /* CL5 */
        {"solution strength=8.25% target=200ppm volume=10L", "dose_ml", 24.24, 0.05},             /* CL6 */
        {"solution strength=8.25% target=200ppm volume=10L", "dose_tsp", 4.918, 0.001},
        {"solution strength=8.25% target=200ppm volume=10L", "ppm_check", 200, 1e-6},
        {"solution strength=8.25% dose=1tbsp volume=1gal counted=water", "ppm_check", 321, 0.5}, /* CL3 */
        {"solution strength=8.25% dose=1tbsp volume=1gal counted=water", "over_ceiling", 1, 0},
        {"solution strength=5.25% dose=1tbsp volume=1gal counted=water", "ppm_check", 204.3, 0.5}, /* CL1 */
        {"solution strength=8.25% target=100ppm volume=3gal strip=75ppm", "counts_ppm", 75, 0},
        {"contact strength=60ppm temp=80F ph=7.5 rules=food-code", "contact_s", 10, 0}, /* FC1 */
        {"contact strength=100ppm temp=80F ph=7.5", "hocl_fraction", 0.5, 0.001},       /* HO1 */
        {"temper hot=180F cold=55F target=165F volume=10gal", "hot_l", 8.8 * L_PER_GAL, 1e-9},
        {"temper hot=180F cold=55F target=165F volume=10gal", "cold_l", 1.2 * L_PER_GAL, 1e-9},
        {"washwater start=160F room=60F read=5:150F", "time_min", 24.24, 0.01}, /* NC1 */
        {"washwater start=160F room=60F read=5:150F floor=120F", "k_per_min", 0.021072, 1e-6},
        {"washwater room=60F read=0:160F,5:150F", "time_min", 24.24, 0.01},
        {"washwater start=150F room=60F read=0:160F,5:150F", "time_min", 19.24,
         0.01}, /* five minutes later */
        {"washwater room=60F k=0.021072/min last=10min", "start_needed_c", (134.07 - 32) / 1.8,
         0.03},                                                                           /* NC3 */
        {"life milkings=1200 per_day=40 fitted=2026-05-03", "left_days", 30, 0},          /* LI1 */
        {"life milkings=1200 days=182 per_day=4 fitted=2026-05-03", "left_days", 182, 0}, /* LI3 */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert_msg(run(rows[i].line) == 0, "%s: %s", rows[i].line, f.text);
        const struct figure *figure = working_find(&w, rows[i].name, -1);
        ck_assert_msg(figure != NULL, "%s: no %s", rows[i].line, rows[i].name);
        ck_assert_msg(fabs(figure->number - rows[i].value) <= rows[i].within, "%s: %s is %.9g", rows[i].line,
                      rows[i].name, figure->number);
    }
    ck_assert_int_eq(run("life milkings=1200 days=182 per_day=4 fitted=2026-05-03"), 0);
    ck_assert_str_eq(working_find(&w, "due_on", -1)->text, "2026-11-01");
    ck_assert_str_eq(working_find(&w, "binds", -1)->text, "calendar");
    ck_assert_int_eq(run("life milkings=1200 days=182 per_day=40 fitted=2026-05-03"), 0);
    ck_assert_str_eq(working_find(&w, "due_on", -1)->text, "2026-06-02");
    ck_assert_str_eq(working_find(&w, "binds", -1)->text, "milkings");
}
END_TEST

START_TEST(figures_that_do_not_exist_say_why)
{
    static const struct {
        const char *line, *name, *why;
    } rows[] = {
        {"temper hot=140F cold=55F target=150F volume=3gal", "hot_l",
         "Water of 140 °F cannot make 150 °F."}, /* MX3 */
        {"washwater start=160F room=121F k=0.02", "time_min",
         "The room is as warm as the floor: the water never falls to 120 °F."}, /* NC6 */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert_msg(run(rows[i].line) == 0, "%s: %s", rows[i].line, f.text);
        ck_assert_int_eq(working_find(&w, rows[i].name, -1)->kind, FIGURE_NONE);
        ck_assert_str_eq(w.why, rows[i].why);
    }
}
END_TEST

START_TEST(bad_input_gets_one_clear_line)
{
    static const struct {
        const char *line;
        int exit_status;
        const char *says;
    } rows[] = {
        {"solution strength=0% target=100ppm volume=3gal", 2, "there is no bleach of 0 %"},
        {"solution strength=101% target=100ppm volume=3gal", 2, "\"101%\" cannot be meant"},
        {"solution strength=-6% target=100ppm volume=3gal", 2, "less than nothing"},
        {"solution strength=6 target=100ppm volume=3gal", 2, "\"6\" has no unit"},
        {"solution strength= target=100ppm volume=3gal", 2, "strength: nothing was given"},
        {"solution strength=nan target=100ppm volume=3gal", 2, "\"nan\" is not a percentage"},
        {"solution target=100ppm volume=3gal", 2, "strength= is missing"},
        {"solution strength=6% volume=3gal", 2, "target= is missing"},
        {"solution strength=6% target=100ppm", 2, "volume= is missing"},
        {"solution strength=6% target=250ppm volume=3gal", 1, "250 ppm is over 200 ppm"}, /* CL11 */
        {"solution strength=6% target=100ppm dose=1tsp volume=3gal", 2, "not both"},
        {"solution strength=6% target=100ppm volume=3gal strip=300ppm", 2, "its scale ends at 200 ppm"},
        {"solution strength=4% basis=true target=100ppm volume=3gal", 2, "needs the bottle's density"},
        {"solution chemical=iodine target=12ppm volume=3gal", 2, "give its recipe"},
        {"contact strength=60ppm temp=80F ph=15", 2, "15 is not a pH"},
        {"contact strength=60ppm temp=80F rules=mars", 1, "say nothing about chlorine"},
        {"temper hot=140F cold=140F target=140F volume=3gal", 1, "no hotter than the cold"}, /* MX4 */
        {"washwater start=160F room=60F read=5:150F,10:152F", 1, "does not grow warmer"},    /* NC5 */
        {"washwater start=160F room=60F read=5", 2, "\"5\" is not MIN:TEMP"},
        {"washwater start=160F room=60F read=5:150F:3", 2, "is not MIN:TEMP"},
        {"washwater start=160F room=60F read=5:150F k=0.02", 2, "not both"},
        {"washwater start=160F room=60F", 2, "how fast does the sink cool?"},
        {"washwater room=60F k=0.02", 2, "start= or last= is missing"},
        {"washwater room=60F read=5:150F last=10min", 2, "one reading tells nothing"},
        {"life milkings=0 days=182 per_day=4 fitted=2026-05-03", 2, "a life of 0 is none"},
        {"life days=0 fitted=2026-05-03", 2, "a life of 0 is none"},
        {"life fitted=2026-05-03", 2, "A life of nothing"},
        {"life milkings=1200 fitted=2026-05-03", 2, "how many cows are milked"},
        {"life milkings=1200 per_day=4 fitted=2026-02-30", 2, "There is no day"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert_msg(run(rows[i].line) == -1, "%s", rows[i].line);
        ck_assert_msg(strstr(f.text, rows[i].says) != NULL, "%s: %s", rows[i].line, f.text);
        ck_assert_msg(fail_exit_status(f.code) == rows[i].exit_status, "%s: %d", rows[i].line, (int)f.code);
    }
}
END_TEST

START_TEST(the_examples_of_the_help_work_and_cite_known_sources)
{
    char line[512];
    struct source source;
    for (const struct reckon_topic *t = reckon_sanitation; t->name != NULL; t++) {
        snprintf(line, sizeof line, "%s %s", t->name, t->example);
        ck_assert_msg(run(line) == 0, "%s: %s", line, f.text);
        ck_assert_msg(w.source_count > 0, "%s has no source", t->name);
        for (size_t i = 0; i < w.source_count; i++)
            ck_assert_msg(source_find(w.source[i], &source) == 0, "%s: no source %s", t->name, w.source[i]);
    }
}
END_TEST

Suite *topics_suite(void)
{
    Suite *s = suite_create("topics");
    TCase *t = tcase_create("topics");
    tcase_add_test(t, results_have_their_promised_names);
    tcase_add_test(t, figures_that_do_not_exist_say_why);
    tcase_add_test(t, bad_input_gets_one_clear_line);
    tcase_add_test(t, the_examples_of_the_help_work_and_cite_known_sources);
    suite_add_tcase(s, t);
    return s;
}
