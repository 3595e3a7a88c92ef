/* Everything that can be looked at in the invented dairy, whose records have a bit of everything, and its copies. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/file.h"
#include "core/day/ahead.h"
#include "core/day/cow_card.h"
#include "core/day/cow_page.h"
#include "core/day/feed_view.h"
#include "core/day/herd_view.h"
#include "core/day/journal_view.h"
#include "core/day/setup_view.h"
#include "core/day/shelf.h"
#include "core/day/supply_view.h"
#include "core/day/wash_view.h"
#include "demo/dairy.h"
#include "src/show.h"
#include "tests/day/rig.h"
#include "tests/refusals/refuse.h"
#include "tests/scratch.h"
#include "tests/support.h"

enum { WORDS_MAX = 8, PLACES_LEAST = 1000 };

static void fill(const char *name)
{
    struct dairy *d = NULL;
    struct fail f = {0};
    ck_assert_msg(dairy_open(scratch_path(name), DAIRY_SCRATCH, &d, &f) == 0, "%s", f.text);
    ck_assert_msg(demo_fill(d, 1, &f) == 0, "%s", f.text);
    dairy_close(d);
}

/* ---- the refusing itself ---- */

__attribute__((noinline)) static void *ask_here(void)
{
    void *p = malloc(1);
    if (p != NULL)
        memset(p, 0, 1);
    return p;
}

__attribute__((noinline)) static void *ask_there(void)
{
    void *p = ask_here();
    return p;
}

/* Not inlined, since each copy of the call would be a place of its own. */
__attribute__((noinline)) static bool is_refused(void *(*ask)(void))
{
    refuse_begin(__builtin_frame_address(0));
    void *p = ask();
    bool refused = refuse_end();
    ck_assert(refused == (p == NULL));
    free(p);
    return refused;
}

START_TEST(each_place_is_refused_once_and_two_callers_are_two_places)
{
    long before = refuse_places();
    ck_assert(is_refused(ask_here));
    ck_assert(is_refused(ask_there));
    ck_assert(!is_refused(ask_here));
    ck_assert(!is_refused(ask_there));
    ck_assert_int_eq(refuse_places(), before + 2);
    void *p = ask_here(); /* nothing outside a trial */
    ck_assert(p != NULL);
    free(p);
}
END_TEST

/* ---- the invented dairy ---- */

/* As `springhouse show` does it, with its own example; once as text and once as JSON. */
static void show(struct dairy *d, const struct show_what *what, bool json)
{
    char text[200], *word[WORDS_MAX];
    struct fail f = {0};
    struct call call = {.now = demo_now(), .json = json, .argv = word};
    snprintf(text, sizeof text, "%s %s", what->name, what->example);
    for (char *rest = text, *w; (w = strtok_r(rest, " ", &rest)) != NULL && call.argc < WORDS_MAX;)
        word[call.argc++] = w;
    ck_assert_msg(what->show(&call, d, UNITS_US, &f) == 0, "show %s: %s", what->name, f.text);
}

START_TEST(whatever_can_be_shown)
{
    struct dairy *d = NULL;
    struct fail f = {0};
    const struct show_what *what;
    ck_assert(freopen("/dev/null", "w", stdout) != NULL);
    fill("demo.db");
    for (size_t i = 0; (what = show_at(i)) != NULL; i++) {
        ck_assert_msg(dairy_open(scratch_path("demo.db"), DAIRY_READ, &d, &f) == 0, "%s", f.text);
        show(d, what, false);
        show(d, what, true);
        dairy_close(d);
    }
    ck_assert_int_gt(refuse_places(), PLACES_LEAST);
}
END_TEST

/* ---- what lies behind the figures ---- */

/* Every working of every figure that somebody can ask for: it says how the figure came about, or why there is none. */
static struct working w;
static struct fail why;

static void told(int result, const char *of)
{
    ck_assert_msg(result == 0 || why.code == FAIL_REFUSED, "%s: %s", of, why.text);
    ck_assert_msg(result != 0 || w.title[0] != '\0' || w.result_count + w.given_count + w.step_count > 0 || w.why[0] != '\0',
                  "%s: nothing is told", of);
    working_init(&w, "");
}

