#include "core/herd/stage.h"

#include "tests/support.h"

static struct date day(const char *iso)
{
    struct date d = DATE_NONE;
    struct fail f = {0};
    if (iso != NULL)
        ck_assert_msg(date_parse(iso, &d, &f) == 0, "%s", f.text);
    return d;
}

/* clang-format off */
/* One cow's recorded facts and what follows from them on a day. */
static const struct {
    const char *today;
    const char *born, *calved[2], *served[2], *dried[2], *left, *due;
    int gestation;
    enum carrying carrying;
    const char *checked;
    enum stage stage;
    int day, parity;
    const char *text;
} cows[] = {
    /* in milk */
    {"2026-05-03", "2021-04-01", {"2026-01-31"}, {"2026-03-03"}, {NULL}, NULL, NULL, 279, CARRYING_UNCHECKED, NULL,
     STAGE_IN_MILK, 92, 1, "in milk day 92 · bred 61 d"},
    {"2026-01-31", "2021-04-01", {"2026-01-31"}, {NULL}, {NULL}, NULL, NULL, 279, CARRYING_UNCHECKED, NULL,
     STAGE_IN_MILK, 0, 1, "in milk day 0"},
    {"2026-05-03", NULL, {"2025-01-20", "2026-01-31"}, {"2025-04-20"}, {"2025-11-30"}, NULL, NULL, 279, CARRYING_SURE, "2025-06-01",
     STAGE_IN_MILK, 92, 2, "in milk day 92"},
    {"2026-06-03", NULL, {"2026-01-31"}, {"2026-03-03", "2026-03-24"}, {NULL}, NULL, NULL, 279, CARRYING_SURE, "2026-05-10",
     STAGE_IN_MILK, 123, 1, "in milk day 123 · carrying 71 d"},
    {"2026-06-03", NULL, {"2026-01-31"}, {"2026-03-03"}, {NULL}, NULL, NULL, 279, CARRYING_OPEN, "2026-05-10",
     STAGE_IN_MILK, 123, 1, "in milk day 123 · open"},
    /* served again after the check that found her open: the check no longer counts */
    {"2026-06-03", NULL, {"2026-01-31"}, {"2026-03-03", "2026-05-20"}, {NULL}, NULL, NULL, 279, CARRYING_OPEN, "2026-05-10",
     STAGE_IN_MILK, 123, 1, "in milk day 123 · bred 14 d"},
    /* checked today counts today; checked on the day she calved says nothing of a new calf */
    {"2026-05-10", NULL, {"2026-01-31"}, {"2026-03-03"}, {NULL}, NULL, NULL, 279, CARRYING_OPEN, "2026-05-10",
     STAGE_IN_MILK, 99, 1, "in milk day 99 · open"},
    {"2026-05-10", NULL, {"2026-01-31"}, {NULL}, {NULL}, NULL, NULL, 279, CARRYING_SURE, "2026-01-31",
     STAGE_IN_MILK, 99, 1, "in milk day 99"},
    /* dry and close-up; service 2025-06-20 + 279 d is 2026-03-26 */
    {"2026-02-10", NULL, {"2025-03-01"}, {"2025-06-20"}, {"2026-01-25"}, NULL, NULL, 279, CARRYING_SURE, "2025-09-01",
     STAGE_DRY, 16, 1, "dry day 16 · due 26 Mar"},
    {"2026-03-04", NULL, {"2025-03-01"}, {"2025-06-20"}, {"2026-01-25"}, NULL, NULL, 279, CARRYING_SURE, "2025-09-01",
     STAGE_DRY, 38, 1, "dry day 38 · due 26 Mar"},
    {"2026-03-05", NULL, {"2025-03-01"}, {"2025-06-20"}, {"2026-01-25"}, NULL, NULL, 279, CARRYING_SURE, "2025-09-01",
     STAGE_CLOSE_UP, 39, 1, "close-up · due 26 Mar"},
    {"2026-03-28", NULL, {"2025-03-01"}, {"2025-06-20"}, {"2026-01-25"}, NULL, NULL, 279, CARRYING_SURE, "2025-09-01",
     STAGE_CLOSE_UP, 62, 1, "close-up · due 26 Mar, overdue"},
    {"2026-02-10", NULL, {"2025-03-01"}, {NULL}, {"2026-01-25"}, NULL, NULL, 279, CARRYING_UNCHECKED, NULL,
     STAGE_DRY, 16, 1, "dry day 16"},
    /* due day worked out elsewhere; calved before it, so it is over */
    {"2026-02-10", NULL, {"2025-03-01"}, {"2025-06-20"}, {"2026-01-25"}, NULL, "2026-03-24", 0, CARRYING_SURE, "2025-09-01",
     STAGE_DRY, 16, 1, "dry day 16 · due 24 Mar"},
    {"2026-03-28", NULL, {"2025-03-01", "2026-03-20"}, {"2025-06-20"}, {"2026-01-25"}, NULL, "2026-03-24", 279, CARRYING_SURE, "2025-09-01",
     STAGE_IN_MILK, 8, 2, "in milk day 8"},
    /* young */
    {"2026-05-03", "2026-04-21", {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_CALF, 12, 0, "calf 12 days"},
    {"2026-05-03", "2025-11-02", {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_CALF, 182, 0, "calf 6 months"},
    {"2026-05-03", "2025-11-01", {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_HEIFER, 183, 0, "heifer 6 months"},
    {"2026-05-03", "2026-01-20", {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_CALF, 103, 0, "calf 3 months"},
    {"2026-05-03", "2025-03-01", {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_OPEN, "2026-04-01",
     STAGE_HEIFER, 428, 0, "heifer 14 months · open"},
    {"2026-05-03", "2024-08-01", {NULL}, {"2025-12-01"}, {NULL}, NULL, NULL, 279, CARRYING_SURE, "2026-01-20",
     STAGE_HEIFER, 640, 0, "heifer 21 months · carrying 153 d"},
    {"2026-08-25", "2024-08-01", {NULL}, {"2025-12-01"}, {NULL}, NULL, NULL, 279, CARRYING_SURE, "2026-01-20",
     STAGE_CLOSE_UP, 754, 0, "close-up · due 6 Sep"},
    /* on the day of her second birthday she is two, 730 days old; the day before, 23 months */
    {"2026-05-03", "2024-05-03", {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_HEIFER, 730, 0, "heifer 2 years"},
    {"2026-05-02", "2024-05-03", {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_HEIFER, 729, 0, "heifer 23 months"},
    {"2026-05-03", "2026-03-05", {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_CALF, 59, 0, "calf 59 days"},
    {"2026-05-03", "2026-03-04", {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_CALF, 60, 0, "calf 2 months"},
    /* due today is not overdue */
    {"2026-03-26", NULL, {"2025-03-01"}, {"2025-06-20"}, {"2026-01-25"}, NULL, NULL, 279, CARRYING_SURE, "2025-09-01",
     STAGE_CLOSE_UP, 60, 1, "close-up · due 26 Mar"},
    /* bought in calf, nothing else known */
    {"2026-05-03", NULL, {NULL}, {NULL}, {NULL}, NULL, "2026-08-01", 0, CARRYING_SURE, "2026-04-01",
     STAGE_HEIFER, -1, 0, "heifer · carrying"},
    {"2026-05-03", NULL, {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_UNKNOWN, -1, 0, "stage not known"},
    {"2026-05-03", "2026-06-01", {NULL}, {NULL}, {NULL}, NULL, NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_UNBORN, -29, 0, "not born yet"},
    /* left */
    {"2026-05-03", NULL, {"2026-01-31"}, {NULL}, {NULL}, "2026-05-01", NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_GONE, 2, 1, "gone"},
    {"2026-04-30", NULL, {"2026-01-31"}, {NULL}, {NULL}, "2026-05-01", NULL, 0, CARRYING_UNCHECKED, NULL,
     STAGE_IN_MILK, 89, 1, "in milk day 89"},
};
/* clang-format on */

START_TEST(a_cows_stage_follows_from_her_facts)
{
    for (size_t i = 0; i < sizeof cows / sizeof cows[0]; i++) {
        const struct date calved[] = {day(cows[i].calved[0]), day(cows[i].calved[1])},
                          served[] = {day(cows[i].served[1]), day(cows[i].served[0])}, /* in no order */
            dried[] = {day(cows[i].dried[0]), day(cows[i].dried[1])};
        const struct cow_facts facts = {.born_on = day(cows[i].born),
                                        .calved_on = calved,
                                        .calving_count = 2,
                                        .dried_on = dried,
                                        .dry_count = 2,
                                        .served_on = served,
                                        .service_count = 2,
                                        .carrying = cows[i].carrying,
                                        .checked_on = day(cows[i].checked),
                                        .gestation_days = cows[i].gestation,
                                        .due_on = day(cows[i].due),
                                        .left_on = day(cows[i].left)};
        struct cow_stage s;
        char text[100];
        cow_stage(&facts, day(cows[i].today), &s);
        cow_stage_text(&s, " · ", text, sizeof text);
        ck_assert_msg(s.stage == cows[i].stage, "row %zu is \"%s\", not \"%s\"", i, text, cows[i].text);
        ck_assert_str_eq(text, cows[i].text);
        ck_assert_int_eq(s.day, cows[i].day);
        ck_assert_int_eq(s.parity, cows[i].parity);
        ck_assert_int_eq(s.in_milk, cows[i].stage == STAGE_IN_MILK);
        if (cows[i].served[0] == NULL)
            ck_assert_int_eq(s.carrying_days, -1);
    }
}
END_TEST

/* More than nine in ten heifers born twin to a bull are sterile. */
START_TEST(a_heifer_twin_to_a_bull_is_remarked_on)
{
    struct cow_facts facts = {.born_on = day("2026-01-20"),
                              .checked_on = DATE_NONE,
                              .due_on = DATE_NONE,
                              .left_on = DATE_NONE,
                              .twin_of_bull = true};
    struct cow_stage s;
    cow_stage(&facts, day("2026-05-03"), &s);
    ck_assert(s.remark != NULL && strstr(s.remark, "nine in ten") != NULL &&
              strstr(s.remark, "freemartin") != NULL);
    cow_stage(&facts, day("2027-05-03"), &s);
    ck_assert_int_eq(s.stage, STAGE_HEIFER);
    ck_assert(s.remark != NULL);
    /* She has calved: she is none. */
    const struct date calved = day("2028-03-01");
    facts.calved_on = &calved;
    facts.calving_count = 1;
    cow_stage(&facts, day("2028-05-03"), &s);
    ck_assert(s.remark == NULL);
    facts.calving_count = 0;
    facts.male = true;
    cow_stage(&facts, day("2026-05-03"), &s);
    ck_assert(s.remark == NULL);
    cow_stage(&facts, day("2027-05-03"), &s);
    ck_assert_int_eq(s.stage, STAGE_BULL);
}
END_TEST

/* Bought, her calvings from before the records: dry since a day that is known, or nobody has said. */
START_TEST(a_newcomer_is_dry_or_not_known)
{
    const struct date dried = day("2026-03-01");
    struct cow_facts facts = {.born_on = DATE_NONE,
                              .calvings_before = 2,
                              .dried_on = &dried,
                              .dry_count = 1,
                              .checked_on = DATE_NONE,
                              .due_on = DATE_NONE,
                              .left_on = DATE_NONE};
    struct cow_stage s;
    cow_stage(&facts, day("2026-05-03"), &s);
    ck_assert(s.stage == STAGE_DRY && s.day == 63 && s.parity == 2 && s.remark == NULL && !s.in_milk);
    facts.dry_count = 0;
    cow_stage(&facts, day("2026-05-03"), &s);
    ck_assert(s.stage == STAGE_UNKNOWN && s.day == -1);
    ck_assert(s.remark != NULL && strstr(s.remark, "calved before these records") != NULL);
}
END_TEST

START_TEST(a_cow_still_in_milk_so_near_calving_is_remarked_on)
{
    const struct date calved = day("2025-03-01"), served = day("2025-06-20");
    struct cow_facts facts = {.born_on = DATE_NONE,
                              .calved_on = &calved,
                              .calving_count = 1,
                              .served_on = &served,
                              .service_count = 1,
                              .checked_on = DATE_NONE,
                              .gestation_days = 279,
                              .due_on = DATE_NONE,
                              .left_on = DATE_NONE};
    struct cow_stage s;
    cow_stage(&facts, day("2026-03-04"), &s);
    ck_assert(s.remark == NULL);
    cow_stage(&facts, day("2026-03-05"), &s);
    ck_assert_int_eq(s.stage, STAGE_IN_MILK);
    ck_assert(strstr(s.remark, "dry her off") != NULL);
    facts.close_up_days = 30;
    cow_stage(&facts, day("2026-02-24"), &s);
    ck_assert(s.remark != NULL);
    cow_stage(&facts, day("2026-03-27"), &s);
    ck_assert(s.overdue && strstr(s.remark, "veterinarian") != NULL);
}
END_TEST

Suite *stage_suite(void)
{
    Suite *s = suite_create("stage");
    TCase *t = tcase_create("stage");
    tcase_add_test(t, a_cows_stage_follows_from_her_facts);
    tcase_add_test(t, a_heifer_twin_to_a_bull_is_remarked_on);
    tcase_add_test(t, a_newcomer_is_dry_or_not_known);
    tcase_add_test(t, a_cow_still_in_milk_so_near_calving_is_remarked_on);
    suite_add_tcase(s, t);
    return s;
}
