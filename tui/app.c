#include "tui/app.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/inotify.h>
#include <unistd.h>

#include "core/base/source.h"
#include "core/base/text.h"
#include "tui/acts_list.h"
#include "tui/help.h"
#include "tui/kit/draw.h"
#include "tui/probe_desk.h"

/* A busy file is tried again this often; and this long after the first sign of somebody else's writing we
 * look. */
enum { BUSY_RETRY_MS = 60, BUSY_TRIES_SAID = 5, LOOK_AFTER_MS = 25, RING_AGAIN_MS = 5 * 60 * 1000 };

const struct screen *const app_screens[] = {
    &journal_screen,
    &setup_screen,
    &clock_screen,
    &tonight_screen,
    &herd_screen,
    &shelf_screen,
    &ahead_screen,
    &supply_screen,
    &feed_screen,
    &relief_screen,
    &wash_screen,
    NULL,
};

/* ---- words ---- */

void app_say(struct app *a, enum role role, const char *format, ...)
{
    char text[FAIL_TEXT_MAX];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    message_say(&a->message, clock_up(&a->clock), role, "%s", text);
}

unsigned app_fail(struct app *a, const struct fail *f)
{
    message_fail(&a->message, clock_up(&a->clock), f);
    return LOOP_DRAW;
}

const char *app_quantity(const struct app *a, double si, enum dimension dim)
{
    static char texts[16][QUANTITY_TEXT_MAX];
    static int next;
    return quantity_format(si, dim, dairy_units(a->dairy), texts[next++ % 16]);
}

/* ---- the snapshot ---- */

static void renew_screen(struct app *a)
{
    a->renewed_min = a->now.s / 60;
    probe_desk_renew(a);
    if (a->screen->renew != NULL)
        a->screen->renew(a);
}

/* The time that everything on the screen goes by. */
static struct instant app_time(const struct app *a)
{
    return (struct instant){clock_now(&a->clock).s - a->carried_s};
}

/* Works the board out again where that is due. Returns true if it was. */
static bool refresh_board(struct app *a)
{
    struct fail f = {0};
    if (!dairy_is_set_up(a->dairy) || board_still_good(a->dairy, a->board, a->now))
        return false;
    bool new_facts = a->board->edition == 0;
    uint64_t before = a->board->edition;
    if (dairy_board(a->dairy, a->now, a->board, &f) != 0) {
        a->board_fail = f;
        a->look_again = f.code == FAIL_BUSY;
        a->look_at = (struct uptime){clock_up(&a->clock).ms + BUSY_RETRY_MS};
        return f.code != FAIL_BUSY;
    }
    a->board_fail = (struct fail){0};
    if (new_facts || before != a->board->edition)
        renew_screen(a);
    return true;
}

void app_look(struct app *a)
{
    a->now = app_time(a);
    (void)refresh_board(a);
}

/* Somebody wrote the file: look whether it concerns us. */
static bool look_at_file(struct app *a)
{
    struct fail f = {0};
    bool changed = false;
    a->look_again = false;
    if (dairy_refresh(a->dairy, &changed, &f) != 0) {
        a->look_again = f.code == FAIL_BUSY;
        a->look_at = (struct uptime){clock_up(&a->clock).ms + BUSY_RETRY_MS};
        if (f.code != FAIL_BUSY)
            (void)app_fail(a, &f);
    }
    return changed;
}

/* ---- acts ---- */

static void act_succeeded(struct app *a, const struct act_done *done)
{
    message_clear(&a->message); /* "not saved" must not stand there any more */
    app_say(a, ROLE_CALM, "%lld  %s", (long long)done->entry, done->what);
    a->follow = true;
    if (a->new_dairy)
        a->new_dairy = !dairy_is_set_up(a->dairy);
    (void)refresh_board(a);
    renew_screen(a);
}

