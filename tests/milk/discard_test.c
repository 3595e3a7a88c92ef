/* Losses, and the rules that throw milk away. "Above 40 °F for 2 hours: discard" is the advice for power cuts
 * of a dairy and nutrition council (odncouncil.org, February 2021); a batch over a laboratory's limit is held
 * and then discarded under Utah Administrative Code R70-330-7; milk of doubtful cow, treatment or date stays
 * out until that is settled (a dairy co-operative's leaflet). */
#include "core/base/source.h"
#include "core/milk/discard.h"
#include "core/milk/loss.h"
#include "tests/support.h"

static struct discard_judgement judge(const struct discard_facts *facts, struct working *w)
{
    struct discard_judgement j;
    struct fail f = {0};
    if (discard_judge(facts, &j, w, &f) != 0)
        ck_abort_msg("%s", f.text);
    return j;
}

START_TEST(two_hours_above_40_f_after_the_first_chill_are_too_many)
{
    static const struct {
        double chill_hours, out_hours, out_f;
        enum discard_verdict verdict;
    } rows[] = {
        {12, 0, 70, DISCARD_NO_RULE},  {12, 1.999, 70, DISCARD_NO_RULE}, {12, 2, 70, DISCARD_AWAY},
        {12, 2, 40.01, DISCARD_AWAY},  {12, 50, 40, DISCARD_NO_RULE}, /* at 40 °F, not above */
        {0.5, 3, 70, DISCARD_NO_RULE}, /* never chilled yet: that clock has not started */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct keeping_span h[] = {keeping_relaxing(rows[i].chill_hours, 35, 3, 0.9),
                                   keeping_held(rows[i].out_hours, temp_c_from_f(rows[i].out_f)),
                                   keeping_held(5, 3)};
        struct discard_facts facts = {.span = h, .spans = i == 5 ? 2 : 3};
        struct discard_judgement j = judge(&facts, NULL);
        ck_assert_msg(j.verdict == rows[i].verdict, "row %zu: %s", i, discard_word(j.verdict));
        ck_assert(isnan(j.warm_h) == (i == 5));
    }
}
END_TEST

START_TEST(warm_times_add_up)
{
    struct keeping_span h[] = {keeping_held(1, 3),    keeping_held(0.7, 20), keeping_held(9, 3),
                               keeping_held(0.7, 20), keeping_held(9, 3),    keeping_held(0.7, 20)};
    struct discard_facts facts = {.span = h, .spans = 4};
    struct discard_judgement j = judge(&facts, NULL);
    ck_assert_int_eq((int)j.verdict, DISCARD_NO_RULE);
    ck_near(j.warm_h, 1.4, 1e-12);
    facts.spans = 6;
    j = judge(&facts, NULL);
    ck_assert_int_eq((int)j.verdict, DISCARD_AWAY);
    ck_assert_str_eq(j.reason[0].text,
                     "It was above 40 °F for two hours or more after it was first chilled.");
}
END_TEST

START_TEST(every_other_rule_by_itself)
{
    static const struct {
        struct discard_facts facts;
        enum discard_rule rule;
        enum discard_verdict verdict;
    } rows[] = {
        {{.held = true}, DISCARD_RULE_HELD, DISCARD_AWAY},
        {{.abnormal = true}, DISCARD_RULE_ABNORMAL, DISCARD_AWAY},
        {{.soiled = true}, DISCARD_RULE_SOILED, DISCARD_AWAY},
        {{.doubt = true}, DISCARD_RULE_DOUBT, DISCARD_WAIT},
        {{.lab = DISCARD_LAB_OVER}, DISCARD_RULE_LAB, DISCARD_AWAY},
        {{.lab = DISCARD_LAB_PENDING, .lab_must_be_good = true}, DISCARD_RULE_LAB, DISCARD_WAIT},
        {{.lab = DISCARD_LAB_NONE, .lab_must_be_good = true}, DISCARD_RULE_LAB, DISCARD_WAIT},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct discard_judgement j = judge(&rows[i].facts, NULL);
        ck_assert_msg(j.reasons == 1 && j.reason[0].rule == rows[i].rule && j.verdict == rows[i].verdict,
                      "row %zu", i);
    }
    static const struct discard_facts fine[] = {
        {.lab = DISCARD_LAB_PENDING}, {.lab = DISCARD_LAB_GOOD, .lab_must_be_good = true}, {0}};
    for (size_t i = 0; i < sizeof fine / sizeof fine[0]; i++)
        ck_assert_int_eq((int)judge(&fine[i], NULL).reasons, 0);
}
END_TEST

