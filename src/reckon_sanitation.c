/* Topics of core/sanitation: solution, contact, temper, washwater, life. */
#include "src/reckon.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/sanitation/chemical.h"
#include "core/sanitation/contact.h"
#include "core/sanitation/parts.h"
#include "core/sanitation/solution.h"
#include "core/sanitation/washwater.h"

/* --- solution --- */

static const struct field solution_fields[] = {
    {"strength", FIELD_QUANTITY, DIM_PERCENT, FIELD_UNIT_NEEDED, NULL, "strength",
     "of the bleach, from its label, as 8.25%"},
    {"target", FIELD_QUANTITY, DIM_CONCENTRATION, FIELD_UNIT_NEEDED, NULL, "target", "wanted, as 100ppm"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, FIELD_REQUIRED, NULL, "volume", "of the solution, as 3gal"},
    {"counted", FIELD_CHOICE, 0, 0, "final|water", "counted",
     "final (volume when mixed) or water (to which the bleach is added)"},
    {"basis", FIELD_CHOICE, 0, 0, "simple|true|trade", "percent means",
     "simple, true (weight; with density=) or trade"},
    {"density", FIELD_QUANTITY, DIM_NUMBER, 0, NULL, "density", "of the bleach in kg per litre, as 1.10"},
    {"dose", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "dose",
     "instead of target=: what this much bleach gives, as 1tbsp"},
    {"strip", FIELD_QUANTITY, DIM_CONCENTRATION, FIELD_UNIT_NEEDED, NULL, "strip",
     "what a test strip shows, as 100ppm; it counts"},
    {"strip_top", FIELD_QUANTITY, DIM_CONCENTRATION, FIELD_UNIT_NEEDED, NULL, "strip's end",
     "last colour on the strip, as 200ppm"},
    {"chemical", FIELD_CHOICE, 0, 0, "chlorine|iodine|quat|peroxyacetic|peroxide", "chemical",
     "other than chlorine: with the label's recipe"},
    {"label_dose", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "label dose", "from the label's recipe, as 1floz"},
    {"label_volume", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "label volume", "from the label's recipe, as 5gal"},
    {"label_ppm", FIELD_QUANTITY, DIM_CONCENTRATION, FIELD_UNIT_NEEDED, NULL, "label strength",
     "from the label's recipe, as 25ppm"},
};

/* The strip, when there is one, has the last word on the strength. */
static int add_strip(const struct form *form, double mixed_ppm, const struct bleach *bleach,
                     struct working *w, struct fail *f)
{
    struct strength strength;
    struct test_strip strip = {form_number(form, "strip", NAN),
                          form_number(form, "strip_top", CHLORINE_CEILING_PPM)};
    if (form_get(form, "strip") == NULL)
        return 0;
    return solution_strength(mixed_ppm, bleach, &strip, &strength, w, f);
}

static int reckon_label(const struct form *form, struct working *w, struct fail *f)
{
    struct solution out;
    struct label_ask ask = {
        .label_dose_ml = form_number(form, "label_dose", NAN) * 1000,
        .label_volume_l = form_number(form, "label_volume", NAN),
        .label_ppm = form_number(form, "label_ppm", NAN),
        .target_ppm = form_number(form, "target", NAN),
        .volume_l = form_number(form, "volume", NAN),
    };
    if (!chemical_find(form_text(form, "chemical", "chlorine"), &ask.chemical))
        return -1;
    return solution_by_label(&ask, &out, w, f);
}

static int reckon_solution(const struct form *form, struct working *w, struct fail *f)
{
    struct solution out;
    struct solution_ask ask = {
        .bleach = {form_number(form, "strength", NAN),
                   (enum bleach_basis)form_choice(form, "basis", BLEACH_SIMPLE),
                   form_number(form, "density", NAN)},
        .target_ppm = form_number(form, "target", NAN),
        .volume_l = form_number(form, "volume", NAN),
        .volume_kind = (enum volume_kind)form_choice(form, "counted", VOLUME_FINAL),
    };
    double ppm, dose_ml = form_number(form, "dose", NAN) * 1000;
    if (form_get(form, "label_dose") != NULL || form_choice(form, "chemical", 0) != 0)
        return reckon_label(form, w, f);
    if (form_get(form, "strength") == NULL)
        return fail_input(f, "strength= is missing: of the bleach, from its label, as 8.25%%.");
    if (isnan(ask.bleach.density_kg_per_l))
        ask.bleach.density_kg_per_l = bleach_density(ask.bleach.strength_pct);
    if (form_get(form, "dose") == NULL && form_get(form, "target") == NULL)
        return fail_input(f, "target= is missing: the strength wanted, as 100ppm.");
    if (form_get(form, "dose") != NULL && form_get(form, "target") != NULL)
        return fail_input(f, "Give target= (for the dose) or dose= (for the strength it gives), not both.");
    if (form_get(form, "dose") != NULL) {
        if (solution_judge(&ask.bleach, dose_ml, ask.volume_l, ask.volume_kind, &ppm, w, f) != 0)
            return -1;
        return add_strip(form, ppm, &ask.bleach, w, f);
    }
    if (solution_dose(&ask, &out, w, f) != 0)
        return -1;
    return add_strip(form, out.ppm, &ask.bleach, w, f);
}

