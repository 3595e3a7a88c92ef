/* What a page says of an animal in each case that it tells apart, and what the records of a day say of a high figure. */
#include <stdio.h>
#include <string.h>

#include "core/base/file.h"
#include "core/day/ahead.h"
#include "core/day/cow_page.h"
#include "core/day/shelf.h"
#include "core/day/supply_view.h"
#include "core/day/wash_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define NOW "2026-05-03T12:00"

static const struct cow_page *page_of(struct dairy *d, const char *name, const char *at)
{
    static struct cow_page page;
    struct fail f = {0};
    int64_t id;
    ck_assert_msg(dairy_find_cow(d, name, &id, &f) == 0, "%s", f.text);
    ck_assert_msg(dairy_cow_page(d, id, rig_at(at), PAGE_NOW, &page, &f) == 0, "%s", f.text);
    return &page;
}

static bool event_says(const struct cow_page *p, enum event_kind kind, const char *words)
{
    for (size_t i = 0; i < p->events; i++)
        if (p->event[i].kind == kind && strstr(p->event[i].words, words) != NULL)
            return true;
    return false;
}

static bool figure_says(const struct cow_page *p, const char *words)
{
    for (size_t i = 0; i < p->figures; i++)
        if (strstr(p->figure[i].text, words) != NULL)
            return true;
    return false;
}

START_TEST(a_heifer_is_held_against_the_table_of_her_breed)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    rig_do(d, "2026-04-20T20:01", "cow", "name=Pip  breed=Holstein  born=2025-05-02  dam=Maud");
    rig_do(d, "2026-04-20T20:02", "cow", "name=Moss  breed=Nowhere  born=2025-05-03");
    rig_do(d, "2026-05-02T09:00", "weigh", "cow=Pip  mass=450lb  height=42in");
    rig_do(d, "2026-05-02T09:00", "weigh", "cow=Moss  mass=450lb");
    const struct cow_page *p = page_of(d, "Pip", NOW);
    ck_assert(figure_says(p, "450 lb (2 May)"));
    /* Holstein at 12 months: 299.1 kg (Heinrichs & Hargrove 1987, as in growth.csv); 450 lb is 204.1 kg (NIST SP 811). */
    ck_assert(figure_says(p, "68 % of usual"));
    ck_assert_str_eq(p->dam, "Maud");
    ck_assert(!figure_says(page_of(d, "Moss", NOW), "% of usual")); /* no table of that breed */
    rig_do(d, "2026-05-03T09:00", "weigh", "cow=Pip  girth=54in");
    ck_assert(figure_says(page_of(d, "Pip", NOW), "by tape (3 May)"));
    dairy_close(d);
}
END_TEST

START_TEST(one_that_left_keeps_her_page)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    rig_do(d, "2026-04-21T09:00", "hold", "cow=Tib  until=2026-04-25  why=waits for the vet");
    rig_do(d, "2026-04-28T09:00", "hold", "cow=Tib  why=limps");
    rig_do(d, "2026-04-29T09:00", "hold", "cow=Tib  lift=yes  why=seen");
    rig_do(d, "2026-05-01T09:00", "cow", "name=Tib  left=sold  to=Hill Farm");
    rig_do(d, "2026-05-01T09:00", "cow", "name=Maud  left=died  to=bloat");
    const struct cow_page *p = page_of(d, "Tib", NOW);
    ck_assert(p->gone && !p->view.in_milk);
    ck_assert(event_says(p, EVENT_LEFT, "sold to Hill Farm"));
    ck_assert(event_says(p, EVENT_HOLD, "until "));
    ck_assert(event_says(p, EVENT_HOLD, "lifted "));
    ck_assert(event_says(page_of(d, "Maud", NOW), EVENT_LEFT, "died: bloat"));
    dairy_close(d);
}
END_TEST

static bool has_line(const struct wash_measure_view *m, const char *part)
{
    for (size_t i = 0; i < m->logs; i++)
        if (strstr(m->log[i], part) != NULL)
            return true;
    return false;
}

static const struct wash_measure_view *measure_of(struct dairy *d, const char *at, enum lab_measure which)
{
    static struct wash_view v;
    struct fail f = {0};
    ck_assert_msg(dairy_wash(d, rig_at(at), &v, &f) == 0, "%s", f.text);
    return &v.measure[which];
}

