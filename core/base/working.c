#include "core/base/working.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

void working_init(struct working *w, const char *title)
{
    if (w == NULL)
        return;
    memset(w, 0, sizeof *w);
    w->row_now = -1;
    (void)snprintf(w->title, sizeof w->title, "%s", title);
}

/* Finds or adds the figure `name` of row `row`; NULL when the list is full, which working_test checks never
 * happens in the topics there are. */
static struct figure *figure_slot(struct figure *list, size_t *count, size_t max, const char *name, int row)
{
    for (size_t i = 0; i < *count; i++)
        if (list[i].row == row && strcmp(list[i].name, name) == 0)
            return &list[i];
    if (*count == max)
        return NULL;
    struct figure *fig = &list[(*count)++];
    memset(fig, 0, sizeof *fig);
    (void)snprintf(fig->name, sizeof fig->name, "%s", name);
    fig->row = row;
    return fig;
}

static struct figure *given_slot(struct working *w, const char *name, enum origin origin)
{
    if (w == NULL)
        return NULL;
    struct figure *fig = figure_slot(w->given, &w->given_count, WORKING_GIVEN_MAX, name, -1);
    if (fig != NULL)
        fig->origin = origin;
    return fig;
}

static struct figure *result_slot(struct working *w, const char *name)
{
    if (w == NULL)
        return NULL;
    struct figure *fig = figure_slot(w->result, &w->result_count, WORKING_RESULT_MAX, name, w->row_now);
    if (fig != NULL)
        fig->origin = ORIGIN_COMPUTED;
    return fig;
}

static void set_number(struct figure *fig, double value)
{
    if (fig == NULL)
        return;
    fig->kind = isfinite(value) ? FIGURE_NUMBER : FIGURE_NONE;
    fig->number = isfinite(value) ? value : 0;
}

static void set_whole(struct figure *fig, long value)
{
    if (fig == NULL)
        return;
    fig->kind = FIGURE_WHOLE;
    fig->number = (double)value;
}

static void set_text(struct figure *fig, const char *text)
{
    if (fig == NULL)
        return;
    fig->kind = text == NULL ? FIGURE_NONE : FIGURE_TEXT;
    (void)snprintf(fig->text, sizeof fig->text, "%s", text == NULL ? "" : text);
}

void working_given(struct working *w, const char *name, double value, enum origin origin)
{
    set_number(given_slot(w, name, origin), value);
}

void working_given_whole(struct working *w, const char *name, long value, enum origin origin)
{
    set_whole(given_slot(w, name, origin), value);
}

void working_given_text(struct working *w, const char *name, const char *text, enum origin origin)
{
    set_text(given_slot(w, name, origin), text);
}

void working_result(struct working *w, const char *name, double value)
{
    set_number(result_slot(w, name), value);
}

void working_result_whole(struct working *w, const char *name, long value)
{
    set_whole(result_slot(w, name), value);
}

void working_result_text(struct working *w, const char *name, const char *text)
{
    set_text(result_slot(w, name), text);
}

void working_result_yes(struct working *w, const char *name, bool yes)
{
    struct figure *fig = result_slot(w, name);
    if (fig == NULL)
        return;
    fig->kind = FIGURE_YES_NO;
    fig->number = yes;
}

void working_result_date(struct working *w, const char *name, struct date d)
{
    char iso[CIVIL_TEXT_MAX];
    set_text(result_slot(w, name), date_known(d) ? date_iso(d, iso) : NULL);
}

void working_row(struct working *w, const char *rows, int row)
{
    if (w == NULL)
        return;
    w->row_now = row;
    if (rows != NULL)
        w->rows = rows;
}

void working_step(struct working *w, const char *format, ...)
{
    if (w == NULL || w->step_count == WORKING_STEPS_MAX)
        return;
    va_list args;
    va_start(args, format);
    (void)vsnprintf(w->step[w->step_count++], WORKING_STEP_TEXT, format, args);
    va_end(args);
}

