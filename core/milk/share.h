/* Shares: who gets how many jars, above all on a day when there are too few.
 *
 * Whole jars; nobody gets more than is due and owed; nothing is lost: what is given and what is left add up
 * to what there was. Each person's part comes with its reason in words, since "why so few?" will be asked. */
#ifndef CORE_MILK_SHARE_H
#define CORE_MILK_SHARE_H

#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"

enum share_method {
    SHARE_IN_PROPORTION, /* all are short alike: largest remainders, ties to whoever is owed more */
    SHARE_OWED_FIRST, /* those who were short before get theirs first, most owed first; others in proportion
                       */
};

const char *share_method_words(enum share_method method);

enum { SHARE_PEOPLE_MAX = 64, SHARE_WHY_MAX = 120, SHARE_COUNT_MAX = 10000 };

struct share_person {
    int due;  /* jars this time */
    int owed; /* jars short from before */
};

struct share_part {
    int given;
    int owed_after;
    char why[SHARE_WHY_MAX];
};

struct share_split {
    int given; /* to all */
    int left;  /* over when everybody has what is due and owed */
    int owed_after;
};

/* Splits `jars` among n people (at most SHARE_PEOPLE_MAX), parts in their order. When there are enough, what
 * is over pays back what is owed. say[] is the day in words, with the method. Refuses negative numbers. */
int share_split(int jars, enum share_method method, const struct share_person *person, size_t n,
                struct share_part *part, struct share_split *out, char say[static 200], struct working *w,
                struct fail *f);

#endif
