/* The odds are kept as weights: one for "open", one for each day on which she may have conceived. Each fact
 * multiplies them by how likely it is under that case; in the end they are divided by their sum. */
#include "core/breeding/pregnancy.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/breeding/cycle.h"

/* Services per conception at most 2 (Extension, dairy-cattle: optimal calving interval, days open and
 * services per pregnancy): every second service takes. */
static const double takes = 0.5;

/* Hall, Branton & Stone: 14.4 % of animals showed heat when pregnant. */
static const double heat_in_calf = 0.144;

/* Heats missed on farms: about half (Penn State heat detection bulletin). */
static const double heat_missed = 0.5;

/* More heats than this that nobody saw are not held against an open cow: she may have stopped cycling. */
enum { MISSED_HEATS_MAX = 3 };

/* A sighting so soon after a service is the same heat. */
enum { SAME_HEAT_DAYS = 10 };

/* Sightings no further apart are of one heat. */
enum { SAME_SIGHTING_DAYS = 3 };

enum { CYCLE_DAYS = 21, RETURN_TO_DAYS = 24, RECHECK_DAYS = 60, FIRST_CHECK_DAYS = 28 };

/* clang-format off */
static const struct check_facts methods[CHECK_METHODS] = {
    /*                       word        from  to  after    sees   sees none stage  source
     *                                              calving calf   wrongly   sd                        */
    [CHECK_PROGESTERONE] = {"progesterone", 19, 24,  0,     0.97,  0.20,     0,     "check-progesterone"},
    [CHECK_ULTRASOUND]   = {"ultrasound",   28,  0,  0,     0.97,  0.03,     3,     "check-early"},
    [CHECK_PALPATION]    = {"palpation",    35,  0,  0,     0.95,  0.03,     7,     "check-early"},
    [CHECK_PAG]          = {"pag",          28,  0, 60,     0.98,  0.05,     0,     "check-pag"},
};
/* clang-format on */

const struct check_facts *check_method_facts(enum check_method method)
{
    return &methods[method];
}

int check_method_parse(const char *word, enum check_method *out, struct fail *f)
{
    for (int i = 0; i < CHECK_METHODS; i++)
        if (text_same(word, methods[i].word)) {
            *out = (enum check_method)i;
            return 0;
        }
    return fail_input(
        f, "\"%.30s\" is not a way of checking; write progesterone, ultrasound, palpation or pag.", word);
}

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

/* The odds of one spell: from the calving or loss that began it to `today`. */
struct odds {
    struct date since_on, today;
    double open;
    double day[DAY_CHANCES_MAX]; /* conceived on first_on + i */
    struct date first_on;
    int count;
    struct date last_end_on; /* of the last service */
    const struct service *first, *last;
    struct service assumed; /* when a check says "in calf" and no service is recorded */
};

static struct date later_of(struct date a, struct date b)
{
    if (!date_known(a))
        return b;
    return date_known(b) && b.days > a.days ? b : a;
}

/* The calving or loss before `before_on` that began the spell. */
static struct date spell_start(const struct breeding *b, struct date before_on)
{
    struct date since_on = DATE_NONE;
    for (size_t i = 0; i < b->calving_count; i++)
        if (b->calvings[i].on.days < before_on.days)
            since_on = later_of(since_on, b->calvings[i].on);
    for (size_t i = 0; i < b->loss_count; i++)
        if (b->losses[i].days < before_on.days)
            since_on = later_of(since_on, b->losses[i]);
    return since_on;
}

/* Within the spell, and not so long ago that she would have calved long since. */
static bool in_spell(const struct odds *o, struct date on)
{
    return on.days <= o->today.days && (!date_known(o->since_on) || on.days > o->since_on.days);
}

