#include "core/cooling/limits.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/form.h"
#include "core/base/quantity.h"
#include "core/base/text.h"

static const char *const clock_words[CLOCK_STARTS] = {"start", "end", "cooling"};

double stated_temp_c(struct stated_temp temp)
{
    return temp.unit == 'F' ? temp_c_from_f(temp.value) : temp.unit == 'C' ? temp.value : NAN;
}

bool stated_temp_kept(struct stated_temp temp, double temp_c)
{
    double shown = temp.unit == 'F' ? temp_f_from_c(temp_c) : temp_c;
    return round(shown * 100) <= round(temp.value * 100);
}

double limit_deadline(const struct limit_clause *clause, const double start_at[CLOCK_STARTS])
{
    return start_at[clause->from] + 60 * clause->minutes;
}

int limit_coldest_clause(const struct limit_set *set)
{
    int coldest = -1;
    for (size_t i = 0; i < set->clause_count; i++)
        if (coldest < 0 || stated_temp_c(set->clause[i].temp) < stated_temp_c(set->clause[coldest].temp))
            coldest = (int)i;
    return coldest;
}

/* --- reading rules --- */

static int rule_not_understood(const char *text, struct fail *f)
{
    return fail_input(
        f,
        "\"%.60s\" is not a limit; write 45F/120/end (temperature, minutes, and what starts the "
        "clock: start, end or cooling), hold 45F or blend 50F.",
        text);
}

static int read_temp(const char *text, struct stated_temp *out, struct fail *f)
{
    double si;
    size_t n = strlen(text);
    char unit = n == 0 ? '\0' : (char)toupper((unsigned char)text[n - 1]);
    if (unit != 'F' && unit != 'C')
        return fail_input(
            f, "\"%.20s\" needs F or C: a limit is kept in the unit in which the rule states it.", text);
    if (quantity_parse(text, DIM_TEMPERATURE, NULL, &si, f) != 0)
        return -1;
    /* The conversion there and back must not cost the last digit: rules are stated to a hundredth at most. */
    double value = unit == 'F' ? temp_f_from_c(si) : si;
    *out = (struct stated_temp){round(value * 1000) / 1000, unit};
    return 0;
}

static int read_clause(const char *text, struct limit_set *set, struct fail *f)
{
    char temp[24], time[24], from[24];
    const char *list = text;
    double seconds;
    if (!list_next(&list, '/', temp, sizeof temp) || !list_next(&list, '/', time, sizeof time) ||
        !list_next(&list, '/', from, sizeof from) || *list != '\0')
        return rule_not_understood(text, f);
    if (set->clause_count == LIMIT_CLAUSES_MAX)
        return fail_input(f, "A limit has at most %d clauses.", LIMIT_CLAUSES_MAX);
    struct limit_clause *clause = &set->clause[set->clause_count];
    if (read_temp(temp, &clause->temp, f) != 0 || quantity_parse(time, DIM_DURATION, "min", &seconds, f) != 0)
        return -1;
    clause->minutes = seconds / 60;
    for (int i = 0; i < CLOCK_STARTS; i++)
        if (text_same(from, clock_words[i])) {
            clause->from = (enum clock_start)i;
            set->clause_count++;
            return 0;
        }
    return rule_not_understood(text, f);
}

static int read_rule(const char *text, struct limit_set *set, struct fail *f)
{
    char item[80];
    const char *rest;
    while (list_next(&text, ';', item, sizeof item)) {
        int bad = text_starts(item, "hold ", &rest)    ? read_temp(rest, &set->hold, f)
                  : text_starts(item, "blend ", &rest) ? read_temp(rest, &set->blend, f)
                                                       : read_clause(item, set, f);
        if (bad != 0)
            return -1;
    }
    if (set->clause_count == 0)
        return fail_input(f, "A limit needs at least one clause, such as 45F/120/end.");
    return 0;
}

int limit_parse_own(const char *text, struct limit_set *out, struct fail *f)
{
    struct limit_set set = {.name = "own", .title = "The keeper's own limit", .source = "practice"};
    if (read_rule(text, &set, f) != 0)
        return -1;
    *out = set;
    return 0;
}

static int read_row(void *context, const struct csv_row *row, struct fail *f)
{
    struct limit_list *list = context;
    if (row->line == 1)
        return 0;
    if (row->count < 4 || list->count == LIMIT_SETS_MAX)
        return fail_input(f, "limits.csv, row %zu: five columns, and at most %d sets, were expected.",
                          row->line, LIMIT_SETS_MAX);
    struct limit_set *set = &list->set[list->count];
    memset(set, 0, sizeof *set);
    if (read_rule(row->cell[2], set, f) != 0)
        return -1;
    (void)snprintf(set->name, sizeof set->name, "%.23s", row->cell[0]);
    (void)snprintf(set->title, sizeof set->title, "%.79s", row->cell[1]);
    (void)snprintf(set->source, sizeof set->source, "%.31s", row->cell[3]);
    (void)snprintf(set->note, sizeof set->note, "%.159s", row->count > 4 ? row->cell[4] : "");
    list->count++;
    return 0;
}

int limit_list_load(struct limit_list *out, struct fail *f)
{
    const char *text = asset_text("limits.csv");
    out->count = 0;
    return csv_read(text, strlen(text), read_row, out, f);
}

