/* Loaded before the C library (LD_PRELOAD) of the release program: sees each call that changes what is on
 * disk below one folder, writes it down for the disk model, and can make one of them fail. Calls that the C
 * library makes of itself (stdio) do not come by here; the program writes no file that way.
 *
 *   SHIM_FOLDER=PATH          what is looked at; an absolute path without links
 *   SHIM_LOG=FILE             write everything down there
 *   SHIM_FAIL=KIND:N:ERRNO    the N-th call of that kind fails; with ":on" behind it, every one from then on.
 *                             Kinds: open read write sync truncate rename unlink make, or any of them: any
 *   SHIM_HALF=1               a write that fails has written half of its bytes
 *   SHIM_DROP=sync            says that it synced and does not: what a test that watches for losses must
 * notice SHIM_SLOW=MS              every sync takes that long SHIM_COUNT=FILE           how many calls of
 * each kind there were, written when the program ends */
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <time.h>
#include <unistd.h>

#include "tests/faults/record.h"

enum kind {
    KIND_OPEN,
    KIND_READ,
    KIND_WRITE,
    KIND_SYNC,
    KIND_TRUNCATE,
    KIND_RENAME,
    KIND_UNLINK,
    KIND_MAKE,
    KINDS
};
static const char *const kind_names[KINDS] = {"open",     "read",   "write",  "sync",
                                              "truncate", "rename", "unlink", "make"};

enum { FILES_MAX = 1024, LOG_FD_LEAST = 700 };

/* What is known of each descriptor below the folder; file 0: none of ours. */
static struct {
    int64_t file;
    bool folder;
    char path[256];
} known[FILES_MAX];

static char folder[PATH_MAX];
static size_t folder_length;
static int log_fd = -1;
static int64_t opened;
static long count[KINDS], count_all;
static bool half, drop_sync;
static long slow_ms;
static struct {
    bool on, for_good;
    int kind; /* KINDS: any */
    long at;
    int error;
} failing;

static void read_failing(const char *text)
{
    char name[16];
    if (text == NULL || sscanf(text, "%15[a-z]:%ld:%d", name, &failing.at, &failing.error) != 3)
        return;
    failing.on = true;
    failing.for_good = strstr(text, ":on") != NULL;
    for (failing.kind = 0; failing.kind < KINDS && strcmp(name, kind_names[failing.kind]) != 0;)
        failing.kind++;
}

