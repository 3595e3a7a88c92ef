#include "core/milk/taste.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/form.h"
#include "core/base/text.h"
#include "core/milk/keeping.h"

#define SUPPORT_FACTOR     3.0

#define FAHRENHEIT(temp_f) (((temp_f)-32) / 1.8)

enum evidence_kind {
    EVIDENCE_HIGH,   /* for it from `yes` up, against it from `no` down, silent between */
    EVIDENCE_LOW,    /* for it from `yes` down, against it from `no` up */
    EVIDENCE_MONTHS, /* for it from month `yes` to month `no`, over the turn of the year; else against */
    EVIDENCE_YES,    /* a plain yes or no */
};

/* How a fact of the log speaks for or against a suspect. 45 °F and the months are those of the flavour table;
 * the other limits are common practice, no source. */
struct evidence {
    const char *word; /* as flavours.csv says it */
    enum taste_fact fact;
    enum evidence_kind kind;
    double yes, no;
    enum dimension dim; /* of the value in the words, with the factor to its SI unit */
    double to_si;
    const char *before; /* words around the value; or, without a value: when for it, when against it */
    const char *after;
};

/* clang-format off */
#define MONTHS(word, from, until, yes, no) {word, TASTE_MONTH, EVIDENCE_MONTHS, from, until, DIM_NUMBER, 1, yes, no}
#define NOTICED(word, fact, yes, no)       {word, fact, EVIDENCE_YES, 1, 0, DIM_NUMBER, 1, yes, no}

static const struct evidence evidences[] = {
    {"slow-chill",     TASTE_TO_40F_MIN,       EVIDENCE_HIGH, 120,   60,    DIM_DURATION,      60,    "it took ", " to come to 40 °F"},
    {"warm-fridge",    TASTE_FRIDGE_MAX_C,     EVIDENCE_HIGH, FAHRENHEIT(45), FAHRENHEIT(40), DIM_TEMPERATURE, 1, "the refrigerator reached ", ""},
    {"old",            TASTE_LIFE_USED,        EVIDENCE_HIGH, 0.8,   0.4,   DIM_PERCENT,       100,   "", " of its life was used"},
    {"feed-change",    TASTE_FEED_CHANGE_DAYS, EVIDENCE_LOW,  3,     14,    DIM_NUMBER,        1,     "feed was changed ", " days before"},
    {"fed-before",     TASTE_FED_BEFORE_H,     EVIDENCE_LOW,  4,     8,     DIM_DURATION,      3600,  "strong feed was given ", " before"},
    {"fresh-cow",      TASTE_CALVED_DAYS,      EVIDENCE_LOW,  42,    90,    DIM_NUMBER,        1,     "a cow calved ", " days before"},
    {"late-lactation", TASTE_DAYS_IN_MILK,     EVIDENCE_HIGH, 250,   150,   DIM_NUMBER,        1,     "in milk for ", " days"},
    {"strong-mix",     TASTE_MIX_PPM,          EVIDENCE_HIGH, 200,   100,   DIM_CONCENTRATION, 1,     "the mix had ", ""},
    {"treated",        TASTE_TREATED_DAYS,     EVIDENCE_LOW,  7,     30,    DIM_NUMBER,        1,     "a cow was treated ", " days before"},
    MONTHS("late-summer", 7, 9, "it is that time of year", "it is not that time of year"),
    MONTHS("winter-feed", 12, 5, "it is winter or spring", "it is summer or autumn"),
    NOTICED("dirty-gear", TASTE_WASH_MISSED, "the wash before was missed or too cool", "the wash before was done"),
    NOTICED("dirty-udder", TASTE_DISC_DIRTY, "the disc was dirty", "the disc was clean"),
    NOTICED("mastitis", TASTE_MASTITIS_SIGNS, "strip, test or cells show it", "strip and tests show nothing"),
    NOTICED("air-leak", TASTE_AIR_LEAK, "an air leak was noted", "no air leak"),
    NOTICED("topped-up", TASTE_TOPPED_UP, "the jar was topped up or warmed", "it was not topped up or warmed"),
    NOTICED("light", TASTE_LIGHT, "it stood in the light", "it stood in the dark"),
    NOTICED("metal", TASTE_METAL, "copper or iron touched it", "no copper or iron touched it"),
    NOTICED("not-drained", TASTE_NOT_DRAINED, "a drain step was left out", "the gear was drained"),
    NOTICED("one-jar", TASTE_ONE_JAR, "other jars taste right", "other jars taste the same"),
};
/* clang-format on */

