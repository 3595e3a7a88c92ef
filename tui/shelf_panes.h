/* The parts of the shelf's screen. Drawing draws a part of the snapshot into its rectangle and changes
 * nothing; pages fill a->page. */
#ifndef TUI_SHELF_PANES_H
#define TUI_SHELF_PANES_H

#include "core/day/shelf.h"
#include "tui/app.h"
#include "tui/kit/entry.h"
#include "tui/kit/list.h"

enum shelf_pane { PANE_JARS, PANE_PEOPLE, SHELF_PANES };

/* A question at the bottom that the next key answers. */
enum shelf_prompt { PROMPT_NONE, PROMPT_GO, PROMPT_FIND };

struct shelf_look {
    struct shelf_view view;
    struct list jars, people;
    int pane; /* enum shelf_pane: which has the keys */
    enum shelf_prompt prompt;
    struct entry find; /* what is being typed, for PROMPT_FIND */
    bool tasting;      /* the form that is open is that of a tasting */
};

/* The row and the person under the cursors; NULL when there are none. */
const struct shelf_row *shelf_row_now(const struct app *a);
const struct person_view *shelf_person_now(const struct app *a);

void draw_shelf(struct app *a, struct rect r);

/* Where jars can go, by the letter that answers the prompt; ended by an all-zero row. */
struct shelf_way {
    int key;
    const char *to, *words;
};
extern const struct shelf_way shelf_ways[];

/* ---- pages ---- */

unsigned show_batch_page(struct app *a, int64_t batch_id);
unsigned show_person_page(struct app *a, const struct person_view *p);
unsigned show_losses_page(struct app *a);
unsigned show_taste_page(struct app *a, int64_t batch_id);

/* ---- the screens behind it ---- */

/* Jars that are to be called back; and a trace of a batch. */
unsigned open_recall(struct app *a);
unsigned open_trace(struct app *a, int64_t batch_id);

#endif
