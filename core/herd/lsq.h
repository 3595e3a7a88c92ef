/* Weighted linear least squares of a few terms by normal equations and Cholesky's method: rows are taken in
 * one by one, so no row is kept. Enough for curves of three or four terms; columns may differ in size, since
 * the pivots are judged relative to their own diagonal. */
#ifndef CORE_HERD_LSQ_H
#define CORE_HERD_LSQ_H

#include <stdbool.h>

enum { LSQ_TERMS_MAX = 4 };

struct lsq {
    int terms;
    double square[LSQ_TERMS_MAX][LSQ_TERMS_MAX]; /* sum of w x x' */
    double right[LSQ_TERMS_MAX];                 /* sum of w x y */
};

void lsq_init(struct lsq *s, int terms);

/* Takes in one row: y = x . beta with that weight (>= 0, the inverse of its variance). */
void lsq_add(struct lsq *s, const double *x, double y, double weight);

/* Finds beta; `inverse` (may be NULL) gets the inverse of the sum of w x x', which is beta's covariance when
 * the weights are inverse variances. False if the rows do not determine every term. */
bool lsq_solve(const struct lsq *s, double *beta, double inverse[LSQ_TERMS_MAX][LSQ_TERMS_MAX]);

#endif
