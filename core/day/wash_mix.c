/* The mix on the wash bench: how strong it is, whether the chosen rule allows it, and the dose for the next. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/wash_inside.h"

/* Mixed fresh for every milking; older than a day it is no mix any more (common practice, no source). */
enum { FRESH_S = 24 * 3600 };

static int judge_contact(struct wash_view *v, enum chemical chemical, struct working *w, struct fail *f)
{
    struct wash_mix_view *m = &v->mix;
    struct contact_rules *rules = malloc(sizeof *rules);
    struct contact_answer answer;
    struct contact_reading reading = {chemical, m->ppm, m->temp_c, m->ph, NAN};
    struct fail silent = {0};
    char span[CIVIL_TEXT_MAX];
    if (rules == NULL)
        return fail_memory(f);
    int result = contact_rules_load(rules, f);
    m->contact = CONTACT_NOT_KNOWN;
    if (result == 0 && contact_judge(rules, v->contact_set, &reading, &answer, w, &silent) != 0)
        (void)snprintf(m->contact_words, sizeof m->contact_words, "%.200s", silent.text);
    else if (result == 0) {
        m->contact = answer.verdict;
        if (answer.verdict == CONTACT_ALLOWED)
            (void)snprintf(m->contact_words, sizeof m->contact_words, "allowed, wet for %s at least",
                           span_text((int64_t)answer.time_s, span));
        else if (answer.verdict == CONTACT_NOT_KNOWN)
            (void)snprintf(m->contact_words, sizeof m->contact_words, "%s", answer.why);
        else
            (void)snprintf(m->contact_words, sizeof m->contact_words, "NOT ALLOWED. %s", answer.why);
    }
    free(rules);
    return result;
}

/* The old spoon rule, where it goes over what may stay unrinsed. */
static void say_spoon_rule(const struct bottle_row *bottle, struct wash_mix_view *m)
{
    if (bottle->strength_mpct == ROW_NONE)
        return;
    struct bleach bleach = bottle_bleach(bottle);
    double ppm = bleach_spoon_rule_ppm(&bleach, NULL);
    if (ppm > CHLORINE_CEILING_PPM)
        (void)snprintf(m->spoon_rule, sizeof m->spoon_rule,
                       "Not a tablespoon to the gallon: with this bottle that is %.0f ppm, over 200.", ppm);
}

static void say_bottle(const struct wash_view *v, const struct bottle_row *bottle, struct wash_mix_view *m)
{
    char day[CIVIL_TEXT_MAX];
    struct date opened = instant_date(bottle->opened_at);
    int32_t days = date_diff(opened, instant_date(v->now));
    (void)bottle_text(bottle, m->bottle, sizeof m->bottle);
    (void)snprintf(m->chemical, sizeof m->chemical, "%s", bottle->chemical);
    (void)snprintf(m->opened, sizeof m->opened, "opened %s, %d day%s ago", date_text(opened, day), (int)days,
                   days == 1 ? "" : "s");
}

/* How bleach of that age may have weakened: an example from a table, for the working alone; never a dose. */
static void show_age(const struct dairy *d, const struct wash_view *v, const struct bottle_row *bottle, struct working *w)
{
    struct bleach_age age;
    int days = date_diff(instant_date(bottle->opened_at), instant_date(v->now));
    if (w == NULL || bottle->strength_mpct == ROW_NONE || days < 7)
        return;
    if (bleach_age_find((double)d->row.room_temp_mc / 1e3, days, &age, w, NULL) == 0)
        working_caution(w, caution_text(CAUTION_NO_DECAY_DOSE));
}

