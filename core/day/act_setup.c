/* Acts that say what the dairy is: itself, its animals, jars, routine, rations, notes. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/text.h"
#include "core/day/inside.h"
#include "core/store/rows_shelf.h"

/* ---- dairy ---- */

static const struct field dairy_fields[] = {
    {"name", FIELD_NAME, 0, 0, NULL, "name of the dairy", "what you call it"},
    {"keeper", FIELD_NAME, 0, 0, NULL, "who milks", "your name, as it goes into the records"},
    {"units", FIELD_CHOICE, 0, 0, "us|metric", "units", "us (°F, lb, gal) or metric (°C, kg, L)"},
    {"limit", FIELD_NAME, 0, 0, NULL, "cooling rule",
     "pmo, eu-8, eu-6, 40f-2h and others of limits.csv, or own"},
    {"stalls", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "stalls", "places in the barn, side by side"},
    {"times", FIELD_TEXT, 0, 0, NULL, "milking at", "usual times of day, as 06:10 or 06:10,17:30"},
    {"tub", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "water in the tub", "before ice, as 5gal"},
    {"tap", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "tap water", "its usual temperature, as 55F"},
    {"room", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "milk house", "its usual temperature, as 60F"},
    {"fridge", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "refrigerator", "its usual temperature, as 38F"},
    {"own", FIELD_TEXT, 0, FIELD_SELDOM, NULL, "own rule", "for limit=own, as 45F/120/end; 50F/240/start; hold 40F"},
    {"stir", FIELD_CHOICE, 0, 0, "no|water|both", "tub stirred",
     "no, water (a pump or paddle), both (jars swirled too)"},
    {"table", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "on the table",
     "jars stand there before the refrigerator, as 5min"},
    {"fresh", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "fresh cow held",
     "milk after calving is not kept this long, as 5d"},
    {"freshmilkings", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "and milkings",
     "milkings after calving that are not kept"},
    {"use", FIELD_QUANTITY, DIM_COUNT, FIELD_AGAIN, NULL, "use within days",
     "your own rule: days after milking, as 7; empty for none"},
    FIELD_AT,
    FIELD_WHO,
};

static const struct dairy_row usual_dairy = {
    .id = 1,
    .name = "Our dairy",
    .units = "us",
    .limit_set = "pmo",
    .stalls = 4,
    .tub_water_ml = 19000,
    .tap_temp_mc = 13000,
    .room_temp_mc = 15500,
    .fridge_temp_mc = 3333,
    .stir = "no",
    .table_s = 300,
    .fresh_s = 5 * 86400,
    .fresh_milkings = 0,
    .milking_time = "06:00",
    .use_days = ROW_NONE,
};

static void set_text(const struct form *form, const char *key, char *dst, size_t size)
{
    const struct value *v = form_get(form, key);
    if (v != NULL)
        (void)text_clean(dst, size, v->text);
}

static void set_milli(const struct act *a, const char *key, int64_t *dst)
{
    if (form_get(a->form, key) != NULL)
        *dst = act_milli(a, key);
}

static void set_whole(const struct act *a, const char *key, int64_t *dst)
{
    const struct value *v = form_get(a->form, key);
    if (v != NULL)
        *dst = (int64_t)v->number;
}

/* Days after milking by the keeper's own rule; emptied: no rule. */
static void set_use_days(const struct act *a, int64_t *days)
{
    const struct value *v = form_get(a->form, "use");
    if (v != NULL)
        *days = v->text[0] == '\0' ? ROW_NONE : (int64_t)v->number;
}

static int check_times(const char *times, struct fail *f)
{
    char word[16];
    struct instant t;
    int count = 0;
    for (const char *list = times; list_next(&list, ',', word, sizeof word); count++)
        if (strchr(word, ':') == NULL || instant_parse(word, (struct instant){0}, &t, f) != 0)
            return fail_input(f, "\"%.30s\" is not a list of times; write 06:10 or 06:10,17:30.", times);
    return count >= 1 && count <= 4 ? 0 : fail_input(f, "Name one to four milking times, as 06:10,17:30.");
}

