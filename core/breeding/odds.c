/* The numbers that the facts are weighed with, and the weighing. */
#include "core/breeding/odds_inside.h"

#include <math.h>

#include "core/breeding/cycle.h"

/* Services per conception at most 2 (Extension, dairy-cattle: optimal calving interval, days open and
 * services per pregnancy): every second service takes. */
const double odds_takes = 0.5;

/* Hall, Branton & Stone: 14.4 % of animals showed heat when pregnant. */
const double odds_heat_in_calf = 0.144;

/* Heats missed on farms: about half (Penn State heat detection bulletin). */
const double odds_heat_missed = 0.5;

/* More heats than this that nobody saw are not held against an open cow: she may have stopped cycling. */
enum { MISSED_HEATS_MAX = 3 };

/* A sighting so soon after a service is the same heat. */
enum { SAME_HEAT_DAYS = 10 };

enum { CYCLE_DAYS = 21 };

bool odds_in_spell(const struct odds *o, struct date on)
{
    return on.days <= o->today.days && (!date_known(o->since_on) || on.days > o->since_on.days);
}

bool odds_counts(const struct odds *o, const struct service *s)
{
    return odds_in_spell(o, s->on) && date_diff(service_end(s, o->today), o->today) <= GESTATION_MAX_DAYS;
}

static double *day_slot(struct odds *o, struct date on)
{
    int32_t i = date_diff(o->first_on, on);
    if (i < 0 || i >= DAY_CHANCES_MAX)
        return NULL;
    if (i >= o->count)
        o->count = i + 1;
    return &o->day[i];
}

static void give_chance(struct odds *o, struct date on, double share_of_open)
{
    double *slot = day_slot(o, on);
    if (slot == NULL)
        return;
    *slot += o->open * share_of_open;
    o->open *= 1 - share_of_open;
}

/* A service made because she was in heat speaks against having conceived before. */
static void add_service(struct odds *o, const struct service *s)
{
    struct date to_on = service_end(s, o->today);
    if (to_on.days > o->today.days)
        to_on = o->today;
    for (int i = 0; service_in_heat(s) && i < o->count; i++)
        if (date_diff(date_add(o->first_on, i), s->on) >= SAME_HEAT_DAYS)
            o->day[i] *= odds_heat_in_calf;
    int days = date_diff(s->on, to_on) + 1;
    /* With a bull every heat is served, so that half of those open conceive in each 21 days; of an unseen
     * service no day is likelier than another. */
    double each_day = 1 - pow(1 - odds_takes, 1.0 / CYCLE_DAYS);
    for (int i = 0; i < days; i++) {
        double share = days == 1 ? odds_takes : each_day;
        if (s->kind == SERVICE_UNSEEN && days > 1)
            share = odds_takes / days / (1 - odds_takes * i / days);
        give_chance(o, date_add(s->on, i), share);
    }
    o->last_end_on = breeding_later(o->last_end_on, to_on);
    o->last = s;
    if (o->first == NULL)
        o->first = s;
}

/* The first day that fits in the odds; window services that began earlier are cut there. */
static struct date odds_start(const struct odds *o, struct date on)
{
    struct date earliest = date_add(o->today, -(GESTATION_MAX_DAYS + 90));
    return on.days > earliest.days ? on : earliest;
}

void odds_services(struct odds *o, const struct breeding *b)
{
    o->open = 1;
    for (size_t i = 0; i < b->service_count; i++) {
        if (!odds_counts(o, &b->services[i]))
            continue;
        if (o->first == NULL)
            o->first_on = odds_start(o, b->services[i].on);
        add_service(o, &b->services[i]);
    }
}

/* What is left of the last calf in blood and milk reads as a new one. */
static bool misled_by_last_calf(const struct odds *o, const struct check *c)
{
    return c->result == CHECK_IN_CALF && date_known(o->since_on) &&
           date_diff(o->since_on, c->on) < check_method_facts(c->method)->after_calving_days;
}

bool odds_check_tells(const struct odds *o, const struct check *c)
{
    if (!odds_in_spell(o, c->on) || misled_by_last_calf(o, c))
        return false;
    for (int i = 0; i < o->count; i++)
        if (o->day[i] > 0 && check_sees(c, date_add(o->first_on, i)))
            return true;
    return false;
}

/* Moves weight between the days towards the stage that was judged, keeping their sum. */
static void weigh_stage(struct odds *o, const struct check *c)
{
    double sd = check_method_facts(c->method)->stage_sd_days, before = 0, after = 0;
    double moved[DAY_CHANCES_MAX];
    if (c->stage_days <= 0 || sd <= 0)
        return;
    for (int i = 0; i < o->count; i++) {
        double off = (date_diff(date_add(o->first_on, i), c->on) - c->stage_days) / sd;
        moved[i] = o->day[i] * exp(-off * off / 2);
        before += o->day[i];
        after += moved[i];
    }
    if (after <= before * 1e-12) /* the stage fits no service: then it tells nothing */
        return;
    for (int i = 0; i < o->count; i++)
        o->day[i] = moved[i] * before / after;
}

