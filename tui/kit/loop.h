/* The loop: one thread, one place that waits. It takes the signals' flags, drains the keys, lets the screen
 * apply them, draws once if anything is stale, and sleeps until a key, a watched file, or the next moment
 * that the screen asked for. It wakes at most once a second while something counts down, once a minute while
 * only the clock shows, and not at all otherwise. */
#ifndef TUI_KIT_LOOP_H
#define TUI_KIT_LOOP_H

#include <stdbool.h>
#include <stdint.h>

#include "tui/kit/clock.h"
#include "tui/kit/press.h"
#include "tui/kit/rect.h"
#include "tui/kit/term.h"

/* What a handler answers; several may be joined with |. */
enum {
    LOOP_NOTHING = 0,
    LOOP_DRAW = 1,    /* something that is shown has changed */
    LOOP_REPAINT = 2, /* paint every cell */
    LOOP_LEAVE = 4,   /* end loop_run() */
};

/* How often the screen must be drawn for the time alone. */
enum cadence { CADENCE_NEVER, CADENCE_MINUTE, CADENCE_SECOND };

#define UPTIME_NEVER ((struct uptime){INT64_MAX})

struct wake {
    enum cadence every;
    struct uptime at; /* one particular moment as well, or UPTIME_NEVER; met within a second */
    bool soon;        /* after this picture, with the next turn: part of it is still missing */
};

/* Something happened to time itself. */
struct loop_jump {
    int64_t wall_step_ms; /* the wall clock was set by that much; 0 if not */
    int64_t asleep_ms;    /* the machine was suspended for that long; 0 if not */
};

/* The screen's side. Handlers change state and answer; only `draw` draws. Each may be NULL but draw. */
struct loop_hooks {
    unsigned (*press)(void *context, int key);
    unsigned (*paste)(void *context, uint32_t code); /* NULL: what is pasted is dropped */
    unsigned (*pass)(void *context);                 /* the moment asked for has come */
    unsigned (*jump)(void *context, const struct loop_jump *jump);
    void (*draw)(void *context, struct rect screen); /* the canvas is blank */
    void (*wake)(void *context, struct wake *wake);  /* when to call `pass` next; given "never" */
};

enum loop_end {
    LOOP_RUNNING,
    LOOP_LEFT,  /* a handler said so */
    LOOP_ENDED, /* SIGINT, SIGTERM */
    LOOP_GONE,  /* the terminal went away */
};

enum { LOOP_WATCHES_MAX = 8 };

struct loop {
    struct term *term;
    struct clock clock;
    struct loop_hooks hooks;
    void *context;
    enum loop_end end;
    /* The rest is the loop's own. */
    unsigned answer;
    bool keys_waiting;
    int idle_reads;
    struct uptime next, last_pasted;
    int64_t wall_lead_ms, sleep_lead_ms;
    int timer_fd, step_fd;
    struct loop_watch {
        int fd;
        bool ready;
        unsigned (*ready_fn)(void *context, int fd);
        void *context;
    } watch[LOOP_WATCHES_MAX];
    int watch_count;
};

/* Makes the timers. The first turn draws. */
int loop_init(struct loop *l, struct term *t, struct clock clock, const struct loop_hooks *hooks,
              void *context, struct fail *f);
void loop_release(struct loop *l);

/* Calls `ready` whenever there is something to read on fd (a changed folder, a probe). */
int loop_watch(struct loop *l, int fd, unsigned (*ready)(void *context, int fd), void *context,
               struct fail *f);
void loop_unwatch(struct loop *l, int fd);

/* One turn without waiting. Tests call it after moving their clock or feeding keys. */
enum loop_end loop_turn(struct loop *l);

/* Waits for the next thing to do. */
void loop_wait(struct loop *l);

/* Turns and waits until the end. */
enum loop_end loop_run(struct loop *l);

#endif
