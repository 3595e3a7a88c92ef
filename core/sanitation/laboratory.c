#include "core/sanitation/laboratory.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/text.h"
#include "core/sanitation/caution.h"

static const char *const measure_words[LAB_MEASURES] = {"plate", "coliform", "cells", "water"};
static const char *const measure_names[LAB_MEASURES] = {"plate count", "coliform count", "cell count",
                                                        "water's coliform count"};
static const char *const rule_words[] = {"single", "last-of", "geometric"};

const char *lab_measure_word(enum lab_measure measure)
{
    return measure_words[measure];
}

const char *lab_measure_name(enum lab_measure measure)
{
    return measure_names[measure];
}

enum { COLUMNS = 13 };

static int read_whole(const struct csv_row *row, size_t column, int *out, struct fail *f)
{
    double value = 0;
    struct fail inner = {0};
    if (row->cell[column][0] != '\0' &&
        quantity_parse(row->cell[column], DIM_COUNT, NULL, &value, &inner) != 0)
        return fail_input(f, "Row %zu: %s", row->line, inner.text);
    *out = (int)fmin(value, 1000);
    return 0;
}

static int check_standard(const struct lab_standard *s, size_t line, struct fail *f)
{
    if (!(s->limit > 0))
        return fail_input(f, "Row %zu: a limit above nothing is needed.", line);
    if (s->rule == LAB_LAST_OF && !(s->over >= 1 && s->of >= s->over && s->of <= 20))
        return fail_input(f, "Row %zu: so many over of the last so many are needed, as 3 of 5.", line);
    if (s->rule == LAB_GEOMETRIC && !(s->months >= 1 && s->months <= 12 && s->per_month >= 1))
        return fail_input(f, "Row %zu: a mean needs months and samples a month, as 2 and 2.", line);
    return 0;
}

static int read_standard(void *context, const struct csv_row *row, struct fail *f)
{
    struct lab_standards *table = context;
    struct lab_standard s = {0};
    int *const numbers[] = {&s.over, &s.of, &s.days, &s.months, &s.per_month};
    if (row->line == 1)
        return 0;
    if (row->count < COLUMNS)
        return fail_input(f, "Row %zu: %zu cells; %d are needed.", row->line, row->count, COLUMNS);
    if (table->count == LAB_STANDARDS_MAX)
        return fail_input(f, "Row %zu: at most %d standards.", row->line, LAB_STANDARDS_MAX);
    int measure = text_find(measure_words, LAB_MEASURES, row->cell[2]);
    int rule = text_find(rule_words, 3, row->cell[5]);
    if (measure < 0)
        return fail_input(f, "Row %zu: \"%.40s\" is not one of plate, coliform, cells, water.", row->line,
                          row->cell[2]);
    if (rule < 0)
        return fail_input(f, "Row %zu: \"%.40s\" is not one of single, last-of, geometric.", row->line,
                          row->cell[5]);
    s.measure = (enum lab_measure)measure;
    s.rule = (enum lab_rule)rule;
    s.below = text_same(row->cell[4], "below");
    if (!s.below && !text_same(row->cell[4], "at-most"))
        return fail_input(f, "Row %zu: \"%.40s\" is not at-most or below.", row->line, row->cell[4]);
    if (quantity_parse(row->cell[3], DIM_NUMBER, NULL, &s.limit, NULL) != 0)
        s.limit = 0;
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        if (read_whole(row, 6 + i, numbers[i], f) != 0)
            return -1;
    if (row->cell[0][0] == '\0' || row->cell[12][0] == '\0' ||
        !text_trim(s.set, sizeof s.set, row->cell[0]) || !text_trim(s.source, sizeof s.source, row->cell[12]))
        return fail_input(f, "Row %zu: the names of set and source are missing or too long.", row->line);
    (void)text_trim(s.place, sizeof s.place, row->cell[1]);
    (void)text_trim(s.use, sizeof s.use, row->cell[11]);
    (void)text_trim(s.note, sizeof s.note, row->count > COLUMNS ? row->cell[COLUMNS] : "");
    if (check_standard(&s, row->line, f) != 0)
        return -1;
    if (lab_standard_find(table, s.set, s.measure) != NULL)
        return fail_input(f, "Row %zu: %s has a %s already.", row->line, s.set, measure_names[s.measure]);
    table->row[table->count++] = s;
    return 0;
}

int lab_standards_parse(const char *text, struct lab_standards *out, struct fail *f)
{
    struct lab_standards table = {.count = 0};
    if (csv_read(text, strlen(text), read_standard, &table, f) != 0)
        return -1;
    *out = table;
    return 0;
}

int lab_standards_load(struct lab_standards *out, struct fail *f)
{
    return lab_standards_parse(asset_text("standards.csv"), out, f);
}

