/* Loaded before the C library (LD_PRELOAD): moves what the program reads of the wall clock and of the boot
 * clock, each by itself, while it runs. A suspend moves both and leaves the monotonic clock; setting the
 * clock moves the first alone. Timers on the boot clock are moved back, so that they ring when the program
 * expects it.
 *
 *   SHIM_CLOCK=FILE      two numbers, seconds: for the wall clock, for the boot clock; read at every call */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <sys/time.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

enum { FDS_MAX = 1024 };

static int clock_of[FDS_MAX]; /* of each timer, plus one; 0: not a timer */

static void offsets(long *wall, long *boot)
{
    char text[80];
    const char *path = getenv("SHIM_CLOCK");
    *wall = *boot = 0;
    long fd = path == NULL ? -1 : syscall(SYS_openat, AT_FDCWD, path, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return;
    long n = syscall(SYS_read, fd, text, sizeof text - 1);
    (void)syscall(SYS_close, fd);
    text[n > 0 ? n : 0] = '\0';
    (void)sscanf(text, "%ld %ld", wall, boot);
}

int clock_gettime(clockid_t id, struct timespec *t)
{
    long wall, boot;
    int result = (int)syscall(SYS_clock_gettime, id, t);
    offsets(&wall, &boot);
    if (id == CLOCK_REALTIME || id == CLOCK_REALTIME_COARSE)
        t->tv_sec += wall;
    else if (id == CLOCK_BOOTTIME)
        t->tv_sec += boot;
    return result;
}

time_t time(time_t *out)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_REALTIME, &t);
    if (out != NULL)
        *out = t.tv_sec;
    return t.tv_sec;
}

int gettimeofday(struct timeval *restrict out, void *restrict zone)
{
    struct timespec t;
    (void)zone;
    (void)clock_gettime(CLOCK_REALTIME, &t);
    out->tv_sec = t.tv_sec;
    out->tv_usec = t.tv_nsec / 1000;
    return 0;
}

int timerfd_create(int id, int flags)
{
    int fd = (int)syscall(SYS_timerfd_create, id, flags);
    if (fd >= 0 && fd < FDS_MAX)
        clock_of[fd] = id + 1;
    return fd;
}

int timerfd_settime(int fd, int flags, const struct itimerspec *at, struct itimerspec *before)
{
    long wall, boot;
    struct itimerspec real = *at;
    offsets(&wall, &boot);
    if ((flags & TFD_TIMER_ABSTIME) != 0 && fd >= 0 && fd < FDS_MAX && real.it_value.tv_sec != 0) {
        if (clock_of[fd] == CLOCK_BOOTTIME + 1)
            real.it_value.tv_sec -= boot;
    }
    return (int)syscall(SYS_timerfd_settime, fd, flags, &real, before);
}
