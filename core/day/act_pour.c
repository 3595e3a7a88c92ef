/* Acts that fill jars: milk of the morning poured, a part-filled jar topped up, jars poured into other jars.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/chill.h"
#include "core/day/holds.h"
#include "core/day/inside.h"
#include "core/day/jars_at.h"
#include "core/day/milk_log.h"
#include "core/milk/apportion.h"
#include "core/milk/code.h"
#include "core/milk/jars.h"
#include "core/milk/pour.h"

/* Milk leaves the cow at about 38 °C and is poured at about 35 °C (95 °F): common practice, no source. */
#define USUAL_POUR_C 35.0

/* Jars take a little more than their mark. */
#define OVER_MARK 1.02

enum { SOURCES_MAX = 12 };

static const struct field pour_fields[] = {
    {"jars", FIELD_TEXT, 0, 0, NULL, "jars", "as 4xhalf-gallon or 3xhalf-gallon,2xquart"},
    {"from", FIELD_TEXT, 0, 0, NULL, "whose milk",
     "names with commas; those milked and not yet poured if not given"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "milk reads", "as 95F; taken as 95 °F if not read"},
    {"bath", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "tub reads", "the water among the jars, as 34F"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "milk in all", "in those jars, if they are not full"},
    {"onto", FIELD_NAME, 0, 0, NULL, "top up", "code of a part-filled jar that gets more milk"},
    {"top", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "with", "how much goes on top of it, as 1qt"},
    {"allow", FIELD_TEXT, 0, 0, NULL, "all the same",
     "the reason, when a cow on hold is poured or a top-up is too warm"},
    FIELD_AT,
    FIELD_WHO,
};

struct source {
    struct cow_row cow;
    struct milk_row milk; /* id 0: nothing recorded of her this milking */
    bool held;
};

struct pour {
    struct milking_row milking;
    struct source source[SOURCES_MAX];
    size_t sources;
    int count[JARS_KINDS_MAX];
    struct jars_kinds kinds;
    double full_l; /* what the jars hold when full */
    double milk_l; /* what goes into them */
    double top_l;  /* and on top of another jar */
    double temp_c;
    char held_why[160];
};

static void jars_kinds_of(const struct dairy *d, struct jars_kinds *kinds)
{
    kinds->count = d->jars.count;
    for (size_t i = 0; i < d->jars.count; i++) {
        (void)snprintf(kinds->kind[i].name, sizeof kinds->kind[i].name, "%s", d->jars.kind[i].name);
        kinds->kind[i].volume_l = d->jars.kind[i].volume_l;
    }
}

static int read_jars(struct act *a, struct pour *p)
{
    jars_kinds_of(a->dairy, &p->kinds);
    if (form_get(a->form, "jars") == NULL && form_get(a->form, "onto") == NULL)
        return fail_input(a->fail, "jars= is missing: as 4xhalf-gallon or 3xhalf-gallon,2xquart.");
    if ((form_get(a->form, "onto") == NULL) != (form_get(a->form, "top") == NULL))
        return fail_input(a->fail,
                          "A top-up needs both: onto=, the jar's code, and top=, how much goes on it.");
    p->top_l = form_number(a->form, "top", 0);
    if (form_get(a->form, "top") != NULL && p->top_l <= 0)
        return fail_input(a->fail, "top: there has to be some milk to top it up with.");
    if (form_get(a->form, "jars") == NULL)
        return 0;
    if (jars_parse(form_text(a->form, "jars", ""), &p->kinds, p->count, a->fail) != 0)
        return -1;
    p->full_l = jars_volume_l(p->count, &p->kinds);
    p->milk_l = form_number(a->form, "volume", p->full_l);
    if (p->milk_l <= 0)
        return fail_input(a->fail, "volume: there has to be some milk in them.");
    if (p->milk_l > p->full_l * OVER_MARK)
        return fail_refused(a->fail, "That much milk does not go into those jars.");
    return 0;
}

/* ---- whose milk ---- */

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

