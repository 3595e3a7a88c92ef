/* One tub, several pours, each with a rate that is given: when each meets 50, 45 and 40 °F and its limit, and
 * how early it could have come out. Exact: closed forms and an integrator to 1e-10 K a step. For the board's
 * forecast, with jars, readings and bands, see forecast.h. Times in minutes from minute 0, when water and ice
 * have met. */
#ifndef CORE_COOLING_BATH_H
#define CORE_COOLING_BATH_H

#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/cooling/limits.h"

enum { BATH_POURS_MAX = 12, BATH_MARKS = 3 };

/* What every pour is asked: 50, 45 and 40 °F. */
extern const double bath_mark_f[BATH_MARKS];

struct bath_pour {
    double at_min;
    double volume_l;
    double temp_c;
    double k_per_min; /* rate against its own heat capacity */
};

struct bath_facts {
    struct bath_pour pour[BATH_POURS_MAX];
    size_t pours;
    double glass_kg; /* glass in each pour; 0: none */
    double fat_pct;
    double water_kg, water_c, ice_kg, ice_c;
    double room_c, room_w_per_k;
    double pull_min;                 /* NaN: they stay in */
    double fridge_c, fridge_per_min; /* NaN: none */
    const struct limit_set *limit;   /* NULL: none */
    double milking_start_min;        /* NaN: minute 0 */
    double milking_end_min;          /* NaN: the last pour */
};

struct bath_result {
    double at_pull_c;               /* NaN without a pull */
    double to_mark_min[BATH_MARKS]; /* NaN: not within two days */
    bool limit_ok;                  /* false without a limit */
    double in_hand_min;       /* least over the clauses, negative when late; NaN: a clause is never met */
    double earliest_pull_min; /* NaN: the limit is lost even if it stays in, or there is none */
};

struct bath {
    double ice_gone_min; /* NaN: it lasts, or there was none */
    double bath_final_c; /* at the pull; without one, where the tub comes to rest */
    double settled_c;    /* water after ice and water came to balance */
    double settled_ice_kg;
    struct bath_result pour[BATH_POURS_MAX]; /* in the order given */
};

/* Refuses no pours, no water and ice, ice above 0 °C, milk colder than the tub it is poured into, a rate that
 * is not above 0, a pull before the last pour. */
int bath_run(const struct bath_facts *facts, struct bath *out, struct working *w, struct fail *f);

#endif
