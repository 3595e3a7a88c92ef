/* What happens to terminals: they are closed, resized without end, pasted into, fed with rubbish, of no known
 * type, stopped, not read. After each the board still answers or has ended as it should, the terminal is as
 * it was, and the records hold what they held.
 *
 * SIGKILL alone leaves a terminal as it stands, of whatever program: nobody is left to put it right. */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/faults/board.h"
#include "tests/faults/morning.h"
#include "tests/faults/records.h"

enum { PATIENCE_MS = 20000, ROWS = 30, COLS = 100, ASAN_STATUS = 99 };

static char folder[PATH_ROOM], records[2 * PATH_ROOM];
static const char *what;
static const char *self;
static long cases;

static void begin(struct pty *p, const char *term)
{
    const char *const words[] = {program(), "--db", records, "--at", "2026-05-03T06:30", NULL};
    pty_open(p, words, NULL, term, ROWS, COLS);
}

static void begin_board(struct pty *p)
{
    begin(p, "xterm-256color");
    if (!pty_wait_for(p, "CHORES", PATIENCE_MS))
        violation("%s: the board does not open", what);
    (void)pty_pump(p, 60, 2000);
}

/* Ended, by itself, with this status and the terminal as it was. */
static void expect_end(struct pty *p, int status)
{
    if (!pty_wait_end(p, PATIENCE_MS))
        violation("%s: it does not end", what);
    else if (!WIFEXITED(p->status) || WEXITSTATUS(p->status) != status)
        violation("%s: status %04x", what, (unsigned)p->status);
    else if (p->master >= 0 && !pty_is_restored(p))
        violation("%s: the terminal is not as it was", what);
    if (p->controls != 0)
        violation("%s: %ld sequences that are none of ours", what, p->controls);
}

static void expect_alive(struct pty *p)
{
    if (p->pid == 0 || !board_answers(p))
        violation("%s: no answer to keys", what);
    board_leave(p, what);
}

static void signalled(int number, int status)
{
    struct pty p;
    begin_board(&p);
    (void)kill(p.pid, number);
    expect_end(&p, status);
    pty_close(&p);
}

static void asked_to_end(void)
{
    signalled(SIGTERM, 0);
}
static void interrupted(void)
{
    signalled(SIGINT, 0);
}
static void hung_up_on(void)
{
    signalled(SIGHUP, 0);
}

static void interrupted_by_key(void)
{
    struct pty p;
    begin_board(&p);
    (void)pty_type(&p, "\003");
    expect_end(&p, 0);
    pty_close(&p);
}

static void window_closed(void)
{
    struct pty p;
    begin_board(&p);
    pty_hang_up(&p);
    expect_end(&p, 0);
    pty_close(&p);
}

static void window_closed_at_once(void)
{
    struct pty p;
    begin(&p, "xterm-256color");
    pty_hang_up(&p);
    /* By the signal itself, or, if it was awake already, by leaving or by a word that nobody reads. */
    bool well = pty_wait_end(&p, PATIENCE_MS) &&
                (WIFEXITED(p.status) ? WEXITSTATUS(p.status) != ASAN_STATUS : WTERMSIG(p.status) == SIGHUP);
    if (!well)
        violation("%s: status %04x", what, (unsigned)p.status);
    pty_close(&p);
}

/* A slip of ours, or the computer's: it dies by that signal, and the terminal is put right nevertheless. */
static void crashed(int number)
{
    struct pty p;
    begin_board(&p);
    (void)kill(p.pid, number);
    if (!pty_wait_end(&p, PATIENCE_MS) || !WIFSIGNALED(p.status) || WTERMSIG(p.status) != number)
        violation("%s: status %04x", what, (unsigned)p.status);
    if (!pty_is_restored(&p))
        violation("%s: the terminal is not as it was", what);
    pty_close(&p);
}

static void segmentation(void)
{
    crashed(SIGSEGV);
}
static void assertion(void)
{
    crashed(SIGABRT);
}
static void quit_key(void)
{
    crashed(SIGQUIT);
}

/* The row in which a heading stands, or -1. */
static int row_of(struct pty *p, const char *heading)
{
    char line[4096];
    for (int row = 0; row < p->rows; row++)
        if (strstr(pty_row(p, row, line, sizeof line), heading) != NULL)
            return row;
    return -1;
}

static const char *const headings[] = {"STALLS", "CHILL", "CHORES", "Maud", "KEEP", "Enter"};
enum { HEADINGS = sizeof headings / sizeof headings[0] };

