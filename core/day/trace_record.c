#include "core/day/trace_record.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/holds.h"
#include "core/day/jars_at.h"

/* ---- lists ---- */

static int ids_add(struct batch_ids *list, int64_t id, struct fail *f)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->id[i] == id)
            return 0;
    if (list->count == list->room) {
        size_t room = list->room == 0 ? 32 : 2 * list->room;
        int64_t *more = realloc(list->id, room * sizeof *more);
        if (more == NULL)
            return fail_memory(f);
        list->id = more;
        list->room = room;
    }
    list->id[list->count++] = id;
    return 0;
}

int batch_ids_take(void *context, const void *batch_row, struct fail *f)
{
    return ids_add(context, ((const struct batch_row *)batch_row)->id, f);
}

/* A growing array of rows of any kind. */
struct pile {
    void *rows;
    size_t size, count, room;
};

static void *pile_add(struct pile *p, struct fail *f)
{
    if (p->count == p->room) {
        size_t room = p->room == 0 ? 64 : 2 * p->room;
        void *rows = realloc(p->rows, room * p->size);
        if (rows == NULL) {
            fail_memory(f);
            return NULL;
        }
        p->rows = rows;
        p->room = room;
    }
    return (char *)p->rows + p->size * p->count++;
}

static int pile_copy(void *context, const void *row, struct fail *f)
{
    struct pile *p = context;
    void *to = pile_add(p, f);
    if (to == NULL)
        return -1;
    memcpy(to, row, p->size);
    return 0;
}

/* ---- loading ---- */

struct piles {
    struct pile batch, source, pour, move, milk;
};

static int take_from(void *context, const void *row, struct fail *f)
{
    return ids_add(context, ((const struct pour_on_row *)row)->from_batch_id, f);
}

static int take_to(void *context, const void *row, struct fail *f)
{
    return ids_add(context, ((const struct pour_on_row *)row)->to_batch_id, f);
}

/* The list grows while it is walked. */
static int reach_out(struct dairy *d, struct batch_ids *list, int reach, struct fail *f)
{
    for (size_t i = 0; i < list->count; i++) {
        struct bind id = BIND_ID(list->id[i]);
        if ((reach & REACH_FORWARD) != 0 &&
            rows_each(d->store, &pour_on_table, "WHERE from_batch_id = ?1", &id, 1, take_to, list, f) != 0)
            return -1;
        if ((reach & REACH_BACK) != 0 &&
            rows_each(d->store, &pour_on_table, "WHERE to_batch_id = ?1", &id, 1, take_from, list, f) != 0)
            return -1;
    }
    return 0;
}

static int by_number(const void *a, const void *b)
{
    int64_t x, y;
    memcpy(&x, a, sizeof x);
    memcpy(&y, b, sizeof y);
    return (x > y) - (x < y);
}

static int load_rows(struct dairy *d, const struct batch_ids *list, struct piles *p, struct fail *f)
{
    struct store *s = d->store;
    for (size_t i = 0; i < list->count; i++) {
        struct bind id = BIND_ID(list->id[i]);
        if (rows_each(s, &batch_table, "WHERE id = ?1", &id, 1, pile_copy, &p->batch, f) != 0 ||
            rows_each(s, &batch_source_table, "WHERE batch_id = ?1 ORDER BY id", &id, 1, pile_copy,
                      &p->source, f) != 0 ||
            rows_each(s, &jar_move_table, "WHERE batch_id = ?1 ORDER BY at, id", &id, 1, pile_copy, &p->move,
                      f) != 0 ||
            rows_each(s, &pour_on_table, "WHERE to_batch_id = ?1 ORDER BY at, id", &id, 1, pile_copy,
                      &p->pour, f) != 0)
            return -1;
    }
    return 0;
}

/* Milk rows of each milking once; batches stand in order, those of one milking mostly together. */
static int load_milk(struct dairy *d, struct piles *p, struct fail *f)
{
    const struct batch_row *batch = p->batch.rows;
    for (size_t i = 0; i < p->batch.count; i++) {
        bool seen = false;
        for (size_t k = i; k > 0 && !seen; k--)
            seen = batch[k - 1].milking_id == batch[i].milking_id;
        if (!seen && rows_each(d->store, &milk_table, "WHERE milking_id = ?1 ORDER BY id",
                               (struct bind[]){BIND_ID(batch[i].milking_id)}, 1, pile_copy, &p->milk, f) != 0)
            return -1;
    }
    return 0;
}

/* ---- facts ---- */

static const struct batch_row *batch_of(const struct trace_record *r, int64_t id)
{
    struct batch_row key = {.id = id};
    return bsearch(&key, r->batch_row, r->facts.batches, sizeof key, by_number);
}

static void fill_batches(struct trace_record *r)
{
    for (size_t i = 0; i < r->facts.batches; i++) {
        const struct batch_row *b = &r->batch_row[i];
        r->batch[i] = (struct trace_batch){b->id, b->poured_at, AT_TUB, (int)b->count};
    }
}