static void open_log(const char *path)
{
    int fd = path == NULL
                 ? -1
                 : (int)syscall(SYS_openat, AT_FDCWD, path, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    if (fd < 0)
        return;
    /* Out of the way of the program, which counts on low numbers. */
    log_fd = (int)syscall(SYS_fcntl, fd, F_DUPFD_CLOEXEC, LOG_FD_LEAST);
    (void)syscall(SYS_close, fd);
}

__attribute__((constructor)) static void begin(void)
{
    const char *path = getenv("SHIM_FOLDER");
    if (path == NULL || folder_length > 0)
        return;
    folder_length = (size_t)snprintf(folder, sizeof folder, "%s/", path);
    opened = (int64_t)getpid() << 32;
    half = getenv("SHIM_HALF") != NULL;
    drop_sync = getenv("SHIM_DROP") != NULL;
    slow_ms = getenv("SHIM_SLOW") == NULL ? 0 : atol(getenv("SHIM_SLOW"));
    read_failing(getenv("SHIM_FAIL"));
    open_log(getenv("SHIM_LOG"));
}

__attribute__((destructor)) static void end(void)
{
    const char *path = getenv("SHIM_COUNT");
    char text[400];
    int used = 0;
    if (path == NULL || folder_length == 0)
        return;
    for (int i = 0; i < KINDS; i++)
        used += snprintf(text + used, sizeof text - (size_t)used, "%s %ld\n", kind_names[i], count[i]);
    used += snprintf(text + used, sizeof text - (size_t)used, "any %ld\n", count_all);
    int fd = (int)syscall(SYS_openat, AT_FDCWD, path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    (void)syscall(SYS_write, fd, text, used);
    (void)syscall(SYS_close, fd);
}

static void write_down(enum record_op op, int64_t file, int64_t place, const void *bytes, size_t size)
{
    struct record_head head = {(int32_t)op, (int32_t)size, file, place};
    struct iovec parts[2] = {{&head, sizeof head}, {(void *)(uintptr_t)bytes, size}};
    int error = errno;
    if (log_fd >= 0)
        (void)syscall(SYS_writev, log_fd, parts, size > 0 ? 2 : 1);
    errno = error;
}

/* Counts the call; true when it is the one to fail, and then errno says how. */
static bool fails(enum kind kind)
{
    count_all++;
    count[kind]++;
    long n = failing.kind == KINDS ? count_all : count[kind];
    if (!failing.on || (failing.kind != KINDS && failing.kind != (int)kind))
        return false;
    if (n != failing.at && !(failing.for_good && n > failing.at))
        return false;
    errno = failing.error;
    return true;
}

/* The path below the folder, or NULL. */
static const char *below(const char *path, char absolute[PATH_MAX])
{
    if (folder_length == 0)
        begin();
    if (folder_length == 0)
        return NULL;
    if (path[0] == '/') {
        snprintf(absolute, PATH_MAX, "%s", path);
    } else {
        char here[PATH_MAX];
        if (getcwd(here, sizeof here) == NULL)
            return NULL;
        snprintf(absolute, PATH_MAX, "%.2000s/%.2000s", here, path);
    }
    if (strncmp(absolute, folder, folder_length) == 0)
        return absolute + folder_length;
    /* The folder itself, as it is opened to be synced. */
    return strncmp(absolute, folder, folder_length - 1) == 0 && absolute[folder_length - 1] == '\0' ? ""
                                                                                                    : NULL;
}

static bool ours(int fd)
{
    return fd >= 0 && fd < FILES_MAX && known[fd].file != 0;
}

static void remember(int fd, const char *path, int flags)
{
    struct stat st;
    if (fd < 0 || fd >= FILES_MAX || fstat(fd, &st) != 0)
        return;
    known[fd].file = ++opened;
    known[fd].folder = S_ISDIR(st.st_mode);
    snprintf(known[fd].path, sizeof known[fd].path, "%s", path);
    if (!known[fd].folder)
        write_down(RECORD_OPEN, opened, (flags & O_TRUNC) != 0, path, strlen(path) + 1);
}

static int open_any(int at, const char *path, int flags, mode_t mode)
{
    char absolute[PATH_MAX];
    const char *mine = below(path, absolute);
    bool changes = (flags & O_ACCMODE) != O_RDONLY || (flags & O_CREAT) != 0;
    if (mine != NULL && changes && fails(KIND_OPEN))
        return -1;
    int fd = (int)syscall(SYS_openat, at, path, flags, mode);
    if (fd >= 0 && fd < FILES_MAX)
        known[fd].file = 0;
    if (fd >= 0 && mine != NULL)
        remember(fd, mine, flags);
    return fd;
}

static mode_t mode_of(int flags, va_list *args)
{
    return (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(*args, mode_t) : 0;
}

#define OPEN_BODY(at)                                                                                        \
    va_list args;                                                                                            \
    va_start(args, flags);                                                                                   \
    mode_t mode = mode_of(flags, &args);                                                                     \
    va_end(args);                                                                                            \
    return open_any((at), path, flags, mode);

int open(const char *path, int flags, ...)
{
    OPEN_BODY(AT_FDCWD)
}

int open64(const char *path, int flags, ...)
{
    OPEN_BODY(AT_FDCWD)
}

int openat(int at, const char *path, int flags, ...)
{
    OPEN_BODY(at)
}

int openat64(int at, const char *path, int flags, ...)
{
    OPEN_BODY(at)
}

/* The names that the checked library calls have. */
int __open_2(const char *path, int flags);
int __open_2(const char *path, int flags)
{
    return open_any(AT_FDCWD, path, flags, 0);
}

int __open64_2(const char *path, int flags);
int __open64_2(const char *path, int flags)
{
    return open_any(AT_FDCWD, path, flags, 0);
}

int close(int fd)
{
    if (fd == log_fd)
        return 0;
    if (fd >= 0 && fd < FILES_MAX)
        known[fd].file = 0;
    return (int)syscall(SYS_close, fd);
}

static ssize_t write_at(int fd, const void *bytes, size_t size, int64_t place)
{
    if (!ours(fd) || known[fd].folder)
        return syscall(SYS_pwrite64, fd, bytes, size, place);
    if (fails(KIND_WRITE)) {
        int error = errno;
        ssize_t part = half && size > 1 ? syscall(SYS_pwrite64, fd, bytes, size / 2, place) : 0;
        if (part > 0)
            write_down(RECORD_WRITE, known[fd].file, place, bytes, (size_t)part);
        errno = error;
        return -1;
    }
    ssize_t done = syscall(SYS_pwrite64, fd, bytes, size, place);
    if (done > 0)
        write_down(RECORD_WRITE, known[fd].file, place, bytes, (size_t)done);
    return done;
}

ssize_t pwrite(int fd, const void *bytes, size_t size, off_t place)
{
    return write_at(fd, bytes, size, place);
}

ssize_t pwrite64(int fd, const void *bytes, size_t size, off64_t place)
{
    return write_at(fd, bytes, size, place);
}

ssize_t write(int fd, const void *bytes, size_t size)
{
    if (!ours(fd) || known[fd].folder)
        return syscall(SYS_write, fd, bytes, size);
    int64_t place = syscall(SYS_lseek, fd, 0, SEEK_CUR);
    ssize_t done = write_at(fd, bytes, size, place);
    if (done > 0)
        (void)syscall(SYS_lseek, fd, place + done, SEEK_SET);
    return done;
}

ssize_t read(int fd, void *bytes, size_t size)
{
    return ours(fd) && fails(KIND_READ) ? -1 : syscall(SYS_read, fd, bytes, size);
}

ssize_t __read_chk(int fd, void *bytes, size_t size, size_t room);
ssize_t __read_chk(int fd, void *bytes, size_t size, size_t room)
{
    if (size > room)
        abort();
    return read(fd, bytes, size);
}

static ssize_t read_at(int fd, void *bytes, size_t size, int64_t place)
{
    return ours(fd) && fails(KIND_READ) ? -1 : syscall(SYS_pread64, fd, bytes, size, place);
}

ssize_t pread(int fd, void *bytes, size_t size, off_t place)
{
    return read_at(fd, bytes, size, place);
}

ssize_t pread64(int fd, void *bytes, size_t size, off64_t place)
{
    return read_at(fd, bytes, size, place);
}

static int truncate_any(int fd, int64_t length)
{
    if (ours(fd) && fails(KIND_TRUNCATE))
        return -1;
    int result = (int)syscall(SYS_ftruncate, fd, length);
    if (result == 0 && ours(fd))
        write_down(RECORD_TRUNCATE, known[fd].file, length, NULL, 0);
    return result;
}

int ftruncate(int fd, off_t length)
{
    return truncate_any(fd, length);
}

int ftruncate64(int fd, off64_t length)
{
    return truncate_any(fd, length);
}

static int sync_any(int fd, long call)
{
    struct timespec slow = {slow_ms / 1000, slow_ms % 1000 * 1000000};
    if (!ours(fd))
        return (int)syscall(call, fd);
    if (fails(KIND_SYNC))
        return -1;
    if (slow_ms > 0)
        (void)syscall(SYS_nanosleep, &slow, NULL);
    if (drop_sync)
        return 0;
    int result = (int)syscall(call, fd);
    if (result == 0 && known[fd].folder)
        write_down(RECORD_FOLDER, 0, 0, known[fd].path, strlen(known[fd].path) + 1);
    else if (result == 0)
        write_down(RECORD_SYNC, known[fd].file, 0, NULL, 0);
    return result;
}

int fsync(int fd)
{
    return sync_any(fd, SYS_fsync);
}

int fdatasync(int fd)
{
    return sync_any(fd, SYS_fdatasync);
}

static int unlink_any(int at, const char *path, int flags)
{
    char absolute[PATH_MAX], inside[PATH_MAX];
    const char *mine = at == AT_FDCWD ? below(path, absolute) : NULL;
    if (at != AT_FDCWD && ours(at) && known[at].folder && path[0] != '/') {
        snprintf(inside, sizeof inside, "%s/%.1000s", known[at].path, path);
        mine = inside;
    }
    if (mine != NULL && fails(KIND_UNLINK))
        return -1;
    int result = (int)syscall(SYS_unlinkat, at, path, flags);
    if (result == 0 && mine != NULL)
        write_down(RECORD_UNLINK, 0, 0, mine, strlen(mine) + 1);
    return result;
}

int unlink(const char *path)
{
    return unlink_any(AT_FDCWD, path, 0);
}

int unlinkat(int at, const char *path, int flags)
{
    return unlink_any(at, path, flags);
}

int rmdir(const char *path)
{
    return unlink_any(AT_FDCWD, path, AT_REMOVEDIR);
}

int rename(const char *from, const char *to)
{
    char absolute[2][PATH_MAX], both[2 * PATH_MAX];
    const char *mine = below(from, absolute[0]), *other = below(to, absolute[1]);
    if (mine != NULL && fails(KIND_RENAME))
        return -1;
    int result = (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
    if (result == 0 && mine != NULL && other != NULL) {
        size_t first = strlen(mine) + 1, second = strlen(other) + 1;
        memcpy(both, mine, first);
        memcpy(both + first, other, second);
        write_down(RECORD_RENAME, 0, 0, both, first + second);
    }
    return result;
}

int mkdir(const char *path, mode_t mode)
{
    char absolute[PATH_MAX];
    const char *mine = below(path, absolute);
    if (mine != NULL && fails(KIND_MAKE))
        return -1;
    int result = (int)syscall(SYS_mkdirat, AT_FDCWD, path, mode);
    if (result == 0 && mine != NULL)
        write_down(RECORD_MAKE, 0, 0, mine, strlen(mine) + 1);
    return result;
}
