/* Parts, jobs and stock on the wash bench: what is due, by milkings or by the calendar, and what runs out. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/wash_inside.h"

/* How the gear is used here. */
struct usage {
    int cows;             /* in milk */
    int milkings;         /* a day */
    int units;            /* buckets that share them */
    struct instant *milk; /* every cow milked since the first fitting or count, in order of time */
    size_t milks, room;
};

struct parts_job {
    struct dairy *dairy;
    const struct wash_view *v;
    struct usage usage;
    struct part_table table;
};

/* ---- how much it was used ---- */

static int add_milk(void *context, const void *row, struct fail *f)
{
    struct usage *u = context;
    if (u->milks == u->room) {
        size_t room = u->room == 0 ? 256 : u->room * 2;
        struct instant *more = realloc(u->milk, room * sizeof *more);
        if (more == NULL)
            return fail_memory(f);
        u->milk = more;
        u->room = room;
    }
    u->milk[u->milks++] = ((const struct milk_row *)row)->at;
    return 0;
}

static int load_usage(struct dairy *d, const struct facts *facts, struct instant now, struct usage *u,
                      struct fail *f)
{
    struct part_fit_row fit;
    struct part_stock_row stock;
    bool fitted, counted;
    struct instant since = now;
    u->units = facts->routine.buckets > 0 ? facts->routine.buckets : 1;
    u->milkings = 1;
    for (const char *p = d->row.milking_time; *p != '\0'; p++)
        u->milkings += *p == ',';
    for (size_t i = 0; i < facts->cows; i++)
        u->cows += facts->cow[i].stage.in_milk;
    if (rows_first(d->store, &part_fit_table, "ORDER BY at LIMIT 1", NULL, 0, &fit, &fitted, f) != 0 ||
        rows_first(d->store, &part_stock_table, "ORDER BY at LIMIT 1", NULL, 0, &stock, &counted, f) != 0)
        return -1;
    if (fitted && fit.at.s < since.s)
        since = fit.at;
    if (counted && stock.at.s < since.s)
        since = stock.at;
    return rows_each(d->store, &milk_table,
                     "WHERE milking_id IS NOT NULL AND at > ?1 AND at <= ?2 ORDER BY at",
                     (struct bind[]){BIND_AT(since), BIND_AT(now)}, 2, add_milk, u, f);
}

/* Cows milked since then. */
static int64_t milked_since(const struct usage *u, struct instant t)
{
    int64_t count = 0;
    for (size_t i = u->milks; i > 0 && u->milk[i - 1].s > t.s; i--)
        count++;
    return count;
}

/* ---- one part ---- */

static enum urgency due_urgency(int32_t days_left)
{
    return days_left <= 0 ? URGENCY_STOP : days_left <= WASH_SOON_DAYS ? URGENCY_WATCH : URGENCY_CALM;
}

static const char *days_text(int32_t days, char *buf, size_t size)
{
    (void)snprintf(buf, size, "%d day%s", (int)days, days == 1 || days == -1 ? "" : "s");
    return buf;
}

static int fill_life(const struct parts_job *job, const struct part_fit_row *fit, struct wash_part_view *p,
                     struct working *w, struct fail *f)
{
    struct life life;
    char due[CIVIL_TEXT_MAX], days[24];
    const struct usage *u = &job->usage;
    struct life_ask ask = {.milkings = fit->milkings == ROW_NONE ? 0 : fit->milkings,
                           .days = fit->days == ROW_NONE ? 0 : (int32_t)fit->days,
                           .per_day = life_per_day(u->cows, u->milkings, u->units),
                           .fitted = instant_date(fit->at),
                           .used = milked_since(u, fit->at) / u->units,
                           .today = instant_date(job->v->now)};
    if (!(ask.per_day > 0)) { /* no cow in milk: only the calendar wears it */
        if (ask.days == 0) {
            (void)snprintf(p->text, sizeof p->text, "%lld of %lld milkings used; no cow is in milk",
                           (long long)ask.used, (long long)ask.milkings);
            return 0;
        }
        ask.milkings = 0;
    }
    if (life_reckon(&ask, &life, w, f) != 0)
        return -1;
    p->days_left = life.days_left;
    p->over = life.over;
    p->urgency = due_urgency(life.days_left);
    (void)days_text(life.days_left < 0 ? -life.days_left : life.days_left, days, sizeof days);
    (void)date_text(life.due_on, due);
    if (life.days_left > 0)
        (void)snprintf(p->text, sizeof p->text, "due %s, in %s", due, days);
    else
        (void)snprintf(p->text, sizeof p->text, life.days_left == 0 ? "DUE today" : "DUE since %s, %s over", due, days);
    if (p->kind == PART_WEARS)
        (void)text_append(p->text, sizeof p->text, ", by %s",
                          life.binds == LIFE_MILKINGS ? "milkings" : "the calendar");
    return 0;
}

