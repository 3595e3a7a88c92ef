/* The sink on the wash bench: how long its water stays over the floor, as this sink was seen to cool, and how
 * hot the wash must start. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/cooling/newton.h"
#include "core/day/wash_inside.h"

/* How long the routine's hot wash lasts, minutes; NaN when it does not say. */
static double wash_min(const struct routine *r)
{
    for (size_t i = 0; i < r->count; i++)
        if (r->step[i].kind == STEP_HOT && r->step[i].contact_s > 0)
            return (double)r->step[i].contact_s / 60;
    return NAN;
}

static void say_now(const struct wash_view *v, struct wash_sink_view *s)
{
    char now[QUANTITY_TEXT_MAX], lowest[QUANTITY_TEXT_MAX], span[CIVIL_TEXT_MAX], at[CIVIL_TEXT_MAX];
    (void)quantity_format(temp_c_from_f(WASH_FLOOR_F), DIM_TEMPERATURE, v->units, lowest);
    if (!s->filled)
        (void)snprintf(s->words, sizeof s->words, "no hot water recorded in the sink");
    else if (isnan(s->now_c))
        (void)snprintf(s->words, sizeof s->words,
                       "read %s at %s; one more reading, some minutes later, tells how long it lasts",
                       quantity_format(s->read_c, DIM_TEMPERATURE, v->units, now), clock_text(s->read_at, at));
    else if (instant_known(s->floor_at) && s->floor_at.s > v->now.s)
        (void)snprintf(s->words, sizeof s->words, "about %s; above %s for %s more, until %s",
                       quantity_format_in(s->now_c, DIM_TEMPERATURE, quantity_unit(DIM_TEMPERATURE, v->units), 0, now),
                       lowest, span_text((s->floor_at.s - v->now.s + 59) / 60 * 60, span),
                       clock_text(s->floor_at, at));
    else if (instant_known(s->floor_at))
        (void)snprintf(s->words, sizeof s->words, "TOO COLD to wash with: under %s since %s", lowest,
                       clock_text(s->floor_at, at));
    else
        (void)snprintf(s->words, sizeof s->words, "the room is as warm as %s: it never falls so far", lowest);
}

static void say_start(const struct wash_view *v, struct wash_sink_view *s)
{
    char needed[QUANTITY_TEXT_MAX], lowest[QUANTITY_TEXT_MAX], heater[QUANTITY_TEXT_MAX];
    if (isnan(s->needed_c))
        return;
    int used = snprintf(s->start_words, sizeof s->start_words, "a wash of %.3g min must start at %s to end at %s",
                        s->last_min,
                        quantity_format_in(s->needed_c, DIM_TEMPERATURE, quantity_unit(DIM_TEMPERATURE, v->units), 0, needed),
                        quantity_format(temp_c_from_f(WASH_FLOOR_F), DIM_TEMPERATURE, v->units, lowest));
    if (used > 0 && !s->heater_enough)
        (void)text_append(s->start_words, sizeof s->start_words, ": the heater at %s cannot do it",
                          quantity_format(v->heater_c, DIM_TEMPERATURE, v->units, heater));
    else if (used > 0 && s->runs > 0)
        (void)text_append(s->start_words, sizeof s->start_words, " (learned from %d wash%s)", s->runs,
                          s->runs == 1 ? "" : "es");
}

static void say_scald(const struct wash_view *v, struct wash_sink_view *s)
{
    char hot[QUANTITY_TEXT_MAX];
    double temp_c = isnan(s->now_c) ? s->read_c : s->now_c;
    s->scald_s = s->filled ? scald_seconds(temp_c) : (double)NAN;
    if (!isnan(s->scald_s))
        (void)snprintf(s->scald_words, sizeof s->scald_words,
                       "Water of %s burns deep within %.0f seconds: gloves, brush, no bare hand.",
                       quantity_format_in(temp_c, DIM_TEMPERATURE, quantity_unit(DIM_TEMPERATURE, v->units), 0, hot),
                       s->scald_s);
}

