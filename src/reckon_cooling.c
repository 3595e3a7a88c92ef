/* Topics of core/cooling about jars in the cold: chill, bath, jar, ice. */
#include "src/reckon.h"

#include <math.h>
#include <string.h>

#include "core/cooling/bath.h"
#include "core/cooling/fit.h"
#include "core/cooling/jar.h"
#include "core/cooling/matter.h"
#include "core/cooling/tonight.h"

/* --- words that several topics take --- */

enum { PARTS_MAX = 4 };

/* Splits "0:2qt:95F:0.065" at its colons into exactly `parts` pieces. */
static int split_item(const char *item, size_t parts, const char *shape, char part[PARTS_MAX][64],
                      struct fail *f)
{
    const char *list = item;
    size_t count = 0;
    while (count < parts && list_next(&list, ':', part[count], sizeof part[0]))
        count++;
    if (count < parts || *list != '\0')
        return fail_input(f, "\"%.60s\" is not understood; write %s.", item, shape);
    return 0;
}

static int part_number(const char *text, enum dimension dim, const struct form *form, double *si,
                       struct fail *f)
{
    return quantity_parse(text, dim, quantity_unit(dim, form->units), si, f);
}

static double minutes(const struct form *form, const char *key)
{
    return form_number(form, key, NAN) / 60;
}

static const struct jar_kind *given_jar(const struct form *form, struct jar_list *list, struct fail *f)
{
    if (jar_list_load(list, f) != 0)
        return NULL;
    return jar_need(list, form_text(form, "jar", ""), f);
}

/* Water is given by weight or by volume, whichever is at hand: "40lb", "5gal", "20L". A litre is taken as a
 * kilogram. */
static int given_water(const struct form *form, double *water_kg, struct fail *f)
{
    const char *text = form_text(form, "water", NULL);
    *water_kg = 0;
    if (text == NULL || quantity_parse(text, DIM_MASS, NULL, water_kg, NULL) == 0)
        return 0;
    return part_number(text, DIM_VOLUME, form, water_kg, f);
}

static int warmer_than_bath(double milk_c, double bath_c, struct fail *f)
{
    if (milk_c > bath_c)
        return 0;
    return fail_refused(f,
                        "The milk at %.1f °C is no warmer than the bath at %.1f °C: it would be warmed, not "
                        "chilled.",
                        milk_c, bath_c);
}

/* --- chill --- */

static const struct field chill_fields[] = {
    {"milk", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "milk", "temperature as poured, as 95F"},
    {"bath", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "bath",
     "temperature of what it stands in, as 34F"},
    {"k", FIELD_QUANTITY, DIM_RATE, 0, NULL, "rate", "rate per minute, as 0.065"},
    {"jar", FIELD_NAME, DIM_NUMBER, 0, NULL, "jar", "kind of jar, as half-gallon, for its own rate"},
    {"stir", FIELD_CHOICE, DIM_NUMBER, 0, "no|water|both", "stirring",
     "no, water (moved) or both (and the jar swirled)"},
    {"read", FIELD_TEXT, DIM_NUMBER, 0, NULL, "readings",
     "readings MIN:TEMP,... for the rate, as 10:70F,20:55F"},
    {"until", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "until", "temperature to reach, as 45F"},
    {"after", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "after",
     "time after which the temperature is asked, as 20min"},
};

static int read_readings(const struct form *form, struct rate_reading *reading, size_t *count, struct fail *f)
{
    char item[128], part[PARTS_MAX][64];
    const char *list = form_text(form, "read", "");
    for (*count = 0; list_next(&list, ',', item, sizeof item); (*count)++) {
        if (*count == RATE_READINGS_MAX)
            return fail_input(f, "At most %d readings are taken.", RATE_READINGS_MAX);
        if (split_item(item, 2, "MIN:TEMP, as 10:70F", part, f) != 0 ||
            part_number(part[0], DIM_DURATION, form, &reading[*count].time, f) != 0 ||
            part_number(part[1], DIM_TEMPERATURE, form, &reading[*count].temp, f) != 0)
            return -1;
        reading[*count].time /= 60;
    }
    return 0;
}

