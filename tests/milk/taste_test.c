#include "core/base/source.h"
#include "core/milk/keeping.h"
#include "core/milk/taste.h"
#include "tests/support.h"

static struct taste_table table;

static void load_table(void)
{
    struct fail f = {0};
    if (taste_table_load(&table, &f) != 0)
        ck_abort_msg("%s", f.text);
}

START_TEST(every_row_has_a_weight_a_place_to_look_and_a_source)
{
    struct source source;
    ck_assert_int_gt((int)table.count, 25);
    for (size_t i = 0; i < table.count; i++) {
        const struct taste_row *r = &table.row[i];
        ck_assert_msg(r->flavour[0] != '\0' && r->suspect[0] != '\0' && r->check[0] != '\0' && r->weight > 0,
                      "row %zu", i);
        ck_assert_msg(source_find(r->source, &source) == 0, "row %zu cites %s", i, r->source);
        bool first = i == 0 || strcmp(r->flavour, table.row[i - 1].flavour) != 0;
        ck_assert_msg(first == (r->words[0] != '\0'), "row %zu: words belong to the first row of a flavour",
                      i);
    }
}
END_TEST

START_TEST(people_call_flavours_by_many_words)
{
    static const char *const words[][2] = {
        {"sour", "sour"},     {"Malty", "sour"},      {"cowy", "barny"},         {"onion", "feed"},
        {"soapy", "rancid"},  {"BITTER", "rancid"},   {"metallic", "cardboard"}, {"bleach", "chemical"},
        {"putrid", "fruity"}, {"one jar", "one jar"}, {"off", "unsure"},
    };
    char flavour[TASTE_NAME_MAX];
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        ck_assert_int_eq(taste_flavour(&table, words[i][0], flavour, NULL), 0);
        ck_assert_str_eq(flavour, words[i][1]);
    }
    struct fail f = {0};
    ck_assert_int_eq(taste_flavour(&table, "lovely", flavour, &f), -1);
    ck_assert_str_eq(f.text,
                     "\"lovely\" is not a flavour in the table; there are sour, barny, feed, salty, rancid, "
                     "cardboard, chemical, fruity, musty, one jar, unsure.");
}
END_TEST

static size_t rank(const char *flavour, const struct taste_log *log, struct taste_suspect s[TASTE_ROWS_MAX])
{
    size_t n;
    taste_rank(&table, flavour, log, UNITS_US, s, &n, NULL);
    return n;
}

static const struct taste_suspect *suspect(const struct taste_suspect *s, size_t n, const char *name)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(s[i].row->suspect, name) == 0)
            return &s[i];
    ck_abort_msg("%s is not a suspect", name);
    return NULL;
}

START_TEST(a_silent_log_leaves_the_order_of_the_table)
{
    struct taste_log log;
    struct taste_suspect s[TASTE_ROWS_MAX];
    taste_log_clear(&log);
    size_t n = rank("sour", &log, s);
    ck_assert_int_eq((int)n, 4);
    ck_assert_str_eq(s[0].row->suspect, "slow chill");
    ck_assert_str_eq(s[3].row->suspect, "age");
    ck_near(s[0].share_pct, 100 * 3.0 / 11, 1e-12);
    for (size_t i = 0; i < n; i++)
        ck_assert(s[i].finding == TASTE_SILENT && s[i].found[0] == '\0');
}
END_TEST

/* Of a goat keepers' newsletter: 80 % feed, 5 oxidation, 5 rancidity, 3 chemical, 3 hygiene, 4 other. */
START_TEST(an_unsure_flavour_begins_with_the_published_shares)
{
    struct taste_log log;
    struct taste_suspect s[TASTE_ROWS_MAX];
    taste_log_clear(&log);
    size_t n = rank("unsure", &log, s);
    ck_assert_int_eq((int)n, 6);
    ck_assert_str_eq(s[0].row->suspect, "feed");
    ck_near(s[0].share_pct, 80, 1e-12);
    ck_near(suspect(s, n, "hygiene")->share_pct, 3, 1e-12);
}
END_TEST

