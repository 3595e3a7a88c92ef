/* Trace, first on a few mornings worked out by hand, then on random ones played out jar by jar: there every
 * jar is a thing that remembers whose milk went into it, while the trace knows only counts. */
#include "core/milk/trace.h"
#include "tests/support.h"

enum { ADA = 1, BO = 2, CY = 3 };

/* ---- by hand ---- */

/* Two mornings. Monday (milking 10): Maud's lot 100 and Tib's lot 101 are pooled into batch 1 (4 jars);
 * Tuesday (milking 11): Maud's lot 102 alone into batch 2 (2 jars). A jar of batch 1 tops batch 2 up on
 * Tuesday, after one jar of batch 2 has gone to Bo. */
static const struct trace_lot lots[] = {
    {100, 1, 10, {1000}},
    {101, 2, 10, {1010}},
    {102, 1, 11, {2000}},
};
static const struct trace_batch batches[] = {
    {1, {1100}, AT_TUB, 4},
    {2, {2100}, AT_PAIL, 2},
};
static const struct trace_source sources[] = {
    {2, 102, {2100}},
    {1, 100, {1100}},
    {1, 101, {1100}},
};
static const struct trace_transfer transfers[] = {
    {1, 2, {2500}},
};
static const struct trace_move moves[] = {
    {1, {1200}, AT_TUB, AT_FRIDGE, 0, 0, 4},    {1, {1300}, AT_FRIDGE, AT_GIVEN, 0, ADA, 1},
    {1, {2500}, AT_FRIDGE, AT_POURED, 0, 0, 1}, {1, {2600}, AT_FRIDGE, AT_DRUNK, 0, 0, 1},
    {2, {2150}, AT_PAIL, AT_TUB, 0, 0, 2},      {2, {2200}, AT_TUB, AT_GIVEN, 0, BO, 1},
    {2, {2300}, AT_TUB, AT_FRIDGE, 0, 0, 1},
};
static const struct trace_facts two_mornings = {lots, 3, batches, 2, sources, 3, transfers, 1, moves, 7};

static size_t forward(const struct trace_facts *facts, enum trace_from from, int64_t id,
                      struct trace_row rows[64])
{
    struct instant work[64];
    size_t count;
    struct fail f = {0};
    struct trace_query q = {from, id, INSTANT_NONE, INSTANT_NONE};
    if (trace_forward(facts, &q, work, rows, 64, &count, &f) != 0)
        ck_abort_msg("%s", f.text);
    return count;
}

static int jars_at(const struct trace_row *rows, size_t count, size_t batch, enum jar_place place,
                   int64_t person)
{
    for (size_t i = 0; i < count; i++)
        if (rows[i].batch == batch && rows[i].place == place && rows[i].person == person)
            return rows[i].count;
    return 0;
}

START_TEST(from_a_cow_to_every_jar_by_place_and_person)
{
    struct trace_row rows[64];
    ck_assert_int_eq(trace_check(&two_mornings, NULL), 0);
    size_t n =
        forward(&two_mornings, TRACE_COW, 2, rows); /* Tib: all of batch 1, and batch 2 after the top-up */
    ck_assert_int_eq(n, 5);
    ck_assert_int_eq(jars_at(rows, n, 0, AT_FRIDGE, 0), 1);
    ck_assert_int_eq(jars_at(rows, n, 0, AT_GIVEN, ADA), 1);
    ck_assert_int_eq(jars_at(rows, n, 0, AT_POURED, 0), 1);
    ck_assert_int_eq(jars_at(rows, n, 0, AT_DRUNK, 0), 1);
    ck_assert_int_eq(jars_at(rows, n, 1, AT_FRIDGE, 0), 1);
    ck_assert_int_eq(jars_at(rows, n, 1, AT_GIVEN, BO), 0); /* it had left before */
    ck_assert_int_eq(rows[0].carries_since.s, 1100);
    ck_assert_int_eq(rows[4].carries_since.s, 2500);
    ck_assert_int_eq(rows[4].here_since.s, 2300);
    n = forward(&two_mornings, TRACE_COW, 1, rows); /* Maud: everything */
    ck_assert_int_eq(jars_at(rows, n, 1, AT_GIVEN, BO), 1);
    ck_assert_int_eq(n, 6);
    ck_assert_int_eq(forward(&two_mornings, TRACE_COW, 99, rows), 0);
}
END_TEST

