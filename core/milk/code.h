/* Batch codes: what is written on the tape of a jar with a wet pen, and read back days later.
 *
 *     260503-1AR    3 May 2026, first milking of that day, batch A, check character R
 *
 * Nine characters: year, month, day, milking (1..9), batch letter, check. Reading takes either case, blanks,
 * hyphens, dots and strokes anywhere, and a letter for the digit that it looks like or the reverse (O and 0,
 * I or L and 1, Z and 2, A and 4, S and 5, G and 6, T and 7, B and 8), because each place of the code holds
 * either a digit or a letter. Letters that are too like another one (I, L, O, Q, U, V) are not given out.
 *
 * The check is a weighted sum modulo the prime 23 over shapes: a letter and the digit that it looks like have
 * one value, so writing one for the other changes nothing. Any other single character misread, any two
 * characters swapped, and any doubled pair misread (11 for 77) leave a remainder and are refused. */
#ifndef CORE_MILK_CODE_H
#define CORE_MILK_CODE_H

#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"

enum { CODE_TEXT_MAX = 12, CODE_MILKINGS_MAX = 9 };

/* What a code says. Two batches with the same three values are the same batch. */
struct batch_code {
    struct date on; /* civil day of the milking, 2000-01-01 .. 2099-12-31 */
    int milking;    /* 1 = first of that day */
    char letter;    /* one of code_letters */
};

/* The letters that batches of one milking get, in order. */
extern const char code_letters[];

/* The letter of the n-th batch of a milking (0 = A), or '\0' past the last. */
char code_letter(int n);

/* Writes the code with its check, as it goes on the tape. Refuses values outside the ranges above. */
int code_format(const struct batch_code *code, char buf[CODE_TEXT_MAX], struct fail *f);

/* Reads a code back. Refuses, saying which: a wrong number of characters, a character that cannot stand in
 * its place, a day that does not exist, a check that does not fit. */
int code_parse(const char *text, struct batch_code *out, struct fail *f);

enum {
    CODE_NO_MATCH = -1,      /* nothing known is within one slip */
    CODE_MATCH_UNCLEAR = -2, /* more than one is */
};

/* Which of `count` known codes was meant by a text that code_parse() refused: the only one that is reached by
 * one character misread, left out or put in, or by two neighbours swapped. Returns its index, or one of the
 * two values above. */
int code_match(const char *text, const struct batch_code *known, size_t count);

#endif
