#include "core/day/lessons.h"

#include <stdlib.h>

/* More would cost time and teach little: what mornings differ by outweighs it. */
enum { MORNINGS_MOST = 16 };

struct teaching {
    struct dairy *dairy;
    struct instant now;
    struct facts *facts;
    struct chill_record *record;
};

static bool is_on_board(const struct facts *facts, int64_t milking_id)
{
    for (size_t i = 0; i < facts->chill.morning.batches; i++)
        if (facts->chill.batch[i].milking_id == milking_id)
            return true;
    return facts->milking.id == milking_id;
}

/* Facts of a morning that contradict each other teach nothing, and are no reason to have no board today. */
static int add_morning(void *context, const void *row, struct fail *f)
{
    struct teaching *t = context;
    const struct milking_row *m = row;
    struct facts *facts = t->facts;
    struct rate_belief believed[BATCHES_MAX];
    struct instant then = {m->opened_at.s + MILKING_LONGEST_S};
    if (is_on_board(facts, m->id))
        return 0;
    if (then.s > t->now.s)
        then = t->now;
    if (chill_record_load(t->dairy, m->id, then, t->record, f) != 0)
        return -1;
    if (forecast_rates(&t->record->morning, believed, NULL) != 0)
        return 0;
    for (size_t i = 0; i < t->record->morning.batches && facts->lessons < LEARNED_MAX; i++)
        if (t->record->batch[i].milking_id == m->id &&
            rate_taught(&t->record->morning.batch[i], &believed[i], &facts->lesson[facts->lessons]))
            facts->lessons++;
    return 0;
}

int lessons_load(struct dairy *d, struct instant now, struct facts *facts, struct fail *f)
{
    struct teaching t = {d, now, facts, malloc(sizeof *t.record)};
    int result = -1;
    facts->lessons = 0;
    if (t.record == NULL)
        result = fail_memory(f);
    else
        result = rows_each(d->store, &milking_table,
                           "WHERE opened_at <= ?1 AND id IN (SELECT milking_id FROM batch WHERE id IN (SELECT batch_id "
                           "FROM reading WHERE batch_id IS NOT NULL)) ORDER BY opened_at DESC LIMIT ?2",
                           (struct bind[]){BIND_AT(now), {false, MORNINGS_MOST, NULL}}, 2, add_morning, &t, f);
    free(t.record);
    facts->taught = result == 0;
    facts->lessons_for = facts->milking.id;
    return result;
}

bool lessons_stand(const struct dairy *d, const struct facts *from, const struct facts *to)
{
    return from != NULL && from->taught && !d->lessons_stale && from->lessons_for == to->milking.id;
}
