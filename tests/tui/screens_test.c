/* Every screen on the demonstration's dairy, as it stands in tests/screens; and every terminal, size and
 * disaster that a process can meet without a pty. */
#include <sqlite3.h>

#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"
#include "tests/tui/board_rig.h"

/* Names of screens and the keys that lead there from the board. */
static const struct {
    const char *name, *keys;
    int rows, cols;
    struct tty_kind kind;
} screens[] = {
    {"board_80x24", "", 24, 80, {"xterm-256color", true, true}},
    {"board_100x30", "", 30, 100, {"xterm-256color", true, true}},
    {"board_120x36", "", 36, 120, {"xterm-256color", true, true}},
    {"board_140x45", "", 45, 140, {"xterm-256color", true, true}},
    {"board_40x12_stalls", "", 12, 40, {"xterm-256color", true, true}},
    {"board_40x12_chill", "Tab", 12, 40, {"xterm-256color", true, true}},
    {"board_40x12_chores", "Tab Tab", 12, 40, {"xterm-256color", true, true}},
    {"board_mono", "Tab", 30, 100, {"xterm-256color", true, false}},
    {"board_linux", "Tab", 24, 80, {"linux", true, true}},
    {"board_vt100_ascii", "Tab Tab", 24, 80, {"vt100", false, true}},
    {"board_screen_ascii", "", 24, 80, {"screen", false, true}},
    {"board_card_acid", "Tab Tab Down Down", 36, 120, {"xterm-256color", true, false}},
    {"cow_100x30", "Enter", 30, 100, {"xterm-256color", true, true}},
    {"cow_80x24", "2 Enter", 24, 80, {"xterm-256color", true, true}},
    {"cow_milkings", "Enter Tab Left Left Left", 30, 100, {"xterm-256color", true, true}},
    {"journal", "j", 30, 100, {"xterm-256color", true, true}},
    {"our_dairy", "o", 30, 100, {"xterm-256color", true, true}},
    {"clock", "z", 30, 100, {"xterm-256color", true, true}},
    {"wash_80x24", "w", 24, 80, {"xterm-256color", true, true}},
    {"wash_100x30", "w Tab", 30, 100, {"xterm-256color", true, true}},
    {"wash_140x45", "w", 45, 140, {"xterm-256color", true, true}},
    {"wash_lab_mono", "w Tab Tab Tab", 30, 100, {"xterm-256color", true, false}},
    {"wash_cautions_mono", "w Tab Tab Tab Tab", 24, 80, {"xterm-256color", true, false}},
    {"wash_parts_ascii", "w Tab Tab Down", 24, 80, {"vt100", false, true}},
    {"wash_40x12", "w", 12, 40, {"xterm-256color", true, true}},
    {"wash_mix_form", "w Enter", 24, 80, {"xterm-256color", true, true}},
    {"wash_why", "w Tab ?", 30, 100, {"xterm-256color", true, true}},
    {"form_milk", "m type:43.5 Down Down Down type:x", 24, 80, {"xterm-256color", true, true}},
    {"form_reading", "Tab 5 8", 24, 80, {"xterm-256color", true, true}},
    {"batch_80x24", "Tab Enter", 24, 80, {"xterm-256color", true, true}},
    {"batch_will_not", "Tab t Enter wait:60 Enter Right Right", 30, 100, {"xterm-256color", true, false}},
    {"batch_vt100_ascii", "Tab Down Enter", 24, 80, {"vt100", false, true}},
    {"batch_40x12", "Tab Enter", 12, 40, {"xterm-256color", true, true}},
    {"board_will_not", "Tab t Enter wait:60", 45, 140, {"xterm-256color", true, true}},
    {"tonight_80x24", "g", 24, 80, {"xterm-256color", true, true}},
    {"tonight_140x45", "g", 45, 140, {"xterm-256color", true, false}},
    {"working_batch", "Tab ?", 30, 100, {"xterm-256color", true, true}},
    {"working_hold", "2 ?", 30, 100, {"xterm-256color", true, true}},
    {"working_calving", "3 ?", 30, 100, {"xterm-256color", true, true}},
    {"shelf_80x24", "s", 24, 80, {"xterm-256color", true, true}},
    {"shelf_100x30", "s", 30, 100, {"xterm-256color", true, true}},
    {"shelf_140x45", "s Tab", 45, 140, {"xterm-256color", true, true}},
    {"shelf_mono", "s Home", 30, 100, {"xterm-256color", true, false}},
    {"shelf_vt100_ascii", "s", 24, 80, {"vt100", false, true}},
    {"shelf_40x12", "s", 12, 40, {"xterm-256color", true, true}},
    {"shelf_goes_to", "s g", 24, 80, {"xterm-256color", true, true}},
    {"shelf_batch", "s Enter", 30, 100, {"xterm-256color", true, true}},
    {"shelf_taste", "s Home y", 30, 100, {"xterm-256color", true, true}},
    {"shelf_losses", "s m", 30, 100, {"xterm-256color", true, true}},
    {"shelf_person", "s Tab Enter", 24, 80, {"xterm-256color", true, true}},
    {"shelf_trace", "s x", 24, 80, {"xterm-256color", true, true}},
    {"shelf_share", "s d Down Down Down Down Down Down Down Down Down Down Down Down Down Down", 24, 80, {"xterm-256color", true, true}},
    {"working_days", "s ?", 30, 100, {"xterm-256color", true, true}},
    {"help", "Tab Tab ?", 30, 100, {"xterm-256color", true, true}},
    {"ahead_80x24", "a Down Down", 24, 80, {"xterm-256color", true, true}},
    {"ahead_140x45", "a End", 45, 140, {"xterm-256color", true, true}},
    {"ahead_settle", "a Enter", 30, 100, {"xterm-256color", true, true}},
    {"year_80x24", "y", 24, 80, {"xterm-256color", true, true}},
    {"year_140x45", "y Left Left Up", 45, 140, {"xterm-256color", true, true}},
    {"year_mono", "y", 30, 100, {"xterm-256color", true, false}},
    {"year_vt100_ascii", "y", 24, 80, {"vt100", false, true}},
    {"working_gap", "y ?", 30, 100, {"xterm-256color", true, true}},
    {"feed_80x24", "f", 24, 80, {"xterm-256color", true, true}},
    {"feed_140x45", "f End", 45, 140, {"xterm-256color", true, true}},
    {"enter_what", "n", 24, 80, {"xterm-256color", true, true}},
};

