/* A fuzz target: one function that is given bytes and must take any. libFuzzer calls it (built with clang by
 * tests/fuzz/run), and so does replay.c, which the ordinary tests run over the corpora. */
#ifndef TESTS_FUZZ_TARGET_H
#define TESTS_FUZZ_TARGET_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerInitialize(int *argc, char ***argv);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Ends the program with a word: what must hold does not. */
#define FUZZ_CHECK(what)                                                                                     \
    do {                                                                                                     \
        if (!(what)) {                                                                                       \
            fprintf(stderr, "%s:%d: does not hold: %s\n", __FILE__, __LINE__, #what);                        \
            abort();                                                                                         \
        }                                                                                                    \
    } while (0)

/* The bytes as text: up to `size` - 1 of them, to the first zero. Returns dst. */
char *fuzz_text(char *dst, size_t size, const uint8_t *data, size_t length);

/* The same zone and locale everywhere. */
void fuzz_environment(void);

/* A folder of this process's own, in memory, removed when it ends; and a path in it. */
void fuzz_folder(void);
const char *fuzz_path(const char *name);

/* Aborts if the text holds a byte that is no part of a line of clean text: a control other than the line end,
 * a C1 control, a character that turns the writing round or hides, or what is no UTF-8. `where` names it. */
void fuzz_check_clean(const char *where, const char *text, size_t size);

#endif
