#include "core/cooling/conduct.h"

#include <math.h>

#include "core/cooling/root.h"

double biot_number(double h_w_per_m2k, double length_m, double conductivity_w_per_mk)
{
    return h_w_per_m2k * length_m / conductivity_w_per_mk;
}

double film_k_per_w(double h_w_per_m2k, double area_m2)
{
    return 1 / (h_w_per_m2k * area_m2);
}

double wall_k_per_w(double thickness_m, double conductivity_w_per_mk, double area_m2)
{
    return thickness_m / (conductivity_w_per_mk * area_m2);
}

double series_w_per_k(double inside_k_per_w, double wall_k_per_w, double outside_k_per_w)
{
    return 1 / (inside_k_per_w + wall_k_per_w + outside_k_per_w);
}

double lumped_per_s(double ua_w_per_k, double capacity_j_per_k)
{
    return ua_w_per_k / capacity_j_per_k;
}

static double cylinder_equation(double zeta, const void *biot)
{
    return zeta * j1(zeta) - *(const double *)biot * j0(zeta);
}

/* Same roots as 1 - zeta cot(zeta) = Bi, without its poles. */
static double sphere_equation(double zeta, const void *biot)
{
    return (1 - *(const double *)biot) * sin(zeta) - zeta * cos(zeta);
}

#define FIRST_ZERO_OF_J0 2.404825557695773
#define PI               3.14159265358979323846

void one_term_cylinder(double biot, struct one_term *out)
{
    double zeta = root_find(cylinder_equation, &biot, 1e-9, FIRST_ZERO_OF_J0, 0);
    double a = j0(zeta), b = j1(zeta);
    out->zeta = zeta;
    out->c = 2 / zeta * b / (a * a + b * b);
}

void one_term_sphere(double biot, struct one_term *out)
{
    double zeta = root_find(sphere_equation, &biot, 1e-6, PI, 0);
    out->zeta = zeta;
    out->c = 4 * (sin(zeta) - zeta * cos(zeta)) / (2 * zeta - sin(2 * zeta));
}

double one_term_centre(const struct one_term *term, double fo)
{
    return term->c * exp(-term->zeta * term->zeta * fo);
}

double one_term_fourier(const struct one_term *term, double theta)
{
    return log(term->c / theta) / (term->zeta * term->zeta);
}

double one_term_cylinder_heat(const struct one_term *term, double theta)
{
    return 1 - 2 * theta * j1(term->zeta) / term->zeta;
}
