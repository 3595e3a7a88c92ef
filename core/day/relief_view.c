#include "core/day/relief_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/facts.h"
#include "core/day/milking_order.h"
#include "core/day/stall_view.h"
#include "core/day/tonight_view.h"
#include "core/day/wash_record.h"

const char *relief_verdict(enum relief_milk milk)
{
    static const char *const words[] = {[RELIEF_KEEP] = "KEEP",
                                        [RELIEF_KEEP_AFTER] = "KEEP ONLY AFTER",
                                        [RELIEF_POUR_AWAY] = "DO NOT KEEP",
                                        [RELIEF_NONE] = "DO NOT MILK"};
    return words[milk];
}

/* ---- one cow ---- */

/* Milked earlier than planned, her milk might still be held: then it says after when it is kept. */
static void fill_milk(const struct cow_record *r, struct instant now, struct instant at, struct relief_cow *c)
{
    struct hold_state held_now;
    char when[CIVIL_TEXT_MAX];
    hold_state(&r->holds.facts, at, &c->hold, NULL);
    hold_state(&r->holds.facts, now, &held_now, NULL);
    if (!r->stage.in_milk) {
        c->milk = RELIEF_NONE;
        (void)snprintf(c->goes, sizeof c->goes, "She is not milked: %s.", c->state);
    } else if (!c->hold.keep) {
        c->milk = RELIEF_POUR_AWAY;
        (void)snprintf(c->goes, sizeof c->goes,
                       "Milk her last, into a vessel of its own, and pour it away: %.140s.",
                       c->hold.reason[0].words);
    } else if (!held_now.keep) {
        c->milk = RELIEF_KEEP_AFTER;
        c->hold = held_now;
        (void)snprintf(c->goes, sizeof c->goes,
                       "Milked later than %s it is kept; milked earlier it is poured away: %.120s.",
                       instant_text(held_now.clear_at, when), held_now.reason[0].words);
    } else {
        c->milk = RELIEF_KEEP;
        (void)snprintf(
            c->goes, sizeof c->goes,
            "Into the clean jars, if the strip cup and the disc show nothing. Anything odd: keep none "
            "of it and call.");
    }
}

static void fill_udder(const struct cow_record *r, struct relief_cow *c)
{
    for (int q = 0; q < QUARTERS; q++) {
        enum quarter_state state = r->quarters[q].state;
        const char *name = quarter_name((enum quarter)q), *lead = c->udder[0] == '\0' ? "" : "; ";
        if (state == QUARTER_BLIND)
            (void)text_append(c->udder, sizeof c->udder, "%s%s gives no milk: no cup on it", lead, name);
        else if (state == QUARTER_NEW || state == QUARTER_CHRONIC || state == QUARTER_CLEARING)
            (void)text_append(c->udder, sizeof c->udder, "%slook well at the %s (%s)", lead, name,
                              quarter_state_word(state));
    }
}

static void fill_cow(const struct cow_record *r, const struct milk_row *milk, const struct relief_view *v,
                     struct relief_cow *c)
{
    struct stall_view card = {.number = 0};
    struct instant at = milk->id != 0 ? milk->at : v->open ? v->now : v->milking_at;
    stall_view_fill(r, milk, v->now, at, &card);
    c->cow_id = r->row.id;
    c->stall = card.number;
    (void)snprintf(c->name, sizeof c->name, "%s", card.name);
    (void)snprintf(c->tag, sizeof c->tag, "%s", r->row.tag);
    (void)snprintf(c->breed, sizeof c->breed, "%s", r->row.breed);
    (void)snprintf(c->state, sizeof c->state, "%s", card.state);
    c->expected = card.expected;
    c->milked_at = milk->id != 0 ? milk->at : INSTANT_NONE;
    c->rations = card.rations;
    memcpy(c->ration, card.ration, sizeof c->ration);
    fill_milk(r, milk->id != 0 ? milk->at : v->now, at, c);
    fill_udder(r, c);
}

/* ---- notes ---- */

struct notes {
    char (*note)[200];
    size_t *count;
};

static int add_note(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct notes *n = context;
    (void)text_cut(n->note[(*n->count)++], sizeof n->note[0], ((const struct note_row *)row)->text, 190,
                   false);
    return 0;
}

static int load_notes(struct dairy *d, struct relief_view *v, struct fail *f)
{
    struct notes own = {v->note, &v->notes};
    int result = rows_each(d->store, &note_table, "WHERE cow_id IS NULL ORDER BY at DESC LIMIT 3", NULL, 0,
                           add_note, &own, f);
    for (size_t i = 0; i < v->cows && result == 0; i++) {
        struct notes hers = {v->cow[i].note, &v->cow[i].notes};
        result = rows_each(d->store, &note_table, "WHERE cow_id = ?1 ORDER BY at DESC LIMIT 3",
                           (struct bind[]){BIND_ID(v->cow[i].cow_id)}, 1, add_note, &hers, f);
    }
    return result;
}

