/* The forecast of a morning: what it says, what must hold of it, and whether its parts agree with each other
 * and with a plain simulation. Whether its bands are honest is tested in learn_test.c. */
#include "core/cooling/forecast.h"

#include "core/base/quantity.h"
#include "core/cooling/matter.h"
#include "core/cooling/tonight.h"
#include "tests/cooling/morning.h"

#define F45 ((45 - 32) / 1.8)

/* --- the finding --- */

START_TEST(twenty_minutes_in_still_ice_water_will_not_do_and_the_board_says_what_will)
{
    struct morning m;
    morning_usual(&m, 12);
    struct batch_facts *b = add_batch(&m, "half-gallon", 2, 0);
    add_move(b, 20, 0, PLACE_TUB, PLACE_FRIDGE);
    const struct forecast *fc = forecast_at(&m, 2);
    const struct batch_forecast *r = &fc->batch[0];
    ck_assert_int_eq(r->verdict, VERDICT_WILL_NOT);
    ck_assert_str_eq(verdict_word(r->verdict), "will not");
    printf("20 min still, then refrigerator: 45 F at %.0f min, %.0f min late, %.1f K over at the deadline\n",
           r->to_45f.at / MINUTE, -r->in_hand_s / MINUTE, r->over_k);
    /* Worked out from constant rates (k 0.05 then 0.0045, as the published films and Toth's readings have
     * it): 13.5 C at the pull, 45 F some two hours after the deadline, near 9.3 C at it. */
    ck_assert(r->in_hand_s < -60 * MINUTE && r->in_hand_s > -240 * MINUTE);
    ck_assert(r->over_k > 1 && r->over_k < 4);
    ck_assert_int_eq(r->clause, 1);
    ck_assert(r->deadline_at == 120 * MINUTE && !r->deadline_moves);
    ck_assert(fc->cheapest >= 0);
    const struct advice *a = &fc->advice[fc->cheapest];
    ck_assert_int_eq(a->remedy, REMEDY_LEAVE_IN); /* costs nothing but waiting */
    ck_assert_int_eq(a->verdict, VERDICT_WILL);
    ck_assert(a->to_limit.at < 60 * MINUTE && a->gain_s > 120 * MINUTE);
}
END_TEST

START_TEST(thirty_minutes_in_moved_water_will_do)
{
    struct morning m;
    morning_usual(&m, 12);
    m.tub.stir = STIR_WATER;
    add_move(add_batch(&m, "half-gallon", 2, 0), 30, 0, PLACE_TUB, PLACE_FRIDGE);
    const struct forecast *fc = forecast_at(&m, 2);
    ck_assert_int_eq(fc->batch[0].verdict, VERDICT_WILL);
    ck_assert_str_eq(verdict_word(fc->batch[0].verdict), "will make it");
    ck_assert(fc->batch[0].to_45f.at < 30 * MINUTE);
    ck_assert(fc->batch[0].in_hand_s > 80 * MINUTE);
    ck_assert_int_eq(fc->advice_count, 0);
    ck_assert_int_eq(fc->cheapest, -1);
}
END_TEST

/* --- against a plain simulation --- */

struct plain {
    double water_j, water_kg, ice_kg, temp_c[4];
};

static double plain_water_c(const struct plain *s)
{
    return s->water_j / (s->water_kg * 4186);
}

static void plain_settle(struct plain *s)
{
    double melted = fmin(s->ice_kg, fmax(0, s->water_j / 333550));
    s->ice_kg -= melted;
    s->water_kg += melted;
    s->water_j -= melted * 333550;
}

/* Euler's steps of one second through `minutes` of a tub; quarts and half gallons by their laws, all in from
 * their pouring. */
static void plain_run(const struct morning *m, double minutes, struct plain *s)
{
    struct cooling_law law[4];
    double capacity[4];
    *s = (struct plain){m->tub.water_kg * 4186 * m->tub.water_c, m->tub.water_kg, m->tub.ice_kg, {0}};
    plain_settle(s);
    for (size_t i = 0; i < m->batches; i++) {
        const struct jar_kind *kind = m->batch[i].kind;
        jar_law(kind, kind->volume_l, 4, surrounding_of_stir(m->tub.stir), 35, 0, &law[i]);
        capacity[i] = m->batch[i].count * jar_capacity_j_per_k(kind, kind->volume_l, 4);
        s->temp_c[i] = 35;
    }
    double ua = tub_room_w_per_k(m->tub.water_kg);
    for (int t = 0; t < (int)(minutes * 60); t++) {
        double water = plain_water_c(s), into = ua * (m->room_c - water);
        for (size_t i = 0; i < m->batches; i++) {
            if (t < m->batch[i].poured_at)
                continue;
            double apart = s->temp_c[i] - water, fall = law_rate(&law[i], apart, water) * apart;
            s->temp_c[i] -= fall;
            into += capacity[i] * fall;
        }
        s->water_j += into;
        plain_settle(s);
    }
}

START_TEST(a_forecast_without_readings_agrees_with_a_plain_simulation)
{
    struct stream s = {606};
    double worst = 0, worst_ice = 0;
    int ran_out = 0;
    for (int i = 0; i < 60; i++) {
        struct morning m;
        struct plain plain;
        morning_usual(&m, stream_uniform(&s, 2, 12));
        m.tub.stir = (enum stir)stream_below(&s, STIR_COUNT);
        int batches = 1 + stream_below(&s, 4);
        for (int b = 0; b < batches; b++)
            (void)add_batch(&m, b % 2 == 0 ? "half-gallon" : "quart", 1 + stream_below(&s, 4), 7 * b);
        double minute = floor(stream_uniform(&s, 30, 200));
        const struct forecast *fc = forecast_at(&m, minute);
        plain_run(&m, minute, &plain);
        for (int b = 0; b < batches; b++)
            worst = fmax(worst, fabs(fc->batch[b].now_c - plain.temp_c[b]));
        worst = fmax(worst, fabs(fc->tub.temp_c - plain_water_c(&plain)) * (plain.ice_kg > 0 ? 1 : 0.2));
        worst_ice = fmax(worst_ice, fabs(fc->tub.ice_kg - plain.ice_kg));
        ran_out += plain.ice_kg == 0;
    }
    printf("forecast: worst differences from steps of 1 s: %.3f K, %.4f kg of ice\n", worst, worst_ice);
    ck_assert(worst < 0.06);
    ck_assert(worst_ice < 0.01);
    ck_assert(ran_out > 10 && ran_out < 50);
}
END_TEST

