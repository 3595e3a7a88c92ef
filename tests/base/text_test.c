/* Cleaning and cutting. The classes of code points are those of the Unicode Character Database; ISO 6429
 * names the control sequences that must never reach a terminal. */

#include "core/base/text.h"
#include "tests/support.h"

static const char *clean(const char *src)
{
    static char dst[4096];
    text_clean(dst, sizeof dst, src);
    return dst;
}

START_TEST(names_pass_unchanged)
{
    static const char *const good[] = {"Maud", "Tib o'the Fell", "Żubrówka", "Réglisse",
                                       "花子", "50 % off",       "a-b_c.d",  "🐄"};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        char dst[64];
        ck_assert(text_clean(dst, sizeof dst, good[i]));
        ck_assert_str_eq(dst, good[i]);
    }
}
END_TEST

/* The same by the letter of the header: blanks single and inside, each run of controls one replacement. */
static void clean_by_the_letter(const char *src, char *dst)
{
    bool blank = false, bad = false;
    size_t used = 0;
    for (; *src != '\0'; src++) {
        bool control = *src < ' ' || *src == 0x7F;
        if (*src == ' ') {
            blank = used > 0;
            bad = false;
            continue;
        }
        if (control && bad)
            continue;
        if (blank)
            dst[used++] = ' ';
        used += (size_t)sprintf(dst + used, "%s", control ? "\xEF\xBF\xBD" : (char[]){*src, '\0'});
        blank = false;
        bad = control;
    }
    dst[used] = '\0';
}

START_TEST(ascii_of_every_kind_is_cleaned_by_the_letter)
{
    struct stream s = {20260503};
    for (int n = 0; n < 20000; n++) {
        static const char letters[] = {' ', 'a', '~', '!', 0x1B, 0x7F};
        char src[16], dst[64], expected[64];
        int length = stream_below(&s, 12);
        for (int i = 0; i < length; i++)
            src[i] = letters[stream_below(&s, stream_below(&s, 2) == 0 ? 4 : 6)];
        src[length] = '\0';
        clean_by_the_letter(src, expected);
        bool same = text_clean(dst, sizeof dst, src);
        if (strcmp(dst, expected) != 0 || same != (strcmp(src, expected) == 0))
            ck_abort_msg("\"%s\" became \"%s\", not \"%s\"", src, dst, expected);
    }
}
END_TEST

START_TEST(what_moves_a_terminal_is_replaced)
{
    ck_assert_str_eq(clean("\x1b[2JMaud"), "\xEF\xBF\xBD[2JMaud");
    ck_assert_str_eq(clean("a\x1b\x1b\x1b"
                           "b"),
                     "a\xEF\xBF\xBD"
                     "b");
    ck_assert_str_eq(clean("a\xC2\x9B"
                           "31mb"),
                     "a\xEF\xBF\xBD"
                     "31mb"); /* C1 control sequence introducer */
    ck_assert_str_eq(clean("a\xE2\x80\xAE"
                           "b"),
                     "a\xEF\xBF\xBD"
                     "b"); /* right-to-left override */
    ck_assert_str_eq(clean("a\xE2\x80\x8B"
                           "b"),
                     "a\xEF\xBF\xBD"
                     "b"); /* zero-width space */
    ck_assert_str_eq(clean("a\xED\xA0\x80"
                           "b"),
                     "a\xEF\xBF\xBD"
                     "b"); /* surrogate */
    ck_assert_str_eq(clean("a\xFF\xFE\x80"
                           "b"),
                     "a\xEF\xBF\xBD"
                     "b"); /* not UTF-8 */
    ck_assert_str_eq(clean("a\xEE\x80\x80"
                           "b"),
                     "a\xEF\xBF\xBD"
                     "b"); /* private use */
    ck_assert_str_eq(clean("a\x7F"
                           "b"),
                     "a\xEF\xBF\xBD"
                     "b");
    ck_assert_str_eq(clean("\xE3\x85\xA4x"), "\xEF\xBF\xBDx"); /* Hangul filler: a letter of no width */
}
END_TEST

