/* Makes a file of records older than it is: everything of its days but the last forty is there once more
 * before its beginning, and once more before that. The invented dairy has eighteen months; thirteen times
 * that are twenty years. years FILE TIMES Only as something to measure on: what entries changed is not true
 * of the copies. */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static sqlite3 *db;

static void run_sql(const char *sql)
{
    char *error = NULL;
    if (sqlite3_exec(db, sql, NULL, NULL, &error) != SQLITE_OK) {
        fprintf(stderr, "years: %s: %s\n", error, sql);
        exit(1);
    }
}

static long long ask(const char *sql)
{
    sqlite3_stmt *s = NULL;
    if (sqlite3_prepare_v2(db, sql, -1, &s, NULL) != SQLITE_OK || sqlite3_step(s) != SQLITE_ROW) {
        fprintf(stderr, "years: %s: %s\n", sqlite3_errmsg(db), sql);
        exit(1);
    }
    long long n = sqlite3_column_int64(s, 0);
    (void)sqlite3_finalize(s);
    return n;
}

/* What is copied, parents first: its columns are found in the file itself. */
static const struct {
    const char *table, *which;
} copied[] = {
    {"milking", "opened_at < :until"},
    {"milk", "milking_id IN (SELECT id FROM main.milking WHERE opened_at < :until)"},
    {"batch", "milking_id IN (SELECT id FROM main.milking WHERE opened_at < :until)"},
    {"batch_source", "batch_id IN (SELECT id FROM main.batch WHERE milking_id IN (SELECT id FROM "
                     "main.milking WHERE opened_at < :until))"},
    {"batch_temp", "batch_id IN (SELECT id FROM main.batch WHERE milking_id IN (SELECT id FROM main.milking "
                   "WHERE opened_at < :until))"},
    {"jar_move", "batch_id IN (SELECT id FROM main.batch WHERE milking_id IN (SELECT id FROM main.milking "
                 "WHERE opened_at < :until))"},
    {"reading", "at < :until AND (batch_id IS NULL OR batch_id IN (SELECT id FROM main.batch WHERE "
                "milking_id IN (SELECT id FROM main.milking WHERE opened_at < :until)))"},
    {"tub_act", "at < :until"},
    {"tick", "at < :until AND (milking_id IS NULL OR milking_id IN (SELECT id FROM main.milking WHERE "
             "opened_at < :until))"},
    {"journal", "happened_at < :until AND undoes IS NULL"},
    {"tally_place", "batch_id IN (SELECT id FROM main.batch WHERE milking_id IN (SELECT id FROM main.milking "
                    "WHERE opened_at < :until)) AND place NOT IN ('tub', 'table', 'fridge', 'freezer')"},
};
enum { COPIED = sizeof copied / sizeof copied[0] };

static int copied_index(const char *table)
{
    for (int i = 0; i < COPIED; i++)
        if (strcmp(copied[i].table, table) == 0)
            return i;
    return -1;
}

/* Whether a column names a row of one of these tables. */
static int points_at_copy(const char *table, const char *column)
{
    if (strcmp(table, "tally_place") == 0)
        return strcmp(column, "batch_id") == 0;
    sqlite3_stmt *s = NULL;
    char sql[200];
    int found = 0;
    snprintf(sql, sizeof sql, "SELECT \"table\" FROM pragma_foreign_key_list('%s') WHERE \"from\" = '%s'",
             table, column);
    if (sqlite3_prepare_v2(db, sql, -1, &s, NULL) == SQLITE_OK && sqlite3_step(s) == SQLITE_ROW)
        found = copied_index((const char *)sqlite3_column_text(s, 0)) >= 0;
    (void)sqlite3_finalize(s);
    return found;
}

static int is_moment(const char *column)
{
    size_t n = strlen(column);
    return strcmp(column, "at") == 0 || (n > 3 && strcmp(column + n - 3, "_at") == 0);
}

/* The list of columns, and the same with everything moved: numbers by :ids, moments by :back. */
static void columns_of(const char *table, char *plain, char *moved, size_t size)
{
    sqlite3_stmt *s = NULL;
    char sql[160];
    plain[0] = moved[0] = '\0';
    snprintf(sql, sizeof sql, "SELECT name FROM pragma_table_info('%s')", table);
    if (sqlite3_prepare_v2(db, sql, -1, &s, NULL) != SQLITE_OK)
        exit(1);
    while (sqlite3_step(s) == SQLITE_ROW) {
        const char *name = (const char *)sqlite3_column_text(s, 0), *comma = plain[0] == '\0' ? "" : ", ";
        size_t p = strlen(plain), m = strlen(moved);
        snprintf(plain + p, size - p, "%s\"%s\"", comma, name);
        if (strcmp(name, "id") == 0 || points_at_copy(table, name))
            snprintf(moved + m, size - m, "%s\"%s\" - :ids", comma, name);
        else if (is_moment(name))
            snprintf(moved + m, size - m, "%s\"%s\" - :back", comma, name);
        else if (strcmp(name, "code") == 0)
            snprintf(moved + m, size - m, "%s\"%s\" || '-' || :copy", comma, name);
        else
            snprintf(moved + m, size - m, "%s\"%s\"", comma, name);
    }
    (void)sqlite3_finalize(s);
}

