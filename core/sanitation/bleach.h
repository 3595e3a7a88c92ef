/* The bottle: how much chlorine a litre of bleach brings, by what its label means with "percent"; how it
 * weakens with age; and what the old spoon rule does with today's bottle. */
#ifndef CORE_SANITATION_BLEACH_H
#define CORE_SANITATION_BLEACH_H

#include "core/base/fail.h"
#include "core/base/working.h"

/* Three meanings of a label's percent. */
enum bleach_basis {
    BLEACH_SIMPLE, /* percent x 10 000 mg/L: 2 to 5 % under the truth for a US label, less than a spoon's
                    * error; what the doses here use */
    BLEACH_TRUE,   /* weight % sodium hypochlorite: / 1.05 for available chlorine, times the density */
    BLEACH_TRADE,  /* g available chlorine in 100 mL, as pool and dairy chlorine is sold: exactly 10 000 mg/L
                    */
};

struct bleach {
    double strength_pct; /* of the label */
    enum bleach_basis basis;
    double density_kg_per_l; /* for BLEACH_TRUE; see bleach_density() */
};

/* Refuses a strength that no liquid bleach has: 0, not a number, or over 20 %. */
int bleach_check(const struct bleach *bleach, struct fail *f);

/* Available chlorine, mg in a litre of the product. Weight % NaOCl to available chlorine: 70.906 / 74.442,
 * the molar masses of Cl2 and NaOCl. */
double bleach_mg_per_l(const struct bleach *bleach);

/* Density of the common label strengths (5.25, 6, 7.5, 8.25 %), kg/L; NaN for any other. */
double bleach_density(double strength_pct);

/* One row of the table of ageing: 12.5 trade % after an age at a temperature. */
struct bleach_age {
    double store_c;      /* kept at */
    int age_days;        /* 1, 7, 30, 90, 180 or what the table has */
    double strength_pct; /* then left */
};

/* The table's row for that storage temperature or the next warmer one, and that age or the next younger one
 * the table has, for bleach that was 12.5 trade % when made. It is shown as an example of how fast bleach
 * weakens, never used for a dose: real bottles differ, and a strip tells. Refuses warmer than 100 °F and
 * younger than a day. */
int bleach_age_find(double store_c, int age_days, struct bleach_age *out, struct working *w, struct fail *f);

/* "One tablespoon to the gallon" was made for 5.25 % bleach. The ppm it gives with this bottle: over 200 with
 * the bottles of today. */
double bleach_spoon_rule_ppm(const struct bleach *bleach, struct working *w);

#endif
