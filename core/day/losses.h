/* What was thrown away and why, month by month. */
#ifndef CORE_DAY_LOSSES_H
#define CORE_DAY_LOSSES_H

#include "core/day/dairy.h"
#include "core/milk/loss.h"

enum { LOSS_MONTHS_MAX = 240 };

struct losses_month {
    struct loss_month lost;
    int64_t milked_g; /* weighed in that month; 0 nothing was */
    char say[160];
};

struct losses {
    struct instant now;
    struct losses_month month[LOSS_MONTHS_MAX]; /* newest first */
    size_t months;
};

/* Of the last twelve months (or `months` of them, at most LOSS_MONTHS_MAX): jars thrown away or broken, milk
 * that was lost before it came into jars, and milk of cows on hold that was never poured. About 80 kB. */
int dairy_losses(struct dairy *d, int months, struct instant now, struct losses *out, struct fail *f);

#endif
