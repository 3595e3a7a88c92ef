#include "core/sanitation/washwater.h"

#include <math.h>
#include <stdio.h>

#include "core/cooling/fit.h"
#include "core/cooling/limits.h"
#include "core/cooling/newton.h"
#include "core/sanitation/caution.h"

/* kJ/kgK; the figure of stainless steel from memory. */
static const double water_heat = 4.186, steel_heat = 0.50;

static const char *shown(double temp_c, char buf[QUANTITY_TEXT_MAX])
{
    return quantity_format(temp_c, DIM_TEMPERATURE, UNITS_US, buf);
}

double water_with_steel_c(double water_l, double water_c, double steel_kg, double steel_c)
{
    return blend_temp_c(steel_kg * steel_heat, steel_c, water_l * water_heat, water_c);
}

int temper_reckon(double hot_c, double cold_c, double target_c, double volume_l, struct temper *out,
                  struct working *w, struct fail *f)
{
    char hot[QUANTITY_TEXT_MAX], cold[QUANTITY_TEXT_MAX], target[QUANTITY_TEXT_MAX];
    (void)shown(hot_c, hot);
    (void)shown(cold_c, cold);
    (void)shown(target_c, target);
    if (!(volume_l > 0))
        return fail_input(f, "volume: there must be water, as 3gal or 10L.");
    if (!(hot_c > cold_c))
        return fail_refused(
            f, "The hot water (%s) is no hotter than the cold (%s); nothing can be mixed from them.", hot,
            cold);
    double share = (target_c - cold_c) / (hot_c - cold_c);
    bool possible = share >= 0 && share <= 1;
    out->hot_l = possible ? volume_l * share : NAN;
    out->cold_l = possible ? volume_l - out->hot_l : NAN;
    working_given(w, "hot_c", hot_c, ORIGIN_GIVEN);
    working_given(w, "cold_c", cold_c, ORIGIN_GIVEN);
    working_given(w, "target_c", target_c, ORIGIN_GIVEN);
    working_given(w, "volume_l", volume_l, ORIGIN_GIVEN);
    working_step(w, "hot share = (target - cold) / (hot - cold) = %.4f", share);
    working_result(w, "hot_l", out->hot_l);
    working_result(w, "cold_l", out->cold_l);
    if (share > 1)
        working_why(w, "Water of %s cannot make %s.", hot, target);
    if (share < 0)
        working_why(w, "%s is colder than the cold water (%s).", target, cold);
    working_source(w, "heat-balance");
    if (target_c >= temp_c_from_f(WASH_FLOOR_F) - 1e-9)
        caution_add(w, CAUTION_SCALD);
    return 0;
}

/* Water in a sink only cools, and only down to the room. */
static int check_readings(const struct wash_ask *ask, struct fail *f)
{
    char now[QUANTITY_TEXT_MAX], before[QUANTITY_TEXT_MAX];
    if (ask->reading_count > WASH_READINGS_MAX)
        return fail_input(f, "read: at most %d readings.", WASH_READINGS_MAX);
    if (ask->reading_count == 1)
        return fail_input(f, "read: one reading tells nothing; a second is needed some minutes later.");
    for (size_t i = 0; i < ask->reading_count; i++) {
        const struct wash_reading *r = &ask->reading[i];
        if (i > 0 && !(r->time_min > r[-1].time_min))
            return fail_input(f, "read: give the readings in order, each later than the one before, as "
                                 "5:150F,10:141F.");
        if (i > 0 && !(r->temp_c < r[-1].temp_c))
            return fail_refused(f,
                                "read: %s after %s: water in a sink does not grow warmer, so one of them is "
                                "wrong; read again.",
                                shown(r->temp_c, now), shown(r[-1].temp_c, before));
        if (!(r->temp_c > ask->room_c))
            return fail_refused(f, "read: %s is not warmer than the room (%s); one of them is wrong.",
                                shown(r->temp_c, now), shown(ask->room_c, before));
    }
    return 0;
}

