/* Limits: the figures of each rule as the rule states them, judging a log, blending. */
#include "core/cooling/limits.h"

#include "core/base/quantity.h"
#include "core/base/source.h"
#include "tests/support.h"

static struct limit_list limits;

static void load(void)
{
    struct fail f = {0};
    ck_assert_msg(limit_list_load(&limits, &f) == 0, "%s", f.text);
}

static const struct limit_set *set(const char *name)
{
    struct fail f = {0};
    const struct limit_set *found = limit_need(&limits, name, NULL, &f);
    ck_assert_msg(found != NULL, "%s", f.text);
    return found;
}

START_TEST(each_rule_has_its_own_figures)
{
    static const struct {
        const char *name;
        struct limit_clause clause[4];
        size_t count;
        struct stated_temp blend;
    } rules[] = {
        /* US PMO, Grade A raw milk, table "PMO standards for milk and milk products"; same text California
         * Food and Agricultural Code s. 35783: 50 F within 4 h of the start of the first milking, 45 F within
         * 2 h after the end, blend at most 50 F. */
        {"pmo", {{{50, 'F'}, 240, CLOCK_MILKING_START}, {{45, 'F'}, 120, CLOCK_MILKING_END}}, 2, {50, 'F'}},
        {"california",
         {{{50, 'F'}, 240, CLOCK_MILKING_START}, {{45, 'F'}, 120, CLOCK_MILKING_END}},
         2,
         {50, 'F'}},
        /* New Zealand NZCP1: 10 C within 4 h of start, 6 C within the sooner of 6 h from start and 2 h from
         * end; later milkings never above 10 C. */
        {"new-zealand",
         {{{10, 'C'}, 240, CLOCK_MILKING_START},
          {{6, 'C'}, 360, CLOCK_MILKING_START},
          {{6, 'C'}, 120, CLOCK_MILKING_END}},
         3,
         {10, 'C'}},
        /* Washington RCW 15.36.221; Massachusetts 330 CMR 27.05: 40 F within 2 h, blend at most 50 F. */
        {"washington", {{{40, 'F'}, 120, CLOCK_MILKING_END}}, 1, {50, 'F'}},
        {"massachusetts", {{{40, 'F'}, 120, CLOCK_MILKING_END}}, 1, {50, 'F'}},
        /* Texas 25 TAC 217.27: 45 F within 2 h after milking. */
        {"texas", {{{45, 'F'}, 120, CLOCK_MILKING_END}}, 1, {0, 0}},
        /* EU 853/2004 Annex III: 8 C daily, 6 C otherwise; two hours from the Swiss SR 916.351.021.1. */
        {"eu-8", {{{8, 'C'}, 120, CLOCK_MILKING_END}}, 1, {0, 0}},
        {"eu-6", {{{6, 'C'}, 120, CLOCK_MILKING_END}}, 1, {0, 0}},
        {"40f-2h", {{{40, 'F'}, 120, CLOCK_MILKING_END}}, 1, {50, 'F'}},
    };
    for (size_t i = 0; i < sizeof rules / sizeof rules[0]; i++) {
        const struct limit_set *s = set(rules[i].name);
        ck_assert_int_eq(s->clause_count, rules[i].count);
        for (size_t c = 0; c < rules[i].count; c++) {
            ck_assert(s->clause[c].temp.value == rules[i].clause[c].temp.value);
            ck_assert(s->clause[c].temp.unit == rules[i].clause[c].temp.unit);
            ck_assert(s->clause[c].minutes == rules[i].clause[c].minutes);
            ck_assert_int_eq(s->clause[c].from, rules[i].clause[c].from);
        }
        ck_assert(s->blend.value == rules[i].blend.value && s->blend.unit == rules[i].blend.unit);
        struct source source;
        ck_assert_msg(source_find(s->source, &source) == 0, "%s cites %s", s->name, s->source);
        ck_assert(s->title[0] != '\0');
    }
    ck_assert_int_eq(limits.count, sizeof rules / sizeof rules[0]);
}
END_TEST

START_TEST(a_limit_is_compared_in_the_unit_in_which_it_is_stated)
{
    /* 45 F is meant although the rule prints 7 C beside it: 7.2 C keeps it, 7.3 C does not. */
    struct stated_temp f45 = {45, 'F'}, c6 = {6, 'C'};
    ck_near(stated_temp_c(f45), 7.2222222, 1e-8);
    ck_assert(stated_temp_kept(f45, 7.2));
    ck_assert(!stated_temp_kept(f45, 7.3));
    ck_assert(stated_temp_kept(f45, temp_c_from_f(45)));
    ck_assert(!stated_temp_kept(f45, temp_c_from_f(45.1)));
    ck_assert(stated_temp_kept(c6, 6) && !stated_temp_kept(c6, 6.1));
    /* What was read as a whole or a tenth of a degree F is kept as thousandths of a degree C and still
     * compares right. */
    for (int tenths = 320; tenths <= 700; tenths++) {
        struct stated_temp limit = {tenths / 10.0, 'F'};
        double stored = (double)quantity_milli(temp_c_from_f(tenths / 10.0)) / 1000;
        double above = (double)quantity_milli(temp_c_from_f((tenths + 1) / 10.0)) / 1000;
        if (!stated_temp_kept(limit, stored) || stated_temp_kept(limit, above))
            ck_abort_msg("%.1f F, kept as %.3f C", tenths / 10.0, stored);
    }
    struct stated_temp none = {0, 0};
    ck_assert(isnan(stated_temp_c(none)));
}
END_TEST

