/* Milk that turns out not to be fit to keep after it was put into jars: which jars, where, and who has them.
 */
#include "core/day/recall.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/trace_lines.h"

/* Milk that left the house longer ago than this has been drunk or thrown away; and holds and calvings that
 * began longer ago cannot bear on milk that is still about. */
enum { GIVEN_DAYS = 30, HOLD_DAYS = 200, CALVING_DAYS = 60 };

/* Batches that may matter: jars at home, or lately given away, with milk of a cow that was on hold or fresh
 * lately, or with milk poured on. */
static const char candidates[] =
    "WHERE (id IN " TALLY_HOME
    " OR (poured_at > ?1 AND EXISTS (SELECT 1 FROM tally_place t WHERE t.batch_id = batch.id AND "
    "t.place = 'given')) OR (poured_at > ?2 AND EXISTS (SELECT 1 FROM tally_place t WHERE t.batch_id = "
    "batch.id AND "
    "t.place = 'cheese' AND t.count > 0))) AND (EXISTS (SELECT 1 FROM batch_source s WHERE s.batch_id = "
    "batch.id AND s.held = "
    "0 AND s.cow_id "
    "IN (SELECT cow_id FROM hold WHERE from_at > ?2 OR (lifted_at IS NULL AND kind IN ('abnormal', 'plain')) "
    "UNION SELECT "
    "cow_id FROM calving WHERE at > ?3 UNION SELECT cow_id FROM treatment WHERE doses_to_come = 1 OR "
    "(dry_cow = "
    "0 AND milk_s IS NULL) OR EXISTS (SELECT 1 FROM dose x WHERE x.treatment_id = treatment.id AND x.at > "
    "?2) "
    "UNION SELECT cow_id FROM health_test WHERE holds_milk = 1 OR result <> 'clear')) OR EXISTS (SELECT 1 "
    "FROM pour_on p WHERE p.to_batch_id = batch.id)) "
    "ORDER BY id";

static int find_candidates(struct dairy *d, struct instant now, struct batch_ids *ids, struct fail *f)
{
    struct bind binds[] = {{false, now.s - GIVEN_DAYS * 86400, NULL},
                           {false, now.s - HOLD_DAYS * 86400, NULL},
                           {false, now.s - CALVING_DAYS * 86400, NULL}};
    return rows_each(d->store, &batch_table, candidates, binds, 3, batch_ids_take, ids, f);
}

/* True when the lot was poured somewhere without a word about its hold. */
static bool poured_unknowing(const struct trace_record *r, int64_t lot)
{
    for (size_t i = 0; i < r->facts.sources; i++)
        if (r->source[i].lot == lot && r->source_row[i].held == 0)
            return true;
    return false;
}

static bool same_jars(const struct trace_line *a, const struct trace_line *b)
{
    return a->batch_id == b->batch_id && a->place == b->place && a->person_id == b->person_id;
}

static void add_recall_line(struct recall_view *v, const struct trace_line *line, const char *cow)
{
    for (size_t i = 0; i < v->lines; i++)
        if (same_jars(&v->line[i], line)) {
            cow_list_add(v->line[i].cows, sizeof v->line[i].cows, cow);
            return;
        }
    if (v->lines == RECALL_LINES_MAX)
        return;
    v->line[v->lines] = *line;
    cow_list_add(v->line[v->lines].cows, sizeof v->line[0].cows, cow);
    v->lines++;
}

