/* Acts at the tub: jars poured, read, stirred, pulled; ice and water. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/chill.h"
#include "core/day/holds.h"
#include "core/day/inside.h"
#include "core/milk/code.h"
#include "core/milk/jars.h"

/* Milk leaves the cow at about 38 °C and is poured at about 35 °C (95 °F): common practice, no source. */
enum { USUAL_POUR_MC = 35000, SOURCES_MAX = 12 };

/* ---- pour ---- */

static const struct field pour_fields[] = {
    {"jars", FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "jars", "as 4xhalf-gallon or 3xhalf-gallon,2xquart"},
    {"from", FIELD_TEXT, 0, 0, NULL, "whose milk",
     "names with commas; those milked and not yet poured if not given"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "milk reads", "as 95F; taken as 95 °F if not read"},
    {"bath", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "tub reads", "the water among the jars, as 34F"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "milk in all", "if the jars are not full"},
    {"allow", FIELD_TEXT, 0, 0, NULL, "keep although held",
     "the reason, when a cow on hold is poured all the same"},
    FIELD_AT,
    FIELD_WHO,
};

struct source {
    struct cow_row cow;
    struct milk_row milk; /* id 0: nothing recorded of her this milking */
};

struct pour {
    struct milking_row milking;
    struct source source[SOURCES_MAX];
    size_t sources;
    int count[JARS_KINDS_MAX];
    struct jars_kinds kinds;
    double full_l; /* what the jars hold when full */
    double milk_l; /* what goes into them */
    char held_why[160];
};

static int read_jars(struct act *a, struct pour *p)
{
    const struct jar_list *jars = &a->dairy->jars;
    p->kinds.count = 0;
    for (size_t i = 0; i < jars->count && p->kinds.count < JARS_KINDS_MAX; i++) {
        struct jars_kind *kind = &p->kinds.kind[p->kinds.count++];
        (void)snprintf(kind->name, sizeof kind->name, "%s", jars->kind[i].name);
        kind->volume_l = jars->kind[i].volume_l;
    }
    if (jars_parse(form_text(a->form, "jars", ""), &p->kinds, p->count, a->fail) != 0)
        return -1;
    p->full_l = jars_volume_l(p->count, &p->kinds);
    p->milk_l = form_number(a->form, "volume", p->full_l);
    if (p->milk_l <= 0)
        return fail_input(a->fail, "volume: there has to be some milk in them.");
    if (p->milk_l > p->full_l * 1.02)
        return fail_refused(a->fail, "That much milk does not go into those jars.");
    return 0;
}

static int load_milk(struct act *a, struct pour *p, struct source *source)
{
    bool found;
    if (rows_first(a->dairy->store, &milk_table, "WHERE milking_id = ?1 AND cow_id = ?2",
                   (struct bind[]){BIND_ID(p->milking.id), BIND_ID(source->cow.id)}, 2, &source->milk, &found,
                   a->fail) != 0)
        return -1;
    if (!found)
        source->milk = (struct milk_row){.at = a->at, .mass_g = ROW_NONE};
    return 0;
}

static int add_source(struct act *a, struct pour *p, const char *name)
{
    if (p->sources == SOURCES_MAX)
        return fail_refused(a->fail, "At most %d cows in one batch.", SOURCES_MAX);
    struct source *source = &p->source[p->sources];
    if (find_cow(a->dairy, name, &source->cow, a->fail) != 0)
        return -1;
    for (size_t i = 0; i < p->sources; i++)
        if (p->source[i].cow.id == source->cow.id)
            return fail_input(a->fail, "%s is named twice.", source->cow.name);
    p->sources++;
    return load_milk(a, p, source);
}

static int named_sources(struct act *a, struct pour *p)
{
    char name[64];
    const char *list = form_text(a->form, "from", "");
    while (list_next(&list, ',', name, sizeof name))
        if (add_source(a, p, name) != 0)
            return -1;
    return p->sources > 0 ? 0 : fail_input(a->fail, "from: name the cows, as from=Maud,Tib.");
}

