/* The power goes while the release program works. Scripted sessions are recorded, call by call; then, at
 * every point of each recording, disks are made as the power cut could have left them, and looked at: nothing
 * that was promised is lost, nothing is there by half, and the program opens what is left and goes on.
 *
 *   powercut SESSION            commands, board, upgrade or import
 *   powercut control            the same with a recorder that drops every sync: this must find losses
 *
 * Method after SQLite's own crash tests (sqlite.org, "How SQLite Is Tested", section 3.3) and ALICE (Pillai
 * et al., OSDI 2014): a crash at every point where something may have reached the disk. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/faults/board.h"
#include "tests/faults/disk.h"
#include "tests/faults/morning.h"
#include "tests/faults/records.h"

enum { IMAGES_SHORT = 2500, IMAGES_LONG = 100000, LOOK_EVERY = 250 };

/* A session: what was recorded, and what the folder held at its end. */
struct session {
    char folder[PATH_ROOM], log[2 * PATH_ROOM], before[PATH_ROOM];
    bool dropping; /* the control */
};

static char settings_text[4][3 * PATH_ROOM];
static const char *settings[6];

static void session_begin(struct session *s, bool dropping)
{
    folder_make(s->folder);
    folder_make(s->before);
    snprintf(s->log, sizeof s->log, "%s.log", s->folder);
    s->dropping = dropping;
    snprintf(settings_text[0], sizeof settings_text[0], "LD_PRELOAD=%s", SHIM_IO);
    snprintf(settings_text[1], sizeof settings_text[1], "SHIM_FOLDER=%s", s->folder);
    snprintf(settings_text[2], sizeof settings_text[2], "SHIM_LOG=%s", s->log);
    snprintf(settings_text[3], sizeof settings_text[3], dropping ? "SHIM_DROP=sync" : "SHIM_KEEP=sync");
    for (size_t i = 0; i < 4; i++)
        settings[i] = settings_text[i];
}

static void session_end(const struct session *s)
{
    folder_remove(s->folder);
    folder_remove(s->before);
    (void)unlink(s->log);
}

/* ---- recording ---- */

