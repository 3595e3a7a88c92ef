/* Traces, recalls and batches as text and as JSON. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/form.h"
#include "core/base/text.h"
#include "src/json.h"
#include "src/show.h"

/* ---- lines ---- */

static json_t *json_line(const struct trace_line *l)
{
    return json_pack("{s:s, s:s, s:i, s:s, s:o, s:o, s:o, s:o, s:o, s:s, s:b}", "code", l->code, "jar",
                     l->kind, "count", l->count, "place", jar_place_word(l->place), "person",
                     json_text(l->person), "contact", json_text(l->contact), "contact2",
                     json_text(l->contact2), "here_since", json_moment(l->here_since), "carries_since",
                     json_moment(l->carries_since), "cows", l->cows, "settled", l->settled);
}

static json_t *json_lines(const struct trace_line *line, size_t count)
{
    json_t *lines = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(lines, json_line(&line[i]));
    return lines;
}

/* `open` marks jars that are still to be settled; of a batch that is only looked at nothing is. */
static void print_lines(const struct trace_line *line, size_t count, const char *open, struct instant now)
{
    char since[CIVIL_TEXT_MAX];
    for (size_t i = 0; i < count; i++) {
        const struct trace_line *l = &line[i];
        printf("  %s %-11s %2d %-12s %-8s %s%s%s%s%s  since %s  (%s)\n", l->settled ? " " : open, l->code,
               l->count, l->kind, jar_place_word(l->place), l->person, l->contact[0] != '\0' ? ", " : "",
               l->contact, l->contact2[0] != '\0' ? ", or " : "", l->contact2,
               instant_text_near(l->here_since, now, since), l->cows);
    }
}

/* ---- trace ---- */

static json_t *json_milks(const struct trace_view *v)
{
    json_t *milks = json_array();
    for (size_t i = 0; i < v->milks; i++) {
        const struct trace_milk *m = &v->milk[i];
        json_array_append_new(milks, json_pack("{s:s, s:o, s:o, s:b, s:o}", "cow", m->cow, "milked_at",
                                               json_moment(m->at), "mass_kg", json_number(m->kg),
                                               "not_to_be_kept", m->held, "because", json_text(m->why)));
    }
    return milks;
}

json_t *json_trace(const struct trace_view *v)
{
    return json_pack("{s:s, s:o, s:s, s:i, s:i, s:i, s:i, s:i, s:b, s:o, s:o}", "about", v->about, "now",
                     json_moment(v->now), "say", v->say, "jars", v->sum.jars, "at_home", v->sum.at_home,
                     "given", v->sum.given, "people", v->sum.people, "gone", v->sum.gone, "more", v->more,
                     "rows", json_lines(v->line, v->lines), "milk", json_milks(v));
}

static void print_milks(const struct trace_view *v, enum unit_system units)
{
    char at[CIVIL_TEXT_MAX], kg[QUANTITY_TEXT_MAX];
    for (size_t i = 0; i < v->milks; i++) {
        const struct trace_milk *m = &v->milk[i];
        printf("  %-12s milked %-16s %10s%s%s\n", m->cow, instant_text_near(m->at, v->now, at),
               isfinite(m->kg) ? quantity_format(m->kg, DIM_MASS, units, kg) : "",
               m->held ? "  NOT TO BE KEPT: " : "", m->why);
    }
}

static void print_trace(const struct trace_view *v, enum unit_system units)
{
    printf("%s\n%s\n", v->about, v->say);
    print_lines(v->line, v->lines, "!", v->now);
    if (v->more)
        printf("  and more than %d places\n", TRACE_LINES_MAX);
    if (v->milks > 0)
        puts("Whose milk");
    print_milks(v, units);
}

static int read_ask(const struct call *call, struct dairy *d, struct trace_ask *ask, struct fail *f)
{
    struct form form;
    form_init(&form, trace_fields, trace_field_count, dairy_units(d), call->now);
    for (int i = 1; i < call->argc; i++)
        if ((strchr(call->argv[i], '=') != NULL ? form_set_pair(&form, call->argv[i], f)
                                                : form_set(&form, "batch", call->argv[i], f)) != 0)
            return -1;
    return trace_ask_read(d, &form, call->now, ask, f);
}

