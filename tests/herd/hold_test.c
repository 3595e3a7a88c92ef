#include "core/herd/hold.h"

#include "core/herd/treatment.h"
#include "tests/support.h"

enum { MINUTE = 60, HOUR = 3600, DAY = 86400 };

static struct instant at(const char *text)
{
    struct instant t = {0};
    struct fail f = {0};
    ck_assert_msg(instant_parse(text, (struct instant){0}, &t, &f) == 0, "%s", f.text);
    return t;
}

static struct instant plus(struct instant t, int64_t seconds)
{
    return (struct instant){t.s + seconds};
}

static struct hold treated(struct instant last_dose, double hours)
{
    return (struct hold){.kind = HOLD_TREATMENT,
                         .name = "udder tube",
                         .from_at = INSTANT_NONE,
                         .last_dose_at = last_dose,
                         .milk_hours = hours,
                         .meat_days = NAN,
                         .until_at = INSTANT_NONE,
                         .lifted_at = INSTANT_NONE};
}

static struct hold dry_cow(struct instant dose, double dry_days, double fresh_hours)
{
    struct hold h = treated(dose, NAN);
    h.kind = HOLD_DRY_COW;
    h.name = "dry tube";
    h.dry_days = dry_days;
    h.fresh_hours = fresh_hours;
    return h;
}

static struct hold plain(enum hold_kind kind, struct instant from, struct instant until,
                         struct instant lifted)
{
    return (struct hold){.kind = kind,
                         .name = "clots in LF",
                         .from_at = from,
                         .last_dose_at = INSTANT_NONE,
                         .until_at = until,
                         .lifted_at = lifted};
}

static struct hold_state judge(const struct hold *holds, size_t n, struct instant milked)
{
    const struct hold_facts facts = {.holds = holds, .hold_count = n};
    struct hold_state state;
    hold_state(&facts, milked, &state, NULL);
    return state;
}

/* WH1, WH2 and the other rows: milkings discarded after a dose, by strict elapsed hours. A label of 96 h is
 * tested as eight milkings twelve hours apart (drug labels, from memory), so the eighth, at exactly 96 h, is
 * discarded. */
static const struct {
    int hours, first_milking, every, discarded, first_kept;
} discard_table[] = {
    {96, 24, 24, 4, 120}, {96, 12, 12, 8, 108}, {72, 24, 24, 3, 96}, {60, 24, 24, 2, 72}, {48, 24, 24, 2, 72},
    {36, 24, 24, 1, 48},  {96, 12, 24, 4, 108}, {60, 12, 24, 3, 84}, {48, 12, 24, 2, 60},
};

START_TEST(milkings_discarded_after_a_dose)
{
    struct instant dose = at("2026-05-01T06:00");
    for (size_t i = 0; i < sizeof discard_table / sizeof discard_table[0]; i++) {
        struct hold h = treated(dose, discard_table[i].hours);
        const struct hold_facts facts = {.holds = &h, .hold_count = 1};
        struct instant list[20];
        int discarded = 0, first = -1;
        for (int k = 0; k < 20; k++) {
            int hour = discard_table[i].first_milking + k * discard_table[i].every;
            list[k] = plus(dose, (int64_t)hour * HOUR);
            bool keep = judge(&h, 1, list[k]).keep;
            discarded += !keep;
            if (keep && first < 0)
                first = hour;
        }
        ck_assert_int_eq(discarded, discard_table[i].discarded);
        ck_assert_int_eq(first, discard_table[i].first_kept);
        ck_assert_int_eq(hold_first_kept(&facts, list, 20, dose).s, dose.s + (int64_t)first * HOUR);
    }
}
END_TEST

/* The clock change of 2 November 2025 in New York, and the leap day of 2024: hours are elapsed hours. */
START_TEST(hours_run_through_clock_changes_and_leap_days)
{
    struct hold autumn = treated(at("2025-11-01T07:00"), 72), leap = treated(at("2024-02-27T18:30"), 72),
                spring = treated(at("2026-03-07T07:00"), 24);
    char iso[CIVIL_TEXT_MAX];
    ck_assert_str_eq(instant_iso_local(judge(&autumn, 1, autumn.last_dose_at).clear_at, iso),
                     "2025-11-04T06:00:00-05:00");
    ck_assert_str_eq(instant_iso_local(judge(&leap, 1, leap.last_dose_at).clear_at, iso),
                     "2024-03-01T18:30:00-05:00");
    ck_assert_str_eq(instant_iso_local(judge(&spring, 1, spring.last_dose_at).clear_at, iso),
                     "2026-03-08T08:00:00-04:00");
    ck_assert(!judge(&autumn, 1, at("2025-11-04T06:00")).keep);
    ck_assert(judge(&autumn, 1, at("2025-11-04T06:00:01")).keep);
}
END_TEST

