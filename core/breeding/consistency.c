/* A list of rules, each a paragraph that looks at one kind of contradiction. */
#include "core/breeding/consistency.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/breeding/calving.h"
#include "core/breeding/cycle.h"
#include "core/breeding/pregnancy.h"

enum {
    TOO_YOUNG_DAYS = 150,      /* no heifer comes into heat before five months (common practice, no source) */
    YOUNG_DAYS = 365,          /* and none should be served before a year (same) */
    FIRST_CALVING_DAYS = 400,  /* five months and a gestation */
    CALVINGS_APART_DAYS = 200, /* closer than this is a slip of the pen */
    CALVINGS_CLOSE_DAYS = 300, /* a gestation and three weeks */
    EARLY_SERVICE_DAYS = 21,   /* common practice, no source; the usual wait is 45 to 60 days */
    NEAR_CALVING_DAYS = 60,    /* the dry period: no cow is served then */
    WINDOW_DAYS_MAX = 366,
    STAGE_OFF_DAYS = 18, /* nearly a cycle: another service fits better */
};

struct review {
    const struct breeding *b;
    struct date today;
    struct finding *out;
    size_t max, count;
    bool refusals_only;
};

static void found(struct review *r, enum finding_weight weight, struct date on, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

static void found(struct review *r, enum finding_weight weight, struct date on, const char *format, ...)
{
    va_list args;
    if (r->count == r->max || (r->refusals_only && weight != FINDING_REFUSED))
        return;
    struct finding *finding = &r->out[r->count++];
    finding->weight = weight;
    finding->on = on;
    va_start(args, format);
    (void)vsnprintf(finding->text, sizeof finding->text, format, args);
    va_end(args);
}

/* Every dated fact, as "served", "in heat", ... for the rules that hold for all of them. */
typedef void (*fact_fn)(struct review *r, struct date on, const char *what);

static void each_fact(struct review *r, fact_fn on_fact)
{
    const struct breeding *b = r->b;
    for (size_t i = 0; i < b->calving_count; i++)
        on_fact(r, b->calvings[i].on, "calved");
    for (size_t i = 0; i < b->heat_count; i++)
        if (b->heats[i].origin == HEAT_SEEN)
            on_fact(r, instant_date(b->heats[i].at), "in heat");
    for (size_t i = 0; i < b->service_count; i++) {
        on_fact(r, b->services[i].on, "served");
        if (date_known(b->services[i].to_on))
            on_fact(r, b->services[i].to_on, "served until");
    }
    for (size_t i = 0; i < b->check_count; i++)
        on_fact(r, b->checks[i].on, "checked");
    for (size_t i = 0; i < b->loss_count; i++)
        on_fact(r, b->losses[i], "lost her calf");
    for (size_t i = 0; i < b->dry_off_count; i++)
        on_fact(r, b->dry_offs[i], "dried off");
}

static void male_fact(struct review *r, struct date on, const char *what)
{
    char iso[CIVIL_TEXT_MAX];
    found(r, FINDING_REFUSED, on, "\"%s\" on %s cannot be: this animal is recorded as male.", what,
          date_iso(on, iso));
}

static void rule_male(struct review *r)
{
    if (r->b->male)
        each_fact(r, male_fact);
}

static void dated_fact(struct review *r, struct date on, const char *what)
{
    char iso[CIVIL_TEXT_MAX], born[CIVIL_TEXT_MAX];
    if (on.days > r->today.days)
        found(r, FINDING_REFUSED, on, "\"%s\" on %s is after today; only what has happened is recorded.",
              what, date_iso(on, iso));
    else if (date_known(r->b->born_on) && on.days < r->b->born_on.days)
        found(r, FINDING_REFUSED, on, "\"%s\" on %s is before she was born, on %s.", what, date_iso(on, iso),
              date_iso(r->b->born_on, born));
}

static void rule_dates(struct review *r)
{
    each_fact(r, dated_fact);
}

static void rule_age(struct review *r)
{
    const struct breeding *b = r->b;
    char iso[CIVIL_TEXT_MAX];
    if (!date_known(b->born_on))
        return;
    for (size_t i = 0; i < b->service_count; i++) {
        struct date on = service_end(&b->services[i], r->today);
        int32_t age = date_diff(b->born_on, on);
        if (age >= 0 && age < TOO_YOUNG_DAYS)
            found(r, FINDING_REFUSED, on,
                  "She was %d days old when served on %s; no heifer is ready before five "
                  "months.",
                  age, date_iso(on, iso));
        else if (age >= 0 && age < YOUNG_DAYS)
            found(r, FINDING_QUESTION, on, "She was not a year old when served on %s. Is the date right?",
                  date_iso(on, iso));
    }
    if (b->calving_count == 0)
        return;
    struct date on = b->calvings[0].on;
    int32_t age = date_diff(b->born_on, on);
    if (age >= 0 && age < FIRST_CALVING_DAYS)
        found(r, FINDING_REFUSED, on,
              "She would have calved on %s at %d days old; that cannot be before about 14 "
              "months.",
              date_iso(on, iso), age);
}

static void rule_two_calvings(struct review *r)
{
    char first[CIVIL_TEXT_MAX], second[CIVIL_TEXT_MAX];
    for (size_t i = 1; i < r->b->calving_count; i++) {
        struct date a = r->b->calvings[i - 1].on, b = r->b->calvings[i].on;
        int32_t apart = date_diff(a, b);
        if (apart < CALVINGS_APART_DAYS)
            found(r, FINDING_REFUSED, b,
                  "She calved on %s and again %d days later, on %s; twins are one calving, "
                  "and a cow carries about 280 days.",
                  date_iso(a, first), apart, date_iso(b, second));
        else if (apart < CALVINGS_CLOSE_DAYS)
            found(r, FINDING_QUESTION, b,
                  "Only %d days between her calvings of %s and %s. Are both dates right?", apart,
                  date_iso(a, first), date_iso(b, second));
    }
}

static void rule_calving_facts(struct review *r)
{
    for (size_t i = 0; i < r->b->calving_count; i++)
        if (r->b->calvings[i].ease != 0 && calving_ease_word(r->b->calvings[i].ease) == NULL)
            found(r, FINDING_REFUSED, r->b->calvings[i].on,
                  "Calving ease goes from 1 (no problem) to 5 (extreme difficulty), not %d.",
                  r->b->calvings[i].ease);
}

/* The last service between `since_on` (may be DATE_NONE) and `on`, or NULL. */
static const struct service *service_between(const struct breeding *b, struct date since_on, struct date on)
{
    const struct service *last = NULL;
    for (size_t i = 0; i < b->service_count; i++) {
        const struct service *s = &b->services[i];
        if (s->on.days < on.days && (!date_known(since_on) || s->on.days > since_on.days))
            last = s;
    }
    return last;
}

/* True if a service of the spell could have led to a calving on `on`. */
static bool explained(const struct breeding *b, struct date since_on, struct date on)
{
    for (size_t i = 0; i < b->service_count; i++) {
        const struct service *s = &b->services[i];
        if (date_known(since_on) && s->on.days <= since_on.days)
            continue;
        if (date_diff(s->on, on) >= GESTATION_MIN_DAYS &&
            date_diff(service_end(s, on), on) <= GESTATION_MAX_DAYS)
            return true;
    }
    return false;
}

static void rule_calving_after_service(struct review *r)
{
    char served[CIVIL_TEXT_MAX], calved[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < r->b->calving_count; i++) {
        struct date on = r->b->calvings[i].on, since = breeding_spell_start(r->b, on);
        const struct service *last = service_between(r->b, since, on);
        if (last == NULL)
            continue;
        int32_t days = date_diff(last->on, on);
        bool fits = explained(r->b, since, on);
        date_iso(last->on, served);
        date_iso(on, calved);
        if (!fits && days < GESTATION_MIN_DAYS)
            found(r, FINDING_REFUSED, on,
                  "Served on %s and calved on %s is %d days; a cow carries about 280. "
                  "Mend one of the dates, or record it as a loss.",
                  served, calved, days);
        else if (!fits)
            found(r, FINDING_QUESTION, on,
                  "She calved on %s, %d days after her last service on record; a service "
                  "is missing.",
                  calved, days);
        else if (days < NEAR_CALVING_DAYS)
            found(r, FINDING_REFUSED, last->on, "Served on %s cannot be: she calved on %s, %d days later.",
                  served, calved, days);
        else if (days < GESTATION_MIN_DAYS)
            found(r, FINDING_QUESTION, last->on,
                  "Served on %s, though she was in calf: she calved on %s, %d days "
                  "later.",
                  served, calved, days);
    }
}

static void rule_service_after_calving(struct review *r)
{
    char iso[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < r->b->service_count; i++)
        for (size_t k = 0; k < r->b->calving_count; k++) {
            struct date on = r->b->services[i].on;
            int32_t days = date_diff(r->b->calvings[k].on, on);
            if (days == 0)
                found(r, FINDING_REFUSED, on, "She calved on %s: she was not served that day.",
                      date_iso(on, iso));
            else if (days > 0 && days < EARLY_SERVICE_DAYS)
                found(r, FINDING_QUESTION, on,
                      "Served on %s, only %d days after calving; the usual wait is 45 to "
                      "60 days.",
                      date_iso(on, iso), days);
        }
}

static void rule_windows(struct review *r)
{
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < r->b->service_count; i++) {
        const struct service *s = &r->b->services[i];
        int32_t days = date_diff(s->on, service_end(s, r->today));
        date_iso(s->on, from);
        date_iso(service_end(s, r->today), to);
        if (days < 0)
            found(r, FINDING_REFUSED, s->on,
                  "The bull cannot have been with her from %s to %s; give the earlier "
                  "day first.",
                  from, to);
        else if (days > WINDOW_DAYS_MAX)
            found(r, FINDING_REFUSED, s->on,
                  "From %s to %s is more than a year: give the part in which she can "
                  "have conceived.",
                  from, to);
    }
}

