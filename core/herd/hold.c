/* Each hold, and the rule for fresh cows, is judged on its own and gives at most one reason why a milking is
 * not kept; the milking is kept when no reason stands. Whatever cannot be worked out is a reason without an
 * end. */
#include "core/herd/hold.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

enum { SECONDS_PER_DAY = 86400, HABIT_DAYS_MAX = 400, CLEARED_LATELY_S = 7 * SECONDS_PER_DAY };

const char hold_caution_interval[] = "Label hours are tested with milkings twelve hours apart. Milking once "
                                     "a day is a question for the veterinarian.";

static const char early_caution[] =
    "She calved before the label's dry days were over: ask the veterinarian how long her milk stays out.";

/* A milking under judgement. `to_come` are milkings before it that are not in the records yet. */
struct judgement {
    const struct hold_facts *facts;
    struct instant at;
    const struct instant *to_come;
    size_t to_come_count;
    struct hold_state *out;
};

static bool before_or_at(struct instant a, struct instant b)
{
    return a.s <= b.s;
}

static struct instant later_of(struct instant a, struct instant b)
{
    return a.s > b.s ? a : b;
}

/* A fraction of a second is rounded towards keeping milk out. */
static struct instant after_seconds(struct instant t, double seconds)
{
    return (struct instant){t.s + (int64_t)ceil(seconds)};
}

/* A number that a person typed and that can be meant; everything else keeps milk out. */
static bool typed(double number)
{
    return number >= 0 && number <= 1e6;
}

/* ---- reasons ---- */

/* Of two reasons the one that lasts longer: an unknown end is the longest. */
static bool outlasts(const struct hold_reason *a, const struct hold_reason *b)
{
    if (!instant_known(b->clear_at))
        return false;
    return !instant_known(a->clear_at) || a->clear_at.s > b->clear_at.s;
}

/* Adds a reason, those that last longest first; when the list is full the shortest falls out. */
static void add_reason(struct hold_state *out, const struct hold_reason *r)
{
    size_t kept = out->reasons < HOLD_REASONS_MAX ? out->reasons : HOLD_REASONS_MAX;
    size_t at = kept;
    while (at > 0 && outlasts(r, &out->reason[at - 1]))
        at--;
    for (size_t i = kept < HOLD_REASONS_MAX ? kept : HOLD_REASONS_MAX - 1; i > at; i--)
        out->reason[i] = out->reason[i - 1];
    if (at < HOLD_REASONS_MAX)
        out->reason[at] = *r;
    out->reasons++;
    if (r->milkings_left > out->milkings_left)
        out->milkings_left = r->milkings_left;
}

static int count_between(const struct instant *list, size_t n, struct instant since, struct instant before)
{
    int count = 0;
    for (size_t i = 0; i < n; i++)
        count += list[i].s >= since.s && list[i].s < before.s;
    return count;
}

/* Milkings from `since` on and before the one judged. */
static int milkings_since(const struct judgement *j, struct instant since)
{
    return count_between(j->facts->milked_at, j->facts->milking_count, since, j->at) +
           count_between(j->to_come, j->to_come_count, since, j->at);
}

/* A rule that takes the first `rule` milkings since `since`: does it take this one, and how many after it? */
static bool count_takes(const struct judgement *j, struct instant since, int rule, int *left)
{
    int before = rule > 0 ? milkings_since(j, since) : 0;
    *left = 0;
    if (before >= rule)
        return false;
    *left = rule - before - 1;
    return true;
}

/* Puts hours and count together. clear_at is the end by hours (INSTANT_NONE: unknown). Returns whether the
 * milking is taken; then *r has the end, which is not known while milkings after this one are still to be
 * counted. */
static bool taken(const struct judgement *j, struct instant clear_at, struct instant since, int rule,
                  struct hold_reason *r)
{
    bool by_count = count_takes(j, since, rule, &r->milkings_left);
    bool by_hours = !instant_known(clear_at) || before_or_at(j->at, clear_at);
    r->clear_at = clear_at;
    if (!by_count)
        return by_hours;
    if (r->milkings_left > 0)
        r->clear_at = INSTANT_NONE;
    else if (instant_known(clear_at))
        r->clear_at = later_of(clear_at, j->at);
    return true;
}

/* ---- one hold ---- */

static bool is_treatment(const struct hold *h)
{
    return h->kind == HOLD_TREATMENT || h->kind == HOLD_DRY_COW;
}

