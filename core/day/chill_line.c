/* A batch's way down, thinned and written, so that the shelf need not reckon a morning's forecast again for
 * every jar. */
#include <math.h>
#include <stdlib.h>

#include "core/cooling/probe.h"
#include "core/day/milk_log.h"

#define LINE_MISS_K 0.3 /* a line that differs by less from the one written is the same */

enum { LINE_MISS_S = 90 };

static bool is_cold_place(enum place p)
{
    return p == PLACE_TUB || p == PLACE_TABLE;
}

/* Jars that stand in tub or on the table now, and when the last of them left, or the line ends otherwise. */
static int still_cooling(const struct chill_record *record, size_t i, double *end_at)
{
    const struct batch_facts *b = &record->morning.batch[i];
    int standing = is_cold_place(b->first) ? b->count : 0;
    *end_at = b->poured_at;
    for (size_t m = 0; m < b->moves && b->move[m].at <= record->morning.now; m++) {
        if (is_cold_place(b->move[m].from) && !is_cold_place(b->move[m].to)) {
            standing -= b->move[m].count;
            *end_at = b->move[m].at;
        } else if (!is_cold_place(b->move[m].from) && is_cold_place(b->move[m].to)) {
            standing += b->move[m].count;
        }
    }
    if (standing > 0)
        *end_at = record->morning.now;
    return standing;
}

void chill_line_span(struct chill_record *record)
{
    struct morning *m = &record->morning;
    m->chart_from = m->chart_to = NAN;
    for (size_t i = 0; i < m->batches; i++) {
        double end_at;
        (void)still_cooling(record, i, &end_at);
        m->chart_from = fmin(m->chart_from, m->batch[i].poured_at);
        m->chart_to = fmax(m->chart_to, end_at);
    }
    if (!(m->chart_to > m->chart_from))
        m->chart_to = m->chart_from + 60;
}

size_t chill_line(const struct chill_record *record, const struct forecast *forecast, size_t i,
                  struct batch_temp_row points[LOG_POINTS_MAX])
{
    struct thin_reading line[CURVE_POINTS + 2];
    const struct curve_point *curve = forecast->batch[i].curve;
    const struct batch_row *row = &record->batch[i];
    double from = (double)row->poured_at.s, to, before_at = from, before_c = (double)row->temp_mc / 1e3;
    size_t count = 0;
    (void)still_cooling(record, i, &to);
    line[count++] = (struct thin_reading){from, before_c};
    for (size_t n = 0; n < CURVE_POINTS && curve[n].at < to; n++) {
        if (curve[n].at <= from || isnan(curve[n].temp_c))
            continue;
        before_at = curve[n].at;
        before_c = curve[n].temp_c;
        line[count++] = (struct thin_reading){before_at, before_c};
    }
    for (size_t n = 0; n < CURVE_POINTS && to > before_at; n++)
        if (curve[n].at >= to && curve[n].at > from && !isnan(curve[n].temp_c)) {
            double part = (to - before_at) / (curve[n].at - before_at);
            line[count++] = (struct thin_reading){to, before_c + (curve[n].temp_c - before_c) * part};
            break;
        }
    count = reading_thin(line, count, LOG_POINTS_MAX);
    for (size_t n = 0; n < count; n++)
        points[n] = (struct batch_temp_row){
            .batch_id = row->id, .at = {llround(line[n].at)}, .temp_mc = llround(line[n].temp_c * 1e3)};
    return count;
}

static bool same_line(const struct batch_temp_row *a, size_t count_a, const struct batch_temp_row *b,
                      size_t count_b)
{
    if (count_a != count_b)
        return false;
    for (size_t i = 0; i < count_a; i++)
        if (llabs(a[i].at.s - b[i].at.s) > LINE_MISS_S ||
            fabs((double)(a[i].temp_mc - b[i].temp_mc)) > 1e3 * LINE_MISS_K)
            return false;
    return true;
}

static int keep_one(struct act *a, const struct chill_record *record, const struct forecast *forecast,
                    size_t i)
{
    struct batch_temp_row points[LOG_POINTS_MAX], *written = NULL;
    size_t count = chill_line(record, forecast, i, points), old = 0;
    struct store *s = a->dairy->store;
    int result =
        rows_load(s, &batch_temp_table, "WHERE batch_id = ?1 ORDER BY at, id",
                  (struct bind[]){BIND_ID(record->batch[i].id)}, 1, (void **)&written, &old, a->fail);
    bool same = result == 0 && same_line(points, count, written, old);
    for (size_t n = 0; n < old && result == 0 && !same; n++)
        result = row_remove(s, &batch_temp_table, written[n].id, a->fail);
    for (size_t n = 0; n < count && result == 0 && !same; n++)
        result = row_insert(s, &batch_temp_table, &points[n], NULL, a->fail);
    free(written);
    return result;
}

/* Has every jar of batch i left tub and table? */
static bool is_down(const struct chill_record *record, size_t i)
{
    double end_at;
    return still_cooling(record, i, &end_at) == 0 && end_at > record->morning.batch[i].poured_at;
}

bool chill_line_any(const struct chill_record *record)
{
    bool any = false;
    for (size_t i = 0; i < record->morning.batches; i++)
        any = any || is_down(record, i);
    return any;
}

int chill_line_keep(struct act *a, const struct chill_record *record, const struct forecast *forecast)
{
    for (size_t i = 0; i < record->morning.batches; i++)
        if (is_down(record, i) && keep_one(a, record, forecast, i) != 0)
            return -1;
    return 0;
}
