#include "core/day/wash_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/milking_order.h"
#include "core/day/wash_inside.h"

/* Every caution of the bench, the gravest first: what must never meet, what then to do, how to handle it. */
static const enum caution_id bench_cautions[] = {
    CAUTION_NO_MIX_ACID,     CAUTION_NO_MIX_AMMONIA,  CAUTION_NO_MIX_OTHER, CAUTION_RINSE_BETWEEN,
    CAUTION_SHARP_SMELL,     CAUTION_ACID_INTO_WATER, CAUTION_WATER_FIRST,  CAUTION_GLOVES,
    CAUTION_STORE_APART,     CAUTION_LABEL_RULES,     CAUTION_PAID_HELP,    CAUTION_SCALD,
    CAUTION_COLD_HANDS,      CAUTION_NO_RINSE_LIMIT,  CAUTION_STRIP_TRUTH,  CAUTION_NO_DECAY_DOSE,
    CAUTION_NO_NEAT_BLEACH,  CAUTION_FRESH_MIX,       CAUTION_WET_FLOOR,    CAUTION_NOT_SAFETY,
    CAUTION_LOCAL_LAW,
};

static int begin(struct dairy *d, struct instant now, struct wash_view *v, struct fail *f)
{
    struct wash_rule_row rule;
    memset(v, 0, sizeof *v);
    v->now = now;
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    v->units = dairy_units(d);
    if (facts_load(d, now, true, f) != 0 || wash_rule_load(d, &rule, f) != 0)
        return -1;
    (void)snprintf(v->contact_set, sizeof v->contact_set, "%s", rule.contact_set);
    (void)snprintf(v->lab_set, sizeof v->lab_set, "%s", rule.lab_set);
    (void)snprintf(v->water_set, sizeof v->water_set, "%s", rule.water_set);
    v->heater_c = rule.heater_mc == ROW_NONE ? (double)NAN : (double)rule.heater_mc / 1e3;
    v->cautions = sizeof bench_cautions / sizeof bench_cautions[0];
    memcpy(v->caution, bench_cautions, sizeof bench_cautions);
    return 0;
}

static void fill_order(const struct facts *facts, struct wash_view *v)
{
    struct order_cow order[MILKING_ORDER_MAX];
    size_t count = milking_order(facts, v->now, order);
    for (size_t i = 0; i < count && v->orders < WASH_ORDER_MAX; i++) {
        const struct cow_record *r = &facts->cow[order[i].id];
        struct wash_order_view *o = &v->order[v->orders++];
        (void)snprintf(o->name, sizeof o->name, "%s", r->row.name);
        o->stall = r->row.stall == ROW_NONE ? 0 : (int)r->row.stall;
        o->why = order_rank_text(order_rank(&order[i]));
    }
}

int dairy_wash(struct dairy *d, struct instant now, struct wash_view *out, struct fail *f)
{
    if (begin(d, now, out, f) != 0 || store_begin_look(d->store, f) != 0)
        return -1;
    fill_order(d->facts, out);
    int result = wash_fill_mix(d, out, NULL, f);
    if (result == 0)
        result = wash_fill_sink(d, d->facts, out, NULL, f);
    if (result == 0)
        result = wash_fill_parts(d, d->facts, out, NULL, NULL, f);
    if (result == 0)
        result = wash_fill_lab(d, d->facts, out, LAB_MEASURES, NULL, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    return result;
}

/* ---- workings ---- */

static int explain(struct dairy *d, struct instant now, int (*fill)(struct dairy *, struct wash_view *, struct working *,
                                                                    const void *, struct fail *),
                   const void *which, const char *title, struct working *w, struct fail *f)
{
    struct wash_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    working_init(w, title);
    int result = begin(d, now, v, f);
    if (result == 0)
        result = fill(d, v, w, which, f);
    free(v);
    if (result == 0 && w->given_count == 0 && w->step_count == 0)
        return fail_refused(f, "There is nothing to work out there yet.");
    return result;
}

static int fill_mix(struct dairy *d, struct wash_view *v, struct working *w, const void *which, struct fail *f)
{
    (void)which;
    return wash_fill_mix(d, v, w, f);
}

static int fill_sink(struct dairy *d, struct wash_view *v, struct working *w, const void *which, struct fail *f)
{
    (void)which;
    return wash_fill_sink(d, d->facts, v, w, f);
}

static int fill_part(struct dairy *d, struct wash_view *v, struct working *w, const void *which, struct fail *f)
{
    return wash_fill_parts(d, d->facts, v, which, w, f);
}

static int fill_measure(struct dairy *d, struct wash_view *v, struct working *w, const void *which, struct fail *f)
{
    return wash_fill_lab(d, d->facts, v, *(const enum lab_measure *)which, w, f);
}

int wash_explain_mix(struct dairy *d, struct instant now, struct working *w, struct fail *f)
{
    return explain(d, now, fill_mix, NULL, "the mix", w, f);
}

int wash_explain_sink(struct dairy *d, struct instant now, struct working *w, struct fail *f)
{
    return explain(d, now, fill_sink, NULL, "the sink", w, f);
}

int wash_explain_part(struct dairy *d, struct instant now, const char *name, struct working *w, struct fail *f)
{
    return explain(d, now, fill_part, name, "when it is due", w, f);
}

int wash_explain_measure(struct dairy *d, struct instant now, enum lab_measure measure, struct working *w,
                         struct fail *f)
{
    return explain(d, now, fill_measure, &measure, "the laboratory's figure", w, f);
}
