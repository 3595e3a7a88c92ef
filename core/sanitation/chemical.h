/* What goes into the sink, and what must never meet there. One list of words serves the routine's steps, the
 * doses and the rules for contact. */
#ifndef CORE_SANITATION_CHEMICAL_H
#define CORE_SANITATION_CHEMICAL_H

#include <stdbool.h>

enum chemical {
    CHEMICAL_NONE,
    CHEMICAL_WATER,             /* a plain rinse: it takes the last chemical away */
    CHEMICAL_DETERGENT,         /* without chlorine */
    CHEMICAL_CHLORINE,          /* bleach, hypochlorite sanitiser */
    CHEMICAL_ALKALINE_CHLORINE, /* chlorinated detergent */
    CHEMICAL_ACID,              /* acid rinse, milkstone remover, vinegar */
    CHEMICAL_IODINE,            /* iodophor sanitiser: made acid */
    CHEMICAL_QUAT,              /* quaternary ammonium sanitiser */
    CHEMICAL_PEROXYACETIC,      /* with peroxide, and acid */
    CHEMICAL_PEROXIDE,          /* hydrogen peroxide */
    CHEMICAL_TEAT_DIP,          /* on the cow, never in the sink */
    CHEMICAL_COUNT
};

/* Its word in files and on the command line: "none", "water", "alkaline-chlorine", ... Static text. */
const char *chemical_word(enum chemical chemical);

/* The same in a sentence: "plain water", "chlorinated detergent", "acid", ... Static text. */
const char *chemical_name(enum chemical chemical);

/* The chemical of that word; false if there is none. */
bool chemical_find(const char *word, enum chemical *out);

/* True if a plain rinse must stand between the two, whichever comes first: chlorine in any form against acid,
 * against ammonium and against peroxide, and any two different chemicals that are not known to be harmless
 * together. Source: Stanford EHS, Bleach solutions; Children's Hospital of Philadelphia poison centre
 * (chlorine with acid, ammonia, peroxide and other cleaners). */
bool chemical_must_not_meet(enum chemical a, enum chemical b);

#endif
