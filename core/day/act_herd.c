/* Acts about animals: who they are, and what happens to them. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/holds.h"
#include "core/day/inside.h"
#include "core/store/rows_herd.h"

static void set_text(const struct form *form, const char *key, char *dst, size_t size)
{
    const struct value *v = form_get(form, key);
    if (v != NULL)
        (void)text_clean(dst, size, v->text);
}

/* Morning of a civil day, for facts of which only the day is known. */
static struct instant noon_of(struct date d)
{
    struct instant t = date_start(d);
    t.s += 12 * 3600;
    return t;
}

/* ---- cow ---- */

static const struct field cow_fields[] = {
    {"name", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "name", "what she is called"},
    {"breed", FIELD_NAME, 0, FIELD_AGAIN, NULL, "breed", "as Jersey"},
    {"stall", FIELD_QUANTITY, DIM_COUNT, FIELD_AGAIN, NULL, "stall",
     "where she is milked, 1 is the first; empty for none"},
    {"calved", FIELD_DATE, 0, 0, NULL, "last calved",
     "the day, as 2026-01-31; without one she is not in milk"},
    {"served", FIELD_DATE, 0, 0, NULL, "last served", "the day"},
    {"dried", FIELD_DATE, 0, 0, NULL, "dried off", "the day, if she is dry now"},
    {"calvings", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "calvings before", "calvings before that one"},
    {"born", FIELD_DATE, 0, 0, NULL, "born", "the day, as 2021-04-02"},
    {"tag", FIELD_NAME, 0, FIELD_AGAIN, NULL, "ear tag", "its number or letters"},
    {"sex", FIELD_CHOICE, 0, FIELD_SELDOM, "female|male", "sex", "female or male"},
    {"dam", FIELD_NAME, 0, FIELD_AGAIN, NULL, "mother", "her name"},
    {"came", FIELD_CHOICE, 0, 0, "here|born|bought", "came", "here (before the records), born or bought"},
    {"came_on", FIELD_DATE, 0, 0, NULL, "came on", "the day"},
    {"from", FIELD_NAME, 0, FIELD_AGAIN, NULL, "came from", "whom she was bought from"},
    {"quarantine", FIELD_TEXT, 0, FIELD_AGAIN, NULL, "kept apart", "so long, as 30d, or until a day"},
    {"tests", FIELD_TEXT, 0, 0, NULL, "tests due",
     "tuberculosis, brucellosis ...: her milk is not kept until they are clear"},
    {"rename", FIELD_NAME, 0, 0, NULL, "new name", "what she is called from now on"},
    {"left", FIELD_CHOICE, 0, 0, "sold|died|given|slaughtered", "left", "sold, died, given or slaughtered"},
    {"left_on", FIELD_DATE, 0, 0, NULL, "left on", "the day"},
    {"to", FIELD_NAME, 0, 0, NULL, "to whom", "who has her now, or of what she died"},
    FIELD_AT,
    FIELD_WHO,
};

static const struct cow_row new_cow = {.sex = "female",
                                       .came = "here",
                                       .born_on = {INT32_MIN},
                                       .came_on = {INT32_MIN},
                                       .left_on = {INT32_MIN},
                                       .quarantine_on = {INT32_MIN},
                                       .stall = ROW_NONE,
                                       .dam_id = ROW_NONE};

static int set_stall(struct act *a, struct cow_row *cow)
{
    struct cow_row other;
    bool found;
    const struct value *v = form_get(a->form, "stall");
    if (v == NULL)
        return 0;
    if (v->text[0] == '\0') {
        cow->stall = ROW_NONE;
        return 0;
    }
    cow->stall = (int64_t)v->number;
    if (cow->stall < 1 || cow->stall > a->dairy->row.stalls)
        return fail_refused(a->fail, "There are stalls 1 to %lld.", (long long)a->dairy->row.stalls);
    if (rows_first(a->dairy->store, &cow_table, "WHERE left_how IS NULL AND stall = ?1 AND id <> ?2",
                   (struct bind[]){BIND_ID(cow->stall), BIND_ID(cow->id)}, 2, &other, &found, a->fail) != 0)
        return -1;
    return found ? fail_refused(a->fail, "%s stands in stall %lld; move her first.", other.name,
                                (long long)cow->stall)
                 : 0;
}

