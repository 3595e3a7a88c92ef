#include "tui/kit/press.h"

#include <stddef.h>
#include <stdio.h>
#include <string.h>

static const struct {
    int key;
    const char *name;
} names[] = {
    {' ',               "Space"    },
    {PRESS_UP,          "Up"       },
    {PRESS_DOWN,        "Down"     },
    {PRESS_LEFT,        "Left"     },
    {PRESS_RIGHT,       "Right"    },
    {PRESS_HOME,        "Home"     },
    {PRESS_END,         "End"      },
    {PRESS_PAGE_UP,     "PgUp"     },
    {PRESS_PAGE_DOWN,   "PgDn"     },
    {PRESS_ENTER,       "Enter"    },
    {PRESS_ESC,         "Esc"      },
    {PRESS_TAB,         "Tab"      },
    {PRESS_BACK_TAB,    "Shift-Tab"},
    {PRESS_BACKSPACE,   "Backspace"},
    {PRESS_DELETE,      "Delete"   },
    {PRESS_DELETE_WORD, "Ctrl-W"   },
    {PRESS_DELETE_ALL,  "Ctrl-U"   },
    {PRESS_REPAINT,     "Ctrl-L"   },
};

enum { NAME_COUNT = sizeof names / sizeof names[0] };

const char *press_name(int key, char buf[PRESS_NAME_MAX])
{
    buf[0] = '\0';
    for (size_t i = 0; i < NAME_COUNT; i++)
        if (names[i].key == key)
            (void)snprintf(buf, PRESS_NAME_MAX, "%s", names[i].name);
    if (buf[0] == '\0' && key > ' ' && key < 0x7F) {
        buf[0] = (char)key;
        buf[1] = '\0';
    }
    return buf;
}

int press_from_name(const char *name)
{
    for (size_t i = 0; i < NAME_COUNT; i++)
        if (strcmp(names[i].name, name) == 0)
            return names[i].key;
    if (name[0] > ' ' && name[0] < 0x7F && name[1] == '\0')
        return name[0];
    return PRESS_NONE;
}
