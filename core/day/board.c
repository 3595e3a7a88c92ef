/* Works the board out: first each pane from its domain, then the one sentence at the top from all of them. */
#include "core/day/board.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/chill_view.h"
#include "core/day/cow_due.h"
#include "core/day/facts.h"
#include "core/day/milking_order.h"
#include "core/day/stall_view.h"

/* Figures that creep (a forecast temperature, ice left) are shown this old at most. */
enum { CREEP_S = 15 };

/* ---- stalls ---- */

static void fill_stalls(const struct dairy *d, const struct facts *facts, struct board *b)
{
    struct instant milking_at = b->milking_open ? b->now : dairy_next_milking(d, b->now);
    b->stalls = (size_t)d->row.stalls;
    for (size_t i = 0; i < b->stalls; i++) {
        b->stall[i].number = (int)i + 1;
        b->stall[i].empty = true;
    }
    for (size_t i = 0; i < facts->cows; i++) {
        const struct cow_record *r = &facts->cow[i];
        if (r->row.stall >= 1 && r->row.stall <= d->row.stalls) {
            stall_view_fill(r, &facts->milk_now[i], b->now, milking_at, &b->stall[r->row.stall - 1]);
        } else if (b->others < BOARD_OTHERS_MAX) {
            struct other_cow *o = &b->other[b->others++];
            o->cow_id = r->row.id;
            (void)snprintf(o->name, sizeof o->name, "%s", r->row.name);
            (void)cow_stage_text(&r->stage, ", ", o->state, sizeof o->state);
        }
    }
}

/* ---- chill ---- */

static void fill_batch(const struct facts *facts, size_t i, const struct batch_forecast *forecast,
                       struct batch_view *v)
{
    const struct batch_row *row = &facts->chill.batch[i];
    const struct batch_facts *given = &facts->chill.morning.batch[i];
    v->id = row->id;
    (void)snprintf(v->code, sizeof v->code, "%.15s", row->code);
    v->letter = strlen(row->code) >= 9 ? row->code[8] : '?';
    (void)snprintf(v->kind, sizeof v->kind, "%s", row->kind);
    (void)snprintf(v->cows, sizeof v->cows, "%s", facts->batch_cows[i]);
    (void)snprintf(v->held_why, sizeof v->held_why, "%s", row->held_why);
    v->count = (int)row->count;
    v->volume_l = (double)row->volume_ml / 1e3;
    v->poured_at = row->poured_at;
    v->poured_read = row->temp_read == 1;
    v->poured_c = (double)row->temp_mc / 1e3;
    memcpy(v->reading, given->reading, sizeof v->reading);
    v->readings = given->readings;
    v->first = given->first;
    memcpy(v->move, given->move, sizeof v->move);
    v->moves = given->moves;
    v->forecast = *forecast;
}

static double ice_put_kg(const struct tub_facts *tub)
{
    double kg = 0;
    for (size_t i = 0; i < tub->acts; i++)
        kg += tub->act[i].kind == TUB_ADD_ICE ? tub->act[i].mass_kg : 0;
    return kg;
}

/* Batches that still cool stand first; among them, and among the others, the order is that of pouring. */
static bool still_cools(const struct batch_forecast *f)
{
    return f->place == PLACE_TUB || f->place == PLACE_TABLE;
}

static int batch_index(const struct board *b, int64_t id)
{
    for (size_t i = 0; i < b->batches; i++)
        if (b->batch[i].id == id)
            return (int)i;
    return 0;
}

static int fill_chill(struct facts *facts, struct board *b, struct fail *f)
{
    struct forecast *forecast = malloc(sizeof *forecast);
    if (forecast == NULL)
        return fail_memory(f);
    facts->chill.morning.now = (double)b->now.s;
    int result = forecast_make(&facts->chill.morning, forecast, f);
    if (result == 0) {
        for (int cooling = 1; cooling >= 0; cooling--)
            for (size_t i = 0; i < forecast->batches; i++)
                if (still_cools(&forecast->batch[i]) == (cooling == 1))
                    fill_batch(facts, i, &forecast->batch[i], &b->batch[b->batches++]);
        b->tub = forecast->tub;
        b->ice_put_kg = ice_put_kg(&facts->chill.morning.tub);
        memcpy(b->advice, forecast->advice, sizeof b->advice);
        b->advice_count = forecast->advice_count;
        for (size_t i = 0; i < b->advice_count; i++)
            b->advice[i].batch = batch_index(b, facts->chill.batch[b->advice[i].batch].id);
        b->cheapest = forecast->cheapest;
    }
    free(forecast);
    b->room_c = facts->chill.morning.room_c;
    b->room_read = facts->chill.room_read;
    b->fridge_c = facts->chill.morning.fridge_c;
    b->fridge_read = facts->chill.fridge_read;
    return result;
}