/* In calf by a check, as far as was known the day before `on`. */
static bool known_in_calf(const struct breeding *b, struct date on)
{
    struct pregnancy p;
    if (b->check_count == 0)
        return false;
    pregnancy_judge(b, date_add(on, -1), &p, NULL);
    return p.state == PREGNANCY_IN_CALF;
}

static void rule_in_calf(struct review *r)
{
    char iso[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < r->b->heat_count; i++) {
        struct date on = heat_on(&r->b->heats[i]);
        if (r->b->heats[i].origin == HEAT_SEEN && known_in_calf(r->b, on))
            found(r, FINDING_QUESTION, on,
                  "In heat on %s, though a check said in calf. About one cow in seven "
                  "shows heat when in calf: have her checked before serving her.",
                  date_iso(on, iso));
    }
    for (size_t i = 0; i < r->b->service_count; i++) {
        struct date on = r->b->services[i].on;
        if (known_in_calf(r->b, on))
            found(r, FINDING_QUESTION, on,
                  "Served on %s, though a check said in calf; that can cost the calf. "
                  "Have her checked.",
                  date_iso(on, iso));
    }
}

static void check_stage(struct review *r, const struct check *c, const struct service *last)
{
    char iso[CIVIL_TEXT_MAX];
    int32_t from = date_diff(service_end(last, c->on), c->on), to = date_diff(last->on, c->on);
    if (c->stage_days > 0 && (c->stage_days < from - STAGE_OFF_DAYS || c->stage_days > to + STAGE_OFF_DAYS))
        found(r, FINDING_QUESTION, c->on,
              "Judged %d days in calf on %s, but last served %d days before. Which "
              "service was it?",
              c->stage_days, date_iso(c->on, iso), to);
}

