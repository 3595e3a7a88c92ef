/* Reading plain text back. Everything goes into one transaction; references are looked at when all files are
 * in, so that they may come in any order. */
#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "core/base/csv.h"
#include "core/base/file.h"
#include "core/base/text.h"
#include "core/store/portable.h"
#include "core/store/portable_inside.h"

enum { SQL_MAX = 2000, NAME_MAX_TEXT = 64, LINES_MAX = 1 << 16, NO_COLUMN = -1, CHANGES_COLUMN = -2 };

/* One file being read into its table. */
struct intake {
    struct store *s;
    const char *name; /* of the file, as messages say it */
    const struct table *table;
    sqlite3_stmt *insert;
    int column[CSV_CELLS_MAX]; /* where each cell goes: -1 id, a column of the map, or CHANGES_COLUMN */
    size_t columns;
    size_t rows;
    char clean[LINES_MAX];
};

static int wrong_cell(const struct intake *in, size_t line, const char *column, const char *text,
                      const char *what, struct fail *f)
{
    return fail_input(f, "%.60s row %zu, %s: \"%.40s\" is not %s.", in->name, line, column, text, what);
}

static bool parse_whole(const char *text, int64_t *value)
{
    char *end;
    errno = 0;
    long long number = strtoll(text, &end, 10);
    *value = number;
    return errno == 0 && end != text && *end == '\0' && (*text == '-' || (*text >= '0' && *text <= '9'));
}

static int hex_digit(char c)
{
    return c >= '0' && c <= '9'   ? c - '0'
           : c >= 'a' && c <= 'f' ? c - 'a' + 10
           : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                  : -1;
}

static int bind_bytes(struct intake *in, int n, const char *hex, size_t line, struct fail *f)
{
    size_t size = strlen(hex) / 2;
    bool good = strlen(hex) % 2 == 0;
    unsigned char *bytes = sqlite3_malloc64(size + 1);
    if (bytes == NULL)
        return fail_memory(f);
    for (size_t i = 0; i < size && good; i++) {
        int high = hex_digit(hex[2 * i]), low = hex_digit(hex[2 * i + 1]);
        good = high >= 0 && low >= 0;
        bytes[i] = good ? (unsigned char)(high * 16 + low) : 0;
    }
    if (!good) {
        sqlite3_free(bytes);
        return wrong_cell(in, line, PORTABLE_CHANGES, hex, "bytes in hexadecimal", f);
    }
    int rc = sqlite3_bind_blob64(in->insert, n, bytes, size, sqlite3_free);
    return rc == SQLITE_OK ? 0 : store_fail(in->s, rc, f);
}

static int bind_number(struct intake *in, int n, const char *column, const char *text, size_t line,
                       struct fail *f)
{
    int64_t value;
    if (!parse_whole(text, &value))
        return wrong_cell(in, line, column, text, "a whole number", f);
    int rc = sqlite3_bind_int64(in->insert, n, value);
    return rc == SQLITE_OK ? 0 : store_fail(in->s, rc, f);
}

static int bind_moment(struct intake *in, int n, const char *column, const char *text, size_t line,
                       struct fail *f)
{
    struct instant at;
    if (!parse_whole(text, &at.s)) {
        /* A time of day alone would mean another moment every day. */
        bool dated = strlen(text) >= sizeof "2026-05-03" - 1;
        if (!dated || instant_parse(text, (struct instant){0}, &at, NULL) != 0)
            return wrong_cell(in, line, column, text, "a time as 2026-05-03T06:10:00-04:00", f);
    }
    int rc = sqlite3_bind_int64(in->insert, n, at.s);
    return rc == SQLITE_OK ? 0 : store_fail(in->s, rc, f);
}

