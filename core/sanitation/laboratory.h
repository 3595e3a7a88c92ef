/* Results from the laboratory against a chosen standard. Standards count differently, and must not be mixed:
 * some judge the last sample alone, some act when so many of the last so many are over (the US way), and the
 * EU looks only at a rolling geometric mean over months, which one test cannot tell. The limits are data
 * (assets/standards.csv), each row with its source. */
#ifndef CORE_SANITATION_LABORATORY_H
#define CORE_SANITATION_LABORATORY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"

enum lab_measure {
    LAB_PLATE,    /* bacteria per mL */
    LAB_COLIFORM, /* per mL */
    LAB_CELLS,    /* somatic cells per mL */
    LAB_WATER,    /* coliforms in 100 mL of water; 0 = absent */
    LAB_MEASURES
};

enum lab_rule {
    LAB_SINGLE,    /* the last sample */
    LAB_LAST_OF,   /* `over` of the last `of`, or `over` within `days` */
    LAB_GEOMETRIC, /* rolling geometric mean over `months`, with `per_month` samples in each */
};

struct lab_standard {
    char set[20];
    char place[48];
    enum lab_measure measure;
    double limit;
    bool below; /* must be under the limit, not at it */
    enum lab_rule rule;
    int over, of, days, months, per_month;
    char use[16]; /* "drinking", "processing", "water" */
    char source[32];
    char note[64];
};

enum { LAB_STANDARDS_MAX = 96 };

struct lab_standards {
    struct lab_standard row[LAB_STANDARDS_MAX];
    size_t count;
};

/* Reads the table from CSV text; a bad row is refused with its number and *out is then not changed. */
int lab_standards_parse(const char *text, struct lab_standards *out, struct fail *f);

/* Reads the table that comes with the program. */
int lab_standards_load(struct lab_standards *out, struct fail *f);

/* The row of that set and measure, or NULL. Borrowed. */
const struct lab_standard *lab_standard_find(const struct lab_standards *table, const char *set,
                                             enum lab_measure measure);

/* "plate", "coliform", "cells", "water"; and in a sentence: "plate count", ... Static text. */
const char *lab_measure_word(enum lab_measure measure);
const char *lab_measure_name(enum lab_measure measure);

/* A sample on its way. */
struct lab_sample {
    struct instant drawn_at, arrived_at; /* INSTANT_NONE: not arrived yet; then `now` counts */
    double temp_c;                       /* on arrival; NaN: not read */
    double hours_allowed;                /* the laboratory says; 30 or 60 are usual */
};

/* From memory: a sample is to arrive at 40 °F or colder, not frozen. */
#define LAB_SAMPLE_WARM_F 40.0

/* Whether a sample counts: in time and cold. Refuses (naming what was wrong and by how much) one that does
 * not; *hours_left is what is left until it is too late, while it is on its way. */
int lab_sample_check(const struct lab_sample *sample, struct instant now, double *hours_left,
                     struct working *w, struct fail *f);

struct lab_result {
    struct date on;
    double value;
};

enum lab_verdict {
    LAB_WITHIN,  /* within the standard, as the standard counts */
    LAB_OVER,    /* the last is over, but the standard does not act on it yet */
    LAB_BROKEN,  /* the standard is broken */
    LAB_TOO_FEW, /* the standard cannot be judged from so few samples */
};

struct lab_answer {
    enum lab_verdict verdict;
    double figure;  /* what was held against the limit: the last, or the mean; NaN if there is none */
    int over_count; /* of the samples that count, how many are over */
    int counted;
    char words[160]; /* one sentence */
};

/* Judges results (any order; of one measure) by a standard, as of `today`: results after it are left out. A
 * count of 0 enters a geometric mean as 1. Refuses no results at all and negative ones. */
int lab_judge(const struct lab_standard *standard, const struct lab_result *results, size_t count,
              struct date today, struct lab_answer *out, struct working *w, struct fail *f);

/* What to look at first when the figure is high: the n-th line, or NULL at the end. Static text. */
const char *lab_look_at(enum lab_measure measure, size_t n);

#endif
