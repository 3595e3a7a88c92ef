/* From what curses reads to presses. Characters are put together here and not by curses: its wide reading
 * keeps up to 16 further keys back after one byte that is not UTF-8. */
#include <string.h>

#include "tui/kit/press.h"
#include "tui/kit/term_inside.h"

enum { PASTE_BEGINS = KEY_MAX + 1, PASTE_ENDS = KEY_MAX + 2 };
enum { BYTE_ESC = 0x1B, SEQUENCE_BYTES_MAX = 64 };

/* Terminals send one of several spellings whatever their entry says; none of these means anything else. */
static const struct {
    const char *bytes;
    int code;
} spellings[] = {
    {"\033[A",    KEY_UP      },
    {"\033OA",    KEY_UP      },
    {"\033[B",    KEY_DOWN    },
    {"\033OB",    KEY_DOWN    },
    {"\033[C",    KEY_RIGHT   },
    {"\033OC",    KEY_RIGHT   },
    {"\033[D",    KEY_LEFT    },
    {"\033OD",    KEY_LEFT    },
    {"\033[H",    KEY_HOME    },
    {"\033OH",    KEY_HOME    },
    {"\033[1~",   KEY_HOME    },
    {"\033[7~",   KEY_HOME    },
    {"\033[F",    KEY_END     },
    {"\033OF",    KEY_END     },
    {"\033[4~",   KEY_END     },
    {"\033[8~",   KEY_END     },
    {"\033[5~",   KEY_PPAGE   },
    {"\033[6~",   KEY_NPAGE   },
    {"\033[3~",   KEY_DC      },
    {"\033[Z",    KEY_BTAB    },
    {"\033OM",    KEY_ENTER   },
    {"\033[200~", PASTE_BEGINS},
    {"\033[201~", PASTE_ENDS  },
};

static const struct {
    int code, press;
} named[] = {
    {KEY_UP,        PRESS_UP         },
    {KEY_DOWN,      PRESS_DOWN       },
    {KEY_LEFT,      PRESS_LEFT       },
    {KEY_RIGHT,     PRESS_RIGHT      },
    {KEY_HOME,      PRESS_HOME       },
    {KEY_END,       PRESS_END        },
    {KEY_PPAGE,     PRESS_PAGE_UP    },
    {KEY_NPAGE,     PRESS_PAGE_DOWN  },
    {KEY_DC,        PRESS_DELETE     },
    {KEY_BACKSPACE, PRESS_BACKSPACE  },
    {KEY_BTAB,      PRESS_BACK_TAB   },
    {KEY_ENTER,     PRESS_ENTER      },
    {'\r',          PRESS_ENTER      },
    {'\n',          PRESS_ENTER      },
    {'\t',          PRESS_TAB        },
    {'\b',          PRESS_BACKSPACE  },
    {0x7F,          PRESS_BACKSPACE  },
    {BYTE_ESC,      PRESS_ESC        },
    {'L' & 0x1F,    PRESS_REPAINT    },
    {'U' & 0x1F,    PRESS_DELETE_ALL },
    {'W' & 0x1F,    PRESS_DELETE_WORD},
};

void keys_define(void)
{
    for (size_t i = 0; i < sizeof spellings / sizeof spellings[0]; i++)
        (void)define_key(spellings[i].bytes, spellings[i].code);
}

static int named_press(int code)
{
    for (size_t i = 0; i < sizeof named / sizeof named[0]; i++)
        if (named[i].code == code)
            return named[i].press;
    return PRESS_NONE;
}

static int bytes_needed(int first)
{
    return first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : first >= 0xC0 ? 2 : 1;
}

/* Adds a byte to a character; true when there is one to hand on. Bytes that are not UTF-8 become U+FFFD, so
 * that a paste in another encoding shows where it was not understood. */
static bool take_byte(struct key_reader *k, int byte, int *key)
{
    bool goes_on = (byte & 0xC0) == 0x80;
    if (k->have == 0 || !goes_on)
        k->need = bytes_needed(byte);
    if (!goes_on)
        k->have = 0;
    k->bytes[k->have++] = (unsigned char)byte;
    if (k->have < k->need && k->bytes[0] >= 0xC0)
        return false;
    char text[5] = "";
    int length;
    memcpy(text, k->bytes, (size_t)k->have);
    k->have = 0;
    *key = (int)text_decode(text, &length);
    return true;
}

/* Swallows one byte of a sequence that is not known. Its end is a byte from @ to ~; anything that cannot be
 * part of one ends it too. */
static void pass_sequence(struct key_reader *k, int byte)
{
    bool part = byte >= 0x20 && byte < 0x40;
    k->in_sequence = part && ++k->sequence_bytes < SEQUENCE_BYTES_MAX;
}

/* After Esc: a bracket or an O that is there at once begins the sequence of a key that we do not have. What a
 * person types comes later, or is something else; it is left to be read. */
static bool begins_sequence(struct term *t)
{
    int next = wgetch(t->keys);
    if (next == '[' || next == 'O') {
        t->reader.in_sequence = true;
        t->reader.sequence_bytes = 0;
        return true;
    }
    if (next != ERR)
        (void)ungetch(next);
    return false;
}

static bool take_code(struct term *t, int code, struct press *out)
{
    struct key_reader *k = &t->reader;
    k->have = 0;
    k->in_sequence = code == KEY_MOUSE; /* the beginning of a report that nobody asked for */
    k->sequence_bytes = 0;
    if (code == PASTE_BEGINS || code == PASTE_ENDS) {
        k->in_paste = code == PASTE_BEGINS;
        *out = (struct press){PRESS_NONE, true};
        return k->in_paste;
    }
    *out = (struct press){named_press(code), false};
    return !k->in_paste && out->key != PRESS_NONE;
}

/* A control byte: a key when typed; in a paste only blanks of some kind are text. */
static bool take_control(struct term *t, int byte, struct press *out)
{
    t->reader.have = 0;
    if (byte == BYTE_ESC && begins_sequence(t))
        return false;
    if (t->reader.in_paste) {
        *out = (struct press){byte, true};
        return byte == '\n' || byte == '\r' || byte == '\t';
    }
    *out = (struct press){named_press(byte), false};
    return out->key != PRESS_NONE;
}

static bool take(struct term *t, int c, struct press *out)
{
    struct key_reader *k = &t->reader;
    if (c >= KEY_MIN)
        return take_code(t, c, out);
    if (k->in_sequence) {
        pass_sequence(k, c);
        return false;
    }
    if (c < ' ' || c == 0x7F)
        return take_control(t, c, out);
    out->pasted = k->in_paste;
    return take_byte(k, c, &out->key);
}

bool term_press(struct term *t, struct press *out)
{
    int c;
    while ((c = wgetch(t->keys)) != ERR)
        if (take(t, c, out))
            return true;
    return false;
}

void term_end_paste(struct term *t)
{
    t->reader.in_paste = false;
}