START_TEST(the_gravest_reason_decides_and_all_are_told)
{
    struct discard_facts facts = {.doubt = true, .soiled = true, .held = true};
    struct discard_judgement j = judge(&facts, NULL);
    ck_assert_int_eq((int)j.verdict, DISCARD_AWAY);
    ck_assert_int_eq((int)j.reasons, 3);
}
END_TEST

START_TEST(no_judgement_says_that_milk_is_safe)
{
    struct working w;
    struct source source;
    struct keeping_span h[] = {keeping_held(1, 3), keeping_held(3, 20)};
    struct discard_facts facts = {.span = h,
                                  .spans = 2,
                                  .held = true,
                                  .abnormal = true,
                                  .soiled = true,
                                  .doubt = true,
                                  .lab = DISCARD_LAB_OVER};
    bool said = false;
    working_init(&w, "discard");
    ck_assert_int_eq((int)judge(&facts, &w).reasons, DISCARD_RULES);
    for (size_t i = 0; i < w.caution_count; i++)
        said = said || strcmp(w.caution[i], keeping_caution) == 0;
    ck_assert(said);
    for (size_t i = 0; i < w.source_count; i++)
        ck_assert_int_eq(source_find(w.source[i], &source), 0);
    for (int v = DISCARD_NO_RULE; v <= DISCARD_AWAY; v++)
        ck_assert(strstr(discard_word((enum discard_verdict)v), "safe") == NULL);
}
END_TEST

/* ---- losses ---- */

static struct date day(const char *iso)
{
    struct date d;
    ck_assert_int_eq(date_parse(iso, &d, NULL), 0);
    return d;
}

START_TEST(losses_add_up_by_month_and_cause)
{
    const struct loss losses[] = {
        {day("2026-05-31"), LOSS_HELD, 3000}, {day("2026-06-01"), LOSS_SPILLED, 1000},
        {day("2025-05-02"), LOSS_OLD, 500},   {day("2026-05-01"), LOSS_HELD, 2500},
        {day("2026-05-14"), LOSS_TASTE, 900},
    };
    struct loss_month m[3];
    size_t n;
    char say[160];
    ck_assert_int_eq(loss_by_month(losses, 5, m, 3, &n, NULL), 0);
    ck_assert_int_eq((int)n, 3);
    ck_assert(m[0].year == 2025 && m[1].month == 5 && m[2].month == 6);
    ck_assert_int_eq(m[1].mass_g[LOSS_HELD], 5500);
    ck_assert_int_eq(loss_month_g(&m[1]), 6400);
    ck_assert_int_eq((int)loss_worst(&m[1]), LOSS_HELD);
    loss_say(&m[1], 640000, UNITS_METRIC, say, NULL);
    ck_assert_str_eq(say, "6.4 kg lost, 1.0 % of what was milked; most of it held, 5.5 kg.");
    struct working w;
    working_init(&w, "loss");
    loss_say(&m[1], 640000, UNITS_METRIC, say, &w);
    ck_near(working_find(&w, "part_pct", -1)->number, 1, 1e-9); /* 6.4 of 640 kg */
    bool held = false;
    for (size_t i = 0; i < w.given_count; i++)
        if (strcmp(w.given[i].name, "held_kg") == 0) {
            held = true;
            ck_near(w.given[i].number, 5.5, 1e-9);
        }
    ck_assert(held);
    working_init(&w, "loss");
    loss_say(&m[0], 0, UNITS_METRIC, say, &w);
    ck_assert_str_eq(say, "0.5 kg lost; most of it old, 0.5 kg.");
    ck_assert_int_eq((int)working_find(&w, "part_pct", -1)->kind, FIGURE_NONE);
    ck_assert_int_gt((int)strlen(w.why), 20);
    struct loss_month none = {2026, 7, {0}};
    ck_assert_int_eq((int)loss_worst(&none), LOSS_CAUSES);
}
END_TEST

