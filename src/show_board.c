/* The board as text and as JSON. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/board.h"
#include "src/json.h"
#include "src/show.h"

static const char *const urgency_words[] = {"calm", "watch", "stop"};

static json_t *json_seconds(double at_s)
{
    return isfinite(at_s) ? json_moment((struct instant){(int64_t)floor(at_s)}) : json_null();
}

static json_t *json_expectation(const struct expectation *e)
{
    return json_pack("{s:o, s:o, s:o}", "kg", json_number(e->kg), "low_kg", json_number(e->low_kg), "high_kg",
                     json_number(e->high_kg));
}

static json_t *json_stall(const struct stall_view *s)
{
    if (s->empty)
        return json_pack("{s:i, s:n}", "stall", s->number, "cow");
    json_t *ration = json_array();
    for (size_t i = 0; i < s->rations; i++)
        json_array_append_new(
            ration, json_pack("{s:s, s:f}", "feed", s->ration[i].feed, "mass_kg", s->ration[i].mass_kg));
    return json_pack("{s:i, s:s, s:s, s:o, s:o, s:b, s:b, s:o, s:o, s:o, s:s, s:o, s:o, s:o}", "stall",
                     s->number, "cow", s->name, "state", s->state, "breeding", json_text(s->breeding),
                     "udder", json_text(s->udder), "in_milk", s->in_milk, "milked", s->milked, "milk_kg",
                     json_number(s->today_kg), "expected", json_expectation(&s->expected), "yield",
                     json_text(s->yield), "verdict", s->in_milk ? hold_verdict(&s->hold) : "", "held_because",
                     json_text(s->keep ? NULL : s->hold.words), "clear_at", json_moment(s->hold.clear_at),
                     "ration", ration);
}

static json_t *json_band(const struct moment_band *m)
{
    return json_pack("{s:o, s:o, s:o}", "at", json_seconds(m->at), "early_at", json_seconds(m->early_at),
                     "late_at", json_seconds(m->late_at));
}

static json_t *json_batch(const struct batch_view *v)
{
    const struct batch_forecast *f = &v->forecast;
    json_t *readings = json_array();
    for (size_t i = 0; i < v->readings; i++)
        json_array_append_new(readings, json_pack("{s:o, s:f}", "at", json_seconds(v->reading[i].at),
                                                  "temp_c", v->reading[i].temp_c));
    json_t *object =
        json_pack("{s:s, s:s#, s:s, s:i, s:f, s:s, s:o, s:o, s:f, s:s, s:o, s:b, s:o, s:o, s:o, s:o}", "code",
                  v->code, "letter", &v->letter, 1, "jar", v->kind, "count", v->count, "volume_l",
                  v->volume_l, "cows", v->cows, "held_because", json_text(v->held_why), "poured_at",
                  json_moment(v->poured_at), "poured_c", v->poured_c, "place", place_word(f->place), "now_c",
                  json_number(f->now_c), "now_read", f->now_read, "to_50f", json_band(&f->to_50f), "to_45f",
                  json_band(&f->to_45f), "to_40f", json_band(&f->to_40f), "readings", readings);
    if (object == NULL)
        return NULL;
    json_object_set_new(
        object, "limit",
        json_pack("{s:o, s:o, s:s, s:f, s:o, s:o, s:o, s:o}", "temp_c", json_number(f->limit_c),
                  "deadline_at", json_seconds(f->deadline_at), "verdict", verdict_word(f->verdict),
                  "probability", f->probability, "in_hand_min", json_number(f->in_hand_s / 60),
                  "safe_pull_at", json_seconds(f->safe_pull_at), "earliest_pull_at",
                  json_seconds(f->earliest_pull_at), "latest_pull_at", json_seconds(f->latest_pull_at)));
    return object;
}

static json_t *json_tub(const struct board *b)
{
    json_t *advice = json_array();
    for (size_t i = 0; i < b->advice_count; i++) {
        const struct advice *a = &b->advice[i];
        json_array_append_new(advice, json_pack("{s:s, s:o, s:o, s:s, s:b}", "remedy", remedy_word(a->remedy),
                                                "amount_kg", json_number(a->amount_kg), "to_limit",
                                                json_band(&a->to_limit), "verdict", verdict_word(a->verdict),
                                                "cheapest", (int)i == b->cheapest));
    }
    return json_pack("{s:b, s:o, s:b, s:o, s:o, s:s, s:o}", "known", b->tub.known, "temp_c",
                     json_number(b->tub.temp_c), "temp_read", b->tub.temp_read, "ice_kg",
                     json_number(b->tub.ice_kg), "ice_gone_at", json_seconds(b->tub.ice_gone_at), "stir",
                     stir_word(b->tub.stir), "advice", advice);
}

static json_t *json_chores(const struct board *b)
{
    static const char *const states[] = {"open", "waiting", "running", "done", "skipped", "not due"};
    json_t *steps = json_array();
    for (size_t i = 0; i < b->progress.count; i++) {
        const struct progress_row *r = &b->progress.row[i];
        json_array_append_new(
            steps, json_pack("{s:s, s:s, s:s, s:o, s:s, s:o, s:o, s:o}", "step", r->step->id, "say",
                             r->step->words, "phase", phase_word(r->step->phase), "cow",
                             json_text(r->cow >= 0 ? b->cow[r->cow].name : NULL), "state", states[r->state],
                             "waits_for", json_text(r->state == STATE_WAITING ? r->why : NULL), "begun_at",
                             json_moment(r->begun_at), "done_at", json_moment(r->done_at)));
    }
    return json_pack("{s:I, s:I, s:s, s:o, s:o}", "done", (json_int_t)b->progress.done, "of",
                     (json_int_t)b->progress.rows, "next", b->progress.next_text, "ends_at",
                     json_moment(b->progress.ends_at), "steps", steps);
}

json_t *json_board(const struct board *b)
{
    json_t *stalls = json_array(), *batches = json_array(), *others = json_array();
    for (size_t i = 0; i < b->stalls; i++)
        json_array_append_new(stalls, json_stall(&b->stall[i]));
    for (size_t i = 0; i < b->others; i++)
        json_array_append_new(others,
                              json_pack("{s:s, s:s}", "cow", b->other[i].name, "state", b->other[i].state));
    for (size_t i = 0; i < b->batches; i++)
        json_array_append_new(batches, json_batch(&b->batch[i]));
    return json_pack("{s:s, s:o, s:s, s:s, s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:o}", "dairy", b->dairy, "now",
                     json_moment(b->now), "urgency", urgency_words[b->urgency], "sentence", b->sentence,
                     "detail", json_text(b->detail), "milking",
                     json_pack("{s:b, s:o, s:o, s:o}", "open", b->milking_open, "opened_at",
                               json_moment(b->opened_at), "started_at", json_moment(b->started_at),
                               "ended_at", json_moment(b->ended_at)),
                     "limit_set", b->limit.name, "stalls", stalls, "elsewhere", others, "batches", batches,
                     "tub", json_tub(b), "chores", json_chores(b));
}

/* ---- text ---- */