/* WH4: two open treatments, ends A < B: clear at the later of both. */
START_TEST(of_several_holds_the_latest_decides)
{
    struct hold h[] = {treated(at("2026-05-01T06:00"), 96), treated(at("2026-05-02T06:00"), 120),
                       treated(at("2026-05-01T18:00"), 12)};
    h[1].name = "injection";
    struct hold_state s = judge(h, 3, at("2026-05-02T06:00"));
    ck_assert(!s.keep);
    ck_assert_uint_eq(s.reasons, 3);
    ck_assert_int_eq(s.clear_at.s, at("2026-05-07T06:00").s);
    ck_assert_uint_eq(s.reason[0].hold, 1);
    ck_assert_str_eq(s.words,
                     "injection, last dose Sat 2 May 06:00, 120 h; 2 more; kept after Thu 7 May 06:00");
    ck_assert(s.caution == hold_caution_interval);
    s = judge(h, 3, at("2026-05-06T06:00"));
    ck_assert_uint_eq(s.reasons, 1);
    ck_assert(!s.keep);
    s = judge(h, 3, at("2026-05-07T06:00:01"));
    ck_assert(s.keep);
    ck_assert_str_eq(hold_verdict(&s), "KEEP");
    ck_assert_str_eq(s.words, "injection cleared Thu 7 May 06:00");
    ck_assert(s.caution == NULL);
}
END_TEST

START_TEST(milk_from_before_the_first_dose_is_not_held)
{
    struct hold h = treated(at("2026-05-03T18:00"), 96);
    h.from_at = at("2026-05-01T06:00"); /* a course of several doses */
    ck_assert(judge(&h, 1, at("2026-05-01T05:59")).keep);
    ck_assert(!judge(&h, 1, at("2026-05-01T06:00")).keep);
    ck_assert(!judge(&h, 1, at("2026-05-02T06:00")).keep);
    /* The last dose counts, not the first. */
    ck_assert(!judge(&h, 1, at("2026-05-07T18:00")).keep);
    ck_assert(judge(&h, 1, at("2026-05-07T18:01")).keep);
}
END_TEST

START_TEST(what_is_not_known_keeps_milk_out)
{
    struct hold no_hours = treated(at("2026-05-01T06:00"), NAN), open = treated(at("2026-05-01T06:00"), 24),
                no_dose = treated(INSTANT_NONE, 24), mad = treated(at("2026-05-01T06:00"), -5),
                huge = treated(at("2026-05-01T06:00"), INFINITY);
    struct hold_state s;
    open.doses_to_come = true;
    for (int years = 0; years < 3; years++) {
        struct instant later = plus(at("2026-05-02T06:00"), (int64_t)years * 365 * DAY);
        s = judge(&no_hours, 1, later);
        ck_assert(!s.keep && !instant_known(s.clear_at));
        ck_assert_str_eq(s.words, "udder tube: the label's milk hours are not typed in");
        s = judge(&open, 1, later);
        ck_assert(!s.keep && !instant_known(s.clear_at));
        ck_assert_str_eq(s.words, "udder tube: doses still to come");
        s = judge(&no_dose, 1, later);
        ck_assert(!s.keep && !instant_known(s.clear_at));
        ck_assert(!judge(&mad, 1, later).keep);
        ck_assert(!judge(&huge, 1, later).keep);
    }
    /* An unknown end outlasts a known one. */
    struct hold both[] = {treated(at("2026-05-01T06:00"), 96), no_hours};
    s = judge(both, 2, at("2026-05-02T06:00"));
    ck_assert_uint_eq(s.reason[0].hold, 1);
    ck_assert(!instant_known(s.clear_at));
}
END_TEST

START_TEST(a_label_of_zero_hours_still_takes_the_milk_of_that_moment)
{
    struct hold h = treated(at("2026-05-01T06:00"), 0);
    ck_assert(!judge(&h, 1, at("2026-05-01T06:00")).keep);
    ck_assert(judge(&h, 1, at("2026-05-01T06:01")).keep);
}
END_TEST

