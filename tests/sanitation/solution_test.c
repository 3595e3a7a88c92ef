/* Doses and strengths against published recipes and labels. Volumes: US gallon 3.785412 L, tablespoon 14.787
 * mL, fluid ounce 29.574 mL, by definition. */
#include "core/sanitation/solution.h"

#include "core/base/source.h"
#include "core/sanitation/caution.h"
#include "tests/support.h"

#define TBSP_ML 14.786764781
#define FLOZ_ML 29.573529563

static struct bleach label(double pct)
{
    return (struct bleach){.strength_pct = pct, .basis = BLEACH_SIMPLE};
}

static struct solution dose_of(double pct, double target_ppm, double volume_l, enum volume_kind kind)
{
    struct solution s = {0};
    struct fail f = {0};
    struct solution_ask ask = {label(pct), target_ppm, volume_l, kind};
    ck_assert_msg(solution_dose(&ask, &s, NULL, &f) == 0, "%s", f.text);
    return s;
}

START_TEST(published_spoon_recipes_come_out_at_their_strength)
{
    static const struct {
        const char *id;
        double pct, dose_ml, water_l, ppm, within;
    } rows[] = {
        /* An infant-care bulletin board gives 205 ppm for 1 tbsp of 5.25 % in 1 gal; by mass balance 204.3.
         */
        {"CL1", 5.25, TBSP_ML, L_PER_GAL, 204.3, 0.5},
        /* Fraser and Lackey (NC State, 2004): "1 tbsp household bleach in 1 gal" for 200 ppm, with 8.25 %. */
        {"CL3", 8.25, TBSP_ML, L_PER_GAL, 321.0, 0.5},
        /* Southern Nevada Health District: 1 tsp of 8.25 % in 1 gal, "about 100 ppm". */
        {"nevada", 8.25, TBSP_ML / 3, L_PER_GAL, 107, 1},
        /* Fraser and Lackey: 1/4 cup in 5 gal. */
        {"quarter cup in 5 gal", 5.25, 4 * TBSP_ML, 5 * L_PER_GAL, 164, 1},
        /* Northwestern Health Unit (Ontario): 10 mL in 4 L. */
        {"10 mL in 4 L", 5.25, 10, 4, 131, 1},
        /* A page that calls 5 mL per litre 200 ppm: true at 4 % only. */
        {"5 mL per L at 5.25 %", 5.25, 5, 1, 262, 1.5},
        {"5 mL per L at 4 %", 4, 5, 1, 200, 1.5},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct bleach b = label(rows[i].pct);
        double ppm = solution_ppm(&b, rows[i].dose_ml, rows[i].water_l, VOLUME_WATER);
        ck_assert_msg(fabs(ppm - rows[i].ppm) <= rows[i].within, "%s: %.2f ppm", rows[i].id, ppm);
    }
}
END_TEST

/* Dose by mass balance, volume x ppm / (percent x 10 000): the arithmetic of US 9 CFR 590.552 solutions. */
START_TEST(doses_by_final_volume_and_by_water_added)
{
    /* CL4, CL5: 6 %, 100 ppm, 3 gal, worked by hand: 11.35624 L x 100 / 60000, and / (60000 - 100). */
    ck_within(dose_of(6, 100, 3 * L_PER_GAL, VOLUME_FINAL).dose_ml, 18.93, 0.05);
    ck_within(dose_of(6, 100, 3 * L_PER_GAL, VOLUME_WATER).dose_ml, 18.96, 0.05);
    /* The same to a thousandth of a mL, which tells the two ways apart: 1135.6235 / 59.9. */
    ck_within(dose_of(6, 100, 3 * L_PER_GAL, VOLUME_WATER).dose_ml, 18.9587, 0.0005);
    ck_within(dose_of(6, 100, 3 * L_PER_GAL, VOLUME_WATER).ppm, 100, 1e-9);
    /* CL6: 8.25 %, 200 ppm, 10 L: 10 x 200 / 82500. */
    ck_within(dose_of(8.25, 200, 10, VOLUME_FINAL).dose_ml, 24.24, 0.05);
    ck_within(dose_of(8.25, 200, 10, VOLUME_FINAL).dose_tsp, 24.2424 / 4.92892, 0.001);
}
END_TEST

