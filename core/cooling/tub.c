#include "core/cooling/tub.h"

#include <math.h>

#include "core/cooling/root.h"

static void settle(struct tub *tub, const struct body *water, size_t count, double water_kg, double ice_kg,
                   double ice_c)
{
    struct mixture m;
    mix(water, count, water_kg, ice_kg, ice_c, &tub->constants, &m);
    tub->water_kg = water_kg + m.melted_kg;
    tub->ice_kg = m.ice_kg;
    tub->water_c = m.temp_c;
}

void tub_add_ice(struct tub *tub, double ice_kg, double ice_c)
{
    /* What is there already stands at one temperature; its ice, if any, at 0 °C, mixes without heat. */
    struct body water = {tub->water_kg * tub->constants.water_j_per_kgk, tub->water_c};
    double old_ice = tub->ice_kg, all = old_ice + ice_kg;
    settle(tub, &water, 1, tub->water_kg, all, all > 0 ? ice_c * ice_kg / all : 0);
}

void tub_add_water(struct tub *tub, double water_kg, double water_c)
{
    double c = tub->constants.water_j_per_kgk;
    struct body water[2] = {{tub->water_kg * c, tub->water_c}, {water_kg * c, water_c}};
    settle(tub, water, 2, tub->water_kg + water_kg, tub->ice_kg, 0);
}

static double lot_after(const struct tub *tub, size_t i, double around_c, double seconds)
{
    return law_temp(&tub->lot[i].law, tub->lot[i].temp_c, around_c, seconds);
}

/* --- while there is ice --- */

static double icy_melted(const struct tub *tub, double seconds)
{
    double heat = tub->room_w_per_k * (tub->room_c - tub->water_c) * seconds;
    for (size_t i = 0; i < tub->lots; i++)
        heat += tub->lot[i].capacity_j_per_k *
                (tub->lot[i].temp_c - lot_after(tub, i, tub->water_c + tub->offset_k, seconds));
    return heat / tub->constants.melting_j_per_kg;
}

static double ice_left(double seconds, const void *context)
{
    const struct tub *tub = context;
    return tub->ice_kg - icy_melted(tub, seconds);
}

/* --- when there is none: y[0] the water, y[1...] the lots --- */

static void slope(double t, const double *y, double *dy, const void *context)
{
    const struct tub *tub = context;
    double around = y[0] + tub->offset_k, heat = tub->room_w_per_k * (tub->room_c - y[0]);
    (void)t;
    for (size_t i = 0; i < tub->lots; i++) {
        double apart = y[i + 1] - around;
        dy[i + 1] = -law_rate(&tub->lot[i].law, apart, around) * apart;
        heat -= tub->lot[i].capacity_j_per_k * dy[i + 1];
    }
    dy[0] = heat / (tub->water_kg * tub->constants.water_j_per_kgk);
}

static double above_freezing(double t, const double *y, const void *context)
{
    (void)t;
    (void)context;
    return y[0];
}

/* A tub that ice or frost holds at 0 °C. */
static bool is_icy(const struct tub *tub)
{
    if (tub->ice_kg > 0)
        return true;
    if (tub->water_c > 0)
        return false;
    double y[TUB_LOTS_MAX + 1] = {0}, dy[TUB_LOTS_MAX + 1];
    for (size_t i = 0; i < tub->lots; i++)
        y[i + 1] = tub->lot[i].temp_c;
    slope(0, y, dy, tub);
    return dy[0] <= 0;
}

static bool is_closed(const struct tub *tub)
{
    if (tub->lots == 0)
        return true;
    const struct cooling_law *law = &tub->lot[0].law;
    return tub->lots == 1 && law->exponent == 0 && law->warm_per_k == 0 && law->k_per_s > 0 &&
           tub->offset_k == 0;
}

/* One lot or none, exponential, no ice: temperatures after `seconds`. */
static void closed_at(const struct tub *tub, double seconds, double *lot_c, double *water_c)
{
    double water_j_per_k = tub->water_kg * tub->constants.water_j_per_kgk;
    if (tub->lots == 0) {
        double k = tub->room_w_per_k / water_j_per_k;
        *water_c = tub->room_c + (tub->water_c - tub->room_c) * exp(-k * seconds);
        return;
    }
    const struct tub_lot *lot = &tub->lot[0];
    struct two_bodies pair = {lot->capacity_j_per_k, lot->temp_c, water_j_per_k, tub->water_c,
                              lot->law.k_per_s * lot->capacity_j_per_k};
    if (tub->room_w_per_k == 0)
        two_bodies_at(&pair, seconds, lot_c, water_c);
    else
        two_bodies_leak_at(&pair, tub->room_c, tub->room_w_per_k, seconds, lot_c, water_c);
}

/* --- inside a span --- */

