#include "tests/pty/pty.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static int64_t now_ms(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

static void stop(const char *what)
{
    perror(what);
    exit(2);
}

static int on_switch(VTermProp prop, VTermValue *value, void *context)
{
    struct pty *p = context;
    if (prop == VTERM_PROP_ALTSCREEN)
        p->alternate = value->boolean;
    else if (prop == VTERM_PROP_CURSORVISIBLE)
        p->hidden = !value->boolean;
    return 1;
}

static const VTermScreenCallbacks callbacks = {.settermprop = on_switch};

static void emulator_begin(struct pty *p)
{
    if (p->vt != NULL)
        vterm_free(p->vt);
    p->vt = vterm_new(p->rows, p->cols);
    vterm_set_utf8(p->vt, 1);
    p->screen = vterm_obtain_screen(p->vt);
    vterm_screen_enable_altscreen(p->screen, 1);
    vterm_screen_reset(p->screen, 1);
    /* Leaving the other screen brings back the cursor as it was saved: let that be a cursor that shows. */
    (void)vterm_input_write(p->vt, "\0337", 2);
    /* After the reset, which is ours: what the program has switched stays so in a new emulator. */
    vterm_screen_set_callbacks(p->screen, &callbacks, p);
}

static void become(const struct pty *p, const char *const words[], const char *const settings[],
                   const char *term)
{
    (void)setsid();
    (void)ioctl(p->slave, TIOCSCTTY, 0);
    for (int fd = 0; fd < 3; fd++)
        (void)dup2(p->slave, fd);
    (void)setenv("LC_ALL", "C.UTF-8", 1);
    (void)setenv("TZ", "America/New_York", 1);
    (void)unsetenv("LINES");
    (void)unsetenv("COLUMNS");
    (void)unsetenv("NO_COLOR");
    if (*term == '\0')
        (void)unsetenv("TERM");
    else
        (void)setenv("TERM", term, 1);
    for (size_t i = 0; settings != NULL && settings[i] != NULL; i++)
        (void)putenv((char *)(uintptr_t)settings[i]);
    (void)execvp(words[0], (char *const *)(uintptr_t)words);
    _exit(126);
}

void pty_open(struct pty *p, const char *const words[], const char *const settings[], const char *term,
              int rows, int cols)
{
    struct winsize size = {.ws_row = (unsigned short)rows, .ws_col = (unsigned short)cols};
    *p = (struct pty){.rows = rows, .cols = cols};
    if (openpty(&p->master, &p->slave, NULL, NULL, &size) != 0 || tcgetattr(p->slave, &p->before) != 0)
        stop("pseudo-terminal");
    (void)fcntl(p->master, F_SETFD, FD_CLOEXEC);
    (void)fcntl(p->slave, F_SETFD, FD_CLOEXEC);
    (void)fcntl(p->master, F_SETFL, O_NONBLOCK);
    emulator_begin(p);
    (void)fflush(NULL);
    p->pid = fork();
    if (p->pid < 0)
        stop("fork");
    if (p->pid == 0)
        become(p, words, settings, term);
}

/* Counts what a board never has to say: titles (OSC), requests (DCS, APC, PM), C1 controls. */
static void look_for_controls(struct pty *p, const char *bytes, size_t size)
{
    for (size_t i = 0; i < size; i++) {
        unsigned char c = (unsigned char)bytes[i];
        if (p->scan == 0x1B && (c == ']' || c == 'P' || c == '_' || c == '^' || c == 'X'))
            p->controls++;
        if (p->scan == 0xC2 && c >= 0x80 && c < 0xA0)
            p->controls++;
        p->scan = c;
    }
}

/* What is seen only at its last byte: the marking of pastes, of which the emulator does not tell, and the
 * word by which curses itself, coming back from a stop, lets xterm have its own colours again. */
static void look_at_endings(struct pty *p, const char *bytes, size_t size)
{
    static const char sign[] = "\033[?2004", colours[] = "\033]104";
    for (size_t i = 0; i < size; i++) {
        if (bytes[i] == '\a' && memcmp(p->tail + 3, colours, sizeof p->tail - 3) == 0)
            p->controls--;
        if (memcmp(p->tail, sign, sizeof p->tail) == 0 && (bytes[i] == 'h' || bytes[i] == 'l'))
            p->pastes = bytes[i] == 'h';
        memmove(p->tail, p->tail + 1, sizeof p->tail - 1);
        p->tail[sizeof p->tail - 1] = bytes[i];
    }
}

/* Takes what there is within the time; false when the terminal is closed. */
static bool take(struct pty *p, int wait_ms, bool *some)
{
    static char bytes[65536];
    struct pollfd poll_for = {p->master, POLLIN, 0};
    *some = false;
    if (p->master < 0)
        return false;
    if (poll(&poll_for, 1, wait_ms) <= 0)
        return true;
    ssize_t n = read(p->master, bytes, sizeof bytes);
    if (n <= 0)
        return n < 0 && (errno == EAGAIN || errno == EINTR);
    *some = true;
    p->bytes += n;
    look_for_controls(p, bytes, (size_t)n);
    look_at_endings(p, bytes, (size_t)n);
    (void)vterm_input_write(p->vt, bytes, (size_t)n);
    return true;
}

static bool has_ended(struct pty *p)
{
    if (p->pid > 0 && waitpid(p->pid, &p->status, WNOHANG) == p->pid)
        p->pid = 0;
    return p->pid == 0;
}

