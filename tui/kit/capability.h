/* What the terminal's entry in terminfo says, asked before the terminal is touched. Inside the kit only. */
#ifndef TUI_KIT_CAPABILITY_H
#define TUI_KIT_CAPABILITY_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"

enum { CAPABILITY_RESET_MAX = 256 };

struct capability {
    bool flashes;
    bool pastes; /* it understands ANSI sequences, so asking it for paste marks does no harm */
    int rows, cols;
    char reset[CAPABILITY_RESET_MAX]; /* puts it back from whatever it was doing */
    size_t reset_length;
};

/* Looks up `type`. Refuses one that is not known, and one that cannot move its cursor. */
int capability_load(struct capability *c, const char *type, int fd, struct fail *f);

#define PASTE_ON  "\033[?2004h"
#define PASTE_OFF "\033[?2004l"

#endif
