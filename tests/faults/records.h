/* Looking at a file of records from outside, with SQLite itself and none of the program's code. */
#ifndef TESTS_FAULTS_RECORDS_H
#define TESTS_FAULTS_RECORDS_H

#include <stdbool.h>
#include <stddef.h>

enum { PROMISES_MAX = 4096, PROMISE_TEXT = 200, WHY_ROOM = 300 };

/* What the program has said is recorded: the words of each entry of the journal, by its number; "" where only
 * the number was seen. */
struct promises {
    char what[PROMISES_MAX + 1][PROMISE_TEXT];
    long entries;
};

/* Opens the file, which lets SQLite finish or take back what was under way, and looks: it is whole, its
 * references hold, every promised entry is there with its words and nothing beyond `extra` more, and the last
 * entry is all there or not at all. False with the reason. */
bool records_hold(const char *path, const struct promises *p, long extra, char why[WHY_ROOM]);

/* The number of the last entry; 0 without any or without the file; -1 when it cannot be read. */
long records_entries(const char *path);

/* Makes a file of records from SQL text. */
bool records_make(const char *path, const char *sql);

#endif
