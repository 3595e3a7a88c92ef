/* Measures a program on a terminal from outside: how soon its first picture is there, what it does when
 * nothing happens, how long a key takes to the last byte of its answer. Prints one line of name=value. meter
 * [-u TEXT] [-i SECONDS] [-k KEY,KEY -n TIMES] [-g GAP_MS] [-b KEYS] [-L FILE] [-s] -- PROGRAM WORD... -i
 * watches it idle for so long        -k  presses these in turn, so many times, GAP apart -b  presses these
 * first (\e is escape, \r Enter, \t Tab)  -L  holds FILE locked meanwhile, as another program would -s  counts its system calls
 * while idle (with strace)  -u  the first picture is there when TEXT has come, the last words on it; without
 * it, when 40 ms are quiet */
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <sched.h>
#include <pty.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { SAMPLES_MOST = 20000, FIRST_QUIET_MS = 40, FIRST_BYTES = 200, KEY_QUIET_MS = 6, KEYS_MOST = 16 };

static int master;
static pid_t pid;

static int64_t now_us(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000000 + t.tv_nsec / 1000;
}

static int64_t cpu_us(void)
{
    clockid_t id;
    struct timespec t = {0};
    if (clock_getcpuclockid(pid, &id) == 0)
        (void)clock_gettime(id, &t);
    return (int64_t)t.tv_sec * 1000000 + t.tv_nsec / 1000;
}

/* A number from a file of /proc: the one after `key`. */
static long proc_number(const char *file, const char *key)
{
    char path[60], line[256];
    long n = -1;
    snprintf(path, sizeof path, "/proc/%d/%s", (int)pid, file);
    FILE *f = fopen(path, "r");
    while (f != NULL && n < 0 && fgets(line, sizeof line, f) != NULL)
        if (strncmp(line, key, strlen(key)) == 0)
            n = atol(line + strlen(key));
    if (f != NULL)
        (void)fclose(f);
    return n;
}

static int open_files(void)
{
    char path[40];
    int n = -2;
    snprintf(path, sizeof path, "/proc/%d/fd", (int)pid);
    DIR *d = opendir(path);
    while (d != NULL && readdir(d) != NULL)
        n++;
    if (d != NULL)
        (void)closedir(d);
    return n;
}

struct answer {
    long bytes;
    int64_t first_us, last_us;
};

/* The processor's time and the pages fetched when the last byte so far was read. */
static int64_t last_cpu_us;
static long last_faults;

/* The number of small page faults is the tenth word of stat; the name in brackets has no blanks here. */
static long page_faults(void)
{
    char path[40];
    long n = -1;
    snprintf(path, sizeof path, "/proc/%d/stat", (int)pid);
    FILE *f = fopen(path, "r");
    if (f != NULL && fscanf(f, "%*s %*s %*s %*s %*s %*s %*s %*s %*s %ld", &n) != 1)
        n = -1;
    if (f != NULL)
        (void)fclose(f);
    return n;
}

/* Reads until it is quiet for so long after at least `least` bytes, or until `end`. */
static struct answer listen_until(int64_t end, int64_t quiet_us, long least)
{
    static char buffer[65536];
    struct answer a = {0};
    for (;;) {
        int64_t now = now_us(), limit = a.bytes >= least && a.bytes > 0 ? a.last_us + quiet_us : end;
        if (limit > end)
            limit = end;
        if (now >= limit)
            return a;
        struct pollfd p = {master, POLLIN, 0};
        struct timespec wait = {(limit - now) / 1000000, (limit - now) % 1000000 * 1000};
        if (ppoll(&p, 1, &wait, NULL) <= 0)
            continue;
        ssize_t n = read(master, buffer, sizeof buffer);
        if (n <= 0)
            return a;
        a.last_us = now_us();
        if (a.bytes == 0)
            a.first_us = a.last_us;
        a.bytes += n;
    }
}

