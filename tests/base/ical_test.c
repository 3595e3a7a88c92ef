/* Calendar text is read back by libical, which knows RFC 5545 on its own: it must find no fault in it and
 * find in it what was written. */
#include <libical/ical.h>

#include "core/base/ical.h"
#include "tests/support.h"

static struct {
    char text[1 << 16];
    size_t size, room;
} sink;

static int to_memory(void *context, const void *bytes, size_t size, struct fail *f)
{
    (void)context;
    if (sink.size + size > sink.room)
        return fail_set(f, FAIL_STORE, "The disk is full.");
    memcpy(sink.text + sink.size, bytes, size);
    sink.size += size;
    sink.text[sink.size] = '\0';
    return 0;
}

static void empty_sink(void)
{
    sink.size = 0;
    sink.room = sizeof sink.text - 1;
    sink.text[0] = '\0';
}

static struct date day(int year, int month, int d)
{
    struct date on = DATE_NONE;
    ck_assert(date_from_ymd(year, month, d, &on));
    return on;
}

static struct ical_event event_of(const char *uid, const char *summary, const char *description)
{
    return (struct ical_event){.uid = uid,
                               .summary = summary,
                               .description = description,
                               .on = day(2026, 6, 14),
                               .to_on = DATE_NONE,
                               .at = INSTANT_NONE,
                               .to_at = INSTANT_NONE,
                               .alarm_min = ICAL_NO_ALARM};
}

static void write_events(const struct ical_event *events, size_t count)
{
    struct ical ical;
    struct fail f = {0};
    int rc = ical_begin(&ical, to_memory, NULL, (struct instant){1777777777}, &f);
    for (size_t i = 0; rc == 0 && i < count; i++)
        rc = ical_event(&ical, &events[i], &f);
    if (rc != 0 || ical_end(&ical, &f) != 0)
        ck_abort_msg("%s", f.text);
}

/* Every line ends in CRLF, none is longer than 75 octets, none begins inside a character. */
static void check_lines(void)
{
    const char *p = sink.text;
    while (*p != '\0') {
        const char *end = strstr(p, "\r\n");
        if (end == NULL || memchr(p, '\n', (size_t)(end - p)) != NULL || end - p > 75)
            ck_abort_msg("a line of %d octets: %.80s", end == NULL ? -1 : (int)(end - p), p);
        const char *first = *p == ' ' ? p + 1 : p;
        if (((unsigned char)*first & 0xC0) == 0x80)
            ck_abort_msg("a line begins inside a character: %.80s", p);
        p = end + 2;
    }
}

static icalcomponent *parse(void)
{
    check_lines();
    icalcomponent *c = icalparser_parse_string(sink.text);
    ck_assert_ptr_nonnull(c);
    ck_assert_int_eq(icalcomponent_isa(c), ICAL_VCALENDAR_COMPONENT);
    ck_assert_int_eq(icalcomponent_count_errors(c), 0);
    ck_assert(icalrestriction_check(c) != 0);
    ck_assert_int_eq(icalcomponent_count_errors(c), 0);
    return c;
}

static void done(icalcomponent *c)
{
    icalcomponent_free(c);
    icalmemory_free_ring();
}

START_TEST(an_event_of_one_day_reads_back)
{
    struct ical_event e =
        event_of("due-7@dairy", "Wren: calves about now", "due 14 Jun, 90 % from 6 to 21 Jun");
    write_events(&e, 1);
    icalcomponent *c = parse();
    icalcomponent *event = icalcomponent_get_first_component(c, ICAL_VEVENT_COMPONENT);
    ck_assert_str_eq(icalcomponent_get_uid(event), "due-7@dairy");
    ck_assert_str_eq(icalcomponent_get_summary(event), "Wren: calves about now");
    ck_assert_str_eq(icalcomponent_get_description(event), "due 14 Jun, 90 % from 6 to 21 Jun");
    struct icaltimetype start = icalcomponent_get_dtstart(event), end = icalcomponent_get_dtend(event);
    ck_assert(start.is_date && start.year == 2026 && start.month == 6 && start.day == 14);
    ck_assert(end.is_date && end.year == 2026 && end.month == 6 &&
              end.day == 15); /* the day after the last */
    struct icaltimetype stamp = icalcomponent_get_dtstamp(event);
    ck_assert(icaltime_is_utc(stamp) && icaltime_as_timet(stamp) == 1777777777);
    ck_assert_ptr_null(icalcomponent_get_first_component(event, ICAL_VALARM_COMPONENT));
    done(c);
}
END_TEST

START_TEST(windows_moments_and_reminders_read_back)
{
    struct ical_event events[] = {event_of("a@x", "heat watch", NULL), event_of("b@x", "serve her", "")};
    events[0].to_on = day(2026, 7, 1); /* over the end of a month */
    events[0].alarm_min = 450;
    events[1].on = DATE_NONE;
    events[1].at = (struct instant){1780000000};
    events[1].to_at = (struct instant){1780018000};
    write_events(events, 2);
    icalcomponent *c = parse();
    icalcomponent *first = icalcomponent_get_first_component(c, ICAL_VEVENT_COMPONENT);
    struct icaltimetype end = icalcomponent_get_dtend(first);
    ck_assert(end.is_date && end.month == 7 && end.day == 2);
    icalcomponent *alarm = icalcomponent_get_first_component(first, ICAL_VALARM_COMPONENT);
    ck_assert_ptr_nonnull(alarm);
    icalproperty *trigger = icalcomponent_get_first_property(alarm, ICAL_TRIGGER_PROPERTY);
    ck_assert_int_eq(icaldurationtype_as_int(icalproperty_get_trigger(trigger).duration), 450 * 60);
    icalcomponent *second = icalcomponent_get_next_component(c, ICAL_VEVENT_COMPONENT);
    struct icaltimetype start = icalcomponent_get_dtstart(second);
    ck_assert(!start.is_date && icaltime_as_timet(start) == 1780000000);
    ck_assert(icaltime_as_timet(icalcomponent_get_dtend(second)) == 1780018000);
    ck_assert_ptr_null(icalcomponent_get_first_property(second, ICAL_DESCRIPTION_PROPERTY));
    ck_assert_ptr_null(icalcomponent_get_next_component(c, ICAL_VEVENT_COMPONENT));
    done(c);
}
END_TEST