/* There and back: every pane is where it was (what is in them counts down meanwhile). */
static void resized(void)
{
    static const int sizes[][2] = {{1, 1},   {1, 80},    {24, 1},   {2, 2},   {5, 20},
                                   {3, 200}, {200, 500}, {1000, 9}, {24, 80}, {ROWS, COLS}};
    struct pty p;
    int before[HEADINGS];
    begin_board(&p);
    (void)pty_pump(&p, 500, 3000); /* the first picture is followed by one with more in it */
    for (int i = 0; i < HEADINGS; i++)
        before[i] = row_of(&p, headings[i]);
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        pty_resize(&p, sizes[i][0], sizes[i][1]);
        (void)pty_pump(&p, 80, 2000);
        if (p.rows * p.cols > 1 && pty_ink(&p) == 0)
            violation("%s: nothing at all at %dx%d", what, sizes[i][1], sizes[i][0]);
    }
    (void)pty_wait_for(&p, "CHORES", PATIENCE_MS);
    (void)pty_pump(&p, 500, 3000);
    for (int i = 0; i < HEADINGS; i++)
        if (before[i] < 0 || row_of(&p, headings[i]) != before[i])
            violation("%s: there and back, %s is in row %d, not %d", what, headings[i],
                      row_of(&p, headings[i]), before[i]);
    expect_alive(&p);
}

static void begun_at_one_cell(void)
{
    struct pty p;
    const char *const words[] = {program(), "--db", records, "--at", "2026-05-03T06:30", NULL};
    pty_open(&p, words, NULL, "xterm-256color", 1, 1);
    (void)pty_pump(&p, 300, 3000);
    pty_resize(&p, ROWS, COLS);
    if (!pty_wait_for(&p, "CHORES", PATIENCE_MS))
        violation("%s: it does not grow", what);
    expect_alive(&p);
}

static void resize_storm(void)
{
    struct pty p;
    begin_board(&p);
    for (int i = 0; i < 600; i++) {
        pty_resize(&p, 1 + i * 37 % 60, 1 + i * 53 % 200);
        (void)pty_pump(&p, 1, 2);
    }
    pty_resize(&p, ROWS, COLS);
    if (!pty_wait_for(&p, "CHORES", PATIENCE_MS))
        violation("%s: the board is gone", what);
    expect_alive(&p);
}

static void high_bytes(void)
{
    struct pty p;
    char bytes[4096];
    begin_board(&p);
    for (int round = 0; round < 16; round++) {
        for (size_t i = 0; i < sizeof bytes; i++)
            bytes[i] = (char)(128 + (i * 31 + (size_t)round * 7) % 128);
        if (!pty_send(&p, bytes, sizeof bytes))
            violation("%s: bytes are not taken", what);
    }
    (void)pty_pump(&p, 100, 5000);
    (void)pty_type(&p, "\033\033");
    (void)pty_pump(&p, 100, 5000);
    expect_alive(&p);
}

static void broken_sequences(void)
{
    static const struct {
        const char *bytes;
        size_t size;
    } broken[] = {
#define BYTES(s) {s, sizeof s - 1}
        BYTES("\xC0\x80"),
        BYTES("\xED\xA0\x80"),
        BYTES("\xF8\x88\x80\x80\x80"),
        BYTES("\xE2\xA0"),
        BYTES("\xF4\x90\x80\x80"),
        BYTES("\033[999999999999999A"),
        BYTES("\033["),
        BYTES("\033O"),
        BYTES("\033[M\xff\xff\xff"),
        BYTES("\033[201~"),
        BYTES("\033]0;x\007"),
        BYTES("\0"),
        BYTES("\033[?1;2c"),
        BYTES("\033P+r\033\\"),
    };
    struct pty p;
    begin_board(&p);
    for (int round = 0; round < 100; round++)
        for (size_t i = 0; i < sizeof broken / sizeof broken[0]; i++)
            (void)pty_send(&p, broken[i].bytes, broken[i].size);
    (void)pty_pump(&p, 200, 5000);
    (void)pty_type(&p, "\033\033\033");
    (void)pty_pump(&p, 200, 5000);
    if (p.pid == 0 || waitpid(p.pid, &p.status, WNOHANG) == p.pid)
        violation("%s: it has ended with %04x", what, (unsigned)p.status);
    pty_close(&p); /* among them may be a q: how it ended, it ended well */
}

