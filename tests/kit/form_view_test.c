/* Forms as they are filled in, key by key. */
#include "tui/kit/form_view.h"

#include "tests/support.h"
#include "tui/kit/press.h"

enum { COLS = 80, ROWS = 12 };

static const struct field fields[] = {
    {"cow",   FIELD_NAME,     0,        FIELD_REQUIRED, NULL,                  "cow",    "her name"                       },
    {"mass",  FIELD_QUANTITY, DIM_MASS, FIELD_REQUIRED, NULL,                  "weight", "what the scale says, as 48.5lb" },
    {"strip", FIELD_CHOICE,   0,        0,              "clear|flakes|watery", "strip",  "what the first strips look like"},
    {"at",    FIELD_MOMENT,   0,        0,              NULL,                  "when",   "when it was, as 06:10"          },
    {"note",  FIELD_TEXT,     0,        FIELD_AGAIN,    NULL,                  NULL,     "anything"                       },
};

static struct form_view view;
static struct canvas canvas;

static void make(void)
{
    struct instant now;
    ck_assert_int_eq(instant_parse("2026-05-03T06:40", (struct instant){0}, &now, NULL), 0);
    form_view_init(&view, "MILK", fields, sizeof fields / sizeof fields[0], UNITS_US, now);
    ck_assert_int_eq(canvas_resize(&canvas, ROWS, COLS, NULL), 0);
}

static void drop(void)
{
    canvas_release(&canvas);
}

static enum form_view_answer press(const char *name)
{
    return form_view_press(&view, press_from_name(name));
}

static void type(const char *text)
{
    for (; *text != '\0'; text++)
        ck_assert_int_eq(form_view_press(&view, *text), FORM_VIEW_DRAW);
}

static const char *row_of(int row)
{
    static char buf[4][COLS * 8];
    static int n;
    n = (n + 1) % 4;
    canvas_erase(&canvas);
    draw_form_view(rect_part(rect_whole(&canvas), 0, 0, form_view_rows(&view), COLS), &view);
    return canvas_row_text(&canvas, row, buf[n], sizeof buf[n]);
}

START_TEST(what_was_understood_stands_beside_each_line)
{
    type("Maud");
    (void)press("Down");
    type("22kg");
    (void)press("Tab");
    (void)press("Space");
    (void)press("Down");
    type("6:10");
    ck_assert_str_eq(row_of(0),
                     "─▸MILK ──────────────────────────────────────────────── Enter done · Esc leave ─");
    ck_assert_str_eq(row_of(1), "  cow     Maud");
    ck_assert_str_eq(row_of(2), "  weight  22kg                      48.5 lb");
    ck_assert_str_eq(row_of(3), "  strip   ‹ clear ›");
    ck_assert_str_eq(row_of(4), "▸ when    6:10                      06:10");
    ck_assert_str_eq(row_of(5), "  note");
    ck_assert_str_eq(row_of(6), "  when it was, as 06:10");
    ck_assert_int_eq(press("Enter"), FORM_VIEW_SUBMIT);
    ck_assert_str_eq(form_text(&view.form, "cow", ""), "Maud");
    ck_near(form_number(&view.form, "mass", 0), 22, 1e-12);
    ck_assert_int_eq(form_choice(&view.form, "strip", -1), 0);
    ck_assert(form_get(&view.form, "at") != NULL && form_get(&view.form, "note") == NULL);
}
END_TEST

START_TEST(a_slip_is_said_and_keeps_the_keys)
{
    type("Maud");
    (void)press("Down");
    type("48.5F");
    ck_assert_int_ne(view.fail[1].code, FAIL_NONE);
    ck_assert(form_get(&view.form, "mass") == NULL);
    (void)press("Up");
    ck_assert_int_eq(press("Enter"), FORM_VIEW_DRAW);
    ck_assert_uint_eq(view.at, 1);
    ck_assert_str_eq(view.refused.text, view.fail[1].text);
    ck_assert_str_eq(view.entry[1].text, "48.5F"); /* nothing that was typed is lost */
    (void)press("Backspace");
    ck_assert_str_eq(view.refused.text, "");
    ck_assert_int_eq(press("Enter"), FORM_VIEW_SUBMIT);
}
END_TEST

