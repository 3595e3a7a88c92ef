/* Rollback journal (TRUNCATE) with synchronous FULL: when a commit returns, it is on the disk. The choice
 * stands in connection_settings, in one place, so that it can change with the library: the write-ahead log of
 * SQLite before 3.51.3 can be corrupted when two connections write and checkpoint at the same moment, and
 * does not open on a full disk. */
#include "core/store/store.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/base/file.h"
#include "core/store/inside.h"

static const char connection_settings[] = "PRAGMA foreign_keys = ON;"
                                          "PRAGMA cell_size_check = ON;"
                                          "PRAGMA synchronous = FULL;"
                                          "PRAGMA temp_store = MEMORY;"
                                          /* Pages kept, in KiB: the board looks at a hundred of them; what else it has
                                           * once read, the system keeps anyway. */
                                          "PRAGMA cache_size = -1024;";
static const char scratch_settings[] = "PRAGMA synchronous = OFF; PRAGMA journal_mode = MEMORY;";
static const char settled_settings[] = "PRAGMA journal_mode = TRUNCATE; PRAGMA synchronous = FULL;";
static const char journal_setting[] = "PRAGMA journal_mode = TRUNCATE;";

int store_fail(struct store *s, int rc, struct fail *f)
{
    int primary = rc & 0xff;
    switch (primary) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return fail_set(f, FAIL_BUSY,
                        "The records are being written by another program; nothing was changed, try again.");
    case SQLITE_FULL:
        s->suspect = true;
        return fail_set(
            f, FAIL_STORE,
            "Not saved: the disk is full. Everything saved before is safe; make room and do it again.");
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH: return fail_set(f, FAIL_STORE, "Not saved: %s can only be read.", s->path);
    case SQLITE_IOERR:
        s->suspect = true;
        return fail_set(
            f, FAIL_STORE,
            "Not saved: the disk did not take it (%s). Everything saved before is as it was; do it again.",
            sqlite3_errstr(rc));
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        s->suspect = true;
        return fail_set(f, FAIL_STORE,
                        "%s is damaged, or the disk cannot read it. Nothing was changed. Keep a copy of it "
                        "and go back to "
                        "a backup.",
                        s->path);
    case SQLITE_NOMEM: return fail_memory(f);
    default: return fail_set(f, FAIL_STORE, "The records refused that: %s.", sqlite3_errmsg(s->db));
    }
}

int store_exec(struct store *s, const char *sql, struct fail *f)
{
    if (s->db == NULL && store_make_sure(s, f) != 0)
        return -1;
    int rc = sqlite3_exec(s->db, sql, NULL, NULL, NULL);
    return rc == SQLITE_OK ? 0 : store_fail(s, rc, f);
}