int wash_fill_mix(struct dairy *d, struct wash_view *v, struct working *w, struct fail *f)
{
    struct wash_mix_view *m = &v->mix;
    struct mix_record r;
    enum chemical chemical = CHEMICAL_CHLORINE;
    m->read_at = m->mixed_at = INSTANT_NONE;
    m->ppm = m->ph = m->temp_c = NAN;
    (void)snprintf(m->rule, sizeof m->rule, "%s", v->contact_set);
    (void)snprintf(m->chemical, sizeof m->chemical, "chlorine");
    if (mix_record_load(d, v->now, &r, f) != 0)
        return -1;
    m->known = r.found;
    if (!r.found)
        return 0;
    m->fresh = v->now.s - r.mix.at.s <= FRESH_S;
    m->mixed_at = r.mix.at;
    m->target_ppm = (double)r.mix.target_mppm / 1e3;
    m->volume_l = (double)r.mix.volume_ml / 1e3;
    m->dose_ml = (double)r.mix.dose_ul / 1e3;
    (void)spoon_text(m->dose_ml / ML_PER_TSP, m->spoons, sizeof m->spoons);
    if (r.read) {
        m->read_at = r.strip.at;
        m->ph = r.strip.ph_milli == ROW_NONE ? (double)NAN : (double)r.strip.ph_milli / 1e3;
        m->temp_c = r.strip.temp_mc == ROW_NONE ? (double)NAN : (double)r.strip.temp_mc / 1e3;
    }
    say_bottle(v, &r.bottle, m);
    say_spoon_rule(&r.bottle, m);
    show_age(d, v, &r.bottle, w);
    (void)chemical_find(r.bottle.chemical, &chemical);
    if (mix_strength(&r, &m->ppm, w, f) != 0 ||
        bottle_dose(&r.bottle, m->target_ppm, m->volume_l,
                    strcmp(r.mix.counted, "water") == 0 ? VOLUME_WATER : VOLUME_FINAL, &m->next, NULL, f) != 0)
        return -1;
    (void)spoon_text(m->next.spoon_tsp, m->next_spoons, sizeof m->next_spoons);
    (void)snprintf(m->verdict, sizeof m->verdict, "%s", mix_verdict(&r, m->ppm, &m->good));
    return judge_contact(v, chemical, w, f);
}

static int say_mixed(const struct dairy *d, const struct mix_record *r, char *buf, size_t size, struct fail *f)
{
    char bottle[80], spoons[64], volume[QUANTITY_TEXT_MAX], at[CIVIL_TEXT_MAX];
    double ppm, dose_ml = (double)r->mix.dose_ul / 1e3;
    if (mix_strength(r, &ppm, NULL, f) != 0)
        return -1;
    (void)snprintf(buf, size, "Mixed already, at %s: %.3g mL (%s) of %s in %s, %.0f ppm by %s.", clock_text(r->mix.at, at),
                   dose_ml, spoon_text(dose_ml / ML_PER_TSP, spoons, sizeof spoons),
                   bottle_text(&r->bottle, bottle, sizeof bottle),
                   quantity_format((double)r->mix.volume_ml / 1e3, DIM_VOLUME, dairy_units(d), volume), ppm,
                   r->read ? "strip" : "the sum; dip a strip");
    return 0;
}

int wash_dose_say(struct dairy *d, struct instant from, struct instant now, char *buf, size_t size, struct fail *f)
{
    struct mix_record r;
    struct solution next;
    char bottle[80], spoons[64], volume[QUANTITY_TEXT_MAX];
    if (mix_record_load(d, now, &r, f) != 0)
        return -1;
    if (!r.found) {
        (void)snprintf(buf, size, "No dose is recorded here: go by the bottle's label and the strip.");
        return 0;
    }
    if (r.mix.at.s >= from.s)
        return say_mixed(d, &r, buf, size, f);
    double target_ppm = (double)r.mix.target_mppm / 1e3, volume_l = (double)r.mix.volume_ml / 1e3;
    bool water = strcmp(r.mix.counted, "water") == 0;
    if (bottle_dose(&r.bottle, target_ppm, volume_l, water ? VOLUME_WATER : VOLUME_FINAL, &next, NULL, f) != 0)
        return -1;
    (void)snprintf(buf, size, "Dose: %.3g mL (%s) of %s %s %s for %.0f ppm; then dip a strip.", next.dose_ml,
                   spoon_text(next.spoon_tsp, spoons, sizeof spoons), bottle_text(&r.bottle, bottle, sizeof bottle),
                   water ? "into" : "to make",
                   quantity_format(volume_l, DIM_VOLUME, dairy_units(d), volume), target_ppm);
    return 0;
}