/* The first milking it covers: an unknown beginning covers everything. */
static bool begun(const struct hold *h, struct instant at)
{
    struct instant from = h->from_at;
    if (is_treatment(h) && instant_known(h->last_dose_at) &&
        (!instant_known(from) || from.s > h->last_dose_at.s))
        from = h->last_dose_at;
    return !instant_known(from) || before_or_at(from, at);
}

static bool judge_treatment(const struct judgement *j, const struct hold *h, struct hold_reason *r)
{
    char dose[CIVIL_TEXT_MAX];
    bool known = instant_known(h->last_dose_at) && !h->doses_to_come && typed(h->milk_hours);
    struct instant clear_at = known ? after_seconds(h->last_dose_at, h->milk_hours * 3600) : INSTANT_NONE;
    if (!taken(j, clear_at, j->at, 0, r))
        return false;
    if (h->doses_to_come)
        (void)snprintf(r->words, sizeof r->words, "%.60s: doses still to come", h->name);
    else if (!instant_known(h->last_dose_at))
        (void)snprintf(r->words, sizeof r->words, "%.60s: the last dose is not recorded", h->name);
    else if (!typed(h->milk_hours))
        (void)snprintf(r->words, sizeof r->words, "%.60s: the label's milk hours are not typed in", h->name);
    else
        (void)snprintf(r->words, sizeof r->words, "%.60s, last dose %s, %g h", h->name,
                       instant_text(h->last_dose_at, dose), h->milk_hours);
    return true;
}

/* The calving that ended the dry period in which the dose was given; INSTANT_NONE if she has not calved
 * since. */
static struct instant calving_after(const struct hold_facts *facts, struct instant dose)
{
    struct instant first = INSTANT_NONE;
    for (size_t i = 0; i < facts->calving_count; i++)
        if (facts->calved_at[i].s >= dose.s && (!instant_known(first) || facts->calved_at[i].s < first.s))
            first = facts->calved_at[i];
    return first;
}

static bool judge_dry_cow(const struct judgement *j, const struct hold *h, struct hold_reason *r)
{
    char day[CIVIL_TEXT_MAX];
    struct instant calved =
        instant_known(h->last_dose_at) ? calving_after(j->facts, h->last_dose_at) : INSTANT_NONE;
    bool in_milk = instant_known(calved) && before_or_at(calved, j->at);
    bool known = in_milk && !h->doses_to_come && typed(h->dry_days) && typed(h->fresh_hours);
    struct instant clear_at = INSTANT_NONE;
    if (h->doses_to_come || !instant_known(h->last_dose_at))
        (void)snprintf(r->words, sizeof r->words, "%.60s: the last dose is not recorded", h->name);
    else if (!in_milk)
        (void)snprintf(r->words, sizeof r->words, "%.60s: dry-cow product, waits for her calving", h->name);
    else if (!known)
        (void)snprintf(r->words, sizeof r->words,
                       "%.60s: the label's dry days or hours after calving are not typed in", h->name);
    if (!known)
        return taken(j, clear_at, j->at, 0, r);
    /* After a calving that came too early the hours run from the end of the dry days: both must be over, one
     * after the other. */
    struct instant dry_over = after_seconds(h->last_dose_at, h->dry_days * SECONDS_PER_DAY);
    clear_at = after_seconds(later_of(calved, dry_over), h->fresh_hours * 3600);
    (void)snprintf(r->words, sizeof r->words, "%.60s, dose %s, %g days dry and %g h after calving%s", h->name,
                   date_text(instant_date(h->last_dose_at), day), h->dry_days, h->fresh_hours,
                   h->fresh_milkings > 0 ? " and her first milkings" : "");
    bool stands = taken(j, clear_at, calved, h->fresh_milkings, r);
    if (stands && calved.s < dry_over.s)
        j->out->caution = early_caution;
    return stands;
}

static bool judge_lifted(const struct judgement *j, const struct hold *h, struct hold_reason *r)
{
    struct instant clear_at = h->lifted_at;
    if (h->kind == HOLD_PLAIN && instant_known(h->until_at) &&
        (!instant_known(clear_at) || h->until_at.s < clear_at.s))
        clear_at = h->until_at;
    (void)snprintf(r->words, sizeof r->words, "%.100s%s", h->name,
                   instant_known(clear_at) || h->kind == HOLD_TEST ? "" : ", until it is lifted");
    return taken(j, clear_at, j->at, 0, r);
}

