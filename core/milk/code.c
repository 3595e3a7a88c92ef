#include "core/milk/code.h"

#include <ctype.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

enum { LENGTH = 9, MILKING_PLACE = 6, LETTER_PLACE = 7, CHECK_PLACE = 8, PRIME = 23 };

const char code_letters[] = "ABCDEFGHJKMNPRSTWXYZ";

/* Characters by shape: the value of a shape is its index. A letter that looks like a digit has the digit's
 * value (twins), so that reading one for the other changes no sum. */
static const char shapes[] = "0123456789CEFHJKMNPRWXY";

static const struct twin {
    char letter, digit;
} twins[] = {
    {'D', '0'}, {'O', '0'}, {'Q', '0'}, {'I', '1'}, {'L', '1'}, {'Z', '2'},
    {'A', '4'}, {'S', '5'}, {'G', '6'}, {'T', '7'}, {'B', '8'},
};

static char twin_digit(char c)
{
    for (size_t i = 0; i < sizeof twins / sizeof twins[0]; i++)
        if (twins[i].letter == c)
            return twins[i].digit;
    return c;
}

/* The shape's value, -1 for a character that no code has. */
static int shape_of(char c)
{
    const char *at = c == '\0' ? NULL : strchr(shapes, twin_digit(c));
    return at == NULL ? -1 : (int)(at - shapes);
}

/* The batch letter of a shape, '\0' when none is given out for it (a digit that looks like no letter). */
static char letter_of_shape(int shape)
{
    for (const char *p = code_letters; *p != '\0'; p++)
        if (shape_of(*p) == shape)
            return *p;
    return '\0';
}

/* Weights 9, 8, .. 1 by place: no two alike, so a swap shows; no two add up to 23, so a misread pair shows.
 */
static int checksum(const int shape[LENGTH], int places)
{
    int sum = 0;
    for (int i = 0; i < places; i++)
        sum += (LENGTH - i) * shape[i];
    return sum % PRIME;
}

enum { READ_MAX = LENGTH + 2 };

/* The characters that count, as shapes (-1 for strangers): at most READ_MAX of them. Returns how many. */
static int read_shapes(const char *text, int shape[READ_MAX], char seen[READ_MAX])
{
    int n = 0;
    for (const char *p = text; *p != '\0' && n < READ_MAX; p++) {
        if (strchr(" -./_", *p) != NULL)
            continue;
        seen[n] = (char)toupper((unsigned char)*p);
        shape[n] = shape_of(seen[n]);
        n++;
    }
    return n;
}

char code_letter(int n)
{
    if (n < 0 || n >= (int)sizeof code_letters - 1)
        return '\0';
    return code_letters[n];
}

int code_format(const struct batch_code *code, char buf[CODE_TEXT_MAX], struct fail *f)
{
    struct civil c;
    int shape[READ_MAX] = {0};
    char seen[READ_MAX];
    if (!date_known(code->on))
        return fail_input(f, "A batch code needs the day of the milking.");
    date_to_civil(code->on, &c);
    if (c.year < 2000 || c.year > 2099)
        return fail_input(f, "Batch codes hold the years 2000 to 2099, not %d.", c.year);
    if (code->milking < 1 || code->milking > CODE_MILKINGS_MAX)
        return fail_input(f, "A day has milkings 1 to %d in a batch code, not %d.", CODE_MILKINGS_MAX,
                          code->milking);
    if (code->letter == '\0' || strchr(code_letters, code->letter) == NULL)
        return fail_input(f, "A batch letter is one of %s.", code_letters);
    (void)snprintf(buf, CODE_TEXT_MAX, "%02d%02d%02d-%d%c", c.year % 100, c.month, c.day, code->milking,
                   code->letter);
    read_shapes(buf, shape, seen);
    int check = (PRIME - checksum(shape, CHECK_PLACE)) % PRIME;
    return text_append(buf, CODE_TEXT_MAX, "%c", shapes[check]) ? 0 : -1;
}