START_TEST(every_screen_is_as_it_was_looked_at)
{
    struct board_rig rig;
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &screens[_i].kind, screens[_i].rows,
                   screens[_i].cols);
    tty_keys(&rig.tty, screens[_i].keys);
    tty_expect(&rig.tty, screens[_i].name);
    board_rig_close(&rig);
}
END_TEST

START_TEST(every_terminal_shows_the_verdicts_in_words)
{
    /* Colour or not, braille or not: KEEP and DO NOT KEEP stand there in words. */
    for (size_t i = 0; i < tty_kind_count; i++) {
        struct board_rig rig;
        char name[80];
        board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &tty_kinds[i], 24, 80);
        ck_assert_msg(tty_shows(&rig.tty, "DO NOT KEEP") && tty_shows(&rig.tty, "KEEP  ") &&
                          tty_shows(&rig.tty, "will make it"),
                      "%s", tty_kind_name(&tty_kinds[i], name, sizeof name));
        board_rig_close(&rig);
    }
}
END_TEST

START_TEST(a_resize_storm_ends_in_the_same_picture)
{
    struct board_rig rig;
    struct stream s = {24};
    char word[32];
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &usual_terminal, 30, 100);
    char *before = tty_screen(&rig.tty);
    for (int i = 0; i < 300; i++) {
        snprintf(word, sizeof word, "size:%dx%d", 1 + stream_below(&s, 200), 1 + stream_below(&s, 60));
        tty_keys(&rig.tty, word);
        if (i % 10 == 0)
            tty_keys(&rig.tty, "Tab");
        if (i % 25 == 0)
            tty_keys(&rig.tty, "z size:1x1 size:300x90 Esc");
    }
    while (rig.app.pane != 0)
        tty_keys(&rig.tty, "Tab");
    tty_keys(&rig.tty, "size:100x30");
    char *after = tty_screen(&rig.tty);
    ck_assert_str_eq(before, after);
    free(before);
    free(after);
    board_rig_close(&rig);
}
END_TEST

START_TEST(a_paste_of_rubbish_records_nothing_outside_a_field)
{
    struct board_rig rig;
    static char rubbish[100000];
    struct stream s = {5};
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &usual_terminal, 24, 80);
    int64_t last = rig.app.board->last_entry;
    for (size_t i = 0; i < sizeof rubbish; i++)
        rubbish[i] = (char)(32 + stream_below(&s, 95));
    tty_feed(&rig.tty, "\x1b[200~", 6);
    for (size_t i = 0; i < sizeof rubbish; i += 4000) {
        tty_feed(&rig.tty, rubbish + i, 4000);
        tty_turn(&rig.tty);
    }
    tty_feed(&rig.tty, "\x1b[201~", 6);
    for (int i = 0; i < 50; i++)
        tty_turn(&rig.tty);
    ck_assert_int_eq(rig.app.board->last_entry, last);
    ck_assert(tty_shows(&rig.tty, "STALLS"));
    board_rig_close(&rig);
}
END_TEST

