/* What the moves of jars add up to. Every act, and every undo, hands its changeset in before it is committed;
 * rows of jar_move and empty_move that came or went are added to, or taken from, the tallies. So the shelf
 * reads where jars stand without going through years of moves, and no act and no undo can leave more jars
 * somewhere than came there. */
#include <stdio.h>
#include <string.h>

#include "core/store/inside.h"

/* Columns of the two tables, as they stand in a changeset. */
enum { MOVE_BATCH = 1, MOVE_FROM = 3, MOVE_TO = 4, MOVE_COUNT = 5, MOVE_PERSON = 7 };
enum { EMPTY_KIND = 2, EMPTY_FROM = 3, EMPTY_TO = 4, EMPTY_PERSON = 5, EMPTY_COUNT = 6 };

/* Where the jar itself is when its milk is in that place; NULL: at home and full. */
static const char *state_of_place(const char *place)
{
    static const struct {
        const char *place, *state;
    } states[] = {{"pail", "clean"},  {"given", "out"},    {"dumped", "dirty"},
                  {"calf", "dirty"},  {"pigs", "dirty"},   {"cheese", "dirty"},
                  {"drunk", "dirty"}, {"poured", "dirty"}, {"lost", "broken"}};
    for (size_t i = 0; i < sizeof states / sizeof states[0]; i++)
        if (strcmp(states[i].place, place) == 0)
            return states[i].state;
    return NULL;
}

/* One row that came (sign 1) or went (sign -1). */
struct row_change {
    sqlite3_changeset_iter *iter;
    int sign;
};

static sqlite3_value *value_of(const struct row_change *r, int column)
{
    sqlite3_value *value = NULL;
    (void)(r->sign > 0 ? sqlite3changeset_new(r->iter, column, &value)
                       : sqlite3changeset_old(r->iter, column, &value));
    return value;
}

static int64_t number_of(const struct row_change *r, int column)
{
    sqlite3_value *value = value_of(r, column);
    return value == NULL ? 0 : sqlite3_value_int64(value);
}

static void text_of(const struct row_change *r, int column, char *buf, size_t size)
{
    sqlite3_value *value = value_of(r, column);
    const char *text = value == NULL ? NULL : (const char *)sqlite3_value_text(value);
    (void)snprintf(buf, size, "%s", text == NULL ? "" : text);
}

/* ---- the two tallies ---- */

static int add_to_place(struct store *s, int64_t batch, const char *kind, const char *place, int64_t person,
                        int64_t n, struct fail *f)
{
    sqlite3_stmt *add =
        store_statement(s,
                        "INSERT INTO tally_place (batch_id, kind, place, person_id, count) VALUES (?1, ?2, "
                        "?3, ?4, ?5) ON CONFLICT DO UPDATE SET count = count + excluded.count",
                        f);
    if (add == NULL)
        return -1;
    int rc = sqlite3_bind_int64(add, 1, batch);
    rc |= sqlite3_bind_text(add, 2, kind, -1, SQLITE_STATIC);
    rc |= sqlite3_bind_text(add, 3, place, -1, SQLITE_STATIC);
    rc |= sqlite3_bind_int64(add, 4, strcmp(place, "given") == 0 ? person : 0);
    rc |= sqlite3_bind_int64(add, 5, n);
    return rc != SQLITE_OK ? fail_memory(f) : store_run(s, add, f);
}

static int add_to_pool(struct store *s, const char *kind, const char *state, int64_t person, int64_t n,
                       struct fail *f)
{
    if (state == NULL || strcmp(state, "not ours") == 0)
        return 0;
    sqlite3_stmt *add = store_statement(s,
                                        "INSERT INTO tally_pool (kind, state, person_id, count) VALUES (?1, "
                                        "?2, ?3, ?4) ON CONFLICT DO UPDATE SET count = "
                                        "count + excluded.count",
                                        f);
    if (add == NULL)
        return -1;
    int rc = sqlite3_bind_text(add, 1, kind, -1, SQLITE_STATIC);
    rc |= sqlite3_bind_text(add, 2, state, -1, SQLITE_STATIC);
    rc |= sqlite3_bind_int64(add, 3, strcmp(state, "out") == 0 ? person : 0);
    rc |= sqlite3_bind_int64(add, 4, n);
    return rc != SQLITE_OK ? fail_memory(f) : store_run(s, add, f);
}

