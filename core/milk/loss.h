/* Losses: what was thrown away, why, and when. Without them the true yield is unknown. */
#ifndef CORE_MILK_LOSS_H
#define CORE_MILK_LOSS_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/quantity.h"
#include "core/base/working.h"

enum loss_cause {
    LOSS_SPILLED,  /* kicked over, leaked, foot in the pail, floor */
    LOSS_HELD,     /* cow treated or on hold for another reason */
    LOSS_FRESH,    /* colostrum and the milkings after it */
    LOSS_ABNORMAL, /* clots, blood, dirty disc */
    LOSS_WARM,     /* not cold in time, or warm again */
    LOSS_OUTAGE,   /* power cut */
    LOSS_LAB,      /* over a limit */
    LOSS_TASTE,
    LOSS_OLD,    /* past its use-by day */
    LOSS_BROKEN, /* jar */
    LOSS_OTHER,
    LOSS_CAUSES
};

const char *loss_word(enum loss_cause cause);
int loss_parse(const char *text, enum loss_cause *out, struct fail *f);

struct loss {
    struct date on;
    enum loss_cause cause;
    int64_t mass_g;
};

/* One calendar month of losses. */
struct loss_month {
    int year, month;
    int64_t mass_g[LOSS_CAUSES];
};

int64_t loss_month_g(const struct loss_month *m);

/* The cause of most of it (the earlier in the list when equal); LOSS_CAUSES when nothing was lost. */
enum loss_cause loss_worst(const struct loss_month *m);

/* Adds losses up by month and cause, months rising, only months with losses; losses may come in any order.
 * Writes *count months, at most `max`. Refuses unknown days, negative masses, and more months than `max`. */
int loss_by_month(const struct loss *loss, size_t n, struct loss_month *months, size_t max, size_t *count,
                  struct fail *f);

/* One month in words and figures: how much, what part of milked_g (0 or less: not known), and the worst
 * cause. */
void loss_say(const struct loss_month *m, int64_t milked_g, enum unit_system units, char say[static 160],
              struct working *w);

#endif
