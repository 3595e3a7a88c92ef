/* What keeps a row waiting: its gates, what is in the sink, the calendar; and what makes a hot wash late. */
#include <stdio.h>
#include <string.h>

#include "core/sanitation/progress_inside.h"

enum { WEEK_DAYS = 7, MONTH_DAYS = 30 };

/* When the row's chemical was last in the sink, or INSTANT_NONE. */
static struct instant chemical_at(const struct progress_row *row)
{
    if (row->state == STATE_DONE)
        return row->done_at;
    return row->state == STATE_RUNNING ? row->begun_at : INSTANT_NONE;
}

/* The last plain rinse that was done, or NULL. Of two in the same second the later step is later. */
static const struct progress_row *last_rinse(const struct progress *p)
{
    const struct progress_row *last = NULL;
    for (size_t i = 0; i < p->count; i++)
        if (p->row[i].step->chemical == CHEMICAL_WATER && p->row[i].state == STATE_DONE &&
            (last == NULL || p->row[i].done_at.s >= last->done_at.s))
            last = &p->row[i];
    return last;
}

/* Whether the row's chemical is in the sink after that rinse. While its clock runs it is, whatever was
 * rinsed. */
static bool is_in_sink(const struct progress_row *row, const struct progress_row *rinse)
{
    struct instant at = chemical_at(row);
    if (!instant_known(at) || row->step->chemical == CHEMICAL_NONE || row->step->chemical == CHEMICAL_WATER ||
        row->step->chemical == CHEMICAL_TEAT_DIP)
        return false;
    return row->state == STATE_RUNNING || rinse == NULL || at.s > rinse->done_at.s ||
           (at.s == rinse->done_at.s && row > rinse);
}

static void take_sink(const struct reckoning *k)
{
    struct progress *p = k->p;
    const struct progress_row *rinse = last_rinse(p);
    struct instant at = INSTANT_NONE;
    p->sink = rinse == NULL ? k->facts->sink : CHEMICAL_NONE;
    for (size_t i = 0; i < p->count; i++)
        if (is_in_sink(&p->row[i], rinse) && chemical_at(&p->row[i]).s >= at.s) {
            at = chemical_at(&p->row[i]);
            p->sink = p->row[i].step->chemical;
        }
}

/* A chemical in the sink that this step's must not meet, or CHEMICAL_NONE. */
static enum chemical foe_in_sink(const struct reckoning *k, const struct routine_step *step)
{
    const struct progress_row *rinse = last_rinse(k->p);
    if (rinse == NULL && chemical_must_not_meet(step->chemical, k->facts->sink))
        return k->facts->sink;
    for (size_t i = 0; i < k->p->count; i++)
        if (is_in_sink(&k->p->row[i], rinse) &&
            chemical_must_not_meet(step->chemical, k->p->row[i].step->chemical))
            return k->p->row[i].step->chemical;
    return CHEMICAL_NONE;
}

/* How a gate stands for one row. */
struct gate_view {
    bool shut;
    struct instant opens_at; /* shut, but the clock alone will open it */
    struct instant due_at;   /* late after this; INSTANT_NONE */
    char why[PROGRESS_WHY_MAX];
};

/* When the awaited row is over, if that is known: done, or a contact time that ends by itself. */
static struct instant row_over_at(const struct progress_row *row)
{
    if (row->state == STATE_DONE)
        return row->done_at;
    if (row->state == STATE_RUNNING && row->step->kind == STEP_TIMED)
        return instant_after(row->begun_at, row->step->contact_s);
    return INSTANT_NONE;
}

static void view_after(const struct reckoning *k, const struct progress_row *row, const struct step_gate *g,
                       struct gate_view *v)
{
    struct instant last = INSTANT_NONE, now = k->facts->now;
    bool clock_alone = true, any = false, all_done = true;
    for (size_t i = 0; i < k->p->count; i++) {
        const struct progress_row *other = &k->p->row[i];
        if (strcmp(other->step->id, g->step) != 0 ||
            (row->cow >= 0 && other->cow >= 0 && other->cow != row->cow))
            continue;
        if (other->state == STATE_SKIPPED || other->state == STATE_NOT_DUE)
            continue;
        struct instant over = row_over_at(other);
        clock_alone = clock_alone && instant_known(over);
        if (other->state != STATE_DONE && all_done) { /* the first that is not done says what is waited for */
            all_done = false;
            (void)snprintf(v->why, sizeof v->why, "%s%s%s", other->step->id,
                           other->cow >= 0 && row->cow < 0 ? " of " : "",
                           other->cow >= 0 && row->cow < 0 ? k->facts->cows[other->cow].name : "");
        }
        last = later_of(last, over);
        any = true;
    }
    if (!any)
        return;
    struct instant opens = clock_alone ? instant_after(last, g->from_s) : INSTANT_NONE;
    v->shut = !all_done || opens.s > now.s;
    v->opens_at = v->shut ? opens : INSTANT_NONE;
    if (all_done && v->shut)
        (void)snprintf(v->why, sizeof v->why, "%d s after %s", g->from_s, g->step);
    if (all_done && g->by_s > 0)
        v->due_at = instant_after(last, g->by_s);
}

