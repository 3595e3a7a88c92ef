/* The chill on the day: rates learned from earlier mornings, verdicts in words, what bad input leaves alone. */
#include <math.h>

#include "core/day/batch_page.h"
#include "core/day/chill_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

/* A morning of one batch of half gallons in still ice water, read once: a jar that cools at `k` per minute
 * against the bath at 0 °C (Newton's law), so the reading is made outside of what is tested. */
static void morning(struct dairy *d, const char *day, double k, bool pulled)
{
    char at[32], words[80];
    (void)snprintf(at, sizeof at, "%sT05:30", day);
    rig_do(d, at, "ice", "mass=40lb");
    (void)snprintf(at, sizeof at, "%sT06:00", day);
    rig_do(d, at, "milk", "cow=Maud  mass=36lb  strip=clean");
    (void)snprintf(at, sizeof at, "%sT06:10", day);
    rig_do(d, at, "pour", "jars=4xhalf-gallon  temp=35C");
    if (!pulled)
        return;
    for (int minute = 12; minute <= 36; minute += 12) {
        (void)snprintf(at, sizeof at, "%sT06:%02d", day, 10 + minute);
        (void)snprintf(words, sizeof words, "batch=A  temp=%.2fC", 35 * exp(-k * minute));
        rig_do(d, at, "reading", words);
    }
    (void)snprintf(at, sizeof at, "%sT07:30", day);
    rig_do(d, at, "pull", "batch=A  to=fridge");
    (void)snprintf(at, sizeof at, "%sT07:40", day);
    rig_do(d, at, "milking", "state=done");
}

static double believed_k(struct dairy *d, const char *at)
{
    const struct board *b = rig_board(d, at);
    ck_assert_uint_eq(b->batches, 1);
    return exp(b->batch[0].forecast.learned.prior_ln_k);
}

START_TEST(what_was_read_on_earlier_mornings_is_believed_on_the_next)
{
    /* Two dairies, alike but for their past: in one the jars came down fast, in the other slowly. Today's
     * forecast before any reading goes by that. */
    double k[2], to_limit[2];
    for (int slow = 0; slow < 2; slow++) {
        struct dairy *d = rig_small(slow ? "slow.db" : "fast.db", "2026-04-27T20:00");
        double rate = slow ? 0.032 : 0.055;
        morning(d, "2026-04-28", rate, true);
        morning(d, "2026-04-29", rate, true);
        morning(d, "2026-04-30", rate, true);
        morning(d, "2026-05-01", rate, false);
        const struct board *b = rig_board(d, "2026-05-01T06:15");
        k[slow] = believed_k(d, "2026-05-01T06:15");
        to_limit[slow] = b->batch[0].forecast.to_limit.at - (double)b->batch[0].poured_at.s;
        /* A new dairy knows the jar alone, and is less sure. */
        struct dairy *fresh = rig_small("new.db", "2026-04-30T20:00");
        morning(fresh, "2026-05-01", rate, false);
        double sd = b->batch[0].forecast.learned.prior_sd;
        ck_assert(sd < rig_board(fresh, "2026-05-01T06:15")->batch[0].forecast.learned.prior_sd);
        dairy_close(fresh);
        (void)remove(scratch_path("new.db"));
        dairy_close(d);
    }
    /* Believed rates are of the full jar 20 K above the bath, readings of the whole way down: so between, not
     * at, the rates of the readings; but far apart, and in that order. */
    ck_assert_msg(k[0] > 1.3 * k[1], "%g %g", k[0], k[1]);
    ck_assert(to_limit[0] < to_limit[1] - 300);
}
END_TEST

START_TEST(a_reading_that_is_taken_back_teaches_no_more)
{
    struct dairy *d = rig_small("t.db", "2026-04-27T20:00");
    struct act_done done;
    struct fail f = {0};
    morning(d, "2026-04-28", 0.045, true);
    morning(d, "2026-04-29", 0.045, false);
    double before = believed_k(d, "2026-04-29T06:15");
    /* Entered this morning, but of yesterday. */
    int64_t entry = rig_do(d, "2026-04-29T06:16", "reading", "batch=260428-1AP  temp=60F  at=2026-04-28T06:28");
    ck_assert(believed_k(d, "2026-04-29T06:17") < before);
    ck_assert_int_eq(dairy_undo(d, entry, rig_at("2026-04-29T06:18"), &done, &f), 0);
    ck_within(believed_k(d, "2026-04-29T06:19"), before, 1e-9);
    /* A tick or a word about a cow teaches nothing either. */
    rig_do(d, "2026-04-29T06:20", "note", "text=calm  cow=Maud");
    ck_within(believed_k(d, "2026-04-29T06:21"), before, 1e-9);
    dairy_close(d);
}
END_TEST

