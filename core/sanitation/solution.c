#include "core/sanitation/solution.h"

#include <math.h>
#include <stdio.h>

#include "core/base/text.h"
#include "core/sanitation/caution.h"

static const struct sanitiser_limit limits[] = {
    {CHEMICAL_CHLORINE, 50, CHLORINE_CEILING_PPM, 75, 8.3, NAN, "cfr-9-590-552"},
    {CHEMICAL_IODINE, 12.5, 25, 68, 5.0, NAN, "food-code-4-501-114"},
    {CHEMICAL_QUAT, NAN, 200, 75, NAN, 500, "cfr-21-178-1010"},
    {CHEMICAL_PEROXYACETIC, 100, 500, NAN, NAN, NAN, "fr-65-75168"},
    {CHEMICAL_PEROXIDE, NAN, 1100, NAN, NAN, NAN, "fr-65-75174"},
};

const struct sanitiser_limit *sanitiser_limit(enum chemical chemical)
{
    for (size_t i = 0; i < sizeof limits / sizeof limits[0]; i++)
        if (limits[i].chemical == chemical)
            return &limits[i];
    return NULL;
}

double solution_ppm(const struct bleach *bleach, double dose_ml, double volume_l, enum volume_kind kind)
{
    double final_l = kind == VOLUME_WATER ? volume_l + dose_ml / 1000 : volume_l;
    return dose_ml / 1000 * bleach_mg_per_l(bleach) / final_l;
}

double solution_product_mg_per_l(double dose_ml, double volume_l, double ppm, enum volume_kind kind)
{
    double final_l = kind == VOLUME_WATER ? volume_l + dose_ml / 1000 : volume_l;
    return ppm * final_l * 1000 / dose_ml;
}

const char *spoon_text(double tsp, char *buf, size_t size)
{
    static const char *const quarter[] = {"", "1/4", "1/2", "3/4"};
    long quarters = lround(tsp * 4);
    long cups = quarters / 192, spoons = quarters % 192 / 12, rest = quarters % 12;
    buf[0] = '\0';
    if (cups > 0)
        (void)text_append(buf, size, "%ld cup%s", cups, cups > 1 ? "s" : "");
    if (spoons > 0)
        (void)text_append(buf, size, "%s%ld tbsp", buf[0] == '\0' ? "" : " ", spoons);
    if (rest >= 4)
        (void)text_append(buf, size, "%s%ld", buf[0] == '\0' ? "" : " ", rest / 4);
    if (rest % 4 > 0)
        (void)text_append(buf, size, "%s%s", buf[0] == '\0' ? "" : " ", quarter[rest % 4]);
    if (rest > 0)
        (void)text_append(buf, size, " tsp");
    if (quarters <= 0)
        (void)text_append(buf, size, "less than a spoon: measure the mL");
    return buf;
}

static int check_volume(double volume_l, struct fail *f)
{
    if (!(volume_l > 0))
        return fail_input(f, "volume: there must be water, as 3gal or 10L.");
    return 0;
}

/* Over the ceiling nothing is mixed; the sentence names rule and way out. */
static int check_target(enum chemical chemical, double target_ppm, struct fail *f)
{
    const struct sanitiser_limit *limit = sanitiser_limit(chemical);
    if (!(target_ppm > 0))
        return fail_input(f, "target: a strength above nothing is needed, as 100ppm.");
    if (limit == NULL || target_ppm <= limit->ceiling_ppm)
        return 0;
    return fail_refused(
        f,
        "target: %.4g ppm is over %.4g ppm, the most %s that may be left on milk gear unrinsed. A "
        "stronger soak is for the product's label to allow, and is rinsed off.",
        target_ppm, limit->ceiling_ppm, chemical_name(chemical));
}

