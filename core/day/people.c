#include "core/day/people.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/form.h"
#include "core/base/text.h"
#include "core/day/inside.h"
#include "core/store/rows_shelf.h"

/* Jars that were handed out longer ago are no news on this page. */
enum { TAKEN_DAYS = 28, OWED_DAYS = 180 };

/* ---- days ---- */

static const char *const weekdays[] = {"sun", "mon", "tue", "wed", "thu", "fri", "sat"};

static int weekday_of(const char *word)
{
    char day[4];
    (void)snprintf(day, sizeof day, "%.3s", word); /* "thursday" is a Thursday too */
    return strlen(word) >= 3 ? text_find(weekdays, 7, day) : -1;
}

int share_days_check(const char *days, struct fail *f)
{
    char word[16];
    int count = 0;
    if (text_same(days, "daily"))
        return 0;
    for (const char *list = days; list_next(&list, ',', word, sizeof word); count++)
        if (weekday_of(word) < 0)
            return fail_input(f, "\"%.30s\" names no days; write daily, or days of the week: mon,thu.", days);
    return count > 0 ? 0 : fail_input(f, "days: write daily, or days of the week: mon,thu.");
}

bool share_days_have(const char *days, struct date on)
{
    struct civil c;
    char word[16];
    if (text_same(days, "daily"))
        return true;
    date_to_civil(on, &c);
    for (const char *list = days; list_next(&list, ',', word, sizeof word);)
        if (weekday_of(word) == c.weekday)
            return true;
    return false;
}

bool jar_goes(const char *word, enum jar_place *place)
{
    static const struct {
        const char *word;
        enum jar_place place;
    } words[] = {{"dump", AT_DUMPED},
                 {"dumped", AT_DUMPED},
                 {"away", AT_DUMPED},
                 {"calf", AT_CALF},
                 {"calves", AT_CALF},
                 {"pigs", AT_PIGS},
                 {"pig", AT_PIGS},
                 {"cheese", AT_CHEESE},
                 {"freezer", AT_FREEZER},
                 {"fridge", AT_FRIDGE},
                 {"refrigerator", AT_FRIDGE},
                 {"drunk", AT_DRUNK},
                 {"drink", AT_DRUNK},
                 {"lost", AT_LOST}};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (text_same(word, words[i].word)) {
            *place = words[i].place;
            return true;
        }
    return false;
}

/* ---- loading ---- */

static struct person_view *view_of(struct people_view *v, int64_t id)
{
    for (size_t i = 0; i < v->people; i++)
        if (v->person[i].id == id)
            return &v->person[i];
    return NULL;
}

static int add_person(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct people_view *v = context;
    const struct person_row *r = row;
    if (v->people == PEOPLE_MAX)
        return 0;
    struct person_view *p = &v->person[v->people++];
    *p = (struct person_view){.id = r->id, .share = (int)r->share, .last_at = INSTANT_NONE};
    (void)snprintf(p->name, sizeof p->name, "%s", r->name);
    (void)snprintf(p->contact, sizeof p->contact, "%s", r->contact);
    (void)snprintf(p->contact2, sizeof p->contact2, "%s", r->contact2);
    (void)snprintf(p->share_kind, sizeof p->share_kind, "%s", r->share_kind);
    (void)snprintf(p->share_days, sizeof p->share_days, "%s", r->share_days);
    (void)snprintf(p->note, sizeof p->note, "%s", r->note);
    p->day = r->share > 0 && share_days_have(r->share_days, instant_date(v->now));
    p->due = p->day ? p->share : 0;
    return 0;
}

static int add_out(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct tally_pool_row *r = row;
    struct person_view *p = view_of(context, r->person_id);
    if (p == NULL || r->count <= 0)
        return 0;
    p->out_all += (int)r->count;
    if (p->outs == PEOPLE_KINDS_MAX)
        return 0;
    struct out_jars *out = &p->out[p->outs++];
    (void)snprintf(out->kind, sizeof out->kind, "%s", r->kind);
    out->count = (int)r->count;
    return 0;
}

