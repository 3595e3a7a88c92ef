/* The herd, a cow's page and card, and the relief view as text and as JSON. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/cow_card.h"
#include "core/day/cow_page.h"
#include "core/day/herd_view.h"
#include "core/day/relief_view.h"
#include "src/json.h"
#include "src/show.h"

enum { MILKINGS_PRINTED = 14, EVENTS_PRINTED = 30 };

/* ---- cow ---- */

static json_t *json_days(const struct cow_page *p)
{
    json_t *days = json_array();
    for (size_t i = 0; i < p->days; i++)
        json_array_append_new(
            days, json_pack("{s:o, s:i, s:o, s:o, s:o, s:o, s:o}", "on", json_day(p->day[i].on), "day",
                            p->day[i].day, "kg", json_number(p->day[i].kg), "expected_kg",
                            json_number(p->day[i].expected_kg), "low_kg", json_number(p->day[i].low_kg),
                            "high_kg", json_number(p->day[i].high_kg), "lactation_before_kg",
                            json_number(p->day[i].before_kg)));
    return days;
}

static json_t *json_events(const struct cow_page *p)
{
    json_t *events = json_array();
    for (size_t i = 0; i < p->events; i++)
        json_array_append_new(events,
                              json_pack("{s:o, s:s, s:o}", "at", json_moment(p->event[i].at), "what",
                                        event_word(p->event[i].kind), "words", json_text(p->event[i].words)));
    return events;
}

static json_t *json_milkings(const struct cow_page *p)
{
    json_t *milkings = json_array();
    for (size_t i = 0; i < p->milkings; i++)
        json_array_append_new(milkings, json_pack("{s:o, s:o, s:o, s:o}", "at", json_moment(p->milking[i].at),
                                                  "mass_kg", json_number(p->milking[i].mass_kg), "strip",
                                                  json_text(p->milking[i].strip), "disc",
                                                  json_text(p->milking[i].disc)));
    return milkings;
}

static json_t *json_due(const struct cow_page *p)
{
    json_t *due = json_array();
    for (size_t i = 0; i < p->dues; i++)
        json_array_append_new(due,
                              json_pack("{s:o, s:s}", "on", json_day(p->due[i].on), "what", p->due[i].words));
    return due;
}

static json_t *json_figures(const struct cow_page *p)
{
    json_t *figures = json_array();
    for (size_t i = 0; i < p->figures; i++)
        json_array_append_new(
            figures, json_pack("{s:s, s:s}", "group", p->figure[i].group, "says", p->figure[i].text));
    return figures;
}

static json_t *json_udder(const struct cow_page *p)
{
    json_t *udder = json_object();
    for (int q = 0; q < QUARTERS; q++)
        json_object_set_new(udder, quarter_code((enum quarter)q),
                            json_pack("{s:s, s:i, s:o}", "state", quarter_state_word(p->quarter[q].state),
                                      "direction", p->quarter[q].direction, "raised_at",
                                      json_moment(p->quarter[q].raised_at)));
    return udder;
}

static json_t *json_body(const struct cow_page *p)
{
    json_t *weights = json_array(), *scores = json_array();
    for (size_t i = 0; i < p->weights; i++)
        json_array_append_new(weights,
                              json_pack("{s:o, s:o, s:b, s:o}", "on", json_day(instant_date(p->weight[i].at)), "weight_kg",
                                        json_number(p->weight[i].kg), "by_tape", p->weight[i].by_tape,
                                        "usual_kg", json_number(p->weight[i].usual_kg)));
    for (size_t i = 0; i < p->scores; i++)
        json_array_append_new(
            scores, json_pack("{s:o, s:f}", "on", json_day(instant_date(p->score[i].at)), "score", p->score[i].score));
    return json_pack("{s:o, s:o}", "weights", weights, "condition", scores);
}