START_TEST(a_high_figure_of_a_day_of_which_little_is_written)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    const struct wash_measure_view *m;
    rig_do(d, "2026-05-03T09:00", "rules", "standard=utah");
    rig_do(d, "2026-05-10T09:00", "lab", "sample=A  drawn=2026-05-09T07:00  plate=60000  coliform=90  cells=900000");
    m = measure_of(d, "2026-05-10T10:00", LAB_PLATE);
    ck_assert(has_line(m, "nothing says when the sample arrived, nor how cold"));
    ck_assert(has_line(m, "no milking is recorded in the two days before it"));
    ck_assert(has_line(measure_of(d, "2026-05-10T10:00", LAB_CELLS), "no milking is recorded"));
    /* Two milkings; nobody ticked anything. The sample is of the batch. */
    rig_do(d, "2026-05-10T18:00", "milking", "state=start");
    rig_do(d, "2026-05-10T18:30", "milking", "state=done");
    rig_do(d, "2026-05-11T06:00", "milk", "cow=Maud  mass=36lb  strip=clean");
    rig_do(d, "2026-05-11T06:01", "milk", "cow=Tib  mass=20lb  strip=LF:watery  disc=hair");
    rig_do(d, "2026-05-11T06:25", "pour", "jars=4xhalf-gallon  from=Maud  temp=95F  bath=34F");
    rig_do(d, "2026-05-11T06:30", "pour", "jars=2xquart  from=Maud");
    rig_do(d, "2026-05-11T07:30", "sample", "name=B  batch=A  hours=60h");
    rig_do(d, "2026-05-12T07:30", "lab", "sample=B  arrived=2026-05-12T07:00");
    rig_do(d, "2026-05-14T09:00", "lab", "sample=B  plate=60000  coliform=90  cells=900000");
    m = measure_of(d, "2026-05-14T10:00", LAB_PLATE);
    ck_assert(has_line(m, "the sample took 23 h 30")); /* 07:30 to 07:00 on the next day */
    ck_assert(!has_line(m, "TOO LONG") && !has_line(m, "came at") && !has_line(m, "WARM"));
    ck_assert(has_line(m, "nothing says that the gear was sanitised"));
    ck_assert(has_line(m, "no mix recorded that morning"));
    ck_assert(has_line(m, "nothing says that there was a hot wash before it"));
    ck_assert(has_line(m, "Tib: strip cup LF:watery, disc hair"));
    m = measure_of(d, "2026-05-14T10:00", LAB_CELLS);
    ck_assert(has_line(m, "Tib: strip cup LF:watery, disc hair"));
    ck_assert(!has_line(m, "sanitised"));
    dairy_close(d);
}
END_TEST

START_TEST(water_is_not_asked_of_the_milking)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T09:00", "rules", "water=new-york");
    rig_do(d, "2026-05-04T09:00", "lab", "sample=W  drawn=2026-05-03T07:00  arrived=2026-05-03T09:00  temp=38F  water=9");
    const struct wash_measure_view *m = measure_of(d, "2026-05-04T10:00", LAB_WATER);
    ck_assert(has_line(m, "the sample took 2 h 00 and came at 38 °F"));
    ck_assert(!has_line(m, "milking"));
    dairy_close(d);
}
END_TEST

static const struct shelf_view *shelf_of(struct dairy *d, const char *at)
{
    static struct shelf_view *v;
    struct fail f = {0};
    if (v == NULL)
        v = malloc(sizeof *v);
    ck_assert_msg(dairy_shelf(d, rig_at(at), v, &f) == 0, "%s", f.text);
    return v;
}

START_TEST(milk_in_a_refrigerator_follows_what_was_read_of_it)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb");
    rig_do(d, "2026-05-03T06:25", "pour", "jars=4xhalf-gallon  from=Maud  temp=95F  bath=34F");
    rig_do(d, "2026-05-03T07:30", "pull", "batch=A  to=fridge");
    double usual_c = shelf_of(d, "2026-05-04T08:00")->row[0].now_c;
    rig_do(d, "2026-05-03T08:00", "reading", "at_place=fridge  temp=38F");
    rig_do(d, "2026-05-03T20:00", "reading", "at_place=fridge  temp=60F");
    rig_do(d, "2026-05-04T07:00", "reading", "at_place=fridge  temp=60F");
    /* 60 F is 15.6 C; half a day in it brings a half gallon most of the way there (common practice, no source). */
    const struct shelf_row *row = &shelf_of(d, "2026-05-04T08:00")->row[0];
    ck_assert_msg(row->now_c > usual_c + 5 && row->now_c < 15.6, "%.2f, %.2f", row->now_c, usual_c);
    /* A shut door cannot have made it colder: the reading is left out, and the milk has not frozen. */
    rig_do(d, "2026-05-04T12:00", "outage", "from=2026-05-04T09:00  to=2026-05-04T12:00  temp=20F");
    row = &shelf_of(d, "2026-05-04T12:01")->row[0];
    ck_assert_msg(row->now_c > 0 && row->now_c < 20, "%.2f", row->now_c);
    dairy_close(d);
}
END_TEST

