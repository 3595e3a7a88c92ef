/* Forward and back. */
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/milk/trace_inside.h"

/* Bounds of time for what never happened. */
static const struct instant never = {INT64_MAX}, before_all = {INT64_MIN};

/* ---- forward ---- */

static bool lot_wanted(const struct trace_lot *lot, const struct trace_query *q)
{
    switch (q->from) {
    case TRACE_COW:
        return lot->cow == q->id && (!instant_known(q->since) || lot->at.s >= q->since.s) &&
               (!instant_known(q->until) || lot->at.s <= q->until.s);
    case TRACE_MILKING: return lot->milking == q->id;
    case TRACE_LOT: return lot->id == q->id;
    case TRACE_BATCH: break;
    }
    return false;
}

static void earlier(struct instant *t, struct instant at)
{
    if (at.s < t->s)
        *t = at;
}

/* since[b]: when milk of the query first reached batch b, or never. */
static void reach_forward(const struct trace_facts *facts, const struct trace_query *q, struct instant *since)
{
    for (size_t i = 0; i < facts->batches; i++) {
        bool asked = q->from == TRACE_BATCH && facts->batch[i].id == q->id;
        since[i] = asked ? facts->batch[i].poured_at : never;
    }
    for (size_t i = 0; i < facts->sources; i++) {
        const struct trace_source *s = &facts->source[i];
        if (lot_wanted(&facts->lot[trace_lot_index(facts, s->lot)], q))
            earlier(&since[trace_batch_index(facts, s->batch)], s->at);
    }
    for (bool more = true; more;) {
        more = false;
        for (size_t i = 0; i < facts->transfers; i++) {
            const struct trace_transfer *t = &facts->transfer[i];
            ptrdiff_t from = trace_batch_index(facts, t->from), to = trace_batch_index(facts, t->to);
            if (since[from].s <= t->at.s && t->at.s < since[to].s) {
                since[to] = t->at;
                more = true;
            }
        }
    }
}

/* Adds the places of one batch whose jars can hold what reached it at `since`. */
static int add_rows(const struct trace_facts *facts, size_t batch, struct instant since,
                    struct trace_row *rows, size_t max, size_t *count, struct fail *f)
{
    struct spots spots;
    if (spots_load(facts, batch, &spots, f) != 0)
        return -1;
    for (size_t i = 0; i < spots.count; i++) {
        const struct spot *s = &spots.spot[i];
        if (s->count == 0 || s->home_until.s < since.s)
            continue;
        if (*count == max)
            return fail_refused(f, "There are more than %zu places with jars to name.", max);
        rows[(*count)++] = (struct trace_row){batch, s->place, s->person, s->count, s->here_since, since};
    }
    return 0;
}

int trace_forward(const struct trace_facts *facts, const struct trace_query *query, struct instant *work,
                  struct trace_row *rows, size_t max, size_t *count, struct fail *f)
{
    *count = 0;
    reach_forward(facts, query, work);
    for (size_t i = 0; i < facts->batches; i++)
        if (work[i].s != never.s && add_rows(facts, i, work[i], rows, max, count, f) != 0)
            return -1;
    return 0;
}

int trace_where(const struct trace_facts *facts, size_t batch, struct trace_row *rows, size_t max,
                size_t *count, struct fail *f)
{
    *count = 0;
    return add_rows(facts, batch, facts->batch[batch].poured_at, rows, max, count, f);
}

/* ---- back ---- */

/* until[b]: up to when milk poured into batch b can be in the jars asked for, or before_all. */
static void reach_back(const struct trace_facts *facts, size_t batch, struct instant last,
                       struct instant *until)
{
    for (size_t i = 0; i < facts->batches; i++)
        until[i] = before_all;
    until[batch] = last;
    for (bool more = true; more;) {
        more = false;
        for (size_t i = 0; i < facts->transfers; i++) {
            const struct trace_transfer *t = &facts->transfer[i];
            ptrdiff_t from = trace_batch_index(facts, t->from), to = trace_batch_index(facts, t->to);
            if (t->at.s <= until[to].s && t->at.s > until[from].s) {
                until[from] = t->at;
                more = true;
            }
        }
    }
}

/* Puts an index into the rising list once. False when there is no room. */
static bool add_lot(size_t lot, size_t *lots, size_t max, size_t *count)
{
    size_t at = *count;
    while (at > 0 && lots[at - 1] > lot)
        at--;
    if (at > 0 && lots[at - 1] == lot)
        return true;
    if (*count == max)
        return false;
    memmove(&lots[at + 1], &lots[at], (*count - at) * sizeof lots[0]);
    lots[at] = lot;
    (*count)++;
    return true;
}

int trace_back(const struct trace_facts *facts, const struct trace_jars *jars, struct instant *work,
               size_t *lots, size_t max, size_t *count, struct fail *f)
{
    struct spots spots;
    struct instant last = before_all;
    *count = 0;
    if (spots_load(facts, jars->batch, &spots, f) != 0)
        return -1;
    for (size_t i = 0; i < spots.count; i++) {
        const struct spot *s = &spots.spot[i];
        bool asked = jars->place == PLACES || (s->place == jars->place && s->person == jars->person);
        if (s->count > 0 && asked && s->home_until.s > last.s)
            last = s->home_until;
    }
    reach_back(facts, jars->batch, last, work);
    for (size_t i = 0; i < facts->sources; i++) {
        const struct trace_source *s = &facts->source[i];
        if (s->at.s > work[trace_batch_index(facts, s->batch)].s)
            continue;
        if (!add_lot((size_t)trace_lot_index(facts, s->lot), lots, max, count))
            return fail_refused(f, "There are more than %zu milkings of a cow to name.", max);
    }
    return 0;
}

/* ---- in sum ---- */

static bool person_is_new(const struct trace_row *rows, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (rows[k].place == AT_GIVEN && rows[k].person == rows[i].person)
            return false;
    return true;
}

static void sum_say(const struct trace_sum *t, char say[static 200])
{
    if (t->jars == 0) {
        (void)snprintf(say, 200, "No jars carry that milk.");
        return;
    }
    (void)snprintf(say, 200, "%d %s:", t->jars, t->jars == 1 ? "jar" : "jars");
    if (t->at_home > 0)
        text_append(say, 200, " %d at home;", t->at_home);
    if (t->given > 0)
        text_append(say, 200, " %d with %d %s;", t->given, t->people,
                    t->people == 1 ? "person" : "people");
    if (t->gone > 0)
        text_append(say, 200, " %d gone already;", t->gone);
    say[strlen(say) - 1] = '.';
}

void trace_sum(const struct trace_row *rows, size_t count, struct trace_sum *out, char say[static 200],
               struct working *w)
{
    struct trace_sum t = {0};
    for (size_t i = 0; i < count; i++) {
        t.jars += rows[i].count;
        if (place_at_home(rows[i].place))
            t.at_home += rows[i].count;
        else if (rows[i].place != AT_GIVEN)
            t.gone += rows[i].count;
        else {
            t.given += rows[i].count;
            t.people += person_is_new(rows, i) ? 1 : 0;
        }
    }
    *out = t;
    sum_say(&t, say);
    working_result_whole(w, "jars", t.jars);
    working_result_whole(w, "jars_at_home", t.at_home);
    working_result_whole(w, "jars_given", t.given);
    working_result_whole(w, "people", t.people);
    working_result_whole(w, "jars_gone", t.gone);
    working_step(w, "%s", say);
}
