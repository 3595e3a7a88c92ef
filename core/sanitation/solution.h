/* Mixing a sanitiser: the dose for a strength, the strength of a dose, spoons, what a test strip says of it,
 * and the limits between which it may be used. Concentrations are mg/L, called ppm. */
#ifndef CORE_SANITATION_SOLUTION_H
#define CORE_SANITATION_SOLUTION_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/sanitation/bleach.h"
#include "core/sanitation/chemical.h"

/* A US teaspoon, 1/768 gallon. */
#define ML_PER_TSP (L_PER_GAL * 1000 / 768)

/* Chlorine left on milk surfaces unrinsed: at most this (US 9 CFR 590.552(b); 40 CFR 180.940). */
#define CHLORINE_CEILING_PPM 200.0
/* At or below this a strip says: mix again (label of a registered hypochlorite: redo under 50 ppm). */
#define CHLORINE_WEAK_PPM 50.0

enum volume_kind {
    VOLUME_FINAL, /* volume of the finished solution */
    VOLUME_WATER, /* volume of the water to which the product is added */
};

struct solution_ask {
    struct bleach bleach;
    double target_ppm;
    double volume_l;
    enum volume_kind volume_kind;
};

struct solution {
    double dose_ml, dose_tsp;
    double ppm;       /* worked back from the dose */
    double spoon_tsp; /* what a quarter-teaspoon measure can give, never over the ceiling; 0 = too little */
    double spoon_ppm;
    bool too_weak; /* at or below CHLORINE_WEAK_PPM */
};

/* Bleach for a chlorine solution: dose = volume x target / (percent x 10 000); with the volume counted as
 * water, the dose's own volume is taken into account. Refuses nonsense (naming the field) and any target over
 * CHLORINE_CEILING_PPM. */
int solution_dose(const struct solution_ask *ask, struct solution *out, struct working *w, struct fail *f);

/* The strength that a dose gives, ppm. */
double solution_ppm(const struct bleach *bleach, double dose_ml, double volume_l, enum volume_kind kind);

/* The same as a figure with its working: judges it against the ceiling and the weak limit, refuses nothing
 * but nonsense. */
int solution_judge(const struct bleach *bleach, double dose_ml, double volume_l, enum volume_kind kind,
                   double *ppm, struct working *w, struct fail *f);

/* The product strength, mg/L, behind a recipe that claims `ppm`. */
double solution_product_mg_per_l(double dose_ml, double volume_l, double ppm, enum volume_kind kind);

/* "2 tbsp 1 3/4 tsp", "1 cup 3 tbsp": spoons for a whole number of quarter teaspoons. Returns buf. */
const char *spoon_text(double tsp, char *buf, size_t size);

/* Other sanitisers are mixed as their label says: so much to so much gives so many ppm. */
struct label_ask {
    enum chemical chemical;
    double label_dose_ml, label_volume_l, label_ppm;
    double target_ppm, volume_l;
};

/* The label's recipe scaled to target and volume. Refuses a target over the chemical's ceiling. */
int solution_by_label(const struct label_ask *ask, struct solution *out, struct working *w, struct fail *f);

/* Limits of a sanitiser that stays on milk surfaces unrinsed. NaN = the label alone says. */
struct sanitiser_limit {
    enum chemical chemical;
    double low_ppm, ceiling_ppm;
    double low_f; /* water at least, in the unit of the rule */
    double high_ph;
    double hardness_ppm; /* water at most, as calcium carbonate */
    const char *source;  /* of the ceiling */
};

/* The limits of that chemical, or NULL where there are none. Static. */
const struct sanitiser_limit *sanitiser_limit(enum chemical chemical);

/* A test strip: what it showed, and the last colour on its scale. */
struct test_strip {
    double ppm, top_ppm;
};

enum strip_verdict {
    STRIP_AGAIN,  /* at or below 50 ppm: mix again */
    STRIP_WEAK,   /* under 100: strong enough to begin with, mix again soon (9 CFR 590.552: change at 100) */
    STRIP_GOOD,   /* 100 to 200 */
    STRIP_TOP,    /* the strip's last colour: it may be stronger; thin a sample one to one and read double */
    STRIP_STRONG, /* over 200: add water */
};

struct strength {
    double ppm; /* what counts: the strip's, if there is one */
    enum strip_verdict verdict;
    double implied_pct; /* what the bottle then really holds, on the label's basis; NaN without a strip */
};

/* The strength that counts. A strip beats arithmetic: `strip` may be NULL, then `mixed_ppm` counts. `bleach`
 * (may be NULL) gives the label's strength. Refuses a reading off the strip's scale. */
int solution_strength(double mixed_ppm, const struct bleach *bleach, const struct test_strip *strip,
                      struct strength *out, struct working *w, struct fail *f);

/* What to do, in words: "mix again", "good", ... Static text. */
const char *strip_verdict_text(enum strip_verdict verdict);

/* Share of free chlorine that is hypochlorous acid, the form that kills: 1 / (1 + 10^(pH - 7.5)). NaN outside
 * pH 0 to 14. */
double hocl_fraction(double ph);

#endif
