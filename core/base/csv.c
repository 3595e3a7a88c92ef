#include "core/base/csv.h"

#include <csv.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"

struct reading {
    struct csv_row row;
    csv_row_fn on_row;
    void *context;
    struct fail *f;
    bool stopped;
};

/* A leading apostrophe is ours only where a formula sign follows it. */
static const char formula_signs[] = "=+-@\t\r";

static void on_cell(void *bytes, size_t size, void *data)
{
    struct reading *r = data;
    char raw[CSV_CELL_TEXT];
    if (r->stopped)
        return;
    if (r->row.count == CSV_CELLS_MAX || size >= sizeof raw) {
        r->stopped = true;
        fail_input(r->f, "Row %zu is too long: at most %d cells of %d characters.", r->row.line,
                   CSV_CELLS_MAX, CSV_CELL_TEXT - 1);
        return;
    }
    if (size > 0)
        memcpy(raw, bytes, size);
    raw[size] = '\0';
    const char *text = raw;
    if (raw[0] == '\'' && raw[1] != '\0' && strchr(formula_signs, raw[1]) != NULL)
        text++;
    text_clean(r->row.cell[r->row.count++], CSV_CELL_TEXT, text);
}

static void on_row_end(int end, void *data)
{
    (void)end;
    struct reading *r = data;
    bool empty = true;
    for (size_t i = 0; i < r->row.count; i++)
        empty = empty && r->row.cell[i][0] == '\0';
    if (!r->stopped && !empty && r->on_row(r->context, &r->row, r->f) != 0)
        r->stopped = true;
    r->row.count = 0;
    r->row.line++;
}

int csv_read(const char *text, size_t size, csv_row_fn on_row, void *context, struct fail *f)
{
    int result = -1;
    struct csv_parser parser;
    /* A row of the largest size is 16 kB: on the heap, since rows are read from screens too. */
    struct reading *r = calloc(1, sizeof *r);
    if (r == NULL)
        return fail_memory(f);
    if (csv_init(&parser, 0) != 0) {
        free(r);
        return fail_memory(f);
    }
    r->on_row = on_row;
    r->context = context;
    r->f = f;
    r->row.line = 1;
    if (size >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) { /* byte order mark that spreadsheets write */
        text += 3;
        size -= 3;
    }
    while (size > 0 && !r->stopped) {
        size_t part = size < 4096 ? size : 4096;
        if (csv_parse(&parser, text, part, on_cell, on_row_end, r) != part) {
            fail_input(f, "Row %zu cannot be read: %s.", r->row.line, csv_strerror(csv_error(&parser)));
            goto out;
        }
        text += part;
        size -= part;
    }
    if (!r->stopped && csv_fini(&parser, on_cell, on_row_end, r) != 0) {
        fail_input(f, "The file ends inside a quoted cell.");
        goto out;
    }
    result = r->stopped ? -1 : 0;
out:
    csv_free(&parser);
    free(r);
    return result;
}

bool csv_quote(char *dst, size_t size, const char *text)
{
    bool defuse = text[0] != '\0' && strchr(formula_signs, text[0]) != NULL;
    bool quoted = defuse || text[0] == ' ' || strpbrk(text, ",\"\r\n") != NULL;
    size_t used = 0;
    size_t needed = strlen(text) + (defuse ? 1 : 0) + (quoted ? 2 : 0) + 1;
    for (const char *p = text; *p != '\0'; p++)
        needed += *p == '"' ? 1 : 0;
    if (needed > size) {
        if (size > 0)
            dst[0] = '\0';
        return false;
    }
    if (quoted)
        dst[used++] = '"';
    if (defuse)
        dst[used++] = '\'';
    for (const char *p = text; *p != '\0'; p++) {
        if (*p == '"')
            dst[used++] = '"';
        dst[used++] = *p;
    }
    if (quoted)
        dst[used++] = '"';
    dst[used] = '\0';
    return true;
}
