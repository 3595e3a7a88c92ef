/* The chores: the routine in its phases, with the clocks that run, and the card of the step under the cursor.
 */
#include <assert.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "tui/board_panes.h"
#include "tui/kit/draw.h"

enum { CARD_ROWS_MOST = 6, LIST_ROWS_LEAST = 5, PHASE_COLS = 8 };

static const char *row_mark(const struct progress_row *row)
{
    switch (row->state) {
    case STATE_DONE: return row->short_s > 0 ? GLYPH_WARNING : GLYPH_TICK;
    case STATE_RUNNING: return GLYPH_POINTER;
    case STATE_SKIPPED: return "x";
    case STATE_WAITING: return GLYPH_DOT;
    case STATE_OPEN:
    case STATE_NOT_DUE: break;
    }
    return " ";
}

static enum role row_role(const struct app *a, const struct progress_row *row)
{
    if (row->late_s > 0 || row->too_short)
        return ROLE_WATCH;
    if (row->state == STATE_DONE || row->state == STATE_SKIPPED || row->state == STATE_WAITING ||
        row->state == STATE_NOT_DUE)
        return ROLE_FAINT;
    return row->state == STATE_RUNNING || (int)(row - a->board->progress.row) == a->board->progress.next
               ? ROLE_STRONG
               : ROLE_CHALK;
}

/* Seconds left of a running clock at this moment; the row was worked out a little earlier. */
static int64_t running_left(const struct app *a, const struct progress_row *row)
{
    int64_t left = row->left_s - (a->now.s - a->board->now.s);
    return left > 0 ? left : 0;
}

/* A narrow pane says when the water is too cold only once that is near. */
enum { FLOOR_COLS = 56, FLOOR_NEAR_S = 10 * 60 };

/* The state of a row in a few words; of a running clock by the second. */
static const char *state_text(const struct app *a, const struct progress_row *row, int cols, char *buf,
                              size_t size)
{
    char clock[COUNTDOWN_MAX], lowest[QUANTITY_TEXT_MAX], span[CIVIL_TEXT_MAX];
    if (row->state != STATE_RUNNING || row->left_s <= 0)
        return progress_row_text(row, a->now, buf, size);
    int64_t left = running_left(a, row), cold_s = row->floor_at.s - a->now.s;
    (void)snprintf(buf, size, "%s left", countdown_text(left, clock));
    if (!instant_known(row->floor_at) || (cols < FLOOR_COLS && cold_s > left + FLOOR_NEAR_S))
        return buf;
    (void)quantity_format(row->step->floor_c, DIM_TEMPERATURE, row->step->heat_units, lowest);
    if (cold_s <= 0)
        (void)text_append(buf, size, ", UNDER %s", lowest);
    else
        (void)text_append(buf, size, ", %s in %s", lowest,
                          span_text(cold_s < 60 ? cold_s : cold_s / 60 * 60, span));
    return buf;
}

static void draw_state(struct app *a, struct rect r, const struct progress_row *row, const char *text,
                       enum role role)
{
    if (row->state != STATE_RUNNING || row->left_s <= 0) {
        draw_right(r, 0, role, text);
        return;
    }
    int64_t left = running_left(a, row);
    int32_t whole = row->step->contact_s > 0 ? row->step->contact_s : row->left_s;
    a->cadence = CADENCE_SECOND;
    int col = draw_right(r, 0, ROLE_STRONG, text);
    if (r.cols >= 60)
        draw_bar(r, 0, col - 8, 7, ROLE_CALM, 1 - (double)left / whole);
}

