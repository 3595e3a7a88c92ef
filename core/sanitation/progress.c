/* One pass for each question: which rows there are, what the ticks made of them, what the gates say of the
 * rest (progress_gates.c), which clocks run. Each row looks its own ticks up, so order cannot matter. */
#include "core/sanitation/progress.h"

#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/sanitation/progress_inside.h"

bool row_is_left(const struct progress_row *row)
{
    return row->state == STATE_OPEN || row->state == STATE_WAITING || row->state == STATE_RUNNING;
}

bool row_can_be_done(const struct progress_row *row)
{
    if (row->state == STATE_RUNNING)
        return row->step->kind == STEP_HOT && row->left_s == 0;
    return row->state == STATE_OPEN;
}

static void add_row(struct progress *p, const struct routine_step *step, int cow)
{
    p->row[p->count++] = (struct progress_row){
        .step = step,
        .cow = cow,
        .begun_at = INSTANT_NONE,
        .done_at = INSTANT_NONE,
        .opens_at = INSTANT_NONE,
        .floor_at = INSTANT_NONE,
        .due_at = INSTANT_NONE,
    };
}

/* Steps first .. end - 1 are done for each cow. Cows come in groups, one for each bucket; inside a group a
 * `turn` hands over to the next cow before going on. */
static void add_cow_rows(const struct reckoning *k, size_t first, size_t end)
{
    size_t cows = k->facts->cow_count, buckets = (size_t)k->r->buckets;
    for (size_t group = 0; group < cows; group += buckets) {
        size_t group_end = group + buckets < cows ? group + buckets : cows;
        for (size_t turn = first; turn < end;) {
            size_t turn_end = turn + 1;
            while (turn_end < end && !k->r->step[turn_end].turn)
                turn_end++;
            for (size_t cow = group; cow < group_end; cow++)
                for (size_t i = turn; i < turn_end; i++)
                    add_row(k->p, &k->r->step[i], (int)cow);
            turn = turn_end;
        }
    }
}

static void add_rows(const struct reckoning *k)
{
    for (size_t i = 0; i < k->r->count;) {
        size_t end = i;
        while (end < k->r->count && k->r->step[end].per_cow)
            end++;
        if (end > i) {
            add_cow_rows(k, i, end);
            i = end;
        } else {
            add_row(k->p, &k->r->step[i++], -1);
        }
    }
}

/* A tick is a row's own if it names its step and cow. A step that was made one for each cow (or the reverse)
 * since it was ticked keeps its tick: then no cow, or any cow, is hers. */
static bool tick_is_of(const struct step_tick *tick, const struct progress_row *row,
                       const struct progress_facts *facts)
{
    if (!instant_known(tick->at) || strcmp(tick->step, row->step->id) != 0)
        return false;
    return row->cow < 0 || tick->cow == 0 || tick->cow == facts->cows[row->cow].id;
}

/* What the row's ticks come to, by their times: the last begin counts; the first end after it ends it. */
struct tick_sum {
    struct instant begun, done, skipped;
};

static struct tick_sum sum_ticks(const struct step_tick *ticks, size_t count, const struct progress_row *row,
                                 const struct progress_facts *facts)
{
    struct tick_sum sum = {INSTANT_NONE, INSTANT_NONE, INSTANT_NONE};
    for (size_t i = 0; i < count; i++)
        if (ticks[i].kind == TICK_BEGUN && tick_is_of(&ticks[i], row, facts))
            sum.begun = later_of(sum.begun, ticks[i].at);
    for (size_t i = 0; i < count; i++) {
        if (ticks[i].kind == TICK_BEGUN || !tick_is_of(&ticks[i], row, facts))
            continue;
        struct instant *end = ticks[i].kind == TICK_DONE ? &sum.done : &sum.skipped;
        bool counts = !instant_known(sum.begun) || ticks[i].at.s >= sum.begun.s;
        if (counts && (!instant_known(*end) || ticks[i].at.s < end->s))
            *end = ticks[i].at;
    }
    return sum;
}