/* May her milk be kept? Without an entry of this milking nobody knows when she was milked: it was between its
 * beginning and the pouring, and her milk has to be free at both. */
static int source_hold(struct act *a, const struct pour *p, const struct source *source, struct hold_state *state)
{
    if (cow_hold_state(a->dairy, source->cow.id, source->milk.at, state, NULL, a->fail) != 0)
        return -1;
    if (source->milk.id != 0 || !state->keep || p->milking.opened_at.s >= source->milk.at.s)
        return 0;
    return cow_hold_state(a->dairy, source->cow.id, p->milking.opened_at, state, NULL, a->fail);
}

/* Milk of a cow on hold goes into jars only with a reason, which the batch then carries. */
static int check_holds(struct act *a, struct pour *p)
{
    const char *allow = form_text(a->form, "allow", NULL);
    for (size_t i = 0; i < p->sources; i++) {
        struct hold_state state;
        if (source_hold(a, p, &p->source[i], &state) != 0)
            return -1;
        if (state.keep)
            continue;
        if (allow == NULL)
            return fail_refused(a->fail,
                                "%s's milk is not to be kept: %.150s. To fill jars with it all the same, say "
                                "why with allow=.",
                                p->source[i].cow.name, state.words);
        p->source[i].held = true;
        (void)text_append(p->held_why, sizeof p->held_why, "%s%s: %.60s", p->held_why[0] == '\0' ? "" : "; ",
                          p->source[i].cow.name, state.words);
    }
    if (p->held_why[0] != '\0')
        (void)text_append(p->held_why, sizeof p->held_why, " / %.60s", allow);
    return 0;
}

/* ---- batches ---- */

static int code_of(struct act *a, const struct milking_row *milking, char letter, char code[CODE_TEXT_MAX])
{
    struct date day = instant_date(milking->opened_at);
    struct milking_row *milkings;
    size_t count;
    if (rows_load(a->dairy->store, &milking_table,
                  "WHERE opened_at >= ?1 AND opened_at <= ?2 ORDER BY opened_at",
                  (struct bind[]){BIND_AT(date_start(day)), BIND_AT(milking->opened_at)}, 2,
                  (void **)&milkings, &count, a->fail) != 0)
        return -1;
    free(milkings);
    return code_format(&(struct batch_code){.on = day, .milking = (int)count, .letter = letter}, code,
                       a->fail);
}

/* The next letter that no jar of this milking carries; one that was taken back is not given again while later
 * ones are in use, since it may stand on a tape. */
static int next_code(struct act *a, const struct milking_row *milking, char code[CODE_TEXT_MAX])
{
    struct batch_row *batches;
    size_t count;
    if (rows_load(a->dairy->store, &batch_table, "WHERE milking_id = ?1",
                  (struct bind[]){BIND_ID(milking->id)}, 1, (void **)&batches, &count, a->fail) != 0)
        return -1;
    int result = 1;
    for (int n = (int)count; result == 1 && code_letter(n) != '\0'; n++) {
        result = code_of(a, milking, code_letter(n), code);
        for (size_t i = 0; i < count && result == 0; i++)
            if (strcmp(batches[i].code, code) == 0)
                result = 1;
    }
    free(batches);
    return result == 1 ? fail_refused(a->fail, "This milking has as many batches as there are letters.")
                       : result;
}

/* Writes a batch under its milking's next code, and its jars into a place. */
static int add_batch(struct act *a, const struct milking_row *milking, struct batch_row *batch,
                     enum jar_place place)
{
    char code[CODE_TEXT_MAX];
    if (next_code(a, milking, code) != 0)
        return -1;
    (void)snprintf(batch->code, sizeof batch->code, "%s", code);
    batch->milking_id = milking->id;
    batch->poured_at = a->at;
    if (row_insert(a->dairy->store, &batch_table, batch, NULL, a->fail) != 0)
        return -1;
    act_say(a, "%s%s: %lld %s", a->what[0] == '\0' ? "" : ", ", batch->code, (long long)batch->count,
            batch->kind);
    return act_put(a, batch->id, AT_PAIL, place, ROW_NONE, (int)batch->count, NULL);
}

