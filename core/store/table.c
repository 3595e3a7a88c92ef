#include "core/store/table.h"

#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/store/inside.h"

enum { SQL_MAX = 2000, SMALL_ROW = 2048 };

/* The second half of a cached statement's key, for the statements made from the map alone. */
static const char key_insert[] = "insert", key_update[] = "update", key_remove[] = "remove",
                  key_by_id[] = "WHERE id = ?1";

static sqlite3_stmt *insert_statement(struct store *s, const struct table *t, struct fail *f)
{
    sqlite3_stmt *statement = store_statement_find(s, t, key_insert);
    if (statement != NULL)
        return statement;
    char sql[SQL_MAX] = "INSERT INTO ", values[SQL_MAX] = "";
    text_append(sql, sizeof sql, "%s (", t->name);
    for (size_t i = 0; i < t->column_count; i++) {
        text_append(sql, sizeof sql, "%s%s", i == 0 ? "" : ", ", t->columns[i].name);
        text_append(values, sizeof values, "%s?%zu", i == 0 ? "" : ", ", i + 1);
    }
    text_append(sql, sizeof sql, ") VALUES (%s)", values);
    return store_statement_keep(s, t, key_insert, sql, f);
}

static sqlite3_stmt *update_statement(struct store *s, const struct table *t, struct fail *f)
{
    sqlite3_stmt *statement = store_statement_find(s, t, key_update);
    if (statement != NULL)
        return statement;
    char sql[SQL_MAX] = "UPDATE ";
    text_append(sql, sizeof sql, "%s SET ", t->name);
    for (size_t i = 0; i < t->column_count; i++)
        text_append(sql, sizeof sql, "%s%s = ?%zu", i == 0 ? "" : ", ", t->columns[i].name, i + 1);
    text_append(sql, sizeof sql, " WHERE id = ?%zu", t->column_count + 1);
    return store_statement_keep(s, t, key_update, sql, f);
}

static sqlite3_stmt *select_statement(struct store *s, const struct table *t, const char *tail,
                                      struct fail *f)
{
    sqlite3_stmt *statement = store_statement_find(s, t, tail);
    if (statement != NULL)
        return statement;
    char sql[SQL_MAX] = "SELECT id";
    for (size_t i = 0; i < t->column_count; i++)
        text_append(sql, sizeof sql, ", %s", t->columns[i].name);
    text_append(sql, sizeof sql, " FROM %s %s", t->name, tail);
    return store_statement_keep(s, t, tail, sql, f);
}

static int bind_column(sqlite3_stmt *statement, int n, const struct column *c, const void *row)
{
    const char *at = (const char *)row + c->offset;
    char iso[CIVIL_TEXT_MAX];
    int64_t number = ROW_NONE;
    struct date day = DATE_NONE;
    switch (c->type) {
    case COLUMN_INTEGER:
    case COLUMN_MOMENT: /* a struct instant is its one integer */
        memcpy(&number, at, sizeof number);
        return number == ROW_NONE ? sqlite3_bind_null(statement, n)
                                  : sqlite3_bind_int64(statement, n, number);
    case COLUMN_DAY:
        memcpy(&day, at, sizeof day);
        if (!date_known(day))
            return sqlite3_bind_null(statement, n);
        return sqlite3_bind_text(statement, n, date_iso(day, iso), -1, SQLITE_TRANSIENT);
    case COLUMN_TEXT_OR_NONE:
        if (*at == '\0')
            return sqlite3_bind_null(statement, n);
        return sqlite3_bind_text(statement, n, at, -1, SQLITE_STATIC);
    case COLUMN_LINES:
    case COLUMN_TEXT: return sqlite3_bind_text(statement, n, at, -1, SQLITE_STATIC);
    }
    return SQLITE_MISUSE;
}

