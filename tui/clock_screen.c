/* The chill clock for the whole screen: the count-downs of every batch, to be read from across the milk
 * house. */
#include <math.h>
#include <stdio.h>

#include "tui/app.h"
#include "tui/board_panes.h"
#include "tui/help.h"
#include "tui/kit/big.h"
#include "tui/kit/draw.h"

static const struct keymap_row keys[] = {
    {PRESS_ESC, 0, NULL, "board", "goes back to the board", 0, 1, true},
    {0},
};

static const struct keymap_row *clock_keys(const struct app *a, unsigned *now)
{
    (void)a;
    *now = 0;
    return keys;
}

static unsigned clock_press(struct app *a, int key)
{
    return key == 'z' ? app_back(a) : LOOP_NOTHING;
}

static void draw_one(struct app *a, struct rect r, const struct batch_view *v)
{
    const struct batch_forecast *f = &v->forecast;
    char text[COUNTDOWN_MAX], clock[CIVIL_TEXT_MAX];
    double left = f->to_limit.at - (double)a->now.s;
    int col = draw_textf(r, 0, 1, ROLE_STRONG, "%c  %d %s " GLYPH_DOT " %s now", v->letter, v->count, v->kind,
                         app_quantity(a, f->now_c, DIM_TEMPERATURE));
    draw_textf(r, 0, col + 3, verdict_role(f->verdict), "%s", verdict_word(f->verdict));
    if (f->place == PLACE_TUB && isfinite(f->safe_pull_at))
        draw_rightf(r, 0, ROLE_CHALK, "safe out %s ",
                    clock_text((struct instant){(int64_t)f->safe_pull_at}, clock));
    if (isfinite(left) && left > 0) {
        a->cadence = CADENCE_SECOND;
        countdown_text((int64_t)left, text);
    } else {
        (void)snprintf(text, sizeof text, "%s", isfinite(f->to_limit.at) ? "0:00" : "-:--");
    }
    struct rect figures = rect_part(r, 1, 2, r.rows - 1, r.cols - 4);
    int scale = big_scale(figures, text);
    draw_big(figures, 0, (figures.cols - big_cols(figures.canvas->charset, scale, text)) / 2, ROLE_STRONG,
             scale, text);
}

static void clock_draw(struct app *a, struct rect r)
{
    const struct board *b = a->board;
    char now[CIVIL_TEXT_MAX];
    struct rect bottom = rect_take_bottom(&r, 1);
    draw_bottom(a, bottom);
    draw_text(r, 0, 1, ROLE_CHALK, instant_text(a->now, now));
    draw_right(r, 0, urgency_role(b->urgency), b->urgency == URGENCY_CALM ? "" : b->sentence);
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    size_t cooling = 0;
    for (size_t i = 0; i < b->batches; i++)
        cooling += b->batch[i].forecast.place == PLACE_TUB;
    if (cooling == 0) {
        draw_big(body, 2, 2, ROLE_STRONG, big_scale(rect_inset(body, 2, 2), "00:00"),
                 clock_text(a->now, now));
        return;
    }
    int each = body.rows / (int)cooling;
    for (size_t i = 0; i < b->batches; i++)
        if (b->batch[i].forecast.place == PLACE_TUB)
            draw_one(a, rect_take_top(&body, each), &b->batch[i]);
}

const struct screen clock_screen = {
    .letter = 'z',
    .name = "The large clock",
    .does = "the count-downs in large figures, to be read from three metres",
    .press = clock_press,
    .draw = clock_draw,
    .keys = clock_keys,
};