/* What is left of a count: what was fitted or used up since is taken off. */
static int fill_stock(const struct parts_job *job, const struct gear_part *known, const struct part_stock_row *row,
                      struct wash_part_view *p, struct working *w, struct fail *f)
{
    const struct usage *u = &job->usage;
    struct part_fit_row *fits;
    struct stock stock;
    char day[CIVIL_TEXT_MAX];
    size_t count;
    if (rows_load(job->dairy->store, &part_fit_table, "WHERE part = ?1 AND at > ?2 AND at <= ?3",
                  (struct bind[]){BIND_TEXT(row->part), BIND_AT(row->at), BIND_AT(job->v->now)}, 3,
                  (void **)&fits, &count, f) != 0)
        return -1;
    free(fits);
    double per_cow = known != NULL ? known->per_cow : 0, per_session = known != NULL ? known->per_session : 0;
    double milked = (double)milked_since(u, row->at),
           sessions = floor((double)date_diff(instant_date(row->at), instant_date(job->v->now)) * u->milkings),
           left = fmax(0, (double)row->on_hand - (double)count - per_cow * milked - per_session * sessions);
    struct stock_ask ask = {.on_hand = left,
                            .used_per_day = (per_cow * u->cows + per_session) * u->milkings,
                            .lead_days = row->lead_days == ROW_NONE ? 7 : (int32_t)row->lead_days,
                            .today = instant_date(job->v->now)};
    (void)text_append(p->text, sizeof p->text, "%s%.0f on the shelf", p->text[0] == '\0' ? "" : "; ", floor(left));
    if (!(ask.used_per_day > 0)) {
        if (left < 1 && p->urgency == URGENCY_WATCH)
            p->urgency = URGENCY_STOP; /* due soon, and none there */
        return 0;
    }
    if (stock_reckon(&ask, &stock, w, f) != 0)
        return -1;
    p->days_left = (int32_t)fmin(stock.days_left, 36500);
    p->over = stock.days_left < 1;
    p->urgency = p->over ? URGENCY_STOP : stock.order_now ? URGENCY_WATCH : URGENCY_CALM;
    if (p->over)
        (void)text_append(p->text, sizeof p->text, ", NONE LEFT for a day");
    else if (stock.order_now)
        (void)text_append(p->text, sizeof p->text, ", ORDER now: out %s", date_text(stock.out_on, day));
    else
        (void)text_append(p->text, sizeof p->text, ", out %s, order by %s", date_text(stock.out_on, day),
                          date_text(stock.order_by_on, (char[CIVIL_TEXT_MAX]){0}));
    return 0;
}

/* A sample of the water with a figure is the water's test. */
static int add_water_test(const struct parts_job *job, const struct gear_part *known, struct part_fit_row *fit, bool *fitted,
                          struct fail *f)
{
    struct lab_sample_row sample;
    bool found;
    if (known == NULL || strcmp(known->name, "water-test") != 0)
        return 0;
    if (rows_first(job->dairy->store, &lab_sample_table,
                   "WHERE of = 'water' AND drawn_at <= ?1 AND id IN (SELECT sample_id FROM lab_result WHERE at <= ?1) "
                   "ORDER BY drawn_at DESC LIMIT 1",
                   (struct bind[]){BIND_AT(job->v->now)}, 1, &sample, &found, f) != 0)
        return -1;
    if (!found || (*fitted && fit->at.s > sample.drawn_at.s))
        return 0;
    if (!*fitted)
        *fit = (struct part_fit_row){.milkings = ROW_NONE, .days = known->days};
    fit->at = sample.drawn_at;
    *fitted = true;
    return 0;
}

static int fill_part(const struct parts_job *job, const char *name, const struct gear_part *known,
                     struct wash_part_view *p, struct working *w, struct fail *f)
{
    struct part_fit_row fit;
    struct part_stock_row stock;
    bool fitted, counted;
    struct bind binds[] = {BIND_TEXT(name), BIND_AT(job->v->now)};
    memset(p, 0, sizeof *p);
    (void)snprintf(p->name, sizeof p->name, "%s", name);
    (void)snprintf(p->words, sizeof p->words, "%s", known != NULL ? known->words : name);
    p->kind = known != NULL ? known->kind : PART_WEARS;
    p->days_left = INT32_MAX;
    if (rows_first(job->dairy->store, &part_fit_table, "WHERE part = ?1 AND at <= ?2 ORDER BY at DESC, id DESC LIMIT 1",
                   binds, 2, &fit, &fitted, f) != 0 ||
        rows_first(job->dairy->store, &part_stock_table,
                   "WHERE part = ?1 AND at <= ?2 ORDER BY at DESC, id DESC LIMIT 1", binds, 2, &stock, &counted, f) != 0)
        return -1;
    if (add_water_test(job, known, &fit, &fitted, f) != 0)
        return -1;
    p->recorded = fitted || counted;
    if (fitted && fill_life(job, &fit, p, w, f) != 0)
        return -1;
    if (counted && fill_stock(job, known, &stock, p, fitted ? NULL : w, f) != 0)
        return -1;
    if (!p->recorded)
        (void)snprintf(p->text, sizeof p->text, p->kind == PART_STOCK     ? "never counted"
                                                : p->kind == PART_SERVICE ? "never recorded"
                                                                          : "day of fitting not recorded");
    return 0;
}

