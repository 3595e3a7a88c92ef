/* Cows' weeks are added on a grid of whole litres; the expected litres are kept beside it to the last digit.
 */
#include "core/breeding/supply.h"

#include <math.h>
#include <string.h>

#include "core/base/quantity.h"
#include "core/breeding/supply_inside.h"

/* Chances of the herd's week in litres. */
struct grid {
    double chance[SUPPLY_WEEK_L_MAX + 1];
    int top; /* highest litre that has any */
};

/* A case between two whole litres is shared between them so that its mean stays what it is. */
static void add_to_grid(void *context, double litres, double chance)
{
    struct grid *g = context;
    double l = fmin(litres, SUPPLY_WEEK_L_MAX);
    int low = (int)floor(l);
    double part = l - low;
    g->chance[low] += chance * (1 - part);
    if (part > 0)
        g->chance[low + 1] += chance * part;
    int top = low + (part > 0 ? 1 : 0);
    if (top > g->top)
        g->top = top;
}

/* herd = herd + cow, the two being independent. */
static void grid_join(struct grid *herd, const struct grid *cow)
{
    struct grid sum = {.top = 0};
    for (int i = 0; i <= cow->top; i++) {
        if (cow->chance[i] <= 0)
            continue;
        for (int j = 0; j <= herd->top; j++) {
            int l = i + j < SUPPLY_WEEK_L_MAX ? i + j : SUPPLY_WEEK_L_MAX;
            sum.chance[l] += cow->chance[i] * herd->chance[j];
        }
    }
    sum.top = cow->top + herd->top < SUPPLY_WEEK_L_MAX ? cow->top + herd->top : SUPPLY_WEEK_L_MAX;
    *herd = sum;
}

static double grid_quantile(const struct grid *g, double share)
{
    double sum = 0;
    for (int l = 0; l <= g->top; l++) {
        sum += g->chance[l];
        if (sum >= share - 1e-9)
            return l;
    }
    return g->top;
}

static double grid_below(const struct grid *g, double litres)
{
    double sum = 0;
    for (int l = 0; l <= g->top && l < litres - 1e-9; l++)
        sum += g->chance[l];
    return fmin(1, sum);
}

static void add_if_none(void *context, double litres, double chance)
{
    if (litres < 1e-9)
        *(double *)context += chance;
}

static void finish_week(struct supply_week *week, const struct supply_need *need, const struct grid *g)
{
    week->need_l = supply_need_l(need);
    week->low_l = grid_quantile(g, 0.1);
    week->high_l = grid_quantile(g, 0.9);
    week->chance_short = grid_below(g, week->need_l);
    week->is_short = week->expected_l < week->need_l;
    week->is_over = need->room_l > 0 && week->expected_l > need->room_l;
}

static void count_week(struct supply *out, const struct supply_week *week, const struct supply_need *need)
{
    if (week->is_short) {
        out->short_weeks++;
        out->short_l += week->need_l - week->expected_l;
    }
    if (week->is_over) {
        out->over_weeks++;
        out->over_l += week->expected_l - need->room_l;
    }
}

int supply_check(const struct supply_cow *cows, size_t count, const struct supply_need *need, int weeks,
                 struct fail *f)
{
    if (count > SUPPLY_COWS_MAX)
        return fail_refused(f, "The year ahead is worked out for at most %d cows.", SUPPLY_COWS_MAX);
    if (weeks < 1 || weeks > SUPPLY_WEEKS_MAX)
        return fail_input(f, "%d weeks cannot be meant; 1 to %d can.", weeks, SUPPLY_WEEKS_MAX);
    if (!(need->household_l >= 0 && need->shares_l >= 0 && need->room_l >= 0))
        return fail_input(f, "The need is an amount of milk a week, 0 or more.");
    for (size_t i = 0; i < count; i++) {
        if (!(cows[i].calf_share >= 0 && cows[i].calf_share <= 1))
            return fail_input(f, "The calf's part of the milk is between 0 and 1.");
        if (cows[i].dry_days < 0 || cows[i].kept_back_days < 0)
            return fail_input(f, "Days dry and days of milk kept back are 0 or more.");
    }
    return 0;
}

