#include "core/day/journal_view.h"

#include <stdio.h>
#include <string.h>

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
    if (rows_each(d->store, &journal_table, "WHERE id < ?1 ORDER BY id DESC LIMIT 200",
                  (struct bind[]){BIND_ID(before == 0 ? INT64_MAX : before)}, 1, add_entry, out, f) != 0)
        return -1;
    for (size_t i = 0; i < out->entries; i++)
        if (journal_holds(d->store, out->entry[i].id, &out->entry[i].holds, f) != 0)
            return -1;
    if (out->entries == JOURNAL_PAGE)
        out->before = out->entry[JOURNAL_PAGE - 1].id;
    return 0;
}

static int add_line(void *context, const char *line, struct fail *f)
{
    (void)f;
    struct journal_detail *detail = context;
    if (detail->lines < JOURNAL_LINES_MAX)
        (void)snprintf(detail->line[detail->lines++], JOURNAL_LINE_MAX, "%s", line);
    return 0;
}

int dairy_journal_detail(struct dairy *d, int64_t entry, struct journal_detail *out, struct fail *f)
{
    out->lines = 0;
    return journal_changes(d->store, entry, add_line, out, f);
}