START_TEST(blanks_become_single_spaces_and_go_at_the_ends)
{
    ck_assert_str_eq(clean("  two\t\twords \r\n"), "two words");
    ck_assert_str_eq(clean(" \n "), "");
    ck_assert_str_eq(clean("a\xC2\xA0\xE2\x80\xA8"
                           "b"),
                     "a b");
    char dst[8];
    ck_assert(!text_clean(dst, sizeof dst, " a"));
    ck_assert(!text_clean(dst, sizeof dst, "a "));
    ck_assert(!text_clean(dst, sizeof dst, "a  b"));
    ck_assert(text_clean(dst, sizeof dst, "a b"));
}
END_TEST

START_TEST(a_tower_of_marks_is_cut_to_two)
{
    char tower[256] = "Z";
    for (int i = 0; i < 40; i++)
        strncat(tower, "\xCC\x81", sizeof tower - strlen(tower) - 1);
    ck_assert_str_eq(clean(tower), "Z\xCC\x81\xCC\x81");
    ck_assert_str_eq(clean("\xCC\x81Z"), "Z"); /* a mark with no base */
}
END_TEST

START_TEST(any_bytes_at_all_come_out_clean)
{
    struct stream s = {7};
    for (int n = 0; n < 20000; n++) {
        char raw[64], dst[256], again[256];
        int length = stream_below(&s, (int)sizeof raw - 1);
        for (int i = 0; i < length; i++)
            raw[i] = (char)(1 + stream_below(&s, 255));
        raw[length] = '\0';
        text_clean(dst, sizeof dst, raw);
        ck_assert_msg(text_clean(again, sizeof again, dst), "cleaning twice changed \"%s\"", dst);
        for (const char *p = dst; *p != '\0'; p++)
            if ((unsigned char)*p < 0x20 || *p == 0x7F)
                ck_abort_msg("a control character came through");
    }
}
END_TEST

