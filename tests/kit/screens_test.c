/* Whole screens on every kind of terminal. */
#include "tests/kit/sample.h"
#include "tests/support.h"
#include "tests/tty/tty.h"

static void show_sample(const struct tty_kind *kind, const char *name)
{
    struct tty tty;
    struct sample sample;
    tty_open(&tty, kind, 24, 80);
    sample_init(&sample, &tty.clock);
    tty_begin(&tty, &sample_hooks, &sample);
    tty_keys(&tty, "Down Down wait:7 m e type:_x");
    tty_expect(&tty, name);
    tty_close(&tty);
}

START_TEST(a_utf8_terminal_with_256_colours)
{
    show_sample(&(struct tty_kind){"xterm-256color", true, true}, "kit_xterm_256color");
}
END_TEST

START_TEST(the_linux_console)
{
    show_sample(&(struct tty_kind){"linux", true, true}, "kit_linux");
}
END_TEST

START_TEST(no_colour_and_no_utf8)
{
    show_sample(&(struct tty_kind){"vt100", false, true}, "kit_vt100_ascii");
}
END_TEST

Suite *screens_suite(void)
{
    Suite *s = suite_create("screens");
    TCase *t = tcase_create("screens");
    tcase_add_test(t, a_utf8_terminal_with_256_colours);
    tcase_add_test(t, the_linux_console);
    tcase_add_test(t, no_colour_and_no_utf8);
    suite_add_tcase(s, t);
    return s;
}
