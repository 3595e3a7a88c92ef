#include "core/breeding/figures.h"

#include <math.h>

#include "core/breeding/cycle.h"
#include "core/breeding/pregnancy.h"

static const double cycle_days = 21;

/* One spell: from a calving (or, for a heifer, her first service) to the calving after it, or to today. */
struct spell {
    struct date from_on, to_on; /* to_on: the next calving, or today */
    bool calved_before, calved_after;
};

static bool inside(const struct spell *s, struct date on)
{
    return on.days > s->from_on.days && on.days <= s->to_on.days;
}

/* A heifer's spell begins the day before her first service. */
static struct date heifer_start(const struct breeding *b, struct date to_on)
{
    if (b->service_count > 0 && b->services[0].on.days <= to_on.days)
        return date_add(b->services[0].on, -1);
    return to_on;
}

static struct spell spell_at(const struct breeding *b, size_t i, struct date today)
{
    struct spell s = {.to_on = today};
    if (i < b->calving_count && b->calvings[i].on.days <= today.days) {
        s.to_on = b->calvings[i].on;
        s.calved_after = true;
    }
    s.calved_before = i > 0;
    s.from_on = i > 0 ? b->calvings[i - 1].on : heifer_start(b, s.to_on);
    return s;
}

/* The day she conceived in this spell: by the calving that ended it, or proven by a check. */
static struct date conceived_in(const struct breeding *b, const struct spell *s, const struct gestation *g)
{
    struct date on = DATE_NONE;
    struct pregnancy p;
    if (s->calved_after) {
        (void)pregnancy_behind(b, s->to_on, g, &on, NULL);
        return on;
    }
    pregnancy_judge(b, s->to_on, &p, NULL);
    return p.state == PREGNANCY_IN_CALF ? p.conceived_on : DATE_NONE;
}

/* Her heats, of all her spells: the same list for each. */
struct heats {
    struct heat heat[CYCLE_HEATS_MAX];
    size_t count;
};

/* A heifer is not watched by the calendar: her first service begins it, and is itself no heat that was waited for. */
static struct date watched_from(const struct breeding *b, const struct spell *s)
{
    struct date from_on = date_add(s->from_on, s->calved_before ? WAITING_DAYS : 1);
    return b->newly_watched && b->watched_from_on.days > from_on.days ? b->watched_from_on : from_on;
}

static void count_heats(struct breeding_tally *t, const struct breeding *b, const struct heats *h, const struct spell *s,
                        struct date conceived_on)
{
    struct date from_on = watched_from(b, s);
    struct date to_on = date_known(conceived_on) ? conceived_on : s->to_on;
    struct date last_on = DATE_NONE;
    if (to_on.days <= from_on.days)
        return;
    t->watched_days += date_diff(from_on, to_on);
    for (size_t i = 0; i < h->count; i++) {
        struct date on = heat_on(&h->heat[i]);
        bool again = date_known(last_on) && date_diff(last_on, on) <= ONE_HEAT_DAYS;
        if (h->heat[i].origin == HEAT_SILENT || on.days <= from_on.days || on.days > to_on.days || again)
            continue;
        last_on = on;
        t->heats_seen++;
    }
}

static void add_spell(struct breeding_tally *t, const struct breeding *b, const struct heats *h,
                      const struct spell *s, const struct gestation *g)
{
    struct date conceived_on = conceived_in(b, s, g);
    if (s->calved_before && s->calved_after) {
        t->intervals++;
        t->interval_days += date_diff(s->from_on, s->to_on);
    }
    if (date_known(conceived_on)) {
        t->conceptions++;
        for (size_t i = 0; i < b->service_count; i++)
            t->services_to_those +=
                inside(s, b->services[i].on) && b->services[i].on.days <= conceived_on.days;
        if (s->calved_before) {
            t->spells_closed++;
            t->open_days_closed += date_diff(s->from_on, conceived_on);
        }
    }
    count_heats(t, b, h, s, conceived_on);
}

void breeding_tally_add(struct breeding_tally *t, const struct breeding *b, const struct gestation *g,
                        struct date today)
{
    struct heats h;
    h.count = cycle_heats(b, h.heat, CYCLE_HEATS_MAX);
    for (size_t i = 0; i <= b->calving_count; i++) {
        struct spell s = spell_at(b, i, today);
        if (i > 0 && b->calvings[i - 1].on.days > today.days)
            break;
        add_spell(t, b, &h, &s, g);
    }
}

static double ratio(double a, double b)
{
    return b > 0 ? a / b : NAN;
}

void breeding_figures_of(const struct breeding_tally *t, struct breeding_figures *out, struct working *w)
{
    double expected_heats = (double)t->watched_days / cycle_days;
    out->days_open = ratio((double)t->open_days_closed, t->spells_closed);
    out->calving_interval_days = ratio((double)t->interval_days, t->intervals);
    out->services_per_conception = ratio(t->services_to_those, t->conceptions);
    /* Of less than one heat that should have come nothing can be said. */
    out->heat_detection_pct = expected_heats >= 1 ? 100.0 * t->heats_seen / expected_heats : (double)NAN;
    working_step(w, "days open: calving to conception, %ld days in %d closed spells", t->open_days_closed,
                 t->spells_closed);
    working_step(w, "calving interval: calving to next calving, %ld days in %d", t->interval_days,
                 t->intervals);
    working_step(w, "services per conception: %d services up to the one that held, %d conceptions",
                 t->services_to_those, t->conceptions);
    working_step(
        w,
        "heats found: %d of %.1f, one to be expected every %.0f days from day %d after calving, or a "
        "heifer's first service, until she holds",
        t->heats_seen, expected_heats, cycle_days, WAITING_DAYS);
    working_result(w, "days_open_d", out->days_open);
    working_result(w, "calving_interval_d", out->calving_interval_days);
    working_result(w, "services_per_conception", out->services_per_conception);
    working_result(w, "heat_detection_pct", out->heat_detection_pct);
    working_source(w, "repro-goals");
    working_source(w, "calving-interval");
    working_source(w, "heat-missed");
}

int breeding_days_open(const struct breeding *b, struct date today)
{
    struct pregnancy p;
    struct date calved_on = breeding_calved_on(b);
    if (!date_known(calved_on))
        return -1;
    pregnancy_judge(b, today, &p, NULL);
    bool closed = p.state == PREGNANCY_IN_CALF && date_known(p.conceived_on);
    return date_diff(calved_on, closed ? p.conceived_on : today);
}
