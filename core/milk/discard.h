/* When milk must go: the rules that throw it away or keep it apart. They say what must go, never that what
 * stays is safe; a local code that is stricter comes first. */
#ifndef CORE_MILK_DISCARD_H
#define CORE_MILK_DISCARD_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/cooling/outage.h"
#include "core/milk/keeping.h"

/* Above this for so long after it was first chilled, all times added up: discard. It is the rule of a power
 * cut, which holds whatever warmed the milk. */
#define DISCARD_LIMIT_F OUTAGE_LIMIT_F
#define DISCARD_LIMIT_H (OUTAGE_LIMIT_MIN / 60)

enum discard_verdict {
    DISCARD_NO_RULE, /* no rule here says that it must go */
    DISCARD_WAIT,    /* keep it apart until that is settled */
    DISCARD_AWAY,    /* it must go */
};

const char *discard_word(enum discard_verdict verdict);

enum discard_lab { DISCARD_LAB_NONE, DISCARD_LAB_PENDING, DISCARD_LAB_GOOD, DISCARD_LAB_OVER };

/* What is known of a batch. */
struct discard_facts {
    bool held;            /* milk of a cow on hold is in it (treated, fresh, plain): core/herd/hold decides */
    bool abnormal;        /* clots, blood, strings */
    bool soiled;          /* spilled and gathered, floor, foot in the pail */
    bool doubt;           /* cow, treatment or date is not certain */
    enum discard_lab lab; /* of this batch or its milking */
    bool lab_must_be_good;           /* the law here holds milk until the result is in */
    const struct keeping_span *span; /* temperatures since the pour; may be none */
    size_t spans;
};

enum discard_rule {
    DISCARD_RULE_HELD,
    DISCARD_RULE_ABNORMAL,
    DISCARD_RULE_SOILED,
    DISCARD_RULE_WARM,
    DISCARD_RULE_LAB,
    DISCARD_RULE_DOUBT,
    DISCARD_RULES
};

struct discard_reason {
    enum discard_rule rule;
    enum discard_verdict verdict;
    const char *text; /* a sentence; static */
};

struct discard_judgement {
    enum discard_verdict verdict; /* the gravest of the reasons */
    struct discard_reason reason[DISCARD_RULES];
    size_t reasons;
    double
        warm_h; /* above 40 °F after it was first at or below it; NaN if it never was, or nothing is known */
};

/* Judges a batch by every rule. Fails as keeping_spans_check(). */
int discard_judge(const struct discard_facts *facts, struct discard_judgement *out, struct working *w,
                  struct fail *f);

#endif
