#include "core/day/herd_view.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/facts.h"

struct gathering {
    struct dairy *dairy;
    struct herd_view *v;
};

static int fill_dam(struct dairy *d, int64_t dam_id, struct herd_animal *out, struct fail *f)
{
    struct cow_row dam;
    if (dam_id == ROW_NONE)
        return 0;
    if (row_load(d->store, &cow_table, dam_id, &dam, f) != 0)
        return -1;
    (void)snprintf(out->dam, sizeof out->dam, "%s", dam.name);
    return 0;
}

static struct herd_animal *add(struct herd_view *v, const struct cow_row *row)
{
    struct herd_animal *out = &v->animal[v->animals++];
    out->cow_id = row->id;
    out->stall = row->stall == ROW_NONE ? 0 : (int)row->stall;
    (void)snprintf(out->name, sizeof out->name, "%s", row->name);
    (void)snprintf(out->tag, sizeof out->tag, "%s", row->tag);
    (void)snprintf(out->breed, sizeof out->breed, "%s", row->breed);
    return out;
}

static int add_gone(void *context, const void *row, struct fail *f)
{
    struct gathering *g = context;
    const struct cow_row *r = row;
    char day[CIVIL_TEXT_MAX];
    if (g->v->animals == HERD_MAX)
        return 0;
    struct herd_animal *out = add(g->v, r);
    out->gone = true;
    (void)snprintf(out->state, sizeof out->state, "%s %s", r->left_how, date_year_text(r->left_on, day));
    return fill_dam(g->dairy, r->dam_id, out, f);
}

static int add_here(struct dairy *d, const struct cow_record *r, struct instant now, struct herd_view *v,
                    struct fail *f)
{
    struct hold_state hold;
    struct herd_animal *out = add(v, &r->row);
    (void)cow_stage_text(&r->stage, ", ", out->state, sizeof out->state);
    hold_state(&r->holds.facts, now, &hold, NULL);
    out->in_milk = r->stage.in_milk;
    out->keep = hold.keep;
    return fill_dam(d, r->row.dam_id, out, f);
}

/* ---- the herd's breeding ---- */

static void tally(const struct dairy *d, struct breeding_figures *out, struct working *w)
{
    struct breeding_tally t = {0};
    for (size_t i = 0; i < d->facts->cows; i++) {
        const struct cow_record *r = &d->facts->cow[i];
        struct gestation g;
        if (r->breeding.male)
            continue;
        cow_record_gestation(r, &g, NULL);
        breeding_tally_add(&t, &r->breeding, &g, r->today);
    }
    breeding_figures_of(&t, out, w);
}

static void say_part(struct herd_view *v, double value, int decimals, const char *before, const char *after)
{
    if (isfinite(value))
        (void)text_append(v->figures_text, sizeof v->figures_text, "%s%s%.*f%s", v->figures_text[0] == '\0' ? "" : ", ",
                          before, decimals, value, after);
}

static void say_figures(struct herd_view *v)
{
    say_part(v, v->figures.days_open, 0, "open ", " d after calving");
    say_part(v, v->figures.calving_interval_days, 0, "a calf every ", " d");
    say_part(v, v->figures.services_per_conception, 1, "", " services for it");
    say_part(v, v->figures.heat_detection_pct, 0, "", " % of heats seen");
}

int dairy_herd_explain(struct dairy *d, struct instant now, struct working *w, struct fail *f)
{
    struct breeding_figures figures;
    working_init(w, "how breeding goes in the herd");
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (facts_load(d, now, true, f) != 0)
        return -1;
    tally(d, &figures, w);
    return 0;
}

int dairy_herd(struct dairy *d, struct instant now, struct herd_view *out, struct fail *f)
{
    struct gathering g = {d, out};
    memset(out, 0, sizeof *out);
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (facts_load(d, now, true, f) != 0 || store_begin_look(d->store, f) != 0)
        return -1;
    int result = 0;
    for (size_t i = 0; i < d->facts->cows && out->animals < HERD_MAX && result == 0; i++)
        result = add_here(d, &d->facts->cow[i], now, out, f);
    out->here = out->animals;
    if (result == 0)
        result = rows_each(d->store, &cow_table, "WHERE left_how IS NOT NULL ORDER BY left_on DESC, id DESC",
                           NULL, 0, add_gone, &g, f);
    store_rollback(d->store);
    tally(d, &out->figures, NULL);
    say_figures(out);
    return result;
}
