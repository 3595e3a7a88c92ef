/* The evening's question as a snapshot: how much milk tomorrow, so how many jars and how much ice. */
#ifndef CORE_DAY_TONIGHT_VIEW_H
#define CORE_DAY_TONIGHT_VIEW_H

#include "core/cooling/tonight.h"
#include "core/day/dairy.h"
#include "core/herd/lactation.h"
#include "core/milk/jars.h"

enum { TONIGHT_COWS_MAX = 12 };

struct tonight_cow {
    char name[64];
    struct expectation expected; /* of tomorrow's milking */
    bool keep;                   /* may her milk be kept then? */
    char why[160];               /* why not */
};

struct tonight_view {
    struct instant milking_at; /* the next usual milking time */
    enum unit_system units;
    struct tonight_cow cow[TONIGHT_COWS_MAX];
    size_t cows;
    double milk_kg, milk_high_kg; /* to be kept: expected, and the upper end of its band */
    double milk_l, milk_high_l;
    struct tonight_facts facts; /* what the plan was made from; kinds point into the dairy */
    struct tonight_plan plan;

    bool counted;            /* the jars were counted once */
    struct jars_kinds kinds; /* of which there are any, in the order in which they are taken */
    struct jars_pool pool;   /* where they are; never below 0 */
    struct jars_ready ready; /* are there jars for that milk? */
    char jars_say[160];
};

/* Only whether that milk has jars: all but the plan. */
int dairy_tonight_jars(struct dairy *d, struct instant now, struct tonight_view *out, struct fail *f);

int dairy_tonight(struct dairy *d, struct instant now, struct tonight_view *out, struct working *w,
                  struct fail *f);

#endif