/* Reads until `text` has come, or until `end`. */
static struct answer listen_for(const char *text, int64_t end)
{
    static char buffer[65536];
    size_t kept = 0;
    struct answer a = {0};
    while (now_us() < end) {
        struct pollfd p = {master, POLLIN, 0};
        if (poll(&p, 1, (int)((end - now_us()) / 1000) + 1) <= 0)
            continue;
        ssize_t n = read(master, buffer + kept, sizeof buffer - kept - 1);
        if (n <= 0)
            return a;
        a.last_us = now_us();
        last_cpu_us = cpu_us();
        if (a.bytes == 0)
            a.first_us = a.last_us;
        a.bytes += n;
        kept += (size_t)n;
        buffer[kept] = '\0';
        if (strstr(buffer, text) != NULL)
            break;
        if (kept > sizeof buffer / 2)
            kept = 0;
    }
    last_faults = page_faults();
    return a;
}

static void let_pass(int64_t us)
{
    (void)listen_until(now_us() + us, us, 1L << 40);
}

static size_t unescape(const char *text, char *out)
{
    size_t n = 0;
    for (; *text != '\0'; text++)
        if (text[0] == '\\' && strchr("ert", text[1]) != NULL && text[1] != '\0') {
            out[n++] = text[1] == 'e' ? '\033' : text[1] == 'r' ? '\r' : '\t';
            text++;
        } else {
            out[n++] = *text;
        }
    return n;
}

static void press(const char *key)
{
    char bytes[64];
    size_t n = unescape(key, bytes);
    if (write(master, bytes, n) != (ssize_t)n)
        exit(1);
}

