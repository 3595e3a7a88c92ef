/* The page of keys, made from the tables that also do the keys' work. */
#ifndef TUI_HELP_H
#define TUI_HELP_H

#include "tui/app.h"

unsigned help_show(struct app *a);

/* The keys that work on every screen. */
extern const struct keymap_row common_keys[];

/* The bottom line of every screen: its own keys, then these. */
void draw_bottom(struct app *a, struct rect r);

#endif
