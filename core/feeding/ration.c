#include "core/feeding/ration.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

static void add_item(struct ration_sum *sum, double *forage_kg, const struct feed *feed, double fed_kg)
{
    double dm_kg = fed_kg * feed->dm_pct / 100;
    sum->fed_kg += fed_kg;
    sum->dm_kg += dm_kg;
    sum->have_mcal += dm_kg * feed->nel_mcal_per_kg;
    sum->cp_g += dm_kg * feed->cp_pct * 10;
    sum->water_l += fed_kg - dm_kg;
    if (feed->kind == FEED_FORAGE)
        *forage_kg += dm_kg;
}

/* feed1, feed1_kg, feed1_dm_pct, ...: numbered, because names of feeds may be long or alike. */
static void given_part(struct working *w, size_t number, const char *part, double value)
{
    char name[32];
    (void)snprintf(name, sizeof name, "feed%zu_%s", number, part);
    working_given(w, name, value, ORIGIN_CONSTANT);
}

static void item_working(const struct feed *feed, double fed_kg, size_t number, struct working *w)
{
    char name[32];
    if (w == NULL)
        return;
    (void)snprintf(name, sizeof name, "feed%zu", number);
    working_given_text(w, name, feed->name, ORIGIN_GIVEN);
    given_part(w, number, "kg", fed_kg);
    given_part(w, number, "dm_pct", feed->dm_pct);
    given_part(w, number, "mcal_per_kg", feed->nel_mcal_per_kg);
    given_part(w, number, "cp_pct", feed->cp_pct);
    working_step(w, "%s %.2f kg x %.0f %% dry matter x %.2f Mcal/kg, %.1f %% protein", feed->name, fed_kg,
                 feed->dm_pct, feed->nel_mcal_per_kg, feed->cp_pct);
    if (feed->source[0] != '\0')
        working_source(w, feed->source);
}

static int check_item(const struct ration_item *item, const struct ration_item *free_item, struct fail *f)
{
    if (feed_check(&item->feed, f) != 0)
        return -1;
    if (isnan(item->fed_kg) && free_item != NULL)
        return fail_refused(f, "Only one feed can be free choice; weigh %s or %s.", free_item->feed.name,
                            item->feed.name);
    if (!isnan(item->fed_kg) && !(item->fed_kg >= 0 && item->fed_kg <= 200))
        return fail_input(f, "%.0f kg of %s a day cannot be meant.", item->fed_kg, item->feed.name);
    return 0;
}

int ration_sum_of(const struct ration_item *items, size_t count, double intake_kg_dm, struct ration_sum *out,
                  struct working *w, struct fail *f)
{
    const struct ration_item *free_item = NULL;
    double forage_kg = 0;
    memset(out, 0, sizeof *out);
    for (size_t i = 0; i < count; i++) {
        if (check_item(&items[i], free_item, f) != 0)
            return -1;
        if (isnan(items[i].fed_kg)) {
            free_item = &items[i];
            continue;
        }
        add_item(out, &forage_kg, &items[i].feed, items[i].fed_kg);
        item_working(&items[i].feed, items[i].fed_kg, i + 1, w);
    }
    if (free_item != NULL) {
        out->free_kg = fmax(0, intake_kg_dm - out->dm_kg) * 100 / free_item->feed.dm_pct;
        add_item(out, &forage_kg, &free_item->feed, out->free_kg);
        working_step(w, "%s is free choice: she fills up to %.1f kg dry matter with it", free_item->feed.name,
                     intake_kg_dm);
        item_working(&free_item->feed, out->free_kg, (size_t)(free_item - items) + 1, w);
    }
    out->cp_pct = out->dm_kg > 0 ? out->cp_g / 10 / out->dm_kg : NAN;
    out->forage_pct = out->dm_kg > 0 ? 100 * forage_kg / out->dm_kg : NAN;
    return 0;
}