/* Milk of several cows is mixed in the strainer pail: each has the part of it that she gave. No gram is lost:
 * what goes into a batch is shared out among them. */
static int add_sources(struct act *a, const struct pour *p, int64_t batch_id, int64_t poured_g)
{
    int64_t given[SOURCES_MAX] = {0}, part[SOURCES_MAX] = {0}, given_g = 0;
    bool told_apart = true;
    for (size_t i = 0; i < p->sources; i++) {
        given[i] = p->sources == 1 ? 1 : p->source[i].milk.mass_g;
        told_apart = told_apart && given[i] != ROW_NONE;
        given_g += told_apart ? given[i] : 0;
    }
    if (told_apart && given_g > 0)
        (void)apportion(poured_g, given, NULL, p->sources, part);
    for (size_t i = 0; i < p->sources; i++) {
        struct batch_source_row row = {.batch_id = batch_id,
                                       .cow_id = p->source[i].cow.id,
                                       .mass_g = told_apart && given_g > 0 ? part[i] : ROW_NONE,
                                       .held = p->source[i].held};
        if (row_insert(a->dairy->store, &batch_source_table, &row, NULL, a->fail) != 0)
            return -1;
    }
    return 0;
}

static int add_filled(struct act *a, const struct pour *p, size_t kind, int64_t poured_g)
{
    struct batch_row batch = {.count = p->count[kind],
                              .temp_mc = quantity_milli(p->temp_c),
                              .temp_read = form_get(a->form, "temp") != NULL};
    (void)snprintf(batch.kind, sizeof batch.kind, "%.31s", p->kinds.kind[kind].name);
    (void)snprintf(batch.held_why, sizeof batch.held_why, "%s", p->held_why);
    batch.volume_ml = quantity_milli(p->kinds.kind[kind].volume_l * fmin(1, p->milk_l / p->full_l));
    return add_batch(a, &p->milking, &batch, AT_TUB) != 0 ? -1 : add_sources(a, p, batch.id, poured_g);
}

/* ---- milk poured on ---- */

/* What `jars` jars of a batch weigh: their part of what was weighed into it, or else by volume. */
static int jars_mass_g(struct act *a, const struct batch_row *batch, int64_t jars, int64_t *mass_g)
{
    struct batch_source_row *sources = NULL;
    struct pour_on_row *pours = NULL;
    size_t source_count = 0, pour_count = 0;
    struct bind id = BIND_ID(batch->id);
    int64_t sum = 0;
    int result = rows_load(a->dairy->store, &batch_source_table, "WHERE batch_id = ?1", &id, 1,
                           (void **)&sources, &source_count, a->fail);
    if (result == 0)
        result = rows_load(a->dairy->store, &pour_on_table, "WHERE to_batch_id = ?1", &id, 1, (void **)&pours,
                           &pour_count, a->fail);
    bool known = true;
    for (size_t i = 0; i < source_count; i++) {
        known = known && sources[i].mass_g != ROW_NONE;
        sum += known ? sources[i].mass_g : 0;
    }
    for (size_t i = 0; i < pour_count; i++) {
        known = known && pours[i].mass_g != ROW_NONE;
        sum += known ? pours[i].mass_g : 0;
    }
    free(sources);
    free(pours);
    if (!known || sum == 0)
        sum = quantity_milli(
            milk_mass_kg((double)(batch->volume_ml * batch->count) / 1e3, MILK_DENSITY_KG_PER_L));
    *mass_g = (sum * jars + batch->count / 2) / batch->count;
    return result;
}

/* From now on milk of one batch is in another. */
static int add_pour_on(struct act *a, int64_t from, int64_t to, int64_t mass_g)
{
    struct pour_on_row row = {.at = a->at, .from_batch_id = from, .to_batch_id = to, .mass_g = mass_g};
    return row_insert(a->dairy->store, &pour_on_table, &row, NULL, a->fail);
}

