#include "tui/kit/chart.h"

#include <math.h>

#include "tui/kit/draw.h"

enum { PLOT_COLS_LEAST = 8, PLOT_ROWS_LEAST = 2 };

static double span_of(double low, double high)
{
    return high > low ? high - low : 1;
}

double chart_dot_x(const struct chart *c, const struct plot *p, double x)
{
    return (x - c->x_low) / span_of(c->x_low, c->x_high) * (plot_dots_wide(p) - 1);
}

double chart_dot_y(const struct chart *c, const struct plot *p, double y)
{
    double high = c->y_low + span_of(c->y_low, c->y_high);
    return (high - y) / span_of(c->y_low, c->y_high) * (plot_dots_high(p) - 1);
}

/* Rounds to a dot without trusting that the value is anywhere near an int. */
static int dot_of(double at)
{
    if (!(at > -1e6))
        return -1000000;
    return at > 1e6 ? 1000000 : (int)lround(at);
}

static double x_of(const struct series *s, size_t i)
{
    return s->x == NULL ? (double)i : s->x[i];
}

/* A series' value at x, by straight lines between its points; NaN outside them or beside a missing one. *i
 * remembers where to go on from, since x only grows. */
static double value_at(const struct series *s, const double *values, double x, size_t *i)
{
    while (*i + 1 < s->count && x_of(s, *i + 1) <= x)
        ++*i;
    if (s->count == 0 || x < x_of(s, *i))
        return NAN;
    if (x == x_of(s, *i))
        return values[*i];
    if (*i + 1 >= s->count)
        return NAN;
    double from = x_of(s, *i), to = x_of(s, *i + 1);
    return values[*i] + (values[*i + 1] - values[*i]) * (x - from) / (to - from);
}

/* What a dot column stands for. The ends are taken as they are, so that rounding does not push them outside
 * the series. */
static double x_of_dot(const struct chart *c, const struct plot *p, int dot)
{
    int last = plot_dots_wide(p) - 1;
    if (dot == last && dot > 0)
        return c->x_low + span_of(c->x_low, c->x_high);
    return c->x_low + span_of(c->x_low, c->x_high) * dot / (last > 0 ? last : 1);
}

static void plot_band(const struct chart *c, const struct series *s, struct plot *p)
{
    size_t at_high = 0, at_low = 0;
    for (int dot = 0; dot < plot_dots_wide(p); dot++) {
        double x = x_of_dot(c, p, dot);
        double high = value_at(s, s->y, x, &at_high), low = value_at(s, s->y_low, x, &at_low);
        if (isnan(high) || isnan(low))
            continue;
        plot_fill(p, dot, dot_of(chart_dot_y(c, p, high)), dot_of(chart_dot_y(c, p, low)), s->shade, s->role);
    }
}

/* `floor` holds how high the stacks below reach at each dot column. */
static void plot_stack(const struct chart *c, const struct series *s, struct plot *p, double *floor)
{
    size_t at = 0;
    for (int dot = 0; dot < plot_dots_wide(p); dot++) {
        double value = value_at(s, s->y, x_of_dot(c, p, dot), &at);
        if (!(value > 0))
            continue;
        int bottom = dot_of(chart_dot_y(c, p, floor[dot])) - (floor[dot] > 0 ? 1 : 0);
        int top = dot_of(chart_dot_y(c, p, floor[dot] + value));
        floor[dot] += value;
        if (top <= bottom)
            plot_fill(p, dot, bottom, top, s->shade, s->role);
    }
}

static void plot_series_line(const struct chart *c, const struct series *s, struct plot *p)
{
    double before_x = NAN, before_y = NAN;
    for (size_t i = 0; i < s->count; i++) {
        double x = chart_dot_x(c, p, x_of(s, i)), y = chart_dot_y(c, p, s->y[i]);
        if (isnan(before_y))
            plot_line(p, x, y, x, y, s->role);
        else
            plot_line(p, before_x, before_y, x, y, s->role);
        before_x = x;
        before_y = y;
    }
}

void chart_plot(const struct chart *c, struct plot *p)
{
    double floor[PLOT_COLS_MAX * 2] = {0};
    for (size_t i = 0; i < c->series_count; i++) {
        if (c->series[i].kind == SERIES_BAND)
            plot_band(c, &c->series[i], p);
        if (c->series[i].kind == SERIES_STACK)
            plot_stack(c, &c->series[i], p, floor);
    }
    for (size_t i = 0; i < c->limit_count; i++)
        plot_dashes(p, dot_of(chart_dot_y(c, p, c->limits[i].y)), c->limits[i].role);
    for (size_t i = 0; i < c->event_count; i++)
        plot_drop(p, dot_of(chart_dot_x(c, p, c->events[i].x)), c->events[i].role);
    for (size_t i = 0; i < c->series_count; i++)
        if (c->series[i].kind == SERIES_LINE)
            plot_series_line(c, &c->series[i], p);
}

static int widest_label(const struct chart *c, enum charset set)
{
    int widest = 0;
    for (size_t i = 0; i < c->y_tick_count; i++) {
        int width = draw_width(set, c->y_ticks[i].label);
        widest = width > widest ? width : widest;
    }
    return widest;
}

