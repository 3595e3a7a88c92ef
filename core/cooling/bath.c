#include "core/cooling/bath.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/quantity.h"
#include "core/base/text.h"
#include "core/cooling/matter.h"
#include "core/cooling/newton.h"
#include "core/cooling/root.h"
#include "core/cooling/tub.h"

const double bath_mark_f[BATH_MARKS] = {50, 45, 40};

#define HORIZON_MIN (48 * 60.0)
#define TOLERANCE_K 1e-10

enum { TARGETS_MAX = BATH_MARKS + LIMIT_CLAUSES_MAX };

/* What is followed while the tub runs: when each pour first meets each target, marks first, clauses after. */
struct follow {
    const struct bath_facts *facts;
    const struct bath_pour *order[BATH_POURS_MAX]; /* by time */
    size_t index[BATH_POURS_MAX];                  /* lot of the tub -> pour of the facts */
    double target_c[TARGETS_MAX];
    size_t targets;
    double deadline_min[LIMIT_CLAUSES_MAX];
    double now_min; /* when the present advance began */
    double met_min[BATH_POURS_MAX][TARGETS_MAX];
    double earliest_min[BATH_POURS_MAX];
    double ice_gone_min;
};

static double clause_met(const struct follow *fo, size_t pour, size_t clause)
{
    return fo->met_min[pour][BATH_MARKS + clause];
}

/* --- would a pull at this moment keep the limit? --- */

/* Minute at which a clause is met by a pour pulled at `at_min` with temp_c: in the refrigerator, if there is
 * one. */
static double clause_met_after(const struct follow *fo, size_t pour, size_t clause, double at_min,
                               double temp_c)
{
    const struct bath_facts *facts = fo->facts;
    double met = clause_met(fo, pour, clause), target = fo->target_c[BATH_MARKS + clause];
    if (met <= at_min)
        return met;
    if (temp_c <= target)
        return at_min;
    if (isnan(facts->fridge_c) || isnan(facts->fridge_per_min))
        return INFINITY;
    return at_min + newton_time(temp_c, facts->fridge_c, facts->fridge_per_min, target); /* NaN: never */
}

/* Minutes in hand, least over the clauses, if the pour is pulled then; -INFINITY if a clause is never met. */
static double slack_after(const struct follow *fo, size_t pour, double at_min, double temp_c)
{
    double least = INFINITY;
    for (size_t i = 0; i < fo->facts->limit->clause_count; i++) {
        double slack = fo->deadline_min[i] - clause_met_after(fo, pour, i, at_min, temp_c);
        least = fmin(least, isnan(slack) ? -INFINITY : slack);
    }
    return least;
}

/* --- watching the tub --- */

/* Part of a span, short enough that milk does not fall and rise again in it. */
#define PART_S 120.0

struct part {
    const struct follow *fo;
    const struct tub_span *span;
    size_t lot, pour;
    double from_s, to_s, from_c, to_c;
    double target_c;
};

static double above_target(double at_s, const void *context)
{
    const struct part *part = context;
    return tub_span_lot_c(part->span, part->lot, at_s) - part->target_c;
}

static void watch_target(struct follow *fo, const struct part *part, size_t target)
{
    double *met = &fo->met_min[part->pour][target];
    struct part at = *part;
    at.target_c = fo->target_c[target];
    if (!isnan(*met))
        return;
    if (part->from_c <= at.target_c)
        *met = fo->now_min + part->from_s / 60;
    else if (part->to_c <= at.target_c)
        *met = fo->now_min + root_find(above_target, &at, part->from_s, part->to_s, 1e-9) / 60;
}

static double slack_at(double at_s, const struct part *part)
{
    return slack_after(part->fo, part->pour, part->fo->now_min + at_s / 60,
                       tub_span_lot_c(part->span, part->lot, at_s));
}

/* The longer it stays in a tub colder than the refrigerator's pull, the more slack: the first part at whose
 * end a pull would do holds the earliest one. */
static void watch_earliest(struct follow *fo, const struct part *part)
{
    double *earliest = &fo->earliest_min[part->pour], low = part->from_s, high = part->to_s;
    if (!isnan(*earliest) || slack_at(high, part) < 0)
        return;
    if (slack_at(low, part) >= 0)
        high = low;
    while (high - low > 1e-7) {
        double middle = (low + high) / 2;
        if (slack_at(middle, part) >= 0)
            high = middle;
        else
            low = middle;
    }
    *earliest = fo->now_min + high / 60;
}

