/* Pour arithmetic: whose milk, and how much of it, is in each jar.
 *
 * A mix is the milk of one vessel by lot (one cow's milk of one milking), in whole grams. Milk in one vessel
 * is mixed through, so whatever is taken out of it has the same parts; grams that do not divide go to the
 * largest remainders. No gram is lost or made: what is taken and what stays add up, lot by lot. */
#ifndef CORE_MILK_POUR_H
#define CORE_MILK_POUR_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/fail.h"
#include "core/base/working.h"

/* The most that a mix is made of: four cows, two milkings a day, over four days of topping up. */
enum { POUR_PARTS_MAX = 32 };

/* The most that a vessel holds: a tonne, so that sums stay exact. */
#define POUR_MASS_MAX_G INT64_C(1000000)

struct pour_part {
    int64_t lot;
    int64_t mass_g;
};

struct pour_mix {
    struct pour_part part[POUR_PARTS_MAX];
    size_t count;
};

int64_t pour_mass_g(const struct pour_mix *mix);

/* Grams of one lot in it; 0 if there are none. */
int64_t pour_lot_g(const struct pour_mix *mix, int64_t lot);

/* Pours mass_g of a lot into the mix. Refuses negative masses, more than a vessel holds, and more lots than a
 * mix keeps apart; the mix is then unchanged. */
int pour_add(struct pour_mix *mix, int64_t lot, int64_t mass_g, struct fail *f);

/* Pours all of `from` into `into`, which may be a jar that is part-filled. Fails as pour_add(). */
int pour_join(struct pour_mix *into, const struct pour_mix *from, struct fail *f);

/* Takes mass_g out of `from` into `out` (overwritten), lot by lot in proportion. Refuses more than there is.
 */
int pour_take(struct pour_mix *from, int64_t mass_g, struct pour_mix *out, struct fail *f);

/* Pours the whole mix into `jars` jars by their volumes, so that the weighed mass decides how much there is
 * and the jars only how it is shared. `from` is empty afterwards. Refuses no jars and jars without volume; at
 * most APPORTION_MAX jars. *density_kg_per_l (NULL allowed) is what mass and volumes come to: off from
 * about 1.03, a weight or a jar is wrong. */
int pour_out(struct pour_mix *from, const double volume_l[], size_t jars, struct pour_mix out[],
             double *density_kg_per_l, struct working *w, struct fail *f);

/* A jar topped up with other milk. */
struct pour_top_up {
    double blend_c; /* temperature of the two mixed */
    double most_kg; /* how much could be poured in without passing the limit; INFINITY if any amount could */
};

/* What pouring added_kg at added_c onto jar_kg at jar_c comes to, and how much keeps the blend at or below
 * limit_c. Equal specific heats. Refuses masses that are negative or both zero. */
int pour_top_up(double jar_kg, double jar_c, double added_kg, double added_c, double limit_c,
                struct pour_top_up *out, struct working *w, struct fail *f);

#endif
