/* The odds are worked out by hand from three published numbers: two services per conception (Extension,
 * optimal calving interval), 14.4 % of cows in calf show heat (Hall, Branton & Stone), half of heats are
 * missed (Penn State). */
#include "core/breeding/pregnancy.h"
#include "tests/breeding/day.h"

enum { MAX = 8 };

/* One cow's records, filled by the tests in order of days; day 0 is 1 January 2026. */
static struct {
    struct calving calvings[MAX];
    struct heat heats[MAX];
    struct service services[MAX];
    struct check checks[MAX];
    struct date losses[MAX];
    struct breeding b;
} her;

static struct date at(int days)
{
    return date_add(day("2026-01-01"), days);
}

static void no_records(void)
{
    memset(&her, 0, sizeof her);
    her.b = (struct breeding){.born_on = DATE_NONE,
                              .calvings = her.calvings,
                              .heats = her.heats,
                              .services = her.services,
                              .checks = her.checks,
                              .losses = her.losses};
}

static void calved(int days)
{
    her.calvings[her.b.calving_count++] = (struct calving){.on = at(days), .calves = 1};
}

static struct service *served(int days, enum service_kind kind)
{
    struct service *s = &her.services[her.b.service_count++];
    *s = (struct service){.on = at(days), .to_on = DATE_NONE, .kind = kind};
    return s;
}

static void in_heat(int days, unsigned signs)
{
    her.heats[her.b.heat_count++] = (struct heat){.at = date_start(at(days)), .signs = signs};
}

static struct check *checked(int days, enum check_method method, enum check_result result)
{
    struct check *c = &her.checks[her.b.check_count++];
    *c = (struct check){.on = at(days), .method = method, .result = result};
    return c;
}

static struct pregnancy judged(int days)
{
    struct pregnancy p;
    pregnancy_judge(&her.b, at(days), &p, NULL);
    return p;
}

START_TEST(a_cow_not_served_is_not_in_calf)
{
    char text[80];
    struct pregnancy p = judged(10);
    ck_assert_int_eq(p.state, PREGNANCY_NOT_SERVED);
    ck_assert(p.chance == 0 && p.by == NULL && !date_known(p.conceived_on));
    ck_assert_str_eq(pregnancy_text(&p, at(10), text, sizeof text), "open, not served");
    calved(0);
    p = judged(75);
    ck_assert_str_eq(pregnancy_text(&p, at(75), text, sizeof text), "open 75 d, not served");
}
END_TEST

START_TEST(every_second_service_takes_and_silence_is_weak_proof)
{
    /* clang-format off */
    static const struct {
        int days;
        enum pregnancy_state state;
        double chance;
        const char *text;
    } rows[] = {
        {12,  PREGNANCY_RETURN_DUE, 0.5,                                  "bred 12 d, watch from 19 Jan"},
        {17,  PREGNANCY_RETURN_DUE, 0.5,                                  "bred 17 d, watch from 19 Jan"},
        {18,  PREGNANCY_RETURN_DUE, 0.5,                                  "bred 18 d, watch for heat"},
        {24,  PREGNANCY_RETURN_DUE, 0.5,                                  "bred 24 d, watch for heat"},
        {25,  PREGNANCY_UNPROVEN,   0.5 * 0.856 / (0.5 * 0.856 + 0.25),   "bred 25 d, no heat seen"                   },
        {45,  PREGNANCY_UNPROVEN,   0.5 * 0.856 / (0.5 * 0.856 + 0.25),   "bred 45 d, check due"                      },
        {46,  PREGNANCY_UNPROVEN,   0.5 * 0.856 / (0.5 * 0.856 + 0.125),  "bred 46 d, check due"                      },
        {67,  PREGNANCY_UNPROVEN,   0.5 * 0.856 / (0.5 * 0.856 + 0.0625), "bred 67 d, check due"                      },
        {200, PREGNANCY_UNPROVEN,   0.5 * 0.856 / (0.5 * 0.856 + 0.0625), "bred 200 d, check due"                     },
    };
    /* clang-format on */
    char text[80];
    served(0, SERVICE_AI);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct pregnancy p = judged(rows[i].days);
        ck_assert_int_eq(p.state, rows[i].state);
        ck_within(p.chance, rows[i].chance, 1e-12);
        ck_assert_str_eq(pregnancy_text(&p, at(rows[i].days), text, sizeof text), rows[i].text);
        ck_assert(p.by == &her.services[0]);
        ck_day(p.conceived_on, "2026-01-01");
    }
}
END_TEST

