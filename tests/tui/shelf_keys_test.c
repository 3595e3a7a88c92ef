/* The shelf through the keyboard: jars handed out and found, a wrong taste, a short day, and milk that must
 * be called back because a treatment was entered late. */
#include "core/day/losses.h"
#include "core/day/shelf.h"
#include "core/day/taste_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"
#include "tests/tui/board_rig.h"
#include "tui/shelf_panes.h"

static struct board_rig rig;
static struct shelf_view *shelf;

static void open_demo(void)
{
    scratch_open();
    shelf = calloc(1, sizeof *shelf);
    board_rig_open(&rig, demo_copy("demo.db"), DEMO_AT, &usual_terminal, 30, 100);
}

static void close_demo(void)
{
    size_t findings = 1;
    ck_assert_int_eq(dairy_verify(rig.dairy, NULL, NULL, &findings, NULL), 0);
    ck_assert_uint_eq(findings, 0);
    board_rig_close(&rig);
    free(shelf);
    scratch_close();
}

static const struct shelf_view *look(void)
{
    struct fail f = {0};
    ck_assert_msg(dairy_shelf(rig.dairy, clock_now(&rig.tty.clock), shelf, &f) == 0, "%s", f.text);
    return shelf;
}

/* Jars that are to be called back, at home, with people, or as cheese. */
static int open_jars(void)
{
    const struct recall_view *r = &look()->recall;
    return r->open_home + r->open_given + r->open_cheese;
}

/* Jars of a batch that somebody took. */
static int taken(const char *name, const char *code)
{
    const struct people_view *v = &look()->people;
    for (size_t i = 0; i < v->people; i++)
        for (size_t k = 0; k < v->takens && strcmp(v->person[i].name, name) == 0; k++)
            if (v->taken[k].person_id == v->person[i].id && strcmp(v->taken[k].code, code) == 0)
                return v->taken[k].count;
    return 0;
}

START_TEST(two_keys_hand_the_oldest_good_jar_to_somebody)
{
    const struct shelf_row *oldest = &look()->row[shelf->next];
    char code[16];
    int count = oldest->count, had = shelf->people.person[1].taken_today;
    ck_assert_str_eq(shelf->people.person[1].name, "Old Pell");
    snprintf(code, sizeof code, "%s", oldest->code);
    tty_keys(&rig.tty, "s g 2");
    ck_assert_int_eq(taken("Old Pell", code), 1);
    ck_assert_int_eq(look()->people.person[1].taken_today, had + 1);
    ck_assert_int_eq(shelf->row[shelf->next].count, count - 1);
    /* The cursor stays on that jar: a second one is two keys more; u takes it back. */
    tty_keys(&rig.tty, "g 2");
    ck_assert_int_eq(taken("Old Pell", code), 2);
    tty_keys(&rig.tty, "u u");
    ck_assert_int_eq(taken("Old Pell", code), 0);
    /* A number that is nobody's, and Esc, do nothing. */
    tty_keys(&rig.tty, "g 9 g Esc g z");
    ck_assert(rig.app.screen == &shelf_screen);
    ck_assert_int_eq(look()->row[shelf->next].count, count);
}
END_TEST

START_TEST(jars_go_to_the_freezer_the_calf_and_the_cheese)
{
    static const struct {
        const char *keys, *place;
    } ways[] = {{"f", "freezer"}, {"c", "calf"}, {"p", "pigs"}, {"h", "cheese"}, {"d", "drunk"}};
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        char keys[80], code[16];
        struct trace_view *t = calloc(1, sizeof *t);
        struct trace_ask ask = {ASK_BATCH, look()->row[shelf->next].batch_id, INSTANT_NONE, INSTANT_NONE};
        int there = 0, before = 0;
        snprintf(code, sizeof code, "%s", shelf->row[shelf->next].code);
        ck_assert_int_eq(dairy_trace(rig.dairy, &ask, clock_now(&rig.tty.clock), t, NULL), 0);
        for (size_t k = 0; k < t->lines; k++)
            before += strcmp(jar_place_word(t->line[k].place), ways[i].place) == 0 ? t->line[k].count : 0;
        tty_keys(&rig.tty, "Esc s");
        snprintf(keys, sizeof keys, "g %s Backspace type:1 Enter", ways[i].keys);
        tty_keys(&rig.tty, keys);
        ck_assert_int_eq(dairy_trace(rig.dairy, &ask, clock_now(&rig.tty.clock), t, NULL), 0);
        for (size_t k = 0; k < t->lines; k++)
            there += strcmp(jar_place_word(t->line[k].place), ways[i].place) == 0 ? t->line[k].count : 0;
        ck_assert_msg(there == before + 1, "%s: %d of %s, before %d", ways[i].place, there, code, before);
        free(t);
    }
    /* Jars past their day are thrown away with that as the reason already filled in. */
    int old = look()->row[0].count, jars = shelf->jars;
    ck_assert_int_eq(shelf->row[0].state, SHELF_PAST);
    tty_keys(&rig.tty, "Esc s Home g x Enter");
    ck_assert_int_eq(look()->jars, jars - old);
}
END_TEST

