/* The chill by the keyboard: the finding that the program exists for, what cannot be, and a jar of one's own. */
#include <math.h>

#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"
#include "tests/tui/board_rig.h"

/* Four half gallons at 95 °F at 06:10 into forty pounds of ice, as the tub is stirred; milking is over at 06:12. */
static void pour(const char *name, const char *stir)
{
    struct dairy *d = rig_small(name, "2026-05-02T20:00");
    char words[32];
    (void)snprintf(words, sizeof words, "how=%s", stir);
    rig_do(d, "2026-05-03T05:29", "stir", words);
    rig_do(d, "2026-05-03T05:30", "ice", "mass=40lb");
    rig_do(d, "2026-05-03T06:00", "milk", "cow=Maud  mass=36lb  strip=clean");
    rig_do(d, "2026-05-03T06:10", "pour", "jars=4xhalf-gallon  temp=95F");
    rig_do(d, "2026-05-03T06:12", "milking", "state=end");
    dairy_close(d);
}

START_TEST(twenty_minutes_in_still_ice_and_out_will_not_do_and_the_screen_says_what_will)
{
    struct board_rig rig;
    pour("t.db", "no");
    board_rig_open(&rig, scratch_path("t.db"), "2026-05-03T06:30", &usual_terminal, 30, 100);
    tty_keys(&rig.tty, "Tab Enter"); /* the batch page, before anything is done */
    ck_assert(tty_shows(&rig.tty, "if it came out now: 45 °F at "));
    ck_assert(tty_shows(&rig.tty, "will not, "));
    tty_keys(&rig.tty, "t Enter"); /* out it comes all the same */
    const struct batch_forecast *f = &rig.app.board->batch[0].forecast;
    ck_assert_int_eq(f->place, PLACE_FRIDGE);
    ck_assert(tty_shows(&rig.tty, "45 °F by 08:12: will not, "));
    ck_assert(tty_shows(&rig.tty, " late"));
    ck_assert(tty_shows(&rig.tty, "WHAT HELPS"));
    ck_assert(tty_shows(&rig.tty, "A: put them back into the tub"));
    ck_assert(tty_shows(&rig.tty, "least work"));
    tty_keys(&rig.tty, "Esc");
    ck_assert(tty_shows(&rig.tty, "Batch A will not reach 45 °F by 08:12, "));
    ck_assert(tty_shows(&rig.tty, " too late."));
    ck_assert(tty_shows(&rig.tty, "A: put them back into the tub: there by "));
    /* How late: by Newton's law with the published films' rates it is at 13.5 to 14.3 °C, and in still refrigerator air
     * (0.0045 to 0.0055 per min, 3.3 °C) at 45 °F some 190 to 260 min after the pull: 90 to 160 after the deadline. */
    ck_assert_msg(-f->in_hand_s > 80 * 60 && -f->in_hand_s < 170 * 60, "%g min late", -f->in_hand_s / 60);
    /* The remedy is taken: back into the tub, and the board is content. */
    tty_keys(&rig.tty, "Enter t Right Right Enter");
    ck_assert_int_eq(rig.app.board->batch[0].forecast.place, PLACE_TUB);
    ck_assert(tty_shows(&rig.tty, "45 °F by 08:12: will make it, "));
    ck_assert(!tty_shows(&rig.tty, "WHAT HELPS"));
    board_rig_close(&rig);
}
END_TEST

START_TEST(thirty_minutes_in_moved_water_will_do)
{
    /* By the published films moved water leaves a half gallon at 5.9 °C, 42.7 °F, after thirty minutes. */
    struct board_rig rig;
    pour("t.db", "water");
    board_rig_open(&rig, scratch_path("t.db"), "2026-05-03T06:20", &usual_terminal, 30, 100);
    ck_assert(tty_shows(&rig.tty, "will make it"));
    tty_keys(&rig.tty, "Tab Enter wait:1200");
    ck_assert_msg(!tty_shows(&rig.tty, "will not"), "after half an hour it should do to take them out");
    tty_keys(&rig.tty, "t Enter");
    ck_assert_int_eq(rig.app.board->batch[0].forecast.place, PLACE_FRIDGE);
    ck_assert(tty_shows(&rig.tty, "45 °F by 08:12: kept") || tty_shows(&rig.tty, "45 °F by 08:12: will make it"));
    ck_assert_uint_eq(rig.app.board->advice_count, 0);
    board_rig_close(&rig);
}
END_TEST

/* Typed on the batch page (after Esc: on the board); the line that comes up. The form is left by Esc. */
static const struct {
    const char *keys, *line;
} bad[] = {
    {"9 9 Enter", "more than it was poured at"},
    {"5 Enter", "cannot be what milk reads"},
    {"5 8 Down type:2026-05-03T09:00 Enter", "still to come"}, /* a bare 09:00 is yesterday's, and shown as that */
    {"5 8 Down type:09:00 Enter", "cannot have been read before"},
    {"5 8 Down type:05:50 Enter", "cannot have been read before"},
    {"5 8 Down type:06:20 Enter", "at that moment already"},
    {"i type:20lb Down type:40F Enter", "no ice above 32"},
    {"i type:-5lb Enter", "less than nothing"},
    {"w Right Down type:-2gal Enter", "less than nothing"},
    {"w Right Down type:2gal Down type:25F Enter", "Water for the tub is between"},
    {"b type:150 Enter", "cannot be what the tub reads"},
};

