#include "core/day/cow_record.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/breeding/cycle.h"
#include "core/herd/breed.h"

/* Makes an array of plain facts from rows: `count` of `size` bytes, never NULL. */
static void *facts_array(size_t count, size_t size, struct fail *f)
{
    void *array = calloc(count + 1, size);
    if (array == NULL)
        fail_memory(f);
    return array;
}

static int load_rows(struct dairy *d, const struct table *t, const char *tail, int64_t id, void **rows,
                     size_t *count, struct fail *f)
{
    return rows_load(d->store, t, tail, (struct bind[]){BIND_ID(id)}, 1, rows, count, f);
}

static int load_calves(struct dairy *d, int64_t calving_id, struct calving *calving, struct fail *f)
{
    struct calf_row *rows;
    size_t count;
    if (load_rows(d, &calf_table, "WHERE calving_id = ?1 ORDER BY id", calving_id, (void **)&rows, &count,
                  f) != 0)
        return -1;
    for (size_t i = 0; i < count && calving->calves < CALVES_MAX; i++)
        calving->calf[calving->calves++] = (struct calf){
            .sex = strcmp(rows[i].sex, "bull") == 0     ? CALF_BULL
                   : strcmp(rows[i].sex, "heifer") == 0 ? CALF_HEIFER
                                                        : CALF_UNKNOWN,
            .fate = strcmp(rows[i].fate, "alive") == 0       ? CALF_ALIVE
                    : strcmp(rows[i].fate, "born-dead") == 0 ? CALF_BORN_DEAD
                                                             : CALF_DIED_48H,
            .weight_kg = rows[i].mass_g == ROW_NONE ? (double)NAN : (double)rows[i].mass_g / 1e3,
        };
    free(rows);
    return 0;
}

static int load_calvings(struct dairy *d, struct cow_record *r, struct fail *f)
{
    struct calving_row *rows;
    size_t count;
    int result = 0;
    if (load_rows(d, &calving_table, "WHERE cow_id = ?1 ORDER BY at", r->row.id, (void **)&rows, &count, f) !=
        0)
        return -1;
    r->calvings = facts_array(count, sizeof *r->calvings, f);
    r->calved_on = facts_array(count, sizeof *r->calved_on, f);
    if (r->calvings == NULL || r->calved_on == NULL)
        result = -1;
    for (size_t i = 0; i < count && result == 0; i++) {
        r->calved_on[i] = instant_date(rows[i].at);
        r->calvings[i] =
            (struct calving){.on = r->calved_on[i], .ease = rows[i].ease == ROW_NONE ? 0 : (int)rows[i].ease};
        result = load_calves(d, rows[i].id, &r->calvings[i], f);
    }
    free(rows);
    r->breeding.calvings = r->calvings;
    r->breeding.calving_count = count;
    return result;
}

static int load_heats(struct dairy *d, struct cow_record *r, struct fail *f)
{
    struct heat_row *rows;
    size_t count;
    if (load_rows(d, &heat_table, "WHERE cow_id = ?1 ORDER BY at", r->row.id, (void **)&rows, &count, f) != 0)
        return -1;
    r->heats = facts_array(count, sizeof *r->heats, f);
    for (size_t i = 0; i < count && r->heats != NULL; i++) {
        r->heats[i] = (struct heat){.at = rows[i].at, .origin = HEAT_SEEN};
        (void)heat_signs_parse(rows[i].signs, &r->heats[i].signs, NULL);
    }
    free(rows);
    r->breeding.heats = r->heats;
    r->breeding.heat_count = count;
    return r->heats == NULL ? -1 : 0;
}

static enum service_kind service_kind_of(const char *word)
{
    static const char *const words[] = {
        [SERVICE_AI] = "ai", [SERVICE_BULL] = "bull", [SERVICE_FIELD] = "field", [SERVICE_UNSEEN] = "unseen"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strcmp(words[i], word) == 0)
            return (enum service_kind)i;
    return SERVICE_AI;
}

