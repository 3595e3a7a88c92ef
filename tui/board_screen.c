/* The board: the screen that stays up. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "tui/app.h"
#include "tui/batch_parts.h"
#include "tui/board_panes.h"
#include "tui/help.h"
#include "tui/kit/draw.h"

/* Below this the panes are shown one at a time. */
enum { BOARD_LEAST_COLS = 80, BOARD_LEAST_ROWS = 22, BOARD_WIDE_COLS = 130 };

/* What holds now, for the table of keys. */
enum {
    WHEN_STALLS = 1,
    WHEN_CHILL = 2,
    WHEN_CHORES = 4,
    WHEN_COW = 8,
    WHEN_BATCH = 16,
    WHEN_ROW = 32,
    WHEN_NOT_CHILL = 64,
};

enum {
    DO_TICK = 1,
    DO_OPEN,
    DO_READ,
    DO_PANE,
    DO_PANE_BACK,
    DO_STALL,
    DO_MILK,
    DO_POUR,
    DO_TAKE_OUT,
    DO_ICE,
    DO_STIR,
    DO_HOLD,
    DO_SKIP,
    DO_TUB,
    DO_END,
    DO_BATCH
};

static const struct keymap_row keys[] = {
    {' ', 0, NULL, "tick", "begins the step's clock, ends it, or ticks it done; on a done step un-ticks it",
     WHEN_CHORES | WHEN_ROW, DO_TICK, true},
    {PRESS_ENTER, 0, NULL, "open", "opens her page", WHEN_STALLS | WHEN_COW, DO_OPEN, true},
    {PRESS_ENTER, 0, NULL, "batch", "opens the batch: its line, its count-down, what helps", WHEN_CHILL | WHEN_BATCH,
     DO_BATCH, true},
    {'0', '9', "0-9", "reading", "type a number: a temperature read in this batch", WHEN_CHILL | WHEN_BATCH,
     DO_READ, false},
    {PRESS_TAB, 0, NULL, "pane", "goes to the next pane", 0, DO_PANE, true},
    {PRESS_BACK_TAB, 0, NULL, NULL, NULL, 0, DO_PANE_BACK, false},
    {'1', '9', "1-9", "stall", "chooses a stall", WHEN_NOT_CHILL, DO_STALL, false},
    {'m', 0, NULL, "milk", "enters her milk: weight, strip cup, disc", WHEN_STALLS | WHEN_COW, DO_MILK, true},
    {'h', 0, NULL, "hold", "her milk is not to be kept, or is free again", WHEN_STALLS | WHEN_COW, DO_HOLD,
     false},
    {'p', 0, NULL, "pour", "milk goes into jars, the jars into the tub", 0, DO_POUR, false},
    {'t', 0, NULL, "take out", "jars come out of the tub", WHEN_CHILL | WHEN_BATCH, DO_TAKE_OUT, true},
    {'b', 0, NULL, "bath", "enters the temperature of the tub", WHEN_CHILL, DO_TUB, false},
    {'i', 0, NULL, "ice", "ice goes into the tub", WHEN_CHILL, DO_ICE, false},
    {'v', 0, NULL, "stir", "the tub is stirred from now on, or left still", WHEN_CHILL, DO_STIR, false},
    {'-', 0, NULL, "skip", "leaves the step out today; that is said at the end", WHEN_CHORES | WHEN_ROW,
     DO_SKIP, false},
    {'e', 0, NULL, "end", "shows when the morning will be over, and how long each phase takes here", WHEN_CHORES, DO_END, false},
    {0},
};

static unsigned conditions(const struct app *a)
{
    const struct board *b = a->board;
    static const unsigned panes[PANES] = {WHEN_STALLS | WHEN_NOT_CHILL, WHEN_CHILL,
                                          WHEN_CHORES | WHEN_NOT_CHILL};
    unsigned now = panes[a->pane];
    if ((size_t)a->stall < b->stalls && !b->stall[a->stall].empty)
        now |= WHEN_COW;
    if ((size_t)a->batch < b->batches)
        now |= WHEN_BATCH;
    if ((size_t)a->row < b->progress.count)
        now |= WHEN_ROW;
    return now;
}

static const struct keymap_row *board_keys(const struct app *a, unsigned *now)
{
    *now = conditions(a);
    return keys;
}

enum role urgency_role(enum urgency urgency)
{
    return urgency == URGENCY_STOP ? ROLE_STOP : urgency == URGENCY_WATCH ? ROLE_WATCH : ROLE_STRONG;
}

enum role pane_role(const struct app *a, enum pane pane)
{
    return a->pane == (int)pane ? ROLE_ACCENT : ROLE_TITLE;
}

/* ---- keys ---- */

