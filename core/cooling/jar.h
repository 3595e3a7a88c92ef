/* A jar of milk and how fast it loses its heat. Kinds of jar are data (assets/jars.csv); the rate comes from
 * three resistances in series: the film of milk inside the wall, the wall, the film of water or air outside.
 *
 * Films of free convection follow Churchill and Chu (1975), moved water Churchill and Bernstein (1977). The
 * film of still ice water is the weak point: water is densest at 4 °C, so near the bath's temperature the
 * forces that would stir it nearly cancel. Its figures are honest to about 40 %; see jar_rate.spread. */
#ifndef CORE_COOLING_JAR_H
#define CORE_COOLING_JAR_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/cooling/law.h"

enum jar_material { JAR_GLASS, JAR_STEEL, JAR_MATERIALS };

enum { JAR_NAME_MAX = 32, JAR_KINDS_MAX = 24 };

/* One kind of jar, taken as an upright cylinder filled to its mark. */
struct jar_kind {
    char name[JAR_NAME_MAX]; /* one word as typed: "half-gallon" */
    double volume_l;         /* milk in it when filled to its mark */
    double liquid_height_m;  /* height of that milk */
    double outside_diameter_m;
    double wall_m;   /* mean thickness of wall and bottom */
    double empty_kg; /* the jar without its lid */
    enum jar_material material;
    char source[32]; /* where the figures come from: an id of assets/sources.csv */
};

struct jar_list {
    struct jar_kind kind[JAR_KINDS_MAX];
    size_t count;
};

/* The kinds of assets/jars.csv, in the order of that file (which is the order to offer them in). Fails only
 * if the table itself is broken; the sentence names the row. */
int jar_list_load(struct jar_list *out, struct fail *f);

/* The kind of that name in any case ("Half-gallon"), or NULL. Borrowed from the list. */
const struct jar_kind *jar_find(const struct jar_list *list, const char *name);

/* As jar_find(), but says which names there are when there is no such kind. NULL and *f on failure. */
const struct jar_kind *jar_need(const struct jar_list *list, const char *name, struct fail *f);

/* Refuses a kind that cannot be: no volume, a wall thicker than the radius, a height that does not hold the
 * volume within a fifth. For kinds that come from a caller. */
int jar_kind_check(const struct jar_kind *kind, struct fail *f);

/* What a jar stands in, and what moves. */
enum stir {
    STIR_STILL, /* still jar in still water: "no" */
    STIR_WATER, /* the water moves past the jar, about 0.1 m/s: "water" */
    STIR_BOTH,  /* the water moves and the jar is swirled: "both" */
    STIR_COUNT
};

/* "no", "water", "both": the words of stir= everywhere. */
const char *stir_word(enum stir stir);

enum surrounding { IN_WATER_STILL, IN_WATER_MOVED, IN_WATER_BOTH, IN_AIR, SURROUNDINGS };

static inline enum surrounding surrounding_of_stir(enum stir stir)
{
    return stir == STIR_STILL ? IN_WATER_STILL : stir == STIR_WATER ? IN_WATER_MOVED : IN_WATER_BOTH;
}

/* A jar of milk in its surroundings, at one moment. */
struct jar_rate {
    double h_inside_w_per_m2k, h_outside_w_per_m2k;
    double inside_k_per_w, wall_k_per_w, outside_k_per_w; /* resistances in series */
    double ua_w_per_k;                                    /* their sum, inverted */
    double wall_inside_c, wall_outside_c;                 /* temperatures of the wall's two faces */
    double milk_kg;
    double milk_j_per_k;     /* heat capacity of the milk */
    double capacity_j_per_k; /* milk and the share of the jar that cools with it */
    double k_per_min;        /* ua / capacity */
    double biot;        /* (wall and outside film) against milk, on volume / area: above 0.1 a solid would
                           not cool as one lump, and it is the milk's own movement that mixes it */
    double biot_radius; /* same on the radius, as the series solution for a cylinder takes it */
    double spread;      /* one standard deviation of ln ua: what the estimate may be out by */
};

/* Rate of `volume_l` of milk of `fat_pct` at milk_c in a jar of that kind, the surroundings at around_c (both
 * -2..100 °C). A volume below the jar's mark lowers the wetted height. Air counts radiation at emissivity
 * 0.9. */
void jar_rate_at(const struct jar_kind *kind, double volume_l, double fat_pct, enum surrounding in,
                 double milk_c, double around_c, struct jar_rate *out);

/* Same for a full jar, with its working. */
void jar_rate_work(const struct jar_kind *kind, double fat_pct, enum surrounding in, double milk_c,
                   double around_c, struct jar_rate *out, struct working *w);

/* The difference at which laws of jars state their rate. */
#define LAW_SPAN_K 20.0

/* The law that the rate follows as the milk nears its surroundings: fitted to jar_rate_at() so that it takes
 * the same time from milk_c to 6 K above the surroundings, and to the (geometric) middle of that way. The
 * exponential law where its exponent comes out below LAW_EXPONENT_LEAST, else the power law. */
void jar_law(const struct jar_kind *kind, double volume_l, double fat_pct, enum surrounding in, double milk_c,
             double around_c, struct cooling_law *out);

/* Heat capacity in J/K of one jar: its milk and half of the jar; and of the whole empty jar. */
double jar_capacity_j_per_k(const struct jar_kind *kind, double volume_l, double fat_pct);
double jar_empty_j_per_k(const struct jar_kind *kind);

#endif
