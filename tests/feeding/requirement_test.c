/* NRC 2001, Nutrient Requirements of Dairy Cattle, where nothing else is named; the arithmetic of the vectors
 * was done by hand. */
#include "core/feeding/requirement.h"

#include <stddef.h>

#include "tests/support.h"

static const struct feeding_cow house_cow = {
    .weight_kg = 450, .milk_kg = 14, .fat_pct = 4.8, .protein_pct = NAN, .day_in_milk = 70, .calf_kg = NAN};

/* NEL1: 0.080 W^0.75. */
START_TEST(energy_for_maintenance)
{
    static const double rows[][2] = {{350, 6.474}, {400, 7.155},  {450, 7.816},  {500, 8.459}, {550, 9.086},
                                     {600, 9.698}, {650, 10.299}, {700, 10.887}, {800, 12.034}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        ck_within(energy_maintenance_mcal(rows[i][0]), rows[i][1], 6e-4);
    ck_within(energy_maintenance_mcal(450), 7.8163, 1e-4);
    ck_within(energy_maintenance_mcal(600), 9.6985, 1e-4);
    /* slope of the printed tables, 400 to 800 kg: 0.0122 Mcal per kg (regression of NRC tables) */
    ck_within((energy_maintenance_mcal(800) - energy_maintenance_mcal(400)) / 400, 0.0122, 5e-5);
}
END_TEST

/* NEL2: 0.360 + 0.0969 F, and the full form. */
START_TEST(energy_in_milk)
{
    static const double rows[][2] = {{3.0, 0.6507}, {3.5, 0.69915}, {4.0, 0.7476}, {4.5, 0.7960},
                                     {5.0, 0.8445}, {5.5, 0.8930},  {6.0, 0.9414}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        ck_within(energy_milk_mcal_per_kg(rows[i][0]), rows[i][1], 6e-5);
    ck_within(energy_milk_full_mcal_per_kg(4.0, 3.3, 4.85), 0.743685, 1e-6);
    ck_within(energy_milk_full_mcal_per_kg(5.0, 3.9, 4.8), 0.867430, 1e-6);
    ck_within(energy_milk_full_mcal_per_kg(3.5, 3.2, 4.85), 0.691765, 1e-6);
    /* 0.74 Mcal for a kg of 4 % milk: Moe, Flatt & Tyrrell 1972 */
    ck_within(energy_milk_mcal_per_kg(4.0), 0.74, 0.01);
}
END_TEST

/* NEL3: University of Kentucky ASC-135, Table 1 (after NRC 1989): a cow of 1300 lb on a diet of 0.75 Mcal/lb
 * dry matter; each lb of milk (3.5 % fat) takes 0.31 Mcal. */
START_TEST(more_feed_more_milk)
{
    static const int table[][2] = {{30, 42}, {35, 54}, {40, 66}, {45, 78}, {50, 90}, {55, 102}, {60, 114}};
    double maintenance = energy_maintenance_mcal(1300 * 0.45359237);
    ck_within(maintenance, 9.572972, 1e-6);
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
        ck_assert_int_eq((int)lround((0.75 * table[i][0] - maintenance) / 0.31), table[i][1]);
}
END_TEST

/* (0.00318 D - 0.0352)(CBW/45)/0.218, days 190 to 279. */
START_TEST(energy_for_the_calf)
{
    ck_within(energy_pregnancy_mcal(250, 45), 3.4853, 1e-4);
    ck_within(energy_pregnancy_mcal(250, 25), 1.9363, 1e-4);
    ck_assert(energy_pregnancy_mcal(189, 45) == 0);
    ck_assert(energy_pregnancy_mcal(190, 45) > 2);
    ck_within(energy_pregnancy_mcal(279, 45), 0.85202 / 0.218, 1e-9); /* 0.00318 x 279 - 0.0352, by hand */
    ck_within(energy_pregnancy_mcal(290, 45), 0.85202 / 0.218, 1e-9);
}
END_TEST

/* 0.00045 Mcal per kg and km; grazing 0.0012 and hills 0.006 per kg more. By hand for 500 kg. */
START_TEST(energy_for_walking)
{
    ck_within(energy_walking_mcal(500, 0, false, false), 0, 1e-12);
    ck_within(energy_walking_mcal(500, 2, false, false), 0.45, 1e-9);
    ck_within(energy_walking_mcal(500, 2, true, false), 1.05, 1e-9);
    ck_within(energy_walking_mcal(500, 2, true, true), 4.05, 1e-9);
}
END_TEST

/* DMI1, DMI2. Published: 680 kg, 35 and 55 kg of milk: 23.6 and 30.2 kg (NRC 2001, as quoted). */
START_TEST(dry_matter_intake)
{
    ck_within(intake_lactating_kg(680, 35, 3.5, 12), 23.6, 0.15);
    ck_within(intake_lactating_kg(680, 55, 3.5, 12), 30.2, 0.15);
    ck_within(intake_lactating_kg(680, 35, 3.5, 12), 23.70, 0.005);
    ck_within(intake_lactating_kg(680, 55, 3.5, 12), 30.25, 0.006);
    ck_within(intake_lactating_kg(450, 15, 5.0, 10), 14.7243, 1e-4);
    ck_within(intake_dry_kg(100, 255), 1.9563, 1e-4);
    ck_within(intake_dry_kg(100, 275), 1.6330, 1e-4);
    ck_within(intake_dry_kg(100, 279), 1.3309, 1e-4);
    ck_within(intake_dry_kg(100, 300), 1.22, 1e-9); /* past term she eats no less */
}
END_TEST

/* NRC 1989, from memory: 600 kg 406 g, 4 % fat 90 g/kg. */
START_TEST(crude_protein)
{
    ck_within(protein_maintenance_g(600), 406, 1e-9);
    ck_within(protein_maintenance_g(625), 417, 1e-9); /* half way to 428 at 650 */
    ck_within(protein_maintenance_g(400), 318, 1e-9);
    ck_within(protein_maintenance_g(850), 504, 1e-9); /* the last step carried on */
    static const double table[][2] = {{400, 318}, {450, 341}, {500, 364}, {550, 386}, {600, 406},
                                      {650, 428}, {700, 449}, {750, 468}, {800, 486}};
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
        ck_within(protein_maintenance_g(table[i][0]), table[i][1], 1e-9);
    /* lighter cows by W^0.75: 0.75^0.75 = 0.8059274 */
    ck_within(protein_maintenance_g(300), 318 * 0.8059274488, 1e-5);
    ck_within(protein_maintenance_g(400.5), 318.23, 1e-9); /* and the table from 400 kg on */
    static const double milk[][2] = {{3.0, 78}, {3.5, 84}, {4.0, 90}, {4.5, 96}, {5.0, 101}, {5.5, 107}};
    for (size_t i = 0; i < sizeof milk / sizeof milk[0]; i++)
        ck_within(protein_milk_g_per_kg(milk[i][0]), milk[i][1], 1e-9);
    ck_within(protein_milk_g_per_kg(4.0), 90, 1e-9);
    ck_within(protein_milk_g_per_kg(4.75), 98.5, 1e-9);
    ck_within(protein_milk_g_per_kg(6.0), 113, 1e-9);
    ck_within(protein_milk_g_per_kg(2.5), 72, 1e-9);
}
END_TEST

/* 450 kg, 14 kg at 4.8 %: 7.8163 + 11.5517 = 19.3679 Mcal, by hand. */
START_TEST(the_need_of_a_house_cow)
{
    struct feed_need n;
    struct feeding_cow cow = house_cow;
    struct fail f = {0};
    ck_assert_int_eq(feed_need_of(&cow, &n, NULL, &f), 0);
    ck_within(n.total_mcal, 19.3679, 1e-4);
    ck_within(n.milk_mcal, 11.5517, 1e-4);
    ck_within(n.intake_kg_dm, intake_lactating_kg(450, 14, 4.8, 10), 1e-9);
    ck_within(n.cp_g, 341 + 14 * 99, 1e-9); /* 450 kg; 96 + 0.3/0.5 * 5 at 4.8 % */
    cow.protein_pct = 3.9;
    cow.fat_pct = 5.0;
    ck_assert_int_eq(feed_need_of(&cow, &n, NULL, &f), 0);
    ck_within(n.milk_mcal, 14 * energy_milk_full_mcal_per_kg(5.0, 3.9, 4.85), 1e-9);
    cow.day_in_milk = 73; /* a part of a week counts */
    ck_assert_int_eq(feed_need_of(&cow, &n, NULL, &f), 0);
    ck_within(n.intake_kg_dm, intake_lactating_kg(450, 14, 5.0, 73 / 7.0), 1e-9);
    cow.day_in_milk = 0; /* not known: past the lag of appetite */
    ck_assert_int_eq(feed_need_of(&cow, &n, NULL, &f), 0);
    ck_within(n.intake_kg_dm, 0.372 * (0.4 + 0.15 * 5) * 14 + 0.0968 * pow(450, 0.75), 1e-9);
}
END_TEST

START_TEST(the_need_of_a_dry_cow_near_calving)
{
    struct feeding_cow cow = {.weight_kg = 600,
                              .fat_pct = 4,
                              .protein_pct = NAN,
                              .days_in_calf = 250,
                              .calf_kg = 45,
                              .grazing = true,
                              .walk_km = 1};
    struct feed_need n;
    ck_assert_int_eq(feed_need_of(&cow, &n, NULL, NULL), 0);
    ck_within(n.pregnancy_mcal, 3.4853, 1e-4);
    ck_within(n.activity_mcal, 600 * (0.00045 + 0.0012), 1e-9);
    ck_assert(n.milk_mcal == 0);
    ck_within(n.total_mcal, 9.6985 + 3.4853 + 0.99, 2e-4);
    ck_within(n.intake_kg_dm, intake_dry_kg(600, 250), 1e-9);
    ck_within(n.cp_g, 120 * n.intake_kg_dm, 1e-9);
    /* last two months in calf take 0.016 Mcal per kg beside 0.0122 for maintenance (regression of NRC tables)
     */
    cow.calf_kg = NAN;
    ck_assert_int_eq(feed_need_of(&cow, &n, NULL, NULL), 0);
    ck_within(n.pregnancy_mcal, energy_pregnancy_mcal(250, 0.06275 * 600), 1e-9);
}
END_TEST

START_TEST(cows_that_cannot_be_are_refused)
{
    /* clang-format off */
    static const struct {
        double weight, milk, fat, protein, km;
        int day, calf;
        const char *line;
    } rows[] = {
        {40,  10, 4,   NAN, 0,  10, 0,   "A cow of 40 kg cannot be meant; 150 to 1100 kg (330 to 2400 lb) can." },
        {NAN, 10, 4,   NAN, 0,  10, 0,   "A cow of nan kg cannot be meant; 150 to 1100 kg (330 to 2400 lb) can."},
        {450, 90, 4,   NAN, 0,  10, 0,   "90 kg of milk a day cannot be meant; 0 to 80 kg (176 lb) can."        },
        {450, 10, 0.5, NAN, 0,  10, 0,   "Milk of 0.5 % fat cannot be meant; 1 to 10 % can."                    },
        {450, 10, 4,   9,   0,  10, 0,   "Milk of 9.0 % protein cannot be meant; 1 to 8 % can."                 },
        {450, 10, 4,   NAN, 0,  10, 400,
         "Days in milk and in calf are counted from 0; a cow carries about 280 days."                           },
        {450, 10, 4,   NAN, 50, 10, 0,   "50 km a day cannot be meant; 0 to 30 can."                            },
    };
    /* clang-format on */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct feeding_cow cow = {.weight_kg = rows[i].weight,
                                  .milk_kg = rows[i].milk,
                                  .fat_pct = rows[i].fat,
                                  .protein_pct = rows[i].protein,
                                  .day_in_milk = rows[i].day,
                                  .days_in_calf = rows[i].calf,
                                  .calf_kg = NAN,
                                  .walk_km = rows[i].km};
        struct feed_need n;
        struct fail f = {0};
        ck_assert_int_eq(feed_need_of(&cow, &n, NULL, &f), -1);
        ck_assert_str_eq(f.text, rows[i].line);
    }
}
END_TEST

/* As requirement.h states them: a limit itself can be meant, a hair beyond it cannot. */
START_TEST(the_limits_themselves_can_be_meant)
{
    static const struct {
        size_t member;
        double low, high;
    } rows[] = {
        {offsetof(struct feeding_cow, weight_kg), 150, 1100}, {offsetof(struct feeding_cow, milk_kg), 0, 80},
        {offsetof(struct feeding_cow, fat_pct), 1, 10},       {offsetof(struct feeding_cow, protein_pct), 1, 8},
        {offsetof(struct feeding_cow, walk_km), 0, 30},
    };
    struct feed_need n;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const double low = rows[i].low, high = rows[i].high;
        const double tried[] = {low, high, nextafter(low, -INFINITY), nextafter(high, INFINITY)};
        for (int k = 0; k < 4; k++) {
            struct feeding_cow cow = house_cow;
            memcpy((char *)&cow + rows[i].member, &tried[k], sizeof tried[k]);
            ck_assert_msg(feed_need_of(&cow, &n, NULL, NULL) == (k < 2 ? 0 : -1), "row %zu, %.17g", i, tried[k]);
        }
    }
    static const struct {
        int day, calf, result;
    } days[] = {{0, 0, 0}, {0, 330, 0}, {-1, 0, -1}, {0, -1, -1}, {0, 331, -1}};
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        struct feeding_cow cow = house_cow;
        cow.day_in_milk = days[i].day;
        cow.days_in_calf = days[i].calf;
        ck_assert_int_eq(feed_need_of(&cow, &n, NULL, NULL), days[i].result);
    }
}
END_TEST

