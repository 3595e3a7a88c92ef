#include "core/milk/trace.h"

#include <inttypes.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

/* Bounds of time for what never happened and what never ends. */
static const struct instant never = {INT64_MAX}, before_all = {INT64_MIN}, for_ever = {INT64_MAX};

static const char *const place_words[PLACES] = {
    [PLACE_PAIL] = "pail",     [PLACE_TUB] = "tub",         [PLACE_TABLE] = "table",
    [PLACE_FRIDGE] = "fridge", [PLACE_FREEZER] = "freezer", [PLACE_GIVEN] = "given",
    [PLACE_DUMPED] = "dumped", [PLACE_CALF] = "calf",       [PLACE_PIGS] = "pigs",
    [PLACE_CHEESE] = "cheese", [PLACE_DRUNK] = "drunk",     [PLACE_LOST] = "lost",
    [PLACE_POURED] = "poured",
};

const char *place_word(enum place place)
{
    return place_words[place];
}

int place_parse(const char *text, enum place *out, struct fail *f)
{
    char all[FAIL_TEXT_MAX] = "";
    for (int i = 0; i < PLACES; i++) {
        if (text_same(text, place_words[i])) {
            *out = (enum place)i;
            return 0;
        }
        text_append(all, sizeof all, "%s%s", i == 0 ? "" : ", ", place_words[i]);
    }
    return fail_input(f, "\"%.40s\" is not a place for a jar; there are %s.", text, all);
}

bool place_at_home(enum place place)
{
    return place <= PLACE_FREEZER;
}

/* ---- looking up ---- */

enum { NOT_FOUND = -1 };

_Static_assert(offsetof(struct trace_lot, id) == 0 && offsetof(struct trace_batch, id) == 0 &&
                   offsetof(struct trace_move, batch) == 0,
               "first_from() looks for the id at the beginning of a row");

