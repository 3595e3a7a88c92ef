#include "tests/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/base/file.h"

int run_suites(Suite *(*const make[])(void))
{
    /* The same everywhere: the zone whose clock changes the tests name, and UTF-8. */
    setenv("TZ", "America/New_York", 1);
    setenv("LC_ALL", "C.UTF-8", 1);
    SRunner *runner = srunner_create(make[0]());
    for (int i = 1; make[i] != NULL; i++)
        srunner_add_suite(runner, make[i]());
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}

uint64_t stream_next(struct stream *s)
{
    uint64_t z = (s->state += UINT64_C(0x9E3779B97F4A7C15));
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

double stream_uniform(struct stream *s, double low, double high)
{
    return low + (high - low) * (double)(stream_next(s) >> 11) * 0x1p-53;
}

double stream_normal(struct stream *s)
{
    double u = stream_uniform(s, 1e-300, 1), v = stream_uniform(s, 0, 1);
    return sqrt(-2 * log(u)) * cos(2 * 3.14159265358979323846 * v);
}

int stream_below(struct stream *s, int n)
{
    return (int)(stream_next(s) % (uint64_t)n);
}

char *read_test_file(const char *name, size_t *size)
{
    char path[1024], *text = NULL;
    struct fail f = {0};
    (void)snprintf(path, sizeof path, "%s/%s", TESTS_DIR, name);
    if (file_read(path, &text, size, &f) != 0)
        ck_abort_msg("%s", f.text);
    return text;
}
