/* The clock does what clocks of laptops do: it is set, it sleeps, it meets the two Sundays, it wakes up in
 * 1970. What counts down goes on counting by the second, and nothing is dated by a clock that cannot be
 * right. The Sundays are those of tzdata's America/New_York: 8 March and 1 November 2026, at two in the
 * morning. */
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"
#include "tests/tui/board_rig.h"

static struct board_rig rig;

/* A milking with one batch in the tub, ten minutes after it was poured. */
static void open_cooling(const char *at_pour, const char *at)
{
    struct dairy *d = rig_small("t.db", at_pour);
    rig_do(d, at_pour, "milking", "state=start");
    rig_do(d, at_pour, "ice", "mass=20lb");
    rig_do(d, at_pour, "milk", "cow=Maud  mass=36lb");
    rig_do(d, at_pour, "pour", "jars=4xhalf-gallon  from=Maud  temp=95F  bath=34F");
    dairy_close(d);
    board_rig_open(&rig, scratch_path("t.db"), at, &usual_terminal, 30, 100);
}

static double minutes_to_limit(void)
{
    ck_assert_uint_gt(rig.app.board->batches, 0);
    return (rig.app.board->batch[0].forecast.to_limit.at - (double)rig.app.now.s) / 60;
}

/* The wall clock is set by so many seconds; the boot clock knows nothing of it. */
static void set_clock(int64_t seconds)
{
    rig.tty.held.wall_ms += seconds * 1000;
    tty_turn(&rig.tty);
}

START_TEST(setting_the_clock_makes_no_milk_older)
{
    static const int64_t steps[] = {3600, -3600, 90, -7200};
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        open_cooling("2026-05-03T06:20", "2026-05-03T06:30");
        double before = minutes_to_limit();
        ck_assert_double_gt(before, 5);
        set_clock(steps[i]);
        ck_assert_msg(
            tty_shows(&rig.tty, steps[i] > 0 ? "The clock was set forward by" : "The clock was set back by"),
            "step %d is not said", (int)steps[i]);
        ck_within(minutes_to_limit(), before, 0.02);
        tty_keys(&rig.tty, "wait:60");
        ck_within(minutes_to_limit(), before - 1, 0.05);
        /* An act stands between the others of that milking. */
        struct instant poured = rig.app.board->batch[0].poured_at;
        tty_keys(&rig.tty, "Tab Tab Space");
        ck_assert_int_eq(rig.app.message.role, ROLE_CALM);
        ck_assert_int_eq(rig.app.now.s - poured.s, 11 * 60);
        board_rig_close(&rig);
        scratch_close();
        scratch_open();
    }
}
END_TEST

START_TEST(when_nothing_is_under_way_the_new_time_counts)
{
    struct dairy *d = rig_small("t.db", "2026-05-03T06:20");
    dairy_close(d);
    board_rig_open(&rig, scratch_path("t.db"), "2026-05-03T06:30", &usual_terminal, 30, 100);
    set_clock(3600);
    ck_assert(tty_shows(&rig.tty, "07:30"));
    board_rig_close(&rig);
    scratch_close();
    scratch_open();
    open_cooling("2026-05-03T06:20", "2026-05-03T06:30");
    set_clock(3600);
    ck_assert(!tty_shows(&rig.tty, "Sun 3 May 07:30"));
    rig_do(rig.dairy, "2026-05-03T06:31", "pull", "batch=A  to=fridge");
    rig_do(rig.dairy, "2026-05-03T06:31", "milking", "state=done");
    for (int hour = 0; hour < 24 && rig.app.carried_s != 0; hour++)
        tty_keys(&rig.tty, "wait:3600");
    ck_assert_int_eq(rig.app.carried_s, 0);
    ck_within((double)(clock_now(&rig.tty.clock).s - rig.app.now.s), 0, 60); /* drawn by the minute */
    board_rig_close(&rig);
}
END_TEST