START_TEST(heat_that_left_the_milk_is_in_the_melted_ice)
{
    struct morning m;
    morning_usual(&m, 12);
    m.tub.room_w_per_k = 0;
    (void)add_batch(&m, "half-gallon", 3, 0);
    double ice = 12 - 20 * 4186.0 * 12 / 333550;
    for (double minute = 1; minute < 300; minute += 7) {
        const struct forecast *fc = forecast_at(&m, minute);
        double heat = 3 * jar_capacity_j_per_k(m.batch[0].kind, m.batch[0].kind->volume_l, 4) *
                      (35 - fc->batch[0].now_c);
        if (fabs(ice - heat / 333550 - fc->tub.ice_kg) > 1e-6)
            ck_abort_msg("minute %g: %.9g kg left, %.9g expected", minute, fc->tub.ice_kg,
                         ice - heat / 333550);
    }
}
END_TEST

/* --- pulling --- */

START_TEST(a_pull_at_the_earliest_moment_just_keeps_the_limit)
{
    struct stream s = {707};
    for (int i = 0; i < 40; i++) {
        struct morning m;
        morning_usual(&m, 15);
        m.tub.stir = (enum stir)stream_below(&s, STIR_COUNT);
        m.milking_end_at = stream_uniform(&s, 0, 20) * MINUTE;
        m.table_s = i % 2 == 0 ? 0 : 240;
        /* Six half gallons at once warm the refrigerator, and must stay in for longer. */
        struct batch_facts *b = add_batch(&m, i % 3 == 0 ? "quart" : "half-gallon", i % 4 == 3 ? 6 : 1, 0);
        const struct forecast *fc = forecast_at(&m, 3);
        double earliest = fc->batch[0].earliest_pull_at, safe = fc->batch[0].safe_pull_at;
        if (!(safe > earliest && earliest > 3 * MINUTE && safe < fc->batch[0].deadline_at))
            ck_abort_msg("case %d: earliest %g, safe %g", i, earliest, safe);
        for (int which = 0; which < 2; which++) {
            double at = (which == 0 ? earliest : safe) / MINUTE;
            b->moves = 0;
            add_move(b, at, 0, PLACE_TUB, PLACE_TABLE);
            add_move(b, at + m.table_s / MINUTE, 0, PLACE_TABLE, PLACE_FRIDGE);
            const struct batch_forecast *r = &forecast_at(&m, 3)->batch[0];
            if (which == 0 && fabs(r->over_k) > 0.1)
                ck_abort_msg("case %d: %g K over after the earliest pull", i, r->over_k);
            if (which == 1 && fabs(r->probability - 0.95) > 0.015)
                ck_abort_msg("case %d: probability %g after the safe pull", i, r->probability);
        }
    }
}
END_TEST

START_TEST(staying_longer_never_hurts_until_the_latest_pull)
{
    struct morning m;
    morning_usual(&m, 15);
    struct batch_facts *b = add_batch(&m, "half-gallon", 2, 0);
    double latest = forecast_at(&m, 3)->batch[0].latest_pull_at, before = 99;
    /* In a tub of ice that is when the milk is as cold as the refrigerator keeps it. */
    ck_assert(latest > 45 * MINUTE && latest < 90 * MINUTE);
    for (double minute = 5; minute < latest / MINUTE; minute += 5) {
        b->moves = 0;
        add_move(b, minute, 0, PLACE_TUB, PLACE_FRIDGE);
        double over = forecast_at(&m, 3)->batch[0].over_k;
        ck_assert_msg(over < before, "pulled at %g: %g after %g", minute, over, before);
        before = over;
    }
    /* A tub whose ice runs out gets warmer than the refrigerator: the latest pull comes while it is still the
     * better one. */
    morning_usual(&m, 4);
    (void)add_batch(&m, "half-gallon", 2, 0);
    double turn = forecast_at(&m, 3)->batch[0].latest_pull_at;
    ck_assert(turn > 10 * MINUTE);
}
END_TEST

START_TEST(part_of_a_batch_can_go_its_own_way_and_the_warmest_jars_decide)
{
    struct morning m;
    morning_usual(&m, 15);
    struct batch_facts *b = add_batch(&m, "half-gallon", 5, 0);
    add_move(b, 10, 3, PLACE_TUB, PLACE_FRIDGE);
    add_move(b, 40, 1, PLACE_TUB, PLACE_FRIDGE);
    add_move(b, 45, 1, PLACE_FRIDGE, PLACE_GONE);
    const struct batch_forecast *r = &forecast_at(&m, 50)->batch[0];
    ck_assert_int_eq(r->jars_at[PLACE_TUB], 1);
    ck_assert_int_eq(r->jars_at[PLACE_FRIDGE], 3);
    ck_assert_int_eq(r->jars_at[PLACE_GONE], 1);
    ck_assert_int_eq(r->place, PLACE_FRIDGE);
    ck_assert(r->now_c > 15);
    ck_assert(isnan(r->earliest_pull_at)); /* those are out already */
    ck_assert_int_eq(r->verdict, VERDICT_WILL_NOT);
}
END_TEST

START_TEST(many_warm_jars_warm_the_refrigerator)
{
    double at[2];
    for (int i = 0; i < 2; i++) {
        struct morning m;
        morning_usual(&m, 15);
        add_move(add_batch(&m, "half-gallon", i == 0 ? 1 : 12, 0), 15, 0, PLACE_TUB, PLACE_FRIDGE);
        at[i] = forecast_at(&m, 20)->batch[0].to_45f.at;
    }
    ck_assert_msg(at[1] > at[0] + 60 * MINUTE, "one jar %g, twelve %g", at[0] / MINUTE, at[1] / MINUTE);
}
END_TEST