/* The first move out of the pail is where the jars stood first; the others are moves. */
static void fill_moves(struct trace_record *r, const struct pile *moves)
{
    const struct jar_move_row *m = moves->rows;
    for (size_t i = 0; i < moves->count; i++) {
        enum jar_place from = jar_place_of(m[i].from_place), to = jar_place_of(m[i].to_place);
        const struct batch_row *b = batch_of(r, m[i].batch_id);
        int64_t person = m[i].person_id == ROW_NONE ? 0 : m[i].person_id;
        if (b == NULL)
            continue;
        if (from == AT_PAIL) {
            r->batch[b - r->batch_row].place = to;
            continue;
        }
        r->move[r->facts.moves++] = (struct trace_move){.batch = m[i].batch_id,
                                                        .at = m[i].at,
                                                        .from = from,
                                                        .to = to,
                                                        .from_person = from == AT_GIVEN ? person : 0,
                                                        .to_person = to == AT_GIVEN ? person : 0,
                                                        .count = (int)m[i].count};
    }
}

static int by_milking(const void *a, const void *b)
{
    const struct milk_row *x = a, *y = b;
    if (x->milking_id != y->milking_id)
        return x->milking_id < y->milking_id ? -1 : 1;
    return (x->cow_id > y->cow_id) - (x->cow_id < y->cow_id);
}

/* Entered in another order than it was done, milk may be weighed after it was poured: it was milked before
 * all the same. */
static void fill_lot(struct trace_lot *lot, const struct batch_source_row *source,
                     const struct batch_row *batch, const struct pile *milk)
{
    struct milk_row key = {.milking_id = batch->milking_id, .cow_id = source->cow_id};
    const struct milk_row *m =
        milk->count == 0 ? NULL : bsearch(&key, milk->rows, milk->count, sizeof key, by_milking);
    *lot = (struct trace_lot){-source->id, source->cow_id, batch->milking_id, batch->poured_at};
    if (m == NULL)
        return;
    lot->id = m->id;
    lot->at = m->at.s < batch->poured_at.s ? m->at : batch->poured_at;
}

static int by_lot(const void *a, const void *b)
{
    const struct trace_lot *x = a, *y = b;
    if (x->id != y->id)
        return x->id < y->id ? -1 : 1;
    return (x->at.s > y->at.s) - (x->at.s < y->at.s);
}

static void fill_sources(struct trace_record *r, const struct pile *milk)
{
    size_t kept = 0;
    if (milk->count > 0)
        qsort(milk->rows, milk->count, sizeof(struct milk_row), by_milking);
    for (size_t i = 0; i < r->facts.sources; i++) {
        const struct batch_source_row *row = &r->source_row[i];
        const struct batch_row *batch = batch_of(r, row->batch_id);
        fill_lot(&r->lot[i], row, batch, milk);
        r->source[i] = (struct trace_source){row->batch_id, r->lot[i].id, batch->poured_at};
    }
    qsort(r->lot, r->facts.sources, sizeof r->lot[0], by_lot);
    for (size_t i = 0; i < r->facts.sources; i++)
        if (kept == 0 || r->lot[kept - 1].id != r->lot[i].id)
            r->lot[kept++] = r->lot[i];
    r->facts.lots = kept;
}

/* Milk from batches that were not reached is left out: it is not asked for. */
static void fill_transfers(struct trace_record *r)
{
    size_t kept = 0;
    for (size_t i = 0; i < r->facts.transfers; i++) {
        struct pour_on_row p = r->pour_row[i];
        if (batch_of(r, p.from_batch_id) == NULL || batch_of(r, p.to_batch_id) == NULL)
            continue;
        r->transfer[kept] = (struct trace_transfer){p.from_batch_id, p.to_batch_id, p.at};
        r->pour_row[kept++] = p;
    }
    r->facts.transfers = kept;
}

static int fill_record(struct trace_record *r, struct piles *p, struct fail *f)
{
    r->batch_row = p->batch.rows;
    r->source_row = p->source.rows;
    r->pour_row = p->pour.rows;
    p->batch.rows = p->source.rows = p->pour.rows = NULL; /* the record's own from here on */
    r->batch = calloc(p->batch.count + 1, sizeof *r->batch);
    r->work = calloc(p->batch.count + 1, sizeof *r->work);
    r->lot = calloc(p->source.count + 1, sizeof *r->lot);
    r->source = calloc(p->source.count + 1, sizeof *r->source);
    r->transfer = calloc(p->pour.count + 1, sizeof *r->transfer);
    r->move = calloc(p->move.count + 1, sizeof *r->move);
    if (r->batch == NULL || r->work == NULL || r->lot == NULL || r->source == NULL || r->transfer == NULL ||
        r->move == NULL)
        return fail_memory(f);
    r->facts = (struct trace_facts){.lot = r->lot,
                                    .batch = r->batch,
                                    .batches = p->batch.count,
                                    .source = r->source,
                                    .sources = p->source.count,
                                    .transfer = r->transfer,
                                    .transfers = p->pour.count,
                                    .move = r->move};
    fill_batches(r);
    fill_moves(r, &p->move);
    fill_sources(r, &p->milk);
    fill_transfers(r);
    return trace_check(&r->facts, f);
}

