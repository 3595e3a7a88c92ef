#include "core/herd/weights_csv.h"

#include "core/base/quantity.h"
#include "core/base/text.h"
#include "tests/support.h"

enum { KEPT_MAX = 40 };

struct kept {
    struct weight_row row[KEPT_MAX];
    size_t n;
};

static int keep(void *context, const struct weight_row *row, struct fail *f)
{
    (void)f;
    struct kept *k = context;
    if (k->n < KEPT_MAX)
        k->row[k->n] = *row;
    k->n++;
    return 0;
}

static int read_text(const char *text, enum weights_dates dates, struct kept *k, struct weights_preview *p,
                     struct fail *f)
{
    memset(k, 0, sizeof *k);
    return weights_csv_read(text, strlen(text), dates, keep, k, p, f);
}

START_TEST(a_plain_file_is_read_and_previewed)
{
    static struct kept k;
    static struct weights_preview p;
    struct fail f = {0};
    char iso[CIVIL_TEXT_MAX];
    const char *text = "Date,Cow,Milk (lb),Fat %,Protein %,Cells,Remarks\r\n"
                       "2026-05-01,Maud,48.5,4.9,3.8,150000,fine\r\n"
                       "2026-05-02,Maud,47,,,,\r\n"
                       "2026-04-30,Tib,21kg,5.1%,,,\r\n";
    ck_assert_msg(read_text(text, DATES_ISO, &k, &p, &f) == 0, "%s", f.text);
    ck_assert_str_eq(p.columns, "Date, Cow, Milk (lb), Fat %, Protein %, Cells; not read: Remarks");
    ck_assert_uint_eq(p.rows, 3);
    ck_assert_uint_eq(p.good, 3);
    ck_assert_uint_eq(p.samples, 3);
    ck_assert_uint_eq(p.wrongs, 0);
    ck_assert_str_eq(date_iso(p.first_on, iso), "2026-04-30");
    ck_assert_str_eq(date_iso(p.last_on, iso), "2026-05-02");
    ck_near(p.least_kg, 21, 1e-12);
    ck_near(p.most_kg, 48.5 * KG_PER_LB, 1e-12);
    ck_assert_uint_eq(k.n, 3);
    ck_assert_str_eq(k.row[0].cow, "Maud");
    ck_near(k.row[0].kg, 48.5 * KG_PER_LB, 1e-12);
    ck_assert(k.row[0].fat_pct == 4.9 && k.row[0].protein_pct == 3.8 && k.row[0].cells_per_ml == 150000);
    ck_assert(isnan(k.row[1].fat_pct) && isnan(k.row[1].cells_per_ml));
    ck_assert(k.row[2].kg == 21 && k.row[2].line == 4);
    ck_assert(!instant_known(k.row[0].at));
}
END_TEST

/* What each wrong row says, and that it does not stop the others. */
static const struct {
    const char *row, *wrong;
} wrongs[] = {
    {"2026-05-01,Maud,", "There is no weight."},
    {"2026-05-01,,22", "There is no cow."},
    {"2026-02-30,Maud,22", "\"2026-02-30\" is not a date; write it as 2026-05-03."},
    {"5/3/2026,Maud,22", "\"5/3/2026\" may be day or month first; say which, or write it as 2026-05-03."},
    {"yesterday,Maud,22", "\"yesterday\" is not a date; write it as 2026-05-03."},
    {"2026-05-01,Maud,lots", "\"lots\" is not a weight; write it as 48.5lb or 22kg."},
    {"2026-05-01,Maud,0", "A weight of nothing is not taken in; leave the row out."},
    {"2026-05-01,Maud,-4", "\"-4\" is less than nothing; a weight cannot be negative."},
    {"2026-05-01,Maud,480", "\"480\" is more than a cow gives in a day; is the unit right?"},
    {"2026-05-01,Maud,22,42", "\"42\" % cannot be meant; milk has at most 15 %."},
    {"2026-05-01,Maud,22,4,12", "\"12\" % cannot be meant; milk has at most 10 %."},
    {"2026-05-01,Maud,22,4,3,many", "\"many\" is not a count per mL; write it as 200000/mL."},
    {"06:10,Maud,22", "\"06:10\" is not a date; write it as 2026-05-03."},
};

START_TEST(every_wrong_row_says_what_is_wrong_and_stops_nothing)
{
    static struct kept k;
    static struct weights_preview p;
    struct fail f = {0};
    char text[2000] = "date,cow,kg,fat,protein,scc\n";
    const size_t n = sizeof wrongs / sizeof wrongs[0];
    for (size_t i = 0; i < n; i++)
        text_append(text, sizeof text, "%s\n", wrongs[i].row);
    text_append(text, sizeof text, "2026-05-03,Maud,22.5\n");
    ck_assert_msg(read_text(text, DATES_ISO, &k, &p, &f) == 0, "%s", f.text);
    ck_assert_uint_eq(p.rows, n + 1);
    ck_assert_uint_eq(p.good, 1);
    ck_assert_uint_eq(p.wrongs, WEIGHTS_WRONG_ROWS);
    for (size_t i = 0; i < n; i++) {
        ck_assert(!k.row[i].good);
        ck_assert_str_eq(k.row[i].wrong, wrongs[i].wrong);
        ck_assert_uint_eq(k.row[i].line, i + 2);
    }
    ck_assert(k.row[n].good && k.row[n].kg == 22.5);
}
END_TEST

