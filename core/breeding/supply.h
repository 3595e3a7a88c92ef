/* The year ahead in litres a week: every cow's curve, her dry time and her next calving with its spread,
 * against what the household and the shares need; and what serving a cow on a given day would do to it.
 *
 * Each cow's week is a set of cases, one for every day she may calve and one for not being in calf, each with
 * its chance. Cows are independent; their weeks are added case by case on a grid of one litre. The band is
 * thus that of calving days and of conception, not of the curve itself. Only what is recorded counts: a cow
 * not served goes on along her curve and is not assumed to calve. */
#ifndef CORE_BREEDING_SUPPLY_H
#define CORE_BREEDING_SUPPLY_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/breeding/chances.h"
#include "core/breeding/gestation.h"

enum {
    SUPPLY_WEEKS_MAX = 78,
    SUPPLY_COWS_MAX = 12,
    SUPPLY_WEEK_L_MAX = 1500, /* the grid ends here; more is counted as this much */
};

/* Expected milk in kg on a day in milk (1, 2, ...) of the running lactation (ahead 0) or of the next (ahead
 * 1), as she is milked here. Anything not above 0, NaN too, is no milk. Must give the same answer each time.
 */
typedef double (*supply_yield_fn)(const void *who, int ahead, int day_in_milk);

struct supply_cow {
    supply_yield_fn yield_kg;
    const void *who;
    struct date calved_on;      /* of the running lactation; DATE_NONE: none is running */
    struct date dry_on;         /* dry since, or to be dried off on, this day; DATE_NONE: when due */
    struct day_chances calving; /* the next calving; its total is the chance that she is in calf */
    int dry_days;               /* dry period to plan with, when dry_on is not known; 60 */
    int kept_back_days;         /* days after calving whose milk is not for people; 5 */
    int last_day;               /* she is dried off after this day in milk in any case; 450, say */
    double calf_share;          /* part of her milk that goes to a calf, 0..1 */
};

struct supply_need {
    double household_l, shares_l; /* a week */
    double room_l;                /* the most that can be used in a week; 0 = no limit known */
};

struct supply_week {
    struct date from_on; /* seven days from here */
    double need_l;
    double expected_l;
    double low_l, high_l;   /* 10 % and 90 % */
    double chance_short;    /* that the week brings less than is needed */
    double chance_none;     /* that it brings nothing at all */
    bool is_short, is_over; /* by the expected litres, against need and room */
};

struct supply {
    int weeks;
    struct supply_week week[SUPPLY_WEEKS_MAX];
    int short_weeks, over_weeks;
    double short_l, over_l; /* summed over those weeks */
};

/* A run of weeks whose expected milk is below the need. */
struct supply_gap {
    int first, last;            /* indices of supply.week */
    struct date from_on, to_on; /* first and last day */
    double short_l;
};

/* Works out `weeks` weeks (1..SUPPLY_WEEKS_MAX) from from_on. Refuses more cows than SUPPLY_COWS_MAX,
 * negative amounts, a share outside 0..1. */
int supply_ahead(const struct supply_cow *cows, size_t count, const struct supply_need *need,
                 struct date from_on, int weeks, struct supply *out, struct working *w, struct fail *f);

/* The first gap that ends in week `after` or later; false when there is none. */
bool supply_gap(const struct supply *s, int after, struct supply_gap *out);

/* The cow as she would stand if she were served on that day and held: calving by the length of gestation,
 * dried off dry_days before the due day. */
void supply_serve(struct supply_cow *cow, struct date served_on, const struct gestation *g);

/* What serving cow `which` on a day would do. */
struct service_effect {
    struct date served_on, dry_off_on, due_on;
    int short_weeks; /* of the whole time looked at */
    double short_l;
    int over_weeks;
    bool closes; /* every week of the gap in question is then enough, by the expected litres */
};

/* A plan of which the cow to be served is a part; passed about together. */
struct supply_case {
    const struct supply_cow *cows;
    size_t count;
    struct supply_need need;
    struct date from_on;
    int weeks;
    size_t which;               /* the cow in question */
    struct gestation gestation; /* hers */
};

/* The effect of one service. `gap` may be NULL: then `closes` means that no week at all is short. Refuses a
 * cow who is in calf (chance above 90 %); one who was served but may be open is taken as open. */
int supply_effect(const struct supply_case *c, const struct supply_gap *gap, struct date served_on,
                  struct service_effect *out, struct fail *f);

/* The effect of serving her in each month: on the 15th, or on the first day possible in the month of
 * `earliest_on`. Writes at most `max` and returns how many, or -1. */
int supply_months(const struct supply_case *c, const struct supply_gap *gap, struct date earliest_on,
                  struct service_effect *out, int max, struct fail *f);

/* The first and last day, from earliest_on to latest_on, on which a service that holds closes the gap; the
 * longest run when there are several. Both DATE_NONE when no day does, and working_why() then says why. */
struct service_days {
    struct date from_on, to_on;
};
int supply_service_days(const struct supply_case *c, const struct supply_gap *gap, struct date earliest_on,
                        struct date latest_on, struct service_days *out, struct working *w, struct fail *f);

#endif
