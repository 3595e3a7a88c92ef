/* What acts take, what they refuse, and that undo puts everything back. */
#include "core/day/cow_page.h"
#include "core/day/journal_view.h"
#include "core/day/tonight_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define MORNING "2026-05-03T06:10"

START_TEST(nothing_is_recorded_before_the_dairy_is)
{
    struct dairy *d = rig_open("t.db");
    struct board *b = calloc(1, sizeof *b);
    struct fail f = {0};
    rig_refused(d, MORNING, "cow", "name=Maud", "not set up yet");
    ck_assert_int_eq(dairy_board(d, rig_at(MORNING), b, &f), -1);
    rig_refused(d, MORNING, "dairy", "stalls=0", "stalls: between 1 and 12");
    rig_refused(d, MORNING, "dairy", "limit=moon", "moon");
    rig_refused(d, MORNING, "dairy", "limit=own", "needs own=");
    rig_refused(d, MORNING, "dairy", "times=noon", "not a list of times");
    rig_do(d, MORNING, "dairy", "name=Test  limit=own  own=45F/120/end");
    ck_assert(dairy_is_set_up(d));
    free(b);
    dairy_close(d);
}
END_TEST

START_TEST(a_morning_in_acts)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T05:40", "ice", "mass=20lb");
    rig_do(d, "2026-05-03T06:10", "milking", "state=start");
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb  strip=clean  disc=clean");
    rig_do(d, "2026-05-03T06:25", "pour", "jars=4xhalf-gallon  temp=95F  bath=34F");
    const struct board *b = rig_board(d, "2026-05-03T06:41");
    ck_assert(b->milking_open);
    ck_assert_uint_eq(b->batches, 1);
    ck_assert_str_eq(b->batch[0].cows, "Maud");
    ck_assert_int_eq(b->batch[0].letter, 'A');
    ck_assert_int_eq(b->batch[0].forecast.place, PLACE_TUB);
    ck_within(b->stall[0].today_kg, 36 * KG_PER_LB, 0.001);
    ck_assert(b->stall[0].milked && b->stall[0].keep && !b->stall[1].milked);
    ck_assert(b->stall[2].empty);
    ck_assert(b->batch[0].forecast.now_c < 35 && b->batch[0].forecast.now_c > 5);
    rig_do(d, "2026-05-03T06:45", "reading", "batch=A  temp=58F");
    b = rig_board(d, "2026-05-03T06:45");
    ck_assert(b->batch[0].forecast.now_read);
    rig_do(d, "2026-05-03T07:15", "pull", "batch=A  to=fridge");
    b = rig_board(d, "2026-05-03T07:16");
    ck_assert_int_eq(b->batch[0].forecast.place, PLACE_FRIDGE);
    rig_do(d, "2026-05-03T07:40", "milking", "state=end  at=2026-05-03T06:40");
    rig_do(d, "2026-05-03T07:41", "milking", "state=done");
    b = rig_board(d, "2026-05-03T07:42");
    ck_assert(!b->milking_open);
    dairy_close(d);
}
END_TEST

START_TEST(times_still_to_come_are_refused_and_earlier_ones_are_kept_both)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    struct journal_view *v = calloc(1, sizeof *v);
    rig_refused(d, MORNING, "note", "text=x  at=2026-05-04T06:00", "still to come");
    rig_do(d, "2026-05-03T09:00", "note", "text=limps  cow=Maud  at=2026-05-03T06:30");
    ck_assert_int_eq(dairy_journal(d, rig_at(MORNING), 0, v, NULL), 0);
    ck_assert_int_eq(v->entry[0].happened_at.s, rig_at("2026-05-03T06:30").s);
    ck_assert_int_eq(v->entry[0].entered_at.s, rig_at("2026-05-03T09:00").s);
    ck_assert_str_eq(v->entry[0].who, "Ann");
    free(v);
    dairy_close(d);
}
END_TEST

