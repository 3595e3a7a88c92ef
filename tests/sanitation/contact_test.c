/* Contact rules against the texts that make them: FDA Food Code 4-501.114 and 4-703.11 (as Wis. DHS 196 and
 * ATCP 75 appendices, WAC 246-215-04565), Wisconsin ATCP 65.34(1). */
#include "core/sanitation/contact.h"

#include "core/base/source.h"
#include "tests/support.h"

static struct contact_rules rules;

static void load_rules(void)
{
    struct fail f = {0};
    ck_assert_msg(contact_rules_load(&rules, &f) == 0, "%s", f.text);
}

static struct contact_answer judge(const char *set, enum chemical chemical, double ppm, double temp_f,
                                   double ph, double time_s)
{
    struct fail f = {0};
    struct contact_answer a;
    struct contact_reading r = {chemical, ppm, temp_c_from_f(temp_f), ph, time_s};
    ck_assert_msg(contact_judge(&rules, set, &r, &a, NULL, &f) == 0, "%s", f.text);
    return a;
}

START_TEST(readings_are_judged_as_the_rules_say)
{
    static const struct {
        const char *id, *set;
        enum chemical chemical;
        double ppm, temp_f, ph, time_s;
        enum contact_verdict verdict;
        double needs_s;
        const char *why;
    } rows[] = {
        {"FC1", "food-code", CHEMICAL_CHLORINE, 60, 80, 7.5, NAN, CONTACT_ALLOWED, 10, ""},
        {"FC2", "food-code", CHEMICAL_CHLORINE, 60, 80, 9, NAN, CONTACT_NOT_ALLOWED, NAN,
         "It needs water of 100 °F, or pH at most 8."},
        {"FC2 warm", "food-code", CHEMICAL_CHLORINE, 60, 100, 9, NAN, CONTACT_ALLOWED, 10, ""},
        {"FC3", "food-code", CHEMICAL_CHLORINE, 100, 55, 10, NAN, CONTACT_ALLOWED, 10, ""},
        {"FC3 cold", "food-code", CHEMICAL_CHLORINE, 100, 54, 10, NAN, CONTACT_NOT_ALLOWED, NAN, NULL},
        {"FC4", "food-code", CHEMICAL_CHLORINE, 30, 100, 8, NAN, CONTACT_NOT_ALLOWED, NAN,
         "It needs water of 120 °F."},
        {"FC4 hot", "food-code", CHEMICAL_CHLORINE, 30, 120, 8, NAN, CONTACT_ALLOWED, 10, ""},
        {"FC5", "food-code", CHEMICAL_CHLORINE, 24, 120, 7, NAN, CONTACT_NOT_ALLOWED, NAN,
         "It needs at least 25 ppm, or at least 50 ppm, or at least 100 ppm."},
        {"FC 7 s", "food-code", CHEMICAL_CHLORINE, 50, 75, 8, 7, CONTACT_ALLOWED, 7, ""},
        {"FC 50", "food-code", CHEMICAL_CHLORINE, 50, 75, 8, NAN, CONTACT_ALLOWED, 7, ""},
        {"FC 51", "food-code", CHEMICAL_CHLORINE, 51, 75, 8, NAN, CONTACT_ALLOWED, 10, ""},
        {"FC 6 s", "food-code", CHEMICAL_CHLORINE, 50, 75, 8, 6, CONTACT_NOT_ALLOWED, NAN, NULL},
        {"FC pH", "food-code", CHEMICAL_CHLORINE, 100, 55, NAN, NAN, CONTACT_NOT_KNOWN, NAN,
         "It depends: it needs pH at most 10."},
        {"FC iodine", "food-code", CHEMICAL_IODINE, 12.5, 68, 5, 30, CONTACT_ALLOWED, 30, ""},
        {"FC iodine", "food-code", CHEMICAL_IODINE, 26, 68, 5, 30, CONTACT_NOT_ALLOWED, NAN,
         "It needs at most 25 ppm."},
        {"FC hot", "food-code", CHEMICAL_WATER, NAN, 171, NAN, 30, CONTACT_ALLOWED, 30, ""},
        {"FC quat", "food-code", CHEMICAL_QUAT, 200, 75, 7, 30, CONTACT_ALLOWED, 30, ""},
        {"WI1", "wisconsin", CHEMICAL_CHLORINE, 50, 75, 8.3, 120, CONTACT_ALLOWED, 120, ""},
        {"WI2", "wisconsin", CHEMICAL_CHLORINE, 50, 75, 8.3, 60, CONTACT_NOT_ALLOWED, NAN,
         "It needs 120 s of contact."},
        {"WI3", "wisconsin", CHEMICAL_CHLORINE, 50, 111, 8, NAN, CONTACT_NOT_ALLOWED, NAN,
         "It needs water no hotter than 110 °F."},
        {"WI pH", "wisconsin", CHEMICAL_CHLORINE, 50, 75, 8.4, 120, CONTACT_NOT_ALLOWED, NAN,
         "It needs pH at most 8.3."},
        {"WI iodine", "wisconsin", CHEMICAL_IODINE, 12.5, 110, 5, 60, CONTACT_ALLOWED, 60, ""},
        {"WI hot", "wisconsin", CHEMICAL_WATER, NAN, 169, NAN, 300, CONTACT_NOT_ALLOWED, NAN,
         "It needs water of 170 °F."},
        /* Southern Nevada Health District: 100 ppm, a minute. From memory: PMO Appendix F, 50 ppm, 75 F, 1
         min. */
        {"nevada", "nevada", CHEMICAL_CHLORINE, 107, NAN, NAN, 60, CONTACT_ALLOWED, 60, ""},
        {"PMO", "pmo", CHEMICAL_CHLORINE, 50, 75, NAN, 60, CONTACT_ALLOWED, 60, ""},
        {"PMO short", "pmo", CHEMICAL_CHLORINE, 50, 75, NAN, 59, CONTACT_NOT_ALLOWED, NAN, NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct contact_answer a =
            judge(rows[i].set, rows[i].chemical, rows[i].ppm, rows[i].temp_f, rows[i].ph, rows[i].time_s);
        ck_assert_msg(a.verdict == rows[i].verdict, "%s: %s, %s", rows[i].id, contact_verdict_text(a.verdict),
                      a.why);
        ck_assert((a.rule == NULL) == (a.verdict != CONTACT_ALLOWED));
        if (a.verdict == CONTACT_ALLOWED)
            ck_assert_msg(a.time_s == rows[i].needs_s, "%s: %.0f s", rows[i].id, a.time_s);
        if (rows[i].why != NULL)
            ck_assert_str_eq(a.why, rows[i].why);
    }
}
END_TEST

/* The house rule is worth its name only if whatever meets it meets the others that are not one label's own.
 */
START_TEST(what_the_house_allows_every_rule_allows)
{
    static const char *const sets[] = {"food-code", "wisconsin", "nevada", "pmo"};
    for (double ppm = 100; ppm <= 200; ppm += 10)
        for (double temp_f = 75; temp_f <= 110; temp_f += 5)
            for (double ph = 6; ph < 8.35; ph += 0.1) {
                if (judge("house", CHEMICAL_CHLORINE, ppm, temp_f, ph, 120).verdict != CONTACT_ALLOWED)
                    ck_abort_msg("the house itself refuses %.0f ppm %.0f °F pH %.1f", ppm, temp_f, ph);
                for (size_t i = 0; i < sizeof sets / sizeof sets[0]; i++)
                    if (judge(sets[i], CHEMICAL_CHLORINE, ppm, temp_f, ph, 120).verdict != CONTACT_ALLOWED)
                        ck_abort_msg("%s refuses %.0f ppm %.0f °F pH %.1f", sets[i], ppm, temp_f, ph);
            }
}
END_TEST

START_TEST(impossible_readings_and_unknown_sets_are_refused)
{
    static const struct {
        const char *set;
        struct contact_reading reading;
        const char *line;
    } rows[] = {
        {"food-code", {CHEMICAL_CHLORINE, 60, 25, 15, NAN}, "ph: 15 is not a pH; a strip shows 0 to 14."},
        {"food-code", {CHEMICAL_CHLORINE, -1, 25, 7, NAN}, "Strength and time cannot be less than nothing."},
        {"mars",
         {CHEMICAL_CHLORINE, 60, 25, 7, NAN},
         "The rules \"mars\" say nothing about chlorine; there are house, food-code, wisconsin, nevada, "
         "label, pmo."},
        {"nevada",
         {CHEMICAL_IODINE, 20, 25, 5, NAN},
         "The rules \"nevada\" say nothing about iodine; there are house, food-code, wisconsin, nevada, "
         "label, pmo."},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fail f = {0};
        struct contact_answer a;
        ck_assert_int_eq(contact_judge(&rules, rows[i].set, &rows[i].reading, &a, NULL, &f), -1);
        ck_assert_str_eq(f.text, rows[i].line);
    }
}
END_TEST

START_TEST(the_working_names_the_set_and_its_sources)
{
    static struct working w;
    struct contact_answer a;
    struct contact_reading r = {CHEMICAL_CHLORINE, 60, temp_c_from_f(80), 9, NAN};
    working_init(&w, "contact");
    ck_assert_int_eq(contact_judge(&rules, "food-code", &r, &a, &w, NULL), 0);
    ck_assert_str_eq(w.given[0].name, "rules");
    ck_assert_str_eq(w.given[0].text, "food-code");
    ck_assert_str_eq(w.source[0], "food-code-4-501-114");
    ck_assert_str_eq(working_find(&w, "verdict", -1)->text, "not allowed");
    ck_assert_int_eq(working_find(&w, "contact_s", -1)->kind, FIGURE_NONE);
    ck_assert(w.why[0] != '\0');
}
END_TEST

/* TC1. ATCP 65.34 prints 170 °F as 70 °C; it is 76.7. The rules are kept in °F, so no slip of a law comes in.
 */
START_TEST(rules_are_kept_in_their_own_unit)
{
    struct source source;
    bool seen = false;
    for (size_t i = 0; i < rules.count; i++) {
        ck_assert_msg(source_find(rules.rule[i].source, &source) == 0, "no source %s", rules.rule[i].source);
        if (strcmp(rules.rule[i].set, "wisconsin") == 0 && rules.rule[i].chemical == CHEMICAL_WATER) {
            ck_within(temp_c_from_f(rules.rule[i].low_f), 76.7, 0.1);
            seen = true;
        }
    }
    ck_assert(seen);
}
END_TEST

START_TEST(bad_tables_are_refused_by_row_and_change_nothing)
{
#define HEAD "set,chemical,ppm_from,ppm_to,water_from_f,water_to_f,ph_to,seconds,source\n"
    static const struct {
        const char *text, *line;
    } rows[] = {
        {HEAD "a,chlorine,1\n", "Row 2: 3 cells; set, chemical, six numbers and a source are needed."},
        {HEAD "a,soda,1,,,,,60,s\n", "Row 2: there is no chemical \"soda\"."},
        {HEAD "a,chlorine,much,,,,,60,s\n",
         "Row 2: \"much\" is not a number; leave it empty where the rule does not say."},
        {HEAD "a,chlorine,-5,,,,,60,s\n",
         "Row 2: \"-5\" is not a number; leave it empty where the rule does not say."},
        {HEAD "a,chlorine,50,,,,,,s\n", "Row 2: every rule has a contact time."},
        {HEAD ",chlorine,50,,,,,60,s\n", "Row 2: the names of set and source are missing or too long."},
        {HEAD "a,chlorine,50,,,,,60,s\nb,chlorine,50,,,,,60,\n",
         "Row 3: the names of set and source are missing or too long."},
    };
    size_t count = rules.count;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fail f = {0};
        ck_assert_int_eq(contact_rules_parse(rows[i].text, &rules, &f), -1);
        ck_assert_str_eq(f.text, rows[i].line);
        ck_assert_uint_eq(rules.count, count);
    }
}
END_TEST

Suite *contact_suite(void)
{
    Suite *s = suite_create("contact");
    TCase *t = tcase_create("contact");
    tcase_add_checked_fixture(t, load_rules, NULL);
    tcase_add_test(t, readings_are_judged_as_the_rules_say);
    tcase_add_test(t, what_the_house_allows_every_rule_allows);
    tcase_add_test(t, impossible_readings_and_unknown_sets_are_refused);
    tcase_add_test(t, the_working_names_the_set_and_its_sources);
    tcase_add_test(t, rules_are_kept_in_their_own_unit);
    tcase_add_test(t, bad_tables_are_refused_by_row_and_change_nothing);
    suite_add_tcase(s, t);
    return s;
}
