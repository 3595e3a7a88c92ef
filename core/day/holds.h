/* Her holds as recorded, turned into the facts that hold_state() judges. Board, pour, cow page, relief view
 * and paper all come here. */
#ifndef CORE_DAY_HOLDS_H
#define CORE_DAY_HOLDS_H

#include "core/day/courses.h"
#include "core/day/inside.h"
#include "core/herd/hold.h"

struct hold_record {
    struct hold_facts facts; /* points into the arrays below */
    struct hold_row *rows;   /* of facts.holds the first `row_count` are these, in this order ... */
    size_t row_count;
    struct course *courses; /* ... then come these, and then what follows from calvings without an hour */
    size_t course_count;
    struct treatment *treatments; /* the courses' records: holds borrow their names */
    struct health_test_row *tests; /* tests for diseases that held her milk or hold it ... */
    size_t test_count;
    char (*test_words)[80]; /* ... in words */
    struct hold *holds;
    struct instant *calved_at, *milked_at;
};

/* Reads all that bears on one cow's milk drawn at `from` or later. Release with hold_record_release(), also
 * after a failure. */
int hold_record_load(struct dairy *d, int64_t cow_id, struct instant from, struct hold_record *out,
                     struct fail *f);
void hold_record_release(struct hold_record *r);

/* May milk that she gave at `milked_at` be kept? */
int cow_hold_state(struct dairy *d, int64_t cow_id, struct instant milked_at, struct hold_state *out,
                   struct working *w, struct fail *f);

/* The times of day at which this dairy milks. */
struct milking_habit dairy_habit(const struct dairy *d);

/* The first habitual milking after `now`. */
struct instant dairy_next_milking(const struct dairy *d, struct instant now);

#endif
