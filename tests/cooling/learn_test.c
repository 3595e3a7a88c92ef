/* Are the forecast's bands honest, and does it learn? Mornings are simulated by the films of milk and water
 * themselves, step by step, not by the law that the forecast uses; their jars differ from the estimate by as
 * much as the estimate says that it may be out, and so do pouring, bath and the moment of reading.
 * Thermometers err by half a degree F. */
#include "core/base/quantity.h"
#include "core/cooling/matter.h"
#include "tests/cooling/morning.h"

#define F45        ((45 - 32) / 1.8)
#define STEP_S     15.0
#define STEPS_MOST 2400

/* One jar's true course, a temperature every STEP_S seconds. */
struct truth {
    const struct jar_kind *kind;
    enum stir stir;
    double temp_c[STEPS_MOST];
    int steps;
    double to_45f; /* s */
};

/* The films' rate, scaled; `bend` makes it fall faster or slower as the milk nears the bath. */
static double true_rate(const struct truth *t, double milk_c, double bath_c, double scale, double bend)
{
    struct jar_rate r;
    jar_rate_at(t->kind, t->kind->volume_l, 4, surrounding_of_stir(t->stir), milk_c, bath_c, &r);
    return scale * r.k_per_min / 60 * pow((milk_c - bath_c) / 20, bend);
}

static void truth_run(struct truth *t, double start_c, double bath_c, double scale, double bend)
{
    t->temp_c[0] = start_c;
    t->to_45f = NAN;
    for (t->steps = 1; t->steps < STEPS_MOST; t->steps++) {
        double c = t->temp_c[t->steps - 1];
        double half = c - true_rate(t, c, bath_c, scale, bend) * (c - bath_c) * STEP_S / 2;
        double next = c - true_rate(t, half, bath_c, scale, bend) * (half - bath_c) * STEP_S;
        t->temp_c[t->steps] = next;
        if (isnan(t->to_45f) && next <= F45)
            t->to_45f = (t->steps - 1 + (c - F45) / (c - next)) * STEP_S;
        if (t->steps * STEP_S > 1.1 * t->to_45f)
            break;
    }
}

static double truth_at(const struct truth *t, double s)
{
    int i = (int)(s / STEP_S);
    if (s <= 0 || i + 1 >= t->steps)
        return s <= 0 ? t->temp_c[0] : t->temp_c[t->steps - 1];
    return t->temp_c[i] + (t->temp_c[i + 1] - t->temp_c[i]) * (s / STEP_S - i);
}

/* What the forecast says that it does not know (see learn.c), drawn anew. */
static void truth_draw(struct truth *t, struct stream *s)
{
    static const char *const kinds[] = {"half-gallon", "quart", "gallon"};
    static const double rate_sd[] = {0.205, 0.13, 0.2}, bath_sd[] = {0.6, 0.3, 0.3},
                        bend_sd[] = {0.08, 0.04, 0.05};
    t->kind = jar_named(kinds[stream_below(s, 3)]);
    t->stir = (enum stir)stream_below(s, STIR_COUNT);
    truth_run(t, 35 + 0.4 * stream_normal(s), bath_sd[t->stir] * stream_normal(s),
              exp(rate_sd[t->stir] * stream_normal(s)), bend_sd[t->stir] * stream_normal(s));
}

static void morning_of(struct morning *m, const struct truth *t)
{
    morning_usual(m, 40);
    m->tub.stir = t->stir;
    (void)add_batch(m, t->kind->name, 1, 0);
}

