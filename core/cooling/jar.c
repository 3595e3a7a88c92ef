#include "core/cooling/jar.h"

#include <math.h>
#include <stddef.h>

#include "core/cooling/conduct.h"
#include "core/cooling/film.h"
#include "core/cooling/matter.h"

#define PI                3.14159265358979323846
#define MOVED_WATER_M_S   0.1    /* a small pump or a paddle now and then: common practice, no source */
#define SWIRLED_W_PER_M2K 1000.0 /* inside film of a jar that is swirled: assumed, no source */
#define JAR_EMISSIVITY    0.9    /* glass, painted or wet metal */

const char *stir_word(enum stir stir)
{
    static const char *const words[STIR_COUNT] = {"no", "water", "both"};
    return words[stir];
}

/* One standard deviation of ln(ua). Still water: "good to 40 %" taken as the 90 % band, as the published
 * measurements bear out; the others are judgements. */
static const double spreads[SURROUNDINGS] = {
    [IN_WATER_STILL] = 0.205, [IN_WATER_MOVED] = 0.13, [IN_WATER_BOTH] = 0.2, [IN_AIR] = 0.15};

/* The wetted shape of a jar with `volume_l` in it. */
struct wetted {
    double height_m, inside_m2, middle_m2, outside_m2; /* side and bottom */
};

static void wetted_by(const struct jar_kind *kind, double volume_l, struct wetted *out)
{
    double outside = kind->outside_diameter_m, inside = outside - 2 * kind->wall_m;
    double height = kind->liquid_height_m * volume_l / kind->volume_l;
    out->height_m = height;
    out->inside_m2 = PI * inside * (height + inside / 4);
    out->outside_m2 = PI * outside * (height + outside / 4);
    out->middle_m2 = (out->outside_m2 - out->inside_m2) / log(out->outside_m2 / out->inside_m2);
}

double jar_empty_j_per_k(const struct jar_kind *kind)
{
    return kind->empty_kg * (kind->material == JAR_GLASS ? GLASS_HEAT_J_PER_KGK : STEEL_HEAT_J_PER_KGK);
}

static double wall_conductivity(const struct jar_kind *kind)
{
    return kind->material == JAR_GLASS ? GLASS_W_PER_MK : STEEL_W_PER_MK;
}

static double inside_film(enum surrounding in, double milk_c, double wall_c, double fat_pct, double height_m)
{
    struct fluid milk;
    if (in == IN_WATER_BOTH)
        return SWIRLED_W_PER_M2K;
    milk_at((milk_c + wall_c) / 2, fat_pct, &milk);
    return film_free(&milk, height_m, MILK_EXPANSION_PER_K * fabs(milk_c - wall_c));
}

static double outside_film(enum surrounding in, double wall_c, double around_c, double height_m,
                           double diameter_m)
{
    struct fluid fluid;
    double film_c = (wall_c + around_c) / 2;
    if (in == IN_AIR) {
        air_at(film_c, &fluid);
        return film_free(&fluid, height_m, fabs(wall_c - around_c) / (film_c + 273.15)) +
               film_radiation(JAR_EMISSIVITY, wall_c, around_c);
    }
    water_at(film_c, &fluid);
    if (in == IN_WATER_STILL)
        return film_free(&fluid, height_m, water_lift(around_c, wall_c));
    return film_cross(&fluid, diameter_m, MOVED_WATER_M_S);
}

/* The two films depend on the wall's temperatures and these on the films: repeated until they are settled.
 * Out comes the share of the difference that lies inside and outside the wall's two faces; as a first guess
 * for the next differences these save most of the rounds. */
struct settled {
    double inside, outside;
    double within; /* settled when the outer share changes by less than this */
};

#define WITHIN_EXACT 1e-9
#define WITHIN_LAW   1e-3 /* moves a rate by a few parts in ten thousand */

