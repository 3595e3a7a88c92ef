/* The history of one batch, loaded by itself: batch page, tastings, top-ups. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/milk_log.h"

/* Milk poured on from batch to batch is followed back so far. */
enum { PARENTS_MOST = 8 };

int log_batch_load(struct dairy *d, int64_t batch_id, struct log_record *out, struct fail *f)
{
    struct bind batch = BIND_ID(batch_id);
    size_t points = 0, readings = 0, moves = 0;
    memset(out, 0, sizeof *out);
    if (row_load(d->store, &batch_table, batch_id, &out->row, f) != 0 ||
        rows_load(d->store, &batch_temp_table, "WHERE batch_id = ?1 ORDER BY at, id", &batch, 1,
                  (void **)&out->point, &points, f) != 0 ||
        rows_load(d->store, &reading_table, "WHERE batch_id = ?1 ORDER BY at, id", &batch, 1,
                  (void **)&out->reading, &readings, f) != 0 ||
        rows_load(d->store, &jar_move_table, "WHERE batch_id = ?1 ORDER BY at, id", &batch, 1,
                  (void **)&out->move, &moves, f) != 0)
        return -1;
    out->view = (struct log_batch){.row = &out->row,
                                   .kind = jar_find(&d->jars, out->row.kind),
                                   .point = out->point,
                                   .points = points,
                                   .reading = out->reading,
                                   .readings = readings,
                                   .move = out->move,
                                   .moves = moves};
    return 0;
}

void log_batch_release(struct log_record *r)
{
    free(r->point);
    free(r->reading);
    free(r->move);
    memset(r, 0, sizeof *r);
}

/* The group to speak of: of those in the place, or of all, the one whose history used up most. Spans of the
 * one chosen are left in span[]. */
static size_t warmest_group(const struct log_room *room, const struct log_batch *b, enum jar_place place,
                            struct instant until, struct keeping_span *span, size_t before)
{
    struct log_group group[LOG_GROUPS_MAX];
    size_t groups = log_groups(b, group), best = groups, count = before;
    double most = -1;
    for (size_t i = 0; i < groups; i++) {
        if (place != PLACES && group[i].place != place)
            continue;
        count = log_spans(room, b, &group[i], until, span, before);
        double used = keeping_used_days(span + before, count - before);
        if (used > most) {
            most = used;
            best = i;
        }
    }
    return best < groups ? log_spans(room, b, &group[best], until, span, before) : before;
}

static int history_at_depth(struct dairy *d, int64_t batch_id, enum jar_place place, struct instant until,
                            int depth, struct keeping_span *span, size_t *count, struct fail *f)
{
    struct log_record record;
    struct log_room room = {0};
    struct pour_on_row parent;
    bool found = false;
    int result = log_batch_load(d, batch_id, &record, f);
    /* The oldest milk in it has the longest history, and decides. */
    if (result == 0)
        result = rows_first(d->store, &pour_on_table, "WHERE to_batch_id = ?1 ORDER BY from_batch_id LIMIT 1",
                            (struct bind[]){BIND_ID(batch_id)}, 1, &parent, &found, f);
    if (result == 0 && found && depth > 0)
        result = history_at_depth(d, parent.from_batch_id, AT_POURED, parent.at, depth - 1, span, count, f);
    if (result == 0)
        result = log_room_load(d, record.row.poured_at, until, &room, f);
    if (result == 0)
        *count = warmest_group(&room, &record.view, place, until, span, *count);
    log_room_release(&room);
    log_batch_release(&record);
    return result;
}

int log_history(struct dairy *d, int64_t batch_id, enum jar_place place, struct instant until,
                struct keeping_span span[LOG_SPANS_MAX], size_t *count, struct fail *f)
{
    *count = 0;
    return history_at_depth(d, batch_id, place, until, PARENTS_MOST, span, count, f);
}
