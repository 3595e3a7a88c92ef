/* Heat stress by temperature and humidity. Two indices are in use, and tables of one are printed with the
 * formula of the other; both are given, and the bands go by the first. */
#ifndef CORE_FEEDING_CLIMATE_H
#define CORE_FEEDING_CLIMATE_H

#include "core/base/fail.h"
#include "core/base/working.h"

/* T - (0.55 - 0.0055 RH)(T - 58), T in °F (NRC 1971). */
double thi_of(double temp_c, double rh_pct);

/* 0.8 T + RH/100 (T - 14.4) + 46.4, T in °C (Mader). */
double thi_mader(double temp_c, double rh_pct);

enum thi_band { THI_NONE, THI_MILD, THI_MODERATE, THI_SEVERE, THI_EXTREME };

/* Below 68 none, from 68 mild, 72 moderate, 80 severe, 90 extreme. */
enum thi_band thi_band_of(double thi);

/* "none", "mild", ... and what to do about it, one sentence. Static. */
const char *thi_band_word(enum thi_band band);
const char *thi_band_advice(enum thi_band band);

/* Checks (-40..60 °C, 0..100 %), works out and records. */
struct heat_stress {
    double thi, mader;
    enum thi_band band;
};
int heat_stress_of(double temp_c, double rh_pct, struct heat_stress *out, struct working *w, struct fail *f);

#endif
