/* Where milk went and where it came from, as snapshots: a trace from whatever is known, and the list of jars
 * that hold milk which, by what is recorded now, is not to be kept. */
#ifndef CORE_DAY_TRACE_VIEW_H
#define CORE_DAY_TRACE_VIEW_H

#include "core/day/dairy.h"
#include "core/milk/trace.h"

enum { TRACE_LINES_MAX = 400, TRACE_LOTS_MAX = 200 };

/* Jars of one batch in one place, with one person. */
struct trace_line {
    int64_t batch_id, person_id; /* 0 nobody */
    char code[16], kind[32];
    enum jar_place place;
    char person[64], contact[80], contact2[80];
    int count;
    struct instant here_since, carries_since;
    char cows[64]; /* whose milk of those asked for, or of all */
    bool settled;  /* nothing is left to be done about them: drunk, fed, thrown away */
};

/* One cow's milk of one milking. */
struct trace_milk {
    int64_t cow_id;
    char cow[64];
    struct instant at;
    double kg; /* of it in the batch asked for; NaN not known, or no one batch was asked for */
    bool held; /* not to be kept, by what is recorded now */
    char why[160];
};

enum ask_from { ASK_COW, ASK_MILKING, ASK_BATCH };

struct trace_ask {
    enum ask_from from;
    int64_t id;                  /* of the cow, milking or batch */
    struct instant since, until; /* ASK_COW: milked in between */
};

struct trace_view {
    struct instant now;
    struct trace_ask ask;
    char about[160]; /* "milk of Tib, 28 Apr to 3 May" */
    struct trace_line
        line[TRACE_LINES_MAX]; /* jars that hold it: at home first, then with people, then gone */
    size_t lines;
    bool more; /* there were more than that */
    struct trace_sum sum;
    char say[200];
    struct trace_milk milk[TRACE_LOTS_MAX]; /* whose milk: asked for, or (ASK_BATCH) in it */
    size_t milks;
};

/* Works a trace out. About 250 kB: the caller keeps one. */
int dairy_trace(struct dairy *d, const struct trace_ask *ask, struct instant now, struct trace_view *out,
                struct fail *f);

/* The batch that a code means, read as people write it. */
int dairy_find_batch(struct dairy *d, const char *code, struct instant now, int64_t *batch_id,
                     struct fail *f);

/* What a trace can be asked from, as fields of a form: batch=, milking= (a time), sample= (its name), or cow=
 * with since= and until= (the last week, when they are not given); and what was asked. */
extern const struct field trace_fields[];
extern const size_t trace_field_count;
int trace_ask_read(struct dairy *d, const struct form *form, struct instant now, struct trace_ask *out,
                   struct fail *f);

/* ---- recall ---- */

enum { RECALL_LINES_MAX = 120 };

/* Jars that hold milk of a cow that was on hold, or turned out to have been, without this having been known
 * when they were filled. */
struct recall_view {
    struct instant now;
    size_t lines;                      /* in line[], which stands last */
    int open_home, open_given, people; /* jars still to be settled; with so many people */
    int open_cheese;                   /* jars that were made into cheese, which is still about */
    int settled;
    char cows[80];  /* "Tib" */
    char why[160];  /* of the first of them */
    char say[240];  /* in one sentence; "" when there is nothing to recall */
    int64_t newest; /* number of the newest batch concerned, so that news can be told from what was heard */
    struct trace_line line[RECALL_LINES_MAX]; /* those still to be settled first */
};

int dairy_recall(struct dairy *d, struct instant now, struct recall_view *out, struct fail *f);

#endif
