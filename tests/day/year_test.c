/* What is ahead, the calendar file, and the year's supply. The calendar is read back by libical, which knows RFC 5545 on its
 * own. Days are those of the domains' tests (gestation, cycle); supply's arithmetic is checked there against a sum day by
 * day. Here: that nothing gets lost between the records and the screen. */
#include <libical/ical.h>
#include <math.h>

#include "core/base/file.h"
#include "core/day/ahead.h"
#include "core/day/supply_view.h"
#include "demo/dairy.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define NOW "2026-05-03T12:00"

static const struct ahead_view *ahead_at(struct dairy *d, const char *at)
{
    static struct ahead_view *v;
    struct fail f = {0};
    if (v == NULL)
        v = calloc(1, sizeof *v);
    ck_assert_msg(dairy_ahead(d, rig_at(at), v, &f) == 0, "%s", f.text);
    return v;
}

static const struct ahead_row *row_of(const struct ahead_view *v, const char *who, const char *words)
{
    for (size_t i = 0; i < v->rows; i++)
        if (strcmp(v->row[i].who, who) == 0 && strstr(v->row[i].words, words) != NULL)
            return &v->row[i];
    return NULL;
}

static const char *day_of(const struct ahead_row *row, char buf[CIVIL_TEXT_MAX])
{
    return row == NULL ? "no such row" : date_iso(row->on, buf);
}

static struct dairy *farm(void)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    rig_do(d, "2026-04-20T20:04", "service", "cow=Maud  by=ai  at=2026-03-10T09:00");
    rig_do(d, "2026-05-02T09:00", "heat", "cow=Tib  signs=standing");
    rig_do(d, "2026-05-02T09:05", "treat", "cow=Tib  product=udder tube  milk_hours=96h  meat_days=10d  more=no");
    rig_do(d, "2026-05-02T09:06", "repeat", "name=hoof trim  cow=Maud  every=180d  first=2026-05-10");
    rig_do(d, "2026-05-02T09:07", "repeat", "name=water test  every=365d  first=2026-04-30");
    rig_do(d, "2026-05-02T09:09", "part", "name=liner  fitted=2026-05-01  days=60");
    rig_do(d, "2026-05-02T09:08", "tested", "cow=Tib  test=tuberculosis  due=2026-06-01");
    return d;
}

START_TEST(everything_due_stands_under_its_day_with_its_reason_and_its_act)
{
    struct dairy *d = farm();
    char day[CIVIL_TEXT_MAX];
    const struct ahead_view *v = ahead_at(d, NOW);
    /* 278 days after 10 March, and 60 and 21 before that; 28 days after the service; 21 days, 18 to 24, after the heat. */
    ck_assert_str_eq(day_of(row_of(v, "Maud", "calving"), day), "2026-12-13");
    ck_assert_str_eq(day_of(row_of(v, "Maud", "dry off"), day), "2026-10-14");
    ck_assert_str_eq(day_of(row_of(v, "Maud", "close-up"), day), "2026-11-22");
    ck_assert_str_eq(day_of(row_of(v, "Maud", "pregnancy check"), day), "2026-04-07");
    ck_assert_str_eq(day_of(row_of(v, "Tib", "watch for heat"), day), "2026-05-20");
    ck_assert_str_eq(date_iso(row_of(v, "Tib", "watch for heat")->to_on, day), "2026-05-26");
    ck_assert_str_eq(day_of(row_of(v, "Tib", "milk kept after"), day), "2026-05-06");
    ck_assert_str_eq(day_of(row_of(v, "Tib", "tuberculosis"), day), "2026-06-01");
    ck_assert_str_eq(day_of(row_of(v, "Maud", "hoof trim"), day), "2026-05-10");
    ck_assert_str_eq(day_of(row_of(v, "", "water test"), day), "2026-04-30");
    ck_assert_str_eq(row_of(v, "Maud", "pregnancy check")->act.act, "check");
    ck_assert_str_eq(row_of(v, "Maud", "hoof trim")->act.act, "did");
    /* Liners by the calendar: 60 days from 1 May. */
    ck_assert_str_eq(day_of(row_of(v, "wash bench", "Rubber liners: to be replaced"), day), "2026-06-30");
    for (size_t i = 0; i < v->rows; i++) {
        ck_assert_msg(v->row[i].act.act == NULL || act_find(v->row[i].act.act) != NULL, "%s", v->row[i].act.act);
        if (i > 0)
            ck_assert_int_le(v->row[i - 1].on.days, v->row[i].on.days);
    }
    dairy_close(d);
}
END_TEST

