/* Contradictions in the records, one case each. Whether a thing is refused or questioned follows from what a
 * cow can do: cycle and gestation as published, ages from common practice. */
#include "core/breeding/consistency.h"
#include "tests/breeding/day.h"

enum { MAX = 4 };

/* Arrays of one cow; a day of "" ends a list. */
struct records {
    const char *name; /* of the case */
    bool male;
    const char *born;
    const char *calved[MAX], *heat[MAX], *served[MAX], *served_to, *lost[MAX], *dried[MAX];
    struct {
        const char *on;
        enum check_method method;
        enum check_result result;
        int stage;
    } checked[MAX];
    int calvings_before, ease;
    enum finding_weight weight;
    const char *finding; /* NULL: nothing to say */
};

static const char *const today_text = "2026-05-03";

static const struct records cases[] = {
    {.name = "an ordinary cow",
     .born = "2020-04-01",
     .calved = {"2022-06-01", "2023-06-20", "2026-01-10"},
     .served = {"2022-09-13", "2025-04-05", "2026-03-20"},
     .heat = {"2026-02-27"},
     .dried = {"2023-04-20", "2025-11-10"},
     .checked = {{"2026-04-20", CHECK_ULTRASOUND, CHECK_IN_CALF, 31}}},
    {.name = "a bull calf served",
     .male = true,
     .served = {"2026-03-01"},
     .weight = FINDING_REFUSED,
     .finding = "\"served\" on 2026-03-01 cannot be: this animal is recorded as male."},
    {.name = "a bull that calved",
     .male = true,
     .calved = {"2026-03-01"},
     .weight = FINDING_REFUSED,
     .finding = "\"calved\" on 2026-03-01 cannot be: this animal is recorded as male."},
    {.name = "a service to come",
     .served = {"2026-05-04"},
     .weight = FINDING_REFUSED,
     .finding = "\"served\" on 2026-05-04 is after today; only what has happened is recorded."},
    {.name = "in heat before she was born",
     .born = "2026-01-01",
     .heat = {"2025-12-31"},
     .weight = FINDING_REFUSED,
     .finding = "\"in heat\" on 2025-12-31 is before she was born, on 2026-01-01."},
    {.name = "a calf served",
     .born = "2025-12-01",
     .served = {"2026-04-01"},
     .weight = FINDING_REFUSED,
     .finding = "She was 121 days old when served on 2026-04-01; no heifer is ready before five months."},
    {.name = "a young heifer served",
     .born = "2025-06-01",
     .served = {"2026-04-01"},
     .weight = FINDING_QUESTION,
     .finding = "She was not a year old when served on 2026-04-01. Is the date right?"},
    {.name = "a calf that calved",
     .born = "2025-06-01",
     .calved = {"2026-04-01"},
     .weight = FINDING_REFUSED,
     .finding =
         "She would have calved on 2026-04-01 at 304 days old; that cannot be before about 14 months."},
    {.name = "two calvings within 200 days",
     .calved = {"2025-06-01", "2025-12-01"},
     .weight = FINDING_REFUSED,
     .finding =
         "She calved on 2025-06-01 and again 183 days later, on 2025-12-01; twins are one calving, and a "
         "cow carries about 280 days."},
    {.name = "two calvings 250 days apart",
     .calved = {"2025-06-01", "2026-02-06"},
     .weight = FINDING_QUESTION,
     .finding = "Only 250 days between her calvings of 2025-06-01 and 2026-02-06. Are both dates right?"},
    {.name = "calved too soon after her only service",
     .calved = {"2026-04-01"},
     .served = {"2025-11-02"},
     .weight = FINDING_REFUSED,
     .finding =
         "Served on 2025-11-02 and calved on 2026-04-01 is 150 days; a cow carries about 280. Mend one of "
         "the dates, or record it as a loss."},
    {.name = "served the week before she calved",
     .calved = {"2026-04-01"},
     .served = {"2025-06-26", "2026-03-25"},
     .weight = FINDING_REFUSED,
     .finding = "Served on 2026-03-25 cannot be: she calved on 2026-04-01, 7 days later."},
    {.name = "served again while in calf",
     .calved = {"2026-04-01"},
     .served = {"2025-06-26", "2025-08-20"},
     .weight = FINDING_QUESTION,
     .finding = "Served on 2025-08-20, though she was in calf: she calved on 2026-04-01, 224 days later."},
    {.name = "calved with the service missing",
     .calved = {"2026-04-01"},
     .served = {"2025-04-01"},
     .weight = FINDING_QUESTION,
     .finding = "She calved on 2026-04-01, 365 days after her last service on record; a service is missing."},
    {.name = "served on the day she calved",
     .calved = {"2026-04-01"},
     .served = {"2026-04-01"},
     .weight = FINDING_REFUSED,
     .finding = "She calved on 2026-04-01: she was not served that day."},
    {.name = "served ten days after calving",
     .calved = {"2026-04-01"},
     .served = {"2026-04-11"},
     .weight = FINDING_QUESTION,
     .finding = "Served on 2026-04-11, only 10 days after calving; the usual wait is 45 to 60 days."},
    {.name = "a window that runs backwards",
     .served = {"2026-04-11"},
     .served_to = "2026-04-01",
     .weight = FINDING_REFUSED,
     .finding =
         "The bull cannot have been with her from 2026-04-11 to 2026-04-01; give the earlier day first."},
    {.name = "a window of two years",
     .served = {"2024-04-11"},
     .served_to = "2026-04-01",
     .weight = FINDING_REFUSED,
     .finding = "From 2024-04-11 to 2026-04-01 is more than a year: give the part in which she can have "
                "conceived."},
    {.name = "in heat while in calf",
     .served = {"2026-01-01"},
     .checked = {{"2026-02-10", CHECK_ULTRASOUND, CHECK_IN_CALF, 0}},
     .heat = {"2026-03-05"},
     .weight = FINDING_QUESTION,
     .finding =
         "In heat on 2026-03-05, though a check said in calf. About one cow in seven shows heat when in "
         "calf: have her checked before serving her."},
    {.name = "served while in calf by a check",
     .served = {"2026-01-01", "2026-03-05"},
     .checked = {{"2026-02-10", CHECK_ULTRASOUND, CHECK_IN_CALF, 0}},
     .weight = FINDING_QUESTION,
     .finding =
         "Served on 2026-03-05, though a check said in calf; that can cost the calf. Have her checked."},
    {.name = "in calf without a service",
     .checked = {{"2026-02-10", CHECK_PALPATION, CHECK_IN_CALF, 0}},
     .weight = FINDING_QUESTION,
     .finding = "In calf on 2026-02-10, but no service is recorded; record it, or the days the bull was with "
                "her."},
    {.name = "a check that came too early",
     .served = {"2026-01-01"},
     .checked = {{"2026-01-21", CHECK_ULTRASOUND, CHECK_OPEN, 0}},
     .weight = FINDING_QUESTION,
     .finding = "The check by ultrasound on 2026-01-21 came 20 days after service; it sees from day 28. Look "
                "again then."},
    {.name = "a protein test while the last calf still shows",
     .calved = {"2026-01-01"},
     .served = {"2026-01-25"},
     .checked = {{"2026-02-25", CHECK_PAG, CHECK_IN_CALF, 0}},
     .weight = FINDING_QUESTION,
     .finding =
         "The pag test on 2026-02-25 came 55 days after calving; before day 60 it may still see the last "
         "calf."},
    {.name = "a stage that fits no service",
     .served = {"2026-01-01"},
     .checked = {{"2026-03-02", CHECK_PALPATION, CHECK_IN_CALF, 90}},
     .weight = FINDING_QUESTION,
     .finding =
         "Judged 90 days in calf on 2026-03-02, but last served 60 days before. Which service was it?"},
    {.name = "open, and calved soon after",
     .calved = {"2026-04-01"},
     .served = {"2025-06-26"},
     .checked = {{"2025-08-26", CHECK_ULTRASOUND, CHECK_OPEN, 0}},
     .weight = FINDING_QUESTION,
     .finding =
         "A check said open on 2025-08-26, and she calved 218 days later, on 2026-04-01. One of them is "
         "wrong."},
    {.name = "in calf long ago and never calved",
     .calved = {"2024-01-01"},
     .served = {"2025-06-01"},
     .checked = {{"2025-07-10", CHECK_ULTRASOUND, CHECK_IN_CALF, 0}},
     .weight = FINDING_QUESTION,
     .finding =
         "In calf on 2025-07-10 after the service of 2025-06-01, 336 days ago, but neither a calving nor "
         "a loss is recorded."},
    {.name = "a loss without a service",
     .lost = {"2026-04-01"},
     .weight = FINDING_QUESTION,
     .finding = "A loss on 2026-04-01, but no service before it is recorded since she calved."},
    {.name = "a heifer dried off",
     .dried = {"2026-04-01"},
     .weight = FINDING_REFUSED,
     .finding = "Dried off on 2026-04-01, but she had not calved yet: there was nothing to dry off."},
    {.name = "a bought cow dried off", .calvings_before = 2, .dried = {"2026-04-01"}},
    {.name = "dried off twice",
     .calved = {"2025-06-01"},
     .dried = {"2026-03-01", "2026-04-01"},
     .weight = FINDING_QUESTION,
     .finding = "Dried off on 2026-04-01, but she was dry already."},
    {.name = "an ease that is not on the scale",
     .calved = {"2026-04-01"},
     .ease = 6,
     .weight = FINDING_REFUSED,
     .finding = "Calving ease goes from 1 (no problem) to 5 (extreme difficulty), not 6."},
};

