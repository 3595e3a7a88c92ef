/* Treatments: the whole record of a course, each dose of it, and what is added or corrected later. Hours and
 * days of withholding are what a person typed from the label; nothing here supplies one. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/courses.h"
#include "core/day/holds.h"
#include "core/day/inside.h"
#include "core/herd/treatment.h"
#include "core/store/rows_herd.h"

/* The items of the record that `treat` and `label` share. */
#define RECORD_FIELDS                                                                                        \
    {"why", FIELD_TEXT, 0, 0, NULL, "against what", "the condition, as mastitis left front"},                \
        {"active", FIELD_TEXT, 0, 0, NULL, "ingredient", "the active ingredient on the label"},              \
        {"dose", FIELD_TEXT, 0, 0, NULL, "dose", "each time, in the label's words: 1 tube, 10 mL"},          \
        {"route", FIELD_TEXT, 0, 0, NULL, "given how", "into the quarter, in the muscle, by mouth ..."},     \
        {"course", FIELD_TEXT, 0, 0, NULL, "how often", "and for how long: every 12 h, 3 times"},            \
        {"milk_hours",                                                                                       \
         FIELD_TEXT,                                                                                         \
         0,                                                                                                  \
         0,                                                                                                  \
         NULL,                                                                                               \
         "label: milk",                                                                                      \
         "hours withheld after the last dose, typed from the label, as 96h; 0h if it says none"},            \
        {"meat_days", FIELD_TEXT, 0, 0, NULL, "label: meat", "days withheld, as 10d; 0d if it says none"},   \
        {"quarter", FIELD_CHOICE, 0, 0, "LF|RF|LR|RR", "quarter", "which, if into one"},                     \
        {"more", FIELD_CHOICE, 0, 0, "no|yes", "doses to come", "yes: the course is not finished"},          \
        {"vet", FIELD_TEXT, 0, 0, NULL, "veterinarian", "who prescribed it, with address"},                  \
        {"maker", FIELD_TEXT, 0, 0, NULL, "maker, lot", "maker or dispenser, and the lot"},                  \
        {"extra",                                                                                            \
         FIELD_CHOICE,                                                                                       \
         0,                                                                                                  \
         0,                                                                                                  \
         "no|yes",                                                                                           \
         "extra-label",                                                                                      \
         "yes: otherwise than the label says, as the veterinarian ordered"},                                 \
        {"dry_days", FIELD_TEXT, 0, 0, NULL, "label: days dry", "dry-cow product: least days dry, as 42d"},  \
        {"fresh_hours",                                                                                      \
         FIELD_TEXT,                                                                                         \
         0,                                                                                                  \
         0,                                                                                                  \
         NULL,                                                                                               \
         "label: fresh",                                                                                     \
         "dry-cow product: hours after calving, as 96h"},                                                    \
    {                                                                                                        \
        "fresh_milkings", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "and milkings",                                \
            "dry-cow product: milkings after calving, if the label counts them too"                          \
    }

/* ---- reading ---- */

static int read_hours(struct act *a, const char *key, int64_t *seconds)
{
    double hours;
    const char *text = form_text(a->form, key, NULL);
    if (text == NULL)
        return 0;
    if (withhold_hours_parse(text, &hours, a->fail) != 0)
        return -1;
    *seconds = (int64_t)(hours * 3600);
    return 0;
}

static int read_days(struct act *a, const char *key, int64_t *seconds)
{
    double s;
    const char *text = form_text(a->form, key, NULL);
    if (text == NULL)
        return 0;
    if (quantity_parse(text, DIM_DURATION, "d", &s, a->fail) != 0)
        return -1;
    if (s > 366 * 86400.0)
        return fail_input(a->fail, "%s: \"%.20s\" is more than a year; type the label's days, as 10d.", key,
                          text);
    *seconds = (int64_t)s;
    return 0;
}

/* The milk of a dry-cow product is withheld by other numbers than that of any other. */
static int check_kind(struct act *a, const struct treatment_row *row)
{
    if (row->dry_cow == 1 && row->milk_s != ROW_NONE)
        return fail_input(a->fail, "milk_hours: the label of a dry-cow product names the least days dry "
                                   "(dry_days=) and hours after calving (fresh_hours=) instead.");
    if (row->dry_cow == 0 &&
        (row->dry_s != ROW_NONE || row->fresh_s != ROW_NONE || row->fresh_milkings != ROW_NONE))
        return fail_input(a->fail, "dry_days, fresh_hours and fresh_milkings go with dry=yes.");
    if (row->fresh_milkings != ROW_NONE && row->fresh_milkings > 60)
        return fail_input(a->fail, "fresh_milkings: at most 60.");
    return 0;
}

