/* The side column of the page: one row for each figure, and the working behind each. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/cow_page_inside.h"
#include "core/day/manger.h"
#include "core/herd/body.h"
#include "core/herd/cells.h"
#include "core/herd/corrected.h"
#include "core/herd/growth.h"

enum { DUE_SHOWN = 3, NOTES_SHOWN = 3 };

/* ---- rows ---- */

void page_figure_add(struct cow_page *p, const char *group, enum page_figure_kind kind, int index, enum urgency urgency,
              const char *format, ...)
{
    va_list args;
    if (p->figures == PAGE_FIGURES_MAX)
        return;
    struct page_figure *out = &p->figure[p->figures++];
    *out = (struct page_figure){.kind = kind, .index = index, .group = group, .urgency = urgency};
    va_start(args, format);
    (void)vsnprintf(out->text, sizeof out->text, format, args);
    va_end(args);
}

static const char *mass(const struct cow_page *p, double kg, char buf[QUANTITY_TEXT_MAX])
{
    return quantity_format(kg, DIM_MASS, p->units, buf);
}

/* Totals of months are told in whole pounds or kilograms. */
static const char *total(const struct cow_page *p, double kg, char buf[QUANTITY_TEXT_MAX])
{
    return quantity_format_in(kg, DIM_MASS, quantity_unit(DIM_MASS, p->units), 0, buf);
}

/* "today", "Tue 5 May" within a week, else "16 Jul". */
static const char *day_word(struct date on, struct date today, char buf[CIVIL_TEXT_MAX])
{
    int days = date_diff(today, on);
    if (days == 0)
        (void)snprintf(buf, CIVIL_TEXT_MAX, "today");
    else if (days > 0 && days < 7)
        (void)date_weekday_text(on, buf);
    else
        (void)date_text(on, buf);
    return buf;
}

static void add_next(struct cow_page *p)
{
    char day[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < p->dues && i < DUE_SHOWN; i++)
        page_figure_add(p, "NEXT", FIGURE_DUE, (int)i, p->due[i].urgency, "%s%s: %.90s",
            p->due[i].on.days < p->today.days ? "since " : "", day_word(p->due[i].on, p->today, day),
            p->due[i].words);
    if (p->dues == 0)
        page_figure_add(p, "NEXT", FIGURE_DUE, -1, URGENCY_CALM, "nothing is dated ahead");
}

/* ---- udder ---- */

static const char *quarter_words(const struct quarter_trend *t, char *buf, size_t size)
{
    static const char *const ways[] = {"better", "", "worse"};
    (void)snprintf(buf, size, "%s", quarter_state_word(t->state));
    if (t->direction != 0 && t->state != QUARTER_CLEAN && t->state != QUARTER_UNKNOWN)
        (void)text_append(buf, size, ", %s", ways[t->direction + 1]);
    return buf;
}

static bool quarter_bad(const struct quarter_trend *t)
{
    return t->state == QUARTER_NEW || t->state == QUARTER_CHRONIC || t->state == QUARTER_CLEARING;
}

