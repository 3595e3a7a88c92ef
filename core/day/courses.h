/* A cow's courses of treatment as recorded, each with its doses. For core/day alone. */
#ifndef CORE_DAY_COURSES_H
#define CORE_DAY_COURSES_H

#include "core/day/inside.h"
#include "core/herd/treatment.h"
#include "core/store/rows_herd.h"

struct course {
    struct treatment_row row;
    struct instant first_dose_at, last_dose_at; /* INSTANT_NONE: no dose is recorded */
    int doses;
    char given_by[64]; /* the first dose */
};

/* Her courses that can still bear on milk drawn, or meat, at `from` and later; {INT64_MIN + 1}: all she ever
 * had. In the order in which they were recorded. *out is the caller's to free(). */
int courses_load(struct dairy *d, int64_t cow_id, struct instant from, struct course **out, size_t *count,
                 struct fail *f);

/* One course by the number of its treatment. */
int course_load(struct dairy *d, int64_t treatment_id, struct course *out, struct fail *f);

/* The whole record of a course, as an inspector reads it. */
void course_record(const struct course *c, const struct cow_row *cow, struct treatment *out);

#endif
