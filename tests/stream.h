#ifndef TESTS_STREAM_H
#define TESTS_STREAM_H

#include <stdint.h>

/* A repeatable stream of numbers (SplitMix64), seeded by the test, so that a failure can be run again. */
struct stream {
    uint64_t state;
};
uint64_t stream_next(struct stream *s);
double stream_uniform(struct stream *s, double low, double high);
double stream_normal(struct stream *s);
int stream_below(struct stream *s, int n); /* 0 .. n-1 */

#endif
