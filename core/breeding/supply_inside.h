/* A cow's weeks, case by case: what supply.c adds up and supply_service.c tries services on. Not for others.
 */
#ifndef CORE_BREEDING_SUPPLY_INSIDE_H
#define CORE_BREEDING_SUPPLY_INSIDE_H

#include "core/breeding/supply.h"

enum {
    SUPPLY_WEEK = 7,
    SUPPLY_HORIZON = SUPPLY_WEEKS_MAX * SUPPLY_WEEK,
    SUPPLY_NEXT_DAYS = SUPPLY_HORIZON + DAY_CHANCES_MAX, /* days in milk that the next lactation can reach */
};

/* 8.6 lb in a gallon (US Department of Agriculture). */
#define SUPPLY_KG_PER_L (8.6 * KG_PER_LB / L_PER_GAL)

static inline double supply_need_l(const struct supply_need *need)
{
    return need->household_l + need->shares_l;
}

/* One cow, with her curves added up, so that any run of days is one subtraction: run[i] is the milk of the
 * running lactation in the first i days from from_on, next[i] that of the next one up to day i in milk, both
 * in litres for people. */
struct cow_sums {
    const struct supply_cow *cow; /* borrowed */
    struct date from_on;
    double run[SUPPLY_HORIZON + 1];
    double next[SUPPLY_NEXT_DAYS + 1];
    double in_calf; /* chance */
    int dry_from;   /* days from from_on at which she is dried off when in calf */
    int dry_open;   /* and when not */
};

void cow_sums_init(struct cow_sums *s, const struct supply_cow *cow, struct date from_on);

/* Another expectation of the same cow: the sums of her curves stay. */
void cow_sums_expect(struct cow_sums *s, const struct supply_cow *cow);

/* Calls back for each case of the seven days from day `first`: every day she may calve, then not being in
 * calf. The chances add up to 1. */
typedef void (*supply_case_fn)(void *context, double litres, double chance);
void cow_sums_each(const struct cow_sums *s, int first, supply_case_fn on_case, void *context);

/* Mean over the cases. */
double cow_sums_expected(const struct cow_sums *s, int first);

/* Refuses what no plan can be made of. */
int supply_check(const struct supply_cow *cows, size_t count, const struct supply_need *need, int weeks,
                 struct fail *f);

#endif
