/* The year ahead as a snapshot: milk a week by cow against what is needed, the weeks short and over, which service would
 * close a gap, and what a service in each month would do. */
#ifndef CORE_DAY_SUPPLY_VIEW_H
#define CORE_DAY_SUPPLY_VIEW_H

#include "core/breeding/supply.h"
#include "core/day/dairy.h"

enum { YEAR_WEEKS = 60, YEAR_GAPS_MAX = 6, YEAR_MONTHS = 12 };

struct supply_cow_view {
    int64_t cow_id;
    char name[64];
    double week_l[YEAR_WEEKS];  /* her part of it, expected */
    double chance;              /* that she is in calf, 0..1 */
    struct date due_on, dry_on; /* DATE_NONE */
    char state[80];             /* "dry from 16 Jul, calves 14 Sep" */
    bool servable;              /* a service of hers is a question */
    struct date earliest_on;    /* the first day on which she could be served */
    struct service_effect month[YEAR_MONTHS];
    int months;
};

struct supply_gap_view {
    struct supply_gap gap;
    int cow;                   /* whose service closes it alone, -1: nobody's */
    struct service_days serve; /* on these days */
    double elsewhere_l;        /* missing in other weeks then, that was not missing before: her own dry weeks */
    int helper;                /* else who helps most, -1: nobody */
    struct service_effect best; /* her best month */
    char words[240];           /* all that in one sentence */
};

struct supply_view {
    struct instant now;
    struct date today;
    enum unit_system units;
    bool need_set; /* the household has said what it needs */
    struct supply_need need;
    struct supply year;
    struct supply_cow_view cow[SUPPLY_COWS_MAX];
    size_t cows;
    struct supply_gap_view gap[YEAR_GAPS_MAX];
    size_t gaps;
    char sentence[240]; /* the first gap, or that there is none */
};

/* Works it out for `now`, from the weeks that begin today. About 60 kB: the caller keeps one. */
int dairy_supply(struct dairy *d, struct instant now, struct supply_view *out, struct fail *f);

/* How it comes about: of the year as a whole, or (cow) of the days on which serving her closes a gap. */
int supply_explain(struct dairy *d, struct instant now, struct working *w, struct fail *f);
int supply_explain_gap(struct dairy *d, struct instant now, size_t gap, struct working *w, struct fail *f);

#endif
