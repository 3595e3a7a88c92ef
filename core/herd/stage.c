#include "core/herd/stage.h"

#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

enum { CLOSE_UP_DAYS_USUAL = 21 };

static const char freemartin[] =
    "Twin to a bull: more than nine in ten such heifers are barren (freemartins); have her "
    "examined before she is bred.";
static const char overdue[] = "Past the day she was due: watch her, and ask the veterinarian.";
static const char no_calving[] = "She has calved before these records: say on which day, or that she is dry.";
static const char still_milked[] = "In milk with so little time to calving: dry her off.";

/* The latest of `dates` after `after` (DATE_NONE: any) and not after `today`; DATE_NONE if there is none. */
static struct date latest(const struct date *dates, size_t n, struct date after, struct date today)
{
    struct date found = DATE_NONE;
    for (size_t i = 0; i < n; i++)
        if (date_known(dates[i]) && dates[i].days <= today.days && dates[i].days > after.days &&
            dates[i].days > found.days)
            found = dates[i];
    return found;
}

static int count_until(const struct date *dates, size_t n, struct date today)
{
    int count = 0;
    for (size_t i = 0; i < n; i++)
        count += date_known(dates[i]) && dates[i].days <= today.days;
    return count;
}

/* A check counts for the service or the time since calving that it followed. */
static enum carrying carrying_now(const struct cow_facts *facts, const struct cow_stage *s, struct date today)
{
    bool counts = date_known(facts->checked_on) && facts->checked_on.days <= today.days &&
                  facts->checked_on.days > s->calved_on.days && facts->checked_on.days >= s->served_on.days;
    return counts ? facts->carrying : CARRYING_UNCHECKED;
}

/* The due day of the pregnancy she may be carrying. One worked out elsewhere belongs to a pregnancy that is
 * over unless something since her last calving speaks for a new one. */
static struct date due_now(const struct cow_facts *facts, const struct cow_stage *s)
{
    bool served = date_known(s->served_on);
    if (s->carrying == CARRYING_OPEN)
        return DATE_NONE;
    if (date_known(facts->due_on) && (served || s->carrying == CARRYING_SURE || s->parity == 0))
        return facts->due_on;
    if (served && facts->gestation_days > 0)
        return date_add(s->served_on, facts->gestation_days);
    return DATE_NONE;
}

static bool is_close_up(const struct cow_facts *facts, const struct cow_stage *s, struct date today)
{
    int days = facts->close_up_days > 0 ? facts->close_up_days : CLOSE_UP_DAYS_USUAL;
    return date_known(s->due_on) && date_diff(today, s->due_on) <= days;
}

static void stage_of_young(const struct cow_facts *facts, struct date today, struct cow_stage *s)
{
    bool born_known = date_known(facts->born_on);
    bool bred = date_known(s->served_on) || date_known(s->due_on);
    s->day = born_known ? date_diff(facts->born_on, today) : -1;
    if (born_known && s->day < 0)
        s->stage = STAGE_UNBORN;
    else if (born_known && s->day < CALF_DAYS)
        s->stage = STAGE_CALF;
    else if (facts->male)
        s->stage = STAGE_BULL;
    else if (is_close_up(facts, s, today))
        s->stage = STAGE_CLOSE_UP;
    else
        s->stage = born_known || bred ? STAGE_HEIFER : STAGE_UNKNOWN;
    if (facts->twin_of_bull && !facts->male && s->stage != STAGE_UNBORN)
        s->remark = freemartin;
}

/* A grown cow whose calvings are all from before the records: whether she is in milk nobody has said. */
static void stage_of_newcomer(const struct cow_facts *facts, struct date today, struct cow_stage *s)
{
    s->dried_on = latest(facts->dried_on, facts->dry_count, DATE_NONE, today);
    if (date_known(s->dried_on))
        s->day = date_diff(s->dried_on, today);
    s->stage = is_close_up(facts, s, today) ? STAGE_CLOSE_UP
               : date_known(s->dried_on)    ? STAGE_DRY
                                            : STAGE_UNKNOWN;
    if (s->stage == STAGE_UNKNOWN)
        s->remark = no_calving;
}

static void stage_of_calved(const struct cow_facts *facts, struct date today, struct cow_stage *s)
{
    bool close_up = is_close_up(facts, s, today);
    s->dried_on = latest(facts->dried_on, facts->dry_count, s->calved_on, today);
    s->in_milk = !date_known(s->dried_on);
    s->day = date_diff(s->in_milk ? s->calved_on : s->dried_on, today);
    s->stage = s->in_milk ? STAGE_IN_MILK : close_up ? STAGE_CLOSE_UP : STAGE_DRY;
    if (s->in_milk && close_up)
        s->remark = still_milked;
}