START_TEST(a_dry_cow_product_waits_for_calving_and_clears_twice)
{
    struct hold h = dry_cow(at("2026-03-01T06:00"), 45, 96);
    struct instant calved = at("2026-04-28T03:00"), early = at("2026-04-05T03:00");
    struct hold_facts facts = {.holds = &h, .hold_count = 1};
    struct hold_state s;
    hold_state(&facts, at("2026-04-01T06:00"), &s, NULL);
    ck_assert(!s.keep && !instant_known(s.clear_at));
    ck_assert_str_eq(s.words, "dry tube: dry-cow product, waits for her calving");
    facts.calved_at = &calved;
    facts.calving_count = 1;
    hold_state(&facts, at("2026-05-02T03:00"), &s, NULL); /* exactly 96 h after calving */
    ck_assert(!s.keep);
    ck_assert_int_eq(s.clear_at.s, plus(calved, 96 * HOUR).s);
    hold_state(&facts, at("2026-05-02T03:01"), &s, NULL);
    ck_assert(s.keep);
    /* Milk drawn before that calving stays out whenever it is asked. */
    hold_state(&facts, at("2026-04-27T06:00"), &s, NULL);
    ck_assert(!s.keep);
    /* Calved on day 35 of the 45: the hours run from the end of the dry days. */
    facts.calved_at = &early;
    hold_state(&facts, at("2026-04-17T05:00"), &s, NULL);
    ck_assert(!s.keep);
    ck_assert_int_eq(s.clear_at.s, plus(at("2026-03-01T06:00"), 45 * DAY + 96 * HOUR).s);
    ck_assert(strstr(s.caution, "ask the veterinarian") != NULL);
    /* After a whole dry period it is only that milk which is held, and what has cleared is not a treatment to name. */
    facts.calved_at = &calved;
    hold_state(&facts, at("2026-05-01T06:00"), &s, NULL);
    ck_assert(!s.keep && (s.caution == NULL || strstr(s.caution, "calved before") == NULL));
    hold_state(&facts, at("2026-05-03T06:00"), &s, NULL);
    ck_assert(s.keep && s.caution == NULL);
    ck_assert_str_eq(s.words, "");
    /* A course that goes on has no last dose yet, though one is recorded. */
    h.doses_to_come = true;
    hold_state(&facts, at("2026-06-01T06:00"), &s, NULL);
    ck_assert(!s.keep && !instant_known(s.clear_at));
    ck_assert_str_eq(s.words, "dry tube: the last dose is not recorded");
    h.doses_to_come = false;
    facts.calved_at = &early;
    h.fresh_hours = NAN;
    hold_state(&facts, at("2027-04-17T05:00"), &s, NULL);
    ck_assert(!s.keep && !instant_known(s.clear_at));
    /* A calving before the dose is not the one that ends the dry period. */
    struct instant last_year = at("2025-05-01T03:00");
    facts.calved_at = &last_year;
    h.fresh_hours = 96;
    hold_state(&facts, at("2026-06-01T06:00"), &s, NULL);
    ck_assert(!s.keep);
}
END_TEST

START_TEST(milkings_on_a_dry_cow_label_are_counted_as_milked_on_top_of_the_hours)
{
    struct hold h = dry_cow(at("2026-03-01T06:00"), 45, 36);
    struct instant calved = at("2026-04-28T03:00"), milked[10];
    struct hold_facts facts = {
        .holds = &h, .hold_count = 1, .calved_at = &calved, .calving_count = 1, .milked_at = milked};
    struct hold_state s;
    h.fresh_milkings = 4;
    for (int i = 0; i < 10; i++)
        milked[i] = plus(at("2026-04-28T06:00"), (int64_t)i * DAY);
    facts.milking_count = 10;
    /* Once a day: 36 h are over at the third milking, the count after the fourth. */
    for (int i = 0; i < 10; i++) {
        hold_state(&facts, milked[i], &s, NULL);
        ck_assert_int_eq(s.keep, i >= 4);
        if (i < 3) {
            ck_assert_int_eq(s.milkings_left, 3 - i);
            ck_assert(!instant_known(s.clear_at));
        }
    }
    hold_state(&facts, milked[3], &s, NULL); /* the last that is counted: clear once it is over */
    ck_assert_int_eq(s.milkings_left, 0);
    ck_assert_int_eq(s.clear_at.s, milked[3].s);
    /* A label that names only milkings gives no hours: nothing is made up. */
    h.fresh_hours = NAN;
    hold_state(&facts, plus(milked[9], DAY), &s, NULL);
    ck_assert(!s.keep && !instant_known(s.clear_at));
}
END_TEST

START_TEST(fresh_milk_is_held_by_days_by_milkings_or_both)
{
    struct instant calved[] = {at("2025-04-01T12:00"), at("2026-04-28T03:00")}, milked[12];
    struct hold_facts facts = {
        .calved_at = calved, .calving_count = 2, .milked_at = milked, .milking_count = 12};
    struct hold_state s;
    for (int i = 0; i < 12; i++)
        milked[i] = plus(at("2026-04-28T06:00"), (int64_t)i * DAY);
    for (int i = 0; i < 12; i++) {
        double hours = (double)(milked[i].s - calved[1].s) / HOUR;
        facts.fresh = (struct fresh_rule){.days = 5};
        hold_state(&facts, milked[i], &s, NULL);
        ck_assert_int_eq(s.keep, hours > 120);
        facts.fresh = (struct fresh_rule){.milkings = 8};
        hold_state(&facts, milked[i], &s, NULL);
        ck_assert_int_eq(s.keep, i >= 8);
        facts.fresh = (struct fresh_rule){.days = 5, .milkings = 8};
        hold_state(&facts, milked[i], &s, NULL);
        ck_assert_int_eq(s.keep, i >= 8);
        facts.fresh = (struct fresh_rule){.days = 0};
        hold_state(&facts, milked[i], &s, NULL);
        ck_assert(s.keep);
    }
    facts.fresh = (struct fresh_rule){.days = 5};
    hold_state(&facts, calved[1], &s, NULL);
    ck_assert(!s.keep);
    ck_assert_int_eq(s.clear_at.s, plus(calved[1], 5 * DAY).s);
    ck_assert_str_eq(s.words, "fresh, calved 28 Apr, 5 days kept out; kept after Sun 3 May 03:00");
    ck_assert_int_eq(s.reason[0].cause, CAUSE_FRESH);
    hold_state(&facts, plus(calved[1], -DAY), &s, NULL); /* end of the lactation before */
    ck_assert(s.keep);
    facts.fresh.days = NAN; /* a setting that cannot be read keeps milk out */
    hold_state(&facts, plus(calved[1], 300 * (int64_t)DAY), &s, NULL);
    ck_assert(!s.keep);
}
END_TEST

