/* Disks that are full, fill up, may only be read, are slow, or set a limit: what was there stays and is
 * shown, what cannot be saved is said not to be, keys are answered all the while, and when there is room
 * again the program goes on. Needs to mount a small disk in memory: as root, or in a name space of its own.
 */
#include <errno.h>
#include <fcntl.h>
#include <sched.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/faults/board.h"
#include "tests/faults/morning.h"
#include "tests/faults/records.h"

/* Room for some entries and no second copy of the records; and room enough. */
enum { NOBODY = 65534, ROOM_KIB = 128, AMPLE_KIB = 4096 };

static char folder[PATH_ROOM], disk[2 * PATH_ROOM], records[3 * PATH_ROOM], filler[3 * PATH_ROOM],
    made[2 * PATH_ROOM];
static long cases;

static void write_text(const char *file, const char *text)
{
    int fd = open(file, O_WRONLY);
    if (fd >= 0 && write(fd, text, strlen(text)) >= 0)
        (void)close(fd);
}

/* A view of the file system of our own, in which disks can be mounted. False where that is not allowed. */
static bool own_mounts(void)
{
    char map[60];
    unsigned uid = geteuid(), gid = getegid();
    if (unshare(CLONE_NEWNS) != 0) {
        if (unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0)
            return false;
        write_text("/proc/self/setgroups", "deny");
        snprintf(map, sizeof map, "0 %u 1", uid);
        write_text("/proc/self/uid_map", map);
        snprintf(map, sizeof map, "0 %u 1", gid);
        write_text("/proc/self/gid_map", map);
    }
    return mount("none", "/", NULL, MS_REC | MS_PRIVATE, NULL) == 0;
}