static void balance_working(const struct ration_balance *b, struct working *w)
{
    working_step(w, "balance %.2f - %.2f = %.2f Mcal", b->sum.have_mcal, b->need.total_mcal, b->balance_mcal);
    working_result(w, "need_mcal", b->need.total_mcal);
    working_result(w, "have_mcal", b->sum.have_mcal);
    working_result(w, "balance_mcal", b->balance_mcal);
    working_result(w, "intake_kg_dm", b->need.intake_kg_dm);
    working_result(w, "fed_kg_dm", b->sum.dm_kg);
    working_result(w, "cp_pct", b->sum.cp_pct);
    working_result(w, "cp_need_g", b->need.cp_g);
    working_result(w, "cp_have_g", b->sum.cp_g);
    working_result(w, "forage_pct", b->sum.forage_pct);
    working_result(w, "milk_by_energy_kg", b->milk_by_energy_kg);
    if (isnan(b->sum.cp_pct))
        working_why(w, "Nothing is fed, so there is no dry matter to take a part of.");
    working_source(w, "feed-error");
    working_caution(w,
                    "Tables err: energy of forage by 10 % and more, protein by 15 %. Her condition decides; "
                    "change grain over a week or two, never at once.");
}

int ration_balance_of(const struct feeding_cow *cow, const struct ration_item *items, size_t count,
                      struct ration_balance *out, struct working *w, struct fail *f)
{
    memset(out, 0, sizeof *out);
    if (feed_need_of(cow, &out->need, w, f) != 0 ||
        ration_sum_of(items, count, out->need.intake_kg_dm, &out->sum, w, f) != 0)
        return -1;
    const struct feed_need *n = &out->need;
    out->balance_mcal = out->sum.have_mcal - n->total_mcal;
    out->balance_cp_g = out->sum.cp_g - n->cp_g;
    out->left_kg_dm = n->intake_kg_dm - out->sum.dm_kg;
    if (cow->milk_kg > 0)
        out->milk_by_energy_kg =
            fmax(0, (out->sum.have_mcal - n->total_mcal + n->milk_mcal) / (n->milk_mcal / cow->milk_kg));
    balance_working(out, w);
    return 0;
}

/* Within the error of any table of feeds. */
static const double near_enough_share = 0.05;

const char *ration_text(const struct ration_balance *b, char *buf, size_t size)
{
    double off = b->balance_mcal / b->need.total_mcal;
    if (b->left_kg_dm < -near_enough_share * b->need.intake_kg_dm)
        (void)snprintf(buf, size, "%.1f kg dry matter more than she can be expected to eat", -b->left_kg_dm);
    else if (off < -near_enough_share)
        (void)snprintf(buf, size, "short %.1f Mcal a day: she makes it up from her back", -b->balance_mcal);
    else if (off > near_enough_share)
        (void)snprintf(buf, size, "over by %.1f Mcal a day: she puts on condition", b->balance_mcal);
    else if (b->balance_cp_g < -2 * near_enough_share * b->need.cp_g)
        (void)snprintf(buf, size, "energy is right, protein short by %.0f g a day", -b->balance_cp_g);
    else
        (void)snprintf(buf, size, "meets her need");
    return buf;
}

static int find_feed(const char *name, const struct feed *own, size_t own_count, struct feed *out,
                     struct fail *f)
{
    for (size_t i = 0; i < own_count; i++)
        if (text_same_name(own[i].name, name)) {
            *out = own[i];
            return 0;
        }
    return feed_find(name, out, f);
}

int ration_item_parse(const char *text, const struct feed *own, size_t own_count, struct ration_item *out,
                      struct fail *f)
{
    char name[FEED_NAME_MAX], amount[32];
    const char *colon = strrchr(text, ':');
    struct ration_item item;
    if (colon == NULL || colon == text || (size_t)(colon - text) >= sizeof name)
        return fail_input(f, "\"%.40s\" is not understood; write the feed and its weight, as oats:3kg.",
                          text);
    memcpy(name, text, (size_t)(colon - text));
    name[colon - text] = '\0';
    if (!text_trim(amount, sizeof amount, colon + 1))
        return fail_input(f, "\"%.40s\" is not a weight; write it as 3kg, 6lb or free.", colon + 1);
    if (find_feed(name, own, own_count, &item.feed, f) != 0)
        return -1;
    if (text_same(amount, "free"))
        item.fed_kg = NAN;
    else if (quantity_parse(amount, DIM_MASS, "kg", &item.fed_kg, f) != 0)
        return -1;
    *out = item;
    return 0;
}
