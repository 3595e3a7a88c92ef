/* One allocation is refused, then the next one in its place: in the program's own code, in SQLite, and in the
 * libraries that it hands text to. After each the program has done what it says, or says in one line that it
 * could not and has changed nothing. (SQLite's out-of-memory tests: sqlite.org, "How SQLite Is Tested",
 * section 3.1; an allocation that goes unchecked shows there as an entry promised and never stored.) */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "tests/faults/morning.h"
#include "tests/faults/records.h"

static const char whose[] = "springhouse,libsqlite3,libcsv,libjansson,libutf8proc,libcminpack";

static long runs, refused;

/* Things that change nothing, but allocate in their own ways. */
static const char *const looks[] = {
    "show board --json",
    "show tonight --json",
    "show cow Maud --json",
    "show journal",
    "verify",
    "reckon chill milk=95F bath=34F jar=half-gallon stir=water until=45F --json",
};

struct trial {
    const struct morning *morning;
    int step;
    char before[PATH_ROOM], folder[PATH_ROOM];
    long entries;
};

static long allocations_seen(const char *path)
{
    size_t size;
    char *text = read_whole(path, &size);
    long n = text == NULL ? -1 : atol(text + strlen("memory "));
    free(text);
    return n;
}

static void look_after(const struct trial *t, const struct run *r, const char *fault)
{
    static struct promises none;
    char path[2 * PATH_ROOM], why[WHY_ROOM], words[400];
    bool entry = t->morning->step[t->step].kind == STEP_ENTRY;
    (void)morning_words(t->morning, t->step, words);
    if (r->timed_out || r->signal != 0)
        violation("%s [%s]: %s %d %s", words, fault, r->timed_out ? "it hung" : "signal", r->signal, r->err);
    else if (r->status != 0 && strncmp(r->err, "springhouse: ", 13) != 0 &&
             strstr(r->out, "see above") == NULL)
        violation("%s [%s]: exit %d without a word", words, fault, r->status);
    refused += r->status != 0;
    snprintf(path, sizeof path, "%s/" RECORDS_NAME, t->folder);
    none.entries = t->entries + (entry && r->status == 0);
    /* After "no memory" nothing may be there that was not before. */
    if (!records_hold(path, &none, 0, why))
        violation("%s [%s]: %s (exit %d, %s)", words, fault, why, r->status, r->err);
}

static bool try_once(const struct trial *t, long n, bool on)
{
    char preload[3 * PATH_ROOM], fault[60], of[200], count_file[2 * PATH_ROOM], count[3 * PATH_ROOM];
    const char *settings[] = {preload, fault, of, count, NULL};
    struct run r;
    snprintf(preload, sizeof preload, "LD_PRELOAD=%s", SHIM_MEMORY);
    snprintf(fault, sizeof fault, "SHIM_MEMORY=%ld%s", n, on ? ":on" : "");
    snprintf(of, sizeof of, "SHIM_MEMORY_OF=%s", whose);
    snprintf(count_file, sizeof count_file, "%s.count", t->folder);
    snprintf(count, sizeof count, "SHIM_COUNT=%s", count_file);
    folder_clear(t->folder);
    folder_copy(t->before, t->folder);
    (void)unlink(count_file);
    morning_run(t->morning, t->step, t->folder, &r, settings);
    runs++;
    look_after(t, &r, fault);
    long seen = allocations_seen(count_file);
    (void)unlink(count_file);
    return seen >= n; /* the fault was met */
}

/* Every n-th in turn; in the short run a sample that falls differently for every step. */
static void try_step(const struct trial *t)
{
    long step = long_run() ? 1 : 397;
    for (int on = 0; on < 2; on++)
        for (long n = 1 + (t->step * 7) % step; try_once(t, n, on == 1); n += step)
            continue;
}

static void go_on(const struct trial *t)
{
    struct run r;
    folder_clear(t->folder);
    folder_copy(t->before, t->folder);
    morning_run(t->morning, t->step, t->folder, &r, NULL);
    folder_clear(t->before);
    folder_copy(t->folder, t->before);
}

static void add_look(struct morning *m, const char *text)
{
    struct step *s = &m->step[m->steps++];
    char words[200];
    *s = (struct step){.kind = STEP_LOOK};
    snprintf(words, sizeof words, "%s", text);
    for (char *rest = words, *word; (word = strtok_r(rest, " ", &rest)) != NULL && s->words < STEP_WORDS;)
        snprintf(s->word[s->words++], WORD_ROOM, "%s", word);
}

int main(void)
{
    static struct morning m;
    static struct trial t;
    morning_load(&m);
    for (size_t i = 0; i < sizeof looks / sizeof looks[0] && m.steps < STEPS_MAX; i++)
        add_look(&m, looks[i]);
    t.morning = &m;
    folder_make(t.before);
    folder_make(t.folder);
    for (t.step = 0; t.step < m.steps; t.step++) {
        char path[2 * PATH_ROOM];
        snprintf(path, sizeof path, "%s/" RECORDS_NAME, t.before);
        t.entries = records_entries(path);
        try_step(&t);
        go_on(&t);
    }
    folder_remove(t.before);
    folder_remove(t.folder);
    printf("  %ld refused with a reason\n", refused);
    return finish("an allocation is refused", runs, "runs");
}