static void show_readings(const struct wash_ask *ask, struct working *w)
{
    char name[48];
    for (size_t i = 0; i < ask->reading_count; i++) {
        (void)snprintf(name, sizeof name, "reading_%zu_min", i + 1);
        working_given(w, name, ask->reading[i].time_min, ORIGIN_MEASURED);
        (void)snprintf(name, sizeof name, "reading_%zu_c", i + 1);
        working_given(w, name, ask->reading[i].temp_c, ORIGIN_MEASURED);
    }
}

/* Newton's law through the first reading; exact if there is one more, else least squares. */
static int find_rate(const struct wash_ask *ask, double *k_per_min, struct working *w, struct fail *f)
{
    struct rate_reading later[WASH_READINGS_MAX];
    struct rate_fit fit;
    *k_per_min = ask->k_per_min;
    if (ask->reading_count == 0 && !(ask->k_per_min > 0))
        return fail_input(
            f, "k: how fast does the sink cool? Give two readings (start= and read=5:150F) or k=.");
    if (ask->reading_count == 0) {
        working_given(w, "k_per_min", ask->k_per_min, ask->k_origin);
        return 0;
    }
    if (check_readings(ask, f) != 0)
        return -1;
    const struct wash_reading *first = &ask->reading[0];
    for (size_t i = 1; i < ask->reading_count; i++)
        later[i - 1] =
            (struct rate_reading){ask->reading[i].time_min - first->time_min, ask->reading[i].temp_c};
    if (rate_from_readings(first->temp_c, ask->room_c, later, ask->reading_count - 1, &fit, f) != 0)
        return -1;
    *k_per_min = fit.k;
    show_readings(ask, w);
    working_step(w, "k = %s = %.6f /min",
                 ask->reading_count == 2 ? "ln((first - room) / (second - room)) / time" : "least squares",
                 fit.k);
    if (ask->reading_count > 2) {
        working_result(w, "k_low_per_min", fit.low);
        working_result(w, "k_high_per_min", fit.high);
    }
    return 0;
}

static double find_time(const struct wash_ask *ask, const struct wash *wash, struct working *w)
{
    char lowest[QUANTITY_TEXT_MAX];
    (void)shown(ask->floor_c, lowest);
    if (isnan(wash->start_c))
        return NAN;
    if (wash->start_c <= ask->floor_c + 1e-9) { /* 120 °F from two hands differs by a hair */
        working_step(w, "the water is at or under %s already", lowest);
        return 0;
    }
    double time_min = newton_time(wash->start_c, ask->room_c, wash->k_per_min, ask->floor_c);
    if (isnan(time_min))
        working_why(w, "The room is as warm as the floor: the water never falls to %s.", lowest);
    else
        working_step(w, "time = ln((start - room) / (floor - room)) / k = %.2f min", time_min);
    return time_min;
}

/* Before the gear takes its share, the water must be that much hotter. */
static double before_steel_c(const struct wash_ask *ask, double after_c)
{
    if (!(ask->steel_kg > 0))
        return after_c;
    return after_c + ask->steel_kg * steel_heat / (ask->water_l * water_heat) * (after_c - ask->steel_c);
}

static void find_start(const struct wash_ask *ask, struct wash *out, struct working *w)
{
    char needed[QUANTITY_TEXT_MAX], heater[QUANTITY_TEXT_MAX], lowest[QUANTITY_TEXT_MAX];
    out->start_needed_c = NAN;
    out->heater_enough = true;
    if (isnan(ask->last_min))
        return;
    double start_c = ask->floor_c;
    if (ask->room_c < ask->floor_c)
        start_c =
            newton_temp(ask->floor_c, ask->room_c, out->k_per_min, -ask->last_min); /* the law backwards */
    start_c = before_steel_c(ask, start_c);
    working_step(w, "start needed = room + (floor - room) e^(k time)%s = %s",
                 ask->steel_kg > 0 ? ", and what the gear takes," : "", shown(start_c, needed));
    if (!isnan(ask->heater_c) && ask->heater_c < start_c) {
        out->heater_enough = false;
        working_why(w, "A heater at %s cannot do it: a wash of %.4g min that ends at %s must start at %s.",
                    shown(ask->heater_c, heater), ask->last_min, shown(ask->floor_c, lowest), needed);
    }
    if (start_c > 100)
        working_why(
            w,
            "It would have to start hotter than boiling (%s): cover the sink, use more water, or wash "
            "quicker.",
            needed);
    else
        out->start_needed_c = start_c;
}

