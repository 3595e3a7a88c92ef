/* Where the jars of the dairy are, and whether tomorrow's milk has jars. */
#include "core/milk/jars.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *jars_state_word(enum jars_state state)
{
    static const char *const words[JARS_STATES] = {
        [JARS_NOT_OURS] = "not ours", [JARS_CLEAN] = "clean", [JARS_FULL] = "full",
        [JARS_OUT] = "out",           [JARS_DIRTY] = "dirty", [JARS_BROKEN] = "broken",
    };
    return words[state];
}

int jars_move(struct jars_pool *pool, const struct jars_kinds *kinds, size_t kind, enum jars_state from,
              enum jars_state to, int count, struct fail *f)
{
    if (kind >= kinds->count)
        return fail_input(f, "That is not a kind of jar here.");
    if (count < 1)
        return fail_input(f, "At least one jar must be moved.");
    if (from == to)
        return fail_refused(f, "Those jars are %s already.", jars_state_word(to));
    if (from != JARS_NOT_OURS && count > pool->n[from][kind])
        return fail_refused(f, "There are only %d %s %s jars, not %d.", pool->n[from][kind],
                            jars_state_word(from), kinds->kind[kind].name, count);
    if (from != JARS_NOT_OURS)
        pool->n[from][kind] -= count;
    if (to != JARS_NOT_OURS)
        pool->n[to][kind] += count;
    return 0;
}

int jars_owned(const struct jars_pool *pool, size_t kind)
{
    return pool->n[JARS_CLEAN][kind] + pool->n[JARS_FULL][kind] + pool->n[JARS_OUT][kind] +
           pool->n[JARS_DIRTY][kind];
}

/* Clean jars and the first `wash` of the dirty ones, favourite kinds first. */
static void with_washed(const struct jars_pool *pool, const struct jars_kinds *kinds, int wash,
                        int n[JARS_KINDS_MAX])
{
    for (size_t i = 0; i < kinds->count; i++) {
        int dirty = pool->n[JARS_DIRTY][i], take = dirty < wash ? dirty : wash;
        n[i] = pool->n[JARS_CLEAN][i] + take;
        wash -= take;
    }
}

static void say_ready(const struct jars_kinds *kinds, const struct jars_ready *r,
                      const struct jars_choice *washed, enum unit_system units, char say[static 160])
{
    char jars[80], volume[QUANTITY_TEXT_MAX];
    (void)jars_text(washed->n, kinds, jars, sizeof jars);
    if (r->enough)
        (void)snprintf(say, 160, "Enough clean jars: %s.", jars);
    else if (r->enough_if_washed)
        (void)snprintf(say, 160, "Wash %d %s first: then there are enough, %s.", r->wash,
                       r->wash == 1 ? "jar" : "jars", jars);
    else
        (void)snprintf(say, 160, "Not enough jars, the dirty ones washed too: none for %s.",
                       quantity_format(washed->short_l, DIM_VOLUME, units, volume));
}

int jars_judge(double volume_l, const struct jars_kinds *kinds, const struct jars_pool *pool,
               enum unit_system units, struct jars_ready *out, char say[static 160], struct working *w,
               struct fail *f)
{
    int n[JARS_KINDS_MAX] = {0}, dirty = 0, wash = 0;
    struct jars_ready r = {0};
    struct jars_choice washed;
    for (size_t i = 0; i < kinds->count; i++)
        dirty += pool->n[JARS_DIRTY][i];
    if (jars_choose(volume_l, kinds, pool->n[JARS_CLEAN], &r.choice, w, f) != 0)
        return -1;
    washed = r.choice;
    while (washed.short_l > 0 && wash < dirty) {
        with_washed(pool, kinds, ++wash, n);
        if (jars_choose(volume_l, kinds, n, &washed, NULL, f) != 0)
            return -1;
    }
    r.enough = r.choice.short_l <= 0;
    r.enough_if_washed = washed.short_l <= 0;
    r.wash = r.enough_if_washed ? wash : 0;
    say_ready(kinds, &r, &washed, units, say);
    working_result_yes(w, "enough", r.enough);
    working_result_whole(w, "wash", r.wash);
    *out = r;
    return 0;
}

int jars_pool_needed(double filled_per_day, double days_out, double days_in_wash, int spare)
{
    return (int)ceil(filled_per_day * (days_out + days_in_wash) - 1e-9) + spare;
}
