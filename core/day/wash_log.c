/* What this dairy wrote down on the day of a sample, for whoever asks why a figure is high: the gear, the mix,
 * the wash before, the cooling, the cows, the parcel. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/milk_log.h"
#include "core/day/wash_inside.h"
#include "core/herd/udder.h"

static void add_line(struct wash_measure_view *m, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void add_line(struct wash_measure_view *m, const char *format, ...)
{
    va_list args;
    if (m->logs == WASH_LINES_MAX)
        return;
    va_start(args, format);
    (void)vsnprintf(m->log[m->logs++], WASH_LINE_MAX, format, args);
    va_end(args);
}

struct asking {
    struct dairy *dairy;
    const struct facts *facts;
    const struct lab_sample_row *sample;
    struct milking_row milking, before; /* id 0: none */
    enum unit_system units;
};

static int find_milkings(struct asking *a, struct fail *f)
{
    struct batch_row batch;
    bool found;
    if (a->sample->batch_id != ROW_NONE) {
        if (row_load(a->dairy->store, &batch_table, a->sample->batch_id, &batch, f) != 0 ||
            row_load(a->dairy->store, &milking_table, batch.milking_id, &a->milking, f) != 0)
            return -1;
    } else {
        if (rows_first(a->dairy->store, &milking_table, "WHERE opened_at <= ?1 ORDER BY opened_at DESC LIMIT 1",
                       (struct bind[]){BIND_AT(a->sample->drawn_at)}, 1, &a->milking, &found, f) != 0)
            return -1;
        if (!found || a->sample->drawn_at.s - a->milking.opened_at.s > 2 * 86400)
            a->milking.id = 0;
    }
    if (a->milking.id == 0)
        return 0;
    if (rows_first(a->dairy->store, &milking_table, "WHERE opened_at < ?1 ORDER BY opened_at DESC LIMIT 1",
                   (struct bind[]){BIND_AT(a->milking.opened_at)}, 1, &a->before, &found, f) != 0)
        return -1;
    if (!found)
        a->before.id = 0;
    return 0;
}

/* The last tick of that step in that milking; *found false when it has none. */
static int last_tick(const struct asking *a, int64_t milking, const char *step, const char *not_kind,
                     struct tick_row *row, bool *found, struct fail *f)
{
    return rows_first(a->dairy->store, &tick_table,
                      "WHERE milking_id = ?1 AND step = ?2 AND kind <> ?3 ORDER BY at DESC, id DESC LIMIT 1",
                      (struct bind[]){BIND_ID(milking), BIND_TEXT(step), BIND_TEXT(not_kind)}, 3, row, found, f);
}

static const struct routine_step *step_making(const struct routine *r, enum step_makes makes)
{
    for (size_t i = 0; i < r->count; i++)
        if (r->step[i].makes == makes)
            return &r->step[i];
    return NULL;
}

static int log_sanitised(const struct asking *a, struct wash_measure_view *m, struct fail *f)
{
    static const struct {
        enum step_makes makes;
        const char *word;
    } list[] = {{MAKES_SANITISED, "sanitised"}, {MAKES_DRAINED, "drained"}};
    for (size_t i = 0; i < 2; i++) {
        const struct routine_step *step = step_making(&a->facts->routine, list[i].makes);
        struct tick_row tick;
        bool found;
        char at[CIVIL_TEXT_MAX], span[CIVIL_TEXT_MAX];
        if (step == NULL)
            continue;
        if (last_tick(a, a->milking.id, step->id, "", &tick, &found, f) != 0)
            return -1;
        if (!found)
            add_line(m, "nothing says that the gear was %s", list[i].word);
        else if (strcmp(tick.kind, "skipped") == 0)
            add_line(m, "gear NOT %s: the step was left out", list[i].word);
        else if (instant_known(a->milking.started_at))
            add_line(m, "gear %s at %s, %s before the first cow", list[i].word, clock_text(tick.at, at),
                     span_text(a->milking.started_at.s - tick.at.s, span));
        else
            add_line(m, "gear %s at %s", list[i].word, clock_text(tick.at, at));
    }
    return 0;
}

