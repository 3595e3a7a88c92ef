#include "core/day/shelf.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/facts.h"
#include "core/day/milk_log.h"
#include "core/day/recall.h"
#include "core/day/shelf_life.h"
#include "core/day/tonight_view.h"
#include "core/day/trace_lines.h"

/* What came before this belongs to the chill; after it the refrigerator decides. */
#define CHILL_H 24.0

const char *shelf_state_word(enum shelf_state state)
{
    static const char *const words[SHELF_STATES] = {
        [SHELF_GOOD] = "good",         [SHELF_SOON] = "use soon",  [SHELF_LAST_DAY] = "last day",
        [SHELF_PAST] = "past its day", [SHELF_FROZEN] = "frozen",  [SHELF_HELD] = "HELD",
        [SHELF_AWAY] = "THROW AWAY",   [SHELF_CALL] = "CALL BACK",
    };
    return words[state];
}

/* ---- loading ---- */

/* Everything about the batches that have jars at home, each list in order of the batch. */
struct shelf_loading {
    struct dairy *dairy;
    struct instant now;
    struct batch_row *batch;
    struct batch_source_row *source;
    struct batch_temp_row *point;
    struct reading_row *reading;
    struct jar_move_row *move;
    struct pour_on_row *pour;
    size_t batches, sources, points, readings, moves, pours;
    struct log_room room;
    struct who who;
    struct keeping_span *span;
};

#define LOAD(table, tail, list, count) rows_load(s, &(table), tail, NULL, 0, (void **)&l->list, &l->count, f)

static int load_lists(struct shelf_loading *l, struct fail *f)
{
    struct store *s = l->dairy->store;
    if (LOAD(batch_table, "WHERE id IN " TALLY_HOME " ORDER BY id", batch, batches) != 0 ||
        LOAD(batch_source_table, "WHERE batch_id IN " TALLY_HOME " ORDER BY batch_id, id", source, sources) !=
            0 ||
        LOAD(batch_temp_table, "WHERE batch_id IN " TALLY_HOME " ORDER BY batch_id, at, id", point, points) !=
            0 ||
        LOAD(reading_table, "WHERE batch_id IN " TALLY_HOME " ORDER BY batch_id, at, id", reading,
             readings) != 0 ||
        LOAD(jar_move_table, "WHERE batch_id IN " TALLY_HOME " ORDER BY batch_id, at, id", move, moves) !=
            0 ||
        LOAD(pour_on_table, "WHERE to_batch_id IN " TALLY_HOME " ORDER BY to_batch_id, from_batch_id", pour,
             pours) != 0)
        return -1;
    struct instant since = l->now;
    for (size_t i = 0; i < l->batches; i++)
        since = l->batch[i].poured_at.s < since.s ? l->batch[i].poured_at : since;
    return log_room_load(l->dairy, since, l->now, &l->room, f) != 0 ? -1 : who_load(l->dairy, &l->who, f);
}

static void release(struct shelf_loading *l)
{
    free(l->batch);
    free(l->source);
    free(l->point);
    free(l->reading);
    free(l->move);
    free(l->pour);
    free(l->span);
    log_room_release(&l->room);
    who_release(&l->who);
}

/* The rows of a list that belong to one batch, `id` being where its number stands in a row. Lists and batches
 * are in the same order, so each list is walked once. */
struct cursor {
    size_t at;
};

static size_t take_rows(struct cursor *c, const void *rows, size_t size, size_t id_at, size_t count,
                        int64_t batch)
{
    size_t first = c->at;
    for (; c->at < count; c->at++) {
        int64_t id;
        memcpy(&id, (const char *)rows + c->at * size + id_at, sizeof id);
        if (id != batch)
            break;
    }
    return c->at - first;
}

#define TAKE(list, count, row, member)                                                                       \
    take_rows(&cursors.list, l->list, sizeof(struct row), offsetof(struct row, member), l->count, b->id)

/* ---- jars that still cool ---- */