START_TEST(what_is_missing_is_named_and_gone_to)
{
    (void)press("Down");
    (void)press("Down");
    ck_assert_int_eq(press("Enter"), FORM_VIEW_DRAW);
    ck_assert_uint_eq(view.at, 0);
    ck_assert_str_eq(view.refused.text, "cow is missing: her name.");
    type("Tib");
    ck_assert_int_eq(press("Enter"), FORM_VIEW_DRAW);
    ck_assert_uint_eq(view.at, 1);
}
END_TEST

START_TEST(choices_go_round_and_may_be_none)
{
    form_view_go(&view, "strip");
    static const struct {
        const char *key, *word;
    } steps[] = {
        {"Right",  "clear" },
        {"Space",  "flakes"},
        {"Right",  "watery"},
        {"Right",  ""      },
        {"Left",   "watery"},
        {"f",      "flakes"},
        {"c",      "clear" },
        {"z",      "clear" },
        {"Delete", ""      }
    };
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        ck_assert_int_eq(press(steps[i].key), FORM_VIEW_DRAW);
        ck_assert_str_eq(view.entry[2].text, steps[i].word);
        ck_assert_int_eq(form_get(&view.form, "strip") != NULL, steps[i].word[0] != '\0');
    }
    ck_assert_int_eq(form_view_paste(&view, 'x'), FORM_VIEW_NOTHING);
}
END_TEST

static const struct field with_seldom[] = {
    {"name", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "name",     "her name"  },
    {"born", FIELD_DATE, 0, 0,              NULL, "born",     "the day"   },
    {"dam",  FIELD_NAME, 0, FIELD_SELDOM,   NULL, "mother",   "her mother"},
    {"tag",  FIELD_NAME, 0, 0,              NULL, "ear tag",  "letters"   },
    {"why",  FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "the why",  "a reason"  },
};

static void make_with_seldom(void)
{
    struct instant now = view.form.now;
    form_view_init(&view, "COW", with_seldom, sizeof with_seldom / sizeof with_seldom[0], UNITS_US, now);
}

START_TEST(what_is_seldom_asked_is_folded_until_it_is_gone_to)
{
    make_with_seldom();
    int folded = form_view_rows(&view);
    ck_assert_str_eq(row_of(2), "  born");
    ck_assert_str_eq(row_of(3), "  ↓ 3 more, seldom needed");
    (void)press("Shift-Tab");
    ck_assert_uint_eq(view.at, 1); /* backwards from the first line is the last that is shown */
    (void)press("Down");
    ck_assert_uint_eq(view.at, 2);
    ck_assert_int_eq(form_view_rows(&view), folded + 2); /* three lines more, and no line that says so */
    ck_assert_str_eq(row_of(3), "▸ mother");
    ck_assert_str_eq(row_of(5), "  the why");
}
END_TEST

START_TEST(a_folded_line_unfolds_when_it_is_filled_or_wrong)
{
    make_with_seldom();
    form_view_set(&view, "tag", "");
    ck_assert_uint_eq(view.shown, 2);
    form_view_set(&view, "dam", "Sorrel");
    ck_assert_uint_eq(view.shown, 3);
    type("Maud");
    ck_assert_int_eq(press("Enter"), FORM_VIEW_DRAW); /* what is missing is in a line that was folded */
    ck_assert_uint_eq(view.at, 4);
    ck_assert_uint_eq(view.shown, 5);
    ck_assert_str_eq(view.refused.text, "the why is missing: a reason.");
    ck_assert_str_eq(row_of(5), "▸ the why");
}
END_TEST

START_TEST(emptying_a_line_that_was_filled_clears_it)
{
    form_view_go(&view, "note");
    type("x");
    (void)press("Backspace");
    ck_assert(form_get(&view.form, "note") == NULL); /* it was empty before: nothing to clear */
    form_view_set(&view, "note", "off her feed");
    ck_assert_str_eq(form_text(&view.form, "note", ""), "off her feed");
    (void)form_view_press(&view, PRESS_DELETE_ALL);
    ck_assert(form_get(&view.form, "note") != NULL);
    ck_assert_str_eq(form_text(&view.form, "note", "?"), "");
}
END_TEST

static int know_only_maud(void *context, const struct form *form, size_t field, char *buf, size_t size,
                          struct fail *f)
{
    ++*(int *)context;
    if (field != 0)
        return 0;
    if (strcmp(form->value[0].text, "Maud") != 0)
        return fail_refused(f, "There is no cow \"%s\".", form->value[0].text);
    (void)snprintf(buf, size, "stall 1");
    return 0;
}