/* Every character can stand in its place, or a line that names the one that cannot. */
static int places_check(const int shape[LENGTH], const char seen[LENGTH], struct fail *f)
{
    for (int i = 0; i < LENGTH; i++) {
        bool digit_place = i <= MILKING_PLACE;
        bool good = shape[i] >= 0;
        if (digit_place)
            good = good && shape[i] <= 9;
        if (i == LETTER_PLACE)
            good = good && letter_of_shape(shape[i]) != '\0';
        if (good)
            continue;
        if (isprint((unsigned char)seen[i]))
            return fail_input(f, "Character %d of a batch code is a %s, not \"%c\"; look at the tape again.",
                              i + 1, digit_place ? "digit" : "letter", seen[i]);
        return fail_input(f, "Character %d of that batch code is not one that codes have.", i + 1);
    }
    return 0;
}

int code_parse(const char *text, struct batch_code *out, struct fail *f)
{
    int shape[READ_MAX] = {0};
    char seen[READ_MAX];
    struct batch_code code;
    if (read_shapes(text, shape, seen) != LENGTH)
        return fail_input(f, "\"%.20s\" is not a batch code: those have nine characters, as 260503-1AR.",
                          text);
    if (places_check(shape, seen, f) != 0)
        return -1;
    int year = 2000 + shape[0] * 10 + shape[1], month = shape[2] * 10 + shape[3],
        day = shape[4] * 10 + shape[5];
    if (!date_from_ymd(year, month, day, &code.on))
        return fail_input(f, "\"%.20s\": there is no day %d-%02d-%02d; look at the tape again.", text, year,
                          month, day);
    code.milking = shape[MILKING_PLACE];
    if (code.milking == 0)
        return fail_input(f, "\"%.20s\": milkings are counted from 1; look at the tape again.", text);
    code.letter = letter_of_shape(shape[LETTER_PLACE]);
    if (checksum(shape, LENGTH) != 0)
        return fail_input(f,
                          "\"%.20s\" has a character misread: its check does not fit; look at the tape "
                          "again.",
                          text);
    *out = code;
    return 0;
}

/* b comes from a by taking out one element. */
static bool one_left_out(const int *a, int a_count, const int *b)
{
    int i = 0;
    while (i < a_count - 1 && a[i] == b[i])
        i++;
    return memcmp(a + i + 1, b + i, (size_t)(a_count - 1 - i) * sizeof *a) == 0;
}

/* a and b, of LENGTH, differ in at most one place, or in two neighbours swapped. */
static bool one_slip_apart(const int *a, const int *b)
{
    int i = 0;
    while (i < LENGTH && a[i] == b[i])
        i++;
    if (i == LENGTH)
        return true;
    size_t after = (size_t)(LENGTH - 1 - i);
    if (memcmp(a + i + 1, b + i + 1, after * sizeof *a) == 0)
        return true;
    return i + 1 < LENGTH && a[i] == b[i + 1] && a[i + 1] == b[i] &&
           memcmp(a + i + 2, b + i + 2, (after - 1) * sizeof *a) == 0;
}

int code_match(const char *text, const struct batch_code *known, size_t count)
{
    int shape[READ_MAX], other[READ_MAX], found = CODE_NO_MATCH;
    char seen[READ_MAX], buf[CODE_TEXT_MAX];
    int n = read_shapes(text, shape, seen);
    for (size_t i = 0; i < count; i++) {
        if (code_format(&known[i], buf, NULL) != 0)
            continue;
        read_shapes(buf, other, seen);
        bool near = (n == LENGTH && one_slip_apart(shape, other)) ||
                    (n == LENGTH - 1 && one_left_out(other, LENGTH, shape)) ||
                    (n == LENGTH + 1 && one_left_out(shape, n, other));
        if (!near)
            continue;
        if (found != CODE_NO_MATCH)
            return CODE_MATCH_UNCLEAR;
        found = (int)i;
    }
    return found;
}
