/* Lives, stock and the machine's figures. Lives and the formula days = life x units / (cows x milkings a
 * day): Ontario, Replacing rubber ware (2009). */
#include "core/sanitation/parts.h"

#include "core/base/source.h"
#include "tests/support.h"

static struct date may_3(void)
{
    struct date d;
    ck_assert(date_from_ymd(2026, 5, 3, &d));
    return d;
}

static struct life life_of(int64_t milkings, int32_t days, double per_day)
{
    struct life life;
    struct fail f = {0};
    struct life_ask ask = {milkings, days, per_day, may_3(), 0, may_3()};
    ck_assert_msg(life_reckon(&ask, &life, NULL, &f) == 0, "%s", f.text);
    return life;
}

START_TEST(liner_lives_come_out_as_published)
{
    /* LI1, Ontario's own example: 60 goats, 3 units, twice a day, 1200 milkings: 30 days. */
    struct life life = life_of(1200, 0, life_per_day(60, 2, 3));
    ck_assert_int_eq(life.days_left, 30);
    ck_assert(life.binds == LIFE_MILKINGS);
    /* LI3: 4 cows, one unit, once a day, 1200 milkings, at most 182 days (Ireland: six months). */
    life = life_of(1200, 182, life_per_day(4, 1, 1));
    ck_assert_int_eq(life.days_left, 182);
    ck_assert(life.binds == LIFE_CALENDAR);
    ck_assert_int_eq(date_diff(may_3(), life.due_on), 182);
}
END_TEST