/* The nearest quarter teaspoon, the one below where the nearest would pass the ceiling. */
static void take_spoons(struct solution *s, double ceiling_ppm)
{
    double quarters = round(s->dose_tsp * 4);
    if (quarters > 0 && s->ppm * quarters / (s->dose_tsp * 4) > ceiling_ppm * (1 + 1e-9))
        quarters--;
    s->spoon_tsp = quarters / 4;
    s->spoon_ppm = s->ppm * s->spoon_tsp / s->dose_tsp;
}

static void show_dose(const struct solution *s, struct working *w)
{
    char spoons[64];
    working_result(w, "dose_ml", s->dose_ml);
    working_result(w, "dose_tsp", s->dose_tsp);
    working_result(w, "ppm_check", s->ppm);
    working_result_text(w, "spoons", spoon_text(s->spoon_tsp, spoons, sizeof spoons));
    working_result(w, "by_spoons_ppm", s->spoon_ppm);
    working_source(w, "units");
}

static void show_volume(double volume_l, enum volume_kind kind, struct working *w)
{
    working_given(w, "volume_l", volume_l, ORIGIN_GIVEN);
    working_given_text(w, "counted", kind == VOLUME_WATER ? "water, without the dose" : "final",
                       ORIGIN_GIVEN);
}

static void show_bleach(const struct bleach *bleach, struct working *w)
{
    static const char *const basis[] = {"simple: percent x 10000 mg/L", "true: weight % / 1.05 x density",
                                        "trade: g per 100 mL"};
    working_given(w, "strength_pct", bleach->strength_pct, ORIGIN_GIVEN);
    working_given_text(w, "basis", basis[bleach->basis], ORIGIN_GIVEN);
    if (bleach->basis == BLEACH_TRUE)
        working_given(w, "density_kg_per_l", bleach->density_kg_per_l, ORIGIN_GIVEN);
    working_step(w, "available chlorine in the bottle: %.0f mg/L", bleach_mg_per_l(bleach));
}

/* How far the simple basis is under the truth, where the density is known. */
static void show_true_ppm(const struct bleach *bleach, double ppm, struct working *w)
{
    struct bleach truth = {bleach->strength_pct, BLEACH_TRUE, bleach_density(bleach->strength_pct)};
    if (bleach->basis != BLEACH_SIMPLE || isnan(truth.density_kg_per_l))
        return;
    double true_ppm = ppm * bleach_mg_per_l(&truth) / bleach_mg_per_l(bleach);
    working_step(w, "by weight and density the bottle gives a little more: %.0f ppm", true_ppm);
    working_result(w, "true_ppm", true_ppm);
    working_source(w, "hypochlorite-percent");
}

static void caution_chlorine(double ppm, struct working *w)
{
    working_caution(w, caution_text(CAUTION_LABEL_RULES));
    caution_add(w, CAUTION_NO_RINSE_LIMIT);
    caution_add(w, CAUTION_NO_MIX_ACID);
    working_caution(w, caution_text(CAUTION_WATER_FIRST));
    caution_add(w, CAUTION_STRIP_TRUTH);
    if (ppm <= CHLORINE_WEAK_PPM) {
        working_caution(w, "At 50 ppm or less this is too weak for cool water: most rules ask for more.");
        working_source(w, "hypochlorite-label");
    }
}