static void ask_her_page(struct dairy *d, const char *name)
{
    static struct cow_page page;
    static struct cow_card card;
    int64_t id;
    ck_assert_int_eq(dairy_find_cow(d, name, &id, &why), 0);
    for (int n = PAGE_NOW; n < 2; n++) {
        ck_assert_msg(dairy_cow_page(d, id, demo_now(), n, &page, &why) == 0, "%s: %s", name, why.text);
        for (size_t i = 0; i < page.figures; i++)
            told(cow_page_explain(d, &page, &page.figure[i], &w, &why), page.figure[i].text);
        if (page.days > 0)
            told(cow_page_explain_day(d, &page, page.day[page.days / 2].on, &w, &why), name);
    }
    told(board_explain_cow(d, id, demo_now(), &w, &why), name);
    told(board_explain_hold(d, id, demo_now(), &w, &why), name);
    ck_assert_msg(dairy_cow_card(d, id, demo_now(), &card, &why) == 0, "%s: %s", name, why.text);
}

static void ask_the_bench(struct dairy *d, struct instant now)
{
    static struct wash_view v;
    ck_assert_int_eq(dairy_wash(d, now, &v, &why), 0);
    told(wash_explain_mix(d, now, &w, &why), "the mix");
    told(wash_explain_sink(d, now, &w, &why), "the sink");
    for (size_t i = 0; i < v.parts; i++)
        told(wash_explain_part(d, now, v.part[i].name, &w, &why), v.part[i].name);
    for (int m = 0; m < LAB_MEASURES; m++)
        told(wash_explain_measure(d, now, (enum lab_measure)m, &w, &why), "the laboratory");
}

static void ask_the_year(struct dairy *d, struct instant now)
{
    static struct ahead_view ahead;
    static struct supply_view supply;
    static struct feed_view feed;
    ck_assert_int_eq(dairy_ahead(d, now, &ahead, &why), 0);
    ck_assert_uint_gt(ahead.rows, 0);
    for (size_t i = 0; i < ahead.rows; i++)
        told(ahead_explain(d, &ahead, i, &w, &why), ahead.row[i].words);
    ck_assert_int_eq(dairy_supply(d, now, &supply, &why), 0);
    told(supply_explain(d, now, &w, &why), "the year");
    for (size_t i = 0; i < supply.gaps; i++)
        told(supply_explain_gap(d, now, i, &w, &why), "a gap");
    ck_assert_int_eq(dairy_feed(d, now, &feed, &why), 0);
    for (size_t i = 0; i < feed.cows; i++)
        told(feed_explain_cow(d, &feed, i, &w, &why), "a ration");
    for (size_t i = 0; i < feed.stocks; i++)
        told(feed_explain_stock(d, &feed, i, &w, &why), "a feed");
}

static void ask_the_board(struct dairy *d, struct instant now)
{
    static struct board board;
    static struct shelf_view shelf;
    ck_assert_int_eq(dairy_board(d, now, &board, &why), 0);
    for (size_t i = 0; i < board.batches; i++)
        told(board_explain_batch(d, &board, i, &w, &why), board.batch[i].code);
    for (size_t i = 0; i < board.stalls; i++)
        if (!board.stall[i].empty)
            ask_her_page(d, board.stall[i].name);
    told(board_explain_chores(d, now, &w, &why), "the morning");
    told(dairy_herd_explain(d, now, &w, &why), "the herd");
    ck_assert_int_eq(dairy_shelf(d, now, &shelf, &why), 0);
    for (size_t i = 0; i < shelf.rows; i++)
        told(shelf_explain(d, &shelf, i, &w, &why), "a jar");
}

