/* Rectangles of a canvas. A screen is cut into rectangles, and everything is drawn through one: nothing ever
 * reaches a cell outside it. A rectangle may be empty, or lie partly or wholly outside its canvas; drawing
 * then draws what there is room for. */
#ifndef TUI_KIT_RECT_H
#define TUI_KIT_RECT_H

#include "tui/kit/canvas.h"

struct rect {
    struct canvas *canvas;
    int row, col;   /* of its corner, on the canvas */
    int rows, cols; /* 0 or more */
};

/* The whole canvas. */
struct rect rect_whole(struct canvas *c);

/* The part of r from (row, col) of r, so many rows and columns, cut to r. */
struct rect rect_part(struct rect r, int row, int col, int rows, int cols);

/* r without a margin. */
struct rect rect_inset(struct rect r, int rows, int cols);

/* Take rows or columns off one side: returns what was taken (less if there is less), *r keeps the rest. */
struct rect rect_take_top(struct rect *r, int rows);
struct rect rect_take_bottom(struct rect *r, int rows);
struct rect rect_take_left(struct rect *r, int cols);
struct rect rect_take_right(struct rect *r, int cols);

/* One part of a split: so many cells, or (size 0) a share of what is left by weight. `least` is what a
 * flexible part needs to be worth drawing: below it the part gets nothing and its room goes to the others,
 * the last such part first. */
struct part {
    int size;
    int weight;
    int least;
};

enum { RECT_PARTS_MAX = 16 };

/* Cuts r into `count` (at most RECT_PARTS_MAX) parts side by side or one below the other, with `gap` cells
 * between those that are not empty. Fixed parts come first; when even they do not fit, the last ones are cut.
 */
void rect_split_cols(struct rect r, const struct part *parts, int count, int gap, struct rect *out);
void rect_split_rows(struct rect r, const struct part *parts, int count, int gap, struct rect *out);

#endif