/* Batches whose line is not written yet, since they have not left the tub: as the board has them. */
struct cooling_lines {
    struct batch_temp_row point[BATCHES_MAX][LOG_POINTS_MAX];
    size_t points[BATCHES_MAX];
    int64_t batch[BATCHES_MAX];
    size_t batches;
};

static bool any_cooling(const struct shelf_loading *l)
{
    for (size_t i = 0; i < l->dairy->facts->chill.morning.batches; i++)
        for (size_t k = 0; k < l->batches; k++)
            if (l->batch[k].id == l->dairy->facts->chill.batch[i].id)
                return true;
    return false;
}

static int load_cooling(struct shelf_loading *l, struct cooling_lines **out, struct fail *f)
{
    *out = NULL;
    if (!any_cooling(l))
        return 0;
    struct chill_record *record = malloc(sizeof *record);
    struct forecast *forecast = malloc(sizeof *forecast);
    struct cooling_lines *lines = calloc(1, sizeof *lines);
    int result = -1;
    if (record == NULL || forecast == NULL || lines == NULL) {
        fail_memory(f);
    } else {
        *record = l->dairy->facts->chill;
        record->morning.now = (double)l->now.s;
        chill_line_span(record);
        result = forecast_make(&record->morning, forecast, f);
    }
    for (size_t i = 0; result == 0 && i < record->morning.batches; i++) {
        lines->batch[lines->batches] = record->batch[i].id;
        lines->points[lines->batches] = chill_line(record, forecast, i, lines->point[lines->batches]);
        lines->batches++;
    }
    free(record);
    free(forecast);
    if (result == 0)
        *out = lines;
    else
        free(lines);
    return result;
}

static void use_cooling(const struct cooling_lines *lines, struct log_batch *b)
{
    for (size_t i = 0; lines != NULL && b->points == 0 && i < lines->batches; i++)
        if (lines->batch[i] == b->row->id) {
            b->point = lines->point[i];
            b->points = lines->points[i];
        }
}

/* ---- one row ---- */

static double hours_of(const struct keeping_span *span, size_t count, double most, size_t *used)
{
    double hours = 0;
    *used = 0;
    while (*used < count && hours < most)
        hours += span[(*used)++].hours;
    return hours;
}

/* Once nine batches in ten would not be good any more, the day on which that came stays the day. */
static struct instant judged_at(const struct shelf_view *v, const struct shelf_row *r,
                                const struct keeping_span *span, size_t count)
{
    struct keeping_forecast fresh;
    double hours = NAN;
    if (r->keeping.low_days == 0 &&
        keeping_forecast(NULL, 0, &v->scale, KEEPING_REF_C, &fresh, NULL, NULL) == 0)
        hours = keeping_spent_h(span, count, fresh.low_days);
    return isnan(hours) ? v->now : (struct instant){r->milked_at.s + llround(hours * 3600)};
}

static void judge_keeping(const struct shelf_view *v, struct shelf_row *r, const struct keeping_span *span,
                          size_t count)
{
    size_t chill = 0;
    r->keeping = (struct keeping_forecast){NAN, NAN, NAN, NAN, NAN};
    r->lost_days = (double)NAN;
    r->use_by = (struct keeping_use_by){.on = DATE_NONE, .rule_on = DATE_NONE, .model_on = DATE_NONE};
    if (count > 0 && r->place != AT_FREEZER &&
        keeping_forecast(span, count, &v->scale, v->fridge_c, &r->keeping, NULL, NULL) == 0) {
        (void)hours_of(span, count, CHILL_H, &chill);
        r->lost_days = keeping_lost_days(span, chill, v->fridge_c, NULL);
    }
    if (r->place != AT_FREEZER)
        (void)keeping_use_by(r->milked_at, v->rule_days, &r->keeping, judged_at(v, r, span, count),
                             &r->use_by, NULL, NULL);
    if (!date_known(r->use_by.on))
        r->use_by.on = DATE_NONE;
}