/* General categories from the Unicode Character Database (UnicodeData.txt, third field). */
START_TEST(code_points_are_sorted_by_what_they_do_to_a_terminal)
{
    static const struct {
        uint32_t code;
        enum text_class class;
    } rows[] = {
        {'a',      TEXT_SHOWN  },
        {0x82B1,   TEXT_SHOWN  }, /* Lo, two columns */
        {0x28FF,   TEXT_SHOWN  }, /* So, braille */
        {0x0301,   TEXT_MARK   }, /* Mn, combining acute */
        {' ',      TEXT_SPACE  },
        {'\t',     TEXT_SPACE  },
        {0x2003,   TEXT_SPACE  }, /* Zs, em space */
        {0x2028,   TEXT_SPACE  }, /* Zl, line separator */
        {0xFE0F,   TEXT_DROPPED}, /* Mn, variation selector 16 */
        {0x1B,     TEXT_BAD    },
        {0x9B,     TEXT_BAD    }, /* Cc */
        {0x202E,   TEXT_BAD    }, /* Cf, right-to-left override */
        {0xE000,   TEXT_BAD    }, /* Co */
        {0x10FFFF, TEXT_BAD    }, /* Cn */
        {0x3164,   TEXT_BAD    }, /* Lo, but a Hangul filler */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        ck_assert_msg(text_classify(rows[i].code) == rows[i].class, "U+%04X", rows[i].code);
}
END_TEST

/* Examples of RFC 3629, section 7, and the bounds of its table in section 3. */
START_TEST(code_points_are_written_as_utf8)
{
    static const struct {
        uint32_t code;
        const char *bytes;
    } rows[] = {
        {0x41,     "A"               },
        {0x2262,   "\xE2\x89\xA2"    },
        {0x65E5,   "\xE6\x97\xA5"    },
        {0x233B4,  "\xF0\xA3\x8E\xB4"},
        {0x7F,     "\x7F"            },
        {0x80,     "\xC2\x80"        },
        {0x7FF,    "\xDF\xBF"        },
        {0x800,    "\xE0\xA0\x80"    },
        {0x10000,  "\xF0\x90\x80\x80"},
        {0xD800,   "\xEF\xBF\xBD"    },
        {0x110000, "\xEF\xBF\xBD"    },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char bytes[5] = "";
        int length;
        bytes[text_encode(rows[i].code, bytes)] = '\0';
        ck_assert_str_eq(bytes, rows[i].bytes);
        ck_assert_uint_eq(text_decode(bytes, &length), i < 9 ? rows[i].code : 0xFFFD);
    }
}
END_TEST

/* East Asian Width (Unicode Standard Annex 11) for the wide ones; marks and joining letters as glibc's
 * wcwidth() gives them in its C.UTF-8 locale. */
START_TEST(columns_are_those_of_a_terminal)
{
    static const struct {
        uint32_t code;
        int columns;
    } rows[] = {
        {'a',     1},
        {0xE9,    1},
        {0x82B1,  2},
        {0xAC01,  2},
        {0x1F404, 2},
        {0x28FF,  1},
        {0x2500,  1},
        {0x0301,  0},
        {0x0E31,  0},
        {0x093F,  1},
        {0x1161,  0},
        {0x11A8,  0},
        {0x1160,  0},
        {0x11FF,  0},
        {0xD7B0,  0},
        {0xD7FB,  0},
        {0x1100,  2},
        {0xFF21,  2},
        {0xFFFD,  1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        ck_assert_msg(text_columns(rows[i].code) == rows[i].columns, "U+%04X", rows[i].code);
}
END_TEST

START_TEST(cutting_counts_columns_and_never_splits)
{
    char dst[64];
    ck_assert_int_eq(text_cut(dst, sizeof dst, "Maud", 10, false), 4);
    ck_assert_str_eq(dst, "Maud");
    ck_assert_int_eq(text_cut(dst, sizeof dst, "Buttercup", 5, false), 5);
    ck_assert_str_eq(dst, "Butt…");
    ck_assert_int_eq(text_cut(dst, sizeof dst, "Buttercup", 5, true), 5);
    ck_assert_str_eq(dst, "Butt~");
    ck_assert_int_eq(text_cut(dst, sizeof dst, "花子花子", 4, false),
                     3); /* a wide one does not fit the third column */
    ck_assert_str_eq(dst, "花…");
    ck_assert_int_eq(text_cut(dst, sizeof dst, "e\xCC\x81t", 1, false), 1);
    ck_assert_str_eq(dst, "…");
    ck_assert_int_eq(text_cut(dst, sizeof dst, "e\xCC\x81t", 2, false), 2);
    ck_assert_str_eq(dst, "e\xCC\x81t");
    ck_assert_int_eq(text_cut(dst, sizeof dst, "Maud", 0, false), 0);
    ck_assert_str_eq(dst, "");
    ck_assert_int_eq(text_cut(dst, 5, "Maud", 10, true), 4); /* it and its end: five bytes */
    ck_assert_str_eq(dst, "Maud");
    ck_assert_int_eq(text_cut(dst, 4, "Maud", 10, true), 3);
    ck_assert_str_eq(dst, "Ma~");
    ck_assert_int_eq(text_cut(dst, 4, "Żółw", 10, true), 2);
    ck_assert_str_eq(dst, "Ż~");
}
END_TEST

START_TEST(small_buffers_are_respected)
{
    struct stream s = {11};
    for (int n = 0; n < 5000; n++) {
        char dst[40];
        size_t size = 1 + (size_t)stream_below(&s, 12);
        memset(dst, 'x', sizeof dst);
        (void)text_clean(dst, size, "Réglisse, 花子 and \x1b[1m company");
        ck_assert(strlen(dst) < size);
        ck_assert_int_eq(dst[size], 'x');
        memset(dst, 'x', sizeof dst);
        (void)text_cut(dst, size, "Réglisse, 花子", stream_below(&s, 20), n % 2 == 0);
        ck_assert(strlen(dst) < size);
        ck_assert_int_eq(dst[size], 'x');
    }
}
END_TEST

/* As text.h says: each line as text_clean() has it, the line ends kept. */
START_TEST(lines_are_cleaned_one_by_one)
{
    char dst[16];
    memset(dst, '?', sizeof dst);
    ck_assert(text_clean_lines(dst, sizeof dst, "hay\nand oats\n\nx"));
    ck_assert_str_eq(dst, "hay\nand oats\n\nx");
    ck_assert(!text_clean_lines(dst, sizeof dst, " hay \n\x1b[2J"));
    ck_assert_str_eq(dst, "hay\n\xEF\xBF\xBD[2J");
    ck_assert(!text_clean_lines(dst, sizeof dst, "ab \ncd")); /* only the first line is changed: said all the same */
    memset(dst, '?', sizeof dst);
    ck_assert(!text_clean_lines(dst, 3, "ab\ncd")); /* no room for the line's end */
    ck_assert_str_eq(dst, "ab");
    ck_assert(dst[3] == '?');
    ck_assert(!text_clean_lines(dst, 4, "ab\ncd"));
    ck_assert_str_eq(dst, "ab\n");
    ck_assert(dst[4] == '?');
    ck_assert(text_clean_lines(dst, 6, "ab\ncd"));
    ck_assert(!text_clean_lines(dst, 0, "x"));
}
END_TEST

START_TEST(a_text_just_too_long_is_cut)
{
    char dst[8] = "???????";
    ck_assert(text_clean(dst, 5, "Maud"));
    memset(dst, '?', sizeof dst);
    ck_assert(!text_clean(dst, 4, "Maud"));
    ck_assert_str_eq(dst, "Mau");
    ck_assert(dst[4] == '?');
}
END_TEST

START_TEST(log_text_is_escaped)
{
    char dst[64];
    text_escape(dst, sizeof dst, "Z\xC3\xA9\x1b[\\");
    ck_assert_str_eq(dst, "Z\\xC3\\xA9\\x1B[\\x5C");
    text_escape(dst, 6, "ab\x1b");
    ck_assert_str_eq(dst, "ab");
    text_escape(dst, 7, "ab\x1b"); /* two, four, and the end */
    ck_assert_str_eq(dst, "ab\\x1B");
    text_escape(dst, 3, "abc");
    ck_assert_str_eq(dst, "ab");
    text_escape(dst, sizeof dst, " ~\x7F");
    ck_assert_str_eq(dst, " ~\\x7F");
}
END_TEST

/* The C library is the reference: what it writes with "%.*f" is what must come out. */
static void number_is_as_the_library_writes_it(double value, int decimals)
{
    char wanted[400], got[400] = "";
    (void)snprintf(wanted, sizeof wanted, "%.*f", decimals, value);
    text_add_fixed(got, sizeof got, value, decimals);
    if (strcmp(wanted, got) != 0)
        ck_abort_msg("%a with %d decimals: %s, not %s", value, decimals, got, wanted);
}

START_TEST(numbers_are_written_as_the_c_library_writes_them)
{
    static const double odd[] = {0,       -0.0,    0.5,    1.5,   2.5,       0.05,      0.15,    0.25,     0.995,
                                 1.005,   9.995,   9.9995, 99.5,  999999999, 1e9,       1e9 - 0.4, 1e15,   1e300,
                                 -1e-9,   1e-320,  0.04999999, 0.05000001, (double)INFINITY, (double)NAN, -0.049};
    char small[6] = "ab";
    uint64_t x = 12345; /* the generator of Knuth's MMIX, from memory */
    for (int decimals = -1; decimals <= 7; decimals++) {
        for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
            number_is_as_the_library_writes_it(odd[i], decimals);
            number_is_as_the_library_writes_it(-odd[i], decimals);
        }
        for (int i = 0; i < 20000; i++) {
            x = x * 6364136223846793005u + 1442695040888963407u;
            double value = (double)(int64_t)x / (double)(1ull << (i % 64));
            number_is_as_the_library_writes_it(value, decimals);
            /* Hundredths and halves of thousandths: where rounding is closest. */
            number_is_as_the_library_writes_it((double)(x >> 44) / 100, decimals);
            number_is_as_the_library_writes_it((double)(x >> 44) / 2000, decimals);
        }
    }
    text_add_fixed(small, sizeof small, 12.34, 2);
    ck_assert_str_eq(small, "ab12.");
    text_add_fixed(small, sizeof small, 1, 0);
    ck_assert_str_eq(small, "ab12.");
}
END_TEST

START_TEST(plain_copies_stop_at_their_room)
{
    char dst[5] = "x";
    text_copy(dst, sizeof dst, "abc");
    ck_assert_str_eq(dst, "abc");
    text_add(dst, sizeof dst, "d");
    ck_assert_str_eq(dst, "abcd");
    text_add(dst, sizeof dst, "e");
    ck_assert_str_eq(dst, "abcd");
    text_copy(dst, sizeof dst, "12345678");
    ck_assert_str_eq(dst, "1234");
    text_copy(dst, 0, "z");
    ck_assert_str_eq(dst, "1234");
    text_copy(dst, 1, "z");
    ck_assert_str_eq(dst, "");
}
END_TEST

START_TEST(small_helpers)
{
    char dst[8] = "ab";
    const char *rest;
    ck_assert(text_append(dst, sizeof dst, "%d", 12));
    ck_assert_str_eq(dst, "ab12");
    ck_assert(!text_append(dst, sizeof dst, "%s", "longer"));
    ck_assert(text_same("Maud", "mAUD") && !text_same("Maud", "Mau"));
    ck_assert_int_eq(text_find((const char *const[]){"session", "week"}, 2, "Week"), 1);
    ck_assert_int_eq(text_find((const char *const[]){"session", "week"}, 2, "wee"), -1);
    ck_assert_int_eq(text_find((const char *const[]){"session", "week"}, 0, "week"), -1);
    ck_assert(text_same_name("Brown Swiss", "brown-swiss") && text_same_name("brown_swiss ", "BrownSwiss"));
    ck_assert(!text_same_name("Brown Swiss", "Brown") && !text_same_name("-", "x") &&
              text_same_name("", "-"));
    ck_assert(text_starts("mass=22kg", "mass=", &rest));
    ck_assert_str_eq(rest, "22kg");
    ck_assert(!text_starts("mas", "mass=", NULL));
    ck_assert(text_trim(dst, sizeof dst, "  x y "));
    ck_assert_str_eq(dst, "x y");
    ck_assert(!text_trim(dst, 3, "abcd"));
}
END_TEST

Suite *text_suite(void)
{
    Suite *s = suite_create("text");
    TCase *t = tcase_create("text");
    tcase_add_test(t, names_pass_unchanged);
    tcase_add_test(t, ascii_of_every_kind_is_cleaned_by_the_letter);
    tcase_add_test(t, what_moves_a_terminal_is_replaced);
    tcase_add_test(t, blanks_become_single_spaces_and_go_at_the_ends);
    tcase_add_test(t, a_tower_of_marks_is_cut_to_two);
    tcase_add_test(t, any_bytes_at_all_come_out_clean);
    tcase_add_test(t, code_points_are_sorted_by_what_they_do_to_a_terminal);
    tcase_add_test(t, code_points_are_written_as_utf8);
    tcase_add_test(t, columns_are_those_of_a_terminal);
    tcase_add_test(t, cutting_counts_columns_and_never_splits);
    tcase_add_test(t, small_buffers_are_respected);
    tcase_add_test(t, lines_are_cleaned_one_by_one);
    tcase_add_test(t, a_text_just_too_long_is_cut);
    tcase_add_test(t, log_text_is_escaped);
    tcase_add_test(t, numbers_are_written_as_the_c_library_writes_them);
    tcase_add_test(t, plain_copies_stop_at_their_room);
    tcase_add_test(t, small_helpers);
    suite_add_tcase(s, t);
    return s;
}