static void row_finish(struct progress_row *row, struct instant done_at)
{
    row->state = STATE_DONE;
    row->done_at = done_at;
    if (instant_known(row->begun_at) && row->step->contact_s > seconds_between(row->begun_at, done_at))
        row->short_s = row->step->contact_s - seconds_between(row->begun_at, done_at);
}

/* The state that ticks alone give; STATE_OPEN stands for "not ticked", which the gates look at later. */
static void row_take_ticks(struct progress_row *row, const struct tick_sum *sum, struct instant now)
{
    const struct routine_step *step = row->step;
    struct instant begun = sum->begun, done = sum->done, skipped = sum->skipped;
    if (step->kind == STEP_PLAIN && instant_known(begun)) { /* it had a clock when it was ticked */
        if (!instant_known(done))
            done = begun;
        begun = INSTANT_NONE;
    }
    row->begun_at = begun;
    if (step->kind == STEP_TIMED && instant_known(begun)) {
        struct instant end = instant_after(begun, step->contact_s);
        bool cut = (instant_known(done) && done.s < end.s) || (instant_known(skipped) && skipped.s < end.s);
        if (!cut && end.s <= now.s)
            done = end;
    }
    if (instant_known(done)) {
        row_finish(row, done);
    } else if (instant_known(skipped)) {
        row->state = STATE_SKIPPED;
        row->done_at = skipped;
    } else if (instant_known(begun)) {
        int32_t run_s = seconds_between(begun, now);
        row->state = STATE_RUNNING;
        row->left_s = run_s < 0 ? step->contact_s : run_s < step->contact_s ? step->contact_s - run_s : 0;
    }
}

static void take_ticks(const struct reckoning *k, const struct step_tick *ticks, size_t tick_count)
{
    for (size_t i = 0; i < k->p->count; i++) {
        struct tick_sum sum = sum_ticks(ticks, tick_count, &k->p->row[i], k->facts);
        row_take_ticks(&k->p->row[i], &sum, k->facts->now);
    }
    for (size_t t = 0; t < tick_count; t++) {
        bool known = false;
        for (size_t i = 0; i < k->p->count && !known; i++)
            known = tick_is_of(&ticks[t], &k->p->row[i], k->facts);
        k->p->unknown_ticks += known ? 0 : 1;
    }
}

/* Ticks of this session open what facts from before it had left shut. */
static void take_makes(const struct reckoning *k)
{
    struct progress *p = k->p;
    p->sanitised_at = k->facts->sanitised_at;
    p->drained_at = k->facts->drained_at;
    p->dry_at = k->facts->dry_at;
    p->jars_on_floor = k->facts->jars_on_floor;
    for (size_t i = 0; i < p->count; i++) {
        const struct progress_row *row = &p->row[i];
        if (row->state != STATE_DONE)
            continue;
        switch (row->step->makes) {
        case MAKES_NOTHING: break;
        case MAKES_SANITISED: p->sanitised_at = later_of(p->sanitised_at, row->done_at); break;
        case MAKES_DRAINED: p->drained_at = later_of(p->drained_at, row->done_at); break;
        case MAKES_DRY: p->dry_at = later_of(p->dry_at, row->done_at); break;
        case MAKES_JARS_UP: p->jars_on_floor = false; break;
        }
    }
}

/* The moment that a row's clock counts to: where it becomes late, or where its contact time ends. */
static struct instant clock_moment(const struct progress_row *row)
{
    if (instant_known(row->due_at))
        return row->due_at;
    return row->state == STATE_RUNNING ? instant_after(row->begun_at, row->step->contact_s) : INSTANT_NONE;
}

static void take_timers(struct progress *p)
{
    for (size_t i = 0; i < p->count; i++) {
        struct instant moment = clock_moment(&p->row[i]);
        if (!row_is_left(&p->row[i]) || !instant_known(moment))
            continue;
        size_t at = p->timer_count++;
        for (; at > 0 && clock_moment(&p->row[p->timer[at - 1]]).s > moment.s; at--)
            p->timer[at] = p->timer[at - 1];
        p->timer[at] = i;
    }
}

