#include "core/sanitation/contact.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/text.h"
#include "core/sanitation/caution.h"

/* A temperature given in °F comes back from SI a hair off: it still meets its own figure. */
static const double hair = 1e-6;

/* A cell that is a number, or empty: NaN, the rule does not say. */
static int read_cell(const struct csv_row *row, size_t column, double *out, struct fail *f)
{
    const char *cell = row->cell[column];
    *out = NAN;
    if (*cell == '\0')
        return 0;
    if (quantity_parse(cell, DIM_NUMBER, NULL, out, NULL) != 0 || *out < 0)
        return fail_input(f,
                          "Row %zu: \"%.40s\" is not a number; leave it empty where the rule does not say.",
                          row->line, cell);
    return 0;
}

static int read_rule(void *context, const struct csv_row *row, struct fail *f)
{
    struct contact_rules *rules = context;
    struct contact_rule rule = {0};
    double *const numbers[] = {&rule.low_ppm, &rule.high_ppm, &rule.low_f,
                               &rule.high_f,  &rule.high_ph,  &rule.time_s};
    if (row->line == 1)
        return 0;
    if (row->count < 9)
        return fail_input(f, "Row %zu: %zu cells; set, chemical, six numbers and a source are needed.",
                          row->line, row->count);
    if (rules->count == CONTACT_RULES_MAX)
        return fail_input(f, "Row %zu: at most %d rules.", row->line, CONTACT_RULES_MAX);
    if (!chemical_find(row->cell[1], &rule.chemical))
        return fail_input(f, "Row %zu: there is no chemical \"%.40s\".", row->line, row->cell[1]);
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        if (read_cell(row, 2 + i, numbers[i], f) != 0)
            return -1;
    if (!(rule.time_s > 0))
        return fail_input(f, "Row %zu: every rule has a contact time.", row->line);
    if (row->cell[0][0] == '\0' || !text_trim(rule.set, sizeof rule.set, row->cell[0]) ||
        row->cell[8][0] == '\0' || !text_trim(rule.source, sizeof rule.source, row->cell[8]))
        return fail_input(f, "Row %zu: the names of set and source are missing or too long.", row->line);
    (void)text_trim(rule.words, sizeof rule.words, row->count > 9 ? row->cell[9] : "");
    rules->rule[rules->count++] = rule;
    return 0;
}

int contact_rules_parse(const char *text, struct contact_rules *out, struct fail *f)
{
    struct contact_rules rules = {.count = 0};
    if (csv_read(text, strlen(text), read_rule, &rules, f) != 0)
        return -1;
    *out = rules;
    return 0;
}

int contact_rules_load(struct contact_rules *out, struct fail *f)
{
    return contact_rules_parse(asset_text("contact-rules.csv"), out, f);
}

/* What one rule says of one reading. */
struct match {
    bool refused, open;            /* some limit is broken; some limit was not read */
    bool too_weak, too_strong;     /* among them the strength */
    char wants[CONTACT_WHY_MAX];   /* "water of 100 °F and pH at most 8" */
    char unknown[CONTACT_WHY_MAX]; /* the same for what was not read */
};

static void note(struct match *m, bool known, const char *wish)
{
    char *list = known ? m->wants : m->unknown;
    m->refused = m->refused || known;
    m->open = m->open || !known;
    (void)text_append(list, CONTACT_WHY_MAX, "%s%s", list[0] == '\0' ? "" : " and ", wish);
}

/* One limit of a rule: low if `least`, else high. The wish is written as "at least 50 ppm". */
static void match_limit(struct match *m, double value, double limit, bool least, const char *before,
                        const char *unit)
{
    char wish[80];
    bool kept = least ? value >= limit - hair : value <= limit + hair;
    if (isnan(limit) || kept)
        return;
    (void)snprintf(wish, sizeof wish, "%s%.4g%s", before, limit, unit);
    note(m, !isnan(value), wish);
}

static struct match match_rule(const struct contact_rule *rule, const struct contact_reading *r)
{
    struct match m = {0};
    double temp_f = temp_f_from_c(r->temp_c);
    match_limit(&m, r->ppm, rule->low_ppm, true, "at least ", " ppm");
    m.too_weak = m.refused;
    match_limit(&m, r->ppm, rule->high_ppm, false, "at most ", " ppm");
    m.too_strong = m.refused && !m.too_weak;
    match_limit(&m, temp_f, rule->low_f, true, "water of ", " °F");
    match_limit(&m, temp_f, rule->high_f, false, "water no hotter than ", " °F");
    match_limit(&m, r->ph, rule->high_ph, false, "pH at most ", "");
    /* A time that was not read is no obstacle. */
    if (!isnan(r->time_s))
        match_limit(&m, r->time_s, rule->time_s, true, "", " s of contact");
    return m;
}

/* What would be right, as alternatives: "water of 100 °F, or pH at most 8". */
struct wishes {
    char right_strength[CONTACT_WHY_MAX]; /* of the rules for this strength */
    double right_ppm;                     /* which begin at this strength */
    char other_strength[CONTACT_WHY_MAX];
    char unknown[CONTACT_WHY_MAX]; /* of rules that only lack a reading */
};

