/* The file of records: one SQLite database. This is the one module that opens it, owns its transactions and
 * turns SQLite's errors into sentences. Other files of core/store say what is in it; nothing outside
 * core/store sees SQLite.
 *
 * Every write happens between store_begin() and store_commit(), as one transaction. A busy file is never
 * waited for here: the call fails with FAIL_BUSY, nothing has changed, and the caller tries again when it
 * likes. */
#ifndef CORE_STORE_STORE_H
#define CORE_STORE_STORE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/fail.h"

struct store;

enum store_mode {
    STORE_CREATE,  /* open, and make the file if it is not there */
    STORE_WRITE,   /* open a file that is there */
    STORE_READ,    /* open it without writing; but an older file is brought up first */
    STORE_SCRATCH, /* make a throw-away file; nothing is synced until store_settle() */
};

/* Opens the file at `path` and brings it to this program's version (after a backup beside it). A file that
 * cannot be written opens for reading, see store_read_only(). Refuses, with a sentence, a file of another
 * program, of a newer version, a damaged one, one that others may write, a link, a folder. *out is the
 * caller's to store_close(). */
int store_open(const char *path, enum store_mode mode, struct store **out, struct fail *f);

/* Closes; an open transaction is given up. NULL is allowed. */
void store_close(struct store *s);

/* Ends the haste of STORE_SCRATCH: what was written is synced, and every commit from here on. */
int store_settle(struct store *s, struct fail *f);

/* True when the file can only be read; the sentence says why. */
bool store_read_only(const struct store *s, const char **why);

const char *store_path(const struct store *s);

/* Changes whenever another connection has written the file. Fails with FAIL_BUSY while it is being written.
 */
int store_version(struct store *s, uint32_t *version, struct fail *f);

/* A transaction for writing; and one for a consistent look (several reads that belong together). */
int store_begin(struct store *s, struct fail *f);
int store_begin_look(struct store *s, struct fail *f);

/* Ends the transaction. When the commit fails, nothing of it is in the file. */
int store_commit(struct store *s, struct fail *f);
void store_rollback(struct store *s);

/* Checks the whole file: SQLite's integrity and foreign keys, and the invariants of the records themselves.
 * Each finding is one line; `each` is called with it. Returns 0 when the checks ran, whatever they found. */
typedef void (*store_finding_fn)(void *context, const char *finding);
int store_verify(struct store *s, store_finding_fn each, void *context, size_t *findings, struct fail *f);

/* Copies the file, while others may go on writing, to `path`: complete, checked and synced, or not there at
 * all. */
int store_backup(struct store *s, const char *path, struct fail *f);

#endif
