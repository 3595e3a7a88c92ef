/* The terminal: the one module that starts and ends it, reads its keys and shows a canvas on it. Everything
 * it changes on the tty is put back by term_close(), at exit, and when the program is killed or crashes. */
#ifndef TUI_KIT_TERM_H
#define TUI_KIT_TERM_H

#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "core/base/fail.h"
#include "tui/kit/canvas.h"
#include "tui/kit/rect.h"

enum term_colour {
    TERM_COLOUR_AUTO,   /* what terminfo says, none if NO_COLOR is set and not empty */
    TERM_COLOUR_NEVER,  /* --no-color */
    TERM_COLOUR_ALWAYS, /* NO_COLOR does not count */
};

struct term_options {
    FILE *in, *out;   /* NULL: standard input and output, which must be a terminal */
    const char *type; /* NULL: $TERM */
    int rows, cols;   /* 0: as large as it is */
    enum term_colour colour;
    bool borrowed; /* signals, exit and crash are somebody else's business: a test runs us in its process */
    bool silent;   /* no bell */
};

struct term;

/* Takes the terminal over. The locale must be set before (setlocale). On failure nothing was touched and *f
 * has the sentence to print: no terminal, no type, a type that cannot move its cursor. One at a time; free
 * with term_close(). */
struct term *term_open(const struct term_options *o, struct fail *f);

/* Gives it back as it was. NULL is fine. */
void term_close(struct term *t);

/* The picture of the next term_show(). */
struct rect term_rect(struct term *t);
struct canvas *term_canvas(struct term *t);
enum depth term_depth(const struct term *t);

/* Sends what changed since the last time. The terminal's cursor is hidden, and stays where the last change
 * was: parking it would cost more bytes than a clock digit does. */
void term_show(struct term *t);

/* Makes the next term_show() paint every cell, as after rubbish from another program. */
void term_repaint(struct term *t);

/* A key, if there is one now; never waits. */
struct press {
    int key;     /* see press.h */
    bool pasted; /* it came in a paste: text for an entry, never a command */
};
bool term_press(struct term *t, struct press *out);

/* The paste mark that ends a paste was lost (a line dropped in between): what comes now is typed again. */
void term_end_paste(struct term *t);

/* Asks how large the terminal is now; true if that changed. The canvas is then blank. */
bool term_fit(struct term *t);

/* The same with a size that is known. */
bool term_resize(struct term *t, int rows, int cols);

/* Bell and flash: the one place that makes noise. */
void term_alarm(struct term *t);

/* Stops the program as Ctrl-Z does, with the terminal as the shell wants it, and takes it over again. */
void term_suspend(struct term *t);

/* Takes the terminal over again after others may have used it. */
void term_resume(struct term *t);

int term_input_fd(const struct term *t);

/* Signals are blocked from term_open() to term_close() but for the moments in which the loop waits; their
 * handlers only set these. Take reads and clears. */
enum {
    TERM_SIGNAL_END = 1,       /* INT, TERM */
    TERM_SIGNAL_GONE = 2,      /* HUP: do not write to the terminal any more */
    TERM_SIGNAL_RESIZE = 4,    /* WINCH */
    TERM_SIGNAL_SUSPEND = 8,   /* TSTP */
    TERM_SIGNAL_CONTINUE = 16, /* CONT: we were stopped, and others used the terminal */
};
unsigned term_take_signals(struct term *t);

/* The signal mask to wait with. */
const sigset_t *term_wait_mask(const struct term *t);

#endif