START_TEST(the_table_of_lives_for_one_to_four_cows)
{
    /* One bucket, once a day; by division, whole days that the liner still serves. */
    static const struct {
        int64_t life;
        int32_t days[4];
    } rows[] = {
        {1200, {1200, 600, 400, 300}}, {2000, {2000, 1000, 666, 500}}, {2500, {2500, 1250, 833, 625}}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        for (int cows = 1; cows <= 4; cows++) {
            ck_assert_int_eq(life_of(rows[i].life, 0, life_per_day(cows, 1, 1)).days_left,
                             rows[i].days[cows - 1]);
            /* At this size the calendar always comes first. */
            ck_assert(life_of(rows[i].life, 182, life_per_day(cows, 1, 1)).binds == LIFE_CALENDAR);
        }
}
END_TEST

START_TEST(what_was_milked_already_counts)
{
    struct life life;
    struct fail f = {0};
    struct life_ask ask = {1200, 182, 4, may_3(), 900, date_add(may_3(), 100)};
    ck_assert_int_eq(life_reckon(&ask, &life, NULL, &f), 0);
    ck_assert(life.binds == LIFE_MILKINGS && life.days_left == 75 && life.milkings_left == 300 && !life.over);
    ck_assert_int_eq(date_diff(may_3(), life.due_on), 175);
    ask.used = 1201;
    ck_assert_int_eq(life_reckon(&ask, &life, NULL, &f), 0);
    ck_assert(life.over && life.milkings_left == -1);
    ask = (struct life_ask){0, 182, 0, may_3(), 0, date_add(may_3(), 182)};
    ck_assert_int_eq(life_reckon(&ask, &life, NULL, &f), 0); /* by the calendar alone, no cows are needed */
    ck_assert(life.over && life.days_left == 0);
    ck_assert_int_eq(life_of(800, 200, 4).binds, LIFE_CALENDAR); /* both on one day */
}
END_TEST

START_TEST(lives_of_nothing_are_refused)
{
    static const struct {
        int64_t milkings;
        int32_t days;
        double per_day;
        int fitted_in;
        const char *line;
    } rows[] = {
        {0, 0, 4, 0, "A life of nothing: give milkings=, days= or both, as milkings=1200 days=182."},
        {1200, 182, 0, 0, "per_day: how many cows are milked with it in a day? Write per_day=4."},
        {1200, 182, NAN, 0, "per_day: how many cows are milked with it in a day? Write per_day=4."},
        {-5, 182, 4, 0, "A life cannot be less than nothing."},
        {0, 99999, 4, 0, "days: a life of 99999 days cannot be meant."},
        {1200, 182, 4, 1, "fitted: that day is still to come."},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fail f = {0};
        struct life life = {.days_left = -1};
        struct life_ask ask = {
            rows[i].milkings, rows[i].days, rows[i].per_day, date_add(may_3(), rows[i].fitted_in), 0,
            may_3()};
        ck_assert_int_eq(life_reckon(&ask, &life, NULL, &f), -1);
        ck_assert_str_eq(f.text, rows[i].line);
        ck_assert_int_eq(life.days_left, -1);
    }
    struct fail f = {0};
    struct life life;
    struct life_ask ask = {1200, 182, 4, DATE_NONE, 0, may_3()};
    ck_assert_int_eq(life_reckon(&ask, &life, NULL, &f), -1);
    ck_assert_str_eq(f.text, "fitted: on which day was it fitted? Write fitted=2026-05-03.");
}
END_TEST

START_TEST(stock_runs_out_on_the_first_day_that_cannot_be_served)
{
    struct stock stock;
    struct fail f = {0};
    struct stock_ask ask = {100, 3, 7, may_3()};
    ck_assert_int_eq(stock_reckon(&ask, &stock, NULL, &f), 0);
    ck_assert(stock.days_left == 33 && !stock.order_now);
    ck_assert_int_eq(date_diff(may_3(), stock.out_on), 33);
    ck_assert_int_eq(date_diff(may_3(), stock.order_by_on), 26);
    ask.on_hand = 2; /* not even today's */
    ck_assert_int_eq(stock_reckon(&ask, &stock, NULL, &f), 0);
    ck_assert(stock.days_left == 0 && stock.order_now && stock.out_on.days == may_3().days);
    ask = (struct stock_ask){9, 0.1 * 3, 0, may_3()}; /* thirty days, though the division falls a hair short of it */
    ck_assert_int_eq(stock_reckon(&ask, &stock, NULL, &f), 0);
    ck_assert(stock.days_left == 30 && !stock.order_now);
    ask.on_hand = 0;
    ask.used_per_day = 1;
    ck_assert_int_eq(stock_reckon(&ask, &stock, NULL, &f), 0); /* an empty shelf is a stock */
    ck_assert(stock.order_now);
    ask.lead_days = -1;
    ck_assert_int_eq(stock_reckon(&ask, &stock, NULL, &f), -1);
    ask.lead_days = 7;
    ask.used_per_day = 0;
    ck_assert_int_eq(stock_reckon(&ask, &stock, NULL, &f), -1);
    ask = (struct stock_ask){-1, 3, 7, may_3()};
    ck_assert_int_eq(stock_reckon(&ask, &stock, NULL, &f), -1);
    ck_assert_str_eq(f.text, "A stock cannot be less than nothing.");
}
END_TEST

/* National Mastitis Council: 36 to 42 kPa in the claw at peak flow; a herd measured at 30 to 32 was too low;
 * 47 to 48 is a high-line parlour's. */
START_TEST(vacuum_is_judged_in_its_band_and_shown_in_both_units)
{
    static const struct {
        double kpa;
        enum band band;
    } rows[] = {{31, BAND_LOW},    {35, BAND_LOW},  {36, BAND_INSIDE}, {39, BAND_INSIDE},
                {42, BAND_INSIDE}, {43, BAND_HIGH}, {48, BAND_HIGH}};
    double kpa;
    char text[QUANTITY_TEXT_MAX];
    struct working w;
    /* the gauge's half kPa is allowed on both sides, its ends too */
    ck_assert_int_eq(vacuum_judge(35.5, NULL), BAND_INSIDE);
    ck_assert_int_eq(vacuum_judge(42.5, NULL), BAND_INSIDE);
    ck_assert_int_eq(vacuum_judge(35.49, NULL), BAND_LOW);
    ck_assert_int_eq(vacuum_judge(42.51, NULL), BAND_HIGH);
    working_init(&w, "vacuum");
    vacuum_judge(42, &w);
    ck_assert_str_eq(w.step[0], "42.0 kPa = 12.4 inHg; the band is 10.6 to 12.4 inHg, in the claw while milk flows");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        ck_assert_msg(vacuum_judge(rows[i].kpa, NULL) == rows[i].band, "%.0f kPa: %s", rows[i].kpa,
                      band_word(vacuum_judge(rows[i].kpa, NULL)));
    ck_within(VACUUM_LOW_KPA / KPA_PER_INHG, 10.63, 0.01);  /* VA1 */
    ck_within(VACUUM_HIGH_KPA / KPA_PER_INHG, 12.40, 0.01); /* VA1 */
    ck_assert_int_eq(quantity_parse("12.5inHg", DIM_PRESSURE, NULL, &kpa, NULL), 0);
    ck_within(kpa, 42.33, 0.01); /* VA2 */
    ck_assert_str_eq(quantity_format_in(42, DIM_PRESSURE, "inHg", 1, text), "12.4 inHg");
}
END_TEST

START_TEST(pulsation_is_split_by_its_ratio)
{
    struct pulsation p;
    struct fail f = {0};
    ck_assert_int_eq(pulsation_reckon(60, 60, &p, NULL, &f), 0);
    ck_within(p.open_ms, 600, 1); /* PU1 */
    ck_within(p.massage_ms, 400, 1);
    ck_assert(p.rate == BAND_INSIDE && p.massage_enough);
    ck_assert_int_eq(pulsation_reckon(55, 60, &p, NULL, &f), 0);
    ck_within(p.open_ms, 655, 1); /* 60000 / 55 x 0.6 */
    ck_within(p.massage_ms, 436, 1);
    ck_assert_int_eq(pulsation_reckon(40, 60, &p, NULL, &f), 0);
    ck_assert(p.rate == BAND_LOW);
    ck_assert_int_eq(pulsation_reckon(75, 90, &p, NULL, &f), 0);
    ck_assert(p.rate == BAND_HIGH && !p.massage_enough); /* 80 ms; ISO 5707 asks 150, from memory */
    static const struct {
        double rate;
        enum band band;
    } rows[] = {{44.9, BAND_LOW}, {45, BAND_INSIDE}, {70, BAND_INSIDE}, {70.1, BAND_HIGH}}; /* parts.h: 45 to 70 */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert_int_eq(pulsation_reckon(rows[i].rate, 60, &p, NULL, &f), 0);
        ck_assert_msg(p.rate == rows[i].band, "%g", rows[i].rate);
    }
    ck_assert_int_eq(pulsation_reckon(60, 0, &p, NULL, &f), 0); /* between 0 and 100 %, both taken */
    ck_assert(p.open_ms == 0);
    ck_assert_int_eq(pulsation_reckon(60, 100, &p, NULL, &f), 0);
    ck_assert(p.massage_ms == 0);
    ck_assert_int_eq(pulsation_reckon(60, -1, &p, NULL, &f), -1);
    ck_assert_int_eq(pulsation_reckon(0, 60, &p, NULL, &f), -1);
    ck_assert_str_eq(f.text, "rate: count the beats of a minute, as 60.");
    ck_assert_int_eq(pulsation_reckon(60, 101, &p, NULL, &f), -1);
    ck_assert_str_eq(f.text, "ratio: the open share of the cycle is between 0 and 100 %, as 60%.");
}
END_TEST

