/* What earlier mornings taught about the rate of a kind of jar. Their readings are the facts; the rates are
 * fitted to them anew, so that a reading that is corrected, or taken back, corrects what was learned. Whoever makes a
 * forecast gives these to the morning first, so that all of them say the same. For core/day alone. */
#ifndef CORE_DAY_LESSONS_H
#define CORE_DAY_LESSONS_H

#include "core/day/chill.h"

struct facts;

/* Fits the batches of the latest mornings before the record's (before its `now`, when no milking is open) that have
 * readings, and writes to record->morning.learned what they taught. Mornings whose batches are in the record teach it
 * already and are left out. */
int lessons_load(struct dairy *d, struct chill_record *record, struct fail *f);

/* Do the lessons that `from` was given hold for `to` as well? */
bool lessons_stand(const struct dairy *d, const struct facts *from, const struct chill_record *to);
void lessons_copy(const struct chill_record *from, struct chill_record *to);

/* The same as lessons_load(), from the board's facts where they are good for it. */
int lessons_give(struct dairy *d, struct chill_record *record, struct fail *f);

#endif
