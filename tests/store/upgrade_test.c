/* Files that older versions of the program left (tests/data/records-N.sql) are brought up to this one:
 * nothing is lost, a copy of what was there is kept, and the schema is that of a new file. */
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/day/dairy.h"
#include "tests/scratch.h"
#include "tests/support.h"

enum { VERSIONS_MAX = 100 };

/* The first value of a query. Returns buf. */
static const char *ask(const char *path, const char *sql, char buf[100])
{
    sqlite3 *db;
    sqlite3_stmt *s;
    ck_assert_int_eq(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    ck_assert_msg(sqlite3_prepare_v2(db, sql, -1, &s, NULL) == SQLITE_OK, "%s", sqlite3_errmsg(db));
    ck_assert_int_eq(sqlite3_step(s), SQLITE_ROW);
    snprintf(buf, 100, "%s", (const char *)sqlite3_column_text(s, 0));
    sqlite3_finalize(s);
    sqlite3_close(db);
    return buf;
}

/* Makes the file that version left; false when there is none so old. */
static bool make_old(int version, const char *path)
{
    char name[64], file[1200];
    size_t size;
    sqlite3 *db;
    snprintf(name, sizeof name, "data/records-%d.sql", version);
    snprintf(file, sizeof file, "%s/%s", TESTS_DIR, name);
    if (access(file, R_OK) != 0)
        return false;
    char *sql = read_test_file(name, &size);
    ck_assert_int_eq(sqlite3_open(path, &db), SQLITE_OK);
    ck_assert_msg(sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK, "%s", sqlite3_errmsg(db));
    sqlite3_close(db);
    free(sql);
    ck_assert_int_eq(chmod(path, 0600), 0);
    return true;
}

static void no_finding(void *context, const char *finding)
{
    (void)context;
    ck_abort_msg("%s", finding);
}

static const char every_row[] =
    "SELECT group_concat(id || what) FROM (SELECT id, what FROM journal ORDER BY id)";

static void bring_up(const char *path, enum dairy_mode mode)
{
    struct dairy *d;
    struct fail f = {0};
    size_t findings;
    ck_assert_msg(dairy_open(path, mode, &d, &f) == 0, "%s", f.text);
    ck_assert(dairy_is_set_up(d));
    ck_assert_int_eq(dairy_verify(d, no_finding, NULL, &findings, &f), 0);
    dairy_close(d);
}

START_TEST(a_file_of_every_old_version_is_brought_up_whole)
{
    int seen = 0;
    for (int version = 1; version < VERSIONS_MAX; version++, seen++) {
        char before[100], after[100], now[100], copy[160];
        const char *path = scratch_path("old.db"), *fresh = scratch_path("new.db");
        struct dairy *d;
        struct fail f = {0};
        if (!make_old(version, path))
            break;
        ck_assert_int_eq(dairy_open(fresh, DAIRY_CREATE, &d, &f), 0);
        dairy_close(d);
        (void)ask(path, every_row, before);
        bring_up(path, version % 2 == 1 ? DAIRY_READ : DAIRY_WRITE); /* looking is enough */
        ck_assert_str_eq(ask(path, every_row, after), before);
        ck_assert_str_eq(ask(path, "PRAGMA user_version", after), ask(fresh, "PRAGMA user_version", now));
        ck_assert_str_eq(ask(path,
                             "SELECT count(*) || group_concat(name) FROM (SELECT name FROM sqlite_schema "
                             "ORDER BY name)",
                             after),
                         ask(fresh,
                             "SELECT count(*) || group_concat(name) FROM (SELECT name FROM sqlite_schema "
                             "ORDER BY name)",
                             now));
        snprintf(copy, sizeof copy, "%s.version-%d", path, version);
        bool older = atoi(ask(fresh, "PRAGMA user_version", now)) > version;
        ck_assert_int_eq(access(copy, F_OK) == 0, older);
        if (older) {
            struct stat st;
            ck_assert_int_eq(atoi(ask(copy, "PRAGMA user_version", now)), version);
            ck_assert_str_eq(ask(copy, every_row, after), before);
            ck_assert_int_eq(stat(copy, &st), 0);
            ck_assert_int_eq(st.st_mode & 0777, 0600);
        }
        bring_up(path, DAIRY_WRITE); /* again, with nothing to do */
        scratch_close();
        scratch_open();
    }
    ck_assert_int_gt(seen, 0);
}
END_TEST

START_TEST(an_act_of_an_old_version_can_be_taken_back_by_this_one)
{
    struct dairy *d;
    struct fail f = {0};
    struct act_done done;
    for (int version = 1; make_old(version, scratch_path("old.db")); version++) {
        ck_assert_msg(dairy_open(scratch_path("old.db"), DAIRY_WRITE, &d, &f) == 0, "%s", f.text);
        struct instant now = {1777820400}; /* 3 May 2026 */
        for (int i = 0; i < 3; i++)
            ck_assert_msg(dairy_undo(d, 0, now, &done, &f) == 0, "version %d: %s", version, f.text);
        dairy_close(d);
        scratch_close();
        scratch_open();
    }
}
END_TEST

START_TEST(an_empty_file_is_not_records_to_read)
{
    struct dairy *d;
    struct fail f = {0};
    FILE *file = fopen(scratch_path("empty.db"), "w");
    fclose(file);
    ck_assert_int_eq(chmod(scratch_path("empty.db"), 0600), 0);
    ck_assert_int_eq(dairy_open(scratch_path("empty.db"), DAIRY_READ, &d, &f), -1);
    ck_assert_msg(strstr(f.text, "there are no records in it yet") != NULL, "%s", f.text);
}
END_TEST

Suite *upgrade_suite(void)
{
    Suite *s = suite_create("upgrade");
    TCase *t = tcase_create("upgrade");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, a_file_of_every_old_version_is_brought_up_whole);
    tcase_add_test(t, an_act_of_an_old_version_can_be_taken_back_by_this_one);
    tcase_add_test(t, an_empty_file_is_not_records_to_read);
    suite_add_tcase(s, t);
    return s;
}