static int log_mix(const struct asking *a, struct wash_measure_view *m, struct fail *f)
{
    struct mix_record r;
    double ppm;
    bool good;
    struct instant until = instant_known(a->milking.started_at) ? a->milking.started_at : a->sample->drawn_at;
    if (mix_record_load(a->dairy, until, &r, f) != 0)
        return -1;
    if (!r.found || a->milking.opened_at.s - r.mix.at.s > 12 * 3600)
        return add_line(m, "no mix recorded that morning"), 0;
    if (mix_strength(&r, &ppm, NULL, f) != 0)
        return -1;
    add_line(m, "sanitiser %.0f ppm %s: %s", ppm, r.read ? "by strip" : "by the sum, no strip read",
             mix_verdict(&r, ppm, &good));
    return 0;
}

/* The wash after the milking before: that is the gear which this milk ran through. */
static int log_wash(const struct asking *a, struct wash_measure_view *m, struct fail *f)
{
    const struct routine *r = &a->facts->routine;
    char left_out[120] = "", span[CIVIL_TEXT_MAX], read[QUANTITY_TEXT_MAX];
    struct tick_row begun, done;
    struct reading_row last;
    bool began, ended, found;
    if (a->before.id == 0)
        return 0;
    for (size_t i = 0; i < r->count; i++) {
        const struct routine_step *step = &r->step[i];
        if (step->phase != PHASE_WASH)
            continue;
        if (last_tick(a, a->before.id, step->id, "begun", &done, &ended, f) != 0)
            return -1;
        if (ended && strcmp(done.kind, "skipped") == 0)
            (void)text_append(left_out, sizeof left_out, "%s%s", left_out[0] == '\0' ? "" : ", ", step->id);
        if (step->kind != STEP_HOT)
            continue;
        if (last_tick(a, a->before.id, step->id, "done", &begun, &began, f) != 0)
            return -1;
        began = began && strcmp(begun.kind, "begun") == 0;
        if (began && ended && strcmp(done.kind, "done") == 0)
            add_line(m, "hot wash before it: %s%s", span_text(done.at.s - begun.at.s, span),
                     done.at.s - begun.at.s < step->contact_s ? ", too short" : "");
        else if (!began && !ended)
            add_line(m, "nothing says that there was a hot wash before it");
        if (began && rows_first(a->dairy->store, &reading_table,
                                "WHERE place = 'sink' AND at >= ?1 AND at <= ?2 ORDER BY at DESC LIMIT 1",
                                (struct bind[]){BIND_AT(begun.at), {false, begun.at.s + 3600, NULL}}, 2, &last,
                                &found, f) != 0)
            return -1;
        if (began && found)
            add_line(m, "its water at the last reading: %s",
                     quantity_format((double)last.temp_mc / 1e3, DIM_TEMPERATURE, a->units, read));
    }
    if (left_out[0] != '\0')
        add_line(m, "left out of the wash before it: %s", left_out);
    return 0;
}

static int log_cooling(const struct asking *a, struct wash_measure_view *m, struct fail *f)
{
    struct keeping_span *span = malloc(LOG_SPANS_MAX * sizeof *span);
    struct batch_row *rows = NULL;
    size_t count = 0, spans;
    char text[CIVIL_TEXT_MAX], to[QUANTITY_TEXT_MAX];
    double limit_c = temp_c_from_f(50);
    int result = span == NULL ? fail_memory(f)
                              : rows_load(a->dairy->store, &batch_table, "WHERE milking_id = ?1 ORDER BY poured_at",
                                          (struct bind[]){BIND_ID(a->milking.id)}, 1, (void **)&rows, &count, f);
    for (size_t i = 0; i < count && i < 3 && result == 0; i++) {
        struct instant until = {rows[i].poured_at.s + 12 * 3600};
        if (a->sample->batch_id != ROW_NONE && a->sample->batch_id != rows[i].id)
            continue;
        result = log_history(a->dairy, rows[i].id, PLACES, until, span, &spans, f);
        if (result != 0 || spans == 0)
            continue;
        double reached_s = log_reached_s(span, spans, limit_c);
        (void)quantity_format(limit_c, DIM_TEMPERATURE, a->units, to);
        if (isnan(reached_s))
            add_line(m, "batch %s did not come down to %s in 12 h", rows[i].code, to);
        else
            add_line(m, "batch %s was at %s after %s", rows[i].code, to, span_text((int64_t)reached_s, text));
    }
    free(rows);
    free(span);
    return result;
}

