/* How a figure came about. The function that computes a figure fills a struct working (NULL when nobody wants
 * it), so what is shown is what was done: every input with its origin, the steps, the result, the sources and
 * the caution.
 *
 * Names of figures end in their unit, SI: milk_c, volume_l, ice_kg, time_min, k_per_min, ua_w_per_k, heat_kj,
 * dose_ml, strength_pct, target_ppm, vacuum_kpa, due_on (a date), clear_at (a moment). A pure number has no
 * suffix. All functions take w == NULL and then do nothing. */
#ifndef CORE_BASE_WORKING_H
#define CORE_BASE_WORKING_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/quantity.h"

enum origin {
    ORIGIN_GIVEN,    /* typed for this figure */
    ORIGIN_MEASURED, /* read by hand or by a probe */
    ORIGIN_RECORDED, /* a fact in the records */
    ORIGIN_LEARNED,  /* fitted to this dairy's own past */
    ORIGIN_DEFAULT,  /* a usual value, because nothing better is known */
    ORIGIN_CONSTANT, /* from a source */
    ORIGIN_COMPUTED, /* an intermediate step */
};

enum figure_kind { FIGURE_NUMBER, FIGURE_WHOLE, FIGURE_TEXT, FIGURE_YES_NO, FIGURE_NONE };

struct figure {
    char name[32];
    enum figure_kind kind;
    double number;
    char text[80]; /* for FIGURE_TEXT: words, an ISO date or an ISO moment */
    enum origin origin;
    int row; /* -1, or which row of the result's list (one per batch, say) */
};

enum {
    WORKING_GIVEN_MAX = 64,
    WORKING_RESULT_MAX = 128,
    WORKING_STEPS_MAX = 24,
    WORKING_STEP_TEXT = 200,
    WORKING_SOURCES_MAX = 10,
    WORKING_SOURCE_ID = 32,
    WORKING_CAUTIONS_MAX = 6,
};

struct working {
    char title[80];
    struct figure given[WORKING_GIVEN_MAX];
    size_t given_count;
    struct figure result[WORKING_RESULT_MAX];
    size_t result_count;
    const char *rows; /* name of the result's list, or NULL */
    int row_now;      /* where the next result goes: -1 top level, else a row of that list */
    char step[WORKING_STEPS_MAX][WORKING_STEP_TEXT];
    size_t step_count;
    char source[WORKING_SOURCES_MAX][WORKING_SOURCE_ID]; /* ids of assets/sources.csv */
    size_t source_count;
    const char *caution[WORKING_CAUTIONS_MAX]; /* static sentences */
    size_t caution_count;
    char why[WORKING_STEP_TEXT]; /* why a figure does not exist, or "" */
};

void working_init(struct working *w, const char *title);

/* Inputs. A name given again replaces the earlier value. */
void working_given(struct working *w, const char *name, double value, enum origin origin);
void working_given_whole(struct working *w, const char *name, long value, enum origin origin);
void working_given_text(struct working *w, const char *name, const char *text, enum origin origin);

/* Results. NaN becomes "no such figure" (null in JSON); say why with working_why(). */
void working_result(struct working *w, const char *name, double value);
void working_result_whole(struct working *w, const char *name, long value);
void working_result_text(struct working *w, const char *name, const char *text); /* NULL: no such figure */
void working_result_yes(struct working *w, const char *name, bool yes);
void working_result_date(struct working *w, const char *name, struct date d);

/* From here on results belong to row `row` of the list `rows` ("batches"); -1 goes back to the top level. */
void working_row(struct working *w, const char *rows, int row);

/* One line of the derivation, as the textbook would write it. */
void working_step(struct working *w, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* `id` is a row of assets/sources.csv and is copied (tables of data bring their own); `sentence` is static
 * text. Said once however often it is added. */
void working_source(struct working *w, const char *id);
void working_caution(struct working *w, const char *sentence);
void working_why(struct working *w, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The figure of that name among results (row -1 = top level), or NULL. Borrowed. */
const struct figure *working_find(const struct working *w, const char *name, int row);

/* Writes a figure for people: "milk 95 °F", "time 40 min", using the unit in its name. Returns buf. */
const char *figure_format(const struct figure *fig, enum unit_system units, char *buf, size_t size);

/* Its name in words: "ua_w_per_k" -> "ua", "in_hand_min" -> "in hand", "to_45f_min" -> "to 45 °F". Returns buf. */
const char *figure_label(const struct figure *fig, char *buf, size_t size);

/* The word for an origin: "given", "measured", ... */
const char *origin_word(enum origin origin);

#endif
