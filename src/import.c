/* `import` of weights from a spreadsheet, which are looked at before they are taken in. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "core/base/text.h"
#include "core/day/weights.h"
#include "src/command.h"
#include "src/open.h"

/* "--cow NAME", "--dates ORDER", "--milkings N" become fields of the act; --preview only looks. */
struct import_options {
    bool preview;
    const char *file;
};

static int read_option(const struct call *call, int *i, struct form *form, struct fail *f)
{
    static const char *const names[] = {"cow", "dates", "milkings"};
    for (size_t k = 0; k < sizeof names / sizeof names[0]; k++) {
        const char *rest;
        char option[24];
        (void)snprintf(option, sizeof option, "--%s", names[k]);
        if (!text_starts(call->argv[*i], option, &rest) || (*rest != '\0' && *rest != '='))
            continue;
        if (*rest == '=')
            return form_set(form, names[k], rest + 1, f);
        if (*i + 1 < call->argc)
            return form_set(form, names[k], call->argv[++*i], f);
    }
    return fail_input(f,
                      "\"%.40s\" is not understood; import takes a file, --cow NAME, --dates "
                      "iso|month-first|day-first, --milkings N, --preview.",
                      call->argv[*i]);
}

static int read_options(const struct call *call, struct form *form, struct import_options *o, struct fail *f)
{
    for (int i = 0; i < call->argc; i++) {
        if (strcmp(call->argv[i], "--preview") == 0)
            o->preview = true;
        else if (call->argv[i][0] == '-' && call->argv[i][1] == '-') {
            if (read_option(call, &i, form, f) != 0)
                return -1;
        } else if (o->file != NULL)
            return fail_input(f, "import takes one file of weights at a time.");
        else
            o->file = call->argv[i];
    }
    if (o->file == NULL)
        return fail_input(f, "import needs the name of a CSV file with the columns date, cow, and kg or lb.");
    return form_set(form, "file", o->file, f);
}

static void print_view(const struct weights_view *v)
{
    char words[240], first[CIVIL_TEXT_MAX], last[CIVIL_TEXT_MAX];
    printf("%s\n  columns: %s\n", weights_summary(v, words, sizeof words), v->preview.columns);
    for (size_t i = 0; i < v->cows; i++)
        printf("  %s: %zu row%s, %s to %s\n", v->cow[i].name, v->cow[i].rows, v->cow[i].rows == 1 ? "" : "s",
               date_iso(v->cow[i].first_on, first), date_iso(v->cow[i].last_on, last));
    for (size_t i = 0; i < v->faults && i < WEIGHTS_FAULTS_MAX; i++)
        printf("  row %zu: %s\n", v->fault[i].line, v->fault[i].text);
    if (v->faults > WEIGHTS_FAULTS_MAX)
        printf("  and %zu more rows are wrong\n", v->faults - WEIGHTS_FAULTS_MAX);
}

static int take_in(struct dairy *d, const struct call *call, const struct form *form, struct fail *f)
{
    struct act_done done;
    int result, tries = 0;
    do
        result = dairy_record(d, act_find("weights"), form, call->now, &done, f);
    while (result != 0 && f->code == FAIL_BUSY && wait_for_file(&tries));
    if (result == 0)
        printf("%lld  %s\n", (long long)done.entry, done.what);
    return result;
}

bool import_is_weights(const struct call *call)
{
    struct stat st;
    for (int i = 0; i < call->argc; i++)
        if (call->argv[i][0] == '-' && call->argv[i][1] == '-')
            return true;
    return call->argc == 1 && !dairy_table_file(call->argv[0]) &&
           !(stat(call->argv[0], &st) == 0 && S_ISDIR(st.st_mode));
}

int import_weights(const struct call *call)
{
    struct fail f = {0};
    struct dairy *d = NULL;
    struct form form;
    enum unit_system units;
    struct import_options o = {.file = NULL};
    struct weights_view *v = malloc(sizeof *v);
    int result = v == NULL ? fail_memory(&f) : open_dairy(call, DAIRY_WRITE, &d, &units, &f);
    if (result == 0) {
        act_form(d, act_find("weights"), call->now, &form);
        form.units = units;
        result = read_options(call, &form, &o, &f);
    }
    if (result == 0)
        result = dairy_weights_look(d, &form, call->now, v, &f);
    if (result == 0)
        print_view(v);
    if (result == 0 && v->faults > 0)
        result =
            fail_refused(&f, "%zu of %zu rows are wrong; nothing was taken in.", v->faults, v->preview.rows);
    if (result == 0 && !o.preview)
        result = take_in(d, call, &form, &f);
    dairy_close(d);
    free(v);
    return result == 0 ? 0 : say_fail(&f);
}
