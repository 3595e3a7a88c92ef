#include "core/day/taste_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/milk_log.h"
#include "core/day/shelf_life.h"
#include "core/day/trace_record.h"
#include "core/herd/udder.h"

/* ---- temperatures ---- */

static int ask_temperatures(struct dairy *d, const struct batch_row *b, struct instant tasted_at,
                            struct taste_log *log, struct fail *f)
{
    struct keeping_span *span = malloc(LOG_SPANS_MAX * sizeof *span);
    struct keeping_scale scale = {0};
    struct reading_row warmest;
    bool found;
    size_t count = 0;
    if (span == NULL)
        return fail_memory(f);
    int result = log_history(d, b->id, PLACES, tasted_at, span, &count, f);
    if (result == 0 && count > 0) {
        double reached_s = log_reached_s(span, count, temp_c_from_f(40));
        /* Never at 40 °F: it took at least as long as it is known. */
        log->fact[TASTE_TO_40F_MIN] = isnan(reached_s) ? 60 * keeping_hours(span, count) : reached_s / 60;
        result = shelf_scale_load(d, tasted_at, &scale, NULL, f);
    }
    if (result == 0 && count > 0)
        log->fact[TASTE_LIFE_USED] = keeping_used_days(span, count) / scale.life_days;
    free(span);
    if (result != 0 ||
        rows_first(d->store, &reading_table,
                   "WHERE place = 'fridge' AND at >= ?1 AND at <= ?2 ORDER BY temp_mc DESC LIMIT 1",
                   (struct bind[]){BIND_AT(b->poured_at), BIND_AT(tasted_at)}, 2, &warmest, &found, f) != 0)
        return -1;
    if (found)
        log->fact[TASTE_FRIDGE_MAX_C] = (double)warmest.temp_mc / 1e3;
    return 0;
}

/* ---- the cows ---- */

/* What the milk itself showed: 1 if any of it was wrong, 0 if all that was looked at was right. */
static void note(double *fact, bool looked, bool wrong)
{
    if (looked && (isnan(*fact) || wrong))
        *fact = wrong || *fact > 0;
}

static void ask_milk(const struct milk_row *m, struct taste_log *log)
{
    struct strip strip;
    struct disc_reading disc;
    unsigned findings = 0;
    bool strip_seen = m->strip[0] != '\0' && strip_parse(m->strip, &strip, NULL) == 0;
    bool disc_seen = m->disc[0] != '\0' && disc_parse(m->disc, &findings, NULL) == 0;
    memset(&disc, 0, sizeof disc);
    if (disc_seen)
        disc_read(findings, 1, &disc);
    note(&log->fact[TASTE_MASTITIS_SIGNS], strip_seen, strip_seen && strip_abnormal(&strip));
    note(&log->fact[TASTE_MASTITIS_SIGNS], disc_seen, disc.abnormal);
    note(&log->fact[TASTE_DISC_DIRTY], disc_seen, findings != 0 && !disc.abnormal);
}

static void least(double *fact, double value)
{
    if (value >= 0 && !(*fact <= value))
        *fact = value;
}

/* Days from the last row of a table of hers, at or before the milking. */
static double days_between(struct instant then, struct instant at)
{
    return (double)(at.s - then.s) / 86400;
}

