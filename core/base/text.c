/* Character classes and widths come from utf8proc, so that they do not depend on the locale of the terminal
 * that happens to be attached. */
#include "core/base/text.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <utf8proc.h>

static const char replacement[] = "\xEF\xBF\xBD"; /* U+FFFD */

uint32_t text_decode(const char *s, int *length)
{
    utf8proc_int32_t code;
    if (*s == '\0') {
        *length = 0;
        return 0;
    }
    utf8proc_ssize_t used = utf8proc_iterate((const utf8proc_uint8_t *)s, -1, &code);
    if (used <= 0) {
        *length = 1;
        return 0xFFFD;
    }
    *length = (int)used;
    return (uint32_t)code;
}

/* Some letters show as nothing (Hangul fillers) or take no column (conjoining jamo): they would hide text. */
static bool takes_no_room(uint32_t code)
{
    return utf8proc_get_property((utf8proc_int32_t)code)->ignorable || text_columns(code) == 0;
}

enum text_class text_classify(uint32_t code)
{
    if (code == ' ' || (code >= '\t' && code <= '\r') || code == 0x85 || code == 0xA0)
        return TEXT_SPACE;
    switch (utf8proc_category((utf8proc_int32_t)code)) {
    case UTF8PROC_CATEGORY_CN:
    case UTF8PROC_CATEGORY_CC:
    case UTF8PROC_CATEGORY_CF:
    case UTF8PROC_CATEGORY_CS:
    case UTF8PROC_CATEGORY_CO: return TEXT_BAD;
    case UTF8PROC_CATEGORY_ZS:
    case UTF8PROC_CATEGORY_ZL:
    case UTF8PROC_CATEGORY_ZP: return TEXT_SPACE;
    case UTF8PROC_CATEGORY_MN:
    case UTF8PROC_CATEGORY_MC:
    case UTF8PROC_CATEGORY_ME:
        return utf8proc_get_property((utf8proc_int32_t)code)->ignorable ? TEXT_DROPPED : TEXT_MARK;
    case UTF8PROC_CATEGORY_LU:
    case UTF8PROC_CATEGORY_LL:
    case UTF8PROC_CATEGORY_LT:
    case UTF8PROC_CATEGORY_LM:
    case UTF8PROC_CATEGORY_LO:
    case UTF8PROC_CATEGORY_ND:
    case UTF8PROC_CATEGORY_NL:
    case UTF8PROC_CATEGORY_NO:
    case UTF8PROC_CATEGORY_PC:
    case UTF8PROC_CATEGORY_PD:
    case UTF8PROC_CATEGORY_PS:
    case UTF8PROC_CATEGORY_PE:
    case UTF8PROC_CATEGORY_PI:
    case UTF8PROC_CATEGORY_PF:
    case UTF8PROC_CATEGORY_PO:
    case UTF8PROC_CATEGORY_SM:
    case UTF8PROC_CATEGORY_SC:
    case UTF8PROC_CATEGORY_SK:
    case UTF8PROC_CATEGORY_SO: break;
    }
    return takes_no_room(code) ? TEXT_BAD : TEXT_SHOWN;
}

/* The length of a text that is plain ASCII and clean already, as nearly all are; SIZE_MAX for any other. */
static size_t plain_length(const char *s)
{
    size_t n = 0;
    for (; s[n] != '\0'; n++)
        if (s[n] <= ' ' || s[n] > '~') {
            bool between = s[n] == ' ' && n > 0 && s[n - 1] != ' ' && s[n + 1] != '\0';
            if (!between)
                return SIZE_MAX;
        }
    return n;
}

