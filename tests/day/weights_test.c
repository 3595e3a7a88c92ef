/* Weights from a spreadsheet: all of them or none, under the cow that is meant, and taken back as one entry.
 */
#include "core/day/weights.h"

#include "core/base/file.h"
#include "core/day/cow_page.h"
#include "core/day/herd_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define NOW "2026-05-03T12:00"

static const char *file_of(const char *text)
{
    struct fail f = {0};
    const char *path = scratch_path("weights.csv");
    ck_assert_msg(file_replace(path, text, strlen(text), &f) == 0, "%s", f.text);
    return path;
}

static bool take_in(struct dairy *d, const char *text, const char *more, struct act_done *done,
                    struct fail *f)
{
    char words[400];
    snprintf(words, sizeof words, "file=%s%s", file_of(text), more);
    return rig_try(d, NOW, "weights", words, done, f);
}

static size_t rows_of_milk(struct dairy *d, const char *cow)
{
    static struct cow_page page;
    struct fail f = {0};
    int64_t id;
    ck_assert_msg(dairy_find_cow(d, cow, &id, &f) == 0, "%s", f.text);
    ck_assert_msg(dairy_cow_page(d, id, rig_at(NOW), 0, &page, &f) == 0, "%s", f.text);
    return page.milkings;
}

START_TEST(weights_come_in_together_and_go_together)
{
    struct dairy *d = rig_small("d.db", "2026-02-01T20:00");
    struct act_done done;
    struct fail f = {0};
    size_t before = rows_of_milk(d, "Maud");
    ck_assert_msg(take_in(d,
                          "date,cow,lb,fat\n2026-04-01,Maud,44.1,4.9\n2026-04-02,maud,45,\n"
                          "2026-04-01T06:30,Tib,30,4.2\n",
                          "", &done, &f),
                  "%s", f.text);
    ck_assert_ptr_nonnull(strstr(done.what, "3 "));
    ck_assert_uint_eq(rows_of_milk(d, "Maud"), before + 2);
    /* 44.1 lb at 0.45359237 kg (NIST SP 811) is 20.0034 kg; a second look refuses the same days. */
    ck_assert(!take_in(d, "date,cow,lb\n2026-04-02,Maud,45\n", "", &done, &f));
    ck_assert_ptr_nonnull(strstr(f.text, "Nothing was taken in"));
    ck_assert_int_eq(dairy_undo(d, 0, rig_at(NOW), &done, &f), 0);
    ck_assert_uint_eq(rows_of_milk(d, "Maud"), before);
    dairy_close(d);
}
END_TEST

START_TEST(a_wrong_row_keeps_all_out)
{
    static const char *const wrong[] = {
        "2026-02-30,Maud,20",     "2026-04-03,Nobody,20", "2027-01-01,Maud,20", "2026-04-03,Maud,-1",
        "2026-04-03,Maud,plenty", "2026-04-03,Maud,nan",  ",Maud,20",
    };
    struct dairy *d = rig_small("d.db", "2026-02-01T20:00");
    size_t before = rows_of_milk(d, "Maud");
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        char text[200];
        struct act_done done;
        struct fail f = {0};
        snprintf(text, sizeof text, "date,cow,kg\n2026-04-01,Maud,20\n%s\n", wrong[i]);
        ck_assert_msg(!take_in(d, text, "", &done, &f), "%s", wrong[i]);
        ck_assert_msg(f.text[0] != '\0' && strchr(f.text, '\n') == NULL, "%s", f.text);
        ck_assert_uint_eq(rows_of_milk(d, "Maud"), before);
    }
    dairy_close(d);
}
END_TEST

START_TEST(a_file_of_one_cow_needs_her_name)
{
    struct dairy *d = rig_small("d.db", "2026-02-01T20:00");
    struct act_done done;
    struct fail f = {0};
    ck_assert(!take_in(d, "date,kg\n3/4/2026,20\n", "  dates=day-first", &done, &f));
    ck_assert_msg(take_in(d, "date,kg\n3/4/2026,20\n4/4/2026,21\n", "  dates=day-first  cow=Tib  milkings=2",
                          &done, &f),
                  "%s", f.text);
    ck_assert_ptr_nonnull(strstr(done.what, "Tib"));
    ck_assert_ptr_nonnull(strstr(done.what, "3 Apr")); /* the third of April, not the fourth of March */
    dairy_close(d);
}
END_TEST

/* What is shown before anything is taken in: the columns, whose, from when to when, and each wrong row. */
START_TEST(a_look_changes_nothing)
{
    static struct weights_view v;
    char words[240];
    struct dairy *d = rig_small("d.db", "2026-02-01T20:00");
    struct form form;
    struct fail f = {0};
    size_t before = rows_of_milk(d, "Maud");
    act_form(d, act_find("weights"), rig_at(NOW), &form);
    ck_assert_int_eq(form_set(&form, "file",
                              file_of("date,cow,kg,note\n2026-04-01,Maud,20,x\n2026-04-31,Maud,20,y\n"), &f),
                     0);
    ck_assert_msg(dairy_weights_look(d, &form, rig_at(NOW), &v, &f) == 0, "%s", f.text);
    ck_assert_uint_eq(v.cows, 1);
    ck_assert_uint_eq(v.good, 1);
    ck_assert_uint_eq(v.faults, 1);
    ck_assert_uint_eq(v.fault[0].line, 3);
    ck_assert_ptr_nonnull(strstr(v.preview.columns, "not read: note"));
    ck_assert_ptr_nonnull(strstr(weights_summary(&v, words, sizeof words), "Maud"));
    ck_assert_uint_eq(rows_of_milk(d, "Maud"), before);
    dairy_close(d);
}
END_TEST

Suite *weights_suite(void)
{
    Suite *s = suite_create("weights");
    TCase *t = tcase_create("weights");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, weights_come_in_together_and_go_together);
    tcase_add_test(t, a_wrong_row_keeps_all_out);
    tcase_add_test(t, a_file_of_one_cow_needs_her_name);
    tcase_add_test(t, a_look_changes_nothing);
    suite_add_tcase(s, t);
    return s;
}