static int load_services(struct dairy *d, struct cow_record *r, struct fail *f)
{
    size_t count;
    if (load_rows(d, &service_table, "WHERE cow_id = ?1 ORDER BY at", r->row.id, (void **)&r->service_rows,
                  &count, f) != 0)
        return -1;
    r->services = facts_array(count, sizeof *r->services, f);
    r->served_on = facts_array(count, sizeof *r->served_on, f);
    if (r->services == NULL || r->served_on == NULL)
        return -1;
    for (size_t i = 0; i < count; i++) {
        const struct service_row *row = &r->service_rows[i];
        r->served_on[i] = instant_date(row->at);
        r->services[i] = (struct service){.on = r->served_on[i],
                                          .to_on = row->until_on,
                                          .kind = service_kind_of(row->how),
                                          .sire = row->sire[0] == '\0' ? NULL : row->sire,
                                          .by = row->served_by[0] == '\0' ? NULL : row->served_by};
    }
    r->breeding.services = r->services;
    r->breeding.service_count = count;
    return 0;
}

static int load_checks(struct dairy *d, struct cow_record *r, struct fail *f)
{
    struct pregnancy_check_row *rows;
    size_t count;
    if (load_rows(d, &pregnancy_check_table, "WHERE cow_id = ?1 ORDER BY at", r->row.id, (void **)&rows,
                  &count, f) != 0)
        return -1;
    r->checks = facts_array(count, sizeof *r->checks, f);
    for (size_t i = 0; i < count && r->checks != NULL; i++) {
        struct check *c = &r->checks[i];
        c->on = instant_date(rows[i].at);
        (void)check_method_parse(rows[i].method, &c->method, NULL);
        c->result = strcmp(rows[i].result, "open") == 0      ? CHECK_OPEN
                    : strcmp(rows[i].result, "in-calf") == 0 ? CHECK_IN_CALF
                                                             : CHECK_DOUBTFUL;
        c->stage_days = rows[i].stage_days == ROW_NONE ? 0 : (int)rows[i].stage_days;
        c->twins = rows[i].twins == 1;
    }
    free(rows);
    r->breeding.checks = r->checks;
    r->breeding.check_count = count;
    return r->checks == NULL ? -1 : 0;
}

/* Dates of a table that has cow_id and at. Both row structs begin with id, cow_id, at. */
struct dated_row {
    int64_t id, cow_id;
    struct instant at;
};

_Static_assert(offsetof(struct dry_off_row, at) == offsetof(struct dated_row, at),
               "dry_off_row begins as dated_row");
_Static_assert(offsetof(struct pregnancy_loss_row, at) == offsetof(struct dated_row, at),
               "pregnancy_loss_row too");

struct dates {
    struct date *list;
    size_t count, room;
};

static int add_date(void *context, const void *row, struct fail *f)
{
    struct dates *dates = context;
    if (dates->count == dates->room) {
        size_t room = dates->room == 0 ? 8 : 2 * dates->room;
        struct date *list = realloc(dates->list, room * sizeof *list);
        if (list == NULL)
            return fail_memory(f);
        dates->list = list;
        dates->room = room;
    }
    dates->list[dates->count++] = instant_date(((const struct dated_row *)row)->at);
    return 0;
}

static int load_dates(struct dairy *d, const struct table *t, int64_t cow_id, struct date **list,
                      size_t *count, struct fail *f)
{
    struct dates dates = {0};
    int result = rows_each(d->store, t, "WHERE cow_id = ?1 ORDER BY at", (struct bind[]){BIND_ID(cow_id)}, 1,
                           add_date, &dates, f);
    *list = dates.list;
    *count = dates.count;
    return result;
}

static int load_facts(struct dairy *d, struct cow_record *r, struct fail *f)
{
    r->breeding.born_on = r->row.born_on;
    r->breeding.male = strcmp(r->row.sex, "male") == 0;
    r->breeding.calvings_before = (int)r->row.calvings_before;
    if (load_calvings(d, r, f) != 0 || load_heats(d, r, f) != 0 || load_services(d, r, f) != 0 ||
        load_checks(d, r, f) != 0 ||
        load_dates(d, &pregnancy_loss_table, r->row.id, &r->losses, &r->breeding.loss_count, f) != 0 ||
        load_dates(d, &dry_off_table, r->row.id, &r->dry_offs, &r->breeding.dry_off_count, f) != 0)
        return -1;
    r->breeding.losses = r->losses;
    r->breeding.dry_offs = r->dry_offs;
    struct instant since = {INT64_MIN + 1};
    if (r->breeding.calving_count > 0)
        since = date_start(r->calved_on[r->breeding.calving_count - 1]);
    if (rows_load(d->store, &milk_table, "WHERE cow_id = ?1 AND at >= ?2 ORDER BY at",
                  (struct bind[]){BIND_ID(r->row.id), BIND_AT(since)}, 2, (void **)&r->milk, &r->milk_count,
                  f) != 0)
        return -1;
    if (load_rows(d, &ration_table, "WHERE cow_id = ?1 AND until_at IS NULL ORDER BY id", r->row.id,
                  (void **)&r->rations, &r->ration_count, f) != 0)
        return -1;
    return hold_record_load(d, r->row.id, &r->holds, f);
}

