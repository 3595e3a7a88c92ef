/* The only mutable globals of the program live here: what signal handlers set and read. */
#include "tui/kit/guard.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "tui/kit/term.h"

static const struct {
    int number;
    unsigned flag;
} noted[] = {
    {SIGINT,   TERM_SIGNAL_END     },
    {SIGTERM,  TERM_SIGNAL_END     },
    {SIGHUP,   TERM_SIGNAL_GONE    },
    {SIGWINCH, TERM_SIGNAL_RESIZE  },
    {SIGTSTP,  TERM_SIGNAL_SUSPEND },
    {SIGCONT,  TERM_SIGNAL_CONTINUE},
};
static const int deadly[] = {SIGSEGV, SIGBUS, SIGILL, SIGFPE, SIGABRT, SIGQUIT, SIGSYS};

enum { NOTED_COUNT = sizeof noted / sizeof noted[0], DEADLY_COUNT = sizeof deadly / sizeof deadly[0] };

static volatile sig_atomic_t pending;
static struct guard_reset on_crash;
static void (*on_exit_close)(void);

/* A stack that has run over can hold no handler. */
static _Alignas(16) char crash_stack[32 * 1024];
static stack_t stack_before;

static sigset_t mask_before;
static struct sigaction noted_before[NOTED_COUNT], deadly_before[DEADLY_COUNT];
static bool is_on;

static void note(int number)
{
    for (size_t i = 0; i < NOTED_COUNT; i++)
        if (noted[i].number == number)
            pending |= (sig_atomic_t)noted[i].flag;
}

/* Only calls that are safe in a handler. SA_RESETHAND has put the default back, so raising the signal again
 * ends the process as it would have ended. */
static void crash(int number)
{
    if (on_crash.length > 0 && write(on_crash.fd, on_crash.text, on_crash.length) < 0) {
        /* Nobody is left to tell. */
    }
    if (on_crash.has_modes)
        (void)tcsetattr(on_crash.fd, TCSANOW, &on_crash.modes);
    (void)raise(number);
}

static void noted_set(sigset_t *set)
{
    sigemptyset(set);
    for (size_t i = 0; i < NOTED_COUNT; i++)
        sigaddset(set, noted[i].number);
}

void guard_on(const struct guard_reset *reset, sigset_t *wait_mask)
{
    sigset_t blocked;
    struct sigaction notes = {.sa_handler = note},
                     crashes = {.sa_handler = crash, .sa_flags = (int)SA_RESETHAND | SA_ONSTACK};
    on_crash = *reset;
    pending = 0;
    (void)sigaltstack(&(stack_t){.ss_sp = crash_stack, .ss_size = sizeof crash_stack}, &stack_before);
    noted_set(&blocked);
    sigemptyset(&notes.sa_mask);
    sigemptyset(&crashes.sa_mask);
    (void)sigprocmask(SIG_BLOCK, &blocked, &mask_before);
    for (size_t i = 0; i < NOTED_COUNT; i++)
        (void)sigaction(noted[i].number, &notes, &noted_before[i]);
    for (size_t i = 0; i < DEADLY_COUNT; i++)
        (void)sigaction(deadly[i], &crashes, &deadly_before[i]);
    is_on = true;
    *wait_mask = mask_before;
    for (size_t i = 0; i < NOTED_COUNT; i++)
        sigdelset(wait_mask, noted[i].number);
}

/* Signals that are still waiting would strike as soon as they are let in: a terminal that goes away sends HUP
 * twice, and the second one would kill what the first one asked to end. */
static void drop_waiting(void)
{
    sigset_t set;
    noted_set(&set);
    while (sigtimedwait(&set, NULL, &(struct timespec){0, 0}) > 0) {
    }
}

void guard_off(void)
{
    if (!is_on)
        return;
    is_on = false;
    drop_waiting();
    on_crash.length = 0;
    on_crash.has_modes = 0;
    for (size_t i = 0; i < DEADLY_COUNT; i++)
        (void)sigaction(deadly[i], &deadly_before[i], NULL);
    for (size_t i = 0; i < NOTED_COUNT; i++)
        (void)sigaction(noted[i].number, &noted_before[i], NULL);
    (void)sigaltstack(&stack_before, NULL);
    (void)sigprocmask(SIG_SETMASK, &mask_before, NULL);
}

static void close_at_exit(void)
{
    if (on_exit_close != NULL)
        on_exit_close();
}

void guard_at_exit(void (*close)(void))
{
    static bool registered;
    on_exit_close = close;
    if (!registered && close != NULL)
        registered = atexit(close_at_exit) == 0;
}

unsigned guard_take(void)
{
    /* Signals are blocked here, so nothing comes in between. */
    unsigned taken = (unsigned)pending;
    pending = 0;
    return taken;
}

void guard_stop(void)
{
    struct sigaction stop = {.sa_handler = SIG_DFL}, before;
    sigset_t only, mask;
    sigemptyset(&stop.sa_mask);
    sigemptyset(&only);
    sigaddset(&only, SIGTSTP);
    (void)sigaction(SIGTSTP, &stop, &before);
    (void)raise(SIGTSTP);
    (void)sigprocmask(SIG_UNBLOCK, &only, &mask); /* it stops here, if its parent lets it */
    (void)sigprocmask(SIG_SETMASK, &mask, NULL);
    (void)sigaction(SIGTSTP, &before, NULL);
    sigemptyset(&only);
    sigaddset(&only, SIGCONT); /* whoever stops here knows that it went on */
    (void)sigtimedwait(&only, NULL, &(struct timespec){0, 0});
}