void working_source(struct working *w, const char *id)
{
    if (w == NULL || *id == '\0')
        return;
    for (size_t i = 0; i < w->source_count; i++)
        if (strcmp(w->source[i], id) == 0)
            return;
    if (w->source_count < WORKING_SOURCES_MAX)
        (void)snprintf(w->source[w->source_count++], WORKING_SOURCE_ID, "%s", id);
}

void working_caution(struct working *w, const char *sentence)
{
    if (w == NULL)
        return;
    for (size_t i = 0; i < w->caution_count; i++)
        if (strcmp(w->caution[i], sentence) == 0)
            return;
    if (w->caution_count < WORKING_CAUTIONS_MAX)
        w->caution[w->caution_count++] = sentence;
}

void working_why(struct working *w, const char *format, ...)
{
    if (w == NULL)
        return;
    va_list args;
    va_start(args, format);
    (void)vsnprintf(w->why, sizeof w->why, format, args);
    va_end(args);
}

const struct figure *working_find(const struct working *w, const char *name, int row)
{
    for (size_t i = 0; i < w->result_count; i++)
        if (w->result[i].row == row && strcmp(w->result[i].name, name) == 0)
            return &w->result[i];
    return NULL;
}

/* What the end of a figure's name says about its unit. The longest ending wins, so the table runs from long
 * to short. */
static const struct suffix {
    const char *end;
    enum dimension dim;
    double to_si;      /* figure's unit -> the dimension's SI unit */
    const char *shown; /* a unit text used as it is, when the figure is not converted for people */
} suffixes[] = {
    {"_mcal_per_kg", DIM_NUMBER,           1,    "Mcal/kg"},
    {"_w_per_m2k",   DIM_NUMBER,           1,    "W/m2K"  },
    {"_kj_per_kgk",  DIM_NUMBER,           1,    "kJ/kgK" },
    {"_kj_per_kg",   DIM_NUMBER,           1,    "kJ/kg"  },
    {"_kj_per_lk",   DIM_NUMBER,           1,    "kJ/LK"  },
    {"_w_per_mk",    DIM_NUMBER,           1,    "W/mK"   },
    {"_k_per_w",     DIM_NUMBER,           1,    "K/W"    },
    {"_w_per_k",     DIM_CONDUCTANCE,      1,    NULL     },
    {"_kg_per_l",    DIM_NUMBER,           1,    "kg/L"   },
    {"_kj_per_k",    DIM_NUMBER,           1,    "kJ/K"   },
    {"_kg_per_day",  DIM_NUMBER,           1,    "kg/day" },
    {"_per_min",     DIM_RATE,             1,    NULL     },
    {"_per_ml",      DIM_DENSITY_COUNT,    1,    NULL     },
    {"_kg_dm",       DIM_NUMBER,           1,    "kg DM"  },
    {"_mcal",        DIM_NUMBER,           1,    "Mcal"   },
    {"_days",        DIM_NUMBER,           1,    "days"   },
    {"_tsp",         DIM_NUMBER,           1,    "tsp"    },
    {"_pct",         DIM_PERCENT,          1,    NULL     },
    {"_ppm",         DIM_CONCENTRATION,    1,    NULL     },
    {"_kpa",         DIM_PRESSURE,         1,    NULL     },
    {"_min",         DIM_DURATION,         60,   NULL     },
    {"_kj",          DIM_NUMBER,           1,    "kJ"     },
    {"_kg",          DIM_MASS,             1,    NULL     },
    {"_lb",          DIM_NUMBER,           1,    "lb"     },
    {"_ml",          DIM_NUMBER,           1,    "mL"     },
    {"_mm",          DIM_NUMBER,           1,    "mm"     },
    {"_c",           DIM_TEMPERATURE,      1,    NULL     },
    {"_f",           DIM_NUMBER,           1,    "°F"    },
    {"_k",           DIM_TEMPERATURE_STEP, 1,    NULL     },
    {"_l",           DIM_VOLUME,           1,    NULL     },
    {"_h",           DIM_DURATION,         3600, NULL     },
    {"_g",           DIM_NUMBER,           1,    "g"      },
    {"_s",           DIM_NUMBER,           1,    "s"      },
    {"_m",           DIM_LENGTH,           1,    NULL     },
    {"_d",           DIM_NUMBER,           1,    "days"   },
    {"_on",          DIM_NUMBER,           1,    ""       },
    {"_at",          DIM_NUMBER,           1,    ""       },
};