struct chart_place chart_place(const struct chart *c, struct rect r)
{
    struct chart_place place = {.plot = r};
    int label_cols = widest_label(c, r.canvas->charset);
    if (c->x_tick_count > 0 && r.rows > PLOT_ROWS_LEAST)
        place.x_labels = rect_take_bottom(&place.plot, 1);
    if (label_cols > 0 && r.cols - label_cols - 1 >= PLOT_COLS_LEAST) {
        place.y_labels = rect_take_left(&place.plot, label_cols + 1);
        place.y_labels = rect_part(place.y_labels, 0, 0, place.y_labels.rows, label_cols);
        (void)rect_take_left(&place.x_labels, label_cols + 1);
    }
    place.plot = rect_part(place.plot, 0, 0, PLOT_ROWS_MAX, PLOT_COLS_MAX);
    return place;
}

static void draw_y_labels(const struct chart *c, const struct plot *p, struct rect labels)
{
    int taken = -1;
    for (size_t i = 0; i < c->y_tick_count && labels.rows > 0; i++) {
        int dot = dot_of(chart_dot_y(c, p, c->y_ticks[i].at));
        int row = dot < 0 ? -1 : dot / 4;
        if (row < 0 || row >= p->rows || row == taken)
            continue;
        (void)draw_right(labels, row, ROLE_FAINT, c->y_ticks[i].label);
        taken = row;
    }
}

static void draw_x_labels(const struct chart *c, const struct plot *p, struct rect labels)
{
    int free_from = 0;
    for (size_t i = 0; i < c->x_tick_count && labels.rows > 0; i++) {
        int dot = dot_of(chart_dot_x(c, p, c->x_ticks[i].at));
        int width = draw_width(labels.canvas->charset, c->x_ticks[i].label);
        if (dot < 0 || dot >= plot_dots_wide(p))
            continue;
        int col = dot / 2 - width / 2;
        if (col + width > p->cols)
            col = p->cols - width;
        if (col < 0)
            col = 0;
        if (col < free_from || col + width > labels.cols)
            continue;
        (void)draw_text(labels, 0, col, ROLE_FAINT, c->x_ticks[i].label);
        free_from = col + width + 1;
    }
}

static void draw_marks(const struct chart *c, const struct plot *p, const struct series *s, struct rect r)
{
    for (size_t i = 0; i < s->count; i++) {
        int x = dot_of(chart_dot_x(c, p, x_of(s, i))), y = dot_of(chart_dot_y(c, p, s->y[i]));
        if (isnan(s->y[i]) || x < 0 || y < 0 || x >= plot_dots_wide(p) || y >= plot_dots_high(p))
            continue;
        (void)draw_text(rect_part(r, y / 4, x / 2, 1, 1), 0, 0, s->role,
                        s->mark != NULL ? s->mark : GLYPH_BULLET);
    }
}

/* A limit's words stand over its line, or under it at the very top. */
static void draw_limit_label(const struct chart *c, const struct plot *p, const struct chart_limit *limit,
                             struct rect r)
{
    int dot = dot_of(chart_dot_y(c, p, limit->y));
    if (limit->label == NULL || dot < 0 || dot >= plot_dots_high(p))
        return;
    (void)draw_right(r, dot / 4 > 0 ? dot / 4 - 1 : 1, limit->role, limit->label);
}

static void draw_event_label(const struct chart *c, const struct plot *p, const struct chart_event *event,
                             struct rect r)
{
    int dot = dot_of(chart_dot_x(c, p, event->x));
    if (event->label == NULL || dot < 0 || dot >= plot_dots_wide(p))
        return;
    int width = draw_width(r.canvas->charset, event->label);
    if (dot / 2 + 1 + width <= r.cols)
        (void)draw_text(r, 0, dot / 2 + 1, event->role, event->label);
    else
        (void)draw_before(r, 0, dot / 2, event->role, event->label);
}

void draw_chart(struct rect r, const struct chart *c)
{
    struct chart_place place = chart_place(c, r);
    /* Hardened builds set locals to zero; of these 40 kB plot_init() clears what is used. */
    struct plot p __attribute__((uninitialized));
    plot_init(&p, place.plot.rows, place.plot.cols);
    if (p.rows == 0 || p.cols == 0)
        return;
    chart_plot(c, &p);
    plot_draw(&p, place.plot);
    for (size_t i = 0; i < c->series_count; i++)
        if (c->series[i].kind == SERIES_MARKS)
            draw_marks(c, &p, &c->series[i], place.plot);
    for (size_t i = 0; i < c->limit_count; i++)
        draw_limit_label(c, &p, &c->limits[i], place.plot);
    for (size_t i = 0; i < c->event_count; i++)
        draw_event_label(c, &p, &c->events[i], place.plot);
    draw_y_labels(c, &p, place.y_labels);
    draw_x_labels(c, &p, place.x_labels);
}

void chart_range(const double *values, size_t count, double *low, double *high)
{
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(values[i]))
            continue;
        if (!(values[i] >= *low))
            *low = values[i];
        if (!(values[i] <= *high))
            *high = values[i];
    }
}

int chart_round_values(double low, double high, int most, double *out)
{
    static const double steps[] = {1, 2, 5};
    if (!isfinite(low) || !isfinite(high) || !(high > low) || most < 1)
        return 0;
    double power = pow(10, floor(log10((high - low) / most)) - 1);
    for (int i = 0; i < 12; i++) {
        int decade = i / 3;
        double step = steps[i % 3] * power * pow(10, decade);
        /* Whole multiples, a hair wider than the range so that 0.3 / 0.1 counts as three. */
        double first = ceil(low / step - 1e-9), last = floor(high / step + 1e-9);
        int count = (int)fmin(last - first + 1, most + 1.0);
        if (count < 1 || count > most)
            continue;
        for (int n = 0; n < count; n++)
            out[n] = (first + n) * step + 0.0; /* never -0 */
        return count;
    }
    return 0;
}
