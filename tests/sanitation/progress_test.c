/* The morning of the one-bucket template with two cows, tick by tick; and what must hold whatever is ticked.
 */
#include "core/sanitation/progress.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "assets/asset.h"
#include "core/base/text.h"
#include "tests/support.h"

enum { TICKS_MAX = 400 };

static const struct progress_cow cows[] = {{11, "Maud"}, {12, "Tib"}, {13, "Wren"}, {14, "Nan"}};

static struct routine routine;
static struct progress_facts facts;
static struct step_tick ticks[TICKS_MAX];
static size_t tick_count;
static struct progress p;
static struct instant six; /* 2026-05-03T06:00, a Sunday */

static void take_routine(const char *name)
{
    struct fail f = {0};
    ck_assert_msg(routine_parse(asset_text(name), &routine, &f) == 0, "%s", f.text);
}

static void begin_morning(void)
{
    take_routine("routine-one-bucket.txt");
    ck_assert_int_eq(instant_parse("2026-05-03T06:00", (struct instant){0}, &six, NULL), 0);
    facts = (struct progress_facts){
        .now = six,
        .milking_at = INSTANT_NONE,
        .cows = cows,
        .cow_count = 2,
        .sanitised_at = INSTANT_NONE,
        .drained_at = INSTANT_NONE,
        .dry_at = INSTANT_NONE,
        .jars_on_floor = true,
    };
    tick_count = 0;
}

static void look(int after_s)
{
    struct fail f = {0};
    facts.now.s = six.s + after_s;
    ck_assert_msg(progress_reckon(&routine, ticks, tick_count, &facts, &p, NULL, &f) == 0, "%s", f.text);
}

static void tick_kind(const char *step, int64_t cow, int after_s, enum tick_kind kind)
{
    struct step_tick *tick = &ticks[tick_count++];
    memset(tick, 0, sizeof *tick);
    snprintf(tick->step, sizeof tick->step, "%s", step);
    tick->cow = cow;
    tick->at.s = six.s + after_s;
    tick->kind = kind;
}

static void tick(const char *step, int64_t cow, int after_s)
{
    tick_kind(step, cow, after_s, TICK_DONE);
}

static void begin(const char *step, int64_t cow, int after_s)
{
    tick_kind(step, cow, after_s, TICK_BEGUN);
}

static const struct progress_row *row_of(const char *step, int64_t cow)
{
    int i = progress_find(&p, &facts, step, cow);
    ck_assert_msg(i >= 0, "no row %s of %d", step, (int)cow);
    return &p.row[i];
}

static void says(const char *step, int64_t cow, const char *expected)
{
    char text[200];
    ck_assert_str_eq(progress_row_text(row_of(step, cow), facts.now, text, sizeof text), expected);
}

/* All that a board shows of two reckonings is the same. */
static void same_progress(const struct progress *a, const struct progress *b)
{
    ck_assert_uint_eq(a->count, b->count);
    ck_assert_uint_eq(a->done, b->done);
    ck_assert_uint_eq(a->timer_count, b->timer_count);
    ck_assert_uint_eq(a->unknown_ticks, b->unknown_ticks);
    ck_assert_str_eq(a->next_text, b->next_text);
    ck_assert(a->sanitised_at.s == b->sanitised_at.s && a->drained_at.s == b->drained_at.s);
    ck_assert(a->sink == b->sink && a->ends_at.s == b->ends_at.s);
    for (size_t i = 0; i < a->count; i++) {
        const struct progress_row *x = &a->row[i], *y = &b->row[i];
        if (x->step != y->step || x->cow != y->cow || x->state != y->state ||
            x->begun_at.s != y->begun_at.s || x->done_at.s != y->done_at.s || x->left_s != y->left_s ||
            x->short_s != y->short_s || x->opens_at.s != y->opens_at.s || x->due_at.s != y->due_at.s ||
            x->late_s != y->late_s || strcmp(x->why, y->why) != 0)
            ck_abort_msg("row %zu (%s) differs", i, x->step->id);
    }
    for (size_t i = 0; i < a->timer_count; i++)
        ck_assert_uint_eq(a->timer[i], b->timer[i]);
}

/* The order of doing, as "step cow", for the rows of some phases. */
static void order_of(enum routine_phase from, enum routine_phase to, char *out, size_t size)
{
    out[0] = '\0';
    for (size_t i = 0; i < p.count; i++)
        if (p.row[i].step->phase >= from && p.row[i].step->phase <= to)
            (void)text_append(out, size, "%s%s%.1s ", p.row[i].step->id, p.row[i].cow < 0 ? "" : ":",
                              p.row[i].cow < 0 ? "" : cows[p.row[i].cow].name);
}

START_TEST(one_bucket_takes_cow_after_cow_through_to_the_tub)
{
    char order[1000];
    look(0);
    order_of(PHASE_FEED, PHASE_CHILL, order, sizeof order);
    ck_assert_str_eq(order,
                     "cows-in order grain:M grain:T hands "
                     "brush:M pre-dip:M strip:M wipe:M cups-on:M cups-off:M post-dip:M weigh:M strain:M "
                     "disc:M tub:M "
                     "brush:T pre-dip:T strip:T wipe:T cups-on:T cups-off:T post-dip:T weigh:T strain:T "
                     "disc:T tub:T stir ");
}
END_TEST

