/* Where a cow is in her life, from the facts recorded of her: calf, heifer, in milk, dry, close-up, gone.
 * Nothing here is stored; the same facts always give the same stage. */
#ifndef CORE_HERD_STAGE_H
#define CORE_HERD_STAGE_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"

enum carrying {
    CARRYING_UNCHECKED, /* served perhaps, not checked */
    CARRYING_SURE,      /* checked and carrying */
    CARRYING_OPEN,      /* checked and not carrying */
};

struct cow_facts {
    struct date born_on;          /* DATE_NONE: not known */
    const struct date *calved_on; /* any order; borrowed */
    size_t calving_count;
    int calvings_before; /* calvings whose days are not known, before all of these */
    const struct date *dried_on;
    size_t dry_count;
    const struct date *served_on;
    size_t service_count;
    enum carrying carrying; /* the latest check... */
    struct date checked_on; /* ...and its day; a check before the last service or calving counts no more */
    int gestation_days;     /* of her breed; 0: not known */
    struct date due_on;     /* worked out elsewhere; DATE_NONE: last service + gestation_days */
    struct date left_on;    /* sold, died; DATE_NONE */
    int close_up_days;      /* usual: 21 */
    bool male;
    bool twin_of_bull; /* born together with a bull calf */
};

enum stage {
    STAGE_UNKNOWN,
    STAGE_UNBORN,
    STAGE_CALF,
    STAGE_HEIFER, /* until her first calving, but for its last weeks */
    STAGE_IN_MILK,
    STAGE_DRY,
    STAGE_CLOSE_UP, /* dry cow or heifer in the last weeks before calving */
    STAGE_BULL,     /* grown male */
    STAGE_GONE,
};

enum { CALF_DAYS = 183 /* a calf until six months old: common practice, no source */ };

struct cow_stage {
    enum stage stage;
    int day;                /* in milk: days since calving (0 on the day itself); dry and close-up: days dry;
                             * calf and heifer: age in days; -1 not known */
    int parity;             /* calvings so far, those before included */
    struct date calved_on;  /* last calving; DATE_NONE */
    struct date dried_on;   /* dry and close-up cows that had calved; DATE_NONE */
    struct date served_on;  /* last service since her last calving; DATE_NONE */
    enum carrying carrying; /* as it stands today */
    int carrying_days;      /* since that service, unless checked open; -1 */
    struct date due_on;     /* DATE_NONE: none, or not known */
    bool in_milk;           /* gives milk now */
    bool overdue;           /* due_on has passed */
    const char *remark;     /* static sentence (a freemartin, say), or NULL */
};

/* Facts dated after `today` are not yet true. */
void cow_stage(const struct cow_facts *facts, struct date today, struct cow_stage *out);

/* For the status line: "in milk day 92 · bred 61 d", "dry day 38 · due 14 Jun", "close-up · due 14 Jun",
 * "heifer 14 months · open". `separator` is " · " or " - ". Returns buf. */
const char *cow_stage_text(const struct cow_stage *s, const char *separator, char *buf, size_t size);

/* One or two words: "in milk", "dry", "close-up", "heifer", "calf", "gone". */
const char *stage_word(enum stage stage);

#endif
