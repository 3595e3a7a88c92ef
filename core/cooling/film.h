/* Heat transfer coefficients by the published correlations. Nu = h L / k, Re = u L / nu, Ra = Gr Pr. */
#ifndef CORE_COOLING_FILM_H
#define CORE_COOLING_FILM_H

#include <stdbool.h>

#include "core/cooling/matter.h"

/* Churchill and Chu 1975, free convection on a vertical plate, any Rayleigh number:
 * Nu = (0.825 + 0.387 Ra^(1/6) / (1 + (0.492/Pr)^(9/16))^(8/27))^2. */
double nusselt_churchill_chu(double prandtl, double rayleigh);

/* May a vertical cylinder be taken as a plate? D/L >= 35 / Gr^(1/4). */
bool cylinder_is_plate(double diameter_m, double height_m, double grashof);

/* Churchill and Bernstein 1977, cross flow over a cylinder, Re Pr > 0.2. */
double nusselt_churchill_bernstein(double reynolds, double prandtl);

/* Zukauskas 1972, cross flow over a cylinder; properties at the stream, prandtl_wall at the wall. NaN outside
 * Re 1..1e6. */
double nusselt_zukauskas(double reynolds, double prandtl, double prandtl_wall);

/* Film of free convection on a vertical surface of that height, in W/m2K, for a fluid (at the film's mean
 * temperature) whose density differs by `lift` (relative, 0 or more) between wall and bulk. */
double film_free(const struct fluid *fluid, double height_m, double lift);

/* Film of a stream across a cylinder, in W/m2K. */
double film_cross(const struct fluid *fluid, double diameter_m, double speed_m_per_s);

/* Radiation between a surface and its surroundings, as a coefficient in W/m2K. */
double film_radiation(double emissivity, double surface_c, double around_c);

/* Greatest relative difference of water's density between the bulk and anywhere in the layer up to the wall:
 * what drives the still film. Not the two ends alone: across 4 °C these may weigh the same while the middle
 * sinks. */
double water_lift(double bulk_c, double wall_c);

#endif
