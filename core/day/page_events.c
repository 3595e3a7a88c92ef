/* What happened to her, from every table that knows, newest first. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/cow_page_inside.h"
#include "core/herd/cells.h"

enum { OF_EACH_MAX = 60 };

const char *event_word(enum event_kind kind)
{
    static const char *const words[EVENT_KINDS] = {
        [EVENT_CALVING] = "calved",    [EVENT_HEAT] = "heat",      [EVENT_SERVICE] = "served",
        [EVENT_CHECK] = "checked",     [EVENT_LOSS] = "lost calf", [EVENT_DRY_OFF] = "dried off",
        [EVENT_TREATMENT] = "treated", [EVENT_HOLD] = "hold",      [EVENT_UDDER] = "udder",
        [EVENT_TEST] = "test",         [EVENT_WEIGHT] = "weight",  [EVENT_CONDITION] = "condition",
        [EVENT_NOTE] = "note",         [EVENT_CAME] = "came",      [EVENT_LEFT] = "left",
    };
    return words[kind];
}

struct gathering {
    const struct page_facts *facts;
    struct cow_page *p;
    struct instant from, until; /* the page's stretch of time; what happened outside it is left out */
    struct page_event spare; /* where words go that there is no room for */
};

static struct page_event *add(struct gathering *g, struct instant at, enum event_kind kind)
{
    struct page_event *e = g->p->events < PAGE_EVENTS_MAX ? &g->p->event[g->p->events++] : &g->spare;
    e->at = at;
    e->on = instant_date(at);
    e->kind = kind;
    e->id = 0;
    e->words[0] = '\0';
    return e;
}

/* What was not asked for by time is asked here before it is put into words. */
static bool within(const struct gathering *g, struct instant at)
{
    return at.s >= g->from.s && at.s < g->until.s;
}

