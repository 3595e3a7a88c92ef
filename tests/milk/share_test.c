#include "core/base/source.h"
#include "core/milk/share.h"
#include "tests/support.h"

static struct share_split split(int jars, enum share_method method, const struct share_person *p, size_t n,
                                struct share_part *part, char say[static 200])
{
    struct share_split out;
    struct fail f = {0};
    if (share_split(jars, method, p, n, part, &out, say, NULL, &f) != 0)
        ck_abort_msg("%s", f.text);
    return out;
}

/* By hand: 6 jars for 4, 3, 2 due: exact parts 2.67, 2.00, 1.33. */
START_TEST(a_short_day_is_short_for_all_alike)
{
    static const struct share_person p[] = {{4, 0}, {3, 0}, {2, 0}};
    struct share_part part[3];
    char say[200];
    struct share_split s = split(6, SHARE_IN_PROPORTION, p, 3, part, say);
    ck_assert(part[0].given == 3 && part[1].given == 2 && part[2].given == 1);
    ck_assert(part[0].owed_after == 1 && part[1].owed_after == 1 && part[2].owed_after == 1);
    ck_assert(s.given == 6 && s.left == 0 && s.owed_after == 3);
    ck_assert_str_eq(part[0].why, "3 of 4 due: the exact part is 2.67");
    ck_assert_str_eq(say, "6 jars for 9 due, 3 short: in proportion to what is due, everybody short alike.");
}
END_TEST

START_TEST(a_tie_goes_to_whoever_is_owed_more)
{
    static const struct share_person p[] = {{2, 0}, {2, 3}};
    struct share_part part[2];
    char say[200];
    (void)split(3, SHARE_IN_PROPORTION, p, 2, part, say);
    ck_assert(part[0].given == 1 && part[1].given == 2);
}
END_TEST

START_TEST(those_owed_from_before_can_come_first)
{
    static const struct share_person p[] = {{3, 0}, {2, 1}, {2, 4}, {3, 0}};
    struct share_part part[4];
    char say[200];
    struct share_split s = split(7, SHARE_OWED_FIRST, p, 4, part, say);
    ck_assert(part[2].given == 2 && part[1].given == 2); /* in full */
    ck_assert(part[0].given == 2 && part[3].given == 1); /* 1.5 each, the earlier first */
    ck_assert_int_eq(s.owed_after, 5 + 3);
    ck_assert_str_eq(part[2].why, "2 of 2 due, before others: 4 owed from before");
    ck_assert_str_eq(
        say, "7 jars for 10 due, 3 short: those who were short before first, the others in proportion to "
             "what is due.");
    (void)split(3, SHARE_OWED_FIRST, p, 4, part, say);
    ck_assert(part[2].given == 2 && part[1].given == 1 && part[0].given == 0 && part[3].given == 0);
}
END_TEST

START_TEST(what_is_over_pays_back_what_is_owed)
{
    static const struct share_person p[] = {{3, 0}, {2, 1}, {2, 2}};
    struct share_part part[3];
    char say[200];
    struct share_split s = split(12, SHARE_IN_PROPORTION, p, 3, part, say);
    ck_assert(part[0].given == 3 && part[1].given == 3 && part[2].given == 4);
    ck_assert(s.left == 2 && s.owed_after == 0);
    ck_assert_str_eq(part[0].why, "3 due, in full");
    ck_assert_str_eq(part[2].why, "2 due, in full; 2 of 2 owed");
    ck_assert_str_eq(say, "12 jars for 7 due: everybody gets theirs, 2 left over.");
    s = split(9, SHARE_IN_PROPORTION, p, 3, part, say); /* two over for three owed */
    ck_assert(s.left == 0 && s.owed_after == 1);
}
END_TEST

START_TEST(days_without_jars_or_people_are_days_too)
{
    static const struct share_person p[] = {{3, 0}, {0, 0}};
    struct share_part part[2];
    char say[200];
    struct share_split s = split(0, SHARE_IN_PROPORTION, p, 2, part, say);
    ck_assert(s.given == 0 && part[0].owed_after == 3 && part[1].owed_after == 0);
    s = split(5, SHARE_OWED_FIRST, p, 0, part, say);
    ck_assert(s.given == 0 && s.left == 5);
}
END_TEST

START_TEST(no_jar_is_lost_or_made_and_nobody_gets_more_than_theirs)
{
    struct stream s = {.state = 71};
    for (int i = 0; i < 20000; i++) {
        struct share_person p[9];
        struct share_part part[9];
        char say[200];
        size_t n = (size_t)stream_below(&s, 10);
        int due = 0, owed = 0, given = 0, jars = stream_below(&s, 60);
        enum share_method method = stream_below(&s, 2) == 0 ? SHARE_IN_PROPORTION : SHARE_OWED_FIRST;
        for (size_t k = 0; k < n; k++) {
            p[k] = (struct share_person){stream_below(&s, 8),
                                         stream_below(&s, 3) == 0 ? stream_below(&s, 5) : 0};
            due += p[k].due;
            owed += p[k].owed;
        }
        struct share_split out = split(jars, method, p, n, part, say);
        for (size_t k = 0; k < n; k++) {
            given += part[k].given;
            bool too_many = part[k].given > p[k].due + p[k].owed || (jars < due && part[k].given > p[k].due);
            if (part[k].given < 0 || too_many || part[k].owed_after != p[k].due + p[k].owed - part[k].given)
                ck_abort_msg("day %d: person %zu gets %d of %d due, %d owed", i, k, part[k].given, p[k].due,
                             p[k].owed);
            if (strlen(part[k].why) < 5)
                ck_abort_msg("day %d: no reason for person %zu", i, k);
        }
        int most = due + owed;
        if (given != out.given || given + out.left != jars || given != (jars < most ? jars : most) ||
            out.owed_after != due + owed - given)
            ck_abort_msg("day %d: %d jars, %d given, %d left", i, jars, given, out.left);
    }
}
END_TEST

