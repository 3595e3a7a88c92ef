/* Acts in the stall: the milking, each cow's milk, holds. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/holds.h"
#include "core/day/inside.h"
#include "core/herd/udder.h"
#include "core/milk/jars.h"

/* ---- milking ---- */

static const struct field milking_fields[] = {
    {"state", FIELD_CHOICE, 0, FIELD_REQUIRED, "start|end|done", "state",
     "start (the first cow), end (the last cow off), done (floors clean)"},
    FIELD_AT,
    FIELD_WHO,
};

static int start_milking(struct act *a, struct milking_row *m)
{
    char when[CIVIL_TEXT_MAX];
    if (instant_known(m->started_at))
        return fail_refused(a->fail, "This milking began at %s already.", clock_text(m->started_at, when));
    m->started_at = a->at;
    act_say(a, "milking begun");
    return 0;
}

static int end_milking(struct act *a, struct milking_row *m)
{
    char when[CIVIL_TEXT_MAX];
    if (!instant_known(m->started_at))
        return fail_refused(a->fail, "This milking has not begun; record milking state=start first.");
    if (a->at.s < m->started_at.s)
        return fail_refused(a->fail, "It cannot end before it began, at %s.",
                            clock_text(m->started_at, when));
    m->ended_at = a->at;
    act_say(a, "milking ended, %s", span_text(m->ended_at.s - m->started_at.s, when));
    return 0;
}

/* What was skipped is said at the end, not hidden. */
static int say_left_out(struct act *a, int64_t milking_id)
{
    struct tick_row *ticks;
    size_t count;
    if (rows_load(a->dairy->store, &tick_table, "WHERE milking_id = ?1 AND kind = 'skipped' ORDER BY at, id",
                  (struct bind[]){BIND_ID(milking_id)}, 1, (void **)&ticks, &count, a->fail) != 0)
        return -1;
    for (size_t i = 0; i < count; i++)
        act_say(a, "%s%s", i == 0 ? "; left out: " : ", ", ticks[i].step);
    free(ticks);
    return 0;
}

static int act_milking_state(struct act *a)
{
    enum { START, END, DONE };
    struct milking_row m;
    bool found;
    int state = form_choice(a->form, "state", START), result;
    if (act_milking(a, state == START, &m, &found) != 0)
        return -1;
    if (!found)
        return fail_refused(a->fail, "No milking is open then; record milking state=start first.");
    (void)snprintf(m.who, sizeof m.who, "%.63s", form_text(a->form, "who", m.who));
    switch (state) {
    case START: result = start_milking(a, &m); break;
    case END: result = end_milking(a, &m); break;
    default:
        m.closed_at = a->at;
        act_say(a, "milking done and closed");
        result = say_left_out(a, m.id);
        break;
    }
    return result != 0 ? -1 : row_update(a->dairy->store, &milking_table, &m, a->fail);
}

/* ---- milk ---- */

static const struct field milk_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who gave it"},
    {"mass", FIELD_QUANTITY, DIM_MASS, 0, NULL, "weight", "of her milk, as 48.5lb"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "or volume", "as 2.5gal"},
    {"strip", FIELD_TEXT, 0, 0, NULL, "strip cup", "clean, or what was seen: LF:clots RR:flakes"},
    {"quarter", FIELD_CHOICE, 0, 0, "LF|RF|LR|RR", "quarter", "where, when strip= names only what was seen"},
    {"disc", FIELD_TEXT, 0, 0, NULL, "strainer disc", "clean, dirt, hair, straw, clots, blood, fat"},
    FIELD_AT,
    FIELD_WHO,
};

static int read_mass(struct act *a, int64_t *mass_g)
{
    const struct value *mass = form_get(a->form, "mass"), *volume = form_get(a->form, "volume");
    if (mass != NULL && volume != NULL)
        return fail_input(a->fail, "Give her milk by weight or by volume, not both.");
    if (mass == NULL && volume == NULL)
        return 0;
    /* By volume it is reckoned as the trade does, 8.6 lb to the gallon. */
    double kg =
        mass != NULL ? mass->number : milk_mass_kg(volume->number, MILK_LB_PER_GAL * KG_PER_LB / L_PER_GAL);
    if (kg > 80)
        return fail_input(a->fail, "No cow gives that much at one milking; at most 80 kg (176 lb) is taken.");
    *mass_g = quantity_milli(kg);
    return 0;
}