static double half_f(struct stream *s)
{
    return 0.5 / 1.8 * stream_normal(s);
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

START_TEST(nine_bands_in_ten_hold_the_truth)
{
    struct stream s = {20260503};
    static struct truth t;
    int held = 0, early = 0, late = 0, mornings = 1000;
    for (int i = 0; i < mornings; i++) {
        struct morning m;
        truth_draw(&t, &s);
        morning_of(&m, &t);
        int readings = stream_below(&s, 7);
        double last = stream_uniform(&s, 0.3, 0.8) * t.to_45f, lag = 10 * stream_normal(&s);
        for (int r = 1; r <= readings; r++) {
            double at = last * r / readings;
            add_reading(&m.batch[0], at / MINUTE, fmin(35.5, truth_at(&t, at - lag) + half_f(&s)));
        }
        const struct moment_band *band = &forecast_at(&m, last / MINUTE + 0.1)->batch[0].to_45f;
        held += t.to_45f >= band->early_at && !(t.to_45f > band->late_at);
        early += t.to_45f < band->early_at;
        late += t.to_45f > band->late_at;
    }
    printf("1000 mornings, 0 to 6 readings: the 90 %% band to 45 F held %d, missed early %d, late %d\n", held,
           early, late);
    ck_assert(held >= 850 && held <= 950);
    ck_assert(early > 5 && late > 5);
}
END_TEST

START_TEST(one_reading_on_the_way_tells_the_time_to_a_minute_or_so)
{
    struct stream s = {20260504};
    static struct truth t;
    static double error[1000], without[1000];
    int held = 0;
    for (int i = 0; i < 1000; i++) {
        struct morning m;
        truth_draw(&t, &s);
        morning_of(&m, &t);
        double at = t.to_45f / 2, lag = 10 * stream_normal(&s);
        without[i] = fabs(forecast_at(&m, at / MINUTE)->batch[0].to_45f.at - t.to_45f) / MINUTE;
        add_reading(&m.batch[0], at / MINUTE, truth_at(&t, at - lag) + half_f(&s));
        const struct moment_band *band = &forecast_at(&m, at / MINUTE)->batch[0].to_45f;
        error[i] = fabs(band->at - t.to_45f) / MINUTE;
        held += t.to_45f >= band->early_at && !(t.to_45f > band->late_at);
    }
    qsort(error, 1000, sizeof error[0], by_size);
    qsort(without, 1000, sizeof without[0], by_size);
    printf("one reading midway: median error %.2f min, nine in ten under %.2f (without it %.2f and %.2f); "
           "band held %d\n",
           error[500], error[900], without[500], without[900], held);
    ck_assert(error[500] < 1.5);
    ck_assert(error[500] < 0.5 * without[500]);
    ck_assert(held >= 850 && held <= 980);
}
END_TEST

/* --- one jar whose truth is known --- */

static struct truth slow_jar;

/* A half gallon in still water at 0.3 C, a sixth slower than the estimate. */
static void know_a_slow_jar(void)
{
    slow_jar = (struct truth){.kind = jar_named("half-gallon"), .stir = STIR_STILL};
    truth_run(&slow_jar, 35, 0.3, 0.85, 0);
}

static void read_truth(struct morning *m, double every_min, int count, double lag_s)
{
    for (int i = 1; i <= count; i++)
        add_reading(&m->batch[0], i * every_min, truth_at(&slow_jar, i * every_min * MINUTE - lag_s));
}

static double error_min(const struct forecast *fc)
{
    return (fc->batch[0].to_45f.at - slow_jar.to_45f) / MINUTE;
}

START_TEST(a_wild_reading_is_outvoted_and_named)
{
    for (int which = 0; which < 6; which++)
        for (int sign = -1; sign <= 1; sign += 2) {
            struct morning m;
            morning_of(&m, &slow_jar);
            read_truth(&m, 3, 6, 0);
            double plain = error_min(forecast_at(&m, 19));
            m.batch[0].reading[which].temp_c +=
                6 * sign; /* the thermometer touched glass, or was out of the milk */
            if (m.batch[0].reading[which].temp_c > 35.5)
                continue;
            const struct forecast *fc = forecast_at(&m, 19);
            if (fabs(error_min(fc) - plain) > 1.3)
                ck_abort_msg("reading %d wild by %d K: %g min, without %g", which, 6 * sign, error_min(fc),
                             plain);
            ck_assert_int_eq(fc->batch[0].learned.wild, 1);
            ck_assert(fc->batch[0].learned.wild_at[0] == m.batch[0].reading[which].at);
        }
}
END_TEST

START_TEST(a_last_reading_that_is_wild_is_not_shown_as_read)
{
    struct morning m;
    morning_of(&m, &slow_jar);
    read_truth(&m, 3, 6, 0);
    ck_assert(forecast_at(&m, 19)->batch[0].now_read);
    ck_assert(!forecast_at(&m, 21)->batch[0].now_read);
    m.batch[0].reading[5].temp_c = 3;
    const struct forecast *fc = forecast_at(&m, 19);
    ck_assert(!fc->batch[0].now_read);
    ck_within(fc->batch[0].now_c, truth_at(&slow_jar, 19 * MINUTE), 1);
}
END_TEST

START_TEST(a_probe_that_lags_does_not_mislead)
{
    struct morning m;
    morning_of(&m, &slow_jar);
    read_truth(&m, 1, 20, 60); /* a slow probe, a minute behind, and nobody says so */
    const struct forecast *fc = forecast_at(&m, 20);
    printf("a probe a minute behind: the time to 45 F is out by %.2f min", error_min(fc));
    ck_assert(fabs(error_min(fc)) < 2);
    ck_assert(slow_jar.to_45f >= fc->batch[0].to_45f.early_at &&
              slow_jar.to_45f <= fc->batch[0].to_45f.late_at);
    for (size_t i = 0; i < m.batch[0].readings; i++)
        m.batch[0].reading[i].lag_s = 60;
    fc = forecast_at(&m, 20);
    printf(", told of it by %.2f\n", error_min(fc));
    ck_assert(fabs(error_min(fc)) < 1.3);
    /* By hand and by that probe in turn: what each speaks of is not in the order in which they were taken. */
    for (size_t i = 0; i < m.batch[0].readings; i += 2) {
        m.batch[0].reading[i].temp_c = truth_at(&slow_jar, m.batch[0].reading[i].at);
        m.batch[0].reading[i].lag_s = 0;
    }
    fc = forecast_at(&m, 20);
    ck_assert(fabs(error_min(fc)) < 1.3);
    ck_assert_int_eq(fc->batch[0].learned.wild, 0);
}
END_TEST

START_TEST(readings_by_hand_and_by_a_slow_probe_are_put_in_order)
{
    /* A probe three minutes behind and a hand in turn: what the probe says at one moment is of before what the hand read
     * earlier. Told of the lag, all of them agree. */
    struct morning m;
    morning_of(&m, &slow_jar);
    for (int i = 1; i <= 12; i++) {
        double lag_s = i % 2 == 0 ? 0 : 180;
        add_reading(&m.batch[0], 2 * i, truth_at(&slow_jar, 2 * i * MINUTE - lag_s));
        m.batch[0].reading[i - 1].lag_s = lag_s;
    }
    const struct forecast *fc = forecast_at(&m, 25);
    ck_assert_msg(fabs(error_min(fc)) < 1.3, "out by %g min", error_min(fc));
    ck_assert_int_eq(fc->batch[0].learned.wild, 0);
}
END_TEST

START_TEST(a_short_run_never_becomes_an_ambient)
{
    /* Three readings in the first ten minutes, of a jar whose rate happens to fall off as if the bath were at
     * 12 C: a free ambient would follow them (it said 50 C of a mug in a room of 25). The tub has ice; the
     * milk ends near 0. */
    struct morning m;
    morning_usual(&m, 40);
    struct batch_facts *b = add_batch(&m, "half-gallon", 1, 0);
    for (int i = 1; i <= 3; i++)
        add_reading(b, 3.3 * i, 12 + 23 * exp(-0.08 * 3.3 * i));
    m.chart_from = 0;
    m.chart_to = 300 * MINUTE;
    const struct forecast *fc = forecast_at(&m, 11);
    ck_assert_msg(fc->batch[0].curve[CURVE_POINTS - 1].temp_c < 2, "ends at %g",
                  fc->batch[0].curve[CURVE_POINTS - 1].temp_c);
    ck_assert(!isnan(fc->batch[0].to_40f.at));
}
END_TEST

START_TEST(readings_narrow_the_band)
{
    struct morning m;
    double width[7];
    for (int n = 0; n <= 6; n++) {
        morning_of(&m, &slow_jar);
        read_truth(&m, 4, n, 0);
        const struct moment_band *b = &forecast_at(&m, 25)->batch[0].to_45f;
        width[n] = b->late_at - b->early_at;
    }
    ck_assert(width[1] < 0.6 * width[0] && width[2] < width[1] && width[6] < width[3]);
    ck_assert(width[6] > MINUTE); /* never quite certain */
}
END_TEST

/* --- from morning to morning --- */

static void learn_mornings(struct morning *m, int count, double scale, double sd)
{
    const struct batch_forecast *r = &forecast_at(m, 1)->batch[0];
    double ln_k = r->learned.prior_ln_k + log(scale);
    for (int i = 0; i < count; i++) {
        struct learned_rate *l = &m->learned[m->learned_count++];
        *l = (struct learned_rate){.stir = STIR_STILL, .ln_k = ln_k, .sd = sd};
        (void)snprintf(l->kind, sizeof l->kind, "half-gallon");
    }
}

START_TEST(earlier_mornings_are_remembered)
{
    struct morning m;
    morning_of(&m, &slow_jar);
    struct batch_forecast before = forecast_at(&m, 1)->batch[0];
    learn_mornings(&m, 5, 0.85, 0.05);
    const struct forecast *fc = forecast_at(&m, 1);
    printf("five mornings remembered: out by %.1f min instead of %.1f\n", error_min(fc),
           (before.to_45f.at - slow_jar.to_45f) / MINUTE);
    ck_assert(fc->batch[0].learned.prior_sd < 0.6 * before.learned.prior_sd);
    ck_within(fc->batch[0].learned.prior_ln_k, before.learned.prior_ln_k + log(0.85), 0.02);
    ck_assert(fabs(error_min(fc)) < 2);
    /* Another kind of jar is not touched by them, still water says a little about moved water, moved more by
     * less. */
    m.batch[0].kind = jar_named("quart");
    ck_within(forecast_at(&m, 1)->batch[0].learned.prior_sd, 0.205, 0.02);
    m.batch[0].kind = jar_named("half-gallon");
    m.tub.stir = STIR_WATER;
    double moved = forecast_at(&m, 1)->batch[0].learned.prior_ln_k;
    m.learned_count = 0;
    double unlearned = forecast_at(&m, 1)->batch[0].learned.prior_ln_k;
    ck_assert(moved < unlearned && moved > unlearned + log(0.85));
}
END_TEST

START_TEST(one_bad_morning_among_good_ones_counts_little)
{
    struct morning good, bad;
    morning_of(&good, &slow_jar);
    learn_mornings(&good, 5, 0.85, 0.05);
    bad = good;
    bad.learned_count = 0;
    learn_mornings(&bad, 1, 2.5, 0.05); /* the wrong jar was read */
    bad.learned_count = 0;
    struct learned_rate wrong = bad.learned[0];
    bad = good;
    bad.learned[bad.learned_count++] = wrong;
    ck_within(forecast_at(&bad, 1)->batch[0].learned.prior_ln_k,
              forecast_at(&good, 1)->batch[0].learned.prior_ln_k, 0.07);
}
END_TEST

START_TEST(what_is_learned_can_be_handed_back_the_next_morning)
{
    struct morning m, next;
    morning_of(&m, &slow_jar);
    ck_assert(!forecast_at(&m, 20)->batch[0].learned.worth_keeping);
    read_truth(&m, 4, 6, 0);
    struct batch_forecast r = forecast_at(&m, 25)->batch[0];
    ck_assert(r.learned.worth_keeping && r.learned.used == 6 && r.learned.wild == 0);
    ck_assert_int_eq(r.learned.stir, STIR_STILL);
    ck_assert(r.learned.sd < 0.06);
    morning_of(&next, &slow_jar);
    next.learned[0] = (struct learned_rate){"half-gallon", r.learned.stir, r.learned.ln_k, r.learned.sd};
    next.learned_count = 1;
    struct batch_forecast told = forecast_at(&next, 1)->batch[0];
    ck_assert(fabs(told.to_45f.at - slow_jar.to_45f) < 3 * MINUTE);
    ck_assert(told.learned.prior_sd < 0.15);
}
END_TEST

START_TEST(what_a_morning_taught_by_itself_is_its_belief_with_the_prior_divided_out)
{
    /* Two normal distributions multiply by adding their precisions (any text on Bayes; from memory): prior -3, sd 0.2 and
     * readings -3.3, sd 0.1 make (25 x -3 + 100 x -3.3) / 125 = -3.24, sd 1 / sqrt(125). Divided out, the readings are
     * what is left. */
    struct batch_facts b;
    struct learned_rate out;
    batch_init(&b, jar_named("quart"), 2, 0, 35);
    struct rate_belief believed = {.ln_k = -3.24, .sd = 1 / sqrt(125), .prior_ln_k = -3, .prior_sd = 0.2,
                                   .stir = STIR_WATER, .worth_keeping = true};
    ck_assert(rate_taught(&b, &believed, &out));
    ck_near(out.ln_k, -3.3, 1e-12);
    ck_near(out.sd, 0.1, 1e-12);
    ck_assert_str_eq(out.kind, "quart");
    ck_assert_int_eq(out.stir, STIR_WATER);
    believed.worth_keeping = false;
    ck_assert(!rate_taught(&b, &believed, &out));
    believed.worth_keeping = true;
    believed.sd = 0.2; /* no surer than before: nothing was learned */
    ck_assert(!rate_taught(&b, &believed, &out));
    believed.sd = 0.3;
    ck_assert(!rate_taught(&b, &believed, &out));
    /* A morning looked back on believes what its forecast did. */
    struct morning m;
    struct rate_belief back[BATCHES_MAX];
    struct fail f = {0};
    morning_of(&m, &slow_jar);
    read_truth(&m, 4, 6, 0);
    struct rate_belief then = forecast_at(&m, 25)->batch[0].learned;
    ck_assert_int_eq(forecast_rates(&m, back, &f), 0);
    ck_near(back[0].ln_k, then.ln_k, 1e-9);
    ck_near(back[0].sd, then.sd, 1e-9);
    ck_assert_int_eq(back[0].used, 6);
    m.batch[0].reading[0].temp_c = 99;
    ck_assert_int_eq(forecast_rates(&m, back, &f), -1);
}
END_TEST

START_TEST(jars_of_one_kind_in_one_tub_learn_from_each_other)
{
    struct morning m;
    morning_of(&m, &slow_jar);
    (void)add_batch(&m, "half-gallon", 2, 6);
    (void)add_batch(&m, "quart", 2, 6);
    struct forecast before = *forecast_at(&m, 20);
    read_truth(&m, 3, 6, 0);
    const struct forecast *fc = forecast_at(&m, 20);
    ck_assert(fc->batch[1].learned.ln_k < before.batch[1].learned.ln_k - 0.08);
    ck_assert(fc->batch[1].learned.sd < 0.6 * before.batch[1].learned.sd);
    ck_assert(!fc->batch[1].learned.worth_keeping); /* nothing was read of it */
    ck_within(fc->batch[2].learned.ln_k, before.batch[2].learned.ln_k, 1e-9);
}
END_TEST

START_TEST(readings_in_the_refrigerator_teach_the_refrigerator)
{
    struct morning m;
    double to[3];
    for (int i = 0; i < 3; i++) {
        morning_usual(&m, 15);
        struct batch_facts *b = add_batch(&m, "half-gallon", 1, 0);
        add_move(b, 15, 0, PLACE_TUB, PLACE_FRIDGE);
        double c = forecast_at(&m, 15)->batch[0].now_c;
        add_reading(b, 14, c);
        if (i > 0) { /* falls by 2 K, or by 6 K, in an hour */
            add_reading(b, 45, c - (i == 1 ? 1 : 3));
            add_reading(b, 75, c - (i == 1 ? 2 : 6));
        }
        const struct batch_forecast *r = &forecast_at(&m, 80)->batch[0];
        to[i] = r->to_45f.at;
        ck_assert(!r->learned.worth_keeping || i == 0 || r->learned.used == 3);
    }
    ck_assert(to[1] > to[0] && to[2] < to[0]);
}
END_TEST

Suite *learn_suite(void)
{
    Suite *s = suite_create("learn");
    TCase *t = tcase_create("learn");
    tcase_add_checked_fixture(t, know_a_slow_jar, NULL);
    tcase_add_test(t, nine_bands_in_ten_hold_the_truth);
    tcase_add_test(t, one_reading_on_the_way_tells_the_time_to_a_minute_or_so);
    tcase_add_test(t, a_wild_reading_is_outvoted_and_named);
    tcase_add_test(t, a_last_reading_that_is_wild_is_not_shown_as_read);
    tcase_add_test(t, a_probe_that_lags_does_not_mislead);
    tcase_add_test(t, readings_by_hand_and_by_a_slow_probe_are_put_in_order);
    tcase_add_test(t, a_short_run_never_becomes_an_ambient);
    tcase_add_test(t, readings_narrow_the_band);
    tcase_add_test(t, earlier_mornings_are_remembered);
    tcase_add_test(t, one_bad_morning_among_good_ones_counts_little);
    tcase_add_test(t, what_is_learned_can_be_handed_back_the_next_morning);
    tcase_add_test(t, what_a_morning_taught_by_itself_is_its_belief_with_the_prior_divided_out);
    tcase_add_test(t, jars_of_one_kind_in_one_tub_learn_from_each_other);
    tcase_add_test(t, readings_in_the_refrigerator_teach_the_refrigerator);
    suite_add_tcase(s, t);
    return s;
}