static int recall_lot(struct recall_view *v, const struct trace_record *r, const struct who *w, size_t lot,
                      struct trace_row *rows, size_t room, struct fail *f)
{
    struct trace_query query = {
        .from = TRACE_LOT, .id = r->lot[lot].id, .since = INSTANT_NONE, .until = INSTANT_NONE};
    size_t count;
    if (trace_forward(&r->facts, &query, r->work, rows, room, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count; i++) {
        struct trace_line line;
        trace_line_fill(r, w, &rows[i], &line);
        add_recall_line(v, &line, who_cow(w, r->lot[lot].cow));
        v->newest = line.batch_id > v->newest ? line.batch_id : v->newest;
    }
    return 0;
}

static void sum_up(struct recall_view *v)
{
    for (size_t i = 0; i < v->lines; i++) {
        const struct trace_line *l = &v->line[i];
        bool new_person = l->place == AT_GIVEN;
        for (size_t k = 0; k < i && new_person; k++)
            new_person = v->line[k].place != AT_GIVEN || v->line[k].person_id != l->person_id;
        v->people += new_person;
        *(l->settled              ? &v->settled
          : l->place == AT_GIVEN  ? &v->open_given
          : l->place == AT_CHEESE ? &v->open_cheese
                                  : &v->open_home) += l->count;
    }
    trace_lines_sort(v->line, v->lines);
    int open = v->open_home + v->open_given;
    if (open > 0)
        (void)snprintf(v->say, sizeof v->say, "%d jar%s hold%s milk of %s that is not to be kept:", open,
                       open == 1 ? "" : "s", open == 1 ? "s" : "", v->cows);
    else if (v->open_cheese > 0)
        (void)snprintf(v->say, sizeof v->say,
                       "Milk of %s that is not to be kept was made into cheese:", v->cows);
    if (v->open_home > 0)
        (void)text_append(v->say, sizeof v->say, " set %d apart at home", v->open_home);
    if (v->open_given > 0)
        (void)text_append(v->say, sizeof v->say, "%s call back %d from %d %s", v->open_home > 0 ? "," : "",
                          v->open_given, v->people, v->people == 1 ? "person" : "people");
    if (v->open_cheese > 0)
        (void)text_append(v->say, sizeof v->say, "%s find the cheese of %d jar%s", open > 0 ? "," : "",
                          v->open_cheese, v->open_cheese == 1 ? "" : "s");
}

static int make_recall(struct dairy *d, const struct trace_record *r, struct recall_view *v, struct fail *f)
{
    struct who w;
    struct hold_shelf *holds = NULL;
    size_t room = 0;
    for (size_t i = 0; i < r->facts.batches; i++)
        room += (size_t)r->batch[i].jars;
    struct trace_row *rows = calloc(room + 1, sizeof *rows);
    int result = rows == NULL ? fail_memory(f) : who_load(d, &w, f);
    if (rows == NULL)
        return -1;
    if (result == 0)
        result = hold_shelf_new(d, &holds, f);
    for (size_t i = 0; i < r->facts.lots && result == 0; i++) {
        bool held;
        char why[160];
        if (!poured_unknowing(r, r->lot[i].id))
            continue;
        result = hold_shelf_judge(holds, &r->lot[i], &held, why, f);
        if (result != 0 || !held)
            continue;
        if (v->why[0] == '\0')
            (void)snprintf(v->why, sizeof v->why, "%s", why);
        cow_list_add(v->cows, sizeof v->cows, who_cow(&w, r->lot[i].cow));
        result = recall_lot(v, r, &w, i, rows, room, f);
    }
    if (result == 0)
        sum_up(v);
    hold_shelf_free(holds);
    who_release(&w);
    free(rows);
    return result;
}

int recall_load(struct dairy *d, struct instant now, struct recall_view *out, struct fail *f)
{
    struct batch_ids ids = {0};
    struct trace_record r;
    memset(out, 0, sizeof *out);
    out->now = now;
    if (find_candidates(d, now, &ids, f) != 0) {
        free(ids.id);
        return -1;
    }
    int result = 0;
    if (ids.count > 0) {
        result = trace_record_load(d, &ids, REACH_FORWARD | REACH_BACK, &r, f);
        if (result == 0)
            result = make_recall(d, &r, out, f);
        trace_record_release(&r);
    }
    free(ids.id);
    return result;
}

int dairy_recall(struct dairy *d, struct instant now, struct recall_view *out, struct fail *f)
{
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    if (store_begin_look(d->store, f) != 0)
        return -1;
    int result = recall_load(d, now, out, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    return result;
}

int batch_unfit(struct dairy *d, const struct batch_row *batch, char why[160], struct fail *f)
{
    struct batch_ids ids = {.id = &(int64_t){batch->id}, .count = 1, .room = 1};
    struct trace_record r;
    struct hold_shelf *holds = NULL;
    size_t lots[TRACE_LOTS_MAX], count = 0;
    (void)snprintf(why, 160, "%s", batch->held_why);
    if (why[0] != '\0')
        return 0;
    int result = trace_record_load(d, &ids, REACH_BACK, &r, f);
    if (result == 0)
        result = hold_shelf_new(d, &holds, f);
    for (size_t i = 0; i < r.facts.batches && result == 0; i++)
        if (r.batch[i].id == batch->id)
            result = trace_back(&r.facts, &(struct trace_jars){i, PLACES, 0}, r.work, lots, TRACE_LOTS_MAX,
                                &count, f);
    for (size_t i = 0; i < count && result == 0 && why[0] == '\0'; i++) {
        bool held;
        result = hold_shelf_judge(holds, &r.lot[lots[i]], &held, why, f);
    }
    hold_shelf_free(holds);
    trace_record_release(&r);
    return result;
}
