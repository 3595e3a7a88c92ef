#include "core/day/milk_log.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/cooling/newton.h"
#include "core/cooling/outage.h"

/* A reading of the refrigerator speaks for the time after it, until the next, but no longer than this; after
 * that the usual temperature stands in. */
enum { READING_SPEAKS_S = 12 * 3600, READINGS_JOIN_S = 24 * 3600, PIECE_S = 3600 };

#define FREEZER_C   (-18.0)
#define BATH_C      1.0  /* of a tub about which nothing more is known */
#define FRIDGE_AT_K 8.0  /* jars in still air follow at the rate that they have so far above it */
#define MERGE_K     0.05 /* pieces of air that differ less are one */
#define FAT_PCT     4.0

/* ---- the air in the refrigerator ---- */

static int add_air(struct log_room *room, struct log_air piece, struct fail *f)
{
    struct log_air *last = room->airs > 0 ? &room->air[room->airs - 1] : NULL;
    if (piece.to_s <= piece.from_s)
        return 0;
    if (last != NULL && isnan(last->k_per_h) && isnan(piece.k_per_h) &&
        fabs(last->air_c - piece.air_c) < MERGE_K) {
        last->to_s = piece.to_s;
        return 0;
    }
    if (room->airs == room->room) {
        size_t more = room->room == 0 ? 64 : 2 * room->room;
        struct log_air *air = realloc(room->air, more * sizeof *air);
        if (air == NULL)
            return fail_memory(f);
        room->air = air;
        room->room = more;
    }
    assert(room->air != NULL);
    room->air[room->airs++] = piece;
    return 0;
}

/* A straight line from reading to reading, as steps of an hour. */
static int add_line(struct log_room *room, int64_t from_s, double from_c, int64_t to_s, double to_c,
                    struct fail *f)
{
    int64_t steps = (to_s - from_s + PIECE_S - 1) / PIECE_S;
    for (int64_t i = 0; i < steps; i++) {
        int64_t a = from_s + (to_s - from_s) * i / steps, b = from_s + (to_s - from_s) * (i + 1) / steps;
        double middle = ((double)i + 0.5) / (double)steps;
        if (add_air(room, (struct log_air){a, b, from_c + (to_c - from_c) * middle, NAN}, f) != 0)
            return -1;
    }
    return 0;
}

struct air_loading {
    struct log_room *room;
    int64_t since_s, until_s;
    int64_t at_s; /* up to where pieces are made */
    int64_t read_s;
    double read_c; /* the last reading, NaN none */
    double usual_c;
};

/* From where the pieces end to `to_s`, after which something else is known. */
static int air_until(struct air_loading *l, int64_t to_s, struct fail *f)
{
    int64_t speaks_s = isnan(l->read_c) ? l->at_s : l->read_s + READING_SPEAKS_S;
    if (speaks_s > to_s)
        speaks_s = to_s;
    if (speaks_s > l->at_s) {
        if (add_air(l->room, (struct log_air){l->at_s, speaks_s, l->read_c, NAN}, f) != 0)
            return -1;
        l->at_s = speaks_s;
    }
    if (to_s <= l->at_s)
        return 0;
    struct log_air piece = {l->at_s, to_s, l->usual_c, NAN};
    l->at_s = to_s;
    return add_air(l->room, piece, f);
}

static int take_reading(void *context, const void *row, struct fail *f)
{
    struct air_loading *l = context;
    const struct reading_row *r = row;
    double temp_c = (double)r->temp_mc / 1e3;
    int64_t at_s = r->at.s < l->until_s ? r->at.s : l->until_s;
    if (at_s > l->at_s) {
        if (!isnan(l->read_c) && r->at.s - l->read_s <= READINGS_JOIN_S) {
            double slope = (temp_c - l->read_c) / (double)(r->at.s - l->read_s);
            double from_c = l->read_c + slope * (double)(l->at_s - l->read_s);
            if (add_line(l->room, l->at_s, from_c, at_s, temp_c, f) != 0)
                return -1;
            l->at_s = at_s;
        } else if (air_until(l, at_s, f) != 0) {
            return -1;
        }
    }
    l->read_s = r->at.s;
    l->read_c = temp_c;
    return 0;
}

/* ---- power cuts ---- */

