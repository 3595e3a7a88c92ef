/* The board as a snapshot: everything that the screen that stays up shows, worked out for one moment. A plain
 * struct; the screens draw it and `springhouse show board` prints it. Quantities are numbers in SI units;
 * sentences are ready to show, in the dairy's units. */
#ifndef CORE_DAY_BOARD_H
#define CORE_DAY_BOARD_H

#include "core/breeding/pregnancy.h"
#include "core/cooling/forecast.h"
#include "core/day/dairy.h"
#include "core/herd/hold.h"
#include "core/herd/lactation.h"
#include "core/herd/watch.h"
#include "core/sanitation/progress.h"

enum {
    BOARD_STALLS_MAX = 12,
    BOARD_RATIONS_MAX = 6,
    BOARD_RECENT_DAYS = 40,
    BOARD_READINGS_MAX = BATCH_READINGS_MAX,
    BOARD_ALARMS_MAX = 16,
    BOARD_OTHERS_MAX = 16,
};

/* How much something asks for attention: a word always goes with it. */
enum urgency { URGENCY_CALM, URGENCY_WATCH, URGENCY_STOP };

struct ration_view {
    char feed[64];
    double mass_kg;
};

struct stall_view {
    int number;
    bool empty;
    int64_t cow_id;
    char name[64];
    char state[96];    /* "in milk day 92", "dry day 38, due 14 Jun" */
    char breeding[96]; /* "bred 61 d, check due", or "" */
    char udder[96];    /* "quarters clean" */
    bool in_milk;
    bool milked;                 /* in the milking that is open */
    double today_kg;             /* in that milking; NaN not weighed */
    struct expectation expected; /* of one milking */
    enum watch_level watch;
    char yield[48]; /* "as expected", "low 3 days" */
    char yield_words[240];
    bool keep;
    struct hold_state hold;              /* for milk drawn now */
    double recent_kg[BOARD_RECENT_DAYS]; /* a day, the last is today; NaN where not weighed */
    struct ration_view ration[BOARD_RATIONS_MAX];
    size_t rations;
};

struct batch_view {
    int64_t id;
    char code[16], letter; /* "260503-1AC" and 'A' */
    char kind[32];
    int count;
    double volume_l;    /* of each jar */
    char cows[120];     /* "Maud, Tib" */
    char held_why[160]; /* "" or why it was filled although on hold */
    struct instant poured_at;
    bool poured_read; /* its temperature was read, not taken as usual */
    double poured_c;
    struct milk_reading reading[BOARD_READINGS_MAX]; /* at: UTC seconds */
    size_t readings;
    enum place first;                      /* where its jars went when poured */
    struct jar_move move[BATCH_MOVES_MAX]; /* and since; at: UTC seconds */
    size_t moves;
    struct batch_forecast forecast; /* times: UTC seconds */
};

struct alarm {
    char key[64]; /* the same for the same thing, so that an acknowledged alarm stays so */
    enum urgency urgency;
    char text[160];
};

struct other_cow {
    int64_t cow_id;
    char name[64], state[96];
};

struct board {
    struct instant now;
    struct instant good_until; /* work it out again then: something turns, or figures have moved */
    uint64_t edition;          /* of the records it was made from */
    char dairy[80];
    enum unit_system units;
    enum urgency urgency;
    char sentence[240]; /* what needs the keeper now */
    char detail[240];   /* what could be done about it, or "" */

    bool milking_open;
    struct instant opened_at, started_at, ended_at; /* or INSTANT_NONE */
    double room_c;
    bool room_read;
    double fridge_c;
    bool fridge_read;

    struct stall_view stall[BOARD_STALLS_MAX];
    size_t stalls;
    struct other_cow other[BOARD_OTHERS_MAX]; /* here, but in no stall */
    size_t others;

    struct batch_view batch[BATCHES_MAX]; /* those that still cool first, in the order of pouring */
    size_t batches;
    struct tub_forecast tub;
    double ice_put_kg; /* into the tub this morning */
    struct advice advice[ADVICE_MAX]; /* .batch: index here */
    size_t advice_count;
    int cheapest; /* index of the least work that helps, or -1 */
    struct limit_set limit;

    struct routine routine;
    struct progress progress;                   /* rows point into `routine` */
    struct progress_cow cow[PROGRESS_COWS_MAX]; /* names point into `stall` */
    size_t cows;

    struct alarm alarm[BOARD_ALARMS_MAX];
    size_t alarms;
    char recall[240]; /* jars that hold milk which is not to be kept, in one sentence; "" none */

    char last_act[240]; /* the newest entry of the journal that holds */
    int64_t last_entry;
};

/* Works the board out for `now`. Reads the records only when they have changed since the last call. About 400
 * kB: the caller keeps one. Fails with FAIL_BUSY while the records are being written; *out is then as it was.
 */
int dairy_board(struct dairy *d, struct instant now, struct board *out, struct fail *f);

/* The same at once, for the first picture: what the past teaches (expected milk, the udder's course, when the
 * morning ends) is left out, and the board is not good for longer than that picture. *out comes all zero. */
int dairy_board_first(struct dairy *d, struct instant now, struct board *out, struct fail *f);

/* The same board without moving parts, for when `now` only crept on: false if it must be worked out again. */
bool board_still_good(const struct dairy *d, const struct board *b, struct instant now);

/* Working of a figure: of batch i, of her expected milk, of her hold, of when she calves, of the morning's end. */
int board_explain_batch(struct dairy *d, const struct board *b, size_t i, struct working *w, struct fail *f);
int board_explain_cow(struct dairy *d, int64_t cow_id, struct instant now, struct working *w, struct fail *f);
int board_explain_hold(struct dairy *d, int64_t cow_id, struct instant now, struct working *w,
                       struct fail *f);
int board_explain_calving(struct dairy *d, int64_t cow_id, struct instant now, struct working *w, struct fail *f);
int board_explain_chores(struct dairy *d, struct instant now, struct working *w, struct fail *f);

#endif
