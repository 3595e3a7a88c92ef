#include "core/day/supply_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/breeding/figures.h"
#include "core/day/facts.h"
#include "core/day/people.h"
#include "core/store/rows_year.h"

/* Her expected milk by day in milk, of the running lactation and of the next. */
enum { CURVE_DAYS = 620 };
struct curves {
    double kg[2][CURVE_DAYS + 1];
};

/* Half of what she gives above or below the usual is hers again in the next lactation: the repeatability of milk yield,
 * about 0.5 (from memory; common practice, no source). */
static const double repeatability = 0.5;

/* A cow that does not calve again is milked for about thirteen months; who is milked on for longer already is taken to go on
 * for another two (common practice, no source). */
enum { LAST_DAY = 400, GOES_ON_DAYS = 60, DRY_DAYS = 60 };

/* Everything that a plan is made of, while it is worked out. */
struct planning {
    struct dairy *dairy;
    struct date today;
    const struct cow_record *record[SUPPLY_COWS_MAX];
    struct supply_cow cow[SUPPLY_COWS_MAX];
    struct gestation gestation[SUPPLY_COWS_MAX];
    struct curves *curves[SUPPLY_COWS_MAX];
    size_t cows;
    struct supply_need need;
    bool need_set;
};

/* ---- cows ---- */

static double yield_kg(const void *who, int ahead, int day)
{
    const struct curves *c = who;
    return day < 1 || day > CURVE_DAYS ? 0 : c->kg[ahead > 0][day];
}

static void fill_curves(const struct cow_record *r, struct curves *c)
{
    struct lactation next;
    struct lactation_prior prior;
    struct expectation e;
    lactation_prior_usual(&r->breed, r->stage.parity + 1, &prior, NULL);
    if (isfinite(r->season.mean[LACTATION_LEVEL]) && r->yield_count > 0)
        prior.mean[LACTATION_LEVEL] += repeatability * (r->season.mean[LACTATION_LEVEL] - r->prior.mean[LACTATION_LEVEL]);
    lactation_learn(&prior, NULL, 0, LACTATION_SEASON, &next, NULL);
    for (int day = 1; day <= CURVE_DAYS; day++) {
        c->kg[0][day] = 0;
        if (date_known(r->stage.calved_on)) {
            lactation_expect(&r->season, day, r->milkings, &e, NULL);
            c->kg[0][day] = e.kg;
        }
        lactation_expect(&next, day, r->milkings, &e, NULL);
        c->kg[1][day] = e.kg;
    }
}

static int calf_share(struct dairy *d, int64_t cow_id, double *share, struct fail *f)
{
    struct calf_milk_row row;
    bool found;
    if (rows_first(d->store, &calf_milk_table, "WHERE cow_id = ?1 ORDER BY from_at DESC, id DESC LIMIT 1",
                   (struct bind[]){BIND_ID(cow_id)}, 1, &row, &found, f) != 0)
        return -1;
    *share = found ? (double)row.share_pct / 100 : 0;
    return 0;
}

static int last_day(const struct cow_record *r, struct date today)
{
    int day = r->stage.in_milk ? date_diff(r->stage.calved_on, today) : 0;
    return day > LAST_DAY - GOES_ON_DAYS ? day + GOES_ON_DAYS : LAST_DAY;
}

static int add_cow(struct planning *p, const struct cow_record *r, struct fail *f)
{
    size_t i = p->cows;
    struct supply_cow *cow = &p->cow[i];
    p->curves[i] = malloc(sizeof *p->curves[i]);
    if (p->curves[i] == NULL)
        return fail_memory(f);
    p->cows++;
    p->record[i] = r;
    fill_curves(r, p->curves[i]);
    cow_record_gestation(r, &p->gestation[i], NULL);
    *cow = (struct supply_cow){.yield_kg = yield_kg,
                               .who = p->curves[i],
                               .calved_on = r->stage.in_milk ? r->stage.calved_on : DATE_NONE,
                               .dry_on = DATE_NONE,
                               .dry_days = DRY_DAYS,
                               .kept_back_days = (int)((p->dairy->row.fresh_s + 86399) / 86400),
                               .last_day = last_day(r, p->today)};
    if (!pregnancy_calving(&r->pregnancy, &p->gestation[i], p->today, &cow->calving))
        cow->calving.count = 0;
    return calf_share(p->dairy, r->row.id, &cow->calf_share, f);
}

/* Those that give milk, have given it, or carry a calf. */
static bool counts(const struct cow_record *r)
{
    return !r->breeding.male && (r->stage.in_milk || !breeding_heifer(&r->breeding) || r->pregnancy.chance > 0);
}

/* ---- the need ---- */

