/* A key press: a code point for what writes, or one of the names below. */
#ifndef TUI_KIT_PRESS_H
#define TUI_KIT_PRESS_H

#include <stdbool.h>
#include <stdint.h>

/* Keys that do not write lie above the last code point, so that one int holds either kind. The space bar is
 * ' '; letters come as typed, so 'u' and 'U' differ. */
enum {
    PRESS_NONE = 0,
    PRESS_UP = 0x110000,
    PRESS_DOWN,
    PRESS_LEFT,
    PRESS_RIGHT,
    PRESS_HOME,
    PRESS_END,
    PRESS_PAGE_UP,
    PRESS_PAGE_DOWN,
    PRESS_ENTER,
    PRESS_ESC,
    PRESS_TAB,
    PRESS_BACK_TAB,
    PRESS_BACKSPACE,
    PRESS_DELETE,
    PRESS_DELETE_WORD, /* Ctrl-W */
    PRESS_DELETE_ALL,  /* Ctrl-U */
    PRESS_REPAINT,     /* Ctrl-L; the loop takes it, no screen sees it */
    PRESS_LAST = PRESS_REPAINT
};

/* True for what writes a character: letters, digits, signs, blank. */
static inline bool press_writes(int key)
{
    return key >= ' ' && key < PRESS_UP;
}

enum { PRESS_NAME_MAX = 16 };

/* The key as the key bar names it: "Space", "Enter", "u", "PgUp". Returns buf. */
const char *press_name(int key, char buf[PRESS_NAME_MAX]);

/* The key of that name, or PRESS_NONE. */
int press_from_name(const char *name);

#endif
