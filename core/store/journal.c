/* SQLite's session extension records the rows that an act changes, inverts such a record, and applies it with
 * conflict detection: a row that has been changed since is noticed, as is a row that others refer to. So undo
 * is one mechanism for every act there is or will be. */
#include "core/store/journal.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/store/inside.h"

static const struct column journal_columns[] = {
    COLUMN_OF(MOMENT, journal_row, happened_at), COLUMN_OF(MOMENT, journal_row, entered_at),
    COLUMN_OF(TEXT, journal_row, who),           COLUMN_OF(TEXT, journal_row, kind),
    COLUMN_OF(TEXT, journal_row, what),          COLUMN_OF(INTEGER, journal_row, cow_id),
    COLUMN_OF(INTEGER, journal_row, undoes),
};

const struct table journal_table = TABLE_OF("journal", journal_row, journal_columns);

/* The journal itself is no part of what an act changes; nor are the tallies, which follow from what it
 * changes, nor SQLite's own counters of ids. */
static int records_table(void *context, const char *name)
{
    (void)context;
    return strcmp(name, "journal") != 0 && strncmp(name, "tally_", 6) != 0 &&
           strncmp(name, "sqlite_", 7) != 0;
}

int journal_begin(struct store *s, struct fail *f)
{
    if (store_begin(s, f) != 0)
        return -1;
    int rc = sqlite3session_create(s->db, "main", &s->session);
    if (rc == SQLITE_OK) {
        sqlite3session_table_filter(s->session, records_table, NULL);
        rc = sqlite3session_attach(s->session, NULL);
    }
    if (rc == SQLITE_OK)
        return 0;
    store_fail(s, rc, f);
    store_rollback(s);
    return -1;
}

