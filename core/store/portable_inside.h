/* What writing and reading the plain text of the records share. */
#ifndef CORE_STORE_PORTABLE_INSIDE_H
#define CORE_STORE_PORTABLE_INSIDE_H

#include "core/store/inside.h"
#include "core/store/table.h"

/* The journal's changes are bytes, written as hexadecimal digits in a column that no row map has. */
#define PORTABLE_CHANGES "changes_hex"

/* The numbers used so far: SQLite's own table of them. */
#define PORTABLE_NUMBERING "numbering"

/* The comments on every column. */
#define PORTABLE_COLUMNS_FILE "columns.txt"

/* The n-th table that is carried, or NULL past the last: all of table_at(), then the journal. */
const struct table *portable_table(size_t n);
bool portable_is_journal(const struct table *t);

#endif
