/* Mixing and relaxing. Worked examples: OpenStax, University Physics 2, ch. 1 (latent heat 334 kJ/kg, water
 * 4186, ice 2090 J/kgK unless a row says otherwise); closed forms of two bodies: Bejan and Kraus, Heat
 * Transfer Handbook 2003, eq. 3.287-3.288; independent check by GSL's Runge-Kutta of Prince and Dormand
 * (rk8pd). */
#include "core/cooling/bodies.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>

#include "tests/support.h"

static const struct water_ice openstax = {334e3, 4186, 2090};

START_TEST(ice_cools_a_drink_as_in_the_book)
{
    static const struct {
        const char *source;
        double heat, other_c;     /* the warm body, J/K */
        double cold_heat, cold_c; /* another body, J/K */
        double ice_kg, ice_c, melting;
        double temp_c, digits; /* recomputed; to so many */
        double printed, slack;
    } rows[] = {
        {"V27 ex. 1.9: soda", 0.25 * 4186, 20, 0, 0, 0.018, 0, 334e3, 13.29770165, 1e-9, 13, 0.5},
        {"V28: ice at -30", 0.4 * 4186, 35, 0, 0, 0.05, -30, 334e3, 20.58130276, 1e-9, 20.6, 0.05},
        {"V29 ex. 1.7: pan", 0.5 * 900, 150, 0.25 * 4186, 20, 0, 0, 334e3, 59.09121283, 1e-9, 59.1, 0.05},
        /* Iron on ice: printed 6.3, which a latent heat of 333 gives. */
        {"iron on ice", 0.8 * 452, 1000, 0, 0, 1, 0, 334e3, 6.06913537, 1e-9, 0, 0},
        {"iron on ice, 333", 0.8 * 452, 1000, 0, 0, 1, 0, 333e3, 6.289, 1e-4, 6.3, 0.05},
        {"iron, copper can", 0.8 * 452, 1000, 1.5 * 387, 0, 0.5, 0, 334e3, 64.11650, 1e-7, 63.9, 0.3},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct body body[2] = {{rows[i].heat, rows[i].other_c}, {rows[i].cold_heat, rows[i].cold_c}};
        struct water_ice k = openstax;
        struct mixture m;
        k.melting_j_per_kg = rows[i].melting;
        mix(body, 2, 0, rows[i].ice_kg, rows[i].ice_c, &k, &m);
        ck_near(m.temp_c, rows[i].temp_c, rows[i].digits);
        if (rows[i].slack != 0)
            ck_within(m.temp_c, rows[i].printed, rows[i].slack);
        ck_within(m.melted_kg, rows[i].ice_kg, 1e-12);
        ck_assert(m.ice_kg == 0);
    }
}
END_TEST

START_TEST(a_jar_in_water_and_ice_comes_to_rest)
{
    /* V30 and V31: 8 kJ/K at 35 C, 5 kg of water at 12 C, ice at -18 C; 333.55, 4.186, 2.09 kJ. */
    struct body body[2] = {{8000, 35}, {5 * 4186, 12}};
    struct mixture m;
    mix(body, 2, 5, 1, -18, &water_ice_usual, &m);
    ck_near(m.temp_c, 4.831199420, 1e-9);
    mix(body, 2, 5, 3, -18, &water_ice_usual, &m);
    ck_assert(m.temp_c == 0);
    ck_near(m.melted_kg, 1.254084845, 1e-9);
    ck_near(m.ice_kg, 3 - 1.254084845, 1e-9);
}
END_TEST

START_TEST(very_cold_ice_freezes_water_onto_itself)
{
    struct body water = {1 * 4186, 0};
    struct mixture m;
    mix(&water, 1, 1, 10, -18, &water_ice_usual,
        &m); /* 10 kg at -18 C hold 376 kJ: more than 1 kg can give */
    ck_near(m.melted_kg, -1, 1e-12);
    ck_near(m.ice_kg, 11, 1e-12);
    ck_near(m.temp_c, -(376200.0 - 333550) / (11 * 2090), 1e-9);
    mix(&water, 1, 1, 2, -18, &water_ice_usual, &m);
    ck_assert(m.temp_c == 0 && m.melted_kg < 0 && m.melted_kg > -1);
}
END_TEST