static bool counts(const struct odds *o, const struct service *s)
{
    return in_spell(o, s->on) && date_diff(service_end(s), o->today) <= GESTATION_MAX_DAYS;
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
    bool heat = s->kind == SERVICE_AI || s->kind == SERVICE_BULL;
    struct date to_on = service_end(s);
    if (to_on.days > o->today.days)
        to_on = o->today;
    for (int i = 0; heat && i < o->count; i++)
        if (date_diff(date_add(o->first_on, i), s->on) >= SAME_HEAT_DAYS)
            o->day[i] *= heat_in_calf;
    int days = date_diff(s->on, to_on) + 1;
    /* With a bull every heat is served, so that half of those open conceive in each 21 days; of an unseen
     * service no day is likelier than another. */
    double each_day = 1 - pow(1 - takes, 1.0 / CYCLE_DAYS);
    for (int i = 0; i < days; i++) {
        double share = days == 1 ? takes : each_day;
        if (s->kind == SERVICE_UNSEEN && days > 1)
            share = takes / days / (1 - takes * i / days);
        give_chance(o, date_add(s->on, i), share);
    }
    o->last_end_on = later_of(o->last_end_on, to_on);
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

static void add_services(struct odds *o, const struct breeding *b)
{
    o->open = 1;
    for (size_t i = 0; i < b->service_count; i++) {
        if (!counts(o, &b->services[i]))
            continue;
        if (o->first == NULL)
            o->first_on = odds_start(o, b->services[i].on);
        add_service(o, &b->services[i]);
    }
}

/* What a method can say of a calf conceived on `on`; false when it is too early or too late for it. */
static bool can_see(const struct check *c, struct date on)
{
    int32_t age = date_diff(on, c->on);
    const struct check_facts *m = &methods[c->method];
    return age >= m->from_days && (m->to_days == 0 || age <= m->to_days);
}

/* What is left of the last calf in blood and milk reads as a new one. */
static bool misled_by_last_calf(const struct odds *o, const struct check *c)
{
    return c->result == CHECK_IN_CALF && date_known(o->since_on) &&
           date_diff(o->since_on, c->on) < methods[c->method].after_calving_days;
}

/* A check tells something if the method could have seen one of the days that are possible. */
static bool check_valid(const struct odds *o, const struct check *c)
{
    if (!in_spell(o, c->on) || misled_by_last_calf(o, c))
        return false;
    for (int i = 0; i < o->count; i++)
        if (o->day[i] > 0 && can_see(c, date_add(o->first_on, i)))
            return true;
    return false;
}

/* Moves weight between the days towards the stage that was judged, keeping their sum. */
static void weigh_stage(struct odds *o, const struct check *c)
{
    double sd = methods[c->method].stage_sd_days, before = 0, after = 0;
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

static void weigh_check(struct odds *o, const struct check *c)
{
    const struct check_facts *m = &methods[c->method];
    bool yes = c->result == CHECK_IN_CALF;
    double none = yes ? m->sees_none_wrongly : 1 - m->sees_none_wrongly;
    double calf = yes ? m->sees_calf : 1 - m->sees_calf;
    if (c->result == CHECK_DOUBTFUL)
        return;
    for (int i = 0; i < o->count; i++)
        o->day[i] *= can_see(c, date_add(o->first_on, i)) ? calf : none;
    o->open *= none;
    if (yes)
        weigh_stage(o, c);
}

/* A heat that somebody saw and that is more than one vague sign. */
static bool heat_counts(const struct heat *h)
{
    return h->origin == HEAT_SEEN && heat_strength(h->signs) != HEAT_POSSIBLE;
}

/* The last such heat after the last service, DATE_NONE if there is none. */
static struct date heat_since_service(const struct odds *o, const struct breeding *b)
{
    struct date last_on = DATE_NONE;
    for (size_t i = 0; i < b->heat_count; i++) {
        struct date on = heat_on(&b->heats[i]);
        if (heat_counts(&b->heats[i]) && in_spell(o, on) && date_diff(o->last_end_on, on) >= SAME_HEAT_DAYS)
            last_on = on;
    }
    return last_on;
}

/* The heat at which she was served has been weighed with the service. */
static bool near_service(const struct breeding *b, struct date on)
{
    for (size_t i = 0; i < b->service_count; i++) {
        int32_t days = date_diff(on, b->services[i].on);
        if (days >= -SAME_SIGHTING_DAYS && days <= SAME_SIGHTING_DAYS)
            return true;
    }
    return false;
}

static void weigh_heats(struct odds *o, const struct breeding *b)
{
    struct date last_on = DATE_NONE;
    for (size_t i = 0; i < b->heat_count; i++) {
        struct date on = heat_on(&b->heats[i]);
        if (!heat_counts(&b->heats[i]) || !in_spell(o, on) || near_service(b, on))
            continue;
        if (date_known(last_on) && date_diff(last_on, on) <= SAME_SIGHTING_DAYS)
            continue;
        last_on = on;
        for (int k = 0; k < o->count; k++)
            if (date_diff(date_add(o->first_on, k), on) >= SAME_HEAT_DAYS)
                o->day[k] *= heat_in_calf;
    }
}

/* Quiet cycles since the last service or heat: an open cow would have been seen in about half of them. */
static int quiet_cycles(const struct odds *o, const struct breeding *b)
{
    struct date from_on = later_of(o->last_end_on, heat_since_service(o, b));
    int32_t days = date_diff(from_on, o->today);
    int cycles = days > RETURN_TO_DAYS ? 1 + (days - RETURN_TO_DAYS - 1) / CYCLE_DAYS : 0;
    return cycles < MISSED_HEATS_MAX ? cycles : MISSED_HEATS_MAX;
}

static void weigh_quiet(struct odds *o, const struct breeding *b, struct working *w)
{
    int quiet = quiet_cycles(o, b);
    if (quiet == 0)
        return;
    for (int i = 0; i < o->count; i++)
        o->day[i] *= 1 - heat_in_calf;
    o->open *= pow(heat_missed, quiet);
    working_step(w, "%d cycle%s without a heat seen: an open cow is missed about every second time", quiet,
                 quiet == 1 ? "" : "s");
}

/* A cow said to be in calf with no service on record was served some day that the check could see. */
static void assume_service(struct odds *o, const struct breeding *b)
{
    for (size_t i = b->check_count; i-- > 0 && o->first == NULL;) {
        const struct check *c = &b->checks[i];
        if (c->result != CHECK_IN_CALF || !in_spell(o, c->on) || misled_by_last_calf(o, c))
            continue;
        struct date from_on = date_add(c->on, -GESTATION_MAX_DAYS);
        from_on =
            odds_start(o, date_known(o->since_on) ? later_of(from_on, date_add(o->since_on, 1)) : from_on);
        o->assumed = (struct service){
            .on = from_on, .to_on = date_add(c->on, -methods[c->method].from_days), .kind = SERVICE_UNSEEN};
        if (date_diff(o->assumed.on, o->assumed.to_on) < 0)
            continue;
        o->first_on = from_on;
        add_service(o, &o->assumed);
    }
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
        double weight = counts(o, s) ? day_weight(o, s->on, service_end(s)) : 0;
        if (weight > best) {
            best = weight;
            p->by = s;
        }
    }
    p->by_chance = all > 0 ? best / all : 0;
}

/* Within the chosen service (one day, as a rule) the middle of what is left of it. */
static struct date conception_day(const struct pregnancy *p)
{
    struct day_chances part = {.count = 0};
    for (int i = 0; i < p->conception.count; i++) {
        struct date on = date_add(p->conception.first_on, i);
        if (p->by == NULL || (on.days >= p->by->on.days && on.days <= service_end(p->by).days))
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
    p->conceived_on = conception_day(p);
}

/* True if a check could have seen even the last service. */
static bool check_covers(const struct odds *o, const struct check *c)
{
    return date_diff(o->last_end_on, c->on) >= methods[c->method].from_days;
}

static enum pregnancy_state state_by_checks(const struct odds *o, const struct breeding *b,
                                            const struct check *last)
{
    struct date heat = heat_since_service(o, b);
    if (last != NULL && last->result == CHECK_IN_CALF) {
        bool later_heat = date_known(heat) && heat.days > last->on.days;
        bool later_service = o->last_end_on.days > last->on.days && o->last != o->first;
        return later_heat || later_service ? PREGNANCY_DOUBTFUL : PREGNANCY_IN_CALF;
    }
    if (last != NULL && check_covers(o, last))
        return last->result == CHECK_OPEN ? PREGNANCY_OPEN : PREGNANCY_DOUBTFUL;
    if (date_known(heat))
        return PREGNANCY_OPEN;
    return date_diff(o->last_end_on, o->today) <= RETURN_TO_DAYS ? PREGNANCY_RETURN_DUE : PREGNANCY_UNPROVEN;
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
    working_given(w, "service_takes_pct", takes * 100, ORIGIN_CONSTANT);
    working_given(w, "heat_when_in_calf_pct", heat_in_calf * 100, ORIGIN_CONSTANT);
    working_given(w, "heats_missed_pct", heat_missed * 100, ORIGIN_CONSTANT);
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

/* Weighs the checks that tell something; returns the last of them, NULL if there is none. */
static const struct check *weigh_checks(struct odds *o, const struct breeding *b, struct pregnancy *p,
                                        struct working *w)
{
    static const char *const results[] = {
        [CHECK_OPEN] = "open", [CHECK_IN_CALF] = "in calf", [CHECK_DOUBTFUL] = "doubtful"};
    const struct check *last = NULL;
    for (size_t i = 0; i < b->check_count; i++) {
        const struct check *c = &b->checks[i];
        const struct check_facts *m = &methods[c->method];
        if (!check_valid(o, c)) {
            if (in_spell(o, c->on))
                working_step(w, "%s %d days after the last service says nothing: it sees from day %d",
                             m->word, date_diff(o->last_end_on, c->on), m->from_days);
            continue;
        }
        weigh_check(o, c);
        working_step(w, "%s: %s", m->word, results[c->result]);
        working_source(w, m->source);
        working_source(w, "check-errors");
        last = c;
        if (m->stage_sd_days > 0) /* the methods that see or feel the calf itself */
            p->twins = c->result == CHECK_IN_CALF && c->twins;
    }
    return last;
}

/* Services of the spell, or the one that a check without any service lets us assume. */
static void gather_services(struct odds *o, const struct breeding *b, struct pregnancy *p)
{
    add_services(o, b);
    for (size_t i = 0; i < b->service_count; i++)
        p->services += counts(o, &b->services[i]);
    if (o->first != NULL)
        p->last_service_on = o->last->on;
    else
        assume_service(o, b);
}

void pregnancy_judge(const struct breeding *b, struct date today, struct pregnancy *out, struct working *w)
{
    struct odds o = {.today = today, .last_end_on = DATE_NONE};
    memset(out, 0, sizeof *out);
    o.since_on = spell_start(b, date_add(today, 1));
    out->since_on = o.since_on;
    out->last_service_on = DATE_NONE;
    out->conceived_on = DATE_NONE;
    gather_services(&o, b, out);
    if (o.first == NULL) {
        out->state = state_without_service(&o, b);
        return;
    }
    weigh_heats(&o, b);
    const struct check *last = weigh_checks(&o, b, out, w);
    weigh_quiet(&o, b, w);
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
    *out = (struct gestation_case){
        .breed = *breed, .own_days = own_days, .heifer = breeding_heifer(b), .twins = p->twins};
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
    o.since_on = spell_start(b, calved_on);
    add_services(&o, b);
    for (int i = 0; i < o.count; i++)
        o.day[i] *= gestation_chance(g, date_diff(date_add(o.first_on, i), calved_on));
    settle(&o, b, &p);
    if (conceived_on != NULL)
        *conceived_on = p.conceived_on;
    if (chance != NULL)
        *chance = p.by_chance;
    return p.by;
}

static const char *return_text(const struct pregnancy *p, int days, char *buf, size_t size)
{
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX];
    (void)snprintf(buf, size, "bred %d d, watch for heat %s to %s", days,
                   date_text(date_add(p->last_service_on, 18), from),
                   date_text(date_add(p->last_service_on, RETURN_TO_DAYS), to));
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
    case PREGNANCY_RETURN_DUE: return return_text(p, bred, buf, size);
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
