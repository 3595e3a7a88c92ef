/* Probes: pointing one at something, and what it reads. */
#include "core/day/probes.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/day/chill.h"
#include "core/day/inside.h"
#include "core/day/jars_at.h"
#include "core/store/rows_probe.h"

/* Milk is followed to the shelf; after that the refrigerator's own probe tells. */
enum { BATCH_FOLLOWED_S = 12 * 3600 };

/* ---- the list ---- */

struct listing {
    struct dairy *dairy;
    struct instant now;
    struct probe_list *list;
};

static int add_use(void *context, const void *row, struct fail *f)
{
    struct listing *l = context;
    const struct probe_row *p = row;
    struct batch_row batch;
    struct jar_stands stands;
    if (l->list->count == PROBES_MAX)
        return 0;
    struct probe_use *use = &l->list->use[l->list->count++];
    *use = (struct probe_use){.id = p->id, .batch_id = p->batch_id};
    (void)snprintf(use->path, sizeof use->path, "%s", p->path);
    (void)snprintf(use->place, sizeof use->place, "%s", p->place);
    if (p->batch_id == ROW_NONE)
        return 0;
    if (row_load(l->dairy->store, &batch_table, p->batch_id, &batch, f) != 0 ||
        jar_stands_load(l->dairy, batch.id, &stands, f) != 0)
        return -1;
    (void)snprintf(use->code, sizeof use->code, "%.15s", batch.code);
    use->moving = jar_stands_at(&stands, AT_TUB, 0) > 0 && l->now.s < batch.poured_at.s + 3600;
    return 0;
}

int dairy_probes(struct dairy *d, struct instant now, struct probe_list *out, struct fail *f)
{
    struct listing l = {d, now, out};
    out->count = 0;
    return rows_each(d->store, &probe_table, "WHERE until_at IS NULL ORDER BY id", NULL, 0, add_use, &l, f);
}

const char *probe_use_text(const struct probe_use *use, char *buf, size_t size)
{
    static const char *const places[][2] = {{"tub", "the tub"}, {"fridge", "the refrigerator"}, {"room", "the milk house"}};
    (void)snprintf(buf, size, "batch %s", use->code);
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++)
        if (strcmp(places[i][0], use->place) == 0)
            (void)snprintf(buf, size, "%s", places[i][1]);
    return buf;
}

/* ---- thinning ---- */

/* Stored when it moved by so much, or after so long. A refrigerator swings by a degree with its compressor all
 * day; that is no news. */
static const struct thinning {
    const char *place;
    double least_k, least_s;
} thinning[] = {{"", 0.8, 1200}, {"tub", 0.8, 3600}, {"fridge", 1.5, 7200}, {"room", 2.0, 7200}};

bool probe_worth_storing(const struct probe_use *use, const struct thin_reading *last, const struct thin_reading *next)
{
    for (size_t i = 0; i < sizeof thinning / sizeof thinning[0]; i++)
        if (strcmp(thinning[i].place, use->place) == 0)
            return reading_worth_storing(last, next, thinning[i].least_k, thinning[i].least_s);
    return false;
}

/* ---- probe: pointing ---- */

static const struct field probe_fields[] = {
    {"path", FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "probe", "its file, as /sys/bus/w1/devices/28-00000a1b2c3d/temperature"},
    {"at_place", FIELD_CHOICE, 0, 0, "tub|fridge|room", "hangs in", "the tub, the refrigerator, the room"},
    {"batch", FIELD_NAME, 0, 0, NULL, "or in batch", "its code, or its letter this morning: in one of its jars"},
    {"remove", FIELD_CHOICE, 0, 0, "yes", "out of use", "yes: it hangs nowhere any more"},
    FIELD_AT,
    FIELD_WHO,
};

static int end_use(struct act *a, const char *path, bool *found)
{
    struct probe_row old;
    if (rows_first(a->dairy->store, &probe_table, "WHERE path = ?1 AND until_at IS NULL",
                   (struct bind[]){BIND_TEXT(path)}, 1, &old, found, a->fail) != 0)
        return -1;
    old.until_at = a->at;
    return *found ? row_update(a->dairy->store, &probe_table, &old, a->fail) : 0;
}

