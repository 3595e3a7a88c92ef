#include "tui/kit/canvas.h"

#include <stdlib.h>
#include <string.h>

static const struct cell blank = {.base = ' ', .role = ROLE_CHALK, .columns = 1};

int canvas_resize(struct canvas *c, int rows, int cols, struct fail *f)
{
    rows = int_between(1, rows, CANVAS_ROWS_MAX);
    cols = int_between(1, cols, CANVAS_COLS_MAX);
    struct cell *cells = realloc(c->cells, (size_t)rows * (size_t)cols * sizeof *cells);
    if (cells == NULL)
        return fail_memory(f);
    c->cells = cells;
    c->rows = rows;
    c->cols = cols;
    canvas_erase(c);
    return 0;
}

void canvas_release(struct canvas *c)
{
    free(c->cells);
    *c = (struct canvas){0};
}

void canvas_erase(struct canvas *c)
{
    size_t cols = (size_t)c->cols;
    for (size_t i = 0; i < cols; i++)
        c->cells[i] = blank;
    for (size_t row = 1; row < (size_t)c->rows; row++)
        memcpy(&c->cells[row * cols], c->cells, cols * sizeof *c->cells);
}

struct cell canvas_shown(const struct canvas *c, int row, int col)
{
    const struct cell *cell = canvas_at(c, row, col);
    if (cell == NULL)
        return blank;
    const struct cell *before = canvas_at(c, row, col - 1), *after = canvas_at(c, row, col + 1);
    bool headless = cell->columns == 0 && (before == NULL || before->columns != 2);
    bool tailless = cell->columns == 2 && (after == NULL || after->columns != 0);
    struct cell shown = *cell;
    if (headless || tailless) {
        shown.base = ' ';
        shown.mark[0] = shown.mark[1] = 0;
        shown.columns = 1;
    }
    return shown;
}

static size_t append(char *buf, size_t size, size_t used, uint32_t code)
{
    char bytes[4];
    size_t n = code == 0 ? 0 : text_encode(code, bytes);
    if (used + n + 1 > size)
        return used;
    memcpy(buf + used, bytes, n);
    return used + n;
}

const char *canvas_row_text(const struct canvas *c, int row, char *buf, size_t size)
{
    size_t used = 0, end = 0;
    for (int col = 0; col < c->cols; col++) {
        struct cell cell = canvas_shown(c, row, col);
        if (cell.columns == 0)
            continue;
        used = append(buf, size, used, cell.base);
        for (int i = 0; i < TEXT_MARKS_MAX; i++)
            used = append(buf, size, used, cell.mark[i]);
        if (cell.base != ' ')
            end = used;
    }
    if (size > 0)
        buf[end] = '\0';
    return buf;
}
