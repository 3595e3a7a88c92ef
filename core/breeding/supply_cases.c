/* A cow's week is worked out for every day on which she may calve. Running sums of her two curves make each
 * such case one subtraction, so that a year of what-ifs stays well under a blink. */
#include <math.h>

#include "core/base/quantity.h"
#include "core/breeding/supply_inside.h"

static double litres_on(const struct supply_cow *cow, int ahead, int day_in_milk)
{
    if (day_in_milk <= cow->kept_back_days || day_in_milk > cow->last_day)
        return 0;
    double kg = cow->yield_kg(cow->who, ahead, day_in_milk);
    return kg > 0 ? kg * (1 - cow->calf_share) / SUPPLY_KG_PER_L : 0;
}

static int clamp_days(int32_t days)
{
    return days < 0 ? 0 : days > SUPPLY_HORIZON ? SUPPLY_HORIZON : (int)days;
}

static void sum_running(struct cow_sums *s)
{
    s->run[0] = 0;
    for (int i = 0; i < SUPPLY_HORIZON; i++) {
        int day = date_known(s->cow->calved_on) ? date_diff(s->cow->calved_on, s->from_on) + i : 0;
        s->run[i + 1] = s->run[i] + (day > 0 ? litres_on(s->cow, 0, day) : 0);
    }
}

static void sum_next(struct cow_sums *s)
{
    s->next[0] = 0;
    for (int day = 1; day <= SUPPLY_NEXT_DAYS; day++)
        s->next[day] = s->next[day - 1] + litres_on(s->cow, 1, day);
}

/* A drying-off day that is set holds in any case; otherwise it follows from the calving, and a cow not in
 * calf goes on. */
static void set_dry_days(struct cow_sums *s)
{
    struct date due_on = day_chances_quantile(&s->cow->calving, 0.5);
    s->in_calf = day_chances_total(&s->cow->calving);
    s->dry_from = s->dry_open = SUPPLY_HORIZON;
    if (date_known(s->cow->dry_on))
        s->dry_from = s->dry_open = clamp_days(date_diff(s->from_on, s->cow->dry_on));
    else if (date_known(due_on))
        s->dry_from = clamp_days(date_diff(s->from_on, due_on) - s->cow->dry_days);
}

void cow_sums_expect(struct cow_sums *s, const struct supply_cow *cow)
{
    s->cow = cow;
    set_dry_days(s);
}

void cow_sums_init(struct cow_sums *s, const struct supply_cow *cow, struct date from_on)
{
    s->cow = cow;
    s->from_on = from_on;
    sum_running(s);
    sum_next(s);
    set_dry_days(s);
}

/* Milk of days first .. first+6, the running lactation ending at `dry`. */
static double running_week(const struct cow_sums *s, int first, int dry)
{
    int end = first + SUPPLY_WEEK < dry ? first + SUPPLY_WEEK : dry;
    return end > first ? s->run[end] - s->run[first] : 0;
}

/* Same for the lactation that begins by calving `calved` days from from_on; the day of calving is day 0. */
static double next_week(const struct cow_sums *s, int first, int calved)
{
    int from = first - calved - 1, to = first + SUPPLY_WEEK - 1 - calved;
    if (to <= 0)
        return 0;
    return s->next[to < SUPPLY_NEXT_DAYS ? to : SUPPLY_NEXT_DAYS] -
           (from <= 0 ? 0 : s->next[from < SUPPLY_NEXT_DAYS ? from : SUPPLY_NEXT_DAYS]);
}

static double case_week(const struct cow_sums *s, int first, int calved)
{
    int dry = calved < s->dry_from ? calved : s->dry_from;
    return running_week(s, first, dry) + next_week(s, first, calved);
}

void cow_sums_each(const struct cow_sums *s, int first, supply_case_fn on_case, void *context)
{
    const struct day_chances *c = &s->cow->calving;
    int32_t offset = c->count == 0 ? 0 : date_diff(s->from_on, c->first_on);
    for (int i = 0; i < c->count; i++)
        if (c->chance[i] > 0)
            on_case(context, case_week(s, first, offset + i), c->chance[i]);
    if (s->in_calf < 1)
        on_case(context, running_week(s, first, s->dry_open), 1 - s->in_calf);
}

static void add_expected(void *context, double litres, double chance)
{
    *(double *)context += litres * chance;
}

double cow_sums_expected(const struct cow_sums *s, int first)
{
    double sum = 0;
    cow_sums_each(s, first, add_expected, &sum);
    return sum;
}
