/* The topics `due` and `heat` as they are asked for on the command line. */
#include <gsl/gsl_cdf.h>

#include "src/reckon.h"
#include "tests/breeding/day.h"

static struct working w;

/* Splits "a=1 b=2" and works the topic out. */
static int ask(const char *topic, const char *words, struct fail *f)
{
    char copy[400], *list[16];
    size_t count = 0;
    (void)snprintf(copy, sizeof copy, "%s", words);
    for (char *p = copy; *p != '\0' && count < 16;) {
        list[count++] = p;
        p += strcspn(p, " ");
        if (*p == ' ')
            *p++ = '\0';
    }
    return reckon_run(reckon_find(topic), list, count, UNITS_US, moment("2026-05-03T06:41"), &w, f);
}

static const char *text_of(const char *name)
{
    const struct figure *figure = working_find(&w, name, -1);
    return figure == NULL ? "(missing)" : figure->kind == FIGURE_TEXT ? figure->text : "(no text)";
}

START_TEST(due_days_with_the_names_that_are_promised)
{
    /* clang-format off */
    static const struct {
        const char *words, *name, *value;
    } rows[] = {
        {"served=2025-06-20 breed=Holstein",     "due_on",        "2026-03-26"}, /* Ohio: 279 */
        {"served=2025-06-20 breed=Holstein",     "dry_off_on",    "2026-01-25"}, /* DRY1, 60 days */
        {"served=2025-06-20 breed=Holstein",     "close_up_on",   "2026-03-05"}, /* DRY1, 21 days */
        {"served=2025-06-20 days=279 dry=45",    "dry_off_on",    "2026-02-09"}, /* DRY1, 45 days */
        {"served=2025-06-20 breed=Holstein",     "check_from_on", "2025-07-18"},
        {"served=2025-06-20 breed=Holstein",     "heat_from_on",  "2025-07-08"},
        {"served=2025-06-20 breed=Holstein",     "heat_to_on",    "2025-07-14"},
        {"served=2023-05-22 days=283",           "due_on",        "2024-02-29"}, /* GES1 */
        {"served=2024-02-29 days=279",           "due_on",        "2024-12-04"}, /* GES2 */
        {"served=2025-06-18 days=279",           "due_on",        "2026-03-24"}, /* GES3 */
        {"served=2025-01-01 days=282",           "due_on",        "2025-10-10"}, /* GES5 */
        {"served=2025-01-01 breed=brown-swiss",  "due_on",        "2025-10-16"}, /* Ohio: 288 */
        {"served=2025-01-01 breed=Jersey",       "due_on",        "2025-10-06"}, /* Ohio: 278 */
        {"served=2025-01-01",                    "due_on",        "2025-10-10"}, /* New Zealand average: 282 */
        {"served=2025-01-01 days=279 parity=0",  "due_on",        "2025-10-05"}, /* first calf: 2 days less */
        {"served=2025-01-01 days=279 parity=2",  "due_on",        "2025-10-07"},
        {"served=2025-01-01 days=279 twins=yes", "due_on",        "2025-10-03"}, /* Knott: 4.4 less, 275 */
        {"served=2025-01-01 days=279 twins=no",  "due_on",        "2025-10-07"},
    };
    /* clang-format on */
    struct fail f = {0};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert_msg(ask("due", rows[i].words, &f) == 0, "%s: %s", rows[i].words, f.text);
        ck_assert_msg(strcmp(text_of(rows[i].name), rows[i].value) == 0, "%s: %s is %s, not %s",
                      rows[i].words, rows[i].name, text_of(rows[i].name), rows[i].value);
    }
    ck_assert_int_lt(strcmp(text_of("due_from_on"), text_of("due_on")), 0);
    ck_assert_int_gt(strcmp(text_of("due_to_on"), text_of("due_on")), 0);
}
END_TEST

START_TEST(the_trap_of_the_printed_tables_is_said)
{
    bool said = false;
    ck_assert_int_eq(ask("due", "served=2025-01-01 days=282", NULL), 0);
    for (size_t i = 0; i < w.step_count; i++)
        said = said || strstr(w.step[i], "count the day of service as day 1") != NULL;
    ck_assert(said);
    ck_assert_int_eq((int)working_find(&w, "gestation_days", -1)->number, 282);
}
END_TEST

