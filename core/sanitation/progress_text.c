/* The sentences of progress: what is next, and what a row's state is in a few words. */
#include <stdio.h>

#include "core/base/text.h"
#include "core/sanitation/progress_inside.h"

/* A deadline this near, and a wait this short, go before the order of the routine. */
enum { SOON_S = 120, IMMINENT_S = 60 };

/* Seconds while they matter, else as span_text(). */
static const char *clock_span(int64_t seconds, char buf[CIVIL_TEXT_MAX])
{
    if (seconds >= 120 || seconds < 0)
        return span_text(seconds, buf);
    (void)snprintf(buf, CIVIL_TEXT_MAX, "%d s", (int)seconds);
    return buf;
}

static const char *floor_text(const struct routine_step *step, char buf[QUANTITY_TEXT_MAX])
{
    return quantity_format(step->floor_c, DIM_TEMPERATURE, step->heat_units, buf);
}

static void hot_text(const struct progress_row *row, struct instant now, char *buf, size_t size)
{
    char span[CIVIL_TEXT_MAX], lowest[QUANTITY_TEXT_MAX];
    if (row->left_s > 0)
        (void)text_append(buf, size, "%s left", clock_span(row->left_s, span));
    else
        (void)text_append(buf, size, "long enough");
    if (!instant_known(row->floor_at)) {
        if (row->late_s > 0)
            (void)text_append(buf, size, ", %s over its time", clock_span(row->late_s, span));
        return;
    }
    if (row->late_s > 0)
        (void)text_append(buf, size, ", under %s for %s", floor_text(row->step, lowest),
                          clock_span(row->late_s, span));
    else
        (void)text_append(buf, size, ", %s in %s", floor_text(row->step, lowest),
                          clock_span(row->floor_at.s - now.s, span));
}

static void deadline_text(const struct progress_row *row, struct instant now, char *buf, size_t size)
{
    char span[CIVIL_TEXT_MAX];
    if (row->late_s > 0)
        (void)text_append(buf, size, "%s late", clock_span(row->late_s, span));
    else if (instant_known(row->due_at))
        (void)text_append(buf, size, "within %s", clock_span(row->due_at.s - now.s, span));
    else if (row->overdue_days > 0)
        (void)text_append(buf, size, "%d days overdue", row->overdue_days);
}

static void waiting_text(const struct progress_row *row, struct instant now, char *buf, size_t size)
{
    char span[CIVIL_TEXT_MAX];
    (void)text_append(buf, size, "waits: %s", row->why);
    if (instant_known(row->opens_at))
        (void)text_append(buf, size, ", %s", clock_span(row->opens_at.s - now.s, span));
    if (row->late_s > 0)
        (void)text_append(buf, size, ", %s late", clock_span(row->late_s, span));
}

const char *progress_row_text(const struct progress_row *row, struct instant now, char *buf, size_t size)
{
    char span[CIVIL_TEXT_MAX];
    buf[0] = '\0';
    switch (row->state) {
    case STATE_OPEN: deadline_text(row, now, buf, size); break;
    case STATE_WAITING: waiting_text(row, now, buf, size); break;
    case STATE_RUNNING:
        if (row->step->kind == STEP_HOT)
            hot_text(row, now, buf, size);
        else
            (void)text_append(buf, size, "%s left", clock_span(row->left_s, span));
        break;
    case STATE_DONE:
        (void)text_append(buf, size, "%s", instant_text_near(row->done_at, now, span));
        if (row->short_s > 0)
            (void)text_append(buf, size, ", %s short", clock_span(row->short_s, span));
        break;
    case STATE_SKIPPED: (void)text_append(buf, size, "skipped"); break;
    case STATE_NOT_DUE: (void)text_append(buf, size, "%s", row->why); break;
    }
    return buf;
}

/* The row that was pressed last, or -1 while nothing was. */
static int last_pressed(const struct progress *p)
{
    int last = -1;
    struct instant latest = INSTANT_NONE;
    for (size_t i = 0; i < p->count; i++) {
        const struct progress_row *row = &p->row[i];
        struct instant at = instant_known(row->begun_at) ? row->begun_at : row->done_at;
        if (instant_known(at) && (last < 0 || at.s >= latest.s)) {
            last = (int)i;
            latest = at;
        }
    }
    return last;
}

/* Where the work stands: the beginning of the stretch of rows in which the last press was. Rows done for each
 * cow are one stretch from milk to tub; the others go by phase. What an earlier stretch left undone was
 * passed over on purpose, and would only be in the way. */
static size_t present_stretch(const struct progress *p)
{
    int last = last_pressed(p);
    size_t start = last < 0 ? 0 : (size_t)last;
    while (start > 0) {
        const struct progress_row *row = &p->row[start], *before = &p->row[start - 1];
        bool together =
            row->cow >= 0 ? before->cow >= 0 : before->cow < 0 && before->step->phase == row->step->phase;
        if (!together)
            break;
        start--;
    }
    return start;
}

