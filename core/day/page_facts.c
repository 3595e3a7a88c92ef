/* What a cow's page is made of, read from the records: her record (the board's own where it is fresh), the
 * lactation looked at and the one before it, her body, her tests. Only rows of these are read, so that a long
 * history costs no more than a short one. */
#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/cow_page_inside.h"
#include "core/day/facts.h"
#include "core/day/yield_days.h"
#include "core/herd/body.h"

/* Weight and condition of a grown cow are shown for so long. */
enum { BODY_BACK_S = 3 * 366 * 86400 };

static const struct milk_row no_milk = {.id = 0};

static const char milk_between[] = "WHERE cow_id = ?1 AND at >= ?2 AND at < ?3 ORDER BY at";

/* The board has her worked out already, if it is of this edition and day. */
static struct cow_record *board_record(struct dairy *d, int64_t cow_id, struct instant now,
                                             const struct milk_row **milk_now)
{
    struct facts *facts = d->facts;
    if (facts == NULL || !facts->learned || facts->edition != d->edition || facts->today.days != instant_date(now).days)
        return NULL;
    for (size_t i = 0; i < facts->cows; i++)
        if (facts->cow[i].row.id == cow_id) {
            *milk_now = &facts->milk_now[i];
            return &facts->cow[i];
        }
    return NULL;
}

/* ---- a lactation ---- */

static struct date dried_within(const struct cow_record *r, struct date from, struct date end)
{
    struct date dried = DATE_NONE;
    for (size_t i = 0; i < r->breeding.dry_off_count; i++)
        if (r->dry_offs[i].days > from.days && r->dry_offs[i].days <= end.days)
            dried = r->dry_offs[i];
    return dried;
}

static void borrow_current(const struct cow_record *r, struct lact *l)
{
    l->current = true;
    l->parity = r->stage.parity;
    l->milkings = r->milkings;
    l->milk = r->milk;
    l->milk_count = r->milk_count;
    l->yield = r->yield;
    l->yield_count = r->yield_count;
    l->prior = r->prior;
    l->curve = r->curve;
    l->season = r->season;
    l->total = r->total;
    l->course = r->course;
    l->course_days = r->course_days;
}

static int load_past(struct dairy *d, const struct cow_record *r, size_t index, struct lact *l,
                     struct fail *f)
{
    struct bind binds[] = {BIND_ID(r->row.id), BIND_AT(date_start(l->calved_on)), BIND_AT(date_start(l->end_on))};
    if (rows_load(d->store, &milk_table, milk_between, binds, 3, (void **)&l->milk, &l->milk_count, f) != 0)
        return -1;
    l->yield = calloc(l->milk_count + 1, sizeof *l->yield);
    if (l->yield == NULL)
        return fail_memory(f);
    l->yield_count = yield_days(l->milk, l->milk_count, l->calved_on, r->usual_milkings, l->yield);
    l->parity = r->breeding.calvings_before + (int)index + 1;
    l->milkings = l->yield_count > 0 ? l->yield[l->yield_count - 1].milkings : r->usual_milkings;
    lactation_prior_usual(&r->breed, l->parity, &l->prior, NULL);
    lactation_learn(&l->prior, l->yield, l->yield_count, LACTATION_CURVE, &l->curve, NULL);
    lactation_learn(&l->prior, l->yield, l->yield_count, LACTATION_SEASON, &l->season, NULL);
    lactation_total(&l->season, l->yield, l->yield_count, l->milkings, &l->total, NULL);
    return 0;
}

struct days_before {
    struct yield_adding days;
    size_t room;
};

static int add_before(void *context, const void *row, struct fail *f)
{
    struct days_before *b = context;
    const struct milk_weight_row *milk = row;
    if (b->days.count == b->room) {
        size_t room = b->room == 0 ? PAGE_DAYS_MAX : 2 * b->room;
        struct yield_row *rows = realloc(b->days.row, room * sizeof *rows);
        if (rows == NULL)
            return fail_memory(f);
        b->days.row = rows;
        b->room = room;
    }
    yield_add(&b->days, milk->at, milk->mass_g, milk->milkings);
    return 0;
}

static int load_before(struct dairy *d, const struct cow_record *r, size_t index, struct page_facts *p,
                       struct fail *f)
{
    if (index == 0)
        return 0;
    struct date from_on = r->calved_on[index - 1], end_on = r->calved_on[index];
    struct bind binds[] = {BIND_ID(r->row.id), BIND_AT(date_start(from_on)), BIND_AT(date_start(end_on))};
    struct days_before before = {.days.calved_on = from_on};
    int result = rows_each(d->store, &milk_weight_table, milk_between, binds, 3, add_before, &before, f);
    yield_settle(&before.days, r->usual_milkings);
    p->before = before.days.row;
    p->before_count = before.days.count;
    return result;
}

