/* The terminal in process: keys in, bytes out, for every kind. */
#include "tui/kit/term.h"

#include <wchar.h>

#include "core/base/text.h"
#include "tests/kit/hostile.h"
#include "tests/kit/sample.h"
#include "tests/support.h"
#include "tests/tty/tty.h"
#include "tui/kit/draw.h"
#include "tui/kit/press.h"

static const struct tty_kind xterm = {"xterm-256color", true, true};
static struct tty tty;

static void feed(const char *bytes)
{
    tty_feed(&tty, bytes, strlen(bytes));
}

/* All presses there are, one word each: names, letters as they are, and "'" before what was pasted. */
static const char *presses(void)
{
    static char out[4096];
    struct press press;
    out[0] = '\0';
    while (term_press(tty.term, &press)) {
        char name[PRESS_NAME_MAX], bytes[5] = "";
        (void)press_name(press.key, name);
        if (press.key > 0x7F && press.key < PRESS_UP)
            bytes[text_encode((uint32_t)press.key, bytes)] = '\0';
        const char *word = press.key == PRESS_NONE ? "(paste)"
                           : name[0] != '\0'       ? name
                           : bytes[0] != '\0'      ? bytes
                                                   : "(blank)";
        (void)text_append(out, sizeof out, "%s%s%s", out[0] == '\0' ? "" : " ", press.pasted ? "'" : "",
                          word);
    }
    return out;
}

START_TEST(both_spellings_of_a_key_are_known_on_every_terminal)
{
    for (size_t i = 0; i < tty_kind_count; i++) {
        char name[80];
        tty_open(&tty, &tty_kinds[i], 24, 80);
        (void)tty_kind_name(&tty_kinds[i], name, sizeof name);
        feed("\033[A\033OA\033[B\033OB\033[C\033OC\033[D\033OD");
        ck_assert_msg(strcmp(presses(), "Up Up Down Down Right Right Left Left") == 0, "%s", name);
        feed("\033[H\033OH\033[1~\033[7~\033[F\033OF\033[4~\033[8~\033[5~\033[6~\033[3~\033[Z");
        ck_assert_msg(strcmp(presses(), "Home Home Home Home End End End End PgUp PgDn Delete Shift-Tab") ==
                          0,
                      "%s", name);
        feed("\r\n\t\b\177 q\027\025\014");
        ck_assert_msg(strcmp(presses(), "Enter Enter Tab Backspace Backspace Space q Ctrl-W Ctrl-U Ctrl-L") ==
                          0,
                      "%s", name);
        tty_close(&tty);
    }
}
END_TEST

START_TEST(characters_come_whole_and_what_is_not_utf8_shows)
{
    tty_open(&tty, &xterm, 24, 80);
    feed("é花🐄");
    ck_assert_str_eq(presses(), "é 花 🐄");
    feed("\xE8\x8A"); /* the rest comes later */
    ck_assert_str_eq(presses(), "");
    feed("\xB1!");
    ck_assert_str_eq(presses(), "花 !");
    feed("caf\xE9 q\xFFq\xC0\x80q\xED\xA0\x80q"); /* Latin-1, and three that may never occur */
    const char *got = presses();
    ck_assert_ptr_nonnull(strstr(got, "c a f"));
    ck_assert_int_eq(got[strlen(got) - 1], 'q');
    int keys = 0;
    for (const char *p = got; *p != '\0'; p++)
        keys += *p == 'q';
    ck_assert_int_eq(keys, 4); /* no key behind a bad byte is swallowed */
    tty_close(&tty);
}
END_TEST

START_TEST(keys_that_we_do_not_have_do_nothing)
{
    tty_open(&tty, &xterm, 24, 80);
    feed("\033[25~\033[1;5A\033[I\033[O\033[<35;1;1M\033Oxa");
    ck_assert_str_eq(presses(), "a");
    feed("\033");
    ck_assert_str_eq(presses(), "Esc");
    feed("\033q"); /* Esc and a letter at once are two keys */
    ck_assert_str_eq(presses(), "Esc q");
    feed("\001\002\003\034\035\036\037\000a"); /* control letters that mean nothing here */
    ck_assert_str_eq(presses(), "");
    tty_close(&tty);
}
END_TEST

START_TEST(a_paste_is_text)
{
    tty_open(&tty, &xterm, 24, 80);
    feed("\033[200~q\033[B\r1\t\003x\033[201~q");
    ck_assert_str_eq(presses(), "'(paste) 'q '(blank) '1 '(blank) 'x q");
    tty_close(&tty);
}
END_TEST

