/* What the files of core/day share and nobody else sees. */
#ifndef CORE_DAY_INSIDE_H
#define CORE_DAY_INSIDE_H

#include "core/cooling/jar.h"
#include "core/cooling/limits.h"
#include "core/day/dairy.h"
#include "core/store/journal.h"
#include "core/store/rows.h"
#include "core/store/store.h"

enum { STALLS_MAX = 12, COWS_MAX = 64 };

/* A milking that was opened longer ago than this is over, whether or not somebody said so. */
enum { MILKING_LONGEST_S = 10 * 3600 };

struct dairy {
    struct store *store;
    bool set_up;
    struct dairy_row row; /* its settings, when set up */
    struct jar_list jars; /* the kinds of jars.csv, then the dairy's own */
    struct limit_list limits;
    struct limit_set limit; /* the one that it keeps */
    uint32_t version;       /* of the file, as last seen */
    bool minds_clock;       /* acts are refused when the clock cannot be right */
    bool stale;             /* the settings could not be read again after a change: try at the next look */
    uint64_t edition;       /* counts changes seen, one's own and others' */
    bool cows_stale;        /* something about a cow has changed since facts were loaded */
    bool scale_stale;       /* something about tasted milk has changed since they were loaded */
    bool lessons_stale;     /* something about an earlier morning's chill has changed since they were loaded */
    bool hasty;          /* a throw-away file that is being filled: its facts are not tried out one by one */
    dairy_progress_fn on_progress; /* or NULL */
    void *progress_context;
    struct facts *facts; /* what the board is worked out from; NULL or of an older edition: load it again */
};

/* One act being done. */
struct act {
    struct dairy *dairy;
    const struct act_kind *kind;
    const struct form *form;
    struct instant now; /* the clock */
    struct instant at;  /* when it happened */
    int64_t cow_id;     /* whom it is about, for the journal; ROW_NONE */
    char what[240];     /* what was recorded, in words */
    struct fail *fail;
};

/* The acts, one list for each file act_*.c, ended by a row whose name is NULL. */
extern const struct act_kind acts_setup[], acts_routine[], acts_herd[], acts_milking[], acts_chill[], acts_probe[],
    acts_chores[];
extern const struct act_kind acts_pour[], acts_shelf[], acts_people[], acts_taste[];
extern const struct act_kind acts_wash[], acts_parts[], acts_lab[];
extern const struct act_kind acts_treat[], acts_udder[], acts_body[], acts_animals[], acts_weights[];
extern const struct act_kind acts_breeding[], acts_year[], acts_feed[];

/* Fields that every act takes. */
#define FIELD_AT                                                                                             \
    {                                                                                                        \
        "at", FIELD_MOMENT, 0, 0, NULL, "time", "when it happened, as 06:10; now if not given"               \
    }
#define FIELD_WHO                                                                                            \
    {                                                                                                        \
        "who", FIELD_NAME, 0, 0, NULL, "who", "who did it; the keeper if not given"                          \
    }
#define FIELDS(table) (table), sizeof(table) / sizeof(table)[0]

/* Loads settings, jars and limits again. */
int dairy_load_settings(struct dairy *d, struct fail *f);

/* Appends to the act's words. */
void act_say(struct act *a, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The animal that field `key` names, by name, tag or stall number, among those that are here. */
int act_cow(struct act *a, const char *key, struct cow_row *cow);
int find_cow(struct dairy *d, const char *name, struct cow_row *cow, struct fail *f);

/* The milking that covers a->at: the one open then, or, if `open` is set, a new one. *found is false when
 * there is none and none was to be opened. */
int act_milking(struct act *a, bool open, struct milking_row *milking, bool *found);

/* Keeps with a milking how the tub stands as a rule: what the rule will be later is nothing to it. */
void milking_tub_usual(const struct dairy_row *usual, struct milking_row *milking);

/* The batch that field `key` names: its code, or its letter in the milking that covers a->at. find_batch() takes the
 * letter's milking, ROW_NONE for the latest up to `now`. A code with one slip gets the one on the shelf that was meant as
 * a suggestion. */
int act_batch(struct act *a, const char *key, struct batch_row *batch);
int find_batch(struct dairy *d, const char *text, struct instant now, int64_t milking_id, struct batch_row *batch,
               struct fail *f);

/* Writes a temperature that was read, by "hand" or "probe": of a batch, or (batch_id ROW_NONE) of a place. Refuses what no
 * thermometer can show there. */
int act_add_reading(struct act *a, int64_t batch_id, const char *place, int64_t temp_mc, const char *source);

/* Refuses a reading of a batch that cannot be: before it was poured, warmer than it was poured, or of a moment of which
 * there is one. */
int act_check_reading(struct act *a, const struct batch_row *batch, double temp_c);

/* The person that a name means, among those who take milk. */
struct person_row;
int find_person(struct dairy *d, const char *name, struct person_row *person, struct fail *f);

/* Empty jars of a kind go from state to state ("clean", "dirty" ...); `person` has them out, or ROW_NONE. */
int act_move_empty(struct act *a, const char *kind, const char *from, const char *to, int64_t person, int64_t count,
                   const char *why);

/* All jars that were to be washed are clean, with a chore (tick_id) or told by itself (ROW_NONE). Says which. */
int act_wash_all(struct act *a, int64_t tick_id);

/* The routine that is in use, into the caller's memory (about 40 kB). */
struct routine;
int dairy_routine(struct dairy *d, struct routine *out, struct fail *f);

/* Takes a routine's text into use, as part of an act. Refuses what does not read as a routine. */
int routine_save(struct act *a, const char *text);

/* Makes a->at fit for hours of withholding to run from: refuses a day without its hour (it would mean its
 * midnight), and of an hour that the clocks show twice takes the later. */
int act_dose_moment(struct act *a);

/* True when at= gave a day and no hour. */
bool act_day_only(const struct act *a);

/* Holds a cow's milk from a milking on that was not normal, unless such a hold stands already. */
int act_hold_abnormal(struct act *a, const struct cow_row *cow, struct instant from, const char *what);

/* What milk->disc means for her, and for the cows whose milk stands in the same jars. */
int act_disc_of(struct act *a, const struct cow_row *cow, const struct milk_row *milk);

/* The latest moment that a typed time can mean: of an hour that the clocks show twice, the second. */
struct instant value_latest(const struct value *v);

/* Copies what was typed into a field, cleaned, to dst; leaves dst alone when it was not given. */
void act_text(const struct act *a, const char *key, char *dst, size_t size);

/* A calf of hers becomes an animal in the records, named `name` or, when that is empty, after her. */
int act_calf_animal(struct act *a, const struct cow_row *dam, struct instant born_at, const char *sex,
                    const char *name, int64_t *cow_id);

/* Writes a row about her breeding (calving, heat, service, check, loss, drying off) if all that is recorded of her can then
 * be true; else refuses, naming the days. */
struct table;
int act_breeding_fact(struct act *a, int64_t cow_id, const struct table *t, void *row);

/* A name is free when no animal that is here has it. own_id: the one that may keep it, or 0. */
int act_name_free(struct act *a, const char *name, int64_t own_id);

/* The animal of that name that is here, else the last one of that name that left. */
int find_cow_ever(struct dairy *d, const char *name, struct cow_row *cow, struct fail *f);

/* A quantity of a field in the thousandths that the store keeps; ROW_NONE when not given. */
int64_t act_milli(const struct act *a, const char *key);

/* Writes si in the dairy's units. Returns buf. */
const char *say_quantity(const struct dairy *d, double si, enum dimension dim, char buf[QUANTITY_TEXT_MAX]);

#endif