START_TEST(two_buckets_make_the_second_cow_ready_while_the_first_milks)
{
    char order[1000];
    take_routine("routine-two-buckets.txt");
    facts.cow_count = 3;
    look(0);
    order_of(PHASE_MILK, PHASE_STRAIN, order, sizeof order);
    ck_assert_str_eq(order,
                     "brush:M pre-dip:M strip:M wipe:M cups-on:M brush:T pre-dip:T strip:T wipe:T "
                     "cups-on:T cups-off:M post-dip:M weigh:M strain:M disc:M cups-off:T post-dip:T weigh:T "
                     "strain:T disc:T brush:W pre-dip:W strip:W wipe:W cups-on:W cups-off:W post-dip:W "
                     "weigh:W strain:W disc:W ");
}
END_TEST

START_TEST(without_cows_in_milk_only_the_rest_is_there)
{
    facts.cow_count = 0;
    look(0);
    for (size_t i = 0; i < p.count; i++)
        ck_assert(!p.row[i].step->per_cow);
    ck_assert_int_eq(progress_find(&p, &facts, "strip", 11), -1);
    /* "after all cows" is true of no cow */
    ck_assert(row_of("pre-rinse", 0)->state == STATE_OPEN);
}
END_TEST

START_TEST(too_many_cows_are_refused)
{
    struct fail f = {0};
    facts.cow_count = PROGRESS_COWS_MAX + 1;
    ck_assert_int_eq(progress_reckon(&routine, ticks, 0, &facts, &p, NULL, &f), -1);
    ck_assert_str_eq(f.text, "The routine can follow 12 cows in milk, not 13.");
}
END_TEST

/* Pre-dip contact 30 s (Consistent steps for effective milking). */
START_TEST(a_contact_time_runs_and_ends_by_itself)
{
    look(0);
    ck_assert(row_of("wipe", 11)->state == STATE_WAITING);
    says("wipe", 11, "waits: pre-dip");
    begin("pre-dip", 11, 100);
    look(118);
    ck_assert(row_of("pre-dip", 11)->state == STATE_RUNNING);
    ck_assert_int_eq(row_of("pre-dip", 11)->left_s, 12);
    says("pre-dip", 11, "12 s left");
    says("wipe", 11, "waits: pre-dip, 12 s");
    says("wipe", 12, "waits: pre-dip"); /* hers is another dip */
    look(129);
    ck_assert(row_of("wipe", 11)->state == STATE_WAITING);
    look(130);
    ck_assert(row_of("pre-dip", 11)->state == STATE_DONE && row_of("pre-dip", 11)->done_at.s == six.s + 130);
    ck_assert_int_eq(row_of("pre-dip", 11)->short_s, 0);
    ck_assert(row_of("wipe", 11)->state == STATE_OPEN);
    tick("pre-dip", 11, 140); /* pressed once more, later: it was over at 130 */
    look(150);
    ck_assert(row_of("pre-dip", 11)->done_at.s == six.s + 130);
}
END_TEST

START_TEST(a_contact_time_cut_short_says_by_how_much)
{
    begin("pre-dip", 11, 100);
    tick("pre-dip", 11, 122);
    look(140);
    ck_assert(row_of("pre-dip", 11)->state == STATE_DONE);
    ck_assert_int_eq(row_of("pre-dip", 11)->short_s, 8);
    says("pre-dip", 11, "06:02, 8 s short");
    begin("pre-dip", 11, 150); /* done again, properly */
    look(200);
    ck_assert_int_eq(row_of("pre-dip", 11)->short_s, 0);
    ck_assert(row_of("pre-dip", 11)->done_at.s == six.s + 180);
}
END_TEST

START_TEST(of_two_ticks_the_first_stands)
{
    tick("ice", 0, 50);
    tick("ice", 0, 20);
    tick("ice", 0, 80);
    look(100);
    ck_assert(row_of("ice", 0)->done_at.s == six.s + 20);
    const struct phase_progress *phase = &p.phase[row_of("ice", 0)->step->phase];
    ck_assert(phase->first_at.s == six.s + 20 && phase->last_at.s == six.s + 20);
    begin("pre-dip", 11, 100); /* ticked in the second in which it was begun: it was done, and 30 s short */
    tick("pre-dip", 11, 100);
    look(110);
    ck_assert(row_of("pre-dip", 11)->state == STATE_DONE);
    ck_assert_int_eq(row_of("pre-dip", 11)->short_s, 30);
    /* the phase began with the first of its ticks, in whatever order they came */
    phase = &p.phase[row_of("pre-dip", 11)->step->phase];
    ck_assert(phase->first_at.s == six.s + 100);
    tick("strip", 11, 90);
    look(120);
    ck_assert(row_of("strip", 11)->step->phase == row_of("pre-dip", 11)->step->phase);
    ck_assert(p.phase[row_of("strip", 11)->step->phase].first_at.s == six.s + 90);
}
END_TEST

