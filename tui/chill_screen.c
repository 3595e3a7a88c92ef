/* The batch page: one batch while it cools, large. Its falling line against the limit, the count-down, the
 * ice, what would happen if it came out now, and what would help. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/base/text.h"
#include "core/day/chill_view.h"
#include "tui/batch_parts.h"
#include "tui/board_panes.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/probe_desk.h"

struct chill_state {
    bool known; /* out_now is of the batch under the cursor */
    struct batch_forecast out_now;
};

enum { SIDE_COLS = 26, SIDE_WIDE_COLS = 44, SIDE_LEAST_COLS = 70, WIDE_COLS = 120, CHART_LEAST_ROWS = 6, SIDE_TALL_ROWS = 15 };

enum { DO_READ = 1, DO_TAKE_OUT, DO_TUB, DO_ICE, DO_STIR, DO_WATER, DO_PROBE, DO_BEFORE, DO_NEXT };
enum { WHEN_BATCH = 1, WHEN_MORE = 2 };

static const struct keymap_row keys[] = {
    {'0', '9', "0-9", "reading", "type a number: a temperature read in this batch", WHEN_BATCH, DO_READ, true},
    {PRESS_ENTER, 0, NULL, NULL, "enters a temperature read in this batch", WHEN_BATCH, DO_READ, false},
    {'t', 0, NULL, "take out", "jars come out of the tub", WHEN_BATCH, DO_TAKE_OUT, true},
    {'i', 0, NULL, "ice", "ice goes into the tub", 0, DO_ICE, true},
    {'v', 0, NULL, "stir", "the tub is stirred from now on, or left still", 0, DO_STIR, true},
    {'b', 0, NULL, "bath", "enters the temperature of the tub", 0, DO_TUB, false},
    {'w', 0, NULL, "water", "water goes into the tub, or out of it", 0, DO_WATER, false},
    {'p', 0, NULL, "probe", "a probe hangs in one of its jars", WHEN_BATCH, DO_PROBE, false},
    {PRESS_LEFT, 0, "←→", "batch", "the batch before, or the next", WHEN_MORE, DO_BEFORE, true},
    {PRESS_RIGHT, 0, NULL, NULL, NULL, WHEN_MORE, DO_NEXT, false},
    {PRESS_UP, 0, NULL, NULL, NULL, WHEN_MORE, DO_BEFORE, false},
    {PRESS_DOWN, 0, NULL, NULL, NULL, WHEN_MORE, DO_NEXT, false},
    {0},
};

static bool has_batch(const struct app *a)
{
    return (size_t)a->batch < a->board->batches;
}

static unsigned conditions(const struct app *a)
{
    return (has_batch(a) ? WHEN_BATCH : 0u) | (a->board->batches > 1 ? WHEN_MORE : 0u);
}

static const struct keymap_row *chill_keys(const struct app *a, unsigned *now)
{
    *now = conditions(a);
    return keys;
}

static void chill_renew(struct app *a)
{
    struct chill_state *s = a->chill;
    if (a->batch >= (int)a->board->batches)
        a->batch = a->board->batches > 0 ? (int)a->board->batches - 1 : 0;
    if (s != NULL)
        s->known = has_batch(a) && a->board->batch[a->batch].forecast.jars_at[PLACE_TUB] > 0 &&
                   board_pull_now(a->dairy, a->board, (size_t)a->batch, &s->out_now, NULL) == 0 &&
                   s->out_now.verdict != VERDICT_NONE;
}

static void chill_open(struct app *a)
{
    if (a->chill == NULL)
        a->chill = calloc(1, sizeof *a->chill);
    chill_renew(a);
}

static unsigned other_batch(struct app *a, int by)
{
    int count = (int)a->board->batches;
    a->batch = (a->batch + by + count) % count;
    chill_renew(a);
    return LOOP_DRAW;
}

static unsigned explain(struct app *a)
{
    struct working w;
    struct fail f = {0};
    if (board_explain_batch(a->dairy, a->board, (size_t)a->batch, &w, &f) != 0)
        return app_fail(a, &f);
    return app_show_working(a, &w);
}