START_TEST(a_heat_after_service_says_open_but_not_for_sure)
{
    char text[80];
    calved(-60);
    served(0, SERVICE_AI);
    in_heat(21, HEAT_STANDING);
    in_heat(22, HEAT_MOUNTS | HEAT_MUCUS); /* the same heat */
    struct pregnancy p = judged(23);
    ck_assert_int_eq(p.state, PREGNANCY_OPEN);
    ck_within(p.chance, 0.5 * 0.144 / (0.5 * 0.144 + 0.5), 1e-12);
    ck_assert_str_eq(pregnancy_text(&p, at(23), text, sizeof text), "open 83 d, did not hold");
}
END_TEST

START_TEST(one_vague_sign_or_one_near_the_service_decides_nothing)
{
    served(0, SERVICE_AI);
    in_heat(2, HEAT_STANDING);
    in_heat(20, HEAT_LESS_MILK);
    struct pregnancy p = judged(22);
    ck_assert_int_eq(p.state, PREGNANCY_RETURN_DUE);
    ck_within(p.chance, 0.5, 1e-12);
}
END_TEST

/* How often the methods err is from memory: ultrasound sees 97 % of calves and 3 % of none. */
START_TEST(a_valid_check_decides)
{
    char text[80];
    served(0, SERVICE_AI);
    checked(30, CHECK_ULTRASOUND, CHECK_IN_CALF)->twins = true;
    struct pregnancy p = judged(30);
    ck_assert_int_eq(p.state, PREGNANCY_IN_CALF);
    ck_within(p.chance, 0.5 * 0.856 * 0.97 / (0.5 * 0.856 * 0.97 + 0.25 * 0.03), 1e-12);
    ck_assert(p.twins && !p.check_stale);
    ck_assert_str_eq(pregnancy_text(&p, at(30), text, sizeof text), "in calf 30 d, twins");
    p = judged(60); /* look again about day 60 */
    ck_assert(p.check_stale);
    ck_assert_str_eq(pregnancy_text(&p, at(60), text, sizeof text), "in calf 60 d, twins, check again");
    checked(62, CHECK_PALPATION, CHECK_IN_CALF);
    p = judged(70);
    ck_assert(!p.check_stale && !p.twins); /* the later look counts */
    checked(90, CHECK_ULTRASOUND, CHECK_OPEN);
    p = judged(90);
    ck_assert_int_eq(p.state, PREGNANCY_OPEN);
    /* it overrules the earlier ones: only service, quiet cycles and itself count */
    ck_within(p.chance, 0.5 * 0.856 * 0.03 / (0.5 * 0.856 * 0.03 + 0.0625 * 0.97), 1e-12);
}
END_TEST

/* Valid windows: progesterone 19 to 24 (Vet. Rec. 96:34), ultrasound 28, palpation 35, blood or milk proteins
 * 28 days after service and 60 after calving (from memory). */
