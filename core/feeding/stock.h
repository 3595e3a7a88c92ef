/* How long the feed lasts and what it costs. */
#ifndef CORE_FEEDING_STOCK_H
#define CORE_FEEDING_STOCK_H

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"

/* One feed in store. Money in the dairy's currency. */
struct feed_stock {
    double have_kg; /* counted on `counted_on` */
    struct date counted_on;
    double use_kg_per_day; /* all animals together */
    double waste_share;    /* of what is put before them, 0..0.9: hay on the ground */
    double price_per_kg;   /* NaN if not known */
};

struct stock_outlook {
    double left_kg;   /* on `today`; never below 0 */
    double days_left; /* NaN when nothing is used */
    struct date
        gone_on; /* the first day on which a day's need is not there; DATE_NONE when nothing is used */
    double cost_per_day; /* NaN if the price is not known */
};

/* Refuses amounts below 0. */
int feed_stock_outlook(const struct feed_stock *stock, struct date today, struct stock_outlook *out,
                       struct working *w, struct fail *f);

/* Feed cost of the milk: per litre and per gallon. NaN (and why) when there is no milk. */
struct milk_cost {
    double per_l, per_gal;
};
void feed_cost_of_milk(double cost_per_day, double milk_kg_per_day, struct milk_cost *out, struct working *w);

#endif
