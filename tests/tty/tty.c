#include "tests/tty/tty.h"

#include <check.h>
#include <errno.h>
#include <fcntl.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "core/base/text.h"
#include "tui/kit/press.h"

#define PASTE_BEGINS "\033[200~"
#define PASTE_ENDS   "\033[201~"

enum { WORD_MAX = 512 };

const struct tty_kind tty_kinds[] = {
    {"xterm-256color", true,  true },
    {"xterm-256color", true,  false},
    {"xterm-256color", false, true },
    {"xterm-256color", false, false},
    {"xterm-16color",  true,  true },
    {"linux",          true,  true },
    {"linux",          true,  false},
    {"linux",          false, true },
    {"screen",         true,  true },
    {"screen",         false, false},
    {"tmux-256color",  true,  true },
    {"vt100",          false, true },
    {"vt100",          true,  false},
    {"vt220",          false, false},
};
const size_t tty_kind_count = sizeof tty_kinds / sizeof tty_kinds[0];

const char *tty_kind_name(const struct tty_kind *kind, char *buf, size_t size)
{
    (void)snprintf(buf, size, "%s, %s, %s", kind->type, kind->utf8 ? "UTF-8" : "ASCII",
                   kind->colour ? "colour" : "no colour");
    return buf;
}

static void streams_open(struct tty *tty)
{
    int pipe_fds[2];
    ck_assert_int_eq(pipe2(pipe_fds, O_CLOEXEC), 0);
    tty->feed_fd = pipe_fds[1];
    tty->in = fdopen(pipe_fds[0], "r");
    /* A file in memory never blocks, and its size is the number of bytes sent. */
    tty->out_fd = memfd_create("terminal", MFD_CLOEXEC);
    tty->out = fdopen(tty->out_fd, "w");
    ck_assert(tty->in != NULL && tty->out != NULL);
    /* Whole pastes are fed before anybody reads. */
    (void)fcntl(tty->feed_fd, F_SETPIPE_SZ, 1 << 20);
}

static void streams_close(struct tty *tty)
{
    (void)fclose(tty->in);
    (void)fclose(tty->out);
    (void)close(tty->feed_fd);
}

int tty_try(struct tty *tty, const struct tty_kind *kind, int rows, int cols, struct fail *f)
{
    struct term_options options = {.type = kind->type, .rows = rows, .cols = cols, .borrowed = true};
    struct instant start = INSTANT_NONE;
    *tty = (struct tty){.kind = *kind};
    ck_assert_int_eq(instant_parse("2026-05-03T12:00", start, &start, f), 0);
    tty->clock = clock_held(&tty->held, start);
    ck_assert_ptr_nonnull(setlocale(LC_ALL, kind->utf8 ? "C.UTF-8" : "C"));
    if (kind->colour)
        (void)unsetenv("NO_COLOR");
    else
        (void)setenv("NO_COLOR", "1", 1);
    streams_open(tty);
    options.in = tty->in;
    options.out = tty->out;
    tty->term = term_open(&options, f);
    if (tty->term != NULL)
        return 0;
    streams_close(tty);
    return -1;
}

void tty_open(struct tty *tty, const struct tty_kind *kind, int rows, int cols)
{
    struct fail f = {0};
    ck_assert_msg(tty_try(tty, kind, rows, cols, &f) == 0, "%s", f.text);
}

void tty_close(struct tty *tty)
{
    if (tty->looping)
        loop_release(&tty->loop);
    term_close(tty->term);
    streams_close(tty);
}

void tty_begin(struct tty *tty, const struct loop_hooks *hooks, void *context)
{
    struct fail f = {0};
    ck_assert_msg(loop_init(&tty->loop, tty->term, tty->clock, hooks, context, &f) == 0, "%s", f.text);
    tty->looping = true;
    tty_turn(tty);
}

void tty_turn(struct tty *tty)
{
    tty->loop.keys_waiting = true; /* nobody waits here, so nobody finds out */
    for (int i = 0; i < tty->loop.watch_count; i++)
        tty->loop.watch[i].ready = true;
    (void)loop_turn(&tty->loop);
}

