/* A morning as commands: setting up, milking, pouring, then one act of every kind that the program has (the
 * example of its own help), taking back, copies. New kinds of act come in by themselves. */
#ifndef TESTS_FAULTS_MORNING_H
#define TESTS_FAULTS_MORNING_H

#include "tests/faults/run.h"

enum step_kind {
    STEP_ENTRY,  /* prints its number in the journal and what was recorded */
    STEP_BACKUP, /* writes the file of records' copy */
    STEP_EXPORT, /* writes the folder of plain text */
    STEP_LOOK,   /* changes nothing */
};

enum { STEPS_MAX = 160, STEP_WORDS = 20, WORD_ROOM = 160 };

struct step {
    enum step_kind kind;
    char word[STEP_WORDS][WORD_ROOM]; /* after the options */
    int words;
};

struct morning {
    struct step step[STEPS_MAX];
    int steps;
};

void morning_load(struct morning *m);

/* Runs step `n` on the records in `folder`, where copies go as well, at a moment of that morning. */
void morning_run(const struct morning *m, int n, const char *folder, struct run *r,
                 const char *const settings[]);

/* Makes a dairy with two cows in the middle of a milking: the first steps of the morning. Its entries are 1
 * to SMALL_DAIRY_ENTRIES. */
enum { SMALL_DAIRY_ENTRIES = 7 };
void morning_small_dairy(const char *folder);

/* The step in words, for a message. */
const char *morning_words(const struct morning *m, int n, char text[400]);

#define RECORDS_NAME "d.db"
#define BACKUP_NAME  "copy.db"
#define EXPORT_NAME  "text"

#endif