double tub_span_lot_c(const struct tub_span *span, size_t lot, double at_s)
{
    const struct tub *tub = span->before;
    double lot_c = NAN, water_c;
    if (span->solver != NULL)
        return solver_inside(span->solver, at_s, lot + 1);
    if (span->icy)
        return lot_after(tub, lot, tub->water_c + tub->offset_k, at_s - span->from_s);
    closed_at(tub, at_s - span->from_s, &lot_c, &water_c);
    return lot_c;
}

double tub_span_water_c(const struct tub_span *span, double at_s)
{
    const struct tub *tub = span->before;
    double lot_c, water_c = tub->water_c;
    if (span->solver != NULL)
        water_c = solver_inside(span->solver, at_s, 0);
    else if (!span->icy)
        closed_at(tub, at_s - span->from_s, &lot_c, &water_c);
    return water_c + tub->offset_k;
}

double tub_span_ice_kg(const struct tub_span *span, double at_s)
{
    return span->icy ? fmax(0, ice_left(at_s - span->from_s, span->before)) : 0;
}

/* --- time passes --- */

static void tell(tub_watch watch, void *context, double from, double to, const struct tub *before,
                 const struct solver *solver, bool icy)
{
    struct tub_span span = {from, to, before, solver, icy};
    if (watch != NULL && to > from)
        watch(context, &span);
}

/* Up to `room` seconds with ice; returns how many it lasted. */
static double advance_icy(struct tub *tub, double now, double room, tub_watch watch, void *context)
{
    double lasts = room, melted;
    if (tub->ice_kg > 0 && ice_left(room, tub) < 0)
        lasts = root_find(ice_left, tub, 0, room, 1e-9);
    melted = icy_melted(tub, lasts);
    tell(watch, context, now, now + lasts, tub, NULL, true);
    for (size_t i = 0; i < tub->lots; i++)
        tub->lot[i].temp_c = lot_after(tub, i, tub->water_c + tub->offset_k, lasts);
    tub->ice_kg = lasts < room ? 0 : fmax(0, tub->ice_kg - melted);
    tub->water_kg += melted;
    if (tub->ice_kg == 0) { /* what was measured above melting is now the water's own warmth */
        tub->water_c += fmax(0, tub->offset_k);
        tub->offset_k = 0;
    }
    return lasts;
}

static void advance_closed(struct tub *tub, double now, double room, tub_watch watch, void *context)
{
    double lot_c = NAN, water_c;
    closed_at(tub, room, &lot_c, &water_c);
    tell(watch, context, now, now + room, tub, NULL, false);
    tub->water_c = water_c;
    if (tub->lots > 0)
        tub->lot[0].temp_c = lot_c;
}

static double advance_liquid(struct tub *tub, double now, double room, tub_watch watch, void *context)
{
    struct solver solver;
    double y[TUB_LOTS_MAX + 1] = {tub->water_c};
    enum solver_end end = SOLVER_STEPPED;
    for (size_t i = 0; i < tub->lots; i++)
        y[i + 1] = tub->lot[i].temp_c;
    solver_begin(&solver, slope, above_freezing, tub, tub->lots + 1, tub->tolerance, now, y);
    while (end == SOLVER_STEPPED) {
        end = solver_step(&solver, now + room);
        tell(watch, context, solver.from_t, solver.t, tub, &solver, false);
    }
    tub->water_c = end == SOLVER_EVENT ? 0 : solver.y[0];
    for (size_t i = 0; i < tub->lots; i++)
        tub->lot[i].temp_c = solver.y[i + 1];
    return end == SOLVER_EVENT ? solver.t - now : room;
}

void tub_advance(struct tub *tub, double seconds, tub_watch watch, void *context)
{
    double now = 0;
    while (now < seconds) {
        double room = seconds - now;
        if (is_icy(tub)) {
            now += advance_icy(tub, now, room, watch, context);
        } else if (is_closed(tub) && tub->room_c >= 0) {
            advance_closed(tub, now, room, watch, context);
            now = seconds;
        } else {
            now += advance_liquid(tub, now, room, watch, context);
        }
    }
}

double tub_balance_c(const struct tub *tub)
{
    struct body body[TUB_LOTS_MAX + 1] = {{tub->water_kg * tub->constants.water_j_per_kgk, tub->water_c}};
    struct mixture m;
    for (size_t i = 0; i < tub->lots; i++)
        body[i + 1] = (struct body){tub->lot[i].capacity_j_per_k, tub->lot[i].temp_c};
    mix(body, tub->lots + 1, tub->water_kg, tub->ice_kg, 0, &tub->constants, &m);
    return m.temp_c;
}

double tub_heat_j(const struct tub *tub)
{
    double heat = tub->water_kg * tub->constants.water_j_per_kgk * tub->water_c -
                  tub->ice_kg * tub->constants.melting_j_per_kg;
    for (size_t i = 0; i < tub->lots; i++)
        heat += tub->lot[i].capacity_j_per_k * tub->lot[i].temp_c;
    return heat;
}