static json_t *json_lactation(const struct cow_page *p)
{
    const struct page_lactation *l = &p->lactation[p->shown];
    if (p->lactations == 0)
        return json_null();
    return json_pack("{s:i, s:o, s:o, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "number", l->number,
                     "calved_on", json_day(l->calved_on), "dried_on", json_day(l->dried_on), "to_date_kg",
                     json_number(p->to_date_kg), "by_test_intervals", p->by_intervals, "expected_305_kg",
                     json_number(p->expected_305_kg), "low_305_kg", json_number(p->low_305_kg), "high_305_kg",
                     json_number(p->high_305_kg), "peak_kg", json_number(p->peak_kg), "peak_day",
                     isfinite(p->peak_kg) ? json_integer(p->peak_day) : json_null(), "persistency",
                     json_number(p->persistency), "fat_pct", json_number(p->fat_pct), "protein_pct",
                     json_number(p->protein_pct));
}

static json_t *json_cow(const struct cow_page *p)
{
    json_t *object =
        json_pack("{s:s, s:o, s:o, s:o, s:o, s:i, s:i, s:s, s:s, s:s, s:s, s:o}", "cow", p->name, "tag",
                  json_text(p->tag), "breed", json_text(p->breed), "dam", json_text(p->dam), "born_on",
                  json_day(p->born_on), "stall", p->stall, "calvings", p->parity, "state", p->view.state,
                  "breeding", p->view.breeding, "udder", p->view.udder, "verdict",
                  p->view.in_milk ? hold_verdict(&p->view.hold) : "", "held_because",
                  json_text(p->view.keep ? NULL : p->view.hold.words));
    if (object == NULL)
        return NULL;
    json_object_set_new(object, "clear_at", json_moment(p->view.hold.clear_at));
    json_object_set_new(object, "meat_on", json_day(p->view.hold.meat_on));
    json_object_set_new(object, "caution", json_text(p->caution));
    json_object_set_new(object, "remark", json_text(p->remark));
    json_object_set_new(object, "calved_on", json_day(p->calved_on));
    json_object_set_new(object, "dry_off_on", json_day(p->dry_off_on));
    json_object_set_new(object, "close_up_on", json_day(p->close_up_on));
    json_object_set_new(object, "due_on", json_day(p->due_on));
    json_object_set_new(object, "due_from_on", json_day(p->due_from_on));
    json_object_set_new(object, "due_to_on", json_day(p->due_to_on));
    json_object_set_new(object, "to_date_kg", json_number(p->to_date_kg));
    json_object_set_new(object, "filled_days", json_integer(p->filled_days));
    json_object_set_new(object, "expected_305_kg", json_number(p->expected_305_kg));
    json_object_set_new(object, "peak_kg", json_number(p->peak_kg));
    json_object_set_new(object, "lactation", json_lactation(p));
    json_object_set_new(object, "next", json_due(p));
    json_object_set_new(object, "quarters", json_udder(p));
    json_object_set_new(object, "body", json_body(p));
    json_object_set_new(object, "figures", json_figures(p));
    json_object_set_new(object, "days", json_days(p));
    json_object_set_new(object, "milkings", json_milkings(p));
    json_object_set_new(object, "events", json_events(p));
    return object;
}

static void print_figures(const struct cow_page *p)
{
    const char *group = NULL;
    for (size_t i = 0; i < p->figures; i++) {
        if (p->figure[i].group != group)
            printf("%s\n", p->figure[i].group);
        group = p->figure[i].group;
        printf("  %s\n", p->figure[i].text);
    }
}

static void print_cow(const struct cow_page *p, enum unit_system units)
{
    char text[QUANTITY_TEXT_MAX], when[CIVIL_TEXT_MAX];
    printf("%s%s%s%s%s\n", p->name, p->breed[0] != '\0' ? ", " : "", p->breed,
           p->tag[0] != '\0' ? ", tag " : "", p->tag);
    printf("  %s\n", p->view.state);
    if (p->view.breeding[0] != '\0' && !p->gone)
        printf("  %s\n", p->view.breeding);
    if (p->view.in_milk)
        printf("  %s\n  %s%s%s\n", p->view.udder, hold_verdict(&p->view.hold), p->view.keep ? "" : ": ",
               p->view.keep ? "" : p->view.hold.words);
    else if (!p->view.keep && !p->gone && p->lactations > 0)
        printf("  %s\n", p->view.hold.words);
    if (p->remark[0] != '\0')
        printf("  %s\n", p->remark);
    if (!p->view.keep && p->caution[0] != '\0')
        printf("  %s\n", p->caution);
    print_figures(p);
    if (p->milkings > 0)
        puts("MILKINGS");
    for (size_t i = 0; i < p->milkings && i < MILKINGS_PRINTED; i++)
        printf("  %-18s %10s  %s\n", instant_text(p->milking[i].at, when),
               isfinite(p->milking[i].mass_kg) ? quantity_format(p->milking[i].mass_kg, DIM_MASS, units, text)
                                               : "",
               p->milking[i].strip);
    puts("EVENTS");
    for (size_t i = 0; i < p->events && i < EVENTS_PRINTED; i++)
        printf("  %-12s %-10s %s\n", date_year_text(p->event[i].on, when),
               event_word(p->event[i].kind), p->event[i].words);
}

