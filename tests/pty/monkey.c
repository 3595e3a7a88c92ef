/* Keys, bytes and sizes by chance, as a child or a cat gives them. The program may do whatever the keys say
 * and leave by them; it may not die, hang, write what is no drawing, or leave records or terminal in
 * disorder. monkey [EVENTS [SEED]] */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

#include "tests/faults/board.h"
#include "tests/faults/morning.h"
#include "tests/faults/records.h"
#include "tests/stream.h"

enum { EVENTS_SHORT = 20000, EVENTS_LONG = 1000000, PATIENCE_MS = 20000, A_LOOK_EVERY = 8 };

static const char *const keys[] = {"\033OA", "\033OB", "\033OC", "\033OD",  "\033[5~",   "\033[6~",
                                   "\033OH", "\033OF", "\033[Z", "\033[3~", "\r",        "\t",
                                   "\033",   "\177",   " ",      "\014",    "\033[200~", "\033[201~"};

static char folder[PATH_ROOM], records[2 * PATH_ROOM];
static struct stream chance;
static long sessions;

static void begin(struct pty *p)
{
    const char *const words[] = {program(), "--db", records, "--at", "2026-05-03T06:30", NULL};
    pty_open(p, words, NULL, "xterm-256color", 24, 80);
    if (!pty_wait_for(p, "Maud", PATIENCE_MS) && !pty_wait_for(p, "STALL", 1000))
        violation("session %ld: the board does not open", sessions);
    sessions++;
}

static void one_event(struct pty *p)
{
    int kind = stream_below(&chance, 100);
    char byte = (char)(kind < 90 ? 32 + stream_below(&chance, 95) : stream_below(&chance, 256));
    if (byte == '\034')
        byte = 'z'; /* Ctrl-\ asks for its death, and gets it: see the disasters */
    if (kind < 55)
        (void)pty_type(p, keys[stream_below(&chance, sizeof keys / sizeof keys[0])]);
    else if (kind < 96)
        (void)pty_send(p, &byte, byte == 'q' && stream_below(&chance, 20) != 0 ? 0 : 1); /* leaving is rare */
    else
        pty_resize(p, 1 + stream_below(&chance, 60), 1 + stream_below(&chance, 200));
}

/* It left by a key, or is asked to: either way as it should. */
static void look_at_end(struct pty *p, long event)
{
    static const struct promises none = {.entries = SMALL_DAIRY_ENTRIES};
    char why[WHY_ROOM];
    if (!WIFEXITED(p->status) || WEXITSTATUS(p->status) != 0)
        violation("event %ld: ended with %04x", event, (unsigned)p->status);
    else if (!pty_is_restored(p))
        violation("event %ld: the terminal is not as it was", event);
    if (p->controls != 0)
        violation("event %ld: %ld sequences that are none of ours", event, p->controls);
    if (!records_hold(records, &none, 1000000, why))
        violation("event %ld: the records: %s", event, why);
}

static bool has_ended(struct pty *p)
{
    if (p->pid > 0 && waitpid(p->pid, &p->status, WNOHANG) == p->pid)
        p->pid = 0;
    return p->pid == 0;
}

int main(int argc, char *argv[])
{
    long events = argc > 1 ? atol(argv[1]) : long_run() ? EVENTS_LONG : EVENTS_SHORT, event;
    struct pty p;
    chance.state = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    (void)program();
    folder_make(folder);
    morning_small_dairy(folder);
    snprintf(records, sizeof records, "%s/" RECORDS_NAME, folder);
    begin(&p);
    for (event = 0; event < events && violations == 0; event++) {
        one_event(&p);
        if (event % A_LOOK_EVERY == 0)
            (void)pty_pump(&p, 1, 20);
        if (!has_ended(&p))
            continue;
        (void)pty_wait_end(&p, 100);
        look_at_end(&p, event);
        pty_close(&p);
        begin(&p);
    }
    (void)pty_pump(&p, 200, PATIENCE_MS);
    if (p.pid > 0)
        (void)kill(p.pid, SIGTERM);
    if (!pty_wait_end(&p, PATIENCE_MS))
        violation("it does not end when asked to");
    else
        look_at_end(&p, event);
    pty_close(&p);
    folder_remove(folder);
    printf("  %ld sessions, seed %s\n", sessions, argc > 2 ? argv[2] : "1");
    return finish("monkey at a terminal", event, "events");
}