START_TEST(the_log_raises_and_lowers_suspects_and_says_why)
{
    struct taste_log log;
    struct taste_suspect s[TASTE_ROWS_MAX];
    taste_log_clear(&log);
    log.fact[TASTE_TO_40F_MIN] = 45;
    log.fact[TASTE_FRIDGE_MAX_C] = temp_c_from_f(45);
    log.fact[TASTE_LIFE_USED] = 0.6;
    log.fact[TASTE_WASH_MISSED] = 1;
    size_t n = rank("sour", &log, s);
    const struct taste_suspect *chill = suspect(s, n, "slow chill"),
                               *fridge = suspect(s, n, "warm refrigerator");
    ck_assert_int_eq((int)chill->finding, TASTE_AGAINST);
    ck_assert_str_eq(chill->found, "it took 45 min to come to 40 °F");
    ck_assert_int_eq((int)fridge->finding, TASTE_SUPPORTS); /* at 45 °F exactly */
    ck_assert_str_eq(fridge->found, "the refrigerator reached 45 °F");
    ck_assert_int_eq((int)suspect(s, n, "age")->finding, TASTE_SILENT); /* between the limits */
    ck_assert_str_eq(suspect(s, n, "dirty gear")->found, "the wash before was missed or too cool");
    ck_assert(s[0].row == fridge->row && s[n - 1].row == chill->row);
    ck_near(fridge->share_pct / chill->share_pct, 9, 1e-12); /* three times against a third */
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += s[i].share_pct;
    ck_near(sum, 100, 1e-12);
}
END_TEST