static void watch_lot(struct follow *fo, const struct tub_span *span, size_t lot)
{
    double length = span->to_s - span->from_s;
    int parts = (int)ceil(length / PART_S);
    struct part part = {.fo = fo, .span = span, .lot = lot, .pour = fo->index[lot]};
    part.to_s = span->from_s;
    part.to_c = tub_span_lot_c(span, lot, span->from_s);
    for (int i = 1; i <= parts; i++) {
        part.from_s = part.to_s;
        part.from_c = part.to_c;
        part.to_s = i == parts ? span->to_s : span->from_s + length * i / parts;
        part.to_c = tub_span_lot_c(span, lot, part.to_s);
        for (size_t t = 0; t < fo->targets; t++)
            watch_target(fo, &part, t);
        if (fo->facts->limit != NULL)
            watch_earliest(fo, &part);
    }
}

static void watch_span(void *context, const struct tub_span *span)
{
    struct follow *fo = context;
    for (size_t lot = 0; lot < span->before->lots; lot++)
        watch_lot(fo, span, lot);
    if (span->icy && span->before->ice_kg > 0 && tub_span_ice_kg(span, span->to_s) <= 1e-12 &&
        isnan(fo->ice_gone_min))
        fo->ice_gone_min = fo->now_min + span->to_s / 60;
}

/* --- the run --- */

static void follow_begin(struct follow *fo, const struct bath_facts *facts)
{
    memset(fo, 0, sizeof *fo);
    fo->facts = facts;
    fo->ice_gone_min = NAN;
    for (size_t i = 0; i < facts->pours; i++) {
        size_t at = i;
        for (; at > 0 && fo->order[at - 1]->at_min > facts->pour[i].at_min; at--)
            fo->order[at] = fo->order[at - 1];
        fo->order[at] = &facts->pour[i];
        fo->earliest_min[i] = NAN;
        for (size_t t = 0; t < TARGETS_MAX; t++)
            fo->met_min[i][t] = NAN;
    }
    for (int i = 0; i < BATH_MARKS; i++)
        fo->target_c[fo->targets++] = temp_c_from_f(bath_mark_f[i]);
    if (facts->limit == NULL)
        return;
    assert(facts->pours > 0);
    double start = isnan(facts->milking_start_min) ? 0 : facts->milking_start_min;
    double end = isnan(facts->milking_end_min) ? fo->order[facts->pours - 1]->at_min : facts->milking_end_min;
    double clocks[CLOCK_STARTS] = {[CLOCK_MILKING_START] = start * 60,
                                   [CLOCK_MILKING_END] = end * 60,
                                   [CLOCK_COOLING_START] = fo->order[0]->at_min * 60};
    for (size_t i = 0; i < facts->limit->clause_count; i++) {
        fo->target_c[fo->targets++] = stated_temp_c(facts->limit->clause[i].temp);
        fo->deadline_min[i] = limit_deadline(&facts->limit->clause[i], clocks) / 60;
    }
}

static void tub_fill(const struct bath_facts *facts, struct tub *tub)
{
    *tub = (struct tub){.room_c = facts->room_c,
                        .room_w_per_k = facts->room_w_per_k,
                        .constants = water_ice_usual,
                        .tolerance = TOLERANCE_K};
    tub_add_water(tub, facts->water_kg, facts->water_c);
    tub_add_ice(tub, facts->ice_kg, facts->ice_c);
}

static double pour_capacity(const struct bath_facts *facts, const struct bath_pour *pour)
{
    return pour->volume_l * milk_j_per_l_k(facts->fat_pct) + facts->glass_kg * GLASS_HEAT_J_PER_KGK;
}

static void advance_to(struct tub *tub, struct follow *fo, double minute)
{
    tub_advance(tub, (minute - fo->now_min) * 60, watch_span, fo);
    fo->now_min = minute;
}

/* Runs the tub to `until_min`; the pour's milk must be warmer than the water it goes into. */
static int run_tub(struct tub *tub, struct follow *fo, double until_min, struct fail *f)
{
    for (size_t i = 0; i < fo->facts->pours; i++) {
        const struct bath_pour *pour = fo->order[i];
        if (pour->at_min > until_min)
            return fail_refused(f, "The jars come out at minute %g, before the pour at minute %g.", until_min,
                                pour->at_min);
        advance_to(tub, fo, pour->at_min);
        if (pour->temp_c < tub->water_c)
            return fail_refused(
                f,
                "The milk poured at minute %g is at %.1f °C, colder than the tub at %.1f °C: it "
                "would be warmed, not chilled.",
                pour->at_min, pour->temp_c, tub->water_c);
        fo->index[tub->lots] = (size_t)(pour - fo->facts->pour);
        tub->lot[tub->lots++] = (struct tub_lot){pour_capacity(fo->facts, pour), pour->temp_c,
                                                 law_exponential(pour->k_per_min / 60)};
    }
    advance_to(tub, fo, until_min);
    return 0;
}

