/* The milk tastes wrong: from the flavour to suspects, and from them to what this dairy's own log of that
 * batch says. A decision aid, not a verdict.
 *
 * The table is assets/flavours.csv. Each suspect begins with its weight there; where the log supports it, the
 * weight is tripled, where the log speaks against it, cut to a third, and where the log is silent, left. (The
 * factor is a judgement: common practice, no source.) */
#ifndef CORE_MILK_TASTE_H
#define CORE_MILK_TASTE_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/quantity.h"
#include "core/base/working.h"

/* What the log can say about a batch. Yes and no are 1 and 0; NaN is "not known". */
enum taste_fact {
    TASTE_TO_40F_MIN,       /* minutes from the pour until the batch was at 40 °F */
    TASTE_FRIDGE_MAX_C,     /* warmest reading of the refrigerator since */
    TASTE_LIFE_USED,        /* part of the keeping life that was used when it was tasted: 1 = all */
    TASTE_FEED_CHANGE_DAYS, /* from the last change of feed or pasture to the milking */
    TASTE_FED_BEFORE_H,     /* hours from strong feed to milking */
    TASTE_CALVED_DAYS,      /* since the last of the cows whose milk it is calved */
    TASTE_DAYS_IN_MILK,     /* of the cow whose milk it is; of several, the one longest in milk */
    TASTE_MIX_PPM,          /* sanitiser that the gear had before this milking */
    TASTE_MONTH,            /* of the milking, 1 .. 12 */
    TASTE_TREATED_DAYS,     /* since the last treatment of a cow whose milk it is */
    TASTE_WASH_MISSED,      /* yes/no: the wash before was not finished, or too cool */
    TASTE_DISC_DIRTY,       /* yes/no: as it was looked at */
    TASTE_MASTITIS_SIGNS,   /* yes/no: strip, quarter test or cells */
    TASTE_AIR_LEAK,         /* yes/no */
    TASTE_TOPPED_UP,        /* yes/no: or warmed and cooled again */
    TASTE_LIGHT,            /* yes/no: stood in the light */
    TASTE_METAL,            /* yes/no: copper or iron touched it */
    TASTE_NOT_DRAINED,      /* yes/no: a drain step was left out */
    TASTE_ONE_JAR,          /* yes: other jars of the batch taste right; no: they taste the same */
    TASTE_FACTS
};

struct taste_log {
    double fact[TASTE_FACTS];
};

/* All facts unknown. */
void taste_log_clear(struct taste_log *log);

enum { TASTE_ROWS_MAX = 64, TASTE_NAME_MAX = 24 };

struct taste_row {
    char flavour[TASTE_NAME_MAX];
    char words[80]; /* what people call it, separated by ';' (in the first row of a flavour) */
    char suspect[64];
    double weight;
    int evidence;    /* what supports it in the log; -1: nothing that a log holds */
    char check[120]; /* where to look */
    char source[32];
};

struct taste_table {
    struct taste_row row[TASTE_ROWS_MAX];
    size_t count;
};

/* The rows of assets/flavours.csv. Fails only if that table is broken; the sentence names the row. */
int taste_table_load(struct taste_table *out, struct fail *f);

/* The flavour that a word means ("soapy": rancid), copied to flavour[]. Refuses other words naming the
 * flavours. */
int taste_flavour(const struct taste_table *table, const char *word, char flavour[TASTE_NAME_MAX],
                  struct fail *f);

/* "good" and other words for milk with nothing wrong. */
bool taste_is_good(const char *word);

/* Is the milk's age, life used up in store, among the suspects of a flavour (as taste_flavour() gives it)?
 * Milk that tastes so has turned. */
bool taste_is_age(const struct taste_table *table, const char *flavour);

enum taste_finding { TASTE_SILENT, TASTE_SUPPORTS, TASTE_AGAINST };

struct taste_suspect {
    const struct taste_row *row; /* borrowed from the table */
    double share_pct;            /* of all weight; a way to rank, not a probability */
    enum taste_finding finding;
    char found[96]; /* what the log says, in words; "" when it is silent */
};

/* Suspects of a flavour (as taste_flavour() gives it), strongest first. When only one jar tastes wrong, the
 * jar itself is among them for every flavour. Writes *count of them, at most TASTE_ROWS_MAX. */
void taste_rank(const struct taste_table *table, const char *flavour, const struct taste_log *log,
                enum unit_system units, struct taste_suspect suspects[TASTE_ROWS_MAX], size_t *count,
                struct working *w);

#endif
