/* The picture of a screen in memory: a grid of cells, each with one character and one role. Drawing only ever
 * changes a canvas; term_show() sends the difference to the terminal. So drawing is the same with and without
 * a terminal, a whole screen can be drawn anew at every change, and only what differs costs anything. */
#ifndef TUI_KIT_CANVAS_H
#define TUI_KIT_CANVAS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/fail.h"
#include "core/base/text.h"
#include "tui/kit/glyph.h"
#include "tui/kit/theme.h"

/* A character that takes two columns has its cell (columns 2) and a tail behind it (columns 0). Either half
 * may be drawn over; the half that is left counts as blank. No padding, so cells compare as bytes. */
struct cell {
    uint32_t base;                 /* code point; ' ' for a blank */
    uint32_t mark[TEXT_MARKS_MAX]; /* marks on it, or 0 */
    uint8_t role;                  /* enum role */
    uint8_t columns;               /* 1, 2, or 0 for a tail */
    uint8_t flipped;               /* 1: under the cursor, drawn in reverse */
    uint8_t unused;
};

enum { CANVAS_ROWS_MAX = 500, CANVAS_COLS_MAX = 1000 };

struct canvas {
    int rows, cols;
    enum charset charset;
    struct cell *cells; /* rows * cols, row by row; owned */
};

/* n, but not less than low nor more than high; low when they cross. */
static inline int int_between(int low, int n, int high)
{
    int most = n > high ? high : n;
    return most < low ? low : most;
}

/* Gives the canvas a size (cut to 1 .. the limits above) and blanks it. An all-zero canvas is a valid start.
 * When memory is short the old size stays. */
int canvas_resize(struct canvas *c, int rows, int cols, struct fail *f);
void canvas_release(struct canvas *c);

/* Blanks everything. */
void canvas_erase(struct canvas *c);

/* The cell at a place, or NULL outside. Borrowed until the next resize. */
static inline struct cell *canvas_at(const struct canvas *c, int row, int col)
{
    if (row < 0 || col < 0 || row >= c->rows || col >= c->cols)
        return NULL;
    return &c->cells[(size_t)row * (size_t)c->cols + (size_t)col];
}

/* What really shows at a place: a blank for half of a wide character whose other half is drawn over. */
struct cell canvas_shown(const struct canvas *c, int row, int col);

/* One row as UTF-8 text, blanks at the end left off. Returns buf. */
const char *canvas_row_text(const struct canvas *c, int row, char *buf, size_t size);

#endif