START_TEST(a_clock_that_seems_to_begin_in_the_future_has_its_whole_time_left)
{
    begin("pre-dip", 11, 100);
    look(50); /* the wall clock was set back */
    ck_assert(row_of("pre-dip", 11)->state == STATE_RUNNING);
    ck_assert_int_eq(row_of("pre-dip", 11)->left_s, 30);
}
END_TEST

static void sanitise(int at_s)
{
    tick("gear-look", 0, at_s - 60);
    tick("rinse-gear", 0, at_s - 50);
    tick("mix", 0, at_s - 40);
    begin("sanitise", 0, at_s - 120);
    tick("drain", 0, at_s + 1);
}

/* Wallace, Milking the most out of udder prep: 60 to 90 s from the first touch. */
START_TEST(cups_go_on_in_their_window)
{
    sanitise(200);
    begin("pre-dip", 11, 300);
    tick("strip", 11, 310);
    look(320);
    says("cups-on", 11, "waits: wipe");
    begin("wipe", 11, 330);
    look(335);
    says("cups-on", 11, "waits: wipe, 35 s"); /* wiped at 350, but not before 310 + 60 */
    look(355);
    says("cups-on", 11, "waits: 60 s after strip, 15 s");
    look(370);
    ck_assert(row_of("cups-on", 11)->state == STATE_OPEN);
    says("cups-on", 11, "within 30 s");
    ck_assert_str_eq(p.next_text, "Cups on, Maud: within 30 s");
    look(400);
    ck_assert_int_eq(row_of("cups-on", 11)->late_s, 0);
    look(425);
    ck_assert_int_eq(row_of("cups-on", 11)->late_s, 25);
    says("cups-on", 11, "25 s late");
    ck_assert_str_eq(p.next_text, "Cups on, Maud: 25 s late");
    tick("cups-on", 11, 430);
    look(440);
    ck_assert_int_eq(row_of("cups-on", 11)->late_s, 0);
}
END_TEST

