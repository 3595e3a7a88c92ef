/* Every caution of the milk house, once: step cards, screens and workings all take their words from here, so
 * that they never differ. A caution is short, stands where it matters, and bows to the label, to local law
 * and to the veterinarian. */
#ifndef CORE_SANITATION_CAUTION_H
#define CORE_SANITATION_CAUTION_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/working.h"
#include "core/sanitation/chemical.h"

enum caution_id {
    CAUTION_NO_MIX_ACID, /* chlorine and acid: on the card of both */
    CAUTION_NO_MIX_AMMONIA,
    CAUTION_NO_MIX_OTHER,
    CAUTION_RINSE_BETWEEN,
    CAUTION_SHARP_SMELL,
    CAUTION_ACID_INTO_WATER,
    CAUTION_WATER_FIRST,
    CAUTION_GLOVES,
    CAUTION_STORE_APART,
    CAUTION_LABEL_RULES,
    CAUTION_PAID_HELP,
    CAUTION_SCALD,
    CAUTION_COLD_HANDS,
    CAUTION_WET_FLOOR,
    CAUTION_NO_RINSE_LIMIT,
    CAUTION_STRIP_TRUTH,
    CAUTION_NO_DECAY_DOSE,
    CAUTION_NO_NEAT_BLEACH,
    CAUTION_FRESH_MIX,
    CAUTION_TOUCHED_AGAIN,
    CAUTION_VACUUM_OFF,
    CAUTION_PREP_LAG,
    CAUTION_DRY_HANDS,
    CAUTION_ONE_TOWEL,
    CAUTION_DISC_ONCE,
    CAUTION_DISC_CLOTS,
    CAUTION_SPILLED,
    CAUTION_CUPS_FELL,
    CAUTION_BUCKET_FULL,
    CAUTION_BRUSH_APART,
    CAUTION_HOSE_JARS,
    CAUTION_LAST_COW,
    CAUTION_NOT_SAFETY,
    CAUTION_LOCAL_LAW,
    CAUTION_VET_DECIDES,
    CAUTION_COUNT
};

struct caution {
    const char *word;   /* as a routine's file names it: "no-mix-acid" */
    const char *text;   /* the sentence, for people */
    const char *source; /* id of assets/sources.csv */
};

/* The caution itself. Static. */
const struct caution *caution_get(enum caution_id id);

/* Its sentence. Static text, fit for working_caution(). */
const char *caution_text(enum caution_id id);

/* The caution of that word; false if there is none. */
bool caution_find(const char *word, enum caution_id *out);

enum { CHEMICAL_CAUTIONS_MAX = 6 };

/* The cautions that belong to a chemical wherever it appears, the gravest first; writes at most
 * CHEMICAL_CAUTIONS_MAX of them to out and returns how many. */
size_t caution_of_chemical(enum chemical chemical, enum caution_id out[CHEMICAL_CAUTIONS_MAX]);

/* Adds the caution and its source to a working (NULL allowed). */
void caution_add(struct working *w, enum caution_id id);

#endif
