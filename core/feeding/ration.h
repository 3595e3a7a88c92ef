/* A ration against the need: what is fed, what it brings, what is over or short. */
#ifndef CORE_FEEDING_RATION_H
#define CORE_FEEDING_RATION_H

#include <stddef.h>

#include "core/feeding/feed.h"
#include "core/feeding/requirement.h"

enum { RATION_ITEMS_MAX = 10 };

struct ration_item {
    struct feed feed;
    double fed_kg; /* a day, as weighed; NaN: free choice, she eats of it what she can still hold */
};

/* What the items hold. Free choice is filled up to intake_kg_dm (one item at most, else refused). */
struct ration_sum {
    double fed_kg, dm_kg;
    double have_mcal;
    double cp_g, cp_pct; /* crude protein, of the dry matter; NaN when nothing is fed */
    double forage_pct;   /* of the dry matter; NaN when nothing is fed */
    double water_l;      /* in the feed */
    double free_kg;      /* of the free-choice feed, as weighed; 0 if there is none */
};

int ration_sum_of(const struct ration_item *items, size_t count, double intake_kg_dm, struct ration_sum *out,
                  struct working *w, struct fail *f);

struct ration_balance {
    struct feed_need need;
    struct ration_sum sum;
    double balance_mcal; /* have - need; below 0 she makes it up from her back */
    double balance_cp_g;
    double left_kg_dm;        /* what she could eat beyond it; below 0 she will leave some */
    double milk_by_energy_kg; /* the milk that this ration's energy carries, at her fat; 0 when dry */
};

int ration_balance_of(const struct feeding_cow *cow, const struct ration_item *items, size_t count,
                      struct ration_balance *out, struct working *w, struct fail *f);

/* One sentence: "short 3.1 Mcal a day: she will milk off her back", "meets her need", ... Returns buf. */
const char *ration_text(const struct ration_balance *b, char *buf, size_t size);

/* Reads one item "alfalfa hay:8kg" or "grass hay:free"; a bare number is kg. The feed is looked up in `own`
 * (the dairy's analyses, may be NULL) first, then in the table. */
int ration_item_parse(const char *text, const struct feed *own, size_t own_count, struct ration_item *out,
                      struct fail *f);

#endif
