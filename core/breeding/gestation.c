#include "core/breeding/gestation.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/text.h"

enum { LENGTHS = GESTATION_MAX_DAYS - GESTATION_MIN_DAYS + 1 };

/* Columns of assets/gestation.csv. */
enum { COL_NAME, COL_MEAN, COL_SD, COL_CALF, COL_MEAN_SOURCE, COL_SD_SOURCE, COLS };

static const char usual_name[] = "Dairy cow";

/* assets/gestation.csv, read when a breed is asked for first: a board asks for that of each cow at its start. */
enum { BREEDS_MAX = 32 };
static struct gestation_breed breeds[BREEDS_MAX];
static size_t breed_count;

static int on_breed_row(void *context, const struct csv_row *row, struct fail *f)
{
    size_t *count = context;
    (void)f;
    if (row->line == 1 || row->count < COLS)
        return 0;
    assert(*count < BREEDS_MAX);
    struct gestation_breed *b = &breeds[(*count)++];
    (void)text_trim(b->name, sizeof b->name, row->cell[COL_NAME]);
    b->mean_days = strtod(row->cell[COL_MEAN], NULL);
    b->sd_days = strtod(row->cell[COL_SD], NULL);
    b->calf_kg = row->cell[COL_CALF][0] == '\0' ? NAN : strtod(row->cell[COL_CALF], NULL);
    (void)text_trim(b->mean_source, sizeof b->mean_source, row->cell[COL_MEAN_SOURCE]);
    (void)text_trim(b->sd_source, sizeof b->sd_source, row->cell[COL_SD_SOURCE]);
    return 0;
}

static int read_breeds(struct fail *f)
{
    const struct asset *table = asset_find("gestation.csv");
    size_t count = 0;
    if (breed_count > 0)
        return 0;
    if (table == NULL || csv_read((const char *)table->bytes, table->size, on_breed_row, &count, f) != 0)
        return -1;
    breed_count = count; /* only now: a reading that was refused is not taken for the whole */
    return 0;
}

int gestation_breed_find(const char *name, struct gestation_breed *out, struct fail *f)
{
    char known[FAIL_TEXT_MAX] = "";
    if (read_breeds(f) != 0)
        return -1;
    for (size_t i = 0; i < breed_count; i++)
        if (text_same_name(name, breeds[i].name)) {
            *out = breeds[i];
            return 0;
        }
    for (size_t i = 0; i < breed_count; i++)
        text_append(known, sizeof known, "%s%s", i == 0 ? "" : ", ", breeds[i].name);
    return fail_input(f, "No length of gestation is known for the breed \"%.40s\"; use days= or one of %s.", name,
                      known);
}

int gestation_breed_or_usual(const char *name, struct gestation_breed *out, struct fail *f)
{
    struct fail why = {0};
    if (name != NULL && name[0] != '\0' && gestation_breed_find(name, out, &why) == 0)
        return 0;
    return why.code == FAIL_MEMORY ? fail_memory(f) : gestation_breed_find(usual_name, out, f);
}

/* What changes the mean, in days. */
static const double heifer_days = -2.0; /* Ohio Station, quoted by Ensminger */
static const double twin_days = -4.4;   /* Knott 1932: 275.5 against 279.9 */
static const double sex_days = 0.5;     /* Knott 1932, Ensminger: bulls 1 day longer than heifers */

static double add_modifier(double mean, double days, const char *name, const char *what, const char *source,
                           struct working *w)
{
    working_given(w, name, days, source != NULL ? ORIGIN_CONSTANT : ORIGIN_RECORDED);
    working_step(w, "%s: %+.1f days", what, days);
    if (source != NULL)
        working_source(w, source);
    return mean + days;
}