/* Tries the pending act once. */
static unsigned try_pending(struct app *a, struct fail *f)
{
    struct act_done done;
    int result = a->pending.undo
                     ? dairy_undo(a->dairy, a->pending.undo_entry, a->pending.at, &done, f)
                     : dairy_record(a->dairy, a->pending.kind, &a->pending.form, a->pending.at, &done, f);
    if (result == 0) {
        a->pending.kind = NULL;
        a->pending.undo = false;
        act_succeeded(a, &done);
        return LOOP_DRAW;
    }
    if (f->code != FAIL_BUSY) {
        a->pending.kind = NULL;
        a->pending.undo = false;
        return LOOP_NOTHING;
    }
    a->pending.next = (struct uptime){clock_up(&a->clock).ms + BUSY_RETRY_MS};
    if (++a->pending.tries == BUSY_TRIES_SAID)
        app_say(a, ROLE_WATCH, "Not saved yet: another program is writing. It is tried again by itself.");
    return LOOP_DRAW;
}

static bool is_pending(const struct app *a)
{
    return a->pending.kind != NULL || a->pending.undo;
}

static unsigned begin_act(struct app *a, const struct act_kind *kind, const struct form *form, struct fail *f)
{
    if (is_pending(a))
        return fail_refused(f, "The entry before is not saved yet; wait a moment."), LOOP_NOTHING;
    a->pending.kind = kind;
    a->pending.form = *form;
    a->pending.at = a->now;
    a->pending.tries = 0;
    a->pending.from_form = false;
    return try_pending(a, f);
}

static unsigned begin_undo(struct app *a, int64_t entry)
{
    struct fail f = {0};
    if (is_pending(a)) {
        app_say(a, ROLE_WATCH, "The entry before is not saved yet; wait a moment.");
        return LOOP_DRAW;
    }
    a->pending.undo = true;
    a->pending.undo_entry = entry;
    a->pending.at = a->now;
    a->pending.tries = 0;
    unsigned answer = try_pending(a, &f);
    return answer == LOOP_NOTHING ? app_fail(a, &f) : answer;
}

unsigned app_undo(struct app *a, int64_t entry)
{
    return begin_undo(a, entry);
}

unsigned app_act(struct app *a, const char *act, const char *const words[])
{
    struct fail f = {0};
    struct form form;
    const struct act_kind *kind = act_find(act);
    act_form(a->dairy, kind, a->now, &form);
    for (int i = 0; words[i] != NULL; i++)
        if (form_set_pair(&form, words[i], &f) != 0)
            return app_fail(a, &f);
    unsigned answer = begin_act(a, kind, &form, &f);
    return answer == LOOP_NOTHING ? app_fail(a, &f) : answer;
}

/* ---- going about ---- */

unsigned app_go(struct app *a, const struct screen *s)
{
    if (s == a->screen)
        return LOOP_NOTHING;
    if (a->back_count < APP_BACK_MAX)
        a->back[a->back_count++] = a->screen;
    a->screen = s;
    if (s->open != NULL)
        s->open(a);
    return LOOP_DRAW;
}

unsigned app_back(struct app *a)
{
    if (a->back_count == 0)
        return LOOP_NOTHING;
    a->screen = a->back[--a->back_count];
    renew_screen(a);
    return LOOP_DRAW;
}

unsigned app_form(struct app *a, const char *act, const char *title)
{
    const struct act_kind *kind = act_find(act);
    form_view_init(&a->form, title, kind->fields, kind->field_count, dairy_units(a->dairy), a->now);
    a->form_act = kind;
    a->overlay = OVERLAY_FORM;
    return LOOP_DRAW;
}

void app_preset(struct app *a, const char *key, const char *text)
{
    form_view_set(&a->form, key, text);
}

unsigned app_show_page(struct app *a, const char *title)
{
    a->page_title = title;
    a->page.top = 0;
    a->overlay = OVERLAY_PAGE;
    return LOOP_DRAW;
}

