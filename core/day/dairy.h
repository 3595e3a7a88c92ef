/* A dairy that is open: its file of records, its settings, and what can be done to it. The one place where
 * the store, the domains and a clock (handed in as `now`) meet.
 *
 * Everything a person can do is an act: a row of a table with the fields that it takes. An act checks what it
 * was given against the records, writes one transaction with its journal entry, or refuses in one line and
 * changes nothing. `springhouse record`, the entry fields of the board and the tests all go through
 * dairy_record(). */
#ifndef CORE_DAY_DAIRY_H
#define CORE_DAY_DAIRY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/form.h"

struct dairy;

enum dairy_mode {
    DAIRY_CREATE, /* make the file if it is not there */
    DAIRY_WRITE,
    DAIRY_READ,
    DAIRY_SCRATCH, /* a throw-away file: made anew, and not synced until dairy_settle() */
};

/* Opens the records at `path`. *out is the caller's to dairy_close(). */
int dairy_open(const char *path, enum dairy_mode mode, struct dairy **out, struct fail *f);
void dairy_close(struct dairy *d);

/* Ends the haste of DAIRY_SCRATCH: from here on every act is on disk before it returns. */
int dairy_settle(struct dairy *d, struct fail *f);

/* In a throw-away file that is being filled: in haste, facts are not tried out one by one, and how the milk of each batch came
 * down is not written. */
void dairy_make_haste(struct dairy *d, bool haste);

/* False until the first `dairy` act has said who and where. */
bool dairy_is_set_up(const struct dairy *d);

const char *dairy_name(const struct dairy *d);
const char *dairy_keeper(const struct dairy *d);
enum unit_system dairy_units(const struct dairy *d);
const char *dairy_path(const struct dairy *d);

/* True when nothing can be recorded; *why is a sentence. */
bool dairy_read_only(const struct dairy *d, const char **why);

/* Looks whether somebody else has written the records; *changed is true when what was shown may be out of
 * date. */
int dairy_refresh(struct dairy *d, bool *changed, struct fail *f);

/* Whether `now`, as the computer's clock has it, can be right: not long before the last entry, nor very long
 * after it, nor in another age. The refusal says what to do. A computer whose battery is empty wakes up in
 * 1970, and records dated so are worse than none. */
int dairy_check_clock(struct dairy *d, struct instant now, struct fail *f);

/* From here on an act is refused when the clock cannot be right. For whoever takes `now` from the computer;
 * not for somebody who was told what time it is. */
void dairy_mind_clock(struct dairy *d);
bool dairy_minds_clock(const struct dairy *d);

/* ---- acts ---- */

struct act;

struct act_kind {
    const char *name;    /* as `springhouse record` names it */
    const char *does;    /* one line */
    const char *example; /* the words after the name */
    const struct field *fields;
    size_t field_count;
    int (*run)(struct act *a); /* for core/day alone */
};

/* The n-th act there is, or NULL past the last; and the act of that name, or NULL. */
const struct act_kind *act_at(size_t n);
const struct act_kind *act_find(const char *name);

/* An empty form for an act, in the dairy's units. */
void act_form(const struct dairy *d, const struct act_kind *kind, struct instant now, struct form *form);

struct act_done {
    int64_t entry;  /* its number in the journal */
    char what[240]; /* what was recorded, in words */
};

/* Does one act. When it fails with FAIL_BUSY, the same form can be handed in again. */
int dairy_record(struct dairy *d, const struct act_kind *kind, const struct form *form, struct instant now,
                 struct act_done *done, struct fail *f);

/* Work that can take long, such as a file of weights, says how far it is; NULL: to nobody. */
typedef void (*dairy_progress_fn)(void *context, int64_t done, int64_t total);
void dairy_on_progress(struct dairy *d, dairy_progress_fn on_progress, void *context);

/* Takes journal entry `entry` back; 0 means the last act that holds. */
int dairy_undo(struct dairy *d, int64_t entry, struct instant now, struct act_done *done, struct fail *f);

/* Copies the records to `path` and checks the copy. See store.h. */
int dairy_backup(struct dairy *d, const char *path, struct fail *f);

/* Writes everything as plain text to the folder `path`, and reads it back into a dairy that has no records
 * yet; *files and *rows are counted. See store/portable.h. */
int dairy_export(struct dairy *d, const char *path, size_t *files, size_t *rows, struct fail *f);
int dairy_import(struct dairy *d, char *const paths[], size_t path_count, size_t *files, size_t *rows,
                 struct fail *f);

/* True when a file's name is that of a table of an export: "milk.csv". */
bool dairy_table_file(const char *path);

/* Checks the records; each finding is a line. */
int dairy_verify(struct dairy *d, void (*each)(void *context, const char *finding), void *context,
                 size_t *findings, struct fail *f);

#endif
