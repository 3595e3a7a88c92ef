/* The program on a terminal of its own, seen as a person sees it: a pseudo-terminal for its keys and its
 * output, and libvterm, an emulator that is none of ours, for what stands on the screen. */
#ifndef TESTS_PTY_PTY_H
#define TESTS_PTY_PTY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>
#include <termios.h>
#include <vterm.h>

struct pty {
    pid_t pid; /* 0: it has ended and was waited for */
    int status;
    int master, slave; /* -1: closed */
    int rows, cols;
    VTerm *vt;
    VTermScreen *screen;
    struct termios before; /* modes as they were when it started */
    long bytes;            /* that it has written */
    long controls; /* of these, sequences that set a title, ask for an answer, or print: none is ours */
    int scan;
    bool alternate, hidden,
        pastes;   /* what it has switched on: the other screen, no cursor, marks of pastes */
    char tail[8]; /* of its output, since a switch may come in two parts */
};

/* Starts `words` (ended by NULL) with further "NAME=VALUE" settings (may be NULL) on a terminal of type
 * `term`
 * ("" : TERM is not set). */
void pty_open(struct pty *p, const char *const words[], const char *const settings[], const char *term,
              int rows, int cols);

/* Shows what the program writes until it has been quiet for so long, or the limit is over. False when it has
 * closed the terminal. */
bool pty_pump(struct pty *p, int quiet_ms, int limit_ms);

/* Waits until the screen shows the words. */
bool pty_wait_for(struct pty *p, const char *words, int limit_ms);

/* Sends bytes, as fast as they are taken; false when they were not within two seconds. */
bool pty_send(struct pty *p, const void *bytes, size_t size);
bool pty_type(struct pty *p, const char *text);

/* Changes the size. The emulator begins anew (libvterm 0.1.4 may crash when it is resized), so the screen is
 * blank until the program has painted it. */
void pty_resize(struct pty *p, int rows, int cols);

/* One row as text, blanks at the end left off; and whether any shows the words; and how many cells show
 * anything. */
const char *pty_row(struct pty *p, int row, char *buf, size_t size);
bool pty_shows(struct pty *p, const char *words);
long pty_ink(struct pty *p);

/* Waits for its end; false when it did not come. Its status is then in p->status. */
bool pty_wait_end(struct pty *p, int limit_ms);

/* True if the terminal is as it was: modes, main screen, cursor shown, pastes unmarked; and if only its modes
 * are. */
bool pty_is_restored(const struct pty *p);
bool pty_modes_restored(const struct pty *p);

/* Ends what is left of it: SIGTERM, then SIGKILL. */
void pty_close(struct pty *p);

/* Closes our end, as a terminal window does. */
void pty_hang_up(struct pty *p);

#endif
