/* What the odds come to: the state, the service, the words. */
#include "core/breeding/pregnancy.h"

#include <stdio.h>
#include <string.h>

#include "core/breeding/odds_inside.h"

enum { RECHECK_DAYS = 60, FIRST_CHECK_DAYS = 28 };

const char *pregnancy_word(enum pregnancy_state state)
{
    static const char *const words[] = {
        [PREGNANCY_NOT_SERVED] = "not served",
        [PREGNANCY_RETURN_DUE] = "return due",
        [PREGNANCY_UNPROVEN] = "unproven",
        [PREGNANCY_DOUBTFUL] = "doubtful",
        [PREGNANCY_IN_CALF] = "in calf",
        [PREGNANCY_OPEN] = "open",
        [PREGNANCY_LOST] = "lost",
    };
    return words[state];
}

static double day_weight(const struct odds *o, struct date from_on, struct date to_on)
{
    double sum = 0;
    for (int i = 0; i < o->count; i++) {
        struct date on = date_add(o->first_on, i);
        if (on.days >= from_on.days && on.days <= to_on.days)
            sum += o->day[i];
    }
    return sum;
}

static void choose_service(const struct odds *o, const struct breeding *b, struct pregnancy *p)
{
    double best = 0, all = day_weight(o, o->first_on, o->today);
    for (size_t i = 0; i < b->service_count; i++) {
        const struct service *s = &b->services[i];
        double weight = odds_counts(o, s) ? day_weight(o, s->on, service_end(s, o->today)) : 0;
        if (weight > best) {
            best = weight;
            p->by = s;
        }
    }
    p->by_chance = all > 0 ? best / all : 0;
}

/* Within the chosen service (one day, as a rule) the middle of what is left of it. */
static struct date conception_day(const struct odds *o, const struct pregnancy *p)
{
    struct day_chances part = {.count = 0};
    for (int i = 0; i < p->conception.count; i++) {
        struct date on = date_add(p->conception.first_on, i);
        if (p->by == NULL || (on.days >= p->by->on.days && on.days <= service_end(p->by, o->today).days))
            (void)day_chances_add(&part, on, p->conception.chance[i]);
    }
    return day_chances_quantile(&part, 0.5);
}

static void settle(const struct odds *o, const struct breeding *b, struct pregnancy *p)
{
    double calf = 0;
    for (int i = 0; i < o->count; i++)
        calf += o->day[i];
    p->conceived_on = DATE_NONE;
    if (!(calf > 0))
        return;
    p->chance = calf / (calf + o->open);
    p->conception.first_on = o->first_on;
    p->conception.count = o->count;
    memcpy(p->conception.chance, o->day, (size_t)o->count * sizeof o->day[0]);
    day_chances_scale(&p->conception, 1);
    choose_service(o, b, p);
    p->conceived_on = conception_day(o, p);
}

/* True if a check could have seen even the last service. */
static bool check_covers(const struct odds *o, const struct check *c)
{
    return date_diff(o->last_end_on, c->on) >= check_method_facts(c->method)->from_days;
}

static enum pregnancy_state state_by_days(const struct odds *o)
{
    return date_diff(o->last_end_on, o->today) <= RETURN_TO_DAYS ? PREGNANCY_RETURN_DUE : PREGNANCY_UNPROVEN;
}

static enum pregnancy_state state_by_checks(const struct odds *o, const struct breeding *b,
                                            const struct check *last)
{
    struct date heat = odds_heat_since(o, b);
    if (last == NULL || (last->result == CHECK_OPEN && !check_covers(o, last)))
        return date_known(heat) ? PREGNANCY_OPEN : state_by_days(o);
    if (last->result != CHECK_IN_CALF)
        return last->result == CHECK_OPEN ? PREGNANCY_OPEN : PREGNANCY_DOUBTFUL;
    bool later_heat = date_known(heat) && heat.days > last->on.days;
    bool later_service = o->last != o->first && o->last_end_on.days > last->on.days;
    return later_heat || later_service ? PREGNANCY_DOUBTFUL : PREGNANCY_IN_CALF;
}

static enum pregnancy_state state_without_service(const struct odds *o, const struct breeding *b)
{
    for (size_t i = 0; i < b->loss_count; i++)
        if (date_known(o->since_on) && b->losses[i].days == o->since_on.days)
            return PREGNANCY_LOST;
    return PREGNANCY_NOT_SERVED;
}

