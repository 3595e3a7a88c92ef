/* Everything as plain text, and back: the same records, byte for byte the same text. */
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/base/csv.h"
#include "core/base/file.h"
#include "core/day/dairy.h"
#include "core/store/portable.h"
#include "core/store/rows.h"
#include "demo/dairy.h"
#include "tests/scratch.h"
#include "tests/support.h"

static size_t files, rows;

/* Text that a careless writer or reader of CSV would change: RFC 4180 rules 5 to 7, CWE-1236, UTF-8. */
static const char *const awkward[] = {"a,b", "\"q\"", "=1+1",          "'=1", "''-2", "+",
                                      "@x",  "-5",    "käse 花 1/2 ½", "'",   "\"\""};

/* Made once for all tests, since it takes seconds. */
static char made_in[] = "/tmp/springhouse-portable-XXXXXX", made[64];

static void record(struct dairy *d, const char *act, const char *pair)
{
    struct fail f = {0};
    struct form form;
    struct act_done done;
    act_form(d, act_find(act), demo_now(), &form);
    ck_assert_msg(form_set_pair(&form, pair, &f) == 0, "%s", f.text);
    ck_assert_msg(dairy_record(d, act_find(act), &form, demo_now(), &done, &f) == 0, "%s", f.text);
}

static void make_dairy(void)
{
    struct fail f = {0};
    struct dairy *d;
    struct act_done done;
    ck_assert(mkdtemp(made_in) != NULL);
    snprintf(made, sizeof made, "%s/a.db", made_in);
    ck_assert_msg(dairy_open(made, DAIRY_SCRATCH, &d, &f) == 0 && demo_fill(d, 7, &f) == 0, "%s", f.text);
    for (size_t i = 0; i < sizeof awkward / sizeof awkward[0]; i++) {
        char pair[80];
        snprintf(pair, sizeof pair, "text=%s", awkward[i]);
        record(d, "note", pair);
    }
    /* The last number used belongs to a row that is gone. */
    ck_assert_int_eq(dairy_undo(d, 0, demo_now(), &done, &f), 0);
    ck_assert_int_eq(dairy_settle(d, &f), 0);
    dairy_close(d);
}

static void remove_dairy(void)
{
    char journal[80];
    snprintf(journal, sizeof journal, "%s-journal", made);
    unlink(made);
    unlink(journal);
    rmdir(made_in);
}

static int export_to(const char *db, const char *folder, struct fail *f)
{
    struct dairy *d;
    ck_assert_int_eq(dairy_open(db, DAIRY_READ, &d, f), 0);
    int result = dairy_export(d, folder, &files, &rows, f);
    dairy_close(d);
    return result;
}

static int import_into(const char *db, const char *path, struct fail *f)
{
    struct dairy *d;
    char given[128];
    char *paths[] = {given};
    snprintf(given, sizeof given, "%s", path);
    ck_assert_int_eq(dairy_open(db, DAIRY_CREATE, &d, f), 0);
    int result = dairy_import(d, paths, 1, &files, &rows, f);
    dairy_close(d);
    return result;
}

static char *read_in(const char *folder, const char *name, size_t *size)
{
    char path[256], *text;
    snprintf(path, sizeof path, "%s/%s", folder, name);
    struct fail f = {0};
    ck_assert_msg(file_read(path, &text, size, &f) == 0, "%s", f.text);
    return text;
}

static void same_file(const char *one, const char *two, const char *name)
{
    size_t size_one, size_two;
    char *first = read_in(one, name, &size_one), *second = read_in(two, name, &size_two);
    ck_assert_msg(size_one == size_two && memcmp(first, second, size_one) == 0, "%s differs", name);
    free(first);
    free(second);
}