START_TEST(whatever_can_be_asked)
{
    struct dairy *d = NULL;
    static struct journal_view journal;
    static struct journal_detail detail;
    struct setup_view *setup = calloc(1, sizeof *setup);
    fill("demo.db");
    ck_assert_int_eq(dairy_open(scratch_path("demo.db"), DAIRY_WRITE, &d, &why), 0);
    ask_the_board(d, demo_now());
    ask_the_bench(d, demo_now());
    ask_the_year(d, demo_now());
    ck_assert_int_eq(dairy_setup(d, setup, &why), 0);
    ck_assert_int_eq(dairy_journal(d, demo_now(), 0, &journal, &why), 0);
    for (size_t i = 0; i < journal.entries; i++) {
        ck_assert_int_eq(dairy_journal_detail(d, journal.entry[i].id, &detail, &why), 0);
        ck_assert_uint_gt(detail.lines, 0);
    }
    free(setup);
    dairy_close(d);
}
END_TEST

/* The examples of help, in a dairy of whose animals and jars they speak: done, or refused in one sentence. */
START_TEST(every_example_of_record_is_done_or_refused_in_a_sentence)
{
    struct dairy *d = NULL;
    const struct act_kind *k;
    int done = 0, kinds = 0;
    fill("demo.db");
    ck_assert_int_eq(dairy_open(scratch_path("demo.db"), DAIRY_WRITE, &d, &why), 0);
    for (size_t i = 0; (k = act_at(i)) != NULL; i++, kinds++) {
        char words[400], *to = words;
        struct act_done what;
        /* As rig_try() takes them: two blanks between words, none of the shell's quotes. */
        bool quoted = false;
        for (const char *p = k->example; *p != '\0' && to < words + sizeof words - 3; p++) {
            quoted = quoted != (*p == '"');
            if (*p != '"')
                *to++ = *p;
            if (*p == ' ' && !quoted)
                *to++ = ' ';
        }
        *to = '\0';
        why.text[0] = '\0';
        bool taken = rig_try(d, "2026-05-03T06:41", k->name, words, &what, &why);
        done += taken;
        ck_assert_msg(taken ? what.what[0] != '\0' : why.text[0] != '\0' && strpbrk(why.text, "\n\033") == NULL, "%s %s: %s",
                      k->name, words, why.text);
    }
    ck_assert_int_gt(done, kinds / 2);
    dairy_close(d);
}
END_TEST

static void no_finding(void *context, const char *finding)
{
    (void)context;
    ck_abort_msg("%s", finding);
}

START_TEST(copies_and_what_is_read_back_from_them)
{
    struct dairy *d = NULL, *fresh = NULL;
    struct fail f = {0};
    size_t files, rows, files_in, rows_in, findings;
    char folder[200];
    fill("demo.db");
    ck_assert_msg(dairy_open(scratch_path("demo.db"), DAIRY_WRITE, &d, &f) == 0, "%s", f.text);
    ck_assert_msg(dairy_backup(d, scratch_path("copy.db"), &f) == 0, "%s", f.text);
    snprintf(folder, sizeof folder, "%s", scratch_path("text"));
    ck_assert_msg(dairy_export(d, folder, &files, &rows, &f) == 0, "%s", f.text);
    ck_assert_msg(dairy_open(scratch_path("fresh.db"), DAIRY_CREATE, &fresh, &f) == 0, "%s", f.text);
    ck_assert_msg(dairy_import(fresh, (char *const[]){folder}, 1, &files_in, &rows_in, &f) == 0, "%s", f.text);
    ck_assert_uint_gt(files_in, 0);
    ck_assert_uint_eq(rows, rows_in);
    ck_assert_msg(dairy_verify(fresh, no_finding, NULL, &findings, &f) == 0, "%s", f.text);
    ck_assert_uint_eq(findings, 0);
    dairy_close(fresh);
    dairy_close(d);
}
END_TEST

Suite *demo_suite(void)
{
    Suite *s = suite_create("demo");
    TCase *t = tcase_create("demo");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_set_timeout(t, 300);
    tcase_add_test(t, each_place_is_refused_once_and_two_callers_are_two_places);
    tcase_add_test(t, whatever_can_be_shown);
    tcase_add_test(t, whatever_can_be_asked);
    tcase_add_test(t, every_example_of_record_is_done_or_refused_in_a_sentence);
    tcase_add_test(t, copies_and_what_is_read_back_from_them);
    suite_add_tcase(s, t);
    return s;
}
