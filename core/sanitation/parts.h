/* Parts that wear, jobs that come round, and stock that is used up; and the checks of vacuum, pulsation and
 * floor. The usual lives are data (assets/parts.csv), each with its source; the keeper's own figures win. */
#ifndef CORE_SANITATION_PARTS_H
#define CORE_SANITATION_PARTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"

enum part_kind {
    PART_WEARS,   /* replaced when its life is over: liners, hoses */
    PART_SERVICE, /* a job that comes round: oil, pulsators, the water test */
    PART_STOCK,   /* used up: discs, strips */
};

struct gear_part {
    char name[24]; /* "liner" */
    char words[48];
    enum part_kind kind;
    int64_t milkings;   /* life counted in cows milked with it; 0 = not counted so */
    int32_t days;       /* life by the calendar; 0 = none */
    double per_cow;     /* PART_STOCK: used for each cow milked */
    double per_session; /* PART_STOCK: used each morning besides */
    char source[32];
    char note[96];
};

enum { PARTS_MAX = 40 };

struct part_table {
    struct gear_part part[PARTS_MAX];
    size_t count;
};

/* Reads the table from CSV text; a bad row is refused with its number and *out is then not changed. */
int parts_parse(const char *text, struct part_table *out, struct fail *f);

/* Reads the table that comes with the program. */
int parts_load(struct part_table *out, struct fail *f);

/* The part of that name, or NULL. Borrowed from the table. */
const struct gear_part *parts_find(const struct part_table *table, const char *name);

enum life_binds { LIFE_MILKINGS, LIFE_CALENDAR };

struct life_ask {
    int64_t milkings; /* life in cows milked with this part; 0 = not counted so */
    int32_t days;     /* life in days; 0 = none */
    double per_day;   /* cows milked with it a day: cows x milkings a day / units */
    struct date fitted;
    int64_t used;      /* cows milked with it so far, and the day of that count; */
    struct date today; /* at fitting: 0 and the day of fitting */
};

struct life {
    struct date due_on;
    enum life_binds binds; /* which of the two comes first; the calendar, when both fall on one day */
    int64_t milkings_left; /* may be negative: past its life; 0 if not counted so */
    int32_t days_left;     /* until due_on, may be negative */
    bool over;             /* due today or before */
};

/* When the part is due. A life of nothing, no life at all, or a count without cows is refused. Source of the
 * arithmetic: Ontario, Replacing rubber ware (2009). */
int life_reckon(const struct life_ask *ask, struct life *out, struct working *w, struct fail *f);

/* "milkings" or "calendar". Static text. */
const char *life_binds_word(enum life_binds binds);

/* Cows milked with one unit in a day: cows x milkings a day / units. Units at least 1. */
double life_per_day(int cows, int milkings_a_day, int units);

struct stock_ask {
    double on_hand, used_per_day;
    int32_t lead_days; /* from order to shelf */
    struct date today;
};

struct stock {
    double days_left;        /* whole days that can be served */
    struct date out_on;      /* the first day that cannot */
    struct date order_by_on; /* order on this day at the latest; may be past */
    bool order_now;
};

/* When a stock runs out. Nothing used a day is refused: then it never does. */
int stock_reckon(const struct stock_ask *ask, struct stock *out, struct working *w, struct fail *f);

enum band { BAND_LOW, BAND_INSIDE, BAND_HIGH };

/* Average vacuum in the claw at peak flow: 36 to 42 kPa (National Mastitis Council). Half a kPa either way is
 * within what a gauge can tell. */
#define VACUUM_LOW_KPA  36.0
#define VACUUM_HIGH_KPA 42.0
#define GAUGE_KPA       0.5
enum band vacuum_judge(double vacuum_kpa, struct working *w);

struct pulsation {
    double open_ms, massage_ms;
    enum band rate;      /* 45 to 70 a minute, from memory; 60 is usual */
    bool massage_enough; /* at least 150 ms (ISO 5707, from memory) */
};

/* Times of one pulsation: rate per minute, share of the cycle in which the liner is open, percent. Refuses a
 * rate that is not above 0 and a share outside 0 to 100. */
int pulsation_reckon(double rate_per_min, double open_pct, struct pulsation *out, struct working *w,
                     struct fail *f);

/* "low", "in the band", "high". Static text. */
const char *band_word(enum band band);

/* Fall of a floor, percent; NaN if the length is not above 0. California asks 1.5 in in 10 ft lengthwise. */
double floor_slope_pct(double fall_m, double length_m);

#endif
