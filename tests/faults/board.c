#include "tests/faults/board.h"

#include <stdio.h>
#include <string.h>
#include <sys/wait.h>

#include "tests/faults/run.h"

enum { WORDS_MAX = 30, PATIENCE_MS = 20000 };

void board_open(struct pty *p, const char *path, const char *const front[], const char *const settings[])
{
    const char *words[WORDS_MAX];
    int n = 0;
    for (int i = 0; front != NULL && front[i] != NULL; i++)
        words[n++] = front[i];
    words[n++] = front == NULL ? program() : program_copy();
    words[n++] = "--db";
    words[n++] = path;
    words[n++] = "--at";
    words[n++] = "2026-05-03T06:30";
    words[n] = NULL;
    pty_open(p, words, settings, "xterm-256color", 30, 100);
    (void)pty_wait_for(p, "CHORES", PATIENCE_MS);
}

bool board_says(struct pty *p, long number)
{
    char wanted[40], text[4096];
    snprintf(wanted, sizeof wanted, "%ld  ", number);
    for (int row = 0; row < p->rows; row++) {
        const char *line = pty_row(p, row, text, sizeof text), *found = strstr(line, wanted);
        if (found != NULL && (found == line || found[-1] == ' '))
            return true;
    }
    return false;
}

static bool says_soon(struct pty *p, long number)
{
    for (int wait = 0; wait < 100 && !board_says(p, number); wait++)
        (void)pty_pump(p, 10, 10);
    return board_says(p, number);
}

bool board_ticks(struct pty *p, long number)
{
    for (int panes = 0; panes < 4; panes++) {
        (void)pty_type(p, " ");
        if (says_soon(p, number))
            return true;
        (void)pty_type(p, "\t");
    }
    return false;
}

bool board_refuses(struct pty *p, long number, const char *says)
{
    for (int panes = 0; panes < 4; panes++) {
        (void)pty_type(p, " ");
        (void)pty_pump(p, 300, 1000);
        if (board_says(p, number))
            return false;
        (void)pty_type(p, "\t");
    }
    return pty_wait_for(p, says, PATIENCE_MS);
}

bool board_answers(struct pty *p)
{
    (void)pty_type(p, "n");
    bool opened = pty_wait_for(p, "Enter what?", PATIENCE_MS);
    (void)pty_type(p, "\033");
    for (int wait = 0; wait < 200 && pty_shows(p, "Enter what?"); wait++)
        (void)pty_pump(p, 10, 10);
    return opened && !pty_shows(p, "Enter what?");
}

void board_leave(struct pty *p, const char *what)
{
    (void)pty_type(p, "q");
    if (!pty_wait_end(p, PATIENCE_MS))
        violation("%s: the board does not leave", what);
    else if (!WIFEXITED(p->status) || WEXITSTATUS(p->status) != 0)
        violation("%s: the board left with status %04x", what, (unsigned)p->status);
    else if (!pty_is_restored(p))
        violation("%s: the terminal is not as it was", what);
    pty_close(p);
}
