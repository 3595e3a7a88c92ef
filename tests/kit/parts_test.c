/* Lists, pages, key tables, messages, names of keys, clocks. */
#include "tests/support.h"
#include "tui/kit/clock.h"
#include "tui/kit/draw.h"
#include "tui/kit/keymap.h"
#include "tui/kit/list.h"
#include "tui/kit/message.h"
#include "tui/kit/page.h"
#include "tui/kit/press.h"

enum { ROWS = 6, COLS = 40 };

static struct canvas canvas;

static void make(void)
{
    canvas.charset = CHARSET_FULL;
    ck_assert_int_eq(canvas_resize(&canvas, ROWS, COLS, NULL), 0);
}

static void drop(void)
{
    canvas_release(&canvas);
}

static const char *row_of(int row)
{
    static char buf[4][COLS * 8];
    static int n;
    n = (n + 1) % 4;
    return canvas_row_text(&canvas, row, buf[n], sizeof buf[n]);
}

static void draw_number(void *context, struct rect r, int row)
{
    (void)context;
    (void)draw_textf(r, 0, 0, ROLE_CHALK, "row %d", row);
}

static void list_show(struct list *l)
{
    canvas_erase(&canvas);
    draw_list(rect_whole(&canvas), l, true, draw_number, NULL);
}

START_TEST(a_list_keeps_its_selection_in_sight)
{
    struct list l = {0};
    list_count(&l, 20);
    list_show(&l);
    ck_assert_str_eq(row_of(0), "row 0");
    ck_assert_str_eq(row_of(5), "row 5                                  ↓");
    ck_assert(list_press(&l, PRESS_PAGE_DOWN));
    list_show(&l);
    ck_assert_int_eq(l.selected, 5);
    ck_assert(list_press(&l, PRESS_DOWN));
    list_show(&l);
    ck_assert_str_eq(row_of(0), "row 1                                  ↑");
    ck_assert_str_eq(row_of(5), "row 6                                  ↓");
    ck_assert_int_eq(canvas_at(&canvas, 5, 0)->flipped, 1);
    ck_assert_int_eq(canvas_at(&canvas, 4, 0)->flipped, 0);
    ck_assert(list_press(&l, PRESS_END));
    list_show(&l);
    ck_assert_str_eq(row_of(5), "row 19");
    list_count(&l, 3); /* rows went away */
    list_show(&l);
    ck_assert_int_eq(l.selected, 2);
    ck_assert_str_eq(row_of(0), "row 0");
    ck_assert(list_press(&l, PRESS_HOME) && list_press(&l, PRESS_UP));
    ck_assert_int_eq(l.selected, 0);
    ck_assert(!list_press(&l, PRESS_ENTER));
    list_count(&l, 0);
    list_show(&l);
    ck_assert(list_press(&l, PRESS_DOWN));
    ck_assert_int_eq(l.selected, 0);
}
END_TEST

START_TEST(a_page_breaks_scrolls_and_says_where_more_is)
{
    static struct page p;
    page_clear(&p);
    page_add(&p, ROLE_TITLE, 0, "TIME TO %d °F", 45);
    page_add(&p, ROLE_CHALK, 2, "%s", "Newton: the rate of fall is as the distance from the bath.");
    page_add_pair(&p, 2, ROLE_STRONG, 8, "milk", "95 °F, read at the pour by hand, twice");
    page_add(&p, ROLE_CHALK, 0, "%s", "");
    page_add(&p, ROLE_CHALK, 0, "end");
    draw_page(rect_whole(&canvas), &p);
    ck_assert_int_eq(p.rows, 7);
    ck_assert_str_eq(row_of(0), "TIME TO 45 °F");
    ck_assert_str_eq(row_of(1), "  Newton: the rate of fall is as the");
    ck_assert_str_eq(row_of(2), "    distance from the bath.");
    ck_assert_str_eq(row_of(3), "  milk     95 °F, read at the pour by");
    ck_assert_str_eq(row_of(4), "           hand, twice");
    ck_assert_str_eq(row_of(5), "                                       ↓");
    ck_assert(page_press(&p, PRESS_DOWN) && page_press(&p, PRESS_DOWN) && page_press(&p, ' '));
    canvas_erase(&canvas);
    draw_page(rect_whole(&canvas), &p);
    ck_assert_str_eq(row_of(0), "  Newton: the rate of fall is as the   ↑");
    ck_assert_str_eq(row_of(5), "end");
    ck_assert(page_press(&p, PRESS_HOME) && !page_press(&p, 'x'));
    ck_assert_int_eq(p.top, 0);
}
END_TEST