static void view_sanitised(const struct reckoning *k, const struct step_gate *g, struct gate_view *v)
{
    char span[CIVIL_TEXT_MAX];
    const struct progress *p = k->p;
    struct instant milking = instant_known(k->facts->milking_at) ? k->facts->milking_at : k->facts->now;
    v->shut = true;
    if (!instant_known(p->sanitised_at)) {
        (void)snprintf(v->why, sizeof v->why, "gear sanitised");
    } else if (seconds_between(p->sanitised_at, milking) > g->by_s) {
        (void)snprintf(v->why, sizeof v->why, "sanitised again: it was %s before",
                       span_text(seconds_between(p->sanitised_at, milking), span));
    } else if (!instant_known(p->drained_at) || p->drained_at.s < p->sanitised_at.s) {
        (void)snprintf(v->why, sizeof v->why, "sanitiser drained off");
    } else {
        v->shut = false;
    }
}

static void view_gate(const struct reckoning *k, const struct progress_row *row, const struct step_gate *g,
                      struct gate_view *v)
{
    *v = (struct gate_view){.opens_at = INSTANT_NONE, .due_at = INSTANT_NONE};
    switch (g->kind) {
    case GATE_AFTER: view_after(k, row, g, v); break;
    case GATE_SANITISED: view_sanitised(k, g, v); break;
    case GATE_DRY:
        v->shut = !instant_known(k->p->dry_at);
        (void)snprintf(v->why, sizeof v->why, "gear found dry");
        break;
    case GATE_JARS_UP:
        v->shut = k->p->jars_on_floor;
        (void)snprintf(v->why, sizeof v->why, "jars off the floor");
        break;
    }
}

/* The first shut gate gives the reason; the clock opens the row only if it opens every gate that is shut. */
static void row_take_gates(const struct reckoning *k, struct progress_row *row)
{
    struct gate_view v;
    bool clock_alone = true;
    for (size_t i = 0; i < row->step->gate_count; i++) {
        view_gate(k, row, &row->step->gate[i], &v);
        if (instant_known(v.due_at) && (!instant_known(row->due_at) || v.due_at.s < row->due_at.s))
            row->due_at = v.due_at;
        if (!v.shut)
            continue;
        if (row->state == STATE_OPEN)
            (void)snprintf(row->why, sizeof row->why, "%s", v.why);
        row->state = STATE_WAITING;
        clock_alone = clock_alone && instant_known(v.opens_at);
        row->opens_at = later_of(row->opens_at, v.opens_at);
    }
    enum chemical foe = foe_in_sink(k, row->step);
    if (foe != CHEMICAL_NONE) { /* graver than any other reason to wait */
        row->state = STATE_WAITING;
        (void)snprintf(row->why, sizeof row->why, "a plain rinse: %s is in the sink", chemical_name(foe));
        clock_alone = false;
    }
    if (!clock_alone || row->state != STATE_WAITING)
        row->opens_at = INSTANT_NONE;
}

/* Steps of the week or month: not due yet, or how long overdue. */
static void row_take_calendar(const struct progress_facts *facts, struct progress_row *row)
{
    char day[CIVIL_TEXT_MAX];
    int32_t period = row->step->every == EVERY_WEEK ? WEEK_DAYS : MONTH_DAYS;
    for (size_t i = 0; i < facts->last_count; i++) {
        if (strcmp(facts->last[i].step, row->step->id) != 0 || !date_known(facts->last[i].on))
            continue;
        int32_t since = date_diff(facts->last[i].on, instant_date(facts->now));
        if (since < period) {
            row->state = STATE_NOT_DUE;
            (void)snprintf(row->why, sizeof row->why, "done %s", date_weekday_text(facts->last[i].on, day));
        } else {
            row->overdue_days = since - period;
        }
    }
}

/* A running hot step is late once its water is too cold; without a forecast, once its time is up. */
static void row_take_floor(const struct progress_facts *facts, struct progress_row *row)
{
    struct instant over = instant_after(row->begun_at, row->step->contact_s);
    for (size_t i = 0; i < facts->floor_count; i++)
        if (strcmp(facts->floors[i].step, row->step->id) == 0)
            row->floor_at = facts->floors[i].at;
    if (instant_known(row->floor_at))
        row->due_at = row->floor_at;
    else if (row->step->contact_s > 0)
        row->due_at = over;
    row->too_short = row->left_s > 0 && instant_known(row->floor_at) && row->floor_at.s < over.s;
}

void progress_gates(const struct reckoning *k)
{
    take_sink(k);
    /* The calendar first: a gate may wait for a step that is not due. */
    for (size_t i = 0; i < k->p->count; i++)
        if (k->p->row[i].state == STATE_OPEN && k->p->row[i].step->every != EVERY_SESSION)
            row_take_calendar(k->facts, &k->p->row[i]);
    for (size_t i = 0; i < k->p->count; i++) {
        struct progress_row *row = &k->p->row[i];
        if (row->state == STATE_OPEN)
            row_take_gates(k, row);
        else if (row->state == STATE_RUNNING && row->step->kind == STEP_HOT)
            row_take_floor(k->facts, row);
        if (instant_known(row->due_at) && k->facts->now.s > row->due_at.s)
            row->late_s = seconds_between(row->due_at, k->facts->now);
    }
}
