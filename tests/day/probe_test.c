/* Probes: a made-up tree of the kernel's files, pointing, what is stored, and what never is. */
#include "core/day/journal_view.h"
#include "core/day/probes.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#include <sys/stat.h>

#include "core/base/file.h"

static const char *tree_file(const char *folder, const char *name, const char *text)
{
    static char path[512];
    struct fail f = {0};
    (void)snprintf(path, sizeof path, "%s/%s", scratch_path("sys"), folder);
    ck_assert_msg(file_make_folders(path, &f) == 0, "%s", f.text);
    (void)snprintf(path, sizeof path, "%s/%s/%s", scratch_path("sys"), folder, name);
    ck_assert_msg(file_replace(path, text, strlen(text), &f) == 0, "%s", f.text);
    return path;
}

START_TEST(every_kind_of_file_of_the_kernel_is_read)
{
    double c = 0;
    struct fail f = {0};
    /* 85.0, 25.0625 and -10.125 °C are rows of the DS18B20 data sheet's table of outputs; here 25.0625 = 0x0191.
     * The checksum is of the eight bytes before it, by Maxim's CRC-8 (core/cooling/probe_test holds it against
     * Maxim's own example). */
    const uint8_t bytes[8] = {0x91, 0x01, 0x4b, 0x46, 0x7f, 0xff, 0x0f, 0x10};
    char text[200];
    uint8_t crc = probe_crc8(bytes, 8);
    (void)snprintf(text, sizeof text,
                   "91 01 4b 46 7f ff 0f 10 %02x : crc=%02x YES\n91 01 4b 46 7f ff 0f 10 %02x t=25062\n", crc, crc, crc);
    ck_assert_int_eq(probe_file_read(tree_file("w1/28-1", "w1_slave", text), &c, &f), 0);
    ck_within(c, 25.0625, 0.001);
    /* A wrong checksum, although the kernel's own word says YES. */
    (void)snprintf(text, sizeof text,
                   "91 01 4b 46 7f ff 0f 10 %02x : crc=%02x YES\n91 01 4b 46 7f ff 0f 10 %02x t=25062\n", crc ^ 1, crc ^ 1,
                   crc ^ 1);
    ck_assert_int_eq(probe_file_read(tree_file("w1/28-1", "w1_slave", text), &c, &f), -1);
    ck_assert_int_eq(probe_file_read(tree_file("w1/28-1", "temperature", "3312\n"), &c, &f), 0);
    ck_within(c, 3.312, 1e-9);
    ck_assert_int_eq(probe_file_read(tree_file("hwmon0", "temp1_input", "-1250\n"), &c, &f), 0);
    ck_within(c, -1.25, 1e-9);
    /* (raw + offset) * scale thousandths: (2000 - 500) * 2.5 = 3750 (sysfs-bus-iio). */
    (void)tree_file("iio", "in_temp_offset", "-500\n");
    (void)tree_file("iio", "in_temp_scale", "2.5\n");
    ck_assert_int_eq(probe_file_read(tree_file("iio", "in_temp_raw", "2000\n"), &c, &f), 0);
    ck_within(c, 3.75, 1e-9);
    /* Gone, empty, no number, no probe. */
    ck_assert_int_eq(probe_file_read(scratch_path("temp9_input"), &c, &f), -1);
    ck_assert(strstr(f.text, "cannot be read") != NULL);
    ck_assert_int_eq(probe_file_read(tree_file("hwmon1", "temp1_input", ""), &c, &f), -1);
    ck_assert_int_eq(probe_file_read(tree_file("hwmon1", "temp1_input", "warm\n"), &c, &f), -1);
    ck_assert_int_eq(probe_file_read("/etc/passwd", &c, &f), -1);
    ck_assert(strstr(f.text, "no file in which the kernel shows a temperature") != NULL);
}
END_TEST

