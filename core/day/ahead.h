/* Everything that is due, from all parts of the program, by day: what, for whom, why, and the act that settles it. The
 * screen Ahead, `show ahead` and the calendar file are made of the same rows. */
#ifndef CORE_DAY_AHEAD_H
#define CORE_DAY_AHEAD_H

#include "core/day/board.h"
#include "core/day/cow_due.h"

enum { AHEAD_MAX = 400, AHEAD_PRESETS = 2, AHEAD_UID_MAX = 96 };

enum ahead_part { AHEAD_COW, AHEAD_REPEAT, AHEAD_SHELF, AHEAD_FEED, AHEAD_CHORE, AHEAD_WASH, AHEAD_PARTS };

const char *ahead_part_word(enum ahead_part part); /* "cow", "repeat" ... */

struct ahead_row {
    struct date on;    /* the day; one that is over: overdue */
    struct date to_on; /* last day of a window; DATE_NONE: one day */
    enum ahead_part part;
    enum urgency urgency;
    int64_t cow_id; /* ROW_NONE: about no cow */
    char who[64];   /* her name, a feed, a batch; "" */
    char words[DUE_WORDS];
    char reason[200];
    struct due_act act; /* act NULL: nothing is to be recorded */
    struct {
        char key[12], value[64];
    } preset[AHEAD_PRESETS]; /* what its form knows already; "" unused */
    char uid[AHEAD_UID_MAX]; /* the same for the same thing in every snapshot, whatever its day */
};

struct ahead_view {
    struct instant now;
    struct date today;
    struct ahead_row row[AHEAD_MAX]; /* by day */
    size_t rows;
    bool more; /* there were more than that */
};

/* Works it out for `now`. About 250 kB: the caller keeps one. */
int dairy_ahead(struct dairy *d, struct instant now, struct ahead_view *out, struct fail *f);

/* Why, with the working where there is one: of a cow that of her page. */
int ahead_explain(struct dairy *d, const struct ahead_view *v, size_t row, struct working *w, struct fail *f);

/* Writes all of it as a calendar (RFC 5545) to the file `path`, one event for each row; an event that is exported again
 * carries its old name, so that a calendar moves it. *events is counted. */
int dairy_calendar(struct dairy *d, struct instant now, const char *path, size_t *events, struct fail *f);

#endif
