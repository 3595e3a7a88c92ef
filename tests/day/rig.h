/* A dairy for tests: a scratch file, and acts done in words. */
#ifndef TESTS_DAY_RIG_H
#define TESTS_DAY_RIG_H

#include "core/day/board.h"
#include "core/day/dairy.h"

/* A moment in the tests' zone, "2026-05-03T06:10"; stops the test if it cannot be read. */
struct instant rig_at(const char *text);

/* Opens scratch_path(name), making it. Stops the test on failure. */
struct dairy *rig_open(const char *name);

/* A small dairy at a moment: two cows in stalls 1 and 2 (Maud in milk, Tib in milk), twelve half-gallon jars. */
struct dairy *rig_small(const char *name, const char *at);

/* Does one act at a moment, words as `record` takes them, separated by two blanks: "milk", "cow=Maud  mass=48.5lb". The
 * first stops the test when the act is refused; the second when it is not refused with a line that has those words. */
int64_t rig_do(struct dairy *d, const char *at, const char *act, const char *words);
void rig_refused(struct dairy *d, const char *at, const char *act, const char *words, const char *line);

/* The same for a test that takes either answer: *done tells what was recorded, *f why not. */
bool rig_try(struct dairy *d, const char *at, const char *act, const char *words, struct act_done *done,
             struct fail *f);

/* The board at a moment; lives until the next call. */
const struct board *rig_board(struct dairy *d, const char *at);

/* The board as one JSON text, allocated. */
char *rig_board_json(struct dairy *d, struct instant now);

#endif
