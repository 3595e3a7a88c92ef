#include "core/day/probe_file.h"

#include <errno.h>
#include <fcntl.h>
#include <glob.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "core/cooling/probe.h"

enum { PROBE_TEXT_MAX = 512 };

/* A file of the kernel is read in one go; its size says nothing. */
static int read_text(const char *path, char text[PROBE_TEXT_MAX], struct fail *f)
{
    size_t used = 0;
    ssize_t got;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    if (fd < 0)
        return fail_set(f, FAIL_STORE, "The probe %.160s cannot be read: %s.", path, strerror(errno));
    while ((got = read(fd, text + used, PROBE_TEXT_MAX - 1 - used)) > 0)
        used += (size_t)got;
    int error = errno;
    (void)close(fd);
    if (got < 0)
        return fail_set(f, FAIL_STORE, "The probe %.160s cannot be read: %s.", path, strerror(error));
    text[used] = '\0';
    return 0;
}

/* in_temp_raw -> in_temp_offset; text is left "" when there is no such file. */
static const char *read_beside(const char *path, const char *end, char text[PROBE_TEXT_MAX])
{
    char beside[PROBE_PATH_MAX + 16];
    int stem = (int)(strlen(path) - strlen("_raw"));
    (void)snprintf(beside, sizeof beside, "%.*s%s", stem, path, end);
    return read_text(beside, text, NULL) == 0 ? text : NULL;
}

int probe_file_read(const char *path, double *temp_c, struct fail *f)
{
    char text[PROBE_TEXT_MAX], offset[PROBE_TEXT_MAX], scale[PROBE_TEXT_MAX];
    enum probe_kind kind = probe_kind_of_path(path);
    if (kind == PROBE_NONE)
        return fail_input(f,
                          "%.120s is no file in which the kernel shows a temperature: w1_slave, temperature, "
                          "temp1_input, in_temp_input.",
                          path);
    if (read_text(path, text, f) != 0)
        return -1;
    if (kind == PROBE_W1_SLAVE)
        return probe_read_w1(text, temp_c, f);
    if (kind == PROBE_MILLIDEGREE)
        return probe_read_millidegree(text, temp_c, f);
    return probe_read_iio(text, read_beside(path, "_offset", offset), read_beside(path, "_scale", scale), temp_c, f);
}

void probe_files_find(const char *root, struct probes_found *out)
{
    static const char *const patterns[] = {
        "/sys/bus/w1/devices/[0-9a-f][0-9a-f]-*/temperature", "/sys/bus/w1/devices/[0-9a-f][0-9a-f]-*/w1_slave",
        "/sys/bus/iio/devices/iio:device*/in_temp*_input",    "/sys/bus/iio/devices/iio:device*/in_temp*_raw",
        "/sys/class/hwmon/hwmon*/temp*_input",
    };
    out->count = 0;
    for (size_t p = 0; p < sizeof patterns / sizeof patterns[0]; p++) {
        char pattern[PROBE_PATH_MAX + 64];
        glob_t found;
        (void)snprintf(pattern, sizeof pattern, "%s%s", root, patterns[p]);
        if (glob(pattern, 0, NULL, &found) != 0)
            continue;
        for (size_t i = 0; i < found.gl_pathc && out->count < PROBES_FOUND_MAX; i++) {
            const char *path = found.gl_pathv[i], *slash = strrchr(path, '/');
            bool both = false; /* a 1-wire probe has both files; one is enough */
            for (size_t n = 0; n < out->count && strstr(path, "/w1/") != NULL; n++)
                both = both || strncmp(out->path[n], path, (size_t)(slash - path) + 1) == 0;
            if (!both && strlen(path) < PROBE_PATH_MAX)
                (void)snprintf(out->path[out->count++], PROBE_PATH_MAX, "%s", path);
        }
        globfree(&found);
    }
}
