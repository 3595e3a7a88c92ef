/* Acts about the body: weight or the measures that tell it, and condition. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/day/inside.h"
#include "core/herd/body.h"
#include "core/store/rows_herd.h"

static const struct field weigh_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who was weighed or measured"},
    {"girth", FIELD_QUANTITY, DIM_LENGTH, 0, NULL, "heart girth", "behind the elbow, tape snug, as 69in"},
    {"length", FIELD_QUANTITY, DIM_LENGTH, 0, NULL, "length",
     "point of shoulder to pin bone, for breeds that are no dairy breeds"},
    {"mass", FIELD_QUANTITY, DIM_MASS, 0, NULL, "or on a scale", "as 980lb"},
    {"height", FIELD_QUANTITY, DIM_LENGTH, 0, NULL, "height", "at the withers, as 46in"},
    FIELD_AT,
    FIELD_WHO,
};

static int64_t mm_of(const struct act *a, const char *key)
{
    const struct value *v = form_get(a->form, key);
    return v == NULL ? ROW_NONE : (int64_t)llround(v->number * 1e3);
}

static int say_tape_weight(struct act *a)
{
    double kg;
    char text[QUANTITY_TEXT_MAX], girth[QUANTITY_TEXT_MAX];
    double girth_m = form_number(a->form, "girth", 0);
    if (weight_reckon(girth_m, form_number(a->form, "length", (double)NAN), &kg, NULL, a->fail) != 0)
        return -1;
    act_say(a, " about %s by tape (girth %s)", say_quantity(a->dairy, kg, DIM_MASS, text),
            say_quantity(a->dairy, girth_m, DIM_LENGTH, girth));
    return 0;
}

static int act_weigh(struct act *a)
{
    struct cow_row cow;
    struct weighing_row row = {.at = a->at};
    const struct value *mass = form_get(a->form, "mass"), *girth = form_get(a->form, "girth"),
                       *height = form_get(a->form, "height");
    char text[QUANTITY_TEXT_MAX];
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    if (mass == NULL && girth == NULL && height == NULL)
        return fail_input(a->fail, "Give girth= by tape, or mass= on a scale, or height=.");
    if (girth == NULL && form_get(a->form, "length") != NULL)
        return fail_input(a->fail, "length= goes with girth=.");
    if (mass != NULL && (mass->number < 10 || mass->number > 1500))
        return fail_input(a->fail, "mass: between 10 and 1500 kg (22 and 3300 lb); is the unit right?");
    if (height != NULL && (height->number < 0.4 || height->number > 2))
        return fail_input(a->fail, "height: between 0.4 and 2 m (16 and 79 in); is the unit right?");
    row.cow_id = cow.id;
    row.mass_g = act_milli(a, "mass");
    row.girth_mm = mm_of(a, "girth");
    row.length_mm = mm_of(a, "length");
    row.height_mm = mm_of(a, "height");
    act_say(a, "%s:", cow.name);
    if (mass != NULL)
        act_say(a, " %s on the scale", say_quantity(a->dairy, mass->number, DIM_MASS, text));
    if (girth != NULL && say_tape_weight(a) != 0)
        return -1;
    if (height != NULL)
        act_say(a, " %s high", say_quantity(a->dairy, height->number, DIM_LENGTH, text));
    return row_insert(a->dairy->store, &weighing_table, &row, NULL, a->fail);
}

static const struct field condition_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who was scored"},
    {"score", FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "condition", "1 (emaciated) to 5 (obese), as 3.25"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_condition(struct act *a)
{
    struct cow_row cow;
    struct condition_score_row row = {.at = a->at};
    double score;
    if (act_cow(a, "cow", &cow) != 0 ||
        condition_parse(form_text(a->form, "score", ""), &score, a->fail) != 0)
        return -1;
    row.cow_id = cow.id;
    row.score_hundredths = (int64_t)llround(score * 100);
    act_say(a, "%s: condition %.2f", cow.name, score);
    return row_insert(a->dairy->store, &condition_score_table, &row, NULL, a->fail);
}

const struct act_kind acts_body[] = {
    {"weigh", "her weight, by tape or on a scale, and height", "cow=Maud girth=69in", FIELDS(weigh_fields),
     act_weigh},
    {"condition", "body condition, 1 to 5 in quarter points", "cow=Maud score=3.25", FIELDS(condition_fields),
     act_condition},
    {0},
};