/* With the door shut everything in the refrigerator warms as one body towards the room. */
static double warming_per_h(const struct dairy *d, const struct outage_row *row, double start_c, int64_t to_s)
{
    struct outage_facts facts = {.minutes = (double)(to_s - row->from_at.s) / 60,
                                 .start_c = start_c,
                                 .room_c = (double)d->row.room_temp_mc / 1e3,
                                 .contents_kg = NAN,
                                 .walls_w_per_k = NAN,
                                 .end_c = row->temp_mc == ROW_NONE ? NAN : (double)row->temp_mc / 1e3,
                                 .recover_per_min = NAN};
    struct outage out;
    if (outage_judge(&facts, &out, NULL, NULL) != 0) {
        facts.end_c = NAN; /* a reading that a shut door cannot have given says nothing about its walls */
        if (outage_judge(&facts, &out, NULL, NULL) != 0)
            return 0;
    }
    return out.rate_per_min * 60;
}

/* Lays a power cut over the pieces: those within it are replaced, those at its ends cut. */
static int lay_outage(struct log_room *room, const struct outage_row *row, int64_t until_s, struct fail *f)
{
    int64_t from_s = row->from_at.s, to_s = instant_known(row->to_at) ? row->to_at.s : until_s;
    struct log_room laid = {.dairy = room->dairy};
    int result = 0;
    for (size_t i = 0; i < room->airs && result == 0; i++) {
        struct log_air before = room->air[i], within = before, after = before;
        before.to_s = before.to_s < from_s ? before.to_s : from_s;
        within.from_s = within.from_s > from_s ? within.from_s : from_s;
        within.to_s = within.to_s < to_s ? within.to_s : to_s;
        after.from_s = after.from_s > to_s ? after.from_s : to_s;
        if (within.to_s > within.from_s) {
            within.k_per_h = warming_per_h(room->dairy, row, before.air_c, to_s);
            within.air_c = (double)room->dairy->row.room_temp_mc / 1e3;
        }
        result =
            add_air(&laid, before, f) != 0 || add_air(&laid, within, f) != 0 || add_air(&laid, after, f) != 0
                ? -1
                : 0;
    }
    free(room->air);
    room->air = laid.air;
    room->airs = laid.airs;
    room->room = laid.room;
    return result;
}

struct outage_loading {
    struct log_room *room;
    int64_t until_s;
};

static int take_outage(void *context, const void *row, struct fail *f)
{
    struct outage_loading *l = context;
    return lay_outage(l->room, row, l->until_s, f);
}

int log_room_load(struct dairy *d, struct instant since, struct instant until, struct log_room *out,
                  struct fail *f)
{
    *out = (struct log_room){.dairy = d, .rates = calloc(1, sizeof *out->rates)};
    if (out->rates == NULL)
        return fail_memory(f);
    struct air_loading l = {.room = out,
                            .since_s = since.s,
                            .until_s = until.s,
                            .at_s = since.s,
                            .read_c = NAN,
                            .usual_c = (double)d->row.fridge_temp_mc / 1e3};
    struct bind span[] = {{false, since.s - READINGS_JOIN_S, NULL}, BIND_AT(until)};
    if (rows_each(d->store, &reading_table,
                  "WHERE place = 'fridge' AND at >= ?1 AND at <= ?2 ORDER BY at, id", span, 2, take_reading,
                  &l, f) != 0 ||
        air_until(&l, until.s, f) != 0)
        return -1;
    out->fridge_read = !isnan(l.read_c) && until.s - l.read_s < READING_SPEAKS_S;
    out->fridge_c = out->fridge_read ? l.read_c : l.usual_c;
    struct outage_loading outages = {out, until.s};
    return rows_each(d->store, &outage_table,
                     "WHERE from_at < ?2 AND (to_at IS NULL OR to_at > ?1) ORDER BY from_at",
                     (struct bind[]){BIND_AT(since), BIND_AT(until)}, 2, take_outage, &outages, f);
}

void log_room_release(struct log_room *room)
{
    free(room->air);
    free(room->rates);
    *room = (struct log_room){0};
}

/* ---- the ways that jars went ---- */

static bool add_stay(struct log_group *g, enum jar_place place, int64_t person, struct instant at)
{
    if (g->stays == LOG_STAYS_MAX)
        return false; /* so often moved: its last known stay goes on */
    g->stay[g->stays].place = place;
    g->stay[g->stays++].from_s = at.s;
    g->place = place;
    g->person = person;
    g->since = at;
    return true;
}

/* Takes the jars of one move out of the groups that stand where it begins, the earliest come first. */
static void move_groups(const struct jar_move_row *m, struct log_group *group, size_t *count)
{
    enum jar_place from = jar_place_of(m->from_place), to = jar_place_of(m->to_place);
    int64_t person = m->person_id == ROW_NONE ? 0 : m->person_id;
    int left = (int)m->count;
    size_t there = *count;
    for (size_t i = 0; i < there && left > 0; i++) {
        struct log_group *g = &group[i];
        if (g->place != from || (from == AT_GIVEN && g->person != person) || g->count == 0)
            continue;
        int part = g->count < left ? g->count : left;
        left -= part;
        if (part == g->count) {
            (void)add_stay(g, to, to == AT_GIVEN ? person : 0, m->at);
        } else if (*count < LOG_GROUPS_MAX) {
            struct log_group *gone = &group[(*count)++];
            *gone = *g;
            gone->count = part;
            g->count -= part;
            (void)add_stay(gone, to, to == AT_GIVEN ? person : 0, m->at);
        }
    }
}

