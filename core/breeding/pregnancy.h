/* Is she in calf, by which service, and since when: weighed from services, heats, checks and, in the end, the
 * calving itself.
 *
 * One model (Bayes) serves every question. Each service since she was last known to be open takes with the
 * same chance; a cow in calf seldom shows heat again; an open one shows it about every second time that
 * somebody looks. A check counts for a service only if the method could see it by then. A calving picks the
 * service whose length of gestation fits. The numbers stand, with their sources, in odds.c and check.c and in
 * the working; the board shows the word, the chance is there to be asked for. */
#ifndef CORE_BREEDING_PREGNANCY_H
#define CORE_BREEDING_PREGNANCY_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/breeding/chances.h"
#include "core/breeding/check.h"
#include "core/breeding/facts.h"
#include "core/breeding/gestation.h"

enum pregnancy_state {
    PREGNANCY_NOT_SERVED, /* open, not served since she calved (or ever) */
    PREGNANCY_RETURN_DUE, /* served; the days of a return to heat are not over */
    PREGNANCY_UNPROVEN,   /* no return seen: weak proof, check due */
    PREGNANCY_DOUBTFUL,   /* a check or a heat speaks against what else is known */
    PREGNANCY_IN_CALF,    /* a valid check says so */
    PREGNANCY_OPEN,       /* a valid check, or a heat after the last service, says she did not hold */
    PREGNANCY_LOST,       /* a loss is recorded, and no service since */
};

struct pregnancy {
    enum pregnancy_state state;
    double chance;                 /* that she is in calf, 0..1 */
    struct day_chances conception; /* given that she is; its total is 1, or 0 when chance is 0 */
    struct date conceived_on;      /* the likeliest day, DATE_NONE when chance is 0 */
    const struct service *by;      /* the likeliest service, borrowed from the facts; NULL if none */
    double by_chance;              /* how sure that choice is, given that she is in calf */
    struct date last_service_on;   /* DATE_NONE if not served since `since_on` */
    struct date last_end_on;       /* its last day, when it was a window */
    bool with_bull;                /* the window is not over */
    int services;                  /* since then */
    struct date since_on;          /* calving or loss that opened this spell; DATE_NONE for a heifer */
    bool twins;                    /* the last check that looked saw two */
    enum calf_sex calf;            /* of the one calf, as the last check that told it said */
    bool check_stale;              /* in calf by a check before day 60 and none since: look again */
};

/* Weighs her facts as they stand on `today`; facts after it are not looked at. Always gives an answer. */
void pregnancy_judge(const struct breeding *facts, struct date today, struct pregnancy *out,
                     struct working *w);

/* What her records say of the length of this pregnancy: first calf or not, twins seen, the sire's effect.
 * own_days is her own N, 0 if none is set. */
void pregnancy_case(const struct breeding *facts, const struct pregnancy *p,
                    const struct gestation_breed *breed, int own_days, struct gestation_case *out);

/* The day of calving as it stands today: weighed by the chance that she is in calf, and by her not having
 * calved yet. False (and a spread that holds nothing) when she cannot be in calf any more, or is not. */
bool pregnancy_calving(const struct pregnancy *p, const struct gestation *g, struct date today,
                       struct day_chances *out);

/* The service that led to a calving on calved_on, and the day she conceived: the likeliest by the length of
 * gestation among those since the calving or loss before it. NULL when none fits (a service is missing, or a
 * date is wrong). *chance (may be NULL) is how sure that is. */
const struct service *pregnancy_behind(const struct breeding *facts, struct date calved_on,
                                       const struct gestation *g, struct date *conceived_on, double *chance);

/* Her state in a few words, as it stands on her card: "open 75 d, not served", "bred 12 d, watch from 19
 * Jan", "bred 20 d, watch for heat", "bred 61 d, check due", "in calf 120 d". Returns buf. */
const char *pregnancy_text(const struct pregnancy *p, struct date today, char *buf, size_t size);

/* The word for a state: "not served", "return due", ... Static. */
const char *pregnancy_word(enum pregnancy_state state);

#endif