/* Its wait is over in less than a minute: not worth beginning something else. */
static bool opens_soon(const struct progress_row *row, struct instant now)
{
    return row->state == STATE_WAITING && instant_known(row->opens_at) &&
           row->opens_at.s - now.s < IMMINENT_S;
}

/* What is late comes first, then what is due within two minutes, then the order of the routine from where the
 * work stands, and last what was passed over. */
static int choose_next(const struct progress *p, struct instant now)
{
    size_t start = present_stretch(p);
    for (size_t i = 0; i < p->timer_count; i++) {
        const struct progress_row *row = &p->row[p->timer[i]];
        if (instant_known(row->due_at) && row->due_at.s - now.s <= SOON_S && row_can_be_done(row))
            return (int)p->timer[i];
    }
    for (size_t i = 0; i < p->count; i++) {
        size_t at = (start + i) % p->count;
        if (row_can_be_done(&p->row[at]) || opens_soon(&p->row[at], now))
            return (int)at;
    }
    return -1;
}

/* "Cups on, Maud" */
static void name_row(const struct progress_row *row, const struct progress_facts *facts, char *buf,
                     size_t size)
{
    (void)text_append(buf, size, "%s%s%s", row->step->words, row->cow < 0 ? "" : ", ",
                      row->cow < 0 ? "" : facts->cows[row->cow].name);
}

/* The clock that needs eyes first, other than the row that is next anyway and the clock that row waits for.
 */
static const struct progress_row *first_clock(const struct progress *p)
{
    struct instant awaited = p->next < 0 ? INSTANT_NONE : p->row[p->next].opens_at;
    for (size_t i = 0; i < p->timer_count; i++) {
        const struct progress_row *row = &p->row[p->timer[i]];
        bool is_awaited = row->state == STATE_RUNNING && row->begun_at.s + row->step->contact_s == awaited.s;
        if ((int)p->timer[i] != p->next && !is_awaited)
            return row;
    }
    return NULL;
}

/* Nothing can be done: the wait that the clock will end soonest, or the first that it will not. */
static const struct progress_row *first_wait(const struct progress *p)
{
    const struct progress_row *first = NULL, *soonest = NULL;
    for (size_t i = 0; i < p->count; i++) {
        const struct progress_row *row = &p->row[i];
        if (row->state != STATE_WAITING)
            continue;
        if (first == NULL)
            first = row;
        if (instant_known(row->opens_at) && (soonest == NULL || row->opens_at.s < soonest->opens_at.s))
            soonest = row;
    }
    return soonest != NULL ? soonest : first;
}

/* "pre-dip of Maud: 12 s left" */
static void say_clock(const struct progress_row *row, const struct progress_facts *facts, char *buf,
                      size_t size)
{
    char text[PROGRESS_NEXT_MAX];
    (void)text_append(buf, size, "%s%s%s: %s", row->step->id, row->cow < 0 ? "" : " of ",
                      row->cow < 0 ? "" : facts->cows[row->cow].name,
                      progress_row_text(row, facts->now, text, sizeof text));
}

/* What was skipped is said at the end, not hidden. */
static void say_left_out(const struct progress *p, const struct progress_facts *facts, char *buf, size_t size)
{
    int count = 0;
    for (size_t i = 0; i < p->count; i++) {
        const struct progress_row *row = &p->row[i];
        if (row->state == STATE_SKIPPED)
            (void)text_append(buf, size, "%s%s%s%s", count++ == 0 ? "; left out: " : ", ", row->step->id,
                              row->cow < 0 ? "" : " of ", row->cow < 0 ? "" : facts->cows[row->cow].name);
    }
}

void progress_say_next(const struct progress_facts *facts, struct progress *p)
{
    char clock[CIVIL_TEXT_MAX], state[PROGRESS_NEXT_MAX];
    char *text = p->next_text;
    size_t size = sizeof p->next_text;
    p->next = choose_next(p, facts->now);
    const struct progress_row *running = first_clock(p), *next = p->next < 0 ? NULL : &p->row[p->next];
    if (p->rows > 0 && p->done == p->rows) {
        (void)text_append(text, size, "All done at %s", instant_text_near(p->ends_at, facts->now, clock));
        say_left_out(p, facts, text, size);
        return;
    }
    if (next == NULL)
        next = running == NULL ? first_wait(p) : NULL;
    if (next != NULL) {
        name_row(next, facts, text, size);
        if (*progress_row_text(next, facts->now, state, sizeof state) != '\0')
            (void)text_append(text, size, ": %s", state);
    }
    if (running != NULL) {
        if (text[0] != '\0')
            (void)text_append(text, size, "; ");
        say_clock(running, facts, text, size);
    }
}