START_TEST(a_cow_on_hold_is_not_kept_and_not_poured_without_a_reason)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-02T07:10", "hold", "cow=Tib  hours=96h  why=udder tube, left front");
    /* The board says so before she is milked. */
    const struct board *b = rig_board(d, MORNING);
    ck_assert(!b->stall[1].keep);
    ck_assert_str_eq(hold_verdict(&b->stall[1].hold), "DO NOT KEEP");
    ck_assert_int_eq(b->stall[1].hold.clear_at.s, rig_at("2026-05-06T07:10").s);
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Tib  mass=22lb  strip=clean");
    rig_refused(d, "2026-05-03T06:30", "pour", "jars=2xhalf-gallon  from=Tib", "not to be kept");
    rig_refused(d, "2026-05-03T06:30", "pour", "jars=2xhalf-gallon", "not to be kept");
    ck_assert_uint_eq(rig_board(d, "2026-05-03T06:31")->batches, 0);
    rig_do(d, "2026-05-03T06:32", "pour", "jars=2xhalf-gallon  from=Tib  allow=for the pigs, marked");
    b = rig_board(d, "2026-05-03T06:33");
    ck_assert_uint_eq(b->batches, 1);
    ck_assert(strstr(b->batch[0].held_why, "for the pigs") != NULL &&
              strstr(b->batch[0].held_why, "Tib") != NULL);
    /* Exactly at 96 h she is still held; a second later she is not (herd rule: strictly more). */
    ck_assert(!rig_board(d, "2026-05-06T07:10:00")->stall[1].keep);
    ck_assert(rig_board(d, "2026-05-06T07:10:01")->stall[1].keep);
    dairy_close(d);
}
END_TEST

START_TEST(abnormal_milk_holds_her_until_it_is_lifted)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=40lb  strip=clots  quarter=LF");
    const struct board *b = rig_board(d, "2026-05-03T06:21");
    ck_assert(!b->stall[0].keep);
    ck_assert(strstr(b->stall[0].hold.words, "clots") != NULL);
    rig_refused(d, "2026-05-03T06:22", "pour", "jars=2xhalf-gallon  from=Maud", "not to be kept");
    /* Nobody lifts it over a last look that showed clots, unless there is a reason that the journal keeps. */
    rig_refused(d, "2026-05-05T06:00", "hold", "cow=Maud  lift=yes", "showed LF:clots");
    rig_do(d, "2026-05-05T06:20", "milk", "cow=Maud  mass=40lb  strip=clean  disc=clean");
    rig_refused(d, "2026-05-05T06:21", "hold", "cow=Maud  lift=yes  at=2026-05-04T06:00", "showed LF:clots");
    rig_do(d, "2026-05-05T06:22", "hold", "cow=Maud  lift=yes");
    ck_assert(rig_board(d, "2026-05-05T06:23")->stall[0].keep);
    rig_refused(d, "2026-05-05T06:24", "hold", "cow=Maud  lift=yes", "Nothing holds Maud");
    dairy_close(d);
}
END_TEST

START_TEST(a_fresh_cow_is_held_for_the_days_of_the_dairy)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    rig_do(d, "2026-04-20T20:01", "cow", "name=Wren  stall=3  breed=Guernsey  calvings=1");
    rig_do(d, "2026-05-01T04:00", "calving", "cow=Wren  ease=1  calf=heifer");
    ck_assert(!rig_board(d, "2026-05-05T06:00")->stall[2].keep);
    ck_assert(rig_board(d, "2026-05-06T04:00:01")->stall[2].keep);
    dairy_close(d);
}
END_TEST

