/* One call to the disk fails, then the next one in its place, until all have had their turn: the n-th write,
 * sync, opening, cutting, renaming, removing or reading, with an input/output error or a full disk, once or
 * from then on, and a write that fails has written half. After each the program must have said what is true:
 * exit 0 and it is there; else one line why, and what was there before is untouched. (After SQLite's own I/O
 * error tests: sqlite.org, "How SQLite Is Tested", section 3.2.)
 *
 * What may be wrong in one case: when the sync fails with which the program makes sure that an entry can not
 * be taken back any more, it says "not saved", and after a power cut either may be true. Such runs are
 * counted. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "tests/faults/morning.h"
#include "tests/faults/records.h"

static const char *const kinds[] = {"open", "write", "sync", "truncate", "rename", "unlink", "make", "read"};
enum { KINDS = sizeof kinds / sizeof kinds[0] };

struct trial {
    const struct morning *morning;
    int step;
    char before[PATH_ROOM], folder[PATH_ROOM]; /* the state it begins from, and where it is done */
    long entries;
};

static long runs, refused, unsure;

/* How often the call was made in the last run. */
static long calls_seen(const char *path, const char *kind)
{
    size_t size;
    long n = 0;
    char *text = read_whole(path, &size), wanted[20];
    snprintf(wanted, sizeof wanted, "%s ", kind);
    const char *found = text == NULL ? NULL : strstr(text, wanted);
    if (found != NULL)
        n = atol(found + strlen(wanted));
    free(text);
    return n;
}

static void describe(const struct trial *t, const char *fault, char text[600])
{
    char words[400];
    snprintf(text, 600, "%s [%s]", morning_words(t->morning, t->step, words), fault);
}

/* One line on standard error; or findings of damage where that was the question. */
static bool says_why(const struct trial *t, const struct run *r)
{
    const char *end = strchr(r->err, '\n');
    if (t->morning->step[t->step].kind == STEP_LOOK && r->err[0] == '\0')
        return strstr(r->out, "see above") != NULL;
    return strncmp(r->err, "springhouse: ", 13) == 0 && end != NULL && end[1] == '\0';
}

static void look_at_records(const struct trial *t, const struct run *r, const char *fault)
{
    static struct promises none;
    char path[2 * PATH_ROOM], why[WHY_ROOM], text[600];
    snprintf(path, sizeof path, "%s/" RECORDS_NAME, t->folder);
    describe(t, fault, text);
    bool entry = t->morning->step[t->step].kind == STEP_ENTRY;
    long wanted = t->entries + (entry && r->status == 0);
    none.entries = t->entries;
    if (!records_hold(path, &none, 1, why)) {
        violation("%s: %s", text, why);
        return;
    }
    long there = records_entries(path);
    if (there < wanted)
        violation("%s: said to be saved and is not", text);
    else if (there > wanted && !entry)
        violation("%s: an entry that nobody made", text);
    else if (there > wanted && strstr(r->err, "Saved as entry") == NULL &&
             strstr(r->err, "before you do it again") == NULL)
        violation("%s: there, and said: %s", text, r->err);
    else if (there > wanted)
        unsure++;
}

/* The copy and the text are whole or not there. */
static void look_at_copies(const struct trial *t, const struct run *r, const char *fault)
{
    static struct promises none;
    char path[2 * PATH_ROOM], why[WHY_ROOM], text[600];
    describe(t, fault, text);
    enum step_kind kind = t->morning->step[t->step].kind;
    snprintf(path, sizeof path, "%s/" BACKUP_NAME, t->folder);
    none.entries = kind == STEP_BACKUP && r->status == 0 ? t->entries : 0;
    if (access(path, F_OK) == 0 && !records_hold(path, &none, PROMISES_MAX, why))
        violation("%s: the copy: %s", text, why);
    if (kind == STEP_BACKUP && r->status == 0 && access(path, F_OK) != 0)
        violation("%s: no copy", text);
    snprintf(path, sizeof path, "%s/" EXPORT_NAME "/columns.txt", t->folder); /* is written last */
    if (kind == STEP_EXPORT && r->status == 0 && access(path, F_OK) != 0)
        violation("%s: no text", text);
}

