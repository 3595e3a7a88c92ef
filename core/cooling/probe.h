/* clang-format off */
/* Temperature probes: the text that the kernel gives, made into a reading, and what tells a reading from
 * nonsense. Text in, reading out; whoever opens the files is elsewhere.
 *
 *   1-wire     w1_slave: nine bytes in hexadecimal, the verdict on their checksum, and t= in thousandths of °C;
 *              temperature: thousandths of °C alone
 *   hwmon      temp1_input: thousandths of °C
 *   IIO        in_temp_input: thousandths of °C; or in_temp_raw with in_temp_offset and in_temp_scale:
 *              (raw + offset) * scale thousandths of °C
 * (Linux kernel documentation: w1/slaves/w1_therm, hwmon/sysfs-interface, ABI/testing/sysfs-bus-iio.) */
/* clang-format on */
#ifndef CORE_COOLING_PROBE_H
#define CORE_COOLING_PROBE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/fail.h"

enum probe_kind {
    PROBE_NONE,
    PROBE_W1_SLAVE,    /* .../w1_slave */
    PROBE_MILLIDEGREE, /* .../temperature, temp*_input, in_temp*_input */
    PROBE_IIO_RAW,     /* in_temp*_raw, with its offset and scale beside it */
};

/* What a path's last part says it is; PROBE_NONE if it is no probe that we know. */
enum probe_kind probe_kind_of_path(const char *path);

/* Reads w1_slave: checks the checksum (Maxim's CRC-8, x^8 + x^5 + x^4 + 1) afresh, besides the kernel's own
 * word YES. Refuses a failed checksum, an empty or cut text, a bus that answers all zeros or all ones. */
int probe_read_w1(const char *text, double *temp_c, struct fail *f);

/* Reads a whole number of thousandths of a degree. */
int probe_read_millidegree(const char *text, double *temp_c, struct fail *f);

/* Reads raw, with offset (NULL: 0) and scale (NULL: 1). */
int probe_read_iio(const char *raw, const char *offset, const char *scale, double *temp_c, struct fail *f);

/* CRC-8 of 1-wire over `count` bytes. */
uint8_t probe_crc8(const uint8_t *bytes, size_t count);

/* --- is it believable? --- */

enum probe_state {
    PROBE_WAITING, /* nothing yet */
    PROBE_FRESH,   /* powered up, and its first figure of 85 °C is what it shows before measuring */
    PROBE_GOOD,    /* a reading to use */
    PROBE_JUMPED,  /* further from the last than anything in milk goes: wait for the next to confirm */
    PROBE_FROZEN,  /* the very same figure for too long while it should move */
    PROBE_SILENT,  /* no answer, or only bad ones: gone, unplugged, or a broken wire */
    PROBE_WILD,    /* outside what water and milk can be */
};

const char *probe_state_word(enum probe_state state);

struct probe_watch {
    enum probe_state state;
    double at;         /* of the last good reading; NaN: none */
    double temp_c;     /* its temperature */
    double pending_at; /* of a jump that waits to be confirmed */
    double pending_c;
    double same_since; /* since when the figure has been exactly the same */
    int misses;        /* failures in a row */
};

void probe_watch_init(struct probe_watch *watch);

/* Takes a reading at `at` seconds; `moving` says that the thing it hangs in should be changing (a jar in the
 * tub), so that a standing figure means a dead probe. Returns the new state; only after PROBE_GOOD is
 * watch->temp_c new. */
enum probe_state probe_take(struct probe_watch *watch, double at, double temp_c, bool moving);

/* Takes a failure to read. */
enum probe_state probe_miss(struct probe_watch *watch, double at);

/* --- keeping fewer --- */

struct thin_reading {
    double at;
    double temp_c;
};

/* Thins readings in place to at most `most` (2 or more), keeping the first, the last and those that a
 * straight line between their neighbours would miss by most. Returns how many are left, in order of time. */
size_t reading_thin(struct thin_reading *reading, size_t count, size_t most);

/* Is a new reading worth storing beside the last one stored? When it moved by least_k, or least_s went by. */
bool reading_worth_storing(const struct thin_reading *last, const struct thin_reading *next, double least_k,
                           double least_s);

#endif
