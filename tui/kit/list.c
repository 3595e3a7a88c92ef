#include "tui/kit/list.h"

#include "tui/kit/draw.h"
#include "tui/kit/press.h"

void list_count(struct list *l, int count)
{
    l->count = count < 0 ? 0 : count;
    list_select(l, l->selected);
}

void list_select(struct list *l, int row)
{
    l->selected = int_between(0, row, l->count - 1);
}

bool list_press(struct list *l, int key)
{
    int page = l->page > 1 ? l->page - 1 : 1;
    switch (key) {
    case PRESS_UP: list_select(l, l->selected - 1); return true;
    case PRESS_DOWN: list_select(l, l->selected + 1); return true;
    case PRESS_PAGE_UP: list_select(l, l->selected - page); return true;
    case PRESS_PAGE_DOWN: list_select(l, l->selected + page); return true;
    case PRESS_HOME: list_select(l, 0); return true;
    case PRESS_END: list_select(l, l->count - 1); return true;
    default: return false;
    }
}

static void scroll_to_selected(struct list *l, int rows)
{
    l->page = rows;
    if (l->selected >= l->top + rows)
        l->top = l->selected - rows + 1;
    if (l->selected < l->top)
        l->top = l->selected;
    l->top = int_between(0, l->top, l->count - rows);
}

void draw_list(struct rect r, struct list *l, bool has_keys, list_row_fn draw_row, void *context)
{
    if (r.rows <= 0 || r.cols <= 0)
        return;
    scroll_to_selected(l, r.rows);
    struct rect rows = r;
    bool scrolls = l->count > r.rows && r.cols > 1;
    struct rect edge = scrolls ? rect_take_right(&rows, 1) : rect_part(r, 0, 0, 0, 0);
    for (int i = 0; i < r.rows && l->top + i < l->count; i++) {
        struct rect row = rect_part(rows, i, 0, 1, rows.cols);
        draw_row(context, row, l->top + i);
        if (has_keys && l->top + i == l->selected)
            draw_flip(row);
    }
    if (l->top > 0)
        (void)draw_text(edge, 0, 0, ROLE_FAINT, GLYPH_UP);
    if (l->top + r.rows < l->count)
        (void)draw_text(edge, edge.rows - 1, 0, ROLE_FAINT, GLYPH_DOWN);
}
