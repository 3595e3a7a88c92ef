/* The message line: what just happened or went wrong, for as long as it takes to read. */
#ifndef TUI_KIT_MESSAGE_H
#define TUI_KIT_MESSAGE_H

#include <stdbool.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "tui/kit/rect.h"

struct message {
    char text[FAIL_TEXT_MAX]; /* "" when there is none */
    enum role role;           /* ROLE_CALM, ROLE_WATCH or ROLE_STOP */
    struct uptime until;      /* when it goes by itself */
};

/* Calm words stay 5 seconds, watch 15, stop until message_clear(). A calm word does not push out a stop. */
void message_say(struct message *m, struct uptime now, enum role role, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* A fail in its own words: refused and input are watch, a store that failed is stop. */
void message_fail(struct message *m, struct uptime now, const struct fail *f);

void message_clear(struct message *m);

/* Drops it when its time is over. True if it did, so that the screen is drawn anew. */
bool message_pass(struct message *m, struct uptime now);

/* When the screen must wake for it: *at becomes the earlier of the two. */
void message_wake(const struct message *m, struct uptime *at);

/* True if there was something to draw. */
bool draw_message(struct rect r, int row, const struct message *m);

#endif
