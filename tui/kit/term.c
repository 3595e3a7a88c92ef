#include "tui/kit/term.h"

#include <langinfo.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include "tui/kit/capability.h"
#include "tui/kit/guard.h"
#include "tui/kit/term_inside.h"

enum { ESC_WAIT_MS = 25 };

/* What atexit() closes, which takes no argument. */
static struct term *open_now;

static void close_open_now(void)
{
    term_close(open_now);
}

/* Outside what curses buffers: the order does not matter for a mode of the keyboard. */
static void ask_paste_marks(const struct term *t, const char *how)
{
    if (t->pastes && write(t->out_fd, how, strlen(how)) < 0) {
        /* The terminal is gone; the loop will see it. */
    }
}

static bool colour_wanted(enum term_colour colour)
{
    const char *no_color = getenv("NO_COLOR");
    bool refused = no_color != NULL && no_color[0] != '\0';
    return colour == TERM_COLOUR_ALWAYS || (colour == TERM_COLOUR_AUTO && !refused);
}

static void looks_begin(struct term *t, bool wanted)
{
    int colours = 0;
    short ground = COLOR_BLACK;
    if (wanted && has_colors() && start_color() == OK) {
        colours = COLORS;
        if (use_default_colors() == OK)
            ground = -1;
    }
    t->depth = theme_depth(colours, wanted);
    for (int i = 0; i < ROLE_COUNT; i++) {
        struct look look = theme_look((enum role)i, t->depth);
        t->attributes[i] = look.attributes;
        if (look.colour >= 0 && init_pair((short)(i + 1), look.colour, ground) == OK)
            t->pairs[i] = (short)(i + 1);
    }
}

/* Ctrl-S would hold the screen still, and nobody with wet hands thinks of Ctrl-Q. */
static void tty_begin(const struct term *t)
{
    struct termios modes;
    if (!t->is_tty || tcgetattr(t->in_fd, &modes) != 0)
        return;
    modes.c_iflag &= ~(tcflag_t)IXON;
    if (tcsetattr(t->in_fd, TCSANOW, &modes) == 0)
        (void)def_prog_mode();
}

static void screen_begin(struct term *t)
{
    (void)cbreak();
    (void)noecho();
    (void)nonl();
    (void)keypad(t->keys, TRUE);
    (void)nodelay(t->keys, TRUE);
    if (!t->is_tty)
        (void)meta(t->keys, TRUE); /* curses takes anything but a tty for a line of seven bits */
    (void)leaveok(stdscr, TRUE);
    (void)curs_set(0);
    (void)set_escdelay(ESC_WAIT_MS);
    keys_define();
    tty_begin(t);
    ask_paste_marks(t, PASTE_ON);
}

/* LINES and COLUMNS count only where the kernel does not know: on a serial line. */
static int size_from(const char *name, int otherwise)
{
    const char *text = getenv(name);
    long n = text == NULL ? 0 : strtol(text, NULL, 10);
    return n > 0 && n < CANVAS_COLS_MAX ? (int)n : otherwise;
}

static bool size_ask(const struct term *t, int *rows, int *cols)
{
    struct winsize size;
    if (ioctl(t->out_fd, TIOCGWINSZ, &size) != 0 || size.ws_row == 0 || size.ws_col == 0)
        return false;
    *rows = size.ws_row;
    *cols = size.ws_col;
    return true;
}

static bool size_begin(struct term *t, const struct term_options *o, const struct capability *c)
{
    int rows = o->rows, cols = o->cols;
    if ((rows <= 0 || cols <= 0) && !size_ask(t, &rows, &cols)) {
        rows = size_from("LINES", c->rows);
        cols = size_from("COLUMNS", c->cols);
    }
    return term_resize(t, rows, cols);
}

static void guard_begin(struct term *t, const struct capability *c)
{
    struct guard_reset reset = {.fd = t->out_fd, .length = c->reset_length};
    _Static_assert(sizeof reset.text >= sizeof c->reset, "a reset string fits");
    memcpy(reset.text, c->reset, c->reset_length);
    reset.has_modes = tcgetattr(t->in_fd, &reset.modes) == 0;
    guard_on(&reset, &t->wait_mask);
    open_now = t;
    guard_at_exit(close_open_now);
}

static int check_tty(const struct term_options *o, struct fail *f)
{
    bool given = o->in != NULL && o->out != NULL;
    if (given || (isatty(STDIN_FILENO) && isatty(STDOUT_FILENO)))
        return 0;
    return fail_refused(f, "This draws on a terminal, and its input or its output is not one.");
}