static int add_shares(struct planning *p, struct instant now, struct fail *f)
{
    int result = 0;
    struct people_view *people = malloc(sizeof *people);
    if (people == NULL)
        return fail_memory(f);
    result = people_load(p->dairy, now, people, f);
    for (size_t i = 0; i < people->people && result == 0; i++) {
        const struct person_view *x = &people->person[i];
        double jar_l = L_PER_GAL / 2; /* any kind: the usual half gallon */
        int days = 0;
        for (size_t k = 0; k < p->dairy->jars.count; k++)
            if (strcmp(p->dairy->jars.kind[k].name, x->share_kind) == 0)
                jar_l = p->dairy->jars.kind[k].volume_l;
        for (int32_t day = 0; day < 7; day++)
            days += share_days_have(x->share_days, date_add(p->today, day));
        p->need.shares_l += x->share * jar_l * days;
    }
    free(people);
    return result;
}

static int load_need(struct planning *p, struct instant now, struct fail *f)
{
    struct milk_need_row row;
    if (rows_first(p->dairy->store, &milk_need_table, "ORDER BY from_at DESC, id DESC LIMIT 1", NULL, 0, &row, &p->need_set,
                   f) != 0)
        return -1;
    if (p->need_set)
        p->need = (struct supply_need){.household_l = (double)row.week_ml / 1e3,
                                       .room_l = row.room_ml == ROW_NONE ? 0 : (double)row.room_ml / 1e3};
    return add_shares(p, now, f);
}

static void planning_release(struct planning *p)
{
    for (size_t i = 0; i < p->cows; i++)
        free(p->curves[i]);
    free(p);
}

