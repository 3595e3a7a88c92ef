/* The temperatures that the milk of a batch went through, from the pour until a moment: first as the
 * morning's forecast had them from what was read (bath, table), then through the refrigerator's readings,
 * power cuts and the freezer. Keeping quality, tastings and the discard rules all start from here. For
 * core/day alone. */
#ifndef CORE_DAY_MILK_LOG_H
#define CORE_DAY_MILK_LOG_H

#include "core/cooling/forecast.h"
#include "core/day/chill.h"
#include "core/day/inside.h"
#include "core/day/jars_at.h"
#include "core/milk/keeping.h"
#include "core/store/rows_shelf.h"

enum { LOG_STAYS_MAX = 16, LOG_GROUPS_MAX = 32, LOG_SPANS_MAX = 1024, LOG_POINTS_MAX = 16 };

/* ---- how it came down ---- */

/* The forecast's line of batch i from the pour until its last jar left tub and table (or until now, while any
 * stands there), thinned to what a straight line would miss. Returns the number of rows, at most
 * LOG_POINTS_MAX; 0 when nothing is known. Times rise; batch_id is set, id is not. */
size_t chill_line(const struct chill_record *record, const struct forecast *forecast, size_t i,
                  struct batch_temp_row points[LOG_POINTS_MAX]);

/* Sets the span of time for which such a forecast must be made. */
void chill_line_span(struct chill_record *record);

/* Writes the lines of a milking's batches that have left the tub, where they differ from what is written; are there any? */
bool chill_line_any(const struct chill_record *record);
int chill_line_keep(struct act *a, const struct chill_record *record, const struct forecast *forecast);

/* ---- where it stood since ---- */

/* The refrigerator, the room and the power over a span of time: the same for every jar. */
struct log_air {
    int64_t from_s, to_s;
    double air_c;
    double k_per_h; /* NaN: each jar follows at its own rate; else all warm together (power cut) */
};

/* Rates that were worked out already: the jars of a shelf are few kinds, filled alike. */
enum { LOG_RATES_MAX = 16 };

struct log_rates {
    struct {
        const struct jar_kind *kind;
        int64_t volume_ml;
        int in; /* enum surrounding */
        double milk_c, around_c, per_h;
    } rate[LOG_RATES_MAX];
    size_t count;
};

struct log_room {
    struct dairy *dairy;
    struct log_air *air; /* pieces without gaps, from `since` to `until` */
    size_t airs, room;
    struct log_rates *rates; /* owned; NULL: each is worked out */
    double fridge_c; /* what the refrigerator holds now: read, or as usual */
    bool fridge_read;
};

/* Loads readings and power cuts. Release with log_room_release(), also after a failure. */
int log_room_load(struct dairy *d, struct instant since, struct instant until, struct log_room *out,
                  struct fail *f);
void log_room_release(struct log_room *room);

/* What is recorded of one batch; borrowed arrays. */
struct log_batch {
    const struct batch_row *row;
    const struct jar_kind *kind;        /* NULL: no longer among the kinds, and nothing can be said */
    const struct batch_temp_row *point; /* of this batch, in order of time */
    size_t points;
    const struct reading_row *reading; /* likewise */
    size_t readings;
    const struct jar_move_row *move; /* likewise */
    size_t moves;
};

/* Jars of a batch that went the same way. */
struct log_group {
    enum jar_place place; /* where they stand now */
    int64_t person;
    int count;
    struct instant since; /* there since */
    struct {
        enum jar_place place;
        int64_t from_s;
    } stay[LOG_STAYS_MAX]; /* in order of time; the last is `place` */
    size_t stays;
};

/* Sorts a batch's jars into groups by the way they went. Jars of one batch cannot be told apart: those that
 * came to a place first are taken to leave it first. Returns the number of groups, at most LOG_GROUPS_MAX. */
size_t log_groups(const struct log_batch *b, struct log_group group[LOG_GROUPS_MAX]);

/* The history of one group from `count` on (0, or what was poured together with it before) until a moment;
 * stops where the jars leave the house. Returns the number of spans in all. */
size_t log_spans(const struct log_room *room, const struct log_batch *b, const struct log_group *g,
                 struct instant until, struct keeping_span span[LOG_SPANS_MAX], size_t count);

/* Temperature at the end of a history; NaN if it has no spans. */
double log_end_c(const struct keeping_span *span, size_t count);

/* Seconds from the pour until a history first is at or below a temperature; NaN if it never was. */
double log_reached_s(const struct keeping_span *span, size_t count, double temp_c);

/* ---- one batch by itself ---- */

/* What is recorded of one batch, owned; release with log_batch_release(), also after a failure. */
struct log_record {
    struct log_batch view; /* points into the rest */
    struct batch_row row;
    struct batch_temp_row *point;
    struct reading_row *reading;
    struct jar_move_row *move;
};
int log_batch_load(struct dairy *d, int64_t batch_id, struct log_record *out, struct fail *f);
void log_batch_release(struct log_record *r);

/* The whole history of the jars of a batch that stand, or last stood, in a place (PLACES: the group that went
 * the warmest way), what was poured together with them included, until a moment. Writes *count spans, 0 when
 * nothing is known. */
int log_history(struct dairy *d, int64_t batch_id, enum jar_place place, struct instant until,
                struct keeping_span span[LOG_SPANS_MAX], size_t *count, struct fail *f);

#endif