static void add_udder(const struct page_facts *facts, struct cow_page *p)
{
    static const char *const rows[] = {"front", "rear"};
    char left[40], right[40], day[CIVIL_TEXT_MAX];
    const struct udder_test_row *cells = NULL, *culture = NULL;
    for (int i = 0; i < 2; i++) {
        const struct quarter_trend *l = &p->quarter[2 * i], *r = &p->quarter[2 * i + 1];
        page_figure_add(p, "UDDER", FIGURE_QUARTERS, i, quarter_bad(l) || quarter_bad(r) ? URGENCY_WATCH : URGENCY_CALM,
            "%s: left %s, right %s", rows[i], quarter_words(l, left, sizeof left),
            quarter_words(r, right, sizeof right));
    }
    for (size_t i = 0; i < facts->r->udder_test_count; i++) {
        const struct udder_test_row *t = &facts->r->udder_tests[i];
        cells = t->cells_per_ml != ROW_NONE && t->quarter[0] == '\0' ? t : cells;
        culture = t->culture[0] != '\0' ? t : culture;
    }
    if (cells != NULL) {
        double score = cells_linear_score((double)cells->cells_per_ml);
        page_figure_add(p, "UDDER", FIGURE_CELLS, 0, score >= 5 ? URGENCY_WATCH : URGENCY_CALM,
            "%lld cells, score %.1f, %s (%s)", (long long)cells->cells_per_ml, score, cells_reading(score),
            date_text(instant_date(cells->at), day));
    }
    if (culture != NULL)
        page_figure_add(p, "UDDER", FIGURE_CULTURE, 0, URGENCY_CALM, "culture%s%s: %.60s (%s)",
            culture->quarter[0] == '\0' ? "" : " ", culture->quarter, culture->culture,
            date_text(instant_date(culture->at), day));
}

/* ---- milk ---- */

static void add_now(struct cow_page *p)
{
    char low[QUANTITY_TEXT_MAX], high[QUANTITY_TEXT_MAX], kg[QUANTITY_TEXT_MAX];
    const struct stall_view *v = &p->view;
    if (isfinite(v->today_kg))
        page_figure_add(p, "MILK", FIGURE_EXPECTED, 0, URGENCY_CALM, "%s, expected %s to %s", mass(p, v->today_kg, kg),
            mass(p, v->expected.low_kg, low), mass(p, v->expected.high_kg, high));
    else if (isfinite(v->expected.kg))
        page_figure_add(p, "MILK", FIGURE_EXPECTED, 0, URGENCY_CALM, "expected %s, %s to %s", mass(p, v->expected.kg, kg),
            mass(p, v->expected.low_kg, low), mass(p, v->expected.high_kg, high));
    if (v->watch == WATCH_TREND_LOW || v->watch == WATCH_ODD_LOW || v->watch == WATCH_TREND_HIGH ||
        v->watch == WATCH_ODD_HIGH)
        page_figure_add(p, "MILK", FIGURE_WATCH, 0, v->watch == WATCH_TREND_LOW ? URGENCY_WATCH : URGENCY_CALM, "%s",
            v->yield);
}

static void add_corrected(struct cow_page *p)
{
    double kg = (double)NAN;
    char text[QUANTITY_TEXT_MAX];
    for (size_t i = 0; i < p->days_past; i++)
        kg = isfinite(p->day[i].kg) ? p->day[i].kg : kg;
    if (isfinite(p->fat_pct) && isfinite(kg))
        page_figure_add(p, "MILK", FIGURE_CORRECTED, 0, URGENCY_CALM, "%s as 4 %% fat-corrected (fat %.2f %%)",
            mass(p, fcm4_kg(kg, p->fat_pct), text), p->fat_pct);
}