bool text_clean(char *dst, size_t size, const char *src)
{
    size_t plain = plain_length(src);
    if (plain < size) {
        memcpy(dst, src, plain + 1);
        return true;
    }
    const char *s = src;
    size_t used = 0;
    int marks = TEXT_MARKS_MAX; /* a mark with no base before it is dropped */
    bool pending_space = false, last_bad = false, same = true;
    while (*s != '\0') {
        int length;
        uint32_t code = text_decode(s, &length);
        bool malformed = length == 1 && (unsigned char)*s >= 0x80;
        enum text_class class = malformed ? TEXT_BAD : text_classify(code);
        const char *piece = s;
        size_t piece_length = (size_t)length;
        s += length;
        if (class == TEXT_SPACE) {
            same = same && used > 0 && *piece == ' ' && !pending_space;
            pending_space = used > 0;
            last_bad = false;
            marks = TEXT_MARKS_MAX;
            continue;
        }
        if (class == TEXT_DROPPED || (class == TEXT_MARK && marks++ >= TEXT_MARKS_MAX)) {
            same = false;
            continue;
        }
        if (class == TEXT_BAD) {
            same = false;
            if (last_bad)
                continue;
            piece = replacement;
            piece_length = sizeof replacement - 1;
        }
        if (class != TEXT_MARK)
            marks = class == TEXT_SHOWN ? 0 : TEXT_MARKS_MAX;
        last_bad = class == TEXT_BAD;
        if (used + piece_length + (pending_space ? 1 : 0) + 1 > size) {
            same = false;
            pending_space = false;
            break;
        }
        if (pending_space)
            dst[used++] = ' ';
        pending_space = false;
        memcpy(dst + used, piece, piece_length);
        used += piece_length;
    }
    if (size > 0)
        dst[used] = '\0';
    return same && !pending_space;
}

bool text_clean_lines(char *dst, size_t size, const char *src)
{
    bool same = true;
    size_t used = 0;
    if (size == 0)
        return false;
    dst[0] = '\0';
    while (*src != '\0') {
        char line[1024];
        size_t length = strcspn(src, "\n"), taken = length < sizeof line ? length : sizeof line - 1;
        memcpy(line, src, taken);
        line[taken] = '\0';
        same = text_clean(dst + used, size - used, line) && taken == length && same;
        used += strlen(dst + used);
        src += length;
        if (*src == '\n') {
            src++;
            if (used + 1 >= size)
                return false;
            dst[used++] = '\n';
            dst[used] = '\0';
        }
    }
    return same;
}

size_t text_encode(uint32_t code_point, char out[4])
{
    utf8proc_int32_t code =
        utf8proc_codepoint_valid((utf8proc_int32_t)code_point) ? (utf8proc_int32_t)code_point : 0xFFFD;
    return (size_t)utf8proc_encode_char(code, (utf8proc_uint8_t *)out);
}

/* As terminals and the C library count (the rules of Markus Kuhn's wcwidth(), from memory): a spacing mark
 * has a column of its own, and the vowels and finals that join a Hangul syllable have none. */
int text_columns(uint32_t code_point)
{
    utf8proc_int32_t code = (utf8proc_int32_t)code_point;
    bool joins = (code >= 0x1160 && code <= 0x11FF) || (code >= 0xD7B0 && code <= 0xD7FF);
    if (joins)
        return 0;
    return utf8proc_category(code) == UTF8PROC_CATEGORY_MC ? 1 : utf8proc_charwidth(code);
}

int text_width(const char *s)
{
    int columns = 0, length;
    for (; *s != '\0'; s += length) {
        bool plain = *s >= ' ' && *s <= '~'; /* nearly all are, and need no looking up */
        length = 1;
        columns += plain ? 1 : text_columns(text_decode(s, &length));
    }
    return columns;
}

int text_cut(char *dst, size_t size, const char *src, int columns, bool ascii)
{
    if (size == 0)
        return 0;
    const char *ellipsis = ascii ? "~" : "\xE2\x80\xA6";
    int width = text_width(src);
    if (width <= columns && strlen(src) < size) {
        text_copy(dst, size, src);
        return width;
    }
    size_t room = size > strlen(ellipsis) ? size - strlen(ellipsis) : 1;
    int used_columns = 0;
    size_t used = 0;
    for (const char *s = src; *s != '\0';) {
        int length;
        width = text_columns(text_decode(s, &length));
        if (used_columns + width > columns - 1 || used + (size_t)length + 1 > room)
            break;
        memcpy(dst + used, s, (size_t)length);
        used += (size_t)length;
        used_columns += width;
        s += length;
    }
    dst[used] = '\0';
    if (columns > 0 && used + strlen(ellipsis) + 1 <= size) {
        memcpy(dst + used, ellipsis, strlen(ellipsis) + 1);
        used_columns++;
    }
    return used_columns;
}

