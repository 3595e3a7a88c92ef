/* A list of rows with one of them selected, scrolled so that it is seen. Rows are drawn by the owner. */
#ifndef TUI_KIT_LIST_H
#define TUI_KIT_LIST_H

#include <stdbool.h>

#include "tui/kit/rect.h"

struct list {
    int count;
    int selected; /* 0 .. count-1; 0 when empty */
    int top;      /* first row shown */
    int page;     /* rows shown when last drawn, for PgUp and PgDn */
};

/* Tells it how many rows there are now; the selection stays in range. */
void list_count(struct list *l, int count);
void list_select(struct list *l, int row);

/* Arrows, PgUp, PgDn, Home, End. True if the key was one of them. */
bool list_press(struct list *l, int key);

/* Draws one row into r (one row high). */
typedef void (*list_row_fn)(void *context, struct rect r, int row);

/* Draws what fits and keeps the selected row in sight. The selected row is shown in reverse if the list has
 * the keys. The last column shows where more rows are, when there are more than fit. */
void draw_list(struct rect r, struct list *l, bool has_keys, list_row_fn draw_row, void *context);

#endif
