/* Breeding through acts: what cannot be is refused in one line and changes nothing, what is odd is recorded with a
 * question, and what is recorded shows on her page. Which is which follows from what a cow can do: cycle and gestation as
 * published (see tests/breeding), ages from common practice, no source. */
#include "core/day/cow_page.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define NOW "2026-05-03T12:00"

/* Maud calved 31 January, Tib in December; Rufus is a bull calf, Pip a heifer calf. */
static struct dairy *farm(void)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    rig_do(d, "2026-04-20T20:01", "cow", "name=Rufus  sex=male  born=2026-01-31");
    rig_do(d, "2026-04-20T20:02", "cow", "name=Pip  born=2026-01-31");
    rig_do(d, "2026-04-20T20:03", "cow", "name=Wren  breed=Guernsey  calvings=1  stall=3");
    rig_do(d, "2026-04-20T20:03", "cow", "name=Dot  born=2024-01-01  served=2026-03-10");
    rig_do(d, "2026-04-20T20:04", "service", "cow=Maud  by=ai  at=2026-03-10T09:00");
    return d;
}

START_TEST(what_cannot_be_is_refused_and_changes_nothing)
{
    static const struct {
        const char *act, *words, *line;
    } cases[] = {
        {"calving", "cow=Dot  calf=heifer", "Served on 2026-03-10 and calved on 2026-05-03 is 54 days"},
        {"service", "cow=Tib  at=2025-11-20", "Served on 2025-11-20 and calved on 2025-12-01 is 11 days; a cow carries about 280."},
        {"calving", "cow=Tib", "She calved on 2025-12-01 and again 153 days later"},
        {"service", "cow=Rufus", "cannot be: this animal is recorded as male."},
        {"heat", "cow=Rufus", "recorded as male"},
        {"service", "cow=Pip", "no heifer is ready before five months"},
        {"heat", "cow=Pip  at=2026-01-01", "before she was born"},
        {"dry", "cow=Pip", "there was nothing to dry off"},
        {"calving", "cow=Wren  calf=heifer  colostrum=40qt", "one feed is between"},
        {"calving", "cow=Wren  colostrum=3qt", "say which calf"},
        {"calving", "cow=Wren  calf=heifer 300lb", "a calf weighs between"},
        {"calving", "cow=Wren  calf=heifer,bull,bull,bull", "More than 3 calves"},
        {"colostrum", "cow=Tib  amount=2qt", "no calf of the last three days"},
        {"cow", "name=Maud  served=2025-12-01", "Served on 2025-12-01"},
    };
    struct dairy *d = farm();
    char *before = rig_board_json(d, rig_at(NOW));
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        rig_refused(d, NOW, cases[i].act, cases[i].words, cases[i].line);
    char *after = rig_board_json(d, rig_at(NOW));
    ck_assert_str_eq(before, after);
    free(before);
    free(after);
    dairy_close(d);
}
END_TEST

static void asks(struct dairy *d, const char *at, const char *act, const char *words, const char *question)
{
    struct act_done done = {0};
    struct fail f = {0};
    ck_assert_msg(rig_try(d, at, act, words, &done, &f), "%s %s: %s", act, words, f.text);
    ck_assert_msg(question == NULL ? strstr(done.what, "Is that right?") == NULL : strstr(done.what, question) != NULL,
                  "%s %s: \"%s\"", act, words, done.what);
}

START_TEST(what_is_odd_is_recorded_with_one_question)
{
    struct dairy *d = farm();
    asks(d, "2026-04-28T10:00", "check", "cow=Maud  method=ultrasound  result=in-calf", NULL);
    asks(d, NOW, "heat", "cow=Maud  signs=standing", "Is that right? In heat on 2026-05-03, though a check said in calf.");
    asks(d, "2026-05-03T13:00", "service", "cow=Maud", "though a check said in calf; that can cost the calf.");
    asks(d, NOW, "check", "cow=Tib  method=palpation  result=in-calf", "no service is recorded");
    asks(d, "2026-05-03T14:00", "note", "text=nothing odd", NULL);
    dairy_close(d);
}
END_TEST

