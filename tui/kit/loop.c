/* One timer is set to the next moment that the screen asked for, on the boot clock, which goes on through a
 * suspend and cannot be set. A second one, on the wall clock and far away, exists only to be cancelled by
 * the kernel when somebody sets that clock: so a changed time of day shows at once, without asking for it. */
#include "tui/kit/loop.h"

#include <assert.h>
#include <errno.h>
#include <poll.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/timerfd.h>
#include <unistd.h>

enum {
    KEYS_A_TURN = 2048,    /* a long paste is drawn as it goes on */
    PASTE_PAUSE_MS = 1000, /* no terminal takes that long within a paste */
    JUMP_LEAST_MS = 1000,  /* less is slewing and rounding */
    LEAD_JITTER_MS = 5,    /* the two clocks are not read at the same moment */
    WAKE_LATE_MS = 10,     /* more than that after a full second, so that it has surely begun */
    PACED_WAKE_LEAST_MS = 200,
    NOT_AT_ALL = -1,
};

static int64_t wall_lead(const struct loop *l)
{
    return l->clock.wall_ms(l->clock.context) - clock_up(&l->clock).ms;
}

static int64_t sleep_lead(const struct loop *l)
{
    return clock_up(&l->clock).ms - l->clock.awake(l->clock.context).ms;
}

static int step_arm(struct loop *l)
{
    /* As far away as the kernel takes it. */
    struct itimerspec never = {.it_value = {.tv_sec = INT64_MAX / 1000000000}};
    return timerfd_settime(l->step_fd, TFD_TIMER_ABSTIME | TFD_TIMER_CANCEL_ON_SET, &never, NULL);
}

int loop_init(struct loop *l, struct term *t, struct clock clock, const struct loop_hooks *hooks,
              void *context, struct fail *f)
{
    memset(l, 0, sizeof *l);
    l->term = t;
    l->clock = clock;
    l->hooks = *hooks;
    l->context = context;
    l->answer = LOOP_DRAW;
    l->keys_waiting = true;
    l->next = UPTIME_NEVER;
    l->wall_lead_ms = wall_lead(l);
    l->sleep_lead_ms = sleep_lead(l);
    l->timer_fd = timerfd_create(CLOCK_BOOTTIME, TFD_NONBLOCK | TFD_CLOEXEC);
    l->step_fd = timerfd_create(CLOCK_REALTIME, TFD_NONBLOCK | TFD_CLOEXEC);
    if (l->timer_fd >= 0 && l->step_fd >= 0 && step_arm(l) == 0)
        return 0;
    int error = errno;
    loop_release(l);
    return fail_set(f, FAIL_REFUSED, "No timer to be had: %s.", strerror(error));
}

void loop_release(struct loop *l)
{
    if (l->timer_fd >= 0)
        (void)close(l->timer_fd);
    if (l->step_fd >= 0)
        (void)close(l->step_fd);
    l->timer_fd = l->step_fd = -1;
}

int loop_watch(struct loop *l, int fd, unsigned (*ready)(void *context, int fd), void *context,
               struct fail *f)
{
    if (l->watch_count == LOOP_WATCHES_MAX)
        return fail_refused(f, "At most %d files can be watched at a time.", LOOP_WATCHES_MAX);
    l->watch[l->watch_count++] = (struct loop_watch){fd, false, ready, context};
    return 0;
}

void loop_unwatch(struct loop *l, int fd)
{
    int kept = 0;
    for (int i = 0; i < l->watch_count; i++)
        if (l->watch[i].fd != fd)
            l->watch[kept++] = l->watch[i];
    l->watch_count = kept;
}

static void take_signals(struct loop *l)
{
    unsigned flags = term_take_signals(l->term);
    if ((flags & TERM_SIGNAL_GONE) != 0)
        l->end = LOOP_GONE;
    else if ((flags & TERM_SIGNAL_END) != 0)
        l->end = LOOP_ENDED;
    if (l->end != LOOP_RUNNING)
        return;
    if ((flags & TERM_SIGNAL_SUSPEND) != 0)
        term_suspend(l->term);
    else if ((flags & TERM_SIGNAL_CONTINUE) != 0)
        term_resume(l->term);
    else if ((flags & TERM_SIGNAL_RESIZE) == 0 || !term_fit(l->term))
        return;
    l->answer |= LOOP_DRAW;
}

static bool larger(int64_t ms, int64_t than)
{
    return ms > than || ms < -than;
}

static void take_jump(struct loop *l)
{
    struct loop_jump jump = {wall_lead(l) - l->wall_lead_ms, sleep_lead(l) - l->sleep_lead_ms};
    bool stepped = larger(jump.wall_step_ms, JUMP_LEAST_MS), slept = larger(jump.asleep_ms, JUMP_LEAST_MS);
    if (larger(jump.wall_step_ms, LEAD_JITTER_MS))
        l->wall_lead_ms += jump.wall_step_ms;
    if (slept)
        l->sleep_lead_ms += jump.asleep_ms;
    if (!stepped && !slept)
        return;
    l->answer |= LOOP_DRAW;
    if (l->hooks.jump != NULL)
        l->answer |= l->hooks.jump(
            l->context, &(struct loop_jump){stepped ? jump.wall_step_ms : 0, slept ? jump.asleep_ms : 0});
}

static void take_watches(struct loop *l)
{
    for (int i = 0; i < l->watch_count; i++) {
        if (!l->watch[i].ready)
            continue;
        l->watch[i].ready = false;
        l->answer |= l->watch[i].ready_fn(l->watch[i].context, l->watch[i].fd);
    }
}

