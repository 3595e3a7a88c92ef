/* Conduction inside a solid that is cooled at its surface: the Biot number, and the first term of the series
 * for a long cylinder and a sphere (Bergman et al., Introduction to Heat Transfer, 2011, sect. 5.6). Good for
 * Fo = alpha t / r0^2 above 0.2. A jar of milk is not a solid; these say what it would do if it were. */
#ifndef CORE_COOLING_CONDUCT_H
#define CORE_COOLING_CONDUCT_H

/* h L / k: below 0.1 on L = volume / area a body cools as one lump. */
double biot_number(double h_w_per_m2k, double length_m, double conductivity_w_per_mk);

/* Thermal resistances in K/W: of a film of h on an area, and of a wall on the mean of its two areas; and what flows
 * through three of them one after the other, in W for each K. */
double film_k_per_w(double h_w_per_m2k, double area_m2);
double wall_k_per_w(double thickness_m, double conductivity_w_per_mk, double area_m2);
double series_w_per_k(double inside_k_per_w, double wall_k_per_w, double outside_k_per_w);

/* The rate, per second, at which one lump of that heat capacity follows its surroundings: UA / C, e^(-rate t). */
double lumped_per_s(double ua_w_per_k, double capacity_j_per_k);

struct one_term {
    double zeta; /* first root of the shape's equation */
    double c;    /* coefficient of the centre's temperature */
};

/* zeta J1(zeta) = Bi J0(zeta); C = (2/zeta) J1 / (J0^2 + J1^2). Bi on the radius, above 0. */
void one_term_cylinder(double biot, struct one_term *out);

/* 1 - zeta cot(zeta) = Bi; C = 4 (sin zeta - zeta cos zeta) / (2 zeta - sin 2 zeta). */
void one_term_sphere(double biot, struct one_term *out);

/* (T centre - Ta) / (T0 - Ta) at Fourier number fo, and the fo at which it has fallen to theta (0..1). */
double one_term_centre(const struct one_term *term, double fo);
double one_term_fourier(const struct one_term *term, double theta);

/* Share of all the heat that has gone out of a cylinder when its centre is at theta: 1 - 2 theta
 * J1(zeta)/zeta. */
double one_term_cylinder_heat(const struct one_term *term, double theta);

#endif