START_TEST(what_cannot_be_gets_a_line_on_the_screen_and_changes_nothing)
{
    struct board_rig rig;
    pour("t.db", "no");
    struct dairy *d = rig_open("t.db");
    rig_do(d, "2026-05-03T06:20", "reading", "batch=A  temp=70F");
    dairy_close(d);
    board_rig_open(&rig, scratch_path("t.db"), "2026-05-03T06:30", &usual_terminal, 30, 100);
    struct instant now = rig_at("2026-05-03T06:30");
    char *before = rig_board_json(rig.dairy, now);
    tty_keys(&rig.tty, "Tab Enter");
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        tty_keys(&rig.tty, bad[i].keys);
        ck_assert_msg(tty_shows(&rig.tty, bad[i].line), "%s: no line has \"%s\"", bad[i].keys, bad[i].line);
        tty_keys(&rig.tty, "Esc");
        ck_assert(tty_shows(&rig.tty, "poured 06:10"));
    }
    tty_keys(&rig.tty, "Esc p type:2xquart Down Down type:95F Down type:97F Enter"); /* milk colder than its bath */
    ck_assert(tty_shows(&rig.tty, "no colder than the milk"));
    tty_keys(&rig.tty, "Esc");
    char *after = rig_board_json(rig.dairy, now);
    ck_assert_str_eq(before, after);
    free(before);
    free(after);
    board_rig_close(&rig);
}
END_TEST

START_TEST(a_jar_of_ones_own_is_added_and_cools_as_its_size_says)
{
    /* A swing-top of 1.4 L, between a quart (0.95 L) and a half gallon (1.89 L) in size: so must be its time. */
    struct board_rig rig;
    dairy_close(rig_small("t.db", "2026-05-02T20:00"));
    board_rig_open(&rig, scratch_path("t.db"), "2026-05-02T20:10", &usual_terminal, 45, 140);
    tty_keys(&rig.tty, "o");
    bool open = false;
    for (int i = 0; i < 60 && !open; i++) {
        tty_keys(&rig.tty, "Down Enter");
        open = tty_shows(&rig.tty, "milk stands");
        if (open)
            break;
        tty_keys(&rig.tty, "Esc");
        if (!tty_shows(&rig.tty, "JARS ON HAND"))
            tty_keys(&rig.tty, "o");
    }
    ck_assert(open);
    tty_keys(&rig.tty, "type:swing-top Down type:3L Down type:8in Down type:4in Enter"); /* it cannot hold that much */
    ck_assert(tty_shows(&rig.tty, "swing-top") && tty_shows(&rig.tty, "milk stands"));
    tty_keys(&rig.tty, "Up Up Backspace Backspace type:1.4L Enter");
    ck_assert(!tty_shows(&rig.tty, "milk stands"));
    ck_assert(tty_shows(&rig.tty, "swing-top, 0.37 gal"));
    board_rig_close(&rig);
    struct dairy *d = rig_open("t.db");
    rig_do(d, "2026-05-02T20:20", "jars", "kind=swing-top  count=6");
    rig_do(d, "2026-05-02T20:20", "jars", "kind=quart  count=6");
    rig_do(d, "2026-05-03T05:30", "ice", "mass=60lb");
    rig_do(d, "2026-05-03T06:00", "milk", "cow=Maud  mass=36lb  strip=clean");
    rig_do(d, "2026-05-03T06:10", "pour", "jars=1xquart,2xswing-top,1xhalf-gallon  temp=95F");
    const struct board *b = rig_board(d, "2026-05-03T06:15");
    double at[3] = {NAN, NAN, NAN};
    for (size_t i = 0; i < b->batches; i++)
        at[strcmp(b->batch[i].kind, "quart") == 0 ? 0 : strcmp(b->batch[i].kind, "swing-top") == 0 ? 1 : 2] =
            b->batch[i].forecast.to_45f.at;
    ck_assert_msg(at[0] + 60 < at[1] && at[1] + 60 < at[2], "quart %g, swing-top %g, half gallon %g", at[0], at[1], at[2]);
    dairy_close(d);
}
END_TEST

Suite *chill_keys_suite(void)
{
    Suite *s = suite_create("chill_keys");
    TCase *t = tcase_create("chill_keys");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, twenty_minutes_in_still_ice_and_out_will_not_do_and_the_screen_says_what_will);
    tcase_add_test(t, thirty_minutes_in_moved_water_will_do);
    tcase_add_test(t, what_cannot_be_gets_a_line_on_the_screen_and_changes_nothing);
    tcase_add_test(t, a_jar_of_ones_own_is_added_and_cools_as_its_size_says);
    suite_add_tcase(s, t);
    return s;
}