static void add_milk(struct cow_page *p)
{
    char kg[QUANTITY_TEXT_MAX], low[QUANTITY_TEXT_MAX], high[QUANTITY_TEXT_MAX];
    if (p->view.in_milk && p->shown_now)
        add_now(p);
    const char *until = p->shown_now && p->view.in_milk ? "so far" : "in all";
    if (isfinite(p->to_date_kg) && p->filled_days > 0)
        page_figure_add(p, "MILK", FIGURE_TO_DATE, 0, URGENCY_CALM, "about %s %s, %d d filled in", total(p, p->to_date_kg, kg),
            until, p->filled_days);
    else if (isfinite(p->to_date_kg))
        page_figure_add(p, "MILK", FIGURE_TO_DATE, 0, URGENCY_CALM, "%s %s%s", total(p, p->to_date_kg, kg), until,
            p->by_intervals ? ", test interval method" : "");
    if (isfinite(p->expected_305_kg) && p->high_305_kg > p->low_305_kg)
        page_figure_add(p, "MILK", FIGURE_305, 0, URGENCY_CALM, "%s in 305 days (%s to %s)",
            total(p, p->expected_305_kg, kg), total(p, p->low_305_kg, low), total(p, p->high_305_kg, high));
    else if (isfinite(p->expected_305_kg))
        page_figure_add(p, "MILK", FIGURE_305, 0, URGENCY_CALM, "%s in 305 days", total(p, p->expected_305_kg, kg));
    if (isfinite(p->peak_kg)) {
        page_figure_add(p, "MILK", FIGURE_PEAK, 0, URGENCY_CALM, "peak %s about day %d", mass(p, p->peak_kg, kg),
            p->peak_day);
        page_figure_add(p, "MILK", FIGURE_PERSISTENCY, 0, URGENCY_CALM, "persistency %.2f", p->persistency);
    } else if (isfinite(p->to_date_kg)) {
        page_figure_add(p, "MILK", FIGURE_PEAK, 0, URGENCY_CALM, "%s",
            p->peak_ahead ? "peak still to come" : "no peak: it falls from the start");
    }
    add_corrected(p);
}

/* ---- body, manger, notes ---- */

static void add_body(const struct page_facts *facts, struct cow_page *p)
{
    char kg[QUANTITY_TEXT_MAX], day[CIVIL_TEXT_MAX], words[100];
    const struct page_weight *weight = NULL;
    for (size_t i = 0; i < p->weights; i++)
        weight = isfinite(p->weight[i].kg) ? &p->weight[i] : weight;
    if (weight != NULL && isfinite(weight->usual_kg))
        page_figure_add(p, "BODY", FIGURE_WEIGHT, 0, URGENCY_CALM, "%s%s (%s), %.0f %% of usual", mass(p, weight->kg, kg),
            weight->by_tape ? " by tape" : "", date_text(instant_date(weight->at), day),
            100 * weight->kg / weight->usual_kg);
    else if (weight != NULL)
        page_figure_add(p, "BODY", FIGURE_WEIGHT, 0, URGENCY_CALM, "%s%s (%s)", mass(p, weight->kg, kg),
            weight->by_tape ? " by tape" : "", date_text(instant_date(weight->at), day));
    if (p->scores == 0)
        return;
    const struct page_score *score = &p->score[p->scores - 1];
    const struct condition_target *target = condition_target(&facts->r->stage);
    bool off = target != NULL && (score->score < target->low || score->score > target->high);
    (void)condition_words(score->score, target, words, sizeof words);
    page_figure_add(p, "BODY", FIGURE_CONDITION, 0, off ? URGENCY_WATCH : URGENCY_CALM, "condition %s (%s)",
        words[0] != '\0' ? words : "scored", date_text(instant_date(score->at), day));
}

static void add_manger(struct cow_page *p)
{
    char kg[QUANTITY_TEXT_MAX];
    for (size_t i = 0; i < p->view.rations; i++)
        page_figure_add(p, "MANGER", FIGURE_RATION, (int)i, URGENCY_CALM, "%s %s", mass(p, p->view.ration[i].mass_kg, kg),
            p->view.ration[i].feed);
}

static void add_notes(struct cow_page *p)
{
    char day[CIVIL_TEXT_MAX];
    int notes = 0;
    for (size_t i = 0; i < p->events && notes < NOTES_SHOWN; i++)
        if (p->event[i].kind == EVENT_NOTE) {
            page_figure_add(p, "NOTES", FIGURE_NOTE, (int)i, URGENCY_CALM, "%s: %.90s",
                date_text(p->event[i].on, day), p->event[i].words);
            notes++;
        }
}

int page_fill_figures(const struct page_facts *facts, struct cow_page *p, struct fail *f)
{
    (void)f;
    add_next(p);
    if (!p->male && p->lactations > 0)
        add_udder(facts, p);
    add_milk(p);
    page_add_breeding(facts, p);
    add_body(facts, p);
    add_manger(p);
    add_notes(p);
    return 0;
}