START_TEST(a_heat_says_when_to_serve_and_a_service_what_follows)
{
    struct dairy *d = farm();
    /* 7 to 12 h after onset: Hall, Branton & Stone, as quoted in the domain's tests. */
    asks(d, "2026-05-03T06:10", "heat", "cow=Tib  signs=standing,mucus", "(sure); best served 13:10 to 18:10");
    /* Return watch 18 to 24 d; Ayrshire. */
    asks(d, "2026-05-03T18:00", "service", "cow=Tib  sire=Rowan", "watch for heat 21 May to 27 May; due ");
    asks(d, "2026-05-04T06:10", "heat", "cow=Wren  signs=blood", "(just over)");
    dairy_close(d);
}
END_TEST

static const struct cow_page *page_of(struct dairy *d, const char *name, const char *at)
{
    static struct cow_page *page;
    struct fail f = {0};
    int64_t id;
    if (page == NULL)
        page = calloc(1, sizeof *page);
    ck_assert_int_eq(dairy_find_cow(d, name, &id, &f), 0);
    ck_assert_msg(dairy_cow_page(d, id, rig_at(at), PAGE_NOW, page, &f) == 0, "%s", f.text);
    return page;
}

static bool page_says(const struct cow_page *p, const char *words)
{
    for (size_t i = 0; i < p->figures; i++)
        if (strstr(p->figure[i].text, words) != NULL)
            return true;
    return false;
}

START_TEST(a_calving_starts_the_watch_and_the_calfs_feeds)
{
    struct dairy *d = farm();
    asks(d, "2026-05-03T04:30", "calving", "cow=Wren  ease=2  calf=heifer 70lb  name=Fern  at=04:10",
         "Wren calved: heifer 70 lb Fern; watch her for milk fever until Wed 6 May 04:10");
    const struct board *b = rig_board(d, "2026-05-03T04:40");
    ck_assert_str_eq(b->stall[2].breeding, "milk-fever watch to Wed 04:10");
    ck_assert(!b->stall[2].keep);
    ck_assert_str_eq(b->sentence, "Wren: heifer calf: 0.84 gal of colostrum by 05:10.");
    /* A tenth of 70 lb, as litres: 3.18 L, 0.84 gal; within an hour, then 2 L within twelve (source
     * colostrum-amount). */
    const struct cow_page *p = page_of(d, "Wren", "2026-05-03T04:40");
    ck_assert(page_says(p, "heifer calf: 0.84 gal of colostrum by 05:10"));
    ck_assert(page_says(p, "milk-fever watch until"));
    ck_assert_int_eq(p->due[0].urgency, URGENCY_WATCH);
    ck_assert_int_eq(page_of(d, "Wren", "2026-05-03T06:00")->due[0].urgency, URGENCY_STOP);
    rig_do(d, "2026-05-03T06:00", "colostrum", "cow=Wren  amount=3qt  at=05:00");
    p = page_of(d, "Wren", "2026-05-03T06:01");
    ck_assert(page_says(p, "0.53 gal more colostrum by 16:10"));
    rig_do(d, "2026-05-03T14:00", "colostrum", "cow=Wren  amount=3qt");
    ck_assert(!page_says(page_of(d, "Wren", "2026-05-03T14:01"), "colostrum"));
    /* Over after 72 h. */
    ck_assert(page_says(page_of(d, "Wren", "2026-05-06T04:09"), "milk-fever watch"));
    ck_assert(!page_says(page_of(d, "Wren", "2026-05-06T04:10"), "milk-fever watch"));
    dairy_close(d);
}
END_TEST

START_TEST(twins_of_both_sexes_get_the_remark_and_a_dead_calf_becomes_no_animal)
{
    struct dairy *d = farm();
    int64_t id;
    asks(d, NOW, "calving", "cow=Wren  calf=bull dead 30kg, heifer  name=,Fay", "twin to a bull");
    ck_assert_int_eq(dairy_find_cow(d, "Fay", &id, NULL), 0);
    ck_assert_int_ne(dairy_find_cow(d, "Wren's calf", &id, NULL), 0);
    dairy_close(d);
}
END_TEST

