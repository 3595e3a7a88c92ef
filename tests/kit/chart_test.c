/* Dots worked out by hand. A braille cell's bits are those of the Unicode Standard, block Braille Patterns:
 *     1 4      0x01 0x08
 *     2 5      0x02 0x10
 *     3 6      0x04 0x20
 *     7 8      0x40 0x80 */
#include "tui/kit/chart.h"

#include "core/base/text.h"
#include "tests/support.h"
#include "tui/kit/draw.h"

static struct plot plot;
static struct canvas canvas;

static void make(void)
{
    canvas.charset = CHARSET_FULL;
    ck_assert_int_eq(canvas_resize(&canvas, 10, 40, NULL), 0);
}

static void drop(void)
{
    canvas_release(&canvas);
}

static const char *row_of(int row)
{
    static char buf[4][1024];
    static int n;
    n = (n + 1) % 4;
    return canvas_row_text(&canvas, row, buf[n], sizeof buf[n]);
}

static void ck_dots(const uint8_t *expected)
{
    for (int row = 0; row < plot.rows; row++)
        for (int col = 0; col < plot.cols; col++)
            ck_assert_msg(plot.dots[row][col] == expected[row * plot.cols + col],
                          "cell %d,%d is %02X, expected %02X", row, col, plot.dots[row][col],
                          expected[row * plot.cols + col]);
}

START_TEST(single_dots_have_their_bits)
{
    static const uint8_t bits[4][2] = {
        {0x01, 0x08},
        {0x02, 0x10},
        {0x04, 0x20},
        {0x40, 0x80}
    };
    for (int y = 0; y < 4; y++)
        for (int x = 0; x < 2; x++) {
            plot_init(&plot, 1, 1);
            plot_dot(&plot, x, y, ROLE_CURVE);
            ck_assert_uint_eq(plot.dots[0][0], bits[y][x]);
        }
    plot_init(&plot, 1, 1);
    plot_dot(&plot, -1, 0, ROLE_CURVE);
    plot_dot(&plot, 2, 0, ROLE_CURVE);
    plot_dot(&plot, 0, 4, ROLE_CURVE);
    plot_dot(&plot, 0, -1, ROLE_CURVE);
    ck_assert_uint_eq(plot.dots[0][0], 0);
}
END_TEST

START_TEST(lines_go_from_dot_to_dot)
{
    /* Down the diagonal of 2x1 cells: (0,0) (1,1) (2,2) (3,3). */
    plot_init(&plot, 1, 2);
    plot_line(&plot, 0, 0, 3, 3, ROLE_CURVE);
    ck_dots((const uint8_t[]){0x01 | 0x10, 0x04 | 0x80});
    /* Level, and standing. */
    plot_init(&plot, 1, 2);
    plot_line(&plot, 0, 1, 3, 1, ROLE_CURVE);
    ck_dots((const uint8_t[]){0x02 | 0x10, 0x02 | 0x10});
    plot_init(&plot, 2, 1);
    plot_line(&plot, 1, 7, 1, 0, ROLE_CURVE);
    ck_dots((const uint8_t[]){0x08 | 0x10 | 0x20 | 0x80, 0x08 | 0x10 | 0x20 | 0x80});
    /* A point is a line with one end. */
    plot_init(&plot, 1, 1);
    plot_line(&plot, 1, 2, 1, 2, ROLE_CURVE);
    ck_dots((const uint8_t[]){0x20});
}
END_TEST

START_TEST(lines_far_outside_are_cut_and_keep_their_slope)
{
    plot_init(&plot, 1, 2);
    plot_line(&plot, -1e9, -1e9, 1e9, 1e9, ROLE_CURVE);
    ck_dots((const uint8_t[]){0x01 | 0x10, 0x04 | 0x80});
    plot_init(&plot, 1, 2);
    plot_line(&plot, -1e9, 8, 1e9, 8, ROLE_CURVE);
    plot_line(&plot, 0, NAN, 3, 3, ROLE_CURVE);
    plot_line(&plot, 0, INFINITY, 3, 3, ROLE_CURVE);
    ck_dots((const uint8_t[]){0, 0});
}
END_TEST

