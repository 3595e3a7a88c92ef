/* The whole program on a pseudo-terminal: however it ends, the terminal is as it was. */
#include <errno.h>
#include <fcntl.h>
#include <locale.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/ioctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include "tests/kit/sample.h"
#include "tests/support.h"
#include "tui/kit/loop.h"

enum { SEEN_MAX = 1 << 18, PATIENCE_MS = 60000 };

static int master, slave;
static struct termios before;
static char seen[SEEN_MAX];
static size_t seen_length, seen_from;

/* Runs out of stack. The array is used after the call, so that no compiler makes a loop of it. */
static int overrun(int depth)
{
    volatile char room[4096];
    room[depth % 4096] = (char)depth;
    return depth < 0 ? 0 : overrun(depth + 1) + room[depth % 4096];
}

static unsigned on_press(void *context, int key)
{
    if (key == 'x')
        exit(3);
    if (key == 'o')
        exit(overrun(0) == 0 ? 4 : 5);
    return sample_hooks.press(context, key);
}

/* What main() does, as far as the terminal goes. */
static void run_board(void)
{
    struct fail f = {0};
    struct loop_hooks hooks = sample_hooks;
    struct sample sample;
    struct loop loop;
    static struct clock clock;
    (void)setlocale(LC_ALL, "C.UTF-8");
    struct term *t = term_open(&(struct term_options){.type = "xterm-256color"}, &f);
    if (t == NULL)
        _exit(10);
    clock = clock_machine();
    sample_init(&sample, &clock);
    hooks.press = on_press;
    if (loop_init(&loop, t, clock, &hooks, &sample, &f) != 0)
        _exit(11);
    enum loop_end end = loop_run(&loop);
    loop_release(&loop);
    term_close(t);
    exit(end == LOOP_LEFT ? 0 : end == LOOP_ENDED ? 1 : 2);
}

static void take_terminal(void)
{
    (void)setrlimit(RLIMIT_CORE, &(struct rlimit){0, 0});
    (void)setsid();
    (void)ioctl(slave, TIOCSCTTY, 0);
    (void)dup2(slave, STDIN_FILENO);
    (void)dup2(slave, STDOUT_FILENO);
    (void)close(master);
}

/* Opens a terminal and runs something on it. */
static pid_t start_on_terminal(void (*run)(void))
{
    struct winsize size = {24, 80, 0, 0};
    ck_assert_int_eq(openpty(&master, &slave, NULL, NULL, &size), 0);
    ck_assert_int_eq(tcgetattr(slave, &before), 0);
    seen_length = seen_from = 0;
    seen[0] = '\0';
    (void)fflush(NULL); /* or the child would write it a second time */
    pid_t pid = fork();
    ck_assert_int_ge(pid, 0);
    if (pid == 0) {
        take_terminal();
        run();
    }
    return pid;
}

static pid_t start(void)
{
    return start_on_terminal(run_board);
}

/* Takes what the program has written so far; false when there was nothing for that long. */
static bool take_output(int wait_ms)
{
    struct pollfd p = {master, POLLIN, 0};
    if (poll(&p, 1, wait_ms) <= 0 || (p.revents & POLLIN) == 0)
        return false;
    ssize_t n = read(master, seen + seen_length, SEEN_MAX - 1 - seen_length);
    if (n <= 0)
        return false;
    seen_length += (size_t)n;
    seen[seen_length] = '\0';
    return true;
}

/* Waits until the program has written these words since the last wait. */
static void wait_for(const char *words)
{
    const char *found;
    while ((found = strstr(seen + seen_from, words)) == NULL)
        if (!take_output(PATIENCE_MS))
            ck_abort_msg("no \"%s\" came", words);
    seen_from = (size_t)(found - seen) + strlen(words);
}

static void press(const char *keys)
{
    ck_assert_int_eq(write(master, keys, strlen(keys)), (ssize_t)strlen(keys));
}

/* The last place where it says so, -1 when nowhere. */
static long last_of(const char *words)
{
    long last = -1;
    for (const char *p = seen; (p = strstr(p, words)) != NULL; p++)
        last = p - seen;
    return last;
}

static bool same_modes(const struct termios *a, const struct termios *b)
{
    return a->c_iflag == b->c_iflag && a->c_oflag == b->c_oflag && a->c_cflag == b->c_cflag &&
           a->c_lflag == b->c_lflag && memcmp(a->c_cc, b->c_cc, sizeof a->c_cc) == 0;
}

/* Waits for the end, and looks at what it left: modes, alternate screen, cursor, paste marks. */
static int end_of(pid_t pid)
{
    struct termios after;
    int status = 0;
    ck_assert_int_eq(waitpid(pid, &status, 0), pid);
    while (take_output(0))
        ;
    ck_assert_int_eq(tcgetattr(slave, &after), 0);
    ck_assert(same_modes(&before, &after));
    ck_assert_int_ge(last_of("\033[?1049h"), 0);
    ck_assert_int_gt(last_of("\033[?1049l"), last_of("\033[?1049h"));
    ck_assert_int_gt(last_of("\033[?25h"), last_of("\033[?25l"));
    ck_assert_int_gt(last_of("\033[?2004l"), last_of("\033[?2004h"));
    (void)close(master);
    (void)close(slave);
    return status;
}

START_TEST(leaving_puts_the_terminal_back)
{
    pid_t pid = start();
    wait_for("ROWS");
    struct termios during;
    ck_assert_int_eq(tcgetattr(slave, &during), 0);
    ck_assert(!same_modes(&before, &during));
    ck_assert_uint_eq(during.c_iflag & IXON, 0); /* Ctrl-S does not hold the screen */
    press("q");
    int status = end_of(pid);
    ck_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0);
}
END_TEST

