/* The facts of a morning: empty ones, words, and what is refused. */
#include <math.h>
#include <string.h>

#include "core/base/quantity.h"
#include "core/cooling/forecast.h"

void morning_init(struct morning *morning, double now)
{
    memset(morning, 0, sizeof *morning);
    morning->now = now;
    morning->tub = (struct tub_facts){
        .start_at = NAN, .water_kg = NAN, .water_c = NAN, .ice_c = NAN, .room_w_per_k = NAN};
    morning->room_c = morning->fridge_c = morning->fridge_w_per_k = NAN;
    morning->milking_start_at = morning->milking_end_at = NAN;
    morning->chart_from = morning->chart_to = NAN;
}

void batch_init(struct batch_facts *batch, const struct jar_kind *kind, int count, double poured_at,
                double poured_c)
{
    memset(batch, 0, sizeof *batch);
    batch->kind = kind;
    batch->count = count;
    batch->volume_l = batch->fat_pct = NAN;
    batch->poured_at = poured_at;
    batch->poured_c = poured_c;
    batch->first = PLACE_TUB;
}

const char *place_word(enum place place)
{
    static const char *const words[PLACE_COUNT] = {"tub", "table", "refrigerator", "gone"};
    return words[place];
}

const char *verdict_word(enum verdict verdict)
{
    static const char *const words[] = {"no limit", "kept",     "will make it", "likely",
                                        "doubtful", "will not", "missed"};
    return words[verdict];
}

const char *remedy_word(enum remedy remedy)
{
    static const char *const words[REMEDIES] = {
        [REMEDY_LEAVE_IN] = "leave them in the tub",
        [REMEDY_PUT_BACK] = "put them back into the tub",
        [REMEDY_WATER] = "move the water",
        [REMEDY_SWIRL] = "move the water, swirl the jars",
        [REMEDY_ICE] = "add ice",
        [REMEDY_REFILL] = "drain the tub and refill it",
        [REMEDY_SPLIT] = "pour it into smaller jars",
    };
    return words[remedy];
}

/* --- what is refused --- */

#define READ_ABOVE_K 0.6 /* a reading may be above the poured temperature by what two thermometers differ */

static int refuse_reading(const struct batch_facts *batch, const struct milk_reading *r, const char *why,
                          struct fail *f)
{
    char c[QUANTITY_TEXT_MAX], fh[QUANTITY_TEXT_MAX];
    return fail_refused(f, "A reading of %s (%s) in the %s jars %s.",
                        quantity_format(r->temp_c, DIM_TEMPERATURE, UNITS_US, fh),
                        quantity_format(r->temp_c, DIM_TEMPERATURE, UNITS_METRIC, c), batch->kind->name, why);
}

static int check_readings(const struct morning *m, const struct batch_facts *batch, struct fail *f)
{
    double warmest_c = INFINITY;
    if (!isnan(batch->poured_c)) /* fmax() passes over a room that is not known */
        warmest_c = fmax(batch->poured_c, m->room_c) + READ_ABOVE_K;
    for (size_t i = 0; i < batch->readings; i++) {
        const struct milk_reading *r = &batch->reading[i];
        if (!isfinite(r->at) || !(r->temp_c > -5 && r->temp_c < 60) || !(r->lag_s >= 0))
            return refuse_reading(batch, r, "cannot be", f);
        if (r->at < batch->poured_at)
            return refuse_reading(batch, r, "is from before they were poured", f);
        if (r->temp_c > warmest_c)
            return refuse_reading(batch, r, "is warmer than they were poured", f);
        if (i > 0 && r->at == batch->reading[i - 1].at)
            return refuse_reading(batch, r, "is the second at one moment; keep the one you trust", f);
        if (i > 0 && r->at < batch->reading[i - 1].at)
            return refuse_reading(batch, r, "is out of order", f);
    }
    return 0;
}

