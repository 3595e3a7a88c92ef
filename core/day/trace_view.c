#include "core/day/trace_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/trace_lines.h"
#include "core/store/rows_wash.h"

/* Whose milk a line's jars hold, by looking back from them. */
static int fill_cows(const struct trace_record *r, const struct who *w, const struct trace_row *row,
                     struct trace_line *l, struct fail *f)
{
    size_t lots[TRACE_LOTS_MAX], count;
    struct trace_jars jars = {row->batch, row->place, row->person};
    if (trace_back(&r->facts, &jars, r->work, lots, TRACE_LOTS_MAX, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count; i++)
        cow_list_add(l->cows, sizeof l->cows, who_cow(w, r->lot[lots[i]].cow));
    return 0;
}

/* ---- asking ---- */

static int ask_batches(struct dairy *d, const struct trace_ask *ask, struct batch_ids *ids, struct fail *f)
{
    switch (ask->from) {
    case ASK_BATCH:
        return rows_each(d->store, &batch_table, "WHERE id = ?1", (struct bind[]){BIND_ID(ask->id)}, 1,
                         batch_ids_take, ids, f);
    case ASK_MILKING:
        return rows_each(d->store, &batch_table, "WHERE milking_id = ?1", (struct bind[]){BIND_ID(ask->id)},
                         1, batch_ids_take, ids, f);
    case ASK_COW: break;
    }
    /* "+": by the batch, not by the cow, who is in thousands of them. */
    struct bind binds[] = {
        BIND_ID(ask->id),
        {false, instant_known(ask->since) ? ask->since.s : 0, NULL},
        {false, instant_known(ask->until) ? ask->until.s + MILKING_LONGEST_S : INT64_MAX, NULL}};
    return rows_each(d->store, &batch_table,
                     "WHERE poured_at >= ?2 AND poured_at <= ?3 AND EXISTS (SELECT 1 FROM batch_source s "
                     "WHERE s.batch_id = "
                     "batch.id AND +s.cow_id = ?1) ORDER BY poured_at",
                     binds, 3, batch_ids_take, ids, f);
}

static struct trace_query query_of(const struct trace_ask *ask)
{
    static const enum trace_from from[] = {
        [ASK_COW] = TRACE_COW, [ASK_MILKING] = TRACE_MILKING, [ASK_BATCH] = TRACE_BATCH};
    return (struct trace_query){
        .from = from[ask->from], .id = ask->id, .since = ask->since, .until = ask->until};
}

static bool lot_asked(const struct trace_ask *ask, const struct trace_lot *lot)
{
    if (ask->from == ASK_MILKING)
        return lot->milking == ask->id;
    return lot->cow == ask->id && (!instant_known(ask->since) || lot->at.s >= ask->since.s) &&
           (!instant_known(ask->until) || lot->at.s <= ask->until.s);
}

static int add_milk(struct trace_view *v, const struct who *w, struct hold_shelf *holds,
                    const struct trace_lot *lot, double kg, struct fail *f)
{
    if (v->milks == TRACE_LOTS_MAX)
        return 0;
    struct trace_milk *m = &v->milk[v->milks++];
    *m = (struct trace_milk){.cow_id = lot->cow, .at = lot->at, .kg = kg};
    (void)snprintf(m->cow, sizeof m->cow, "%s", who_cow(w, lot->cow));
    return hold_shelf_judge(holds, lot, &m->held, m->why, f);
}

/* Into a batch: whose milk, and how much of it. */
static int fill_milk_back(struct trace_view *v, const struct trace_record *r, const struct who *w,
                          struct hold_shelf *holds, size_t batch, struct fail *f)
{
    size_t lots[TRACE_LOTS_MAX], count;
    struct pour_mix mix;
    struct trace_jars all = {batch, PLACES, 0};
    bool known = trace_record_mix(r, batch, &mix);
    if (trace_back(&r->facts, &all, r->work, lots, TRACE_LOTS_MAX, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count; i++) {
        const struct trace_lot *lot = &r->lot[lots[i]];
        double kg = known ? (double)pour_lot_g(&mix, lot->id) / 1e3 : (double)NAN;
        if (add_milk(v, w, holds, lot, kg, f) != 0)
            return -1;
    }
    return 0;
}

static int fill_milk_asked(struct trace_view *v, const struct trace_record *r, const struct who *w,
                           struct hold_shelf *holds, struct fail *f)
{
    for (size_t i = 0; i < r->facts.lots; i++)
        if (lot_asked(&v->ask, &r->lot[i]) && add_milk(v, w, holds, &r->lot[i], NAN, f) != 0)
            return -1;
    return 0;
}

static int by_time(const void *a, const void *b)
{
    const struct trace_milk *x = a, *y = b;
    return (x->at.s > y->at.s) - (x->at.s < y->at.s);
}

static int fill_trace(struct trace_view *v, const struct trace_record *r, const struct who *w, struct fail *f)
{
    struct trace_query query = query_of(&v->ask);
    size_t room = 0, count = 0;
    for (size_t i = 0; i < r->facts.batches; i++)
        room += (size_t)r->batch[i].jars;
    struct trace_row *rows = calloc(room + 1, sizeof *rows);
    if (rows == NULL)
        return fail_memory(f);
    int result = trace_forward(&r->facts, &query, r->work, rows, room, &count, f);
    if (result == 0)
        trace_sum(rows, count, &v->sum, v->say, NULL);
    v->more = count > TRACE_LINES_MAX;
    for (size_t i = 0; i < count && i < TRACE_LINES_MAX && result == 0; i++) {
        trace_line_fill(r, w, &rows[i], &v->line[v->lines]);
        result = fill_cows(r, w, &rows[i], &v->line[v->lines++], f);
    }
    free(rows);
    trace_lines_sort(v->line, v->lines);
    return result;
}

static void describe(struct trace_view *v, const struct trace_record *r, const struct who *w)
{
    char since[CIVIL_TEXT_MAX], until[CIVIL_TEXT_MAX];
    ptrdiff_t batch;
    switch (v->ask.from) {
    case ASK_COW:
        (void)snprintf(v->about, sizeof v->about, "milk of %s", who_cow(w, v->ask.id));
        if (instant_known(v->ask.since))
            (void)text_append(v->about, sizeof v->about, " from %s",
                              instant_text_near(v->ask.since, v->now, since));
        if (instant_known(v->ask.until))
            (void)text_append(v->about, sizeof v->about, " to %s",
                              instant_text_near(v->ask.until, v->now, until));
        break;
    case ASK_MILKING:
        (void)snprintf(v->about, sizeof v->about, "all milk of one milking");
        if (r->facts.batches > 0)
            (void)snprintf(v->about, sizeof v->about, "milk of the milking of %s",
                           instant_text(r->batch[0].poured_at, since));
        break;
    case ASK_BATCH:
        batch = -1;
        for (size_t i = 0; i < r->facts.batches; i++)
            if (r->batch[i].id == v->ask.id)
                batch = (ptrdiff_t)i;
        (void)snprintf(v->about, sizeof v->about, "batch %s", batch < 0 ? "?" : r->batch_row[batch].code);
        break;
    }
}

static int make_trace(struct dairy *d, const struct batch_ids *ids, struct trace_view *v, struct fail *f)
{
    struct trace_record r;
    struct who w;
    struct hold_shelf *holds = NULL;
    int result = who_load(d, &w, f);
    int reach = v->ask.from == ASK_BATCH ? REACH_FORWARD | REACH_BACK : REACH_FORWARD;
    if (result == 0)
        result = hold_shelf_new(d, &holds, f);
    if (result == 0)
        result = trace_record_load(d, ids, reach, &r, f);
    else
        memset(&r, 0, sizeof r);
    if (result == 0)
        result = fill_trace(v, &r, &w, f);
    for (size_t i = 0; i < r.facts.batches && result == 0 && v->ask.from == ASK_BATCH; i++)
        if (r.batch[i].id == v->ask.id)
            result = fill_milk_back(v, &r, &w, holds, i, f);
    if (result == 0 && v->ask.from != ASK_BATCH)
        result = fill_milk_asked(v, &r, &w, holds, f);
    if (result == 0)
        describe(v, &r, &w);
    qsort(v->milk, v->milks, sizeof v->milk[0], by_time);
    trace_record_release(&r);
    hold_shelf_free(holds);
    who_release(&w);
    return result;
}

int dairy_trace(struct dairy *d, const struct trace_ask *ask, struct instant now, struct trace_view *out,
                struct fail *f)
{
    struct batch_ids ids = {0};
    memset(out, 0, sizeof *out);
    out->now = now;
    out->ask = *ask;
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (store_begin_look(d->store, f) != 0)
        return -1;
    int result = ask_batches(d, ask, &ids, f);
    if (result == 0)
        result = make_trace(d, &ids, out, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    free(ids.id);
    return result;
}

int dairy_find_batch(struct dairy *d, const char *code, struct instant now, int64_t *batch_id, struct fail *f)
{
    struct batch_row batch;
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (find_batch(d, code, now, ROW_NONE, &batch, f) != 0)
        return -1;
    *batch_id = batch.id;
    return 0;
}

static int find_milking(struct dairy *d, struct instant at, int64_t *milking_id, struct fail *f)
{
    struct milking_row m;
    bool found;
    char when[CIVIL_TEXT_MAX];
    if (rows_first(d->store, &milking_table, "WHERE opened_at <= ?1 ORDER BY opened_at DESC LIMIT 1",
                   (struct bind[]){BIND_AT(at)}, 1, &m, &found, f) != 0)
        return -1;
    if (!found)
        return fail_refused(f, "There was no milking at or before %s.", instant_text(at, when));
    *milking_id = m.id;
    return 0;
}

const struct field trace_fields[] = {
    {"batch", FIELD_NAME, 0, 0, NULL, "batch", "a code, as on the tape"},
    {"cow", FIELD_NAME, 0, 0, NULL, "or cow", "whose milk"},
    {"since", FIELD_MOMENT, 0, 0, NULL, "since", "milked from then on; the last week if not given"},
    {"until", FIELD_MOMENT, 0, 0, NULL, "until", "milked until then"},
    {"milking", FIELD_MOMENT, 0, 0, NULL, "or milking", "the one under way then, as 2026-05-03T07:00"},
    {"sample", FIELD_NAME, 0, 0, NULL, "or sample", "what stands on a sample for the laboratory"},
};
const size_t trace_field_count = sizeof trace_fields / sizeof trace_fields[0];

/* A week is what a treatment mostly reaches back to. */
enum { ASK_USUAL_S = 7 * 86400 };

static int ask_cow_read(struct dairy *d, const struct form *form, struct instant now, struct trace_ask *out,
                        struct fail *f)
{
    const struct value *since = form_get(form, "since"), *until = form_get(form, "until");
    struct cow_row cow;
    if (find_cow(d, form_text(form, "cow", ""), &cow, f) != 0)
        return -1;
    out->from = ASK_COW;
    out->id = cow.id;
    out->until = until != NULL ? until->at : now;
    out->since = since != NULL ? since->at : (struct instant){out->until.s - ASK_USUAL_S};
    return out->since.s <= out->until.s ? 0 : fail_input(f, "until: that is before since.");
}

/* A sample is of a batch's jars, of one cow's milk of that milking, or of all of it. */
static int ask_sample_read(struct dairy *d, const char *name, struct trace_ask *out, struct fail *f)
{
    struct lab_sample_row sample;
    struct milking_row milking;
    int64_t milking_id;
    bool found;
    if (rows_first(d->store, &lab_sample_table, "WHERE name = ?1 COLLATE NOCASE",
                   (struct bind[]){BIND_TEXT(name)}, 1, &sample, &found, f) != 0)
        return -1;
    if (!found)
        return fail_refused(f, "There is no sample \"%.32s\".", name);
    if (strcmp(sample.of, "milk") != 0)
        return fail_refused(f, "Sample %s is of water: no jar holds it.", sample.name);
    out->from = ASK_BATCH;
    out->id = sample.batch_id;
    if (sample.batch_id != ROW_NONE)
        return 0;
    if (find_milking(d, sample.drawn_at, &milking_id, f) != 0)
        return -1;
    out->from = ASK_MILKING;
    out->id = milking_id;
    if (sample.cow_id == ROW_NONE)
        return 0;
    if (row_load(d->store, &milking_table, milking_id, &milking, f) != 0)
        return -1;
    *out = (struct trace_ask){ASK_COW, sample.cow_id, milking.opened_at, sample.drawn_at};
    return 0;
}

int trace_ask_read(struct dairy *d, const struct form *form, struct instant now, struct trace_ask *out,
                   struct fail *f)
{
    const struct value *batch = form_get(form, "batch"), *cow = form_get(form, "cow"),
                       *milking = form_get(form, "milking"), *sample = form_get(form, "sample");
    *out = (struct trace_ask){.since = INSTANT_NONE, .until = INSTANT_NONE};
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if ((batch != NULL) + (cow != NULL) + (milking != NULL) + (sample != NULL) != 1)
        return fail_input(f, "Ask from one thing: batch=, cow=, milking= or sample=.");
    if (batch != NULL) {
        out->from = ASK_BATCH;
        return dairy_find_batch(d, batch->text, now, &out->id, f);
    }
    if (cow != NULL)
        return ask_cow_read(d, form, now, out, f);
    if (sample != NULL)
        return ask_sample_read(d, sample->text, out, f);
    out->from = ASK_MILKING;
    return find_milking(d, milking->at, &out->id, f);
}