START_TEST(the_owner_may_say_what_a_value_means)
{
    int asked = 0;
    type("Mau");
    form_view_understand(&view, know_only_maud, &asked);
    ck_assert_str_eq(view.fail[0].text, "There is no cow \"Mau\".");
    ck_assert(form_get(&view.form, "cow") == NULL);
    type("d");
    ck_assert_str_eq(view.understood[0], "stall 1");
    (void)press("Down");
    type("48.5lb");
    ck_assert_str_eq(view.understood[1], "48.5 lb"); /* kept, since nothing better was said */
    int before = asked;
    type("x"); /* not understood at all, so there is nothing to ask about */
    ck_assert_int_eq(asked, before);
}
END_TEST

START_TEST(a_refusal_is_shown_until_the_next_key)
{
    struct fail why;
    type("Maud");
    (void)press("Down");
    type("9lb");
    ck_assert_int_eq(press("Enter"), FORM_VIEW_SUBMIT);
    (void)fail_refused(&why, "Maud is dry since Tuesday.");
    form_view_refuse(&view, &why);
    ck_assert_str_eq(row_of(6), "  Maud is dry since Tuesday.");
    ck_assert_str_eq(view.entry[0].text, "Maud");
    (void)press("Up");
    ck_assert_str_eq(row_of(6), "  her name");
    ck_assert_int_eq(press("Esc"), FORM_VIEW_LEAVE);
}
END_TEST

START_TEST(a_low_window_scrolls_to_the_line_with_the_keys)
{
    for (int rows = 1; rows <= 8; rows++)
        for (int cols = 1; cols <= COLS; cols += 7)
            for (size_t at = 0; at < view.form.count; at++) {
                canvas_erase(&canvas);
                view.at = at;
                draw_form_view(rect_part(rect_whole(&canvas), 0, 0, rows, cols), &view);
                bool seen = false;
                for (int row = 0; row < rows; row++)
                    seen = seen || (canvas_at(&canvas, row, 0)->role == ROLE_ACCENT);
                ck_assert_msg(seen, "line %zu in %dx%d", at, rows, cols);
            }
}
END_TEST

START_TEST(any_keys_at_all_keep_the_form_whole)
{
    static const int keys[] = {PRESS_UP,     PRESS_DOWN,  PRESS_TAB,  PRESS_BACK_TAB,
                               PRESS_LEFT,   PRESS_RIGHT, PRESS_HOME, PRESS_BACKSPACE,
                               PRESS_DELETE, PRESS_ENTER, PRESS_ESC,  PRESS_DELETE_ALL,
                               ' ',          '4',         '8',        'l',
                               'b',          'k',         'g',        ':',
                               'f',          0xE9,        0x82B1};
    struct stream s = {6};
    for (int n = 0; n < 20000; n++) {
        enum form_view_answer answer = form_view_press(&view, keys[stream_below(&s, 23)]);
        if (view.at >= view.form.count || !entry_ok(&view.entry[view.at]))
            ck_abort_msg("round %d", n);
        if (answer == FORM_VIEW_SUBMIT && form_check(&view.form, NULL) != 0)
            ck_abort_msg("round %d: entered, but not whole", n);
        if (n % 20 == 0)
            (void)row_of(stream_below(&s, 8));
    }
}
END_TEST

Suite *form_view_suite(void)
{
    Suite *s = suite_create("form_view");
    TCase *t = tcase_create("form_view");
    tcase_add_checked_fixture(t, make, drop);
    tcase_add_test(t, what_was_understood_stands_beside_each_line);
    tcase_add_test(t, a_slip_is_said_and_keeps_the_keys);
    tcase_add_test(t, what_is_missing_is_named_and_gone_to);
    tcase_add_test(t, choices_go_round_and_may_be_none);
    tcase_add_test(t, what_is_seldom_asked_is_folded_until_it_is_gone_to);
    tcase_add_test(t, a_folded_line_unfolds_when_it_is_filled_or_wrong);
    tcase_add_test(t, emptying_a_line_that_was_filled_clears_it);
    tcase_add_test(t, the_owner_may_say_what_a_value_means);
    tcase_add_test(t, a_refusal_is_shown_until_the_next_key);
    tcase_add_test(t, a_low_window_scrolls_to_the_line_with_the_keys);
    tcase_add_test(t, any_keys_at_all_keep_the_form_whole);
    suite_add_tcase(s, t);
    return s;
}
