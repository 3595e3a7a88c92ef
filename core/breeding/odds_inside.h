/* The odds behind pregnancy.c: one weight for "open" and one for each day on which she may have conceived.
 * Each fact multiplies them by how likely it is in that case; in the end they are divided by their sum. Not
 * for others. */
#ifndef CORE_BREEDING_ODDS_INSIDE_H
#define CORE_BREEDING_ODDS_INSIDE_H

#include "core/base/working.h"
#include "core/breeding/chances.h"
#include "core/breeding/check.h"
#include "core/breeding/facts.h"
#include "core/breeding/gestation.h"

enum { RETURN_TO_DAYS = 24 /* a cow that did not hold is back in heat by then */ };

/* What the facts are weighed with; sources beside the values. */
extern const double odds_takes;        /* a service leads to a calf */
extern const double odds_heat_in_calf; /* a cow in calf shows heat */
extern const double odds_heat_missed;  /* a heat of an open cow is not seen */

/* The odds of one spell: from the calving or loss that began it to `today`. */
struct odds {
    struct date since_on, today;
    double open;
    double day[DAY_CHANCES_MAX]; /* conceived on first_on + i */
    struct date first_on;
    int count;
    struct date last_end_on;            /* of the last service */
    const struct service *first, *last; /* first == NULL: none */
    struct service assumed;             /* when a check says "in calf" and no service is recorded */
};

/* The services of the spell that are not too long ago to be still carried; o->first stays NULL if none. */
void odds_services(struct odds *o, const struct breeding *b);

/* A cow said to be in calf with no service on record was served some day that the check could see. */
void odds_assume(struct odds *o, const struct breeding *b);

/* Heats seen after a service speak against it; the one at which she was served goes with the service. */
void odds_heats(struct odds *o, const struct breeding *b);

/* A check tells something if the method could have seen one of the days that are possible, and is not misled
 * by what is left of the last calf. */
bool odds_check_tells(const struct odds *o, const struct check *c);
void odds_check(struct odds *o, const struct check *c);

/* Cycles without a heat since the last service or heat. */
void odds_quiet(struct odds *o, const struct breeding *b, struct working *w);

bool odds_in_spell(const struct odds *o, struct date on);
bool odds_counts(const struct odds *o, const struct service *s);

/* The last heat, more than one vague sign, after the last service; DATE_NONE if there is none. */
struct date odds_heat_since(const struct odds *o, const struct breeding *b);

#endif
