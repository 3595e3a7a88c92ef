/* The board in a terminal of the test's own. */
#ifndef TESTS_TUI_BOARD_RIG_H
#define TESTS_TUI_BOARD_RIG_H

#include "tests/tty/tty.h"
#include "tui/app.h"

struct board_rig {
    struct dairy *dairy;
    struct app app;
    struct tty tty;
};

/* Opens the board on a file (made if it is not there) at a moment. Stops the test on failure. */
void board_rig_open(struct board_rig *rig, const char *path, const char *at, const struct tty_kind *kind,
                    int rows, int cols);
void board_rig_close(struct board_rig *rig);

/* The terminal most people have. */
extern const struct tty_kind usual_terminal;

/* The demonstration's dairy as a file of its own, scratch_path(name): copied from one that is made once for a test
 * case, by its unchecked fixture (libcheck runs that before it forks). */
void demo_master_open(void);
void demo_master_close(void);
const char *demo_copy(const char *name);
#define DEMO_AT "2026-05-03T06:41"

#endif