/* ---- chores ---- */

/* The cows of the stalls that are in milk, in the order in which they are best milked. */
static void fill_milking_order(const struct facts *facts, struct board *b)
{
    struct order_cow order[MILKING_ORDER_MAX];
    size_t count = milking_order(facts, b->now, order);
    for (size_t i = 0; i < count && b->cows < PROGRESS_COWS_MAX; i++) {
        int64_t stall = facts->cow[order[i].id].row.stall;
        if (stall >= 1 && stall <= (int64_t)b->stalls)
            b->cow[b->cows++] = (struct progress_cow){b->stall[stall - 1].cow_id, b->stall[stall - 1].name};
    }
}

static struct progress_facts chores_of(const struct facts *facts, const struct board *b)
{
    struct progress_facts p = {
        .now = b->now,
        .milking_at = facts->milking.id != 0 ? facts->milking.started_at : INSTANT_NONE,
        .cows = b->cow,
        .cow_count = b->cows,
        .sanitised_at = INSTANT_NONE,
        .drained_at = INSTANT_NONE,
        .dry_at = INSTANT_NONE,
        .jars_on_floor = true,
        .sink = facts->sink,
        .last = facts->last,
        .last_count = facts->lasts,
        .floors = facts->floor,
        .floor_count = facts->floors,
    };
    memcpy(p.usual, facts->usual, sizeof p.usual);
    return p;
}

static int fill_chores(const struct facts *facts, struct board *b, struct fail *f)
{
    fill_milking_order(facts, b);
    struct progress_facts p = chores_of(facts, b);
    routine_copy(&b->routine, &facts->routine);
    return progress_reckon(&b->routine, facts->tick, facts->ticks, &p, &b->progress, NULL, f);
}

/* ---- what needs the keeper now ---- */

static void add_alarm(struct board *b, enum urgency urgency, const char *key, const char *text)
{
    if (b->alarms == BOARD_ALARMS_MAX)
        return;
    struct alarm *a = &b->alarm[b->alarms++];
    a->urgency = urgency;
    (void)snprintf(a->key, sizeof a->key, "%s", key);
    (void)snprintf(a->text, sizeof a->text, "%s", text);
}

static const char *minutes_text(double seconds, char buf[CIVIL_TEXT_MAX])
{
    return span_text((int64_t)fmax(0, ceil(seconds / 60)) * 60, buf);
}

static void limit_text(const struct board *b, const struct batch_forecast *f, char buf[QUANTITY_TEXT_MAX])
{
    (void)quantity_format(f->limit_c, DIM_TEMPERATURE, b->units, buf);
}

static void alarm_limit(struct board *b, const struct batch_view *v)
{
    const struct batch_forecast *f = &v->forecast;
    char key[48], text[160], limit[QUANTITY_TEXT_MAX], by[CIVIL_TEXT_MAX], late[CIVIL_TEXT_MAX];
    if (f->verdict != VERDICT_WILL_NOT && f->verdict != VERDICT_DOUBTFUL && f->verdict != VERDICT_MISSED)
        return;
    limit_text(b, f, limit);
    (void)snprintf(key, sizeof key, "limit %lld %d", (long long)v->id, (int)f->verdict);
    (void)snprintf(text, sizeof text, "Batch %c %s %s by %s", v->letter,
                   f->verdict == VERDICT_MISSED     ? "did not reach"
                   : f->verdict == VERDICT_WILL_NOT ? "will not reach"
                                                    : "may not reach",
                   limit, clock_text((struct instant){(int64_t)f->deadline_at}, by));
    if (isfinite(f->in_hand_s) && f->in_hand_s < 0)
        (void)text_append(text, sizeof text, ", %s too late", minutes_text(-f->in_hand_s, late));
    add_alarm(b, f->verdict == VERDICT_DOUBTFUL ? URGENCY_WATCH : URGENCY_STOP, key, text);
}

static void alarm_ready(struct board *b, const struct batch_view *v)
{
    const struct batch_forecast *f = &v->forecast;
    char key[48], text[160];
    if (f->place != PLACE_TUB || f->verdict == VERDICT_WILL_NOT || f->verdict == VERDICT_MISSED ||
        !isfinite(f->safe_pull_at) || f->safe_pull_at > (double)b->now.s)
        return;
    (void)snprintf(key, sizeof key, "ready %lld", (long long)v->id);
    (void)snprintf(text, sizeof text, "Batch %c may come out of the ice now", v->letter);
    add_alarm(b, URGENCY_WATCH, key, text);
}