START_TEST(abnormal_milk_is_held_until_a_person_lifts_it)
{
    struct hold h = plain(HOLD_ABNORMAL, at("2026-05-01T06:00"), INSTANT_NONE, INSTANT_NONE);
    struct hold_state s = judge(&h, 1, at("2026-06-01T06:00"));
    ck_assert(!s.keep && !instant_known(s.clear_at));
    ck_assert_str_eq(s.words, "clots in LF, until it is lifted");
    ck_assert(s.caution == NULL);
    ck_assert(judge(&h, 1, at("2026-05-01T05:59")).keep);
    ck_assert(!judge(&h, 1, at("2026-05-01T06:00")).keep);
    h.lifted_at = at("2026-05-04T06:00");
    ck_assert(!judge(&h, 1, at("2026-05-04T06:00")).keep);
    ck_assert(judge(&h, 1, at("2026-05-04T06:01")).keep);
    h.until_at = at("2026-05-02T06:00"); /* abnormal milk does not clear by the clock */
    ck_assert(!judge(&h, 1, at("2026-05-03T06:00")).keep);
}
END_TEST

START_TEST(a_test_that_is_due_holds_her_milk_until_it_is_clear)
{
    struct hold h = plain(HOLD_TEST, INSTANT_NONE, INSTANT_NONE, INSTANT_NONE);
    struct hold_facts facts = {.holds = &h, .hold_count = 1};
    struct hold_state state;
    hold_state(&facts, at("2026-05-01T06:00"), &state, NULL);
    ck_assert(!state.keep && !instant_known(state.clear_at));
    ck_assert_ptr_null(strstr(state.words, "lifted"));
    h.lifted_at = at("2026-05-04T10:00");
    hold_state(&facts, at("2026-05-04T10:00"), &state, NULL);
    ck_assert(!state.keep);
    hold_state(&facts, at("2026-05-04T10:01"), &state, NULL);
    ck_assert(state.keep);
}
END_TEST

START_TEST(a_plain_hold_ends_at_its_time_or_when_it_is_lifted)
{
    struct hold h = plain(HOLD_PLAIN, at("2026-05-01T06:00"), at("2026-05-05T06:00"), INSTANT_NONE);
    ck_assert(!judge(&h, 1, at("2026-05-05T06:00")).keep);
    ck_assert(judge(&h, 1, at("2026-05-05T06:01")).keep);
    h.lifted_at = at("2026-05-03T06:00");
    ck_assert(judge(&h, 1, at("2026-05-03T06:01")).keep);
    h.lifted_at = at("2026-05-08T06:00"); /* lifted after it had ended by itself */
    ck_assert(judge(&h, 1, at("2026-05-06T06:00")).keep);
    h.until_at = INSTANT_NONE;
    ck_assert(!judge(&h, 1, at("2026-05-06T06:00")).keep);
    h.from_at = INSTANT_NONE;
    ck_assert(!judge(&h, 1, at("2020-01-01T06:00")).keep);
}
END_TEST

START_TEST(the_meat_date_is_the_day_after_the_last_withholding)
{
    struct hold h[] = {treated(at("2026-05-01T06:00"), 96), treated(at("2026-05-02T06:00"), 24)};
    h[0].meat_days = 10;
    h[1].meat_days = 4;
    struct hold_state s = judge(h, 2, at("2026-05-03T06:00"));
    struct date d;
    ck_assert_int_eq(date_parse("2026-05-12", &d, NULL), 0);
    ck_assert_int_eq(s.meat_on.days, d.days);
    ck_assert(!s.meat_unknown);
    ck_assert(!date_known(judge(h, 2, at("2026-05-12T06:00")).meat_on));
    h[1].meat_days = NAN;
    s = judge(h, 2, at("2026-05-03T06:00"));
    ck_assert(s.meat_unknown && !date_known(s.meat_on));
}
END_TEST

