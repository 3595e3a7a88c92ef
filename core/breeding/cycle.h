/* Her cycle: heats seen and not seen, when the next is to be looked for, when to serve.
 *
 * The published cycle is 21 days, 18 to 24; taken as 95 % of all intervals, that is a standard deviation of
 * 1.53 days. Half of its variance is put down to differences between cows and half to one cow's own
 * irregularity (an assumption, said in the working). Her own intervals then pull both the mean
 * (normal-normal shrinkage) and the irregularity (scaled chi-square, worth four intervals at the start) her
 * way, so that the windows narrow as she shows herself regular, and widen if she is not. */
#ifndef CORE_BREEDING_CYCLE_H
#define CORE_BREEDING_CYCLE_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/breeding/facts.h"

enum heat_strength {
    HEAT_OVER,     /* blood only: it was one to three days ago */
    HEAT_POSSIBLE, /* one sign that has other causes too */
    HEAT_LIKELY,   /* mounts others, or two signs */
    HEAT_SURE,     /* stands to be mounted */
};

/* Reads "standing, mucus"; the words are those of heat_sign_word(). Refuses an unknown one, naming all. */
int heat_signs_parse(const char *text, unsigned *signs, struct fail *f);

/* The word for one sign ("standing"), NULL for anything else. Static. */
const char *heat_sign_word(unsigned sign);

/* "standing, mucus"; "no sign noted" for 0. Returns buf. */
const char *heat_signs_text(unsigned signs, char *buf, size_t size);

enum heat_strength heat_strength(unsigned signs);

/* "sure", "likely", "possible", "just over". Static. */
const char *heat_strength_word(enum heat_strength strength);

/* The civil day of the heat itself: two days earlier when only blood was seen. */
struct date heat_on(const struct heat *h);

enum { CYCLE_HEATS_MAX = 128 };

/* Her heats, oldest first: those that were seen, and the services made on one day, since she was in heat
 * then. Writes the last `max` and returns how many. */
size_t cycle_heats(const struct breeding *b, struct heat *out, size_t max);

struct cycle {
    double mean_days;      /* hers: 21 (heifers 20) pulled towards her own intervals */
    double mean_sd_days;   /* how well that is known */
    double within_sd_days; /* how much one cycle of hers differs from the next */
    int own;               /* her own cycles that went into it */
    int odd;               /* intervals that fit no whole number of cycles, left out */
};

/* Learns from her heats, oldest first (seen and served ones; inferred ones are ignored). Intervals of two or
 * three cycles count as such, with the heat between them silent; longer ones (a pregnancy) and ones that fit
 * no number of cycles are left out. Any count, also 0, is fine. */
void cycle_learn(const struct heat *heats, size_t count, bool heifer, struct cycle *out, struct working *w);

/* The silent heats inside her record: writes at most `max` to out (origin HEAT_SILENT, signs 0), oldest
 * first, and returns how many. */
size_t cycle_silent(const struct heat *heats, size_t count, const struct cycle *cycle, struct heat *out,
                    size_t max);

struct heat_window {
    struct date from_on, to_on; /* 95 %, both included */
    struct date likely_on;
    int cycle; /* 1: the next after the last heat */
};

/* The window of the n-th heat after one on last_on, n = 1, 2, ... */
void cycle_window(const struct cycle *cycle, struct date last_on, int n, struct heat_window *out);

/* The windows that are not over on `today`, the current or next one first. Returns how many were written. */
size_t cycle_ahead(const struct cycle *cycle, struct date last_on, struct date today, struct heat_window *out,
                   size_t max);

/* When to serve a heat first seen standing (or first seen at all) at `seen`. */
struct service_window {
    struct instant from_at, to_at; /* best: 7 to 12 h after onset (Hall, Branton & Stone) */
    struct instant last_at;        /* still worth it: 24 h, before the earliest ovulation */
    const char *guide;             /* "that evening", "the next morning": the AM-PM rule of Trimberger 1948 */
};
void cycle_service_window(struct instant seen, struct service_window *out, struct working *w);

#endif
