/* Pages of cows that lived: the four real lactations of tests/data, taken in from a file, as their pages show them. */
#include "tests/day/real_cows.h"
#include "tests/scratch.h"
#include "tests/support.h"
#include "tests/tui/board_rig.h"

static const struct {
    const char *name, *keys;
    int rows, cols;
    struct tty_kind kind;
} pages[] = {
    {"real_jersey_100x30", "1 Enter", 30, 100, {"xterm-256color", true, true}},
    {"real_heifer_80x24", "2 Enter", 24, 80, {"xterm-256color", true, false}},
    {"real_holstein_140x45", "3 Enter", 45, 140, {"xterm-256color", true, true}},
    {"real_red_dane_ascii", "4 Enter", 30, 100, {"vt100", false, true}},
};

START_TEST(a_real_cows_page_is_as_it_was_looked_at)
{
    static struct real_herd herd;
    struct board_rig rig;
    dairy_close(real_cows_open("four.db", &herd));
    board_rig_open(&rig, scratch_path("four.db"), "2025-11-03T08:00", &pages[_i].kind, pages[_i].rows, pages[_i].cols);
    tty_keys(&rig.tty, pages[_i].keys);
    tty_expect(&rig.tty, pages[_i].name);
    board_rig_close(&rig);
}
END_TEST

Suite *real_cows_suite(void)
{
    Suite *s = suite_create("real_cows");
    TCase *t = tcase_create("pages");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_loop_test(t, a_real_cows_page_is_as_it_was_looked_at, 0, (int)(sizeof pages / sizeof pages[0]));
    suite_add_tcase(s, t);
    return s;
}
