/* Milk is never kept by mistake: a year of random treatments, calvings, findings and milkings, recorded through
 * acts, against a calendar on which every minute that a hold covers is crossed out by hand. */
#include <stdarg.h>

#include "core/day/holds.h"
#include "core/day/inside.h"
#include "core/day/relief_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

enum {
    YEAR_MINUTES = 365 * 24 * 60,
    COWS = 2,
    CHANGES = 2,
    BATCHES_LEAST = 120,
    REFUSED_LEAST = 40,
    EXACT_LEAST = 3
};

static const char *const names[COWS] = {"Maud", "Tib"};

/* When clocks change in the tests' zone: forward, and back (15 U.S.C. 260a: 2 a.m. on the second Sunday of March and
 * on the first of November). Days of the year that begins the test, 0 its first. */
static const struct {
    int day;
    const char *before, *after; /* the minute before it and the first minute after it */
    int hours;                  /* of a hold from the milking before, that ends soon after the next one should begin */
} changes[CHANGES] = {
    {67, "2025-03-09T01:59-05:00", "2025-03-09T03:00-04:00", 25},
    {305, "2025-11-02T01:59-04:00", "2025-11-02T01:00-05:00", 27},
};

struct cow_year {
    bool crossed[YEAR_MINUTES + 1]; /* her milk of that minute is not to be kept */
    bool dry, abnormal, reactor, more;
    int course_from, course_dose, course_hours; /* a course that runs; course_from < 0: none */
    int exact_from, exact_at;                   /* first and last minute of her latest hold that ends by the clock */
    int eve_from, eve_to;                       /* of the one that was made on the eve of a change */
    int calve_at, calved_at, counted;           /* minutes; -1; milkings counted since */
    int abnormal_from, reactor_from, dry_until, fresh_hours; /* of a dry-cow product */
};

struct year {
    struct dairy *d;
    struct stream s;
    struct instant start;
    struct cow_year cow[COWS];
    int fresh_milkings;
    int twice, refused, exact;
    int change_at[CHANGES], across[CHANGES]; /* minutes; milked at the edge of a hold that runs across */
};

static struct instant minute_at(const struct year *y, int minute)
{
    return (struct instant){y->start.s + (int64_t)minute * 60};
}

/* Crosses out every minute from the first to the last, both included. */
static void cross_out(struct cow_year *c, int from, int to)
{
    for (int m = from < 0 ? 0 : from; m <= to && m <= YEAR_MINUTES; m++)
        c->crossed[m] = true;
}