/* The temperature of a batch's jars at home: by its history. */
static int batch_temp_at(struct act *a, const struct batch_row *batch, double *temp_c)
{
    struct keeping_span *span = malloc(LOG_SPANS_MAX * sizeof *span);
    size_t count = 0;
    if (span == NULL)
        return fail_memory(a->fail);
    int result = log_history(a->dairy, batch->id, PLACES, a->at, span, &count, a->fail);
    *temp_c = count > 0 ? log_end_c(span, count) : (double)a->dairy->row.fridge_temp_mc / 1e3;
    free(span);
    return result;
}

/* The rule on blending, as a reason to refuse: warm milk on cold must not make it too warm. */
static int check_blend(struct act *a, const struct pour *p, const struct batch_row *onto, double jar_c,
                       struct pour_top_up *blend)
{
    struct stated_temp rule = a->dairy->limit.blend;
    char blend_text[QUANTITY_TEXT_MAX], rule_text[QUANTITY_TEXT_MAX], most[QUANTITY_TEXT_MAX];
    double limit_c = rule.unit == 0 ? (double)INFINITY : stated_temp_c(rule);
    if (pour_top_up(milk_mass_kg((double)onto->volume_ml / 1e3, MILK_DENSITY_KG_PER_L), jar_c,
                    milk_mass_kg(p->top_l, MILK_DENSITY_KG_PER_L), p->temp_c, limit_c, blend, NULL,
                    a->fail) != 0)
        return -1;
    if (rule.unit == 0 || stated_temp_kept(rule, blend->blend_c) || form_get(a->form, "allow") != NULL)
        return 0;
    return fail_refused(
        a->fail,
        "With that the jar comes to %s; by the rule a blend stays at %s or below: at most %s of this milk. "
        "Chill it first, "
        "or say why with allow=.",
        say_quantity(a->dairy, blend->blend_c, DIM_TEMPERATURE, blend_text),
        say_quantity(a->dairy, limit_c, DIM_TEMPERATURE, rule_text),
        say_quantity(a->dairy, milk_volume_l(blend->most_kg, MILK_DENSITY_KG_PER_L), DIM_VOLUME, most));
}

static int check_room(struct act *a, const struct pour *p, const struct batch_row *onto)
{
    const struct jar_kind *kind = jar_find(&a->dairy->jars, onto->kind);
    char room[QUANTITY_TEXT_MAX];
    double full_l = kind == NULL ? (double)INFINITY : kind->volume_l, there_l = (double)onto->volume_ml / 1e3;
    if (there_l + p->top_l <= full_l * OVER_MARK)
        return 0;
    return fail_refused(a->fail, "A jar of %s has room for %s more.", onto->code,
                        say_quantity(a->dairy, fmax(0, full_l - there_l), DIM_VOLUME, room));
}

/* A topped-up jar is a batch of its own: its milk is of both mornings, and it gets its own tape. */
static int top_up(struct act *a, const struct pour *p, int64_t poured_g)
{
    struct batch_row onto;
    struct jar_stands stands;
    struct pour_top_up blend;
    int64_t jar_g;
    double jar_c;
    if (act_batch(a, "onto", &onto) != 0 || jar_stands_load(a->dairy, onto.id, &stands, a->fail) != 0 ||
        batch_temp_at(a, &onto, &jar_c) != 0 || check_room(a, p, &onto) != 0 ||
        check_blend(a, p, &onto, jar_c, &blend) != 0 || jars_mass_g(a, &onto, 1, &jar_g) != 0)
        return -1;
    struct batch_row batch = {.count = 1,
                              .volume_ml = onto.volume_ml + quantity_milli(p->top_l),
                              .temp_mc = quantity_milli(blend.blend_c)};
    (void)snprintf(batch.kind, sizeof batch.kind, "%s", onto.kind);
    (void)snprintf(batch.held_why, sizeof batch.held_why, "%s", p->held_why);
    if (onto.held_why[0] != '\0')
        (void)text_append(batch.held_why, sizeof batch.held_why, "%s%s", p->held_why[0] == '\0' ? "" : "; ",
                          onto.held_why);
    if (add_batch(a, &p->milking, &batch, AT_TUB) != 0 || add_sources(a, p, batch.id, poured_g) != 0 ||
        act_put_from_home(a, &onto, &stands, AT_POURED, ROW_NONE, 1, NULL) != 0 ||
        add_pour_on(a, onto.id, batch.id, jar_g) != 0)
        return -1;
    act_say(a, " (%s topped up)", onto.code);
    /* It is the same jar: no clean one was taken for it, and none is to be washed. */
    return act_move_empty(a, onto.kind, "dirty", "clean", ROW_NONE, 1, "the same jar, topped up");
}

