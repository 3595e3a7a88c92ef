#include "src/open.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "core/base/file.h"

int dairy_place(const struct call *call, char *path, size_t size, struct fail *f)
{
    const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");
    char folder[3900];
    if (call->db_path != NULL) {
        if (strlen(call->db_path) >= size)
            return fail_input(f, "That file name is too long.");
        (void)snprintf(path, size, "%s", call->db_path);
        return 0;
    }
    if (data != NULL && data[0] == '/')
        (void)snprintf(folder, sizeof folder, "%s/springhouse", data);
    else if (home != NULL && home[0] == '/')
        (void)snprintf(folder, sizeof folder, "%s/.local/share/springhouse", home);
    else
        return fail_refused(f, "There is no home folder; name the file of records with --db.");
    if (file_make_folders(folder, f) != 0)
        return -1;
    (void)snprintf(path, size, "%s/dairy.db", folder);
    return 0;
}

int open_dairy(const struct call *call, enum dairy_mode mode, struct dairy **out, enum unit_system *units,
               struct fail *f)
{
    char path[4096];
    int tries = 0;
    if (dairy_place(call, path, sizeof path, f) != 0)
        return -1;
    while (dairy_open(path, mode, out, f) != 0)
        if (f->code != FAIL_BUSY || !wait_for_file(&tries))
            return -1;
    if (units != NULL)
        *units = call->units_given ? call->units : dairy_units(*out);
    return 0;
}

bool wait_for_file(int *tries)
{
    struct timespec pause = {0, 50 * 1000 * 1000};
    if (++*tries > 100)
        return false;
    (void)nanosleep(&pause, NULL);
    return true;
}
