/* A chart: series against one pair of axes, drawn in braille dots (or marks at the same places where there is
 * no braille), with a few labels. Everything is borrowed for the time of the call. */
#ifndef TUI_KIT_CHART_H
#define TUI_KIT_CHART_H

#include <stddef.h>

#include "tui/kit/plot.h"
#include "tui/kit/rect.h"

enum series_kind {
    SERIES_LINE,  /* y joined by lines */
    SERIES_MARKS, /* one sign at each point: readings among a forecast */
    SERIES_BAND,  /* from y_low to y, shaded */
    SERIES_STACK, /* an area on top of the stacks before it */
};

struct series {
    enum series_kind kind;
    enum role role;
    const double *x;     /* rising, in the chart's x unit; NULL: 0, 1, 2 ... */
    const double *y;     /* NaN: no value there; lines break, stacks count it as nothing */
    const double *y_low; /* SERIES_BAND */
    size_t count;
    enum shade shade; /* SERIES_BAND and SERIES_STACK */
    const char *mark; /* SERIES_MARKS: the sign, one column; NULL: • */
};

/* A dashed line across: a limit. The label stands at its right end, above it. */
struct chart_limit {
    double y;
    enum role role;
    const char *label; /* or NULL */
};

/* A dotted line down: something happened. The label stands at its top. */
struct chart_event {
    double x;
    enum role role;
    const char *label; /* or NULL */
};

/* A labelled place on an axis. */
struct chart_tick {
    double at;
    const char *label;
};

struct chart {
    double x_low, x_high, y_low, y_high; /* what the edges stand for; equal ones are set one apart */
    const struct series *series;         /* bands and stacks are drawn first, then limits, then lines */
    size_t series_count;
    const struct chart_limit *limits;
    size_t limit_count;
    const struct chart_event *events;
    size_t event_count;
    const struct chart_tick *x_ticks, *y_ticks; /* labels that would touch another are left out */
    size_t x_tick_count, y_tick_count;
};

/* Where the dots are, when labels have taken their room: for tests, and for a cursor on the chart. */
struct chart_place {
    struct rect plot; /* the cells that hold dots */
    struct rect y_labels, x_labels;
};
struct chart_place chart_place(const struct chart *c, struct rect r);

/* The dot column and row of a value (not cut to the plot). */
double chart_dot_x(const struct chart *c, const struct plot *p, double x);
double chart_dot_y(const struct chart *c, const struct plot *p, double y);

/* Dots only: no screen, no labels. */
void chart_plot(const struct chart *c, struct plot *p);

/* All of it. Too small a rectangle loses the labels first. */
void draw_chart(struct rect r, const struct chart *c);

/* Widens *low and *high to take in these values; NaN values are passed over. Start with both NAN. */
void chart_range(const double *values, size_t count, double *low, double *high);

/* At most `most` round values (1, 2 or 5 times a power of ten) from low to high. Returns how many. */
int chart_round_values(double low, double high, int most, double *out);

#endif
