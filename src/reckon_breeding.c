/* Topics of core/breeding. */
#include "core/breeding/cycle.h"
#include "core/breeding/gestation.h"
#include "src/reckon.h"

#define COUNT(fields) (sizeof(fields) / sizeof(fields)[0])

/* clang-format off */
static const struct field due_fields[] = {
    {"served", FIELD_DATE,     0,          FIELD_REQUIRED, NULL,          "served", "the day of service, as 2026-03-14"},
    {"breed",  FIELD_TEXT,     0,          0,              NULL,          "breed",  "as Jersey; dairy cows in general if it is not given"},
    {"days",   FIELD_QUANTITY, DIM_COUNT,  0,              NULL,          "days",   "her own length of gestation instead of the breed's, as 283"},
    {"parity", FIELD_QUANTITY, DIM_COUNT,  0,              NULL,          "parity", "calvings so far; 0 for a heifer with her first calf"},
    {"twins",  FIELD_CHOICE,   0,          0,              "no|yes|0|1",  "twins",  "yes if two were seen"},
    {"calf",   FIELD_CHOICE,   0,          0,              "bull|heifer", "calf",   "bull or heifer, if it is known"},
    {"sire",   FIELD_QUANTITY, DIM_NUMBER, 0,              NULL,          "sire",   "days that this sire's calves are carried longer, as 1.5"},
    {"dry",    FIELD_QUANTITY, DIM_COUNT,  0,              NULL,          "dry",    "days dry before the due day; 60 if it is not given"},
    {"on",     FIELD_MOMENT,   0,          0,              NULL,          "now",    "when she had not calved yet, for the chance of the coming day"},
};
/* clang-format on */

static int due_case(const struct form *form, struct gestation_case *c, struct fail *f)
{
    const char *breed = form_text(form, "breed", "");
    *c = (struct gestation_case){.own_days = (int)form_number(form, "days", 0)};
    if ((breed[0] == '\0' ? gestation_breed_or_usual(NULL, &c->breed, f) : gestation_breed_find(breed, &c->breed, f)) != 0)
        return -1;
    c->heifer = form_number(form, "parity", 1) < 1;
    c->twins = form_choice(form, "twins", 0) % 2 == 1;
    if (form_get(form, "calf") != NULL)
        c->calf = form_choice(form, "calf", 0) == 0 ? CALF_BULL : CALF_HEIFER;
    c->sire_days = form_number(form, "sire", 0);
    return 0;
}

static int reckon_due(const struct form *form, struct working *w, struct fail *f)
{
    struct gestation_case known;
    struct gestation length;
    struct plan_days days = PLAN_DAYS_USUAL;
    struct day_chances conception;
    struct gestation_plan plan;
    struct calving_near near;
    double dry = form_number(form, "dry", days.dry);
    if (dry > 150)
        return fail_input(f, "dry=%.0f days cannot be meant; 45 to 60 are usual.", dry);
    days.dry = (int)dry;
    if (due_case(form, &known, f) != 0 || gestation_of(&known, &length, w, f) != 0)
        return -1;
    day_chances_certain(&conception, form_date(form, "served", DATE_NONE));
    gestation_plan(&conception, &length, &days, &plan, w);
    gestation_plan_results(&plan, w);
    if (form_get(form, "on") != NULL)
        gestation_near(&plan, form_moment(form, "on", form->now), &near, w);
    return 0;
}

/* clang-format off */
static const struct field heat_fields[] = {
    {"seen",   FIELD_MOMENT, 0, FIELD_REQUIRED, NULL,     "seen",   "when the heat was first seen, as 2026-05-03T07:00"},
    {"signs",  FIELD_TEXT,   0, 0,              NULL,     "signs",  "what was seen, as standing,mucus"},
    {"before", FIELD_TEXT,   0, 0,              NULL,     "before", "days of her earlier heats, as 2026-03-20,2026-04-11"},
    {"heifer", FIELD_CHOICE, 0, 0,              "no|yes", "heifer", "yes if she has not calved yet"},
};
/* clang-format on */

enum { HEATS_MAX = 24 };

/* The earlier heats and the one just seen, oldest first. */
static int heats_given(const struct form *form, struct heat *heats, size_t *count, struct fail *f)
{
    const char *list = form_text(form, "before", "");
    char item[CIVIL_TEXT_MAX];
    struct date on, last_on = DATE_NONE;
    struct instant seen = form_moment(form, "seen", form->now);
    *count = 0;
    while (list_next(&list, ',', item, sizeof item)) {
        if (*count == HEATS_MAX - 1)
            return fail_input(f, "before: at most %d earlier heats.", HEATS_MAX - 1);
        if (date_parse(item, &on, f) != 0)
            return -1;
        if ((date_known(last_on) && on.days <= last_on.days) || on.days >= instant_date(seen).days)
            return fail_input(f, "before: the earlier heats, oldest first, all before the one seen now.");
        heats[(*count)++] = (struct heat){.at = date_start(on), .origin = HEAT_SEEN};
        last_on = on;
    }
    heats[*count] = (struct heat){.at = seen, .origin = HEAT_SEEN};
    const char *signs = form_text(form, "signs", "");
    return heat_signs_parse(signs, &heats[(*count)++].signs, f);
}

static int reckon_heat(const struct form *form, struct working *w, struct fail *f)
{
    struct heat heats[HEATS_MAX];
    struct cycle cycle;
    struct service_window serve;
    struct heat_window next;
    char iso[CIVIL_TEXT_MAX];
    size_t count;
    if (heats_given(form, heats, &count, f) != 0)
        return -1;
    const struct heat *now = &heats[count - 1];
    working_given_text(w, "seen", instant_iso_local(now->at, iso), ORIGIN_GIVEN);
    cycle_service_window(now->at, &serve, w);
    working_result_text(w, "serve_from", instant_iso_local(serve.from_at, iso));
    working_result_text(w, "serve_to", instant_iso_local(serve.to_at, iso));
    working_result_text(w, "serve_last", instant_iso_local(serve.last_at, iso));
    working_result_text(w, "guide", serve.guide);
    if (now->signs != 0)
        working_result_text(w, "strength", heat_strength_word(heat_strength(now->signs)));
    cycle_learn(heats, count, form_choice(form, "heifer", 0) == 1, &cycle, w);
    cycle_window(&cycle, heat_on(now), 1, &next);
    working_step(w, "next: %.1f days on, 95 %% of cycles like hers", cycle.mean_days);
    working_result_date(w, "next_from_on", next.from_on);
    working_result_date(w, "next_on", next.likely_on);
    working_result_date(w, "next_to_on", next.to_on);
    working_caution(w,
                    "Counted from the first standing: a heat found late began earlier. If signs go on, serve "
                    "again rather than wait.");
    return 0;
}

const struct reckon_topic reckon_breeding[] = {
    {"due", "when she calves after a service, and the days that follow from it",
     "served=2025-06-20 breed=Holstein", due_fields, COUNT(due_fields), reckon_due},
    {"heat", "when to serve a heat that was seen, and when the next one is to be watched for",
     "seen=2026-05-03T07:00 signs=standing", heat_fields, COUNT(heat_fields), reckon_heat},
    {0},
};
