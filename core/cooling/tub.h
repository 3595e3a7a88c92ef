/* A tub of water and ice with lots of jars in it: who gives how much heat to whom.
 *
 * Ice keeps the tub at melting while there is any; melt joins the water; the room adds heat all the time.
 * While there is ice every lot has constant surroundings and the closed form of its law holds, and the moment
 * at which the ice is gone is a root of the heat balance. After that all relax together: one lot under the
 * exponential law in closed form, several by the Runge-Kutta pair of solver.h to the tolerance asked for. */
#ifndef CORE_COOLING_TUB_H
#define CORE_COOLING_TUB_H

#include <stdbool.h>
#include <stddef.h>

#include "core/cooling/bodies.h"
#include "core/cooling/law.h"
#include "core/cooling/solver.h"

enum { TUB_LOTS_MAX = 32 };

/* Jars that share one history, taken as one body. */
struct tub_lot {
    double capacity_j_per_k; /* of the whole lot */
    double temp_c;
    struct cooling_law law;
};

struct tub {
    double water_kg, water_c, ice_kg;
    double offset_k; /* what the jars feel above water_c, where a reading said so; 0 else */
    double room_c, room_w_per_k;
    struct water_ice constants;
    double tolerance; /* of the integrator, in K per step */
    struct tub_lot lot[TUB_LOTS_MAX];
    size_t lots;
};

/* Water and ice come to balance, at once; the lots do not take part. Ice at ice_c joins what is there. */
void tub_add_ice(struct tub *tub, double ice_kg, double ice_c);
void tub_add_water(struct tub *tub, double water_kg, double water_c);

/* A stretch of time over which one formula holds, as tub_advance() reports it. */
struct tub_span {
    double from_s, to_s;         /* since the beginning of the advance */
    const struct tub *before;    /* the tub at from_s; valid during the call only */
    const struct solver *solver; /* the step, where it was integrated; NULL: closed form */
    bool icy;
};

/* Inside a span: temperature of a lot, of the water where the jars stand, and the ice. */
double tub_span_lot_c(const struct tub_span *span, size_t lot, double at_s);
double tub_span_water_c(const struct tub_span *span, double at_s);
double tub_span_ice_kg(const struct tub_span *span, double at_s);

typedef void (*tub_watch)(void *context, const struct tub_span *span);

/* Lets `seconds` pass. `watch` (NULL: nobody) is told every span in order. */
void tub_advance(struct tub *tub, double seconds, tub_watch watch, void *context);

/* Where everything comes to rest if the room is kept out: as mix(). */
double tub_balance_c(const struct tub *tub);

/* Heat in J above water at 0 °C with all ice melted: constant over an advance without a room. */
double tub_heat_j(const struct tub *tub);

#endif
