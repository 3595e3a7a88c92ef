#include "core/day/cow_page.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/cow_record.h"
#include "core/day/stall_view.h"

const char *event_word(enum event_kind kind)
{
    static const char *const words[EVENT_KINDS] = {"calved",    "heat", "served", "checked", "lost calf",
                                                   "dried off", "hold", "udder",  "note",    "came"};
    return words[kind];
}

int dairy_find_cow(struct dairy *d, const char *name, int64_t *cow_id, struct fail *f)
{
    struct cow_row cow;
    if (find_cow(d, name, &cow, f) != 0)
        return -1;
    *cow_id = cow.id;
    return 0;
}

/* ---- events ---- */

static void add_event(struct cow_page *p, struct instant at, enum event_kind kind, const char *words)
{
    if (p->events == PAGE_EVENTS_MAX)
        return;
    struct page_event *e = &p->event[p->events++];
    e->at = at;
    e->kind = kind;
    (void)snprintf(e->words, sizeof e->words, "%.199s", words);
}

static int add_calving_event(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct calving_row *r = row;
    char words[64] = "";
    if (r->ease != ROW_NONE)
        (void)snprintf(words, sizeof words, "ease %lld", (long long)r->ease);
    add_event(context, r->at, EVENT_CALVING, words);
    return 0;
}

static int add_heat_event(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct heat_row *r = row;
    add_event(context, r->at, EVENT_HEAT, r->signs);
    return 0;
}

static int add_service_event(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct service_row *r = row;
    char words[200];
    (void)snprintf(words, sizeof words, "%s%s%s%s%s", strcmp(r->how, "ai") == 0 ? "AI" : r->how,
                   r->sire[0] == '\0' ? "" : ", ", r->sire, r->served_by[0] == '\0' ? "" : ", by ",
                   r->served_by);
    add_event(context, r->at, EVENT_SERVICE, words);
    return 0;
}

static int add_check_event(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct pregnancy_check_row *r = row;
    char words[80];
    (void)snprintf(words, sizeof words, "%s: %s%s", r->method,
                   strcmp(r->result, "in-calf") == 0 ? "in calf" : r->result, r->twins == 1 ? ", twins" : "");
    add_event(context, r->at, EVENT_CHECK, words);
    return 0;
}

static int add_loss_event(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct pregnancy_loss_row *r = row;
    add_event(context, r->at, EVENT_LOSS, r->why);
    return 0;
}

static int add_dry_event(void *context, const void *row, struct fail *f)
{
    (void)f;
    add_event(context, ((const struct dry_off_row *)row)->at, EVENT_DRY_OFF, "");
    return 0;
}

static int add_hold_event(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct hold_row *r = row;
    char words[200], until[CIVIL_TEXT_MAX];
    (void)snprintf(words, sizeof words, "%s", r->why);
    if (r->milk_s != ROW_NONE)
        (void)text_append(words, sizeof words, ", milk withheld %lld h", (long long)(r->milk_s / 3600));
    if (instant_known(r->until_at))
        (void)text_append(words, sizeof words, ", until %s", instant_text(r->until_at, until));
    if (instant_known(r->lifted_at))
        (void)text_append(words, sizeof words, ", lifted %s", instant_text(r->lifted_at, until));
    add_event(context, r->from_at, EVENT_HOLD, words);
    return 0;
}

static int add_note_event(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct note_row *r = row;
    char words[200];
    (void)text_cut(words, sizeof words, r->text, 180, false);
    add_event(context, r->at, EVENT_NOTE, words);
    return 0;
}

static int add_udder_event(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct milk_row *r = row;
    char words[240];
    bool strip = r->strip[0] != '\0' && strcmp(r->strip, "clean") != 0;
    (void)snprintf(words, sizeof words, "%.100s%s%.60s", strip ? r->strip : "",
                   strip && r->disc[0] != '\0' ? ", disc " : "disc ", r->disc);
    if (strip && r->disc[0] == '\0')
        (void)snprintf(words, sizeof words, "%.150s", r->strip);
    add_event(context, r->at, EVENT_UDDER, words);
    return 0;
}

static int newest_first(const void *a, const void *b)
{
    int64_t x = ((const struct page_event *)a)->at.s, y = ((const struct page_event *)b)->at.s;
    return (x < y) - (x > y);
}

static int fill_events(struct dairy *d, struct cow_page *p, struct fail *f)
{
    static const struct {
        const struct table *table;
        const char *tail;
        row_fn add;
    } sources[] = {
        {&calving_table, "WHERE cow_id = ?1 ORDER BY at DESC LIMIT 30", add_calving_event},
        {&heat_table, "WHERE cow_id = ?1 ORDER BY at DESC LIMIT 30", add_heat_event},
        {&service_table, "WHERE cow_id = ?1 ORDER BY at DESC LIMIT 30", add_service_event},
        {&pregnancy_check_table, "WHERE cow_id = ?1 ORDER BY at DESC LIMIT 30", add_check_event},
        {&pregnancy_loss_table, "WHERE cow_id = ?1 ORDER BY at DESC LIMIT 10", add_loss_event},
        {&dry_off_table, "WHERE cow_id = ?1 ORDER BY at DESC LIMIT 20", add_dry_event},
        {&hold_table, "WHERE cow_id = ?1 ORDER BY from_at DESC LIMIT 30", add_hold_event},
        {&note_table, "WHERE cow_id = ?1 ORDER BY at DESC LIMIT 30", add_note_event},
        {&milk_table,
         "WHERE cow_id = ?1 AND (ifnull(strip, 'clean') <> 'clean' OR ifnull(disc, 'clean') <> 'clean')"
         " ORDER BY at DESC LIMIT 30",
         add_udder_event},
    };
    for (size_t i = 0; i < sizeof sources / sizeof sources[0]; i++)
        if (rows_each(d->store, sources[i].table, sources[i].tail, (struct bind[]){BIND_ID(p->cow_id)}, 1,
                      sources[i].add, p, f) != 0)
            return -1;
    qsort(p->event, p->events, sizeof p->event[0], newest_first);
    return 0;
}

