/* What keeps the terminal whole whatever happens: signals that are only noted, and a terminal put back at
 * exit and after a crash. Inside the kit only. */
#ifndef TUI_KIT_GUARD_H
#define TUI_KIT_GUARD_H

#include <signal.h>
#include <termios.h>

enum { GUARD_RESET_MAX = 256 };

/* What a crash writes and sets: made ready beforehand, since a signal handler may do next to nothing. */
struct guard_reset {
    int fd;
    struct termios modes;
    int has_modes;
    char text[GUARD_RESET_MAX];
    size_t length;
};

/* Blocks the signals and notes them from now on; *wait_mask is what to wait with. Every crash writes *reset.
 */
void guard_on(const struct guard_reset *reset, sigset_t *wait_mask);

/* Runs `close` at exit while it is set; NULL takes it back. */
void guard_at_exit(void (*close)(void));

/* Everything as it was before guard_on(). */
void guard_off(void);

/* The signals noted since the last call, as TERM_SIGNAL_*. */
unsigned guard_take(void);

/* Stops this process as Ctrl-Z would, and returns when it goes on. */
void guard_stop(void);

#endif
