/* The program is killed at any moment, again and again, on the same records: everything that it had printed
 * as recorded stays, nothing is there by half, and the next one simply goes on. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/faults/morning.h"
#include "tests/faults/records.h"
#include "tests/stream.h"

enum { KILLS_SHORT = 200, KILLS_LONG = 5000, LATEST_US = 12000 };

static struct promises promised;

/* What an entry says once it is printed whole, with its line end. */
static bool take_promise(const char *out)
{
    long n;
    int used = 0;
    const char *end = strchr(out, '\n');
    if (end == NULL || sscanf(out, "%ld  %n", &n, &used) != 1 || n < 1 || n > PROMISES_MAX)
        return false;
    promised.entries = n;
    snprintf(promised.what[n], PROMISE_TEXT, "%.*s", (int)(end - out - used), out + used);
    return true;
}

int main(void)
{
    struct stream chance = {9};
    char folder[PATH_ROOM], records[2 * PATH_ROOM], text[40], why[WHY_ROOM];
    long kills = 0, wanted = long_run() ? KILLS_LONG : KILLS_SHORT;
    folder_make(folder);
    morning_small_dairy(folder);
    snprintf(records, sizeof records, "%s/" RECORDS_NAME, folder);
    promised.entries = records_entries(records);
    for (long i = 0; kills < wanted && promised.entries < PROMISES_MAX; i++) {
        struct run r;
        snprintf(text, sizeof text, "text=note %ld", i);
        const char *const words[] = {program(), "--db", records, "--at", "2026-05-03T07:00",
                                     "record",  "note", text,    NULL};
        const char *const undo[] = {program(), "--db", records, "--at", "2026-05-03T07:00", "undo", NULL};
        long before = records_entries(records);
        run_for(&r, i % 5 == 4 ? undo : words, NULL, 300 + stream_below(&chance, LATEST_US));
        kills += r.timed_out;
        /* An entry that was not printed may have been made all the same; then it counts from here. */
        if (!take_promise(r.out))
            promised.entries = before;
        if (!records_hold(records, &promised, 1, why))
            violation("kill %ld: %s", i, why);
        promised.entries = records_entries(records);
    }
    const char *const verify[] = {program(), "--db", records, "verify", NULL};
    struct run r;
    run(&r, verify, NULL, 20000);
    if (r.status != 0)
        violation("verify afterwards: %s%s", r.out, r.err);
    printf("  %ld entries made\n", promised.entries);
    folder_remove(folder);
    return finish("killed at any moment", kills, "kills");
}
