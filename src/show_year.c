/* What is ahead and the year's supply as text and as JSON. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/ahead.h"
#include "core/day/feed_view.h"
#include "core/day/supply_view.h"
#include "src/json.h"
#include "src/show.h"

/* ---- ahead ---- */

static json_t *json_ahead(const struct ahead_view *v)
{
    json_t *rows = json_array();
    for (size_t i = 0; i < v->rows; i++) {
        const struct ahead_row *r = &v->row[i];
        json_array_append_new(rows, json_pack("{s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:b, s:s}", "on", json_day(r->on), "to_on",
                                              json_day(r->to_on), "part", ahead_part_word(r->part), "who",
                                              json_text(r->who), "what", json_text(r->words), "why", json_text(r->reason),
                                              "settled_by", json_text(r->act.act == NULL ? "" : r->act.act), "overdue",
                                              r->on.days < v->today.days, "uid", r->uid));
    }
    return json_pack("{s:o, s:o}", "today", json_day(v->today), "due", rows);
}

static void print_ahead(const struct ahead_view *v)
{
    char day[CIVIL_TEXT_MAX];
    struct date on = DATE_NONE;
    for (size_t i = 0; i < v->rows; i++) {
        const struct ahead_row *r = &v->row[i];
        if (r->on.days != on.days) {
            printf("%s%s\n", date_year_text(r->on, day), r->on.days < v->today.days ? ", overdue" : "");
            on = r->on;
        }
        printf("  %-12s %s%s%s%s\n", r->who[0] != '\0' ? r->who : ahead_part_word(r->part), r->words,
               r->reason[0] != '\0' ? " (" : "", r->reason, r->reason[0] != '\0' ? ")" : "");
    }
    if (v->rows == 0)
        puts("Nothing is due.");
}

int show_ahead(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    (void)units;
    struct ahead_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    int result = dairy_ahead(d, call->now, v, f);
    if (result == 0 && call->json)
        (void)json_print(json_ahead(v));
    else if (result == 0)
        print_ahead(v);
    free(v);
    return result;
}

/* ---- supply ---- */

static json_t *json_effects(const struct supply_cow_view *cow)
{
    json_t *months = json_array();
    for (int m = 0; m < cow->months; m++)
        json_array_append_new(months, json_pack("{s:o, s:o, s:o, s:i, s:o, s:i, s:b}", "served_on",
                                                json_day(cow->month[m].served_on), "dry_off_on",
                                                json_day(cow->month[m].dry_off_on), "due_on", json_day(cow->month[m].due_on),
                                                "short_weeks", cow->month[m].short_weeks, "short_l",
                                                json_number(cow->month[m].short_l), "over_weeks", cow->month[m].over_weeks,
                                                "closes", cow->month[m].closes));
    return months;
}

static json_t *json_supply(const struct supply_view *v)
{
    json_t *weeks = json_array(), *cows = json_array(), *gaps = json_array();
    for (int i = 0; i < v->year.weeks; i++) {
        const struct supply_week *week = &v->year.week[i];
        json_array_append_new(weeks, json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:b}", "from_on", json_day(week->from_on),
                                               "need_l", json_number(week->need_l), "expected_l",
                                               json_number(week->expected_l), "low_l", json_number(week->low_l), "high_l",
                                               json_number(week->high_l), "chance_short", json_number(week->chance_short),
                                               "short", week->is_short, "over", week->is_over));
    }
    for (size_t i = 0; i < v->cows; i++) {
        json_t *hers = json_array();
        for (int k = 0; k < v->year.weeks; k++)
            json_array_append_new(hers, json_number(v->cow[i].week_l[k]));
        json_array_append_new(cows, json_pack("{s:s, s:o, s:o, s:o, s:o, s:o}", "cow", v->cow[i].name, "in_calf",
                                              json_number(v->cow[i].chance), "due_on", json_day(v->cow[i].due_on),
                                              "dry_off_on", json_day(v->cow[i].dry_on), "week_l", hers, "served_in",
                                              json_effects(&v->cow[i])));
    }
    for (size_t i = 0; i < v->gaps; i++) {
        const struct supply_gap_view *g = &v->gap[i];
        json_array_append_new(gaps, json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:s}", "from_on", json_day(g->gap.from_on),
                                              "to_on", json_day(g->gap.to_on), "short_l", json_number(g->gap.short_l),
                                              "serve", g->cow < 0 ? json_null() : json_string(v->cow[g->cow].name),
                                              "serve_from_on", json_day(g->cow < 0 ? DATE_NONE : g->serve.from_on),
                                              "serve_to_on", json_day(g->cow < 0 ? DATE_NONE : g->serve.to_on), "says",
                                              g->words));
    }
    return json_pack("{s:s, s:o, s:o, s:i, s:i, s:o, s:o, s:o}", "says", v->sentence, "household_l",
                     json_number(v->need.household_l), "shares_l", json_number(v->need.shares_l), "short_weeks",
                     v->year.short_weeks, "over_weeks", v->year.over_weeks, "weeks", weeks, "cows", cows, "gaps", gaps);
}

static double in_units(enum unit_system units, double litres)
{
    return units == UNITS_US ? litres / L_PER_GAL : litres;
}

