/* "Something else": the list of everything that can be entered; choosing one opens its form. */
#ifndef TUI_ACTS_LIST_H
#define TUI_ACTS_LIST_H

#include "tui/app.h"

unsigned acts_list_open(struct app *a);
unsigned acts_list_press(struct app *a, int key);
void acts_list_draw(struct app *a, struct rect r);

#endif
