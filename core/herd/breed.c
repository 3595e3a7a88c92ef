#include "core/herd/breed.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/text.h"

/* A walk over the table: what is looked for, and what was found. */
struct breed_search {
    const char *name; /* or NULL: the n-th */
    size_t nth, seen;
    bool found;
    struct breed *out;
    char known[FAIL_TEXT_MAX / 2]; /* names met so far, for the refusal */
};

enum { COLUMNS = 7 };

/* Rows of our own table are well formed: breed_test reads every one. */
static void read_row(const struct csv_row *row, struct breed *out)
{
    (void)snprintf(out->name, sizeof out->name, "%.*s", BREED_NAME_MAX - 1, row->cell[0]);
    out->day60_kg = strtod(row->cell[1], NULL);
    out->day60_spread = strtod(row->cell[2], NULL);
    (void)snprintf(out->yield_source, sizeof out->yield_source, "%.*s", BREED_SOURCE_MAX - 1, row->cell[3]);
    out->mature_kg = strtod(row->cell[4], NULL);
    out->birth_kg = strtod(row->cell[5], NULL);
    (void)snprintf(out->weight_source, sizeof out->weight_source, "%.*s", BREED_SOURCE_MAX - 1, row->cell[6]);
}

static int on_row(void *context, const struct csv_row *row, struct fail *f)
{
    (void)f;
    struct breed_search *s = context;
    if (row->line == 1 || row->count < COLUMNS || s->found)
        return 0;
    (void)text_append(s->known, sizeof s->known, "%s%s", s->known[0] == '\0' ? "" : ", ", row->cell[0]);
    s->found = s->name == NULL ? s->seen == s->nth : text_same(row->cell[0], s->name);
    if (s->found)
        read_row(row, s->out);
    s->seen++;
    return 0;
}

static int search(struct breed_search *s, struct fail *f)
{
    const char *text = asset_text("breeds.csv");
    return csv_read(text, strlen(text), on_row, s, f);
}

int breed_find(const char *name, struct breed *out, struct fail *f)
{
    struct breed_search s = {.name = name, .out = out};
    if (search(&s, f) != 0)
        return -1;
    if (!s.found)
        return fail_input(f, "The breed \"%.40s\" is not in the table; it has %s.", name, s.known);
    return 0;
}

int breed_or_cross(const char *name, struct breed *out, struct fail *f)
{
    struct breed_search s = {.name = name == NULL ? "" : name, .out = out};
    if (search(&s, f) != 0)
        return -1;
    return s.found ? 0 : breed_find("cross", out, f);
}

int breed_nth(size_t n, struct breed *out, struct fail *f)
{
    struct breed_search s = {.nth = n, .out = out};
    if (search(&s, f) != 0)
        return -1;
    return s.found ? 0 : 1;
}
