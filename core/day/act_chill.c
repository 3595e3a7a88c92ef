/* Acts at the tub: readings, stirring, jars pulled; ice and water. */
#include <stdio.h>
#include <string.h>

#include "core/day/chill.h"
#include "core/day/inside.h"
#include "core/day/jars_at.h"
#include "core/day/wash_record.h"

/* ---- reading ---- */

/* What a thermometer can show where it hangs; beyond that it is broken, or was written down wrong. */
static const struct {
    const char *place;
    double low_c, high_c;
} can_read[] = {
    {"", -1, 60}, {"tub", -3, 60}, {"fridge", -30, 50}, {"room", -50, 60}, {"sink", 0, 100},
};

static int check_possible(struct act *a, const char *place, double temp_c)
{
    char read[QUANTITY_TEXT_MAX], low[QUANTITY_TEXT_MAX], high[QUANTITY_TEXT_MAX];
    for (size_t i = 0; i < sizeof can_read / sizeof can_read[0]; i++)
        if (strcmp(can_read[i].place, place) == 0 && (temp_c < can_read[i].low_c || temp_c > can_read[i].high_c))
            return fail_refused(a->fail, "%s cannot be what %s%s reads: between %s and %s.",
                                say_quantity(a->dairy, temp_c, DIM_TEMPERATURE, read), place[0] == '\0' ? "milk" : "the ",
                                place, say_quantity(a->dairy, can_read[i].low_c, DIM_TEMPERATURE, low),
                                say_quantity(a->dairy, can_read[i].high_c, DIM_TEMPERATURE, high));
    return 0;
}

int act_add_reading(struct act *a, int64_t batch_id, const char *place, int64_t temp_mc, const char *source)
{
    if (check_possible(a, place, (double)temp_mc / 1e3) != 0)
        return -1;
    struct reading_row row = {.at = a->at, .batch_id = batch_id, .temp_mc = temp_mc};
    (void)snprintf(row.source, sizeof row.source, "%s", source);
    (void)snprintf(row.place, sizeof row.place, "%s", place);
    return row_insert(a->dairy->store, &reading_table, &row, NULL, a->fail);
}

static const struct field reading_fields[] = {
    {"batch", FIELD_NAME, 0, 0, NULL, "batch", "its code, or its letter this morning"},
    {"at_place", FIELD_CHOICE, 0, 0, "tub|fridge|room|sink", "or place", "tub, fridge, room or sink"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "reads", "as 58F"},
    FIELD_AT,
    FIELD_WHO,
};

int act_check_reading(struct act *a, const struct batch_row *batch, double temp_c)
{
    char read[QUANTITY_TEXT_MAX], poured[QUANTITY_TEXT_MAX], when[CIVIL_TEXT_MAX];
    struct reading_row same;
    bool found;
    if (a->at.s < batch->poured_at.s)
        return fail_refused(a->fail, "Batch %s was poured at %s; it cannot have been read before.",
                            batch->code, clock_text(batch->poured_at, when));
    if (temp_c > (double)batch->temp_mc / 1e3 + 0.3)
        return fail_refused(a->fail,
                            "%s is more than it was poured at (%s); read again, or correct the pour.",
                            say_quantity(a->dairy, temp_c, DIM_TEMPERATURE, read),
                            say_quantity(a->dairy, (double)batch->temp_mc / 1e3, DIM_TEMPERATURE, poured));
    if (rows_first(a->dairy->store, &reading_table, "WHERE batch_id = ?1 AND at = ?2",
                   (struct bind[]){BIND_ID(batch->id), BIND_AT(a->at)}, 2, &same, &found, a->fail) != 0)
        return -1;
    return found ? fail_refused(a->fail, "Batch %s was read at that moment already.", batch->code) : 0;
}

static int act_reading(struct act *a)
{
    struct batch_row batch;
    char place[16] = "", text[QUANTITY_TEXT_MAX];
    double temp_c = form_number(a->form, "temp", 0);
    bool has_place = form_choice_word(a->form, "at_place", place, sizeof place);
    bool has_batch = form_get(a->form, "batch") != NULL;
    if (has_place == has_batch)
        return fail_input(a->fail, "Say what was read: batch=, or at_place=tub, fridge, room or sink.");
    say_quantity(a->dairy, temp_c, DIM_TEMPERATURE, text);
    if (has_place) {
        if (strcmp(place, "sink") == 0 && sink_check_reading(a, temp_c) != 0)
            return -1;
        act_say(a, "%s reads %s", place, text);
        return act_add_reading(a, ROW_NONE, place, quantity_milli(temp_c), "hand");
    }
    if (act_batch(a, "batch", &batch) != 0 || act_check_reading(a, &batch, temp_c) != 0)
        return -1;
    act_say(a, "batch %s reads %s", batch.code, text);
    if (act_add_reading(a, batch.id, "", quantity_milli(temp_c), "hand") != 0)
        return -1;
    return chill_check(a, batch.milking_id);
}

/* ---- the tub ---- */

static int add_tub_act(struct act *a, struct tub_act_row *row)
{
    struct milking_row m;
    bool found;
    row->at = a->at;
    if (row_insert(a->dairy->store, &tub_act_table, row, NULL, a->fail) != 0 ||
        act_milking(a, true, &m, &found) != 0)
        return -1;
    return chill_check(a, m.id);
}