static void alarm_step(struct board *b, const struct progress_row *row)
{
    char key[64], text[300];
    bool over = row->state == STATE_RUNNING && row->left_s == 0 && row->step->kind == STEP_TIMED;
    bool cold = row->step->kind == STEP_HOT && instant_known(row->floor_at) && row->floor_at.s <= b->now.s;
    if (!over && row->late_s == 0 && !row->too_short)
        return;
    const char *cow = row->cow >= 0 ? b->cow[row->cow].name : "";
    (void)snprintf(key, sizeof key, "step %s %d %s", row->step->id, row->cow,
                   row->late_s > 0 ? "late" : "over");
    (void)snprintf(text, sizeof text, "%s%s%s: %s", row->step->words, cow[0] != '\0' ? ", " : "", cow,
                   row->late_s > 0 && cold ? "its water is too cold now"
                   : row->late_s > 0       ? "late"
                   : over          ? "time is up"
                                   : "the water will be too cold before the time is up");
    add_alarm(b, URGENCY_WATCH, key, text);
}

/* Jars that turned out to hold milk that is not to be kept. */
static void alarm_recall(const struct facts *facts, struct board *b)
{
    char key[48];
    if (facts->recall.say[0] == '\0')
        return;
    (void)snprintf(key, sizeof key, "recall %lld %d", (long long)facts->recall.newest,
                   facts->recall.open_home + facts->recall.open_given + facts->recall.open_cheese);
    (void)snprintf(b->recall, sizeof b->recall, "%s", facts->recall.say);
    add_alarm(b, URGENCY_STOP, key, facts->recall.say);
}

static void alarm_power(const struct facts *facts, struct board *b)
{
    char key[48], say[160];
    power_cut_say(&facts->cut, b->now, say, sizeof say);
    if (say[0] == '\0')
        return;
    bool over = instant_known(facts->cut.to_at);
    bool warm = over ? facts->cut.judged.verdict == OUTAGE_DISCARD
                     : instant_known(facts->cut.safe_until) && facts->cut.safe_until.s <= b->now.s;
    (void)snprintf(key, sizeof key, "power %lld %d %d", (long long)facts->cut.id, over, warm);
    add_alarm(b, warm ? URGENCY_STOP : URGENCY_WATCH, key, say);
}

static void fill_alarms(const struct facts *facts, struct board *b)
{
    alarm_recall(facts, b);
    alarm_power(facts, b);
    for (size_t i = 0; i < b->batches; i++) {
        alarm_limit(b, &b->batch[i]);
        alarm_ready(b, &b->batch[i]);
    }
    for (size_t i = 0; b->milking_open && i < b->progress.timer_count; i++)
        alarm_step(b, &b->progress.row[b->progress.timer[i]]);
}

static const struct alarm *worst_alarm(const struct board *b)
{
    const struct alarm *worst = NULL;
    for (size_t i = 0; i < b->alarms; i++)
        if (worst == NULL || b->alarm[i].urgency > worst->urgency)
            worst = &b->alarm[i];
    return worst;
}

/* What cannot wait about a cow: a calf that has not drunk, one to be served within hours, a watch; then a heat that is
 * looked for. */
static bool cow_sentence(const struct dairy *d, const struct facts *facts, struct board *b)
{
    static const enum due_kind order[] = {DUE_COLOSTRUM, DUE_SERVE, DUE_FRESH, DUE_HEAT};
    struct cow_due due[DUE_MAX];
    size_t best = sizeof order / sizeof order[0];
    for (size_t i = 0; i < facts->cows; i++) {
        size_t n = cow_due(&facts->cow[i], NULL, 0, b->now, dairy_units(d), due);
        for (size_t k = 0; k < n; k++)
            for (size_t rank = 0; rank < best; rank++)
                if (due[k].kind == order[rank] && due[k].on.days == facts->today.days &&
                    (due[k].kind != DUE_HEAT || date_known(due[k].to_on))) {
                    best = rank;
                    b->urgency = due[k].urgency;
                    (void)snprintf(b->sentence, sizeof b->sentence, "%s: %.120s.", facts->cow[i].row.name, due[k].words);
                }
    }
    return best < sizeof order / sizeof order[0];
}