static bool is_called(const struct shelf_view *v, const struct shelf_row *r)
{
    for (size_t i = 0; i < v->recall.lines; i++)
        if (v->recall.line[i].batch_id == r->batch_id && v->recall.line[i].place == r->place)
            return true;
    return false;
}

static enum shelf_state day_state(const struct shelf_view *v, const struct shelf_row *r)
{
    if (r->place == AT_FREEZER)
        return SHELF_FROZEN;
    if (!date_known(r->use_by.on))
        return SHELF_GOOD;
    int left = date_diff(instant_date(v->now), r->use_by.on);
    return left < 0 ? SHELF_PAST : left == 0 ? SHELF_LAST_DAY : left == 1 ? SHELF_SOON : SHELF_GOOD;
}

static void judge_state(const struct shelf_view *v, struct shelf_row *r, const struct batch_row *b,
                        const struct keeping_span *span, size_t count)
{
    struct discard_facts facts = {.span = span, .spans = count};
    struct discard_judgement judgement = {.verdict = DISCARD_NO_RULE};
    r->state = day_state(v, r);
    if (is_called(v, r)) {
        r->state = SHELF_CALL;
        (void)snprintf(r->remark, sizeof r->remark, "%s", v->recall.why);
    } else if (b->held_why[0] != '\0') {
        r->state = SHELF_HELD;
        (void)snprintf(r->remark, sizeof r->remark, "%s", b->held_why);
    } else if (discard_judge(&facts, &judgement, NULL, NULL) == 0 && judgement.verdict == DISCARD_AWAY) {
        r->state = SHELF_AWAY;
        (void)snprintf(r->remark, sizeof r->remark, "%s", judgement.reason[0].text);
    }
}

/* What was poured together with it before: the older milk's history comes first. */
static int older_milk(struct shelf_loading *l, const struct pour_on_row *pour, size_t pours,
                      struct shelf_row *r, size_t *count, struct fail *f)
{
    struct batch_row parent;
    *count = 0;
    if (pours == 0)
        return 0;
    if (row_load(l->dairy->store, &batch_table, pour->from_batch_id, &parent, f) != 0)
        return -1;
    r->milked_at = parent.poured_at;
    return log_history(l->dairy, parent.id, AT_POURED, pour->at, l->span, count, f);
}

/* Of the groups in one place, the one that used up most speaks for all of them. */
static void fill_place(struct shelf_loading *l, const struct shelf_view *v, const struct log_batch *b,
                       const struct log_group *group, size_t groups, size_t first, size_t before,
                       struct shelf_row *r)
{
    double most = -1;
    size_t best = first, count;
    bool alone = true; /* mostly there is only one */
    r->place = group[first].place;
    r->since = group[first].since;
    for (size_t i = first + 1; i < groups; i++)
        alone = alone && group[i].place != r->place;
    for (size_t i = first; i < groups; i++) {
        if (group[i].place != r->place)
            continue;
        r->count += group[i].count;
        r->since = group[i].since.s < r->since.s ? group[i].since : r->since;
        if (alone)
            break;
        count = log_spans(&l->room, b, &group[i], l->now, l->span, before);
        double used = keeping_used_days(l->span + before, count - before);
        if (used > most) {
            most = used;
            best = i;
        }
    }
    count = log_spans(&l->room, b, &group[best], l->now, l->span, before);
    r->now_c = log_end_c(l->span, count);
    judge_keeping(v, r, l->span, count);
    judge_state(v, r, b->row, l->span, count);
}

static bool place_done(const struct log_group *group, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (group[k].place == group[i].place)
            return true;
    return false;
}

