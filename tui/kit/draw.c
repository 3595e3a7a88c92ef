#include "tui/kit/draw.h"

#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "tui/kit/cells.h"

int draw_width(enum charset set, const char *text)
{
    return cells_width(text, NULL, set);
}

static uint32_t cut_sign(enum charset set)
{
    return set == CHARSET_FULL ? 0x2026 : '~';
}

/* Draws cells from `col` while they end at or before column `limit`. */
static void put_cells(struct rect r, int row, int col, int limit, enum role role, struct cells it)
{
    struct cell cell;
    struct cell *at = col < 0 ? NULL : canvas_at(r.canvas, r.row + row, r.col + col);
    int room = int_between(0, limit, int_between(0, r.canvas->cols - r.col, r.cols));
    /* Most texts are plain, one byte a column; a mark may follow the last plain letter before another one. */
    for (; at != NULL && col < room && it.s != it.end && cells_plain(it.s); col++, it.s++)
        *at++ = (struct cell){.base = (unsigned char)*it.s, .role = (uint8_t)role, .columns = 1};
    while (col < limit && cells_next(&it, &cell) && col + cell.columns <= limit) {
        cell.role = (uint8_t)role;
        cell_put(r, row, col, &cell);
        col += cell.columns;
    }
}

/* Columns of text, given up once it is clear that it is longer than `most`: a megabyte costs no more than a
 * line. */
static int width_up_to(const char *text, enum charset set, int most)
{
    struct cell cell;
    int columns = 0;
    for (; columns <= most && cells_plain(text); text++)
        columns++;
    struct cells it = cells_of(text, NULL, set);
    while (columns <= most && cells_next(&it, &cell))
        columns += cell.columns;
    return columns;
}

int draw_text(struct rect r, int row, int col, enum role role, const char *text)
{
    if (row < 0 || row >= r.rows || col >= r.cols || r.cols <= 0)
        return col;
    /* A start far to the left would only be walked past. */
    int from = col < -DRAW_TEXT_MAX ? -DRAW_TEXT_MAX : col;
    int width = width_up_to(text, r.canvas->charset, r.cols - from);
    bool fits = from + width <= r.cols;
    put_cells(r, row, from, fits ? r.cols : r.cols - 1, role, cells_of(text, NULL, r.canvas->charset));
    if (!fits)
        cell_put_code(r, row, r.cols - 1, role, cut_sign(r.canvas->charset));
    return from + width;
}

int draw_textf(struct rect r, int row, int col, enum role role, const char *format, ...)
{
    char text[DRAW_TEXT_MAX];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return draw_text(r, row, col, role, text);
}

/* The next place after `from` where a part ends; the end of the text if there is none. */
static const char *part_end(const char *from)
{
    for (const char *at = from; *at != '\0'; at++)
        if ((strchr(",;:.", *at) != NULL && at[1] == ' ') || (at > from && at[0] == ' ' && at[1] == ' '))
            return at;
    return from + strlen(from);
}

const char *draw_parts(struct rect r, int row, int col, enum role role, const char *text)
{
    char fits[DRAW_TEXT_MAX] = "", longer[DRAW_TEXT_MAX];
    const char *rest = text;
    while (*rest != '\0') {
        const char *end = part_end(rest);
        (void)snprintf(longer, sizeof longer, "%.*s", (int)(end - text), text);
        if (fits[0] != '\0' && col + draw_width(r.canvas->charset, longer) > r.cols)
            break;
        (void)snprintf(fits, sizeof fits, "%s", longer);
        rest = end + strspn(end, ",;:. ");
    }
    (void)draw_text(r, row, col, role, fits);
    return rest;
}

int draw_before(struct rect r, int row, int end, enum role role, const char *text)
{
    struct rect left = rect_part(r, 0, 0, r.rows, end);
    int width = width_up_to(text, r.canvas->charset, left.cols);
    int col = left.cols > width ? left.cols - width : 0;
    (void)draw_text(left, row, col, role, text);
    return col;
}

int draw_right(struct rect r, int row, enum role role, const char *text)
{
    return draw_before(r, row, r.cols, role, text);
}

