/* What the files of the trace share: looking things up by id, and where the jars of one batch are. */
#ifndef CORE_MILK_TRACE_INSIDE_H
#define CORE_MILK_TRACE_INSIDE_H

#include <stddef.h>

#include "core/milk/trace.h"

enum { TRACE_NOT_FOUND = -1 };

/* Index into facts->batch or facts->lot of that id, or TRACE_NOT_FOUND. */
ptrdiff_t trace_batch_index(const struct trace_facts *facts, int64_t id);
ptrdiff_t trace_lot_index(const struct trace_facts *facts, int64_t id);

/* Places of one batch at a time: as many as its jars, at most. */
enum { SPOTS_MAX = 128 };

struct spot {
    enum jar_place place;
    int64_t person;
    int count;
    struct instant here_since; /* when the first of them came */
    struct instant home_until; /* up to when milk can have been poured into any of them */
};

struct spots {
    struct spot spot[SPOTS_MAX]; /* those with a count of 0 are empty */
    size_t count;
};

/* Plays the moves of a batch (index into facts->batch). Refuses moves of more jars than stand in a place. */
int spots_load(const struct trace_facts *facts, size_t batch, struct spots *s, struct fail *f);

#endif
