#include "core/day/cow_card.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/breeding/calving.h"
#include "core/day/cow_page_inside.h"

enum { COURSES_BACK_S = 2 * 366 * 86400 };

static void add(struct cow_card *c, bool heading, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void add(struct cow_card *c, bool heading, const char *format, ...)
{
    va_list args;
    if (c->lines == CARD_LINES_MAX)
        return;
    c->heading[c->lines] = heading;
    va_start(args, format);
    (void)vsnprintf(c->line[c->lines++], CARD_LINE_MAX, format, args);
    va_end(args);
}

/* ---- who ---- */

static void add_who(const struct cow_page *p, const struct cow_record *r, struct cow_card *c)
{
    char day[CIVIL_TEXT_MAX], text[CARD_LINE_MAX] = "";
    add(c, true, "%s", p->name);
    (void)snprintf(text, sizeof text, "%s%s%s", p->breed[0] != '\0' ? p->breed : "cattle",
                   p->male ? ", male" : ", female", p->tag[0] != '\0' ? ", tag " : "");
    (void)text_append(text, sizeof text, "%s", p->tag);
    if (date_known(p->born_on))
        (void)text_append(text, sizeof text, ", born %s", date_year_text(p->born_on, day));
    if (p->dam[0] != '\0')
        (void)text_append(text, sizeof text, ", of %s", p->dam);
    add(c, false, "%s", text);
    if (date_known(r->row.came_on) && strcmp(r->row.came, "bought") == 0)
        add(c, false, "bought %s%s%s", date_year_text(r->row.came_on, day),
            r->row.came_from[0] != '\0' ? " from " : "", r->row.came_from);
    if (date_known(r->row.left_on))
        add(c, false, "%s %s%s%s", r->row.left_how, date_year_text(r->row.left_on, day),
            r->row.left_to[0] != '\0' ? ", " : "", r->row.left_to);
    add(c, false, "%s%s%s", p->view.state, p->view.breeding[0] != '\0' ? "; " : "", p->view.breeding);
    if (p->view.in_milk)
        add(c, false, "milk: %s%s%s", hold_verdict(&p->view.hold), p->view.keep ? "" : ", ",
            p->view.keep ? "" : p->view.hold.words);
    if (p->view.hold.meat_unknown)
        add(c, false, "meat: a withholding is not known");
    else if (date_known(p->view.hold.meat_on))
        add(c, false, "meat: withheld until %s", date_year_text(p->view.hold.meat_on, day));
    if (p->remark[0] != '\0')
        add(c, false, "%s", p->remark);
}

/* ---- lactations ---- */

static void calves_text(const struct calving *calving, char *text, size_t size)
{
    text[0] = '\0';
    for (int i = 0; i < calving->calves; i++)
        (void)text_append(text, size, "%s%s%s", i == 0 ? ", " : " and ",
                          calving->calf[i].sex == CALF_BULL     ? "bull"
                          : calving->calf[i].sex == CALF_HEIFER ? "heifer"
                                                                : "calf",
                          calving->calf[i].fate == CALF_ALIVE ? "" : " dead");
}

static int add_lactation(struct dairy *d, const struct cow_page *now, const struct cow_record *r,
                         size_t index, struct cow_page *p, struct cow_card *c, struct fail *f)
{
    char day[CIVIL_TEXT_MAX], calves[60], kg[QUANTITY_TEXT_MAX], text[CARD_LINE_MAX];
    const struct page_lactation *l = &now->lactation[index];
    size_t hidden = r->breeding.calving_count - now->lactations;
    if (dairy_cow_page(d, now->cow_id, now->now, (int)index, p, f) != 0)
        return -1;
    calves_text(&r->calvings[hidden + index], calves, sizeof calves);
    (void)snprintf(text, sizeof text, "%d. calved %s%s", l->number, date_year_text(l->calved_on, day),
                   calves);
    if (r->calvings[hidden + index].ease > 1)
        (void)text_append(text, sizeof text, ", %s", calving_ease_word(r->calvings[hidden + index].ease));
    if (isfinite(p->to_date_kg))
        (void)text_append(
            text, sizeof text, ": %s%s", p->filled_days > 0 ? "about " : "",
            quantity_format_in(p->to_date_kg, DIM_MASS, quantity_unit(DIM_MASS, p->units), 0, kg));
    if (isfinite(p->expected_305_kg))
        (void)text_append(
            text, sizeof text, "%s %s in 305 days",
            p->shown_now && p->view.in_milk ? " so far, expected" : ",",
            quantity_format_in(p->expected_305_kg, DIM_MASS, quantity_unit(DIM_MASS, p->units), 0, kg));
    if (isfinite(p->peak_kg))
        (void)text_append(text, sizeof text, ", peak %s",
                          quantity_format(p->peak_kg, DIM_MASS, p->units, kg));
    if (date_known(l->dried_on))
        (void)text_append(text, sizeof text, ", dry %s", date_year_text(l->dried_on, day));
    add(c, false, "%s", text);
    return 0;
}

static int add_lactations(struct dairy *d, const struct cow_page *now, const struct cow_record *r,
                          struct cow_card *c, struct fail *f)
{
    struct cow_page *p = malloc(sizeof *p);
    if (p == NULL)
        return fail_memory(f);
    int result = 0;
    if (now->lactations > 0)
        add(c, true, "Lactations");
    for (size_t i = 0; i < now->lactations && result == 0; i++)
        result = add_lactation(d, now, r, i, p, c, f);
    free(p);
    return result;
}

static int add_calf(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct cow_row *calf = row;
    char day[CIVIL_TEXT_MAX];
    add(context, false, "%s, %s, born %s%s%s", calf->name, strcmp(calf->sex, "male") == 0 ? "bull" : "heifer",
        date_year_text(calf->born_on, day), calf->left_how[0] != '\0' ? ", " : ", here", calf->left_how);
    return 0;
}

static int add_calves(struct dairy *d, int64_t cow_id, struct cow_card *c, struct fail *f)
{
    size_t before = c->lines;
    add(c, true, "Her calves in these records");
    if (rows_each(d->store, &cow_table, "WHERE dam_id = ?1 ORDER BY born_on, id",
                  (struct bind[]){BIND_ID(cow_id)}, 1, add_calf, c, f) != 0)
        return -1;
    if (c->lines == before + 1)
        c->lines = before;
    return 0;
}

/* ---- health ---- */

static int add_courses(struct dairy *d, const struct cow_page *p, const struct cow_row *cow,
                       struct cow_card *c, struct fail *f)
{
    struct course *courses = NULL;
    size_t count = 0;
    char day[CIVIL_TEXT_MAX];
    struct instant from = {p->now.s - COURSES_BACK_S};
    int result = courses_load(d, cow->id, from, &courses, &count, f);
    for (size_t i = 0; i < count && result == 0; i++) {
        struct treatment t;
        course_record(&courses[i], cow, &t);
        const char *missing = treatment_missing(&t);
        if (i == 0)
            add(c, true, "Treatments of the last two years");
        add(c, false, "%s: %.60s%s%.60s, last dose %s", date_year_text(instant_date(t.first_dose_at), day),
            t.product, t.condition[0] != '\0' ? " against " : "", t.condition,
            instant_text(t.last_dose_at, (char[CIVIL_TEXT_MAX]){0}));
        if (missing != NULL)
            add(c, false, "    the record lacks %s", missing);
    }
    free(courses);
    return result;
}

static int add_test(void *context, const void *row, struct fail *f)
{
    (void)f;
    const struct health_test_row *t = row;
    char day[CIVIL_TEXT_MAX];
    if (instant_known(t->at))
        add(context, false, "%s %s: %s%s%s", t->name, date_year_text(instant_date(t->at), day), t->result,
            t->tested_by[0] != '\0' ? ", " : "", t->tested_by);
    else
        add(context, false, "%s: due %s", t->name, date_year_text(t->due_on, day));
    return 0;
}

static int add_health(struct dairy *d, const struct cow_page *p, const struct cow_row *cow,
                      struct cow_card *c, struct fail *f)
{
    size_t before = c->lines;
    add(c, true, "Tests for diseases");
    if (rows_each(d->store, &health_test_table, "WHERE cow_id = ?1 ORDER BY at IS NULL, at, due_on",
                  (struct bind[]){BIND_ID(cow->id)}, 1, add_test, c, f) != 0)
        return -1;
    if (c->lines == before + 1)
        c->lines = before;
    return add_courses(d, p, cow, c, f);
}

/* Udder and body as the page tells them. */
static void add_figures(const struct cow_page *p, struct cow_card *c)
{
    const char *group = NULL;
    for (size_t i = 0; i < p->figures; i++) {
        const struct page_figure *figure = &p->figure[i];
        bool udder = strcmp(figure->group, "UDDER") == 0;
        if (!udder && strcmp(figure->group, "BODY") != 0)
            continue;
        if (group != figure->group)
            add(c, true, "%s", udder ? "Udder" : "Weight and condition");
        group = figure->group;
        add(c, false, "%s", figure->text);
    }
}

int dairy_cow_card(struct dairy *d, int64_t cow_id, struct instant now, struct cow_card *out, struct fail *f)
{
    struct cow_record r = {0};
    struct cow_row row;
    struct cow_page *p = malloc(sizeof *p);
    char day[CIVIL_TEXT_MAX];
    out->lines = 0;
    if (p == NULL)
        return fail_memory(f);
    int result = dairy_cow_page(d, cow_id, now, PAGE_NOW, p, f);
    if (result == 0)
        result = row_load(d->store, &cow_table, cow_id, &row, f);
    if (result == 0)
        result = cow_record_load(d, &row, now, &r, f);
    if (result == 0) {
        add_who(p, &r, out);
        result = add_lactations(d, p, &r, out, f);
    }
    if (result == 0) {
        add_figures(p, out);
        result = add_calves(d, cow_id, out, f);
    }
    if (result == 0)
        result = add_health(d, p, &r.row, out, f);
    add(out, true, "From the records of %s, %s. It is no certificate of health.", dairy_name(d),
        date_year_text(instant_date(now), day));
    cow_record_release(&r);
    free(p);
    return result;
}
