#include "core/feeding/requirement.h"

#include <math.h>
#include <stddef.h>

double energy_maintenance_mcal(double weight_kg)
{
    return 0.080 * pow(weight_kg, 0.75);
}

double energy_milk_mcal_per_kg(double fat_pct)
{
    return 0.360 + 0.0969 * fat_pct;
}

double energy_milk_full_mcal_per_kg(double fat_pct, double protein_pct, double lactose_pct)
{
    return 0.0929 * fat_pct + 0.0547 * protein_pct + 0.0395 * lactose_pct;
}

/* The equation holds from day 190 to 279; a calf carried longer costs no less. */
double energy_pregnancy_mcal(int days_in_calf, double calf_kg)
{
    int day = days_in_calf < 279 ? days_in_calf : 279;
    return day < 190 ? 0 : (0.00318 * day - 0.0352) * (calf_kg / 45) / 0.218;
}

/* Maintenance holds the walking of a housed cow already. */
double energy_walking_mcal(double weight_kg, double km, bool grazing, bool hilly)
{
    return weight_kg * (0.00045 * km + (grazing ? 0.0012 : 0) + (hilly ? 0.006 : 0));
}

double intake_lactating_kg(double weight_kg, double milk_kg, double fat_pct, double week)
{
    double fcm_kg = (0.4 + 0.15 * fat_pct) * milk_kg; /* Gaines: 0.4 milk + 15 fat */
    return (0.372 * fcm_kg + 0.0968 * pow(weight_kg, 0.75)) * (1 - exp(-0.192 * (week + 3.67)));
}

double intake_dry_kg(double weight_kg, int days_in_calf)
{
    int day = days_in_calf < 280 ? days_in_calf : 280;
    return weight_kg / 100 * (1.97 - 0.75 * exp(0.16 * (day - 280)));
}

struct point {
    double x, y;
};

/* Straight lines between the points, the end ones carried on. */
static double between(const struct point *points, size_t count, double x)
{
    size_t i = 1;
    while (i + 1 < count && x > points[i].x)
        i++;
    const struct point *a = &points[i - 1], *b = &points[i];
    return a->y + (b->y - a->y) * (x - a->x) / (b->x - a->x);
}

/* NRC 1989, daily requirements of lactating cows: crude protein for maintenance (from memory). */
static const struct point maintenance_cp_g[] = {{400, 318}, {450, 341}, {500, 364}, {550, 386}, {600, 406},
                                                {650, 428}, {700, 449}, {750, 468}, {800, 486}};

/* The same, for each kg of milk by its fat (from memory). */
static const struct point milk_cp_g_per_kg[] = {{3.0, 78}, {3.5, 84},  {4.0, 90},
                                                {4.5, 96}, {5.0, 101}, {5.5, 107}};

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

double protein_maintenance_g(double weight_kg)
{
    if (weight_kg < 400)
        return 318 * pow(weight_kg / 400, 0.75);
    return between(maintenance_cp_g, COUNT(maintenance_cp_g), weight_kg);
}

double protein_milk_g_per_kg(double fat_pct)
{
    return between(milk_cp_g_per_kg, COUNT(milk_cp_g_per_kg), fat_pct);
}

static const double usual_lactose_pct = 4.85;
static const double calf_share = 0.06275; /* of the cow's weight (NRC 2001, from memory) */
static const double dry_cp_share = 0.12;  /* of a dry cow's dry matter (NRC 2001, from memory) */
static const int late_days_in_calf = 190;

static int check_cow(const struct feeding_cow *cow, struct fail *f)
{
    if (!(cow->weight_kg >= 150 && cow->weight_kg <= 1100))
        return fail_input(f, "A cow of %.0f kg cannot be meant; 150 to 1100 kg (330 to 2400 lb) can.",
                          cow->weight_kg);
    if (!(cow->milk_kg >= 0 && cow->milk_kg <= 80))
        return fail_input(f, "%.0f kg of milk a day cannot be meant; 0 to 80 kg (176 lb) can.", cow->milk_kg);
    if (!(cow->fat_pct >= 1 && cow->fat_pct <= 10))
        return fail_input(f, "Milk of %.1f %% fat cannot be meant; 1 to 10 %% can.", cow->fat_pct);
    if (!isnan(cow->protein_pct) && !(cow->protein_pct >= 1 && cow->protein_pct <= 8))
        return fail_input(f, "Milk of %.1f %% protein cannot be meant; 1 to 8 %% can.", cow->protein_pct);
    if (cow->day_in_milk < 0 || cow->days_in_calf < 0 || cow->days_in_calf > 330)
        return fail_input(f, "Days in milk and in calf are counted from 0; a cow carries about 280 days.");
    if (!(cow->walk_km >= 0 && cow->walk_km <= 30))
        return fail_input(f, "%.0f km a day cannot be meant; 0 to 30 can.", cow->walk_km);
    return 0;
}

static void energy_need(const struct feeding_cow *cow, double calf_kg, struct feed_need *out)
{
    double per_kg = isnan(cow->protein_pct)
                        ? energy_milk_mcal_per_kg(cow->fat_pct)
                        : energy_milk_full_mcal_per_kg(cow->fat_pct, cow->protein_pct, usual_lactose_pct);
    out->maintenance_mcal = energy_maintenance_mcal(cow->weight_kg);
    out->activity_mcal = energy_walking_mcal(cow->weight_kg, cow->walk_km, cow->grazing, cow->hilly);
    out->milk_mcal = per_kg * cow->milk_kg;
    out->pregnancy_mcal = energy_pregnancy_mcal(cow->days_in_calf, calf_kg);
    out->total_mcal = out->maintenance_mcal + out->activity_mcal + out->milk_mcal + out->pregnancy_mcal;
}

