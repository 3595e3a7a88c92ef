/* Weights from a file. Everything is read and checked before the first row is written. */
#include <libgen.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/file.h"
#include "core/base/text.h"
#include "core/day/holds.h"
#include "core/day/inside.h"
#include "core/day/weights.h"
#include "core/store/rows_herd.h"

static const struct field weights_fields[] = {
    {"file", FIELD_FILE, 0, FIELD_REQUIRED, NULL, "file",
     "a CSV file: date, cow, and kg or lb; fat, protein, cells"},
    {"cow", FIELD_NAME, 0, 0, NULL, "cow", "whose they are, if the file does not say"},
    {"dates", FIELD_CHOICE, 0, 0, "iso|month-first|day-first", "dates", "2026-05-03, 5/3/2026 or 3/5/2026"},
    {"milkings", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "a row is",
     "so many milkings together: 2 for days of a cow milked twice; 1 if not said"},
    FIELD_AT,
    FIELD_WHO,
};

/* A row that was understood. */
struct weight {
    size_t line, cow; /* index in weights.cow */
    struct date on;
    struct instant at; /* INSTANT_NONE until a time is found for it */
    double kg, fat_pct, protein_pct, cells_per_ml;
};

struct weights {
    struct dairy *dairy;
    struct instant now;
    const char *cow_name; /* for a file without a column of cows */
    struct weight *list;
    size_t count, room;
    struct cow_row *cow; /* every animal named */
    size_t cows;
    struct weights_view *view;
};

static void add_fault(struct weights *w, size_t line, const char *text)
{
    if (w->view->faults < WEIGHTS_FAULTS_MAX) {
        struct weights_fault *fault = &w->view->fault[w->view->faults];
        fault->line = line;
        (void)snprintf(fault->text, sizeof fault->text, "%.199s", text);
    }
    w->view->faults++;
}

/* ---- reading ---- */

/* The animal's place in w->cow, loaded when it is named for the first time; animals that left count too. */
static int know_cow(struct weights *w, const char *name, size_t *place, struct fail *f)
{
    struct cow_row cow, *list;
    for (*place = 0; *place < w->cows; ++*place)
        if (text_same(w->cow[*place].name, name) || text_same(w->cow[*place].tag, name))
            return 0;
    if (find_cow_ever(w->dairy, name, &cow, f) != 0)
        return -1;
    list = realloc(w->cow, (w->cows + 1) * sizeof *list);
    if (list == NULL)
        return fail_memory(f);
    w->cow = list;
    w->cow[w->cows++] = cow;
    return 0;
}

static int add_weight(struct weights *w, const struct weight_row *row, size_t cow, struct fail *f)
{
    if (w->count == w->room) {
        size_t room = w->room == 0 ? 512 : 2 * w->room;
        struct weight *list = realloc(w->list, room * sizeof *list);
        if (list == NULL)
            return fail_memory(f);
        w->list = list;
        w->room = room;
    }
    w->list[w->count++] = (struct weight){row->line, cow,          row->on,          row->at,
                                          row->kg,   row->fat_pct, row->protein_pct, row->cells_per_ml};
    return 0;
}

static int on_row(void *context, const struct weight_row *row, struct fail *f)
{
    struct weights *w = context;
    struct fail why = {0};
    size_t cow;
    const char *name = row->cow[0] != '\0' ? row->cow : w->cow_name;
    if (!row->good)
        return add_fault(w, row->line, row->wrong), 0;
    if (name == NULL)
        return fail_input(f, "The file does not say whose weights they are; say cow=.");
    if (know_cow(w, name, &cow, &why) != 0) {
        if (why.code != FAIL_REFUSED) {
            *f = why;
            return -1;
        }
        return add_fault(w, row->line, why.text), 0;
    }
    if (row->on.days > instant_date(w->now).days || (instant_known(row->at) && row->at.s > w->now.s))
        return add_fault(w, row->line, "That day is still to come."), 0;
    return add_weight(w, row, cow, f);
}

/* ---- times, and what is there already ---- */

static int by_cow_and_time(const void *a, const void *b)
{
    const struct weight *x = a, *y = b;
    if (x->cow != y->cow)
        return x->cow < y->cow ? -1 : 1;
    if (x->on.days != y->on.days)
        return x->on.days < y->on.days ? -1 : 1;
    if (x->at.s != y->at.s)
        return x->at.s < y->at.s ? -1 : 1;
    return (x->line > y->line) - (x->line < y->line);
}

