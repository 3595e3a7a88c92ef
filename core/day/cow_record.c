#include "core/day/cow_record.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/breeding/cycle.h"
#include "core/store/rows_year.h"

/* Milk of so long ago may still be judged: it may stand in jars. */
enum { HOLDS_BACK_S = 60 * 86400, FEED_CHANGE_S = 4 * 86400 };

/* Until the rest of the lactation is read: the days that a card of the board draws, and enough before them that each is held
 * against its neighbours. */
enum { MILK_LATELY_S = 46 * 86400 };

/* An array of plain facts made from rows: `count` of `size` bytes, never NULL but when memory is out. */
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

/* Days that his calves are carried beyond the usual; 0: nothing is known of him. */
static int load_sire(struct dairy *d, const char *name, double *days, struct fail *f)
{
    struct sire_row sire;
    bool found;
    *days = 0;
    if (name[0] == '\0')
        return 0;
    if (rows_first(d->store, &sire_table, "WHERE name = ?1 COLLATE NOCASE", (struct bind[]){BIND_TEXT(name)},
                   1, &sire, &found, f) != 0)
        return -1;
    if (found)
        *days = (double)sire.carried_tenths / 10;
    return 0;
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
        if (load_sire(d, row->sire, &r->services[i].sire_days, f) != 0)
            return -1;
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
        c->calf = strcmp(rows[i].calf_sex, "bull") == 0     ? CALF_BULL
                  : strcmp(rows[i].calf_sex, "heifer") == 0 ? CALF_HEIFER
                                                            : CALF_UNKNOWN;
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

/* Since her last calving; since ever for a heifer. */
static struct instant lactation_start(const struct cow_record *r)
{
    size_t n = r->breeding.calving_count;
    return n > 0 ? date_start(r->calved_on[n - 1]) : (struct instant){INT64_MIN + 1};
}

/* Those given now, and from those that began or ended lately the day of the last change. A first ration of
 * all is no change. */
static int load_rations(struct dairy *d, struct cow_record *r, struct instant now, struct fail *f)
{
    struct instant lately = {now.s - FEED_CHANGE_S}, changed = INSTANT_NONE;
    size_t count, earlier = 0;
    r->feed_changed_on = DATE_NONE;
    if (rows_load(
            d->store, &ration_table, "WHERE cow_id = ?1 AND (until_at IS NULL OR until_at >= ?2) ORDER BY id",
            (struct bind[]){BIND_ID(r->row.id), BIND_AT(lately)}, 2, (void **)&r->rations, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count; i++) {
        const struct ration_row *row = &r->rations[i];
        earlier += row->from_at.s < lately.s;
        if (row->from_at.s >= lately.s && row->from_at.s > changed.s)
            changed = row->from_at;
        if (instant_known(row->until_at) && row->until_at.s > changed.s)
            changed = row->until_at;
        if (!instant_known(row->until_at))
            r->rations[r->ration_count++] = *row;
    }
    if (earlier > 0 && instant_known(changed))
        r->feed_changed_on = instant_date(changed);
    return 0;
}

struct twin_search {
    int64_t cow_id;
    bool bull;
};

static int look_at_twin(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct twin_search *s = context;
    const struct calf_row *calf = row;
    s->bull = s->bull || (calf->cow_id != s->cow_id && strcmp(calf->sex, "bull") == 0);
    return 0;
}

/* Was she born together with a bull? It matters only until she has calved. */
static int load_twin(struct dairy *d, struct cow_record *r, struct fail *f)
{
    struct twin_search s = {.cow_id = r->row.id};
    if (r->breeding.male || !breeding_heifer(&r->breeding) || strcmp(r->row.came, "born") != 0)
        return 0;
    int result = rows_each(d->store, &calf_table,
                           "WHERE calving_id IN (SELECT calving_id FROM calf WHERE cow_id = ?1)",
                           (struct bind[]){BIND_ID(r->row.id)}, 1, look_at_twin, &s, f);
    r->twin_of_bull = s.bull;
    return result;
}

static void note_watch(const struct dairy *d, struct cow_record *r)
{
    r->breeding.newly_watched = true;
    r->breeding.watched_from_on = instant_date(d->row.made_at);
    if (date_known(r->row.came_on) && r->row.came_on.days > r->breeding.watched_from_on.days)
        r->breeding.watched_from_on = r->row.came_on;
}

static int load_breeding(struct dairy *d, struct cow_record *r, struct fail *f)
{
    note_watch(d, r);
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
    return 0;
}

/* ---- a calving of the last days ---- */

enum { FRESH_S = 72 * 3600 };

static int add_feed(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct fresh_calf *calf = context;
    const struct colostrum_row *feed = row;
    calf->feeds++;
    calf->all_measured = calf->all_measured && feed->volume_ml != ROW_NONE;
    calf->drunk_l += feed->volume_ml == ROW_NONE ? 0 : (double)feed->volume_ml / 1e3;
    return 0;
}

struct fresh_loading {
    struct dairy *dairy;
    struct fresh_calving *fresh;
};

static int add_fresh_calf(void *context, const void *row, struct fail *f)
{
    struct fresh_loading *l = context;
    const struct calf_row *calf = row;
    if (l->fresh->calves == CALVES_MAX)
        return 0;
    struct fresh_calf *out = &l->fresh->calf[l->fresh->calves++];
    *out =
        (struct fresh_calf){.sex = strcmp(calf->sex, "bull") == 0     ? CALF_BULL
                                   : strcmp(calf->sex, "heifer") == 0 ? CALF_HEIFER
                                                                      : CALF_UNKNOWN,
                            .weight_kg = calf->mass_g == ROW_NONE ? (double)NAN : (double)calf->mass_g / 1e3,
                            .all_measured = true};
    return rows_each(l->dairy->store, &colostrum_table, "WHERE calf_id = ?1 ORDER BY at",
                     (struct bind[]){BIND_ID(calf->id)}, 1, add_feed, out, f);
}

static int load_fresh(struct dairy *d, struct cow_record *r, struct instant now, struct fail *f)
{
    struct calving_row calving;
    struct treatment_row treatment;
    bool found;
    struct fresh_loading l = {d, &r->fresh};
    r->fresh.at = INSTANT_NONE;
    if (r->breeding.calving_count == 0 ||
        date_diff(r->calved_on[r->breeding.calving_count - 1], instant_date(now)) > 3)
        return 0;
    if (rows_first(d->store, &calving_table,
                   "WHERE cow_id = ?1 AND at <= ?2 AND at > ?2 - ?3 ORDER BY at DESC LIMIT 1",
                   (struct bind[]){BIND_ID(r->row.id), BIND_AT(now), {false, FRESH_S, NULL}}, 3, &calving,
                   &found, f) != 0)
        return -1;
    if (!found)
        return 0;
    r->fresh.at = calving.at;
    r->fresh.day_only = calving.day_only == 1;
    if (rows_each(d->store, &calf_table, "WHERE calving_id = ?1 AND fate = 'alive' ORDER BY id",
                  (struct bind[]){BIND_ID(calving.id)}, 1, add_fresh_calf, &l, f) != 0)
        return -1;
    return rows_first(d->store, &treatment_table, "WHERE cow_id = ?1 AND condition LIKE '%milk fever%'",
                      (struct bind[]){BIND_ID(r->row.id)}, 1, &treatment, &r->fresh.had_milk_fever, f);
}

/* Instead of what was loaded before: that stays when it cannot be read. */
static int load_since(struct dairy *d, const struct cow_record *r, const struct table *t, struct instant since, void **rows,
                      size_t *count, struct fail *f)
{
    void *fresh;
    size_t n;
    if (rows_load(d->store, t, "WHERE cow_id = ?1 AND at >= ?2 ORDER BY at",
                  (struct bind[]){BIND_ID(r->row.id), BIND_AT(since)}, 2, &fresh, &n, f) != 0)
        return -1;
    free(*rows);
    *rows = fresh;
    *count = n;
    return 0;
}

static int load_milk(struct dairy *d, struct cow_record *r, struct instant since, struct fail *f)
{
    return load_since(d, r, &milk_table, since, (void **)&r->milk, &r->milk_count, f);
}

int cow_record_learn(struct dairy *d, struct cow_record *r, struct fail *f)
{
    struct instant calved = lactation_start(r);
    if (r->learned)
        return 0;
    if (load_milk(d, r, calved, f) != 0 ||
        load_since(d, r, &udder_test_table, calved, (void **)&r->udder_tests, &r->udder_test_count, f) != 0)
        return -1;
    return cow_record_work_out_learned(r, f);
}

static int load_facts(struct dairy *d, struct cow_record *r, struct instant now, struct fail *f)
{
    if (load_breeding(d, r, f) != 0)
        return -1;
    struct instant lately = {now.s - MILK_LATELY_S}, calved = lactation_start(r);
    if (load_milk(d, r, lately.s > calved.s ? lately : calved, f) != 0)
        return -1;
    if (load_rations(d, r, now, f) != 0 || load_twin(d, r, f) != 0 || load_fresh(d, r, now, f) != 0)
        return -1;
    return hold_record_load(d, r->row.id, (struct instant){now.s - HOLDS_BACK_S}, &r->holds, f);
}

int cow_record_load(struct dairy *d, const struct cow_row *row, struct instant now, struct cow_record *out,
                    struct fail *f)
{
    out->today = instant_date(now);
    out->usual_milkings = dairy_habit(d).count;
    out->row = *row;
    if (gestation_breed_or_usual(row->breed, &out->gestation_breed, f) != 0)
        return -1;
    if (date_known(out->row.left_on) && out->row.left_on.days < out->today.days) {
        out->today = out->row.left_on;
        now = date_start(date_add(out->today, 1));
    }
    return load_facts(d, out, now, f) != 0 ? -1 : cow_record_work_out(out, f);
}

int cow_record_load_breeding(struct dairy *d, int64_t cow_id, struct instant now, struct cow_record *out,
                             struct fail *f)
{
    memset(out, 0, sizeof *out);
    out->today = instant_date(now);
    if (row_load(d->store, &cow_table, cow_id, &out->row, f) != 0 ||
        gestation_breed_or_usual(out->row.breed, &out->gestation_breed, f) != 0 || load_breeding(d, out, f) != 0)
        return -1;
    cow_record_judge(out);
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
    free(r->udder_tests);
    free(r->rations);
    free(r->yield);
    free(r->course);
    hold_record_release(&r->holds);
    memset(r, 0, sizeof *r);
}
