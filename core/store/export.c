/* Writing the records as plain text. Cells are cleaned on the way out, as rows are: the file may have been
 * written by other hands. What does not read as what its column should hold is written as it stands, so that
 * a damaged file can still be carried away. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/file.h"
#include "core/base/text.h"
#include "core/store/journal.h"
#include "core/store/portable.h"
#include "core/store/portable_inside.h"
#include "core/store/rows.h"

enum { BUFFER_SIZE = 1 << 16, CLEAN_SIZE = 1 << 16, SQL_MAX = 2000 };

/* One file being written. */
struct sheet {
    struct file_writer writer;
    struct fail *f;
    size_t used;
    char buffer[BUFFER_SIZE];
    char clean[CLEAN_SIZE];
    char quoted[2 * CLEAN_SIZE + 4];
};

const struct table *portable_table(size_t n)
{
    size_t tables = 0;
    const struct table *t = table_at(n);
    if (t != NULL)
        return t;
    while (table_at(tables) != NULL)
        tables++;
    return n == tables ? &journal_table : NULL;
}

bool portable_is_journal(const struct table *t)
{
    return t == &journal_table;
}

static int flush(struct sheet *sheet)
{
    size_t used = sheet->used;
    sheet->used = 0;
    return file_write(&sheet->writer, sheet->buffer, used, sheet->f);
}

static int put(struct sheet *sheet, const char *text, size_t size)
{
    while (size > 0) {
        size_t room = sizeof sheet->buffer - sheet->used, part = size < room ? size : room;
        memcpy(sheet->buffer + sheet->used, text, part);
        sheet->used += part;
        text += part;
        size -= part;
        if (sheet->used == sizeof sheet->buffer && flush(sheet) != 0)
            return -1;
    }
    return 0;
}

static int put_text(struct sheet *sheet, const char *text)
{
    return put(sheet, text, strlen(text));
}

static int put_quoted(struct sheet *sheet, const char *clean)
{
    /* Twice the room is enough for any text. */
    (void)csv_quote(sheet->quoted, sizeof sheet->quoted, clean);
    return put_text(sheet, sheet->quoted);
}

/* A moment that the calendar can write is written so that it reads back as the same; another as its number.
 */
static int put_moment(struct sheet *sheet, int64_t s)
{
    char text[CIVIL_TEXT_MAX];
    struct instant back;
    bool sane = s > -62000000000 && s < 253000000000; /* years 6 to 9987 */
    if (sane &&
        instant_parse(instant_iso_local((struct instant){s}, text), (struct instant){s}, &back, NULL) == 0 &&
        back.s == s)
        return put_text(sheet, text);
    (void)snprintf(text, sizeof text, "%lld", (long long)s);
    return put_text(sheet, text);
}

static int put_value(struct sheet *sheet, sqlite3_stmt *row, int n, const struct column *c)
{
    char number[24];
    if (sqlite3_column_type(row, n) == SQLITE_NULL)
        return 0;
    size_t size = c->size < sizeof sheet->clean ? c->size : sizeof sheet->clean;
    const char *text = (const char *)sqlite3_column_text(row, n);
    switch (c->type) {
    case COLUMN_MOMENT: return put_moment(sheet, sqlite3_column_int64(row, n));
    case COLUMN_INTEGER:
        (void)snprintf(number, sizeof number, "%lld", (long long)sqlite3_column_int64(row, n));
        return put_text(sheet, number);
    case COLUMN_LINES: text_clean_lines(sheet->clean, size, text == NULL ? "" : text); break;
    case COLUMN_DAY:
    case COLUMN_TEXT:
    case COLUMN_TEXT_OR_NONE:
        text_clean(sheet->clean, c->type == COLUMN_DAY ? CIVIL_TEXT_MAX : size, text == NULL ? "" : text);
        break;
    }
    return put_quoted(sheet, sheet->clean);
}

static int put_hex(struct sheet *sheet, const unsigned char *bytes, int size)
{
    static const char digits[] = "0123456789abcdef";
    for (int i = 0; i < size; i++)
        if (put(sheet, (const char[]){digits[bytes[i] >> 4], digits[bytes[i] & 15]}, 2) != 0)
            return -1;
    return 0;
}

static int put_row(struct sheet *sheet, sqlite3_stmt *row, const struct table *t)
{
    char id[24];
    (void)snprintf(id, sizeof id, "%lld", (long long)sqlite3_column_int64(row, 0));
    if (put_text(sheet, id) != 0)
        return -1;
    for (size_t i = 0; i < t->column_count; i++)
        if (put_text(sheet, ",") != 0 || put_value(sheet, row, (int)i + 1, &t->columns[i]) != 0)
            return -1;
    int changes = (int)t->column_count + 1;
    if (portable_is_journal(t) &&
        (put_text(sheet, ",") != 0 ||
         put_hex(sheet, sqlite3_column_blob(row, changes), sqlite3_column_bytes(row, changes)) != 0))
        return -1;
    return put_text(sheet, "\r\n");
}