START_TEST(plain_dates_are_read_in_the_order_chosen)
{
    static struct kept k;
    static struct weights_preview p;
    char iso[CIVIL_TEXT_MAX];
    const char *text =
        "day,cow,kg\n5/3/2026,Maud,22\n05.03.2026,Maud,22\n2026-05-03,Maud,22\n13/3/2026,Maud,22\n"
        "5/3/26,Maud,22\n";
    ck_assert_int_eq(read_text(text, DATES_MONTH_FIRST, &k, &p, NULL), 0);
    ck_assert_str_eq(date_iso(k.row[0].on, iso), "2026-05-03");
    ck_assert_str_eq(date_iso(k.row[1].on, iso), "2026-05-03");
    ck_assert_str_eq(date_iso(k.row[2].on, iso), "2026-05-03");
    ck_assert(!k.row[3].good && !k.row[4].good);
    ck_assert_int_eq(read_text(text, DATES_DAY_FIRST, &k, &p, NULL), 0);
    ck_assert_str_eq(date_iso(k.row[0].on, iso), "2026-03-05");
    ck_assert_str_eq(date_iso(k.row[2].on, iso), "2026-05-03");
    ck_assert_str_eq(date_iso(k.row[3].on, iso), "2026-03-13");
    ck_assert(!k.row[4].good); /* the year must be told in full */
}
END_TEST

START_TEST(times_may_stand_with_the_date_or_in_their_own_column)
{
    static struct kept k;
    static struct weights_preview p;
    char iso[CIVIL_TEXT_MAX];
    ck_assert_int_eq(
        read_text("cow,time,date,kg\nMaud,06:10,2026-05-03,22\nMaud,,2026-05-03,22\nMaud,25:00,2026-05-03,"
                  "22\n",
                  DATES_ISO, &k, &p, NULL),
        0);
    ck_assert_str_eq(instant_iso_local(k.row[0].at, iso), "2026-05-03T06:10:00-04:00");
    ck_assert(k.row[1].good && !instant_known(k.row[1].at));
    ck_assert(!k.row[2].good);
    ck_assert_int_eq(
        read_text("milked at,kg\n2026-05-03T06:10,22\n2026-05-03T23:30:00Z,21\n", DATES_ISO, &k, &p, NULL),
        0);
    ck_assert_str_eq(instant_iso_local(k.row[0].at, iso), "2026-05-03T06:10:00-04:00");
    ck_assert_str_eq(date_iso(k.row[1].on, iso), "2026-05-03");
    ck_assert_str_eq(k.row[0].cow, ""); /* no column of cows: one cow's file */
    ck_assert(k.row[0].good);
}
END_TEST

START_TEST(weights_without_a_unit_in_the_heading_need_one_in_the_cell)
{
    static struct kept k;
    static struct weights_preview p;
    ck_assert_int_eq(
        read_text("date,milk\n2026-05-03,22\n2026-05-03,22kg\n2026-05-03,48.5 lb\n", DATES_ISO, &k, &p, NULL),
        0);
    ck_assert(!k.row[0].good);
    ck_assert_str_eq(k.row[0].wrong, "\"22\" has no unit; write it as 48.5lb or 22kg.");
    ck_assert(k.row[1].kg == 22);
    ck_near(k.row[2].kg, 48.5 * KG_PER_LB, 1e-12);
    ck_assert_int_eq(read_text("date,kg,cells (1000 per mL)\n2026-05-03,22,150\n", DATES_ISO, &k, &p, NULL),
                     0);
    ck_assert(k.row[0].cells_per_ml == 150000);
}
END_TEST

START_TEST(headings_that_are_not_understood_are_refused)
{
    static struct kept k;
    static struct weights_preview p;
    struct fail f = {0};
    ck_assert_int_eq(read_text("", DATES_ISO, &k, &p, &f), -1);
    ck_assert_str_eq(f.text,
                     "The file is empty; its first row must name the columns: date, cow, and kg or lb.");
    ck_assert_int_eq(read_text("2026-05-03,Maud,22\n", DATES_ISO, &k, &p, &f), -1);
    ck_assert_int_eq(f.code, FAIL_INPUT);
    ck_assert_int_eq(read_text("date,cow\n2026-05-03,Maud\n", DATES_ISO, &k, &p, &f), -1);
    ck_assert_str_eq(
        f.text, "The first row must name the columns: date, cow, and kg or lb; there is no kg or lb among "
                "\"date, cow\".");
    ck_assert_int_eq(read_text("date,kg,lb\n2026-05-03,22,48\n", DATES_ISO, &k, &p, &f), -1);
    ck_assert_str_eq(f.text, "\"kg\" and \"lb\" would be the same column; leave one out.");
    ck_assert_uint_eq(k.n, 0);
}
END_TEST

