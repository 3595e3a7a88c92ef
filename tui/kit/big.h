/* Figures that can be read from three metres: digits drawn with blocks, at any whole scale. At scale 1 they
 * are 3 rows high, then 5, 8, 10, 13, 15 ...; in ASCII 3 (drawn with _ and |), then 5, 10, 15 ... (drawn with
 * #). All digits are equally wide, so a count-down does not wobble. Known signs: 0-9 . : - + ° C F h m i n
 * and the blank, and the letters of KEEP and DO NOT KEEP; others are left out. */
#ifndef TUI_KIT_BIG_H
#define TUI_KIT_BIG_H

#include "tui/kit/rect.h"

int big_rows(enum charset set, int scale);
int big_cols(enum charset set, int scale, const char *text);

/* The largest scale at which text fits the rectangle; 0 when even the smallest does not. */
int big_scale(struct rect r, const char *text);

/* Draws text with its upper left corner at (row, col). Returns the column after it. Scale 0 draws nothing. */
int draw_big(struct rect r, int row, int col, enum role role, int scale, const char *text);

#endif
