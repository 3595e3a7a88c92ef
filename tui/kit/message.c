#include "tui/kit/message.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "tui/kit/draw.h"

enum { CALM_MS = 5000, WATCH_MS = 15000 };

static struct uptime until(struct uptime now, enum role role)
{
    if (role == ROLE_STOP)
        return (struct uptime){INT64_MAX};
    return (struct uptime){now.ms + (role == ROLE_WATCH ? WATCH_MS : CALM_MS)};
}

void message_say(struct message *m, struct uptime now, enum role role, const char *format, ...)
{
    va_list args;
    if (m->text[0] != '\0' && m->role == ROLE_STOP && role == ROLE_CALM)
        return;
    m->role = role;
    m->until = until(now, role);
    va_start(args, format);
    (void)vsnprintf(m->text, sizeof m->text, format, args);
    va_end(args);
}

void message_fail(struct message *m, struct uptime now, const struct fail *f)
{
    bool lost = f->code == FAIL_STORE || f->code == FAIL_MEMORY;
    message_say(m, now, lost ? ROLE_STOP : ROLE_WATCH, "%s", f->text);
}

void message_clear(struct message *m)
{
    *m = (struct message){0};
}

bool message_pass(struct message *m, struct uptime now)
{
    if (m->text[0] == '\0' || now.ms < m->until.ms)
        return false;
    message_clear(m);
    return true;
}

void message_wake(const struct message *m, struct uptime *at)
{
    if (m->text[0] != '\0' && m->until.ms < at->ms)
        *at = m->until;
}

bool draw_message(struct rect r, int row, const struct message *m)
{
    if (m->text[0] == '\0')
        return false;
    (void)draw_text(r, row, 0, m->role, m->text);
    return true;
}
