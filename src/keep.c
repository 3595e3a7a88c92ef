/* `backup` and `verify`: keeping the records safe. */
#include <stdio.h>

#include "src/command.h"
#include "src/open.h"

int run_backup(const struct call *call)
{
    struct fail f = {0};
    struct dairy *d = NULL;
    int result = -1;
    if (call->argc != 1)
        fail_input(&f, "backup takes the name of the file to write.");
    else if (open_dairy(call, DAIRY_READ, &d, NULL, &f) == 0)
        result = dairy_backup(d, call->argv[0], &f);
    dairy_close(d);
    if (result != 0)
        return say_fail(&f);
    printf("backed up to %s and checked\n", call->argv[0]);
    return 0;
}

static void print_finding(void *context, const char *finding)
{
    (void)context;
    printf("  %s\n", finding);
}

int run_verify(const struct call *call)
{
    struct fail f = {0};
    struct dairy *d = NULL;
    struct call named = *call;
    size_t findings = 0;
    int result = -1;
    if (call->argc == 1)
        named.db_path = call->argv[0];
    if (call->argc > 1)
        fail_input(&f, "verify takes one file, or none for the usual one.");
    else if (open_dairy(&named, DAIRY_READ, &d, NULL, &f) == 0)
        result = dairy_verify(d, print_finding, NULL, &findings, &f);
    if (result == 0)
        printf(findings == 0 ? "%s is sound\n" : "%s: see above; nothing was changed\n", dairy_path(d));
    dairy_close(d);
    if (result != 0)
        return say_fail(&f);
    return findings == 0 ? 0 : 1;
}
