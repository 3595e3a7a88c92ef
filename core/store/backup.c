/* Copying the whole file through SQLite's online backup, so that another board may go on writing meanwhile.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/base/file.h"
#include "core/store/inside.h"

static int check_copy(sqlite3 *copy, const char *path, struct fail *f)
{
    sqlite3_stmt *statement = NULL;
    bool good = sqlite3_prepare_v2(copy, "PRAGMA integrity_check(1)", -1, &statement, NULL) == SQLITE_OK &&
                sqlite3_step(statement) == SQLITE_ROW &&
                strcmp((const char *)sqlite3_column_text(statement, 0), "ok") == 0;
    (void)sqlite3_finalize(statement);
    return good ? 0
                : fail_set(f, FAIL_STORE, "The backup %s did not come out right and was thrown away.", path);
}

static int copy_pages(struct store *s, sqlite3 *copy, const char *path, struct fail *f)
{
    sqlite3_backup *backup = sqlite3_backup_init(copy, "main", s->db, "main");
    if (backup == NULL)
        return fail_set(f, FAIL_STORE, "Cannot write the backup %s: %s.", path, sqlite3_errmsg(copy));
    /* Busy pages are tried again: a copy may take its time, and a board's commit lasts milliseconds. */
    int rc, tries = 0;
    do {
        rc = sqlite3_backup_step(backup, 256);
        if (rc == SQLITE_BUSY || rc == SQLITE_LOCKED) {
            (void)sqlite3_sleep(20);
            tries++;
        }
    } while (rc == SQLITE_OK || ((rc == SQLITE_BUSY || rc == SQLITE_LOCKED) && tries < 500));
    int finished = sqlite3_backup_finish(backup);
    if (rc == SQLITE_DONE && finished == SQLITE_OK)
        return 0;
    if (rc == SQLITE_BUSY || rc == SQLITE_LOCKED)
        return fail_set(f, FAIL_BUSY,
                        "The records are being written all the time; no backup was made, try again.");
    return fail_set(f, FAIL_STORE, "Cannot write the backup %s: %s.", path,
                    sqlite3_errstr(rc != SQLITE_DONE ? rc : finished));
}

/* An empty file that only its owner may read, where there was none. */
static int make_private(const char *path, struct fail *f)
{
    (void)unlink(path);
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0600);
    if (fd < 0)
        return fail_set(f, FAIL_STORE, "Cannot write the backup %s: %s.", path, strerror(errno));
    (void)close(fd);
    return 0;
}

int store_backup(struct store *s, const char *path, struct fail *f)
{
    char temp[4200];
    struct stat st;
    sqlite3 *copy = NULL;
    int result = -1;
    if ((size_t)snprintf(temp, sizeof temp, "%s.new-%ld", path, (long)getpid()) >= sizeof temp)
        return fail_input(f, "That file name is too long.");
    if (lstat(path, &st) == 0 && !S_ISREG(st.st_mode))
        return fail_refused(f, "Cannot write %s: it is there already and is not an ordinary file.", path);
    if (lstat(path, &st) == 0 && (uint64_t)st.st_dev == s->device && (uint64_t)st.st_ino == s->inode)
        return fail_refused(f, "%s is the file of records itself; a backup needs another name.", path);
    if (store_make_sure(s, f) != 0 || make_private(temp, f) != 0)
        return -1;
    int rc = sqlite3_open_v2(temp, &copy, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOFOLLOW | SQLITE_OPEN_NOMUTEX,
                             NULL);
    if (rc != SQLITE_OK) {
        fail_set(f, FAIL_STORE, "Cannot write the backup %s: %s.", path,
                 rc == SQLITE_CANTOPEN ? strerror(errno) : sqlite3_errstr(rc));
        goto out;
    }
    if (copy_pages(s, copy, path, f) != 0 || check_copy(copy, path, f) != 0)
        goto out;
    (void)sqlite3_close(copy);
    copy = NULL;
    if (file_sync(temp, f) == 0)
        result = file_put_in_place(temp, path, f);
out:
    (void)sqlite3_close(copy);
    if (result != 0)
        (void)unlink(temp);
    return result;
}