static void add_figures(struct app *a, const struct figure *list, size_t count, bool origins)
{
    int row = -1;
    for (size_t i = 0; i < count; i++) {
        char label[40], text[120], both[200];
        if (list[i].row != row && list[i].row >= 0)
            page_add(&a->page, ROLE_FAINT, 2, "%d", list[i].row + 1);
        row = list[i].row;
        (void)figure_format(&list[i], dairy_units(a->dairy), text, sizeof text);
        (void)snprintf(both, sizeof both, origins ? "%s  (%s)" : "%s", text, origin_word(list[i].origin));
        page_add_pair(&a->page, 2, ROLE_CHALK, 26, figure_label(&list[i], label, sizeof label), both);
    }
}

unsigned app_show_working(struct app *a, const struct working *w)
{
    char text[400];
    page_clear(&a->page);
    add_figures(a, w->result, w->result_count, false);
    if (w->why[0] != '\0')
        page_add(&a->page, ROLE_WATCH, 2, "%s", w->why);
    page_add(&a->page, ROLE_TITLE, 0, "From");
    add_figures(a, w->given, w->given_count, true);
    if (w->step_count > 0)
        page_add(&a->page, ROLE_TITLE, 0, "How");
    for (size_t i = 0; i < w->step_count; i++)
        page_add(&a->page, ROLE_CHALK, 2, "%s", w->step[i]);
    if (w->source_count > 0)
        page_add(&a->page, ROLE_TITLE, 0, "Sources");
    for (size_t i = 0; i < w->source_count; i++)
        page_add(&a->page, ROLE_FAINT, 2, "%s", source_text(w->source[i], text, sizeof text));
    for (size_t i = 0; i < w->caution_count; i++)
        page_add(&a->page, ROLE_WATCH, 0, GLYPH_WARNING " %s", w->caution[i]);
    return app_show_page(a, "How this figure came about");
}

/* ---- alarms ---- */

static struct heard_alarm *alarm_slot(struct app *a, const char *key)
{
    for (int i = 0; i < a->alarms; i++)
        if (strcmp(a->alarm[i].key, key) == 0)
            return &a->alarm[i];
    if (a->alarms == APP_HEARD_MAX) { /* the oldest is forgotten; should it still stand, it rings once more */
        memmove(&a->alarm[0], &a->alarm[1], (APP_HEARD_MAX - 1) * sizeof a->alarm[0]);
        a->alarms--;
    }
    struct heard_alarm *slot = &a->alarm[a->alarms++];
    *slot = (struct heard_alarm){.at = {INT64_MIN / 2}};
    (void)snprintf(slot->key, sizeof slot->key, "%s", key);
    return slot;
}

/* Rings for what is new, and again for what nobody has heard. */
static bool ring_alarms(struct app *a)
{
    struct uptime up = clock_up(&a->clock);
    bool rings = false;
    a->ringing = -1;
    for (size_t i = 0; i < a->board->alarms; i++) {
        struct heard_alarm *h = alarm_slot(a, a->board->alarm[i].key);
        if (h->heard)
            continue;
        if (a->ringing < 0 || a->board->alarm[i].urgency > a->board->alarm[a->ringing].urgency)
            a->ringing = (int)i;
        if (up.ms - h->at.ms >= RING_AGAIN_MS) {
            h->at = up;
            rings = true;
        }
    }
    if (rings)
        term_alarm(a->term);
    return rings;
}

static unsigned hear_alarm(struct app *a)
{
    alarm_slot(a, a->board->alarm[a->ringing].key)->heard = true;
    /* What the alarm stood before (the computer slept, say) is to be read now. */
    if (a->message.text[0] == '\0' || a->message.role == ROLE_CALM)
        app_say(a, ROLE_CALM, "Heard: %s", a->board->alarm[a->ringing].text);
    (void)ring_alarms(a);
    return LOOP_DRAW;
}

/* ---- keys ---- */

static unsigned close_form(struct app *a, bool entered)
{
    a->overlay = OVERLAY_NONE;
    if (a->screen->closed != NULL)
        a->screen->closed(a, entered);
    return LOOP_DRAW;
}