/* The first of `count` rows, `size` bytes each and each beginning with its id, whose id is not below `id`. */
static size_t first_from(const void *rows, size_t count, size_t size, int64_t id)
{
    size_t low = 0, high = count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        int64_t there;
        memcpy(&there, (const char *)rows + middle * size, sizeof there);
        if (there < id)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static ptrdiff_t batch_index(const struct trace_facts *facts, int64_t id)
{
    size_t i = first_from(facts->batch, facts->batches, sizeof facts->batch[0], id);
    return i < facts->batches && facts->batch[i].id == id ? (ptrdiff_t)i : NOT_FOUND;
}

static ptrdiff_t lot_index(const struct trace_facts *facts, int64_t id)
{
    size_t i = first_from(facts->lot, facts->lots, sizeof facts->lot[0], id);
    return i < facts->lots && facts->lot[i].id == id ? (ptrdiff_t)i : NOT_FOUND;
}

/* The first move of a batch; its moves stand together. */
static size_t first_move(const struct trace_facts *facts, int64_t batch)
{
    return first_from(facts->move, facts->moves, sizeof facts->move[0], batch);
}

/* ---- where the jars of one batch are ---- */

/* Places of one batch at a time: as many as its jars, at most. */
enum { SPOTS_MAX = 128 };

struct spot {
    enum place place;
    int64_t person;
    int count;
    struct instant here_since; /* when the first of them came */
    struct instant home_until; /* up to when milk can have been poured into any of them */
};

struct spots {
    struct spot spot[SPOTS_MAX];
    size_t count;
};

static struct spot *spot_find(struct spots *s, enum place place, int64_t person)
{
    for (size_t i = 0; i < s->count; i++)
        if (s->spot[i].count > 0 && s->spot[i].place == place && s->spot[i].person == person)
            return &s->spot[i];
    return NULL;
}

/* An unused spot: one that has become empty, or a new one; NULL when there is no room. */
static struct spot *spot_free(struct spots *s)
{
    for (size_t i = 0; i < s->count; i++)
        if (s->spot[i].count == 0)
            return &s->spot[i];
    return s->count < SPOTS_MAX ? &s->spot[s->count++] : NULL;
}

/* Jars that left the house take nothing new from then on; jars that come home can be topped up again. Jars
 * that are together cannot be told apart, so the latest bound holds for all of them. */
static int spots_move(struct spots *s, const struct trace_move *m, struct fail *f)
{
    struct spot *from = spot_find(s, m->from, m->from_person), *to = spot_find(s, m->to, m->to_person);
    if (from == NULL || from->count < m->count)
        return fail_refused(f, "Batch %" PRId64 ": %d jars cannot leave \"%s\"; there are %d.", m->batch,
                            m->count, place_word(m->from), from == NULL ? 0 : from->count);
    struct instant until = place_at_home(m->to)     ? for_ever
                           : place_at_home(m->from) ? m->at
                                                    : from->home_until;
    from->count -= m->count;
    if (to == NULL) {
        to = spot_free(s);
        if (to == NULL)
            return fail_refused(f, "Batch %" PRId64 ": its jars are in more than %d places.", m->batch,
                                SPOTS_MAX);
        *to = (struct spot){m->to, m->to_person, 0, m->at, until};
    }
    to->count += m->count;
    if (to->home_until.s < until.s)
        to->home_until = until;
    return 0;
}

static int spots_load(const struct trace_facts *facts, size_t batch, struct spots *s, struct fail *f)
{
    const struct trace_batch *b = &facts->batch[batch];
    struct instant until = place_at_home(b->place) ? for_ever : b->poured_at;
    s->spot[0] = (struct spot){b->place, 0, b->jars, b->poured_at, until};
    s->count = 1;
    for (size_t i = first_move(facts, b->id); i < facts->moves && facts->move[i].batch == b->id; i++)
        if (spots_move(s, &facts->move[i], f) != 0)
            return -1;
    return 0;
}

/* ---- checking ---- */

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
        ptrdiff_t lot = lot_index(facts, s->lot);
        if (lot == NOT_FOUND || batch_index(facts, s->batch) == NOT_FOUND)
            return fail_refused(
                f, "Milk %" PRId64 " is poured into batch %" PRId64 ", but one of them is not there.", s->lot,
                s->batch);
        if (s->at.s < facts->lot[lot].at.s)
            return fail_refused(f, "Milk %" PRId64 " is poured into batch %" PRId64 " before it was milked.",
                                s->lot, s->batch);
    }
    for (size_t i = 0; i < facts->transfers; i++) {
        const struct trace_transfer *t = &facts->transfer[i];
        if (batch_index(facts, t->from) == NOT_FOUND || batch_index(facts, t->to) == NOT_FOUND)
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
        ptrdiff_t batch = batch_index(facts, m->batch);
        if (batch == NOT_FOUND)
            return fail_refused(f, "Jars are moved of batch %" PRId64 ", which is not there.", m->batch);
        if (last != NULL && (last->batch > m->batch || (last->batch == m->batch && last->at.s > m->at.s)))
            return fail_input(f, "Batch %" PRId64 ": its moves are out of order.", m->batch);
        if (m->at.s < facts->batch[batch].poured_at.s)
            return fail_refused(f, "Batch %" PRId64 ": jars are moved before they were filled.", m->batch);
        if (m->count < 1 || (m->from == m->to && m->from_person == m->to_person))
            return fail_refused(f, "Batch %" PRId64 ": a move that moves nothing.", m->batch);
        if ((m->from == PLACE_GIVEN) != (m->from_person != 0) ||
            (m->to == PLACE_GIVEN) != (m->to_person != 0))
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
        if (lot_wanted(&facts->lot[lot_index(facts, s->lot)], q))
            earlier(&since[batch_index(facts, s->batch)], s->at);
    }
    for (bool more = true; more;) {
        more = false;
        for (size_t i = 0; i < facts->transfers; i++) {
            const struct trace_transfer *t = &facts->transfer[i];
            ptrdiff_t from = batch_index(facts, t->from), to = batch_index(facts, t->to);
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
            ptrdiff_t from = batch_index(facts, t->from), to = batch_index(facts, t->to);
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
        if (s->at.s > work[batch_index(facts, s->batch)].s)
            continue;
        if (!add_lot((size_t)lot_index(facts, s->lot), lots, max, count))
            return fail_refused(f, "There are more than %zu milkings of a cow to name.", max);
    }
    return 0;
}

/* ---- in sum ---- */

static bool person_is_new(const struct trace_row *rows, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (rows[k].place == PLACE_GIVEN && rows[k].person == rows[i].person)
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
        text_append(say, 200, " %d at home, set apart;", t->at_home);
    if (t->given > 0)
        text_append(say, 200, " %d with %d %s, call them;", t->given, t->people,
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
        else if (rows[i].place != PLACE_GIVEN)
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