static void judge_hold(const struct judgement *j, size_t index)
{
    const struct hold *h = &j->facts->holds[index];
    struct hold_reason r = {.cause = CAUSE_HOLD, .hold = index, .clear_at = INSTANT_NONE};
    bool stands = false;
    if (!begun(h, j->at))
        return;
    switch (h->kind) {
    case HOLD_TREATMENT: stands = judge_treatment(j, h, &r); break;
    case HOLD_DRY_COW: stands = judge_dry_cow(j, h, &r); break;
    case HOLD_ABNORMAL:
    case HOLD_TEST:
    case HOLD_PLAIN: stands = judge_lifted(j, h, &r); break;
    }
    if (!stands)
        return;
    if (is_treatment(h) && j->out->caution == NULL)
        j->out->caution = hold_caution_interval;
    add_reason(j->out, &r);
}

static void judge_fresh(const struct judgement *j)
{
    const struct fresh_rule *rule = &j->facts->fresh;
    struct instant calved = INSTANT_NONE;
    char day[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < j->facts->calving_count; i++)
        if (before_or_at(j->facts->calved_at[i], j->at) && j->facts->calved_at[i].s > calved.s)
            calved = j->facts->calved_at[i];
    if (!instant_known(calved) || (rule->days == 0 && rule->milkings <= 0))
        return;
    struct hold_reason r = {.cause = CAUSE_FRESH};
    struct instant clear_at = INSTANT_NONE;
    if (rule->days == 0)
        clear_at = (struct instant){calved.s - 1}; /* no rule in days: over from the start */
    else if (typed(rule->days))
        clear_at = after_seconds(calved, rule->days * SECONDS_PER_DAY);
    if (!taken(j, clear_at, calved, rule->milkings, &r))
        return;
    (void)snprintf(r.words, sizeof r.words, "fresh, calved %s", date_text(instant_date(calved), day));
    if (rule->days > 0)
        (void)text_append(r.words, sizeof r.words, ", %g days kept out", rule->days);
    if (r.milkings_left > 0)
        (void)text_append(r.words, sizeof r.words, ", %d more milkings after this", r.milkings_left);
    add_reason(j->out, &r);
}

/* ---- the whole ---- */

static void judge_meat(const struct judgement *j)
{
    struct instant last = INSTANT_NONE;
    for (size_t i = 0; i < j->facts->hold_count; i++) {
        const struct hold *h = &j->facts->holds[i];
        if (!is_treatment(h) || !begun(h, j->at))
            continue;
        if (h->doses_to_come || !instant_known(h->last_dose_at) || !typed(h->meat_days)) {
            j->out->meat_unknown = true;
            continue;
        }
        struct instant clear_at = after_seconds(h->last_dose_at, h->meat_days * SECONDS_PER_DAY);
        if (before_or_at(j->at, clear_at))
            last = later_of(last, clear_at);
    }
    j->out->meat_on =
        instant_known(last) && !j->out->meat_unknown ? date_add(instant_date(last), 1) : DATE_NONE;
}

/* For milk that is kept: which treatment cleared within the last week, and when. */
static void say_cleared(const struct judgement *j)
{
    char when[CIVIL_TEXT_MAX];
    struct instant latest = INSTANT_NONE;
    const struct hold *which = NULL;
    for (size_t i = 0; i < j->facts->hold_count; i++) {
        const struct hold *h = &j->facts->holds[i];
        if (h->kind != HOLD_TREATMENT || !begun(h, j->at) || !instant_known(h->last_dose_at))
            continue;
        struct instant clear_at = after_seconds(h->last_dose_at, h->milk_hours * 3600);
        if (clear_at.s > latest.s && j->at.s - clear_at.s <= CLEARED_LATELY_S) {
            latest = clear_at;
            which = h;
        }
    }
    if (which != NULL)
        (void)snprintf(j->out->words, sizeof j->out->words, "%.60s cleared %s", which->name,
                       instant_text(latest, when));
}

static void say_held(struct hold_state *out)
{
    char when[CIVIL_TEXT_MAX];
    const struct hold_reason *first = &out->reason[0];
    out->clear_at = first->clear_at;
    (void)snprintf(out->words, sizeof out->words, "%s", first->words);
    if (out->reasons > 1)
        (void)text_append(out->words, sizeof out->words, "; %zu more", out->reasons - 1);
    if (instant_known(out->clear_at))
        (void)text_append(out->words, sizeof out->words, "; kept after %s",
                          instant_text(out->clear_at, when));
}

