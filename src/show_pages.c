/* Tonight and the journal as text and as JSON. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/journal_view.h"
#include "core/day/tonight_view.h"
#include "src/json.h"
#include "src/show.h"

/* ---- tonight ---- */

static json_t *json_tonight(const struct tonight_view *v, const struct working *w)
{
    json_t *object = json_working("tonight", w), *cows = json_array(), *jars = json_array();
    for (size_t i = 0; i < v->cows; i++)
        json_array_append_new(cows,
                              json_pack("{s:s, s:o, s:o, s:o, s:b}", "cow", v->cow[i].name, "kg",
                                        json_number(v->cow[i].expected.kg), "low_kg",
                                        json_number(v->cow[i].expected.low_kg), "high_kg",
                                        json_number(v->cow[i].expected.high_kg), "keep", v->cow[i].keep));
    for (size_t i = 0; i < v->facts.jar_kinds; i++)
        if (v->plan.jars[i] > 0)
            json_array_append_new(
                jars, json_pack("{s:s, s:i}", "jar", v->facts.jars[i].kind->name, "count", v->plan.jars[i]));
    if (object == NULL)
        return NULL;
    json_object_set_new(object, "milking_at", json_moment(v->milking_at));
    json_object_set_new(object, "cows", cows);
    json_object_set_new(object, "milk_l", json_number(v->milk_l));
    json_object_set_new(object, "milk_high_l", json_number(v->milk_high_l));
    json_object_set_new(object, "jars", jars);
    json_object_set_new(object, "short_l", json_number(v->plan.short_l));
    json_object_set_new(object, "ice_kg", json_number(v->plan.ice_kg));
    json_object_set_new(object, "ice_advised_kg", json_number(v->plan.ice_advised_kg));
    json_object_set_new(object, "ice_saved_by_chilled_water_kg", json_number(v->plan.ice_saved_kg));
    return object;
}

static void print_tonight(const struct tonight_view *v, enum unit_system units)
{
    char a[QUANTITY_TEXT_MAX], b[QUANTITY_TEXT_MAX], when[CIVIL_TEXT_MAX];
    printf("For the milking of %s\n", instant_text(v->milking_at, when));
    for (size_t i = 0; i < v->cows; i++) {
        const struct tonight_cow *c = &v->cow[i];
        if (c->keep && isfinite(c->expected.kg))
            printf("  %-12s %s to %s expected\n", c->name,
                   quantity_format(c->expected.low_kg, DIM_MASS, units, a),
                   quantity_format(c->expected.high_kg, DIM_MASS, units, b));
        else
            printf("  %-12s not to be kept: %s\n", c->name, c->why);
    }
    printf("Milk to jar: %s, on a good day %s\n", quantity_format(v->milk_l, DIM_VOLUME, units, a),
           quantity_format(v->milk_high_l, DIM_VOLUME, units, b));
    for (size_t i = 0; i < v->facts.jar_kinds; i++)
        if (v->plan.jars[i] > 0)
            printf("  %d %s\n", v->plan.jars[i], v->facts.jars[i].kind->name);
    if (v->plan.short_l > 0.01)
        printf("  no jar for %s of it\n", quantity_format(v->plan.short_l, DIM_VOLUME, units, a));
    printf("Ice: %s (just enough %s)\n", quantity_format(v->plan.ice_advised_kg, DIM_MASS, units, a),
           quantity_format(v->plan.ice_kg, DIM_MASS, units, b));
    printf("  for the milk and its glass %s, for the tap water %s; water chilled overnight saves ",
           quantity_format(v->plan.milk_ice_kg, DIM_MASS, units, a),
           quantity_format(v->plan.water_ice_kg, DIM_MASS, units, b));
    printf("%s\n", quantity_format(v->plan.ice_saved_kg, DIM_MASS, units, a));
}

int show_tonight(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    struct tonight_view v;
    struct working w;
    working_init(&w, "tonight");
    if (dairy_tonight(d, call->now, &v, &w, f) != 0)
        return -1;
    if (call->json)
        (void)json_print(json_tonight(&v, &w));
    else
        print_tonight(&v, units);
    return 0;
}

/* ---- journal ---- */

int show_journal(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    (void)units;
    char happened[CIVIL_TEXT_MAX], entered[CIVIL_TEXT_MAX];
    double before = 0;
    struct journal_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    int result = call->argc > 1 ? quantity_parse(call->argv[1], DIM_COUNT, NULL, &before, f) : 0;
    if (result == 0)
        result = dairy_journal(d, call->now, (int64_t)before, v, f);
    json_t *entries = call->json && result == 0 ? json_array() : NULL;
    for (size_t i = 0; result == 0 && i < v->entries; i++) {
        const struct journal_entry *e = &v->entry[i];
        if (call->json)
            json_array_append_new(
                entries, json_pack("{s:I, s:o, s:o, s:s, s:s, s:s, s:I, s:b}", "entry", (json_int_t)e->id,
                                   "happened_at", json_moment(e->happened_at), "entered_at",
                                   json_moment(e->entered_at), "who", e->who, "kind", e->kind, "what",
                                   e->what, "undoes", (json_int_t)e->undoes, "holds", e->holds));
        else
            printf("%5lld %s %-17s %-17s %s\n", (long long)e->id, e->holds ? " " : "-",
                   instant_text(e->happened_at, happened),
                   e->happened_at.s == e->entered_at.s ? "" : instant_text(e->entered_at, entered), e->what);
    }
    if (entries != NULL)
        (void)json_print(json_pack("{s:o}", "entries", entries));
    free(v);
    return result;
}