static int bind_row(struct store *s, sqlite3_stmt *statement, const struct table *t, const void *row,
                    struct fail *f)
{
    for (size_t i = 0; i < t->column_count; i++) {
        int rc = bind_column(statement, (int)i + 1, &t->columns[i], row);
        if (rc != SQLITE_OK)
            return store_fail(s, rc, f);
    }
    return 0;
}

static void read_column(sqlite3_stmt *statement, int n, const struct column *c, void *row)
{
    char *at = (char *)row + c->offset;
    const char *text = NULL;
    struct date day = DATE_NONE;
    int64_t number;
    switch (c->type) {
    case COLUMN_INTEGER:
    case COLUMN_MOMENT:
        number = sqlite3_column_int64(statement, n);
        if (number == 0 && sqlite3_column_type(statement, n) == SQLITE_NULL)
            number = ROW_NONE;
        memcpy(at, &number, sizeof number);
        return;
    case COLUMN_DAY:
        text = (const char *)sqlite3_column_text(statement, n);
        if (text == NULL || date_parse(text, &day, NULL) != 0)
            day = DATE_NONE;
        memcpy(at, &day, sizeof day);
        return;
    case COLUMN_TEXT:
    case COLUMN_TEXT_OR_NONE:
        /* Cleaned on the way out as well: the file may have been written by other hands. */
        text = (const char *)sqlite3_column_text(statement, n);
        text_clean(at, c->size, text == NULL ? "" : text);
        return;
    case COLUMN_LINES:
        text = (const char *)sqlite3_column_text(statement, n);
        text_clean_lines(at, c->size, text == NULL ? "" : text);
        return;
    }
}

static void read_row(sqlite3_stmt *statement, const struct table *t, void *row)
{
    int64_t id = sqlite3_column_int64(statement, 0);
    /* Every column is written below. The rest of a long text is left as it is: to clear it would only fetch pages. */
    if (t->row_size <= SMALL_ROW)
        memset(row, 0, t->row_size);
    memcpy(row, &id, sizeof id);
    for (size_t i = 0; i < t->column_count; i++)
        read_column(statement, (int)i + 1, &t->columns[i], row);
}

int row_insert(struct store *s, const struct table *t, void *row, int64_t *id, struct fail *f)
{
    sqlite3_stmt *statement = insert_statement(s, t, f);
    if (statement == NULL || bind_row(s, statement, t, row, f) != 0 || store_run(s, statement, f) != 0)
        return -1;
    int64_t number = sqlite3_last_insert_rowid(s->db);
    memcpy(row, &number, sizeof number);
    if (id != NULL)
        *id = number;
    return 0;
}

static int no_such_row(const struct table *t, int64_t id, struct fail *f)
{
    return fail_refused(f, "There is no %s number %lld.", t->name, (long long)id);
}

int row_update(struct store *s, const struct table *t, const void *row, struct fail *f)
{
    int64_t id;
    memcpy(&id, row, sizeof id);
    sqlite3_stmt *statement = update_statement(s, t, f);
    if (statement == NULL || bind_row(s, statement, t, row, f) != 0)
        return -1;
    int rc = sqlite3_bind_int64(statement, (int)t->column_count + 1, id);
    if (rc != SQLITE_OK)
        return store_fail(s, rc, f);
    if (store_run(s, statement, f) != 0)
        return -1;
    return sqlite3_changes(s->db) == 1 ? 0 : no_such_row(t, id, f);
}

int row_remove(struct store *s, const struct table *t, int64_t id, struct fail *f)
{
    sqlite3_stmt *statement = store_statement_find(s, t, key_remove);
    if (statement == NULL) {
        char sql[SQL_MAX] = "DELETE FROM ";
        text_append(sql, sizeof sql, "%s WHERE id = ?1", t->name);
        statement = store_statement_keep(s, t, key_remove, sql, f);
    }
    if (statement == NULL)
        return -1;
    int rc = sqlite3_bind_int64(statement, 1, id);
    if (rc != SQLITE_OK)
        return store_fail(s, rc, f);
    if (store_run(s, statement, f) != 0)
        return -1;
    return sqlite3_changes(s->db) == 1 ? 0 : no_such_row(t, id, f);
}