static void rule_checks(struct review *r)
{
    char iso[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < r->b->check_count; i++) {
        const struct check *c = &r->b->checks[i];
        const struct check_facts *m = check_method_facts(c->method);
        struct date since = breeding_spell_start(r->b, c->on);
        const struct service *last = service_between(r->b, since, c->on);
        date_iso(c->on, iso);
        if (last == NULL && c->result == CHECK_IN_CALF)
            found(r, FINDING_QUESTION, c->on,
                  "In calf on %s, but no service is recorded; record it, or the days "
                  "the bull was with her.",
                  iso);
        if (last != NULL && date_diff(last->on, c->on) < m->from_days)
            found(r, FINDING_QUESTION, c->on,
                  "The check by %s on %s came %d days after service; it sees from day "
                  "%d. Look again then.",
                  m->word, iso, date_diff(last->on, c->on), m->from_days);
        if (c->result == CHECK_IN_CALF && date_known(since) &&
            date_diff(since, c->on) < m->after_calving_days)
            found(r, FINDING_QUESTION, c->on,
                  "The %s test on %s came %d days after calving; before day %d it may "
                  "still see the last calf.",
                  m->word, iso, date_diff(since, c->on), m->after_calving_days);
        if (last != NULL && c->result == CHECK_IN_CALF)
            check_stage(r, c, last);
    }
}