static int read_strip(struct act *a, struct milk_row *row, struct strip *strip)
{
    char text[STRIP_TEXT_MAX], quarter[8];
    const char *seen = form_text(a->form, "strip", NULL);
    bool has_quarter = form_choice_word(a->form, "quarter", quarter, sizeof quarter);
    memset(strip, 0, sizeof *strip);
    if (seen == NULL)
        return has_quarter ? fail_input(a->fail, "quarter= needs strip=, what was seen there.") : 0;
    if (has_quarter)
        (void)snprintf(text, sizeof text, "%s:%.100s", quarter, seen);
    else
        (void)snprintf(text, sizeof text, "%.150s", seen);
    if (strip_parse(text, strip, a->fail) != 0)
        return -1;
    (void)strip_text(strip, row->strip);
    return 0;
}

/* Finds her milk of this milking, or a new row for it. */
static int milk_row_of(struct act *a, const struct cow_row *cow, const struct milking_row *m,
                       struct milk_row *row, bool *known)
{
    if (rows_first(a->dairy->store, &milk_table, "WHERE milking_id = ?1 AND cow_id = ?2",
                   (struct bind[]){BIND_ID(m->id), BIND_ID(cow->id)}, 2, row, known, a->fail) != 0)
        return -1;
    if (!*known)
        *row = (struct milk_row){
            .milking_id = m->id, .cow_id = cow->id, .at = a->at, .mass_g = ROW_NONE, .milkings = 1};
    return 0;
}

static void say_milk(struct act *a, const struct cow_row *cow, const struct milk_row *row, bool again)
{
    char text[QUANTITY_TEXT_MAX];
    act_say(a, "%s%s", cow->name, again ? ", again:" : ":");
    if (row->mass_g != ROW_NONE)
        act_say(a, " %s", say_quantity(a->dairy, (double)row->mass_g / 1e3, DIM_MASS, text));
    if (row->strip[0] != '\0')
        act_say(a, ", quarters %.80s", row->strip);
    if (row->disc[0] != '\0')
        act_say(a, ", disc %.40s", row->disc);
}

/* What the findings mean: a hold, for her and for those whose milk went the same way. */
static int take_findings(struct act *a, const struct cow_row *cow, const struct milk_row *row,
                         const struct strip *strip)
{
    char words[STRIP_TEXT_MAX];
    if (strip_abnormal(strip) && act_hold_abnormal(a, cow, row->at, strip_text(strip, words)) != 0)
        return -1;
    return form_get(a->form, "disc") == NULL ? 0 : act_disc_of(a, cow, row);
}

static int say_verdict(struct act *a, const struct cow_row *cow, const struct milk_row *row)
{
    struct hold_state state;
    if (cow_hold_state(a->dairy, cow->id, row->at, &state, NULL, a->fail) != 0)
        return -1;
    if (!state.keep)
        act_say(a, "; DO NOT KEEP: %.80s", state.reasons > 0 ? state.reason[0].words : state.words);
    return 0;
}

static int start_if_first(struct act *a, struct milking_row *m)
{
    if (instant_known(m->started_at) && a->at.s >= m->started_at.s)
        return 0;
    m->started_at = a->at; /* the first cow begins the milking, if nobody said so before */
    return row_update(a->dairy->store, &milking_table, m, a->fail);
}

static int act_milk(struct act *a)
{
    struct store *s = a->dairy->store;
    struct cow_row cow;
    struct milking_row m;
    struct milk_row row;
    struct strip strip;
    bool found, known;
    unsigned findings = 0;
    const char *disc = form_text(a->form, "disc", NULL);
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    if (strcmp(cow.sex, "male") == 0)
        return fail_refused(a->fail, "%s is a bull.", cow.name);
    if (act_milking(a, true, &m, &found) != 0 || milk_row_of(a, &cow, &m, &row, &known) != 0)
        return -1;
    if (read_mass(a, &row.mass_g) != 0 || read_strip(a, &row, &strip) != 0 ||
        (disc != NULL && disc_parse(disc, &findings, a->fail) != 0))
        return -1;
    if (disc != NULL)
        (void)disc_text(findings, row.disc);
    say_milk(a, &cow, &row, known);
    if (start_if_first(a, &m) != 0 || (known ? row_update(s, &milk_table, &row, a->fail)
                                             : row_insert(s, &milk_table, &row, NULL, a->fail)) != 0)
        return -1;
    return take_findings(a, &cow, &row, &strip) != 0 ? -1 : say_verdict(a, &cow, &row);
}

