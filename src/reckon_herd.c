/* Topics of core/herd. */
#include "src/reckon.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/csv.h"
#include "core/base/file.h"
#include "core/base/text.h"
#include "core/herd/body.h"
#include "core/herd/cells.h"
#include "core/herd/corrected.h"
#include "core/herd/hold.h"
#include "core/herd/treatment.h"
#include "core/herd/wilmink.h"
#include "core/herd/wood.h"
#include "core/herd/yield_total.h"

#define FIELDS(table) (table), sizeof(table) / sizeof(table)[0]

/* Reads a whole CSV file row by row. */
static int read_csv_file(const char *path, csv_row_fn on_row, void *context, struct fail *f)
{
    char *text = NULL;
    size_t size;
    if (file_read(path, &text, &size, f) != 0)
        return -1;
    int result = csv_read(text, size, on_row, context, f);
    free(text);
    return result;
}

static bool is_number(const char *cell)
{
    return isdigit((unsigned char)cell[0]) || ((cell[0] == '-' || cell[0] == '.') && cell[1] != '\0');
}

/* ---- lactation ---- */

enum { LACTATION_DAYS = 305 };

static const struct field lactation_fields[] = {
    {"file", FIELD_FILE, DIM_NUMBER, FIELD_REQUIRED, NULL, "file",
     "a CSV file with a row day,kg for each weight"},
};

struct yield_list {
    struct yield_point point[WOOD_POINTS_MAX];
    size_t n;
};

static int on_yield_row(void *context, const struct csv_row *row, struct fail *f)
{
    struct yield_list *list = context;
    struct yield_point p;
    if (row->line == 1 && !is_number(row->cell[0]))
        return 0; /* headings */
    if (row->count < 2 || row->cell[1][0] == '\0')
        return 0; /* not weighed that day */
    if (quantity_parse(row->cell[0], DIM_NUMBER, NULL, &p.t, NULL) != 0 ||
        quantity_parse(row->cell[1], DIM_MASS, "kg", &p.y, NULL) != 0)
        return fail_input(f, "Row %zu: \"%.30s,%.30s\" is not a day and its kg; write rows like 12,22.4.",
                          row->line, row->cell[0], row->cell[1]);
    if (list->n == WOOD_POINTS_MAX)
        return fail_refused(f, "There are more than %d weights in the file.", WOOD_POINTS_MAX);
    list->point[list->n++] = p;
    return 0;
}

static int by_time(const void *a, const void *b)
{
    double x = ((const struct yield_point *)a)->t, y = ((const struct yield_point *)b)->t;
    return (x > y) - (x < y);
}

static void compare_wilmink(const struct yield_list *list, struct working *w)
{
    struct wilmink curve;
    double sse;
    if (wilmink_fit(list->point, list->n, &curve, &sse, NULL, NULL) != 0)
        return;
    working_step(w, "for comparison, a + b t + c e^(-0.05 t): a %.6g, b %.6g, c %.6g, sum of squares %.6g",
                 curve.a, curve.b, curve.c, sse);
    working_source(w, "wilmink-1987");
}

static int reckon_lactation(const struct form *form, struct working *w, struct fail *f)
{
    struct yield_list list = {.n = 0};
    struct wood_fit fit;
    struct yield_sum sum;
    if (read_csv_file(form_text(form, "file", ""), on_yield_row, &list, f) != 0)
        return -1;
    working_given_text(w, "file", form_text(form, "file", ""), ORIGIN_GIVEN);
    qsort(list.point, list.n, sizeof list.point[0], by_time);
    if (wood_fit(list.point, list.n, &fit, w, f) != 0 ||
        yield_sum_days(list.point, list.n, 1, LACTATION_DAYS, &fit.curve, &sum, f) != 0)
        return -1;
    working_result(w, "total_305_kg", sum.kg);
    working_step(w,
                 "305 days: %d weights added up, %d days by a straight line between weights, %d by the curve",
                 sum.recorded_days, sum.linear_days, sum.curve_days);
    compare_wilmink(&list, w);
    return 0;
}

/* ---- interval ---- */

