/* Everything recorded about one cow, loaded at once, with what the domains make of it on a day. Board, cow
 * page and forecasts of the year all start from here. */
#ifndef CORE_DAY_COW_RECORD_H
#define CORE_DAY_COW_RECORD_H

#include "core/breeding/facts.h"
#include "core/breeding/gestation.h"
#include "core/breeding/pregnancy.h"
#include "core/day/holds.h"
#include "core/day/inside.h"
#include "core/herd/lactation.h"
#include "core/herd/quarter.h"
#include "core/herd/stage.h"
#include "core/herd/udder.h"
#include "core/herd/watch.h"

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
    struct hold_record holds;
    struct milk_row *milk; /* of the running or last lactation */
    size_t milk_count;
    struct ration_row *rations; /* what she gets now */
    size_t ration_count;

    /* what the domains make of them on `today` */
    struct date today;
    struct cow_stage stage;
    struct pregnancy pregnancy;
    struct gestation_plan plan; /* only if pregnancy.chance > 0 */
    struct yield_row *yield;    /* one row for each day of this lactation that was weighed */
    size_t yield_count;
    struct lactation_prior prior;
    struct lactation curve;    /* her lactation as a whole */
    struct lactation tomorrow; /* what to expect next */
    struct lactation season;   /* the rest of it, and the year ahead */
    int milkings;              /* a day, as she is milked now */
    struct quarter_trend quarters[QUARTERS];
    struct watch_result watch; /* of the last day that was weighed */
    bool learned;              /* prior, curves, quarters and watch are worked out */
};

/* Loads one cow and works her out for the day on which `now` falls; what her weights teach (curves, watch,
 * quarters) is left to cow_record_learn(), which takes most of the time. Release with cow_record_release(),
 * also after a failure. */
int cow_record_load(struct dairy *d, int64_t cow_id, struct instant now, struct cow_record *out,
                    struct fail *f);
int cow_record_learn(struct cow_record *r, struct fail *f);
void cow_record_release(struct cow_record *r);

/* What she is expected to give at a milking on the day of `now`; NaN figures when she gives no milk. */
void cow_record_expect(const struct cow_record *r, struct instant now, struct expectation *out,
                       struct working *w);

/* The working of her yield watch; the result stands in the record. */
void cow_record_watch(const struct cow_record *r, struct watch_result *out, struct working *w);

/* Her milk a day over the last `count` days up to today, oldest first; NaN where nothing was weighed. */
void cow_record_recent(const struct cow_record *r, double *kg, size_t count);

#endif