START_TEST(so_does_being_asked_to_end)
{
    static const int signals[] = {SIGTERM, SIGINT, SIGHUP};
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) {
        pid_t pid = start();
        wait_for("ROWS");
        ck_assert_int_eq(kill(pid, signals[i]), 0);
        int status = end_of(pid);
        ck_assert(WIFEXITED(status) && WEXITSTATUS(status) == (signals[i] == SIGHUP ? 2 : 1));
    }
    pid_t pid = start();
    wait_for("ROWS");
    press("\003"); /* Ctrl-C */
    int status = end_of(pid);
    ck_assert(WIFEXITED(status) && WEXITSTATUS(status) == 1);
}
END_TEST

START_TEST(so_does_exit_in_the_middle_of_something)
{
    pid_t pid = start();
    wait_for("ROWS");
    press("x");
    int status = end_of(pid);
    ck_assert(WIFEXITED(status) && WEXITSTATUS(status) == 3);
}
END_TEST

START_TEST(so_does_a_crash_and_it_still_is_one)
{
    static const int signals[] = {SIGSEGV, SIGABRT, SIGBUS, SIGFPE, SIGILL, SIGQUIT};
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) {
        pid_t pid = start();
        wait_for("ROWS");
        ck_assert_int_eq(kill(pid, signals[i]), 0);
        int status = end_of(pid);
        ck_assert(WIFSIGNALED(status) && WTERMSIG(status) == signals[i]);
    }
}
END_TEST

START_TEST(so_does_running_out_of_stack)
{
    pid_t pid = start();
    wait_for("ROWS");
    press("o");
    int status = end_of(pid);
    ck_assert_msg(WIFSIGNALED(status) && WTERMSIG(status) == SIGSEGV, "it ended with status %04X", status);
}
END_TEST

START_TEST(a_terminal_that_is_closed_ends_the_program)
{
    int status = 0;
    pid_t pid = start();
    wait_for("ROWS");
    (void)close(slave);
    (void)close(master);
    ck_assert_int_eq(waitpid(pid, &status, 0), pid);
    ck_assert_msg(WIFEXITED(status) && WEXITSTATUS(status) == 2, "it ended with status %04X", status);
}
END_TEST

START_TEST(a_new_size_is_drawn_at_once)
{
    struct winsize size = {40, 132, 0, 0};
    pid_t pid = start();
    wait_for("ROWS");
    for (int i = 0; i < 50; i++) {
        size.ws_row = (unsigned short)(i % 2 == 0 ? 1 + i : 30);
        size.ws_col = (unsigned short)(i % 3 == 0 ? 1 : 100 + i);
        ck_assert_int_eq(ioctl(master, TIOCSWINSZ, &size), 0);
        (void)take_output(1);
    }
    seen_from = seen_length;
    size = (struct winsize){40, 132, 0, 0};
    ck_assert_int_eq(ioctl(master, TIOCSWINSZ, &size), 0);
    wait_for("\033[40;"); /* it writes in the last row */
    press("q");
    ck_assert(WIFEXITED(end_of(pid)));
}
END_TEST

/* A shell in small: gives the terminal to a job, waits until it stops, looks at the modes, lets it go on. Its
 * exit status says how far that went. */
static void run_shell(void)
{
    struct termios modes;
    int status;
    (void)signal(SIGTTOU, SIG_IGN);
    pid_t job = fork();
    if (job == 0) {
        (void)setpgid(0, 0);
        (void)tcsetpgrp(STDIN_FILENO, getpid());
        (void)signal(SIGTTOU, SIG_DFL);
        run_board();
    }
    (void)setpgid(job, job);
    (void)tcsetpgrp(STDIN_FILENO, job);
    if (waitpid(job, &status, WUNTRACED) != job || !WIFSTOPPED(status) || WSTOPSIG(status) != SIGTSTP)
        _exit(20);
    if (tcgetattr(STDIN_FILENO, &modes) != 0 || !same_modes(&modes, &before))
        _exit(21);
    (void)tcsetpgrp(STDIN_FILENO, job);
    (void)kill(job, SIGCONT);
    if (waitpid(job, &status, 0) != job || !WIFEXITED(status))
        _exit(22);
    _exit(WEXITSTATUS(status));
}

START_TEST(it_can_be_stopped_and_goes_on)
{
    pid_t pid = start_on_terminal(run_shell);
    wait_for("ROWS");
    press("\032"); /* Ctrl-Z */
    wait_for("\033[?2004l");
    wait_for("\033[?1049l");
    wait_for("\033[?1049h");
    wait_for("ROWS"); /* all of it is painted again */
    press("q");
    int status = end_of(pid);
    ck_assert(WIFEXITED(status));
    ck_assert_int_eq(WEXITSTATUS(status), 0);
}
END_TEST

Suite *guard_suite(void)
{
    Suite *s = suite_create("guard");
    TCase *t = tcase_create("guard");
    tcase_add_test(t, leaving_puts_the_terminal_back);
    tcase_add_test(t, so_does_being_asked_to_end);
    tcase_add_test(t, so_does_exit_in_the_middle_of_something);
    tcase_add_test(t, so_does_a_crash_and_it_still_is_one);
    tcase_add_test(t, so_does_running_out_of_stack);
    tcase_add_test(t, a_terminal_that_is_closed_ends_the_program);
    tcase_add_test(t, a_new_size_is_drawn_at_once);
    tcase_add_test(t, it_can_be_stopped_and_goes_on);
    suite_add_tcase(s, t);
    return s;
}
