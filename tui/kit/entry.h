/* A line to type into. It keeps its text, its place and its scroll by itself, so redrawing, resizing or an
 * alarm in between change nothing. Editing is by whole characters: a letter and the marks on it go together.
 */
#ifndef TUI_KIT_ENTRY_H
#define TUI_KIT_ENTRY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "tui/kit/rect.h"

enum { ENTRY_MAX = 512 };

struct entry {
    char text[ENTRY_MAX]; /* UTF-8, safe to show; read it freely, change it through the functions */
    size_t length;        /* bytes */
    size_t limit;         /* most bytes it takes, less than ENTRY_MAX */
    size_t at;            /* byte before which the caret stands */
    int scroll;           /* columns hidden at the left; kept by drawing */
};

/* Opens it with some text (cleaned and cut to `limit`, 0 for the most there can be), the caret at its end. */
void entry_init(struct entry *e, const char *text, size_t limit);

/* True if the key belongs to the entry (it writes, moves or deletes), even when it could do nothing. */
bool entry_press(struct entry *e, int key);

/* Puts in one character of a paste: always text. Line ends and tabs become a blank. False if it did not go
 * in.
 */
bool entry_paste(struct entry *e, uint32_t code);

/* Draws it over `cols` columns, with the caret if it has the keys. Long text scrolls sideways. */
void draw_entry(struct rect r, int row, int col, int cols, struct entry *e, bool has_keys);

/* Every invariant: text is valid and clean, the caret stands between characters. For assert and tests. */
bool entry_ok(const struct entry *e);

#endif