static void supply_working(const struct supply *s, size_t cows, const struct supply_need *need,
                           struct date from_on, struct working *w)
{
    char iso[CIVIL_TEXT_MAX];
    if (w == NULL)
        return;
    working_given_text(w, "from_on", date_iso(from_on, iso), ORIGIN_GIVEN);
    working_given_whole(w, "cows", (long)cows, ORIGIN_RECORDED);
    working_given(w, "household_l", need->household_l, ORIGIN_GIVEN);
    working_given(w, "shares_l", need->shares_l, ORIGIN_GIVEN);
    working_given(w, "milk_kg_per_l", SUPPLY_KG_PER_L, ORIGIN_CONSTANT);
    working_step(w,
                 "each cow: her curve to the day she is dried off, then the next one from calving, weighed "
                 "by the chance of every calving day");
    working_step(w, "cows are independent; the band is of calving days and of holding to service, not of the "
                    "curve");
    working_step(w, "only services that are recorded count");
    working_result_whole(w, "weeks", s->weeks);
    working_result_whole(w, "short_weeks", s->short_weeks);
    working_result(w, "short_l", s->short_l);
    working_result_whole(w, "over_weeks", s->over_weeks);
    working_source(w, "milk-gallon");
}

static void add_week(const struct cow_sums *cows, size_t count, int index, const struct supply_need *need,
                     struct supply_week *week)
{
    int first = index * SUPPLY_WEEK;
    struct grid herd = {.chance[0] = 1};
    *week = (struct supply_week){.from_on = date_add(cows->from_on, first), .chance_none = 1};
    for (size_t k = 0; k < count; k++) {
        struct grid cow = {.top = 0};
        double none = 0;
        cow_sums_each(&cows[k], first, add_to_grid, &cow);
        cow_sums_each(&cows[k], first, add_if_none, &none);
        grid_join(&herd, &cow);
        week->expected_l += cow_sums_expected(&cows[k], first);
        week->chance_none *= fmin(1, none);
    }
    finish_week(week, need, &herd);
}

int supply_ahead(const struct supply_cow *cows, size_t count, const struct supply_need *need,
                 struct date from_on, int weeks, struct supply *out, struct working *w, struct fail *f)
{
    if (supply_check(cows, count, need, weeks, f) != 0)
        return -1;
    struct cow_sums sums[SUPPLY_COWS_MAX];
    sums[0].from_on = from_on;
    for (size_t k = 0; k < count; k++)
        cow_sums_init(&sums[k], &cows[k], from_on);
    memset(out, 0, sizeof *out);
    out->weeks = weeks;
    for (int i = 0; i < weeks; i++) {
        add_week(sums, count, i, need, &out->week[i]);
        count_week(out, &out->week[i], need);
    }
    supply_working(out, count, need, from_on, w);
    return 0;
}

bool supply_gap(const struct supply *s, int after, struct supply_gap *out)
{
    int first = after < 0 ? 0 : after;
    while (first < s->weeks && !s->week[first].is_short)
        first++;
    if (first >= s->weeks)
        return false;
    while (first > 0 && s->week[first - 1].is_short)
        first--;
    memset(out, 0, sizeof *out);
    out->first = first;
    for (out->last = first; out->last + 1 < s->weeks && s->week[out->last + 1].is_short; out->last++)
        ;
    out->from_on = s->week[first].from_on;
    out->to_on = date_add(s->week[out->last].from_on, SUPPLY_WEEK - 1);
    for (int i = out->first; i <= out->last; i++)
        out->short_l += s->week[i].need_l - s->week[i].expected_l;
    return true;
}