int draw_rightf(struct rect r, int row, enum role role, const char *format, ...)
{
    char text[DRAW_TEXT_MAX];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return draw_right(r, row, role, text);
}

int draw_centre(struct rect r, int row, enum role role, const char *text)
{
    int width = width_up_to(text, r.canvas->charset, r.cols);
    int col = r.cols > width ? (r.cols - width) / 2 : 0;
    (void)draw_text(r, row, col, role, text);
    return col;
}

/* One line of a broken text: its bytes, without the blanks at the break. */
struct line {
    const char *start, *end;
};

/* Takes the next line of at most `cols` columns off *text; false at its end. Breaks at the last blank that
 * fits, at a line end, or in the middle of a word that is longer than the line. Always moves on. */
static bool line_take(const char **text, enum charset set, int cols, struct line *out)
{
    const char *s = *text, *break_at = NULL;
    int used = 0;
    if (*s == '\0')
        return false;
    out->start = s;
    while (*s != '\0' && *s != '\n') {
        const char *next;
        int columns = cells_step(s, set, &next);
        if (*s == ' ')
            break_at = s;
        if (used + columns > cols && (s > out->start || break_at != NULL))
            break;
        used += columns;
        s = next;
    }
    if (*s != '\0' && *s != '\n' && break_at != NULL && break_at > out->start)
        s = break_at;
    out->end = s;
    if (*s == '\n')
        s++;
    else
        while (*s == ' ')
            s++;
    *text = s;
    return true;
}

/* Walks the lines; draws those of r when it has a canvas to draw on. */
static int wrap(const struct rect *r, enum charset set, int cols, int row, int indent, enum role role,
                const char *text)
{
    struct line line;
    int lines = 0;
    int hang = indent < cols ? indent : 0;
    while (line_take(&text, set, cols - (lines > 0 ? hang : 0), &line)) {
        if (r != NULL && row >= 0 && row < r->rows)
            put_cells(*r, row, lines > 0 ? hang : 0, r->cols, role, cells_of(line.start, line.end, set));
        lines++;
        if (row < INT_MAX)
            row++;
    }
    return lines;
}

int draw_wrapped(struct rect r, int row, int indent, enum role role, const char *text)
{
    return wrap(&r, r.canvas->charset, r.cols, row, indent, role, text);
}

int draw_wrapped_rows(enum charset set, int cols, int indent, const char *text)
{
    return wrap(NULL, set, cols, 0, indent, ROLE_CHALK, text);
}

void draw_fill(struct rect r, enum role role, uint32_t code)
{
    for (int row = 0; row < r.rows; row++)
        for (int col = 0; col < r.cols; col++)
            cell_put_code(r, row, col, role, code);
}

void draw_erase(struct rect r)
{
    draw_fill(r, ROLE_CHALK, ' ');
}

void draw_flip(struct rect r)
{
    for (int row = 0; row < r.rows; row++)
        for (int col = 0; col < r.cols; col++) {
            struct cell *cell = canvas_at(r.canvas, r.row + row, r.col + col);
            if (cell != NULL)
                cell->flipped = 1;
        }
}

/* Eighths of a block from the left; a whole one is U+2588. */
static uint32_t eighths(int n, enum charset set)
{
    if (set == CHARSET_ASCII)
        return n >= 4 ? '#' : '.';
    if (n == 0)
        return 0x2591;
    if (n == 8)
        return 0x2588;
    if (set == CHARSET_CONSOLE)
        return n >= 4 ? 0x258C : 0x2591;
    return (uint32_t)(0x2590 - n);
}

void draw_bar(struct rect r, int row, int col, int cols, enum role role, double fraction)
{
    if (!(fraction == fraction) || cols <= 0)
        return;
    double full = fraction < 0 ? 0 : fraction > 1 ? 1 : fraction;
    int filled = (int)(full * cols * 8 + 0.5);
    for (int i = 0; i < cols; i++) {
        int part = int_between(0, filled - i * 8, 8);
        cell_put_code(r, row, col + i, part > 0 ? role : ROLE_FAINT, eighths(part, r.canvas->charset));
    }
}
