/* What a cow needs in a day: energy, protein, dry matter, water. Energy and intake after NRC, Nutrient
 * Requirements of Dairy Cattle (7th rev. ed., 2001), crude protein after its 6th edition (1989), whose simple
 * table suits a house cow better than the metabolisable-protein model that followed. Energy is net energy for
 * lactation (NEL), Mcal; protein in g. All are means of many cows: condition and yield tell whether they fit
 * this one. */
#ifndef CORE_FEEDING_REQUIREMENT_H
#define CORE_FEEDING_REQUIREMENT_H

#include <stdbool.h>

#include "core/base/fail.h"
#include "core/base/working.h"

/* The equations one by one; kg, %, days. No checks of their own. */
double energy_maintenance_mcal(double weight_kg); /* 0.080 W^0.75 */
double energy_milk_mcal_per_kg(double fat_pct);   /* 0.360 + 0.0969 fat */
double energy_milk_full_mcal_per_kg(double fat_pct, double protein_pct, double lactose_pct);
double energy_pregnancy_mcal(int days_in_calf, double calf_kg); /* 0 before day 190 */
double energy_walking_mcal(double weight_kg, double km, bool grazing, bool hilly);
double intake_lactating_kg(double weight_kg, double milk_kg, double fat_pct, double week); /* dry matter */
double intake_dry_kg(double weight_kg, int days_in_calf);
double protein_maintenance_g(double weight_kg); /* table 400..800 kg, by W^0.75 beyond */
double protein_milk_g_per_kg(double fat_pct);

struct feeding_cow {
    double weight_kg;   /* 150..1100 */
    double milk_kg;     /* a day; 0 when dry */
    double fat_pct;     /* 1..10 */
    double protein_pct; /* NaN if not known; then fat alone tells the energy of milk */
    int day_in_milk;    /* 0: not known, or dry */
    int days_in_calf;   /* 0: not in calf, or not known */
    double calf_kg;     /* birth weight to expect; NaN: a share of the cow's weight */
    double walk_km;     /* a day, there and back */
    bool grazing, hilly;
};

struct feed_need {
    double maintenance_mcal, activity_mcal, milk_mcal, pregnancy_mcal, total_mcal;
    double intake_kg_dm; /* what she can be expected to eat */
    double cp_g;         /* crude protein */
};

/* Refuses values that no cow has. */
int feed_need_of(const struct feeding_cow *cow, struct feed_need *out, struct working *w, struct fail *f);

/* Water. Total is 4 to 5 kg for each kg of milk, or for each kg of dry matter if that is more (a cow that
 * gives little or is dry); feed brings part of it. */
struct water_need {
    double total_l, low_l, high_l; /* in feed and trough together */
    double drink_l;                /* of total_l, what the feed does not bring */
    double plan_l;                 /* to have at hand: high_l, in heat at least 189 L (50 gal) */
};

/* feed_water_l: in what she eats, see ration.h. hot: THI of 72 or more. */
void water_need_of(double milk_kg, double dm_kg, double feed_water_l, bool hot, struct water_need *out,
                   struct working *w);

#endif
