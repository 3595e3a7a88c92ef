/* Feeds that run out, among what is due. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/day/ahead_inside.h"
#include "core/day/feed_view.h"

int ahead_add_feed(struct dairy *d, struct ahead_view *v, struct fail *f)
{
    char kg[QUANTITY_TEXT_MAX];
    struct feed_view *feed = malloc(sizeof *feed);
    if (feed == NULL)
        return fail_memory(f);
    int result = dairy_feed(d, v->now, feed, f);
    for (size_t i = 0; i < feed->stocks && result == 0; i++) {
        const struct feed_stock_view *s = &feed->stock[i];
        struct ahead_row *row = ahead_add(v, d, AHEAD_FEED, s->gone_on, "feed", ahead_name_number(s->feed));
        if (row == NULL)
            continue;
        row->urgency = s->urgency;
        row->act = (struct due_act){"stock", "Feed that came", "mass"};
        (void)snprintf(row->who, sizeof row->who, "%s", s->feed);
        (void)snprintf(row->words, sizeof row->words, "runs out");
        (void)snprintf(row->reason, sizeof row->reason, "%s left, fed for %.0f more days",
                       quantity_format(s->left_kg, DIM_MASS, feed->units, kg), floor(s->days_left));
        ahead_preset(row, "feed", s->feed);
    }
    free(feed);
    return result;
}
