/* A terminal inside the test's own process: a real curses screen of any type and size, keys fed through a
 * pipe, a clock that moves when told to, and the screen read back as text and attributes.
 *
 *     struct tty tty;
 *     tty_open(&tty, &(struct tty_kind){.type = "linux", .utf8 = true, .colour = true}, 24, 80);
 *     tty_begin(&tty, &hooks, &screen);
 *     tty_keys(&tty, "Down Down Enter type:48.5lb Enter wait:60");
 *     tty_expect(&tty, "milk_entered");
 *     tty_close(&tty);
 */
#ifndef TESTS_TTY_TTY_H
#define TESTS_TTY_TTY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "tui/kit/clock.h"
#include "tui/kit/loop.h"
#include "tui/kit/term.h"

struct tty_kind {
    const char *type;
    bool utf8;
    bool colour; /* false: NO_COLOR is set */
};

/* Every terminal a screen must do well on. */
extern const struct tty_kind tty_kinds[];
extern const size_t tty_kind_count;

/* "linux, UTF-8, colour" */
const char *tty_kind_name(const struct tty_kind *kind, char *buf, size_t size);

struct tty {
    struct term *term;
    struct clock_held held; /* move it with clock_held_advance(), then tty_turn() */
    struct clock clock;
    struct loop loop; /* after tty_begin() */
    /* The rest is the harness's own. */
    struct tty_kind kind;
    FILE *in, *out;
    int feed_fd, out_fd;
    long bytes_before;
    bool looping;
};

/* Opens it; stops the test when that fails. Noon, 3 May 2026, America/New_York, to begin with. */
void tty_open(struct tty *tty, const struct tty_kind *kind, int rows, int cols);
void tty_close(struct tty *tty);

/* The same for a test that wants the failure. */
int tty_try(struct tty *tty, const struct tty_kind *kind, int rows, int cols, struct fail *f);

/* Runs a screen on it: the first turn draws. */
void tty_begin(struct tty *tty, const struct loop_hooks *hooks, void *context);
void tty_turn(struct tty *tty);

/* Does what the words say, one turn after each:
 *     Down Enter u 5     presses that key (names as in press_name())
 *     type:48.5_lb       types the text ('_' is a blank, '__' an underscore)
 *     paste:any_text     pastes it, between the marks that a terminal sends
 *     wait:60            lets so many seconds go by, one at a time
 *     size:80x24         resizes the terminal */
void tty_keys(struct tty *tty, const char *words);

/* Puts bytes into the terminal's input as they are, without a turn. */
void tty_feed(struct tty *tty, const void *bytes, size_t size);

/* Bytes that were sent to the terminal since the last call. */
long tty_bytes(struct tty *tty);

/* One row as it is on the terminal, blanks at the end left off. Returns buf. */
const char *tty_row(struct tty *tty, int row, char *buf, size_t size);

/* True if some row shows the text. */
bool tty_shows(struct tty *tty, const char *text);

/* The whole screen: its rows, a line "attributes", and the same rows with a letter for each cell that is not
 * plain, explained below. Allocated; the caller frees it. */
char *tty_screen(struct tty *tty);

/* Compares the screen with tests/screens/NAME.screen. A difference stops the test and prints both screens and
 * the first row that differs. With SCREENS_WRITE=1 in the environment the file is written instead. */
void tty_expect(struct tty *tty, const char *name);

#endif
