/* Loaded before the C library (LD_PRELOAD): the n-th allocation that the program or SQLite asks for is
 * refused, once or from then on. What the C library, curses and the linker ask for themselves is not counted.
 *
 *   SHIM_MEMORY=N         the N-th fails; "N:on": every one from then on
 *   SHIM_MEMORY_OF=A,B    whose: parts of the names of programs and libraries
 *   SHIM_COUNT=FILE       how many there were, written when the program ends */
#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <unistd.h>

void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *old, size_t size);

enum { RANGES_MAX = 32, MAPS_ROOM = 1 << 16 };

/* Where the code of those that are counted lies. */
static struct {
    uintptr_t from, to;
} range[RANGES_MAX];
static int ranges;
static long seen, fail_at;
static bool for_good;

static bool is_wanted(const char *line, const char *whose)
{
    char name[64];
    for (const char *p = whose; *p != '\0'; p += *p == ',') {
        size_t length = strcspn(p, ",");
        snprintf(name, sizeof name, "%.*s", (int)length, p);
        if (strstr(line, name) != NULL)
            return true;
        p += length;
    }
    return false;
}

static void take_line(const char *line, const char *whose)
{
    unsigned long from, to;
    char rights[8];
    if (ranges < RANGES_MAX && sscanf(line, "%lx-%lx %7s", &from, &to, rights) == 3 && rights[2] == 'x' &&
        is_wanted(line, whose)) {
        range[ranges].from = from;
        range[ranges++].to = to;
    }
}

__attribute__((constructor)) static void begin(void)
{
    static char maps[MAPS_ROOM];
    const char *text = getenv("SHIM_MEMORY"), *whose = getenv("SHIM_MEMORY_OF");
    long used = 0, n;
    if (text == NULL || whose == NULL)
        return;
    long fd = syscall(SYS_openat, AT_FDCWD, "/proc/self/maps", O_RDONLY | O_CLOEXEC);
    while ((n = syscall(SYS_read, fd, maps + used, MAPS_ROOM - 1 - used)) > 0)
        used += n;
    (void)syscall(SYS_close, fd);
    for (char *line = maps, *next; *line != '\0'; line = next) {
        next = line + strcspn(line, "\n");
        if (*next == '\n')
            *next++ = '\0';
        take_line(line, whose);
    }
    fail_at = atol(text);
    for_good = strstr(text, ":on") != NULL;
}

__attribute__((destructor)) static void end(void)
{
    const char *path = getenv("SHIM_COUNT");
    char text[40];
    if (path == NULL)
        return;
    int size = snprintf(text, sizeof text, "memory %ld\n", seen);
    long fd = syscall(SYS_openat, AT_FDCWD, path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    (void)syscall(SYS_write, fd, text, size);
    (void)syscall(SYS_close, fd);
}

static bool refused(uintptr_t caller)
{
    bool counted = false;
    for (int i = 0; i < ranges && !counted; i++)
        counted = caller >= range[i].from && caller < range[i].to;
    if (!counted)
        return false;
    seen++;
    if (fail_at == 0 || (seen != fail_at && !(for_good && seen > fail_at)))
        return false;
    errno = ENOMEM;
    return true;
}

#define CALLER ((uintptr_t)__builtin_return_address(0))

void *malloc(size_t size)
{
    return refused(CALLER) ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return refused(CALLER) ? NULL : __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    return refused(CALLER) ? NULL : __libc_realloc(old, size);
}