/* A paste whose end mark never came must not swallow keys for ever. */
static void take_pasted(struct loop *l, struct press press)
{
    struct uptime now = clock_up(&l->clock);
    if (press.key != PRESS_NONE && now.ms - l->last_pasted.ms > PASTE_PAUSE_MS) {
        term_end_paste(l->term);
        if (l->hooks.press != NULL)
            l->answer |= l->hooks.press(l->context, press.key);
        return;
    }
    l->last_pasted = now;
    if (press.key != PRESS_NONE && l->hooks.paste != NULL)
        l->answer |= l->hooks.paste(l->context, (uint32_t)press.key);
}

static void take_keys(struct loop *l)
{
    struct press press;
    for (int n = 0; n < KEYS_A_TURN && l->keys_waiting && l->end == LOOP_RUNNING; n++) {
        l->keys_waiting = term_press(l->term, &press);
        if (!l->keys_waiting)
            break;
        if (press.pasted)
            take_pasted(l, press);
        else if (press.key == PRESS_REPAINT)
            l->answer |= LOOP_DRAW | LOOP_REPAINT;
        else if (l->hooks.press != NULL)
            l->answer |= l->hooks.press(l->context, press.key);
        if ((l->answer & LOOP_LEAVE) != 0)
            l->end = LOOP_LEFT;
    }
}

static void take_time(struct loop *l)
{
    if (clock_up(&l->clock).ms >= l->next.ms && l->hooks.pass != NULL)
        l->answer |= l->hooks.pass(l->context);
}

static void draw(struct loop *l)
{
    if ((l->answer & (LOOP_DRAW | LOOP_REPAINT)) == 0)
        return;
    if ((l->answer & LOOP_REPAINT) != 0)
        term_repaint(l->term);
    l->answer = LOOP_NOTHING;
    canvas_erase(term_canvas(l->term));
    l->hooks.draw(l->context, term_rect(l->term));
    term_show(l->term);
}

static int64_t round_up(int64_t ms, int64_t unit)
{
    int64_t over = ((ms % unit) + unit) % unit;
    return over == 0 ? ms : ms + unit - over;
}

/* The next moment to wake at: a full second or minute of the wall clock, so that what is shown changes when a
 * watch does, and all reasons to wake within a second share one waking. */
static struct uptime next_wake(const struct loop *l)
{
    struct wake wake = {CADENCE_NEVER, UPTIME_NEVER, false};
    struct uptime now = clock_up(&l->clock);
    int64_t lead = l->wall_lead_ms - WAKE_LATE_MS, at = UPTIME_NEVER.ms;
    if (l->hooks.wake != NULL)
        l->hooks.wake(l->context, &wake);
    if (wake.soon)
        return now;
    if (wake.every != CADENCE_NEVER)
        at = round_up(now.ms + lead + 1, wake.every == CADENCE_SECOND ? 1000 : 60000) - lead;
    if (wake.at.ms < at) {
        int64_t wanted = wake.at.ms > now.ms ? wake.at.ms : now.ms + 1;
        wanted = round_up(wanted + lead, 1000) - lead;
        at = wanted < at ? wanted : at;
    }
    return (struct uptime){at};
}

enum loop_end loop_turn(struct loop *l)
{
    take_signals(l);
    if (l->end != LOOP_RUNNING)
        return l->end;
    take_jump(l);
    take_watches(l);
    take_keys(l);
    take_time(l);
    if ((l->answer & LOOP_LEAVE) != 0)
        l->end = LOOP_LEFT;
    if (l->end == LOOP_RUNNING)
        draw(l);
    l->next = next_wake(l);
    return l->end;
}

static void timer_arm(struct loop *l)
{
    struct itimerspec at = {0};
    if (l->next.ms != UPTIME_NEVER.ms) {
        int64_t ms = clock_machine_ms(&l->clock, l->next);
        int64_t soonest = clock_machine_ms(&l->clock, clock_up(&l->clock)) + PACED_WAKE_LEAST_MS;
        if (l->clock.pace > 1 && ms < soonest)
            ms = soonest;
        at.it_value = (struct timespec){ms / 1000, ms % 1000 * 1000000 + 1}; /* all zero would mean never */
    }
    (void)timerfd_settime(l->timer_fd, TFD_TIMER_ABSTIME, &at, NULL);
}

/* A terminal that is gone can be read without end and gives nothing. */
static bool at_end_of_input(int fd, short revents)
{
    int waiting = NOT_AT_ALL;
    if ((revents & (POLLHUP | POLLERR | POLLNVAL)) != 0)
        return true;
    return (revents & POLLIN) != 0 && ioctl(fd, FIONREAD, &waiting) == 0 && waiting == 0;
}

void loop_wait(struct loop *l)
{
    struct pollfd fds[3 + LOOP_WATCHES_MAX] = {
        {term_input_fd(l->term), POLLIN, 0},
        {l->timer_fd,            POLLIN, 0},
        {l->step_fd,             POLLIN, 0}
    };
    for (int i = 0; i < l->watch_count; i++)
        fds[3 + i] = (struct pollfd){l->watch[i].fd, POLLIN, 0};
    if (l->keys_waiting || (l->answer & LOOP_DRAW) != 0)
        return;
    timer_arm(l);
    if (ppoll(fds, 3 + (nfds_t)l->watch_count, NULL, term_wait_mask(l->term)) <= 0)
        return;
    if (at_end_of_input(fds[0].fd, fds[0].revents))
        l->end = LOOP_GONE;
    l->keys_waiting = (fds[0].revents & POLLIN) != 0;
    if (fds[2].revents != 0)
        (void)step_arm(l);
    for (int i = 0; i < l->watch_count; i++)
        l->watch[i].ready = fds[3 + i].revents != 0;
}

enum loop_end loop_run(struct loop *l)
{
    while (loop_turn(l) == LOOP_RUNNING)
        loop_wait(l);
    return l->end;
}
