/* Acts about the year ahead: how much milk is wanted, what a calf drinks of it, things that come round again. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/inside.h"
#include "core/store/rows_year.h"

/* ---- the need ---- */

static const struct field need_fields[] = {
    {"week", FIELD_QUANTITY, DIM_VOLUME, FIELD_REQUIRED, NULL, "a week", "what the household uses itself, as 6gal; shares are counted from the people"},
    {"room", FIELD_QUANTITY, DIM_VOLUME, FIELD_AGAIN, NULL, "at most", "the most that can be used in a week, as 25gal; empty for no limit"},
    FIELD_AT,
    FIELD_WHO,
};

static const double most_l = 5000;

static int act_need(struct act *a)
{
    struct milk_need_row row = {.from_at = a->at, .week_ml = act_milli(a, "week"), .room_ml = ROW_NONE};
    const struct value *room = form_get(a->form, "room");
    char week[QUANTITY_TEXT_MAX], most[QUANTITY_TEXT_MAX];
    if (form_number(a->form, "week", 0) > most_l || form_number(a->form, "room", 0) > most_l)
        return fail_input(a->fail, "No house dairy uses that much in a week.");
    if (room != NULL && room->text[0] != '\0')
        row.room_ml = act_milli(a, "room");
    if (row.room_ml != ROW_NONE && row.room_ml < row.week_ml)
        return fail_refused(a->fail, "room: that is less than what is needed.");
    act_say(a, "the household needs %s a week", say_quantity(a->dairy, (double)row.week_ml / 1e3, DIM_VOLUME, week));
    if (row.room_ml != ROW_NONE)
        act_say(a, " and can use %s", say_quantity(a->dairy, (double)row.room_ml / 1e3, DIM_VOLUME, most));
    return row_insert(a->dairy->store, &milk_need_table, &row, NULL, a->fail);
}

