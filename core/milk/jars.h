/* Jars: how much milk they hold, which to take for a milking, and where the pool of jars is. */
#ifndef CORE_MILK_JARS_H
#define CORE_MILK_JARS_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/quantity.h"
#include "core/base/working.h"
#include "core/cooling/jar.h"

/* ---- milk by volume and by weight ---- */

/* 8.6 lb to the US gallon: what the trade reckons with. Milk is a little denser cold than warm; where its
 * temperature is known, the measured density of core/cooling is the better one. */
#define MILK_LB_PER_GAL       8.6
#define MILK_DENSITY_KG_PER_L (MILK_LB_PER_GAL * KG_PER_LB / L_PER_GAL) /* 1.0305 */

double milk_mass_kg(double volume_l, double density_kg_per_l);
double milk_volume_l(double mass_kg, double density_kg_per_l);

/* ---- kinds and counts ---- */

enum { JARS_KINDS_MAX = JAR_KINDS_MAX };

/* A kind of jar, by what it holds when filled as this dairy fills it. Kinds stand in order of preference:
 * index 0 is taken first. */
struct jars_kind {
    char name[JAR_NAME_MAX]; /* "half-gallon", as in core/cooling/jar.h */
    double volume_l;
};

/* The kinds that a dairy has; every function below takes counts in an array parallel to kind[]. */
struct jars_kinds {
    struct jars_kind kind[JARS_KINDS_MAX];
    size_t count; /* 1 .. JARS_KINDS_MAX */
};

/* Reads "3xhalf-gallon,2xquart" into n[] (one number per kind, all set). "3 half-gallons", "quart" for one,
 * either case, a blank for the hyphen and "×" are taken; a kind named twice is added up. Refuses what is not
 * a kind (naming the kinds), numbers below 1 or over 999, and an empty list. */
int jars_parse(const char *text, const struct jars_kinds *kinds, int n[JARS_KINDS_MAX], struct fail *f);

/* Writes counts as jars_parse() reads them: "3xhalf-gallon,2xquart", or "" for none. Returns buf. */
const char *jars_format(const int n[JARS_KINDS_MAX], const struct jars_kinds *kinds, char *buf, size_t size);

/* For people: "3 half-gallon and 2 quart", "none". Returns buf. */
const char *jars_text(const int n[JARS_KINDS_MAX], const struct jars_kinds *kinds, char *buf, size_t size);

double jars_volume_l(const int n[JARS_KINDS_MAX], const struct jars_kinds *kinds);

/* ---- choosing ---- */

/* A jar filled to this part of its volume counts as full; milk beyond the jars taken, up to this part of
 * theirs, goes on top of them (a weighing is no better). Common practice, no source. */
#define JARS_FULL_PART 0.95
#define JARS_OVER_PART 0.01

struct jars_choice {
    int n[JARS_KINDS_MAX]; /* jars to take, by kind */
    int part_kind;         /* kind of the one jar that is not full, or -1 */
    double part_l;         /* milk in that jar */
    double short_l;        /* milk for which there is no jar; 0 when all of it has one */
};

/* Which jars for `volume_l` of milk, from clean[] jars: whole jars of the favourite kind as far as milk and
 * jars reach (then of the next kind, and so on); the rest in full smaller jars if it fits them exactly (at
 * most three), otherwise in the smallest jar that holds it. So at most one jar is part-filled. Refuses a
 * volume that is negative or not a number, and negative counts. */
int jars_choose(double volume_l, const struct jars_kinds *kinds, const int clean[JARS_KINDS_MAX],
                struct jars_choice *out, struct working *w, struct fail *f);

/* ---- the pool ---- */

/* Where a jar of the pool can be. NOT_OURS is the world outside: bought from, broken into. */
enum jars_state {
    JARS_NOT_OURS,
    JARS_CLEAN,  /* washed and dry: can be filled */
    JARS_FULL,   /* at home with milk in it */
    JARS_OUT,    /* with somebody */
    JARS_DIRTY,  /* back or emptied, not washed yet */
    JARS_BROKEN, /* or lost: owned once, will not be filled again */
    JARS_STATES
};

/* Counts by state and kind. n[JARS_NOT_OURS] is not used. */
struct jars_pool {
    int n[JARS_STATES][JARS_KINDS_MAX];
};

/* The word for a state: "clean", "out", ... */
const char *jars_state_word(enum jars_state state);

/* Moves `count` jars of a kind from one state to another. Refuses more than there are ("there are only 2
 * clean quart jars"), counts below 1, and moves from a state to itself; then the pool is unchanged. */
int jars_move(struct jars_pool *pool, const struct jars_kinds *kinds, size_t kind, enum jars_state from,
              enum jars_state to, int count, struct fail *f);

/* Jars that are ours and whole, of one kind: clean, full, out and dirty. */
int jars_owned(const struct jars_pool *pool, size_t kind);

/* Whether tomorrow's milk has jars. */
struct jars_ready {
    struct jars_choice choice; /* from the jars that are clean now */
    bool enough;               /* every drop has a clean jar */
    bool enough_if_washed;     /* it would, with the dirty jars washed */
    int wash;                  /* dirty jars of the favourite kinds to wash so that it is enough, else 0 */
};

/* Judges the pool against a forecast of `volume_l` (take the upper end of its band, so that a good day has
 * jars too). say[] is the answer in words. Fails as jars_choose(). */
int jars_judge(double volume_l, const struct jars_kinds *kinds, const struct jars_pool *pool,
               enum unit_system units, struct jars_ready *out, char say[static 160], struct working *w,
               struct fail *f);

/* How many jars a dairy needs in rotation: filled a day x (days out + days until washed) + spare, rounded up.
 */
int jars_pool_needed(double filled_per_day, double days_out, double days_in_wash, int spare);

#endif
