/* For work that may take over half a second: a box in the middle of the screen that says what is going on and
 * how far it is. Quick work never shows it. */
#ifndef TUI_KIT_BUSY_H
#define TUI_KIT_BUSY_H

#include <stdbool.h>
#include <stdint.h>

#include "tui/kit/clock.h"
#include "tui/kit/term.h"

struct busy {
    struct term *term; /* NULL: show nothing */
    const struct clock *clock;
    const char *what; /* "Checking the records" */
    struct uptime began, shown;
    bool on_screen;
};

void busy_begin(struct busy *b, struct term *t, const struct clock *clock, const char *what);

/* Says how far it is: done of total, total 0 when that is not known. Shows the box from half a second on, at
 * most four times a second. */
void busy_step(struct busy *b, int64_t done, int64_t total);

/* Takes the box away. The loop's next drawing covers it. */
void busy_end(struct busy *b);

#endif