/* Those milked in this milking whose milk is in no batch yet and may be kept. */
static int usual_sources(struct act *a, struct pour *p)
{
    struct cow_row *cows;
    size_t count;
    struct hold_state state;
    char held[64] = "";
    int result = rows_load(
        a->dairy->store, &cow_table,
        "WHERE id IN (SELECT cow_id FROM milk WHERE milking_id = ?1) AND id NOT IN (SELECT cow_id FROM"
        " batch_source WHERE batch_id IN (SELECT id FROM batch WHERE milking_id = ?1)) ORDER BY stall",
        (struct bind[]){BIND_ID(p->milking.id)}, 1, (void **)&cows, &count, a->fail);
    for (size_t i = 0; i < count && result == 0; i++) {
        result = add_source(a, p, cows[i].name);
        if (result == 0)
            result = cow_hold_state(a->dairy, cows[i].id, p->source[p->sources - 1].milk.at, &state, NULL,
                                    a->fail);
        if (result == 0 && !state.keep && form_get(a->form, "allow") == NULL) {
            p->sources--;
            (void)snprintf(held, sizeof held, "%s", cows[i].name);
        }
    }
    free(cows);
    if (result == 0 && p->sources == 0)
        return held[0] != '\0'
                   ? fail_refused(a->fail,
                                  "%s's milk is not to be kept; name it with from=%s and say why with "
                                  "allow=, or pour it away.",
                                  held, held)
                   : fail_refused(a->fail,
                                  "Whose milk? Nobody has been milked who is not poured; say with from=.");
    return result;
}

/* Milk of a cow on hold goes into jars only with a reason, which the batch then carries. */
static int check_holds(struct act *a, struct pour *p)
{
    const char *allow = form_text(a->form, "allow", NULL);
    for (size_t i = 0; i < p->sources; i++) {
        struct hold_state state;
        if (cow_hold_state(a->dairy, p->source[i].cow.id, p->source[i].milk.at, &state, NULL, a->fail) != 0)
            return -1;
        if (state.keep)
            continue;
        if (allow == NULL)
            return fail_refused(a->fail,
                                "%s's milk is not to be kept: %.150s. To fill jars with it all the same, say "
                                "why with allow=.",
                                p->source[i].cow.name, state.words);
        if (!text_append(p->held_why, sizeof p->held_why, "%s%s: %.60s", p->held_why[0] == '\0' ? "" : "; ",
                         p->source[i].cow.name, state.words))
            break;
    }
    if (p->held_why[0] != '\0')
        (void)text_append(p->held_why, sizeof p->held_why, " / %.60s", allow);
    return 0;
}

static int next_code(struct act *a, const struct pour *p, char code[CODE_TEXT_MAX])
{
    struct store *s = a->dairy->store;
    struct date day = instant_date(p->milking.opened_at);
    struct milking_row *milkings;
    struct batch_row *batches;
    size_t milking_count, batch_count;
    if (rows_load(s, &milking_table, "WHERE opened_at >= ?1 AND opened_at <= ?2 ORDER BY opened_at",
                  (struct bind[]){BIND_AT(date_start(day)), BIND_AT(p->milking.opened_at)}, 2,
                  (void **)&milkings, &milking_count, a->fail) != 0)
        return -1;
    free(milkings);
    if (rows_load(s, &batch_table, "WHERE milking_id = ?1", (struct bind[]){BIND_ID(p->milking.id)}, 1,
                  (void **)&batches, &batch_count, a->fail) != 0)
        return -1;
    free(batches);
    char letter = code_letter((int)batch_count);
    if (letter == '\0')
        return fail_refused(a->fail, "This milking has as many batches as there are letters.");
    return code_format(&(struct batch_code){.on = day, .milking = (int)milking_count, .letter = letter}, code,
                       a->fail);
}