static const struct suffix *suffix_of(const char *name)
{
    size_t n = strlen(name);
    for (size_t i = 0; i < sizeof suffixes / sizeof suffixes[0]; i++) {
        size_t m = strlen(suffixes[i].end);
        if (n > m && strcmp(name + n - m, suffixes[i].end) == 0)
            return &suffixes[i];
    }
    return NULL;
}

/* "45f" and "8c" are temperatures that a name speaks of: "45 °F", "8 °C". Returns the length of the word, 0: it is none. */
static size_t degrees_word(const char *name, size_t n, bool at_start)
{
    size_t digits = 0;
    while (digits < n && name[digits] >= '0' && name[digits] <= '9')
        digits++;
    bool unit = digits < n && (name[digits] == 'f' || name[digits] == 'c');
    bool ends = digits + 1 == n || (digits + 1 < n && name[digits + 1] == '_');
    return at_start && digits > 0 && unit && ends ? digits + 1 : 0;
}

const char *figure_label(const struct figure *fig, char *buf, size_t size)
{
    const struct suffix *suffix = suffix_of(fig->name);
    const char *name = fig->name;
    size_t n = strlen(name) - (suffix == NULL ? 0 : strlen(suffix->end));
    buf[0] = '\0';
    for (size_t i = 0; i < n; i++) {
        size_t degrees = degrees_word(name + i, n - i, i == 0 || name[i - 1] == '_');
        if (degrees > 0) {
            (void)text_append(buf, size, "%.*s °%c", (int)degrees - 1, name + i, name[i + degrees - 1] == 'f' ? 'F' : 'C');
            i += degrees - 1;
        } else {
            (void)text_append(buf, size, "%c", name[i] == '_' ? ' ' : name[i]);
        }
    }
    return buf;
}

const char *figure_format(const struct figure *fig, enum unit_system units, char *buf, size_t size)
{
    char text[QUANTITY_TEXT_MAX];
    const struct suffix *suffix = suffix_of(fig->name);
    switch (fig->kind) {
    case FIGURE_NONE: (void)snprintf(buf, size, "none"); return buf;
    case FIGURE_TEXT: (void)snprintf(buf, size, "%s", fig->text); return buf;
    case FIGURE_YES_NO: (void)snprintf(buf, size, fig->number != 0 ? "yes" : "no"); return buf;
    case FIGURE_NUMBER:
    case FIGURE_WHOLE: break;
    }
    if (suffix == NULL)
        (void)snprintf(buf, size, "%.6g", fig->number);
    else if (suffix->shown != NULL)
        (void)snprintf(buf, size, "%.5g %s", fig->number, suffix->shown);
    else if (suffix->dim == DIM_DURATION && fabs(fig->number * suffix->to_si) < 7200)
        (void)snprintf(buf, size, "%.1f min", fig->number * suffix->to_si / 60);
    else
        (void)snprintf(buf, size, "%s",
                       quantity_format(fig->number * suffix->to_si, suffix->dim, units, text));
    return buf;
}

const char *origin_word(enum origin origin)
{
    static const char *const words[] = {
        [ORIGIN_GIVEN] = "given",       [ORIGIN_MEASURED] = "measured", [ORIGIN_RECORDED] = "recorded",
        [ORIGIN_LEARNED] = "learned",   [ORIGIN_DEFAULT] = "default",   [ORIGIN_CONSTANT] = "constant",
        [ORIGIN_COMPUTED] = "computed",
    };
    return words[origin];
}