static const struct field ice_fields[] = {
    {"mass", FIELD_QUANTITY, DIM_MASS, FIELD_REQUIRED, NULL, "ice", "how much went into the tub, as 20lb"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "its temperature",
     "0 °C if wet; a freezer's if just taken out"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_ice(struct act *a)
{
    struct tub_act_row row = {.kind = "ice", .mass_g = act_milli(a, "mass"), .temp_mc = act_milli(a, "temp")};
    char text[QUANTITY_TEXT_MAX];
    if (row.mass_g <= 0)
        return fail_input(a->fail, "mass: how much ice, as 20lb.");
    if (row.temp_mc != ROW_NONE && row.temp_mc > 0)
        return fail_refused(a->fail, "There is no ice above 32 °F (0 °C).");
    act_say(a, "%s of ice into the tub", say_quantity(a->dairy, (double)row.mass_g / 1e3, DIM_MASS, text));
    return add_tub_act(a, &row);
}

static const struct field water_fields[] = {
    {"state", FIELD_CHOICE, 0, FIELD_REQUIRED, "fill|drain", "what", "fill or drain"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, FIELD_REQUIRED, NULL, "water", "how much, as 3gal"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "its temperature",
     "of water filled in; the tap's if not given"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_water(struct act *a)
{
    struct tub_act_row row = {.mass_g = act_milli(a, "volume"), .temp_mc = ROW_NONE};
    char text[QUANTITY_TEXT_MAX];
    bool fill = form_choice(a->form, "state", 0) == 0;
    if (row.mass_g <= 0)
        return fail_input(a->fail, "volume: how much water, as 3gal.");
    (void)snprintf(row.kind, sizeof row.kind, "%s", fill ? "fill" : "drain");
    if (fill)
        row.temp_mc = form_get(a->form, "temp") != NULL ? act_milli(a, "temp") : a->dairy->row.tap_temp_mc;
    if (fill && (row.temp_mc < 0 || row.temp_mc > 40000))
        return fail_refused(a->fail, "Water for the tub is between 32 °F (0 °C) and 104 °F (40 °C).");
    act_say(a, "%s of water %s the tub", say_quantity(a->dairy, (double)row.mass_g / 1e3, DIM_VOLUME, text),
            fill ? "into" : "out of");
    return add_tub_act(a, &row);
}

static const struct field stir_fields[] = {
    {"how", FIELD_CHOICE, 0, 0, "both|water|no", "how",
     "both (jars swirled in moved water), water, no (left still)"},
    {"batch", FIELD_NAME, 0, 0, NULL, "batch", "the tub is stirred for all that stand in it"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_stir(struct act *a)
{
    struct tub_act_row row = {.kind = "stir", .mass_g = ROW_NONE, .temp_mc = ROW_NONE, .stir = "both"};
    struct batch_row batch;
    static const char *const words[] = {"water moved and jars swirled", "water moved", "left still"};
    if (form_get(a->form, "batch") != NULL && act_batch(a, "batch", &batch) != 0)
        return -1;
    (void)form_choice_word(a->form, "how", row.stir, sizeof row.stir);
    act_say(a, "tub: %s from now on", words[form_choice(a->form, "how", 0)]);
    return add_tub_act(a, &row);
}

/* ---- pull ---- */

static const struct field pull_fields[] = {
    {"batch", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "batch", "its code, or its letter this morning"},
    {"to", FIELD_CHOICE, 0, 0, "fridge|table|tub", "to", "fridge, table, or back into the tub"},
    {"count", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "jars", "how many; all of them if not given"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_pull(struct act *a)
{
    static const enum jar_place from[] = {AT_TUB, AT_TABLE, AT_FRIDGE};
    struct batch_row batch;
    struct jar_stands stands;
    enum jar_place to = AT_FRIDGE;
    char word[16] = "fridge", when[CIVIL_TEXT_MAX];
    if (act_batch(a, "batch", &batch) != 0 || jar_stands_load(a->dairy, batch.id, &stands, a->fail) != 0)
        return -1;
    (void)form_choice_word(a->form, "to", word, sizeof word);
    (void)jar_place_parse(word, &to, NULL);
    if (a->at.s < batch.poured_at.s)
        return fail_refused(a->fail, "Batch %s was poured at %s; it cannot be pulled before.", batch.code,
                            clock_text(batch.poured_at, when));
    int there = 0, moved = 0;
    for (size_t i = 0; i < sizeof from / sizeof from[0]; i++)
        there += from[i] == to ? 0 : jar_stands_at(&stands, from[i], 0);
    int wanted = (int)form_number(a->form, "count", there);
    if (there == 0 || wanted < 1 || wanted > there)
        return fail_refused(a->fail,
                            there == 0 ? "No jar of %s can go there: none is anywhere else."
                                       : "There are not that many jars of %s to move.",
                            batch.code);
    for (size_t i = 0; i < sizeof from / sizeof from[0] && moved < wanted; i++) {
        int part = from[i] == to ? 0 : jar_stands_at(&stands, from[i], 0);
        if (part > wanted - moved)
            part = wanted - moved;
        if (part > 0 && act_put(a, batch.id, from[i], to, ROW_NONE, part, NULL) != 0)
            return -1;
        moved += part;
    }
    act_say(a, "%s: %d jar%s to the %s", batch.code, moved, moved == 1 ? "" : "s", jar_place_text(to));
    return chill_check(a, batch.milking_id);
}

const struct act_kind acts_chill[] = {
    {"reading", "a temperature was read", "batch=A temp=58F", FIELDS(reading_fields), act_reading},
    {"ice", "ice went into the tub", "mass=20lb", FIELDS(ice_fields), act_ice},
    {"water", "water went into the tub or out of it", "state=fill volume=3gal temp=55F", FIELDS(water_fields),
     act_water},
    {"stir", "the tub is stirred from now on, or left still", "how=water", FIELDS(stir_fields), act_stir},
    {"pull", "jars go from the tub to the refrigerator, the table, or back", "batch=A to=fridge",
     FIELDS(pull_fields), act_pull},
    {0},
};
