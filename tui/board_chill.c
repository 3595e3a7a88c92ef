/* The chill pane: a strip for each batch. The one under the cursor is drawn tall, with its falling line
 * against the limit and the count-down in large figures. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/chill_view.h"
#include "tui/batch_parts.h"
#include "tui/board_panes.h"
#include "tui/kit/draw.h"
#include "tui/probe_desk.h"

enum { CHART_LEAST_ROWS = 3, CHART_LEAST_COLS = 24, BRIEF_COLS = 50, ADVICE_LEAST_ROWS = 12 };

static void draw_head(struct app *a, struct rect r, const struct batch_view *v, bool selected)
{
    const struct batch_forecast *f = &v->forecast;
    char when[CIVIL_TEXT_MAX], head[8];
    bool falling = f->place != PLACE_GONE;
    (void)snprintf(head, sizeof head, " %c ", v->letter);
    int col = draw_text(r, 0, 0, selected ? ROLE_SELECTED : ROLE_STRONG, head);
    col = draw_textf(r, 0, col + 1, ROLE_CHALK, "%d %s " GLYPH_DOT " %s", v->count, v->kind, v->cows);
    if (r.cols >= 64)
        draw_textf(r, 0, col, ROLE_FAINT, " " GLYPH_DOT " poured %s", clock_text(v->poured_at, when));
    const struct probe_seat *seat = probe_desk_seat(a, v->id, "");
    if (seat != NULL && seat->watch.state == PROBE_GOOD) {
        draw_rightf(r, 0, ROLE_STRONG, " %s%s probe", app_quantity(a, seat->watch.temp_c, DIM_TEMPERATURE),
                    falling ? " " GLYPH_DOWN : "");
        return;
    }
    draw_rightf(r, 0, f->now_read ? ROLE_STRONG : ROLE_CHALK, " %s%s %s",
                app_quantity(a, f->now_c, DIM_TEMPERATURE), falling ? " " GLYPH_DOWN : "",
                f->now_read ? "read" : "forecast");
}

/* One row for a batch that is not under the cursor. */
static void draw_short(struct app *a, struct rect r, const struct batch_view *v)
{
    char text[160];
    draw_head(a, r, v, false);
    if (r.rows < 2)
        return;
    when_text(a, &v->forecast, r.cols < BRIEF_COLS, text, sizeof text);
    int col = draw_text(r, 1, 4, ROLE_CHALK, text);
    draw_textf(r, 1, col, verdict_role(v->forecast.verdict), " " GLYPH_DOT " %s",
               verdict_word(v->forecast.verdict));
}

static void draw_tall(struct app *a, struct rect r, const struct batch_view *v)
{
    char text[160];
    draw_head(a, r, v, a->pane == PANE_CHILL);
    struct rect chart = rect_part(r, 1, 1, r.rows - 3, r.cols - 1);
    bool has_chart = chart.rows >= CHART_LEAST_ROWS && chart.cols >= CHART_LEAST_COLS;
    if (has_chart) {
        int big = chart.cols >= 52 ? 24 : 0;
        struct rect count = rect_take_right(&chart, big);
        draw_batch_chart(a, chart, v, false);
        draw_countdown(a, count, v);
    }
    int row = has_chart ? r.rows - 2 : 1;
    when_text(a, &v->forecast, false, text, sizeof text);
    int col = draw_text(r, row, 4, ROLE_STRONG, text);
    if (v->held_why[0] != '\0')
        draw_text(r, row, col + 2, ROLE_STOP, "HELD MILK");
    verdict_text(a, &v->forecast, r.cols < BRIEF_COLS, text, sizeof text);
    draw_text(r, row + 1, 4, verdict_role(v->forecast.verdict), text);
    if (isfinite(to_limit_s(a, &v->forecast)))
        a->cadence = a->cadence == CADENCE_SECOND ? CADENCE_SECOND : CADENCE_MINUTE;
}