/* A morning on the clock: hours and minutes to seconds. */
static double at(int hour, int minute)
{
    return hour * 3600.0 + minute * 60.0;
}

static double f(double fahrenheit)
{
    return temp_c_from_f(fahrenheit);
}

START_TEST(a_log_is_judged_by_the_pmo_as_the_rule_reads)
{
    /* V55. */
    struct log_judgement j;
    double first[CLOCK_STARTS] = {at(6, 0), at(6, 30), at(6, 5)};
    struct log_reading good[] = {{at(7, 10), f(50)}, {at(8, 25), f(45)}};
    limit_judge(set("pmo"), first, at(12, 0), good, 2, &j, NULL);
    ck_assert_int_eq(j.all, LOG_KEPT);
    ck_assert_int_eq(j.clause[0], LOG_KEPT);
    ck_assert_int_eq(j.clause[1], LOG_KEPT);
    ck_assert(j.deadline_at_s[0] == at(10, 0) && j.deadline_at_s[1] == at(8, 30));

    struct log_reading late[] = {{at(7, 10), f(50)}, {at(8, 31), f(45)}};
    limit_judge(set("pmo"), first, at(12, 0), late, 2, &j, NULL);
    ck_assert_int_eq(j.all, LOG_BROKEN);
    ck_assert_int_eq(j.clause[0], LOG_KEPT);
    ck_assert_int_eq(j.clause[1], LOG_BROKEN);

    double longer[CLOCK_STARTS] = {at(6, 0), at(9, 0), at(6, 5)};
    struct log_reading slow[] = {{at(10, 1), f(50)}, {at(10, 50), f(45)}};
    limit_judge(set("pmo"), longer, at(12, 0), slow, 2, &j, NULL);
    ck_assert_int_eq(j.clause[0], LOG_BROKEN);
    ck_assert_int_eq(j.clause[1], LOG_KEPT);
    ck_assert_int_eq(j.all, LOG_BROKEN);
}
END_TEST

START_TEST(the_four_hour_clause_binds_only_when_milking_takes_over_two_hours)
{
    /* 45 F by end + 2 h is 50 F before start + 4 h whenever milking is shorter than 2 h. */
    for (int minutes = 5; minutes < 240; minutes += 5) {
        double start[CLOCK_STARTS] = {0, minutes * 60.0, 0};
        double four = limit_deadline(&set("pmo")->clause[0], start),
               two = limit_deadline(&set("pmo")->clause[1], start);
        ck_assert_int_eq(two > four, minutes > 120);
    }
}
END_TEST

START_TEST(a_log_that_is_not_finished_is_open_and_one_without_clock_says_so)
{
    struct log_judgement j;
    double start[CLOCK_STARTS] = {at(6, 0), at(6, 30), NAN}, unknown[CLOCK_STARTS] = {NAN, NAN, NAN};
    struct log_reading r[] = {{at(6, 50), f(70)}};
    limit_judge(set("pmo"), start, at(7, 0), r, 1, &j, NULL);
    ck_assert_int_eq(j.all, LOG_OPEN);
    limit_judge(set("pmo"), start, at(8, 31), r, 1, &j, NULL);
    ck_assert_int_eq(j.clause[1], LOG_BROKEN); /* nobody read it in time */
    ck_assert_int_eq(j.clause[0], LOG_OPEN);
    ck_assert_int_eq(j.all, LOG_BROKEN);
    limit_judge(set("pmo"), unknown, at(8, 31), r, 1, &j, NULL);
    ck_assert_int_eq(j.all, LOG_NO_CLOCK);
    limit_judge(set("pmo"), start, at(7, 0), r, 0, &j, NULL);
    ck_assert_int_eq(j.all, LOG_OPEN);
    ck_assert(isnan(j.reached_at_s[0]));
}
END_TEST

