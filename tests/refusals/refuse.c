#include "tests/refusals/refuse.h"

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#define SQLITE_ENABLE_SESSION        1
#define SQLITE_ENABLE_PREUPDATE_HOOK 1
#include <sqlite3.h>

enum { PLACES_ROOM = 1 << 18, DEPTH_MAX = 64, WHERE_DEPTH = 12 };

/* Shared with the processes that the tests run in. */
static struct {
    long count;
    uint64_t place[PLACES_ROOM];
} *had;

static struct {
    bool on, refused, broke_off, ending;
    const void *frame;
    char where[400];
} trial;

extern const char __executable_start;

__attribute__((constructor)) static void begin(void)
{
    had = mmap(NULL, sizeof *had, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (had == MAP_FAILED)
        abort();
}

void refuse_begin(const void *frame)
{
    trial.refused = trial.broke_off = false;
    trial.frame = frame;
    trial.on = true;
}

bool refuse_end(void)
{
    trial.on = false;
    return trial.refused;
}

bool refuse_is_on(void)
{
    return trial.on;
}

const char *refuse_where(void)
{
    return trial.where;
}

bool refuse_was_of_an_ending(void)
{
    return trial.ending;
}

long refuse_places(void)
{
    return had->count;
}

/* The callers' addresses, by frame pointers: the tests are built with them. What lies beyond a library without them is left
 * out. */
__attribute__((noinline, no_sanitize("address"))) static size_t callers(uintptr_t *to)
{
    const uintptr_t *frame = __builtin_frame_address(0);
    size_t n = 0;
    while (n < DEPTH_MAX) {
        const uintptr_t *above = (const uintptr_t *)frame[0];
        to[n++] = frame[1] - (uintptr_t)&__executable_start;
        if (above <= frame || (const void *)above >= trial.frame || (uintptr_t)above % sizeof *above != 0)
            break;
        frame = above;
    }
    return n;
}

static uint64_t place_of(const uintptr_t *caller, size_t n, const char *what)
{
    uint64_t h = 14695981039346656037u;
    for (size_t i = 0; i < n; i++)
        h = (h ^ caller[i]) * 1099511628211u;
    for (; *what != '\0'; what++)
        h = (h ^ (unsigned char)*what) * 1099511628211u;
    h ^= h >> 29;
    return h == 0 ? 1 : h;
}

static bool is_new(uint64_t place)
{
    size_t i = place % PLACES_ROOM;
    while (had->place[i] != 0) {
        if (had->place[i] == place)
            return false;
        i = (i + 1) % PLACES_ROOM;
    }
    if (had->count >= PLACES_ROOM / 2)
        return false;
    had->place[i] = place;
    had->count++;
    return true;
}

__attribute__((noinline)) static bool refused(const char *what)
{
    uintptr_t caller[DEPTH_MAX];
    if (!trial.on || trial.refused)
        return false;
    size_t n = callers(caller);
    uint64_t place = place_of(caller, n, what);
    if (!is_new(place))
        return false;
    trial.refused = true;
    trial.ending = strcmp(what, "close") == 0 || strcmp(what, "ROLLBACK") == 0;
    int used = snprintf(trial.where, sizeof trial.where, "%s", what);
    for (size_t i = 1; i < n && i < WHERE_DEPTH; i++)
        used += snprintf(trial.where + used, sizeof trial.where - (size_t)used, " 0x%lx", (unsigned long)caller[i]);
    return true;
}

/* ---- what is caught ---- */

#define CATCH(type, name, parameters, arguments, instead) \
    type __real_##name parameters;                         \
    type __wrap_##name parameters;                         \
    type __wrap_##name parameters                          \
    {                                                      \
        if (refused(#name))                                \
            return instead;                                \
        return __real_##name arguments;                    \
    }

/* A call that takes a thing away does so also when it fails. */
#define CATCH_AFTER(type, name, parameters, arguments, instead) \
    type __real_##name parameters;                               \
    type __wrap_##name parameters;                               \
    type __wrap_##name parameters                                \
    {                                                            \
        type result = __real_##name arguments;                   \
        return refused(#name) ? (instead) : result;              \
    }

#define NO_MEMORY (errno = ENOMEM, NULL)
#define NO_DISK   (errno = EIO, -1)

CATCH(void *, malloc, (size_t size), (size), NO_MEMORY)
CATCH(void *, calloc, (size_t count, size_t size), (count, size), NO_MEMORY)
CATCH(void *, realloc, (void *old, size_t size), (old, size), NO_MEMORY)

CATCH(ssize_t, read, (int fd, void *to, size_t size), (fd, to, size), NO_DISK)
CATCH(ssize_t, write, (int fd, const void *from, size_t size), (fd, from, size), NO_DISK)
CATCH(int, fsync, (int fd), (fd), NO_DISK)
CATCH(int, rename, (const char *from, const char *to), (from, to), NO_DISK)
CATCH(int, mkdir, (const char *path, mode_t mode), (path, mode), NO_DISK)
CATCH(int, fstat, (int fd, struct stat *st), (fd, st), NO_DISK)
CATCH(char *, realpath, (const char *path, char *to), (path, to), NO_MEMORY)
CATCH_AFTER(int, close, (int fd), (fd), NO_DISK)

int __real_open(const char *path, int flags, ...);
int __wrap_open(const char *path, int flags, ...);
int __wrap_open(const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    mode_t mode = (flags & O_CREAT) != 0 ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    return refused("open") ? NO_DISK : __real_open(path, flags, mode);
}

CATCH(int, sqlite3_step, (sqlite3_stmt *s), (s), SQLITE_NOMEM)
CATCH(int, sqlite3_prepare_v2, (sqlite3 *db, const char *sql, int size, sqlite3_stmt **s, const char **tail),
      (db, sql, size, s, tail), (*s = NULL, SQLITE_NOMEM))
CATCH(int, sqlite3_prepare_v3,
      (sqlite3 *db, const char *sql, int size, unsigned flags, sqlite3_stmt **s, const char **tail),
      (db, sql, size, flags, s, tail), (*s = NULL, SQLITE_IOERR_READ))
CATCH(int, sqlite3_bind_int64, (sqlite3_stmt *s, int n, sqlite3_int64 value), (s, n, value), SQLITE_NOMEM)
CATCH(int, sqlite3_bind_int, (sqlite3_stmt *s, int n, int value), (s, n, value), SQLITE_NOMEM)
CATCH(int, sqlite3_bind_null, (sqlite3_stmt *s, int n), (s, n), SQLITE_NOMEM)
CATCH(int, sqlite3_bind_text, (sqlite3_stmt *s, int n, const char *text, int size, void (*done)(void *)),
      (s, n, text, size, done), SQLITE_NOMEM)
CATCH(int, sqlite3_bind_blob, (sqlite3_stmt *s, int n, const void *bytes, int size, void (*done)(void *)),
      (s, n, bytes, size, done), SQLITE_NOMEM)
CATCH(int, sqlite3_bind_blob64, (sqlite3_stmt *s, int n, const void *bytes, sqlite3_uint64 size, void (*done)(void *)),
      (s, n, bytes, size, done), SQLITE_NOMEM)
CATCH(void *, sqlite3_malloc, (int size), (size), NULL)
CATCH(void *, sqlite3_malloc64, (sqlite3_uint64 size), (size), NULL)
CATCH(int, sqlite3_open_v2, (const char *path, sqlite3 **db, int flags, const char *vfs), (path, db, flags, vfs),
      (*db = NULL, errno = EIO, SQLITE_CANTOPEN))
CATCH(sqlite3_backup *, sqlite3_backup_init, (sqlite3 *to, const char *a, sqlite3 *from, const char *b), (to, a, from, b),
      NULL)
CATCH(int, sqlite3_backup_step, (sqlite3_backup *b, int pages), (b, pages), SQLITE_IOERR_READ)
CATCH_AFTER(int, sqlite3_backup_finish, (sqlite3_backup *b), (b), SQLITE_IOERR_WRITE)
CATCH(int, sqlite3session_create, (sqlite3 *db, const char *name, sqlite3_session **s), (db, name, s),
      (*s = NULL, SQLITE_NOMEM))
CATCH(int, sqlite3session_attach, (sqlite3_session *s, const char *table), (s, table), SQLITE_NOMEM)
CATCH(int, sqlite3session_changeset, (sqlite3_session *s, int *size, void **changes), (s, size, changes),
      (*size = 0, *changes = NULL, SQLITE_NOMEM))
CATCH(int, sqlite3changeset_start, (sqlite3_changeset_iter **i, int size, void *changes), (i, size, changes),
      (*i = NULL, SQLITE_NOMEM))
CATCH(int, sqlite3changeset_next, (sqlite3_changeset_iter *i), (i), (trial.broke_off = true, SQLITE_NOMEM))
CATCH(int, sqlite3changeset_op,
      (sqlite3_changeset_iter *i, const char **table, int *columns, int *operation, int *indirect),
      (i, table, columns, operation, indirect), SQLITE_NOMEM)

int __real_sqlite3_exec(sqlite3 *db, const char *sql, int (*row)(void *, int, char **, char **), void *context, char **why);
int __wrap_sqlite3_exec(sqlite3 *db, const char *sql, int (*row)(void *, int, char **, char **), void *context, char **why);
int __wrap_sqlite3_exec(sqlite3 *db, const char *sql, int (*row)(void *, int, char **, char **), void *context, char **why)
{
    bool ending = strcmp(sql, "ROLLBACK") == 0;
    if (refused(ending ? sql : "sqlite3_exec"))
        return SQLITE_IOERR_WRITE;
    int rc = __real_sqlite3_exec(db, sql, row, context, why);
    /* Power cuts are played elsewhere; here the disk need not be waited for. */
    if (strstr(sql, "synchronous = FULL") != NULL)
        (void)__real_sqlite3_exec(db, "PRAGMA synchronous = OFF", NULL, NULL, NULL);
    return rc;
}

/* It tells of the error that the walk broke off with, and of no other. */
int __real_sqlite3changeset_finalize(sqlite3_changeset_iter *i);
int __wrap_sqlite3changeset_finalize(sqlite3_changeset_iter *i);
int __wrap_sqlite3changeset_finalize(sqlite3_changeset_iter *i)
{
    int rc = __real_sqlite3changeset_finalize(i);
    return trial.broke_off ? (trial.broke_off = false, SQLITE_NOMEM) : rc;
}

CATCH(int, sqlite3changeset_invert, (int size, const void *changes, int *inverse_size, void **inverse),
      (size, changes, inverse_size, inverse), (*inverse_size = 0, *inverse = NULL, SQLITE_NOMEM))
CATCH(int, sqlite3changeset_apply,
      (sqlite3 *db, int size, void *changes, int (*filter)(void *, const char *),
       int (*conflict)(void *, int, sqlite3_changeset_iter *), void *context),
      (db, size, changes, filter, conflict, context), SQLITE_NOMEM)
