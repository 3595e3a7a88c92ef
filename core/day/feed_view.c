#include "core/day/feed_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/facts.h"
#include "core/day/manger.h"
#include "core/store/rows_year.h"

/* ---- cows ---- */

static void say_gets(const struct feed_view *v, const struct manger *m, char *buf, size_t size)
{
    char kg[QUANTITY_TEXT_MAX];
    buf[0] = '\0';
    for (size_t i = 0; i < m->items; i++)
        if (isnan(m->item[i].fed_kg))
            (void)text_append(buf, size, "%s%s free", i == 0 ? "" : ", ", m->name[i]);
        else
            (void)text_append(buf, size, "%s%s %s", i == 0 ? "" : ", ",
                              quantity_format(m->item[i].fed_kg, DIM_MASS, v->units, kg), m->name[i]);
}

/* What stands against a balance, or the balance in one sentence. */
static void say_balance(const struct manger *m, struct feed_cow_view *c)
{
    bool forage = false;
    for (size_t i = 0; i < m->items; i++)
        forage = forage || (m->known[i] && m->item[i].feed.kind == FEED_FORAGE);
    for (size_t i = 0; i < m->items; i++)
        if (!m->known[i]) {
            (void)snprintf(c->words, sizeof c->words, "%.60s has no analysis: v enters it", m->name[i]);
            return;
        }
    if (m->items == 0) {
        (void)snprintf(c->words, sizeof c->words, "nothing is recorded that she gets");
    } else if (!m->balanced) {
        (void)snprintf(c->words, sizeof c->words, "outside what the equations hold for");
    } else if (!forage) {
        (void)snprintf(c->words, sizeof c->words, "only grain is recorded: g says what forage stands before her");
    } else {
        (void)ration_text(&m->balance, c->words, sizeof c->words);
        c->urgency = fabs(m->balance.balance_mcal) > 0.1 * m->balance.need.total_mcal ? URGENCY_WATCH : URGENCY_CALM;
    }
}

static void fill_cow(struct feed_view *v, const struct cow_record *r, const struct manger *m)
{
    struct water_need water;
    struct feed_cow_view *c = &v->cow[v->cows++];
    *c = (struct feed_cow_view){.cow_id = r->row.id,
                                .balanced = m->balanced,
                                .need_mcal = m->balance.need.total_mcal,
                                .have_mcal = m->balance.sum.have_mcal,
                                .balance_mcal = m->balance.balance_mcal,
                                .intake_kg_dm = m->balance.need.intake_kg_dm,
                                .dm_kg = m->balance.sum.dm_kg,
                                .cp_pct = m->balance.sum.cp_pct,
                                .forage_pct = m->balance.sum.forage_pct,
                                .weight_kg = m->cow.weight_kg,
                                .weighed = m->weighed,
                                .milk_kg = m->cow.milk_kg};
    (void)snprintf(c->name, sizeof c->name, "%s", r->row.name);
    (void)cow_stage_text(&r->stage, ", ", c->state, sizeof c->state);
    water_need_of(m->cow.milk_kg, m->balanced ? m->balance.sum.dm_kg : m->balance.need.intake_kg_dm,
                  m->balanced ? m->balance.sum.water_l : 0, false, &water, NULL);
    c->water_l = water.plan_l;
    say_gets(v, m, c->gets, sizeof c->gets);
    say_balance(m, c);
    v->milk_kg_per_day += m->cow.milk_kg;
}

/* ---- stock ---- */

static struct feed_stock_view *stock_of(struct feed_view *v, const char *feed)
{
    for (size_t i = 0; i < v->stocks; i++)
        if (text_same(v->stock[i].feed, feed))
            return &v->stock[i];
    if (v->stocks == FEED_STOCKS_MAX)
        return NULL;
    struct feed_stock_view *s = &v->stock[v->stocks++];
    *s = (struct feed_stock_view){.price_per_kg = (double)NAN, .days_left = (double)NAN, .gone_on = DATE_NONE};
    (void)snprintf(s->feed, sizeof s->feed, "%.63s", feed);
    return s;
}

/* What she eats a day of each feed. */
static void add_use(struct feed_view *v, const struct manger *m)
{
    for (size_t i = 0; i < m->items; i++) {
        bool free_choice = isnan(m->item[i].fed_kg);
        struct feed_stock_view *s = stock_of(v, m->name[i]);
        double kg = free_choice ? (m->balanced ? m->balance.sum.free_kg : 0) : m->item[i].fed_kg;
        if (s != NULL)
            s->use_kg_per_day += kg;
    }
}

