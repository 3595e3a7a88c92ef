/* What is recorded of one cow's breeding: plain facts, as they were written down, oldest first. Everything
 * else in this folder (is she in calf, when is she due, how long was she open) is worked out from these and
 * never stored. */
#ifndef CORE_BREEDING_FACTS_H
#define CORE_BREEDING_FACTS_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"

/* Signs of heat; a sighting has any number of them. */
enum heat_sign {
    HEAT_STANDING = 1 << 0,  /* stands to be mounted */
    HEAT_MOUNTS = 1 << 1,    /* mounts others, or is mounted and walks away */
    HEAT_RESTLESS = 1 << 2,  /* walks, does not lie down, follows people */
    HEAT_BAWLING = 1 << 3,   /* calls */
    HEAT_MUCUS = 1 << 4,     /* clear string of mucus */
    HEAT_SWOLLEN = 1 << 5,   /* vulva swollen, red */
    HEAT_RUBBED = 1 << 6,    /* hair rubbed off or muddy at the tail head */
    HEAT_LESS_MILK = 1 << 7, /* gave less than expected, or held it back */
    HEAT_OFF_FEED = 1 << 8,  /* left her feed */
    HEAT_BLOOD = 1 << 9,     /* blood on the tail: the heat is over, one to three days ago */
    HEAT_SIGNS_ALL = (1 << 10) - 1,
};

enum heat_origin {
    HEAT_SEEN,
    HEAT_SERVED, /* known because she was served then */
    HEAT_SILENT, /* nobody saw it: inferred from her cycle, and always shown as such */
};

/* Sightings no further apart than this are of one heat. */
enum { ONE_HEAT_DAYS = 3 };

struct heat {
    struct instant at; /* first seen; the start of the day when only the day is known */
    unsigned signs;    /* enum heat_sign, or 0 when none was noted */
    enum heat_origin origin;
};

enum service_kind {
    SERVICE_AI,     /* artificial insemination, on one day */
    SERVICE_BULL,   /* a bull, seen on one day */
    SERVICE_FIELD,  /* a bull ran with her from `on` to `to_on`; to_on unknown: he is still there */
    SERVICE_UNSEEN, /* in calf from before she came: some day from `on` to `to_on`, none likelier */
};

struct service {
    struct date on;    /* the day; or the first day of a window */
    struct date to_on; /* last day of a window; DATE_NONE when it was one day, or is not over */
    enum service_kind kind;
    double sire_days; /* days that this sire's calves are carried beyond the breed's usual; 0 if not known */
    const char *sire; /* borrowed, NULL if not known */
    const char *by;   /* who served her or watched; borrowed, NULL if not known */
};

enum check_method { CHECK_PROGESTERONE, CHECK_ULTRASOUND, CHECK_PALPATION, CHECK_PAG, CHECK_METHODS };

enum check_result { CHECK_OPEN, CHECK_IN_CALF, CHECK_DOUBTFUL };

enum calf_sex { CALF_UNKNOWN, CALF_BULL, CALF_HEIFER };

struct check {
    struct date on; /* the day of the examination, or of the sample */
    enum check_method method;
    enum check_result result;
    int stage_days;     /* how far along she was judged to be; 0 if that was not said */
    bool twins;         /* two were seen or felt */
    enum calf_sex calf; /* as it was seen, CALF_UNKNOWN if nobody looked */
};

/* The codes of the US dairy records. */
enum calf_fate { CALF_ALIVE = 1, CALF_BORN_DEAD = 2, CALF_DIED_48H = 3 };

enum { CALVES_MAX = 3 };

struct calf {
    enum calf_sex sex;
    enum calf_fate fate;
    double weight_kg; /* NaN if not weighed */
};

struct calving {
    struct date on;
    int ease; /* 1..5, see calving.h; 0 if not noted */
    int calves;
    struct calf calf[CALVES_MAX];
};

/* All of it, for one animal. The arrays are borrowed and sorted by day, oldest first. `heats` are the ones
 * that somebody saw; cycle_heats() puts the services among them. */
struct breeding {
    struct date born_on; /* DATE_NONE if not known */
    bool male;
    int calvings_before; /* calvings from before the records begin */
    bool newly_watched;  /* nobody could see her heats before watched_from_on: she, or the records, were not
                            here */
    struct date watched_from_on;
    const struct calving *calvings;
    size_t calving_count;
    const struct heat *heats;
    size_t heat_count;
    const struct service *services;
    size_t service_count;
    const struct check *checks;
    size_t check_count;
    const struct date *losses; /* abortions and embryos lost, the day it was known */
    size_t loss_count;
    const struct date *dry_offs;
    size_t dry_off_count;
};

/* The last day that can belong to a service, as things stand on `today`: `to_on` of a window, `today` while
 * the bull is still with her, else the day itself. */
static inline struct date service_end(const struct service *s, struct date today)
{
    if (date_known(s->to_on))
        return s->to_on;
    return s->kind == SERVICE_FIELD && today.days > s->on.days ? today : s->on;
}

/* True for a service that was made because she was in heat that day. */
static inline bool service_in_heat(const struct service *s)
{
    return s->kind == SERVICE_AI || s->kind == SERVICE_BULL;
}

/* True while she has not calved yet, as far as the records go. */
static inline bool breeding_heifer(const struct breeding *b)
{
    return b->calvings_before == 0 && b->calving_count == 0;
}

/* The day of her last calving, DATE_NONE if none is recorded. */
static inline struct date breeding_calved_on(const struct breeding *b)
{
    return b->calving_count == 0 ? DATE_NONE : b->calvings[b->calving_count - 1].on;
}

/* The later of two days; an unknown one counts as earlier than any. */
struct date breeding_later(struct date a, struct date b);

/* The calving or loss before `before_on` that began the spell in which that day lies; DATE_NONE if there is
 * none on record. */
struct date breeding_spell_start(const struct breeding *b, struct date before_on);

#endif
