/* Kept apart because term.h of curses defines words such as `lines` and `columns`. */
#include "tui/kit/capability.h"

#include <curses.h>
#include <string.h>
#include <term.h>

static const char *string_of(const char *name)
{
    const char *s = tigetstr(name);
    return s == NULL || s == (const char *)-1 ? "" : s; /* NOLINT(performance-no-int-to-ptr): so curses defines it */
}

/* Appends what it says without padding: in a crash there is no time to wait. */
static void reset_add(struct capability *c, const char *s)
{
    while (*s != '\0' && c->reset_length + 1 < sizeof c->reset) {
        const char *end = s[0] == '$' && s[1] == '<' ? strchr(s, '>') : NULL;
        if (end != NULL) {
            s = end + 1;
            continue;
        }
        c->reset[c->reset_length++] = *s++;
    }
}

static void reset_make(struct capability *c)
{
    const char *leave = string_of("rmcup");
    reset_add(c, string_of("sgr0"));
    reset_add(c, string_of("op"));
    reset_add(c, string_of("rmkx"));
    reset_add(c, c->pastes ? PASTE_OFF : "");
    reset_add(c, string_of("cnorm"));
    reset_add(c, leave);
    reset_add(c, leave[0] == '\0' ? "\r\n" : "");
}

static int positive(int n, int otherwise)
{
    return n > 0 ? n : otherwise;
}

int capability_load(struct capability *c, const char *type, int fd, struct fail *f)
{
    int found = 0;
    *c = (struct capability){0};
    if (type == NULL || type[0] == '\0')
        return fail_refused(f, "The type of this terminal is not known: TERM is not set. Set it, for example "
                               "TERM=xterm-256color, and try again.");
    if (setupterm(type, fd, &found) != OK) {
        if (found < 0)
            return fail_refused(f, "The table of terminals (terminfo) was not found; install ncurses-base.");
        return fail_refused(
            f,
            "The terminal type \"%.40s\" is not in this machine's table of terminals, or is no "
            "screen. Set TERM to a type it knows, for example TERM=vt100.",
            type);
    }
    const char *moves = string_of("cup");
    c->flashes = string_of("flash")[0] != '\0';
    c->pastes = strncmp(moves, "\033[", 2) == 0;
    c->rows = positive(tigetnum("lines"), 24);
    c->cols = positive(tigetnum("cols"), 80);
    reset_make(c);
    bool usable = moves[0] != '\0' && string_of("clear")[0] != '\0';
    (void)del_curterm(cur_term);
    if (!usable)
        return fail_refused(
            f,
            "A terminal of type \"%.40s\" cannot move its cursor, so nothing can be laid out on "
            "it. Use another terminal, or set TERM to what it really is.",
            type);
    return 0;
}
