/* The page is put together here: who she is, the days of the lactation, its totals, her body. Events and
 * figures have files of their own. */
#include "core/day/cow_page.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/cow_page_inside.h"
#include "core/day/stall_view.h"
#include "core/herd/body.h"
#include "core/herd/growth.h"
#include "core/herd/yield_total.h"

enum { LACTATION_DAYS = 305, STRIP_DAYS = 364, STRIP_AHEAD_DAYS = 91 };

/* ---- who ---- */

static int fill_dam(const struct page_facts *facts, struct cow_page *p, struct fail *f)
{
    struct cow_row dam;
    if (facts->r->row.dam_id == ROW_NONE)
        return 0;
    if (row_load(facts->dairy->store, &cow_table, facts->r->row.dam_id, &dam, f) != 0)
        return -1;
    (void)snprintf(p->dam, sizeof p->dam, "%s", dam.name);
    return 0;
}

static void fill_who(const struct cow_record *r, struct cow_page *p)
{
    text_copy(p->name, sizeof p->name, r->row.name);
    text_copy(p->tag, sizeof p->tag, r->row.tag);
    text_copy(p->breed, sizeof p->breed, r->row.breed);
    text_copy(p->remark, sizeof p->remark, r->stage.remark == NULL ? "" : r->stage.remark);
    p->today = r->today;
    p->male = r->breeding.male;
    p->gone = r->stage.stage == STAGE_GONE;
    p->born_on = r->row.born_on;
    p->stall = r->row.stall == ROW_NONE ? 0 : (int)r->row.stall;
    p->parity = r->stage.parity;
    p->calved_on = r->stage.calved_on;
    p->due_on = r->plan.due_on;
    p->dry_off_on = r->plan.dry_off_on;
    p->close_up_on = r->plan.close_up_on;
    p->due_from_on = date_known(r->plan.due_on) ? r->plan.due.from_on : DATE_NONE;
    p->due_to_on = date_known(r->plan.due_on) ? r->plan.due.to_on : DATE_NONE;
    memcpy(p->quarter, r->quarters, sizeof p->quarter);
}

static void fill_stall(const struct page_facts *facts, struct cow_page *p)
{
    struct instant milking_at = facts->milk_now->id != 0 ? p->now : dairy_next_milking(facts->dairy, p->now);
    stall_view_fill(facts->r, facts->milk_now, p->now, milking_at, &p->view);
    if (p->gone)
        p->view.in_milk = false;
    if (p->view.hold.caution != NULL)
        (void)snprintf(p->caution, sizeof p->caution, "%s", p->view.hold.caution);
}

static void fill_lactations(const struct cow_record *r, struct cow_page *p)
{
    size_t n = r->breeding.calving_count;
    size_t from = n > PAGE_LACTATIONS_MAX ? n - PAGE_LACTATIONS_MAX : 0;
    for (size_t i = from; i < n; i++) {
        struct page_lactation *l = &p->lactation[p->lactations++];
        *l = (struct page_lactation){.calved_on = r->calved_on[i],
                                     .dried_on = DATE_NONE,
                                     .number = r->breeding.calvings_before + (int)i + 1};
        for (size_t k = 0; k < r->breeding.dry_off_count; k++)
            if (r->dry_offs[k].days > l->calved_on.days &&
                (i + 1 == n || r->dry_offs[k].days <= r->calved_on[i + 1].days))
                l->dried_on = r->dry_offs[k];
    }
}

/* ---- the days ---- */

/* The last day that is drawn: for a lactation that runs, where it may be expected to end. */
static int last_day(const struct page_facts *facts)
{
    const struct lact *l = &facts->lact;
    const struct cow_record *r = facts->r;
    if (date_known(l->dried_on))
        return date_diff(l->calved_on, l->dried_on);
    int last = date_diff(l->calved_on, l->end_on) - 1;
    if (!l->current || !r->stage.in_milk)
        return last;
    int dry = date_known(r->plan.dry_off_on) ? date_diff(l->calved_on, r->plan.dry_off_on) : LACTATION_DAYS;
    return dry > last ? dry : last;
}

