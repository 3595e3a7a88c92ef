/* What the core costs beside bare SQLite doing the same in the same run: a
 * durable entry, the snapshots that screens draw, weights from a spreadsheet, a
 * backup. Real time; medians. core_bench FILE [FILE_OF_MANY_YEARS]     the
 * files are copies that may be written into */
#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "core/day/board.h"
#include "core/day/cow_page.h"
#include "core/day/dairy.h"
#include "core/day/herd_view.h"
#include "core/day/journal_view.h"
#include "core/day/losses.h"
#include "core/day/people.h"
#include "core/day/relief_view.h"
#include "core/day/shelf.h"
#include "demo/dairy.h"

enum { ENTRIES = 200, ROUNDS = 15, STATEMENTS_MOST = 4000, WEIGHTS = 7300 };

static double now_us(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e6 + (double)t.tv_nsec / 1e3;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *v, int n)
{
    qsort(v, (size_t)n, sizeof *v, by_size);
    return v[n / 2];
}

static void must(int result, const struct fail *f)
{
    if (result == 0)
        return;
    fprintf(stderr, "core_bench: %s\n", f->text);
    exit(1);
}

static struct dairy *open_file(const char *path, enum dairy_mode mode)
{
    struct dairy *d = NULL;
    struct fail f = {0};
    must(dairy_open(path, mode, &d, &f), &f);
    return d;
}

/* ---- 13: one entry, on the disk when it returns ---- */

static int64_t record(struct dairy *d, const char *act, const char *const words[], struct instant at)
{
    struct form form;
    struct act_done done;
    struct fail f = {0};
    const struct act_kind *kind = act_find(act);
    act_form(d, kind, at, &form);
    for (int i = 0; words[i] != NULL; i++)
        must(form_set_pair(&form, words[i], &f), &f);
    must(dairy_record(d, kind, &form, at, &done, &f), &f);
    return done.entry;
}

static double our_entry(const char *path)
{
    static double us[ENTRIES];
    static const char *const words[] = {"text=the gate sticks", NULL};
    struct dairy *d = open_file(path, DAIRY_WRITE);
    for (int i = 0; i < ENTRIES; i++) {
        double from = now_us();
        (void)record(d, "note", words, demo_now());
        us[i] = now_us() - from;
    }
    dairy_close(d);
    return median(us, ENTRIES);
}

/* The same two rows, a note and its entry in the journal, in the same mode. */
static double raw_entry(const char *path)
{
    static double us[ENTRIES];
    sqlite3 *db = NULL;
    sqlite3_stmt *note = NULL, *entry = NULL;
    if (sqlite3_open(path, &db) != SQLITE_OK ||
        sqlite3_exec(db,
                     "PRAGMA journal_mode = TRUNCATE; PRAGMA synchronous = FULL; "
                     "PRAGMA foreign_keys = ON",
                     NULL, NULL, NULL) != SQLITE_OK ||
        sqlite3_prepare_v2(db, "INSERT INTO note (at, text) VALUES (1777804860, 'the gate sticks')", -1,
                           &note, NULL) != SQLITE_OK ||
        sqlite3_prepare_v2(db,
                           "INSERT INTO journal (happened_at, entered_at, who, "
                           "kind, what, changes)"
                           " VALUES (1777804860, 1777804860, 'Ann', 'note', "
                           "'note: the gate sticks', zeroblob(60))",
                           -1, &entry, NULL) != SQLITE_OK) {
        fprintf(stderr, "core_bench: %s\n", sqlite3_errmsg(db));
        exit(1);
    }
    for (int i = 0; i < ENTRIES; i++) {
        double from = now_us();
        (void)sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL);
        int rc = sqlite3_step(note) == SQLITE_DONE ? sqlite3_step(entry) : SQLITE_ERROR;
        (void)sqlite3_reset(note);
        (void)sqlite3_reset(entry);
        if (rc != SQLITE_DONE || sqlite3_exec(db, "COMMIT", NULL, NULL, NULL) != SQLITE_OK)
            exit(1);
        us[i] = now_us() - from;
    }
    (void)sqlite3_finalize(note);
    (void)sqlite3_finalize(entry);
    (void)sqlite3_close(db);
    return median(us, ENTRIES);
}

