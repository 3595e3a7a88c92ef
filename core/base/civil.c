/* Day numbers by the era method (400-year eras of 146097 days, years from March), exact for all int years;
 * the zone only through localtime_r, which every C library keeps right. */
#include "core/base/civil.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

enum { SECONDS_PER_DAY = 86400 };

static const char *const weekday_names[] = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
static const char *const month_names[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                          "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

static int64_t floor_div(int64_t a, int64_t b)
{
    return a / b - (a % b != 0 && (a < 0) != (b < 0));
}

static bool is_leap(int year)
{
    return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
}

static int month_length(int year, int month)
{
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return month == 2 && is_leap(year) ? 29 : lengths[month - 1];
}

bool date_from_ymd(int year, int month, int day, struct date *out)
{
    if (year < 1 || year > 9999 || month < 1 || month > 12 || day < 1 || day > month_length(year, month))
        return false;
    int64_t y = year - (month <= 2);
    int64_t era = floor_div(y, 400);
    int64_t year_of_era = y - era * 400;
    int64_t day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    int64_t day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    out->days = (int32_t)(era * 146097 + day_of_era - 719468);
    return true;
}

void date_to_civil(struct date d, struct civil *out)
{
    int64_t z = (int64_t)d.days + 719468;
    int64_t era = floor_div(z, 146097);
    int64_t day_of_era = z - era * 146097;
    int64_t year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    int64_t day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    int64_t m = (5 * day_of_year + 2) / 153;
    memset(out, 0, sizeof *out);
    out->day = (int)(day_of_year - (153 * m + 2) / 5 + 1);
    out->month = (int)(m < 10 ? m + 3 : m - 9);
    out->year = (int)(year_of_era + era * 400 + (out->month <= 2));
    out->weekday = (int)(d.days - floor_div((int64_t)d.days + 4, 7) * 7 + 4);
}

int32_t date_diff(struct date a, struct date b)
{
    return b.days - a.days;
}

struct date date_add(struct date d, int32_t days)
{
    return (struct date){d.days + days};
}

static struct date date_of_civil(const struct civil *c)
{
    struct date d = {0};
    (void)date_from_ymd(c->year, c->month, c->day, &d);
    return d;
}

/* Seconds that local time is ahead of UTC at t. */
static int64_t zone_offset(struct instant t)
{
    time_t raw = (time_t)t.s;
    struct tm tm;
    return localtime_r(&raw, &tm) == NULL ? 0 : (int64_t)tm.tm_gmtoff;
}

void civil_from_instant(struct instant t, struct civil *out)
{
    int64_t local = t.s + zone_offset(t);
    int64_t day = floor_div(local, SECONDS_PER_DAY);
    int64_t second = local - day * SECONDS_PER_DAY;
    date_to_civil((struct date){(int32_t)day}, out);
    out->hour = (int)(second / 3600);
    out->minute = (int)(second / 60 % 60);
    out->second = (int)(second % 60);
}

struct instant civil_to_instant(const struct civil *c, enum civil_fit *fit)
{
    int64_t local =
        (int64_t)date_of_civil(c).days * SECONDS_PER_DAY + c->hour * 3600 + c->minute * 60 + c->second;
    /* The offsets a day either side of the change are the two candidates; each is right if it holds at its
     * result. */
    int64_t before = zone_offset((struct instant){local - SECONDS_PER_DAY});
    int64_t after = zone_offset((struct instant){local + SECONDS_PER_DAY});
    struct instant first = {local - before}, second = {local - after};
    bool first_ok = zone_offset(first) == before;
    bool second_ok = before == after ? first_ok : zone_offset(second) == after;
    enum civil_fit how = CIVIL_UNIQUE;
    struct instant result = first;
    if (first_ok && second_ok && before != after)
        how = CIVIL_TWICE; /* `first` uses the earlier offset, so it is the earlier of the two */
    else if (!first_ok && second_ok)
        result = second;
    else if (!first_ok && !second_ok)
        how = CIVIL_NEVER; /* read with the offset before the change, it lands as far after it as it was into
                              the gap */
    if (fit != NULL)
        *fit = how;
    return result;
}

struct date instant_date(struct instant t)
{
    return (struct date){(int32_t)floor_div(t.s + zone_offset(t), SECONDS_PER_DAY)};
}

/* A week that begins and ends with the same offset has it throughout: no zone has changed its clocks and changed them back
 * within one. Where one week is followed by the next, their stretch grows, so that a row of days costs one look at the
 * zone a week. */
struct date instant_date_near(struct instant t, struct zone_week *week)
{
    enum { WEEK_S = 7 * SECONDS_PER_DAY };
    if (t.s < week->from_s || t.s >= week->to_s) {
        int64_t from_s = floor_div(t.s, WEEK_S) * WEEK_S, to_s = from_s + WEEK_S;
        bool follows = week->from_s < week->to_s && from_s == week->to_s;
        int64_t offset_s = follows ? week->offset_s : zone_offset((struct instant){from_s});
        if (offset_s != zone_offset((struct instant){to_s}))
            return instant_date(t);
        *week = (struct zone_week){follows ? week->from_s : from_s, to_s, offset_s};
    }
    return (struct date){(int32_t)floor_div(t.s + week->offset_s, SECONDS_PER_DAY)};
}

struct instant date_start(struct date d)
{
    struct civil c;
    date_to_civil(d, &c);
    return civil_to_instant(&c, NULL);
}

/* Reads exactly `digits` digits; NULL when they are not there. */
static const char *read_digits(const char *s, int digits, int *out)
{
    int value = 0;
    for (int i = 0; i < digits; i++) {
        if (s[i] < '0' || s[i] > '9')
            return NULL;
        value = value * 10 + (s[i] - '0');
    }
    *out = value;
    return s + digits;
}

/* Reads "YYYY-MM-DD"; NULL when it is not such a form. Does not check that the day exists. */
static const char *read_date(const char *s, struct civil *c)
{
    s = read_digits(s, 4, &c->year);
    if (s == NULL || *s != '-')
        return NULL;
    s = read_digits(s + 1, 2, &c->month);
    if (s == NULL || *s != '-')
        return NULL;
    return read_digits(s + 1, 2, &c->day);
}

/* Reads "HH:MM" or "H:MM" with optional ":SS"; NULL when it is not such a form. */
static const char *read_clock(const char *s, struct civil *c)
{
    const char *colon = strchr(s, ':');
    if (colon == NULL || colon == s || colon - s > 2)
        return NULL;
    s = read_digits(s, (int)(colon - s), &c->hour);
    if (s == NULL)
        return NULL;
    s = read_digits(s + 1, 2, &c->minute);
    c->second = 0;
    if (s != NULL && *s == ':')
        s = read_digits(s + 1, 2, &c->second);
    if (s == NULL || c->hour > 23 || c->minute > 59 || c->second > 59)
        return NULL;
    return s;
}

static int no_such_day(const char *text, struct fail *f)
{
    return fail_input(f, "There is no day \"%.40s\" in the calendar.", text);
}

int date_parse(const char *text, struct date *out, struct fail *f)
{
    struct civil c = {0};
    const char *end = read_date(text, &c);
    if (end == NULL || *end != '\0')
        return fail_input(f, "\"%.40s\" is not a date; write it as 2026-05-03.", text);
    if (!date_from_ymd(c.year, c.month, c.day, out))
        return no_such_day(text, f);
    return 0;
}

/* Reads "Z", "+02:00" or "+0200"; NULL when it is not such a form. */
static const char *read_zone(const char *s, int64_t *offset)
{
    int hours, minutes;
    if (*s == 'Z') {
        *offset = 0;
        return s + 1;
    }
    int sign = *s == '-' ? -1 : 1;
    const char *end = read_digits(s + 1, 2, &hours);
    if (end != NULL && *end == ':')
        end++;
    if (end != NULL)
        end = read_digits(end, 2, &minutes);
    if (end == NULL || hours > 14 || minutes > 59)
        return NULL;
    *offset = sign * (hours * 3600 + minutes * 60);
    return end;
}

static struct instant last_time_of_day(const struct civil *clock, struct instant now)
{
    struct civil c;
    struct date day = instant_date(now);
    for (int back = 0;; back++) {
        date_to_civil(date_add(day, -back), &c);
        c.hour = clock->hour;
        c.minute = clock->minute;
        c.second = clock->second;
        struct instant t = civil_to_instant(&c, NULL);
        if (t.s <= now.s || back == 2)
            return t;
    }
}

/* Four digits of a year are enough for it in every zone, so that what is written of it can be read. */
static bool within_years(struct instant t)
{
    struct date first, last;
    return date_from_ymd(1, 1, 2, &first) && date_from_ymd(9999, 12, 31, &last) &&
           t.s >= (int64_t)first.days * SECONDS_PER_DAY && t.s < (int64_t)last.days * SECONDS_PER_DAY;
}

static int read_instant(const char *text, struct instant now, struct instant *out, struct fail *f)
{
    struct civil c = {0};
    int64_t offset;
    const char *s = read_clock(text, &c);
    if (s != NULL && *s == '\0') {
        *out = last_time_of_day(&c, now);
        return 0;
    }
    s = read_date(text, &c);
    if (s == NULL)
        return fail_input(f, "\"%.40s\" is not a time; write 06:10 or 2026-05-03T06:10.", text);
    struct date day;
    if (!date_from_ymd(c.year, c.month, c.day, &day))
        return no_such_day(text, f);
    if (*s == '\0') {
        *out = date_start(day);
        return 0;
    }
    if (*s == 'T' || *s == ' ')
        s = read_clock(s + 1, &c);
    else
        s = NULL;
    if (s != NULL && *s == '\0') {
        *out = civil_to_instant(&c, NULL);
        return 0;
    }
    if (s != NULL)
        s = read_zone(s, &offset);
    if (s == NULL || *s != '\0')
        return fail_input(f, "\"%.40s\" is not a time; write 06:10 or 2026-05-03T06:10.", text);
    out->s = (int64_t)day.days * SECONDS_PER_DAY + c.hour * 3600 + c.minute * 60 + c.second - offset;
    return 0;
}

int instant_parse(const char *text, struct instant now, struct instant *out, struct fail *f)
{
    struct instant t = INSTANT_NONE;
    if (read_instant(text, now, &t, f) != 0)
        return -1;
    if (!within_years(t))
        return fail_input(f, "\"%.40s\" is in no year that can be written.", text);
    *out = t;
    return 0;
}

static const char *put(char buf[CIVIL_TEXT_MAX], int written)
{
    if (written < 0 || written >= CIVIL_TEXT_MAX)
        buf[0] = '\0';
    return buf;
}

const char *date_iso(struct date d, char buf[CIVIL_TEXT_MAX])
{
    struct civil c;
    if (!date_known(d))
        return put(buf, -1);
    date_to_civil(d, &c);
    return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%04d-%02d-%02d", c.year, c.month, c.day));
}

const char *instant_iso(struct instant t, char buf[CIVIL_TEXT_MAX])
{
    struct civil c;
    if (!instant_known(t))
        return put(buf, -1);
    int64_t day = floor_div(t.s, SECONDS_PER_DAY);
    int second = (int)(t.s - day * SECONDS_PER_DAY);
    date_to_civil((struct date){(int32_t)day}, &c);
    return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%04d-%02d-%02dT%02d:%02d:%02dZ", c.year, c.month, c.day,
                             second / 3600, second / 60 % 60, second % 60));
}