START_TEST(after_eight_hours_of_sleep_what_has_run_out_has_run_out)
{
    open_cooling("2026-05-03T06:20", "2026-05-03T06:30");
    long entries = (long)rig.app.board->last_entry;
    (void)tty_bytes(&rig.tty);
    rig.tty.held.wall_ms += 8 * 3600 * 1000;
    rig.tty.held.up_ms += 8 * 3600 * 1000;
    tty_turn(&rig.tty);
    /* The alarm of what ran out stands before it, until it is heard. */
    ck_assert_msg(strstr(rig.app.message.text, "The computer slept for 8 h 00") != NULL, "%s",
                  rig.app.message.text);
    ck_assert(tty_shows(&rig.tty, "14:30"));
    ck_assert_int_eq(rig.app.carried_s, 0);
    ck_assert(rig.app.board->batches == 0 || minutes_to_limit() < 0);
    ck_assert_int_eq(rig.app.board->last_entry, entries); /* nothing was recorded by itself */
    board_rig_close(&rig);
}
END_TEST

START_TEST(the_two_sundays_are_no_step)
{
    static const struct {
        const char *pour, *open, *after;
    } sundays[] = {
        {"2026-03-08T01:50", "2026-03-08T01:59:50-05:00", "03:00"},
        {"2026-11-01T01:50-04:00", "2026-11-01T01:59:50-04:00", "01:00"},
    };
    for (size_t i = 0; i < 2; i++) {
        open_cooling(sundays[i].pour, sundays[i].open);
        double before = minutes_to_limit();
        tty_keys(&rig.tty, "wait:20");
        ck_assert(!tty_shows(&rig.tty, "The clock was set"));
        ck_assert_msg(tty_shows(&rig.tty, sundays[i].after), "sunday %zu", i);
        ck_within(minutes_to_limit(), before - 20.0 / 60, 0.05);
        board_rig_close(&rig);
        scratch_close();
        scratch_open();
    }
}
END_TEST

START_TEST(nothing_is_dated_by_a_clock_that_cannot_be_right)
{
    static const char *const wrong[] = {"1970-01-01T00:00", "2099-05-03T06:30", "2026-05-01T06:30",
                                        "2027-05-03T06:30"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        struct dairy *d = rig_small("t.db", "2026-05-03T06:20");
        rig_do(d, "2026-05-03T06:20", "milking", "state=start");
        dairy_close(d);
        board_rig_open(&rig, scratch_path("t.db"), wrong[i], &usual_terminal, 30, 100);
        dairy_mind_clock(rig.dairy);
        int64_t entries = rig.app.board->last_entry;
        tty_keys(&rig.tty, "Tab Tab Space");
        ck_assert_msg(tty_shows(&rig.tty, "The computer's clock says"), "%s is believed", wrong[i]);
        tty_keys(&rig.tty, "u");
        ck_assert_int_eq(rig.app.board->last_entry, entries);
        /* Somebody sets it right, and all goes on. */
        set_clock(rig_at("2026-05-03T06:31").s - rig_at(wrong[i]).s);
        tty_keys(&rig.tty, "Space");
        ck_assert_msg(rig.app.board->last_entry == entries + 1, "%s: %s", wrong[i], rig.app.message.text);
        board_rig_close(&rig);
        scratch_close();
        scratch_open();
    }
}
END_TEST

Suite *clock_suite(void)
{
    Suite *s = suite_create("clock");
    TCase *t = tcase_create("clock");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, setting_the_clock_makes_no_milk_older);
    tcase_add_test(t, when_nothing_is_under_way_the_new_time_counts);
    tcase_add_test(t, after_eight_hours_of_sleep_what_has_run_out_has_run_out);
    tcase_add_test(t, the_two_sundays_are_no_step);
    tcase_add_test(t, nothing_is_dated_by_a_clock_that_cannot_be_right);
    suite_add_tcase(s, t);
    return s;
}