static double overwrite_and_sync(const char *beside)
{
    static double us[ENTRIES];
    static char page[4096];
    char path[4200];
    snprintf(path, sizeof path, "%s-raw", beside);
    int fd = open(path, O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    for (int i = 0; i < ENTRIES; i++) {
        page[0] = (char)i;
        double from = now_us();
        if (pwrite(fd, page, sizeof page, 0) != (ssize_t)sizeof page || fdatasync(fd) != 0)
            exit(1);
        us[i] = now_us() - from;
    }
    (void)close(fd);
    (void)unlink(path);
    return median(us, ENTRIES);
}

/* ---- 14, 15: the snapshots ---- */

static union {
    struct board board;
    struct cow_page cow;
    struct herd_view herd;
    struct journal_view journal;
    struct shelf_view shelf;
    struct relief_view relief;
    struct people_view people;
    struct losses losses;
} view;

static int look_board(struct dairy *d, struct fail *f)
{
    memset(&view.board, 0, sizeof view.board);
    return dairy_board(d, demo_now(), &view.board, f);
}
static int look_cow(struct dairy *d, struct fail *f)
{
    return dairy_cow_page(d, 1, demo_now(), 0, &view.cow, f);
}
static int look_herd(struct dairy *d, struct fail *f)
{
    return dairy_herd(d, demo_now(), &view.herd, f);
}
static int look_journal(struct dairy *d, struct fail *f)
{
    return dairy_journal(d, demo_now(), 0, &view.journal, f);
}
static int look_shelf(struct dairy *d, struct fail *f)
{
    return dairy_shelf(d, demo_now(), &view.shelf, f);
}
static int look_relief(struct dairy *d, struct fail *f)
{
    return dairy_relief(d, demo_now(), &view.relief, f);
}
static int look_people(struct dairy *d, struct fail *f)
{
    return dairy_people(d, demo_now(), &view.people, f);
}
static int look_losses(struct dairy *d, struct fail *f)
{
    return dairy_losses(d, 12, demo_now(), &view.losses, f);
}

static const struct {
    const char *name;
    int (*look)(struct dairy *d, struct fail *f);
} looks[] = {{"board", look_board},     {"cow", look_cow},      {"herd", look_herd},
             {"journal", look_journal}, {"shelf", look_shelf},  {"relief", look_relief},
             {"people", look_people},   {"losses", look_losses}};
enum { LOOKS = sizeof looks / sizeof looks[0] };

/* Statements that a look runs, as SQLite saw them. */
static char *statement[STATEMENTS_MOST];
static int statements;
static int listening;

static int on_statement(unsigned what, void *context, void *s, void *text)
{
    (void)what;
    (void)context;
    if (listening && statements < STATEMENTS_MOST && strncmp(text, "--", 2) != 0)
        statement[statements++] = sqlite3_expanded_sql(s);
    return 0;
}

static int on_connection(sqlite3 *db, char **error, const struct sqlite3_api_routines *api)
{
    (void)error;
    (void)api;
    return sqlite3_trace_v2(db, SQLITE_TRACE_STMT, on_statement, NULL);
}

static double time_look(struct dairy *d, int i)
{
    static double us[ROUNDS];
    struct fail f = {0};
    for (int r = 0; r < ROUNDS; r++) {
        double from = now_us();
        must(looks[i].look(d, &f), &f);
        us[r] = now_us() - from;
    }
    return median(us, ROUNDS);
}

/* The same statements by themselves, prepared outside the time. */
static double time_statements(const char *path)
{
    static double us[ROUNDS];
    static sqlite3_stmt *s[STATEMENTS_MOST];
    sqlite3 *db = NULL;
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL) != SQLITE_OK)
        return 0;
    for (int i = 0; i < statements; i++)
        (void)sqlite3_prepare_v2(db, statement[i], -1, &s[i], NULL);
    for (int r = 0; r < ROUNDS; r++) {
        double from = now_us();
        for (int i = 0; i < statements; i++) {
            while (s[i] != NULL && sqlite3_step(s[i]) == SQLITE_ROW)
                (void)sqlite3_column_int64(s[i], 0);
            (void)sqlite3_reset(s[i]);
        }
        us[r] = now_us() - from;
    }
    for (int i = 0; i < statements; i++) {
        (void)sqlite3_finalize(s[i]);
        sqlite3_free(statement[i]);
    }
    statements = 0;
    (void)sqlite3_close(db);
    return median(us, ROUNDS);
}

static void time_looks(const char *path, const char *many)
{
    (void)sqlite3_auto_extension((void (*)(void))on_connection);
    struct dairy *d = open_file(path, DAIRY_READ), *m = many == NULL ? NULL : open_file(many, DAIRY_READ);
    (void)sqlite3_cancel_auto_extension((void (*)(void))on_connection);
    for (int i = 0; i < LOOKS; i++) {
        struct fail f = {0};
        must(looks[i].look(d, &f), &f); /* what stays in memory is there */
        listening = 1;
        must(looks[i].look(d, &f), &f);
        listening = 0;
        int count = statements;
        double us = time_look(d, i), raw = time_statements(path), far = 0;
        if (m != NULL) {
            must(looks[i].look(m, &f), &f);
            far = time_look(m, i);
        }
        printf("look %s us=%.0f statements=%d raw_us=%.0f many_us=%.0f\n", looks[i].name, us, count, raw,
               far);
    }
    dairy_close(d);
    dairy_close(m);
}

/* ---- 16: weights ---- */

