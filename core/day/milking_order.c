#include "core/day/milking_order.h"

bool cow_under_treatment(const struct cow_record *r, const struct hold_state *hold)
{
    for (size_t i = 0; i < hold->reasons && i < HOLD_REASONS_MAX; i++)
        if (hold->reason[i].cause == CAUSE_HOLD &&
            (r->holds.holds[hold->reason[i].hold].kind == HOLD_TREATMENT ||
             r->holds.holds[hold->reason[i].hold].kind == HOLD_DRY_COW))
            return true;
    return false;
}

static bool is_doubtful(const struct cow_record *r, const struct hold_state *hold)
{
    for (int q = 0; q < QUARTERS; q++)
        if (r->quarters[q].state == QUARTER_NEW || r->quarters[q].state == QUARTER_CHRONIC ||
            r->quarters[q].state == QUARTER_CLEARING)
            return true;
    return !hold->keep;
}

size_t milking_order(const struct facts *facts, struct instant at, struct order_cow out[MILKING_ORDER_MAX])
{
    size_t n = 0;
    for (size_t i = 0; i < facts->cows && n < MILKING_ORDER_MAX; i++) {
        const struct cow_record *r = &facts->cow[i];
        struct hold_state hold;
        if (!r->stage.in_milk)
            continue;
        hold_state(&r->holds.facts, facts->milk_now[i].id != 0 ? facts->milk_now[i].at : at, &hold, NULL);
        out[n++] = (struct order_cow){.id = (int64_t)i,
                                      .stall = r->row.stall == ROW_NONE ? 99 : (int)r->row.stall,
                                      .milk_days = r->stage.day,
                                      .doubtful = is_doubtful(r, &hold),
                                      .treated = cow_under_treatment(r, &hold)};
    }
    order_cows(out, n);
    return n;
}