static int add_taken(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct people_view *v = context;
    const struct jar_move_row *m = row;
    struct person_view *p = view_of(v, m->person_id);
    if (p == NULL || strcmp(m->to_place, "given") != 0)
        return 0;
    if (!instant_known(p->last_at))
        p->last_at = m->at;
    if (m->at.s >= v->midnight.s && m->at.s <= v->now.s)
        p->taken_today += (int)m->count;
    for (size_t i = 0; i < v->takens; i++)
        if (v->taken[i].person_id == p->id && v->taken[i].batch_id == m->batch_id) {
            v->taken[i].count += (int)m->count;
            return 0;
        }
    if (v->takens < PEOPLE_TAKEN_MAX)
        v->taken[v->takens++] = (struct taken_jars){
            .person_id = p->id, .batch_id = m->batch_id, .count = (int)m->count, .at = m->at};
    return 0;
}

static int add_code(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct people_view *v = context;
    const struct batch_row *b = row;
    for (size_t i = 0; i < v->takens; i++)
        if (v->taken[i].batch_id == b->id) {
            memcpy(v->taken[i].code, b->code, sizeof v->taken[i].code - 1); /* codes are shorter than that */
            v->taken[i].code[sizeof v->taken[i].code - 1] = '\0';
            memcpy(v->taken[i].kind, b->kind, sizeof v->taken[i].kind);
        }
    return 0;
}

static int add_share_out(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct people_view *v = context;
    const struct share_out_row *r = row;
    struct person_view *p = view_of(v, r->person_id);
    if (p == NULL)
        return 0;
    bool today = instant_date(r->at).days == instant_date(v->now).days;
    p->owed += (int)(r->due - r->granted);
    if (p->owed < 0)
        p->owed = 0;
    if (today)
        p->due = (int)r->granted;
    v->shared_today = v->shared_today || today;
    return 0;
}

int people_load(struct dairy *d, struct instant now, struct people_view *v, struct fail *f)
{
    struct store *s = d->store;
    struct bind taken = {false, now.s - TAKEN_DAYS * 86400, NULL},
                owed = {false, now.s - OWED_DAYS * 86400, NULL};
    memset(v, 0, offsetof(struct people_view, person));
    v->now = now;
    v->midnight = date_start(instant_date(now));
    if (rows_each(s, &person_table, "WHERE left_on IS NULL ORDER BY name", NULL, 0, add_person, v, f) != 0 ||
        rows_each(s, &tally_pool_table, "WHERE state = 'out' ORDER BY kind", NULL, 0, add_out, v, f) != 0 ||
        rows_each(s, &jar_move_table, "WHERE person_id IS NOT NULL AND at > ?1 ORDER BY at DESC, id DESC",
                  &taken, 1, add_taken, v, f) != 0 ||
        rows_each(s, &share_out_table, "WHERE at > ?1 ORDER BY at, id", &owed, 1, add_share_out, v, f) != 0)
        return -1;
    return rows_each(s, &batch_table,
                     "WHERE id IN (SELECT batch_id FROM jar_move WHERE person_id IS NOT NULL AND at > ?1)",
                     &taken, 1, add_code, v, f);
}

int dairy_people(struct dairy *d, struct instant now, struct people_view *out, struct fail *f)
{
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (store_begin_look(d->store, f) != 0)
        return -1;
    int result = people_load(d, now, out, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    return result;
}

/* ---- sharing out ---- */

int share_day_load(struct dairy *d, struct instant now, struct share_day *out, struct fail *f)
{
    struct people_view *v = malloc(sizeof *v);
    memset(out, 0, sizeof *out);
    if (v == NULL)
        return fail_memory(f);
    int result = people_load(d, now, v, f);
    if (result == 0 && v->shared_today)
        result = fail_refused(f, "This day was shared out already; take that back first.");
    for (size_t i = 0; result == 0 && i < v->people; i++) {
        if (!v->person[i].day)
            continue;
        out->person[out->people].id = v->person[i].id;
        out->person[out->people].due = v->person[i].share;
        out->person[out->people].owed = v->person[i].owed;
        (void)snprintf(out->person[out->people].name, sizeof out->person[0].name, "%s", v->person[i].name);
        out->people++;
    }
    free(v);
    if (result == 0 && out->people == 0)
        return fail_refused(f, "Nobody has milk due on that day.");
    return result;
}

int share_day_split(struct share_day *day, int jars, enum share_method method, struct working *w,
                    struct fail *f)
{
    struct share_person person[SHARE_PEOPLE_MAX];
    for (size_t i = 0; i < day->people; i++)
        person[i] = (struct share_person){day->person[i].due, day->person[i].owed};
    return share_split(jars, method, person, day->people, day->part, &day->split, day->say, w, f);
}