static void add_wish(char *list, const char *wish)
{
    if (strstr(list, wish) == NULL)
        (void)text_append(list, CONTACT_WHY_MAX, "%s%s", list[0] == '\0' ? "" : ", or ", wish);
}

/* Rules for weaker solutions ask for more; where one for this strength exists, only that one is quoted. */
static void add_refusal(struct wishes *wishes, const struct contact_rule *rule, const struct match *m)
{
    double band_ppm = isnan(rule->low_ppm) ? 0 : rule->low_ppm;
    if (m->too_weak || m->too_strong) {
        add_wish(wishes->other_strength, m->wants);
        return;
    }
    if (band_ppm > wishes->right_ppm)
        wishes->right_strength[0] = '\0';
    if (band_ppm >= wishes->right_ppm)
        add_wish(wishes->right_strength, m->wants);
    wishes->right_ppm = fmax(band_ppm, wishes->right_ppm);
}

static int check_reading(const struct contact_reading *r, struct fail *f)
{
    if (r->ppm < 0 || r->time_s < 0)
        return fail_input(f, "Strength and time cannot be less than nothing.");
    if (r->ph < 0 || r->ph > 14)
        return fail_input(f, "ph: %.4g is not a pH; a strip shows 0 to 14.", r->ph);
    return 0;
}

static void list_sets(const struct contact_rules *rules, char *buf, size_t size)
{
    for (size_t i = 0; i < rules->count; i++)
        if (i == 0 || strcmp(rules->rule[i].set, rules->rule[i - 1].set) != 0)
            (void)text_append(buf, size, "%s%s", i == 0 ? "" : ", ", rules->rule[i].set);
}

static void show_answer(const char *set, const struct contact_reading *r, const struct contact_answer *a,
                        struct working *w)
{
    working_given_text(w, "rules", set, ORIGIN_GIVEN);
    working_given_text(w, "chemical", chemical_name(r->chemical), ORIGIN_GIVEN);
    working_given(w, "strength_ppm", r->ppm, ORIGIN_MEASURED);
    working_given(w, "water_c", r->temp_c, ORIGIN_MEASURED);
    working_given(w, "ph", r->ph, ORIGIN_MEASURED);
    if (!isnan(r->time_s))
        working_given(w, "time_s", r->time_s, ORIGIN_MEASURED);
    working_result_text(w, "verdict", contact_verdict_text(a->verdict));
    working_result(w, "contact_s", a->time_s);
    if (a->why[0] != '\0')
        working_why(w, "%s", a->why);
    working_caution(w, caution_text(CAUTION_LOCAL_LAW));
}

/* The rule that allows it with the shortest contact, or what each other rule would need. Returns how many
 * rules the set has for the chemical. */
static size_t try_rules(const struct contact_rules *rules, const char *set,
                        const struct contact_reading *reading, struct contact_answer *out,
                        struct wishes *wishes, struct working *w)
{
    size_t rows = 0;
    for (size_t i = 0; i < rules->count; i++) {
        const struct contact_rule *rule = &rules->rule[i];
        if (!text_same(rule->set, set) || rule->chemical != reading->chemical)
            continue;
        struct match m = match_rule(rule, reading);
        rows++;
        working_source(w, rule->source);
        if (m.refused)
            add_refusal(wishes, rule, &m);
        else if (m.open)
            add_wish(wishes->unknown, m.unknown);
        else if (out->rule == NULL || rule->time_s < out->time_s)
            *out = (struct contact_answer){CONTACT_ALLOWED, rule, rule->time_s, ""};
    }
    return rows;
}

int contact_judge(const struct contact_rules *rules, const char *set, const struct contact_reading *reading,
                  struct contact_answer *out, struct working *w, struct fail *f)
{
    char known[FAIL_TEXT_MAX] = "";
    struct wishes wishes = {.right_ppm = 0};
    struct contact_answer answer = {CONTACT_NOT_ALLOWED, NULL, NAN, ""};
    if (check_reading(reading, f) != 0)
        return -1;
    if (try_rules(rules, set, reading, &answer, &wishes, w) == 0) {
        list_sets(rules, known, sizeof known);
        return fail_refused(f, "The rules \"%.20s\" say nothing about %s; there are %s.", set,
                            chemical_name(reading->chemical), known);
    }
    if (answer.rule == NULL && wishes.unknown[0] != '\0') {
        answer.verdict = CONTACT_NOT_KNOWN;
        (void)snprintf(answer.why, sizeof answer.why, "It depends: it needs %.160s.", wishes.unknown);
    } else if (answer.rule == NULL) {
        (void)snprintf(answer.why, sizeof answer.why, "It needs %.180s.",
                       wishes.right_strength[0] != '\0' ? wishes.right_strength : wishes.other_strength);
    }
    *out = answer;
    show_answer(set, reading, out, w);
    return 0;
}

const char *contact_verdict_text(enum contact_verdict verdict)
{
    static const char *const texts[] = {[CONTACT_ALLOWED] = "allowed",
                                        [CONTACT_NOT_ALLOWED] = "not allowed",
                                        [CONTACT_NOT_KNOWN] = "not known"};
    return texts[verdict];
}
