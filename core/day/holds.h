/* Her holds as recorded, turned into the facts that hold_state() judges. Board, pour, cow page and paper all
 * come here. */
#ifndef CORE_DAY_HOLDS_H
#define CORE_DAY_HOLDS_H

#include "core/day/inside.h"
#include "core/herd/hold.h"

struct hold_record {
    struct hold_facts facts; /* points into the arrays below */
    struct hold_row *rows;
    struct hold *holds;
    struct instant *calved_at, *milked_at;
};

/* Reads all that bears on one cow's milk. Release with hold_record_release(), also after a failure. */
int hold_record_load(struct dairy *d, int64_t cow_id, struct hold_record *out, struct fail *f);
void hold_record_release(struct hold_record *r);

/* May milk that she gave at `milked_at` be kept? */
int cow_hold_state(struct dairy *d, int64_t cow_id, struct instant milked_at, struct hold_state *out,
                   struct working *w, struct fail *f);

#endif