static struct calving calvings[MAX];
static struct heat heats[MAX];
static struct service services[MAX];
static struct check checks[MAX];
static struct date losses[MAX], dry_offs[MAX];

static struct breeding facts_of(const struct records *r)
{
    struct breeding b = {.born_on = r->born == NULL ? DATE_NONE : day(r->born),
                         .male = r->male,
                         .calvings_before = r->calvings_before,
                         .calvings = calvings,
                         .heats = heats,
                         .services = services,
                         .checks = checks,
                         .losses = losses,
                         .dry_offs = dry_offs};
    for (int i = 0; i < MAX; i++) {
        if (r->calved[i] != NULL)
            calvings[b.calving_count++] =
                (struct calving){.on = day(r->calved[i]), .ease = r->ease, .calves = 1};
        if (r->heat[i] != NULL)
            heats[b.heat_count++] = (struct heat){date_start(day(r->heat[i])), HEAT_STANDING, HEAT_SEEN};
        if (r->served[i] != NULL)
            services[b.service_count++] =
                (struct service){.on = day(r->served[i]),
                                 .to_on = r->served_to == NULL ? DATE_NONE : day(r->served_to),
                                 .kind = r->served_to == NULL ? SERVICE_AI : SERVICE_FIELD};
        if (r->checked[i].on != NULL)
            checks[b.check_count++] = (struct check){.on = day(r->checked[i].on),
                                                     .method = r->checked[i].method,
                                                     .result = r->checked[i].result,
                                                     .stage_days = r->checked[i].stage};
        if (r->lost[i] != NULL)
            losses[b.loss_count++] = day(r->lost[i]);
        if (r->dried[i] != NULL)
            dry_offs[b.dry_off_count++] = day(r->dried[i]);
    }
    return b;
}

