/* Who is milked first: the order that carries least from cow to cow. Fresh and clean cows first, then the
 * clean, then the doubtful, and a cow whose milk is held for treatment last. Source: bucket milking practice
 * (fresh first, treated last); Montana ARM 32.9.303 (abnormal milk last, or in separate gear). */
#ifndef CORE_SANITATION_ORDER_H
#define CORE_SANITATION_ORDER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum order_rank { ORDER_FRESH, ORDER_CLEAN, ORDER_DOUBTFUL, ORDER_TREATED };

struct order_cow {
    int64_t id;
    int stall;
    int32_t milk_days; /* since calving; negative = not known */
    bool doubtful;     /* clots, blood, a swollen quarter, a bad paddle test, a high cell count */
    bool treated;      /* a drug was given and its hold still runs */
};

/* Fresh: calved within this many days (common practice, no source). */
enum { ORDER_FRESH_DAYS = 60 };

enum order_rank order_rank(const struct order_cow *cow);

/* Sorts the cows in place: by rank, fresh cows by days since calving, else by stall, then id. */
void order_cows(struct order_cow *cows, size_t count);

/* "fresh", "clean", "doubtful: after the clean ones", "treated: last, milk apart". Static text. */
const char *order_rank_text(enum order_rank rank);

#endif
