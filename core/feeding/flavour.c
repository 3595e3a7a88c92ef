#include "core/feeding/flavour.h"

#include "core/base/text.h"

/* Which feeds, and how badly when fed an hour before milking: Babcock 1928, source flavour-feeds.
 * Hours where a source gives them; else 5, usual advice from memory. */
/* clang-format off */
const struct flavour_feed flavour_feeds[] = {
    {"corn silage",    true,  5,  "silage",        "flavour-memory"},
    {"alfalfa silage", true,  5,  "silage",        "flavour-memory"},
    {"clover silage",  true,  5,  "silage",        "flavour-memory"},
    {"soybean silage", true,  5,  "silage",        "flavour-memory"},
    {"green alfalfa",  true,  3,  "grassy",        "flavour-clear" },
    {"clover pasture", false, 4,  "grassy",        "flavour-clear" },
    {"cabbage",        true,  12, "cabbage",       "flavour-clear" },
    {"turnip",         true,  12, "cabbage",       "flavour-memory"},
    {"rape",           true,  12, "cabbage",       "flavour-memory"},
    {"kale",           true,  12, "cabbage",       "flavour-memory"},
    {"wild onion",     true,  7,  "onion, garlic", "flavour-memory"},
    {"wild garlic",    true,  7,  "onion, garlic", "flavour-memory"},
    {"green rye",      false, 5,  "grassy",        "flavour-memory"},
    {"cowpeas",        false, 5,  "feed",          "flavour-memory"},
    {"potatoes",       false, 5,  "feed",          "flavour-memory"},
    {"beet pulp",      false, 5,  "feed",          "flavour-memory"},
    {"carrots",        false, 5,  "feed",          "flavour-memory"},
    {NULL,             false, 0,  NULL,            NULL            },
};
/* clang-format on */

const struct flavour_feed *flavour_find(const char *name)
{
    for (const struct flavour_feed *row = flavour_feeds; row->name != NULL; row++)
        if (text_same_name(row->name, name))
            return row;
    return NULL;
}

struct instant flavour_clear_at(const struct flavour_feed *feed, struct instant eaten_at)
{
    return (struct instant){eaten_at.s + (int64_t)(feed->clear_h * 3600)};
}
