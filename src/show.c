#include "src/show.h"

#include <stdio.h>
#include <string.h>

#include "src/open.h"

static const struct show_what table[] = {
    {"board", "", "", "the stalls, the tub and its batches, the chores, and what comes next", 0, show_board},
    {"tonight", "", "", "ice and jars for the next milking", 0, show_tonight},
    {"herd", "", "", "every animal, also the young and those that left", 0, show_herd},
    {"cow", "NAME", "Maud", "a cow's page", 1, show_cow},
    {"card", "NAME", "Maud", "all about a cow as a card of text, for a buyer or the veterinarian", 1,
     show_card},
    {"relief", "", "", "the next milking for somebody who has never milked here", 0, show_relief},
    {"ahead", "", "", "everything that is due, by day, with the reason", 0, show_ahead},
    {"feed", "", "", "rations against need, how long each feed lasts, what the milk costs", 0, show_feed},
    {"supply", "", "", "the year ahead in milk a week, and which service closes a gap", 0, show_supply},
    {"shelf", "", "", "every jar at home, oldest first; people; the jars themselves", 0, show_shelf},
    {"batch", "CODE", "260503-1BE", "one batch, from the cow to the glass", 1, show_batch},
    {"trace", "CODE|...", "cow=Tib since=2026-04-28",
     "where milk went: a code, cow=Tib since=2026-04-28, milking=2026-05-03T07:00 or sample=M7", 1, show_trace},
    {"recall", "", "", "jars that hold milk which turned out not to be fit to keep", 0, show_recall},
    {"people", "", "", "who takes milk, what they have due, whose jars are out", 0, show_people},
    {"taste", "[CODE]", "260429-1AJ", "the latest tasting, with suspects and what the log says", 0,
     show_taste},
    {"losses", "[MONTHS]", "12", "what was thrown away and why, by month", 0, show_losses},
    {"wash", "", "", "the wash bench: sanitiser, sink, parts, laboratory and water, cautions", 0, show_wash},
    {"journal", "[BEFORE]", "6300", "what was entered, newest first", 0, show_journal},
};

enum { TABLE_ROWS = sizeof table / sizeof table[0] };

const struct show_what *show_at(size_t n)
{
    return n < TABLE_ROWS ? &table[n] : NULL;
}

static void print_what_help(const struct show_what *what)
{
    printf("springhouse show %s%s%s [--json]\n  %s\n\nFor example:\n  springhouse show %s%s%s\n", what->name,
           what->words[0] == '\0' ? "" : " ", what->words, what->does, what->name,
           what->example[0] == '\0' ? "" : " ", what->example);
}

int run_show(const struct call *call)
{
    struct fail f = {0};
    struct dairy *d = NULL;
    enum unit_system units;
    const struct show_what *what = NULL;
    int result = -1;
    if (call->argc == 0) {
        puts("What springhouse show takes:");
        for (int i = 0; i < TABLE_ROWS; i++)
            printf("  %-8s %-9s %s\n", table[i].name, table[i].words, table[i].does);
        return 0;
    }
    for (int i = 0; i < TABLE_ROWS; i++)
        if (strcmp(table[i].name, call->argv[0]) == 0)
            what = &table[i];
    if (what != NULL && call->help) {
        print_what_help(what);
        return 0;
    }
    if (what == NULL)
        fail_input(&f, "There is no \"%.40s\" to show; `springhouse show` lists what there is.",
                   call->argv[0]);
    else if (call->argc - 1 < what->argc)
        fail_input(&f, "show %s needs %s.", what->name, what->words);
    else if (open_dairy(call, DAIRY_READ, &d, &units, &f) == 0)
        result = what->show(call, d, units, &f);
    dairy_close(d);
    return result == 0 ? 0 : say_fail(&f);
}