static int set_dam(struct act *a, struct cow_row *cow)
{
    struct cow_row dam;
    const struct value *v = form_get(a->form, "dam");
    if (v == NULL)
        return 0;
    cow->dam_id = ROW_NONE;
    if (v->text[0] == '\0')
        return 0;
    if (find_cow(a->dairy, v->text, &dam, a->fail) != 0)
        return -1;
    if (dam.id == cow->id)
        return fail_refused(a->fail, "%s cannot be her own mother.", cow->name);
    cow->dam_id = dam.id;
    return 0;
}

static int set_leaving(struct act *a, struct cow_row *cow)
{
    if (!form_choice_word(a->form, "left", cow->left_how, sizeof cow->left_how))
        return form_get(a->form, "left_on") == NULL
                   ? 0
                   : fail_input(a->fail, "left= is missing: sold, died, given or slaughtered.");
    cow->left_on = form_date(a->form, "left_on", instant_date(a->at));
    set_text(a->form, "to", cow->left_to, sizeof cow->left_to);
    cow->stall = ROW_NONE;
    return 0;
}

/* "30d" after she came, or a day. */
static int set_quarantine(struct act *a, struct cow_row *cow)
{
    double seconds;
    const struct value *v = form_get(a->form, "quarantine");
    if (v == NULL)
        return 0;
    cow->quarantine_on = DATE_NONE;
    if (v->text[0] == '\0' || date_parse(v->text, &cow->quarantine_on, NULL) == 0)
        return 0;
    if (quantity_parse(v->text, DIM_DURATION, "d", &seconds, a->fail) != 0)
        return -1;
    if (seconds > 366 * 86400.0)
        return fail_input(a->fail, "quarantine: at most a year, as 30d.");
    struct date from = date_known(cow->came_on) ? cow->came_on : instant_date(a->at);
    cow->quarantine_on = date_add(from, (int32_t)(seconds / 86400));
    return 0;
}

static int check_days(struct act *a, const struct cow_row *cow)
{
    struct date today = instant_date(a->now);
    const struct {
        const char *what;
        struct date on;
    } days[] = {{"born", cow->born_on},
                {"came_on", cow->came_on},
                {"left_on", cow->left_on},
                {"calved", form_date(a->form, "calved", DATE_NONE)},
                {"served", form_date(a->form, "served", DATE_NONE)},
                {"dried", form_date(a->form, "dried", DATE_NONE)}};
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        if (date_known(days[i].on) && days[i].on.days > today.days)
            return fail_refused(a->fail, "%s: that day is still to come.", days[i].what);
        if (i > 0 && date_known(days[i].on) && date_known(cow->born_on) &&
            days[i].on.days < cow->born_on.days)
            return fail_refused(a->fail, "%s: that is before she was born.", days[i].what);
    }
    return 0;
}

static int set_cow(struct act *a, struct cow_row *cow)
{
    set_text(a->form, "rename", cow->name, sizeof cow->name);
    set_text(a->form, "tag", cow->tag, sizeof cow->tag);
    set_text(a->form, "breed", cow->breed, sizeof cow->breed);
    (void)form_choice_word(a->form, "sex", cow->sex, sizeof cow->sex);
    (void)form_choice_word(a->form, "came", cow->came, sizeof cow->came);
    cow->born_on = form_date(a->form, "born", cow->born_on);
    cow->came_on = form_date(a->form, "came_on", cow->came_on);
    cow->calvings_before = (int64_t)form_number(a->form, "calvings", (double)cow->calvings_before);
    if (cow->calvings_before > 30)
        return fail_input(a->fail, "calvings: at most 30.");
    set_text(a->form, "from", cow->came_from, sizeof cow->came_from);
    if (set_stall(a, cow) != 0 || set_dam(a, cow) != 0 || set_quarantine(a, cow) != 0 ||
        set_leaving(a, cow) != 0 ||
        act_name_free(a, cow->name, cow->id) != 0)
        return -1;
    return check_days(a, cow);
}

