/* Inside the forecast: a morning prepared for running. What the tub and the refrigerator do is worked out
 * once, with all lots in them (a timeline of short pieces); after that any one lot can be followed through
 * the timeline by itself, as often as fits and bands need it, in closed form piece by piece. */
#ifndef CORE_COOLING_SCENE_INSIDE_H
#define CORE_COOLING_SCENE_INSIDE_H

#include "core/cooling/forecast.h"
#include "core/cooling/tub.h"

/* What is not known exactly about one batch. The first four are logarithms: by how much its rate exceeds the
 * model's. */
enum unknown {
    U_STILL,  /* rate in still water */
    U_WATER,  /* in moved water */
    U_BOTH,   /* in moved water, swirled */
    U_AIR,    /* on the table and in the refrigerator */
    U_START,  /* K: poured warmer than said */
    U_BATH,   /* K: the water about it is warmer than the tub's */
    U_FRIDGE, /* K: the refrigerator is warmer than said */
    U_SHAPE,  /* standard deviations: how much more the rate falls as the milk nears the bath */
    U_LAG,    /* s: readings run late */
    UNKNOWNS
};

/* A normal distribution over the unknowns. */
struct belief {
    double mean[UNKNOWNS];
    double cov[UNKNOWNS][UNKNOWNS];
};

/* A batch with what the physics says about it. */
struct scene_batch {
    double volume_l, fat_pct, poured_c;
    double capacity_j_per_k;              /* of one jar */
    struct cooling_law law[SURROUNDINGS]; /* as filled; */
    bool law_known[SURROUNDINGS];         /* only those that the morning can meet are worked out */
    double ln_k_full[STIR_COUNT]; /* log rate per minute of the full jar at 20 K: what is learned about */
    struct belief belief;
};

/* Jars of one batch that have been together all the time. */
struct stay {
    double from, to;
    enum place place;
};

struct lot {
    size_t batch;
    int count;
    struct stay stay[BATCH_MOVES_MAX + 1]; /* one after another; the last runs to the end of the scene */
    size_t stays;
};

/* Constant surroundings for a while. */
struct piece {
    double from, to;
    double around_c;
    enum stir stir; /* of the tub; not used in the refrigerator */
};

enum { SCENE_LOTS_MAX = TUB_LOTS_MAX, TUB_PIECES_MAX = 800, FRIDGE_PIECES_MAX = 400 };

struct scene {
    const struct morning *morning;
    double from, to; /* times that the timeline covers */
    bool trial;      /* only to compare with: spreads are taken to one side, at half the cost */
    double room_c, fridge_c, fridge_w_per_k;
    struct scene_batch batch[BATCHES_MAX];
    struct lot lot[SCENE_LOTS_MAX];
    size_t lots;
    /* the timeline */
    struct piece tub[TUB_PIECES_MAX], fridge[FRIDGE_PIECES_MAX];
    size_t tub_pieces, fridge_pieces;
    double ice_gone_at;
    struct tub tub_now; /* water and ice at morning->now */
    bool tub_started;   /* by then */
};

/* Defaults filled in, laws worked out, jars sorted into lots by their moves; the timeline is to end at `to`.
 * A trial is prepared from the scene `before` (else NULL), whose laws it takes over. Refuses moves that
 * cannot be. */
int scene_prepare(const struct morning *morning, double to, const struct scene *before, struct scene *scene,
                  struct fail *f);

/* The law of a batch in a place, at its believed rate. */
struct cooling_law scene_law(const struct scene_batch *batch, enum place place, enum stir stir,
                             const double *unknown);

/* Works out the timeline with every batch at the mean of its belief. */
void scene_run(struct scene *scene);

/* --- following one lot --- */

/* Temperatures of a lot at `times` (in order), with those unknowns; NaN before it was poured and after it is
 * gone. */
void lot_temps(const struct scene *scene, const struct lot *lot, const double *unknown, const double *times,
               size_t count, double *temp_c);

/* First moments at or below each target within the timeline; NaN where there is none. */
void lot_crossings(const struct scene *scene, const struct lot *lot, const double *unknown,
                   const double *target_c, size_t count, double *at);

/* Which unknowns have a say in where this lot goes until `until`. */
void lot_unknowns(const struct scene *scene, const struct lot *lot, double until, bool say[UNKNOWNS]);

/* The stay at a time; NULL before it was poured. */
const struct stay *lot_stay(const struct lot *lot, double at);

/* Surroundings in the tub at a time. */
const struct piece *scene_tub_piece(const struct scene *scene, double at);

/* What the air in the refrigerator gains from `ua_w_per_k` of jars, as a factor on their rate: 1 is none. */
double fridge_factor(const struct scene *scene, double ua_w_per_k);

#endif
