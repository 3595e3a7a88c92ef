/* The working behind one batch's figures: what was recorded, which law it goes by, what was learned, what the rule asks. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/cooling/forecast.h"
#include "core/cooling/matter.h"

static double minutes_from(double at, double from)
{
    return (at - from) / 60;
}

static double ice_put_kg(const struct morning *m)
{
    double kg = m->tub.ice_kg;
    for (size_t i = 0; i < m->tub.acts && m->tub.act[i].at <= m->now; i++)
        kg += m->tub.act[i].kind == TUB_ADD_ICE ? m->tub.act[i].mass_kg : 0;
    return kg;
}

static void explain_facts(const struct morning *m, size_t i, struct working *w)
{
    const struct batch_facts *b = &m->batch[i];
    working_given_text(w, "jar", b->kind->name, ORIGIN_RECORDED);
    working_given_whole(w, "jars", b->count, ORIGIN_RECORDED);
    working_given(w, "poured_c", b->poured_c, isnan(b->poured_c) ? ORIGIN_DEFAULT : ORIGIN_RECORDED);
    working_given(w, "since_pour_min", minutes_from(m->now, b->poured_at), ORIGIN_RECORDED);
    working_given_whole(w, "readings", (long)b->readings, ORIGIN_MEASURED);
    working_given(w, "tub_water_kg", m->tub.water_kg, ORIGIN_RECORDED);
    working_given(w, "tap_water_c", m->tub.water_c, ORIGIN_RECORDED);
    working_given(w, "ice_put_in_kg", ice_put_kg(m), ORIGIN_RECORDED);
    working_given(w, "room_c", m->room_c, isnan(m->room_c) ? ORIGIN_DEFAULT : ORIGIN_RECORDED);
    working_given(w, "fridge_c", m->fridge_c, isnan(m->fridge_c) ? ORIGIN_DEFAULT : ORIGIN_RECORDED);
    if (m->limit != NULL)
        working_given_text(w, "limit", m->limit->name, ORIGIN_RECORDED);
}

/* Where the jars went and what was read in them; of many readings the latest. */
static void explain_way(const struct morning *m, size_t i, struct working *w)
{
    enum { READINGS_SHOWN = 5 };
    const struct batch_facts *b = &m->batch[i];
    size_t from = b->readings > READINGS_SHOWN ? b->readings - READINGS_SHOWN : 0;
    for (size_t n = 0; n < b->moves && n < 4; n++) {
        char count[16] = "all";
        if (b->move[n].count > 0)
            (void)snprintf(count, sizeof count, "%d", b->move[n].count);
        working_step(w, "%.0f min after the pour: %s from %s to %s", minutes_from(b->move[n].at, b->poured_at), count,
                     place_word(b->move[n].from), place_word(b->move[n].to));
    }
    for (size_t n = from; n < b->readings; n++)
        working_step(w, "%.1f min after the pour: %.1f C read by %s", minutes_from(b->reading[n].at, b->poured_at),
                     b->reading[n].temp_c, b->reading[n].probe ? "a probe" : "hand");
}

/* Which law it goes by, in the tub and in air, and why. */
static void explain_law(const struct morning *m, const struct batch_forecast *f, size_t i, struct working *w)
{
    const struct batch_facts *b = &m->batch[i];
    double volume_l = b->volume_l > 0 ? b->volume_l : b->kind->volume_l, fat = isnan(b->fat_pct) ? FAT_PCT_USUAL : b->fat_pct,
           air_c = isnan(m->fridge_c) ? 4 : m->fridge_c;
    struct cooling_law tub, air;
    jar_law(b->kind, volume_l, fat, surrounding_of_stir(f->learned.stir), 35, 0, &tub);
    if (tub.exponent > 0)
        working_step(w, "in the tub by the power law: k falls as (milk - tub)^%.2f, for the film weakens as they near each other",
                     tub.exponent);
    else
        working_step(w, "in the tub by the exponential law: moved water keeps k the same to the end");
    jar_law(b->kind, volume_l, fat, IN_AIR, 35, air_c, &air);
    working_step(w, "in the refrigerator's air k is %.4f per min 20 K above it and %.4f at 3 K", 60 * law_rate(&air, 20, air_c),
                 60 * law_rate(&air, 3, air_c));
}

/* Batches of earlier mornings that taught about this one's kind of jar. */
static int taught_by(const struct morning *m, size_t batch)
{
    int count = 0;
    for (size_t i = 0; i < m->learned_count; i++)
        count += strcmp(m->learned[i].kind, m->batch[batch].kind->name) == 0;
    return count;
}