static const struct field interval_fields[] = {
    {"file", FIELD_FILE, DIM_NUMBER, FIELD_REQUIRED, NULL, "file",
     "a CSV file with a row date,kg or date,kg,fat_pct for each test"},
    {"calved", FIELD_DATE, DIM_NUMBER, FIELD_REQUIRED, NULL, "calved", "the day she calved"},
    {"end", FIELD_DATE, DIM_NUMBER, FIELD_REQUIRED, NULL, "end", "the day the lactation ended"},
};

enum { TESTS_MAX = 400 };

struct test_list {
    struct milk_test test[TESTS_MAX];
    size_t n;
};

static int on_test_row(void *context, const struct csv_row *row, struct fail *f)
{
    struct test_list *list = context;
    struct milk_test t = {.fat_pct = NAN};
    if (row->line == 1 && !is_number(row->cell[0]))
        return 0; /* headings */
    if (list->n == TESTS_MAX)
        return fail_refused(f, "There are more than %d tests in the file.", TESTS_MAX);
    if (date_parse(row->cell[0], &t.on, f) != 0)
        return -1;
    if (row->count < 2 || quantity_parse(row->cell[1], DIM_MASS, "kg", &t.milk_kg, NULL) != 0)
        return fail_input(f, "Row %zu has no kg of milk; write rows like 2026-04-08,28.2,3.65.", row->line);
    if (row->count > 2 && row->cell[2][0] != '\0' &&
        quantity_parse(row->cell[2], DIM_PERCENT, "%", &t.fat_pct, f) != 0)
        return -1;
    list->test[list->n++] = t;
    return 0;
}

static int by_date(const void *a, const void *b)
{
    return date_diff(((const struct milk_test *)b)->on, ((const struct milk_test *)a)->on);
}

static int reckon_interval(const struct form *form, struct working *w, struct fail *f)
{
    struct test_list list = {.n = 0};
    struct interval_total total;
    if (read_csv_file(form_text(form, "file", ""), on_test_row, &list, f) != 0)
        return -1;
    working_given_text(w, "file", form_text(form, "file", ""), ORIGIN_GIVEN);
    qsort(list.test, list.n, sizeof list.test[0], by_date);
    return interval_method(list.test, list.n, form_date(form, "calved", DATE_NONE),
                           form_date(form, "end", DATE_NONE), &total, w, f);
}

/* ---- fcm, scc, weight ---- */

static const struct field fcm_fields[] = {
    {"milk", FIELD_QUANTITY, DIM_MASS, FIELD_REQUIRED, NULL, "milk", "weight of the milk: 30kg, 66lb"},
    {"fat", FIELD_QUANTITY, DIM_PERCENT, FIELD_REQUIRED, NULL, "fat", "fat: 4.2%"},
    {"protein", FIELD_QUANTITY, DIM_PERCENT, 0, NULL, "protein", "protein, for energy-corrected milk: 3.4%"},
};

static int reckon_fcm(const struct form *form, struct working *w, struct fail *f)
{
    (void)f;
    corrected_reckon(form_number(form, "milk", NAN), form_number(form, "fat", NAN),
                     form_number(form, "protein", NAN), w);
    return 0;
}

static const struct field scc_fields[] = {
    {"cells", FIELD_QUANTITY, DIM_DENSITY_COUNT, 0, NULL, "cells", "cells per mL: 200000"},
    {"score", FIELD_QUANTITY, DIM_NUMBER, 0, NULL, "score", "linear score: 4"},
};

static int reckon_scc(const struct form *form, struct working *w, struct fail *f)
{
    return cells_reckon(form_number(form, "cells", NAN), form_number(form, "score", NAN), w, f);
}

static const struct field weight_fields[] = {
    {"girth", FIELD_QUANTITY, DIM_LENGTH, FIELD_REQUIRED, NULL, "heart girth",
     "tape around her just behind the front legs: 70in, 178cm"},
    {"length", FIELD_QUANTITY, DIM_LENGTH, 0, NULL, "length",
     "point of shoulder to pin bone, for any breed: 65in, 165cm"},
};

static int reckon_weight(const struct form *form, struct working *w, struct fail *f)
{
    double kg;
    return weight_reckon(form_number(form, "girth", NAN), form_number(form, "length", NAN), &kg, w, f);
}

