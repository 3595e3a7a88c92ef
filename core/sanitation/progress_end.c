/* When the morning will be over, and what past mornings teach about its phases. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/sanitation/progress_inside.h"

static bool phase_is_per_cow(const struct routine *r, enum routine_phase phase)
{
    for (size_t i = 0; i < r->count; i++)
        if (r->step[i].phase == phase && r->step[i].per_cow)
            return true;
    return false;
}

/* The usual length of the whole phase with the cows of this morning: learned, else as the routine says it.
 * False when neither is known. */
static bool phase_length(const struct routine *r, const struct progress_facts *facts,
                         enum routine_phase phase, struct phase_usual *out)
{
    int32_t times = phase_is_per_cow(r, phase) ? (int32_t)facts->cow_count : 1;
    int32_t said = r->usual_s[phase];
    *out = facts->usual[phase];
    if (out->mornings == 0) {
        if (said == 0)
            return false;
        *out = (struct phase_usual){0, said, said, said};
    }
    out->low_s *= times;
    out->middle_s *= times;
    out->high_s *= times;
    return true;
}

/* Steps that no clock hurries share the phase's length evenly: what is left of it is the share of rows that
 * are left. */
static double left_share(const struct phase_progress *phase)
{
    return phase->rows == 0 ? 0 : (double)(phase->rows - phase->done) / (double)phase->rows;
}

/* No forecast may end before the contact times that run now. */
static struct instant no_sooner(struct instant end, const struct progress *p, struct instant now)
{
    for (size_t i = 0; i < p->count; i++)
        if (p->row[i].state == STATE_RUNNING && end.s < now.s + p->row[i].left_s)
            end.s = now.s + p->row[i].left_s;
    return end;
}

static struct instant last_tick(const struct progress *p)
{
    struct instant last = INSTANT_NONE;
    for (int i = 0; i < PHASE_COUNT; i++)
        last = later_of(last, p->phase[i].last_at);
    return last;
}

void progress_end(const struct routine *r, const struct progress_facts *facts, struct progress *p,
                  struct working *w)
{
    double early = 0, middle = 0, late = 0;
    char name[32], text[CIVIL_TEXT_MAX];
    p->ends_at = p->ends_early_at = p->ends_late_at = INSTANT_NONE;
    for (int i = 0; i < PHASE_COUNT; i++) {
        struct phase_usual usual;
        const char *word = phase_word((enum routine_phase)i);
        double share = left_share(&p->phase[i]);
        if (share == 0)
            continue;
        if (!phase_length(r, facts, (enum routine_phase)i, &usual)) {
            working_why(w,
                        "How long %s takes is not known yet: no morning has been recorded, and the routine "
                        "does not say.",
                        word);
            working_result_text(w, "ends_at", NULL);
            return;
        }
        (void)snprintf(name, sizeof name, "usual_%s_min", word);
        working_given(w, name, usual.middle_s / 60.0, usual.mornings > 0 ? ORIGIN_LEARNED : ORIGIN_DEFAULT);
        working_step(w, "%s: %zu of %zu steps left, %.1f of %.1f min", word,
                     p->phase[i].rows - p->phase[i].done, p->phase[i].rows, usual.middle_s / 60.0 * share,
                     usual.middle_s / 60.0);
        early += share * usual.low_s;
        middle += share * usual.middle_s;
        late += share * usual.high_s;
    }
    struct instant from = p->done == p->rows && p->rows > 0 ? last_tick(p) : facts->now;
    /* Phases run long together (a cold morning, a bad cow), so their bands add up without a square root. */
    p->ends_at = no_sooner((struct instant){from.s + llround(middle)}, p, from);
    p->ends_early_at = no_sooner((struct instant){from.s + llround(early)}, p, from);
    p->ends_late_at = no_sooner((struct instant){from.s + llround(late)}, p, from);
    working_result_text(w, "ends_at", instant_iso_local(p->ends_at, text));
    working_result_text(w, "ends_early_at", instant_iso_local(p->ends_early_at, text));
    working_result_text(w, "ends_late_at", instant_iso_local(p->ends_late_at, text));
    working_source(w, "practice");
}

void progress_spent(const struct routine *r, const struct step_tick *ticks, size_t tick_count,
                    int32_t spent_s[PHASE_COUNT])
{
    double spent[PHASE_COUNT] = {0};
    for (size_t i = 0; i < tick_count; i++) {
        const struct routine_step *step = routine_find(r, ticks[i].step);
        struct instant before = INSTANT_NONE;
        size_t together = 0; /* ticks of the same second share the time before it */
        if (step == NULL || !instant_known(ticks[i].at))
            continue;
        /* From the end: ticks mostly stand in order, so the one before is found early and few are looked up.
         */
        for (size_t j = tick_count; j-- > 0;) {
            bool same = ticks[j].at.s == ticks[i].at.s;
            bool nearer = instant_known(ticks[j].at) && ticks[j].at.s < ticks[i].at.s &&
                          (!instant_known(before) || ticks[j].at.s > before.s);
            if ((!same && !nearer) || routine_find(r, ticks[j].step) == NULL)
                continue;
            together += same;
            if (nearer)
                before = ticks[j].at;
        }
        if (instant_known(before))
            spent[step->phase] += (double)(ticks[i].at.s - before.s) / (double)together;
    }
    for (int i = 0; i < PHASE_COUNT; i++)
        spent_s[i] = (int32_t)lround(spent[i]);
}

static int compare_doubles(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Quantile of sorted values, linear between order statistics at (n - 1) q. */
static int32_t quantile_of(const double *sorted, size_t n, double q)
{
    double at = q * (double)(n - 1);
    size_t low = (size_t)at;
    double high = low + 1 < n ? sorted[low + 1] : sorted[low];
    return (int32_t)lround(sorted[low] + (at - (double)low) * (high - sorted[low]));
}

void phase_learn(const struct routine *r, const struct past_morning *past, size_t count,
                 struct phase_usual usual[PHASE_COUNT])
{
    size_t first = count > PAST_MORNINGS_MAX ? count - PAST_MORNINGS_MAX : 0;
    for (int phase = 0; phase < PHASE_COUNT; phase++) {
        double value[PAST_MORNINGS_MAX];
        size_t n = 0;
        bool per_cow = phase_is_per_cow(r, (enum routine_phase)phase);
        for (size_t i = first; i < count; i++) {
            int times = per_cow ? past[i].cows : 1;
            if (past[i].spent_s[phase] > 0 && times > 0)
                value[n++] = (double)past[i].spent_s[phase] / times;
        }
        memset(&usual[phase], 0, sizeof usual[phase]);
        if (n == 0)
            continue;
        qsort(value, n, sizeof value[0], compare_doubles);
        usual[phase] = (struct phase_usual){(int)n, quantile_of(value, n, 0.25), quantile_of(value, n, 0.5),
                                            quantile_of(value, n, 0.75)};
    }
}