static bool act(struct year *y, int minute, const char *kind, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

static bool act(struct year *y, int minute, const char *kind, const char *format, ...)
{
    char words[400], at[CIVIL_TEXT_MAX];
    struct act_done done;
    struct fail f = {0};
    va_list args;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    bool taken = rig_try(y->d, instant_iso_local(minute_at(y, minute), at), kind, words, &done, &f);
    if (!taken && strcmp(kind, "pour") != 0)
        ck_abort_msg("%s %s %s: %s", at, kind, words, f.text);
    return taken;
}

/* ---- what happens to her ---- */

static void treat(struct year *y, int i, int minute)
{
    struct cow_year *c = &y->cow[i];
    int hours = 12 * stream_below(&y->s, 12);
    bool more = stream_below(&y->s, 2) == 0, typed = stream_below(&y->s, 3) > 0;
    if (c->course_from >= 0)
        return;
    if (typed)
        act(y, minute, "treat", "cow=%s  product=tube  milk_hours=%dh  more=%s", names[i], hours, more ? "yes" : "no");
    else
        act(y, minute, "treat", "cow=%s  product=tube  more=%s", names[i], more ? "yes" : "no");
    c->course_from = c->course_dose = minute;
    c->more = more;
    c->course_hours = hours;
    if (typed && !more) {
        cross_out(c, minute, minute + 60 * hours);
        c->exact_from = minute;
        c->exact_at = minute + 60 * hours;
        c->course_from = -1;
    }
}

/* A course goes on: another dose, or the hours are typed at last and it ends. */
static void go_on(struct year *y, int i, int minute)
{
    struct cow_year *c = &y->cow[i];
    if (c->course_from < 0)
        return;
    if (stream_below(&y->s, 3) == 0) {
        if (!c->more)
            act(y, minute, "label", "cow=%s  product=tube  more=yes", names[i]);
        c->more = true;
        act(y, minute + 1, "dose", "cow=%s  more=yes", names[i]);
        c->course_dose = minute + 1;
        return;
    }
    act(y, minute, "label", "cow=%s  product=tube  milk_hours=%dh  more=no", names[i], c->course_hours);
    cross_out(c, c->course_from, c->course_dose + 60 * c->course_hours);
    c->exact_from = c->course_from;
    c->exact_at = c->course_dose + 60 * c->course_hours;
    c->course_from = -1;
}

static void hold(struct year *y, int i, int minute)
{
    char until[CIVIL_TEXT_MAX];
    struct cow_year *c = &y->cow[i];
    int length = 60 * (1 + stream_below(&y->s, 100));
    if (stream_below(&y->s, 2) == 0)
        act(y, minute, "hold", "cow=%s  hours=%dh  why=powder", names[i], length / 60);
    else
        act(y, minute, "hold", "cow=%s  until=%s  why=new hay", names[i],
            instant_iso_local(minute_at(y, minute + length), until));
    cross_out(c, minute, minute + length);
    c->exact_from = minute;
    c->exact_at = minute + length;
}

/* On the eve of a change of clocks a hold that ends after it: of one cow by hand, of the other by a label. */
static void hold_across(struct year *y, int i, int minute, int hours)
{
    struct cow_year *c = &y->cow[i];
    if (c->dry)
        return;
    if (i == 0 || c->course_from >= 0)
        act(y, minute, "hold", "cow=%s  hours=%dh  why=powder", names[i], hours);
    else
        act(y, minute, "treat", "cow=%s  product=drench  milk_hours=%dh  more=no", names[i], hours);
    cross_out(c, minute, minute + 60 * hours);
    c->eve_from = minute;
    c->eve_to = minute + 60 * hours;
}

static void test(struct year *y, int i, int minute)
{
    struct cow_year *c = &y->cow[i];
    act(y, minute, "tested", "cow=%s  test=brucellosis  result=%s", names[i], c->reactor ? "clear" : "doubtful");
    if (c->reactor)
        cross_out(c, c->reactor_from, minute);
    c->reactor = !c->reactor;
    c->reactor_from = minute;
}

static void dry_off(struct year *y, int i, int minute)
{
    struct cow_year *c = &y->cow[i];
    int dry_days = 30 + stream_below(&y->s, 30), fresh_hours = 12 * stream_below(&y->s, 12),
        left = 30 + stream_below(&y->s, 40);
    /* No cow calves twice in 270 days, and the records refuse it. */
    bool too_soon = c->calved_at >= 0 && minute + left * 1440 < c->calved_at + 270 * 1440;
    /* One of them is in milk whenever clocks change. */
    for (int j = 0; j < CHANGES; j++)
        too_soon = too_soon || (i == 0 && minute < y->change_at[j] && y->change_at[j] < minute + left * 1440);
    if (c->dry || too_soon || minute + (left + 20) * 1440 > YEAR_MINUTES)
        return;
    act(y, minute, "dry", "cow=%s", names[i]);
    act(y, minute + 1, "treat", "cow=%s  product=dry tube  dry=yes  dry_days=%dd  fresh_hours=%dh", names[i], dry_days,
        fresh_hours);
    c->dry = true;
    c->calve_at = minute + left * 1440;
    c->dry_until = minute + 1 + dry_days * 1440;
    c->fresh_hours = fresh_hours;
    cross_out(c, minute + 1, c->calve_at);
}

/* Of a calving without its hour every hour of the day is possible: the rule counts from the day's end. */
static void calve(struct year *y, int i, int minute)
{
    struct cow_year *c = &y->cow[i];
    char day[CIVIL_TEXT_MAX];
    struct date on = instant_date(minute_at(y, minute));
    int from = minute, begin = minute;
    bool day_only = stream_below(&y->s, 2) == 0;
    if (day_only) {
        act(y, minute, "calving", "cow=%s  calf=bull  at=%s", names[i], date_iso(on, day));
        begin = (int)((date_start(on).s - y->start.s) / 60);
        from = (int)((date_start(date_add(on, 1)).s - y->start.s) / 60);
    } else {
        act(y, minute, "calving", "cow=%s  calf=bull", names[i]);
    }
    cross_out(c, begin, from + 5 * 1440);
    int both_from = from > c->dry_until ? from : c->dry_until;
    cross_out(c, minute, both_from + 60 * c->fresh_hours);
    act(y, minute + 1, "cow", "name=%s's calf  left=sold", names[i]);
    c->dry = false;
    c->calve_at = -1;
    c->calved_at = from;
    c->counted = 0;
}

/* ---- milking ---- */

static void milk(struct year *y, int i, int minute)
{
    struct cow_year *c = &y->cow[i];
    bool odd = stream_below(&y->s, 40) == 0;
    act(y, minute, "milk", "cow=%s  mass=18lb  strip=%s", names[i], odd ? "LF:clots" : "clean");
    if (c->calved_at >= 0 && minute >= c->calved_at && c->counted < y->fresh_milkings) {
        c->counted++;
        c->crossed[minute] = true;
    }
    if (odd && !c->abnormal) {
        c->abnormal = true;
        c->abnormal_from = minute;
    }
    if (odd)
        return;
    /* Some while later she looks clean, and somebody says so: her milk from this milking on is free. */
    if (c->abnormal && stream_below(&y->s, 4) == 0) {
        act(y, minute + 1, "hold", "cow=%s  lift=yes", names[i]);
        cross_out(c, c->abnormal_from, minute - 1);
        c->abnormal = false;
    }
}

/* Everybody who shows a verdict shows the same one. */
static void compare_verdicts(struct year *y, int minute)
{
    static struct relief_view relief;
    static struct board board;
    struct instant now = minute_at(y, minute);
    ck_assert_int_eq(dairy_relief(y->d, now, &relief, NULL), 0);
    ck_assert_int_eq(dairy_board(y->d, now, &board, NULL), 0);
    for (size_t k = 0; k < relief.milked; k++) {
        const struct relief_cow *c = &relief.cow[k];
        struct hold_state state;
        struct instant at = instant_known(c->milked_at) ? c->milked_at : now;
        ck_assert_int_eq(cow_hold_state(y->d, c->cow_id, at, &state, NULL, NULL), 0);
        if (state.keep != (c->milk == RELIEF_KEEP) || state.keep != board.stall[c->stall - 1].keep)
            ck_abort_msg("%s: hold_state says %s, the relief view %s, the board %s", c->name, hold_verdict(&state),
                         relief_verdict(c->milk), hold_verdict(&board.stall[c->stall - 1].hold));
    }
}

static void milking(struct year *y, int minute, bool compare)
{
    int order = stream_below(&y->s, 2), milked = 0, last = minute + 8, at[COWS];
    for (int k = 0; k < COWS; k++) {
        int i = (k + order) % COWS;
        struct cow_year *c = &y->cow[i];
        at[i] = minute + 4 * k;
        /* Now and then she is milked in the very last minute of her hold, or in the one after it. */
        if (c->exact_at <= at[i] || c->exact_at >= at[i] + (y->twice != 0 ? 300 : 600))
            continue;
        at[i] = c->exact_at + stream_below(&y->s, 2);
        y->exact++;
        for (int j = 0; j < CHANGES; j++)
            y->across[j] += !c->dry && c->exact_from < y->change_at[j] && y->change_at[j] < c->exact_at;
    }
    int first = at[1] < at[0];
    for (int k = 0; k < COWS; k++) {
        int i = k == 0 ? first : 1 - first;
        last = at[i] > last ? at[i] : last;
        if (y->cow[i].dry)
            continue;
        milk(y, i, at[i]);
        milked++;
    }
    if (milked == 0)
        return;
    if (compare)
        compare_verdicts(y, last);
    if (stream_below(&y->s, 3) == 0)
        y->refused += !act(y, last + 1, "pour", "jars=1xquart  from=%s", names[stream_below(&y->s, COWS)]);
    bool poured = act(y, last + 2, "pour", "jars=1xquart");
    y->refused += !poured;
    act(y, last + 3, "milking", "state=done");
}

/* ---- the year ---- */

/* The clock jumps an hour while one minute passes; the calendar of minutes does not. */
static void note_changes(struct year *y)
{
    for (int j = 0; j < CHANGES; j++) {
        struct instant before = rig_at(changes[j].before), after = rig_at(changes[j].after);
        struct civil on;
        civil_from_instant(after, &on);
        ck_assert_int_eq(after.s - before.s, 60);
        ck_assert_int_eq(on.hour, j == 0 ? 3 : 1);
        ck_assert_int_eq(date_diff(instant_date(y->start), instant_date(after)), changes[j].day);
        y->change_at[j] = (int)((after.s - y->start.s) / 60);
    }
}

static void live_through(struct year *y)
{
    for (int day = 1; day < 364; day++)
        for (int k = 0; k <= y->twice; k++) {
            struct civil c;
            date_to_civil(date_add(instant_date(y->start), day), &c);
            c.hour = k == 0 ? 6 : 18;
            c.minute = stream_below(&y->s, 50);
            int minute = (int)((civil_to_instant(&c, NULL).s - y->start.s) / 60);
            for (int i = 0; i < COWS; i++) {
                struct cow_year *cow = &y->cow[i];
                int before = minute - 30 - stream_below(&y->s, 600);
                if (cow->calve_at >= 0 && cow->calve_at < before)
                    calve(y, i, before);
                else if (!cow->dry)
                    switch (stream_below(&y->s, 60)) {
                    case 0:
                    case 1: treat(y, i, before); break;
                    case 2: hold(y, i, before); break;
                    case 3: dry_off(y, i, before); break;
                    case 4: test(y, i, before); break;
                    default: break;
                    }
                if (stream_below(&y->s, 3) == 0)
                    go_on(y, i, before + 6 < minute - 20 ? before + 6 : minute - 20);
                for (int j = 0; j < CHANGES && k == 0; j++) {
                    if (day + 1 == changes[j].day)
                        hold_across(y, i, minute - 15, changes[j].hours);
                    if (day == changes[j].day) {
                        cow->exact_from = cow->eve_from;
                        cow->exact_at = cow->eve_to;
                    }
                }
            }
            milking(y, minute, day % 9 == 0);
        }
    for (int i = 0; i < COWS; i++) { /* what still stands is crossed out to the end */
        struct cow_year *c = &y->cow[i];
        if (c->course_from >= 0)
            cross_out(c, c->course_from, YEAR_MINUTES);
        if (c->abnormal)
            cross_out(c, c->abnormal_from, YEAR_MINUTES);
        if (c->reactor)
            cross_out(c, c->reactor_from, YEAR_MINUTES);
    }
}

static int cow_of(const struct year *y, int64_t cow_id)
{
    struct cow_row row;
    ck_assert_int_eq(row_load(y->d->store, &cow_table, cow_id, &row, NULL), 0);
    return strcmp(row.name, names[0]) == 0 ? 0 : 1;
}

/* Every jar of the year, minute by minute of whose milk is in it. */
static int check_batches(const struct year *y)
{
    struct batch_source_row *sources;
    size_t count;
    ck_assert_int_eq(rows_load(y->d->store, &batch_source_table, "ORDER BY id", NULL, 0, (void **)&sources, &count, NULL),
                     0);
    for (size_t k = 0; k < count; k++) {
        struct batch_row batch;
        struct milk_row milk;
        bool found;
        char when[CIVIL_TEXT_MAX];
        ck_assert_int_eq(row_load(y->d->store, &batch_table, sources[k].batch_id, &batch, NULL), 0);
        ck_assert_int_eq(
            rows_first(y->d->store, &milk_table, "WHERE milking_id = ?1 AND cow_id = ?2",
                       (struct bind[]){BIND_ID(batch.milking_id), BIND_ID(sources[k].cow_id)}, 2, &milk, &found, NULL),
            0);
        ck_assert_msg(found && batch.held_why[0] == '\0', "batch %s, %s: %s", batch.code, names[cow_of(y, sources[k].cow_id)],
                      found ? batch.held_why : "no milk of hers in that milking");
        int minute = (int)((milk.at.s - y->start.s) / 60), i = cow_of(y, sources[k].cow_id);
        if (y->cow[i].crossed[minute])
            ck_abort_msg("batch %s has milk of %s from %s, when it was not to be kept", batch.code, names[i],
                         instant_iso_local(milk.at, when));
    }
    free(sources);
    return (int)count;
}

START_TEST(no_jar_of_a_random_year_holds_milk_that_was_not_to_be_kept)
{
    struct year *y = calloc(1, sizeof *y);
    struct fail f = {0};
    y->s.state = (uint64_t)_i * 977 + 5;
    y->start = rig_at("2025-01-01T00:00");
    y->fresh_milkings = _i == 0 ? 0 : 8;
    ck_assert_msg(dairy_open(scratch_path("year.db"), DAIRY_SCRATCH, &y->d, &f) == 0, "%s", f.text);
    act(y, 0, "dairy", "name=Test  stalls=2  fresh=5d  times=06:10,18:10  freshmilkings=%d", y->fresh_milkings);
    for (int i = 0; i < COWS; i++) {
        act(y, 0, "cow", "name=%s  stall=%d  calved=2024-0%d-20", names[i], i + 1, 4 + i);
        y->cow[i].course_from = y->cow[i].calve_at = y->cow[i].calved_at = -1;
    }
    y->twice = _i;
    note_changes(y);
    live_through(y);
    int jars = check_batches(y);
    /* The test is worth something only if milk was kept, refused, and milked on the edge of a hold. */
    ck_assert_msg(jars > BATCHES_LEAST && y->refused > REFUSED_LEAST && y->exact > EXACT_LEAST, "%d %d %d", jars,
                  y->refused, y->exact);
    for (int j = 0; j < CHANGES; j++)
        ck_assert_msg(y->across[j] > 0, "nobody was milked at the edge of a hold across %s", changes[j].before);
    dairy_close(y->d);
    free(y);
}
END_TEST

/* ---- what is learned too late ---- */

static bool alarm_says(const struct board *b, const char *words)
{
    for (size_t i = 0; i < b->alarms; i++)
        if (strstr(b->alarm[i].text, words) != NULL)
            return b->alarm[i].urgency == URGENCY_STOP;
    return false;
}

START_TEST(a_dose_that_is_entered_late_names_the_jars_that_were_filled)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb  strip=clean");
    rig_do(d, "2026-05-03T06:25", "pour", "jars=3xhalf-gallon");
    ck_assert(!alarm_says(rig_board(d, "2026-05-03T06:30"), "not to be kept"));
    rig_do(d, "2026-05-03T08:00", "treat", "cow=Maud  product=bolus  milk_hours=48h  at=2026-05-03T05:40");
    const struct board *b = rig_board(d, "2026-05-03T08:01");
    ck_assert(alarm_says(b, "3 jars hold milk of Maud that is not to be kept: set 3 apart at home"));
    ck_assert(strncmp(b->sentence, "3 jars hold milk of Maud", 24) == 0);
    /* Until they are out of the way; and not at all when the dose was after the milking. */
    rig_do(d, "2026-05-03T08:05", "label", "cow=Maud  milk_hours=0h");
    ck_assert(!alarm_says(rig_board(d, "2026-05-03T08:06"), "not to be kept"));
    dairy_close(d);
}
END_TEST

