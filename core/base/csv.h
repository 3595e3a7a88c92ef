/* Comma-separated values after RFC 4180, in UTF-8. Reading is libcsv's work; cells are cleaned on the way in.
 * Text that a spreadsheet would take for a formula is written with a leading apostrophe, which reading takes
 * off again; text that has such an apostrophe of its own is written with one more. */
#ifndef CORE_BASE_CSV_H
#define CORE_BASE_CSV_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"

enum { CSV_CELLS_MAX = 32, CSV_CELL_TEXT = 512 };

struct csv_row {
    char cell[CSV_CELLS_MAX][CSV_CELL_TEXT];
    size_t count;
    size_t line; /* 1 for the first row of the file, counted in rows */
};

/* Called once for each row that is not empty. Returns 0 to go on, -1 (with *f said) to stop. */
typedef int (*csv_row_fn)(void *context, const struct csv_row *row, struct fail *f);

/* Reads `size` bytes of text. Refuses rows of more than CSV_CELLS_MAX cells and cells longer than
 * CSV_CELL_TEXT. */
int csv_read(const char *text, size_t size, csv_row_fn on_row, void *context, struct fail *f);

/* The same for cells of any length, as they stand in the file but for a defusing apostrophe: the caller
 * cleans them. The cells are borrowed and live until the call returns. */
enum { CSV_LONG_TEXT = 1 << 21 };

struct csv_long_row {
    const char *cell[CSV_CELLS_MAX];
    size_t count;
    size_t line;
};

typedef int (*csv_long_row_fn)(void *context, const struct csv_long_row *row, struct fail *f);
int csv_read_long(const char *text, size_t size, csv_long_row_fn on_row, void *context, struct fail *f);

/* Writes one cell of text into dst as it stands in a file: quoted where needed, formulas defused. False if
 * cut. */
bool csv_quote(char *dst, size_t size, const char *text);

#endif
