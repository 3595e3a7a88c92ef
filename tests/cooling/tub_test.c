/* The tub with several lots, against GSL's integrator (rk8pd, 1e-12), and what must hold of any tub. */
#include "core/cooling/tub.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>

#include "core/cooling/matter.h"
#include "tests/support.h"

static struct tub random_tub(struct stream *s, size_t lots, bool ice, bool power)
{
    struct tub t = {.water_kg = stream_uniform(s, 4, 60),
                    .water_c = ice ? 0 : stream_uniform(s, 0.5, 20),
                    .ice_kg = ice ? stream_uniform(s, 0.1, 8) : 0,
                    .room_c = stream_uniform(s, 1, 30),
                    .room_w_per_k = stream_below(s, 3) == 0 ? 0 : stream_uniform(s, 0, 8),
                    .constants = water_ice_usual,
                    .tolerance = 1e-11,
                    .lots = lots};
    for (size_t i = 0; i < lots; i++)
        t.lot[i] = (struct tub_lot){stream_uniform(s, 2000, 60000),
                                    stream_uniform(s, 15, 38),
                                    {.k_per_s = stream_uniform(s, 2e-4, 2e-3),
                                     .span_k = 20,
                                     .exponent = power ? stream_uniform(s, 0.05, 0.35) : 0,
                                     .warm_per_k = power ? stream_uniform(s, 0, 0.02) : 0}};
    return t;
}

/* GSL's state: heat that the tub has taken up since the beginning, and the lots. The water is at 0 while that
 * heat is less than what its ice can take. */
static double gsl_water_c(const struct tub *t, double heat)
{
    double melting = t->ice_kg * t->constants.melting_j_per_kg;
    if (t->ice_kg > 0 && heat < melting)
        return t->water_c;
    double cw = (t->water_kg + t->ice_kg) * t->constants.water_j_per_kgk;
    return t->water_c + (heat - melting) / cw;
}

static int gsl_slope(double time, const double y[], double dy[], void *context)
{
    const struct tub *t = context;
    (void)time;
    double water = gsl_water_c(t, y[0]);
    dy[0] = t->room_w_per_k * (t->room_c - water);
    for (size_t i = 0; i < t->lots; i++) {
        const struct tub_lot *lot = &t->lot[i];
        double apart = y[i + 1] - water;
        double k = lot->law.k_per_s * (1 + lot->law.warm_per_k * water) *
                   (lot->law.exponent == 0 ? 1 : pow(fabs(apart) / lot->law.span_k, lot->law.exponent));
        dy[i + 1] = -k * apart;
        dy[0] += lot->capacity_j_per_k * k * apart;
    }
    return GSL_SUCCESS;
}

static double worst_difference(const struct tub *start, double seconds)
{
    struct tub ours = *start, context = *start;
    gsl_odeiv2_system system = {gsl_slope, NULL, start->lots + 1, &context};
    gsl_odeiv2_driver *d = gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rk8pd, 1, 1e-12, 1e-12);
    double t = 0, y[TUB_LOTS_MAX + 1] = {0}, worst;
    for (size_t i = 0; i < start->lots; i++)
        y[i + 1] = start->lot[i].temp_c;
    int status = gsl_odeiv2_driver_apply(d, &t, seconds, y);
    gsl_odeiv2_driver_free(d);
    if (status != GSL_SUCCESS)
        ck_abort_msg("GSL gave up: %s", gsl_strerror(status));
    tub_advance(&ours, seconds, NULL, NULL);
    worst = fabs(ours.water_c - gsl_water_c(start, y[0]));
    for (size_t i = 0; i < start->lots; i++)
        worst = fmax(worst, fabs(ours.lot[i].temp_c - y[i + 1]));
    return worst;
}

START_TEST(a_tub_without_ice_agrees_with_gsl)
{
    struct stream s = {101};
    double worst[2] = {0, 0};
    for (int i = 0; i < 2000; i++) {
        struct tub t = random_tub(&s, (size_t)stream_below(&s, 6), false, i % 2 == 1);
        worst[i % 2] = fmax(worst[i % 2], worst_difference(&t, stream_uniform(&s, 60, 20000)));
    }
    printf("tub without ice: worst difference from GSL rk8pd 1e-12: %.2g K, by the power law %.2g K\n",
           worst[0], worst[1]);
    ck_assert(worst[0] < 1e-9);
    /* |T - Ta|^n has no second slope where a lot passes the water's temperature: both integrators lose digits
     * there. */
    ck_assert(worst[1] < 1e-6);
}
END_TEST