static int fill_batch(struct shelf_loading *l, struct shelf_view *v, const struct log_batch *b,
                      const struct batch_source_row *source, size_t sources, const struct pour_on_row *pour,
                      size_t pours, struct fail *f)
{
    struct log_group group[LOG_GROUPS_MAX];
    struct shelf_row like = {.batch_id = b->row->id, .milked_at = b->row->poured_at};
    size_t groups = log_groups(b, group), before;
    (void)snprintf(like.code, sizeof like.code, "%.15s", b->row->code);
    (void)snprintf(like.kind, sizeof like.kind, "%s", b->row->kind);
    like.volume_l = (double)b->row->volume_ml / 1e3;
    for (size_t i = 0; i < sources; i++)
        cow_list_add(like.cows, sizeof like.cows, who_cow(&l->who, source[i].cow_id));
    if (older_milk(l, pour, pours, &like, &before, f) != 0)
        return -1;
    if (pours > 0)
        (void)text_append(like.cows, sizeof like.cows, "%solder milk", sources > 0 ? ", " : "");
    for (size_t i = 0; i < groups; i++) {
        if (group[i].count == 0 || !place_at_home(group[i].place) || place_done(group, i))
            continue;
        v->more = v->rows == SHELF_ROWS_MAX;
        if (v->more)
            return 0;
        v->row[v->rows] = like;
        fill_place(l, v, b, group, groups, i, before, &v->row[v->rows++]);
    }
    return 0;
}

static int fill_rows(struct shelf_loading *l, struct shelf_view *v, struct fail *f)
{
    struct {
        struct cursor source, point, reading, move, pour;
    } cursors = {{0}, {0}, {0}, {0}, {0}};
    struct cooling_lines *cooling = NULL;
    int result = load_cooling(l, &cooling, f);
    for (size_t i = 0; i < l->batches && result == 0; i++) {
        const struct batch_row *b = &l->batch[i];
        struct log_batch log = {.row = b,
                                .kind = jar_find(&l->dairy->jars, b->kind),
                                .point = l->point + cursors.point.at,
                                .reading = l->reading + cursors.reading.at,
                                .move = l->move + cursors.move.at};
        const struct batch_source_row *source = l->source + cursors.source.at;
        const struct pour_on_row *pour = l->pour + cursors.pour.at;
        size_t sources = TAKE(source, sources, batch_source_row, batch_id),
               pours = TAKE(pour, pours, pour_on_row, to_batch_id);
        log.points = TAKE(point, points, batch_temp_row, batch_id);
        log.readings = TAKE(reading, readings, reading_row, batch_id);
        log.moves = TAKE(move, moves, jar_move_row, batch_id);
        use_cooling(cooling, &log);
        result = fill_batch(l, v, &log, source, sources, pour, pours, f);
    }
    free(cooling);
    return result;
}

/* ---- the whole ---- */

static int by_age(const void *a, const void *b)
{
    const struct shelf_row *x = a, *y = b;
    bool frozen_x = x->place == AT_FREEZER, frozen_y = y->place == AT_FREEZER;
    if (frozen_x != frozen_y)
        return frozen_x ? 1 : -1;
    if (x->milked_at.s != y->milked_at.s)
        return x->milked_at.s < y->milked_at.s ? -1 : 1;
    return (x->batch_id > y->batch_id) - (x->batch_id < y->batch_id);
}

static void add_up(struct shelf_view *v)
{
    qsort(v->row, v->rows, sizeof v->row[0], by_age);
    for (size_t i = 0; i < v->rows; i++) {
        v->jars += v->row[i].count;
        v->settle += v->row[i].state == SHELF_AWAY || v->row[i].state == SHELF_CALL ? v->row[i].count : 0;
    }
}

static int load_shelf(struct shelf_loading *l, struct shelf_view *v, struct fail *f)
{
    struct dairy *d = l->dairy;
    l->span = malloc(LOG_SPANS_MAX * sizeof *l->span);
    if (l->span == NULL)
        return fail_memory(f);
    if (load_lists(l, f) != 0 ||
        ((!d->facts->scaled || d->facts->scaled_at.s > l->now.s) && shelf_scale_learn(d, l->now, d->facts, f) != 0) ||
        people_load(d, l->now, &v->people, f) != 0)
        return -1;
    v->scale = d->facts->scale;
    memcpy(&v->recall, &d->facts->recall,
           offsetof(struct recall_view, line) + d->facts->recall.lines * sizeof v->recall.line[0]);
    v->fridge_c = l->room.fridge_c;
    v->fridge_read = l->room.fridge_read;
    v->rule_days = d->row.use_days == ROW_NONE ? -1 : (int)d->row.use_days;
    (void)shelf_scale_text(&v->scale, v->scale_text);
    return fill_rows(l, v, f);
}

