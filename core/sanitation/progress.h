/* Where the morning stands: from a routine, the ticks so far, the time and a few facts, what is done, what
 * runs its clock, what waits and for what, what is late, what comes next, and when it will all be over.
 *
 * Nothing is kept between calls: take a tick out of the list and the step is as it was before. Ticks name
 * steps by id, so they outlive an edit of the routine; the order in which they are handed over does not
 * matter. A tick is never refused, whatever the gates say: what somebody did, they did. */
#ifndef CORE_SANITATION_PROGRESS_H
#define CORE_SANITATION_PROGRESS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/sanitation/routine.h"

enum {
    PROGRESS_COWS_MAX = 12,
    PROGRESS_ROWS_MAX = ROUTINE_STEPS_MAX + ROUTINE_PER_COW_MAX * (PROGRESS_COWS_MAX - 1),
    PROGRESS_WHY_MAX = 96,
    PROGRESS_NEXT_MAX = 200,
};

/* One press of the key. A step with a clock takes two kinds: TICK_BEGUN starts it, TICK_DONE ends it (a plain
 * contact time ends by itself; ended sooner, it was cut short). A plain step takes TICK_DONE. */
enum tick_kind { TICK_BEGUN, TICK_DONE, TICK_SKIPPED };

struct step_tick {
    char step[STEP_ID_MAX];
    int64_t cow; /* 0 for a step that is not done for each cow */
    struct instant at;
    enum tick_kind kind;
};

struct progress_cow {
    int64_t id;
    const char *name; /* borrowed */
};

/* When a step that is not of every session was last done. */
struct step_last {
    char step[STEP_ID_MAX];
    struct date on;
};

/* When the water of a hot step will have fallen to its floor, forecast from its temperatures. */
struct step_floor {
    char step[STEP_ID_MAX];
    struct instant at;
};

/* What past mornings say about a phase; see phase_learn(). For one cow where its steps are done for each. */
struct phase_usual {
    int mornings; /* how many it is learned from; 0 = nothing known */
    int32_t low_s, middle_s, high_s;
};

struct progress_facts {
    struct instant now;
    struct instant milking_at;       /* when milking began or is meant to; INSTANT_NONE: take now */
    const struct progress_cow *cows; /* in milk, in milking order */
    size_t cow_count;
    /* Carried in from before this session; ticks of this session add to them. INSTANT_NONE = not so. */
    struct instant sanitised_at, drained_at, dry_at;
    bool jars_on_floor;
    enum chemical sink; /* what was last in the sink and not rinsed away; CHEMICAL_NONE if nothing */
    const struct step_last *last;
    size_t last_count;
    const struct step_floor *floors;
    size_t floor_count;
    struct phase_usual usual[PHASE_COUNT];
};

enum step_state {
    STATE_OPEN,    /* can be done now */
    STATE_WAITING, /* a gate is shut: see `why` */
    STATE_RUNNING, /* its clock runs */
    STATE_DONE,
    STATE_SKIPPED,
    STATE_NOT_DUE, /* of the week or month, and done lately */
};

/* One step for one cow. */
struct progress_row {
    const struct routine_step *step; /* borrowed from the routine */
    int cow;                         /* place in facts.cows, -1 if not done for each cow */
    enum step_state state;
    struct instant begun_at;    /* RUNNING, DONE: of a step with a clock */
    struct instant done_at;     /* DONE, SKIPPED */
    int32_t left_s;             /* RUNNING: contact time still to go; 0 = long enough */
    int32_t short_s;            /* DONE: contact time that was missing; 0 = long enough */
    struct instant opens_at;    /* WAITING: when the clock alone will open it, else INSTANT_NONE */
    struct instant floor_at;    /* RUNNING, hot: when its water is too cold, if that is forecast */
    struct instant due_at;      /* RUNNING, OPEN, WAITING: late after this; INSTANT_NONE = no such time */
    int32_t late_s;             /* how late; 0 = not */
    bool too_short;             /* RUNNING, hot: the water will be too cold before the contact time is over */
    int32_t overdue_days;       /* OPEN, WAITING: of the week or month; days past its turn */
    char why[PROGRESS_WHY_MAX]; /* WAITING, NOT_DUE: "jars off the floor", "done Tue 28 Apr" */
};

struct phase_progress {
    size_t rows, done;                /* rows that count today; done or skipped of them */
    bool running;                     /* a clock runs in it */
    struct instant first_at, last_at; /* first and last tick; INSTANT_NONE */
};

struct progress {
    struct progress_row row[PROGRESS_ROWS_MAX]; /* in the order in which they are done */
    size_t count;
    size_t timer[PROGRESS_ROWS_MAX]; /* rows with a clock, what is late first, then what comes soonest */
    size_t timer_count;
    struct phase_progress phase[PHASE_COUNT];
    size_t rows, done;    /* that count today; done or skipped of them */
    int next;             /* the row to do next, which may still wait some seconds for a clock; -1 = none */
    size_t unknown_ticks; /* of steps or cows that are no longer there: kept, not shown */
    struct instant sanitised_at, drained_at, dry_at; /* with the ticks of this session */
    bool jars_on_floor;
    enum chemical sink;
    /* When the morning will be over; INSTANT_NONE when a phase that is not done has no usual length. */
    struct instant ends_at, ends_early_at, ends_late_at;
    char next_text[PROGRESS_NEXT_MAX]; /* one sentence: what is late, what is next, which clock runs */
};

/* Works all of *out out. Fails on more than PROGRESS_COWS_MAX cows; never on ticks. `w` (may be NULL) gets
 * the working of the end of the morning. */
int progress_reckon(const struct routine *r, const struct step_tick *ticks, size_t tick_count,
                    const struct progress_facts *facts, struct progress *out, struct working *w,
                    struct fail *f);

/* The row of that step and cow (0 = not done for each cow), or -1. */
int progress_find(const struct progress *p, const struct progress_facts *facts, const char *step,
                  int64_t cow);

/* What one press of the key on that row records: begins a clock, ends it, or ticks it done. False when there
 * is nothing left to tick. */
bool progress_press(const struct progress *p, size_t row, const struct progress_facts *facts,
                    struct step_tick *out);

/* The ticks that say "all up to here is done": every row before `row`, and it, that is still to do or
 * running, at facts->now. For entries made at the next break with dry hands. Returns how many were written to
 * out. */
size_t progress_catch_up(const struct progress *p, size_t row, const struct progress_facts *facts,
                         struct step_tick *out, size_t max);

/* "12 s late", "4 min left", "waits: jars off the floor", "06:18": the state of a row in a few words, to
 * stand behind its own. Returns buf. */
const char *progress_row_text(const struct progress_row *row, struct instant now, char *buf, size_t size);

/* How long each phase took, from the ticks of one finished session: the time between two ticks belongs to the
 * phase of the later one. Phases without a tick get 0. */
void progress_spent(const struct routine *r, const struct step_tick *ticks, size_t tick_count,
                    int32_t spent_s[PHASE_COUNT]);

/* One past morning, for learning. */
struct past_morning {
    int32_t spent_s[PHASE_COUNT]; /* from progress_spent(); 0 = not known */
    int cows;                     /* milked that morning */
};

/* The usual length of each phase from past mornings, per cow where the phase's steps are done for each:
 * median, and the quartiles as a band. At most the last PAST_MORNINGS_MAX are used. */
enum { PAST_MORNINGS_MAX = 60 };
void phase_learn(const struct routine *r, const struct past_morning *past, size_t count,
                 struct phase_usual usual[PHASE_COUNT]);

#endif
