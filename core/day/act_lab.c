/* Acts on samples for a laboratory: drawn, sent, arrived, and the figures that came back. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/inside.h"
#include "core/sanitation/laboratory.h"
#include "core/store/rows_wash.h"

static const struct field sample_fields[] = {
    {"name", FIELD_NAME, 0, 0, NULL, "written on it", "as S12; numbered on if not given"},
    {"of", FIELD_CHOICE, 0, 0, "milk|water", "sample of", "milk or water"},
    {"cow", FIELD_NAME, 0, 0, NULL, "of one cow", "if it is of hers alone"},
    {"batch", FIELD_NAME, 0, 0, NULL, "from batch", "its code, or its letter this morning"},
    {"lab", FIELD_NAME, 0, 0, NULL, "laboratory", "who tests it"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "its temperature", "when drawn, as 38F"},
    {"hours", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "must arrive within",
     "from drawing, as the laboratory says: 30h or 60h; as last time if not given"},
    FIELD_AT,
    FIELD_WHO,
};

static int find_sample(struct act *a, const char *name, struct lab_sample_row *row, bool *found)
{
    if (name[0] == '\0' || text_same(name, "last"))
        return rows_first(a->dairy->store, &lab_sample_table, "WHERE drawn_at <= ?1 ORDER BY drawn_at DESC, id DESC LIMIT 1",
                          (struct bind[]){BIND_AT(a->at)}, 1, row, found, a->fail);
    return rows_first(a->dairy->store, &lab_sample_table, "WHERE name = ?1 COLLATE NOCASE",
                      (struct bind[]){BIND_TEXT(name)}, 1, row, found, a->fail);
}

/* Samples are numbered on: S1, S2, ... */
static int next_name(struct act *a, char *name, size_t size)
{
    struct lab_sample_row last;
    bool found;
    if (rows_first(a->dairy->store, &lab_sample_table, "ORDER BY id DESC LIMIT 1", NULL, 0, &last, &found,
                   a->fail) != 0)
        return -1;
    int64_t number = found ? last.id + 1 : 1;
    do {
        (void)snprintf(name, size, "S%lld", (long long)number++);
        if (rows_first(a->dairy->store, &lab_sample_table, "WHERE name = ?1 COLLATE NOCASE",
                       (struct bind[]){BIND_TEXT(name)}, 1, &last, &found, a->fail) != 0)
            return -1;
    } while (found);
    return 0;
}

/* What stays as it was for the last sample of that kind: who tests it, and how long it may take. */
static int take_habits(struct act *a, struct lab_sample_row *row)
{
    struct lab_sample_row last;
    bool found;
    if (rows_first(a->dairy->store, &lab_sample_table, "WHERE of = ?1 AND drawn_at <= ?2 ORDER BY drawn_at DESC LIMIT 1",
                   (struct bind[]){BIND_TEXT(row->of), BIND_AT(row->drawn_at)}, 2, &last, &found, a->fail) != 0)
        return -1;
    if (found) {
        row->hours_s = last.hours_s;
        (void)snprintf(row->laboratory, sizeof row->laboratory, "%s", last.laboratory);
    }
    return 0;
}

static void empty_sample(struct lab_sample_row *row, struct instant drawn_at)
{
    *row = (struct lab_sample_row){.drawn_at = drawn_at,
                                   .of = "milk",
                                   .cow_id = ROW_NONE,
                                   .batch_id = ROW_NONE,
                                   .drawn_mc = ROW_NONE,
                                   .hours_s = ROW_NONE,
                                   .sent_at = INSTANT_NONE,
                                   .arrived_at = INSTANT_NONE,
                                   .arrived_mc = ROW_NONE};
}

