#include "core/day/wash_record.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"

int wash_rule_load(struct dairy *d, struct wash_rule_row *out, struct fail *f)
{
    static const struct wash_rule_row first = {
        .contact_set = "house", .lab_set = "voluntary", .water_set = "new-york", .heater_mc = ROW_NONE};
    bool found;
    if (rows_first(d->store, &wash_rule_table, "ORDER BY id DESC LIMIT 1", NULL, 0, out, &found, f) != 0)
        return -1;
    if (!found)
        *out = first;
    return 0;
}

/* ---- bottle and mix ---- */

int bottle_load(struct dairy *d, const char *chemical, struct instant at, struct bottle_row *out, bool *found,
                struct fail *f)
{
    return rows_first(d->store, &bottle_table,
                      "WHERE chemical = ?1 AND opened_at <= ?2 ORDER BY opened_at DESC, id DESC LIMIT 1",
                      (struct bind[]){BIND_TEXT(chemical), BIND_AT(at)}, 2, out, found, f);
}

struct bleach bottle_bleach(const struct bottle_row *bottle)
{
    return (struct bleach){(double)bottle->strength_mpct / 1e3,
                           strcmp(bottle->basis, "trade") == 0 ? BLEACH_TRADE : BLEACH_SIMPLE, NAN};
}

static enum chemical bottle_chemical(const struct bottle_row *bottle)
{
    enum chemical chemical = CHEMICAL_CHLORINE;
    (void)chemical_find(bottle->chemical, &chemical);
    return chemical;
}

const char *bottle_text(const struct bottle_row *bottle, char *buf, size_t size)
{
    char percent[QUANTITY_TEXT_MAX];
    if (bottle->strength_mpct == ROW_NONE)
        (void)snprintf(buf, size, "%s by its label", chemical_name(bottle_chemical(bottle)));
    else
        (void)snprintf(buf, size, "bleach %s%s",
                       quantity_format((double)bottle->strength_mpct / 1e3, DIM_PERCENT, UNITS_US, percent),
                       strcmp(bottle->basis, "trade") == 0 ? " trade" : "");
    return buf;
}

int mix_record_load(struct dairy *d, struct instant now, struct mix_record *out, struct fail *f)
{
    memset(out, 0, sizeof *out);
    if (rows_first(d->store, &mix_table, "WHERE at <= ?1 ORDER BY at DESC, id DESC LIMIT 1",
                   (struct bind[]){BIND_AT(now)}, 1, &out->mix, &out->found, f) != 0)
        return -1;
    if (!out->found)
        return 0;
    if (row_load(d->store, &bottle_table, out->mix.bottle_id, &out->bottle, f) != 0)
        return -1;
    return rows_first(d->store, &strip_table, "WHERE mix_id = ?1 AND at <= ?2 ORDER BY at DESC, id DESC LIMIT 1",
                      (struct bind[]){BIND_ID(out->mix.id), BIND_AT(now)}, 2, &out->strip, &out->read, f);
}

static struct label_ask label_of(const struct bottle_row *b)
{
    return (struct label_ask){.chemical = bottle_chemical(b),
                              .label_dose_ml = (double)b->label_dose_ul / 1e3,
                              .label_volume_l = (double)b->label_volume_ml / 1e3,
                              .label_ppm = (double)b->label_mppm / 1e3};
}

int bottle_dose(const struct bottle_row *bottle, double target_ppm, double volume_l, enum volume_kind counted,
                struct solution *out, struct working *w, struct fail *f)
{
    if (bottle->strength_mpct == ROW_NONE) {
        struct label_ask ask = label_of(bottle);
        ask.target_ppm = target_ppm;
        ask.volume_l = volume_l;
        return solution_by_label(&ask, out, w, f);
    }
    struct solution_ask ask = {bottle_bleach(bottle), target_ppm, volume_l, counted};
    return solution_dose(&ask, out, w, f);
}

static double mixed_ppm(const struct mix_record *m)
{
    double dose_ml = (double)m->mix.dose_ul / 1e3, volume_l = (double)m->mix.volume_ml / 1e3;
    if (m->bottle.strength_mpct != ROW_NONE) {
        struct bleach bleach = bottle_bleach(&m->bottle);
        return solution_ppm(&bleach, dose_ml, volume_l,
                            strcmp(m->mix.counted, "water") == 0 ? VOLUME_WATER : VOLUME_FINAL);
    }
    struct label_ask label = label_of(&m->bottle);
    return dose_ml / label.label_dose_ml * label.label_volume_l / volume_l * label.label_ppm;
}

int mix_strength(const struct mix_record *m, double *ppm, struct working *w, struct fail *f)
{
    struct test_strip strip = {(double)m->strip.mppm / 1e3, (double)m->strip.top_mppm / 1e3};
    struct bleach bleach = bottle_bleach(&m->bottle);
    bool chlorine = m->bottle.strength_mpct != ROW_NONE;
    struct strength strength;
    working_given(w, "volume_l", (double)m->mix.volume_ml / 1e3, ORIGIN_RECORDED);
    working_given(w, "dose_ml", (double)m->mix.dose_ul / 1e3, ORIGIN_RECORDED);
    if (chlorine)
        working_given(w, "strength_pct", bleach.strength_pct, ORIGIN_RECORDED);
    working_step(w, "mixed: dose x bottle / volume = %.0f ppm", mixed_ppm(m));
    if (solution_strength(mixed_ppm(m), chlorine ? &bleach : NULL, m->read ? &strip : NULL, &strength,
                          chlorine ? w : NULL, f) != 0)
        return -1;
    *ppm = strength.ppm;
    return 0;
}