/* ---- pour ---- */

/* Fills everything that was named: the milk's weight is shared out by volume. */
static int fill_jars(struct act *a, const struct pour *p)
{
    int64_t volume_ml[JARS_KINDS_MAX + 1] = {0}, part_g[JARS_KINDS_MAX + 1] = {0};
    size_t kinds = p->kinds.count;
    for (size_t i = 0; i < kinds; i++)
        volume_ml[i] = p->count[i] * quantity_milli(p->kinds.kind[i].volume_l);
    for (size_t i = 0; i < kinds; i++) /* full jars are filled alike, and part-filled ones likewise */
        volume_ml[i] = p->full_l > 0 ? llround((double)volume_ml[i] * p->milk_l / p->full_l) : 0;
    volume_ml[kinds] = quantity_milli(p->top_l);
    (void)apportion(quantity_milli(milk_mass_kg(p->milk_l + p->top_l, MILK_DENSITY_KG_PER_L)), volume_ml,
                    NULL, kinds + 1, part_g);
    for (size_t i = 0; i < kinds; i++)
        if (p->count[i] > 0 && add_filled(a, p, i, part_g[i]) != 0)
            return -1;
    return p->top_l > 0 ? top_up(a, p, part_g[kinds]) : 0;
}

/* A tub that would warm the milk is a slip of the pen, or a tub without ice. */
static int check_bath(struct act *a, double milk_c)
{
    char milk[QUANTITY_TEXT_MAX], bath[QUANTITY_TEXT_MAX];
    double bath_c = form_number(a->form, "bath", -INFINITY);
    if (bath_c < milk_c)
        return 0;
    return fail_refused(a->fail, "bath: the tub at %s is no colder than the milk at %s; read again.",
                        say_quantity(a->dairy, bath_c, DIM_TEMPERATURE, bath),
                        say_quantity(a->dairy, milk_c, DIM_TEMPERATURE, milk));
}

static int act_pour(struct act *a)
{
    struct pour p = {.temp_c = form_number(a->form, "temp", USUAL_POUR_C)};
    bool found;
    if (read_jars(a, &p) != 0)
        return -1;
    if (p.temp_c < 0 || p.temp_c > 45)
        return fail_refused(a->fail, "temp: milk is poured between 32 °F and 113 °F (0 and 45 °C).");
    if (check_bath(a, p.temp_c) != 0)
        return -1;
    if (act_milking(a, true, &p.milking, &found) != 0)
        return -1;
    if ((form_get(a->form, "from") != NULL ? named_sources(a, &p) : usual_sources(a, &p)) != 0 ||
        check_holds(a, &p) != 0 || fill_jars(a, &p) != 0)
        return -1;
    for (size_t i = 0; i < p.sources; i++)
        act_say(a, "%s%s", i == 0 ? " of " : ", ", p.source[i].cow.name);
    if (p.held_why[0] != '\0')
        act_say(a, "; HELD: %.100s", p.held_why);
    if (form_get(a->form, "bath") != NULL && act_add_reading(a, ROW_NONE, "tub", act_milli(a, "bath"), "hand") != 0)
        return -1;
    return chill_check(a, p.milking.id);
}

/* ---- repour ---- */

static const struct field repour_fields[] = {
    {"batch", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "batch", "code of the jars that are emptied"},
    {"count", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "jars", "how many of them; all at home if not given"},
    {"jars", FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "into", "other jars, as 4xquart"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "milk reads", "as 60F; as reckoned if not read"},
    FIELD_AT,
    FIELD_WHO,
};

