/* Dots: a grid of braille cells, two dots wide and four high each, and lines and areas drawn in it. Knows no
 * screen and no scale; chart.h puts axes on it. Dot (0,0) is at the upper left. */
#ifndef TUI_KIT_PLOT_H
#define TUI_KIT_PLOT_H

#include <stdbool.h>
#include <stdint.h>

#include "tui/kit/rect.h"

enum { PLOT_COLS_MAX = 256, PLOT_ROWS_MAX = 80 };

struct plot {
    int cols, rows; /* in cells */
    uint8_t dots[PLOT_ROWS_MAX][PLOT_COLS_MAX];
    uint8_t role[PLOT_ROWS_MAX][PLOT_COLS_MAX]; /* of the last dot set in the cell */
};

/* An empty grid of that many cells (cut to the limits, 0 allowed). Touches only the cells in use. */
void plot_init(struct plot *p, int rows, int cols);

static inline int plot_dots_wide(const struct plot *p)
{
    return p->cols * 2;
}

static inline int plot_dots_high(const struct plot *p)
{
    return p->rows * 4;
}

/* Sets one dot; outside the grid nothing happens. */
void plot_dot(struct plot *p, int x, int y, enum role role);

/* A straight line, both ends included; the parts outside the grid are not walked. */
void plot_line(struct plot *p, double x0, double y0, double x1, double y1, enum role role);

/* How densely an area is dotted, so that areas differ without colour. */
enum shade { SHADE_FULL, SHADE_HALF, SHADE_QUARTER };

/* Dots of column x from y0 to y1 (either order, both included). */
void plot_fill(struct plot *p, int x, int y0, int y1, enum shade shade, enum role role);

/* A dashed line across, every second pair of dots. */
void plot_dashes(struct plot *p, int y, enum role role);

/* A dotted line down. */
void plot_drop(struct plot *p, int x, enum role role);

/* Draws the cells that have dots into r from its corner; the others are left as they are. */
void plot_draw(const struct plot *p, struct rect r);

/* One row of columns rising from the floor, two values a cell, scaled from `low` (no dot but the lowest) to
 * `high` (all four). The last 2 * cols values are shown, at the right end; NaN leaves a gap. */
void draw_spark(struct rect r, int row, int col, int cols, enum role role, const double *values, int count,
                double low, double high);

#endif