START_TEST(the_chart_of_doses_is_what_division_gives)
{
    /* mL for 50, 100, 200 ppm in 1 gal, 10 L, 5 gal, worked with the formula by hand, to the figures shown.
     */
    static const struct {
        double pct, gal[3], ten_l[3], five_gal[3];
    } rows[] = {
        {5.25, {3.61, 7.21, 14.42}, {9.52, 19.05, 38.10}, {18.0, 36.1, 72.1}},
        {6.0, {3.15, 6.31, 12.62}, {8.33, 16.67, 33.33}, {15.8, 31.5, 63.1}},
        {7.5, {2.52, 5.05, 10.09}, {6.67, 13.33, 26.67}, {12.6, 25.2, 50.5}},
        {8.25, {2.29, 4.59, 9.18}, {6.06, 12.12, 24.24}, {11.5, 22.9, 45.9}},
    };
    static const double target[] = {50, 100, 200};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        for (int j = 0; j < 3; j++) {
            ck_within(dose_of(rows[i].pct, target[j], L_PER_GAL, VOLUME_FINAL).dose_ml, rows[i].gal[j],
                      0.0051);
            ck_within(dose_of(rows[i].pct, target[j], 10, VOLUME_FINAL).dose_ml, rows[i].ten_l[j], 0.0051);
            ck_within(dose_of(rows[i].pct, target[j], 5 * L_PER_GAL, VOLUME_FINAL).dose_ml,
                      rows[i].five_gal[j], 0.051);
        }
}
END_TEST

/* Weight % to available chlorine (molar masses 70.906 and 74.442) times density; 8.25 % at 1.10 and 6 %
 * at 1.08 g/mL, and 6.17 trade %, as given in swimming-pool chemistry tables. */
START_TEST(the_true_basis_is_a_little_above_the_simple_one)
{
    struct bleach eight = {8.25, BLEACH_TRUE, 1.10}, six = {6, BLEACH_TRUE, 1.08},
                  trade = {12.5, BLEACH_TRADE, 0};
    ck_within(bleach_mg_per_l(&eight), 86439, 50); /* CL7 */
    ck_within(bleach_mg_per_l(&six), 61722, 50);   /* CL8 */
    ck_within(bleach_mg_per_l(&six) / 10000, 6.17, 0.005);
    ck_within(bleach_mg_per_l(&trade), 125000, 1e-6);
    ck_within(bleach_density(8.25), 1.10, 0);
    ck_within(bleach_density(6), 1.08, 0);
    ck_assert(isnan(bleach_density(4)));
    /* the lightest and the heaviest bottle that is taken: 1 and 1.4 kg per litre */
    static const double density[] = {0.999, 1, 1.4, 1.401};
    for (int i = 0; i < 4; i++) {
        struct bleach bottle = {8.25, BLEACH_TRUE, density[i]};
        ck_assert_int_eq(bleach_check(&bottle, NULL), i == 1 || i == 2 ? 0 : -1);
    }
    for (int i = 0; i < 4; i++) { /* 2 to 5 % for every household strength */
        static const double pct[] = {5.25, 6, 7.5, 8.25};
        struct bleach simple = label(pct[i]), truth = {pct[i], BLEACH_TRUE, bleach_density(pct[i])};
        double over = bleach_mg_per_l(&truth) / bleach_mg_per_l(&simple) - 1;
        ck_assert_msg(over > 0.015 && over < 0.05, "%.2f %%: %.3f", pct[i], over);
    }
}
END_TEST

/* Label of an EPA-registered hypochlorite: 4.5 fl oz in 10 gal makes 200 ppm, 13 fl oz makes 600 ppm. */
START_TEST(a_labels_recipe_gives_the_product_behind_it)
{
    ck_within(solution_product_mg_per_l(4.5 * FLOZ_ML, 10 * L_PER_GAL, 200, VOLUME_WATER), 57089,
              50); /* CL9 */
    ck_within(solution_product_mg_per_l(13 * FLOZ_ML, 10 * L_PER_GAL, 600, VOLUME_WATER), 59700, 60);
}
END_TEST