START_TEST(what_comes_round_is_due_again_after_it_was_done_and_no_more_when_it_ends)
{
    struct dairy *d = farm();
    char day[CIVIL_TEXT_MAX];
    rig_do(d, NOW, "did", "name=hoof trim  cow=Maud");
    ck_assert_str_eq(day_of(row_of(ahead_at(d, NOW), "Maud", "hoof trim"), day), "2026-10-30"); /* 180 days on */
    rig_do(d, NOW, "repeat", "name=hoof trim  cow=Maud  every=90d");
    ck_assert_str_eq(day_of(row_of(ahead_at(d, NOW), "Maud", "hoof trim"), day), "2026-08-01");
    rig_do(d, NOW, "repeat", "name=hoof trim  cow=Maud  end=yes");
    ck_assert_ptr_null(row_of(ahead_at(d, NOW), "Maud", "hoof trim"));
    rig_refused(d, NOW, "did", "name=hoof trim  cow=Maud", "comes round");
    rig_refused(d, NOW, "repeat", "name=new", "every= is missing");
    rig_refused(d, NOW, "repeat", "name=new  every=2h", "between 1d");
    dairy_close(d);
}
END_TEST

/* ---- the calendar ---- */

enum { EVENTS_MAX = 200 };

/* Exports, has libical read it, and returns its events. */
static icalcomponent *calendar(struct dairy *d, const char *at, size_t *count)
{
    char *text;
    size_t size, events;
    struct fail f = {0};
    const char *path = scratch_path("dairy.ics");
    ck_assert_msg(dairy_calendar(d, rig_at(at), path, &events, &f) == 0, "%s", f.text);
    ck_assert_int_eq(file_read(path, &text, &size, &f), 0);
    icalcomponent *c = icalparser_parse_string(text);
    free(text);
    ck_assert_ptr_nonnull(c);
    ck_assert_int_eq(icalcomponent_isa(c), ICAL_VCALENDAR_COMPONENT);
    ck_assert(icalrestriction_check(c) != 0);
    ck_assert_int_eq(icalcomponent_count_errors(c), 0);
    *count = (size_t)icalcomponent_count_components(c, ICAL_VEVENT_COMPONENT);
    ck_assert_uint_eq(*count, events);
    return c;
}

static icalcomponent *event_named(icalcomponent *c, const char *uid)
{
    icalcomponent *found = NULL;
    for (icalcomponent *e = icalcomponent_get_first_component(c, ICAL_VEVENT_COMPONENT); e != NULL;
         e = icalcomponent_get_next_component(c, ICAL_VEVENT_COMPONENT))
        if (strcmp(icalcomponent_get_uid(e), uid) == 0) {
            ck_assert_msg(found == NULL, "%s stands twice", uid);
            found = e;
        }
    return found;
}

START_TEST(the_calendar_holds_every_row_once_and_reads_back)
{
    struct dairy *d = farm();
    size_t count;
    icalcomponent *c = calendar(d, NOW, &count);
    const struct ahead_view *v = ahead_at(d, NOW);
    ck_assert_uint_eq(count, v->rows);
    for (size_t i = 0; i < v->rows; i++) {
        icalcomponent *e = event_named(c, v->row[i].uid);
        ck_assert_msg(e != NULL, "%s is not in the file", v->row[i].uid);
        struct icaltimetype start = icalcomponent_get_dtstart(e);
        bool late = v->row[i].on.days < v->today.days && !date_known(v->row[i].to_on);
        struct civil on;
        date_to_civil(late ? v->today : v->row[i].on, &on);
        ck_assert(start.is_date && start.year == on.year && start.month == on.month && start.day == on.day);
        ck_assert(strstr(icalcomponent_get_summary(e), v->row[i].words) != NULL);
    }
    /* Round: libical's own text of it says the same. */
    char *again = icalcomponent_as_ical_string_r(c);
    icalcomponent *back = icalparser_parse_string(again);
    ck_assert_uint_eq((size_t)icalcomponent_count_components(back, ICAL_VEVENT_COMPONENT), count);
    for (size_t i = 0; i < v->rows; i++)
        ck_assert_str_eq(icalcomponent_get_summary(event_named(back, v->row[i].uid)),
                         icalcomponent_get_summary(event_named(c, v->row[i].uid)));
    free(again);
    icalcomponent_free(back);
    icalcomponent_free(c);
    icalmemory_free_ring();
    dairy_close(d);
}
END_TEST

