/* Weight from a tape, and body condition. A tape tells weight within some 5 to 10 %; a dose of medicine
 * worked out from it says so. */
#ifndef CORE_HERD_BODY_H
#define CORE_HERD_BODY_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/herd/stage.h"

/* Girths that the formulas are meant for. */
#define GIRTH_LOW_M  0.68
#define GIRTH_HIGH_M 2.60

/* Dairy animals, by heart girth alone: 102.71 - 2.876 G + 0.02655 G^2 kg, G in cm (Heinrichs, Rogers &
 * Cooper, J. Dairy Sci. 75:3576, 1992, Holstein heifers). NaN outside GIRTH_LOW_M..GIRTH_HIGH_M. */
double weight_by_girth_kg(double girth_m);

/* Any breed, by heart girth and length from point of shoulder to pin bone: G^2 L / 300 lb, inches. */
double weight_by_girth_length_kg(double girth_m, double length_m);

/* Cows that have calved, with the paunch girth as well: 0.000935 L (C^2 + P^2 + P C) + 57 lb, inches (Dairy
 * Shorthorn cows, Journal of Dairy Research). */
double weight_by_paunch_kg(double length_m, double chest_m, double paunch_m);

/* The one of these that the measurements allow: with a length the general one, else the dairy one. length_m
 * NaN: not measured. */
int weight_reckon(double girth_m, double length_m, double *weight_kg, struct working *w, struct fail *f);

/* Condition is kept on the scale of 1 (emaciated) to 5 (obese) in quarter points. */
double condition_from_nine(double score);      /* scale 1..9: (s + 1) / 2; NaN outside */
double condition_from_zero_five(double score); /* scale 0..5: 0.8 s + 1; NaN outside */

/* Reads "3.25", "3 1/4", "3+", "3-"; refuses what is not a quarter point of 1..5. */
int condition_parse(const char *text, double *score, struct fail *f);

struct condition_target {
    const char *when; /* "calving", "peak of the lactation", ... */
    int from_day;     /* days in milk from which it holds; -1 for the dry period */
    double low, high;
    const char *source; /* id of assets/sources.csv */
};

/* What is aimed at on that day of her year; NULL for stages without a target (calf, gone). Static. */
const struct condition_target *condition_target(const struct cow_stage *stage);

/* "thin for calving: 2.75, aim 3.25-3.75". Returns buf; "" when there is no target. */
const char *condition_words(double score, const struct condition_target *target, char *buf, size_t size);

#endif
