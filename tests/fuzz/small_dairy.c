#include "tests/fuzz/small_dairy.h"

#include <fcntl.h>
#include <string.h>
#include <unistd.h>

#include "core/base/file.h"
#include "tests/fuzz/target.h"

static char *bytes;
static size_t byte_count;

/* One act a line: when, kind, and words parted by blanks ('_' stands for a blank within one). */
static const char *const acts[] = {
    "2026-04-01T20:00 dairy name=Test keeper=Ann units=us stalls=3 tub=4gal tap=55F room=60F fridge=38F",
    "2026-04-01T20:01 cow name=Maud breed=Jersey stall=1 calved=2026-01-31 calvings=2",
    "2026-04-01T20:02 cow name=Tib breed=Ayrshire stall=2 calved=2025-12-01 calvings=1",
    "2026-04-01T20:03 jars kind=half-gallon count=12",
    "2026-04-01T20:04 jars kind=quart count=6",
    "2026-04-02T20:00 person name=Ida contact=the_green_house share=2qt",
    "2026-04-02T20:01 part name=liners milkings=1200 days=120",
    "2026-04-10T08:00 heat cow=Maud signs=stands",
    "2026-04-10T20:00 service cow=Maud by=bull sire=Oak",
    "2026-04-12T08:00 weigh cow=Tib girth=66in",
    "2026-04-12T08:01 condition cow=Tib score=3",
    "2026-05-01T06:20 milk cow=Maud mass=44lb strip=clean disc=clean",
    "2026-05-01T06:30 milk cow=Tib mass=30lb strip=clean disc=clean",
    "2026-05-01T06:40 pour jars=3xhalf-gallon from=Maud,Tib temp=95F bath=34F",
    "2026-05-01T07:40 pull to=fridge",
    "2026-05-02T06:20 milk cow=Maud mass=45lb strip=clean disc=clean",
    "2026-05-02T06:30 quarter cow=Tib LF=1",
    "2026-05-02T06:31 treat cow=Tib product=Tube active=x why=mastitis milk_hours=96 meat_days=5 by=Ann",
    "2026-05-02T06:40 pour jars=2xhalf-gallon from=Maud temp=95F bath=34F",
    "2026-05-02T07:40 pull to=fridge",
    "2026-05-02T18:00 taste flavour=oxidised score=2",
    "2026-05-02T18:01 note text=the_gate_sticks",
    "2026-05-03T06:00 milking state=start",
    "2026-05-03T06:10 ice mass=20lb",
    "2026-05-03T06:20 milk cow=Maud mass=46lb strip=clean disc=clean",
    "2026-05-03T06:25 pour jars=3xhalf-gallon from=Maud temp=95F bath=34F",
    "2026-05-03T06:35 reading at_place=tub temp=36F",
};

static struct instant moment(const char *text)
{
    struct instant t = {0};
    struct fail f = {0};
    FUZZ_CHECK(instant_parse(text, t, &t, &f) == 0);
    return t;
}

struct instant small_dairy_now(void)
{
    return moment(SMALL_DAIRY_AT);
}

static int done, refused;

static void do_act(struct dairy *d, const char *line)
{
    char copy[300], *rest = copy, *word;
    struct form form;
    struct act_done result;
    struct fail f = {0};
    snprintf(copy, sizeof copy, "%s", line);
    struct instant at = moment(strsep(&rest, " "));
    const struct act_kind *kind = act_find(strsep(&rest, " "));
    FUZZ_CHECK(kind != NULL);
    act_form(d, kind, at, &form);
    while ((word = strsep(&rest, " ")) != NULL) {
        for (char *p = word; *p != '\0'; p++)
            if (*p == '_' && p > strchr(word, '='))
                *p = ' ';
        (void)form_set_pair(&form, word, &f);
    }
    if (dairy_record(d, kind, &form, at, &result, &f) == 0)
        done++;
    else if (refused++ < 20 && getenv("FUZZ_SAY") != NULL)
        fprintf(stderr, "small dairy: %s: %s\n", line, f.text);
}

void small_dairy_make(void)
{
    struct dairy *d = NULL;
    struct fail f = {0};
    fuzz_folder();
    const char *path = fuzz_path("master.db");
    FUZZ_CHECK(dairy_open(path, DAIRY_SCRATCH, &d, &f) == 0);
    for (size_t i = 0; i < sizeof acts / sizeof acts[0]; i++)
        do_act(d, acts[i]);
    /* The words of acts change with the program; most must still be understood. */
    FUZZ_CHECK(done >= 20);
    FUZZ_CHECK(dairy_settle(d, &f) == 0);
    dairy_close(d);
    FUZZ_CHECK(file_read(path, &bytes, &byte_count, &f) == 0);
}

const char *small_dairy_bytes(size_t *size)
{
    *size = byte_count;
    return bytes;
}

const char *small_dairy_file(const char *name)
{
    char journal[200];
    const char *path = fuzz_path(name);
    snprintf(journal, sizeof journal, "%s-journal", path);
    (void)unlink(journal);
    int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    FUZZ_CHECK(fd >= 0 && write(fd, bytes, byte_count) == (ssize_t)byte_count && close(fd) == 0);
    return path;
}