static struct icaltimetype start_of(icalcomponent *c, const char *uid)
{
    icalcomponent *e = event_named(c, uid);
    ck_assert_msg(e != NULL, "%s is not in the file", uid);
    return icalcomponent_get_dtstart(e);
}

START_TEST(after_an_edit_the_same_events_have_moved_and_none_is_lost_or_doubled)
{
    struct dairy *d = farm();
    size_t before, after;
    char due[AHEAD_UID_MAX], heat[AHEAD_UID_MAX], trim[AHEAD_UID_MAX], check[AHEAD_UID_MAX], return_watch[AHEAD_UID_MAX];
    icalcomponent *a = calendar(d, NOW, &before);
    const struct ahead_view *v = ahead_at(d, NOW);
    snprintf(due, sizeof due, "%s", row_of(v, "Maud", "calving")->uid);
    snprintf(heat, sizeof heat, "%s", row_of(v, "Tib", "watch for heat")->uid);
    snprintf(trim, sizeof trim, "%s", row_of(v, "Maud", "hoof trim")->uid);
    snprintf(check, sizeof check, "%s", row_of(v, "Maud", "pregnancy check")->uid);
    snprintf(return_watch, sizeof return_watch, "%s", row_of(v, "Maud", "watch for heat")->uid);
    /* She was served again three weeks later, and that one held; the trimming is put off. */
    rig_do(d, NOW, "service", "cow=Maud  by=ai  at=2026-03-31T09:00");
    rig_do(d, NOW, "check", "cow=Maud  method=ultrasound  result=in-calf  days=33");
    rig_do(d, NOW, "repeat", "name=hoof trim  cow=Maud  first=2026-05-20");
    icalcomponent *b = calendar(d, NOW, &after);
    ck_assert_int_eq(start_of(a, due).month, 12);
    struct icaltimetype moved = start_of(b, due); /* 278 days after 31 March: 3 January */
    ck_assert(moved.year == 2027 && moved.month == 1 && moved.day == 3);
    ck_assert_int_eq(start_of(b, trim).day, 20);
    ck_assert_int_eq(icaltime_compare(start_of(a, heat), start_of(b, heat)), 0);
    /* Every other event is in both files; gone are the check, which was made, and the watch for her return to heat. */
    size_t gone = 0, come = 0;
    for (icalcomponent *e = icalcomponent_get_first_component(a, ICAL_VEVENT_COMPONENT); e != NULL;
         e = icalcomponent_get_next_component(a, ICAL_VEVENT_COMPONENT)) {
        char uid[AHEAD_UID_MAX];
        snprintf(uid, sizeof uid, "%s", icalcomponent_get_uid(e));
        if (event_named(b, uid) != NULL)
            continue;
        gone++;
        ck_assert_msg(strcmp(uid, check) == 0 || strcmp(uid, return_watch) == 0, "%s is lost", uid);
    }
    for (icalcomponent *e = icalcomponent_get_first_component(b, ICAL_VEVENT_COMPONENT); e != NULL;
         e = icalcomponent_get_next_component(b, ICAL_VEVENT_COMPONENT)) {
        char uid[AHEAD_UID_MAX];
        snprintf(uid, sizeof uid, "%s", icalcomponent_get_uid(e));
        come += event_named(a, uid) == NULL;
    }
    ck_assert_uint_eq(gone, 2);
    ck_assert_uint_eq(come, 0);
    ck_assert_uint_eq(after, before - gone);
    icalcomponent_free(a);
    icalcomponent_free(b);
    icalmemory_free_ring();
    dairy_close(d);
}
END_TEST

/* ---- supply ---- */

static struct supply_view *supply_at(struct dairy *d, struct instant at)
{
    static struct supply_view *v;
    struct fail f = {0};
    if (v == NULL)
        v = calloc(1, sizeof *v);
    ck_assert_msg(dairy_supply(d, at, v, &f) == 0, "%s", f.text);
    return v;
}

/* Short weeks among those of a gap; the year is looked at from another day, so its weeks begin on other days. */
static size_t short_within(const struct supply_view *v, const struct supply_gap *gap)
{
    size_t count = 0;
    for (int i = 0; i < v->year.weeks; i++)
        count += v->year.week[i].from_on.days >= gap->from_on.days &&
                 v->year.week[i].from_on.days + 6 <= gap->to_on.days && v->year.week[i].is_short;
    return count;
}