void tty_feed(struct tty *tty, const void *bytes, size_t size)
{
    ck_assert_int_eq(write(tty->feed_fd, bytes, size), (ssize_t)size);
}

/* What the terminal sends for a key: its own spelling where it has one. */
static void feed_key(struct tty *tty, int key)
{
    static const struct {
        int key;
        const char *bytes;
    } named[] = {
        {PRESS_UP,          "\033[A" },
        {PRESS_DOWN,        "\033[B" },
        {PRESS_RIGHT,       "\033[C" },
        {PRESS_LEFT,        "\033[D" },
        {PRESS_HOME,        "\033[H" },
        {PRESS_END,         "\033[F" },
        {PRESS_PAGE_UP,     "\033[5~"},
        {PRESS_PAGE_DOWN,   "\033[6~"},
        {PRESS_ENTER,       "\r"     },
        {PRESS_ESC,         "\033"   },
        {PRESS_TAB,         "\t"     },
        {PRESS_BACK_TAB,    "\033[Z" },
        {PRESS_BACKSPACE,   "\177"   },
        {PRESS_DELETE,      "\033[3~"},
        {PRESS_DELETE_WORD, "\027"   },
        {PRESS_DELETE_ALL,  "\025"   },
        {PRESS_REPAINT,     "\014"   },
    };
    for (size_t i = 0; i < sizeof named / sizeof named[0]; i++)
        if (named[i].key == key) {
            tty_feed(tty, named[i].bytes, strlen(named[i].bytes));
            return;
        }
    char byte = (char)key;
    tty_feed(tty, &byte, 1);
}

/* '_' stands for a blank and '__' for an underscore, since words are parted by blanks. */
static void feed_text(struct tty *tty, const char *text)
{
    for (; *text != '\0'; text++) {
        if (*text != '_') {
            tty_feed(tty, text, 1);
        } else if (text[1] == '_') {
            tty_feed(tty, "_", 1);
            text++;
        } else {
            tty_feed(tty, " ", 1);
        }
    }
}

static void wait_seconds(struct tty *tty, long seconds)
{
    for (long i = 0; i < seconds; i++) {
        clock_held_advance(&tty->held, 1000);
        tty_turn(tty);
    }
}

static void resize(struct tty *tty, const char *size)
{
    char *end;
    long cols = strtol(size, &end, 10), rows = *end == 'x' ? strtol(end + 1, NULL, 10) : 0;
    ck_assert_msg(rows > 0 && cols > 0, "size:%s is not like size:80x24", size);
    (void)term_resize(tty->term, (int)rows, (int)cols);
    tty->loop.answer |= LOOP_DRAW;
}

static void do_word(struct tty *tty, const char *word)
{
    const char *rest;
    if (text_starts(word, "type:", &rest)) {
        feed_text(tty, rest);
    } else if (text_starts(word, "paste:", &rest)) {
        tty_feed(tty, PASTE_BEGINS, strlen(PASTE_BEGINS));
        feed_text(tty, rest);
        tty_feed(tty, PASTE_ENDS, strlen(PASTE_ENDS));
    } else if (text_starts(word, "wait:", &rest)) {
        wait_seconds(tty, strtol(rest, NULL, 10));
    } else if (text_starts(word, "size:", &rest)) {
        resize(tty, rest);
    } else {
        int key = press_from_name(word);
        ck_assert_msg(key != PRESS_NONE, "there is no key \"%s\"", word);
        feed_key(tty, key);
    }
    tty_turn(tty);
}

void tty_keys(struct tty *tty, const char *words)
{
    char word[WORD_MAX];
    while (*words != '\0') {
        size_t n = strcspn(words, " ");
        ck_assert(n < sizeof word);
        memcpy(word, words, n);
        word[n] = '\0';
        if (n > 0)
            do_word(tty, word);
        words += n;
        words += strspn(words, " ");
    }
}

long tty_bytes(struct tty *tty)
{
    (void)fflush(tty->out);
    long now = (long)lseek(tty->out_fd, 0, SEEK_CUR), since = now - tty->bytes_before;
    tty->bytes_before = now;
    return since;
}