static struct term *term_new(const struct term_options *o, const struct capability *c, const char *type,
                             FILE *in, FILE *out)
{
    struct term *t = calloc(1, sizeof *t);
    if (t == NULL)
        return NULL;
    t->in_fd = fileno(in);
    t->out_fd = fileno(out);
    t->is_tty = isatty(t->in_fd);
    t->borrowed = o->borrowed;
    t->silent = o->silent;
    t->flashes = c->flashes;
    t->pastes = c->pastes;
    t->canvas.charset = charset_for(type, strcmp(nl_langinfo(CODESET), "UTF-8") == 0);
    return t;
}

static bool curses_begin(struct term *t, const char *type, FILE *in, FILE *out)
{
    use_env(FALSE); /* LINES and COLUMNS would override the real size */
    use_tioctl(TRUE);
    t->screen = newterm(type, out, in);
    t->keys = t->screen == NULL ? NULL : newpad(1, 1);
    return t->keys != NULL;
}

struct term *term_open(const struct term_options *o, struct fail *f)
{
    struct capability c;
    const char *type = o->type != NULL ? o->type : getenv("TERM");
    FILE *in = o->in != NULL ? o->in : stdin, *out = o->out != NULL ? o->out : stdout;
    if (check_tty(o, f) != 0 || capability_load(&c, type, fileno(out), f) != 0)
        return NULL;
    struct term *t = term_new(o, &c, type, in, out);
    if (t == NULL) {
        (void)fail_memory(f);
        return NULL;
    }
    if (!t->borrowed)
        guard_begin(t, &c);
    if (!curses_begin(t, type, in, out)) {
        (void)fail_refused(f, "The terminal of type \"%.40s\" could not be set up.", type);
        goto fail;
    }
    looks_begin(t, colour_wanted(o->colour));
    screen_begin(t);
    if (size_begin(t, o, &c))
        return t;
    (void)fail_memory(f);
fail:
    term_close(t);
    return NULL;
}

void term_close(struct term *t)
{
    if (t == NULL)
        return;
    if (t->screen != NULL) {
        ask_paste_marks(t, PASTE_OFF);
        (void)endwin();
        if (t->keys != NULL)
            (void)delwin(t->keys);
        delscreen(t->screen);
    }
    if (!t->borrowed) {
        guard_at_exit(NULL);
        guard_off();
        open_now = NULL;
    }
    canvas_release(&t->canvas);
    canvas_release(&t->shown);
    free(t);
}

struct rect term_rect(struct term *t)
{
    return rect_whole(&t->canvas);
}

struct canvas *term_canvas(struct term *t)
{
    return &t->canvas;
}

enum depth term_depth(const struct term *t)
{
    return t->depth;
}

/* The picture of what is there becomes one that no drawing equals. */
static void forget_shown(struct term *t)
{
    memset(t->shown.cells, 0, (size_t)t->shown.rows * (size_t)t->shown.cols * sizeof *t->shown.cells);
}

bool term_resize(struct term *t, int rows, int cols)
{
    struct canvas canvas = {.charset = t->canvas.charset}, shown = canvas;
    if (rows == t->canvas.rows && cols == t->canvas.cols)
        return false;
    /* Both or neither: they are compared cell by cell. */
    if (canvas_resize(&canvas, rows, cols, NULL) != 0 || canvas_resize(&shown, rows, cols, NULL) != 0) {
        canvas_release(&canvas);
        canvas_release(&shown);
        return false;
    }
    canvas_release(&t->canvas);
    canvas_release(&t->shown);
    t->canvas = canvas;
    t->shown = shown;
    (void)resize_term(canvas.rows, canvas.cols);
    term_repaint(t);
    return true;
}

bool term_fit(struct term *t)
{
    int rows, cols;
    return size_ask(t, &rows, &cols) && term_resize(t, rows, cols);
}

void term_repaint(struct term *t)
{
    forget_shown(t);
    t->repaint = true;
}

void term_alarm(struct term *t)
{
    if (!t->silent)
        (void)beep();
    if (t->flashes)
        (void)flash();
}

void term_resume(struct term *t)
{
    (void)reset_prog_mode();
    ask_paste_marks(t, PASTE_ON);
    (void)term_fit(t);
    term_repaint(t);
}

void term_suspend(struct term *t)
{
    ask_paste_marks(t, PASTE_OFF);
    (void)endwin();
    guard_stop();
    term_resume(t);
}

int term_input_fd(const struct term *t)
{
    return t->in_fd;
}

unsigned term_take_signals(struct term *t)
{
    return t->borrowed ? 0 : guard_take();
}

const sigset_t *term_wait_mask(const struct term *t)
{
    return t->borrowed ? NULL : &t->wait_mask;
}
