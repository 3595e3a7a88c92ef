#include "core/day/chill_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/base/text.h"
#include "core/day/facts.h"

const char *board_remedy_text(const struct board *b, const struct advice *x, char *buf, size_t size)
{
    char mass[QUANTITY_TEXT_MAX];
    bool back = x->back && x->remedy != REMEDY_PUT_BACK;
    if (x->into != NULL)
        (void)snprintf(buf, size, "pour it into %d %s jar%s", x->into_count, x->into->name, x->into_count == 1 ? "" : "s");
    else
        (void)snprintf(buf, size, "%s%s", back ? "back in, " : "", remedy_word(x->remedy));
    if (x->amount_kg > 0)
        (void)text_append(buf, size, " (%s)", quantity_format(x->amount_kg, DIM_MASS, b->units, mass));
    return buf;
}

const char *board_advice_text(const struct board *b, const struct advice *x, char *buf, size_t size)
{
    char remedy[120], when[CIVIL_TEXT_MAX];
    (void)snprintf(buf, size, "%c: %s", b->batch[x->batch].letter, board_remedy_text(b, x, remedy, sizeof remedy));
    if (isfinite(x->to_limit.at))
        (void)text_append(buf, size, ": there by %s, %s",
                          clock_text((struct instant){(int64_t)x->to_limit.at}, when),
                          verdict_word(x->verdict));
    return buf;
}

/* Plans the way of those jars from now on. */
static void plan_pull(struct batch_facts *batch, double now, double table_s)
{
    const enum place first = table_s > 0 ? PLACE_TABLE : PLACE_FRIDGE;
    batch->move[batch->moves++] = (struct jar_move){.at = now, .from = PLACE_TUB, .to = first};
    if (table_s > 0)
        batch->move[batch->moves++] =
            (struct jar_move){.at = now + table_s, .from = PLACE_TABLE, .to = PLACE_FRIDGE};
}

int board_pull_now(struct dairy *d, const struct board *b, size_t i, struct batch_forecast *out, struct fail *f)
{
    struct morning *morning = malloc(sizeof *morning);
    struct forecast *forecast = malloc(sizeof *forecast);
    int result = -1;
    if (morning == NULL || forecast == NULL) {
        fail_memory(f);
    } else if (facts_load(d, b->now, false, f) == 0) {
        result = fail_refused(f, "None of its jars stands in the tub.");
        *morning = d->facts->chill.morning;
        morning->now = (double)b->now.s;
        for (size_t n = 0; n < morning->batches; n++) {
            if (i >= b->batches || d->facts->chill.batch[n].id != b->batch[i].id ||
                b->batch[i].forecast.jars_at[PLACE_TUB] == 0 || morning->batch[n].moves + 2 > BATCH_MOVES_MAX)
                continue;
            plan_pull(&morning->batch[n], morning->now, morning->table_s);
            result = forecast_make(morning, forecast, f);
            if (result == 0)
                *out = forecast->batch[n];
        }
    }
    free(morning);
    free(forecast);
    return result;
}
