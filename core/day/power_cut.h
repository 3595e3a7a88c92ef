/* A power cut that goes on, or has lately been, as the board and the shelf tell of it. For core/day alone. */
#ifndef CORE_DAY_POWER_CUT_H
#define CORE_DAY_POWER_CUT_H

#include "core/cooling/outage.h"
#include "core/day/inside.h"

struct power_cut {
    int64_t id;                    /* 0: none */
    struct instant from_at, to_at; /* to_at: INSTANT_NONE while it goes on */
    struct instant safe_until;     /* while it goes on: with the door shut the milk may stay until then;
                                      INSTANT_NONE: for ever */
    struct outage judged;          /* until to_at, or until it was loaded */
};

/* The one that goes on, or the latest of the last day. */
int power_cut_load(struct dairy *d, struct instant now, struct power_cut *out, struct fail *f);

/* In one sentence, "" when there is nothing to say. */
void power_cut_say(const struct power_cut *cut, struct instant now, char *say, size_t size);

#endif
