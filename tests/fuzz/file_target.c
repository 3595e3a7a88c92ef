/* A file of records that somebody else has written into: pages changed, values of any kind in any column,
 * rows gone, triggers and views, another version. The program opens it or says why not; what it then prints
 * is clean text; nothing crashes. */
#include <fcntl.h>
#include <sqlite3.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include "src/command.h"
#include "tests/fuzz/small_dairy.h"
#include "tests/fuzz/target.h"

enum { OUTPUT = 1, ERRORS = 2, TABLES_MOST = 120 };

static char tables[TABLES_MOST][64];
static int table_count, output_fd, saved[3];

static void find_tables(void)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *s = NULL;
    FUZZ_CHECK(sqlite3_open(fuzz_path("master.db"), &db) == SQLITE_OK);
    FUZZ_CHECK(sqlite3_prepare_v2(db, "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name", -1,
                                  &s, NULL) == SQLITE_OK);
    while (sqlite3_step(s) == SQLITE_ROW && table_count < TABLES_MOST)
        snprintf(tables[table_count++], sizeof tables[0], "%s", (const char *)sqlite3_column_text(s, 0));
    (void)sqlite3_finalize(s);
    (void)sqlite3_close(db);
    FUZZ_CHECK(table_count > 10);
}

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    fuzz_environment();
    small_dairy_make();
    find_tables();
    output_fd = memfd_create("output", MFD_CLOEXEC);
    return 0;
}

static const char *const values[] = {
    "NULL",
    "0",
    "-1",
    "1",
    "9223372036854775807",
    "-9223372036854775807",
    "2147483648",
    "1777804860",
    "1e308",
    "-1e308",
    "''",
    "'x'",
    "printf('%.*c', 100000, 'w')",
    "char(27) || '[2J' || char(7) || char(155) || '31m'",
    "char(8238) || 'evol' || char(8203) || char(65279)",
    "char(10) || '=1+1' || char(13)",
    "x'ff00c3'",
    "CAST(x'c328f0282ebc' AS TEXT)",
    "'-1'",
    "char(128512) || char(769) || char(769) || char(769)",
    "(SELECT max(rowid) + 1 FROM journal)",
    "'Maud'",
};
enum { VALUES = sizeof values / sizeof values[0] };

/* The n-th column of a table, NULL past the last. */
static bool column_name(sqlite3 *db, const char *table, int n, char name[64])
{
    sqlite3_stmt *s = NULL;
    bool found = false;
    char sql[160];
    snprintf(sql, sizeof sql, "SELECT * FROM \"%s\" LIMIT 0", table);
    if (sqlite3_prepare_v2(db, sql, -1, &s, NULL) == SQLITE_OK && sqlite3_column_count(s) > 0) {
        snprintf(name, 64, "%s", sqlite3_column_name(s, n % sqlite3_column_count(s)));
        found = true;
    }
    (void)sqlite3_finalize(s);
    return found;
}

static void change_rows(sqlite3 *db, const uint8_t c[4], bool all)
{
    char sql[600], column[64];
    const char *table = tables[c[0] % table_count];
    if (!column_name(db, table, c[1], column))
        return;
    int used = snprintf(sql, sizeof sql, "UPDATE OR IGNORE \"%s\" SET \"%s\" = %s", table, column,
                        values[c[2] % VALUES]);
    if (!all)
        snprintf(sql + used, sizeof sql - (size_t)used,
                 " WHERE rowid = (SELECT rowid FROM \"%s\" LIMIT 1 OFFSET %d)", table, c[3] % 16);
    (void)sqlite3_exec(db, sql, NULL, NULL, NULL);
}

static void change_schema(sqlite3 *db, const uint8_t c[4])
{
    char sql[400];
    const char *table = tables[c[0] % table_count];
    switch (c[1] % 7) {
    case 0: snprintf(sql, sizeof sql, "DELETE FROM \"%s\"", table); break;
    case 1: snprintf(sql, sizeof sql, "DROP TABLE \"%s\"", table); break;
    case 2:
        snprintf(sql, sizeof sql,
                 "CREATE TRIGGER trap%d AFTER INSERT ON \"%s\" BEGIN DELETE FROM journal; END", c[2], table);
        break;
    case 3:
        snprintf(sql, sizeof sql,
                 "ALTER TABLE \"%s\" RENAME TO old%d; CREATE VIEW \"%s\" AS SELECT * FROM old%d", table, c[2],
                 table, c[2]);
        break;
    case 4: snprintf(sql, sizeof sql, "PRAGMA user_version = %d", c[2] % 6); break;
    case 5: snprintf(sql, sizeof sql, "PRAGMA application_id = %d", c[2]); break;
    default: snprintf(sql, sizeof sql, "ALTER TABLE \"%s\" ADD COLUMN more%d TEXT", table, c[2]); break;
    }
    (void)sqlite3_exec(db, sql, NULL, NULL, NULL);
}