static void fill_days(const struct page_facts *facts, struct cow_page *p)
{
    const struct lact *l = &facts->lact;
    int last = last_day(facts), today = date_diff(l->calved_on, p->today);
    int from = last >= PAGE_DAYS_MAX ? last + 1 - PAGE_DAYS_MAX : 0;
    size_t next = 0, next_before = 0;
    for (int day = from; day <= last && p->days < PAGE_DAYS_MAX; day++) {
        struct page_day *out = &p->day[p->days++];
        struct expectation e;
        if (day >= 1 && day <= l->course_days)
            e = l->course[day - 1];
        else /* NaN before day 1 */
            lactation_expect(day <= today ? &l->curve : &l->season, day, l->milkings, &e, NULL);
        while (next < l->yield_count && l->yield[next].day < day)
            next++;
        while (next_before < facts->before_count && facts->before[next_before].day < day)
            next_before++;
        bool weighed = next < l->yield_count && l->yield[next].day == day;
        bool before = next_before < facts->before_count && facts->before[next_before].day == day;
        *out = (struct page_day){.on = date_add(l->calved_on, day),
                                 .day = day,
                                 .kg = weighed ? l->yield[next].kg : (double)NAN,
                                 .expected_kg = e.kg,
                                 .low_kg = e.low_kg,
                                 .high_kg = e.high_kg,
                                 .before_kg = before ? facts->before[next_before].kg : (double)NAN};
        p->days_past += day <= today;
    }
}

/* ---- totals ---- */

/* Weights weeks apart are no daily weights: their total is by the test interval method. */
static bool weeks_apart(const struct lact *l)
{
    return l->yield_count >= 2 &&
           l->yield[l->yield_count - 1].day - l->yield[0].day > 7 * (int)(l->yield_count - 1);
}

static void total_by_intervals(const struct lact *l, struct cow_page *p)
{
    enum { TESTS_MAX = 64 };
    struct milk_test tests[TESTS_MAX];
    struct interval_total total;
    size_t n = 0;
    for (size_t i = 0; i < l->yield_count && n < TESTS_MAX; i++)
        tests[n++] = (struct milk_test){date_add(l->calved_on, l->yield[i].day), l->yield[i].kg, (double)NAN};
    if (interval_method(tests, n, l->calved_on, tests[n - 1].on, &total, NULL, NULL) != 0)
        return;
    p->to_date_kg = total.milk_kg;
    p->by_intervals = true;
    p->filled_days = 0;
}

/* A lactation that is over brings nothing more. */
static bool is_over(const struct lact *l)
{
    return !l->current || date_known(l->dried_on);
}

/* A tenth of her days without a weight is worth saying. */
enum { FILLED_SAID = 10 };

static void fill_totals(const struct lact *l, struct cow_page *p)
{
    const struct lactation_total *total = &l->total;
    if (l->yield_count > 0) {
        p->to_date_kg = total->to_date_kg;
        p->filled_days = total->filled_days * FILLED_SAID > total->days ? total->filled_days : 0;
        p->expected_305_kg = total->expected_305_kg;
        p->low_305_kg = total->low_305_kg;
        p->high_305_kg = total->high_305_kg;
        if (is_over(l) && total->days <= LACTATION_DAYS)
            p->expected_305_kg = p->low_305_kg = p->high_305_kg = total->to_date_kg;
        if (weeks_apart(l))
            total_by_intervals(l, p);
    }
    struct wood wood = lactation_curve(&l->curve, l->milkings);
    double peak_day = wood_peak_day(&wood);
    int last = l->yield_count > 0 ? l->yield[l->yield_count - 1].day : 0;
    /* A peak that is still to come is no fact of hers yet. */
    p->peak_ahead = last > 0 && isfinite(peak_day) && peak_day > last;
    if (isfinite(peak_day) && peak_day <= last) {
        p->peak_day = (int)lround(peak_day);
        p->peak_kg = wood_peak_kg(&wood);
        p->persistency = wood_persistency(&wood);
    }
    for (size_t i = 0; i < l->test_count; i++) {
        if (l->tests[i].fat_mpct == ROW_NONE)
            continue;
        p->fat_pct = (double)l->tests[i].fat_mpct / 1e3;
        p->protein_pct =
            l->tests[i].protein_mpct == ROW_NONE ? (double)NAN : (double)l->tests[i].protein_mpct / 1e3;
    }
}

/* ---- milkings and body ---- */

static void fill_milkings(const struct lact *l, struct cow_page *p)
{
    for (size_t i = l->milk_count; i > 0 && p->milkings < PAGE_MILKINGS_MAX; i--) {
        const struct milk_row *r = &l->milk[i - 1];
        struct page_milking *m = &p->milking[p->milkings++];
        m->at = r->at;
        m->mass_kg = r->mass_g == ROW_NONE ? (double)NAN : (double)r->mass_g / 1e3;
        text_copy(m->strip, sizeof m->strip, r->strip);
        text_copy(m->disc, sizeof m->disc, r->disc);
    }
}

/* What is usual at that age by the table of weights or, where her breed has none, by that of girths; NaN
 * without either, and for a cow that has calved. */
