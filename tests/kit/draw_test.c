/* Drawing: nothing leaves its rectangle, columns are counted, lines join. */
#include "tui/kit/draw.h"

#include "tests/kit/hostile.h"
#include "tests/support.h"
#include "tui/kit/big.h"
#include "tui/kit/cells.h"
#include "tui/kit/entry.h"

enum { ROWS = 12, COLS = 50 };

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
    static char buf[4][COLS * 16];
    static int n;
    n = (n + 1) % 4;
    return canvas_row_text(&canvas, row, buf[n], sizeof buf[n]);
}

START_TEST(text_stands_where_it_is_put)
{
    struct rect r = rect_part(rect_whole(&canvas), 2, 3, 4, 10);
    ck_assert_int_eq(draw_text(r, 0, 0, ROLE_STRONG, "Maud"), 4);
    ck_assert_int_eq(draw_textf(r, 1, 2, ROLE_CHALK, "%d  %s", 7, "lb"), 7);
    ck_assert_int_eq(draw_text(r, 2, 0, ROLE_CHALK, "花子 x"), 6);
    ck_assert_str_eq(row_of(2), "   Maud");
    ck_assert_str_eq(row_of(3), "     7  lb");
    ck_assert_str_eq(row_of(4), "   花子 x");
    ck_assert_int_eq(canvas_at(&canvas, 2, 3)->role, ROLE_STRONG);
    ck_assert_int_eq(canvas_at(&canvas, 2, 7)->role, ROLE_CHALK);
}
END_TEST

START_TEST(what_does_not_fit_is_cut_with_a_sign)
{
    struct rect r = rect_part(rect_whole(&canvas), 0, 0, 9, 6);
    (void)draw_text(r, 0, 0, ROLE_CHALK, "Buttercup");
    (void)draw_text(r, 1, 0, ROLE_CHALK, "Butter");
    (void)draw_text(r, 2, 4, ROLE_CHALK, "Maud");
    (void)draw_text(r, 3, 0, ROLE_CHALK, "花子花子");
    (void)draw_text(r, 4, -2, ROLE_CHALK, "Butter");
    (void)draw_text(r, 5, -1, ROLE_CHALK, "花子"); /* half of the first one is left: a blank */
    (void)draw_text(r, 6, 6, ROLE_CHALK, "x");
    (void)draw_text(r, 7, -9, ROLE_CHALK, "x");
    ck_assert_str_eq(row_of(0), "Butte…");
    ck_assert_str_eq(row_of(1), "Butter");
    ck_assert_str_eq(row_of(2), "    M…");
    ck_assert_str_eq(row_of(3), "花子 …"); /* 5 columns for three of two each */
    ck_assert_str_eq(row_of(4), "tter");
    ck_assert_str_eq(row_of(5), " 子");
    ck_assert_str_eq(row_of(6), "");
    ck_assert_str_eq(row_of(7), "");
    canvas.charset = CHARSET_ASCII;
    (void)draw_text(r, 8, 0, ROLE_CHALK, "Réglisse");
    ck_assert_str_eq(row_of(8), "Regli~");
}
END_TEST

START_TEST(parts_that_do_not_fit_are_left_for_later)
{
    struct rect r = rect_part(rect_whole(&canvas), 0, 0, 5, 12);
    ck_assert_str_eq(draw_parts(r, 0, 0, ROLE_CHALK, "dry day 38, due 14 Jun"), "due 14 Jun");
    ck_assert_str_eq(draw_parts(r, 1, 0, ROLE_CHALK, "4 qt: clean"), "");
    ck_assert_str_eq(draw_parts(r, 2, 4, ROLE_CHALK, "20 lb  low 7 days"), "low 7 days");
    ck_assert_str_eq(draw_parts(r, 3, 0, ROLE_CHALK, "Milking Shorthorn, old"), "old");
    ck_assert_str_eq(draw_parts(r, 4, 0, ROLE_CHALK, ""), "");
    ck_assert_str_eq(row_of(0), "dry day 38");
    ck_assert_str_eq(row_of(1), "4 qt: clean");
    ck_assert_str_eq(row_of(2), "    20 lb");
    ck_assert_str_eq(row_of(3), "Milking Sho…");
    ck_assert_str_eq(row_of(4), "");
}
END_TEST

