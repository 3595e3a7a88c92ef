/* The repertoire of the Linux console is that of the VGA code page 437 and the fonts that distributions load
 * for Western languages: Latin letters, box lines, whole and half blocks, the four arrows. From memory. */
#include "tui/kit/glyph.h"

#include <stddef.h>
#include <string.h>
#include <utf8proc.h>

struct stand_in {
    uint32_t code;
    uint32_t console; /* one character, or 0: as in ASCII */
    const char *ascii;
};

/* clang-format off */
/* In order of code. */
static const struct stand_in stand_ins[] = {
    {0x00A7, 0x00A7, "S"},   {0x00AB, 0x00AB, "\""},  {0x00B0, 0x00B0, ""},    {0x00B1, 0x00B1, "+-"},
    {0x00B2, 0x00B2, "2"},   {0x00B3, 0x00B3, "3"},   {0x00B5, 0x00B5, "u"},   {0x00B7, 0x00B7, "-"},
    {0x00BB, 0x00BB, "\""},  {0x00BC, 0x00BC, "1/4"}, {0x00BD, 0x00BD, "1/2"}, {0x00BE, 0x00BE, "3/4"},
    {0x00C6, 0x00C6, "AE"},  {0x00D0, 0x00D0, "D"},   {0x00D7, 0x00D7, "x"},   {0x00D8, 0x00D8, "O"},
    {0x00DE, 0x00DE, "Th"},  {0x00DF, 0x00DF, "ss"},  {0x00E6, 0x00E6, "ae"},  {0x00F0, 0x00F0, "d"},
    {0x00F7, 0x00F7, "/"},   {0x00F8, 0x00F8, "o"},   {0x00FE, 0x00FE, "th"},  {0x0110, 0x0110, "D"},
    {0x0111, 0x0111, "d"},   {0x0131, 0x0131, "i"},   {0x0141, 0x0141, "L"},   {0x0142, 0x0142, "l"},
    {0x0152, 0x0152, "OE"},  {0x0153, 0x0153, "oe"},  {0x2013, 0,      "-"},   {0x2014, 0,      "-"},
    {0x2018, 0,      "'"},   {0x2019, 0,      "'"},   {0x201C, 0,      "\""},  {0x201D, 0,      "\""},
    {0x2022, 0x2022, "*"},   {0x2026, 0,      "..."}, {0x2032, 0,      "'"},   {0x2033, 0,      "\""},
    {0x2039, 0,      "<"},   {0x203A, 0,      ">"},   {0x2190, 0x2190, "<"},   {0x2191, 0x2191, "^"},
    {0x2192, 0x2192, ">"},   {0x2193, 0x2193, "v"},   {0x2212, 0,      "-"},   {0x221A, 0x221A, "v"},
    {0x221E, 0x221E, "inf"}, {0x2248, 0x2248, "~"},   {0x2260, 0,      "!="},  {0x2264, 0x2264, "<="},
    {0x2265, 0x2265, ">="},  {0x2500, 0x2500, "-"},   {0x2502, 0x2502, "|"},   {0x250C, 0x250C, "+"},
    {0x2510, 0x2510, "+"},   {0x2514, 0x2514, "+"},   {0x2518, 0x2518, "+"},   {0x251C, 0x251C, "+"},
    {0x2524, 0x2524, "+"},   {0x252C, 0x252C, "+"},   {0x2534, 0x2534, "+"},   {0x253C, 0x253C, "+"},
    {0x254C, 0x2500, "-"},   {0x2580, 0x2580, "\""},  {0x2584, 0x2584, "_"},   {0x2588, 0x2588, "#"},
    {0x258C, 0x258C, "|"},   {0x2590, 0x2590, "|"},   {0x2591, 0x2591, "."},   {0x2592, 0x2592, ":"},
    {0x2593, 0x2593, "#"},   {0x25A0, 0x25A0, "#"},   {0x25B2, 0x25B2, "^"},   {0x25B8, 0x25BA, ">"},
    {0x25BA, 0x25BA, ">"},   {0x25BC, 0x25BC, "v"},   {0x25C2, 0x25C4, "<"},   {0x25C4, 0x25C4, "<"},
    {0x25CB, 0,      "o"},   {0x25CF, 0x2022, "*"},   {0x26A0, 0,      "!"},   {0x2713, 0x221A, "+"},
    {0x2717, 0,      "x"},   {0xFFFD, 0,      "?"},
};
/* clang-format on */

enum { CONSOLE_LATIN_LAST = 0x024F };

enum charset charset_for(const char *terminal_type, bool utf8)
{
    if (!utf8)
        return CHARSET_ASCII;
    return strncmp(terminal_type, "linux", 5) == 0 ? CHARSET_CONSOLE : CHARSET_FULL;
}

static const struct stand_in *stand_in_find(uint32_t code)
{
    size_t low = 0, high = sizeof stand_ins / sizeof stand_ins[0];
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (stand_ins[middle].code == code)
            return &stand_ins[middle];
        if (stand_ins[middle].code < code)
            low = middle + 1;
        else
            high = middle;
    }
    return NULL;
}

static int spell(const char *ascii, uint32_t out[GLYPH_STAND_IN_MAX])
{
    int n = 0;
    while (n < GLYPH_STAND_IN_MAX && ascii[n] != '\0') {
        out[n] = (unsigned char)ascii[n];
        n++;
    }
    return n;
}

/* A letter with marks is spelt as the letter, a compatibility form (a subscript, a full-width letter) as what
 * it stands for. */
static int spell_out(uint32_t code, uint32_t out[GLYPH_STAND_IN_MAX])
{
    utf8proc_int32_t parts[32];
    int n = 0, boundclass = 0;
    utf8proc_ssize_t count =
        utf8proc_decompose_char((utf8proc_int32_t)code, parts, sizeof parts / sizeof parts[0],
                                UTF8PROC_DECOMPOSE | UTF8PROC_COMPAT, &boundclass);
    for (utf8proc_ssize_t i = 0; i < count && i < 32 && n < GLYPH_STAND_IN_MAX; i++)
        if (parts[i] >= ' ' && parts[i] < 0x7F)
            out[n++] = (uint32_t)parts[i];
    return n > 0 ? n : spell("?", out);
}

int glyph_stand_in(uint32_t code, enum charset set, uint32_t out[GLYPH_STAND_IN_MAX])
{
    out[0] = code;
    if (set == CHARSET_FULL || code < 0x7F)
        return 1;
    const struct stand_in *row = stand_in_find(code);
    if (row != NULL && set == CHARSET_CONSOLE && row->console != 0) {
        out[0] = row->console;
        return 1;
    }
    if (row != NULL)
        return spell(row->ascii, out);
    if (set == CHARSET_CONSOLE && code <= CONSOLE_LATIN_LAST)
        return 1;
    return spell_out(code, out);
}

uint32_t glyph_braille(uint8_t dots, enum charset set)
{
    /* Bits 0-2 and 6 are the left column from the top, 3-5 and 7 the right one. */
    const unsigned upper_half = 0x1B, lower_half = 0xE4;
    int count = __builtin_popcount(dots);
    if (set == CHARSET_FULL)
        return 0x2800U + dots;
    if (count == 0)
        return ' ';
    if (count >= 7)
        return '#';
    if (count >= 5)
        return '*';
    if (count <= 2 && (dots & lower_half) == 0)
        return '\'';
    if (count <= 2 && (dots & upper_half) == 0)
        return '.';
    return ':';
}