/* Between milkings: the next thing about a cow, or peace. */
static void quiet_sentence(const struct dairy *d, const struct facts *facts, struct board *b)
{
    for (size_t i = 0; i < b->stalls; i++) {
        const struct stall_view *s = &b->stall[i];
        if (!s->empty && s->watch == WATCH_TREND_LOW) {
            b->urgency = URGENCY_WATCH;
            (void)snprintf(b->sentence, sizeof b->sentence, "%s: %.200s", s->name, s->yield_words);
            return;
        }
    }
    if (cow_sentence(d, facts, b))
        return;
    (void)snprintf(b->sentence, sizeof b->sentence,
                   "Nothing is under way. Space on a chore begins the next milking.");
}

/* What is next, and when the next jars may come out. */
static void next_sentence(struct board *b)
{
    const struct batch_view *soon = NULL;
    char at[CIVIL_TEXT_MAX], span[CIVIL_TEXT_MAX];
    (void)snprintf(b->sentence, sizeof b->sentence, "%s", b->progress.next_text);
    for (size_t i = 0; i < b->batches; i++) {
        const struct batch_forecast *f = &b->batch[i].forecast;
        if (f->place == PLACE_TUB && isfinite(f->safe_pull_at) && f->safe_pull_at > (double)b->now.s &&
            (soon == NULL || f->safe_pull_at < soon->forecast.safe_pull_at))
            soon = &b->batch[i];
    }
    if (soon != NULL)
        (void)snprintf(b->detail, sizeof b->detail, "Batch %c may come out of the ice in %s, at %s",
                       soon->letter, minutes_text(soon->forecast.safe_pull_at - (double)b->now.s, span),
                       clock_text((struct instant){(int64_t)soon->forecast.safe_pull_at}, at));
}

static void fill_sentence(const struct dairy *d, const struct facts *facts, struct board *b)
{
    const struct alarm *worst = worst_alarm(b);
    b->urgency = URGENCY_CALM;
    if (worst != NULL) {
        b->urgency = worst->urgency;
        (void)snprintf(b->sentence, sizeof b->sentence, "%s.", worst->text);
        if (strncmp(worst->key, "recall", 6) == 0)
            (void)snprintf(b->detail, sizeof b->detail, "s, then c: which jars, and who has them");
        else if (strncmp(worst->key, "limit", 5) == 0 && b->advice_count > 0)
            (void)board_advice_text(b, &b->advice[b->cheapest >= 0 ? b->cheapest : 0], b->detail,
                                    sizeof b->detail);
        else if (b->milking_open)
            (void)snprintf(b->detail, sizeof b->detail, "%s", b->progress.next_text);
    } else if (b->milking_open) {
        next_sentence(b);
    } else {
        quiet_sentence(d, facts, b);
    }
}

/* ---- when to work it out again ---- */

static void earlier(struct instant *t, double at, struct instant now)
{
    if (isfinite(at) && at > (double)now.s && at < (double)t->s)
        t->s = (int64_t)ceil(at);
}

static void fill_good_until(struct board *b)
{
    struct date tomorrow = date_add(instant_date(b->now), 1);
    b->good_until = date_start(tomorrow);
    bool cooling = false;
    for (size_t i = 0; i < b->batches; i++) {
        cooling =
            cooling || (still_cools(&b->batch[i].forecast) && b->batch[i].forecast.verdict != VERDICT_NONE);
        earlier(&b->good_until, b->batch[i].forecast.safe_pull_at, b->now);
        earlier(&b->good_until, b->batch[i].forecast.deadline_at, b->now);
    }
    if (cooling)
        earlier(&b->good_until, (double)b->now.s + CREEP_S, b->now);
    for (size_t i = 0; i < b->progress.count && b->milking_open; i++) {
        const struct progress_row *row = &b->progress.row[i];
        if (row->state == STATE_RUNNING && row->left_s > 0)
            earlier(&b->good_until, (double)(b->now.s + row->left_s), b->now);
        if (instant_known(row->opens_at) && row->state == STATE_WAITING)
            earlier(&b->good_until, (double)row->opens_at.s, b->now);
        if (instant_known(row->due_at) && row->late_s == 0)
            earlier(&b->good_until, (double)row->due_at.s + 1, b->now);
        if (row->late_s > 0)
            earlier(&b->good_until, (double)b->now.s + CREEP_S, b->now);
    }
    for (size_t i = 0; i < b->stalls; i++)
        if (!b->stall[i].empty && instant_known(b->stall[i].hold.clear_at))
            earlier(&b->good_until, (double)b->stall[i].hold.clear_at.s + 1, b->now);
    if (b->milking_open)
        earlier(&b->good_until, (double)b->opened_at.s + MILKING_LONGEST_S, b->now);
}