START_TEST(a_tub_whose_ice_runs_out_agrees_with_gsl)
{
    struct stream s = {102};
    double worst = 0;
    int ran_out = 0;
    for (int i = 0; i < 1000; i++) {
        struct tub t = random_tub(&s, 1 + (size_t)stream_below(&s, 5), true, i % 2 == 1), after = t;
        double seconds = stream_uniform(&s, 60, 15000);
        worst = fmax(worst, worst_difference(&t, seconds));
        tub_advance(&after, seconds, NULL, NULL);
        ran_out += after.ice_kg == 0;
    }
    printf("tub with ice: worst difference from GSL rk8pd over the corner where the ice ends: %.2g K\n",
           worst);
    ck_assert(worst < 1e-6);
    ck_assert(ran_out > 200 && ran_out < 900);
}
END_TEST

START_TEST(without_a_room_the_heat_stays_the_same)
{
    struct stream s = {103};
    for (int i = 0; i < 400; i++) {
        struct tub t = random_tub(&s, 1 + (size_t)stream_below(&s, 6), i % 2 == 0, i % 3 == 0);
        t.room_w_per_k = 0;
        double before = tub_heat_j(&t), rest = tub_balance_c(&t);
        for (int part = 0; part < 5; part++) {
            tub_advance(&t, stream_uniform(&s, 0, 4000), NULL, NULL);
            if (fabs(tub_heat_j(&t) - before) > 0.05 || fabs(tub_balance_c(&t) - rest) > 1e-7)
                ck_abort_msg("case %d: heat %.12g became %.12g", i, before, tub_heat_j(&t));
        }
        tub_advance(&t, 1e6, NULL, NULL);
        if (t.ice_kg == 0 && t.lot[0].law.exponent == 0 && fabs(t.water_c - rest) > 1e-6)
            ck_abort_msg("case %d: rests at %g, balance %g", i, t.water_c, rest);
    }
}
END_TEST

START_TEST(milk_only_cools_while_it_is_warmer_than_the_water)
{
    struct stream s = {104};
    for (int i = 0; i < 500; i++) {
        struct tub t = random_tub(&s, 3, i % 2 == 0, true);
        for (int step = 0; step < 60; step++) {
            struct tub before = t;
            tub_advance(&t, 60, NULL, NULL);
            for (size_t n = 0; n < t.lots; n++)
                if (before.lot[n].temp_c > before.water_c && before.lot[n].temp_c > t.water_c &&
                    t.lot[n].temp_c > before.lot[n].temp_c)
                    ck_abort_msg("case %d: lot %zu warmed from %g to %g", i, n, before.lot[n].temp_c,
                                 t.lot[n].temp_c);
            if (t.ice_kg > before.ice_kg || t.water_kg + t.ice_kg < before.water_kg + before.ice_kg - 1e-9)
                ck_abort_msg("case %d: ice %g of %g, water %g of %g", i, t.ice_kg, before.ice_kg, t.water_kg,
                             before.water_kg);
        }
    }
}
END_TEST

START_TEST(near_tubs_have_near_ends)
{
    struct stream s = {105};
    for (int i = 0; i < 500; i++) {
        struct tub a = random_tub(&s, 4, i % 2 == 0, true), b = a;
        double nudge = 1e-6;
        b.ice_kg *= 1 + nudge;
        b.lot[0].temp_c += nudge;
        b.lot[1].law.k_per_s *= 1 + nudge;
        tub_advance(&a, 5000, NULL, NULL);
        tub_advance(&b, 5000, NULL, NULL);
        for (size_t n = 0; n < 4; n++)
            if (fabs(a.lot[n].temp_c - b.lot[n].temp_c) > 100 * nudge)
                ck_abort_msg("case %d: %.9g and %.9g", i, a.lot[n].temp_c, b.lot[n].temp_c);
    }
}
END_TEST

START_TEST(one_lot_in_closed_form_is_what_the_integrator_finds)
{
    struct stream s = {106};
    double worst = 0;
    for (int i = 0; i < 1000; i++) {
        struct tub closed = random_tub(&s, 1, i % 2 == 0, false), stepped = closed;
        stepped.lot[0].law.warm_per_k =
            1e-300; /* no longer Newton's law to the letter, so it is integrated */
        double seconds = stream_uniform(&s, 100, 20000);
        tub_advance(&closed, seconds, NULL, NULL);
        tub_advance(&stepped, seconds, NULL, NULL);
        worst = fmax(worst, fabs(closed.lot[0].temp_c - stepped.lot[0].temp_c));
        worst = fmax(worst, fabs(closed.water_c - stepped.water_c));
    }
    printf("closed form against our integrator at 1e-11: worst %.2g K\n", worst);
    ck_assert(worst < 1e-8);
}
END_TEST