static int planning_load(struct dairy *d, struct instant now, struct planning **out, struct fail *f)
{
    *out = NULL;
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (facts_load(d, now, true, f) != 0)
        return -1;
    struct planning *p = calloc(1, sizeof *p);
    if (p == NULL)
        return fail_memory(f);
    p->dairy = d;
    p->today = instant_date(now);
    int result = store_begin_look(d->store, f);
    for (size_t i = 0; i < d->facts->cows && p->cows < SUPPLY_COWS_MAX && result == 0; i++)
        if (counts(&d->facts->cow[i]))
            result = add_cow(p, &d->facts->cow[i], f);
    if (result == 0)
        result = load_need(p, now, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    if (result != 0) {
        planning_release(p);
        return -1;
    }
    *out = p;
    return 0;
}

/* ---- services ---- */

/* Above this chance she is in calf, and a service is no question. */
static const double in_calf = 0.9;

static struct supply_case case_of(const struct planning *p, size_t which)
{
    return (struct supply_case){.cows = p->cow,
                                .count = p->cows,
                                .need = p->need,
                                .from_on = p->today,
                                .weeks = YEAR_WEEKS,
                                .which = which,
                                .gestation = p->gestation[which]};
}

static bool servable(const struct planning *p, size_t which)
{
    return day_chances_total(&p->cow[which].calving) <= in_calf;
}

static struct date earliest_service(const struct planning *p, size_t which)
{
    struct date calved_on = breeding_calved_on(&p->record[which]->breeding);
    struct date waited_on = date_known(calved_on) ? date_add(calved_on, WAITING_DAYS) : p->today;
    return waited_on.days > p->today.days ? waited_on : p->today;
}

/* A service later than this brings no milk within the gap. */
static struct date latest_service(const struct planning *p, size_t which, const struct supply_gap *gap)
{
    return date_add(gap->to_on, -p->gestation[which].days);
}

/* ---- the view ---- */

static void fill_state(const struct planning *p, size_t i, struct supply_cow_view *v)
{
    char a[CIVIL_TEXT_MAX], b[CIVIL_TEXT_MAX];
    const struct cow_record *r = p->record[i];
    v->due_on = v->chance > 0 ? r->plan.due_on : DATE_NONE;
    v->dry_on = v->chance > 0 && r->stage.in_milk ? r->plan.dry_off_on : DATE_NONE;
    if (date_known(v->due_on) && date_known(v->dry_on))
        (void)snprintf(v->state, sizeof v->state, "%sdry %s, calves %s", v->chance > in_calf ? "" : "if she holds: ",
                       date_text(v->dry_on, a), date_text(v->due_on, b));
    else if (date_known(v->due_on))
        (void)snprintf(v->state, sizeof v->state, "%scalves %s", v->chance > in_calf ? "" : "if she holds: ",
                       date_text(v->due_on, b));
    else
        (void)snprintf(v->state, sizeof v->state, "not in calf, can be served from %s", date_text(earliest_service(p, i), a));
}

static int fill_cow(const struct planning *p, size_t i, struct supply *scratch, struct supply_view *v, struct fail *f)
{
    const struct supply_need none = {0};
    struct supply_cow_view *out = &v->cow[v->cows++];
    out->cow_id = p->record[i]->row.id;
    (void)snprintf(out->name, sizeof out->name, "%s", p->record[i]->row.name);
    out->chance = day_chances_total(&p->cow[i].calving);
    out->servable = servable(p, i);
    out->earliest_on = earliest_service(p, i);
    fill_state(p, i, out);
    if (supply_ahead(&p->cow[i], 1, &none, p->today, YEAR_WEEKS, scratch, NULL, f) != 0)
        return -1;
    for (int week = 0; week < YEAR_WEEKS; week++)
        out->week_l[week] = scratch->week[week].expected_l;
    return 0;
}

/* What serving one cow would do about a gap. */
struct option {
    struct service_days days; /* on which it closes; DATE_NONE */
    double elsewhere_l;       /* missing in other weeks then, and not before */
};

static int weigh(const struct planning *p, struct supply_view *v, const struct supply_gap *gap, size_t i, struct option *out,
                 struct fail *f)
{
    struct date from_on = earliest_service(p, i), to_on = latest_service(p, i, gap);
    struct supply_case c = case_of(p, i);
    struct supply_cow_view *cow = &v->cow[i];
    struct service_effect effect;
    *out = (struct option){.days = {DATE_NONE, DATE_NONE}};
    if (supply_service_days(&c, gap, from_on, to_on, &out->days, NULL, f) != 0)
        return -1;
    if (cow->months == 0)
        cow->months = supply_months(&c, gap, from_on, cow->month, YEAR_MONTHS, f);
    if (cow->months < 0)
        return -1;
    if (!date_known(out->days.from_on))
        return 0;
    struct date middle_on = date_add(out->days.from_on, date_diff(out->days.from_on, out->days.to_on) / 2);
    if (supply_effect(&c, NULL, middle_on, &effect, f) != 0)
        return -1;
    out->elsewhere_l = fmax(0, effect.short_l - (v->year.short_l - gap->short_l));
    return 0;
}

/* A cow that was not served comes before one that may hold; then the one whose own dry weeks hurt least. */
static bool better(const struct supply_view *v, const struct supply_gap_view *g, int i, const struct option *o)
{
    bool waits = v->cow[i].chance >= 0.5;
    if (g->cow < 0)
        return true;
    bool other_waits = v->cow[g->cow].chance >= 0.5;
    return waits != other_waits ? !waits : o->elsewhere_l < g->elsewhere_l - 1;
}

static void note_helper(const struct supply_view *v, struct supply_gap_view *g, int i)
{
    const struct supply_cow_view *cow = &v->cow[i];
    for (int m = 0; m < cow->months; m++)
        if (g->helper < 0 || cow->month[m].short_l < g->best.short_l) {
            g->helper = i;
            g->best = cow->month[m];
        }
}

/* Whose service alone closes it; and who would help most. */
static int fill_gap(const struct planning *p, struct supply_view *v, struct supply_gap_view *g, struct fail *f)
{
    g->cow = g->helper = -1;
    for (size_t i = 0; i < p->cows; i++) {
        struct option o;
        if (!servable(p, i) || latest_service(p, i, &g->gap).days < earliest_service(p, i).days)
            continue;
        if (weigh(p, v, &g->gap, i, &o, f) != 0)
            return -1;
        note_helper(v, g, (int)i);
        if (date_known(o.days.from_on) && better(v, g, (int)i, &o)) {
            g->cow = (int)i;
            g->serve = o.days;
            g->elsewhere_l = o.elsewhere_l;
        }
    }
    return 0;
}

/* Gallons or litres a week are told whole. */
static const char *amount(const struct supply_view *v, double litres, char buf[QUANTITY_TEXT_MAX])
{
    return quantity_format_in(litres, DIM_VOLUME, v->units == UNITS_US ? "gal" : "L", 0, buf);
}

static void say_gap(const struct supply_view *v, struct supply_gap_view *g)
{
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX], a[CIVIL_TEXT_MAX], b[CIVIL_TEXT_MAX], volume[QUANTITY_TEXT_MAX],
        left[QUANTITY_TEXT_MAX];
    int weeks = g->gap.last - g->gap.first + 1;
    (void)snprintf(g->words, sizeof g->words, "%d week%s short, %s to %s, %s in all: ", weeks, weeks == 1 ? "" : "s",
                   date_text(g->gap.from_on, from), date_year_text(g->gap.to_on, to), amount(v, g->gap.short_l, volume));
    if (g->cow >= 0)
        (void)text_append(g->words, sizeof g->words, "serve %s %s to %s and it closes%s%s%s", v->cow[g->cow].name,
                          date_text(g->serve.from_on, a), date_year_text(g->serve.to_on, b),
                          g->elsewhere_l < 1 ? "." : ", but her dry weeks are then ",
                          g->elsewhere_l < 1 ? "" : amount(v, g->elsewhere_l, left), g->elsewhere_l < 1 ? "" : " short.");
    else if (g->helper >= 0 && g->best.short_l < v->year.short_l)
        (void)text_append(g->words, sizeof g->words, "no one service closes it; %s served about %s leaves %s short all year.",
                          v->cow[g->helper].name, date_text(g->best.served_on, a), amount(v, g->best.short_l, left));
    else
        (void)text_append(g->words, sizeof g->words, "no service can still change it; plan for less, or for another cow.");
}

