/* A dairy small enough to be made anew for every input, with something on every screen. */
#ifndef TESTS_FUZZ_SMALL_DAIRY_H
#define TESTS_FUZZ_SMALL_DAIRY_H

#include "core/day/dairy.h"

#define SMALL_DAIRY_AT "2026-05-03T06:41"

/* Makes it once, and keeps its bytes. */
void small_dairy_make(void);

/* Writes those bytes to a file (in the folder of the process) and returns its path; `size` may be NULL. */
const char *small_dairy_file(const char *name);

/* The bytes, borrowed. */
const char *small_dairy_bytes(size_t *size);

struct instant small_dairy_now(void);

#endif
