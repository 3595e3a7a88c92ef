/* The evening's question: how many clean jars and how much ice for tomorrow. */
#ifndef CORE_COOLING_TONIGHT_H
#define CORE_COOLING_TONIGHT_H

#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/cooling/jar.h"

enum { TONIGHT_KINDS_MAX = JAR_KINDS_MAX };

struct jars_on_hand {
    const struct jar_kind *kind;
    int count; /* clean and dry; 0 or more */
};

struct tonight_facts {
    double milk_l; /* volume expected tomorrow; for a safe plan, the upper end of its band */
    double milk_c; /* as poured, usually 35 */
    double fat_pct;
    double target_c;  /* what the jars are brought to, usually 40 °F = 4.44 */
    double water_l;   /* water in the tub */
    double water_c;   /* as it comes from the tap */
    double chilled_c; /* the same water after a night in the refrigerator, for comparison; NaN: as cold as
                         refrigerators are, 4 °C */
    double ice_c;     /* of the ice as it goes in; 0 for wet ice, -18 from a freezer; NaN: 0 */
    double room_c;
    double room_w_per_k; /* what the tub takes from the room; NaN: tub_room_w_per_k() of its water */
    double hours;        /* that the jars stand in it */
    struct jars_on_hand jars[TONIGHT_KINDS_MAX];
    size_t jar_kinds;
};

struct tonight_plan {
    int jars[TONIGHT_KINDS_MAX]; /* to take of each kind, in the order of the facts */
    int jar_count;
    double jar_volume_l; /* what those hold */
    double short_l;      /* milk that the jars on hand do not hold; 0 if they do */
    double glass_kg;
    double slowest_min; /* until the slowest of them is at the target in still ice water */
    double milk_kj, glass_kj, water_kj, room_kj, heat_kj; /* to be taken out, and their sum */
    double ice_kg;                                        /* that just takes all of it up */
    double ice_advised_kg;            /* with a sixth more, so that some is left when the jars come out */
    double ice_chilled_kg;            /* ice_kg if the water is chilled beforehand */
    double ice_saved_kg;              /* ice_kg - ice_chilled_kg */
    double milk_ice_kg, water_ice_kg; /* ice for the milk with its glass, and for the tap water alone */
};

/* Kinds in the order in which to take them, as indices into facts->jars: those that still ice water brings to
 * the target in time before those that it does not, large before small. */
void tonight_jar_order(const struct tonight_facts *facts, size_t order[TONIGHT_KINDS_MAX]);

/* Jars: jars_choose() of core/milk in that order. Ice: heat balance to a tub that stays at 0 °C. Refuses milk
 * colder than the target, ice above 0 °C and negative amounts. */
int tonight_plan(const struct tonight_facts *facts, struct tonight_plan *out, struct working *w,
                 struct fail *f);

/* Usual heat gain of a tub, in W/K, from its water: common practice, no source; see tonight.c. */
double tub_room_w_per_k(double water_l);

/* --- ice alone --- */

struct ice_facts {
    double milk_l, from_c, to_c, fat_pct;
    double glass_kg;         /* cools with the milk */
    double water_l, water_c; /* in the tub; brought to 0 °C */
    double room_kj;          /* that comes in meanwhile */
    double ice_c;            /* of the ice as it goes in, 0 or colder */
};

struct ice_need {
    double milk_kj, glass_kj, water_kj, room_kj, heat_kj;
    double milk_ice_kg;  /* for the milk and its glass */
    double water_ice_kg; /* for the water alone */
    double ice_kg;       /* for everything */
};

/* Refuses negative amounts, milk that is to end warmer than it began or below 0 °C, water below 0 °C, ice
 * above it. */
int ice_needed(const struct ice_facts *facts, struct ice_need *out, struct working *w, struct fail *f);

/* Ice in kg that takes up heat_kj and ends as water at 0 °C, going in at ice_c (0 or below). */
double ice_for_heat(double heat_kj, double ice_c);

#endif