START_TEST(text_is_set_to_the_right_and_in_the_middle)
{
    struct rect r = rect_part(rect_whole(&canvas), 0, 0, 9, 12);
    ck_assert_int_eq(draw_right(r, 0, ROLE_CHALK, "95 °F"), 7);
    ck_assert_int_eq(draw_rightf(r, 1, ROLE_CHALK, "%d °F", 5), 8);
    ck_assert_int_eq(draw_before(r, 2, 8, ROLE_CHALK, "花"), 6);
    ck_assert_int_eq(draw_centre(r, 3, ROLE_CHALK, "mid"), 4);
    ck_assert_int_eq(draw_right(r, 4, ROLE_CHALK, "much too long for it"), 0);
    ck_assert_int_eq(draw_before(r, 5, 4, ROLE_CHALK, "longer"), 0);
    ck_assert_str_eq(row_of(0), "       95 °F");
    ck_assert_str_eq(row_of(1), "        5 °F");
    ck_assert_str_eq(row_of(2), "      花");
    ck_assert_str_eq(row_of(3), "    mid");
    ck_assert_str_eq(row_of(4), "much too lo…");
    ck_assert_str_eq(row_of(5), "lon…");
}
END_TEST

START_TEST(text_is_made_harmless)
{
    struct rect r = rect_whole(&canvas);
    (void)draw_text(r, 0, 0, ROLE_CHALK, "a\x1b[2Jb\nc\td");
    (void)draw_text(r, 1, 0, ROLE_CHALK,
                    "\xE2\x80\xAE"
                    "x\xFFy\xC2\x9Bz");
    (void)draw_text(r, 2, 0, ROLE_CHALK, "Z\xCC\x81\xCC\x82\xCC\x83!\xEF\xB8\x8F");
    (void)draw_text(r, 3, 0, ROLE_CHALK, "\xCC\x81x");
    ck_assert_str_eq(row_of(0), "a\xEF\xBF\xBD[2Jb c d");
    ck_assert_str_eq(row_of(1), "\xEF\xBF\xBDx\xEF\xBF\xBDy\xEF\xBF\xBDz");
    ck_assert_str_eq(row_of(2), "Z\xCC\x81\xCC\x82!"); /* two marks at most */
    ck_assert_str_eq(row_of(3), "x");                  /* a mark stands on something */
}
END_TEST

START_TEST(the_measured_width_is_the_drawn_width)
{
    struct stream s = {5};
    char text[200];
    struct canvas wide = {0};
    ck_assert_int_eq(canvas_resize(&wide, 1, 900, NULL), 0);
    for (int n = 0; n < 10000; n++) {
        hostile_make(&s, text, sizeof text);
        wide.charset = (enum charset)stream_below(&s, 3);
        canvas_erase(&wide);
        int end = draw_text(rect_whole(&wide), 0, 0, ROLE_WATCH, text), touched = 0;
        ck_assert_int_eq(end, draw_width(wide.charset, text));
        for (int col = 0; col < wide.cols; col++)
            touched += wide.cells[col].role == ROLE_WATCH;
        ck_assert_int_eq(touched, end);
    }
    canvas_release(&wide);
}
END_TEST

/* Draws one of everything, somewhere. */
static void draw_anything(struct stream *s, struct rect r)
{
    char text[300];
    hostile_make(s, text, sizeof text);
    int row = stream_below(s, 20) - 4, col = stream_below(s, 80) - 20;
    enum role role = (enum role)stream_below(s, ROLE_COUNT);
    struct entry entry;
    switch (stream_below(s, 14)) {
    case 0: (void)draw_text(r, row, col, role, text); break;
    case 1: (void)draw_textf(r, row, col, role, "%s %d", text, row); break;
    case 2: (void)draw_right(r, row, role, text); break;
    case 3: (void)draw_centre(r, row, role, text); break;
    case 4: (void)draw_before(r, row, col, role, text); break;
    case 5: (void)draw_wrapped(r, row, stream_below(s, 5), role, text); break;
    case 6: draw_rule(r, row, role, text, stream_below(s, 2) == 0 ? text : NULL); break;
    case 7: draw_upright(r, col); break;
    case 8: draw_box(r, role, text); break;
    case 9: draw_bar(r, row, col, stream_below(s, 30), role, stream_uniform(s, -1, 2)); break;
    case 10: draw_fill(r, role, 'x'); break;
    case 11: draw_flip(r); break;
    case 12: (void)draw_big(r, row, col, role, stream_below(s, 5), "12:34.5 °F-"); break;
    case 13:
        entry_init(&entry, text, 0);
        entry.at = 0;
        draw_entry(r, row, col, stream_below(s, 30), &entry, true);
        break;
    default: break;
    }
}

static int clamp(int low, int n, int high)
{
    return n < low ? low : n > high ? high : n;
}

