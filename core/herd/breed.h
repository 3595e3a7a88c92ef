/* What is usual for a breed: where a cow's expectations start before her own weights are known, and how large
 * she grows. Read from assets/breeds.csv and assets/growth.csv, one row per breed (and age), each with its
 * source. */
#ifndef CORE_HERD_BREED_H
#define CORE_HERD_BREED_H

#include <stddef.h>

#include "core/base/fail.h"

enum { BREED_NAME_MAX = 32, BREED_SOURCE_MAX = 32 };

struct breed {
    char name[BREED_NAME_MAX];
    double day60_kg;     /* milk a day on day 60 of a third or later lactation, milked twice a day */
    double day60_spread; /* spread between cows of the breed: standard deviation of ln(day60_kg) */
    double mature_kg;    /* weight of a grown cow */
    double birth_kg;     /* weight of a heifer calf at birth */
    char yield_source[BREED_SOURCE_MAX]; /* ids of assets/sources.csv */
    char weight_source[BREED_SOURCE_MAX];
};

/* Breed by name, without regard to case. Fails on a name that is not in the table, saying which are. */
int breed_find(const char *name, struct breed *out, struct fail *f);

/* As breed_find(), but a name that is not in the table (a cross, "" or NULL) gives the row "cross", whose
 * spread is the widest. Fails only when memory runs out. */
int breed_or_cross(const char *name, struct breed *out, struct fail *f);

/* The n-th breed of the table, in the order of the alphabet with "cross" last, for lists to choose from.
 * Returns 1 past the end, -1 when memory runs out. */
int breed_nth(size_t n, struct breed *out, struct fail *f);

#endif