/* ---- what the domains make of it ---- */

static void work_out_pregnancy(struct cow_record *r)
{
    struct gestation_case c = {.calf = CALF_UNKNOWN};
    struct gestation g;
    const struct plan_days days = PLAN_DAYS_USUAL;
    pregnancy_judge(&r->breeding, r->today, &r->pregnancy, NULL);
    (void)gestation_breed_or_usual(r->row.breed, &c.breed);
    c.heifer = breeding_heifer(&r->breeding);
    c.twins = r->pregnancy.twins;
    if (r->pregnancy.chance > 0 && gestation_of(&c, &g, NULL, NULL) == 0)
        gestation_plan(&r->pregnancy.conception, &g, &days, &r->plan, NULL);
    else
        r->plan =
            (struct gestation_plan){.due_on = DATE_NONE, .dry_off_on = DATE_NONE, .close_up_on = DATE_NONE};
}

static void work_out_stage(struct cow_record *r)
{
    bool sure = r->pregnancy.state == PREGNANCY_IN_CALF;
    struct cow_facts facts = {
        .born_on = r->row.born_on,
        .calved_on = r->calved_on,
        .calving_count = r->breeding.calving_count,
        .dried_on = r->dry_offs,
        .dry_count = r->breeding.dry_off_count,
        .served_on = r->served_on,
        .service_count = r->breeding.service_count,
        .carrying = sure                                   ? CARRYING_SURE
                    : r->pregnancy.state == PREGNANCY_OPEN ? CARRYING_OPEN
                                                           : CARRYING_UNCHECKED,
        .checked_on = r->today,
        .due_on = r->plan.due_on,
        .left_on = r->row.left_on,
        .close_up_days = PLAN_DAYS_USUAL.close_up,
        .male = r->breeding.male,
    };
    cow_stage(&facts, r->today, &r->stage);
    r->stage.parity += r->breeding.calvings_before;
}

/* Days of this lactation on which she was weighed, the milkings of a day together. */
static int work_out_yield(struct cow_record *r, struct fail *f)
{
    struct date calved_on = r->stage.calved_on;
    r->yield = facts_array(r->milk_count, sizeof *r->yield, f);
    if (r->yield == NULL)
        return -1;
    for (size_t i = 0; i < r->milk_count && date_known(calved_on); i++) {
        int day = date_diff(calved_on, instant_date(r->milk[i].at));
        if (r->milk[i].mass_g == ROW_NONE || day < 1)
            continue;
        struct yield_row *last = r->yield_count > 0 ? &r->yield[r->yield_count - 1] : NULL;
        if (last == NULL || last->day != day) {
            last = &r->yield[r->yield_count++];
            *last = (struct yield_row){.day = day};
        }
        last->kg += (double)r->milk[i].mass_g / 1e3;
        last->milkings++;
    }
    r->milkings = r->yield_count > 1 ? r->yield[r->yield_count - 2].milkings : 1;
    return 0;
}

static int work_out_curve(struct cow_record *r, struct fail *f)
{
    struct breed breed;
    if (breed_or_cross(r->row.breed, &breed, f) != 0)
        return -1;
    lactation_prior_usual(&breed, r->stage.parity, &r->prior, NULL);
    lactation_learn(&r->prior, r->yield, r->yield_count, LACTATION_CURVE, &r->curve, NULL);
    lactation_learn(&r->prior, r->yield, r->yield_count, LACTATION_SEASON, &r->season, NULL);
    /* What to expect today must not know today's milk. */
    size_t before = r->yield_count;
    if (before > 0 && r->yield[before - 1].day >= date_diff(r->stage.calved_on, r->today))
        before--;
    lactation_learn(&r->prior, r->yield, before, LACTATION_TOMORROW, &r->tomorrow, NULL);
    return 0;
}

