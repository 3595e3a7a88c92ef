/* Text that tries to get out of its place. */
#ifndef TESTS_KIT_HOSTILE_H
#define TESTS_KIT_HOSTILE_H

#include <stddef.h>

#include "tests/support.h"

extern const char *const hostile[];
extern const size_t hostile_count;

/* Random text of at most size - 1 bytes: pieces of the above, code points of every kind, broken bytes. */
void hostile_make(struct stream *s, char *buf, size_t size);

#endif
