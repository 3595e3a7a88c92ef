#include "tui/kit/clock.h"

#include <math.h>
#include <time.h>

static int64_t machine_ms(clockid_t id)
{
    struct timespec t;
    if (clock_gettime(id, &t) != 0)
        return 0;
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

static int64_t machine_wall(void *context)
{
    (void)context;
    return machine_ms(CLOCK_REALTIME);
}

static struct uptime machine_up(void *context)
{
    (void)context;
    return (struct uptime){machine_ms(CLOCK_BOOTTIME)};
}

static struct uptime machine_awake(void *context)
{
    (void)context;
    return (struct uptime){machine_ms(CLOCK_MONOTONIC)};
}

struct clock clock_machine(void)
{
    return (struct clock){machine_wall, machine_up, machine_awake, NULL, 1};
}

/* A paced clock has no suspend of its own: whatever passes, passes faster. */
static struct uptime paced_up(void *context)
{
    const struct clock_paced *p = context;
    double since_ms = (double)(machine_ms(CLOCK_BOOTTIME) - p->began.ms);
    return (struct uptime){p->began.ms + (int64_t)floor(since_ms * p->pace)};
}

static int64_t paced_wall(void *context)
{
    const struct clock_paced *p = context;
    return p->start.s * 1000 + paced_up(context).ms - p->began.ms;
}

struct clock clock_paced(struct clock_paced *p, struct instant start, double pace)
{
    *p = (struct clock_paced){start, {machine_ms(CLOCK_BOOTTIME)}, pace};
    return (struct clock){paced_wall, paced_up, paced_up, p, pace};
}

static int64_t held_wall(void *context)
{
    return ((const struct clock_held *)context)->wall_ms;
}

static struct uptime held_up(void *context)
{
    return (struct uptime){((const struct clock_held *)context)->up_ms};
}

static struct uptime held_awake(void *context)
{
    return (struct uptime){((const struct clock_held *)context)->awake_ms};
}

struct clock clock_held(struct clock_held *h, struct instant start)
{
    *h = (struct clock_held){start.s * 1000, 0, 0};
    return (struct clock){held_wall, held_up, held_awake, h, 1};
}

void clock_held_advance(struct clock_held *h, int64_t ms)
{
    h->wall_ms += ms;
    h->up_ms += ms;
    h->awake_ms += ms;
}

static int64_t seconds_floor(int64_t ms)
{
    return ms >= 0 ? ms / 1000 : -((-ms + 999) / 1000);
}

struct instant clock_now(const struct clock *c)
{
    return (struct instant){seconds_floor(c->wall_ms(c->context))};
}

struct uptime clock_up(const struct clock *c)
{
    return c->up(c->context);
}

int64_t clock_machine_ms(const struct clock *c, struct uptime at)
{
    if (c->pace == 1)
        return at.ms; /* exact: both count from boot */
    double wait_ms = (double)(at.ms - clock_up(c).ms) / c->pace;
    return machine_ms(CLOCK_BOOTTIME) + (int64_t)ceil(wait_ms);
}
