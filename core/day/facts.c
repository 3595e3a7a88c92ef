#include "core/day/facts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/cooling/newton.h"
#include "core/day/lessons.h"
#include "core/day/recall.h"
#include "core/day/trace_lines.h"
#include "core/day/wash_record.h"

static int load_milking(struct dairy *d, struct instant now, struct facts *facts, struct fail *f)
{
    bool found;
    if (rows_first(d->store, &milking_table,
                   "WHERE opened_at <= ?1 AND opened_at > ?1 - ?2 AND closed_at IS NULL ORDER BY opened_at "
                   "DESC LIMIT 1",
                   (struct bind[]){BIND_AT(now), {false, MILKING_LONGEST_S, NULL}}, 2, &facts->milking,
                   &found, f) != 0)
        return -1;
    if (!found)
        memset(&facts->milking, 0, sizeof facts->milking);
    return 0;
}

static int load_cows(struct dairy *d, struct instant now, struct facts *facts, struct fail *f)
{
    struct cow_row *rows;
    size_t count;
    int result = 0;
    if (rows_load(d->store, &cow_table, "WHERE left_how IS NULL ORDER BY stall IS NULL, stall, name", NULL, 0,
                  (void **)&rows, &count, f) != 0)
        return -1;
    if (count > COWS_MAX)
        count = COWS_MAX;
    facts->cow = calloc(count + 1, sizeof *facts->cow);
    if (facts->cow == NULL)
        result = fail_memory(f);
    for (size_t i = 0; i < count && result == 0; i++) {
        facts->cows++; /* counted before it is loaded, so that a half-loaded one is released too */
        result = cow_record_load(d, &rows[i], now, &facts->cow[i], f);
    }
    free(rows);
    return result;
}

/* Her milk of the milking that is open, for each cow. */
static int load_milk_now(struct dairy *d, struct facts *facts, struct fail *f)
{
    facts->milk_now = calloc(facts->cows + 1, sizeof *facts->milk_now);
    if (facts->milk_now == NULL)
        return fail_memory(f);
    for (size_t i = 0; i < facts->cows && facts->milking.id != 0; i++) {
        bool found;
        if (rows_first(d->store, &milk_table, "WHERE milking_id = ?1 AND cow_id = ?2",
                       (struct bind[]){BIND_ID(facts->milking.id), BIND_ID(facts->cow[i].row.id)}, 2,
                       &facts->milk_now[i], &found, f) != 0)
            return -1;
    }
    return 0;
}

/* The cows' records stand as they were when nothing about a cow has changed since, nor the day. */
static bool cows_stand(const struct dairy *d, const struct facts *facts)
{
    return d->facts != NULL && !d->cows_stale && d->facts->today.days == facts->today.days;
}

static void lend_cows(const struct facts *from, struct facts *to)
{
    to->cow = from->cow;
    to->cows = from->cows;
    to->learned = from->learned;
    memcpy(to->usual, from->usual, sizeof to->usual);
}

static void copy_scale(const struct facts *from, struct facts *to)
{
    to->scale = from->scale;
    to->scaled_at = from->scaled_at;
    to->tasted_at = from->tasted_at;
    to->scaled = from->scaled;
}

/* They belong to one of the two alone. */
static void forget_cows(struct facts *facts)
{
    facts->cow = NULL;
    facts->cows = 0;
}

struct names {
    struct dairy *dairy;
    const struct facts *facts;
    char *text;
    size_t size;
};

static int add_name(void *context, const void *row, struct fail *f)
{
    struct names *names = context;
    int64_t cow_id = ((const struct batch_source_row *)row)->cow_id;
    struct cow_row gone;
    const struct cow_row *cow = NULL;
    for (size_t i = 0; i < names->facts->cows && cow == NULL; i++)
        if (names->facts->cow[i].row.id == cow_id)
            cow = &names->facts->cow[i].row;
    if (cow == NULL && row_load(names->dairy->store, &cow_table, cow_id, &gone, f) != 0)
        return -1;
    cow_list_add(names->text, names->size, cow != NULL ? cow->name : gone.name);
    return 0;
}