START_TEST(the_probes_of_a_computer_are_found_each_once)
{
    struct probes_found *found = calloc(1, sizeof *found);
    (void)tree_file("sys/bus/w1/devices/28-00000a1b2c3d", "w1_slave", "x");
    (void)tree_file("sys/bus/w1/devices/28-00000a1b2c3d", "temperature", "1000");
    (void)tree_file("sys/bus/w1/devices/w1_bus_master1", "temperature", "1000"); /* the bus is no probe */
    (void)tree_file("sys/bus/iio/devices/iio:device0", "in_temp_raw", "1");
    (void)tree_file("sys/class/hwmon/hwmon2", "temp3_input", "1");
    (void)tree_file("sys/class/hwmon/hwmon2", "temp3_max", "1");
    probe_files_find(scratch_path("sys"), found);
    ck_assert_uint_eq(found->count, 3);
    ck_assert(strstr(found->path[0], "28-00000a1b2c3d/temperature") != NULL);
    ck_assert(strstr(found->path[1], "in_temp_raw") != NULL);
    ck_assert(strstr(found->path[2], "temp3_input") != NULL);
    free(found);
}
END_TEST

#define FRIDGE "path=/sys/x/28-1/temperature"
#define JAR    "path=/sys/x/28-2/temperature"

START_TEST(a_probe_is_pointed_moved_and_taken_out)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    struct probe_list list;
    char text[64];
    rig_refused(d, "2026-05-03T05:00", "probe", "path=x/temperature  at_place=fridge", "the whole path");
    rig_refused(d, "2026-05-03T05:00", "probe", "path=/etc/passwd  at_place=fridge", "no file in which the kernel");
    rig_refused(d, "2026-05-03T05:00", "probe", FRIDGE, "Say what it hangs in");
    rig_refused(d, "2026-05-03T05:00", "probe", FRIDGE "  at_place=tub  remove=yes", "Say what it hangs in");
    rig_refused(d, "2026-05-03T05:00", "probe", FRIDGE "  remove=yes", "No such probe");
    rig_do(d, "2026-05-03T05:00", "probe", FRIDGE "  at_place=tub");
    rig_do(d, "2026-05-03T05:01", "probe", FRIDGE "  at_place=fridge");
    ck_assert_int_eq(dairy_probes(d, rig_at("2026-05-03T05:02"), &list, NULL), 0);
    ck_assert_uint_eq(list.count, 1);
    ck_assert_str_eq(probe_use_text(&list.use[0], text, sizeof text), "the refrigerator");
    rig_do(d, "2026-05-03T05:03", "probe", FRIDGE "  remove=yes");
    ck_assert_int_eq(dairy_probes(d, rig_at("2026-05-03T05:04"), &list, NULL), 0);
    ck_assert_uint_eq(list.count, 0);
    dairy_close(d);
}
END_TEST

START_TEST(the_refrigerators_probe_stands_for_the_usual_temperature)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    struct act_done done;
    struct fail f = {0};
    rig_do(d, "2026-05-03T05:00", "probe", FRIDGE "  at_place=fridge");
    rig_do(d, "2026-05-03T05:01", "probed", FRIDGE "  temp=41F");
    const struct board *b = rig_board(d, "2026-05-03T05:02");
    ck_within(b->fridge_c, 5, 1e-9);
    ck_assert(b->fridge_read);
    /* What it reads is nobody's last act. */
    ck_assert(strstr(b->last_act, "a probe hangs in the refrigerator") != NULL);
    ck_assert_int_eq(dairy_undo(d, 0, rig_at("2026-05-03T05:03"), &done, &f), 0);
    ck_assert(strstr(done.what, "a probe hangs in") != NULL);
    rig_refused(d, "2026-05-03T05:04", "probed", FRIDGE "  temp=41F", "No such probe");
    dairy_close(d);
}
END_TEST

