#include "tests/kit/sample.h"

#include <math.h>

#include "tui/kit/big.h"
#include "tui/kit/chart.h"
#include "tui/kit/draw.h"
#include "tui/kit/keymap.h"
#include "tui/kit/press.h"

enum { DO_TYPE = 1, DO_LEAVE, DO_SAY };

static const struct keymap_row keys[] = {
    {'e',                   0, NULL, "type", "type into the line", 0, DO_TYPE, false},
    {'m',                 0, NULL, "message", "say something", 0, DO_SAY, false},
    {PRESS_UP, 0, "↑↓", "row", "another row", 0, DO_SAY, false},
    {'q',              0, NULL, "leave", "leave the sample", 0, DO_LEAVE, true},
    {0                    },
};

static const char *const rows[] = {"milk 95 °F", "bath 34 °F", "½ gal × 4",   "strained",
                                   "Żubrówka",   "花子, dry",  "≥ 2 in hand", "12 – 14 min"};

void sample_init(struct sample *s, const struct clock *clock)
{
    *s = (struct sample){.clock = clock, .cadence = CADENCE_SECOND};
    list_count(&s->list, (int)(sizeof rows / sizeof rows[0]));
    entry_init(&s->entry, "48.5lb", 40);
}

static unsigned on_press(void *context, int key)
{
    struct sample *s = context;
    s->presses++;
    if (s->typing && key == PRESS_ESC) {
        s->typing = false;
        return LOOP_DRAW;
    }
    if (s->typing)
        return entry_press(&s->entry, key) ? LOOP_DRAW : LOOP_NOTHING;
    if (list_press(&s->list, key))
        return LOOP_DRAW;
    const struct keymap_row *row = keymap_find(keys, key, 0);
    if (row == NULL)
        return LOOP_NOTHING;
    s->typing = row->id == DO_TYPE;
    if (row->id == DO_SAY)
        message_say(&s->message, clock_up(s->clock), ROLE_WATCH, "row %d", s->list.selected);
    return row->id == DO_LEAVE ? LOOP_LEAVE : LOOP_DRAW;
}

static unsigned on_paste(void *context, uint32_t code)
{
    struct sample *s = context;
    s->pastes++;
    return s->typing && entry_paste(&s->entry, code) ? LOOP_DRAW : LOOP_NOTHING;
}

static unsigned on_pass(void *context)
{
    struct sample *s = context;
    s->passes++;
    (void)message_pass(&s->message, clock_up(s->clock));
    return LOOP_DRAW;
}

static unsigned on_jump(void *context, const struct loop_jump *jump)
{
    struct sample *s = context;
    s->jump = *jump;
    return LOOP_DRAW;
}

static void on_wake(void *context, struct wake *wake)
{
    const struct sample *s = context;
    wake->every = s->cadence;
    message_wake(&s->message, &wake->at);
}

static void draw_row(void *context, struct rect r, int row)
{
    (void)context;
    (void)draw_text(r, 0, 1, row == 2 ? ROLE_WATCH : ROLE_CHALK, rows[row]);
    (void)draw_right(r, 0, row == 3 ? ROLE_STOP : ROLE_CALM, row == 3 ? "STOP" : GLYPH_TICK " kept");
}

static void draw_curve(struct rect r)
{
    static const struct chart_tick y_ticks[] = {
        {95, "95"},
        {45, "45"}
    };
    static const struct chart_tick x_ticks[] = {
        {0,  "12:00"},
        {30, "12:30"},
        {60, "13:00"}
    };
    static const struct chart_limit limit = {45, ROLE_WATCH, "limit"};
    double x[61], y[61];
    for (int i = 0; i < 61; i++) {
        x[i] = i;
        y[i] = 34 + 61 * exp(-0.05 * i);
    }
    struct series line = {.kind = SERIES_LINE, .role = ROLE_CURVE, .x = x, .y = y, .count = 61};
    struct chart chart = {.x_low = 0,
                          .x_high = 60,
                          .y_low = 30,
                          .y_high = 100,
                          .series = &line,
                          .series_count = 1,
                          .limits = &limit,
                          .limit_count = 1,
                          .x_ticks = x_ticks,
                          .x_tick_count = 3,
                          .y_ticks = y_ticks,
                          .y_tick_count = 2};
    draw_chart(r, &chart);
}

static void draw_countdown(struct rect r, const struct sample *s)
{
    char text[32];
    long left = 1200 - (long)(clock_up(s->clock).ms / 1000);
    (void)snprintf(text, sizeof text, "%ld:%02ld", left / 60, left % 60);
    (void)draw_big(r, 0, 0, ROLE_STRONG, big_scale(r, text), text);
    draw_bar(r, r.rows - 1, r.cols / 2, r.cols / 2, ROLE_CALM, (double)left / 1200);
}

static void on_draw(void *context, struct rect screen)
{
    struct sample *s = context;
    char when[CIVIL_TEXT_MAX];
    static const struct part parts[] = {
        {0, 2, 12},
        {0, 3, 20}
    };
    struct rect pane[2], all = screen;
    s->draws++;
    struct rect top = rect_take_top(&screen, 1), bar = rect_take_bottom(&screen, 2);
    (void)draw_text(top, 0, 1, ROLE_CHALK, instant_text(clock_now(s->clock), when));
    rect_split_cols(screen, parts, 2, 3, pane);
    draw_rule(screen, 0, s->typing ? ROLE_TITLE : ROLE_ACCENT, "ROWS", NULL);
    if (pane[1].cols > 0) {
        (void)draw_rule(rect_part(pane[1], 0, -1, 1, pane[1].cols + 1), 0, ROLE_TITLE, "CHILL", "2 of 3");
        draw_upright(rect_part(screen, 0, pane[0].cols + 1, screen.rows, 1), 0);
    }
    draw_list(rect_part(pane[0], 1, 0, pane[0].rows - 3, pane[0].cols), &s->list, !s->typing, draw_row, s);
    draw_entry(pane[0], pane[0].rows - 1, 1, pane[0].cols - 2, &s->entry, s->typing);
    struct rect figures = rect_part(pane[1], pane[1].rows - 4, 0, 3, pane[1].cols);
    draw_curve(rect_part(pane[1], 1, 0, pane[1].rows - 6, pane[1].cols));
    draw_countdown(figures, s);
    if (!draw_message(bar, 0, &s->message))
        draw_rule(rect_part(bar, 0, 0, 1, all.cols), 0, ROLE_TITLE, NULL, NULL);
    draw_keymap(bar, 1, keys, 0);
}

const struct loop_hooks sample_hooks = {
    .press = on_press, .paste = on_paste, .pass = on_pass, .jump = on_jump, .draw = on_draw, .wake = on_wake};
