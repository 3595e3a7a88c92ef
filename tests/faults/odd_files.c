/* Files that are not what they should be, or do not stay so: each gets one clear line, is left as it was, and
 * never an entry that is said to be saved and is not there. */
#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/faults/board.h"
#include "tests/faults/morning.h"
#include "tests/faults/records.h"

static char folder[PATH_ROOM], made[2 * PATH_ROOM], path[2 * PATH_ROOM];
static long cases;

static void sql(const char *file, const char *text)
{
    sqlite3 *db;
    if (sqlite3_open(file, &db) != SQLITE_OK || sqlite3_exec(db, text, NULL, NULL, NULL) != SQLITE_OK)
        violation("%s: %s", text, sqlite3_errmsg(db));
    (void)sqlite3_close(db);
}

static void fresh(void)
{
    size_t size;
    char *bytes = read_whole(made, &size);
    (void)unlink(path);
    int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (bytes == NULL || write(fd, bytes, size) != (ssize_t)size)
        exit(2);
    (void)close(fd);
    free(bytes);
}

static void overwrite(const char *bytes, size_t size)
{
    int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (write(fd, bytes, size) != (ssize_t)size)
        exit(2);
    (void)close(fd);
}

/* ---- what it can be made of: each turns the good file at `path` into something else ---- */

static void foreign(void)
{
    sql(path, "PRAGMA application_id = 77");
}

static void newer(void)
{
    sql(path, "PRAGMA user_version = 999");
}

static void cut_in_half(void)
{
    struct stat st;
    if (stat(path, &st) != 0 || truncate(path, st.st_size / 2) != 0)
        exit(2);
}

static void cut_in_page(void)
{
    if (truncate(path, 4096 + 100) != 0)
        exit(2);
}

static void empty(void)
{
    if (truncate(path, 0) != 0)
        exit(2);
}

static void zeros(void)
{
    static const char nothing[8192];
    overwrite(nothing, sizeof nothing);
}

static void words(void)
{
    char text[5000];
    memset(text, 'm', sizeof text);
    overwrite(text, sizeof text);
}

static void in_folders_place(void)
{
    (void)unlink(path);
    (void)mkdir(path, 0700);
}

static void is_link(void)
{
    (void)unlink(path);
    if (symlink(made, path) != 0)
        exit(2);
}

static void is_pipe(void)
{
    (void)unlink(path);
    (void)mkfifo(path, 0600);
}

static void others_may_write(void)
{
    (void)chmod(path, 0666);
}

static void gone(void)
{
    (void)unlink(path);
}

/* Bytes changed at places all over the file. */
static void scratched(void)
{
    struct stat st;
    int fd = open(path, O_RDWR);
    for (off_t at = 4096; fstat(fd, &st) == 0 && at < st.st_size; at += 1777)
        if (pwrite(fd, "\xff\x00\x7f", 3, at) != 3)
            exit(2);
    (void)close(fd);
}

static void a_table_is_missing(void)
{
    sql(path, "PRAGMA foreign_keys = OFF; DROP TABLE tick");
}

/* A view where a table was, and a trigger that would undo every entry. */
static void with_traps(void)
{
    sql(path, "PRAGMA foreign_keys = OFF; ALTER TABLE note RENAME TO old_note;"
              "CREATE VIEW note AS SELECT * FROM old_note;"
              "CREATE TRIGGER trap AFTER INSERT ON journal BEGIN DELETE FROM journal; END");
}

static const struct {
    const char *what;
    void (*make)(void);
    const char *says; /* NULL: it may also open, and then has to be true to what it says */
    bool stays;       /* the file is not touched */
} odd[] = {
    {"another program's", foreign, "another program", true},
    {"a newer version's", newer, "newer springhouse", true},
    {"cut in half", cut_in_half, "damaged", true},
    {"cut within a page", cut_in_page, "damaged", true},
    {"empty", empty, NULL, false},
    {"zeros", zeros, "damaged", true},
    {"words", words, "damaged", true},
    {"a folder", in_folders_place, "is not a file", false},
    {"a link", is_link, "is a link", true},
    {"a pipe", is_pipe, "is not a file", false},
    {"open to others", others_may_write, "Others on this computer may write", true},
    {"not there", gone, "There is no file", false},
    {"scratched", scratched, NULL, false},
    {"without a table", a_table_is_missing, NULL, false},
    {"with a view and a trigger", with_traps, NULL, false},
};

static void expect_line(const struct run *r, const char *what, const char *doing, const char *says)
{
    cases++;
    const char *end = strchr(r->err, '\n');
    if (r->signal != 0 || r->timed_out)
        violation("%s, %s: signal %d, hung %d", what, doing, r->signal, r->timed_out);
    else if (r->status != 0 && (end == NULL || end[1] != '\0') && strstr(r->out, "see above") == NULL)
        violation("%s, %s: not one line: %s", what, doing, r->err);
    else if (says != NULL && (r->status != 1 || strstr(r->err, says) == NULL))
        violation("%s, %s: exit %d, %s", what, doing, r->status, r->err);
}