/* The water once the gear lies in it. */
static double start_with_steel(const struct wash_ask *ask, struct working *w)
{
    if (!(ask->steel_kg > 0) || isnan(ask->start_c))
        return ask->start_c;
    double start_c = water_with_steel_c(ask->water_l, ask->start_c, ask->steel_kg, ask->steel_c);
    working_given(w, "water_l", ask->water_l, ORIGIN_GIVEN);
    working_given(w, "gear_kg", ask->steel_kg, ORIGIN_GIVEN);
    working_given(w, "gear_c", ask->steel_c, ORIGIN_GIVEN);
    working_step(w, "cold gear takes %.1f °F", (ask->start_c - start_c) * 1.8);
    working_source(w, "heat-balance");
    return start_c;
}

static int check_wash(const struct wash_ask *ask, struct fail *f)
{
    if (ask->last_min < 0)
        return fail_input(f, "last: a wash lasts some minutes, as 10min.");
    if (ask->steel_kg > 0 && !(ask->water_l > 0))
        return fail_input(f, "volume: how much water does the gear go into? Write volume=3gal.");
    return 0;
}

int wash_reckon(const struct wash_ask *ask, struct wash *out, struct working *w, struct fail *f)
{
    double k_per_min;
    if (check_wash(ask, f) != 0 || find_rate(ask, &k_per_min, w, f) != 0)
        return -1;
    if (!isnan(ask->start_c))
        working_given(w, "start_c", ask->start_c, ORIGIN_MEASURED);
    working_given(w, "room_c", ask->room_c, ORIGIN_MEASURED);
    working_given(w, "floor_c", ask->floor_c, ORIGIN_GIVEN);
    if (!isnan(ask->last_min))
        working_given(w, "last_min", ask->last_min, ORIGIN_GIVEN);
    if (!isnan(ask->heater_c))
        working_given(w, "heater_c", ask->heater_c, ORIGIN_GIVEN);
    out->k_per_min = k_per_min;
    out->start_c = start_with_steel(ask, w);
    out->time_min = find_time(ask, out, w);
    find_start(ask, out, w);
    working_result(w, "k_per_min", k_per_min);
    working_result(w, "time_min", out->time_min);
    working_result(w, "start_needed_c", out->start_needed_c);
    if (!isnan(ask->heater_c) && !isnan(ask->last_min))
        working_result_yes(w, "heater_enough", out->heater_enough);
    double scald_s = scald_seconds(fmax(ask->start_c, out->start_needed_c));
    if (!isnan(scald_s))
        working_step(w, "water of that heat burns deep in %.0f s", scald_s);
    working_source(w, "newton-cooling");
    working_source(w, "ontario-bucket");
    caution_add(w, CAUTION_SCALD);
    working_caution(w, caution_text(CAUTION_COLD_HANDS));
    return 0;
}

double scald_seconds(double temp_c)
{
    static const struct {
        double temp_f, seconds;
    } rows[] = {{120, 300}, {130, 30}, {140, 5}, {150, 2}};
    double temp_f = temp_f_from_c(temp_c);
    if (!(temp_f >= rows[0].temp_f - 1e-9))
        return NAN;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (temp_f <= rows[i].temp_f + 1e-9)
            return rows[i].seconds;
    return rows[3].seconds;
}