static int bind_words(struct intake *in, int n, const struct column *c, const char *text, size_t line,
                      struct fail *f)
{
    struct date day;
    size_t size = c->type == COLUMN_DAY ? CIVIL_TEXT_MAX : c->size;
    if (strlen(text) >= size)
        return fail_input(f, "%.60s row %zu, %s: the text is longer than %zu characters.", in->name, line,
                          c->name, size - 1);
    if (c->type == COLUMN_LINES)
        text_clean_lines(in->clean, sizeof in->clean, text);
    else
        text_clean(in->clean, sizeof in->clean, text);
    if (c->type == COLUMN_DAY && date_parse(in->clean, &day, NULL) != 0)
        return wrong_cell(in, line, c->name, text, "a day as 2026-05-03", f);
    int rc = sqlite3_bind_text(in->insert, n, in->clean, -1, SQLITE_TRANSIENT);
    return rc == SQLITE_OK ? 0 : store_fail(in->s, rc, f);
}

/* An empty cell is NULL, but for a text that is always there. */
static int bind_cell(struct intake *in, size_t i, const char *text, size_t line, struct fail *f)
{
    int n = (int)i + 1, which = in->column[i];
    if (which == NO_COLUMN)
        return bind_number(in, n, "id", text, line, f);
    if (which == CHANGES_COLUMN)
        return bind_bytes(in, n, text, line, f);
    const struct column *c = &in->table->columns[which];
    if (*text == '\0' && c->type != COLUMN_TEXT && c->type != COLUMN_LINES) {
        int rc = sqlite3_bind_null(in->insert, n);
        return rc == SQLITE_OK ? 0 : store_fail(in->s, rc, f);
    }
    switch (c->type) {
    case COLUMN_INTEGER: return bind_number(in, n, c->name, text, line, f);
    case COLUMN_MOMENT: return bind_moment(in, n, c->name, text, line, f);
    case COLUMN_DAY:
    case COLUMN_TEXT:
    case COLUMN_TEXT_OR_NONE:
    case COLUMN_LINES: break;
    }
    return bind_words(in, n, c, text, line, f);
}

static int find_column(const struct intake *in, const char *name, int *which, struct fail *f)
{
    *which = strcmp(name, "id") == 0 ? NO_COLUMN : CHANGES_COLUMN;
    if (*which == NO_COLUMN || (portable_is_journal(in->table) && strcmp(name, PORTABLE_CHANGES) == 0))
        return 0;
    for (size_t i = 0; i < in->table->column_count; i++)
        if (strcmp(in->table->columns[i].name, name) == 0) {
            *which = (int)i;
            return 0;
        }
    return fail_input(f, "%.60s has a column \"%.40s\" that these records do not know.", in->name, name);
}

static const char *name_of_column(const struct intake *in, int which)
{
    return which == NO_COLUMN ? "id" : which == CHANGES_COLUMN ? "changes" : in->table->columns[which].name;
}

/* The first row says what the columns are. */
static int take_heading(struct intake *in, const struct csv_long_row *row, struct fail *f)
{
    char sql[SQL_MAX] = "INSERT INTO ", values[SQL_MAX] = "";
    text_append(sql, sizeof sql, "%s (", in->table->name);
    for (size_t i = 0; i < row->count; i++) {
        if (find_column(in, row->cell[i], &in->column[i], f) != 0)
            return -1;
        for (size_t k = 0; k < i; k++)
            if (in->column[k] == in->column[i])
                return fail_input(f, "%.60s has the column \"%.40s\" twice.", in->name, row->cell[i]);
        text_append(sql, sizeof sql, "%s%s", i == 0 ? "" : ", ", name_of_column(in, in->column[i]));
        text_append(values, sizeof values, "%s?%zu", i == 0 ? "" : ", ", i + 1);
    }
    in->columns = row->count;
    text_append(sql, sizeof sql, ") VALUES (%s)", values);
    int rc = sqlite3_prepare_v2(in->s->db, sql, -1, &in->insert, NULL);
    return rc == SQLITE_OK ? 0 : store_fail(in->s, rc, f);
}

