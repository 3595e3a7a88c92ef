/* Acts on jars that are filled: handed out, moved, drunk, thrown away; and on empty ones: washed, broken. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/chill.h"
#include "core/day/inside.h"
#include "core/day/jars_at.h"
#include "core/day/people.h"
#include "core/day/recall.h"
#include "core/milk/loss.h"
#include "core/store/rows_shelf.h"

int act_move_empty(struct act *a, const char *kind, const char *from, const char *to, int64_t person,
                   int64_t count, const char *why)
{
    struct empty_move_row row = {.at = a->at, .person_id = person, .count = count, .tick_id = ROW_NONE};
    (void)snprintf(row.kind, sizeof row.kind, "%s", kind);
    (void)snprintf(row.from_state, sizeof row.from_state, "%s", from);
    (void)snprintf(row.to_state, sizeof row.to_state, "%s", to);
    (void)snprintf(row.why, sizeof row.why, "%.79s", why == NULL ? "" : why);
    return row_insert(a->dairy->store, &empty_move_table, &row, NULL, a->fail);
}

/* ---- jar ---- */

static const struct field jar_fields[] = {
    {"batch", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "batch", "its code, or its letter this morning"},
    {"count", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "jars", "how many; one if not given"},
    {"to", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "to",
     "a person, or dump, calf, pigs, cheese, freezer, fridge, drunk"},
    {"from", FIELD_NAME, 0, 0, NULL, "from",
     "a person who brings it back or had it, or cheese; else from home"},
    {"why", FIELD_TEXT, 0, 0, NULL, "why",
     "for dump: spilled, held, abnormal, warm, outage, lab, taste, old, broken, other"},
    {"allow", FIELD_TEXT, 0, 0, NULL, "all the same",
     "the reason, when milk that is not to be kept goes to be used"},
    FIELD_AT,
    FIELD_WHO,
};

struct jar_way {
    struct batch_row batch;
    struct jar_stands stands;
    enum jar_place to;
    struct person_row person; /* who gets it, or had it; id 0 nobody */
    bool from_person, from_cheese;
    int count;
};

static int read_way(struct act *a, struct jar_way *w)
{
    const char *to = form_text(a->form, "to", ""), *from = form_text(a->form, "from", NULL);
    if (act_batch(a, "batch", &w->batch) != 0 ||
        jar_stands_load(a->dairy, w->batch.id, &w->stands, a->fail) != 0)
        return -1;
    w->count = (int)form_number(a->form, "count", 1);
    if (w->count < 1)
        return fail_input(a->fail, "count: one jar or more.");
    if (!jar_goes(to, &w->to)) {
        w->to = AT_GIVEN;
        if (find_person(a->dairy, to, &w->person, a->fail) != 0)
            return -1;
    }
    w->from_cheese = from != NULL && text_same(from, jar_place_word(AT_CHEESE));
    w->from_person = from != NULL && !w->from_cheese;
    if (w->from_cheese && (place_at_home(w->to) || w->to == AT_GIVEN || w->to == AT_CHEESE))
        return fail_input(a->fail, "Cheese can be thrown away, fed, or eaten (drunk).");
    if (!w->from_person)
        return 0;
    if (w->to == AT_GIVEN)
        return fail_input(a->fail,
                          "From one person to another: first back to the fridge, then to the other.");
    return find_person(a->dairy, from, &w->person, a->fail);
}

static int64_t way_person(const struct jar_way *w)
{
    return w->person.id == 0 ? ROW_NONE : w->person.id;
}

/* Milk that is not to be kept goes to nobody's table without a reason. */
static int check_fit(struct act *a, const struct jar_way *w)
{
    char why[160];
    bool used =
        w->to == AT_GIVEN || w->to == AT_CHEESE || (w->to == AT_DRUNK && !w->from_person && !w->from_cheese);
    if (!used || form_get(a->form, "allow") != NULL)
        return 0;
    if (batch_unfit(a->dairy, &w->batch, why, a->fail) != 0)
        return -1;
    return why[0] == '\0'
               ? 0
               : fail_refused(
                     a->fail,
                     "Milk of batch %s is not to be kept: %.160s. To use it all the same, say why with "
                     "allow=.",
                     w->batch.code, why);
}