static void rule_open_then_calved(struct review *r)
{
    char checked[CIVIL_TEXT_MAX], calved[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < r->b->calving_count; i++)
        for (size_t k = 0; k < r->b->check_count; k++) {
            const struct check *c = &r->b->checks[k];
            int32_t days = date_diff(c->on, r->b->calvings[i].on);
            if (c->result == CHECK_OPEN && days > 0 && days < GESTATION_MIN_DAYS)
                found(r, FINDING_QUESTION, r->b->calvings[i].on,
                      "A check said open on %s, and she calved %d days later, on %s. One of them is wrong.",
                      date_iso(c->on, checked), days, date_iso(r->b->calvings[i].on, calved));
        }
}

static void rule_not_calved(struct review *r)
{
    char served[CIVIL_TEXT_MAX], checked[CIVIL_TEXT_MAX];
    struct date since = breeding_spell_start(r->b, date_add(r->today, 1));
    const struct service *last = service_between(r->b, since, r->today);
    const struct check *check = r->b->check_count == 0 ? NULL : &r->b->checks[r->b->check_count - 1];
    if (last == NULL || check == NULL || check->result != CHECK_IN_CALF || check->on.days <= last->on.days)
        return;
    int32_t days = date_diff(service_end(last, check->on), r->today);
    if (days > GESTATION_MAX_DAYS)
        found(r, FINDING_QUESTION, check->on,
              "In calf on %s after the service of %s, %d days ago, but neither a calving nor a loss is "
              "recorded.",
              date_iso(check->on, checked), date_iso(last->on, served), days);
}

static void rule_losses(struct review *r)
{
    char iso[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < r->b->loss_count; i++)
        if (service_between(r->b, breeding_spell_start(r->b, r->b->losses[i]), r->b->losses[i]) == NULL)
            found(r, FINDING_QUESTION, r->b->losses[i],
                  "A loss on %s, but no service before it is recorded since she calved.",
                  date_iso(r->b->losses[i], iso));
}

static void rule_dry_offs(struct review *r)
{
    const struct breeding *b = r->b;
    char iso[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < b->dry_off_count; i++) {
        struct date on = b->dry_offs[i];
        struct date calved_on = DATE_NONE;
        for (size_t k = 0; k < b->calving_count; k++)
            if (b->calvings[k].on.days <= on.days)
                calved_on = b->calvings[k].on;
        date_iso(on, iso);
        if (!date_known(calved_on) && b->calvings_before == 0)
            found(r, FINDING_REFUSED, on,
                  "Dried off on %s, but she had not calved yet: there was nothing to dry "
                  "off.",
                  iso);
        else if (i > 0 && (!date_known(calved_on) || b->dry_offs[i - 1].days >= calved_on.days))
            found(r, FINDING_QUESTION, on, "Dried off on %s, but she was dry already.", iso);
    }
}

static void (*const rules[])(struct review *) = {
    rule_male,
    rule_dates,
    rule_age,
    rule_two_calvings,
    rule_calving_facts,
    rule_windows,
    rule_calving_after_service,
    rule_service_after_calving,
    rule_in_calf,
    rule_checks,
    rule_open_then_calved,
    rule_not_calved,
    rule_losses,
    rule_dry_offs,
};

static size_t look_over(struct review *r)
{
    for (size_t i = 0; i < sizeof rules / sizeof rules[0]; i++)
        rules[i](r);
    return r->count;
}

size_t breeding_findings(const struct breeding *b, struct date today, struct finding *out, size_t max)
{
    struct review r = {.b = b, .today = today, .out = out, .max = max};
    return look_over(&r);
}

static bool said_before(const struct finding *list, size_t count, const char *text)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(list[i].text, text) == 0)
            return true;
    return false;
}

int breeding_consistent(const struct breeding *before, const struct breeding *after, struct date today,
                        struct fail *f)
{
    struct finding old[FINDINGS_MAX], new[FINDINGS_MAX];
    struct review was = {.b = before, .today = today, .out = old, .max = FINDINGS_MAX, .refusals_only = true};
    struct review is = {.b = after, .today = today, .out = new, .max = FINDINGS_MAX, .refusals_only = true};
    if (before != NULL)
        (void)look_over(&was);
    (void)look_over(&is);
    for (size_t i = 0; i < is.count; i++)
        if (!said_before(old, was.count, new[i].text))
            return fail_refused(f, "%s", new[i].text);
    return 0;
}
