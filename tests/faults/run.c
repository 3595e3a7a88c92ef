#include "tests/faults/run.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <poll.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

long violations;

const char *program(void)
{
    const char *given = getenv("SPRINGHOUSE_PROGRAM");
    const char *path = given != NULL ? given : RELEASE_PROGRAM;
    if (access(path, X_OK) != 0) {
        printf("%s is not built (cmake --build --preset release)\n", path);
        exit(77);
    }
    return path;
}

static char copied[2 * PATH_ROOM];

static void remove_copy(void)
{
    (void)unlink(copied);
}

bool long_run(void)
{
    const char *form = getenv("SPRINGHOUSE_RUN");
    return form != NULL && strcmp(form, "long") == 0;
}

static void fixed_environment(void)
{
    /* The same whoever runs the test, and wherever. */
    (void)setenv("TZ", "America/New_York", 1);
    (void)setenv("LC_ALL", "C.UTF-8", 1);
    (void)unsetenv("XDG_DATA_HOME");
    (void)unsetenv("NO_COLOR");
}

static void become(const char *const words[], const char *const settings[], int out, int err)
{
    int nothing = open("/dev/null", O_RDONLY);
    (void)dup2(nothing, 0);
    (void)dup2(out, 1);
    (void)dup2(err, 2);
    fixed_environment();
    for (size_t i = 0; settings != NULL && settings[i] != NULL; i++)
        (void)putenv((char *)(uintptr_t)settings[i]);
    (void)execv(words[0], (char *const *)(uintptr_t)words);
    _exit(126);
}

/* Takes what there is; false at the end. What does not fit is dropped. */
static bool take(int fd, char *text)
{
    char more[4096];
    size_t used = strlen(text);
    ssize_t n = read(fd, more, sizeof more);
    if (n <= 0)
        return n < 0 && errno == EINTR;
    size_t room = RUN_TEXT - 1 - used, part = (size_t)n < room ? (size_t)n : room;
    memcpy(text + used, more, part);
    text[used + part] = '\0';
    return true;
}

static long now_us(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec * 1000000 + t.tv_nsec / 1000;
}

static void listen_to(struct run *r, pid_t pid, int out, int err, long limit_us)
{
    struct pollfd p[2] = {{out, POLLIN, 0}, {err, POLLIN, 0}};
    long end = now_us() + limit_us;
    while (p[0].fd >= 0 || p[1].fd >= 0) {
        long left = end - now_us();
        struct timespec wait = {left / 1000000, left % 1000000 * 1000};
        if (left <= 0 || ppoll(p, 2, &wait, NULL) == 0) {
            r->timed_out = true;
            (void)kill(pid, SIGKILL);
            break;
        }
        if (p[0].fd >= 0 && p[0].revents != 0 && !take(out, r->out))
            p[0].fd = -1;
        if (p[1].fd >= 0 && p[1].revents != 0 && !take(err, r->err))
            p[1].fd = -1;
    }
}

void run_for(struct run *r, const char *const words[], const char *const settings[], long limit_us)
{
    int out[2], err[2], status = 0;
    memset(r, 0, sizeof *r);
    r->status = -1;
    if (pipe2(out, O_CLOEXEC) != 0 || pipe2(err, O_CLOEXEC) != 0)
        exit(2);
    (void)fflush(NULL);
    pid_t pid = fork();
    if (pid == 0)
        become(words, settings, out[1], err[1]);
    (void)close(out[1]);
    (void)close(err[1]);
    listen_to(r, pid, out[0], err[0], limit_us);
    (void)close(out[0]);
    (void)close(err[0]);
    (void)waitpid(pid, &status, 0);
    if (WIFEXITED(status))
        r->status = WEXITSTATUS(status);
    else if (!r->timed_out)
        r->signal = WTERMSIG(status);
}

void run(struct run *r, const char *const words[], const char *const settings[], int limit_ms)
{
    run_for(r, words, settings, limit_ms * 1000L);
}

void folder_make(char path[PATH_ROOM])
{
    snprintf(path, PATH_ROOM, "%s/springhouse-faults-XXXXXX",
             access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    if (mkdtemp(path) == NULL) {
        perror(path);
        exit(2);
    }
}

static int remove_one(const char *path, const struct stat *st, int type, struct FTW *walk)
{
    (void)st;
    (void)type;
    (void)walk;
    return remove(path);
}

void folder_remove(const char *path)
{
    (void)nftw(path, remove_one, 8, FTW_DEPTH | FTW_PHYS);
}

static int remove_inside(const char *path, const struct stat *st, int type, struct FTW *walk)
{
    (void)st;
    (void)type;
    return walk->level == 0 ? 0 : remove(path);
}

void folder_clear(const char *path)
{
    (void)nftw(path, remove_inside, 8, FTW_DEPTH | FTW_PHYS);
}

char *read_whole(const char *path, size_t *size)
{
    struct stat st;
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return NULL;
    char *bytes = fstat(fd, &st) == 0 ? malloc((size_t)st.st_size + 1) : NULL;
    ssize_t n = bytes == NULL ? -1 : read(fd, bytes, (size_t)st.st_size);
    (void)close(fd);
    if (n < 0 || n != st.st_size) {
        free(bytes);
        return NULL;
    }
    bytes[n] = '\0';
    *size = (size_t)n;
    return bytes;
}

static void copy_file(const char *from, const char *to)
{
    size_t size;
    char *bytes = read_whole(from, &size);
    int fd = open(to, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (bytes == NULL || fd < 0 || write(fd, bytes, size) != (ssize_t)size) {
        perror(to);
        exit(2);
    }
    (void)close(fd);
    free(bytes);
}

void folder_copy(const char *from, const char *to)
{
    DIR *d = opendir(from);
    if (d == NULL)
        exit(2);
    for (struct dirent *e = readdir(d); e != NULL; e = readdir(d)) {
        char one[2 * PATH_ROOM], two[2 * PATH_ROOM];
        struct stat st;
        if (strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0)
            continue;
        snprintf(one, sizeof one, "%s/%s", from, e->d_name);
        snprintf(two, sizeof two, "%s/%s", to, e->d_name);
        if (lstat(one, &st) == 0 && S_ISDIR(st.st_mode)) {
            (void)mkdir(two, 0700);
            folder_copy(one, two);
        } else {
            copy_file(one, two);
        }
    }
    (void)closedir(d);
}

const char *program_copy(void)
{
    if (copied[0] != '\0')
        return copied;
    snprintf(copied, sizeof copied, "/tmp/springhouse-copy-%ld", (long)getpid());
    copy_file(program(), copied);
    (void)chmod(copied, 0755);
    (void)atexit(remove_copy);
    return copied;
}

void violation(const char *format, ...)
{
    va_list args;
    if (++violations > 20)
        return; /* enough to see what it is */
    va_start(args, format);
    (void)fputs("VIOLATION: ", stdout);
    (void)vprintf(format, args);
    (void)putchar('\n');
    va_end(args);
}

int finish(const char *what, long cases, const char *unit)
{
    printf("%-44s %8ld %-10s %ld violations\n", what, cases, unit, violations);
    return violations == 0 ? 0 : 1;
}