/* The jars, and the milk that they will be needed for. The shelf stands without the evening's plan, too. */
static int fill_jars(struct dairy *d, struct shelf_view *v, struct fail *f)
{
    struct tonight_view tonight;
    struct fail why = {0};
    bool planned = dairy_tonight_jars(d, v->now, &tonight, &why) == 0;
    if (!planned && why.code != FAIL_INPUT)
        return fail_set(f, why.code, "%s", why.text);
    v->tomorrow_l = planned ? tonight.milk_high_l : (double)NAN;
    v->kinds = tonight.kinds;
    v->pool = tonight.pool;
    v->counted = tonight.counted;
    v->ready = tonight.ready;
    (void)snprintf(v->ready_say, sizeof v->ready_say, "%s", tonight.jars_say);
    return 0;
}

int dairy_shelf(struct dairy *d, struct instant now, struct shelf_view *out, struct fail *f)
{
    struct shelf_loading l = {.dairy = d, .now = now};
    memset(out, 0, offsetof(struct shelf_view, people));
    out->people.people = out->people.takens = out->recall.lines = 0;
    out->recall.say[0] = '\0';
    out->now = now;
    out->units = dairy_units(d);
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (facts_load(d, now, true, f) != 0 || store_begin_look(d->store, f) != 0)
        return -1;
    int result = load_shelf(&l, out, f);
    if (result == 0)
        result = fill_jars(d, out, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    release(&l);
    if (result != 0)
        return -1;
    power_cut_say(&d->facts->cut, now, out->power_say, sizeof out->power_say);
    add_up(out);
    shelf_say(out);
    return 0;
}

/* ---- working ---- */

static int explain_row(struct dairy *d, const struct shelf_view *v, const struct shelf_row *r,
                       struct working *w, struct fail *f)
{
    struct keeping_span *span = malloc(LOG_SPANS_MAX * sizeof *span);
    struct keeping_forecast forecast;
    struct keeping_use_by use_by;
    struct keeping_scale scale;
    size_t count = 0, chill = 0;
    if (span == NULL)
        return fail_memory(f);
    working_init(w, "days left");
    working_given_text(w, "batch", r->code, ORIGIN_RECORDED);
    working_given(w, "refrigerator_c", v->fridge_c, v->fridge_read ? ORIGIN_MEASURED : ORIGIN_DEFAULT);
    int result = shelf_scale_load(d, v->now, &scale, NULL, f);
    if (result == 0)
        result = log_history(d, r->batch_id, r->place, v->now, span, &count, f);
    if (result == 0)
        result = keeping_forecast(span, count, &scale, v->fridge_c, &forecast, w, f);
    if (result == 0) {
        (void)hours_of(span, count, CHILL_H, &chill);
        (void)keeping_lost_days(span, chill, v->fridge_c, w);
        (void)keeping_use_by(r->milked_at, v->rule_days, &forecast, v->now, &use_by, w, NULL);
        if (scale.basis == KEEPING_LEARNED)
            result = shelf_scale_load(d, v->now, &scale, w, f);
    }
    free(span);
    return result;
}

int shelf_explain(struct dairy *d, const struct shelf_view *v, size_t row, struct working *w, struct fail *f)
{
    if (row >= v->rows)
        return fail_refused(f, "There is no jar under the cursor.");
    if (store_begin_look(d->store, f) != 0)
        return -1;
    int result = explain_row(d, v, &v->row[row], w, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    return result;
}