static int ask_feed(struct dairy *d, int64_t cow, struct instant at, struct taste_log *log, struct fail *f)
{
    struct ration_row *rows;
    size_t count;
    if (rows_load(d->store, &ration_table, "WHERE cow_id = ?1", (struct bind[]){BIND_ID(cow)}, 1,
                  (void **)&rows, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count; i++) {
        least(&log->fact[TASTE_FEED_CHANGE_DAYS], days_between(rows[i].from_at, at));
        if (instant_known(rows[i].until_at))
            least(&log->fact[TASTE_FEED_CHANGE_DAYS], days_between(rows[i].until_at, at));
    }
    free(rows);
    return 0;
}

static int ask_treatment(struct dairy *d, int64_t cow, struct instant at, struct taste_log *log,
                         struct fail *f)
{
    struct hold_row *rows;
    size_t count;
    if (rows_load(d->store, &hold_table, "WHERE cow_id = ?1 AND kind IN ('treatment', 'dry-cow')",
                  (struct bind[]){BIND_ID(cow)}, 1, (void **)&rows, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count; i++)
        least(&log->fact[TASTE_TREATED_DAYS],
              days_between(instant_known(rows[i].last_dose_at) ? rows[i].last_dose_at : rows[i].from_at, at));
    free(rows);
    return 0;
}

static int ask_calving(struct dairy *d, int64_t cow, struct instant at, double *latest, double *oldest,
                       struct fail *f)
{
    struct calving_row row;
    bool found;
    if (rows_first(d->store, &calving_table, "WHERE cow_id = ?1 AND at <= ?2 ORDER BY at DESC LIMIT 1",
                   (struct bind[]){BIND_ID(cow), BIND_AT(at)}, 2, &row, &found, f) != 0)
        return -1;
    if (found) {
        least(latest, days_between(row.at, at));
        *oldest = fmax(*oldest, days_between(row.at, at));
    }
    return 0;
}

static int ask_cows(struct dairy *d, const struct trace_record *r, struct taste_log *log, struct fail *f)
{
    double latest = NAN, oldest = NAN;
    for (size_t i = 0; i < r->facts.lots; i++) {
        const struct trace_lot *lot = &r->lot[i];
        struct milk_row milk;
        bool found;
        if (rows_first(d->store, &milk_table, "WHERE id = ?1", (struct bind[]){BIND_ID(lot->id)}, 1, &milk,
                       &found, f) != 0 ||
            ask_feed(d, lot->cow, lot->at, log, f) != 0 || ask_treatment(d, lot->cow, lot->at, log, f) != 0 ||
            ask_calving(d, lot->cow, lot->at, &latest, &oldest, f) != 0)
            return -1;
        if (found)
            ask_milk(&milk, log);
    }
    log->fact[TASTE_CALVED_DAYS] = latest;
    log->fact[TASTE_DAYS_IN_MILK] = oldest;
    return 0;
}

/* ---- the gear ---- */

enum { TICK_UNKNOWN = -1, TICK_WAS_SKIPPED, TICK_WAS_DONE };

/* How a step went in a milking, by its id in the routine. */
static int ask_step(struct dairy *d, int64_t milking, const char *step, int *how, struct fail *f)
{
    struct tick_row row;
    bool found;
    if (rows_first(d->store, &tick_table,
                   "WHERE milking_id = ?1 AND step = ?2 AND kind <> 'begun' ORDER BY at DESC LIMIT 1",
                   (struct bind[]){BIND_ID(milking), BIND_TEXT(step)}, 2, &row, &found, f) != 0)
        return -1;
    *how = !found ? TICK_UNKNOWN : strcmp(row.kind, "skipped") == 0 ? TICK_WAS_SKIPPED : TICK_WAS_DONE;
    return 0;
}

static int ask_gear(struct dairy *d, const struct batch_row *b, struct taste_log *log, struct fail *f)
{
    struct milking_row before;
    bool found;
    int drain = TICK_UNKNOWN, wash = TICK_UNKNOWN;
    if (ask_step(d, b->milking_id, "drain", &drain, f) != 0 ||
        rows_first(d->store, &milking_table,
                   "WHERE opened_at < (SELECT opened_at FROM milking WHERE id = ?1) ORDER BY "
                   "opened_at DESC LIMIT 1",
                   (struct bind[]){BIND_ID(b->milking_id)}, 1, &before, &found, f) != 0)
        return -1;
    if (found && ask_step(d, before.id, "hot-wash", &wash, f) != 0)
        return -1;
    if (drain != TICK_UNKNOWN)
        log->fact[TASTE_NOT_DRAINED] = drain == TICK_WAS_SKIPPED;
    if (wash != TICK_UNKNOWN)
        log->fact[TASTE_WASH_MISSED] = wash == TICK_WAS_SKIPPED;
    return 0;
}

/* ---- the whole ---- */

static int ask_log(struct dairy *d, const struct batch_row *b, const struct tasting_row *t,
                   struct taste_log *log, struct fail *f)
{
    struct batch_ids ids = {.id = &(int64_t){b->id}, .count = 1, .room = 1};
    struct trace_record r;
    struct civil c;
    taste_log_clear(log);
    int result = trace_record_load(d, &ids, REACH_BACK, &r, f);
    if (result == 0)
        result = ask_cows(d, &r, log, f);
    if (result == 0) {
        log->fact[TASTE_TOPPED_UP] = r.facts.transfers > 0;
        civil_from_instant(b->poured_at, &c);
        log->fact[TASTE_MONTH] = c.month;
        log->fact[TASTE_ONE_JAR] = t->one_jar == ROW_NONE ? (double)NAN : (double)t->one_jar;
        result = ask_temperatures(d, b, t->at, log, f);
    }
    if (result == 0)
        result = ask_gear(d, b, log, f);
    trace_record_release(&r);
    return result;
}

static int load_tasting(struct dairy *d, int64_t batch_id, struct instant now, struct tasting_row *t,
                        struct fail *f)
{
    bool found;
    if (rows_first(d->store, &tasting_table,
                   "WHERE (batch_id = ?1 OR ?1 = 0) AND at <= ?2 ORDER BY at DESC, id DESC LIMIT 1",
                   (struct bind[]){BIND_ID(batch_id), BIND_AT(now)}, 2, t, &found, f) != 0)
        return -1;
    return found ? 0
                 : fail_refused(f, batch_id == 0
                                       ? "Nothing has been tasted yet; record `taste batch=... flavour=...`."
                                       : "That batch has not been tasted.");
}

static int fill_view(struct dairy *d, int64_t batch_id, struct taste_view *v, struct working *w,
                     struct fail *f)
{
    struct tasting_row t;
    struct batch_row b;
    if (load_tasting(d, batch_id, v->now, &t, f) != 0 ||
        row_load(d->store, &batch_table, t.batch_id, &b, f) != 0 || taste_table_load(&v->table, f) != 0)
        return -1;
    v->batch_id = b.id;
    v->tasted_at = t.at;
    v->poured_at = b.poured_at;
    v->score = t.score == ROW_NONE ? 0 : (int)t.score;
    v->turned = t.turned == 1;
    (void)snprintf(v->code, sizeof v->code, "%.15s", b.code);
    (void)snprintf(v->flavour, sizeof v->flavour, "%s", t.flavour);
    (void)snprintf(v->note, sizeof v->note, "%s", t.note);
    if (ask_log(d, &b, &t, &v->log, f) != 0)
        return -1;
    if (!taste_is_good(v->flavour))
        taste_rank(&v->table, v->flavour, &v->log, dairy_units(d), v->suspect, &v->suspects, w);
    return 0;
}

int dairy_taste(struct dairy *d, int64_t batch_id, struct instant now, struct taste_view *out,
                struct working *w, struct fail *f)
{
    memset(out, 0, sizeof *out);
    out->now = now;
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (store_begin_look(d->store, f) != 0)
        return -1;
    int result = fill_view(d, batch_id, out, w, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    return result;
}