START_TEST(slips_of_the_fingers_get_one_line_and_change_nothing)
{
    static const struct {
        const char *act, *words, *line;
    } slips[] = {
        {"milk", "cow=Mad  mass=40lb", "There is no cow \"Mad\" here; there are Maud, Tib, Wren."},
        {"milk", "cow=Maud  mass=40lb  volume=2gal", "not both"},
        {"milk", "cow=Maud  mass=400lb", "No cow gives that much"},
        {"milk", "cow=Maud  strip=green", "green"},
        {"milk", "cow=Maud  quarter=LF", "quarter= needs strip="},
        {"milk", "cow=Maud  disc=confetti", "confetti"},
        {"milk", "mass=40lb", "cow= is missing"},
        {"pour", "jars=4xbucket  from=Maud", "bucket"},
        {"pour", "jars=0xquart  from=Maud", "quart"},
        {"pour", "jars=1xquart  from=Maud  temp=200F", "poured between"},
        {"pour", "jars=1xquart  from=Maud  volume=3gal", "does not go into those jars"},
        {"pour", "jars=1xquart  from=Maud,Maud", "named twice"},
        {"pour", "jars=1xquart", "Whose milk?"},
        {"reading", "temp=40F", "Say what was read"},
        {"reading", "batch=A  temp=40F", "There is no batch A"},
        {"reading", "batch=260503-1AX  temp=40F", "260503-1AX"},
        {"ice", "mass=0lb", "how much ice"},
        {"ice", "mass=20lb  temp=40F", "There is no ice above"},
        {"water", "state=fill  volume=0gal", "how much water"},
        {"hold", "cow=Maud", "why= is missing"},
        {"hold", "cow=Maud  hours=96  why=tube", "has no unit"},
        {"hold", "cow=Maud  hours=96h  until=2026-05-07  why=tube", "not both"},
        {"hold", "cow=Maud  until=2026-05-01  why=tube", "before it begins"},
        {"tick", "step=dance", "There is no step \"dance\""},
        {"tick", "step=strip", "say which with cow="},
        {"tick", "step=ice  cow=Maud", "not for each cow"},
        {"tick", "step=ice  state=begun", "no clock"},
        {"tick", "step=ice  state=undone", "nothing is ticked"},
        {"milking", "state=end", "No milking is open"},
        {"cow", "name=Wren  stall=1", "Maud stands in stall 1"},
        {"cow", "name=Wren  stall=9", "There are stalls 1 to 3"},
        {"cow", "name=Maud  rename=Tib", "There is a Tib here already"},
        {"cow", "name=Wren  born=2030-01-01", "still to come"},
        {"cow", "name=Wren  born=2022-01-01  calved=2021-01-01", "before she was born"},
        {"calving", "cow=Wren  ease=7", "ease: 1"},
        {"calving", "cow=Maud  calf=heifer", "a cow carries about 280 days"},
        {"calving", "cow=Wren  calf=unicorn", "is not a calf"},
        {"service", "cow=Maud  by=field", "until= is missing"},
        {"check", "cow=Maud  method=guess  result=open", "not one of"},
        {"check", "cow=Maud  method=palpation  result=in-calf  calf=bull", "by ultrasound alone"},
        {"jars", "kind=barrel  count=3", "barrel"},
        {"jarkind", "name=wide one  volume=1L  height=7in  diameter=4in", "one short word"},
        {"jarkind", "name=wide  volume=1L  height=1in  diameter=1in", "wide"},
        {"ration", "cow=Maud  feed=oats  mass=0lb", "gets no oats"},
        {"step", "id=dance", "needs its words"},
        {"step", "id=dance  say=Dance  after=nowhere", "no step \"nowhere\""},
        {"step", "id=hot-rinse  remove=yes", "rinse"},
        {"routine", "file=/nonexistent", "Cannot read"},
    };
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-02T20:01", "cow", "name=Wren  stall=3  breed=Guernsey  calvings=1");
    char *before = rig_board_json(d, rig_at(MORNING));
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++)
        rig_refused(d, MORNING, slips[i].act, slips[i].words, slips[i].line);
    char *after = rig_board_json(d, rig_at(MORNING));
    ck_assert_str_eq(before, after);
    free(before);
    free(after);
    dairy_close(d);
}
END_TEST

START_TEST(readings_that_cannot_be_are_refused)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb");
    rig_do(d, "2026-05-03T06:25", "pour", "jars=2xhalf-gallon  temp=93F");
    rig_refused(d, "2026-05-03T06:30", "reading", "batch=A  temp=97F", "more than it was poured at");
    rig_refused(d, "2026-05-03T06:30", "reading", "batch=A  temp=80F  at=06:21",
                "cannot have been read before");
    rig_do(d, "2026-05-03T06:30", "reading", "batch=A  temp=80F");
    rig_refused(d, "2026-05-03T06:30", "reading", "batch=A  temp=79F", "read at that moment already");
    rig_refused(d, "2026-05-03T06:31", "pull", "batch=A  count=3", "not that many");
    rig_refused(d, "2026-05-03T06:31", "pull", "batch=A  to=fridge  at=06:20", "cannot be pulled before");
    rig_do(d, "2026-05-03T06:31", "pull", "batch=A  to=table  count=1");
    rig_do(d, "2026-05-03T06:32", "pull", "batch=A  to=fridge");
    rig_refused(d, "2026-05-03T06:33", "pull", "batch=A  to=fridge", "No jar of");
    dairy_close(d);
}
END_TEST