int gestation_of(const struct gestation_case *c, struct gestation *out, struct working *w, struct fail *f)
{
    double mean = c->own_days > 0 ? c->own_days : c->breed.mean_days;
    if (c->own_days > 0) {
        working_given_whole(w, "own_days", c->own_days, ORIGIN_GIVEN);
    } else {
        working_given_text(w, "breed", c->breed.name,
                           text_same_name(c->breed.name, usual_name) ? ORIGIN_DEFAULT : ORIGIN_GIVEN);
        working_given(w, "breed_mean_d", c->breed.mean_days, ORIGIN_CONSTANT);
        working_source(w, c->breed.mean_source);
    }
    working_given(w, "spread_sd_d", c->breed.sd_days, ORIGIN_CONSTANT);
    working_source(w, c->breed.sd_source);
    if (c->heifer)
        mean = add_modifier(mean, heifer_days, "first_calf_d", "first calf", "gest-ohio", w);
    if (c->twins)
        mean = add_modifier(mean, twin_days, "twins_d", "twins", "gest-knott", w);
    if (c->calf != CALF_UNKNOWN)
        mean = add_modifier(mean, c->calf == CALF_BULL ? sex_days : -sex_days, "calf_sex_d",
                            c->calf == CALF_BULL ? "bull calf" : "heifer calf", "gest-knott", w);
    if (c->sire_days != 0)
        mean = add_modifier(mean, c->sire_days, "sire_d", "this sire's calves", NULL, w);
    if (!(mean >= 260 && mean <= 310))
        return fail_refused(f, "A cow does not carry a calf for %.0f days; 260 to 310 can be meant.", mean);
    out->mean_days = mean;
    out->sd_days = c->breed.sd_days;
    out->days = (int)lround(mean);
    return 0;
}

/* The chance of each length from GESTATION_MIN_DAYS on: a day n takes what the normal curve holds between n -
 * 1/2 and n + 1/2. */
static void lengths_of(const struct gestation *g, double chance[LENGTHS])
{
    double sum = 0, scale = g->sd_days * sqrt(2);
    for (int i = 0; i < LENGTHS; i++) {
        double d = GESTATION_MIN_DAYS + i - g->mean_days;
        chance[i] = (erf((d + 0.5) / scale) - erf((d - 0.5) / scale)) / 2;
        sum += chance[i];
    }
    for (int i = 0; i < LENGTHS; i++)
        chance[i] /= sum;
}

double gestation_chance(const struct gestation *g, int days)
{
    double chance[LENGTHS];
    if (days < GESTATION_MIN_DAYS || days > GESTATION_MAX_DAYS)
        return 0;
    lengths_of(g, chance);
    return chance[days - GESTATION_MIN_DAYS];
}

void gestation_calving(const struct gestation *g, const struct day_chances *conception,
                       struct day_chances *calving)
{
    double length[LENGTHS];
    lengths_of(g, length);
    memset(calving, 0, sizeof *calving);
    if (conception->count == 0)
        return;
    calving->first_on = date_add(conception->first_on, GESTATION_MIN_DAYS);
    calving->count = conception->count + LENGTHS - 1;
    if (calving->count > DAY_CHANCES_MAX)
        calving->count = DAY_CHANCES_MAX;
    for (int i = 0; i < conception->count; i++)
        for (int j = 0; conception->chance[i] > 0 && j < LENGTHS && i + j < DAY_CHANCES_MAX; j++)
            calving->chance[i + j] += conception->chance[i] * length[j];
}

static void plan_working(const struct gestation_plan *p, struct date first_on, struct date middle_on,
                         const struct plan_days *days, struct working *w)
{
    char a[CIVIL_TEXT_MAX], b[CIVIL_TEXT_MAX];
    if (w == NULL)
        return;
    working_given_text(w, "served_on", date_iso(middle_on, a), ORIGIN_GIVEN);
    working_given_whole(w, "dry_days", days->dry,
                        days->dry == PLAN_DAYS_USUAL.dry ? ORIGIN_DEFAULT : ORIGIN_GIVEN);
    working_given_whole(w, "close_up_days", days->close_up, ORIGIN_DEFAULT);
    working_given_whole(w, "watch_days", days->watch, ORIGIN_DEFAULT);
    working_given_whole(w, "heat_from_days", days->heat_from, ORIGIN_DEFAULT);
    working_given_whole(w, "heat_to_days", days->heat_to, ORIGIN_DEFAULT);
    working_given_whole(w, "check_days", days->check, ORIGIN_DEFAULT);
    working_given_whole(w, "palpation_days", days->palpation, ORIGIN_DEFAULT);
    working_step(w, "due = %s + %d calendar days = %s", date_iso(middle_on, a), p->days,
                 date_iso(p->due_on, b));
    working_step(w,
                 "Printed tables that claim one day more count the day of service as day 1; here N = %d is "
                 "what is added",
                 p->days);
    working_step(w, "%.0f %% of cows calve from %s to %s", p->due.chance * 100, date_iso(p->due.from_on, a),
                 date_iso(p->due.to_on, b));
    if (p->day_unknown)
        working_step(w,
                     "the day of conception is not certain: dry-off, close-up and watch are counted from %s, "
                     "by which 5 %% of it has come",
                     date_iso(first_on, a));
    working_step(w, "dry off %d, close-up %d, watch %d days before the due day", days->dry, days->close_up,
                 days->watch);
    working_step(w, "return to heat day %d to %d, check from day %d (ultrasound) or %d (by hand)",
                 days->heat_from, days->heat_to, days->check, days->palpation);
    working_source(w, "gest-tables");
    working_source(w, "dry-period");
    working_source(w, "cycle-days");
    working_source(w, "check-early");
}