/* 12 % of a dry cow's dry matter from the day from which the calf's energy counts, 190 (NRC 2001, from memory). */
START_TEST(protein_of_a_dry_cow_turns_on_day_190)
{
    struct feeding_cow cow = {.weight_kg = 600, .fat_pct = 4, .protein_pct = NAN, .days_in_calf = 190, .calf_kg = 45};
    struct feed_need n;
    ck_assert_int_eq(feed_need_of(&cow, &n, NULL, NULL), 0);
    ck_within(n.cp_g, 120 * intake_dry_kg(600, 190), 1e-9);
    cow.days_in_calf = 189;
    ck_assert_int_eq(feed_need_of(&cow, &n, NULL, NULL), 0);
    ck_within(n.cp_g, 406, 1e-9);
}
END_TEST

static int said(const struct working *w, const char *words)
{
    int n = 0;
    for (size_t i = 0; i < w->step_count; i++)
        n += strstr(w->step[i], words) != NULL;
    return n;
}

static bool given(const struct working *w, const char *name)
{
    for (size_t i = 0; i < w->given_count; i++)
        if (strcmp(w->given[i].name, name) == 0)
            return true;
    return false;
}

/* What went into the figure is said, and nothing else. */
START_TEST(the_working_says_what_counted)
{
    struct feeding_cow milked = house_cow, dry = {.weight_kg = 600, .fat_pct = 4, .protein_pct = NAN, .calf_kg = 45};
    struct feed_need n;
    struct water_need water;
    struct working w;
    working_init(&w, "need");
    ck_assert_int_eq(feed_need_of(&milked, &n, &w, NULL), 0);
    ck_assert(said(&w, "milk 14.0 kg x 0.8251 Mcal/kg = 11.55 Mcal") == 1 && said(&w, "FCM") == 1 && said(&w, "dry 1.97") == 0);
    ck_assert(said(&w, "walking") == 0 && said(&w, "the calf") == 0 && !given(&w, "calf_kg") && !given(&w, "protein_pct"));
    milked.protein_pct = 3.4;
    milked.walk_km = 1;
    working_init(&w, "need");
    ck_assert_int_eq(feed_need_of(&milked, &n, &w, NULL), 0);
    ck_assert(given(&w, "protein_pct") && given(&w, "lactose_pct"));
    ck_assert(said(&w, "walking and grazing 0.20 Mcal") == 1); /* 450 x 0.00045 */
    dry.days_in_calf = 250;
    working_init(&w, "need");
    ck_assert_int_eq(feed_need_of(&dry, &n, &w, NULL), 0);
    ck_assert(said(&w, "milk ") == 0 && said(&w, "FCM") == 0 && said(&w, "dry 1.97") == 1);
    ck_assert(said(&w, "the calf, day 250: 3.49 Mcal") == 1 && given(&w, "calf_kg"));
    working_init(&w, "water");
    water_need_of(20, 10, 0, true, &water, &w);
    ck_assert_int_eq(said(&w, "in heat have at least 189 L (50 gal)"), 1);
    working_init(&w, "water");
    water_need_of(20, 10, 0, false, &water, &w);
    ck_assert_int_eq(said(&w, "in heat"), 0);
}
END_TEST

