/* Rectangles: cutting them up never loses or doubles a cell. */
#include "tui/kit/rect.h"

#include "tests/support.h"

static struct canvas canvas;

static void make(void)
{
    ck_assert_int_eq(canvas_resize(&canvas, 24, 80, NULL), 0);
}

static void drop(void)
{
    canvas_release(&canvas);
}

static void ck_rect(struct rect r, int row, int col, int rows, int cols)
{
    ck_assert_msg(r.row == row && r.col == col && r.rows == rows && r.cols == cols,
                  "it is at %d,%d and %dx%d, expected %d,%d and %dx%d", r.row, r.col, r.rows, r.cols, row,
                  col, rows, cols);
}

START_TEST(parts_are_cut_to_the_whole)
{
    struct rect r = rect_whole(&canvas);
    ck_rect(r, 0, 0, 24, 80);
    ck_rect(rect_part(r, 2, 3, 4, 5), 2, 3, 4, 5);
    ck_rect(rect_part(r, 20, 70, 10, 20), 20, 70, 4, 10);
    ck_rect(rect_part(r, -2, -3, 4, 5), 0, 0, 2, 2);
    ck_rect(rect_part(r, 30, 90, 4, 5), 24, 80, 0, 0);
    ck_rect(rect_part(r, 5, 5, -1, -1), 5, 5, 0, 0);
    ck_rect(rect_inset(r, 1, 2), 1, 2, 22, 76);
    ck_rect(rect_inset(rect_part(r, 3, 3, 1, 1), 1, 1), 4, 4, 0, 0);
}
END_TEST

START_TEST(sides_are_taken_off_and_the_rest_stays)
{
    struct rect r = rect_whole(&canvas);
    ck_rect(rect_take_top(&r, 1), 0, 0, 1, 80);
    ck_rect(rect_take_bottom(&r, 2), 22, 0, 2, 80);
    ck_rect(rect_take_left(&r, 10), 1, 0, 21, 10);
    ck_rect(rect_take_right(&r, 20), 1, 60, 21, 20);
    ck_rect(r, 1, 10, 21, 50);
    ck_rect(rect_take_top(&r, 100), 1, 10, 21, 50);
    ck_rect(r, 22, 10, 0, 50);
    ck_rect(rect_take_bottom(&r, 3), 22, 10, 0, 50);
}
END_TEST

START_TEST(a_split_gives_fixed_parts_their_size_and_shares_the_rest)
{
    static const struct part parts[] = {
        {10, 0, 0},
        {0,  1, 5},
        {0,  2, 5}
    };
    struct rect out[3];
    rect_split_cols(rect_whole(&canvas), parts, 3, 1, out);
    ck_rect(out[0], 0, 0, 24, 10);
    ck_rect(out[1], 0, 11, 24, 22); /* 80 - 10 - 2 gaps = 68: a third and two thirds */
    ck_rect(out[2], 0, 34, 24, 46);
    rect_split_rows(rect_whole(&canvas), parts, 3, 0, out);
    ck_rect(out[0], 0, 0, 10, 80);
    ck_rect(out[1], 10, 0, 0, 80); /* a third of 14 rows is less than its least, so the other has them all */
    ck_rect(out[2], 10, 0, 14, 80);
}
END_TEST

static void fill_parts(struct stream *s, struct part *parts, int count)
{
    for (int i = 0; i < count; i++) {
        bool fixed = stream_below(s, 2) == 0;
        parts[i] =
            (struct part){fixed ? stream_below(s, 40) : 0, 1 + stream_below(s, 4), stream_below(s, 12)};
    }
}

START_TEST(any_split_is_in_order_and_inside)
{
    struct stream s = {42};
    for (int n = 0; n < 20000; n++) {
        struct part parts[RECT_PARTS_MAX];
        struct rect out[RECT_PARTS_MAX];
        int count = 1 + stream_below(&s, RECT_PARTS_MAX), gap = stream_below(&s, 3), flexible = 0, used = 0;
        struct rect r = rect_part(rect_whole(&canvas), 1, 1, 5, stream_below(&s, 79));
        fill_parts(&s, parts, count);
        rect_split_cols(r, parts, count, gap, out);
        for (int i = 0, at = r.col; i < count; i++) {
            ck_assert_int_ge(out[i].cols, 0);
            if (out[i].cols == 0)
                continue;
            ck_assert_int_ge(out[i].col, at);
            ck_assert_int_le(out[i].col + out[i].cols, r.col + r.cols);
            at = out[i].col + out[i].cols + gap;
            used = at - gap - r.col;
            flexible += parts[i].size == 0;
            if (parts[i].size == 0)
                ck_assert_int_ge(out[i].cols, parts[i].least);
            else
                ck_assert_int_le(out[i].cols, parts[i].size);
        }
        if (flexible > 0) /* a flexible part takes up all there is */
            ck_assert_int_eq(used, r.cols);
    }
}
END_TEST

Suite *rect_suite(void)
{
    Suite *s = suite_create("rect");
    TCase *t = tcase_create("rect");
    tcase_add_checked_fixture(t, make, drop);
    tcase_add_test(t, parts_are_cut_to_the_whole);
    tcase_add_test(t, sides_are_taken_off_and_the_rest_stays);
    tcase_add_test(t, a_split_gives_fixed_parts_their_size_and_shares_the_rest);
    tcase_add_test(t, any_split_is_in_order_and_inside);
    suite_add_tcase(s, t);
    return s;
}
