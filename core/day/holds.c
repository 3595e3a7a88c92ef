#include "core/day/holds.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static double hours_of(int64_t seconds)
{
    return seconds == ROW_NONE ? (double)NAN : (double)seconds / 3600;
}

static double days_of(int64_t seconds)
{
    return seconds == ROW_NONE ? (double)NAN : (double)seconds / 86400;
}

static enum hold_kind kind_of(const char *word)
{
    static const char *const words[] = {[HOLD_TREATMENT] = "treatment",
                                        [HOLD_DRY_COW] = "dry-cow",
                                        [HOLD_ABNORMAL] = "abnormal",
                                        [HOLD_PLAIN] = "plain"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strcmp(words[i], word) == 0)
            return (enum hold_kind)i;
    return HOLD_ABNORMAL; /* a word that is not known keeps the milk out until a person lifts it */
}

static void fill_hold(const struct hold_row *row, struct hold *h)
{
    *h = (struct hold){
        .kind = kind_of(row->kind),
        .name = row->why,
        .from_at = row->from_at,
        .last_dose_at = row->last_dose_at,
        .doses_to_come = row->doses_to_come == 1,
        .milk_hours = hours_of(row->milk_s),
        .meat_days = days_of(row->meat_s),
        .dry_days = days_of(row->dry_s),
        .fresh_hours = hours_of(row->fresh_s),
        .fresh_milkings = row->fresh_milkings == ROW_NONE ? 0 : (int)row->fresh_milkings,
        .until_at = row->until_at,
        .lifted_at = row->lifted_at,
    };
}

/* Collects the moments of a table that has cow_id and at. */
struct moments {
    struct instant *list;
    size_t count, room;
};

static int add_moment(struct moments *m, struct instant at, struct fail *f)
{
    if (m->count == m->room) {
        size_t room = m->room == 0 ? 16 : 2 * m->room;
        struct instant *list = realloc(m->list, room * sizeof *list);
        if (list == NULL)
            return fail_memory(f);
        m->list = list;
        m->room = room;
    }
    m->list[m->count++] = at;
    return 0;
}

static int add_calving(void *context, const void *row, struct fail *f)
{
    return add_moment(context, ((const struct calving_row *)row)->at, f);
}

static int add_milk(void *context, const void *row, struct fail *f)
{
    return add_moment(context, ((const struct milk_row *)row)->at, f);
}

int hold_record_load(struct dairy *d, int64_t cow_id, struct hold_record *out, struct fail *f)
{
    struct bind cow = BIND_ID(cow_id);
    struct moments calved = {0}, milked = {0};
    size_t count;
    memset(out, 0, sizeof *out);
    int result = rows_load(d->store, &hold_table, "WHERE cow_id = ?1 ORDER BY from_at", &cow, 1,
                           (void **)&out->rows, &count, f);
    if (result == 0)
        result = rows_each(d->store, &calving_table, "WHERE cow_id = ?1 ORDER BY at", &cow, 1, add_calving,
                           &calved, f);
    /* Only rules that count milkings ask for them, and those count from the last calving. */
    if (result == 0 && calved.count > 0)
        result =
            rows_each(d->store, &milk_table, "WHERE cow_id = ?1 AND at >= ?2 ORDER BY at LIMIT 64",
                      (struct bind[]){cow, BIND_AT(calved.list[calved.count - 1])}, 2, add_milk, &milked, f);
    out->calved_at = calved.list;
    out->milked_at = milked.list;
    if (result != 0)
        return -1;
    out->holds = calloc(count + 1, sizeof *out->holds);
    if (out->holds == NULL)
        return fail_memory(f);
    for (size_t i = 0; i < count; i++)
        fill_hold(&out->rows[i], &out->holds[i]);
    out->facts = (struct hold_facts){
        .holds = out->holds,
        .hold_count = count,
        .calved_at = out->calved_at,
        .calving_count = calved.count,
        .milked_at = out->milked_at,
        .milking_count = milked.count,
        .fresh = {.days = (double)d->row.fresh_s / 86400, .milkings = (int)d->row.fresh_milkings},
    };
    return 0;
}

void hold_record_release(struct hold_record *r)
{
    free(r->rows);
    free(r->holds);
    free(r->calved_at);
    free(r->milked_at);
    memset(r, 0, sizeof *r);
}

int cow_hold_state(struct dairy *d, int64_t cow_id, struct instant milked_at, struct hold_state *out,
                   struct working *w, struct fail *f)
{
    struct hold_record record;
    int result = hold_record_load(d, cow_id, &record, f);
    if (result == 0)
        hold_state(&record.facts, milked_at, out, w);
    hold_record_release(&record);
    return result;
}
