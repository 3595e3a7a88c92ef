/* Weights from a spreadsheet: one row per milking or day. The heading row says what the columns are, in any
 * order: date, and if they are there time, cow, fat, protein, cells; and the milk as kg, as lb, or as milk
 * with its unit in every cell. Without a column of cows the whole file is one cow's. Every row is handed to
 * the caller as it was understood, or with what is wrong with it; whether anything is taken in when some rows
 * are wrong is the caller's to decide. No row is kept here, so that a file of any length can be read. */
#ifndef CORE_HERD_WEIGHTS_CSV_H
#define CORE_HERD_WEIGHTS_CSV_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"

enum weights_dates {
    DATES_ISO,         /* 2026-05-03, with a time if wanted */
    DATES_MONTH_FIRST, /* 5/3/2026 is the third of May; ISO is read too */
    DATES_DAY_FIRST,   /* 3/5/2026 is the third of May */
};

enum { WEIGHTS_COW_MAX = 64 };

struct weight_row {
    size_t line; /* row of the file, the heading is 1 */
    bool good;
    char wrong[200]; /* what is wrong, when not good */
    struct date on;
    struct instant at; /* INSTANT_NONE when only the day is given */
    char cow[WEIGHTS_COW_MAX];
    double kg;
    double fat_pct; /* NaN: not given */
    double protein_pct;
    double cells_per_ml;
};

/* Called for each row in the order of the file. Returns 0 to go on, -1 (with *f said) to stop. */
typedef int (*weight_row_fn)(void *context, const struct weight_row *row, struct fail *f);

enum { WEIGHTS_PREVIEW_ROWS = 5, WEIGHTS_WRONG_ROWS = 5 };

/* What was understood, for a person to look at before anything is taken in. */
struct weights_preview {
    char columns[200]; /* "date, cow, lb, fat %; not read: notes" */
    size_t rows, good;
    struct date first_on, last_on;                  /* of the good rows; DATE_NONE without any */
    double least_kg, most_kg;                       /* NaN without any */
    struct weight_row sample[WEIGHTS_PREVIEW_ROWS]; /* the first good rows */
    size_t samples;
    struct weight_row wrong[WEIGHTS_WRONG_ROWS]; /* the first wrong ones */
    size_t wrongs;
};

/* Reads `size` bytes of CSV text. on_row (may be NULL: preview only) gets every row. Fails when the heading
 * is not understood, the file is not CSV, or on_row stops it; wrong rows are not a failure. */
int weights_csv_read(const char *text, size_t size, enum weights_dates dates, weight_row_fn on_row,
                     void *context, struct weights_preview *preview, struct fail *f);

#endif