/* ---- all of them ---- */

static int by_due(const void *a, const void *b)
{
    const struct wash_part_view *x = a, *y = b;
    if (x->recorded != y->recorded)
        return x->recorded ? -1 : 1;
    return (x->days_left > y->days_left) - (x->days_left < y->days_left);
}

/* The keeper's own words, beside those of the table. */
struct own_words {
    const struct part_table *table;
    char name[WASH_PARTS_MAX][48];
    size_t count;
};

static int add_own(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct own_words *own = context;
    const char *name = ((const struct part_fit_row *)row)->part;
    bool there = parts_find(own->table, name) != NULL || own->count == WASH_PARTS_MAX;
    for (size_t i = 0; i < own->count; i++)
        there = there || strcmp(own->name[i], name) == 0;
    if (!there)
        (void)snprintf(own->name[own->count++], sizeof own->name[0], "%s", name);
    return 0;
}

static int fill_all(struct parts_job *job, struct wash_view *v, const char *part, struct working *w, struct fail *f)
{
    struct own_words own = {.table = &job->table};
    if (rows_each(job->dairy->store, &part_fit_table, "ORDER BY id", NULL, 0, add_own, &own, f) != 0)
        return -1;
    for (size_t i = 0; i < job->table.count + own.count && v->parts < WASH_PARTS_MAX; i++) {
        const struct gear_part *known = i < job->table.count ? &job->table.part[i] : NULL;
        const char *name = known != NULL ? known->name : own.name[i - job->table.count];
        struct wash_part_view *p = &v->part[v->parts++];
        if (fill_part(job, name, known, p, part != NULL && strcmp(part, name) == 0 ? w : NULL, f) != 0)
            return -1;
        v->parts_due += p->recorded && p->urgency != URGENCY_CALM;
    }
    qsort(v->part, v->parts, sizeof v->part[0], by_due);
    return 0;
}

static int fill_machine(struct dairy *d, struct wash_view *v, struct fail *f)
{
    struct machine_check_row row;
    struct pulsation beat;
    bool found;
    char vacuum[QUANTITY_TEXT_MAX], day[CIVIL_TEXT_MAX];
    if (rows_first(d->store, &machine_check_table, "WHERE at <= ?1 ORDER BY at DESC, id DESC LIMIT 1",
                   (struct bind[]){BIND_AT(v->now)}, 1, &row, &found, f) != 0)
        return -1;
    if (!found)
        return snprintf(v->machine, sizeof v->machine, "vacuum and pulsation: never measured") < 0;
    (void)snprintf(v->machine, sizeof v->machine, "%s:", date_text(instant_date(row.at), day));
    if (row.vacuum_pa != ROW_NONE) {
        enum band band = vacuum_judge((double)row.vacuum_pa / 1e3, NULL);
        (void)text_append(v->machine, sizeof v->machine, " vacuum %s, %s",
                          quantity_format((double)row.vacuum_pa / 1e3, DIM_PRESSURE, v->units, vacuum), band_word(band));
        if (band != BAND_INSIDE)
            v->machine_urgency = URGENCY_WATCH;
    }
    double open_pct = row.open_mpct == ROW_NONE ? 60 : (double)row.open_mpct / 1e3;
    if (row.rate_milli != ROW_NONE && pulsation_reckon((double)row.rate_milli / 1e3, open_pct, &beat, NULL, NULL) == 0) {
        (void)text_append(v->machine, sizeof v->machine, "%s %.4g pulsations a minute, %s",
                          row.vacuum_pa != ROW_NONE ? ";" : "", (double)row.rate_milli / 1e3, band_word(beat.rate));
        if (beat.rate != BAND_INSIDE)
            v->machine_urgency = URGENCY_WATCH;
    }
    return 0;
}

int wash_fill_parts(struct dairy *d, const struct facts *facts, struct wash_view *v, const char *part,
                    struct working *w, struct fail *f)
{
    struct parts_job *job = calloc(1, sizeof *job);
    if (job == NULL)
        return fail_memory(f);
    job->dairy = d;
    job->v = v;
    int result = parts_load(&job->table, f);
    if (result == 0)
        result = load_usage(d, facts, v->now, &job->usage, f);
    if (result == 0)
        result = fill_all(job, v, part, w, f);
    if (result == 0)
        result = fill_machine(d, v, f);
    free(job->usage.milk);
    free(job);
    return result;
}