/* Counts and deliveries of all feeds in order of time; a count begins anew. */
struct store_sum {
    struct feed_view *v;
    struct {
        double kg;
        struct instant from; /* of the count, or of the first delivery */
    } sum[FEED_STOCKS_MAX];
};

static int add_stock(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct store_sum *l = context;
    const struct feed_stock_row *r = row;
    struct feed_stock_view *s = stock_of(l->v, r->feed);
    if (s == NULL)
        return 0;
    size_t i = (size_t)(s - l->v->stock);
    double kg = (double)r->mass_g / 1e3;
    if (strcmp(r->kind, "counted") == 0 || !s->counted) {
        l->sum[i].kg = kg;
        l->sum[i].from = r->at;
    } else {
        l->sum[i].kg += kg;
    }
    s->counted = true;
    if (r->cost_cents != ROW_NONE && kg > 0)
        s->price_per_kg = (double)r->cost_cents / 100 / kg;
    return 0;
}

/* What rations took out of the store since it was counted: by the rations as they were then. */
struct taken {
    const char *feed;
    struct instant from, now;
    double kg;
    int milkings; /* a day */
};

static int add_taken(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct taken *t = context;
    const struct ration_row *r = row;
    int64_t from = r->from_at.s > t->from.s ? r->from_at.s : t->from.s;
    int64_t to = instant_known(r->until_at) && r->until_at.s < t->now.s ? r->until_at.s : t->now.s;
    if (to > from)
        t->kg += (double)(to - from) / 86400 * (double)r->mass_g / 1e3 * t->milkings;
    return 0;
}

static int fill_stock(struct dairy *d, struct feed_view *v, struct feed_stock_view *s, double counted_kg, struct instant from,
                      double free_kg_per_day, struct fail *f)
{
    struct taken t = {s->feed, from, v->now, 0, dairy_habit(d).count};
    struct stock_outlook out;
    if (rows_each(d->store, &ration_table, "WHERE feed = ?1 COLLATE NOCASE AND (until_at IS NULL OR until_at > ?2)",
                  (struct bind[]){BIND_TEXT(s->feed), BIND_AT(from)}, 2, add_taken, &t, f) != 0)
        return -1;
    t.kg += free_kg_per_day * (double)(v->now.s - from.s) / 86400;
    struct feed_stock stock = {.have_kg = fmax(0, counted_kg - t.kg),
                               .counted_on = v->today,
                               .use_kg_per_day = s->use_kg_per_day,
                               .price_per_kg = s->price_per_kg};
    if (feed_stock_outlook(&stock, v->today, &out, NULL, f) != 0)
        return -1;
    s->left_kg = out.left_kg;
    s->days_left = out.days_left;
    s->gone_on = out.gone_on;
    s->urgency = out.days_left < 3 ? URGENCY_STOP : out.days_left < 14 ? URGENCY_WATCH : URGENCY_CALM;
    return 0;
}

static int soonest_first(const void *a, const void *b)
{
    const struct feed_stock_view *x = a, *y = b;
    double dx = isnan(x->days_left) ? INFINITY : x->days_left, dy = isnan(y->days_left) ? INFINITY : y->days_left;
    if (dx != dy)
        return dx < dy ? -1 : 1;
    return strcmp(x->feed, y->feed);
}

static int fill_stocks(struct dairy *d, struct feed_view *v, const double *free_kg, struct fail *f)
{
    struct store_sum *l = calloc(1, sizeof *l);
    if (l == NULL)
        return fail_memory(f);
    l->v = v;
    int result = rows_each(d->store, &feed_stock_table, "ORDER BY at, id", NULL, 0, add_stock, l, f);
    for (size_t i = 0; i < v->stocks && result == 0; i++) {
        struct feed_stock_view *s = &v->stock[i];
        s->cost_per_day = s->use_kg_per_day * s->price_per_kg;
        if (s->counted)
            result = fill_stock(d, v, s, l->sum[i].kg, l->sum[i].from, free_kg[i], f);
    }
    free(l);
    qsort(v->stock, v->stocks, sizeof v->stock[0], soonest_first);
    return result;
}

/* ---- the whole ---- */

