/* Every animal of the dairy in one list: those in the stalls, the young, and those that left. */
#ifndef CORE_DAY_HERD_VIEW_H
#define CORE_DAY_HERD_VIEW_H

#include "core/breeding/figures.h"
#include "core/day/dairy.h"

enum { HERD_MAX = 400 };

struct herd_animal {
    int64_t cow_id;
    char name[64], tag[32], breed[32], dam[64];
    char state[96];
    int stall; /* 0: none */
    bool in_milk, keep, gone;
};

struct herd_view {
    struct herd_animal
        animal[HERD_MAX]; /* here first, by stall, then by name; then those that left, latest first */
    size_t animals, here;
    struct breeding_figures figures; /* of all cows that are here, together; NaN where there is nothing to count */
    char figures_text[160];          /* the same in words; "" */
};

/* About 150 kB: the caller keeps one. */
int dairy_herd(struct dairy *d, struct instant now, struct herd_view *out, struct fail *f);

/* What each of the herd's figures counts. */
int dairy_herd_explain(struct dairy *d, struct instant now, struct working *w, struct fail *f);

#endif
