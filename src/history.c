#include "src/history.h"

#include <ctype.h>
#include <stdbool.h>
#include <stdlib.h>

#include "core/base/csv.h"
#include "core/base/file.h"
#include "core/base/quantity.h"

enum { ROWS_MAX = 200000 };

struct samples {
    struct keeping_sample *row;
    size_t count, room;
};

static int samples_add(struct samples *s, struct keeping_sample sample, struct fail *f)
{
    if (s->count == ROWS_MAX)
        return fail_input(f, "The history has more than %d rows.", ROWS_MAX);
    if (s->count == s->room) {
        size_t room = s->room == 0 ? 256 : 2 * s->room;
        struct keeping_sample *more = realloc(s->row, room * sizeof *more);
        if (more == NULL)
            return fail_memory(f);
        s->row = more;
        s->room = room;
    }
    s->row[s->count++] = sample;
    return 0;
}

static int on_row(void *context, const struct csv_row *row, struct fail *f)
{
    struct keeping_sample sample;
    if (row->line == 1 && isalpha((unsigned char)row->cell[0][0]))
        return 0;
    if (row->count != 2)
        return fail_input(f, "Row %zu of the history needs two cells, hours and temp_c.", row->line);
    if (quantity_parse(row->cell[0], DIM_NUMBER, NULL, &sample.hours, f) != 0 ||
        quantity_parse(row->cell[1], DIM_TEMPERATURE, "C", &sample.temp_c, f) != 0)
        return -1;
    return samples_add(context, sample, f);
}

static int rows_decide(const struct samples *s, enum history_rows *rows, struct fail *f)
{
    bool rising = true;
    if (*rows != HISTORY_UNKNOWN)
        return 0;
    for (size_t i = 1; i < s->count; i++)
        rising = rising && s->row[i].hours >= s->row[i - 1].hours;
    *rows = s->row[0].hours == 0 ? HISTORY_TIMES : HISTORY_STAYS;
    if (*rows == HISTORY_STAYS && rising && s->count > 1)
        return fail_input(
            f,
            "The history begins at hour %g, so its hours may be times or stays: begin at 0, or add "
            "rows=times or rows=stays.",
            s->row[0].hours);
    return 0;
}

static int spans_make(const struct samples *s, enum history_rows rows, struct keeping_span *span,
                      size_t *count, struct fail *f)
{
    if (rows == HISTORY_TIMES) {
        *count = s->count - 1;
        return keeping_from_samples(s->row, s->count, span, f);
    }
    *count = s->count;
    for (size_t i = 0; i < s->count; i++)
        span[i] = keeping_held(s->row[i].hours, s->row[i].temp_c);
    return keeping_spans_check(span, *count, f);
}

int history_read(const char *path, enum history_rows *rows, struct keeping_span **span, size_t *count,
                 struct fail *f)
{
    struct samples s = {0};
    char *text = NULL;
    size_t size = 0;
    int result = -1;
    *span = NULL;
    *count = 0;
    if (file_read(path, &text, &size, f) != 0 || csv_read(text, size, on_row, &s, f) != 0)
        goto out;
    if (s.count == 0) {
        fail_input(f, "The history has no rows; write them as hours,temp_c.");
        goto out;
    }
    *span = calloc(s.count, sizeof **span);
    if (*span == NULL) {
        fail_memory(f);
        goto out;
    }
    if (rows_decide(&s, rows, f) == 0)
        result = spans_make(&s, *rows, *span, count, f);
out:
    if (result != 0) {
        free(*span);
        *span = NULL;
    }
    free(s.row);
    free(text);
    return result;
}
