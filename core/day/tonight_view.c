#include "core/day/tonight_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/facts.h"
#include "core/milk/jars.h"

/* The first usual milking time after `now`. */
static struct instant next_milking(const struct dairy *d, struct instant now)
{
    struct instant best = INSTANT_NONE;
    for (int day = 0; day <= 1; day++) {
        char word[16];
        const char *list = d->row.milking_time;
        while (list_next(&list, ',', word, sizeof word)) {
            struct civil c;
            int hour = 6, minute = 0;
            (void)sscanf(word, "%2d:%2d", &hour, &minute);
            date_to_civil(date_add(instant_date(now), day), &c);
            c.hour = hour;
            c.minute = minute;
            struct instant t = civil_to_instant(&c, NULL);
            if (t.s > now.s && (!instant_known(best) || t.s < best.s))
                best = t;
        }
    }
    return best;
}

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
        cow_record_expect(r, v->milking_at, &cow->expected, NULL);
        hold_state(&r->holds.facts, v->milking_at, &hold, NULL);
        cow->keep = hold.keep;
        (void)snprintf(cow->why, sizeof cow->why, "%.159s", hold.words);
        if (!cow->keep || !isfinite(cow->expected.kg))
            continue;
        v->milk_kg += cow->expected.kg;
        spread += pow(cow->expected.high_kg - cow->expected.kg, 2);
    }
    v->milk_high_kg = v->milk_kg + sqrt(spread);
    double kg_per_l = MILK_LB_PER_GAL * KG_PER_LB / L_PER_GAL;
    v->milk_l = milk_volume_l(v->milk_kg, kg_per_l);
    v->milk_high_l = milk_volume_l(v->milk_high_kg, kg_per_l);
}

static int add_stock(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct tonight_facts *facts = context;
    const struct jar_stock_row *stock = row;
    for (size_t i = 0; i < facts->jar_kinds; i++)
        if (strcmp(facts->jars[i].kind->name, stock->kind) == 0)
            facts->jars[i].count = (int)stock->on_hand;
    return 0;
}

static int fill_facts(struct dairy *d, struct tonight_view *v, struct fail *f)
{
    struct tonight_facts *facts = &v->facts;
    *facts = (struct tonight_facts){
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
    for (size_t i = 0; i < d->jars.count; i++)
        facts->jars[facts->jar_kinds++] = (struct jars_on_hand){&d->jars.kind[i], 0};
    return rows_each(d->store, &jar_stock_table, "ORDER BY id", NULL, 0, add_stock, facts, f);
}

int dairy_tonight(struct dairy *d, struct instant now, struct tonight_view *out, struct working *w,
                  struct fail *f)
{
    memset(out, 0, sizeof *out);
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (facts_load(d, now, true, f) != 0)
        return -1;
    out->units = dairy_units(d);
    out->milking_at = next_milking(d, now);
    fill_milk(d, out);
    if (fill_facts(d, out, f) != 0)
        return -1;
    return tonight_plan(&out->facts, &out->plan, w, f);
}