/* ---- the order ---- */

/* Those in milk in the order that carries least from cow to cow, then the others of the stalls. */
static void fill_cows(const struct facts *facts, struct relief_view *v)
{
    struct order_cow order[MILKING_ORDER_MAX];
    size_t place[MILKING_ORDER_MAX], n = milking_order(facts, v->open ? v->now : v->milking_at, order);
    for (size_t k = 0; k < n; k++) {
        place[k] = (size_t)order[k].id;
        fill_cow(&facts->cow[place[k]], &facts->milk_now[place[k]], v, &v->cow[v->cows]);
        v->cow[v->cows++].order = order_rank_text(order_rank(&order[k]));
    }
    v->milked = n;
    for (size_t i = 0; i < facts->cows && v->cows < RELIEF_COWS_MAX; i++)
        if (!facts->cow[i].stage.in_milk && facts->cow[i].row.stall != ROW_NONE) {
            fill_cow(&facts->cow[i], &facts->milk_now[i], v, &v->cow[v->cows]);
            v->cow[v->cows++].order = "";
        }
}

/* ---- the sanitiser ---- */

/* Where it is mixed: the step that bids water before the chemical, or else the one that leaves the gear sanitised. */
static int find_dose_step(const struct routine *r)
{
    int sanitised = -1;
    for (size_t i = 0; i < r->count; i++) {
        const struct routine_step *s = &r->step[i];
        if (s->every != EVERY_SESSION || s->per_cow)
            continue;
        for (size_t k = 0; k < s->caution_count; k++)
            if (s->caution[k] == CAUTION_WATER_FIRST)
                return (int)i;
        if (s->makes == MAKES_SANITISED && sanitised < 0)
            sanitised = (int)i;
    }
    return sanitised;
}

/* With no milking open only what was mixed for it, by habit within the last hours, has been mixed. */
static int fill_dose(struct dairy *d, struct relief_view *v, struct fail *f)
{
    enum { AHEAD_S = 3 * 3600 };
    struct instant from = v->milking_at;
    v->dose_step = find_dose_step(&v->routine);
    if (!v->open)
        from.s -= AHEAD_S;
    return v->dose_step < 0 ? 0 : wash_dose_say(d, from, v->now, v->dose, sizeof v->dose, f);
}

/* What the evening's figure says. Without one, the tub is filled as the keeper does it. */
static int fill_tub(struct dairy *d, struct relief_view *v, struct fail *f)
{
    char ice[QUANTITY_TEXT_MAX];
    struct tonight_view *t = calloc(1, sizeof *t);
    if (t == NULL)
        return fail_memory(f);
    struct fail why = {0};
    int result = dairy_tonight(d, v->now, t, NULL, &why);
    if (result != 0)
        result = why.code == FAIL_REFUSED ? 0 : fail_set(f, why.code, "%s", why.text);
    else if (t->plan.ice_advised_kg > 0) {
        double unit_kg = v->units == UNITS_US ? KG_PER_LB : 1;
        (void)snprintf(v->tub, sizeof v->tub, "Ice for the tub: %s; jars:",
                       quantity_format(ceil(t->plan.ice_advised_kg / unit_kg) * unit_kg, DIM_MASS, v->units, ice));
        for (size_t i = 0; i < t->facts.jar_kinds; i++)
            if (t->plan.jars[i] > 0)
                (void)text_append(v->tub, sizeof v->tub, " %d %s", t->plan.jars[i], t->facts.jars[i].kind->name);
        (void)text_append(v->tub, sizeof v->tub, ".");
    }
    free(t);
    return result;
}

int dairy_relief(struct dairy *d, struct instant now, struct relief_view *out, struct fail *f)
{
    memset(out, 0, sizeof *out);
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (facts_load(d, now, true, f) != 0)
        return -1;
    const struct facts *facts = d->facts;
    out->now = now;
    out->units = dairy_units(d);
    out->open = facts->milking.id != 0;
    out->milking_at = out->open ? facts->milking.opened_at : dairy_next_milking(d, now);
    (void)snprintf(out->dairy, sizeof out->dairy, "%s", d->row.name);
    (void)snprintf(out->keeper, sizeof out->keeper, "%s", d->row.keeper);
    (void)snprintf(out->limit, sizeof out->limit, "%s", d->limit.title);
    out->routine = facts->routine;
    fill_cows(facts, out);
    if (store_begin_look(d->store, f) != 0)
        return -1;
    int result = load_notes(d, out, f);
    if (result == 0)
        result = fill_dose(d, out, f);
    store_rollback(d->store);
    return result == 0 && !out->open ? fill_tub(d, out, f) : result;
}
