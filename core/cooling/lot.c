/* Following one lot through a timeline that has been worked out: stretch by stretch of constant surroundings,
 * each in closed form. */
#include <math.h>

#include "core/cooling/scene_inside.h"

struct walk {
    const struct scene *scene;
    const struct lot *lot;
    const double *unknown;
    double now, temp_c;
    size_t stay, tub_piece, fridge_piece; /* where the last stretch was found */
    struct cooling_law law[SURROUNDINGS]; /* at those unknowns, */
    bool law_known[SURROUNDINGS];         /* worked out when first met */
    /* the stretch ahead */
    double to, around_c;
    const struct cooling_law *law_ahead;
    struct law_course course;
};

static void walk_begin(struct walk *w, const struct scene *scene, const struct lot *lot,
                       const double *unknown)
{
    w->scene = scene;
    w->lot = lot;
    w->unknown = unknown;
    w->now = lot->stay[0].from;
    w->temp_c = scene->batch[lot->batch].poured_c + unknown[U_START];
    w->stay = w->tub_piece = w->fridge_piece = 0;
    for (int in = 0; in < SURROUNDINGS; in++)
        w->law_known[in] = false;
}

static const struct cooling_law *walk_law(struct walk *w, enum place place, enum stir stir)
{
    enum surrounding in = place == PLACE_TUB ? surrounding_of_stir(stir) : IN_AIR;
    if (!w->law_known[in]) {
        w->law[in] = scene_law(&w->scene->batch[w->lot->batch], place, stir, w->unknown);
        w->law_known[in] = true;
    }
    return &w->law[in];
}

/* Pieces join to within rounding: a + (b - a) need not be b. */
#define JOIN_S 1e-3

/* The piece that covers `at`, searched from *from on, where it or the next one usually is; NULL when there is
 * none. */
static const struct piece *piece_at(const struct piece *list, size_t count, size_t *from, double at)
{
    size_t low = *from, high = count;
    if (low < count && list[low].to <= at)
        low++;
    if (low < count && list[low].to > at)
        high = low;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (list[middle].to <= at)
            low = middle + 1;
        else
            high = middle;
    }
    *from = low;
    return low < count && list[low].from <= at + JOIN_S ? &list[low] : NULL;
}

/* Sets out the next stretch; false at the end of the timeline or when the jars are gone. */
static bool walk_ahead(struct walk *w)
{
    const struct scene *scene = w->scene;
    while (w->stay < w->lot->stays && w->lot->stay[w->stay].to <= w->now)
        w->stay++;
    if (w->stay == w->lot->stays || w->lot->stay[w->stay].place == PLACE_GONE)
        return false;
    const struct stay *stay = &w->lot->stay[w->stay];
    const struct piece *piece = NULL;
    w->to = stay->to;
    w->around_c = scene->room_c;
    if (stay->place == PLACE_TUB) {
        piece = piece_at(scene->tub, scene->tub_pieces, &w->tub_piece, w->now);
        w->around_c = (piece == NULL ? 0 : piece->around_c) + w->unknown[U_BATH];
    } else if (stay->place == PLACE_FRIDGE) {
        piece = piece_at(scene->fridge, scene->fridge_pieces, &w->fridge_piece, w->now);
        w->around_c = (piece == NULL ? scene->fridge_c : piece->around_c) + w->unknown[U_FRIDGE];
    }
    if (piece != NULL)
        w->to = fmin(w->to, piece->to);
    w->law_ahead = walk_law(w, stay->place, piece == NULL ? STIR_STILL : piece->stir);
    law_course_begin(&w->course, w->law_ahead, w->temp_c, w->around_c);
    return true;
}

static double walk_temp(const struct walk *w, double at)
{
    return law_course_temp(&w->course, at - w->now);
}

static void walk_on(struct walk *w)
{
    w->temp_c = walk_temp(w, w->to);
    w->now = w->to;
}

void lot_temps(const struct scene *scene, const struct lot *lot, const double *unknown, const double *times,
               size_t count, double *temp_c)
{
    struct walk w;
    size_t i = 0;
    walk_begin(&w, scene, lot, unknown);
    for (; i < count && times[i] < w.now; i++)
        temp_c[i] = NAN;
    while (i < count && walk_ahead(&w)) {
        for (; i < count && times[i] <= w.to; i++)
            temp_c[i] = walk_temp(&w, times[i]);
        if (i < count)
            walk_on(&w);
    }
    for (; i < count; i++)
        temp_c[i] = NAN;
}

void lot_crossings(const struct scene *scene, const struct lot *lot, const double *unknown,
                   const double *target_c, size_t count, double *at)
{
    struct walk w;
    size_t found = 0;
    for (size_t i = 0; i < count; i++)
        at[i] = NAN;
    walk_begin(&w, scene, lot, unknown);
    while (found < count && walk_ahead(&w)) {
        double end_c = walk_temp(&w, w.to);
        for (size_t i = 0; i < count; i++)
            if (isnan(at[i]) && (w.temp_c <= target_c[i] || end_c <= target_c[i])) {
                at[i] = w.now + law_time(w.law_ahead, w.temp_c, w.around_c, target_c[i]);
                at[i] = fmin(at[i], w.to);
                found++;
            }
        w.temp_c = end_c;
        w.now = w.to;
    }
}

void lot_unknowns(const struct scene *scene, const struct lot *lot, double until, bool say[UNKNOWNS])
{
    for (int u = 0; u < UNKNOWNS; u++)
        say[u] = u == U_START;
    for (size_t s = 0; s < lot->stays && lot->stay[s].from < until; s++) {
        const struct stay *stay = &lot->stay[s];
        double to = fmin(until, stay->to);
        size_t from = 0;
        if (stay->place == PLACE_TABLE || stay->place == PLACE_FRIDGE)
            say[U_AIR] = true;
        if (stay->place == PLACE_FRIDGE)
            say[U_FRIDGE] = true;
        if (stay->place != PLACE_TUB)
            continue;
        say[U_BATH] = say[U_SHAPE] = true;
        (void)piece_at(scene->tub, scene->tub_pieces, &from, stay->from);
        for (; from < scene->tub_pieces && scene->tub[from].from < to; from++)
            say[U_STILL + (int)scene->tub[from].stir] = true;
    }
}

const struct piece *scene_tub_piece(const struct scene *scene, double at)
{
    size_t from = 0;
    return piece_at(scene->tub, scene->tub_pieces, &from, at);
}