START_TEST(twenty_minutes_and_the_refrigerator_will_not_do_thirty_in_moved_water_will)
{
    /* The finding that the program exists for: reference values are those of the worked half gallon (still ice
     * water leaves it near 14 °C after 20 min, moved water near 6 °C after 30), and a jar in still refrigerator
     * air comes down by a few thousandths a minute. */
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    morning(d, "2026-05-03", 0, false);
    rig_do(d, "2026-05-03T06:12", "milking", "state=end");
    const struct board *b = rig_board(d, "2026-05-03T06:30");
    struct batch_forecast out;
    ck_within(b->batch[0].forecast.now_c, 14.3, 2.5);
    ck_assert_int_eq(board_pull_now(d, b, 0, &out, NULL), 0);
    ck_assert_int_eq(out.verdict, VERDICT_WILL_NOT);
    rig_do(d, "2026-05-03T06:30", "pull", "batch=A  to=fridge");
    b = rig_board(d, "2026-05-03T06:31");
    ck_assert_int_eq(b->batch[0].forecast.verdict, VERDICT_WILL_NOT);
    ck_assert(b->batch[0].forecast.in_hand_s < -1800);
    ck_assert(strstr(b->sentence, "Batch A will not reach 45 °F by 08:12") != NULL);
    ck_assert(strstr(b->sentence, "too late") != NULL);
    /* The least work: back into the tub, with the time that it gives. */
    ck_assert(b->cheapest >= 0);
    ck_assert_int_eq(b->advice[b->cheapest].remedy, REMEDY_PUT_BACK);
    ck_assert_msg(strstr(b->detail, "put them back into the tub: there by 0") != NULL, "%s", b->detail);
    ck_assert(strstr(b->detail, "will make it") != NULL);
    dairy_close(d);
    /* The same milk in moved water for half an hour. */
    d = rig_small("moved.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T05:30", "stir", "how=water");
    morning(d, "2026-05-03", 0, false);
    rig_do(d, "2026-05-03T06:12", "milking", "state=end");
    rig_do(d, "2026-05-03T06:40", "pull", "batch=A  to=fridge");
    b = rig_board(d, "2026-05-03T06:41");
    ck_assert_msg(b->batch[0].forecast.verdict <= VERDICT_WILL, "%s at %g C", verdict_word(b->batch[0].forecast.verdict),
                  b->batch[0].forecast.now_c);
    dairy_close(d);
}
END_TEST

/* Minutes from the pour to 45 °F, as the batch page has them. */
static double page_45f_min(struct dairy *d, int64_t batch_id, const char *at)
{
    static struct batch_page page;
    struct fail f = {0};
    ck_assert_msg(dairy_batch_page(d, batch_id, rig_at(at), &page, &f) == 0, "%s", f.text);
    return page.to_45f_min;
}

START_TEST(board_batch_page_and_the_line_on_record_say_the_same)
{
    /* Today's jars are read by nobody: what they are believed to do is what earlier, slow mornings taught, and the
     * board, the page and the line that is written when they leave the tub must all believe it. */
    struct dairy *d = rig_small("t.db", "2026-04-27T20:00");
    morning(d, "2026-04-28", 0.030, true);
    morning(d, "2026-04-29", 0.030, true);
    morning(d, "2026-04-30", 0.030, true);
    morning(d, "2026-05-01", 0, false);
    const struct board *b = rig_board(d, "2026-05-01T06:15");
    int64_t id = b->batch[0].id;
    double poured = (double)b->batch[0].poured_at.s, board_min = (b->batch[0].forecast.to_45f.at - poured) / 60;
    ck_within(page_45f_min(d, id, "2026-05-01T06:15"), board_min, 1e-6);
    rig_do(d, "2026-05-01T07:40", "pull", "batch=A  to=fridge");
    b = rig_board(d, "2026-05-01T07:45");
    ck_within((b->batch[0].forecast.to_45f.at - poured) / 60, board_min, 1e-6);
    /* The line on record is thinned to what a straight line would miss by 0.3 K or a minute and a half. */
    ck_within(page_45f_min(d, id, "2026-05-01T07:45"), board_min, 1.5);
    /* A program that is started anew finds the same. */
    dairy_close(d);
    d = rig_open("t.db");
    ck_within(page_45f_min(d, id, "2026-05-01T07:45"), board_min, 1.5);
    ck_within((rig_board(d, "2026-05-01T07:45")->batch[0].forecast.to_45f.at - poured) / 60, board_min, 1e-6);
    dairy_close(d);
    /* Where nothing was learned the same jars are believed to be faster by far more than that. */
    d = rig_small("fresh.db", "2026-04-30T20:00");
    morning(d, "2026-05-01", 0, false);
    b = rig_board(d, "2026-05-01T06:15");
    ck_assert((b->batch[0].forecast.to_45f.at - (double)b->batch[0].poured_at.s) / 60 < board_min - 5);
    dairy_close(d);
}
END_TEST