const struct limit_set *limit_need(const struct limit_list *list, const char *name, struct limit_set *own,
                                   struct fail *f)
{
    char known[FAIL_TEXT_MAX] = "";
    if (own != NULL && strchr(name, '/') != NULL)
        return limit_parse_own(name, own, f) == 0 ? own : NULL;
    for (size_t i = 0; i < list->count; i++)
        if (text_same(list->set[i].name, name))
            return &list->set[i];
    for (size_t i = 0; i < list->count; i++)
        text_append(known, sizeof known, "%s, ", list->set[i].name);
    (void)fail_input(f, "There is no limit \"%.24s\"; there are %sor a rule such as 45F/120/end.", name,
                     known);
    return NULL;
}

/* --- judging a log --- */

static const char *log_word(enum log_verdict verdict)
{
    static const char *const words[] = {"kept", "broken", "open", "no clock"};
    return words[verdict];
}

static void judge_clause(const struct limit_clause *clause, const double start_at_s[CLOCK_STARTS],
                         double now_s, const struct log_reading *reading, size_t count,
                         struct log_judgement *out, size_t i)
{
    double deadline = limit_deadline(clause, start_at_s);
    out->deadline_at_s[i] = deadline;
    out->reached_at_s[i] = NAN;
    for (size_t n = 0; n < count && isnan(out->reached_at_s[i]); n++)
        if (stated_temp_kept(clause->temp, reading[n].temp_c))
            out->reached_at_s[i] = reading[n].at_s;
    if (isnan(deadline))
        out->clause[i] = LOG_NO_CLOCK;
    else if (out->reached_at_s[i] <= deadline)
        out->clause[i] = LOG_KEPT;
    else
        out->clause[i] = now_s <= deadline ? LOG_OPEN : LOG_BROKEN;
}

/* The hold begins when the milk has first been read at or below it. */
static void judge_hold(const struct limit_set *set, const struct log_reading *reading, size_t count,
                       struct log_judgement *out)
{
    bool reached = false;
    out->hold_broken = false;
    out->hold_broken_at_s = NAN;
    for (size_t n = 0; n < count && set->hold.unit != 0 && !out->hold_broken; n++) {
        bool below = stated_temp_kept(set->hold, reading[n].temp_c);
        out->hold_broken = reached && !below;
        if (out->hold_broken)
            out->hold_broken_at_s = reading[n].at_s;
        reached = reached || below;
    }
}

static enum log_verdict judge_all(const struct limit_set *set, const struct log_judgement *out)
{
    bool open = false, unknown = false;
    if (out->hold_broken)
        return LOG_BROKEN;
    for (size_t i = 0; i < set->clause_count; i++) {
        if (out->clause[i] == LOG_BROKEN)
            return LOG_BROKEN;
        open = open || out->clause[i] == LOG_OPEN;
        unknown = unknown || out->clause[i] == LOG_NO_CLOCK;
    }
    return open ? LOG_OPEN : unknown ? LOG_NO_CLOCK : LOG_KEPT;
}

static void show_judgement(const struct limit_set *set, const struct log_judgement *out, struct working *w)
{
    for (size_t i = 0; i < set->clause_count; i++) {
        const struct limit_clause *c = &set->clause[i];
        working_row(w, "clauses", (int)i);
        working_result(w, "limit_c", stated_temp_c(c->temp));
        working_result(w, "within_min", c->minutes);
        working_result_text(w, "from", clock_words[c->from]);
        working_result_text(w, "verdict", log_word(out->clause[i]));
        working_result(w, "in_hand_min", (out->deadline_at_s[i] - out->reached_at_s[i]) / 60);
        working_step(w, "%g %c within %g min of %s: %s", c->temp.value, c->temp.unit, c->minutes,
                     clock_words[c->from], log_word(out->clause[i]));
    }
    working_row(w, NULL, -1);
    working_result_text(w, "verdict", log_word(out->all));
    working_result_yes(w, "hold_broken", out->hold_broken);
}

void limit_judge(const struct limit_set *set, const double start_at_s[CLOCK_STARTS], double now_s,
                 const struct log_reading *reading, size_t count, struct log_judgement *out,
                 struct working *w)
{
    for (size_t i = 0; i < set->clause_count; i++)
        judge_clause(&set->clause[i], start_at_s, now_s, reading, count, out, i);
    judge_hold(set, reading, count, out);
    out->all = judge_all(set, out);
    if (w == NULL)
        return;
    working_given_text(w, "limit", set->name, ORIGIN_GIVEN);
    working_given_whole(w, "readings", (long)count, ORIGIN_RECORDED);
    show_judgement(set, out, w);
    working_source(w, set->source);
    working_caution(w, "Local law decides; this is the rule as it was read.");
}

/* --- blending --- */

double blend_temp_c(double cold_l, double cold_c, double warm_l, double warm_c)
{
    return (cold_l * cold_c + warm_l * warm_c) / (cold_l + warm_l);
}

double blend_fraction_most(double cold_c, double warm_c, double limit_c)
{
    if (warm_c <= limit_c)
        return INFINITY;
    return cold_c >= limit_c ? 0 : (limit_c - cold_c) / (warm_c - limit_c);
}