/* --- contact --- */

static const struct field contact_fields[] = {
    {"strength", FIELD_QUANTITY, DIM_CONCENTRATION, FIELD_UNIT_NEEDED, NULL, "strength",
     "of the solution, as 100ppm"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "water", "its temperature, as 80F"},
    {"ph", FIELD_QUANTITY, DIM_NUMBER, 0, NULL, "pH", "if it was read, as 7.5"},
    {"time", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "contact", "how long it stood, as 2min"},
    {"rules", FIELD_NAME, 0, 0, NULL, "rules", "house, food-code, wisconsin, nevada, label or pmo"},
    {"chemical", FIELD_CHOICE, 0, 0, "chlorine|iodine|quat|water", "chemical", "water means hot water alone"},
};

static int reckon_contact(const struct form *form, struct working *w, struct fail *f)
{
    struct contact_rules rules;
    struct contact_answer answer;
    struct contact_reading reading = {
        .ppm = form_number(form, "strength", NAN),
        .temp_c = form_number(form, "temp", NAN),
        .ph = form_number(form, "ph", NAN),
        .time_s = form_number(form, "time", NAN),
    };
    if (!chemical_find(form_text(form, "chemical", "chlorine"), &reading.chemical) ||
        contact_rules_load(&rules, f) != 0)
        return -1;
    if (contact_judge(&rules, form_text(form, "rules", "house"), &reading, &answer, w, f) != 0)
        return -1;
    if (reading.chemical == CHEMICAL_CHLORINE && !isnan(reading.ph))
        working_result(w, "hocl_fraction", hocl_fraction(reading.ph));
    return 0;
}

/* --- temper --- */

static const struct field temper_fields[] = {
    {"hot", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "hot", "the hot water, as 180F"},
    {"cold", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "cold", "the cold water, as 55F"},
    {"target", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "target", "wanted, as 165F"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, FIELD_REQUIRED, NULL, "volume", "wanted, as 10gal"},
};

static int reckon_temper(const struct form *form, struct working *w, struct fail *f)
{
    struct temper out;
    return temper_reckon(form_number(form, "hot", NAN), form_number(form, "cold", NAN),
                         form_number(form, "target", NAN), form_number(form, "volume", NAN), &out, w, f);
}

/* --- washwater --- */

static const struct field washwater_fields[] = {
    {"start", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "start", "of the water as it is poured, as 160F"},
    {"room", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "room", "of the milk house, as 60F"},
    {"k", FIELD_QUANTITY, DIM_RATE, 0, NULL, "rate", "how fast the sink cools, as 0.021/min"},
    {"read", FIELD_TEXT, 0, 0, NULL, "readings",
     "MIN:TEMP,... after the start, as 5:150F; a reading at minute 0 "
     "makes a series of its own"},
    {"floor", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "floor", "never below, 120F when not said"},
    {"last", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "lasts", "how long the wash takes, as 10min"},
    {"heater", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "heater", "the hottest water there is, as 140F"},
    {"gear", FIELD_QUANTITY, DIM_MASS, 0, NULL, "cold gear", "steel that goes in, as 3kg; with volume="},
    {"gear_temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "gear",
     "its temperature; the room's when not said"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "water", "in the sink, as 3gal"},
};

static int read_reading(const struct form *form, const char *item, struct wash_reading *out, struct fail *f)
{
    char minute[32], temp[32], rest[8];
    double time_s;
    const char *list = item;
    if (!list_next(&list, ':', minute, sizeof minute) || !list_next(&list, ':', temp, sizeof temp) ||
        list_next(&list, ':', rest, sizeof rest))
        return fail_input(f, "read: \"%.40s\" is not MIN:TEMP, such as 5:150F.", item);
    if (quantity_parse(minute, DIM_DURATION, "min", &time_s, f) != 0 ||
        quantity_parse(temp, DIM_TEMPERATURE, quantity_unit(DIM_TEMPERATURE, form->units), &out->temp_c, f) !=
            0)
        return -1;
    out->time_min = time_s / 60;
    return 0;
}

