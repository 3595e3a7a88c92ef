/* Lines of a trace, with the names that belong to them. For core/day alone. */
#ifndef CORE_DAY_TRACE_LINES_H
#define CORE_DAY_TRACE_LINES_H

#include "core/day/trace_record.h"
#include "core/day/trace_view.h"

struct name_list {
    struct {
        int64_t id;
        char name[64], contact[80], contact2[80];
    } * name;
    size_t count, room;
};

/* Cows and people, also those who left: their names still belong to their milk. */
struct who {
    struct name_list cows, people;
};

/* Release with who_release(), also after a failure. */
int who_load(struct dairy *d, struct who *w, struct fail *f);
void who_release(struct who *w);

/* Her name; "?" when there is no such cow. */
const char *who_cow(const struct who *w, int64_t id);

/* Adds a name to a list of names, once. */
void cow_list_add(char *cows, size_t size, const char *name);

/* Fills a line from a row of a trace, without its cows. */
void trace_line_fill(const struct trace_record *r, const struct who *w, const struct trace_row *row,
                     struct trace_line *l);

/* What can still be done about comes first: at home, then with people; then what is gone. Older batches
 * before newer. */
void trace_lines_sort(struct trace_line *line, size_t count);

#endif
