/* A temperature history read from a file of rows hours,temp_c. */
#ifndef SRC_HISTORY_H
#define SRC_HISTORY_H

#include <stddef.h>

#include "core/base/fail.h"
#include "core/milk/keeping.h"

/* What the first column of such a file is. */
enum history_rows {
    HISTORY_TIMES,   /* hours since the beginning, straight lines between the rows */
    HISTORY_STAYS,   /* how many hours it stood at that temperature */
    HISTORY_UNKNOWN, /* to be seen: times begin at 0; stays do not, and fall somewhere */
};

/* Reads the file; *span is allocated and the caller's to free(). *rows is what was asked for, or UNKNOWN, and
 * comes back as what was found. A heading is skipped; a bare temperature is in °C. Refuses a file that could
 * be either, since the two readings can be days apart, and everything that keeping_spans_check() refuses. */
int history_read(const char *path, enum history_rows *rows, struct keeping_span **span, size_t *count,
                 struct fail *f);

#endif
