/* Rations, added up by hand. */
#include "core/feeding/ration.h"
#include "tests/support.h"

static const struct feed hay = {"hay", FEED_FORAGE, 80, 10, 1.0, ""};
static const struct feed grain = {"grain", FEED_GRAIN, 90, 20, 2.0, ""};

static const struct feeding_cow cow = {
    .weight_kg = 450, .milk_kg = 14, .fat_pct = 4.8, .protein_pct = NAN, .day_in_milk = 70, .calf_kg = NAN};

/* 10 kg hay: 8 kg dry matter, 8 Mcal, 800 g; 5 kg grain: 4.5, 9 Mcal, 900 g. */
START_TEST(what_two_feeds_bring)
{
    struct ration_item items[] = {{hay, 10}, {grain, 5}};
    struct ration_balance b;
    ck_assert_int_eq(ration_balance_of(&cow, items, 2, &b, NULL, NULL), 0);
    ck_within(b.sum.fed_kg, 15, 1e-12);
    ck_within(b.sum.dm_kg, 12.5, 1e-12);
    ck_within(b.sum.have_mcal, 17, 1e-12);
    ck_within(b.sum.cp_g, 1700, 1e-9);
    ck_within(b.sum.cp_pct, 13.6, 1e-9);
    ck_within(b.sum.forage_pct, 64, 1e-9);
    ck_within(b.sum.water_l, 2.5, 1e-9);
    ck_within(b.balance_mcal, 17 - 19.3679, 1e-4); /* 450 kg, 14 kg at 4.8 % */
    ck_within(b.balance_cp_g, 1700 - 1727, 1e-9);
    ck_within(b.left_kg_dm, b.need.intake_kg_dm - 12.5, 1e-12);
    /* energy left for milk: 17 - 7.8163 = 9.1837 Mcal at 0.82512 a kg */
    ck_within(b.milk_by_energy_kg, 9.1837 / 0.82512, 1e-3);
    /* the calf comes before the milk: 45 kg, day 250, 3.4853 Mcal */
    struct feeding_cow in_calf = cow;
    in_calf.days_in_calf = 250;
    in_calf.calf_kg = 45;
    ck_assert_int_eq(ration_balance_of(&in_calf, items, 2, &b, NULL, NULL), 0);
    ck_within(b.milk_by_energy_kg, (9.1837 - 3.4853) / 0.82512, 1e-3);
}
END_TEST

START_TEST(free_choice_fills_her_up)
{
    struct ration_item items[] = {{hay, NAN}, {grain, 5}};
    struct ration_balance b;
    struct fail f = {0};
    ck_assert_int_eq(ration_balance_of(&cow, items, 2, &b, NULL, NULL), 0);
    ck_within(b.left_kg_dm, 0, 1e-9);
    ck_within(b.sum.free_kg, (b.need.intake_kg_dm - 4.5) / 0.8, 1e-9);
    items[1].fed_kg = 40; /* more than she can eat: none of the hay */
    ck_assert_int_eq(ration_balance_of(&cow, items, 2, &b, NULL, NULL), 0);
    ck_assert(b.sum.free_kg == 0 && b.left_kg_dm < 0);
    items[1].fed_kg = NAN;
    ck_assert_int_eq(ration_balance_of(&cow, items, 2, &b, NULL, &f), -1);
    ck_assert_str_eq(f.text, "Only one feed can be free choice; weigh hay or grain.");
    items[0].fed_kg = -1;
    items[1].fed_kg = 5;
    ck_assert_int_eq(ration_balance_of(&cow, items, 2, &b, NULL, &f), -1);
}
END_TEST

START_TEST(nothing_fed_has_no_protein_per_cent)
{
    struct ration_balance b;
    struct working w;
    working_init(&w, "ration");
    ck_assert_int_eq(ration_balance_of(&cow, NULL, 0, &b, &w, NULL), 0);
    ck_assert(isnan(b.sum.cp_pct) && isnan(b.sum.forage_pct));
    ck_assert(b.sum.have_mcal == 0 && b.milk_by_energy_kg == 0);
    ck_assert(w.why[0] != '\0');
    ck_assert_int_eq(working_find(&w, "cp_pct", -1)->kind, FIGURE_NONE);
}
END_TEST

START_TEST(the_verdict_in_a_sentence)
{
    static const struct {
        double hay_kg, grain_kg;
        const char *text;
    } rows[] = {
        {10, 5, "short 2.4 Mcal a day: she makes it up from her back"},
        {10, 6.2, "meets her need"},
        {5, 10, "over by 2.6 Mcal a day: she puts on condition"},
        {20, 3, "4.5 kg dry matter more than she can be expected to eat"},
    };
    char text[120];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct ration_item items[] = {{hay, rows[i].hay_kg}, {grain, rows[i].grain_kg}};
        struct ration_balance b;
        ck_assert_int_eq(ration_balance_of(&cow, items, 2, &b, NULL, NULL), 0);
        ck_assert_str_eq(ration_text(&b, text, sizeof text), rows[i].text);
    }
    struct feed poor = {"poor", FEED_FORAGE, 90, 4, 1.6, ""};
    struct ration_item items[] = {{poor, 13.5}};
    struct ration_balance b;
    ck_assert_int_eq(ration_balance_of(&cow, items, 1, &b, NULL, NULL), 0);
    ck_assert(strstr(ration_text(&b, text, sizeof text), "protein short by") != NULL);
}
END_TEST

/* Five parts in a hundred of energy and of dry matter, ten of protein, are within the error of any table; the
 * limit itself still is. Need 20 Mcal, 16 kg, 1600 g. */
