/* Trace: where did this cow's milk go, and whose milk is in this jar?
 *
 * Facts are plain arrays: lots (one cow's milk at one moment), batches of jars, which lots were poured into
 * which batch, milk poured on from batch to batch (top-ups, splits), and jars moved between places and
 * people. Everything else follows from them, and nothing is stored that follows.
 *
 * Time counts. Milk reaches a batch when it is poured in, and goes on to the next batch only with what is
 * poured on afterwards. Jars of one batch carry one code and cannot be told apart, so where some of them left
 * the house before a top-up and some after, all of them are named: a recall errs on the side of too many.
 * A jar that is topped up by itself therefore belongs to the batch that topped it up: move it to AT_POURED
 * and pour it on. A jar that comes home again is taken as having been there all along.
 *
 * Forward (from a cow, milking, lot or batch to jars) and back (from jars to lots) are the same relation read
 * from its two ends. Two events in the same second are taken as either order, whichever reaches further. */
#ifndef CORE_MILK_TRACE_H
#define CORE_MILK_TRACE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"

enum jar_place {
    AT_PAIL, /* not in jars yet: where the jars of a batch come from */
    AT_TUB,
    AT_TABLE,
    AT_FRIDGE,
    AT_FREEZER,
    AT_GIVEN, /* to a person */
    AT_DUMPED,
    AT_CALF,
    AT_PIGS,
    AT_CHEESE,
    AT_DRUNK,
    AT_LOST,
    AT_POURED, /* emptied into another batch */
    PLACES
};

/* "fridge", "dumped", ...; and the reverse, which refuses unknown words naming the places. */
const char *jar_place_word(enum jar_place place);
int jar_place_parse(const char *text, enum jar_place *out, struct fail *f);

/* Pail, tub, table, refrigerator, freezer: the jar is in the keeper's hands, and can be stopped or topped up.
 */
bool place_at_home(enum jar_place place);

/* ---- facts ---- */

struct trace_lot {
    int64_t id, cow, milking;
    struct instant at; /* when she was milked */
};

struct trace_batch {
    int64_t id;
    struct instant poured_at;
    enum jar_place place; /* where its jars stood first */
    int jars;             /* how many there were */
};

struct trace_source { /* a lot poured into a batch */
    int64_t batch, lot;
    struct instant at;
};

struct trace_transfer { /* milk of one batch poured into another */
    int64_t from, to;
    struct instant at;
};

struct trace_move { /* `count` jars of a batch from one place to another */
    int64_t batch;
    struct instant at;
    enum jar_place from, to;
    int64_t from_person, to_person; /* for AT_GIVEN; 0 elsewhere */
    int count;
};

/* Borrowed arrays. Lots and batches in order of id; moves in order of batch, then time; others in any order.
 */
struct trace_facts {
    const struct trace_lot *lot;
    size_t lots;
    const struct trace_batch *batch;
    size_t batches;
    const struct trace_source *source;
    size_t sources;
    const struct trace_transfer *transfer;
    size_t transfers;
    const struct trace_move *move;
    size_t moves;
};

/* Refuses, naming the batch, what cannot be: arrays out of order, links to what is not there, more jars moved
 * than stand in a place, a batch poured into itself, milk poured in before it was milked. */
int trace_check(const struct trace_facts *facts, struct fail *f);

/* ---- forward ---- */

enum trace_from { TRACE_COW, TRACE_MILKING, TRACE_LOT, TRACE_BATCH };

struct trace_query {
    enum trace_from from;
    int64_t id;
    struct instant since,
        until; /* for TRACE_COW: milked in [since, until]; INSTANT_NONE = open at that end */
};

/* Jars of one batch in one place, with one person. */
struct trace_row {
    size_t batch; /* index into facts->batch */
    enum jar_place place;
    int64_t person; /* 0 = nobody */
    int count;
    struct instant here_since;    /* when the first of these jars came there */
    struct instant carries_since; /* when the milk asked for reached the batch */
};

/* Every jar that carries milk of the query, by batch, place and person, batches in order of id. `work` is
 * scratch memory for facts->batches instants. Writes *count rows, at most `max`; more than that is a refusal
 * (there are never more rows than jars). A query without any milk has no rows. The facts must have passed
 * trace_check(). */
int trace_forward(const struct trace_facts *facts, const struct trace_query *query, struct instant *work,
                  struct trace_row *rows, size_t max, size_t *count, struct fail *f);

/* Where all the jars of one batch are (index into facts->batch), whatever they carry: carries_since is the
 * batch's first moment. Their counts add up to the batch's jars. */
int trace_where(const struct trace_facts *facts, size_t batch, struct trace_row *rows, size_t max,
                size_t *count, struct fail *f);

/* ---- back ---- */

/* Jars to look into: those of a batch in one place with one person, or (place = PLACES) all of them. */
struct trace_jars {
    size_t batch; /* index into facts->batch */
    enum jar_place place;
    int64_t person;
};

/* Lots whose milk those jars carry, as rising indices into facts->lot; `work`, `max` and *count as above. No
 * jars there: no lots. */
int trace_back(const struct trace_facts *facts, const struct trace_jars *jars, struct instant *work,
               size_t *lots, size_t max, size_t *count, struct fail *f);

/* ---- in sum ---- */

/* What can still be done about the jars of a trace. */
struct trace_sum {
    int jars;    /* all of them */
    int at_home; /* in the keeper's hands */
    int given;   /* with people: call them */
    int people;  /* how many people that is */
    int gone;    /* drunk, fed, dumped, lost, poured on */
};

/* Adds rows up; *say (200 characters) puts it in words. */
void trace_sum(const struct trace_row *rows, size_t count, struct trace_sum *out, char say[static 200],
               struct working *w);

#endif