static int by_size(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

static void start(char *words[], int64_t *began)
{
    struct winsize size = {.ws_row = 24, .ws_col = 80};
    *began = now_us();
    pid = forkpty(&master, NULL, NULL, &size);
    if (pid == 0) {
        (void)setenv("TERM", "xterm-256color", 1);
        (void)setenv("LC_ALL", "C.UTF-8", 1);
        (void)execvp(words[0], words);
        _exit(126);
    }
    /* What is written is to be read at once, on a busy machine too: else time of what comes after counts as well. */
    const struct sched_param soon = {.sched_priority = 1};
    (void)sched_setscheduler(0, SCHED_FIFO, &soon);
}

static void watch_idle(double seconds)
{
    static int64_t tick[SAMPLES_MOST];
    int64_t cpu = cpu_us(), began = now_us(), end = began + (int64_t)(seconds * 1e6);
    long wakes = proc_number("status", "voluntary_ctxt_switches:"), bytes = 0, ticks = 0;
    long wrote = proc_number("io", "write_bytes:"), anon = -1;
    while (now_us() < end) {
        struct answer a = listen_until(end, 20000, 1);
        bytes += a.bytes;
        if (anon < 0 && now_us() > began + (end - began) / 4) /* what is loaded late is loaded by then */
            anon = proc_number("status", "RssAnon:");
        if (a.bytes > 0 && ticks < SAMPLES_MOST)
            tick[ticks++] = a.bytes;
    }
    double passed = (double)(now_us() - began) / 1e6;
    qsort(tick, (size_t)ticks, sizeof tick[0], by_size);
    printf(
        " cpu_ms_per_min=%.2f wakes_per_s=%.3f bytes_per_s=%.2f ticks=%ld tick_bytes_p50=%ld disk_bytes=%ld",
        (double)(cpu_us() - cpu) / 1e3 / passed * 60,
        (double)(proc_number("status", "voluntary_ctxt_switches:") - wakes) / passed, (double)bytes / passed,
        ticks, ticks > 0 ? (long)tick[ticks / 2] : 0, proc_number("io", "write_bytes:") - wrote);
    printf(" grew_kb=%ld", proc_number("status", "RssAnon:") - anon);
}

static void time_keys(char *keys, long times, int64_t gap_us)
{
    static int64_t done[SAMPLES_MOST];
    char *key[KEYS_MOST], *rest = NULL;
    int n = 0;
    long answered = 0;
    for (char *k = strtok_r(keys, ",", &rest); k != NULL && n < KEYS_MOST; k = strtok_r(NULL, ",", &rest))
        key[n++] = k;
    for (long i = 0; i < times; i++) {
        int64_t at = now_us();
        press(key[i % n]);
        struct answer a = listen_until(at + 1000000, KEY_QUIET_MS * 1000, 1);
        if (a.bytes > 0 && answered < SAMPLES_MOST)
            done[answered++] = a.last_us - at;
        if (at + gap_us > now_us())
            let_pass(at + gap_us - now_us());
    }
    qsort(done, (size_t)answered, sizeof done[0], by_size);
    if (answered > 0)
        printf(" keys=%ld answered=%ld key_us_p50=%ld key_us_p99=%ld", times, answered,
               (long)done[answered / 2], (long)done[answered * 99 / 100]);
}

/* System calls while nothing happens, by strace; none where it is not installed. */
static void count_calls(double seconds)
{
    char command[200], line[200];
    long calls = -1;
    snprintf(command, sizeof command, "timeout %.0f strace -c -o /dev/stdout -p %d 2>/dev/null", seconds,
             (int)pid);
    FILE *f = popen(command, "r");
    while (f != NULL && fgets(line, sizeof line, f) != NULL)
        if (strstr(line, "total") != NULL)
            (void)sscanf(line, "%*s %*s %*s %ld", &calls);
    if (f != NULL)
        (void)pclose(f);
    printf(" calls_per_s=%.2f", calls < 0 ? -1.0 : (double)calls / seconds);
}

int main(int argc, char *argv[])
{
    double idle = 0;
    char *keys = NULL, *before = NULL, *held = NULL, *until = NULL;
    long times = 0, gap_ms = 20;
    bool calls = false;
    sqlite3 *db = NULL;
    int64_t began;
    for (int o; (o = getopt(argc, argv, "+i:k:n:g:b:L:su:")) != -1;)
        switch (o) {
        case 'i': idle = atof(optarg); break;
        case 'k': keys = optarg; break;
        case 'n': times = atol(optarg); break;
        case 'g': gap_ms = atol(optarg); break;
        case 'b': before = optarg; break;
        case 'L': held = optarg; break;
        case 's': calls = true; break;
        case 'u': until = optarg; break;
        default: return 2;
        }
    start(argv + optind, &began);
    struct answer first = until != NULL ? listen_for(until, began + 20000000)
                                        : listen_until(began + 20000000, FIRST_QUIET_MS * 1000, FIRST_BYTES);
    printf("frame_ms=%.2f frame_bytes=%ld", (double)(first.last_us - began) / 1e3, first.bytes);
    if (until != NULL)
        printf(" frame_cpu_ms=%.2f frame_faults=%ld", (double)last_cpu_us / 1e3, last_faults);
    if (idle > 0 || keys != NULL || before != NULL)
        let_pass(1500000); /* what comes after the first picture */
    for (const char *b = before; b != NULL && *b != '\0'; b++) {
        char one[3] = {*b, '\0', '\0'};
        if (b[0] == '\\' && b[1] != '\0')
            one[1] = *++b;
        press(one);
        let_pass(300000);
    }
    if (held != NULL && (sqlite3_open(held, &db) != SQLITE_OK ||
                         sqlite3_exec(db, "BEGIN EXCLUSIVE", NULL, NULL, NULL) != SQLITE_OK))
        return 1;
    if (idle > 0)
        watch_idle(idle);
    if (calls)
        count_calls(10);
    if (keys != NULL)
        time_keys(keys, times, gap_ms * 1000);
    printf(" rss_kb=%ld anon_kb=%ld fds=%d\n", proc_number("status", "VmRSS:"),
           proc_number("status", "RssAnon:"), open_files());
    (void)sqlite3_close(db);
    (void)kill(pid, SIGTERM);
    let_pass(100000);
    (void)kill(pid, SIGKILL);
    (void)waitpid(pid, NULL, 0);
    return 0;
}
