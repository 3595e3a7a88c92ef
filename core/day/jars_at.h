/* Where the jars of one batch are, from its moves, and moving them. For core/day alone. */
#ifndef CORE_DAY_JARS_AT_H
#define CORE_DAY_JARS_AT_H

#include "core/day/inside.h"
#include "core/milk/trace.h"
#include "core/store/rows_shelf.h"

enum { STANDS_MAX = 128 };

/* Jars of a batch that stand together. */
struct jar_stand {
    enum jar_place place;
    int64_t person; /* for AT_GIVEN; 0 elsewhere */
    int count;
};

struct jar_stands {
    struct jar_stand stand[STANDS_MAX]; /* none is empty */
    size_t count;
};

/* Where they are now, what this act moved included. */
int jar_stands_load(struct dairy *d, int64_t batch_id, struct jar_stands *out, struct fail *f);

/* Jars in a place (of anybody when person is 0), and all that are at home. */
int jar_stands_at(const struct jar_stands *s, enum jar_place place, int64_t person);
int jar_stands_home(const struct jar_stands *s);

/* The place as a word of the records; a word that is not known counts as lost. */
enum jar_place jar_place_of(const char *word);

/* Writes one move. `person` is who gets them or brings them back, ROW_NONE for nobody. */
int act_put(struct act *a, int64_t batch_id, enum jar_place from, enum jar_place to, int64_t person,
            int count, const char *why);

/* Takes `count` jars from home to a place, refrigerator first, then table, tub and freezer. Refuses more than
 * there are; jars already in that place do not count. */
int act_put_from_home(struct act *a, const struct batch_row *batch, const struct jar_stands *stands,
                      enum jar_place to, int64_t person, int count, const char *why);

/* "refrigerator", "freezer", "given", "thrown away" ... : where jars are, for people. */
const char *jar_place_text(enum jar_place place);

#endif