START_TEST(her_page_has_windows_and_chances)
{
    struct dairy *d = farm();
    const struct cow_page *p = page_of(d, "Maud", NOW);
    /* Jersey: 278 days (Ohio Station's breed means, as quoted by Ensminger); 10 March and 278 days: 13 December. */
    ck_assert(page_says(p, "due 13 Dec, 278 days"));
    ck_assert(page_says(p, "1 in 2: "));
    ck_assert(page_says(p, "9 in 10: "));
    ck_assert(page_says(p, "open "));
    rig_do(d, NOW, "heat", "cow=Tib  signs=standing");
    /* Till she is served, and no longer than a day: 7 to 12 h and 24 h after 12:00. */
    ck_assert(page_says(page_of(d, "Tib", "2026-05-03T13:00"), "serve her 19:00 to Mon 00:00, at the latest Mon 12:00"));
    ck_assert(!page_says(page_of(d, "Tib", "2026-05-04T12:01"), "serve her"));
    /* Near the day the card in her stall says it. */
    ck_assert_str_eq(rig_board(d, "2026-05-18T12:00")->stall[1].breeding, "heat 21 May to 27 May, open 168 d");
    /* 21 days, 18 to 24, from 3 May. */
    ck_assert(page_says(page_of(d, "Tib", "2026-05-04T12:00"), "next heat 21 May to 27 May"));
    dairy_close(d);
}
END_TEST

START_TEST(a_heat_that_nobody_saw_is_shown_as_such)
{
    struct dairy *d = farm();
    char day[CIVIL_TEXT_MAX];
    int silent = 0;
    rig_do(d, NOW, "heat", "cow=Tib  signs=standing  at=2026-02-01T07:00");
    rig_do(d, NOW, "heat", "cow=Tib  signs=standing  at=2026-03-15T07:00"); /* 42 days: one between, on 22 February */
    const struct cow_page *p = page_of(d, "Tib", NOW);
    for (size_t i = 0; i < p->events; i++)
        if (p->event[i].kind == EVENT_HEAT && strstr(p->event[i].words, "nobody saw it") != NULL) {
            silent++;
            ck_assert_str_eq(date_iso(instant_date(p->event[i].at), day), "2026-02-22");
        }
    ck_assert_int_eq(silent, 1);
    dairy_close(d);
}
END_TEST

START_TEST(a_sire_whose_calves_come_early_moves_the_day)
{
    struct dairy *d = farm();
    rig_do(d, NOW, "cow", "name=Ivy  breed=Jersey  calvings=2");
    rig_do(d, NOW, "service", "cow=Ivy  sire=Rowan Hill  at=2026-03-10T09:00");
    ck_assert(page_says(page_of(d, "Ivy", NOW), "due 13 Dec, 278 days"));
    rig_do(d, NOW, "sire", "name=rowan hill  days=-3");
    ck_assert(page_says(page_of(d, "Ivy", NOW), "due 10 Dec, 275 days"));
    rig_refused(d, NOW, "sire", "name=Rowan Hill  days=40", "between -10 and 10");
    dairy_close(d);
}
END_TEST

Suite *breeding_acts_suite(void)
{
    Suite *s = suite_create("breeding_acts");
    TCase *t = tcase_create("breeding_acts");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, what_cannot_be_is_refused_and_changes_nothing);
    tcase_add_test(t, what_is_odd_is_recorded_with_one_question);
    tcase_add_test(t, a_heat_says_when_to_serve_and_a_service_what_follows);
    tcase_add_test(t, a_calving_starts_the_watch_and_the_calfs_feeds);
    tcase_add_test(t, twins_of_both_sexes_get_the_remark_and_a_dead_calf_becomes_no_animal);
    tcase_add_test(t, her_page_has_windows_and_chances);
    tcase_add_test(t, a_heat_that_nobody_saw_is_shown_as_such);
    tcase_add_test(t, a_sire_whose_calves_come_early_moves_the_day);
    suite_add_tcase(s, t);
    return s;
}
