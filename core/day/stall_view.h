/* Fills a cow's card from her record; board and cow page share it. For core/day alone. */
#ifndef CORE_DAY_STALL_VIEW_H
#define CORE_DAY_STALL_VIEW_H

#include "core/day/board.h"
#include "core/day/cow_record.h"

/* `milk` is her milk of the open milking; id 0 when there is none: then the milk expected is that of
 * `milking_at`, and the verdict is for milk drawn now. */
void stall_view_fill(const struct cow_record *r, const struct milk_row *milk, struct instant now,
                     struct instant milking_at, struct stall_view *s);

#endif
