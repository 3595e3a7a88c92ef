/* The loop: when it wakes, what it calls, how it ends. */
#include "tui/kit/loop.h"

#include <unistd.h>

#include "tests/kit/sample.h"
#include "tests/support.h"
#include "tests/tty/tty.h"
#include "tui/kit/busy.h"

static const struct tty_kind xterm = {"xterm-256color", true, true};
static struct tty tty;
static struct sample sample;

static void make(void)
{
    tty_open(&tty, &xterm, 24, 80);
    sample_init(&sample, &tty.clock);
    sample.cadence = CADENCE_NEVER;
    clock_held_advance(&tty.held, 300); /* 12:00:00.3 */
    tty_begin(&tty, &sample_hooks, &sample);
}

static void drop(void)
{
    tty_close(&tty);
}

START_TEST(it_draws_once_and_then_only_when_something_changed)
{
    ck_assert_int_eq(sample.draws, 1);
    tty_turn(&tty);
    tty_turn(&tty);
    ck_assert_int_eq(sample.draws, 1);
    tty_keys(&tty, "x"); /* no key of the sample */
    ck_assert_int_eq(sample.draws, 1);
    tty_keys(&tty, "Down");
    ck_assert_int_eq(sample.draws, 2);
    (void)tty_bytes(&tty);
    tty_turn(&tty);
    ck_assert_int_eq(tty_bytes(&tty), 0);
}
END_TEST

/* The wall time of the next waking: soon after the one that is expected, never before. */
static void ck_wakes_at(int64_t wall_ms)
{
    int64_t next = tty.loop.next.ms - tty.held.up_ms + tty.held.wall_ms;
    ck_assert_int_gt(next, wall_ms);
    ck_assert_int_le(next, wall_ms + 20);
}

START_TEST(it_wakes_at_full_seconds_or_minutes_or_not_at_all)
{
    int64_t noon = tty.held.wall_ms - 300;
    tty_turn(&tty);
    ck_assert_int_eq(tty.loop.next.ms, UPTIME_NEVER.ms);
    sample.cadence = CADENCE_SECOND;
    tty_turn(&tty);
    ck_wakes_at(noon + 1000);
    sample.cadence = CADENCE_MINUTE;
    tty_turn(&tty);
    ck_wakes_at(noon + 60000);
    clock_held_advance(&tty.held, 59699);
    tty_turn(&tty);
    ck_assert_int_eq(sample.passes, 0);
    clock_held_advance(&tty.held, 21);
    tty_turn(&tty);
    ck_assert_int_eq(sample.passes, 1);
    ck_wakes_at(noon + 120000);
}
END_TEST

START_TEST(a_particular_moment_shares_the_next_full_second)
{
    int64_t noon = tty.held.wall_ms - 300;
    tty_keys(&tty, "m"); /* a message of 15 s, said at 12:00:00.3 */
    ck_assert(tty_shows(&tty, "row 0"));
    ck_wakes_at(noon + 16000);
    sample.cadence = CADENCE_SECOND;
    tty_turn(&tty);
    ck_wakes_at(noon + 1000);
    tty_keys(&tty, "wait:14");
    ck_assert_int_eq(sample.passes, 14);
    ck_assert(tty_shows(&tty, "row 0"));
    tty_keys(&tty, "wait:1");
    ck_assert(!tty_shows(&tty, "row 0"));
}
END_TEST