int trace_record_load(struct dairy *d, const struct batch_ids *ids, int reach, struct trace_record *out,
                      struct fail *f)
{
    struct batch_ids all = {0};
    struct piles p = {.batch.size = sizeof(struct batch_row),
                      .source.size = sizeof(struct batch_source_row),
                      .pour.size = sizeof(struct pour_on_row),
                      .move.size = sizeof(struct jar_move_row),
                      .milk.size = sizeof(struct milk_row)};
    int result = 0;
    memset(out, 0, sizeof *out);
    for (size_t i = 0; i < ids->count && result == 0; i++)
        result = ids_add(&all, ids->id[i], f);
    if (result == 0)
        result = reach_out(d, &all, reach, f);
    if (result == 0 && all.count > 0) {
        qsort(all.id, all.count, sizeof all.id[0], by_number);
        result = load_rows(d, &all, &p, f);
    }
    if (result == 0)
        result = load_milk(d, &p, f);
    if (result == 0)
        result = fill_record(out, &p, f);
    free(all.id);
    free(p.batch.rows);
    free(p.source.rows);
    free(p.pour.rows);
    free(p.move.rows);
    free(p.milk.rows);
    return result;
}

void trace_record_release(struct trace_record *r)
{
    free(r->lot);
    free(r->batch);
    free(r->source);
    free(r->transfer);
    free(r->move);
    free(r->work);
    free(r->batch_row);
    free(r->source_row);
    free(r->pour_row);
    memset(r, 0, sizeof *r);
}

/* ---- whose milk, in grams ---- */

enum { MIX_DEPTH_MAX = 8 };

static bool mix_at_depth(const struct trace_record *r, size_t batch, int depth, struct pour_mix *mix)
{
    int64_t id = r->batch[batch].id;
    mix->count = 0;
    for (size_t i = 0; i < r->facts.sources; i++)
        if (r->source[i].batch == id && (r->source_row[i].mass_g == ROW_NONE ||
                                         pour_add(mix, r->source[i].lot, r->source_row[i].mass_g, NULL) != 0))
            return false;
    for (size_t i = 0; i < r->facts.transfers; i++) {
        struct pour_mix from, part;
        const struct pour_on_row *p = &r->pour_row[i];
        if (p->to_batch_id != id)
            continue;
        const struct batch_row *parent = batch_of(r, p->from_batch_id);
        if (depth == 0 || p->mass_g == ROW_NONE ||
            !mix_at_depth(r, (size_t)(parent - r->batch_row), depth - 1, &from))
            return false;
        /* Rounding can leave the last jar a gram short of what was written. */
        int64_t mass_g = p->mass_g < pour_mass_g(&from) ? p->mass_g : pour_mass_g(&from);
        if (pour_take(&from, mass_g, &part, NULL) != 0 || pour_join(mix, &part, NULL) != 0)
            return false;
    }
    return true;
}

bool trace_record_mix(const struct trace_record *r, size_t batch, struct pour_mix *mix)
{
    return mix_at_depth(r, batch, MIX_DEPTH_MAX, mix);
}

/* ---- milk that is not to be kept ---- */

struct hold_shelf {
    struct dairy *dairy;
    struct {
        int64_t cow;
        struct hold_record record;
    } cow[COWS_MAX];
    size_t cows;
};

int hold_shelf_new(struct dairy *d, struct hold_shelf **out, struct fail *f)
{
    *out = calloc(1, sizeof **out);
    if (*out == NULL)
        return fail_memory(f);
    (*out)->dairy = d;
    return 0;
}

void hold_shelf_free(struct hold_shelf *s)
{
    for (size_t i = 0; s != NULL && i < s->cows; i++)
        hold_record_release(&s->cow[i].record);
    free(s);
}

static const struct hold_record *record_of(struct hold_shelf *s, int64_t cow, struct fail *f)
{
    for (size_t i = 0; i < s->cows; i++)
        if (s->cow[i].cow == cow)
            return &s->cow[i].record;
    if (s->cows == COWS_MAX) { /* more cows than a barn has: the last one's place is used again */
        hold_record_release(&s->cow[COWS_MAX - 1].record);
        s->cows--;
    }
    size_t at = s->cows++;
    s->cow[at].cow = cow;
    const struct instant ever = {INT64_MIN + 1}; /* milk of any age may be asked about */
    return hold_record_load(s->dairy, cow, ever, &s->cow[at].record, f) == 0 ? &s->cow[at].record : NULL;
}

int hold_shelf_judge(struct hold_shelf *s, const struct trace_lot *lot, bool *held, char *why, struct fail *f)
{
    struct hold_state state;
    const struct hold_record *record = record_of(s, lot->cow, f);
    if (record == NULL)
        return -1;
    hold_state(&record->facts, lot->at, &state, NULL);
    *held = !state.keep;
    (void)snprintf(why, 160, "%.159s", state.keep ? "" : state.words);
    return 0;
}
