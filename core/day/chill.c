#include "core/day/chill.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/lessons.h"
#include "core/day/milk_log.h"

static double celsius(int64_t temp_mc)
{
    return temp_mc == ROW_NONE ? (double)NAN : (double)temp_mc / 1e3;
}

static double kilograms(int64_t mass_g)
{
    return mass_g == ROW_NONE ? (double)NAN : (double)mass_g / 1e3;
}

static enum stir stir_of(const char *word)
{
    for (int s = 0; s < STIR_COUNT; s++)
        if (strcmp(stir_word((enum stir)s), word) == 0)
            return (enum stir)s;
    return STIR_STILL;
}

static enum place place_of(const char *word)
{
    if (strcmp(word, "tub") == 0)
        return PLACE_TUB;
    if (strcmp(word, "table") == 0)
        return PLACE_TABLE;
    return strcmp(word, "fridge") == 0 ? PLACE_FRIDGE : PLACE_GONE;
}

/* ---- batches ---- */

struct batch_loading {
    struct dairy *dairy;
    struct chill_record *record;
};

static int add_move(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct batch_facts *batch = context;
    const struct jar_move_row *m = row;
    enum place from = place_of(m->from_place), to = place_of(m->to_place);
    if (strcmp(m->from_place, "pail") == 0)
        batch->first = to;
    else if (batch->moves < BATCH_MOVES_MAX && from != to) /* from person to person is all "gone" here */
        batch->move[batch->moves++] =
            (struct jar_move){.at = (double)m->at.s, .count = (int)m->count, .from = from, .to = to};
    return 0;
}

static int add_reading(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct batch_facts *batch = context;
    const struct reading_row *r = row;
    if (batch->readings < BATCH_READINGS_MAX)
        batch->reading[batch->readings++] = (struct milk_reading){
            .at = (double)r->at.s, .temp_c = celsius(r->temp_mc), .probe = strcmp(r->source, "probe") == 0};
    return 0;
}

static int add_batch(void *context, const void *row, struct fail *f)
{
    struct batch_loading *loading = context;
    struct morning *morning = &loading->record->morning;
    const struct batch_row *b = row;
    const struct jar_kind *kind = jar_find(&loading->dairy->jars, b->kind);
    if (morning->batches == BATCHES_MAX || kind == NULL)
        return 0; /* a kind of jar that is gone from the tables cannot be forecast */
    struct batch_facts *facts = &morning->batch[morning->batches];
    loading->record->batch[morning->batches++] = *b;
    batch_init(facts, kind, (int)b->count, (double)b->poured_at.s, celsius(b->temp_mc));
    facts->volume_l = (double)b->volume_ml / 1e3;
    if (rows_each(loading->dairy->store, &jar_move_table, "WHERE batch_id = ?1 ORDER BY at, id",
                  (struct bind[]){BIND_ID(b->id)}, 1, add_move, facts, f) != 0)
        return -1;
    return rows_each(loading->dairy->store, &reading_table, "WHERE batch_id = ?1 ORDER BY at, id LIMIT 40",
                     (struct bind[]){BIND_ID(b->id)}, 1, add_reading, facts, f);
}

/* ---- the tub and the rooms ---- */

struct tub_loading {
    struct tub_facts *tub;
    bool iced;
};

static int add_tub_act(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct tub_loading *loading = context;
    struct tub_facts *tub = loading->tub;
    const struct tub_act_row *r = row;
    static const struct {
        const char *word;
        enum tub_act_kind kind;
    } kinds[] = {{"ice", TUB_ADD_ICE}, {"fill", TUB_FILL}, {"drain", TUB_DRAIN}, {"stir", TUB_STIR}};
    if (tub->acts == TUB_ACTS_MAX)
        return 0;
    struct tub_act *act = &tub->act[tub->acts++];
    *act = (struct tub_act){.at = (double)r->at.s,
                            .mass_kg = kilograms(r->mass_g),
                            .temp_c = celsius(r->temp_mc),
                            .stir = stir_of(r->stir)};
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        if (strcmp(kinds[i].word, r->kind) == 0)
            act->kind = kinds[i].kind;
    loading->iced = loading->iced || act->kind == TUB_ADD_ICE;
    return 0;
}

static int add_tub_reading(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct tub_loading *loading = context;
    const struct reading_row *r = row;
    if (loading->tub->acts < TUB_ACTS_MAX)
        loading->tub->act[loading->tub->acts++] =
            (struct tub_act){.at = (double)r->at.s, .kind = TUB_READ, .temp_c = celsius(r->temp_mc)};
    return 0;
}

static int act_order(const void *a, const void *b)
{
    double x = ((const struct tub_act *)a)->at, y = ((const struct tub_act *)b)->at;
    return (x > y) - (x < y);
}

