#include "core/day/holds.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { SECONDS_PER_DAY = 86400 };

static double hours_of(int64_t seconds)
{
    return seconds == ROW_NONE ? (double)NAN : (double)seconds / 3600;
}

static double days_of(int64_t seconds)
{
    return seconds == ROW_NONE ? (double)NAN : (double)seconds / SECONDS_PER_DAY;
}

static enum hold_kind kind_of(const char *word)
{
    static const char *const words[] = {[HOLD_TREATMENT] = "treatment",
                                        [HOLD_DRY_COW] = "dry-cow",
                                        [HOLD_ABNORMAL] = "abnormal",
                                        [HOLD_PLAIN] = "plain"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strcmp(words[i], word) == 0)
            return (enum hold_kind)i;
    return HOLD_ABNORMAL; /* a word that is not known keeps the milk out until a person lifts it */
}

static void fill_hold(const struct hold_row *row, struct hold *h)
{
    *h = (struct hold){
        .kind = kind_of(row->kind),
        .name = row->why,
        .from_at = row->from_at,
        .last_dose_at = row->last_dose_at,
        .doses_to_come = row->doses_to_come == 1,
        .milk_hours = hours_of(row->milk_s),
        .meat_days = days_of(row->meat_s),
        .dry_days = days_of(row->dry_s),
        .fresh_hours = hours_of(row->fresh_s),
        .fresh_milkings = row->fresh_milkings == ROW_NONE ? 0 : (int)row->fresh_milkings,
        .until_at = row->until_at,
        .lifted_at = row->lifted_at,
    };
}

/* A hold of long ago matters only while something about it is not known: label times are at most a year. */
static const char bearing_on[] =
    "WHERE cow_id = ?1 AND (CASE kind"
    " WHEN 'treatment' THEN doses_to_come = 1 OR milk_s IS NULL OR last_dose_at IS NULL"
    " OR last_dose_at >= ?2 - 40000000"
    " WHEN 'dry-cow' THEN 1"
    " ELSE ifnull(lifted_at, ?2) >= ?2 AND ifnull(until_at, ?2) >= ?2 END) ORDER BY from_at";

/* ---- calvings and milkings ---- */

struct calved {
    struct instant at;
    bool day_only;
};

struct calvings {
    struct calved *list;
    size_t count, room;
};

static int add_calving(void *context, const void *row, struct fail *f)
{
    struct calvings *c = context;
    const struct calving_row *r = row;
    if (c->count == c->room) {
        size_t room = c->room == 0 ? 16 : 2 * c->room;
        struct calved *list = realloc(c->list, room * sizeof *list);
        if (list == NULL)
            return fail_memory(f);
        c->list = list;
        c->room = room;
    }
    c->list[c->count++] = (struct calved){r->at, r->day_only == 1};
    return 0;
}

/* Without its hour she may have calved as late as the end of that day: hours count from there, and the milk
 * of the day itself is held by a hold of its own. */
static struct instant day_end(struct instant at)
{
    return date_start(date_add(instant_date(at), 1));
}

static struct hold hold_of_day(struct instant at)
{
    return (struct hold){.kind = HOLD_PLAIN,
                         .name = "calved that day, the hour is not known",
                         .from_at = date_start(instant_date(at)),
                         .last_dose_at = INSTANT_NONE,
                         .milk_hours = (double)NAN,
                         .meat_days = (double)NAN,
                         .dry_days = (double)NAN,
                         .fresh_hours = (double)NAN,
                         .until_at = day_end(at),
                         .lifted_at = INSTANT_NONE};
}

/* ---- tests for diseases ---- */

/* In order of their results; those still due come last. */
static const char her_tests[] = "WHERE cow_id = ?1 ORDER BY at IS NULL, at, id";

static bool test_holds(const struct health_test_row *t)
{
    return t->holds_milk == 1 || strcmp(t->result, "reactor") == 0 || strcmp(t->result, "doubtful") == 0;
}

/* Keeps the tests of a name that ever held her milk; those that hold are all among the kept, so none is lost on the way. */
static void keep_holding_tests(struct hold_record *r)
{
    size_t kept = 0;
    for (size_t i = 0; i < r->test_count; i++)
        for (size_t k = 0; k < r->test_count; k++)
            if (test_holds(&r->tests[k]) && strcasecmp(r->tests[k].name, r->tests[i].name) == 0) {
                r->tests[kept++] = r->tests[i];
                break;
            }
    r->test_count = kept;
}