START_TEST(a_code_or_a_part_of_it_finds_the_jar)
{
    tty_keys(&rig.tty, "s / type:502");
    ck_assert_msg(strncmp(shelf_row_now(&rig.app)->code, "260502", 6) == 0, "%s",
                  shelf_row_now(&rig.app)->code);
    tty_keys(&rig.tty, "Enter");
    ck_assert(tty_shows(&rig.tty, "From the cow to the glass"));
    ck_assert(tty_shows(&rig.tty, "260502-1A"));
    /* One that is not on the shelf any more is found too; one that never was gets a line. */
    tty_keys(&rig.tty, "Esc / type:260330-1a5 Enter");
    ck_assert(tty_shows(&rig.tty, "260330-1A5"));
    tty_keys(&rig.tty, "Esc / type:260330-1A6 Enter");
    ck_assert(rig.app.message.text[0] != '\0');
    ck_assert(rig.app.screen == &shelf_screen);
}
END_TEST

START_TEST(a_wrong_taste_shows_its_suspects_with_this_dairys_log)
{
    tty_keys(&rig.tty, "s t type:sour Enter");
    ck_assert(tty_shows(&rig.tty, "Why it may taste so"));
    ck_assert(tty_shows(&rig.tty, "slow chill"));
    ck_assert(tty_shows(&rig.tty, "it took"));
    tty_keys(&rig.tty, "Esc t type:good Enter"); /* good milk has no suspects */
    ck_assert(!tty_shows(&rig.tty, "Why it may taste so"));
}
END_TEST

START_TEST(a_short_day_is_shared_out_before_it_is_written)
{
    /* Two people have one jar each due on a Sunday; with one jar one of them goes short and is owed it. */
    tty_keys(&rig.tty, "s d");
    for (int i = 0; i < 60; i++)
        tty_keys(&rig.tty, "Down");
    tty_keys(&rig.tty, "Up");
    ck_assert(tty_shows(&rig.tty, "1 jars for 2 due, 1 short"));
    ck_assert(!look()->people.shared_today);
    tty_keys(&rig.tty, "Enter");
    ck_assert(rig.app.screen == &shelf_screen);
    ck_assert(look()->people.shared_today);
    int owed = 0, due = 0;
    for (size_t i = 0; i < shelf->people.people; i++) {
        owed += shelf->people.person[i].owed;
        due += shelf->people.person[i].due;
    }
    ck_assert_int_eq(owed, 1);
    ck_assert_int_eq(due, 1);
    tty_keys(&rig.tty, "d");
    ck_assert(tty_shows(&rig.tty, "shared out already"));
}
END_TEST

START_TEST(jars_come_back_and_are_washed)
{
    int out = look()->people.person[0].out_all, clean = shelf->pool.n[JARS_CLEAN][0];
    ck_assert_str_eq(shelf->people.person[0].name, "Hesper Lund");
    tty_keys(&rig.tty, "s Tab b type:3 Enter");
    ck_assert_int_eq(look()->people.person[0].out_all, out - 3);
    tty_keys(&rig.tty, "h Enter");
    ck_assert_int_eq(look()->pool.n[JARS_CLEAN][0], clean + 3);
}
END_TEST

START_TEST(every_day_figure_has_the_safety_sentence_beside_it)
{
    static const char *const sizes[] = {"size:80x24", "size:100x30", "size:140x45", "size:60x16"};
    tty_keys(&rig.tty, "s");
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        tty_keys(&rig.tty, sizes[i]);
        ck_assert_msg(tty_shows(&rig.tty, "Keeping quality is not safety"), "%s", sizes[i]);
    }
    tty_keys(&rig.tty, "size:100x30 Enter");
    ck_assert(tty_shows(&rig.tty, "Keeping quality is not safety"));
    tty_keys(&rig.tty, "Esc ? End");
    ck_assert(tty_shows(&rig.tty, "Keeping quality is not safety"));
}
END_TEST

/* The keeper gave Sorrel a tube on Thursday at 05:00, label 96 hours, and enters it on Sunday. By the label
 * her milk is free when more than 96 hours are over, on Monday at 05:00: everything of hers since Thursday is
 * not to be kept. It is in jars at home and with people. */
#define LATE_TREATMENT                                                                                       \
    "4 Enter t type:udder_tube Down Down Down Down Down Down type:96h "                                      \
    "Down Down Down Down Down Down Down Down Down Down Down Down type:2026-04-30T05:00 Enter"

