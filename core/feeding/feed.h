/* Feeds and what is in them: assets/feeds.csv, rows that a dairy replaces by its own analyses. Every such
 * table errs: energy of forage by 10 % and more, protein by 15 % (Colorado State University Extension 1.615).
 */
#ifndef CORE_FEEDING_FEED_H
#define CORE_FEEDING_FEED_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"

enum feed_kind { FEED_FORAGE, FEED_GRAIN };

enum { FEED_NAME_MAX = 40, FEEDS_MAX = 48 };

struct feed {
    char name[FEED_NAME_MAX];
    enum feed_kind kind;
    double dm_pct;          /* dry matter, of what is weighed */
    double cp_pct;          /* crude protein, of the dry matter */
    double nel_mcal_per_kg; /* net energy for lactation, per kg of dry matter */
    char source[32];        /* id of assets/sources.csv; "" for the dairy's own analysis */
};

/* All feeds of the table, at most `max`; returns how many. */
size_t feed_table(struct feed *out, size_t max);

/* The feed of that name, without regard to case, blanks and hyphens. Refuses an unknown one, naming all. */
int feed_find(const char *name, struct feed *out, struct fail *f);

/* Refuses an analysis that cannot be one: dry matter 5..100 %, protein 0..100 %, energy 0.3..4 Mcal/kg. */
int feed_check(const struct feed *feed, struct fail *f);

#endif