START_TEST(no_loss_is_lost)
{
    struct stream s = {.state = 91};
    for (int trial = 0; trial < 300; trial++) {
        static struct loss losses[200];
        struct loss_month m[40];
        size_t n, count = (size_t)stream_below(&s, 200);
        int64_t sum = 0, by_cause[LOSS_CAUSES] = {0};
        for (size_t i = 0; i < count; i++) {
            losses[i] = (struct loss){{20000 + stream_below(&s, 1000)},
                                      (enum loss_cause)stream_below(&s, LOSS_CAUSES),
                                      stream_below(&s, 9000)};
            sum += losses[i].mass_g;
            by_cause[losses[i].cause] += losses[i].mass_g;
        }
        if (loss_by_month(losses, count, m, 40, &n, NULL) != 0)
            ck_abort_msg("trial %d was refused", trial);
        for (size_t i = 0; i < n; i++) {
            sum -= loss_month_g(&m[i]);
            for (int k = 0; k < LOSS_CAUSES; k++)
                by_cause[k] -= m[i].mass_g[k];
            if (i > 0 && m[i].year * 12 + m[i].month <= m[i - 1].year * 12 + m[i - 1].month)
                ck_abort_msg("trial %d: months are out of order", trial);
        }
        for (int k = 0; k < LOSS_CAUSES; k++)
            if (by_cause[k] != 0)
                ck_abort_msg("trial %d: %lld g of cause %d", trial, (long long)by_cause[k], k);
        if (sum != 0)
            ck_abort_msg("trial %d: %lld g", trial, (long long)sum);
    }
}
END_TEST

START_TEST(losses_that_cannot_be_are_refused)
{
    struct loss bad[] = {
        {DATE_NONE, LOSS_HELD, 1}, {day("2026-05-01"), LOSS_HELD, -1}, {day("2026-05-01"), LOSS_CAUSES, 1}};
    struct loss two[] = {{day("2026-05-01"), LOSS_HELD, 1}, {day("2026-06-01"), LOSS_HELD, 1}};
    struct loss_month m[1];
    size_t n;
    struct fail f = {0};
    for (size_t i = 0; i < 3; i++)
        ck_assert_int_eq(loss_by_month(&bad[i], 1, m, 1, &n, &f), -1);
    ck_assert_str_eq(f.text, "Loss 1 needs a day, a cause and a weight of 0 or more.");
    ck_assert_int_eq(loss_by_month(two, 2, m, 1, &n, &f), -1);
    ck_assert_int_eq((int)f.code, FAIL_REFUSED);
    enum loss_cause cause;
    for (int i = 0; i < LOSS_CAUSES; i++) {
        ck_assert_int_eq(loss_parse(loss_word((enum loss_cause)i), &cause, NULL), 0);
        ck_assert_int_eq((int)cause, i);
    }
    ck_assert_int_eq(loss_parse("cat", &cause, &f), -1);
    ck_assert(strstr(f.text, "spilled, held") != NULL);
}
END_TEST

Suite *discard_suite(void)
{
    Suite *s = suite_create("discard");
    TCase *t = tcase_create("discard");
    tcase_add_test(t, two_hours_above_40_f_after_the_first_chill_are_too_many);
    tcase_add_test(t, warm_times_add_up);
    tcase_add_test(t, every_other_rule_by_itself);
    tcase_add_test(t, the_gravest_reason_decides_and_all_are_told);
    tcase_add_test(t, no_judgement_says_that_milk_is_safe);
    suite_add_tcase(s, t);
    t = tcase_create("loss");
    tcase_add_test(t, losses_add_up_by_month_and_cause);
    tcase_add_test(t, no_loss_is_lost);
    tcase_add_test(t, losses_that_cannot_be_are_refused);
    suite_add_tcase(s, t);
    return s;
}