START_TEST(from_a_milking_a_lot_and_a_batch)
{
    struct trace_row rows[64];
    ck_assert_int_eq(forward(&two_mornings, TRACE_MILKING, 11, rows), 2); /* batch 2: fridge and Bo */
    ck_assert_int_eq(forward(&two_mornings, TRACE_MILKING, 10, rows), 5);
    ck_assert_int_eq(forward(&two_mornings, TRACE_LOT, 102, rows), 2);
    ck_assert_int_eq(forward(&two_mornings, TRACE_BATCH, 2, rows), 2);
    ck_assert_int_eq(forward(&two_mornings, TRACE_BATCH, 1, rows), 5);
    ck_assert_int_eq(forward(&two_mornings, TRACE_BATCH, 3, rows), 0);
}
END_TEST

/* A hold typed late: her milk of that span, at both ends included. */
START_TEST(a_late_hold_finds_the_jars_of_its_span)
{
    static const struct {
        int64_t since, until;
        int jars;
    } rows[] = {
        {INT64_MIN, INT64_MIN, 6}, {1500, INT64_MIN, 2}, {2000, 2000, 2},
        {2001, INT64_MIN, 0},      {INT64_MIN, 1000, 5}, /* batch 1, and the jar of batch 2 that it topped up
                                                          */
        {INT64_MIN, 999, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct trace_query q = {TRACE_COW, 1, {rows[i].since}, {rows[i].until}};
        struct trace_row found[64];
        struct instant work[2];
        struct trace_sum sum;
        char say[200];
        size_t n;
        ck_assert_int_eq(trace_forward(&two_mornings, &q, work, found, 64, &n, NULL), 0);
        trace_sum(found, n, &sum, say, NULL);
        ck_assert_msg(sum.jars == rows[i].jars, "row %zu: %s", i, say);
    }
}
END_TEST

START_TEST(from_a_jar_back_to_the_cows)
{
    static const struct {
        struct trace_jars jars;
        size_t n, lot[3];
    } rows[] = {
        {{0, PLACES, 0}, 2, {0, 1}},       {{0, AT_GIVEN, ADA}, 2, {0, 1}},
        {{1, AT_FRIDGE, 0}, 3, {0, 1, 2}}, {{1, AT_GIVEN, BO}, 1, {2}},
        {{1, PLACES, 0}, 3, {0, 1, 2}},    {{1, AT_GIVEN, ADA}, 0, {0}}, /* she has none of it */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct instant work[2];
        size_t found[3], n;
        ck_assert_int_eq(trace_back(&two_mornings, &rows[i].jars, work, found, 3, &n, NULL), 0);
        ck_assert_msg(n == rows[i].n, "row %zu: %zu lots", i, n);
        for (size_t k = 0; k < n; k++)
            ck_assert_int_eq(found[k], rows[i].lot[k]);
    }
    struct instant work[2];
    size_t found[2], n;
    struct fail f = {0};
    ck_assert_int_eq(trace_back(&two_mornings, &rows[2].jars, work, found, 2, &n, &f), -1);
    ck_assert_int_eq((int)f.code, FAIL_REFUSED);
}
END_TEST

/* Bo got two jars of one code, one before a top-up and one after: nobody can tell which is which, so both are
 * named. */
START_TEST(jars_that_cannot_be_told_apart_are_all_named)
{
    static const struct trace_move some[] = {
        {1, {1200}, AT_TUB, AT_GIVEN, 0, BO, 1},
        {1, {1300}, AT_TUB, AT_GIVEN, 0, CY, 1},
        {1, {2600}, AT_TUB, AT_GIVEN, 0, BO, 1},
        {1, {2700}, AT_GIVEN, AT_LOST, BO, 0, 1},
    };
    static const struct trace_source late[] = {
        {1, 100, {1100}},
        {1, 102, {2500}},
    };
    struct trace_facts facts = {lots, 3, batches, 1, late, 2, NULL, 0, some, 4};
    struct trace_row rows[64];
    ck_assert_int_eq(trace_check(&facts, NULL), 0);
    size_t n = forward(&facts, TRACE_LOT, 102, rows);
    ck_assert_int_eq(n, 3);
    ck_assert_int_eq(jars_at(rows, n, 0, AT_GIVEN, BO), 1);
    ck_assert_int_eq(jars_at(rows, n, 0, AT_LOST, 0), 1);
    ck_assert_int_eq(jars_at(rows, n, 0, AT_TUB, 0), 1);
    ck_assert_int_eq(jars_at(rows, n, 0, AT_GIVEN, CY), 0);
}
END_TEST

START_TEST(a_sum_says_what_can_still_be_done)
{
    struct trace_row rows[64];
    struct trace_sum sum;
    struct working w;
    char say[200];
    working_init(&w, "trace");
    trace_sum(rows, forward(&two_mornings, TRACE_COW, 1, rows), &sum, say, &w);
    ck_assert_str_eq(say, "6 jars: 2 at home; 2 with 2 people; 2 gone already.");
    ck_assert(sum.jars == 6 && sum.at_home == 2 && sum.given == 2 && sum.people == 2 && sum.gone == 2);
    ck_assert(working_find(&w, "jars_given", -1)->number == 2);
    trace_sum(rows, forward(&two_mornings, TRACE_LOT, 102, rows), &sum, say, NULL);
    ck_assert_str_eq(say, "2 jars: 1 at home; 1 with 1 person.");
    struct trace_row home = {0}, *only = NULL;
    size_t all = forward(&two_mornings, TRACE_LOT, 102, rows);
    for (size_t i = 0; i < all && only == NULL; i++) {
        trace_sum(&rows[i], 1, &sum, say, NULL);
        if (sum.at_home == 1 && sum.given == 0 && sum.gone == 0) {
            home = rows[i];
            only = &home;
        }
    }
    ck_assert(only != NULL);
    trace_sum(only, 1, &sum, say, NULL);
    ck_assert_str_eq(say, "1 jar: 1 at home."); /* nobody has any, so nobody is named */
    trace_sum(rows, 0, &sum, say, NULL);
    ck_assert_str_eq(say, "No jars carry that milk.");
}
END_TEST

START_TEST(places_have_words_that_read_back)
{
    for (int i = 0; i < PLACES; i++) {
        enum jar_place back;
        ck_assert_int_eq(jar_place_parse(jar_place_word((enum jar_place)i), &back, NULL), 0);
        ck_assert_int_eq((int)back, i);
    }
    struct fail f = {0};
    enum jar_place p;
    ck_assert_int_eq(jar_place_parse("attic", &p, &f), -1);
    ck_assert(strstr(f.text, "fridge, freezer, given") != NULL);
    ck_assert(place_at_home(AT_FREEZER) && place_at_home(AT_PAIL) && !place_at_home(AT_GIVEN) &&
              !place_at_home(AT_POURED));
}
END_TEST

START_TEST(facts_that_cannot_be_are_refused)
{
    static const struct trace_lot lot[] = {{1, 1, 1, {100}}, {2, 1, 1, {200}}};
    static const struct trace_lot twice[] = {{2, 1, 1, {100}}, {2, 1, 1, {200}}};
    static const struct trace_batch batch[] = {{1, {100}, AT_TUB, 2}, {2, {100}, AT_TUB, 2}};
    static const struct trace_batch fewer[] = {{1, {100}, AT_TUB, -1}};
    static const struct trace_source early[] = {{1, 2, {150}}};
    static const struct trace_source nowhere[] = {{3, 1, {150}}};
    static const struct trace_transfer self[] = {{1, 1, {150}}};
    static const struct trace_transfer gone[] = {{1, 3, {150}}};
    static const struct trace_move many[] = {{1, {150}, AT_TUB, AT_FRIDGE, 0, 0, 3}};
    static const struct trace_move stays[] = {{1, {150}, AT_TUB, AT_TUB, 0, 0, 1}};
    static const struct trace_move nobody[] = {{1, {150}, AT_TUB, AT_GIVEN, 0, 0, 1}};
    static const struct trace_move early_move[] = {{1, {50}, AT_TUB, AT_FRIDGE, 0, 0, 1}};
    static const struct trace_move order[] = {{1, {160}, AT_TUB, AT_FRIDGE, 0, 0, 1},
                                              {1, {150}, AT_TUB, AT_FRIDGE, 0, 0, 1}};
    static const struct trace_move strange[] = {{7, {160}, AT_TUB, AT_FRIDGE, 0, 0, 1}};
    static const struct {
        struct trace_facts facts;
        const char *line;
    } rows[] = {
        {{twice, 2, batch, 2, NULL, 0, NULL, 0, NULL, 0}, "Milk 2 is out of order or there twice."},
        {{lot, 2, fewer, 1, NULL, 0, NULL, 0, NULL, 0}, "Batch 1 cannot have fewer than no jars."},
        {{lot, 2, batch, 2, early, 1, NULL, 0, NULL, 0},
         "Milk 2 is poured into batch 1 before it was milked."},
        {{lot, 2, batch, 2, nowhere, 1, NULL, 0, NULL, 0},
         "Milk 1 is poured into batch 3, but one of them is not there."},
        {{lot, 2, batch, 2, NULL, 0, self, 1, NULL, 0}, "Batch 1 cannot be poured into itself."},
        {{lot, 2, batch, 2, NULL, 0, gone, 1, NULL, 0},
         "Batch 1 is poured into batch 3, but one of them is not there."},
        {{lot, 2, batch, 2, NULL, 0, NULL, 0, many, 1}, "Batch 1: 3 jars cannot leave \"tub\"; there are 2."},
        {{lot, 2, batch, 2, NULL, 0, NULL, 0, stays, 1}, "Batch 1: a move that moves nothing."},
        {{lot, 2, batch, 2, NULL, 0, NULL, 0, nobody, 1},
         "Batch 1: jars are given to a person, and to nothing else."},
        {{lot, 2, batch, 2, NULL, 0, NULL, 0, early_move, 1},
         "Batch 1: jars are moved before they were filled."},
        {{lot, 2, batch, 2, NULL, 0, NULL, 0, order, 2}, "Batch 1: its moves are out of order."},
        {{lot, 2, batch, 2, NULL, 0, NULL, 0, strange, 1}, "Jars are moved of batch 7, which is not there."},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fail f = {0};
        ck_assert_msg(trace_check(&rows[i].facts, &f) == -1, "row %zu", i);
        ck_assert_str_eq(f.text, rows[i].line);
    }
}
END_TEST

/* ---- random mornings ---- */

enum { BATCHES = 8, LOTS = 12, JARS = 4, EVENTS = 40, PEOPLE = 2 };

/* Everything that happened, in the order in which it happened. */
struct event {
    enum { POUR_IN, POUR_ON, MOVE } kind;
    struct trace_source source;
    struct trace_transfer transfer;
    struct trace_move move;
};

struct world {
    struct trace_lot lot[LOTS];
    struct trace_batch batch[BATCHES];
    size_t lots, batches;
    struct event event[EVENTS + LOTS * BATCHES];
    size_t events;
    int64_t now;
    /* the same as the trace wants it */
    struct trace_source source[EVENTS + LOTS * BATCHES];
    struct trace_transfer transfer[EVENTS];
    struct trace_move move[EVENTS];
    struct trace_facts facts;
};

static int by_batch_and_time(const void *a, const void *b)
{
    const struct trace_move *x = a, *y = b;
    if (x->batch != y->batch)
        return x->batch < y->batch ? -1 : 1;
    return (x->at.s > y->at.s) - (x->at.s < y->at.s);
}

static void world_sort(struct world *w)
{
    w->facts =
        (struct trace_facts){w->lot, w->lots, w->batch, w->batches, w->source, 0, w->transfer, 0, w->move, 0};
    for (size_t i = 0; i < w->events; i++) {
        const struct event *e = &w->event[i];
        if (e->kind == POUR_IN)
            w->source[w->facts.sources++] = e->source;
        else if (e->kind == POUR_ON)
            w->transfer[w->facts.transfers++] = e->transfer;
        else
            w->move[w->facts.moves++] = e->move;
    }
    qsort(w->move, w->facts.moves, sizeof w->move[0], by_batch_and_time);
    struct fail f = {0};
    if (trace_check(&w->facts, &f) != 0)
        ck_abort_msg("%s", f.text);
}

static void world_morning(struct world *w, struct stream *s)
{
    size_t first = w->lots;
    for (int cow = 1 + stream_below(s, 2); cow <= 3 && w->lots < LOTS; cow++, w->lots++)
        w->lot[w->lots] = (struct trace_lot){(int64_t)(10 + 3 * w->lots), cow, w->now, {w->now}};
    for (int k = 1 + stream_below(s, 2); k > 0 && w->batches < BATCHES; k--, w->batches++) {
        int64_t id = (int64_t)(5 + 2 * w->batches);
        w->batch[w->batches] = (struct trace_batch){id, {w->now}, AT_TUB, 1 + stream_below(s, JARS)};
        for (size_t i = first; i < w->lots; i++)
            if (stream_below(s, 3) > 0)
                w->event[w->events++] =
                    (struct event){.kind = POUR_IN, .source = {id, w->lot[i].id, {w->now}}};
    }
}

/* Rows of one batch, as the trace has them. */
static size_t where(const struct world *w, size_t batch, struct trace_row rows[JARS])
{
    size_t n;
    if (trace_where(&w->facts, batch, rows, JARS, &n, NULL) != 0)
        ck_abort_msg("batch %zu cannot be found", batch);
    return n;
}

static bool any_at_home(const struct world *w, size_t batch)
{
    struct trace_row rows[JARS];
    size_t n = where(w, batch, rows);
    for (size_t i = 0; i < n; i++)
        if (place_at_home(rows[i].place))
            return true;
    return false;
}

/* Moves some jars. `returns`: even what was drunk may stand in the fridge again (a wrong entry put right, a
 * jar brought back full). */
static void world_move(struct world *w, struct stream *s, bool returns)
{
    struct trace_row rows[JARS];
    size_t batch = (size_t)stream_below(s, (int)w->batches), n = where(w, batch, rows);
    const struct trace_row *from = &rows[stream_below(s, (int)n)];
    enum jar_place to = (enum jar_place)stream_below(s, PLACES);
    int64_t person = to == AT_GIVEN ? 1 + stream_below(s, PEOPLE) : 0;
    if ((to == from->place && person == from->person) ||
        (!returns && place_at_home(to) && !place_at_home(from->place)))
        return;
    w->event[w->events++] = (struct event){.kind = MOVE,
                                           .move = {w->batch[batch].id,
                                                    {w->now},
                                                    from->place,
                                                    to,
                                                    from->person,
                                                    person,
                                                    1 + stream_below(s, from->count)}};
}

static void world_pour(struct world *w, struct stream *s)
{
    size_t from = (size_t)stream_below(s, (int)w->batches), to = (size_t)stream_below(s, (int)w->batches);
    if (!any_at_home(w, to))
        return;
    if (stream_below(s, 3) == 0) {
        int64_t lot = w->lot[stream_below(s, (int)w->lots)].id;
        w->event[w->events++] = (struct event){.kind = POUR_IN, .source = {w->batch[to].id, lot, {w->now}}};
    } else if (from != to && any_at_home(w, from))
        w->event[w->events++] =
            (struct event){.kind = POUR_ON, .transfer = {w->batch[from].id, w->batch[to].id, {w->now}}};
}

/* A few days. With `ties`, several things can happen in one second. */
static void world_make(struct world *w, struct stream *s, int steps, bool ties, bool returns)
{
    memset(w, 0, sizeof *w);
    w->now = 1000;
    for (int i = 0; i < steps; i++) {
        w->now += ties ? stream_below(s, 2) : 1;
        if (i == 0 || stream_below(s, 8) == 0)
            world_morning(w, s);
        else if (stream_below(s, 3) > 0)
            world_move(w, s, returns);
        else
            world_pour(w, s);
        world_sort(w);
    }
}

/* One way in which it may have happened: every jar a thing of its own, with the lots that went into it. */
struct jar {
    enum jar_place place;
    int64_t person;
    bool holds[LOTS];
};

struct play {
    struct jar jar[BATCHES][JARS];
};

static size_t batch_of(const struct world *w, int64_t id)
{
    size_t i = 0;
    while (w->batch[i].id != id)
        i++;
    return i;
}

static size_t lot_of(const struct world *w, int64_t id)
{
    size_t i = 0;
    while (w->lot[i].id != id)
        i++;
    return i;
}

/* A jar of the batch that stands in the keeper's hands, at random; -1 if there is none. */
static int jar_at_home(const struct world *w, const struct play *p, size_t batch, struct stream *s)
{
    int found = -1, seen = 0;
    for (int i = 0; i < w->batch[batch].jars; i++)
        if (place_at_home(p->jar[batch][i].place) && stream_below(s, ++seen) == 0)
            found = i;
    return found;
}

static void play_pour(const struct world *w, struct play *p, size_t batch, const bool milk[LOTS], bool all,
                      struct stream *s)
{
    int sure = jar_at_home(w, p, batch, s);
    for (int i = 0; i < w->batch[batch].jars; i++) {
        struct jar *jar = &p->jar[batch][i];
        if (place_at_home(jar->place) && (all || i == sure || stream_below(s, 2) == 0))
            for (int k = 0; k < LOTS; k++)
                jar->holds[k] = jar->holds[k] || milk[k];
    }
}

static void play_move(const struct world *w, struct play *p, const struct trace_move *m, struct stream *s)
{
    size_t batch = batch_of(w, m->batch);
    int there = 0, left = m->count;
    for (int i = 0; i < w->batch[batch].jars; i++)
        there += p->jar[batch][i].place == m->from && p->jar[batch][i].person == m->from_person;
    for (int i = 0; i < w->batch[batch].jars; i++) {
        struct jar *jar = &p->jar[batch][i];
        if (jar->place != m->from || jar->person != m->from_person)
            continue;
        if (stream_below(s, there--) < left) {
            jar->place = m->to;
            jar->person = m->to_person;
            left--;
        }
    }
}

static void play_out(const struct world *w, struct play *p, struct stream *s)
{
    memset(p, 0, sizeof *p);
    for (size_t b = 0; b < w->batches; b++)
        for (int i = 0; i < JARS; i++)
            p->jar[b][i].place = w->batch[b].place;
    for (size_t i = 0; i < w->events; i++) {
        const struct event *e = &w->event[i];
        bool milk[LOTS] = {false};
        if (e->kind == MOVE)
            play_move(w, p, &e->move, s);
        else if (e->kind == POUR_IN) {
            size_t batch = batch_of(w, e->source.batch);
            milk[lot_of(w, e->source.lot)] = true;
            play_pour(w, p, batch, milk, e->source.at.s == w->batch[batch].poured_at.s, s);
        } else {
            size_t from = batch_of(w, e->transfer.from);
            int jar = jar_at_home(w, p, from, s);
            memcpy(milk, p->jar[from][jar].holds, sizeof milk);
            play_pour(w, p, batch_of(w, e->transfer.to), milk, false, s);
        }
    }
}

/* Lots that the trace finds behind jars of one spot. */
static void lots_behind(const struct world *w, const struct trace_row *row, bool found[LOTS])
{
    struct instant work[BATCHES];
    struct trace_jars jars = {row->batch, row->place, row->person};
    size_t list[LOTS], n;
    memset(found, 0, LOTS * sizeof found[0]);
    if (trace_back(&w->facts, &jars, work, list, LOTS, &n, NULL) != 0)
        ck_abort_msg("trace back failed");
    for (size_t i = 0; i < n; i++) {
        if (i > 0 && list[i] <= list[i - 1])
            ck_abort_msg("lots are not in rising order");
        found[list[i]] = true;
    }
}

START_TEST(forward_and_back_are_inverse_to_each_other)
{
    struct stream s = {.state = 81};
    static struct world w;
    int pairs = 0, linked = 0;
    for (int trial = 0; trial < 1500; trial++) {
        world_make(&w, &s, EVENTS, trial % 2 == 0, true);
        for (size_t lot = 0; lot < w.lots; lot++) {
            struct trace_row ahead[64];
            size_t n = forward(&w.facts, TRACE_LOT, w.lot[lot].id, ahead);
            for (size_t b = 0; b < w.batches; b++) {
                struct trace_row rows[JARS];
                size_t spots = where(&w, b, rows);
                for (size_t i = 0; i < spots; i++) {
                    bool behind[LOTS];
                    int count = jars_at(ahead, n, b, rows[i].place, rows[i].person);
                    lots_behind(&w, &rows[i], behind);
                    if ((count > 0) != behind[lot] || (count > 0 && count != rows[i].count))
                        ck_abort_msg("trial %d: lot %zu, batch %zu, %s: forward %d jars, back %d", trial, lot,
                                     b, jar_place_word(rows[i].place), count, behind[lot]);
                    pairs++;
                    linked += behind[lot];
                }
            }
        }
    }
    ck_assert_int_gt(linked, 10000);
    ck_assert_int_gt(pairs - linked, 10000);
}
END_TEST

START_TEST(no_jar_is_lost_or_made_and_the_places_are_those_of_the_jars)
{
    struct stream s = {.state = 82};
    static struct world w;
    static struct play p;
    for (int trial = 0; trial < 1500; trial++) {
        world_make(&w, &s, EVENTS, true, true);
        play_out(&w, &p, &s);
        for (size_t b = 0; b < w.batches; b++) {
            struct trace_row rows[JARS];
            size_t n = where(&w, b, rows);
            int all = 0;
            for (size_t i = 0; i < n; i++) {
                int there = 0;
                for (int k = 0; k < w.batch[b].jars; k++)
                    there += p.jar[b][k].place == rows[i].place && p.jar[b][k].person == rows[i].person;
                if (there != rows[i].count)
                    ck_abort_msg("trial %d: %d jars, the trace says %d", trial, there, rows[i].count);
                all += rows[i].count;
            }
            if (all != w.batch[b].jars)
                ck_abort_msg("trial %d: %d of %d jars", trial, all, w.batch[b].jars);
        }
    }
}
END_TEST

/* However the same counts may have come about, a jar that holds her milk is named; and where no way of
 * playing it out (of many) puts it, it is not named. The second holds when no jar comes home again: one that
 * does is taken as having been there all along. */
START_TEST(the_trace_names_every_jar_that_can_hold_the_milk_and_no_other)
{
    struct stream s = {.state = 83};
    static struct world w;
    static struct play p;
    int named = 0, not_named = 0, never_seen = 0;
    for (int trial = 0; trial < 200; trial++) {
        world_make(&w, &s, 16, false, trial % 2 == 0);
        for (size_t b = 0; b < w.batches; b++) {
            struct trace_row rows[JARS];
            size_t n = where(&w, b, rows);
            bool seen[JARS][LOTS] = {{false}};
            for (int play = 0; play < 300; play++) {
                play_out(&w, &p, &s);
                for (size_t i = 0; i < n; i++)
                    for (int k = 0; k < w.batch[b].jars; k++)
                        for (size_t lot = 0; lot < w.lots; lot++)
                            seen[i][lot] = seen[i][lot] ||
                                           (p.jar[b][k].place == rows[i].place &&
                                            p.jar[b][k].person == rows[i].person && p.jar[b][k].holds[lot]);
            }
            for (size_t i = 0; i < n; i++) {
                bool behind[LOTS];
                lots_behind(&w, &rows[i], behind);
                for (size_t lot = 0; lot < w.lots; lot++) {
                    if (seen[i][lot] && !behind[lot])
                        ck_abort_msg("trial %d: a jar of batch %zu in %s holds lot %zu and is not named",
                                     trial, b, jar_place_word(rows[i].place), lot);
                    named += behind[lot];
                    not_named += !behind[lot];
                    never_seen += trial % 2 == 1 && behind[lot] && !seen[i][lot];
                }
            }
        }
    }
    ck_assert_int_gt(named, 1000);
    ck_assert_int_gt(not_named, 1000);
    ck_assert_int_eq(never_seen, 0);
}
END_TEST

START_TEST(what_was_undone_leaves_no_trace)
{
    struct stream s = {.state = 84};
    static struct world w, shorter;
    for (int trial = 0; trial < 500; trial++) {
        world_make(&w, &s, 20, true, true);
        shorter = w;
        for (int i = 0; i < 8; i++) { /* more happens, and is taken back from the end */
            w.now++;
            world_move(&w, &s, true);
            world_sort(&w);
            world_pour(&w, &s);
            world_sort(&w);
        }
        w.events = shorter.events;
        world_sort(&w);
        world_sort(&shorter);
        for (size_t lot = 0; lot < w.lots; lot++) {
            struct trace_row a[64], b[64];
            size_t n = forward(&w.facts, TRACE_LOT, w.lot[lot].id, a);
            size_t m = forward(&shorter.facts, TRACE_LOT, w.lot[lot].id, b);
            if (n != m)
                ck_abort_msg("trial %d: %zu rows, %zu before", trial, n, m);
            for (size_t i = 0; i < n; i++)
                if (a[i].count != jars_at(b, m, a[i].batch, a[i].place, a[i].person))
                    ck_abort_msg("trial %d: row %zu changed", trial, i);
        }
    }
}
END_TEST

START_TEST(a_cow_is_her_lots_and_a_milking_is_its_lots)
{
    struct stream s = {.state = 85};
    static struct world w;
    for (int trial = 0; trial < 500; trial++) {
        world_make(&w, &s, EVENTS, true, true);
        for (int cow = 1; cow <= 3; cow++) {
            struct trace_row hers[64], one[64];
            size_t n = forward(&w.facts, TRACE_COW, cow, hers);
            for (size_t b = 0; b < w.batches; b++) {
                struct trace_row rows[JARS];
                size_t spots = where(&w, b, rows);
                for (size_t i = 0; i < spots; i++) {
                    bool any = false;
                    for (size_t lot = 0; lot < w.lots; lot++)
                        if (w.lot[lot].cow == cow) {
                            size_t m = forward(&w.facts, TRACE_LOT, w.lot[lot].id, one);
                            any = any || jars_at(one, m, b, rows[i].place, rows[i].person) > 0;
                        }
                    if (any != (jars_at(hers, n, b, rows[i].place, rows[i].person) > 0))
                        ck_abort_msg("trial %d: cow %d, batch %zu", trial, cow, b);
                }
            }
        }
    }
}
END_TEST

Suite *trace_suite(void)
{
    Suite *s = suite_create("trace");
    TCase *t = tcase_create("by hand");
    tcase_add_test(t, from_a_cow_to_every_jar_by_place_and_person);
    tcase_add_test(t, from_a_milking_a_lot_and_a_batch);
    tcase_add_test(t, a_late_hold_finds_the_jars_of_its_span);
    tcase_add_test(t, from_a_jar_back_to_the_cows);
    tcase_add_test(t, jars_that_cannot_be_told_apart_are_all_named);
    tcase_add_test(t, a_sum_says_what_can_still_be_done);
    tcase_add_test(t, places_have_words_that_read_back);
    tcase_add_test(t, facts_that_cannot_be_are_refused);
    suite_add_tcase(s, t);
    t = tcase_create("random mornings");
    tcase_add_test(t, forward_and_back_are_inverse_to_each_other);
    tcase_add_test(t, no_jar_is_lost_or_made_and_the_places_are_those_of_the_jars);
    tcase_add_test(t, the_trace_names_every_jar_that_can_hold_the_milk_and_no_other);
    tcase_add_test(t, what_was_undone_leaves_no_trace);
    tcase_add_test(t, a_cow_is_her_lots_and_a_milking_is_its_lots);
    suite_add_tcase(s, t);
    return s;
}