static int check_limit(struct act *a, const struct dairy_row *row)
{
    struct limit_set own;
    if (strcmp(row->limit_set, "own") == 0) {
        if (row->own_limit[0] == '\0')
            return fail_input(
                a->fail,
                "limit=own needs own=, as 45F/120/end (45 °F, 120 minutes after the end of milking).");
        return limit_parse_own(row->own_limit, &own, a->fail);
    }
    return limit_need(&a->dairy->limits, row->limit_set, NULL, a->fail) == NULL ? -1 : 0;
}

static int check_dairy(struct act *a, const struct dairy_row *row)
{
    if (row->stalls < 1 || row->stalls > STALLS_MAX)
        return fail_input(a->fail, "stalls: between 1 and %d.", STALLS_MAX);
    if (row->tub_water_ml <= 0)
        return fail_input(a->fail, "tub: the tub needs some water, as 5gal.");
    if (row->use_days != ROW_NONE && row->use_days > 60)
        return fail_input(a->fail, "use: at most 60 days after milking.");
    if (check_times(row->milking_time, a->fail) != 0)
        return -1;
    return check_limit(a, row);
}

/* A milking that is under way goes by what is usual from now on; those that are over do not. */
static int change_milking(struct act *a, const struct dairy_row *row)
{
    struct milking_row m;
    bool found;
    if (act_milking(a, false, &m, &found) != 0)
        return -1;
    if (!found)
        return 0;
    milking_tub_usual(row, &m);
    return row_update(a->dairy->store, &milking_table, &m, a->fail);
}

static int act_dairy(struct act *a)
{
    struct dairy *d = a->dairy;
    struct dairy_row row = d->set_up ? d->row : usual_dairy;
    if (!d->set_up)
        row.made_at = a->now;
    set_text(a->form, "name", row.name, sizeof row.name);
    set_text(a->form, "keeper", row.keeper, sizeof row.keeper);
    set_text(a->form, "limit", row.limit_set, sizeof row.limit_set);
    set_text(a->form, "own", row.own_limit, sizeof row.own_limit);
    set_text(a->form, "times", row.milking_time, sizeof row.milking_time);
    (void)form_choice_word(a->form, "units", row.units, sizeof row.units);
    (void)form_choice_word(a->form, "stir", row.stir, sizeof row.stir);
    set_whole(a, "stalls", &row.stalls);
    set_milli(a, "tub", &row.tub_water_ml);
    set_milli(a, "tap", &row.tap_temp_mc);
    set_milli(a, "room", &row.room_temp_mc);
    set_milli(a, "fridge", &row.fridge_temp_mc);
    set_whole(a, "table", &row.table_s);
    set_whole(a, "fresh", &row.fresh_s);
    set_whole(a, "freshmilkings", &row.fresh_milkings);
    set_use_days(a, &row.use_days);
    if (check_dairy(a, &row) != 0)
        return -1;
    act_say(a, "%s: %s, rule %s, %lld stalls", d->set_up ? "dairy changed" : "dairy begun", row.name,
            row.limit_set, (long long)row.stalls);
    if (d->set_up)
        return row_update(d->store, &dairy_table, &row, a->fail) != 0 ? -1 : change_milking(a, &row);
    /* A new dairy begins with the routine for one bucket milker. */
    return row_insert(d->store, &dairy_table, &row, NULL, a->fail) != 0
               ? -1
               : routine_save(a, asset_text("routine-one-bucket.txt"));
}

/* ---- jars ---- */

static const struct field jars_fields[] = {
    {"kind", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "kind of jar",
     "half-gallon, quart, gallon, pint, litre and others"},
    {"count", FIELD_QUANTITY, DIM_COUNT, FIELD_REQUIRED, NULL, "on hand", "how many, clean or to be washed"},
    FIELD_AT,
    FIELD_WHO,
};

/* The books come to what was counted: jars that are not known of were found, those that are missing are not ours any more.
 * Those still to be washed are among them, as far as they go. */