static int check_why(struct act *a, const struct jar_way *w)
{
    return w->to == AT_DUMPED && form_get(a->form, "why") == NULL
               ? fail_input(
                     a->fail,
                     "why= is missing: spilled, held, abnormal, warm, outage, lab, taste, old, broken or "
                     "other.")
               : 0;
}

static int put_from_person(struct act *a, const struct jar_way *w)
{
    int has = jar_stands_at(&w->stands, AT_GIVEN, w->person.id);
    if (has < w->count)
        return fail_refused(a->fail, "%s has %d of batch %s, not %d.", w->person.name, has, w->batch.code,
                            w->count);
    return act_put(a, w->batch.id, AT_GIVEN, w->to, w->person.id, w->count, form_text(a->form, "why", NULL));
}

/* The milk of jars that became cheese: the cheese is gone now. */
static int put_from_cheese(struct act *a, const struct jar_way *w)
{
    int there = jar_stands_at(&w->stands, AT_CHEESE, 0);
    if (there < w->count)
        return fail_refused(a->fail, "Of batch %s %d %s made into cheese, not %d.", w->batch.code, there,
                            there == 1 ? "was" : "were", w->count);
    return act_put(a, w->batch.id, AT_CHEESE, w->to, ROW_NONE, w->count, form_text(a->form, "why", NULL));
}

static void say_way(struct act *a, const struct jar_way *w)
{
    act_say(a, "%s: %d jar%s ", w->batch.code, w->count, w->count == 1 ? "" : "s");
    if (w->from_cheese)
        act_say(a, "made into cheese ");
    if (w->from_person)
        act_say(a, "from %s ", w->person.name);
    if (w->to == AT_GIVEN)
        act_say(a, "to %s", w->person.name);
    else
        act_say(a, "%s%s", place_at_home(w->to) ? "to the " : "", jar_place_text(w->to));
    if (form_get(a->form, "why") != NULL)
        act_say(a, ": %.80s", form_text(a->form, "why", ""));
}

static int act_jar(struct act *a)
{
    struct jar_way w = {.to = AT_FRIDGE};
    if (read_way(a, &w) != 0 || check_why(a, &w) != 0 || check_fit(a, &w) != 0)
        return -1;
    const char *why = form_get(a->form, "allow") != NULL ? form_text(a->form, "allow", NULL)
                                                         : form_text(a->form, "why", NULL);
    if ((w.from_person ? put_from_person(a, &w)
         : w.from_cheese
             ? put_from_cheese(a, &w)
             : act_put_from_home(a, &w.batch, &w.stands, w.to, way_person(&w), w.count, why)) != 0)
        return -1;
    say_way(a, &w);
    bool cooling = jar_stands_at(&w.stands, AT_TUB, 0) + jar_stands_at(&w.stands, AT_TABLE, 0) > 0;
    return cooling ? chill_check(a, w.batch.milking_id) : 0;
}

/* ---- clear ---- */

static const struct field clear_fields[] = {
    {"before", FIELD_DATE, 0, FIELD_REQUIRED, NULL, "poured before",
     "the day: older jars are gone, as 2026-04-20"},
    {"to", FIELD_CHOICE, 0, 0, "drunk|dump|calf|pigs|cheese", "they were",
     "drunk, dump, calf, pigs or cheese"},
    {"why", FIELD_TEXT, 0, 0, NULL, "why", "for dump, as old"},
    {"freezer", FIELD_CHOICE, 0, 0, "no|yes", "freezer too", "yes: those in the freezer as well"},
    FIELD_AT,
    FIELD_WHO,
};