START_TEST(each_contradiction_gets_its_line)
{
    const struct records *r = &cases[_i];
    struct finding findings[FINDINGS_MAX];
    struct fail f = {0};
    struct breeding b = facts_of(r);
    size_t count = breeding_findings(&b, day(today_text), findings, FINDINGS_MAX);
    if (r->finding == NULL) {
        ck_assert_msg(count == 0, "%s: %s", r->name, count > 0 ? findings[0].text : "");
        return;
    }
    ck_assert_msg(count == 1, "%s: %zu findings, the first: %s", r->name, count,
                  count > 0 ? findings[0].text : "");
    ck_assert_str_eq(findings[0].text, r->finding);
    ck_assert_int_eq(findings[0].weight, r->weight);
    int refused = breeding_consistent(NULL, &b, day(today_text), &f);
    ck_assert_int_eq(refused, r->weight == FINDING_REFUSED ? -1 : 0);
    if (refused != 0) {
        ck_assert_str_eq(f.text, r->finding);
        ck_assert_int_eq(f.code, FAIL_REFUSED);
    }
    /* what was so before does not stand in the way of a later act */
    ck_assert_int_eq(breeding_consistent(&b, &b, day(today_text), &f), 0);
}
END_TEST

/* The day on which each rule turns, `days` before today. Ages, the dry period and the usual wait: common practice, no
 * source; a live calf is carried 240 to 330 days (gestation.h); ultrasound sees from day 28, a protein test errs to day
 * 60 after calving (check.h). */
