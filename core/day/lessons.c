#include "core/day/lessons.h"

#include <stdlib.h>
#include <string.h>

#include "core/day/facts.h"

/* More would cost time and teach little: what mornings differ by outweighs it. */
enum { MORNINGS_MOST = 16 };

struct teaching {
    struct dairy *dairy;
    struct chill_record *taught; /* whose morning.learned is filled */
    struct chill_record *earlier;
};

static bool is_of(const struct chill_record *record, int64_t milking_id)
{
    for (size_t i = 0; i < record->morning.batches; i++)
        if (record->batch[i].milking_id == milking_id)
            return true;
    return record->milking.id == milking_id;
}

/* Facts of a morning that contradict each other teach nothing, and are no reason to have no board today. */
static int add_morning(void *context, const void *row, struct fail *f)
{
    struct teaching *t = context;
    const struct milking_row *m = row;
    struct morning *taught = &t->taught->morning;
    struct rate_belief believed[BATCHES_MAX];
    struct instant then = {m->opened_at.s + MILKING_LONGEST_S};
    if (is_of(t->taught, m->id))
        return 0;
    if ((double)then.s > taught->now)
        then.s = (int64_t)taught->now;
    if (chill_record_load(t->dairy, m->id, then, t->earlier, f) != 0)
        return -1;
    if (forecast_rates(&t->earlier->morning, believed, NULL) != 0)
        return 0;
    for (size_t i = 0; i < t->earlier->morning.batches && taught->learned_count < LEARNED_MAX; i++)
        if (t->earlier->batch[i].milking_id == m->id &&
            rate_taught(&t->earlier->morning.batch[i], &believed[i], &taught->learned[taught->learned_count]))
            taught->learned_count++;
    return 0;
}

int lessons_load(struct dairy *d, struct chill_record *record, struct fail *f)
{
    struct teaching t = {d, record, malloc(sizeof *t.earlier)};
    struct instant until = record->milking.id != 0 ? record->milking.opened_at
                                                   : (struct instant){(int64_t)record->morning.now};
    int result = -1;
    record->morning.learned_count = 0;
    if (t.earlier == NULL)
        result = fail_memory(f);
    else
        result = rows_each(d->store, &milking_table,
                           "WHERE opened_at <= ?1 AND id IN (SELECT milking_id FROM batch WHERE id IN (SELECT batch_id "
                           "FROM reading WHERE batch_id IS NOT NULL)) ORDER BY opened_at DESC LIMIT ?2",
                           (struct bind[]){BIND_AT(until), {false, MORNINGS_MOST, NULL}}, 2, add_morning, &t, f);
    free(t.earlier);
    if (result != 0)
        record->morning.learned_count = 0;
    return result;
}

void lessons_copy(const struct chill_record *from, struct chill_record *to)
{
    memcpy(to->morning.learned, from->morning.learned, sizeof to->morning.learned);
    to->morning.learned_count = from->morning.learned_count;
}

bool lessons_stand(const struct dairy *d, const struct facts *from, const struct chill_record *to)
{
    return from != NULL && from->taught && !d->lessons_stale && from->chill.milking.id == to->milking.id;
}

int lessons_give(struct dairy *d, struct chill_record *record, struct fail *f)
{
    if (record->milking.id == 0 || !lessons_stand(d, d->facts, record))
        return lessons_load(d, record, f);
    lessons_copy(&d->facts->chill, record);
    return 0;
}