struct watched {
    double from, to, lot_c, water_c, ice_kg;
    int spans;
};

static void watch(void *context, const struct tub_span *span)
{
    struct watched *w = context;
    if (w->spans > 0) {
        ck_assert(span->from_s == w->to);
        ck_within(tub_span_lot_c(span, 0, span->from_s), w->lot_c, 1e-7);
        ck_within(tub_span_water_c(span, span->from_s), w->water_c, 1e-7);
    }
    *w = (struct watched){span->from_s,
                          span->to_s,
                          tub_span_lot_c(span, 0, span->to_s),
                          tub_span_water_c(span, span->to_s),
                          tub_span_ice_kg(span, span->to_s),
                          w->spans + 1};
}

START_TEST(a_watcher_sees_every_moment_once)
{
    struct stream s = {107};
    for (int i = 0; i < 100; i++) {
        struct tub t = random_tub(&s, 1 + (size_t)stream_below(&s, 3), i % 2 == 0, i % 3 == 0);
        struct watched w = {0};
        tub_advance(&t, 9000, watch, &w);
        ck_assert(w.to == 9000 && w.spans > 0);
        ck_within(w.lot_c, t.lot[0].temp_c, 1e-7);
        ck_within(w.water_c, t.water_c, 1e-7);
        ck_within(w.ice_kg, t.ice_kg, 1e-7);
    }
}
END_TEST

START_TEST(a_freezing_milk_house_makes_ice)
{
    struct tub t = {.water_kg = 10,
                    .water_c = 2,
                    .room_c = -10,
                    .room_w_per_k = 5,
                    .constants = water_ice_usual,
                    .tolerance = 1e-10};
    double heat = tub_heat_j(&t);
    tub_advance(&t, 40000, NULL, NULL);
    ck_assert(t.water_c == 0 && t.ice_kg > 0);
    /* It took 10 kg x 2 K x 4186 to reach freezing, falling towards -10 C; from then on 50 W go into ice. */
    double reach = 10 * 4186 / 5.0 * log(12.0 / 10);
    ck_near(t.ice_kg, 50 * (40000 - reach) / 333550, 1e-6);
    ck_assert(tub_heat_j(&t) < heat);
}
END_TEST

START_TEST(ice_and_water_are_added_at_their_temperatures)
{
    struct tub t = {.constants = water_ice_usual};
    tub_add_water(&t, 10, 12);
    tub_add_water(&t, 5, 30);
    ck_near(t.water_c, 18, 1e-12);
    ck_near(t.water_kg, 15, 1e-12);
    tub_add_ice(&t, 1, 0); /* 15 kg at 18 C hold 3.388 kg worth of ice */
    ck_near(t.water_c, (15 * 4186 * 18 - 333550) / (16.0 * 4186), 1e-9);
    tub_add_ice(&t, 5, -18);
    ck_assert(t.water_c == 0);
    double heat_j = 15 * 4186.0 * 18 - 333550; /* in the water, above 0 C */
    ck_near(t.ice_kg, 5 - (heat_j - 5 * 2090.0 * 18) / 333550, 1e-9);
    double ice = t.ice_kg, water = t.water_kg;
    tub_add_water(&t, 1, 20);
    ck_near(ice - t.ice_kg, 4186 * 20 / 333550.0, 1e-9);
    ck_near(t.ice_kg + t.water_kg, ice + water + 1, 1e-12);
}
END_TEST

Suite *tub_suite(void)
{
    Suite *s = suite_create("tub");
    TCase *t = tcase_create("tub");
    tcase_add_test(t, a_tub_without_ice_agrees_with_gsl);
    tcase_add_test(t, a_tub_whose_ice_runs_out_agrees_with_gsl);
    tcase_add_test(t, without_a_room_the_heat_stays_the_same);
    tcase_add_test(t, milk_only_cools_while_it_is_warmer_than_the_water);
    tcase_add_test(t, near_tubs_have_near_ends);
    tcase_add_test(t, one_lot_in_closed_form_is_what_the_integrator_finds);
    tcase_add_test(t, a_watcher_sees_every_moment_once);
    tcase_add_test(t, a_freezing_milk_house_makes_ice);
    tcase_add_test(t, ice_and_water_are_added_at_their_temperatures);
    suite_add_tcase(s, t);
    return s;
}
