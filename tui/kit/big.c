#include "tui/kit/big.h"

#include <stddef.h>
#include <string.h>

#include "tui/kit/cells.h"

enum { PIXEL_ROWS = 5, SMALL_ROWS = 3, SCALE_MAX = 60 };

/* Each sign as pixels for blocks, and as it is drawn in the smallest size in ASCII. */
struct sign {
    uint32_t code;
    const char *pixels[PIXEL_ROWS];
    const char *small[SMALL_ROWS];
};

/* clang-format off */
static const struct sign signs[] = {
    {'0', {".##.", "#..#", "#..#", "#..#", ".##."}, {" _ ", "| |", "|_|"}},
    {'1', {"..#.", ".##.", "..#.", "..#.", ".###"}, {"   ", "  |", "  |"}},
    {'2', {"###.", "...#", ".##.", "#...", "####"}, {" _ ", " _|", "|_ "}},
    {'3', {"###.", "...#", ".##.", "...#", "###."}, {" _ ", " _|", " _|"}},
    {'4', {"#..#", "#..#", "####", "...#", "...#"}, {"   ", "|_|", "  |"}},
    {'5', {"####", "#...", "###.", "...#", "###."}, {" _ ", "|_ ", " _|"}},
    {'6', {".##.", "#...", "###.", "#..#", ".##."}, {" _ ", "|_ ", "|_|"}},
    {'7', {"####", "...#", "..#.", ".#..", ".#.."}, {" _ ", "  |", "  |"}},
    {'8', {".##.", "#..#", ".##.", "#..#", ".##."}, {" _ ", "|_|", "|_|"}},
    {'9', {".##.", "#..#", ".###", "...#", ".##."}, {" _ ", "|_|", " _|"}},
    {'.', {".", ".", ".", ".", "#"},                {" ", " ", "."}},
    {':', {".", "#", ".", "#", "."},                {" ", ".", "."}},
    {'-', {"...", "...", "###", "...", "..."},      {"   ", " _ ", "   "}},
    {'+', {"...", ".#.", "###", ".#.", "..."},      {"   ", " + ", "   "}},
    {' ', {"..", "..", "..", "..", ".."},           {" ", " ", " "}},
    {0xB0, {"##", "##", "..", "..", ".."},          {"o", " ", " "}},
    {'C', {".##", "#..", "#..", "#..", ".##"},      {" _ ", "|  ", "|_ "}},
    {'D', {"###.", "#..#", "#..#", "#..#", "###."}, {" _ ", "| \\", "|_/"}},
    {'E', {"####", "#...", "###.", "#...", "####"}, {" _ ", "|_ ", "|_ "}},
    {'F', {"###", "#..", "##.", "#..", "#.."},      {" _ ", "|_ ", "|  "}},
    {'K', {"#..#", "#.#.", "##..", "#.#.", "#..#"}, {"   ", "|/ ", "|\\ "}},
    {'N', {"#..#", "##.#", "#.##", "#..#", "#..#"}, {"    ", "|\\ |", "| \\|"}},
    {'O', {".##.", "#..#", "#..#", "#..#", ".##."}, {" _ ", "| |", "|_|"}},
    {'P', {"###.", "#..#", "###.", "#...", "#..."}, {" _ ", "|_|", "|  "}},
    {'T', {"#####", "..#..", "..#..", "..#..", "..#.."}, {"___", " | ", " | "}},
    {'h', {"#..", "#..", "##.", "#.#", "#.#"},      {"   ", "|_ ", "| |"}},
    {'m', {".....", ".....", "####.", "#.#.#", "#.#.#"}, {"     ", " _ _ ", "| | |"}},
    {'i', {"#", ".", "#", "#", "#"},                {" ", ".", "|"}},
    {'n', {"...", "...", "##.", "#.#", "#.#"},      {"   ", " _ ", "| |"}},
};
/* clang-format on */

static const struct sign *sign_find(uint32_t code)
{
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (signs[i].code == code)
            return &signs[i];
    return NULL;
}

static bool is_small(enum charset set, int scale)
{
    return set == CHARSET_ASCII && scale == 1;
}

/* A pixel in half rows and columns: with half blocks it is as wide as half a row is high; without, a whole
 * row high and two columns wide. */
static int half_rows_of_pixel(enum charset set, int scale)
{
    return set == CHARSET_ASCII ? 2 * (scale - 1) : scale;
}

int big_rows(enum charset set, int scale)
{
    if (scale < 1)
        return 0;
    if (is_small(set, scale))
        return SMALL_ROWS;
    return (PIXEL_ROWS * half_rows_of_pixel(set, scale) + 1) / 2;
}

static int sign_cols(const struct sign *sign, enum charset set, int scale)
{
    if (is_small(set, scale))
        return (int)strlen(sign->small[0]);
    return (int)strlen(sign->pixels[0]) * half_rows_of_pixel(set, scale);
}

static int gap_cols(enum charset set, int scale)
{
    return is_small(set, scale) ? 1 : half_rows_of_pixel(set, scale);
}

int big_cols(enum charset set, int scale, const char *text)
{
    int cols = 0, length;
    if (scale < 1)
        return 0;
    for (const char *s = text; *s != '\0'; s += length) {
        const struct sign *sign = sign_find(text_decode(s, &length));
        if (sign != NULL)
            cols += sign_cols(sign, set, scale) + gap_cols(set, scale);
    }
    return cols > 0 ? cols - gap_cols(set, scale) : 0;
}

int big_scale(struct rect r, const char *text)
{
    enum charset set = r.canvas->charset;
    int scale = 0;
    while (scale < SCALE_MAX && big_rows(set, scale + 1) <= r.rows &&
           big_cols(set, scale + 1, text) <= r.cols)
        scale++;
    return scale;
}

static bool pixel_at(const struct sign *sign, int half_row, int col, int size)
{
    return half_row / size < PIXEL_ROWS && sign->pixels[half_row / size][col / size] == '#';
}

static uint32_t block_of(bool upper, bool lower, enum charset set)
{
    if (set == CHARSET_ASCII)
        return upper ? '#' : ' ';
    if (upper && lower)
        return 0x2588;
    return upper ? 0x2580 : lower ? 0x2584 : ' ';
}

static uint32_t sign_cell(const struct sign *sign, enum charset set, int scale, int row, int col)
{
    if (is_small(set, scale))
        return (unsigned char)sign->small[row][col];
    int size = half_rows_of_pixel(set, scale);
    return block_of(pixel_at(sign, 2 * row, col, size), pixel_at(sign, 2 * row + 1, col, size), set);
}

int draw_big(struct rect r, int row, int col, enum role role, int scale, const char *text)
{
    enum charset set = r.canvas->charset;
    int length;
    if (scale < 1 || scale > SCALE_MAX)
        return col;
    for (const char *s = text; *s != '\0'; s += length) {
        const struct sign *sign = sign_find(text_decode(s, &length));
        if (sign == NULL)
            continue;
        int rows = big_rows(set, scale), cols = sign_cols(sign, set, scale);
        for (int y = 0; y < rows; y++)
            for (int x = 0; x < cols; x++) {
                uint32_t code = sign_cell(sign, set, scale, y, x);
                if (code != ' ')
                    cell_put_code(r, row + y, col + x, role, code);
            }
        col += cols + gap_cols(set, scale);
    }
    return col;
}