START_TEST(areas_dashes_and_drops)
{
    plot_init(&plot, 2, 1);
    plot_fill(&plot, 0, 6, 2, SHADE_FULL, ROLE_BAND); /* y 2..6: two dots above, three below */
    plot_fill(&plot, 1, -5, 0, SHADE_FULL, ROLE_BAND);
    ck_dots((const uint8_t[]){0x04 | 0x40 | 0x08, 0x01 | 0x02 | 0x04});
    plot_init(&plot, 1, 1);
    plot_fill(&plot, 0, 0, 3, SHADE_HALF, ROLE_BAND);
    plot_fill(&plot, 1, 0, 3, SHADE_HALF, ROLE_BAND);
    ck_dots((const uint8_t[]){0x01 | 0x04 | 0x10 | 0x80});
    plot_init(&plot, 1, 1);
    plot_fill(&plot, 0, 0, 3, SHADE_QUARTER, ROLE_BAND);
    plot_fill(&plot, 1, 0, 3, SHADE_QUARTER, ROLE_BAND);
    ck_dots((const uint8_t[]){0x01 | 0x04});
    plot_init(&plot, 1, 4);
    plot_dashes(&plot, 3, ROLE_WATCH);
    ck_dots((const uint8_t[]){0xC0, 0, 0xC0, 0});
    plot_init(&plot, 2, 1);
    plot_drop(&plot, 0, ROLE_WATCH);
    ck_dots((const uint8_t[]){0x01 | 0x04, 0x01 | 0x04});
}
END_TEST

START_TEST(values_are_put_on_the_axes)
{
    /* 4 dots by 4: x 0..3 and y 0..30 from the floor. y = 0, 10, 20, 30 at x = 0..3 is the rising diagonal.
     */
    static const double y[] = {0, 10, 20, 30};
    struct series line = {.kind = SERIES_LINE, .role = ROLE_CURVE, .y = y, .count = 4};
    struct chart c = {.x_low = 0, .x_high = 3, .y_low = 0, .y_high = 30, .series = &line, .series_count = 1};
    plot_init(&plot, 1, 2);
    chart_plot(&c, &plot);
    ck_dots((const uint8_t[]){0x40 | 0x20, 0x02 | 0x08});
    ck_within(chart_dot_x(&c, &plot, 1.5), 1.5, 1e-12);
    ck_within(chart_dot_y(&c, &plot, 30), 0, 1e-12);
    ck_within(chart_dot_y(&c, &plot, 0), 3, 1e-12);
}
END_TEST

START_TEST(a_missing_value_breaks_the_line)
{
    static const double y[] = {10, 10, NAN, 10, NAN, 10};
    struct series line = {.kind = SERIES_LINE, .role = ROLE_CURVE, .y = y, .count = 6};
    struct chart c = {.x_low = 0, .x_high = 5, .y_low = 0, .y_high = 10, .series = &line, .series_count = 1};
    plot_init(&plot, 1, 3);
    chart_plot(&c, &plot);
    ck_dots((const uint8_t[]){0x01 | 0x08, 0x08, 0x08});
}
END_TEST

START_TEST(bands_lie_between_their_edges)
{
    static const double high[] = {3, 3}, low[] = {1, 1}, x[] = {0, 3};
    struct series band = {
        .kind = SERIES_BAND, .role = ROLE_BAND, .x = x, .y = high, .y_low = low, .count = 2};
    struct chart c = {.x_low = 0, .x_high = 3, .y_low = 0, .y_high = 3, .series = &band, .series_count = 1};
    plot_init(&plot, 1, 2);
    chart_plot(&c, &plot);
    ck_dots(
        (const uint8_t[]){0x01 | 0x02 | 0x04 | 0x08 | 0x10 | 0x20, 0x01 | 0x02 | 0x04 | 0x08 | 0x10 | 0x20});
}
END_TEST

START_TEST(stacks_stand_on_one_another)
{
    /* Of 8 dots of height (y 0..7), the first takes 0..3 and the second 4..7; the cell above is all second.
     */
    static const double first[] = {3, 3}, second[] = {4, 4}, x[] = {0, 1};
    struct series stacks[] = {
        {.kind = SERIES_STACK, .role = ROLE_CALM,  .x = x, .y = first,  .count = 2},
        {.kind = SERIES_STACK, .role = ROLE_WATCH, .x = x, .y = second, .count = 2},
    };
    struct chart c = {.x_low = 0, .x_high = 1, .y_low = 0, .y_high = 7, .series = stacks, .series_count = 2};
    plot_init(&plot, 2, 1);
    chart_plot(&c, &plot);
    ck_dots((const uint8_t[]){0xFF, 0xFF});
    ck_assert_int_eq(plot.role[0][0], ROLE_WATCH);
    ck_assert_int_eq(plot.role[1][0], ROLE_CALM);
    stacks[1].shade = SHADE_QUARTER; /* told apart without colour: y 0..3 from the top, x even and y even */
    plot_init(&plot, 2, 1);
    chart_plot(&c, &plot);
    ck_dots((const uint8_t[]){0x01 | 0x04, 0xFF});
}
END_TEST