const char *instant_iso_local(struct instant t, char buf[CIVIL_TEXT_MAX])
{
    struct civil c;
    if (!instant_known(t))
        return put(buf, -1);
    civil_from_instant(t, &c);
    int64_t offset = zone_offset(t);
    int minutes = (int)(offset < 0 ? -offset : offset) / 60;
    return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%04d-%02d-%02dT%02d:%02d:%02d%c%02d:%02d", c.year, c.month,
                             c.day, c.hour, c.minute, c.second, offset < 0 ? '-' : '+', minutes / 60,
                             minutes % 60));
}

const char *date_weekday_text(struct date d, char buf[CIVIL_TEXT_MAX])
{
    struct civil c;
    if (!date_known(d))
        return put(buf, -1);
    date_to_civil(d, &c);
    return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%s %d %s", weekday_names[c.weekday], c.day,
                             month_names[c.month - 1]));
}

const char *date_text(struct date d, char buf[CIVIL_TEXT_MAX])
{
    struct civil c;
    if (!date_known(d))
        return put(buf, -1);
    date_to_civil(d, &c);
    return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%d %s", c.day, month_names[c.month - 1]));
}

const char *date_year_text(struct date d, char buf[CIVIL_TEXT_MAX])
{
    struct civil c;
    if (!date_known(d))
        return put(buf, -1);
    date_to_civil(d, &c);
    return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%d %s %d", c.day, month_names[c.month - 1], c.year));
}