int show_cow(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    struct cow_page *p = malloc(sizeof *p);
    int64_t cow_id;
    if (p == NULL)
        return fail_memory(f);
    int result = dairy_find_cow(d, call->argv[1], &cow_id, f);
    if (result == 0)
        result = dairy_cow_page(d, cow_id, call->now, PAGE_NOW, p, f);
    if (result == 0 && call->json)
        (void)json_print(json_cow(p));
    else if (result == 0)
        print_cow(p, units);
    free(p);
    return result;
}

/* ---- herd ---- */

static json_t *json_herd(const struct herd_view *v)
{
    json_t *animals = json_array();
    for (size_t i = 0; i < v->animals; i++) {
        const struct herd_animal *x = &v->animal[i];
        json_array_append_new(
            animals, json_pack("{s:s, s:o, s:o, s:o, s:s, s:i, s:b, s:o}", "name", x->name, "tag",
                               json_text(x->tag), "breed", json_text(x->breed), "dam", json_text(x->dam),
                               "state", x->state, "stall", x->stall, "here", !x->gone, "verdict",
                               json_text(x->in_milk ? x->keep ? "KEEP" : "DO NOT KEEP" : NULL)));
    }
    return json_pack("{s:o}", "animals", animals);
}

int show_herd(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    (void)units;
    struct herd_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    int result = dairy_herd(d, call->now, v, f);
    if (result == 0 && call->json)
        (void)json_print(json_herd(v));
    for (size_t i = 0; result == 0 && !call->json && i < v->animals; i++) {
        const struct herd_animal *x = &v->animal[i];
        printf("%-20s %-36s %s%s%s\n", x->name, x->state, x->in_milk ? x->keep ? "KEEP" : "DO NOT KEEP" : "",
               x->dam[0] != '\0' ? " of " : "", x->dam);
    }
    if (result == 0 && !call->json && v->figures_text[0] != '\0')
        printf("Breeding: %s\n", v->figures_text);
    free(v);
    return result;
}

/* ---- card ---- */

static json_t *json_card(const struct cow_card *card)
{
    json_t *lines = json_array();
    for (size_t i = 0; i < card->lines; i++)
        json_array_append_new(lines,
                              json_pack("{s:s, s:b}", "says", card->line[i], "heading", card->heading[i]));
    return json_pack("{s:o}", "card", lines);
}

int show_card(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    (void)units;
    struct cow_card *card = malloc(sizeof *card);
    int64_t cow_id;
    if (card == NULL)
        return fail_memory(f);
    int result = dairy_find_cow(d, call->argv[1], &cow_id, f);
    if (result == 0)
        result = dairy_cow_card(d, cow_id, call->now, card, f);
    if (result == 0 && call->json)
        (void)json_print(json_card(card));
    for (size_t i = 0; result == 0 && !call->json && i < card->lines; i++)
        printf("%s%s\n", card->heading[i] ? "" : "  ", card->line[i]);
    free(card);
    return result;
}

/* ---- relief ---- */