START_TEST(sanitised_gear_opens_only_fresh_and_drained)
{
    static const struct {
        int sanitised_s, drained_s, milking_s;
        const char *waits; /* NULL: open */
    } rows[] = {
        {-1, -1, 5000, "gear sanitised"},
        {1000, -1, 2000, "sanitiser drained off"},
        {1000, 900, 2000, "sanitiser drained off"}, /* drained before: that was another time */
        {1000, 1100, 2000, NULL},
        {1000, 1100, 4600, NULL}, /* just the hour of the template */
        {1000, 1100, 4601, "sanitised again: it was 1 h 00 before"},
        {-9000, -8990, 2000, "sanitised again: it was 3 h 03 before"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        facts.sanitised_at =
            rows[i].sanitised_s == -1 ? INSTANT_NONE : (struct instant){six.s + rows[i].sanitised_s};
        facts.drained_at =
            rows[i].drained_s == -1 ? INSTANT_NONE : (struct instant){six.s + rows[i].drained_s};
        facts.milking_at.s = six.s + rows[i].milking_s;
        tick_count = 0;
        tick("strip", 11, 5000);
        tick("wipe", 11, 5000);
        look(5070);
        const struct progress_row *row = row_of("cups-on", 11);
        if (rows[i].waits == NULL) {
            ck_assert_msg(row->state == STATE_OPEN, "row %zu: %s", i, row->why);
        } else {
            ck_assert(row->state == STATE_WAITING);
            ck_assert_str_eq(row->why, rows[i].waits);
        }
    }
}
END_TEST

START_TEST(the_sessions_own_ticks_make_the_gear_sanitised)
{
    sanitise(600);
    look(599);
    ck_assert(!instant_known(p.sanitised_at)); /* its two minutes are not over */
    look(700);
    ck_assert(p.sanitised_at.s == six.s + 600 && p.drained_at.s == six.s + 601);
    ck_assert(instant_known(p.dry_at));
    tick_kind("gear-look", 0, 10, TICK_SKIPPED);
    ticks[0].at.s = six.s + 20; /* skipped first, looked at later after all: looked at */
    look(700);
    ck_assert(row_of("gear-look", 0)->state == STATE_DONE);
}
END_TEST

START_TEST(jars_on_the_floor_keep_the_hose_off)
{
    look(0);
    says("hose", 0, "waits: jars off the floor");
    tick_kind("jars-up", 0, 10, TICK_SKIPPED);
    look(20);
    says("hose", 0, "waits: jars off the floor"); /* skipping does not lift a jar */
    tick("jars-up", 0, 30);
    look(40);
    ck_assert(row_of("hose", 0)->state == STATE_OPEN);
    tick_count = 0;
    facts.jars_on_floor = false;
    look(40);
    ck_assert(row_of("hose", 0)->state == STATE_OPEN);
}
END_TEST

/* Stanford EHS, Bleach solutions: plain water between chlorine and acid. */
START_TEST(acid_waits_for_a_rinse_even_when_the_rinse_was_skipped)
{
    tick("apart", 0, 0);
    begin("hot-wash", 0, 10);
    tick("hot-wash", 0, 400);
    tick_kind("hot-rinse", 0, 410, TICK_SKIPPED);
    look(420);
    says("acid-rinse", 0, "waits: a plain rinse: chlorinated detergent is in the sink");
    ck_assert(p.sink == CHEMICAL_ALKALINE_CHLORINE);
    begin("hot-wash", 0, 425); /* washed once more: what is rinsed meanwhile does not count */
    tick("hot-rinse", 0, 430);
    struct step_tick *rinse = &ticks[tick_count - 1];
    look(435);
    says("acid-rinse", 0, "waits: a plain rinse: chlorinated detergent is in the sink");
    tick("hot-wash", 0, 436);
    look(437);
    ck_assert(row_of("acid-rinse", 0)->state == STATE_WAITING);
    rinse->at.s = six.s + 438; /* un-ticked, and ticked again when it was done */
    look(440);
    ck_assert(row_of("acid-rinse", 0)->state == STATE_OPEN);
    ck_assert(p.sink == CHEMICAL_NONE);
    tick("acid-rinse", 0, 450);
    look(460);
    ck_assert(p.sink == CHEMICAL_ACID);
}
END_TEST

/* Of what was done in one second the later step is later: a rinse does not take out what comes after it, and takes out
 * what comes before. */
START_TEST(in_one_second_the_routine_tells_what_is_in_the_sink)
{
    tick("apart", 0, 0);
    begin("hot-wash", 0, 10);
    tick("hot-wash", 0, 400);
    tick("hot-rinse", 0, 410);
    tick("acid-rinse", 0, 410);
    look(420);
    ck_assert(p.sink == CHEMICAL_ACID);
    ticks[tick_count - 1].at.s = six.s + 405; /* the acid before the rinse: it is gone */
    look(420);
    ck_assert(p.sink == CHEMICAL_NONE);
    ticks[tick_count - 1].at.s = six.s + 400; /* with the wash, and no rinse after them */
    ticks[tick_count - 2].kind = TICK_SKIPPED;
    look(420);
    ck_assert(p.sink == CHEMICAL_ACID);
}
END_TEST

START_TEST(what_yesterday_left_in_the_sink_is_not_forgotten)
{
    facts.sink = CHEMICAL_ACID;
    tick("gear-look", 0, 0);
    tick("mix", 0, 1);
    look(10);
    says("sanitise", 0, "waits: a plain rinse: acid is in the sink");
    ck_assert_int_eq(p.sink, CHEMICAL_ACID);
    tick("rinse-gear", 0, 20);
    look(30);
    ck_assert_int_eq(p.sink, CHEMICAL_NONE);
    ck_assert(row_of("sanitise", 0)->state == STATE_OPEN);
}
END_TEST

START_TEST(hot_water_is_watched_down_to_its_floor)
{
    struct step_floor lowest = {"hot-wash", {six.s + 1000 + 540}};
    facts.floors = &lowest;
    facts.floor_count = 1;
    tick("apart", 0, 900);
    begin("hot-wash", 0, 1000);
    look(1000);
    says("hot-wash", 0, "6 min left, 120 °F in 9 min");
    look(1300);
    says("hot-wash", 0, "60 s left, 120 °F in 4 min");
    ck_assert(!row_of("hot-wash", 0)->too_short);
    look(1400); /* long enough, and it does not end by itself */
    ck_assert(row_of("hot-wash", 0)->state == STATE_RUNNING);
    says("hot-wash", 0, "long enough, 120 °F in 2 min");
    look(1440);
    ck_assert_str_eq(p.next_text, "Hot wash from 165 °F, brush all of it: long enough, 120 °F in 100 s");
    look(1600);
    ck_assert_int_eq(row_of("hot-wash", 0)->late_s, 60);
    says("hot-wash", 0, "long enough, under 120 °F for 60 s");
    tick("hot-wash", 0, 1610);
    look(1620);
    ck_assert(row_of("hot-wash", 0)->state == STATE_DONE);
    ck_assert_int_eq(row_of("hot-wash", 0)->short_s, 0);
    /* Water that will be too cold before the six minutes are over is said at once. */
    tick_count = 0;
    lowest.at.s = six.s + 1000 + 240;
    tick("apart", 0, 900);
    begin("hot-wash", 0, 1000);
    look(1010);
    ck_assert(row_of("hot-wash", 0)->too_short);
    /* Without readings nothing is forecast; then the time alone counts. */
    facts.floor_count = 0;
    look(1010);
    says("hot-wash", 0, "5 min left");
    look(1400);
    says("hot-wash", 0, "long enough, 40 s over its time");
}
END_TEST

START_TEST(steps_of_the_week_and_month_come_when_they_are_due)
{
    struct step_last last[] = {{"oil", DATE_NONE}, {"pulsator", DATE_NONE}};
    struct date today = instant_date(six);
    facts.last = last;
    facts.last_count = 2;
    look(0);
    ck_assert(row_of("oil", 0)->state == STATE_OPEN); /* never done */
    last[0].on = date_add(today, -6);
    last[1].on = date_add(today, -29);
    look(0);
    ck_assert(row_of("oil", 0)->state == STATE_NOT_DUE && row_of("pulsator", 0)->state == STATE_NOT_DUE);
    says("oil", 0, "done Mon 27 Apr");
    size_t rows = p.rows;
    last[0].on = date_add(today, -7);
    last[1].on = date_add(today, -33);
    look(0);
    ck_assert(row_of("oil", 0)->state == STATE_OPEN && row_of("oil", 0)->overdue_days == 0);
    says("pulsator", 0, "3 days overdue");
    ck_assert_uint_eq(p.rows, rows + 2);
    last[0].on = date_add(today, -1);
    tick("oil", 0, 50); /* done again all the same */
    look(60);
    ck_assert(row_of("oil", 0)->state == STATE_DONE);
}
END_TEST

START_TEST(the_next_sentence_names_what_is_first_and_the_clock_that_runs)
{
    look(0);
    ck_assert_str_eq(p.next_text, "Ice weighed into the tub, water added");
    for (int i = 0; i < 4; i++) {
        static const char *const first[] = {"ice", "jars", "gear-look", "rinse-gear"};
        tick(first[i], 0, i * 10);
    }
    tick("mix", 0, 50);
    look(60);
    ck_assert_str_eq(p.next_text, "Sanitise: every milk surface, 2 min wet");
    begin("sanitise", 0, 60);
    look(90);
    ck_assert_str_eq(p.next_text, "Pump on: gauge steady, pulsator even; sanitise: 90 s left");
    look(130);
    ck_assert_str_eq(p.next_text, "Drain upside down; do not rinse: waits: sanitise, 50 s");
}
END_TEST

START_TEST(what_was_passed_over_does_not_stand_in_the_way)
{
    tick("jars", 0, 10);
    look(20);
    ck_assert_str_eq(p.row[p.next].step->id, "ice"); /* the same phase: not forgotten */
    tick("cows-in", 0, 30);
    look(40);
    ck_assert_str_eq(p.row[p.next].step->id, "order"); /* on with the feeding */
    tick("brush", 12, 50);
    look(60);
    ck_assert_str_eq(p.row[p.next].step->id, "brush"); /* hers is undone, in the same stretch */
    ck_assert_int_eq(p.row[p.next].cow, 0);
    for (size_t i = 0; i < p.count; i++) /* all but the first phase is done: back to what is left of that */
        if (p.row[i].step->phase != PHASE_READY)
            tick(p.row[i].step->id, p.row[i].cow < 0 ? 0 : cows[p.row[i].cow].id, 70 + (int)i);
    look(300);
    ck_assert_str_eq(p.row[p.next].step->id, "ice");
}
END_TEST

START_TEST(when_nothing_can_be_done_it_says_what_is_waited_for)
{
    struct fail f = {0};
    static const char small[] =
        "routine X\nphase milk\nstep dip\nsay Dip\ntime 2 min\nstep wipe\nsay Wipe\ngate after "
        "dip\nstep hose\nsay Hose\ngate after wipe\n";
    ck_assert_msg(routine_parse(small, &routine, &f) == 0, "%s", f.text);
    begin("dip", 0, 0);
    look(10);
    ck_assert_int_eq(p.next, -1);
    ck_assert_str_eq(p.next_text, "dip: 110 s left");
    look(70);
    ck_assert_str_eq(p.row[p.next].step->id, "wipe"); /* not long now */
    ck_assert_str_eq(p.next_text, "Wipe: waits: dip, 50 s");
    tick("wipe", 0, 120);
    tick("hose", 0, 155);
    look(160);
    ck_assert_str_eq(p.next_text, "All done at 06:02");
    ck_assert(p.ends_at.s == six.s + 155);
}
END_TEST

START_TEST(a_press_begins_ends_and_ticks)
{
    struct step_tick tick_made;
    look(5);
    int row = progress_find(&p, &facts, "ice", 0);
    ck_assert(progress_press(&p, (size_t)row, &facts, &tick_made));
    ck_assert(tick_made.kind == TICK_DONE && tick_made.cow == 0 && tick_made.at.s == six.s + 5);
    ticks[tick_count++] = tick_made;
    look(6);
    ck_assert(!progress_press(&p, (size_t)row, &facts, &tick_made));
    row = progress_find(&p, &facts, "hot-wash", 0);
    ck_assert(progress_press(&p, (size_t)row, &facts, &tick_made) && tick_made.kind == TICK_BEGUN);
    ticks[tick_count++] = tick_made;
    look(10);
    ck_assert(progress_press(&p, (size_t)row, &facts, &tick_made) && tick_made.kind == TICK_DONE);
    row = progress_find(&p, &facts, "strip", 12);
    ck_assert(progress_press(&p, (size_t)row, &facts, &tick_made) && tick_made.cow == 12);
}
END_TEST

START_TEST(catching_up_ticks_what_lies_before_and_leaves_the_weeks_work)
{
    struct step_tick made[TICKS_MAX];
    begin("sanitise", 0, 100);
    look(150);
    size_t row = (size_t)progress_find(&p, &facts, "hang", 0);
    size_t count = progress_catch_up(&p, row, &facts, made, TICKS_MAX);
    for (size_t i = 0; i < count; i++) {
        ck_assert(made[i].kind == TICK_DONE && made[i].at.s == six.s + 150);
        ck_assert_str_ne(made[i].step, "milkstone"); /* of the week: nobody said that it was done */
        ck_assert_str_ne(made[i].step, "sanitise");  /* its clock runs and ends by itself */
        ticks[tick_count++] = made[i];
    }
    look(160);
    ck_assert(p.sink == CHEMICAL_ACID); /* ticked in one second, yet in the order of the routine */
    look(300);
    for (size_t i = 0; i <= row; i++)
        ck_assert_msg(p.row[i].state == STATE_DONE || strcmp(p.row[i].step->id, "milkstone") == 0, "%s",
                      p.row[i].step->id);
    ck_assert(row_of("small-gear", 0)->state == STATE_OPEN);
    ck_assert_uint_eq(progress_catch_up(&p, row, &facts, made, 0), 0);
}
END_TEST

START_TEST(a_routine_edited_in_the_middle_keeps_its_ticks)
{
    char text[ROUTINE_TEXT_MAX];
    struct fail f = {0};
    tick("ice", 0, 10);
    tick("vacuum", 0, 20);
    tick("strip", 11, 30);
    begin("wipe", 11, 40);
    look(100);
    size_t done = p.done;
    tick("order", 0, 50);
    /* `vacuum` goes; `ice` gets new words; `wipe` loses its clock; `strip` is now done once for all, and
     * `order` for each cow. */
    static struct routine edited;
    edited = routine;
    int gone = routine_index(&edited, "vacuum");
    memmove(&edited.step[gone], &edited.step[gone + 1],
            (edited.count - (size_t)gone - 1) * sizeof edited.step[0]);
    edited.count--;
    snprintf(edited.step[routine_index(&edited, "ice")].words, STEP_WORDS_MAX, "More ice");
    edited.step[routine_index(&edited, "wipe")].kind = STEP_PLAIN;
    edited.step[routine_index(&edited, "wipe")].contact_s = 0;
    edited.step[routine_index(&edited, "strip")].per_cow = false;
    edited.step[routine_index(&edited, "order")].per_cow = true;
    ck_assert_msg(routine_check(&edited, &f) == 0, "%s", f.text);
    struct routine before = routine;
    routine = edited;
    look(100);
    ck_assert(row_of("ice", 0)->state == STATE_DONE);
    ck_assert(row_of("wipe", 11)->state == STATE_DONE && row_of("wipe", 11)->done_at.s == six.s + 40);
    ck_assert(row_of("strip", 0)->state == STATE_DONE);
    ck_assert(row_of("order", 11)->state == STATE_DONE && row_of("order", 12)->state == STATE_DONE);
    ck_assert_uint_eq(p.unknown_ticks, 1);
    ck_assert_int_eq(routine_write(&edited, text, sizeof text, &f), 0);
    routine = before; /* and back: nothing was lost */
    look(100);
    ck_assert_uint_eq(p.done, done + 1);
    ck_assert_uint_eq(p.unknown_ticks, 0);
}
END_TEST

/* Random ticks, begun, done and skipped, of any step and cow, at any time of a morning. */
static void random_ticks(struct stream *s, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const struct progress_row *row = &p.row[stream_below(s, (int)p.count)];
        tick_kind(row->step->id, row->cow < 0 ? 0 : cows[row->cow].id, stream_below(s, 7200),
                  (enum tick_kind)stream_below(s, 3));
    }
}