START_TEST(near_term_the_chance_of_the_coming_day_is_given)
{
    ck_assert_int_eq(ask("due", "served=2025-06-20 days=279", NULL), 0);
    ck_assert_ptr_null(working_find(&w, "chance_24h_pct", -1));
    ck_assert_int_eq(ask("due", "served=2025-06-20 days=279 on=2026-03-26", NULL), 0);
    /* normal curve, mean 279, sd 4.8, cut into days: P(279) / P(279 or later), by GSL */
    double day_only = gsl_cdf_ugaussian_P(0.5 / 4.8) - gsl_cdf_ugaussian_P(-0.5 / 4.8);
    ck_near(working_find(&w, "chance_24h_pct", -1)->number, 100 * day_only / gsl_cdf_ugaussian_Q(-0.5 / 4.8),
            1e-6);
    ck_assert(working_find(&w, "chance_7d_pct", -1)->number > 80);
}
END_TEST

START_TEST(heats_with_the_names_that_are_promised)
{
    struct fail f = {0};
    ck_assert_int_eq(ask("heat", "seen=2026-05-03T07:00", &f), 0);
    ck_assert_str_eq(text_of("serve_from"), "2026-05-03T14:00:00-04:00");
    ck_assert_str_eq(text_of("serve_to"), "2026-05-03T19:00:00-04:00");
    ck_assert_str_eq(text_of("guide"), "that evening");      /* AMPM1 */
    ck_assert_str_eq(text_of("next_from_on"), "2026-05-21"); /* 18 days */
    ck_assert_str_eq(text_of("next_to_on"), "2026-05-27");   /* 24 days */
    ck_assert_int_eq(ask("heat", "seen=2026-05-03T18:00 signs=standing", &f), 0);
    ck_assert_str_eq(text_of("guide"), "the next morning"); /* AMPM1 */
    ck_assert_str_eq(text_of("strength"), "sure");
    ck_assert_int_eq(ask("heat", "seen=2026-05-03T07:00 before=2026-03-20,2026-04-11", &f), 0);
    /* two own cycles of 22 days: mean 21.71, sd sqrt(0.335 + 0.937) = 1.13; 21.71 - 1.96 * 1.13 = 19.5 days
     */
    ck_assert_str_eq(text_of("next_from_on"), "2026-05-23");
}
END_TEST

START_TEST(slips_get_one_line)
{
    /* clang-format off */
    static const struct {
        const char *topic, *words, *line;
    } slips[] = {
        {"due",  "breed=Jersey",                                       "served= is missing: the day of service, as 2026-03-14."  },
        {"due",  "served=2025-02-30",                                  "There is no day \"2025-02-30\" in the calendar."         },
        {"due",  "served=2025-01-01 days=150",
         "A cow does not carry a calf for 150 days; 260 to 310 can be meant."                                                    },
        {"due",  "served=2025-01-01 dry=400",                          "dry=400 days cannot be meant; 45 to 60 are usual."       },
        {"due",  "served=2025-01-01 twins=perhaps",                    "twins: \"perhaps\" is not one of no, yes, 0, 1."         },
        {"heat", "seen=noon",                                          "\"noon\" is not a time; write 06:10 or 2026-05-03T06:10."},
        {"heat", "seen=2026-05-03T07:00 before=2026-05-04",
         "before: the earlier heats, oldest first, all before the one seen now."                                                 },
        {"heat", "seen=2026-05-03T07:00 before=2026-04-04,2026-03-04",
         "before: the earlier heats, oldest first, all before the one seen now."                                                 },
    };
    /* clang-format on */
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++) {
        struct fail f = {0};
        ck_assert_msg(ask(slips[i].topic, slips[i].words, &f) == -1, "%s", slips[i].words);
        ck_assert_str_eq(f.text, slips[i].line);
    }
    struct fail f = {0};
    ck_assert_int_eq(ask("due", "served=2025-01-01 breed=Aurochs", &f), -1);
    ck_assert_int_eq(f.code, FAIL_INPUT);
}
END_TEST

Suite *reckon_breeding_suite(void)
{
    Suite *s = suite_create("reckon_breeding");
    TCase *t = tcase_create("reckon_breeding");
    tcase_add_test(t, due_days_with_the_names_that_are_promised);
    tcase_add_test(t, the_trap_of_the_printed_tables_is_said);
    tcase_add_test(t, near_term_the_chance_of_the_coming_day_is_given);
    tcase_add_test(t, heats_with_the_names_that_are_promised);
    tcase_add_test(t, slips_get_one_line);
    suite_add_tcase(s, t);
    return s;
}
