#include "core/day/shelf_life.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/day/milk_log.h"

/* So many tasted batches teach; older ones tell of other gear and other cows. */
enum { TASTED_MOST = 40 };

struct tasted {
    int64_t batch_id;
    struct instant good_at,
        turned_at; /* last tasted good before it had turned; first found turned; INSTANT_NONE */
};

struct tasting_loading {
    struct tasted batch[TASTED_MOST];
    size_t count;
};

/* Tastings come newest first, so the last one seen that had turned is the first. */
static int take_tasting(void *context, const void *row, struct fail *f)
{
    (void)f;
    struct tasting_loading *l = context;
    const struct tasting_row *r = row;
    size_t i = 0;
    while (i < l->count && l->batch[i].batch_id != r->batch_id)
        i++;
    if (i == TASTED_MOST)
        return 0;
    if (i == l->count)
        l->batch[l->count++] = (struct tasted){r->batch_id, INSTANT_NONE, INSTANT_NONE};
    struct tasted *t = &l->batch[i];
    if (r->turned == 1)
        *t = (struct tasted){r->batch_id, INSTANT_NONE, r->at};
    else if (!instant_known(t->good_at))
        t->good_at = r->at;
    return 0;
}

static double used_at(const struct keeping_span *span, size_t count)
{
    return keeping_used_days(span, count);
}

/* What a batch's tastings say, in days of life used. False when nothing is known of its temperatures. */
static int read_tasted(struct dairy *d, const struct tasted *t, struct keeping_span *span,
                       struct keeping_tasting *out, bool *known, struct fail *f)
{
    size_t count = 0;
    *out = (struct keeping_tasting){0, INFINITY};
    *known = false;
    if (instant_known(t->good_at)) {
        if (log_history(d, t->batch_id, PLACES, t->good_at, span, &count, f) != 0)
            return -1;
        out->good_days = used_at(span, count);
        *known = count > 0;
    }
    if (instant_known(t->turned_at)) {
        if (log_history(d, t->batch_id, PLACES, t->turned_at, span, &count, f) != 0)
            return -1;
        out->turned_days = used_at(span, count);
        *known = count > 0 && out->turned_days > 0 && out->turned_days >= out->good_days;
    }
    return 0;
}

int shelf_scale_load(struct dairy *d, struct instant now, struct keeping_scale *out, struct working *w,
                     struct fail *f)
{
    struct tasting_loading l = {.count = 0};
    struct keeping_tasting tasting[TASTED_MOST];
    size_t count = 0;
    if (rows_each(d->store, &tasting_table, "WHERE at <= ?1 ORDER BY at DESC, id DESC LIMIT 120",
                  (struct bind[]){BIND_AT(now)}, 1, take_tasting, &l, f) != 0)
        return -1;
    struct keeping_span *span = l.count == 0 ? NULL : malloc(LOG_SPANS_MAX * sizeof *span);
    int result = l.count > 0 && span == NULL ? fail_memory(f) : 0;
    for (size_t i = 0; i < l.count && result == 0; i++) {
        bool known;
        result = read_tasted(d, &l.batch[i], span, &tasting[count], &known, f);
        count += result == 0 && known;
    }
    free(span);
    return result == 0 ? keeping_learn(tasting, count, out, w, f) : -1;
}

int shelf_scale_learn(struct dairy *d, struct instant now, struct facts *facts, struct fail *f)
{
    struct tasting_row last;
    bool found;
    if (shelf_scale_load(d, now, &facts->scale, NULL, f) != 0 ||
        rows_first(d->store, &tasting_table, "ORDER BY at DESC LIMIT 1", NULL, 0, &last, &found, f) != 0)
        return -1;
    facts->tasted_at = found ? last.at : INSTANT_NONE;
    facts->scaled_at = now;
    facts->scaled = true;
    return 0;
}

const char *shelf_scale_text(const struct keeping_scale *scale, char buf[80])
{
    switch (scale->basis) {
    case KEEPING_USUAL: (void)snprintf(buf, 80, "usual milk; taste jars to learn your own"); break;
    case KEEPING_GIVEN: (void)snprintf(buf, 80, "as you said"); break;
    case KEEPING_COUNTED: (void)snprintf(buf, 80, "from a count"); break;
    case KEEPING_LEARNED:
        (void)snprintf(buf, 80, "learned from %d batch%s tasted here", scale->tastings,
                       scale->tastings == 1 ? "" : "es");
        break;
    }
    return buf;
}