static void copy_records(void)
{
    size_t size;
    char *bytes = read_whole(made, &size);
    int fd = open(records, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (bytes == NULL || write(fd, bytes, size) != (ssize_t)size) {
        perror(records);
        exit(2);
    }
    (void)close(fd);
    free(bytes);
}

/* Mounts a disk that holds the records and has so much room beside them. */
static void disk_mount(long room_kib)
{
    struct stat st;
    char options[60];
    (void)mkdir(disk, 0755);
    if (stat(made, &st) != 0)
        exit(2);
    snprintf(options, sizeof options, "size=%ldk", (long)st.st_size / 1024 + room_kib);
    if (mount("small", disk, "tmpfs", 0, options) != 0) {
        perror("mount");
        exit(2);
    }
    copy_records();
}

static void disk_unmount(void)
{
    if (umount2(disk, MNT_DETACH) != 0)
        perror("umount");
}

static void fill_up(void)
{
    static char block[4096];
    int fd = open(filler, O_WRONLY | O_CREAT | O_APPEND, 0600);
    memset(block, 'x', sizeof block);
    while (write(fd, block, sizeof block) > 0)
        continue;
    (void)close(fd);
}

static void expect_entries(const char *what, long wanted)
{
    static struct promises none;
    char why[WHY_ROOM];
    none.entries = wanted;
    if (!records_hold(records, &none, 0, why))
        violation("%s: %s", what, why);
    cases++;
}

/* One command, which has to be refused with these words, or to succeed (NULL). */
static void expect_run(const char *what, const char *const front[], const char *says,
                       const char *const words[])
{
    struct run r;
    const char *line[30];
    int n = 0;
    for (int i = 0; front != NULL && front[i] != NULL; i++)
        line[n++] = front[i];
    line[n++] = front == NULL ? program() : program_copy();
    line[n++] = "--db";
    line[n++] = records;
    line[n++] = "--at";
    line[n++] = "2026-05-03T06:30";
    for (int i = 0; words[i] != NULL; i++)
        line[n++] = words[i];
    line[n] = NULL;
    run(&r, line, NULL, 20000);
    if (r.signal != 0 || r.timed_out)
        violation("%s, %s: signal %d, hung %d", what, words[0], r.signal, r.timed_out);
    else if (says == NULL ? r.status != 0 : r.status != 1 || strstr(r.err, says) == NULL)
        violation("%s, %s: exit %d: %s", what, words[0], r.status, r.err);
    cases++;
}

static const char *const show[] = {"show", "board", NULL}, *const verify[] = {"verify", NULL},
                         *const note[] = {"record", "note", "text=x", NULL};

/* The board under the same: it shows what there is, refuses with these words, and answers. */
static void expect_board(const char *what, const char *const front[], const char *const settings[],
                         const char *says)
{
    struct pty p;
    board_open(&p, records, front, settings);
    if (!pty_shows(&p, "Maud"))
        violation("%s: the board shows nothing", what);
    if (!board_refuses(&p, SMALL_DAIRY_ENTRIES + 1, says))
        violation("%s: the board says that it is saved, or does not say \"%s\"", what, says);
    if (!board_answers(&p))
        violation("%s: the board does not answer keys", what);
    board_leave(&p, what);
    cases++;
}

static void full_from_the_start(void)
{
    disk_mount(ROOM_KIB);
    fill_up();
    expect_run("full disk", NULL, NULL, show);
    expect_run("full disk", NULL, NULL, verify);
    expect_run("full disk", NULL, "Not saved: the disk is full", note);
    expect_board("full disk", NULL, NULL, "Not saved: the disk is full");
    expect_entries("full disk", SMALL_DAIRY_ENTRIES);
    (void)unlink(filler);
    expect_run("room again", NULL, NULL, note);
    expect_entries("room again", SMALL_DAIRY_ENTRIES + 1);
    disk_unmount();
}

static void full_while_open(void)
{
    struct pty p;
    disk_mount(ROOM_KIB);
    board_open(&p, records, NULL, NULL);
    if (!board_ticks(&p, SMALL_DAIRY_ENTRIES + 1))
        violation("filling up: nothing saved while there was room");
    fill_up();
    if (!board_refuses(&p, SMALL_DAIRY_ENTRIES + 2, "the disk is full"))
        violation("filling up: not said");
    if (!board_answers(&p))
        violation("filling up: no answer to keys");
    (void)unlink(filler);
    if (!board_ticks(&p, SMALL_DAIRY_ENTRIES + 2))
        violation("filling up: does not go on when there is room again");
    board_leave(&p, "filling up");
    expect_entries("filling up", SMALL_DAIRY_ENTRIES + 2);
    disk_unmount();
}

/* A copy that does not fit leaves the old one and nothing else. */
static void no_room_for_copies(void)
{
    char copy[4 * PATH_ROOM], text[4 * PATH_ROOM];
    disk_mount(ROOM_KIB);
    snprintf(copy, sizeof copy, "%s/copy.db", disk);
    snprintf(text, sizeof text, "%s/text", disk);
    const char *const backup[] = {"backup", copy, NULL};
    expect_run("no room for a copy", NULL, "full", backup);
    if (access(copy, F_OK) == 0)
        violation("no room for a copy: half a copy is left");
    fill_up();
    const char *const export[] = {"export", text, NULL};
    expect_run("no room for text", NULL, "No space left", export);
    if (access(text, F_OK) == 0)
        violation("no room for text: a part is left");
    struct run r;
    const char *const list[] = {"/bin/ls", "-A", disk, NULL};
    run(&r, list, NULL, 5000);
    if (strstr(r.out, ".new-") != NULL)
        violation("no room: left behind: %s", r.out);
    disk_unmount();
}

/* The largest file that may be written: the kernel sends SIGXFSZ, which kills who does not expect it. */
static void file_size_limit(void)
{
    const char *const front[] = {"/usr/bin/prlimit", "--fsize=4096", NULL};
    disk_mount(AMPLE_KIB);
    expect_run("limited file size", front, NULL, show);
    expect_run("limited file size", front, "Not saved", note);
    expect_board("limited file size", front, NULL, "Not saved");
    expect_entries("limited file size", SMALL_DAIRY_ENTRIES);
    disk_unmount();
}

static void as_nobody(const char *what)
{
    const char *const front[] = {"/usr/bin/setpriv", "--reuid=65534", "--regid=65534", "--clear-groups",
                                 NULL};
    const char *const *who = geteuid() == 0 ? front : NULL;
    expect_run(what, who, NULL, show);
    expect_run(what, who, NULL, verify);
    expect_run(what, who, "can only be read", note);
    expect_board(what, who, NULL, "can only be read");
    expect_entries(what, SMALL_DAIRY_ENTRIES);
}

static void own_records(mode_t file, mode_t in)
{
    char journal[4 * PATH_ROOM];
    snprintf(journal, sizeof journal, "%s-journal", records);
    (void)unlink(journal);
    if (chmod(records, file) != 0 || chown(records, NOBODY, NOBODY) != 0 || chmod(disk, in) != 0 ||
        chown(disk, NOBODY, NOBODY) != 0)
        perror("records of nobody");
}

static void read_only(void)
{
    disk_mount(AMPLE_KIB);
    own_records(0400, 0700);
    as_nobody("read-only file");
    disk_unmount();
    disk_mount(AMPLE_KIB);
    own_records(0600, 0500);
    as_nobody("read-only folder");
    disk_unmount();
    disk_mount(AMPLE_KIB);
    own_records(0600, 0700);
    if (mount("small", disk, "tmpfs", MS_REMOUNT | MS_RDONLY, NULL) != 0)
        violation("cannot be made read-only: %s", strerror(errno));
    as_nobody("read-only medium");
    disk_unmount();
}

/* Each sync takes half a second: an entry then takes two, but no key is lost and none is done twice. */
static void slow(void)
{
    struct pty p;
    char preload[PATH_ROOM], shim_folder[3 * PATH_ROOM];
    const char *const settings[] = {preload, shim_folder, "SHIM_SLOW=500", NULL};
    snprintf(preload, sizeof preload, "LD_PRELOAD=%s", SHIM_IO);
    snprintf(shim_folder, sizeof shim_folder, "SHIM_FOLDER=%s", disk);
    disk_mount(AMPLE_KIB);
    board_open(&p, records, NULL, settings);
    (void)pty_type(&p, "\t\t  "); /* to the chores, and tick two */
    for (int wait = 0; wait < 300 && !board_says(&p, SMALL_DAIRY_ENTRIES + 2); wait++)
        (void)pty_pump(&p, 50, 50);
    if (!board_says(&p, SMALL_DAIRY_ENTRIES + 2))
        violation("slow disk: two keys did not make two entries");
    if (!board_answers(&p))
        violation("slow disk: no answer to keys");
    board_leave(&p, "slow disk");
    expect_entries("slow disk", SMALL_DAIRY_ENTRIES + 2);
    disk_unmount();
}

int main(void)
{
    (void)program();
    (void)program_copy();
    folder_make(folder);
    (void)chmod(folder, 0755);
    morning_small_dairy(folder);
    snprintf(made, sizeof made, "%s/" RECORDS_NAME, folder);
    snprintf(disk, sizeof disk, "%s/disk", folder);
    snprintf(records, sizeof records, "%s/" RECORDS_NAME, disk);
    snprintf(filler, sizeof filler, "%s/filler", disk);
    if (!own_mounts()) {
        printf("no disk can be mounted here\n");
        folder_remove(folder);
        return 77;
    }
    full_from_the_start();
    full_while_open();
    no_room_for_copies();
    file_size_limit();
    read_only();
    slow();
    folder_remove(folder);
    return finish("disks full, limited, read-only, slow", cases, "cases");
}