size_t log_groups(const struct log_batch *b, struct log_group group[LOG_GROUPS_MAX])
{
    size_t count = 0;
    for (size_t i = 0; i < b->moves; i++) {
        const struct jar_move_row *m = &b->move[i];
        if (strcmp(m->from_place, "pail") != 0) {
            move_groups(m, group, &count);
        } else if (count < LOG_GROUPS_MAX) {
            struct log_group *g = &group[count++];
            g->count = (int)m->count;
            g->stays = 0; /* the list of stays is long, and mostly empty */
            (void)add_stay(g, jar_place_of(m->to_place), 0, m->at);
        }
    }
    return count;
}

/* ---- a history ---- */

struct history {
    const struct log_room *room;
    const struct log_batch *batch;
    struct keeping_span *span;
    size_t count;
    int64_t at_s;
    double temp_c;
    double air_per_h;
};

static double hours(int64_t seconds)
{
    return (double)seconds / 3600;
}

static void add_span(struct history *h, struct keeping_span span, double end_c)
{
    h->at_s += llround(span.hours * 3600);
    h->temp_c = end_c;
    if (h->count < LOG_SPANS_MAX && span.hours > 0)
        h->span[h->count++] = span;
}

static void relax(struct history *h, int64_t to_s, double toward_c, double k_per_h)
{
    double length = hours(to_s - h->at_s);
    if (length > 0)
        add_span(h, keeping_relaxing(length, h->temp_c, toward_c, k_per_h),
                 newton_temp(h->temp_c, toward_c, k_per_h, length));
}

/* Along the written line, as far as it reaches. */
static void follow_line(struct history *h, int64_t to_s)
{
    const struct log_batch *b = h->batch;
    for (size_t i = 0; i + 1 < b->points && h->at_s < to_s; i++) {
        int64_t a = b->point[i].at.s, c = b->point[i + 1].at.s;
        if (c <= h->at_s || c <= a)
            continue;
        double from_c = (double)b->point[i].temp_mc / 1e3, end_c = (double)b->point[i + 1].temp_mc / 1e3;
        int64_t end_s = c < to_s ? c : to_s;
        double slope = (end_c - from_c) / (double)(c - a);
        double at_c = from_c + slope * (double)(h->at_s - a), stop_c = from_c + slope * (double)(end_s - a);
        add_span(h, keeping_ramp(hours(end_s - h->at_s), at_c, stop_c), stop_c);
    }
}

static double work_rate(const struct log_batch *b, enum surrounding in, double milk_c, double around_c)
{
    struct jar_rate rate;
    jar_rate_at(b->kind, (double)b->row->volume_ml / 1e3, FAT_PCT, in, milk_c, around_c, &rate);
    return rate.k_per_min * 60;
}

/* The rate of a jar in water or in air, per hour. */
static double jar_per_h(const struct history *h, enum surrounding in, double milk_c, double around_c)
{
    const struct log_batch *b = h->batch;
    struct log_rates *known = h->room->rates;
    for (size_t i = 0; known != NULL && i < known->count; i++)
        if (known->rate[i].kind == b->kind && known->rate[i].volume_ml == b->row->volume_ml &&
            known->rate[i].in == (int)in && !(known->rate[i].milk_c < milk_c) &&
            !(known->rate[i].milk_c > milk_c) && !(known->rate[i].around_c < around_c) &&
            !(known->rate[i].around_c > around_c))
            return known->rate[i].per_h;
    double per_h = work_rate(b, in, milk_c, around_c);
    if (known != NULL && known->count < LOG_RATES_MAX) {
        known->rate[known->count].kind = b->kind;
        known->rate[known->count].volume_ml = b->row->volume_ml;
        known->rate[known->count].in = (int)in;
        known->rate[known->count].milk_c = milk_c;
        known->rate[known->count].around_c = around_c;
        known->rate[known->count++].per_h = per_h;
    }
    return per_h;
}

static void stand_in(struct history *h, enum jar_place place, int64_t to_s);