/* --- the tub --- */

START_TEST(acts_on_the_tub_change_what_follows)
{
    struct morning m;
    morning_usual(&m, 3);
    (void)add_batch(&m, "half-gallon", 4, 0);
    double alone = forecast_at(&m, 1)->batch[0].to_45f.at;
    ck_assert(isnan(alone)); /* 3 kg of ice do not even chill 20 kg of tap water */
    add_act(&m, 10, TUB_ADD_ICE, 10, NAN);
    double iced = forecast_at(&m, 11)->batch[0].to_45f.at;
    ck_assert(iced > 25 * MINUTE && iced < 70 * MINUTE);
    add_stir(&m, 12, STIR_WATER);
    double moved = forecast_at(&m, 13)->batch[0].to_45f.at;
    ck_assert(moved < iced - 5 * MINUTE);
    ck_assert_int_eq(forecast_at(&m, 13)->tub.stir, STIR_WATER);
    morning_usual(&m, 0);
    (void)add_batch(&m, "half-gallon", 4, 0);
    double warm = forecast_at(&m, 60)->tub.temp_c;
    add_act(&m, 20, TUB_DRAIN, 20, NAN);
    add_act(&m, 20, TUB_FILL, 20, 12);
    ck_assert(forecast_at(&m, 60)->tub.temp_c < warm - 1);
}
END_TEST

START_TEST(a_tub_that_was_read_is_believed)
{
    struct morning m;
    morning_usual(&m, 15);
    (void)add_batch(&m, "half-gallon", 2, 0);
    double said = forecast_at(&m, 20)->batch[0].now_c;
    add_act(&m, 5, TUB_READ, 0, 4); /* ice on top, 4 C among the jars */
    const struct forecast *fc = forecast_at(&m, 6);
    ck_within(fc->tub.temp_c, 4, 1e-9);
    ck_assert(fc->tub.temp_read);
    fc = forecast_at(&m, 20);
    ck_assert(fc->batch[0].now_c > said + 0.8);
    ck_assert(!fc->tub.temp_read);
    add_stir(&m, 20, STIR_WATER); /* moving the water mends that */
    ck_within(forecast_at(&m, 21)->tub.temp_c, 0, 1e-9);
    m.tub.acts = 0;
    add_act(&m, 5, TUB_READ, 0, -1);
    ck_within(forecast_at(&m, 6)->tub.temp_c, -1, 1e-9); /* salt in it */
    ck_assert(forecast_at(&m, 6)->tub.known);
    m.tub.acts = 0;
    add_act(&m, 5, TUB_READ, 0, 9); /* too warm for ice to be left, whatever was put in */
    fc = forecast_at(&m, 6);
    ck_assert(fc->tub.ice_kg == 0 && fc->tub.ice_gone_at == 5 * MINUTE);
    ck_assert(fc->tub.temp_c > 9);
}
END_TEST

START_TEST(a_tub_of_which_nothing_is_known_is_as_cold_as_it_was_read)
{
    struct morning m;
    morning_usual(&m, 0);
    m.tub.water_kg = NAN;
    (void)add_batch(&m, "half-gallon", 2, 0);
    const struct forecast *fc = forecast_at(&m, 10);
    ck_assert(!fc->tub.known && fc->tub.ice_kg == 0 && isnan(fc->tub.ice_gone_at));
    ck_assert(fc->tub.temp_c >= 0 && fc->tub.temp_c < 2);
    double width = fc->batch[0].to_45f.late_at - fc->batch[0].to_45f.early_at;
    add_act(&m, 5, TUB_READ, 0, 3);
    fc = forecast_at(&m, 10);
    ck_within(fc->tub.temp_c, 3, 1e-9);
    ck_assert(!(fc->batch[0].to_45f.late_at - fc->batch[0].to_45f.early_at > 2 * width));
}
END_TEST

START_TEST(the_moment_when_the_ice_is_gone_is_told)
{
    struct morning m;
    morning_usual(&m, 5);
    (void)add_batch(&m, "half-gallon", 4, 0);
    double gone = forecast_at(&m, 1)->tub.ice_gone_at;
    ck_assert(gone > 5 * MINUTE && gone < 60 * MINUTE);
    ck_assert(forecast_at(&m, gone / MINUTE - 0.1)->tub.ice_kg > 0);
    ck_assert(forecast_at(&m, gone / MINUTE + 0.1)->tub.ice_kg == 0);
    ck_assert(fabs(forecast_at(&m, gone / MINUTE + 5)->tub.ice_gone_at - gone) < 1);
    ck_assert(forecast_at(&m, 1)->tub.warmest_c > 3);
    morning_usual(&m, 40);
    (void)add_batch(&m, "half-gallon", 1, 0);
    ck_assert(isnan(forecast_at(&m, 1)->tub.ice_gone_at));
}
END_TEST

/* --- the limit --- */

START_TEST(while_milking_goes_on_the_deadline_is_the_earliest_it_can_be)
{
    struct morning m;
    morning_usual(&m, 15);
    m.milking_end_at = NAN;
    (void)add_batch(&m, "half-gallon", 1, 0);
    const struct batch_forecast *r = &forecast_at(&m, 17)->batch[0];
    ck_assert(r->deadline_moves && r->deadline_at == (17 + 120) * MINUTE);
    ck_assert_int_eq(r->verdict, VERDICT_WILL);
}
END_TEST

