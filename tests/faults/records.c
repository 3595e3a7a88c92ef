#include "tests/faults/records.h"

#define SQLITE_ENABLE_SESSION        1
#define SQLITE_ENABLE_PREUPDATE_HOOK 1
#include <sqlite3.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bool because(char why[WHY_ROOM], const char *what, const char *more)
{
    snprintf(why, WHY_ROOM, "%.100s%.150s", what, more == NULL ? "" : more);
    return false;
}

/* The first value of a query as text; "" when there is none. */
static bool ask(sqlite3 *db, const char *sql, char *answer, size_t size, char why[WHY_ROOM])
{
    sqlite3_stmt *s = NULL;
    int rc = sqlite3_prepare_v2(db, sql, -1, &s, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_step(s);
    const char *text = rc == SQLITE_ROW ? (const char *)sqlite3_column_text(s, 0) : NULL;
    snprintf(answer, size, "%s", text == NULL ? "" : text);
    (void)sqlite3_finalize(s);
    return rc == SQLITE_ROW || rc == SQLITE_DONE || because(why, "cannot be read: ", sqlite3_errmsg(db));
}

static bool is_whole(sqlite3 *db, char why[WHY_ROOM])
{
    char answer[200];
    if (!ask(db, "PRAGMA integrity_check(1)", answer, sizeof answer, why))
        return false;
    if (strcmp(answer, "ok") != 0)
        return because(why, "damaged: ", answer);
    if (!ask(db, "SELECT \"table\" FROM pragma_foreign_key_check", answer, sizeof answer, why))
        return false;
    return answer[0] == '\0' || because(why, "a reference to nothing in ", answer);
}

static bool kept(sqlite3 *db, const struct promises *p, long extra, char why[WHY_ROOM])
{
    sqlite3_stmt *s = NULL;
    long expected = 1;
    char number[40] = "";
    if (sqlite3_prepare_v2(db, "SELECT id, what FROM journal ORDER BY id", -1, &s, NULL) != SQLITE_OK)
        /* Before the first promise the tables may not be there. */
        return p->entries == 0 || because(why, "no journal, and entries were promised", NULL);
    bool good = true;
    int rc;
    while (good && (rc = sqlite3_step(s)) == SQLITE_ROW) {
        long id = (long)sqlite3_column_int64(s, 0);
        const char *what = (const char *)sqlite3_column_text(s, 1);
        snprintf(number, sizeof number, "%ld", id);
        if (id != expected)
            good = because(why, "an entry is missing before ", number);
        else if (id <= p->entries && p->what[id][0] != '\0' &&
                 strcmp(p->what[id], what == NULL ? "" : what) != 0)
            good = because(why, "not what was promised: entry ", number);
        expected++;
    }
    (void)sqlite3_finalize(s);
    if (good && expected - 1 < p->entries)
        good = because(why, "lost what was promised after entry ", number[0] == '\0' ? "0" : number);
    if (good && expected - 1 > p->entries + extra)
        good = because(why, "an entry that nobody made: ", number);
    return good;
}

static bool row_is_there(sqlite3 *db, const char *table, sqlite3_int64 id)
{
    char sql[120];
    sqlite3_stmt *s = NULL;
    snprintf(sql, sizeof sql, "SELECT 1 FROM \"%.60s\" WHERE id = ?1", table);
    bool there = sqlite3_prepare_v2(db, sql, -1, &s, NULL) == SQLITE_OK &&
                 sqlite3_bind_int64(s, 1, id) == SQLITE_OK && sqlite3_step(s) == SQLITE_ROW;
    (void)sqlite3_finalize(s);
    return there;
}

/* The rows that the last entry says it made are there, and those that it took out are not. */
static bool last_is_whole(sqlite3 *db, char why[WHY_ROOM])
{
    sqlite3_stmt *s = NULL;
    sqlite3_changeset_iter *changes = NULL;
    bool good = true;
    if (sqlite3_prepare_v2(db, "SELECT changes FROM journal ORDER BY id DESC LIMIT 1", -1, &s, NULL) !=
        SQLITE_OK)
        return true;
    if (sqlite3_step(s) == SQLITE_ROW &&
        sqlite3changeset_start(&changes, sqlite3_column_bytes(s, 0), (void *)sqlite3_column_blob(s, 0)) ==
            SQLITE_OK)
        while (good && sqlite3changeset_next(changes) == SQLITE_ROW) {
            const char *table;
            int columns, operation, indirect;
            sqlite3_value *id = NULL;
            (void)sqlite3changeset_op(changes, &table, &columns, &operation, &indirect);
            (void)(operation == SQLITE_INSERT ? sqlite3changeset_new(changes, 0, &id)
                                              : sqlite3changeset_old(changes, 0, &id));
            bool there = row_is_there(db, table, sqlite3_value_int64(id));
            if (there == (operation == SQLITE_DELETE))
                good = because(why, "half an entry: ", table);
        }
    if (changes != NULL)
        (void)sqlite3changeset_finalize(changes);
    (void)sqlite3_finalize(s);
    return good;
}

bool records_hold(const char *path, const struct promises *p, long extra, char why[WHY_ROOM])
{
    sqlite3 *db = NULL;
    why[0] = '\0';
    if (access(path, F_OK) != 0)
        return p->entries == 0 || because(why, "the file is gone", NULL);
    int rc = sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL);
    bool good = rc == SQLITE_OK ? is_whole(db, why) && kept(db, p, extra, why) && last_is_whole(db, why)
                                : because(why, "cannot be opened: ", sqlite3_errmsg(db));
    (void)sqlite3_close(db);
    return good;
}

long records_entries(const char *path)
{
    sqlite3 *db = NULL;
    char answer[40] = "", why[WHY_ROOM];
    if (access(path, F_OK) != 0)
        return 0;
    bool good =
        sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) == SQLITE_OK &&
        ask(db, "SELECT count(*) FROM sqlite_schema WHERE name = 'journal'", answer, sizeof answer, why);
    if (good && strcmp(answer, "1") == 0)
        good = ask(db, "SELECT ifnull(max(id), 0) FROM journal", answer, sizeof answer, why);
    (void)sqlite3_close(db);
    long n = -1;
    return good && sscanf(answer, "%ld", &n) == 1 ? n : -1;
}

bool records_make(const char *path, const char *sql)
{
    sqlite3 *db = NULL;
    bool good = sqlite3_open(path, &db) == SQLITE_OK && sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK;
    (void)sqlite3_close(db);
    return good && chmod(path, 0600) == 0;
}