static void draw_row(struct app *a, struct rect r, int index, bool first_of_phase)
{
    const struct progress_row *row = &a->board->progress.row[index];
    enum role role = row_role(a, row);
    char words[STEP_WORDS_MAX + 80], state[PROGRESS_WHY_MAX + 32];
    if (first_of_phase)
        draw_text(r, 0, 1, ROLE_TITLE, phase_word(row->step->phase));
    draw_text(r, 0, PHASE_COLS + 1, row->state == STATE_DONE && row->short_s == 0 ? ROLE_CALM : role,
              row_mark(row));
    (void)snprintf(words, sizeof words, "%s%s%s", row->step->words, row->cow >= 0 ? ", " : "",
                   row->cow >= 0 ? a->board->cow[row->cow].name : "");
    /* The words have the room that the state at the right leaves. Where both do not fit, what a step waits
     * for is told of the one under the cursor alone. */
    bool here = a->pane == PANE_CHORES && index == a->row;
    (void)state_text(a, row, r.cols, state, sizeof state);
    int width = draw_width(r.canvas->charset, state), room = r.cols - PHASE_COLS - 5;
    if (row->state == STATE_WAITING && !here && width + draw_width(r.canvas->charset, words) > room) {
        /* Its mark says already that it waits: the word gives way to the step's own words. */
        (void)snprintf(state, sizeof state, "%s", draw_width(r.canvas->charset, words) + 5 > room ? "" : "waits");
        width = draw_width(r.canvas->charset, state);
    }
    if (width > r.cols / 2)
        width = r.cols / 2;
    struct rect left = rect_part(r, 0, PHASE_COLS + 3, 1, r.cols - PHASE_COLS - 4 - width - 1);
    draw_text(left, 0, 0, role, words);
    draw_state(a, rect_part(r, 0, left.col - r.col + left.cols, 1, r.cols - (left.col - r.col) - left.cols),
               row, state, role);
    if (here)
        draw_flip(rect_part(r, 0, PHASE_COLS, 1, r.cols - PHASE_COLS));
}

/* The card of a step: how to do it, and its cautions, which stand here in words whatever the colours. */
static int card_rows(const struct rect *r, const struct routine_step *step)
{
    enum caution_id cautions[STEP_CARD_CAUTIONS_MAX];
    size_t count = step_cautions(step, cautions);
    enum charset set = r->canvas->charset;
    int rows = step->how[0] != '\0' ? draw_wrapped_rows(set, r->cols - 2, 0, step->how) : 0;
    for (size_t i = 0; i < count; i++)
        rows += draw_wrapped_rows(set, r->cols - 4, 0, caution_text(cautions[i]));
    return rows;
}

static void draw_card(struct rect r, const struct routine_step *step)
{
    enum caution_id cautions[STEP_CARD_CAUTIONS_MAX];
    size_t count = step_cautions(step, cautions);
    struct rect body = rect_part(r, 0, 1, r.rows, r.cols - 2);
    int row = 0;
    /* Cautions first: should the card be too small for all, it is the hint that goes. */
    for (size_t i = 0; i < count; i++) {
        draw_text(body, row, 0, ROLE_WATCH, GLYPH_WARNING);
        row += draw_wrapped(rect_part(body, 0, 2, body.rows, body.cols - 2), row, 0, ROLE_WATCH,
                            caution_text(cautions[i]));
    }
    if (step->how[0] != '\0')
        (void)draw_wrapped(body, row, 0, ROLE_CHALK, step->how);
}

static const struct routine_step *card_step(const struct app *a)
{
    const struct progress *p = &a->board->progress;
    if (p->count == 0)
        return NULL;
    return p->row[a->row < (int)p->count ? a->row : 0].step;
}

/* What stands on one line of the list: a step, or a run of done steps of one phase (and cow) in short. The
 * run in which the cursor is stays open. */
struct chore_line {
    int from, to; /* rows of progress, `to` not included */
    bool folded;
};

enum { LINES_MAX = PROGRESS_ROWS_MAX };

static bool settled(const struct progress_row *row)
{
    return (row->state == STATE_DONE && row->short_s == 0) || row->state == STATE_NOT_DUE;
}

