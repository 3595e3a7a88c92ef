/* Every way in which a file can be wrong gets a sentence and loses nothing. */
#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "core/base/file.h"
#include "core/store/inside.h"
#include "core/store/journal.h"
#include "core/store/rows.h"
#include "tests/scratch.h"
#include "tests/support.h"

static struct store *opened(const char *name)
{
    struct store *s;
    struct fail f = {0};
    ck_assert_msg(store_open(scratch_path(name), STORE_CREATE, &s, &f) == 0, "%s", f.text);
    return s;
}

static int add_note(struct store *s, struct fail *f)
{
    struct note_row note = {.at = {5}, .cow_id = ROW_NONE, .text = "x"};
    struct journal_row e = {
        .happened_at = {1}, .entered_at = {1}, .kind = "note", .cow_id = ROW_NONE, .undoes = ROW_NONE};
    if (journal_begin(s, f) != 0)
        return -1;
    if (row_insert(s, &note_table, &note, NULL, f) != 0) {
        store_rollback(s);
        return -1;
    }
    return journal_commit(s, &e, f);
}

static size_t count_notes(struct store *s)
{
    void *rows;
    size_t count = 0;
    struct fail f = {0};
    ck_assert_msg(rows_load(s, &note_table, "ORDER BY id", NULL, 0, &rows, &count, &f) == 0, "%s", f.text);
    free(rows);
    return count;
}

static void expect_refused(const char *name, enum store_mode mode, const char *words)
{
    struct store *s;
    struct fail f = {0};
    ck_assert_msg(store_open(scratch_path(name), mode, &s, &f) == -1, "%s was opened", name);
    ck_assert(s == NULL);
    ck_assert_msg(strstr(f.text, words) != NULL, "%s: %s", name, f.text);
}

static void write_bytes(const char *name, const char *bytes, size_t size)
{
    ck_assert_int_eq(file_replace(scratch_path(name), bytes, size, NULL), 0);
}

