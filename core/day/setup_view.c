#include "core/day/setup_view.h"

#include <stdio.h>
#include <string.h>

#include "core/day/inside.h"
#include "core/store/rows_shelf.h"

static int add_cow(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct setup_view *v = context;
    const struct cow_row *r = row;
    if (v->cows == SETUP_COWS_MAX)
        return 0;
    struct setup_cow *c = &v->cow[v->cows++];
    c->id = r->id;
    c->stall = r->stall == ROW_NONE ? 0 : (int)r->stall;
    c->born_on = r->born_on;
    (void)snprintf(c->name, sizeof c->name, "%s", r->name);
    (void)snprintf(c->tag, sizeof c->tag, "%s", r->tag);
    (void)snprintf(c->breed, sizeof c->breed, "%s", r->breed);
    return 0;
}

static int add_stock(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct setup_view *v = context;
    const struct jar_stock_row *r = row;
    for (size_t i = 0; i < v->jars; i++)
        if (strcmp(v->jar[i].kind, r->kind) == 0)
            v->jar[i].on_hand = 0; /* counted once; what stands empty at home now is added */
    return 0;
}

static int add_empty(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct setup_view *v = context;
    const struct tally_pool_row *r = row;
    for (size_t i = 0; i < v->jars; i++)
        if (v->jar[i].on_hand >= 0 && strcmp(v->jar[i].kind, r->kind) == 0)
            v->jar[i].on_hand += r->count > 0 ? r->count : 0;
    return 0;
}

static void fill_settings(const struct dairy *d, struct setup_view *v)
{
    const struct dairy_row *r = &d->row;
    (void)snprintf(v->name, sizeof v->name, "%s", r->name);
    (void)snprintf(v->keeper, sizeof v->keeper, "%s", r->keeper);
    (void)snprintf(v->limit_set, sizeof v->limit_set, "%s", r->limit_set);
    (void)snprintf(v->own_limit, sizeof v->own_limit, "%s", r->own_limit);
    (void)snprintf(v->stir, sizeof v->stir, "%s", r->stir);
    (void)snprintf(v->milking_time, sizeof v->milking_time, "%s", r->milking_time);
    (void)snprintf(v->limit_title, sizeof v->limit_title, "%s", d->limit.title);
    v->units = dairy_units(d);
    v->stalls = (int)r->stalls;
    v->fresh_milkings = (int)r->fresh_milkings;
    v->tub_l = (double)r->tub_water_ml / 1e3;
    v->tap_c = (double)r->tap_temp_mc / 1e3;
    v->room_c = (double)r->room_temp_mc / 1e3;
    v->fridge_c = (double)r->fridge_temp_mc / 1e3;
    v->table_s = (double)r->table_s;
    v->fresh_s = (double)r->fresh_s;
}

static void find_free_stall(struct setup_view *v)
{
    for (int stall = 1; stall <= v->stalls && v->free_stall == 0; stall++) {
        bool taken = false;
        for (size_t i = 0; i < v->cows; i++)
            taken = taken || v->cow[i].stall == stall;
        v->free_stall = taken ? 0 : stall;
    }
}

int dairy_setup(struct dairy *d, struct setup_view *out, struct fail *f)
{
    memset(out, 0, sizeof *out);
    out->set_up = d->set_up;
    for (size_t i = 0; i < d->jars.count && out->jars < SETUP_JARS_MAX; i++) {
        struct setup_jar *j = &out->jar[out->jars++];
        (void)snprintf(j->kind, sizeof j->kind, "%s", d->jars.kind[i].name);
        j->volume_l = d->jars.kind[i].volume_l;
        j->on_hand = -1;
    }
    if (!d->set_up)
        return 0;
    fill_settings(d, out);
    if (rows_each(d->store, &cow_table, "WHERE left_how IS NULL ORDER BY stall IS NULL, stall, name", NULL, 0,
                  add_cow, out, f) != 0 ||
        rows_each(d->store, &jar_stock_table, "ORDER BY id", NULL, 0, add_stock, out, f) != 0 ||
        rows_each(d->store, &tally_pool_table, "WHERE state IN ('clean', 'dirty')", NULL, 0, add_empty, out, f) != 0)
        return -1;
    find_free_stall(out);
    return dairy_routine(d, &out->routine, f);
}

bool setup_limit(const struct dairy *d, size_t n, const char **name, const char **title)
{
    if (n >= d->limits.count)
        return false;
    *name = d->limits.set[n].name;
    *title = d->limits.set[n].title;
    return true;
}