static int chill_from_readings(const struct form *form, double milk_c, double bath_c, struct cooling_law *law,
                               struct working *w, struct fail *f)
{
    struct rate_reading reading[RATE_READINGS_MAX];
    struct rate_fit fit;
    size_t count;
    if (read_readings(form, reading, &count, f) != 0 ||
        rate_from_readings(milk_c, bath_c, reading, count, &fit, f) != 0)
        return -1;
    *law = law_exponential(fit.k / 60);
    working_given_text(w, "read", form_text(form, "read", ""), ORIGIN_MEASURED);
    working_result(w, "k_per_min", fit.k);
    if (count == 1) {
        working_step(w, "k = ln((milk - bath) / (reading - bath)) / minutes = %.6g per min", fit.k);
        return 0;
    }
    working_result(w, "k_low_per_min", fit.low);
    working_result(w, "k_high_per_min", fit.high);
    working_result(w, "residual_k", fit.residual_sd);
    working_step(w,
                 "k by least squares on bath + (milk - bath) e^(-k t), milk and bath as given: %.6g per min, "
                 "standard error %.3g",
                 fit.k, fit.sd);
    working_step(w, "95 %% interval: k -/+ t(%zu) x standard error", count - 1);
    return 0;
}

static int chill_from_jar(const struct form *form, double milk_c, double bath_c, struct cooling_law *law,
                          struct working *w, struct fail *f)
{
    struct jar_list list;
    struct jar_rate rate;
    enum stir stir = (enum stir)form_choice(form, "stir", STIR_STILL);
    const struct jar_kind *kind = given_jar(form, &list, f);
    if (kind == NULL)
        return -1;
    jar_rate_work(kind, FAT_PCT_USUAL, surrounding_of_stir(stir), milk_c, bath_c, &rate, w);
    jar_law(kind, kind->volume_l, FAT_PCT_USUAL, surrounding_of_stir(stir), milk_c, bath_c, law);
    double k = 60 * law_rate(law, milk_c - bath_c, bath_c);
    working_given_text(w, "stir", stir_word(stir),
                       form_get(form, "stir") == NULL ? ORIGIN_DEFAULT : ORIGIN_GIVEN);
    working_result(w, "k_per_min", k);
    working_result_text(w, "law", law_word(law));
    working_result(w, "exponent", law->exponent);
    if (law->exponent > 0)
        working_step(
            w,
            "power law: k falls as (T - bath)^%.3f, since free convection weakens as the milk nears the "
            "bath (exponent %.3f or more)",
            law->exponent, LAW_EXPONENT_LEAST);
    else
        working_step(w, "exponential law: k changes by less than a tenth on the way");
    return 0;
}

static int chill_rate(const struct form *form, double milk_c, double bath_c, struct cooling_law *law,
                      struct working *w, struct fail *f)
{
    const struct value *k = form_get(form, "k"), *jar = form_get(form, "jar"), *read = form_get(form, "read");
    int ways = (k != NULL) + (jar != NULL) + (read != NULL);
    if (ways != 1)
        return fail_input(
            f, "Give the rate in one way: k=0.065, jar=half-gallon stir=water, or read=10:70F,20:55F.");
    if (jar != NULL)
        return chill_from_jar(form, milk_c, bath_c, law, w, f);
    if (read != NULL)
        return chill_from_readings(form, milk_c, bath_c, law, w, f);
    if (!(k->number > 0))
        return fail_refused(
            f, "A rate of 0 never cools anything; k is above 0, commonly 0.004 to 0.09 per minute.");
    *law = law_exponential(k->number / 60);
    working_given(w, "k_per_min", k->number, ORIGIN_GIVEN);
    working_result(w, "k_per_min", k->number);
    return 0;
}