/* Four bytes each: what, and to which. */
static void change_by_sql(const char *path, const uint8_t *data, size_t size)
{
    sqlite3 *db = NULL;
    if (sqlite3_open(path, &db) == SQLITE_OK) {
        (void)sqlite3_exec(
            db, "PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON; PRAGMA synchronous = OFF",
            NULL, NULL, NULL);
        for (size_t i = 0; i + 5 <= size && i < 100; i += 5)
            if (data[i] % 4 == 3)
                change_schema(db, data + i + 1);
            else
                change_rows(db, data + i + 1, data[i] % 4 == 2);
    }
    (void)sqlite3_close(db);
}

/* Five bytes each: where (three), what (one), and how many of them. */
static void change_bytes(const char *path, const uint8_t *data, size_t size)
{
    struct stat st;
    int fd = open(path, O_RDWR | O_CLOEXEC);
    FUZZ_CHECK(fd >= 0 && fstat(fd, &st) == 0);
    for (size_t i = 0; i + 5 <= size; i += 5) {
        char run[8];
        long at = (data[i] << 16 | data[i + 1] << 8 | data[i + 2]) % (long)st.st_size;
        memset(run, data[i + 3], sizeof run);
        FUZZ_CHECK(pwrite(fd, run, 1 + data[i + 4] % sizeof run, at) > 0);
    }
    if (size % 5 == 4)
        FUZZ_CHECK(ftruncate(fd, st.st_size * data[size - 1] / 256) == 0);
    (void)close(fd);
}

static void output_begin(void)
{
    (void)fflush(NULL);
    FUZZ_CHECK(ftruncate(output_fd, 0) == 0 && lseek(output_fd, 0, SEEK_SET) == 0);
    for (int fd = OUTPUT; fd <= ERRORS; fd++) {
        saved[fd] = dup(fd);
        (void)dup2(output_fd, fd);
    }
}

static void output_end(const char *what)
{
    static char text[1 << 20];
    (void)fflush(NULL);
    for (int fd = OUTPUT; fd <= ERRORS; fd++) {
        (void)dup2(saved[fd], fd);
        (void)close(saved[fd]);
    }
    ssize_t n = pread(output_fd, text, sizeof text - 1, 0);
    text[n > 0 ? n : 0] = '\0';
    fuzz_check_clean(what, text, n > 0 ? (size_t)n : 0);
}

static void command(const char *path, int (*run)(const struct call *call), const char *word, const char *more,
                    bool json)
{
    char *words[] = {(char *)(uintptr_t)word, (char *)(uintptr_t)more, NULL};
    struct call call = {.program = "springhouse",
                        .db_path = path,
                        .at_given = true,
                        .now = small_dairy_now(),
                        .json = json,
                        .no_color = true,
                        .argc = word == NULL   ? 0
                                : more == NULL ? 1
                                               : 2,
                        .argv = words};
    output_begin();
    (void)run(&call);
    output_end(word == NULL ? "verify" : word);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char *const shows[][2] = {{"board", NULL},   {"cow", "Maud"},  {"shelf", NULL},
                                           {"journal", NULL}, {"herd", NULL},   {"relief", NULL},
                                           {"people", NULL},  {"losses", NULL}, {"card", "Tib"},
                                           {"tonight", NULL}, {"recall", NULL}, {"taste", NULL}};
    if (size < 6)
        return 0;
    char path[200];
    snprintf(path, sizeof path, "%s", small_dairy_file("hostile.db"));
    if (data[0] % 8 == 0)
        change_bytes(path, data + 1, size - 1);
    else
        change_by_sql(path, data + 1, size - 1);
    /* All of it every time would be slow: the input chooses. */
    size_t which = data[0] / 8u;
    command(path, run_show, "board", NULL, which % 2 == 0);
    command(path, run_show, shows[which % 12][0], shows[which % 12][1], which % 3 == 0);
    command(path, run_show, shows[(which + 5) % 12][0], shows[(which + 5) % 12][1], false);
    if (which % 4 == 0)
        command(path, run_verify, NULL, NULL, false);
    if (which % 4 == 1)
        command(path, run_record, "note", "text=x", false);
    if (which % 4 == 2)
        command(path, run_undo, NULL, NULL, false);
    (void)unlink(path);
    return 0;
}