/* What strip cup and disc showed that morning. */
static int log_cows(const struct asking *a, struct wash_measure_view *m, bool dirt, struct fail *f)
{
    struct milk_row *rows;
    size_t count, seen = m->logs;
    if (rows_load(a->dairy->store, &milk_table, "WHERE milking_id = ?1 ORDER BY at", (struct bind[]){BIND_ID(a->milking.id)},
                  1, (void **)&rows, &count, f) != 0)
        return -1;
    int result = 0;
    for (size_t i = 0; i < count && result == 0; i++) {
        struct cow_row cow;
        unsigned findings = 0;
        bool strip = rows[i].strip[0] != '\0' && strcmp(rows[i].strip, "clean") != 0;
        bool disc = disc_parse(rows[i].disc, &findings, NULL) == 0 && findings != 0;
        if (!strip && !disc)
            continue;
        result = row_load(a->dairy->store, &cow_table, rows[i].cow_id, &cow, f);
        if (result == 0 && (dirt ? disc : true))
            add_line(m, "%s: %s%s%s%s", cow.name, strip ? "strip cup " : "", strip ? rows[i].strip : "",
                     disc ? (strip ? ", disc " : "disc ") : "", disc ? rows[i].disc : "");
    }
    free(rows);
    if (result == 0 && m->logs == seen && count > 0)
        add_line(m, dirt ? "discs clean, or not looked at" : "strip cups and discs clean, or not looked at");
    return result;
}

static void log_parcel(const struct asking *a, struct wash_measure_view *m)
{
    const struct lab_sample_row *s = a->sample;
    char temp[QUANTITY_TEXT_MAX], span[CIVIL_TEXT_MAX];
    if (!instant_known(s->arrived_at)) {
        add_line(m, "nothing says when the sample arrived, nor how cold");
        return;
    }
    int64_t took_s = s->arrived_at.s - s->drawn_at.s;
    add_line(m, "the sample took %s%s%s%s", span_text(took_s, span),
             s->hours_s != ROW_NONE && took_s > s->hours_s ? ", TOO LONG" : "",
             s->arrived_mc == ROW_NONE ? "" : " and came at ",
             s->arrived_mc == ROW_NONE ? "" : quantity_format((double)s->arrived_mc / 1e3, DIM_TEMPERATURE, a->units, temp));
    if (s->arrived_mc != ROW_NONE && (double)s->arrived_mc / 1e3 > temp_c_from_f(LAB_SAMPLE_WARM_F))
        add_line(m, "a WARM sample reads high: draw another before blaming the gear");
}

int wash_log_of(struct dairy *d, const struct facts *facts, const struct lab_sample_row *sample,
                struct wash_measure_view *out, struct fail *f)
{
    struct asking a = {.dairy = d, .facts = facts, .sample = sample, .units = dairy_units(d)};
    log_parcel(&a, out);
    if (out->measure == LAB_WATER)
        return 0;
    if (find_milkings(&a, f) != 0)
        return -1;
    if (a.milking.id == 0)
        return add_line(out, "no milking is recorded in the two days before it"), 0;
    if (out->measure == LAB_CELLS)
        return log_cows(&a, out, false, f);
    if (log_sanitised(&a, out, f) != 0 || log_mix(&a, out, f) != 0 || log_wash(&a, out, f) != 0)
        return -1;
    if (out->measure == LAB_PLATE && log_cooling(&a, out, f) != 0)
        return -1;
    return log_cows(&a, out, true, f);
}
