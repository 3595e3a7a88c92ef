/* Cells in milk: the paddle test (California mastitis test) and the cell count with its linear score. */
#ifndef CORE_HERD_CELLS_H
#define CORE_HERD_CELLS_H

#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"

enum cmt { CMT_NEGATIVE, CMT_TRACE, CMT_1, CMT_2, CMT_3, CMT_SCORES };

/* "N", "0", "-", "T", "1", "2", "3" and the words "negative", "trace". What the paddle shows, never a count.
 */
int cmt_parse(const char *text, enum cmt *out, struct fail *f);

const char *cmt_code(enum cmt score); /* "N", "T", "1", "2", "3" */
const char *cmt_word(enum cmt score); /* "negative", "trace", "weak", "distinct", "strong" */

/* Cells per mL that such a reaction stands for; *high is INFINITY for the last. The ranges overlap, so a
 * score is kept as a score. N, T and 1: The California mastitis test, Livestock (UK); 2 and 3 from memory. */
void cmt_range(enum cmt score, double *low_per_ml, double *high_per_ml);

#define CELLS_INFECTED_PER_ML 200000.0 /* a cow or quarter probably infected: from memory */
#define CELLS_SUSPECT_PER_ML  100000.0 /* linear score 3, read as suspect: Michigan State University */

/* Linear score log2(cells / 100 000) + 3 (cells > 0, else NaN), and back. */
double cells_linear_score(double cells_per_ml);
double cells_from_score(double linear_score);

/* Geometric mean: its score is the mean of the scores. NaN if n is 0 or a count is not positive. */
double cells_mean_per_ml(const double *cells_per_ml, size_t n);

/* How a linear score is read: "no sign of infection", "low", "suspect" ... Static; "" for NaN. */
const char *cells_reading(double linear_score);

/* The score of a count, or the count of a score; the one that is not given is NaN. Fails on both, neither, or
 * a count that is not positive. */
int cells_reckon(double cells_per_ml, double linear_score, struct working *w, struct fail *f);

#endif
