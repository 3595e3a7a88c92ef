#include "core/herd/body.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/quantity.h"

static bool girth_fits(double girth_m)
{
    return girth_m >= GIRTH_LOW_M && girth_m <= GIRTH_HIGH_M;
}

static double inches(double m)
{
    return m / M_PER_IN;
}

/* Constants of the formulas, in the units in which they were published. */
#define DAIRY_KG           102.71
#define DAIRY_KG_PER_CM    (-2.876)
#define DAIRY_KG_PER_CM2   0.02655
#define GENERAL_IN3_PER_LB 300.0
#define PAUNCH_LB_PER_IN3  0.000935
#define PAUNCH_LB          57.0

double weight_by_girth_kg(double girth_m)
{
    double cm = girth_m * 100;
    return girth_fits(girth_m) ? DAIRY_KG + DAIRY_KG_PER_CM * cm + DAIRY_KG_PER_CM2 * cm * cm : NAN;
}

double weight_by_girth_length_kg(double girth_m, double length_m)
{
    if (!girth_fits(girth_m) || !(length_m > 0))
        return NAN;
    return inches(girth_m) * inches(girth_m) * inches(length_m) / GENERAL_IN3_PER_LB * KG_PER_LB;
}

double weight_by_paunch_kg(double length_m, double chest_m, double paunch_m)
{
    double chest = inches(chest_m), paunch = inches(paunch_m);
    if (!girth_fits(chest_m) || !(length_m > 0) || !(paunch_m > 0))
        return NAN;
    return (0.000935 * inches(length_m) * (chest * chest + paunch * paunch + paunch * chest) + 57) *
           KG_PER_LB;
}

/* Observers with the same tape differ by 2.2 to 2.7 cm. */
#define TAPE_SPREAD_M 0.025

/* What that makes of the weight, by the slope of the formula used. */
static double tape_spread_kg(double girth_m, double length_m)
{
    if (!isnan(length_m))
        return weight_by_girth_length_kg(girth_m, length_m) * 2 * TAPE_SPREAD_M / girth_m;
    return (2 * DAIRY_KG_PER_CM2 * girth_m * 100 + DAIRY_KG_PER_CM) * TAPE_SPREAD_M * 100;
}

static void general_working(double girth_m, double length_m, double kg, struct working *w)
{
    working_given(w, "length_m", length_m, ORIGIN_GIVEN);
    working_given(w, "in3_per_lb", GENERAL_IN3_PER_LB, ORIGIN_CONSTANT);
    working_given(w, "kg_per_lb", KG_PER_LB, ORIGIN_CONSTANT);
    working_step(w, "any breed: girth^2 x length / 300 = %.4g^2 x %.4g / 300 = %.5g lb (inches)",
                 inches(girth_m), inches(length_m), kg / KG_PER_LB);
    working_source(w, "girth-length");
}

static void dairy_working(double girth_m, double kg, struct working *w)
{
    working_given(w, "dairy_kg", DAIRY_KG, ORIGIN_CONSTANT);
    working_given(w, "kg_per_cm", DAIRY_KG_PER_CM, ORIGIN_CONSTANT);
    working_given(w, "kg_per_cm2", DAIRY_KG_PER_CM2, ORIGIN_CONSTANT);
    working_step(w, "dairy animals: %.2f %+.3f G %+.5f G^2 = %.5g kg, G = %.4g cm", DAIRY_KG, DAIRY_KG_PER_CM,
                 DAIRY_KG_PER_CM2, kg, girth_m * 100);
    working_source(w, "heinrichs-92");
}

int weight_reckon(double girth_m, double length_m, double *weight_kg, struct working *w, struct fail *f)
{
    bool with_length = !isnan(length_m);
    if (!girth_fits(girth_m))
        return fail_input(
            f, "A heart girth of %.0f cm cannot be meant; the tape reads %.0f to %.0f cm (%.0f to %.0f in).",
            girth_m * 100, GIRTH_LOW_M * 100, GIRTH_HIGH_M * 100, inches(GIRTH_LOW_M), inches(GIRTH_HIGH_M));
    if (with_length && !(length_m >= 0.4 && length_m <= 3))
        return fail_input(
            f,
            "A length of %.0f cm cannot be meant; measure from the point of the shoulder to the pin "
            "bone.",
            length_m * 100);
    *weight_kg = with_length ? weight_by_girth_length_kg(girth_m, length_m) : weight_by_girth_kg(girth_m);
    working_given(w, "girth_m", girth_m, ORIGIN_GIVEN);
    if (with_length)
        general_working(girth_m, length_m, *weight_kg, w);
    else
        dairy_working(girth_m, *weight_kg, w);
    working_step(w, "another person with the same tape would differ by some %.0f kg",
                 tape_spread_kg(girth_m, length_m));
    working_source(w, "girth-spread");
    working_result(w, "weight_kg", *weight_kg);
    working_result(w, "weight_lb", *weight_kg / KG_PER_LB);
    working_caution(
        w,
        "A weight from a tape is an estimate; tell the veterinarian so when a dose is worked out from it.");
    return 0;
}

/* ---- condition ---- */

double condition_from_nine(double score)
{
    return score >= 1 && score <= 9 ? (score + 1) / 2 : NAN;
}

double condition_from_zero_five(double score)
{
    return score >= 0 && score <= 5 ? 0.8 * score + 1 : NAN;
}

int condition_parse(const char *text, double *score, struct fail *f)
{
    static const struct {
        const char *tail;
        double add;
    } tails[] = {
        {"", 0},       {".0", 0},      {".00", 0},    {".25", 0.25},  {".5", 0.5}, {".50", 0.5},
        {".75", 0.75}, {" 1/4", 0.25}, {" 1/2", 0.5}, {" 3/4", 0.75}, {"+", 0.25}, {"-", -0.25},
    };
    if (text[0] >= '1' && text[0] <= '5')
        for (size_t i = 0; i < sizeof tails / sizeof tails[0]; i++) {
            double value = text[0] - '0' + tails[i].add;
            if (strcmp(text + 1, tails[i].tail) != 0 || value < 1 || value > 5)
                continue;
            *score = value;
            return 0;
        }
    return fail_input(f, "\"%.40s\" is not a condition score; write 1 to 5 in quarter points, such as 3.25.",
                      text);
}

static const struct condition_target targets[] = {
    {"drying off and the dry period", -1, 3.25, 3.75, "bcs-ishler"},
    {"calving", 0, 3.25, 3.75, "bcs-memory"},
    {"peak of the lactation", 15, 2.5, 3.0, "bcs-memory"},
    {"middle of the lactation", 101, 2.75, 3.25, "bcs-memory"},
    {"end of the lactation", 201, 3.25, 3.75, "bcs-memory"},
};

const struct condition_target *condition_target(const struct cow_stage *stage)
{
    if (stage->stage == STAGE_DRY || stage->stage == STAGE_CLOSE_UP)
        return &targets[0];
    if (stage->stage != STAGE_IN_MILK)
        return NULL;
    size_t at = 1;
    while (at + 1 < sizeof targets / sizeof targets[0] && stage->day >= targets[at + 1].from_day)
        at++;
    return &targets[at];
}

const char *condition_words(double score, const struct condition_target *target, char *buf, size_t size)
{
    if (target == NULL || isnan(score)) {
        (void)snprintf(buf, size, "%s", "");
        return buf;
    }
    const char *how = score < target->low ? "thin" : score > target->high ? "fat" : "right";
    (void)snprintf(buf, size, "%s for %s: %.2f, aim %.2f to %.2f", how, target->when, score, target->low,
                   target->high);
    return buf;
}
