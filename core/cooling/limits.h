/* Limits on cooling, as data (assets/limits.csv): each rule's own temperatures, minutes and what starts its
 * clock. A temperature is kept and compared in the unit in which the rule states it: 45 °F is meant although
 * the rule prints 7 °C beside it. */
#ifndef CORE_COOLING_LIMITS_H
#define CORE_COOLING_LIMITS_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"

enum clock_start {
    CLOCK_MILKING_START, /* the first cow of the milking */
    CLOCK_MILKING_END,   /* the last cow of the milking */
    CLOCK_COOLING_START, /* this jar went into the cold */
    CLOCK_STARTS
};

/* A temperature in the unit of its rule. */
struct stated_temp {
    double value;
    char unit; /* 'F' or 'C'; 0 means the rule has no such temperature */
};

/* "At or below `temp` within `minutes` of `from`." */
struct limit_clause {
    struct stated_temp temp;
    double minutes;
    enum clock_start from;
};

enum { LIMIT_NAME_MAX = 24, LIMIT_CLAUSES_MAX = 4, LIMIT_SETS_MAX = 16 };

struct limit_set {
    char name[LIMIT_NAME_MAX]; /* as typed: "pmo" */
    char title[80];            /* for people */
    struct limit_clause clause[LIMIT_CLAUSES_MAX];
    size_t clause_count;
    struct stated_temp hold;  /* never above this once it has been reached */
    struct stated_temp blend; /* a blend with an earlier milking never above this */
    char source[32];          /* id of assets/sources.csv */
    char note[160];           /* what the reader of the rule should know */
};

struct limit_list {
    struct limit_set set[LIMIT_SETS_MAX];
    size_t count;
};

/* The sets of assets/limits.csv, in its order. Fails only if the table itself is broken. */
int limit_list_load(struct limit_list *out, struct fail *f);

/* The set of that name in any case, borrowed from the list; or, when `own` is not NULL, a rule of the
 * keeper's own (limit_parse_own) read into it. NULL when there is neither, with the names there are in *f. */
const struct limit_set *limit_need(const struct limit_list *list, const char *name, struct limit_set *own,
                                   struct fail *f);

/* A set of the keeper's own, read from "45F/120/end; 50F/240/start; hold 40F; blend 50F": temperature,
 * minutes, and start, end (of milking) or cooling. Named "own". */
int limit_parse_own(const char *text, struct limit_set *out, struct fail *f);

/* The temperature in °C, NaN if the rule states none. */
double stated_temp_c(struct stated_temp temp);

/* Is temp_c at or below the stated temperature, compared in its own unit? Readings are kept to a thousandth
 * of a degree, so a hundredth of a degree of the rule's unit is forgiven: what was read as 45 °F is 45 °F. */
bool stated_temp_kept(struct stated_temp temp, double temp_c);

/* When a clause must be met, on the clock of the three starts (seconds, any origin): NaN when its start is
 * NaN. */
double limit_deadline(const struct limit_clause *clause, const double start_at[CLOCK_STARTS]);

/* Index of the clause with the lowest temperature, or -1 for a set without clauses. */
int limit_coldest_clause(const struct limit_set *set);

/* --- judging a log of what was read --- */

struct log_reading {
    double at_s; /* on the same clock as the starts */
    double temp_c;
};

enum log_verdict {
    LOG_KEPT,     /* a reading at or below the temperature, in time */
    LOG_BROKEN,   /* the deadline passed without one */
    LOG_OPEN,     /* the deadline is still ahead at `now` */
    LOG_NO_CLOCK, /* what starts the clause's clock is not known */
};

struct log_judgement {
    enum log_verdict clause[LIMIT_CLAUSES_MAX];
    double deadline_at_s[LIMIT_CLAUSES_MAX];
    double reached_at_s[LIMIT_CLAUSES_MAX]; /* first reading at or below; NaN if none */
    bool hold_broken; /* later read above the holding temperature, having been below it */
    double hold_broken_at_s;
    enum log_verdict all; /* broken if any clause or the hold is; else open if any is; else kept */
};

/* Judges readings (in order of time) against a set. A log shows only what it holds: cold milk that nobody
 * read in time counts as late. */
void limit_judge(const struct limit_set *set, const double start_at_s[CLOCK_STARTS], double now_s,
                 const struct log_reading *reading, size_t count, struct log_judgement *out,
                 struct working *w);

/* --- blending with an earlier milking --- */

/* Temperature of a blend of equal specific heats. Volumes 0 or more, not both 0. */
double blend_temp_c(double cold_l, double cold_c, double warm_l, double warm_c);

/* Most warm milk that may go to a litre of cold without passing limit_c: 0 if the cold milk is over it
 * already, INFINITY if the warm milk itself is not. */
double blend_fraction_most(double cold_c, double warm_c, double limit_c);

#endif
