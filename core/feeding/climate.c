#include "core/feeding/climate.h"

#include "core/base/quantity.h"

double thi_of(double temp_c, double rh_pct)
{
    double temp_f = temp_f_from_c(temp_c);
    return temp_f - (0.55 - 0.0055 * rh_pct) * (temp_f - 58);
}

double thi_mader(double temp_c, double rh_pct)
{
    return 0.8 * temp_c + rh_pct / 100 * (temp_c - 14.4) + 46.4;
}

/* 68 and 72: De Vries, Economics of heat stress; 72 to 79 and 80 to 89: table printed with Mader's form; 90:
 * from memory. */
static const struct {
    double from;
    const char *word, *advice;
} bands[] = {
    [THI_NONE] = {-1e9, "none", "No heat stress."},
    [THI_MILD] = {68, "mild", "High yielders feel it: shade and water within reach."},
    [THI_MODERATE] = {72, "moderate",
                      "Shade, moving air and much water; expect less milk and fewer that hold to "
                      "service. Feed in the cool hours."},
    [THI_SEVERE] = {80, "severe",
                    "Shade, fans and wetting; do not drive or treat her in the heat. Open mouth or "
                    "drooling: cool her with water and call the veterinarian."},
    [THI_EXTREME] = {90, "extreme",
                     "Danger of death: shade, water on skin and moving air at once, and call the "
                     "veterinarian."},
};

enum thi_band thi_band_of(double thi)
{
    enum thi_band band = THI_NONE;
    while (band < THI_EXTREME && thi >= bands[band + 1].from)
        band++;
    return band;
}

const char *thi_band_word(enum thi_band band)
{
    return bands[band].word;
}

const char *thi_band_advice(enum thi_band band)
{
    return bands[band].advice;
}

int heat_stress_of(double temp_c, double rh_pct, struct heat_stress *out, struct working *w, struct fail *f)
{
    if (!(temp_c >= -40 && temp_c <= 60))
        return fail_input(f, "%.0f °C is no weather for cows; -40 to 60 °C can be meant.", temp_c);
    if (!(rh_pct >= 0 && rh_pct <= 100))
        return fail_input(f, "Humidity is between 0 and 100 %%.");
    out->thi = thi_of(temp_c, rh_pct);
    out->mader = thi_mader(temp_c, rh_pct);
    out->band = thi_band_of(out->thi);
    working_given(w, "temp_c", temp_c, ORIGIN_GIVEN);
    working_given(w, "rh_pct", rh_pct, ORIGIN_GIVEN);
    working_step(w, "T - (0.55 - 0.0055 RH)(T - 58) with T = %.1f °F, RH = %.0f %%: %.1f",
                 temp_f_from_c(temp_c), rh_pct, out->thi);
    working_step(w, "the other form in use, 0.8 T + RH/100 (T - 14.4) + 46.4 in °C: %.1f", out->mader);
    working_step(w, "below 68 none, from 68 mild, 72 moderate, 80 severe, 90 extreme");
    working_result(w, "thi", out->thi);
    working_result_text(w, "band", bands[out->band].word);
    working_result(w, "thi_mader", out->mader);
    working_source(w, "thi-form");
    working_source(w, "thi-bands");
    working_source(w, "thi-mader");
    if (out->band != THI_NONE)
        working_caution(w, bands[out->band].advice);
    return 0;
}
