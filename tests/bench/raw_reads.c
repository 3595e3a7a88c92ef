#include "tests/bench/raw_reads.h"

#include <sqlite3.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static struct {
    bool on;
    char **sql;
    size_t count, room;
} noted;

struct raw_reads {
    sqlite3 *db;
    sqlite3_stmt **statement;
    size_t count;
};

static void stop(const char *what)
{
    (void)fprintf(stderr, "bench: %s\n", what);
    exit(1);
}

static void note(char *sql)
{
    if (noted.count == noted.room) {
        noted.room = noted.room == 0 ? 256 : 2 * noted.room;
        noted.sql = realloc(noted.sql, noted.room * sizeof *noted.sql);
        if (noted.sql == NULL)
            stop("out of memory");
    }
    noted.sql[noted.count++] = sql;
}

static int on_statement(unsigned what, void *context, void *statement, void *text)
{
    (void)what;
    (void)context;
    (void)text;
    if (!noted.on || sqlite3_column_count(statement) == 0)
        return 0;
    char *sql = sqlite3_expanded_sql(statement);
    if (sql == NULL)
        stop("out of memory");
    note(sql);
    return 0;
}

static int watch(sqlite3 *db, char **error, const struct sqlite3_api_routines *api)
{
    (void)error;
    (void)api;
    return sqlite3_trace_v2(db, SQLITE_TRACE_STMT, on_statement, NULL);
}

void raw_reads_watch(void)
{
    if (sqlite3_auto_extension((void (*)(void))watch) != SQLITE_OK)
        stop("SQLite cannot be watched");
}

void raw_reads_begin(void)
{
    noted.on = true;
}

struct raw_reads *raw_reads_end(const char *path)
{
    struct raw_reads *r = calloc(1, sizeof *r);
    noted.on = false;
    if (r == NULL)
        stop("out of memory");
    r->statement = calloc(noted.count + 1, sizeof *r->statement);
    if (r->statement == NULL ||
        sqlite3_open_v2(path, &r->db, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX, NULL) != SQLITE_OK)
        stop("the file does not open");
    for (size_t i = 0; i < noted.count; i++) {
        if (sqlite3_prepare_v2(r->db, noted.sql[i], -1, &r->statement[i], NULL) != SQLITE_OK)
            stop(sqlite3_errmsg(r->db));
        sqlite3_free(noted.sql[i]);
    }
    r->count = noted.count;
    noted.count = 0;
    return r;
}

void raw_reads_free(struct raw_reads *r)
{
    for (size_t i = 0; i < r->count; i++)
        (void)sqlite3_finalize(r->statement[i]);
    (void)sqlite3_close(r->db);
    free(r->statement);
    free(r);
}

/* What is fetched goes here, so that no compiler can leave the fetching out. */
static volatile int64_t fetched;

static void fetch(sqlite3_stmt *s)
{
    for (int i = 0; i < sqlite3_column_count(s); i++)
        fetched += sqlite3_column_type(s, i) == SQLITE_TEXT ? sqlite3_column_text(s, i)[0]
                                                            : sqlite3_column_int64(s, i);
}

long raw_reads_run(struct raw_reads *r)
{
    long rows = 0;
    if (sqlite3_exec(r->db, "BEGIN", NULL, NULL, NULL) != SQLITE_OK)
        stop(sqlite3_errmsg(r->db));
    for (size_t i = 0; i < r->count; i++) {
        for (; sqlite3_step(r->statement[i]) == SQLITE_ROW; rows++)
            fetch(r->statement[i]);
        if (sqlite3_reset(r->statement[i]) != SQLITE_OK)
            stop(sqlite3_errmsg(r->db));
    }
    (void)sqlite3_exec(r->db, "ROLLBACK", NULL, NULL, NULL);
    return rows;
}

size_t raw_reads_statements(const struct raw_reads *r)
{
    return r->count;
}

double bench_now_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e6 + (double)t.tv_nsec / 1e3;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double bench_median(double *figure, size_t count)
{
    qsort(figure, count, sizeof figure[0], by_size);
    return figure[count / 2];
}