static int build_lines(const struct app *a, struct chore_line *lines)
{
    const struct progress *p = &a->board->progress;
    int n = 0, count = (int)p->count;
    for (int from = 0, to; from < count; from = to) {
        bool all = true;
        assert(p->row[from].step != NULL);
        for (to = from; to < count && p->row[to].step->phase == p->row[from].step->phase &&
                        p->row[to].cow == p->row[from].cow;
             to++)
            all = all && settled(&p->row[to]);
        if (all && to - from > 1 && !(a->row >= from && a->row < to)) {
            lines[n++] = (struct chore_line){from, to, true};
            continue;
        }
        for (int i = from; i < to; i++)
            lines[n++] = (struct chore_line){i, i + 1, false};
    }
    return n;
}

static void draw_folded(const struct app *a, struct rect r, const struct chore_line *line)
{
    const struct progress_row *first = &a->board->progress.row[line->from];
    struct instant last = INSTANT_NONE;
    char at[CIVIL_TEXT_MAX];
    for (int i = line->from; i < line->to; i++)
        if (instant_known(a->board->progress.row[i].done_at))
            last = a->board->progress.row[i].done_at;
    draw_text(r, 0, 1, ROLE_FAINT, phase_word(first->step->phase));
    draw_text(r, 0, PHASE_COLS + 1, ROLE_CALM, GLYPH_TICK);
    draw_textf(r, 0, PHASE_COLS + 3, ROLE_FAINT, "%s%sall %d done",
               first->cow >= 0 ? a->board->cow[first->cow].name : "", first->cow >= 0 ? ", " : "",
               line->to - line->from);
    draw_right(r, 0, ROLE_FAINT, clock_text(last, at));
}

static void draw_list_of_rows(struct app *a, struct rect r)
{
    const struct progress *p = &a->board->progress;
    struct chore_line lines[LINES_MAX];
    int count = build_lines(a, lines), at = 0;
    for (int i = 0; i < count; i++)
        if (a->row >= lines[i].from && a->row < lines[i].to)
            at = i;
    /* A third of the pane shows what was, the rest what is to come. */
    int top = at - r.rows / 3;
    if (top > count - r.rows)
        top = count - r.rows;
    if (top < 0)
        top = 0;
    for (int i = 0; i < r.rows && top + i < count; i++) {
        const struct chore_line *line = &lines[top + i];
        struct rect row = rect_part(r, i, 0, 1, r.cols);
        bool first = i == 0 || p->row[line->from].step->phase != p->row[line->from - 1].step->phase ||
                     lines[top + i - 1].folded;
        if (line->folded)
            draw_folded(a, row, line);
        else
            draw_row(a, row, line->from, first);
    }
}

void draw_chores(struct app *a, struct rect r)
{
    const struct progress *p = &a->board->progress;
    const struct routine_step *step = card_step(a);
    char remark[80], ends[CIVIL_TEXT_MAX];
    (void)snprintf(remark, sizeof remark, "%zu of %zu", p->done, p->rows);
    if (r.cols >= 50 && a->board->milking_open && instant_known(p->ends_at) && p->done < p->rows)
        (void)text_append(remark, sizeof remark, ", done about %s", clock_text(p->ends_at, ends));
    draw_rule(r, 0, pane_role(a, PANE_CHORES), "CHORES", remark);
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    if (a->follow && p->next >= 0)
        a->row = p->next;
    if (step != NULL) {
        step = card_step(a);
        int wanted = card_rows(&body, step);
        if (wanted > CARD_ROWS_MOST && body.rows < 20)
            wanted = CARD_ROWS_MOST;
        if (wanted > body.rows - LIST_ROWS_LEAST)
            wanted = body.rows - LIST_ROWS_LEAST;
        if (wanted > 0) {
            struct rect card = rect_take_bottom(&body, wanted + 1);
            draw_rule(card, 0, ROLE_RULE, NULL, NULL);
            draw_card(rect_part(card, 1, 0, card.rows - 1, card.cols), step);
        }
    }
    draw_list_of_rows(a, body);
}
