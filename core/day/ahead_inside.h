/* For the files ahead*.c: rows are added part by part. */
#ifndef CORE_DAY_AHEAD_INSIDE_H
#define CORE_DAY_AHEAD_INSIDE_H

#include "core/day/ahead.h"
#include "core/day/inside.h"

/* A new row of that part and day, its name `kind` with the number of what it is about; NULL when the list is full or the
 * day is not known. */
struct ahead_row *ahead_add(struct ahead_view *v, const struct dairy *d, enum ahead_part part, struct date on,
                            const char *kind, int64_t of);
/* A name as a number (FNV-1a), for what has no row of its own: its event keeps its name whatever else there is. */
int64_t ahead_name_number(const char *name);
void ahead_preset(struct ahead_row *row, const char *key, const char *value);

int ahead_add_cows(struct dairy *d, struct ahead_view *v, struct fail *f);
int ahead_add_repeats(struct dairy *d, struct ahead_view *v, struct fail *f);
int ahead_add_chores(struct dairy *d, struct ahead_view *v, struct fail *f);
int ahead_add_shelf(struct dairy *d, struct ahead_view *v, struct fail *f);
int ahead_add_feed(struct dairy *d, struct ahead_view *v, struct fail *f);
int ahead_add_wash(struct dairy *d, struct ahead_view *v, struct fail *f);

#endif
