/* The working of a figure as a page to read: what `?` shows. */
#ifndef TUI_KIT_WORKING_PAGE_H
#define TUI_KIT_WORKING_PAGE_H

#include "core/base/working.h"
#include "tui/kit/page.h"

/* Adds the result, why a figure does not exist, the cautions, what was given and where from, the steps, and
 * the sources. */
void page_add_working(struct page *p, const struct working *w, enum unit_system units);

#endif
