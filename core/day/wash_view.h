/* The wash bench as a snapshot: the mix, the sink, parts, the machine, samples and their figures, and who is
 * milked in which order. Sentences are ready to show, in the dairy's units. */
#ifndef CORE_DAY_WASH_VIEW_H
#define CORE_DAY_WASH_VIEW_H

#include "core/day/board.h"
#include "core/day/dairy.h"
#include "core/sanitation/caution.h"
#include "core/sanitation/contact.h"
#include "core/sanitation/laboratory.h"
#include "core/sanitation/order.h"
#include "core/sanitation/parts.h"
#include "core/sanitation/solution.h"

enum {
    WASH_PARTS_MAX = 48,
    WASH_SAMPLES_MAX = 8,
    WASH_LINES_MAX = 12,
    WASH_LINE_MAX = 160,
    WASH_ORDER_MAX = 12,
    WASH_SOON_DAYS = 14, /* parts due within so many days ask to be looked at */
};

struct wash_mix_view {
    bool known; /* something was mixed once; else all below is empty */
    bool fresh; /* within the last day */
    char bottle[64];
    char opened[80];  /* "opened 12 Apr, 21 days ago" */
    char chemical[24]; /* as in chemical.h */
    double target_ppm, volume_l, dose_ml, ppm;
    char spoons[64];      /* of the dose that went in */
    struct solution next; /* the dose for the same again */
    char next_spoons[64];
    struct instant mixed_at, read_at; /* read_at: INSTANT_NONE, no strip yet */
    double ph, temp_c;                /* NaN not read */
    bool good;
    char verdict[120];
    char rule[16]; /* set of contact rules */
    enum contact_verdict contact;
    char contact_words[CONTACT_WHY_MAX + 40];
    char spoon_rule[120]; /* what the old tablespoon rule does with this bottle, or "" */
};

struct wash_sink_view {
    bool filled;
    struct instant filled_at;
    double start_c, read_c;  /* poured at; last read */
    struct instant read_at;
    double now_c;            /* forecast; NaN while the rate is not known */
    double k_per_min;        /* NaN not known */
    int runs;                /* earlier washes it is learned from; 0: from this water's own readings */
    struct instant floor_at; /* falls to 120 °F then; INSTANT_NONE not known */
    double last_min;         /* the routine's hot wash lasts */
    double needed_c;         /* and must start at; NaN not known */
    bool heater_enough;
    double scald_s; /* NaN: no hotter than 120 °F */
    char words[WASH_LINE_MAX], start_words[WASH_LINE_MAX], scald_words[WASH_LINE_MAX];
    char temper_words[WASH_LINE_MAX]; /* how much hot and how much cold for the routine's wash, or "" */
};

struct wash_part_view {
    char name[48], words[64];
    enum part_kind kind;
    bool recorded;  /* fitted or counted once */
    int32_t days_left;
    bool over;
    enum urgency urgency;
    char text[WASH_LINE_MAX]; /* "due 12 Jun by the calendar, 40 days; 8 on the shelf" */
};

struct wash_sample_view {
    char name[32];
    enum urgency urgency;
    char text[WASH_LINE_MAX];
};

struct wash_measure_view {
    bool known; /* a result is in */
    enum lab_measure measure;
    double last;
    struct date on;
    char sample[32];
    char standard[48]; /* its place; "": the chosen set says nothing about it */
    enum lab_verdict verdict;
    enum urgency urgency;
    char words[200];
    char look[6][120]; /* what to look at first, when it is high */
    size_t looks;
    char log[WASH_LINES_MAX][WASH_LINE_MAX]; /* what the records say of that day */
    size_t logs;
};

struct wash_order_view {
    char name[64];
    int stall; /* 0 none */
    const char *why;
};

struct wash_view {
    struct instant now;
    enum unit_system units;
    char contact_set[16], lab_set[20], water_set[20];
    double heater_c; /* NaN not known */
    struct wash_mix_view mix;
    struct wash_sink_view sink;
    struct wash_part_view part[WASH_PARTS_MAX]; /* what is due first; those never recorded last */
    size_t parts, parts_due;
    char machine[WASH_LINE_MAX]; /* the last measuring of vacuum and pulsation */
    enum urgency machine_urgency;
    struct wash_sample_view sample[WASH_SAMPLES_MAX]; /* on their way */
    size_t samples;
    struct wash_measure_view measure[LAB_MEASURES];
    struct wash_order_view order[WASH_ORDER_MAX];
    size_t orders;
    enum caution_id caution[CAUTION_COUNT]; /* every one that belongs to the bench, the gravest first */
    size_t cautions;
};

/* Works it out for `now`. About 40 kB: the caller keeps one. */
int dairy_wash(struct dairy *d, struct instant now, struct wash_view *out, struct fail *f);

/* How a figure came about: the strength, the sink's time, a part's day, a laboratory's verdict. */
int wash_explain_mix(struct dairy *d, struct instant now, struct working *w, struct fail *f);
int wash_explain_sink(struct dairy *d, struct instant now, struct working *w, struct fail *f);
int wash_explain_part(struct dairy *d, struct instant now, const char *name, struct working *w, struct fail *f);
int wash_explain_measure(struct dairy *d, struct instant now, enum lab_measure measure, struct working *w,
                         struct fail *f);

#endif