/* After the pull each pour goes on alone in the refrigerator. */
static void finish_in_fridge(struct follow *fo, const struct tub *tub)
{
    const struct bath_facts *facts = fo->facts;
    if (isnan(facts->fridge_c) || isnan(facts->fridge_per_min))
        return;
    for (size_t lot = 0; lot < tub->lots; lot++)
        for (size_t t = 0; t < fo->targets; t++) {
            double *met = &fo->met_min[fo->index[lot]][t];
            if (isnan(*met))
                *met = facts->pull_min + newton_time(tub->lot[lot].temp_c, facts->fridge_c,
                                                     facts->fridge_per_min, fo->target_c[t]);
        }
}

static void take_results(const struct follow *fo, const struct tub *tub, struct bath *out)
{
    const struct bath_facts *facts = fo->facts;
    bool pulled = !isnan(facts->pull_min);
    for (size_t lot = 0; lot < tub->lots; lot++) {
        size_t i = fo->index[lot];
        struct bath_result *r = &out->pour[i];
        *r = (struct bath_result){
            .at_pull_c = pulled ? tub->lot[lot].temp_c : NAN, .in_hand_min = NAN, .earliest_pull_min = NAN};
        memcpy(r->to_mark_min, fo->met_min[i], sizeof r->to_mark_min);
        if (facts->limit == NULL)
            continue;
        r->in_hand_min = INFINITY;
        for (size_t c = 0; c < facts->limit->clause_count; c++)
            if (!(r->in_hand_min <= fo->deadline_min[c] - clause_met(fo, i, c)))
                r->in_hand_min = isnan(r->in_hand_min) ? NAN : fo->deadline_min[c] - clause_met(fo, i, c);
        r->limit_ok = r->in_hand_min >= 0;
    }
    out->ice_gone_min = fo->ice_gone_min;
    if (pulled)
        out->bath_final_c = tub->water_c;
    else
        out->bath_final_c = facts->room_w_per_k > 0 ? facts->room_c : tub_balance_c(tub);
}

static int check_facts(const struct bath_facts *facts, struct fail *f)
{
    if (facts->pours == 0)
        return fail_refused(f, "Nothing was poured: give pours=MINUTE:VOLUME:TEMPERATURE:RATE.");
    if (!(facts->water_kg + facts->ice_kg > 0))
        return fail_refused(f, "The tub is empty: it needs water or ice.");
    if (facts->water_kg < 0 || facts->ice_kg < 0 || facts->glass_kg < 0 || facts->room_w_per_k < 0)
        return fail_refused(f, "Water, ice, glass and the room's heat cannot be less than nothing.");
    if (facts->ice_c > 0)
        return fail_refused(f, "Ice at %.1f °C is water; ice is at 0 °C or colder.", facts->ice_c);
    for (size_t i = 0; i < facts->pours; i++) {
        const struct bath_pour *p = &facts->pour[i];
        if (!(p->volume_l > 0) || !(p->k_per_min > 0) || !(p->at_min >= 0))
            return fail_refused(f, "Pour %zu needs a minute, a volume and a rate above zero.", i + 1);
    }
    return 0;
}

static void show_given(const struct bath_facts *facts, const struct bath *out, struct working *w)
{
    for (size_t i = 0; i < facts->pours; i++) {
        const struct bath_pour *p = &facts->pour[i];
        char name[32], text[120] = "";
        (void)snprintf(name, sizeof name, "pour_%zu", i + 1);
        (void)text_append(text, sizeof text, "minute %.6g: %.8g L at %.8g C, %.8g per min", p->at_min,
                          p->volume_l, p->temp_c, p->k_per_min);
        working_given_text(w, name, text, ORIGIN_GIVEN);
    }
    working_given(w, "water_kg", facts->water_kg, ORIGIN_GIVEN);
    working_given(w, "water_c", facts->water_c, ORIGIN_GIVEN);
    working_given(w, "ice_kg", facts->ice_kg, ORIGIN_GIVEN);
    working_given(w, "room_c", facts->room_c, ORIGIN_GIVEN);
    working_given(w, "room_w_per_k", facts->room_w_per_k, ORIGIN_GIVEN);
    working_given(w, "glass_each_kg", facts->glass_kg, ORIGIN_GIVEN);
    working_given(w, "pull_min", facts->pull_min, ORIGIN_GIVEN);
    working_given(w, "fridge_c", facts->fridge_c, ORIGIN_GIVEN);
    working_given(w, "fridge_k_per_min", facts->fridge_per_min, ORIGIN_GIVEN);
    working_given(w, "milk_kj_per_lk", milk_j_per_l_k(facts->fat_pct) / 1000, ORIGIN_CONSTANT);
    working_given(w, "milk_kg_per_l", milk_density(MILK_USUAL_C, facts->fat_pct) / 1000, ORIGIN_CONSTANT);
    working_given(w, "milk_kj_per_kgk",
                  milk_j_per_l_k(facts->fat_pct) / milk_density(MILK_USUAL_C, facts->fat_pct),
                  ORIGIN_CONSTANT);
    working_given(w, "glass_kj_per_kgk", GLASS_HEAT_J_PER_KGK / 1000, ORIGIN_CONSTANT);
    working_given(w, "water_kj_per_kgk", WATER_HEAT_J_PER_KGK / 1000, ORIGIN_CONSTANT);
    working_given(w, "melting_kj_per_kg", ICE_MELTING_J_PER_KG / 1000, ORIGIN_CONSTANT);
    if (facts->limit != NULL)
        working_given_text(w, "limit", facts->limit->name, ORIGIN_GIVEN);
    working_step(w, "water and ice come to balance: %.2f kg of ice in water at %.2f C", out->settled_ice_kg,
                 out->settled_c);
    working_step(w, "each pour: C dT/dt = -k C (T - Tbath), C = density x volume x specific heat + glass");
    working_step(
        w, "tub: at 0 C while ice is left; then Cw dTbath/dt = sum k C (T - Tbath) + UA (Troom - Tbath)");
}