static void promise(const struct session *s, const char *text)
{
    struct record_head head = {RECORD_PROMISE, (int32_t)strlen(text) + 1, 0, 0};
    char both[sizeof head + 400];
    int fd = open(s->log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    memcpy(both, &head, sizeof head);
    snprintf(both + sizeof head, 400, "%s", text);
    if (fd < 0 || write(fd, both, sizeof head + (size_t)head.size) < 0)
        exit(2);
    (void)close(fd);
}

static void promise_step(const struct session *s, enum step_kind kind, const struct run *r)
{
    char text[400];
    if (kind == STEP_ENTRY) {
        snprintf(text, sizeof text, "entry %.380s", r->out);
        text[strcspn(text, "\n")] = '\0';
    } else {
        snprintf(text, sizeof text, kind == STEP_BACKUP ? "backup" : "export");
    }
    if (kind != STEP_LOOK)
        promise(s, text);
}

static long record_commands(const struct session *s)
{
    static struct morning m;
    long done = 0;
    morning_load(&m);
    for (int i = 0; i < m.steps; i++) {
        struct run r;
        char words[400];
        morning_run(&m, i, s->folder, &r, settings);
        if (r.signal != 0 || r.timed_out)
            violation("signal %d from: %s", r.signal, morning_words(&m, i, words));
        if (r.status != 0)
            continue; /* an example that the records of this morning do not allow */
        promise_step(s, m.step[i].kind, &r);
        done += m.step[i].kind == STEP_ENTRY;
    }
    return done;
}

/* Everything before the recording is on the disk. */
static void keep_before(const struct session *s)
{
    folder_copy(s->folder, s->before);
}

/* Presses a key and takes what the board then says for a promise. */
static bool press_act(const struct session *s, struct pty *p, const char *key, long *entries)
{
    char text[60];
    (void)pty_type(p, key);
    for (int wait = 0; wait < 100 && !board_says(p, *entries + 1); wait++)
        (void)pty_pump(p, 10, 10);
    if (!board_says(p, *entries + 1))
        return false;
    snprintf(text, sizeof text, "entries %ld", ++*entries);
    promise(s, text);
    return true;
}

/* Goes to the pane where the blank ticks something, ticks and takes back. */
static long press_acts(const struct session *s, struct pty *p, long entries)
{
    static const char *const keys[] = {" ", " ", "u", " ", " ", "u", "u", " ", " "};
    long done = 0;
    for (int panes = 0; panes < 4 && done == 0; panes++) {
        (void)pty_type(p, "\t");
        done += press_act(s, p, " ", &entries);
    }
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        done += press_act(s, p, keys[i], &entries);
    return done;
}

static long record_board(const struct session *s)
{
    char records[2 * PATH_ROOM], text[60];
    struct pty p;
    morning_small_dairy(s->folder);
    keep_before(s);
    snprintf(records, sizeof records, "%s/" RECORDS_NAME, s->folder);
    long entries = records_entries(records);
    snprintf(text, sizeof text, "entries %ld", entries);
    promise(s, text);
    board_open(&p, records, NULL, settings);
    long done = press_acts(s, &p, entries);
    board_leave(&p, "the recorded morning");
    if (done < 8)
        violation("the board said only %ld of 10 acts", done);
    return done;
}

static long record_import(const struct session *s)
{
    char records[2 * PATH_ROOM], other[2 * PATH_ROOM], text_folder[2 * PATH_ROOM], elsewhere[PATH_ROOM],
        text[60];
    struct run r;
    folder_make(elsewhere);
    morning_small_dairy(elsewhere);
    snprintf(other, sizeof other, "%s/" RECORDS_NAME, elsewhere);
    snprintf(text_folder, sizeof text_folder, "%s/out", elsewhere);
    snprintf(records, sizeof records, "%s/" RECORDS_NAME, s->folder);
    const char *const out[] = {program(), "--db", other, "export", text_folder, NULL};
    const char *const in[] = {program(), "--db", records, "import", text_folder, NULL};
    run(&r, out, NULL, 20000);
    long entries = records_entries(other);
    snprintf(text, sizeof text, "coming %ld", entries);
    promise(s, text);
    if (r.status == 0)
        run(&r, in, settings, 20000);
    if (r.status != 0)
        violation("export and import: %s", r.err);
    snprintf(text, sizeof text, "entries %ld", entries);
    promise(s, text);
    folder_remove(elsewhere);
    return 1;
}

/* A stored file of an old version, opened by this one. */
static bool record_upgrade(const struct session *s, int version)
{
    char script[PATH_ROOM], records[2 * PATH_ROOM], text[60];
    struct run r;
    size_t size;
    snprintf(script, sizeof script, "%s/data/records-%d.sql", TESTS_DIR, version);
    snprintf(records, sizeof records, "%s/" RECORDS_NAME, s->folder);
    char *sql = read_whole(script, &size);
    if (sql == NULL)
        return false;
    bool made = records_make(records, sql);
    free(sql);
    long entries = records_entries(records);
    if (!made || entries < 10)
        violation("%s does not load", script);
    keep_before(s);
    snprintf(text, sizeof text, "entries %ld", entries);
    promise(s, text);
    const char *const open[] = {program(), "--db", records,      "--at", "2026-05-03T08:00",
                                "record",  "note", "text=after", NULL};
    run(&r, open, settings, 20000);
    if (r.status != 0)
        violation("version %d does not open: %s", version, r.err);
    promise_step(s, STEP_ENTRY, &r);
    return true;
}

/* ---- replaying ---- */

struct replay {
    const struct session *session;
    struct disk *disk;
    struct promises promises;
    long coming;    /* entries that come all at once, or none of them; 0: one after another */
    long backed_up; /* entries that the promised copy holds; -1: none promised */
    bool exported;
    char scratch[PATH_ROOM];
    struct stream chance;
    long images, looked;
};

static void take_promise(struct replay *r, const char *text)
{
    long n = 0;
    int used = 0;
    if (sscanf(text, "entry %ld  %n", &n, &used) == 1 && n > 0 && n <= PROMISES_MAX) {
        r->promises.entries = n;
        snprintf(r->promises.what[n], PROMISE_TEXT, "%.199s", text + used);
    } else if (sscanf(text, "entries %ld", &n) == 1 && n <= PROMISES_MAX) {
        r->promises.entries = n;
        r->coming = 0;
    } else if (sscanf(text, "coming %ld", &n) == 1) {
        r->coming = n;
    } else if (strcmp(text, "backup") == 0) {
        r->backed_up = r->promises.entries;
    } else if (strcmp(text, "export") == 0) {
        r->exported = true;
    }
}

static void found(const struct replay *r, size_t at, const char *what, const char *why)
{
    if (!r->session->dropping)
        violation("%s at byte %zu of the recording, image %ld: %s", what, at, r->images, why);
    else
        violations++; /* the control only counts */
}

static void look_at_copy(const struct replay *r, size_t at)
{
    static struct promises copied;
    char path[2 * PATH_ROOM], why[WHY_ROOM];
    snprintf(path, sizeof path, "%s/" BACKUP_NAME, r->scratch);
    if (access(path, F_OK) != 0) {
        if (r->backed_up >= 0)
            found(r, at, "the copy", "it is gone");
        return;
    }
    copied = r->promises;
    copied.entries = r->backed_up < 0 ? 0 : r->backed_up;
    if (!records_hold(path, &copied, PROMISES_MAX, why))
        found(r, at, "the copy", why);
}

static bool same_file(const char *one, const char *two)
{
    size_t sizes[2] = {0, 0};
    char *first = read_whole(one, &sizes[0]), *second = read_whole(two, &sizes[1]);
    bool same =
        first != NULL && second != NULL && sizes[0] == sizes[1] && memcmp(first, second, sizes[0]) == 0;
    free(first);
    free(second);
    return same;
}

/* Whole or not there: each of these files was written once. */
static void look_at_text(const struct replay *r, size_t at)
{
    static const char *const some[] = {"dairy.csv", "cow.csv", "journal.csv", "numbering.csv", "columns.txt"};
    char path[2 * PATH_ROOM], kept[2 * PATH_ROOM];
    snprintf(path, sizeof path, "%s/" EXPORT_NAME, r->scratch);
    if (access(path, F_OK) != 0) {
        if (r->exported)
            found(r, at, "the text", "it is gone");
        return;
    }
    for (size_t i = 0; i < sizeof some / sizeof some[0]; i++) {
        snprintf(path, sizeof path, "%s/" EXPORT_NAME "/%s", r->scratch, some[i]);
        snprintf(kept, sizeof kept, "%s/" EXPORT_NAME "/%s", r->session->folder, some[i]);
        if (!same_file(path, kept))
            found(r, at, "the text", some[i]);
    }
}

/* The program itself opens what is left, finds it sound and goes on. */
static void let_program_look(const struct replay *r, size_t at)
{
    char path[2 * PATH_ROOM];
    struct run out;
    snprintf(path, sizeof path, "%s/" RECORDS_NAME, r->scratch);
    const char *const verify[] = {program(), "--db", path, "verify", NULL};
    const char *const go_on[] = {program(), "--db", path,           "--at", "2026-05-03T12:00",
                                 "record",  "note", "text=goes on", NULL};
    run(&out, go_on, NULL, 20000);
    /* Before the first promise there may be no dairy yet: then it says so. */
    if (out.signal != 0 || (out.status != 0 && r->promises.entries > 0))
        found(r, at, "going on", out.err);
    if (out.status == 0)
        run(&out, verify, NULL, 20000);
    if (out.signal != 0 || (out.status != 0 && r->promises.entries > 0))
        found(r, at, "verify", out.out);
}

static void crash_here(struct replay *r, size_t at)
{
    char path[2 * PATH_ROOM], why[WHY_ROOM];
    folder_clear(r->scratch);
    disk_crash(r->disk, &r->chance, r->scratch);
    snprintf(path, sizeof path, "%s/" RECORDS_NAME, r->scratch);
    if (!records_hold(path, &r->promises, r->coming > 0 ? r->coming : 1, why))
        found(r, at, "the records", why);
    long entries = r->coming > 0 ? records_entries(path) : 0;
    if (entries != 0 && entries != r->coming)
        found(r, at, "the records", "a part of what comes together");
    look_at_copy(r, at);
    look_at_text(r, at);
    if (++r->images % LOOK_EVERY == 0 && !r->session->dropping) {
        let_program_look(r, at);
        r->looked++;
    }
}

/* What was there before the recording began. */
static void put_before(struct disk *disk, const char *folder, struct recording *kept)
{
    static const char *const names[] = {RECORDS_NAME, RECORDS_NAME "-journal"};
    for (size_t i = 0; i < 2; i++) {
        char path[2 * PATH_ROOM];
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        if (!recording_read(&kept[i], path))
            continue;
        int64_t number = -1 - (int64_t)i;
        disk_apply(disk, &(struct record_head){RECORD_OPEN, 0, number, 0}, names[i]);
        disk_apply(disk, &(struct record_head){RECORD_WRITE, (int32_t)kept[i].size, number, 0},
                   kept[i].bytes);
        disk_apply(disk, &(struct record_head){RECORD_SYNC, 0, number, 0}, NULL);
    }
    disk_apply(disk, &(struct record_head){RECORD_FOLDER, 0, 0, 0}, "");
}

static size_t count_records(const struct recording *recording)
{
    struct record_head head;
    const char *bytes;
    size_t at = 0, n = 0;
    while (recording_next(recording, &at, &head, &bytes))
        n++;
    return n;
}

static long replay(const struct session *s, enum disk_names names, uint64_t seed, long images)
{
    static struct replay r;
    struct recording recording, kept[2] = {0};
    struct record_head head;
    const char *bytes;
    size_t at = 0;
    r = (struct replay){.session = s, .disk = disk_new(names), .backed_up = -1, .chance = {seed}};
    folder_make(r.scratch);
    if (!recording_read(&recording, s->log))
        violation("nothing was recorded");
    put_before(r.disk, s->before, kept);
    long points = (long)count_records(&recording) + 1, each = images > points ? images / points : 1;
    bool begun = false;
    while (recording_next(&recording, &at, &head, &bytes)) {
        begun = begun || head.op != RECORD_PROMISE;
        if (head.op == RECORD_PROMISE)
            take_promise(&r, bytes);
        else
            disk_apply(r.disk, &head, bytes);
        for (long i = 0; i < each && begun; i++)
            crash_here(&r, at);
    }
    printf("  %-8s %5ld records, %3ld promises, %ld times by the program itself\n",
           names == DISK_ORDERED ? "ordered" : "loose", points - 1, r.promises.entries, r.looked);
    disk_free(r.disk);
    recording_free(&recording);
    recording_free(&kept[0]);
    recording_free(&kept[1]);
    folder_remove(r.scratch);
    return r.images;
}

static long replay_both(const struct session *s, long images)
{
    return replay(s, DISK_ORDERED, 1, images) + replay(s, DISK_LOOSE, 2, images);
}

static long images_wanted(void)
{
    return long_run() ? IMAGES_LONG : IMAGES_SHORT;
}

/* ---- sessions ---- */

static int cut_session(const char *what, long (*record)(const struct session *s), long images)
{
    struct session s;
    session_begin(&s, false);
    (void)record(&s);
    images = replay_both(&s, images);
    session_end(&s);
    return finish(what, images, "images");
}

static int cut_upgrades(void)
{
    long images = 0, versions = 0;
    for (int version = 1; version < 100; version++) {
        struct session s;
        session_begin(&s, false);
        bool there = record_upgrade(&s, version);
        if (there)
            images += replay_both(&s, images_wanted() / 4);
        session_end(&s);
        versions += there;
        if (!there)
            break;
    }
    if (versions == 0)
        violation("no stored file of an old version");
    return finish("power cut: a file of every old version", images, "images");
}

/* A test that watches for losses must see them when there are some. */
static int control(void)
{
    struct session s;
    session_begin(&s, true);
    (void)record_commands(&s);
    long images = replay_both(&s, IMAGES_SHORT / 10), seen = violations;
    session_end(&s);
    printf("%-44s %8ld %-10s %ld losses seen, as there must be\n", "control: no sync reaches the disk",
           images, "images", seen);
    return seen > 0 ? 0 : 1;
}

int main(int argc, char *argv[])
{
    const char *session = argc > 1 ? argv[1] : "";
    (void)program();
    if (strcmp(session, "commands") == 0)
        return cut_session("power cut: a morning by commands", record_commands, images_wanted());
    if (strcmp(session, "board") == 0)
        return cut_session("power cut: a morning on the board", record_board, images_wanted() / 2);
    if (strcmp(session, "import") == 0)
        return cut_session("power cut: reading an export back", record_import, images_wanted() / 4);
    if (strcmp(session, "upgrade") == 0)
        return cut_upgrades();
    if (strcmp(session, "control") == 0)
        return control();
    fprintf(stderr, "powercut commands|board|import|upgrade|control\n");
    return 2;
}
