/* One error type for the whole library. A function that can fail returns 0 or -1 and, on -1, has said why in
 * a struct fail that its caller owns. The sentence is made where the facts are known, passes up unchanged and
 * is shown once, so it names what was wrong and what would be right, in the keeper's words. */
#ifndef CORE_BASE_FAIL_H
#define CORE_BASE_FAIL_H

enum fail_code {
    FAIL_NONE = 0,
    FAIL_INPUT,   /* not understood: the words themselves are wrong (exit 2) */
    FAIL_REFUSED, /* understood, but against a rule or a fact (exit 1) */
    FAIL_BUSY,    /* another program holds the file for a moment: nothing changed, try again */
    FAIL_STORE,   /* the disk or the file: nothing changed (exit 1) */
    FAIL_MEMORY,  /* out of memory: nothing changed (exit 1) */
};

enum { FAIL_TEXT_MAX = 320 };

struct fail {
    enum fail_code code;
    char text[FAIL_TEXT_MAX]; /* one line, UTF-8, safe to show on a terminal */
};

/* Fills *f (NULL is allowed: then only the return value of fail_set tells). Control characters in the arguments do
 * not reach the text. */
void fail_say(struct fail *f, enum fail_code code, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
void fail_say_memory(struct fail *f);

/* The -1 stands here, in sight of every caller, so that whoever reads the code one file at a time (a compiler's
 * analyser) knows that a failure is one. */
static inline int fail_result(void)
{
    return -1;
}

/* fail_say, and -1, so that `return fail_set(...)` reads as "fail with this sentence". */
#define fail_set(f, code, ...) (fail_say((f), (code), __VA_ARGS__), fail_result())

/* Short forms of the two commonest codes. */
#define fail_input(f, ...)   fail_set((f), FAIL_INPUT, __VA_ARGS__)
#define fail_refused(f, ...) fail_set((f), FAIL_REFUSED, __VA_ARGS__)

/* Out of memory, always the same sentence; returns -1. */
static inline int fail_memory(struct fail *f)
{
    fail_say_memory(f);
    return -1;
}

/* The exit status that the command line gives for a code: 0, 1 or 2. */
int fail_exit_status(enum fail_code code);

#endif
