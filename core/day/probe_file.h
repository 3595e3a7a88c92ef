/* Opening the files in which the kernel shows a probe's temperature. A 1-wire probe takes most of a second to
 * answer, so whoever reads it waits somewhere else than on the screen. */
#ifndef CORE_DAY_PROBE_FILE_H
#define CORE_DAY_PROBE_FILE_H

#include <stddef.h>

#include "core/base/fail.h"

enum { PROBE_PATH_MAX = 256, PROBES_FOUND_MAX = 16 };

/* Reads a probe once, by the kind that its path says it is; in_temp_raw takes offset and scale from beside it.
 * Blocks for as long as the kernel does. Touches nothing but the file: any thread may call it. */
int probe_file_read(const char *path, double *temp_c, struct fail *f);

struct probes_found {
    char path[PROBES_FOUND_MAX][PROBE_PATH_MAX];
    size_t count;
};

/* The probes that this computer offers: 1-wire, IIO, hwmon, in that order. `root` is "" but for tests. */
void probe_files_find(const char *root, struct probes_found *out);

#endif
