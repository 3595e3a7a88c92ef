/* Opening the dairy that a command works on. */
#ifndef SRC_OPEN_H
#define SRC_OPEN_H

#include <stddef.h>

#include "core/day/dairy.h"
#include "src/command.h"

/* The file of records: --db, else $XDG_DATA_HOME/springhouse/dairy.db, else
 * ~/.local/share/springhouse/dairy.db. Makes the folder of the usual place. */
int dairy_place(const struct call *call, char *path, size_t size, struct fail *f);

/* Opens it. Units follow --units, else the dairy's own; *units may be NULL. Close with dairy_close(). */
int open_dairy(const struct call *call, enum dairy_mode mode, struct dairy **out, enum unit_system *units,
               struct fail *f);

/* Waits a moment before a busy file is tried again; false when it has been tried for five seconds. `tries`
 * starts at 0. */
bool wait_for_file(int *tries);

#endif
