#include "tui/kit/cells.h"

#include <stddef.h>
#include <string.h>

struct cells cells_of(const char *text, const char *end, enum charset set)
{
    return (struct cells){.s = text, .end = end, .set = set};
}

static bool at_end(const struct cells *it)
{
    return it->s == it->end || *it->s == '\0';
}

static bool is_mark(uint32_t code)
{
    return text_classify(code) == TEXT_MARK && text_columns(code) == 0;
}

/* Moves past the marks at it->s, keeping the first two on a letter. ASCII has none to show. */
static void take_marks(struct cells *it, struct cell *cell)
{
    bool letter = it->set != CHARSET_ASCII && it->rest_count > 0 && cell->base != ' ' && cell->base != 0xFFFD;
    int kept = letter ? 0 : TEXT_MARKS_MAX;
    while (!at_end(it) && (unsigned char)*it->s >= 0x80) {
        int length;
        uint32_t code = text_decode(it->s, &length);
        bool mark = is_mark(code);
        if (!mark && text_classify(code) != TEXT_DROPPED)
            return;
        if (mark && kept < TEXT_MARKS_MAX)
            cell->mark[kept++] = code;
        it->s += length;
    }
}

/* The code point to show for the character at it->s, 0 for nothing. */
static uint32_t take_code(struct cells *it)
{
    int length;
    uint32_t code = text_decode(it->s, &length);
    it->s += length;
    switch (text_classify(code)) {
    case TEXT_SHOWN: return code;
    case TEXT_SPACE: return ' ';
    case TEXT_BAD: return 0xFFFD;
    case TEXT_DROPPED: return 0;
    case TEXT_MARK: return is_mark(code) ? 0 : code; /* some marks take a column of their own */
    }
    return 0;
}

static void cell_set(struct cell *out, uint32_t code)
{
    *out = (struct cell){.base = code, .columns = (uint8_t)(code < 0x7F ? 1 : text_columns(code))};
}

bool cells_next(struct cells *it, struct cell *out)
{
    if (it->rest_at < it->rest_count) {
        cell_set(out, it->rest[it->rest_at++]);
        return true;
    }
    while (!at_end(it)) {
        if (cells_plain(it->s)) {
            cell_set(out, (unsigned char)*it->s++);
            return true;
        }
        uint32_t code = take_code(it);
        if (code == 0)
            continue;
        it->rest_count = glyph_stand_in(code, it->set, it->rest);
        it->rest_at = 1;
        if (it->rest_count > 0)
            cell_set(out, it->rest[0]);
        take_marks(it, out);
        if (it->rest_count > 0)
            return true;
    }
    return false;
}

int cells_width(const char *text, const char *end, enum charset set)
{
    struct cells it = cells_of(text, end, set);
    struct cell cell;
    int columns = 0;
    for (; it.s != end && cells_plain(it.s); it.s++)
        columns++;
    while (cells_next(&it, &cell))
        columns += cell.columns;
    return columns;
}

int cells_step(const char *s, enum charset set, const char **next)
{
    int length;
    if (cells_plain(s)) {
        *next = s + 1;
        return 1;
    }
    (void)text_decode(s, &length);
    *next = s + length;
    if (length == 0)
        return 0;
    while (**next != '\0' && text_classify(text_decode(*next, &length)) == TEXT_MARK)
        *next += length;
    return cells_width(s, *next, set);
}

static void cell_store(struct rect r, int row, int col, const struct cell *cell)
{
    if (row < 0 || row >= r.rows || col < 0 || col >= r.cols)
        return;
    struct cell *at = canvas_at(r.canvas, r.row + row, r.col + col);
    if (at != NULL)
        *at = *cell;
}

void cell_put(struct rect r, int row, int col, const struct cell *cell)
{
    struct cell first = *cell, second = {.role = cell->role};
    if (cell->columns == 2 && (col < 0 || col + 1 >= r.cols))
        first = second = (struct cell){.base = ' ', .role = cell->role, .columns = 1};
    cell_store(r, row, col, &first);
    if (cell->columns == 2)
        cell_store(r, row, col + 1, &second);
}

void cell_put_code(struct rect r, int row, int col, enum role role, uint32_t code)
{
    struct cell cell = {.base = code, .role = (uint8_t)role, .columns = 1};
    cell_store(r, row, col, &cell);
}