/* When a later test of that name was clear. */
static struct instant clear_after(const struct hold_record *r, size_t i)
{
    for (size_t k = i + 1; k < r->test_count; k++)
        if (strcmp(r->tests[k].result, "clear") == 0 && strcasecmp(r->tests[k].name, r->tests[i].name) == 0)
            return r->tests[k].at;
    return INSTANT_NONE;
}

/* A result that is not clear holds from its day until one that is; a test that is due holds until then from
 * the start. False: the row holds nothing. */
static bool hold_of_test(struct hold_record *r, size_t i, struct hold *h)
{
    const struct health_test_row *t = &r->tests[i];
    bool clear = strcmp(t->result, "clear") == 0, due = !instant_known(t->at);
    if ((clear || due) && t->holds_milk == 0)
        return false;
    (void)snprintf(r->test_words[i], sizeof r->test_words[i], "test for %.40s %s", t->name,
                   due     ? "not read yet"
                   : clear ? "was not clear yet"
                           : t->result);
    *h = (struct hold){.kind = HOLD_TEST,
                       .name = r->test_words[i],
                       .from_at = clear || due ? INSTANT_NONE : t->at,
                       .last_dose_at = INSTANT_NONE,
                       .milk_hours = (double)NAN,
                       .meat_days = (double)NAN,
                       .dry_days = (double)NAN,
                       .fresh_hours = (double)NAN,
                       .until_at = INSTANT_NONE,
                       .lifted_at = clear ? t->at : clear_after(r, i)};
    return true;
}

/* The most milkings after a calving that any rule counts. */
static int counted_milkings(const struct dairy *d, const struct hold_record *r)
{
    int64_t most = d->row.fresh_milkings;
    for (size_t i = 0; i < r->row_count; i++)
        if (r->rows[i].fresh_milkings > most)
            most = r->rows[i].fresh_milkings;
    for (size_t i = 0; i < r->course_count; i++)
        if (r->courses[i].row.fresh_milkings > most)
            most = r->courses[i].row.fresh_milkings;
    return (int)most;
}

struct moments {
    struct instant *list;
    size_t count;
};

static int add_milking(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct moments *m = context;
    m->list[m->count++] = ((const struct milk_row *)row)->at;
    return 0;
}

/* Milkings are loaded only where a rule counts them: the first ones after each calving whose milk can be asked
 * about. */
static int load_milkings(struct dairy *d, int64_t cow_id, struct instant from, size_t calvings,
                         struct hold_record *r, struct fail *f)
{
    int most = counted_milkings(d, r);
    struct moments milked = {0};
    if (most <= 0 || calvings == 0)
        return 0;
    milked.list = calloc(calvings * (size_t)most, sizeof *milked.list);
    if (milked.list == NULL)
        return fail_memory(f);
    r->milked_at = milked.list;
    for (size_t i = 0; i < calvings; i++) {
        struct instant until = i + 1 < calvings ? r->calved_at[i + 1] : (struct instant){INT64_MAX};
        struct bind binds[] = {BIND_ID(cow_id), BIND_AT(r->calved_at[i]), BIND_AT(until), BIND_ID(most)};
        if (until.s < from.s)
            continue;
        if (rows_each(d->store, &milk_table,
                      "WHERE cow_id = ?1 AND at >= ?2 AND at < ?3 ORDER BY at LIMIT ?4", binds, 4,
                      add_milking, &milked, f) != 0)
            return -1;
    }
    r->facts.milking_count = milked.count;
    return 0;
}

/* ---- the record ---- */

/* Puts holds as recorded, courses and days of calving into one list. */
static int gather_holds(const struct dairy *d, int64_t cow_id, const struct calvings *calvings,
                        struct hold_record *r, struct fail *f)
{
    const struct cow_row nobody = {.id = cow_id};
    bool fresh_rule = d->row.fresh_s > 0 || d->row.fresh_milkings > 0;
    size_t n = 0;
    r->holds = calloc(r->row_count + r->course_count + calvings->count + r->test_count + 1, sizeof *r->holds);
    r->treatments = calloc(r->course_count + 1, sizeof *r->treatments);
    r->calved_at = calloc(calvings->count + 1, sizeof *r->calved_at);
    r->test_words = calloc(r->test_count + 1, sizeof *r->test_words);
    if (r->test_words == NULL || r->holds == NULL || r->treatments == NULL || r->calved_at == NULL)
        return fail_memory(f);
    for (size_t i = 0; i < r->row_count; i++)
        fill_hold(&r->rows[i], &r->holds[n++]);
    for (size_t i = 0; i < r->course_count; i++) {
        course_record(&r->courses[i], &nobody, &r->treatments[i]);
        treatment_hold(&r->treatments[i], &r->holds[n++]);
    }
    for (size_t i = 0; i < calvings->count; i++) {
        const struct calved *c = &calvings->list[i];
        r->calved_at[i] = c->day_only ? day_end(c->at) : c->at;
        if (c->day_only && fresh_rule)
            r->holds[n++] = hold_of_day(c->at);
    }
    for (size_t i = 0; i < r->test_count; i++)
        n += hold_of_test(r, i, &r->holds[n]);
    r->facts.holds = r->holds;
    r->facts.hold_count = n;
    return 0;
}

