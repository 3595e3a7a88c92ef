/* Where the probes come in. A thread of its own waits for the kernel's files (a 1-wire probe takes most of a
 * second) and sends what they show through a pipe; the screen's loop judges it, shows it, and stores what is
 * good and new. The thread touches neither records nor screen. */
#ifndef TUI_PROBE_DESK_H
#define TUI_PROBE_DESK_H

#include "core/day/probes.h"
#include "tui/app.h"

struct probe_seat {
    struct probe_use use;
    struct probe_watch watch;
    double shown_c;             /* what it last showed, good or not; NaN nothing */
    char why[120];              /* why it could not be read, or "" */
    struct thin_reading stored; /* the last that was; at is -INFINITY before */
};

struct probe_desk;

/* Takes the probes in use from the records; begins to read when there are any. Called whenever they may have
 * changed; those that still hang in the same place keep their past. */
void probe_desk_renew(struct app *a);

/* Stops reading; waits for a reading that is under way. */
void probe_desk_close(struct app *a);

/* The probe in a jar of that batch, or (batch_id 0) in a place; NULL none. Good until the next renewal. */
const struct probe_seat *probe_desk_seat(const struct app *a, int64_t batch_id, const char *place);

size_t probe_desk_count(const struct app *a);
const struct probe_seat *probe_desk_at(const struct app *a, size_t n);

/* "57.2 °F", or what is wrong with it: "frozen at 57.2 °F", "no answer". Returns buf. */
const char *probe_seat_text(const struct app *a, const struct probe_seat *seat, char *buf, size_t size);

#endif
