/* How long a cow's page takes with twenty years of daily records: the page opened from the board (the
 * snapshot and its picture), beside plain SQLite reading the same rows in the same run; and the same page in
 * a file that has a hundred times as many cows. Processor time; medians of rounds that take turns. cow_bench
 * FILE MANY      makes FILE first when it is not there, and MANY from it */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/base/file.h"
#include "tests/bench/past.h"
#include "tests/bench/raw_reads.h"
#include "tui/app.h"

enum { DAYS = 20 * 365, ROUNDS = 101, MORE_COWS = 99, DRY_DAYS = 60 };

/* ---- twenty years ---- */

/* A year of hers: calved on its first day, dry before its end. */
static void make_day(struct dairy *d, struct date day, int n)
{
    char words[120];
    int t = n % 365;
    if (t == 0)
        bench_act(d, day, 3 * 60, "calving", "cow=Brindle  ease=1  calf=bull dead");
    if (t == 365 - DRY_DAYS)
        bench_act(d, day, 9 * 60, "dry", "cow=Brindle");
    if (t > 0 && t < 365 - DRY_DAYS) {
        (void)snprintf(words, sizeof words, "cow=Brindle  mass=%d.%dkg  strip=clean  disc=clean", 17 - t / 30,
                       (n * 7) % 10);
        bench_act(d, day, 6 * 60, "milk", words);
    }
    if (t == 80)
        bench_act(d, day, 17 * 60, "service", "cow=Brindle  by=ai  sire=Rowan");
    if (t == 115)
        bench_act(d, day, 10 * 60, "check", "cow=Brindle  method=ultrasound  result=in-calf");
    if (t % 30 == 10)
        bench_act(d, day, 8 * 60, "weigh", "cow=Brindle  girth=1.7m");
    if (t % 60 == 20)
        bench_act(d, day, 8 * 60, "condition", "cow=Brindle  score=3");
    if (t % 30 == 15 && t < 300)
        bench_act(d, day, 8 * 60, "test", "cow=Brindle  fat=4.6%  protein=3.6%  cells=90000");
    if (t == 140)
        bench_act(d, day, 8 * 60, "treat", "cow=Brindle  product=udder tube  milk_hours=96h  meat_days=10d");
    if (t % 100 == 50)
        bench_act(d, day, 20 * 60, "note", "cow=Brindle  text=Quiet today, ate well");
}

static void make_file(const char *path, struct date first)
{
    struct dairy *d;
    struct fail f = {0};
    bench_need(dairy_open(path, DAIRY_SCRATCH, &d, &f), &f);
    dairy_make_haste(d, true);
    bench_act(d, first, 60, "dairy", "name=Bench  units=us  limit=pmo  stalls=4  times=06:10");
    bench_act(d, first, 61, "cow", "name=Brindle  breed=Jersey  born=2002-01-01  stall=1");
    for (int n = 0; n < DAYS; n++)
        make_day(d, date_add(first, n), n);
    bench_need(dairy_settle(d, &f), &f);
    dairy_close(d);
}

/* Every row about a cow once more for each of the others; they have left, so that the barn stays as it is. */
static void make_many(const char *from, const char *path)
{
    static const char *const tables[] = {
        "milk",      "calving",    "dry_off", "service", "pregnancy_check", "weighing", "condition_score",
        "milk_test", "udder_test", "hold",    "note",    "treatment"};
    char *bytes, columns[1000], sql[4000];
    size_t size;
    struct fail f = {0};
    sqlite3 *db;
    sqlite3_stmt *s;
    bench_need(file_read(from, &bytes, &size, &f), &f);
    bench_need(file_replace(path, bytes, size, &f), &f);
    free(bytes);
    if (sqlite3_open(path, &db) != SQLITE_OK ||
        sqlite3_exec(db, "PRAGMA synchronous = OFF; BEGIN", NULL, NULL, NULL) != SQLITE_OK)
        exit(1);
    for (int cow = 2; cow <= 1 + MORE_COWS; cow++) {
        (void)snprintf(sql, sizeof sql,
                       "INSERT INTO cow (id, name, breed, born_on, left_on) VALUES (%d, 'Cow %d', 'Jersey', "
                       "'2004-01-01', '2024-12-30')",
                       cow, cow);
        if (sqlite3_exec(db, sql, NULL, NULL, NULL) != SQLITE_OK)
            break;
        for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++) {
            columns[0] = '\0';
            (void)snprintf(sql, sizeof sql,
                           "SELECT name FROM pragma_table_info('%s') WHERE name NOT IN ('id', 'cow_id')",
                           tables[i]);
            if (sqlite3_prepare_v2(db, sql, -1, &s, NULL) != SQLITE_OK)
                break;
            while (sqlite3_step(s) == SQLITE_ROW)
                (void)snprintf(columns + strlen(columns), sizeof columns - strlen(columns), ", %s",
                               (const char *)sqlite3_column_text(s, 0));
            (void)sqlite3_finalize(s);
            (void)snprintf(sql, sizeof sql, "INSERT INTO %s (cow_id%s) SELECT %d%s FROM %s WHERE cow_id = 1",
                           tables[i], columns, cow, columns, tables[i]);
            if (sqlite3_exec(db, sql, NULL, NULL, NULL) != SQLITE_OK)
                (void)fprintf(stderr, "cow_bench: %s: %s\n", tables[i], sqlite3_errmsg(db));
        }
    }
    if (sqlite3_exec(db, "COMMIT", NULL, NULL, NULL) != SQLITE_OK || sqlite3_close(db) != SQLITE_OK)
        (void)fprintf(stderr, "cow_bench: the file of many cows is not whole\n");
}

