#include "core/milk/pour.h"

#include <math.h>

#include "core/cooling/limits.h"
#include "core/milk/apportion.h"

int64_t pour_mass_g(const struct pour_mix *mix)
{
    int64_t sum = 0;
    for (size_t i = 0; i < mix->count; i++)
        sum += mix->part[i].mass_g;
    return sum;
}

static struct pour_part *part_find(struct pour_mix *mix, int64_t lot)
{
    for (size_t i = 0; i < mix->count; i++)
        if (mix->part[i].lot == lot)
            return &mix->part[i];
    return NULL;
}

int64_t pour_lot_g(const struct pour_mix *mix, int64_t lot)
{
    for (size_t i = 0; i < mix->count; i++)
        if (mix->part[i].lot == lot)
            return mix->part[i].mass_g;
    return 0;
}

int pour_add(struct pour_mix *mix, int64_t lot, int64_t mass_g, struct fail *f)
{
    if (mass_g < 0)
        return fail_input(f, "Less than no milk cannot be poured.");
    if (mass_g > POUR_MASS_MAX_G - pour_mass_g(mix))
        return fail_refused(f, "More than a tonne of milk in one vessel cannot be right.");
    if (mass_g == 0)
        return 0;
    struct pour_part *part = part_find(mix, lot);
    if (part == NULL) {
        if (mix->count == POUR_PARTS_MAX)
            return fail_refused(f, "Milk of more than %d milkings of a cow in one jar cannot be kept apart.",
                                POUR_PARTS_MAX);
        part = &mix->part[mix->count++];
        *part = (struct pour_part){lot, 0};
    }
    part->mass_g += mass_g;
    return 0;
}

int pour_join(struct pour_mix *into, const struct pour_mix *from, struct fail *f)
{
    struct pour_mix sum = *into;
    for (size_t i = 0; i < from->count; i++)
        if (pour_add(&sum, from->part[i].lot, from->part[i].mass_g, f) != 0)
            return -1;
    *into = sum;
    return 0;
}

/* Lots of which nothing is left do not stay in the list. */
static void drop_empty(struct pour_mix *mix)
{
    size_t kept = 0;
    for (size_t i = 0; i < mix->count; i++)
        if (mix->part[i].mass_g > 0)
            mix->part[kept++] = mix->part[i];
    mix->count = kept;
}

int pour_take(struct pour_mix *from, int64_t mass_g, struct pour_mix *out, struct fail *f)
{
    int64_t weight[POUR_PARTS_MAX], part[POUR_PARTS_MAX], there = pour_mass_g(from);
    if (mass_g < 0 || mass_g > there)
        return fail_refused(f, "%.3f kg cannot be poured out of %.3f kg.", (double)mass_g / 1000,
                            (double)there / 1000);
    for (size_t i = 0; i < from->count; i++)
        weight[i] = from->part[i].mass_g;
    (void)apportion(mass_g, weight, NULL, from->count, part);
    *out = *from;
    for (size_t i = 0; i < from->count; i++) {
        out->part[i].mass_g = part[i];
        from->part[i].mass_g -= part[i];
    }
    drop_empty(out);
    drop_empty(from);
    return 0;
}

int pour_out(struct pour_mix *from, const double volume_l[], size_t jars, struct pour_mix out[],
             double *density_kg_per_l, struct working *w, struct fail *f)
{
    int64_t volume_ml[APPORTION_MAX], jar_g[APPORTION_MAX], mass_g = pour_mass_g(from);
    double sum_l = 0;
    if (jars == 0 || jars > APPORTION_MAX)
        return fail_input(f, "Milk is poured into 1 to %d jars at a time.", APPORTION_MAX);
    for (size_t i = 0; i < jars; i++) {
        if (!(volume_l[i] >= 0.001) || volume_l[i] > 1000)
            return fail_input(f, "Jar %zu holds no volume that a jar can have.", i + 1);
        volume_ml[i] = quantity_milli(volume_l[i]);
        sum_l += volume_l[i];
    }
    (void)apportion(mass_g, volume_ml, NULL, jars, jar_g);
    for (size_t i = 0; i < jars; i++)
        (void)pour_take(from, jar_g[i], &out[i], NULL); /* cannot fail: the parts add up to what is there */
    double density = (double)mass_g / 1000 / sum_l;
    if (density_kg_per_l != NULL)
        *density_kg_per_l = density;
    working_given(w, "milk_kg", (double)mass_g / 1000, ORIGIN_RECORDED);
    working_given(w, "jars_l", sum_l, ORIGIN_RECORDED);
    working_step(
        w, "%.3f kg in jars of %.3f L: %.3f kg per L; each jar gets its part of the weight by its volume",
        (double)mass_g / 1000, sum_l, density);
    working_result(w, "density_kg_per_l", density);
    return 0;
}

int pour_top_up(double jar_kg, double jar_c, double added_kg, double added_c, double limit_c,
                struct pour_top_up *out, struct working *w, struct fail *f)
{
    if (!(jar_kg >= 0) || !(added_kg >= 0) || !(jar_kg + added_kg > 0) || !isfinite(jar_kg + added_kg))
        return fail_input(f,
                          "A top-up needs the weight of the milk in the jar and of the milk poured onto it.");
    /* Milk of one dairy has one density, so weights stand for volumes. */
    double most = blend_fraction_most(jar_c, added_c, limit_c);
    out->blend_c = blend_temp_c(jar_kg, jar_c, added_kg, added_c);
    out->most_kg = isinf(most) ? INFINITY : jar_kg * most;
    working_given(w, "jar_kg", jar_kg, ORIGIN_GIVEN);
    working_given(w, "jar_c", jar_c, ORIGIN_GIVEN);
    working_given(w, "added_kg", added_kg, ORIGIN_GIVEN);
    working_given(w, "added_c", added_c, ORIGIN_GIVEN);
    working_given(w, "limit_c", limit_c, ORIGIN_GIVEN);
    working_step(w, "blend = (%.3f x %.2f + %.3f x %.2f) / %.3f = %.3f °C", jar_kg, jar_c, added_kg, added_c,
                 jar_kg + added_kg, out->blend_c);
    working_result(w, "blend_c", out->blend_c);
    working_result(w, "most_kg", out->most_kg);
    if (!isfinite(out->most_kg))
        working_why(w, "The milk poured in is no warmer than the limit, so any amount keeps to it.");
    return 0;
}
