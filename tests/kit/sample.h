/* A screen that uses everything the kit has, so that the tests of terminals, sizes and loops have something
 * to show: a list and a chart side by side, big figures, a bar, an entry, a message and a key bar. */
#ifndef TESTS_KIT_SAMPLE_H
#define TESTS_KIT_SAMPLE_H

#include "tui/kit/entry.h"
#include "tui/kit/list.h"
#include "tui/kit/loop.h"
#include "tui/kit/message.h"

struct sample {
    const struct clock *clock;
    enum cadence cadence;
    bool typing; /* the entry has the keys */
    struct list list;
    struct entry entry;
    struct message message;
    int passes, presses, draws, pastes; /* how often each was called */
    struct loop_jump jump;
};

extern const struct loop_hooks sample_hooks;

void sample_init(struct sample *s, const struct clock *clock);

#endif