START_TEST(marks_line_breaks_and_controls_do_not_break_out)
{
    struct ical_event e = event_of("a@x", "Tib; dry, \"quiet\" \\ BEGIN:VEVENT",
                                   "first\nEND:VCALENDAR\nthird\ttab \x1b[31m red \xff bad");
    write_events(&e, 1);
    icalcomponent *c = parse();
    icalcomponent *event = icalcomponent_get_first_component(c, ICAL_VEVENT_COMPONENT);
    ck_assert_str_eq(icalcomponent_get_summary(event), "Tib; dry, \"quiet\" \\ BEGIN:VEVENT");
    ck_assert_str_eq(icalcomponent_get_description(event),
                     "first\nEND:VCALENDAR\nthird tab  [31m red \xEF\xBF\xBD bad");
    ck_assert_ptr_null(strstr(sink.text, "\r\nEND:VCALENDAR\r\nthird"));
    /* RFC 5545, 3.3.11: the four that are escaped; libical would take a bare comma too */
    ck_assert_ptr_nonnull(strstr(sink.text, "\r\nSUMMARY:Tib\\; dry\\, \"quiet\" \\\\ BEGIN:VEVENT\r\n"));
    done(c);
}
END_TEST

/* Random text of one to four byte characters and of everything that needs escaping. */
START_TEST(any_text_comes_back_as_it_was)
{
    static const char *const pieces[] = {"a", " ", ",", ";",  "\\", "\n",  ":", "\"",
                                         "é", "ß", "—", "牛", "🐄",  "\\n", "N", "\xC2\xA0"};
    struct stream s = {20260614};
    for (int round = 0; round < 300; round++) {
        char summary[400] = "x", description[1600] = "y";
        int n = stream_below(&s, 90), m = stream_below(&s, 350);
        for (int i = 0; i < n; i++)
            strcat(summary, pieces[stream_below(&s, 16)]);
        for (int i = 0; i < m; i++)
            strcat(description, pieces[stream_below(&s, 16)]);
        /* the libraries may differ over blanks at the end of a line; a letter closes both */
        strcat(summary, "x");
        strcat(description, "y");
        struct ical_event e = event_of("a@x", summary, description);
        empty_sink();
        write_events(&e, 1);
        icalcomponent *c = icalparser_parse_string(sink.text);
        icalcomponent *event = icalcomponent_get_first_component(c, ICAL_VEVENT_COMPONENT);
        check_lines();
        if (strcmp(icalcomponent_get_summary(event), summary) != 0)
            ck_abort_msg("summary\n%s\nread as\n%s", summary, icalcomponent_get_summary(event));
        if (strcmp(icalcomponent_get_description(event), description) != 0)
            ck_abort_msg("description\n%s\nread as\n%s", description, icalcomponent_get_description(event));
        done(c);
    }
}
END_TEST

START_TEST(an_empty_calendar_is_whole)
{
    write_events(NULL, 0);
    ck_assert_str_eq(sink.text, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//springhouse//springhouse//EN\r\n"
                                "CALSCALE:GREGORIAN\r\nEND:VCALENDAR\r\n");
}
END_TEST

START_TEST(a_full_disk_is_told_wherever_it_strikes)
{
    struct ical_event e = event_of("a@x", "heat watch", "in the morning");
    e.alarm_min = 450;
    write_events(&e, 1);
    size_t whole = sink.size;
    for (size_t room = 0; room < whole; room++) {
        struct ical ical;
        struct fail f = {0};
        empty_sink();
        sink.room = room;
        int rc = ical_begin(&ical, to_memory, NULL, (struct instant){0}, &f);
        if (rc == 0)
            rc = ical_event(&ical, &e, &f);
        if (rc == 0)
            rc = ical_end(&ical, &f);
        if (rc != -1 || f.code != FAIL_STORE)
            ck_abort_msg("with room for %zu of %zu bytes nobody was told", room, whole);
    }
}
END_TEST

Suite *ical_suite(void)
{
    Suite *s = suite_create("ical");
    TCase *t = tcase_create("ical");
    tcase_add_checked_fixture(t, empty_sink, NULL);
    tcase_add_test(t, an_event_of_one_day_reads_back);
    tcase_add_test(t, windows_moments_and_reminders_read_back);
    tcase_add_test(t, marks_line_breaks_and_controls_do_not_break_out);
    tcase_add_test(t, any_text_comes_back_as_it_was);
    tcase_add_test(t, an_empty_calendar_is_whole);
    tcase_add_test(t, a_full_disk_is_told_wherever_it_strikes);
    suite_add_tcase(s, t);
    return s;
}