/* CL10: percent 0, negative, not a number; 101 and blank never get past the form (topics_test). */
START_TEST(nonsense_is_refused_by_the_name_of_its_field)
{
    static const struct {
        double pct, target, volume;
        enum fail_code code;
        const char *line;
    } rows[] = {
        {0, 100, 10, FAIL_INPUT,
         "strength: there is no bleach of 0 %; take the figure on the label, as 8.25%."},
        {-6, 100, 10, FAIL_INPUT,
         "strength: there is no bleach of 0 %; take the figure on the label, as 8.25%."},
        {NAN, 100, 10, FAIL_INPUT,
         "strength: there is no bleach of 0 %; take the figure on the label, as 8.25%."},
        {65, 100, 10, FAIL_REFUSED,
         "strength: no liquid bleach has 65 %; granules are dosed by weight, as their label says."},
        {6, 0, 10, FAIL_INPUT, "target: a strength above nothing is needed, as 100ppm."},
        {6, NAN, 10, FAIL_INPUT, "target: a strength above nothing is needed, as 100ppm."},
        {6, 100, 0, FAIL_INPUT, "volume: there must be water, as 3gal or 10L."},
        {6, 100, NAN, FAIL_INPUT, "volume: there must be water, as 3gal or 10L."},
        {0.01, 150, 10, FAIL_REFUSED, "strength: 0.01 % is too weak for 150 ppm."},
        /* CL11: US 9 CFR 590.552(b), at most 200 ppm. */
        {6, 250, 10, FAIL_REFUSED,
         "target: 250 ppm is over 200 ppm, the most chlorine that may be left on milk gear unrinsed. A "
         "stronger soak "
         "is for the product's label to allow, and is rinsed off."},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fail f = {0};
        struct solution s = {.dose_ml = -1};
        struct solution_ask ask = {label(rows[i].pct), rows[i].target, rows[i].volume, VOLUME_FINAL};
        ck_assert_int_eq(solution_dose(&ask, &s, NULL, &f), -1);
        ck_assert_str_eq(f.text, rows[i].line);
        ck_assert_int_eq(f.code, rows[i].code);
        ck_assert(s.dose_ml == -1);
    }
    ck_assert_int_eq(dose_of(6, 200, 10, VOLUME_FINAL).too_weak, 0); /* the ceiling itself is allowed */
}
END_TEST

START_TEST(a_recipe_that_is_judged_is_flagged_not_refused)
{
    static struct working w;
    struct bleach b = label(8.25);
    struct fail f = {0};
    double ppm;
    working_init(&w, "solution");
    ck_assert_int_eq(solution_judge(&b, TBSP_ML, L_PER_GAL, VOLUME_WATER, &ppm, &w, &f), 0);
    ck_within(ppm, 321.0, 0.5); /* CL3 */
    ck_assert(working_find(&w, "over_ceiling", -1)->number == 1);
    ck_within(working_find(&w, "true_ppm", -1)->number, 337,
              1); /* by weight and density: 321.0 x 86439 / 82500 */
    ck_within(bleach_spoon_rule_ppm(&b, NULL), 321.0, 0.5);
    ck_assert_int_eq(solution_judge(&b, 0, L_PER_GAL, VOLUME_WATER, &ppm, &w, &f), -1);
    ck_assert_str_eq(f.text, "dose: there must be some bleach, as 1tbsp or 15mL.");
}
END_TEST

START_TEST(weak_solutions_are_said_to_be_weak)
{
    static struct working w;
    struct solution s;
    struct solution_ask ask = {label(6), 50, 10, VOLUME_FINAL};
    working_init(&w, "solution");
    ck_assert_int_eq(solution_dose(&ask, &s, &w, NULL), 0);
    ck_assert(s.too_weak);
    ck_assert(working_find(&w, "too_weak", -1)->number == 1);
    ck_assert(!dose_of(6, 51, 10, VOLUME_FINAL).too_weak);
    ck_assert_str_eq(w.caution[2], caution_text(CAUTION_NO_MIX_ACID));
}
END_TEST

START_TEST(spoons_are_the_nearest_quarter_but_never_over_the_ceiling)
{
    struct stream s = {21};
    for (int n = 0; n < 20000; n++) {
        double pct = stream_uniform(&s, 3, 15), volume = stream_uniform(&s, 1, 60);
        double target = n % 4 == 0 ? CHLORINE_CEILING_PPM : stream_uniform(&s, 20, 200);
        struct solution_ask ask = {label(pct), target, volume, VOLUME_FINAL};
        struct solution out;
        if (solution_dose(&ask, &out, NULL, NULL) != 0)
            ck_abort_msg("refused");
        double nearest = round(out.dose_tsp * 4) / 4, nearest_ppm = target * nearest / out.dose_tsp;
        double expected = nearest_ppm > CHLORINE_CEILING_PPM + 1e-6 ? nearest - 0.25 : nearest;
        if (fabs(out.spoon_tsp - expected) > 1e-12 || out.spoon_ppm > CHLORINE_CEILING_PPM + 1e-6 ||
            fabs(out.ppm - target) > 1e-9 * target)
            ck_abort_msg("%.3f %% %.1f ppm %.2f L: %.3f tsp, spoons %.3f give %.2f ppm", pct, target, volume,
                         out.dose_tsp, out.spoon_tsp, out.spoon_ppm);
    }
}
END_TEST