static int take_row(void *context, const struct csv_long_row *row, struct fail *f)
{
    struct intake *in = context;
    if (in->insert == NULL)
        return take_heading(in, row, f);
    if (row->count != in->columns)
        return fail_input(f, "%.60s row %zu has %zu cells; its heading has %zu.", in->name, row->line,
                          row->count, in->columns);
    for (size_t i = 0; i < row->count; i++)
        if (bind_cell(in, i, row->cell[i], row->line, f) != 0)
            return -1;
    int rc = sqlite3_step(in->insert);
    (void)sqlite3_reset(in->insert);
    if ((rc & 0xff) == SQLITE_CONSTRAINT)
        return fail_input(f, "%.60s row %zu does not fit the records: %.120s.", in->name, row->line,
                          sqlite3_errmsg(in->s->db));
    if (rc != SQLITE_DONE)
        return store_fail(in->s, rc, f);
    in->rows++;
    return 0;
}

static int read_table(struct store *s, const char *name, const struct table *t, const char *text, size_t size,
                      struct portable_count *count, struct fail *f)
{
    struct intake *in = calloc(1, sizeof *in);
    if (in == NULL)
        return fail_memory(f);
    in->s = s;
    in->name = name;
    in->table = t;
    int result = csv_read_long(text, size, take_row, in, f);
    if (result == 0 && in->insert == NULL)
        result = fail_input(f, "%.60s is empty; its first row should name the columns.", name);
    (void)sqlite3_finalize(in->insert);
    count->rows += in->rows;
    free(in);
    return result;
}

struct numbering {
    struct store *s;
    const char *name;
};

static int take_number(void *context, const struct csv_row *row, struct fail *f)
{
    const struct numbering *n = context;
    int64_t last = 0;
    bool known = false;
    if (row->line == 1 && row->count == 2 && strcmp(row->cell[0], "table") == 0)
        return 0;
    for (size_t i = 0; portable_table(i) != NULL; i++)
        known = known || (row->count == 2 && strcmp(portable_table(i)->name, row->cell[0]) == 0);
    if (!known || !parse_whole(row->cell[1], &last) || last < 0)
        return fail_input(f, "%.60s row %zu is not a table and a number.", n->name, row->line);
    static const char raise[] = "UPDATE sqlite_sequence SET seq = max(seq, ?2) WHERE name = ?1";
    static const char begin[] =
        "INSERT INTO sqlite_sequence (name, seq) SELECT ?1, ?2 WHERE NOT EXISTS (SELECT 1"
        " FROM sqlite_sequence WHERE name = ?1)";
    for (int step = 0; step < 2; step++) {
        sqlite3_stmt *statement = store_statement(n->s, step == 0 ? raise : begin, f);
        if (statement == NULL)
            return -1;
        int rc = sqlite3_bind_text(statement, 1, row->cell[0], -1, SQLITE_TRANSIENT);
        if (rc == SQLITE_OK)
            rc = sqlite3_bind_int64(statement, 2, last);
        if (rc != SQLITE_OK)
            return store_fail(n->s, rc, f);
        if (store_run(n->s, statement, f) != 0)
            return -1;
    }
    return 0;
}

/* The table that a file's name says: "folder/cow.csv" is cow's. */
static void table_name(const char *path, char name[NAME_MAX_TEXT])
{
    const char *slash = strrchr(path, '/'), *base = slash == NULL ? path : slash + 1;
    size_t length = strlen(base);
    if (length > 4 && text_same(base + length - 4, ".csv"))
        length -= 4;
    (void)snprintf(name, NAME_MAX_TEXT, "%.*s", (int)(length < NAME_MAX_TEXT ? length : NAME_MAX_TEXT - 1),
                   base);
}