START_TEST(every_act_of_a_morning_can_be_taken_back)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    static const struct {
        const char *at, *act, *words;
    } acts[] = {
        {"2026-05-03T05:40", "ice", "mass=20lb"},
        {"2026-05-03T05:45", "tick", "step=ice"},
        {"2026-05-03T06:10", "milking", "state=start"},
        {"2026-05-03T06:12", "tick", "step=pre-dip  cow=Maud  state=begun"},
        {"2026-05-03T06:20", "milk", "cow=Maud  mass=36lb  strip=LF:flakes"},
        {"2026-05-03T06:21", "hold", "cow=Maud  lift=yes  why=stripped again, clean"},
        {"2026-05-03T06:22", "treat", "cow=Tib  product=tube  milk_hours=12h  more=yes  at=2026-05-01T07:00"},
        {"2026-05-03T06:22", "dose", "cow=Tib  more=no  at=2026-05-01T19:00"},
        {"2026-05-03T06:22", "label", "cow=Tib  meat_days=10d"},
        {"2026-05-03T06:23", "quarter", "cow=Maud  LF=1  RF=N  LR=N  RR=T"},
        {"2026-05-03T06:23", "cells", "cow=Maud  count=180000"},
        {"2026-05-03T06:23", "culture", "cow=Maud  quarter=LF  found=no growth"},
        {"2026-05-03T06:23", "test", "cow=Maud  fat=4.8%  protein=3.7%"},
        {"2026-05-03T06:24", "weigh", "cow=Maud  girth=69in"},
        {"2026-05-03T06:24", "condition", "cow=Maud  score=3.25"},
        {"2026-05-03T06:24", "tested", "cow=Maud  test=tuberculosis  result=clear  due=2027-05-01"},
        {"2026-05-03T06:22", "milk", "cow=Tib  mass=30lb"},
        {"2026-05-03T06:25", "pour", "jars=3xhalf-gallon,1xquart  from=Tib  temp=95F  bath=34F"},
        {"2026-05-03T06:26", "stir", "how=water"},
        {"2026-05-03T06:40", "reading", "batch=A  temp=58F"},
        {"2026-05-03T06:41", "water", "state=drain  volume=1gal"},
        {"2026-05-03T07:10", "pull", "batch=A  to=fridge"},
        {"2026-05-03T07:11", "note", "text=all well"},
        {"2026-05-03T07:12", "ration", "cow=Tib  feed=oats  mass=3lb"},
        {"2026-05-03T07:13", "step", "id=radio  say=Radio on  phase=ready"},
        {"2026-05-03T07:14", "cow", "name=Wren  stall=3"},
    };
    enum { ACTS = sizeof acts / sizeof acts[0] };
    struct instant now = rig_at("2026-05-03T07:20");
    char *before[ACTS];
    struct act_done done;
    for (int i = 0; i < ACTS; i++) {
        before[i] = rig_board_json(d, now);
        rig_do(d, acts[i].at, acts[i].act, acts[i].words);
    }
    char *all = rig_board_json(d, now);
    for (int i = ACTS - 1; i >= 0; i--) {
        struct fail f = {0};
        ck_assert_msg(dairy_undo(d, 0, now, &done, &f) == 0, "%s: %s", acts[i].act, f.text);
        char *back = rig_board_json(d, now);
        ck_assert_msg(strcmp(back, before[i]) == 0, "%s was not taken back wholly", acts[i].act);
        free(back);
    }
    /* And put back, newest undo first. */
    struct journal_view *v = calloc(1, sizeof *v);
    ck_assert_int_eq(dairy_journal(d, now, 0, v, NULL), 0);
    for (int i = 0; i < ACTS; i++)
        ck_assert_int_eq(dairy_undo(d, v->entry[i].id, now, &done, NULL), 0);
    char *again = rig_board_json(d, now);
    ck_assert_str_eq(again, all);
    for (int i = 0; i < ACTS; i++)
        free(before[i]);
    free(all);
    free(again);
    free(v);
    dairy_close(d);
}
END_TEST

