/* Civil days and instants. Three kinds of time, three types, so that they cannot be mixed:
 *   struct date     a day of the civil calendar (proleptic Gregorian), no time zone
 *   struct instant  a moment, UTC seconds since 1970; what the store keeps
 *   struct uptime   milliseconds of the boot clock, for elapsed time while the program runs
 * Civil time of day is in the machine's zone (TZ, /etc/localtime), with its clock changes. */
#ifndef CORE_BASE_CIVIL_H
#define CORE_BASE_CIVIL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/fail.h"

struct date {
    int32_t days; /* since 1970-01-01 */
};

struct instant {
    int64_t s; /* UTC seconds since 1970-01-01T00:00:00Z */
};

struct uptime {
    int64_t ms;
};

/* "Not known", for dates and instants that may be missing. No real day or moment of a dairy has these values.
 */
#define DATE_NONE    ((struct date){INT32_MIN})
#define INSTANT_NONE ((struct instant){INT64_MIN})

static inline bool date_known(struct date d)
{
    return d.days != INT32_MIN;
}

static inline bool instant_known(struct instant t)
{
    return t.s != INT64_MIN;
}

/* A broken-down civil moment. */
struct civil {
    int year, month, day;     /* 1..9999, 1..12, 1..31 */
    int hour, minute, second; /* 0..23, 0..59, 0..59 */
    int weekday;              /* 0 Sunday .. 6 Saturday; computed, ignored on input */
};

/* How a civil time met the zone's clock changes. */
enum civil_fit {
    CIVIL_UNIQUE,
    CIVIL_TWICE, /* the hour that happens twice in autumn: the first of the two was taken */
    CIVIL_NEVER, /* the hour that is skipped in spring: moved forward by the change, as a clock would */
};

/* Date from year, month, day; false if there is no such day (31 April, 29 February 2023). */
bool date_from_ymd(int year, int month, int day, struct date *out);

/* Year, month, day and weekday of a date. */
void date_to_civil(struct date d, struct civil *out);

/* Days from a to b; positive when b is later. */
int32_t date_diff(struct date a, struct date b);

struct date date_add(struct date d, int32_t days);

/* Civil time of an instant in the machine's zone, and the reverse. */
void civil_from_instant(struct instant t, struct civil *out);
struct instant civil_to_instant(const struct civil *c, enum civil_fit *fit);

/* The civil day on which an instant falls, and the instant at which a civil day begins. */
struct date instant_date(struct instant t);

/* The same for many moments that lie close together: the weeks in which those before fell, with the zone's offset in
 * them. All zero to begin with. */
struct zone_week {
    int64_t from_s, to_s, offset_s;
};
struct date instant_date_near(struct instant t, struct zone_week *week);
struct instant date_start(struct date d);

/* Parse "2026-05-03". Refuses anything else, and days that do not exist. */
int date_parse(const char *text, struct date *out, struct fail *f);

/* Parse a moment: "2026-05-03T06:10", with seconds, with "Z" (UTC) or "+02:00", a blank instead of T, a bare
 * date (its beginning), or "06:10" and "6:10" for the last such time at or before `now`. */
int instant_parse(const char *text, struct instant now, struct instant *out, struct fail *f);

enum { CIVIL_TEXT_MAX = 40 };

/* ISO 8601 text: "2026-05-03", "2026-05-03T06:10:00Z" (always UTC), "2026-05-03T06:10:00+02:00" (local with
 * offset). Each returns buf. Unknown times give "". */
const char *date_iso(struct date d, char buf[CIVIL_TEXT_MAX]);
const char *instant_iso(struct instant t, char buf[CIVIL_TEXT_MAX]);
const char *instant_iso_local(struct instant t, char buf[CIVIL_TEXT_MAX]);

/* For people: "Sat 3 May", "3 May", "3 May 2026", "06:41", "Sat 3 May 06:41". Each returns buf. */
const char *date_weekday_text(struct date d, char buf[CIVIL_TEXT_MAX]);
const char *date_text(struct date d, char buf[CIVIL_TEXT_MAX]);
const char *date_year_text(struct date d, char buf[CIVIL_TEXT_MAX]);
const char *clock_text(struct instant t, char buf[CIVIL_TEXT_MAX]);
const char *instant_text(struct instant t, char buf[CIVIL_TEXT_MAX]);

/* A time as the board shows it beside `now`: "06:41" on the same day, "Tue 06:41" within six days, else "3
 * May 06:41" and with the year when that differs. */
const char *instant_text_near(struct instant t, struct instant now, char buf[CIVIL_TEXT_MAX]);

/* Length of time in words: "45 s", "9 min", "1 h 05", "3 d 4 h". Negative lengths have a leading minus sign.
 */
const char *span_text(int64_t seconds, char buf[CIVIL_TEXT_MAX]);

#endif
