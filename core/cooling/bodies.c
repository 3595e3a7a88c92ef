#include "core/cooling/bodies.h"

#include <math.h>

#include "core/cooling/matter.h"

const struct water_ice water_ice_usual = {ICE_MELTING_J_PER_KG, WATER_HEAT_J_PER_KGK, ICE_HEAT_J_PER_KGK};

void mix(const struct body *body, size_t count, double water_kg, double ice_kg, double ice_c,
         const struct water_ice *constants, struct mixture *out)
{
    double heat = 0, capacity = 0; /* heat: above everything at 0 °C with the ice still ice */
    for (size_t i = 0; i < count; i++) {
        heat += body[i].capacity_j_per_k * body[i].temp_c;
        capacity += body[i].capacity_j_per_k;
    }
    heat += ice_kg * constants->ice_j_per_kgk * ice_c;
    double melted = heat / constants->melting_j_per_kg;
    *out = (struct mixture){0, melted, ice_kg - melted};
    if (melted > ice_kg) { /* all gone, and heat is left */
        *out = (struct mixture){.melted_kg = ice_kg};
        out->temp_c =
            (heat - ice_kg * constants->melting_j_per_kg) / (capacity + ice_kg * constants->water_j_per_kgk);
    } else if (melted < -water_kg) { /* all frozen, and cold is left */
        double c =
            capacity - water_kg * constants->water_j_per_kgk + (ice_kg + water_kg) * constants->ice_j_per_kgk;
        *out = (struct mixture){.melted_kg = -water_kg, .ice_kg = ice_kg + water_kg};
        out->temp_c = (heat + water_kg * constants->melting_j_per_kg) / c;
    }
}

double two_bodies_rate(const struct two_bodies *b)
{
    return b->ua * (1 / b->c1 + 1 / b->c2);
}

double two_bodies_balance(const struct two_bodies *b)
{
    return (b->c1 * b->t1 + b->c2 * b->t2) / (b->c1 + b->c2);
}

void two_bodies_at(const struct two_bodies *b, double seconds, double *t1, double *t2)
{
    double gone = -expm1(-two_bodies_rate(b) * seconds), apart = b->t1 - b->t2;
    *t1 = b->t1 - apart / (1 + b->c1 / b->c2) * gone;
    *t2 = b->t2 + apart / (1 + b->c2 / b->c1) * gone;
}

double two_bodies_time(const struct two_bodies *b, double target_c)
{
    double balance = two_bodies_balance(b), start = b->t1 - balance, left = target_c - balance;
    if ((start > 0 && target_c >= b->t1) || (start < 0 && target_c <= b->t1) || target_c == b->t1)
        return 0;
    if (start == 0 || left == 0 || (start > 0) != (left > 0))
        return INFINITY;
    return log(start / left) / two_bodies_rate(b);
}

void two_bodies_leak_at(const struct two_bodies *b, double room_c, double room_ua, double seconds, double *t1,
                        double *t2)
{
    /* u' = -a u + a v, v' = b u - (b + c) v about the room; the two rates are real and of one sign. */
    double per_c1 = 1 / b->c1, per_c2 = 1 / b->c2, a = b->ua * per_c1, bb = b->ua * per_c2,
           c = room_ua * per_c2;
    double u0 = b->t1 - room_c, v0 = b->t2 - room_c;
    double sum = a + bb + c, gap = sqrt((a + bb - c) * (a + bb - c) + 4 * bb * c);
    double fast = (sum + gap) / 2, slow = a * c / fast; /* the product of the rates is a c: no cancellation */
    /* Along each rate v = u (1 - rate / a); the two differ by gap / a. */
    double share_fast = (a - fast) / a, share_slow = (a - slow) / a;
    double p = (share_slow * u0 - v0) * a / gap, q = u0 - p;
    double ef = p * exp(-fast * seconds), es = q * exp(-slow * seconds);
    *t1 = room_c + ef + es;
    *t2 = room_c + share_fast * ef + share_slow * es;
}

double ice_bath_gone(const struct ice_bath *b)
{
    double needed_k = b->ice_kg * b->constants.melting_j_per_kg / b->c1;
    if (needed_k >= b->t1)
        return INFINITY;
    return -log1p(-needed_k / b->t1) * b->c1 / b->ua;
}

void ice_bath_at(const struct ice_bath *b, double seconds, double *t1, double *water_c, double *melted_kg)
{
    double gone = ice_bath_gone(b);
    if (seconds <= gone) {
        *t1 = b->t1 * exp(-b->ua / b->c1 * seconds);
        *water_c = 0;
        *melted_kg = b->c1 * (b->t1 - *t1) / b->constants.melting_j_per_kg;
        return;
    }
    struct two_bodies after = {b->c1, b->t1 * exp(-b->ua / b->c1 * gone),
                               (b->water_kg + b->ice_kg) * b->constants.water_j_per_kgk, 0, b->ua};
    two_bodies_at(&after, seconds - gone, t1, water_c);
    *melted_kg = b->ice_kg;
}
