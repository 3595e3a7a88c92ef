/* The feed room through acts: what is left, when it is gone, what it costs. The arithmetic beside each figure is done by
 * hand; what a cow needs is checked in tests/feeding. */
#include <math.h>

#include "core/day/ahead.h"
#include "core/day/feed_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

static const struct feed_view *feed_at(struct dairy *d, const char *at)
{
    static struct feed_view *v;
    struct fail f = {0};
    if (v == NULL)
        v = calloc(1, sizeof *v);
    ck_assert_msg(dairy_feed(d, rig_at(at), v, &f) == 0, "%s", f.text);
    return v;
}

static const struct feed_stock_view *stock(const struct feed_view *v, const char *feed)
{
    for (size_t i = 0; i < v->stocks; i++)
        if (strcmp(v->stock[i].feed, feed) == 0)
            return &v->stock[i];
    ck_abort_msg("no %s", feed);
    return NULL;
}

START_TEST(feed_runs_down_by_the_rations_and_says_when_it_is_gone)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    char on[CIVIL_TEXT_MAX];
    rig_do(d, "2026-05-01T06:00", "ration", "cow=Maud  feed=oats  mass=5kg");
    rig_do(d, "2026-05-01T06:00", "stock", "feed=oats  mass=100kg  how=counted");
    /* Milked once a day by habit: 5 kg a day, 20 days. */
    const struct feed_view *v = feed_at(d, "2026-05-01T06:00");
    ck_within(stock(v, "oats")->left_kg, 100, 0.01);
    ck_within(stock(v, "oats")->use_kg_per_day, 5, 0.001);
    ck_assert_str_eq(date_iso(stock(v, "oats")->gone_on, on), "2026-05-21");
    ck_assert(isnan(stock(v, "oats")->cost_per_day));
    /* Four days later 80 kg; then 50 kg come for 25.00: 130 kg, 26 days; 0.50 a kg, 2.50 a day. */
    v = feed_at(d, "2026-05-05T06:00");
    ck_within(stock(v, "oats")->left_kg, 80, 0.01);
    rig_do(d, "2026-05-05T06:00", "stock", "feed=oats  mass=50kg  cost=25");
    v = feed_at(d, "2026-05-05T06:00");
    ck_within(stock(v, "oats")->left_kg, 130, 0.01);
    ck_assert_str_eq(date_iso(stock(v, "oats")->gone_on, on), "2026-05-31");
    ck_within(stock(v, "oats")->cost_per_day, 2.5, 0.001);
    /* Half the ration from the tenth: 105 kg then, 2.5 kg a day, 42 days. */
    rig_do(d, "2026-05-10T06:00", "ration", "cow=Maud  feed=oats  mass=2.5kg");
    v = feed_at(d, "2026-05-10T06:00");
    ck_within(stock(v, "oats")->left_kg, 105, 0.01);
    ck_assert_str_eq(date_iso(stock(v, "oats")->gone_on, on), "2026-06-21");
    /* A count puts it right. */
    rig_do(d, "2026-05-10T07:00", "stock", "feed=oats  mass=5kg  how=counted");
    v = feed_at(d, "2026-05-10T07:00");
    ck_within(stock(v, "oats")->left_kg, 5, 0.01);
    ck_assert_int_eq(stock(v, "oats")->urgency, URGENCY_STOP);
    ck_assert_msg(strstr(v->sentence, "oats runs out") != NULL, "%s", v->sentence);
    struct ahead_view *ahead = calloc(1, sizeof *ahead);
    ck_assert_int_eq(dairy_ahead(d, rig_at("2026-05-10T07:00"), ahead, NULL), 0);
    bool found = false;
    for (size_t i = 0; i < ahead->rows; i++)
        if (ahead->row[i].part == AHEAD_FEED) {
            found = true;
            ck_assert_str_eq(ahead->row[i].who, "oats");
            ck_assert_str_eq(date_iso(ahead->row[i].on, on), "2026-05-12");
        }
    ck_assert(found);
    free(ahead);
    dairy_close(d);
}
END_TEST

START_TEST(forage_before_her_fills_what_she_can_hold_and_an_own_analysis_counts)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    rig_do(d, "2026-05-01T06:00", "ration", "cow=Maud  feed=oats  mass=5lb");
    const struct feed_view *v = feed_at(d, "2026-05-03T06:00");
    ck_assert(strstr(v->cow[0].words, "only grain is recorded") != NULL);
    rig_do(d, "2026-05-03T06:00", "forage", "cow=Maud  feed=grass hay");
    v = feed_at(d, "2026-05-03T06:00");
    ck_assert(v->cow[0].balanced);
    ck_within(v->cow[0].dm_kg, v->cow[0].intake_kg_dm, 1e-6); /* by definition of free choice */
    double before = v->cow[0].have_mcal, hay_kg = stock(v, "grass hay")->use_kg_per_day;
    ck_assert(hay_kg > 5);
    /* The same hay with 0.10 Mcal more in a kg of dry matter than the 1.15 of the table: so much more from its dry matter. */
    rig_do(d, "2026-05-03T06:01", "analysis", "feed=grass hay  kind=forage  dm=84%  cp=13.3%  energy=1.25");
    v = feed_at(d, "2026-05-03T06:02");
    ck_within(v->cow[0].have_mcal - before, 0.10 * 0.84 * hay_kg, 1e-6);
    rig_do(d, "2026-05-03T06:03", "ration", "cow=Maud  feed=moon dust  mass=1lb");
    v = feed_at(d, "2026-05-03T06:04");
    ck_assert(!v->cow[0].balanced);
    ck_assert_msg(strstr(v->cow[0].words, "moon dust has no analysis") != NULL, "%s", v->cow[0].words);
    rig_do(d, "2026-05-03T06:05", "forage", "cow=Maud  feed=");
    rig_refused(d, "2026-05-03T06:06", "forage", "cow=Maud  feed=", "No forage stands before Maud");
    rig_refused(d, "2026-05-03T06:06", "analysis", "feed=x  kind=forage  dm=2%  cp=10%  energy=1.2", "between 5 and 100 %");
    rig_refused(d, "2026-05-03T06:06", "stock", "feed=oats  mass=0lb", "no weight of feed");
    rig_refused(d, "2026-05-03T06:06", "stock", "feed=oats  mass=5lb  how=counted  cost=3", "goes with what came");
    dairy_close(d);
}
END_TEST

Suite *feed_room_suite(void)
{
    Suite *s = suite_create("feed_room");
    TCase *t = tcase_create("feed_room");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, feed_runs_down_by_the_rations_and_says_when_it_is_gone);
    tcase_add_test(t, forage_before_her_fills_what_she_can_hold_and_an_own_analysis_counts);
    suite_add_tcase(s, t);
    return s;
}
