/* Roles, never colours: code says what a piece of text is, one table says how that looks at each colour
 * depth. A state is a word first; the role only repeats it, so every role differs from chalk in monochrome
 * too where the difference matters (watch is bold, stop is reverse). */
#ifndef TUI_KIT_THEME_H
#define TUI_KIT_THEME_H

#include <stdbool.h>

enum role {
    ROLE_CHALK,    /* ordinary text */
    ROLE_FAINT,    /* present but not asking: units, ages, hints */
    ROLE_STRONG,   /* the figure or name a reader looks for */
    ROLE_TITLE,    /* name of a pane */
    ROLE_CALM,     /* in order: KEEP, will make it */
    ROLE_WATCH,    /* soon, or odd: look at it */
    ROLE_STOP,     /* do not: DO NOT KEEP, too warm */
    ROLE_ACCENT,   /* the pane that has the keys */
    ROLE_KEY,      /* names of keys */
    ROLE_FIELD,    /* where one types */
    ROLE_CARET,    /* the place in it */
    ROLE_SELECTED, /* the row under the cursor */
    ROLE_RULE,     /* lines between panes, axes */
    ROLE_CURVE,    /* a plotted line */
    ROLE_BAND,     /* a plotted range behind it */
    ROLE_COUNT
};

enum depth { DEPTH_MONO, DEPTH_8, DEPTH_16, DEPTH_256 };

/* How a role looks: curses attributes and colours (-1 is the terminal's own). The background is always the
 * terminal's own. */
struct look {
    unsigned attributes;
    short colour;
};

struct look theme_look(enum role role, enum depth depth);

/* The depth for a terminal with so many colours; mono when colour is not wanted. */
enum depth theme_depth(int colours, bool wanted);

/* "watch", as tests write it. */
const char *role_name(enum role role);

#endif