START_TEST(the_order_in_which_ticks_come_never_matters)
{
    static struct progress first;
    struct stream s = {5};
    for (int n = 0; n < 60; n++) {
        tick_count = 0;
        facts.cow_count = (size_t)(1 + n % 4);
        look(0);
        random_ticks(&s, 60);
        int at_s = stream_below(&s, 9000);
        look(at_s);
        first = p;
        for (size_t i = tick_count - 1; i > 0; i--) { /* shuffled */
            size_t j = (size_t)stream_below(&s, (int)i + 1);
            struct step_tick t = ticks[i];
            ticks[i] = ticks[j];
            ticks[j] = t;
        }
        look(at_s);
        same_progress(&p, &first);
    }
}
END_TEST

START_TEST(no_tick_loses_a_step_and_taking_it_back_restores_all)
{
    static struct progress before;
    struct stream s = {6};
    for (int n = 0; n < 60; n++) {
        tick_count = 0;
        look(0);
        size_t rows = p.count;
        random_ticks(&s, (size_t)stream_below(&s, 80));
        int at_s = 7200 + stream_below(&s, 100);
        look(at_s);
        before = p;
        random_ticks(&s, 1);
        const struct step_tick last = ticks[tick_count - 1];
        look(at_s);
        if (p.count != rows || p.unknown_ticks != 0)
            ck_abort_msg("a row was lost");
        const struct progress_row *ticked = row_of(last.step, last.cow);
        if (ticked->state == STATE_OPEN || ticked->state == STATE_WAITING)
            ck_abort_msg("the tick on %s left no trace", last.step);
        tick_count--;
        look(at_s);
        same_progress(&p, &before);
    }
}
END_TEST