static int usual_weight(const struct cow_page *p, const struct weighing_row *row, double *usual_kg,
                        struct fail *f)
{
    struct growth growth;
    *usual_kg = (double)NAN;
    if (!date_known(p->born_on) || p->parity > 0)
        return 0;
    int age = date_diff(p->born_on, instant_date(row->at));
    if (growth_compare(p->breed, GROWTH_WEIGHT_KG, age, 0, &growth, NULL, f) != 0)
        return -1;
    *usual_kg = growth.usual;
    if (isfinite(growth.usual) || row->girth_mm == ROW_NONE)
        return 0;
    if (growth_compare(p->breed, GROWTH_GIRTH_CM, age, 0, &growth, NULL, f) != 0)
        return -1;
    *usual_kg = weight_by_girth_kg(growth.usual / 100);
    return 0;
}

static int fill_weights(const struct page_facts *facts, struct cow_page *p, struct fail *f)
{
    size_t from = facts->weighing_count > PAGE_BODY_MAX ? facts->weighing_count - PAGE_BODY_MAX : 0;
    for (size_t i = from; i < facts->weighing_count; i++) {
        struct page_weight *out = &p->weight[p->weights++];
        out->at = facts->weighings[i].at;
        out->kg = weighing_kg(&facts->weighings[i], &out->by_tape);
        if (usual_weight(p, &facts->weighings[i], &out->usual_kg, f) != 0)
            return -1;
    }
    from = facts->score_count > PAGE_BODY_MAX ? facts->score_count - PAGE_BODY_MAX : 0;
    for (size_t i = from; i < facts->score_count; i++)
        p->score[p->scores++] = (struct page_score){facts->scores[i].at, (double)facts->scores[i].score_hundredths / 100};
    return 0;
}

/* ---- the whole ---- */

/* The strip shows a year: with what is planned ahead, or the year of a lactation that is over. */
static void fill_time(const struct page_facts *facts, struct cow_page *p)
{
    const struct lact *l = &facts->lact;
    p->strip_to_on = date_add(p->today, p->gone ? 0 : STRIP_AHEAD_DAYS);
    if (date_known(l->calved_on) && !l->current)
        p->strip_to_on = date_add(l->calved_on, STRIP_DAYS - 28);
    p->strip_from_on = date_add(p->strip_to_on, -STRIP_DAYS);
    p->from_on = p->strip_from_on;
    if (date_known(l->calved_on) && l->calved_on.days < p->from_on.days)
        p->from_on = l->calved_on;
}

static int fill_page(const struct page_facts *facts, struct cow_page *p, struct fail *f)
{
    p->to_date_kg = p->expected_305_kg = p->low_305_kg = p->high_305_kg = (double)NAN;
    p->peak_kg = p->persistency = p->fat_pct = p->protein_pct = (double)NAN;
    fill_who(facts->r, p);
    fill_stall(facts, p);
    fill_lactations(facts->r, p);
    p->dues = cow_due(facts->r, facts->health, facts->health_count, p->now, p->units, p->due);
    if (date_known(facts->lact.calved_on)) {
        fill_days(facts, p);
        fill_totals(&facts->lact, p);
        fill_milkings(&facts->lact, p);
    }
    p->shown_now = facts->lact.current;
    for (size_t i = 0; i < p->lactations; i++)
        if (p->lactation[i].calved_on.days == facts->lact.calved_on.days)
            p->shown = i;
    fill_time(facts, p);
    if (fill_dam(facts, p, f) != 0 || fill_weights(facts, p, f) != 0 || page_fill_events(facts, p, f) != 0)
        return -1;
    return page_fill_figures(facts, p, f);
}

int dairy_cow_page(struct dairy *d, int64_t cow_id, struct instant now, int lactation, struct cow_page *out,
                   struct fail *f)
{
    struct page_facts facts __attribute__((uninitialized)); /* page_facts_load() sets what is used of these kB */
    memset(out, 0, offsetof(struct cow_page, day));
    out->now = now;
    out->cow_id = cow_id;
    out->units = dairy_units(d);
    if (store_begin_look(d->store, f) != 0)
        return -1;
    int result = page_facts_load(d, cow_id, now, lactation, &facts, f);
    if (result == 0)
        result = fill_page(&facts, out, f);
    page_facts_release(&facts);
    store_rollback(d->store);
    return result;
}

int dairy_treatment_product(struct dairy *d, int64_t treatment_id, char *product, size_t size, struct fail *f)
{
    struct treatment_row row;
    if (row_load(d->store, &treatment_table, treatment_id, &row, f) != 0)
        return -1;
    (void)snprintf(product, size, "%s", row.product);
    return 0;
}

int dairy_find_cow(struct dairy *d, const char *name, int64_t *cow_id, struct fail *f)
{
    struct cow_row cow;
    if (find_cow_ever(d, name, &cow, f) != 0)
        return -1;
    *cow_id = cow.id;
    return 0;
}
