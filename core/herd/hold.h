/* Holds: may the milk of this milking be kept? One answer, which board, pour, relief view and paper all obey.
 *
 * Rule: a milking is kept only if it was milked strictly after the moment at which every hold that covers it
 * has cleared. Label hours run from the last dose as elapsed hours (UTC), whatever the clocks do. "Strictly",
 * because a label of 96 hours is tested with milkings twelve hours apart, and the eighth falls at exactly 96
 * hours. What is not known keeps milk out: a treatment without its hours, a course that goes on, a dry-cow
 * product before calving. A count of milkings on a label is never turned into hours, nor hours into milkings.
 */
#ifndef CORE_HERD_HOLD_H
#define CORE_HERD_HOLD_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"

enum hold_kind {
    HOLD_TREATMENT, /* a drug: from the first dose to the last dose + milk hours */
    HOLD_DRY_COW,  /* a dry-cow product: from the dose until dry days and hours after calving are both over */
    HOLD_ABNORMAL, /* milk not normal: from then until a person lifts it */
    HOLD_PLAIN,    /* for any other reason, until a moment or until lifted */
    HOLD_TEST,     /* until a test for a disease is clear: lifted_at is when it was */
};

struct hold {
    enum hold_kind kind;
    const char *name; /* the product, or the reason in words; borrowed, never NULL */
    struct instant
        from_at; /* first milking it covers: first dose, or when it was found. INSTANT_NONE: last dose */
    struct instant last_dose_at; /* treatments */
    bool doses_to_come;          /* treatments: the course is not finished */
    double milk_hours;           /* HOLD_TREATMENT: from the label, elapsed hours; NaN not typed */
    double meat_days;            /* treatments: from the label; NaN not typed */
    double dry_days;             /* HOLD_DRY_COW: least days dry after the last dose; NaN not typed */
    double fresh_hours;          /* HOLD_DRY_COW: hours after calving; NaN not typed */
    int fresh_milkings;          /* HOLD_DRY_COW: milkings after calving as well, as milked; 0 none named */
    struct instant until_at;     /* HOLD_PLAIN: INSTANT_NONE until lifted */
    struct instant lifted_at;    /* HOLD_ABNORMAL, HOLD_PLAIN, HOLD_TEST: INSTANT_NONE still stands */
};

/* The dairy's own rule for milk after calving (colostrum). Both that are set must be over. */
struct fresh_rule {
    double
        days; /* elapsed days of 24 h after calving; 0 none. Usual: 5, from memory; local law may say more */
    int milkings; /* the first so many milkings after calving, as milked; 0 none */
};

/* Everything about one cow that bears on it. All arrays are borrowed, in any order. */
struct hold_facts {
    const struct hold *holds;
    size_t hold_count;
    const struct instant *calved_at; /* every calving that matters */
    size_t calving_count;
    const struct instant
        *milked_at; /* milkings that took place, kept or not: for rules that count milkings */
    size_t milking_count;
    struct fresh_rule fresh;
};

struct hold_reason {
    enum hold_cause { CAUSE_HOLD, CAUSE_FRESH } cause;
    size_t hold;             /* CAUSE_HOLD: index in facts->holds */
    struct instant clear_at; /* kept strictly after this; INSTANT_NONE: not known */
    int milkings_left; /* milkings still to be poured away after the judged one, by a rule that counts; 0 */
    char words[160];   /* "udder tube, last dose Fri 1 May 06:10, label 96 h" */
};

enum { HOLD_REASONS_MAX = 6 };

struct hold_state {
    bool keep;
    struct instant clear_at; /* when every hold that stands will have cleared: kept strictly after it.
                              * INSTANT_NONE: nothing stands, or not known (`words` says what it waits for) */
    int milkings_left;       /* milkings after this one that a counting rule still takes; 0 none */
    size_t reasons;          /* holds that stand on this milking, all of them counted */
    struct hold_reason reason[HOLD_REASONS_MAX]; /* the first of them, those that clear latest first */
    struct date meat_on; /* first day on which no meat withholding stands, by what is recorded; DATE_NONE */
    bool meat_unknown;   /* a treatment has no meat days, or goes on */
    const char *caution; /* a static sentence to show beside it, or NULL */
    char words[240];     /* why, in one line; "" when the milk is kept and nothing stood lately */
};

/* May milk drawn at `milked_at` be kept? Never fails: facts that contradict each other keep milk out. */
void hold_state(const struct hold_facts *facts, struct instant milked_at, struct hold_state *out,
                struct working *w);

/* "KEEP" or "DO NOT KEEP". */
const char *hold_verdict(const struct hold_state *state);

/* The first of the given milkings (rising order) that may be kept, after `after`; INSTANT_NONE if none may.
 */
struct instant hold_first_kept(const struct hold_facts *facts, const struct instant *milkings, size_t n,
                               struct instant after);

/* The times of day at which she is milked: minutes after midnight, civil time, rising. */
struct milking_habit {
    int minute[4];
    int count; /* 0..4 */
};

/* The first milking after `now` that may be kept if she is milked by habit; counting rules count the habitual
 * milkings to come. *poured (may be NULL) is the number of milkings before it that may not. INSTANT_NONE if
 * that is not known, or more than 400 days away. */
struct instant hold_first_kept_by_habit(const struct hold_facts *facts, const struct milking_habit *habit,
                                        struct instant now, int *poured);

/* Says that label hours are tested with milkings twelve hours apart. Static sentence. */
extern const char hold_caution_interval[];

#endif