START_TEST(near_enough_ends_where_it_says)
{
    static const struct {
        double mcal, kg, g;
        const char *text;
    } rows[] = {
        {-1, 0, 0, "meets her need"},
        {-1.01, 0, 0, "short 1.0 Mcal a day: she makes it up from her back"},
        {1, 0, 0, "meets her need"},
        {1.01, 0, 0, "over by 1.0 Mcal a day: she puts on condition"},
        {0, -0.8, 0, "meets her need"},
        {0, -0.81, 0, "0.8 kg dry matter more than she can be expected to eat"},
        {0, 0, -160, "meets her need"},
        {0, 0, -160.5, "energy is right, protein short by 160 g a day"},
    };
    char text[120];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct ration_balance b = {.need = {.total_mcal = 20, .intake_kg_dm = 16, .cp_g = 1600},
                                   .balance_mcal = rows[i].mcal,
                                   .left_kg_dm = rows[i].kg,
                                   .balance_cp_g = rows[i].g};
        ck_assert_str_eq(ration_text(&b, text, sizeof text), rows[i].text);
    }
}
END_TEST

static const struct figure *given(const struct working *w, const char *name)
{
    for (size_t i = 0; i < w->given_count; i++)
        if (strcmp(w->given[i].name, name) == 0)
            return &w->given[i];
    return NULL;
}

/* Feeds are numbered from 1 as they were said, the free one keeps its place, and a table's source is named. */
START_TEST(the_working_numbers_the_feeds)
{
    struct feed from_table = hay;
    (void)snprintf(from_table.source, sizeof from_table.source, "stallings-2001");
    struct ration_item items[] = {{from_table, NAN}, {grain, 5}};
    struct ration_balance b;
    struct working w;
    working_init(&w, "ration");
    ck_assert_int_eq(ration_balance_of(&cow, items, 2, &b, &w, NULL), 0);
    ck_assert_str_eq(given(&w, "feed1")->text, "hay");
    ck_assert_str_eq(given(&w, "feed2")->text, "grain");
    ck_within(given(&w, "feed1_kg")->number, b.sum.free_kg, 1e-12);
    ck_within(given(&w, "feed2_kg")->number, 5, 1e-12);
    ck_within(given(&w, "feed2_cp_pct")->number, 20, 1e-12);
    ck_assert(given(&w, "feed0") == NULL && given(&w, "feed3") == NULL);
    int named = 0, unnamed = 0;
    for (size_t i = 0; i < w.source_count; i++) {
        named += strcmp(w.source[i], "stallings-2001") == 0;
        unnamed += w.source[i][0] == '\0';
    }
    ck_assert(named == 1 && unnamed == 0);
}
END_TEST

/* Nothing up to 200 kg a day can be meant, the ends among it. */
START_TEST(weights_at_their_limits)
{
    struct ration_sum sum;
    static const double fed_kg[] = {0, 200, -1e-9, 200.001};
    for (int i = 0; i < 4; i++) {
        struct ration_item item = {hay, fed_kg[i]};
        ck_assert_int_eq(ration_sum_of(&item, 1, 12, &sum, NULL, NULL), i < 2 ? 0 : -1);
    }
}
END_TEST

START_TEST(items_are_read_as_they_are_said)
{
    struct feed own = {"Oats", FEED_GRAIN, 88, 11, 1.9, ""};
    struct ration_item item;
    struct fail f = {0};
    ck_assert_int_eq(ration_item_parse("grass hay:8", NULL, 0, &item, NULL), 0);
    ck_within(item.fed_kg, 8, 1e-12); /* a bare number is kg */
    ck_assert_str_eq(item.feed.name, "grass hay");
    ck_assert_int_eq(ration_item_parse("grass-hay: 20lb", NULL, 0, &item, NULL), 0);
    ck_within(item.fed_kg, 9.0718474, 1e-9);
    ck_assert_int_eq(ration_item_parse("grass hay:Free", NULL, 0, &item, NULL), 0);
    ck_assert(isnan(item.fed_kg));
    ck_assert_int_eq(ration_item_parse("oats:3kg", &own, 1, &item, NULL), 0);
    ck_within(item.feed.nel_mcal_per_kg, 1.9, 1e-12); /* the dairy's own analysis comes first */
    static const char *const slips[] = {
        "", "oats", ":3kg", "oats:", "oats:lots", "moonbeams:3kg", "oats:3gal", "oats:-3",
        "a name of exactly forty letters, this is:3kg"};
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++) {
        f.text[0] = '\0';
        ck_assert_msg(ration_item_parse(slips[i], NULL, 0, &item, &f) == -1, "%s", slips[i]);
        ck_assert(f.text[0] != '\0');
        ck_within(item.fed_kg, 3, 1e-12); /* unchanged */
    }
    ck_assert_int_eq(ration_item_parse(":3kg", NULL, 0, &item, &f), -1);
    ck_assert_str_eq(f.text, "\":3kg\" is not understood; write the feed and its weight, as oats:3kg.");
}
END_TEST

Suite *ration_suite(void)
{
    Suite *s = suite_create("ration");
    TCase *t = tcase_create("ration");
    tcase_add_test(t, what_two_feeds_bring);
    tcase_add_test(t, free_choice_fills_her_up);
    tcase_add_test(t, nothing_fed_has_no_protein_per_cent);
    tcase_add_test(t, the_verdict_in_a_sentence);
    tcase_add_test(t, near_enough_ends_where_it_says);
    tcase_add_test(t, the_working_numbers_the_feeds);
    tcase_add_test(t, weights_at_their_limits);
    tcase_add_test(t, items_are_read_as_they_are_said);
    suite_add_tcase(s, t);
    return s;
}
