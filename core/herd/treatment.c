#include "core/herd/treatment.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/quantity.h"
#include "core/base/text.h"

/* A withholding time longer than this is a slip of the keyboard. */
enum { WITHHOLD_HOURS_MAX = 366 * 24 };

const char *treatment_missing(const struct treatment *t)
{
    const struct {
        bool missing;
        const char *name;
    } items[] = {
        {t->cow[0] == '\0', "which cow"},
        {t->condition[0] == '\0', "what she is treated for"},
        {t->product[0] == '\0', "the product"},
        {t->active[0] == '\0', "the active ingredient"},
        {t->dose[0] == '\0', "the dose"},
        {t->route[0] == '\0', "the route"},
        {t->course[0] == '\0', "how often and for how long"},
        {t->given_by[0] == '\0', "who gave it"},
        {t->extra_label && t->prescribed_by[0] == '\0', "the veterinarian who ordered it"},
        {!instant_known(t->first_dose_at), "when the first dose was given"},
        {!instant_known(t->last_dose_at), "when the last dose was given"},
        {!t->dry_cow && isnan(t->milk_hours), "the milk withholding hours (0 if the label says none)"},
        {t->dry_cow && isnan(t->dry_days), "the least days dry (0 if the label names none)"},
        {t->dry_cow && isnan(t->fresh_hours), "the hours after calving (0 if the label says none)"},
        {isnan(t->meat_days), "the meat withholding days (0 if the label says none)"},
    };
    for (size_t i = 0; i < sizeof items / sizeof items[0]; i++)
        if (items[i].missing)
            return items[i].name;
    return NULL;
}

void treatment_hold(const struct treatment *t, struct hold *out)
{
    *out = (struct hold){
        .kind = t->dry_cow ? HOLD_DRY_COW : HOLD_TREATMENT,
        .name = t->product,
        .from_at = t->first_dose_at,
        .last_dose_at = t->last_dose_at,
        .doses_to_come = t->doses_to_come,
        .milk_hours = t->milk_hours,
        .meat_days = t->meat_days,
        .dry_days = t->dry_days,
        .fresh_hours = t->fresh_hours,
        .fresh_milkings = t->fresh_milkings,
        .until_at = INSTANT_NONE,
        .lifted_at = INSTANT_NONE,
    };
}

static bool mentions_milkings(const char *text)
{
    const char *word = "milking";
    const size_t length = strlen(word);
    for (; *text != '\0'; text++) {
        size_t same = 0;
        while (same < length && tolower((unsigned char)text[same]) == word[same])
            same++;
        if (same == length)
            return true;
    }
    return false;
}

int withhold_hours_parse(const char *text, double *hours, struct fail *f)
{
    double seconds;
    if (mentions_milkings(text))
        return fail_input(
            f,
            "\"%.40s\" counts milkings; labels count them twelve hours apart, and a count is never turned "
            "into hours here. Type the label's hours, such as 96h, or ask the veterinarian.",
            text);
    if (quantity_parse(text, DIM_DURATION, "h", &seconds, f) != 0)
        return -1;
    if (seconds > WITHHOLD_HOURS_MAX * 3600.0)
        return fail_input(f, "\"%.40s\" is more than a year; type the label's hours, such as 96h.", text);
    *hours = seconds / 3600;
    return 0;
}
