/* The wash bench as text and as JSON. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/day/wash_view.h"
#include "src/json.h"
#include "src/show.h"

static const char *const urgency_words[] = {"calm", "watch", "stop"};

static json_t *json_mix(const struct wash_mix_view *m)
{
    if (!m->known)
        return json_null();
    return json_pack("{s:s, s:s, s:s, s:b, s:o, s:f, s:f, s:f, s:s, s:f, s:o, s:o, s:o, s:b, s:s, s:s, s:s, s:s, s:o, s:f}",
                     "bottle", m->bottle, "bottle_opened", m->opened, "chemical", m->chemical, "fresh", m->fresh,
                     "mixed_at", json_moment(m->mixed_at), "target_ppm", m->target_ppm, "volume_l", m->volume_l,
                     "dose_ml", m->dose_ml, "spoons", m->spoons, "counts_ppm", m->ppm, "strip_read_at",
                     json_moment(m->read_at), "ph", json_number(m->ph), "temp_c", json_number(m->temp_c), "good", m->good,
                     "verdict", m->verdict, "contact_rule", m->rule, "contact", contact_verdict_text(m->contact),
                     "contact_words", m->contact_words, "spoon_rule", json_text(m->spoon_rule), "next_dose_ml",
                     m->next.dose_ml);
}

static json_t *json_sink(const struct wash_sink_view *s)
{
    return json_pack("{s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:i, s:o, s:o, s:b, s:o, s:s}", "filled", s->filled, "filled_at",
                     json_moment(s->filled_at), "start_c", json_number(s->start_c), "read_c", json_number(s->read_c),
                     "read_at", json_moment(s->read_at), "now_c", json_number(s->now_c), "k_per_min",
                     json_number(s->k_per_min), "learned_from", s->runs, "floor_at", json_moment(s->floor_at),
                     "start_needed_c", json_number(s->needed_c), "heater_enough", s->heater_enough, "scald_s",
                     json_number(s->scald_s), "words", s->words);
}

static json_t *json_lines(const char *lines, size_t count, size_t size)
{
    json_t *array = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(array, json_string(lines + i * size));
    return array;
}

static json_t *json_measures(const struct wash_view *v)
{
    static const char *const verdicts[] = {"within", "over once", "broken", "too few"};
    json_t *array = json_array();
    for (int i = 0; i < LAB_MEASURES; i++) {
        const struct wash_measure_view *m = &v->measure[i];
        if (m->known)
            json_array_append_new(
                array, json_pack("{s:s, s:f, s:o, s:s, s:o, s:o, s:s, s:o, s:o}", "measure", lab_measure_word(m->measure),
                                 "last", m->last, "drawn_on", json_day(m->on), "sample", m->sample, "standard",
                                 json_text(m->standard), "verdict",
                                 m->standard[0] == '\0' ? json_null() : json_string(verdicts[m->verdict]), "words", m->words,
                                 "log", json_lines(m->log[0], m->logs, sizeof m->log[0]), "look_at",
                                 json_lines(m->look[0], m->looks, sizeof m->look[0])));
    }
    return array;
}

json_t *json_wash(const struct wash_view *v)
{
    json_t *parts = json_array(), *samples = json_array(), *order = json_array(), *cautions = json_array();
    for (size_t i = 0; i < v->parts; i++) {
        const struct wash_part_view *p = &v->part[i];
        json_array_append_new(parts, json_pack("{s:s, s:s, s:b, s:o, s:b, s:s, s:s}", "part", p->name, "words", p->words,
                                               "recorded", p->recorded, "days_left",
                                               p->days_left == INT32_MAX ? json_null() : json_integer(p->days_left), "over",
                                               p->over, "urgency", urgency_words[p->urgency], "text", p->text));
    }
    for (size_t i = 0; i < v->samples; i++)
        json_array_append_new(samples, json_pack("{s:s, s:s, s:s}", "sample", v->sample[i].name, "urgency",
                                                 urgency_words[v->sample[i].urgency], "text", v->sample[i].text));
    for (size_t i = 0; i < v->orders; i++)
        json_array_append_new(order, json_pack("{s:s, s:i, s:s}", "cow", v->order[i].name, "stall", v->order[i].stall, "why",
                                               v->order[i].why));
    for (size_t i = 0; i < v->cautions; i++)
        json_array_append_new(cautions, json_string(caution_text(v->caution[i])));
    return json_pack("{s:o, s:s, s:s, s:s, s:o, s:o, s:o, s:s, s:o, s:o, s:o, s:o}", "now", json_moment(v->now),
                     "contact_set", v->contact_set, "standard", v->lab_set, "water_standard", v->water_set, "mix",
                     json_mix(&v->mix), "sink", json_sink(&v->sink), "parts", parts, "machine", v->machine, "samples",
                     samples, "figures", json_measures(v), "milking_order", order, "caution", cautions);
}

static void print_mix(const struct wash_mix_view *m, enum unit_system units)
{
    char volume[QUANTITY_TEXT_MAX], at[CIVIL_TEXT_MAX];
    puts("Sanitiser");
    if (!m->known) {
        puts("  nothing mixed yet; record `mix strength=8.25% target=100ppm volume=3gal`");
        return;
    }
    printf("  %s %s: %.3g mL (%s) of %s in %s, %.0f ppm %s: %s\n", m->fresh ? "mixed" : "last mixed",
           instant_text(m->mixed_at, at), m->dose_ml, m->spoons, m->bottle,
           quantity_format(m->volume_l, DIM_VOLUME, units, volume), m->ppm,
           instant_known(m->read_at) ? "by strip" : "by the sum", m->verdict);
    printf("  rule %s: %s\n", m->rule, m->contact_words);
    printf("  bottle %s\n", m->opened);
    if (m->spoon_rule[0] != '\0')
        printf("  %s\n", m->spoon_rule);
}

static void print_measure(const struct wash_measure_view *m)
{
    char day[CIVIL_TEXT_MAX];
    if (!m->known)
        return;
    printf("  %s %.6g (%s, %s): %s\n", lab_measure_name(m->measure), m->last, m->sample, date_year_text(m->on, day),
           m->words);
    for (size_t i = 0; i < m->logs; i++)
        printf("    that day: %s\n", m->log[i]);
    for (size_t i = 0; i < m->looks; i++)
        printf("    look at: %s\n", m->look[i]);
}

static void print_wash(const struct wash_view *v, enum unit_system units)
{
    print_mix(&v->mix, units);
    printf("Sink\n  %s\n", v->sink.words);
    if (v->sink.start_words[0] != '\0')
        printf("  %s\n", v->sink.start_words);
    if (v->sink.temper_words[0] != '\0')
        printf("  %s\n", v->sink.temper_words);
    if (v->sink.scald_words[0] != '\0')
        printf("  %s\n", v->sink.scald_words);
    puts("Parts and machine");
    for (size_t i = 0; i < v->parts; i++)
        printf("  %s: %s\n", v->part[i].words, v->part[i].text);
    printf("  Machine, %s\n", v->machine);
    printf("Laboratory and water, held to %s and %s\n", v->lab_set, v->water_set);
    for (size_t i = 0; i < v->samples; i++)
        printf("  %s: %s\n", v->sample[i].name, v->sample[i].text);
    for (int i = 0; i < LAB_MEASURES; i++)
        print_measure(&v->measure[i]);
    puts("Milking order");
    for (size_t i = 0; i < v->orders; i++)
        printf("  %zu. %s: %s\n", i + 1, v->order[i].name, v->order[i].why);
    puts("Never, and always");
    for (size_t i = 0; i < v->cautions; i++)
        printf("  ! %s\n", caution_text(v->caution[i]));
}

int show_wash(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    struct wash_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    int result = dairy_wash(d, call->now, v, f);
    if (result == 0 && call->json)
        (void)json_print(json_wash(v));
    else if (result == 0)
        print_wash(v, units);
    free(v);
    return result;
}