/* Strip cup findings of this lactation, quarter by quarter. */
static int work_out_quarters(struct cow_record *r, struct fail *f)
{
    struct quarter_look *looks = facts_array(r->milk_count, sizeof *looks, f);
    struct strip *strips = facts_array(r->milk_count, sizeof *strips, f);
    if (looks == NULL || strips == NULL) {
        free(looks);
        free(strips);
        return -1;
    }
    size_t n = 0;
    for (size_t i = 0; i < r->milk_count; i++)
        if (r->milk[i].strip[0] != '\0' && strip_parse(r->milk[i].strip, &strips[n], NULL) == 0)
            looks[n++].at = r->milk[i].at;
    for (int q = 0; q < QUARTERS; q++) {
        for (size_t i = 0; i < n; i++)
            looks[i] = (struct quarter_look){looks[i].at, strips[i].quarter[q], -1, (double)NAN};
        quarter_trend(looks, n, &r->quarters[q]);
    }
    free(looks);
    free(strips);
    return 0;
}

int cow_record_load(struct dairy *d, int64_t cow_id, struct instant now, struct cow_record *out,
                    struct fail *f)
{
    memset(out, 0, sizeof *out);
    out->today = instant_date(now);
    if (row_load(d->store, &cow_table, cow_id, &out->row, f) != 0 || load_facts(d, out, f) != 0)
        return -1;
    work_out_pregnancy(out);
    work_out_stage(out);
    return work_out_yield(out, f);
}

int cow_record_learn(struct cow_record *r, struct fail *f)
{
    if (r->learned)
        return 0;
    if (work_out_curve(r, f) != 0 || work_out_quarters(r, f) != 0)
        return -1;
    cow_record_watch(r, &r->watch, NULL);
    r->learned = true;
    return 0;
}

void cow_record_release(struct cow_record *r)
{
    free(r->calvings);
    free(r->heats);
    free(r->service_rows);
    free(r->services);
    free(r->checks);
    free(r->losses);
    free(r->dry_offs);
    free(r->calved_on);
    free(r->served_on);
    free(r->milk);
    free(r->rations);
    free(r->yield);
    hold_record_release(&r->holds);
    memset(r, 0, sizeof *r);
}

void cow_record_expect(const struct cow_record *r, struct instant now, struct expectation *out,
                       struct working *w)
{
    *out = (struct expectation){(double)NAN, (double)NAN, (double)NAN, (double)NAN};
    int day = date_known(r->stage.calved_on) ? date_diff(r->stage.calved_on, instant_date(now)) : 0;
    if (!r->stage.in_milk || day < 1 || !r->learned)
        return;
    lactation_expect(&r->tomorrow, day, r->milkings, out, w);
    /* Milked more than once a day, one milking brings its share. */
    double share = 1.0 / (r->milkings > 0 ? r->milkings : 1);
    out->kg *= share;
    out->low_kg *= share;
    out->high_kg *= share;
}

void cow_record_watch(const struct cow_record *r, struct watch_result *out, struct working *w)
{
    struct watch_context context = {.udder = false};
    for (int q = 0; q < QUARTERS; q++)
        context.udder =
            context.udder || r->quarters[q].state == QUARTER_NEW || r->quarters[q].state == QUARTER_CHRONIC;
    for (size_t i = 0; i < r->breeding.heat_count; i++)
        context.heat = context.heat || date_diff(instant_date(r->heats[i].at), r->today) <= 1;
    yield_watch(&r->prior, r->yield, r->yield_count, &context, out, NULL, w);
}

void cow_record_recent(const struct cow_record *r, double *kg, size_t count)
{
    for (size_t i = 0; i < count; i++)
        kg[i] = (double)NAN;
    for (size_t i = 0; i < r->yield_count; i++) {
        int back = date_diff(date_add(r->stage.calved_on, r->yield[i].day), r->today);
        if (back >= 0 && (size_t)back < count)
            kg[count - 1 - (size_t)back] = r->yield[i].kg;
    }
}