/* The readings as one series. Unless the first is of minute 0, the start is. */
static int read_series(const struct form *form, struct wash_reading *series, size_t *count, struct fail *f)
{
    char item[64];
    const char *list = form_text(form, "read", "");
    const struct value *start = form_get(form, "start");
    *count = 0;
    while (list_next(&list, ',', item, sizeof item)) {
        if (*count == WASH_READINGS_MAX - 1)
            return fail_input(f, "read: at most %d readings.", WASH_READINGS_MAX - 1);
        if (read_reading(form, item, &series[*count], f) != 0)
            return -1;
        (*count)++;
    }
    if (*count > 0 && series[0].time_min > 0 && start != NULL) {
        memmove(&series[1], &series[0], *count * sizeof series[0]);
        series[0] = (struct wash_reading){0, start->number};
        (*count)++;
    }
    return 0;
}

static int reckon_washwater(const struct form *form, struct working *w, struct fail *f)
{
    struct wash out;
    struct wash_reading series[WASH_READINGS_MAX];
    struct wash_ask ask = {
        .start_c = form_number(form, "start", NAN),
        .room_c = form_number(form, "room", NAN),
        .floor_c = form_number(form, "floor", temp_c_from_f(WASH_FLOOR_F)),
        .k_per_min = form_number(form, "k", NAN),
        .k_origin = ORIGIN_GIVEN,
        .reading = series,
        .last_min = form_number(form, "last", NAN) / 60,
        .heater_c = form_number(form, "heater", NAN),
        .water_l = form_number(form, "volume", 0),
        .steel_kg = form_number(form, "gear", 0),
    };
    ask.steel_c = form_number(form, "gear_temp", ask.room_c);
    if (form_get(form, "read") != NULL && form_get(form, "k") != NULL)
        return fail_input(f, "Give k= or read=, not both.");
    if (read_series(form, series, &ask.reading_count, f) != 0)
        return -1;
    if (isnan(ask.start_c) && ask.reading_count > 0)
        ask.start_c = series[0].temp_c;
    if (isnan(ask.start_c) && isnan(ask.last_min))
        return fail_input(f, "start= or last= is missing: how hot the water is, or how long the wash takes.");
    return wash_reckon(&ask, &out, w, f);
}

/* --- life --- */

static const struct field life_fields[] = {
    {"milkings", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "milkings", "life in cows milked with it, as 1200"},
    {"days", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "days", "life by the calendar, as 182"},
    {"per_day", FIELD_QUANTITY, DIM_NUMBER, 0, NULL, "a day", "cows milked with it in a day, as 4"},
    {"fitted", FIELD_DATE, 0, FIELD_REQUIRED, NULL, "fitted", "the day it was fitted, as 2026-05-03"},
};

/* A life that is given must be one: `days=0` is a slip, not "by milkings alone". */
static int check_given_life(const struct form *form, const char *key, struct fail *f)
{
    const struct value *v = form_get(form, key);
    if (v != NULL && !(v->number > 0))
        return fail_input(f, "%s: a life of 0 is none; leave %s= out if it is not counted so.", key, key);
    return 0;
}

static int reckon_life(const struct form *form, struct working *w, struct fail *f)
{
    struct life out;
    char iso[CIVIL_TEXT_MAX];
    struct date fitted = form_date(form, "fitted", DATE_NONE);
    if (check_given_life(form, "milkings", f) != 0 || check_given_life(form, "days", f) != 0)
        return -1;
    struct life_ask ask = {
        .milkings = (int64_t)form_number(form, "milkings", 0),
        .days = (int32_t)fmin(form_number(form, "days", 0), INT32_MAX),
        .per_day = form_number(form, "per_day", NAN),
        .fitted = fitted,
        .today = fitted,
    };
    working_given_text(w, "fitted_on", date_iso(fitted, iso), ORIGIN_GIVEN);
    return life_reckon(&ask, &out, w, f);
}

#define FIELDS(list) (list), sizeof(list) / sizeof(list)[0]

const struct reckon_topic reckon_sanitation[] = {
    {"solution", "how much sanitiser for a strength, or what strength a dose gives",
     "strength=8.25% target=100ppm volume=3gal", FIELDS(solution_fields), reckon_solution},
    {"contact", "whether a sanitiser is strong, warm and long enough, by a set of rules",
     "strength=100ppm temp=80F ph=7.5 rules=food-code", FIELDS(contact_fields), reckon_contact},
    {"temper", "how much hot and cold water make a temperature", "hot=180F cold=55F target=165F volume=10gal",
     FIELDS(temper_fields), reckon_temper},
    {"washwater", "how long wash water stays hot, or how hot it must start",
     "start=160F room=60F read=5:150F last=10min", FIELDS(washwater_fields), reckon_washwater},
    {"life", "when a part is due, by milkings or by the calendar",
     "milkings=1200 days=182 per_day=4 fitted=2026-05-03", FIELDS(life_fields), reckon_life},
    {0},
};
