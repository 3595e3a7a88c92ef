/* The record of a treatment, complete enough for an inspector and a veterinarian. Every number on it is typed
 * from the label or the veterinarian's written instruction; the program supplies none.
 * Items: American Veterinary Medical Association, summary of the Animal Medicinal Drug Use Clarification Act;
 * Connecticut Regulations section 22-203c-8 (producers of raw milk with up to ten animals); Washington State
 * University, drug residue records; Pasteurized Milk Ordinance, item 15r. */
#ifndef CORE_HERD_TREATMENT_H
#define CORE_HERD_TREATMENT_H

#include <stdbool.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/herd/hold.h"

enum { TREATMENT_TEXT_MAX = 120, TREATMENT_KEEP_DAYS_MIN = 731 };

struct treatment {
    char cow[TREATMENT_TEXT_MAX];       /* name and tag */
    char condition[TREATMENT_TEXT_MAX]; /* what she is treated for */
    char product[TREATMENT_TEXT_MAX];   /* drug as it stands on the label */
    char active[TREATMENT_TEXT_MAX];    /* active ingredient */
    char dose[TREATMENT_TEXT_MAX];      /* amount each time, in the label's words */
    char route[TREATMENT_TEXT_MAX];     /* in the muscle, under the skin, by mouth, into the quarter ... */
    char course[TREATMENT_TEXT_MAX];    /* how often and for how long */
    char given_by[TREATMENT_TEXT_MAX];  /* who gave it */
    char prescribed_by[TREATMENT_TEXT_MAX]; /* veterinarian, with address; "" when bought over the counter */
    char maker[TREATMENT_TEXT_MAX];         /* maker or dispenser as the label names it, with lot if wanted */
    bool extra_label; /* used otherwise than the label says, on the veterinarian's order */
    struct instant first_dose_at, last_dose_at; /* the moments of the doses given so far */
    bool doses_to_come;                         /* the course is not finished */
    bool dry_cow;                               /* a product for the dry udder */
    double milk_hours;  /* withholding of milk; 0 is a number and is recorded; NaN: not typed yet */
    double meat_days;   /* withholding of meat; likewise */
    double dry_days;    /* dry-cow product: least days dry after the dose; NaN: not typed yet */
    double fresh_hours; /* dry-cow product: hours after calving; NaN: not typed */
    int fresh_milkings; /* dry-cow product: milkings after calving, as the label counts them; 0: none named */
};

/* The name of the first item that the records need and that is missing ("the route"), or NULL when complete.
 */
const char *treatment_missing(const struct treatment *t);

/* What the treatment means for her milk. out->name borrows t->product. */
void treatment_hold(const struct treatment *t, struct hold *out);

/* Reads withholding hours from what a label says: "96h", "96 hours", "4d", a bare number of hours. Refuses a
 * count of milkings: it is never turned into hours. */
int withhold_hours_parse(const char *text, double *hours, struct fail *f);

#endif
