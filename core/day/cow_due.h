/* What comes next for one cow, by day: the end of a hold, the next dose, heat, check, dry-off, calving, tests.
 * Her page shows the first three; lists of the whole dairy can be made of the same rows. */
#ifndef CORE_DAY_COW_DUE_H
#define CORE_DAY_COW_DUE_H

#include "core/day/board.h"
#include "core/day/cow_record.h"

enum { DUE_MAX = 16, DUE_WORDS = 120 };

enum due_kind {
    DUE_HOLD,
    DUE_MEAT,
    DUE_DOSE,
    DUE_RECORD, /* something on a treatment's record is missing */
    DUE_HEAT,
    DUE_CHECK,
    DUE_DRY_OFF,
    DUE_CLOSE_UP,
    DUE_CALVING,
    DUE_TEST,
    DUE_APART,
    DUE_COLOSTRUM, /* her calf has still to drink */
    DUE_FRESH,     /* watch for milk fever */
    DUE_SERVE,     /* she stands in heat and was not served yet */
    DUE_KINDS
};

struct cow_due {
    enum due_kind kind;
    struct date on;    /* a day that is over: overdue */
    struct date to_on; /* last day of a window; DATE_NONE: one day */
    int64_t of;        /* with the kind its name among hers: which course, test, calf; which calving it follows */
    char subject[64];  /* product or test; "" */
    enum urgency urgency;
    char words[DUE_WORDS];
};

/* Fills out[DUE_MAX], the earliest first; returns how many. */
size_t cow_due(const struct cow_record *r, const struct health_test_row *tests, size_t test_count,
               struct instant now, enum unit_system units, struct cow_due *out);

/* The act that settles a thing that is due: its name, a title for its form, the field that is typed first. The name is
 * NULL where nothing is to be recorded. */
struct due_act {
    const char *act, *title, *first;
};
const struct due_act *due_act(enum due_kind kind);

/* The watch after calving, with its working; false when she has not calved in the last three days. */
struct milk_fever_watch;
bool cow_milk_fever(const struct cow_record *r, struct instant now, struct milk_fever_watch *out, struct working *w);

/* What her first living calf of those days should drink; false when there is none. */
struct colostrum_plan;
bool cow_colostrum(const struct cow_record *r, struct colostrum_plan *out, struct working *w);

#endif