START_TEST(more_holds_than_can_be_listed_still_count)
{
    struct hold h[20];
    for (int i = 0; i < 20; i++)
        h[i] = treated(at("2026-05-01T06:00"), 10 + (i * 7) % 20);
    struct hold_state s = judge(h, 20, at("2026-05-01T07:00"));
    ck_assert_uint_eq(s.reasons, 20);
    ck_assert_int_eq(s.clear_at.s, plus(at("2026-05-01T06:00"), 29 * HOUR).s);
    for (int i = 1; i < HOLD_REASONS_MAX; i++)
        ck_assert(s.reason[i].clear_at.s < s.reason[i - 1].clear_at.s);
}
END_TEST

START_TEST(the_first_kept_milking_by_habit_follows_the_wall_clock)
{
    struct hold h = treated(at("2025-11-01T07:00"), 72); /* clears 4 November 06:00 by the wall */
    const struct hold_facts facts = {.holds = &h, .hold_count = 1};
    const struct milking_habit once = {{6 * 60}, 1}, twice = {{6 * 60, 17 * 60 + 30}, 2}, never = {{0}, 0};
    int poured = -1;
    struct instant now = at("2025-11-01T07:30");
    ck_assert_int_eq(hold_first_kept_by_habit(&facts, &once, now, &poured).s, at("2025-11-05T06:00").s);
    ck_assert_int_eq(poured, 3);
    ck_assert_int_eq(hold_first_kept_by_habit(&facts, &twice, now, &poured).s, at("2025-11-04T17:30").s);
    ck_assert_int_eq(poured, 6);
    ck_assert(!instant_known(hold_first_kept_by_habit(&facts, &never, now, NULL)));
    h.milk_hours = NAN;
    ck_assert(!instant_known(hold_first_kept_by_habit(&facts, &once, now, NULL)));
    /* Counted milkings: six by habit, the seventh is kept. */
    struct instant calved = at("2026-04-28T03:00");
    const struct hold_facts fresh = {.calved_at = &calved, .calving_count = 1, .fresh = {.milkings = 6}};
    ck_assert_int_eq(hold_first_kept_by_habit(&fresh, &twice, calved, &poured).s, at("2026-05-01T06:00").s);
    ck_assert_int_eq(poured, 6);
}
END_TEST

START_TEST(the_working_tells_why)
{
    struct hold h = treated(at("2026-05-01T06:00"), 96);
    const struct hold_facts facts = {.holds = &h, .hold_count = 1};
    struct hold_state s;
    struct working w;
    working_init(&w, "hold");
    hold_state(&facts, at("2026-05-02T06:00"), &s, &w);
    ck_assert_str_eq(working_find(&w, "verdict", -1)->text, "DO NOT KEEP");
    ck_assert_str_eq(working_find(&w, "clear_at", -1)->text, "2026-05-05T06:00:00-04:00");
    ck_assert_uint_eq(w.step_count, 1);
    ck_assert_uint_eq(w.caution_count, 1);
    ck_assert(w.why[0] == '\0' && working_find(&w, "meat_on", -1) == NULL); /* its meat days are not typed in */
    h.meat_days = 10;
    h.milk_hours = NAN;
    working_init(&w, "hold");
    hold_state(&facts, at("2026-05-02T06:00"), &s, &w);
    ck_assert_str_eq(w.why, s.words); /* no moment, so it says what it waits for */
    ck_assert(w.why[0] != '\0');
    ck_assert_str_eq(working_find(&w, "meat_on", -1)->text, "2026-05-12"); /* the day after ten days from 1 May */
}
END_TEST

/* ---- every minute of a year ---- */

enum { YEAR_MINUTES = 365 * 24 * 60, HOLDS = 5, CALVINGS = 2, MILKINGS = 900 };

/* A year from 1 January 2025 in New York, both clock changes in it. */
struct year {
    struct instant start;
    struct hold hold[HOLDS];
    size_t holds;
    struct instant calved[CALVINGS];
    size_t calvings;
    struct instant milked[MILKINGS];
    size_t milkings;
    struct fresh_rule fresh;
};

static struct instant random_minute(struct stream *s, const struct year *y)
{
    return plus(y->start, (int64_t)stream_below(s, YEAR_MINUTES) * MINUTE);
}

static struct hold random_hold(struct stream *s, const struct year *y)
{
    struct instant dose = random_minute(s, y),
                   from = plus(dose, -(int64_t)stream_below(s, 7 * 1440) * MINUTE);
    bool odd = stream_below(s, 8) == 0;
    struct hold h;
    switch (stream_below(s, 4)) {
    case 0:
        h = dry_cow(dose, stream_below(s, 60), stream_below(s, 10) * 12);
        h.fresh_milkings = stream_below(s, 3) * 4;
        if (odd)
            h.fresh_hours = NAN;
        break;
    case 1:
        h = plain(stream_below(s, 2) == 0 ? HOLD_ABNORMAL : HOLD_TEST, from, INSTANT_NONE,
                  odd ? INSTANT_NONE : dose);
        break;
    case 2: h = plain(HOLD_PLAIN, from, dose, odd ? INSTANT_NONE : random_minute(s, y)); break;
    default:
        h = treated(dose, stream_below(s, 15) * 12);
        if (stream_below(s, 2) == 0)
            h.from_at = from;
        h.doses_to_come = odd;
        break;
    }
    return h;
}