START_TEST(what_has_been_reached_is_kept_and_what_has_not_is_missed)
{
    struct morning m;
    morning_usual(&m, 15);
    m.tub.stir = STIR_WATER;
    struct batch_facts *b = add_batch(&m, "half-gallon", 1, 0);
    ck_assert_int_eq(forecast_at(&m, 20)->batch[0].verdict, VERDICT_WILL);
    ck_assert_int_eq(forecast_at(&m, 60)->batch[0].verdict, VERDICT_KEPT);
    ck_assert_int_eq(forecast_at(&m, 300)->batch[0].verdict, VERDICT_KEPT);
    ck_assert(forecast_at(&m, 60)->batch[0].safe_pull_at == 60 * MINUTE);
    add_move(b, 6, 0, PLACE_TUB, PLACE_FRIDGE);
    ck_assert_int_eq(forecast_at(&m, 119)->batch[0].verdict, VERDICT_WILL_NOT);
    const struct forecast *fc = forecast_at(&m, 121);
    ck_assert_int_eq(fc->batch[0].verdict, VERDICT_MISSED);
    ck_assert_int_eq(fc->advice_count, 0); /* nothing brings the time back */
    add_move(b, 30, 0, PLACE_FRIDGE, PLACE_GONE);
    ck_assert_int_eq(forecast_at(&m, 40)->batch[0].verdict, VERDICT_NONE);
    ck_assert_int_eq(forecast_at(&m, 40)->batch[0].place, PLACE_GONE);
    m.limit = NULL;
    ck_assert_int_eq(forecast_at(&m, 25)->batch[0].verdict, VERDICT_NONE);
    ck_assert_int_eq(forecast_at(&m, 25)->batch[0].clause, -1);
}
END_TEST

START_TEST(milk_that_got_cold_in_time_is_kept_though_the_tub_warms_later)
{
    struct morning m;
    morning_usual(&m, 6.5);
    m.tub.stir = STIR_BOTH;
    m.room_c = 30;
    (void)add_batch(&m, "quart", 2, 0);
    const struct batch_forecast *r = &forecast_at(&m, 1)->batch[0];
    ck_assert(r->to_45f.at < 30 * MINUTE);
    ck_assert(forecast_at(&m, 600)->batch[0].now_c > F45);
    ck_assert_int_eq(forecast_at(&m, 600)->batch[0].verdict, VERDICT_KEPT);
}
END_TEST

/* --- advice --- */

/* The forecast with a remedy carried out at once, as a keeper would record it. */
static double to_limit_with(const struct morning *before, double minute, const struct advice *a)
{
    struct morning m = *before;
    for (size_t i = 0; i < m.batches; i++)
        m.batch[i].moves = 0;
    switch (a->remedy) {
    case REMEDY_WATER: add_stir(&m, minute, STIR_WATER); break;
    case REMEDY_SWIRL: add_stir(&m, minute, STIR_BOTH); break;
    case REMEDY_ICE: add_act(&m, minute, TUB_ADD_ICE, a->amount_kg, 0); break;
    case REMEDY_REFILL:
        add_act(&m, minute, TUB_DRAIN, a->amount_kg, 0);
        add_act(&m, minute, TUB_FILL, a->amount_kg, m.tub.water_c);
        break;
    case REMEDY_LEAVE_IN:
    case REMEDY_PUT_BACK:
    case REMEDY_SPLIT:
    case REMEDIES: break;
    }
    return forecast_at(&m, minute)->batch[a->batch].to_limit.at;
}

START_TEST(advice_is_what_the_forecast_says_when_it_is_followed)
{
    struct morning m;
    int checked = 0;
    for (int c = 0; c < 4; c++) {
        morning_usual(&m, c == 3 ? 0 : 3 + 4 * c);
        struct batch_facts *b = add_batch(&m, "half-gallon", 3 + c, 0);
        if (c != 1)
            add_move(b, 18, 0, PLACE_TUB, PLACE_FRIDGE);
        struct forecast fc = *forecast_at(&m, 12);
        for (size_t i = 0; i < fc.advice_count; i++) {
            const struct advice *a = &fc.advice[i];
            if (a->remedy == REMEDY_SPLIT)
                continue;
            double at = to_limit_with(&m, 12, a);
            if (isnan(at) != isnan(a->to_limit.at) || fabs(at - a->to_limit.at) > 1)
                ck_abort_msg("case %d, %s: said %g, comes to %g", c, remedy_word(a->remedy), a->to_limit.at,
                             at);
            checked++;
        }
        for (size_t i = 1; i < fc.advice_count; i++)
            ck_assert_msg(fc.advice[i - 1].verdict <= fc.advice[i].verdict, "case %d: not the surest first",
                          c);
    }
    ck_assert_int_ge(checked, 5);
}
END_TEST

START_TEST(every_remedy_and_place_has_its_word)
{
    for (int r = 0; r < REMEDIES; r++)
        ck_assert(strlen(remedy_word((enum remedy)r)) > 5);
    for (int p = 0; p < PLACE_COUNT; p++)
        ck_assert(strlen(place_word((enum place)p)) > 2);
    for (int v = VERDICT_NONE; v <= VERDICT_MISSED; v++)
        ck_assert(strlen(verdict_word((enum verdict)v)) > 3);
}
END_TEST

START_TEST(jars_already_in_the_refrigerator_are_put_back_or_split)
{
    struct morning m;
    morning_usual(&m, 12);
    add_move(add_batch(&m, "gallon", 2, 0), 15, 0, PLACE_TUB, PLACE_FRIDGE);
    const struct forecast *fc = forecast_at(&m, 25);
    bool back = false, split = false, leave = false;
    for (size_t i = 0; i < fc->advice_count; i++) {
        back = back || fc->advice[i].remedy == REMEDY_PUT_BACK;
        leave = leave || fc->advice[i].remedy == REMEDY_LEAVE_IN;
        if (fc->advice[i].remedy == REMEDY_SPLIT) {
            split = true;
            ck_assert_str_eq(fc->advice[i].into->name, "two-litre");
        }
    }
    ck_assert(back && split && !leave);
    ck_assert(fc->cheapest >= 0 && fc->advice[fc->cheapest].remedy == REMEDY_PUT_BACK);
}
END_TEST

