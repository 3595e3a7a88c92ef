/* The next milking for somebody who has never milked here: whom, in which order, step by step, and what not
 * to keep. A snapshot to read, on screen or on paper; whether milk is kept is hold_state()'s word, as
 * everywhere. */
#ifndef CORE_DAY_RELIEF_VIEW_H
#define CORE_DAY_RELIEF_VIEW_H

#include "core/day/board.h"
#include "core/sanitation/routine.h"

enum { RELIEF_COWS_MAX = 16, RELIEF_NOTES_MAX = 3 };

/* What becomes of her milk. */
enum relief_milk {
    RELIEF_KEEP,
    RELIEF_KEEP_AFTER, /* only if she is milked after hold.clear_at */
    RELIEF_POUR_AWAY,
    RELIEF_NONE, /* she is not milked */
};

const char *relief_verdict(
    enum relief_milk milk); /* "KEEP", "KEEP ONLY AFTER", "DO NOT KEEP", "DO NOT MILK" */

struct relief_cow {
    int64_t cow_id;
    int stall; /* 0: none */
    char name[64], tag[32], breed[32];
    char state[96];
    const char *order; /* why she stands where she does in the order; static */
    enum relief_milk milk;
    struct instant milked_at; /* in the milking that is open; INSTANT_NONE: not yet */
    struct hold_state hold; /* for milk of this milking */
    char goes[240];         /* where her milk goes, as a whole sentence */
    char udder[160];        /* quarters to look at, or that give no milk; "" */
    struct expectation expected;
    struct ration_view ration[BOARD_RATIONS_MAX];
    size_t rations;
    char note[RELIEF_NOTES_MAX][200]; /* the newest first */
    size_t notes;
};

struct relief_view {
    struct instant now;
    struct instant milking_at; /* the milking that is open, or the next by habit */
    bool open;
    enum unit_system units;
    char dairy[80], keeper[64];
    char limit[120];                        /* the cooling rule in words */
    struct relief_cow cow[RELIEF_COWS_MAX]; /* to be milked, in that order; then those that are not */
    size_t cows, milked;                    /* of cows, how many are to be milked */
    char note[RELIEF_NOTES_MAX][200];       /* about the dairy, the newest first */
    size_t notes;
    struct routine routine;
    char dose[200]; /* of the sanitiser, as a whole sentence */
    int dose_step;  /* the step of the routine at which it is mixed; -1 none */
    char tub[160];  /* ice and jars for the coming milking; "" once it has begun, or when that cannot be worked out */
};

/* About 90 kB: the caller keeps one. */
int dairy_relief(struct dairy *d, struct instant now, struct relief_view *out, struct fail *f);

#endif
