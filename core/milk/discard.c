#include "core/milk/discard.h"

#include <stdbool.h>

static const char *const verdict_words[] = {
    [DISCARD_NO_RULE] = "no rule here says that it must go",
    [DISCARD_WAIT] = "keep it apart until that is settled",
    [DISCARD_AWAY] = "throw it away",
};

const char *discard_word(enum discard_verdict verdict)
{
    return verdict_words[verdict];
}

static const char *const sources[DISCARD_RULES] = {
    [DISCARD_RULE_HELD] = "if-in-doubt",  [DISCARD_RULE_ABNORMAL] = "practice",
    [DISCARD_RULE_SOILED] = "practice",   [DISCARD_RULE_WARM] = "warm-two-hours",
    [DISCARD_RULE_LAB] = "utah-raw-milk", [DISCARD_RULE_DOUBT] = "if-in-doubt",
};

/* Two hours less a rounding error are two hours. */
static bool too_warm(double warm_h)
{
    return warm_h >= DISCARD_LIMIT_H - 1e-9;
}

/* Why one rule is against this milk; NULL when it is not. */
static const char *rule_why(enum discard_rule rule, const struct discard_facts *facts, double warm_h)
{
    switch (rule) {
    case DISCARD_RULE_HELD: return facts->held ? "Milk of a cow on hold is in it." : NULL;
    case DISCARD_RULE_ABNORMAL:
        return facts->abnormal ? "The milk was not normal: clots, blood or strings." : NULL;
    case DISCARD_RULE_SOILED: return facts->soiled ? "It was spilled, leaked or stepped into." : NULL;
    case DISCARD_RULE_WARM:
        return too_warm(warm_h) ? "It was above 40 °F for two hours or more after it was first chilled."
                                : NULL;
    case DISCARD_RULE_LAB:
        if (facts->lab == DISCARD_LAB_OVER)
            return "The laboratory's result is over the limit.";
        return facts->lab_must_be_good && facts->lab != DISCARD_LAB_GOOD
                   ? "Here milk is held until the laboratory's result is in."
                   : NULL;
    case DISCARD_RULE_DOUBT: return facts->doubt ? "Cow, treatment or date is in doubt." : NULL;
    case DISCARD_RULES: break;
    }
    return NULL;
}

/* What can still be settled keeps the milk apart; everything else throws it away. */
static enum discard_verdict rule_verdict(enum discard_rule rule, const struct discard_facts *facts)
{
    bool open = rule == DISCARD_RULE_DOUBT || (rule == DISCARD_RULE_LAB && facts->lab != DISCARD_LAB_OVER);
    return open ? DISCARD_WAIT : DISCARD_AWAY;
}

static void judgement_working(const struct discard_facts *facts, const struct discard_judgement *j,
                              struct working *w)
{
    working_given(w, "limit_f", DISCARD_LIMIT_F, ORIGIN_CONSTANT);
    working_given(w, "limit_h", DISCARD_LIMIT_H, ORIGIN_CONSTANT);
    working_given(w, "history_h", keeping_hours(facts->span, facts->spans), ORIGIN_RECORDED);
    for (size_t i = 0; i < j->reasons; i++) {
        working_step(w, "%s", j->reason[i].text);
        working_source(w, sources[j->reason[i].rule]);
    }
    working_result_text(w, "verdict", discard_word(j->verdict));
    working_result(w, "warm_h", j->warm_h);
    if (!(j->warm_h >= 0))
        working_why(w, "As far as is known it was never at 40 °F or below, so that clock has not started.");
    working_source(w, "warm-two-hours");
    working_caution(w, "A stricter local rule comes first.");
    working_caution(w, keeping_caution);
}

int discard_judge(const struct discard_facts *facts, struct discard_judgement *out, struct working *w,
                  struct fail *f)
{
    struct discard_judgement j = {.verdict = DISCARD_NO_RULE};
    if (keeping_spans_check(facts->span, facts->spans, f) != 0)
        return -1;
    j.warm_h = keeping_warm_again_h(facts->span, facts->spans, temp_c_from_f(DISCARD_LIMIT_F));
    for (int i = 0; i < DISCARD_RULES; i++) {
        const char *why = rule_why((enum discard_rule)i, facts, j.warm_h);
        if (why == NULL)
            continue;
        enum discard_verdict verdict = rule_verdict((enum discard_rule)i, facts);
        j.reason[j.reasons++] = (struct discard_reason){(enum discard_rule)i, verdict, why};
        if (verdict > j.verdict)
            j.verdict = verdict;
    }
    *out = j;
    judgement_working(facts, &j, w);
    return 0;
}