static void chill_until(double milk_c, double bath_c, double until_c, const struct cooling_law *law,
                        struct working *w)
{
    double time = law_time(law, milk_c, bath_c, until_c) / 60;
    working_given(w, "until_c", until_c, ORIGIN_GIVEN);
    working_result(w, "time_min", time);
    if (!isfinite(time))
        working_why(w, "The bath is at %.1f C (%.1f F): milk in it never gets down to %.1f C (%.1f F).",
                    bath_c, temp_f_from_c(bath_c), until_c, temp_f_from_c(until_c));
    else if (law->exponent == 0)
        working_step(w, "t = ln((milk - bath) / (until - bath)) / k = %.4f min", time);
    else
        working_step(w, "t = (((until - bath) / (milk - bath))^-n - 1) / (n k) = %.4f min", time);
}

static int reckon_chill(const struct form *form, struct working *w, struct fail *f)
{
    struct cooling_law law;
    double milk_c = form_number(form, "milk", NAN), bath_c = form_number(form, "bath", NAN);
    const struct value *until = form_get(form, "until"), *after = form_get(form, "after");
    if (warmer_than_bath(milk_c, bath_c, f) != 0)
        return -1;
    working_given(w, "milk_c", milk_c, ORIGIN_GIVEN);
    working_given(w, "bath_c", bath_c, ORIGIN_GIVEN);
    if (chill_rate(form, milk_c, bath_c, &law, w, f) != 0)
        return -1;
    if (until != NULL)
        chill_until(milk_c, bath_c, until->number, &law, w);
    if (after != NULL) {
        double temp_c = law_temp(&law, milk_c, bath_c, after->number);
        working_given(w, "after_min", after->number / 60, ORIGIN_GIVEN);
        working_result(w, "temp_c", temp_c);
        working_result(w, "temp_f", temp_f_from_c(temp_c));
        working_step(w, law.exponent == 0 ? "T = bath + (milk - bath) e^(-k t)"
                                          : "T = bath + (milk - bath) (1 + n k t)^(-1/n)");
    }
    working_source(w, "newton-cooling");
    if (law.exponent > 0)
        working_source(w, "bejan-kraus");
    return 0;
}

/* --- bath --- */