/* The cells of one row from `from` to before `to` are as they were. */
static void ck_untouched(const struct cell *before, int row, int from, int to, int n)
{
    size_t i = (size_t)(row * COLS + from), count = (size_t)(to - from);
    if (memcmp(&before[i], &canvas.cells[i], count * sizeof *before) != 0)
        ck_abort_msg("round %d: row %d changed outside the rectangle", n, row);
}

START_TEST(no_cell_outside_the_rectangle_ever_changes)
{
    struct stream s = {99};
    static struct cell before[ROWS * COLS];
    for (int n = 0; n < 30000; n++) {
        canvas.charset = (enum charset)stream_below(&s, 3);
        struct rect r = {&canvas, stream_below(&s, ROWS + 8) - 4, stream_below(&s, COLS + 20) - 10,
                         stream_below(&s, ROWS + 4), stream_below(&s, COLS + 10)};
        memcpy(before, canvas.cells, sizeof before);
        draw_anything(&s, r);
        int left = clamp(0, r.col, COLS), right = clamp(left, r.col + r.cols, COLS);
        for (int row = 0; row < ROWS; row++) {
            bool above_or_below = row < r.row || row >= r.row + r.rows;
            ck_untouched(before, row, 0, above_or_below ? COLS : left, n);
            ck_untouched(before, row, right, COLS, n);
        }
    }
}
END_TEST

/* One cell of one or two columns, holding what a terminal shows, within the row. */
static bool showable(struct cell cell, int col)
{
    enum text_class class = text_classify(cell.base);
    bool shown = class == TEXT_SHOWN || class == TEXT_MARK || cell.base == ' ';
    return shown && text_columns(cell.base) == cell.columns && cell.role < ROLE_COUNT &&
           col + cell.columns <= COLS;
}

static void ck_row_showable(int row)
{
    for (int col = 0, next = 0; col < COLS; col++) {
        struct cell cell = canvas_shown(&canvas, row, col);
        bool tail = cell.columns == 0 && next > col;
        if (!tail && !showable(cell, col))
            ck_abort_msg("U+%04X in the cell at %d,%d", cell.base, row, col);
        if (!tail)
            next = col + cell.columns;
    }
}

START_TEST(every_cell_that_is_drawn_can_be_shown)
{
    struct stream s = {123};
    for (int n = 0; n < 20000; n++) {
        canvas.charset = (enum charset)stream_below(&s, 3);
        draw_anything(&s, rect_whole(&canvas));
        if (n % 10 != 0)
            continue;
        for (int row = 0; row < ROWS; row++)
            ck_row_showable(row);
        canvas_erase(&canvas);
    }
}
END_TEST

START_TEST(half_a_wide_character_is_a_blank)
{
    struct rect r = rect_whole(&canvas);
    (void)draw_text(r, 0, 0, ROLE_CHALK, "花子花");
    (void)draw_text(r, 0, 1, ROLE_CHALK, "x"); /* over the second half of the first */
    (void)draw_text(r, 0, 4, ROLE_CHALK, "y"); /* over the first half of the third */
    ck_assert_str_eq(row_of(0), " x子y");
    (void)draw_text(r, 1, 0, ROLE_CHALK, "花子");
    (void)draw_text(r, 1, 1, ROLE_CHALK, "花"); /* over two halves */
    ck_assert_str_eq(row_of(1), " 花");
}
END_TEST

START_TEST(paragraphs_break_at_blanks)
{
    struct rect r = rect_part(rect_whole(&canvas), 0, 0, ROWS, 16);
    ck_assert_int_eq(draw_wrapped(r, 0, 2, ROLE_CHALK, "jars off the floor before the wash"), 3);
    ck_assert_str_eq(row_of(0), "jars off the");
    ck_assert_str_eq(row_of(1), "  floor before");
    ck_assert_str_eq(row_of(2), "  the wash");
    ck_assert_int_eq(draw_wrapped(r, 3, 0, ROLE_CHALK, "a\n\nb"), 3);
    ck_assert_str_eq(row_of(3), "a");
    ck_assert_str_eq(row_of(5), "b");
    ck_assert_int_eq(draw_wrapped(r, 6, 0, ROLE_CHALK, "exactly sixteen! x"), 2);
    ck_assert_str_eq(row_of(6), "exactly sixteen!");
    ck_assert_str_eq(row_of(7), "x");
    ck_assert_int_eq(draw_wrapped(r, 8, 0, ROLE_CHALK, "a-word-of-more-than-that"), 2);
    ck_assert_str_eq(row_of(8), "a-word-of-more-t");
    ck_assert_str_eq(row_of(9), "han-that");
    ck_assert_int_eq(draw_wrapped(r, 0, 0, ROLE_CHALK, ""), 0);
}
END_TEST

