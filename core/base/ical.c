#include "core/base/ical.h"

#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

enum { LINE_OCTETS_MAX = 75 };

/* Writes one whole character (or escape pair), folding before it when it would not fit. */
static int put(struct ical *ical, const char *bytes, size_t size, struct fail *f)
{
    if (ical->column + (int)size > LINE_OCTETS_MAX) {
        if (ical->sink(ical->context, "\r\n ", 3, f) != 0)
            return -1;
        ical->column = 1;
    }
    ical->column += (int)size;
    return ical->sink(ical->context, bytes, size, f);
}

static int put_plain(struct ical *ical, const char *text, struct fail *f)
{
    for (; *text != '\0'; text++)
        if (put(ical, text, 1, f) != 0)
            return -1;
    return 0;
}

/* A TEXT value (RFC 5545, 3.3.11): backslash, semicolon and comma escaped, line breaks as \n. */
static int put_text(struct ical *ical, const char *text, struct fail *f)
{
    int length, rc = 0;
    for (; *text != '\0' && rc == 0; text += length) {
        uint32_t c = text_decode(text, &length);
        if (c == '\n')
            rc = put(ical, "\\n", 2, f);
        else if (c == '\\' || c == ';' || c == ',')
            rc = put(ical, (const char[]){'\\', (char)c}, 2, f);
        else if (c < 0x20 || (c >= 0x7F && c < 0xA0))
            rc = put(ical, " ", 1, f);
        else if (c == 0xFFFD)
            rc = put(ical, "\xEF\xBF\xBD", 3, f);
        else
            rc = put(ical, text, (size_t)length, f);
    }
    return rc;
}

static int end_line(struct ical *ical, struct fail *f)
{
    ical->column = 0;
    return ical->sink(ical->context, "\r\n", 2, f);
}

static int put_line(struct ical *ical, const char *name, const char *value, struct fail *f)
{
    return put_plain(ical, name, f) != 0 || put_plain(ical, value, f) != 0 ? -1 : end_line(ical, f);
}

static int put_text_line(struct ical *ical, const char *name, const char *text, struct fail *f)
{
    return put_plain(ical, name, f) != 0 || put_text(ical, text, f) != 0 ? -1 : end_line(ical, f);
}

/* 20260503T101500Z: the ISO text of the store without its marks. */
static int put_moment_line(struct ical *ical, const char *name, struct instant at, struct fail *f)
{
    char iso[CIVIL_TEXT_MAX], value[CIVIL_TEXT_MAX];
    size_t used = 0;
    for (const char *p = instant_iso(at, iso); *p != '\0'; p++)
        if (*p != '-' && *p != ':')
            value[used++] = *p;
    value[used] = '\0';
    return put_line(ical, name, value, f);
}

static int put_day_line(struct ical *ical, const char *name, struct date on, struct fail *f)
{
    char value[CIVIL_TEXT_MAX];
    struct civil c;
    date_to_civil(on, &c);
    (void)snprintf(value, sizeof value, "%04d%02d%02d", c.year, c.month, c.day);
    return put_line(ical, name, value, f);
}

int ical_begin(struct ical *ical, ical_sink_fn sink, void *context, struct instant stamp_at, struct fail *f)
{
    *ical = (struct ical){.sink = sink, .context = context, .stamp_at = stamp_at};
    if (put_line(ical, "BEGIN:", "VCALENDAR", f) != 0 || put_line(ical, "VERSION:", "2.0", f) != 0 ||
        put_line(ical, "PRODID:", "-//springhouse//springhouse//EN", f) != 0)
        return -1;
    return put_line(ical, "CALSCALE:", "GREGORIAN", f);
}

/* Whole days end, in this format, on the first day after them. */
static int put_days(struct ical *ical, const struct ical_event *e, struct fail *f)
{
    struct date last_on = date_known(e->to_on) ? e->to_on : e->on;
    if (put_day_line(ical, "DTSTART;VALUE=DATE:", e->on, f) != 0)
        return -1;
    return put_day_line(ical, "DTEND;VALUE=DATE:", date_add(last_on, 1), f);
}

static int put_moments(struct ical *ical, const struct ical_event *e, struct fail *f)
{
    if (put_moment_line(ical, "DTSTART:", e->at, f) != 0)
        return -1;
    return instant_known(e->to_at) ? put_moment_line(ical, "DTEND:", e->to_at, f) : 0;
}

static int put_alarm(struct ical *ical, const struct ical_event *e, struct fail *f)
{
    char trigger[32];
    (void)snprintf(trigger, sizeof trigger, "PT%dM", e->alarm_min);
    if (put_line(ical, "BEGIN:", "VALARM", f) != 0 || put_line(ical, "ACTION:", "DISPLAY", f) != 0 ||
        put_text_line(ical, "DESCRIPTION:", e->summary, f) != 0 ||
        put_line(ical, "TRIGGER:", trigger, f) != 0)
        return -1;
    return put_line(ical, "END:", "VALARM", f);
}

int ical_event(struct ical *ical, const struct ical_event *e, struct fail *f)
{
    if (put_line(ical, "BEGIN:", "VEVENT", f) != 0 || put_text_line(ical, "UID:", e->uid, f) != 0 ||
        put_moment_line(ical, "DTSTAMP:", ical->stamp_at, f) != 0)
        return -1;
    if ((date_known(e->on) ? put_days(ical, e, f) : put_moments(ical, e, f)) != 0)
        return -1;
    if (put_text_line(ical, "SUMMARY:", e->summary, f) != 0)
        return -1;
    if (e->description != NULL && e->description[0] != '\0' &&
        put_text_line(ical, "DESCRIPTION:", e->description, f) != 0)
        return -1;
    /* A due day must not make its owner look busy to others. */
    if (put_line(ical, "TRANSP:", "TRANSPARENT", f) != 0)
        return -1;
    if (e->alarm_min >= 0 && put_alarm(ical, e, f) != 0)
        return -1;
    return put_line(ical, "END:", "VEVENT", f);
}

int ical_end(struct ical *ical, struct fail *f)
{
    return put_line(ical, "END:", "VCALENDAR", f);
}