/* ---- hold ---- */

static const struct field hold_fields[] = {
    {"last_dose", FIELD_MOMENT, DIM_NUMBER, FIELD_REQUIRED, NULL, "last dose",
     "when the last dose was given"},
    {"hours", FIELD_TEXT, DIM_NUMBER, FIELD_REQUIRED, NULL, "milk hours",
     "milk withholding as the label says it: 96h, 4d; a bare number is hours"},
    {"milked", FIELD_TEXT, DIM_NUMBER, 0, NULL, "milked",
     "milkings, as a list: 2026-05-01T06:00,2026-05-02T06:00"},
    {"habit", FIELD_TEXT, DIM_NUMBER, 0, NULL, "habit",
     "or the times of day she is milked: 06:00 or 06:00,18:00"},
};

enum { MILKINGS_MAX = 64 };

struct milking_list {
    struct instant at[MILKINGS_MAX];
    size_t n;
};

static int by_moment(const void *a, const void *b)
{
    int64_t x = ((const struct instant *)a)->s, y = ((const struct instant *)b)->s;
    return (x > y) - (x < y);
}

static int read_milkings(const char *text, struct instant now, struct milking_list *list, struct fail *f)
{
    char item[CIVIL_TEXT_MAX];
    while (list_next(&text, ',', item, sizeof item)) {
        if (list->n == MILKINGS_MAX)
            return fail_input(f, "At most %d milkings can be listed.", MILKINGS_MAX);
        if (instant_parse(item, now, &list->at[list->n++], f) != 0)
            return -1;
    }
    qsort(list->at, list->n, sizeof list->at[0], by_moment);
    return 0;
}

static int by_minute(const void *a, const void *b)
{
    return *(const int *)a - *(const int *)b;
}

static int read_habit(const char *text, struct milking_habit *habit, struct fail *f)
{
    char item[CIVIL_TEXT_MAX];
    const int most = sizeof habit->minute / sizeof habit->minute[0];
    while (list_next(&text, ',', item, sizeof item)) {
        struct instant at;
        struct civil c;
        if (habit->count == most)
            return fail_input(f, "At most %d times of day can be listed.", most);
        if (strchr(item, '-') != NULL || instant_parse(item, (struct instant){0}, &at, NULL) != 0)
            return fail_input(f, "\"%.30s\" is not a time of day; write 06:00.", item);
        civil_from_instant(at, &c);
        habit->minute[habit->count++] = c.hour * 60 + c.minute;
    }
    qsort(habit->minute, (size_t)habit->count, sizeof habit->minute[0], by_minute);
    return 0;
}

static const char *moment_or_null(struct instant t, char iso[CIVIL_TEXT_MAX])
{
    return instant_known(t) ? instant_iso_local(t, iso) : NULL;
}

/* Judges every listed milking from the dose on: how many are poured away, and which is the first that is
 * kept. */
static struct instant judge_milkings(const struct hold_facts *facts, const struct milking_list *list,
                                     long *discarded, struct working *w)
{
    char iso[CIVIL_TEXT_MAX];
    struct hold_state state;
    struct instant first = INSTANT_NONE;
    *discarded = 0;
    for (size_t i = 0; i < list->n; i++) {
        if (list->at[i].s < facts->holds[0].last_dose_at.s)
            continue;
        hold_state(facts, list->at[i], &state, NULL);
        working_step(w, "%s, %.6g h after the dose: %s", instant_iso_local(list->at[i], iso),
                     (double)(list->at[i].s - facts->holds[0].last_dose_at.s) / 3600, hold_verdict(&state));
        *discarded += !state.keep;
        if (state.keep && !instant_known(first))
            first = list->at[i];
    }
    return first;
}

static void give_hold(const struct hold *hold, const struct milking_list *milkings, const char *habit,
                      struct working *w)
{
    char iso[CIVIL_TEXT_MAX], name[32];
    working_given_text(w, "last_dose_at", instant_iso_local(hold->last_dose_at, iso), ORIGIN_GIVEN);
    working_given(w, "label_h", hold->milk_hours, ORIGIN_GIVEN);
    for (size_t i = 0; i < milkings->n; i++) {
        (void)snprintf(name, sizeof name, "milked_%zu_at", i + 1);
        working_given_text(w, name, instant_iso_local(milkings->at[i], iso), ORIGIN_GIVEN);
    }
    if (habit[0] != '\0')
        working_given_text(w, "habit", habit, ORIGIN_GIVEN);
    working_source(w, "withhold-strict");
    working_source(w, "label-governs");
    working_caution(w, hold_caution_interval);
}

