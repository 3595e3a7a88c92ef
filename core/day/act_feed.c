/* Acts in the feed room: feed that came or was counted, forage that stands before a cow, what is in a feed of one's own. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/inside.h"
#include "core/feeding/feed.h"
#include "core/store/rows_year.h"

/* ---- stock ---- */

static const struct field stock_fields[] = {
    {"feed", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "feed", "as grass hay, oats"},
    {"mass", FIELD_QUANTITY, DIM_MASS, FIELD_REQUIRED, NULL, "weight", "as 50lb or 400kg"},
    {"cost", FIELD_QUANTITY, DIM_NUMBER, 0, NULL, "cost", "of what came, as 18.50"},
    {"how", FIELD_CHOICE, 0, 0, "came|counted", "how", "came: so much more; counted: that is all there is"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_stock(struct act *a)
{
    struct feed_stock_row row = {.at = a->at, .mass_g = act_milli(a, "mass"), .cost_cents = ROW_NONE};
    double cost = form_number(a->form, "cost", 0), kg = form_number(a->form, "mass", 0);
    bool counted = form_choice(a->form, "how", 0) == 1;
    char mass[QUANTITY_TEXT_MAX];
    act_text(a, "feed", row.feed, sizeof row.feed);
    (void)snprintf(row.kind, sizeof row.kind, "%s", counted ? "counted" : "came");
    if (!counted && kg <= 0)
        return fail_input(a->fail, "mass: that is no weight of feed.");
    if (form_get(a->form, "cost") != NULL && (!(cost >= 0 && cost <= 1e6) || counted))
        return fail_input(a->fail, counted ? "cost: goes with what came, not with a count." : "cost: 0 or more, as 18.50.");
    if (form_get(a->form, "cost") != NULL)
        row.cost_cents = (int64_t)llround(100 * cost);
    act_say(a, "%s of %s %s", say_quantity(a->dairy, kg, DIM_MASS, mass), row.feed, counted ? "counted" : "came");
    if (row.cost_cents != ROW_NONE)
        act_say(a, " for %.2f", cost);
    return row_insert(a->dairy->store, &feed_stock_table, &row, NULL, a->fail);
}

/* ---- forage before her ---- */

static const struct field forage_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "before whom it stands"},
    {"feed", FIELD_NAME, 0, FIELD_AGAIN, NULL, "forage", "as grass hay or grass pasture; empty when there is none any more"},
    FIELD_AT,
    FIELD_WHO,
};

/* One at a time: the next takes the place of the one before. */
static int act_forage(struct act *a)
{
    struct cow_row cow;
    struct free_feed_row old, row = {.from_at = a->at, .until_at = INSTANT_NONE};
    bool found;
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    act_text(a, "feed", row.feed, sizeof row.feed);
    if (rows_first(a->dairy->store, &free_feed_table, "WHERE cow_id = ?1 AND until_at IS NULL",
                   (struct bind[]){BIND_ID(cow.id)}, 1, &old, &found, a->fail) != 0)
        return -1;
    if (row.feed[0] == '\0' && !found)
        return fail_refused(a->fail, "No forage stands before %s.", cow.name);
    old.until_at = a->at;
    if (found && row_update(a->dairy->store, &free_feed_table, &old, a->fail) != 0)
        return -1;
    if (row.feed[0] == '\0') {
        act_say(a, "no more %s before %s", old.feed, cow.name);
        return 0;
    }
    row.cow_id = cow.id;
    act_say(a, "%s stands before %s", row.feed, cow.name);
    return row_insert(a->dairy->store, &free_feed_table, &row, NULL, a->fail);
}

/* ---- what is in it ---- */

static const struct field analysis_fields[] = {
    {"feed", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "feed", "whose analysis, as our hay 2026"},
    {"kind", FIELD_CHOICE, 0, FIELD_REQUIRED, "forage|grain", "kind", "forage or grain"},
    {"dm", FIELD_QUANTITY, DIM_PERCENT, FIELD_REQUIRED, NULL, "dry matter", "of what is weighed, as 84%"},
    {"cp", FIELD_QUANTITY, DIM_PERCENT, FIELD_REQUIRED, NULL, "crude protein", "of the dry matter, as 12.5%"},
    {"energy", FIELD_QUANTITY, DIM_NUMBER, FIELD_REQUIRED, NULL, "energy", "net energy for lactation, Mcal in a kg of dry matter, as 1.25"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_analysis(struct act *a)
{
    struct feed_analysis_row row = {.at = a->at,
                                    .forage = form_choice(a->form, "kind", 0) == 0,
                                    .dm_mpct = act_milli(a, "dm"),
                                    .cp_mpct = act_milli(a, "cp"),
                                    .nel_kcal_per_kg = act_milli(a, "energy")};
    struct feed feed = {.kind = row.forage == 1 ? FEED_FORAGE : FEED_GRAIN,
                        .dm_pct = form_number(a->form, "dm", 0),
                        .cp_pct = form_number(a->form, "cp", 0),
                        .nel_mcal_per_kg = form_number(a->form, "energy", 0)};
    act_text(a, "feed", row.feed, sizeof row.feed);
    if (strlen(row.feed) >= sizeof feed.name)
        return fail_input(a->fail, "feed: a shorter name, at most %zu letters.", sizeof feed.name - 1);
    (void)snprintf(feed.name, sizeof feed.name, "%.39s", row.feed);
    if (feed_check(&feed, a->fail) != 0)
        return -1;
    act_say(a, "%s: dry matter %.4g %%, crude protein %.4g %%, %.3g Mcal/kg", row.feed, feed.dm_pct, feed.cp_pct,
            feed.nel_mcal_per_kg);
    return row_insert(a->dairy->store, &feed_analysis_table, &row, NULL, a->fail);
}

const struct act_kind acts_feed[] = {
    {"stock", "feed came, or was counted", "feed=oats mass=50lb cost=18.50", FIELDS(stock_fields), act_stock},
    {"forage", "forage stands before a cow: she eats what she can still hold", "cow=Maud feed=\"grass hay\"", FIELDS(forage_fields),
     act_forage},
    {"analysis", "what is in a feed of one's own, from the laboratory or the bag",
     "feed=\"our hay\" kind=forage dm=84% cp=11.5% energy=1.2", FIELDS(analysis_fields), act_analysis},
    {0},
};