/* The kind of a batch's jars. While an undo runs the batch may be gone already; its jars then still stand in
 * the tally. */
static int kind_of_batch(struct store *s, int64_t batch, char *kind, size_t size, struct fail *f)
{
    sqlite3_stmt *find = store_statement(s,
                                         "SELECT kind FROM batch WHERE id = ?1 UNION ALL SELECT kind FROM "
                                         "tally_place WHERE batch_id = ?1 LIMIT 1",
                                         f);
    if (find == NULL)
        return -1;
    int rc = sqlite3_bind_int64(find, 1, batch);
    if (rc == SQLITE_OK)
        rc = sqlite3_step(find);
    if (rc == SQLITE_ROW)
        (void)snprintf(kind, size, "%s", (const char *)sqlite3_column_text(find, 0));
    (void)sqlite3_reset(find);
    if (rc == SQLITE_DONE)
        return fail_refused(f, "Jars are moved of a batch that is not in the records.");
    return rc == SQLITE_ROW ? 0 : store_fail(s, rc, f);
}

/* ---- one change each ---- */

static int fold_move(struct store *s, const struct row_change *r, struct fail *f)
{
    char kind[40], from[24], to[24];
    int64_t batch = number_of(r, MOVE_BATCH), person = number_of(r, MOVE_PERSON),
            n = r->sign * number_of(r, MOVE_COUNT);
    text_of(r, MOVE_FROM, from, sizeof from);
    text_of(r, MOVE_TO, to, sizeof to);
    if (kind_of_batch(s, batch, kind, sizeof kind, f) != 0 ||
        add_to_place(s, batch, kind, to, person, n, f) != 0)
        return -1;
    /* The pail is where milk comes from: it holds no jars that could run out. */
    if (strcmp(from, "pail") != 0 && add_to_place(s, batch, kind, from, person, -n, f) != 0)
        return -1;
    if (add_to_pool(s, kind, state_of_place(from), person, -n, f) != 0)
        return -1;
    return add_to_pool(s, kind, state_of_place(to), person, n, f);
}

static int fold_empty(struct store *s, const struct row_change *r, struct fail *f)
{
    char kind[40], from[16], to[16];
    int64_t person = number_of(r, EMPTY_PERSON), n = r->sign * number_of(r, EMPTY_COUNT);
    text_of(r, EMPTY_KIND, kind, sizeof kind);
    text_of(r, EMPTY_FROM, from, sizeof from);
    text_of(r, EMPTY_TO, to, sizeof to);
    return add_to_pool(s, kind, from, person, -n, f) != 0 ? -1 : add_to_pool(s, kind, to, person, n, f);
}

/* Moves are added and taken back, never changed in place. */
static int fold_change(struct store *s, sqlite3_changeset_iter *iter, struct fail *f)
{
    const char *table = "";
    int columns, operation, indirect;
    if (sqlite3changeset_op(iter, &table, &columns, &operation, &indirect) != SQLITE_OK)
        return store_fail(s, SQLITE_CORRUPT, f);
    struct row_change r = {iter, operation == SQLITE_INSERT ? 1 : -1};
    bool jars = strcmp(table, "jar_move") == 0, empty = strcmp(table, "empty_move") == 0;
    if (!jars && !empty)
        return 0;
    if (operation == SQLITE_UPDATE)
        return fail_refused(f, "A move of jars is taken back or added, never changed.");
    return jars ? fold_move(s, &r, f) : fold_empty(s, &r, f);
}

/* ---- what may not be ---- */