static void run_sql(const char *name, const char *sql)
{
    sqlite3 *db;
    ck_assert_int_eq(sqlite3_open(scratch_path(name), &db), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
}

static void findings_none(void *context, const char *finding)
{
    (void)context;
    ck_abort_msg("%s", finding);
}

START_TEST(a_new_file_is_private_and_sound)
{
    struct stat st;
    size_t findings;
    mode_t before = umask(0);
    struct store *s = opened("t.db");
    umask(before);
    ck_assert_int_eq(stat(scratch_path("t.db"), &st), 0);
    ck_assert_int_eq(store_verify(s, findings_none, NULL, &findings, NULL), 0);
    ck_assert_uint_eq(findings, 0);
    store_close(s);
    ck_assert_int_eq(scratch_files(), 2); /* the file and its empty rollback journal */
}
END_TEST

START_TEST(a_missing_file_is_only_made_when_asked)
{
    expect_refused("none.db", STORE_WRITE, "There is no file");
    expect_refused("none.db", STORE_READ, "There is no file");
    expect_refused("no/such/folder.db", STORE_CREATE, "No such file or directory");
    ck_assert_int_eq(scratch_files(), 0);
}
END_TEST

START_TEST(files_that_are_not_ours_are_left_alone)
{
    char *before, *after;
    size_t size, size_after;
    write_bytes("text.db",
                "these are not the records you are looking for, not by a long way, nor by a short one", 84);
    expect_refused("text.db", STORE_WRITE, "damaged");
    run_sql("other.db", "CREATE TABLE x (a); PRAGMA application_id = 77;");
    ck_assert_int_eq(file_read(scratch_path("other.db"), &before, &size, NULL), 0);
    chmod(scratch_path("other.db"), 0600);
    expect_refused("other.db", STORE_WRITE, "another program");
    ck_assert_int_eq(file_read(scratch_path("other.db"), &after, &size_after, NULL), 0);
    ck_assert(size == size_after && memcmp(before, after, size) == 0);
    free(before);
    free(after);
    store_close(opened("newer.db"));
    run_sql("newer.db", "PRAGMA user_version = 999;");
    expect_refused("newer.db", STORE_WRITE, "newer springhouse");
}
END_TEST

START_TEST(odd_things_in_the_files_place_are_named)
{
    store_close(opened("t.db"));
    ck_assert_int_eq(symlink("t.db", scratch_path("link.db")), 0);
    expect_refused("link.db", STORE_WRITE, "is a link");
    ck_assert_int_eq(mkdir(scratch_path("folder.db"), 0700), 0);
    expect_refused("folder.db", STORE_WRITE, "is not a file");
    ck_assert_int_eq(chmod(scratch_path("t.db"), 0660), 0);
    expect_refused("t.db", STORE_WRITE, "Others on this computer");
}
END_TEST

START_TEST(an_empty_file_becomes_a_new_one_and_a_cut_one_is_refused)
{
    char *bytes;
    size_t size;
    write_bytes("zero.db", "", 0);
    struct store *s = opened("zero.db");
    ck_assert_int_eq(add_note(s, NULL), 0);
    store_close(s);
    ck_assert_int_eq(file_read(scratch_path("zero.db"), &bytes, &size, NULL), 0);
    write_bytes("cut.db", bytes, size / 2);
    free(bytes);
    struct fail f = {0};
    if (store_open(scratch_path("cut.db"), STORE_WRITE, &s, &f) == 0) {
        size_t findings = 0;
        /* It may open, since the first pages are there; then the check must tell. */
        int checked = store_verify(s, findings_none, NULL, &findings, &f);
        ck_assert(checked == -1 || findings > 0);
        store_close(s);
    }
    ck_assert_int_ne(f.code, FAIL_NONE);
}
END_TEST

START_TEST(a_locked_file_is_busy_at_once_and_free_after)
{
    struct store *s = opened("t.db");
    struct fail f = {0};
    sqlite3 *db;
    ck_assert_int_eq(sqlite3_open(scratch_path("t.db"), &db), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(db, "BEGIN EXCLUSIVE", NULL, NULL, NULL), SQLITE_OK);
    ck_assert_int_eq(add_note(s, &f), -1);
    ck_assert_int_eq(f.code, FAIL_BUSY);
    uint32_t version;
    ck_assert_int_eq(store_version(s, &version, &f), -1);
    ck_assert_int_eq(f.code, FAIL_BUSY);
    ck_assert_int_eq(sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    ck_assert_int_eq(add_note(s, NULL), 0);
    sqlite3_close(db);
    store_close(s);
}
END_TEST

START_TEST(another_connections_write_is_noticed)
{
    struct store *a = opened("t.db"), *b = opened("t.db");
    uint32_t before, after;
    ck_assert_int_eq(store_version(a, &before, NULL), 0);
    ck_assert_int_eq(add_note(a, NULL), 0);
    ck_assert_int_eq(store_version(a, &after, NULL), 0);
    ck_assert_int_eq(before, after); /* one's own writes do not count */
    ck_assert_int_eq(add_note(b, NULL), 0);
    ck_assert_int_eq(store_version(a, &after, NULL), 0);
    ck_assert_int_ne(before, after);
    ck_assert_uint_eq(count_notes(a), 2);
    store_close(a);
    store_close(b);
}
END_TEST

/* SQLite counts for each connection by itself (sqlite.org, PRAGMA data_version): the first count of a new one may be that of
 * the old. */
START_TEST(another_connections_write_is_noticed_over_a_reopening)
{
    struct store *mine = opened("t.db"), *other = opened("t.db");
    uint32_t before = 0, after = 0;
    ck_assert_int_eq(store_version(mine, &before, NULL), 0);
    ck_assert_int_eq(add_note(other, NULL), 0);
    mine->suspect = true; /* as after an error of the disk */
    ck_assert_int_eq(store_begin_look(mine, NULL), 0);
    store_rollback(mine);
    ck_assert(!mine->suspect);
    ck_assert_int_eq(store_version(mine, &after, NULL), 0);
    ck_assert_uint_ne(before, after);
    store_close(other);
    store_close(mine);
}
END_TEST

START_TEST(a_file_replaced_under_us_takes_no_writes)
{
    struct store *s = opened("t.db");
    struct fail f = {0};
    ck_assert_int_eq(add_note(s, NULL), 0);
    ck_assert_int_eq(unlink(scratch_path("t.db")), 0);
    ck_assert_int_eq(add_note(s, &f), -1);
    ck_assert(strstr(f.text, "removed or replaced") != NULL);
    store_close(s);
}
END_TEST

/* Runs `body` in a child as nobody, since root may write anything. */
static void as_nobody(void (*body)(void))
{
    ck_assert_int_eq(geteuid(), 0);
    pid_t child = fork();
    if (child == 0) {
        if (setgid(65534) != 0 || setuid(65534) != 0)
            _exit(9);
        body();
        _exit(0);
    }
    int status;
    waitpid(child, &status, 0);
    ck_assert_msg(WIFEXITED(status) && WEXITSTATUS(status) == 0, "the child ended with %d", status);
}

static void read_but_not_write(void)
{
    struct store *s;
    struct fail f = {0};
    const char *why;
    if (store_open(scratch_path("t.db"), STORE_WRITE, &s, &f) != 0 || !store_read_only(s, &why) ||
        *why == '\0')
        _exit(1);
    if (count_notes(s) != 1 || add_note(s, &f) != -1 || strstr(f.text, "Not saved") == NULL)
        _exit(2);
    store_close(s);
}

static void make_file_of_nobody(void)
{
    struct store *s = opened("t.db");
    ck_assert_int_eq(add_note(s, NULL), 0);
    store_close(s);
    ck_assert_int_eq(chown(scratch_path("t.db"), 65534, 65534), 0);
    ck_assert_int_eq(chown(scratch_path(""), 65534, 65534), 0);
    unlink(scratch_path("t.db-journal"));
}

START_TEST(a_read_only_file_and_a_read_only_folder_still_show_what_is_there)
{
    if (geteuid() != 0)
        return; /* only root can make a file of somebody else */
    make_file_of_nobody();
    ck_assert_int_eq(chmod(scratch_path("t.db"), 0400), 0);
    as_nobody(read_but_not_write);
    ck_assert_int_eq(chmod(scratch_path("t.db"), 0600), 0);
    ck_assert_int_eq(chmod(scratch_path(""), 0500), 0);
    as_nobody(read_but_not_write);
}
END_TEST

static void refuse_others_file(void)
{
    struct store *s;
    struct fail f = {0};
    if (store_open(scratch_path("t.db"), STORE_WRITE, &s, &f) == 0 ||
        strstr(f.text, "belongs to somebody else") == NULL)
        _exit(1);
}

START_TEST(a_file_of_somebody_else_is_refused)
{
    if (geteuid() != 0)
        return;
    make_file_of_nobody();
    ck_assert_int_eq(chown(scratch_path("t.db"), 1, 1), 0);
    as_nobody(refuse_others_file);
}
END_TEST

START_TEST(a_full_disk_says_so_and_keeps_what_was_saved)
{
    if (geteuid() != 0 || mount("none", scratch_path(""), "tmpfs", 0, "size=1600k") != 0)
        return; /* mounting needs more rights than this run has */
    struct store *s = opened("t.db");
    struct fail f = {0};
    size_t saved = 0;
    while (add_note(s, &f) == 0 && saved < 20000)
        saved++;
    ck_assert_msg(strstr(f.text, "disk is full") != NULL, "%s", f.text);
    ck_assert_uint_eq(count_notes(s), saved);
    store_close(s);
    ck_assert_int_eq(store_open(scratch_path("t.db"), STORE_WRITE, &s, NULL), 0);
    ck_assert_uint_eq(count_notes(s), saved);
    ck_assert_int_eq(store_backup(s, scratch_path("copy.db"), &f), -1);
    ck_assert_int_ne(access(scratch_path("copy.db"), F_OK), 0);
    store_close(s);
    umount(scratch_path(""));
}
END_TEST

START_TEST(a_backup_is_the_whole_file_and_replaces_the_old_one)
{
    struct store *s = opened("t.db"), *copy;
    struct stat st;
    struct fail f = {0};
    ck_assert_int_eq(add_note(s, NULL), 0);
    ck_assert_int_eq(store_backup(s, scratch_path("copy.db"), NULL), 0);
    ck_assert_int_eq(add_note(s, NULL), 0);
    ck_assert_int_eq(store_backup(s, scratch_path("copy.db"), NULL), 0);
    ck_assert_int_eq(stat(scratch_path("copy.db"), &st), 0);
    ck_assert_int_eq(st.st_mode & 0777, 0600);
    ck_assert_int_eq(store_open(scratch_path("copy.db"), STORE_READ, &copy, NULL), 0);
    ck_assert_uint_eq(count_notes(copy), 2);
    store_close(copy);
    ck_assert_int_eq(store_backup(s, scratch_path("t.db"), &f), -1);
    ck_assert(strstr(f.text, "the file of records itself") != NULL);
    ck_assert_int_eq(mkdir(scratch_path("folder"), 0700), 0);
    ck_assert_int_eq(store_backup(s, scratch_path("folder"), &f), -1);
    ck_assert_int_eq(store_backup(s, scratch_path("none/copy.db"), &f), -1);
    store_close(s);
}
END_TEST

static void count_finding(void *context, const char *finding)
{
    (void)finding;
    ++*(int *)context;
}

START_TEST(verify_finds_what_is_wrong)
{
    struct store *s = opened("t.db");
    size_t findings;
    int seen = 0;
    run_sql(
        "t.db",
        "INSERT INTO cow (name, stall) VALUES ('Maud', 1), ('maud', 1);"
        "INSERT INTO milking (opened_at, started_at, ended_at) VALUES (1, 5, 3);"
        "INSERT INTO batch (code, milking_id, kind, count, volume_ml, poured_at, temp_mc) VALUES"
        " ('A', 1, 'quart', 2, 946, 4, 35000);"
        "INSERT INTO jar_move (batch_id, at, from_place, to_place, count) VALUES (1, 4, 'pail', 'tub', 3),"
        " (1, 5, 'fridge', 'given', 9);"
        "PRAGMA foreign_keys = OFF; INSERT INTO note (at, cow_id, text) VALUES (1, 77, 'x');");
    ck_assert_int_eq(store_verify(s, count_finding, &seen, &findings, NULL), 0);
    /* two cows in a stall, two of a name, an end before its start, a batch without source, a count that
     * differs, jars from nowhere, three places where the tally knows nothing of them, a jar given to nobody, a
     * missing cow */
    ck_assert_uint_eq(findings, 11);
    ck_assert_int_eq(seen, 11);
    store_close(s);
}
END_TEST

Suite *store_suite(void)
{
    Suite *suite = suite_create("store");
    TCase *t = tcase_create("store");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, a_new_file_is_private_and_sound);
    tcase_add_test(t, a_missing_file_is_only_made_when_asked);
    tcase_add_test(t, files_that_are_not_ours_are_left_alone);
    tcase_add_test(t, odd_things_in_the_files_place_are_named);
    tcase_add_test(t, an_empty_file_becomes_a_new_one_and_a_cut_one_is_refused);
    tcase_add_test(t, a_locked_file_is_busy_at_once_and_free_after);
    tcase_add_test(t, another_connections_write_is_noticed);
    tcase_add_test(t, another_connections_write_is_noticed_over_a_reopening);
    tcase_add_test(t, a_file_replaced_under_us_takes_no_writes);
    tcase_add_test(t, a_read_only_file_and_a_read_only_folder_still_show_what_is_there);
    tcase_add_test(t, a_file_of_somebody_else_is_refused);
    tcase_add_test(t, a_full_disk_says_so_and_keeps_what_was_saved);
    tcase_add_test(t, a_backup_is_the_whole_file_and_replaces_the_old_one);
    tcase_add_test(t, verify_finds_what_is_wrong);
    suite_add_tcase(suite, t);
    return suite;
}