START_TEST(random_keys_break_nothing)
{
    /* Any keys in any order: the records stay sound and the board comes back. What they record is their own
     * affair. */
    static const char *const words[] = {
        "Up",      "Down",   "Left", "Right", "Tab", "Enter", "Esc", "u", "n", "?",
        "j",       "o",      "z",    "m",     "p",   "t",     "i",   "v", "h", "b",
        "type:44", "PgDn",   "PgUp", "Home",  "End", "-",     "+",   "<", ">", "1",
        "type:x",  "wait:3", "e",    "a",     "s",   "w",     "y",   "f", "r", "Backspace"};
    struct board_rig rig;
    struct stream s = {(uint64_t)_i * 31 + 7};
    size_t findings;
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &usual_terminal, 24, 80);
    for (int i = 0; i < 1500; i++) {
        const char *word = words[stream_below(&s, (int)(sizeof words / sizeof words[0]))];
        if (stream_below(&s, 12) == 0)
            word = "Space";
        tty_keys(&rig.tty, word);
        if (i % 97 == 0)
            tty_keys(&rig.tty, i % 2 == 0 ? "size:41x13" : "size:132x43");
    }
    tty_keys(&rig.tty, "Esc Esc Esc Esc Esc Esc Esc Esc Esc size:80x24");
    ck_assert(rig.app.screen == &board_screen);
    ck_assert_int_eq(dairy_verify(rig.dairy, NULL, NULL, &findings, NULL), 0);
    ck_assert_uint_eq(findings, 0);
    board_rig_close(&rig);
}
END_TEST

START_TEST(two_boards_on_one_file_see_each_others_ticks)
{
    /* One process has one terminal, so the kitchen's board is a dairy without a screen. */
    struct board_rig rig;
    bool changed;
    struct act_done done;
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &usual_terminal, 24, 80);
    struct dairy *kitchen = rig_open("demo.db");
    size_t ticked = rig.app.board->progress.done;
    tty_keys(&rig.tty, "Tab Tab Space");
    ck_assert_uint_eq(rig.app.board->progress.done, ticked + 1);
    ck_assert_int_eq(dairy_refresh(kitchen, &changed, NULL), 0);
    ck_assert(changed);
    ck_assert_int_eq(dairy_undo(kitchen, 0, rig_at(DEMO_AT), &done, NULL), 0);
    tty_keys(&rig.tty, "wait:1 wait:1");
    ck_assert_uint_eq(rig.app.board->progress.done, ticked);
    dairy_close(kitchen);
    board_rig_close(&rig);
}
END_TEST

START_TEST(a_busy_file_is_waited_for_in_the_loop_and_nothing_is_lost)
{
    struct board_rig rig;
    const char *path = demo_copy("demo.db");
    sqlite3 *db;
    board_rig_open(&rig, path, DEMO_AT, &usual_terminal, 24, 80);
    size_t done = rig.app.board->progress.done;
    ck_assert_int_eq(sqlite3_open(path, &db), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    tty_keys(&rig.tty, "Tab Tab Space wait:8");
    ck_assert_uint_eq(rig.app.board->progress.done, done);
    ck_assert(tty_shows(&rig.tty, "Not saved yet"));
    tty_keys(&rig.tty, "Up Down"); /* keys are answered all the while */
    ck_assert_int_eq(sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    tty_keys(&rig.tty, "wait:1");
    ck_assert_uint_eq(rig.app.board->progress.done, done + 1);
    sqlite3_close(db);
    board_rig_close(&rig);
}
END_TEST

START_TEST(alarms_ring_until_they_are_heard)
{
    struct board_rig rig;
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &usual_terminal, 24, 80);
    tty_keys(&rig.tty, "wait:600");
    ck_assert(tty_shows(&rig.tty, "Batch B may come out of the ice now. Space: heard."));
    int64_t last = rig.app.board->last_entry;
    tty_keys(&rig.tty, "Space");
    ck_assert_int_eq(rig.app.board->last_entry, last); /* the key was for the alarm, not for a step */
    tty_keys(&rig.tty, "wait:8 Space Space Space");
    ck_assert(!tty_shows(&rig.tty, "Space: heard."));
    board_rig_close(&rig);
}
END_TEST

Suite *screens_suite(void)
{
    Suite *s = suite_create("screens");
    TCase *t = tcase_create("pictures");
    tcase_add_unchecked_fixture(t, demo_master_open, demo_master_close);
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_loop_test(t, every_screen_is_as_it_was_looked_at, 0, (int)(sizeof screens / sizeof screens[0]));
    tcase_add_test(t, every_terminal_shows_the_verdicts_in_words);
    suite_add_tcase(s, t);

    t = tcase_create("rough handling");
    tcase_add_unchecked_fixture(t, demo_master_open, demo_master_close);
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, a_resize_storm_ends_in_the_same_picture);
    tcase_add_test(t, a_paste_of_rubbish_records_nothing_outside_a_field);
    tcase_add_loop_test(t, random_keys_break_nothing, 0, 4);
    tcase_add_test(t, two_boards_on_one_file_see_each_others_ticks);
    tcase_add_test(t, a_busy_file_is_waited_for_in_the_loop_and_nothing_is_lost);
    tcase_add_test(t, alarms_ring_until_they_are_heard);
    suite_add_tcase(s, t);
    return s;
}