static int clear_batch(struct act *a, const struct batch_row *batch, enum jar_place to, int *jars)
{
    struct jar_stands stands;
    bool freezer = form_choice(a->form, "freezer", 0) == 1;
    if (jar_stands_load(a->dairy, batch->id, &stands, a->fail) != 0)
        return -1;
    for (size_t i = 0; i < stands.count; i++) {
        const struct jar_stand *s = &stands.stand[i];
        if (!place_at_home(s->place) || (s->place == AT_FREEZER && !freezer))
            continue;
        if (act_put(a, batch->id, s->place, to, ROW_NONE, s->count, form_text(a->form, "why", NULL)) != 0)
            return -1;
        *jars += s->count;
    }
    return 0;
}

static int act_clear(struct act *a)
{
    struct batch_row *batches;
    size_t count;
    int jars = 0, result = 0;
    char word[12] = "drunk", day[CIVIL_TEXT_MAX];
    enum jar_place to = AT_DRUNK;
    struct date before = form_date(a->form, "before", DATE_NONE);
    (void)form_choice_word(a->form, "to", word, sizeof word);
    (void)jar_goes(word, &to);
    if (to == AT_DUMPED && form_get(a->form, "why") == NULL)
        return fail_input(a->fail, "why= is missing: why they were thrown away, as old.");
    if (rows_load(a->dairy->store, &batch_table, "WHERE poured_at < ?1 AND id IN " TALLY_HOME " ORDER BY id",
                  (struct bind[]){BIND_AT(date_start(before))}, 1, (void **)&batches, &count, a->fail) != 0)
        return -1;
    for (size_t i = 0; i < count && result == 0; i++)
        result = clear_batch(a, &batches[i], to, &jars);
    free(batches);
    if (result == 0 && jars == 0)
        return fail_refused(a->fail, "No jar that was poured before %s is at home.",
                            date_year_text(before, day));
    act_say(a, "%d jars poured before %s: %s", jars, date_year_text(before, day), jar_place_text(to));
    return result;
}

/* ---- empty jars ---- */

static const struct field washed_fields[] = {
    {"kind", FIELD_NAME, 0, 0, NULL, "kind", "of jar; all kinds if not given"},
    {"count", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "jars",
     "how many; all that were to be washed if not given"},
    FIELD_AT,
    FIELD_WHO,
};

/* Jars of a kind in a state; *has is at least 0. */
static int pool_count(struct act *a, const char *kind, const char *state, int64_t *has)
{
    struct tally_pool_row row;
    bool found;
    if (rows_first(a->dairy->store, &tally_pool_table, "WHERE kind = ?1 AND state = ?2 AND person_id = 0",
                   (struct bind[]){BIND_TEXT(kind), BIND_TEXT(state)}, 2, &row, &found, a->fail) != 0)
        return -1;
    *has = found && row.count > 0 ? row.count : 0;
    return 0;
}

int act_wash_all(struct act *a, int64_t tick_id)
{
    struct tally_pool_row *rows;
    size_t count;
    int result = 0;
    if (rows_load(a->dairy->store, &tally_pool_table, "WHERE state = 'dirty' AND count > 0 ORDER BY kind",
                  NULL, 0, (void **)&rows, &count, a->fail) != 0)
        return -1;
    for (size_t i = 0; i < count && result == 0; i++) {
        struct empty_move_row row = {.at = a->at,
                                     .from_state = "dirty",
                                     .to_state = "clean",
                                     .person_id = ROW_NONE,
                                     .count = rows[i].count,
                                     .tick_id = tick_id};
        (void)snprintf(row.kind, sizeof row.kind, "%s", rows[i].kind);
        result = row_insert(a->dairy->store, &empty_move_table, &row, NULL, a->fail);
        act_say(a, "%s%lld %s", i == 0 ? "" : ", ", (long long)rows[i].count, rows[i].kind);
    }
    free(rows);
    return result;
}