START_TEST(a_check_outside_its_days_says_nothing)
{
    /* clang-format off */
    static const struct {
        int day;
        enum check_method method;
        bool tells;
    } rows[] = {
        {18, CHECK_PROGESTERONE, false},
        {19, CHECK_PROGESTERONE, true },
        {24, CHECK_PROGESTERONE, true },
        {25, CHECK_PROGESTERONE, false},
        {27, CHECK_ULTRASOUND,   false},
        {28, CHECK_ULTRASOUND,   true },
        {34, CHECK_PALPATION,    false},
        {35, CHECK_PALPATION,    true },
        {27, CHECK_PAG,          false},
        {28, CHECK_PAG,          true },
    };
    /* clang-format on */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        no_records();
        calved(-40);
        served(0, SERVICE_AI);
        double before = judged(rows[i].day).chance;
        checked(rows[i].day, rows[i].method, CHECK_IN_CALF);
        struct pregnancy p = judged(rows[i].day);
        ck_assert_int_eq(p.state == PREGNANCY_IN_CALF, rows[i].tells);
        if (rows[i].tells)
            ck_assert(p.chance > before + 0.1);
        else
            ck_within(p.chance, before, 1e-12);
    }
    no_records();
    calved(-25); /* day 30 is day 55 after calving: the last calf may still show */
    served(0, SERVICE_AI);
    checked(30, CHECK_PAG, CHECK_IN_CALF);
    ck_assert_int_eq(judged(30).state, PREGNANCY_UNPROVEN);
    her.checks[0].result = CHECK_OPEN; /* but "open" is told at any time */
    ck_assert_int_eq(judged(30).state, PREGNANCY_OPEN);
}
END_TEST

START_TEST(a_check_chooses_among_services)
{
    served(0, SERVICE_AI);
    served(21, SERVICE_AI);
    checked(60, CHECK_ULTRASOUND, CHECK_IN_CALF);
    struct pregnancy p = judged(60);
    ck_assert(p.by == &her.services[1]); /* she was in heat again at the second */
    ck_within(p.by_chance, 0.25 / (0.25 + 0.5 * 0.144), 1e-9);
    in_heat(21, HEAT_STANDING); /* the heat at which she was served: no news */
    ck_within(judged(60).by_chance, p.by_chance, 1e-12);
    her.checks[0].stage_days = 60; /* judged as old as the first service */
    p = judged(60);
    ck_assert(p.by == &her.services[0]);
    ck_day(p.conceived_on, "2026-01-01");
    her.checks[0].stage_days = 40;
    ck_assert(judged(60).by == &her.services[1]);
    /* on day 45 ultrasound sees the first (45 d), not the second (24 d) */
    her.checks[0] = (struct check){.on = at(45), .method = CHECK_ULTRASOUND, .result = CHECK_IN_CALF};
    ck_assert(judged(45).by == &her.services[0]);
    her.checks[0].result = CHECK_OPEN; /* and says nothing about the second */
    p = judged(45);
    ck_assert_int_eq(p.state, PREGNANCY_RETURN_DUE);
    ck_assert(p.by == &her.services[1]);
}
END_TEST

START_TEST(an_open_check_clears_the_services_before_it)
{
    served(0, SERVICE_AI);
    checked(40, CHECK_ULTRASOUND, CHECK_OPEN);
    served(60, SERVICE_AI);
    checked(100, CHECK_ULTRASOUND, CHECK_IN_CALF);
    struct pregnancy p = judged(100);
    ck_assert_int_eq(p.state, PREGNANCY_IN_CALF);
    ck_assert(p.by == &her.services[1]);
    /* first: took, seen in heat at the second, missed by the first check; second: took, rightly open before
     */
    double first = 0.5 * 0.144 * 0.03, second = 0.25 * 0.97;
    ck_within(p.by_chance, second / (first + second), 1e-9);
}
END_TEST

START_TEST(a_heat_or_service_after_a_good_check_puts_it_in_doubt)
{
    char text[80];
    served(0, SERVICE_AI);
    checked(35, CHECK_ULTRASOUND, CHECK_IN_CALF);
    in_heat(63, HEAT_STANDING);
    struct pregnancy p = judged(64);
    ck_assert_int_eq(p.state, PREGNANCY_DOUBTFUL);
    ck_assert_str_eq(pregnancy_text(&p, at(64), text, sizeof text), "bred 64 d, in doubt: check again");
    ck_assert(p.chance < judged(62).chance);
    her.b.heat_count = 0;
    served(63, SERVICE_AI);
    ck_assert_int_eq(judged(64).state, PREGNANCY_DOUBTFUL);
    checked(70, CHECK_ULTRASOUND, CHECK_DOUBTFUL);
    ck_assert_int_eq(judged(70).state, PREGNANCY_DOUBTFUL);
}
END_TEST