/* A probe that shows what cannot be is named: it teaches nothing until it is well again. */
static int draw_probe_trouble(struct app *a, struct rect r, int col)
{
    for (size_t i = 0; i < probe_desk_count(a); i++) {
        const struct probe_seat *seat = probe_desk_at(a, i);
        if (seat->watch.state == PROBE_GOOD || seat->watch.state == PROBE_WAITING)
            continue;
        const char *where = strcmp(seat->use.place, "fridge") == 0 ? "refrigerator" : seat->use.place;
        const char letter[2] = {strlen(seat->use.code) >= 9 ? seat->use.code[8] : '\0', '\0'};
        col = draw_textf(r, 0, col, ROLE_WATCH, " " GLYPH_DOT " probe %s: %s",
                         where[0] != '\0' ? where : letter, probe_state_word(seat->watch.state));
    }
    return col;
}

static void draw_tub(struct app *a, struct rect r)
{
    const struct tub_forecast *t = &a->board->tub;
    char gone[CIVIL_TEXT_MAX];
    int col = draw_text(r, 0, 1, ROLE_TITLE, "tub");
    col = draw_textf(r, 0, col + 2, ROLE_CHALK, "%s%s", app_quantity(a, t->temp_c, DIM_TEMPERATURE),
                     t->temp_read ? " read" : "");
    col = draw_probe_trouble(a, r, col);
    if (t->known && t->ice_kg > 0.005)
        col =
            draw_textf(r, 0, col, ROLE_CHALK, " " GLYPH_DOT " %s ice", app_quantity(a, t->ice_kg, DIM_MASS));
    else if (t->known)
        col = draw_text(r, 0, col, ROLE_WATCH, " " GLYPH_DOT " no ice left");
    if (isfinite(t->ice_gone_at) && t->ice_gone_at > (double)a->now.s)
        col = draw_textf(r, 0, col, ROLE_WATCH, ", gone %s", clock_at(t->ice_gone_at, gone));
    if (col + 3 + draw_width(r.canvas->charset, stir_says(t->stir)) <= r.cols)
        draw_textf(r, 0, col, ROLE_FAINT, " " GLYPH_DOT " %s", stir_says(t->stir));
}

/* What would help, best first, each with the time that it gives; the least work that does is marked. */
static void draw_advice(struct app *a, struct rect r)
{
    const struct board *b = a->board;
    char text[160];
    draw_text(r, 0, 1, ROLE_TITLE, "what helps");
    for (int i = 0; i < (int)b->advice_count && i + 1 < r.rows; i++) {
        bool least = i == b->cheapest;
        draw_text(r, i + 1, 2, ROLE_STRONG, least ? GLYPH_MARK : " ");
        draw_text(r, i + 1, 4, least ? ROLE_STRONG : ROLE_CHALK,
                  board_advice_text(b, &b->advice[i], text, sizeof text));
    }
}

static void draw_empty(struct app *a, struct rect r)
{
    draw_text(r, 0, 1, ROLE_FAINT, "No jars are cooling.");
    draw_text(r, 1, 1, ROLE_FAINT, "p pours milk into jars; i says how much ice went into the tub.");
    (void)a;
}

void draw_chill(struct app *a, struct rect r)
{
    const struct board *b = a->board;
    char remark[80] = "";
    if (b->limit.clause_count > 0)
        (void)snprintf(remark, sizeof remark, "%.70s", b->limit.name);
    draw_rule(r, 0, pane_role(a, PANE_CHILL), "CHILL", remark);
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    struct rect tub = rect_take_bottom(&body, body.rows > 3 ? 1 : 0);
    draw_tub(a, tub);
    if (b->batches == 0) {
        draw_empty(a, body);
        return;
    }
    int advice = (int)b->advice_count + 1;
    if (b->advice_count > 0 && body.rows - 2 * (int)b->batches - advice >= ADVICE_LEAST_ROWS)
        draw_advice(a, rect_take_bottom(&body, advice));
    /* The batch under the cursor takes what the others leave: two rows each, or one where there is little
     * room. */
    int others = (int)b->batches - 1;
    int each = body.rows - 2 * others >= 6 ? 2 : 1;
    int tall = body.rows - each * others;
    if (tall < 3)
        tall = body.rows < 3 ? body.rows : 3;
    for (int i = 0; i < (int)b->batches && body.rows > 0; i++) {
        struct rect strip = rect_take_top(&body, i == a->batch ? tall : each);
        if (i == a->batch)
            draw_tall(a, strip, &b->batch[i]);
        else
            draw_short(a, strip, &b->batch[i]);
    }
}
