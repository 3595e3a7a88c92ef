/* Running the program as it is used, from outside: with words, an environment, a time limit; and what came of
 * it. */
#ifndef TESTS_FAULTS_RUN_H
#define TESTS_FAULTS_RUN_H

#include <stdbool.h>
#include <stddef.h>

enum { RUN_TEXT = 8192, RUN_WORDS = 40, PATH_ROOM = 512 };

struct run {
    int status;     /* exit status; -1 when it did not exit by itself */
    int signal;     /* that ended it, or 0 */
    bool timed_out; /* it was killed for taking too long */
    char out[RUN_TEXT], err[RUN_TEXT];
};

/* Runs `words` (ended by NULL, the program first) with further "NAME=VALUE" settings (ended by NULL; NULL:
 * none).
 */
void run(struct run *r, const char *const words[], const char *const settings[], int limit_ms);

/* The same, killed (SIGKILL) after so many microseconds: then timed_out is true. */
void run_for(struct run *r, const char *const words[], const char *const settings[], long limit_us);

/* The release program: $SPRINGHOUSE_PROGRAM, else where the release build puts it. Ends this program with
 * status 77 (skipped) when there is none. */
const char *program(void);

/* A copy of it that any user of the computer may run. */
const char *program_copy(void);

/* True for the long run: SPRINGHOUSE_RUN=long. */
bool long_run(void);

/* A new throw-away folder on a file system in memory, and its removal with all that is in it. */
void folder_make(char path[PATH_ROOM]);
void folder_remove(const char *path);
void folder_clear(const char *path);

/* Copies all files of a folder (one level of folders within) into an empty one. */
void folder_copy(const char *from, const char *to);

/* Reads a file whole into memory of the caller's to free(); NULL when it is not there. */
char *read_whole(const char *path, size_t *size);

/* Tells what went wrong, in one line, and counts it. The program ends with finish(). */
void violation(const char *format, ...) __attribute__((format(printf, 1, 2)));
extern long violations;

/* Prints the line of the table that DEVELOPERS.md quotes, and returns the exit status. */
int finish(const char *what, long cases, const char *unit);

#endif
