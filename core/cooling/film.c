#include "core/cooling/film.h"

#include <math.h>
#include <stddef.h>

double nusselt_churchill_chu(double prandtl, double rayleigh)
{
    double shape = pow(1 + pow(0.492 / prandtl, 9.0 / 16), 8.0 / 27);
    double root = 0.825 + 0.387 * pow(rayleigh, 1.0 / 6) / shape;
    return root * root;
}

bool cylinder_is_plate(double diameter_m, double height_m, double grashof)
{
    return diameter_m / height_m >= 35 / pow(grashof, 0.25);
}

double nusselt_churchill_bernstein(double reynolds, double prandtl)
{
    double laminar = 0.62 * sqrt(reynolds) * cbrt(prandtl) / pow(1 + pow(0.4 / prandtl, 2.0 / 3), 0.25);
    return 0.3 + laminar * pow(1 + pow(reynolds / 282000, 5.0 / 8), 4.0 / 5);
}

double nusselt_zukauskas(double reynolds, double prandtl, double prandtl_wall)
{
    static const struct {
        double up_to, c, m;
    } range[] = {
        {40, 0.75, 0.4},
        {1e3, 0.51, 0.5},
        {2e5, 0.26, 0.6},
        {1e6, 0.076, 0.7},
    };
    if (!(reynolds >= 1))
        return NAN;
    for (size_t i = 0; i < sizeof range / sizeof range[0]; i++)
        if (reynolds <= range[i].up_to)
            return range[i].c * pow(reynolds, range[i].m) * pow(prandtl, prandtl > 10 ? 0.36 : 0.37) *
                   pow(prandtl / prandtl_wall, 0.25);
    return NAN;
}

double film_free(const struct fluid *fluid, double height_m, double lift)
{
    double viscous = fluid->viscosity_pa_s / fluid->density_kg_per_m3;
    double thermal = fluid->conductivity_w_per_mk / (fluid->density_kg_per_m3 * fluid->heat_j_per_kgk);
    double rayleigh = GRAVITY_M_PER_S2 * lift * height_m * height_m * height_m / (viscous * thermal);
    return nusselt_churchill_chu(fluid->prandtl, rayleigh) * fluid->conductivity_w_per_mk / height_m;
}

double film_cross(const struct fluid *fluid, double diameter_m, double speed_m_per_s)
{
    double reynolds = speed_m_per_s * diameter_m * fluid->density_kg_per_m3 / fluid->viscosity_pa_s;
    return nusselt_churchill_bernstein(reynolds, fluid->prandtl) * fluid->conductivity_w_per_mk / diameter_m;
}

double film_radiation(double emissivity, double surface_c, double around_c)
{
    double a = surface_c + 273.15, b = around_c + 273.15;
    return emissivity * STEFAN_BOLTZMANN * (a * a + b * b) * (a + b);
}

#define WATER_DENSEST_C 3.983 /* maximum of water_density() */

double water_lift(double bulk_c, double wall_c)
{
    double bulk = water_density(bulk_c), lift = fabs(water_density(wall_c) - bulk);
    if ((bulk_c - WATER_DENSEST_C) * (wall_c - WATER_DENSEST_C) < 0)
        lift = fmax(lift, water_density(WATER_DENSEST_C) - bulk);
    return lift / bulk;
}
