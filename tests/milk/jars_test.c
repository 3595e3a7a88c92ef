#include "core/base/source.h"
#include "core/milk/jars.h"
#include "tests/support.h"

#define GAL L_PER_GAL

static const struct jars_kinds kinds = {
    {{"half-gallon", GAL / 2}, {"quart", GAL / 4}, {"pint", GAL / 8}, {"gallon", GAL}}, 4};

/* 8.6 lb per gallon (trade figure, attributed to the US Department of Agriculture): 100 lb are 11.628 gal (a
 * published page prints 11.63); 8.6 lb/gal is 1.030507 kg/L; a quart is 2.15 lb. */
START_TEST(milk_by_weight_and_volume)
{
    ck_near(MILK_DENSITY_KG_PER_L, 1.030507, 1e-6);
    ck_within(milk_volume_l(100 * KG_PER_LB, MILK_DENSITY_KG_PER_L) / GAL, 11.628, 5e-4);
    ck_near(milk_mass_kg(GAL / 4, MILK_DENSITY_KG_PER_L) / KG_PER_LB, 2.15, 1e-12);
    ck_near(milk_mass_kg(milk_volume_l(21.3, 1.035), 1.035), 21.3, 1e-14);
}
END_TEST

START_TEST(jars_are_read_as_people_write_them)
{
    static const struct {
        const char *text;
        int n[4];
    } rows[] = {
        {"3xhalf-gallon,2xquart", {3, 2, 0, 0}},
        {"3 x Half Gallon , 2 quarts", {3, 2, 0, 0}},
        {"3×half-gallons,quart", {3, 1, 0, 0}},
        {"quart,quart,2Xquart", {0, 4, 0, 0}},
        {"12 pints", {0, 0, 12, 0}},
        {"gallon", {0, 0, 0, 1}},
        {"999xpint", {0, 0, 999, 0}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        int n[JARS_KINDS_MAX];
        struct fail f = {0};
        ck_assert_msg(jars_parse(rows[i].text, &kinds, n, &f) == 0, "%s: %s", rows[i].text, f.text);
        for (int k = 0; k < 4; k++)
            ck_assert_int_eq(n[k], rows[i].n[k]);
    }
}
END_TEST

START_TEST(what_is_no_jar_is_refused_in_one_line)
{
    static const struct {
        const char *text, *line;
    } rows[] = {
        {"", "No jars were given; write them as 3xhalf-gallon,2xquart."},
        {"3", "\"3\" does not say what kind of jars; write them as 3xhalf-gallon,2xquart."},
        {"3xquart,,", "\"3xquart,,\" does not say what kind of jars; write them as 3xhalf-gallon,2xquart."},
        {"3xbucket", "\"bucket\" is not a kind of jar here; there are half-gallon, quart, pint, gallon."},
        {"quartss", "\"quartss\" is not a kind of jar here; there are half-gallon, quart, pint, gallon."},
        {"0xquart", "\"0xquart\": the number of jars is 1 to 999."},
        {"1000 pints", "\"1000 pints\": the number of jars is 1 to 999."},
        {"99999999999999xpint", "\"99999999999999xpint\": the number of jars is 1 to 999."},
        {"-2xquart", "\"-2xquart\" is not a kind of jar here; there are half-gallon, quart, pint, gallon."},
        {"999xpint,1xpint", "\"999xpint,1xpint\": the number of jars is 1 to 999."},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        int n[JARS_KINDS_MAX] = {7};
        struct fail f = {0};
        ck_assert_msg(jars_parse(rows[i].text, &kinds, n, &f) == -1, "%s", rows[i].text);
        ck_assert_str_eq(f.text, rows[i].line);
        ck_assert_int_eq(n[0], 7);
    }
}
END_TEST

START_TEST(counts_are_written_as_they_are_read)
{
    struct stream s = {.state = 3};
    for (int i = 0; i < 2000; i++) {
        int n[JARS_KINDS_MAX] = {stream_below(&s, 5), stream_below(&s, 3), stream_below(&s, 30),
                                 stream_below(&s, 2)};
        int back[JARS_KINDS_MAX] = {0};
        char text[80];
        if (n[0] + n[1] + n[2] + n[3] == 0)
            continue;
        if (jars_parse(jars_format(n, &kinds, text, sizeof text), &kinds, back, NULL) != 0 ||
            memcmp(n, back, 4 * sizeof n[0]) != 0)
            ck_abort_msg("\"%s\"", text);
    }
    char text[80];
    int some[JARS_KINDS_MAX] = {3, 2, 1}, none[JARS_KINDS_MAX] = {0};
    ck_assert_str_eq(jars_text(some, &kinds, text, sizeof text), "3 half-gallon, 2 quart and 1 pint");
    ck_assert_str_eq(jars_text(none, &kinds, text, sizeof text), "none");
    ck_assert_str_eq(jars_format(none, &kinds, text, sizeof text), "");
    ck_near(jars_volume_l(some, &kinds), GAL * (1.5 + 0.5 + 0.125), 1e-12);
}
END_TEST

/* By hand; volumes in gallons, clean jars half-gallon, quart, pint, gallon. */
START_TEST(jars_are_chosen_as_a_keeper_would)
{
    static const struct {
        double gal;
        int clean[4], n[4];
        int part_kind;
        double part_gal, short_gal;
    } rows[] = {
        {2, {9, 9, 9, 9}, {4, 0, 0, 0}, -1, 0, 0},    /* the favourite kind, though two gallons would do */
        {2.25, {9, 9, 9, 9}, {4, 1, 0, 0}, -1, 0, 0}, /* no jar part-filled */
        {2.375, {9, 9, 9, 9}, {4, 1, 1, 0}, -1, 0, 0},
        {2.4, {9, 9, 9, 9}, {5, 0, 0, 0}, 0, 0.4, 0},   /* one part-filled jar, not three small ones */
        {2.05, {9, 9, 9, 9}, {4, 0, 1, 0}, 2, 0.05, 0}, /* the rest in the smallest that holds it */
        {2.01, {9, 9, 9, 9}, {4, 0, 0, 0}, -1, 0, 0},   /* a weighing is no better than that */
        {1.98, {9, 9, 9, 9}, {4, 0, 0, 0}, -1, 0, 0},   /* full enough */
        {0.3, {9, 9, 9, 9}, {1, 0, 0, 0}, 0, 0.3, 0},
        {0.1, {9, 9, 9, 9}, {0, 0, 1, 0}, 2, 0.1, 0},
        {0, {9, 9, 9, 9}, {0, 0, 0, 0}, -1, 0, 0},
        {3, {4, 9, 0, 0}, {4, 4, 0, 0}, -1, 0, 0}, /* favourites run out: the next kind */
        {3.1, {4, 9, 0, 0}, {4, 5, 0, 0}, 1, 0.1, 0},
        {3, {4, 2, 0, 0}, {4, 2, 0, 0}, -1, 0, 0.5}, /* and then there are none */
        {1, {0, 0, 0, 0}, {0, 0, 0, 0}, -1, 0, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct jars_choice c;
        int clean[JARS_KINDS_MAX] = {0};
        memcpy(clean, rows[i].clean, sizeof rows[i].clean);
        ck_assert_int_eq(jars_choose(rows[i].gal * GAL, &kinds, clean, &c, NULL, NULL), 0);
        for (int k = 0; k < 4; k++)
            ck_assert_msg(c.n[k] == rows[i].n[k], "row %zu: %d of kind %d", i, c.n[k], k);
        ck_assert_msg(c.part_kind == rows[i].part_kind, "row %zu", i);
        ck_within(c.part_l, rows[i].part_gal * GAL, 1e-9);
        ck_within(c.short_l, rows[i].short_gal * GAL, 1e-9);
    }
}
END_TEST

/* Whatever the milk and the jars: no drop is lost, no jar is used that is not there, and at most one is
 * part-filled. */
START_TEST(milk_is_conserved_whatever_jars_there_are)
{
    struct stream s = {.state = 31};
    for (int i = 0; i < 20000; i++) {
        struct jars_choice c;
        int clean[JARS_KINDS_MAX] = {stream_below(&s, 8), stream_below(&s, 6), stream_below(&s, 6),
                                     stream_below(&s, 3)};
        double milk_l = stream_uniform(&s, 0, 8 * GAL), holds = 0;
        if (jars_choose(milk_l, &kinds, clean, &c, NULL, NULL) != 0)
            ck_abort_msg("morning %d was refused", i);
        for (int k = 0; k < 4; k++)
            if (c.n[k] < 0 || c.n[k] > clean[k])
                ck_abort_msg("morning %d: %d jars of kind %d, %d are clean", i, c.n[k], k, clean[k]);
        holds = jars_volume_l(c.n, &kinds);
        double placed = milk_l - c.short_l;
        double in_full = c.part_kind < 0 ? placed : placed - c.part_l;
        double full_l = c.part_kind < 0 ? holds : holds - kinds.kind[c.part_kind].volume_l;
        if (in_full > full_l * (1 + JARS_OVER_PART) + 1e-9 || in_full < full_l * JARS_FULL_PART - 1e-9)
            ck_abort_msg("morning %d: %.3f L in full jars of %.3f L", i, in_full, full_l);
        bool any_left = memcmp(c.n, clean, 4 * sizeof clean[0]) != 0;
        if (c.short_l > 0 && any_left)
            ck_abort_msg("morning %d: milk without a jar and a jar without milk", i);
    }
}
END_TEST

START_TEST(volumes_and_counts_that_cannot_be_are_refused)
{
    struct jars_choice c;
    struct fail f = {0};
    int clean[JARS_KINDS_MAX] = {1}, negative[JARS_KINDS_MAX] = {1, -1};
    ck_assert_int_eq(jars_choose(-1, &kinds, clean, &c, NULL, &f), -1);
    ck_assert_str_eq(f.text, "The volume of milk must be 0 or more, as 2.5gal.");
    ck_assert_int_eq(jars_choose(NAN, &kinds, clean, &c, NULL, &f), -1);
    ck_assert_int_eq(jars_choose(INFINITY, &kinds, clean, &c, NULL, &f), -1);
    ck_assert_int_eq(jars_choose(1, &kinds, negative, &c, NULL, &f), -1);
    ck_assert_str_eq(f.text, "There cannot be fewer than no quart jars.");
}
END_TEST

/* ---- the pool ---- */

START_TEST(jars_of_the_pool_are_conserved_over_random_days)
{
    struct stream s = {.state = 8};
    struct jars_pool pool = {0};
    int bought = 0, broken_out = 0, refused = 0, moved = 0;
    for (int i = 0; i < 20000; i++) {
        enum jars_state from = (enum jars_state)stream_below(&s, JARS_STATES);
        enum jars_state to = (enum jars_state)stream_below(&s, JARS_STATES);
        int count = 1 + stream_below(&s, 4);
        struct jars_pool before = pool;
        if (jars_move(&pool, &kinds, 1, from, to, count, NULL) != 0) {
            refused++;
            if (memcmp(&before, &pool, sizeof pool) != 0)
                ck_abort_msg("move %d was refused and changed the pool", i);
            continue;
        }
        moved++;
        bought += from == JARS_NOT_OURS ? count : 0;
        broken_out += to == JARS_NOT_OURS ? count : 0;
        int all = 0;
        for (int k = JARS_CLEAN; k < JARS_STATES; k++) {
            all += pool.n[k][1];
            if (pool.n[k][1] < 0)
                ck_abort_msg("move %d left fewer than no jars", i);
        }
        if (all != bought - broken_out || jars_owned(&pool, 1) != all - pool.n[JARS_BROKEN][1])
            ck_abort_msg("move %d: %d jars, %d bought, %d gone", i, all, bought, broken_out);
    }
    ck_assert_int_gt(moved, 2000);
    ck_assert_int_gt(refused, 2000);
    ck_assert_int_eq(pool.n[JARS_CLEAN][0], 0); /* other kinds were not touched */
}
END_TEST

START_TEST(a_move_that_cannot_be_says_why)
{
    struct jars_pool pool = {0};
    struct fail f = {0};
    ck_assert_int_eq(jars_move(&pool, &kinds, 1, JARS_NOT_OURS, JARS_CLEAN, 2, &f), 0);
    ck_assert_int_eq(jars_move(&pool, &kinds, 1, JARS_CLEAN, JARS_FULL, 3, &f), -1);
    ck_assert_str_eq(f.text, "There are only 2 clean quart jars, not 3.");
    ck_assert_int_eq(jars_move(&pool, &kinds, 1, JARS_CLEAN, JARS_CLEAN, 1, &f), -1);
    ck_assert_str_eq(f.text, "Those jars are clean already.");
    ck_assert_int_eq(jars_move(&pool, &kinds, 9, JARS_CLEAN, JARS_FULL, 1, &f), -1);
    ck_assert_int_eq(jars_move(&pool, &kinds, 1, JARS_CLEAN, JARS_FULL, 0, &f), -1);
}
END_TEST

START_TEST(whether_tomorrows_milk_has_jars)
{
    struct jars_pool pool = {0};
    struct jars_ready r;
    char say[160];
    pool.n[JARS_CLEAN][0] = 3;
    pool.n[JARS_DIRTY][0] = 1;
    pool.n[JARS_DIRTY][1] = 4;
    pool.n[JARS_OUT][0] = 20;
    ck_assert_int_eq(jars_judge(1.5 * GAL, &kinds, &pool, UNITS_US, &r, say, NULL, NULL), 0);
    ck_assert(r.enough && r.wash == 0);
    ck_assert_str_eq(say, "Enough clean jars: 3 half-gallon.");
    ck_assert_int_eq(jars_judge(2.25 * GAL, &kinds, &pool, UNITS_US, &r, say, NULL, NULL), 0);
    ck_assert(!r.enough && r.enough_if_washed && r.wash == 2);
    ck_assert_str_eq(say, "Wash 2 jars first: then there are enough, 4 half-gallon and 1 quart.");
    ck_assert_int_eq(jars_judge(4 * GAL, &kinds, &pool, UNITS_US, &r, say, NULL, NULL), 0);
    ck_assert(!r.enough && !r.enough_if_washed && r.wash == 0);
    ck_assert_str_eq(say, "Not enough jars, the dirty ones washed too: none for 1 gal.");
}
END_TEST

/* 2 to 4 jars a day and a week out make 14 to 28 (keepers' practice). */
START_TEST(how_many_jars_a_dairy_needs)
{
    ck_assert_int_eq(jars_pool_needed(2, 7, 0, 0), 14);
    ck_assert_int_eq(jars_pool_needed(4, 7, 0, 0), 28);
    ck_assert_int_eq(jars_pool_needed(2.5, 7, 1, 3), 23);
    ck_assert_int_eq(jars_pool_needed(2.6, 7, 1, 3), 24);
    ck_assert_int_eq(jars_pool_needed(0.1, 10, 0, 0), 1); /* and not 2, for a rounding error */
}
END_TEST

START_TEST(the_working_of_a_choice_says_what_was_chosen)
{
    struct working w;
    struct jars_choice c;
    struct source source;
    int clean[JARS_KINDS_MAX] = {5, 5};
    working_init(&w, "jars");
    ck_assert_int_eq(jars_choose(1.3 * GAL, &kinds, clean, &c, &w, NULL), 0);
    ck_assert_str_eq(working_find(&w, "jars", -1)->text, "3 half-gallon");
    ck_near(working_find(&w, "part_l", -1)->number, 0.3 * GAL, 1e-9);
    ck_assert(working_find(&w, "short_l", -1)->number == 0);
    for (size_t i = 0; i < w.source_count; i++)
        ck_assert_int_eq(source_find(w.source[i], &source), 0);
}
END_TEST

Suite *jars_suite(void)
{
    Suite *s = suite_create("jars");
    TCase *t = tcase_create("jars");
    tcase_add_test(t, milk_by_weight_and_volume);
    tcase_add_test(t, jars_are_read_as_people_write_them);
    tcase_add_test(t, what_is_no_jar_is_refused_in_one_line);
    tcase_add_test(t, counts_are_written_as_they_are_read);
    tcase_add_test(t, jars_are_chosen_as_a_keeper_would);
    tcase_add_test(t, milk_is_conserved_whatever_jars_there_are);
    tcase_add_test(t, volumes_and_counts_that_cannot_be_are_refused);
    tcase_add_test(t, the_working_of_a_choice_says_what_was_chosen);
    suite_add_tcase(s, t);
    t = tcase_create("pool");
    tcase_add_test(t, jars_of_the_pool_are_conserved_over_random_days);
    tcase_add_test(t, a_move_that_cannot_be_says_why);
    tcase_add_test(t, whether_tomorrows_milk_has_jars);
    tcase_add_test(t, how_many_jars_a_dairy_needs);
    suite_add_tcase(s, t);
    return s;
}
