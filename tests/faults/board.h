/* The board on a terminal, under whatever goes wrong around it. */
#ifndef TESTS_FAULTS_BOARD_H
#define TESTS_FAULTS_BOARD_H

#include "tests/pty/pty.h"

/* Opens it on the records at `path`, at 06:30 of the small dairy's morning, and waits for the first picture.
 * `front` are words before the program (prlimit, setpriv ...), ended by NULL; may be NULL, as may settings.
 */
void board_open(struct pty *p, const char *path, const char *const front[], const char *const settings[]);

/* Brings the cursor to the chores and ticks one there; true when the board says that it is entry `number`. */
bool board_ticks(struct pty *p, long number);

/* Presses the blank in every pane, as board_ticks does, where nothing can be saved: true if the board never
 * says that entry, and says these words. */
bool board_refuses(struct pty *p, long number, const char *says);

/* True when the board says what was done as entry `number`. */
bool board_says(struct pty *p, long number);

/* It answers keys: a page opens and closes again. */
bool board_answers(struct pty *p);

/* Presses q, and violation() when it does not leave as it should. */
void board_leave(struct pty *p, const char *what);

#endif