/* 100 kB of everything, between the marks of a paste: into an entry, with nothing done by it. */
START_TEST(a_hundred_kilobytes_of_rubbish_are_only_text)
{
    struct stream s = {4};
    struct sample sample;
    char text[600];
    size_t fed = 0;
    tty_open(&tty, &xterm, 24, 80);
    sample_init(&sample, &tty.clock);
    tty_begin(&tty, &sample_hooks, &sample);
    tty_keys(&tty, "e");
    feed("\033[200~");
    while (fed < 100 * 1024) {
        hostile_make(&s, text, sizeof text);
        tty_feed(&tty, text, strlen(text));
        fed += strlen(text);
    }
    feed("\033[201~\033[201~");
    for (int i = 0; i < 200; i++)
        tty_turn(&tty);
    ck_assert_int_eq(sample.presses, 1); /* the e that opened the entry */
    ck_assert_int_gt(sample.pastes, 10000);
    ck_assert(entry_ok(&sample.entry) && sample.entry.length <= sample.entry.limit);
    tty_keys(&tty, "Esc q");
    ck_assert_int_eq(tty.loop.end, LOOP_LEFT);
    tty_close(&tty);
}
END_TEST

START_TEST(a_paste_whose_end_was_lost_does_not_swallow_keys_for_ever)
{
    struct sample sample;
    tty_open(&tty, &xterm, 24, 80);
    sample_init(&sample, &tty.clock);
    tty_begin(&tty, &sample_hooks, &sample);
    feed("\033[200~abc");
    tty_turn(&tty);
    ck_assert_int_eq(sample.pastes, 3);
    clock_held_advance(&tty.held, 5000);
    tty_keys(&tty, "q");
    ck_assert_int_eq(tty.loop.end, LOOP_LEFT);
    tty_close(&tty);
}
END_TEST