START_TEST(the_demonstration_has_a_gap_names_who_to_serve_when_and_that_service_closes_it)
{
    struct dairy *d = NULL;
    struct fail f = {0};
    char on[CIVIL_TEXT_MAX], words[120];
    ck_assert_int_eq(dairy_open(scratch_path("demo.db"), DAIRY_SCRATCH, &d, &f), 0);
    ck_assert_msg(demo_fill(d, 1, &f) == 0, "%s", f.text);
    const struct supply_view *v = supply_at(d, demo_now());
    ck_assert_uint_eq(v->cows, 4);
    ck_assert_uint_eq(v->gaps, 1);
    const struct supply_gap_view g = v->gap[0];
    ck_assert_int_ge(g.cow, 0);
    ck_assert_str_eq(v->cow[g.cow].name, "Sorrel"); /* the one that was not served */
    ck_assert_int_ge(g.gap.last - g.gap.first, 2);
    ck_assert(g.gap.short_l > 0);
    for (int i = g.gap.first; i <= g.gap.last; i++)
        ck_assert(v->year.week[i].is_short);
    /* Of the parts of the cows the whole is made. */
    for (int i = 0; i < v->year.weeks; i++) {
        double sum = 0;
        for (size_t k = 0; k < v->cows; k++)
            sum += v->cow[k].week_l[i];
        ck_within(sum, v->year.week[i].expected_l, 1e-6);
    }
    ck_assert_msg(strstr(v->sentence, "serve Sorrel") != NULL, "%s", v->sentence);
    /* The first day named that is not before she has waited; then the service, and the check that says that she held. */
    struct instant served = {date_start(g.serve.from_on).s + 17 * 3600};
    struct instant checked = {served.s + 33 * 86400};
    snprintf(words, sizeof words, "cow=Sorrel  by=ai  at=%sT17:00", date_iso(g.serve.from_on, on));
    rig_do(d, instant_iso_local(served, on), "service", words);
    v = supply_at(d, served);
    ck_assert_uint_eq(short_within(v, &g.gap), 0);
    rig_do(d, instant_iso_local(checked, on), "check", "cow=Sorrel  method=ultrasound  result=in-calf");
    v = supply_at(d, checked);
    ck_assert_uint_eq(short_within(v, &g.gap), 0);
    dairy_close(d);
}
END_TEST

START_TEST(the_need_is_the_households_and_the_shares)
{
    struct dairy *d = farm();
    const struct supply_view *v = supply_at(d, rig_at(NOW));
    ck_assert(!v->need_set);
    ck_assert(strstr(v->sentence, "not said yet") != NULL);
    rig_do(d, NOW, "need", "week=8gal  room=30gal");
    /* Two half gallons on each of two days: 2 gal. */
    rig_do(d, NOW, "person", "name=Bea  share=2  kind=half-gallon  days=mon,thu");
    v = supply_at(d, rig_at(NOW));
    ck_within(v->need.household_l, 8 * 3.785411784, 1e-3);
    ck_within(v->need.shares_l, 2 * 3.785411784, 0.02);
    ck_within(v->year.week[0].need_l, 10 * 3.785411784, 0.02);
    /* Half of Maud's milk to a calf: half of hers on the chart. */
    double all_l = v->cow[0].week_l[2];
    rig_do(d, NOW, "calfmilk", "cow=Maud  share=50%");
    v = supply_at(d, rig_at(NOW));
    ck_within(v->cow[0].week_l[2], all_l / 2, 1e-6);
    rig_refused(d, NOW, "need", "week=8gal  room=2gal", "less than what is needed");
    rig_refused(d, NOW, "need", "week=8000gal", "No house dairy");
    rig_refused(d, NOW, "calfmilk", "cow=Maud  share=120%", "cannot be meant");
    dairy_close(d);
}
END_TEST

Suite *year_suite(void)
{
    Suite *s = suite_create("year");
    TCase *t = tcase_create("year");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, everything_due_stands_under_its_day_with_its_reason_and_its_act);
    tcase_add_test(t, what_comes_round_is_due_again_after_it_was_done_and_no_more_when_it_ends);
    tcase_add_test(t, the_calendar_holds_every_row_once_and_reads_back);
    tcase_add_test(t, after_an_edit_the_same_events_have_moved_and_none_is_lost_or_doubled);
    tcase_add_test(t, the_demonstration_has_a_gap_names_who_to_serve_when_and_that_service_closes_it);
    tcase_add_test(t, the_need_is_the_households_and_the_shares);
    suite_add_tcase(s, t);
    return s;
}