static int add_batch_sources(struct act *a, const struct pour *p, const struct batch_row *batch)
{
    double share = (double)(batch->volume_ml * batch->count) / 1e3 / p->milk_l;
    double poured_kg = milk_mass_kg(p->milk_l, MILK_LB_PER_GAL * KG_PER_LB / L_PER_GAL), given_kg = 0;
    bool all_weighed = true;
    for (size_t i = 0; i < p->sources; i++) {
        all_weighed = all_weighed && p->source[i].milk.mass_g != ROW_NONE;
        given_kg += all_weighed ? (double)p->source[i].milk.mass_g / 1e3 : 0;
    }
    for (size_t i = 0; i < p->sources; i++) {
        struct batch_source_row row = {
            .batch_id = batch->id, .cow_id = p->source[i].cow.id, .mass_g = ROW_NONE};
        /* Milk of several cows is mixed in the strainer pail: each has the part of it that she gave. */
        if (p->sources == 1)
            row.mass_g = quantity_milli(poured_kg * share);
        else if (all_weighed && given_kg > 0)
            row.mass_g =
                quantity_milli(poured_kg * share * (double)p->source[i].milk.mass_g / 1e3 / given_kg);
        if (row_insert(a->dairy->store, &batch_source_table, &row, NULL, a->fail) != 0)
            return -1;
    }
    return 0;
}

static int add_one_batch(struct act *a, const struct pour *p, size_t kind)
{
    struct batch_row batch = {.milking_id = p->milking.id, .count = p->count[kind], .poured_at = a->at};
    const struct value *temp = form_get(a->form, "temp");
    struct jar_move_row move = {
        .at = a->at, .from_place = "pail", .to_place = "tub", .count = p->count[kind]};
    char code[CODE_TEXT_MAX];
    if (next_code(a, p, code) != 0)
        return -1;
    (void)snprintf(batch.code, sizeof batch.code, "%s", code);
    (void)snprintf(batch.kind, sizeof batch.kind, "%s", p->kinds.kind[kind].name);
    (void)snprintf(batch.held_why, sizeof batch.held_why, "%s", p->held_why);
    batch.volume_ml = quantity_milli(p->kinds.kind[kind].volume_l * fmin(1, p->milk_l / p->full_l));
    batch.temp_mc = temp == NULL ? USUAL_POUR_MC : quantity_milli(temp->number);
    batch.temp_read = temp != NULL;
    if (row_insert(a->dairy->store, &batch_table, &batch, NULL, a->fail) != 0)
        return -1;
    move.batch_id = batch.id;
    act_say(a, "%s%s: %d %s", a->what[0] == '\0' ? "" : ", ", batch.code, p->count[kind], batch.kind);
    if (row_insert(a->dairy->store, &jar_move_table, &move, NULL, a->fail) != 0)
        return -1;
    return add_batch_sources(a, p, &batch);
}

static int add_reading(struct act *a, int64_t batch_id, const char *place, int64_t temp_mc)
{
    struct reading_row row = {.at = a->at, .batch_id = batch_id, .temp_mc = temp_mc, .source = "hand"};
    (void)snprintf(row.place, sizeof row.place, "%s", place);
    return row_insert(a->dairy->store, &reading_table, &row, NULL, a->fail);
}

static int act_pour(struct act *a)
{
    struct pour p = {.sources = 0};
    bool found;
    double temp_c = form_number(a->form, "temp", 35);
    if (read_jars(a, &p) != 0)
        return -1;
    if (temp_c < 0 || temp_c > 45)
        return fail_refused(a->fail, "temp: milk is poured between 32 °F and 113 °F (0 and 45 °C).");
    if (act_milking(a, true, &p.milking, &found) != 0)
        return -1;
    if ((form_get(a->form, "from") != NULL ? named_sources(a, &p) : usual_sources(a, &p)) != 0 ||
        check_holds(a, &p) != 0)
        return -1;
    for (size_t i = 0; i < p.kinds.count; i++)
        if (p.count[i] > 0 && add_one_batch(a, &p, i) != 0)
            return -1;
    for (size_t i = 0; i < p.sources; i++)
        act_say(a, "%s%s", i == 0 ? " of " : ", ", p.source[i].cow.name);
    if (p.held_why[0] != '\0')
        act_say(a, "; HELD: %.100s", p.held_why);
    if (form_get(a->form, "bath") != NULL && add_reading(a, ROW_NONE, "tub", act_milli(a, "bath")) != 0)
        return -1;
    return chill_check(a, p.milking.id);
}

