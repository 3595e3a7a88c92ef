/* The panes of the wash bench: each is a list of lines, some of which stand for a thing that can be opened. */
#ifndef TUI_WASH_PANES_H
#define TUI_WASH_PANES_H

#include "core/day/wash_view.h"
#include "tui/app.h"

enum wash_pane { WASH_MIX, WASH_SINK, WASH_PARTS, WASH_LAB, WASH_CAUTIONS, WASH_PANES };

enum { WASH_PANE_LINES_MAX = 80, WASH_PANE_TEXT_MAX = 260 };

struct wash_line {
    enum role role;
    int indent;
    int item;  /* its place among the lines that can be chosen, from 0; -1: it cannot */
    int thing; /* what it belongs to: the how-manieth part, figure or sample; -1: nothing */
    char text[WASH_PANE_TEXT_MAX];
    char right[40]; /* at the right edge, or "" */
};

struct wash_lines {
    struct wash_line line[WASH_PANE_LINES_MAX];
    int count;
    int items;
};

/* Writes the lines of a pane. */
void wash_pane_lines(const struct wash_view *v, enum wash_pane pane, struct wash_lines *out);

/* Its title and the remark at the end of its rule. Static text; remark goes to buf. */
const char *wash_pane_title(enum wash_pane pane);
const char *wash_pane_remark(const struct wash_view *v, enum wash_pane pane, char *buf, size_t size);

/* What that line of the laboratory's pane belongs to: a measure, or a sample under way. False: to nothing. */
bool wash_lab_thing(const struct wash_view *v, const struct wash_lines *l, int item,
                    const struct wash_sample_view **sample, const struct wash_measure_view **measure);

/* Rows that the lines take at that width. */
int wash_lines_rows(const struct rect *r, const struct wash_lines *l);

/* Draws them, keeping the row of item `chosen` (-1: the top) in sight. */
void draw_wash_lines(struct rect r, const struct wash_lines *l, int chosen, bool has_keys);

#endif