START_TEST(dates_with_too_many_digits_and_weights_at_the_limit)
{
    static struct kept k;
    static struct weights_preview p;
    const char *text = "cow,date,kg\nMaud,005/3/2026,22\nMaud,5/003/2026,22\nMaud,5/3/02026,22\nMaud,5/3/226,22\n"
                       "Maud,5/3/2026x,22\nMaud,5 3 2026,22\n,5/3/2026,22\nMaud,5/3/2026,100.1\n"
                       "Maud,5/3/2026,100\nMaud,05-03-2026,22\n";
    ck_assert_int_eq(read_text(text, DATES_MONTH_FIRST, &k, &p, NULL), 0);
    ck_assert_uint_eq(k.n, 10);
    for (size_t i = 0; i < 8; i++)
        ck_assert_msg(!k.row[i].good, "row %zu was taken", i);
    ck_assert_str_eq(k.row[6].wrong, "There is no cow.");
    ck_assert(k.row[8].good && k.row[9].good); /* 100 kg a day can be meant: the most that cows give */
    ck_assert_int_eq(k.row[9].on.days, k.row[8].on.days);
}
END_TEST

static int stop_at_three(void *context, const struct weight_row *row, struct fail *f)
{
    size_t *n = context;
    (void)row;
    return ++*n == 3 ? fail_refused(f, "Enough.") : 0;
}

START_TEST(the_caller_can_stop_and_long_files_need_no_memory)
{
    static struct weights_preview p;
    struct fail f = {0};
    const size_t rows = 60000, width = 20;
    char *text = malloc(rows * width + 20);
    size_t used = (size_t)snprintf(text, 20, "date,cow,kg\n"), seen = 0;
    for (size_t i = 0; i < rows; i++)
        used += (size_t)snprintf(text + used, width, "2026-%02d-%02d,Tib,%d\n", (int)(i / 28 % 12) + 1,
                                 (int)(i % 28) + 1, (int)(i % 30) + 5);
    ck_assert_int_eq(weights_csv_read(text, used, DATES_ISO, NULL, NULL, &p, &f), 0);
    ck_assert_uint_eq(p.rows, rows);
    ck_assert_uint_eq(p.good, rows);
    ck_assert_uint_eq(p.samples, WEIGHTS_PREVIEW_ROWS);
    ck_assert_int_eq(weights_csv_read(text, used, DATES_ISO, stop_at_three, &seen, &p, &f), -1);
    ck_assert_str_eq(f.text, "Enough.");
    ck_assert_uint_eq(seen, 3);
    free(text);
}
END_TEST

START_TEST(random_bytes_do_no_harm)
{
    struct stream s = {99};
    static struct weights_preview p;
    static const char parts[] = "date,cow,kg\n2026-05-03T06:10 ,\"\"'=-+/.:5%lb\r\n\t\xC3\xA9\xFF";
    for (int round = 0; round < 3000; round++) {
        char text[200] = "date,cow,kg,fat\n";
        size_t n = strlen(text);
        while (n < sizeof text - 1)
            text[n++] = parts[stream_below(&s, (int)sizeof parts - 1)];
        (void)weights_csv_read(text, n, (enum weights_dates)stream_below(&s, 3), NULL, NULL, &p, NULL);
        if (p.good > p.rows || p.samples > WEIGHTS_PREVIEW_ROWS)
            ck_abort_msg("round %d", round);
    }
}
END_TEST

Suite *weights_csv_suite(void)
{
    Suite *s = suite_create("weights_csv");
    TCase *t = tcase_create("weights_csv");
    tcase_add_test(t, a_plain_file_is_read_and_previewed);
    tcase_add_test(t, every_wrong_row_says_what_is_wrong_and_stops_nothing);
    tcase_add_test(t, plain_dates_are_read_in_the_order_chosen);
    tcase_add_test(t, times_may_stand_with_the_date_or_in_their_own_column);
    tcase_add_test(t, weights_without_a_unit_in_the_heading_need_one_in_the_cell);
    tcase_add_test(t, headings_that_are_not_understood_are_refused);
    tcase_add_test(t, dates_with_too_many_digits_and_weights_at_the_limit);
    tcase_add_test(t, the_caller_can_stop_and_long_files_need_no_memory);
    tcase_add_test(t, random_bytes_do_no_harm);
    suite_add_tcase(s, t);
    return s;
}