enum { EVIDENCES = sizeof evidences / sizeof evidences[0] };

void taste_log_clear(struct taste_log *log)
{
    for (int i = 0; i < TASTE_FACTS; i++)
        log->fact[i] = NAN;
}

/* ---- the table ---- */

static int evidence_find(const char *word, int *out, struct fail *f)
{
    *out = -1;
    for (int i = 0; i < EVIDENCES; i++)
        if (strcmp(evidences[i].word, word) == 0)
            *out = i;
    if (*out < 0 && word[0] != '\0')
        return fail_input(f, "\"%.40s\" is not a kind of evidence.", word);
    return 0;
}

static int read_row(void *context, const struct csv_row *row, struct fail *f)
{
    struct taste_table *table = context;
    struct taste_row *r = &table->row[table->count];
    if (row->line == 1)
        return 0;
    if (row->count != 7 || table->count == TASTE_ROWS_MAX)
        return fail_input(f, "flavours.csv, row %zu: seven columns and at most %d rows were expected.",
                          row->line, TASTE_ROWS_MAX);
    if (evidence_find(row->cell[4], &r->evidence, f) != 0 ||
        quantity_parse(row->cell[3], DIM_NUMBER, NULL, &r->weight, f) != 0)
        return -1;
    bool fits = text_trim(r->flavour, sizeof r->flavour, row->cell[0]) &&
                text_trim(r->words, sizeof r->words, row->cell[1]) &&
                text_trim(r->suspect, sizeof r->suspect, row->cell[2]) &&
                text_trim(r->check, sizeof r->check, row->cell[5]) &&
                text_trim(r->source, sizeof r->source, row->cell[6]);
    if (!fits || !(r->weight > 0))
        return fail_input(f, "flavours.csv, row %zu: a cell is too long, or the weight is not above 0.",
                          row->line);
    table->count++;
    return 0;
}

int taste_table_load(struct taste_table *out, struct fail *f)
{
    const char *text = asset_text("flavours.csv");
    memset(out, 0, sizeof *out);
    return csv_read(text, strlen(text), read_row, out, f);
}

int taste_flavour(const struct taste_table *table, const char *word, char flavour[TASTE_NAME_MAX],
                  struct fail *f)
{
    char name[TASTE_NAME_MAX], all[FAIL_TEXT_MAX] = "";
    for (size_t i = 0; i < table->count; i++) {
        const struct taste_row *r = &table->row[i];
        const char *words = r->words;
        if (words[0] == '\0')
            continue;
        bool same = text_same(word, r->flavour);
        while (!same && list_next(&words, ';', name, sizeof name))
            same = text_same(word, name);
        if (same) {
            (void)snprintf(flavour, TASTE_NAME_MAX, "%s", r->flavour);
            return 0;
        }
        text_append(all, sizeof all, "%s%s", all[0] == '\0' ? "" : ", ", r->flavour);
    }
    return fail_input(f, "\"%.40s\" is not a flavour in the table; there are %s.", word, all);
}

bool taste_is_good(const char *word)
{
    static const char *const words[] = {"good", "fine", "fresh", "sweet", "right", "clean"};
    return text_find(words, sizeof words / sizeof words[0], word) >= 0;
}

bool taste_is_age(const struct taste_table *table, const char *flavour)
{
    for (size_t i = 0; i < table->count; i++) {
        const struct taste_row *r = &table->row[i];
        if (text_same(r->flavour, flavour) && r->evidence >= 0 &&
            evidences[r->evidence].fact == TASTE_LIFE_USED)
            return true;
    }
    return false;
}

/* ---- ranking ---- */