static int insert_entry(struct store *s, struct journal_row *entry, const void *changes, int size,
                        struct fail *f)
{
    sqlite3_stmt *statement = store_statement(
        s,
        "INSERT INTO journal (happened_at, entered_at, who, kind, what, cow_id, undoes, changes)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        f);
    if (statement == NULL)
        return -1;
    int rc = sqlite3_bind_int64(statement, 1, entry->happened_at.s);
    rc |= sqlite3_bind_int64(statement, 2, entry->entered_at.s);
    rc |= sqlite3_bind_text(statement, 3, entry->who, -1, SQLITE_STATIC);
    rc |= sqlite3_bind_text(statement, 4, entry->kind, -1, SQLITE_STATIC);
    rc |= sqlite3_bind_text(statement, 5, entry->what, -1, SQLITE_STATIC);
    rc |= entry->cow_id == ROW_NONE ? SQLITE_OK : sqlite3_bind_int64(statement, 6, entry->cow_id);
    rc |= entry->undoes == ROW_NONE ? SQLITE_OK : sqlite3_bind_int64(statement, 7, entry->undoes);
    rc |= sqlite3_bind_blob(statement, 8, changes, size, SQLITE_STATIC);
    if (rc != SQLITE_OK)
        return fail_memory(f);
    if (store_run(s, statement, f) != 0)
        return -1;
    entry->id = sqlite3_last_insert_rowid(s->db);
    return 0;
}

/* Notes the tables of a changeset; its changes are grouped by table. Where it breaks off, there may be more. */
static void note_touched(struct store *s, int size, void *changes)
{
    sqlite3_changeset_iter *iter = NULL;
    const char *table, *last = "";
    int columns, operation, indirect;
    int rc = sqlite3changeset_start(&iter, size, changes), step = SQLITE_ROW;
    s->touched_count = 0;
    while (rc == SQLITE_OK && (step = sqlite3changeset_next(iter)) == SQLITE_ROW) {
        rc = sqlite3changeset_op(iter, &table, &columns, &operation, &indirect);
        if (rc != SQLITE_OK || strcmp(table, last) == 0)
            continue;
        if (s->touched_count < TOUCHED_MAX) {
            (void)snprintf(s->touched[s->touched_count], TABLE_NAME_MAX, "%s", table);
            last = s->touched[s->touched_count];
        }
        s->touched_count++;
    }
    if (step != SQLITE_DONE)
        s->touched_count = TOUCHED_MAX + 1;
    (void)sqlite3changeset_finalize(iter);
}

bool journal_touched_only(const struct store *s, const char *const *tables)
{
    if (s->touched_count > TOUCHED_MAX)
        return false;
    for (size_t i = 0; i < s->touched_count; i++) {
        bool listed = false;
        for (const char *const *t = tables; *t != NULL && !listed; t++)
            listed = strcmp(*t, s->touched[i]) == 0;
        if (!listed)
            return false;
    }
    return true;
}

/* Looks in the file itself, opened anew, whether the entry is there. */
static int is_on_file(struct store *s, const struct journal_row *entry, bool *there, struct fail *f)
{
    struct journal_row row;
    if (store_begin_look(s, f) != 0)
        return -1;
    int result = rows_first(s, &journal_table, "WHERE id = ?1", (struct bind[]){BIND_ID(entry->id)}, 1, &row,
                            there, f);
    store_rollback(s);
    *there = result == 0 && *there && row.entered_at.s == entry->entered_at.s &&
             strcmp(row.what, entry->what) == 0;
    return result;
}

/* A disk that fails at the very end of a commit leaves it open whether it took place. "Not saved" would then
 * be entered twice. */
static int commit_entry(struct store *s, const struct journal_row *entry, struct fail *f)
{
    bool there = false;
    if (store_commit(s, f) == 0)
        return 0;
    if (!s->suspect)
        return -1;
    if (is_on_file(s, entry, &there, NULL) != 0)
        return fail_set(
            f, FAIL_STORE,
            "The disk gave an error while saving, and cannot be asked whether it was saved. Look at the "
            "journal before you do it again.");
    if (there)
        return fail_set(
            f, FAIL_STORE,
            "Saved as entry %lld, but the disk gave an error: it may not outlive a power cut. Make a "
            "backup elsewhere; do not enter it again.",
            (long long)entry->id);
    return -1;
}

int journal_commit(struct store *s, struct journal_row *entry, struct fail *f)
{
    int size = 0, result = -1;
    void *changes = NULL;
    int rc = sqlite3session_changeset(s->session, &size, &changes);
    sqlite3session_delete(s->session);
    s->session = NULL;
    if (rc != SQLITE_OK)
        store_fail(s, rc, f);
    else if (size == 0)
        fail_refused(f, "That is recorded already; nothing was changed.");
    else if (tally_fold(s, size, changes, f) == 0)
        result = insert_entry(s, entry, changes, size, f);
    if (result == 0)
        note_touched(s, size, changes);
    sqlite3_free(changes);
    if (result == 0)
        return commit_entry(s, entry, f);
    store_rollback(s);
    return -1;
}

enum { UNDO_DEPTH_MAX = 64 };

/* An entry holds unless an entry that holds takes it back; the chain of undo and redo is followed to its end.
 */
static int holds_at_depth(struct store *s, int64_t id, int depth, bool *holds, struct fail *f)
{
    int64_t undoers[UNDO_DEPTH_MAX];
    size_t count = 0;
    *holds = true;
    sqlite3_stmt *statement =
        store_statement(s, "SELECT id FROM journal WHERE undoes = ?1 ORDER BY id DESC", f);
    if (statement == NULL)
        return -1;
    int rc = sqlite3_bind_int64(statement, 1, id);
    while (rc == SQLITE_OK || rc == SQLITE_ROW) {
        rc = sqlite3_step(statement);
        if (rc == SQLITE_ROW && count < UNDO_DEPTH_MAX)
            undoers[count++] = sqlite3_column_int64(statement, 0);
    }
    (void)sqlite3_reset(statement);
    if (rc != SQLITE_DONE)
        return store_fail(s, rc, f);
    if (depth == 0 && count > 0)
        return fail_refused(f, "Entry %lld has been taken back and restored too many times.", (long long)id);
    for (size_t i = 0; i < count && *holds; i++) {
        bool undoer_holds;
        if (undoers[i] <= id) /* an entry can only take back an earlier one; anything else is damage */
            continue;
        if (holds_at_depth(s, undoers[i], depth - 1, &undoer_holds, f) != 0)
            return -1;
        *holds = !undoer_holds;
    }
    return 0;
}

int journal_holds(struct store *s, int64_t id, bool *holds, struct fail *f)
{
    return holds_at_depth(s, id, UNDO_DEPTH_MAX, holds, f);
}

int journal_last(struct store *s, struct journal_row *entry, bool *found, struct fail *f)
{
    int64_t before = INT64_MAX;
    for (;;) {
        bool holds;
        if (rows_first(s, &journal_table, "WHERE id < ?1 AND undoes IS NULL AND kind <> ?2 ORDER BY id DESC LIMIT 1",
                       (struct bind[]){BIND_ID(before), BIND_TEXT(JOURNAL_BY_ITSELF)}, 2, entry, found, f) != 0)
            return -1;
        if (!*found)
            return 0;
        if (journal_holds(s, entry->id, &holds, f) != 0)
            return -1;
        if (holds)
            return 0;
        before = entry->id;
    }
}

/* What stopped a changeset from being applied. */
struct conflict {
    char table[40];
    int64_t row;
    int kind;
};

static int on_conflict(void *context, int kind, sqlite3_changeset_iter *iter)
{
    struct conflict *c = context;
    const char *table = "";
    int columns, operation, indirect;
    sqlite3_value *id = NULL;
    c->kind = kind;
    if (kind != SQLITE_CHANGESET_FOREIGN_KEY &&
        sqlite3changeset_op(iter, &table, &columns, &operation, &indirect) == SQLITE_OK) {
        (void)snprintf(c->table, sizeof c->table, "%s", table);
        int rc = operation == SQLITE_INSERT ? sqlite3changeset_new(iter, 0, &id)
                                            : sqlite3changeset_old(iter, 0, &id);
        c->row = rc == SQLITE_OK && id != NULL ? sqlite3_value_int64(id) : 0;
    }
    return SQLITE_CHANGESET_ABORT;
}

/* Reads the changes of an entry into memory of the library's own (sqlite3_free). */
static int load_changes(struct store *s, int64_t id, void **changes, int *size, struct fail *f)
{
    *changes = NULL;
    *size = 0;
    sqlite3_stmt *statement = store_statement(s, "SELECT changes FROM journal WHERE id = ?1", f);
    if (statement == NULL)
        return -1;
    int rc = sqlite3_bind_int64(statement, 1, id);
    if (rc == SQLITE_OK)
        rc = sqlite3_step(statement);
    if (rc == SQLITE_ROW) {
        const void *blob = sqlite3_column_blob(statement, 0);
        *size = sqlite3_column_bytes(statement, 0);
        *changes = sqlite3_malloc(*size > 0 ? *size : 1);
        if (*changes != NULL && *size > 0)
            memcpy(*changes, blob, (size_t)*size);
    }
    (void)sqlite3_reset(statement);
    if (rc == SQLITE_DONE)
        return fail_refused(f, "There is no journal entry %lld.", (long long)id);
    if (rc != SQLITE_ROW)
        return store_fail(s, rc, f);
    return *changes == NULL ? fail_memory(f) : 0;
}

static int explain_conflict(const struct journal_row *entry, const struct conflict *c, struct fail *f)
{
    if (c->kind == SQLITE_CHANGESET_FOREIGN_KEY)
        return fail_refused(
            f, "Entry %lld (%.80s) cannot be taken back: later entries rest on it. Take those back first.",
            (long long)entry->id, entry->what);
    return fail_refused(
        f,
        "Entry %lld (%.80s) cannot be taken back: a later entry changed the same thing (%s %lld). Take that "
        "one back first.",
        (long long)entry->id, entry->what, c->table, (long long)c->row);
}

static int undo_in_transaction(struct store *s, const struct journal_row *entry, struct journal_row *undo,
                               struct fail *f)
{
    void *changes = NULL, *inverse = NULL;
    int size = 0, inverse_size = 0, result = -1;
    struct conflict conflict = {.kind = 0};
    if (load_changes(s, entry->id, &changes, &size, f) != 0)
        return -1;
    int rc = sqlite3changeset_invert(size, changes, &inverse_size, &inverse);
    if (rc == SQLITE_OK)
        rc = sqlite3changeset_apply(s->db, inverse_size, inverse, records_table, on_conflict, &conflict);
    if (rc == SQLITE_OK)
        result = tally_fold(s, inverse_size, inverse, f) != 0
                     ? -1
                     : insert_entry(s, undo, inverse, inverse_size, f);
    else if (conflict.kind != 0)
        result = explain_conflict(entry, &conflict, f);
    else
        result = store_fail(s, rc, f);
    if (result == 0)
        note_touched(s, inverse_size, inverse);
    sqlite3_free(changes);
    sqlite3_free(inverse);
    return result;
}

/* What undoing this entry does to the act that it is about in the end, which may lie several undoings back. */
static int say_undo(struct store *s, const struct journal_row *entry, struct journal_row *undo, struct fail *f)
{
    struct journal_row about = *entry;
    bool found = true, puts_back = false;
    while (found && about.undoes != ROW_NONE) {
        puts_back = !puts_back;
        if (rows_first(s, &journal_table, "WHERE id = ?1", (struct bind[]){BIND_ID(about.undoes)}, 1, &about, &found, f) != 0)
            return -1;
    }
    (void)snprintf(undo->what, sizeof undo->what, "%s %lld: %.200s", puts_back ? "put back" : "took back",
                   (long long)about.id, about.what);
    return 0;
}

int journal_undo(struct store *s, int64_t id, struct journal_row *undo, struct fail *f)
{
    struct journal_row entry;
    bool found, holds;
    if (store_begin(s, f) != 0)
        return -1;
    if (rows_first(s, &journal_table, "WHERE id = ?1", (struct bind[]){BIND_ID(id)}, 1, &entry, &found, f) !=
        0)
        goto failed;
    if (!found) {
        fail_refused(f, "There is no journal entry %lld.", (long long)id);
        goto failed;
    }
    if (journal_holds(s, id, &holds, f) != 0)
        goto failed;
    if (!holds) {
        fail_refused(f, "Entry %lld has been taken back already: %.120s", (long long)id, entry.what);
        goto failed;
    }
    undo->undoes = id;
    undo->cow_id = entry.cow_id;
    (void)snprintf(undo->kind, sizeof undo->kind, "undo");
    if (say_undo(s, &entry, undo, f) != 0 || undo_in_transaction(s, &entry, undo, f) != 0)
        goto failed;
    return commit_entry(s, undo, f);
failed:
    store_rollback(s);
    return -1;
}

static void value_text(sqlite3_value *value, char *buf, size_t size)
{
    const char *text = value == NULL ? NULL : (const char *)sqlite3_value_text(value);
    text_clean(buf, size, text == NULL ? "" : text);
}

/* The name of column n of a table; "" when there is none. */
static int column_name(struct store *s, const char *table, int n, char *name, size_t size, struct fail *f)
{
    name[0] = '\0';
    sqlite3_stmt *statement = store_statement(s, "SELECT name FROM pragma_table_info(?1) WHERE cid = ?2", f);
    if (statement == NULL)
        return -1;
    int rc = sqlite3_bind_text(statement, 1, table, -1, SQLITE_TRANSIENT);
    if (rc == SQLITE_OK)
        rc = sqlite3_bind_int(statement, 2, n);
    if (rc == SQLITE_OK)
        rc = sqlite3_step(statement);
    if (rc == SQLITE_ROW)
        text_clean(name, size, (const char *)sqlite3_column_text(statement, 0));
    (void)sqlite3_reset(statement);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? 0 : store_fail(s, rc, f);
}

static int describe_change(struct store *s, sqlite3_changeset_iter *iter, journal_change_fn each,
                           void *context, struct fail *f)
{
    struct journal_change change = {0};
    int columns, operation, indirect;
    sqlite3_value *id = NULL;
    int rc = sqlite3changeset_op(iter, &change.table, &columns, &operation, &indirect);
    if (rc != SQLITE_OK)
        return store_fail(s, rc, f);
    change.is_new = operation == SQLITE_INSERT;
    change.is_gone = operation == SQLITE_DELETE;
    (void)(change.is_new ? sqlite3changeset_new(iter, 0, &id) : sqlite3changeset_old(iter, 0, &id));
    change.id = id == NULL ? 0 : sqlite3_value_int64(id);
    for (int i = 1; i < columns; i++) {
        sqlite3_value *before = NULL, *after = NULL;
        if (!change.is_new)
            (void)sqlite3changeset_old(iter, i, &before);
        if (!change.is_gone)
            (void)sqlite3changeset_new(iter, i, &after);
        if (before == NULL && after == NULL)
            continue; /* a column that the change left alone */
        if (column_name(s, change.table, i, change.column, sizeof change.column, f) != 0)
            return -1;
        value_text(before, change.before, sizeof change.before);
        value_text(after, change.after, sizeof change.after);
        if (each(context, &change, f) != 0)
            return -1;
    }
    return 0;
}

int journal_changes(struct store *s, int64_t id, journal_change_fn each, void *context, struct fail *f)
{
    void *changes = NULL;
    int size = 0, result = 0;
    sqlite3_changeset_iter *iter = NULL;
    if (load_changes(s, id, &changes, &size, f) != 0)
        return -1;
    int rc = sqlite3changeset_start(&iter, size, changes);
    if (rc == SQLITE_OK)
        rc = SQLITE_ROW;
    while (rc == SQLITE_ROW && result == 0 && (rc = sqlite3changeset_next(iter)) == SQLITE_ROW)
        result = describe_change(s, iter, each, context, f);
    if (result == 0 && rc != SQLITE_DONE)
        result = store_fail(s, rc, f);
    (void)sqlite3changeset_finalize(iter);
    sqlite3_free(changes);
    return result;
}