/* The same milk in the smaller jars, poured into the tub at that minute at the temperature that it has then. */
static double to_limit_split(const struct morning *before, double minute, size_t batch, const struct jar_kind *into,
                             int count)
{
    struct morning m = *before;
    struct batch_facts *old = &m.batch[batch];
    double c = forecast_at(&m, minute)->batch[batch].now_c, milk_l = old->count * old->kind->volume_l;
    add_move(old, minute, 0, PLACE_FRIDGE, PLACE_GONE);
    struct batch_facts *fresh = add_batch(&m, into->name, count, minute);
    fresh->poured_c = c;
    fresh->volume_l = milk_l / count;
    return forecast_at(&m, minute)->batch[m.batches - 1].to_limit.at;
}

START_TEST(milk_that_is_split_cools_as_milk_poured_into_those_jars)
{
    /* Two batches in the refrigerator, one of which is cold already: only the other is to be poured on, and the time it
     * gets is that of the same morning with the pouring on record. */
    struct morning m;
    morning_usual(&m, 20);
    m.tub.stir = STIR_BOTH;
    add_move(add_batch(&m, "pint", 2, 0), 24, 0, PLACE_TUB, PLACE_FRIDGE);
    add_move(add_batch(&m, "gallon", 1, 10), 24, 0, PLACE_TUB, PLACE_FRIDGE);
    const struct forecast *fc = forecast_at(&m, 26);
    ck_assert(fc->batch[0].verdict <= VERDICT_WILL && fc->batch[1].verdict > VERDICT_WILL);
    const struct advice *split = NULL;
    for (size_t i = 0; i < fc->advice_count; i++)
        if (fc->advice[i].remedy == REMEDY_SPLIT)
            split = &fc->advice[i];
    ck_assert(split != NULL);
    ck_assert_int_eq(split->batch, 1);
    ck_assert_int_eq(split->into_count, (int)ceil(3.785412 / split->into->volume_l / 1.01));
    struct advice a = *split;
    ck_within(a.to_limit.at, to_limit_split(&m, 26, 1, a.into, a.into_count), 20);
}
END_TEST

START_TEST(too_little_ice_is_mended_by_as_much_as_the_heat_asks_for)
{
    struct morning m;
    morning_usual(&m, 2);
    (void)add_batch(&m, "half-gallon", 4, 0);
    const struct forecast *fc = forecast_at(&m, 5);
    const struct advice *ice = NULL;
    for (size_t i = 0; i < fc->advice_count; i++)
        if (fc->advice[i].remedy == REMEDY_ICE)
            ice = &fc->advice[i];
    ck_assert(ice != NULL);
    ck_assert_int_eq(ice->verdict, VERDICT_WILL);
    /* By hand: 20 kg of water from 12 C and 4 jars of 8 kJ/K from 35 C take (1005 + 1120) kJ / 333.55, less
     * the 2 kg that were there; the room comes on top. */
    ck_assert_msg(ice->amount_kg >= 4 && ice->amount_kg <= 6, "%g kg", ice->amount_kg);
}
END_TEST

/* --- what must always hold --- */

START_TEST(better_cooling_is_never_slower)
{
    struct stream s = {808};
    for (int i = 0; i < 60; i++) {
        struct morning m;
        double at[4], ice = stream_uniform(&s, 6, 12);
        for (int c = 0; c < 4; c++) {
            morning_usual(&m, c == 3 ? ice + 3 : ice);
            m.tub.stir = c == 3 ? STIR_STILL : (enum stir)c;
            (void)add_batch(&m, i % 2 == 0 ? "half-gallon" : "quart", 1 + i % 3, 0);
            at[c] = forecast_at(&m, 2)->batch[0].to_45f.at;
        }
        if (!(at[1] < at[0] && at[2] < at[1] && at[3] <= at[0] + 1))
            ck_abort_msg("case %d: still %g, water %g, both %g, more ice %g", i, at[0], at[1], at[2], at[3]);
    }
}
END_TEST

/* What was read has nothing to do with anything. */
static void random_morning(struct stream *s, struct morning *m)
{
    morning_usual(m, stream_uniform(s, 0, 14));
    m->tub.stir = (enum stir)stream_below(s, STIR_COUNT);
    m->tub.water_c = stream_uniform(s, 0, 18);
    m->room_c = stream_uniform(s, -8, 32);
    m->table_s = stream_uniform(s, 0, 600);
    if (stream_below(s, 5) == 0)
        m->tub.water_kg = NAN;
    if (stream_below(s, 4) == 0)
        m->milking_end_at = NAN;
    int batches = 1 + stream_below(s, 5);
    for (int b = 0; b < batches; b++) {
        struct batch_facts *batch =
            add_batch(m, all_jars()->kind[stream_below(s, (int)all_jars()->count)].name,
                      1 + stream_below(s, 6), floor(stream_uniform(s, 0, 30)));
        if (stream_below(s, 2) == 0)
            add_move(batch, stream_uniform(s, 31, 90), stream_below(s, batch->count + 1), PLACE_TUB,
                     stream_below(s, 2) == 0 ? PLACE_FRIDGE : PLACE_TABLE);
        int readings = stream_below(s, 6);
        for (int r = 0; r < readings; r++)
            add_reading(batch, 31 + 6 * r, stream_uniform(s, 1, 34));
        if (stream_below(s, 6) == 0)
            batch->poured_c = NAN;
    }
    if (stream_below(s, 3) == 0)
        add_stir(m, stream_uniform(s, 5, 20), (enum stir)stream_below(s, STIR_COUNT));
    if (stream_below(s, 3) == 0)
        add_act(m, stream_uniform(s, 20, 60), TUB_ADD_ICE, stream_uniform(s, 0, 6), -10);
    if (stream_below(s, 3) == 0)
        add_act(m, stream_uniform(s, 60, 80), TUB_READ, 0, stream_uniform(s, -1, 15));
}

static bool in_order(const struct moment_band *b)
{
    return !(b->early_at > b->at) && !(b->late_at < b->at) && (isnan(b->at) || !isnan(b->early_at));
}

