#include "core/herd/cells.h"

#include <math.h>

#include "core/base/text.h"

/* The linear score's own scale: a count of BASE_PER_ML has BASE_SCORE. */
#define BASE_PER_ML 100e3
#define BASE_SCORE  3.0

/* clang-format off */
static const struct cmt_facts {
    const char *code, *word;
    double low_per_ml, high_per_ml;
} cmt_table[CMT_SCORES] = {
    [CMT_NEGATIVE] = {"N", "negative", 0,      200e3},
    [CMT_TRACE]    = {"T", "trace",    150e3,  500e3},
    [CMT_1]        = {"1", "weak",     400e3,  1500e3},
    [CMT_2]        = {"2", "distinct", 800e3,  5000e3},
    [CMT_3]        = {"3", "strong",   5000e3, INFINITY},
};
/* clang-format on */

int cmt_parse(const char *text, enum cmt *out, struct fail *f)
{
    for (int i = 0; i < CMT_SCORES; i++)
        if (text_same(text, cmt_table[i].code) || text_same(text, cmt_table[i].word)) {
            *out = (enum cmt)i;
            return 0;
        }
    if (text_same(text, "0") || text_same(text, "-")) {
        *out = CMT_NEGATIVE;
        return 0;
    }
    return fail_input(f, "\"%.40s\" is not a score of the paddle test; write N, T, 1, 2 or 3.", text);
}

const char *cmt_code(enum cmt score)
{
    return cmt_table[score].code;
}

const char *cmt_word(enum cmt score)
{
    return cmt_table[score].word;
}

void cmt_range(enum cmt score, double *low_per_ml, double *high_per_ml)
{
    *low_per_ml = cmt_table[score].low_per_ml;
    *high_per_ml = cmt_table[score].high_per_ml;
}

double cells_linear_score(double cells_per_ml)
{
    return cells_per_ml > 0 ? log2(cells_per_ml / BASE_PER_ML) + BASE_SCORE : NAN;
}

double cells_from_score(double linear_score)
{
    return BASE_PER_ML * exp2(linear_score - BASE_SCORE);
}

double cells_mean_per_ml(const double *cells_per_ml, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += cells_linear_score(cells_per_ml[i]);
    return n > 0 ? cells_from_score(sum / (double)n) : NAN;
}

const char *cells_reading(double linear_score)
{
    static const struct {
        double below;
        const char *words;
    } readings[] = {
        {2, "no sign of infection"},
        {3, "low"},
        {5, "suspect"},
        {7, "inflamed, though the milk looks well"},
        {INFINITY, "near to visible mastitis"},
    };
    for (size_t i = 0; i < sizeof readings / sizeof readings[0]; i++)
        if (linear_score < readings[i].below)
            return readings[i].words;
    return "";
}

int cells_reckon(double cells_per_ml, double linear_score, struct working *w, struct fail *f)
{
    bool by_count = !isnan(cells_per_ml);
    if (by_count == !isnan(linear_score))
        return fail_input(f, "Give either the cells per mL or the linear score.");
    if (by_count && !(cells_per_ml > 0))
        return fail_input(f, "A cell count must be more than 0 per mL, such as 200000.");
    if (!by_count && !(linear_score >= -7 && linear_score <= 20))
        return fail_input(f, "A linear score of %.6g cannot be meant; scores run from 0 to 9.", linear_score);
    if (by_count)
        working_given(w, "cells_per_ml", cells_per_ml, ORIGIN_GIVEN);
    else
        working_given(w, "linear_score", linear_score, ORIGIN_GIVEN);
    working_given(w, "base_per_ml", BASE_PER_ML, ORIGIN_CONSTANT);
    working_given(w, "base_score", BASE_SCORE, ORIGIN_CONSTANT);
    double score = by_count ? cells_linear_score(cells_per_ml) : linear_score;
    double cells = by_count ? cells_per_ml : cells_from_score(linear_score);
    working_step(w, "score = log2(cells / 100 000) + 3 = log2(%.6g / 100 000) + 3 = %.5g", cells, score);
    working_step(w, "read as: %s", cells_reading(score));
    working_result(w, "linear_score", score);
    working_result(w, "cells_per_ml", cells);
    working_source(w, "linear-score");
    working_source(w, "linear-reading");
    return 0;
}
