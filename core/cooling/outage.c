#include "core/cooling/outage.h"

#include <math.h>

#include "core/base/quantity.h"
#include "core/cooling/matter.h"
#include "core/cooling/newton.h"
#include "core/cooling/root.h"

#define START_USUAL_C 3.0
#define FRIDGE_MOST_C 3.0 /* what a refrigerator goes back to at the warmest */
#define CONTENTS_USUAL_KG                                                                                    \
    20.0 /* a half-full household refrigerator, its own fittings counted: common practice, no source */
#define WALLS_USUAL_W_K 1.2    /* household refrigerator, door shut: common practice, no source */
#define RECOVER_USUAL   0.0045 /* per minute: a half gallon in still refrigerator air near its end */

const char *outage_word(enum outage_verdict verdict)
{
    static const char *const words[] = {"keep", "chill and use first", "discard"};
    return words[verdict];
}

/* The facts with their usual values filled in. */
struct filled {
    double minutes, start_c, room_c, rate, fridge_c, recover, limit_c;
};

static double or_usual(double value, double usual)
{
    return isnan(value) ? usual : value;
}

static void fill(const struct outage_facts *facts, struct filled *x)
{
    double contents = or_usual(facts->contents_kg, CONTENTS_USUAL_KG) * WATER_HEAT_J_PER_KGK;
    *x = (struct filled){.minutes = facts->minutes,
                         .start_c = or_usual(facts->start_c, START_USUAL_C),
                         .room_c = facts->room_c,
                         .rate = 60 * or_usual(facts->walls_w_per_k, WALLS_USUAL_W_K) / contents,
                         .recover = or_usual(facts->recover_per_min, RECOVER_USUAL),
                         .limit_c = temp_c_from_f(OUTAGE_LIMIT_F)};
    x->fridge_c = fmin(x->start_c, FRIDGE_MOST_C);
    if (!isnan(facts->end_c) && facts->end_c > x->start_c)
        x->rate = newton_rate(x->start_c, x->room_c, x->minutes, facts->end_c);
    else if (!isnan(facts->end_c))
        x->rate = 0;
}

static double warm_from(const struct filled *x)
{
    if (x->start_c > x->limit_c)
        return 0;
    return x->rate > 0 ? newton_time(x->start_c, x->room_c, x->rate, x->limit_c) : NAN;
}

static double temp_after(const struct filled *x, double minutes)
{
    return newton_temp(x->start_c, x->room_c, x->rate, minutes);
}

/* Minutes above the limit in all, if the power comes back after `minutes`. */
static double warm_minutes(const struct filled *x, double minutes)
{
    double from = warm_from(x), end_c = temp_after(x, minutes);
    if (!(from < minutes) || !(end_c > x->limit_c))
        return 0;
    return minutes - from + newton_time(end_c, x->fridge_c, x->recover, x->limit_c);
}

static double over_allowed(double minutes, const void *context)
{
    return warm_minutes(context, minutes) - OUTAGE_LIMIT_MIN;
}

/* The longest cut that still leaves less than two hours above the limit. */
static double safe_minutes(const struct filled *x)
{
    double from = warm_from(x);
    if (isnan(from))
        return INFINITY;
    return over_allowed(from, x) >= 0 ? from
                                      : root_find(over_allowed, x, from, from + OUTAGE_LIMIT_MIN, 1e-9);
}

static int check_facts(const struct outage_facts *facts, struct fail *f)
{
    double start_c = or_usual(facts->start_c, START_USUAL_C);
    if (!(facts->minutes >= 0))
        return fail_refused(f, "The power cannot have been off for less than no time.");
    if (!isfinite(facts->room_c))
        return fail_refused(f, "The temperature of the room is needed.");
    if (facts->contents_kg <= 0 || facts->walls_w_per_k < 0 || facts->recover_per_min <= 0)
        return fail_refused(f, "Contents and rates are above zero.");
    if (facts->end_c < start_c - 0.5)
        return fail_refused(
            f, "The jar was read colder than before the cut; a refrigerator without power does not "
               "cool. Check the reading.");
    if (facts->end_c > start_c && facts->end_c >= facts->room_c)
        return fail_refused(f,
                            "The jar was read as warm as the room or warmer; a shut refrigerator does not do "
                            "that. Check the reading.");
    return 0;
}

static void show(const struct filled *x, const struct outage_facts *facts, const struct outage *out,
                 struct working *w)
{
    working_given(w, "off_min", x->minutes, ORIGIN_GIVEN);
    working_given(w, "start_c", x->start_c, isnan(facts->start_c) ? ORIGIN_DEFAULT : ORIGIN_GIVEN);
    working_given(w, "room_c", x->room_c, ORIGIN_GIVEN);
    working_given(w, "end_read_c", facts->end_c, ORIGIN_MEASURED);
    working_given(w, "warming_per_min", x->rate, isnan(facts->end_c) ? ORIGIN_DEFAULT : ORIGIN_MEASURED);
    working_given(w, "recover_per_min", x->recover,
                  isnan(facts->recover_per_min) ? ORIGIN_DEFAULT : ORIGIN_GIVEN);
    working_given(w, "limit_c", x->limit_c, ORIGIN_CONSTANT);
    working_step(w, "T = room + (start - room) e^(-k t): %.1f C when the power came back", out->end_c);
    working_step(w, "above 40 F for %.0f min in all; two hours is too long", out->warm_min);
    working_result(w, "end_c", out->end_c);
    working_result(w, "warm_from_min", out->warm_from_min);
    working_result(w, "warm_until_min", out->warm_until_min);
    working_result(w, "warm_min", out->warm_min);
    working_result(w, "safe_min", out->safe_minutes);
    working_result_text(w, "verdict", outage_word(out->verdict));
    working_source(w, "outage-40f");
    working_source(w, "newton-cooling");
    working_caution(w, "When in doubt, throw it out: keeping cold is not safety, and a reading in a jar "
                       "beats any estimate.");
}

int outage_judge(const struct outage_facts *facts, struct outage *out, struct working *w, struct fail *f)
{
    struct filled x;
    if (check_facts(facts, f) != 0)
        return -1;
    fill(facts, &x);
    *out = (struct outage){.end_c = temp_after(&x, x.minutes),
                           .rate_per_min = x.rate,
                           .warm_from_min = NAN,
                           .warm_until_min = NAN,
                           .warm_min = warm_minutes(&x, x.minutes),
                           .safe_minutes = safe_minutes(&x)};
    if (out->warm_min > 0) {
        out->warm_from_min = warm_from(&x);
        out->warm_until_min = out->warm_from_min + out->warm_min;
    }
    out->verdict = out->warm_min >= OUTAGE_LIMIT_MIN ? OUTAGE_DISCARD
                   : out->warm_min > 0               ? OUTAGE_USE_NOW
                                                     : OUTAGE_KEEP;
    if (w != NULL)
        show(&x, facts, out, w);
    return 0;
}

double outage_temp_c(const struct outage_facts *facts, const struct outage *outage, double minutes)
{
    struct filled x;
    fill(facts, &x);
    x.rate = outage->rate_per_min;
    return temp_after(&x, minutes);
}