START_TEST(a_loss_or_a_calving_begins_anew)
{
    char text[80];
    served(0, SERVICE_AI);
    checked(35, CHECK_ULTRASOUND, CHECK_IN_CALF);
    her.losses[her.b.loss_count++] = at(90);
    struct pregnancy p = judged(102);
    ck_assert_int_eq(p.state, PREGNANCY_LOST);
    ck_assert(p.chance == 0);
    ck_assert_str_eq(pregnancy_text(&p, at(102), text, sizeof text), "lost her calf 12 d ago, not served");
    served(110, SERVICE_BULL);
    p = judged(115);
    ck_assert_int_eq(p.state, PREGNANCY_RETURN_DUE);
    ck_assert_int_eq(p.services, 1);
    ck_within(p.chance, 0.5, 1e-12);
    calved(389);
    p = judged(400);
    ck_assert_int_eq(p.state, PREGNANCY_NOT_SERVED);
    ck_day(p.since_on, "2027-01-25");
}
END_TEST

START_TEST(what_happens_later_is_not_known_yet)
{
    served(0, SERVICE_AI);
    served(21, SERVICE_AI);
    in_heat(42, HEAT_STANDING);
    checked(60, CHECK_ULTRASOUND, CHECK_IN_CALF);
    struct pregnancy p = judged(10);
    ck_assert_int_eq(p.services, 1);
    ck_within(p.chance, 0.5, 1e-12);
}
END_TEST

/* Bull with her for 42 days: half of those open conceive in each 21, so the first half holds 1/2, the second
 * 1/4, and 1/4 stay open. */
START_TEST(a_bull_in_the_field_makes_a_window)
{
    char text[80];
    served(0, SERVICE_FIELD)->to_on = at(41);
    struct pregnancy p = judged(50);
    ck_assert_int_eq(p.state, PREGNANCY_RETURN_DUE);
    ck_within(p.chance, 0.75, 1e-9);
    ck_within(day_chances_between(&p.conception, at(0), at(20)), 0.5 / 0.75, 1e-9);
    ck_within(day_chances_total(&p.conception), 1, 1e-12);
    her.services[0].to_on = DATE_NONE; /* still there */
    p = judged(30);
    ck_assert(p.with_bull);
    ck_assert_str_eq(pregnancy_text(&p, at(30), text, sizeof text), "with the bull 30 d");
    ck_within(p.chance, 1 - pow(0.5, 31.0 / 21), 1e-9);
    her.services[0].to_on = at(41);
    checked(90, CHECK_PALPATION, CHECK_IN_CALF)->stage_days = 60; /* about day 30, give or take a week */
    p = judged(90);
    ck_assert_int_eq(p.state, PREGNANCY_IN_CALF);
    ck_assert(abs(date_diff(at(30), p.conceived_on)) <= 3);
}
END_TEST

START_TEST(a_bought_cow_conceived_on_any_day_of_the_window)
{
    served(0, SERVICE_UNSEEN)->to_on = at(99);
    struct pregnancy p = judged(100);
    ck_within(p.chance, 0.5, 1e-9);
    for (int i = 0; i < 100; i++)
        if (fabs(day_chances_between(&p.conception, at(i), at(i)) - 0.01) > 1e-9)
            ck_abort_msg("day %d holds %g", i, day_chances_between(&p.conception, at(i), at(i)));
    ck_day(p.conceived_on, "2026-02-19"); /* day 49: the middle */
}
END_TEST

START_TEST(a_check_without_any_service_assumes_one)
{
    char text[80];
    calved(-300);
    checked(0, CHECK_PALPATION, CHECK_IN_CALF)->stage_days = 90;
    struct pregnancy p = judged(5);
    ck_assert_int_eq(p.state, PREGNANCY_IN_CALF);
    ck_assert(p.by == NULL && p.services == 0);
    ck_assert(abs(date_diff(at(-90), p.conceived_on)) <= 2);
    in_heat(20, HEAT_STANDING);
    p = judged(21);
    ck_assert_str_eq(pregnancy_text(&p, at(21), text, sizeof text), "in doubt: check again");
}
END_TEST

