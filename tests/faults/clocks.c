/* The release program under clocks that are set, that sleep, that wake up in another age, in other zones.
 * What a step does to every countdown is looked at in tests/tui; here it is the whole program, with the
 * computer's own clock. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "tests/faults/board.h"
#include "tests/faults/morning.h"
#include "tests/faults/records.h"

static char folder[PATH_ROOM], records[2 * PATH_ROOM], clock_file[2 * PATH_ROOM];
static char preload[PATH_ROOM], clock_setting[3 * PATH_ROOM];
static long cases;

/* Seconds of UTC, by the C library's own calendar. */
static long utc(int year, int month, int day, int hour, int minute, int second)
{
    struct tm tm = {.tm_year = year - 1900,
                    .tm_mon = month - 1,
                    .tm_mday = day,
                    .tm_hour = hour,
                    .tm_min = minute,
                    .tm_sec = second};
    return (long)timegm(&tm);
}

/* 06:30 on the small dairy's morning, in New York. */
static long morning_utc(void)
{
    return utc(2026, 5, 3, 10, 30, 0);
}

/* In one step, since the program may read it at any moment. */
static void move_clocks(long wall, long boot)
{
    char fresh[3 * PATH_ROOM];
    snprintf(fresh, sizeof fresh, "%s.new", clock_file);
    FILE *f = fopen(fresh, "w");
    if (f == NULL || fprintf(f, "%ld %ld\n", wall, boot) < 0 || fclose(f) != 0 ||
        rename(fresh, clock_file) != 0)
        exit(2);
}

/* Makes it that time now. */
static long set_time(long seconds)
{
    long wall = seconds - (long)time(NULL);
    move_clocks(wall, 0);
    return wall;
}

static void fresh(void)
{
    folder_clear(folder);
    morning_small_dairy(folder);
}

static void command(struct run *r, const char *zone, const char *const words[])
{
    char tz[80];
    const char *line[20] = {program(), "--db", records}, *const settings[] = {preload, clock_setting, tz,
                                                                              NULL};
    int n = 3;
    snprintf(tz, sizeof tz, "TZ=%s", zone);
    for (int i = 0; words[i] != NULL; i++)
        line[n++] = words[i];
    line[n] = NULL;
    run(r, line, settings, 20000);
    cases++;
}

static const char *const note[] = {"record", "note", "text=x", NULL}, *const undo[] = {"undo", NULL},
                         *const journal[] = {"show", "journal", NULL};

static void in_another_age(void)
{
    static const struct {
        const char *what;
        int year, month, day;
    } ages[] = {{"1970", 1970, 1, 1},
                {"2099", 2099, 5, 3},
                {"two days before", 2026, 5, 1},
                {"a year after", 2027, 5, 3}};
    static const char *const told[] = {"--at", "2026-05-03T07:00", "record", "note", "text=told", NULL};
    for (size_t i = 0; i < sizeof ages / sizeof ages[0]; i++) {
        struct run r;
        fresh();
        set_time(utc(ages[i].year, ages[i].month, ages[i].day, 10, 30, 0));
        command(&r, "America/New_York", note);
        if (r.status != 1 || strstr(r.err, "The computer's clock says") == NULL)
            violation("%s: note: exit %d, %s%s", ages[i].what, r.status, r.out, r.err);
        command(&r, "America/New_York", undo);
        if (r.status != 1 || records_entries(records) != SMALL_DAIRY_ENTRIES)
            violation("%s: undo: exit %d, %s%s", ages[i].what, r.status, r.out, r.err);
        command(&r, "America/New_York", journal);
        if (r.status != 0)
            violation("%s: cannot be looked at: %s", ages[i].what, r.err);
        command(&r, "America/New_York", told);
        if (r.status != 0 || records_entries(records) != SMALL_DAIRY_ENTRIES + 1)
            violation("%s: told the time: %s", ages[i].what, r.err);
    }
}