int solution_dose(const struct solution_ask *ask, struct solution *out, struct working *w, struct fail *f)
{
    if (bleach_check(&ask->bleach, f) != 0 || check_volume(ask->volume_l, f) != 0 ||
        check_target(CHEMICAL_CHLORINE, ask->target_ppm, f) != 0)
        return -1;
    double product = bleach_mg_per_l(&ask->bleach);
    bool water = ask->volume_kind == VOLUME_WATER;
    double dose_l = ask->volume_l * ask->target_ppm / (water ? product - ask->target_ppm : product);
    if (!(dose_l > 0 && dose_l < ask->volume_l))
        return fail_refused(f, "strength: %.4g %% is too weak for %.4g ppm.", ask->bleach.strength_pct,
                            ask->target_ppm);
    out->dose_ml = dose_l * 1000;
    out->dose_tsp = out->dose_ml / ML_PER_TSP;
    out->ppm = solution_ppm(&ask->bleach, out->dose_ml, ask->volume_l, ask->volume_kind);
    out->too_weak = ask->target_ppm <= CHLORINE_WEAK_PPM;
    take_spoons(out, CHLORINE_CEILING_PPM);
    show_bleach(&ask->bleach, w);
    working_given(w, "target_ppm", ask->target_ppm, ORIGIN_GIVEN);
    show_volume(ask->volume_l, ask->volume_kind, w);
    working_given(w, "ceiling_ppm", CHLORINE_CEILING_PPM, ORIGIN_CONSTANT);
    working_step(w, "dose = volume x target / %s = %.4g L x %.4g / %.0f = %.2f mL",
                 water ? "(bottle - target)" : "bottle", ask->volume_l, ask->target_ppm,
                 water ? product - ask->target_ppm : product, out->dose_ml);
    show_dose(out, w);
    working_result_yes(w, "too_weak", out->too_weak);
    show_true_ppm(&ask->bleach, out->ppm, w);
    (void)bleach_spoon_rule_ppm(&ask->bleach, w);
    caution_chlorine(ask->target_ppm, w);
    return 0;
}

int solution_judge(const struct bleach *bleach, double dose_ml, double volume_l, enum volume_kind kind,
                   double *ppm, struct working *w, struct fail *f)
{
    if (bleach_check(bleach, f) != 0 || check_volume(volume_l, f) != 0)
        return -1;
    if (!(dose_ml > 0))
        return fail_input(f, "dose: there must be some bleach, as 1tbsp or 15mL.");
    *ppm = solution_ppm(bleach, dose_ml, volume_l, kind);
    show_bleach(bleach, w);
    working_given(w, "dose_ml", dose_ml, ORIGIN_GIVEN);
    show_volume(volume_l, kind, w);
    working_given(w, "ceiling_ppm", CHLORINE_CEILING_PPM, ORIGIN_CONSTANT);
    working_step(w, "strength = dose x bottle / %s", kind == VOLUME_WATER ? "(water + dose)" : "volume");
    working_result(w, "ppm_check", *ppm);
    working_result_yes(w, "over_ceiling", *ppm > CHLORINE_CEILING_PPM);
    working_result_yes(w, "too_weak", *ppm <= CHLORINE_WEAK_PPM);
    show_true_ppm(bleach, *ppm, w);
    caution_chlorine(*ppm, w);
    return 0;
}

int solution_by_label(const struct label_ask *ask, struct solution *out, struct working *w, struct fail *f)
{
    const struct sanitiser_limit *limit = sanitiser_limit(ask->chemical);
    if (limit == NULL)
        return fail_refused(f, "chemical: %s is not a sanitiser for milk gear.",
                            chemical_name(ask->chemical));
    if (check_volume(ask->volume_l, f) != 0 || check_target(ask->chemical, ask->target_ppm, f) != 0)
        return -1;
    if (!(ask->label_dose_ml > 0 && ask->label_volume_l > 0 && ask->label_ppm > 0))
        return fail_input(f,
                          "label: give its recipe, as label_dose=1floz label_volume=5gal label_ppm=25ppm.");
    out->dose_ml =
        ask->label_dose_ml * (ask->volume_l / ask->label_volume_l) * (ask->target_ppm / ask->label_ppm);
    if (!(out->dose_ml < ask->volume_l * 1000))
        return fail_input(f, "label: that recipe would be more product than water; check its figures.");
    out->dose_tsp = out->dose_ml / ML_PER_TSP;
    out->ppm = ask->target_ppm;
    out->too_weak = ask->target_ppm < limit->low_ppm;
    take_spoons(out, limit->ceiling_ppm);
    working_given_text(w, "chemical", chemical_name(ask->chemical), ORIGIN_GIVEN);
    working_given(w, "label_dose_ml", ask->label_dose_ml, ORIGIN_GIVEN);
    working_given(w, "label_volume_l", ask->label_volume_l, ORIGIN_GIVEN);
    working_given(w, "label_ppm", ask->label_ppm, ORIGIN_GIVEN);
    working_given(w, "target_ppm", ask->target_ppm, ORIGIN_GIVEN);
    working_given(w, "volume_l", ask->volume_l, ORIGIN_GIVEN);
    working_given(w, "ceiling_ppm", limit->ceiling_ppm, ORIGIN_CONSTANT);
    working_step(w, "dose = label dose x volume / label volume x target / label ppm = %.2f mL", out->dose_ml);
    if (!isnan(limit->low_f))
        working_step(w, "water at least %.0f °F", limit->low_f);
    if (!isnan(limit->high_ph))
        working_step(w, "pH at most %.1f", limit->high_ph);
    if (!isnan(limit->hardness_ppm))
        working_step(w, "water no harder than %.0f ppm", limit->hardness_ppm);
    show_dose(out, w);
    working_result_yes(w, "too_weak", out->too_weak);
    working_source(w, limit->source);
    working_caution(w, caution_text(CAUTION_LABEL_RULES));
    caution_add(w, CAUTION_NO_MIX_OTHER);
    return 0;
}

