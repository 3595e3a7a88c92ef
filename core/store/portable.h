/* The records as plain text that outlives the program, and back: a folder with one CSV file (RFC 4180, UTF-8)
 * for each table. The first row names the columns, as the schema does, with their units; times and days are
 * ISO 8601. Beside them stand the schema's own comments on every column, and the numbers used so far, so that
 * none is ever used twice. */
#ifndef CORE_STORE_PORTABLE_H
#define CORE_STORE_PORTABLE_H

#include <stddef.h>

#include "core/store/store.h"

struct portable_count {
    size_t files, rows;
};

/* Writes all records, as they are at one moment, to the new (or empty) folder `path`: all of it, or nothing.
 */
int store_export(struct store *s, const char *path, struct portable_count *count, struct fail *f);

/* Reads such files, or folders of them, into a file of records that has none yet: all of it, or nothing.
 * Their names say which table they are; they may come in any order, and a column may be missing where the
 * schema has a usual value. Refuses what the schema, the program's own invariants or `check` do not allow; that one looks at
 * the records as they would be. */
typedef int (*portable_check_fn)(void *context, struct fail *f);
int store_import(struct store *s, char *const paths[], size_t path_count, portable_check_fn check, void *context,
                 struct portable_count *count, struct fail *f);

#endif