static void explain_rate(const struct morning *m, const struct batch_forecast *b, size_t i, struct working *w)
{
    static const char *const moved[STIR_COUNT] = {"still water", "moved water", "moved water, jar swirled"};
    int earlier = taught_by(m, i);
    working_given(w, "prior_k_per_min", exp(b->learned.prior_ln_k),
                  earlier > 0 ? ORIGIN_LEARNED : ORIGIN_DEFAULT);
    working_given_whole(w, "earlier_batches", earlier, ORIGIN_RECORDED);
    working_step(w, "%s", earlier > 0 ? "the jar's own physics, corrected by what was read on earlier mornings with its kind"
                                      : "the jar's own physics: no earlier morning has readings of its kind");
    working_step(w, "rate in %s, full jar 20 K above the tub: believed %.4f per min, give or take %.0f %%",
                 moved[b->learned.stir], exp(b->learned.prior_ln_k), 100 * b->learned.prior_sd);
    if (b->learned.used > 0)
        working_step(w, "%d readings make it %.4f per min, give or take %.1f %%%s", b->learned.used,
                     exp(b->learned.ln_k), 100 * b->learned.sd,
                     b->learned.wild > 0 ? "; wild ones set aside" : "");
    working_result(w, "k_per_min", exp(b->learned.ln_k));
    working_result_whole(w, "wild_readings", b->learned.wild);
}

static void explain_tub(const struct forecast *fc, const struct morning *m, struct working *w)
{
    working_step(w, "tub: ice holds it at melting; %.1f kg left, water among the jars %.1f C", fc->tub.ice_kg,
                 fc->tub.temp_c);
    if (!isnan(fc->tub.ice_gone_at))
        working_step(w, "the ice is gone at %.0f min from now; then jars, water and room go on together",
                     minutes_from(fc->tub.ice_gone_at, m->now));
}

static void explain_limit(const struct morning *m, const struct batch_forecast *b, struct working *w)
{
    if (b->clause < 0)
        return;
    working_result(w, "limit_c", b->limit_c);
    working_result(w, "deadline_min", minutes_from(b->deadline_at, m->now));
    working_result(w, "to_limit_min", minutes_from(b->to_limit.at, m->now));
    working_result(w, "in_hand_min", b->in_hand_s / 60);
    working_result(w, "probability_pct", 100 * b->probability);
    working_result_text(w, "verdict", verdict_word(b->verdict));
    working_result(w, "earliest_pull_min", minutes_from(b->earliest_pull_at, m->now));
    working_result(w, "safe_pull_min", minutes_from(b->safe_pull_at, m->now));
    working_result(w, "latest_pull_min", minutes_from(b->latest_pull_at, m->now));
    working_step(w, "when time is up it is %.1f K %s the limit", fabs(b->over_k),
                 b->over_k > 0 ? "above" : "below");
    if (isnan(b->to_limit.at))
        working_why(w, "The milk does not come down to %.1f C within twelve hours.", b->limit_c);
    if (b->deadline_moves)
        working_step(w, "milking is not over: its end is taken as now, the earliest that it can be");
    working_source(w, m->limit->source);
    working_caution(w, "Local law decides; this is the rule as it was read.");
}

void forecast_explain(const struct morning *morning, const struct forecast *forecast, size_t batch,
                      struct working *w)
{
    const struct batch_forecast *b = &forecast->batch[batch];
    if (w == NULL)
        return;
    explain_facts(morning, batch, w);
    explain_way(morning, batch, w);
    explain_law(morning, b, batch, w);
    explain_rate(morning, b, batch, w);
    explain_tub(forecast, morning, w);
    working_step(w, "now %.1f C, nine times in ten between %.1f and %.1f", b->now_c, b->now_low_c,
                 b->now_high_c);
    working_result(w, "now_c", b->now_c);
    working_result(w, "to_50f_min", minutes_from(b->to_50f.at, morning->now));
    working_result(w, "to_45f_min", minutes_from(b->to_45f.at, morning->now));
    working_result(w, "to_40f_min", minutes_from(b->to_40f.at, morning->now));
    explain_limit(morning, b, w);
    working_source(w, batch < morning->batches ? morning->batch[batch].kind->source : "");
    working_source(w, "churchill-chu");
    working_source(w, "bejan-kraus");
    working_source(w, "ice-heat");
}