/* Milkings by the wall clock, once or twice a day, a little early or late, some exactly on a hold's end. */
static void random_milkings(struct stream *s, struct year *y)
{
    bool twice = stream_below(s, 2) == 0;
    struct date first = instant_date(y->start);
    for (int day = 0; day < 365; day++)
        for (int k = 0; k <= (int)twice; k++) {
            struct civil c;
            date_to_civil(date_add(first, day), &c);
            c.hour = k == 0 ? 6 : 18;
            struct instant t = plus(civil_to_instant(&c, NULL), (int64_t)stream_below(s, 90) * MINUTE);
            for (size_t h = 0; h < y->holds; h++) {
                struct instant end = plus(y->hold[h].last_dose_at, (int64_t)(y->hold[h].milk_hours * HOUR));
                if (y->hold[h].kind == HOLD_TREATMENT && end.s > t.s - 6 * HOUR && end.s < t.s + 6 * HOUR)
                    t = end;
            }
            if (t.s < y->start.s + (int64_t)YEAR_MINUTES * MINUTE &&
                (y->milkings == 0 || t.s > y->milked[y->milkings - 1].s))
                y->milked[y->milkings++] = t;
        }
}

static void random_year(struct stream *s, struct year *y)
{
    memset(y, 0, sizeof *y);
    y->start = at("2025-01-01T00:00");
    y->holds = (size_t)stream_below(s, HOLDS + 1);
    y->calvings = (size_t)stream_below(s, CALVINGS + 1);
    for (size_t i = 0; i < y->holds; i++)
        y->hold[i] = random_hold(s, y);
    for (size_t i = 0; i < y->calvings; i++)
        y->calved[i] = random_minute(s, y);
    if (stream_below(s, 2) == 0)
        y->fresh.days = stream_below(s, 6);
    if (stream_below(s, 2) == 0)
        y->fresh.milkings = stream_below(s, 9);
    random_milkings(s, y);
}

/* One hold as a clockwork that is wound up by events and runs down by one each minute. */
struct clockwork {
    bool on;           /* the hold has begun */
    bool waits;        /* for something that has not happened: cannot run down */
    bool calving_seen; /* dry-cow product: the calving has come */
    int64_t dry_left;  /* minutes, -1 run down */
    int64_t left;      /* minutes of hours, -1 run down */
    int milkings_left;
};

static void clockwork_minute(struct clockwork *c, const struct hold *h, struct instant now, bool calved)
{
    bool unknown = isnan(h->kind == HOLD_DRY_COW ? h->fresh_hours : h->milk_hours) || h->doses_to_come;
    switch (h->kind) {
    case HOLD_TREATMENT:
        c->left -= c->left >= 0 && !c->waits;
        if (now.s == (instant_known(h->from_at) ? h->from_at.s : h->last_dose_at.s))
            c->on = c->waits = true;
        if (now.s == h->last_dose_at.s) {
            c->waits = unknown;
            c->left = unknown ? 0 : (int64_t)(h->milk_hours * 60);
        }
        break;
    case HOLD_DRY_COW:
        c->left -= c->left >= 0 && !c->waits && c->dry_left < 0;
        c->dry_left -= c->dry_left >= 0;
        if (now.s == h->last_dose_at.s) {
            c->on = c->waits = true;
            c->dry_left = (int64_t)(h->dry_days * 1440) - 1; /* -1 when the last dry minute is over */
        }
        if (calved && c->on && !c->calving_seen) {
            c->calving_seen = true;
            c->waits = unknown;
            c->left = unknown ? 0 : (int64_t)(h->fresh_hours * 60);
            c->milkings_left = h->fresh_milkings;
        }
        break;
    case HOLD_ABNORMAL:
    case HOLD_TEST:
    case HOLD_PLAIN:
        if (now.s > h->lifted_at.s && instant_known(h->lifted_at))
            c->on = false;
        else if (h->kind == HOLD_PLAIN && instant_known(h->until_at) && now.s > h->until_at.s)
            c->on = false;
        else if (now.s >= h->from_at.s)
            c->on = true;
        break;
    }
}

static bool clockwork_holds(const struct clockwork *c, const struct hold *h)
{
    if (h->kind != HOLD_TREATMENT && h->kind != HOLD_DRY_COW)
        return c->on;
    return c->on && (c->waits || c->left >= 0 || (h->kind == HOLD_DRY_COW && c->dry_left >= 0) ||
                     c->milkings_left > 0);
}

