#include "core/breeding/calving.h"

#include <math.h>
#include <string.h>

#include "core/base/form.h"
#include "core/base/text.h"

/* Scale and codes: source calving-ease. */
const char *calving_ease_word(int ease)
{
    static const char *const words[] = {"no problem", "slight problem", "needed assistance",
                                        "considerable force", "extreme difficulty"};
    return ease >= 1 && ease <= 5 ? words[ease - 1] : NULL;
}

const char *calf_fate_word(enum calf_fate fate)
{
    switch (fate) {
    case CALF_ALIVE: return "alive";
    case CALF_BORN_DEAD: return "born dead";
    case CALF_DIED_48H: return "died within 48 h";
    }
    return NULL;
}

static int calf_not_understood(const char *text, struct fail *f)
{
    return fail_input(
        f,
        "\"%.40s\" is not a calf; write heifer or bull, then dead or died if so, then the weight "
        "as 35kg.",
        text);
}

/* One blank-separated word of a calf; false when it is none of the words there are. */
static bool calf_word(const char *word, struct calf *calf)
{
    if (text_same(word, "heifer") && calf->sex == CALF_UNKNOWN)
        calf->sex = CALF_HEIFER;
    else if (text_same(word, "bull") && calf->sex == CALF_UNKNOWN)
        calf->sex = CALF_BULL;
    else if (text_same(word, "dead") && calf->fate == CALF_ALIVE)
        calf->fate = CALF_BORN_DEAD;
    else if (text_same(word, "died") && calf->fate == CALF_ALIVE)
        calf->fate = CALF_DIED_48H;
    else if (isnan(calf->weight_kg))
        return quantity_parse(word, DIM_MASS, NULL, &calf->weight_kg, NULL) == 0;
    else
        return false;
    return true;
}

static int calf_parse(const char *text, struct calf *calf, struct fail *f)
{
    char word[32];
    const char *rest = text;
    *calf = (struct calf){.fate = CALF_ALIVE, .weight_kg = NAN};
    while (list_next(&rest, ' ', word, sizeof word))
        if (word[0] != '\0' && !calf_word(word, calf))
            return calf_not_understood(text, f);
    if (calf->sex == CALF_UNKNOWN)
        return calf_not_understood(text, f);
    return 0;
}

int calves_parse(const char *text, struct calving *out, struct fail *f)
{
    char item[64];
    struct calf calves[CALVES_MAX];
    int count = 0;
    while (list_next(&text, ',', item, sizeof item)) {
        if (count == CALVES_MAX)
            return fail_input(f, "More than %d calves at once cannot be meant.", CALVES_MAX);
        if (calf_parse(item, &calves[count], f) != 0)
            return -1;
        count++;
    }
    if (count == 0)
        return calf_not_understood("", f);
    memcpy(out->calf, calves, sizeof calves[0] * (size_t)count);
    out->calves = count;
    return 0;
}

/* Source freemartin. */
const char *calving_freemartin(const struct calving *c)
{
    int bulls = 0, heifers = 0;
    for (int i = 0; i < c->calves; i++) {
        bulls += c->calf[i].sex == CALF_BULL;
        heifers += c->calf[i].sex == CALF_HEIFER;
    }
    if (bulls == 0 || heifers == 0)
        return NULL;
    return "The heifer is twin to a bull: more than 9 of 10 such heifers are sterile (freemartin). Have her "
           "examined before keeping her to breed.";
}

static const int64_t hour_s = 3600;

int calving_colostrum(double calf_kg, struct instant born_at, struct colostrum_plan *out, struct working *w,
                      struct fail *f)
{
    if (!(calf_kg >= 10 && calf_kg <= 80))
        return fail_input(f, "A calf of %.0f kg cannot be meant; 10 to 80 kg can.", calf_kg);
    out->first_l = 0.10 * calf_kg;
    out->second_l = 2;
    out->first_by.s = born_at.s + 1 * hour_s;
    out->second_by.s = born_at.s + 12 * hour_s;
    out->useless_at.s = born_at.s + 24 * hour_s;
    working_given(w, "calf_kg", calf_kg, ORIGIN_GIVEN);
    working_step(w,
                 "first feed 10 %% of its weight, taken as litres: %.1f L at once, %.0f L more within 12 h",
                 out->first_l, out->second_l);
    working_step(w, "taken up: 52 %% at 45 min, 36 %% at 6 h, 35 %% at 12 h, next to nothing by 20 to 24 h");
    working_step(w, "good colostrum has over 50 g/L of antibodies: 21 %% Brix or more");
    working_result(w, "first_l", out->first_l);
    working_result(w, "second_l", out->second_l);
    working_source(w, "colostrum-amount");
    working_source(w, "colostrum-delay");
    working_source(w, "colostrum-quality");
    return 0;
}

static void add_reason(struct milk_fever_watch *watch, bool applies, const char *reason)
{
    if (!applies)
        return;
    text_append(watch->why, sizeof watch->why, "%s%s", watch->why[0] == '\0' ? "" : ", ", reason);
    watch->high_risk = true;
}

void calving_milk_fever(struct instant calved_at, struct instant now, int calvings, double age_years,
                        bool jersey, bool had_it_before, struct milk_fever_watch *out, struct working *w)
{
    int64_t passed = now.s - calved_at.s;
    memset(out, 0, sizeof *out);
    out->until_at.s = calved_at.s + 72 * hour_s;
    out->phase = passed < 24 * hour_s   ? MILK_FEVER_FIRST_DAY
                 : passed < 72 * hour_s ? MILK_FEVER_WATCH
                                        : MILK_FEVER_OVER;
    add_reason(out, calvings >= 3, "third calf or later");
    add_reason(out, age_years >= 5, "five years or older");
    add_reason(out, jersey, "Jersey");
    add_reason(out, had_it_before, "had it before");
    working_given_whole(w, "calvings", calvings, ORIGIN_RECORDED);
    working_step(w, "about 80 %% of milk fever comes within a day of calving; the watch lasts 72 h");
    working_step(w, out->high_risk ? "risk raised: %s" : "risk not raised by age, breed or an earlier case%s",
                 out->why);
    working_source(w, "milk-fever");
    working_caution(w, calving_call_now[0]);
}

/* Source calving-signs; temperature from memory; hours of labour: common practice, no source. */
const char *const calving_watch_before[] = {
    "Udder fills in the two weeks before; in a heifer up to two or three months.",
    "String of mucus up to two weeks before.",
    "Ligaments beside the tail slack, teats tight: within about 24 hours.",
    "Temperature about 1 °F (0.5 °C) lower in the last 24 hours.",
    "Two hours of straining, or the water bag out for two hours, and no calf: call the veterinarian.",
    NULL,
};

const char *const calving_call_now[] = {
    "Down, wobbling, cold ears or a kinked neck: it may be milk fever. Call the veterinarian now.",
    "Keep a cow that is down propped on her breastbone; pour nothing into one that swallows badly.",
    "Heavy bleeding, or the womb hanging out: call now, keep it clean and wet, keep her quiet.",
    "Afterbirth not gone after 24 hours, or she stinks, is hot, or does not eat: call the veterinarian.",
    NULL,
};