START_TEST(two_bodies_meet)
{
    /* V33, V34: C 8000 and 20930 J/K, 8 W/K, 35 and 1 C. */
    struct two_bodies b = {8000, 35, 20930, 1, 8};
    double t1, t2;
    two_bodies_at(&b, 600, &t1, &t2);
    ck_near(t1, 21.1350687338, 1e-11);
    ck_near(t2, 6.2995437233, 1e-11);
    two_bodies_at(&b, 2400, &t1, &t2);
    ck_near(t1, 11.2936575286, 1e-11);
    ck_near(t2, 10.0611915801, 1e-11);
    ck_near(two_bodies_balance(&b), 10.4020048393, 1e-11);
    ck_near(two_bodies_rate(&b), 0.00138222646918, 1e-11);
    /* V35: 50 F and 45 F lie below where they meet. */
    ck_assert(isinf(two_bodies_time(&b, 10)));
    ck_assert(isinf(two_bodies_time(&b, 45 / 1.8 - 32 / 1.8)));
    ck_near(two_bodies_time(&b, 21.1350687338), 600, 1e-9);
    ck_assert(two_bodies_time(&b, 35) == 0 && two_bodies_time(&b, 40) == 0);
}
END_TEST

START_TEST(ice_holds_and_then_lets_go)
{
    /* V36: C 8000, 8 W/K, 5 kg of water and 0.5 kg of ice at 0 C, milk at 35 C. */
    struct ice_bath b = {8000, 35, 8, 5, 0.5, {333550, 4186, 2090}};
    double t1, water, melted;
    ck_near(ice_bath_gone(&b), 905.4126137, 1e-9);
    ice_bath_at(&b, ice_bath_gone(&b), &t1, &water, &melted);
    ck_near(t1, 14.153125, 1e-9);
    ice_bath_at(&b, 600, &t1, &water, &melted);
    ck_near(t1, 19.20840726, 1e-9);
    ck_assert(water == 0);
    ck_near(melted, 0.378752, 1e-5);
    ice_bath_at(&b, 1800, &t1, &water, &melted);
    ck_near(t1, 6.79612406, 1e-8);
    ck_near(water, 2.55640045, 1e-8);
    ice_bath_at(&b, 1e7, &t1, &water, &melted);
    ck_near(t1, 3.6497115044, 1e-10);
    b.ice_kg = 1;
    ck_assert(isinf(ice_bath_gone(&b)));
}
END_TEST

/* u' and v' of two bodies, the second losing to a room. */
struct pair {
    struct two_bodies b;
    double room_c, room_ua;
};

static int pair_slope(double t, const double y[], double dy[], void *context)
{
    const struct pair *p = context;
    (void)t;
    double flow = p->b.ua * (y[0] - y[1]);
    dy[0] = -flow / p->b.c1;
    dy[1] = (flow + p->room_ua * (p->room_c - y[1])) / p->b.c2;
    return GSL_SUCCESS;
}

START_TEST(closed_forms_agree_with_an_integrator_that_is_not_ours)
{
    struct stream s = {33};
    double worst = 0;
    for (int i = 0; i < 4000; i++) {
        struct pair p = {{stream_uniform(&s, 1000, 40000), stream_uniform(&s, 5, 40),
                          stream_uniform(&s, 5000, 2e5), stream_uniform(&s, 0, 20),
                          stream_uniform(&s, 0.5, 60)},
                         stream_uniform(&s, -10, 35),
                         i % 2 == 0 ? 0 : stream_uniform(&s, 0, 10)};
        double time = stream_uniform(&s, 10, 20000), t1, t2;
        gsl_odeiv2_system system = {pair_slope, NULL, 2, &p};
        gsl_odeiv2_driver *d = gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rk8pd, 1, 1e-12, 1e-12);
        double t = 0, y[2] = {p.b.t1, p.b.t2};
        if (gsl_odeiv2_driver_apply(d, &t, time, y) != GSL_SUCCESS)
            ck_abort_msg("case %d: GSL gave up", i);
        gsl_odeiv2_driver_free(d);
        two_bodies_leak_at(&p.b, p.room_c, p.room_ua, time, &t1, &t2);
        worst = fmax(worst, fmax(fabs(t1 - y[0]), fabs(t2 - y[1])));
        if (p.room_ua == 0) {
            two_bodies_at(&p.b, time, &t1, &t2);
            worst = fmax(worst, fmax(fabs(t1 - y[0]), fabs(t2 - y[1])));
        }
    }
    printf("two bodies: worst difference from GSL rk8pd 1e-12: %.2g K\n", worst);
    ck_assert(worst < 1e-9);
}
END_TEST

Suite *bodies_suite(void)
{
    Suite *s = suite_create("bodies");
    TCase *t = tcase_create("bodies");
    tcase_add_test(t, ice_cools_a_drink_as_in_the_book);
    tcase_add_test(t, a_jar_in_water_and_ice_comes_to_rest);
    tcase_add_test(t, very_cold_ice_freezes_water_onto_itself);
    tcase_add_test(t, two_bodies_meet);
    tcase_add_test(t, ice_holds_and_then_lets_go);
    tcase_add_test(t, closed_forms_agree_with_an_integrator_that_is_not_ours);
    suite_add_tcase(s, t);
    return s;
}
