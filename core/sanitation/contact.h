/* How strong, how warm, how long: the rules for a sanitiser's contact disagree, so they are data
 * (assets/contact-rules.csv), in named sets, each row with its source. The keeper picks the set that the law
 * of the place names; "house" meets every chlorine row that is not one label's own. Temperatures are kept and
 * compared in °F, the unit of the rules. */
#ifndef CORE_SANITATION_CONTACT_H
#define CORE_SANITATION_CONTACT_H

#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/sanitation/chemical.h"

enum { CONTACT_RULES_MAX = 48, CONTACT_SET_MAX = 16, CONTACT_WHY_MAX = 200 };

struct contact_rule {
    char set[CONTACT_SET_MAX];
    enum chemical chemical;
    double low_ppm, high_ppm; /* inclusive; NaN = the rule does not say */
    double low_f, high_f;
    double high_ph;
    double time_s; /* at least */
    char source[32];
    char words[96];
};

struct contact_rules {
    struct contact_rule rule[CONTACT_RULES_MAX];
    size_t count;
};

/* Reads the table from CSV text; a bad row is refused with its number, and *out is then not changed. */
int contact_rules_parse(const char *text, struct contact_rules *out, struct fail *f);

/* Reads the table that comes with the program. */
int contact_rules_load(struct contact_rules *out, struct fail *f);

/* What was measured; NaN = not read. */
struct contact_reading {
    enum chemical chemical;
    double ppm, temp_c, ph, time_s;
};

enum contact_verdict {
    CONTACT_ALLOWED,     /* for time_s at least */
    CONTACT_NOT_ALLOWED, /* `why` says what would be */
    CONTACT_NOT_KNOWN,   /* depends on something that was not read: `why` says on what */
};

struct contact_answer {
    enum contact_verdict verdict;
    const struct contact_rule *rule; /* that allows it, or NULL; borrowed from the table */
    double time_s;                   /* the contact it asks for; NaN if not allowed */
    char why[CONTACT_WHY_MAX];
};

/* Judges a reading by one set. An unread time is no obstacle: time_s then says how long. Refuses a set that
 * is not there or has no rule for the chemical, and readings that cannot be (pH over 14, less than nothing).
 */
int contact_judge(const struct contact_rules *rules, const char *set, const struct contact_reading *reading,
                  struct contact_answer *out, struct working *w, struct fail *f);

/* "allowed", "not allowed", "not known". Static text. */
const char *contact_verdict_text(enum contact_verdict verdict);

#endif