START_TEST(a_day_of_a_probe_is_small)
{
    /* A refrigerator that swings by 1.2 K with its compressor, forty minutes a turn, read every ten seconds; its
     * door is opened twice. 8640 readings. */
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    struct journal_view *v = calloc(1, sizeof *v);
    int stored = 0;
    struct thin_reading last = {-INFINITY, NAN};
    struct probe_list list;
    struct instant from = rig_at("2026-05-03T00:00");
    rig_do(d, "2026-05-03T00:00", "probe", FRIDGE "  at_place=fridge");
    ck_assert_int_eq(dairy_probes(d, from, &list, NULL), 0);
    for (int s = 10; s <= 86400; s += 10) {
        double door = (s / 60 >= 430 && s / 60 < 440) || (s / 60 >= 1100 && s / 60 < 1105) ? 4 : 0;
        struct thin_reading next = {(double)(from.s + s), 3.5 + 0.6 * sin(s * 6.2831853 / 2400) + door};
        if (isfinite(last.at) && !probe_worth_storing(&list.use[0], &last, &next))
            continue;
        char at[32], words[120];
        (void)snprintf(at, sizeof at, "2026-05-03T%02d:%02d:%02d", s / 3600 % 24, s / 60 % 60, s % 60);
        if (s == 86400)
            break;
        (void)snprintf(words, sizeof words, FRIDGE "  temp=%.3fC", next.temp_c);
        rig_do(d, at, "probed", words);
        last = next;
        stored++;
    }
    ck_assert_msg(stored >= 12 && stored <= 40, "%d stored", stored); /* every two hours, and the doors */
    ck_assert_int_eq(dairy_journal(d, rig_at("2026-05-04T01:00"), 0, v, NULL), 0);
    for (size_t i = 0; i < v->entries; i++)
        ck_assert_str_ne(v->entry[i].kind, "probed");
    free(v);
    dairy_close(d);
}
END_TEST

START_TEST(a_probe_in_a_jar_corrects_the_forecast_like_a_reading_by_hand)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T05:30", "ice", "mass=40lb");
    rig_do(d, "2026-05-03T06:00", "milk", "cow=Maud  mass=36lb  strip=clean");
    rig_do(d, "2026-05-03T06:10", "pour", "jars=4xhalf-gallon  temp=35C");
    rig_do(d, "2026-05-03T06:11", "probe", JAR "  batch=A");
    double before = rig_board(d, "2026-05-03T06:31")->batch[0].forecast.to_limit.at;
    rig_do(d, "2026-05-03T06:20", "probed", JAR "  temp=29C");
    rig_do(d, "2026-05-03T06:30", "probed", JAR "  temp=24C"); /* a slow tub */
    const struct board *b = rig_board(d, "2026-05-03T06:31");
    ck_assert_uint_eq(b->batch[0].readings, 2);
    ck_assert(b->batch[0].reading[0].probe && b->batch[0].forecast.now_read);
    ck_assert(b->batch[0].forecast.to_limit.at > before + 300);
    rig_refused(d, "2026-05-03T06:32", "probed", JAR "  temp=24.1C", "no news");
    rig_refused(d, "2026-05-03T06:33", "probed", JAR "  temp=40C", "more than it was poured at");
    rig_refused(d, "2026-05-03T20:33", "probed", JAR "  temp=4C", "not followed");
    dairy_close(d);
}
END_TEST

Suite *probe_suite(void)
{
    Suite *s = suite_create("probe");
    TCase *t = tcase_create("probe");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, every_kind_of_file_of_the_kernel_is_read);
    tcase_add_test(t, the_probes_of_a_computer_are_found_each_once);
    tcase_add_test(t, a_probe_is_pointed_moved_and_taken_out);
    tcase_add_test(t, the_refrigerators_probe_stands_for_the_usual_temperature);
    tcase_add_test(t, a_day_of_a_probe_is_small);
    tcase_add_test(t, a_probe_in_a_jar_corrects_the_forecast_like_a_reading_by_hand);
    suite_add_tcase(s, t);
    return s;
}
