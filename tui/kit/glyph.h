/* Which characters a terminal can show, and what stands in for the others. Everything is written in UTF-8
 * ("✓ post-dip"); drawing replaces what this terminal lacks, from one table: nobody else asks. */
#ifndef TUI_KIT_GLYPH_H
#define TUI_KIT_GLYPH_H

#include <stdbool.h>
#include <stdint.h>

enum charset {
    CHARSET_FULL,    /* a UTF-8 terminal window: box lines, blocks, braille */
    CHARSET_CONSOLE, /* the Linux console in UTF-8: box lines and whole blocks, no braille */
    CHARSET_ASCII,   /* everything else */
};

/* The set for a terminal of that type, whose locale is UTF-8 or not. */
enum charset charset_for(const char *terminal_type, bool utf8);

/* Signs with a meaning. Each is one column in every set, so columns line up on any terminal. */
#define GLYPH_TICK    "✓" /* done */
#define GLYPH_POINTER "▸" /* here, now */
#define GLYPH_WARNING "!" /* stands before a caution */
#define GLYPH_UP      "↑"
#define GLYPH_DOWN    "↓"
#define GLYPH_LEFT    "←"
#define GLYPH_RIGHT   "→"
#define GLYPH_DOT     "·" /* between parts of a sentence; an empty place */
#define GLYPH_DASH    "–" /* nothing to say */
#define GLYPH_BULLET  "•"
#define GLYPH_MARK    "▌" /* before the line that matters */

/* Longest stand-in, in characters; all are ASCII or one code point. */
enum { GLYPH_STAND_IN_MAX = 4 };

/* What is drawn for `code` in that set: up to GLYPH_STAND_IN_MAX code points in `out`, returns how many (0:
 * nothing at all, as for ° in ASCII). Letters with marks become plain letters; what has no likeness becomes
 * '?'. */
int glyph_stand_in(uint32_t code, enum charset set, uint32_t out[GLYPH_STAND_IN_MAX]);

/* One column standing for a braille cell with these dots (bit 0-7 as in U+2800): the cell itself, or a mark
 * at the same height. */
uint32_t glyph_braille(uint8_t dots, enum charset set);

#endif
