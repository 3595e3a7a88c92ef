/* Where the screens get the time: three clocks in one, handed in from the top, so that a test can hold it
 * still and a demonstration can let it run faster. Wall time is for what people read, elapsed time for
 * count-downs: it goes on through a suspend and is not moved by setting the wall clock. */
#ifndef TUI_KIT_CLOCK_H
#define TUI_KIT_CLOCK_H

#include <stdint.h>

#include "core/base/civil.h"

struct clock {
    int64_t (*wall_ms)(void *context);     /* UTC milliseconds since 1970 */
    struct uptime (*up)(void *context);    /* since boot, time asleep included */
    struct uptime (*awake)(void *context); /* since boot, time asleep left out */
    void *context;
    double pace; /* seconds of this clock in one second of the machine; 1 but for a demonstration */
};

/* The machine's own clocks. */
struct clock clock_machine(void);

/* A clock that begins at `start` and runs `pace` times as fast as the machine. Memory from the caller; it
 * must live as long as the clock. */
struct clock_paced {
    struct instant start;
    struct uptime began;
    double pace;
};
struct clock clock_paced(struct clock_paced *p, struct instant start, double pace);

/* A clock that moves only when it is told to. All in milliseconds; set them as the test needs. */
struct clock_held {
    int64_t wall_ms, up_ms, awake_ms;
};
struct clock clock_held(struct clock_held *h, struct instant start);
void clock_held_advance(struct clock_held *h, int64_t ms);

struct instant clock_now(const struct clock *c);
struct uptime clock_up(const struct clock *c);

/* The moment of this clock's elapsed time as an absolute time of the machine's boot clock, in ms: what a
 * timer is set to. */
int64_t clock_machine_ms(const struct clock *c, struct uptime at);

#endif
