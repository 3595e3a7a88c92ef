#include "core/feeding/stock.h"

#include <math.h>

int feed_stock_outlook(const struct feed_stock *stock, struct date today, struct stock_outlook *out,
                       struct working *w, struct fail *f)
{
    if (!(stock->have_kg >= 0 && stock->use_kg_per_day >= 0))
        return fail_input(f, "Stock and daily use are weights, 0 or more.");
    if (!(stock->waste_share >= 0 && stock->waste_share <= 0.9))
        return fail_input(f, "The part that is wasted is between 0 and 90 %%.");
    double out_of_store_kg = stock->use_kg_per_day / (1 - stock->waste_share);
    int32_t since = date_diff(stock->counted_on, today);
    out->left_kg = fmax(0, stock->have_kg - out_of_store_kg * (since > 0 ? since : 0));
    out->days_left = out_of_store_kg > 0 ? out->left_kg / out_of_store_kg : NAN;
    out->gone_on = DATE_NONE;
    if (out->days_left < 36500)
        out->gone_on = date_add(today, (int32_t)floor(out->days_left + 1e-9));
    out->cost_per_day = out_of_store_kg * stock->price_per_kg;
    working_given(w, "have_kg", stock->have_kg, ORIGIN_RECORDED);
    working_given(w, "use_kg_per_day", stock->use_kg_per_day, ORIGIN_RECORDED);
    working_given(w, "waste_pct", stock->waste_share * 100, ORIGIN_GIVEN);
    working_step(w, "%.1f kg a day out of the store, %d days since it was counted: %.0f kg left",
                 out_of_store_kg, since > 0 ? since : 0, out->left_kg);
    working_result(w, "left_kg", out->left_kg);
    working_result(w, "left_days", out->days_left);
    working_result_date(w, "gone_on", out->gone_on);
    working_result(w, "cost_per_day", out->cost_per_day);
    if (isnan(out->days_left))
        working_why(w, "Nothing of it is fed, so it does not run out.");
    return 0;
}

/* 8.6 lb in a gallon (US Department of Agriculture). */
static const double milk_kg_per_l = 8.6 * KG_PER_LB / L_PER_GAL;

void feed_cost_of_milk(double cost_per_day, double milk_kg_per_day, struct milk_cost *out, struct working *w)
{
    double litres = milk_kg_per_day / milk_kg_per_l;
    out->per_l = litres > 0 ? cost_per_day / litres : NAN;
    out->per_gal = out->per_l * L_PER_GAL;
    working_given(w, "cost_per_day", cost_per_day, ORIGIN_COMPUTED);
    working_given(w, "milk_kg", milk_kg_per_day, ORIGIN_RECORDED);
    working_step(w, "feed alone: %.2f a day over %.1f L", cost_per_day, litres);
    working_result(w, "cost_per_l", out->per_l);
    working_result(w, "cost_per_gal", out->per_gal);
    if (!(litres > 0))
        working_why(w, "There is no milk to share the cost.");
    working_source(w, "milk-gallon");
}
