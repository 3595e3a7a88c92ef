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

/* The same in parts, for milkings that come one by one out of the file. `row` has room for a day more than there are at
 * each yield_add(); yield_settle() then leaves the days that count. */
struct yield_adding {
    struct date calved_on;
    struct yield_row *row;
    size_t count;
    struct zone_week week;
};
void yield_add(struct yield_adding *a, struct instant at, int64_t mass_g, int64_t milkings);
void yield_settle(struct yield_adding *a, int usual);

#endif