START_TEST(spoons_are_written_as_a_kitchen_has_them)
{
    static const struct {
        double tsp;
        const char *text;
    } rows[] = {
        {0.1, "less than a spoon: measure the mL"},
        {0.25, "1/4 tsp"},
        {1, "1 tsp"},
        {2.75, "2 3/4 tsp"},
        {3, "1 tbsp"},
        {7.5, "2 tbsp 1 1/2 tsp"},
        {48, "1 cup"},
        {105.25, "2 cups 3 tbsp 1/4 tsp"},
    };
    char text[64];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        ck_assert_str_eq(spoon_text(rows[i].tsp, text, sizeof text), rows[i].text);
}
END_TEST

START_TEST(a_strip_beats_the_sum)
{
    static const struct {
        double strip, top;
        enum strip_verdict verdict;
    } rows[] = {
        {0, 200, STRIP_AGAIN},  {50, 200, STRIP_AGAIN}, /* label of a registered hypochlorite: redo when the
                        drained solution is that low */
        {75, 200, STRIP_WEAK},                          /* 9 CFR 590.552(b): change at or below 100 */
        {100, 200, STRIP_GOOD}, {200, 200, STRIP_TOP},  {200, 400, STRIP_GOOD}, {300, 400, STRIP_STRONG},
    };
    struct bleach b = label(6);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct test_strip strip = {rows[i].strip, rows[i].top};
        struct strength out;
        ck_assert_int_eq(solution_strength(150, &b, &strip, &out, NULL, NULL), 0);
        ck_assert_msg(out.verdict == rows[i].verdict, "%.0f of %.0f: %s", strip.ppm, strip.top_ppm,
                      strip_verdict_text(out.verdict));
        ck_assert(out.ppm == rows[i].strip);
        if (rows[i].verdict == STRIP_TOP)
            ck_assert(isnan(out.implied_pct)); /* it may be more: nothing follows for the bottle */
        else
            ck_within(out.implied_pct, 6 * rows[i].strip / 150, 1e-12);
    }
    struct strength out;
    ck_assert_int_eq(solution_strength(150, &b, NULL, &out, NULL, NULL), 0);
    ck_assert(out.ppm == 150 && out.verdict == STRIP_GOOD && isnan(out.implied_pct));
}
END_TEST

START_TEST(a_strip_reading_off_its_scale_is_refused)
{
    struct fail f = {0};
    struct strength out = {.ppm = -1};
    struct test_strip strip = {300, 200};
    ck_assert_int_eq(solution_strength(150, NULL, &strip, &out, NULL, &f), -1);
    ck_assert_str_eq(f.text,
                     "strip: its scale ends at 200 ppm, so it cannot show 300; thin a sample with as much "
                     "water, read again, and double it.");
    ck_assert(out.ppm == -1);
    strip = (struct test_strip){100, 0};
    ck_assert_int_eq(solution_strength(150, NULL, &strip, &out, NULL, &f), -1);
    strip = (struct test_strip){NAN, 200};
    ck_assert_int_eq(solution_strength(150, NULL, &strip, &out, NULL, &f), -1);
}
END_TEST