static unsigned chill_press(struct app *a, int key)
{
    const struct keymap_row *row = keymap_find(keys, key, conditions(a));
    char digit[2] = {(char)key, '\0'};
    if (key == '?' && has_batch(a))
        return explain(a);
    if (row == NULL)
        return LOOP_NOTHING;
    switch (row->id) {
    case DO_READ: return open_reading(a, key == PRESS_ENTER ? "" : digit);
    case DO_TAKE_OUT: return open_take_out(a);
    case DO_TUB: return open_tub_reading(a);
    case DO_ICE: return app_form(a, "ice", "Ice into the tub");
    case DO_STIR: return app_form(a, "stir", "Stirring from now on");
    case DO_WATER: return app_form(a, "water", "Water into the tub, or out of it");
    case DO_PROBE: return open_probe(a, a->board->batch[a->batch].code);
    case DO_BEFORE: return other_batch(a, -1);
    case DO_NEXT: return other_batch(a, 1);
    default: return LOOP_NOTHING;
    }
}

/* ---- drawing ---- */

static void draw_head(struct app *a, struct rect r, const struct batch_view *v)
{
    const struct batch_forecast *f = &v->forecast;
    char text[160], when[CIVIL_TEXT_MAX];
    (void)snprintf(text, sizeof text, " %c ", v->letter);
    int col = draw_text(r, 0, 1, ROLE_SELECTED, text);
    (void)draw_textf(r, 0, col + 1, ROLE_STRONG, "%d %s " GLYPH_DOT " %s", v->count, v->kind, v->cows);
    if (r.cols >= SIDE_LEAST_COLS)
        draw_rightf(r, 0, ROLE_CHALK, "poured %s at %s%s ", clock_text(v->poured_at, when),
                app_quantity(a, v->poured_c, DIM_TEMPERATURE), v->poured_read ? "" : ", as usual");
    verdict_text(a, f, r.cols < SIDE_LEAST_COLS, text, sizeof text);
    col = draw_text(r, 1, 1, verdict_role(f->verdict), GLYPH_MARK);
    draw_text(r, 1, col + 1, verdict_role(f->verdict), text);
    if (v->held_why[0] != '\0')
        draw_right(r, 1, ROLE_STOP, "HELD MILK ");
}

/* The tub at the right: how cold, and a bar of the ice that is left of what went in. */
static void draw_ice(struct app *a, struct rect r)
{
    const struct tub_forecast *t = &a->board->tub;
    char at[CIVIL_TEXT_MAX];
    double put = a->board->ice_put_kg;
    int row = 0;
    draw_textf(r, row++, 0, ROLE_CHALK, "tub %s%s", app_quantity(a, t->temp_c, DIM_TEMPERATURE),
               t->temp_read ? " read" : "");
    draw_text(r, row++, 0, t->stir == STIR_STILL ? ROLE_CHALK : ROLE_CALM, stir_says(t->stir));
    if (!t->known || put <= 0) {
        draw_text(r, row, 0, ROLE_FAINT, "ice: i says how much");
        return;
    }
    draw_bar(r, row++, 0, r.cols - 1, t->ice_kg > 0 ? ROLE_CURVE : ROLE_WATCH, t->ice_kg / put);
    draw_textf(r, row++, 0, t->ice_kg > 0.005 ? ROLE_CHALK : ROLE_WATCH, "ice %s of %s",
               app_quantity(a, t->ice_kg, DIM_MASS), app_quantity(a, put, DIM_MASS));
    if (isfinite(t->ice_gone_at))
        draw_textf(r, row, 0, ROLE_WATCH, t->ice_gone_at > (double)a->now.s ? "gone by %s" : "gone since %s",
                   clock_at(t->ice_gone_at, at));
}

static void draw_side(struct app *a, struct rect r, const struct batch_view *v)
{
    char text[120], latest[CIVIL_TEXT_MAX];
    const struct batch_forecast *f = &v->forecast;
    bool in_tub = f->place == PLACE_TUB && isfinite(f->latest_pull_at) && r.rows >= SIDE_TALL_ROWS;
    struct rect now = rect_take_top(&r, in_tub ? 3 : 2), ice = rect_take_bottom(&r, 6);
    const struct probe_seat *seat = probe_desk_seat(a, v->id, "");
    bool probed = seat != NULL && seat->watch.state == PROBE_GOOD;
    draw_textf(now, 0, 0, probed || v->forecast.now_read ? ROLE_STRONG : ROLE_CHALK, "%s now, %s",
               app_quantity(a, probed ? seat->watch.temp_c : v->forecast.now_c, DIM_TEMPERATURE),
               probed                 ? "probe"
               : v->forecast.now_read ? "read"
                                      : "forecast");
    when_text(a, &v->forecast, true, text, sizeof text);
    draw_text(now, 1, 0, ROLE_STRONG, text);
    if (in_tub) /* the latest moment at which taking them out costs nothing */
        draw_textf(now, 2, 0, ROLE_FAINT, f->latest_pull_at > (double)a->now.s ? "no gain after %s" : "no gain in staying",
                   clock_at(f->latest_pull_at, latest));
    if (seat != NULL && !probed)
        draw_textf(rect_take_top(&r, 1), 0, 0, ROLE_WATCH, "probe: %s", probe_seat_text(a, seat, text, sizeof text));
    draw_countdown(a, r, v);
    draw_ice(a, ice);
}

