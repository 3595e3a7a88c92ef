/* Weights brought in from a spreadsheet: looked at first, row by row and against the records, then taken in
 * by the act `weights`, all of them or none. */
#ifndef CORE_DAY_WEIGHTS_H
#define CORE_DAY_WEIGHTS_H

#include "core/day/dairy.h"
#include "core/herd/weights_csv.h"

enum { WEIGHTS_COWS_MAX = 16, WEIGHTS_FAULTS_MAX = 100, WEIGHTS_FAULT_TEXT = 200 };

/* What was understood of the file. */
struct weights_view {
    enum unit_system units;
    struct weights_preview preview; /* of the file by itself */
    struct weights_of {
        char name[64];
        size_t rows;
        struct date first_on, last_on;
    } cow[WEIGHTS_COWS_MAX]; /* whose they are; more than fit are not listed */
    size_t cows;
    size_t good, tests; /* rows that would be taken in, and how many have fat, protein or cells */
    struct weights_fault {
        size_t line;
        char text[WEIGHTS_FAULT_TEXT];
    } fault[WEIGHTS_FAULTS_MAX]; /* the first wrong rows, in the order of the file */
    size_t faults;               /* all of them */
};

/* Looks at what a form of the act `weights` would take in. About 30 kB: the caller keeps one. Fails when the
 * file cannot be read or its heading is not understood; wrong rows are no failure. */
int dairy_weights_look(struct dairy *d, const struct form *form, struct instant now, struct weights_view *out,
                       struct fail *f);

/* "412 weights of Maud and Tib, 2 Jan to 30 Apr 2026". Returns buf. */
const char *weights_summary(const struct weights_view *v, char *buf, size_t size);

#endif