/* Walks the year minute by minute; kept[i] tells whether milking i may be kept. */
static void walk_year(const struct year *y, bool *kept)
{
    struct clockwork works[HOLDS] = {0};
    int64_t fresh_left = -1;
    int fresh_milkings = 0;
    size_t next = 0;
    for (int i = 0; i < HOLDS; i++)
        works[i].left = works[i].dry_left = -1;
    /* Holds may have begun before the year does. */
    for (int64_t minute = -8 * 1440; minute < YEAR_MINUTES; minute++) {
        struct instant now = plus(y->start, minute * MINUTE);
        bool calved = false, held = false;
        for (size_t i = 0; i < y->calvings; i++)
            calved = calved || y->calved[i].s == now.s;
        fresh_left -= fresh_left >= 0;
        if (calved) {
            fresh_left = y->fresh.days > 0 ? (int64_t)(y->fresh.days * 1440) : -1;
            fresh_milkings = y->fresh.milkings;
        }
        for (size_t i = 0; i < y->holds; i++) {
            clockwork_minute(&works[i], &y->hold[i], now, calved);
            held = held || clockwork_holds(&works[i], &y->hold[i]);
        }
        if (next >= y->milkings || y->milked[next].s != now.s)
            continue;
        kept[next++] = !held && fresh_left < 0 && fresh_milkings <= 0;
        fresh_milkings -= fresh_milkings > 0;
        for (size_t i = 0; i < y->holds; i++)
            works[i].milkings_left -= works[i].milkings_left > 0;
    }
    ck_assert_uint_eq(next, y->milkings);
}

START_TEST(no_milking_of_random_years_is_kept_while_a_minute_by_minute_clockwork_holds_it)
{
    struct stream s = {2025};
    static struct year y;
    static bool kept[MILKINGS];
    int held_total = 0, kept_total = 0;
    for (int round = 0; round < 60; round++) {
        random_year(&s, &y);
        walk_year(&y, kept);
        const struct hold_facts facts = {y.hold,   y.holds,    y.calved, y.calvings,
                                         y.milked, y.milkings, y.fresh};
        for (size_t i = 0; i < y.milkings; i++) {
            struct hold_state state;
            hold_state(&facts, y.milked[i], &state, NULL);
            if (state.keep != kept[i])
                ck_abort_msg("year %d, milking %zu: %s, but the clockwork says %s", round, i,
                             hold_verdict(&state), kept[i] ? "KEEP" : "DO NOT KEEP");
            if (!state.keep && instant_known(state.clear_at) && state.clear_at.s < y.milked[i].s)
                ck_abort_msg("year %d, milking %zu: held, but clear before it", round, i);
            held_total += !kept[i];
            kept_total += kept[i];
        }
    }
    ck_assert_int_gt(held_total, 2000); /* both answers were put to the test */
    ck_assert_int_gt(kept_total, 2000);
}
END_TEST

START_TEST(the_first_kept_milking_of_random_years_is_the_clockworks)
{
    struct stream s = {77};
    static struct year y;
    static bool kept[MILKINGS];
    for (int round = 0; round < 40; round++) {
        random_year(&s, &y);
        walk_year(&y, kept);
        size_t done = (size_t)stream_below(&s, (int)y.milkings); /* milked so far; the rest is to come */
        const struct hold_facts facts = {y.hold, y.holds, y.calved, y.calvings, y.milked, done, y.fresh};
        size_t want = done;
        while (want < y.milkings && !kept[want])
            want++;
        struct instant after = done > 0 ? y.milked[done - 1] : plus(y.start, -1);
        struct instant found = hold_first_kept(&facts, y.milked + done, y.milkings - done, after);
        if (want == y.milkings ? instant_known(found) : found.s != y.milked[want].s)
            ck_abort_msg("year %d from milking %zu: not milking %zu", round, done, want);
    }
}
END_TEST

/* ---- the record of a treatment ---- */

static struct treatment whole_record(void)
{
    return (struct treatment){.cow = "Maud",
                              .condition = "mastitis, LF",
                              .product = "udder tube",
                              .active = "as on the label",
                              .dose = "one tube",
                              .route = "into the quarter",
                              .course = "twice, 12 h apart",
                              .given_by = "the keeper",
                              .first_dose_at = at("2026-05-01T06:00"),
                              .last_dose_at = at("2026-05-01T18:00"),
                              .milk_hours = 96,
                              .meat_days = 10,
                              .dry_days = NAN,
                              .fresh_hours = NAN};
}

