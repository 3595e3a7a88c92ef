#include "tests/support.h"

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

char *read_test_file(const char *name, size_t *size)
{
    char path[1024], *text = NULL;
    struct fail f = {0};
    (void)snprintf(path, sizeof path, "%s/%s", TESTS_DIR, name);
    if (file_read(path, &text, size, &f) != 0)
        ck_abort_msg("%s", f.text);
    return text;
}
