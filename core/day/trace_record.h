/* What is recorded of some batches and of the milk that came into them or went on from them, as the facts
 * that core/milk/trace works on. Only what is reached is read, so that ten years of records cost no more than
 * the week that is asked for. For core/day alone. */
#ifndef CORE_DAY_TRACE_RECORD_H
#define CORE_DAY_TRACE_RECORD_H

#include "core/day/inside.h"
#include "core/milk/pour.h"
#include "core/milk/trace.h"
#include "core/store/rows_shelf.h"

enum { REACH_FORWARD = 1, REACH_BACK = 2 };

struct trace_record {
    struct trace_facts facts; /* points into the arrays below */
    struct trace_lot *lot;
    struct trace_batch *batch;
    struct trace_source *source;
    struct trace_transfer *transfer;
    struct trace_move *move;
    struct instant *work; /* scratch for the trace: as many as there are batches */

    struct batch_row *batch_row;         /* parallel to batch */
    struct batch_source_row *source_row; /* parallel to source */
    struct pour_on_row *pour_row;        /* parallel to transfer */
};

/* A growing list of batch numbers. */
struct batch_ids {
    int64_t *id;
    size_t count, room;
};

/* Adds one; row_fn-shaped for batch rows: context is the list. */
int batch_ids_take(void *context, const void *batch_row, struct fail *f);

/* Loads those batches and every batch that their milk was poured on into (REACH_FORWARD) or came from
 * (REACH_BACK). A lot is a cow's milk of a milking; where no milk of hers was recorded then, one is made up
 * from the pour, with a number below 0. Release with trace_record_release(), also after a failure. */
int trace_record_load(struct dairy *d, const struct batch_ids *ids, int reach, struct trace_record *out,
                      struct fail *f);
void trace_record_release(struct trace_record *r);

/* Whose milk, lot by lot and in grams, a batch holds (index into r->batch): its own, and that of what was
 * poured on into it, in proportion. False when it is not known gram by gram. */
bool trace_record_mix(const struct trace_record *r, size_t batch, struct pour_mix *mix);

/* ---- milk that is not to be kept ---- */

/* Holds of the cows that were asked about, each read once. */
struct hold_shelf;
int hold_shelf_new(struct dairy *d, struct hold_shelf **out, struct fail *f);
void hold_shelf_free(struct hold_shelf *s);

/* Is milk of that lot not to be kept, by what is recorded now? `why` (160 characters) is the reason. */
int hold_shelf_judge(struct hold_shelf *s, const struct trace_lot *lot, bool *held, char *why,
                     struct fail *f);

#endif
