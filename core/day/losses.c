#include "core/day/losses.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/recall.h"
#include "core/day/trace_record.h"
#include "core/milk/jars.h"

struct loss_list {
    struct loss *loss;
    size_t count, room;
    struct dairy *dairy;
    struct hold_shelf *holds;
    int64_t milked_g[LOSS_MONTHS_MAX]; /* by months before `now` */
    struct instant now;
};

static int add_loss(struct loss_list *l, struct instant at, enum loss_cause cause, int64_t mass_g,
                    struct fail *f)
{
    if (l->count == l->room) {
        size_t room = l->room == 0 ? 64 : 2 * l->room;
        struct loss *more = realloc(l->loss, room * sizeof *more);
        if (more == NULL)
            return fail_memory(f);
        l->loss = more;
        l->room = room;
    }
    l->loss[l->count++] = (struct loss){instant_date(at), cause, mass_g};
    return 0;
}

/* The cause is the first word of the reason: "held: Tib's udder tube". */
static enum loss_cause cause_of(const char *why)
{
    char word[16] = "";
    enum loss_cause cause = LOSS_OTHER;
    for (size_t i = 0; i + 1 < sizeof word && isalpha((unsigned char)why[i]); i++)
        word[i] = why[i];
    (void)loss_parse(word, &cause, NULL);
    return cause;
}

static int take_dumped(void *context, const void *row, struct fail *f)
{
    struct loss_list *l = context;
    const struct jar_move_row *m = row;
    struct batch_row b;
    if (row_load(l->dairy->store, &batch_table, m->batch_id, &b, f) != 0)
        return -1;
    double kg = milk_mass_kg((double)(b.volume_ml * m->count) / 1e3, MILK_DENSITY_KG_PER_L);
    enum loss_cause cause = strcmp(m->to_place, "lost") == 0 ? LOSS_BROKEN : cause_of(m->why);
    return add_loss(l, m->at, cause, quantity_milli(kg), f);
}

static int take_loss(void *context, const void *row, struct fail *f)
{
    const struct loss_row *r = row;
    return add_loss(context, r->at, cause_of(r->why), r->mass_g, f);
}

static int months_before(struct instant now, struct instant at)
{
    struct civil a, b;
    civil_from_instant(now, &a);
    civil_from_instant(at, &b);
    return (a.year - b.year) * 12 + a.month - b.month;
}

static int take_milked(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct loss_list *l = context;
    const struct milk_row *m = row;
    int month = months_before(l->now, m->at);
    if (m->mass_g != ROW_NONE && month >= 0 && month < LOSS_MONTHS_MAX)
        l->milked_g[month] += m->mass_g;
    return 0;
}

/* Weighed, of a cow on hold, and in no batch of that milking: poured away, or fed; it is not known which. */
static int take_unpoured(void *context, const void *row, struct fail *f)
{
    struct loss_list *l = context;
    const struct milk_row *m = row;
    struct trace_lot lot = {m->id, m->cow_id, m->milking_id, m->at};
    bool held;
    char why[160];
    if (hold_shelf_judge(l->holds, &lot, &held, why, f) != 0)
        return -1;
    if (!held || m->mass_g == 0)
        return 0;
    enum loss_cause cause = text_starts(why, "fresh", NULL)      ? LOSS_FRESH
                            : text_starts(why, "abnormal", NULL) ? LOSS_ABNORMAL
                                                                 : LOSS_HELD;
    return add_loss(l, m->at, cause, m->mass_g, f);
}

static int load_losses(struct loss_list *l, struct instant since, struct fail *f)
{
    struct store *s = l->dairy->store;
    struct bind from = BIND_AT(since);
    if (rows_each(s, &jar_move_table, "WHERE at >= ?1 AND to_place IN ('dumped', 'lost')", &from, 1,
                  take_dumped, l, f) != 0 ||
        rows_each(s, &loss_table, "WHERE at >= ?1", &from, 1, take_loss, l, f) != 0 ||
        rows_each(s, &milk_table, "WHERE milking_id IN (SELECT id FROM milking WHERE opened_at >= ?1)", &from,
                  1, take_milked, l, f) != 0)
        return -1;
    return rows_each(s, &milk_table,
                     "WHERE milking_id IN (SELECT id FROM milking WHERE opened_at >= ?1) AND mass_g IS NOT "
                     "NULL AND NOT EXISTS "
                     "(SELECT 1 FROM batch b JOIN batch_source s ON s.batch_id = b.id WHERE b.milking_id = "
                     "milk.milking_id AND "
                     "s.cow_id = milk.cow_id)",
                     &from, 1, take_unpoured, l, f);
}

static int add_up(struct loss_list *l, struct losses *out, struct fail *f)
{
    struct loss_month months[LOSS_MONTHS_MAX];
    size_t count;
    struct civil now;
    civil_from_instant(out->now, &now);
    if (loss_by_month(l->loss, l->count, months, LOSS_MONTHS_MAX, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count; i++) {
        struct losses_month *m = &out->month[out->months++];
        m->lost = months[count - 1 - i];
        int before = (now.year - m->lost.year) * 12 + now.month - m->lost.month;
        m->milked_g = before >= 0 && before < LOSS_MONTHS_MAX ? l->milked_g[before] : 0;
        loss_say(&m->lost, m->milked_g, dairy_units(l->dairy), m->say, NULL);
    }
    return 0;
}

static struct instant months_ago(struct instant now, int months)
{
    struct civil c;
    struct date first;
    civil_from_instant(now, &c);
    int month = c.year * 12 + c.month - 1 - (months - 1);
    return date_from_ymd(month / 12, month % 12 + 1, 1, &first) ? date_start(first) : (struct instant){0};
}

int dairy_losses(struct dairy *d, int months, struct instant now, struct losses *out, struct fail *f)
{
    struct loss_list *l = calloc(1, sizeof *l);
    memset(out, 0, sizeof *out);
    out->now = now;
    if (l == NULL)
        return fail_memory(f);
    l->dairy = d;
    l->now = now;
    int result =
        !d->set_up ? fail_refused(f, "The dairy is not set up yet.") : hold_shelf_new(d, &l->holds, f);
    if (result == 0)
        result = store_begin_look(d->store, f);
    if (result == 0) {
        result = load_losses(l, months_ago(now, months), f);
        store_rollback(d->store); /* nothing was written: this only ends the look */
    }
    if (result == 0)
        result = add_up(l, out, f);
    hold_shelf_free(l->holds);
    free(l->loss);
    free(l);
    return result;
}