START_TEST(milk_that_warms_again_breaks_the_hold)
{
    struct log_judgement j;
    struct working w;
    double start[CLOCK_STARTS] = {at(6, 0), at(6, 30), NAN};
    struct log_reading r[] = {{at(7, 10), f(48)}, {at(8, 0), f(44)}, {at(12, 0), f(47)}};
    working_init(&w, "log");
    limit_judge(set("pmo"), start, at(13, 0), r, 3, &j, &w);
    ck_assert_int_eq(j.clause[0], LOG_KEPT);
    ck_assert_int_eq(j.clause[1], LOG_KEPT);
    ck_assert(j.hold_broken && j.hold_broken_at_s == at(12, 0));
    ck_assert_int_eq(j.all, LOG_BROKEN);
    ck_assert_str_eq(working_find(&w, "verdict", -1)->text, "broken");
    ck_assert_str_eq(working_find(&w, "verdict", 1)->text, "kept");
    ck_assert_str_eq(w.source[0], "pmo");
}
END_TEST

START_TEST(a_rule_of_ones_own_is_read_and_refused_in_words)
{
    struct limit_set own;
    struct fail fail = {0};
    ck_assert_msg(limit_parse_own("50F/4h/start; 45F/120/end; hold 40F; blend 50F", &own, &fail) == 0, "%s",
                  fail.text);
    ck_assert_int_eq(own.clause_count, 2);
    ck_assert(own.clause[0].minutes == 240 && own.clause[1].minutes == 120);
    ck_assert(own.hold.value == 40 && own.hold.unit == 'F');
    ck_assert(limit_parse_own("4C/90/cooling", &own, &fail) == 0);
    ck_assert_int_eq(own.clause[0].from, CLOCK_COOLING_START);
    ck_assert(limit_need(&limits, "4.5C/60/cooling", &own, &fail) == &own);
    ck_assert(own.clause[0].temp.value == 4.5);
    static const char *const bad[] = {"",
                                      "45/120/end",
                                      "45F/120",
                                      "45F/120/noon",
                                      "hold 40F",
                                      "45F/soon/end",
                                      "45F/120/end/x",
                                      "blend 50",
                                      "45F/-5/end",
                                      "999F/10/end",
                                      "1F/1/end;2F/1/end;3F/1/end;4F/1/end;5F/1/end"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        fail = (struct fail){0};
        own.clause_count = 77;
        ck_assert_msg(limit_parse_own(bad[i], &own, &fail) == -1, "\"%s\" was taken", bad[i]);
        ck_assert(fail.text[0] != '\0' && own.clause_count == 77);
    }
    ck_assert(limit_need(&limits, "moon", &own, &fail) == NULL);
    ck_assert_msg(strstr(fail.text, "pmo, eu-8") != NULL, "%s", fail.text);
}
END_TEST

START_TEST(a_blend_has_the_temperature_of_its_parts)
{
    /* V52: 10 gal at 38 F and 3 gal at 95 F make 51.15 F, above the 50 F of the rule; 4 parts of 15 would be
     * the most. */
    double c = blend_temp_c(10, f(38), 3, f(95));
    ck_near(temp_f_from_c(c), 51.15384615, 1e-9);
    ck_assert(!stated_temp_kept(set("pmo")->blend, c));
    ck_near(blend_fraction_most(f(38), f(95), f(50)), 0.2666666667, 1e-9);
    ck_within(temp_f_from_c(blend_temp_c(1, f(38), blend_fraction_most(f(38), f(95), f(50)), f(95))), 50,
              1e-9);
    ck_assert(blend_fraction_most(f(52), f(95), f(50)) == 0);
    ck_assert(isinf(blend_fraction_most(f(38), f(49), f(50))));
}
END_TEST

START_TEST(the_coldest_clause_is_found)
{
    ck_assert_int_eq(limit_coldest_clause(set("pmo")), 1);
    ck_assert_int_eq(limit_coldest_clause(set("new-zealand")), 1);
    struct limit_set none = {0};
    ck_assert_int_eq(limit_coldest_clause(&none), -1);
}
END_TEST

Suite *limits_suite(void)
{
    Suite *s = suite_create("limits");
    TCase *t = tcase_create("limits");
    tcase_add_checked_fixture(t, load, NULL);
    tcase_add_test(t, each_rule_has_its_own_figures);
    tcase_add_test(t, a_limit_is_compared_in_the_unit_in_which_it_is_stated);
    tcase_add_test(t, a_log_is_judged_by_the_pmo_as_the_rule_reads);
    tcase_add_test(t, the_four_hour_clause_binds_only_when_milking_takes_over_two_hours);
    tcase_add_test(t, a_log_that_is_not_finished_is_open_and_one_without_clock_says_so);
    tcase_add_test(t, milk_that_warms_again_breaks_the_hold);
    tcase_add_test(t, a_rule_of_ones_own_is_read_and_refused_in_words);
    tcase_add_test(t, a_blend_has_the_temperature_of_its_parts);
    tcase_add_test(t, the_coldest_clause_is_found);
    suite_add_tcase(s, t);
    return s;
}
