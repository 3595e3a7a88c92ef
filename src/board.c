/* The board itself, on the keeper's records or on the invented dairy. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/base/text.h"
#include "demo/dairy.h"
#include "src/command.h"
#include "src/open.h"
#include "tui/app.h"

static int run_app(const struct call *call, struct dairy *d, bool demo, double pace, struct fail *f)
{
    struct clock_paced paced;
    struct app_options options = {.demo = demo,
                                  .colour = call->no_color ? TERM_COLOUR_NEVER : TERM_COLOUR_AUTO};
    options.clock = call->at_given || demo ? clock_paced(&paced, call->now, pace) : clock_machine();
    return app_run(d, &options, f);
}

int run_board(const struct call *call)
{
    struct fail f = {0};
    struct dairy *d = NULL;
    int result = open_dairy(call, DAIRY_CREATE, &d, NULL, &f);
    if (result == 0 && !call->at_given)
        dairy_mind_clock(d);
    if (result == 0)
        result = run_app(call, d, false, 1, &f);
    dairy_close(d);
    return result == 0 ? 0 : say_fail(&f);
}

struct demo_options {
    double pace;
    uint64_t seed;
    const char *make;
};

/* "--pace 30" or "--pace=30". */
static const char *take_value(const struct call *call, int *i, const char *name)
{
    const char *rest;
    if (!text_starts(call->argv[*i], name, &rest))
        return NULL;
    if (*rest == '=')
        return rest + 1;
    return *rest == '\0' && *i + 1 < call->argc ? call->argv[++*i] : NULL;
}

static int read_options(const struct call *call, struct demo_options *o, struct fail *f)
{
    for (int i = 0; i < call->argc; i++) {
        const char *value;
        double number;
        if ((value = take_value(call, &i, "--pace")) != NULL) {
            if (quantity_parse(value, DIM_NUMBER, NULL, &o->pace, f) != 0)
                return -1;
            if (o->pace < 1 || o->pace > 3600)
                return fail_input(f, "--pace is between 1 and 3600.");
        } else if ((value = take_value(call, &i, "--seed")) != NULL) {
            if (quantity_parse(value, DIM_COUNT, NULL, &number, f) != 0)
                return -1;
            o->seed = (uint64_t)number;
        } else if ((value = take_value(call, &i, "--make")) != NULL) {
            o->make = value;
        } else {
            return fail_input(f, "\"%.40s\" is not understood; demo takes --pace N, --seed N, --make FILE.",
                              call->argv[i]);
        }
    }
    return 0;
}

static int make_file(const struct demo_options *o, struct fail *f)
{
    struct dairy *d = NULL;
    if (access(o->make, F_OK) == 0)
        return fail_refused(f, "%s is there already; name a new file.", o->make);
    int result = dairy_open(o->make, DAIRY_SCRATCH, &d, f);
    if (result == 0)
        result = demo_fill(d, o->seed, f);
    if (result == 0)
        result = dairy_settle(d, f);
    dairy_close(d);
    if (result != 0)
        (void)unlink(o->make);
    return result;
}

static int show_demo(const struct call *call, const struct demo_options *o, struct fail *f)
{
    char folder[] = "/tmp/springhouse-demo-XXXXXX", path[64], journal[80];
    struct dairy *d = NULL;
    struct call at = *call;
    if (mkdtemp(folder) == NULL)
        return fail_set(f, FAIL_STORE, "Cannot make a folder for the demonstration in /tmp.");
    (void)snprintf(path, sizeof path, "%s/dairy.db", folder);
    (void)snprintf(journal, sizeof journal, "%s-journal", path);
    if (!call->at_given)
        at.now = demo_now();
    int result = dairy_open(path, DAIRY_SCRATCH, &d, f);
    if (result == 0)
        result = demo_fill(d, o->seed, f);
    if (result == 0)
        result = dairy_settle(d, f);
    if (result == 0)
        result = run_app(&at, d, true, o->pace, f);
    dairy_close(d);
    (void)unlink(path);
    (void)unlink(journal);
    (void)rmdir(folder);
    return result;
}

int run_demo(const struct call *call)
{
    struct fail f = {0};
    struct demo_options o = {.pace = 1, .seed = 1};
    int result = read_options(call, &o, &f);
    if (result == 0)
        result = o.make != NULL ? make_file(&o, &f) : show_demo(call, &o, &f);
    return result == 0 ? 0 : say_fail(&f);
}