static void on_odd_days(void)
{
    static const struct {
        int year, month, day, hour, minute, second;
        const char *zone, *shows;
    } days[] = {
        {2028, 2, 29, 12, 0, 0, "America/New_York", "29 Feb"},
        {2026, 12, 31, 23, 59, 59, "UTC", "31 Dec"},
        {2027, 1, 1, 0, 0, 0, "UTC", "1 Jan"},
        {2026, 11, 1, 5, 30, 0, "America/New_York", "01:30"},  /* the first half past one */
        {2026, 11, 1, 6, 30, 0, "America/New_York", "01:30"},  /* the second */
        {2026, 3, 8, 7, 0, 0, "America/New_York", "03:00"},    /* after the hour that is skipped */
        {2026, 5, 3, 12, 0, 0, "Pacific/Kiritimati", "02:00"}, /* fourteen hours ahead */
        {2026, 5, 3, 12, 0, 0, "Asia/Kathmandu", "17:45"},     /* with a quarter */
    };
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        struct run r;
        char made[3 * PATH_ROOM];
        const char *const begin[] = {"record", "dairy", "name=x", NULL};
        folder_clear(folder);
        set_time(utc(days[i].year, days[i].month, days[i].day, days[i].hour, days[i].minute, days[i].second));
        command(&r, days[i].zone, begin);
        snprintf(made, sizeof made, "%.1000s", r.err);
        command(&r, days[i].zone, journal);
        if (r.status != 0 || strstr(r.out, days[i].shows) == NULL)
            violation("%s: %s%s", days[i].shows, made, r.out);
    }
}

/* The same records seen from two zones are the same moments. */
static void in_another_zone(void)
{
    struct run here, there;
    static const char *const json[] = {"show", "journal", "--json", NULL};
    fresh();
    set_time(morning_utc());
    command(&here, "America/New_York", json);
    command(&there, "Europe/Paris", json);
    if (strstr(here.out, "2026-05-03T06:10:00-04:00") == NULL ||
        strstr(there.out, "2026-05-03T12:10:00+02:00") == NULL)
        violation("zones: %.300s", there.out);
}

static void open_board(struct pty *p)
{
    const char *const words[] = {program(), "--db", records, NULL}, *const settings[] = {preload,
                                                                                         clock_setting, NULL};
    pty_open(p, words, settings, "xterm-256color", 30, 100);
    if (!pty_wait_for(p, "CHORES", 20000))
        violation("the board did not open");
}

/* An alarm stands before the message. One press for each: a second before the answer would be a tick. */
static void hear_alarm(struct pty *p)
{
    long before = p->bytes;
    (void)pty_type(p, " ");
    for (int wait = 0; wait < 500 && p->bytes == before; wait++)
        (void)pty_pump(p, 20, 20);
    (void)pty_pump(p, 50, 1000);
}

static void on_the_board(const char *what, long wall_by, long boot_by, const char *says)
{
    struct pty p;
    fresh();
    long wall = set_time(morning_utc());
    open_board(&p);
    if (!pty_shows(&p, "Sun 3 May 06:3"))
        violation("%s: the board does not show the time", what);
    move_clocks(wall + wall_by, boot_by);
    (void)pty_type(&p,
                   "\t"); /* the kernel's cancelling of a timer cannot be played; a key wakes it as well */
    for (int wait = 0; wait < 500 && !pty_shows(&p, says); wait++) {
        (void)pty_pump(&p, 20, 20);
        if (wait % 10 == 9 && pty_shows(&p, "Space: heard"))
            hear_alarm(&p);
    }
    if (!pty_shows(&p, says))
        violation("%s: not said", what);
    if (!board_answers(&p))
        violation("%s: no answer to keys", what);
    board_leave(&p, what);
    cases++;
}

int main(void)
{
    (void)program();
    folder_make(folder);
    snprintf(records, sizeof records, "%s/" RECORDS_NAME, folder);
    snprintf(clock_file, sizeof clock_file, "%s.clock", folder);
    snprintf(preload, sizeof preload, "LD_PRELOAD=%s", SHIM_CLOCK);
    snprintf(clock_setting, sizeof clock_setting, "SHIM_CLOCK=%s", clock_file);
    in_another_age();
    on_odd_days();
    in_another_zone();
    on_the_board("set forward by an hour", 3600, 0, "The clock was set forward by 1 h 00");
    on_the_board("set back by an hour", -3600, 0, "The clock was set back by 1 h 00");
    on_the_board("eight hours of sleep", 28800, 28800, "The computer slept for 8 h 00");
    on_the_board("1970 after a moment", utc(1970, 1, 1, 0, 0, 0) - morning_utc(), 0,
                 "The computer's clock says");
    (void)unlink(clock_file);
    folder_remove(folder);
    return finish("clocks set, asleep, in another age or zone", cases, "cases");
}
