/* The feed room as a snapshot: what each cow gets against what she needs, how long each feed lasts, what the milk costs. */
#ifndef CORE_DAY_FEED_VIEW_H
#define CORE_DAY_FEED_VIEW_H

#include "core/day/board.h"
#include "core/feeding/ration.h"
#include "core/feeding/stock.h"

enum { FEED_COWS_MAX = 16, FEED_STOCKS_MAX = 24 };

struct feed_cow_view {
    int64_t cow_id;
    char name[64], state[96];
    char gets[160];    /* "5.4 kg dairy mix, grass hay free" a day, in the dairy's units */
    char words[120];   /* "meets her need", "short 3.1 Mcal a day ...", or what is missing to say so */
    enum urgency urgency;
    bool balanced;     /* the figures below are known */
    double need_mcal, have_mcal, balance_mcal, intake_kg_dm, dm_kg, cp_pct, forage_pct;
    double weight_kg;
    bool weighed;      /* else her breed's usual weight */
    double milk_kg;    /* a day, expected; 0 dry */
    double water_l;    /* to have at hand a day */
};

struct feed_stock_view {
    char feed[64];
    bool counted;          /* it was ever counted or came; else it is only fed */
    double left_kg, use_kg_per_day;
    double days_left;      /* NaN: nothing of it is used, or not known */
    struct date gone_on;   /* DATE_NONE */
    double price_per_kg, cost_per_day; /* NaN: not said */
    enum urgency urgency;
};

struct feed_view {
    struct instant now;
    struct date today;
    enum unit_system units;
    struct feed_cow_view cow[FEED_COWS_MAX];
    size_t cows;
    struct feed_stock_view stock[FEED_STOCKS_MAX]; /* those that run out first come first */
    size_t stocks;
    double milk_kg_per_day, cost_per_day; /* cost: NaN where no price is known */
    bool cost_whole;                      /* every feed that is used has a price */
    struct milk_cost cost;
    char sentence[200];
};

/* Works it out for `now`. About 20 kB. */
int dairy_feed(struct dairy *d, struct instant now, struct feed_view *out, struct fail *f);

/* The working of a cow's ration, and of a feed's days. */
int feed_explain_cow(struct dairy *d, const struct feed_view *v, size_t cow, struct working *w, struct fail *f);
int feed_explain_stock(struct dairy *d, const struct feed_view *v, size_t stock, struct working *w, struct fail *f);

#endif