static void fill_cost(struct feed_view *v)
{
    v->cost_per_day = 0;
    v->cost_whole = true;
    bool any = false;
    for (size_t i = 0; i < v->stocks; i++) {
        const struct feed_stock_view *s = &v->stock[i];
        if (!(s->use_kg_per_day > 0))
            continue;
        if (isnan(s->cost_per_day)) {
            v->cost_whole = false;
            continue;
        }
        any = true;
        v->cost_per_day += s->cost_per_day;
    }
    if (!any)
        v->cost_per_day = (double)NAN;
    feed_cost_of_milk(v->cost_per_day, v->milk_kg_per_day, &v->cost, NULL);
}

static void say_room(struct feed_view *v)
{
    char day[CIVIL_TEXT_MAX];
    if (v->stocks > 0 && v->stock[0].urgency != URGENCY_CALM) {
        (void)snprintf(v->sentence, sizeof v->sentence, "%.40s runs out %s, in %.0f days.", v->stock[0].feed,
                       date_weekday_text(v->stock[0].gone_on, day), floor(v->stock[0].days_left));
        return;
    }
    for (size_t i = 0; i < v->cows; i++)
        if (v->cow[i].urgency == URGENCY_WATCH) {
            (void)snprintf(v->sentence, sizeof v->sentence, "%.40s: %s.", v->cow[i].name, v->cow[i].words);
            return;
        }
    if (v->stocks > 0 && isfinite(v->stock[0].days_left))
        (void)snprintf(v->sentence, sizeof v->sentence, "The first feed to run out is %.40s, %s.", v->stock[0].feed,
                       date_weekday_text(v->stock[0].gone_on, day));
    else
        (void)snprintf(v->sentence, sizeof v->sentence, "No feed in store is counted yet: + enters what there is.");
}

/* Those whose milk or calf asks for more than pasture. */
static bool fed(const struct cow_record *r)
{
    return !r->breeding.male && (r->stage.in_milk || !breeding_heifer(&r->breeding) || r->ration_count > 0);
}

static int fill(struct dairy *d, struct feed_view *v, struct fail *f)
{
    double free_kg[FEED_STOCKS_MAX] = {0};
    for (size_t i = 0; i < d->facts->cows && v->cows < FEED_COWS_MAX; i++) {
        struct manger m;
        const struct cow_record *r = &d->facts->cow[i];
        if (!fed(r))
            continue;
        if (manger_load(d, r, v->now, &m, NULL, f) != 0)
            return -1;
        fill_cow(v, r, &m);
        add_use(v, &m);
        for (size_t k = 0; k < m.items && m.balanced; k++) {
            struct feed_stock_view *s = isnan(m.item[k].fed_kg) ? stock_of(v, m.name[k]) : NULL;
            if (s != NULL)
                free_kg[s - v->stock] += m.balance.sum.free_kg;
        }
    }
    return fill_stocks(d, v, free_kg, f);
}

int dairy_feed(struct dairy *d, struct instant now, struct feed_view *out, struct fail *f)
{
    memset(out, 0, sizeof *out);
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (facts_load(d, now, true, f) != 0 || store_begin_look(d->store, f) != 0)
        return -1;
    out->now = now;
    out->today = instant_date(now);
    out->units = dairy_units(d);
    int result = fill(d, out, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    fill_cost(out);
    say_room(out);
    return result;
}

/* ---- workings ---- */

int feed_explain_cow(struct dairy *d, const struct feed_view *v, size_t cow, struct working *w, struct fail *f)
{
    working_init(w, v->cow[cow].name);
    if (facts_load(d, v->now, true, f) != 0)
        return -1;
    for (size_t i = 0; i < d->facts->cows; i++)
        if (d->facts->cow[i].row.id == v->cow[cow].cow_id) {
            struct manger m;
            return manger_load(d, &d->facts->cow[i], v->now, &m, w, f);
        }
    return fail_refused(f, "She is not here any more.");
}

int feed_explain_stock(struct dairy *d, const struct feed_view *v, size_t stock, struct working *w, struct fail *f)
{
    (void)d;
    const struct feed_stock_view *s = &v->stock[stock];
    struct feed_stock facts = {.have_kg = s->left_kg,
                               .counted_on = v->today,
                               .use_kg_per_day = s->use_kg_per_day,
                               .price_per_kg = s->price_per_kg};
    struct stock_outlook out;
    struct milk_cost cost;
    working_init(w, s->feed);
    working_step(w, "left: what was counted and came, less what the rations took since");
    if (feed_stock_outlook(&facts, v->today, &out, w, f) != 0)
        return -1;
    feed_cost_of_milk(v->cost_per_day, v->milk_kg_per_day, &cost, w);
    if (!v->cost_whole)
        working_caution(w, "Not every feed has a price: the milk costs more than this.");
    return 0;
}
