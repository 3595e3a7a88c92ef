#include "tui/kit/rect.h"

#include <assert.h>

struct rect rect_whole(struct canvas *c)
{
    return (struct rect){c, 0, 0, c->rows, c->cols};
}

struct rect rect_part(struct rect r, int row, int col, int rows, int cols)
{
    int top = int_between(0, row, r.rows), left = int_between(0, col, r.cols);
    int bottom = int_between(0, row + (rows > 0 ? rows : 0), r.rows);
    int right = int_between(0, col + (cols > 0 ? cols : 0), r.cols);
    int high = bottom > top ? bottom - top : 0, wide = right > left ? right - left : 0;
    return (struct rect){r.canvas, r.row + top, r.col + left, high, wide};
}

struct rect rect_inset(struct rect r, int rows, int cols)
{
    return rect_part(r, rows, cols, r.rows - 2 * rows, r.cols - 2 * cols);
}

struct rect rect_take_top(struct rect *r, int rows)
{
    struct rect taken = rect_part(*r, 0, 0, rows, r->cols);
    *r = rect_part(*r, taken.rows, 0, r->rows - taken.rows, r->cols);
    return taken;
}

struct rect rect_take_bottom(struct rect *r, int rows)
{
    int keep = r->rows - int_between(0, rows, r->rows);
    struct rect taken = rect_part(*r, keep, 0, r->rows - keep, r->cols);
    *r = rect_part(*r, 0, 0, keep, r->cols);
    return taken;
}

struct rect rect_take_left(struct rect *r, int cols)
{
    struct rect taken = rect_part(*r, 0, 0, r->rows, cols);
    *r = rect_part(*r, 0, taken.cols, r->rows, r->cols - taken.cols);
    return taken;
}

struct rect rect_take_right(struct rect *r, int cols)
{
    int keep = r->cols - int_between(0, cols, r->cols);
    struct rect taken = rect_part(*r, 0, keep, r->rows, r->cols - keep);
    *r = rect_part(*r, 0, 0, r->rows, keep);
    return taken;
}

/* Gives flexible parts their shares of `room`. The remainder of each division goes on to the parts after it,
 * so that the shares add up. */
static void share_out(const struct part *parts, int count, const bool *dropped, int room, int *length)
{
    int weights = 0;
    for (int i = 0; i < count; i++)
        if (parts[i].size == 0 && !dropped[i])
            weights += parts[i].weight;
    for (int i = 0; i < count; i++) {
        if (parts[i].size != 0 || dropped[i])
            continue;
        length[i] = weights > 0 ? room * parts[i].weight / weights : 0;
        room -= length[i];
        weights -= parts[i].weight;
    }
}

/* The last flexible part that came out smaller than it is worth, or -1. */
static int part_too_small(const struct part *parts, int count, const bool *dropped, const int *length)
{
    assert(count <= RECT_PARTS_MAX);
    for (int i = count - 1; i >= 0; i--)
        if (parts[i].size == 0 && !dropped[i] && (length[i] < parts[i].least || length[i] == 0))
            return i;
    return -1;
}

static int gaps_between(const struct part *parts, int count, const bool *dropped, int gap)
{
    int present = 0;
    for (int i = 0; i < count; i++)
        present += !dropped[i] && (parts[i].size > 0 || parts[i].weight > 0);
    return present > 1 ? (present - 1) * gap : 0;
}

static void split(int total, const struct part *parts, int count, int gap, int *start, int *length)
{
    bool dropped[RECT_PARTS_MAX] = {false};
    assert(count <= RECT_PARTS_MAX);
    int fixed = 0, small;
    for (int i = 0; i < count; i++) {
        length[i] = parts[i].size;
        fixed += parts[i].size;
    }
    do {
        int room = int_between(0, total - fixed - gaps_between(parts, count, dropped, gap), total);
        share_out(parts, count, dropped, room, length);
        small = part_too_small(parts, count, dropped, length);
        if (small >= 0) {
            dropped[small] = true;
            length[small] = 0;
        }
    } while (small >= 0);
    int at = 0;
    for (int i = 0; i < count; i++) {
        start[i] = int_between(0, at, total);
        length[i] = int_between(0, length[i], total - start[i]);
        if (length[i] > 0)
            at = start[i] + length[i] + gap;
    }
}

void rect_split_cols(struct rect r, const struct part *parts, int count, int gap, struct rect *out)
{
    int start[RECT_PARTS_MAX] = {0}, length[RECT_PARTS_MAX] = {0};
    split(r.cols, parts, count, gap, start, length);
    for (int i = 0; i < count; i++)
        out[i] = rect_part(r, 0, start[i], r.rows, length[i]);
}

void rect_split_rows(struct rect r, const struct part *parts, int count, int gap, struct rect *out)
{
    int start[RECT_PARTS_MAX] = {0}, length[RECT_PARTS_MAX] = {0};
    split(r.rows, parts, count, gap, start, length);
    for (int i = 0; i < count; i++)
        out[i] = rect_part(r, start[i], 0, length[i], r.cols);
}