START_TEST(clots_on_the_disc_of_pooled_milk_hold_both_cows_and_their_jars)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb  strip=clean");
    rig_do(d, "2026-05-03T06:30", "milk", "cow=Tib  mass=22lb  strip=clean");
    rig_do(d, "2026-05-03T06:32", "pour", "jars=4xhalf-gallon  from=Maud,Tib");
    ck_assert(rig_board(d, "2026-05-03T06:33")->stall[0].keep);
    struct act_done done;
    struct fail f = {0};
    ck_assert(rig_try(d, "2026-05-03T06:40", "disc", "found=clots", &done, &f));
    ck_assert_msg(strstr(done.what, "Which cow?") != NULL, "%s", done.what);
    const struct board *b = rig_board(d, "2026-05-03T06:41");
    ck_assert(!b->stall[0].keep && !b->stall[1].keep);
    ck_assert(alarm_says(b, "4 jars hold milk of Maud, Tib that is not to be kept"));
    /* Stripped again: Tib it was. Maud is free with a reason, Tib is not. */
    rig_do(d, "2026-05-03T06:50", "milk", "cow=Tib  strip=LF:clots");
    rig_refused(d, "2026-05-03T06:52", "hold", "cow=Maud  lift=yes", "last look");
    rig_do(d, "2026-05-03T06:53", "hold", "cow=Maud  lift=yes  why=stripped again, all four clean");
    b = rig_board(d, "2026-05-03T18:00");
    ck_assert(b->stall[0].keep && !b->stall[1].keep);
    dairy_close(d);
}
END_TEST