static void time_import(const char *path)
{
    char file[4200], word[4300];
    struct date day;
    (void)date_from_ymd(1972, 1, 1, &day); /* before all that is in the file */
    snprintf(file, sizeof file, "%s-weights.csv", path);
    FILE *out = fopen(file, "w");
    if (out == NULL)
        exit(1);
    fprintf(out, "date,cow,kg\n");
    for (int i = 0; i < WEIGHTS; i++) {
        char iso[CIVIL_TEXT_MAX];
        fprintf(out, "%s,Maud,%.1f\n", date_iso(date_add(day, i), iso), 15 + i % 100 * 0.1);
    }
    (void)fclose(out);
    snprintf(word, sizeof word, "file=%s", file);
    struct dairy *d = open_file(path, DAIRY_WRITE);
    const char *const words[] = {word, NULL};
    double from = now_us();
    (void)record(d, "weights", words, demo_now());
    double ours = now_us() - from;
    dairy_close(d);
    (void)unlink(file);

    sqlite3 *db = NULL;
    sqlite3_stmt *s = NULL;
    if (sqlite3_open(path, &db) != SQLITE_OK ||
        sqlite3_exec(db, "PRAGMA foreign_keys = ON; BEGIN", NULL, NULL, NULL) != SQLITE_OK ||
        sqlite3_prepare_v2(db,
                           "INSERT INTO milk (cow_id, at, mass_g, milkings) "
                           "VALUES (1, ?1, 15000, 1)",
                           -1, &s, NULL) != SQLITE_OK) {
        fprintf(stderr, "core_bench: %s\n", sqlite3_errmsg(db));
        exit(1);
    }
    from = now_us();
    for (int i = 0; i < WEIGHTS; i++) {
        (void)sqlite3_bind_int64(s, 1, 300000000 + i * 86400LL);
        if (sqlite3_step(s) != SQLITE_DONE)
            fprintf(stderr, "core_bench: %s\n", sqlite3_errmsg(db));
        (void)sqlite3_reset(s);
    }
    (void)sqlite3_finalize(s);
    (void)sqlite3_exec(db, "COMMIT", NULL, NULL, NULL);
    double raw = now_us() - from;
    (void)sqlite3_close(db);
    printf("import rows_per_s=%.0f raw_rows_per_s=%.0f\n", WEIGHTS / ours * 1e6, WEIGHTS / raw * 1e6);
}

/* ---- 17: a copy, and its check ---- */

static double raw_backup(const char *path, const char *to)
{
    sqlite3 *from_db = NULL, *to_db = NULL;
    double from = now_us();
    if (sqlite3_open_v2(path, &from_db, SQLITE_OPEN_READONLY, NULL) != SQLITE_OK ||
        sqlite3_open(to, &to_db) != SQLITE_OK)
        exit(1);
    sqlite3_backup *b = sqlite3_backup_init(to_db, "main", from_db, "main");
    (void)sqlite3_backup_step(b, -1);
    (void)sqlite3_backup_finish(b);
    double us = now_us() - from;
    (void)sqlite3_close(from_db);
    (void)sqlite3_close(to_db);
    return us;
}

static double integrity(const char *path)
{
    sqlite3 *db = NULL;
    double from = now_us();
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL) == SQLITE_OK)
        (void)sqlite3_exec(db, "PRAGMA integrity_check; PRAGMA foreign_key_check", NULL, NULL, NULL);
    double us = now_us() - from;
    (void)sqlite3_close(db);
    return us;
}

static void time_backup(const char *path)
{
    char to[4200];
    double ours[3], raw[3], check[3];
    struct fail f = {0};
    snprintf(to, sizeof to, "%s-copy", path);
    for (int i = 0; i < 3; i++) {
        struct dairy *d = open_file(path, DAIRY_READ);
        (void)unlink(to);
        double from = now_us();
        int result = dairy_backup(d, to, &f);
        ours[i] = now_us() - from;
        dairy_close(d);
        if (result != 0)
            fprintf(stderr, "core_bench: backup: %s\n", f.text);
        (void)unlink(to);
        raw[i] = raw_backup(path, to);
        check[i] = integrity(to);
    }
    (void)unlink(to);
    printf("backup ms=%.1f raw_ms=%.1f integrity_ms=%.1f\n", median(ours, 3) / 1e3, median(raw, 3) / 1e3,
           median(check, 3) / 1e3);
}

int main(int argc, char *argv[])
{
    if (argc < 2)
        return 2;
    (void)setenv("TZ", "America/New_York", 1);
    printf("sync raw_us=%.0f\n", overwrite_and_sync(argv[1]));
    printf("entry us=%.0f", our_entry(argv[1]));
    printf(" raw_us=%.0f\n", raw_entry(argv[1]));
    (void)fflush(stdout);
    time_looks(argv[1], argc > 2 ? argv[2] : NULL);
    time_backup(argv[1]);
    time_import(argv[1]);
    return 0;
}
