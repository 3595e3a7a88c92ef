/* Growth of heifers against the published tables by breed (assets/growth.csv), a straight line between the
 * ages of the table. */
#ifndef CORE_HERD_GROWTH_H
#define CORE_HERD_GROWTH_H

#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/herd/breed.h"

enum growth_measure { GROWTH_WEIGHT_KG, GROWTH_GIRTH_CM, GROWTH_HEIGHT_CM, GROWTH_MEASURES };

struct growth {
    double usual;                  /* of that breed at that age; NaN outside the table */
    double percent;                /* 100 measured / usual; NaN without */
    char source[BREED_SOURCE_MAX]; /* id of assets/sources.csv; "" without */
};

/* Fills *out; without a table for that breed or age, `usual` and `percent` are NaN and the working says why.
 * Fails only when memory runs out. */
int growth_compare(const char *breed, enum growth_measure measure, double age_days, double measured,
                   struct growth *out, struct working *w, struct fail *f);

#endif