int show_trace(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    struct trace_ask ask;
    struct trace_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    int result = read_ask(call, d, &ask, f);
    if (result == 0)
        result = dairy_trace(d, &ask, call->now, v, f);
    if (result == 0 && call->json)
        (void)json_print(json_trace(v));
    else if (result == 0)
        print_trace(v, units);
    free(v);
    return result;
}

/* ---- recall ---- */

json_t *json_recall(const struct recall_view *v)
{
    return json_pack("{s:s, s:s, s:s, s:i, s:i, s:i, s:i, s:i, s:o}", "say", v->say, "cows", v->cows,
                     "because", v->why, "open_at_home", v->open_home, "open_with_people", v->open_given,
                     "open_as_cheese", v->open_cheese, "people", v->people, "settled", v->settled, "rows",
                     json_lines(v->line, v->lines));
}

static void print_recall(const struct recall_view *v)
{
    if (v->lines == 0) {
        puts("No jar holds milk that turned out not to be fit to keep.");
        return;
    }
    printf("%s\nBecause: %s\n", v->say[0] != '\0' ? v->say : "All of them are settled.", v->why);
    print_lines(v->line, v->lines, "!", v->now);
    puts("Settle each: record jar batch=CODE count=N to=dump from=PERSON why=held");
}

int show_recall(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    (void)units;
    struct recall_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    int result = dairy_recall(d, call->now, v, f);
    if (result == 0 && call->json)
        (void)json_print(json_recall(v));
    else if (result == 0)
        print_recall(v);
    free(v);
    return result;
}

/* ---- batch ---- */

static json_t *json_chill(const struct batch_page *p)
{
    json_t *temps = json_array();
    for (size_t i = 0; i < p->temps; i++)
        json_array_append_new(temps, json_pack("{s:o, s:f, s:b}", "at", json_moment(p->temp[i].at), "temp_c",
                                               p->temp[i].temp_c, "read", p->temp[i].read));
    return json_pack("{s:f, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "poured_c", p->poured_c, "poured_read",
                     p->poured_read, "to_50f_min", json_number(p->to_50f_min), "to_45f_min",
                     json_number(p->to_45f_min), "to_40f_min", json_number(p->to_40f_min), "limit_c",
                     p->limit_known ? json_number(p->limit_c) : json_null(), "deadline_at",
                     json_moment(p->limit_known ? p->deadline_at : INSTANT_NONE), "verdict",
                     json_text(p->limit_known ? verdict_word(p->verdict) : NULL), "temps", temps);
}

static json_t *json_page_keeping(const struct batch_page *p)
{
    if (!p->keeping_known)
        return json_null();
    return json_pack("{s:o, s:o, s:o, s:o, s:s}", "used_days", json_number(p->keeping.used_days), "left_days",
                     json_number(p->keeping.left_days), "low_days", json_number(p->keeping.low_days),
                     "lost_by_chill_days", json_number(p->lost_days), "rule",
                     discard_word(p->discard.verdict));
}

static json_t *json_chores(const struct batch_page *p)
{
    json_t *skipped = json_array();
    for (size_t i = 0; i < p->skips; i++)
        json_array_append_new(skipped, json_string(p->skipped[i]));
    return json_pack("{s:o, s:i, s:o, s:o, s:o}", "who", json_text(p->who), "steps_done", p->steps_done,
                     "skipped", skipped, "mixed_at", json_moment(p->mixed_at), "sanitised_at",
                     json_moment(p->sanitised_at));
}

static json_t *json_tastes(const struct batch_page *p)
{
    json_t *tastes = json_array();
    for (size_t i = 0; i < p->tastes; i++)
        json_array_append_new(
            tastes, json_pack("{s:o, s:s, s:b, s:o}", "at", json_moment(p->taste[i].at), "flavour",
                              p->taste[i].flavour, "turned", p->taste[i].turned, "score",
                              p->taste[i].score > 0 ? json_integer(p->taste[i].score) : json_null()));
    return tastes;
}

