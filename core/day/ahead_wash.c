/* Parts of the gear that come to the end of their lives, stock that runs out, and samples on their way, among what is due. */
#include <stdio.h>
#include <stdlib.h>

#include "core/day/ahead_inside.h"
#include "core/day/wash_view.h"

static void add_part(struct dairy *d, struct ahead_view *v, const struct wash_part_view *part)
{
    if (!part->recorded || part->days_left > 3660)
        return;
    struct ahead_row *row =
        ahead_add(v, d, AHEAD_WASH, date_add(v->today, part->days_left), "part", ahead_name_number(part->name));
    if (row == NULL)
        return;
    row->urgency = part->urgency;
    row->act = (struct due_act){"part", "A part, a job or its stock", "fitted"};
    (void)snprintf(row->who, sizeof row->who, "wash bench");
    (void)snprintf(row->words, sizeof row->words, "%s: %s", part->words,
                   part->kind == PART_SERVICE ? "to be done" : part->kind == PART_STOCK ? "runs out" : "to be replaced");
    (void)snprintf(row->reason, sizeof row->reason, "%s: %s", part->words, part->text);
    ahead_preset(row, "name", part->name);
}

static void add_sample(struct dairy *d, struct ahead_view *v, const struct wash_sample_view *sample)
{
    struct ahead_row *row = ahead_add(v, d, AHEAD_WASH, v->today, "sample", ahead_name_number(sample->name));
    if (row == NULL)
        return;
    row->urgency = sample->urgency;
    row->act = (struct due_act){"lab", "Its figures, or that it was sent", "sent"};
    (void)snprintf(row->who, sizeof row->who, "%s", sample->name);
    (void)snprintf(row->words, sizeof row->words, "sample: %.100s", sample->text);
    ahead_preset(row, "sample", sample->name);
}

int ahead_add_wash(struct dairy *d, struct ahead_view *v, struct fail *f)
{
    struct wash_view *wash = malloc(sizeof *wash);
    if (wash == NULL)
        return fail_memory(f);
    int result = dairy_wash(d, v->now, wash, f);
    for (size_t i = 0; i < wash->parts && result == 0; i++)
        add_part(d, v, &wash->part[i]);
    for (size_t i = 0; i < wash->samples && result == 0; i++)
        add_sample(d, v, &wash->sample[i]);
    free(wash);
    return result;
}
