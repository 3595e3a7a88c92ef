/* The page's rows about breeding: when she calves and how sure that is, when her next heats come, and the figures that say
 * how it goes with her. */
#include <math.h>
#include <stdio.h>

#include "core/breeding/calving.h"
#include "core/day/cow_page_inside.h"

static const char group[] = "BREEDING";

static void add_due(const struct cow_record *r, struct cow_page *p)
{
    char a[CIVIL_TEXT_MAX], b[CIVIL_TEXT_MAX];
    const struct gestation_plan *plan = &r->plan;
    struct calving_near near;
    if (r->pregnancy.chance <= 0 || !date_known(plan->due_on))
        return;
    page_figure_add(p, group, FIGURE_CALVING, 0, URGENCY_CALM, "%sdue %s, %d days", r->pregnancy.chance < 0.9 ? "if she holds, " : "",
             date_text(plan->due_on, a), plan->days);
    page_figure_add(p, group, FIGURE_CALVING, 1, URGENCY_CALM, "1 in 2: %s to %s", date_text(plan->half.from_on, a),
             date_text(plan->half.to_on, b));
    page_figure_add(p, group, FIGURE_CALVING, 2, URGENCY_CALM, "9 in 10: %s to %s", date_text(plan->due.from_on, a),
             date_text(plan->due.to_on, b));
    if (r->pregnancy.chance < 0.9)
        page_figure_add(p, group, FIGURE_CALVING, 3, URGENCY_CALM, "in calf: %.0f %%", 100 * r->pregnancy.chance);
    gestation_near(plan, p->now, &near, NULL);
    if (near.days_to_due <= CALVING_NEAR_DAYS && isfinite(near.day_chance))
        page_figure_add(p, group, FIGURE_CALVING, 4, near.overdue ? URGENCY_STOP : near.day_chance > 0.05 ? URGENCY_WATCH : URGENCY_CALM,
                 "%.0f %% in 24 h, %.0f %% in 7 d%s", 100 * near.day_chance, 100 * near.week_chance,
                 near.overdue ? "; overdue: call the veterinarian" : "");
}

static size_t learn(const struct cow_record *r, struct cycle *cycle, struct date *last_on, struct working *w)
{
    struct heat heats[CYCLE_HEATS_MAX];
    size_t n = cycle_heats(&r->breeding, heats, CYCLE_HEATS_MAX);
    cycle_learn(heats, n, breeding_heifer(&r->breeding), cycle, w);
    if (n > 0)
        *last_on = heat_on(&heats[n - 1]);
    return n;
}

static void add_heats(const struct cow_record *r, struct cow_page *p)
{
    enum { WINDOWS = 2, SEEN_LATELY = 3 };
    struct heat_window windows[WINDOWS];
    struct cycle cycle;
    struct date last_on = DATE_NONE;
    char a[CIVIL_TEXT_MAX], b[CIVIL_TEXT_MAX];
    if (r->breeding.male || r->pregnancy.state == PREGNANCY_IN_CALF || learn(r, &cycle, &last_on, NULL) == 0)
        return;
    size_t n = cycle_ahead(&cycle, last_on, p->today, windows, WINDOWS);
    for (size_t i = 0; i < n && windows[0].cycle <= SEEN_LATELY; i++)
        page_figure_add(p, group, FIGURE_CYCLE, (int)i, URGENCY_CALM, "%s %s to %s", i == 0 ? "next heat" : "then",
                 date_text(windows[i].from_on, a), date_text(windows[i].to_on, b));
    page_figure_add(p, group, FIGURE_CYCLE, WINDOWS, URGENCY_CALM, "cycle %.1f d, by %d of her own", cycle.mean_days, cycle.own);
}

static void add_figures(const struct cow_record *r, struct cow_page *p)
{
    const struct breeding_figures *figures = &r->figures;
    int open = breeding_days_open(&r->breeding, p->today);
    if (open >= 0)
        page_figure_add(p, group, FIGURE_BREEDING, 0, URGENCY_CALM, r->pregnancy.state == PREGNANCY_IN_CALF ? "was open %d d" : "open %d d",
                 open);
    if (isfinite(figures->calving_interval_days))
        page_figure_add(p, group, FIGURE_BREEDING, 1, URGENCY_CALM, "calves every %.0f d", figures->calving_interval_days);
    if (isfinite(figures->services_per_conception))
        page_figure_add(p, group, FIGURE_BREEDING, 2, URGENCY_CALM, "%.1f services for each calf", figures->services_per_conception);
    if (isfinite(figures->heat_detection_pct))
        page_figure_add(p, group, FIGURE_BREEDING, 3, URGENCY_CALM, "%.0f %% of her heats were seen",
                        fmin(figures->heat_detection_pct, 100));
}

void page_add_breeding(const struct page_facts *facts, struct cow_page *p)
{
    if (p->male || p->gone || !p->shown_now)
        return;
    add_due(facts->r, p);
    add_heats(facts->r, p);
    add_figures(facts->r, p);
}

/* ---- workings ---- */

static void explain_heat(const struct cow_record *r, struct working *w)
{
    struct heat_window window;
    struct cycle cycle;
    struct date last_on = DATE_NONE;
    if (learn(r, &cycle, &last_on, w) == 0 || cycle_ahead(&cycle, last_on, r->today, &window, 1) == 0)
        return;
    working_result_date(w, "heat_from_on", window.from_on);
    working_result_date(w, "heat_to_on", window.to_on);
}

void page_explain_breeding(const struct page_facts *facts, enum page_figure_kind kind, struct working *w)
{
    struct breeding_figures figures;
    if (kind == FIGURE_CALVING)
        cow_record_explain_plan(facts->r, facts->now, w);
    else if (kind == FIGURE_CYCLE)
        explain_heat(facts->r, w);
    else
        cow_record_breeding_figures(facts->r, &figures, w);
}

static void explain_fresh(const struct page_facts *facts, struct working *w)
{
    struct milk_fever_watch watch;
    (void)cow_milk_fever(facts->r, facts->now, &watch, w);
    for (int i = 1; calving_call_now[i] != NULL; i++)
        working_caution(w, calving_call_now[i]);
}

bool page_explain_due(const struct page_facts *facts, enum due_kind kind, struct working *w)
{
    struct colostrum_plan plan;
    struct service_window when;
    switch (kind) {
    case DUE_HEAT: explain_heat(facts->r, w); return true;
    case DUE_CHECK:
    case DUE_DRY_OFF:
    case DUE_CLOSE_UP:
    case DUE_CALVING: cow_record_explain_plan(facts->r, facts->now, w); return true;
    case DUE_FRESH: explain_fresh(facts, w); return true;
    case DUE_SERVE: cycle_service_window(facts->r->heats[facts->r->breeding.heat_count - 1].at, &when, w); return true;
    case DUE_COLOSTRUM: return cow_colostrum(facts->r, &plan, w);
    case DUE_HOLD:
    case DUE_MEAT:
    case DUE_DOSE:
    case DUE_RECORD:
    case DUE_TEST:
    case DUE_APART:
    case DUE_KINDS: break;
    }
    return false;
}
