/* The records that the board is worked out from, loaded once for each edition of the file. */
#ifndef CORE_DAY_FACTS_H
#define CORE_DAY_FACTS_H

#include "core/cooling/forecast.h"
#include "core/day/chill.h"
#include "core/day/cow_record.h"
#include "core/day/power_cut.h"
#include "core/day/trace_view.h"
#include "core/milk/keeping.h"
#include "core/sanitation/progress.h"
#include "core/sanitation/routine.h"

enum { FACTS_TICKS_MAX = 512, FACTS_LAST_MAX = 32, FACTS_FLOORS_MAX = 4 };

struct facts {
    uint64_t edition;
    struct date today;          /* the day the cows were worked out for */
    struct milking_row milking; /* the open one; id 0: none */

    struct cow_record *cow; /* every animal that is here, by stall */
    size_t cows;
    struct milk_row *milk_now; /* her milk of the open milking, parallel to cow; id 0: none yet */

    struct chill_record chill; /* with what earlier mornings taught, once `taught` */
    char batch_cows[BATCHES_MAX][120];

    struct routine routine;
    struct step_tick tick[FACTS_TICKS_MAX];
    size_t ticks;
    struct step_last last[FACTS_LAST_MAX]; /* weekly and monthly steps, when they were last done */
    size_t lasts;
    enum chemical sink; /* what the milking before left in the sink, not rinsed away */
    struct step_floor floor[FACTS_FLOORS_MAX]; /* when the sink's water will be too cold for its hot steps */
    size_t floors;
    struct phase_usual usual[PHASE_COUNT];

    struct power_cut cut;
    struct recall_view recall; /* once `recalled` */

    struct keeping_scale scale; /* how long milk keeps here by the tastings, once `scaled`: the shelf asks */
    struct instant scaled_at;   /* as of then */
    struct instant tasted_at;   /* the last tasting in it; INSTANT_NONE none: what happens later changes nothing */

    char last_act[240];
    int64_t last_entry;
    bool learned;  /* what the past teaches is worked out: her curves, usual lengths of the phases */
    bool taught;   /* earlier mornings' readings were fitted: when there are jars to cool */
    bool recalled; /* jars were compared with the holds */
    bool scaled;   /* the tastings were learned from: when the shelf is opened first */
};

/* Loads them if d->facts is missing, of an older edition or of another day. With `learn` also what the past
 * teaches, and which jars are to be called back, which takes several times as long: the first picture of the board does without. */
int facts_load(struct dairy *d, struct instant now, bool learn, struct fail *f);
/* Is all that learning would work out there? */
bool facts_learned(const struct facts *facts);

void facts_free(struct facts *facts);

#endif