/* The n-th milking of a day by habit; beyond it an hour later each. */
static struct instant habit_time(const struct dairy *d, struct date on, int n)
{
    struct milking_habit habit = dairy_habit(d);
    struct civil c;
    int last = habit.count > 0 ? habit.minute[habit.count - 1] : 12 * 60;
    int minute = n < habit.count ? habit.minute[n] : last + 60 * (n - habit.count + 1);
    date_to_civil(on, &c);
    c.hour = minute / 60 % 24;
    c.minute = minute % 60;
    return civil_to_instant(&c, NULL);
}

/* Is there milk of hers already: at that time, or on that day where only the day is given? */
static int check_known(struct weights *w, const struct weight *x, bool timed, bool *known, struct fail *f)
{
    struct milk_row milk;
    struct instant from = {x->at.s - 1800}, to = {x->at.s + 1800};
    if (!timed) {
        from = date_start(x->on);
        to = date_start(date_add(x->on, 1));
    }
    return rows_first(w->dairy->store, &milk_table, "WHERE cow_id = ?1 AND at >= ?2 AND at < ?3 LIMIT 1",
                      (struct bind[]){BIND_ID(w->cow[x->cow].id), BIND_AT(from), BIND_AT(to)}, 3, &milk,
                      known, f);
}

/* Reading is the first half of the work, writing the second. */
static void say_progress(const struct dairy *d, size_t done, size_t total)
{
    enum { EVERY = 256 };
    if (d->on_progress != NULL && done % EVERY == 0)
        d->on_progress(d->progress_context, (int64_t)done, (int64_t)total);
}

static int check_records(struct weights *w, struct fail *f)
{
    size_t kept = 0;
    int nth = 0;
    if (w->count > 0) /* a file with a heading alone has no list */
        qsort(w->list, w->count, sizeof *w->list, by_cow_and_time);
    for (size_t i = 0; i < w->count; i++) {
        struct weight x = w->list[i];
        const struct weight *before = kept > 0 ? &w->list[kept - 1] : NULL;
        bool timed = instant_known(x.at), known, same_day;
        char text[200];
        say_progress(w->dairy, i, 2 * w->count);
        same_day = before != NULL && before->cow == x.cow && before->on.days == x.on.days;
        nth = same_day ? nth + 1 : 0;
        if (!timed)
            x.at = habit_time(w->dairy, x.on, nth);
        if (check_known(w, &x, timed, &known, f) != 0)
            return -1;
        if (known || (same_day && before->at.s == x.at.s)) {
            (void)snprintf(text, sizeof text, "%.60s was weighed then already.", w->cow[x.cow].name);
            add_fault(w, x.line, text);
            continue;
        }
        w->list[kept++] = x;
    }
    w->count = kept;
    return 0;
}

/* The list is sorted by cow, then day. */
static void count_cows(struct weights *w)
{
    struct weights_view *v = w->view;
    struct weights_of *of = NULL;
    for (size_t i = 0; i < w->count; i++) {
        const struct weight *x = &w->list[i];
        v->good++;
        v->tests += isfinite(x->fat_pct) || isfinite(x->protein_pct) || isfinite(x->cells_per_ml);
        if (i == 0 || w->list[i - 1].cow != x->cow) {
            of = v->cows < WEIGHTS_COWS_MAX ? &v->cow[v->cows++] : NULL;
            if (of != NULL) {
                (void)snprintf(of->name, sizeof of->name, "%s", w->cow[x->cow].name);
                of->first_on = x->on;
            }
        }
        if (of != NULL) {
            of->rows++;
            of->last_on = x->on;
        }
    }
}

static int by_line(const void *a, const void *b)
{
    const struct weights_fault *x = a, *y = b;
    return (x->line > y->line) - (x->line < y->line);
}

static int load(struct weights *w, const struct form *form, struct fail *f)
{
    static const enum weights_dates dates[] = {DATES_ISO, DATES_MONTH_FIRST, DATES_DAY_FIRST};
    char *text = NULL;
    size_t size;
    memset(w->view, 0, sizeof *w->view);
    w->view->units = dairy_units(w->dairy);
    w->cow_name = form_text(form, "cow", NULL);
    if (file_read(form_text(form, "file", ""), &text, &size, f) != 0)
        return -1;
    int result =
        weights_csv_read(text, size, dates[form_choice(form, "dates", 0)], on_row, w, &w->view->preview, f);
    free(text);
    if (result == 0)
        result = check_records(w, f);
    count_cows(w);
    qsort(w->view->fault, w->view->faults < WEIGHTS_FAULTS_MAX ? w->view->faults : WEIGHTS_FAULTS_MAX,
          sizeof w->view->fault[0], by_line);
    return result;
}

