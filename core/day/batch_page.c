#include "core/day/batch_page.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/lessons.h"
#include "core/day/milk_log.h"
#include "core/day/shelf_life.h"
#include "core/sanitation/routine.h"

/* The first day decides what the chill cost; the limit is judged over half of it. */
enum { CHILL_S = 24 * 3600, LIMIT_S = 12 * 3600 };

/* ---- the chill ---- */

static double minutes_after(double at_s, struct instant poured)
{
    return (at_s - (double)poured.s) / 60;
}

/* The forecast of that morning, made again with everything that was read. */
static int ask_limit(struct dairy *d, const struct batch_row *b, struct batch_page *p, struct fail *f)
{
    struct chill_record *record = malloc(sizeof *record);
    struct forecast *forecast = malloc(sizeof *forecast);
    struct instant then = {b->poured_at.s + LIMIT_S};
    int result = -1;
    if (then.s > p->now.s)
        then = p->now;
    p->to_50f_min = p->to_45f_min = p->to_40f_min = (double)NAN;
    if (record == NULL || forecast == NULL)
        result = fail_memory(f);
    else if (chill_record_load(d, b->milking_id, then, record, f) == 0 && lessons_give(d, record, f) == 0)
        result = forecast_make(&record->morning, forecast, f);
    for (size_t i = 0; result == 0 && i < forecast->batches; i++) {
        const struct batch_forecast *bf = &forecast->batch[i];
        if (record->batch[i].id != b->id)
            continue;
        p->to_50f_min = minutes_after(bf->to_50f.at, b->poured_at);
        p->to_45f_min = minutes_after(bf->to_45f.at, b->poured_at);
        p->to_40f_min = minutes_after(bf->to_40f.at, b->poured_at);
        p->limit_known = bf->clause >= 0;
        p->verdict = bf->verdict;
        p->limit_c = bf->limit_c;
        p->deadline_at = p->limit_known ? (struct instant){llround(bf->deadline_at)} : INSTANT_NONE;
    }
    free(record);
    free(forecast);
    return result;
}

static int by_time(const void *a, const void *b)
{
    const struct batch_temp *x = a, *y = b;
    return (x->at.s > y->at.s) - (x->at.s < y->at.s);
}

static void add_temp(struct batch_page *p, struct instant at, double temp_c, bool read)
{
    if (p->temps < BATCH_PAGE_TEMPS_MAX)
        p->temp[p->temps++] = (struct batch_temp){at, temp_c, read};
}

static int fill_temps(struct dairy *d, struct batch_page *p, struct fail *f)
{
    struct log_record r;
    int result = log_batch_load(d, p->batch_id, &r, f);
    for (size_t i = 0; result == 0 && i < r.view.readings; i++)
        add_temp(p, r.reading[i].at, (double)r.reading[i].temp_mc / 1e3, true);
    for (size_t i = 0; result == 0 && i < r.view.points; i++)
        add_temp(p, r.point[i].at, (double)r.point[i].temp_mc / 1e3, false);
    log_batch_release(&r);
    qsort(p->temp, p->temps, sizeof p->temp[0], by_time);
    return result;
}

/* ---- how it keeps ---- */

/* What came about is the history's, as keeping and tastings have it; only what is still to come is forecast. */
static void reached(const struct keeping_span *span, size_t count, double temp_f, double *minutes)
{
    double reached_s = log_reached_s(span, count, temp_c_from_f(temp_f));
    if (isfinite(reached_s))
        *minutes = reached_s / 60;
}

static int ask_keeping(struct dairy *d, struct batch_page *p, struct fail *f)
{
    struct keeping_span *span = malloc(LOG_SPANS_MAX * sizeof *span);
    struct keeping_scale scale;
    struct log_room room = {0};
    struct discard_facts facts = {.held = p->held_why[0] != '\0', .span = span};
    size_t count = 0, chill = 0;
    if (span == NULL)
        return fail_memory(f);
    int result = shelf_scale_load(d, p->now, &scale, NULL, f);
    if (result == 0)
        result = log_room_load(d, p->now, p->now, &room, f);
    if (result == 0)
        result = log_history(d, p->batch_id, PLACES, p->now, span, &count, f);
    for (double hours = 0; result == 0 && chill < count && hours < CHILL_S / 3600.0; chill++)
        hours += span[chill].hours;
    facts.spans = count;
    p->keeping_known = result == 0 && count > 0;
    if (p->keeping_known &&
        (keeping_forecast(span, count, &scale, room.fridge_c, &p->keeping, NULL, f) != 0 ||
         discard_judge(&facts, &p->discard, NULL, f) != 0))
        result = -1;
    if (p->keeping_known && result == 0) {
        reached(span, count, 50, &p->to_50f_min);
        reached(span, count, 45, &p->to_45f_min);
        reached(span, count, 40, &p->to_40f_min);
    }
    if (p->keeping_known && result == 0)
        p->lost_days = keeping_lost_days(span, chill, room.fridge_c, NULL);
    log_room_release(&room);
    free(span);
    return result;
}

