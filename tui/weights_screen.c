/* Weights from a file: a form asks for the file; what was understood of it is shown, with every row that is
 * wrong; Enter takes it in, all of it or none. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/weights.h"
#include "tui/app.h"
#include "tui/help.h"
#include "tui/kit/busy.h"
#include "tui/kit/draw.h"

struct weights_state {
    struct weights_view view;
    struct form form; /* as it was entered */
    bool looked;      /* the view is of that form */
    struct page page;
};

enum { DO_TAKE = 1, DO_AGAIN };
enum { WHEN_GOOD = 1 };

static const struct keymap_row keys[] = {
    {PRESS_ENTER, 0, NULL, "take in", "takes all these weights in, as one act that can be taken back",
     WHEN_GOOD, DO_TAKE, true},
    {'f', 0, NULL, "file", "names another file, or another order of dates", 0, DO_AGAIN, true},
    {PRESS_UP, 0, "↑↓", "scroll", "scrolls what was understood", 0, 90, false},
    {PRESS_ESC, 0, NULL, "back", "goes back; nothing is taken in", 0, 91, true},
    {0},
};

static const struct keymap_row *weights_keys(const struct app *a, unsigned *now)
{
    const struct weights_state *s = a->weights;
    *now = s != NULL && s->looked && s->view.faults == 0 && s->view.good > 0 ? WHEN_GOOD : 0;
    return keys;
}

/* ---- what was understood ---- */

static void add_faults(struct weights_state *s)
{
    const struct weights_view *v = &s->view;
    if (v->faults == 0)
        return;
    page_add(&s->page, ROLE_TITLE, 0,
             "Rows that are wrong: mend them in the file; nothing is taken in before");
    for (size_t i = 0; i < v->faults && i < WEIGHTS_FAULTS_MAX; i++)
        page_add(&s->page, ROLE_WATCH, 2, "row %zu: %s", v->fault[i].line, v->fault[i].text);
    if (v->faults > WEIGHTS_FAULTS_MAX)
        page_add(&s->page, ROLE_WATCH, 2, "and %zu more", v->faults - WEIGHTS_FAULTS_MAX);
}

static void add_samples(const struct app *a, struct weights_state *s)
{
    const struct weights_preview *p = &s->view.preview;
    char when[CIVIL_TEXT_MAX];
    page_add(&s->page, ROLE_TITLE, 0, "The first rows, as they are understood");
    for (size_t i = 0; i < p->samples; i++) {
        const struct weight_row *row = &p->sample[i];
        char text[160] = "";
        if (isfinite(row->fat_pct))
            (void)text_append(text, sizeof text, ", fat %.2f %%", row->fat_pct);
        if (isfinite(row->protein_pct))
            (void)text_append(text, sizeof text, ", protein %.2f %%", row->protein_pct);
        if (isfinite(row->cells_per_ml))
            (void)text_append(text, sizeof text, ", %.0f cells per mL", row->cells_per_ml);
        page_add(&s->page, ROLE_CHALK, 2, "%s %s %s%s",
                 instant_known(row->at) ? instant_text(row->at, when) : date_year_text(row->on, when),
                 row->cow, app_quantity(a, row->kg, DIM_MASS), text);
    }
}

static void build(struct app *a)
{
    struct weights_state *s = a->weights;
    const struct weights_view *v = &s->view;
    char words[240], first[CIVIL_TEXT_MAX], last[CIVIL_TEXT_MAX];
    page_clear(&s->page);
    page_add(&s->page, v->faults == 0 ? ROLE_STRONG : ROLE_WATCH, 0, "%s%s",
             weights_summary(v, words, sizeof words),
             v->faults == 0 ? ". Enter takes them in." : "; but not all rows are right.");
    page_add_pair(&s->page, 0, ROLE_CHALK, 12, "columns", v->preview.columns);
    if (isfinite(v->preview.least_kg))
        page_add(&s->page, ROLE_CHALK, 0, "from %s to %s a row; %zu rows with fat, protein or cells",
                 app_quantity(a, v->preview.least_kg, DIM_MASS),
                 app_quantity(a, v->preview.most_kg, DIM_MASS), v->tests);
    for (size_t i = 0; i < v->cows; i++)
        page_add(&s->page, ROLE_CHALK, 2, "%s: %zu row%s, %s to %s", v->cow[i].name, v->cow[i].rows, v->cow[i].rows == 1 ? "" : "s",
                 date_year_text(v->cow[i].first_on, first), date_year_text(v->cow[i].last_on, last));
    add_faults(s);
    add_samples(a, s);
}