int store_integer(struct store *s, const char *sql, int64_t *value, struct fail *f)
{
    sqlite3_stmt *statement = NULL;
    if (s->db == NULL && store_make_sure(s, f) != 0)
        return -1;
    int rc = sqlite3_prepare_v2(s->db, sql, -1, &statement, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_step(statement);
    if (rc == SQLITE_ROW)
        *value = sqlite3_column_int64(statement, 0);
    (void)sqlite3_finalize(statement);
    if (rc == SQLITE_DONE)
        return fail_set(f, FAIL_STORE, "%s is not what it should be.", s->path);
    return rc == SQLITE_ROW ? 0 : store_fail(s, rc, f);
}

sqlite3_stmt *store_statement_find(struct store *s, const void *key_a, const void *key_b)
{
    for (size_t i = 0; i < s->cached; i++)
        if (s->cache[i].key_a == key_a && s->cache[i].key_b == key_b) {
            sqlite3_stmt *statement = s->cache[i].statement;
            (void)sqlite3_reset(statement);
            (void)sqlite3_clear_bindings(statement);
            return statement;
        }
    return NULL;
}

sqlite3_stmt *store_statement_keep(struct store *s, const void *key_a, const void *key_b, const char *sql,
                                   struct fail *f)
{
    sqlite3_stmt *statement = NULL;
    if (s->db == NULL && store_make_sure(s, f) != 0)
        return NULL;
    int rc = sqlite3_prepare_v3(s->db, sql, -1, SQLITE_PREPARE_PERSISTENT, &statement, NULL);
    if (rc != SQLITE_OK) {
        store_fail(s, rc, f);
        return NULL;
    }
    /* Each statement text of the program has one slot. Should one ever be too many, the first gives way; it
     * is not in use, since statements are reset before the next is asked for. */
    if (s->cached == STATEMENTS_MAX) {
        (void)sqlite3_finalize(s->cache[0].statement);
        s->cache[0] = s->cache[--s->cached];
    }
    s->cache[s->cached++] = (struct cached_statement){key_a, key_b, statement};
    return statement;
}

sqlite3_stmt *store_statement(struct store *s, const char *sql, struct fail *f)
{
    sqlite3_stmt *statement = store_statement_find(s, sql, NULL);
    return statement != NULL ? statement : store_statement_keep(s, sql, NULL, sql, f);
}

int store_run(struct store *s, sqlite3_stmt *statement, struct fail *f)
{
    int rc = sqlite3_step(statement);
    int result = rc == SQLITE_DONE || rc == SQLITE_ROW ? 0 : store_fail(s, rc, f);
    (void)sqlite3_reset(statement);
    return result;
}

/* A hostile file must not make the library do more than reading rows. */
static void limit_connection(sqlite3 *db)
{
    (void)sqlite3_extended_result_codes(db, 1);
    (void)sqlite3_db_config(db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    (void)sqlite3_db_config(db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
    (void)sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
    (void)sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_VIEW, 0, NULL);
    (void)sqlite3_db_config(db, SQLITE_DBCONFIG_DQS_DML, 0, NULL);
    (void)sqlite3_db_config(db, SQLITE_DBCONFIG_DQS_DDL, 0, NULL);
    (void)sqlite3_limit(db, SQLITE_LIMIT_LENGTH, 1000000);
    (void)sqlite3_limit(db, SQLITE_LIMIT_SQL_LENGTH, 100000);
    (void)sqlite3_limit(db, SQLITE_LIMIT_COLUMN, 100);
    (void)sqlite3_limit(db, SQLITE_LIMIT_EXPR_DEPTH, 40);
    (void)sqlite3_limit(db, SQLITE_LIMIT_COMPOUND_SELECT, 8);
    (void)sqlite3_limit(db, SQLITE_LIMIT_VDBE_OP, 25000);
    (void)sqlite3_limit(db, SQLITE_LIMIT_ATTACHED, 0);
    (void)sqlite3_limit(db, SQLITE_LIMIT_LIKE_PATTERN_LENGTH, 50);
    (void)sqlite3_limit(db, SQLITE_LIMIT_VARIABLE_NUMBER, 40);
}

/* The folder is resolved, so that a linked home folder works; the file itself may not be a link. */
static char *resolve_path(const char *path, struct fail *f)
{
    char folder[PATH_MAX], real[PATH_MAX];
    if (strlen(path) >= sizeof folder) {
        fail_input(f, "That file name is too long.");
        return NULL;
    }
    const char *slash = strrchr(path, '/');
    const char *name = slash == NULL ? path : slash + 1;
    if (slash == NULL)
        (void)snprintf(folder, sizeof folder, ".");
    else
        (void)snprintf(folder, sizeof folder, "%.*s", slash == path ? 1 : (int)(slash - path), path);
    if (realpath(folder, real) == NULL) {
        fail_set(f, FAIL_STORE, "Cannot open %s: %s.", path, strerror(errno));
        return NULL;
    }
    size_t size = strlen(real) + strlen(name) + 2;
    char *resolved = malloc(size);
    if (resolved == NULL)
        fail_memory(f);
    else
        (void)snprintf(resolved, size, "%s/%s", strcmp(real, "/") == 0 ? "" : real, name);
    return resolved;
}

/* Looks at the file before SQLite does. *exists tells whether it is there. */
static int look_at_file(const char *path, bool *exists, struct fail *f)
{
    struct stat st;
    *exists = false;
    if (lstat(path, &st) != 0) {
        if (errno == ENOENT)
            return 0;
        return fail_set(f, FAIL_STORE, "Cannot open %s: %s.", path, strerror(errno));
    }
    *exists = true;
    if (S_ISLNK(st.st_mode))
        return fail_set(f, FAIL_STORE, "%s is a link; name the file itself.", path);
    if (!S_ISREG(st.st_mode))
        return fail_set(f, FAIL_STORE, "%s is not a file.", path);
    if ((st.st_mode & (S_IWGRP | S_IWOTH)) != 0)
        return fail_set(f, FAIL_STORE,
                        "Others on this computer may write to %s; make it yours alone (chmod 600).", path);
    if (geteuid() != 0 && st.st_uid != geteuid())
        return fail_set(f, FAIL_STORE, "%s belongs to somebody else on this computer.", path);
    return 0;
}

static void close_connection(struct store *s)
{
    if (s->session != NULL)
        sqlite3session_delete(s->session);
    s->session = NULL;
    for (size_t i = 0; i < s->cached; i++)
        (void)sqlite3_finalize(s->cache[i].statement);
    s->cached = 0;
    (void)sqlite3_close_v2(s->db);
    s->db = NULL;
}

static int check_identity(struct store *s, bool fresh, struct fail *f)
{
    int64_t id = 0, version = 0;
    if (store_integer(s, "PRAGMA application_id", &id, f) != 0 ||
        store_integer(s, "PRAGMA user_version", &version, f) != 0)
        return -1;
    if (fresh || (id == 0 && version == 0)) {
        int64_t objects = 0;
        if (store_integer(s, "SELECT count(*) FROM sqlite_schema", &objects, f) != 0)
            return -1;
        if (objects == 0)
            return 0; /* an empty file: ours to make */
    }
    if (id != STORE_APPLICATION_ID)
        return fail_set(f, FAIL_STORE, "%s is a database of another program; it was left as it is.", s->path);
    if (version > STORE_VERSION)
        return fail_set(f, FAIL_STORE,
                        "%s was written by a newer springhouse (records version %lld, this one knows %d); it "
                        "was left as it is.",
                        s->path, (long long)version, STORE_VERSION);
    return 0;
}

static int open_connection(struct store *s, int flags, bool fresh, struct fail *f)
{
    int rc = sqlite3_open_v2(
        s->path, &s->db, flags | SQLITE_OPEN_NOFOLLOW | SQLITE_OPEN_EXRESCODE | SQLITE_OPEN_NOMUTEX, NULL);
    if (rc != SQLITE_OK) {
        if ((rc & 0xff) == SQLITE_NOMEM)
            return fail_memory(f);
        return fail_set(f, FAIL_STORE, "Cannot open %s: %s.", s->path,
                        errno != 0 ? strerror(errno) : sqlite3_errstr(rc));
    }
    s->openings++;
    limit_connection(s->db);
    if (store_exec(s, connection_settings, f) != 0 || check_identity(s, fresh, f) != 0)
        return -1;
    struct stat st;
    if (stat(s->path, &st) == 0) {
        s->device = (uint64_t)st.st_dev;
        s->inode = (uint64_t)st.st_ino;
    }
    return 0;
}

/* Records that are only read must be of this program's version: there is no reading older ones. *old is true
 * when they are older and would have to be brought up first. */
static int check_version(struct store *s, bool *old, struct fail *f)
{
    int64_t version = 0;
    if (store_integer(s, "PRAGMA user_version", &version, f) != 0)
        return -1;
    *old = version < STORE_VERSION;
    return version > 0
               ? 0
               : fail_set(f, FAIL_STORE,
                          "%s is empty: there are no records in it yet. The board begins them.", s->path);
}

static int too_old_to_read(struct store *s, struct fail *f)
{
    return fail_set(
        f, FAIL_STORE,
        "%s was written by an older springhouse and must be brought up to this one, but it or its folder "
        "can only be read. Copy it to where it can be written.",
        s->path);
}

/* A rollback journal needs room beside the file: an existing one that can be written, or a folder that can.
 */
static bool journal_possible(const struct store *s)
{
    char beside[PATH_MAX + 16];
    (void)snprintf(beside, sizeof beside, "%s-journal", s->path);
    if (faccessat(AT_FDCWD, beside, W_OK, AT_EACCESS) == 0)
        return true;
    *strrchr(beside, '/') = '\0';
    return faccessat(AT_FDCWD, beside[0] == '\0' ? "/" : beside, W_OK, AT_EACCESS) == 0;
}

/* Opening for writing falls back to reading where the disk, the folder or the file does not allow more. */
static int open_for_writing(struct store *s, bool exists, struct fail *f)
{
    int flags = SQLITE_OPEN_READWRITE | (exists ? 0 : SQLITE_OPEN_CREATE);
    errno = 0;
    if (open_connection(s, flags, !exists, f) != 0)
        return -1;
    if (sqlite3_db_readonly(s->db, "main") == 1 || !journal_possible(s)) {
        (void)snprintf(s->read_only_why, sizeof s->read_only_why,
                       "%s or its folder can only be read; nothing can be recorded.", s->path);
        bool old;
        if (check_version(s, &old, f) != 0)
            return -1;
        return old ? too_old_to_read(s, f) : 0;
    }
    return store_exec(s, journal_setting, f) != 0 ? -1 : schema_bring_up(s, f);
}

static int open_for_reading(struct store *s, struct fail *f)
{
    bool old;
    errno = 0;
    if (open_connection(s, SQLITE_OPEN_READONLY, false, f) != 0 || check_version(s, &old, f) != 0)
        return -1;
    if (old) {
        close_connection(s);
        if (open_for_writing(s, true, f) != 0)
            return -1;
        close_connection(s);
        if (open_connection(s, SQLITE_OPEN_READONLY, false, f) != 0)
            return -1;
    }
    (void)snprintf(s->read_only_why, sizeof s->read_only_why, "%s was opened for reading.", s->path);
    return 0;
}

/* The library counts every allocation under a lock, for figures that nobody here asks for: a twentieth of the time to
 * the first picture. It takes this only before its first use, and refuses without harm after. */
static void library_settings(void)
{
    (void)sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
}

int store_open(const char *path, enum store_mode mode, struct store **out, struct fail *f)
{
    bool exists;
    *out = NULL;
    library_settings();
    struct store *s = calloc(1, sizeof *s);
    if (s == NULL)
        return fail_memory(f);
    s->path = resolve_path(path, f);
    if (s->path == NULL || look_at_file(s->path, &exists, f) != 0)
        goto failed;
    if (!exists && mode != STORE_CREATE && mode != STORE_SCRATCH) {
        fail_set(f, FAIL_STORE,
                 "There is no file %s. The board makes it on its first run; or name another with --db.",
                 s->path);
        goto failed;
    }
    if (mode == STORE_READ) {
        if (open_for_reading(s, f) != 0)
            goto failed;
    } else if (open_for_writing(s, exists, f) != 0) {
        goto failed;
    }
    if (mode == STORE_SCRATCH && store_exec(s, scratch_settings, f) != 0)
        goto failed;
    *out = s;
    return 0;
failed:
    store_close(s);
    return -1;
}

void store_close(struct store *s)
{
    if (s == NULL)
        return;
    close_connection(s);
    free(s->path);
    free(s);
}

int store_settle(struct store *s, struct fail *f)
{
    return store_exec(s, settled_settings, f) != 0 ? -1 : file_sync(s->path, f);
}

bool store_read_only(const struct store *s, const char **why)
{
    if (why != NULL)
        *why = s->read_only_why;
    return s->read_only_why[0] != '\0';
}

const char *store_path(const struct store *s)
{
    return s->path;
}

int store_version(struct store *s, uint32_t *version, struct fail *f)
{
    int64_t value = 0;
    sqlite3_stmt *statement = store_statement(s, "PRAGMA data_version", f);
    if (statement == NULL)
        return -1;
    int rc = sqlite3_step(statement);
    if (rc == SQLITE_ROW)
        value = sqlite3_column_int64(statement, 0);
    (void)sqlite3_reset(statement);
    if (rc != SQLITE_ROW)
        return store_fail(s, rc, f);
    *version = (uint32_t)value ^ s->openings << 16; /* each connection counts for itself */
    return 0;
}

/* After a failed write or sync, what the library remembers may not be what is on the disk: begin anew from
 * the disk. */
int store_make_sure(struct store *s, struct fail *f)
{
    if (!s->suspect)
        return 0;
    int flags = store_read_only(s, NULL) ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE;
    close_connection(s);
    errno = 0;
    if (open_connection(s, flags, false, f) != 0) {
        s->suspect = true;
        return -1;
    }
    s->suspect = false;
    return store_read_only(s, NULL) ? 0 : store_exec(s, journal_setting, f);
}

/* Somebody may have removed or replaced the file under us: then writing on would go to a file that nobody
 * will find. */
static int check_same_file(struct store *s, struct fail *f)
{
    struct stat st;
    if (stat(s->path, &st) != 0 || (uint64_t)st.st_dev != s->device || (uint64_t)st.st_ino != s->inode)
        return fail_set(f, FAIL_STORE,
                        "%s was removed or replaced while it was open. Nothing was recorded; leave, look at "
                        "the file, start again.",
                        s->path);
    return 0;
}

int store_begin(struct store *s, struct fail *f)
{
    if (store_read_only(s, NULL))
        return fail_set(f, FAIL_STORE, "Not saved: %s", s->read_only_why);
    if (store_make_sure(s, f) != 0 || check_same_file(s, f) != 0)
        return -1;
    sqlite3_stmt *statement = store_statement(s, "BEGIN IMMEDIATE", f);
    return statement == NULL ? -1 : store_run(s, statement, f);
}

int store_begin_look(struct store *s, struct fail *f)
{
    if (store_make_sure(s, f) != 0)
        return -1;
    sqlite3_stmt *statement = store_statement(s, "BEGIN", f);
    return statement == NULL ? -1 : store_run(s, statement, f);
}

int store_commit(struct store *s, struct fail *f)
{
    sqlite3_stmt *statement = store_statement(s, "COMMIT", f);
    if (statement != NULL && store_run(s, statement, f) == 0)
        return 0;
    store_rollback(s);
    return -1;
}

void store_rollback(struct store *s)
{
    if (s->session != NULL)
        sqlite3session_delete(s->session);
    s->session = NULL;
    /* After some errors SQLite has rolled back by itself; then this has nothing to do. Where it cannot, for want of memory,
     * closing the file does. */
    if (s->db != NULL && sqlite3_get_autocommit(s->db) == 0 &&
        sqlite3_exec(s->db, "ROLLBACK", NULL, NULL, NULL) != SQLITE_OK) {
        close_connection(s);
        s->suspect = true;
    }
}
