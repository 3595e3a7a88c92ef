#include "core/herd/lsq.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

/* A pivot that has lost all but this share of its diagonal is rounding, not information. */
#define PIVOT_LEAST 1e-13

void lsq_init(struct lsq *s, int terms)
{
    memset(s, 0, sizeof *s);
    s->terms = terms;
}

void lsq_add(struct lsq *s, const double *x, double y, double weight)
{
    for (int i = 0; i < s->terms; i++) {
        s->right[i] += weight * x[i] * y;
        for (int j = 0; j <= i; j++)
            s->square[i][j] += weight * x[i] * x[j];
    }
}

/* Lower triangle L with L L' = square. */
static bool factor(const struct lsq *s, double lower[LSQ_TERMS_MAX][LSQ_TERMS_MAX])
{
    for (int i = 0; i < s->terms; i++) {
        for (int j = 0; j <= i; j++) {
            double rest = s->square[i][j];
            for (int k = 0; k < j; k++)
                rest -= lower[i][k] * lower[j][k];
            if (j < i)
                lower[i][j] = rest / lower[j][j];
            else if (rest > PIVOT_LEAST * s->square[i][i])
                lower[i][i] = sqrt(rest);
            else
                return false;
        }
    }
    return true;
}

static void solve_factored(int terms, double lower[LSQ_TERMS_MAX][LSQ_TERMS_MAX], const double *right,
                           double *out)
{
    for (int i = 0; i < terms; i++) {
        out[i] = right[i];
        for (int k = 0; k < i; k++)
            out[i] -= lower[i][k] * out[k];
        out[i] /= lower[i][i];
    }
    for (int i = terms - 1; i >= 0; i--) {
        for (int k = i + 1; k < terms; k++)
            out[i] -= lower[k][i] * out[k];
        out[i] /= lower[i][i];
    }
}

bool lsq_solve(const struct lsq *s, double *beta, double inverse[LSQ_TERMS_MAX][LSQ_TERMS_MAX])
{
    double lower[LSQ_TERMS_MAX][LSQ_TERMS_MAX] = {{0}};
    if (!factor(s, lower))
        return false;
    solve_factored(s->terms, lower, s->right, beta);
    for (int j = 0; inverse != NULL && j < s->terms; j++) {
        double unit[LSQ_TERMS_MAX] = {0}, column[LSQ_TERMS_MAX];
        unit[j] = 1;
        solve_factored(s->terms, lower, unit, column);
        for (int i = 0; i < s->terms; i++)
            inverse[i][j] = column[i];
    }
    return true;
}
