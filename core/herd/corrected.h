/* Milk weighed by its fat and protein, so that a rich gallon and a thin one can be compared. There is one 4 %
 * fat-corrected milk and several "energy-corrected" ones that differ by more than a tenth; each has its own
 * name here, and none is printed without it. */
#ifndef CORE_HERD_CORRECTED_H
#define CORE_HERD_CORRECTED_H

#include <stddef.h>

#include "core/base/working.h"

/* Gaines: 0.4 milk + 15 fat, all kg. milk_kg >= 0, fat_pct 0..100; NaN in, NaN out. */
double fcm4_kg(double milk_kg, double fat_pct);

struct ecm_variant {
    const char *name;          /* of the figure: "ecm_35_true_kg" */
    const char *basis;         /* in words: which fat and which protein it is told for */
    double milk, fat, protein; /* kg of corrected milk per kg of milk, of fat, of protein */
    const char *source;        /* id of assets/sources.csv */
};

enum { ECM_VARIANTS = 4 };
extern const struct ecm_variant ecm_variants[ECM_VARIANTS];

double ecm_kg(const struct ecm_variant *variant, double milk_kg, double fat_pct, double protein_pct);

/* All of them into a working; protein_pct NaN leaves the energy-corrected ones out, saying why. */
void corrected_reckon(double milk_kg, double fat_pct, double protein_pct, struct working *w);

#endif
