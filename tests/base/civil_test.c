/* Civil time: checked against timegm and mktime of the C library (an independent calendar), and at the clock
 * changes of the zone that the tests run in, America/New_York: 2026-03-08 02:00 -> 03:00 and 2026-11-01 02:00
 * -> 01:00 (IANA tz database: second Sunday of March, first Sunday of November). */
#include <time.h>

#include "core/base/civil.h"
#include "tests/support.h"

static struct date ymd(int y, int m, int d)
{
    struct date out = {0};
    ck_assert_msg(date_from_ymd(y, m, d, &out), "%d-%d-%d is a day", y, m, d);
    return out;
}

static struct instant at(const char *text)
{
    struct instant t = {0}, now = {0};
    struct fail f = {0};
    ck_assert_msg(instant_parse(text, now, &t, &f) == 0, "%s: %s", text, f.text);
    return t;
}

START_TEST(every_day_of_four_centuries_agrees_with_timegm)
{
    /* timegm from the C library is the independent reference. */
    struct tm tm = {.tm_year = 1899 - 1900, .tm_mon = 0, .tm_mday = 1, .tm_hour = 12};
    for (int i = 0; i < 400 * 366; i++) {
        tm.tm_mday++;
        time_t s = timegm(&tm);
        struct date d;
        struct civil c;
        bool is_day = date_from_ymd(tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday, &d);
        date_to_civil(d, &c);
        if (!is_day || d.days != (int)((s - 43200) / 86400 - ((s - 43200) % 86400 < 0)) ||
            c.year != tm.tm_year + 1900 || c.month != tm.tm_mon + 1 || c.day != tm.tm_mday ||
            c.weekday != tm.tm_wday)
            ck_abort_msg("%04d-%02d-%02d came out wrong", tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday);
    }
}
END_TEST

START_TEST(days_that_do_not_exist_are_refused)
{
    static const int none[][3] = {{2023, 2, 29}, {2100, 2, 29}, {2026, 4, 31}, {2026, 0, 1},
                                  {2026, 13, 1}, {2026, 1, 0},  {0, 1, 1},     {10000, 1, 1}};
    struct date d;
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++)
        ck_assert(!date_from_ymd(none[i][0], none[i][1], none[i][2], &d));
    static const int last[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}; /* the Gregorian calendar */
    for (int month = 1; month <= 12; month++) {
        ck_assert(date_from_ymd(2026, month, last[month - 1], &d));
        ck_assert(!date_from_ymd(2026, month, last[month - 1] + 1, &d));
    }
    ck_assert(date_from_ymd(2000, 2, 29, &d));
    ck_assert(date_from_ymd(2024, 2, 29, &d));
}
END_TEST

START_TEST(civil_time_round_trips_through_every_hour_of_a_year)
{
    struct instant t = at("2026-01-01T00:30");
    int twice = 0;
    for (int hour = 0; hour < 365 * 24; hour++, t.s += 3600) {
        struct civil c;
        enum civil_fit fit;
        civil_from_instant(t, &c);
        /* mktime from the C library is the independent reference. */
        time_t raw = (time_t)t.s;
        struct tm tm;
        localtime_r(&raw, &tm);
        ck_assert_int_eq(c.hour, tm.tm_hour);
        ck_assert_int_eq(c.day, tm.tm_mday);
        struct instant back = civil_to_instant(&c, &fit);
        ck_assert(fit != CIVIL_NEVER); /* it has just been */
        if (fit == CIVIL_TWICE) {
            twice++;
            ck_assert(back.s == t.s || back.s == t.s - 3600);
        } else {
            ck_assert_int_eq(back.s, t.s);
        }
    }
    ck_assert_int_eq(twice, 2); /* both passes of 01:30 on 1 November */
}
END_TEST

START_TEST(the_skipped_hour_moves_forward_and_the_double_hour_takes_the_first)
{
    struct civil gap = {.year = 2026, .month = 3, .day = 8, .hour = 2, .minute = 30};
    struct civil twice = {.year = 2026, .month = 11, .day = 1, .hour = 1, .minute = 30};
    enum civil_fit fit;
    char buf[CIVIL_TEXT_MAX];
    struct instant t = civil_to_instant(&gap, &fit);
    ck_assert_int_eq(fit, CIVIL_NEVER);
    ck_assert_str_eq(instant_iso_local(t, buf), "2026-03-08T03:30:00-04:00");
    t = civil_to_instant(&twice, &fit);
    ck_assert_int_eq(fit, CIVIL_TWICE);
    ck_assert_str_eq(instant_iso_local(t, buf), "2026-11-01T01:30:00-04:00");
}
END_TEST

