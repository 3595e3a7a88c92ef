/* Inside the forecast: what is believed about a batch's rate before it is read, and what readings make of
 * that. */
#ifndef CORE_COOLING_LEARN_INSIDE_H
#define CORE_COOLING_LEARN_INSIDE_H

#include "core/cooling/scene_inside.h"

/* What one batch's readings alone say about its rate under one stirring: another batch of the same kind may
 * use it. */
struct evidence {
    bool known;
    enum stir stir;
    double mean, variance; /* of the unknown U_STILL + stir */
};

/* Before any reading of this morning: the jar model with its spread, and what earlier mornings taught. */
void belief_prior(const struct scene *scene, size_t batch, struct belief *out);

/* Takes in what another batch of the same kind showed this morning. */
void belief_share(struct belief *belief, const struct evidence *evidence);

struct lesson {
    struct belief belief; /* after the readings */
    struct evidence evidence;
    enum stir stir; /* under which most readings fell */
    int used, wild;
    double wild_at[4];
};

/* Fits the batch's readings up to now, taken of `lot`, to the timeline as it stands. With no reading the
 * belief is the prior. */
void learn(const struct scene *scene, const struct lot *lot, const struct belief *prior, struct lesson *out);

/* Cholesky factor of a symmetric positive matrix in place (lower triangle); rows of zeros are allowed and
 * stay zero. */
void cholesky(size_t n, double a[UNKNOWNS][UNKNOWNS]);

#endif
