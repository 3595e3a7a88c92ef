/* `export` and `import`: everything as plain text, and back. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "core/day/ahead.h"
#include "src/command.h"
#include "src/open.h"

/* `export --calendar FILE.ics`: what is due, for any calendar program. */
static int export_calendar(const struct call *call)
{
    struct fail f = {0};
    struct dairy *d = NULL;
    size_t events = 0;
    int result = -1;
    if (call->argc != 2)
        fail_input(&f, "export --calendar takes the name of the file to write, as dairy.ics.");
    else if (open_dairy(call, DAIRY_READ, &d, NULL, &f) == 0)
        result = dairy_calendar(d, call->now, call->argv[1], &events, &f);
    dairy_close(d);
    if (result != 0)
        return say_fail(&f);
    printf("wrote %zu event%s to %s\n", events, events == 1 ? "" : "s", call->argv[1]);
    return 0;
}

int run_export(const struct call *call)
{
    struct fail f = {0};
    struct dairy *d = NULL;
    size_t files = 0, rows = 0;
    int result = -1;
    if (call->argc > 0 && strcmp(call->argv[0], "--calendar") == 0)
        return export_calendar(call);
    if (call->argc != 1 || call->argv[0][0] == '-')
        fail_input(&f, "export takes the name of the folder to write.");
    else if (open_dairy(call, DAIRY_READ, &d, NULL, &f) == 0)
        result = dairy_export(d, call->argv[0], &files, &rows, &f);
    dairy_close(d);
    if (result != 0)
        return say_fail(&f);
    printf("wrote %zu rows in %zu files to %s\n", rows, files, call->argv[0]);
    return 0;
}

/* A file that did not exist before and holds nothing now. */
static void remove_empty(const char *path)
{
    char journal[4200];
    (void)snprintf(journal, sizeof journal, "%s-journal", path);
    (void)unlink(path);
    (void)unlink(journal);
}

int run_import(const struct call *call)
{
    struct fail f = {0};
    struct dairy *d = NULL;
    char path[4096] = "";
    size_t files = 0, rows = 0;
    int result = -1;
    if (import_is_weights(call))
        return import_weights(call);
    if (call->argc == 0)
        fail_input(&f, "import takes a CSV file of weights, the folder that export wrote, or files from it.");
    else
        result = dairy_place(call, path, sizeof path, &f);
    if (result != 0)
        return say_fail(&f);
    bool was_there = access(path, F_OK) == 0;
    result = open_dairy(call, DAIRY_CREATE, &d, NULL, &f);
    if (result == 0)
        result = dairy_import(d, call->argv, (size_t)call->argc, &files, &rows, &f);
    dairy_close(d);
    if (result != 0 && !was_there)
        remove_empty(path);
    if (result != 0)
        return say_fail(&f);
    printf("read %zu rows from %zu files into %s\n", rows, files, path);
    return 0;
}
