/* The terminal's own members, for the files that make up term.h. They are the only ones that know curses. */
#ifndef TUI_KIT_TERM_INSIDE_H
#define TUI_KIT_TERM_INSIDE_H

#include <curses.h>

#include "tui/kit/term.h"

/* Bytes and escape sequences on their way to being keys. */
struct key_reader {
    unsigned char bytes[4]; /* of a character that is not complete */
    int have, need;
    bool in_paste;
    bool in_sequence; /* inside an escape sequence that no key has: dropped up to its end */
    int sequence_bytes;
};

struct term {
    SCREEN *screen;
    WINDOW *keys; /* a pad: reading from a window would refresh it */
    int in_fd, out_fd;
    enum depth depth;
    attr_t attributes[ROLE_COUNT];
    short pairs[ROLE_COUNT];
    struct canvas canvas, shown;  /* what is to be there, what is there */
    cchar_t run[CANVAS_COLS_MAX]; /* part of a row on its way to curses */
    bool repaint;
    bool borrowed, silent, is_tty, flashes, pastes;
    struct key_reader reader;
    sigset_t wait_mask;
};

/* Teaches curses both spellings of the arrows and their like, and the marks around a paste. */
void keys_define(void);

#endif
