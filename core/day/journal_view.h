/* The journal as a snapshot: what was entered, newest first. */
#ifndef CORE_DAY_JOURNAL_VIEW_H
#define CORE_DAY_JOURNAL_VIEW_H

#include "core/day/dairy.h"

enum { JOURNAL_PAGE = 200, JOURNAL_LINES_MAX = 80, JOURNAL_LINE_MAX = 300 };

struct journal_entry {
    int64_t id;
    struct instant happened_at, entered_at;
    char who[64], kind[24], what[240];
    int64_t undoes; /* 0: none */
    bool holds;     /* not taken back */
};

struct journal_view {
    struct instant now;
    struct journal_entry entry[JOURNAL_PAGE];
    size_t entries;
    int64_t before; /* the next, older page begins below this number; 0: there is none */
};

/* Entries with a number below `before` (0: from the newest on). */
int dairy_journal(struct dairy *d, struct instant now, int64_t before, struct journal_view *out,
                  struct fail *f);

/* What one entry changed: a line for each row ("milk 12"), under it one for each column ("  mass: 46.3 lb to
 * 48.5 lb"), quantities in the dairy's units, cows by name. */
struct journal_detail {
    char line[JOURNAL_LINES_MAX][JOURNAL_LINE_MAX];
    size_t lines;
};
int dairy_journal_detail(struct dairy *d, int64_t entry, struct journal_detail *out, struct fail *f);

#endif