/* Appends to the event's words. */
static void say(struct page_event *e, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void say(struct page_event *e, const char *format, ...)
{
    size_t used = strlen(e->words);
    va_list args;
    va_start(args, format);
    (void)vsnprintf(e->words + used, sizeof e->words - used, format, args);
    va_end(args);
}

/* Appends a number among words. */
static void say_number(struct page_event *e, const char *lead, double value, int decimals, const char *tail)
{
    text_add(e->words, sizeof e->words, lead);
    text_add_fixed(e->words, sizeof e->words, value, decimals);
    text_add(e->words, sizeof e->words, tail);
}

/* ---- breeding ---- */

static int add_calving(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct calving_row *r = row;
    const struct cow_record *record = ((struct gathering *)context)->facts->r;
    struct page_event *e = add(context, r->at, EVENT_CALVING);
    if (r->ease != ROW_NONE)
        say(e, "ease %lld", (long long)r->ease);
    for (size_t i = 0; i < record->breeding.calving_count; i++) {
        const struct calving *c = &record->calvings[i];
        for (int k = 0; c->on.days == e->on.days && k < c->calves; k++)
            say(e, "%s%s%s", e->words[0] == '\0' ? "" : ", ",
                c->calf[k].sex == CALF_BULL     ? "bull"
                : c->calf[k].sex == CALF_HEIFER ? "heifer"
                                                : "calf",
                c->calf[k].fate == CALF_ALIVE ? "" : " dead");
    }
    return 0;
}

static int add_heat(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct heat_row *r = row;
    say(add(context, r->at, EVENT_HEAT), "%s", r->signs);
    return 0;
}

static void add_silent_heats(struct gathering *g)
{
    const struct cow_record *r = g->facts->r;
    for (size_t i = 0; i < r->silent_count; i++)
        if (within(g, r->silent[i].at))
            say(add(g, r->silent[i].at, EVENT_HEAT), "nobody saw it; by her cycle");
}

static int add_service(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct service_row *r = row;
    struct page_event *e = add(context, r->at, EVENT_SERVICE);
    say(e, "%s%s%s%s%s", strcmp(r->how, "ai") == 0 ? "AI" : r->how, r->sire[0] == '\0' ? "" : ", ", r->sire,
        r->served_by[0] == '\0' ? "" : ", by ", r->served_by);
    return 0;
}

static int add_check(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct pregnancy_check_row *r = row;
    struct page_event *e = add(context, r->at, EVENT_CHECK);
    say(e, "%s: %s%s", r->method, strcmp(r->result, "in-calf") == 0 ? "in calf" : r->result,
        r->twins == 1 ? ", twins" : "");
    return 0;
}

static int add_loss(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct pregnancy_loss_row *r = row;
    struct page_event *e = add(context, r->at, EVENT_LOSS);
    say(e, "%s", r->why);
    return 0;
}

static int add_dry_off(void *context, const void *row, struct fail *f)
{
    (void)f;
    (void)add(context, ((const struct dry_off_row *)row)->at, EVENT_DRY_OFF);
    return 0;
}

/* ---- treatments and holds ---- */

static void add_span(struct cow_page *p, struct instant from, struct instant to, bool treatment)
{
    struct date today = p->today;
    if (p->spans == PAGE_SPANS_MAX || !instant_known(from) || instant_date(from).days > today.days)
        return;
    struct page_span *s = &p->span[p->spans++];
    s->from_on = instant_date(from);
    s->to_on = instant_known(to) ? instant_date(to) : today;
    s->treatment = treatment;
}

static void say_span(struct page_event *e, const char *lead, int64_t seconds, int64_t unit_s,
                     const char *unit)
{
    if (seconds != ROW_NONE)
        say(e, "%s%g %s", lead, (double)seconds / (double)unit_s, unit);
}

static void say_course(struct gathering *g, const struct course *c)
{
    struct treatment record;
    const struct treatment_row *r = &c->row;
    struct page_event *e = add(g, c->first_dose_at, EVENT_TREATMENT);
    course_record(c, &g->facts->r->row, &record);
    e->id = r->id;
    say(e, "%.50s%s%.40s, %d dose%s", r->product, r->condition[0] == '\0' ? "" : " against ", r->condition,
        c->doses, c->doses == 1 ? "" : "s");
    say_span(e, ", milk withheld ", r->milk_s, 3600, "h");
    say_span(e, ", dry ", r->dry_s, 86400, "d");
    say_span(e, ", fresh ", r->fresh_s, 3600, "h");
    say_span(e, ", meat ", r->meat_s, 86400, "d");
    const char *missing = treatment_missing(&record);
    if (missing != NULL)
        say(e, "; lacks %.40s", missing);
}

static int add_treatment(void *context, const void *row, struct fail *f)
{
    struct gathering *g = context;
    struct course c;
    if (course_load(g->facts->dairy, ((const struct treatment_row *)row)->id, &c, f) != 0)
        return -1;
    const struct treatment_row *r = &c.row;
    if (within(g, c.first_dose_at)) /* else only a later dose of it belongs to the page */
        say_course(g, &c);
    if (r->dry_cow == 0)
        add_span(g->p, c.first_dose_at,
                 r->milk_s == ROW_NONE || r->doses_to_come == 1
                     ? INSTANT_NONE
                     : (struct instant){c.last_dose_at.s + r->milk_s},
                 true);
    return 0;
}

static int add_hold(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct gathering *g = context;
    const struct hold_row *r = row;
    struct page_event *e = add(g, r->from_at, EVENT_HOLD);
    struct instant to = instant_known(r->lifted_at) ? r->lifted_at : r->until_at;
    char until[CIVIL_TEXT_MAX];
    say(e, "%.110s", r->why);
    say_span(e, ", milk withheld ", r->milk_s, 3600, "h");
    if (instant_known(r->until_at))
        say(e, ", until %s", instant_text(r->until_at, until));
    if (instant_known(r->lifted_at))
        say(e, ", lifted %s", instant_text(r->lifted_at, until));
    if (r->milk_s != ROW_NONE && instant_known(r->last_dose_at))
        to = (struct instant){r->last_dose_at.s + r->milk_s};
    if (strcmp(r->kind, "dry-cow") != 0)
        add_span(g->p, r->from_at, to, strcmp(r->kind, "treatment") == 0);
    return 0;
}

/* ---- udder and milk ---- */

/* Asked of every milking, nearly all of which were clean: six bytes are compared faster in place. */
static bool found_something(const char finding[static sizeof "clean"])
{
    return finding[0] != '\0' && memcmp(finding, "clean", sizeof "clean") != 0;
}

static void add_strips(struct gathering *g)
{
    const struct lact *l = &g->facts->lact;
    for (size_t i = 0; i < l->milk_count; i++) {
        const struct milk_row *r = &l->milk[i];
        if (!within(g, r->at))
            continue;
        bool strip = found_something(r->strip), disc = found_something(r->disc);
        if (!strip && !disc)
            continue;
        struct page_event *e = add(g, r->at, EVENT_UDDER);
        say(e, "%.110s%s%.60s", strip ? r->strip : "", disc ? strip ? ", disc " : "disc " : "",
            disc ? r->disc : "");
    }
}

/* Tests of one moment, of the four quarters say, are one event: they come next to each other. */
static int add_udder_test(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct gathering *g = context;
    const struct udder_test_row *r = row;
    struct page_event *e = g->p->events > 0 ? &g->p->event[g->p->events - 1] : NULL;
    if (e == NULL || e->kind != EVENT_TEST || e->at.s != r->at.s)
        e = add(g, r->at, EVENT_TEST);
    if (e->words[0] != '\0')
        say(e, ", ");
    if (r->quarter[0] != '\0')
        say(e, "%s ", r->quarter);
    if (r->cmt[0] != '\0')
        say(e, "paddle %s", r->cmt);
    if (r->cells_per_ml != ROW_NONE) {
        double cells = (double)r->cells_per_ml;
        say_number(e, "", cells, 0, " cells per mL, score ");
        say_number(e, "", cells_linear_score(cells), 1, "");
    }
    if (r->culture[0] != '\0')
        say(e, "culture: %.120s", r->culture);
    return 0;
}

static void add_milk_tests(struct gathering *g)
{
    const struct lact *l = &g->facts->lact;
    for (size_t i = 0; i < l->test_count; i++) {
        const struct milk_test_row *t = &l->tests[i];
        if (!within(g, t->at))
            continue;
        struct page_event *e = add(g, t->at, EVENT_TEST);
        if (t->fat_mpct != ROW_NONE)
            say_number(e, "fat ", (double)t->fat_mpct / 1e3, 2, " %");
        if (t->protein_mpct != ROW_NONE)
            say_number(e, e->words[0] == '\0' ? "protein " : ", protein ", (double)t->protein_mpct / 1e3, 2, " %");
    }
}

/* ---- body, notes, coming and going ---- */

static void add_body(struct gathering *g)
{
    char text[QUANTITY_TEXT_MAX];
    const struct page_facts *facts = g->facts;
    for (size_t i = 0; i < facts->weighing_count; i++) {
        const struct weighing_row *r = &facts->weighings[i];
        bool by_tape;
        if (!within(g, r->at))
            continue;
        double kg = weighing_kg(r, &by_tape);
        struct page_event *e = add(g, r->at, EVENT_WEIGHT);
        if (isfinite(kg)) {
            text_add(e->words, sizeof e->words, quantity_format(kg, DIM_MASS, g->p->units, text));
            text_add(e->words, sizeof e->words, by_tape ? " by tape" : "");
        }
        if (r->height_mm != ROW_NONE)
            say(e, "%s%s high", isfinite(kg) ? ", " : "",
                quantity_format((double)r->height_mm / 1e3, DIM_LENGTH, g->p->units, text));
    }
    for (size_t i = 0; i < facts->score_count; i++) {
        if (!within(g, facts->scores[i].at))
            continue;
        struct page_event *e = add(g, facts->scores[i].at, EVENT_CONDITION);
        say_number(e, "", (double)facts->scores[i].score_hundredths / 100, 2, "");
    }
    for (size_t i = 0; i < facts->health_count; i++) {
        const struct health_test_row *t = &facts->health[i];
        if (!instant_known(t->at) || !within(g, t->at))
            continue;
        struct page_event *e = add(g, t->at, EVENT_TEST);
        say(e, "%s: %s%s%s", t->name, t->result, t->tested_by[0] == '\0' ? "" : ", ", t->tested_by);
    }
}

static int add_note(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct note_row *r = row;
    struct page_event *e = add(context, r->at, EVENT_NOTE);
    (void)text_cut(e->words, sizeof e->words, r->text, 180, false);
    return 0;
}

static void add_coming(struct gathering *g)
{
    const struct cow_row *r = &g->facts->r->row;
    struct date came = strcmp(r->came, "born") == 0 ? r->born_on : r->came_on;
    if (date_known(came) && within(g, date_start(came)) && strcmp(r->came, "here") != 0) {
        struct page_event *e = add(g, date_start(came), EVENT_CAME);
        say(e, "%s%s%s", r->came, r->came_from[0] == '\0' ? "" : " from ", r->came_from);
    }
    if (date_known(r->left_on) && within(g, date_start(r->left_on))) {
        struct page_event *e = add(g, date_start(r->left_on), EVENT_LEFT);
        say(e, "%s%s%s", r->left_how,
            r->left_to[0] == '\0'              ? ""
            : strcmp(r->left_how, "died") == 0 ? ": "
                                               : " to ",
            r->left_to);
    }
}

static int newest_first(const void *a, const void *b)
{
    const struct page_event *x = a, *y = b;
    if (x->at.s != y->at.s)
        return x->at.s > y->at.s ? -1 : 1;
    return (x->kind > y->kind) - (x->kind < y->kind);
}

int page_fill_events(const struct page_facts *facts, struct cow_page *p, struct fail *f)
{
    static const struct {
        const struct table *table;
        const char *tail;
        row_fn add;
    } sources[] = {
#define STRETCH "WHERE cow_id = ?1 AND at >= ?2 AND at < ?3 ORDER BY at DESC LIMIT ?4"
        {&calving_table, STRETCH, add_calving},
        {&heat_table, STRETCH, add_heat},
        {&service_table, STRETCH, add_service},
        {&pregnancy_check_table, STRETCH, add_check},
        {&pregnancy_loss_table, STRETCH, add_loss},
        {&dry_off_table, STRETCH, add_dry_off},
        {&udder_test_table, STRETCH, add_udder_test},
        {&note_table, STRETCH, add_note},
        {&hold_table, "WHERE cow_id = ?1 AND from_at >= ?2 AND from_at < ?3 ORDER BY from_at DESC LIMIT ?4",
         add_hold},
        {&treatment_table,
         "WHERE cow_id = ?1 AND EXISTS (SELECT 1 FROM dose d WHERE d.treatment_id = treatment.id AND d.at >= "
         "?2"
         " AND d.at < ?3) ORDER BY id DESC LIMIT ?4",
         add_treatment},
    };
    struct gathering g = {.facts = facts, .p = p, .from = date_start(p->from_on), .until = {INT64_MAX}};
    if (!facts->lact.current)
        g.until = date_start(date_add(p->strip_to_on, 1));
    struct bind binds[] = {BIND_ID(p->cow_id), BIND_AT(g.from), BIND_AT(g.until), BIND_ID(OF_EACH_MAX)};
    for (size_t i = 0; i < sizeof sources / sizeof sources[0]; i++)
        if (rows_each(facts->dairy->store, sources[i].table, sources[i].tail, binds, 4, sources[i].add, &g,
                      f) != 0)
            return -1;
    add_silent_heats(&g);
    add_strips(&g);
    add_milk_tests(&g);
    add_body(&g);
    add_coming(&g);
    qsort(p->event, p->events, sizeof p->event[0], newest_first);
    return 0;
}
