/* Facts that cannot all be true, and facts that are worth a second look. An act puts the new fact among the
 * cow's others, asks here, and refuses to record what is refused; a question is shown and may stand. */
#ifndef CORE_BREEDING_CONSISTENCY_H
#define CORE_BREEDING_CONSISTENCY_H

#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/breeding/facts.h"

enum finding_weight { FINDING_REFUSED, FINDING_QUESTION };

struct finding {
    enum finding_weight weight;
    struct date on;           /* the day of the fact in question; DATE_NONE if it is no one day */
    char text[FAIL_TEXT_MAX]; /* one line, in the keeper's words */
};

enum { FINDINGS_MAX = 32 };

/* Looks her facts over as they stand on `today`. Writes at most `max` findings, in the order of the rules,
 * and returns how many. */
size_t breeding_findings(const struct breeding *facts, struct date today, struct finding *out, size_t max);

/* May the facts become `after`? 0, or -1 (FAIL_REFUSED) with the first refusal that did not hold for `before`
 * already: an old contradiction, from an import say, does not stand in the way of every later act. `before`
 * may be NULL. Questions do not count. */
int breeding_consistent(const struct breeding *before, const struct breeding *after, struct date today,
                        struct fail *f);

#endif