/* Milk of other batches was poured on some; of most it was not, and those are spared the search through the generations. */
static const char own_sources[] = "WHERE batch_id = ?1 ORDER BY id";
static const char all_sources[] =
    "WHERE batch_id = ?1 OR batch_id IN (WITH RECURSIVE older (id) AS (SELECT from_batch_id FROM pour_on "
    "WHERE to_batch_id = ?1 UNION SELECT from_batch_id FROM pour_on JOIN older ON to_batch_id = older.id) "
    "SELECT id FROM older) ORDER BY batch_id = ?1 DESC, id";

static int load_batch_cows(struct dairy *d, struct facts *facts, struct fail *f)
{
    for (size_t i = 0; i < facts->chill.morning.batches; i++) {
        struct names names = {d, facts, facts->batch_cows[i], sizeof facts->batch_cows[i]};
        struct bind batch = BIND_ID(facts->chill.batch[i].id);
        struct pour_on_row poured;
        bool older;
        if (rows_first(d->store, &pour_on_table, "WHERE to_batch_id = ?1 LIMIT 1", &batch, 1, &poured, &older, f) != 0 ||
            rows_each(d->store, &batch_source_table, older ? all_sources : own_sources, &batch, 1, add_name, &names,
                      f) != 0)
            return -1;
    }
    return 0;
}

/* ---- the routine and its ticks ---- */

static enum tick_kind tick_kind_of(const char *word)
{
    if (strcmp(word, "begun") == 0)
        return TICK_BEGUN;
    return strcmp(word, "skipped") == 0 ? TICK_SKIPPED : TICK_DONE;
}

static const char of_milking[] = "WHERE milking_id = ?1 ORDER BY at, id";

static int add_tick(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct facts *facts = context;
    const struct tick_row *t = row;
    if (facts->ticks == FACTS_TICKS_MAX)
        return 0;
    struct step_tick *tick = &facts->tick[facts->ticks++];
    *tick = (struct step_tick){
        .cow = t->cow_id == ROW_NONE ? 0 : t->cow_id, .at = t->at, .kind = tick_kind_of(t->kind)};
    (void)snprintf(tick->step, sizeof tick->step, "%s", t->step);
    return 0;
}

static int load_last_done(struct dairy *d, struct facts *facts, struct fail *f)
{
    for (size_t i = 0; i < facts->routine.count && facts->lasts < FACTS_LAST_MAX; i++) {
        const struct routine_step *step = &facts->routine.step[i];
        struct tick_row row;
        bool found;
        if (step->every == EVERY_SESSION)
            continue;
        if (rows_first(d->store, &tick_table,
                       "WHERE step = ?1 AND kind = 'done' AND milking_id <> ?2 ORDER BY at DESC LIMIT 1",
                       (struct bind[]){BIND_TEXT(step->id), BIND_ID(facts->milking.id)}, 2, &row, &found,
                       f) != 0)
            return -1;
        if (!found)
            continue;
        struct step_last *last = &facts->last[facts->lasts++];
        (void)snprintf(last->step, sizeof last->step, "%s", step->id);
        last->on = instant_date(row.at);
    }
    return 0;
}

struct past_loading {
    struct dairy *dairy;
    struct facts *facts;
    struct past_morning morning[PAST_MORNINGS_MAX];
    size_t count;
};

/* How many cows that morning had, by its ticks: those in milk today may be more, or fewer. */
static int cows_ticked(const struct facts *facts)
{
    int64_t seen[PROGRESS_COWS_MAX];
    int count = 0;
    for (size_t i = 0; i < facts->ticks; i++) {
        bool known = facts->tick[i].cow == 0 || count == PROGRESS_COWS_MAX;
        for (int n = 0; n < count && !known; n++)
            known = seen[n] == facts->tick[i].cow;
        if (!known)
            seen[count++] = facts->tick[i].cow;
    }
    return count;
}

/* Ticks are read into facts->tick for the moment; the present ones are loaded after. */
static int add_past(void *context, const void *row, struct fail *f)
{
    struct past_loading *p = context;
    const struct milking_row *m = row;
    struct past_morning *past = &p->morning[p->count++];
    struct bind id = BIND_ID(m->id);
    p->facts->ticks = 0;
    if (rows_each(p->dairy->store, &tick_table, of_milking, &id, 1, add_tick,
                  p->facts, f) != 0)
        return -1;
    progress_spent(&p->facts->routine, p->facts->tick, p->facts->ticks, past->spent_s);
    past->cows = cows_ticked(p->facts);
    return 0;
}