static int count_jars(struct act *a, const char *kind, int64_t counted)
{
    struct tally_pool_row clean, dirty;
    bool has_clean, has_dirty;
    static const char tail[] = "WHERE kind = ?1 AND state = ?2 AND person_id = 0";
    if (rows_first(a->dairy->store, &tally_pool_table, tail, (struct bind[]){BIND_TEXT(kind), BIND_TEXT("clean")}, 2, &clean,
                   &has_clean, a->fail) != 0 ||
        rows_first(a->dairy->store, &tally_pool_table, tail, (struct bind[]){BIND_TEXT(kind), BIND_TEXT("dirty")}, 2, &dirty,
                   &has_dirty, a->fail) != 0)
        return -1;
    int64_t to_wash = has_dirty && dirty.count > 0 ? dirty.count : 0;
    int64_t washed = to_wash > counted ? to_wash - counted : 0;
    int64_t found = counted - (to_wash - washed) - ((has_clean ? clean.count : 0) + washed);
    if (washed > 0 && act_move_empty(a, kind, "dirty", "clean", ROW_NONE, washed, "counted") != 0)
        return -1;
    if (found == 0)
        return 0;
    return found > 0 ? act_move_empty(a, kind, "not ours", "clean", ROW_NONE, found, "counted")
                     : act_move_empty(a, kind, "clean", "not ours", ROW_NONE, -found, "counted");
}

static int act_jars(struct act *a)
{
    struct jar_stock_row row = {.id = 0};
    bool found;
    const struct jar_kind *kind = jar_need(&a->dairy->jars, form_text(a->form, "kind", ""), a->fail);
    int64_t count = (int64_t)form_number(a->form, "count", 0);
    if (kind == NULL)
        return -1;
    if (count > 9999)
        return fail_input(a->fail, "count: at most 9999 jars.");
    if (rows_first(a->dairy->store, &jar_stock_table, "WHERE kind = ?1",
                   (struct bind[]){BIND_TEXT(kind->name)}, 1, &row, &found, a->fail) != 0)
        return -1;
    (void)snprintf(row.kind, sizeof row.kind, "%s", kind->name);
    row.on_hand = count;
    act_say(a, "%lld %s jars on hand", (long long)count, kind->name);
    if (count_jars(a, kind->name, count) != 0)
        return -1;
    return found ? row_update(a->dairy->store, &jar_stock_table, &row, a->fail)
                 : row_insert(a->dairy->store, &jar_stock_table, &row, NULL, a->fail);
}

