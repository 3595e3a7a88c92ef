#include "core/sanitation/order.h"

#include <stdlib.h>

enum order_rank order_rank(const struct order_cow *cow)
{
    if (cow->treated)
        return ORDER_TREATED;
    if (cow->doubtful)
        return ORDER_DOUBTFUL;
    return cow->milk_days >= 0 && cow->milk_days <= ORDER_FRESH_DAYS ? ORDER_FRESH : ORDER_CLEAN;
}

static int compare_cows(const void *a, const void *b)
{
    const struct order_cow *x = a, *y = b;
    int rank_x = (int)order_rank(x), rank_y = (int)order_rank(y);
    if (rank_x != rank_y)
        return rank_x < rank_y ? -1 : 1;
    if (rank_x == (int)ORDER_FRESH && x->milk_days != y->milk_days)
        return x->milk_days < y->milk_days ? -1 : 1;
    if (x->stall != y->stall)
        return x->stall < y->stall ? -1 : 1;
    return x->id < y->id ? -1 : x->id > y->id;
}

void order_cows(struct order_cow *cows, size_t count)
{
    if (count > 1)
        qsort(cows, count, sizeof *cows, compare_cows);
}

const char *order_rank_text(enum order_rank rank)
{
    static const char *const texts[] = {
        [ORDER_FRESH] = "fresh",
        [ORDER_CLEAN] = "clean",
        [ORDER_DOUBTFUL] = "doubtful: after the clean ones",
        [ORDER_TREATED] = "treated: last, milk apart",
    };
    return texts[rank];
}