static const struct field bath_fields[] = {
    {"pours", FIELD_TEXT, DIM_NUMBER, FIELD_REQUIRED, NULL, "pours",
     "pours as MIN:VOLUME:TEMP:K,... (K per minute), as 0:0.5gal:95F:0.065"},
    {"ice", FIELD_QUANTITY, DIM_MASS, 0, NULL, "ice", "ice in the tub, as 10lb"},
    {"ice_temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "ice at", "temperature of the ice, 32F or colder"},
    {"water", FIELD_TEXT, DIM_NUMBER, 0, NULL, "water", "water in the tub, as 5gal or 40lb"},
    {"water_temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "water at", "temperature of that water, as 55F"},
    {"glass", FIELD_QUANTITY, DIM_MASS, 0, NULL, "glass", "glass in each pour, as 4lb; none if left out"},
    {"room", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "room", "temperature of the room, as 60F"},
    {"room_ua", FIELD_QUANTITY, DIM_CONDUCTANCE, 0, NULL, "room gain",
     "what the tub takes from the room, as 3W/K"},
    {"pull", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "pull", "minute at which all jars come out, as 20min"},
    {"fridge", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "refrigerator",
     "temperature of the refrigerator, as 38F"},
    {"fridge_k", FIELD_QUANTITY, DIM_RATE, 0, NULL, "its rate", "rate in it per minute, as 0.0045"},
    {"limit", FIELD_TEXT, DIM_NUMBER, 0, NULL, "limit",
     "limit to keep: pmo, 40f-2h, ... or a rule as 45F/120/end"},
    {"milking_start", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "milking from",
     "minute at which milking began; 0"},
    {"milking_end", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "milking until",
     "minute at which milking ended; the last pour if left out"},
};

static int read_pours(const struct form *form, struct bath_facts *facts, struct fail *f)
{
    char item[256], part[PARTS_MAX][64];
    const char *list = form_text(form, "pours", "");
    for (facts->pours = 0; list_next(&list, ',', item, sizeof item); facts->pours++) {
        if (facts->pours == BATH_POURS_MAX)
            return fail_input(f, "At most %d pours are taken.", BATH_POURS_MAX);
        struct bath_pour *pour = &facts->pour[facts->pours];
        if (split_item(item, 4, "MIN:VOLUME:TEMP:K, as 0:0.5gal:95F:0.065", part, f) != 0 ||
            part_number(part[0], DIM_DURATION, form, &pour->at_min, f) != 0 ||
            part_number(part[1], DIM_VOLUME, form, &pour->volume_l, f) != 0 ||
            part_number(part[2], DIM_TEMPERATURE, form, &pour->temp_c, f) != 0 ||
            part_number(part[3], DIM_RATE, form, &pour->k_per_min, f) != 0)
            return -1;
        pour->at_min /= 60;
    }
    return 0;
}

static int bath_pairs(const struct form *form, struct fail *f)
{
    static const struct {
        const char *with, *without;
    } pairs[] = {
        {"water", "water_temp"},
        {"room_ua", "room"},
        {"fridge", "fridge_k"},
        {"fridge_k", "fridge"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++)
        if (form_get(form, pairs[i].with) != NULL && form_get(form, pairs[i].without) == NULL)
            return fail_input(f, "%s= needs %s= beside it.", pairs[i].with, pairs[i].without);
    return 0;
}

static int reckon_bath(const struct form *form, struct working *w, struct fail *f)
{
    struct limit_list limits;
    struct limit_set own;
    struct bath bath;
    struct bath_facts facts = {
        .glass_kg = form_number(form, "glass", 0),
        .fat_pct = FAT_PCT_USUAL,
        .water_c = form_number(form, "water_temp", 0),
        .ice_kg = form_number(form, "ice", 0),
        .ice_c = form_number(form, "ice_temp", 0),
        .room_c = form_number(form, "room", 0),
        .room_w_per_k = form_number(form, "room_ua", 0),
        .pull_min = minutes(form, "pull"),
        .fridge_c = form_number(form, "fridge", NAN),
        .fridge_per_min = form_number(form, "fridge_k", NAN),
        .milking_start_min = minutes(form, "milking_start"),
        .milking_end_min = minutes(form, "milking_end"),
    };
    if (bath_pairs(form, f) != 0 || given_water(form, &facts.water_kg, f) != 0 ||
        read_pours(form, &facts, f) != 0 || limit_list_load(&limits, f) != 0)
        return -1;
    if (form_get(form, "limit") != NULL) {
        facts.limit = limit_need(&limits, form_text(form, "limit", ""), &own, f);
        if (facts.limit == NULL)
            return -1;
    }
    return bath_run(&facts, &bath, w, f);
}

/* --- jar --- */

static const struct field jar_fields[] = {
    {"jar", FIELD_NAME, DIM_NUMBER, FIELD_REQUIRED, NULL, "jar", "kind of jar, as half-gallon"},
    {"stir", FIELD_CHOICE, DIM_NUMBER, 0, "no|water|both", "stirring",
     "no, water (moved) or both (and the jar swirled)"},
    {"milk", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "milk", "temperature of the milk; 95F if left out"},
    {"bath", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "bath",
     "temperature of the bath; 33.8F (1 C) if left out"},
};

static int reckon_jar(const struct form *form, struct working *w, struct fail *f)
{
    struct jar_list list;
    struct jar_rate r;
    enum stir stir = (enum stir)form_choice(form, "stir", STIR_STILL);
    double milk_c = form_number(form, "milk", 35), bath_c = form_number(form, "bath", 1);
    const struct jar_kind *kind = given_jar(form, &list, f);
    if (kind == NULL || warmer_than_bath(milk_c, bath_c, f) != 0)
        return -1;
    working_given(w, "milk_c", milk_c, form_get(form, "milk") == NULL ? ORIGIN_DEFAULT : ORIGIN_GIVEN);
    working_given(w, "bath_c", bath_c, form_get(form, "bath") == NULL ? ORIGIN_DEFAULT : ORIGIN_GIVEN);
    working_given_text(w, "stir", stir_word(stir),
                       form_get(form, "stir") == NULL ? ORIGIN_DEFAULT : ORIGIN_GIVEN);
    jar_rate_work(kind, FAT_PCT_USUAL, surrounding_of_stir(stir), milk_c, bath_c, &r, w);
    working_result(w, "ua_w_per_k", r.ua_w_per_k);
    working_result(w, "k_per_min", r.k_per_min);
    working_result(w, "biot", r.biot);
    working_result(w, "biot_radius", r.biot_radius);
    working_result(w, "inside_k_per_w", r.inside_k_per_w);
    working_result(w, "wall_k_per_w", r.wall_k_per_w);
    working_result(w, "outside_k_per_w", r.outside_k_per_w);
    working_result(w, "inside_w_per_m2k", r.h_inside_w_per_m2k);
    working_result(w, "outside_w_per_m2k", r.h_outside_w_per_m2k);
    working_result(w, "capacity_kj_per_k", r.capacity_j_per_k / 1000);
    working_result(w, "uncertain_pct", 100 * expm1(1.645 * r.spread));
    return 0;
}

/* --- ice --- */

static const struct field ice_fields[] = {
    {"volume", FIELD_QUANTITY, DIM_VOLUME, FIELD_REQUIRED, NULL, "milk", "milk to be chilled, as 4gal"},
    {"from", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "from", "temperature as poured; 95F if left out"},
    {"to", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "to", "temperature to reach; 40F if left out"},
    {"water", FIELD_TEXT, DIM_NUMBER, 0, NULL, "water", "water in the tub, as 4gal or 32lb"},
    {"water_temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "water at", "temperature of that water, as 55F"},
    {"ice_temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "ice at", "temperature of the ice, 32F or colder"},
    {"glass", FIELD_QUANTITY, DIM_MASS, 0, NULL, "glass", "weight of the jars, as 16lb"},
    {"room_heat", FIELD_QUANTITY, DIM_ENERGY, 0, NULL, "room", "heat that comes in from the room, as 200kJ"},
};

static int reckon_ice(const struct form *form, struct working *w, struct fail *f)
{
    struct ice_facts facts = {
        .milk_l = form_number(form, "volume", 0),
        .from_c = form_number(form, "from", 35),
        .to_c = form_number(form, "to", temp_c_from_f(40)),
        .fat_pct = FAT_PCT_USUAL,
        .glass_kg = form_number(form, "glass", 0),
        .water_c = form_number(form, "water_temp", 0),
        .room_kj = form_number(form, "room_heat", 0),
        .ice_c = form_number(form, "ice_temp", 0),
    };
    struct ice_need need;
    if (form_get(form, "water") != NULL && form_get(form, "water_temp") == NULL)
        return fail_input(f, "water= needs water_temp= beside it.");
    if (given_water(form, &facts.water_l, f) != 0)
        return -1;
    return ice_needed(&facts, &need, w, f);
}

#define FIELDS(table) (table), sizeof(table) / sizeof(table)[0]

const struct reckon_topic reckon_cooling[] = {
    {"chill", "Newton's law: how long until a jar is cold, or how cold after a while",
     "milk=95F bath=34F read=10:70F,20:54F until=45F", FIELDS(chill_fields), reckon_chill},
    {"bath", "several pours in one tub of ice and water: when each is cold, and how early it may come out",
     "pours=0:1gal:95F:0.06,15:1gal:95F:0.06 ice=12lb water=40lb water_temp=55F limit=pmo milking_end=20min",
     FIELDS(bath_fields), reckon_bath},
    {"jar", "the rate of a kind of jar from its films and its wall",
     "jar=half-gallon stir=water milk=95F bath=34F", FIELDS(jar_fields), reckon_jar},
    {"ice", "how much ice a milking needs",
     "volume=4gal from=95F to=40F water=4gal water_temp=55F glass=16lb", FIELDS(ice_fields), reckon_ice},
    {0},
};