bool text_append(char *dst, size_t size, const char *format, ...)
{
    size_t used = strlen(dst);
    va_list args;
    va_start(args, format);
    int wanted = vsnprintf(dst + used, size - used, format, args);
    va_end(args);
    return wanted >= 0 && (size_t)wanted < size - used;
}

void text_copy(char *dst, size_t size, const char *src)
{
    if (size == 0)
        return;
    size_t length = strnlen(src, size - 1);
    memcpy(dst, src, length);
    dst[length] = '\0';
}

void text_add(char *dst, size_t size, const char *src)
{
    size_t used = strlen(dst);
    text_copy(dst + used, size - used, src);
}

/* The C library works out every digit that a number has, which takes it a thousand instructions. A number of
 * everyday size is known here to far better than the last digit wanted, unless it lies half way between two. */
void text_add_fixed(char *dst, size_t size, double value, int decimals)
{
    enum { DECIMALS_MAX = 4 };
    static const double powers[DECIMALS_MAX + 1] = {1, 10, 100, 1e3, 1e4};
    static const double most = 1e9, near_half = 1e-6; /* up to there the product below is right to 1e-7 */
    char digits[24];
    size_t at = sizeof digits - 1;
    double scaled = decimals >= 0 && decimals <= DECIMALS_MAX ? fabs(value) * powers[decimals] : most;
    if (!(scaled < most)) {
        (void)text_append(dst, size, "%.*f", decimals, value);
        return;
    }
    uint64_t whole = (uint64_t)scaled;
    double rest = scaled - (double)whole;
    if (fabs(rest - 0.5) < near_half) {
        (void)text_append(dst, size, "%.*f", decimals, value);
        return;
    }
    whole += rest > 0.5;
    digits[at] = '\0';
    for (int i = 0; i <= decimals || whole > 0; i++, whole /= 10) {
        if (i == decimals && i > 0)
            digits[--at] = '.';
        digits[--at] = (char)('0' + whole % 10);
    }
    if (signbit(value))
        digits[--at] = '-';
    text_add(dst, size, &digits[at]);
}

void text_escape(char *dst, size_t size, const char *src)
{
    size_t used = 0;
    if (size == 0)
        return;
    for (const unsigned char *s = (const unsigned char *)src; *s != '\0'; s++) {
        bool plain = *s >= 0x20 && *s < 0x7F && *s != '\\';
        if (used + (plain ? 1 : 4) + 1 > size)
            break;
        if (plain)
            dst[used++] = (char)*s;
        else
            used += (size_t)snprintf(dst + used, size - used, "\\x%02X", *s);
    }
    dst[used] = '\0';
}

bool text_same(const char *a, const char *b)
{
    for (; *a != '\0' && *b != '\0'; a++, b++)
        if (tolower((unsigned char)*a) != tolower((unsigned char)*b))
            return false;
    return *a == *b;
}

int text_find(const char *const words[], int count, const char *word)
{
    for (int i = 0; i < count; i++)
        if (text_same(words[i], word))
            return i;
    return -1;
}

static const char *skip_joiners(const char *s)
{
    while (*s == ' ' || *s == '-' || *s == '_')
        s++;
    return s;
}

bool text_same_name(const char *a, const char *b)
{
    for (;; a++, b++) {
        a = skip_joiners(a);
        b = skip_joiners(b);
        if (tolower((unsigned char)*a) != tolower((unsigned char)*b))
            return false;
        if (*a == '\0')
            return true;
    }
}

bool text_starts(const char *s, const char *prefix, const char **rest)
{
    size_t n = strlen(prefix);
    if (strncmp(s, prefix, n) != 0)
        return false;
    if (rest != NULL)
        *rest = s + n;
    return true;
}

bool text_trim(char *dst, size_t size, const char *src)
{
    while (isspace((unsigned char)*src))
        src++;
    size_t n = strlen(src);
    while (n > 0 && isspace((unsigned char)src[n - 1]))
        n--;
    bool fits = n < size;
    if (!fits)
        n = size > 0 ? size - 1 : 0;
    if (size > 0) {
        memmove(dst, src, n);
        dst[n] = '\0';
    }
    return fits;
}
