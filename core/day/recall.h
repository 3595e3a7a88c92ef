/* The recall as board, shelf and acts need it, inside a transaction. For core/day alone. */
#ifndef CORE_DAY_RECALL_H
#define CORE_DAY_RECALL_H

#include "core/day/inside.h"
#include "core/day/trace_view.h"

/* As dairy_recall(), inside a look or an act. */
int recall_load(struct dairy *d, struct instant now, struct recall_view *out, struct fail *f);

/* Why milk of a batch is not to be kept: the mark that it carries since it was poured, or a hold of a cow
 * whose milk is in it; "" when nothing is against it. */
int batch_unfit(struct dairy *d, const struct batch_row *batch, char why[160], struct fail *f);

#endif
