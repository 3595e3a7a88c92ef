#include "tui/kit/busy.h"

#include <stdio.h>

#include "tui/kit/draw.h"

enum { BUSY_AFTER_MS = 500, BUSY_EVERY_MS = 250, BUSY_ROWS = 4, BUSY_COLS = 44 };

void busy_begin(struct busy *b, struct term *t, const struct clock *clock, const char *what)
{
    *b = (struct busy){.term = t, .clock = clock, .what = what};
    b->began = clock_up(clock);
}

static void busy_draw(const struct busy *b, int64_t done, int64_t total)
{
    struct rect whole = term_rect(b->term);
    struct rect box =
        rect_part(whole, (whole.rows - BUSY_ROWS) / 2, (whole.cols - BUSY_COLS) / 2, BUSY_ROWS, BUSY_COLS);
    struct rect inside = rect_inset(box, 1, 2);
    draw_erase(box);
    draw_box(box, ROLE_TITLE, NULL);
    (void)draw_text(inside, 0, 0, ROLE_STRONG, b->what);
    if (total > 0)
        draw_bar(inside, 1, 0, inside.cols, ROLE_CALM, (double)done / (double)total);
    else if (done > 0)
        (void)draw_textf(inside, 1, 0, ROLE_CHALK, "%lld so far", (long long)done);
    term_show(b->term);
}

void busy_step(struct busy *b, int64_t done, int64_t total)
{
    struct uptime now = clock_up(b->clock);
    int64_t since = b->on_screen ? now.ms - b->shown.ms : now.ms - b->began.ms;
    if (b->term == NULL || since < (b->on_screen ? BUSY_EVERY_MS : BUSY_AFTER_MS))
        return;
    busy_draw(b, done, total);
    b->shown = now;
    b->on_screen = true;
}

void busy_end(struct busy *b)
{
    b->on_screen = false;
}
