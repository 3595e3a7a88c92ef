/* Drawing into a rectangle. Rows and columns count from the rectangle's corner and may lie outside it. Text
 * is UTF-8 from anywhere: it is made harmless here, replaced where the terminal lacks a character, measured
 * in columns and cut at the rectangle's edge, where the last column then shows `…`. Runs of blanks are kept.
 */
#ifndef TUI_KIT_DRAW_H
#define TUI_KIT_DRAW_H

#include <stdint.h>

#include "tui/kit/rect.h"

/* Longest text that the printf-like functions make; the rest is cut. */
enum { DRAW_TEXT_MAX = 1024 };

/* Columns that text takes when drawn with that set of characters. */
int draw_width(enum charset set, const char *text);

/* Draws text from `col` on. Returns the column after it, so that calls can be chained; that may be beyond the
 * edge. */
int draw_text(struct rect r, int row, int col, enum role role, const char *text);
int draw_textf(struct rect r, int row, int col, enum role role, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* Draws of text made of parts (set apart by a comma, semicolon, colon or full stop and a blank, or by two blanks)
 * as many as fit whole, from the first on; a first part that does not fit is cut as draw_text() does. Returns
 * where the parts that are left begin, at the end of the text when none is. */
const char *draw_parts(struct rect r, int row, int col, enum role role, const char *text);

/* Draws text so that it ends at the right edge (draw_right) or before column `end` (draw_before), or in the
 * middle. Returns the column where it begins. Text that is too long keeps its beginning. */
int draw_right(struct rect r, int row, enum role role, const char *text);
int draw_rightf(struct rect r, int row, enum role role, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
int draw_before(struct rect r, int row, int end, enum role role, const char *text);
int draw_centre(struct rect r, int row, enum role role, const char *text);

/* Draws text broken at blanks (and at line ends) into lines as wide as r, from `row` down; lines after the
 * first begin `indent` columns further right. Returns the number of lines it takes, those outside r included.
 */
int draw_wrapped(struct rect r, int row, int indent, enum role role, const char *text);

/* The number of lines that draw_wrapped() would take at that width. */
int draw_wrapped_rows(enum charset set, int cols, int indent, const char *text);

/* Blanks the rectangle, fills it with one character (of one column), or turns it into the row under the
 * cursor: what stands there is shown in reverse. */
void draw_erase(struct rect r);
void draw_fill(struct rect r, enum role role, uint32_t code);
void draw_flip(struct rect r);

/* A line across the row with a title and, at its right end, a remark; each may be NULL.
 *      ─ STALLS ──────────────────────── 12 of 23 ─
 * The line is of role ROLE_RULE, the title of `role`: ROLE_ACCENT for the pane that has the keys. */
void draw_rule(struct rect r, int row, enum role role, const char *title, const char *remark);

/* A line down the column, over all rows of r. Where it meets lines across it joins them: at its own first and
 * last row as ┬ and ┴, between as ┼. */
void draw_upright(struct rect r, int col);

/* A box around r, joined to lines that are there, with a title. */
void draw_box(struct rect r, enum role role, const char *title);

/* A bar of `cols` columns filled by `fraction` (cut to 0..1; NaN draws nothing). */
void draw_bar(struct rect r, int row, int col, int cols, enum role role, double fraction);

#endif