static void release(struct weights *w)
{
    free(w->list);
    free(w->cow);
}

int dairy_weights_look(struct dairy *d, const struct form *form, struct instant now, struct weights_view *out,
                       struct fail *f)
{
    struct weights w = {.dairy = d, .now = now, .view = out};
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    int result = load(&w, form, f);
    release(&w);
    return result;
}

const char *weights_summary(const struct weights_view *v, char *buf, size_t size)
{
    char first[CIVIL_TEXT_MAX], last[CIVIL_TEXT_MAX];
    struct date from = DATE_NONE, to = DATE_NONE;
    (void)snprintf(buf, size, "%zu weight%s", v->good, v->good == 1 ? "" : "s");
    for (size_t i = 0; i < v->cows; i++) {
        (void)text_append(buf, size, "%s%s",
                          i == 0             ? " of "
                          : i + 1 == v->cows ? " and "
                                             : ", ",
                          v->cow[i].name);
        if (!date_known(from) || v->cow[i].first_on.days < from.days)
            from = v->cow[i].first_on;
        if (!date_known(to) || v->cow[i].last_on.days > to.days)
            to = v->cow[i].last_on;
    }
    if (date_known(from))
        (void)text_append(buf, size, ", %s to %s", date_year_text(from, first), date_year_text(to, last));
    return buf;
}

/* ---- the act ---- */

static int insert_tests(struct act *a, const struct weight *x, int64_t cow_id)
{
    struct milk_test_row milk = {
        .cow_id = cow_id, .at = x->at, .fat_mpct = ROW_NONE, .protein_mpct = ROW_NONE};
    struct udder_test_row cells = {.cow_id = cow_id, .at = x->at};
    if (isfinite(x->fat_pct))
        milk.fat_mpct = quantity_milli(x->fat_pct);
    if (isfinite(x->protein_pct))
        milk.protein_mpct = quantity_milli(x->protein_pct);
    if ((isfinite(x->fat_pct) || isfinite(x->protein_pct)) &&
        row_insert(a->dairy->store, &milk_test_table, &milk, NULL, a->fail) != 0)
        return -1;
    if (!(x->cells_per_ml >= 1))
        return 0;
    cells.cells_per_ml = (int64_t)llround(x->cells_per_ml);
    return row_insert(a->dairy->store, &udder_test_table, &cells, NULL, a->fail);
}

static int insert_all(struct act *a, const struct weights *w, int64_t milkings)
{
    for (size_t i = 0; i < w->count; i++) {
        const struct weight *x = &w->list[i];
        say_progress(a->dairy, w->count + i, 2 * w->count);
        struct milk_row milk = {.milking_id = ROW_NONE,
                                .cow_id = w->cow[x->cow].id,
                                .at = x->at,
                                .mass_g = quantity_milli(x->kg),
                                .milkings = milkings};
        if (row_insert(a->dairy->store, &milk_table, &milk, NULL, a->fail) != 0 ||
            insert_tests(a, x, milk.cow_id) != 0)
            return -1;
    }
    return 0;
}

static int take_in(struct act *a, struct weights *w)
{
    const struct weights_view *v = w->view;
    char path[FORM_TEXT_MAX], words[160];
    int64_t milkings = (int64_t)form_number(a->form, "milkings", 1);
    if (milkings < 1 || milkings > 4)
        return fail_input(a->fail, "milkings: 1 to 4 together.");
    if (load(w, a->form, a->fail) != 0)
        return -1;
    if (v->faults > 0)
        return fail_refused(a->fail, "%zu of %zu rows are wrong; row %zu: %.150s Nothing was taken in.",
                            v->faults, v->preview.rows, v->fault[0].line, v->fault[0].text);
    if (v->good == 0)
        return fail_refused(a->fail, "There is no weight in that file.");
    (void)snprintf(path, sizeof path, "%s", form_text(a->form, "file", ""));
    act_say(a, "%s, from %.60s", weights_summary(v, words, sizeof words), basename(path));
    if (w->cows == 1)
        a->cow_id = w->cow[0].id;
    return insert_all(a, w, milkings);
}

static int act_weights(struct act *a)
{
    struct weights w = {.dairy = a->dairy, .now = a->now, .view = malloc(sizeof *w.view)};
    if (w.view == NULL)
        return fail_memory(a->fail);
    int result = take_in(a, &w);
    release(&w);
    free(w.view);
    return result;
}

const struct act_kind acts_weights[] = {
    {"weights", "takes weights in from a CSV file, all of them or none", "file=weights.csv cow=Maud",
     FIELDS(weights_fields), act_weights},
    {0},
};
