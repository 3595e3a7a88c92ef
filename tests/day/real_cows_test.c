/* Four real lactations, taken in from a file and looked at on their pages. Friggens, Ridder & Lovendahl 2007, JDS
 * 90:5453 (dataset milkman of the R package doBy), days 1 to 305. Sums and least squares were found by an independent
 * script from the same recorded days. */
#include <math.h>

#include "core/day/cow_page.h"
#include "core/day/weights.h"
#include "tests/day/real_cows.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define LATER "2025-12-01T12:00"

static const struct {
    const char *id;
    int recorded;
    double sum, filled;                  /* kg: recorded days; with straight lines over the gaps, 305 days */
    double a, b, c, r2, peak_day, peak_kg; /* Wood, nonlinear least squares on the recorded days */
} four[COWS] = {
    {"8202.3", 298, 6798.932, 6963.600, 24.982138, 0.038680, 0.001841, 0.5417, 21.02, 27.039},
    {"8213.1", 298, 4361.144, 4471.850, 19.009948, 0.011218, 0.002158, 0.5018, 5.20, 19.149},
    {"0331.2", 296, 9242.818, 9551.169, 26.312052, 0.105761, 0.002184, 0.5114, 48.43, 35.682},
    {"0341.2", 299, 6290.813, 6408.243, 17.917876, 0.086955, 0.001667, 0.3534, 52.16, 23.166},
};

static const struct cow_page *page_at(struct dairy *d, const char *name, const char *at)
{
    static struct cow_page *p;
    struct fail f = {0};
    int64_t cow_id;
    if (p == NULL)
        p = calloc(1, sizeof *p);
    ck_assert_msg(dairy_find_cow(d, name, &cow_id, &f) == 0 &&
                      dairy_cow_page(d, cow_id, rig_at(at), PAGE_NOW, p, &f) == 0,
                  "%s", f.text);
    return p;
}

static const struct cow_page *page_of(struct dairy *d, const char *name)
{
    return page_at(d, name, LATER);
}

static const struct page_figure *figure_of(const struct cow_page *p, enum page_figure_kind kind)
{
    for (size_t i = 0; i < p->figures; i++)
        if (p->figure[i].kind == kind)
            return &p->figure[i];
    ck_abort_msg("%s: no figure %d on the page", p->name, (int)kind);
    return NULL;
}

static double number_of(const struct working *w, const char *name)
{
    const struct figure *figure = working_find(w, name, -1);
    ck_assert_msg(figure != NULL, "the working has no %s", name);
    return figure->number;
}

START_TEST(every_weight_of_the_file_stands_on_its_day)
{
    static struct real_herd herd;
    struct dairy *d = real_cows_open("four.db", &herd);
    for (int i = 0; i < COWS; i++) {
        const struct cow_page *p = page_of(d, real_cow_name[i]);
        size_t weighed = 0, next = 0;
        double sum = 0;
        ck_assert_str_eq(herd.cow[i].id, four[i].id);
        ck_assert_str_eq(p->breed, herd.cow[i].breed);
        ck_assert_int_eq(p->lactation[p->shown].number, herd.cow[i].parity);
        for (size_t k = 0; k < p->days_past; k++) {
            if (!isfinite(p->day[k].kg))
                continue;
            ck_assert_uint_lt(next, herd.cow[i].n);
            ck_assert_int_eq(p->day[k].day, herd.cow[i].row[next].day);
            ck_within(p->day[k].kg, herd.cow[i].row[next].kg, 1e-6);
            next++;
            weighed++;
            sum += p->day[k].kg;
        }
        ck_assert_uint_eq(weighed, (size_t)four[i].recorded);
        ck_within(sum, four[i].sum, 0.001);
    }
    dairy_close(d);
}
END_TEST

START_TEST(totals_and_curves_are_those_of_the_independent_script)
{
    static struct real_herd herd;
    struct dairy *d = real_cows_open("four.db", &herd);
    struct fail f = {0};
    for (int i = 0; i < COWS; i++) {
        static struct working w;
        const struct cow_page *p = page_of(d, real_cow_name[i]);
        ck_within(p->to_date_kg, four[i].filled, 0.001);
        ck_within(p->expected_305_kg, four[i].filled, 0.001);
        ck_assert_msg(cow_page_explain(d, p, figure_of(p, FIGURE_305), &w, &f) == 0, "%s", f.text);
        ck_within(number_of(&w, "total_305_kg"), four[i].filled, 0.001);
        ck_assert_msg(cow_page_explain(d, p, figure_of(p, FIGURE_PEAK), &w, &f) == 0, "%s", f.text);
        ck_within(number_of(&w, "a"), four[i].a, 1e-6);
        ck_within(number_of(&w, "b"), four[i].b, 1e-6);
        ck_within(number_of(&w, "c"), four[i].c, 1e-6);
        ck_within(number_of(&w, "r2"), four[i].r2, 5e-5);
        ck_within(number_of(&w, "peak_day"), four[i].peak_day, 0.005);
        ck_within(number_of(&w, "peak_kg"), four[i].peak_kg, 0.0005);
    }
    dairy_close(d);
}
END_TEST

START_TEST(the_same_file_is_not_taken_in_twice)
{
    static struct real_herd herd;
    char words[300];
    struct dairy *d = real_cows_open("four.db", &herd);
    snprintf(words, sizeof words, "file=%.200s  milkings=2", scratch_path("weights.csv"));
    rig_refused(d, LATER, "weights", words, "1191 of 1191 rows are wrong");
    ck_within(page_of(d, "Hazel")->to_date_kg, four[0].filled, 0.001);
    dairy_close(d);
}
END_TEST

START_TEST(a_total_of_days_that_nobody_weighed_is_called_about)
{
    static struct real_herd herd;
    struct dairy *d = real_cows_open("four.db", &herd);
    const struct page_figure *figure = figure_of(page_of(d, "Hazel"), FIGURE_TO_DATE);
    ck_assert_str_eq(figure->text, "6964 kg in all"); /* 7 of 305 days are filled in */
    dairy_close(d);
    d = rig_small("one.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb  strip=clean"); /* day 92, the first one weighed */
    figure = figure_of(page_at(d, "Maud", "2026-05-03T07:00"), FIGURE_TO_DATE);
    ck_assert_msg(strncmp(figure->text, "about ", 6) == 0 && strstr(figure->text, "91 d filled in") != NULL, "%s",
                  figure->text);
    dairy_close(d);
}
END_TEST

Suite *real_cows_suite(void)
{
    Suite *s = suite_create("real_cows");
    TCase *t = tcase_create("real_cows");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, every_weight_of_the_file_stands_on_its_day);
    tcase_add_test(t, totals_and_curves_are_those_of_the_independent_script);
    tcase_add_test(t, the_same_file_is_not_taken_in_twice);
    tcase_add_test(t, a_total_of_days_that_nobody_weighed_is_called_about);
    suite_add_tcase(s, t);
    return s;
}