enum turn {
    BORN_SERVED,
    BORN_CALVED,
    CALVED_CALVED,
    CALVED_SERVED,
    SERVED_CALVED,
    SERVED_AGAIN_CALVED,
    SERVED_SCANNED,
    JUDGED_AT_60,
    BULL_WITH_HER,
    NEVER_CALVED,
    CALVED_PROTEIN,
    OPEN_CALVED
};

static struct breeding facts_apart(enum turn turn, int days)
{
    struct date today = day(today_text), then = date_add(today, -days);
    struct breeding b = {.born_on = DATE_NONE, .calvings = calvings, .services = services, .checks = checks};
    memset(calvings, 0, sizeof calvings);
    memset(services, 0, sizeof services);
    memset(checks, 0, sizeof checks);
    for (int i = 0; i < MAX; i++)
        services[i] = (struct service){.to_on = DATE_NONE, .kind = SERVICE_AI};
    switch (turn) {
    case BORN_SERVED:
        b.born_on = then;
        services[b.service_count++].on = today;
        break;
    case BORN_CALVED:
        b.born_on = then;
        calvings[b.calving_count++].on = today;
        break;
    case CALVED_CALVED:
        calvings[b.calving_count++].on = then;
        calvings[b.calving_count++].on = today;
        break;
    case CALVED_SERVED:
        calvings[b.calving_count++].on = then;
        services[b.service_count++].on = today;
        break;
    case SERVED_AGAIN_CALVED: services[b.service_count++].on = date_add(today, -280); /* fall through */
    case SERVED_CALVED:
        services[b.service_count++].on = then;
        calvings[b.calving_count++].on = today;
        break;
    case SERVED_SCANNED:
        services[b.service_count++].on = then;
        checks[b.check_count++] = (struct check){.on = today, .method = CHECK_ULTRASOUND, .result = CHECK_OPEN};
        break;
    case JUDGED_AT_60:
        services[b.service_count++].on = date_add(today, -60);
        checks[b.check_count++] =
            (struct check){.on = today, .method = CHECK_PALPATION, .result = CHECK_IN_CALF, .stage_days = days};
        break;
    case BULL_WITH_HER: services[b.service_count++] = (struct service){.on = then, .to_on = today, .kind = SERVICE_FIELD}; break;
    case NEVER_CALVED:
        services[b.service_count++].on = then;
        checks[b.check_count++] =
            (struct check){.on = date_add(then, 40), .method = CHECK_ULTRASOUND, .result = CHECK_IN_CALF};
        break;
    case CALVED_PROTEIN:
        calvings[b.calving_count++].on = then;
        services[b.service_count++].on = date_add(then, 25);
        checks[b.check_count++] = (struct check){.on = today, .method = CHECK_PAG, .result = CHECK_IN_CALF};
        break;
    case OPEN_CALVED:
        checks[b.check_count++] = (struct check){.on = then, .method = CHECK_PALPATION, .result = CHECK_OPEN};
        calvings[b.calving_count++].on = today;
        break;
    }
    return b;
}

