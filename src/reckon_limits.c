/* Topics of core/cooling about what may be kept: blend, outage. */
#include "src/reckon.h"

#include <math.h>

#include "core/cooling/limits.h"
#include "core/cooling/outage.h"

/* --- blend --- */

static const struct field blend_fields[] = {
    {"cold", FIELD_QUANTITY, DIM_VOLUME, FIELD_REQUIRED, NULL, "cold milk",
     "milk of the earlier milking, as 10gal"},
    {"cold_temp", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "at", "its temperature, as 38F"},
    {"warm", FIELD_QUANTITY, DIM_VOLUME, FIELD_REQUIRED, NULL, "warm milk", "milk to be added, as 3gal"},
    {"warm_temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "at", "its temperature; 95F if left out"},
    {"limit", FIELD_TEXT, DIM_NUMBER, 0, NULL, "limit",
     "limit whose rule for blends counts; pmo if left out"},
};

static int reckon_blend(const struct form *form, struct working *w, struct fail *f)
{
    struct limit_list limits;
    struct limit_set own;
    double cold_l = form_number(form, "cold", 0), cold_c = form_number(form, "cold_temp", NAN);
    double warm_l = form_number(form, "warm", 0), warm_c = form_number(form, "warm_temp", 35);
    if (limit_list_load(&limits, f) != 0)
        return -1;
    const struct limit_set *limit = limit_need(&limits, form_text(form, "limit", "pmo"), &own, f);
    if (limit == NULL)
        return -1;
    if (limit->blend.unit == 0)
        return fail_refused(f, "The limit %s has no rule for blends.", limit->name);
    if (!(cold_l + warm_l > 0))
        return fail_refused(f, "There is no milk to blend.");
    double blend_c = blend_temp_c(cold_l, cold_c, warm_l, warm_c), limit_c = stated_temp_c(limit->blend);
    double most_l = cold_l * blend_fraction_most(cold_c, warm_c, limit_c);
    working_given(w, "cold_l", cold_l, ORIGIN_GIVEN);
    working_given(w, "cold_c", cold_c, ORIGIN_GIVEN);
    working_given(w, "warm_l", warm_l, ORIGIN_GIVEN);
    working_given(w, "warm_c", warm_c, form_get(form, "warm_temp") == NULL ? ORIGIN_DEFAULT : ORIGIN_GIVEN);
    working_given_text(w, "limit", limit->name, ORIGIN_GIVEN);
    working_given(w, "limit_c", limit_c, ORIGIN_CONSTANT);
    working_step(w, "(cold x its temperature + warm x its temperature) / both = %.2f C", blend_c);
    working_result(w, "blend_c", blend_c);
    working_result_yes(w, "limit_ok", stated_temp_kept(limit->blend, blend_c));
    working_result(w, "warm_most_l", most_l);
    if (isinf(most_l))
        working_why(w, "The warm milk itself is not above the limit: any amount may be added.");
    working_source(w, limit->source);
    working_caution(w, "Local law decides; this is the rule as it was read.");
    return 0;
}

/* --- outage --- */

static const struct field outage_fields[] = {
    {"off", FIELD_QUANTITY, DIM_DURATION, FIELD_REQUIRED, NULL, "power off",
     "how long the power was off, as 4h"},
    {"start", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "before",
     "temperature of milk and refrigerator before; 37F"},
    {"room", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "room",
     "temperature of the room, as 70F"},
    {"end", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "after",
     "read in a jar when the power came back, as 46F"},
    {"contents", FIELD_QUANTITY, DIM_MASS, 0, NULL, "contents", "food and drink in it; 44lb if left out"},
};

static int reckon_outage(const struct form *form, struct working *w, struct fail *f)
{
    struct outage outage;
    struct outage_facts facts = {.minutes = form_number(form, "off", 0) / 60,
                                 .start_c = form_number(form, "start", NAN),
                                 .room_c = form_number(form, "room", NAN),
                                 .contents_kg = form_number(form, "contents", NAN),
                                 .walls_w_per_k = NAN,
                                 .end_c = form_number(form, "end", NAN),
                                 .recover_per_min = NAN};
    return outage_judge(&facts, &outage, w, f);
}

#define FIELDS(table) (table), sizeof(table) / sizeof(table)[0]

const struct reckon_topic reckon_limits[] = {
    {"blend", "what adding warm milk to cold does, and how much may be added",
     "cold=10gal cold_temp=38F warm=3gal", FIELDS(blend_fields), reckon_blend},
    {"outage", "what a power cut did to the milk in the refrigerator", "off=4h room=70F end=46F",
     FIELDS(outage_fields), reckon_outage},
    {0},
};
