/* Batch codes: what a wet pen and a tired eye do to them. That a weighted sum modulo a prime, with weights
 * that differ, shows every single error and every swap is the theory of check digits as of ISBN-10 (from
 * memory); here it is tried out on whole codes, letters that look like digits and all. */
#include <ctype.h>

#include "core/milk/code.h"
#include "tests/support.h"

static struct batch_code code_of(const char *day, int milking, char letter)
{
    struct batch_code c = {.milking = milking, .letter = letter};
    ck_assert_int_eq(date_parse(day, &c.on, NULL), 0);
    return c;
}

static struct batch_code random_code(struct stream *s)
{
    struct batch_code c;
    ck_assert(date_from_ymd(2000, 1, 1, &c.on));
    c.on.days += stream_below(s, 36525);
    c.milking = 1 + stream_below(s, CODE_MILKINGS_MAX);
    c.letter = code_letters[stream_below(s, (int)strlen(code_letters))];
    return c;
}

static bool same(const struct batch_code *a, const struct batch_code *b)
{
    return a->on.days == b->on.days && a->milking == b->milking && a->letter == b->letter;
}

/* Text that is read as nothing, or as this code, and as no other. */
static void check_not_mistaken(const char *text, const struct batch_code *meant, int *read, int *refused)
{
    struct batch_code got;
    if (code_parse(text, &got, NULL) != 0) {
        (*refused)++;
        return;
    }
    (*read)++;
    if (!same(&got, meant))
        ck_abort_msg("\"%s\" was read as another code", text);
}

START_TEST(a_code_says_its_day_milking_and_letter)
{
    char buf[CODE_TEXT_MAX];
    struct batch_code c = code_of("2026-05-03", 1, 'A'), back;
    ck_assert_int_eq(code_format(&c, buf, NULL), 0);
    /* Shapes 2 6 0 5 0 3 1 4, weights 9 to 2, by hand: 18+48+0+30+0+12+3+8 = 119 = 4 mod 23; 19 more make
     * 138: R. */
    ck_assert_str_eq(buf, "260503-1AR");
    ck_assert_int_eq(code_parse(buf, &back, NULL), 0);
    ck_assert(same(&c, &back));
}
END_TEST

START_TEST(codes_are_read_however_they_are_written)
{
    static const char *const texts[] = {"260503-1AR", "2605031AR",  "260503 1a r", " 26-05-03 / 1.A.r ",
                                        "26O5O3-IAR", "Z6o5o3_l4R", "zgoso3 la r"};
    struct batch_code c = code_of("2026-05-03", 1, 'A');
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct batch_code got;
        struct fail f = {0};
        ck_assert_msg(code_parse(texts[i], &got, &f) == 0, "%s: %s", texts[i], f.text);
        ck_assert_msg(same(&got, &c), "%s", texts[i]);
    }
}
END_TEST

START_TEST(every_code_reads_back_as_itself)
{
    struct stream s = {.state = 9};
    for (int i = 0; i < 20000; i++) {
        struct batch_code c = random_code(&s), back;
        char buf[CODE_TEXT_MAX];
        if (code_format(&c, buf, NULL) != 0 || code_parse(buf, &back, NULL) != 0 || !same(&c, &back))
            ck_abort_msg("code %d: %s", i, buf);
    }
}
END_TEST

START_TEST(any_single_character_misread_is_refused_or_means_the_same)
{
    struct stream s = {.state = 10};
    int read = 0, refused = 0;
    for (int i = 0; i < 2000; i++) {
        struct batch_code c = random_code(&s);
        char buf[CODE_TEXT_MAX];
        ck_assert_int_eq(code_format(&c, buf, NULL), 0);
        for (size_t k = 0; buf[k] != '\0'; k++) {
            char was = buf[k];
            for (int put = '0'; was != '-' && put <= 'z'; put++)
                if (isalnum(put) && put != was) {
                    buf[k] = (char)put;
                    check_not_mistaken(buf, &c, &read, &refused);
                }
            buf[k] = was;
        }
    }
    ck_assert_int_gt(read, 1000); /* letters for their digits, and the reverse */
    ck_assert_int_gt(refused, 100000);
}
END_TEST

START_TEST(any_two_characters_swapped_are_refused_or_mean_the_same)
{
    struct stream s = {.state = 11};
    int read = 0, refused = 0;
    for (int i = 0; i < 20000; i++) {
        struct batch_code c = random_code(&s);
        char buf[CODE_TEXT_MAX];
        if (code_format(&c, buf, NULL) != 0)
            ck_abort_msg("code %d", i);
        for (size_t a = 0; buf[a] != '\0'; a++)
            for (size_t b = a + 1; buf[b] != '\0'; b++) {
                char first = buf[a], second = buf[b];
                if (first == second || first == '-' || second == '-')
                    continue;
                buf[a] = second;
                buf[b] = first;
                check_not_mistaken(buf, &c, &read, &refused);
                buf[a] = first;
                buf[b] = second;
            }
    }
    ck_assert_int_gt(read, 100); /* 4A for A4 */
    ck_assert_int_gt(refused, 100000);
}
END_TEST

START_TEST(a_doubled_digit_misread_as_another_is_refused)
{
    struct stream s = {.state = 12};
    int read = 0, refused = 0;
    for (int i = 0; i < 5000; i++) {
        struct batch_code c = random_code(&s);
        char buf[CODE_TEXT_MAX];
        if (code_format(&c, buf, NULL) != 0)
            ck_abort_msg("code %d", i);
        for (size_t k = 0; k < 5; k++) {
            char was = buf[k];
            for (char put = '0'; buf[k + 1] == was && put <= '9'; put++)
                if (put != was) {
                    buf[k] = buf[k + 1] = put;
                    check_not_mistaken(buf, &c, &read, &refused);
                    buf[k] = buf[k + 1] = was;
                }
        }
    }
    ck_assert_int_eq(read, 0);
    ck_assert_int_gt(refused, 1000);
}
END_TEST

