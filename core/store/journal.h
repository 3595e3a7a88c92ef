/* The journal: every act with the rows before and after it, so that any act can be taken back, and a
 * taking-back taken back in turn. Nothing is ever removed from the journal. */
#ifndef CORE_STORE_JOURNAL_H
#define CORE_STORE_JOURNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/store/table.h"

struct journal_row {
    int64_t id;
    struct instant happened_at; /* as said */
    struct instant entered_at;  /* when it was entered */
    char who[64];
    char kind[24];
    char what[240];
    int64_t cow_id; /* or ROW_NONE */
    int64_t undoes; /* the entry that this one takes back, or ROW_NONE */
};

/* The kind of what the program enters by itself, what a probe reads: it stands in the journal and can be taken back
 * by its number, but is never "the last act". */
#define JOURNAL_BY_ITSELF "probed"

extern const struct table journal_table; /* to read; rows are written by the functions below alone */

/* Begins an act: a transaction whose row changes are recorded. Ends with journal_commit() or
 * store_rollback(). */
int journal_begin(struct store *s, struct fail *f);

/* Writes the entry with the recorded changes and commits. entry->id becomes its number. Refuses an act that
 * changed nothing. */
int journal_commit(struct store *s, struct journal_row *entry, struct fail *f);

/* True if the last act or undo that was committed through this store changed rows of the listed tables only
 * (names, ended by NULL). Tells which of the things that were loaded are still as they were. */
bool journal_touched_only(const struct store *s, const char *const *tables);

/* True if the entry still holds: no entry that holds takes it back. */
int journal_holds(struct store *s, int64_t id, bool *holds, struct fail *f);

/* The latest entry that holds and is not itself a taking-back; *found is false when there is none. */
int journal_last(struct store *s, struct journal_row *entry, bool *found, struct fail *f);

/* Takes entry `id` back, as a new entry (who, entered_at and happened_at of *undo are the caller's; the rest
 * is filled in). Refused when it does not hold any more, or when later entries rest on what it changed: then
 * they are named. */
int journal_undo(struct store *s, int64_t id, struct journal_row *undo, struct fail *f);

/* What one entry changed in one column of one row, as text made harmless: 21000 became 22000 in column mass_g
 * of row 12 of table milk. "" stands for nothing: before, when the row is new; after, when it is gone. */
struct journal_change {
    const char *table;
    int64_t id;
    char column[64];
    bool is_new, is_gone; /* the row */
    char before[160], after[160];
};

/* Calls `each` for every column that the entry changed. */
typedef int (*journal_change_fn)(void *context, const struct journal_change *change, struct fail *f);
int journal_changes(struct store *s, int64_t id, journal_change_fn each, void *context, struct fail *f);

#endif
