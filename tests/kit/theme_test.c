/* Roles and characters: what must be told apart can be, on every terminal. */
#include "tui/kit/theme.h"

#include <curses.h>

#include "core/base/text.h"
#include "tests/support.h"
#include "tui/kit/glyph.h"

/* The 256-colour cube and grey ramp as xterm defines them (256colres.pl of its sources): levels 0, 95, 135,
 * 175, 215, 255; greys 8 + 10 n. */
static void colour_rgb(int colour, double rgb[3])
{
    static const int levels[] = {0, 95, 135, 175, 215, 255};
    int n = colour - 16;
    for (int i = 0; i < 3; i++)
        rgb[i] = colour >= 232 ? 8 + 10 * (colour - 232) : levels[(i == 0 ? n / 36 : i == 1 ? n / 6 : n) % 6];
}

/* Relative luminance and contrast ratio as WCAG 2.1 defines them. */
static double luminance(const double rgb[3])
{
    static const double weight[] = {0.2126, 0.7152, 0.0722};
    double sum = 0;
    for (int i = 0; i < 3; i++) {
        double c = rgb[i] / 255;
        sum += weight[i] * (c <= 0.03928 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

static double contrast(double a, double b)
{
    double light = fmax(a, b), dark = fmin(a, b);
    return (light + 0.05) / (dark + 0.05);
}

START_TEST(colours_are_legible_on_a_dark_ground_and_on_a_light_one)
{
    static const double black[3] = {0, 0, 0}, white[3] = {255, 255, 255};
    /* WCAG 2.1's own example values: black on white is 21, and #777 on white 4.48. */
    static const double grey[3] = {0x77, 0x77, 0x77};
    ck_near(contrast(luminance(black), luminance(white)), 21, 1e-12);
    ck_within(contrast(luminance(grey), luminance(white)), 4.48, 0.005);
    for (int role = 0; role < ROLE_COUNT; role++) {
        double rgb[3];
        int colour = theme_look((enum role)role, DEPTH_256).colour;
        if (colour < 0)
            continue;
        ck_assert_int_ge(colour, 16); /* the first 16 are whatever the user made of them */
        colour_rgb(colour, rgb);
        /* 4.5 for text (success criterion 1.4.3); 3 for large text and signs on the ground we do not aim at.
         */
        ck_assert_msg(contrast(luminance(rgb), luminance(black)) >= 4.5, "%s on black",
                      role_name((enum role)role));
        ck_assert_msg(contrast(luminance(rgb), luminance(white)) >= 3, "%s on white",
                      role_name((enum role)role));
    }
}
END_TEST

static bool same_look(enum role a, enum role b, enum depth depth)
{
    struct look x = theme_look(a, depth), y = theme_look(b, depth);
    return x.attributes == y.attributes && x.colour == y.colour;
}

START_TEST(what_matters_differs_at_every_depth)
{
    static const enum role pairs[][2] = {
        {ROLE_WATCH,    ROLE_CHALK},
        {ROLE_STOP,     ROLE_CHALK},
        {ROLE_STOP,     ROLE_WATCH},
        {ROLE_FIELD,    ROLE_CHALK},
        {ROLE_CARET,    ROLE_FIELD},
        {ROLE_ACCENT,   ROLE_TITLE},
        {ROLE_SELECTED, ROLE_CHALK},
        {ROLE_KEY,      ROLE_CHALK},
        {ROLE_CURVE,    ROLE_BAND },
    };
    for (int depth = DEPTH_MONO; depth <= DEPTH_256; depth++)
        for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++)
            ck_assert_msg(!same_look(pairs[i][0], pairs[i][1], (enum depth)depth), "%s and %s look alike",
                          role_name(pairs[i][0]), role_name(pairs[i][1]));
}
END_TEST

START_TEST(without_colour_watch_is_bold_and_stop_is_reverse)
{
    for (int role = 0; role < ROLE_COUNT; role++)
        ck_assert_int_lt(theme_look((enum role)role, DEPTH_MONO).colour, 0);
    ck_assert_uint_eq(theme_look(ROLE_WATCH, DEPTH_MONO).attributes, A_BOLD);
    ck_assert_uint_eq(theme_look(ROLE_STOP, DEPTH_MONO).attributes, A_REVERSE);
}
END_TEST

START_TEST(the_depth_is_what_the_terminal_has)
{
    ck_assert_int_eq(theme_depth(0, true), DEPTH_MONO);
    ck_assert_int_eq(theme_depth(8, true), DEPTH_8);
    ck_assert_int_eq(theme_depth(16, true), DEPTH_16);
    ck_assert_int_eq(theme_depth(88, true), DEPTH_16);
    ck_assert_int_eq(theme_depth(256, true), DEPTH_256);
    ck_assert_int_eq(theme_depth(1 << 24, true), DEPTH_256);
    ck_assert_int_eq(theme_depth(256, false), DEPTH_MONO);
}
END_TEST

START_TEST(the_set_follows_locale_and_type)
{
    ck_assert_int_eq(charset_for("xterm-256color", true), CHARSET_FULL);
    ck_assert_int_eq(charset_for("linux", true), CHARSET_CONSOLE);
    ck_assert_int_eq(charset_for("linux-16color", true), CHARSET_CONSOLE);
    ck_assert_int_eq(charset_for("xterm-256color", false), CHARSET_ASCII);
}
END_TEST

START_TEST(signs_are_one_column_everywhere)
{
    static const char *const signs[] = {GLYPH_TICK, GLYPH_POINTER, GLYPH_WARNING, GLYPH_UP,
                                        GLYPH_DOWN, GLYPH_LEFT,    GLYPH_RIGHT,   GLYPH_DOT,
                                        GLYPH_DASH, GLYPH_BULLET,  GLYPH_MARK};
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        for (int set = CHARSET_FULL; set <= CHARSET_ASCII; set++) {
            uint32_t out[GLYPH_STAND_IN_MAX];
            int length;
            uint32_t code = text_decode(signs[i], &length);
            ck_assert_msg(glyph_stand_in(code, (enum charset)set, out) == 1, "%s", signs[i]);
            ck_assert_int_eq(text_columns(out[0]), 1);
        }
}
END_TEST

static const char *spelt(uint32_t code, enum charset set)
{
    static char text[GLYPH_STAND_IN_MAX * 4 + 1];
    uint32_t out[GLYPH_STAND_IN_MAX];
    size_t used = 0;
    int count = glyph_stand_in(code, set, out);
    for (int i = 0; i < count; i++)
        used += text_encode(out[i], text + used);
    text[used] = '\0';
    return text;
}

START_TEST(what_a_terminal_lacks_is_spelt_out)
{
    static const struct {
        uint32_t code;
        const char *full, *console, *ascii;
    } rows[] = {
        {'a',     "a",    "a",   "a"  },
        {0x00B0,  "°",   "°",  ""   }, /* 95 °F -> 95 F */
        {0x00BD,  "½",   "½",  "1/2"},
        {0x00E9,  "é",   "é",  "e"  },
        {0x017B,  "Ż",   "Ż",  "Z"  },
        {0x0142,  "ł",   "ł",  "l"  },
        {0x1EBF,  "ế",  "e",   "e"  }, /* two marks, beyond the console's letters */
        {0x2082,  "₂",  "2",   "2"  },
        {0x2265,  "≥",  "≥", ">=" },
        {0x2713,  "✓",  "√", "+"  },
        {0x25B8,  "▸",  "►", ">"  },
        {0x2500,  "─",  "─", "-"  },
        {0x82B1,  "花",  "?",   "?"  },
        {0x1F404, "🐄", "?",   "?"  },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert_str_eq(spelt(rows[i].code, CHARSET_FULL), rows[i].full);
        ck_assert_str_eq(spelt(rows[i].code, CHARSET_CONSOLE), rows[i].console);
        ck_assert_str_eq(spelt(rows[i].code, CHARSET_ASCII), rows[i].ascii);
    }
}
END_TEST

START_TEST(every_code_point_has_a_stand_in_of_its_set)
{
    for (uint32_t code = 0x20; code < 0x30000; code++) {
        uint32_t out[GLYPH_STAND_IN_MAX];
        int count = glyph_stand_in(code, CHARSET_ASCII, out);
        if (count < 0 || count > GLYPH_STAND_IN_MAX)
            ck_abort_msg("U+%04X", code);
        for (int i = 0; i < count && code != 0x7F; i++)
            if (out[i] < ' ' || out[i] >= 0x7F)
                ck_abort_msg("U+%04X", code);
    }
}
END_TEST

/* Dot numbers and bits as in the code chart of the Unicode Standard, block Braille Patterns: dots 1-3 and 7
 * run down the left, 4-6 and 8 down the right; dot n is bit n-1. */
START_TEST(braille_keeps_its_height_without_braille)
{
    ck_assert_uint_eq(glyph_braille(0x01, CHARSET_FULL), 0x2801);
    ck_assert_uint_eq(glyph_braille(0xFF, CHARSET_FULL), 0x28FF);
    for (int set = CHARSET_CONSOLE; set <= CHARSET_ASCII; set++) {
        ck_assert_uint_eq(glyph_braille(0x00, (enum charset)set), ' ');
        ck_assert_uint_eq(glyph_braille(0x09, (enum charset)set), '\''); /* dots 1 and 4: the top row */
        ck_assert_uint_eq(glyph_braille(0xC0, (enum charset)set), '.');  /* dots 7 and 8: the bottom row */
        ck_assert_uint_eq(glyph_braille(0x47, (enum charset)set), ':');  /* the whole left column */
        ck_assert_uint_eq(glyph_braille(0xFC, (enum charset)set), '*');  /* three quarters */
        ck_assert_uint_eq(glyph_braille(0xFF, (enum charset)set), '#');
    }
}
END_TEST

Suite *theme_suite(void)
{
    Suite *s = suite_create("theme");
    TCase *t = tcase_create("theme");
    tcase_add_test(t, colours_are_legible_on_a_dark_ground_and_on_a_light_one);
    tcase_add_test(t, what_matters_differs_at_every_depth);
    tcase_add_test(t, without_colour_watch_is_bold_and_stop_is_reverse);
    tcase_add_test(t, the_depth_is_what_the_terminal_has);
    tcase_add_test(t, the_set_follows_locale_and_type);
    tcase_add_test(t, signs_are_one_column_everywhere);
    tcase_add_test(t, what_a_terminal_lacks_is_spelt_out);
    tcase_add_test(t, every_code_point_has_a_stand_in_of_its_set);
    tcase_add_test(t, braille_keeps_its_height_without_braille);
    suite_add_tcase(s, t);
    return s;
}