bool pty_pump(struct pty *p, int quiet_ms, int limit_ms)
{
    int64_t end = now_ms() + limit_ms, heard = now_ms();
    for (;;) {
        bool some;
        int64_t now = now_ms(), wait = heard + quiet_ms - now;
        if (wait <= 0 || now >= end)
            return true;
        if (end - now < wait)
            wait = end - now;
        if (!take(p, (int)wait, &some) || (!some && has_ended(p)))
            return false;
        if (some)
            heard = now_ms();
    }
}

bool pty_wait_for(struct pty *p, const char *words, int limit_ms)
{
    int64_t end = now_ms() + limit_ms;
    while (!pty_shows(p, words))
        if (now_ms() >= end || !pty_pump(p, 5, 50))
            return pty_shows(p, words);
    return true;
}

bool pty_send(struct pty *p, const void *bytes, size_t size)
{
    const char *at = bytes;
    int64_t end = now_ms() + 2000;
    while (size > 0 && now_ms() < end) {
        bool some;
        ssize_t n = write(p->master, at, size);
        if (n > 0) {
            at += n;
            size -= (size_t)n;
            end = now_ms() + 2000;
        } else if (errno != EAGAIN || !take(p, 2, &some)) {
            return false;
        }
    }
    return size == 0;
}

bool pty_type(struct pty *p, const char *text)
{
    return pty_send(p, text, strlen(text));
}

void pty_resize(struct pty *p, int rows, int cols)
{
    struct winsize size = {.ws_row = (unsigned short)rows, .ws_col = (unsigned short)cols};
    p->rows = rows;
    p->cols = cols;
    emulator_begin(p);
    (void)ioctl(p->master, TIOCSWINSZ, &size);
}

/* UTF-8 of one character; the emulator has checked it. */
static size_t encode(uint32_t c, char out[4])
{
    if (c < 0x80) {
        out[0] = (char)c;
        return 1;
    }
    if (c < 0x800) {
        out[0] = (char)(0xC0 | c >> 6);
        out[1] = (char)(0x80 | (c & 63));
        return 2;
    }
    if (c < 0x10000) {
        out[0] = (char)(0xE0 | c >> 12);
        out[1] = (char)(0x80 | (c >> 6 & 63));
        out[2] = (char)(0x80 | (c & 63));
        return 3;
    }
    out[0] = (char)(0xF0 | c >> 18);
    out[1] = (char)(0x80 | (c >> 12 & 63));
    out[2] = (char)(0x80 | (c >> 6 & 63));
    out[3] = (char)(0x80 | (c & 63));
    return 4;
}

static size_t put_cell(const VTermScreenCell *cell, char *buf, size_t used, size_t size)
{
    if (cell->chars[0] == 0 || cell->chars[0] == UINT32_MAX) {
        buf[used++] = ' ';
        return used;
    }
    for (int i = 0; i < VTERM_MAX_CHARS_PER_CELL && cell->chars[i] != 0 && used + 5 < size; i++)
        used += encode(cell->chars[i], buf + used);
    return used;
}

const char *pty_row(struct pty *p, int row, char *buf, size_t size)
{
    size_t used = 0;
    for (int col = 0; col < p->cols && used + 30 < size;) {
        VTermScreenCell cell;
        if (!vterm_screen_get_cell(p->screen, (VTermPos){row, col}, &cell))
            break;
        used = put_cell(&cell, buf, used, size);
        col += cell.width > 0 ? cell.width : 1;
    }
    while (used > 0 && buf[used - 1] == ' ')
        used--;
    buf[used] = '\0';
    return buf;
}

bool pty_shows(struct pty *p, const char *words)
{
    char text[4096];
    for (int row = 0; row < p->rows; row++)
        if (strstr(pty_row(p, row, text, sizeof text), words) != NULL)
            return true;
    return false;
}

long pty_ink(struct pty *p)
{
    long ink = 0;
    for (int row = 0; row < p->rows; row++)
        for (int col = 0; col < p->cols; col++) {
            VTermScreenCell cell;
            if (vterm_screen_get_cell(p->screen, (VTermPos){row, col}, &cell))
                ink += cell.chars[0] != 0 && cell.chars[0] != ' ';
        }
    return ink;
}

bool pty_wait_end(struct pty *p, int limit_ms)
{
    int64_t end = now_ms() + limit_ms;
    bool some;
    while (!has_ended(p) && now_ms() < end) {
        struct timespec pause = {0, 1000000};
        if (p->master < 0 || !take(p, 2, &some))
            (void)nanosleep(&pause, NULL);
    }
    while (p->master >= 0 && take(p, 0, &some) && some)
        continue;
    return p->pid == 0;
}

bool pty_is_restored(const struct pty *p)
{
    return pty_modes_restored(p) && !p->alternate && !p->hidden && !p->pastes;
}

bool pty_modes_restored(const struct pty *p)
{
    struct termios now;
    if (p->slave < 0 || tcgetattr(p->slave, &now) != 0)
        return false;
    return now.c_iflag == p->before.c_iflag && now.c_oflag == p->before.c_oflag &&
           now.c_cflag == p->before.c_cflag && now.c_lflag == p->before.c_lflag &&
           memcmp(now.c_cc, p->before.c_cc, sizeof now.c_cc) == 0;
}

void pty_hang_up(struct pty *p)
{
    (void)close(p->slave);
    (void)close(p->master);
    p->master = p->slave = -1;
}

void pty_close(struct pty *p)
{
    if (!has_ended(p)) {
        (void)kill(p->pid, SIGTERM);
        if (!pty_wait_end(p, 2000)) {
            (void)kill(p->pid, SIGKILL);
            (void)waitpid(p->pid, &p->status, 0);
            p->pid = 0;
        }
    }
    if (p->master >= 0)
        pty_hang_up(p);
    vterm_free(p->vt);
    p->vt = NULL;
}
