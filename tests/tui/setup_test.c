/* Set-up by the keyboard: what a form shows of a step is the whole step, so that looking and Enter change nothing. */
#include "core/day/setup_view.h"
#include "tests/scratch.h"
#include "tests/support.h"
#include "tests/tui/board_rig.h"

static char *routine_text(struct dairy *d)
{
    struct setup_view *v = malloc(sizeof *v);
    char *text = malloc(ROUTINE_TEXT_MAX);
    struct fail f = {0};
    ck_assert_msg(dairy_setup(d, v, &f) == 0 && routine_write(&v->routine, text, ROUTINE_TEXT_MAX, &f) == 0, "%s", f.text);
    free(v);
    return text;
}

START_TEST(a_step_that_is_opened_and_accepted_stays_as_it_was)
{
    enum { LINES_LEAST = 40, LINES_MOST = 140 };
    struct board_rig rig;
    int opened = 0;
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &usual_terminal, 45, 140);
    char *before = routine_text(rig.dairy);
    tty_keys(&rig.tty, "o");
    for (int i = 0; i < LINES_MOST; i++) {
        tty_keys(&rig.tty, "Down Enter");
        if (!tty_shows(&rig.tty, "A step of the routine")) {
            tty_keys(&rig.tty, "Esc");
            if (!tty_shows(&rig.tty, "THE ROUTINE") && !tty_shows(&rig.tty, "COWS AND STALLS"))
                tty_keys(&rig.tty, "o");
            continue;
        }
        opened++;
        tty_keys(&rig.tty, "Enter");
        ck_assert(!tty_shows(&rig.tty, "A step of the routine"));
        char *after = routine_text(rig.dairy);
        ck_assert_str_eq(after, before);
        free(after);
    }
    ck_assert_int_ge(opened, LINES_LEAST);
    free(before);
    board_rig_close(&rig);
}
END_TEST

Suite *setup_suite(void)
{
    Suite *s = suite_create("setup");
    TCase *t = tcase_create("setup");
    tcase_add_unchecked_fixture(t, demo_master_open, demo_master_close);
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, a_step_that_is_opened_and_accepted_stays_as_it_was);
    suite_add_tcase(s, t);
    return s;
}