static const struct field jarkind_fields[] = {
    {"name", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "name", "one word, as swing-top"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, FIELD_REQUIRED, NULL, "holds", "milk in it when full, as 1L"},
    {"height", FIELD_QUANTITY, DIM_LENGTH, FIELD_REQUIRED, NULL, "milk stands",
     "height of the milk in it, as 7in"},
    {"diameter", FIELD_QUANTITY, DIM_LENGTH, FIELD_REQUIRED, NULL, "diameter", "outside, as 4in"},
    {"wall", FIELD_QUANTITY, DIM_LENGTH, 0, NULL, "wall", "its thickness, as 4mm"},
    {"empty", FIELD_QUANTITY, DIM_MASS, 0, NULL, "empty", "its weight, as 1lb"},
    {"material", FIELD_CHOICE, 0, 0, "glass|steel", "made of", "glass or steel"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_jarkind(struct act *a)
{
    struct jar_kind_row row = {.id = 0};
    bool steel = form_choice(a->form, "material", 0) == 1;
    struct jar_kind kind = {
        .volume_l = form_number(a->form, "volume", 0),
        .liquid_height_m = form_number(a->form, "height", 0),
        .outside_diameter_m = form_number(a->form, "diameter", 0),
        .wall_m = form_number(a->form, "wall", steel ? 0.001 : 0.004),
        .material = steel ? JAR_STEEL : JAR_GLASS,
    };
    /* A glass jar weighs about 0.45 kg for each litre that it holds; steel about half of that. */
    kind.empty_kg = form_number(a->form, "empty", kind.volume_l * (steel ? 0.22 : 0.45));
    const char *name = form_text(a->form, "name", "");
    if (strlen(name) >= sizeof kind.name || strpbrk(name, " ,=") != NULL)
        return fail_input(a->fail, "name: one short word, as swing-top.");
    (void)snprintf(kind.name, sizeof kind.name, "%s", name);
    if (jar_find(&a->dairy->jars, name) != NULL)
        return fail_refused(a->fail, "There is a jar called %s already.", name);
    if (a->dairy->jars.count == JAR_KINDS_MAX)
        return fail_refused(a->fail, "There are %d kinds of jar already, the most there can be.",
                            JAR_KINDS_MAX);
    if (jar_kind_check(&kind, a->fail) != 0)
        return -1;
    (void)snprintf(row.name, sizeof row.name, "%s", name);
    row.volume_ml = quantity_milli(kind.volume_l);
    row.height_um = quantity_milli(kind.liquid_height_m * 1e3);
    row.diameter_um = quantity_milli(kind.outside_diameter_m * 1e3);
    row.wall_um = quantity_milli(kind.wall_m * 1e3);
    row.empty_g = quantity_milli(kind.empty_kg);
    (void)snprintf(row.material, sizeof row.material, "%s", steel ? "steel" : "glass");
    act_say(a, "new kind of jar: %s", name);
    return row_insert(a->dairy->store, &jar_kind_table, &row, NULL, a->fail);
}

/* ---- ration and note ---- */

static const struct field ration_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "whose manger"},
    {"feed", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "feed", "as oats, or dairy mix"},
    {"mass", FIELD_QUANTITY, DIM_MASS, FIELD_REQUIRED, NULL, "each milking",
     "as 4lb; 0 takes it out of her ration"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_ration(struct act *a)
{
    struct cow_row cow;
    struct ration_row old, row = {.from_at = a->at, .until_at = INSTANT_NONE};
    struct store *s = a->dairy->store;
    bool found;
    char mass[QUANTITY_TEXT_MAX];
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    set_text(a->form, "feed", row.feed, sizeof row.feed);
    if (rows_first(s, &ration_table, "WHERE cow_id = ?1 AND feed = ?2 COLLATE NOCASE AND until_at IS NULL",
                   (struct bind[]){BIND_ID(cow.id), BIND_TEXT(row.feed)}, 2, &old, &found, a->fail) != 0)
        return -1;
    row.cow_id = cow.id;
    row.mass_g = act_milli(a, "mass");
    if (found) {
        old.until_at = a->at;
        if (row_update(s, &ration_table, &old, a->fail) != 0)
            return -1;
    }
    if (row.mass_g == 0) {
        act_say(a, "%s gets no more %s", cow.name, row.feed);
        return found ? 0 : fail_refused(a->fail, "%s gets no %s as it is.", cow.name, row.feed);
    }
    act_say(a, "%s gets %s %s each milking", cow.name,
            say_quantity(a->dairy, (double)row.mass_g / 1e3, DIM_MASS, mass), row.feed);
    return row_insert(s, &ration_table, &row, NULL, a->fail);
}

static const struct field note_fields[] = {
    {"text", FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "note", "what is to be remembered"},
    {"cow", FIELD_NAME, 0, 0, NULL, "about", "a cow; or nothing for the dairy"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_note(struct act *a)
{
    struct cow_row cow;
    struct note_row row = {.at = a->at, .cow_id = ROW_NONE};
    if (form_get(a->form, "cow") != NULL) {
        if (act_cow(a, "cow", &cow) != 0)
            return -1;
        row.cow_id = cow.id;
        act_say(a, "%s: ", cow.name);
    }
    set_text(a->form, "text", row.text, sizeof row.text);
    act_say(a, "%.180s", row.text);
    return row_insert(a->dairy->store, &note_table, &row, NULL, a->fail);
}

const struct act_kind acts_setup[] = {
    {"dairy", "sets up the dairy, or changes its settings", "name=\"Alder Lane\" units=us limit=pmo stalls=4",
     FIELDS(dairy_fields), act_dairy},
    {"jars", "says how many jars of a kind there are", "kind=half-gallon count=16", FIELDS(jars_fields),
     act_jars},
    {"jarkind", "adds a kind of jar of your own", "name=swing-top volume=1L height=8in diameter=3.5in",
     FIELDS(jarkind_fields), act_jarkind},
    {"ration", "says what goes into a cow's manger each milking", "cow=Maud feed=oats mass=4lb",
     FIELDS(ration_fields), act_ration},
    {"note", "keeps a note, of a cow or of the dairy", "cow=Maud text=\"short step, left hind\"",
     FIELDS(note_fields), act_note},
    {0},
};
