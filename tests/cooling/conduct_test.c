/* Lumped bodies and the first term of the series. Printed columns: Cengel, Heat Transfer, table 4-2. */
#include "core/cooling/conduct.h"

#include <gsl/gsl_sf_bessel.h>

#include "core/cooling/newton.h"
#include "tests/support.h"

/* zeta1 and C1 of the long cylinder: printed to four digits in Cengel's table 4-2; the long figures were
 * worked out by bisection with GSL's Bessel functions to a residual below 1e-14. The row of Bi 2 is
 * printed 1.5995 and 1.3384. */
static const struct {
    double biot, zeta_printed, c_printed, zeta, c;
} cylinder[] = {
    {0.01, 0.1412, 1.0025, 0.141244763730, 1.002495829030}, /* V19 */
    {0.02, 0.1995, 1.0050, 0.199501042174, 1.004983299203},
    {0.1, 0.4417, 1.0246, 0.441681782875, 1.024579358855},
    {0.2, 0.6170, 1.0483, 0.616974766102, 1.048304374487},
    {0.3, 0.7465, 1.0712, 0.746461212345, 1.071161516903},
    {0.5, 0.9408, 1.1143, 0.940770563950, 1.114254631483},
    {1, 1.2558, 1.2071, 1.255783711795, 1.207092058392}, /* V18 */
    {2, 1.5995, 1.3384, 1.599449206487, 1.338377144633},
    {5, 1.9898, 1.5029, 1.989814714720, 1.502869102664},
    {10, 2.1795, 1.5677, 2.179496596664, 1.567691841803}, /* V20 */
    {100, 0, 0, 2.380901663491, 1.601523874057},
};

START_TEST(the_first_term_of_a_cylinder_agrees_with_the_table)
{
    for (size_t i = 0; i < sizeof cylinder / sizeof cylinder[0]; i++) {
        struct one_term t;
        one_term_cylinder(cylinder[i].biot, &t);
        ck_near(t.zeta, cylinder[i].zeta, 1e-11);
        ck_near(t.c, cylinder[i].c, 1e-11);
        if (cylinder[i].zeta_printed != 0) {
            ck_within(t.zeta, cylinder[i].zeta_printed, 1.01e-4);
            ck_within(t.c, cylinder[i].c_printed, 1.01e-4);
        }
    }
}
END_TEST

START_TEST(the_first_root_is_a_root_for_any_biot_number)
{
    struct stream s = {18};
    double worst = 0;
    for (int i = 0; i < 5000; i++) {
        struct one_term t;
        double biot = exp(stream_uniform(&s, -10, 8));
        one_term_cylinder(biot, &t);
        double miss = t.zeta * gsl_sf_bessel_J1(t.zeta) / (biot * gsl_sf_bessel_J0(t.zeta)) - 1;
        if (!(t.zeta > 0 && t.zeta < 2.4048255577) || !(t.c >= 1 && t.c < 1.60198))
            ck_abort_msg("Bi %g: zeta %.15g, C %.15g", biot, t.zeta, t.c);
        worst = fmax(worst, fabs(miss) / (1 + biot)); /* J0 vanishes at the end */
    }
    printf("cylinder: worst relative residual by GSL's Bessel functions %.2g\n", worst);
    ck_assert(worst < 1e-12);
}
END_TEST

START_TEST(limits_of_the_biot_number_are_met)
{
    struct one_term t;
    one_term_cylinder(1e-6, &t);
    ck_near(t.zeta * t.zeta / 2e-6, 1, 1e-5); /* the lumped body: zeta^2 = 2 Bi */
    one_term_cylinder(1e9, &t);
    ck_near(t.zeta, 2.404825557695773, 1e-8); /* first zero of J0 */
    ck_near(t.c, 2 / (2.404825557695773 * 0.519147497289467), 1e-8);
}
END_TEST

START_TEST(a_shaft_comes_out_below_what_the_chart_says)
{
    /* V21: Cengel, ex. 4-5: shaft of radius 0.1, h 80, k 14.9, alpha 3.95e-6, 600 in 200 C, 45 min. The book
     * reads 0.40 and 360 C off a chart; the series gives 364.3. */
    struct one_term t;
    one_term_cylinder(biot_number(80, 0.1, 14.9), &t);
    double fo = 3.95e-6 * 2700 / 0.01, theta = one_term_centre(&t, fo);
    ck_near(t.zeta, 0.9706153457, 1e-9);
    ck_near(t.c, 1.1218273251, 1e-9);
    ck_near(theta, 0.4107442527, 1e-9);
    ck_near(200 + 400 * theta, 364.29770, 1e-7);
    ck_near(one_term_cylinder_heat(&t, theta) * 47353.85, 30105.87, 1e-6);
    ck_near(one_term_fourier(&t, theta), fo, 1e-12);
}
END_TEST

