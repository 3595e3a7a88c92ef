/* The shelf as a snapshot: every jar in the keeper's hands, oldest first, how long each is good, what is
 * against it; the jars themselves, and whether tomorrow's milk has some. */
#ifndef CORE_DAY_SHELF_H
#define CORE_DAY_SHELF_H

#include "core/day/board.h"
#include "core/day/dairy.h"
#include "core/day/people.h"
#include "core/day/trace_view.h"
#include "core/milk/discard.h"
#include "core/milk/jars.h"
#include "core/milk/keeping.h"

enum { SHELF_ROWS_MAX = 200 };

/* How a jar stands, in one word. */
enum shelf_state {
    SHELF_GOOD,
    SHELF_SOON,     /* a day or less is left */
    SHELF_LAST_DAY, /* its use-by day is today */
    SHELF_PAST,     /* its use-by day is over */
    SHELF_FROZEN,
    SHELF_HELD, /* poured although a cow was on hold */
    SHELF_AWAY, /* a rule throws it away */
    SHELF_CALL, /* holds milk that turned out not to be fit to keep */
    SHELF_STATES
};

const char *shelf_state_word(enum shelf_state state);

struct shelf_row {
    int64_t batch_id;
    char code[16], kind[32], cows[64];
    double volume_l; /* in each jar */
    enum jar_place place;
    int count;
    struct instant milked_at; /* the oldest milk in it */
    struct instant since;     /* there since */
    double now_c;             /* by its history */
    struct keeping_forecast
        keeping;      /* at the refrigerator's temperature from now on; NaN where nothing is known */
    double lost_days; /* what its chill cost beyond standing in the refrigerator */
    struct keeping_use_by use_by; /* on: DATE_NONE when neither rule nor model has one */
    int left_days;    /* from today to its use-by day; negative: over by so many; 0 too where there is none */
    double left_part; /* of the days from milking to use-by, 0 .. 1; NaN where there is no such day */
    enum shelf_state state;
    char remark[160]; /* why it is to go, or is marked; "" */
};

struct shelf_view {
    struct instant now;
    enum unit_system units;
    size_t rows; /* in row[] */
    bool more;   /* there were more than that */
    size_t next; /* the oldest that nothing is against: to be taken next; = rows when there is none */
    int jars;    /* all at home */
    int settle;  /* of them, to be thrown away or called back */
    double fridge_c;
    bool fridge_read;
    struct keeping_scale scale;
    char scale_text[80];
    int rule_days; /* the dairy's own rule, -1 none */

    struct jars_kinds kinds; /* in the order in which they are taken */
    struct jars_pool pool;
    bool counted;      /* the jars were ever counted */
    double tomorrow_l; /* milk to jar at the next milking, upper end of its band; NaN not known */
    struct jars_ready ready;
    char ready_say[160];

    char power_say[200]; /* about a power cut, "" none */

    enum urgency urgency; /* what the shelf asks for, in one sentence */
    char say[240];

    struct people_view people; /* what is long stands last, and holds only what is counted */
    struct recall_view recall;
    struct shelf_row row[SHELF_ROWS_MAX]; /* oldest first; the freezer after them */
};

/* Works it out for `now`. About 300 kB: the caller keeps one. */
int dairy_shelf(struct dairy *d, struct instant now, struct shelf_view *out, struct fail *f);

/* Fills left_days and left_part of each row, next, say and urgency, from all the rest. For core/day alone. */
void shelf_say(struct shelf_view *v);

/* Working of one row's days, or of whether there are jars. */
int shelf_explain(struct dairy *d, const struct shelf_view *v, size_t row, struct working *w, struct fail *f);

#endif