/* A megabyte that is no key of the board. */
static void flood(void)
{
    struct pty p;
    char bytes[4096];
    memset(bytes, 'z', sizeof bytes);
    begin_board(&p);
    for (int i = 0; i < 256; i++)
        if (!pty_send(&p, bytes, sizeof bytes)) {
            violation("%s: it stopped taking them at %d KiB", what, i * 4);
            break;
        }
    (void)pty_pump(&p, 100, 20000);
    expect_alive(&p);
}

/* Marked as a paste it is text: no letter of it is a command, outside a field it goes nowhere. */
static void marked_paste(void)
{
    struct pty p;
    begin_board(&p);
    (void)pty_type(&p, "\033[200~");
    for (int i = 0; i < 200; i++)
        (void)pty_type(&p, "  uq\r q u\t ynq\n");
    (void)pty_type(&p, "\033[201~");
    (void)pty_pump(&p, 100, 5000);
    expect_alive(&p);
}

static void paste_without_end(void)
{
    struct pty p;
    begin_board(&p);
    (void)pty_type(&p, "\033[200~ uuu qqq ");
    (void)pty_pump(&p, 100, 5000);
    (void)usleep(1200000); /* longer than any terminal pauses within a paste */
    expect_alive(&p);
}

static void no_such_terminal(void)
{
    static const char *const types[] = {"", "dumb", "unknown-terminal", "../../etc/passwd", "xterm\033[2J"};
    for (size_t i = 0; i < sizeof types / sizeof types[0]; i++) {
        struct pty p;
        char row[4096];
        begin(&p, types[i]);
        expect_end(&p, 1);
        if (strlen(pty_row(&p, 0, row, sizeof row)) < 20)
            violation("%s (%s): no word of why", what, types[i]);
        pty_close(&p);
    }
}

static void other_terminals(void)
{
    static const char *const types[] = {"vt100", "vt220",  "linux",         "xterm",
                                        "ansi",  "screen", "tmux-256color", "xterm-mono"};
    for (size_t i = 0; i < sizeof types / sizeof types[0]; i++) {
        struct pty p;
        begin(&p, types[i]);
        if (!pty_wait_for(&p, "Maud", PATIENCE_MS))
            violation("%s (%s): the board does not open", what, types[i]);
        (void)pty_type(&p, "q");
        if (!pty_wait_end(&p, PATIENCE_MS) || !WIFEXITED(p.status) || WEXITSTATUS(p.status) != 0)
            violation("%s (%s): status %04x", what, types[i], (unsigned)p.status);
        if (!pty_modes_restored(&p))
            violation("%s (%s): the terminal is not as it was", what, types[i]);
        pty_close(&p);
    }
}

static void stopped_from_outside(void)
{
    struct pty p;
    begin_board(&p);
    (void)kill(p.pid, SIGSTOP);
    (void)usleep(300000);
    (void)kill(p.pid, SIGCONT);
    (void)pty_pump(&p, 100, 2000);
    if (!pty_shows(&p, "CHORES"))
        violation("%s: nothing is drawn again", what);
    expect_alive(&p);
}

/* As from a shell with job control, which this program plays itself (below): Ctrl-Z, and back. */
static void suspended(void)
{
    struct pty p;
    const char *const words[] = {self,    "--shell", program(),          "--db",
                                 records, "--at",    "2026-05-03T06:30", NULL};
    pty_open(&p, words, NULL, "xterm-256color", ROWS, COLS);
    if (!pty_wait_for(&p, "CHORES", PATIENCE_MS))
        violation("%s: the board does not open", what);
    for (int times = 0; times < 3; times++) {
        (void)pty_type(&p, "\032");
        if (!pty_wait_for(&p, "shell: it stopped", PATIENCE_MS))
            violation("%s: it does not stop", what);
        if (p.alternate || p.hidden || p.pastes || !pty_modes_restored(&p))
            violation("%s: the terminal is not as it was while it is stopped", what);
        (void)pty_type(&p, "\n");
        if (!pty_wait_for(&p, "CHORES", PATIENCE_MS) || !p.alternate)
            violation("%s: nothing is drawn again", what);
    }
    (void)pty_pump(&p, 60, 2000);
    expect_alive(&p);
}

/* A terminal that nobody reads holds the program up, and no more. */
static void not_read(void)
{
    struct pty p;
    begin_board(&p);
    for (int i = 0; i < 2000; i++)
        if (write(p.master, "\014", 1) < 0) /* Ctrl-L: the whole screen anew */
            break;
    (void)usleep(1500000);
    (void)pty_pump(&p, 300, 20000);
    expect_alive(&p);
}

static void held_by_ctrl_s(void)
{
    struct pty p;
    begin_board(&p);
    (void)pty_type(&p, "\023");
    (void)pty_pump(&p, 50, 500);
    expect_alive(&p);
}