/* Letters of all lines, in order, are those of the text; no line is wider than it may be. */
START_TEST(wrapping_loses_nothing_and_fits)
{
    struct stream s = {77};
    char text[200];
    struct canvas page = {.charset = CHARSET_FULL};
    for (int n = 0; n < 5000; n++) {
        int cols = 2 + stream_below(&s, 30), used = 0, expected = 0;
        for (size_t i = 0; i < sizeof text - 1; i++)
            text[i] = stream_below(&s, 5) == 0 ? ' ' : (char)('a' + stream_below(&s, 26));
        text[sizeof text - 1] = '\0';
        for (const char *p = text; *p != '\0'; p++)
            expected += *p != ' ';
        int rows = draw_wrapped_rows(CHARSET_FULL, cols, 1, text);
        ck_assert_int_eq(canvas_resize(&page, rows, cols, NULL), 0);
        ck_assert_int_eq(draw_wrapped(rect_whole(&page), 0, 1, ROLE_WATCH, text), rows);
        const char *p = text;
        for (int row = 0; row < rows; row++)
            for (int col = 0; col < cols; col++) {
                uint32_t code = canvas_at(&page, row, col)->base;
                if (code == ' ')
                    continue;
                while (*p == ' ')
                    p++;
                if (code != (unsigned char)*p++)
                    ck_abort_msg("round %d: a letter is missing or out of order", n);
                used++;
            }
        ck_assert_int_eq(used, expected);
    }
    canvas_release(&page);
}
END_TEST

START_TEST(rules_carry_titles_and_join_uprights)
{
    struct rect r = rect_part(rect_whole(&canvas), 0, 0, 5, 30);
    draw_rule(r, 0, ROLE_TITLE, "STALLS", NULL);
    draw_rule(r, 4, ROLE_ACCENT, "CHORES", "12 of 23");
    draw_upright(r, 15);
    ck_assert_str_eq(row_of(0), "─ STALLS ──────┬──────────────");
    ck_assert_str_eq(row_of(1), "               │");
    ck_assert_str_eq(row_of(4), "─▸CHORES ──────┴─── 12 of 23 ─");
    draw_rule(r, 2, ROLE_TITLE, NULL, "");
    ck_assert_str_eq(row_of(2), "───────────────┼──────────────");
    struct rect right = rect_part(r, 3, 15, 1, 15);
    draw_rule(right, 0, ROLE_TITLE, NULL, NULL);
    ck_assert_str_eq(row_of(3), "               ├──────────────");
    draw_box(rect_part(rect_whole(&canvas), 6, 0, 3, 12), ROLE_TITLE, "NOTE");
    ck_assert_str_eq(row_of(6), "┌ NOTE ────┐");
    ck_assert_str_eq(row_of(7), "│          │");
    ck_assert_str_eq(row_of(8), "└──────────┘");
}
END_TEST

START_TEST(rules_join_in_ascii_too)
{
    canvas.charset = CHARSET_ASCII;
    struct rect r = rect_part(rect_whole(&canvas), 0, 0, 3, 20);
    draw_rule(r, 0, ROLE_TITLE, "STALLS", NULL);
    draw_rule(r, 2, ROLE_ACCENT, "CHORES", NULL);
    draw_upright(r, 12);
    ck_assert_str_eq(row_of(0), "- STALLS ---+-------");
    ck_assert_str_eq(row_of(1), "            |");
    ck_assert_str_eq(row_of(2), "->CHORES ---+-------");
}
END_TEST

START_TEST(bars_fill_by_eighths)
{
    struct rect r = rect_whole(&canvas);
    draw_bar(r, 0, 0, 4, ROLE_CALM, 0.5);
    draw_bar(r, 1, 0, 4, ROLE_CALM, 0.53125); /* 17 of 32 eighths */
    draw_bar(r, 2, 0, 4, ROLE_CALM, 7);
    draw_bar(r, 3, 0, 4, ROLE_CALM, -1);
    draw_bar(r, 4, 0, 4, ROLE_CALM, NAN);
    ck_assert_str_eq(row_of(0), "██░░");
    ck_assert_str_eq(row_of(1), "██▏░");
    ck_assert_str_eq(row_of(2), "████");
    ck_assert_str_eq(row_of(3), "░░░░");
    ck_assert_str_eq(row_of(4), "");
    canvas.charset = CHARSET_ASCII;
    draw_bar(r, 5, 0, 4, ROLE_CALM, 0.5);
    ck_assert_str_eq(row_of(5), "##..");
}
END_TEST

