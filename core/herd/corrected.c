#include "core/herd/corrected.h"

#include <math.h>

/* The Danish form divides by the energy of its standard milk: (383 F% + 242 P% + 780.8) / 3140, F% = 100 fat
 * / milk; the international one likewise. */
const struct ecm_variant ecm_variants[ECM_VARIANTS] = {
    {"ecm_35_true_kg",  "3.5 % fat, true protein",                   0.327,           12.95,          7.65,          "ecm-dhi"    },
    {"ecm_35_crude_kg", "3.5 % fat, crude protein",                  0.327,           12.95,          7.2,           "ecm-crude"  },
    {"ecm_40_33_kg",    "4.0 % fat, 3.3 % protein",                  0.7832 / 3.1138, 38.3 / 3.1138,  24.2 / 3.1138, "ecm-ifcn"   },
    {"ecm_danish_kg",   "the energy of standard milk, Danish usage", 780.8 / 3140,    38300.0 / 3140,
     24200.0 / 3140,                                                                                                 "friggens-07"},
};

double fcm4_kg(double milk_kg, double fat_pct)
{
    return 0.4 * milk_kg + 15 * milk_kg * fat_pct / 100;
}

double ecm_kg(const struct ecm_variant *variant, double milk_kg, double fat_pct, double protein_pct)
{
    return milk_kg * (variant->milk + variant->fat * fat_pct / 100 + variant->protein * protein_pct / 100);
}

void corrected_reckon(double milk_kg, double fat_pct, double protein_pct, struct working *w)
{
    working_given(w, "milk_kg", milk_kg, ORIGIN_GIVEN);
    working_given(w, "fat_pct", fat_pct, ORIGIN_GIVEN);
    working_result(w, "fcm4_kg", fcm4_kg(milk_kg, fat_pct));
    working_step(w, "4 %% fat-corrected milk = 0.4 milk + 15 fat = 0.4 x %.5g + 15 x %.5g kg", milk_kg,
                 milk_kg * fat_pct / 100);
    working_source(w, "gaines-fcm");
    if (isfinite(protein_pct))
        working_given(w, "protein_pct", protein_pct, ORIGIN_GIVEN);
    else
        working_why(w, "energy-corrected milk needs the protein as well");
    for (int i = 0; i < ECM_VARIANTS; i++) {
        const struct ecm_variant *v = &ecm_variants[i];
        working_result(w, v->name, ecm_kg(v, milk_kg, fat_pct, protein_pct));
        if (!isfinite(protein_pct))
            continue;
        working_step(w, "%s (%s) = milk x %.5g + fat x %.5g + protein x %.5g", v->name, v->basis, v->milk,
                     v->fat, v->protein);
        working_source(w, v->source);
    }
    working_caution(w, "The energy-corrected figures differ by more than a tenth from one another; compare "
                       "only figures of the same name.");
}