START_TEST(days_of_moments_close_together_are_those_of_the_library)
{
    /* localtime_r of the C library is the independent reference; the two years hold four changes of the clocks, and Lord
     * Howe Island changes them by half an hour (IANA tz database). */
    static const char *const zones[] = {"America/New_York", "Australia/Lord_Howe"};
    for (size_t z = 0; z < sizeof zones / sizeof zones[0]; z++) {
        setenv("TZ", zones[z], 1);
        tzset();
        struct zone_week week = {0};
        int64_t first_s = at("2025-06-01T00:10").s;
        for (int64_t s = first_s; s < first_s + 730 * (int64_t)86400; s += 5 * 60) {
            struct tm tm;
            time_t raw = (time_t)s;
            if (localtime_r(&raw, &tm) == NULL ||
                instant_date_near((struct instant){s}, &week).days !=
                    ymd(tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday).days)
                ck_abort_msg("%s: the day of %lld came out wrong", zones[z], (long long)s);
        }
    }
    setenv("TZ", "America/New_York", 1);
    tzset();
    /* The week that begins at moment 0, where nothing is known yet: five hours behind. */
    struct zone_week none = {0};
    ck_assert_int_eq(instant_date_near((struct instant){5 * 3600 - 1}, &none).days, -1);
}

START_TEST(a_day_may_begin_at_one_oclock)
{
    /* Asia/Beirut 2022-03-27: clocks went from 00:00 to 01:00 (IANA tz database). */
    char buf[CIVIL_TEXT_MAX];
    setenv("TZ", "Asia/Beirut", 1);
    tzset();
    ck_assert_str_eq(instant_iso_local(date_start(ymd(2022, 3, 27)), buf), "2022-03-27T01:00:00+03:00");
    setenv("TZ", "America/New_York", 1);
    tzset();
}
END_TEST

START_TEST(elapsed_hours_across_the_clock_change)
{
    /* Herd reference 5.3: 2025-11-01 07:00 America/New_York + 72 h ends 2025-11-04 06:00 local; leap day
     * 2024. */
    char buf[CIVIL_TEXT_MAX];
    struct instant t = at("2025-11-01T07:00");
    t.s += 72 * 3600;
    ck_assert_str_eq(instant_iso_local(t, buf), "2025-11-04T06:00:00-05:00");
    t = at("2024-02-27T18:30");
    t.s += 72 * 3600;
    ck_assert_str_eq(instant_iso_local(t, buf), "2024-03-01T18:30:00-05:00");
}
END_TEST

START_TEST(moments_are_read_in_all_their_forms)
{
    char buf[CIVIL_TEXT_MAX];
    struct instant now = at("2026-05-03T06:41:00"), t;
    ck_assert_str_eq(instant_iso(at("2026-05-03T06:10:00Z"), buf), "2026-05-03T06:10:00Z");
    ck_assert_str_eq(instant_iso(at("2026-05-03T06:10+02:00"), buf), "2026-05-03T04:10:00Z");
    ck_assert_str_eq(instant_iso(at("2026-05-03T06:10-0400"), buf), "2026-05-03T10:10:00Z");
    ck_assert_str_eq(instant_iso(at("2026-05-03 06:10"), buf), "2026-05-03T10:10:00Z");
    ck_assert_str_eq(instant_iso(at("2026-05-03"), buf), "2026-05-03T04:00:00Z");
    /* offsets have minutes, and reach to 14 hours (ISO 8601, and Kiribati in the IANA tz database) */
    ck_assert_str_eq(instant_iso(at("2026-05-03T06:10+05:59"), buf), "2026-05-03T00:11:00Z");
    ck_assert_str_eq(instant_iso(at("2026-05-03T06:10+14:00"), buf), "2026-05-02T16:10:00Z");
    ck_assert_int_eq(instant_parse("6:10", now, &t, NULL), 0);
    ck_assert_str_eq(instant_iso_local(t, buf), "2026-05-03T06:10:00-04:00");
    ck_assert_int_eq(instant_parse("18:30", now, &t, NULL), 0); /* not yet today: yesterday's */
    ck_assert_str_eq(instant_iso_local(t, buf), "2026-05-02T18:30:00-04:00");
}
END_TEST

/* Found by fuzzing: such a moment was taken, and its text in another zone could not be read again (ISO 8601
 * has four digits for the year). */
START_TEST(moments_at_the_ends_of_the_calendar_are_refused)
{
    static const char *const texts[] = {"9999-12-31T23:59", "0001-01-01", "0001-01-01T00:00+14:00"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct instant t = {7};
        struct fail f = {0};
        ck_assert_int_eq(instant_parse(texts[i], (struct instant){0}, &t, &f), -1);
        ck_assert_int_eq(t.s, 7);
    }
}
END_TEST