/* ---- hold ---- */

static const struct field hold_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "whose milk is held"},
    {"hours", FIELD_QUANTITY, DIM_DURATION, FIELD_UNIT_NEEDED, NULL, "hours after the last dose",
     "as the label says, as 96h"},
    {"until", FIELD_MOMENT, 0, 0, NULL, "or until", "2026-05-07T06:00, or a day: until it is over"},
    {"why", FIELD_TEXT, 0, 0, NULL, "why", "the product, or what is wrong; for lift, how it is known"},
    {"lift", FIELD_CHOICE, 0, 0, "no|yes", "lift", "yes: what holds her until lifted is over"},
    FIELD_AT,
    FIELD_WHO,
};

/* The last look at her milk that was not normal, and the last normal one after it that was made by `now`. */
struct looks {
    struct instant now, abnormal_at, clean_at;
    char found[STRIP_TEXT_MAX + DISC_TEXT_MAX];
};

static int take_look(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct looks *looks = context;
    const struct milk_row *milk = row;
    struct strip strip = {{0}};
    unsigned findings = 0;
    struct disc_reading disc;
    if (milk->strip[0] == '\0' && milk->disc[0] == '\0')
        return 0;
    if (milk->strip[0] != '\0')
        (void)strip_parse(milk->strip, &strip, NULL);
    if (milk->disc[0] != '\0')
        (void)disc_parse(milk->disc, &findings, NULL);
    disc_read(findings, 1, &disc);
    if (!strip_abnormal(&strip) && !disc.abnormal) {
        if (milk->at.s <= looks->now.s)
            looks->clean_at = milk->at;
        return 0;
    }
    looks->abnormal_at = milk->at;
    looks->clean_at = INSTANT_NONE;
    (void)snprintf(looks->found, sizeof looks->found, "%s%s",
                   strip_abnormal(&strip) ? milk->strip : "disc ", strip_abnormal(&strip) ? "" : milk->disc);
    return 0;
}

/* Abnormal milk is free again when a later look was normal, or when somebody says why. *lifted_at is when:
 * a normal look in the milking that is going on frees the milk of that milking. */
static int check_lift(struct act *a, const struct cow_row *cow, const struct hold_row *hold,
                      struct instant *lifted_at)
{
    enum { SAME_MILKING_S = 4 * 3600 };
    struct looks looks = {a->at, INSTANT_NONE, INSTANT_NONE, ""};
    char when[CIVIL_TEXT_MAX];
    *lifted_at = a->at;
    if (strcmp(hold->kind, "abnormal") != 0)
        return 0;
    if (rows_each(a->dairy->store, &milk_table, "WHERE cow_id = ?1 AND at >= ?2 ORDER BY at",
                  (struct bind[]){BIND_ID(cow->id), BIND_AT(hold->from_at)}, 2, take_look, &looks, a->fail) !=
        0)
        return -1;
    if (instant_known(looks.abnormal_at) && looks.abnormal_at.s > a->at.s)
        return fail_refused(a->fail, "Her milk of %s was not normal again (%.60s); lift the hold after that.",
                            instant_text(looks.abnormal_at, when), looks.found);
    if (instant_known(looks.clean_at)) {
        if (a->at.s - looks.clean_at.s < SAME_MILKING_S)
            lifted_at->s = looks.clean_at.s - 1;
        return 0;
    }
    if (!instant_known(looks.abnormal_at) || form_get(a->form, "why") != NULL)
        return 0;
    return fail_refused(a->fail,
                        "%s's last look, %s, showed %.60s. Record a clean one first, or say with why= how it "
                        "is known that her milk is normal.",
                        cow->name, instant_text(looks.abnormal_at, when), looks.found);
}

