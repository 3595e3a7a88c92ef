#include "core/day/jars_at.h"

#include <stdio.h>
#include <string.h>

enum jar_place jar_place_of(const char *word)
{
    enum jar_place place = AT_LOST;
    (void)jar_place_parse(word, &place, NULL);
    return place;
}

const char *jar_place_text(enum jar_place place)
{
    static const char *const texts[PLACES] = {
        [AT_PAIL] = "pail",          [AT_TUB] = "tub",
        [AT_TABLE] = "table",        [AT_FRIDGE] = "refrigerator",
        [AT_FREEZER] = "freezer",    [AT_GIVEN] = "given",
        [AT_DUMPED] = "thrown away", [AT_CALF] = "fed to a calf",
        [AT_PIGS] = "to pigs",       [AT_CHEESE] = "made into cheese",
        [AT_DRUNK] = "drunk",        [AT_LOST] = "lost",
        [AT_POURED] = "poured on",
    };
    return texts[place];
}

static int64_t person_of(const struct jar_move_row *m, enum jar_place place)
{
    return place == AT_GIVEN && m->person_id != ROW_NONE ? m->person_id : 0;
}

/* Adds jars to a stand; false when there is no room for another. */
static bool stands_add(struct jar_stands *s, enum jar_place place, int64_t person, int count)
{
    for (size_t i = 0; i < s->count; i++)
        if (s->stand[i].place == place && s->stand[i].person == person) {
            s->stand[i].count += count;
            if (s->stand[i].count == 0)
                s->stand[i] = s->stand[--s->count];
            return true;
        }
    if (s->count == STANDS_MAX)
        return false;
    s->stand[s->count++] = (struct jar_stand){place, person, count};
    return true;
}

static int add_move(void *context, const void *row, struct fail *f)
{
    const struct jar_move_row *m = row;
    struct jar_stands *s = context;
    enum jar_place from = jar_place_of(m->from_place), to = jar_place_of(m->to_place);
    bool room = from == AT_PAIL || stands_add(s, from, person_of(m, from), -(int)m->count);
    return room && stands_add(s, to, person_of(m, to), (int)m->count)
               ? 0
               : fail_refused(f, "The jars of one batch are in more than %d places.", STANDS_MAX);
}

int jar_stands_load(struct dairy *d, int64_t batch_id, struct jar_stands *out, struct fail *f)
{
    out->count = 0;
    return rows_each(d->store, &jar_move_table, "WHERE batch_id = ?1 ORDER BY at, id",
                     (struct bind[]){BIND_ID(batch_id)}, 1, add_move, out, f);
}

int jar_stands_at(const struct jar_stands *s, enum jar_place place, int64_t person)
{
    int jars = 0;
    for (size_t i = 0; i < s->count; i++)
        if (s->stand[i].place == place && (person == 0 || s->stand[i].person == person))
            jars += s->stand[i].count;
    return jars;
}

int jar_stands_home(const struct jar_stands *s)
{
    int jars = 0;
    for (size_t i = 0; i < s->count; i++)
        jars += place_at_home(s->stand[i].place) ? s->stand[i].count : 0;
    return jars;
}

int act_put(struct act *a, int64_t batch_id, enum jar_place from, enum jar_place to, int64_t person,
            int count, const char *why)
{
    struct jar_move_row move = {.batch_id = batch_id, .at = a->at, .count = count, .person_id = person};
    (void)snprintf(move.from_place, sizeof move.from_place, "%s", jar_place_word(from));
    (void)snprintf(move.to_place, sizeof move.to_place, "%s", jar_place_word(to));
    (void)snprintf(move.why, sizeof move.why, "%.159s", why == NULL ? "" : why);
    return row_insert(a->dairy->store, &jar_move_table, &move, NULL, a->fail);
}

int act_put_from_home(struct act *a, const struct batch_row *batch, const struct jar_stands *stands,
                      enum jar_place to, int64_t person, int count, const char *why)
{
    static const enum jar_place order[] = {AT_FRIDGE, AT_TABLE, AT_TUB, AT_FREEZER};
    int there = 0;
    for (size_t i = 0; i < sizeof order / sizeof order[0]; i++)
        there += order[i] == to ? 0 : jar_stands_at(stands, order[i], 0);
    if (there == 0)
        return fail_refused(a->fail, "No jar of batch %s is left that could go there.", batch->code);
    if (count < 1 || count > there)
        return fail_refused(a->fail, "Of batch %s there %s %d, not %d.", batch->code,
                            there == 1 ? "is only" : "are only", there, count);
    for (size_t i = 0; i < sizeof order / sizeof order[0] && count > 0; i++) {
        int part = order[i] == to ? 0 : jar_stands_at(stands, order[i], 0);
        if (part > count)
            part = count;
        if (part > 0 && act_put(a, batch->id, order[i], to, person, part, why) != 0)
            return -1;
        count -= part;
    }
    return 0;
}