/* Rows of one file that the other lacks, as SQLite itself sees them. */
static void same_rows(const char *one, const char *two, const char *table)
{
    sqlite3 *db;
    sqlite3_stmt *count;
    char sql[400];
    ck_assert_int_eq(sqlite3_open(one, &db), SQLITE_OK);
    snprintf(sql, sizeof sql, "ATTACH '%s' AS other", two);
    ck_assert_int_eq(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    for (int turn = 0; turn < 2; turn++) {
        snprintf(sql, sizeof sql, "SELECT count(*) FROM (SELECT * FROM %s.%s EXCEPT SELECT * FROM %s.%s)",
                 turn == 0 ? "main" : "other", table, turn == 0 ? "other" : "main", table);
        ck_assert_int_eq(sqlite3_prepare_v2(db, sql, -1, &count, NULL), SQLITE_OK);
        ck_assert_int_eq(sqlite3_step(count), SQLITE_ROW);
        ck_assert_msg(sqlite3_column_int(count, 0) == 0, "%s is not the same", table);
        sqlite3_finalize(count);
    }
    sqlite3_close(db);
}

START_TEST(an_export_read_back_is_the_same_dairy)
{
    struct fail f = {0};
    struct stat st;
    const struct table *t;
    const char *back = scratch_path("b.db"), *one = scratch_path("one"), *two = scratch_path("two");
    ck_assert_msg(export_to(made, one, &f) == 0, "%s", f.text);
    size_t written = rows;
    ck_assert_uint_gt(written, 3000);
    ck_assert_msg(import_into(back, one, &f) == 0, "%s", f.text);
    ck_assert_uint_eq(rows, written);
    ck_assert_msg(export_to(back, two, &f) == 0, "%s", f.text);
    for (size_t n = 0; (t = table_at(n)) != NULL; n++) {
        char name[64];
        snprintf(name, sizeof name, "%s.csv", t->name);
        same_file(one, two, name);
        same_rows(made, back, t->name);
    }
    same_file(one, two, "journal.csv");
    same_file(one, two, "numbering.csv");
    same_file(one, two, "columns.txt");
    same_rows(made, back, "journal");
    same_rows(made, back, "sqlite_sequence");
    ck_assert_int_eq(stat(one, &st), 0);
    ck_assert_int_eq(st.st_mode & 0777, 0700);
}
END_TEST

START_TEST(what_came_back_can_be_taken_back)
{
    struct fail f = {0};
    struct dairy *d;
    struct act_done done;
    ck_assert_int_eq(export_to(made, scratch_path("one"), &f), 0);
    ck_assert_int_eq(import_into(scratch_path("b.db"), scratch_path("one"), &f), 0);
    ck_assert_int_eq(dairy_open(scratch_path("b.db"), DAIRY_WRITE, &d, &f), 0);
    ck_assert(dairy_is_set_up(d));
    ck_assert_msg(dairy_undo(d, 0, demo_now(), &done, &f) == 0, "%s", f.text);
    ck_assert(strstr(done.what, "took back") != NULL);
    dairy_close(d);
}
END_TEST

static void write_file(const char *path, const char *text)
{
    ck_assert_int_eq(file_replace(path, text, strlen(text), NULL), 0);
}

#define DAIRY_CSV                                                                                            \
    "id,name,units,limit_set,stalls,tub_water_ml,tap_temp_mc,room_temp_mc,fridge_temp_mc,stir,table_s,"      \
    "fresh_s,fresh_milkings,milking_time,made_at\n"                                                          \
    "1,Hill,us,%s,4,30000,11000,12000,3000,no,300,0,0,06:10,2026-05-03T06:10:00Z\n"

START_TEST(what_does_not_fit_is_refused_with_its_place_and_nothing_comes_in)
{
    static const struct {
        const char *name, *text, *words;
    } cases[] = {
        {"cow.csv", "id,name\n1,Maud\nx,Tib\n", "cow.csv row 3, id: \"x\" is not a whole number."},
        {"cow.csv", "id,name\n1,Maud,5\n", "row 2 has 3 cells; its heading has 2."},
        {"cow.csv", "id,name,colour\n", "has a column \"colour\" that these records do not know."},
        {"cow.csv", "id,name,name\n", "has the column \"name\" twice."},
        {"cow.csv", "", "cow.csv is empty"},
        {"cow.csv", "id,name\n1,\n", "row 2 does not fit the records: CHECK constraint failed: name <> ''."},
        {"cow.csv", "id,name\n1,Maud\n1,Tib\n", "row 3 does not fit the records: UNIQUE constraint failed"},
        {"cow.csv", "id,name,born_on\n1,Maud,2026-02-30\n",
         "born_on: \"2026-02-30\" is not a day as 2026-05-03."},
        {"cow.csv", "id,name,stall\n1,Maud,9223372036854775808\n", "is not a whole number."},
        {"cow.csv", "id,name,dam_id\n1,Maud,7\n",
         "These files do not fit together: reference: cow 1 points to a"
         " missing cow."},
        {"cow.csv", "id,name,stall\n1,Maud,2\n2,Tib,2\n", "do not fit together: stall 2 has two cows."},
        {"cow.csv", "id,name\n1,Maud\n", "dairy.csv is not among these files"},
        {"note.csv", "id,at,text\n1,06:10,x\n", "\"06:10\" is not a time as 2026-05-03T06:10:00-04:00."},
        {"journal.csv", "id,happened_at,entered_at,who,kind,what,changes_hex\n1,1,1,k,note,x,0g\n",
         "changes_hex: \"0g\" is not bytes in hexadecimal."},
        {"numbering.csv", "table,last\nsqlite_master,5\n", "row 2 is not a table and a number."},
        {"milk2.csv", "id\n", "\"milk2\" is not the name of an exported table"},
        {"cow.csv", "id,name\n1x,Maud\n", "\"1x\" is not a whole number."},
        {"cow.csv", "id,name\n+1,Maud\n", "\"+1\" is not a whole number."},
        {"cow.csv", "id,name\n\" 1\",Maud\n", "is not a whole number."},
        {"journal.csv", "id,happened_at,entered_at,who,kind,what,changes_hex\n1,1,1,k,note,x,0\n", "is not bytes in hexadecimal."},
        {"journal.csv", "id,happened_at,entered_at,who,kind,what,changes_hex\n1,1,1,k,note,x,zz\n", "is not bytes in hexadecimal."},
        {"journal.csv", "id,happened_at,entered_at,who,kind,what,changes_hex\n1,1,1,k,note,x,aG\n", "is not bytes in hexadecimal."},
        {"numbering.csv", "table,last\ncow,many\n", "row 2 is not a table and a number."},
        {"numbering.csv", "table,last\ncow,-1\n", "row 2 is not a table and a number."},
        {"numbering.csv", "table,last\ncow,1,2\n", "numbering.csv row 2"},
        {"numbering.csv", "table,last,more\n", "row 1 is not a table and a number."},
        {"numbering.csv", "tables,last\n", "row 1 is not a table and a number."},
        {"note.csv", "id,at,text\n1,soon,x\n", "\"soon\" is not a time as 2026-05-03T06:10:00-04:00."},
        {"csv", "id\n", "\"csv\" is not the name of an exported table"},
        {"a-name-that-is-far-longer-than-any-table-of-these-records-has-ever-had-or-will.csv", "id\n", "is not the name of an exported table"},
        {"note.csv", "id,at,text\n1,5,\"x\n", "The file ends inside a quoted cell."},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct fail f = {0};
        struct dairy *d;
        const char *path = scratch_path(cases[i].name), *db = scratch_path("new.db");
        write_file(path, cases[i].text);
        ck_assert_msg(import_into(db, path, &f) == -1, "case %zu went in", i);
        ck_assert_msg(strstr(f.text, cases[i].words) != NULL, "case %zu: %s", i, f.text);
        ck_assert_int_eq(dairy_open(db, DAIRY_READ, &d, &f), 0);
        ck_assert(!dairy_is_set_up(d));
        dairy_close(d);
        ck_assert_int_eq(export_to(db, scratch_path("out"), &f), 0);
        ck_assert_uint_eq(rows, 0);
        unlink(path);
        scratch_close();
        scratch_open();
    }
}
END_TEST

START_TEST(columns_with_a_usual_value_may_be_missing_and_others_not)
{
    struct fail f = {0};
    char text[600];
    snprintf(text, sizeof text, DAIRY_CSV, "uspmo-am");
    write_file(scratch_path("dairy.csv"), text);
    ck_assert_int_eq(import_into(scratch_path("a.db"), scratch_path("dairy.csv"), &f), -1);
    ck_assert_msg(strstr(f.text, "uspmo-am") != NULL, "%s", f.text); /* no rule of that name */
    struct dairy *d = NULL;
    ck_assert_msg(dairy_open(scratch_path("a.db"), DAIRY_READ, &d, &f) == 0, "%s", f.text); /* and it did not come in */
    ck_assert(!dairy_is_set_up(d));
    dairy_close(d);
    write_file(scratch_path("dairy.csv"), "id,name\n1,Hill\n");
    ck_assert_int_eq(import_into(scratch_path("b.db"), scratch_path("dairy.csv"), &f), -1);
    ck_assert_msg(strstr(f.text, "NOT NULL constraint failed: dairy.units") != NULL, "%s", f.text);
}
END_TEST

START_TEST(records_are_never_mixed_and_folders_never_overwritten)
{
    struct fail f = {0};
    ck_assert_int_eq(export_to(made, scratch_path("one"), &f), 0);
    ck_assert_int_eq(export_to(made, scratch_path("one"), &f), -1);
    ck_assert_msg(strstr(f.text, "has something in it") != NULL, "%s", f.text);
    ck_assert_int_eq(import_into(scratch_path("a.db"), scratch_path("one"), &f), 0);
    ck_assert_int_eq(import_into(scratch_path("a.db"), scratch_path("one"), &f), -1);
    ck_assert_msg(strstr(f.text, "has records already") != NULL, "%s", f.text);
    ck_assert_int_eq(scratch_files(), 3); /* the file, its journal, the first export */
}
END_TEST

struct shape {
    size_t cells;
    int rows;
};

static int note_shape(void *context, const struct csv_long_row *row, struct fail *f)
{
    struct shape *s = context;
    (void)f;
    if (s->rows++ == 0)
        s->cells = row->count;
    for (size_t i = 0; i < row->count; i++)
        for (const char *p = row->cell[i]; *p != '\0'; p++)
            if ((unsigned char)*p < ' ' && *p != '\n')
                ck_abort_msg("byte %02X", (unsigned char)*p);
    ck_assert_uint_eq(row->count, s->cells);
    return 0;
}

/* A file that other hands have filled with anything at all can still be carried away as text. */
START_TEST(a_file_full_of_rubbish_is_exported_cell_by_cell)
{
    sqlite3 *db;
    struct fail f = {0};
    struct dairy *d;
    const struct table *t;
    ck_assert_int_eq(dairy_open(scratch_path("a.db"), DAIRY_CREATE, &d, &f), 0);
    dairy_close(d);
    ck_assert_int_eq(sqlite3_open(scratch_path("a.db"), &db), SQLITE_OK);
    sqlite3_exec(db, "PRAGMA ignore_check_constraints = ON", NULL, NULL, NULL);
    for (size_t n = 0; (t = table_at(n)) != NULL; n++)
        for (int extreme = 0; extreme < 3; extreme++) {
            char sql[4000];
            int used = snprintf(sql, sizeof sql, "INSERT INTO %s VALUES (%d", t->name, extreme + 1);
            for (size_t i = 0; i < t->column_count; i++) {
                bool number = t->columns[i].type == COLUMN_INTEGER || t->columns[i].type == COLUMN_MOMENT;
                static const char *const numbers[] = {"-9223372036854775807", "9223372036854775807", "0"};
                static const char *const texts[] = {"'=' || char(10,27,34,44,8238) || '\"'",
                                                    "char(0,9,13,10)||'x'", "''"};
                used += snprintf(sql + used, sizeof sql - (size_t)used, ",%s",
                                 number ? numbers[extreme] : texts[extreme]);
            }
            snprintf(sql + used, sizeof sql - (size_t)used, ")");
            char *error = NULL;
            if (sqlite3_exec(db, sql, NULL, NULL, &error) != SQLITE_OK && extreme == 0)
                ck_abort_msg("%s: %s", sql, error);
            sqlite3_free(error);
        }
    sqlite3_close(db);
    /* Settings like these cannot be opened as a dairy; the store itself still exports. */
    struct store *s;
    struct portable_count count;
    ck_assert_msg(store_open(scratch_path("a.db"), STORE_READ, &s, &f) == 0, "%s", f.text);
    ck_assert_msg(store_export(s, scratch_path("out"), &count, &f) == 0, "%s", f.text);
    store_close(s);
    for (size_t n = 0; (t = table_at(n)) != NULL; n++) {
        char name[64];
        size_t size;
        struct shape shape = {0};
        snprintf(name, sizeof name, "%s.csv", t->name);
        char *text = read_in(scratch_path("out"), name, &size);
        ck_assert_msg(csv_read_long(text, size, note_shape, &shape, &f) == 0, "%s", f.text);
        ck_assert_int_ge(shape.rows, 2);
        ck_assert_uint_eq(shape.cells, t->column_count + 1);
        free(text);
    }
}
END_TEST

Suite *portable_suite(void)
{
    Suite *s = suite_create("portable");
    TCase *t = tcase_create("portable");
    tcase_add_unchecked_fixture(t, make_dairy, remove_dairy);
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, an_export_read_back_is_the_same_dairy);
    tcase_add_test(t, what_came_back_can_be_taken_back);
    tcase_add_test(t, what_does_not_fit_is_refused_with_its_place_and_nothing_comes_in);
    tcase_add_test(t, columns_with_a_usual_value_may_be_missing_and_others_not);
    tcase_add_test(t, records_are_never_mixed_and_folders_never_overwritten);
    tcase_add_test(t, a_file_full_of_rubbish_is_exported_cell_by_cell);
    suite_add_tcase(s, t);
    return s;
}
