/* The people who take milk as a snapshot: who has what due, who has whose jars, and how a short day is
 * shared. */
#ifndef CORE_DAY_PEOPLE_H
#define CORE_DAY_PEOPLE_H

#include "core/day/dairy.h"
#include "core/milk/share.h"
#include "core/milk/trace.h"

enum { PEOPLE_MAX = SHARE_PEOPLE_MAX, PEOPLE_KINDS_MAX = 8, PEOPLE_TAKEN_MAX = 60 };

struct out_jars {
    char kind[32];
    int count;
};

/* Jars of one batch that somebody took. */
struct taken_jars {
    int64_t person_id, batch_id;
    char code[16], kind[32];
    int count;
    struct instant at; /* the last of them */
};

struct person_view {
    int64_t id;
    char name[64], contact[80], contact2[80], share_kind[32], share_days[32], note[160];
    int share; /* jars on each of their days */
    bool day;  /* today is one of them */
    int due;   /* today, what was granted when the day was shared out, else the share; 0 on other days */
    int taken_today;                       /* jars handed out to them since midnight */
    int owed;                              /* jars that shared-out days left short */
    struct instant last_at;                /* last took milk; INSTANT_NONE never */
    struct out_jars out[PEOPLE_KINDS_MAX]; /* empty and full jars that they have */
    size_t outs;
    int out_all;
};

struct people_view {
    struct instant now, midnight; /* when this day began */
    size_t people, takens;
    bool shared_today;                         /* the day was shared out already */
    struct person_view person[PEOPLE_MAX];     /* lists stand last, and hold only what is counted */
    struct taken_jars taken[PEOPLE_TAKEN_MAX]; /* of the last weeks, newest first */
};

/* About 50 kB: the caller keeps one. */
int dairy_people(struct dairy *d, struct instant now, struct people_view *out, struct fail *f);

/* The same inside a look or an act. */
int people_load(struct dairy *d, struct instant now, struct people_view *out, struct fail *f);

/* Refuses what is neither "daily" nor days of the week ("mon,thu"). */
int share_days_check(const char *days, struct fail *f);

/* Is that day one of them? */
bool share_days_have(const char *days, struct date on);

/* ---- sharing out ---- */

/* One day: those who have something due, and how it would be split. */
struct share_day {
    struct {
        int64_t id;
        char name[64];
        int due, owed;
    } person[PEOPLE_MAX];
    size_t people;
    struct share_part part[PEOPLE_MAX]; /* after share_day_split() */
    struct share_split split;
    char say[200];
};

int share_day_load(struct dairy *d, struct instant now, struct share_day *out, struct fail *f);
int share_day_split(struct share_day *day, int jars, enum share_method method, struct working *w,
                    struct fail *f);

/* For forms: where a word sends jars ("dump", "calf", "fridge" ...); false when it is no such word, but a
 * name. */
bool jar_goes(const char *word, enum jar_place *place);

#endif