/* GES3: 18 June 2025 + 279 = 24 March 2026; a service 21 days later would be 258 days. */
START_TEST(the_calving_itself_picks_the_service)
{
    struct gestation g = {.days = 279, .mean_days = 279, .sd_days = 4.8};
    struct date on;
    double chance;
    served(date_diff(day("2026-01-01"), day("2025-06-18")), SERVICE_AI);
    served(date_diff(day("2026-01-01"), day("2025-07-09")), SERVICE_AI);
    ck_assert(pregnancy_behind(&her.b, day("2026-03-24"), &g, &on, &chance) == &her.services[0]);
    ck_day(on, "2025-06-18");
    ck_assert(chance > 0.99);
    ck_assert(pregnancy_behind(&her.b, day("2026-04-14"), &g, &on, &chance) == &her.services[1]);
    ck_assert(pregnancy_behind(&her.b, day("2025-12-24"), &g, &on, &chance) == NULL);
    ck_assert(!date_known(on));
    calved(date_diff(day("2026-01-01"), day("2025-06-30"))); /* a calving between voids the first */
    ck_assert(pregnancy_behind(&her.b, day("2026-03-24"), &g, &on, NULL) == NULL ||
              on.days == day("2025-07-09").days);
}
END_TEST

/* Simulated cows, made without the model's code: the chance that is shown is the share that is in calf. */
START_TEST(of_cows_with_that_chance_that_many_are_in_calf)
{
    struct stream s = {99};
    int quiet = 0, quiet_calf = 0, returned = 0, returned_calf = 0;
    for (int i = 0; i < 200000; i++) {
        bool calf = stream_below(&s, 2) == 0;
        bool seen = stream_uniform(&s, 0, 1) < (calf ? 0.144 : 0.5);
        quiet += !seen;
        quiet_calf += !seen && calf;
        returned += seen;
        returned_calf += seen && calf;
    }
    served(0, SERVICE_AI);
    ck_within(judged(30).chance, (double)quiet_calf / quiet, 0.01);
    in_heat(21, HEAT_STANDING);
    /* a cow seen in heat: an open one is seen in half the cases, and the odds take her heat as seen at all */
    double odds = judged(22).chance / (1 - judged(22).chance);
    ck_within(odds, 0.144, 1e-9);
    ck_assert(returned_calf > 0 && returned > returned_calf);
}
END_TEST

START_TEST(the_calving_chances_carry_the_doubt)
{
    struct gestation g = {.days = 279, .mean_days = 279, .sd_days = 4.8};
    struct day_chances c;
    served(0, SERVICE_AI);
    struct pregnancy p = judged(30);
    ck_assert(pregnancy_calving(&p, &g, at(30), &c));
    ck_within(day_chances_total(&c), p.chance, 1e-9);
    ck_day(day_chances_likeliest(&c), "2026-10-07");
    /* not calved by day 300: hardly in calf any more */
    ck_assert(pregnancy_calving(&p, &g, at(300), &c));
    ck_assert(day_chances_total(&c) < 0.01);
    p = judged(331); /* longer ago than any gestation */
    ck_assert_int_eq(p.state, PREGNANCY_NOT_SERVED);
    ck_assert(!pregnancy_calving(&p, &g, at(331), &c));
}
END_TEST

START_TEST(the_case_for_the_gestation_comes_from_her_records)
{
    struct gestation_breed breed;
    struct gestation_case c;
    ck_assert_int_eq(gestation_breed_or_usual("Jersey", &breed, NULL), 0);
    served(0, SERVICE_AI)->sire_days = 1.5;
    checked(30, CHECK_ULTRASOUND, CHECK_IN_CALF)->twins = true;
    struct pregnancy p = judged(40);
    pregnancy_case(&her.b, &p, &breed, 0, &c);
    ck_assert(c.heifer && c.twins && c.sire_days == 1.5 && c.own_days == 0);
    her.b.calvings_before = 1;
    pregnancy_case(&her.b, &p, &breed, 281, &c);
    ck_assert(!c.heifer && c.own_days == 281);
}
END_TEST