static void check_batch(const struct batch_forecast *r, int i)
{
    const struct moment_band *bands[] = {&r->to_50f, &r->to_45f, &r->to_40f, &r->to_limit};
    for (int b = 0; b < 4; b++)
        if (!in_order(bands[b]))
            ck_abort_msg("case %d: band %g %g %g", i, bands[b]->early_at, bands[b]->at, bands[b]->late_at);
    if (r->to_45f.at < r->to_50f.at || r->to_40f.at < r->to_45f.at)
        ck_abort_msg("case %d: colder is sooner", i);
    if (!isnan(r->now_c) &&
        !(r->now_low_c <= r->now_c && r->now_c <= r->now_high_c && r->now_c > -9 && r->now_c < 60))
        ck_abort_msg("case %d: now %g in %g to %g", i, r->now_c, r->now_low_c, r->now_high_c);
    if (!(r->probability >= 0 && r->probability <= 1))
        ck_abort_msg("case %d: probability %g", i, r->probability);
    if (r->safe_pull_at < r->earliest_pull_at - 1)
        ck_abort_msg("case %d: safe pull %g before the earliest %g", i, r->safe_pull_at, r->earliest_pull_at);
    for (int n = 0; n < CURVE_POINTS; n++) {
        const struct curve_point *p = &r->curve[n];
        if (n > 0 && !(p->at > r->curve[n - 1].at))
            ck_abort_msg("case %d: curve out of order", i);
        if (!isnan(p->temp_c) && !(p->low_c <= p->temp_c && p->temp_c <= p->high_c))
            ck_abort_msg("case %d: point %d %g in %g to %g", i, n, p->temp_c, p->low_c, p->high_c);
    }
}

START_TEST(any_morning_gives_figures_that_hang_together)
{
    struct stream s = {909};
    for (int i = 0; i < 400; i++) {
        struct morning m;
        random_morning(&s, &m);
        const struct forecast *fc = forecast_at(&m, floor(stream_uniform(&s, 31, 200)));
        for (size_t b = 0; b < fc->batches; b++)
            check_batch(&fc->batch[b], i);
        if (!(fc->tub.ice_kg >= 0) || !(fc->cheapest < (int)fc->advice_count))
            ck_abort_msg("case %d: ice %g, cheapest %d of %zu", i, fc->tub.ice_kg, fc->cheapest,
                         fc->advice_count);
    }
}
END_TEST

START_TEST(near_mornings_have_near_forecasts)
{
    struct stream s = {1010};
    for (int i = 0; i < 150; i++) {
        struct morning a, b;
        random_morning(&s, &a);
        double minute = floor(stream_uniform(&s, 45, 90));
        for (size_t n = 0; n < a.batches; n++)
            a.batch[n].readings = 0;
        for (int r = 0; r < i % 4; r++) { /* readings that the morning could have given */
            double c = forecast_at(&a, 31 + 6 * r)->batch[0].now_c;
            add_reading(&a.batch[0], 31 + 6 * r, c + 0.3 * stream_normal(&s));
        }
        b = a;
        b.tub.ice_kg += 1e-7;
        b.room_c += 1e-7;
        for (size_t n = 0; n < b.batches; n++)
            b.batch[n].poured_c += 1e-7;
        struct forecast fa = *forecast_at(&a, minute);
        const struct forecast *fb = forecast_at(&b, minute);
        for (size_t n = 0; n < a.batches; n++)
            if (fabs(fa.batch[n].now_c - fb->batch[n].now_c) > 0.002 ||
                fabs(fa.batch[n].probability - fb->batch[n].probability) > 0.01)
                ck_abort_msg("case %d, batch %zu: %.9g and %.9g C, probability %g and %g", i, n,
                             fa.batch[n].now_c, fb->batch[n].now_c, fa.batch[n].probability,
                             fb->batch[n].probability);
    }
}
END_TEST

START_TEST(the_same_facts_give_the_same_forecast)
{
    struct stream s = {1111};
    struct morning m;
    random_morning(&s, &m);
    struct forecast a = *forecast_at(&m, 50);
    const struct forecast *b = forecast_at(&m, 50);
    for (size_t i = 0; i < m.batches; i++)
        ck_assert(memcmp(&a.batch[i].curve, &b->batch[i].curve, sizeof a.batch[i].curve) == 0);
}
END_TEST

START_TEST(the_chart_covers_what_it_is_asked_to)
{
    struct morning m;
    morning_usual(&m, 15);
    (void)add_batch(&m, "half-gallon", 1, 10);
    const struct batch_forecast *r = &forecast_at(&m, 20)->batch[0];
    ck_assert(CURVE_POINTS >= 64);
    ck_assert(r->curve[0].at == 10 * MINUTE && fabs(r->curve[0].temp_c - 35) < 1e-9);
    ck_assert(r->curve[CURVE_POINTS - 1].at >= r->deadline_at);
    m.chart_from = 0;
    m.chart_to = 60 * MINUTE;
    r = &forecast_at(&m, 20)->batch[0];
    ck_assert(r->curve[0].at == 0 && isnan(r->curve[0].temp_c));
    ck_assert(r->curve[CURVE_POINTS - 1].at == 60 * MINUTE);
}
END_TEST

