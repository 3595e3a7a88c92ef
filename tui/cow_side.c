/* Who she is, the column of figures, and the lists of events and milkings. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "tui/board_panes.h"
#include "tui/cow_panes.h"
#include "tui/kit/big.h"
#include "tui/kit/draw.h"

enum role cow_pane_role(const struct app *a, enum cow_pane pane)
{
    return a->cow->pane == (int)pane ? ROLE_ACCENT : ROLE_TITLE;
}

/* ---- head ---- */

static void who_text(const struct cow_page *p, char *text, size_t size)
{
    char day[CIVIL_TEXT_MAX];
    text[0] = '\0';
    if (p->breed[0] != '\0')
        (void)text_append(text, size, " " GLYPH_DOT " %s%s", p->breed, p->male ? " bull" : "");
    if (p->tag[0] != '\0')
        (void)text_append(text, size, " " GLYPH_DOT " tag %s", p->tag);
    if (date_known(p->born_on))
        (void)text_append(text, size, " " GLYPH_DOT " born %s", date_year_text(p->born_on, day));
    if (p->dam[0] != '\0')
        (void)text_append(text, size, " of %s", p->dam);
    if (p->parity > 0)
        (void)text_append(text, size, " " GLYPH_DOT " %d calving%s", p->parity, p->parity == 1 ? "" : "s");
}

/* Why it is held or, when it is kept, how the quarters are; then what else must not be overlooked. */
static void why_text(const struct cow_page *p, char *text, size_t size)
{
    (void)snprintf(text, size, "%s", p->view.keep ? p->view.udder : p->view.hold.words);
    if (p->remark[0] != '\0')
        (void)text_append(text, size, ". %s", p->remark);
    else if (p->caution[0] != '\0' && !p->view.keep)
        (void)text_append(text, size, ". %s", p->caution);
}

/* On a tall screen the verdict is large enough to be read from across the stall. */
static void draw_large(struct app *a, struct rect r, const char *verdict)
{
    const struct cow_page *p = &a->cow->page;
    int cols = big_cols(r.canvas->charset, 1, verdict);
    draw_big(r, 0, 1, p->view.keep ? ROLE_CALM : ROLE_WATCH, 1, verdict);
    struct rect beside = rect_part(r, 0, cols + 4, r.rows, r.cols - cols - 5);
    char why[400];
    why_text(p, why, sizeof why);
    (void)draw_wrapped(beside, 0, 0, p->view.keep ? ROLE_CHALK : ROLE_WATCH, why);
}

void draw_cow_head(struct app *a, struct rect r)
{
    const struct cow_page *p = &a->cow->page;
    char text[400];
    int col = draw_text(r, 0, 1, ROLE_STRONG, p->name);
    who_text(p, text, sizeof text);
    draw_text(r, 0, col, ROLE_FAINT, text);
    draw_textf(r, 1, 1, ROLE_STRONG, "%s%s%s", p->view.state,
               p->view.breeding[0] != '\0' && !p->gone ? " " GLYPH_DOT " " : "",
               p->gone ? "" : p->view.breeding);
    if (!p->view.in_milk) {
        bool held = !p->view.keep && !p->male && !p->gone && p->lactations > 0;
        draw_text(r, 2, 1, p->remark[0] != '\0' ? ROLE_WATCH : ROLE_FAINT,
                  p->remark[0] != '\0' ? p->remark
                  : held               ? p->view.hold.words
                                       : "");
        return;
    }
    const char *verdict = hold_verdict(&p->view.hold);
    if (r.rows >= 5) {
        draw_large(a, rect_part(r, 2, 0, r.rows - 2, r.cols), verdict);
        return;
    }
    why_text(p, text, sizeof text);
    col = draw_text(r, 2, 1, p->view.keep ? ROLE_CALM : ROLE_STOP, verdict);
    draw_text(r, 2, col + 2, p->view.keep && p->remark[0] == '\0' ? ROLE_FAINT : ROLE_WATCH, text);
}

/* ---- side ---- */