static void print_supply(const struct supply_view *v, enum unit_system units)
{
    char day[CIVIL_TEXT_MAX], due[CIVIL_TEXT_MAX];
    const char *unit = units == UNITS_US ? "gal" : "L";
    puts(v->sentence);
    printf("\n%-12s %8s %8s %8s", "week of", "need", "expected", "");
    for (size_t i = 0; i < v->cows; i++)
        printf(" %8.8s", v->cow[i].name);
    printf("   (%s a week)\n", unit);
    for (int i = 0; i < v->year.weeks; i++) {
        const struct supply_week *week = &v->year.week[i];
        printf("%-12s %8.0f %8.0f %8s", date_text(week->from_on, day), in_units(units, week->need_l),
               in_units(units, week->expected_l), week->is_short ? "SHORT" : week->is_over ? "over" : "");
        for (size_t k = 0; k < v->cows; k++)
            printf(" %8.0f", in_units(units, v->cow[k].week_l[i]));
        putchar('\n');
    }
    for (size_t i = 0; i < v->gaps; i++)
        printf("\n%s\n", v->gap[i].words);
    for (size_t i = 0; i < v->cows; i++) {
        printf("\n%s: %s\n", v->cow[i].name, v->cow[i].state);
        for (int m = 0; m < v->cow[i].months; m++)
            printf("  served %-12s calves %-12s then %d week%s short, %.0f %s%s\n", date_text(v->cow[i].month[m].served_on, day),
                   date_text(v->cow[i].month[m].due_on, due), v->cow[i].month[m].short_weeks,
                   v->cow[i].month[m].short_weeks == 1 ? "" : "s", in_units(units, v->cow[i].month[m].short_l), unit,
                   v->cow[i].month[m].closes ? ", closes the gap" : "");
    }
}

int show_supply(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    struct supply_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    int result = dairy_supply(d, call->now, v, f);
    if (result == 0 && call->json)
        (void)json_print(json_supply(v));
    else if (result == 0)
        print_supply(v, units);
    free(v);
    return result;
}

/* ---- feed room ---- */

static json_t *json_feed(const struct feed_view *v)
{
    json_t *cows = json_array(), *stocks = json_array();
    for (size_t i = 0; i < v->cows; i++) {
        const struct feed_cow_view *c = &v->cow[i];
        json_array_append_new(cows, json_pack("{s:s, s:o, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "cow", c->name, "gets",
                                              json_text(c->gets), "says", c->words, "need_mcal", json_number(c->need_mcal),
                                              "have_mcal", json_number(c->balanced ? c->have_mcal : (double)NAN),
                                              "balance_mcal", json_number(c->balanced ? c->balance_mcal : (double)NAN),
                                              "intake_kg_dm", json_number(c->intake_kg_dm), "cp_pct",
                                              json_number(c->balanced ? c->cp_pct : (double)NAN), "weight_kg",
                                              json_number(c->weight_kg), "water_l", json_number(c->water_l)));
    }
    for (size_t i = 0; i < v->stocks; i++) {
        const struct feed_stock_view *s = &v->stock[i];
        json_array_append_new(stocks, json_pack("{s:s, s:o, s:o, s:o, s:o, s:o}", "feed", s->feed, "left_kg",
                                                json_number(s->counted ? s->left_kg : (double)NAN), "use_kg_per_day",
                                                json_number(s->use_kg_per_day), "days_left", json_number(s->days_left),
                                                "gone_on", json_day(s->gone_on), "cost_per_day",
                                                json_number(s->cost_per_day)));
    }
    return json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:o}", "says", v->sentence, "cows", cows, "stock", stocks,
                     "cost_per_day", json_number(v->cost_per_day), "milk_kg_per_day", json_number(v->milk_kg_per_day),
                     "cost_per_l", json_number(v->cost.per_l), "cost_per_gal", json_number(v->cost.per_gal));
}

static void print_feed(const struct feed_view *v, enum unit_system units)
{
    char kg[QUANTITY_TEXT_MAX], day[CIVIL_TEXT_MAX];
    puts(v->sentence);
    for (size_t i = 0; i < v->cows; i++)
        printf("%-12s %s\n%-12s %s\n", v->cow[i].name, v->cow[i].gets[0] != '\0' ? v->cow[i].gets : "nothing recorded", "",
               v->cow[i].words);
    for (size_t i = 0; i < v->stocks; i++) {
        const struct feed_stock_view *s = &v->stock[i];
        printf("%-24s ", s->feed);
        if (!s->counted)
            puts("never counted");
        else if (isfinite(s->days_left))
            printf("%s left, %.0f days, to %s\n", quantity_format(s->left_kg, DIM_MASS, units, kg), floor(s->days_left),
                   date_year_text(s->gone_on, day));
        else
            printf("%s left, not fed now\n", quantity_format(s->left_kg, DIM_MASS, units, kg));
    }
    if (isfinite(v->cost_per_day))
        printf("Feed costs %s%.2f a day, %.2f a %s of milk\n", v->cost_whole ? "" : "at least ", v->cost_per_day,
               units == UNITS_US ? v->cost.per_gal : v->cost.per_l, units == UNITS_US ? "gallon" : "litre");
}

int show_feed(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    struct feed_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    int result = dairy_feed(d, call->now, v, f);
    if (result == 0 && call->json)
        (void)json_print(json_feed(v));
    else if (result == 0)
        print_feed(v, units);
    free(v);
    return result;
}