static int act_probe(struct act *a)
{
    struct probe_row row = {.batch_id = ROW_NONE, .from_at = a->at, .until_at = INSTANT_NONE};
    struct probe_list list;
    struct batch_row batch;
    struct probe_use use = {.batch_id = ROW_NONE};
    char text[64];
    bool found, remove = form_get(a->form, "remove") != NULL;
    bool has_place = form_choice_word(a->form, "at_place", row.place, sizeof row.place);
    bool has_batch = form_get(a->form, "batch") != NULL;
    const char *path = form_text(a->form, "path", "");
    if (strlen(path) >= sizeof row.path || path[0] != '/')
        return fail_input(a->fail, "path: the whole path of its file, from / on, at most %zu letters.", sizeof row.path - 1);
    if (probe_kind_of_path(path) == PROBE_NONE)
        return fail_input(a->fail,
                          "path: no file in which the kernel shows a temperature: w1_slave, temperature, temp1_input, "
                          "in_temp_input.");
    if (has_place + has_batch + remove != 1)
        return fail_input(a->fail, "Say what it hangs in: at_place=tub, fridge or room, or batch=; or remove=yes.");
    if (end_use(a, path, &found) != 0)
        return -1;
    if (remove) {
        act_say(a, "probe out of use: %.180s", path);
        return found ? 0 : fail_refused(a->fail, "No such probe is in use.");
    }
    if (has_batch && act_batch(a, "batch", &batch) != 0)
        return -1;
    if (dairy_probes(a->dairy, a->now, &list, a->fail) != 0)
        return -1;
    if (list.count == PROBES_MAX)
        return fail_refused(a->fail, "%d probes are in use already, the most there can be.", PROBES_MAX);
    (void)snprintf(row.path, sizeof row.path, "%s", path);
    (void)snprintf(use.place, sizeof use.place, "%s", row.place);
    if (has_batch) {
        row.batch_id = batch.id;
        (void)snprintf(use.code, sizeof use.code, "%.15s", batch.code);
    }
    act_say(a, "a probe hangs in %s: %.150s", probe_use_text(&use, text, sizeof text), path);
    return row_insert(a->dairy->store, &probe_table, &row, NULL, a->fail);
}

/* ---- probed: what it reads ---- */

static const struct field probed_fields[] = {
    {"path", FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "probe", "its file; the board enters this by itself"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "shows", "as 38F"},
    FIELD_AT,
    FIELD_WHO,
};

/* The last of that probe's kind of place that was stored; NaN when there is none. */
static int last_stored(struct act *a, const struct probe_use *use, struct thin_reading *last)
{
    struct reading_row row;
    bool found;
    if (rows_first(a->dairy->store, &reading_table,
                   "WHERE source = 'probe' AND at <= ?1 AND (batch_id = ?2 OR place = ?3) ORDER BY at DESC LIMIT 1",
                   (struct bind[]){BIND_AT(a->at), BIND_ID(use->batch_id), BIND_TEXT(use->place)}, 3, &row, &found,
                   a->fail) != 0)
        return -1;
    *last = found ? (struct thin_reading){(double)row.at.s, (double)row.temp_mc / 1e3}
                  : (struct thin_reading){-INFINITY, (double)NAN};
    return 0;
}

static int check_batch(struct act *a, const struct probe_use *use, struct batch_row *batch)
{
    if (use->batch_id == ROW_NONE)
        return 0;
    if (row_load(a->dairy->store, &batch_table, use->batch_id, batch, a->fail) != 0)
        return -1;
    if (a->at.s < batch->poured_at.s || a->at.s > batch->poured_at.s + BATCH_FOLLOWED_S)
        return fail_refused(a->fail, "Batch %s is not followed by its probe any more.", batch->code);
    return act_check_reading(a, batch, form_number(a->form, "temp", 0));
}

static int act_probed(struct act *a)
{
    struct probe_list list;
    struct batch_row batch = {.milking_id = ROW_NONE};
    const struct probe_use *use = NULL;
    const char *path = form_text(a->form, "path", "");
    char text[QUANTITY_TEXT_MAX], where[64];
    if (dairy_probes(a->dairy, a->now, &list, a->fail) != 0)
        return -1;
    for (size_t i = 0; i < list.count; i++)
        if (strcmp(list.use[i].path, path) == 0)
            use = &list.use[i];
    if (use == NULL)
        return fail_refused(a->fail, "No such probe is in use.");
    struct thin_reading last, next = {(double)a->at.s, form_number(a->form, "temp", 0)};
    if (check_batch(a, use, &batch) != 0 || last_stored(a, use, &last) != 0)
        return -1;
    if (isfinite(last.at) && !probe_worth_storing(use, &last, &next))
        return fail_refused(a->fail, "That is no news: it was stored a while ago.");
    act_say(a, "probe in %s reads %s", probe_use_text(use, where, sizeof where),
            say_quantity(a->dairy, next.temp_c, DIM_TEMPERATURE, text));
    if (act_add_reading(a, use->batch_id, use->place, quantity_milli(next.temp_c), "probe") != 0)
        return -1;
    return use->batch_id == ROW_NONE ? 0 : chill_check(a, batch.milking_id);
}

const struct act_kind acts_probe[] = {
    {"probe", "a probe hangs in the tub, the refrigerator, the room or a jar",
     "path=/sys/bus/w1/devices/28-00000a1b2c3d/temperature at_place=fridge", FIELDS(probe_fields), act_probe},
    {JOURNAL_BY_ITSELF, "what a probe shows; the board enters it by itself, thinned",
     "path=/sys/bus/w1/devices/28-00000a1b2c3d/temperature temp=38F", FIELDS(probed_fields), act_probed},
    {0},
};