/* ---- workings ---- */

/* The looks behind one half of the udder's map, the newest last. */
static int explain_quarters(const struct cow_record *r, int row, struct working *w, struct fail *f)
{
    enum { LOOKS_SHOWN = 8 };
    char when[CIVIL_TEXT_MAX], strip[STRIP_TEXT_MAX], word[60];
    for (int q = 2 * row; q < 2 * row + 2; q++) {
        struct quarter_look *looks;
        size_t n;
        if (cow_record_looks(r, (enum quarter)q, &looks, &n, f) != 0)
            return -1;
        working_result_text(w, quarter_name((enum quarter)q),
                            quarter_words(&r->quarters[q], word, sizeof word));
        for (size_t i = n > LOOKS_SHOWN ? n - LOOKS_SHOWN : 0; i < n; i++) {
            const struct quarter_look *look = &looks[i];
            struct strip one = {{0}};
            one.quarter[q] = look->strip > 0 ? (unsigned char)look->strip : 0;
            if (look->strip >= 0)
                working_step(w, "%s %s: strip cup %s", quarter_code((enum quarter)q),
                             instant_text(look->at, when), strip_text(&one, strip));
            else if (look->cmt >= 0)
                working_step(w, "%s %s: paddle %s", quarter_code((enum quarter)q),
                             instant_text(look->at, when), cmt_word((enum cmt)look->cmt));
            else
                working_step(w, "%s %s: %.0f cells per mL", quarter_code((enum quarter)q),
                             instant_text(look->at, when), look->cells_per_ml);
        }
        free(looks);
    }
    working_step(w,
                 "raised: anything in the strip cup, a paddle score of 1 or more, or 200 000 cells; chronic "
                 "after two months");
    working_source(w, "bailey-1997");
    working_source(w, "linear-reading");
    working_source(w, "ruegg-2005");
    working_caution(
        w, "A finding is a reason to look, not a diagnosis; the veterinarian and the laboratory decide.");
    return 0;
}

static void explain_total(const struct lact *l, struct working *w)
{
    struct lactation season;
    struct lactation_total total;
    lactation_learn(&l->prior, l->yield, l->yield_count, LACTATION_SEASON, &season, w);
    lactation_total(&season, l->yield, l->yield_count, l->milkings, &total, w);
}

/* Her curve with what is usual in it, and her weights' own by least squares, for comparison. */
static int explain_curve(const struct page_facts *facts, struct working *w, struct fail *f)
{
    const struct lact *l = &facts->lact;
    struct yield_point *points = calloc(l->yield_count + 1, sizeof *points);
    struct lactation_prior prior;
    struct lactation lac;
    struct wood_fit fit;
    struct fail why = {0};
    if (points == NULL)
        return fail_memory(f);
    lactation_prior_usual(&facts->r->breed, l->parity, &prior, w);
    lactation_learn(&prior, l->yield, l->yield_count, LACTATION_CURVE, &lac, w);
    struct wood wood = lactation_curve(&lac, l->milkings);
    working_step(w,
                 "peak at b / c = day %.3g with %.4g kg, persistency -(b + 1) ln c = %.3f; the weights' own "
                 "curve, without what is usual:",
                 wood_peak_day(&wood), wood_peak_kg(&wood), wood_persistency(&wood));
    for (size_t i = 0; i < l->yield_count; i++)
        points[i] = (struct yield_point){l->yield[i].day, l->yield[i].kg};
    if (wood_fit(points, l->yield_count, &fit, w, &why) != 0)
        working_why(w, "%s", why.text);
    free(points);
    return why.code == FAIL_MEMORY ? fail_memory(f) : 0;
}