/* A reading in the batch itself is where its milk was then, whatever had been reckoned. */
static void stand_with_readings(struct history *h, enum jar_place place, int64_t to_s)
{
    const struct log_batch *b = h->batch;
    int64_t line_s = b->points > 0 ? b->point[b->points - 1].at.s : INT64_MIN;
    for (size_t i = 0; i < b->readings; i++) {
        const struct reading_row *r = &b->reading[i];
        if (r->at.s <= h->at_s || r->at.s > to_s || r->at.s <= line_s)
            continue;
        stand_in(h, place, r->at.s);
        h->temp_c = (double)r->temp_mc / 1e3;
    }
    stand_in(h, place, to_s);
}

static size_t first_air(const struct log_room *room, int64_t at_s)
{
    size_t low = 0, high = room->airs;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (room->air[middle].to_s <= at_s)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static void stand_in_fridge(struct history *h, int64_t to_s)
{
    const struct log_room *room = h->room;
    if (isnan(h->air_per_h))
        h->air_per_h = jar_per_h(h, IN_AIR, room->fridge_c + FRIDGE_AT_K, room->fridge_c);
    for (size_t i = first_air(room, h->at_s); i < room->airs && h->at_s < to_s; i++) {
        const struct log_air *air = &room->air[i];
        relax(h, air->to_s < to_s ? air->to_s : to_s, air->air_c,
              isnan(air->k_per_h) ? h->air_per_h : air->k_per_h);
    }
    relax(h, to_s, room->fridge_c, h->air_per_h);
}

static void stand_in(struct history *h, enum jar_place place, int64_t to_s)
{
    const struct dairy_row *usual = &h->room->dairy->row;
    double room_c = (double)usual->room_temp_mc / 1e3;
    follow_line(h, to_s);
    if (h->at_s >= to_s)
        return;
    switch (place) {
    case AT_TUB: relax(h, to_s, BATH_C, jar_per_h(h, IN_WATER_STILL, BATH_C + LAW_SPAN_K, BATH_C)); return;
    case AT_TABLE: relax(h, to_s, room_c, jar_per_h(h, IN_AIR, room_c + FRIDGE_AT_K, room_c)); return;
    /* Freezing takes hours more than this, at 0 °C, where next to nothing grows. */
    case AT_FREEZER: relax(h, to_s, FREEZER_C, jar_per_h(h, IN_AIR, LAW_SPAN_K, 0)); return;
    case AT_FRIDGE: stand_in_fridge(h, to_s); return;
    case AT_PAIL:
    case AT_GIVEN:
    case AT_DUMPED:
    case AT_CALF:
    case AT_PIGS:
    case AT_CHEESE:
    case AT_DRUNK:
    case AT_LOST:
    case AT_POURED:
    case PLACES: break;
    }
}

size_t log_spans(const struct log_room *room, const struct log_batch *b, const struct log_group *g,
                 struct instant until, struct keeping_span span[LOG_SPANS_MAX], size_t count)
{
    struct history h = {.room = room,
                        .batch = b,
                        .span = span,
                        .count = count,
                        .at_s = b->row->poured_at.s,
                        .temp_c = (double)b->row->temp_mc / 1e3,
                        .air_per_h = NAN};
    if (b->kind == NULL)
        return count;
    for (size_t i = 0; i < g->stays && place_at_home(g->stay[i].place); i++) {
        int64_t to_s = i + 1 < g->stays ? g->stay[i + 1].from_s : until.s;
        stand_with_readings(&h, g->stay[i].place, to_s < until.s ? to_s : until.s);
    }
    return h.count;
}

double log_end_c(const struct keeping_span *span, size_t count)
{
    if (count == 0)
        return NAN;
    const struct keeping_span *last = &span[count - 1];
    switch (last->shape) {
    case KEEPING_HELD: return last->start_c;
    case KEEPING_RAMP: return last->toward_c;
    case KEEPING_RELAXING: break;
    }
    return newton_temp(last->start_c, last->toward_c, last->k_per_h, last->hours);
}

static double reached_within_h(const struct keeping_span *s, double temp_c)
{
    if (s->start_c <= temp_c)
        return 0;
    if (s->shape == KEEPING_RAMP)
        return s->toward_c <= temp_c ? s->hours * (s->start_c - temp_c) / (s->start_c - s->toward_c) : NAN;
    if (s->shape == KEEPING_RELAXING && s->k_per_h > 0) {
        double h = newton_time(s->start_c, s->toward_c, s->k_per_h, temp_c);
        return h <= s->hours ? h : NAN;
    }
    return NAN;
}

double log_reached_s(const struct keeping_span *span, size_t count, double temp_c)
{
    double before_h = 0;
    for (size_t i = 0; i < count; i++) {
        double h = reached_within_h(&span[i], temp_c);
        if (!isnan(h))
            return 3600 * (before_h + h);
        before_h += span[i].hours;
    }
    return NAN;
}
