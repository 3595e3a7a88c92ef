#include "core/sanitation/bleach.h"

#include <math.h>

#include "core/sanitation/caution.h"
#include "core/sanitation/solution.h"

/* Molar masses, g/mol: Cl2, NaOCl. */
static const double chlorine_share = 70.906 / 74.442;

int bleach_check(const struct bleach *bleach, struct fail *f)
{
    if (!(bleach->strength_pct > 0))
        return fail_input(f,
                          "strength: there is no bleach of 0 %%; take the figure on the label, as 8.25%%.");
    if (bleach->strength_pct > 20)
        return fail_refused(f,
                            "strength: no liquid bleach has %.4g %%; granules are dosed by weight, as their "
                            "label says.",
                            bleach->strength_pct);
    if (bleach->basis == BLEACH_TRUE && !(bleach->density_kg_per_l >= 1 && bleach->density_kg_per_l <= 1.4))
        return fail_input(f,
                          "density: the true strength needs the bottle's density, as 1.10 (kg per litre).");
    return 0;
}

double bleach_mg_per_l(const struct bleach *bleach)
{
    double simple = bleach->strength_pct * 10000;
    return bleach->basis == BLEACH_TRUE ? simple * chlorine_share * bleach->density_kg_per_l : simple;
}

double bleach_density(double strength_pct)
{
    static const struct {
        double pct, kg_per_l;
    } rows[] = {{5.25, 1.07}, {6.0, 1.08}, {7.5, 1.09}, {8.25, 1.10}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (fabs(rows[i].pct - strength_pct) < 1e-9)
            return rows[i].kg_per_l;
    return NAN;
}

/* Breakdown of bleach over time by storage temperature: 12.5 trade %, left after that many days. NaN where
 * the table has no figure. */
enum { AGES = 6, STORES = 4 };
static const int ages_days[AGES] = {1, 7, 30, 60, 90, 180};
static const struct {
    double store_f;
    double left_pct[AGES];
} ageing[STORES] = {
    {70, {12.44, 12.12, 11.11, 10.10, 9.28, 7.78}},
    {80, {NAN, 11.69, 9.93, NAN, 7.48, 5.95}},
    {90, {NAN, 10.92, 8.36, NAN, 5.72, 4.41}},
    {100, {11.92, 9.71, 6.68, NAN, 4.27, 3.23}},
};

int bleach_age_find(double store_c, int age_days, struct bleach_age *out, struct working *w, struct fail *f)
{
    double store_f = temp_f_from_c(store_c);
    int store = 0, age = -1;
    while (store < STORES && !(store_f <= ageing[store].store_f + 1e-6))
        store++;
    if (store == STORES)
        return fail_refused(f,
                            "The table ends at 100 °F; bleach kept warmer than that is not to be trusted.");
    for (int i = 0; i < AGES; i++)
        if (ages_days[i] <= age_days && !isnan(ageing[store].left_pct[i]))
            age = i;
    if (age < 0)
        return fail_refused(f, "The table has nothing for so young a bottle.");
    *out = (struct bleach_age){temp_c_from_f(ageing[store].store_f), ages_days[age],
                               ageing[store].left_pct[age]};
    working_given(w, "store_c", store_c, ORIGIN_GIVEN);
    working_given_whole(w, "age_days", age_days, ORIGIN_GIVEN);
    working_step(w, "table: 12.5 trade %% kept at %.0f °F is %.4g %% after %d days", ageing[store].store_f,
                 out->strength_pct, out->age_days);
    working_result(w, "strength_pct", out->strength_pct);
    caution_add(w, CAUTION_NO_DECAY_DOSE);
    return 0;
}

double bleach_spoon_rule_ppm(const struct bleach *bleach, struct working *w)
{
    double ppm = solution_ppm(bleach, 3 * ML_PER_TSP, L_PER_GAL, VOLUME_WATER);
    working_step(w, "one tablespoon to a gallon, the rule made for 5.25 %%: %.0f ppm with %.4g %%", ppm,
                 bleach->strength_pct);
    return ppm;
}
