/* The forecast of one morning's cooling: from plain facts (what was poured when, what stands in the tub, what
 * was read) to what each batch will do, whether it keeps its limit, when it may come out, and what helps if
 * it does not.
 *
 * Pure and repeatable: no clock, no allocation, same facts, same figures. Times are seconds on the caller's
 * own clock, as doubles; NaN means "not known" among the facts and "does not happen within the horizon" among
 * the results. Temperatures are °C. Costs well under a millisecond, so a board can ask every second. */
#ifndef CORE_COOLING_FORECAST_H
#define CORE_COOLING_FORECAST_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/cooling/jar.h"
#include "core/cooling/limits.h"

enum {
    BATCHES_MAX = 16,
    BATCH_MOVES_MAX = 12,
    BATCH_READINGS_MAX = 40, /* thin a probe's stream to this with reading_thin() of probe.h */
    TUB_ACTS_MAX = 48,
    LEARNED_MAX = 64,
    CURVE_POINTS = 97,
    ADVICE_MAX = 10,
};

/* Far enough ahead for the slowest refrigerator. */
#define FORECAST_HORIZON_S (12 * 3600.0)

/* --- the facts --- */

enum place { PLACE_TUB, PLACE_TABLE, PLACE_FRIDGE, PLACE_GONE, PLACE_COUNT };

const char *place_word(enum place place); /* "tub", "table", "refrigerator", "gone" */

/* `count` jars go from one place to another. A move after `now` is a plan and is forecast as such. */
struct jar_move {
    double at;
    int count; /* 0: all that stand there */
    enum place from, to;
};

struct milk_reading {
    double at;
    double temp_c;
    double lag_s; /* how far a slow probe runs behind, if known; else 0 */
    bool probe;   /* read by a probe, not by hand */
};

struct batch_facts {
    const struct jar_kind *kind;
    int count;       /* jars, 1 or more */
    double volume_l; /* milk in each; 0 or NaN: filled to the mark */
    double fat_pct;  /* NaN: 4 */
    double poured_at;
    double poured_c;                       /* NaN: 35, and taken as uncertain */
    enum place first;                      /* where the jars went when poured, usually PLACE_TUB */
    struct jar_move move[BATCH_MOVES_MAX]; /* in order of time */
    size_t moves;
    struct milk_reading reading[BATCH_READINGS_MAX]; /* in order of time; of the jars that are warmest */
    size_t readings;
};

enum tub_act_kind {
    TUB_ADD_ICE, /* mass_kg at temp_c (NaN: 0 °C) */
    TUB_FILL,    /* mass_kg of water at temp_c */
    TUB_DRAIN,   /* mass_kg of water; ice stays */
    TUB_STIR,    /* from now on: stir */
    TUB_READ,    /* the water among the jars was read: temp_c */
};

struct tub_act {
    double at;
    enum tub_act_kind kind;
    double mass_kg, temp_c;
    enum stir stir;
};

struct tub_facts {
    double start_at; /* when water and ice met; NaN: before the first pour */
    double water_kg; /* NaN or 0: not known, and the tub is taken to stay as cold as it was last read */
    double water_c;
    double ice_kg;
    double ice_c;                     /* of the ice as it went in; NaN: 0 */
    double room_w_per_k;              /* NaN: tub_room_w_per_k() */
    enum stir stir;                   /* at the start */
    struct tub_act act[TUB_ACTS_MAX]; /* in order of time */
    size_t acts;
};

/* What the readings of an earlier morning taught about a kind of jar: made by rate_taught(). */
struct learned_rate {
    char kind[JAR_NAME_MAX];
    enum stir stir;
    double ln_k; /* natural log of the rate per minute of the full jar, 20 K above an ice-cold tub */
    double sd;   /* its standard deviation that morning */
};

struct morning {
    double now;
    struct tub_facts tub;
    double room_c;         /* NaN: 15 */
    double fridge_c;       /* NaN: 4 */
    double fridge_w_per_k; /* heat the refrigerator takes out for each degree its air is warmed by jars; NaN:
                              15 */
    double milking_start_at, milking_end_at; /* NaN: not known; an unknown end is taken as `now`, the earliest
                                                that it can be */
    const struct limit_set *limit;
    double table_s; /* minutes on the table before the refrigerator when a jar is pulled; 0 or more */
    struct batch_facts batch[BATCHES_MAX];
    size_t batches;
    struct learned_rate learned[LEARNED_MAX];
    size_t learned_count;
    const struct jar_list *jars; /* kinds that milk could be split into; NULL: none */
    bool jars_counted;           /* jars_clean is known; else there are taken to be enough of every kind */
    int jars_clean[JAR_KINDS_MAX]; /* of each kind of that list */
    double chart_from, chart_to; /* span of every curve; NaN: each batch from its pouring to just past its
                                    deadline */
};

/* --- the results --- */

/* A moment with its 90 % band. Any of the three may be NaN: not within the horizon. */
struct moment_band {
    double at, early_at, late_at;
};

enum verdict {
    VERDICT_NONE,     /* no limit, or nothing left to judge */
    VERDICT_KEPT,     /* the limit's temperature has been reached, in time */
    VERDICT_WILL,     /* 95 % or more */
    VERDICT_LIKELY,   /* 70 % or more */
    VERDICT_DOUBTFUL, /* 10 % or more */
    VERDICT_WILL_NOT,
    VERDICT_MISSED, /* the deadline has passed */
};

const char *verdict_word(enum verdict verdict); /* "kept", "will make it", "likely", ... */

struct curve_point {
    double at, temp_c, low_c, high_c; /* low and high: the 90 % band */
};

