#include "core/day/tonight_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/facts.h"
#include "core/day/holds.h"
#include "core/store/rows_shelf.h"

/* Expected milk of the cows that may be kept; their uncertainties are independent, so the band adds in
 * squares. */
static void fill_milk(struct dairy *d, struct tonight_view *v)
{
    double spread = 0;
    for (size_t i = 0; i < d->facts->cows && v->cows < TONIGHT_COWS_MAX; i++) {
        const struct cow_record *r = &d->facts->cow[i];
        struct hold_state hold;
        if (!r->stage.in_milk)
            continue;
        struct tonight_cow *cow = &v->cow[v->cows++];
        (void)snprintf(cow->name, sizeof cow->name, "%s", r->row.name);
        cow_record_expect(r, v->milking_at, &cow->expected);
        hold_state(&r->holds.facts, v->milking_at, &hold, NULL);
        cow->keep = hold.keep;
        (void)snprintf(cow->why, sizeof cow->why, "%.159s", hold.words);
        if (!cow->keep || !isfinite(cow->expected.kg))
            continue;
        v->milk_kg += cow->expected.kg;
        spread += pow(cow->expected.high_kg - cow->expected.kg, 2);
    }
    v->milk_high_kg = v->milk_kg + sqrt(spread);
    v->milk_l = milk_volume_l(v->milk_kg, MILK_DENSITY_KG_PER_L);
    v->milk_high_l = milk_volume_l(v->milk_high_kg, MILK_DENSITY_KG_PER_L);
}

/* ---- jars ---- */

/* Counts of one kind by state, as they add up. */
struct kind_count {
    const struct jar_kind *kind;
    int n[JARS_STATES];
};

struct pool_loading {
    const struct dairy *dairy;
    struct kind_count kind[JAR_KINDS_MAX];
    size_t kinds;
    bool counted;
};

static int pool_add(struct pool_loading *l, const char *name, enum jars_state state, int64_t count)
{
    const struct jar_kind *kind = jar_find(&l->dairy->jars, name);
    size_t i = 0;
    if (kind == NULL || count <= 0)
        return 0;
    while (i < l->kinds && l->kind[i].kind != kind)
        i++;
    if (i == JAR_KINDS_MAX)
        return 0;
    if (i == l->kinds)
        l->kind[l->kinds++] = (struct kind_count){.kind = kind};
    l->kind[i].n[state] += (int)count;
    return 0;
}

static int add_empty(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct tally_pool_row *r = row;
    for (int s = 0; s < JARS_STATES; s++)
        if (strcmp(jars_state_word((enum jars_state)s), r->state) == 0)
            return pool_add(context, r->kind, (enum jars_state)s, r->count);
    return 0;
}

static int add_full(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct tally_place_row *r = row;
    return pool_add(context, r->kind, JARS_FULL, r->count);
}

static int note_counted(void *context, const void *row, struct fail *f)
{
    (void)f;
    (void)row;
    ((struct pool_loading *)context)->counted = true;
    return 0;
}

static int load_pool(struct dairy *d, struct pool_loading *l, struct fail *f)
{
    *l = (struct pool_loading){.dairy = d};
    return rows_each(d->store, &tally_pool_table, "ORDER BY kind", NULL, 0, add_empty, l, f) != 0 ||
                   rows_each(d->store, &tally_place_table,
                             "WHERE place IN ('tub', 'table', 'fridge', 'freezer')", NULL, 0, add_full, l,
                             f) != 0 ||
                   rows_each(d->store, &jar_stock_table, "LIMIT 1", NULL, 0, note_counted, l, f) != 0
               ? -1
               : 0;
}

static int judge_jars(const struct pool_loading *l, struct tonight_view *v, struct fail *f)
{
    size_t order[TONIGHT_KINDS_MAX] = {0};
    tonight_jar_order(&v->facts, order);
    v->kinds.count = l->kinds;
    v->counted = l->counted;
    for (size_t i = 0; i < l->kinds; i++) {
        const struct kind_count *k = &l->kind[order[i]];
        (void)snprintf(v->kinds.kind[i].name, sizeof v->kinds.kind[i].name, "%s", k->kind->name);
        v->kinds.kind[i].volume_l = k->kind->volume_l;
        for (int s = 0; s < JARS_STATES; s++)
            v->pool.n[s][i] = k->n[s];
    }
    return jars_judge(v->milk_high_l, &v->kinds, &v->pool, v->units, &v->ready, v->jars_say, NULL, f);
}

/* ---- the plan ---- */

static void fill_facts(struct dairy *d, const struct pool_loading *pool, struct tonight_view *v)
{
    v->facts = (struct tonight_facts){
        .milk_l = v->milk_high_l,
        .milk_c = 35,
        .fat_pct = 4,
        .target_c = temp_c_from_f(40),
        .water_l = (double)d->row.tub_water_ml / 1e3,
        .water_c = (double)d->row.tap_temp_mc / 1e3,
        .chilled_c = (double)NAN,
        .ice_c = (double)NAN,
        .room_c = d->facts->chill.morning.room_c,
        .room_w_per_k = (double)NAN,
        .hours = 1.5,
    };
    for (size_t i = 0; i < pool->kinds; i++)
        v->facts.jars[v->facts.jar_kinds++] =
            (struct jars_on_hand){pool->kind[i].kind, pool->kind[i].n[JARS_CLEAN]};
}

int dairy_tonight_jars(struct dairy *d, struct instant now, struct tonight_view *out, struct fail *f)
{
    struct pool_loading pool;
    memset(out, 0, sizeof *out);
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (facts_load(d, now, true, f) != 0 || load_pool(d, &pool, f) != 0)
        return -1;
    out->units = dairy_units(d);
    out->milking_at = dairy_next_milking(d, now);
    fill_milk(d, out);
    fill_facts(d, &pool, out);
    return judge_jars(&pool, out, f);
}

int dairy_tonight(struct dairy *d, struct instant now, struct tonight_view *out, struct working *w,
                  struct fail *f)
{
    return dairy_tonight_jars(d, now, out, f) != 0 ? -1 : tonight_plan(&out->facts, &out->plan, w, f);
}
