#include "tui/kit/keymap.h"

#include <stdio.h>
#include <string.h>

#include "tui/kit/draw.h"
#include "tui/kit/press.h"

enum { BAR_GAP = 3, KEYS_MAX = 64, KEY_TEXT_MAX = 32, NAME_COLS_MAX = 16, HELP_KEY_COLS = 10 };

static bool is_end(const struct keymap_row *row)
{
    return row->key == 0;
}

static bool makes_sense(const struct keymap_row *row, unsigned now)
{
    return (row->when & ~now) == 0;
}

static bool covers(const struct keymap_row *row, int key)
{
    return row->key_last == 0 ? key == row->key : key >= row->key && key <= row->key_last;
}

const struct keymap_row *keymap_find(const struct keymap_row *rows, int key, unsigned now)
{
    for (; !is_end(rows); rows++)
        if (covers(rows, key) && makes_sense(rows, now))
            return rows;
    return NULL;
}

static const char *key_text(const struct keymap_row *row, char buf[KEY_TEXT_MAX])
{
    char first[PRESS_NAME_MAX], last[PRESS_NAME_MAX];
    if (row->label != NULL)
        return row->label;
    if (row->key_last == 0)
        return press_name(row->key, buf);
    (void)snprintf(buf, KEY_TEXT_MAX, "%s–%s", press_name(row->key, first), press_name(row->key_last, last));
    return buf;
}

static int row_cols(const struct keymap_row *row, enum charset set)
{
    char key[KEY_TEXT_MAX];
    return draw_width(set, key_text(row, key)) + 1 + draw_width(set, row->name);
}

/* Marks the rows that go on the bar: first those to be kept, then as many of the others as fit. */
static void choose(const struct keymap_row *rows, unsigned now, enum charset set, int cols, bool *on_bar)
{
    int used = -BAR_GAP;
    for (int kept = 1; kept >= 0; kept--)
        for (int i = 0; i < KEYS_MAX && !is_end(&rows[i]); i++) {
            if (rows[i].name == NULL || rows[i].keep != (kept == 1) || !makes_sense(&rows[i], now))
                continue;
            int wanted = BAR_GAP + row_cols(&rows[i], set);
            if (used + wanted > cols)
                continue;
            on_bar[i] = true;
            used += wanted;
        }
}

int draw_keymap(struct rect r, int row, const struct keymap_row *rows, unsigned now)
{
    bool on_bar[KEYS_MAX] = {false};
    char key[KEY_TEXT_MAX];
    int col = 0;
    choose(rows, now, r.canvas->charset, r.cols, on_bar);
    for (int i = 0; i < KEYS_MAX && !is_end(&rows[i]); i++) {
        if (!on_bar[i])
            continue;
        col = draw_text(r, row, col, ROLE_KEY, key_text(&rows[i], key));
        col = draw_text(r, row, col + 1, ROLE_FAINT, rows[i].name) + BAR_GAP;
    }
    return col;
}

void keymap_help(struct page *p, const char *title, const struct keymap_row *rows, unsigned now)
{
    page_add(p, ROLE_TITLE, 0, "%s", title);
    for (; !is_end(rows); rows++) {
        char key[KEY_TEXT_MAX];
        if (rows->name != NULL)
            page_add_pair(p, 2, makes_sense(rows, now) ? ROLE_CHALK : ROLE_FAINT, HELP_KEY_COLS,
                          key_text(rows, key), rows->help);
    }
    page_add(p, ROLE_CHALK, 0, "%s", "");
}

/* Two rows answer to the same key at the same time when neither asks for a condition that the other lacks;
 * the first would always win. */
static bool hides(const struct keymap_row *first, const struct keymap_row *second)
{
    return (covers(first, second->key) || covers(second, first->key)) && (first->when & ~second->when) == 0;
}

const char *keymap_fault(const struct keymap_row *rows)
{
    int i = 0;
    for (; !is_end(&rows[i]); i++) {
        if (i == KEYS_MAX)
            return "more rows than the bar can choose from";
        if (rows[i].id == 0)
            return "a row without an id";
        if (rows[i].key_last != 0 && rows[i].key_last <= rows[i].key)
            return "a range that ends before it begins";
        if (rows[i].name != NULL && draw_width(CHARSET_FULL, rows[i].name) > NAME_COLS_MAX)
            return rows[i].name;
        if (rows[i].name != NULL && (rows[i].help == NULL || rows[i].help[0] == '\0'))
            return rows[i].name;
        for (int j = 0; j < i; j++)
            if (hides(&rows[j], &rows[i]))
                return rows[i].name != NULL ? rows[i].name : "a second key that an earlier row hides";
    }
    return NULL;
}