static enum taste_finding finding_of(const struct evidence *e, double value)
{
    bool wraps = e->yes > e->no;
    if (isnan(value))
        return TASTE_SILENT;
    switch (e->kind) {
    case EVIDENCE_HIGH:
        return value >= e->yes ? TASTE_SUPPORTS : value <= e->no ? TASTE_AGAINST : TASTE_SILENT;
    case EVIDENCE_LOW:
        return value <= e->yes ? TASTE_SUPPORTS : value >= e->no ? TASTE_AGAINST : TASTE_SILENT;
    case EVIDENCE_MONTHS:
        return (wraps ? value >= e->yes || value <= e->no : value >= e->yes && value <= e->no)
                   ? TASTE_SUPPORTS
                   : TASTE_AGAINST;
    case EVIDENCE_YES: break;
    }
    return value != 0 ? TASTE_SUPPORTS : TASTE_AGAINST;
}

static void find_evidence(const struct evidence *e, const struct taste_log *log, enum unit_system units,
                          struct taste_suspect *s)
{
    char value[QUANTITY_TEXT_MAX];
    double fact = log->fact[e->fact];
    s->finding = finding_of(e, fact);
    s->found[0] = '\0';
    if (isnan(fact))
        return;
    if (e->kind == EVIDENCE_MONTHS || e->kind == EVIDENCE_YES)
        (void)snprintf(s->found, sizeof s->found, "%s", s->finding == TASTE_SUPPORTS ? e->before : e->after);
    else
        (void)snprintf(s->found, sizeof s->found, "%s%s%s", e->before,
                       e->dim == DIM_NUMBER
                           ? quantity_format_in(fact, DIM_NUMBER, "", 0, value)
                           : quantity_format(fact * e->to_si, e->dim, units, value),
                       e->after);
}

/* Puts s among those before it, strongest first; equals stay in the table's order. */
static void rank_in(struct taste_suspect *suspects, size_t count, const struct taste_suspect *s)
{
    size_t at = count;
    while (at > 0 && suspects[at - 1].share_pct < s->share_pct) {
        suspects[at] = suspects[at - 1];
        at--;
    }
    suspects[at] = *s;
}

static void rank_working(const char *flavour, const struct taste_suspect *suspects, size_t count,
                         struct working *w)
{
    static const char *const findings[] = {"the log is silent", "the log supports it",
                                           "the log speaks against it"};
    working_given_text(w, "flavour", flavour, ORIGIN_GIVEN);
    working_given(w, "factor", SUPPORT_FACTOR, ORIGIN_DEFAULT);
    working_step(
        w, "weight of the table, times %g where the log supports it, over %g where it speaks against it",
        SUPPORT_FACTOR, SUPPORT_FACTOR);
    for (size_t i = 0; i < count; i++) {
        const struct taste_suspect *s = &suspects[i];
        working_row(w, "suspects", (int)i);
        working_result_text(w, "suspect", s->row->suspect);
        working_result(w, "share_pct", s->share_pct);
        working_result_text(w, "finding", s->found[0] == '\0' ? findings[s->finding] : s->found);
        working_result_text(w, "check", s->row->check);
        working_source(w, s->row->source);
    }
    working_row(w, NULL, -1);
    working_source(w, "practice");
    working_caution(w, "This table is an aid, not a verdict.");
    working_caution(w, keeping_caution);
}

void taste_rank(const struct taste_table *table, const char *flavour, const struct taste_log *log,
                enum unit_system units, struct taste_suspect suspects[TASTE_ROWS_MAX], size_t *count,
                struct working *w)
{
    static const double factor[] = {1, SUPPORT_FACTOR, 1 / SUPPORT_FACTOR};
    bool only_one = log->fact[TASTE_ONE_JAR] > 0;
    double sum = 0;
    *count = 0;
    for (size_t i = 0; i < table->count; i++) {
        struct taste_suspect s = {.row = &table->row[i]};
        if (!text_same(s.row->flavour, flavour) && !(only_one && text_same(s.row->flavour, "one jar")))
            continue;
        if (s.row->evidence >= 0)
            find_evidence(&evidences[s.row->evidence], log, units, &s);
        s.share_pct = s.row->weight * factor[s.finding];
        sum += s.share_pct;
        rank_in(suspects, (*count)++, &s);
    }
    for (size_t i = 0; i < *count; i++)
        suspects[i].share_pct *= 100 / sum;
    rank_working(flavour, suspects, *count, w);
}
