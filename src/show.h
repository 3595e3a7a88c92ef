/* `springhouse show WHAT [--json]`: snapshots as text or JSON. One row for each. */
#ifndef SRC_SHOW_H
#define SRC_SHOW_H

#include <jansson.h>

#include "core/day/batch_page.h"
#include "core/day/board.h"
#include "core/day/dairy.h"
#include "core/day/shelf.h"
#include "src/command.h"

struct show_what {
    const char *name;
    const char *words; /* what follows the name */
    const char *example; /* the same, as somebody would write it */
    const char *does;
    int argc; /* words that it needs after its name */
    /* Works the snapshot out and prints it. Returns 0, or -1 with the reason. */
    int (*show)(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
};

/* The n-th thing that can be shown, or NULL past the last. */
const struct show_what *show_at(size_t n);

/* The board as JSON: what `show board --json` prints. New reference. */
json_t *json_board(const struct board *b);

/* The shelf's, as JSON. New references. */
json_t *json_shelf(const struct shelf_view *v);
json_t *json_trace(const struct trace_view *v);
json_t *json_recall(const struct recall_view *v);
json_t *json_batch_page(const struct batch_page *p);

struct wash_view;
json_t *json_wash(const struct wash_view *v);

int show_wash(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_shelf(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_people(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_losses(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_taste(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_batch(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_trace(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_recall(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_board(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_cow(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_herd(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_card(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_relief(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_tonight(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_ahead(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_feed(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_supply(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);
int show_journal(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f);

#endif