static int read_record(struct act *a, struct treatment_row *row)
{
    act_text(a, "why", row->condition, sizeof row->condition);
    act_text(a, "active", row->active, sizeof row->active);
    act_text(a, "dose", row->dose, sizeof row->dose);
    act_text(a, "route", row->route, sizeof row->route);
    act_text(a, "course", row->course, sizeof row->course);
    act_text(a, "vet", row->prescribed_by, sizeof row->prescribed_by);
    act_text(a, "maker", row->maker, sizeof row->maker);
    (void)form_choice_word(a->form, "quarter", row->quarter, sizeof row->quarter);
    row->doses_to_come = form_choice(a->form, "more", (int)row->doses_to_come);
    row->extra_label = form_choice(a->form, "extra", (int)row->extra_label);
    row->fresh_milkings = (int64_t)form_number(a->form, "fresh_milkings", (double)row->fresh_milkings);
    if (read_hours(a, "milk_hours", &row->milk_s) != 0 || read_days(a, "meat_days", &row->meat_s) != 0 ||
        read_days(a, "dry_days", &row->dry_s) != 0 || read_hours(a, "fresh_hours", &row->fresh_s) != 0)
        return -1;
    return check_kind(a, row);
}

/* ---- saying ---- */

/* What the record still lacks, and what it all means for her milk as it stands now. */
static int say_meaning(struct act *a, const struct cow_row *cow, int64_t treatment_id)
{
    struct course course;
    struct treatment record;
    struct hold_state state;
    if (course_load(a->dairy, treatment_id, &course, a->fail) != 0 ||
        cow_hold_state(a->dairy, cow->id, a->at, &state, NULL, a->fail) != 0)
        return -1;
    course_record(&course, cow, &record);
    if (strcmp(cow->sex, "male") != 0)
        act_say(a, "; %s", state.keep ? "her milk is kept" : "her milk is not to be kept: ");
    if (!state.keep && strcmp(cow->sex, "male") != 0)
        act_say(a, "%.110s", state.words);
    const char *missing = treatment_missing(&record);
    if (missing != NULL)
        act_say(a, "; still to be written down: %s", missing);
    return 0;
}

/* ---- treat ---- */

static const struct field treat_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who was treated"},
    {"product", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "product", "the drug, as on its label"},
    RECORD_FIELDS,
    {"dry", FIELD_CHOICE, 0, 0, "no|yes", "dry-cow", "yes: a product for the dry udder"},
    {"by", FIELD_NAME, 0, 0, NULL, "given by", "who gave it; the keeper if not said"},
    FIELD_AT,
    FIELD_WHO,
};

/* A running course goes on with `dose`, so that its first day stays what it was. */
static int check_not_running(struct act *a, const struct cow_row *cow, const char *product)
{
    struct treatment_row row;
    bool found;
    if (rows_first(a->dairy->store, &treatment_table,
                   "WHERE cow_id = ?1 AND product = ?2 COLLATE NOCASE AND doses_to_come = 1",
                   (struct bind[]){BIND_ID(cow->id), BIND_TEXT(product)}, 2, &row, &found, a->fail) != 0)
        return -1;
    return found ? fail_refused(a->fail,
                                "A course of %.40s is running for %s; record its next dose with dose cow=%s.",
                                row.product, cow->name, cow->name)
                 : 0;
}

static int add_dose_row(struct act *a, int64_t treatment_id)
{
    struct dose_row dose = {.treatment_id = treatment_id, .at = a->at};
    const char *by = form_text(a->form, "by", form_text(a->form, "who", dairy_keeper(a->dairy)));
    (void)snprintf(dose.given_by, sizeof dose.given_by, "%.63s", by);
    return row_insert(a->dairy->store, &dose_table, &dose, NULL, a->fail);
}

static int act_treat(struct act *a)
{
    struct cow_row cow;
    struct treatment_row row = {.milk_s = ROW_NONE,
                                .meat_s = ROW_NONE,
                                .dry_s = ROW_NONE,
                                .fresh_s = ROW_NONE,
                                .fresh_milkings = ROW_NONE};
    if (act_cow(a, "cow", &cow) != 0 || act_dose_moment(a) != 0)
        return -1;
    row.cow_id = cow.id;
    row.dry_cow = form_choice(a->form, "dry", 0);
    act_text(a, "product", row.product, sizeof row.product);
    if (check_not_running(a, &cow, row.product) != 0 || read_record(a, &row) != 0)
        return -1;
    act_say(a, "%s treated: %.40s", cow.name, row.product);
    if (row_insert(a->dairy->store, &treatment_table, &row, NULL, a->fail) != 0 ||
        add_dose_row(a, row.id) != 0)
        return -1;
    return say_meaning(a, &cow, row.id);
}