static int act_sample(struct act *a)
{
    struct lab_sample_row row, same;
    struct cow_row cow;
    struct batch_row batch;
    bool found = false;
    char until[CIVIL_TEXT_MAX];
    empty_sample(&row, a->at);
    (void)form_choice_word(a->form, "of", row.of, sizeof row.of);
    if (take_habits(a, &row) != 0)
        return -1;
    act_text(a, "lab", row.laboratory, sizeof row.laboratory);
    act_text(a, "name", row.name, sizeof row.name);
    row.drawn_mc = act_milli(a, "temp");
    if (form_get(a->form, "hours") != NULL)
        row.hours_s = (int64_t)form_number(a->form, "hours", 0);
    if (row.hours_s != ROW_NONE && row.hours_s <= 0)
        return fail_input(a->fail, "hours: how long does the laboratory allow from drawing? 30h or 60h are usual.");
    if (strcmp(row.of, "water") == 0 && (form_get(a->form, "cow") != NULL || form_get(a->form, "batch") != NULL))
        return fail_input(a->fail, "Water comes from no cow; leave cow= and batch= out.");
    if (form_get(a->form, "cow") != NULL) {
        if (act_cow(a, "cow", &cow) != 0)
            return -1;
        row.cow_id = cow.id;
    }
    if (form_get(a->form, "batch") != NULL) {
        if (act_batch(a, "batch", &batch) != 0)
            return -1;
        row.batch_id = batch.id;
    }
    if (row.name[0] == '\0' ? next_name(a, row.name, sizeof row.name) != 0
                            : find_sample(a, row.name, &same, &found) != 0)
        return -1;
    if (found)
        return fail_refused(a->fail, "There is a sample %s already; write another name on it.", row.name);
    act_say(a, "sample %s drawn, %s%s%s", row.name, row.of, row.cow_id != ROW_NONE ? " of " : "",
            row.cow_id != ROW_NONE ? cow.name : "");
    if (row.hours_s != ROW_NONE)
        act_say(a, "; at the laboratory by %s",
                instant_text((struct instant){a->at.s + row.hours_s}, until));
    return row_insert(a->dairy->store, &lab_sample_table, &row, NULL, a->fail);
}

/* ---- on its way, and what came back ---- */

static const struct field lab_fields[] = {
    {"sample", FIELD_NAME, 0, 0, NULL, "sample", "its name, as S12; the last one if not given"},
    {"sent", FIELD_MOMENT, 0, 0, NULL, "sent", "when it left, as 09:30"},
    {"arrived", FIELD_MOMENT, 0, 0, NULL, "arrived", "when the laboratory had it"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "it arrived at", "its temperature then, as 38F"},
    {"plate", FIELD_QUANTITY, DIM_DENSITY_COUNT, 0, NULL, "plate count", "bacteria per mL, as 4200"},
    {"coliform", FIELD_QUANTITY, DIM_DENSITY_COUNT, 0, NULL, "coliforms", "per mL, as 3"},
    {"cells", FIELD_QUANTITY, DIM_DENSITY_COUNT, 0, NULL, "cells", "somatic cells per mL, as 180000"},
    {"water", FIELD_QUANTITY, DIM_NUMBER, 0, NULL, "water's coliforms", "in 100 mL; 0 for absent"},
    {"drawn", FIELD_MOMENT, 0, 0, NULL, "drawn", "of a sample that is not in the records yet"},
    FIELD_AT,
    FIELD_WHO,
};

static int check_order(struct act *a, const struct lab_sample_row *row)
{
    struct instant last = row->drawn_at;
    const struct instant *steps[] = {&row->sent_at, &row->arrived_at};
    for (size_t i = 0; i < 2; i++) {
        if (!instant_known(*steps[i]))
            continue;
        if (steps[i]->s < last.s)
            return fail_refused(a->fail, "Sample %s cannot be %s before it was %s.", row->name,
                                i == 0 ? "sent" : "there", last.s == row->drawn_at.s ? "drawn" : "sent");
        last = *steps[i];
    }
    if (last.s > a->now.s + 60)
        return fail_refused(a->fail, "That is still to come; record it when it has happened.");
    return 0;
}

static int add_result(struct act *a, const struct lab_sample_row *sample, enum lab_measure measure)
{
    const char *key = lab_measure_word(measure);
    const struct value *v = form_get(a->form, key);
    struct lab_result_row row;
    bool found;
    if (v == NULL)
        return 0;
    if (v->number < 0 || v->number > 1e9)
        return fail_input(a->fail, "%s: %.6g cannot be meant.", key, v->number);
    if ((measure == LAB_WATER) != (strcmp(sample->of, "water") == 0))
        return fail_refused(a->fail, "Sample %s is of %s; it has no %s.", sample->name, sample->of,
                            lab_measure_name(measure));
    if (rows_first(a->dairy->store, &lab_result_table, "WHERE sample_id = ?1 AND measure = ?2",
                   (struct bind[]){BIND_ID(sample->id), BIND_TEXT(key)}, 2, &row, &found, a->fail) != 0)
        return -1;
    if (!found)
        row = (struct lab_result_row){.sample_id = sample->id};
    row.at = a->at;
    row.value_milli = quantity_milli(v->number);
    (void)snprintf(row.measure, sizeof row.measure, "%s", key);
    act_say(a, ", %s %.6g%s", lab_measure_name(measure), v->number, found ? " (corrected)" : "");
    return found ? row_update(a->dairy->store, &lab_result_table, &row, a->fail)
                 : row_insert(a->dairy->store, &lab_result_table, &row, NULL, a->fail);
}

