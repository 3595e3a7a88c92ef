/* Acts about animals that come: calves that become animals of their own, and tests for diseases. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/inside.h"
#include "core/store/rows_herd.h"

/* ---- calves ---- */

int act_name_free(struct act *a, const char *name, int64_t own_id)
{
    struct cow_row other;
    bool found;
    if (rows_first(a->dairy->store, &cow_table,
                   "WHERE left_how IS NULL AND name = ?1 COLLATE NOCASE AND id <> ?2",
                   (struct bind[]){BIND_TEXT(name), BIND_ID(own_id)}, 2, &other, &found, a->fail) != 0)
        return -1;
    return found ? fail_refused(a->fail, "There is a %s here already; two animals cannot have one name.",
                                other.name)
                 : 0;
}

static const char unnamed[] = "'s calf";

/* "Maud's calf", "Maud's calf 2" ...: until somebody names it. */
static int name_after(struct act *a, const struct cow_row *dam, char *name, size_t size)
{
    for (int n = 1; n < 100; n++) {
        struct cow_row other;
        bool found;
        (void)snprintf(name, size, "%.40s%s", dam->name, unnamed);
        if (n > 1)
            (void)text_append(name, size, " %d", n);
        if (rows_first(a->dairy->store, &cow_table, "WHERE left_how IS NULL AND name = ?1 COLLATE NOCASE",
                       (struct bind[]){BIND_TEXT(name)}, 1, &other, &found, a->fail) != 0)
            return -1;
        if (!found)
            return 0;
    }
    return fail_refused(a->fail, "%s has too many calves without a name.", dam->name);
}

int act_calf_animal(struct act *a, const struct cow_row *dam, struct instant born_at, const char *sex,
                    const char *name, int64_t *cow_id)
{
    struct cow_row calf = {.came = "born",
                           .born_on = instant_date(born_at),
                           .came_on = instant_date(born_at),
                           .left_on = DATE_NONE,
                           .quarantine_on = DATE_NONE,
                           .stall = ROW_NONE,
                           .dam_id = dam->id};
    (void)snprintf(calf.sex, sizeof calf.sex, "%s", strcmp(sex, "bull") == 0 ? "male" : "female");
    (void)snprintf(calf.breed, sizeof calf.breed, "%s", dam->breed);
    (void)snprintf(calf.name, sizeof calf.name, "%.63s", name);
    if (name[0] == '\0' && name_after(a, dam, calf.name, sizeof calf.name) != 0)
        return -1;
    if (act_name_free(a, calf.name, 0) != 0)
        return -1;
    return row_insert(a->dairy->store, &cow_table, &calf, cow_id, a->fail);
}

static const struct field calf_fields[] = {
    {"dam", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "mother", "whose calf"},
    {"name", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "name", "what it is called from now on"},
    {"sex", FIELD_CHOICE, 0, 0, "heifer|bull", "sex", "of twins: which"},
    {"tag", FIELD_NAME, 0, 0, NULL, "ear tag", "its number or letters"},
    {"breed", FIELD_NAME, 0, 0, NULL, "breed", "its mother's if not said"},
    FIELD_AT,
    FIELD_WHO,
};

/* The newest living calf of hers that has no name yet. *known: it is an animal of the records already. */
static int find_calf(struct act *a, const struct cow_row *dam, struct calf_row *calf, struct cow_row *animal,
                     bool *known)
{
    struct calf_row *rows;
    size_t count;
    char sex[8] = "";
    int result = rows_load(a->dairy->store, &calf_table,
                           "WHERE calving_id IN (SELECT id FROM calving WHERE cow_id = ?1) AND fate = 'alive'"
                           " ORDER BY calving_id DESC, id",
                           (struct bind[]){BIND_ID(dam->id)}, 1, (void **)&rows, &count, a->fail);
    bool found = false;
    (void)form_choice_word(a->form, "sex", sex, sizeof sex);
    for (size_t i = 0; i < count && result == 0 && !found; i++) {
        *known = rows[i].cow_id != ROW_NONE;
        if (*known)
            result = row_load(a->dairy->store, &cow_table, rows[i].cow_id, animal, a->fail);
        found = (sex[0] == '\0' || strcmp(sex, rows[i].sex) == 0) &&
                (!*known || strstr(animal->name, unnamed) != NULL);
        *calf = rows[i];
    }
    free(rows);
    if (result == 0 && !found)
        return fail_refused(a->fail, "There is no calf of %s without a name; record her calving first.",
                            dam->name);
    return result;
}

