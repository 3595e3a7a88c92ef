/* The parts of a cow's page. Each draws a part of the snapshot into its rectangle and changes nothing. */
#ifndef TUI_COW_PANES_H
#define TUI_COW_PANES_H

#include "core/day/cow_page.h"
#include "tui/app.h"
#include "tui/kit/list.h"

enum cow_pane { COW_CHART, COW_SIDE, COW_EVENTS, COW_MILKINGS, COW_PANES };

/* A line of the side column: a heading, or a figure. */
struct side_line {
    const char *heading; /* NULL: a figure */
    int figure;          /* index in page.figure */
};

enum { SIDE_LINES_MAX = 2 * PAGE_FIGURES_MAX };

struct cow_state {
    struct cow_page page;
    int pane;       /* enum cow_pane: which has the keys */
    int lactation;  /* which one is looked at; PAGE_NOW */
    struct date on; /* the day under the cursor; DATE_NONE: today */
    bool body;      /* the chart shows weight and condition */
    struct list events, milkings, side;
    struct side_line line[SIDE_LINES_MAX];
};

/* Above this height each kind of event has a row of its own in the year's strip. */
enum { COW_TALL_ROWS = 38 };

int cow_strip_rows(int screen_rows);

void draw_cow_head(struct app *a, struct rect r);
void draw_cow_chart(struct app *a, struct rect r);
void draw_cow_strip(struct app *a, struct rect r);
void draw_cow_side(struct app *a, struct rect r);
void draw_cow_list(struct app *a, struct rect r);

/* Whose page it is. */
const char *cow_screen_name(const struct app *a);

/* The day of the chart under the cursor, or NULL. */
const struct page_day *cow_day_now(const struct cow_state *c);

/* The sign that stands for a kind of event in the strip and under the chart: one letter. */
const char *cow_event_sign(enum event_kind kind);

enum role cow_pane_role(const struct app *a, enum cow_pane pane);

#endif
