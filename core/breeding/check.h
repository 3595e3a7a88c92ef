/* Ways of finding out whether she is in calf: what each can see, and when. */
#ifndef CORE_BREEDING_CHECK_H
#define CORE_BREEDING_CHECK_H

#include <stdbool.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/breeding/facts.h"

/* What a method can do. */
struct check_facts {
    const char *word;         /* "ultrasound" */
    int from_days, to_days;   /* after service; to_days 0 = no end */
    int after_calving_days;   /* a "pregnant" sooner after a calving than this says nothing */
    double sees_calf;         /* chance of "in calf" when she is */
    double sees_none_wrongly; /* chance of "in calf" when she is not */
    double stage_sd_days;     /* how well it tells the stage */
    const char *source;
};

/* The facts of a method; borrowed, static. */
const struct check_facts *check_method_facts(enum check_method method);

/* Reads "ultrasound"; refuses an unknown word, naming all. */
int check_method_parse(const char *word, enum check_method *out, struct fail *f);

/* True if the method could see on the day of this check a calf conceived on conceived_on: neither too early
 * nor too late for it. */
bool check_sees(const struct check *c, struct date conceived_on);

#endif
