/* Everything recorded about one cow, loaded at once, with what the domains make of it on a day. Board, cow
 * page, relief view and forecasts of the year all start from here. */
#ifndef CORE_DAY_COW_RECORD_H
#define CORE_DAY_COW_RECORD_H

#include "core/breeding/cycle.h"
#include "core/breeding/facts.h"
#include "core/breeding/figures.h"
#include "core/breeding/gestation.h"
#include "core/breeding/pregnancy.h"
#include "core/day/holds.h"
#include "core/day/inside.h"
#include "core/herd/lactation.h"
#include "core/herd/quarter.h"
#include "core/herd/stage.h"
#include "core/herd/udder.h"
#include "core/herd/watch.h"

/* A living calf of a calving that is at most three days old, and what it drank. */
struct fresh_calf {
    enum calf_sex sex;
    double weight_kg; /* NaN: not weighed */
    int feeds;
    double drunk_l;   /* of the feeds that were measured */
    bool all_measured;
};

struct fresh_calving {
    struct instant at; /* INSTANT_NONE: she has not calved in the last three days */
    bool day_only;     /* the hour is not known */
    bool had_milk_fever; /* a treatment for it is on record */
    struct fresh_calf calf[CALVES_MAX];
    int calves;
};

enum { SILENT_HEATS_MAX = 24, COURSE_DAYS_MAX = 440 };

struct cow_record {
    struct cow_row row;

    /* the facts; arrays owned, oldest first */
    struct breeding breeding;
    struct calving *calvings;
    struct heat *heats;
    struct service_row *service_rows; /* hold the names that services point to */
    struct service *services;
    struct check *checks;
    struct date *losses, *dry_offs, *calved_on, *served_on;
    struct hold_record holds; /* what bears on milk of the last two months, and of the time to come */
    struct milk_row *milk;    /* of the running or last lactation; before it is `learned` only of the last weeks */
    size_t milk_count;
    struct udder_test_row *udder_tests; /* since her last calving, once `learned` */
    size_t udder_test_count;
    struct ration_row *rations; /* what she gets now */
    size_t ration_count;
    struct date feed_changed_on; /* the last change of it; DATE_NONE when there was none lately */
    bool twin_of_bull;
    struct fresh_calving fresh; /* her last calving, while it is news */

    /* what the domains make of them on `today`: the day asked about, or the day on which she left */
    struct date today;
    int usual_milkings; /* a day, by the dairy's habit */
    struct gestation_breed gestation_breed; /* her breed's, or that of dairy cows in general */
    struct cow_stage stage;
    struct pregnancy pregnancy;
    struct gestation_plan plan; /* only if pregnancy.chance > 0 */
    struct yield_row *yield;    /* one row for each whole day of this lactation that was weighed */
    size_t yield_count;
    int milkings; /* a day, as she is milked now */

    /* what her weights and looks teach */
    bool learned; /* the rest is worked out */
    struct breed breed;
    struct lactation_prior prior;
    struct lactation curve;    /* her lactation as a whole */
    struct lactation tomorrow; /* what to expect next */
    struct lactation season;   /* the rest of it, and the year ahead */
    struct watch_context context;
    struct watch_result watch; /* of the last whole day */
    struct quarter_trend quarters[QUARTERS];

    /* how her breeding and this lactation go: only her page asks, so it is worked out when that is opened first */
    bool figured;
    struct breeding_figures figures;
    struct heat silent[SILENT_HEATS_MAX]; /* heats that her cycle says there were, and nobody saw */
    size_t silent_count;
    struct expectation *course; /* of days 1, 2 ... after calving: by her curve, after `today` by the season */
    int course_days;            /* 0: she has not calved */
    struct lactation_total total;
};

/* Loads the cow of that row into *out, which is all zero, and works her out for the day on which `now` falls. All her milk of this lactation, and what it
 * teaches (curves, watch, quarters), is left to cow_record_learn(), which takes most of the time. Release with
 * cow_record_release(), also after a failure. */
int cow_record_load(struct dairy *d, const struct cow_row *row, struct instant now, struct cow_record *out,
                    struct fail *f);
int cow_record_learn(struct dairy *d, struct cow_record *r, struct fail *f);

/* Works out how her breeding and her lactation go, unless it is worked out already; after cow_record_learn(). */
int cow_record_figure(struct cow_record *r, struct fail *f);

/* The same figures with their working. */
void cow_record_breeding_figures(const struct cow_record *r, struct breeding_figures *out, struct working *w);

/* Her breeding alone, with pregnancy and plan worked out: for acts that put one more fact among the others. Release as
 * above. */
int cow_record_load_breeding(struct dairy *d, int64_t cow_id, struct instant now, struct cow_record *out,
                             struct fail *f);

void cow_record_release(struct cow_record *r);

/* What she is expected to give at a milking at `at`, on `today` or after it: her day's milk by the hours since
 * the milking before. NaN figures when she gives no milk, or nothing is learned yet. */
void cow_record_expect(const struct cow_record *r, struct instant at, struct expectation *out);

/* How that comes about: what is usual, what her own weights say, and how the last whole day compares. */
void cow_record_explain_yield(const struct cow_record *r, struct instant at, struct working *w);

/* Near term the chance of the coming day is worth a row, and the signs are told. */
enum { CALVING_NEAR_DAYS = 21 };

/* When she calves, and how that comes about. */
void cow_record_explain_plan(const struct cow_record *r, struct instant now, struct working *w);

/* Her milk a day over the last `count` days up to today, oldest first; NaN where a day was not weighed whole.
 */
void cow_record_recent(const struct cow_record *r, double *kg, size_t count);

/* Looks at one quarter since her last calving, by strip cup, paddle and cell counts, oldest first, as
 * quarter_trend() takes them. Owned by the caller; the number is returned in *count. */
int cow_record_looks(const struct cow_record *r, enum quarter q, struct quarter_look **out, size_t *count,
                     struct fail *f);

/* How long she carries this calf, or would carry one: by her breed, her parity, twins. */
void cow_record_gestation(const struct cow_record *r, struct gestation *out, struct working *w);

/* For cow_record_load() and cow_record_learn() alone, in cow_worked.c: fills what the domains make of the facts; the first only
 * of her breeding. */
void cow_record_judge(struct cow_record *r);
int cow_record_work_out(struct cow_record *r, struct fail *f);
int cow_record_work_out_learned(struct cow_record *r, struct fail *f);

#endif