START_TEST(a_habit_that_changes_does_not_change_what_earlier_mornings_taught)
{
    /* Three mornings in still water, which was the habit. From today on the water is moved as a rule, in a larger tub
     * of warmer water. The other dairy keeps its tub, and said on each of those mornings that the water was still:
     * both must believe the same today. */
    double k[3];
    for (int said = 0; said < 2; said++) {
        struct dairy *d = rig_small(said ? "said.db" : "habit.db", "2026-04-27T20:00");
        static const char *const days[] = {"2026-04-28", "2026-04-29", "2026-04-30"};
        for (int i = 0; i < 3; i++) {
            char at[32];
            (void)snprintf(at, sizeof at, "%sT05:25", days[i]);
            if (said)
                rig_do(d, at, "stir", "how=no");
            morning(d, days[i], 0.032, true);
        }
        rig_do(d, "2026-04-30T20:00", "dairy", said ? "stir=water" : "stir=water  tub=30gal  tap=75F");
        morning(d, "2026-05-01", 0, false);
        k[said] = believed_k(d, "2026-05-01T06:15");
        ck_assert_int_eq(rig_board(d, "2026-05-01T06:15")->tub.stir, STIR_WATER);
        /* The habit changed while a milking is under way is that milking's, too. */
        rig_do(d, "2026-05-01T06:16", "dairy", "stir=no");
        ck_assert_int_eq(rig_board(d, "2026-05-01T06:17")->tub.stir, STIR_STILL);
        k[2] = believed_k(d, "2026-05-01T06:17");
        dairy_close(d);
    }
    ck_near(k[0], k[1], 1e-9);
    ck_assert_msg(k[2] < 0.75 * k[0], "still %g, moved %g", k[2], k[0]);
}
END_TEST

/* What the board offers for milk that is already in the refrigerator, as it says it. */
static bool offers(const struct board *b, const char *words)
{
    char text[160];
    for (size_t i = 0; i < b->advice_count; i++)
        if (strcmp(board_remedy_text(b, &b->advice[i], text, sizeof text), words) == 0)
            return true;
    return false;
}

START_TEST(a_morning_whose_facts_contradict_each_other_teaches_nothing_and_stops_nothing)
{
    /* On the second morning the tub is written down at 139 °F, beside ice and jars that say otherwise. */
    double k[2];
    for (int broken = 0; broken < 2; broken++) {
        struct dairy *d = rig_small(broken ? "broken.db" : "good.db", "2026-04-27T20:00");
        morning(d, "2026-04-28", 0.032, true);
        if (broken) {
            morning(d, "2026-04-29", 0.032, true);
            rig_do(d, "2026-04-29T08:00", "reading", "at_place=tub  temp=139F  at=2026-04-29T06:00");
        }
        morning(d, "2026-05-01", 0, false);
        k[broken] = believed_k(d, "2026-05-01T06:15");
        dairy_close(d);
    }
    ck_near(k[1], k[0], 1e-9);
}
END_TEST