/* `usual`: how the tub stood as a rule that morning. */
static int load_tub(struct dairy *d, const struct milking_row *usual, struct instant from, struct tub_facts *tub,
                    struct fail *f)
{
    struct tub_loading loading = {.tub = tub};
    struct bind since = BIND_AT(from);
    if (rows_each(d->store, &tub_act_table, "WHERE at >= ?1 ORDER BY at, id LIMIT 32", &since, 1, add_tub_act,
                  &loading, f) != 0 ||
        rows_each(d->store, &reading_table, "WHERE place = 'tub' AND at >= ?1 ORDER BY at, id LIMIT 16",
                  &since, 1, add_tub_reading, &loading, f) != 0)
        return -1;
    qsort(tub->act, tub->acts, sizeof tub->act[0], act_order);
    tub->stir = stir_of(usual->stir);
    /* Without a word about ice the amount in the tub is not known, and its last reading has to do. */
    if (loading.iced) {
        tub->water_kg = (double)usual->tub_water_ml / 1e3;
        tub->water_c = celsius(usual->tap_temp_mc);
        tub->ice_kg = 0;
        tub->start_at = tub->acts > 0 ? tub->act[0].at : (double)NAN;
    }
    return 0;
}

/* The last reading of a place within the last hours, or the usual value. */
static int load_place(struct dairy *d, const char *place, struct instant now, int64_t usual_mc,
                      double *temp_c, bool *read, struct fail *f)
{
    struct reading_row row;
    if (rows_first(d->store, &reading_table,
                   "WHERE place = ?1 AND at <= ?2 AND at > ?2 - 43200 ORDER BY at DESC LIMIT 1",
                   (struct bind[]){BIND_TEXT(place), BIND_AT(now)}, 2, &row, read, f) != 0)
        return -1;
    *temp_c = celsius(*read ? row.temp_mc : usual_mc);
    return 0;
}

static int add_clean(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct morning *m = context;
    const struct tally_pool_row *r = row;
    for (size_t i = 0; i < m->jars->count; i++)
        if (strcmp(m->jars->kind[i].name, r->kind) == 0 && r->count > 0)
            m->jars_clean[i] += (int)r->count;
    return 0;
}

/* Jars that stand clean on the rack, when they were ever counted. */
static int load_jars(struct dairy *d, struct morning *m, struct fail *f)
{
    struct jar_stock_row counted;
    m->jars = &d->jars;
    return rows_first(d->store, &jar_stock_table, "LIMIT 1", NULL, 0, &counted, &m->jars_counted, f) != 0
               ? -1
               : rows_each(d->store, &tally_pool_table, "WHERE state = 'clean' AND person_id = 0", NULL, 0, add_clean, m, f);
}

int chill_record_load(struct dairy *d, int64_t milking_id, struct instant now, struct chill_record *out,
                      struct fail *f)
{
    struct batch_loading loading = {d, out};
    struct morning *m = &out->morning;
    memset(out, 0, sizeof *out);
    morning_init(m, (double)now.s);
    if (milking_id != ROW_NONE && row_load(d->store, &milking_table, milking_id, &out->milking, f) != 0)
        return -1;
    if (rows_each(d->store, &batch_table,
                  "WHERE milking_id = ?1 OR (poured_at > ?2 - 86400 AND poured_at <= ?2 + 60 AND (SELECT sum(count *"
                  " ((to_place IN ('tub', 'table')) - (from_place IN ('tub', 'table')))) FROM jar_move WHERE "
                  "batch_id = batch.id) > 0) ORDER BY poured_at, id",
                  (struct bind[]){BIND_ID(milking_id), BIND_AT(now)}, 2, add_batch, &loading, f) != 0)
        return -1;
    struct instant from =
        out->milking.id != 0 ? out->milking.opened_at : (struct instant){now.s - MILKING_LONGEST_S};
    if (m->batches > 0 && out->batch[0].poured_at.s < from.s)
        from.s = out->batch[0].poured_at.s - 3600;
    struct milking_row usual = out->milking;
    if (usual.stir[0] == '\0')
        milking_tub_usual(&d->row, &usual);
    if (load_tub(d, &usual, from, &m->tub, f) != 0 ||
        load_place(d, "room", now, d->row.room_temp_mc, &m->room_c, &out->room_read, f) != 0 ||
        load_place(d, "fridge", now, d->row.fridge_temp_mc, &m->fridge_c, &out->fridge_read, f) != 0)
        return -1;
    if (out->milking.id != 0) {
        m->milking_start_at =
            instant_known(out->milking.started_at) ? (double)out->milking.started_at.s : (double)NAN;
        m->milking_end_at =
            instant_known(out->milking.ended_at) ? (double)out->milking.ended_at.s : (double)NAN;
    }
    m->limit = &d->limit;
    m->table_s = (double)d->row.table_s;
    return load_jars(d, m, f);
}

int chill_check(struct act *a, int64_t milking_id)
{
    if (a->dairy->hasty)
        return 0;
    struct chill_record *record = malloc(sizeof *record);
    struct forecast *forecast = malloc(sizeof *forecast);
    int result = -1;
    if (record == NULL || forecast == NULL)
        result = fail_memory(a->fail);
    else
        result = chill_record_load(a->dairy, milking_id, a->now, record, a->fail);
    bool keeps = result == 0 && chill_line_any(record); /* only then does it matter what was learned */
    if (keeps)
        result = lessons_give(a->dairy, record, a->fail);
    if (result == 0) {
        chill_line_span(record);
        result = forecast_make(&record->morning, forecast, a->fail);
    }
    if (result == 0 && keeps)
        result = chill_line_keep(a, record, forecast);
    free(record);
    free(forecast);
    return result;
}