/* ---- that morning ---- */

struct chores_asking {
    struct batch_page *page;
    const struct routine *routine;
};

static int take_tick(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct chores_asking *c = context;
    const struct tick_row *t = row;
    struct batch_page *p = c->page;
    const struct routine_step *step = routine_find(c->routine, t->step);
    if (strcmp(t->kind, "skipped") == 0) {
        if (p->skips < BATCH_PAGE_SKIPPED_MAX)
            (void)snprintf(p->skipped[p->skips++], sizeof p->skipped[0], "%.63s",
                           step == NULL ? t->step : step->words);
        return 0;
    }
    p->steps_done += strcmp(t->kind, "done") == 0;
    if (strcmp(t->step, "mix") == 0)
        p->mixed_at = t->at;
    if (strcmp(t->step, "sanitise") == 0)
        p->sanitised_at = t->at;
    return 0;
}

static int ask_chores(struct dairy *d, int64_t milking_id, struct batch_page *p, struct fail *f)
{
    struct routine *routine = malloc(sizeof *routine);
    struct chores_asking asking = {p, routine};
    if (routine == NULL)
        return fail_memory(f);
    int result = dairy_routine(d, routine, f);
    if (result == 0)
        result = rows_each(d->store, &tick_table, "WHERE milking_id = ?1 ORDER BY at, id",
                           (struct bind[]){BIND_ID(milking_id)}, 1, take_tick, &asking, f);
    free(routine);
    return result;
}

static int take_taste(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct batch_page *p = context;
    const struct tasting_row *t = row;
    if (p->tastes == BATCH_PAGE_TASTES_MAX)
        return 0;
    struct batch_taste *taste = &p->taste[p->tastes++];
    *taste = (struct batch_taste){
        .at = t->at, .score = t->score == ROW_NONE ? 0 : (int)t->score, .turned = t->turned == 1};
    (void)snprintf(taste->flavour, sizeof taste->flavour, "%s", t->flavour);
    return 0;
}

/* ---- the whole ---- */

static int fill_page(struct dairy *d, struct batch_page *p, struct fail *f)
{
    struct batch_row b;
    struct milking_row m;
    if (row_load(d->store, &batch_table, p->batch_id, &b, f) != 0 ||
        row_load(d->store, &milking_table, b.milking_id, &m, f) != 0)
        return -1;
    (void)snprintf(p->code, sizeof p->code, "%.15s", b.code);
    (void)snprintf(p->kind, sizeof p->kind, "%s", b.kind);
    (void)snprintf(p->held_why, sizeof p->held_why, "%s", b.held_why);
    (void)snprintf(p->who, sizeof p->who, "%s", m.who);
    p->count = (int)b.count;
    p->volume_l = (double)b.volume_ml / 1e3;
    p->poured_at = b.poured_at;
    p->poured_c = (double)b.temp_mc / 1e3;
    p->poured_read = b.temp_read == 1;
    if (ask_limit(d, &b, p, f) != 0 || fill_temps(d, p, f) != 0 || ask_keeping(d, p, f) != 0 ||
        ask_chores(d, b.milking_id, p, f) != 0)
        return -1;
    return rows_each(d->store, &tasting_table, "WHERE batch_id = ?1 ORDER BY at, id",
                     (struct bind[]){BIND_ID(b.id)}, 1, take_taste, p, f);
}

int dairy_batch_page(struct dairy *d, int64_t batch_id, struct instant now, struct batch_page *out,
                     struct fail *f)
{
    struct trace_ask ask = {ASK_BATCH, batch_id, INSTANT_NONE, INSTANT_NONE};
    memset(out, 0, sizeof *out);
    out->now = now;
    out->batch_id = batch_id;
    out->mixed_at = out->sanitised_at = INSTANT_NONE;
    if (dairy_trace(d, &ask, now, &out->trace, f) != 0 || store_begin_look(d->store, f) != 0)
        return -1;
    int result = fill_page(d, out, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    return result;
}
