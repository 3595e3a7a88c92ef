#include "tests/faults/morning.h"

#include <stdio.h>
#include <string.h>

static const struct {
    enum step_kind kind;
    const char *words;
} before[] =
    {
        {STEP_ENTRY, "record dairy name='Alder Lane' units=us limit=pmo stalls=4 keeper=Ada"},
        {STEP_ENTRY, "record cow name=Maud breed=Jersey stall=1 calved=2026-01-31"},
        {STEP_ENTRY, "record cow name=Tib stall=2 calved=2025-08-31"},
        {STEP_BACKUP, "backup @" BACKUP_NAME},
        {STEP_ENTRY, "record milking state=start"},
        {STEP_ENTRY, "record milk cow=Maud mass=48.5lb strip=clean"},
        {STEP_ENTRY, "record ice mass=20lb"},
        {STEP_ENTRY, "record pour jars=2xhalf-gallon,1xquart from=Maud temp=95F bath=34F"},
        {STEP_ENTRY, "undo"},
        {STEP_ENTRY, "record pour jars=3xhalf-gallon from=Maud temp=95F bath=34F"},
        {STEP_LOOK, "show board"},
},
  after[] = {
      {STEP_ENTRY, "undo"},
      {STEP_ENTRY, "undo"},
      {STEP_BACKUP, "backup @" BACKUP_NAME},
      {STEP_EXPORT, "export @" EXPORT_NAME},
      {STEP_ENTRY, "record note text='the last of that morning'"},
      {STEP_LOOK, "verify"},
};

/* Splits words as a shell does, as far as help texts go: blanks, and quotes of both kinds. */
static void add(struct morning *m, enum step_kind kind, const char *text)
{
    struct step *s = &m->step[m->steps];
    *s = (struct step){.kind = kind};
    if (m->steps == STEPS_MAX)
        return;
    while (*text != '\0' && s->words < STEP_WORDS) {
        char quote = '\0';
        size_t used = 0;
        for (; *text != '\0' && (quote != '\0' || *text != ' '); text++)
            if (*text == quote)
                quote = '\0';
            else if (quote == '\0' && (*text == '"' || *text == '\''))
                quote = *text;
            else if (used + 1 < WORD_ROOM)
                s->word[s->words][used++] = *text;
        s->words++;
        text += strspn(text, " ");
    }
    m->steps++;
}

static void add_example(struct morning *m, const char *kind)
{
    struct run r;
    const char *const words[] = {program(), "record", kind, NULL};
    run(&r, words, NULL, 10000);
    char *example = strstr(r.out, "For example:\n  springhouse ");
    if (example == NULL)
        return;
    example += strlen("For example:\n  springhouse ");
    example[strcspn(example, "\n")] = '\0';
    add(m, STEP_ENTRY, example);
}

void morning_load(struct morning *m)
{
    struct run r;
    const char *const words[] = {program(), "record", NULL};
    m->steps = 0;
    for (size_t i = 0; i < sizeof before / sizeof before[0]; i++)
        add(m, before[i].kind, before[i].words);
    run(&r, words, NULL, 10000);
    char *line = strchr(r.out, '\n'); /* the first is a heading */
    for (; line != NULL && line[1] != '\0'; line = strchr(line + 1, '\n')) {
        char kind[40] = "";
        if (sscanf(line + 1, " %39s", kind) == 1)
            add_example(m, kind);
    }
    for (size_t i = 0; i < sizeof after / sizeof after[0]; i++)
        add(m, after[i].kind, after[i].words);
}

void morning_run(const struct morning *m, int n, const char *folder, struct run *r,
                 const char *const settings[])
{
    const struct step *s = &m->step[n];
    char records[2 * PATH_ROOM], at[60], place[STEP_WORDS][2 * PATH_ROOM];
    const char *words[STEP_WORDS + 6] = {program(), "--db", records, "--at", at};
    snprintf(records, sizeof records, "%s/" RECORDS_NAME, folder);
    snprintf(at, sizeof at, "2026-05-03T%02d:%02d", 6 + (10 + n) / 60, (10 + n) % 60);
    for (int i = 0; i < s->words; i++) {
        snprintf(place[i], sizeof place[i], "%s/%s", folder, s->word[i] + 1);
        words[5 + i] = s->word[i][0] == '@' ? place[i] : s->word[i];
    }
    run(r, words, settings, 20000);
}

const char *morning_words(const struct morning *m, int n, char text[400])
{
    size_t used = 0;
    text[0] = '\0';
    for (int i = 0; i < m->step[n].words && used < 380; i++)
        used += (size_t)snprintf(text + used, 400 - used, "%s%s", i == 0 ? "" : " ", m->step[n].word[i]);
    return text;
}

void morning_small_dairy(const char *folder)
{
    static struct morning m;
    struct run r;
    morning_load(&m);
    for (int i = 0; i < 8; i++) {
        morning_run(&m, i, folder, &r, NULL);
        if (r.status != 0)
            violation("the small dairy cannot be made: %s", r.err);
    }
}
