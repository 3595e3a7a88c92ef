/* The tub and its batches as recorded, turned into the facts that forecast_make() works from. */
#ifndef CORE_DAY_CHILL_H
#define CORE_DAY_CHILL_H

#include "core/cooling/forecast.h"
#include "core/day/inside.h"

struct chill_record {
    struct morning morning;              /* times are UTC seconds; `now` is the caller's to set */
    struct batch_row batch[BATCHES_MAX]; /* in the order of morning.batch */
    struct milking_row milking;          /* whose limit clock runs; id 0: none */
    bool room_read, fridge_read;         /* their temperatures were read lately, not taken as usual */
};

/* Reads what bears on the jars that are being cooled: every batch of `milking_id` (ROW_NONE: no milking is
 * open) and any other that still has jars in the tub or on the table; at most the latest BATCHES_MAX. */
int chill_record_load(struct dairy *d, int64_t milking_id, struct instant now, struct chill_record *out,
                      struct fail *f);

/* Checks that the recorded facts do not contradict each other, as they stand inside the open transaction, and writes how
 * the batches that have left the tub came down. */
int chill_check(struct act *a, int64_t milking_id);

#endif
