#include "core/day/journal_view.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/quantity.h"
#include "core/day/inside.h"

static int add_entry(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct journal_view *v = context;
    const struct journal_row *r = row;
    struct journal_entry *e = &v->entry[v->entries++];
    e->id = r->id;
    e->happened_at = r->happened_at;
    e->entered_at = r->entered_at;
    e->undoes = r->undoes == ROW_NONE ? 0 : r->undoes;
    (void)snprintf(e->who, sizeof e->who, "%s", r->who);
    (void)snprintf(e->kind, sizeof e->kind, "%s", r->kind);
    (void)snprintf(e->what, sizeof e->what, "%s", r->what);
    return 0;
}

int dairy_journal(struct dairy *d, struct instant now, int64_t before, struct journal_view *out,
                  struct fail *f)
{
    memset(out, 0, sizeof *out);
    out->now = now;
    if (rows_each(d->store, &journal_table, "WHERE id < ?1 AND kind <> ?2 ORDER BY id DESC LIMIT 200",
                  (struct bind[]){BIND_ID(before == 0 ? INT64_MAX : before), BIND_TEXT(JOURNAL_BY_ITSELF)}, 2, add_entry, out, f) != 0)
        return -1;
    for (size_t i = 0; i < out->entries; i++)
        if (journal_holds(d->store, out->entry[i].id, &out->entry[i].holds, f) != 0)
            return -1;
    if (out->entries == JOURNAL_PAGE)
        out->before = out->entry[JOURNAL_PAGE - 1].id;
    return 0;
}

/* ---- what an entry changed ---- */

/* How a column reads, by the end of its name: the store keeps whole numbers of small units. */
static const struct unit_end {
    const char *end;
    enum dimension dimension;
    double per_si;
} unit_ends[] = {
    {"_mc", DIM_TEMPERATURE, 1e3}, {"_g", DIM_MASS, 1e3},       {"_ml", DIM_VOLUME, 1e3},
    {"_s", DIM_DURATION, 1},       {"_mpct", DIM_PERCENT, 1e3}, {"_mm", DIM_LENGTH, 1e3},
    {"_um", DIM_LENGTH, 1e6},
};

static bool ends_in(const char *name, const char *end)
{
    size_t n = strlen(name), m = strlen(end);
    return n >= m && strcmp(name + n - m, end) == 0;
}

static const struct unit_end *unit_of(const char *column)
{
    for (size_t i = 0; i < sizeof unit_ends / sizeof unit_ends[0]; i++)
        if (ends_in(column, unit_ends[i].end))
            return &unit_ends[i];
    return NULL;
}

/* Leaves the number where there is no such cow any more. */
static int name_of_cow(struct dairy *d, int64_t id, char *buf, size_t size, struct fail *f)
{
    struct cow_row cow;
    bool found;
    if (rows_first(d->store, &cow_table, "WHERE id = ?1", (struct bind[]){BIND_ID(id)}, 1, &cow, &found, f) != 0)
        return -1;
    if (found)
        (void)snprintf(buf, size, "%s", cow.name);
    return 0;
}

static int value_words(struct dairy *d, const char *column, const char *value, char *buf, size_t size, struct fail *f)
{
    const struct unit_end *unit = unit_of(column);
    char quantity[QUANTITY_TEXT_MAX], when[CIVIL_TEXT_MAX];
    long long number = strtoll(value, NULL, 10);
    (void)snprintf(buf, size, "%s", value[0] == '\0' ? "nothing" : value);
    if (value[0] == '\0')
        return 0;
    if (strcmp(column, "at") == 0 || ends_in(column, "_at"))
        (void)snprintf(buf, size, "%s", instant_text((struct instant){number}, when));
    else if (strcmp(column, "cow_id") == 0)
        return name_of_cow(d, number, buf, size, f);
    else if (unit != NULL)
        (void)snprintf(
            buf, size, "%s",
            quantity_format((double)number / unit->per_si, unit->dimension, dairy_units(d), quantity));
    return 0;
}

/* "temp_mc" is read "temp", "poured_at" "poured": the unit stands with the value. */
static void column_words(const char *column, char *buf, size_t size)
{
    static const char *const ends[] = {"_at", "_on", "_id"};
    const struct unit_end *unit = unit_of(column);
    size_t length = strlen(column) - (unit == NULL ? 0 : strlen(unit->end));
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++)
        if (ends_in(column, ends[i]))
            length = strlen(column) - strlen(ends[i]);
    (void)snprintf(buf, size, "%.*s", (int)length, column);
    for (char *c = buf; *c != '\0'; c++)
        if (*c == '_')
            *c = ' ';
}

struct detail_of {
    struct dairy *d;
    struct journal_detail *detail;
    char head[JOURNAL_LINE_MAX]; /* of the row that is being told */
};

static void add_line(struct journal_detail *detail, const char *line)
{
    if (detail->lines < JOURNAL_LINES_MAX)
        (void)snprintf(detail->line[detail->lines++], JOURNAL_LINE_MAX, "%s", line);
}

static int add_change(void *context, const struct journal_change *c, struct fail *f)
{
    struct detail_of *of = context;
    char head[JOURNAL_LINE_MAX], line[JOURNAL_LINE_MAX], name[64], before[120], after[120];
    if ((c->is_new && c->after[0] == '\0') || (c->is_gone && c->before[0] == '\0'))
        return 0; /* a field that was left empty */
    (void)snprintf(head, sizeof head, "%s %lld%s", c->table, (long long)c->id,
                   c->is_new    ? ", new"
                   : c->is_gone ? ", taken out"
                                : "");
    if (strcmp(head, of->head) != 0)
        add_line(of->detail, head);
    memcpy(of->head, head, sizeof head);
    column_words(c->column, name, sizeof name);
    if (value_words(of->d, c->column, c->before, before, sizeof before, f) != 0 ||
        value_words(of->d, c->column, c->after, after, sizeof after, f) != 0)
        return -1;
    if (c->is_new || c->is_gone)
        (void)snprintf(line, sizeof line, "  %s: %s", name, c->is_new ? after : before);
    else
        (void)snprintf(line, sizeof line, "  %s: %.100s, was %.100s", name, after, before);
    add_line(of->detail, line);
    return 0;
}

int dairy_journal_detail(struct dairy *d, int64_t entry, struct journal_detail *out, struct fail *f)
{
    struct detail_of of = {.d = d, .detail = out};
    out->lines = 0;
    return journal_changes(d->store, entry, add_change, &of, f);
}