static unsigned tick_row(struct app *a, const char *state)
{
    const struct progress_row *row = &a->board->progress.row[a->row];
    char step[64], cow[80], how[32];
    (void)snprintf(step, sizeof step, "step=%s", row->step->id);
    (void)snprintf(how, sizeof how, "state=%s", state);
    (void)snprintf(cow, sizeof cow, "cow=%s", row->cow >= 0 ? a->board->cow[row->cow].name : "");
    const char *words[] = {step, how, row->cow >= 0 ? cow : NULL, NULL};
    return app_act(a, "tick", words);
}

static unsigned press_tick(struct app *a)
{
    const struct progress_row *row = &a->board->progress.row[a->row];
    if (row->state == STATE_DONE || row->state == STATE_SKIPPED)
        return tick_row(a, "undone");
    if (row->step->kind != STEP_PLAIN && row->state != STATE_RUNNING)
        return tick_row(a, "begun");
    return tick_row(a, "done");
}

static const struct stall_view *stall_now(const struct app *a)
{
    return &a->board->stall[a->stall];
}

static unsigned open_for_cow(struct app *a, const char *act, const char *title, const char *first)
{
    (void)app_form(a, act, title);
    app_preset(a, "cow", stall_now(a)->name);
    form_view_go(&a->form, first);
    return LOOP_DRAW;
}

static unsigned open_milk(struct app *a)
{
    (void)open_for_cow(a, "milk", "Her milk", "mass");
    app_preset(a, "strip", "clean");
    app_preset(a, "disc", "clean");
    return LOOP_DRAW;
}

static unsigned choose_stall(struct app *a, int number)
{
    if (number < 1 || (size_t)number > a->board->stalls)
        return LOOP_NOTHING;
    a->stall = number - 1;
    a->pane = PANE_STALLS;
    return LOOP_DRAW;
}

static unsigned move_in(int *at, int count, int by)
{
    int to = *at + by;
    if (to >= count)
        to = count - 1;
    if (to < 0)
        to = 0;
    *at = to;
    return LOOP_DRAW;
}

static unsigned press_arrow(struct app *a, int key)
{
    const struct board *b = a->board;
    int by = key == PRESS_UP || key == PRESS_LEFT ? -1 : key == PRESS_DOWN || key == PRESS_RIGHT ? 1 : 0;
    if (key == PRESS_PAGE_UP || key == PRESS_PAGE_DOWN)
        by = key == PRESS_PAGE_UP ? -8 : 8;
    if (key == PRESS_HOME || key == PRESS_END)
        by = key == PRESS_HOME ? -10000 : 10000;
    if (by == 0)
        return LOOP_NOTHING;
    switch (a->pane) {
    case PANE_STALLS: return move_in(&a->stall, (int)b->stalls, by);
    case PANE_CHILL: return move_in(&a->batch, (int)b->batches, by);
    default: a->follow = false; return move_in(&a->row, (int)b->progress.count, by);
    }
}

static unsigned explain_end(struct app *a)
{
    struct working w;
    struct fail f = {0};
    return board_explain_chores(a->dairy, a->now, &w, &f) == 0 ? app_show_working(a, &w) : app_fail(a, &f);
}

static unsigned do_key(struct app *a, int id, int key)
{
    char digit[2] = {(char)key, '\0'};
    switch (id) {
    case DO_TICK: return press_tick(a);
    case DO_OPEN: a->cow_id = stall_now(a)->cow_id; return app_go(a, &cow_screen);
    case DO_READ: return open_reading(a, digit);
    case DO_PANE: a->pane = (a->pane + 1) % PANES; return LOOP_DRAW;
    case DO_PANE_BACK: a->pane = (a->pane + PANES - 1) % PANES; return LOOP_DRAW;
    case DO_STALL: return choose_stall(a, key - '0');
    case DO_MILK: return open_milk(a);
    case DO_HOLD: return open_for_cow(a, "hold", "Hold her milk", "hours");
    case DO_POUR: return app_form(a, "pour", "Milk into jars");
    case DO_TAKE_OUT: return open_take_out(a);
    case DO_ICE: return app_form(a, "ice", "Ice into the tub");
    case DO_STIR: return app_form(a, "stir", "Stirring from now on");
    case DO_BATCH: return app_go(a, &chill_screen);
    case DO_SKIP: return tick_row(a, "skipped");
    case DO_TUB: return open_tub_reading(a);
    case DO_END: return explain_end(a);
    default: return LOOP_NOTHING;
    }
}

/* What she gives, why her milk is not kept, or, of one who is dry, when she calves. */
static int explain_stall(struct app *a, struct working *w, struct fail *f)
{
    const struct stall_view *s = stall_now(a);
    if (!s->in_milk)
        return board_explain_calving(a->dairy, s->cow_id, a->now, w, f);
    return s->keep ? board_explain_cow(a->dairy, s->cow_id, a->now, w, f)
                   : board_explain_hold(a->dairy, s->cow_id, a->now, w, f);
}

