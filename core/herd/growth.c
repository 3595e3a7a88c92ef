#include "core/herd/growth.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/text.h"

#define DAYS_PER_MONTH (365.25 / 12)

static const struct measure_facts {
    int column;
    const char *name, *figure, *usual;
} measures[GROWTH_MEASURES] = {
    [GROWTH_WEIGHT_KG] = {2, "weight", "measured_kg", "usual_kg"},
    [GROWTH_GIRTH_CM] = {3, "girth", "measured_cm", "usual_cm"},
    [GROWTH_HEIGHT_CM] = {4, "height", "measured_cm", "usual_cm"},
};

enum { SOURCE_COLUMN = 5 };

struct age_point {
    double months, value; /* NaN: none */
    char source[BREED_SOURCE_MAX];
};

/* The two rows of the table on either side of the age. */
struct growth_search {
    const char *breed;
    int column;
    double months;
    struct age_point before, after;
};

static int on_row(void *context, const struct csv_row *row, struct fail *f)
{
    (void)f;
    struct growth_search *s = context;
    if (row->line == 1 || row->count <= SOURCE_COLUMN || !text_same(row->cell[0], s->breed) ||
        row->cell[s->column][0] == '\0')
        return 0;
    struct age_point p = {.months = strtod(row->cell[1], NULL), .value = strtod(row->cell[s->column], NULL)};
    (void)snprintf(p.source, sizeof p.source, "%.*s", BREED_SOURCE_MAX - 1, row->cell[SOURCE_COLUMN]);
    if (p.months <= s->months)
        s->before = p;
    if (p.months >= s->months && isnan(s->after.value))
        s->after = p;
    return 0;
}

static double between(const struct growth_search *s)
{
    const struct age_point *a = &s->before, *b = &s->after;
    if (isnan(a->value) || isnan(b->value))
        return NAN;
    if (b->months <= a->months)
        return a->value;
    return a->value + (b->value - a->value) * (s->months - a->months) / (b->months - a->months);
}

static void growth_working(const struct growth_search *s, enum growth_measure measure, double measured,
                           const struct growth *g, struct working *w)
{
    const struct measure_facts *m = &measures[measure];
    working_given(w, "age_days", s->months * DAYS_PER_MONTH, ORIGIN_RECORDED);
    working_given(w, m->figure, measured, ORIGIN_MEASURED);
    working_result(w, m->usual, g->usual);
    working_result(w, "of_usual_pct", g->percent);
    if (isnan(g->usual)) {
        working_why(w, "there is no table of %s for that breed at that age", m->name);
        return;
    }
    working_step(w, "table: %.5g at %.3g months, %.5g at %.3g months; a straight line between",
                 s->before.value, s->before.months, s->after.value, s->after.months);
    working_source(w, s->before.source);
    working_source(w, s->after.source);
}

int growth_compare(const char *breed, enum growth_measure measure, double age_days, double measured,
                   struct growth *out, struct working *w, struct fail *f)
{
    const char *text = asset_text("growth.csv");
    struct growth_search s = {.breed = breed,
                              .column = measures[measure].column,
                              .months = age_days / DAYS_PER_MONTH,
                              .before = {.value = NAN},
                              .after = {.value = NAN}};
    if (csv_read(text, strlen(text), on_row, &s, f) != 0)
        return -1;
    out->usual = between(&s);
    out->percent = 100 * measured / out->usual;
    (void)snprintf(out->source, sizeof out->source, "%s", isnan(out->usual) ? "" : s.after.source);
    growth_working(&s, measure, measured, out, w);
    return 0;
}