static void try_odd_file(size_t i)
{
    struct run r;
    size_t size = 0, size_after = 0;
    (void)rmdir(path);
    fresh();
    odd[i].make();
    char *before = odd[i].stays ? read_whole(path, &size) : NULL;
    const char *const look[] = {program(), "--db", path, "show", "board", NULL};
    const char *const verify[] = {program(), "--db", path, "verify", NULL};
    const char *const record[] = {program(), "--db", path,     "--at", "2026-05-03T08:00",
                                  "record",  "note", "text=x", NULL};
    run(&r, look, NULL, 20000);
    expect_line(&r, odd[i].what, "show", odd[i].says);
    run(&r, verify, NULL, 20000);
    expect_line(&r, odd[i].what, "verify", odd[i].says);
    run(&r, record, NULL, 20000);
    expect_line(&r, odd[i].what, "record", odd[i].says);
    if (r.status == 0 && records_entries(path) != SMALL_DAIRY_ENTRIES + 1)
        violation("%s: said to be saved and is not", odd[i].what);
    char *after = odd[i].stays ? read_whole(path, &size_after) : NULL;
    if (odd[i].stays &&
        (before == NULL || after == NULL || size != size_after || memcmp(before, after, size) != 0))
        violation("%s: it was changed", odd[i].what);
    free(before);
    free(after);
}

/* ---- what happens to it while the board is open ---- */

static void removed_while_open(void)
{
    struct pty p;
    fresh();
    board_open(&p, path, NULL, NULL);
    (void)unlink(path);
    if (!board_refuses(&p, SMALL_DAIRY_ENTRIES + 1, "removed or replaced"))
        violation("removed while open: not said");
    if (!board_answers(&p))
        violation("removed while open: no answer to keys");
    board_leave(&p, "removed while open");
    cases++;
}

static void replaced_while_open(void)
{
    struct pty p;
    char aside[3 * PATH_ROOM];
    fresh();
    board_open(&p, path, NULL, NULL);
    snprintf(aside, sizeof aside, "%s.aside", path);
    (void)rename(path, aside);
    fresh();
    if (!board_refuses(&p, SMALL_DAIRY_ENTRIES + 1, "removed or replaced"))
        violation("replaced while open: not said");
    if (records_entries(path) != SMALL_DAIRY_ENTRIES || records_entries(aside) != SMALL_DAIRY_ENTRIES)
        violation("replaced while open: something was written");
    board_leave(&p, "replaced while open");
    (void)unlink(aside);
    cases++;
}

/* Another program holds the file: the board goes on answering, says so, and saves as soon as it can. */
static void held_by_another(void)
{
    sqlite3 *db;
    struct pty p;
    struct run r;
    fresh();
    board_open(&p, path, NULL, NULL);
    if (sqlite3_open(path, &db) != SQLITE_OK ||
        sqlite3_exec(db, "BEGIN EXCLUSIVE", NULL, NULL, NULL) != SQLITE_OK)
        violation("cannot hold the file");
    (void)pty_type(&p, "\t\t "); /* to the chores, and tick */
    if (!pty_wait_for(&p, "Not saved yet", 5000))
        violation("held by another: not said");
    if (!board_answers(&p))
        violation("held by another: no answer to keys");
    const char *const record[] = {program(), "--db", path,     "--at", "2026-05-03T08:00",
                                  "record",  "note", "text=x", NULL};
    run(&r, record, NULL, 20000);
    expect_line(&r, "held by another", "record", NULL);
    if (r.status == 0)
        violation("held by another: said to be saved");
    (void)sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    (void)sqlite3_close(db);
    for (int wait = 0; wait < 100 && !board_says(&p, SMALL_DAIRY_ENTRIES + 1); wait++)
        (void)pty_pump(&p, 50, 50);
    if (records_entries(path) != SMALL_DAIRY_ENTRIES + 1)
        violation("held by another: not saved when it was free again");
    board_leave(&p, "held by another");
    cases++;
}

/* Two boards on one file: what one does, the other shows. */
static void two_boards(void)
{
    struct pty one, two;
    struct run r;
    fresh();
    board_open(&one, path, NULL, NULL);
    board_open(&two, path, NULL, NULL);
    const char *const record[] = {program(), "--db",    path,        "--at", "2026-05-03T06:29",
                                  "record",  "milking", "state=end", NULL};
    run(&r, record, NULL, 20000);
    for (long i = 0; i < 6; i++)
        if (!board_ticks(i % 2 == 0 ? &one : &two, SMALL_DAIRY_ENTRIES + 2 + i))
            violation("two boards: entry %ld was not made", SMALL_DAIRY_ENTRIES + 2 + i);
    (void)pty_pump(&one, 1500, 1500);
    (void)pty_pump(&two, 200, 200);
    char text[2][4096];
    for (int row = 0; row < one.rows - 2; row++) { /* the last rows are each board's own */
        (void)pty_row(&one, row, text[0], sizeof text[0]);
        (void)pty_row(&two, row, text[1], sizeof text[1]);
        char *chores[2] = {strstr(text[0], "of "), strstr(text[1], "of ")};
        if (strstr(text[0], "CHORES") != NULL && (chores[0] == NULL || strcmp(chores[0], chores[1]) != 0))
            violation("two boards: one shows %s, the other %s", text[0], text[1]);
    }
    board_leave(&one, "two boards");
    board_leave(&two, "two boards");
    cases++;
}

int main(void)
{
    folder_make(folder);
    (void)program();
    morning_small_dairy(folder);
    snprintf(made, sizeof made, "%s/" RECORDS_NAME, folder);
    snprintf(path, sizeof path, "%s/odd.db", folder);
    for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++)
        try_odd_file(i);
    (void)rmdir(path);
    removed_while_open();
    replaced_while_open();
    held_by_another();
    two_boards();
    folder_remove(folder);
    return finish("files that are not what they should be", cases, "cases");
}