/* The first milking that is kept, of the list or by habit after it; counts those poured away before. */
static struct instant first_kept(const struct hold_facts *facts, const struct milking_list *milkings,
                                 const struct milking_habit *habit, long *discarded, struct working *w)
{
    int poured = 0;
    struct instant first = judge_milkings(facts, milkings, discarded, w);
    struct instant from = facts->holds[0].last_dose_at;
    if (instant_known(first) || habit->count == 0)
        return first;
    if (milkings->n > 0 && milkings->at[milkings->n - 1].s > from.s)
        from = milkings->at[milkings->n - 1];
    first = hold_first_kept_by_habit(facts, habit, from, &poured);
    *discarded += poured;
    return first;
}

static int reckon_hold(const struct form *form, struct working *w, struct fail *f)
{
    char iso[CIVIL_TEXT_MAX];
    struct hold hold = {.kind = HOLD_TREATMENT,
                        .name = "treatment",
                        .from_at = INSTANT_NONE,
                        .last_dose_at = form_moment(form, "last_dose", INSTANT_NONE),
                        .meat_days = NAN,
                        .until_at = INSTANT_NONE,
                        .lifted_at = INSTANT_NONE};
    const struct hold_facts facts = {.holds = &hold, .hold_count = 1};
    struct milking_list milkings = {.n = 0};
    struct milking_habit habit = {.count = 0};
    struct hold_state at_dose;
    long discarded;
    if (withhold_hours_parse(form_text(form, "hours", ""), &hold.milk_hours, f) != 0 ||
        read_milkings(form_text(form, "milked", ""), form->now, &milkings, f) != 0 ||
        read_habit(form_text(form, "habit", ""), &habit, f) != 0)
        return -1;
    give_hold(&hold, &milkings, form_text(form, "habit", ""), w);
    hold_state(&facts, hold.last_dose_at, &at_dose, NULL);
    working_step(w, "last dose + %g elapsed hours = %s; milk is kept if milked strictly after that",
                 hold.milk_hours, instant_iso_local(at_dose.clear_at, iso));
    struct instant first = first_kept(&facts, &milkings, &habit, &discarded, w);
    working_result_text(w, "clear_at", moment_or_null(at_dose.clear_at, iso));
    working_result_text(w, "first_kept", moment_or_null(first, iso));
    working_result_whole(w, "discarded", discarded);
    if (!instant_known(first))
        working_why(w, milkings.n > 0 ? "none of the listed milkings is after the moment at which it clears"
                                      : "no milking is listed: give milked= or habit=");
    return 0;
}

/* clang-format off */
const struct reckon_topic reckon_herd[] = {
    {"lactation", "Wood's curve through the weights of one lactation: peak, persistency, 305-day milk",
     "file=weights.csv", FIELDS(lactation_fields), reckon_lactation},
    {"interval", "milk and fat of a lactation from tests weeks apart (test interval method)",
     "file=tests.csv calved=2025-03-25 end=2026-01-03", FIELDS(interval_fields), reckon_interval},
    {"fcm", "milk corrected for its fat, and for fat and protein, each variant under its own name",
     "milk=30kg fat=4.2% protein=3.4%", FIELDS(fcm_fields), reckon_fcm},
    {"scc", "linear score of a cell count, or the count of a score", "cells=200000", FIELDS(scc_fields), reckon_scc},
    {"hold", "when milk may be kept again after a treatment, and which milkings are poured away",
     "last_dose=2026-05-01T06:00 hours=96 milked=2026-05-02T06:00,2026-05-05T06:00,2026-05-06T06:00",
     FIELDS(hold_fields), reckon_hold},
    {"weight", "weight from a tape", "girth=70in length=65in", FIELDS(weight_fields), reckon_weight},
    {0},
};
/* clang-format on */
