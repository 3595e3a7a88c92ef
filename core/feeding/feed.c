#include "core/feeding/feed.h"

#include <stdlib.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/text.h"

/* Columns of assets/feeds.csv. */
enum { COL_NAME, COL_KIND, COL_DM, COL_CP, COL_NEL, COL_SOURCE, COLS };

struct feed_list {
    struct feed *out;
    size_t max, count;
};

static int on_feed_row(void *context, const struct csv_row *row, struct fail *f)
{
    struct feed_list *list = context;
    (void)f;
    if (row->line == 1 || row->count < COLS || list->count == list->max)
        return 0;
    struct feed *feed = &list->out[list->count++];
    (void)text_trim(feed->name, sizeof feed->name, row->cell[COL_NAME]);
    feed->kind = text_same(row->cell[COL_KIND], "forage") ? FEED_FORAGE : FEED_GRAIN;
    feed->dm_pct = strtod(row->cell[COL_DM], NULL);
    feed->cp_pct = strtod(row->cell[COL_CP], NULL);
    feed->nel_mcal_per_kg = strtod(row->cell[COL_NEL], NULL);
    (void)text_trim(feed->source, sizeof feed->source, row->cell[COL_SOURCE]);
    return 0;
}

size_t feed_table(struct feed *out, size_t max)
{
    struct feed_list list = {.out = out, .max = max};
    const struct asset *table = asset_find("feeds.csv");
    if (table != NULL)
        (void)csv_read((const char *)table->bytes, table->size, on_feed_row, &list, NULL);
    return list.count;
}

int feed_find(const char *name, struct feed *out, struct fail *f)
{
    struct feed table[FEEDS_MAX];
    char known[FAIL_TEXT_MAX] = "";
    size_t count = feed_table(table, FEEDS_MAX);
    if (count == 0)
        return fail_memory(f);
    for (size_t i = 0; i < count; i++) {
        if (text_same_name(table[i].name, name)) {
            *out = table[i];
            return 0;
        }
        text_append(known, sizeof known, "%s%s", i == 0 ? "" : ", ", table[i].name);
    }
    return fail_input(f, "\"%.40s\" is not in the table of feeds; there are %s.", name, known);
}

int feed_check(const struct feed *feed, struct fail *f)
{
    if (!(feed->dm_pct >= 5 && feed->dm_pct <= 100))
        return fail_input(f, "%s: dry matter is between 5 and 100 %%.", feed->name);
    if (!(feed->cp_pct >= 0 && feed->cp_pct <= 100))
        return fail_input(f, "%s: protein is between 0 and 100 %% of the dry matter.", feed->name);
    if (!(feed->nel_mcal_per_kg >= 0.3 && feed->nel_mcal_per_kg <= 4))
        return fail_input(f, "%s: energy is between 0.3 and 4 Mcal per kg of dry matter.", feed->name);
    return 0;
}