START_TEST(jars_moved_more_often_than_is_kept_are_where_they_are)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    char at[32];
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb");
    rig_do(d, "2026-05-03T06:25", "pour", "jars=4xhalf-gallon  from=Maud  temp=95F  bath=34F");
    rig_do(d, "2026-05-03T07:30", "pull", "batch=A  to=fridge");
    for (int i = 0; i < 20; i++) {
        (void)snprintf(at, sizeof at, "2026-05-03T%02d:%02d", 8 + i / 10, 5 * (i % 10));
        rig_do(d, at, "jar", i % 2 == 0 ? "batch=A  count=4  to=freezer" : "batch=A  count=4  to=fridge");
    }
    const struct shelf_view *v = shelf_of(d, "2026-05-03T12:00");
    ck_assert_int_eq(v->jars, 4);
    ck_assert_uint_eq(v->rows, 1);
    ck_assert_int_eq(v->row[0].place, AT_FRIDGE);
    dairy_close(d);
}
END_TEST

/* Nothing on a page is without its why. */
static void all_explained(struct dairy *d, const char *name, const char *at)
{
    const struct cow_page *p = page_of(d, name, at);
    for (size_t i = 0; i < p->figures; i++) {
        struct working w;
        struct fail f = {0};
        working_init(&w, "page");
        if (p->figure[i].kind != FIGURE_DUE || p->figure[i].index >= 0) {
            ck_assert_msg(cow_page_explain(d, p, &p->figure[i], &w, &f) == 0, "%s: %s", p->figure[i].text, f.text);
            ck_assert_msg(w.step_count + w.result_count + w.source_count > 0 || w.why[0] != '\0', "%s", p->figure[i].text);
        } else {
            ck_assert_int_eq(cow_page_explain(d, p, &p->figure[i], &w, &f), -1);
            ck_assert_str_eq(f.text, "Nothing is due.");
        }
    }
}

START_TEST(every_figure_of_a_page_is_explained)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    rig_do(d, "2026-04-20T20:01", "cow", "name=Pip  breed=Holstein  born=2025-05-02");
    rig_do(d, "2026-04-20T20:01", "cow", "name=Ash  breed=Ayrshire  born=2025-05-02");
    rig_do(d, "2026-04-20T20:02", "cow", "name=Wren  breed=Guernsey  calvings=3  stall=3");
    rig_do(d, "2026-05-02T09:00", "weigh", "cow=Pip  mass=450lb");
    rig_do(d, "2026-05-02T09:00", "weigh", "cow=Ash  girth=54in");
    rig_do(d, "2026-05-02T09:00", "weigh", "cow=Maud  girth=66in  length=56in");
    rig_do(d, "2026-05-02T09:00", "cells", "cow=Maud  count=180000  quarter=LF");
    rig_do(d, "2026-05-02T09:00", "test", "cow=Maud  fat=4.8%  protein=3.6%  cells=200000");
    rig_do(d, "2026-05-02T09:00", "treat", "cow=Maud  product=tube  milk_hours=96h  meat_days=10d  more=yes");
    rig_do(d, "2026-05-03T11:30", "calving", "cow=Wren  calf=heifer 70lb");
    rig_do(d, "2026-05-03T11:30", "heat", "cow=Tib  signs=standing");
    for (size_t i = 0; i < 5; i++)
        all_explained(d, (const char *const[]){"Maud", "Tib", "Wren", "Pip", "Ash"}[i], NOW);
    dairy_close(d);
}
END_TEST