START_TEST(the_same_disc_entered_with_one_cows_milk_asks_about_the_other_too)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb  strip=clean");
    rig_do(d, "2026-05-03T06:30", "milk", "cow=Tib  mass=22lb  strip=clean");
    rig_do(d, "2026-05-03T06:32", "pour", "jars=4xhalf-gallon  from=Maud,Tib");
    rig_do(d, "2026-05-03T06:40", "milk", "cow=Tib  disc=clots");
    const struct board *b = rig_board(d, "2026-05-03T06:41");
    ck_assert(!b->stall[0].keep && !b->stall[1].keep);
    /* The hold begins with the milking, not with the look at the disc. */
    ck_assert_int_eq(b->stall[1].hold.reasons, 1);
    ck_assert(alarm_says(b, "Tib that is not to be kept"));
    dairy_close(d);
}
END_TEST

START_TEST(milk_of_nobody_knows_when_has_to_be_free_for_the_whole_milking)
{
    /* Tib's hold ends while the milking goes on; she is poured without an entry, then with one. */
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T05:00", "hold", "cow=Tib  until=2026-05-03T06:25  why=powder");
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb  strip=clean");
    rig_refused(d, "2026-05-03T06:32", "pour", "jars=2xquart  from=Tib", "Tib's milk is not to be kept");
    rig_do(d, "2026-05-03T06:33", "milk", "cow=Tib  mass=22lb  strip=clean  at=2026-05-03T06:26");
    rig_do(d, "2026-05-03T06:34", "pour", "jars=2xquart  from=Tib");
    dairy_close(d);
}
END_TEST

