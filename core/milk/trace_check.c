/* Facts that cannot be are refused before anything is traced. */
#include <inttypes.h>

#include "core/milk/trace_inside.h"

static int lots_check(const struct trace_facts *facts, struct fail *f)
{
    for (size_t i = 1; i < facts->lots; i++)
        if (facts->lot[i].id <= facts->lot[i - 1].id)
            return fail_input(f, "Milk %" PRId64 " is out of order or there twice.", facts->lot[i].id);
    return 0;
}

static int batches_check(const struct trace_facts *facts, struct fail *f)
{
    struct spots spots;
    for (size_t i = 0; i < facts->batches; i++) {
        const struct trace_batch *b = &facts->batch[i];
        if (i > 0 && b->id <= facts->batch[i - 1].id)
            return fail_input(f, "Batch %" PRId64 " is out of order or there twice.", b->id);
        if (b->jars < 0)
            return fail_input(f, "Batch %" PRId64 " cannot have fewer than no jars.", b->id);
        if (spots_load(facts, i, &spots, f) != 0)
            return -1;
    }
    return 0;
}

static int pours_check(const struct trace_facts *facts, struct fail *f)
{
    for (size_t i = 0; i < facts->sources; i++) {
        const struct trace_source *s = &facts->source[i];
        ptrdiff_t lot = trace_lot_index(facts, s->lot);
        if (lot == TRACE_NOT_FOUND || trace_batch_index(facts, s->batch) == TRACE_NOT_FOUND)
            return fail_refused(
                f, "Milk %" PRId64 " is poured into batch %" PRId64 ", but one of them is not there.", s->lot,
                s->batch);
        if (s->at.s < facts->lot[lot].at.s)
            return fail_refused(f, "Milk %" PRId64 " is poured into batch %" PRId64 " before it was milked.",
                                s->lot, s->batch);
    }
    for (size_t i = 0; i < facts->transfers; i++) {
        const struct trace_transfer *t = &facts->transfer[i];
        if (trace_batch_index(facts, t->from) == TRACE_NOT_FOUND ||
            trace_batch_index(facts, t->to) == TRACE_NOT_FOUND)
            return fail_refused(
                f, "Batch %" PRId64 " is poured into batch %" PRId64 ", but one of them is not there.",
                t->from, t->to);
        if (t->from == t->to)
            return fail_refused(f, "Batch %" PRId64 " cannot be poured into itself.", t->from);
    }
    return 0;
}

static int moves_check(const struct trace_facts *facts, struct fail *f)
{
    for (size_t i = 0; i < facts->moves; i++) {
        const struct trace_move *m = &facts->move[i], *last = i == 0 ? NULL : &facts->move[i - 1];
        ptrdiff_t batch = trace_batch_index(facts, m->batch);
        if (batch == TRACE_NOT_FOUND)
            return fail_refused(f, "Jars are moved of batch %" PRId64 ", which is not there.", m->batch);
        if (last != NULL && (last->batch > m->batch || (last->batch == m->batch && last->at.s > m->at.s)))
            return fail_input(f, "Batch %" PRId64 ": its moves are out of order.", m->batch);
        if (m->at.s < facts->batch[batch].poured_at.s)
            return fail_refused(f, "Batch %" PRId64 ": jars are moved before they were filled.", m->batch);
        if (m->count < 1 || (m->from == m->to && m->from_person == m->to_person))
            return fail_refused(f, "Batch %" PRId64 ": a move that moves nothing.", m->batch);
        if ((m->from == AT_GIVEN) != (m->from_person != 0) || (m->to == AT_GIVEN) != (m->to_person != 0))
            return fail_refused(f, "Batch %" PRId64 ": jars are given to a person, and to nothing else.",
                                m->batch);
    }
    return 0;
}

int trace_check(const struct trace_facts *facts, struct fail *f)
{
    if (lots_check(facts, f) != 0 || moves_check(facts, f) != 0 || batches_check(facts, f) != 0)
        return -1;
    return pours_check(facts, f);
}