static int fill_gaps(const struct planning *p, struct supply_view *v, struct fail *f)
{
    int after = 0;
    while (v->gaps < YEAR_GAPS_MAX && supply_gap(&v->year, after, &v->gap[v->gaps].gap)) {
        struct supply_gap_view *g = &v->gap[v->gaps++];
        if (fill_gap(p, v, g, f) != 0)
            return -1;
        say_gap(v, g);
        after = g->gap.last + 1;
    }
    return 0;
}

/* What can be done something about comes first. */
static size_t first_closable(const struct supply_view *v)
{
    for (size_t i = 0; i < v->gaps; i++)
        if (v->gap[i].cow >= 0)
            return i;
    return 0;
}

static void say_year(struct supply_view *v)
{
    if (!v->need_set)
        (void)snprintf(v->sentence, sizeof v->sentence, "How much milk the household needs in a week is not said yet: + enters it.");
    else if (v->gaps == 0)
        (void)snprintf(v->sentence, sizeof v->sentence, "Enough in every week of the coming %d, by what is recorded.", YEAR_WEEKS);
    else
        (void)snprintf(v->sentence, sizeof v->sentence, "%s", v->gap[first_closable(v)].words);
}

static int fill(const struct planning *p, struct supply_view *v, struct fail *f)
{
    struct supply *scratch = malloc(sizeof *scratch);
    if (scratch == NULL)
        return fail_memory(f);
    int result = supply_ahead(p->cow, p->cows, &p->need, p->today, YEAR_WEEKS, &v->year, NULL, f);
    for (size_t i = 0; i < p->cows && result == 0; i++)
        result = fill_cow(p, i, scratch, v, f);
    free(scratch);
    if (result == 0)
        result = fill_gaps(p, v, f);
    say_year(v);
    return result;
}

int dairy_supply(struct dairy *d, struct instant now, struct supply_view *out, struct fail *f)
{
    struct planning *p;
    memset(out, 0, sizeof *out);
    if (planning_load(d, now, &p, f) != 0)
        return -1;
    out->now = now;
    out->today = p->today;
    out->units = dairy_units(d);
    out->need = p->need;
    out->need_set = p->need_set;
    int result = p->cows == 0 ? 0 : fill(p, out, f);
    if (p->cows == 0)
        (void)snprintf(out->sentence, sizeof out->sentence, "There is no cow to plan with yet.");
    planning_release(p);
    return result;
}

/* ---- workings ---- */

int supply_explain(struct dairy *d, struct instant now, struct working *w, struct fail *f)
{
    struct planning *p;
    working_init(w, "the year ahead");
    if (planning_load(d, now, &p, f) != 0)
        return -1;
    struct supply *year = malloc(sizeof *year);
    int result = year == NULL ? fail_memory(f)
                              : supply_ahead(p->cow, p->cows, &p->need, p->today, YEAR_WEEKS, year, w, f);
    working_step(w, "the next lactation: usual for her breed and calving, and half of what she gives above or below that now");
    working_step(w, "a cow that does not calve again is dried off after about %d days in milk", LAST_DAY);
    free(year);
    planning_release(p);
    return result;
}

int supply_explain_gap(struct dairy *d, struct instant now, size_t gap, struct working *w, struct fail *f)
{
    struct planning *p;
    struct supply_view *v = calloc(1, sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    working_init(w, "the days of service that close the gap");
    int result = dairy_supply(d, now, v, f);
    if (result == 0 && gap >= v->gaps)
        result = fail_refused(f, "No week is short.");
    if (result == 0 && planning_load(d, now, &p, f) == 0) {
        const struct supply_gap_view *g = &v->gap[gap];
        int which = g->cow >= 0 ? g->cow : g->helper;
        struct service_days days;
        if (which >= 0) {
            struct supply_case c = case_of(p, (size_t)which);
            working_result_text(w, "cow", v->cow[which].name);
            result = supply_service_days(&c, &g->gap, earliest_service(p, (size_t)which),
                                         latest_service(p, (size_t)which, &g->gap), &days, w, f);
        } else {
            working_why(w, "No cow can be served in time: a calf served today comes after the gap.");
        }
        planning_release(p);
    } else {
        result = -1;
    }
    free(v);
    return result;
}