/* ---- times that say less than they seem to ---- */

START_TEST(a_day_without_its_hour_starts_no_hours)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_refused(d, "2026-05-03T08:00", "treat", "cow=Tib  product=tube  milk_hours=96h  at=2026-05-02", "write the hour");
    rig_refused(d, "2026-05-03T08:00", "hold", "cow=Tib  hours=96h  why=tube  at=2026-05-02", "write the hour");
    rig_do(d, "2026-05-03T08:00", "hold", "cow=Tib  until=2026-05-05  why=new hay");
    ck_assert(!rig_board(d, "2026-05-05T23:59")->stall[1].keep); /* until a day: until it is over */
    ck_assert(rig_board(d, "2026-05-06T00:01")->stall[1].keep);
    dairy_close(d);
}
END_TEST

START_TEST(of_an_hour_that_comes_twice_the_later_counts_for_a_dose)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-11-01T09:00", "treat", "cow=Maud  product=tube  milk_hours=48h  at=2026-11-01T01:30");
    /* Clocks go back on 1 November 2026: 01:30 is 05:30 or 06:30 UTC. */
    ck_assert(!rig_board(d, "2026-11-03T06:30:00Z")->stall[0].keep);
    ck_assert(rig_board(d, "2026-11-03T06:30:01Z")->stall[0].keep);
    rig_do(d, "2026-11-04T09:00", "treat", "cow=Tib  product=tube  milk_hours=48h  at=2026-11-01T01:30-04:00");
    ck_assert(rig_board(d, "2026-11-04T09:01")->stall[1].keep);
    dairy_close(d);
}
END_TEST

