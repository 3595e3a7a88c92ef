/* Places, looking up, and where the jars of one batch are. */
#include <inttypes.h>
#include <string.h>

#include "core/base/text.h"
#include "core/milk/trace_inside.h"

static const struct instant for_ever = {INT64_MAX};

static const char *const place_words[PLACES] = {
    [AT_PAIL] = "pail",       [AT_TUB] = "tub",       [AT_TABLE] = "table",   [AT_FRIDGE] = "fridge",
    [AT_FREEZER] = "freezer", [AT_GIVEN] = "given",   [AT_DUMPED] = "dumped", [AT_CALF] = "calf",
    [AT_PIGS] = "pigs",       [AT_CHEESE] = "cheese", [AT_DRUNK] = "drunk",   [AT_LOST] = "lost",
    [AT_POURED] = "poured",
};

const char *jar_place_word(enum jar_place place)
{
    return place_words[place];
}

int jar_place_parse(const char *text, enum jar_place *out, struct fail *f)
{
    char all[FAIL_TEXT_MAX] = "";
    for (int i = 0; i < PLACES; i++)
        if (text_same(text, place_words[i])) {
            *out = (enum jar_place)i;
            return 0;
        }
    for (int i = 0; i < PLACES; i++)
        text_append(all, sizeof all, "%s%s", i == 0 ? "" : ", ", place_words[i]);
    return fail_input(f, "\"%.40s\" is not a place for a jar; there are %s.", text, all);
}

bool place_at_home(enum jar_place place)
{
    return place <= AT_FREEZER;
}

/* ---- looking up ---- */

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

ptrdiff_t trace_batch_index(const struct trace_facts *facts, int64_t id)
{
    size_t i = first_from(facts->batch, facts->batches, sizeof facts->batch[0], id);
    return i < facts->batches && facts->batch[i].id == id ? (ptrdiff_t)i : TRACE_NOT_FOUND;
}

ptrdiff_t trace_lot_index(const struct trace_facts *facts, int64_t id)
{
    size_t i = first_from(facts->lot, facts->lots, sizeof facts->lot[0], id);
    return i < facts->lots && facts->lot[i].id == id ? (ptrdiff_t)i : TRACE_NOT_FOUND;
}

/* The first move of a batch; its moves stand together. */
static size_t first_move(const struct trace_facts *facts, int64_t batch)
{
    return first_from(facts->move, facts->moves, sizeof facts->move[0], batch);
}

static struct spot *spot_find(struct spots *s, enum jar_place place, int64_t person)
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
                            m->count, jar_place_word(m->from), from == NULL ? 0 : from->count);
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

int spots_load(const struct trace_facts *facts, size_t batch, struct spots *s, struct fail *f)
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