START_TEST(a_bull_calf_that_was_seen_is_carried_a_day_longer)
{
    /* One day between the sexes: as tests/breeding/gestation_test.c has it from its source. */
    struct gestation_breed breed;
    struct gestation_case c;
    struct gestation bull, heifer;
    ck_assert_int_eq(gestation_breed_or_usual("Jersey", &breed, NULL), 0);
    served(0, SERVICE_AI);
    checked(70, CHECK_ULTRASOUND, CHECK_IN_CALF)->calf = CALF_BULL;
    struct pregnancy p = judged(80);
    pregnancy_case(&her.b, &p, &breed, 0, &c);
    ck_assert_int_eq(c.calf, CALF_BULL);
    ck_assert_int_eq(gestation_of(&c, &bull, NULL, NULL), 0);
    c.calf = CALF_HEIFER;
    ck_assert_int_eq(gestation_of(&c, &heifer, NULL, NULL), 0);
    ck_within(bull.mean_days - heifer.mean_days, 1, 1e-9);
    /* Of twins the sex of one says nothing of the other. */
    checked(75, CHECK_ULTRASOUND, CHECK_IN_CALF)->twins = true;
    p = judged(80);
    pregnancy_case(&her.b, &p, &breed, 0, &c);
    ck_assert(c.twins && c.calf == CALF_UNKNOWN);
}
END_TEST

START_TEST(ways_of_checking_are_read)
{
    enum check_method m;
    struct fail f = {0};
    for (int i = 0; i < CHECK_METHODS; i++) {
        ck_assert_int_eq(check_method_parse(check_method_facts((enum check_method)i)->word, &m, NULL), 0);
        ck_assert_int_eq(m, i);
    }
    ck_assert_int_eq(check_method_parse("guess", &m, &f), -1);
    ck_assert_str_eq(f.text,
                     "\"guess\" is not a way of checking; write progesterone, ultrasound, palpation or pag.");
}
END_TEST

Suite *pregnancy_suite(void)
{
    Suite *s = suite_create("pregnancy");
    TCase *t = tcase_create("pregnancy");
    tcase_add_checked_fixture(t, no_records, NULL);
    tcase_add_test(t, a_cow_not_served_is_not_in_calf);
    tcase_add_test(t, every_second_service_takes_and_silence_is_weak_proof);
    tcase_add_test(t, a_heat_after_service_says_open_but_not_for_sure);
    tcase_add_test(t, one_vague_sign_or_one_near_the_service_decides_nothing);
    tcase_add_test(t, a_valid_check_decides);
    tcase_add_test(t, a_check_outside_its_days_says_nothing);
    tcase_add_test(t, a_check_chooses_among_services);
    tcase_add_test(t, an_open_check_clears_the_services_before_it);
    tcase_add_test(t, a_heat_or_service_after_a_good_check_puts_it_in_doubt);
    tcase_add_test(t, a_loss_or_a_calving_begins_anew);
    tcase_add_test(t, what_happens_later_is_not_known_yet);
    tcase_add_test(t, a_bull_in_the_field_makes_a_window);
    tcase_add_test(t, a_bought_cow_conceived_on_any_day_of_the_window);
    tcase_add_test(t, a_check_without_any_service_assumes_one);
    tcase_add_test(t, the_calving_itself_picks_the_service);
    tcase_add_test(t, of_cows_with_that_chance_that_many_are_in_calf);
    tcase_add_test(t, the_calving_chances_carry_the_doubt);
    tcase_add_test(t, the_case_for_the_gestation_comes_from_her_records);
    tcase_add_test(t, a_bull_calf_that_was_seen_is_carried_a_day_longer);
    tcase_add_test(t, ways_of_checking_are_read);
    suite_add_tcase(s, t);
    return s;
}