static unsigned submit_form(struct app *a)
{
    struct fail f = {0};
    if (a->screen->submit != NULL && (a->form_act == NULL || a->screen->submits_all)) {
        if (a->screen->submit(a, &f) == 0)
            return close_form(a, true);
        form_view_refuse(&a->form, &f);
        return LOOP_DRAW;
    }
    if (begin_act(a, a->form_act, &a->form.form, &f) != LOOP_NOTHING) {
        a->pending.from_form = true;
        return close_form(a, true);
    }
    form_view_refuse(&a->form, &f);
    return LOOP_DRAW;
}

static unsigned press_form(struct app *a, int key)
{
    switch (form_view_press(&a->form, key)) {
    case FORM_VIEW_NOTHING: return LOOP_NOTHING;
    case FORM_VIEW_DRAW: return LOOP_DRAW;
    case FORM_VIEW_SUBMIT: return submit_form(a);
    case FORM_VIEW_LEAVE: break;
    }
    return close_form(a, false);
}

static unsigned press_page(struct app *a, int key)
{
    if (page_press(&a->page, key))
        return LOOP_DRAW;
    if (key != PRESS_ESC && key != PRESS_ENTER && key != 'q' && key != '?')
        return LOOP_NOTHING;
    a->overlay = OVERLAY_NONE;
    return LOOP_DRAW;
}

/* Bad news stays until somebody has said that it was read. */
static bool stop_word_read(struct app *a)
{
    if (a->message.text[0] == '\0' || a->message.role != ROLE_STOP)
        return false;
    message_clear(&a->message);
    return true;
}

static unsigned press_common(struct app *a, int key)
{
    for (int i = 0; app_screens[i] != NULL; i++)
        if (key == app_screens[i]->letter)
            return app_go(a, app_screens[i]);
    switch (key) {
    case 'q': return a->screen == &board_screen || a->back_count == 0 ? LOOP_LEAVE : app_back(a);
    case PRESS_ESC: return stop_word_read(a) ? LOOP_DRAW : app_back(a);
    case 'u': return begin_undo(a, 0);
    case 'n': return acts_list_open(a);
    case '?': return help_show(a);
    default: return LOOP_NOTHING;
    }
}

static unsigned on_press(void *context, int key)
{
    struct app *a = context;
    a->now = app_time(a);
    switch (a->overlay) {
    case OVERLAY_FORM: return press_form(a, key);
    case OVERLAY_PAGE: return press_page(a, key);
    case OVERLAY_ACTS: return acts_list_press(a, key);
    case OVERLAY_NONE: break;
    }
    if (key == ' ' && a->ringing >= 0)
        return hear_alarm(a);
    unsigned answer = a->screen->press(a, key);
    return answer != LOOP_NOTHING ? answer : press_common(a, key);
}

static unsigned on_paste(void *context, uint32_t code)
{
    struct app *a = context;
    if (a->overlay != OVERLAY_FORM)
        return LOOP_NOTHING;
    return form_view_paste(&a->form, code) == FORM_VIEW_NOTHING ? LOOP_NOTHING : LOOP_DRAW;
}

/* ---- time ---- */

/* A clock that cannot be right is said at once, not only when something is to be recorded. */
static void say_clock(struct app *a)
{
    struct fail f = {0};
    if (dairy_minds_clock(a->dairy) && dairy_check_clock(a->dairy, a->now, &f) != 0 && f.code == FAIL_REFUSED)
        app_say(a, ROLE_STOP, "%s", f.text);
}

/* A milking is open, or jars are cooling: their times were taken by the clock as it was. */
static bool under_way(const struct app *a)
{
    return a->board->milking_open || a->board->batches > 0;
}

/* Setting the clock must not make milk an hour older: what is under way keeps its clock until it is done. A
 * step of half a day was no correction of a clock that anything here went by. */
enum { CARRIED_MOST_S = 12 * 3600 };

static void clock_was_set(struct app *a, int64_t step_ms)
{
    char span[CIVIL_TEXT_MAX];
    /* To the nearest second: a step of an hour is measured a few milliseconds short as often as long. */
    int64_t step_s = (step_ms + (step_ms < 0 ? -500 : 500)) / 1000, long_s = step_s < 0 ? -step_s : step_s;
    bool carry = under_way(a) && long_s <= CARRIED_MOST_S;
    if (carry)
        a->carried_s += step_s;
    app_say(a, ROLE_WATCH, "The clock was set %s by %s.%s", step_ms > 0 ? "forward" : "back",
            span_text(long_s, span),
            carry ? " What is under way goes on by the time before; the new one counts after it." : "");
}

