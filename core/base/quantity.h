/* Quantities as people write them, with their unit, and as they read them back. Inside the library everything
 * is SI (°C, L, kg, s); °F, gal and lb exist only at this edge. */
#ifndef CORE_BASE_QUANTITY_H
#define CORE_BASE_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/fail.h"

enum unit_system { UNITS_US, UNITS_METRIC };

enum dimension {
    DIM_TEMPERATURE,      /* °C */
    DIM_TEMPERATURE_STEP, /* K: a difference, so 9F is 5 K */
    DIM_VOLUME,           /* L */
    DIM_MASS,             /* kg */
    DIM_DURATION,         /* s */
    DIM_CONCENTRATION,    /* ppm, taken as mg/L */
    DIM_PERCENT,          /* % */
    DIM_PRESSURE,         /* kPa, below atmosphere for vacuum */
    DIM_LENGTH,           /* m */
    DIM_RATE,             /* 1/min */
    DIM_CONDUCTANCE,      /* W/K */
    DIM_DENSITY_COUNT,    /* per mL: bacteria, cells */
    DIM_COUNT,            /* whole things: jars, days in a count, milkings */
    DIM_NUMBER,           /* a plain number, may be negative */
    DIM_MONEY,            /* in the dairy's currency */
    DIM_ENERGY,           /* kJ: heat */
    DIM_LAST = DIM_ENERGY
};

enum { QUANTITY_TEXT_MAX = 48 };

/* Reads one quantity. `text` is a number with a unit, with or without a blank between ("95F", "35 C",
 * "0.5gal", "1h30", "8.25%"); a bare number takes `bare_unit` (a unit of that dimension as it is written,
 * such as "F"), or is refused when bare_unit is NULL. COUNT, NUMBER and MONEY need no unit. *si is the value
 * in the unit above. Refuses, in one line: no number, NaN, infinity, numbers too large to be meant, negative
 * amounts, an unknown unit, a unit of another dimension, anything after the unit. */
int quantity_parse(const char *text, enum dimension dim, const char *bare_unit, double *si, struct fail *f);

/* The unit that a field of that dimension shows in that system: "F", "gal", "lb", "min", "ppm", ... */
const char *quantity_unit(enum dimension dim, enum unit_system units);

/* Writes si for people, with its unit and the precision that its instrument has: "95 °F", "45.5 lb", "12.5
 * inHg", "1 h 30". Reading the text back and writing it again gives the same text. Returns buf. */
const char *quantity_format(double si, enum dimension dim, enum unit_system units,
                            char buf[QUANTITY_TEXT_MAX]);

/* Same with a chosen unit (one of the dimension's own) and number of decimals; trailing zeros go. */
const char *quantity_format_in(double si, enum dimension dim, const char *unit, int decimals,
                               char buf[QUANTITY_TEXT_MAX]);

/* Exact conversions, by definition of the units. */
double temp_c_from_f(double temp_f);
double temp_f_from_c(double temp_c);

#define KG_PER_LB    0.45359237
#define L_PER_GAL    3.785411784
#define ML_PER_QT    946.352946
#define KPA_PER_INHG 3.386389
#define M_PER_IN     0.0254

/* Rounds to the integer that the store keeps: grams, millilitres, thousandths of a degree. */
int64_t quantity_milli(double si);

#endif