START_TEST(a_cow_whose_calving_hour_is_not_known_is_held_from_the_end_of_that_day)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    rig_do(d, "2026-05-03T05:00", "cow", "name=Wren  stall=3  calved=2026-05-03");
    ck_assert(!rig_board(d, "2026-05-03T06:00")->stall[2].keep); /* before noon of the day itself */
    ck_assert(!rig_board(d, "2026-05-03T18:00")->stall[2].keep);
    ck_assert(!rig_board(d, "2026-05-09T00:00")->stall[2].keep); /* five days after the day was over */
    ck_assert(rig_board(d, "2026-05-09T00:01")->stall[2].keep);
    dairy_close(d);
}
END_TEST

Suite *keep_suite(void)
{
    Suite *s = suite_create("keep");
    TCase *t = tcase_create("keep");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_loop_test(t, no_jar_of_a_random_year_holds_milk_that_was_not_to_be_kept, 0, 2);
    tcase_add_test(t, a_dose_that_is_entered_late_names_the_jars_that_were_filled);
    tcase_add_test(t, clots_on_the_disc_of_pooled_milk_hold_both_cows_and_their_jars);
    tcase_add_test(t, the_same_disc_entered_with_one_cows_milk_asks_about_the_other_too);
    tcase_add_test(t, milk_of_nobody_knows_when_has_to_be_free_for_the_whole_milking);
    tcase_add_test(t, a_day_without_its_hour_starts_no_hours);
    tcase_add_test(t, of_an_hour_that_comes_twice_the_later_counts_for_a_dose);
    tcase_add_test(t, a_cow_whose_calving_hour_is_not_known_is_held_from_the_end_of_that_day);
    suite_add_tcase(s, t);
    return s;
}
