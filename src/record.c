/* `record` and `undo`: one act, as a key press would do it. */
#include <stdio.h>
#include <string.h>

#include "src/command.h"
#include "src/open.h"

static void print_kinds(void)
{
    const struct act_kind *k;
    puts("What springhouse record takes (each with --help):");
    for (size_t n = 0; (k = act_at(n)) != NULL; n++)
        printf("  %-10s %s\n", k->name, k->does);
}

static void print_kind_help(const struct act_kind *k)
{
    printf("springhouse record %s KEY=VALUE...\n  %s\n\n", k->name, k->does);
    for (size_t i = 0; i < k->field_count; i++)
        printf("  %-14s %s%s\n", k->fields[i].key, k->fields[i].help,
               (k->fields[i].flags & FIELD_REQUIRED) != 0 ? " (needed)" : "");
    printf("\nFor example:\n  springhouse record %s %s\n", k->name, k->example);
}

static int fill_form(const struct call *call, struct form *form, struct fail *f)
{
    for (int i = 1; i < call->argc; i++)
        if (form_set_pair(form, call->argv[i], f) != 0)
            return -1;
    return form_check(form, f);
}

int run_record(const struct call *call)
{
    struct fail f = {0};
    struct dairy *d = NULL;
    struct act_done done;
    struct form form;
    enum unit_system units;
    int result = -1, tries = 0;
    if (call->argc == 0) {
        print_kinds();
        return 0;
    }
    const struct act_kind *kind = act_find(call->argv[0]);
    if (kind == NULL) {
        fail_input(&f, "There is no act \"%.40s\"; `springhouse record` lists them.", call->argv[0]);
        return say_fail(&f);
    }
    if (call->argc == 1 || call->help) {
        print_kind_help(kind);
        return 0;
    }
    /* Only the act that begins a dairy makes its file. */
    if (open_dairy(call, strcmp(kind->name, "dairy") == 0 ? DAIRY_CREATE : DAIRY_WRITE, &d, &units, &f) ==
        0) {
        if (!call->at_given)
            dairy_mind_clock(d);
        act_form(d, kind, call->now, &form);
        form.units = units;
        if (fill_form(call, &form, &f) == 0)
            do
                result = dairy_record(d, kind, &form, call->now, &done, &f);
            while (result != 0 && f.code == FAIL_BUSY && wait_for_file(&tries));
    }
    dairy_close(d);
    if (result != 0)
        return say_fail(&f);
    printf("%lld  %s\n", (long long)done.entry, done.what);
    return 0;
}

int run_undo(const struct call *call)
{
    struct fail f = {0};
    struct dairy *d = NULL;
    struct act_done done;
    double number = 0;
    int result = -1, tries = 0;
    if (call->argc > 1)
        fail_input(&f, "undo takes one number, or none for the last act.");
    else if ((call->argc == 0 || quantity_parse(call->argv[0], DIM_COUNT, NULL, &number, &f) == 0) &&
             open_dairy(call, DAIRY_WRITE, &d, NULL, &f) == 0) {
        if (!call->at_given)
            dairy_mind_clock(d);
        do
            result = dairy_undo(d, (int64_t)number, call->now, &done, &f);
        while (result != 0 && f.code == FAIL_BUSY && wait_for_file(&tries));
    }
    dairy_close(d);
    if (result != 0)
        return say_fail(&f);
    printf("%lld  %s\n", (long long)done.entry, done.what);
    return 0;
}
