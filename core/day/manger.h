/* What a cow is fed and what she needs: her rations with the analyses of their feeds, the forage that stands before her,
 * and the cow as the feeding domain knows her. The feed room and her page start from here. For core/day alone. */
#ifndef CORE_DAY_MANGER_H
#define CORE_DAY_MANGER_H

#include "core/day/cow_record.h"
#include "core/feeding/ration.h"

struct manger {
    struct feeding_cow cow;
    bool weighed; /* else the usual weight of her breed */
    struct ration_item item[RATION_ITEMS_MAX];
    char name[RATION_ITEMS_MAX][64]; /* as recorded */
    bool known[RATION_ITEMS_MAX];    /* its analysis is */
    size_t items;
    bool all_known;    /* and at least one is fed */
    bool balanced;     /* balance is worked out */
    struct ration_balance balance;
};

/* Her record must be learned. `w` (may be NULL) gets how the balance comes about, or the need alone. */
int manger_load(struct dairy *d, const struct cow_record *r, struct instant now, struct manger *out, struct working *w,
                struct fail *f);

#endif