static void print_stall(const struct stall_view *s, enum unit_system units)
{
    char kg[QUANTITY_TEXT_MAX], low[QUANTITY_TEXT_MAX], high[QUANTITY_TEXT_MAX];
    if (s->empty) {
        printf("  %d  empty\n", s->number);
        return;
    }
    printf("  %d  %-12s %s", s->number, s->name, s->state);
    if (isfinite(s->today_kg))
        printf(", %s", quantity_format(s->today_kg, DIM_MASS, units, kg));
    if (isfinite(s->expected.kg))
        printf(", expected %s to %s", quantity_format(s->expected.low_kg, DIM_MASS, units, low),
               quantity_format(s->expected.high_kg, DIM_MASS, units, high));
    if (s->yield[0] != '\0')
        printf(", %s", s->yield);
    printf(", %s, %s", s->udder, s->breeding);
    if (s->in_milk)
        printf(": %s%s%s", hold_verdict(&s->hold), s->keep ? "" : ", ", s->keep ? "" : s->hold.words);
    putchar('\n');
    for (size_t i = 0; i < s->rations; i++)
        printf("       %s %s\n", quantity_format(s->ration[i].mass_kg, DIM_MASS, units, kg),
               s->ration[i].feed);
}

static void print_batch(const struct batch_view *v, enum unit_system units)
{
    const struct batch_forecast *f = &v->forecast;
    char temp[QUANTITY_TEXT_MAX], limit[QUANTITY_TEXT_MAX], at[CIVIL_TEXT_MAX];
    printf("  %s  %d %s of %s, poured %s: %s %s", v->code, v->count, v->kind, v->cows,
           clock_text(v->poured_at, at), quantity_format(f->now_c, DIM_TEMPERATURE, units, temp),
           f->now_read ? "read" : "forecast");
    printf(", %s", place_word(f->place));
    if (f->verdict != VERDICT_NONE && isfinite(f->deadline_at))
        printf("; %s by %s: %s", quantity_format(f->limit_c, DIM_TEMPERATURE, units, limit),
               clock_text((struct instant){(int64_t)f->deadline_at}, at), verdict_word(f->verdict));
    if (isfinite(f->in_hand_s))
        printf(", %s %s", span_text((int64_t)(f->in_hand_s < 0 ? 59 - f->in_hand_s : f->in_hand_s), at), /* a minute begun is late */
               f->in_hand_s < 0 ? "late" : "in hand");
    if (isfinite(f->safe_pull_at) && f->place == PLACE_TUB)
        printf(", safe out at %s", clock_text((struct instant){(int64_t)f->safe_pull_at}, at));
    putchar('\n');
    if (v->held_why[0] != '\0')
        printf("       HELD MILK: %s\n", v->held_why);
}