START_TEST(a_working_goes_with_every_figure)
{
    struct morning m;
    struct working w;
    morning_usual(&m, 15);
    struct batch_facts *b = add_batch(&m, "half-gallon", 1, 0);
    add_reading(b, 10, 20);
    const struct forecast *fc = forecast_at(&m, 12);
    working_init(&w, "batch");
    forecast_explain(&m, fc, 0, &w);
    ck_near(working_find(&w, "now_c", -1)->number, fc->batch[0].now_c, 1e-12);
    ck_near(working_find(&w, "to_45f_min", -1)->number, fc->batch[0].to_45f.at / 60 - 12, 1e-9);
    ck_assert(working_find(&w, "safe_pull_min", -1) != NULL && working_find(&w, "k_per_min", -1) != NULL);
    ck_assert(w.step_count >= 5 && w.source_count >= 4 && w.given_count >= 10);
    forecast_explain(&m, fc, 0, NULL);
    /* A morning on which everything has to be explained: little ice, milking not over, a rate that was
     * learned. */
    morning_usual(&m, 4);
    m.milking_end_at = NAN;
    (void)add_batch(&m, "half-gallon", 5, 0);
    m.learned[m.learned_count++] = (struct learned_rate){"half-gallon", STIR_STILL, log(0.045), 0.05};
    fc = forecast_at(&m, 2);
    working_init(&w, "batch");
    forecast_explain(&m, fc, 0, &w);
    bool ice = false, moves = false;
    for (size_t i = 0; i < w.step_count; i++) {
        ice = ice || strstr(w.step[i], "the ice is gone at") != NULL;
        moves = moves || strstr(w.step[i], "milking is not over") != NULL;
    }
    ck_assert(ice && moves);
    ck_assert_msg(strstr(w.why, "does not come down") != NULL, "%s", w.why);
    for (size_t i = 0; i < w.given_count; i++)
        if (strcmp(w.given[i].name, "prior_k_per_min") == 0)
            ck_assert_int_eq(w.given[i].origin, ORIGIN_LEARNED);
    /* The way of the jars, the ice of the whole morning, and the law: swirled jars keep their rate, still ones do not. */
    morning_usual(&m, 4);
    m.tub.stir = STIR_BOTH;
    b = add_batch(&m, "half-gallon", 3, 0);
    add_act(&m, 3, TUB_ADD_ICE, 5, 0);
    add_move(b, 20, 1, PLACE_TUB, PLACE_TABLE);
    add_move(b, 25, 0, PLACE_TUB, PLACE_FRIDGE);
    b->reading[b->readings++] = (struct milk_reading){.at = 15 * MINUTE, .temp_c = 11.5, .probe = true};
    fc = forecast_at(&m, 30);
    working_init(&w, "batch");
    forecast_explain(&m, fc, 0, &w);
    static const char *const said[] = {"20 min after the pour: 1 from tub to table", "25 min after the pour: all from tub",
                                       "15.0 min after the pour: 11.5 C read by a probe", "by the exponential law"};
    for (size_t n = 0; n < sizeof said / sizeof said[0]; n++) {
        bool found = false;
        for (size_t i = 0; i < w.step_count; i++)
            found = found || strstr(w.step[i], said[n]) != NULL;
        ck_assert_msg(found, "no step says \"%s\"", said[n]);
    }
    for (size_t i = 0; i < w.given_count; i++)
        if (strcmp(w.given[i].name, "ice_put_in_kg") == 0)
            ck_near(w.given[i].number, 9, 1e-12);
    m.limit = NULL;
    working_init(&w, "batch");
    forecast_explain(&m, forecast_at(&m, 2), 0, &w);
    ck_assert(working_find(&w, "in_hand_min", -1) == NULL && working_find(&w, "now_c", -1) != NULL);
}
END_TEST

/* --- refusals --- */

static void no_change(struct morning *m)
{
    (void)m;
}
static void ice_warm(struct morning *m)
{
    m->tub.ice_c = 1;
}
static void act_ice_warm(struct morning *m)
{
    add_act(m, 5, TUB_ADD_ICE, 2, 3);
}
static void act_negative(struct morning *m)
{
    add_act(m, 5, TUB_FILL, -2, 3);
}
static void acts_unordered(struct morning *m)
{
    add_act(m, 5, TUB_ADD_ICE, 2, 0);
    add_act(m, 4, TUB_ADD_ICE, 2, 0);
}
static void too_many_jars(struct morning *m)
{
    add_move(&m->batch[0], 5, 9, PLACE_TUB, PLACE_FRIDGE);
}
static void nobody_there(struct morning *m)
{
    add_move(&m->batch[0], 5, 0, PLACE_FRIDGE, PLACE_TUB);
}
static void moved_before(struct morning *m)
{
    add_move(&m->batch[0], -5, 1, PLACE_TUB, PLACE_FRIDGE);
}
static void read_before(struct morning *m)
{
    add_reading(&m->batch[0], -5, 30);
}
static void read_warm(struct morning *m)
{
    add_reading(&m->batch[0], 5, 37);
}
static void read_twice(struct morning *m)
{
    add_reading(&m->batch[0], 5, 30);
    add_reading(&m->batch[0], 5, 31);
}
static void no_jars(struct morning *m)
{
    m->batch[0].count = 0;
}
static void overfull(struct morning *m)
{
    m->batch[0].volume_l = 4;
}
static void boiling(struct morning *m)
{
    m->batch[0].poured_c = 95;
}
static void backwards(struct morning *m)
{
    m->milking_end_at = m->milking_start_at - 1;
}
static void no_water_temp(struct morning *m)
{
    m->tub.water_c = NAN;
}

static void read_hot(struct morning *m)
{
    add_reading(&m->batch[0], 5, 70);
}
static void read_unordered(struct morning *m)
{
    add_reading(&m->batch[0], 6, 30);
    add_reading(&m->batch[0], 5, 31);
}
static void no_kind(struct morning *m)
{
    m->batch[0].kind = NULL;
}
static void broken_kind(struct morning *m)
{
    static struct jar_kind broken;
    broken = *m->batch[0].kind;
    broken.wall_m = 1;
    m->batch[0].kind = &broken;
}
static void never_poured(struct morning *m)
{
    m->batch[0].poured_at = NAN;
}
static void too_many_moves(struct morning *m)
{
    m->batch[0].moves = BATCH_MOVES_MAX + 1;
}
static void fill_unread(struct morning *m)
{
    add_act(m, 5, TUB_FILL, 2, NAN);
}
static void tub_hot(struct morning *m)
{
    add_act(m, 5, TUB_READ, 0, 80);
}
static void too_many_acts(struct morning *m)
{
    m->tub.acts = TUB_ACTS_MAX + 1;
}
static void negative_tub(struct morning *m)
{
    m->tub.ice_kg = -1;
}
static void no_time(struct morning *m)
{
    m->now = NAN;
}
static void too_many_batches(struct morning *m)
{
    m->batches = BATCHES_MAX + 1;
}
static void table_backwards(struct morning *m)
{
    m->table_s = -1;
}
static void crowd(struct morning *m)
{
    /* Sixteen batches, each split into three groups: more than the tub can be followed with. */
    for (int i = 0; i < BATCHES_MAX; i++) {
        struct batch_facts *b = i == 0 ? &m->batch[0] : add_batch(m, "pint", 3, 0);
        b->count = 3;
        add_move(b, 3, 1, PLACE_TUB, PLACE_FRIDGE);
        add_move(b, 4, 1, PLACE_TUB, PLACE_TABLE);
    }
}

