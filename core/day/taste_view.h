/* The milk tastes wrong: suspects in order, and beside each what this dairy's own log of that batch says. */
#ifndef CORE_DAY_TASTE_VIEW_H
#define CORE_DAY_TASTE_VIEW_H

#include "core/day/dairy.h"
#include "core/milk/taste.h"

struct taste_view {
    struct instant now;
    int64_t batch_id;
    char code[16];
    struct instant tasted_at, poured_at;
    char flavour[TASTE_NAME_MAX]; /* "good", or one of the table */
    int score;                    /* 0 not given */
    bool turned;
    char note[160];
    struct taste_log log;
    struct taste_table table;
    struct taste_suspect suspect[TASTE_ROWS_MAX]; /* none for good milk; rows point into table */
    size_t suspects;
};

/* The latest tasting of a batch (0: the latest of all). Refuses when there is none. `w` may be NULL. */
int dairy_taste(struct dairy *d, int64_t batch_id, struct instant now, struct taste_view *out,
                struct working *w, struct fail *f);

#endif
