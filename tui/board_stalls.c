/* The stalls: a card for each place in the barn, side by side as there. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "tui/board_panes.h"
#include "tui/kit/draw.h"
#include "tui/kit/plot.h"

/* A card narrower than this cannot be read; then fewer are shown, those around the one under the cursor. */
enum { CARD_LEAST_COLS = 17, CARD_ROWS_FULL = 7, CARD_ROWS_LEAST = 4 };

int stalls_rows(const struct app *a, int screen_rows)
{
    (void)a;
    return screen_rows >= 34   ? CARD_ROWS_FULL + 2
           : screen_rows >= 28 ? CARD_ROWS_FULL + 1
                               : CARD_ROWS_LEAST + 2;
}

static enum role watch_role(enum watch_level level)
{
    return level == WATCH_TREND_LOW || level == WATCH_ODD_LOW ? ROLE_WATCH : ROLE_CHALK;
}

static void yield_text(const struct app *a, const struct stall_view *s, char *buf, size_t size)
{
    if (isfinite(s->today_kg))
        (void)snprintf(buf, size, "%s%s%s", app_quantity(a, s->today_kg, DIM_MASS),
                       s->yield[0] != '\0' ? "  " : "", s->yield);
    else if (s->milked)
        (void)snprintf(buf, size, "milked, not weighed");
    else if (isfinite(s->expected.kg))
        (void)snprintf(buf, size, "%s%s%s expected", s->yield, s->yield[0] != '\0' ? "; " : "",
                       app_quantity(a, s->expected.kg, DIM_MASS));
    else
        buf[0] = '\0';
}

/* Her milk of today and what to think of it; a narrow card says the same more shortly. */
static void draw_yield(const struct app *a, struct rect r, int row, const struct stall_view *s)
{
    char text[240];
    enum role role = watch_role(s->watch);
    yield_text(a, s, text, sizeof text);
    if (isfinite(s->today_kg) && draw_width(r.canvas->charset, text) > r.cols)
        (void)snprintf(text, sizeof text, "%s %s", app_quantity(a, s->today_kg, DIM_MASS),
                       s->watch == WATCH_AS_EXPECTED ? "as usual" : s->yield);
    (void)draw_parts(r, row, 0, role, text);
}

/* KEEP or DO NOT KEEP in words, and until when. */
static void draw_verdict(const struct app *a, struct rect r, int row, const struct stall_view *s)
{
    char when[CIVIL_TEXT_MAX];
    if (s->keep) {
        draw_text(r, row, 0, ROLE_CALM, hold_verdict(&s->hold));
        return;
    }
    int col = draw_text(r, row, 0, ROLE_STOP, hold_verdict(&s->hold));
    if (instant_known(s->hold.clear_at) && r.cols >= 30)
        draw_textf(r, row, col + 1, ROLE_CHALK, "clear %s",
                   instant_text_near(s->hold.clear_at, a->now, when));
}

static void draw_spark_row(struct rect r, int row, const struct stall_view *s)
{
    double low = (double)NAN, high = (double)NAN;
    for (int i = 0; i < BOARD_RECENT_DAYS; i++) {
        if (!isfinite(s->recent_kg[i]))
            continue;
        low = isfinite(low) ? fmin(low, s->recent_kg[i]) : s->recent_kg[i];
        high = isfinite(high) ? fmax(high, s->recent_kg[i]) : s->recent_kg[i];
    }
    if (isfinite(low))
        draw_spark(r, row, 0, r.cols - 2 < 20 ? r.cols - 2 : 20, ROLE_CURVE, s->recent_kg, BOARD_RECENT_DAYS,
                   low * 0.8, high);
}

static void draw_ration(const struct app *a, struct rect r, int row, const struct stall_view *s)
{
    char text[160] = "";
    for (size_t i = 0; i < s->rations; i++)
        (void)text_append(text, sizeof text, "%s%s %s", i == 0 ? "" : ", ",
                          app_quantity(a, s->ration[i].mass_kg, DIM_MASS), s->ration[i].feed);
    (void)draw_parts(r, row, 0, ROLE_FAINT, text);
}

static void why_held(const struct app *a, const struct stall_view *s, char *buf, size_t size)
{
    char when[CIVIL_TEXT_MAX];
    if (instant_known(s->hold.clear_at))
        (void)snprintf(buf, size, "clear after %s", instant_text_near(s->hold.clear_at, a->now, when));
    else
        (void)snprintf(buf, size, "%s", s->hold.reasons > 0 ? s->hold.reason[0].words : s->hold.words);
}

/* What stands on a card, the most important first: with few rows the last ones go. */
static void draw_cow(const struct app *a, struct rect r, const struct stall_view *s)
{
    char text[240];
    int row = 1, left = r.rows - 1;
    bool verdict = s->in_milk;
    const char *rest = draw_parts(r, row++, 0, ROLE_CHALK, s->state);
    left--;
    if (verdict)
        left--;
    else if (*rest != '\0' && left-- > 0)
        (void)draw_parts(r, row++, 0, ROLE_CHALK, rest);
    yield_text(a, s, text, sizeof text);
    if (text[0] != '\0' && left-- > 0)
        draw_yield(a, r, row++, s);
    if (!s->keep && verdict && left-- > 0) {
        why_held(a, s, text, sizeof text);
        (void)draw_parts(r, row++, 0, ROLE_WATCH, text);
    }
    if (verdict && s->in_milk && left >= 3) {
        draw_spark_row(r, row++, s);
        left--;
    }
    if (s->breeding[0] != '\0' && left-- > 0)
        (void)draw_parts(r, row++, 0, ROLE_CHALK, s->breeding);
    if (s->in_milk && left > 0 && left-- > 0)
        (void)draw_parts(r, row++, 0, strcmp(s->udder, "quarters clean") == 0 ? ROLE_FAINT : ROLE_WATCH,
                         s->udder);
    if (s->rations > 0 && left > 0 && left-- > 0)
        draw_ration(a, r, row++, s);
    if (verdict)
        draw_verdict(a, r, row, s);
}

static void draw_card(const struct app *a, struct rect r, const struct stall_view *s, bool selected)
{
    char head[80];
    (void)snprintf(head, sizeof head, "%d  %s", s->number, s->empty ? GLYPH_DOT : s->name);
    draw_text(r, 0, 0, selected ? ROLE_SELECTED : s->empty ? ROLE_FAINT : ROLE_STRONG, head);
    if (s->empty)
        draw_text(r, 1, 0, ROLE_FAINT, "empty");
    else
        draw_cow(a, r, s);
}

void draw_stalls(struct app *a, struct rect r)
{
    const struct board *b = a->board;
    draw_rule(r, 0, pane_role(a, PANE_STALLS), "STALLS", NULL);
    struct rect body = rect_part(r, 1, 1, r.rows - 1, r.cols - 1);
    int shown = (int)b->stalls;
    if (shown * CARD_LEAST_COLS > body.cols)
        shown = body.cols / CARD_LEAST_COLS > 0 ? body.cols / CARD_LEAST_COLS : 1;
    int first = a->stall - shown / 2;
    if (first > (int)b->stalls - shown)
        first = (int)b->stalls - shown;
    if (first < 0)
        first = 0;
    int width = shown > 0 ? body.cols / shown : body.cols;
    for (int i = 0; i < shown; i++)
        draw_card(a, rect_part(body, 0, i * width, body.rows, width - 1), &b->stall[first + i],
                  a->pane == PANE_STALLS && first + i == a->stall);
}