static void settle_films(const struct jar_kind *kind, const struct wetted *wet, double fat_pct,
                         enum surrounding in, double milk_c, double around_c, struct settled *share,
                         struct jar_rate *r)
{
    double apart = milk_c - around_c;
    r->wall_k_per_w = wall_k_per_w(kind->wall_m, wall_conductivity(kind), wet->middle_m2);
    for (int i = 0; i < 30; i++) {
        double before = share->outside;
        r->wall_inside_c = milk_c - apart * share->inside;
        r->wall_outside_c = around_c + apart * share->outside;
        r->h_inside_w_per_m2k = inside_film(in, milk_c, r->wall_inside_c, fat_pct, wet->height_m);
        r->h_outside_w_per_m2k =
            outside_film(in, r->wall_outside_c, around_c, wet->height_m, kind->outside_diameter_m);
        r->inside_k_per_w = film_k_per_w(r->h_inside_w_per_m2k, wet->inside_m2);
        r->outside_k_per_w = film_k_per_w(r->h_outside_w_per_m2k, wet->outside_m2);
        r->ua_w_per_k = series_w_per_k(r->inside_k_per_w, r->wall_k_per_w, r->outside_k_per_w);
        share->inside = r->ua_w_per_k * r->inside_k_per_w;
        share->outside = r->ua_w_per_k * r->outside_k_per_w;
        if (fabs(share->outside - before) < share->within)
            break;
    }
}

static struct settled first_guess(enum surrounding in, double within)
{
    return in == IN_AIR ? (struct settled){0.05, 0.9, within} : (struct settled){0.3, 0.3, within};
}

void jar_rate_at(const struct jar_kind *kind, double volume_l, double fat_pct, enum surrounding in,
                 double milk_c, double around_c, struct jar_rate *out)
{
    struct wetted wet;
    struct fluid milk;
    struct settled share = first_guess(in, WITHIN_EXACT);
    wetted_by(kind, volume_l, &wet);
    settle_films(kind, &wet, fat_pct, in, milk_c, around_c, &share, out);
    milk_at(MILK_USUAL_C, fat_pct, &milk);
    out->milk_kg = volume_l * 1e-3 * milk.density_kg_per_m3;
    out->milk_j_per_k = volume_l * milk_j_per_l_k(fat_pct);
    out->capacity_j_per_k = jar_capacity_j_per_k(kind, volume_l, fat_pct);
    out->k_per_min = 60 * lumped_per_s(out->ua_w_per_k, out->capacity_j_per_k);
    double beyond = 1 / ((out->wall_k_per_w + out->outside_k_per_w) * wet.inside_m2);
    out->biot = biot_number(beyond, volume_l * 1e-3 / wet.inside_m2, milk.conductivity_w_per_mk);
    out->biot_radius =
        biot_number(beyond, kind->outside_diameter_m / 2 - kind->wall_m, milk.conductivity_w_per_mk);
    out->spread = spreads[in];
}

double jar_capacity_j_per_k(const struct jar_kind *kind, double volume_l, double fat_pct)
{
    /* The wall's mean is about halfway between milk and water, so half of it cools with the milk. In air it
     * goes nearly all with the milk; these few per cent are within the spread of air's figures. */
    return volume_l * milk_j_per_l_k(fat_pct) + jar_empty_j_per_k(kind) / 2;
}

static void show_jar(const struct jar_kind *kind, double fat_pct, const struct jar_rate *r, struct working *w)
{
    working_given_text(w, "jar", kind->name, ORIGIN_GIVEN);
    working_given(w, "volume_l", kind->volume_l, ORIGIN_RECORDED);
    working_given(w, "liquid_height_m", kind->liquid_height_m, ORIGIN_RECORDED);
    working_given(w, "outside_diameter_m", kind->outside_diameter_m, ORIGIN_RECORDED);
    working_given(w, "wall_mm", kind->wall_m * 1000, ORIGIN_RECORDED);
    working_given(w, "empty_kg", kind->empty_kg, ORIGIN_RECORDED);
    working_given(w, "wall_w_per_mk", wall_conductivity(kind), ORIGIN_CONSTANT);
    working_given(w, "fat_pct", fat_pct, ORIGIN_DEFAULT);
    working_given(w, "milk_kj_per_lk", milk_j_per_l_k(fat_pct) / 1000, ORIGIN_CONSTANT);
    working_step(w, "inside film %.0f W/m2K, outside %.0f; wall %.1f C inside, %.1f C outside",
                 r->h_inside_w_per_m2k, r->h_outside_w_per_m2k, r->wall_inside_c, r->wall_outside_c);
    working_step(w, "resistances %.5f + %.5f + %.5f K/W (film, wall, film); UA is 1 / their sum = %.3f W/K",
                 r->inside_k_per_w, r->wall_k_per_w, r->outside_k_per_w, r->ua_w_per_k);
    working_step(w, "C = milk + half of the jar = %.0f J/K; k = 60 UA / C = %.5f per min",
                 r->capacity_j_per_k, r->k_per_min);
    working_step(w, "good to about %.0f %% either way (nine in ten)", 100 * expm1(1.645 * r->spread));
}

