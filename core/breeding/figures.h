/* The figures that say how breeding goes, for one cow or the whole herd. Each says what it counts, because
 * every one of them is counted in several ways elsewhere. */
#ifndef CORE_BREEDING_FIGURES_H
#define CORE_BREEDING_FIGURES_H

#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/working.h"
#include "core/breeding/facts.h"
#include "core/breeding/gestation.h"

enum { WAITING_DAYS = 50 /* voluntary waiting period, 45 to 60 days after calving */ };

/* Sums that can be added up over cows; all zero to begin with. */
struct breeding_tally {
    int spells_closed;     /* calving -> conception, both known */
    long open_days_closed; /* summed over them */
    int intervals;         /* calving -> next calving */
    long interval_days;    /* summed */
    int conceptions;       /* ended in a calving, or proven by a check */
    int services_to_those; /* services of the spells that ended in one */
    int heats_seen;        /* after the waiting period, while not in calf; services count as seen */
    long watched_days;     /* days in which she should have come into heat */
};

/* Adds one cow's facts up to `today`. `g` is her usual length of gestation. */
void breeding_tally_add(struct breeding_tally *t, const struct breeding *facts, const struct gestation *g,
                        struct date today);

/* NaN where there is nothing to count. */
struct breeding_figures {
    double days_open;               /* mean; goal 85 to 115 for one calf a year */
    double calving_interval_days;   /* mean */
    double services_per_conception; /* goal 1.5 to 1.8 */
    double heat_detection_pct;      /* of the heats that should have come; half is usual; over 100 when cycles are short */
};

void breeding_figures_of(const struct breeding_tally *t, struct breeding_figures *out, struct working *w);

/* Days that a cow has been open: calving to conception, or to `today` while she is not known to be in calf.
 * -1 for a heifer. */
int breeding_days_open(const struct breeding *facts, struct date today);

#endif