START_TEST(each_rule_turns_on_its_day)
{
    enum { NOTHING = -1 };
    static const struct {
        enum turn turn;
        int days, weight;
    } rows[] = {
        {BORN_SERVED, 149, FINDING_REFUSED},     {BORN_SERVED, 150, FINDING_QUESTION},
        {BORN_SERVED, 364, FINDING_QUESTION},    {BORN_SERVED, 365, NOTHING},
        {BORN_CALVED, 399, FINDING_REFUSED},     {BORN_CALVED, 400, NOTHING},
        {CALVED_CALVED, 199, FINDING_REFUSED},   {CALVED_CALVED, 200, FINDING_QUESTION},
        {CALVED_CALVED, 299, FINDING_QUESTION},  {CALVED_CALVED, 300, NOTHING},
        {CALVED_SERVED, 20, FINDING_QUESTION},   {CALVED_SERVED, 21, NOTHING},
        {SERVED_CALVED, 239, FINDING_REFUSED},   {SERVED_CALVED, 240, NOTHING},
        {SERVED_CALVED, 330, NOTHING},           {SERVED_CALVED, 331, FINDING_QUESTION},
        {SERVED_AGAIN_CALVED, 59, FINDING_REFUSED},   {SERVED_AGAIN_CALVED, 60, FINDING_QUESTION},
        {SERVED_AGAIN_CALVED, 239, FINDING_QUESTION}, {SERVED_AGAIN_CALVED, 240, NOTHING},
        {SERVED_SCANNED, 27, FINDING_QUESTION},  {SERVED_SCANNED, 28, NOTHING},
        {JUDGED_AT_60, 41, FINDING_QUESTION},    {JUDGED_AT_60, 42, NOTHING},
        {JUDGED_AT_60, 78, NOTHING},             {JUDGED_AT_60, 79, FINDING_QUESTION},
        {BULL_WITH_HER, 366, NOTHING},           {BULL_WITH_HER, 367, FINDING_REFUSED},
        {NEVER_CALVED, 330, NOTHING},            {NEVER_CALVED, 331, FINDING_QUESTION},
        {CALVED_PROTEIN, 59, FINDING_QUESTION},  {CALVED_PROTEIN, 60, NOTHING},
        {OPEN_CALVED, 239, FINDING_QUESTION},    {OPEN_CALVED, 240, NOTHING},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct finding findings[FINDINGS_MAX];
        struct breeding b = facts_apart(rows[i].turn, rows[i].days);
        size_t count = breeding_findings(&b, day(today_text), findings, FINDINGS_MAX);
        int weight = count == 0 ? NOTHING : (int)findings[0].weight;
        ck_assert_msg(count <= 1 && weight == rows[i].weight, "turn %d, %d days: %zu findings, %s", (int)rows[i].turn,
                      rows[i].days, count, count == 0 ? "nothing" : findings[0].text);
    }
}
END_TEST

START_TEST(a_full_list_takes_no_more)
{
    struct finding one;
    struct breeding b = facts_of(&cases[1]);
    b.male = true;
    services[1] = services[0];
    b.service_count = 2;
    ck_assert_int_eq(breeding_findings(&b, day(today_text), &one, 1), 1);
    ck_assert_int_eq(breeding_findings(&b, day(today_text), NULL, 0), 0);
}
END_TEST

Suite *consistency_suite(void)
{
    Suite *s = suite_create("consistency");
    TCase *t = tcase_create("consistency");
    tcase_add_loop_test(t, each_contradiction_gets_its_line, 0, sizeof cases / sizeof cases[0]);
    tcase_add_test(t, each_rule_turns_on_its_day);
    tcase_add_test(t, a_full_list_takes_no_more);
    suite_add_tcase(s, t);
    return s;
}
