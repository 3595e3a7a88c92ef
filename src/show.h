/* `springhouse show WHAT [--json]`: snapshots as text or JSON. One row for each. */
#ifndef SRC_SHOW_H
#define SRC_SHOW_H

#include <jansson.h>

#include "core/day/board.h"
#include "core/day/dairy.h"
#include "src/command.h"

struct show_what {
    const char *name;
    const char *words; /* what follows the name */
    const char *does;
    int argc; /* words that it needs after its name */
    /* Works the snapshot out and prints it. Returns 0, or -1 with the reason. */
    int (*show)(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
};

/* The board as JSON: what `show board --json` prints. New reference. */
json_t *json_board(const struct board *b);

int show_board(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_cow(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_herd(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_card(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_relief(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_tonight(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_journal(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);

#endif
