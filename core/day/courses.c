#include "core/day/courses.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"

static int add_dose(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct course *c = context;
    const struct dose_row *dose = row;
    if (c->doses++ == 0) {
        c->first_dose_at = dose->at;
        (void)snprintf(c->given_by, sizeof c->given_by, "%s", dose->given_by);
    }
    c->last_dose_at = dose->at;
    return 0;
}

static int add_doses(struct dairy *d, struct course *c, struct fail *f)
{
    c->first_dose_at = c->last_dose_at = INSTANT_NONE;
    return rows_each(d->store, &dose_table, "WHERE treatment_id = ?1 ORDER BY at, id",
                     (struct bind[]){BIND_ID(c->row.id)}, 1, add_dose, c, f);
}

/* Label times are at most a year. A course older than that matters only while something about it is not
 * known, or while a dry-cow product waits for the calving after it. */
static const char bearing_on[] =
    "WHERE cow_id = ?1 AND (doses_to_come = 1 OR (dry_cow = 0 AND milk_s IS NULL)"
    " OR ifnull((SELECT max(at) FROM dose WHERE treatment_id = treatment.id), ?2) >= ?2 - 40000000"
    " OR (dry_cow = 1 AND ifnull((SELECT max(at) FROM calving WHERE cow_id = ?1 AND at < ?2 - 40000000)"
    " < (SELECT min(at) FROM dose WHERE treatment_id = treatment.id), 1))) ORDER BY id";

int courses_load(struct dairy *d, int64_t cow_id, struct instant from, struct course **out, size_t *count,
                 struct fail *f)
{
    struct treatment_row *rows;
    int result = 0;
    *out = NULL;
    if (rows_load(d->store, &treatment_table, bearing_on, (struct bind[]){BIND_ID(cow_id), BIND_AT(from)}, 2,
                  (void **)&rows, count, f) != 0)
        return -1;
    *out = calloc(*count + 1, sizeof **out);
    if (*out == NULL)
        result = fail_memory(f);
    for (size_t i = 0; i < *count && result == 0; i++) {
        (*out)[i].row = rows[i];
        result = add_doses(d, &(*out)[i], f);
    }
    free(rows);
    return result;
}

int course_load(struct dairy *d, int64_t treatment_id, struct course *out, struct fail *f)
{
    memset(out, 0, sizeof *out);
    return row_load(d->store, &treatment_table, treatment_id, &out->row, f) != 0 ? -1 : add_doses(d, out, f);
}

static double part_of(int64_t seconds, double unit_s)
{
    return seconds == ROW_NONE ? (double)NAN : (double)seconds / unit_s;
}

void course_record(const struct course *c, const struct cow_row *cow, struct treatment *out)
{
    const struct treatment_row *r = &c->row;
    memset(out, 0, sizeof *out);
    (void)snprintf(out->cow, sizeof out->cow, "%s%s%s", cow->name, cow->tag[0] == '\0' ? "" : ", tag ",
                   cow->tag);
    text_copy(out->condition, sizeof out->condition, r->condition);
    text_copy(out->product, sizeof out->product, r->product);
    text_copy(out->active, sizeof out->active, r->active);
    text_copy(out->dose, sizeof out->dose, r->dose);
    text_copy(out->route, sizeof out->route, r->route);
    text_copy(out->course, sizeof out->course, r->course);
    text_copy(out->given_by, sizeof out->given_by, c->given_by);
    text_copy(out->prescribed_by, sizeof out->prescribed_by, r->prescribed_by);
    text_copy(out->maker, sizeof out->maker, r->maker);
    out->extra_label = r->extra_label == 1;
    out->first_dose_at = c->first_dose_at;
    out->last_dose_at = c->last_dose_at;
    out->doses_to_come = r->doses_to_come == 1;
    out->dry_cow = r->dry_cow == 1;
    out->milk_hours = part_of(r->milk_s, 3600);
    out->meat_days = part_of(r->meat_s, 86400);
    out->dry_days = part_of(r->dry_s, 86400);
    out->fresh_hours = part_of(r->fresh_s, 3600);
    out->fresh_milkings = r->fresh_milkings == ROW_NONE ? 0 : (int)r->fresh_milkings;
}
