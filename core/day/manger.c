#include "core/day/manger.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/cow_page_inside.h"
#include "core/store/rows_year.h"

/* The dairy's own analysis of that name comes before the table's. */
static int find_feed(struct dairy *d, const char *name, struct feed *out, bool *found, struct fail *f)
{
    struct feed_analysis_row row;
    if (rows_first(d->store, &feed_analysis_table, "WHERE feed = ?1 COLLATE NOCASE ORDER BY at DESC, id DESC LIMIT 1",
                   (struct bind[]){BIND_TEXT(name)}, 1, &row, found, f) != 0)
        return -1;
    if (!*found) {
        struct fail why = {0};
        *found = feed_find(name, out, &why) == 0;
        return why.code == FAIL_MEMORY ? fail_memory(f) : 0;
    }
    *out = (struct feed){.kind = row.forage == 1 ? FEED_FORAGE : FEED_GRAIN,
                         .dm_pct = (double)row.dm_mpct / 1e3,
                         .cp_pct = (double)row.cp_mpct / 1e3,
                         .nel_mcal_per_kg = (double)row.nel_kcal_per_kg / 1e3};
    (void)snprintf(out->name, sizeof out->name, "%.39s", row.feed);
    return 0;
}

static int add_item(struct dairy *d, struct manger *m, const char *name, double fed_kg, struct fail *f)
{
    if (m->items == RATION_ITEMS_MAX)
        return 0;
    size_t i = m->items++;
    m->item[i].fed_kg = fed_kg;
    (void)snprintf(m->name[i], sizeof m->name[i], "%.63s", name);
    return find_feed(d, name, &m->item[i].feed, &m->known[i], f);
}

static int load_items(struct dairy *d, const struct cow_record *r, struct manger *m, struct fail *f)
{
    struct free_feed_row forage;
    bool found;
    for (size_t i = 0; i < r->ration_count; i++)
        if (add_item(d, m, r->rations[i].feed, (double)r->rations[i].mass_g / 1e3 * r->milkings, f) != 0)
            return -1;
    if (rows_first(d->store, &free_feed_table, "WHERE cow_id = ?1 AND until_at IS NULL", (struct bind[]){BIND_ID(r->row.id)},
                   1, &forage, &found, f) != 0 ||
        (found && add_item(d, m, forage.feed, (double)NAN, f) != 0))
        return -1;
    m->all_known = m->items > 0;
    for (size_t i = 0; i < m->items; i++)
        m->all_known = m->all_known && m->known[i];
    return 0;
}

static int load_weight(struct dairy *d, const struct cow_record *r, struct manger *m, struct fail *f)
{
    struct weighing_row row;
    bool by_tape;
    if (rows_first(d->store, &weighing_table,
                   "WHERE cow_id = ?1 AND (mass_g IS NOT NULL OR girth_mm IS NOT NULL) ORDER BY at DESC LIMIT 1",
                   (struct bind[]){BIND_ID(r->row.id)}, 1, &row, &m->weighed, f) != 0)
        return -1;
    m->cow.weight_kg = m->weighed ? weighing_kg(&row, &by_tape) : r->breed.mature_kg;
    return 0;
}

static int load_milk(struct dairy *d, const struct cow_record *r, struct manger *m, struct fail *f)
{
    struct milk_test_row test;
    struct expectation e;
    bool found;
    m->cow.fat_pct = 4;
    m->cow.protein_pct = (double)NAN;
    if (rows_first(d->store, &milk_test_table, "WHERE cow_id = ?1 AND fat_mpct IS NOT NULL AND at >= ?2 ORDER BY at DESC LIMIT 1",
                   (struct bind[]){BIND_ID(r->row.id), BIND_AT(date_start(date_add(r->today, -305)))}, 2, &test, &found, f) != 0)
        return -1;
    if (found)
        m->cow.fat_pct = (double)test.fat_mpct / 1e3;
    if (found && test.protein_mpct != ROW_NONE)
        m->cow.protein_pct = (double)test.protein_mpct / 1e3;
    int day = r->stage.in_milk ? date_diff(r->stage.calved_on, r->today) : 0;
    if (day < 1)
        return 0;
    lactation_expect(&r->tomorrow, day, r->milkings, &e, NULL);
    m->cow.milk_kg = isfinite(e.kg) ? e.kg : 0;
    m->cow.day_in_milk = day;
    return 0;
}

int manger_load(struct dairy *d, const struct cow_record *r, struct instant now, struct manger *out, struct working *w,
                struct fail *f)
{
    (void)now;
    memset(out, 0, sizeof *out);
    if (load_items(d, r, out, f) != 0 || load_weight(d, r, out, f) != 0 || load_milk(d, r, out, f) != 0)
        return -1;
    out->cow.calf_kg = r->breed.birth_kg;
    if (r->pregnancy.state == PREGNANCY_IN_CALF)
        out->cow.days_in_calf = date_diff(r->pregnancy.conceived_on, r->today);
    for (size_t i = 0; i < out->items; i++)
        if (!out->known[i])
            working_step(w, "%s is not in the table of feeds: give its analysis", out->name[i]);
    /* A young animal's weight may lie outside what the equations hold for: then there is no balance. */
    if (out->all_known)
        out->balanced = ration_balance_of(&out->cow, out->item, out->items, &out->balance, w, NULL) == 0;
    else
        out->balanced = false;
    if (!out->balanced && feed_need_of(&out->cow, &out->balance.need, w, NULL) != 0)
        working_why(w, "Her weight or her milk is outside what the equations hold for.");
    return 0;
}