/* The first move of a batch that takes more jars from a place than had come there by then. */
static const char too_many_leave[] = "SELECT (SELECT code FROM batch WHERE id = ?1), from_place, at FROM "
                                     "jar_move m WHERE batch_id = ?1 AND from_place <> "
                                     "'pail' AND (SELECT sum(CASE WHEN n.to_place = m.from_place AND "
                                     "(n.to_place <> 'given' OR n.person_id IS m.person_id) "
                                     "THEN n.count ELSE 0 END) - sum(CASE WHEN n.from_place = m.from_place "
                                     "AND (n.from_place <> 'given' OR n.person_id IS "
                                     "m.person_id) THEN n.count ELSE 0 END) FROM jar_move n WHERE n.batch_id "
                                     "= ?1 AND (n.at < m.at OR (n.at = m.at AND n.id "
                                     "<= m.id))) < 0 ORDER BY at, id LIMIT 1";

static int check_batch(struct store *s, int64_t batch, struct fail *f)
{
    char when[CIVIL_TEXT_MAX];
    sqlite3_stmt *find = store_statement(s, too_many_leave, f);
    if (find == NULL)
        return -1;
    int rc = sqlite3_bind_int64(find, 1, batch);
    if (rc == SQLITE_OK)
        rc = sqlite3_step(find);
    if (rc == SQLITE_ROW)
        fail_refused(f,
                     "Then more jars of batch %s would leave the %s at %s than had come there. Look at its "
                     "moves in the "
                     "journal; later ones rest on earlier ones.",
                     (const char *)sqlite3_column_text(find, 0), (const char *)sqlite3_column_text(find, 1),
                     instant_text((struct instant){sqlite3_column_int64(find, 2)}, when));
    (void)sqlite3_reset(find);
    if (rc == SQLITE_ROW)
        return -1;
    return rc == SQLITE_DONE ? 0 : store_fail(s, rc, f);
}

static int drop_empty_places(struct store *s, int64_t batch, struct fail *f)
{
    sqlite3_stmt *drop = store_statement(s, "DELETE FROM tally_place WHERE batch_id = ?1 AND count = 0", f);
    if (drop == NULL)
        return -1;
    int rc = sqlite3_bind_int64(drop, 1, batch);
    return rc != SQLITE_OK ? store_fail(s, rc, f) : store_run(s, drop, f);
}

/* Each batch that was touched, once all changes are in. */
static int settle_change(struct store *s, sqlite3_changeset_iter *iter, struct fail *f)
{
    const char *table = "";
    int columns, operation, indirect;
    if (sqlite3changeset_op(iter, &table, &columns, &operation, &indirect) != SQLITE_OK)
        return store_fail(s, SQLITE_CORRUPT, f);
    if (strcmp(table, "jar_move") != 0)
        return 0;
    struct row_change r = {iter, operation == SQLITE_INSERT ? 1 : -1};
    int64_t batch = number_of(&r, MOVE_BATCH);
    return check_batch(s, batch, f) != 0 ? -1 : drop_empty_places(s, batch, f);
}

/* ---- the whole ---- */

typedef int (*change_fn)(struct store *s, sqlite3_changeset_iter *iter, struct fail *f);

static int each_change(struct store *s, int size, void *changes, change_fn each, struct fail *f)
{
    sqlite3_changeset_iter *iter = NULL;
    int result = 0, step = SQLITE_ROW, rc = sqlite3changeset_start(&iter, size, changes);
    while (rc == SQLITE_OK && result == 0 && (step = sqlite3changeset_next(iter)) == SQLITE_ROW)
        result = each(s, iter, f);
    (void)sqlite3changeset_finalize(iter);
    if (rc != SQLITE_OK || (result == 0 && step != SQLITE_DONE))
        return store_fail(s, rc != SQLITE_OK ? rc : step, f);
    return result;
}

int tally_fold(struct store *s, int size, void *changes, struct fail *f)
{
    return each_change(s, size, changes, fold_change, f) != 0
               ? -1
               : each_change(s, size, changes, settle_change, f);
}