/* The sample that is meant; one that the records do not have is made when its drawing is told. */
static int take_sample(struct act *a, struct lab_sample_row *row)
{
    const char *name = form_text(a->form, "sample", "");
    bool found, water = form_get(a->form, "water") != NULL;
    if (form_get(a->form, "drawn") != NULL && name[0] == '\0')
        return fail_input(a->fail, "sample= is missing: what is written on the sample that was drawn then.");
    if (find_sample(a, name, row, &found) != 0)
        return -1;
    if (found && form_get(a->form, "drawn") == NULL)
        return 0;
    if (found)
        return fail_refused(a->fail, "Sample %s is in the records already; leave drawn= out.", row->name);
    if (form_get(a->form, "drawn") == NULL)
        return fail_refused(a->fail, "There is no sample %.20s; record `sample` when it is drawn, or say drawn=.",
                            name[0] == '\0' ? "yet" : name);
    empty_sample(row, form_moment(a->form, "drawn", a->at));
    (void)snprintf(row->of, sizeof row->of, "%s", water ? "water" : "milk");
    act_text(a, "sample", row->name, sizeof row->name);
    if (row->drawn_at.s > a->at.s)
        return fail_refused(a->fail, "drawn: that is still to come.");
    return row_insert(a->dairy->store, &lab_sample_table, row, NULL, a->fail);
}

/* Warm or late samples read high: said at once. The figure is kept all the same. */
static void say_doubt(struct act *a, const struct lab_sample_row *row)
{
    struct fail why = {0};
    double hours_left;
    struct lab_sample sample = {row->drawn_at, row->arrived_at,
                                row->arrived_mc == ROW_NONE ? NAN : (double)row->arrived_mc / 1e3,
                                row->hours_s == ROW_NONE ? 1e6 : (double)row->hours_s / 3600};
    if (instant_known(row->arrived_at) && lab_sample_check(&sample, a->now, &hours_left, NULL, &why) != 0)
        act_say(a, ". %.150s", why.text);
}

static int act_lab(struct act *a)
{
    struct lab_sample_row row;
    int results = 0;
    if (take_sample(a, &row) != 0)
        return -1;
    row.sent_at = form_moment(a->form, "sent", row.sent_at);
    row.arrived_at = form_moment(a->form, "arrived", row.arrived_at);
    if (form_get(a->form, "temp") != NULL)
        row.arrived_mc = act_milli(a, "temp");
    if (row.arrived_mc != ROW_NONE && !instant_known(row.arrived_at))
        row.arrived_at = a->at;
    if (check_order(a, &row) != 0)
        return -1;
    act_say(a, "sample %s", row.name);
    if (form_get(a->form, "sent") != NULL)
        act_say(a, " sent");
    if (form_get(a->form, "arrived") != NULL || form_get(a->form, "temp") != NULL)
        act_say(a, " arrived");
    for (int m = 0; m < LAB_MEASURES; m++) {
        results += form_get(a->form, lab_measure_word((enum lab_measure)m)) != NULL;
        if (add_result(a, &row, (enum lab_measure)m) != 0)
            return -1;
    }
    if (results == 0 && form_get(a->form, "sent") == NULL && form_get(a->form, "arrived") == NULL &&
        form_get(a->form, "temp") == NULL && form_get(a->form, "drawn") == NULL)
        return fail_input(a->fail, "Give sent=, arrived=, temp= or a figure: plate=, coliform=, cells=, water=.");
    say_doubt(a, &row);
    return row_update(a->dairy->store, &lab_sample_table, &row, a->fail);
}

const struct act_kind acts_lab[] = {
    {"sample", "a sample is drawn for the laboratory", "of=milk lab=\"county laboratory\" temp=38F hours=60h",
     FIELDS(sample_fields), act_sample},
    {"lab", "a sample is sent or arrived, or its figures came back", "sample=S12 plate=4200 coliform=3 cells=180000",
     FIELDS(lab_fields), act_lab},
    {0},
};