static int check_batch(const struct morning *m, const struct batch_facts *batch, struct fail *f)
{
    if (batch->kind == NULL || jar_kind_check(batch->kind, f) != 0)
        return batch->kind == NULL ? fail_refused(f, "A batch needs a kind of jar.") : -1;
    if (batch->count < 1 || batch->count > 1000)
        return fail_refused(f, "A batch of %d jars cannot be; it has one or more.", batch->count);
    if (batch->volume_l < 0 || batch->volume_l > 1.2 * batch->kind->volume_l)
        return fail_refused(f, "%.2f L do not go into a %s jar.", batch->volume_l, batch->kind->name);
    if (batch->poured_c < -1 || batch->poured_c > 60)
        return fail_refused(f, "Milk is not poured at %.0f °C; %.0f °C is usual.", batch->poured_c, 35.0);
    if (!isfinite(batch->poured_at) || batch->poured_at > m->now + FORECAST_HORIZON_S)
        return fail_refused(f, "It is not said when the %s jars were poured.", batch->kind->name);
    if (batch->moves > BATCH_MOVES_MAX || batch->readings > BATCH_READINGS_MAX)
        return fail_refused(f, "A batch has at most %d moves and %d readings.", BATCH_MOVES_MAX,
                            BATCH_READINGS_MAX);
    for (size_t i = 0; i < batch->moves; i++)
        if (!(batch->move[i].at >= (i == 0 ? batch->poured_at : batch->move[i - 1].at)))
            return fail_refused(
                f, "The %s jars were moved before they were poured, or the moves are out of order.",
                batch->kind->name);
    return check_readings(m, batch, f);
}

static int check_act(const struct tub_act *act, struct fail *f)
{
    bool weighs = act->kind == TUB_ADD_ICE || act->kind == TUB_FILL || act->kind == TUB_DRAIN;
    if (weighs && !(act->mass_kg >= 0))
        return fail_refused(f, "Ice and water cannot weigh less than nothing.");
    if (act->kind == TUB_ADD_ICE && act->temp_c > 0)
        return fail_refused(f, "Ice at %.1f °C is water; ice is at 0 °C or colder.", act->temp_c);
    if (act->kind == TUB_FILL && !(act->temp_c >= 0 && act->temp_c <= 60))
        return fail_refused(f, "The water put in needs its temperature, between freezing and 60 °C.");
    if (act->kind == TUB_READ && !(act->temp_c > -10 && act->temp_c < 60))
        return fail_refused(f, "A tub at %.0f °C cannot be.", act->temp_c);
    return 0;
}

static int check_tub(const struct tub_facts *tub, struct fail *f)
{
    if (tub->acts > TUB_ACTS_MAX)
        return fail_refused(f, "At most %d acts on the tub are followed.", TUB_ACTS_MAX);
    if (tub->water_kg < 0 || tub->ice_kg < 0)
        return fail_refused(f, "Ice and water cannot weigh less than nothing.");
    if (tub->ice_c > 0)
        return fail_refused(f, "Ice at %.1f °C is water; ice is at 0 °C or colder.", tub->ice_c);
    if (tub->water_kg > 0 && !(tub->water_c >= 0 && tub->water_c <= 60))
        return fail_refused(f, "The tub's water needs its temperature, between freezing and 60 °C.");
    for (size_t i = 0; i < tub->acts; i++) {
        if (!isfinite(tub->act[i].at) || (i > 0 && tub->act[i].at < tub->act[i - 1].at))
            return fail_refused(f, "What was done to the tub is out of order.");
        if (check_act(&tub->act[i], f) != 0)
            return -1;
    }
    return 0;
}

int morning_check(const struct morning *m, struct fail *f)
{
    if (!isfinite(m->now))
        return fail_refused(f, "A forecast needs to know what time it is.");
    if (m->batches > BATCHES_MAX || m->learned_count > LEARNED_MAX)
        return fail_refused(f, "At most %d batches and %d earlier mornings are taken.", BATCHES_MAX,
                            LEARNED_MAX);
    if (m->milking_end_at < m->milking_start_at)
        return fail_refused(f, "The milking ended before it began.");
    if (!(m->table_s >= 0))
        return fail_refused(f, "Time on the table cannot be less than nothing.");
    for (size_t i = 0; i < m->batches; i++)
        if (check_batch(m, &m->batch[i], f) != 0)
            return -1;
    return check_tub(&m->tub, f);
}
