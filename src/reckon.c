/* Finds a topic, fills its form from the words, and prints the working as text or as one JSON object. */
#include "src/reckon.h"

#include <stdio.h>
#include <string.h>

#include "core/base/source.h"
#include "src/command.h"
#include "src/json.h"

static const struct reckon_topic *const lists[] = {reckon_cooling,  reckon_limits,  reckon_herd,
                                                   reckon_breeding, reckon_feeding, reckon_sanitation,
                                                   reckon_milk};

const struct reckon_topic *reckon_find(const char *name)
{
    for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++)
        for (const struct reckon_topic *t = lists[i]; t->name != NULL; t++)
            if (strcmp(t->name, name) == 0)
                return t;
    return NULL;
}

int reckon_run(const struct reckon_topic *topic, char *const words[], size_t word_count,
               enum unit_system units, struct instant now, struct working *w, struct fail *f)
{
    struct form form;
    form_init(&form, topic->fields, topic->field_count, units, now);
    for (size_t i = 0; i < word_count; i++)
        if (form_set_pair(&form, words[i], f) != 0)
            return -1;
    if (form_check(&form, f) != 0)
        return -1;
    working_init(w, topic->name);
    return topic->reckon(&form, w, f);
}

static void print_figure(const struct figure *fig, enum unit_system units, const char *indent,
                         bool with_origin)
{
    char label[40], text[120];
    printf("%s%-24s %s", indent, figure_label(fig, label, sizeof label),
           figure_format(fig, units, text, sizeof text));
    if (with_origin)
        printf("  (%s)", origin_word(fig->origin));
    putchar('\n');
}

static void print_text(const struct working *w, enum unit_system units)
{
    char text[400];
    int row = -1;
    for (size_t i = 0; i < w->result_count; i++) {
        const struct figure *fig = &w->result[i];
        if (fig->row != row && fig->row >= 0)
            printf("  %s %d\n", w->rows, fig->row + 1);
        row = fig->row;
        print_figure(fig, units, row < 0 ? "  " : "    ", false);
    }
    if (w->why[0] != '\0')
        printf("  why: %s\n", w->why);
    puts("Given");
    for (size_t i = 0; i < w->given_count; i++)
        print_figure(&w->given[i], units, "  ", true);
    if (w->step_count > 0)
        puts("Working");
    for (size_t i = 0; i < w->step_count; i++)
        printf("  %s\n", w->step[i]);
    if (w->source_count > 0)
        puts("Source");
    for (size_t i = 0; i < w->source_count; i++)
        printf("  %s\n", source_text(w->source[i], text, sizeof text));
    for (size_t i = 0; i < w->caution_count; i++)
        printf("Caution: %s\n", w->caution[i]);
}

static void print_topics(void)
{
    puts("Topics of springhouse reckon (each with --help):");
    for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++)
        for (const struct reckon_topic *t = lists[i]; t->name != NULL; t++)
            printf("  %-10s %s\n", t->name, t->does);
}

static void print_topic_help(const struct reckon_topic *t)
{
    printf("springhouse reckon %s KEY=VALUE... [--json]\n  %s\n\n", t->name, t->does);
    for (size_t i = 0; i < t->field_count; i++)
        printf("  %-14s %s%s\n", t->fields[i].key, t->fields[i].help,
               (t->fields[i].flags & FIELD_REQUIRED) != 0 ? " (needed)" : "");
    printf("\nFor example:\n  springhouse reckon %s %s\n", t->name, t->example);
}

int run_reckon(const struct call *call)
{
    struct fail f = {0};
    struct working w;
    if (call->argc == 0) {
        print_topics();
        return 0;
    }
    const struct reckon_topic *topic = reckon_find(call->argv[0]);
    if (topic == NULL) {
        fail_input(&f, "There is no topic \"%.40s\"; `springhouse reckon` lists them.", call->argv[0]);
        return say_fail(&f);
    }
    if (call->argc == 1 || call->help) {
        print_topic_help(topic);
        return 0;
    }
    if (reckon_run(topic, call->argv + 1, (size_t)call->argc - 1, call->units, call->now, &w, &f) != 0)
        return say_fail(&f);
    if (call->json)
        return json_print(json_working(topic->name, &w));
    print_text(&w, call->units);
    return 0;
}