/* Where most of its jars at home stand: the new ones go there too. */
static enum jar_place place_of_most(const struct jar_stands *s)
{
    enum jar_place best = AT_FRIDGE;
    int most = 0;
    for (size_t i = 0; i < s->count; i++)
        if (place_at_home(s->stand[i].place) && s->stand[i].count > most) {
            most = s->stand[i].count;
            best = s->stand[i].place;
        }
    return best;
}

static int fill_other(struct act *a, const struct pour *p, const struct batch_row *from, enum jar_place place,
                      int jars)
{
    int64_t volume_ml[JARS_KINDS_MAX] = {0}, part_g[JARS_KINDS_MAX] = {0}, all_g;
    struct jar_stands stands;
    if (jars_mass_g(a, from, jars, &all_g) != 0 ||
        jar_stands_load(a->dairy, from->id, &stands, a->fail) != 0 ||
        act_put_from_home(a, from, &stands, AT_POURED, ROW_NONE, jars, NULL) != 0)
        return -1;
    for (size_t i = 0; i < p->kinds.count; i++)
        volume_ml[i] = p->count[i] * quantity_milli(p->kinds.kind[i].volume_l);
    (void)apportion(all_g, volume_ml, NULL, p->kinds.count, part_g);
    for (size_t i = 0; i < p->kinds.count; i++) {
        struct batch_row batch = {.count = p->count[i],
                                  .temp_mc = quantity_milli(p->temp_c),
                                  .temp_read = form_get(a->form, "temp") != NULL};
        if (batch.count == 0)
            continue;
        (void)snprintf(batch.kind, sizeof batch.kind, "%.31s", p->kinds.kind[i].name);
        (void)snprintf(batch.held_why, sizeof batch.held_why, "%s", from->held_why);
        batch.volume_ml = quantity_milli(p->kinds.kind[i].volume_l * fmin(1, p->milk_l / p->full_l));
        if (add_batch(a, &p->milking, &batch, place) != 0 ||
            add_pour_on(a, from->id, batch.id, part_g[i]) != 0)
            return -1;
    }
    return 0;
}

static int act_repour(struct act *a)
{
    struct pour p = {0};
    struct batch_row from;
    struct jar_stands stands;
    if (act_batch(a, "batch", &from) != 0 || jar_stands_load(a->dairy, from.id, &stands, a->fail) != 0)
        return -1;
    int jars = (int)form_number(a->form, "count", jar_stands_home(&stands));
    jars_kinds_of(a->dairy, &p.kinds);
    if (jars_parse(form_text(a->form, "jars", ""), &p.kinds, p.count, a->fail) != 0 ||
        row_load(a->dairy->store, &milking_table, from.milking_id, &p.milking, a->fail) != 0)
        return -1;
    p.full_l = jars_volume_l(p.count, &p.kinds);
    p.milk_l = (double)(from.volume_ml * jars) / 1e3;
    if (p.milk_l > p.full_l * OVER_MARK)
        return fail_refused(a->fail, "The milk of %d jar%s does not go into those.", jars,
                            jars == 1 ? "" : "s");
    if (batch_temp_at(a, &from, &p.temp_c) != 0)
        return -1;
    p.temp_c = form_number(a->form, "temp", p.temp_c);
    if (fill_other(a, &p, &from, place_of_most(&stands), jars) != 0)
        return -1;
    act_say(a, " from %d of %s", jars, from.code);
    return chill_check(a, from.milking_id);
}

const struct act_kind acts_pour[] = {
    {"pour", "milk is poured into jars and the jars go into the tub",
     "jars=4xhalf-gallon from=Maud temp=95F bath=34F", FIELDS(pour_fields), act_pour},
    {"repour", "jars are emptied into other jars: smaller ones, or two halves into one",
     "batch=A count=1 jars=2xquart", FIELDS(repour_fields), act_repour},
    {0},
};
