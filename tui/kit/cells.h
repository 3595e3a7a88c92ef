/* Text taken apart into the cells that a terminal shows. The one place where text is made harmless on its way
 * to the screen: controls, formats and broken bytes become U+FFFD, line ends and tabs a blank, marks stand on
 * their letter (two at most), and what the terminal lacks is replaced. Inside the kit only. */
#ifndef TUI_KIT_CELLS_H
#define TUI_KIT_CELLS_H

#include <stdbool.h>

#include "tui/kit/canvas.h"
#include "tui/kit/rect.h"

struct cells {
    const char *s;   /* what is still to come */
    const char *end; /* stop here, between two characters; NULL: at the zero byte */
    enum charset set;
    uint32_t rest[GLYPH_STAND_IN_MAX]; /* of a stand-in of several characters */
    int rest_at, rest_count;
};

struct cells cells_of(const char *text, const char *end, enum charset set);

/* The character at s is a letter, digit or sign of ASCII, and no mark can follow it: by far the commonest. */
static inline bool cells_plain(const char *s)
{
    return s[0] >= ' ' && s[0] < 0x7F && (unsigned char)s[1] < 0x80;
}

/* The next cell (role not set); false at the end. */
bool cells_next(struct cells *it, struct cell *out);

/* Columns of the text up to `end` (NULL: all). */
int cells_width(const char *text, const char *end, enum charset set);

/* The character at s with the marks on it: stores where the next one begins, returns its columns. */
int cells_step(const char *s, enum charset set, const char **next);

/* Puts one cell at a place of r, if it is inside. A wide character of which only half is inside is shown as a
 * blank. */
void cell_put(struct rect r, int row, int col, const struct cell *cell);

/* The same for a plain character of one column. */
void cell_put_code(struct rect r, int row, int col, enum role role, uint32_t code);

#endif