START_TEST(a_chart_has_labels_where_there_is_room)
{
    static const double x[] = {0, 1}, y[] = {95, 35};
    static const struct chart_tick y_ticks[] = {
        {95, "95"},
        {90, "90"},
        {45, "45"}
    };
    static const struct chart_tick x_ticks[] = {
        {0,   "06:22"},
        {0.2, "06:30"},
        {1,   "08:20"}
    };
    struct series line = {.kind = SERIES_MARKS, .role = ROLE_CURVE, .x = x, .y = y, .count = 2};
    struct chart_limit limit = {45, ROLE_WATCH, "limit"};
    struct chart_event event = {0.5, ROLE_FAINT, "ice"};
    struct chart c = {.x_low = 0,
                      .x_high = 1,
                      .y_low = 35,
                      .y_high = 95,
                      .series = &line,
                      .series_count = 1,
                      .limits = &limit,
                      .limit_count = 1,
                      .events = &event,
                      .event_count = 1,
                      .x_ticks = x_ticks,
                      .x_tick_count = 3,
                      .y_ticks = y_ticks,
                      .y_tick_count = 3};
    draw_chart(rect_part(rect_whole(&canvas), 0, 0, 6, 23), &c);
    /* 20 columns and 5 rows of dots. 90 would stand in the row of 95, 06:30 over 06:22: both are left out.
     * 45 is dot row 50/60 * 19 = 16, the first of cell row 4; its dashes stand in columns 0, 2, ... 18, and
     * the mark at the end in column 19. 0.5 is dot column 20 of 40 (19.5 rounded), so cell column 10. */
    ck_assert_str_eq(row_of(0), "95 •         ⠅ice");
    ck_assert_str_eq(row_of(1), "             ⠅");
    ck_assert_str_eq(row_of(3), "             ⠅    limit");
    ck_assert_str_eq(row_of(4), "45 ⠉ ⠉ ⠉ ⠉ ⠉ ⠍ ⠉ ⠉ ⠉ ⠉•");
    ck_assert_str_eq(row_of(5), "   06:22          08:20");
    canvas_erase(&canvas);
    draw_chart(rect_part(rect_whole(&canvas), 0, 0, 2, 9), &c); /* no room for labels beside it or below */
    for (int row = 2; row < 10; row++)
        ck_assert_str_eq(row_of(row), "");
    draw_chart(rect_part(rect_whole(&canvas), 0, 0, 0, 0), &c);
    draw_chart(rect_part(rect_whole(&canvas), 9, 39, 1, 1), &c);
}
END_TEST

START_TEST(a_sparkline_rises_from_the_floor)
{
    static const double values[] = {0, 1, 2, 3, NAN, 3};
    draw_spark(rect_whole(&canvas), 0, 0, 3, ROLE_CURVE, values, 6, 0, 3);
    /* One and two dots, three and four, none and four. */
    ck_assert_str_eq(row_of(0), "⣠⣾⢸");
    draw_spark(rect_whole(&canvas), 1, 0, 2, ROLE_CURVE, values, 2, 0, 3);
    ck_assert_str_eq(row_of(1), " ⣠");
    draw_spark(rect_whole(&canvas), 2, 0, 1, ROLE_CURVE, values, 6, 0, 3); /* the last two only */
    ck_assert_str_eq(row_of(2), "⢸");
    canvas.charset = CHARSET_ASCII;
    static const double ramp[] = {0, 0, 1, 1, 2, 2, 3, 3};
    draw_spark(rect_whole(&canvas), 3, 0, 4, ROLE_CURVE, ramp, 8, 0, 3);
    ck_assert_str_eq(row_of(3), ".:*#");
}
END_TEST

START_TEST(ranges_and_round_values)
{
    static const double values[] = {3, NAN, -2, 7, INFINITY};
    double low = NAN, high = NAN, out[8];
    chart_range(values, 5, &low, &high);
    ck_assert_double_eq(low, -2);
    ck_assert_double_eq(high, 7);
    static const struct {
        double low, high;
        int most, count;
        double first, step;
    } rows[] = {
        {0,    10,   6, 6, 0,    2  },
        {0,    10,   5, 3, 0,    5  },
        {31,   97,   4, 4, 40,   0  },
        {0,    0.3,  4, 4, 0,    0.1},
        {-7,   7,    4, 3, -5,   5  },
        {1000, 1001, 3, 3, 1000, 0.5},
        {0,    1e6,  3, 3, 0,    5e5},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].step == 0)
            continue;
        ck_assert_int_eq(chart_round_values(rows[i].low, rows[i].high, rows[i].most, out), rows[i].count);
        for (int n = 0; n < rows[i].count; n++)
            ck_within(out[n], rows[i].first + n * rows[i].step, 1e-9 * rows[i].step);
    }
    ck_assert_int_eq(chart_round_values(1, 1, 4, out), 0);
    ck_assert_int_eq(chart_round_values(NAN, 1, 4, out), 0);
    ck_assert_int_eq(chart_round_values(0, 1, 0, out), 0);
}
END_TEST

