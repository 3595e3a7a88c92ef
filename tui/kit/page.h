/* A page of text to read and scroll: the working of a figure, the help. Lines are added once and broken to
 * the width when drawn. */
#ifndef TUI_KIT_PAGE_H
#define TUI_KIT_PAGE_H

#include <stdbool.h>
#include <stddef.h>

#include "tui/kit/rect.h"

enum { PAGE_LINES_MAX = 512, PAGE_TEXT_MAX = 48 * 1024 };

struct page {
    struct page_line {
        unsigned start;       /* in text */
        unsigned char role;   /* enum role */
        unsigned char indent; /* columns before it; its further lines stand in 2 more */
        unsigned char label;  /* columns kept for a label that ends at the first tab, or 0 */
    } line[PAGE_LINES_MAX];
    int count;
    char text[PAGE_TEXT_MAX];
    size_t used;
    bool full;
    int top;  /* first broken line shown */
    int rows; /* broken lines in all, and lines shown, when last drawn */
    int shown;
};

/* Empties it and goes to its top. */
void page_clear(struct page *p);

/* Adds a paragraph; an empty one is an empty line. What does not fit is left out, and the page says so at its
 * end. */
void page_add(struct page *p, enum role role, int indent, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Adds a line of two columns: a label of `width` columns, and text that is broken beside it. */
void page_add_pair(struct page *p, int indent, enum role role, int width, const char *label,
                   const char *text);

/* Arrows, PgUp, PgDn, Space, Home, End. True if the key was one of them. */
bool page_press(struct page *p, int key);

void draw_page(struct rect r, struct page *p);

#endif