START_TEST(terminals_that_cannot_do_it_get_a_sentence)
{
    static const struct {
        const char *type, *words;
    } rows[] = {
        {"",                 "TERM is not set"            },
        {"dumb",             "cannot move its cursor"     },
        {"no-such-terminal", "not in this machine's table"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fail f = {0};
        struct tty_kind kind = {rows[i].type, true, true};
        ck_assert_int_eq(tty_try(&tty, &kind, 24, 80, &f), -1);
        ck_assert_int_eq(fail_exit_status(f.code), 1);
        ck_assert_msg(strstr(f.text, rows[i].words) != NULL, "%s", f.text);
    }
    tty_open(&tty, &xterm, 24, 80); /* and nothing is left behind that would hinder the next one */
    tty_close(&tty);
}
END_TEST

START_TEST(without_a_terminal_there_is_a_sentence)
{
    struct fail f = {0};
    ck_assert_ptr_nonnull(freopen("/dev/null", "r", stdin));
    ck_assert_ptr_null(term_open(&(struct term_options){.type = "xterm"}, &f));
    ck_assert_ptr_nonnull(strstr(f.text, "draws on a terminal"));
}
END_TEST

START_TEST(colour_is_used_as_far_as_it_is_there_and_wanted)
{
    for (size_t i = 0; i < tty_kind_count; i++) {
        const struct tty_kind *kind = &tty_kinds[i];
        bool vt = strncmp(kind->type, "vt", 2) == 0;
        bool wide = strstr(kind->type, "256") != NULL;
        bool sixteen = strstr(kind->type, "16") != NULL;
        tty_open(&tty, kind, 24, 80);
        enum depth expected = !kind->colour || vt ? DEPTH_MONO
                              : wide              ? DEPTH_256
                              : sixteen           ? DEPTH_16
                                                  : DEPTH_8;
        ck_assert_msg(term_depth(tty.term) == expected, "%s", kind->type);
        tty_close(&tty);
    }
}
END_TEST

static void clock_at(struct canvas *c, const char *text)
{
    canvas_erase(c);
    struct rect r = rect_whole(c);
    draw_rule(r, 0, ROLE_TITLE, "STALLS", NULL);
    (void)draw_text(r, 5, 10, ROLE_CHALK, text);
    (void)draw_text(r, 20, 10, ROLE_STRONG, "something that stays");
}

/* The least that a terminal can be sent for one digit is a backspace and the digit. */
START_TEST(a_clock_digit_costs_two_bytes_and_nothing_costs_none)
{
    static const char *const types[] = {"xterm-256color", "linux", "tmux-256color", "screen"};
    for (size_t i = 0; i < sizeof types / sizeof types[0]; i++) {
        struct tty_kind kind = {types[i], true, true};
        tty_open(&tty, &kind, 24, 80);
        clock_at(term_canvas(tty.term), "06:41:01");
        term_show(tty.term);
        ck_assert_int_gt(tty_bytes(&tty), 100);
        clock_at(term_canvas(tty.term), "06:41:01");
        term_show(tty.term);
        ck_assert_int_eq(tty_bytes(&tty), 0);
        clock_at(term_canvas(tty.term), "06:41:02");
        term_show(tty.term);
        (void)tty_bytes(&tty); /* the cursor goes there */
        clock_at(term_canvas(tty.term), "06:41:03");
        term_show(tty.term);
        ck_assert_int_eq(tty_bytes(&tty), 2);
        tty_close(&tty);
    }
}
END_TEST

static void add_code(char *out, size_t *used, uint32_t code)
{
    *used += text_encode(code, out + *used);
    out[*used] = '\0';
}

/* One row of the canvas as it should arrive: where the C library measures a character otherwise than we do, a
 * replacement of its width stands for it. */
static const char *expected_row(const struct canvas *c, int row, char *out)
{
    size_t used = 0;
    out[0] = '\0';
    for (int col = 0; col < c->cols; col++) {
        struct cell cell = canvas_shown(c, row, col);
        bool agreed = wcwidth((wchar_t)cell.base) == cell.columns;
        if (cell.columns == 0)
            continue;
        add_code(out, &used, agreed ? cell.base : 0xFFFD);
        for (int i = 0; agreed && i < TEXT_MARKS_MAX; i++)
            if (cell.mark[i] != 0 && wcwidth((wchar_t)cell.mark[i]) == 0)
                add_code(out, &used, cell.mark[i]);
        if (!agreed && cell.columns == 2)
            add_code(out, &used, ' ');
    }
    while (used > 0 && out[used - 1] == ' ')
        out[--used] = '\0';
    return out;
}

/* What curses believes it has sent is what the canvas shows. */
static void ck_screen_is_canvas(int n)
{
    static char actual[16384], expected[16384];
    struct canvas *c = term_canvas(tty.term);
    for (int row = 0; row < c->rows; row++)
        if (strcmp(tty_row(&tty, row, actual, sizeof actual), expected_row(c, row, expected)) != 0)
            ck_abort_msg("round %d, row %d:\n%s\n%s", n, row, actual, expected);
}

START_TEST(hostile_text_arrives_as_it_was_drawn)
{
    char text[400];
    for (size_t i = 0; i < tty_kind_count; i++) {
        struct stream s = {i + 1};
        tty_open(&tty, &tty_kinds[i], 10, 40);
        for (int n = 0; n < 300; n++) {
            struct rect r = rect_part(term_rect(tty.term), stream_below(&s, 9), stream_below(&s, 38),
                                      stream_below(&s, 10), stream_below(&s, 40));
            hostile_make(&s, text, sizeof text);
            (void)draw_wrapped(r, 0, 0, (enum role)stream_below(&s, ROLE_COUNT), text);
            if (n % 7 == 0)
                term_repaint(tty.term);
            term_show(tty.term);
            ck_screen_is_canvas(n);
        }
        tty_close(&tty);
    }
}
END_TEST

START_TEST(a_storm_of_sizes_leaves_the_same_screen_behind)
{
    for (size_t i = 0; i < tty_kind_count; i += 3) {
        struct stream s = {i + 11};
        struct sample sample;
        tty_open(&tty, &tty_kinds[i], 24, 80);
        sample_init(&sample, &tty.clock);
        tty_begin(&tty, &sample_hooks, &sample);
        char *before = tty_screen(&tty);
        for (int n = 0; n < 150; n++) {
            int rows = n % 10 == 0 ? 1 : 1 + stream_below(&s, 60),
                cols = n % 15 == 0 ? 1 : 1 + stream_below(&s, 200);
            (void)term_resize(tty.term, rows, cols);
            tty.loop.answer |= LOOP_DRAW;
            tty_turn(&tty);
            ck_screen_is_canvas(n);
        }
        tty_keys(&tty, "size:200x60 size:1x1 size:80x24");
        char *after = tty_screen(&tty);
        ck_assert_str_eq(before, after);
        free(before);
        free(after);
        tty_close(&tty);
    }
}
END_TEST

/* Bytes, sizes and seconds in any order: every press is one that exists, and the screen is what was drawn. */
START_TEST(a_monkey_at_the_keys_breaks_nothing)
{
    struct stream s = {77};
    char text[40];
    for (size_t i = 0; i < tty_kind_count; i += 5) {
        struct sample sample;
        tty_open(&tty, &tty_kinds[i], 24, 80);
        sample_init(&sample, &tty.clock);
        tty_begin(&tty, &sample_hooks, &sample);
        for (int n = 0; n < 1000; n++) {
            int what = stream_below(&s, 10);
            if (what == 0)
                (void)term_resize(tty.term, 1 + stream_below(&s, 60), 1 + stream_below(&s, 200));
            if (what == 0)
                tty.loop.answer |= LOOP_DRAW;
            if (what == 1)
                clock_held_advance(&tty.held, stream_below(&s, 100000));
            if (what > 1) {
                hostile_make(&s, text, sizeof text);
                tty_feed(&tty, text, strlen(text));
                tty_feed(&tty, " ", 1); /* not an Esc alone, for which curses would wait */
            }
            tty_turn(&tty);
            if (tty.loop.end == LOOP_LEFT) { /* it found the key to leave, and so drew nothing */
                tty.loop.end = LOOP_RUNNING;
                tty.loop.answer = LOOP_DRAW;
                tty_turn(&tty);
            }
            if (n % 10 == 0 && tty.loop.end == LOOP_RUNNING)
                ck_screen_is_canvas(n);
            if (!entry_ok(&sample.entry))
                ck_abort_msg("round %d", n);
        }
        tty_close(&tty);
    }
}
END_TEST

START_TEST(any_bytes_at_all_are_presses_that_exist)
{
    struct stream s = {78};
    char bytes[256];
    struct press press;
    tty_open(&tty, &xterm, 24, 80);
    for (int n = 0; n < 2000; n++) {
        for (size_t i = 0; i < sizeof bytes - 1; i++)
            bytes[i] = (char)stream_below(&s, stream_below(&s, 2) == 0 ? 256 : 0x60);
        bytes[sizeof bytes - 1] = 'x';
        tty_feed(&tty, bytes, sizeof bytes);
        while (term_press(tty.term, &press)) {
            bool writes = press_writes(press.key) && text_classify((uint32_t)press.key) <= TEXT_BAD;
            bool named = press.key >= PRESS_UP && press.key <= PRESS_LAST;
            bool in_paste = press.pasted && (press.key == PRESS_NONE || press.key < ' ');
            if (!writes && !named && !in_paste)
                ck_abort_msg("round %d: press %X", n, (unsigned)press.key);
        }
    }
    tty_close(&tty);
}
END_TEST

START_TEST(an_alarm_rings_and_flashes)
{
    tty_open(&tty, &(struct tty_kind){"screen", true, true}, 24,
             80); /* its flash is one sequence, without a wait */
    term_show(tty.term);
    (void)tty_bytes(&tty);
    term_alarm(tty.term);
    ck_assert_int_eq(tty_bytes(&tty), 1 + 2); /* BEL, and ESC g */
    tty_close(&tty);
}
END_TEST

START_TEST(repainting_sends_everything_again)
{
    struct sample sample;
    tty_open(&tty, &xterm, 24, 80);
    sample_init(&sample, &tty.clock);
    tty_begin(&tty, &sample_hooks, &sample);
    long first = tty_bytes(&tty);
    tty_keys(&tty, "Ctrl-L");
    long again = tty_bytes(&tty);
    ck_assert_int_gt(again, first / 2);
    ck_assert_int_eq(sample.presses, 0); /* the loop's own key */
    tty_close(&tty);
}
END_TEST

Suite *term_suite(void)
{
    Suite *s = suite_create("term");
    TCase *t = tcase_create("term");
    tcase_add_test(t, both_spellings_of_a_key_are_known_on_every_terminal);
    tcase_add_test(t, characters_come_whole_and_what_is_not_utf8_shows);
    tcase_add_test(t, keys_that_we_do_not_have_do_nothing);
    tcase_add_test(t, a_paste_is_text);
    tcase_add_test(t, a_hundred_kilobytes_of_rubbish_are_only_text);
    tcase_add_test(t, a_paste_whose_end_was_lost_does_not_swallow_keys_for_ever);
    tcase_add_test(t, terminals_that_cannot_do_it_get_a_sentence);
    tcase_add_test(t, without_a_terminal_there_is_a_sentence);
    tcase_add_test(t, colour_is_used_as_far_as_it_is_there_and_wanted);
    tcase_add_test(t, a_clock_digit_costs_two_bytes_and_nothing_costs_none);
    tcase_add_test(t, hostile_text_arrives_as_it_was_drawn);
    tcase_add_test(t, a_storm_of_sizes_leaves_the_same_screen_behind);
    tcase_add_test(t, a_monkey_at_the_keys_breaks_nothing);
    tcase_add_test(t, any_bytes_at_all_are_presses_that_exist);
    tcase_add_test(t, an_alarm_rings_and_flashes);
    tcase_add_test(t, repainting_sends_everything_again);
    suite_add_tcase(s, t);
    return s;
}