static void show_results(const struct bath_facts *facts, const struct bath *out, struct working *w)
{
    static const char *const mark_names[BATH_MARKS] = {"to_50f_min", "to_45f_min", "to_40f_min"};
    working_result(w, "ice_gone_min", out->ice_gone_min);
    working_result(w, "bath_final_c", out->bath_final_c);
    for (size_t i = 0; i < facts->pours; i++) {
        const struct bath_result *r = &out->pour[i];
        working_row(w, "batches", (int)i);
        working_result(w, "capacity_kj_per_k", pour_capacity(facts, &facts->pour[i]) / 1000);
        working_result(w, "at_pull_c", r->at_pull_c);
        for (int m = 0; m < BATH_MARKS; m++)
            working_result(w, mark_names[m], r->to_mark_min[m]);
        if (facts->limit != NULL) {
            working_result_yes(w, "limit_ok", r->limit_ok);
            working_result(w, "in_hand_min", r->in_hand_min);
            working_result(w, "earliest_pull_min", r->earliest_pull_min);
        }
    }
    working_row(w, NULL, -1);
}

static void show_reasons(const struct bath_facts *facts, const struct bath *out, struct working *w)
{
    bool unmet = false;
    for (size_t i = 0; i < facts->pours; i++)
        for (int m = 0; m < BATH_MARKS; m++)
            unmet = unmet || isnan(out->pour[i].to_mark_min[m]);
    if (unmet && !isnan(facts->pull_min))
        working_why(w, "A mark that shows nothing is never met: the jars are out before it%s.",
                    isnan(facts->fridge_c) ? ", and no refrigerator is given"
                                           : ", and the refrigerator is not "
                                             "colder");
    else if (unmet)
        working_why(w, "A mark that shows nothing is never met: the tub comes to rest at %.1f C.",
                    out->bath_final_c);
    else if (isnan(out->ice_gone_min))
        working_why(w, facts->ice_kg > 0 ? "The ice is never gone: some is left." : "There is no ice to go.");
    working_source(w, "newton-cooling");
    working_source(w, "bejan-kraus");
    working_source(w, "choi-okos");
    working_source(w, "guelph-density");
    working_source(w, "ice-heat");
    if (facts->limit != NULL) {
        working_source(w, facts->limit->source);
        working_caution(w, "Local law decides; this is the rule as it was read.");
    }
}

int bath_run(const struct bath_facts *facts, struct bath *out, struct working *w, struct fail *f)
{
    struct follow stay, plan;
    struct tub tub;
    if (check_facts(facts, f) != 0)
        return -1;
    tub_fill(facts, &tub);
    *out = (struct bath){.settled_c = tub.water_c, .settled_ice_kg = tub.ice_kg};
    follow_begin(&stay, facts);
    if (run_tub(&tub, &stay, HORIZON_MIN, f) != 0)
        return -1;
    if (isnan(facts->pull_min)) {
        take_results(&stay, &tub, out);
    } else {
        tub_fill(facts, &tub);
        follow_begin(&plan, facts);
        if (run_tub(&tub, &plan, facts->pull_min, f) != 0)
            return -1;
        finish_in_fridge(&plan, &tub);
        take_results(&plan, &tub, out);
    }
    for (size_t i = 0; i < facts->pours; i++)
        out->pour[i].earliest_pull_min = stay.earliest_min[i];
    if (w != NULL) {
        show_given(facts, out, w);
        show_results(facts, out, w);
        show_reasons(facts, out, w);
    }
    return 0;
}