/* ---- the measure ---- */

struct opened {
    struct app app;
    struct canvas canvas;
    struct clock_held held;
    struct raw_reads *raw;
};

static void open_page(struct opened *o)
{
    cow_screen.open(&o->app);
    canvas_erase(&o->canvas);
    cow_screen.draw(&o->app, rect_whole(&o->canvas));
}

static void open_board(struct opened *o, const char *path, struct instant now)
{
    struct fail f = {0};
    bench_need(dairy_open(path, DAIRY_READ, &o->app.dairy, &f), &f);
    o->app.now = now;
    o->app.clock = clock_held(&o->held, now);
    o->app.ringing = -1;
    o->app.cow_id = 1;
    o->app.screen = &cow_screen;
    o->app.board = calloc(1, sizeof *o->app.board);
    bench_need(dairy_board(o->app.dairy, now, o->app.board, &f), &f);
    bench_need(canvas_resize(&o->canvas, 30, 100, &f), &f);
    open_page(o);
    raw_reads_begin();
    open_page(o);
    o->raw = raw_reads_end(path);
}

static double timed(struct opened *o)
{
    double at = bench_now_us();
    open_page(o);
    return bench_now_us() - at;
}

static double timed_raw(struct opened *o, long *rows)
{
    double at = bench_now_us();
    *rows = raw_reads_run(o->raw);
    return bench_now_us() - at;
}

int main(int argc, char **argv)
{
    double page[2][ROUNDS], raw[2][ROUNDS];
    struct date first;
    struct opened *o[2] = {calloc(1, sizeof *o[0]), calloc(1, sizeof *o[1])};
    long rows[2];
    if (argc != 3 || o[0] == NULL || o[1] == NULL || !date_from_ymd(2005, 1, 1, &first)) {
        (void)fprintf(stderr, "usage: cow_bench FILE MANY\n");
        return 2;
    }
    if (access(argv[1], F_OK) != 0)
        make_file(argv[1], first);
    if (access(argv[2], F_OK) != 0)
        make_many(argv[1], argv[2]);
    raw_reads_watch();
    for (int i = 0; i < 2; i++)
        open_board(o[i], argv[1 + i], bench_minute(date_add(first, DAYS - DRY_DAYS - 20), 22 * 60));
    for (int r = 0; r < ROUNDS; r++)
        for (int i = 0; i < 2; i++) {
            page[i][r] = timed(o[i]);
            raw[i][r] = timed_raw(o[i], &rows[i]);
        }
    double one = bench_median(page[0], ROUNDS), many = bench_median(page[1], ROUNDS);
    for (int i = 0; i < 2; i++) {
        double us = i == 0 ? one : many, plain = bench_median(raw[i], ROUNDS);
        printf("%s: page and picture %8.3f ms; the same %5ld rows, %3zu reads %8.3f ms; ratio %.2f\n",
               i == 0 ? "one cow           " : "a hundred cows    ", us / 1e3, rows[i],
               raw_reads_statements(o[i]->raw), plain / 1e3, us / plain);
    }
    printf("a hundred times the cows: %+.1f %%\n", 100 * (many / one - 1));
    return 0;
}