/* What is believed of the rate of a batch, before its readings and after them. */
struct rate_belief {
    double ln_k, sd; /* as struct learned_rate, after this morning's readings */
    double prior_ln_k, prior_sd;
    enum stir stir;     /* the stirring that was learned about: most readings fell under it */
    int used, wild;     /* readings that shaped it; readings that were set aside */
    bool worth_keeping; /* readings in the tub moved it: keep it for other mornings */
    double wild_at[4];  /* which readings were set aside (the first four), NaN for none */
};

struct batch_forecast {
    enum place place;         /* where its warmest jars are: they decide for the batch */
    int jars_at[PLACE_COUNT]; /* how many stand where, now */

    double now_c, now_low_c, now_high_c;
    bool now_read; /* by a reading of the last two minutes, not judged wild; else it is a forecast */

    struct moment_band to_50f, to_45f, to_40f; /* may lie in the past */
    struct moment_band to_limit;               /* when the clause that binds is met */

    int clause;          /* of the limit set: the one that binds; -1 if none */
    double limit_c;      /* its temperature */
    double deadline_at;  /* when it must be met */
    bool deadline_moves; /* milking is not over: the deadline is the earliest it can be */
    enum verdict verdict;
    double probability; /* of keeping the whole set, 0..1 */
    double in_hand_s;   /* deadline - to_limit.at, negative when late; NaN if never met */
    double over_k;      /* temperature at the deadline, above the limit's (negative: below) */

    /* For jars in the tub, as if nobody took them out: may go to the refrigerator from here on and keep the
     * limit, by the central estimate, and with 95 % assurance, which is what a board should say. */
    double earliest_pull_at, safe_pull_at;
    /* From here on the refrigerator cools the milk as well as the tub, or the milk is as cold as it will keep
     * it: staying gains nothing. */
    double latest_pull_at;

    struct curve_point curve[CURVE_POINTS];

    struct rate_belief learned;
};

struct tub_forecast {
    bool known;                   /* there is a tub with known water */
    double temp_c;                /* now, where the jars stand */
    bool temp_read;               /* by a reading of the last two minutes */
    double ice_kg;                /* left now */
    double ice_gone_at;           /* NaN: lasts through the horizon, or there was none */
    double warmest_c, warmest_at; /* highest temperature ahead while jars stand in it */
    enum stir stir;
    struct curve_point curve[CURVE_POINTS]; /* low_c and high_c equal temp_c */
};

enum remedy {
    REMEDY_LEAVE_IN, /* do not pull at the planned moment */
    REMEDY_PUT_BACK, /* warm jars on the table or in the refrigerator go back into the tub */
    REMEDY_WATER,    /* move the water: a small pump, a paddle, by hand */
    REMEDY_SWIRL,    /* move the water, swirl the jars */
    REMEDY_ICE,      /* amount_kg more ice now */
    REMEDY_REFILL,   /* drain amount_kg of warm water and refill with as much from the tap */
    REMEDY_SPLIT,    /* pour into smaller jars: `into` */
    REMEDIES
};

const char *remedy_word(enum remedy remedy);

/* One thing that could be done now, with the times it would give, each computed afresh. Remedies of the tub
 * are meant with the jars that need them left in it, or put back into it. */
struct advice {
    enum remedy remedy;
    double amount_kg;
    const struct jar_kind *into;
    int into_count; /* so many of them */
    bool back;      /* jars that are out go back into the tub as part of it */
    int batch; /* the batch that it is about: of those in need, the one that it leaves worst off */
    struct moment_band to_limit;
    enum verdict verdict;
    double probability;
    double gain_s; /* how much sooner that batch meets its limit; INFINITY if without it it never does */
    double over_k; /* its temperature at the deadline, above the limit's */
    double safe_pull_at;
};

struct forecast {
    struct batch_forecast batch[BATCHES_MAX]; /* in the order of the facts */
    size_t batches;
    struct tub_forecast tub;
    /* Best first: surer, then sooner, then less work. Empty if all is safe. */
    struct advice advice[ADVICE_MAX];
    size_t advice_count;
    int cheapest; /* index of the least work that makes it safe ("will make it"), or -1 */
};

/* Fills *out. Refuses facts that contradict each other, naming them: more jars moved than stand there, a
 * reading before the pouring or above the poured temperature, two readings at one time, ice above 0 °C, acts
 * out of order. */
int forecast_make(const struct morning *morning, struct forecast *out, struct fail *f);

/* What the readings of a morning say of each batch's rate, in the order of the facts: the part of forecast_make() that
 * looks back, for mornings that are over. Refuses as that does. */
int forecast_rates(const struct morning *morning, struct rate_belief out[BATCHES_MAX], struct fail *f);

/* What a batch's readings say by themselves, with the belief before them divided out, for other mornings to
 * learn from: so the jar's own prior is not counted again with every morning. False when they taught nothing
 * worth keeping. */
bool rate_taught(const struct batch_facts *facts, const struct rate_belief *believed, struct learned_rate *out);

/* The same refusals alone, except for moves of jars that are not there. */
int morning_check(const struct morning *morning, struct fail *f);

/* The working behind one batch's figures of a forecast made from that morning. */
void forecast_explain(const struct morning *morning, const struct forecast *forecast, size_t batch,
                      struct working *w);

/* A morning with nothing known: every fact NaN or 0. */
void morning_init(struct morning *morning, double now);

/* A batch of `count` jars, filled to the mark, poured into the tub. */
void batch_init(struct batch_facts *batch, const struct jar_kind *kind, int count, double poured_at,
                double poured_c);

#endif