/* share.h: those who were short before get theirs first, most owed first; of two owed alike the one who stands first. */
START_TEST(who_is_owed_most_is_served_first)
{
    static const struct share_person p[] = {{2, 0}, {2, 1}, {2, 3}, {2, 1}};
    static const int given[][4] = {{0, 0, 1, 0}, {0, 0, 2, 0}, {0, 1, 2, 0}, {0, 2, 2, 0}, {0, 2, 2, 1}, {0, 2, 2, 2}, {1, 2, 2, 2}};
    struct share_part part[4];
    char say[200];
    for (int jars = 1; jars <= 7; jars++) {
        split(jars, SHARE_OWED_FIRST, p, 4, part, say);
        for (int k = 0; k < 4; k++)
            ck_assert_msg(part[k].given == given[jars - 1][k], "%d jars: person %d gets %d", jars, k + 1, part[k].given);
    }
}
END_TEST

START_TEST(numbers_that_cannot_be_are_refused)
{
    struct share_person p[] = {{2, 0}, {-1, 0}};
    struct share_part part[2];
    struct share_split out = {.given = 7};
    struct fail f = {0};
    char say[200];
    ck_assert_int_eq(share_split(-1, SHARE_IN_PROPORTION, p, 1, part, &out, say, NULL, &f), -1);
    ck_assert_str_eq(f.text, "The number of jars to share is 0 to 10000.");
    ck_assert_int_eq(share_split(1, SHARE_IN_PROPORTION, p, 2, part, &out, say, NULL, &f), -1);
    ck_assert_str_eq(f.text, "Person 2: jars due and owed are 0 to 10000.");
    ck_assert_int_eq(share_split(1, SHARE_IN_PROPORTION, p, SHARE_PEOPLE_MAX + 1, part, &out, say, NULL, &f),
                     -1);
    ck_assert_int_eq(out.given, 7);
    /* the limits themselves can be, each of the four numbers by itself */
    static const struct {
        int jars, due, owed, result;
    } rows[] = {{SHARE_COUNT_MAX, 2, 0, 0}, {SHARE_COUNT_MAX + 1, 2, 0, -1}, {1, SHARE_COUNT_MAX, 0, 0},
                {1, SHARE_COUNT_MAX + 1, 0, -1}, {1, 2, SHARE_COUNT_MAX, 0}, {1, 2, SHARE_COUNT_MAX + 1, -1},
                {1, 2, -1, -1}, {0, 0, 0, 0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct share_person one = {rows[i].due, rows[i].owed};
        ck_assert_int_eq(share_split(rows[i].jars, SHARE_OWED_FIRST, &one, 1, part, &out, say, NULL, &f), rows[i].result);
    }
}
END_TEST

START_TEST(the_working_names_the_method)
{
    static const struct share_person p[] = {{2, 0}, {1, 0}};
    struct share_part part[2];
    struct share_split out;
    struct working w;
    struct source source;
    char say[200];
    working_init(&w, "share");
    ck_assert_int_eq(share_split(2, SHARE_OWED_FIRST, p, 2, part, &out, say, &w, NULL), 0);
    ck_assert(strstr(w.step[0], share_method_words(SHARE_OWED_FIRST)) != NULL);
    ck_assert_str_eq(w.given[2].text, share_method_words(SHARE_OWED_FIRST)); /* not cut */
    ck_assert_int_eq(source_find(w.source[0], &source), 0);
}
END_TEST

Suite *share_suite(void)
{
    Suite *s = suite_create("share");
    TCase *t = tcase_create("share");
    tcase_add_test(t, a_short_day_is_short_for_all_alike);
    tcase_add_test(t, a_tie_goes_to_whoever_is_owed_more);
    tcase_add_test(t, those_owed_from_before_can_come_first);
    tcase_add_test(t, what_is_over_pays_back_what_is_owed);
    tcase_add_test(t, days_without_jars_or_people_are_days_too);
    tcase_add_test(t, no_jar_is_lost_or_made_and_nobody_gets_more_than_theirs);
    tcase_add_test(t, who_is_owed_most_is_served_first);
    tcase_add_test(t, numbers_that_cannot_be_are_refused);
    tcase_add_test(t, the_working_names_the_method);
    suite_add_tcase(s, t);
    return s;
}