static int read_file(struct store *s, const char *path, struct portable_count *count, struct fail *f)
{
    char name[NAME_MAX_TEXT], *text = NULL;
    size_t size = 0;
    const struct table *t = NULL;
    table_name(path, name);
    for (size_t n = 0; t == NULL && portable_table(n) != NULL; n++)
        if (text_same(portable_table(n)->name, name))
            t = portable_table(n);
    bool numbering = text_same(name, PORTABLE_NUMBERING);
    if (t == NULL && !numbering)
        return fail_input(
            f,
            "\"%.60s\" is not the name of an exported table; the files are called cow.csv, milk.csv"
            " and so on.",
            name);
    if (file_read(path, &text, &size, f) != 0)
        return -1;
    int result = t != NULL ? read_table(s, path, t, text, size, count, f)
                           : csv_read(text, size, take_number, &(struct numbering){s, path}, f);
    free(text);
    count->files++;
    return result;
}

/* All CSV files of a folder; other files there are left alone. */
static int read_folder(struct store *s, const char *path, struct portable_count *count, struct fail *f)
{
    struct dirent **entries;
    int result = 0, files = scandir(path, &entries, NULL, alphasort);
    if (files < 0)
        return fail_set(f, FAIL_STORE, "Cannot read %s: %s.", path, strerror(errno));
    for (int i = 0; i < files; i++) {
        char file[4200];
        size_t length = strlen(entries[i]->d_name);
        bool csv = length > 4 && strcmp(entries[i]->d_name + length - 4, ".csv") == 0;
        if (csv && result == 0) {
            int written = snprintf(file, sizeof file, "%s/%s", path, entries[i]->d_name);
            result = (size_t)written < sizeof file ? read_file(s, file, count, f)
                                                   : fail_input(f, "That folder name is too long.");
        }
        free(entries[i]);
    }
    free(entries);
    return result;
}

static int read_paths(struct store *s, char *const paths[], size_t path_count, struct portable_count *count,
                      struct fail *f)
{
    struct stat st;
    for (size_t i = 0; i < path_count; i++) {
        bool folder = stat(paths[i], &st) == 0 && S_ISDIR(st.st_mode);
        if ((folder ? read_folder : read_file)(s, paths[i], count, f) != 0)
            return -1;
    }
    return 0;
}

static int check_empty(struct store *s, struct fail *f)
{
    const struct table *t;
    for (size_t n = 0; (t = portable_table(n)) != NULL; n++) {
        char sql[SQL_MAX] = "SELECT EXISTS (SELECT 1 FROM ";
        int64_t some = 0;
        text_append(sql, sizeof sql, "%s)", t->name);
        if (store_integer(s, sql, &some, f) != 0)
            return -1;
        if (some != 0)
            return fail_refused(
                f,
                "%s has records already; an export is read into a file that has none: name a new "
                "one with --db.",
                s->path);
    }
    return 0;
}

static void first_finding(void *context, const char *finding)
{
    char *first = context;
    if (first[0] == '\0')
        (void)snprintf(first, FAIL_TEXT_MAX, "%s", finding);
}

/* What the board could not open must not come in. */
static int check_whole(struct store *s, const struct portable_count *count, struct fail *f)
{
    char finding[FAIL_TEXT_MAX] = "";
    size_t findings;
    int64_t dairies = 0;
    if (store_verify_facts(s, first_finding, finding, &findings, f) != 0 ||
        store_integer(s, "SELECT count(*) FROM dairy", &dairies, f) != 0)
        return -1;
    if (findings > 0)
        return fail_refused(f, "These files do not fit together: %.200s. Nothing was taken in.", finding);
    if (count->rows > 0 && dairies == 0)
        return fail_refused(
            f, "dairy.csv is not among these files; without it there is no dairy. Nothing was taken "
               "in.");
    return 0;
}

int store_import(struct store *s, char *const paths[], size_t path_count, portable_check_fn check, void *context,
                 struct portable_count *count, struct fail *f)
{
    *count = (struct portable_count){0};
    if (store_begin(s, f) != 0)
        return -1;
    if (check_empty(s, f) == 0 && store_exec(s, "PRAGMA defer_foreign_keys = ON", f) == 0 &&
        read_paths(s, paths, path_count, count, f) == 0 && check_whole(s, count, f) == 0 && check(context, f) == 0)
        return store_commit(s, f);
    store_rollback(s);
    return -1;
}