START_TEST(big_figures_are_drawn_at_any_scale)
{
    struct rect r = rect_whole(&canvas);
    ck_assert_int_eq(draw_big(r, 0, 0, ROLE_STRONG, 1, "20:5"), big_cols(CHARSET_FULL, 1, "20:5") + 1);
    ck_assert_str_eq(row_of(0), "▀▀▀▄ ▄▀▀▄ ▄ █▀▀▀");
    ck_assert_str_eq(row_of(1), "▄▀▀  █  █ ▄ ▀▀▀▄");
    ck_assert_str_eq(row_of(2), "▀▀▀▀  ▀▀    ▀▀▀");
    (void)draw_big(r, 4, 0, ROLE_STRONG, 2, "1");
    ck_assert_str_eq(row_of(4), "    ██");
    ck_assert_str_eq(row_of(8), "  ██████");
    canvas.charset = CHARSET_ASCII;
    canvas_erase(&canvas);
    (void)draw_big(r, 0, 0, ROLE_STRONG, 1, "20:5");
    ck_assert_str_eq(row_of(0), " _   _     _");
    ck_assert_str_eq(row_of(1), " _| | | . |_");
    ck_assert_str_eq(row_of(2), "|_  |_| .  _|");
    (void)draw_big(r, 4, 0, ROLE_STRONG, 2, "1");
    ck_assert_str_eq(row_of(4), "    ##");
}
END_TEST

START_TEST(the_scale_that_fits_is_found)
{
    for (int set = CHARSET_FULL; set <= CHARSET_ASCII; set++) {
        canvas.charset = (enum charset)set;
        struct rect r = rect_whole(&canvas);
        ck_assert_int_eq(big_rows(canvas.charset, 1), 3);
        ck_assert_int_eq(big_rows(canvas.charset, 2), 5);
        ck_assert_int_eq(big_scale(rect_part(r, 0, 0, 2, 50), "12:34"), 0);
        ck_assert_int_eq(big_scale(rect_part(r, 0, 0, 3, 50), "12:34"), 1);
        ck_assert_int_eq(big_scale(rect_part(r, 0, 0, 12, 10), "12:34"), 0);
        int scale = big_scale(r, "12");
        ck_assert_int_ge(scale, 2);
        ck_assert(big_rows(canvas.charset, scale) <= ROWS && big_cols(canvas.charset, scale, "12") <= COLS);
        ck_assert(big_rows(canvas.charset, scale + 1) > ROWS ||
                  big_cols(canvas.charset, scale + 1, "12") > COLS);
    }
}
END_TEST

START_TEST(a_megabyte_of_text_costs_no_more_than_a_line)
{
    size_t size = 1 << 20;
    char *text = malloc(size);
    ck_assert_ptr_nonnull(text);
    memset(text, 'x', size - 1);
    text[size - 1] = '\0';
    struct rect r = rect_part(rect_whole(&canvas), 0, 0, 1, 10);
    for (int i = 0; i < 1000; i++)
        (void)draw_right(r, 0, ROLE_CHALK, text);
    ck_assert_str_eq(row_of(0), "xxxxxxxxx…");
    free(text);
}
END_TEST

Suite *draw_suite(void)
{
    Suite *s = suite_create("draw");
    TCase *t = tcase_create("draw");
    tcase_add_checked_fixture(t, make, drop);
    tcase_add_test(t, text_stands_where_it_is_put);
    tcase_add_test(t, what_does_not_fit_is_cut_with_a_sign);
    tcase_add_test(t, parts_that_do_not_fit_are_left_for_later);
    tcase_add_test(t, text_is_set_to_the_right_and_in_the_middle);
    tcase_add_test(t, text_is_made_harmless);
    tcase_add_test(t, the_measured_width_is_the_drawn_width);
    tcase_add_test(t, no_cell_outside_the_rectangle_ever_changes);
    tcase_add_test(t, every_cell_that_is_drawn_can_be_shown);
    tcase_add_test(t, half_a_wide_character_is_a_blank);
    tcase_add_test(t, paragraphs_break_at_blanks);
    tcase_add_test(t, wrapping_loses_nothing_and_fits);
    tcase_add_test(t, rules_carry_titles_and_join_uprights);
    tcase_add_test(t, rules_join_in_ascii_too);
    tcase_add_test(t, bars_fill_by_eighths);
    tcase_add_test(t, big_figures_are_drawn_at_any_scale);
    tcase_add_test(t, the_scale_that_fits_is_found);
    tcase_add_test(t, a_megabyte_of_text_costs_no_more_than_a_line);
    suite_add_tcase(s, t);
    return s;
}