json_t *json_batch_page(const struct batch_page *p)
{
    return json_pack("{s:s, s:s, s:i, s:f, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:s}", "code", p->code, "jar",
                     p->kind, "count", p->count, "volume_l", p->volume_l, "poured_at",
                     json_moment(p->poured_at), "held_because", json_text(p->held_why), "trace",
                     json_trace(&p->trace), "chill", json_chill(p), "keeping", json_page_keeping(p), "chores",
                     json_chores(p), "tastings", json_tastes(p), "caution", keeping_caution);
}

static void print_minutes(const char *mark, double minutes)
{
    char span[CIVIL_TEXT_MAX];
    if (isfinite(minutes))
        printf(", %s in %s", mark, span_text(llround(minutes) * 60, span));
}

static void print_chill(const struct batch_page *p, enum unit_system units)
{
    char temp[QUANTITY_TEXT_MAX], at[CIVIL_TEXT_MAX];
    printf("Chill: poured at %s%s", quantity_format(p->poured_c, DIM_TEMPERATURE, units, temp),
           p->poured_read ? " read" : " as usual");
    print_minutes("50 °F", p->to_50f_min);
    print_minutes("45 °F", p->to_45f_min);
    print_minutes("40 °F", p->to_40f_min);
    if (p->limit_known && p->verdict != VERDICT_NONE)
        printf("; %s by %s: %s", quantity_format(p->limit_c, DIM_TEMPERATURE, units, temp),
               clock_text(p->deadline_at, at), verdict_word(p->verdict));
    putchar('\n');
    for (size_t i = 0; i < p->temps; i++)
        if (p->temp[i].read)
            printf("  %s  %s read\n", instant_text_near(p->temp[i].at, p->now, at),
                   quantity_format(p->temp[i].temp_c, DIM_TEMPERATURE, units, temp));
}

static void print_batch_page(const struct batch_page *p, enum unit_system units)
{
    char at[CIVIL_TEXT_MAX], volume[QUANTITY_TEXT_MAX];
    printf("%s  %d %s of %s each, poured %s\n", p->code, p->count, p->kind,
           quantity_format(p->volume_l, DIM_VOLUME, units, volume), instant_text(p->poured_at, at));
    if (p->held_why[0] != '\0')
        printf("HELD MILK: %s\n", p->held_why);
    puts("Where its jars are");
    print_lines(p->trace.line, p->trace.lines, " ", p->now);
    puts("Whose milk");
    print_milks(&p->trace, units);
    print_chill(p, units);
    if (p->keeping_known && isfinite(p->keeping.left_days))
        printf("Keeping: %.1f days left (nine in ten keep %.1f); its chill cost %.1f days. On throwing it away: %s.\n",
               p->keeping.left_days, p->keeping.low_days, p->lost_days, discard_word(p->discard.verdict));
    printf("That milking: %d steps done", p->steps_done);
    if (instant_known(p->mixed_at))
        printf(", mix %s", clock_text(p->mixed_at, at));
    if (instant_known(p->sanitised_at))
        printf(", sanitised %s", clock_text(p->sanitised_at, at));
    putchar('\n');
    for (size_t i = 0; i < p->skips; i++)
        printf("  skipped: %s\n", p->skipped[i]);
    for (size_t i = 0; i < p->tastes; i++)
        printf("Tasted %s: %s%s\n", instant_text_near(p->taste[i].at, p->now, at), p->taste[i].flavour,
               p->taste[i].turned ? ", turned" : "");
    printf("Caution: %s\n", keeping_caution);
}

int show_batch(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    int64_t batch;
    struct batch_page *p = malloc(sizeof *p);
    if (p == NULL)
        return fail_memory(f);
    int result = dairy_find_batch(d, call->argv[1], call->now, &batch, f);
    if (result == 0)
        result = dairy_batch_page(d, batch, call->now, p, f);
    if (result == 0 && call->json)
        (void)json_print(json_batch_page(p));
    else if (result == 0)
        print_batch_page(p, units);
    free(p);
    return result;
}