START_TEST(a_treatment_entered_late_calls_its_jars_back_through_the_keyboard)
{
    ck_assert_uint_eq(look()->recall.lines, 0);
    tty_keys(&rig.tty, LATE_TREATMENT);
    tty_keys(&rig.tty, "Esc");
    /* The board says so, and where to go. */
    ck_assert(rig.app.screen == &board_screen);
    ck_assert_msg(tty_shows(&rig.tty, "milk of Sorrel that is not to be kept"), "%s",
                  rig.app.board->sentence);
    ck_assert(tty_shows(&rig.tty, "s, then c: which jars, and who has them"));
    /* The shelf marks every jar with her milk since then, and only those. */
    tty_keys(&rig.tty, "Space s");
    ck_assert(tty_shows(&rig.tty, "CALL BACK"));
    for (size_t i = 0; i < look()->rows; i++) {
        const struct shelf_row *r = &shelf->row[i];
        bool hers = strstr(r->cows, "Sorrel") != NULL && strncmp(r->code, "260430", 6) >= 0;
        ck_assert_msg((r->state == SHELF_CALL) == hers, "%s of %s is %s", r->code, r->cows,
                      shelf_state_word(r->state));
    }
    tty_keys(&rig.tty, "wait:15"); /* the number of the entry goes, which is not the matter here */
    tty_expect(&rig.tty, "late_shelf");
    /* Milk that is called back is handed to nobody. */
    tty_keys(&rig.tty, "/ type:502 Enter Esc g 1");
    ck_assert(tty_shows(&rig.tty, "is not to be kept"));
    /* Who has them, and how they are reached. */
    tty_keys(&rig.tty, "Esc s c");
    ck_assert(tty_shows(&rig.tty, "CALL BACK"));
    ck_assert(tty_shows(&rig.tty, "Hesper Lund"));
    tty_expect(&rig.tty, "late_recall");
    int open = open_jars();
    ck_assert_int_gt(shelf->recall.open_given, 0);
    ck_assert_int_gt(shelf->recall.open_home, 0);
    ck_assert_int_gt(shelf->recall.open_cheese, 0);
    /* Each line is settled with two keys; what is left comes to the top. */
    for (int i = 0; i < 40 && open_jars() > 0; i++) {
        tty_keys(&rig.tty, "Home Enter Enter");
        int now = open_jars();
        ck_assert_msg(now < open, "%d were open and %d are", open, now);
        open = now;
    }
    ck_assert_int_eq(open, 0);
    ck_assert(tty_shows(&rig.tty, "No jar holds milk that turned out not to be fit to keep."));
    tty_keys(&rig.tty, "Esc Esc");
    ck_assert(!tty_shows(&rig.tty, "not to be kept:"));
    ck_assert_str_eq(rig.app.board->recall, "");
    /* It is among the losses of that month, as held milk. */
    struct losses *l = calloc(1, sizeof *l);
    ck_assert_int_eq(dairy_losses(rig.dairy, 1, clock_now(&rig.tty.clock), l, NULL), 0);
    ck_assert_uint_eq(l->months, 1);
    ck_assert_int_gt(l->month[0].lost.mass_g[LOSS_HELD], 20000);
    free(l);
}
END_TEST

START_TEST(a_trace_is_asked_from_a_cow_and_from_a_milking)
{
    tty_keys(&rig.tty, "s x / Down type:Sorrel Enter");
    ck_assert(tty_shows(&rig.tty, "milk of Sorrel"));
    ck_assert(tty_shows(&rig.tty, "WHOSE MILK"));
    tty_keys(&rig.tty, "/ type:Nobody Enter"); /* refused in the form, which stays */
    ck_assert_int_eq(rig.app.overlay, OVERLAY_FORM);
    tty_keys(&rig.tty, "Esc / Down Down Down Down type:2026-05-02T07:00 Enter");
    ck_assert(tty_shows(&rig.tty, "260502-1A"));
    ck_assert(tty_shows(&rig.tty, "Maud"));
}
END_TEST

Suite *shelf_keys_suite(void)
{
    Suite *s = suite_create("shelf_keys");
    TCase *t = tcase_create("shelf_keys");
    tcase_add_unchecked_fixture(t, demo_master_open, demo_master_close);
    tcase_add_checked_fixture(t, open_demo, close_demo);
    tcase_add_test(t, two_keys_hand_the_oldest_good_jar_to_somebody);
    tcase_add_test(t, jars_go_to_the_freezer_the_calf_and_the_cheese);
    tcase_add_test(t, a_code_or_a_part_of_it_finds_the_jar);
    tcase_add_test(t, a_wrong_taste_shows_its_suspects_with_this_dairys_log);
    tcase_add_test(t, a_short_day_is_shared_out_before_it_is_written);
    tcase_add_test(t, jars_come_back_and_are_washed);
    tcase_add_test(t, every_day_figure_has_the_safety_sentence_beside_it);
    tcase_add_test(t, a_treatment_entered_late_calls_its_jars_back_through_the_keyboard);
    tcase_add_test(t, a_trace_is_asked_from_a_cow_and_from_a_milking);
    suite_add_tcase(s, t);
    return s;
}
