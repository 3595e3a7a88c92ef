/* What the wash bench is worked out from, as it stands in the records: the rules it goes by, the latest mix
 * with its bottle and strips, the sink's water. */
#ifndef CORE_DAY_WASH_RECORD_H
#define CORE_DAY_WASH_RECORD_H

#include "core/day/inside.h"
#include "core/sanitation/solution.h"
#include "core/sanitation/washwater.h"
#include "core/store/rows_wash.h"

/* The rules in use; those a dairy begins with when nothing was chosen yet. */
int wash_rule_load(struct dairy *d, struct wash_rule_row *out, struct fail *f);

/* The bottle of that chemical that was opened last by `at`, or *found false. */
int bottle_load(struct dairy *d, const char *chemical, struct instant at, struct bottle_row *out, bool *found,
                struct fail *f);

/* What the bottle's label says, for doses. */
struct bleach bottle_bleach(const struct bottle_row *bottle);

/* "bleach 8.25 %", "iodine by its label". Returns buf. */
const char *bottle_text(const struct bottle_row *bottle, char *buf, size_t size);

struct mix_record {
    bool found;
    struct mix_row mix;
    struct bottle_row bottle;
    bool read; /* a strip was dipped into it */
    struct strip_row strip;
};

/* The latest mix up to `now`. */
int mix_record_load(struct dairy *d, struct instant now, struct mix_record *out, struct fail *f);

/* The dose for a target and a volume from that bottle, by its percent or by its label's recipe. */
int bottle_dose(const struct bottle_row *bottle, double target_ppm, double volume_l, enum volume_kind counted,
                struct solution *out, struct working *w, struct fail *f);

/* The strength that counts, ppm: the strip's, or what the dose gives. `w` gets how it came about. */
int mix_strength(const struct mix_record *m, double *ppm, struct working *w, struct fail *f);

/* What to say and do about that strength; of every sanitiser, not of chlorine alone. Static text. */
const char *mix_verdict(const struct mix_record *m, double ppm, bool *good);

/* The dose in one sentence, for somebody who has never mixed it here: the same again as last time; or, when something
 * was mixed since `from`, what that was. Says so when nothing was ever mixed. */
int wash_dose_say(struct dairy *d, struct instant from, struct instant now, char *buf, size_t size, struct fail *f);

/* The water that is in the sink, and how fast this sink cools. */
struct sink_record {
    bool filled; /* within SINK_HOLDS_S */
    struct sink_fill_row fill;
    struct wash_reading reading[WASH_READINGS_MAX]; /* minutes after the fill; the first is the fill itself */
    size_t readings;
    double k_per_min; /* of this water if it was read again, else the middle of `runs` earlier ones; NaN */
    double usual_l;   /* how much water it was last time; 0 not known */
    bool own_rate;    /* it is of this water's own readings */
    int runs;         /* earlier washes that were read at least twice */
};

enum { SINK_HOLDS_S = 2 * 3600, SINK_RUNS_MAX = 9 };

int sink_record_load(struct dairy *d, double room_c, struct instant now, struct sink_record *out,
                     struct fail *f);

/* Refuses a temperature of the sink that its water cannot have: warmer than it was read before. */
int sink_check_reading(struct act *a, double temp_c);

#endif
