/* Acts that say how milk kept, and what was lost of it: tastings, power cuts, losses. */
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/inside.h"
#include "core/milk/jars.h"
#include "core/milk/taste.h"
#include "core/store/rows_shelf.h"

/* ---- taste ---- */

static const struct field taste_fields[] = {
    {"batch", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "batch", "its code, or its letter this morning"},
    {"flavour", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "tastes",
     "good, or of what: sour, feed, soapy, cardboard, salty ..."},
    {"score", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "score", "1 bad to 5 very good"},
    {"turned", FIELD_CHOICE, 0, 0, "no|yes", "turned",
     "yes: its life is over; taken from the flavour if not given"},
    {"others", FIELD_CHOICE, 0, 0, "untried|right|same", "other jars",
     "of that batch: they taste right, or the same; untried"},
    {"note", FIELD_TEXT, 0, 0, NULL, "note", "what else was noticed"},
    FIELD_AT,
    FIELD_WHO,
};

static int read_flavour(struct act *a, struct tasting_row *row)
{
    struct taste_table table;
    const char *word = form_text(a->form, "flavour", "");
    bool turned = false;
    if (taste_is_good(word)) {
        (void)snprintf(row->flavour, sizeof row->flavour, "good");
    } else {
        if (taste_table_load(&table, a->fail) != 0 || taste_flavour(&table, word, row->flavour, a->fail) != 0)
            return -1;
        turned = taste_is_age(&table, row->flavour);
    }
    row->turned = form_choice(a->form, "turned", turned);
    if (row->turned == 1 && taste_is_good(word))
        return fail_input(a->fail, "Milk that has turned does not taste good; say what it tastes of.");
    return 0;
}

static int act_taste(struct act *a)
{
    enum { UNTRIED, RIGHT, SAME };
    struct batch_row batch;
    struct tasting_row row = {.at = a->at, .score = ROW_NONE, .one_jar = ROW_NONE};
    char when[CIVIL_TEXT_MAX];
    int others = form_choice(a->form, "others", UNTRIED);
    if (act_batch(a, "batch", &batch) != 0 || read_flavour(a, &row) != 0)
        return -1;
    if (a->at.s < batch.poured_at.s)
        return fail_refused(a->fail, "Batch %s was poured at %s; it cannot have been tasted before.",
                            batch.code, instant_text(batch.poured_at, when));
    if (form_get(a->form, "score") != NULL)
        row.score = (int64_t)form_number(a->form, "score", 0);
    if (row.score != ROW_NONE && (row.score < 1 || row.score > 5))
        return fail_input(a->fail, "score: 1 (bad) to 5 (very good).");
    if (others != UNTRIED)
        row.one_jar = others == RIGHT;
    row.batch_id = batch.id;
    (void)snprintf(row.note, sizeof row.note, "%.159s", form_text(a->form, "note", ""));
    act_say(a, "%s tasted: %s", batch.code, taste_is_good(row.flavour) ? "good" : row.flavour);
    if (row.turned == 1)
        act_say(a, ": turned, %s after the pour", span_text(a->at.s - batch.poured_at.s, when));
    return row_insert(a->dairy->store, &tasting_table, &row, NULL, a->fail);
}

/* ---- outage ---- */

static const struct field outage_fields[] = {
    {"from", FIELD_MOMENT, 0, 0, NULL, "power went", "when, as 14:10; now if not given"},
    {"to", FIELD_MOMENT, 0, 0, NULL, "came back", "when; empty while it is out"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "a jar reads",
     "read in a jar when it came back, as 44F"},
    FIELD_AT,
    FIELD_WHO,
};

static int end_outage(struct act *a, struct outage_row *open)
{
    char from[CIVIL_TEXT_MAX], span[CIVIL_TEXT_MAX];
    open->to_at = form_moment(a->form, "to", a->at);
    open->from_at = form_moment(a->form, "from", open->from_at);
    open->temp_mc = act_milli(a, "temp");
    if (open->to_at.s <= open->from_at.s)
        return fail_refused(a->fail, "The power went at %s; it cannot have come back before.",
                            instant_text(open->from_at, from));
    if (open->to_at.s > a->now.s + 60)
        return fail_refused(a->fail, "to: that is still to come.");
    act_say(a, "power back after %s", span_text(open->to_at.s - open->from_at.s, span));
    return row_update(a->dairy->store, &outage_table, open, a->fail);
}

