/* The wash bench through the keyboard; and every caution of the chemicals, on the screens where they are handled,
 * with no colour to lean on. */
#include "core/day/wash_view.h"
#include "core/sanitation/caution.h"
#include "core/sanitation/routine.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"
#include "tests/tui/board_rig.h"

static const struct tty_kind mono = {"xterm-256color", true, false};

enum side { WHOLE, LEFT, RIGHT };

/* What the screen shows, or one side of the line that parts it, as one line of words with one blank between them. */
static char *words_of(struct tty *tty, int rows, enum side side)
{
    char row[1024], *text = calloc(1, 64 * 1024);
    size_t n = 0;
    for (int i = 0; i < rows; i++) {
        (void)tty_row(tty, i, row, sizeof row);
        char *bar = side == WHOLE ? NULL : strstr(row, "│");
        const char *from = row;
        if (bar != NULL && side == RIGHT)
            from = bar + strlen("│");
        else if (bar != NULL)
            *bar = '\0';
        for (const char *p = from; *p != '\0'; p++)
            if (*p != ' ' || (n > 0 && text[n - 1] != ' '))
                text[n++] = *p;
        if (n > 0 && text[n - 1] != ' ')
            text[n++] = ' ';
    }
    return text;
}

/* Every row of what must be said where chlorine and acid are handled: bleach with acid, with ammonia, with others;
 * a rinse between; a sharp smell; acid into water; water first; gloves and an open door; stored apart; paid help.
 * Sources: Stanford EHS on bleach; the poison centre of Children's Hospital of Philadelphia; OSHA information sheet 4;
 * 29 CFR 1910.1200. */
static const enum caution_id must_be_said[] = {
    CAUTION_NO_MIX_ACID,  CAUTION_NO_MIX_AMMONIA,  CAUTION_NO_MIX_OTHER, CAUTION_RINSE_BETWEEN, CAUTION_SHARP_SMELL,
    CAUTION_ACID_INTO_WATER, CAUTION_WATER_FIRST, CAUTION_GLOVES,       CAUTION_STORE_APART,   CAUTION_PAID_HELP,
};

enum { MUST_BE_SAID = sizeof must_be_said / sizeof must_be_said[0] };

START_TEST(every_caution_stands_on_the_bench_in_mono)
{
    static const struct {
        int rows, cols;
    } sizes[] = {{24, 80}, {30, 100}, {45, 140}};
    struct board_rig rig;
    bool seen[MUST_BE_SAID] = {false};
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &mono, sizes[_i].rows, sizes[_i].cols);
    tty_keys(&rig.tty, "w Tab Tab Tab Tab"); /* the last pane: the cautions */
    for (int page = 0; page < 8; page++) {
        char *text = words_of(&rig.tty, sizes[_i].rows, LEFT);
        for (size_t n = 0; n < MUST_BE_SAID; n++)
            seen[n] = seen[n] || strstr(text, caution_text(must_be_said[n])) != NULL;
        free(text);
        tty_keys(&rig.tty, "Down Down Down");
    }
    for (size_t n = 0; n < MUST_BE_SAID; n++)
        ck_assert_msg(seen[n], "not shown: %s", caution_text(must_be_said[n]));
    board_rig_close(&rig);
}
END_TEST

START_TEST(the_gravest_caution_stands_whatever_pane_has_the_keys)
{
    struct board_rig rig;
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &mono, 24, 80);
    tty_keys(&rig.tty, "w");
    for (int pane = 0; pane < 5; pane++) {
        char *text = words_of(&rig.tty, 24, WHOLE);
        ck_assert_msg(strstr(text, caution_text(CAUTION_NO_MIX_ACID)) != NULL, "pane %d: %s", pane, text);
        free(text);
        tty_keys(&rig.tty, "Tab");
    }
    board_rig_close(&rig);
}
END_TEST

START_TEST(the_cards_of_chlorine_and_acid_say_in_words_that_they_must_not_meet)
{
    /* Each step that handles one of the two, on the board of an ordinary terminal and of a small one. */
    static const struct {
        int rows, cols;
    } sizes[] = {{24, 80}, {36, 120}};
    struct board_rig rig;
    int cards = 0;
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &mono, sizes[_i].rows, sizes[_i].cols);
    tty_keys(&rig.tty, "Tab Tab Home");
    for (size_t i = 0; i < rig.app.board->progress.count; i++) {
        enum chemical chemical = rig.app.board->progress.row[rig.app.row].step->chemical;
        if (chemical == CHEMICAL_CHLORINE || chemical == CHEMICAL_ALKALINE_CHLORINE || chemical == CHEMICAL_ACID) {
            char *text = words_of(&rig.tty, sizes[_i].rows, RIGHT);
            cards++;
            ck_assert_msg(strstr(text, caution_text(CAUTION_NO_MIX_ACID)) != NULL, "%s: %s",
                          rig.app.board->progress.row[rig.app.row].step->id, text);
            free(text);
        }
        tty_keys(&rig.tty, "Down");
    }
    ck_assert_int_ge(cards, 4); /* sanitise, hot wash, milkstone, acid rinse */
    board_rig_close(&rig);
}
END_TEST

START_TEST(a_mix_a_strip_and_a_reading_are_a_few_keys)
{
    struct board_rig rig;
    const char *path = scratch_path("small.db");
    dairy_close(rig_small("small.db", "2026-05-02T20:00"));
    board_rig_open(&rig, path, "2026-05-03T05:40", &usual_terminal, 24, 80);
    tty_keys(&rig.tty, "w");
    ck_assert(tty_shows(&rig.tty, "Nothing mixed yet"));
    tty_keys(&rig.tty, "Enter type:8.25% Down Down type:100ppm Down type:3gal Enter");
    ck_assert(tty_shows(&rig.tty, "100 ppm by the sum; dip a strip"));
    tty_keys(&rig.tty, "1 0 0 Enter");
    ck_assert(tty_shows(&rig.tty, "100 ppm by strip at 05:40: good"));
    /* Bad input stays in its form, with its line; nothing is recorded. */
    int64_t last = rig.app.board->last_entry;
    tty_keys(&rig.tty, "3 0 0 Enter");
    ck_assert(tty_shows(&rig.tty, "its scale ends at 200 ppm"));
    ck_assert_int_eq(rig.app.board->last_entry, last);
    tty_keys(&rig.tty, "Esc Tab 1 6 0 Enter");
    ck_assert(tty_shows(&rig.tty, "one more reading"));
    tty_keys(&rig.tty, "wait:300 1 5 0 Enter");
    ck_assert(tty_shows(&rig.tty, "above 120 °F for 20 min more"));
    tty_keys(&rig.tty, "u");
    ck_assert(tty_shows(&rig.tty, "one more reading"));
    board_rig_close(&rig);
}
END_TEST

Suite *wash_suite(void)
{
    Suite *s = suite_create("wash");
    TCase *t = tcase_create("wash");
    tcase_add_unchecked_fixture(t, demo_master_open, demo_master_close);
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_loop_test(t, every_caution_stands_on_the_bench_in_mono, 0, 3);
    tcase_add_test(t, the_gravest_caution_stands_whatever_pane_has_the_keys);
    tcase_add_loop_test(t, the_cards_of_chlorine_and_acid_say_in_words_that_they_must_not_meet, 0, 2);
    tcase_add_test(t, a_mix_a_strip_and_a_reading_are_a_few_keys);
    suite_add_tcase(s, t);
    return s;
}
