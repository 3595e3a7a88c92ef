/* Who is milked first this morning, from what is known of each cow: for the board's chores, the relief sheet
 * and the wash bench alike. For core/day alone. */
#ifndef CORE_DAY_MILKING_ORDER_H
#define CORE_DAY_MILKING_ORDER_H

#include "core/day/facts.h"
#include "core/sanitation/order.h"

enum { MILKING_ORDER_MAX = 16 };

/* The cows in milk in the order that carries least from cow to cow; `id` is the place in facts->cow. `at`: the
 * milking is then; one that was milked already is judged by that. Returns how many, at most MILKING_ORDER_MAX. */
size_t milking_order(const struct facts *facts, struct instant at, struct order_cow out[MILKING_ORDER_MAX]);

/* True when a drug's hours are what holds her milk. */
bool cow_under_treatment(const struct cow_record *r, const struct hold_state *hold);

#endif
