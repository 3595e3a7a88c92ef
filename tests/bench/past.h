/* A past for the files that benches measure on, entered through the acts that a keeper uses. */
#ifndef TESTS_BENCH_PAST_H
#define TESTS_BENCH_PAST_H

#include "core/day/dairy.h"

/* Ends the program with the reason when the result is not 0. */
void bench_need(int result, const struct fail *f);

/* That minute of a day. */
struct instant bench_minute(struct date day, int minute);

/* Does one act on that day at that minute of it; words are separated by two blanks. */
void bench_act(struct dairy *d, struct date day, int minute, const char *name, const char *words);

#endif