/* How much hot and how much cold make the wash as the routine wants it, in the amount of last time. */
static void say_temper(const struct dairy *d, const struct facts *facts, const struct sink_record *r, const struct wash_view *v,
                       struct wash_sink_view *s)
{
    char hot[QUANTITY_TEXT_MAX], cold[QUANTITY_TEXT_MAX], target[QUANTITY_TEXT_MAX], heater[QUANTITY_TEXT_MAX];
    struct temper out;
    if (isnan(v->heater_c) || r->usual_l <= 0)
        return;
    for (size_t i = 0; i < facts->routine.count; i++) {
        const struct routine_step *step = &facts->routine.step[i];
        if (step->kind != STEP_HOT)
            continue;
        (void)quantity_format(step->start_c, DIM_TEMPERATURE, v->units, target);
        (void)quantity_format(v->heater_c, DIM_TEMPERATURE, v->units, heater);
        if (temper_reckon(v->heater_c, (double)d->row.tap_temp_mc / 1e3, step->start_c, r->usual_l, &out, NULL, NULL) != 0)
            return;
        if (isnan(out.hot_l))
            (void)snprintf(s->temper_words, sizeof s->temper_words, "%s cannot be had: the heater gives %s", target, heater);
        else
            (void)snprintf(s->temper_words, sizeof s->temper_words, "%s at %s and %s from the tap make %s",
                           quantity_format(out.hot_l, DIM_VOLUME, v->units, hot), heater,
                           quantity_format(out.cold_l, DIM_VOLUME, v->units, cold), target);
        return;
    }
}

/* Without water in the sink the rate is the middle one of earlier washes; it then is a given. */
static struct wash_ask ask_of(const struct sink_record *r, const struct wash_view *v, double room_c, double last_min)
{
    return (struct wash_ask){.start_c = r->filled ? r->reading[0].temp_c : (double)NAN,
                             .room_c = room_c,
                             .floor_c = temp_c_from_f(WASH_FLOOR_F),
                             .k_per_min = r->k_per_min,
                             .k_origin = ORIGIN_LEARNED,
                             .reading = r->own_rate ? r->reading : NULL,
                             .reading_count = r->own_rate ? r->readings : 0,
                             .last_min = last_min,
                             .heater_c = v->heater_c};
}

static void take_readings(const struct sink_record *r, struct wash_sink_view *s)
{
    const struct wash_reading *last = &r->reading[r->readings - 1];
    s->filled_at = r->fill.at;
    s->start_c = r->reading[0].temp_c;
    s->read_c = last->temp_c;
    s->read_at = (struct instant){r->fill.at.s + (int64_t)llround(last->time_min * 60)};
}

/* From the last reading on: what was read is nearer to the truth than what was poured. */
static void forecast(const struct wash_view *v, double room_c, struct wash_sink_view *s)
{
    double floor_c = temp_c_from_f(WASH_FLOOR_F), since_min = (double)(v->now.s - s->read_at.s) / 60;
    double left_min = s->read_c <= floor_c ? 0 : newton_time(s->read_c, room_c, s->k_per_min, floor_c);
    s->now_c = newton_temp(s->read_c, room_c, s->k_per_min, since_min);
    if (!isnan(left_min))
        s->floor_at = (struct instant){s->read_at.s + (int64_t)floor(left_min * 60)};
}

int wash_fill_sink(struct dairy *d, const struct facts *facts, struct wash_view *v, struct working *w,
                   struct fail *f)
{
    struct wash_sink_view *s = &v->sink;
    struct sink_record r;
    struct wash wash;
    struct fail silent = {0};
    double room_c = facts->chill.morning.room_c;
    if (sink_record_load(d, room_c, v->now, &r, f) != 0)
        return -1;
    s->filled = r.filled;
    s->filled_at = s->read_at = s->floor_at = INSTANT_NONE;
    s->start_c = s->read_c = s->now_c = s->needed_c = NAN;
    s->heater_enough = true;
    s->k_per_min = r.k_per_min;
    s->runs = r.own_rate ? 0 : r.runs;
    s->last_min = wash_min(&facts->routine);
    if (r.filled)
        take_readings(&r, s);
    struct wash_ask ask = ask_of(&r, v, room_c, s->last_min);
    if (!isnan(s->k_per_min) && wash_reckon(&ask, &wash, w, &silent) == 0) {
        s->needed_c = wash.start_needed_c;
        s->heater_enough = wash.heater_enough;
        if (r.filled)
            forecast(v, room_c, s);
    }
    say_now(v, s);
    say_start(v, s);
    say_temper(d, facts, &r, v, s);
    say_scald(v, s);
    return 0;
}
