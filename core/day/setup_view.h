/* What Set-up shows: the dairy's settings, its animals, its jars, its routine. */
#ifndef CORE_DAY_SETUP_VIEW_H
#define CORE_DAY_SETUP_VIEW_H

#include "core/cooling/limits.h"
#include "core/day/dairy.h"
#include "core/sanitation/routine.h"

enum { SETUP_COWS_MAX = 64, SETUP_JARS_MAX = 24 };

struct setup_cow {
    int64_t id;
    char name[64], tag[32], breed[32];
    int stall; /* 0: none */
    struct date born_on;
};

struct setup_jar {
    char kind[32];
    double volume_l;
    int64_t on_hand; /* empty at home, clean or to be washed; -1: never counted */
};

struct setup_view {
    bool set_up;
    char name[80], keeper[64], limit_set[32], own_limit[120], stir[8], milking_time[32];
    enum unit_system units;
    int stalls, fresh_milkings;
    double tub_l, tap_c, room_c, fridge_c, table_s, fresh_s;
    char limit_title[80];
    struct setup_cow cow[SETUP_COWS_MAX];
    size_t cows;
    struct setup_jar jar[SETUP_JARS_MAX]; /* every kind there is */
    size_t jars;
    struct routine routine;
    int free_stall; /* the first without a cow, 0 if none */
};

/* About 60 kB: the caller keeps one. Works on a file that is not set up yet too. */
int dairy_setup(struct dairy *d, struct setup_view *out, struct fail *f);

/* The n-th cooling rule there is: its name and title; false past the last. */
bool setup_limit(const struct dairy *d, size_t n, const char **name, const char **title);

/* What a step waits for, as the act `step` takes it: "strip:60s:90s, sanitised:3600s, dry". Returns buf. */
const char *step_waits_text(const struct routine_step *step, char *buf, size_t size);

/* Its own cautions, likewise: "scald, wet-floor"; those of its chemical are not among them. Returns buf. */
const char *step_cautions_text(const struct routine_step *step, char *buf, size_t size);

#endif