/* "if it came out now: 45 °F at 09:12, will not, 38 min late" */
static void draw_out_now(struct app *a, struct rect r, int row)
{
    char text[160], at[CIVIL_TEXT_MAX];
    const struct batch_forecast *f = &a->chill->out_now;
    verdict_text(a, f, true, text, sizeof text);
    int col = draw_text(r, row, 1, ROLE_FAINT, r.cols < SIDE_LEAST_COLS ? "out now: " : "if it came out now: ");
    if (isfinite(f->to_limit.at) && r.cols >= SIDE_LEAST_COLS)
        col = draw_textf(r, row, col, ROLE_CHALK, "%s at %s, ", app_quantity(a, f->limit_c, DIM_TEMPERATURE),
                         clock_at(f->to_limit.at, at));
    draw_text(r, row, col, verdict_role(f->verdict), text);
}

enum { REMEDY_COLS = 46, VERDICT_COLS = 13 };

/* One remedy with its own recomputed time. */
static void draw_remedy(struct app *a, struct rect r, int row, int n)
{
    const struct board *b = a->board;
    const struct advice *x = &b->advice[n];
    char text[160], span[CIVIL_TEXT_MAX], at[CIVIL_TEXT_MAX];
    enum role role = n == b->cheapest ? ROLE_STRONG : ROLE_CHALK;
    (void)draw_text(r, row, 1, role, n == b->cheapest ? GLYPH_MARK : " ");
    (void)draw_textf(rect_part(r, row, 3, 1, REMEDY_COLS - 4), 0, 0, role, "%c: %s", b->batch[x->batch].letter,
                     board_remedy_text(b, x, text, sizeof text));
    draw_text(r, row, REMEDY_COLS, role, isfinite(x->to_limit.at) ? clock_at(x->to_limit.at, at) : "never");
    (void)draw_text(r, row, REMEDY_COLS + 7, verdict_role(x->verdict), verdict_word(x->verdict));
    int col = REMEDY_COLS + 7 + VERDICT_COLS;
    if (isfinite(x->gain_s))
        col = draw_textf(r, row, col, ROLE_CHALK, "%s sooner", span_text((int64_t)x->gain_s, span));
    if (n == b->cheapest && r.cols >= col + 14)
        (void)draw_text(r, row, col, ROLE_FAINT, ", least work");
}

static void draw_help_rows(struct app *a, struct rect r)
{
    const struct board *b = a->board;
    draw_rule(r, 0, ROLE_TITLE, b->advice_count > 0 ? "WHAT HELPS" : "WHAT IF", NULL);
    int row = 1;
    if (a->chill->known)
        draw_out_now(a, r, row++);
    for (int i = 0; i < (int)b->advice_count; i++)
        draw_remedy(a, r, row++, i);
}

static void chill_draw(struct app *a, struct rect r)
{
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    if (!has_batch(a)) {
        draw_text(r, 0, 1, ROLE_FAINT, "No jars are cooling.");
        return;
    }
    const struct batch_view *v = &a->board->batch[a->batch];
    draw_head(a, rect_take_top(&r, 2), v);
    int help = a->chill == NULL ? 0 : (int)a->board->advice_count + (a->chill->known ? 1 : 0);
    help += help > 0; /* its title */
    if (help > 0 && r.rows - help >= CHART_LEAST_ROWS)
        draw_help_rows(a, rect_take_bottom(&r, help));
    if (r.cols >= SIDE_LEAST_COLS) {
        struct rect side = rect_take_right(&r, r.cols >= WIDE_COLS ? SIDE_WIDE_COLS : SIDE_COLS);
        draw_side(a, rect_part(side, 0, 1, side.rows, side.cols - 1), v);
    }
    draw_batch_chart(a, rect_part(r, 0, 1, r.rows, r.cols - 1), v, true);
    if (a->cadence != CADENCE_SECOND && isfinite(to_limit_s(a, &v->forecast)))
        a->cadence = CADENCE_MINUTE;
}

const struct screen chill_screen = {
    .letter = 0,
    .name = "A batch",
    .does = "one batch while it cools: its line, its count-down, what helps",
    .open = chill_open,
    .press = chill_press,
    .draw = chill_draw,
    .renew = chill_renew,
    .keys = chill_keys,
};
