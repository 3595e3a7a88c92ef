/* Probes on the screen: what a made-up file of the kernel shows comes up by itself, and nonsense is shown but
 * never stored. The probes are read by a thread of their own, so the tests wait for what they expect to see. */
#include <unistd.h>

#include "core/base/file.h"
#include "core/cooling/probe.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"
#include "tests/tui/board_rig.h"
#include "tui/probe_desk.h"

static char probe_path[400];

static void show(const char *text)
{
    struct fail f = {0};
    ck_assert_msg(file_replace(probe_path, text, strlen(text), &f) == 0, "%s", f.text);
}

/* Turns until the screen says so; a minute is long. */
static bool comes_up(struct board_rig *rig, const char *words)
{
    for (int i = 0; i < 3000 && !tty_shows(&rig->tty, words); i++) {
        (void)usleep(20000);
        tty_turn(&rig->tty);
    }
    return tty_shows(&rig->tty, words);
}

START_TEST(a_probe_in_a_jar_shows_up_and_its_nonsense_is_never_stored)
{
    struct board_rig rig;
    char words[500];
    (void)snprintf(probe_path, sizeof probe_path, "%s", scratch_path("temperature"));
    show("14222\n"); /* 57.6 °F */
    const char *db = demo_copy("demo.db");
    struct dairy *d = rig_open("demo.db");
    (void)snprintf(words, sizeof words, "path=%s  batch=A", probe_path);
    rig_do(d, DEMO_AT, "probe", words);
    dairy_close(d);
    board_rig_open(&rig, db, DEMO_AT, &usual_terminal, 30, 100);
    probe_desk_close(&rig.app); /* opened with the usual pace */
    rig.app.probe_round_ms = 20;
    probe_desk_renew(&rig.app);
    ck_assert(comes_up(&rig, "57.6 °F ↓ probe"));
    tty_turn(&rig.tty);
    size_t readings = rig.app.board->batch[0].readings;
    ck_assert_uint_eq(readings, 2); /* one by hand, and this */
    /* Power came back: 85 °C is what such a probe shows before it has measured. */
    show("85000\n");
    ck_assert(comes_up(&rig, "probe A: just powered up"));
    show("-127000\n");
    tty_keys(&rig.tty, "Tab Enter"); /* the batch page tells it in full */
    ck_assert(comes_up(&rig, "probe: impossible"));
    (void)unlink(probe_path);
    ck_assert(comes_up(&rig, "probe: no answer"));
    ck_assert_uint_eq(rig.app.board->batch[0].readings, readings);
    show("14000\n");
    ck_assert(comes_up(&rig, "now, probe"));
    board_rig_close(&rig);
}
END_TEST

/* What the kernel's w1_slave file shows of a temperature in sixteenths of a degree; `garble` spoils the checksum that was
 * sent, although the kernel's word says YES. */
static void show_w1(int sixteenths, int garble)
{
    const uint8_t bytes[8] = {(uint8_t)(sixteenths & 0xff), (uint8_t)(sixteenths >> 8), 0x4b, 0x46, 0x7f, 0xff, 0x0c, 0x10};
    char hex[40] = "", text[200];
    for (int i = 0; i < 8; i++)
        (void)snprintf(hex + 3 * i, sizeof hex - 3 * (size_t)i, "%02x ", bytes[i]);
    int crc = probe_crc8(bytes, 8) ^ garble;
    (void)snprintf(text, sizeof text, "%s%02x : crc=%02x YES\n%s%02x t=%d\n", hex, crc, crc, hex, crc, sixteenths * 1000 / 16);
    show(text);
}

START_TEST(a_wire_that_garbles_and_a_figure_that_stands_still_are_named_and_not_stored)
{
    struct board_rig rig;
    char words[500];
    (void)snprintf(probe_path, sizeof probe_path, "%s", scratch_path("w1_slave"));
    show_w1(228, 0); /* 14.25 °C, 57.6 °F */
    const char *db = demo_copy("demo.db");
    struct dairy *d = rig_open("demo.db");
    (void)snprintf(words, sizeof words, "path=%s  batch=A", probe_path);
    rig_do(d, DEMO_AT, "probe", words);
    dairy_close(d);
    board_rig_open(&rig, db, DEMO_AT, &usual_terminal, 30, 100);
    probe_desk_close(&rig.app);
    rig.app.probe_round_ms = 20;
    probe_desk_renew(&rig.app);
    ck_assert(comes_up(&rig, "57.6 °F ↓ probe"));
    tty_turn(&rig.tty);
    size_t readings = rig.app.board->batch[0].readings;
    show_w1(160, 0x40); /* 10 °C, garbled on its way */
    tty_keys(&rig.tty, "Tab Enter");
    ck_assert(comes_up(&rig, "probe: no answer"));
    ck_assert_uint_eq(rig.app.board->batch[0].readings, readings);
    /* The same sixteenth for over ten minutes, in milk that should be falling. */
    show_w1(228, 0);
    ck_assert(comes_up(&rig, "now, probe"));
    tty_keys(&rig.tty, "wait:660");
    ck_assert(comes_up(&rig, "probe: frozen"));
    readings = rig.app.board->batch[0].readings;
    show_w1(196, 0); /* 12.25 °C: it lives again */
    ck_assert(comes_up(&rig, "now, probe"));
    ck_assert_uint_eq(rig.app.board->batch[0].readings, readings + 1);
    board_rig_close(&rig);
}
END_TEST

Suite *probe_suite(void)
{
    Suite *s = suite_create("probe");
    TCase *t = tcase_create("probe");
    tcase_add_unchecked_fixture(t, demo_master_open, demo_master_close);
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_set_timeout(t, 240);
    tcase_add_test(t, a_wire_that_garbles_and_a_figure_that_stands_still_are_named_and_not_stored);
    tcase_add_test(t, a_probe_in_a_jar_shows_up_and_its_nonsense_is_never_stored);
    suite_add_tcase(s, t);
    return s;
}