const struct lab_standard *lab_standard_find(const struct lab_standards *table, const char *set,
                                             enum lab_measure measure)
{
    for (size_t i = 0; i < table->count; i++)
        if (table->row[i].measure == measure && text_same(table->row[i].set, set))
            return &table->row[i];
    return NULL;
}

int lab_sample_check(const struct lab_sample *sample, struct instant now, double *hours_left,
                     struct working *w, struct fail *f)
{
    char temp[QUANTITY_TEXT_MAX];
    struct instant until = instant_known(sample->arrived_at) ? sample->arrived_at : now;
    if (!instant_known(sample->drawn_at))
        return fail_input(f, "When was the sample drawn?");
    if (!(sample->hours_allowed > 0))
        return fail_input(f, "How many hours does the laboratory allow from drawing? 30 or 60 are usual.");
    double hours = (double)(until.s - sample->drawn_at.s) / 3600;
    if (hours < 0)
        return fail_refused(f, "The sample cannot arrive before it is drawn.");
    *hours_left = sample->hours_allowed - hours;
    working_given(w, "hours_allowed_h", sample->hours_allowed, ORIGIN_GIVEN);
    working_step(w, "%.1f h since it was drawn", hours);
    working_result(w, "left_h", *hours_left);
    working_source(w, "sample-hours");
    if (*hours_left < 0)
        return fail_refused(f, "The sample is %.0f h old; the laboratory allows %.0f h. Draw a new one.",
                            hours, sample->hours_allowed);
    if (sample->temp_c > temp_c_from_f(LAB_SAMPLE_WARM_F) + 1e-9)
        return fail_refused(
            f,
            "The sample came at %s: over 40 °F it grows on the way and reads high. Draw a new one, "
            "more ice.",
            quantity_format(sample->temp_c, DIM_TEMPERATURE, UNITS_US, temp));
    if (sample->temp_c < 0)
        return fail_refused(f, "The sample came frozen: cells and counts of frozen milk tell nothing.");
    return 0;
}

static bool is_over(const struct lab_standard *s, double value)
{
    return s->below ? value >= s->limit : value > s->limit;
}

/* The n-th newest result up to today (0 = the newest), or NULL. Of one day the later in the list is newer. */
static const struct lab_result *newest(const struct lab_result *results, size_t count, struct date today,
                                       size_t n)
{
    for (size_t i = 0; i < count; i++) {
        size_t newer = 0;
        if (date_diff(results[i].on, today) < 0)
            continue;
        for (size_t j = 0; j < count; j++)
            if (date_diff(results[j].on, today) >= 0 && (results[j].on.days > results[i].on.days ||
                                                         (results[j].on.days == results[i].on.days && j > i)))
                newer++;
        if (newer == n)
            return &results[i];
    }
    return NULL;
}

static void judge_single(const struct lab_standard *s, struct lab_answer *a)
{
    a->counted = 1;
    a->over_count = is_over(s, a->figure) ? 1 : 0;
    a->verdict = a->over_count > 0 ? LAB_BROKEN : LAB_WITHIN;
    (void)snprintf(a->words, sizeof a->words, "The last %s is %.6g, limit %s%.6g.", measure_names[s->measure],
                   a->figure, s->below ? "under " : "", s->limit);
}

static void judge_last_of(const struct lab_standard *s, const struct lab_result *results, size_t count,
                          struct date today, struct lab_answer *a)
{
    int lately = 0; /* over, within the days of the standard, however many samples that is */
    for (size_t i = 0;; i++) {
        const struct lab_result *r = newest(results, count, today, i);
        if (r == NULL)
            break;
        bool over = is_over(s, r->value), counts = i < (size_t)s->of;
        a->counted += counts ? 1 : 0;
        a->over_count += counts && over ? 1 : 0;
        lately += over && date_diff(r->on, today) < s->days ? 1 : 0;
    }
    bool broken = a->over_count >= s->over || lately >= s->over;
    a->verdict = broken ? LAB_BROKEN : is_over(s, a->figure) ? LAB_OVER : LAB_WITHIN;
    (void)snprintf(a->words, sizeof a->words,
                   "%d of the last %d over %.6g; at %d of %d the standard is broken.", a->over_count,
                   a->counted, s->limit, s->over, s->of);
}

/* The same day `months` earlier, or the last day of that month. */
static struct date months_before(struct date d, int months)
{
    struct civil c;
    struct date out;
    date_to_civil(d, &c);
    int month = c.year * 12 + c.month - 1 - months;
    for (int day = c.day; !date_from_ymd(month / 12, month % 12 + 1, day, &out); day--)
        ;
    return out;
}

/* Each month of the window, counted back from today, needs its samples: five in one month and none in the
 * other are not two a month. */
