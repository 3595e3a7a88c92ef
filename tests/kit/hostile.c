#include "tests/kit/hostile.h"

#include <string.h>

#include "core/base/text.h"

/* ISO 6429 controls, what moves a cursor, what changes direction, what has no width, what is too wide, and
 * what is not UTF-8. */
const char *const hostile[] = {
    "Maud",
    "\x1b[2J\x1b[H",
    "\x1b]0;title\x07",
    "\x1bP+q\x1b\\",
    "\xC2\x9B"
    "31m",
    "\xC2\x9D"
    "0;x\x07",
    "a\nb\rc\td\be\vf\fg",
    "\x7F\x01\x02\x0E\x0F",
    "\xE2\x80\xAE"
    "evods",
    "\xE2\x80\x8B\xE2\x80\x8C\xE2\x80\x8D\xEF\xBB\xBF",
    "Z\xCC\x81\xCC\x82\xCC\x83\xCC\x84\xCC\x85\xCC\x86",
    "\xCC\x81\xCC\x82",
    "花子花子花子",
    "👩‍🌾👨‍👩‍👧‍👦🇳🇿",
    "\xEF\xB7\xBD",
    "\xE1\x84\x80\xE1\x85\xA1\xE1\x86\xA8",
    "\xE3\x85\xA4\xE3\x85\xA4",
    "\xFF\xFE\xC0\x80\xED\xA0\x80\xF5\x80\x80\x80",
    "\xE2\x82",
    "ภาษาไทย",
    "हिन्दी",
    "\xEF\xB8\x8F\xE2\x9C\x93\xEF\xB8\x8F",
    "         ",
    "1/2 ½ °F ± ≥",
};
const size_t hostile_count = sizeof hostile / sizeof hostile[0];

static size_t piece(struct stream *s, char *buf)
{
    static const uint32_t tops[] = {0x7F, 0x7FF, 0xFFFF, 0x1FFFF, 0x10FFFF};
    if (stream_below(s, 3) == 0) {
        buf[0] = (char)(1 + stream_below(s, 255));
        return 1;
    }
    return text_encode(1 + (uint32_t)stream_below(s, (int)tops[stream_below(s, 5)]), buf);
}

void hostile_make(struct stream *s, char *buf, size_t size)
{
    size_t used = 0, want = (size_t)stream_below(s, (int)size);
    while (used < want) {
        char bytes[64];
        size_t n;
        if (stream_below(s, 4) == 0) {
            const char *text = hostile[stream_below(s, (int)hostile_count)];
            n = strlen(text);
            memcpy(bytes, text, n);
        } else {
            n = piece(s, bytes);
        }
        if (used + n + 1 > size)
            break;
        memcpy(buf + used, bytes, n);
        used += n;
    }
    buf[used] = '\0';
}