START_TEST(setting_the_clock_is_told_from_a_suspend)
{
    tty.held.wall_ms += 3600 * 1000; /* somebody set it an hour ahead */
    tty_turn(&tty);
    ck_assert_int_eq(sample.jump.wall_step_ms, 3600 * 1000);
    ck_assert_int_eq(sample.jump.asleep_ms, 0);
    ck_assert_int_eq(sample.draws, 2);
    tty.held.wall_ms -= 7200 * 1000;
    tty_turn(&tty);
    ck_assert_int_eq(sample.jump.wall_step_ms, -7200 * 1000);
    tty.held.wall_ms += 8 * 3600 * 1000; /* the lid was shut for eight hours */
    tty.held.up_ms += 8 * 3600 * 1000;
    tty_turn(&tty);
    ck_assert_int_eq(sample.jump.wall_step_ms, 0);
    ck_assert_int_eq(sample.jump.asleep_ms, 8 * 3600 * 1000);
    sample.jump = (struct loop_jump){0};
    tty.held.wall_ms += 200; /* slewing */
    tty_turn(&tty);
    ck_assert_int_eq(sample.jump.wall_step_ms, 0);
    ck_assert_int_eq(sample.draws, 4);
}
END_TEST

START_TEST(nothing_is_done_after_leaving)
{
    tty_feed(&tty, "q\033[B\033[B", 7);
    tty_turn(&tty);
    ck_assert_int_eq(tty.loop.end, LOOP_LEFT);
    ck_assert_int_eq(sample.presses, 1);
    ck_assert_int_eq(sample.draws, 1);
}
END_TEST

START_TEST(a_flood_of_keys_is_drawn_as_it_comes)
{
    enum { FLOOD = 5000 };
    for (int i = 0; i < FLOOD; i++)
        tty_feed(&tty, "\033[B", 3);
    for (int i = 0; i < 5; i++)
        tty_turn(&tty);
    ck_assert_int_eq(sample.presses, FLOOD);
    ck_assert_int_eq(sample.draws, 1 + 3); /* at most 2048 a turn */
}
END_TEST

static unsigned take_one(void *context, int fd)
{
    char byte;
    ck_assert_int_eq(read(fd, &byte, 1), 1);
    *(char *)context = byte;
    return byte == 'q' ? LOOP_LEAVE : LOOP_DRAW;
}

/* From here on time is real: these wait. */
static void begin_real(struct loop *l, const struct loop_hooks *hooks)
{
    ck_assert_int_eq(loop_init(l, tty.term, clock_machine(), hooks, &sample, NULL), 0);
}

START_TEST(watched_files_are_read_when_there_is_something)
{
    int pipe_fds[2];
    char got = 0;
    struct loop l;
    ck_assert_int_eq(pipe(pipe_fds), 0);
    begin_real(&l, &sample_hooks);
    ck_assert_int_eq(loop_watch(&l, pipe_fds[0], take_one, &got, NULL), 0);
    ck_assert_int_eq(write(pipe_fds[1], "xq", 2), 2);
    ck_assert_int_eq(loop_run(&l), LOOP_LEFT);
    ck_assert_int_eq(got, 'q');
    loop_unwatch(&l, pipe_fds[0]);
    ck_assert_int_eq(l.watch_count, 0);
    for (int i = 0; i < LOOP_WATCHES_MAX; i++)
        ck_assert_int_eq(loop_watch(&l, pipe_fds[0], take_one, &got, NULL), 0);
    struct fail f;
    ck_assert_int_eq(loop_watch(&l, pipe_fds[0], take_one, &got, &f), -1);
    ck_assert_int_eq(f.code, FAIL_REFUSED);
    loop_release(&l);
    (void)close(pipe_fds[0]);
    (void)close(pipe_fds[1]);
}
END_TEST

static unsigned leave_at_third(void *context)
{
    return ++((struct sample *)context)->passes == 3 ? LOOP_LEAVE : LOOP_NOTHING;
}

START_TEST(it_wakes_by_itself_and_no_more_than_asked)
{
    struct loop_hooks hooks = sample_hooks;
    struct loop l;
    int turns = 0;
    hooks.pass = leave_at_third;
    sample.cadence = CADENCE_SECOND;
    begin_real(&l, &hooks);
    int64_t first = l.clock.wall_ms(NULL) / 1000;
    while (loop_turn(&l) == LOOP_RUNNING) {
        loop_wait(&l);
        turns++;
    }
    ck_assert_int_eq(sample.passes, 3);
    ck_assert_int_ge(l.clock.wall_ms(NULL) / 1000 - first, 3); /* three full seconds have begun since */
    ck_assert_int_le(turns, 4); /* one for each second, and one before the first */
    loop_release(&l);
}
END_TEST