static json_t *json_relief(const struct relief_view *v)
{
    json_t *cows = json_array(), *steps = json_array(), *notes = json_array();
    for (size_t i = 0; i < v->cows; i++) {
        const struct relief_cow *c = &v->cow[i];
        json_t *hers = json_array(), *ration = json_array();
        for (size_t k = 0; k < c->notes; k++)
            json_array_append_new(hers, json_string(c->note[k]));
        for (size_t k = 0; k < c->rations; k++)
            json_array_append_new(
                ration, json_pack("{s:s, s:f}", "feed", c->ration[k].feed, "mass_kg", c->ration[k].mass_kg));
        json_array_append_new(
            cows, json_pack("{s:s, s:i, s:s, s:s, s:s, s:o, s:s, s:o, s:o, s:o, s:o, s:o, s:o}", "cow",
                            c->name, "stall", c->stall, "state", c->state, "order", c->order, "verdict",
                            relief_verdict(c->milk), "milked_at", json_moment(c->milked_at), "says", c->goes,
                            "clear_at", json_moment(c->hold.clear_at), "udder", json_text(c->udder), "low_kg",
                            json_number(c->expected.low_kg), "high_kg", json_number(c->expected.high_kg),
                            "ration", ration, "notes", hers));
    }
    for (size_t i = 0; i < v->routine.count; i++) {
        const struct routine_step *s = &v->routine.step[i];
        if (s->every == EVERY_SESSION)
            json_array_append_new(steps,
                                  json_pack("{s:s, s:s, s:o, s:b, s:o}", "phase", phase_word(s->phase), "say",
                                            s->words, "how", json_text(s->how), "each_cow", s->per_cow, "dose",
                                            (int)i == v->dose_step ? json_string(v->dose) : json_null()));
    }
    for (size_t i = 0; i < v->notes; i++)
        json_array_append_new(notes, json_string(v->note[i]));
    return json_pack("{s:s, s:s, s:o, s:b, s:s, s:o, s:o, s:o}", "dairy", v->dairy, "keeper", v->keeper,
                     "milking_at", json_moment(v->milking_at), "milking_open", v->open, "limit", v->limit,
                     "cows", cows, "steps", steps, "notes", notes);
}

static void print_relief_cow(const struct relief_cow *c, enum unit_system units)
{
    char low[QUANTITY_TEXT_MAX], high[QUANTITY_TEXT_MAX];
    printf("%s%s%s: %s%s\n  %s\n", c->name, c->order[0] != '\0' ? ", " : "", c->order,
           relief_verdict(c->milk), instant_known(c->milked_at) ? ", milked already" : "", c->goes);
    if (c->udder[0] != '\0')
        printf("  udder: %s\n", c->udder);
    if (isfinite(c->expected.low_kg))
        printf("  gives about %s to %s\n", quantity_format(c->expected.low_kg, DIM_MASS, units, low),
               quantity_format(c->expected.high_kg, DIM_MASS, units, high));
    for (size_t i = 0; i < c->rations; i++)
        printf("  in her manger: %s %s\n", quantity_format(c->ration[i].mass_kg, DIM_MASS, units, low),
               c->ration[i].feed);
    for (size_t i = 0; i < c->notes; i++)
        printf("  note: %s\n", c->note[i]);
}

static void print_steps(const struct relief_view *v)
{
    int number = 0;
    for (size_t i = 0; i < v->routine.count; i++) {
        const struct routine_step *s = &v->routine.step[i];
        if (s->every != EVERY_SESSION)
            continue;
        if (i == 0 || v->routine.step[i - 1].phase != s->phase)
            printf("%s\n", phase_word(s->phase));
        printf("  %2d. %s%s\n", ++number, s->words, s->per_cow ? " (each cow)" : "");
        if (s->how[0] != '\0')
            printf("      %s\n", s->how);
        if ((int)i == v->dose_step)
            printf("      %s\n", v->dose);
    }
}

int show_relief(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    struct relief_view *v = malloc(sizeof *v);
    char when[CIVIL_TEXT_MAX];
    if (v == NULL)
        return fail_memory(f);
    int result = dairy_relief(d, call->now, v, f);
    if (result == 0 && call->json) {
        (void)json_print(json_relief(v));
    } else if (result == 0) {
        printf("%s: the milking of %s\n", v->dairy, instant_text(v->milking_at, when));
        for (size_t i = 0; i < v->cows; i++)
            print_relief_cow(&v->cow[i], units);
        if (v->tub[0] != '\0')
            printf("%s\n", v->tub);
        for (size_t i = 0; i < v->notes; i++)
            printf("note: %s\n", v->note[i]);
        print_steps(v);
    }
    free(v);
    return result;
}
