/* Topics of core/feeding. */
#include <math.h>

#include "core/feeding/climate.h"
#include "core/feeding/ration.h"
#include "core/feeding/requirement.h"
#include "src/reckon.h"

#define COUNT(fields) (sizeof(fields) / sizeof(fields)[0])

/* clang-format off */
static const struct field ration_fields[] = {
    {"weight",  FIELD_QUANTITY, DIM_MASS,    FIELD_REQUIRED, NULL, "weight",  "what she weighs, as 1000lb or 450kg"},
    {"milk",    FIELD_QUANTITY, DIM_MASS,    FIELD_REQUIRED, NULL, "milk",    "milk a day, as 31lb or 14kg; 0 when dry"},
    {"fat",     FIELD_QUANTITY, DIM_PERCENT, 0,              NULL, "fat",     "fat of her milk, as 4.8%; 4% if it is not given"},
    {"protein", FIELD_QUANTITY, DIM_PERCENT, 0,              NULL, "protein", "protein of her milk, if it is known"},
    {"day",     FIELD_QUANTITY, DIM_COUNT,   0,              NULL, "day",     "day in milk, for her appetite"},
    {"in_calf", FIELD_QUANTITY, DIM_COUNT,   0,              NULL, "in calf", "days in calf, if she is"},
    {"walk",    FIELD_QUANTITY, DIM_NUMBER,  0,              NULL, "walk",    "km a day to pasture and back"},
    {"grazing", FIELD_CHOICE,   0,           0,              "no|yes", "grazing", "yes if she grazes"},
    {"feed",    FIELD_TEXT,     0,           FIELD_REQUIRED, NULL, "feed",    "what she is fed a day, as grass hay:free,oats:3kg"},
};
/* clang-format on */

static int ration_items(const struct form *form, struct ration_item *items, size_t *count, struct fail *f)
{
    const char *list = form_text(form, "feed", "");
    char text[80];
    for (*count = 0; list_next(&list, ',', text, sizeof text); (*count)++) {
        if (*count == RATION_ITEMS_MAX)
            return fail_input(f, "feed: at most %d feeds.", RATION_ITEMS_MAX);
        if (ration_item_parse(text, NULL, 0, &items[*count], f) != 0)
            return -1;
    }
    return 0;
}

static int reckon_ration(const struct form *form, struct working *w, struct fail *f)
{
    struct ration_item items[RATION_ITEMS_MAX];
    struct ration_balance balance;
    char text[120];
    size_t count;
    struct feeding_cow cow = {
        .weight_kg = form_number(form, "weight", 0),
        .milk_kg = form_number(form, "milk", 0),
        .fat_pct = form_number(form, "fat", 4),
        .protein_pct = form_number(form, "protein", NAN),
        .day_in_milk = (int)form_number(form, "day", 0),
        .days_in_calf = (int)form_number(form, "in_calf", 0),
        .calf_kg = NAN,
        .walk_km = form_number(form, "walk", 0),
        .grazing = form_choice(form, "grazing", 0) == 1,
    };
    if (ration_items(form, items, &count, f) != 0 ||
        ration_balance_of(&cow, items, count, &balance, w, f) != 0)
        return -1;
    working_result_text(w, "verdict", ration_text(&balance, text, sizeof text));
    return 0;
}

/* clang-format off */
static const struct field thi_fields[] = {
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "temperature", "of the air, as 88F or 31C"},
    {"rh",   FIELD_QUANTITY, DIM_PERCENT,     FIELD_REQUIRED, NULL, "humidity",    "relative humidity, as 60%"},
};
/* clang-format on */

static int reckon_thi(const struct form *form, struct working *w, struct fail *f)
{
    struct heat_stress stress;
    return heat_stress_of(form_number(form, "temp", 0), form_number(form, "rh", 0), &stress, w, f);
}

const struct reckon_topic reckon_feeding[] = {
    {"ration", "what a cow needs in a day, and what her ration brings",
     "weight=450kg milk=14kg fat=4.8% day=70 \"feed=grass hay:free,oats:3kg\"", ration_fields,
     COUNT(ration_fields), reckon_ration},
    {"thi", "heat stress by temperature and humidity", "temp=88F rh=60%", thi_fields, COUNT(thi_fields),
     reckon_thi},
    {0},
};