START_TEST(rubbish_is_refused_in_one_line)
{
    static const char *const bad[] = {"",
                                      "6",
                                      "24:00",
                                      "06:60",
                                      "2026-5-3",
                                      "2026-02-30",
                                      "2026-05-03T",
                                      "2026-05-03T25:00",
                                      "2026-05-03T06:10X",
                                      "2026-05-03T06:10+99:00",
                                      "2026-05-03T06:10+15:00",
                                      "2026-05-03T06:10+05:60",
                                      "006:10",
                                      "06:10:60",
                                      "yesterday",
                                      "06:10\n",
                                      "\x1b[2J"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct instant t = {7}, now = {0};
        struct fail f = {0};
        ck_assert_msg(instant_parse(bad[i], now, &t, &f) == -1, "\"%s\" was taken", bad[i]);
        ck_assert_int_eq(t.s, 7);
        ck_assert_int_eq(f.code, FAIL_INPUT);
        ck_assert(strlen(f.text) > 10 && strpbrk(f.text, "\n\033") == NULL);
    }
    static const char *const no_dates[] = {"", "2026-5-3", "20260503", "2026-05-03 ", "2026-05-3", "2026/05/03"};
    for (size_t i = 0; i < sizeof no_dates / sizeof no_dates[0]; i++) {
        struct date d = {7};
        ck_assert_msg(date_parse(no_dates[i], &d, NULL) == -1 && d.days == 7, "\"%s\" was taken", no_dates[i]);
    }
}
END_TEST

START_TEST(times_read_as_people_say_them)
{
    char buf[CIVIL_TEXT_MAX];
    struct instant now = at("2026-05-03T06:41");
    ck_assert_str_eq(instant_text(now, buf), "Sun 3 May 06:41");
    ck_assert_str_eq(instant_text_near(at("2026-05-03T08:20"), now, buf), "08:20");
    ck_assert_str_eq(instant_text_near(at("2026-05-05T07:10"), now, buf), "Tue 07:10");
    ck_assert_str_eq(instant_text_near(at("2026-06-14T07:10"), now, buf), "14 Jun 07:10");
    ck_assert_str_eq(instant_text_near(at("2027-06-14T07:10"), now, buf), "14 Jun 2027 07:10");
    ck_assert_str_eq(date_text(instant_date(now), buf), "3 May");
    ck_assert_str_eq(date_year_text(instant_date(now), buf), "3 May 2026");
    ck_assert_str_eq(span_text(45, buf), "45 s");
    ck_assert_str_eq(span_text(9 * 60 + 59, buf), "9 min");
    ck_assert_str_eq(span_text(3600 + 300, buf), "1 h 05");
    ck_assert_str_eq(span_text(59, buf), "59 s");
    ck_assert_str_eq(span_text(60, buf), "1 min");
    ck_assert_str_eq(span_text(3599, buf), "59 min");
    ck_assert_str_eq(span_text(3600, buf), "1 h 00");
    ck_assert_str_eq(span_text(2 * 86400 - 1, buf), "47 h 59");
    ck_assert_str_eq(span_text(2 * 86400, buf), "2 d 0 h");
    ck_assert_str_eq(instant_text_near(at("2026-05-09T07:10"), now, buf), "Sat 07:10"); /* six days either way */
    ck_assert_str_eq(instant_text_near(at("2026-05-10T07:10"), now, buf), "10 May 07:10");
    ck_assert_str_eq(instant_text_near(at("2026-04-27T07:10"), now, buf), "Mon 07:10");
    ck_assert_str_eq(instant_text_near(at("2026-04-26T07:10"), now, buf), "26 Apr 07:10");
    ck_assert_str_eq(span_text(3 * 86400 + 4 * 3600, buf), "3 d 4 h");
    ck_assert_str_eq(span_text(-120, buf), "-2 min");
    ck_assert_str_eq(instant_text(INSTANT_NONE, buf), "");
    ck_assert_str_eq(date_iso(DATE_NONE, buf), "");
}
END_TEST

START_TEST(a_zone_without_offset_is_plus_nothing)
{
    /* ISO 8601, 5.3.4.1: an offset of nothing is written +00:00, not -00:00 */
    char buf[CIVIL_TEXT_MAX];
    setenv("TZ", "UTC", 1);
    tzset();
    ck_assert_str_eq(instant_iso_local(at("2026-05-03T06:10:00Z"), buf), "2026-05-03T06:10:00+00:00");
    setenv("TZ", "America/New_York", 1);
    tzset();
}
END_TEST

Suite *civil_suite(void)
{
    Suite *s = suite_create("civil");
    TCase *t = tcase_create("civil");
    tcase_add_test(t, every_day_of_four_centuries_agrees_with_timegm);
    tcase_add_test(t, days_that_do_not_exist_are_refused);
    tcase_add_test(t, civil_time_round_trips_through_every_hour_of_a_year);
    tcase_add_test(t, the_skipped_hour_moves_forward_and_the_double_hour_takes_the_first);
    tcase_add_test(t, days_of_moments_close_together_are_those_of_the_library);
    tcase_add_test(t, a_day_may_begin_at_one_oclock);
    tcase_add_test(t, elapsed_hours_across_the_clock_change);
    tcase_add_test(t, moments_are_read_in_all_their_forms);
    tcase_add_test(t, rubbish_is_refused_in_one_line);
    tcase_add_test(t, moments_at_the_ends_of_the_calendar_are_refused);
    tcase_add_test(t, a_zone_without_offset_is_plus_nothing);
    tcase_add_test(t, times_read_as_people_say_them);
    suite_add_tcase(s, t);
    return s;
}
