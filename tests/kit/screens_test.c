/* Whole screens on every kind of terminal. */
#include "core/base/text.h"
#include "tests/kit/sample.h"
#include "tests/support.h"
#include "tests/tty/tty.h"

static void show_sample(const struct tty_kind *kind, int rows, int cols, const char *keys, const char *name)
{
    struct tty tty;
    struct sample sample;
    tty_open(&tty, kind, rows, cols);
    sample_init(&sample, &tty.clock);
    tty_begin(&tty, &sample_hooks, &sample);
    tty_keys(&tty, keys);
    tty_expect(&tty, name);
    tty_close(&tty);
}

START_TEST(screens_look_as_they_did)
{
    static const struct {
        struct tty_kind kind;
        int rows, cols;
        const char *keys, *name;
    } rows[] = {
        {{"xterm-256color", true, true},  24, 80, "Down Down wait:7 m e type:_x",                "kit_xterm_256color"},
        {{"xterm-256color", true, false}, 24, 80, "Down Down wait:7",                            "kit_xterm_no_color"},
        {{"linux", true, true},           24, 80, "Down Down wait:7 m e type:_x",                "kit_linux"         },
        {{"screen", false, true},         24, 80, "Down Down wait:7",                            "kit_screen_ascii"  },
        {{"vt100", false, true},          24, 80, "Down Down wait:7 m e type:_x",                "kit_vt100_ascii"   },
        {{"xterm-256color", true, true},  10, 40, "End wait:61",                                 "kit_small"         },
        {{"xterm-256color", true, true},  24, 80, "size:10x3 e paste:x_y Left Left size:120x36", "kit_large"         },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        show_sample(&rows[i].kind, rows[i].rows, rows[i].cols, rows[i].keys, rows[i].name);
}
END_TEST

static int count_of(const char *text, char c)
{
    int n = 0;
    for (; *text != '\0'; text++)
        n += *text == c;
    return n;
}

static bool all_ascii(const char *text)
{
    for (; *text != '\0'; text++)
        if ((unsigned char)*text >= 0x7F)
            return false;
    return true;
}

/* Whatever the terminal, every word is there, and only what has no likeness at all becomes a '?'. */
START_TEST(every_terminal_shows_every_word)
{
    for (size_t i = 0; i < tty_kind_count; i++) {
        const struct tty_kind *kind = &tty_kinds[i];
        struct tty tty;
        struct sample sample;
        char name[80];
        (void)tty_kind_name(kind, name, sizeof name);
        tty_open(&tty, kind, 24, 80);
        sample_init(&sample, &tty.clock);
        tty_begin(&tty, &sample_hooks, &sample);
        tty_keys(&tty, "m");
        char *screen = tty_screen(&tty);
        static const char *const words[] = {"Sun 3 May 12:00", "ROWS",  "CHILL", "2 of 3",
                                            "strained",        "STOP",  "kept",  "limit",
                                            "12:30",           "row 0", "type",  "leave"};
        for (size_t w = 0; w < sizeof words / sizeof words[0]; w++)
            ck_assert_msg(tty_shows(&tty, words[w]), "%s: no \"%s\" in\n%s", name, words[w], screen);
        ck_assert_msg(tty_shows(&tty, kind->utf8 ? "½ gal × 4" : "1/2 gal x 4"), "%s", name);
        bool wide = kind->utf8 && strcmp(kind->type, "linux") != 0;
        ck_assert_msg(count_of(screen, '?') == (wide ? 0 : 2), "%s:\n%s", name, screen);
        ck_assert_msg(kind->utf8 || all_ascii(screen), "%s:\n%s", name, screen);
        free(screen);
        tty_close(&tty);
    }
}
END_TEST

Suite *screens_suite(void)
{
    Suite *s = suite_create("screens");
    TCase *t = tcase_create("screens");
    tcase_add_test(t, screens_look_as_they_did);
    tcase_add_test(t, every_terminal_shows_every_word);
    suite_add_tcase(s, t);
    return s;
}