/* Makes room below: the copies of earlier days have the lower numbers, as they would have had. */
static void move_numbers_up(long long by)
{
    sqlite3_stmt *s = NULL;
    char sql[300];
    for (int i = 0; i < COPIED; i++) {
        snprintf(sql, sizeof sql, "UPDATE \"%s\" SET id = -id - %lld; UPDATE \"%s\" SET id = -id;",
                 copied[i].table, by, copied[i].table);
        run_sql(sql);
    }
    run_sql(
        "CREATE TEMP TABLE pointing AS SELECT m.name AS of, f.\"from\" AS col FROM main.sqlite_schema AS m, "
        "pragma_foreign_key_list(m.name) AS f WHERE m.type = 'table' AND f.\"table\" IN ('milking', 'milk', "
        "'batch', "
        "'batch_source', 'jar_move', 'reading', 'tub_act', 'tick', 'journal', 'batch_temp');"
        "INSERT INTO pointing VALUES ('tally_place', 'batch_id')");
    if (sqlite3_prepare_v2(db, "SELECT of, col FROM pointing", -1, &s, NULL) != SQLITE_OK)
        exit(1);
    while (sqlite3_step(s) == SQLITE_ROW) {
        snprintf(sql, sizeof sql, "UPDATE \"%s\" SET \"%s\" = \"%s\" + %lld WHERE \"%s\" IS NOT NULL",
                 (const char *)sqlite3_column_text(s, 0), (const char *)sqlite3_column_text(s, 1),
                 (const char *)sqlite3_column_text(s, 1), by, (const char *)sqlite3_column_text(s, 1));
        run_sql(sql);
    }
    (void)sqlite3_finalize(s);
}

static void copy_table(int i, long times, long long span, long long ids, long long until)
{
    char plain[1200], moved[1600], sql[4000];
    sqlite3_stmt *s = NULL;
    columns_of(copied[i].table, plain, moved, sizeof plain);
    /* From the source as it was, kept aside, so that the copies are not copied. */
    snprintf(sql, sizeof sql, "CREATE TEMP TABLE source AS SELECT * FROM main.\"%s\" WHERE ",
             copied[i].table);
    size_t n = strlen(sql);
    snprintf(sql + n, sizeof sql - n, "%s", copied[i].which);
    char *mark;
    char number[40];
    snprintf(number, sizeof number, "%lld", until);
    while ((mark = strstr(sql, ":until")) != NULL) {
        char rest[3000];
        snprintf(rest, sizeof rest, "%s", mark + 6);
        snprintf(mark, sizeof sql - (size_t)(mark - sql), "%s%s", number, rest);
    }
    run_sql(sql);
    snprintf(sql, sizeof sql, "INSERT INTO main.\"%s\" (%s) SELECT %s FROM source ORDER BY id",
             copied[i].table, plain, moved);
    if (sqlite3_prepare_v2(db, sql, -1, &s, NULL) != SQLITE_OK) {
        fprintf(stderr, "years: %s: %s\n", sqlite3_errmsg(db), sql);
        exit(1);
    }
    for (long k = times - 1; k >= 1; k--) {
        (void)sqlite3_bind_int64(s, sqlite3_bind_parameter_index(s, ":ids"), ids * k);
        (void)sqlite3_bind_int64(s, sqlite3_bind_parameter_index(s, ":back"), span * k);
        (void)sqlite3_bind_int64(s, sqlite3_bind_parameter_index(s, ":copy"), k);
        if (sqlite3_step(s) != SQLITE_DONE) {
            fprintf(stderr, "years: %s: %s\n", copied[i].table, sqlite3_errmsg(db));
            exit(1);
        }
        (void)sqlite3_reset(s);
    }
    (void)sqlite3_finalize(s);
    run_sql("DROP TABLE source");
}

int main(int argc, char *argv[])
{
    long times = argc == 3 ? atol(argv[2]) : 0;
    if (times < 1 || sqlite3_open_v2(argv[1], &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK) {
        fprintf(stderr, "years FILE TIMES\n");
        return 2;
    }
    run_sql("PRAGMA foreign_keys = OFF; PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; PRAGMA "
            "cache_size = -400000;"
            "PRAGMA ignore_check_constraints = ON; BEGIN");
    long long first = ask("SELECT min(opened_at) FROM milking"),
              last = ask("SELECT max(opened_at) FROM milking");
    long long until = last - 40LL * 86400, span = (until - first) / 86400 * 86400 + 86400;
    long long ids =
        10 +
        ask("SELECT max(n) FROM (SELECT max(id) AS n FROM journal UNION ALL SELECT max(id) FROM jar_move "
            "UNION ALL SELECT max(id) FROM milk UNION ALL SELECT max(id) FROM batch_source)");
    move_numbers_up(ids * times);
    for (int i = 0; i < COPIED; i++)
        copy_table(i, times, span, ids, until);
    run_sql("UPDATE sqlite_sequence SET seq = (SELECT max(id) FROM journal) WHERE name = 'journal'");
    run_sql("COMMIT; ANALYZE");
    printf("%lld milkings, %lld weights, %lld moves of jars, %lld entries: %lld years\n",
           ask("SELECT count(*) FROM milking"), ask("SELECT count(*) FROM milk"),
           ask("SELECT count(*) FROM jar_move"), ask("SELECT count(*) FROM journal"),
           (last - ask("SELECT min(opened_at) FROM milking")) / 31557600);
    (void)sqlite3_close(db);
    return 0;
}