/* Back to the computer's own time when nothing is under way any more. */
static void end_carrying(struct app *a)
{
    char now[CIVIL_TEXT_MAX];
    if (a->carried_s == 0 || under_way(a))
        return;
    a->carried_s = 0;
    a->now = app_time(a);
    app_say(a, ROLE_WATCH, "The time is the computer's again: %s.", instant_text(a->now, now));
}

static void pending_refused(struct app *a, const struct fail *f)
{
    if (a->pending.from_form && a->overlay == OVERLAY_NONE) {
        a->overlay = OVERLAY_FORM;
        form_view_refuse(&a->form, f);
    } else {
        (void)app_fail(a, f);
    }
}

static unsigned on_pass(void *context)
{
    struct app *a = context;
    struct fail f = {0};
    struct uptime up = clock_up(&a->clock);
    a->now = app_time(a);
    if (is_pending(a) && up.ms >= a->pending.next.ms && try_pending(a, &f) == LOOP_NOTHING)
        pending_refused(a, &f);
    if (a->look_again && up.ms >= a->look_at.ms)
        (void)look_at_file(a);
    (void)message_pass(&a->message, up);
    (void)refresh_board(a);
    end_carrying(a);
    if (a->now.s / 60 != a->renewed_min) /* a hold may have run out */
        renew_screen(a);
    (void)ring_alarms(a);
    return LOOP_DRAW;
}

static unsigned on_jump(void *context, const struct loop_jump *jump)
{
    struct app *a = context;
    char span[CIVIL_TEXT_MAX];
    if (jump->wall_step_ms != 0)
        clock_was_set(a, jump->wall_step_ms);
    if (jump->asleep_ms > 0)
        app_say(a, ROLE_WATCH, "The computer slept for %s; all times are right again.",
                span_text((jump->asleep_ms + 500) / 1000, span));
    a->now = app_time(a);
    a->board->good_until = (struct instant){INT64_MIN + 1};
    (void)refresh_board(a);
    say_clock(a);
    return LOOP_DRAW;
}

static void on_wake(void *context, struct wake *wake)
{
    const struct app *a = context;
    wake->every = a->cadence;
    message_wake(&a->message, &wake->at);
    if (is_pending(a) && a->pending.next.ms < wake->at.ms)
        wake->at = a->pending.next;
    if (a->look_again && a->look_at.ms < wake->at.ms)
        wake->at = a->look_at;
    /* The first picture is out: now the rest. One attempt only: what fails is tried again at its own time. */
    wake->soon = a->board->edition != 0 && a->board->good_until.s <= a->board->now.s && a->board_fail.code == 0;
}

/* Something was written to the file: by us, or by another board. */
static unsigned on_file(void *context, int fd)
{
    struct app *a = context;
    char events[4096];
    bool any = false;
    while (read(fd, events, sizeof events) > 0)
        any = true;
    if (any) {
        a->look_again = true;
        a->look_at = (struct uptime){clock_up(&a->clock).ms + LOOK_AFTER_MS};
    }
    return LOOP_NOTHING;
}

void app_attach(struct app *a, struct loop *loop)
{
    struct fail f = {0};
    a->loop = loop;
    a->renewed_min = INT64_MIN; /* the probes are looked for in the turn after the first picture */
    a->watch_fd = inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
    if (a->watch_fd < 0)
        return;
    /* Without a watch the board still renews itself with every act of its own. */
    if (inotify_add_watch(a->watch_fd, dairy_path(a->dairy),
                          IN_MODIFY | IN_ATTRIB | IN_DELETE_SELF | IN_MOVE_SELF) < 0 ||
        loop_watch(loop, a->watch_fd, on_file, a, &f) != 0) {
        (void)close(a->watch_fd);
        a->watch_fd = -1;
    }
}

