/* What the batch page shows beside the board's own figures. */
#ifndef CORE_DAY_CHILL_VIEW_H
#define CORE_DAY_CHILL_VIEW_H

#include "core/day/board.h"

/* "move the water", "back in, move the water" (when the jars are out), "add ice (20 lb)", "pour it into 8 quart jars".
 * Returns buf. */
const char *board_remedy_text(const struct board *b, const struct advice *x, char *buf, size_t size);

/* "A: move the water: there by 07:40, likely". Returns buf. */
const char *board_advice_text(const struct board *b, const struct advice *x, char *buf, size_t size);

/* The forecast of batch i of the board if all its jars that stand in the tub came out now: over the table, as
 * long as is usual there, into the refrigerator. Refused when none stands in it. */
int board_pull_now(struct dairy *d, const struct board *b, size_t i, struct batch_forecast *out, struct fail *f);

#endif