START_TEST(facts_that_contradict_each_other_are_refused_with_a_line)
{
    static const struct {
        void (*spoil)(struct morning *m);
        const char *says;
    } bad[] = {
        {ice_warm, "Ice at 1.0"},
        {act_ice_warm, "Ice at 3.0"},
        {act_negative, "less than nothing"},
        {acts_unordered, "order"},
        {too_many_jars, "9 of the"},
        {nobody_there, "0 stand there"},
        {moved_before, "before"},
        {read_before, "before"},
        {read_warm, "warmer than they were poured"},
        {read_twice, "one moment"},
        {read_hot, "cannot be"},
        {read_unordered, "out of order"},
        {no_jars, "0 jars"},
        {overfull, "do not go into"},
        {boiling, "not poured at 95"},
        {no_kind, "kind of jar"},
        {broken_kind, "above zero"},
        {never_poured, "not said when"},
        {too_many_moves, "at most 12 moves"},
        {backwards, "ended before"},
        {no_water_temp, "temperature"},
        {fill_unread, "needs its temperature"},
        {tub_hot, "cannot be"},
        {too_many_acts, "At most 48"},
        {negative_tub, "less than nothing"},
        {no_time, "what time it is"},
        {too_many_batches, "At most 16"},
        {table_backwards, "less than nothing"},
        {crowd, "more than 32 groups"},
    };
    static struct forecast out;
    struct morning m;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct fail f = {0};
        morning_usual(&m, 10);
        (void)add_batch(&m, "half-gallon", 2, 0);
        m.now = 10 * MINUTE;
        bad[i].spoil(&m);
        if (morning_check(&m, NULL) == 0) /* then it is the moves that cannot be */
            ck_assert_msg(strstr(bad[i].says, "stand there") != NULL || strstr(bad[i].says, "9 of") != NULL ||
                              strstr(bad[i].says, "groups") != NULL,
                          "%zu", i);
        ck_assert_msg(forecast_make(&m, &out, &f) == -1, "%zu was taken", i);
        ck_assert_msg(strstr(f.text, bad[i].says) != NULL, "%zu: %s", i, f.text);
        ck_assert_int_eq(f.code, FAIL_REFUSED);
    }
    struct fail f = {0};
    morning_usual(&m, 10);
    (void)add_batch(&m, "half-gallon", 2, 0);
    no_change(&m);
    ck_assert_int_eq(forecast_make(&m, &out, &f), 0);
    m.batches = 0;
    ck_assert_int_eq(forecast_make(&m, &out, &f), 0); /* a tub alone is a morning, too */
}
END_TEST

Suite *forecast_suite(void)
{
    Suite *s = suite_create("forecast");
    TCase *t = tcase_create("forecast");
    tcase_add_test(t, twenty_minutes_in_still_ice_water_will_not_do_and_the_board_says_what_will);
    tcase_add_test(t, thirty_minutes_in_moved_water_will_do);
    tcase_add_test(t, a_forecast_without_readings_agrees_with_a_plain_simulation);
    tcase_add_test(t, heat_that_left_the_milk_is_in_the_melted_ice);
    tcase_add_test(t, a_pull_at_the_earliest_moment_just_keeps_the_limit);
    tcase_add_test(t, staying_longer_never_hurts_until_the_latest_pull);
    tcase_add_test(t, part_of_a_batch_can_go_its_own_way_and_the_warmest_jars_decide);
    tcase_add_test(t, many_warm_jars_warm_the_refrigerator);
    tcase_add_test(t, acts_on_the_tub_change_what_follows);
    tcase_add_test(t, a_tub_that_was_read_is_believed);
    tcase_add_test(t, a_tub_of_which_nothing_is_known_is_as_cold_as_it_was_read);
    tcase_add_test(t, the_moment_when_the_ice_is_gone_is_told);
    tcase_add_test(t, while_milking_goes_on_the_deadline_is_the_earliest_it_can_be);
    tcase_add_test(t, what_has_been_reached_is_kept_and_what_has_not_is_missed);
    tcase_add_test(t, milk_that_got_cold_in_time_is_kept_though_the_tub_warms_later);
    tcase_add_test(t, advice_is_what_the_forecast_says_when_it_is_followed);
    tcase_add_test(t, every_remedy_and_place_has_its_word);
    tcase_add_test(t, jars_already_in_the_refrigerator_are_put_back_or_split);
    tcase_add_test(t, milk_that_is_split_cools_as_milk_poured_into_those_jars);
    tcase_add_test(t, too_little_ice_is_mended_by_as_much_as_the_heat_asks_for);
    tcase_add_test(t, better_cooling_is_never_slower);
    tcase_add_test(t, any_morning_gives_figures_that_hang_together);
    tcase_add_test(t, near_mornings_have_near_forecasts);
    tcase_add_test(t, the_same_facts_give_the_same_forecast);
    tcase_add_test(t, the_chart_covers_what_it_is_asked_to);
    tcase_add_test(t, a_working_goes_with_every_figure);
    tcase_add_test(t, facts_that_contradict_each_other_are_refused_with_a_line);
    suite_add_tcase(s, t);
    return s;
}
