/* Everything about one batch, from the cow to the glass: its jars and who has them, whose milk it is, how it
 * was chilled, how long it keeps, what that morning's routine was, and how it tasted. */
#ifndef CORE_DAY_BATCH_PAGE_H
#define CORE_DAY_BATCH_PAGE_H

#include "core/cooling/forecast.h"
#include "core/day/dairy.h"
#include "core/day/trace_view.h"
#include "core/milk/discard.h"
#include "core/milk/keeping.h"

enum { BATCH_PAGE_TEMPS_MAX = 64, BATCH_PAGE_TASTES_MAX = 12, BATCH_PAGE_SKIPPED_MAX = 12 };

struct batch_temp {
    struct instant at;
    double temp_c;
    bool read; /* by thermometer; else as reckoned from what was read */
};

struct batch_taste {
    struct instant at;
    char flavour[24];
    int score; /* 0 not given */
    bool turned;
};

struct batch_page {
    struct instant now;
    int64_t batch_id;
    char code[16], kind[32], held_why[160];
    int count;
    double volume_l;
    struct instant poured_at;
    double poured_c;
    bool poured_read;
    char who[64]; /* who milked; "" not said */

    struct trace_view trace; /* where its jars and its milk are, whose milk it is */

    struct batch_temp temp[BATCH_PAGE_TEMPS_MAX]; /* in order of time */
    size_t temps;
    double to_50f_min, to_45f_min, to_40f_min; /* after the pour; NaN never */
    bool limit_known;
    enum verdict verdict; /* of the dairy's cooling rule */
    double limit_c;
    struct instant deadline_at;

    struct keeping_forecast keeping; /* of the jars at home that are warmest, or of the last that were */
    bool keeping_known;
    double lost_days;
    struct discard_judgement discard;

    int steps_done; /* of that milking's routine */
    char skipped[BATCH_PAGE_SKIPPED_MAX][64];
    size_t skips;
    struct instant mixed_at, sanitised_at; /* of the gear before it; INSTANT_NONE not ticked */

    struct batch_taste taste[BATCH_PAGE_TASTES_MAX];
    size_t tastes;
};

/* About 300 kB: the caller keeps one. */
int dairy_batch_page(struct dairy *d, int64_t batch_id, struct instant now, struct batch_page *out,
                     struct fail *f);

#endif