/* SL1. California 3 CCR 659: 1.5 in fall in 10 ft lengthwise. */
START_TEST(a_floor_falls_as_the_rule_words_it)
{
    ck_within(floor_slope_pct(1.5 * M_PER_IN, 120 * M_PER_IN), 1.25, 0.01);
    ck_assert(isnan(floor_slope_pct(1, 0)));
}
END_TEST

START_TEST(the_table_of_parts_keeps_to_its_sources)
{
    static const struct {
        const char *name;
        int64_t milkings;
        int32_t days;
    } rows[] = {
        {"liner", 1200, 182},          /* Ontario 2009: 1200-1500; Irish farm press: six months at most */
        {"liner-silicone", 6500, 365}, /* Ontario 2009 */
        {"milk-hose", 0, 182},         /* Minnesota, Care of milking equipment: 6 months */
        {"claw-gasket", 0, 182},       {"pulse-tube", 0, 365}, /* the same: 12 months */
        {"water-test", 0, 365},                                /* CDC: yearly */
    };
    static struct part_table table;
    struct fail f = {0};
    struct source source;
    ck_assert_msg(parts_load(&table, &f) == 0, "%s", f.text);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct gear_part *part = parts_find(&table, rows[i].name);
        ck_assert_msg(part != NULL && part->milkings == rows[i].milkings && part->days == rows[i].days, "%s",
                      rows[i].name);
    }
    ck_assert(parts_find(&table, "disc")->kind == PART_STOCK && parts_find(&table, "disc")->per_cow == 1);
    ck_assert_ptr_null(parts_find(&table, "tail"));
    for (size_t i = 0; i < table.count; i++)
        ck_assert_msg(source_find(table.part[i].source, &source) == 0, "no source %s", table.part[i].source);
}
END_TEST