void odds_check(struct odds *o, const struct check *c)
{
    const struct check_facts *m = check_method_facts(c->method);
    bool yes = c->result == CHECK_IN_CALF;
    double none = yes ? m->sees_none_wrongly : 1 - m->sees_none_wrongly;
    double calf = yes ? m->sees_calf : 1 - m->sees_calf;
    if (c->result == CHECK_DOUBTFUL)
        return;
    for (int i = 0; i < o->count; i++)
        o->day[i] *= check_sees(c, date_add(o->first_on, i)) ? calf : none;
    o->open *= none;
    if (yes)
        weigh_stage(o, c);
}

/* A heat that somebody saw and that is more than one vague sign. */
static bool heat_counts(const struct heat *h)
{
    return h->origin == HEAT_SEEN && heat_strength(h->signs) != HEAT_POSSIBLE;
}

struct date odds_heat_since(const struct odds *o, const struct breeding *b)
{
    struct date last_on = DATE_NONE;
    for (size_t i = 0; i < b->heat_count; i++) {
        struct date on = heat_on(&b->heats[i]);
        if (heat_counts(&b->heats[i]) && odds_in_spell(o, on) &&
            date_diff(o->last_end_on, on) >= SAME_HEAT_DAYS)
            last_on = on;
    }
    return last_on;
}

/* The heat at which she was served has been weighed with the service. */
static bool near_service(const struct breeding *b, struct date on)
{
    for (size_t i = 0; i < b->service_count; i++) {
        int32_t days = date_diff(on, b->services[i].on);
        if (days >= -ONE_HEAT_DAYS && days <= ONE_HEAT_DAYS)
            return true;
    }
    return false;
}

void odds_heats(struct odds *o, const struct breeding *b)
{
    struct date last_on = DATE_NONE;
    for (size_t i = 0; i < b->heat_count; i++) {
        struct date on = heat_on(&b->heats[i]);
        if (!heat_counts(&b->heats[i]) || !odds_in_spell(o, on) || near_service(b, on))
            continue;
        if (date_known(last_on) && date_diff(last_on, on) <= ONE_HEAT_DAYS)
            continue;
        last_on = on;
        for (int k = 0; k < o->count; k++)
            if (date_diff(date_add(o->first_on, k), on) >= SAME_HEAT_DAYS)
                o->day[k] *= odds_heat_in_calf;
    }
}

/* Quiet cycles since the last service or heat: an open cow would have been seen in about half of them. */
static int quiet_cycles(const struct odds *o, const struct breeding *b)
{
    struct date from_on = breeding_later(o->last_end_on, odds_heat_since(o, b));
    int32_t days = date_diff(from_on, o->today);
    int cycles = days > RETURN_TO_DAYS ? 1 + (days - RETURN_TO_DAYS - 1) / CYCLE_DAYS : 0;
    return cycles < MISSED_HEATS_MAX ? cycles : MISSED_HEATS_MAX;
}

void odds_quiet(struct odds *o, const struct breeding *b, struct working *w)
{
    int quiet = quiet_cycles(o, b);
    if (quiet == 0)
        return;
    for (int i = 0; i < o->count; i++)
        o->day[i] *= 1 - odds_heat_in_calf;
    o->open *= pow(odds_heat_missed, quiet);
    working_step(w, "%d cycle%s without a heat seen: an open cow is missed about every second time", quiet,
                 quiet == 1 ? "" : "s");
}

void odds_assume(struct odds *o, const struct breeding *b)
{
    for (size_t i = b->check_count; i-- > 0 && o->first == NULL;) {
        const struct check *c = &b->checks[i];
        if (c->result != CHECK_IN_CALF || !odds_in_spell(o, c->on) || misled_by_last_calf(o, c))
            continue;
        struct date from_on = date_add(c->on, -GESTATION_MAX_DAYS);
        from_on = odds_start(o, date_known(o->since_on) ? breeding_later(from_on, date_add(o->since_on, 1))
                                                        : from_on);
        o->assumed = (struct service){.on = from_on,
                                      .to_on = date_add(c->on, -check_method_facts(c->method)->from_days),
                                      .kind = SERVICE_UNSEEN};
        if (date_diff(o->assumed.on, o->assumed.to_on) < 0)
            continue;
        o->first_on = from_on;
        add_service(o, &o->assumed);
    }
}