/* ---- dose and label: a course that is there ---- */

static int begun_then(struct act *a, int64_t treatment_id, struct date begun_on, bool *fits)
{
    struct course course;
    if (course_load(a->dairy, treatment_id, &course, a->fail) != 0)
        return -1;
    *fits = instant_known(course.first_dose_at) && instant_date(course.first_dose_at).days == begun_on.days;
    return 0;
}

/* The course that is meant: of that product, begun on that day, or the only one of `tail`'s kind. */
static int find_course(struct act *a, const struct cow_row *cow, const char *tail, const char *none,
                       struct date begun_on, struct treatment_row *out)
{
    struct treatment_row *rows;
    size_t count, fits = 0;
    const char *product = form_text(a->form, "product", NULL);
    char names[120] = "";
    int result = 0;
    if (rows_load(a->dairy->store, &treatment_table, tail, (struct bind[]){BIND_ID(cow->id)}, 1,
                  (void **)&rows, &count, a->fail) != 0)
        return -1;
    for (size_t i = 0; i < count && result == 0; i++) {
        bool then = true;
        if (product != NULL && !text_same(product, rows[i].product))
            continue;
        if (date_known(begun_on))
            result = begun_then(a, rows[i].id, begun_on, &then);
        if (result != 0 || !then)
            continue;
        /* Rows come newest first: of courses with one product the newest is meant. */
        if (fits > 0 && text_same(rows[i].product, out->product))
            continue;
        (void)text_append(names, sizeof names, "%s%s", fits == 0 ? "" : ", ", rows[i].product);
        if (fits++ == 0)
            *out = rows[i];
    }
    free(rows);
    if (result != 0)
        return -1;
    if (fits == 0)
        return fail_refused(a->fail, "%s: %s", cow->name, none);
    return fits > 1 ? fail_input(a->fail, "Which? Say product=, one of %s.", names) : 0;
}

static const struct field dose_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who got another dose"},
    {"product", FIELD_NAME, 0, 0, NULL, "product", "if more than one course is running"},
    {"more", FIELD_CHOICE, 0, FIELD_REQUIRED, "no|yes", "doses to come",
     "no: this was the last of the course"},
    {"by", FIELD_NAME, 0, 0, NULL, "given by", "who gave it; the keeper if not said"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_dose(struct act *a)
{
    struct cow_row cow;
    struct treatment_row row;
    if (act_cow(a, "cow", &cow) != 0 || act_dose_moment(a) != 0)
        return -1;
    if (find_course(
            a, &cow, "WHERE cow_id = ?1 AND doses_to_come = 1 ORDER BY id DESC",
            "no course is running; begin one with treat, or say with label more=yes that one goes on.",
            DATE_NONE, &row) != 0)
        return -1;
    row.doses_to_come = form_choice(a->form, "more", 1);
    act_say(a, "%s: another dose of %.40s%s", cow.name, row.product,
            row.doses_to_come == 1 ? "" : ", the last");
    if (row_update(a->dairy->store, &treatment_table, &row, a->fail) != 0 || add_dose_row(a, row.id) != 0)
        return -1;
    return say_meaning(a, &cow, row.id);
}

static const struct field label_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "whose treatment"},
    {"product", FIELD_NAME, 0, 0, NULL, "product", "which, if she had more than one"},
    {"begun", FIELD_DATE, 0, 0, NULL, "begun on", "of several with one product: the day of its first dose"},
    RECORD_FIELDS,
    FIELD_AT,
    FIELD_WHO,
};

static int act_label(struct act *a)
{
    struct cow_row cow;
    struct treatment_row row;
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    if (find_course(a, &cow, "WHERE cow_id = ?1 ORDER BY id DESC",
                    "no such treatment is recorded; see treat.", form_date(a->form, "begun", DATE_NONE),
                    &row) != 0 ||
        read_record(a, &row) != 0)
        return -1;
    act_say(a, "%s: record of %.40s completed", cow.name, row.product);
    if (row_update(a->dairy->store, &treatment_table, &row, a->fail) != 0)
        return -1;
    return say_meaning(a, &cow, row.id);
}

const struct act_kind acts_treat[] = {
    {"treat", "a treatment: the whole record, and what its label says of milk and meat",
     "cow=Tib product=\"udder tube\" dose=\"1 tube\" route=\"into the quarter\" milk_hours=96h meat_days=10d",
     FIELDS(treat_fields), act_treat},
    {"dose", "another dose of a course that is running", "cow=Tib more=no at=07:10", FIELDS(dose_fields),
     act_dose},
    {"label", "completes or corrects the record of a treatment", "cow=Tib meat_days=10d maker=\"lot 4711\"",
     FIELDS(label_fields), act_label},
    {0},
};
