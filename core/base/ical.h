/* Calendar text after RFC 5545, for any calendar program to read: events of whole days or of moments, with an
 * optional reminder. Lines end in CRLF and are folded at 75 octets, never inside a character; text is escaped
 * and free of control characters. What is written goes straight to the caller's sink. */
#ifndef CORE_BASE_ICAL_H
#define CORE_BASE_ICAL_H

#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"

/* Takes `size` bytes; 0, or -1 with *f said. file_write() behind one line fits. */
typedef int (*ical_sink_fn)(void *context, const void *bytes, size_t size, struct fail *f);

struct ical {
    ical_sink_fn sink;
    void *context;
    struct instant stamp_at; /* when this calendar was made: DTSTAMP of every event */
    int column;              /* octets in the line so far */
};

enum { ICAL_NO_ALARM = -1 };

struct ical_event {
    const char *uid; /* the same for the same event in every export, so that a calendar updates it */
    const char *summary;
    const char *description; /* may hold line breaks; NULL or "" for none */
    struct date on;          /* a whole-day event: first day, and last day (DATE_NONE: one day) */
    struct date to_on;
    struct instant at; /* used when `on` is DATE_NONE: a moment, and its end (INSTANT_NONE: none) */
    struct instant to_at;
    int alarm_min; /* reminder, minutes after the start of the event (450: at 07:30 that day); ICAL_NO_ALARM
                    */
};

/* Each returns 0, or -1 with the sink's reason. A calendar is begin, any number of events, end. */
int ical_begin(struct ical *ical, ical_sink_fn sink, void *context, struct instant stamp_at, struct fail *f);
int ical_event(struct ical *ical, const struct ical_event *event, struct fail *f);
int ical_end(struct ical *ical, struct fail *f);

#endif
