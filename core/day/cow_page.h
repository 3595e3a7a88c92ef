/* A cow's page as a snapshot: who she is, how she stands, her milk against what was expected, and what
 * happened to her. */
#ifndef CORE_DAY_COW_PAGE_H
#define CORE_DAY_COW_PAGE_H

#include "core/day/board.h"

enum { PAGE_DAYS_MAX = 420, PAGE_EVENTS_MAX = 240, PAGE_MILKINGS_MAX = 60 };

/* One day of the lactation. */
struct page_day {
    struct date on;
    int day;                             /* after calving */
    double kg;                           /* NaN: not weighed */
    double expected_kg, low_kg, high_kg; /* by her curve as a whole; NaN before day 1 */
};

enum event_kind {
    EVENT_CALVING,
    EVENT_HEAT,
    EVENT_SERVICE,
    EVENT_CHECK,
    EVENT_LOSS,
    EVENT_DRY_OFF,
    EVENT_HOLD,
    EVENT_UDDER,
    EVENT_NOTE,
    EVENT_CAME,
    EVENT_KINDS
};

const char *event_word(enum event_kind kind); /* "calved", "heat", ... */

struct page_event {
    struct instant at;
    enum event_kind kind;
    char words[200];
};

struct page_milking {
    struct instant at;
    double mass_kg; /* NaN: not weighed */
    char strip[200], disc[80];
};

struct cow_page {
    struct instant now;
    enum unit_system units;
    int64_t cow_id;
    char name[64], tag[32], breed[32], dam[64];
    struct date born_on;
    int stall; /* 0: none */
    int parity;
    struct stall_view view; /* as her card on the board */

    struct date calved_on, dry_off_on, close_up_on, due_on, due_from_on, due_to_on;

    struct page_day day[PAGE_DAYS_MAX]; /* from calving to today, or the last PAGE_DAYS_MAX */
    size_t days;
    double to_date_kg, expected_305_kg; /* of this lactation */
    double peak_kg;                     /* by her curve; NaN: it has no peak */
    int peak_day;

    struct page_milking milking[PAGE_MILKINGS_MAX]; /* newest first */
    size_t milkings;
    struct page_event event[PAGE_EVENTS_MAX]; /* newest first */
    size_t events;
};

/* Works it out for `now`. About 150 kB: the caller keeps one. */
int dairy_cow_page(struct dairy *d, int64_t cow_id, struct instant now, struct cow_page *out, struct fail *f);

/* The number of the animal of that name, tag or stall among those that are here. */
int dairy_find_cow(struct dairy *d, const char *name, int64_t *cow_id, struct fail *f);

#endif
