/* How long she carries her calf, and the days that follow from it.
 *
 * The due day is the service day plus N calendar days. N is always shown, because the printed tables differ
 * in what they call N: those that claim 283 days add 282, counting the service day as the first.
 *
 * The length is taken as normal about the breed's mean, cut into whole days, GESTATION_MIN_DAYS to
 * GESTATION_MAX_DAYS. Breeds are rows of assets/gestation.csv. */
#ifndef CORE_BREEDING_GESTATION_H
#define CORE_BREEDING_GESTATION_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/breeding/chances.h"
#include "core/breeding/facts.h"

enum { GESTATION_MIN_DAYS = 240, GESTATION_MAX_DAYS = 330, GESTATION_BREED_MAX = 32 };

/* One row of assets/gestation.csv. */
struct gestation_breed {
    char name[GESTATION_BREED_MAX];
    double mean_days, sd_days;
    double calf_kg; /* usual birth weight (source birth-weight), NaN if no figure is known */
    char mean_source[GESTATION_BREED_MAX]; /* ids of assets/sources.csv */
    char sd_source[GESTATION_BREED_MAX];
};

/* Finds a breed by name, without regard to case, blanks and hyphens ("Brown Swiss", "brown-swiss"). Returns
 * -1 and a line that names the breeds there are. */
int gestation_breed_find(const char *name, struct gestation_breed *out, struct fail *f);

/* The same for a cow on the board, where every cow needs a figure: an unknown, empty or NULL name gives the
 * row for dairy cows in general. Fails only for want of memory. */
int gestation_breed_or_usual(const char *name, struct gestation_breed *out, struct fail *f);

/* What is known about one pregnancy. All zero but for the breed is "nothing else known". */
struct gestation_case {
    struct gestation_breed breed;
    int own_days;       /* N set for her by the keeper, instead of the breed's; 0 if none */
    bool heifer;        /* carries her first calf: 2 days less */
    bool twins;         /* 4.4 days less */
    enum calf_sex calf; /* bull calves are carried 1 day longer than heifer calves: half a day each way */
    double sire_days;   /* this sire's calves, as recorded; 0 if not known */
};

struct gestation {
    int days;                  /* N: the mean, in whole days */
    double mean_days, sd_days; /* of the distribution */
};

/* The length to expect. Sources: Ohio Station's breed means and modifiers as quoted by Ensminger; Knott 1932
 * (J. Dairy Sci. 15:87) for twins and for the spread. Refuses a mean outside what a live calf allows. */
int gestation_of(const struct gestation_case *c, struct gestation *out, struct working *w, struct fail *f);

/* The chance that she carries exactly that many days, 0..1; sums to 1 over GESTATION_MIN_DAYS ..
 * GESTATION_MAX_DAYS, and 0 outside. */
double gestation_chance(const struct gestation *g, int days);

/* The day of calving, from the day of conception with its own chances. The total is kept. Days that do not
 * fit in DAY_CHANCES_MAX do not occur: conception may be spread over at most 420 days. */
void gestation_calving(const struct gestation *g, const struct day_chances *conception,
                       struct day_chances *calving);

/* Days of the plan, each a setting of the dairy; PLAN_DAYS_USUAL has the published ones. */
struct plan_days {
    int dry;       /* dry period before the due day: 60 (45 to 60) */
    int close_up;  /* close-up ration: the last 21 */
    int watch;     /* calving watch: udder fills about 14 days before */
    int heat_from; /* a cow that did not hold comes back 18 .. */
    int heat_to;   /* .. to 24 days after service */
    int check;     /* earliest check by skilled ultrasound or PAG: 28 */
    int palpation; /* earliest check by hand: 35 */
};

#define PLAN_DAYS_USUAL                                                                                      \
    ((struct plan_days){.dry = 60,                                                                           \
                        .close_up = 21,                                                                      \
                        .watch = 14,                                                                         \
                        .heat_from = 18,                                                                     \
                        .heat_to = 24,                                                                       \
                        .check = 28,                                                                         \
                        .palpation = 35})

struct gestation_plan {
    int days;                             /* N, as used */
    struct date due_on;                   /* service + N; for a window of service days the median */
    struct day_window due;                /* the days that hold 90 % */
    struct day_window half;               /* the days that hold 50 % */
    struct date heat_from_on, heat_to_on; /* return watch */
    struct date check_from_on, palpation_from_on;
    struct date dry_off_on, close_up_on, watch_from_on;
    bool day_unknown; /* dry-off, close-up and watch are counted from the earliest likely service */
    struct day_chances calving;
};

/* The plan after a service (or a window of service days, or a conception that a check has dated). When the
 * conception is spread over more than a day, dry-off, close-up and watch are counted from the day by which
 * 5 % of it has come, because a dry period that is too short hurts and one that is too long only costs milk.
 * The total of `conception`, which must not be empty, is taken as 1: the plan is for the case
 * that she holds. */
void gestation_plan(const struct day_chances *conception, const struct gestation *g,
                    const struct plan_days *days, struct gestation_plan *out, struct working *w);

/* Every day of the plan as a result. */
void gestation_plan_results(const struct gestation_plan *p, struct working *w);

/* The chance that she calves in the coming 24 hours and 7 days, at `now`, given that she has not calved yet.
 * Both chances are NaN when she is later than any length allowed for. `overdue` is set when 99 % of cows
 * would have calved before today: a reason to call the veterinarian. */
struct calving_near {
    double day_chance, week_chance;
    int days_to_due; /* negative when past it */
    bool overdue;
};
void gestation_near(const struct gestation_plan *plan, struct instant now, struct calving_near *out,
                    struct working *w);

#endif