static int load_usual(struct dairy *d, struct facts *facts, struct fail *f)
{
    struct past_loading *p = calloc(1, sizeof *p);
    if (p == NULL)
        return fail_memory(f);
    p->dairy = d;
    p->facts = facts;
    int result =
        rows_each(d->store, &milking_table,
                  "WHERE id <> ?1 AND EXISTS (SELECT 1 FROM tick WHERE milking_id = milking.id) ORDER BY opened_at DESC LIMIT 14",
                  (struct bind[]){BIND_ID(facts->milking.id)}, 1, add_past, p, f);
    if (result == 0)
        phase_learn(&facts->routine, p->morning, p->count, facts->usual);
    free(p);
    return result;
}

static int load_ticks(struct dairy *d, struct facts *facts, struct fail *f)
{
    facts->ticks = 0;
    return rows_each(d->store, &tick_table, of_milking,
                     (struct bind[]){BIND_ID(facts->milking.id)}, 1, add_tick, facts, f);
}

/* What was last in the sink at the end of the milking before: acid that nobody rinsed away still waits there
 * for this morning's chlorine. */
static int load_sink_left(struct dairy *d, struct facts *facts, struct fail *f)
{
    struct milking_row before;
    struct tick_row *ticks;
    size_t count;
    bool found;
    facts->sink = CHEMICAL_NONE;
    if (rows_first(d->store, &milking_table,
                   "WHERE id <> ?1 AND EXISTS (SELECT 1 FROM tick WHERE milking_id = milking.id) ORDER BY opened_at DESC "
                   "LIMIT 1",
                   (struct bind[]){BIND_ID(facts->milking.id)}, 1, &before, &found, f) != 0)
        return -1;
    if (!found)
        return 0;
    if (rows_load(d->store, &tick_table, of_milking, (struct bind[]){BIND_ID(before.id)}, 1, (void **)&ticks, &count,
                  f) != 0)
        return -1;
    for (size_t i = 0; i < count; i++) {
        const struct routine_step *step = routine_find(&facts->routine, ticks[i].step);
        if (step == NULL || step->chemical == CHEMICAL_NONE || step->chemical == CHEMICAL_TEAT_DIP ||
            strcmp(ticks[i].kind, "skipped") == 0)
            continue;
        facts->sink = step->chemical == CHEMICAL_WATER ? CHEMICAL_NONE : step->chemical;
    }
    free(ticks);
    return 0;
}

/* When this wash's water falls to the floor of the hot steps, from what was read in the sink. */
static int load_floors(struct dairy *d, struct instant now, struct facts *facts, struct fail *f)
{
    struct sink_record sink;
    double room_c = facts->chill.morning.room_c;
    if (facts->milking.id == 0)
        return 0;
    if (sink_record_load(d, room_c, now, &sink, f) != 0)
        return -1;
    if (!sink.filled || isnan(sink.k_per_min) || sink.fill.at.s < facts->milking.opened_at.s)
        return 0;
    const struct wash_reading *last = &sink.reading[sink.readings - 1];
    for (size_t i = 0; i < facts->routine.count && facts->floors < FACTS_FLOORS_MAX; i++) {
        const struct routine_step *step = &facts->routine.step[i];
        if (step->kind != STEP_HOT)
            continue;
        double left_min = last->temp_c <= step->floor_c
                              ? 0
                              : newton_time(last->temp_c, room_c, sink.k_per_min, step->floor_c);
        if (isnan(left_min))
            continue;
        struct step_floor *floor = &facts->floor[facts->floors++];
        (void)snprintf(floor->step, sizeof floor->step, "%s", step->id);
        floor->at = (struct instant){sink.fill.at.s + (int64_t)((last->time_min + left_min) * 60)};
    }
    return 0;
}

static int load_chores(struct dairy *d, struct instant now, struct facts *facts, struct fail *f)
{
    if (dairy_routine(d, &facts->routine, f) != 0 || load_last_done(d, facts, f) != 0 ||
        load_sink_left(d, facts, f) != 0 || load_floors(d, now, facts, f) != 0)
        return -1;
    return load_ticks(d, facts, f);
}

static int load_last_act(struct dairy *d, struct facts *facts, struct fail *f)
{
    struct journal_row entry;
    bool found;
    if (journal_last(d->store, &entry, &found, f) != 0)
        return -1;
    if (found) {
        facts->last_entry = entry.id;
        (void)snprintf(facts->last_act, sizeof facts->last_act, "%s", entry.what);
    }
    return 0;
}

