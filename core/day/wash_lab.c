/* Samples on their way, and the laboratory's figures against the chosen standard. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/wash_inside.h"

/* ---- samples ---- */

static void say_sample(const struct wash_view *v, const struct lab_sample_row *row, struct wash_sample_view *s)
{
    char when[CIVIL_TEXT_MAX], span[CIVIL_TEXT_MAX];
    struct instant until = {row->drawn_at.s + (row->hours_s == ROW_NONE ? 0 : row->hours_s)};
    (void)snprintf(s->name, sizeof s->name, "%s", row->name);
    (void)snprintf(s->text, sizeof s->text, "%s drawn %s", row->of, instant_text_near(row->drawn_at, v->now, when));
    if (instant_known(row->arrived_at)) {
        (void)text_append(s->text, sizeof s->text, ", there since %s; no figure yet",
                          instant_text_near(row->arrived_at, v->now, when));
        return;
    }
    (void)text_append(s->text, sizeof s->text, instant_known(row->sent_at) ? ", sent %s" : ", NOT SENT%s",
                      instant_known(row->sent_at) ? instant_text_near(row->sent_at, v->now, when) : "");
    if (row->hours_s == ROW_NONE) {
        (void)text_append(s->text, sizeof s->text, "; ask how many hours the laboratory allows");
        return;
    }
    if (until.s < v->now.s) {
        s->urgency = URGENCY_STOP;
        (void)text_append(s->text, sizeof s->text, "; TOO LATE, %s over: draw a new one",
                          span_text(v->now.s - until.s, span));
        return;
    }
    s->urgency = until.s - v->now.s < 12 * 3600 ? URGENCY_WATCH : URGENCY_CALM;
    (void)text_append(s->text, sizeof s->text, "; cold, and there by %s: %s left",
                      instant_text_near(until, v->now, when), span_text(until.s - v->now.s, span));
}

/* Those without a figure; a sample nobody heard of again for a month is forgotten. */
static int fill_samples(struct dairy *d, struct wash_view *v, struct fail *f)
{
    struct lab_sample_row *rows;
    size_t count;
    if (rows_load(d->store, &lab_sample_table,
                  "WHERE drawn_at <= ?1 AND drawn_at > ?1 - 2592000 AND id NOT IN (SELECT sample_id FROM lab_result "
                  "WHERE at <= ?1) ORDER BY drawn_at DESC LIMIT 8",
                  (struct bind[]){BIND_AT(v->now)}, 1, (void **)&rows, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count && v->samples < WASH_SAMPLES_MAX; i++)
        say_sample(v, &rows[i], &v->sample[v->samples++]);
    free(rows);
    return 0;
}

/* ---- figures ---- */

enum { RESULTS_MAX = 200 };

struct results {
    struct dairy *dairy;
    struct lab_result list[RESULTS_MAX];
    size_t count;
    struct lab_sample_row newest;
};

static int add_result(void *context, const void *row, struct fail *f)
{
    struct results *r = context;
    const struct lab_result_row *result = row;
    struct lab_sample_row sample;
    if (r->count == RESULTS_MAX)
        return 0;
    if (row_load(r->dairy->store, &lab_sample_table, result->sample_id, &sample, f) != 0)
        return -1;
    if (sample.cow_id != ROW_NONE) /* one cow's milk says nothing about what is drunk */
        return 0;
    if (r->count == 0 || sample.drawn_at.s >= r->newest.drawn_at.s)
        r->newest = sample;
    r->list[r->count++] =
        (struct lab_result){instant_date(sample.drawn_at), (double)result->value_milli / 1e3};
    return 0;
}

static enum urgency verdict_urgency(enum lab_verdict verdict)
{
    return verdict == LAB_BROKEN ? URGENCY_STOP : verdict == LAB_OVER ? URGENCY_WATCH : URGENCY_CALM;
}

static int judge(const struct facts *facts, const struct lab_standard *standard, struct results *r,
                 struct wash_view *v, struct wash_measure_view *m, struct working *w, struct fail *f)
{
    struct lab_answer answer;
    char day[CIVIL_TEXT_MAX];
    m->known = true;
    m->on = instant_date(r->newest.drawn_at);
    m->last = r->list[0].value;
    for (size_t i = 0; i < r->count; i++)
        if (r->list[i].on.days == m->on.days)
            m->last = r->list[i].value;
    (void)snprintf(m->sample, sizeof m->sample, "%s", r->newest.name);
    if (standard != NULL)
        (void)snprintf(m->standard, sizeof m->standard, "%s", standard->place);
    if (standard == NULL) {
        (void)snprintf(m->words, sizeof m->words, "%.6g on %s; the standard chosen says nothing about it.", m->last,
                       date_text(m->on, day));
        return 0;
    }
    if (lab_judge(standard, r->list, r->count, instant_date(v->now), &answer, w, f) != 0)
        return -1;
    m->verdict = answer.verdict;
    m->urgency = verdict_urgency(answer.verdict);
    (void)snprintf(m->words, sizeof m->words, "%s", answer.words);
    bool last_high = standard->below ? m->last >= standard->limit : m->last > standard->limit;
    if (!last_high && answer.verdict != LAB_BROKEN)
        return 0;
    const char *line;
    for (size_t n = 0; m->looks < 6 && (line = lab_look_at(m->measure, n)) != NULL; n++)
        (void)snprintf(m->look[m->looks++], sizeof m->look[0], "%s", line);
    return wash_log_of(r->dairy, facts, &r->newest, m, f);
}

static int fill_measure(struct dairy *d, const struct facts *facts, const struct lab_standards *table,
                        struct wash_view *v, enum lab_measure measure, struct working *w, struct fail *f)
{
    struct wash_measure_view *m = &v->measure[measure];
    const struct lab_standard *standard =
        lab_standard_find(table, measure == LAB_WATER ? v->water_set : v->lab_set, measure);
    struct results *r = calloc(1, sizeof *r);
    if (r == NULL)
        return fail_memory(f);
    r->dairy = d;
    m->measure = measure;
    int result = rows_each(d->store, &lab_result_table, "WHERE id IN (SELECT id FROM lab_result WHERE measure = ?1 AND at <= ?2 ORDER BY at DESC, id DESC LIMIT 200) "
                           "ORDER BY at, id",
                           (struct bind[]){BIND_TEXT(lab_measure_word(measure)), BIND_AT(v->now)}, 2, add_result,
                           r, f);
    if (result == 0 && r->count > 0)
        result = judge(facts, standard, r, v, m, w, f);
    free(r);
    return result;
}

int wash_fill_lab(struct dairy *d, const struct facts *facts, struct wash_view *v, enum lab_measure measure,
                  struct working *w, struct fail *f)
{
    struct lab_standards *table = malloc(sizeof *table);
    if (table == NULL)
        return fail_memory(f);
    int result = lab_standards_load(table, f);
    for (int i = 0; i < LAB_MEASURES && result == 0; i++)
        result = fill_measure(d, facts, table, v, (enum lab_measure)i, (int)measure == i ? w : NULL, f);
    free(table);
    return result == 0 ? fill_samples(d, v, f) : -1;
}