START_TEST(a_chore_of_the_week_is_due_a_week_after_it_was_done)
{
    struct dairy *d = rig_small("t.db", "2026-05-02T20:00");
    struct ahead_view *v = malloc(sizeof *v);
    struct fail f = {0};
    int found = 0;
    rig_do(d, "2026-05-03T05:00", "step", "id=scrub  say=Scrub the drain  phase=floors  every=week");
    rig_do(d, "2026-05-03T05:40", "milking", "state=start");
    rig_do(d, "2026-05-03T07:00", "tick", "step=scrub");
    ck_assert_int_eq(dairy_ahead(d, rig_at("2026-05-12T08:00"), v, &f), 0);
    for (size_t i = 0; i < v->rows; i++) {
        char day[CIVIL_TEXT_MAX];
        if (v->row[i].part != AHEAD_CHORE)
            continue;
        found++;
        ck_assert_str_eq(date_iso(v->row[i].on, day), "2026-05-10");
        ck_assert_str_eq(v->row[i].words, "Scrub the drain");
        ck_assert_str_eq(v->row[i].reason, "every week, last 3 May");
        ck_assert_int_eq(v->row[i].urgency, URGENCY_WATCH); /* two days over */
    }
    ck_assert_int_eq(found, 1);
    free(v);
    dairy_close(d);
}
END_TEST

START_TEST(files_of_an_export_are_known_by_their_names)
{
    ck_assert(dairy_table_file("/tmp/out/cow.csv"));
    ck_assert(dairy_table_file("milk.csv"));
    ck_assert(!dairy_table_file("/tmp/cow.csv/weights.csv"));
    ck_assert(!dairy_table_file("cow"));
}
END_TEST

START_TEST(a_dairy_without_a_cow_has_parts_all_the_same)
{
    static struct wash_view v;
    struct dairy *d = rig_open("t.db");
    struct act_done done;
    struct fail f = {0};
    int seen = 0;
    ck_assert_int_eq(dairy_undo(d, 0, rig_at(NOW), &done, &f), -1);
    ck_assert_str_eq(f.text, "There is nothing to take back.");
    rig_do(d, "2026-05-02T20:00", "dairy", "name=Test");
    rig_refused(d, NOW, "milk", "cow=Maud  mass=20lb", "There is no cow yet; record one with `cow name=...`.");
    rig_refused(d, NOW, "jar", "batch=260503-1AR  to=drunk", "There is no batch 260503-1AR in the records.");
    rig_do(d, "2026-05-02T20:01", "part", "name=sprocket  milkings=100");
    rig_do(d, "2026-05-02T20:02", "part", "name=cog  milkings=100  days=10");
    rig_do(d, "2026-05-02T20:03", "machine", "vacuum=14inHg"); /* the band is 36 to 42 kPa, 10.6 to 12.4 inHg */
    ck_assert_int_eq(dairy_wash(d, rig_at(NOW), &v, &f), 0);
    for (size_t i = 0; i < v.parts; i++) {
        if (strcmp(v.part[i].name, "sprocket") == 0)
            ck_assert_str_eq(v.part[i].text, "0 of 100 milkings used; no cow is in milk");
        if (strcmp(v.part[i].name, "cog") == 0)
            ck_assert_int_eq(v.part[i].days_left, 9); /* of 10, after one */
        seen += strcmp(v.part[i].name, "sprocket") == 0 || strcmp(v.part[i].name, "cog") == 0;
    }
    ck_assert_int_eq(seen, 2);
    ck_assert_int_eq(v.machine_urgency, URGENCY_WATCH);
    rig_do(d, "2026-05-03T12:01", "machine", "rate=90/min");
    ck_assert_int_eq(dairy_wash(d, rig_at("2026-05-03T12:02"), &v, &f), 0);
    ck_assert_int_eq(v.machine_urgency, URGENCY_WATCH);
    dairy_close(d);
}
END_TEST

START_TEST(weighed_once_a_month_she_is_reckoned_by_intervals)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    struct act_done done;
    struct fail f = {0};
    char words[300];
    const char *path = scratch_path("weights.csv");
    static const char text[] = "date,lb\n2025-12-15,50\n2026-01-12,50\n2026-02-09,50\n2026-03-09,50\n2026-04-06,50\n";
    ck_assert_int_eq(file_replace(path, text, sizeof text - 1, &f), 0);
    (void)snprintf(words, sizeof words, "file=%s", path);
    ck_assert(!rig_try(d, NOW, "weights", words, &done, &f));
    ck_assert_ptr_nonnull(strstr(f.text, "say cow="));
    (void)snprintf(words, sizeof words, "file=%s  cow=Tib  milkings=5", path);
    ck_assert(!rig_try(d, NOW, "weights", words, &done, &f));
    ck_assert_str_eq(f.text, "milkings: 1 to 4 together.");
    (void)snprintf(words, sizeof words, "file=%s  cow=Tib  milkings=1", path);
    ck_assert_msg(rig_try(d, NOW, "weights", words, &done, &f), "%s", f.text);
    /* Calved 1 December: 126 days at 50 lb, all tests alike (ICAR, test interval method: 126 x 22.68 kg). */
    const struct cow_page *p = page_of(d, "Tib", NOW);
    ck_assert(p->by_intervals);
    ck_assert_msg(p->to_date_kg > 125 * 22.67 && p->to_date_kg < 127 * 22.69, "%.1f", p->to_date_kg);
    ck_assert(figure_says(p, "test interval method"));
    ck_assert_int_eq(file_replace(path, "date,cow,lb\n", 12, &f), 0);
    ck_assert(!rig_try(d, NOW, "weights", words, &done, &f));
    dairy_close(d);
}
END_TEST