static int bind_value(sqlite3_stmt *statement, int n, const struct bind *bind)
{
    if (bind->is_text)
        return sqlite3_bind_text(statement, n, bind->text, -1, SQLITE_TRANSIENT);
    return bind->number == ROW_NONE ? sqlite3_bind_null(statement, n)
                                    : sqlite3_bind_int64(statement, n, bind->number);
}

static int bind_all(struct store *s, sqlite3_stmt *statement, const struct bind *binds, size_t count,
                    struct fail *f)
{
    for (size_t i = 0; i < count; i++) {
        int rc = bind_value(statement, (int)i + 1, &binds[i]);
        if (rc != SQLITE_OK)
            return store_fail(s, rc, f);
    }
    return 0;
}

int rows_each(struct store *s, const struct table *t, const char *tail, const struct bind *binds,
              size_t bind_count, row_fn each, void *context, struct fail *f)
{
    _Alignas(16) unsigned char small[SMALL_ROW];
    sqlite3_stmt *statement = select_statement(s, t, tail, f);
    if (statement == NULL || bind_all(s, statement, binds, bind_count, f) != 0)
        return -1;
    unsigned char *row = t->row_size <= sizeof small ? small : malloc(t->row_size);
    if (row == NULL)
        return fail_memory(f);
    int rc = SQLITE_DONE, result = 0;
    while (result == 0 && (rc = sqlite3_step(statement)) == SQLITE_ROW) {
        read_row(statement, t, row);
        result = each(context, row, f);
    }
    if (result == 0 && rc != SQLITE_DONE)
        result = store_fail(s, rc, f);
    (void)sqlite3_reset(statement);
    if (row != small)
        free(row);
    return result;
}

int rows_load(struct store *s, const struct table *t, const char *tail, const struct bind *binds,
              size_t bind_count, void **rows, size_t *count, struct fail *f)
{
    unsigned char *list = NULL;
    size_t n = 0, room = 0;
    int rc = SQLITE_DONE, result = 0;
    *rows = NULL;
    *count = 0;
    sqlite3_stmt *statement = select_statement(s, t, tail, f);
    if (statement == NULL || bind_all(s, statement, binds, bind_count, f) != 0)
        return -1;
    while ((rc = sqlite3_step(statement)) == SQLITE_ROW) {
        if (n == room) {
            room = room == 0 ? 8 : room * 2;
            unsigned char *more = realloc(list, room * t->row_size);
            if (more == NULL) {
                result = fail_memory(f);
                break;
            }
            list = more;
        }
        read_row(statement, t, list + n++ * t->row_size);
    }
    if (result == 0 && rc != SQLITE_DONE)
        result = store_fail(s, rc, f);
    (void)sqlite3_reset(statement);
    if (result != 0) {
        free(list);
        return -1;
    }
    *rows = list;
    *count = n;
    return 0;
}

int rows_first(struct store *s, const struct table *t, const char *tail, const struct bind *binds,
               size_t bind_count, void *row, bool *found, struct fail *f)
{
    *found = false;
    sqlite3_stmt *statement = select_statement(s, t, tail, f);
    if (statement == NULL || bind_all(s, statement, binds, bind_count, f) != 0)
        return -1;
    int rc = sqlite3_step(statement);
    *found = rc == SQLITE_ROW;
    if (*found)
        read_row(statement, t, row);
    int result = rc == SQLITE_ROW || rc == SQLITE_DONE ? 0 : store_fail(s, rc, f);
    (void)sqlite3_reset(statement);
    return result;
}

int row_load(struct store *s, const struct table *t, int64_t id, void *row, struct fail *f)
{
    bool found;
    if (rows_first(s, t, key_by_id, (struct bind[]){BIND_ID(id)}, 1, row, &found, f) != 0)
        return -1;
    return found ? 0 : no_such_row(t, id, f);
}
