/* The probes that are in use, as a snapshot; pointing them somewhere, and what they read, are acts. */
#ifndef CORE_DAY_PROBES_H
#define CORE_DAY_PROBES_H

#include "core/cooling/probe.h"
#include "core/day/dairy.h"
#include "core/day/probe_file.h"

enum { PROBES_MAX = 8 };

struct probe_use {
    int64_t id;
    char path[PROBE_PATH_MAX];
    char place[8]; /* "tub", "fridge", "room"; "" in a jar of a batch */
    int64_t batch_id;
    char code[16]; /* of the batch */
    bool moving;   /* it hangs in a jar that is being cooled: its figure should fall */
};

struct probe_list {
    struct probe_use use[PROBES_MAX];
    size_t count;
};

/* Fills *out with the probes in use, in the order in which they were pointed. */
int dairy_probes(struct dairy *d, struct instant now, struct probe_list *out, struct fail *f);

/* "the tub", "the refrigerator", "the milk house", "batch 260503-1AR" */
const char *probe_use_text(const struct probe_use *use, char *buf, size_t size);

/* Is a reading worth an entry beside the last one of it that was stored? A day of a probe comes to some tens. */
bool probe_worth_storing(const struct probe_use *use, const struct thin_reading *last, const struct thin_reading *next);

#endif
