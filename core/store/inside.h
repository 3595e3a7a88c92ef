/* What the files of core/store share and nobody else sees. */
#ifndef CORE_STORE_INSIDE_H
#define CORE_STORE_INSIDE_H

/* The session extension is part of the library that Debian ships; its functions are declared on request. */
#define SQLITE_ENABLE_SESSION        1
#define SQLITE_ENABLE_PREUPDATE_HOOK 1
#include <sqlite3.h>

#include "core/store/store.h"

enum {
    STORE_APPLICATION_ID = 0x53505248, /* 'SPRH' */
    STORE_VERSION = 3,
    STATEMENTS_MAX = 512,
    TOUCHED_MAX = 16,
    TABLE_NAME_MAX = 32,
};

struct cached_statement {
    const void *key_a, *key_b; /* the texts (or tables) it was made from, by address: they are all static */
    sqlite3_stmt *statement;
};

struct store {
    sqlite3 *db;
    char *path;
    char read_only_why[FAIL_TEXT_MAX]; /* "" when it can be written */
    bool suspect; /* a write or sync failed: what the library holds in memory may not be what is on disk */
    uint64_t device, inode;
    uint32_t openings; /* how often the file was opened */
    sqlite3_session *session;                  /* records the rows changed in this transaction */
    char touched[TOUCHED_MAX][TABLE_NAME_MAX]; /* tables that the last act changed */
    size_t touched_count;                      /* more than TOUCHED_MAX: some are not listed */
    struct cached_statement cache[STATEMENTS_MAX];
    size_t cached;
};

/* Opens the file anew if a failure has left in doubt what the library remembers of it. */
int store_make_sure(struct store *s, struct fail *f);

/* The prepared statement for a static text; prepared once, kept. Its bindings are clear. NULL on failure. */
sqlite3_stmt *store_statement(struct store *s, const char *sql, struct fail *f);

/* The same for a text that is built once for a pair of static addresses (a table's row map and a tail). */
sqlite3_stmt *store_statement_find(struct store *s, const void *key_a, const void *key_b);
sqlite3_stmt *store_statement_keep(struct store *s, const void *key_a, const void *key_b, const char *sql,
                                   struct fail *f);

/* Steps a statement that returns no rows, and resets it. */
int store_run(struct store *s, sqlite3_stmt *statement, struct fail *f);

/* Turns the library's last error into a sentence; returns -1. */
int store_fail(struct store *s, int rc, struct fail *f);

/* Runs literal statements, one after another. */
int store_exec(struct store *s, const char *sql, struct fail *f);

/* Adds the jars that a changeset moved to the tallies (tally.c), in the same transaction. Refuses what would
 * leave fewer than no jars somewhere. */
int tally_fold(struct store *s, int size, void *changes, struct fail *f);

/* Brings the file to STORE_VERSION. A new file is made whole. */
int schema_bring_up(struct store *s, struct fail *f);

/* The name of the script that brings a file to that version, among the assets. */
const char *schema_script(int version);

/* The checks of store_verify() but for the file's own integrity: also within a transaction. */
int store_verify_facts(struct store *s, store_finding_fn each, void *context, size_t *findings,
                       struct fail *f);

/* Reads one integer of a PRAGMA or a SELECT. */
int store_integer(struct store *s, const char *sql, int64_t *value, struct fail *f);

#endif