/* ---- drawing ---- */

static struct rect middle(struct rect r, int rows, int cols)
{
    if (rows > r.rows)
        rows = r.rows;
    if (cols > r.cols)
        cols = r.cols;
    return rect_part(r, (r.rows - rows) / 2, (r.cols - cols) / 2, rows, cols);
}

static void draw_over(struct app *a, struct rect screen)
{
    if (a->overlay == OVERLAY_FORM) {
        struct rect box = middle(screen, form_view_rows(&a->form) + 2, 76);
        draw_erase(box);
        draw_box(box, ROLE_ACCENT, NULL);
        draw_form_view(rect_inset(box, 1, 2), &a->form);
    } else if (a->overlay == OVERLAY_PAGE) {
        struct rect box = middle(screen, screen.rows - 2, 96);
        draw_erase(box);
        draw_box(box, ROLE_ACCENT, a->page_title);
        draw_page(rect_inset(box, 1, 2), &a->page);
    } else if (a->overlay == OVERLAY_ACTS) {
        acts_list_draw(a, middle(screen, screen.rows - 2, 76));
    }
}

static void on_draw(void *context, struct rect screen)
{
    struct app *a = context;
    a->cadence = CADENCE_MINUTE;
    a->screen->draw(a, screen);
    draw_over(a, screen);
}

/* ---- beginning and end ---- */

const struct loop_hooks app_hooks = {
    .press = on_press, .paste = on_paste, .pass = on_pass, .jump = on_jump, .draw = on_draw, .wake = on_wake};

int app_open(struct app *a, struct dairy *d, struct term *t, struct clock clock, struct fail *f)
{
    a->dairy = d;
    a->term = t;
    a->clock = clock;
    a->watch_fd = -1;
    a->ringing = -1;
    a->follow = true;
    a->now = clock_now(&clock);
    a->screen = &board_screen;
    a->board = calloc(1, sizeof *a->board);
    if (a->board == NULL)
        return fail_memory(f);
    a->new_dairy = !dairy_is_set_up(d);
    if (a->new_dairy)
        a->screen = &setup_screen;
    else if (dairy_board_first(d, a->now, a->board, f) != 0) {
        app_close(a);
        return -1;
    }
    if (a->screen->open != NULL)
        a->screen->open(a);
    (void)ring_alarms(a);
    return 0;
}

void app_close(struct app *a)
{
    probe_desk_close(a);
    if (a->watch_fd >= 0) {
        if (a->loop != NULL)
            loop_unwatch(a->loop, a->watch_fd);
        (void)close(a->watch_fd);
    }
    free(a->board);
    free(a->cow);
    free(a->journal);
    free(a->setup);
    free(a->relief);
    free(a->weights);
    free(a->herd);
    free(a->chill);
    free(a->shelf);
    free(a->trace);
    free(a->share);
    free(a->ahead);
    free(a->supply);
    free(a->feed);
    free(a->wash);
    free(a->tonight);
    a->board = NULL;
}

int app_run(struct dairy *d, const struct app_options *o, struct fail *f)
{
    struct term_options options = {.colour = o->colour};
    const char *why;
    struct loop loop = {.timer_fd = -1, .step_fd = -1};
    struct app *a = calloc(1, sizeof *a);
    int result = -1;
    if (a == NULL)
        return fail_memory(f);
    struct term *t = term_open(&options, f);
    if (t != NULL && app_open(a, d, t, o->clock, f) == 0) {
        a->throw_away = o->demo;
        say_clock(a);
        if (dairy_read_only(d, &why))
            app_say(a, ROLE_STOP, "%s", why);
        else if (o->demo)
            app_say(a, ROLE_WATCH,
                    "An invented dairy, in a throw-away file: try anything. ? shows the keys.");
        if (loop_init(&loop, t, o->clock, &app_hooks, a, f) == 0) {
            app_attach(a, &loop);
            (void)loop_run(&loop);
            result = 0;
        }
        app_close(a);
        loop_release(&loop);
    }
    term_close(t);
    free(a);
    return result;
}