START_TEST(an_egg_is_boiled)
{
    /* Cengel, ex. 4-3: sphere of radius 0.025, h 1200, k 0.627, alpha 0.151e-6, 5 to 70 in 95 C. Printed
     * zeta 3.0754 and A 1.9959 (read between rows of the table). */
    struct one_term t;
    one_term_sphere(biot_number(1200, 0.025, 0.627), &t);
    ck_near(t.zeta, 3.07602552, 1e-8);
    ck_near(t.c, 1.99588156, 1e-8);
    ck_within(t.zeta, 3.0754, 1e-3);
    double fo = one_term_fourier(&t, (70.0 - 95) / (5 - 95));
    ck_near(fo * 0.025 * 0.025 / 0.151e-6 / 60, 14.37749, 1e-6);
}
END_TEST

START_TEST(resistances_add_up)
{
    /* V26: half-gallon jar, h 430 on 0.080107 m2, 4 mm of glass on 0.083435, h 630 on 0.086854; C 7970 J/K. Worked out
     * by hand: 0.0290309 + 0.0570732 + 0.0182755 K/W; the glass is 55 %. With walls of 3 and 5 mm k is 0.08354 and
     * 0.06345. */
    double inside = film_k_per_w(430, 0.080107), wall = wall_k_per_w(0.004, 0.84, 0.083435), outside = film_k_per_w(630, 0.086854);
    ck_near(inside, 0.0290309, 2e-6); /* as far as it is printed */
    ck_near(wall, 0.0570732, 1e-6);
    ck_near(outside, 0.0182755, 2e-6);
    double ua = series_w_per_k(inside, wall, outside);
    ck_near(ua, 9.58040862, 1e-8);
    ck_near(60 * lumped_per_s(ua, 7970), 0.0721235279, 1e-8);
    ck_near(60 * lumped_per_s(series_w_per_k(inside, wall_k_per_w(0.003, 0.84, 0.083435), outside), 7970), 0.08354, 1e-4);
    ck_near(60 * lumped_per_s(series_w_per_k(inside, wall_k_per_w(0.005, 0.84, 0.083435), outside), 7970), 0.06345, 1e-4);
}
END_TEST

/* Of a body with so much surface to its volume. */
static double lumped_rate(double h, double area_per_volume, double density, double heat)
{
    return lumped_per_s(h * area_per_volume, density * heat);
}

START_TEST(lumped_bodies_come_out_as_in_the_books)
{
    /* V16: Cengel, ex. 4-1: thermocouple of 1 mm, k 35, rho 8500, c 320, h 210; printed Bi 0.001 and 10 s for
     * 99 %. */
    double b = lumped_rate(210, 6 / 1e-3, 8500, 320);
    ck_near(biot_number(210, 1e-3 / 6, 35), 0.001, 1e-9);
    ck_near(newton_time(1, 0, b, 0.01), 9.941319767, 1e-9);
    /* V17: Cengel, ex. 4-2: a body as a cylinder of r 0.15, L 1.7, h 8; Bi is above 0.1 and the answer an
     * estimate. */
    double length = 0.15 * 1.7 / (2 * (0.15 + 1.7));
    b = lumped_rate(8, 1 / length, 996, 4178);
    ck_near(biot_number(8, length, 0.617), 0.8936002453, 1e-9);
    ck_assert(biot_number(8, length, 0.617) > 0.1); /* too thick to be one lump */
    ck_near(newton_time(37, 20, b, 25) / 3600, 12.18640123, 1e-9);
    /* V15: Cengel and Ghajar, 5th ed., ch. 4: a can shaken in iced water, 25 to 5 C;
     * choices 1.5, 8.7, 11.1, 26.6, 6.7. */
    b = lumped_rate(120, 301.6e-4 / 367.6e-6, 977, 4180); /* its area and volume as printed */
    ck_near(newton_time(25, 0, b, 5) / 60, 11.12645311, 1e-8);
    /* Incropera, ex. 5.1 (from memory): thermocouple of 0.706 mm, time constant 1 s, 25 to 199 in 200 C: 5.2
     * s. */
    b = lumped_rate(400, 6 / 7.06e-4, 8500, 400);
    ck_within(newton_time(25, 200, b, 199), 5.2, 0.05);
    /* A plate of 2 cm cooled on both faces (docstring of profhsgill/pychemengg): 617.0619799301729 C after 60
     * s. */
    b = lumped_rate(53, 2 / 0.02, 2800, 880);
    ck_near(biot_number(53, 0.01, 180), 0.0029444444, 1e-7);
    ck_near(newton_temp(700, 15, b, 60), 617.0619799301729, 1e-12);
}
END_TEST

Suite *conduct_suite(void)
{
    Suite *s = suite_create("conduct");
    TCase *t = tcase_create("conduct");
    tcase_add_test(t, the_first_term_of_a_cylinder_agrees_with_the_table);
    tcase_add_test(t, the_first_root_is_a_root_for_any_biot_number);
    tcase_add_test(t, limits_of_the_biot_number_are_met);
    tcase_add_test(t, a_shaft_comes_out_below_what_the_chart_says);
    tcase_add_test(t, an_egg_is_boiled);
    tcase_add_test(t, resistances_add_up);
    tcase_add_test(t, lumped_bodies_come_out_as_in_the_books);
    suite_add_tcase(s, t);
    return s;
}
