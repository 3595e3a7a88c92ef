#include "tui/kit/page.h"

#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "tui/kit/draw.h"
#include "tui/kit/press.h"

enum { HANG = 2 }; /* columns that the further lines of a paragraph stand in */

static const char cut_short[] = "There is more than this page can hold.";

void page_clear(struct page *p)
{
    p->count = 0;
    p->used = 0;
    p->full = false;
    p->top = p->rows = p->shown = 0;
}

static unsigned char columns(int n)
{
    return (unsigned char)int_between(0, n, UCHAR_MAX);
}

static void line_add(struct page *p, enum role role, int indent, int label, const char *text, size_t bytes)
{
    p->line[p->count++] =
        (struct page_line){(unsigned)p->used, (unsigned char)role, columns(indent), columns(label)};
    memcpy(p->text + p->used, text, bytes);
    p->text[p->used + bytes] = '\0';
    p->used += bytes + 1;
}

/* Room is kept for one last line, which says that the rest is missing. */
static bool room_for(struct page *p, size_t bytes)
{
    if (!p->full &&
        (p->count == PAGE_LINES_MAX - 1 || p->used + bytes + 1 + sizeof cut_short > PAGE_TEXT_MAX)) {
        line_add(p, ROLE_WATCH, 0, 0, cut_short, sizeof cut_short - 1);
        p->full = true;
    }
    return !p->full;
}

void page_add(struct page *p, enum role role, int indent, const char *format, ...)
{
    char text[DRAW_TEXT_MAX];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    if (room_for(p, strlen(text)))
        line_add(p, role, indent, 0, text, strlen(text));
}

void page_add_pair(struct page *p, int indent, enum role role, int width, const char *label, const char *text)
{
    char both[DRAW_TEXT_MAX];
    (void)snprintf(both, sizeof both, "%s\t%s", label, text);
    if (room_for(p, strlen(both)))
        line_add(p, role, indent, width, both, strlen(both));
}

static int last_top(const struct page *p)
{
    return p->rows > p->shown ? p->rows - p->shown : 0;
}

static void scroll_to(struct page *p, int top)
{
    p->top = int_between(0, top, last_top(p));
}

bool page_press(struct page *p, int key)
{
    int step = p->shown > 1 ? p->shown - 1 : 1;
    switch (key) {
    case PRESS_UP: scroll_to(p, p->top - 1); return true;
    case PRESS_DOWN: scroll_to(p, p->top + 1); return true;
    case PRESS_PAGE_UP: scroll_to(p, p->top - step); return true;
    case ' ':
    case PRESS_PAGE_DOWN: scroll_to(p, p->top + step); return true;
    case PRESS_HOME: scroll_to(p, 0); return true;
    case PRESS_END: scroll_to(p, last_top(p)); return true;
    default: return false;
    }
}

/* Draws one line of the page from `row` of r down (which may lie outside it), or only measures it when r has
 * no rows. Returns the rows that it takes. */
static int draw_page_line(struct rect r, int row, const struct page *p, const struct page_line *line)
{
    const char *text = p->text + line->start, *tab = line->label > 0 ? strchr(text, '\t') : NULL;
    struct rect room = rect_part(r, 0, line->indent, r.rows, r.cols - line->indent);
    enum role role = (enum role)line->role;
    int rows;
    if (tab == NULL) {
        rows = draw_wrapped(room, row, HANG, role, text);
    } else {
        char label[DRAW_TEXT_MAX];
        (void)snprintf(label, sizeof label, "%.*s", (int)(tab - text), text);
        (void)draw_text(rect_part(room, 0, 0, room.rows, line->label), row, 0, ROLE_FAINT, label);
        struct rect beside = rect_part(room, 0, line->label + 1, room.rows, room.cols - line->label - 1);
        rows = draw_wrapped(beside, row, 0, role, tab + 1);
    }
    return rows > 0 ? rows : 1;
}

void draw_page(struct rect r, struct page *p)
{
    struct rect text = r, edge = rect_take_right(&text, 1);
    struct rect measure = rect_part(text, 0, 0, 0, text.cols);
    p->rows = 0;
    p->shown = r.rows;
    for (int i = 0; i < p->count; i++)
        p->rows += draw_page_line(measure, 0, p, &p->line[i]);
    scroll_to(p, p->top);
    int row = -p->top;
    for (int i = 0; i < p->count && row < r.rows; i++)
        row += draw_page_line(text, row, p, &p->line[i]);
    if (p->top > 0)
        (void)draw_text(edge, 0, 0, ROLE_FAINT, GLYPH_UP);
    if (p->top < last_top(p))
        (void)draw_text(edge, edge.rows - 1, 0, ROLE_FAINT, GLYPH_DOWN);
}
