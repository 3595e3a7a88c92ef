#include "core/day/trace_lines.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"

/* ---- names ---- */

static int names_add(struct name_list *n, int64_t id, const char *name, const char *contact,
                     const char *contact2, struct fail *f)
{
    if (n->count == n->room) {
        size_t room = n->room == 0 ? 32 : 2 * n->room;
        void *more = realloc(n->name, room * sizeof n->name[0]);
        if (more == NULL)
            return fail_memory(f);
        n->name = more;
        n->room = room;
    }
    n->name[n->count].id = id;
    (void)snprintf(n->name[n->count].name, sizeof n->name[0].name, "%s", name);
    (void)snprintf(n->name[n->count].contact, sizeof n->name[0].contact, "%s", contact);
    (void)snprintf(n->name[n->count].contact2, sizeof n->name[0].contact2, "%s", contact2);
    n->count++;
    return 0;
}

static int take_cow(void *context, const void *row, struct fail *f)
{
    const struct cow_row *c = row;
    return names_add(context, c->id, c->name, "", "", f);
}

static int take_person(void *context, const void *row, struct fail *f)
{
    const struct person_row *p = row;
    return names_add(context, p->id, p->name, p->contact, p->contact2, f);
}

int who_load(struct dairy *d, struct who *w, struct fail *f)
{
    *w = (struct who){0};
    return rows_each(d->store, &cow_table, "", NULL, 0, take_cow, &w->cows, f) != 0 ||
                   rows_each(d->store, &person_table, "", NULL, 0, take_person, &w->people, f) != 0
               ? -1
               : 0;
}

void who_release(struct who *w)
{
    free(w->cows.name);
    free(w->people.name);
}

static ptrdiff_t name_of(const struct name_list *n, int64_t id)
{
    for (size_t i = 0; i < n->count; i++)
        if (n->name[i].id == id)
            return (ptrdiff_t)i;
    return -1;
}

const char *who_cow(const struct who *w, int64_t id)
{
    ptrdiff_t i = name_of(&w->cows, id);
    return i < 0 ? "?" : w->cows.name[i].name;
}

/* ---- lines ---- */

/* Cheese keeps for months and is eaten: milk that became cheese is not done with. */
static bool is_settled(enum jar_place place)
{
    return !place_at_home(place) && place != AT_GIVEN && place != AT_CHEESE;
}

void trace_line_fill(const struct trace_record *r, const struct who *w, const struct trace_row *row,
                     struct trace_line *l)
{
    const struct batch_row *b = &r->batch_row[row->batch];
    ptrdiff_t person = row->person == 0 ? -1 : name_of(&w->people, row->person);
    *l = (struct trace_line){.batch_id = b->id,
                             .person_id = row->person,
                             .place = row->place,
                             .count = row->count,
                             .here_since = row->here_since,
                             .carries_since = row->carries_since,
                             .settled = is_settled(row->place)};
    (void)snprintf(l->code, sizeof l->code, "%.15s", b->code);
    (void)snprintf(l->kind, sizeof l->kind, "%s", b->kind);
    if (person < 0)
        return;
    (void)snprintf(l->person, sizeof l->person, "%s", w->people.name[person].name);
    (void)snprintf(l->contact, sizeof l->contact, "%s", w->people.name[person].contact);
    (void)snprintf(l->contact2, sizeof l->contact2, "%s", w->people.name[person].contact2);
}

/* What can still be done comes first: at home, then with people, then cheese; then what is gone. Older batches
 * before newer. */
static int line_rank(const struct trace_line *l)
{
    return l->settled ? 3 : l->place == AT_CHEESE ? 2 : l->place == AT_GIVEN ? 1 : 0;
}

static int by_rank(const void *a, const void *b)
{
    const struct trace_line *x = a, *y = b;
    if (line_rank(x) != line_rank(y))
        return line_rank(x) - line_rank(y);
    if (x->batch_id != y->batch_id)
        return x->batch_id < y->batch_id ? -1 : 1;
    return (x->here_since.s > y->here_since.s) - (x->here_since.s < y->here_since.s);
}

void cow_list_add(char *cows, size_t size, const char *name)
{
    const char *at = strstr(cows, name);
    size_t length = strlen(name);
    if (at != NULL && (at == cows || at[-1] == ' ') && (at[length] == '\0' || at[length] == ','))
        return;
    (void)text_append(cows, size, "%s%s", cows[0] == '\0' ? "" : ", ", name);
}

void trace_lines_sort(struct trace_line *line, size_t count)
{
    qsort(line, count, sizeof *line, by_rank);
}