static void explain_corrected(const struct cow_page *p, struct working *w)
{
    double kg = (double)NAN;
    for (size_t i = 0; i < p->days_past; i++)
        kg = isfinite(p->day[i].kg) ? p->day[i].kg : kg;
    corrected_reckon(kg, p->fat_pct, p->protein_pct, w);
}

static int explain_cells(const struct cow_record *r, struct working *w, struct fail *f)
{
    double cells = (double)NAN;
    for (size_t i = 0; i < r->udder_test_count; i++)
        if (r->udder_tests[i].cells_per_ml != ROW_NONE && r->udder_tests[i].quarter[0] == '\0')
            cells = (double)r->udder_tests[i].cells_per_ml;
    return cells_reckon(cells, (double)NAN, w, f);
}

static int explain_weight(const struct page_facts *facts, const struct cow_page *p, struct working *w,
                          struct fail *f)
{
    const struct weighing_row *last = NULL;
    struct growth growth;
    double kg;
    bool by_tape;
    for (size_t i = 0; i < facts->weighing_count; i++)
        if (isfinite(weighing_kg(&facts->weighings[i], &by_tape)))
            last = &facts->weighings[i];
    if (last == NULL)
        return fail_refused(f, "She has not been weighed.");
    kg = weighing_kg(last, &by_tape);
    if (by_tape && weight_reckon((double)last->girth_mm / 1e3,
                                 last->length_mm == ROW_NONE ? (double)NAN : (double)last->length_mm / 1e3,
                                 &kg, w, f) != 0)
        return -1;
    if (!by_tape)
        working_result(w, "weight_kg", kg);
    if (p->parity > 0 || !date_known(p->born_on))
        return 0;
    int age = date_diff(p->born_on, instant_date(last->at));
    if (growth_compare(p->breed, GROWTH_WEIGHT_KG, age, kg, &growth, NULL, f) != 0)
        return -1;
    if (isfinite(growth.usual) || !by_tape)
        return growth_compare(p->breed, GROWTH_WEIGHT_KG, age, kg, &growth, w, f);
    return growth_compare(p->breed, GROWTH_GIRTH_CM, age, (double)last->girth_mm / 10, &growth, w, f);
}

static void explain_condition(const struct page_facts *facts, const struct cow_page *p, struct working *w)
{
    const struct condition_target *target = condition_target(&facts->r->stage);
    working_result(w, "condition", p->score[p->scores - 1].score);
    if (target == NULL) {
        working_why(w, "there is no target for an animal at her stage");
        return;
    }
    working_given(w, "aim_low", target->low, ORIGIN_CONSTANT);
    working_given(w, "aim_high", target->high, ORIGIN_CONSTANT);
    working_step(w, "aim for %s: %.2f to %.2f", target->when, target->low, target->high);
    working_source(w, target->source);
}

/* What she needs against what is in her manger; without the analysis of a feed the need alone. */
static int explain_ration(const struct page_facts *facts, const struct cow_page *p, struct working *w,
                          struct fail *f)
{
    struct manger m;
    if (manger_load(facts->dairy, facts->r, p->now, &m, w, f) != 0)
        return -1;
    working_caution(w, "Hay and pasture that are not recorded are not in this; forage= says what stands before her.");
    return 0;
}

static int explain_due(const struct page_facts *facts, const struct cow_page *p, const struct cow_due *due,
                       struct working *w)
{
    struct hold_state state;
    if (due->kind == DUE_HOLD || due->kind == DUE_MEAT) {
        hold_state(&facts->r->holds.facts, p->now, &state, w);
        return 0;
    }
    if (page_explain_due(facts, due->kind, w))
        return 0;
    working_result_text(w, "due", due->words);
    working_result_date(w, "due_on", due->on);
    working_step(w, "as it was recorded");
    return 0;
}

