#include "core/breeding/facts.h"

struct date breeding_later(struct date a, struct date b)
{
    if (!date_known(a))
        return b;
    return date_known(b) && b.days > a.days ? b : a;
}

struct date breeding_spell_start(const struct breeding *b, struct date before_on)
{
    struct date since_on = DATE_NONE;
    for (size_t i = 0; i < b->calving_count; i++)
        if (b->calvings[i].on.days < before_on.days)
            since_on = breeding_later(since_on, b->calvings[i].on);
    for (size_t i = 0; i < b->loss_count; i++)
        if (b->losses[i].days < before_on.days)
            since_on = breeding_later(since_on, b->losses[i]);
    return since_on;
}
