/* What the files of progress share among themselves. */
#ifndef CORE_SANITATION_PROGRESS_INSIDE_H
#define CORE_SANITATION_PROGRESS_INSIDE_H

#include "core/sanitation/progress.h"

/* What the passes hand to each other. */
struct reckoning {
    const struct routine *r;
    const struct progress_facts *facts;
    struct progress *p;
};

static inline int32_t seconds_between(struct instant from, struct instant to)
{
    int64_t s = to.s - from.s;
    return s > INT32_MAX ? INT32_MAX : s < INT32_MIN ? INT32_MIN : (int32_t)s;
}

static inline struct instant instant_after(struct instant t, int32_t seconds)
{
    return (struct instant){t.s + seconds};
}

/* The later of two moments, of which either may be unknown. */
static inline struct instant later_of(struct instant a, struct instant b)
{
    if (!instant_known(a) || !instant_known(b))
        return instant_known(a) ? a : b;
    return a.s > b.s ? a : b;
}

/* Still to do today, or running. */
bool row_is_left(const struct progress_row *row);

/* Something that hands can do now: it is open, or it is hot water that has worked long enough. */
bool row_can_be_done(const struct progress_row *row);

/* Looks at the rows that ticks left open: which wait, and for what; and at the hot ones that run. */
void progress_gates(const struct reckoning *k);

/* Fills ends_at and its band from what is left and the usual lengths. */
void progress_end(const struct routine *r, const struct progress_facts *facts, struct progress *p,
                  struct working *w);

/* Fills next and next_text. */
void progress_say_next(const struct progress_facts *facts, struct progress *p);

#endif
