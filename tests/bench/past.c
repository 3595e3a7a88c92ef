#include "tests/bench/past.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/form.h"

void bench_need(int result, const struct fail *f)
{
    if (result == 0)
        return;
    (void)fprintf(stderr, "bench: %s\n", f->text);
    exit(1);
}

struct instant bench_minute(struct date day, int minute)
{
    struct civil c;
    date_to_civil(day, &c);
    c.hour = minute / 60;
    c.minute = minute % 60;
    return civil_to_instant(&c, NULL);
}

void bench_act(struct dairy *d, struct date day, int minute, const char *name, const char *words)
{
    struct form form;
    struct fail f = {0};
    struct act_done done;
    char copy[300];
    const struct act_kind *kind = act_find(name);
    struct instant at = bench_minute(day, minute);
    act_form(d, kind, at, &form);
    (void)snprintf(copy, sizeof copy, "%s", words);
    for (char *word = copy; word != NULL && *word != '\0';) {
        char *next = strstr(word, "  ");
        if (next != NULL)
            *next = '\0';
        bench_need(form_set_pair(&form, word, &f), &f);
        word = next == NULL ? NULL : next + 2;
    }
    bench_need(dairy_record(d, kind, &form, at, &done, &f), &f);
}