static void state_working(const struct judgement *j, struct working *w)
{
    char iso[CIVIL_TEXT_MAX];
    const struct hold_state *s = j->out;
    working_given_text(w, "milked_at", instant_iso_local(j->at, iso), ORIGIN_RECORDED);
    working_given_whole(w, "holds", (long)j->facts->hold_count, ORIGIN_RECORDED);
    working_given(w, "fresh_days", j->facts->fresh.days, ORIGIN_RECORDED);
    working_given_whole(w, "fresh_milkings", j->facts->fresh.milkings, ORIGIN_RECORDED);
    working_result_text(w, "verdict", hold_verdict(s));
    working_result_text(w, "clear_at",
                        instant_known(s->clear_at) ? instant_iso_local(s->clear_at, iso) : NULL);
    for (size_t i = 0; i < s->reasons && i < HOLD_REASONS_MAX; i++)
        working_step(w, "%s: kept strictly after %s", s->reason[i].words,
                     instant_known(s->reason[i].clear_at) ? instant_iso_local(s->reason[i].clear_at, iso)
                                                          : "a moment not known yet");
    if (!s->keep && !instant_known(s->clear_at))
        working_why(w, "%s", s->words);
    if (date_known(s->meat_on))
        working_result_date(w, "meat_on", s->meat_on);
    if (s->caution != NULL)
        working_caution(w, s->caution);
    working_source(w, "withhold-strict");
    working_source(w, "label-governs");
}

static void judge(const struct hold_facts *facts, struct instant at, const struct instant *to_come,
                  size_t to_come_count, struct hold_state *out, struct working *w)
{
    const struct judgement j = {facts, at, to_come, to_come_count, out};
    memset(out, 0, sizeof *out);
    out->clear_at = INSTANT_NONE;
    for (size_t i = 0; i < facts->hold_count; i++)
        judge_hold(&j, i);
    judge_fresh(&j);
    judge_meat(&j);
    out->keep = out->reasons == 0;
    if (out->keep)
        say_cleared(&j);
    else
        say_held(out);
    if (w != NULL)
        state_working(&j, w);
}

void hold_state(const struct hold_facts *facts, struct instant milked_at, struct hold_state *out,
                struct working *w)
{
    judge(facts, milked_at, NULL, 0, out, w);
}

const char *hold_verdict(const struct hold_state *state)
{
    return state->keep ? "KEEP" : "DO NOT KEEP";
}

struct instant hold_first_kept(const struct hold_facts *facts, const struct instant *milkings, size_t n,
                               struct instant after)
{
    struct hold_state state;
    size_t from = 0;
    while (from < n && before_or_at(milkings[from], after))
        from++;
    for (size_t i = from; i < n; i++) {
        judge(facts, milkings[i], milkings + from, i - from, &state, NULL);
        if (state.keep)
            return milkings[i];
    }
    return INSTANT_NONE;
}

/* The milkings by habit after `now`, rising; returns their number. */
static size_t habit_milkings(const struct milking_habit *habit, struct instant now, struct instant *list,
                             size_t size)
{
    size_t n = 0;
    for (int day = 0; day <= HABIT_DAYS_MAX; day++) {
        struct civil c;
        date_to_civil(date_add(instant_date(now), day), &c);
        for (int i = 0; i < habit->count && n < size; i++) {
            c.hour = habit->minute[i] / 60;
            c.minute = habit->minute[i] % 60;
            struct instant at = civil_to_instant(&c, NULL);
            if (!before_or_at(at, now))
                list[n++] = at;
        }
    }
    return n;
}

struct instant hold_first_kept_by_habit(const struct hold_facts *facts, const struct milking_habit *habit,
                                        struct instant now, int *poured)
{
    enum { A_DAY_MAX = sizeof habit->minute / sizeof habit->minute[0] };
    struct instant list[(HABIT_DAYS_MAX + 1) * A_DAY_MAX];
    size_t n = habit_milkings(habit, now, list, sizeof list / sizeof list[0]);
    struct instant first = hold_first_kept(facts, list, n, now);
    if (poured != NULL)
        *poured = instant_known(first) ? count_between(list, n, now, first) : (int)n;
    return first;
}