const char *clock_text(struct instant t, char buf[CIVIL_TEXT_MAX])
{
    struct civil c;
    if (!instant_known(t))
        return put(buf, -1);
    civil_from_instant(t, &c);
    return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%02d:%02d", c.hour, c.minute));
}

const char *instant_text(struct instant t, char buf[CIVIL_TEXT_MAX])
{
    struct civil c;
    if (!instant_known(t))
        return put(buf, -1);
    civil_from_instant(t, &c);
    return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%s %d %s %02d:%02d", weekday_names[c.weekday], c.day,
                             month_names[c.month - 1], c.hour, c.minute));
}

const char *instant_text_near(struct instant t, struct instant now, char buf[CIVIL_TEXT_MAX])
{
    char day[CIVIL_TEXT_MAX], clock[CIVIL_TEXT_MAX];
    struct civil c, today;
    if (!instant_known(t))
        return put(buf, -1);
    civil_from_instant(t, &c);
    civil_from_instant(now, &today);
    int32_t apart = date_diff(instant_date(now), instant_date(t));
    clock_text(t, clock);
    if (apart == 0)
        return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%s", clock));
    if (apart >= -6 && apart <= 6)
        return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%s %s", weekday_names[c.weekday], clock));
    if (c.year == today.year)
        return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%s %s", date_text(instant_date(t), day), clock));
    return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%s %s", date_year_text(instant_date(t), day), clock));
}

const char *span_text(int64_t seconds, char buf[CIVIL_TEXT_MAX])
{
    const char *sign = seconds < 0 ? "-" : "";
    long long s = seconds < 0 ? -seconds : seconds;
    if (s < 60)
        return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%s%lld s", sign, s));
    if (s < 3600)
        return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%s%lld min", sign, s / 60));
    if (s < 2 * SECONDS_PER_DAY)
        return put(buf, snprintf(buf, CIVIL_TEXT_MAX, "%s%lld h %02lld", sign, s / 3600, s / 60 % 60));
    return put(buf,
               snprintf(buf, CIVIL_TEXT_MAX, "%s%lld d %lld h", sign, s / SECONDS_PER_DAY, s / 3600 % 24));
}
