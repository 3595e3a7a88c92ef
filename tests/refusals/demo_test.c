/* Everything that can be looked at in the invented dairy, whose records have a bit of everything, and its copies. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/file.h"
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
    tcase_add_test(t, copies_and_what_is_read_back_from_them);
    suite_add_tcase(s, t);
    return s;
}
