/* Text from people and files, made safe to store and to show. Everything stored or imported passes
 * text_clean() once on the way in, and again where it is drawn, so that a control character or an escape
 * sequence never reaches a terminal. All text is UTF-8; widths are counted in terminal columns. */
#ifndef CORE_BASE_TEXT_H
#define CORE_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What a code point is to a terminal. */
enum text_class {
    TEXT_SHOWN,   /* takes one or two columns */
    TEXT_MARK,    /* belongs to the character before it; most take no column */
    TEXT_SPACE,   /* blanks, tabs and line ends: shown as one blank */
    TEXT_DROPPED, /* variation selectors: harmless, but terminals disagree on the width they give */
    TEXT_BAD,     /* controls, formats, what hides: never sent to a terminal */
};

enum text_class text_classify(uint32_t code_point);

enum { TEXT_MARKS_MAX = 2 }; /* marks that are kept on one base */

/* Copies src to dst (size bytes, always ended), keeping what may be shown: letters, marks (at most two on one
 * base), digits, punctuation, symbols and single spaces. Tabs and line ends become a space. Control and
 * format characters (bidirectional, zero-width), private and unassigned code points and bytes that are not
 * UTF-8 become U+FFFD, one for each run of them. Spaces at both ends go. Cuts at a whole character when dst
 * is too small. Returns true if dst now holds exactly src. The two may not overlap. */
bool text_clean(char *dst, size_t size, const char *src);

/* The same line by line: line ends stay, each line is cleaned. */
bool text_clean_lines(char *dst, size_t size, const char *src);

/* Columns that s takes on a terminal: 2 for wide characters, 0 for combining marks. Malformed bytes count 1.
 */
int text_width(const char *s);

/* Copies at most `columns` columns of src; when something is cut, the last column is `…` (or `~` if ascii).
 * Never splits a character or parts a mark from its base. Returns the columns used. */
int text_cut(char *dst, size_t size, const char *src, int columns, bool ascii);

/* Decodes one code point at s. Stores its bytes' length (1 for a malformed byte, which decodes as 0xFFFD; 0
 * at the end). */
uint32_t text_decode(const char *s, int *length);

/* Writes one code point as UTF-8, without an ending zero. Returns its bytes, 1 to 4; U+FFFD for what is not a
 * code point. */
size_t text_encode(uint32_t code_point, char out[4]);

/* Columns of one code point: 0, 1 or 2, as terminals count. */
int text_columns(uint32_t code_point);

/* Appends formatted text to dst, whose present length is strlen(dst). Returns false if it was cut. */
bool text_append(char *dst, size_t size, const char *format, ...) __attribute__((format(printf, 3, 4)));

/* Copies src, or appends it, as it is; what has no room is cut off. */
void text_copy(char *dst, size_t size, const char *src);
void text_add(char *dst, size_t size, const char *src);

/* Appends a number with so many decimals, digit for digit as the C library's "%.*f" has it. */
void text_add_fixed(char *dst, size_t size, double value, int decimals);

/* Copies values that come from outside and are not yet clean: non-ASCII and controls are written as \xNN,
 * as standard output and log files need them. */
void text_escape(char *dst, size_t size, const char *src);

/* Equal without regard to ASCII case. */
bool text_same(const char *a, const char *b);

/* The place of `word` in a list of words, without regard to ASCII case; -1 if it is not there. */
int text_find(const char *const words[], int count, const char *word);
/* Equal without regard to ASCII case, blanks, hyphens and underscores: "Brown Swiss" and "brown-swiss". */
bool text_same_name(const char *a, const char *b);

/* True if s begins with prefix; *rest (may be NULL) is what follows. */
bool text_starts(const char *s, const char *prefix, const char **rest);

/* Copies src without blanks at either end. Returns false if it did not fit. */
bool text_trim(char *dst, size_t size, const char *src);

#endif
