/* The program on the screen: one dairy, one terminal, one board snapshot, and the screen that has the keys.
 * Screens draw snapshots and ask for acts; app.c does the acts, says what came of them, tries again when the
 * file is busy, rings for alarms, and keeps the snapshot fresh. */
#ifndef TUI_APP_H
#define TUI_APP_H

#include "core/day/board.h"
#include "core/day/dairy.h"
#include "tui/kit/form_view.h"
#include "tui/kit/keymap.h"
#include "tui/kit/loop.h"
#include "tui/kit/message.h"
#include "tui/kit/page.h"
#include "tui/kit/term.h"

struct app;

/* A screen: one file, one row. Handlers change state and answer with LOOP_ flags; only draw draws. */
struct screen {
    int letter;       /* opens it from anywhere; 0: opened in another way */
    const char *name; /* for the help */
    const char *does;
    void (*open)(struct app *a); /* about to be shown; may be NULL */
    unsigned (*press)(struct app *a, int key);
    void (*draw)(struct app *a, struct rect r);
    void (*renew)(struct app *a);                /* the records or the minute have changed; may be NULL */
    /* A form over it that has no act of its own (form_act NULL), or all of them if `submits_all`, was entered: takes
     * it. -1 with the reason leaves it open. */
    int (*submit)(struct app *a, struct fail *f);
    bool submits_all;
    void (*closed)(struct app *a, bool entered); /* a form over it was closed; may be NULL */
    const struct keymap_row *(*keys)(const struct app *a, unsigned *now); /* what its keys do */
};

enum { APP_HEARD_MAX = 32, APP_BACK_MAX = 8 };

/* What lies over the screen, if anything. */
enum overlay { OVERLAY_NONE, OVERLAY_FORM, OVERLAY_PAGE, OVERLAY_ACTS };

struct heard_alarm {
    char key[64];
    struct uptime at; /* when it last rang */
    bool heard;       /* Space was pressed */
};

struct app {
    struct dairy *dairy;
    struct term *term;
    struct clock clock;
    struct loop *loop;  /* borrowed: it waits for us */
    struct instant now; /* of the turn that is being handled */
    int64_t carried_s;  /* what is under way goes on by the clock as it was before it was set by so much */
    bool new_dairy;     /* opened on an empty file: set-up comes first */
    bool throw_away;    /* the demonstration: nothing is kept */

    struct board *board;
    struct fail board_fail; /* why the board is out of date, or code FAIL_NONE */
    enum cadence cadence;   /* what is on the screen counts down by the second, or by the minute */

    const struct screen *screen;
    const struct screen *back[APP_BACK_MAX];
    int back_count;

    enum overlay overlay;
    struct form_view form;
    const struct act_kind *form_act;
    struct page page;
    const char *page_title;
    int act_choice, act_top;

    struct message message;

    /* An act that met a busy file, to be tried again. */
    struct {
        const struct act_kind *kind; /* NULL: none */
        struct form form;
        bool undo;
        int64_t undo_entry;
        struct instant at;
        struct uptime next;
        int tries;
        bool from_form; /* should it be refused after all, its form comes back with every line */
    } pending;

    struct heard_alarm alarm[APP_HEARD_MAX];
    int alarms;
    int ringing; /* index of the alarm that waits to be heard, or -1 */

    int64_t renewed_min; /* the minute in which the screen was last renewed */

    int watch_fd; /* inotify: the file was written by somebody */
    bool look_again;
    struct uptime look_at;

    /* board */
    int pane, stall, batch, row;
    bool follow; /* the chore under the cursor follows what is next */
    /* cow page */
    int64_t cow_id;
    /* others keep theirs in their own file's struct, hung here */
    struct cow_state *cow;
    struct journal_state *journal;
    struct setup_state *setup;
    struct relief_state *relief;
    struct weights_state *weights;
    struct herd_state *herd;
    struct chill_state *chill;
    struct shelf_look *shelf;
    struct trace_state *trace;
    struct share_state *share;
    struct ahead_state *ahead;
    struct supply_state *supply;
    struct feed_state *feed;
    struct wash_state *wash;
    struct tonight_state *tonight;
    struct probe_desk *probes; /* NULL: none is in use */
    int probe_round_ms;        /* they are read so often; 0: as usual. Tests have no time */
};

struct app_options {
    const char *db_path;
    bool demo;
    struct clock clock;
    enum term_colour colour;
};

/* Opens the terminal on the dairy and runs until the keeper leaves. Returns 0, or -1 with the reason. */
int app_run(struct dairy *d, const struct app_options *o, struct fail *f);

/* The same in parts, for tests that bring their own terminal, clock and loop: open (*a is all zero), begin a loop with
 * app_hooks and the app as its context, attach; and at the end close. */
int app_open(struct app *a, struct dairy *d, struct term *t, struct clock clock, struct fail *f);
void app_attach(struct app *a, struct loop *loop);
void app_close(struct app *a);
extern const struct loop_hooks app_hooks;

/* ---- for screens ---- */

/* Goes to a screen, or back to the one before. */
unsigned app_go(struct app *a, const struct screen *s);
unsigned app_back(struct app *a);

/* Opens an entry form for an act; presets are filled with app_preset(). */
unsigned app_form(struct app *a, const char *act, const char *title);
void app_preset(struct app *a, const char *key, const char *text);

/* Does an act at once: words as `record` takes them ("step=strip", "cow=Maud"), ended by NULL. */
unsigned app_act(struct app *a, const char *act, const char *const words[]);

/* Brings the time and the board up to date when something came in between two passes. */
void app_look(struct app *a);

/* Takes an entry of the journal back; 0: the last act. */
unsigned app_undo(struct app *a, int64_t entry);

/* Shows a working, or any page that was filled in a->page. */
unsigned app_show_working(struct app *a, const struct working *w);
unsigned app_show_page(struct app *a, const char *title);

/* Says something on the message line. */
void app_say(struct app *a, enum role role, const char *format, ...) __attribute__((format(printf, 3, 4)));
unsigned app_fail(struct app *a, const struct fail *f);

/* A quantity in the dairy's units; the text lives until the sixteenth call after. */
const char *app_quantity(const struct app *a, double si, enum dimension dim);

/* The screens. */
extern const struct screen board_screen, cow_screen, journal_screen, setup_screen, clock_screen;
extern const struct screen chill_screen, tonight_screen;
extern const struct screen herd_screen, relief_screen, weights_screen;
extern const struct screen shelf_screen, trace_screen, share_screen;
extern const struct screen ahead_screen, supply_screen, feed_screen;
extern const struct screen wash_screen;
extern const struct screen *const app_screens[]; /* those that a letter opens, ended by NULL */

#endif