static int make_animal(struct act *a, const struct cow_row *dam, struct calf_row *calf,
                       struct cow_row *animal)
{
    struct calving_row calving;
    if (row_load(a->dairy->store, &calving_table, calf->calving_id, &calving, a->fail) != 0 ||
        act_calf_animal(a, dam, calving.at, calf->sex, form_text(a->form, "name", ""), &calf->cow_id) != 0 ||
        row_update(a->dairy->store, &calf_table, calf, a->fail) != 0)
        return -1;
    return row_load(a->dairy->store, &cow_table, calf->cow_id, animal, a->fail);
}

static int act_calf(struct act *a)
{
    struct cow_row dam, animal = {.id = 0};
    struct calf_row calf = {.id = 0};
    bool known = false;
    if (find_cow_ever(a->dairy, form_text(a->form, "dam", ""), &dam, a->fail) != 0 ||
        find_calf(a, &dam, &calf, &animal, &known) != 0)
        return -1;
    if (!known && make_animal(a, &dam, &calf, &animal) != 0)
        return -1;
    act_text(a, "name", animal.name, sizeof animal.name);
    act_text(a, "tag", animal.tag, sizeof animal.tag);
    act_text(a, "breed", animal.breed, sizeof animal.breed);
    if (act_name_free(a, animal.name, animal.id) != 0)
        return -1;
    a->cow_id = animal.id;
    act_say(a, "%s's %s is %s", dam.name, calf.sex[0] == '\0' ? "calf" : calf.sex, animal.name);
    return row_update(a->dairy->store, &cow_table, &animal, a->fail);
}

/* ---- tests for diseases ---- */

static const struct field tested_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "animal", "which"},
    {"test", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "test", "as tuberculosis, brucellosis"},
    {"result", FIELD_CHOICE, 0, 0, "clear|reactor|doubtful", "result", "clear, reactor or doubtful"},
    {"due", FIELD_DATE, 0, 0, NULL, "due next", "the day on which it is due, or due again"},
    {"by", FIELD_NAME, 0, 0, NULL, "by", "veterinarian or laboratory"},
    FIELD_AT,
    FIELD_WHO,
};

static int take_result(struct act *a, const struct cow_row *cow, const char *test)
{
    struct health_test_row row;
    bool due;
    if (rows_first(a->dairy->store, &health_test_table,
                   "WHERE cow_id = ?1 AND name = ?2 COLLATE NOCASE AND at IS NULL ORDER BY due_on LIMIT 1",
                   (struct bind[]){BIND_ID(cow->id), BIND_TEXT(test)}, 2, &row, &due, a->fail) != 0)
        return -1;
    if (!due)
        row = (struct health_test_row){.cow_id = cow->id, .due_on = DATE_NONE};
    (void)snprintf(row.name, sizeof row.name, "%.47s", test);
    (void)form_choice_word(a->form, "result", row.result, sizeof row.result);
    act_text(a, "by", row.tested_by, sizeof row.tested_by);
    row.at = a->at;
    act_say(a, ": %s", row.result);
    if (strcmp(row.result, "clear") != 0 && strcmp(cow->sex, "male") != 0)
        act_say(a, "; her milk is not kept until it is clear; call the veterinarian");
    return due ? row_update(a->dairy->store, &health_test_table, &row, a->fail)
               : row_insert(a->dairy->store, &health_test_table, &row, NULL, a->fail);
}

static int act_tested(struct act *a)
{
    struct cow_row cow;
    const char *test = form_text(a->form, "test", "");
    struct date due = form_date(a->form, "due", DATE_NONE);
    char day[CIVIL_TEXT_MAX];
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    if (form_get(a->form, "result") == NULL && !date_known(due))
        return fail_input(a->fail, "Give result=, or due= the day on which it is due.");
    if (date_known(due) && due.days < instant_date(a->at).days)
        return fail_refused(a->fail, "due: that day is over.");
    act_say(a, "%s, %.47s", cow.name, test);
    if (form_get(a->form, "result") != NULL && take_result(a, &cow, test) != 0)
        return -1;
    if (!date_known(due))
        return 0;
    struct health_test_row row = {.cow_id = cow.id, .due_on = due, .at = INSTANT_NONE};
    (void)snprintf(row.name, sizeof row.name, "%.47s", test);
    act_say(a, ", due %s", date_year_text(due, day));
    return row_insert(a->dairy->store, &health_test_table, &row, NULL, a->fail);
}

const struct act_kind acts_animals[] = {
    {"calf", "names a calf of a calving: it becomes an animal of its own", "dam=Maud name=Pippin tag=J-31",
     FIELDS(calf_fields), act_calf},
    {"tested", "a test for a disease: its result, or when it is due",
     "cow=Sorrel test=tuberculosis result=clear due=2027-05-01", FIELDS(tested_fields), act_tested},
    {0},
};