void cow_stage(const struct cow_facts *facts, struct date today, struct cow_stage *out)
{
    struct cow_stage *s = out;
    *s = (struct cow_stage){.day = -1, .carrying_days = -1, .calved_on = DATE_NONE, .dried_on = DATE_NONE};
    s->parity = count_until(facts->calved_on, facts->calving_count, today);
    s->calved_on = latest(facts->calved_on, facts->calving_count, DATE_NONE, today);
    s->served_on = latest(facts->served_on, facts->service_count, s->calved_on, today);
    s->carrying = carrying_now(facts, s, today);
    s->due_on = due_now(facts, s);
    if (date_known(s->served_on) && s->carrying != CARRYING_OPEN)
        s->carrying_days = date_diff(s->served_on, today);
    if (s->parity > 0)
        stage_of_calved(facts, today, s);
    else if (facts->calvings_before > 0)
        stage_of_newcomer(facts, today, s);
    else
        stage_of_young(facts, today, s);
    s->parity += facts->calvings_before;
    s->overdue = date_known(s->due_on) && s->due_on.days < today.days;
    if (s->overdue)
        s->remark = overdue;
    if (date_known(facts->left_on) && facts->left_on.days <= today.days) {
        s->stage = STAGE_GONE;
        s->day = date_diff(facts->left_on, today);
        s->in_milk = s->overdue = false;
        s->remark = NULL;
    }
}

const char *stage_word(enum stage stage)
{
    static const char *const words[] = {
        [STAGE_UNKNOWN] = "stage not known",
        [STAGE_UNBORN] = "not born yet",
        [STAGE_CALF] = "calf",
        [STAGE_BULL] = "bull or steer",
        [STAGE_HEIFER] = "heifer",
        [STAGE_IN_MILK] = "in milk",
        [STAGE_DRY] = "dry",
        [STAGE_CLOSE_UP] = "close-up",
        [STAGE_GONE] = "gone",
    };
    return words[stage];
}

/* A day is lent to her: the second birthday may come after 730 days already, which are less than twice 365.25. */
static void append_age(int days, char *buf, size_t size)
{
    if (days < 0)
        return;
    if (days < 60)
        (void)text_append(buf, size, " %d day%s", days, days == 1 ? "" : "s");
    else if (days < 730)
        (void)text_append(buf, size, " %d months", (int)((days + 1) * 12 / 365.25));
    else
        (void)text_append(buf, size, " %d years", (int)((days + 1) / 365.25));
}

static void append_pregnancy(const struct cow_stage *s, const char *separator, char *buf, size_t size)
{
    if (s->carrying == CARRYING_OPEN)
        (void)text_append(buf, size, "%sopen", separator);
    else if (s->carrying_days >= 0)
        (void)text_append(buf, size, "%s%s %d d", separator,
                          s->carrying == CARRYING_SURE ? "carrying" : "bred", s->carrying_days);
    else if (s->carrying == CARRYING_SURE)
        (void)text_append(buf, size, "%scarrying", separator);
}

static void append_due(const struct cow_stage *s, const char *separator, char *buf, size_t size)
{
    char day[CIVIL_TEXT_MAX];
    if (date_known(s->due_on))
        (void)text_append(buf, size, "%sdue %s%s", separator, date_text(s->due_on, day),
                          s->overdue ? ", overdue" : "");
}

const char *cow_stage_text(const struct cow_stage *s, const char *separator, char *buf, size_t size)
{
    (void)snprintf(buf, size, "%s", stage_word(s->stage));
    switch (s->stage) {
    case STAGE_IN_MILK:
        (void)text_append(buf, size, " day %d", s->day);
        append_pregnancy(s, separator, buf, size);
        break;
    case STAGE_DRY:
        (void)text_append(buf, size, " day %d", s->day);
        append_due(s, separator, buf, size);
        break;
    case STAGE_CLOSE_UP: append_due(s, separator, buf, size); break;
    case STAGE_HEIFER:
        append_age(s->day, buf, size);
        append_pregnancy(s, separator, buf, size);
        break;
    case STAGE_CALF:
    case STAGE_BULL: append_age(s->day, buf, size); break;
    case STAGE_UNKNOWN:
    case STAGE_UNBORN:
    case STAGE_GONE: break;
    }
    return buf;
}