static int act_washed(struct act *a)
{
    int64_t dirty = 0;
    const struct value *name = form_get(a->form, "kind");
    if (name == NULL) {
        if (form_get(a->form, "count") != NULL)
            return fail_input(a->fail, "kind= is missing: so many of which jars?");
        act_say(a, "washed: ");
        if (act_wash_all(a, ROW_NONE) != 0)
            return -1;
        return strcmp(a->what, "washed: ") == 0
                   ? fail_refused(a->fail, "No jars are to be washed, by these records.")
                   : 0;
    }
    const struct jar_kind *kind = jar_need(&a->dairy->jars, name->text, a->fail);
    if (kind == NULL || pool_count(a, kind->name, "dirty", &dirty) != 0)
        return -1;
    int64_t count = (int64_t)form_number(a->form, "count", (double)dirty);
    if (count < 1 || count > dirty)
        return fail_refused(a->fail, "There are %lld %s to be washed, by these records.", (long long)dirty,
                            kind->name);
    act_say(a, "washed: %lld %s", (long long)count, kind->name);
    return act_move_empty(a, kind->name, "dirty", "clean", ROW_NONE, count, NULL);
}

static const struct field broken_fields[] = {
    {"batch", FIELD_NAME, 0, 0, NULL, "batch", "code, when milk was in it"},
    {"kind", FIELD_NAME, 0, 0, NULL, "or kind", "of jar, when it was empty"},
    {"count", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "jars", "how many; one if not given"},
    {"person", FIELD_NAME, 0, 0, NULL, "at", "who had it, when it was out"},
    {"was", FIELD_CHOICE, 0, 0, "clean|dirty", "it was", "clean, or dirty: still to be washed"},
    FIELD_AT,
    FIELD_WHO,
};

static int break_full(struct act *a, int count)
{
    struct batch_row batch;
    struct jar_stands stands;
    struct person_row person;
    bool out = form_get(a->form, "person") != NULL;
    if (act_batch(a, "batch", &batch) != 0 || jar_stands_load(a->dairy, batch.id, &stands, a->fail) != 0)
        return -1;
    act_say(a, "%s: %d jar%s broken", batch.code, count, count == 1 ? "" : "s");
    if (!out)
        return act_put_from_home(a, &batch, &stands, AT_LOST, ROW_NONE, count, "broken");
    if (find_person(a->dairy, form_text(a->form, "person", ""), &person, a->fail) != 0)
        return -1;
    act_say(a, " at %s's", person.name);
    return act_put(a, batch.id, AT_GIVEN, AT_LOST, person.id, count, "broken");
}

static int act_broken(struct act *a)
{
    struct person_row person = {.id = ROW_NONE};
    int count = (int)form_number(a->form, "count", 1);
    char was[8] = "clean";
    if (count < 1 || count > 999)
        return fail_input(a->fail, "count: between 1 and 999.");
    if ((form_get(a->form, "batch") != NULL) == (form_get(a->form, "kind") != NULL))
        return fail_input(a->fail,
                          "Say what broke: batch=, when milk was in it, or kind=, when it was empty.");
    if (form_get(a->form, "batch") != NULL)
        return break_full(a, count);
    const struct jar_kind *kind = jar_need(&a->dairy->jars, form_text(a->form, "kind", ""), a->fail);
    if (kind == NULL)
        return -1;
    (void)form_choice_word(a->form, "was", was, sizeof was);
    if (form_get(a->form, "person") != NULL) {
        if (find_person(a->dairy, form_text(a->form, "person", ""), &person, a->fail) != 0)
            return -1;
        (void)snprintf(was, sizeof was, "out");
    }
    act_say(a, "%d %s broken", count, kind->name);
    return act_move_empty(a, kind->name, was, "broken", person.id, count, NULL);
}

const struct act_kind acts_shelf[] = {
    {"jar", "jars go to somebody, or are drunk, fed, frozen, thrown away, brought back",
     "batch=260503-1AR count=2 to=Hilda", FIELDS(jar_fields), act_jar},
    {"clear", "all older jars at home are gone", "before=2026-04-20 to=drunk", FIELDS(clear_fields),
     act_clear},
    {"washed", "empty jars were washed and are dry", "kind=half-gallon count=6", FIELDS(washed_fields),
     act_washed},
    {"broken", "jars broke", "kind=quart count=1", FIELDS(broken_fields), act_broken},
    {0},
};