START_TEST(bad_tables_of_parts_are_refused_by_row_and_change_nothing)
{
#define HEAD "part,words,kind,milkings,days,per_cow,per_session,source\n"
    static const struct {
        const char *text, *line;
    } rows[] = {
        {HEAD "liner,Liners\n", "Row 2: 2 cells; name, words, kind, four numbers and a source are needed."},
        {HEAD "liner,Liners,rots,1200,182,,,s\n", "Row 2: \"rots\" is not one of wears, service, stock."},
        {HEAD "liner,Liners,wears,many,182,,,s\n", "Row 2: \"many\" is not a number that can stand here."},
        {HEAD "liner,Liners,wears,,,,,s\n", "Row 2: liner has no life, neither milkings nor days."},
        {HEAD "liner,Liners,wears,0,0,,,s\n", "Row 2: liner has no life, neither milkings nor days."},
        {HEAD "disc,Discs,stock,,,,,s\n", "Row 2: disc has no use."},
        {HEAD "liner,,wears,1200,,,,s\n", "Row 2: name, words or source are missing or too long."},
        {HEAD "liner,Liners,wears,1200,,,,s\nliner,Liners,wears,1200,,,,s\n", "Row 3: liner is there twice."},
    };
    static struct part_table table;
    table.count = 99;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fail f = {0};
        ck_assert_int_eq(parts_parse(rows[i].text, &table, &f), -1);
        ck_assert_str_eq(f.text, rows[i].line);
        ck_assert_uint_eq(table.count, 99);
    }
}
END_TEST

Suite *parts_suite(void)
{
    Suite *s = suite_create("parts");
    TCase *t = tcase_create("parts");
    tcase_add_test(t, liner_lives_come_out_as_published);
    tcase_add_test(t, the_table_of_lives_for_one_to_four_cows);
    tcase_add_test(t, what_was_milked_already_counts);
    tcase_add_test(t, lives_of_nothing_are_refused);
    tcase_add_test(t, stock_runs_out_on_the_first_day_that_cannot_be_served);
    tcase_add_test(t, vacuum_is_judged_in_its_band_and_shown_in_both_units);
    tcase_add_test(t, pulsation_is_split_by_its_ratio);
    tcase_add_test(t, a_floor_falls_as_the_rule_words_it);
    tcase_add_test(t, the_table_of_parts_keeps_to_its_sources);
    tcase_add_test(t, bad_tables_of_parts_are_refused_by_row_and_change_nothing);
    suite_add_tcase(s, t);
    return s;
}