START_TEST(a_treatment_record_names_the_first_item_that_is_missing)
{
    struct treatment t = whole_record();
    ck_assert(treatment_missing(&t) == NULL);
    t.milk_hours = t.meat_days = 0; /* nought is a number, and is recorded */
    ck_assert(treatment_missing(&t) == NULL);
    t.meat_days = NAN;
    ck_assert_str_eq(treatment_missing(&t), "the meat withholding days (0 if the label says none)");
    t.milk_hours = NAN;
    ck_assert_str_eq(treatment_missing(&t), "the milk withholding hours (0 if the label says none)");
    t.extra_label = true;
    ck_assert_str_eq(treatment_missing(&t), "the veterinarian who ordered it");
    t.route[0] = '\0';
    ck_assert_str_eq(treatment_missing(&t), "the route");
    memset(&t.cow, 0, sizeof t.cow);
    ck_assert_str_eq(treatment_missing(&t), "which cow");
    t = whole_record();
    t.dry_cow = true;
    ck_assert_str_eq(treatment_missing(&t), "the least days dry (0 if the label names none)");
    t.dry_days = 45;
    ck_assert_str_eq(treatment_missing(&t), "the hours after calving (0 if the label says none)");
    t.fresh_hours = 96;
    ck_assert(treatment_missing(&t) == NULL);
}
END_TEST

START_TEST(a_treatment_holds_her_milk)
{
    struct treatment t = whole_record();
    struct hold h;
    treatment_hold(&t, &h);
    ck_assert(!judge(&h, 1, at("2026-05-05T18:00")).keep);
    ck_assert(judge(&h, 1, at("2026-05-05T18:01")).keep);
    ck_assert(judge(&h, 1, at("2026-05-01T05:59")).keep);
    ck_assert(!judge(&h, 1, at("2026-05-01T06:00")).keep);
    t.dry_cow = true;
    t.dry_days = 45;
    t.fresh_hours = 96;
    treatment_hold(&t, &h);
    ck_assert(!judge(&h, 1, at("2026-09-05T18:01")).keep); /* until she calves */
}
END_TEST

START_TEST(label_hours_are_read_and_counts_of_milkings_refused)
{
    static const struct {
        const char *text;
        double hours;
    } good[] = {{"96h", 96}, {"96", 96},     {"96 hours", 96}, {"4d", 96},
                {"0", 0},    {"1d 12h", 36}, {"36.5h", 36.5}};
    static const char *const bad[] = {"8 milkings", "8Milkings", "4 milkings (48h)", "", "soon", "-4h", "nan",
                                      "400d",       "96 gal"};
    double hours;
    struct fail f = {0};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        ck_assert_msg(withhold_hours_parse(good[i].text, &hours, &f) == 0, "%s", f.text);
        ck_assert(hours == good[i].hours);
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        hours = -1;
        ck_assert_msg(withhold_hours_parse(bad[i], &hours, &f) == -1, "%s was taken", bad[i]);
        ck_assert_int_eq(f.code, FAIL_INPUT);
        ck_assert(hours == -1);
    }
    (void)withhold_hours_parse("8 milkings", &hours, &f);
    ck_assert(strstr(f.text, "never turned into hours") != NULL && strstr(f.text, "veterinarian") != NULL);
}
END_TEST

Suite *hold_suite(void)
{
    Suite *s = suite_create("hold");
    TCase *t = tcase_create("hold");
    tcase_add_test(t, milkings_discarded_after_a_dose);
    tcase_add_test(t, hours_run_through_clock_changes_and_leap_days);
    tcase_add_test(t, of_several_holds_the_latest_decides);
    tcase_add_test(t, milk_from_before_the_first_dose_is_not_held);
    tcase_add_test(t, what_is_not_known_keeps_milk_out);
    tcase_add_test(t, a_label_of_zero_hours_still_takes_the_milk_of_that_moment);
    tcase_add_test(t, a_dry_cow_product_waits_for_calving_and_clears_twice);
    tcase_add_test(t, milkings_on_a_dry_cow_label_are_counted_as_milked_on_top_of_the_hours);
    tcase_add_test(t, fresh_milk_is_held_by_days_by_milkings_or_both);
    tcase_add_test(t, abnormal_milk_is_held_until_a_person_lifts_it);
    tcase_add_test(t, a_test_that_is_due_holds_her_milk_until_it_is_clear);
    tcase_add_test(t, a_plain_hold_ends_at_its_time_or_when_it_is_lifted);
    tcase_add_test(t, the_meat_date_is_the_day_after_the_last_withholding);
    tcase_add_test(t, more_holds_than_can_be_listed_still_count);
    tcase_add_test(t, the_first_kept_milking_by_habit_follows_the_wall_clock);
    tcase_add_test(t, the_working_tells_why);
    tcase_add_test(t, no_milking_of_random_years_is_kept_while_a_minute_by_minute_clockwork_holds_it);
    tcase_add_test(t, the_first_kept_milking_of_random_years_is_the_clockworks);
    tcase_add_test(t, a_treatment_record_names_the_first_item_that_is_missing);
    tcase_add_test(t, a_treatment_holds_her_milk);
    tcase_add_test(t, label_hours_are_read_and_counts_of_milkings_refused);
    suite_add_tcase(s, t);
    return s;
}