/* ---- milk ---- */

static int add_milking(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct cow_page *p = context;
    const struct milk_row *r = row;
    struct page_milking *m = &p->milking[p->milkings++];
    m->at = r->at;
    m->mass_kg = r->mass_g == ROW_NONE ? (double)NAN : (double)r->mass_g / 1e3;
    (void)snprintf(m->strip, sizeof m->strip, "%s", r->strip);
    (void)snprintf(m->disc, sizeof m->disc, "%s", r->disc);
    return 0;
}

static void fill_days(const struct cow_record *r, struct cow_page *p)
{
    if (!date_known(r->stage.calved_on))
        return;
    struct date last = r->stage.in_milk || !date_known(r->stage.dried_on) ? r->today : r->stage.dried_on;
    int length = date_diff(r->stage.calved_on, last) + 1;
    int from = length > PAGE_DAYS_MAX ? length - PAGE_DAYS_MAX : 0;
    size_t next = 0;
    for (int day = from; day < length; day++) {
        struct page_day *out = &p->day[p->days++];
        struct expectation e = {(double)NAN, (double)NAN, (double)NAN, (double)NAN};
        if (day >= 1)
            lactation_expect(&r->curve, day, r->milkings, &e, NULL);
        while (next < r->yield_count && r->yield[next].day < day)
            next++;
        bool weighed = next < r->yield_count && r->yield[next].day == day;
        *out = (struct page_day){.on = date_add(r->stage.calved_on, day),
                                 .day = day,
                                 .kg = weighed ? r->yield[next].kg : (double)NAN,
                                 .expected_kg = e.kg,
                                 .low_kg = e.low_kg,
                                 .high_kg = e.high_kg};
    }
}

static void fill_totals(const struct cow_record *r, struct cow_page *p)
{
    struct lactation_total total;
    p->to_date_kg = p->expected_305_kg = p->peak_kg = (double)NAN;
    if (!date_known(r->stage.calved_on))
        return;
    lactation_total(&r->season, r->yield, r->yield_count, r->milkings, &total, NULL);
    p->to_date_kg = total.to_date_kg;
    p->expected_305_kg = total.expected_305_kg;
    struct wood wood = lactation_curve(&r->curve, r->milkings);
    double peak_day = wood_peak_day(&wood);
    p->peak_kg = wood_peak_kg(&wood);
    p->peak_day = isfinite(peak_day) ? (int)lround(peak_day) : 0;
}

static int fill_dam(struct dairy *d, const struct cow_record *r, struct cow_page *p, struct fail *f)
{
    struct cow_row dam;
    if (r->row.dam_id == ROW_NONE)
        return 0;
    if (row_load(d->store, &cow_table, r->row.dam_id, &dam, f) != 0)
        return -1;
    (void)snprintf(p->dam, sizeof p->dam, "%s", dam.name);
    return 0;
}

static void fill_who(const struct cow_record *r, struct cow_page *p)
{
    (void)snprintf(p->name, sizeof p->name, "%s", r->row.name);
    (void)snprintf(p->tag, sizeof p->tag, "%s", r->row.tag);
    (void)snprintf(p->breed, sizeof p->breed, "%s", r->row.breed);
    p->born_on = r->row.born_on;
    p->stall = r->row.stall == ROW_NONE ? 0 : (int)r->row.stall;
    p->parity = r->stage.parity;
    p->calved_on = r->stage.calved_on;
    p->due_on = r->plan.due_on;
    p->dry_off_on = r->plan.dry_off_on;
    p->close_up_on = r->plan.close_up_on;
    p->due_from_on = date_known(r->plan.due_on) ? r->plan.due.from_on : DATE_NONE;
    p->due_to_on = date_known(r->plan.due_on) ? r->plan.due.to_on : DATE_NONE;
}

int dairy_cow_page(struct dairy *d, int64_t cow_id, struct instant now, struct cow_page *out, struct fail *f)
{
    struct cow_record r;
    struct milk_row latest = {.id = 0};
    memset(out, 0, sizeof *out);
    out->now = now;
    out->cow_id = cow_id;
    out->units = dairy_units(d);
    int result = store_begin_look(d->store, f);
    if (result != 0)
        return -1;
    result = cow_record_load(d, cow_id, now, &r, f);
    if (result == 0)
        result = cow_record_learn(&r, f);
    if (result == 0) {
        fill_who(&r, out);
        stall_view_fill(&r, &latest, now, &out->view);
        fill_days(&r, out);
        fill_totals(&r, out);
        result = fill_dam(d, &r, out, f);
    }
    if (result == 0)
        result = rows_each(d->store, &milk_table, "WHERE cow_id = ?1 ORDER BY at DESC LIMIT 60",
                           (struct bind[]){BIND_ID(cow_id)}, 1, add_milking, out, f);
    if (result == 0)
        result = fill_events(d, out, f);
    cow_record_release(&r);
    store_rollback(d->store);
    return result;
}