/* The events that set-up asks for along with the cow. Each is the same fact as its own act would record. */
static int add_first_events(struct act *a, const struct cow_row *cow)
{
    const struct value *calved = form_get(a->form, "calved"), *served = form_get(a->form, "served"),
                       *dried = form_get(a->form, "dried");
    struct calving_row calving = {.cow_id = cow->id, .ease = ROW_NONE, .day_only = 1};
    struct service_row service = {.cow_id = cow->id, .until_on = DATE_NONE, .how = "ai"};
    struct dry_off_row dry = {.cow_id = cow->id};
    if (calved != NULL) {
        calving.at = noon_of(calved->on);
        act_say(a, ", calved %s", calved->text);
        if (act_breeding_fact(a, cow->id, &calving_table, &calving) != 0)
            return -1;
    }
    if (served != NULL) {
        service.at = noon_of(served->on);
        act_say(a, ", served %s", served->text);
        if (act_breeding_fact(a, cow->id, &service_table, &service) != 0)
            return -1;
    }
    if (dried != NULL) {
        dry.at = noon_of(dried->on);
        act_say(a, ", dried off %s", dried->text);
        return act_breeding_fact(a, cow->id, &dry_off_table, &dry);
    }
    return 0;
}

/* Tests that a new animal still has to pass: each a row, due when her time apart is over. */
static int add_tests(struct act *a, const struct cow_row *cow)
{
    const char *list = form_text(a->form, "tests", "");
    char name[48];
    struct date due = date_known(cow->quarantine_on) ? cow->quarantine_on
                      : date_known(cow->came_on)     ? cow->came_on
                                                     : instant_date(a->at);
    for (int n = 0; list_next(&list, ',', name, sizeof name); n++) {
        struct health_test_row row = {
            .cow_id = cow->id, .due_on = due, .at = INSTANT_NONE, .holds_milk = 1};
        (void)snprintf(row.name, sizeof row.name, "%s", name);
        act_say(a, "%s%s", n == 0 ? ", tests due: " : ", ", name);
        if (row_insert(a->dairy->store, &health_test_table, &row, NULL, a->fail) != 0)
            return -1;
    }
    return 0;
}

/* Whoever takes her, or her meat, is told what is not over yet. */
static int say_withholding(struct act *a, const struct cow_row *cow)
{
    struct hold_state state;
    char day[CIVIL_TEXT_MAX];
    if (cow->left_how[0] == '\0' || strcmp(cow->left_how, "died") == 0)
        return 0;
    if (cow_hold_state(a->dairy, cow->id, a->at, &state, NULL, a->fail) != 0)
        return -1;
    if (!state.keep)
        act_say(a, "; SAY SO: her milk is not to be kept, %.80s", state.reason[0].words);
    if (state.meat_unknown)
        act_say(a, "; SAY SO: a withholding of meat is not known");
    else if (date_known(state.meat_on))
        act_say(a, "; SAY SO: meat is withheld until %s", date_year_text(state.meat_on, day));
    return 0;
}

static int act_cow_itself(struct act *a)
{
    struct store *s = a->dairy->store;
    struct cow_row cow = new_cow;
    bool known;
    if (rows_first(s, &cow_table, "WHERE left_how IS NULL AND name = ?1 COLLATE NOCASE",
                   (struct bind[]){BIND_TEXT(form_text(a->form, "name", ""))}, 1, &cow, &known, a->fail) != 0)
        return -1;
    /* Who leaves or is named anew is here already, and may be called by her tag or stall. */
    if (!known && (form_get(a->form, "left") != NULL || form_get(a->form, "rename") != NULL)) {
        if (find_cow(a->dairy, form_text(a->form, "name", ""), &cow, a->fail) != 0)
            return -1;
        known = true;
    }
    if (!known)
        set_text(a->form, "name", cow.name, sizeof cow.name);
    if (set_cow(a, &cow) != 0)
        return -1;
    act_say(a, "%s%s%s%s", cow.name, known ? "" : " is here",
            cow.left_how[0] == '\0' ? "" : " left: ", cow.left_how);
    if ((known ? row_update(s, &cow_table, &cow, a->fail) : row_insert(s, &cow_table, &cow, NULL, a->fail)) !=
        0)
        return -1;
    a->cow_id = cow.id;
    if (known && cow.left_how[0] == '\0')
        act_say(a, ": changed");
    if (add_first_events(a, &cow) != 0 || add_tests(a, &cow) != 0)
        return -1;
    return say_withholding(a, &cow);
}

const struct act_kind acts_herd[] = {
    {"cow", "adds an animal, changes it, or says that it left",
     "name=Maud breed=Jersey stall=1 calved=2026-01-31", FIELDS(cow_fields), act_cow_itself},
    {0},
};