static const struct field calfmilk_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "whose milk"},
    {"share", FIELD_QUANTITY, DIM_PERCENT, FIELD_REQUIRED, NULL, "calf's part", "part of her milk that a calf drinks, as 40%; 0% when it is weaned"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_calfmilk(struct act *a)
{
    struct cow_row cow;
    double share = form_number(a->form, "share", 0);
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    struct calf_milk_row row = {.cow_id = cow.id, .from_at = a->at, .share_pct = (int64_t)(share + 0.5)};
    if (row.share_pct == 0)
        act_say(a, "no calf drinks of %s's milk", cow.name);
    else
        act_say(a, "a calf drinks %lld %% of %s's milk", (long long)row.share_pct, cow.name);
    return row_insert(a->dairy->store, &calf_milk_table, &row, NULL, a->fail);
}

/* ---- what comes round again ---- */

static const struct field repeat_fields[] = {
    {"name", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "what", "as vaccination, hoof trim, water test"},
    {"cow", FIELD_NAME, 0, 0, NULL, "animal", "of which; of the whole dairy if not given"},
    {"every", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "every", "as 180d or 365d"},
    {"first", FIELD_DATE, 0, 0, NULL, "first due", "the day; today if not given"},
    {"note", FIELD_TEXT, 0, FIELD_AGAIN, NULL, "note", "what to do, whom to call"},
    {"end", FIELD_CHOICE, 0, 0, "no|yes", "ends", "yes: it comes round no more"},
    FIELD_AT,
    FIELD_WHO,
};

static int find_repeat(struct act *a, int64_t cow_id, struct repeat_row *row, bool *found)
{
    return rows_first(a->dairy->store, &repeat_table,
                      "WHERE ended_on IS NULL AND name = ?1 COLLATE NOCASE AND cow_id IS ?2",
                      (struct bind[]){BIND_TEXT(form_text(a->form, "name", "")), BIND_ID(cow_id)}, 2, row, found, a->fail);
}

/* The animal that it is about, if one is named. */
static int named_cow(struct act *a, struct cow_row *cow, int64_t *cow_id)
{
    *cow_id = ROW_NONE;
    cow->name[0] = '\0';
    if (form_text(a->form, "cow", "")[0] == '\0')
        return 0;
    if (act_cow(a, "cow", cow) != 0)
        return -1;
    *cow_id = cow->id;
    return 0;
}

static int end_repeat(struct act *a, struct repeat_row *row, bool found)
{
    if (!found)
        return fail_refused(a->fail, "Nothing of that name comes round.");
    row->ended_on = instant_date(a->at);
    act_say(a, "%s comes round no more", row->name);
    return row_update(a->dairy->store, &repeat_table, row, a->fail);
}

static int act_repeat(struct act *a)
{
    struct cow_row cow;
    struct repeat_row row;
    bool found;
    int64_t cow_id;
    double every_s = form_number(a->form, "every", 0);
    char day[CIVIL_TEXT_MAX];
    if (named_cow(a, &cow, &cow_id) != 0 || find_repeat(a, cow_id, &row, &found) != 0)
        return -1;
    if (form_choice(a->form, "end", 0) == 1)
        return end_repeat(a, &row, found);
    if (!found) {
        row = (struct repeat_row){.cow_id = cow_id, .ended_on = DATE_NONE, .first_on = instant_date(a->at)};
        act_text(a, "name", row.name, sizeof row.name);
        if (form_get(a->form, "every") == NULL)
            return fail_input(a->fail, "every= is missing: how often, as 180d.");
    }
    if (form_get(a->form, "every") != NULL && !(every_s >= 86400 && every_s <= 3660 * 86400.0))
        return fail_input(a->fail, "every: between 1d and 3660d.");
    if (form_get(a->form, "every") != NULL)
        row.every_days = (int64_t)(every_s / 86400 + 0.5);
    row.first_on = form_date(a->form, "first", row.first_on);
    act_text(a, "note", row.note, sizeof row.note);
    act_say(a, "%s%s%s: every %lld days, first %s", cow.name, cow.name[0] == '\0' ? "" : ", ", row.name,
            (long long)row.every_days, date_year_text(row.first_on, day));
    return found ? row_update(a->dairy->store, &repeat_table, &row, a->fail)
                 : row_insert(a->dairy->store, &repeat_table, &row, NULL, a->fail);
}

static const struct field did_fields[] = {
    {"name", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "what", "what comes round and was done"},
    {"cow", FIELD_NAME, 0, 0, NULL, "animal", "of which, if it is of one"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_did(struct act *a)
{
    struct cow_row cow;
    struct repeat_row repeat;
    bool found;
    int64_t cow_id;
    char day[CIVIL_TEXT_MAX];
    if (named_cow(a, &cow, &cow_id) != 0 || find_repeat(a, cow_id, &repeat, &found) != 0)
        return -1;
    if (!found)
        return fail_refused(a->fail, "Nothing called \"%.40s\" comes round%s%s; add it with repeat.",
                            form_text(a->form, "name", ""), cow.name[0] == '\0' ? "" : " for ", cow.name);
    struct repeat_done_row row = {.repeat_id = repeat.id, .at = a->at};
    act_say(a, "%s%s%s done, next %s", cow.name, cow.name[0] == '\0' ? "" : ", ", repeat.name,
            date_year_text(date_add(instant_date(a->at), (int32_t)repeat.every_days), day));
    return row_insert(a->dairy->store, &repeat_done_table, &row, NULL, a->fail);
}

const struct act_kind acts_year[] = {
    {"need", "says how much milk the household needs in a week", "week=8gal room=30gal", FIELDS(need_fields), act_need},
    {"calfmilk", "says what part of a cow's milk a calf drinks", "cow=Maud share=40%", FIELDS(calfmilk_fields), act_calfmilk},
    {"repeat", "something that comes round again: a vaccination, a test", "name=\"hoof trim\" cow=Maud every=180d",
     FIELDS(repeat_fields), act_repeat},
    {"did", "what comes round was done", "name=\"hoof trim\" cow=Maud", FIELDS(did_fields), act_did},
    {0},
};
