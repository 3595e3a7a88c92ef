/* From the canvas to curses: only what changed since the last time, so that drawing a whole screen anew costs
 * no more than its difference. Curses in turn sends the least that the terminal can be told. */
#include <string.h>
#include <wchar.h>

#include "tui/kit/term_inside.h"

/* The character and marks of a cell as curses takes them. Should the C library measure a character otherwise
 * than we do, curses would move everything after it: it is then replaced. Returns its columns. */
static int wide_text(const struct cell *cell, wchar_t text[CCHARW_MAX + 1])
{
    bool ascii = cell->base < 0x7F;
    bool agreed = ascii || wcwidth((wchar_t)cell->base) == cell->columns;
    int n = 0;
    text[n++] = agreed ? (wchar_t)cell->base : (wchar_t)0xFFFD;
    for (int i = 0; agreed && i < TEXT_MARKS_MAX; i++)
        if (cell->mark[i] != 0 && wcwidth((wchar_t)cell->mark[i]) == 0)
            text[n++] = (wchar_t)cell->mark[i];
    text[n] = L'\0';
    return agreed ? cell->columns : 1;
}

/* The row under the cursor is one bar in the terminal's own colours; what is in reverse anyway shows as a gap
 * in it, and keeps its colour. */
static int make_cell(const struct term *t, const struct cell *cell, cchar_t *out)
{
    wchar_t text[CCHARW_MAX + 1];
    int columns = wide_text(cell, text);
    attr_t attributes = t->attributes[cell->role] ^ (cell->flipped ? A_REVERSE : A_NORMAL);
    bool in_bar = cell->flipped && (attributes & A_REVERSE) != 0;
    (void)setcchar(out, text, attributes, in_bar ? 0 : t->pairs[cell->role], NULL);
    return columns;
}

/* One cell after the other: curses itself sees to the halves of wide characters. */
static void show_wide_span(const struct term *t, int row, int first, int last)
{
    cchar_t out;
    (void)wmove(stdscr, row, first);
    for (int col = first; col <= last; col++) {
        struct cell cell = canvas_shown(&t->canvas, row, col);
        if (cell.columns == 0)
            continue;
        int columns = make_cell(t, &cell, &out);
        (void)wadd_wch(stdscr, &out); /* ERR in the last corner, where there is nowhere to go on */
        if (columns < cell.columns)
            (void)waddch(stdscr, ' ');
    }
}

/* The same for cells of one column, several times as fast. */
static void show_plain_span(struct term *t, int row, int first, int last)
{
    const struct cell *cells = canvas_at(&t->canvas, row, 0);
    for (int col = first; col <= last; col++)
        (void)make_cell(t, &cells[col], &t->run[col - first]);
    (void)mvwadd_wchnstr(stdscr, row, first, t->run, last - first + 1);
}

static bool has_wide(const struct cell *cells, int first, int last)
{
    for (int col = first; col <= last; col++)
        if (cells[col].columns != 1)
            return true;
    return false;
}

/* Sends the changed part of one row. It is widened by a cell on either side, since drawing over half of a
 * wide character changes the other half too. */
static bool show_row(struct term *t, int row)
{
    const struct cell *now = canvas_at(&t->canvas, row, 0), *was = canvas_at(&t->shown, row, 0);
    int cols = t->canvas.cols, first = 0, last = cols - 1;
    if (memcmp(now, was, (size_t)cols * sizeof *now) == 0)
        return false;
    while (memcmp(&now[first], &was[first], sizeof *now) == 0)
        first++;
    while (memcmp(&now[last], &was[last], sizeof *now) == 0)
        last--;
    first = first > 0 ? first - 1 : 0;
    last = last < cols - 1 ? last + 1 : last;
    while (first > 0 && now[first].columns == 0)
        first--;
    if (has_wide(now, first, last) || has_wide(was, first, last))
        show_wide_span(t, row, first, last);
    else
        show_plain_span(t, row, first, last);
    return true;
}

void term_show(struct term *t)
{
    bool changed = t->repaint;
    for (int row = 0; row < t->canvas.rows; row++)
        changed = show_row(t, row) || changed;
    if (!changed)
        return;
    if (t->repaint)
        (void)clearok(curscr, TRUE);
    t->repaint = false;
    (void)wnoutrefresh(stdscr);
    (void)doupdate();
    memcpy(t->shown.cells, t->canvas.cells,
           (size_t)t->canvas.rows * (size_t)t->canvas.cols * sizeof *t->shown.cells);
}