const char *mix_verdict(const struct mix_record *m, double ppm, bool *good)
{
    const struct sanitiser_limit *limit = sanitiser_limit(bottle_chemical(&m->bottle));
    struct test_strip strip = {ppm, m->read ? (double)m->strip.top_mppm / 1e3 : INFINITY};
    struct strength strength;
    if (m->bottle.strength_mpct != ROW_NONE &&
        solution_strength(ppm, NULL, m->read ? &strip : NULL, &strength, NULL, NULL) == 0) {
        *good = strength.verdict == STRIP_GOOD || strength.verdict == STRIP_WEAK;
        return strip_verdict_text(strength.verdict);
    }
    *good = limit == NULL || (ppm <= limit->ceiling_ppm && !(ppm < limit->low_ppm));
    if (limit != NULL && ppm > limit->ceiling_ppm)
        return "too strong to leave unrinsed: add water";
    return *good ? "within its label's limits" : "too weak: mix again";
}

/* ---- the sink ---- */

static int load_fill(struct dairy *d, const struct sink_fill_row *fill, struct instant until,
                     struct sink_record *out, struct fail *f)
{
    struct reading_row *rows;
    size_t count;
    out->reading[0] = (struct wash_reading){0, (double)fill->temp_mc / 1e3};
    out->readings = 1;
    if (rows_load(d->store, &reading_table, "WHERE place = 'sink' AND at > ?1 AND at <= ?2 ORDER BY at, id",
                  (struct bind[]){BIND_AT(fill->at), BIND_AT(until)}, 2, (void **)&rows, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count && out->readings < WASH_READINGS_MAX; i++)
        out->reading[out->readings++] = (struct wash_reading){(double)(rows[i].at.s - fill->at.s) / 60,
                                                              (double)rows[i].temp_mc / 1e3};
    free(rows);
    return 0;
}

/* The rate of one wash from its own readings; NaN where they give none. */
static double rate_of(const struct sink_record *run, double room_c)
{
    struct wash wash;
    struct wash_ask ask = {.start_c = run->reading[0].temp_c,
                           .room_c = room_c,
                           .floor_c = temp_c_from_f(WASH_FLOOR_F),
                           .reading = run->reading,
                           .reading_count = run->readings,
                           .last_min = NAN,
                           .heater_c = NAN};
    return run->readings >= 2 && wash_reckon(&ask, &wash, NULL, NULL) == 0 ? wash.k_per_min : NAN;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static struct instant end_of_fill(const struct sink_fill_row *fills, size_t i)
{
    struct instant end = {fills[i].at.s + SINK_HOLDS_S};
    return i > 0 && fills[i - 1].at.s - 1 < end.s ? (struct instant){fills[i - 1].at.s - 1} : end;
}

int sink_record_load(struct dairy *d, double room_c, struct instant now, struct sink_record *out,
                     struct fail *f)
{
    struct sink_fill_row *fills;
    struct sink_record run = {0};
    double rate[SINK_RUNS_MAX];
    size_t count;
    memset(out, 0, sizeof *out);
    out->k_per_min = NAN;
    if (rows_load(d->store, &sink_fill_table, "WHERE at <= ?1 ORDER BY at DESC, id DESC LIMIT 30",
                  (struct bind[]){BIND_AT(now)}, 1, (void **)&fills, &count, f) != 0)
        return -1;
    int result = 0;
    for (size_t i = 0; i < count && result == 0 && out->runs < SINK_RUNS_MAX; i++) {
        bool present = i == 0 && now.s - fills[0].at.s <= SINK_HOLDS_S;
        result = load_fill(d, &fills[i], present ? now : end_of_fill(fills, i), &run, f);
        if (result != 0)
            break;
        double k = rate_of(&run, room_c);
        if (present) {
            *out = run;
            out->filled = true;
            out->fill = fills[0];
            out->runs = 0;
            out->k_per_min = k;
            out->own_rate = isfinite(k);
        } else if (isfinite(k)) {
            rate[out->runs++] = k;
        }
    }
    for (size_t i = 0; i < count && out->usual_l <= 0; i++)
        out->usual_l = fills[i].volume_ml == ROW_NONE ? 0 : (double)fills[i].volume_ml / 1e3;
    free(fills);
    if (isnan(out->k_per_min) && out->runs > 0) {
        qsort(rate, (size_t)out->runs, sizeof rate[0], by_size);
        out->k_per_min = rate[out->runs / 2]; /* of an even number the quicker one: on the safe side */
    }
    return result;
}

int sink_check_reading(struct act *a, double temp_c)
{
    struct sink_record sink;
    char was[QUANTITY_TEXT_MAX], read[QUANTITY_TEXT_MAX];
    double room_c = (double)a->dairy->row.room_temp_mc / 1e3;
    if (temp_c > 100)
        return fail_refused(a->fail, "%s: water boils before that; read again.",
                            say_quantity(a->dairy, temp_c, DIM_TEMPERATURE, read));
    if (sink_record_load(a->dairy, room_c, a->at, &sink, a->fail) != 0)
        return -1;
    if (!sink.filled)
        return 0;
    double before_c = sink.reading[sink.readings - 1].temp_c;
    if (temp_c > before_c)
        return fail_refused(a->fail,
                            "The sink read %s before and cannot warm up to %s by itself; fresh hot water is "
                            "recorded as `sink temp=`.",
                            say_quantity(a->dairy, before_c, DIM_TEMPERATURE, was),
                            say_quantity(a->dairy, temp_c, DIM_TEMPERATURE, read));
    return 0;
}
