/* How long milk keeps here: the dairy's own scale, learned from its tastings. For core/day alone. */
#ifndef CORE_DAY_SHELF_LIFE_H
#define CORE_DAY_SHELF_LIFE_H

#include "core/day/facts.h"
#include "core/day/inside.h"
#include "core/milk/keeping.h"

/* The scale by the latest tasted batches: what milk of this dairy is like now. `w` (may be NULL) gets how it
 * came about. */
int shelf_scale_load(struct dairy *d, struct instant now, struct keeping_scale *out, struct working *w,
                     struct fail *f);

/* The same as of `now`, kept in the facts so that looking at the shelf does not learn it again. */
int shelf_scale_learn(struct dairy *d, struct instant now, struct facts *facts, struct fail *f);

/* Where the scale comes from, in words: "usual milk", "3 batches tasted". Returns buf. */
const char *shelf_scale_text(const struct keeping_scale *scale, char buf[80]);

#endif
