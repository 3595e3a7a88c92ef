/* Calving: the ease scale, the calf's colostrum, the watch on the cow, and what each is called. The words
 * defer to the veterinarian; nothing here is a treatment. */
#ifndef CORE_BREEDING_CALVING_H
#define CORE_BREEDING_CALVING_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/breeding/facts.h"

/* The ease scale of US dairy records, 1..5: "no problem" .. "extreme difficulty". NULL for anything else. The
 * five steps of beef records mean other things; do not mix them. */
const char *calving_ease_word(int ease);

/* "alive", "born dead", "died within 48 h"; NULL for anything else. */
const char *calf_fate_word(enum calf_fate fate);

/* Reads a calf as it is recorded: "heifer", "bull", "heifer dead", "bull died 35kg" - sex, fate if not alive,
 * weight if weighed (kg or lb; a bare number is refused). Twins are two such, separated by commas. */
int calves_parse(const char *text, struct calving *out, struct fail *f);

/* A heifer born twin to a bull is sterile in more than 9 of 10 cases: the remark, or NULL when it does not
 * apply. Static. */
const char *calving_freemartin(const struct calving *c);

/* What the calf should get and by when. */
struct colostrum_plan {
    double first_l;            /* 10 % of its weight, at once */
    double second_l;           /* 2 L more */
    struct instant first_by;   /* absorption has fallen to a third by 6 h: within an hour is the aim */
    struct instant second_by;  /* 12 h */
    struct instant useless_at; /* about 24 h: next to nothing is taken up any more */
};

/* calf_kg: as weighed, or the breed's usual birth weight. Refuses less than 10 or more than 80 kg. */
int calving_colostrum(double calf_kg, struct instant born_at, struct colostrum_plan *out, struct working *w,
                      struct fail *f);

enum milk_fever_phase {
    MILK_FEVER_FIRST_DAY, /* about four of five cases come now */
    MILK_FEVER_WATCH,     /* up to 72 h */
    MILK_FEVER_OVER,
};

struct milk_fever_watch {
    enum milk_fever_phase phase;
    struct instant until_at;
    bool high_risk; /* third calf or later, five years or older, Jersey, or had it before */
    char why[80];   /* "third calf or later, Jersey"; "" when not */
};

/* calvings: this one counted; age_years NaN if not known. */
void calving_milk_fever(struct instant calved_at, struct instant now, int calvings, double age_years,
                        bool jersey, bool had_it_before, struct milk_fever_watch *out, struct working *w);

/* Lines for the board and the relief sheet: what to look for, and when to call the veterinarian. Ended by
 * NULL. Static. */
extern const char *const calving_watch_before[]; /* signs that it is near */
extern const char *const calving_call_now[];     /* signs after calving that mean: call, do not wait */

#endif