static void take_phases(struct progress *p)
{
    for (int i = 0; i < PHASE_COUNT; i++)
        p->phase[i] = (struct phase_progress){.first_at = INSTANT_NONE, .last_at = INSTANT_NONE};
    for (size_t i = 0; i < p->count; i++) {
        const struct progress_row *row = &p->row[i];
        struct phase_progress *phase = &p->phase[row->step->phase];
        if (row->state == STATE_NOT_DUE)
            continue;
        struct instant first = instant_known(row->begun_at) ? row->begun_at : row->done_at;
        phase->rows++;
        phase->done += row_is_left(row) ? 0 : 1;
        phase->running = phase->running || row->state == STATE_RUNNING;
        if (instant_known(first) && (!instant_known(phase->first_at) || first.s < phase->first_at.s))
            phase->first_at = first;
        phase->last_at = later_of(phase->last_at, later_of(row->begun_at, row->done_at));
    }
    for (int i = 0; i < PHASE_COUNT; i++) {
        p->rows += p->phase[i].rows;
        p->done += p->phase[i].done;
    }
}

int progress_reckon(const struct routine *r, const struct step_tick *ticks, size_t tick_count,
                    const struct progress_facts *facts, struct progress *out, struct working *w,
                    struct fail *f)
{
    const struct reckoning k = {r, facts, out};
    if (facts->cow_count > PROGRESS_COWS_MAX)
        return fail_refused(f, "The routine can follow %d cows in milk, not %zu.", PROGRESS_COWS_MAX,
                            facts->cow_count);
    memset(out, 0, sizeof *out);
    add_rows(&k);
    take_ticks(&k, ticks, tick_count);
    take_makes(&k);
    progress_gates(&k);
    take_timers(out);
    take_phases(out);
    progress_end(r, facts, out, w);
    progress_say_next(facts, out);
    return 0;
}

int progress_find(const struct progress *p, const struct progress_facts *facts, const char *step, int64_t cow)
{
    for (size_t i = 0; i < p->count; i++) {
        int64_t id = p->row[i].cow < 0 ? 0 : facts->cows[p->row[i].cow].id;
        if (id == cow && strcmp(p->row[i].step->id, step) == 0)
            return (int)i;
    }
    return -1;
}

static void tick_of_row(const struct progress_row *row, const struct progress_facts *facts,
                        enum tick_kind kind, struct step_tick *out)
{
    memset(out, 0, sizeof *out);
    (void)snprintf(out->step, sizeof out->step, "%s", row->step->id);
    out->cow = row->cow < 0 ? 0 : facts->cows[row->cow].id;
    out->at = facts->now;
    out->kind = kind;
}

bool progress_press(const struct progress *p, size_t row, const struct progress_facts *facts,
                    struct step_tick *out)
{
    const struct progress_row *pressed = &p->row[row];
    if (pressed->state == STATE_DONE)
        return false;
    bool ends = pressed->state == STATE_RUNNING || pressed->step->kind == STEP_PLAIN;
    tick_of_row(pressed, facts, ends ? TICK_DONE : TICK_BEGUN, out);
    return true;
}

size_t progress_catch_up(const struct progress *p, size_t row, const struct progress_facts *facts,
                         struct step_tick *out, size_t max)
{
    size_t count = 0;
    for (size_t i = 0; i <= row && i < p->count && count < max; i++) {
        const struct progress_row *before = &p->row[i];
        bool by_itself = before->state == STATE_RUNNING && before->step->kind == STEP_TIMED;
        bool asked = i == row || (before->step->every == EVERY_SESSION && !by_itself);
        if (row_is_left(before) && asked)
            tick_of_row(before, facts, TICK_DONE, &out[count++]);
    }
    return count;
}