START_TEST(hostile_words_come_out_clean)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    struct cow_page *p = calloc(1, sizeof *p);
    int64_t cow;
    rig_do(d, MORNING, "note", "cow=Maud  text=\x1b[2J\x1b]0;owned\x07 and \xE2\x80\xAE reversed");
    rig_do(d, MORNING, "cow", "name='); DROP TABLE cow; --  stall=3");
    ck_assert_int_eq(dairy_find_cow(d, "Maud", &cow, NULL), 0);
    ck_assert_int_eq(dairy_cow_page(d, cow, rig_at(MORNING), PAGE_NOW, p, NULL), 0);
    ck_assert_uint_eq(p->events, 2); /* the note, and the calving of set-up */
    ck_assert(strchr(p->event[0].words, 0x1b) == NULL && strstr(p->event[0].words, "\xE2\x80\xAE") == NULL);
    ck_assert_str_eq(rig_board(d, MORNING)->stall[2].name, "'); DROP TABLE cow; --");
    free(p);
    dairy_close(d);
}
END_TEST

START_TEST(tonight_asks_for_ice_and_jars)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    struct tonight_view v;
    struct fail f = {0};
    ck_assert_msg(dairy_tonight(d, rig_at("2026-05-02T20:00"), &v, NULL, &f) == 0, "%s", f.text);
    ck_assert_uint_eq(v.cows, 2);
    ck_assert_int_eq(v.milking_at.s, rig_at("2026-05-03T06:00").s);
    ck_assert(v.milk_l > 5 && v.milk_high_l > v.milk_l);
    ck_assert(v.plan.jar_count > 0 && v.plan.ice_kg > 0 && v.plan.ice_advised_kg > v.plan.ice_kg);
    double without = v.milk_l;
    rig_do(d, "2026-05-02T20:05", "hold", "cow=Tib  hours=96h  why=tube");
    ck_assert_int_eq(dairy_tonight(d, rig_at("2026-05-02T20:06"), &v, NULL, NULL), 0);
    ck_assert(v.milk_l < without && !v.cow[1].keep);
    dairy_close(d);
}
END_TEST

START_TEST(two_dairies_on_one_file_see_each_other)
{
    struct dairy *a = rig_small("t.db", "2026-05-02T20:00"), *b = rig_open("t.db");
    bool changed;
    struct act_done done;
    ck_assert(!rig_board(b, MORNING)->milking_open);
    rig_do(a, MORNING, "tick", "step=ice");
    ck_assert_int_eq(dairy_refresh(b, &changed, NULL), 0);
    ck_assert(changed);
    ck_assert(rig_board(b, MORNING)->milking_open);
    ck_assert_int_eq(dairy_undo(b, 0, rig_at(MORNING), &done, NULL), 0);
    ck_assert_int_eq(dairy_refresh(a, &changed, NULL), 0);
    ck_assert(changed && !rig_board(a, MORNING)->milking_open);
    dairy_close(a);
    dairy_close(b);
}
END_TEST

Suite *acts_suite(void)
{
    Suite *s = suite_create("acts");
    TCase *t = tcase_create("acts");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, nothing_is_recorded_before_the_dairy_is);
    tcase_add_test(t, a_morning_in_acts);
    tcase_add_test(t, times_still_to_come_are_refused_and_earlier_ones_are_kept_both);
    tcase_add_test(t, a_cow_on_hold_is_not_kept_and_not_poured_without_a_reason);
    tcase_add_test(t, abnormal_milk_holds_her_until_it_is_lifted);
    tcase_add_test(t, a_fresh_cow_is_held_for_the_days_of_the_dairy);
    tcase_add_test(t, slips_of_the_fingers_get_one_line_and_change_nothing);
    tcase_add_test(t, readings_that_cannot_be_are_refused);
    tcase_add_test(t, every_act_of_a_morning_can_be_taken_back);
    tcase_add_test(t, hostile_words_come_out_clean);
    tcase_add_test(t, tonight_asks_for_ice_and_jars);
    tcase_add_test(t, two_dairies_on_one_file_see_each_other);
    suite_add_tcase(s, t);
    return s;
}