START_TEST(clocks_stand_in_order_with_what_is_late_first)
{
    struct stream s = {7};
    size_t longest = 0;
    for (int n = 0; n < 200; n++) {
        tick_count = 0;
        facts.cow_count = 4;
        look(0);
        random_ticks(&s, 60);
        look(stream_below(&s, 7300));
        int64_t before = INT64_MIN;
        bool on_time = false;
        for (size_t i = 0; i < p.timer_count; i++) {
            const struct progress_row *row = &p.row[p.timer[i]];
            int64_t moment =
                instant_known(row->due_at) ? row->due_at.s : row->begun_at.s + row->step->contact_s;
            if (moment < before || (row->late_s > 0 && on_time))
                ck_abort_msg("clock %zu is out of order", i);
            on_time = on_time || row->late_s == 0;
            before = moment;
        }
        longest = p.timer_count > longest ? p.timer_count : longest;
        for (size_t i = 0; i < p.count; i++) /* every clock is there */
            if (p.row[i].state == STATE_RUNNING || p.row[i].late_s > 0) {
                bool there = false;
                for (size_t j = 0; j < p.timer_count; j++)
                    there = there || p.timer[j] == i;
                if (!there)
                    ck_abort_msg("%s has a clock that is not shown", p.row[i].step->id);
            }
    }
    ck_assert_uint_gt(longest, 3);
}
END_TEST

