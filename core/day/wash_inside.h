/* The parts of the wash bench's snapshot, one file each. For core/day alone. */
#ifndef CORE_DAY_WASH_INSIDE_H
#define CORE_DAY_WASH_INSIDE_H

#include "core/day/facts.h"
#include "core/day/wash_record.h"
#include "core/day/wash_view.h"

/* Each fills its part of *v, whose `now`, `units`, sets and heater are set. `w` gets the working of one figure. */
int wash_fill_mix(struct dairy *d, struct wash_view *v, struct working *w, struct fail *f);
int wash_fill_sink(struct dairy *d, const struct facts *facts, struct wash_view *v, struct working *w,
                   struct fail *f);
/* `part`: whose working `w` gets; NULL none. */
int wash_fill_parts(struct dairy *d, const struct facts *facts, struct wash_view *v, const char *part,
                    struct working *w, struct fail *f);
/* `measure`: whose working `w` gets. */
int wash_fill_lab(struct dairy *d, const struct facts *facts, struct wash_view *v, enum lab_measure measure,
                  struct working *w, struct fail *f);

/* What the records say of the day on which that sample was drawn, as far as it bears on that measure. */
int wash_log_of(struct dairy *d, const struct facts *facts, const struct lab_sample_row *sample,
                struct wash_measure_view *out, struct fail *f);

#endif