void gestation_plan(const struct day_chances *conception, const struct gestation *g,
                    const struct plan_days *days, struct gestation_plan *out, struct working *w)
{
    struct date first_on = day_chances_quantile(conception, 0.05);
    struct date middle_on = day_chances_quantile(conception, 0.50);
    struct date last_on = day_chances_quantile(conception, 0.95);
    assert(day_chances_total(conception) > 0);
    memset(out, 0, sizeof *out);
    gestation_calving(g, conception, &out->calving);
    day_chances_scale(&out->calving, 1);
    out->days = g->days;
    out->due_on = date_add(middle_on, g->days);
    out->due = day_chances_window(&out->calving, 0.90);
    out->half = day_chances_window(&out->calving, 0.50);
    out->heat_from_on = date_add(first_on, days->heat_from);
    out->heat_to_on = date_add(last_on, days->heat_to);
    out->check_from_on = date_add(last_on, days->check);
    out->palpation_from_on = date_add(last_on, days->palpation);
    struct date early_due_on = date_add(first_on, g->days);
    out->dry_off_on = date_add(early_due_on, -days->dry);
    out->close_up_on = date_add(early_due_on, -days->close_up);
    out->watch_from_on = date_add(early_due_on, -days->watch);
    out->day_unknown = early_due_on.days != out->due_on.days;
    plan_working(out, first_on, middle_on, days, w);
}

void gestation_plan_results(const struct gestation_plan *p, struct working *w)
{
    working_result_date(w, "due_on", p->due_on);
    working_result_date(w, "due_from_on", p->due.from_on);
    working_result_date(w, "due_to_on", p->due.to_on);
    working_result(w, "due_chance_pct", p->due.chance * 100);
    working_result_date(w, "half_from_on", p->half.from_on);
    working_result_date(w, "half_to_on", p->half.to_on);
    working_result_whole(w, "gestation_days", p->days);
    working_result_date(w, "dry_off_on", p->dry_off_on);
    working_result_date(w, "close_up_on", p->close_up_on);
    working_result_date(w, "watch_from_on", p->watch_from_on);
    working_result_date(w, "check_from_on", p->check_from_on);
    working_result_date(w, "palpation_from_on", p->palpation_from_on);
    working_result_date(w, "heat_from_on", p->heat_from_on);
    working_result_date(w, "heat_to_on", p->heat_to_on);
}

void gestation_near(const struct gestation_plan *plan, struct instant now, struct calving_near *out,
                    struct working *w)
{
    struct date today = instant_date(now);
    double day_s = (double)(date_start(date_add(today, 1)).s - date_start(today).s);
    double gone = (double)(now.s - date_start(today).s) / day_s;
    double past = day_chances_between(&plan->calving, plan->calving.first_on, date_add(today, -1));
    out->day_chance = day_chances_within(&plan->calving, today, gone, 1);
    out->week_chance = day_chances_within(&plan->calving, today, gone, 7);
    out->days_to_due = date_diff(today, plan->due_on);
    out->overdue = past >= 0.99 * day_chances_total(&plan->calving);
    char iso[CIVIL_TEXT_MAX];
    working_given_text(w, "now", instant_iso_local(now, iso), ORIGIN_GIVEN);
    working_step(w,
                 "%.1f %% of cows would have calved before today; among the rest, %.0f %% calve within 24 h",
                 past * 100, out->day_chance * 100);
    working_result(w, "chance_24h_pct", out->day_chance * 100);
    working_result(w, "chance_7d_pct", out->week_chance * 100);
    if (isnan(out->day_chance))
        working_why(w, "She is past every length of gestation allowed for (%d days).", GESTATION_MAX_DAYS);
    if (out->overdue)
        working_caution(w, "She is later than 99 of 100 cows: check the day of service, and call the "
                           "veterinarian.");
}
