#include "core/cooling/probe.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"

/* --- whose file is it? --- */

static bool ends_with(const char *s, size_t length, const char *end)
{
    size_t n = strlen(end);
    return length >= n && memcmp(s + length - n, end, n) == 0;
}

/* "temp" DIGITS "_input" */
static bool is_hwmon(const char *name)
{
    const char *rest;
    if (!text_starts(name, "temp", &rest) || !isdigit((unsigned char)*rest))
        return false;
    while (isdigit((unsigned char)*rest))
        rest++;
    return strcmp(rest, "_input") == 0;
}

enum probe_kind probe_kind_of_path(const char *path)
{
    const char *slash = strrchr(path, '/'), *name = slash == NULL ? path : slash + 1;
    size_t length = strlen(name);
    if (strcmp(name, "w1_slave") == 0)
        return PROBE_W1_SLAVE;
    if (strcmp(name, "temperature") == 0 || is_hwmon(name))
        return PROBE_MILLIDEGREE;
    if (!text_starts(name, "in_temp", NULL))
        return PROBE_NONE;
    if (ends_with(name, length, "_input"))
        return PROBE_MILLIDEGREE;
    return ends_with(name, length, "_raw") ? PROBE_IIO_RAW : PROBE_NONE;
}

/* --- 1-wire --- */

uint8_t probe_crc8(const uint8_t *bytes, size_t count)
{
    uint8_t crc = 0;
    for (size_t i = 0; i < count; i++) {
        crc = (uint8_t)(crc ^ bytes[i]);
        for (int bit = 0; bit < 8; bit++)
            crc = (uint8_t)((crc & 1) != 0 ? (crc >> 1) ^ 0x8C : crc >> 1);
    }
    return crc;
}

enum { SCRATCHPAD = 9 };

static int hex_digit(char c)
{
    const char *digits = "0123456789abcdef";
    const char *at = c == '\0' ? NULL : strchr(digits, tolower((unsigned char)c));
    return at == NULL ? -1 : (int)(at - digits);
}

/* Nine bytes, two digits each, blanks between. */
static bool read_scratchpad(const char **s, uint8_t byte[SCRATCHPAD])
{
    for (int i = 0; i < SCRATCHPAD; i++) {
        while (**s == ' ')
            (*s)++;
        int high = hex_digit((*s)[0]), low = high < 0 ? -1 : hex_digit((*s)[1]);
        if (low < 0)
            return false;
        byte[i] = (uint8_t)(16 * high + low);
        *s += 2;
    }
    return true;
}

/* A whole number and nothing but blanks or a line end after it. */
static bool read_whole(const char *text, double *value)
{
    const char *s = text;
    int digits = 0;
    while (isspace((unsigned char)*s))
        s++;
    const char *from = s;
    if (*s == '-' || *s == '+')
        s++;
    for (; isdigit((unsigned char)*s); s++)
        digits++;
    if (digits == 0 || digits > 9)
        return false;
    *value = strtod(from, NULL);
    while (isspace((unsigned char)*s))
        s++;
    return *s == '\0';
}

/* All zeros have a good checksum, and are what a shorted line reads as; all ones an open one. */
static bool is_dead_line(const uint8_t byte[SCRATCHPAD])
{
    bool zeros = true, ones = true;
    for (int i = 0; i < SCRATCHPAD; i++) {
        zeros = zeros && byte[i] == 0;
        ones = ones && byte[i] == 0xFF;
    }
    return zeros || ones;
}

int probe_read_w1(const char *text, double *temp_c, struct fail *f)
{
    uint8_t byte[SCRATCHPAD];
    const char *s = text, *t;
    double milli;
    while (isspace((unsigned char)*s))
        s++;
    if (!read_scratchpad(&s, byte))
        return fail_input(f, "The probe gave no reading that is understood.");
    if (is_dead_line(byte))
        return fail_refused(f, "The probe does not answer: its line reads all the same.");
    if (strstr(s, "YES") == NULL || probe_crc8(byte, SCRATCHPAD - 1) != byte[SCRATCHPAD - 1])
        return fail_refused(f, "The probe's reading was garbled on the line (checksum).");
    t = strstr(s, "t=");
    if (t == NULL || !read_whole(t + 2, &milli))
        return fail_input(f, "The probe gave no temperature.");
    *temp_c = milli / 1000;
    return 0;
}

/* --- hwmon and IIO --- */

int probe_read_millidegree(const char *text, double *temp_c, struct fail *f)
{
    double milli;
    if (!read_whole(text, &milli))
        return fail_input(f, "The probe gave no temperature.");
    *temp_c = milli / 1000;
    return 0;
}

/* A decimal number as IIO writes it ("0.0625", "-3", "1e-3"), and nothing else. */
static bool read_decimal(const char *text, double *value)
{
    char *end;
    while (isspace((unsigned char)*text))
        text++;
    if (!isdigit((unsigned char)*text) && *text != '-' && *text != '+' && *text != '.')
        return false;
    if (strpbrk(text, "xXnNiI") != NULL)
        return false;
    *value = strtod(text, &end);
    if (end == text || !isfinite(*value))
        return false;
    while (isspace((unsigned char)*end))
        end++;
    return *end == '\0';
}

