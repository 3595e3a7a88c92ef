/* What water, air and milk are made of, thermally. Temperatures in °C; everything else SI. */
#ifndef CORE_COOLING_MATTER_H
#define CORE_COOLING_MATTER_H

/* A fluid at one temperature. */
struct fluid {
    double density_kg_per_m3;
    double heat_j_per_kgk;
    double conductivity_w_per_mk;
    double viscosity_pa_s;
    double prandtl;
};

#define ICE_MELTING_J_PER_KG 333550.0 /* NIST, as quoted; published figures run from 333 to 334 kJ/kg */
#define ICE_HEAT_J_PER_KGK   2090.0   /* OpenStax, University Physics 2, table 1.3 */
#define WATER_HEAT_J_PER_KGK 4186.0   /* same, table 1.3: near 15 °C */
#define GLASS_HEAT_J_PER_KGK 840.0    /* same, table 1.3 */
#define GLASS_W_PER_MK       0.84     /* same, table 1.5 */
#define STEEL_HEAT_J_PER_KGK 500.0    /* stainless 18/8: from memory */
#define STEEL_W_PER_MK       15.0     /* stainless 18/8: from memory */
#define STEFAN_BOLTZMANN     5.670374419e-8
#define GRAVITY_M_PER_S2     9.80665
#define MILK_EXPANSION_PER_K                                                                                 \
    3.1e-4 /* from the table of milk_density(): unlike water's it has no sign change at 4 °C */
#define FAT_PCT_USUAL 4.0

/* Water, 0..45 °C. Density: Kell 1975 (from memory; agrees with the printed tables to 0.1 kg/m3); heat,
 * conductivity and Prandtl number: Perry 9th ed., table 2-135, linear between its rows. */
void water_at(double temp_c, struct fluid *out);
double water_density(double temp_c);

/* Dry air at one atmosphere, -10..40 °C: Cengel, table A-15. */
void air_at(double temp_c, struct fluid *out);

/* Milk of fat_pct percent fat, 0..45 °C. Heat and conductivity: Choi and Okos 1986 from its composition;
 * density: milk_density(); viscosity: milk_viscosity(). */
void milk_at(double temp_c, double fat_pct, struct fluid *out);

/* Density measured on farm milk of 4.00 % fat (University of Guelph's table), corrected for fat by the ratio
 * that Choi and Okos give, whose absolute density is 0.7 % too low. */
double milk_density(double temp_c, double fat_pct);

/* ln(mPa s) = -8.9 + 0.1 fat + 2721.5 / K: Bakshi and Smith 1984, J Dairy Sci 67:1157; made for 0..30 °C. */
double milk_viscosity(double temp_c, double fat_pct);

/* Heat capacity of a litre of milk in J/K, by density and specific heat at 20 °C, the middle of its way: a
 * jar filled at 35 °C holds 0.6 % less, and the specific heat differs by a thousandth over the whole of it.
 * Melting of the fat, 2 to 3 % more for 4 % fat, is not in it. */
#define MILK_USUAL_C 20.0
double milk_j_per_l_k(double fat_pct);

/* Mass fractions of water, protein, fat, sugar and ash. */
struct milk_parts {
    double water, protein, fat, sugar, ash;
};

/* Whole milk of 3.66 % fat (composition from memory), its fat taken out or added. */
void milk_parts_of_fat(double fat_pct, struct milk_parts *out);

/* Choi and Okos 1986: specific heat in J/kgK, density in kg/m3, conductivity in W/mK of a mixture. */
double parts_heat(const struct milk_parts *parts, double temp_c);
double parts_density(const struct milk_parts *parts, double temp_c);
double parts_conductivity(const struct milk_parts *parts, double temp_c);

#endif