START_TEST(a_page_that_is_full_says_so)
{
    static struct page p;
    page_clear(&p);
    for (int i = 0; i < PAGE_LINES_MAX * 2; i++)
        page_add(&p, ROLE_CHALK, 0, "line %d", i);
    ck_assert_int_eq(p.count, PAGE_LINES_MAX);
    ck_assert(page_press(&p, PRESS_HOME));
    draw_page(rect_whole(&canvas), &p);
    ck_assert(page_press(&p, PRESS_END));
    canvas_erase(&canvas);
    draw_page(rect_whole(&canvas), &p);
    ck_assert_str_eq(row_of(5), "There is more than this page can hold.");
    page_clear(&p);
    char text[900];
    memset(text, 'x', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    for (int i = 0; i < 100; i++)
        page_add(&p, ROLE_CHALK, 0, "%s", text);
    ck_assert(p.full && p.used <= PAGE_TEXT_MAX && p.count < PAGE_LINES_MAX);
}
END_TEST

enum { MILKING = 1, COOLING = 2 };
static const struct keymap_row keys[] = {
    {' ', 0, NULL, "tick", "the next step is done", 0, 1, false},
    {'1', '4', NULL, "stall", "go to that stall", MILKING, 2, false},
    {PRESS_UP, 0, "↑↓", "move", "another row", 0, 3, false},
    {PRESS_DOWN, 0, NULL, NULL, NULL, 0, 3, false},
    {'s', 0, NULL, "stir", "the jars were stirred", COOLING, 4, false},
    {'s', 0, NULL, "strip", "what the strips look like", MILKING, 5, false},
    {'?', 0, NULL, "why", "how the figure came about", 0, 6, true},
    {0},
};

START_TEST(a_key_does_what_makes_sense_now)
{
    ck_assert_int_eq(keymap_find(keys, ' ', 0)->id, 1);
    ck_assert_ptr_null(keymap_find(keys, '2', 0));
    ck_assert_int_eq(keymap_find(keys, '2', MILKING)->id, 2);
    ck_assert_ptr_null(keymap_find(keys, '5', MILKING));
    ck_assert_int_eq(keymap_find(keys, 's', MILKING)->id, 5);
    ck_assert_int_eq(keymap_find(keys, 's', COOLING | MILKING)->id, 4);
    ck_assert_int_eq(keymap_find(keys, PRESS_DOWN, 0)->id, 3);
    ck_assert_ptr_null(keymap_fault(keys));
}
END_TEST

START_TEST(the_bar_shows_what_fits_and_always_what_is_kept)
{
    struct rect r = rect_whole(&canvas);
    draw_keymap(r, 0, keys, MILKING);
    ck_assert_str_eq(row_of(0), "Space tick   1–4 stall   ↑↓ move   ? why");
    draw_keymap(r, 1, keys, 0);
    ck_assert_str_eq(row_of(1), "Space tick   ↑↓ move   ? why");
    draw_keymap(rect_part(r, 2, 0, 1, 20), 0, keys, 0);
    ck_assert_str_eq(row_of(2), "Space tick   ? why");
    draw_keymap(rect_part(r, 3, 0, 1, 8), 0, keys, 0);
    ck_assert_str_eq(row_of(3), "? why");
    canvas.charset = CHARSET_ASCII;
    draw_keymap(r, 4, keys, MILKING);
    ck_assert_str_eq(row_of(4), "Space tick   1-4 stall   ^v move   ? why");
}
END_TEST

START_TEST(help_comes_from_the_same_table)
{
    static struct page p;
    page_clear(&p);
    keymap_help(&p, "KEYS", keys, MILKING);
    draw_page(rect_part(rect_whole(&canvas), 0, 0, ROWS, COLS), &p);
    ck_assert_str_eq(row_of(0), "KEYS");
    ck_assert_str_eq(row_of(1), "  Space      the next step is done");
    ck_assert_str_eq(row_of(2), "  1–4        go to that stall");
    ck_assert_int_eq(p.count, 8); /* a title, six rows, an empty line: the second key is left out */
}
END_TEST

START_TEST(slips_in_a_table_are_found)
{
    static const struct keymap_row twice[] = {
        {'a', 0, NULL, "one", "x", 0, 1, false}, {'a', 0, NULL, "two", "x", MILKING, 2, false}, {0}};
    static const struct keymap_row in_range[] = {
        {'1', '4', NULL, "one", "x", 0, 1, false}, {'3', 0, NULL, "two", "x", 0, 2, false}, {0}};
    static const struct keymap_row no_help[] = {{'a', 0, NULL, "one", "", 0, 1, false}, {0}};
    static const struct keymap_row no_id[] = {{'a', 0, NULL, "one", "x", 0, 0, false}, {0}};
    static const struct keymap_row backwards[] = {{'4', '1', NULL, "one", "x", 0, 1, false}, {0}};
    static const struct keymap_row wordy[] = {{'a', 0, NULL, "a name as long as this", "x", 0, 1, false},
                                              {0}};
    ck_assert_str_eq(keymap_fault(twice), "two");
    ck_assert_str_eq(keymap_fault(in_range), "two");
    ck_assert_str_eq(keymap_fault(no_help), "one");
    ck_assert_ptr_nonnull(keymap_fault(no_id));
    ck_assert_ptr_nonnull(keymap_fault(backwards));
    ck_assert_ptr_nonnull(keymap_fault(wordy));
}
END_TEST

START_TEST(messages_stay_as_long_as_they_matter)
{
    struct message m = {0};
    struct uptime at = {INT64_MAX}, t0 = {100000};
    struct fail f;
    message_wake(&m, &at);
    ck_assert(at.ms == INT64_MAX && !message_pass(&m, t0) && !draw_message(rect_whole(&canvas), 0, &m));
    message_say(&m, t0, ROLE_CALM, "%d jars on the shelf", 4);
    ck_assert(draw_message(rect_whole(&canvas), 0, &m));
    ck_assert_str_eq(row_of(0), "4 jars on the shelf");
    message_wake(&m, &at);
    ck_assert_int_eq(at.ms, 105000);
    ck_assert(!message_pass(&m, (struct uptime){104999}) && message_pass(&m, (struct uptime){105000}));
    ck_assert_str_eq(m.text, "");
    (void)fail_refused(&f, "Maud is dry.");
    message_fail(&m, t0, &f);
    ck_assert_int_eq(m.role, ROLE_WATCH);
    ck_assert(!message_pass(&m, (struct uptime){114999}) && message_pass(&m, (struct uptime){115000}));
    (void)fail_set(&f, FAIL_STORE, "The disk is full; nothing was saved.");
    message_fail(&m, t0, &f);
    message_say(&m, t0, ROLE_CALM, "saved"); /* must not hide that */
    ck_assert_str_eq(m.text, "The disk is full; nothing was saved.");
    ck_assert(!message_pass(&m, (struct uptime){INT64_MAX - 1}));
    message_clear(&m);
    ck_assert_str_eq(m.text, "");
}
END_TEST

START_TEST(keys_have_names)
{
    char buf[PRESS_NAME_MAX];
    for (int key = PRESS_UP; key <= PRESS_LAST; key++) {
        ck_assert_msg(press_name(key, buf)[0] != '\0', "key %d", key - PRESS_UP);
        ck_assert_int_eq(press_from_name(buf), key);
    }
    for (int key = ' '; key < 0x7F; key++)
        ck_assert_int_eq(press_from_name(press_name(key, buf)), key);
    ck_assert_int_eq(press_from_name("F1"), PRESS_NONE);
    ck_assert_str_eq(press_name(PRESS_NONE, buf), "");
    ck_assert(press_writes('a') && press_writes(0x82B1) && !press_writes(PRESS_UP) && !press_writes(0x1B));
}
END_TEST

START_TEST(clocks_run_as_they_are_told)
{
    struct clock_held h;
    struct clock held = clock_held(&h, (struct instant){1000});
    ck_assert_int_eq(clock_now(&held).s, 1000);
    clock_held_advance(&h, 1999);
    ck_assert_int_eq(clock_now(&held).s, 1001);
    ck_assert_int_eq(clock_up(&held).ms, 1999);
    h.wall_ms = -1; /* before 1970 a second is still counted downwards */
    ck_assert_int_eq(clock_now(&held).s, -1);
    struct clock machine = clock_machine();
    struct uptime up = clock_up(&machine);
    ck_assert_int_eq(clock_machine_ms(&machine, up), up.ms);
    ck_assert(machine.wall_ms(machine.context) > INT64_C(1700000000000));
    struct clock_paced p;
    struct clock paced = clock_paced(&p, (struct instant){5000}, 30);
    struct uptime before = clock_up(&paced);
    int64_t base = clock_machine_ms(&paced, before);
    int64_t later =
        clock_machine_ms(&paced, (struct uptime){before.ms + 60000}); /* a minute takes two seconds */
    ck_assert(later - base >= 1900 && later - base <= 2100);
    ck_assert(clock_now(&paced).s >= 5000 && clock_now(&paced).s < 6000);
}
END_TEST

Suite *parts_suite(void)
{
    Suite *s = suite_create("parts");
    TCase *t = tcase_create("parts");
    tcase_add_checked_fixture(t, make, drop);
    tcase_add_test(t, a_list_keeps_its_selection_in_sight);
    tcase_add_test(t, a_page_breaks_scrolls_and_says_where_more_is);
    tcase_add_test(t, a_page_that_is_full_says_so);
    tcase_add_test(t, a_key_does_what_makes_sense_now);
    tcase_add_test(t, the_bar_shows_what_fits_and_always_what_is_kept);
    tcase_add_test(t, help_comes_from_the_same_table);
    tcase_add_test(t, slips_in_a_table_are_found);
    tcase_add_test(t, messages_stay_as_long_as_they_matter);
    tcase_add_test(t, keys_have_names);
    tcase_add_test(t, clocks_run_as_they_are_told);
    suite_add_tcase(s, t);
    return s;
}