void jar_rate_work(const struct jar_kind *kind, double fat_pct, enum surrounding in, double milk_c,
                   double around_c, struct jar_rate *out, struct working *w)
{
    jar_rate_at(kind, kind->volume_l, fat_pct, in, milk_c, around_c, out);
    if (w == NULL)
        return;
    show_jar(kind, fat_pct, out, w);
    working_source(w, kind->source);
    working_source(w, "churchill-chu");
    if (in == IN_WATER_MOVED || in == IN_WATER_BOTH)
        working_source(w, "churchill-bernstein");
    working_source(w, "choi-okos");
    working_source(w, "bakshi-smith");
    working_source(w, "perry");
    if (in == IN_WATER_STILL)
        working_caution(
            w, "Still ice water is the weak point: water is densest at 4 C, and the film may be out by 40 %. "
               "Two readings are better than this estimate.");
    if (out->biot > 0.1)
        working_step(w, "Biot %.1f: a solid would not cool as one lump; the milk's own movement mixes it",
                     out->biot);
}

/* Rates at differences falling evenly in their logarithms from the first to the last. */
enum { LAW_NODES = 5 };
#define LAW_LAST_K   6.0 /* about where 45 °F lies above a tub of ice */
#define LAW_WARMER_K 12.0

struct node {
    const struct jar_kind *kind;
    struct wetted wet;
    double fat_pct, around_c;
    enum surrounding in;
    struct settled share; /* as the node before left it */
};

static double node_ua(struct node *node, double delta_k)
{
    struct jar_rate r;
    settle_films(node->kind, &node->wet, node->fat_pct, node->in, node->around_c + delta_k, node->around_c,
                 &node->share, &r);
    return r.ua_w_per_k;
}

/* The time from one difference to another is the integral of d(ln difference) / k: Simpson's rule takes it
 * from the first to the middle and from there to the last. Under the power law the second time is the first
 * one's (first / middle)^n, which gives n; and the whole time gives k. So the law agrees with the films where
 * a reading is likely and where the limit lies; at the very start it may be a few per cent off. */
static void fit_exponent(struct node *node, double first_k, struct cooling_law *law)
{
    double last_k = fmin(LAW_LAST_K, first_k / 3), step = pow(last_k / first_k, 1.0 / (LAW_NODES - 1));
    double r[LAW_NODES]; /* 1 / ua: times are per unit of heat capacity */
    for (int i = 0; i < LAW_NODES; i++)
        r[i] = 1 / node_ua(node, first_k * pow(step, i));
    double half = log(first_k / last_k) / 2;
    double soon = half * (r[0] + 4 * r[1] + r[2]) / 6, late = half * (r[2] + 4 * r[3] + r[4]) / 6;
    double n = log(late / soon) / half;
    law->exponent = n < LAW_EXPONENT_LEAST ? 0 : n;
    if (law->exponent == 0)
        law->k_per_s = 2 * half / (soon + late);
    else
        law->k_per_s = (pow(last_k / LAW_SPAN_K, -n) - pow(first_k / LAW_SPAN_K, -n)) / (n * (soon + late));
}

void jar_law(const struct jar_kind *kind, double volume_l, double fat_pct, enum surrounding in, double milk_c,
             double around_c, struct cooling_law *out)
{
    struct node near = {.kind = kind,
                        .fat_pct = fat_pct,
                        .around_c = around_c,
                        .in = in,
                        .share = first_guess(in, WITHIN_LAW)};
    wetted_by(kind, volume_l, &near.wet);
    fit_exponent(&near, fmax(milk_c - around_c, 2 * LAW_LAST_K), out);
    out->k_per_s /= jar_capacity_j_per_k(kind, volume_l, fat_pct);
    out->span_k = LAW_SPAN_K;
    out->around_c = around_c;
    struct node far = near;
    far.around_c += LAW_WARMER_K;
    out->warm_per_k = (node_ua(&far, LAW_SPAN_K) / node_ua(&near, LAW_SPAN_K) - 1) / LAW_WARMER_K;
}
