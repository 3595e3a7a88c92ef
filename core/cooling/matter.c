#include "core/cooling/matter.h"

#include <math.h>
#include <stddef.h>

/* A row of a table of properties; between rows they run straight, beyond the ends the last slope goes on. */
struct row {
    double temp_c, value[3];
};

static void table_at(const struct row *row, size_t count, double temp_c, double value[3])
{
    size_t i = 1;
    while (i + 1 < count && temp_c > row[i].temp_c)
        i++;
    double share = (temp_c - row[i - 1].temp_c) / (row[i].temp_c - row[i - 1].temp_c);
    for (int n = 0; n < 3; n++)
        value[n] = row[i - 1].value[n] + share * (row[i].value[n] - row[i - 1].value[n]);
}

#define ROWS(table) (sizeof(table) / sizeof(table)[0])

double water_density(double temp_c)
{
    double t = temp_c;
    double above =
        999.83952 +
        t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))));
    return above / (1 + 16.879850e-3 * t);
}

void water_at(double temp_c, struct fluid *out)
{
    static const struct row perry[] = {
        /* °C       J/kgK    W/mK     Pr */
        {0.01, {4219.9, 0.56104, 13.473}}, {6.85, {4201.3, 0.57404, 10.493}},
        {16.85, {4186.9, 0.59273, 7.657}}, {26.85, {4180.9, 0.61028, 5.849}},
        {36.85, {4179.5, 0.62605, 4.630}},
    };
    double v[3];
    table_at(perry, ROWS(perry), temp_c, v);
    *out = (struct fluid){.density_kg_per_m3 = water_density(temp_c),
                          .heat_j_per_kgk = v[0],
                          .conductivity_w_per_mk = v[1],
                          .viscosity_pa_s = v[2] * v[1] / v[0],
                          .prandtl = v[2]};
}

void air_at(double temp_c, struct fluid *out)
{
    static const struct row cengel[] = {
        /* °C     W/mK    1e-5 m2/s  Pr */
        {-10, {0.02288, 1.252, 0.7387}}, {0, {0.02364, 1.338, 0.7362}},  {10, {0.02439, 1.426, 0.7336}},
        {20, {0.02514, 1.516, 0.7309}},  {30, {0.02588, 1.608, 0.7282}}, {40, {0.02662, 1.702, 0.7255}},
    };
    double v[3];
    table_at(cengel, ROWS(cengel), temp_c, v);
    double density = 352.99 / (temp_c + 273.15); /* ideal gas, 101325 Pa, 287.05 J/kgK */
    *out = (struct fluid){.density_kg_per_m3 = density,
                          .heat_j_per_kgk = 1006,
                          .conductivity_w_per_mk = v[0],
                          .viscosity_pa_s = v[1] * 1e-5 * density,
                          .prandtl = v[2]};
}

void milk_parts_of_fat(double fat_pct, struct milk_parts *out)
{
    static const struct milk_parts whole = {0.8769, 0.0328, 0.0366, 0.0465, 0.0072};
    double fat = fat_pct / 100, rest = (1 - fat) / (1 - whole.fat);
    *out = (struct milk_parts){whole.water * rest, whole.protein * rest, fat, whole.sugar * rest,
                               whole.ash * rest};
}

/* Choi and Okos 1986: each property of each part is a parabola in °C, rows as in struct milk_parts. */
struct parabola {
    double a, b, c;
};

static double parabola_at(const struct parabola *p, double t)
{
    return p->a + t * (p->b + t * p->c);
}

static const struct parabola heat_kj_per_kgk[5] = {
    {4.1762, -9.0864e-5, 5.4731e-6}, {2.0082, 1.2089e-3, -1.3129e-6}, {1.9842, 1.4733e-3, -4.8008e-6},
    {1.5488, 1.9625e-3, -5.9399e-6}, {1.0926, 1.8896e-3, -3.6817e-6},
};
static const struct parabola density_kg_per_m3[5] = {
    {997.18, 3.1439e-3, -3.7574e-3}, {1329.9, -0.5184, 0},  {925.59, -0.41757, 0},
    {1599.1, -0.31046, 0},           {2423.8, -0.28063, 0},
};
static const struct parabola conductivity_w_per_mk[5] = {
    {0.57109, 1.7625e-3, -6.7036e-6}, {0.17881, 1.1958e-3, -2.7178e-6}, {0.18071, -2.7604e-4, -1.7749e-7},
    {0.20141, 1.3874e-3, -4.3312e-6}, {0.32962, 1.4011e-3, -2.9069e-6},
};

static void parts_list(const struct milk_parts *p, double share[5])
{
    const double list[5] = {p->water, p->protein, p->fat, p->sugar, p->ash};
    for (int i = 0; i < 5; i++)
        share[i] = list[i];
}

double parts_heat(const struct milk_parts *parts, double temp_c)
{
    double share[5], sum = 0;
    parts_list(parts, share);
    for (int i = 0; i < 5; i++)
        sum += share[i] * parabola_at(&heat_kj_per_kgk[i], temp_c);
    return 1000 * sum;
}

double parts_density(const struct milk_parts *parts, double temp_c)
{
    double share[5], volume = 0;
    parts_list(parts, share);
    for (int i = 0; i < 5; i++)
        volume += share[i] / parabola_at(&density_kg_per_m3[i], temp_c);
    return 1 / volume;
}

double parts_conductivity(const struct milk_parts *parts, double temp_c)
{
    double share[5], sum = 0;
    parts_list(parts, share);
    for (int i = 0; i < 5; i++)
        sum += share[i] * parabola_at(&conductivity_w_per_mk[i], temp_c) /
               parabola_at(&density_kg_per_m3[i], temp_c);
    return parts_density(parts, temp_c) * sum;
}

double milk_density(double temp_c, double fat_pct)
{
    static const struct row guelph[] = {
        {4.4, {1035, 0, 0}},
        {10, {1033, 0, 0}},
        {20, {1030, 0, 0}},
        {38.9, {1023, 0, 0}},
    };
    struct milk_parts measured, asked;
    double v[3];
    table_at(guelph, ROWS(guelph), temp_c, v);
    milk_parts_of_fat(4, &measured);
    milk_parts_of_fat(fat_pct, &asked);
    return v[0] * parts_density(&asked, temp_c) / parts_density(&measured, temp_c);
}

double milk_viscosity(double temp_c, double fat_pct)
{
    return 1e-3 * exp(-8.9 + 0.1 * fat_pct + 2721.5 / (temp_c + 273.15));
}

double milk_j_per_l_k(double fat_pct)
{
    struct milk_parts parts;
    milk_parts_of_fat(fat_pct, &parts);
    return 1e-3 * milk_density(MILK_USUAL_C, fat_pct) * parts_heat(&parts, MILK_USUAL_C);
}

void milk_at(double temp_c, double fat_pct, struct fluid *out)
{
    struct milk_parts parts;
    milk_parts_of_fat(fat_pct, &parts);
    double heat = parts_heat(&parts, temp_c), conductivity = parts_conductivity(&parts, temp_c);
    double viscosity = milk_viscosity(temp_c, fat_pct);
    *out = (struct fluid){.density_kg_per_m3 = milk_density(temp_c, fat_pct),
                          .heat_j_per_kgk = heat,
                          .conductivity_w_per_mk = conductivity,
                          .viscosity_pa_s = viscosity,
                          .prandtl = viscosity * heat / conductivity};
}