START_TEST(what_cannot_be_looked_at_yet_or_any_more_is_said)
{
    struct dairy *d = rig_open("t.db");
    struct supply_view *v = malloc(sizeof *v);
    struct working w;
    struct fail f = {0};
    int64_t id;
    ck_assert_int_eq(dairy_supply(d, rig_at(NOW), v, &f), -1);
    ck_assert_str_eq(f.text, "The dairy is not set up yet.");
    rig_do(d, "2026-05-02T20:00", "dairy", "name=Test  stalls=2");
    ck_assert_int_eq(dairy_supply(d, rig_at(NOW), v, &f), 0);
    ck_assert_str_eq(v->sentence, "There is no cow to plan with yet.");
    rig_do(d, "2026-05-02T20:01", "cow", "name=Maud  breed=Jersey  stall=1  calved=2026-01-31");
    ck_assert_int_eq(dairy_find_cow(d, "Maud", &id, &f), 0);
    rig_do(d, "2026-05-03T09:00", "cow", "name=Maud  left=sold");
    working_init(&w, "cow");
    ck_assert_int_eq(board_explain_cow(d, id, rig_at(NOW), &w, &f), -1);
    ck_assert_str_eq(f.text, "She is no longer here.");
    free(v);
    dairy_close(d);
}
END_TEST

START_TEST(two_weights_of_a_day_stay_in_their_order)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    struct act_done done;
    struct fail f = {0};
    char words[300];
    const char *path = scratch_path("weights.csv");
    static const char text[] = "date,lb\n2026-04-25T18:00,20\n2026-04-25T06:00,30\n2026-04-26,10\n2026-04-26,12\n";
    ck_assert_int_eq(file_replace(path, text, sizeof text - 1, &f), 0);
    (void)snprintf(words, sizeof words, "file=%s  cow=Maud", path);
    ck_assert_msg(rig_try(d, NOW, "weights", words, &done, &f), "%s", f.text);
    const struct cow_page *p = page_of(d, "Maud", NOW); /* the newest first */
    ck_assert_uint_eq(p->milkings, 4);
    static const double lb[] = {12, 10, 20, 30};
    for (size_t i = 0; i < 4; i++)
        ck_within(p->milking[i].mass_kg, lb[i] * 0.45359237, 0.001); /* NIST SP 811 */
    dairy_close(d);
}
END_TEST

Suite *pages_suite(void)
{
    Suite *s = suite_create("pages");
    TCase *t = tcase_create("pages");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, a_heifer_is_held_against_the_table_of_her_breed);
    tcase_add_test(t, one_that_left_keeps_her_page);
    tcase_add_test(t, a_high_figure_of_a_day_of_which_little_is_written);
    tcase_add_test(t, water_is_not_asked_of_the_milking);
    tcase_add_test(t, milk_in_a_refrigerator_follows_what_was_read_of_it);
    tcase_add_test(t, jars_moved_more_often_than_is_kept_are_where_they_are);
    tcase_add_test(t, every_figure_of_a_page_is_explained);
    tcase_add_test(t, a_chore_of_the_week_is_due_a_week_after_it_was_done);
    tcase_add_test(t, files_of_an_export_are_known_by_their_names);
    tcase_add_test(t, a_dairy_without_a_cow_has_parts_all_the_same);
    tcase_add_test(t, weighed_once_a_month_she_is_reckoned_by_intervals);
    tcase_add_test(t, what_cannot_be_looked_at_yet_or_any_more_is_said);
    tcase_add_test(t, two_weights_of_a_day_stay_in_their_order);
    suite_add_tcase(s, t);
    return s;
}
