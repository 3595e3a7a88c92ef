/* What help says can be done: every example of it works as it stands, and one line says what each thing does. */
#include <ctype.h>

#include "core/base/file.h"
#include "src/reckon.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

enum { WORDS_MAX = 24 };

/* Words as a shell takes them, double quotes and all; the text is cut up in place. */
static size_t cut(char *text, char *word[WORDS_MAX])
{
    size_t n = 0;
    char *to = text;
    for (const char *from = text; *from != '\0';) {
        while (*from == ' ')
            from++;
        if (*from == '\0')
            break;
        ck_assert_uint_lt(n, WORDS_MAX);
        word[n++] = to;
        for (bool quoted = false; *from != '\0' && (quoted || *from != ' '); from++) {
            if (*from == '"')
                quoted = !quoted;
            else
                *to++ = *from;
        }
        from += *from == ' ';
        *to++ = '\0';
    }
    return n;
}

static void check_line(const char *name, const char *does)
{
    size_t length = strlen(does);
    ck_assert_msg(length > 0 && length <= 100 && does[length - 1] != '.', "%s: %s", name, does);
    /* A capital only where a name begins: Wood's curve, Newton's law. */
    ck_assert_msg(!isupper((unsigned char)does[0]) || strncmp(does, "Wood", 4) == 0 || strncmp(does, "Newton", 6) == 0,
                  "%s: %s", name, does);
}

static void write_file(const char *name, const char *text)
{
    struct fail f = {0};
    ck_assert_msg(file_replace(scratch_path(name), text, strlen(text), &f) == 0, "%s", f.text);
}

/* "file=weights.csv" reads that file of the test. */
static void find_file(char *word[], size_t n, char path[200])
{
    for (size_t i = 0; i < n; i++) {
        char *name = strstr(word[i], "file=");
        if (name != word[i])
            continue;
        snprintf(path, 200, "file=%s", scratch_path(name + 5));
        word[i] = path;
    }
}

START_TEST(every_example_of_reckon_works)
{
    static const struct reckon_topic *const lists[] = {reckon_cooling, reckon_limits,     reckon_herd, reckon_breeding,
                                                       reckon_feeding, reckon_sanitation, reckon_milk};
    int topics = 0;
    /* Wood's curve of a = 20, b = 0.2, c = 0.004, and two tests of one lactation. */
    write_file("weights.csv", "day,kg\n1,19.9\n10,30.5\n30,35.0\n50,35.8\n100,33.7\n200,25.9\n305,18.5\n");
    write_file("tests.csv", "date,kg,fat_pct\n2025-04-08,28.2,3.65\n2025-05-06,24.8,3.45\n");
    for (size_t l = 0; l < sizeof lists / sizeof lists[0]; l++)
        for (const struct reckon_topic *t = lists[l]; t->name != NULL; t++, topics++) {
            char text[400], path[200], *word[WORDS_MAX];
            static struct working w;
            struct fail f = {0};
            snprintf(text, sizeof text, "%s", t->example);
            size_t n = cut(text, word);
            find_file(word, n, path);
            check_line(t->name, t->does);
            ck_assert_msg(reckon_run(t, word, n, UNITS_US, rig_at("2026-05-03T06:10"), &w, &f) == 0, "reckon %s %s: %s",
                          t->name, t->example, f.text);
            ck_assert_msg(w.result_count > 0, "reckon %s has no result", t->name);
        }
    ck_assert_int_ge(topics, 18);
}
END_TEST

START_TEST(every_example_of_record_fills_its_form)
{
    const struct act_kind *k;
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    for (size_t i = 0; (k = act_at(i)) != NULL; i++) {
        char text[400], *word[WORDS_MAX];
        struct form form;
        struct fail f = {0};
        snprintf(text, sizeof text, "%s", k->example);
        size_t n = cut(text, word);
        check_line(k->name, k->does);
        act_form(d, k, rig_at("2026-05-03T07:30"), &form);
        for (size_t j = 0; j < n; j++)
            ck_assert_msg(form_set_pair(&form, word[j], &f) == 0, "record %s %s: %s", k->name, k->example, f.text);
        ck_assert_msg(form_check(&form, &f) == 0, "record %s %s: %s", k->name, k->example, f.text);
    }
    dairy_close(d);
}
END_TEST

/* The manual page lists them all in the words of the program. */
static void expect_in_manual(const char *manual, const char *name, const char *does)
{
    char item[200];
    snprintf(item, sizeof item, ".It Cm %s\n%s.\n", name, does);
    ck_assert_msg(strstr(manual, item) != NULL, "the manual page lacks %s, or tells it otherwise: %s", name, does);
}

START_TEST(the_manual_page_lists_every_kind_and_topic)
{
    static const struct reckon_topic *const lists[] = {reckon_cooling, reckon_limits,     reckon_herd, reckon_breeding,
                                                       reckon_feeding, reckon_sanitation, reckon_milk};
    const struct act_kind *k;
    size_t size;
    char *manual = read_test_file("../assets/springhouse.1", &size);
    for (size_t i = 0; (k = act_at(i)) != NULL; i++)
        expect_in_manual(manual, k->name, k->does);
    for (size_t l = 0; l < sizeof lists / sizeof lists[0]; l++)
        for (const struct reckon_topic *t = lists[l]; t->name != NULL; t++)
            expect_in_manual(manual, t->name, t->does);
    free(manual);
}
END_TEST

Suite *examples_suite(void)
{
    Suite *s = suite_create("examples");
    TCase *t = tcase_create("examples");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, every_example_of_reckon_works);
    tcase_add_test(t, every_example_of_record_fills_its_form);
    tcase_add_test(t, the_manual_page_lists_every_kind_and_topic);
    suite_add_tcase(s, t);
    return s;
}