static void judge_working(const struct pregnancy *p, const struct odds *o, struct working *w)
{
    char iso[CIVIL_TEXT_MAX];
    if (w == NULL || o->first == NULL)
        return;
    working_given_whole(w, "services", p->services, ORIGIN_RECORDED);
    working_given_text(w, "last_service_on", date_iso(p->last_service_on, iso), ORIGIN_RECORDED);
    working_given(w, "service_takes_pct", odds_takes * 100, ORIGIN_CONSTANT);
    working_given(w, "heat_when_in_calf_pct", odds_heat_in_calf * 100, ORIGIN_CONSTANT);
    working_given(w, "heats_missed_pct", odds_heat_missed * 100, ORIGIN_CONSTANT);
    working_step(w, "each fact multiplies the odds of every day she may have conceived, and of being open");
    working_step(w, "conceived most likely on %s; that service is %.0f %% sure if she is in calf",
                 date_iso(p->conceived_on, iso), p->by_chance * 100);
    working_result(w, "in_calf_pct", p->chance * 100);
    working_result_text(w, "state", pregnancy_word(p->state));
    working_source(w, "repro-goals");
    working_source(w, "heat-hall");
    working_source(w, "heat-missed");
    working_caution(w, "A heat not seen is weak proof; a check by somebody skilled decides.");
}

/* "Open" after "in calf" overrules what was seen before: the calf has been lost since. Index of the first
 * check that still counts. */
static size_t first_standing(const struct odds *o, const struct breeding *b)
{
    size_t first = 0;
    const struct check *last = NULL;
    for (size_t i = 0; i < b->check_count; i++) {
        const struct check *c = &b->checks[i];
        if (c->result == CHECK_DOUBTFUL || !odds_check_tells(o, c))
            continue;
        if (last != NULL && last->result == CHECK_IN_CALF && c->result == CHECK_OPEN)
            first = i;
        last = c;
    }
    return first;
}

static void tell_check(const struct odds *o, const struct check *c, bool tells, struct working *w)
{
    static const char *const results[] = {
        [CHECK_OPEN] = "open", [CHECK_IN_CALF] = "in calf", [CHECK_DOUBTFUL] = "doubtful"};
    const struct check_facts *m = check_method_facts(c->method);
    if (tells) {
        working_step(w, "%s: %s", m->word, results[c->result]);
        working_source(w, m->source);
        working_source(w, "check-errors");
    } else if (odds_in_spell(o, c->on)) {
        working_step(w, "%s %d days after the last service says nothing: it sees from day %d", m->word,
                     date_diff(o->last_end_on, c->on), m->from_days);
    }
}

/* Weighs the checks that tell something; returns the last of them, NULL if there is none. */
static const struct check *weigh_checks(struct odds *o, const struct breeding *b, struct pregnancy *p,
                                        struct working *w)
{
    const struct check *last = NULL;
    for (size_t i = first_standing(o, b); i < b->check_count; i++) {
        const struct check *c = &b->checks[i];
        bool tells = odds_check_tells(o, c);
        tell_check(o, c, tells, w);
        if (!tells)
            continue;
        odds_check(o, c);
        last = c;
        if (check_method_facts(c->method)->stage_sd_days > 0) /* methods that see or feel the calf itself */
            p->twins = c->result == CHECK_IN_CALF && c->twins;
        if (c->calf != CALF_UNKNOWN)
            p->calf = c->calf;
    }
    return last;
}

/* Services of the spell, or the one that a check without any service lets us assume. */
static void gather_services(struct odds *o, const struct breeding *b, struct pregnancy *p)
{
    odds_services(o, b);
    for (size_t i = 0; i < b->service_count; i++)
        p->services += odds_counts(o, &b->services[i]);
    if (o->first == NULL) {
        odds_assume(o, b);
        return;
    }
    p->last_service_on = o->last->on;
    p->last_end_on = o->last_end_on;
    p->with_bull = o->last->kind == SERVICE_FIELD && o->last_end_on.days == o->today.days;
}