/* The first board comes all zero: clearing it again would make the system fetch each of its pages. */
static int make_board(struct dairy *d, struct instant now, bool first, struct board *out, struct fail *f)
{
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (facts_load(d, now, !first, f) != 0)
        return -1;
    struct facts *facts = d->facts;
    if (!first)
        memset(out, 0, sizeof *out);
    out->now = now;
    out->edition = facts->edition;
    out->units = dairy_units(d);
    out->limit = d->limit;
    (void)snprintf(out->dairy, sizeof out->dairy, "%s", d->row.name);
    out->milking_open = facts->milking.id != 0;
    out->opened_at = out->milking_open ? facts->milking.opened_at : INSTANT_NONE;
    out->started_at = out->milking_open ? facts->milking.started_at : INSTANT_NONE;
    out->ended_at = out->milking_open ? facts->milking.ended_at : INSTANT_NONE;
    (void)snprintf(out->last_act, sizeof out->last_act, "%s", facts->last_act);
    out->last_entry = facts->last_entry;
    fill_stalls(d, facts, out);
    if (fill_chill(facts, out, f) != 0 || fill_chores(facts, out, f) != 0)
        return -1;
    fill_alarms(facts, out);
    fill_sentence(d, facts, out);
    fill_good_until(out);
    if (instant_known(facts->cut.safe_until))
        earlier(&out->good_until, (double)facts->cut.safe_until.s, now);
    return 0;
}

int dairy_board(struct dairy *d, struct instant now, struct board *out, struct fail *f)
{
    return make_board(d, now, false, out, f);
}

int dairy_board_first(struct dairy *d, struct instant now, struct board *out, struct fail *f)
{
    if (make_board(d, now, true, out, f) != 0)
        return -1;
    if (!facts_learned(d->facts))
        out->good_until = now;
    return 0;
}

bool board_still_good(const struct dairy *d, const struct board *b, struct instant now)
{
    return b->edition == d->edition && now.s < b->good_until.s && now.s >= b->now.s;
}

/* ---- workings ---- */

int board_explain_batch(struct dairy *d, const struct board *b, size_t i, struct working *w, struct fail *f)
{
    struct forecast *forecast = malloc(sizeof *forecast);
    int result = -1;
    if (forecast == NULL)
        return fail_memory(f);
    if (facts_load(d, b->now, true, f) == 0 && forecast_make(&d->facts->chill.morning, forecast, f) == 0) {
        result = fail_refused(f, "That batch is no longer there.");
        for (size_t n = 0; n < forecast->batches && i < b->batches; n++)
            if (d->facts->chill.batch[n].id == b->batch[i].id) {
                working_init(w, "batch");
                forecast_explain(&d->facts->chill.morning, forecast, n, w);
                result = 0;
            }
    }
    free(forecast);
    return result;
}

static const struct cow_record *find_record(struct dairy *d, int64_t cow_id, struct instant now,
                                            struct fail *f)
{
    if (facts_load(d, now, true, f) != 0)
        return NULL;
    for (size_t i = 0; i < d->facts->cows; i++)
        if (d->facts->cow[i].row.id == cow_id)
            return &d->facts->cow[i];
    fail_refused(f, "She is no longer here.");
    return NULL;
}

int board_explain_cow(struct dairy *d, int64_t cow_id, struct instant now, struct working *w, struct fail *f)
{
    const struct cow_record *r = find_record(d, cow_id, now, f);
    if (r == NULL)
        return -1;
    working_init(w, "expected milk");
    cow_record_explain_yield(r, now, w);
    return 0;
}

int board_explain_hold(struct dairy *d, int64_t cow_id, struct instant now, struct working *w, struct fail *f)
{
    struct hold_state state;
    const struct cow_record *r = find_record(d, cow_id, now, f);
    if (r == NULL)
        return -1;
    working_init(w, "may her milk be kept");
    hold_state(&r->holds.facts, now, &state, w);
    return 0;
}

int board_explain_calving(struct dairy *d, int64_t cow_id, struct instant now, struct working *w, struct fail *f)
{
    const struct cow_record *r = find_record(d, cow_id, now, f);
    if (r == NULL)
        return -1;
    working_init(w, "her calving");
    cow_record_explain_plan(r, now, w);
    return 0;
}

int board_explain_chores(struct dairy *d, struct instant now, struct working *w, struct fail *f)
{
    struct board *b = malloc(sizeof *b);
    int result = -1;
    if (b == NULL)
        return fail_memory(f);
    if (dairy_board(d, now, b, f) == 0) {
        struct progress_facts p = chores_of(d->facts, b);
        working_init(w, "end of the morning");
        result = progress_reckon(&b->routine, d->facts->tick, d->facts->ticks, &p, &b->progress, w, f);
    }
    free(b);
    return result;
}
