/* What the keys do, as a table: the dispatch, the key bar at the bottom, the help page and the tests read the
 * same rows, so none of them can be out of date. */
#ifndef TUI_KIT_KEYMAP_H
#define TUI_KIT_KEYMAP_H

#include <stdbool.h>
#include <stddef.h>

#include "tui/kit/page.h"
#include "tui/kit/rect.h"

struct keymap_row {
    int key;           /* code point or PRESS_* */
    int key_last;      /* for a range such as '1'..'4', else 0 */
    const char *label; /* as the bar names the key; NULL: press_name() */
    const char *name;  /* one or two words: "tick"; NULL: a second key for something, kept off bar and help */
    const char *help;  /* one line */
    unsigned when;     /* conditions that must hold for it to make sense; 0: always */
    int id;            /* what is to be done: the screen's own number, not 0 */
    bool keep;         /* on the bar even when there is little room */
};

/* A table is rows ended by an all-zero one, the most important first. */

/* The row for a key under the conditions that hold now, or NULL. */
const struct keymap_row *keymap_find(const struct keymap_row *rows, int key, unsigned now);

/* Draws the bar: as many keys as fit, in the table's order, those that are to be kept in any case. Returns
 * the column where more of it may stand. */
int draw_keymap(struct rect r, int row, const struct keymap_row *rows, unsigned now);

/* Adds the table to a help page under a title; keys that make no sense now are faint. */
void keymap_help(struct page *p, const char *title, const struct keymap_row *rows, unsigned now);

/* Every slip that a table can have: a key twice under the same conditions, a name too long, no help. Returns
 * NULL or what is wrong, for tests. */
const char *keymap_fault(const struct keymap_row *rows);

#endif