void pregnancy_judge(const struct breeding *b, struct date today, struct pregnancy *out, struct working *w)
{
    struct odds o = {.today = today, .last_end_on = DATE_NONE};
    memset(out, 0, sizeof *out);
    o.since_on = breeding_spell_start(b, date_add(today, 1));
    out->since_on = o.since_on;
    out->last_service_on = out->last_end_on = out->conceived_on = DATE_NONE;
    gather_services(&o, b, out);
    if (o.first == NULL) {
        out->state = state_without_service(&o, b);
        return;
    }
    odds_heats(&o, b);
    const struct check *last = weigh_checks(&o, b, out, w);
    odds_quiet(&o, b, w);
    settle(&o, b, out);
    out->state = state_by_checks(&o, b, last);
    if (out->state == PREGNANCY_IN_CALF && date_known(out->conceived_on))
        out->check_stale = date_diff(out->conceived_on, last->on) < RECHECK_DAYS &&
                           date_diff(out->conceived_on, today) >= RECHECK_DAYS;
    judge_working(out, &o, w);
}

void pregnancy_case(const struct breeding *b, const struct pregnancy *p, const struct gestation_breed *breed,
                    int own_days, struct gestation_case *out)
{
    *out = (struct gestation_case){.breed = *breed,
                                   .own_days = own_days,
                                   .heifer = breeding_heifer(b),
                                   .twins = p->twins,
                                   .calf = p->twins ? CALF_UNKNOWN : p->calf};
    if (p->by != NULL)
        out->sire_days = p->by->sire_days;
}

bool pregnancy_calving(const struct pregnancy *p, const struct gestation *g, struct date today,
                       struct day_chances *out)
{
    gestation_calving(g, &p->conception, out);
    day_chances_scale(out, p->chance);
    return day_chances_not_before(out, today);
}

const struct service *pregnancy_behind(const struct breeding *b, struct date calved_on,
                                       const struct gestation *g, struct date *conceived_on, double *chance)
{
    struct odds o = {.today = calved_on, .last_end_on = DATE_NONE};
    struct pregnancy p = {.conceived_on = DATE_NONE};
    o.since_on = breeding_spell_start(b, calved_on);
    odds_services(&o, b);
    for (int i = 0; i < o.count; i++)
        o.day[i] *= gestation_chance(g, date_diff(date_add(o.first_on, i), calved_on));
    settle(&o, b, &p);
    if (conceived_on != NULL)
        *conceived_on = p.conceived_on;
    if (chance != NULL)
        *chance = p.by_chance;
    return p.by;
}

static const char *return_text(const struct pregnancy *p, struct date today, int days, char *buf, size_t size)
{
    char from[CIVIL_TEXT_MAX];
    struct date watch_on = date_add(p->last_service_on, PLAN_DAYS_USUAL.heat_from);
    if (p->with_bull)
        (void)snprintf(buf, size, "with the bull %d d", days);
    else if (today.days < watch_on.days)
        (void)snprintf(buf, size, "bred %d d, watch from %s", days, date_text(watch_on, from));
    else
        (void)snprintf(buf, size, "bred %d d, watch for heat", days);
    return buf;
}

/* "open 75 d" since the calving or loss; a heifer has no such day. */
static const char *open_text(const struct pregnancy *p, struct date today, const char *tail, char *buf,
                             size_t size)
{
    if (date_known(p->since_on))
        (void)snprintf(buf, size, "open %d d%s", date_diff(p->since_on, today), tail);
    else
        (void)snprintf(buf, size, "open%s", tail);
    return buf;
}

const char *pregnancy_text(const struct pregnancy *p, struct date today, char *buf, size_t size)
{
    int bred = date_known(p->last_service_on) ? date_diff(p->last_service_on, today) : 0;
    switch (p->state) {
    case PREGNANCY_NOT_SERVED: return open_text(p, today, ", not served", buf, size);
    case PREGNANCY_OPEN: return open_text(p, today, ", did not hold", buf, size);
    case PREGNANCY_RETURN_DUE: return return_text(p, today, bred, buf, size);
    case PREGNANCY_UNPROVEN:
        (void)snprintf(buf, size,
                       bred < FIRST_CHECK_DAYS ? "bred %d d, no heat seen" : "bred %d d, check due", bred);
        break;
    case PREGNANCY_DOUBTFUL:
        if (date_known(p->last_service_on))
            (void)snprintf(buf, size, "bred %d d, in doubt: check again", bred);
        else
            (void)snprintf(buf, size, "in doubt: check again");
        break;
    case PREGNANCY_IN_CALF:
        (void)snprintf(buf, size, "in calf %d d%s%s", date_diff(p->conceived_on, today),
                       p->twins ? ", twins" : "", p->check_stale ? ", check again" : "");
        break;
    case PREGNANCY_LOST:
        (void)snprintf(buf, size, "lost her calf %d d ago, not served", date_diff(p->since_on, today));
        break;
    }
    return buf;
}