static int load_lactation(struct dairy *d, int lactation, struct page_facts *p, struct fail *f)
{
    const struct cow_record *r = p->r;
    struct lact *l = &p->lact;
    size_t n = r->breeding.calving_count;
    *l = (struct lact){.calved_on = DATE_NONE, .dried_on = DATE_NONE, .end_on = date_add(r->today, 1)};
    if (n == 0) {
        l->current = true;
        l->milkings = r->milkings;
        return 0;
    }
    size_t hidden = n > PAGE_LACTATIONS_MAX ? n - PAGE_LACTATIONS_MAX : 0;
    size_t index = lactation == PAGE_NOW ? n - 1 : hidden + (size_t)lactation;
    if (index >= n)
        index = n - 1;
    l->calved_on = r->calved_on[index];
    if (index + 1 < n)
        l->end_on = r->calved_on[index + 1];
    l->dried_on = dried_within(r, l->calved_on, l->end_on);
    if (index + 1 == n)
        borrow_current(r, l);
    else if (load_past(d, r, index, l, f) != 0)
        return -1;
    if (rows_load(d->store, &milk_test_table, "WHERE cow_id = ?1 AND at >= ?2 AND at < ?3 ORDER BY at",
                  (struct bind[]){BIND_ID(r->row.id), BIND_AT(date_start(l->calved_on)),
                                  BIND_AT(date_start(l->end_on))},
                  3, (void **)&l->tests, &l->test_count, f) != 0)
        return -1;
    return load_before(d, r, index, p, f);
}

/* ---- the rest ---- */

double weighing_kg(const struct weighing_row *row, bool *by_tape)
{
    *by_tape = row->mass_g == ROW_NONE;
    if (!*by_tape)
        return (double)row->mass_g / 1e3;
    if (row->girth_mm == ROW_NONE)
        return (double)NAN;
    double girth_m = (double)row->girth_mm / 1e3;
    return row->length_mm == ROW_NONE ? weight_by_girth_kg(girth_m)
                                      : weight_by_girth_length_kg(girth_m, (double)row->length_mm / 1e3);
}

static int load_body(struct dairy *d, struct instant now, struct page_facts *p, struct fail *f)
{
    struct instant from = {now.s - BODY_BACK_S};
    if (p->r->stage.parity == 0)
        from.s = INT64_MIN + 1; /* of a young animal the whole growth */
    struct bind binds[] = {BIND_ID(p->r->row.id), BIND_AT(from)};
    if (rows_load(d->store, &weighing_table, "WHERE cow_id = ?1 AND at >= ?2 ORDER BY at", binds, 2,
                  (void **)&p->weighings, &p->weighing_count, f) != 0 ||
        rows_load(d->store, &condition_score_table, "WHERE cow_id = ?1 AND at >= ?2 ORDER BY at", binds, 2,
                  (void **)&p->scores, &p->score_count, f) != 0)
        return -1;
    return rows_load(d->store, &health_test_table,
                     "WHERE cow_id = ?1 AND (at IS NULL OR at >= ?2) ORDER BY at IS NULL, at, due_on", binds,
                     2, (void **)&p->health, &p->health_count, f);
}

int page_facts_load(struct dairy *d, int64_t cow_id, struct instant now, int lactation,
                    struct page_facts *out, struct fail *f)
{
    memset(out, 0, offsetof(struct page_facts, own));
    out->dairy = d;
    out->now = now;
    out->milk_now = &no_milk;
    struct cow_record *r = board_record(d, cow_id, now, &out->milk_now);
    struct cow_row row;
    out->r = r != NULL ? r : &out->own;
    if (r == NULL) {
        r = &out->own;
        memset(r, 0, sizeof *r);
        if (row_load(d->store, &cow_table, cow_id, &row, f) != 0 || cow_record_load(d, &row, now, r, f) != 0 ||
            cow_record_learn(d, r, f) != 0)
            return -1;
    }
    if (cow_record_figure(r, f) != 0)
        return -1;
    return load_lactation(d, lactation, out, f) != 0 ? -1 : load_body(d, now, out, f);
}

void page_facts_release(struct page_facts *p)
{
    if (!p->lact.current) {
        free(p->lact.milk);
        free(p->lact.yield);
    }
    free(p->lact.tests);
    free(p->before);
    free(p->weighings);
    free(p->scores);
    free(p->health);
    if (p->r == &p->own)
        cow_record_release(&p->own);
}