/* ---- going on ---- */

static unsigned ask_file(struct app *a)
{
    (void)app_form(a, "weights", "Weights from a file: Enter looks at it first");
    if (a->weights->looked)
        app_preset(a, "file", form_text(&a->weights->form, "file", ""));
    form_view_go(&a->form, "file");
    return LOOP_DRAW;
}

static void weights_open(struct app *a)
{
    if (a->weights == NULL)
        a->weights = calloc(1, sizeof *a->weights);
    if (a->weights == NULL)
        return;
    a->weights->looked = false;
    (void)ask_file(a);
}

/* The form was entered: it is looked at, and the form stays when the file cannot be read. */
static int weights_submit(struct app *a, struct fail *f)
{
    struct weights_state *s = a->weights;
    if (dairy_weights_look(a->dairy, &a->form.form, a->now, &s->view, f) != 0)
        return -1;
    s->form = a->form.form;
    s->looked = true;
    build(a);
    return 0;
}

static void weights_closed(struct app *a, bool entered)
{
    if (!entered && !a->weights->looked)
        (void)app_back(a);
}

static void on_progress(void *context, int64_t done, int64_t total)
{
    busy_step(context, done, total);
}

static unsigned take_in(struct app *a)
{
    const struct form *form = &a->weights->form;
    static const char *const fields[] = {"file", "cow", "dates", "milkings"};
    char word[4][FORM_TEXT_MAX + 16];
    const char *words[5] = {NULL};
    struct busy busy;
    int n = 0;
    for (int i = 0; i < 4; i++)
        if (form_text(form, fields[i], NULL) != NULL) {
            (void)snprintf(word[n], sizeof word[n], "%s=%s", fields[i], form_text(form, fields[i], ""));
            words[n] = word[n];
            n++;
        }
    busy_begin(&busy, a->term, &a->clock, "Taking the weights in");
    dairy_on_progress(a->dairy, on_progress, &busy);
    unsigned answer = app_act(a, "weights", words);
    dairy_on_progress(a->dairy, NULL, NULL);
    busy_end(&busy);
    a->weights->looked = false;
    (void)app_back(a);
    return answer;
}

static unsigned weights_press(struct app *a, int key)
{
    unsigned now = 0;
    if (a->weights == NULL)
        return LOOP_NOTHING;
    const struct keymap_row *table = weights_keys(a, &now), *row = keymap_find(table, key, now);
    if (row != NULL && row->id == DO_TAKE)
        return take_in(a);
    if (row != NULL && row->id == DO_AGAIN)
        return ask_file(a);
    return page_press(&a->weights->page, key) ? LOOP_DRAW : LOOP_NOTHING;
}

static void weights_draw(struct app *a, struct rect r)
{
    struct rect bottom = rect_take_bottom(&r, r.rows >= 12 ? 2 : 1);
    draw_bottom(a, bottom);
    draw_rule(r, 0, ROLE_ACCENT, "WEIGHTS FROM A FILE", "all of them or none");
    if (a->weights != NULL && a->weights->looked)
        draw_page(rect_part(r, 1, 1, r.rows - 1, r.cols - 2), &a->weights->page);
}

const struct screen weights_screen = {
    .letter = 0,
    .name = "Weights from a file",
    .does = "takes weights in from a CSV file",
    .open = weights_open,
    .press = weights_press,
    .draw = weights_draw,
    .submit = weights_submit,
    .submits_all = true,
    .closed = weights_closed,
    .keys = weights_keys,
};