START_TEST(remedies_are_of_jars_at_hand_and_say_the_whole_work)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    morning(d, "2026-05-03", 0, false);
    rig_do(d, "2026-05-03T06:12", "milking", "state=end");
    rig_do(d, "2026-05-03T06:30", "pull", "batch=A  to=fridge");
    const struct board *b = rig_board(d, "2026-05-03T06:31");
    ck_assert(offers(b, "put them back into the tub"));
    ck_assert(offers(b, "back in, move the water"));
    ck_assert(offers(b, "back in, move the water, swirl the jars"));
    /* Twelve half gallons are all the jars there are: there is nothing smaller to pour into. Four half gallons fill
     * eight quarts, and seven are too few. */
    for (size_t i = 0; i < b->advice_count; i++)
        ck_assert(b->advice[i].remedy != REMEDY_SPLIT);
    rig_do(d, "2026-05-03T06:31", "jars", "kind=quart  count=7");
    ck_assert(!offers(rig_board(d, "2026-05-03T06:32"), "pour it into 7 quart jars"));
    ck_assert(!offers(rig_board(d, "2026-05-03T06:32"), "pour it into 8 quart jars"));
    rig_do(d, "2026-05-03T06:32", "jars", "kind=quart  count=8");
    b = rig_board(d, "2026-05-03T06:33");
    ck_assert(offers(b, "pour it into 8 quart jars"));
    for (size_t i = 0; i < b->advice_count; i++)
        if (b->advice[i].remedy == REMEDY_SPLIT)
            ck_assert(b->advice[i].verdict == VERDICT_WILL && b->advice[i].gain_s > 3600);
    dairy_close(d);
}
END_TEST

/* Every line refused, and the records as they were: the last journal entry is the same. */
static const struct {
    const char *act, *words, *line;
} bad[] = {
    {"ice", "mass=20lb  temp=34F", "There is no ice above 32 °F"},
    {"ice", "mass=0lb", "how much ice"},
    {"ice", "mass=-3lb", "less than nothing"},
    {"water", "state=fill  volume=0gal", "how much water"},
    {"water", "state=fill  volume=-1gal", "less than nothing"},
    {"water", "state=fill  volume=2gal  temp=-3C", "Water for the tub is between"},
    {"pour", "jars=2xquart  temp=28F", "milk is poured between"},
    {"pour", "jars=-2xquart", "is not a kind of jar"},
    {"pour", "jars=2xquart  from=Maud  temp=95F  bath=97F", "no colder than the milk"},
    {"reading", "batch=A  temp=120F", "more than it was poured at"},
    {"reading", "batch=A  temp=50F  at=2026-05-03T09:00", "still to come"},
    {"reading", "batch=A  temp=50F  at=2026-05-03T05:50", "cannot have been read before"},
    {"reading", "batch=A  temp=51F  at=2026-05-03T06:20", "at that moment already"},
    {"reading", "batch=A  temp=20F", "cannot be what milk reads"},
    {"reading", "batch=A", "temp"},
    {"reading", "temp=50F", "Say what was read"},
    {"reading", "batch=A  at_place=tub  temp=50F", "Say what was read"},
    {"reading", "at_place=tub  temp=150F", "cannot be what the tub reads"},
    {"pull", "batch=A  to=fridge  count=9", "not that many"},
    {"pull", "batch=A  to=fridge  at=2026-05-03T06:00", "cannot be pulled before"},
};

START_TEST(bad_input_gets_one_clear_line_and_changes_nothing)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    morning(d, "2026-05-03", 0, false);
    rig_do(d, "2026-05-03T06:20", "reading", "batch=A  temp=70F");
    char *before = rig_board_json(d, rig_at("2026-05-03T06:30"));
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        rig_refused(d, "2026-05-03T06:30", bad[i].act, bad[i].words, bad[i].line);
    char *after = rig_board_json(d, rig_at("2026-05-03T06:30"));
    ck_assert_str_eq(before, after);
    free(before);
    free(after);
    dairy_close(d);
}
END_TEST

Suite *chill_suite(void)
{
    Suite *s = suite_create("chill");
    TCase *t = tcase_create("chill");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, what_was_read_on_earlier_mornings_is_believed_on_the_next);
    tcase_add_test(t, a_reading_that_is_taken_back_teaches_no_more);
    tcase_add_test(t, twenty_minutes_and_the_refrigerator_will_not_do_thirty_in_moved_water_will);
    tcase_add_test(t, board_batch_page_and_the_line_on_record_say_the_same);
    tcase_add_test(t, a_habit_that_changes_does_not_change_what_earlier_mornings_taught);
    tcase_add_test(t, a_morning_whose_facts_contradict_each_other_teaches_nothing_and_stops_nothing);
    tcase_add_test(t, remedies_are_of_jars_at_hand_and_say_the_whole_work);
    tcase_add_test(t, bad_input_gets_one_clear_line_and_changes_nothing);
    suite_add_tcase(s, t);
    return s;
}