static void judge_geometric(const struct lab_standard *s, const struct lab_result *results, size_t count,
                            struct date today, struct lab_answer *a)
{
    double sum = 0;
    bool enough = true;
    for (int m = 0; m < s->months; m++) {
        struct date to = months_before(today, m), from = months_before(today, m + 1);
        int in_month = 0;
        for (size_t i = 0; i < count; i++) {
            if (results[i].on.days <= from.days || results[i].on.days > to.days)
                continue;
            sum += log(fmax(results[i].value, 1));
            a->over_count += is_over(s, results[i].value) ? 1 : 0;
            in_month++;
        }
        a->counted += in_month;
        enough = enough && in_month >= s->per_month;
    }
    if (!enough) {
        a->verdict = LAB_TOO_FEW;
        a->figure = NAN;
        (void)snprintf(a->words, sizeof a->words,
                       "Needs %d a month over %d months, and there are %d: one test says nothing about this "
                       "standard.",
                       s->per_month, s->months, a->counted);
        return;
    }
    a->figure = exp(sum / a->counted);
    a->verdict = is_over(s, a->figure) ? LAB_BROKEN : LAB_WITHIN;
    (void)snprintf(a->words, sizeof a->words, "Geometric mean of %d samples over %d months %.6g, limit %.6g.",
                   a->counted, s->months, a->figure, s->limit);
}

static void show_answer(const struct lab_standard *s, const struct lab_answer *a, struct working *w)
{
    static const char *const verdicts[] = {"within", "over once", "broken", "too few samples"};
    working_given_text(w, "standard", s->place, ORIGIN_GIVEN);
    working_given_text(w, "measure", measure_names[s->measure], ORIGIN_GIVEN);
    working_given(w, s->measure == LAB_WATER ? "limit_per_100ml" : "limit_per_ml", s->limit, ORIGIN_CONSTANT);
    working_step(w, "%s", a->words);
    if (s->note[0] != '\0')
        working_step(w, "%s", s->note);
    working_result_text(w, "verdict", verdicts[a->verdict]);
    working_result(w, s->measure == LAB_WATER ? "figure_per_100ml" : "figure_per_ml", a->figure);
    if (isnan(a->figure))
        working_why(w, "%s", a->words);
    working_source(w, s->source);
    working_caution(w, caution_text(CAUTION_NOT_SAFETY));
    working_caution(w, caution_text(CAUTION_LOCAL_LAW));
}

int lab_judge(const struct lab_standard *standard, const struct lab_result *results, size_t count,
              struct date today, struct lab_answer *out, struct working *w, struct fail *f)
{
    const struct lab_result *last = newest(results, count, today, 0);
    if (last == NULL)
        return fail_refused(f, "There is no result for the %s yet.", measure_names[standard->measure]);
    for (size_t i = 0; i < count; i++)
        if (!(results[i].value >= 0))
            return fail_input(f, "A count cannot be less than nothing.");
    memset(out, 0, sizeof *out);
    out->figure = last->value;
    switch (standard->rule) {
    case LAB_SINGLE: judge_single(standard, out); break;
    case LAB_LAST_OF: judge_last_of(standard, results, count, today, out); break;
    case LAB_GEOMETRIC: judge_geometric(standard, results, count, today, out); break;
    }
    show_answer(standard, out, w);
    return 0;
}

const char *lab_look_at(enum lab_measure measure, size_t n)
{
    enum { LINES = 6 };
    static const char *const lines[LAB_MEASURES][LINES] = {
        [LAB_PLATE] = {"Was the milk cold in time? Look at that morning's cooling.",
                       "Was the wash over 120 °F to its end, and was nothing left out?",
                       "Gaskets, claw, hose ends, cracks in rubber: milkstone or a film?",
                       "Sanitiser strength by strip, and drained, not rinsed with doubtful water?",
                       "Did the sample go cold and in time?"},
        [LAB_COLIFORM] = {"Udders and teats clean and dry before the cups?",
                          "Did cups fall, or draw bedding in?",
                          "Liners, gaskets and hoses: cracked or past their life?",
                          "Is the water tested? Rinse water can bring coliforms.",
                          "Strainer and jars: dry, and not hosed?"},
        [LAB_CELLS] = {"Strip and paddle test every quarter: whose is it?",
                       "A cow just calved, or late in milk, counts higher.",
                       "Liners past their life, vacuum too high, cups left on too long?",
                       "Post-dip at once, and a dry bed after it?", "Ask the veterinarian before treating."},
        [LAB_WATER] = {"Any repair, flood or dry spell at the well? Disinfect, flush, sample again.",
                       "An air gap at every outlet, no hose end lying in a bucket?",
                       "Until it is good: boil or chlorinate the water that rinses gear.",
                       "Ask the health department what it wants done."},
    };
    return n < LINES ? lines[measure][n] : NULL;
}
