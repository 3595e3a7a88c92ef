/* Inside the forecast: what will become of one batch in a scene that has been run. */
#ifndef CORE_COOLING_OUTLOOK_INSIDE_H
#define CORE_COOLING_OUTLOOK_INSIDE_H

#include "core/cooling/scene_inside.h"

enum { OUTLOOK_SAMPLES = 72, OUTLOOK_MOMENTS = OUTLOOK_SAMPLES + LIMIT_CLAUSES_MAX + 1, MARKS = 3 };

/* One batch, by the lot that decides for it. */
struct outlook {
    const struct lot *lot;
    /* samples of mean and standard deviation from the pouring on, closer together at first */
    double at[OUTLOOK_MOMENTS], mean_c[OUTLOOK_MOMENTS], sd_k[OUTLOOK_MOMENTS];
    size_t count;
    bool say[UNKNOWNS]; /* unknowns that had a say */
    double deadline_at[LIMIT_CLAUSES_MAX];
    bool deadline_moves[LIMIT_CLAUSES_MAX];
    double chance[LIMIT_CLAUSES_MAX]; /* of being at or below each clause's temperature at its deadline */
    double over_k[LIMIT_CLAUSES_MAX]; /* by how much it is above it then */
    struct moment_band to_clause[LIMIT_CLAUSES_MAX], to_mark[MARKS];
    int binds; /* the clause hardest to keep; -1 without a limit */
    double probability;
    enum verdict verdict;
};

/* What no reading takes away from a rate: the rest of the way is not quite like the way so far. */
#define MODEL_SD 0.02

/* Half the width of a 90 % band, in standard deviations. */
#define BAND_SDS 1.6448536269514722

/* The lot that decides for a batch: the one that will be warmest when the limit's time is up. */
const struct lot *outlook_lot(const struct scene *scene, size_t batch);

void outlook_follow(const struct scene *scene, const struct lot *lot, struct outlook *out);

/* Mean or standard deviation between samples; NaN outside them. */
double outlook_mean_c(const struct outlook *outlook, double at);
double outlook_sd_k(const struct outlook *outlook, double at);

/* Pull-out: from an outlook of a lot that stays in the tub from now on. */
struct pull {
    double earliest_at, safe_at, latest_at; /* NaN: none */
};
void pull_make(const struct scene *scene, const struct outlook *stays, struct pull *out);

#endif