/* WAT1: 70 lb of milk at 4.5 lb of water each: 315 lb, 37.7 gal of 8.345 lb. Observed: a cow giving 70 lb
 * drinks almost 24 gal; plan for 30 to 50 gal in heat (Extension). */
START_TEST(water)
{
    struct water_need n;
    double milk_kg = 70 * 0.45359237;
    water_need_of(milk_kg, 20, 0, false, &n, NULL);
    ck_within(n.total_l / 3.785411784, 37.7, 0.1);
    ck_within(n.low_l, 4 * milk_kg, 1e-9);
    ck_within(n.high_l, 5 * milk_kg, 1e-9);
    ck_assert(n.plan_l == n.high_l && n.drink_l == n.total_l);
    water_need_of(milk_kg, 20, 50, true, &n, NULL); /* on pasture feed brings a good part */
    ck_within(n.drink_l, n.total_l - 50, 1e-9);
    ck_within(n.plan_l / 3.785411784, 50, 1e-9);
    water_need_of(0, 9, 60, false, &n, NULL); /* dry: by the dry matter; never less than nothing */
    ck_within(n.total_l, 40.5, 1e-9);
    ck_assert(n.drink_l == 0);
}
END_TEST

Suite *requirement_suite(void)
{
    Suite *s = suite_create("requirement");
    TCase *t = tcase_create("requirement");
    tcase_add_test(t, energy_for_maintenance);
    tcase_add_test(t, energy_in_milk);
    tcase_add_test(t, more_feed_more_milk);
    tcase_add_test(t, energy_for_the_calf);
    tcase_add_test(t, energy_for_walking);
    tcase_add_test(t, dry_matter_intake);
    tcase_add_test(t, crude_protein);
    tcase_add_test(t, the_need_of_a_house_cow);
    tcase_add_test(t, the_need_of_a_dry_cow_near_calving);
    tcase_add_test(t, cows_that_cannot_be_are_refused);
    tcase_add_test(t, water);
    tcase_add_test(t, the_limits_themselves_can_be_meant);
    tcase_add_test(t, protein_of_a_dry_cow_turns_on_day_190);
    tcase_add_test(t, the_working_says_what_counted);
    suite_add_tcase(s, t);
    return s;
}