/* ---- reading ---- */

static const struct field reading_fields[] = {
    {"batch", FIELD_NAME, 0, 0, NULL, "batch", "its code, or its letter this morning"},
    {"at_place", FIELD_CHOICE, 0, 0, "tub|fridge|room|sink", "or place", "tub, fridge, room or sink"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "reads", "as 58F"},
    FIELD_AT,
    FIELD_WHO,
};

static int check_reading(struct act *a, const struct batch_row *batch, double temp_c)
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
        act_say(a, "%s reads %s", place, text);
        return add_reading(a, ROW_NONE, place, quantity_milli(temp_c));
    }
    if (act_batch(a, "batch", &batch) != 0 || check_reading(a, &batch, temp_c) != 0)
        return -1;
    act_say(a, "batch %s reads %s", batch.code, text);
    if (add_reading(a, batch.id, "", quantity_milli(temp_c)) != 0)
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

static int move_jars(struct act *a, const struct batch_row *batch, const char *from, const char *to,
                     int count)
{
    struct jar_move_row move = {.batch_id = batch->id, .at = a->at, .count = count};
    (void)snprintf(move.from_place, sizeof move.from_place, "%s", from);
    (void)snprintf(move.to_place, sizeof move.to_place, "%s", to);
    return row_insert(a->dairy->store, &jar_move_table, &move, NULL, a->fail);
}

static int act_pull(struct act *a)
{
    struct batch_row batch;
    struct jar_places places;
    char to[16] = "fridge", when[CIVIL_TEXT_MAX];
    if (act_batch(a, "batch", &batch) != 0 || batch_places(a->dairy, batch.id, &places, a->fail) != 0)
        return -1;
    (void)form_choice_word(a->form, "to", to, sizeof to);
    if (a->at.s < batch.poured_at.s)
        return fail_refused(a->fail, "Batch %s was poured at %s; it cannot be pulled before.", batch.code,
                            clock_text(batch.poured_at, when));
    const struct {
        const char *name;
        int jars;
    } from[] = {{"tub", places.tub}, {"table", places.table}, {"fridge", places.fridge}};
    int there = 0, moved = 0;
    for (size_t i = 0; i < sizeof from / sizeof from[0]; i++)
        there += strcmp(from[i].name, to) == 0 ? 0 : from[i].jars;
    int wanted = (int)form_number(a->form, "count", there);
    if (there == 0 || wanted < 1 || wanted > there)
        return fail_refused(a->fail,
                            there == 0 ? "No jar of %s can go there: none is anywhere else."
                                       : "There are not that many jars of %s to move.",
                            batch.code);
    for (size_t i = 0; i < sizeof from / sizeof from[0] && moved < wanted; i++) {
        int part = strcmp(from[i].name, to) == 0 ? 0 : from[i].jars;
        if (part > wanted - moved)
            part = wanted - moved;
        if (part > 0 && move_jars(a, &batch, from[i].name, to, part) != 0)
            return -1;
        moved += part;
    }
    act_say(a, "%s: %d jar%s to the %s", batch.code, moved, moved == 1 ? "" : "s",
            strcmp(to, "fridge") == 0 ? "refrigerator" : to);
    return chill_check(a, batch.milking_id);
}

const struct act_kind acts_chill[] = {
    {"pour", "milk is poured into jars and the jars go into the tub",
     "jars=4xhalf-gallon from=Maud temp=95F bath=34F", FIELDS(pour_fields), act_pour},
    {"reading", "a temperature was read", "batch=A temp=58F", FIELDS(reading_fields), act_reading},
    {"ice", "ice went into the tub", "mass=20lb", FIELDS(ice_fields), act_ice},
    {"water", "water went into the tub or out of it", "state=fill volume=3gal temp=55F", FIELDS(water_fields),
     act_water},
    {"stir", "the tub is stirred from now on, or left still", "how=water", FIELDS(stir_fields), act_stir},
    {"pull", "jars go from the tub to the refrigerator, the table, or back", "batch=A to=fridge",
     FIELDS(pull_fields), act_pull},
    {0},
};
