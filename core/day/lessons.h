/* What earlier mornings taught about the rate of a kind of jar. Their readings are the facts; the rates are
 * fitted to them anew, so that a reading that is corrected, or taken back, corrects what was learned. For
 * core/day alone. */
#ifndef CORE_DAY_LESSONS_H
#define CORE_DAY_LESSONS_H

#include "core/day/facts.h"

/* Fits the batches of the latest mornings before now that have readings, and keeps in facts->lesson what they
 * taught. Mornings whose batches are on the board teach them already and are left out. */
int lessons_load(struct dairy *d, struct instant now, struct facts *facts, struct fail *f);

/* Do lessons drawn for `from` hold for `to` as well? */
bool lessons_stand(const struct dairy *d, const struct facts *from, const struct facts *to);

#endif