static enum strip_verdict judge_ppm(double ppm, double top_ppm)
{
    if (ppm > CHLORINE_CEILING_PPM)
        return STRIP_STRONG;
    if (ppm >= top_ppm)
        return STRIP_TOP;
    if (ppm <= CHLORINE_WEAK_PPM)
        return STRIP_AGAIN;
    return ppm < 100 ? STRIP_WEAK : STRIP_GOOD;
}

const char *strip_verdict_text(enum strip_verdict verdict)
{
    static const char *const texts[] = {
        [STRIP_AGAIN] = "too weak: mix again",
        [STRIP_WEAK] = "weak: strong enough now, mix again before it falls to 50 ppm",
        [STRIP_GOOD] = "good: 100 to 200 ppm",
        [STRIP_TOP] = "the strip's last colour: thin a sample with as much water, read again, and double it",
        [STRIP_STRONG] = "too strong to leave unrinsed: add water",
    };
    return texts[verdict];
}

int solution_strength(double mixed_ppm, const struct bleach *bleach, const struct test_strip *strip,
                      struct strength *out, struct working *w, struct fail *f)
{
    if (strip != NULL && !(strip->top_ppm > 0))
        return fail_input(f, "strip: the last colour on its scale is needed, as 200ppm.");
    if (strip != NULL && !(strip->ppm >= 0 && strip->ppm <= strip->top_ppm))
        return fail_input(
            f,
            "strip: its scale ends at %.4g ppm, so it cannot show %.4g; thin a sample with as much "
            "water, read again, and double it.",
            strip->top_ppm, strip->ppm);
    out->ppm = strip == NULL ? mixed_ppm : strip->ppm;
    out->verdict = judge_ppm(out->ppm, strip == NULL ? INFINITY : strip->top_ppm);
    out->implied_pct = NAN;
    if (strip != NULL) {
        working_given(w, "strip_ppm", strip->ppm, ORIGIN_MEASURED);
        working_given(w, "strip_top_ppm", strip->top_ppm, ORIGIN_GIVEN);
        working_step(w, "the strip counts, not the sum: %.4g ppm against %.4g ppm mixed", strip->ppm,
                     mixed_ppm);
    }
    if (strip != NULL && bleach != NULL && mixed_ppm > 0 && out->verdict != STRIP_TOP) {
        out->implied_pct = bleach->strength_pct * strip->ppm / mixed_ppm;
        working_step(w, "the bottle acts like %.3g %%, its label says %.4g %%", out->implied_pct,
                     bleach->strength_pct);
    }
    working_result(w, "counts_ppm", out->ppm);
    working_result_text(w, "verdict", strip_verdict_text(out->verdict));
    return 0;
}

double hocl_fraction(double ph)
{
    if (!(ph >= 0 && ph <= 14))
        return NAN;
    return 1 / (1 + pow(10, ph - 7.5));
}
