#include "core/base/csv.h"

#include <csv.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"

/* A row being read: its cells one after another in memory that grows, each ended by a zero byte. */
struct reading {
    char *text;
    size_t used, room, longest;
    size_t start[CSV_CELLS_MAX];
    struct csv_long_row row;
    csv_long_row_fn on_row;
    void *context;
    struct fail *f;
    bool stopped;
};

/* An apostrophe is ours only where a formula sign follows it, or further apostrophes and then one. */
static const char formula_signs[] = "=+-@\t\r";

static bool is_formula(const char *text)
{
    text += strspn(text, "'");
    return *text != '\0' && strchr(formula_signs, *text) != NULL;
}

static bool make_room(struct reading *r, size_t more)
{
    size_t room = r->room == 0 ? 4096 : r->room;
    if (r->used + more <= r->room)
        return true;
    while (room < r->used + more)
        room *= 2;
    char *text = realloc(r->text, room);
    if (text == NULL)
        return false;
    r->text = text;
    r->room = room;
    return true;
}

static void on_cell(void *bytes, size_t size, void *data)
{
    struct reading *r = data;
    if (r->stopped)
        return;
    if (r->row.count == CSV_CELLS_MAX || size >= r->longest) {
        fail_input(r->f, "Row %zu is too long: at most %d cells of %zu characters.", r->row.line,
                   CSV_CELLS_MAX, r->longest - 1);
        r->stopped = true;
        return;
    }
    if (!make_room(r, size + 1)) {
        (void)fail_memory(r->f);
        r->stopped = true;
        return;
    }
    char *cell = r->text + r->used;
    if (size > 0)
        memcpy(cell, bytes, size);
    cell[size] = '\0';
    for (char *zero = cell; (zero = memchr(zero, '\0', size - (size_t)(zero - cell))) != NULL;)
        *zero = '\x01'; /* a control like others, or it would hide what follows */
    r->start[r->row.count++] = r->used;
    r->used += size + 1;
}

static void on_row_end(int end, void *data)
{
    (void)end;
    struct reading *r = data;
    bool empty = true;
    for (size_t i = 0; i < r->row.count; i++) {
        const char *cell = r->text + r->start[i];
        empty = empty && *cell == '\0';
        r->row.cell[i] = *cell == '\'' && is_formula(cell) ? cell + 1 : cell;
    }
    if (!r->stopped && !empty && r->on_row(r->context, &r->row, r->f) != 0)
        r->stopped = true;
    r->row.count = 0;
    r->row.line++;
    r->used = 0;
}

static int parse(struct reading *r, struct csv_parser *parser, const char *text, size_t size)
{
    if (size >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) { /* byte order mark that spreadsheets write */
        text += 3;
        size -= 3;
    }
    while (size > 0 && !r->stopped) {
        size_t part = size < 4096 ? size : 4096;
        if (csv_parse(parser, text, part, on_cell, on_row_end, r) != part)
            return fail_input(r->f, "Row %zu cannot be read: %s.", r->row.line,
                              csv_strerror(csv_error(parser)));
        text += part;
        size -= part;
    }
    if (!r->stopped && csv_fini(parser, on_cell, on_row_end, r) != 0)
        return fail_input(r->f, "The file ends inside a quoted cell.");
    return r->stopped ? -1 : 0;
}

static int read_rows(const char *text, size_t size, size_t longest, csv_long_row_fn on_row, void *context,
                     struct fail *f)
{
    struct csv_parser parser;
    struct reading r = {.longest = longest, .on_row = on_row, .context = context, .f = f, .row = {.line = 1}};
    /* Strict: a file cut short inside a quoted cell must not pass for a whole one. */
    if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) != 0)
        return fail_memory(f);
    int result = parse(&r, &parser, text, size);
    csv_free(&parser);
    free(r.text);
    return result;
}

int csv_read_long(const char *text, size_t size, csv_long_row_fn on_row, void *context, struct fail *f)
{
    return read_rows(text, size, CSV_LONG_TEXT, on_row, context, f);
}

struct cleaning {
    struct csv_row row;
    csv_row_fn on_row;
    void *context;
};

static int clean_row(void *context, const struct csv_long_row *raw, struct fail *f)
{
    struct cleaning *c = context;
    bool empty = true;
    c->row.count = raw->count;
    c->row.line = raw->line;
    for (size_t i = 0; i < raw->count; i++) {
        text_clean(c->row.cell[i], CSV_CELL_TEXT, raw->cell[i]);
        empty = empty && c->row.cell[i][0] == '\0';
    }
    return empty ? 0 : c->on_row(c->context, &c->row, f);
}

int csv_read(const char *text, size_t size, csv_row_fn on_row, void *context, struct fail *f)
{
    /* A row of the largest size is 16 kB: on the heap, since rows are read from screens too. */
    struct cleaning *c = calloc(1, sizeof *c);
    if (c == NULL)
        return fail_memory(f);
    c->on_row = on_row;
    c->context = context;
    int result = read_rows(text, size, CSV_CELL_TEXT, clean_row, c, f);
    free(c);
    return result;
}

/* Blanks at an edge belong to the cell only within quotes (RFC 4180 keeps them everywhere, readers do not).
 */
static bool has_edge_blank(const char *text)
{
    size_t n = strlen(text);
    return n > 0 && (text[0] == ' ' || text[0] == '\t' || text[n - 1] == ' ' || text[n - 1] == '\t');
}

bool csv_quote(char *dst, size_t size, const char *text)
{
    bool defuse = is_formula(text);
    bool quoted = defuse || has_edge_blank(text) || strpbrk(text, ",\"\r\n") != NULL;
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
