/* Wash water: mixing it, what cold metal takes, how long it stays above the floor, how hot it must start. The
 * water of a sink cools by Newton's law towards the room, at a rate that only readings of that sink tell. An
 * open sink cools faster while it steams, so a rate read near the start errs on the safe side. */
#ifndef CORE_SANITATION_WASHWATER_H
#define CORE_SANITATION_WASHWATER_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"

/* "Above 120 °F to the end": Ontario, bucket milking machines (2010); kept in the unit of the rule. */
#define WASH_FLOOR_F 120.0

/* Hot and cold for `volume_l` at `target_c`: hot share = (target - cold) / (hot - cold). Where no mixture
 * makes the target, both are NaN and the working says why; hot no hotter than cold is refused. */
struct temper {
    double hot_l, cold_l;
};
int temper_reckon(double hot_c, double cold_c, double target_c, double volume_l, struct temper *out,
                  struct working *w, struct fail *f);

/* Temperature of hot water once `steel_kg` of stainless gear lies in it: specific heats 4.186 and 0.50
 * kJ/kgK, 1 kg of water to the litre. */
double water_with_steel_c(double water_l, double water_c, double steel_kg, double steel_c);

struct wash_reading {
    double time_min;
    double temp_c;
};

enum { WASH_READINGS_MAX = 32 };

struct wash_ask {
    double start_c; /* of the water as it is poured; NaN: not asked for the time, only for the start needed */
    double room_c, floor_c;
    double k_per_min; /* if there are no readings */
    enum origin k_origin;
    const struct wash_reading *reading; /* of this sink, this wash or an earlier one, in order of time */
    size_t reading_count;               /* 0, or 2 to WASH_READINGS_MAX */
    double last_min;                    /* how long the wash lasts; NaN: not asked */
    double heater_c;                    /* the hottest water there is; NaN: not known */
    double water_l, steel_kg, steel_c;  /* cold gear that goes in; steel_kg 0: none */
};

struct wash {
    double k_per_min;
    double start_c;        /* once the gear is in */
    double time_min;       /* until it falls to the floor; 0: it is there already; NaN: never, or not asked */
    double start_needed_c; /* poured so hot, it ends the wash at the floor; NaN: not asked, or over boiling */
    bool heater_enough;    /* the heater reaches it; true while nobody knows */
};

/* Works all of *out out. The rate from two readings is exact, from more it is least squares
 * from the first. Refuses readings that rise, that stand at or under the room, or out of order; and a rate
 * that is not above 0. */
int wash_reckon(const struct wash_ask *ask, struct wash *out, struct working *w, struct fail *f);

/* Seconds to a third-degree burn, by the table's next hotter row; NaN under 120 °F, where it takes over five
 * minutes. */
double scald_seconds(double temp_c);

#endif