static int lift_holds(struct act *a, const struct cow_row *cow)
{
    struct hold_row *rows;
    size_t count;
    int result = 0;
    if (rows_load(a->dairy->store, &hold_table,
                  "WHERE cow_id = ?1 AND lifted_at IS NULL AND kind IN ('abnormal', 'plain') AND"
                  " (until_at IS NULL OR until_at > ?2) AND from_at <= ?2",
                  (struct bind[]){BIND_ID(cow->id), BIND_AT(a->at)}, 2, (void **)&rows, &count, a->fail) != 0)
        return -1;
    if (count == 0)
        result = fail_refused(
            a->fail, "Nothing holds %s that can be lifted; a treatment's hours run out by themselves.",
            cow->name);
    for (size_t i = 0; i < count && result == 0; i++) {
        result = check_lift(a, cow, &rows[i], &rows[i].lifted_at);
        if (result == 0)
            result = row_update(a->dairy->store, &hold_table, &rows[i], a->fail);
    }
    free(rows);
    act_say(a, "%s: hold lifted", cow->name);
    if (form_get(a->form, "why") != NULL)
        act_say(a, ", %.120s", form_text(a->form, "why", ""));
    return result;
}

/* A day alone holds her until that day is over. */
static struct instant hold_until(const struct value *until)
{
    return strchr(until->text, ':') != NULL ? value_latest(until) : date_start(date_add(instant_date(until->at), 1));
}

static int act_hold(struct act *a)
{
    struct cow_row cow;
    const struct value *hours = form_get(a->form, "hours"), *until = form_get(a->form, "until");
    const char *why = form_text(a->form, "why", NULL);
    char when[CIVIL_TEXT_MAX];
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    if (form_choice(a->form, "lift", 0) == 1)
        return lift_holds(a, &cow);
    if (why == NULL)
        return fail_input(a->fail, "why= is missing: the product, or what is wrong.");
    if (hours != NULL && until != NULL)
        return fail_input(a->fail, "Give hours= after the last dose, or until=, not both.");
    if (until != NULL && hold_until(until).s <= a->at.s)
        return fail_refused(a->fail, "until: that is before it begins.");
    if (hours != NULL && hours->number > 366 * 86400.0)
        return fail_input(a->fail, "hours: that is more than a year; type the label's hours, as 96h.");
    if (hours != NULL && act_dose_moment(a) != 0)
        return -1;
    struct hold_row row = {.cow_id = cow.id,
                           .from_at = a->at,
                           .last_dose_at = hours != NULL ? a->at : INSTANT_NONE,
                           .milk_s = hours != NULL ? (int64_t)hours->number : ROW_NONE,
                           .meat_s = ROW_NONE,
                           .dry_s = ROW_NONE,
                           .fresh_s = ROW_NONE,
                           .fresh_milkings = ROW_NONE,
                           .until_at = until != NULL ? hold_until(until) : INSTANT_NONE,
                           .lifted_at = INSTANT_NONE};
    (void)snprintf(row.kind, sizeof row.kind, "%s", hours != NULL ? "treatment" : "plain");
    (void)snprintf(row.why, sizeof row.why, "%.159s", why);
    act_say(a, "%s held: %.100s, ", cow.name, row.why);
    if (hours != NULL)
        act_say(a, "until %s", instant_text((struct instant){a->at.s + row.milk_s}, when));
    else
        act_say(a, "%s%s", until != NULL ? "until " : "until lifted",
                until != NULL ? instant_text(row.until_at, when) : "");
    return row_insert(a->dairy->store, &hold_table, &row, NULL, a->fail);
}

const struct act_kind acts_milking[] = {
    {"milking", "the milking begins, ends, is done", "state=start at=06:10", FIELDS(milking_fields),
     act_milking_state},
    {"milk", "a cow's milk of this milking: weight, strip cup, disc",
     "cow=Maud mass=48.5lb strip=clean disc=clean", FIELDS(milk_fields), act_milk},
    {"hold", "a cow's milk is not to be kept, or is free again", "cow=Tib hours=96h why=\"udder tube\"",
     FIELDS(hold_fields), act_hold},
    {0},
};
