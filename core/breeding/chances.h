/* A day that is not certain: chances spread over civil days. Used for the day she conceived and for the day
 * she will calve, so that a window, the chance of the coming week and a year of milk all come from one
 * distribution. */
#ifndef CORE_BREEDING_CHANCES_H
#define CORE_BREEDING_CHANCES_H

#include <stdbool.h>

#include "core/base/civil.h"

enum { DAY_CHANCES_MAX = 512 };

/* Invariant: every chance is >= 0 and their sum is at most 1. The sum is the chance that it happens at all,
 * so a cow who may be open has a sum below 1. count == 0: it does not happen. */
struct day_chances {
    struct date first_on; /* the day of chance[0] */
    int count;
    double chance[DAY_CHANCES_MAX];
};

struct day_window {
    struct date from_on, to_on; /* both included; DATE_NONE when there is none */
    double chance;              /* what the window really holds: whole days seldom hold exactly 50 % */
};

/* It happens on that day, for certain. */
void day_chances_certain(struct day_chances *c, struct date on);

/* Adds `chance` to a day. The first call on an empty spread fixes its first day; false when `on` is outside
 * first_on .. first_on + DAY_CHANCES_MAX - 1 (nothing is added then). */
bool day_chances_add(struct day_chances *c, struct date on, double chance);

/* Sum over all days, 0..1. */
double day_chances_total(const struct day_chances *c);

/* Sum over from_on .. to_on, both included. */
double day_chances_between(const struct day_chances *c, struct date from_on, struct date to_on);

/* Multiplies every chance, so that the sum becomes `total` (0..1). Does nothing to an empty spread. */
void day_chances_scale(struct day_chances *c, double total);

/* It is known not to have happened before `on`: those days go, and the rest is divided by the chance of what
 * is now known (Bayes). False when nothing is left, which means that it is later than any day allowed for. */
bool day_chances_not_before(struct day_chances *c, struct date on);

/* The narrowest run of days that holds nearest to `share` (0..1) of the total; the chance it does hold is
 * given with it, as a part of the total. Empty spread: DATE_NONE and 0. */
struct day_window day_chances_window(const struct day_chances *c, double share);

/* The first day by which at least `share` of the total has come; 0.5 gives the median. DATE_NONE if empty. */
struct date day_chances_quantile(const struct day_chances *c, double share);

/* The likeliest day, the earliest of equals. DATE_NONE if empty. */
struct date day_chances_likeliest(const struct day_chances *c);

/* The chance that it happens within `days` (any number, fractions too) from a moment when the share `gone`
 * (0..1) of the day `today` has passed and it has not happened yet. Within a day it is taken to come evenly.
 * NaN when no chance is left. */
double day_chances_within(const struct day_chances *c, struct date today, double gone, double days);

#endif
