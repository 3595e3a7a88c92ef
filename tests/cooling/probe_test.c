/* Probes: text as the kernel's documentation gives it (w1/slaves/w1_therm.rst, hwmon/sysfs-interface.rst,
 * ABI/testing/sysfs-bus-iio), good and broken, and what is believed of it. */
#include "core/cooling/probe.h"

#include "tests/support.h"

START_TEST(paths_say_what_they_are)
{
    static const struct {
        const char *path;
        enum probe_kind kind;
    } rows[] = {
        {"/sys/bus/w1/devices/28-000005e2fdc3/w1_slave", PROBE_W1_SLAVE},
        {"/sys/bus/w1/devices/28-000005e2fdc3/temperature", PROBE_MILLIDEGREE},
        {"/sys/class/hwmon/hwmon3/temp1_input", PROBE_MILLIDEGREE},
        {"/sys/class/hwmon/hwmon3/temp12_input", PROBE_MILLIDEGREE},
        {"/sys/bus/iio/devices/iio:device0/in_temp_input", PROBE_MILLIDEGREE},
        {"/sys/bus/iio/devices/iio:device0/in_temp_raw", PROBE_IIO_RAW},
        {"/sys/bus/iio/devices/iio:device0/in_temp0_raw", PROBE_IIO_RAW},
        {"w1_slave", PROBE_W1_SLAVE},
        {"/sys/class/hwmon/hwmon3/temp_input", PROBE_NONE},
        {"/sys/class/hwmon/hwmon3/temp1_max", PROBE_NONE},
        {"/etc/passwd", PROBE_NONE},
        {"", PROBE_NONE},
        {"/dev/w1_slave/", PROBE_NONE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        ck_assert_msg(probe_kind_of_path(rows[i].path) == rows[i].kind, "%s", rows[i].path);
}
END_TEST

START_TEST(checksums_are_those_of_the_chips_makers)
{
    /* Maxim application note 27: the ROM code 02 1C B8 01 00 00 00 has the checksum A2. */
    static const uint8_t rom[] = {0x02, 0x1C, 0xB8, 0x01, 0, 0, 0};
    ck_assert_int_eq(probe_crc8(rom, 7), 0xA2);
    /* CRC-8/MAXIM of the digits 1 to 9 is A1 (catalogue of parametrised CRCs). */
    ck_assert_int_eq(probe_crc8((const uint8_t *)"123456789", 9), 0xA1);
    ck_assert_int_eq(probe_crc8(rom, 0), 0);
}
END_TEST

START_TEST(w1_slave_is_read)
{
    /* Common printed examples; the second line's bytes repeat the first's. */
    static const struct {
        const char *text;
        double c;
    } good[] = {
        {"72 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n72 01 4b 46 7f ff 0e 10 57 t=23125\n", 23.125},
        {"50 05 4b 46 7f ff 0c 10 1c : crc=1c YES\n50 05 4b 46 7f ff 0c 10 1c t=85000\n", 85},
    };
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        double c = NAN;
        struct fail f = {0};
        ck_assert_msg(probe_read_w1(good[i].text, &c, &f) == 0, "%s", f.text);
        ck_within(c, good[i].c, 1e-12);
    }
}
END_TEST

START_TEST(a_broken_w1_slave_is_never_a_reading)
{
    static const char *const bad[] = {
        "",
        "\n",
        "72 01 4b 46 7f ff 0e 10 57 : crc=57 NO\n72 01 4b 46 7f ff 0e 10 57 t=23125\n",
        "73 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n73 01 4b 46 7f ff 0e 10 57 t=23187\n", /* a bit flipped
                                                                                            after the check */
        "72 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n", /* cut before the temperature */
        "72 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n72 01 4b 46 7f ff 0e 10 57 t=\n",
        "72 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n72 01 4b 46 7f ff 0e 10 57 t=23x\n",
        "72 01 4b 46 7f ff 0e",
        "00 00 00 00 00 00 00 00 00 : crc=00 YES\n00 00 00 00 00 00 00 00 00 t=0\n", /* shorted: its checksum
                                                                                        is good */
        "ff ff ff ff ff ff ff ff ff : crc=c9 NO\nff ff ff ff ff ff ff ff ff t=-62\n",
        "zz 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n t=23125\n",
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        double c = 7;
        struct fail f = {0};
        ck_assert_msg(probe_read_w1(bad[i], &c, &f) == -1, "%zu was taken", i);
        ck_assert(c == 7 && f.text[0] != '\0');
    }
}
END_TEST

START_TEST(every_single_bit_error_is_caught)
{
    const char *good = "72 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n72 01 4b 46 7f ff 0e 10 57 t=23125\n";
    const char *digits = "0123456789abcdef";
    char text[200];
    for (int place = 0; place < 26; place++)
        for (int bit = 0; bit < 4; bit++) {
            double c;
            if (good[place] == ' ')
                continue;
            (void)snprintf(text, sizeof text, "%s", good);
            text[place] = digits[(strchr(digits, good[place]) - digits) ^ (1 << bit)];
            if (probe_read_w1(text, &c, NULL) == 0)
                ck_abort_msg("digit %d, bit %d was taken", place, bit);
        }
}
END_TEST

START_TEST(thousandths_and_iio_are_read)
{
    double c;
    struct fail f = {0};
    ck_assert(probe_read_millidegree("23125\n", &c, &f) == 0 && fabs(c - 23.125) < 1e-12);
    ck_assert(probe_read_millidegree("-1250", &c, &f) == 0 && fabs(c + 1.25) < 1e-12);
    static const char *const bad[] = {"",    "\n",  "23.1\n",         "12x", "0x10",
                                      "nan", "--5", "99999999999999", "1 2"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        c = 7;
        ck_assert_msg(probe_read_millidegree(bad[i], &c, &f) == -1, "\"%s\" was taken", bad[i]);
        ck_assert(c == 7);
    }
    /* ABI: (raw + offset) * scale thousandths of a degree. */
    ck_assert(probe_read_iio("1000\n", "-200\n", "10.5\n", &c, &f) == 0 && fabs(c - 8.4) < 1e-12);
    ck_assert(probe_read_iio("370", NULL, "62.5", &c, &f) == 0 && fabs(c - 23.125) < 1e-12);
    ck_assert(probe_read_iio("21000", NULL, NULL, &c, &f) == 0 && fabs(c - 21) < 1e-12);
    static const char *const bad_iio[] = {"", "inf", "nan", "0x1p3", "12 13", "abc", "1e999"};
    for (size_t i = 0; i < sizeof bad_iio / sizeof bad_iio[0]; i++) {
        c = 7;
        ck_assert_msg(probe_read_iio(bad_iio[i], NULL, NULL, &c, &f) == -1, "\"%s\" was taken", bad_iio[i]);
        ck_assert(probe_read_iio("100", bad_iio[i], NULL, &c, &f) == -1);
        ck_assert(probe_read_iio("100", NULL, bad_iio[i], &c, &f) == -1 && c == 7);
    }
}
END_TEST

START_TEST(what_a_probe_says_is_believed_only_when_it_can_be)
{
    struct probe_watch w;
    probe_watch_init(&w);
    ck_assert_int_eq(w.state, PROBE_WAITING);
    ck_assert_int_eq(probe_take(&w, 0, 85, true), PROBE_FRESH); /* the figure before the first measurement */
    ck_assert(isnan(w.temp_c));
    ck_assert_int_eq(probe_take(&w, 1, 34.5, true), PROBE_GOOD);
    ck_assert_int_eq(probe_take(&w, 2, 34.4, true), PROBE_GOOD);
    ck_assert_int_eq(probe_take(&w, 3, 85, true), PROBE_FRESH); /* power was lost for a moment */
    ck_assert(w.temp_c == 34.4);
    ck_assert_int_eq(probe_take(&w, 4, 12, true), PROBE_JUMPED);
    ck_assert(w.temp_c == 34.4);
    ck_assert_int_eq(probe_take(&w, 5, 34.2, true), PROBE_GOOD); /* it was one wild figure */
    ck_assert_int_eq(probe_take(&w, 6, 12, true), PROBE_JUMPED);
    ck_assert_int_eq(probe_take(&w, 7, 11.5, true), PROBE_GOOD); /* confirmed: it was put elsewhere */
    ck_assert(w.temp_c == 11.5);
    ck_assert_int_eq(probe_take(&w, 8, 400, true), PROBE_WILD);
    ck_assert_int_eq(probe_take(&w, 9, NAN, true), PROBE_WILD);
    ck_assert(w.temp_c == 11.5);
}
END_TEST

START_TEST(wash_water_at_85_is_a_reading_when_it_comes_from_84)
{
    struct probe_watch w;
    probe_watch_init(&w);
    ck_assert_int_eq(probe_take(&w, 0, 84.2, true), PROBE_GOOD);
    ck_assert_int_eq(probe_take(&w, 1, 85, true), PROBE_GOOD);
}
END_TEST

START_TEST(a_figure_that_stands_still_is_frozen_where_it_should_move)
{
    struct probe_watch w;
    probe_watch_init(&w);
    for (int s = 0; s < 600; s += 10)
        ck_assert_int_eq(probe_take(&w, s, 20.125, true), PROBE_GOOD);
    ck_assert_int_eq(probe_take(&w, 600, 20.125, true), PROBE_FROZEN);
    ck_assert_int_eq(probe_take(&w, 610, 20.0625, true), PROBE_GOOD);
    probe_watch_init(&w);
    for (int s = 0; s < 7200; s += 10) /* a refrigerator may well stand still */
        ck_assert_int_eq(probe_take(&w, s, 4, false), PROBE_GOOD);
}
END_TEST

START_TEST(a_probe_that_vanishes_is_said_to_be_gone)
{
    struct probe_watch w;
    probe_watch_init(&w);
    (void)probe_take(&w, 0, 20, true);
    ck_assert_int_eq(probe_miss(&w, 1), PROBE_GOOD);
    ck_assert_int_eq(probe_miss(&w, 2), PROBE_GOOD);
    ck_assert_int_eq(probe_miss(&w, 3), PROBE_SILENT);
    ck_assert_int_eq(probe_miss(&w, 4), PROBE_SILENT);
    ck_assert_int_eq(probe_take(&w, 5, 19.9, true), PROBE_GOOD);
    ck_assert_str_eq(probe_state_word(PROBE_SILENT), "no answer");
}
END_TEST

START_TEST(thinning_keeps_the_ends_and_the_bends)
{
    struct thin_reading r[200];
    for (int i = 0; i < 200; i++)
        r[i] = (struct thin_reading){i * 30, 1 + 34 * exp(-0.06 * i / 2)};
    r[90].temp_c += 8; /* a spike is a bend, and stays to be judged */
    size_t n = reading_thin(r, 200, 40);
    ck_assert_int_eq(n, 40);
    ck_assert(r[0].at == 0 && r[39].at == 199 * 30);
    bool spike = false;
    double worst = 0;
    for (size_t i = 0; i < n; i++) {
        spike = spike || r[i].at == 90 * 30;
        ck_assert(i == 0 || r[i].at > r[i - 1].at);
    }
    ck_assert(spike);
    for (int i = 0; i < 199 * 30; i++) { /* straight lines between what is left stay near the curve */
        size_t k = 0;
        while (r[k + 1].at < i)
            k++;
        double line = r[k].temp_c + (r[k + 1].temp_c - r[k].temp_c) * (i - r[k].at) / (r[k + 1].at - r[k].at);
        if (i < 89 * 30 || i > 91 * 30)
            worst = fmax(worst, fabs(line - (1 + 34 * exp(-0.001 * i))));
    }
    ck_assert_msg(worst < 0.25, "worst %g", worst);
    ck_assert_int_eq(reading_thin(r, 2, 2), 2);
    ck_assert_int_eq(reading_thin(r, 5, 40), 5);
}
END_TEST

START_TEST(a_reading_is_stored_when_it_says_something)
{
    struct thin_reading a = {0, 20}, near = {30, 20.05}, far = {30, 20.3}, later = {301, 20};
    ck_assert(!reading_worth_storing(&a, &near, 0.2, 300));
    ck_assert(reading_worth_storing(&a, &far, 0.2, 300));
    ck_assert(reading_worth_storing(&a, &later, 0.2, 300));
}
END_TEST

Suite *probe_suite(void)
{
    Suite *s = suite_create("probe");
    TCase *t = tcase_create("probe");
    tcase_add_test(t, paths_say_what_they_are);
    tcase_add_test(t, checksums_are_those_of_the_chips_makers);
    tcase_add_test(t, w1_slave_is_read);
    tcase_add_test(t, a_broken_w1_slave_is_never_a_reading);
    tcase_add_test(t, every_single_bit_error_is_caught);
    tcase_add_test(t, thousandths_and_iio_are_read);
    tcase_add_test(t, what_a_probe_says_is_believed_only_when_it_can_be);
    tcase_add_test(t, wash_water_at_85_is_a_reading_when_it_comes_from_84);
    tcase_add_test(t, a_figure_that_stands_still_is_frozen_where_it_should_move);
    tcase_add_test(t, a_probe_that_vanishes_is_said_to_be_gone);
    tcase_add_test(t, thinning_keeps_the_ends_and_the_bends);
    tcase_add_test(t, a_reading_is_stored_when_it_says_something);
    suite_add_tcase(s, t);
    return s;
}
