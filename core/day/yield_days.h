/* From milkings to whole days: what the lactation curve and the yield watch learn from. */
#ifndef CORE_DAY_YIELD_DAYS_H
#define CORE_DAY_YIELD_DAYS_H

#include "core/base/civil.h"
#include "core/herd/lactation.h"
#include "core/store/rows.h"

/* Adds up the milkings of each civil day after calved_on. A day counts only when all of its milkings were
 * weighed: none without a weight, and as many as on the days about it (`usual` where there are none), so
 * that a milking that was forgotten, or is still to come today, does not look like a drop. Milk in rising
 * order of time; out has room for `count` rows. Returns how many days there are. */
size_t yield_days(const struct milk_row *milk, size_t count, struct date calved_on, int usual,
                  struct yield_row *out);

#endif