static void try_once(const struct trial *t, const char *fault, const char *count_file)
{
    char preload[3 * PATH_ROOM], folder[2 * PATH_ROOM], fail[80], count[2 * PATH_ROOM], text[600];
    const char *settings[] = {preload, folder, fail, count, "SHIM_HALF=1", NULL};
    struct run r;
    snprintf(preload, sizeof preload, "LD_PRELOAD=%s", SHIM_IO);
    snprintf(folder, sizeof folder, "SHIM_FOLDER=%s", t->folder);
    snprintf(fail, sizeof fail, "SHIM_FAIL=%s", fault);
    snprintf(count, sizeof count, "SHIM_COUNT=%s", count_file);
    folder_clear(t->folder);
    folder_copy(t->before, t->folder);
    morning_run(t->morning, t->step, t->folder, &r, settings);
    runs++;
    describe(t, fault, text);
    if (r.timed_out || r.signal != 0)
        violation("%s: %s %d", text, r.timed_out ? "it hung" : "signal", r.signal);
    else if (r.status != 0 && !says_why(t, &r))
        violation("%s: exit %d, and said: %s", text, r.status, r.err);
    refused += r.status != 0;
    look_at_records(t, &r, fault);
    look_at_copies(t, &r, fault);
}

/* The first steps and the copies call by call; acts, which write alike, every so many calls. */
static long stride(const struct trial *t)
{
    bool act = t->morning->step[t->step].kind == STEP_ENTRY;
    return long_run() || !act || t->step < 4 || t->step == 8 ? 1 : 9;
}

static void try_all(const struct trial *t, const char *kind, int error, bool on)
{
    char count_file[2 * PATH_ROOM], fault[60];
    snprintf(count_file, sizeof count_file, "%s.count", t->folder);
    /* Until the run no longer makes so many calls. */
    for (long n = 1 + t->step % stride(t);; n += stride(t)) {
        snprintf(fault, sizeof fault, "%s:%ld:%d%s", kind, n, error, on ? ":on" : "");
        try_once(t, fault, count_file);
        if (calls_seen(count_file, kind) < n)
            break;
    }
    (void)unlink(count_file);
}

static void try_step(const struct trial *t)
{
    if (!long_run()) {
        try_all(t, "any", EIO, false);
        try_all(t, "write", ENOSPC, true);
        return;
    }
    for (int kind = 0; kind < KINDS; kind++)
        for (int fault = 0; fault < 4; fault++)
            try_all(t, kinds[kind], fault < 2 ? EIO : ENOSPC, fault % 2 == 1);
}

/* A run without a fault, so that the next step begins where this one ends. */
static bool go_on(const struct trial *t)
{
    struct run r;
    folder_clear(t->folder);
    folder_copy(t->before, t->folder);
    morning_run(t->morning, t->step, t->folder, &r, NULL);
    folder_clear(t->before);
    folder_copy(t->folder, t->before);
    return r.status == 0;
}

int main(void)
{
    static struct morning m;
    static struct trial t;
    morning_load(&m);
    t.morning = &m;
    folder_make(t.before);
    folder_make(t.folder);
    for (t.step = 0; t.step < m.steps; t.step++) {
        char path[2 * PATH_ROOM];
        snprintf(path, sizeof path, "%s/" RECORDS_NAME, t.before);
        t.entries = records_entries(path);
        try_step(&t);
        (void)go_on(&t);
    }
    folder_remove(t.before);
    folder_remove(t.folder);
    printf("  %ld refused with a reason, %ld after which either may be true\n", refused, unsure);
    return finish("a call to the disk fails", runs, "runs");
}
