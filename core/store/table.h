/* Rows as plain structs. A table's row map says where each column lives in the struct; from it come the
 * statements that insert, change, remove and read rows, prepared once. Statements never contain a value:
 * every value is bound.
 *
 * What is not known: ROW_NONE for integers, DATE_NONE and INSTANT_NONE, "" for texts that may be missing. */
#ifndef CORE_STORE_TABLE_H
#define CORE_STORE_TABLE_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/store/store.h"

#define ROW_NONE INT64_MIN

enum column_type {
    COLUMN_INTEGER,      /* int64_t */
    COLUMN_MOMENT,       /* struct instant */
    COLUMN_DAY,          /* struct date */
    COLUMN_TEXT,         /* char[size], NOT NULL in the schema */
    COLUMN_TEXT_OR_NONE, /* char[size], "" is NULL */
    COLUMN_LINES,        /* char[size], text of many lines, NOT NULL */
};

struct column {
    const char *name;
    enum column_type type;
    size_t offset;
    size_t size; /* of a text */
};

/* How a row map is written: COLUMN_OF(INTEGER, milk_row, mass_g). The member has the column's name. */
#define COLUMN_OF(type, row, member)                                                                         \
    {                                                                                                        \
#member, COLUMN_##type, offsetof(struct row, member), sizeof(((struct row *)0)->member)              \
    }
#define TABLE_OF(name, row, columns)                                                                         \
    {                                                                                                        \
        name, sizeof(struct row), columns, sizeof(columns) / sizeof(columns)[0]                              \
    }

/* Every row struct begins with `int64_t id`, which the map leaves out. */
struct table {
    const char *name;
    size_t row_size;
    const struct column *columns;
    size_t column_count;
};

/* A value for a parameter of a tail: `?1` is the first. The number ROW_NONE binds as NULL. */
struct bind {
    bool is_text;
    int64_t number;
    const char *text;
};
#define BIND_ID(n)   ((struct bind){false, (n), NULL})
#define BIND_AT(t)   ((struct bind){false, (t).s, NULL})
#define BIND_TEXT(s) ((struct bind){true, 0, (s)})

/* Adds a row; *id (may be NULL) and the row's own id become its new number. */
int row_insert(struct store *s, const struct table *t, void *row, int64_t *id, struct fail *f);

/* Writes all columns of the row with that id. */
int row_update(struct store *s, const struct table *t, const void *row, struct fail *f);

/* Takes the row out (the journal keeps what it was). */
int row_remove(struct store *s, const struct table *t, int64_t id, struct fail *f);

/* Reads one row by id. FAIL_REFUSED when there is none. */
int row_load(struct store *s, const struct table *t, int64_t id, void *row, struct fail *f);

/* Reads rows. `tail` is a literal that follows the columns and the table: "WHERE cow_id = ?1 ORDER BY at". */
typedef int (*row_fn)(void *context, const void *row, struct fail *f);
int rows_each(struct store *s, const struct table *t, const char *tail, const struct bind *binds,
              size_t bind_count, row_fn each, void *context, struct fail *f);

/* Reads rows into a growing array; *rows is the caller's to free(). NULL and 0 when there are none. */
int rows_load(struct store *s, const struct table *t, const char *tail, const struct bind *binds,
              size_t bind_count, void **rows, size_t *count, struct fail *f);

/* Reads the first row; *found tells whether there was one. */
int rows_first(struct store *s, const struct table *t, const char *tail, const struct bind *binds,
               size_t bind_count, void *row, bool *found, struct fail *f);

#endif
