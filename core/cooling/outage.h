/* A power cut: what the refrigerator's gap did to a jar, and whether it may be kept.
 *
 * With the door shut the refrigerator and all that stands in it warm as one body towards the room, through
 * walls of a known conductance. Above 40 °F for two hours: discard (Ohio Department of Natural Resources
 * council's leaflet, February 2021, as of most public advice). */
#ifndef CORE_COOLING_OUTAGE_H
#define CORE_COOLING_OUTAGE_H

#include "core/base/fail.h"
#include "core/base/working.h"

#define OUTAGE_LIMIT_F   40.0
#define OUTAGE_LIMIT_MIN 120.0

struct outage_facts {
    double minutes; /* the power was off */
    double start_c; /* of milk and refrigerator when it went; NaN: 3 */
    double room_c;
    double contents_kg;     /* of food and drink, taken as water; NaN: 20 */
    double walls_w_per_k;   /* conductance of the shut refrigerator; NaN: 1.2 */
    double end_c;           /* read in a jar when the power came back; NaN: not read */
    double recover_per_min; /* rate at which the refrigerator cools a jar again; NaN: 0.0045 */
};

enum outage_verdict {
    OUTAGE_KEEP,    /* never above 40 °F */
    OUTAGE_USE_NOW, /* above 40 °F, but less than two hours of it: chill and use first */
    OUTAGE_DISCARD, /* two hours or more above 40 °F */
};

const char *outage_word(enum outage_verdict verdict);

struct outage {
    double end_c;          /* when the power came back: read, or else forecast */
    double rate_per_min;   /* of warming; from the reading if there is one */
    double warm_from_min;  /* after the cut, when 40 °F was passed; NaN if never */
    double warm_until_min; /* after the cut, when it was back at 40 °F; NaN if never above */
    double warm_min;       /* minutes above 40 °F in all; INFINITY if it never comes back */
    double safe_minutes;   /* how long this cut may last before the milk must go; INFINITY in a cold room */
    enum outage_verdict verdict;
};

/* Refuses negative times and a reading that a shut door cannot have given (colder than at the start, warmer
 * than the room). */
int outage_judge(const struct outage_facts *facts, struct outage *out, struct working *w, struct fail *f);

/* Temperature in °C after `minutes` without power, by the rate of an outage already judged. */
double outage_temp_c(const struct outage_facts *facts, const struct outage *outage, double minutes);

#endif