static int put_heading(struct sheet *sheet, const struct table *t)
{
    if (put_text(sheet, "id") != 0)
        return -1;
    for (size_t i = 0; i < t->column_count; i++)
        if (put_text(sheet, ",") != 0 || put_text(sheet, t->columns[i].name) != 0)
            return -1;
    return put_text(sheet, portable_is_journal(t) ? "," PORTABLE_CHANGES "\r\n" : "\r\n");
}

static int put_rows(struct store *s, struct sheet *sheet, const struct table *t, size_t *rows)
{
    char sql[SQL_MAX] = "SELECT id";
    sqlite3_stmt *row = NULL;
    for (size_t i = 0; i < t->column_count; i++)
        text_append(sql, sizeof sql, ", %s", t->columns[i].name);
    text_append(sql, sizeof sql, "%s FROM %s ORDER BY id", portable_is_journal(t) ? ", changes" : "",
                t->name);
    int rc = sqlite3_prepare_v2(s->db, sql, -1, &row, NULL), result = 0;
    while (rc == SQLITE_OK && result == 0 && (rc = sqlite3_step(row)) == SQLITE_ROW) {
        result = put_row(sheet, row, t);
        ++*rows;
        rc = SQLITE_OK;
    }
    (void)sqlite3_finalize(row);
    if (result == 0 && rc != SQLITE_DONE)
        return store_fail(s, rc, sheet->f);
    return result;
}

static int begin_sheet(struct file_folder *folder, const char *name, struct sheet *sheet, struct fail *f)
{
    sheet->f = f;
    sheet->used = 0;
    return file_folder_file(folder, name, &sheet->writer, f);
}

static int end_sheet(struct sheet *sheet, int result, struct portable_count *count)
{
    if (result == 0 && flush(sheet) == 0) {
        count->files++;
        return file_commit(&sheet->writer, sheet->f);
    }
    file_abandon(&sheet->writer);
    return -1;
}

static int write_table(struct store *s, struct file_folder *folder, struct sheet *sheet,
                       const struct table *t, struct portable_count *count, struct fail *f)
{
    char name[64];
    (void)snprintf(name, sizeof name, "%s.csv", t->name);
    if (begin_sheet(folder, name, sheet, f) != 0)
        return -1;
    int result = put_heading(sheet, t) != 0 ? -1 : put_rows(s, sheet, t, &count->rows);
    return end_sheet(sheet, result, count);
}

/* The highest number that each table has used, also by rows that have been taken back. */
static int write_numbering(struct store *s, struct file_folder *folder, struct sheet *sheet,
                           struct portable_count *count, struct fail *f)
{
    if (begin_sheet(folder, PORTABLE_NUMBERING ".csv", sheet, f) != 0)
        return -1;
    sqlite3_stmt *row = store_statement(s, "SELECT name, seq FROM sqlite_sequence ORDER BY name", f);
    int rc = row == NULL ? SQLITE_NOMEM : SQLITE_OK;
    int result = row == NULL ? -1 : put_text(sheet, "table,last\r\n");
    while (rc == SQLITE_OK && result == 0 && (rc = sqlite3_step(row)) == SQLITE_ROW) {
        char last[32];
        const char *name = (const char *)sqlite3_column_text(row, 0);
        text_clean(sheet->clean, 64, name == NULL ? "" : name);
        (void)snprintf(last, sizeof last, ",%lld\r\n", (long long)sqlite3_column_int64(row, 1));
        result = put_quoted(sheet, sheet->clean) != 0 ? -1 : put_text(sheet, last);
        rc = SQLITE_OK;
    }
    if (row != NULL && result == 0 && rc != SQLITE_DONE)
        result = store_fail(s, rc, f);
    (void)sqlite3_reset(row);
    return end_sheet(sheet, result, count);
}

static int write_columns(struct file_folder *folder, struct sheet *sheet, struct portable_count *count,
                         struct fail *f)
{
    int result = 0;
    if (begin_sheet(folder, PORTABLE_COLUMNS_FILE, sheet, f) != 0)
        return -1;
    for (int version = 1; version <= STORE_VERSION && result == 0; version++)
        result = put_text(sheet, asset_text(schema_script(version)));
    return end_sheet(sheet, result, count);
}

static int write_all(struct store *s, struct file_folder *folder, struct sheet *sheet,
                     struct portable_count *count, struct fail *f)
{
    const struct table *t;
    for (size_t n = 0; (t = portable_table(n)) != NULL; n++)
        if (write_table(s, folder, sheet, t, count, f) != 0)
            return -1;
    if (write_numbering(s, folder, sheet, count, f) != 0)
        return -1;
    return write_columns(folder, sheet, count, f);
}

int store_export(struct store *s, const char *path, struct portable_count *count, struct fail *f)
{
    struct file_folder folder;
    *count = (struct portable_count){0};
    struct sheet *sheet = malloc(sizeof *sheet);
    if (sheet == NULL)
        return fail_memory(f);
    int result = file_folder_begin(&folder, path, f);
    if (result == 0)
        result = store_begin_look(s, f);
    if (result == 0) {
        result = write_all(s, &folder, sheet, count, f);
        store_rollback(s);
    }
    if (result == 0)
        result = file_folder_commit(&folder, f);
    else
        file_folder_abandon(&folder);
    free(sheet);
    return result;
}