static int load_all(struct dairy *d, struct instant now, struct facts *facts, struct fail *f)
{
    facts->edition = d->edition;
    if (load_milking(d, now, facts, f) != 0 || (facts->cow == NULL && load_cows(d, now, facts, f) != 0) ||
        load_milk_now(d, facts, f) != 0)
        return -1;
    int64_t milking = facts->milking.id != 0 ? facts->milking.id : ROW_NONE;
    if (chill_record_load(d, milking, now, &facts->chill, f) != 0 || load_batch_cows(d, facts, f) != 0 ||
        power_cut_load(d, now, &facts->cut, f) != 0)
        return -1;
    return load_chores(d, now, facts, f) != 0 ? -1 : load_last_act(d, facts, f);
}

/* A milking that was left open ends by itself after MILKING_LONGEST_S. */
static bool milking_ran_out(const struct facts *facts, struct instant now)
{
    return facts->milking.id != 0 && now.s >= facts->milking.opened_at.s + MILKING_LONGEST_S;
}

/* The ticks of this morning are put aside while those of past mornings are read in their place. */
static int learn_past(struct dairy *d, struct facts *facts, struct fail *f)
{
    int result = 0;
    for (size_t i = 0; i < facts->cows && result == 0; i++)
        result = cow_record_learn(d, &facts->cow[i], f);
    if (result == 0)
        result = load_usual(d, facts, f);
    if (result == 0)
        result = load_ticks(d, facts, f);
    facts->learned = result == 0;
    return result;
}

/* Earlier mornings say how fast jars cool: of no use before any are poured. */
static bool wants_lessons(const struct facts *facts)
{
    return facts->chill.morning.batches > 0;
}

bool facts_learned(const struct facts *facts)
{
    return facts->learned && (facts->taught || !wants_lessons(facts)) && facts->recalled;
}

static int learn(struct dairy *d, struct instant now, struct facts *facts, struct fail *f)
{
    int result = 0;
    if (facts_learned(facts))
        return 0;
    if (store_begin_look(d->store, f) != 0)
        return -1;
    if (!facts->learned)
        result = learn_past(d, facts, f);
    if (result == 0 && !facts->taught && wants_lessons(facts)) {
        result = lessons_load(d, &facts->chill, f);
        facts->taught = result == 0;
    }
    if (result == 0 && !facts->recalled) {
        result = recall_load(d, now, &facts->recall, f);
        facts->recalled = result == 0;
    }
    store_rollback(d->store); /* nothing was written: this only ends the look */
    return result;
}

static bool still_good(const struct dairy *d, struct instant now)
{
    return d->facts != NULL && d->facts->edition == d->edition &&
           d->facts->today.days == instant_date(now).days && !milking_ran_out(d->facts, now);
}

static int load_anew(struct dairy *d, struct instant now, struct fail *f)
{
    struct facts *facts = calloc(1, sizeof *facts);
    if (facts == NULL)
        return fail_memory(f);
    if (store_begin_look(d->store, f) != 0) {
        free(facts);
        return -1;
    }
    facts->today = instant_date(now);
    bool lent = cows_stand(d, facts);
    if (lent)
        lend_cows(d->facts, facts);
    int result = load_all(d, now, facts, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    if (result == 0 && lessons_stand(d, d->facts, &facts->chill)) {
        lessons_copy(&d->facts->chill, &facts->chill);
        facts->taught = true;
    }
    if (result == 0 && d->facts != NULL && !d->scale_stale)
        copy_scale(d->facts, facts);
    if (lent)
        forget_cows(result == 0 ? d->facts : facts);
    if (result != 0) {
        facts_free(facts);
        return -1;
    }
    facts_free(d->facts);
    d->facts = facts;
    d->cows_stale = d->lessons_stale = d->scale_stale = false;
    return 0;
}

int facts_load(struct dairy *d, struct instant now, bool learn_too, struct fail *f)
{
    if (!still_good(d, now) && load_anew(d, now, f) != 0)
        return -1;
    return learn_too ? learn(d, now, d->facts, f) : 0;
}

void facts_free(struct facts *facts)
{
    if (facts == NULL)
        return;
    for (size_t i = 0; i < facts->cows; i++)
        cow_record_release(&facts->cow[i]);
    free(facts->cow);
    free(facts->milk_now);
    free(facts);
}