/* ? on the board: the working of what is under the cursor. */
static unsigned explain(struct app *a)
{
    struct working w;
    struct fail f = {0};
    int result = -1;
    unsigned now = conditions(a);
    if (a->pane == PANE_CHILL && (now & WHEN_BATCH) != 0)
        result = board_explain_batch(a->dairy, a->board, (size_t)a->batch, &w, &f);
    else if (a->pane == PANE_STALLS && (now & WHEN_COW) != 0)
        result = explain_stall(a, &w, &f);
    else
        return help_show(a);
    return result == 0 ? app_show_working(a, &w) : app_fail(a, &f);
}

static unsigned board_press(struct app *a, int key)
{
    const struct keymap_row *row = keymap_find(keys, key, conditions(a));
    if (row != NULL)
        return do_key(a, row->id, key);
    if (key == '?')
        return explain(a);
    return press_arrow(a, key);
}

/* ---- drawing ---- */

static void draw_top(struct app *a, struct rect r)
{
    const struct board *b = a->board;
    char now[CIVIL_TEXT_MAX], span[CIVIL_TEXT_MAX];
    int col = draw_text(r, 0, 1, ROLE_STRONG, instant_text(a->now, now));
    if (b->milking_open && instant_known(b->started_at))
        col = draw_textf(
            r, 0, col, ROLE_CHALK, " " GLYPH_DOT " milking, %s",
            span_text((instant_known(b->ended_at) ? b->ended_at.s : a->now.s) - b->started_at.s, span));
    else if (b->milking_open)
        col = draw_text(r, 0, col, ROLE_CHALK, " " GLYPH_DOT " getting ready");
    draw_textf(r, 0, col, ROLE_FAINT, " " GLYPH_DOT " milk house %s%s",
               app_quantity(a, b->room_c, DIM_TEMPERATURE), b->room_read ? "" : " as usual");
    if (r.cols >= BOARD_LEAST_COLS)
        draw_rightf(r, 0, ROLE_FAINT, "%s ", a->throw_away ? "invented dairy" : b->dairy);
}

static int draw_sentence(struct app *a, struct rect r)
{
    const struct board *b = a->board;
    enum role role = urgency_role(b->urgency);
    draw_text(r, 0, 1, role, GLYPH_MARK);
    if (a->board_fail.code != FAIL_NONE && a->board_fail.code != FAIL_BUSY) {
        draw_text(r, 0, 3, ROLE_STOP, a->board_fail.text);
        return 1;
    }
    int rows = draw_wrapped(rect_part(r, 0, 3, 2, r.cols - 4), 0, 0, role, b->sentence);
    if (rows > 2)
        rows = 2;
    if (b->detail[0] != '\0' && rows < r.rows) {
        draw_text(r, rows, 3, ROLE_CHALK, b->detail);
        rows++;
    }
    return rows;
}

static void draw_panes(struct app *a, struct rect r)
{
    if (r.cols < BOARD_LEAST_COLS - 2 || r.rows < BOARD_LEAST_ROWS - 5) {
        if (a->pane == PANE_STALLS)
            draw_stalls(a, r);
        else if (a->pane == PANE_CHILL)
            draw_chill(a, r);
        else
            draw_chores(a, r);
        return;
    }
    draw_stalls(a, rect_take_top(&r, stalls_rows(a, r.rows + 5)));
    /* The pane that has the keys gets the wider half. */
    int left = r.cols >= BOARD_WIDE_COLS ? r.cols * 55 / 100
               : a->pane == PANE_CHORES  ? r.cols * 46 / 100
                                         : r.cols * 54 / 100;
    struct rect chill = rect_take_left(&r, left);
    struct rect bar = rect_take_left(&r, 1);
    draw_chill(a, chill);
    draw_chores(a, r);
    draw_upright(bar, 0);
}

static void keep_in_range(struct app *a)
{
    const struct board *b = a->board;
    if (a->stall >= (int)b->stalls)
        a->stall = b->stalls > 0 ? (int)b->stalls - 1 : 0;
    if (a->batch >= (int)b->batches)
        a->batch = b->batches > 0 ? (int)b->batches - 1 : 0;
    if (a->row >= (int)b->progress.count)
        a->row = b->progress.count > 0 ? (int)b->progress.count - 1 : 0;
}

static void board_draw(struct app *a, struct rect r)
{
    keep_in_range(a);
    draw_top(a, rect_take_top(&r, 1));
    struct rect bottom = rect_take_bottom(&r, r.rows >= 20 ? 2 : 1);
    struct rect head = rect_part(r, 0, 0, 3, r.cols);
    int used = draw_sentence(a, rect_part(head, 0, 0, r.rows >= 26 ? 3 : 2, head.cols));
    (void)rect_take_top(&r, used);
    draw_panes(a, r);
    draw_bottom(a, bottom);
}

const struct screen board_screen = {
    .letter = 0,
    .name = "The board",
    .does = "the board: stalls, chill, chores",
    .press = board_press,
    .draw = board_draw,
    .keys = board_keys,
};
