/* Heat shared between bodies: mixing to one temperature with ice among them, and two bodies that relax
 * together. Closed forms; heat capacities in J/K, masses in kg, temperatures in °C, times in s. */
#ifndef CORE_COOLING_BODIES_H
#define CORE_COOLING_BODIES_H

#include <stddef.h>

/* Constants of a mixture; pass water_ice_usual() where nothing else is asked for. */
struct water_ice {
    double melting_j_per_kg;
    double water_j_per_kgk;
    double ice_j_per_kgk;
};

extern const struct water_ice water_ice_usual;

/* A body without change of phase. */
struct body {
    double capacity_j_per_k;
    double temp_c;
};

struct mixture {
    double temp_c;
    double melted_kg; /* of the ice; negative if water froze onto it */
    double ice_kg;    /* left */
};

/* Bodies, ice_kg of ice at ice_c (0 or below) and, among the bodies, all the water there is, brought to
 * balance without loss. water_kg is how much of the bodies is water that could freeze. */
void mix(const struct body *body, size_t count, double water_kg, double ice_kg, double ice_c,
         const struct water_ice *constants, struct mixture *out);

/* Two bodies joined by ua W/K, no loss. */
struct two_bodies {
    double c1, t1, c2, t2, ua;
};
double two_bodies_rate(const struct two_bodies *b);    /* n = UA (1/C1 + 1/C2), 1/s */
double two_bodies_balance(const struct two_bodies *b); /* their temperature in the end */
void two_bodies_at(const struct two_bodies *b, double seconds, double *t1, double *t2);
/* Seconds until the first body meets target_c: 0 if it has, INFINITY if it never does. */
double two_bodies_time(const struct two_bodies *b, double target_c);

/* Same, the second also losing to a room at room_c through room_ua W/K (0 allowed). */
void two_bodies_leak_at(const struct two_bodies *b, double room_c, double room_ua, double seconds, double *t1,
                        double *t2);

/* One body (C1, t1, ua) in water with ice at 0 °C, and then, when that is gone, in the water. */
struct ice_bath {
    double c1, t1, ua;
    double water_kg, ice_kg; /* both at 0 °C */
    struct water_ice constants;
};
double ice_bath_gone(
    const struct ice_bath *b); /* seconds until the ice is gone; INFINITY if some is left in the end */
void ice_bath_at(const struct ice_bath *b, double seconds, double *t1, double *water_c, double *melted_kg);

#endif
