/* The four quarters of an udder, and the course of one of them over a lactation: clean, new, chronic,
 * clearing. */
#ifndef CORE_HERD_QUARTER_H
#define CORE_HERD_QUARTER_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"

enum quarter { QUARTER_LF, QUARTER_RF, QUARTER_LR, QUARTER_RR, QUARTERS };

const char *quarter_code(enum quarter q); /* "LF" */
const char *quarter_name(enum quarter q); /* "left front" */

/* "LF" in either case, also FL, LH, HL, RL and the like (front, rear or hind). False if it is none. */
bool quarter_parse(const char *text, enum quarter *out);

/* One look at one quarter, by whatever means; the others stay "not looked at". */
struct quarter_look {
    struct instant at;
    int strip;           /* enum strip_finding (udder.h) or-ed; -1 not stripped */
    int cmt;             /* enum cmt (cells.h); -1 not tested */
    double cells_per_ml; /* NaN: not counted */
};

enum quarter_state {
    QUARTER_UNKNOWN, /* never looked at */
    QUARTER_CLEAN,
    QUARTER_SUSPECT,  /* a trace, or cells between the limits */
    QUARTER_NEW,      /* raised now, clean or unknown before */
    QUARTER_CHRONIC,  /* raised for two months or more, or back within that time after looking clean */
    QUARTER_CLEARING, /* raised within the last month, not at the last look */
    QUARTER_BLIND,    /* gives no milk */
};

/* Raised: anything abnormal in the strip cup, a paddle score of 1 or more, or CELLS_INFECTED_PER_ML. Two
 * months raised are called chronic: Bailey, Dairy Pipeline, Virginia Tech, May 1997. */
enum { CHRONIC_DAYS = 60, CLEARING_DAYS = 30 };

struct quarter_trend {
    enum quarter_state state;
    int direction; /* +1 getting worse, -1 better, 0 level or not known: the last look against the one before
                    */
    struct instant looked_at; /* last look; INSTANT_NONE */
    struct instant raised_at; /* when this spell of raised looks began; INSTANT_NONE when it is over */
    int raised_looks;         /* looks in it that were raised */
};

/* Looks in rising order of time, of one quarter in one lactation. */
void quarter_trend(const struct quarter_look *looks, size_t n, struct quarter_trend *out);

const char *quarter_state_word(enum quarter_state state); /* "clean", "new", "chronic", ... */

/* The udder in one line: "quarters clean", "LF new, RR chronic", "quarters not looked at". Returns buf. */
const char *quarters_text(const struct quarter_trend trends[QUARTERS], char *buf, size_t size);

#endif
