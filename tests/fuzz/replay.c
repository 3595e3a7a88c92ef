/* Runs a fuzz target without a fuzzer: over every file of its corpus, and over inputs made from those by
 * chance, the same ones for the same seed. replay_TARGET CORPUS [MADE [SEED]] */
#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <string.h>
#include <unistd.h>

#include "core/base/file.h"
#include "tests/fuzz/target.h"
#include "tests/stream.h"

enum { FILES_MOST = 4000, INPUT_MOST = 4096 };

static struct {
    char *bytes;
    size_t size;
} corpus[FILES_MOST];
static size_t corpus_count;
static uint8_t input[INPUT_MOST];
static size_t input_size;
static long made;
static char fallen[4200];

static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

static void load(const char *folder)
{
    struct dirent **list = NULL;
    struct fail f = {0};
    int n = scandir(folder, &list, NULL, by_name);
    for (int i = 0; i < n; i++) {
        char path[1000];
        snprintf(path, sizeof path, "%s/%s", folder, list[i]->d_name);
        if (list[i]->d_name[0] != '.' && corpus_count < FILES_MOST &&
            file_read(path, &corpus[corpus_count].bytes, &corpus[corpus_count].size, &f) == 0)
            corpus_count++;
        free(list[i]);
    }
    free(list);
    if (corpus_count == 0) {
        fprintf(stderr, "%s: no corpus\n", folder);
        exit(2);
    }
}

/* Leaves the input that was too much beside the program, for whoever mends it. */
static void keep_input(int number)
{
    int fd = open(fallen, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (fd >= 0 && write(fd, input, input_size) >= 0)
        (void)close(fd);
    (void)signal(number, SIG_DFL);
    (void)raise(number);
}

static void take(const char *bytes, size_t size)
{
    input_size = size < INPUT_MOST ? size : INPUT_MOST;
    memcpy(input, bytes, input_size);
}

/* One of: a byte changed, some put in, some taken out, a part of another input put in. */
static void change(struct stream *s)
{
    size_t at = input_size == 0 ? 0 : (size_t)stream_below(s, (int)input_size);
    size_t n = 1 + (size_t)stream_below(s, 8), rest = input_size - at;
    int other = stream_below(s, (int)corpus_count);
    switch (stream_below(s, 4)) {
    case 0:
        if (input_size > 0)
            input[at] = (uint8_t)stream_below(s, 256);
        break;
    case 1:
        if (input_size + n > INPUT_MOST)
            break;
        memmove(input + at + n, input + at, rest);
        for (size_t i = 0; i < n; i++)
            input[at + i] = (uint8_t)stream_below(s, 256);
        input_size += n;
        break;
    case 2:
        if (n > rest)
            break;
        memmove(input + at, input + at + n, rest - n);
        input_size -= n;
        break;
    default:
        n = corpus[other].size;
        if (n > INPUT_MOST - at)
            n = INPUT_MOST - at;
        memcpy(input + at, corpus[other].bytes, n);
        input_size = at + n > input_size ? at + n : input_size;
    }
}

int main(int argc, char *argv[])
{
    if (argc < 2) {
        fprintf(stderr, "%s CORPUS [MADE [SEED]]\n", argv[0]);
        return 2;
    }
    long wanted = argc > 2 ? atol(argv[2]) : 0;
    struct stream s = {argc > 3 ? strtoull(argv[3], NULL, 10) : 1};
    snprintf(fallen, sizeof fallen, "%s-fallen", argv[0]);
    (void)signal(SIGABRT, keep_input);
    (void)signal(SIGSEGV, keep_input);
    load(argv[1]);
    (void)LLVMFuzzerInitialize(&argc, &argv);
    for (size_t i = 0; i < corpus_count; i++) {
        take(corpus[i].bytes, corpus[i].size);
        (void)LLVMFuzzerTestOneInput(input, input_size);
    }
    for (made = 0; made < wanted; made++) {
        const size_t from = (size_t)stream_below(&s, (int)corpus_count);
        take(corpus[from].bytes, corpus[from].size);
        for (int changes = 1 + stream_below(&s, 6); changes > 0; changes--)
            change(&s);
        (void)LLVMFuzzerTestOneInput(input, input_size);
    }
    printf("%zu of the corpus and %ld made from it: taken\n", corpus_count, made);
    for (size_t i = 0; i < corpus_count; i++)
        free(corpus[i].bytes);
    return 0;
}