static int act_outage(struct act *a)
{
    struct outage_row open, row = {.from_at = form_moment(a->form, "from", a->at),
                                   .to_at = form_moment(a->form, "to", INSTANT_NONE),
                                   .temp_mc = act_milli(a, "temp")};
    bool is_open;
    char span[CIVIL_TEXT_MAX];
    if (rows_first(a->dairy->store, &outage_table, "WHERE to_at IS NULL ORDER BY from_at DESC LIMIT 1", NULL,
                   0, &open, &is_open, a->fail) != 0)
        return -1;
    if (is_open && (instant_known(row.to_at) || row.temp_mc != ROW_NONE))
        return end_outage(a, &open);
    if (is_open)
        return fail_refused(a->fail, "The power is out already since %s; say when it came back with to=.",
                            instant_text(open.from_at, span));
    if (!instant_known(row.to_at) && row.temp_mc != ROW_NONE)
        return fail_input(a->fail, "temp= is read when the power comes back: give to= with it.");
    if (instant_known(row.to_at) && row.to_at.s <= row.from_at.s)
        return fail_refused(a->fail, "to: that is before the power went.");
    if (row.from_at.s > a->now.s + 60 || (instant_known(row.to_at) && row.to_at.s > a->now.s + 60))
        return fail_refused(a->fail, "That is still to come; record it when it has happened.");
    if (instant_known(row.to_at))
        act_say(a, "power was out for %s", span_text(row.to_at.s - row.from_at.s, span));
    else
        act_say(a, "power out since %s", instant_text(row.from_at, span));
    return row_insert(a->dairy->store, &outage_table, &row, NULL, a->fail);
}

/* ---- loss ---- */

static const struct field loss_fields[] = {
    {"mass", FIELD_QUANTITY, DIM_MASS, 0, NULL, "weight", "of the milk lost, as 12lb"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "or volume", "as 1gal"},
    {"why", FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "why",
     "spilled, held, fresh, abnormal, warm, outage, lab, taste, old, broken, other"},
    {"cow", FIELD_NAME, 0, 0, NULL, "cow", "whose milk; empty if of several"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_loss(struct act *a)
{
    struct cow_row cow;
    struct loss_row row = {.at = a->at, .cow_id = ROW_NONE};
    const struct value *mass = form_get(a->form, "mass"), *volume = form_get(a->form, "volume");
    char text[QUANTITY_TEXT_MAX];
    if ((mass == NULL) == (volume == NULL))
        return fail_input(a->fail, "Say how much was lost, by weight or by volume.");
    double kg = mass != NULL ? mass->number : milk_mass_kg(volume->number, MILK_DENSITY_KG_PER_L);
    row.mass_g = quantity_milli(kg);
    if (row.mass_g < 1 || kg > 1000)
        return fail_input(a->fail, "mass: more than nothing, and less than a tonne.");
    if (form_get(a->form, "cow") != NULL) {
        if (act_cow(a, "cow", &cow) != 0)
            return -1;
        row.cow_id = cow.id;
    }
    (void)snprintf(row.why, sizeof row.why, "%.159s", form_text(a->form, "why", ""));
    act_say(a, "%s of milk lost: %.120s", say_quantity(a->dairy, kg, DIM_MASS, text), row.why);
    return row_insert(a->dairy->store, &loss_table, &row, NULL, a->fail);
}

const struct act_kind acts_taste[] = {
    {"taste", "a jar was tasted", "batch=260503-1AR flavour=sour", FIELDS(taste_fields), act_taste},
    {"outage", "the power went out, or came back", "from=14:10 to=17:40 temp=44F", FIELDS(outage_fields),
     act_outage},
    {"loss", "milk was lost before it came into jars", "cow=Maud mass=20lb why=spilled", FIELDS(loss_fields),
     act_loss},
    {0},
};
