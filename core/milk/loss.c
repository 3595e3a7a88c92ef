#include "core/milk/loss.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

static const char *const words[LOSS_CAUSES] = {
    [LOSS_SPILLED] = "spilled",   [LOSS_HELD] = "held",   [LOSS_FRESH] = "fresh",
    [LOSS_ABNORMAL] = "abnormal", [LOSS_WARM] = "warm",   [LOSS_OUTAGE] = "outage",
    [LOSS_LAB] = "lab",           [LOSS_TASTE] = "taste", [LOSS_OLD] = "old",
    [LOSS_BROKEN] = "broken",     [LOSS_OTHER] = "other",
};

const char *loss_word(enum loss_cause cause)
{
    return words[cause];
}

int loss_parse(const char *text, enum loss_cause *out, struct fail *f)
{
    char all[FAIL_TEXT_MAX] = "";
    for (int i = 0; i < LOSS_CAUSES; i++) {
        if (text_same(text, words[i])) {
            *out = (enum loss_cause)i;
            return 0;
        }
        text_append(all, sizeof all, "%s%s", i == 0 ? "" : ", ", words[i]);
    }
    return fail_input(f, "\"%.40s\" is not a cause of loss; there are %s.", text, all);
}

int64_t loss_month_g(const struct loss_month *m)
{
    int64_t sum = 0;
    for (int i = 0; i < LOSS_CAUSES; i++)
        sum += m->mass_g[i];
    return sum;
}

enum loss_cause loss_worst(const struct loss_month *m)
{
    enum loss_cause worst = LOSS_CAUSES;
    int64_t most = 0;
    for (int i = 0; i < LOSS_CAUSES; i++)
        if (m->mass_g[i] > most) {
            most = m->mass_g[i];
            worst = (enum loss_cause)i;
        }
    return worst;
}

/* The month of that year, put in its place when it is new; NULL when there is no room. */
static struct loss_month *month_slot(struct loss_month *months, size_t max, size_t *count, int year,
                                     int month)
{
    size_t at = *count;
    int key = year * 12 + month;
    while (at > 0 && months[at - 1].year * 12 + months[at - 1].month > key)
        at--;
    if (at > 0 && months[at - 1].year * 12 + months[at - 1].month == key)
        return &months[at - 1];
    if (*count == max)
        return NULL;
    memmove(&months[at + 1], &months[at], (*count - at) * sizeof months[0]);
    months[at] = (struct loss_month){year, month, {0}};
    (*count)++;
    return &months[at];
}

int loss_by_month(const struct loss *loss, size_t n, struct loss_month *months, size_t max, size_t *count,
                  struct fail *f)
{
    *count = 0;
    for (size_t i = 0; i < n; i++) {
        struct civil c;
        if (!date_known(loss[i].on) || loss[i].mass_g < 0 || (int)loss[i].cause >= LOSS_CAUSES)
            return fail_input(f, "Loss %zu needs a day, a cause and a weight of 0 or more.", i + 1);
        date_to_civil(loss[i].on, &c);
        struct loss_month *m = month_slot(months, max, count, c.year, c.month);
        if (m == NULL)
            return fail_refused(f, "There are losses in more than %zu months.", max);
        m->mass_g[loss[i].cause] += loss[i].mass_g;
    }
    return 0;
}

void loss_say(const struct loss_month *m, int64_t milked_g, enum unit_system units, char say[static 160],
              struct working *w)
{
    char lost[QUANTITY_TEXT_MAX], most[QUANTITY_TEXT_MAX];
    double lost_kg = (double)loss_month_g(m) / 1000, part_pct = NAN;
    enum loss_cause worst = loss_worst(m);
    (void)snprintf(say, 160, "%s lost", quantity_format(lost_kg, DIM_MASS, units, lost));
    if (milked_g > 0) {
        part_pct = 100 * lost_kg / ((double)milked_g / 1000);
        text_append(say, 160, ", %.1f %% of what was milked", part_pct);
    }
    if (worst != LOSS_CAUSES)
        text_append(say, 160, "; most of it %s, %s", loss_word(worst),
                    quantity_format((double)m->mass_g[worst] / 1000, DIM_MASS, units, most));
    text_append(say, 160, ".");
    for (int i = 0; i < LOSS_CAUSES; i++) {
        char name[32];
        (void)snprintf(name, sizeof name, "%s_kg", words[i]);
        working_given(w, name, (double)m->mass_g[i] / 1000, ORIGIN_RECORDED);
    }
    working_step(w, "%s", say);
    working_result(w, "lost_kg", lost_kg);
    working_result(w, "part_pct", part_pct);
    if (milked_g <= 0)
        working_why(w, "What was milked that month is not known, so the part lost is not either.");
}