/* FDA Food Code 4-501.114 (iodine 12.5 to 25 mg/L, pH 5, 68 F); 65 FR 75168 (peroxyacetic acid, 500 ppm). */
START_TEST(other_sanitisers_go_by_their_label_and_ceiling)
{
    struct fail f = {0};
    struct solution s;
    struct label_ask ask = {CHEMICAL_IODINE, FLOZ_ML, 5 * L_PER_GAL, 25, 12.5, 10 * L_PER_GAL};
    ck_assert_int_eq(solution_by_label(&ask, &s, NULL, &f), 0);
    ck_within(s.dose_ml, FLOZ_ML, 1e-9); /* half the strength, twice the water */
    ask.target_ppm = 26;
    ck_assert_int_eq(solution_by_label(&ask, &s, NULL, &f), -1);
    ck_assert(strstr(f.text, "26 ppm is over 25 ppm") != NULL && f.code == FAIL_REFUSED);
    ask = (struct label_ask){CHEMICAL_PEROXYACETIC, 30, 10, 150, 150, 10};
    ck_assert_int_eq(solution_by_label(&ask, &s, NULL, &f), 0);
    ask.target_ppm = 501;
    ck_assert_int_eq(solution_by_label(&ask, &s, NULL, &f), -1);
    ask = (struct label_ask){CHEMICAL_ACID, 30, 10, 150, 150, 10};
    ck_assert_int_eq(solution_by_label(&ask, &s, NULL, &f), -1);
    ck_assert_str_eq(f.text, "chemical: acid is not a sanitiser for milk gear.");
    ask = (struct label_ask){CHEMICAL_QUAT, 0, 10, 150, 150, 10};
    ck_assert_int_eq(solution_by_label(&ask, &s, NULL, &f), -1);
    ck_assert_ptr_null(sanitiser_limit(CHEMICAL_TEAT_DIP));
    for (int i = 0; i < CHEMICAL_COUNT; i++) {
        struct source source;
        const struct sanitiser_limit *limit = sanitiser_limit((enum chemical)i);
        ck_assert_msg(limit == NULL || source_find(limit->source, &source) == 0, "no source %s",
                      limit == NULL ? "" : limit->source);
    }
}
END_TEST

/* HO1. pKa 7.5; "about 80 % at pH 7" and nearly nothing above 8 in the food-safety sheet on chlorine and pH.
 */
START_TEST(the_active_share_falls_with_ph)
{
    ck_within(hocl_fraction(7.5), 0.500, 0.001);
    ck_within(hocl_fraction(8.0), 0.240, 0.001);
    ck_within(hocl_fraction(8.3), 0.137, 0.001);
    ck_within(hocl_fraction(7), 0.78, 0.03);
    ck_assert(isnan(hocl_fraction(15)) && isnan(hocl_fraction(-1)) && isnan(hocl_fraction(NAN)));
}
END_TEST

/* BD1. Breakdown of bleach over time by storage temperature, 12.5 trade %. */
/* BD1 as a whole: 12.5 trade %, what is left after so many days at so many °F. */
START_TEST(every_figure_of_the_ageing_table)
{
    static const struct {
        double store_f;
        int days;
        double pct;
    } rows[] = {
        {70, 1, 12.44},  {70, 7, 12.12},  {70, 30, 11.11},  {70, 60, 10.10}, {70, 90, 9.28},   {70, 180, 7.78},
        {80, 7, 11.69},  {80, 30, 9.93},  {80, 90, 7.48},   {80, 180, 5.95}, {90, 7, 10.92},   {90, 30, 8.36},
        {90, 90, 5.72},  {90, 180, 4.41}, {100, 1, 11.92},  {100, 7, 9.71},  {100, 30, 6.68},  {100, 90, 4.27},
        {100, 180, 3.23},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct bleach_age age;
        ck_assert_int_eq(bleach_age_find(temp_c_from_f(rows[i].store_f), rows[i].days, &age, NULL, NULL), 0);
        ck_assert_msg(age.strength_pct == rows[i].pct, "%.0f °F, %d days: %g", rows[i].store_f, rows[i].days,
                      age.strength_pct);
    }
    struct bleach_age age;
    ck_assert_int_eq(bleach_age_find(temp_c_from_f(80), 6, &age, NULL, NULL), -1); /* nothing before a week there */
    ck_assert_int_eq(bleach_age_find(temp_c_from_f(70), 0, &age, NULL, NULL), -1);
}
END_TEST

static bool says(const struct working *w, const char *words)
{
    for (size_t i = 0; i < w->step_count; i++)
        if (strstr(w->step[i], words) != NULL)
            return true;
    return false;
}

/* What the dose was divided by is what is said: 6 % is 60 000 mg/L, and 59 900 when the water alone is measured (CL5). The
 * density counts only where it was used. */
