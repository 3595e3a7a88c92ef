/* Animals that are born, tested, treated and leave; and what their page then tells. Words by which a fact is known again are
 * the program's own: there is no outside source for them. */
#include "core/day/cow_page.h"
#include "core/day/herd_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define MORNING "2026-05-03T06:10"
#define NOON    "2026-05-03T12:00"

static const struct cow_page *page_of(struct dairy *d, const char *name)
{
    static struct cow_page *p;
    struct fail f = {0};
    int64_t id;
    if (p == NULL)
        p = calloc(1, sizeof *p);
    ck_assert_msg(dairy_find_cow(d, name, &id, &f) == 0 && dairy_cow_page(d, id, rig_at(NOON), PAGE_NOW, p, &f) == 0, "%s",
                  f.text);
    return p;
}

static void expect_event(const struct cow_page *p, enum event_kind kind, const char *words)
{
    for (size_t i = 0; i < p->events; i++)
        if (p->event[i].kind == kind && strstr(p->event[i].words, words) != NULL)
            return;
    ck_abort_msg("%s: no event %s with \"%s\"", p->name, event_word(kind), words);
}

START_TEST(a_calf_without_a_name_gets_one_once)
{
    struct dairy *d = rig_small("t.db", MORNING);
    rig_refused(d, NOON, "calf", "dam=Maud  name=Pip", "no calf of Maud without a name");
    rig_do(d, MORNING, "cow", "name=Wren  breed=Ayrshire  born=2023-05-01  stall=3");
    rig_do(d, "2026-05-01T05:00", "calving", "cow=Wren  ease=1  calf=heifer 62lb, bull dead");
    rig_refused(d, NOON, "calf", "dam=Wren  name=Pip  sex=bull", "no calf of Wren without a name");
    rig_refused(d, NOON, "calf", "dam=Wren  name=Maud", "Maud");
    rig_do(d, NOON, "calf", "dam=Wren  name=Pip  tag=J-31  breed=Ayrshire");
    rig_refused(d, NOON, "calf", "dam=Wren  name=Pop", "no calf of Wren without a name");
    const struct cow_page *p = page_of(d, "Pip");
    ck_assert_str_eq(p->tag, "J-31");
    ck_assert_str_eq(p->dam, "Wren");
    ck_assert(!p->male);
    expect_event(page_of(d, "Wren"), EVENT_CALVING, "heifer");
    dairy_close(d);
}
END_TEST

START_TEST(a_test_is_due_then_done_and_a_reactors_milk_is_not_kept)
{
    struct dairy *d = rig_small("t.db", MORNING);
    struct act_done done;
    struct fail f = {0};
    rig_refused(d, NOON, "tested", "cow=Maud  test=brucellosis", "Give result=");
    rig_refused(d, NOON, "tested", "cow=Maud  test=brucellosis  due=2026-05-01", "that day is over");
    rig_do(d, "2026-05-02T12:00", "tested", "cow=Maud  test=brucellosis  due=2026-05-20");
    ck_assert(rig_try(d, NOON, "tested", "cow=Maud  test=brucellosis  result=clear  by=Dr Hale", &done, &f));
    ck_assert(strstr(done.what, "not kept") == NULL);
    ck_assert(rig_try(d, NOON, "tested", "cow=Tib  test=tuberculosis  result=reactor  due=2026-06-20", &done, &f));
    ck_assert_msg(strstr(done.what, "her milk is not kept until it is clear") != NULL, "%s", done.what);
    expect_event(page_of(d, "Maud"), EVENT_TEST, "brucellosis: clear, Dr Hale");
    expect_event(page_of(d, "Tib"), EVENT_TEST, "tuberculosis: reactor");
    ck_assert(!page_of(d, "Tib")->view.keep);
    ck_assert(page_of(d, "Maud")->view.keep);
    dairy_close(d);
}
END_TEST

START_TEST(her_page_tells_what_was_found_in_her_udder_and_how_she_was_treated)
{
    struct dairy *d = rig_small("t.db", MORNING);
    rig_do(d, MORNING, "milking", "state=start");
    rig_do(d, "2026-05-03T06:15", "milk", "cow=Maud  mass=20lb  strip=clots  quarter=LF");
    rig_do(d, "2026-05-03T06:25", "milk", "cow=Tib  mass=20lb  strip=clean");
    rig_refused(d, "2026-05-03T06:30", "disc", "found=clots  cows=Wren", "Wren");
    rig_do(d, "2026-05-03T06:30", "disc", "found=clots  cows=Tib");
    rig_do(d, "2026-05-03T08:00", "quarter", "cow=Tib  LF=2  RF=N  LR=N  RR=T");
    rig_do(d, "2026-05-03T08:05", "cells", "cow=Tib  count=480000");
    rig_do(d, "2026-05-03T08:10", "culture", "cow=Tib  quarter=LF  found=no growth");
    rig_do(d, "2026-05-03T08:20", "treat",
           "cow=Maud  product=udder tube  dose=1 tube  route=into the quarter  why=mastitis  milk_hours=96h  meat_days=10d");
    rig_do(d, "2026-05-03T11:00", "test", "cow=Tib  fat=4.1%  protein=3.4%");
    rig_do(d, "2026-05-03T11:10", "weigh", "cow=Tib  mass=1000lb");
    const struct cow_page *p = page_of(d, "Maud");
    expect_event(p, EVENT_TREATMENT, "udder tube against mastitis, 1 dose, milk withheld 96 h");
    expect_event(p, EVENT_UDDER, "clots");
    ck_assert_uint_gt(p->spans, 0);
    ck_assert(!p->view.keep);
    p = page_of(d, "Tib");
    expect_event(p, EVENT_UDDER, "disc clots");
    expect_event(p, EVENT_TEST, "paddle 2");
    expect_event(p, EVENT_TEST, "culture: no growth");
    dairy_close(d);
}
END_TEST

START_TEST(who_came_and_who_left_stand_in_the_herd_and_on_their_pages)
{
    struct dairy *d = rig_small("t.db", MORNING);
    static struct herd_view herd;
    struct fail f = {0};
    rig_do(d, MORNING, "cow", "name=Ivy  breed=Jersey  came=bought  came_on=2026-04-20  from=Hill Farm  born=2024-03-01");
    rig_do(d, "2026-04-30T08:00", "service", "cow=Maud  by=ai  sire=Rowan");
    rig_do(d, MORNING, "lost", "cow=Maud  why=found at the fence");
    expect_event(page_of(d, "Maud"), EVENT_LOSS, "found at the fence");
    expect_event(page_of(d, "Ivy"), EVENT_CAME, "bought from Hill Farm");
    rig_do(d, NOON, "cow", "name=Ivy  left=sold  left_on=2026-05-03  to=Ash Farm");
    ck_assert_msg(dairy_herd(d, rig_at(NOON), &herd, &f) == 0, "%s", f.text);
    struct act_done done;
    ck_assert(!rig_try(d, NOON, "heat", "cow=Ivy  signs=standing", &done, &f)); /* not here any more */
    dairy_close(d);
}
END_TEST

Suite *animals_suite(void)
{
    Suite *s = suite_create("animals");
    TCase *t = tcase_create("animals");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, a_calf_without_a_name_gets_one_once);
    tcase_add_test(t, a_test_is_due_then_done_and_a_reactors_milk_is_not_kept);
    tcase_add_test(t, her_page_tells_what_was_found_in_her_udder_and_how_she_was_treated);
    tcase_add_test(t, who_came_and_who_left_stand_in_the_herd_and_on_their_pages);
    suite_add_tcase(s, t);
    return s;
}