START_TEST(pressing_what_comes_next_ends_every_morning)
{
    static const char *const names[] = {"routine-one-bucket.txt", "routine-two-buckets.txt"};
    for (int n = 0; n < 2; n++) {
        begin_morning();
        take_routine(names[n]);
        facts.cow_count = 4;
        facts.sink = CHEMICAL_ACID;
        int at_s = 0;
        look(at_s);
        for (; p.done < p.rows && at_s < 20000; at_s += 10) {
            look(at_s);
            if (p.next >= 0 && p.row[p.next].state != STATE_WAITING)
                ck_assert(progress_press(&p, (size_t)p.next, &facts, &ticks[tick_count++]));
        }
        ck_assert_msg(p.done == p.rows, "stuck: %s", p.next_text);
        for (size_t i = 0; i < p.count; i++) /* and nothing had to be cut short */
            ck_assert_int_eq(p.row[i].short_s, 0);
    }
}
END_TEST

START_TEST(the_end_is_forecast_from_what_is_left_and_the_usual_lengths)
{
    static struct working w;
    struct fail f = {0};
    static const char small[] =
        "routine X\nphase milk\nusual 10 min\nstep a\nsay A\neach cow\nstep b\nsay B\neach "
        "cow\nphase wash\nstep c\nsay C\nstep d\nsay D\n";
    ck_assert_msg(routine_parse(small, &routine, &f) == 0, "%s", f.text);
    working_init(&w, "end");
    ck_assert_int_eq(progress_reckon(&routine, ticks, 0, &facts, &p, &w, &f), 0);
    ck_assert(!instant_known(p.ends_at)); /* nobody knows how long the wash takes */
    ck_assert_str_eq(
        w.why, "How long wash takes is not known yet: no morning has been recorded, and the routine does "
               "not say.");
    facts.usual[PHASE_WASH] = (struct phase_usual){5, 1200, 1500, 1860};
    working_init(&w, "end");
    tick("a", 11, 0);
    facts.now = six;
    ck_assert_int_eq(progress_reckon(&routine, ticks, tick_count, &facts, &p, &w, &f), 0);
    /* By hand: milk 2 cows x 600 s, 3 of 4 rows left = 900 s; wash 1500 (1200 to 1860) s. */
    ck_assert_int_eq(p.ends_at.s - six.s, 900 + 1500);
    ck_assert_int_eq(p.ends_early_at.s - six.s, 900 + 1200);
    ck_assert_int_eq(p.ends_late_at.s - six.s, 900 + 1860);
    ck_assert_str_eq(w.step[0], "milk: 3 of 4 steps left, 15.0 of 20.0 min");
    ck_assert(w.given[0].origin == ORIGIN_DEFAULT && w.given[1].origin == ORIGIN_LEARNED);
    ck_assert_str_eq(working_find(&w, "ends_at", -1)->text, "2026-05-03T06:40:00-04:00");
}
END_TEST

START_TEST(the_end_is_not_before_a_clock_that_runs)
{
    struct fail f = {0};
    ck_assert_int_eq(
        routine_parse("routine X\nphase wash\nusual 1 min\nstep a\nsay A\ntime 10 min\n", &routine, &f), 0);
    begin("a", 0, 0);
    look(60);
    ck_assert_int_eq(p.ends_at.s - facts.now.s, 540);
}
END_TEST

START_TEST(time_spent_goes_to_the_phase_of_the_tick_that_ends_it)
{
    int32_t spent[PHASE_COUNT];
    tick("grain", 11, 700); /* feed */
    tick("ice", 0, 100);    /* ready: nothing before it */
    tick("jars", 0, 400);   /* ready: 300 */
    tick("order", 0, 520);  /* feed: 120, then 180 */
    tick("cups-on", 11, 1000);
    tick("strain", 11, 1000); /* at one break both were entered: 150 each */
    tick("gone", 0, 1100);    /* no step of this routine: no time of its own */
    progress_spent(&routine, ticks, tick_count, spent);
    ck_assert_int_eq(spent[PHASE_READY], 300);
    ck_assert_int_eq(spent[PHASE_FEED], 300);
    ck_assert_int_eq(spent[PHASE_MILK], 150);
    ck_assert_int_eq(spent[PHASE_STRAIN], 150);
    ck_assert_int_eq(spent[PHASE_WASH], 0);
}
END_TEST