START_TEST(the_working_divides_by_what_was_divided_by)
{
    struct solution s;
    struct working w;
    struct solution_ask ask = {label(6), 100, 3 * L_PER_GAL, VOLUME_WATER};
    working_init(&w, "solution");
    ck_assert_int_eq(solution_dose(&ask, &s, &w, NULL), 0);
    ck_assert(says(&w, "dose = volume x target / (bottle - target) = 11.36 L x 100 / 59900 = 18.96 mL"));
    for (size_t i = 0; i < w.given_count; i++)
        ck_assert_str_ne(w.given[i].name, "density_kg_per_l");
    ask = (struct solution_ask){{6, BLEACH_TRUE, 1.08}, 100, 3 * L_PER_GAL, VOLUME_FINAL};
    working_init(&w, "solution");
    ck_assert_int_eq(solution_dose(&ask, &s, &w, NULL), 0);
    ck_assert(says(&w, "dose = volume x target / bottle = 11.36 L x 100 / "));
    bool density = false;
    for (size_t i = 0; i < w.given_count; i++)
        density = density || strcmp(w.given[i].name, "density_kg_per_l") == 0;
    ck_assert(density);
    /* a recipe to judge needs a bleach and a volume, each by itself */
    struct bleach none = label(0), six = label(6);
    double ppm = -1;
    ck_assert_int_eq(solution_judge(&none, 15, 4, VOLUME_WATER, &ppm, NULL, NULL), -1);
    ck_assert_int_eq(solution_judge(&six, 15, 0, VOLUME_WATER, &ppm, NULL, NULL), -1);
    ck_assert(ppm == -1);
    /* FDA Food Code 4-501.114(C): quaternary ammonium in water of at most 500 mg/L hardness; the others name none */
    struct label_ask by_label = {CHEMICAL_QUAT, 30, 10, 150, 150, 10};
    working_init(&w, "solution");
    ck_assert_int_eq(solution_by_label(&by_label, &s, &w, NULL), 0);
    ck_assert(says(&w, "water no harder than 500 ppm"));
    by_label.chemical = CHEMICAL_PEROXYACETIC;
    working_init(&w, "solution");
    ck_assert_int_eq(solution_by_label(&by_label, &s, &w, NULL), 0);
    ck_assert(!says(&w, "no harder than"));
}
END_TEST

START_TEST(ageing_is_looked_up_never_worked_out)
{
    static const struct {
        double store_f;
        int days, row_days;
        double left_pct;
    } rows[] = {
        {70, 90, 90, 9.28},    {70, 1, 1, 12.44},
        {70, 29, 7, 12.12},   /* the younger row: at least that much is gone */
        {60, 180, 180, 7.78}, /* cooler than the table: its coolest column */
        {75, 90, 90, 7.48},   /* between: the warmer column */
        {80, 65, 30, 9.93},   /* the table has no two months at 80 °F */
        {100, 900, 180, 3.23},
    };
    struct fail f = {0};
    struct bleach_age age;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert_msg(bleach_age_find(temp_c_from_f(rows[i].store_f), rows[i].days, &age, NULL, &f) == 0,
                      "%s", f.text);
        ck_assert_int_eq(age.age_days, rows[i].row_days);
        ck_assert(age.strength_pct == rows[i].left_pct);
    }
    ck_assert_int_eq(bleach_age_find(temp_c_from_f(101), 90, &age, NULL, &f), -1);
    ck_assert_int_eq(bleach_age_find(NAN, 90, &age, NULL, &f), -1);
    ck_assert_int_eq(bleach_age_find(21, 0, &age, NULL, &f), -1);
    ck_assert_str_eq(f.text, "The table has nothing for so young a bottle.");
}
END_TEST

Suite *solution_suite(void)
{
    Suite *s = suite_create("solution");
    TCase *t = tcase_create("solution");
    tcase_add_test(t, published_spoon_recipes_come_out_at_their_strength);
    tcase_add_test(t, doses_by_final_volume_and_by_water_added);
    tcase_add_test(t, the_chart_of_doses_is_what_division_gives);
    tcase_add_test(t, the_true_basis_is_a_little_above_the_simple_one);
    tcase_add_test(t, a_labels_recipe_gives_the_product_behind_it);
    tcase_add_test(t, nonsense_is_refused_by_the_name_of_its_field);
    tcase_add_test(t, a_recipe_that_is_judged_is_flagged_not_refused);
    tcase_add_test(t, weak_solutions_are_said_to_be_weak);
    tcase_add_test(t, spoons_are_the_nearest_quarter_but_never_over_the_ceiling);
    tcase_add_test(t, spoons_are_written_as_a_kitchen_has_them);
    tcase_add_test(t, a_strip_beats_the_sum);
    tcase_add_test(t, a_strip_reading_off_its_scale_is_refused);
    tcase_add_test(t, other_sanitisers_go_by_their_label_and_ceiling);
    tcase_add_test(t, the_active_share_falls_with_ph);
    tcase_add_test(t, every_figure_of_the_ageing_table);
    tcase_add_test(t, the_working_divides_by_what_was_divided_by);
    tcase_add_test(t, ageing_is_looked_up_never_worked_out);
    suite_add_tcase(s, t);
    return s;
}
