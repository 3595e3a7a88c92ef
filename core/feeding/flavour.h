/* Feeds that taste in the milk, and how long before milking they must be out of her reach. The rule behind
 * all of them: feed what smells after milking, not before. */
#ifndef CORE_FEEDING_FLAVOUR_H
#define CORE_FEEDING_FLAVOUR_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"

struct flavour_feed {
    const char *name;
    bool serious;       /* spoils the milk; else it is only noticed */
    double clear_h;     /* hours from the last mouthful to milk that does not taste of it */
    const char *taste;  /* word for what is tasted */
    const char *source; /* id of assets/sources.csv for the hours */
};

/* The table, ended by a row whose name is NULL. */
extern const struct flavour_feed flavour_feeds[];

/* The row of that name (case, blanks and hyphens do not matter), or NULL. */
const struct flavour_feed *flavour_find(const char *name);

/* The earliest time at which milk does not taste of what was last eaten at `eaten_at`. */
struct instant flavour_clear_at(const struct flavour_feed *feed, struct instant eaten_at);

#endif
