/* `springhouse reckon TOPIC KEY=VALUE...`: one figure with its working, from nothing but its arguments. A
 * topic is a row of a table: what it takes, and the function that fills the working. */
#ifndef SRC_RECKON_H
#define SRC_RECKON_H

#include "core/base/form.h"
#include "core/base/working.h"

struct reckon_topic {
    const char *name;
    const char *does;    /* one line: what it answers */
    const char *example; /* the words after the topic's name */
    const struct field *fields;
    size_t field_count;
    /* Fills *w (already begun) with inputs, steps and results. Returns 0, or -1 with the reason. A figure
     * that does not exist is not a failure: its result is NaN or NULL and working_why() says why. */
    int (*reckon)(const struct form *form, struct working *w, struct fail *f);
};

/* One list per domain, each ended by a row whose name is NULL. */
extern const struct reckon_topic reckon_cooling[];
extern const struct reckon_topic reckon_limits[];
extern const struct reckon_topic reckon_herd[];
extern const struct reckon_topic reckon_breeding[];
extern const struct reckon_topic reckon_feeding[];
extern const struct reckon_topic reckon_sanitation[];
extern const struct reckon_topic reckon_milk[];

/* The topic of that name, or NULL. */
const struct reckon_topic *reckon_find(const char *name);

/* Works one topic out from "key=value" words. */
int reckon_run(const struct reckon_topic *topic, char *const words[], size_t word_count,
               enum unit_system units, struct instant now, struct working *w, struct fail *f);

#endif
