#include "core/herd/corrected.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

/* Gaines' constants, per kg of milk and of fat. */
#define FCM4_MILK 0.4
#define FCM4_FAT  15.0

/* The Danish form divides by the energy of its standard milk: (383 F% + 242 P% + 780.8) / 3140 with F% = 100
 * fat / milk; the form for 4.0 % fat and 3.3 % protein likewise, (0.383 F% + 0.242 P% + 0.7832) / 3.1138. */
/* clang-format off */
const struct ecm_variant ecm_variants[ECM_VARIANTS] = {
    {"ecm_35_true_kg",  "3.5 % fat, true protein",                   0.327,           12.95,         7.65,          "ecm-dhi"},
    {"ecm_35_crude_kg", "3.5 % fat, crude protein",                  0.327,           12.95,         7.2,           "ecm-crude"},
    {"ecm_40_33_kg",    "4.0 % fat, 3.3 % protein",                  0.7832 / 3.1138, 38.3 / 3.1138, 24.2 / 3.1138, "ecm-ifcn"},
    {"ecm_danish_kg",   "the energy of standard milk, Danish usage", 780.8 / 3140,    383e2 / 3140,  242e2 / 3140,  "friggens-07"},
};
/* clang-format on */

double fcm4_kg(double milk_kg, double fat_pct)
{
    return FCM4_MILK * milk_kg + FCM4_FAT * milk_kg * fat_pct / 100;
}

double ecm_kg(const struct ecm_variant *variant, double milk_kg, double fat_pct, double protein_pct)
{
    return milk_kg * (variant->milk + variant->fat * fat_pct / 100 + variant->protein * protein_pct / 100);
}

/* Constants stand among what is given, so that the figure can be worked out again from the output alone:
 * "ecm_35_true_per_milk" and the like. */
static void give_constant(struct working *w, const char *figure, const char *part, double value)
{
    char name[32];
    (void)snprintf(name, sizeof name, "%.*s_per_%s", (int)strlen(figure) - 3, figure, part);
    working_given(w, name, value, ORIGIN_CONSTANT);
}

static void variant_reckon(const struct ecm_variant *v, double milk_kg, double fat_pct, double protein_pct,
                           struct working *w)
{
    working_result(w, v->name, ecm_kg(v, milk_kg, fat_pct, protein_pct));
    if (!isfinite(protein_pct))
        return;
    give_constant(w, v->name, "milk", v->milk);
    give_constant(w, v->name, "fat", v->fat);
    give_constant(w, v->name, "protein", v->protein);
    working_step(w, "%s (%s) = %.5g milk + %.5g fat + %.5g protein", v->name, v->basis, v->milk, v->fat,
                 v->protein);
    working_source(w, v->source);
}

void corrected_reckon(double milk_kg, double fat_pct, double protein_pct, struct working *w)
{
    bool with_protein = isfinite(protein_pct);
    working_given(w, "milk_kg", milk_kg, ORIGIN_GIVEN);
    working_given(w, "fat_pct", fat_pct, ORIGIN_GIVEN);
    if (with_protein)
        working_given(w, "protein_pct", protein_pct, ORIGIN_GIVEN);
    else
        working_why(w, "energy-corrected milk needs the protein as well");
    give_constant(w, "fcm4_kg", "milk", FCM4_MILK);
    give_constant(w, "fcm4_kg", "fat", FCM4_FAT);
    working_result(w, "fcm4_kg", fcm4_kg(milk_kg, fat_pct));
    working_step(w, "4 %% fat-corrected milk = %.2g milk + %.3g fat = %.2g x %.5g + %.3g x %.5g kg",
                 FCM4_MILK, FCM4_FAT, FCM4_MILK, milk_kg, FCM4_FAT, milk_kg * fat_pct / 100);
    working_source(w, "gaines-fcm");
    for (int i = 0; i < ECM_VARIANTS; i++)
        variant_reckon(&ecm_variants[i], milk_kg, fat_pct, protein_pct, w);
    if (with_protein)
        working_caution(w,
                        "The energy-corrected figures differ by more than a tenth from one another; compare "
                        "only figures of the same name.");
}