START_TEST(each_kind_of_evidence_speaks_both_ways)
{
    static const struct {
        const char *flavour, *suspect;
        enum taste_fact fact;
        double supports, against;
    } rows[] = {
        {"sour", "slow chill", TASTE_TO_40F_MIN, 120, 60},
        {"sour", "age", TASTE_LIFE_USED, 0.9, 0.3},
        {"feed", "strong feed just before milking", TASTE_FED_BEFORE_H, 1, 12},
        {"feed", "new feed or pasture", TASTE_FEED_CHANGE_DAYS, 0, 20},
        {"salty", "mastitis", TASTE_MASTITIS_SIGNS, 1, 0},
        {"salty", "late lactation", TASTE_DAYS_IN_MILK, 280, 90},
        {"barny", "ketosis (a note of acetone)", TASTE_CALVED_DAYS, 10, 200},
        {"barny", "dirty udder", TASTE_DISC_DIRTY, 1, 0},
        {"rancid", "foaming or an air leak", TASTE_AIR_LEAK, 1, 0},
        {"rancid", "half-warm milk stirred or topped up", TASTE_TOPPED_UP, 1, 0},
        {"rancid", "time of year", TASTE_MONTH, 8, 10},
        {"rancid", "time of year", TASTE_MONTH, 7, 6},
        {"cardboard", "poor pasture", TASTE_MONTH, 12, 6},
        {"cardboard", "poor pasture", TASTE_MONTH, 3, 11},
        {"cardboard", "light", TASTE_LIGHT, 1, 0},
        {"cardboard", "copper or iron", TASTE_METAL, 1, 0},
        {"chemical", "sanitiser too strong", TASTE_MIX_PPM, 250, 100},
        {"chemical", "chlorine or acid not drained", TASTE_NOT_DRAINED, 1, 0},
        {"chemical", "dip or treatment", TASTE_TREATED_DAYS, 2, 60},
        {"fruity", "film in that person's jar", TASTE_ONE_JAR, 1, 0},
        {"fruity", "warm refrigerator", TASTE_FRIDGE_MAX_C, 9, 3},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        for (int way = 0; way < 2; way++) {
            struct taste_log log;
            struct taste_suspect s[TASTE_ROWS_MAX];
            taste_log_clear(&log);
            log.fact[rows[i].fact] = way == 0 ? rows[i].supports : rows[i].against;
            size_t n = rank(rows[i].flavour, &log, s);
            const struct taste_suspect *it = suspect(s, n, rows[i].suspect);
            ck_assert_msg(it->finding == (way == 0 ? TASTE_SUPPORTS : TASTE_AGAINST) && it->found[0] != '\0',
                          "row %zu, way %d: %s", i, way, it->found);
        }
}
END_TEST

START_TEST(when_only_one_jar_is_wrong_the_jar_is_suspected)
{
    struct taste_log log;
    struct taste_suspect s[TASTE_ROWS_MAX];
    taste_log_clear(&log);
    log.fact[TASTE_ONE_JAR] = 1;
    size_t n = rank("musty", &log, s);
    ck_assert_int_eq((int)n, 3);
    ck_assert_str_eq(s[0].row->suspect, "that jar");
    log.fact[TASTE_ONE_JAR] = 0;
    ck_assert_int_eq((int)rank("musty", &log, s), 2);
}
END_TEST

START_TEST(the_working_lists_suspects_with_their_sources)
{
    struct taste_log log;
    struct taste_suspect s[TASTE_ROWS_MAX];
    struct working w;
    struct source source;
    size_t n;
    taste_log_clear(&log);
    log.fact[TASTE_TO_40F_MIN] = 300;
    working_init(&w, "taste");
    taste_rank(&table, "sour", &log, UNITS_METRIC, s, &n, &w);
    ck_assert_str_eq(working_find(&w, "suspect", 0)->text, "slow chill");
    ck_assert_str_eq(working_find(&w, "finding", 0)->text, "it took 5 h 00 to come to 40 °F");
    ck_assert_str_eq(working_find(&w, "finding", 1)->text, "the log is silent");
    ck_assert_int_eq(w.row_now, -1);
    for (size_t i = 0; i < w.source_count; i++)
        ck_assert_int_eq(source_find(w.source[i], &source), 0);
    ck_assert_str_eq(w.caution[1], keeping_caution);
    for (size_t i = 0; i < table.count; i++) /* nothing of the table is cut in a working */
        ck_assert(strlen(table.row[i].suspect) < sizeof w.result[0].text &&
                  strlen(table.row[i].check) < sizeof w.result[0].text);
}
END_TEST

/* By Penn State Extension's table of flavour defects, cold-loving bacteria make milk malty or sour and fruity or putrid;
 * the other flavours come with the milk or from what touched it. */
START_TEST(milk_has_turned_when_age_is_among_the_suspects)
{
    static const struct {
        const char *flavour;
        bool age;
    } rows[] = {{"sour", true},   {"fruity", true},   {"barny", false}, {"feed", false},     {"salty", false},
                {"rancid", false}, {"cardboard", false}, {"chemical", false}, {"musty", false}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        ck_assert_msg(taste_is_age(&table, rows[i].flavour) == rows[i].age, "%s", rows[i].flavour);
    ck_assert(taste_is_good("good") && taste_is_good("Fine") && !taste_is_good("sour"));
}
END_TEST

Suite *taste_suite(void)
{
    Suite *s = suite_create("taste");
    TCase *t = tcase_create("taste");
    tcase_add_checked_fixture(t, load_table, NULL);
    tcase_add_test(t, every_row_has_a_weight_a_place_to_look_and_a_source);
    tcase_add_test(t, people_call_flavours_by_many_words);
    tcase_add_test(t, a_silent_log_leaves_the_order_of_the_table);
    tcase_add_test(t, an_unsure_flavour_begins_with_the_published_shares);
    tcase_add_test(t, the_log_raises_and_lowers_suspects_and_says_why);
    tcase_add_test(t, each_kind_of_evidence_speaks_both_ways);
    tcase_add_test(t, when_only_one_jar_is_wrong_the_jar_is_suspected);
    tcase_add_test(t, the_working_lists_suspects_with_their_sources);
    tcase_add_test(t, milk_has_turned_when_age_is_among_the_suspects);
    suite_add_tcase(s, t);
    return s;
}