/* Without a day in milk she is taken to be past the weeks in which appetite lags. */
static void intake_and_protein(const struct feeding_cow *cow, struct feed_need *out)
{
    if (cow->milk_kg <= 0) {
        out->intake_kg_dm = intake_dry_kg(cow->weight_kg, cow->days_in_calf);
        out->cp_g = cow->days_in_calf >= late_days_in_calf ? dry_cp_share * 1000 * out->intake_kg_dm
                                                           : protein_maintenance_g(cow->weight_kg);
        return;
    }
    double week = cow->day_in_milk > 0 ? cow->day_in_milk / 7.0 : INFINITY;
    out->intake_kg_dm = intake_lactating_kg(cow->weight_kg, cow->milk_kg, cow->fat_pct, week);
    out->cp_g = protein_maintenance_g(cow->weight_kg) + protein_milk_g_per_kg(cow->fat_pct) * cow->milk_kg;
}

static void need_working(const struct feeding_cow *cow, double calf_kg, const struct feed_need *n,
                         struct working *w)
{
    working_given(w, "weight_kg", cow->weight_kg, ORIGIN_GIVEN);
    working_given(w, "milk_kg", cow->milk_kg, ORIGIN_GIVEN);
    working_given(w, "fat_pct", cow->fat_pct, ORIGIN_GIVEN);
    if (!isnan(cow->protein_pct)) {
        working_given(w, "protein_pct", cow->protein_pct, ORIGIN_GIVEN);
        working_given(w, "lactose_pct", usual_lactose_pct, ORIGIN_DEFAULT);
    }
    working_given_whole(w, "day_in_milk_d", cow->day_in_milk, ORIGIN_GIVEN);
    working_given_whole(w, "in_calf_d", cow->days_in_calf, ORIGIN_GIVEN);
    working_step(w, "maintenance 0.080 x %.0f^0.75 = %.2f Mcal", cow->weight_kg, n->maintenance_mcal);
    if (cow->milk_kg > 0)
        working_step(w, "milk %.1f kg x %.4f Mcal/kg = %.2f Mcal", cow->milk_kg, n->milk_mcal / cow->milk_kg,
                     n->milk_mcal);
    if (n->activity_mcal > 0)
        working_step(w, "walking and grazing %.2f Mcal", n->activity_mcal);
    if (n->pregnancy_mcal > 0) {
        working_given(w, "calf_kg", calf_kg, isnan(cow->calf_kg) ? ORIGIN_DEFAULT : ORIGIN_GIVEN);
        working_step(w, "the calf, day %d: %.2f Mcal", cow->days_in_calf, n->pregnancy_mcal);
    }
    if (cow->milk_kg > 0)
        working_step(w,
                     "intake (0.372 FCM + 0.0968 W^0.75)(1 - e^(-0.192 (week + 3.67))) = %.1f kg dry matter",
                     n->intake_kg_dm);
    else
        working_step(w,
                     "intake dry 1.97 - 0.75 e^(0.16 (days in calf - 280)) %% of weight = %.1f kg dry matter",
                     n->intake_kg_dm);
    working_step(w, "protein by the tables of 1989: %.0f g", n->cp_g);
    working_source(w, "nrc-2001");
    working_source(w, "nrc-2001-intake");
    working_source(w, "nrc-1989-protein");
}

int feed_need_of(const struct feeding_cow *cow, struct feed_need *out, struct working *w, struct fail *f)
{
    if (check_cow(cow, f) != 0)
        return -1;
    double calf_kg = isnan(cow->calf_kg) ? calf_share * cow->weight_kg : cow->calf_kg;
    energy_need(cow, calf_kg, out);
    intake_and_protein(cow, out);
    need_working(cow, calf_kg, out, w);
    return 0;
}

/* 4 to 5 lb of water for a lb of milk, water in feed included (Extension and farm press); for a cow that
 * gives little, as much for a kg of dry matter (from memory). In heat 30 to 50 gal are planned for (Penn
 * State). */
static const double water_low = 4, water_usual = 4.5, water_high = 5;
static const double hot_plan_l = 50 * L_PER_GAL;

void water_need_of(double milk_kg, double dm_kg, double feed_water_l, bool hot, struct water_need *out,
                   struct working *w)
{
    double by = fmax(milk_kg, dm_kg);
    out->total_l = water_usual * by;
    out->low_l = water_low * by;
    out->high_l = water_high * by;
    out->drink_l = fmax(0, out->total_l - feed_water_l);
    out->plan_l = hot ? fmax(out->high_l, hot_plan_l) : out->high_l;
    working_given(w, "milk_kg", milk_kg, ORIGIN_GIVEN);
    working_given(w, "eaten_kg_dm", dm_kg, ORIGIN_GIVEN);
    working_given(w, "feed_water_l", feed_water_l, ORIGIN_GIVEN);
    working_step(w, "4 to 5 kg of water for each kg of %s: %.0f to %.0f L, feed water included",
                 milk_kg >= dm_kg ? "milk" : "dry matter", out->low_l, out->high_l);
    if (hot)
        working_step(w, "in heat have at least %.0f L (50 gal) at hand", hot_plan_l);
    working_result(w, "total_l", out->total_l);
    working_result(w, "drink_l", out->drink_l);
    working_result(w, "plan_l", out->plan_l);
    working_source(w, "water-milk");
    working_source(w, "water-dry");
}