START_TEST(a_paced_clock_wakes_by_its_own_seconds)
{
    struct loop_hooks hooks = sample_hooks;
    struct clock_paced paced;
    struct loop l;
    hooks.pass = leave_at_third;
    sample.cadence = CADENCE_SECOND;
    struct clock clock = clock_paced(&paced, (struct instant){1000}, 60);
    ck_assert_int_eq(loop_init(&l, tty.term, clock, &hooks, &sample, NULL), 0);
    ck_assert_int_eq(loop_run(&l), LOOP_LEFT);
    ck_assert_int_eq(sample.passes, 3);
    /* Not more than five times in a second of the machine: three wakings are at least 24 s of this clock. */
    ck_assert_int_ge(clock_now(&l.clock).s, 1024);
    loop_release(&l);
}
END_TEST

START_TEST(a_terminal_that_goes_away_ends_it)
{
    struct loop l;
    begin_real(&l, &sample_hooks);
    (void)close(tty.feed_fd);
    ck_assert_int_eq(loop_run(&l), LOOP_GONE);
    loop_release(&l);
    tty.feed_fd = dup(STDIN_FILENO); /* something for the harness to close */
}
END_TEST

START_TEST(work_is_shown_only_when_it_takes_long)
{
    struct busy b;
    busy_begin(&b, tty.term, &tty.clock, "Checking the records");
    busy_step(&b, 10, 100);
    clock_held_advance(&tty.held, 499);
    busy_step(&b, 20, 100);
    ck_assert(!tty_shows(&tty, "Checking"));
    clock_held_advance(&tty.held, 1);
    busy_step(&b, 50, 100);
    ck_assert(tty_shows(&tty, "Checking the records"));
    ck_assert(tty_shows(&tty, "████████████████████░░░░░░░░░░░░░░░░░░░░"));
    clock_held_advance(&tty.held, 100);
    busy_step(&b, 75, 100);
    ck_assert(tty_shows(&tty, "████████████████████░░░░░░░░░░░░░░░░░░░░")); /* four times a second at most */
    clock_held_advance(&tty.held, 150);
    busy_step(&b, 75, 0);
    ck_assert(tty_shows(&tty, "75 so far"));
    busy_end(&b);
    tty_keys(&tty, "Down");
    ck_assert(!tty_shows(&tty, "Checking"));
    busy_begin(&b, NULL, &tty.clock, "without a terminal");
    clock_held_advance(&tty.held, 1000);
    busy_step(&b, 1, 2);
}
END_TEST

Suite *loop_suite(void)
{
    Suite *s = suite_create("loop");
    TCase *t = tcase_create("loop");
    tcase_add_checked_fixture(t, make, drop);
    tcase_add_test(t, it_draws_once_and_then_only_when_something_changed);
    tcase_add_test(t, it_wakes_at_full_seconds_or_minutes_or_not_at_all);
    tcase_add_test(t, a_particular_moment_shares_the_next_full_second);
    tcase_add_test(t, setting_the_clock_is_told_from_a_suspend);
    tcase_add_test(t, nothing_is_done_after_leaving);
    tcase_add_test(t, a_flood_of_keys_is_drawn_as_it_comes);
    tcase_add_test(t, watched_files_are_read_when_there_is_something);
    tcase_add_test(t, it_wakes_by_itself_and_no_more_than_asked);
    tcase_add_test(t, a_paced_clock_wakes_by_its_own_seconds);
    tcase_add_test(t, a_terminal_that_goes_away_ends_it);
    tcase_add_test(t, work_is_shown_only_when_it_takes_long);
    suite_add_tcase(s, t);
    return s;
}