int probe_read_iio(const char *raw, const char *offset, const char *scale, double *temp_c, struct fail *f)
{
    double r, o = 0, s = 1;
    if (!read_decimal(raw, &r) || (offset != NULL && !read_decimal(offset, &o)) ||
        (scale != NULL && !read_decimal(scale, &s)))
        return fail_input(f, "The probe gave no number.");
    *temp_c = (r + o) * s / 1000;
    return 0;
}

/* --- believable or not --- */

#define POWER_ON_C   85.0
#define COLDEST_C    (-30.0)
#define WARMEST_C    110.0
#define JUMP_LEAST_K 3.0 /* what a second thermometer or a stir of the jar may do at once */
#define JUMP_K_PER_S                                                                                         \
    0.25 /* a bare probe put from warm milk into ice water moves faster, and is asked again */
#define CONFIRM_K     1.5
#define FROZEN_S      600.0
#define MISSES_SILENT 3

const char *probe_state_word(enum probe_state state)
{
    static const char *const words[] = {
        [PROBE_WAITING] = "waiting", [PROBE_FRESH] = "just powered up", [PROBE_GOOD] = "good",
        [PROBE_JUMPED] = "jumped",   [PROBE_FROZEN] = "frozen",         [PROBE_SILENT] = "no answer",
        [PROBE_WILD] = "impossible",
    };
    return words[state];
}

void probe_watch_init(struct probe_watch *watch)
{
    *watch = (struct probe_watch){
        .at = NAN, .temp_c = NAN, .pending_at = NAN, .pending_c = NAN, .same_since = NAN};
}

/* Further from the last reading than the time between allows? */
static bool is_jump(const struct probe_watch *watch, double at, double temp_c)
{
    if (isnan(watch->at))
        return false;
    double allowed = fmax(JUMP_LEAST_K, JUMP_K_PER_S * (at - watch->at));
    return fabs(temp_c - watch->temp_c) > allowed;
}

/* 85 °C is what the chip holds before its first conversion. It is believed only beside readings near it. */
static bool is_power_on(const struct probe_watch *watch, double temp_c)
{
    return temp_c == POWER_ON_C && !(fabs(watch->temp_c - POWER_ON_C) < JUMP_LEAST_K);
}

static enum probe_state take_good(struct probe_watch *watch, double at, double temp_c, bool moving)
{
    if (!(temp_c == watch->temp_c) || !moving || isnan(watch->same_since))
        watch->same_since = at;
    watch->at = at;
    watch->temp_c = temp_c;
    watch->pending_at = watch->pending_c = NAN;
    return watch->state = at - watch->same_since >= FROZEN_S ? PROBE_FROZEN : PROBE_GOOD;
}

enum probe_state probe_take(struct probe_watch *watch, double at, double temp_c, bool moving)
{
    watch->misses = 0;
    if (!(temp_c >= COLDEST_C && temp_c <= WARMEST_C))
        return watch->state = PROBE_WILD;
    if (is_power_on(watch, temp_c))
        return watch->state = PROBE_FRESH;
    if (is_jump(watch, at, temp_c) && !(fabs(temp_c - watch->pending_c) <= CONFIRM_K)) {
        watch->pending_at = at;
        watch->pending_c = temp_c;
        return watch->state = PROBE_JUMPED;
    }
    return take_good(watch, at, temp_c, moving);
}

enum probe_state probe_miss(struct probe_watch *watch, double at)
{
    (void)at;
    if (watch->misses < MISSES_SILENT)
        watch->misses++;
    if (watch->misses == MISSES_SILENT)
        watch->state = PROBE_SILENT;
    return watch->state;
}

/* --- keeping fewer --- */

/* How far reading b is from the straight line between a and c. */
static double bend(const struct thin_reading *a, const struct thin_reading *b, const struct thin_reading *c)
{
    double share = c->at > a->at ? (b->at - a->at) / (c->at - a->at) : 0;
    return fabs(b->temp_c - (a->temp_c + share * (c->temp_c - a->temp_c)));
}

size_t reading_thin(struct thin_reading *reading, size_t count, size_t most)
{
    while (count > most && count > 2) {
        size_t least = 1;
        double least_bend = INFINITY;
        for (size_t i = 1; i + 1 < count; i++) {
            double here = bend(&reading[i - 1], &reading[i], &reading[i + 1]);
            if (here < least_bend) {
                least_bend = here;
                least = i;
            }
        }
        memmove(&reading[least], &reading[least + 1], (count - least - 1) * sizeof *reading);
        count--;
    }
    return count;
}

bool reading_worth_storing(const struct thin_reading *last, const struct thin_reading *next, double least_k,
                           double least_s)
{
    return fabs(next->temp_c - last->temp_c) >= least_k || next->at - last->at >= least_s;
}