START_TEST(round_values_are_few_and_inside_and_round)
{
    struct stream s = {3};
    double out[12];
    for (int n = 0; n < 20000; n++) {
        double low = stream_uniform(&s, -1e3, 1e3), high = low + pow(10, stream_uniform(&s, -4, 6));
        int most = 2 + stream_below(&s, 10), count = chart_round_values(low, high, most, out);
        ck_assert_int_ge(count, 1);
        ck_assert_int_le(count, most);
        double step = count > 1 ? out[1] - out[0] : 0;
        for (int i = 0; i < count; i++)
            ck_assert(out[i] >= low - 1e-6 * fabs(step) - 1e-9 && out[i] <= high + 1e-6 * fabs(step) + 1e-9);
        if (count > 1) {
            double digit = step / pow(10, floor(log10(step * 1.0000001)));
            ck_assert_msg(fabs(digit - 1) < 1e-3 || fabs(digit - 2) < 1e-3 || fabs(digit - 5) < 1e-3,
                          "step %g", step);
        }
    }
}
END_TEST

/* No chart, however mad its numbers, draws outside its rectangle or falls over. */
START_TEST(mad_numbers_do_no_harm)
{
    static const double mad[] = {NAN, INFINITY, -INFINITY, 0, -0.0, 1e308, -1e308, 1e-320, 5, 95};
    struct stream s = {8};
    for (int n = 0; n < 20000; n++) {
        double x[20], y[20], low[20];
        for (int i = 0; i < 20; i++) {
            x[i] = stream_below(&s, 4) == 0 ? mad[stream_below(&s, 10)] : i;
            y[i] = stream_below(&s, 3) == 0 ? mad[stream_below(&s, 10)] : stream_uniform(&s, 0, 100);
            low[i] = mad[stream_below(&s, 10)];
        }
        struct series series = {.kind = (enum series_kind)stream_below(&s, 4),
                                .role = ROLE_CURVE,
                                .x = x,
                                .y = y,
                                .y_low = low,
                                .count = (size_t)stream_below(&s, 21)};
        struct chart_limit limit = {mad[stream_below(&s, 10)], ROLE_WATCH, "limit"};
        struct chart_event event = {mad[stream_below(&s, 10)], ROLE_WATCH, "event"};
        struct chart_tick tick = {mad[stream_below(&s, 10)], "tick"};
        struct chart c = {.x_low = mad[stream_below(&s, 10)],
                          .x_high = mad[stream_below(&s, 10)],
                          .y_low = mad[stream_below(&s, 10)],
                          .y_high = mad[stream_below(&s, 10)],
                          .series = &series,
                          .series_count = 1,
                          .limits = &limit,
                          .limit_count = 1,
                          .events = &event,
                          .event_count = 1,
                          .x_ticks = &tick,
                          .x_tick_count = 1,
                          .y_ticks = &tick,
                          .y_tick_count = 1};
        canvas_erase(&canvas);
        struct rect r = rect_part(rect_whole(&canvas), 2, 5, stream_below(&s, 8), stream_below(&s, 35));
        draw_chart(r, &c);
        ck_assert_str_eq(row_of(0), "");
        ck_assert_str_eq(row_of(1), "");
    }
}
END_TEST

Suite *chart_suite(void)
{
    Suite *s = suite_create("chart");
    TCase *t = tcase_create("chart");
    tcase_add_checked_fixture(t, make, drop);
    tcase_add_test(t, single_dots_have_their_bits);
    tcase_add_test(t, lines_go_from_dot_to_dot);
    tcase_add_test(t, lines_far_outside_are_cut_and_keep_their_slope);
    tcase_add_test(t, areas_dashes_and_drops);
    tcase_add_test(t, values_are_put_on_the_axes);
    tcase_add_test(t, a_missing_value_breaks_the_line);
    tcase_add_test(t, bands_lie_between_their_edges);
    tcase_add_test(t, stacks_stand_on_one_another);
    tcase_add_test(t, a_chart_has_labels_where_there_is_room);
    tcase_add_test(t, a_sparkline_rises_from_the_floor);
    tcase_add_test(t, ranges_and_round_values);
    tcase_add_test(t, round_values_are_few_and_inside_and_round);
    tcase_add_test(t, mad_numbers_do_no_harm);
    suite_add_tcase(s, t);
    return s;
}