/* A row of the udder's map: her left on the left, as one stands behind her. */
static void draw_quarters(const struct cow_page *p, struct rect r, int front_or_rear)
{
    static const char *const ways[] = {GLYPH_UP " better", "", GLYPH_DOWN " worse"};
    for (int side = 0; side < 2; side++) {
        enum quarter q = (enum quarter)(2 * front_or_rear + side);
        const struct quarter_trend *t = &p->quarter[q];
        bool bad = t->state == QUARTER_NEW || t->state == QUARTER_CHRONIC || t->state == QUARTER_CLEARING;
        struct rect half = rect_part(r, 0, side == 0 ? 1 : r.cols / 2, 1, r.cols / 2 - 1);
        int col = draw_textf(half, 0, 0, ROLE_FAINT, "%s ", quarter_code(q));
        col = draw_text(half, 0, col, bad ? ROLE_WATCH : ROLE_CHALK, quarter_state_word(t->state));
        if (bad || t->state == QUARTER_SUSPECT)
            draw_text(half, 0, col + 1, ROLE_CHALK, ways[t->direction + 1]);
    }
}

static void draw_side_line(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct side_line *line = &a->cow->line[row];
    if (line->heading != NULL) {
        draw_text(r, 0, 0, ROLE_TITLE, line->heading);
        return;
    }
    const struct page_figure *f = &a->cow->page.figure[line->figure];
    if (f->kind == FIGURE_QUARTERS) {
        draw_quarters(&a->cow->page, r, f->index);
        return;
    }
    draw_text(r, 0, 1, f->urgency == URGENCY_CALM ? ROLE_CHALK : urgency_role(f->urgency), f->text);
}

void draw_cow_side(struct app *a, struct rect r)
{
    draw_rule(r, 0, cow_pane_role(a, COW_SIDE), "AT A GLANCE", NULL);
    draw_list(rect_part(r, 1, 1, r.rows - 1, r.cols - 1), &a->cow->side, a->cow->pane == COW_SIDE,
              draw_side_line, a);
}

/* ---- lists ---- */

static void draw_event(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct page_event *e = &a->cow->page.event[row];
    char on[CIVIL_TEXT_MAX];
    bool watch = e->kind == EVENT_HOLD || e->kind == EVENT_UDDER || e->kind == EVENT_TREATMENT;
    draw_text(r, 0, 1, ROLE_FAINT, date_year_text(e->on, on));
    draw_text(r, 0, 14, ROLE_FAINT, cow_event_sign(e->kind));
    draw_text(r, 0, 16, watch ? ROLE_WATCH : ROLE_STRONG, event_word(e->kind));
    draw_text(r, 0, 27, ROLE_CHALK, e->words);
}

static void draw_milking(void *context, struct rect r, int row)
{
    const struct app *a = context;
    const struct page_milking *m = &a->cow->page.milking[row];
    char at[CIVIL_TEXT_MAX];
    draw_text(r, 0, 1, ROLE_FAINT, instant_text(m->at, at));
    draw_before(r, 0, 30, ROLE_CHALK,
                isfinite(m->mass_kg) ? app_quantity(a, m->mass_kg, DIM_MASS) : GLYPH_DASH);
    draw_text(r, 0, 33, strcmp(m->strip, "clean") == 0 ? ROLE_FAINT : ROLE_WATCH, m->strip);
    if (m->disc[0] != '\0' && strcmp(m->disc, "clean") != 0)
        draw_textf(r, 0, 55, ROLE_WATCH, "disc %s", m->disc);
}

void draw_cow_list(struct app *a, struct rect r)
{
    struct cow_state *c = a->cow;
    bool milkings = c->pane == COW_MILKINGS;
    draw_rule(r, 0, cow_pane_role(a, milkings ? COW_MILKINGS : COW_EVENTS), milkings ? "MILKINGS" : "EVENTS",
              !milkings && c->pane == COW_EVENTS ? "Enter changes a treatment's record" : "newest first");
    struct rect body = rect_part(r, 1, 0, r.rows - 1, r.cols);
    if (milkings)
        draw_list(body, &c->milkings, true, draw_milking, a);
    else
        draw_list(body, &c->events, c->pane == COW_EVENTS, draw_event, a);
}