static int explain(const struct page_facts *facts, const struct cow_page *p, const struct page_figure *figure,
                   struct working *w, struct fail *f)
{
    struct hold_state state;
    switch (figure->kind) {
    case FIGURE_DUE:
        if (figure->index < 0)
            return fail_refused(f, "Nothing is due.");
        return explain_due(facts, p, &p->due[figure->index], w);
    case FIGURE_QUARTERS: return explain_quarters(facts->r, figure->index, w, f);
    case FIGURE_HOLD:
    case FIGURE_MEAT: hold_state(&facts->r->holds.facts, p->now, &state, w); return 0;
    case FIGURE_CELLS: return explain_cells(facts->r, w, f);
    case FIGURE_EXPECTED:
    case FIGURE_WATCH: cow_record_explain_yield(facts->r, p->now, w); return 0;
    case FIGURE_TO_DATE:
    case FIGURE_305: explain_total(&facts->lact, w); return 0;
    case FIGURE_PEAK:
    case FIGURE_PERSISTENCY: return explain_curve(facts, w, f);
    case FIGURE_CORRECTED: explain_corrected(p, w); return 0;
    case FIGURE_WEIGHT: return explain_weight(facts, p, w, f);
    case FIGURE_CONDITION: explain_condition(facts, p, w); return 0;
    case FIGURE_RATION: return explain_ration(facts, p, w, f);
    case FIGURE_CALVING:
    case FIGURE_CYCLE:
    case FIGURE_BREEDING: page_explain_breeding(facts, figure->kind, w); return 0;
    case FIGURE_CULTURE:
    case FIGURE_NOTE: break;
    }
    working_result_text(w, "recorded", figure->text);
    working_step(w, "as it was entered");
    return 0;
}

static int with_facts(struct dairy *d, const struct cow_page *p, struct page_facts *facts, struct fail *f)
{
    if (store_begin_look(d->store, f) != 0)
        return -1;
    int result = page_facts_load(d, p->cow_id, p->now, p->shown_now ? PAGE_NOW : (int)p->shown, facts, f);
    store_rollback(d->store);
    return result;
}

int cow_page_explain(struct dairy *d, const struct cow_page *p, const struct page_figure *figure,
                     struct working *w, struct fail *f)
{
    struct page_facts facts = {0};
    working_init(w, p->name);
    int result = with_facts(d, p, &facts, f);
    if (result == 0)
        result = explain(&facts, p, figure, w, f);
    page_facts_release(&facts);
    return result;
}

/* One day of the chart: what the days before it made one expect, and how far the milk was off. */
static int explain_day(const struct page_facts *facts, struct date on, struct working *w, struct fail *f)
{
    const struct lact *l = &facts->lact;
    int day = date_known(l->calved_on) ? date_diff(l->calved_on, on) : 0;
    struct watch_result watch;
    struct lactation_prior prior;
    struct lactation lac;
    struct expectation e;
    size_t n = 0;
    if (day < 1)
        return fail_refused(f, "On the day of calving nothing is expected yet.");
    while (n < l->yield_count && l->yield[n].day < day)
        n++;
    bool weighed = n < l->yield_count && l->yield[n].day == day;
    lactation_prior_usual(&facts->r->breed, l->parity, &prior, w);
    lactation_learn(&prior, l->yield, n, LACTATION_TOMORROW, &lac, w);
    lactation_expect(&lac, day, weighed ? l->yield[n].milkings : l->milkings, &e, w);
    if (weighed)
        yield_watch(&prior, l->yield, n + 1, NULL, &watch, NULL, w);
    else
        working_step(w, "that day was not weighed, or not every milking of it");
    return 0;
}

int cow_page_explain_day(struct dairy *d, const struct cow_page *p, struct date on, struct working *w,
                         struct fail *f)
{
    struct page_facts facts = {0};
    working_init(w, p->name);
    int result = with_facts(d, p, &facts, f);
    if (result == 0)
        result = explain_day(&facts, on, w, f);
    page_facts_release(&facts);
    return result;
}