/* GSL computes the quantile of sorted data at (n - 1) f, linear between neighbours. */
START_TEST(past_mornings_teach_median_and_quartiles)
{
    struct stream s = {8};
    for (int n = 1; n < 80; n++) {
        struct past_morning past[80];
        struct phase_usual usual[PHASE_COUNT];
        double wash[80], milk[80];
        size_t used = n > PAST_MORNINGS_MAX ? PAST_MORNINGS_MAX : (size_t)n, from = (size_t)n - used;
        for (int i = 0; i < n; i++) {
            memset(&past[i], 0, sizeof past[i]);
            past[i].cows = 1 + stream_below(&s, 4);
            past[i].spent_s[PHASE_WASH] = 600 + stream_below(&s, 1800);
            past[i].spent_s[PHASE_MILK] = 300 * past[i].cows + stream_below(&s, 600);
        }
        for (size_t i = 0; i < used; i++) {
            wash[i] = past[from + i].spent_s[PHASE_WASH];
            milk[i] = (double)past[from + i].spent_s[PHASE_MILK] / past[from + i].cows; /* for one cow */
        }
        gsl_sort(wash, 1, used);
        gsl_sort(milk, 1, used);
        phase_learn(&routine, past, (size_t)n, usual);
        ck_assert_int_eq(usual[PHASE_WASH].mornings, (int)used);
        ck_assert_int_eq(usual[PHASE_FEED].mornings, 0);
        ck_within(usual[PHASE_WASH].low_s, gsl_stats_quantile_from_sorted_data(wash, 1, used, 0.25), 0.51);
        ck_within(usual[PHASE_WASH].middle_s, gsl_stats_median_from_sorted_data(wash, 1, used), 0.51);
        ck_within(usual[PHASE_MILK].middle_s, gsl_stats_median_from_sorted_data(milk, 1, used), 0.51);
        ck_within(usual[PHASE_MILK].high_s, gsl_stats_quantile_from_sorted_data(milk, 1, used, 0.75), 0.51);
    }
}
END_TEST

Suite *progress_suite(void)
{
    Suite *s = suite_create("progress");
    TCase *t = tcase_create("progress");
    tcase_add_checked_fixture(t, begin_morning, NULL);
    tcase_add_test(t, one_bucket_takes_cow_after_cow_through_to_the_tub);
    tcase_add_test(t, two_buckets_make_the_second_cow_ready_while_the_first_milks);
    tcase_add_test(t, without_cows_in_milk_only_the_rest_is_there);
    tcase_add_test(t, too_many_cows_are_refused);
    tcase_add_test(t, a_contact_time_runs_and_ends_by_itself);
    tcase_add_test(t, a_contact_time_cut_short_says_by_how_much);
    tcase_add_test(t, of_two_ticks_the_first_stands);
    tcase_add_test(t, a_clock_that_seems_to_begin_in_the_future_has_its_whole_time_left);
    tcase_add_test(t, cups_go_on_in_their_window);
    tcase_add_test(t, sanitised_gear_opens_only_fresh_and_drained);
    tcase_add_test(t, the_sessions_own_ticks_make_the_gear_sanitised);
    tcase_add_test(t, jars_on_the_floor_keep_the_hose_off);
    tcase_add_test(t, acid_waits_for_a_rinse_even_when_the_rinse_was_skipped);
    tcase_add_test(t, in_one_second_the_routine_tells_what_is_in_the_sink);
    tcase_add_test(t, what_yesterday_left_in_the_sink_is_not_forgotten);
    tcase_add_test(t, hot_water_is_watched_down_to_its_floor);
    tcase_add_test(t, steps_of_the_week_and_month_come_when_they_are_due);
    tcase_add_test(t, the_next_sentence_names_what_is_first_and_the_clock_that_runs);
    tcase_add_test(t, what_was_passed_over_does_not_stand_in_the_way);
    tcase_add_test(t, when_nothing_can_be_done_it_says_what_is_waited_for);
    tcase_add_test(t, a_press_begins_ends_and_ticks);
    tcase_add_test(t, catching_up_ticks_what_lies_before_and_leaves_the_weeks_work);
    tcase_add_test(t, a_routine_edited_in_the_middle_keeps_its_ticks);
    tcase_add_test(t, the_order_in_which_ticks_come_never_matters);
    tcase_add_test(t, no_tick_loses_a_step_and_taking_it_back_restores_all);
    tcase_add_test(t, clocks_stand_in_order_with_what_is_late_first);
    tcase_add_test(t, pressing_what_comes_next_ends_every_morning);
    tcase_add_test(t, the_end_is_forecast_from_what_is_left_and_the_usual_lengths);
    tcase_add_test(t, the_end_is_not_before_a_clock_that_runs);
    tcase_add_test(t, time_spent_goes_to_the_phase_of_the_tick_that_ends_it);
    tcase_add_test(t, past_mornings_teach_median_and_quartiles);
    suite_add_tcase(s, t);
    return s;
}
