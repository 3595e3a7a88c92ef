/* A throw-away folder for one test, and files in it. */
#ifndef TESTS_SCRATCH_H
#define TESTS_SCRATCH_H

/* Makes the folder (setup) and removes it with all that is in it (teardown). */
void scratch_open(void);
void scratch_close(void);

/* A path in the folder; valid until the eighth call after it. */
const char *scratch_path(const char *name);

/* Number of files in the folder. */
int scratch_files(void);

#endif