int hold_record_load(struct dairy *d, int64_t cow_id, struct instant from, struct hold_record *out,
                     struct fail *f)
{
    struct bind cow = BIND_ID(cow_id);
    struct calvings calvings = {0};
    memset(out, 0, sizeof *out);
    int result = rows_load(d->store, &hold_table, bearing_on, (struct bind[]){cow, BIND_AT(from)}, 2,
                           (void **)&out->rows, &out->row_count, f);
    if (result == 0)
        result = courses_load(d, cow_id, from, &out->courses, &out->course_count, f);
    if (result == 0)
        result = rows_load(d->store, &health_test_table, her_tests, &cow, 1, (void **)&out->tests, &out->test_count, f);
    keep_holding_tests(out);
    if (result == 0)
        result = rows_each(d->store, &calving_table, "WHERE cow_id = ?1 ORDER BY at", &cow, 1, add_calving,
                           &calvings, f);
    if (result == 0)
        result = gather_holds(d, cow_id, &calvings, out, f);
    if (result == 0)
        result = load_milkings(d, cow_id, from, calvings.count, out, f);
    out->facts.calved_at = out->calved_at;
    out->facts.calving_count = calvings.count;
    out->facts.milked_at = out->milked_at;
    out->facts.fresh = (struct fresh_rule){.days = (double)d->row.fresh_s / SECONDS_PER_DAY,
                                           .milkings = (int)d->row.fresh_milkings};
    free(calvings.list);
    return result;
}

void hold_record_release(struct hold_record *r)
{
    free(r->rows);
    free(r->courses);
    free(r->treatments);
    free(r->tests);
    free(r->test_words);
    free(r->holds);
    free(r->calved_at);
    free(r->milked_at);
    memset(r, 0, sizeof *r);
}

int cow_hold_state(struct dairy *d, int64_t cow_id, struct instant milked_at, struct hold_state *out,
                   struct working *w, struct fail *f)
{
    struct hold_record record;
    int result = hold_record_load(d, cow_id, milked_at, &record, f);
    if (result == 0)
        hold_state(&record.facts, milked_at, out, w);
    hold_record_release(&record);
    return result;
}

/* ---- habit ---- */

/* Puts a time of day in its place: they may have been typed in any order. */
static void add_minute(struct milking_habit *habit, int minute)
{
    int at = habit->count++;
    for (; at > 0 && habit->minute[at - 1] > minute; at--)
        habit->minute[at] = habit->minute[at - 1];
    habit->minute[at] = minute;
}

struct milking_habit dairy_habit(const struct dairy *d)
{
    struct milking_habit habit = {.count = 0};
    char word[16];
    const char *list = d->row.milking_time;
    while (habit.count < (int)(sizeof habit.minute / sizeof habit.minute[0]) &&
           list_next(&list, ',', word, sizeof word)) {
        char *rest;
        long hour = strtol(word, &rest, 10), minute = *rest == ':' ? strtol(rest + 1, NULL, 10) : -1;
        if (hour >= 0 && hour < 24 && minute >= 0 && minute < 60)
            add_minute(&habit, 60 * (int)hour + (int)minute);
    }
    return habit;
}

struct instant dairy_next_milking(const struct dairy *d, struct instant now)
{
    struct milking_habit habit = dairy_habit(d);
    for (int day = 0; day <= 1; day++) {
        struct civil c;
        date_to_civil(date_add(instant_date(now), day), &c);
        for (int i = 0; i < habit.count; i++) {
            c.hour = habit.minute[i] / 60;
            c.minute = habit.minute[i] % 60;
            struct instant at = civil_to_instant(&c, NULL);
            if (at.s > now.s)
                return at;
        }
    }
    return INSTANT_NONE;
}
