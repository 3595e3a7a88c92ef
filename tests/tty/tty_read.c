/* Reading the screen back from curses: what it believes the terminal shows, which is what it has sent. */
#include <check.h>
#include <curses.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>

#include "core/base/file.h"
#include "core/base/text.h"
#include "tests/tty/tty.h"

enum { LOOKS_MAX = 26, SCREEN_BYTES_A_CELL = 8, LEGEND_BYTES = 4096 };

/* A look that occurs on the screen: attributes and foreground colour. */
struct seen {
    attr_t attributes;
    short colour;
};

static void cell_read(int row, int col, wchar_t text[CCHARW_MAX + 1], struct seen *look)
{
    cchar_t cell;
    short pair = 0, ground = -1;
    attr_t attributes = A_NORMAL;
    memset(text, 0, (CCHARW_MAX + 1) * sizeof *text);
    if (mvwin_wch(curscr, row, col, &cell) != OK || getcchar(&cell, text, &attributes, &pair, NULL) != OK)
        ck_abort_msg("there is no cell at %d,%d", row, col);
    look->attributes = attributes & (A_BOLD | A_DIM | A_REVERSE | A_UNDERLINE | A_BLINK | A_STANDOUT);
    look->colour = -1;
    if (pair > 0 && pair_content(pair, &look->colour, &ground) != OK)
        ck_abort_msg("there is no colour pair %d", pair);
}

static int columns_of(wchar_t c)
{
    int columns = wcwidth(c);
    return columns > 1 ? columns : 1;
}

const char *tty_row(struct tty *tty, int row, char *buf, size_t size)
{
    size_t used = 0, end = 0;
    wchar_t text[CCHARW_MAX + 1];
    struct seen look;
    for (int col = 0; col < term_canvas(tty->term)->cols; col += columns_of(text[0])) {
        cell_read(row, col, text, &look);
        for (int i = 0; text[i] != L'\0'; i++) {
            char bytes[4];
            size_t n = text_encode((uint32_t)text[i], bytes);
            if (used + n + 1 > size)
                break;
            memcpy(buf + used, bytes, n);
            used += n;
        }
        if (text[0] != L' ')
            end = used;
    }
    buf[end] = '\0';
    return buf;
}

bool tty_shows(struct tty *tty, const char *text)
{
    char buf[CANVAS_COLS_MAX * SCREEN_BYTES_A_CELL];
    for (int row = 0; row < term_canvas(tty->term)->rows; row++)
        if (strstr(tty_row(tty, row, buf, sizeof buf), text) != NULL)
            return true;
    return false;
}

/* The letter for a look, '.' for a plain one. */
static char letter_of(struct seen *looks, int *count, const struct seen *look)
{
    if (look->attributes == A_NORMAL && look->colour < 0)
        return '.';
    for (int i = 0; i < *count; i++)
        if (looks[i].attributes == look->attributes && looks[i].colour == look->colour)
            return (char)('a' + i);
    ck_assert_int_lt(*count, LOOKS_MAX);
    looks[*count] = *look;
    return (char)('a' + (*count)++);
}

static void add_look(char *out, size_t size, char letter, const struct seen *look)
{
    static const struct {
        attr_t bit;
        const char *word;
    } words[] = {
        {A_BOLD,      " bold"     },
        {A_DIM,       " dim"      },
        {A_REVERSE,   " reverse"  },
        {A_UNDERLINE, " underline"},
        {A_BLINK,     " blink"    },
        {A_STANDOUT,  " standout" }
    };
    (void)text_append(out, size, "%c:", letter);
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if ((look->attributes & words[i].bit) != 0)
            (void)text_append(out, size, "%s", words[i].word);
    if (look->colour >= 0)
        (void)text_append(out, size, " colour %d", look->colour);
    (void)text_append(out, size, "\n");
}

static void add_attribute_row(struct tty *tty, int row, struct seen *looks, int *count, char *out,
                              size_t size)
{
    char letters[CANVAS_COLS_MAX + 1];
    wchar_t text[CCHARW_MAX + 1];
    struct seen look;
    int end = 0, cols = term_canvas(tty->term)->cols;
    for (int col = 0; col < cols; col++) {
        cell_read(row, col, text, &look);
        letters[col] = letter_of(looks, count, &look);
        if (letters[col] != '.')
            end = col + 1;
    }
    (void)text_append(out, size, "%.*s\n", end, letters);
}

char *tty_screen(struct tty *tty)
{
    const struct canvas *c = term_canvas(tty->term);
    size_t row_size = (size_t)c->cols * SCREEN_BYTES_A_CELL + 2;
    size_t size = row_size * (size_t)c->rows * 2 + LEGEND_BYTES;
    char *out = malloc(size), *row_text = malloc(row_size);
    struct seen looks[LOOKS_MAX];
    int count = 0;
    ck_assert(out != NULL && row_text != NULL);
    out[0] = '\0';
    for (int row = 0; row < c->rows; row++)
        (void)text_append(out, size, "%s\n", tty_row(tty, row, row_text, row_size));
    (void)text_append(out, size, "attributes\n");
    for (int row = 0; row < c->rows; row++)
        add_attribute_row(tty, row, looks, &count, out, size);
    for (int i = 0; i < count; i++)
        add_look(out, size, (char)('a' + i), &looks[i]);
    free(row_text);
    return out;
}

/* Prints the first row in which two texts differ. */
static void print_difference(const char *expected, const char *actual)
{
    int row = 1;
    while (*expected != '\0' && *actual != '\0') {
        size_t e = strcspn(expected, "\n"), a = strcspn(actual, "\n");
        if (e != a || memcmp(expected, actual, e) != 0)
            break;
        expected += e + (expected[e] == '\n');
        actual += a + (actual[a] == '\n');
        row++;
    }
    (void)fprintf(stderr, "line %d differs:\n- %.*s\n+ %.*s\n", row, (int)strcspn(expected, "\n"), expected,
                  (int)strcspn(actual, "\n"), actual);
}

void tty_expect(struct tty *tty, const char *name)
{
    char path[1024], *expected = NULL, *actual = tty_screen(tty);
    const char *write = getenv("SCREENS_WRITE");
    struct fail f = {0};
    size_t size;
    (void)snprintf(path, sizeof path, "%s/screens/%s.screen", TESTS_DIR, name);
    if (write != NULL && strcmp(write, "1") == 0) {
        ck_assert_msg(file_replace(path, actual, strlen(actual), &f) == 0, "%s", f.text);
        free(actual);
        return;
    }
    ck_assert_msg(file_read(path, &expected, &size, &f) == 0, "%s", f.text);
    if (strcmp(expected, actual) != 0) {
        (void)fprintf(stderr, "screen %s: expected\n%s\nbut it is\n%s\n", name, expected, actual);
        print_difference(expected, actual);
        ck_abort_msg("the screen is not that of %s", path);
    }
    free(expected);
    free(actual);
}
