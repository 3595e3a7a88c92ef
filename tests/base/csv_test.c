/* RFC 4180 (section 2, rules 1-7) for the form; CWE-1236 for cells that a spreadsheet would run. */

#include "core/base/csv.h"
#include "tests/support.h"

struct seen {
    char text[2048];
    int rows;
    int stop_at;
};

static int note_row(void *context, const struct csv_row *row, struct fail *f)
{
    struct seen *seen = context;
    if (++seen->rows == seen->stop_at)
        return fail_input(f, "row %zu is bad", row->line);
    for (size_t i = 0; i < row->count; i++) {
        strncat(seen->text, "[", sizeof seen->text - strlen(seen->text) - 1);
        strncat(seen->text, row->cell[i], sizeof seen->text - strlen(seen->text) - 1);
        strncat(seen->text, "]", sizeof seen->text - strlen(seen->text) - 1);
    }
    strncat(seen->text, ";", sizeof seen->text - strlen(seen->text) - 1);
    return 0;
}

START_TEST(rows_are_read_as_rfc_4180_writes_them)
{
    static const struct {
        const char *text, *expected;
    } cases[] = {
        {"aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "[aaa][bbb][ccc];[zzz][yyy][xxx];"}, /* rule 1 */
        {"aaa,bbb,ccc\r\nzzz,yyy,xxx", "[aaa][bbb][ccc];[zzz][yyy][xxx];"},     /* rule 2 */
        {"\"aaa\",\"b CRLF bb\",\"ccc\"", "[aaa][b CRLF bb][ccc];"},            /* rules 5, 6 */
        {"\"aaa\",\"b\"\"bb\",\"ccc\"", "[aaa][b\"bb][ccc];"},                  /* rule 7 */
        {"a,\"x, y\",\n\n,,\nb", "[a][x, y][];[b];"}, /* empty rows are passed over */
        {"\xEF\xBB\xBFname,kg\n", "[name][kg];"},
        {"\"'=1+1\",'-5,'quoted\n", "[=1+1][-5]['quoted];"},
        {"''=1,'''-2,''plain\n", "['=1][''-2][''plain];"}, /* one apostrophe is ours */
        {"a\x1b[2Jb\n", "[a\xEF\xBF\xBD[2Jb];"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct seen seen = {.stop_at = -1};
        struct fail f = {0};
        ck_assert_msg(csv_read(cases[i].text, strlen(cases[i].text), note_row, &seen, &f) == 0, "%s", f.text);
        ck_assert_str_eq(seen.text, cases[i].expected);
    }
}
END_TEST

START_TEST(oversized_rows_and_bad_rows_stop_the_reading)
{
    char wide[256] = "", longer[2000];
    struct fail f = {0};
    struct seen seen = {.stop_at = -1};
    for (int i = 0; i < 40; i++)
        strncat(wide, "x,", sizeof wide - strlen(wide) - 1);
    ck_assert_int_eq(csv_read(wide, strlen(wide), note_row, &seen, &f), -1);
    ck_assert_str_eq(f.text, "Row 1 is too long: at most 32 cells of 511 characters.");
    memset(longer, 'y', sizeof longer);
    ck_assert_int_eq(csv_read(longer, sizeof longer, note_row, &seen, &f), -1);
    seen = (struct seen){.stop_at = 2};
    ck_assert_int_eq(csv_read("a\nb\nc\n", 6, note_row, &seen, &f), -1);
    ck_assert_str_eq(f.text, "row 2 is bad");
    ck_assert_int_eq(seen.rows, 2);
}
END_TEST

START_TEST(what_is_written_reads_back)
{
    struct stream s = {3};
    static const char alphabet[] = "ab,\"= +-@'x";
    for (int n = 0; n < 20000; n++) {
        char text[20] = "", cell[80], line[100];
        int length = 1 + stream_below(&s, 12);
        for (int i = 0; i < length; i++)
            text[i] = alphabet[stream_below(&s, (int)sizeof alphabet - 1)];
        text[length] = '\0';
        if (text[0] == ' ' || text[length - 1] == ' ' || strstr(text, "  ") != NULL)
            continue; /* stored text is clean: no such blanks */
        ck_assert(csv_quote(cell, sizeof cell, text));
        ck_assert_msg(strchr("=+-@", cell[cell[0] == '"' ? 1 : 0]) == NULL || text[0] == '\0', "%s", cell);
        strcpy(line, cell);
        strcat(line, ",end\n");
        struct seen seen = {.stop_at = -1};
        char expected[64];
        snprintf(expected, sizeof expected, "[%s][end];", text);
        ck_assert_int_eq(csv_read(line, strlen(line), note_row, &seen, NULL), 0);
        ck_assert_str_eq(seen.text, expected);
    }
}
END_TEST

struct long_seen {
    char *expected;
    int rows;
};

static int compare_long(void *context, const struct csv_long_row *row, struct fail *f)
{
    struct long_seen *seen = context;
    (void)f;
    seen->rows++;
    ck_assert_uint_eq(row->count, 3);
    ck_assert_str_eq(row->cell[0], seen->expected);
    ck_assert_str_eq(row->cell[1], "-1");
    ck_assert_str_eq(row->cell[2], "two\nlines");
    return 0;
}

START_TEST(long_cells_come_as_they_are)
{
    enum { LONG = 60000 };
    char *text = malloc(LONG + 100);
    struct fail f = {0};
    memset(text, 'y', LONG);
    strcpy(text + LONG, ",'-1,\"two\nlines\"\r\n,,\n");
    struct long_seen seen = {.expected = malloc(LONG + 1)};
    memset(seen.expected, 'y', LONG);
    seen.expected[LONG] = '\0';
    ck_assert_msg(csv_read_long(text, strlen(text), compare_long, &seen, &f) == 0, "%s", f.text);
    ck_assert_int_eq(seen.rows, 1);
    free(seen.expected);
    free(text);
}
END_TEST

START_TEST(a_zero_byte_hides_nothing)
{
    struct seen seen = {.stop_at = -1};
    ck_assert_int_eq(csv_read("a\0b,c\0\0\n", 8, note_row, &seen, NULL), 0);
    ck_assert_str_eq(seen.text, "[a\xEF\xBF\xBD"
                                "b][c\xEF\xBF\xBD];");
}
END_TEST

START_TEST(a_file_cut_short_is_not_a_whole_one)
{
    static const char *const cases[] = {"a,\"b\nc,d\n", "a,\"b", "a,b\"c\n", "a,\"b\"c\n"};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct seen seen = {.stop_at = -1};
        struct fail f = {0};
        ck_assert_int_eq(csv_read(cases[i], strlen(cases[i]), note_row, &seen, &f), -1);
        ck_assert_int_eq(f.code, FAIL_INPUT);
    }
}
END_TEST

START_TEST(a_cell_that_does_not_fit_is_said)
{
    char small[6];
    ck_assert(!csv_quote(small, sizeof small, "a,bcdef"));
    ck_assert_str_eq(small, "");
    ck_assert(csv_quote(small, sizeof small, "abcde"));
}
END_TEST

/* RFC 4180, 2.4: spaces are part of a field. Found by fuzzing: blanks at the end were lost in reading. */
START_TEST(blanks_at_the_edges_come_back)
{
    static const char *const texts[] = {"end ", " begin", "tab\t", "\tboth\t", " "};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        char cell[20];
        ck_assert(csv_quote(cell, sizeof cell, texts[i]));
        ck_assert_int_eq(cell[0], '"');
        ck_assert_int_eq(cell[strlen(cell) - 1], '"');
    }
}
END_TEST

Suite *csv_suite(void)
{
    Suite *s = suite_create("csv");
    TCase *t = tcase_create("csv");
    tcase_add_test(t, rows_are_read_as_rfc_4180_writes_them);
    tcase_add_test(t, oversized_rows_and_bad_rows_stop_the_reading);
    tcase_add_test(t, what_is_written_reads_back);
    tcase_add_test(t, blanks_at_the_edges_come_back);
    tcase_add_test(t, long_cells_come_as_they_are);
    tcase_add_test(t, a_zero_byte_hides_nothing);
    tcase_add_test(t, a_file_cut_short_is_not_a_whole_one);
    tcase_add_test(t, a_cell_that_does_not_fit_is_said);
    suite_add_tcase(s, t);
    return s;
}