/* Commands whose output cannot be written say so, or are ended as every filter is; they never hang. */
static void closed_output(void)
{
    static const struct {
        const char *line;
        int status; /* -1: SIGPIPE or a refusal, as the shell has it */
    } lines[] = {
        {"\"$0\" --db \"$1\" show board > /dev/full", 1},
        {"\"$0\" --db \"$1\" show board --json > /dev/full", 1},
        {"\"$0\" --db \"$1\" show journal >&-", 1},
        {"\"$0\" --help > /dev/full", 1},
        {"\"$0\" --db \"$1\" > /dev/null", 1},
        {"\"$0\" --db \"$1\" < /dev/null | cat", 0},
        {"\"$0\" --db \"$1\" <&- >&- 2>&-", 1},
        {"\"$0\" --db \"$1\" show journal 2>&- >&-", 1},
        {"\"$0\" --db \"$1\" show board --json | head -c 1 > /dev/null", 0},
    };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct run r;
        const char *const words[] = {"/bin/sh", "-c", lines[i].line, program(), records, NULL};
        run(&r, words, NULL, PATIENCE_MS);
        if (r.timed_out || r.signal != 0 || r.status != lines[i].status)
            violation("%s: %s: exit %d, signal %d: %s", what, lines[i].line, r.status, r.signal, r.err);
    }
}

static const struct {
    const char *what;
    void (*happens)(void);
} disasters[] = {
    {"SIGTERM", asked_to_end},
    {"SIGINT", interrupted},
    {"SIGHUP", hung_up_on},
    {"Ctrl-C", interrupted_by_key},
    {"window closed", window_closed},
    {"window closed at once", window_closed_at_once},
    {"SIGSEGV", segmentation},
    {"SIGABRT", assertion},
    {"SIGQUIT", quit_key},
    {"resized, 1x1 to 500x200", resized},
    {"begun at 1x1", begun_at_one_cell},
    {"resize storm", resize_storm},
    {"64 KiB of high bytes", high_bytes},
    {"broken sequences", broken_sequences},
    {"flood of 1 MiB", flood},
    {"marked paste", marked_paste},
    {"paste without end", paste_without_end},
    {"no such terminal", no_such_terminal},
    {"other terminals", other_terminals},
    {"SIGSTOP and SIGCONT", stopped_from_outside},
    {"Ctrl-Z and back", suspended},
    {"terminal that is not read", not_read},
    {"Ctrl-S", held_by_ctrl_s},
    {"closed output", closed_output},
};

/* ---- a shell's part: runs a job in the foreground, says when it stopped, and goes on with it at a line ----
 */

static void foreground(pid_t group)
{
    (void)signal(SIGTTOU, SIG_IGN);
    (void)tcsetpgrp(0, group);
}

static int shell(char *words[])
{
    int status = 0;
    pid_t pid = fork();
    if (pid == 0) {
        (void)setpgid(0, 0);
        foreground(getpid());
        (void)signal(SIGTTOU, SIG_DFL);
        (void)execv(words[0], words);
        _exit(126);
    }
    (void)setpgid(pid, pid);
    while (waitpid(pid, &status, WUNTRACED) == pid && WIFSTOPPED(status)) {
        char line[8];
        foreground(getpgrp());
        if (write(1, "\r\nshell: it stopped\r\n", 21) < 0 || read(0, line, sizeof line) < 0)
            return 125;
        foreground(pid);
        (void)kill(-pid, SIGCONT);
    }
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

int main(int argc, char *argv[])
{
    static const struct promises none = {.entries = SMALL_DAIRY_ENTRIES};
    char why[WHY_ROOM];
    if (argc > 2 && strcmp(argv[1], "--shell") == 0)
        return shell(argv + 2);
    self = argv[0];
    (void)program();
    folder_make(folder);
    morning_small_dairy(folder);
    snprintf(records, sizeof records, "%s/" RECORDS_NAME, folder);
    for (size_t i = 0; i < sizeof disasters / sizeof disasters[0]; i++) {
        what = disasters[i].what;
        if (argc > 1 && strstr(what, argv[1]) == NULL)
            continue;
        long before = violations;
        disasters[i].happens();
        if (!records_hold(records, &none, 0, why))
            violation("%s: the records: %s", what, why);
        if (argc > 1 || violations != before)
            printf("  %-28s %s\n", what, violations == before ? "ok" : "NOT ok");
        cases++;
    }
    folder_remove(folder);
    return finish("disasters of terminals", cases, "cases");
}