static void print_chores(const struct board *b)
{
    char text[120];
    printf("Chores, %zu of %zu\n", b->progress.done, b->progress.rows);
    for (size_t i = 0; i < b->progress.count; i++) {
        const struct progress_row *r = &b->progress.row[i];
        printf("  %-7s %s %s%s%s  %s\n", phase_word(r->step->phase), r->state == STATE_DONE ? "x" : " ",
               r->step->words, r->cow >= 0 ? ", " : "", r->cow >= 0 ? b->cow[r->cow].name : "",
               progress_row_text(r, b->now, text, sizeof text));
    }
}

static void print_board(const struct board *b, enum unit_system units)
{
    char when[CIVIL_TEXT_MAX], text[QUANTITY_TEXT_MAX], ice[QUANTITY_TEXT_MAX];
    printf("%s, %s\n%s\n", b->dairy, instant_text(b->now, when), b->sentence);
    if (b->detail[0] != '\0')
        printf("%s\n", b->detail);
    puts("Stalls");
    for (size_t i = 0; i < b->stalls; i++)
        print_stall(&b->stall[i], units);
    for (size_t i = 0; i < b->others; i++)
        printf("  -  %-12s %s\n", b->other[i].name, b->other[i].state);
    puts("Chill");
    for (size_t i = 0; i < b->batches; i++)
        print_batch(&b->batch[i], units);
    if (b->tub.known)
        printf("  tub %s, %s ice left\n", quantity_format(b->tub.temp_c, DIM_TEMPERATURE, units, text),
               b->tub.ice_kg > 0.005 ? quantity_format(b->tub.ice_kg, DIM_MASS, units, ice) : "no");
    print_chores(b);
}

int show_board(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    struct board *b = malloc(sizeof *b);
    if (b == NULL)
        return fail_memory(f);
    int result = dairy_board(d, call->now, b, f);
    if (result == 0 && call->json)
        (void)json_print(json_board(b));
    else if (result == 0)
        print_board(b, units);
    free(b);
    return result;
}
