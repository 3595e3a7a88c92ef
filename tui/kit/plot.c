#include "tui/kit/plot.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "tui/kit/cells.h"

/* Bits of a braille cell by [row][column], as Unicode numbers them from U+2800. */
static const uint8_t dot_bits[4][2] = {
    {0x01, 0x08},
    {0x02, 0x10},
    {0x04, 0x20},
    {0x40, 0x80}
};

void plot_init(struct plot *p, int rows, int cols)
{
    p->rows = int_between(0, rows, PLOT_ROWS_MAX);
    p->cols = int_between(0, cols, PLOT_COLS_MAX);
    for (int row = 0; row < p->rows; row++)
        memset(p->dots[row], 0, (size_t)p->cols);
}

void plot_dot(struct plot *p, int x, int y, enum role role)
{
    if (x < 0 || y < 0 || x >= plot_dots_wide(p) || y >= plot_dots_high(p))
        return;
    unsigned across = (unsigned)x, down = (unsigned)y;
    p->dots[down / 4][across / 2] |= dot_bits[down % 4][across % 2];
    p->role[down / 4][across / 2] = (uint8_t)role;
}

/* Cuts the line to low <= a <= high along one axis (a the coordinate cut, b the other one); false when
 * nothing is left. */
static bool clip(double *a0, double *b0, double *a1, double *b1, double low, double high)
{
    if ((*a0 < low && *a1 < low) || (*a0 > high && *a1 > high))
        return false;
    double slope = *a1 == *a0 ? 0 : (*b1 - *b0) / (*a1 - *a0);
    double start_a = *a0, start_b = *b0;
    double edge0 = fmin(fmax(*a0, low), high), edge1 = fmin(fmax(*a1, low), high);
    *b0 = edge0 == *a0 ? *b0 : start_b + (edge0 - start_a) * slope;
    *b1 = edge1 == *a1 ? *b1 : start_b + (edge1 - start_a) * slope;
    *a0 = edge0;
    *a1 = edge1;
    return true;
}

/* Most lines lie inside as they are, and need no cutting. */
static bool inside(const struct plot *p, double x, double y)
{
    return x >= 0 && y >= 0 && x < plot_dots_wide(p) && y < plot_dots_high(p);
}

/* What is left of a line between its ends; false when nothing is. */
static bool cut(const struct plot *p, double *x0, double *y0, double *x1, double *y1)
{
    if (inside(p, *x0, *y0) && inside(p, *x1, *y1))
        return true;
    if (!isfinite(*x0) || !isfinite(*y0) || !isfinite(*x1) || !isfinite(*y1))
        return false;
    return clip(x0, y0, x1, y1, -1, plot_dots_wide(p)) && clip(y0, x0, y1, x1, -1, plot_dots_high(p));
}

/* The nearest whole number, halves away from zero as lround() has it: this is asked for every point of a curve. */
static int nearest(double value)
{
    return (int)(value < 0 ? value - 0.5 : value + 0.5);
}

/* One coordinate on its way: after i of so many steps it is at its start and length * i / steps, to the nearest whole
 * number. What is over is carried along, in halves of a step, since a division for each dot is dear. */
struct way {
    int at, direction, length, over;
};

static struct way way_of(int from, int length, int steps)
{
    return (struct way){.at = from, .direction = length < 0 ? -1 : 1, .length = abs(length), .over = steps};
}

static void way_step(struct way *w, int steps)
{
    w->over += 2 * w->length;
    if (w->over >= 2 * steps) {
        w->over -= 2 * steps;
        w->at += w->direction;
    }
}

void plot_line(struct plot *p, double x0, double y0, double x1, double y1, enum role role)
{
    if (!cut(p, &x0, &y0, &x1, &y1))
        return;
    /* From dot to dot, so that lines which share an end share a dot, and no step is drawn twice as thick. */
    int from_x = nearest(x0), from_y = nearest(y0);
    int across = nearest(x1) - from_x, down = nearest(y1) - from_y;
    int steps = abs(across) > abs(down) ? abs(across) : abs(down);
    struct way x = way_of(from_x, across, steps), y = way_of(from_y, down, steps);
    for (int i = 0; i <= steps; i++) {
        plot_dot(p, x.at, y.at, role);
        way_step(&x, steps);
        way_step(&y, steps);
    }
}

static bool shade_has(enum shade shade, int x, int y)
{
    switch (shade) {
    case SHADE_FULL: return true;
    case SHADE_HALF: return (x + y) % 2 == 0;
    case SHADE_QUARTER: return x % 2 == 0 && y % 2 == 0;
    }
    return true;
}

void plot_fill(struct plot *p, int x, int y0, int y1, enum shade shade, enum role role)
{
    int top = int_between(0, y0 < y1 ? y0 : y1, plot_dots_high(p));
    int bottom = int_between(-1, y0 < y1 ? y1 : y0, plot_dots_high(p) - 1);
    if (shade == SHADE_QUARTER && x % 2 != 0)
        return;
    for (int y = top; y <= bottom; y++)
        if (shade_has(shade, x, y))
            plot_dot(p, x, y, role);
}

void plot_dashes(struct plot *p, int y, enum role role)
{
    for (int x = 0; x < plot_dots_wide(p); x++)
        if (x % 4 < 2)
            plot_dot(p, x, y, role);
}

void plot_drop(struct plot *p, int x, enum role role)
{
    for (int y = 0; y < plot_dots_high(p); y += 2)
        plot_dot(p, x, y, role);
}

void plot_draw(const struct plot *p, struct rect r)
{
    for (int row = 0; row < p->rows; row++)
        for (int col = 0; col < p->cols; col++)
            if (p->dots[row][col] != 0)
                cell_put_code(r, row, col, (enum role)p->role[row][col],
                              glyph_braille(p->dots[row][col], r.canvas->charset));
}

/* Dots of a column of the sparkline: at least one for a value that exists. */
static int spark_height(double value, double low, double high)
{
    if (!isfinite(value))
        return 0;
    double share = high > low ? (value - low) / (high - low) : 0;
    return int_between(1, 1 + (int)lround(fmin(fmax(share, 0), 1) * 3), 4);
}

void draw_spark(struct rect r, int row, int col, int cols, enum role role, const double *values, int count,
                double low, double high)
{
    int slots = 2 * cols;
    for (int cell = 0; cell < cols; cell++) {
        uint8_t dots = 0;
        for (int side = 0; side < 2; side++) {
            int index = count - slots + 2 * cell + side;
            int height = index < 0 ? 0 : spark_height(values[index], low, high);
            for (int y = 4 - height; y < 4; y++)
                dots |= dot_bits[y][side];
        }
        if (dots != 0)
            cell_put_code(r, row, col + cell, role, glyph_braille(dots, r.canvas->charset));
    }
}