START_TEST(what_is_wrong_with_a_code_is_said)
{
    static const struct {
        const char *text, *line;
    } rows[] = {
        {"", "\"\" is not a batch code: those have nine characters, as 260503-1AR."},
        {"B", "\"B\" is not a batch code: those have nine characters, as 260503-1AR."},
        {"260503-1ARRRR",
         "\"260503-1ARRRR\" is not a batch code: those have nine characters, as 260503-1AR."},
        {"26X503-1AR", "Character 3 of a batch code is a digit, not \"X\"; look at the tape again."},
        {"260503-13R", "Character 8 of a batch code is a letter, not \"3\"; look at the tape again."},
        {"260503-1A?", "Character 9 of a batch code is a letter, not \"?\"; look at the tape again."},
        {"26O2E0-1AR", "Character 5 of a batch code is a digit, not \"E\"; look at the tape again."},
        {"260230-1AR", "\"260230-1AR\": there is no day 2026-02-30; look at the tape again."},
        {"260503-0AR", "\"260503-0AR\": milkings are counted from 1; look at the tape again."},
        {"260503-1AK",
         "\"260503-1AK\" has a character misread: its check does not fit; look at the tape again."},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct batch_code c = {.milking = 77};
        struct fail f = {0};
        ck_assert_int_eq(code_parse(rows[i].text, &c, &f), -1);
        ck_assert_str_eq(f.text, rows[i].line);
        ck_assert_int_eq((int)f.code, FAIL_INPUT);
        ck_assert_int_eq(c.milking, 77); /* nothing changed */
    }
}
END_TEST

START_TEST(values_that_no_code_holds_are_refused)
{
    char buf[CODE_TEXT_MAX];
    struct batch_code bad[] = {code_of("1999-12-31", 1, 'A'),  code_of("2100-01-01", 1, 'A'),
                               code_of("2026-05-03", 0, 'A'),  code_of("2026-05-03", 10, 'A'),
                               code_of("2026-05-03", 1, 'O'),  code_of("2026-05-03", 1, 'a'),
                               code_of("2026-05-03", 1, '\0'), {DATE_NONE, 1, 'A'}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct fail f = {0};
        ck_assert_msg(code_format(&bad[i], buf, &f) == -1 && f.text[0] != '\0', "row %zu", i);
    }
}
END_TEST

START_TEST(batches_of_a_milking_get_letters_that_cannot_be_taken_for_each_other)
{
    ck_assert_int_eq(code_letter(0), 'A');
    ck_assert_int_eq(code_letter(1), 'B');
    ck_assert_int_eq(code_letter(19), 'Z');
    ck_assert_int_eq(code_letter(20), '\0');
    ck_assert_int_eq(code_letter(21), '\0');
    ck_assert_int_eq(code_letter(-1), '\0');
    for (const char *p = "ILOQUV"; *p != '\0'; p++)
        ck_assert(strchr(code_letters, *p) == NULL);
}
END_TEST

START_TEST(one_slip_finds_the_code_that_was_meant)
{
    struct batch_code known[] = {code_of("2026-05-03", 1, 'A'), code_of("2026-05-03", 1, 'B'),
                                 code_of("2026-05-04", 1, 'A')};
    char second[CODE_TEXT_MAX];
    ck_assert_int_eq(code_format(&known[1], second, NULL), 0);
    ck_assert_int_eq(code_match("260503-1AR", known, 3), 0);
    ck_assert_int_eq(code_match("260508-1AR", known, 3), 0);  /* 8 for 3 */
    ck_assert_int_eq(code_match("260530-1AR", known, 3), 0);  /* swapped */
    ck_assert_int_eq(code_match("26053-1AR", known, 3), 0);   /* left out */
    ck_assert_int_eq(code_match("2605033-1AR", known, 3), 0); /* twice */
    ck_assert_int_eq(code_match("260503-1A", known, 3), 0);   /* the check smudged */
    ck_assert_int_eq(code_match(second, known, 3), 1);
    ck_assert_int_eq(code_match("991231-1AR", known, 3), CODE_NO_MATCH);
    ck_assert_int_eq(code_match("B", known, 3), CODE_NO_MATCH);
    ck_assert_int_eq(code_match("260503-1AR", known, 0), CODE_NO_MATCH);
    /* Two batches that differ in letter and check: the check left out leaves both one slip away. */
    struct batch_code twins[] = {known[0], known[0]};
    ck_assert_int_eq(code_match("260503-1A", twins, 2), CODE_MATCH_UNCLEAR);
}
END_TEST

Suite *code_suite(void)
{
    Suite *s = suite_create("code");
    TCase *t = tcase_create("code");
    tcase_add_test(t, a_code_says_its_day_milking_and_letter);
    tcase_add_test(t, codes_are_read_however_they_are_written);
    tcase_add_test(t, every_code_reads_back_as_itself);
    tcase_add_test(t, any_single_character_misread_is_refused_or_means_the_same);
    tcase_add_test(t, any_two_characters_swapped_are_refused_or_mean_the_same);
    tcase_add_test(t, a_doubled_digit_misread_as_another_is_refused);
    tcase_add_test(t, what_is_wrong_with_a_code_is_said);
    tcase_add_test(t, values_that_no_code_holds_are_refused);
    tcase_add_test(t, batches_of_a_milking_get_letters_that_cannot_be_taken_for_each_other);
    tcase_add_test(t, one_slip_finds_the_code_that_was_meant);
    suite_add_tcase(s, t);
    return s;
}
